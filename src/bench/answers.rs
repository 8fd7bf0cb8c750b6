//! Answers out of a file, for a build without a person.

use super::answer_line::{ROW, answers_line, read};
use super::control::completed;
use super::question::{said_screen, why_screen};
use super::{BenchError, Fault, Front};
use crate::procedure::{Ask, Feedback, Refusal, Reply, SURE};
use crate::quantity::visible;
use crate::record::Slot;
use crate::record::formats::ANSWERS;
use std::collections::VecDeque;
use std::io::Write;

/// The width of what an answers file's run tells; it goes to a file or a log as often as to a screen.
const WIDTH: usize = 80;

/// Answers written down beforehand, in the order of the questions.
///
/// One answer a line: the name of the question, `=`, the answer. An empty line and a line that starts with `#` count
/// for nothing. The control words of line mode may stand for an answer; after `!note` and `!why` the same question is
/// asked again, so the next line is for it too. Names and answers that begin or end with a space, hold a line break
/// or start with a sign of this format stand in double quotes, with `\"`, `\\`, `\n`, `\r`, `\t` and `\u{1b}` inside
/// as in Rust; what stands in quotes is never a control word.
///
/// What is asked of the plates may stand in any order, and a row of several answers has the name `rail`:
/// `rail = G4 1.955 1.957 1.956 flat 0.02 glazed`.
///
/// Nothing is guessed: an answer for another question than the one asked, one too few and one too many are errors. An
/// answer that is odd but possible is taken with `sure` behind it, or with a further line for the question that says
/// `sure`, or `yes` to what was likely meant; the same line twice, as older files have it, is taken for `sure`.
///
/// The first line may be `format = shimwright answers 2`; then a number at a choice is that of the proposal as the procedure
/// puts them. Without it proposals stand with the fewest shims first, as they did when such a file was written.
///
/// A file that was written for version 0.1.0 goes on meaning what it meant: its `layer-in/…` lines count for the parts
/// that are laid in now, a line for a whole step counts for each of its sides, lines of one step may stand in another
/// order, and what was asked once for all rounds then is the answer in each round that asks it anew. A question that came
/// later is left out where it may be, with the reason *not in the answers file*; any other stops the run.
///
/// ```
/// use shimwright::bench::Answers;
/// let file = "# readings of plate G3\nplate-thickness/G3/1 = 1.98\nplate-thickness/G3/2 = 1,97 mm\n";
/// assert!(Answers::parse(file, "g3.answers").is_ok());
/// assert!(Answers::parse("plate-thickness 1.98", "g3.answers").is_err());
/// ```
pub struct Answers {
    name: String,
    left: VecDeque<Entry>,
    last: Option<(Slot, Entry)>,
    older: Older,
    /// By which version of the format it was written.
    version: u32,
    /// The next line is the odd one again, which is the older way to say that it is meant.
    twice: bool,
    out: Option<Box<dyn Write>>,
}

#[derive(Clone, PartialEq, Eq, Debug)]
struct Entry {
    line: usize,
    slot: String,
    reply: Reply,
}

/// What of a file for version 0.1.0 has been taken for other questions than those that its lines name.
#[derive(Default)]
struct Older {
    /// The round whose parts its `layer-in/…` lines lay in.
    laying: Option<u32>,
    /// Lines for a whole step that is asked for each side now, with the round.
    lent: Vec<(u32, Entry)>,
    /// Every answer so far.
    given: Vec<Entry>,
}

/// The step whose lines laid plates and shims in, and the one that lays every part in now.
const LAYING: [&str; 2] = ["layer-in/", "laid-in"];
/// The steps whose lines count wherever they stand: plates are looked at and measured in one go now.
const RAIL: [&str; 3] = ["plate-look/", "plate-thickness/", "plate-flatness/"];
/// The name that the line has which says by which version of the format a file was written.
const FORMAT: &str = "format";
/// Steps that only said that something is done, with those that ask for more in their place: such a line answers nothing.
const SAID_MORE: [[&str; 2]; 3] = [
    ["soak", "soaked"],
    ["mark-inside", "photos"],
    ["seat", "hand-turned"],
];
/// Why a question is left out that an older file can not know.
const NOT_THERE: &str = "not in the answers file";

