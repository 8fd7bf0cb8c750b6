//! A whole rebuild of the demonstration of twenty plates by rows, as a hand does it: what it costs, held against what a
//! paper form costs, and that its record is that of the single questions.

use crate::bench::{AT, Place, answers_of, raw_answers};
use crate::engine::{entries, job};
use crate::fronts::Terminal;
use shimwright::procedure::{Ask, Expects, Reply, Session};
use shimwright::record::{Entry, Slot};
use std::collections::BTreeMap;
use std::time::Duration;

const DEMO: &str = "moor-rear";

/// The most times that the program may wait for an Enter that a hand types.
const STOPS: usize = 100;
/// The most characters that a hand types, words that nobody counts left out.
const CHARACTERS: usize = 950;
/// The most lines that are drawn; of what is drawn over, those that change.
const LINES: usize = 900;

/// Steps whose answer is words of one's own.
const FREE: [&str; 12] = [
    "who",
    "car",
    "reason",
    "found-oil",
    "found-debris",
    "found-noise",
    "photos",
    "soaked",
    "next-look",
    "oil",
    "sign-built",
    "sign-checked",
];

/// What is read with a gauge that types the figure and ends it with its own Enter.
const BY_GAUGE: [&str; 15] = [
    "micrometer-zero",
    "depth-gauge-zero",
    "plate-thickness",
    "spare-thickness",
    "spring-height",
    "ring-height",
    "case-depth",
    "pressed-height",
    "remeasure",
    "dry-closing",
    "found-play",
    "dry-play",
    "washer-thickness",
    "shims-found",
    "shims-in",
];

/// A line that is typed, and what of it counts.
struct Line {
    text: String,
    /// How many of its characters are no words of one's own.
    counted: usize,
    /// Whether a gauge types it, its Enter too.
    by_gauge: bool,
}

impl Line {
    fn counted(text: impl Into<String>) -> Line {
        let text = text.into();
        Line {
            counted: text.chars().count(),
            text,
            by_gauge: false,
        }
    }
}

/// A hand at the demonstration: what it read stands in its file of answers.
struct Hand {
    raw: BTreeMap<String, String>,
    /// The questions in the order in which they are asked one by one.
    order: Vec<Slot>,
    gauge: bool,
    /// Which row comes next, and that the line for all has been given.
    all_given: bool,
}

impl Hand {
    fn new(gauge: bool) -> Hand {
        let order = entries(DEMO).into_iter().filter_map(|entry| match entry {
            Entry::Answered { slot, .. } => Some(slot),
            _ => None,
        });
        Hand {
            raw: raw_answers(&answers_of(DEMO)),
            order: order.collect(),
            gauge,
            all_given: false,
        }
    }

    /// What is typed at a question.
    fn line(&mut self, ask: &Ask, session: &Session) -> Line {
        if ask.rail.is_some() {
            return self.row(ask);
        }
        let step = ask.slot.step.as_str();
        let raw = self.raw[&ask.slot.to_string()].clone();
        if self.gauge && BY_GAUGE.contains(&step) {
            return Line {
                by_gauge: true,
                ..Line::counted(raw)
            };
        }
        match &ask.expects {
            // number, customer and day on one line
            Expects::Text { optional: true } => {
                let all = ["job-number", "customer", "promised"].map(|step| self.raw[step].as_str());
                Line {
                    counted: 0,
                    ..Line::counted(all.join("; "))
                }
            }
            Expects::Done => Line::counted(""),
            // both packs lie as they are listed
            Expects::Names(_) if step == "found-order" => Line::counted("same same"),
            Expects::Line { .. } if step == "laid-in" => Line::counted(self.parts(&ask.slot).to_string()),
            Expects::Line { .. } => {
                let unit = &session.job().unit;
                let group = unit
                    .bolts
                    .iter()
                    .find(|bolts| Some(&bolts.name) == ask.slot.item.as_ref());
                let stages: Vec<String> = group
                    .unwrap()
                    .stages
                    .iter()
                    .map(|torque| format!("{:.0}", torque.newton_metres()))
                    .collect();
                Line::counted(stages.join(" "))
            }
            Expects::Quantity { .. } => Line::counted(self.readings(ask).join(" ")),
            _ if FREE.contains(&step) => Line {
                counted: 0,
                ..Line::counted(raw)
            },
            // a reason is words of one's own
            _ => Line {
                counted: raw.split(' ').next().unwrap().chars().count(),
                ..Line::counted(raw)
            },
        }
    }

