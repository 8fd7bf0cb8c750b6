//! Half jobs: what is given is given right and marked, what is left is the apprentice's, and level 1 is over in minutes.

use crate::mechanic::{AT, Habits, Mechanic, begun};
use crate::sweep::seeds;
use shimwright::practice::{Fault, GeneratedUnit, StartAt};
use shimwright::procedure::{Ask, Reply, SURE, Session, Tone};
use shimwright::record::{GeneratedFrom, Slot};
use std::fs;
use std::process::{Command, Stdio};

/// A session on a made-up unit, and who works it.
struct Work<'a> {
    made: &'a GeneratedUnit,
    session: Session,
    mechanic: Mechanic<'a>,
    start: StartAt,
    by_hand: bool,
    /// What an apprentice types, line by line.
    typed: Vec<String>,
    /// The steps that were given.
    given: Vec<String>,
}

impl<'a> Work<'a> {
    fn new(made: &'a GeneratedUnit, start: StartAt, by_hand: bool) -> Work<'a> {
        let mut session = Session::start(made.job().clone(), begun(made.made())).0;
        session.by_hand(by_hand);
        Work {
            made,
            session,
            mechanic: Mechanic::new(made, Habits::default()),
            start,
            by_hand,
            typed: Vec::new(),
            given: Vec::new(),
        }
    }

    fn answer(&mut self, reply: &Reply, is_typed: bool) {
        let taken = match self.session.answer(reply, AT) {
            Ok(taken) => taken,
            Err(refusal) if refusal.sure => {
                if is_typed {
                    self.typed.push(SURE.to_string());
                }
                self.session.answer(&Reply::Answer(SURE.to_string()), AT).unwrap()
            }
            Err(refusal) => panic!("{:?}: {reply:?}: {}", self.made.made(), refusal.words),
        };
        assert!(
            taken.refused.is_none(),
            "{:?}: {reply:?}: {:?}",
            self.made.made(),
            taken.refused
        );
        self.session.take(&taken);
    }

    /// The next question that is the apprentice's.
    fn next(&mut self) -> Option<Ask> {
        loop {
            self.session.by_hand(self.by_hand);
            let ask = self.session.ask()?;
            if ask.slot.step == "who" {
                self.answer(&Reply::Answer("A. Prentice".to_string()), false);
                continue;
            }
            if ask.rail.as_ref().is_some_and(|rail| rail.by_rows) {
                let Some(row) = self.made.given_row(&self.session, &ask, self.start) else {
                    return Some(ask);
                };
                self.given.push(ask.slot.step.clone());
                self.answer(&Reply::Row(row), false);
                continue;
            }
            self.session.by_hand(false);
            let ask = self.session.ask()?;
            let Some(reply) = self.made.given(&self.session, &ask, self.start) else {
                self.session.by_hand(self.by_hand);
                return self.session.ask();
            };
            self.given.push(ask.slot.step.clone());
            self.answer(&reply, false);
        }
    }

    /// Answers as somebody does who sees and reads with care, and types rows.
    fn by_apprentice(&mut self, ask: &Ask) {
        let step = ask.slot.step.as_str();
        if ask.rail.as_ref().is_some_and(|rail| rail.by_rows) {
            let open = self.session.open_places();
            let plate = open[0].item.clone().unwrap();
            let (mut readings, mut behind) = (Vec::new(), Vec::new());
            for slot in open {
                let words = self.words(ask, &slot);
                match slot.step.as_str() {
                    "plate-flatness" => behind.push(format!("flat {words}")),
                    "plate-look" => behind.push(words),
                    _ => readings.push(words),
                }
            }
            let row = format!("{plate} {} {}", readings.join(" "), behind.join(" "));
            self.typed
                .extend(["!look".to_string(), "!take".to_string(), row.clone()]);
            self.answer(&Reply::Row(row), true);
            return;
        }
        if ["open", "found-order", "spring-look"].contains(&step) || step.starts_with("inspect") {
            self.typed.push("!look".to_string());
        }
        if step.ends_with("-zero") {
            self.typed.push("!take".to_string());
        }
        let words = self.words(ask, &ask.slot.clone());
        self.typed.push(words.clone());
        self.answer(&Reply::Answer(words), true);
    }

    fn words(&mut self, ask: &Ask, slot: &Slot) -> String {
        let ask = Ask {
            slot: slot.clone(),
            ..ask.clone()
        };
        self.mechanic.words(&self.session, &ask)
    }
}

fn made(level: u32, seed: u64) -> GeneratedUnit {
    GeneratedUnit::new(GeneratedFrom::newest(level, seed)).unwrap()
}

#[test]
fn what_is_given_is_right_and_ends_at_the_stage_that_was_asked_for() {
    for level in 1..=4 {
        for seed in 1..=seeds() / 12 {
            let made = made(level, seed);
            for (start, first) in [
                (StartAt::Measure, "Measure"),
                (StartAt::Choose, "Choose"),
                (StartAt::Prove, "Prove"),
            ] {
                let mut work = Work::new(&made, start, false);
                let mut ask = work.next().unwrap();
                // what nobody can suspect for him
                if ask.slot.step == "suspicion" {
                    work.by_apprentice(&ask);
                    ask = work.next().unwrap();
                }
                let whose = format!("level {level}, seed {seed}, {first}");
                assert!(ask.stage.ends_with(first), "{whose}: {:?}", ask.slot);
                assert!(work.given.len() > 10, "{whose}: {:?}", work.given);
                let outcome = made.outcome(&work.session);
                assert_eq!(outcome.misread, [], "{whose}");
                assert_eq!(outcome.accused, [], "{whose}");
                if start == StartAt::Measure {
                    continue;
                }
                let rejected = work.session.rejected_plates();
                for fault in made.faults() {
                    if let Fault::Warped { plate, .. }
                    | Fault::Thin { plate, .. }
                    | Fault::Tapered { plate, .. }
                    | Fault::Spoilt { plate, .. } = fault
                    {
                        assert!(rejected.contains(plate), "{whose}: {fault:?}");
                    }
                }
            }
        }
    }
}

#[test]
fn level_1_is_found_and_told_in_at_most_25_entries() {
    let mut most = 0;
    for seed in 1..=seeds().div_ceil(2) {
        let made = made(1, seed);
        let mut work = Work::new(&made, StartAt::Signs, true);
        while let Some(ask) = work.next() {
            work.by_apprentice(&ask);
        }
        assert!(work.session.is_finished(), "seed {seed}");
        let outcome = made.outcome(&work.session);
        let score = outcome.score.as_ref().unwrap();
        assert!(
            score.faults.iter().all(|judged| judged.is_found()),
            "seed {seed}: {score:?}"
        );
        assert_eq!(
            (&outcome.accused, &outcome.misread),
            (&vec![], &vec![]),
            "seed {seed}"
        );
        assert!(
            work.typed.len() <= 25,
            "seed {seed}: {}: {:#?}",
            work.typed.len(),
            work.typed
        );
        most = most.max(work.typed.len());
        if seed % 12 == 1 {
            typed_into_the_program(seed, &work.typed);
        }
    }
    assert!(most > 15, "{most}");
}

/// The same lines, typed: the program goes the same way.
fn typed_into_the_program(seed: u64, lines: &[String]) {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("typed"), lines.join("\n") + "\n").unwrap();
    let output = started(dir.path())
        .args([
            "--level",
            "1",
            "--seed",
            &seed.to_string(),
            "--by",
            "A. Prentice",
            "--plain",
        ])
        .stdin(fs::File::open(dir.path().join("typed")).unwrap())
        .output()
        .unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(0), "seed {seed}: {text}");
    assert!(text.contains("GIVEN: what can show no fault"), "{text}");
    let run = dir
        .path()
        .join(format!("practice/practice-level-1-seed-{seed}-0001"));
    let journal = fs::read_to_string(run.join("journal.jsonl")).unwrap();
    assert!(journal.contains("\"given: signs\"") && journal.contains("\"by\":\"a careful hand (given)\""));
    // nobody but the apprentice says what was wrong, and signs
    for line in journal.lines().filter(|line| {
        line.contains("\"kind\":\"answered\"")
            && (line.contains("\"diagnosis\"") || line.contains("\"sign-built\""))
    }) {
        assert!(line.contains("\"by\":\"A. Prentice\""), "{line}");
    }
}