impl Answers {
    /// Reads the text of an answers file; `name` is what errors call it.
    ///
    /// # Errors
    /// [`BenchError::Malformed`] with every line that cannot be read.
    pub fn parse(text: &str, name: &str) -> Result<Answers, BenchError> {
        let name = visible(name).into_owned();
        let mut left = VecDeque::new();
        let mut faults = Vec::new();
        let mut version = None;
        let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
        for (at, raw) in text.lines().enumerate() {
            let line = raw.trim();
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            match read(line) {
                Ok((slot, Reply::Answer(text))) if slot == FORMAT && left.is_empty() && version.is_none() => {
                    match ANSWERS.number_in(&text) {
                        Some(number) if number <= ANSWERS.newest() => version = Some(number),
                        number => faults.push(Fault {
                            line: at + 1,
                            text: raw.to_string(),
                            words: match number {
                                Some(_) => "these answers were written for a newer program".to_string(),
                                None => format!(
                                    "a format is wanted here: shimwright answers {}",
                                    ANSWERS.newest()
                                ),
                            },
                        }),
                    }
                }
                Ok((slot, reply)) => left.push_back(Entry {
                    line: at + 1,
                    slot,
                    reply,
                }),
                Err(words) => faults.push(Fault {
                    line: at + 1,
                    text: raw.to_string(),
                    words,
                }),
            }
        }
        if !faults.is_empty() {
            return Err(BenchError::Malformed { name, faults });
        }
        Ok(Answers {
            name,
            left,
            last: None,
            older: Older::default(),
            version: version.unwrap_or(1),
            twice: false,
            out: None,
        })
    }

    /// Writes what the answers lead to to `out`; without this nothing is written.
    pub fn telling(mut self, out: impl Write + 'static) -> Answers {
        self.out = Some(Box::new(out));
        self
    }

    /// What the file has for a question: the next line, or what a line for version 0.1.0 means for it.
    fn due(&mut self, ask: &Ask) -> Option<Entry> {
        let asked = ask.slot.to_string();
        if self.left.front().is_some_and(|next| next.slot == asked) {
            return self.left.pop_front();
        }
        if ask.rail.is_some() {
            // plates come in any order, by name, and a row speaks of several questions
            let named = |entry: &Entry| entry.slot == asked || entry.slot == ROW;
            if let Some(at) = self.left.iter().position(named) {
                return self.left.remove(at);
            }
        } else {
            let plates = |entry: &&Entry| RAIL.iter().any(|step| entry.slot.starts_with(step));
            let ahead = self.left.iter().take_while(plates).count();
            if self.left.get(ahead).is_some_and(|entry| entry.slot == asked) {
                return self.left.remove(ahead);
            }
        }
        let step = ask.slot.step.as_str();
        let [old, new] = LAYING;
        let line = self.last.as_ref().map_or(0, |(_, entry)| entry.line);
        let made = |reply: Reply| Entry {
            line,
            slot: asked.clone(),
            reply,
        };
        if step == new {
            if self.left.front().is_some_and(|next| next.slot.starts_with(old)) {
                self.older.laying = Some(ask.slot.round);
                return self.left.pop_front();
            }
            // springs and rings, which had no line of their own
            if self.older.laying == Some(ask.slot.round) {
                return Some(made(Reply::Answer("done".to_string())));
            }
        }
        let round = ask.slot.round;
        if ask.slot.point.is_none() && (ask.slot.item.is_some() || self.older.laying == Some(round)) {
            let lent = |(of, entry): &&(u32, Entry)| *of == round && entry.slot == step;
            if let Some((_, entry)) = self.older.lent.iter().find(lent) {
                return Some(entry.clone());
            }
            if let Some(at) = self.left.iter().position(|entry| entry.slot == step) {
                let entry = self.left.remove(at)?;
                self.older.lent.push((round, entry.clone()));
                return Some(entry);
            }
        }
        let of_step = |entry: &Entry| entry.slot.split('/').next() == Some(step);
        let run = self.left.iter().take_while(|entry| of_step(entry));
        let mut run = run.take_while(|entry| matches!(entry.reply, Reply::Answer(_) | Reply::Skip(_)));
        if let Some(at) = run.position(|entry| entry.slot == asked) {
            return self.left.remove(at);
        }
        if ask.again
            && let Some(known) = self.older.given.iter().rev().find(|entry| entry.slot == asked)
        {
            return Some(known.clone());
        }
        let said_less = |entry: &Entry| {
            SAID_MORE
                .iter()
                .any(|[old, new]| entry.slot == *old && step == *new)
        };
        if self.left.front().is_some_and(said_less) {
            self.left.pop_front();
        }
        (ask.later && ask.may_skip).then(|| made(Reply::Skip(NOT_THERE.to_string())))
    }