    /// A row of the plate in hand with what is not as with the others, and then a line for all of these.
    fn row(&mut self, ask: &Ask) -> Line {
        let rail = ask.rail.as_ref().unwrap();
        let row = &rail.rows[rail.hand];
        let plate = &row.name;
        let raw = |step: &str| self.raw[&format!("{step}/{plate}")].as_str();
        let mut items: Vec<&str> = Vec::new();
        if rail.takes_reading {
            let given = row.readings.iter().flatten().count();
            let reading = |n: usize| self.raw[&format!("plate-thickness/{plate}/{n}")].as_str();
            if self.gauge {
                return Line {
                    by_gauge: true,
                    ..Line::counted(reading(given + 1))
                };
            }
            items.extend((given + 1..=3).map(reading));
        } else if !self.all_given && self.gauge {
            // the exceptions are told when all have been measured
            let open = rail.rows.iter().find_map(|row| {
                let look = self.raw[&format!("plate-look/{}", row.name)].as_str();
                let flat = self.raw[&format!("plate-flatness/{}", row.name)].as_str();
                match (
                    row.look.is_none() && look != "good",
                    row.flatness.is_none() && flat != "0.02",
                ) {
                    (true, _) => Some(format!("{} {look}", row.name)),
                    (_, true) => Some(format!("{} flat {flat}", row.name)),
                    _ => None,
                }
            });
            if let Some(line) = open {
                return Line::counted(line);
            }
            self.all_given = true;
            return Line::counted("all good flat 0.02");
        } else {
            assert!(!self.all_given, "{}: {}", rail.next, rail.missing);
            self.all_given = true;
            return Line::counted("all good flat 0.02");
        }
        if raw("plate-flatness") != "0.02" {
            items.extend(["flat", raw("plate-flatness")]);
        }
        if raw("plate-look") != "good" {
            items.push(raw("plate-look"));
        }
        Line::counted(items.join(" "))
    }

    /// The readings of one thing from a question on; of two sides, where there are only four.
    fn readings(&self, ask: &Ask) -> Vec<&str> {
        let from = self.order.iter().position(|slot| *slot == ask.slot).unwrap();
        let of_step: Vec<&Slot> = self.order[from..]
            .iter()
            .take_while(|slot| slot.step == ask.slot.step)
            .collect();
        let mine = of_step.iter().filter(|slot| slot.item == ask.slot.item).count();
        let count = if of_step.len() <= 4 { of_step.len() } else { mine };
        of_step[..count]
            .iter()
            .map(|slot| self.raw[&slot.to_string()].as_str())
            .collect()
    }

    /// How many parts of a pack were laid in.
    fn parts(&self, slot: &Slot) -> usize {
        let side = |slot: &Slot| {
            slot.item
                .as_deref()
                .unwrap()
                .split('/')
                .next()
                .unwrap()
                .to_string()
        };
        let laid = self.order.iter().filter(|slot| slot.step == "laid-in");
        laid.filter(|known| side(known) == side(slot)).count()
    }
}

/// What a walk cost.
#[derive(Default, Debug)]
struct Cost {
    stops: usize,
    characters: usize,
    lines: usize,
}

impl Cost {
    fn add(&mut self, line: &Line) {
        if !line.by_gauge {
            self.stops += 1;
            self.characters += line.counted;
        }
    }
}

/// The same readings and looks given one question at a time: the entries that they come to.
fn singles() -> Vec<Entry> {
    let (mut session, begun) = Session::start(job(DEMO), entries(DEMO)[0].clone());
    let raw = raw_answers(&answers_of(DEMO));
    let mut all = vec![begun];
    while let Some(ask) = session.ask() {
        // other plates lie in other places by the choice of today
        let answer = match ask.slot.step.as_str() {
            "laid-in" => "done",
            _ => raw[&ask.slot.to_string()].as_str(),
        };
        let taken = session.answer(&Reply::Answer(answer.to_string()), AT).unwrap();
        session.take(&taken);
        all.extend(taken.entries);
    }
    all
}

/// What entries say last of each question.
fn answered<'a>(entries: impl Iterator<Item = &'a serde_json::Value>) -> BTreeMap<String, serde_json::Value> {
    let answered = entries.filter(|entry| entry["kind"] == "answered");
    answered
        .map(|entry| (entry["slot"].to_string(), entry["value"].clone()))
        .collect()
}

/// The same of entries that no journal has.
fn given(entries: &[Entry]) -> BTreeMap<String, serde_json::Value> {
    let values: Vec<serde_json::Value> = entries
        .iter()
        .map(|entry| serde_json::from_str(&entry.to_json().unwrap()).unwrap())
        .collect();
    answered(values.iter())
}