fn started(dir: &std::path::Path) -> Command {
    let mut command = crate::started::program();
    command
        .arg("practise")
        .env("SHIMWRIGHT_BOOK", dir.join("book"))
        .env("NO_COLOR", "1")
        .current_dir(dir)
        .stdin(Stdio::null());
    command
}

#[test]
fn whole_jobs_come_from_level_3_on_or_by_name_and_a_left_run_goes_on_as_it_began() {
    let dir = tempfile::tempdir().unwrap();
    let told = |arguments: &[&str]| {
        let output = started(dir.path())
            .args(arguments)
            .arg("--plain")
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(7));
        String::from_utf8(output.stdout).unwrap()
    };
    assert!(!told(&["--level", "3", "--seed", "9"]).contains("GIVEN"));
    assert!(!told(&["--level", "1", "--seed", "9", "--start-at", "begin"]).contains("GIVEN"));
    let half = [
        "--level",
        "2",
        "--seed",
        "9",
        "--start-at",
        "choose",
        "--by",
        "A. Prentice",
    ];
    let first = told(&half);
    assert!(
        first.contains("GIVEN: all before plates and shims are chosen"),
        "{first}"
    );
    fs::write(dir.path().join("typed"), "yes\nnothing\n!picture\n").unwrap();
    let output = started(dir.path())
        .args(["--level", "2", "--seed", "9", "--by", "A. Prentice", "--plain"])
        .stdin(fs::File::open(dir.path().join("typed")).unwrap())
        .output()
        .unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(
        text.contains("GIVEN: all before plates and shims are chosen"),
        "{text}"
    );
    assert!(text.contains("· Choose"), "{text}");
    assert!(text.contains("In section, left on the left"), "{text}");
}