    fn tell(&mut self, text: &str) -> Result<(), BenchError> {
        if let Some(out) = &mut self.out {
            out.write_all(text.as_bytes())?;
            out.flush()?;
        }
        Ok(())
    }
}

impl Front for Answers {
    fn ask(&mut self, ask: &Ask) -> Result<Reply, BenchError> {
        let Some(next) = self.due(ask) else {
            let (name, wanted) = (self.name.clone(), Box::new(ask.slot.clone()));
            return Err(match self.left.pop_front() {
                None => BenchError::TooShort {
                    name,
                    wanted,
                    after: self.last.as_ref().map_or(0, |(_, entry)| entry.line),
                },
                Some(next) => BenchError::OutOfStep {
                    name,
                    line: next.line,
                    found: next.slot,
                    wanted,
                },
            });
        };
        if matches!(next.reply, Reply::Answer(_)) {
            self.older.given.push(next.clone());
        }
        self.tell(&format!("{}\n", answers_line(&ask.slot, &next.reply)))?;
        let reply = match &next.reply {
            Reply::Answer(_) if std::mem::take(&mut self.twice) => Reply::Answer(SURE.to_string()),
            Reply::Answer(text) => Reply::Answer(completed(&ask.expects, text, &ask.spoken)),
            other => other.clone(),
        };
        self.last = Some((ask.slot.clone(), next));
        Ok(reply)
    }

    fn say(&mut self, said: &[Feedback]) -> Result<(), BenchError> {
        self.tell(&said_screen(said, WIDTH, false))
    }

    fn refuse(&mut self, refusal: &Refusal) -> Result<(), BenchError> {
        let Some((slot, entry)) = &self.last else {
            return Ok(());
        };
        let plate = RAIL.iter().any(|step| entry.slot.starts_with(step));
        let next = self.left.iter().take(if plate { usize::MAX } else { 1 });
        if let Some(next) = next.into_iter().find(|next| next.slot == entry.slot)
            && refusal.sure
        {
            self.twice = next.reply == entry.reply && matches!(next.reply, Reply::Answer(_));
            // a word that says what is meant, or else it is refused in its turn
            let word = |text: &str| [SURE, "yes", "y"].contains(&text.to_lowercase().as_str());
            if self.twice || matches!(&next.reply, Reply::Answer(text) | Reply::Row(text) if word(text)) {
                return Ok(());
            }
        }
        Err(BenchError::Refused {
            name: self.name.clone(),
            line: entry.line,
            slot: Box::new(slot.clone()),
            words: refusal.words.clone(),
            sure: refusal.sure,
        })
    }

    fn why(&mut self, ask: &Ask) -> Result<(), BenchError> {
        self.tell(&why_screen(ask, WIDTH, false))
    }

    /// The file has no line for a question that belongs to no step: the default is taken.
    fn confirm(&mut self, _question: &str, default: bool) -> Result<bool, BenchError> {
        Ok(default)
    }

    fn is_by_fewest(&self) -> bool {
        self.version == 1
    }

