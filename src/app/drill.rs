//! Drills: cards that are dealt, answered one after the other and kept, so that none comes twice.

use super::arguments::{Asking, Ended};
use super::clock::Clock;
use super::failure::Failure;
use super::front::{front, put};
use super::load::practice_dir;
use super::output::{to_copy, width, write_out};
use crate::bench::Front;
use crate::book::{Shelf, append_line, read_bounded};
use crate::practice::drills::{Card, Drill, Judged, deal};
use crate::procedure::{Feedback, Refusal, Reply, Tone};
use crate::quantity::visible;
use crate::record::drilled::{DrillRun, Drilled};
use crate::record::phrase::{Phrase, Spoken};
use crate::report::to_json;
use crate::screen::filled;
use crate::workshop::Safety;
use std::path::{Path, PathBuf};
use std::time::Instant;

/// The file of what was drilled, in the folder of practice.
const DRILLS: &str = "drills.jsonl";
/// A line a card, a few hundred characters each: a hundred thousand of them.
const MOST_KEPT: u64 = 32 << 20;

/// What is to be drilled.
pub(crate) struct Drilling {
    /// Which drill.
    pub drill: Drill,
    /// Which of its runs; without it the next that was not dealt yet.
    pub seed: Option<u64>,
    /// Who practises.
    pub by: Option<String>,
    /// The language that is asked for: the cards are in English, which is said.
    pub language: Option<String>,
    /// How questions are put.
    pub asking: Asking,
    /// The time to write down; else the clock's.
    pub at: Option<String>,
    /// The book beside which practice lies, where it is not the usual one.
    pub book: Option<PathBuf>,
    /// Told as one JSON object at the end, and nothing else.
    pub json: bool,
}

/// What was drilled so far, oldest first. Lines of a newer program are left out; one that can not be read is told of.
pub(crate) fn kept(dir: &Path) -> Result<Vec<Drilled>, Failure> {
    let path = dir.join(DRILLS);
    if !path.exists() {
        return Ok(Vec::new());
    }
    let text = read_bounded(&path, MOST_KEPT)?;
    let mut lines = Vec::new();
    let mut bad = 0_u32;
    for line in text.lines().filter(|line| !line.trim().is_empty()) {
        match Drilled::from_line(line) {
            Some(Ok(line)) => lines.push(line),
            Some(Err(_)) => bad += 1,
            None => {}
        }
    }
    if bad > 0 {
        let shown = path.display().to_string();
        let words = format!(
            "warning: lines of {} that can not be read: {bad}\n",
            visible(&shown)
        );
        write_out(&words, true)?;
    }
    Ok(lines)
}

/// The run to deal, and how many of its cards were answered already: the last one of this person where it was left, else the
/// one after the highest that was dealt.
fn next(kept: &[Drilled], wanted: Drill, who: Option<&String>) -> (u64, usize) {
    let mut last = None;
    let mut highest = 0;
    for line in kept {
        match line {
            Drilled::Dealt {
                drill, seed, by, of, ..
            } if drill == wanted.word() => {
                highest = highest.max(*seed);
                if by.as_ref() == who {
                    last = Some((*seed, *of, 0));
                }
            }
            Drilled::Answered {
                drill,
                seed,
                by,
                card,
                ..
            } if drill == wanted.word() && by.as_ref() == who => {
                if let Some((dealt, _, answered)) = &mut last
                    && *dealt == *seed
                {
                    *answered = *card;
                }
            }
            _ => {}
        }
    }
    match last {
        Some((seed, of, answered)) if answered < of => (seed, answered as usize),
        _ => (highest.saturating_add(1), 0),
    }
}