#[test]
fn a_plate_that_is_rejected_by_its_looks_is_not_measured_on() {
    let spoilt = (1..400).map(|seed| made(1, seed)).find_map(|made| {
        let plate = made.faults().iter().find_map(|fault| match fault {
            Fault::Spoilt { plate, .. } => Some(plate.clone()),
            _ => None,
        })?;
        Some((made, plate))
    });
    let (made, plate) = spoilt.unwrap();
    let mut work = Work::new(&made, StartAt::Measure, true);
    while work.next().is_some_and(|ask| ask.rail.is_none()) {
        let ask = work.session.ask().unwrap();
        work.by_apprentice(&ask);
    }
    let look = made.sight(
        &work.session,
        &Slot {
            round: 1,
            step: "plate-look".to_string(),
            item: Some(plate.clone()),
            point: None,
        },
    );
    assert!(
        !look
            .unwrap()
            .contains("Both faces are even and grey. Tabs and splines are whole.")
    );
    work.answer(&Reply::Row(format!("{plate} burnt")), true);
    while let Some(ask) = work.next() {
        if !ask.stage.ends_with("Measure") {
            break;
        }
        let measured = ["plate-thickness", "plate-flatness"].contains(&ask.slot.step.as_str());
        assert!(
            !(measured && ask.slot.item.as_ref() == Some(&plate)),
            "{:?}",
            ask.slot
        );
        work.by_apprentice(&ask);
    }
    assert!(work.session.rejected_plates().contains(&plate));
}

#[test]
fn a_picture_marks_the_part_that_is_asked_for() {
    let made = made(1, 3);
    let mut work = Work::new(&made, StartAt::Begin, false);
    let mut marked = Vec::new();
    while let Some(ask) = work.next() {
        let shown = work.session.answer(&Reply::Picture, AT).unwrap();
        assert!(shown.entries.is_empty() && shown.told);
        let drawn: Vec<&str> = shown
            .said
            .iter()
            .filter(|said| said.tone == Tone::Drawn)
            .map(|said| said.words.as_str())
            .collect();
        // case, five rows, side gears, and a line of marks where something is asked for
        assert!(drawn.len() == 7 || drawn.len() == 8, "{drawn:#?}");
        assert!(drawn.iter().all(|line| line.chars().count() <= 76), "{drawn:#?}");
        let plates: usize = drawn[3].matches('|').count();
        assert_eq!(plates, 8, "{drawn:#?}");
        let mark = drawn.get(7).map_or(0, |line| line.matches('^').count());
        marked.push((ask.slot.step.clone(), mark));
        let step = ask.slot.step.as_str();
        if step == "plate-look" {
            // one plate of eight, where it stands in the order that was found
            let at = drawn[7].find('^').unwrap();
            assert_eq!((mark, drawn[3].chars().nth(at)), (1, Some('|')), "{drawn:#?}");
        }
        if step == "choose" {
            break;
        }
        work.by_apprentice(&ask);
    }
    let of = |wanted: &str| {
        marked
            .iter()
            .find(|(step, _)| step == wanted)
            .map(|(_, mark)| *mark)
    };
    assert_eq!(of("found-order"), Some(4));
    assert_eq!(of("spring-look"), Some(1));
    assert_eq!(of("ring-height"), Some(2));
    assert_eq!(of("micrometer"), Some(0));
}