    fn finish(&mut self) -> Result<(), BenchError> {
        match self.left.front() {
            None => Ok(()),
            Some(next) => Err(BenchError::LeftOver {
                name: self.name.clone(),
                line: next.line,
                count: self.left.len(),
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::sample::{reading, wanting};
    use crate::procedure::{AnswerOption, Expects, Tone};
    use std::cell::RefCell;
    use std::rc::Rc;

    fn refused(words: &str, sure: bool) -> Refusal {
        Refusal {
            words: words.into(),
            sure,
            suggests: sure,
        }
    }

    fn text(words: &str) -> Reply {
        Reply::Answer(words.into())
    }

    #[test]
    fn answers_come_in_their_order_and_as_they_were_written() {
        let file = "# plate G3\n\nplate-thickness/G3/1 = 1.98\r\n  plate-thickness/G3/2=1,97 mm  \n";
        let mut front = Answers::parse(file, "a").unwrap();
        assert_eq!(front.ask(&reading(1)).unwrap(), text("1.98"));
        assert_eq!(front.ask(&reading(2)).unwrap(), text("1,97 mm"));
        front.finish().unwrap();
    }

    #[test]
    fn a_file_says_by_its_format_in_which_order_proposals_stood() {
        for (file, by_fewest) in [
            ("choose = 1\n", true),
            ("# x\nformat = shimwright answers 1\nchoose = 1\n", true),
            ("# x\n\nformat = \"shimwright answers 2\"\nchoose = 1\n", false),
        ] {
            assert_eq!(
                Answers::parse(file, "a").unwrap().is_by_fewest(),
                by_fewest,
                "{file}"
            );
        }
        for (file, words) in [
            ("format = shimwright answers 3\n", "a newer program"),
            ("format = shimwright unit 1\n", "shimwright answers 2"),
        ] {
            let Err(error) = Answers::parse(file, "a") else {
                panic!("{file}");
            };
            assert!(error.to_string().contains(words), "{error}");
        }
        // only the first line is one
        let mut later = Answers::parse("plate-thickness/G3/1 = 1.98\nformat = 7\n", "a").unwrap();
        later.ask(&reading(1)).unwrap();
        assert!(later.finish().is_err());
    }

    #[test]
    fn an_answer_for_another_question_is_out_of_step() {
        let mut front = Answers::parse("# x\nplate-thickness/G3/2 = 1.98", "a").unwrap();
        let error = front.ask(&reading(1)).unwrap_err();
        assert!(
            matches!(&error, BenchError::OutOfStep { name, line: 2, found, wanted }
                if name == "a" && found == "plate-thickness/G3/2" && **wanted == reading(1).slot),
            "{error:?}"
        );
        assert_eq!(
            error.to_string(),
            "a, line 2: this is an answer for \"plate-thickness/G3/2\", but \"plate-thickness/G3/1\" is asked"
        );
    }

    #[test]
    fn a_file_too_short_says_what_was_asked_and_where_it_ended() {
        let mut front = Answers::parse("plate-thickness/G3/1 = 1.98\n\n", "a").unwrap();
        front.ask(&reading(1)).unwrap();
        let error = front.ask(&reading(2)).unwrap_err();
        assert!(
            matches!(&error, BenchError::TooShort { wanted, after: 1, .. } if **wanted == reading(2).slot),
            "{error:?}"
        );
    }

    #[test]
    fn answers_that_nobody_asked_for_are_counted() {
        let mut front = Answers::parse("plate-thickness/G3/1 = 1\n#\nx = 2\ny = 3\n", "a").unwrap();
        front.ask(&reading(1)).unwrap();
        let error = front.finish().unwrap_err();
        assert!(
            matches!(
                error,
                BenchError::LeftOver {
                    line: 3,
                    count: 2,
                    ..
                }
            ),
            "{error:?}"
        );
    }

    #[test]
    fn every_line_that_cannot_be_read_is_named_at_once() {
        let file = "plate-thickness 1.98\nok = 1\n= 2\nx = !quit\nx = \"open\nx = \"a\" b\nx = !help\nx = !note\nx = \"\\q\"\n\"x\" 1\n";
        let Err(BenchError::Malformed { name, faults }) = Answers::parse(file, "a") else {
            panic!("it was read");
        };
        assert_eq!(name, "a");
        assert_eq!(
            faults.iter().map(|fault| fault.line).collect::<Vec<_>>(),
            [1, 3, 4, 5, 6, 7, 8, 9, 10]
        );
        assert_eq!(faults[0].text, "plate-thickness 1.98");
        assert!(faults[2].words.contains("!quit"), "{:?}", faults[2]);
        let words = BenchError::Malformed { name, faults }.to_string();
        assert!(words.contains("line 10: there is no \"=\""), "{words}");
    }

    #[test]
    fn control_words_stand_for_an_answer_and_a_note_does_not_use_the_question_up() {
        let file = "plate-thickness/G3/1 = !note oil was black\nplate-thickness/G3/1 = !why\nplate-thickness/G3/1 = !skip no gauge\n\
                    plate-thickness/G3/2 = !back\nplate-thickness/G3/1 = !pause\n";
        let mut front = Answers::parse(file, "a").unwrap();
        assert_eq!(
            front.ask(&reading(1)).unwrap(),
            Reply::Note("oil was black".into())
        );
        assert_eq!(front.ask(&reading(1)).unwrap(), Reply::Why);
        front.why(&reading(1)).unwrap();
        assert_eq!(front.ask(&reading(1)).unwrap(), Reply::Skip("no gauge".into()));
        assert_eq!(front.ask(&reading(2)).unwrap(), Reply::Back);
        assert_eq!(front.ask(&reading(1)).unwrap(), Reply::Pause);
        front.finish().unwrap();
    }

    #[test]
    fn what_stands_in_quotes_is_never_a_control_word() {
        let mut front = Answers::parse("plate-thickness/G3/1 = \"!back\"", "a").unwrap();
        assert_eq!(front.ask(&reading(1)).unwrap(), text("!back"));
    }

    #[test]
    fn a_refused_answer_ends_the_run_with_its_line() {
        let mut front = Answers::parse(
            "plate-thickness/G3/1 = 12 Nm\nplate-thickness/G3/1 = 12 Nm\n",
            "a",
        )
        .unwrap();
        front.ask(&reading(1)).unwrap();
        let error = front.refuse(&refused("12 Nm is a torque", false)).unwrap_err();
        assert!(
            matches!(&error, BenchError::Refused { line: 1, slot, words, sure: false, .. }
                if **slot == reading(1).slot && words == "12 Nm is a torque"),
            "{error:?}"
        );
    }

    #[test]
    fn an_odd_answer_is_taken_when_its_line_stands_there_twice() {
        let mut front =
            Answers::parse("plate-thickness/G3/1 = 19.8\nplate-thickness/G3/1 = 19.8\n", "a").unwrap();
        front.ask(&reading(1)).unwrap();
        front.refuse(&refused("did you mean 1.98?", true)).unwrap();
        assert_eq!(front.ask(&reading(1)).unwrap(), text("sure"));
        front.finish().unwrap();
    }

    #[test]
    fn an_odd_answer_is_taken_with_a_word_in_the_next_line() {
        for word in ["sure", "Sure", "yes", "y"] {
            let file = format!("plate-thickness/G3/1 = 19.8\nplate-thickness/G3/1 = {word}\n");
            let mut front = Answers::parse(&file, "a").unwrap();
            front.ask(&reading(1)).unwrap();
            front.refuse(&refused("did you mean 1.98?", true)).unwrap();
            assert_eq!(front.ask(&reading(1)).unwrap(), text(word));
        }
    }

    #[test]
    fn an_odd_answer_followed_by_another_is_refused() {
        for second in ["plate-thickness/G3/1 = 1.98", "plate-thickness/G3/2 = 19.8", ""] {
            let file = format!("plate-thickness/G3/1 = 19.8\n{second}\n");
            let mut front = Answers::parse(&file, "a").unwrap();
            front.ask(&reading(1)).unwrap();
            let error = front.refuse(&refused("did you mean 1.98?", true)).unwrap_err();
            assert!(
                matches!(
                    error,
                    BenchError::Refused {
                        line: 1,
                        sure: true,
                        ..
                    }
                ),
                "{error:?}"
            );
        }
    }

    #[test]
    fn the_beginning_of_a_key_is_completed_as_on_a_screen() {
        let ways = vec![AnswerOption {
            key: "accept".into(),
            words: String::new(),
        }];
        let mut front = Answers::parse("plate-thickness/G3/2 = acc", "a").unwrap();
        assert_eq!(front.ask(&wanting(Expects::OneOf(ways))).unwrap(), text("accept"));
    }

    #[test]
    fn a_question_of_no_step_takes_its_default() {
        let mut front = Answers::parse("", "a").unwrap();
        assert!(front.confirm("Go on?", true).unwrap());
        assert!(!front.confirm("Go on?", false).unwrap());
    }

    #[derive(Clone, Default)]
    struct Log(Rc<RefCell<Vec<u8>>>);

    impl Write for Log {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0.borrow_mut().write(bytes)
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn the_run_can_be_told_as_it_goes() {
        let log = Log::default();
        let mut front = Answers::parse("plate-thickness/G3/1 = 1.98", "a")
            .unwrap()
            .telling(log.clone());
        front.ask(&reading(1)).unwrap();
        front
            .say(&[Feedback {
                tone: Tone::Good,
                words: "1.98 mm is inside".into(),
            }])
            .unwrap();
        front.why(&reading(1)).unwrap();
        let told = String::from_utf8(log.0.borrow().clone()).unwrap();
        assert_eq!(
            told,
            "plate-thickness/G3/1 = 1.98\n1.98 mm is inside\nWhy this is asked\nA plate wears where it slips most.\n\
             \u{20}   wear = new - worn\n\u{20}   0.02 mm = 2.00 mm - 1.98 mm\n"
        );
    }
}