/// Deals the cards of a drill and takes the answers.
pub(crate) fn drill(drilling: &Drilling) -> Result<Ended, Failure> {
    let dir = practice_dir(drilling.book.as_ref())?;
    let clock = Clock::new(drilling.at.as_deref())?;
    let mut front = front(&drilling.asking, drilling.json)?;
    Shelf::open(&dir)?;
    let (seed, done) = match drilling.seed {
        Some(seed) => (seed, 0),
        None => next(&kept(&dir)?, drilling.drill, drilling.by.as_ref()),
    };
    let cards = deal(drilling.drill, seed);
    let of = u32::try_from(cards.len()).unwrap_or(u32::MAX);
    let mut run = DrillRun {
        drill: drilling.drill.word().to_string(),
        seed,
        of,
        by: drilling.by.clone(),
        answered: Vec::new(),
    };
    let path = dir.join(DRILLS);
    if done == 0 {
        let dealt = Drilled::Dealt {
            at: clock.time(),
            by: run.by.clone(),
            drill: run.drill.clone(),
            seed,
            of,
        };
        append_line(&path, &dealt.line()?)?;
    }
    if !drilling.json {
        write_out(&opening(&run, done, drilling.language.as_deref()), false)?;
    }
    let mut paused = false;
    for (n, card) in cards.iter().enumerate().skip(done) {
        let begun = Instant::now();
        let Some(judged) = answered(&mut *front, card, drilling.drill, n + 1, cards.len())? else {
            paused = true;
            break;
        };
        // a clock that was set stands still
        let seconds = match clock {
            Clock::Now => begun.elapsed().as_secs(),
            Clock::Fixed(_) => 0,
        };
        let line = Drilled::Answered {
            at: clock.time(),
            by: run.by.clone(),
            drill: run.drill.clone(),
            seed,
            card: u32::try_from(n + 1).unwrap_or(u32::MAX),
            topic: card.topic.to_string(),
            answered: judged.answered.clone(),
            right: judged.right,
            seconds,
        };
        append_line(&path, &line.line()?)?;
        run.answered.push((line, card.right().to_string()));
        front.say(&told(&judged))?;
    }
    front.finish()?;
    let text = match drilling.json {
        true => to_json(&run.summary())?,
        false => closing(
            &run,
            cards.len() - done - run.answered.len(),
            drilling.book.as_ref(),
        ),
    };
    write_out(&text, false)?;
    Ok(if paused { Ended::Paused } else { Ended::Done })
}

/// Puts a card until it is answered; nothing where the person stops.
fn answered(
    front: &mut dyn Front,
    card: &Card,
    drill: Drill,
    number: usize,
    of: usize,
) -> Result<Option<Judged>, Failure> {
    loop {
        let refused = match put(front, card.ask(drill, number, of))?.1 {
            Reply::Pause => return Ok(None),
            Reply::Answer(text) => match card.judge(&text) {
                Ok(judged) => return Ok(Some(judged)),
                Err(words) => words,
            },
            _ => {
                "a card takes an answer, !why, !words TERM or !pause; nothing else is kept of it".to_string()
            }
        };
        front.refuse(&Refusal {
            words: refused,
            sure: false,
            suggests: false,
        })?;
    }
}

/// What an answer came to.
fn told(judged: &Judged) -> Vec<Feedback> {
    let tone = if judged.right { Tone::Good } else { Tone::Bad };
    let mut said = vec![Feedback {
        tone,
        words: judged.verdict.clone(),
    }];
    said.extend(judged.reason.iter().map(|words| Feedback {
        tone: Tone::Plain,
        words: words.clone(),
    }));
    said
}

fn opening(run: &DrillRun, done: usize, language: Option<&str>) -> String {
    let from = match done {
        0 => format!("{} cards", run.of),
        done => format!("{} cards, {done} of them answered before", run.of),
    };
    let spoken = Spoken {
        language: language.unwrap_or("en").to_string(),
        unreviewed: false,
    };
    let in_english = match spoken.say(Phrase::CardsInEnglish) {
        own if own == Phrase::CardsInEnglish.english() => String::new(),
        own => format!("{own} / {}", Phrase::CardsInEnglish.english()),
    };
    let words = filled(
        &format!(
            "PRACTICE: drill {}, run {}, {from}. Nothing on them is of a real unit. {}",
            run.drill,
            run.seed,
            Safety::First.words()
        ),
        width(),
    );
    match in_english.is_empty() {
        true => words,
        false => words + &filled(&in_english, width()),
    }
}

fn closing(run: &DrillRun, left: usize, book: Option<&PathBuf>) -> String {
    let (right, seconds) = run.counted();
    let answered = run.answered.len();
    let mut text = format!(
        "\nDrill {}, run {}: {right} of {answered} right",
        run.drill, run.seed
    );
    if left > 0 {
        text.push_str(&format!(", {left} not answered"));
    }
    if answered > 0 {
        text.push_str(&format!(
            ", in {}:{:02} min, {:.0} s a card",
            seconds / 60,
            seconds % 60,
            seconds as f64 / answered as f64
        ));
    }
    text.push_str(".\n");
    let wrong: Vec<String> = run
        .answered
        .iter()
        .filter_map(|(line, _)| match line {
            Drilled::Answered {
                card, right: false, ..
            } => Some(card.to_string()),
            _ => None,
        })
        .collect();
    let which = match wrong.as_slice() {
        [] => String::new(),
        [one] => format!("Wrong: card {one}.\n"),
        several => filled(&format!("Wrong: cards {}.", several.join(", ")), width()),
    };
    text.push_str(&which);
    let command = |rest: &str| {
        let command = format!("shimwright practise --drill {}{rest}", run.drill);
        to_copy(&command, run.by.as_deref(), book)
    };
    let next = match left {
        0 => "The next run",
        _ => "The cards that are left",
    };
    text.push_str(&format!(
        "{next}:\n  {}\nThese cards again:\n  {}\n",
        command(""),
        command(&format!(" --seed {}", run.seed))
    ));
    text
}