/// Walks the demonstration with the engine alone.
fn walked(gauge: bool) -> Cost {
    let (mut session, begun) = Session::start(job(DEMO), entries(DEMO)[0].clone());
    session.by_rows(true);
    let (mut hand, mut cost, mut all) = (Hand::new(gauge), Cost::default(), vec![begun]);
    while let Some(ask) = session.ask() {
        let line = hand.line(&ask, &session);
        cost.add(&line);
        let reply = match ask.rail {
            Some(_) => Reply::Row(line.text.clone()),
            None => Reply::Answer(line.text.clone()),
        };
        let taken = session
            .answer(&reply, AT)
            .unwrap_or_else(|refusal| panic!("{}: {}: {}", ask.slot, line.text, refusal.words));
        assert!(
            taken.refused.is_none(),
            "{}: {}: {:?}",
            ask.slot,
            line.text,
            taken.refused
        );
        session.take(&taken);
        all.extend(taken.entries);
    }
    assert!(session.is_finished());
    assert_eq!(given(&all), given(&singles()));
    cost
}

#[test]
fn a_rebuild_by_rows_has_the_answers_of_the_single_questions_and_costs_less_than_paper() {
    for gauge in [false, true] {
        let cost = walked(gauge);
        assert!(
            cost.stops <= STOPS && cost.characters <= CHARACTERS,
            "gauge {gauge}: {cost:?}"
        );
    }
}

/// An Enter sooner than this after a prompt is one that an instrument sent, and not taken.
const SETTLED: Duration = Duration::from_millis(200);
/// Bare digits for another plate sooner than this are those of a gauge that was pressed once too often.
const PRESSED: Duration = Duration::from_millis(1_600);

/// How many lines stand there anew or are others than they were, down to the cursor.
fn drawn(before: &(Vec<String>, usize), now: &(Vec<String>, usize)) -> usize {
    (0..=now.1)
        .filter(|at| *at > before.1 || before.0[*at] != now.0[*at])
        .count()
}

/// Walks the demonstration with the program on a terminal of 24 rows and 80 columns, with a session beside it that knows
/// what has to stand there.
fn walked_on_a_terminal(gauge: bool) -> Cost {
    let place = Place::new();
    let (mut session, _) = Session::start(job(DEMO), entries(DEMO)[0].clone());
    session.by_rows(true);
    let mut terminal = Terminal::sized(Terminal::command(&place, DEMO), (24, 80), 4_000);
    let (mut hand, mut cost) = (Hand::new(gauge), Cost::default());
    let mut stood = (Vec::new(), 0);
    let mut pressed = (String::new(), String::new());
    while let Some(ask) = session.ask() {
        let line = hand.line(&ask, &session);
        cost.add(&line);
        match &ask.rail {
            Some(rail) => terminal.see_rail(&rail.next),
            None => terminal.see_question(&ask),
        };
        let stands = terminal.lines();
        cost.lines += if stood.0.is_empty() {
            stands.1 + 1
        } else {
            drawn(&stood, &stands)
        };
        stood = stands;
        if line.text.is_empty() {
            std::thread::sleep(SETTLED);
        }
        if let Some(rail) = ask.rail.as_ref().filter(|_| line.by_gauge) {
            let plate = rail.rows[rail.hand].name.clone();
            if pressed.0 != plate || pressed.1 == line.text {
                std::thread::sleep(PRESSED);
            }
            pressed = (plate, line.text.clone());
        }
        terminal.give_line(&line.text);
        let reply = match ask.rail {
            Some(_) => Reply::Row(line.text),
            None => Reply::Answer(line.text),
        };
        let taken = session.answer(&reply, AT).unwrap();
        session.take(&taken);
    }
    terminal.see(&["The sheet: "]);
    assert_eq!(
        answered(place.entries("moor-rear-0001").iter()),
        given(&singles())
    );
    cost
}

#[test]
fn a_rebuild_typed_by_hand_on_a_terminal_keeps_to_the_goal() {
    let cost = walked_on_a_terminal(false);
    assert!(
        cost.stops <= STOPS && cost.characters <= CHARACTERS && cost.lines <= LINES,
        "{cost:?}"
    );
}

#[test]
fn a_rebuild_with_a_gauge_on_a_terminal_keeps_to_the_goal() {
    let cost = walked_on_a_terminal(true);
    assert!(cost.stops <= STOPS && cost.characters <= CHARACTERS, "{cost:?}");
}
