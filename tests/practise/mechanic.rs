//! A scripted mechanic. He sees what an apprentice sees: the question, what an instrument shows, what there is to see.
//! Never the faults.

use shimwright::bench::answers_line;
use shimwright::metrology::Verdict;
use shimwright::practice::{GeneratedUnit, Outcome};
use shimwright::procedure::{Ask, Expects, Reply, SURE, Session};
use shimwright::record::diagnosis::{FaultKind, OnWhat};
use shimwright::record::{Entry, GeneratedFrom, Slot, UnitsName};
use std::collections::HashMap;

pub const AT: &str = "2026-05-09T10:00:00Z";

/// What somebody does not do as he should. All false is careful.
#[derive(Clone, Copy, Default, PartialEq, Debug)]
pub struct Habits {
    /// Types `same` for the order as found.
    pub order: bool,
    /// Calls every plate good.
    pub looks: bool,
    /// Reads a plate in one place and writes that down for all.
    pub one_point: bool,
    /// Does not measure plates: writes what they have when new.
    pub nominal: bool,
    /// Leaves the feelers in their box.
    pub feeler: bool,
    /// Writes what the standard is, not what the instrument shows on it.
    pub zero: bool,
    /// Says yes to springs and ramps.
    pub inspection: bool,
    /// Types the number on the wrench's scale without its unit.
    pub scale: bool,
    /// Takes it that the unit is held as its file says.
    pub held: bool,
    /// Does not look for an extension.
    pub extension: bool,
    /// Does not look at what runs out, at the shims, nor at the wrench's label.
    pub round_about: bool,
    /// Names no fault in the end, whatever was seen.
    pub silent: bool,
    /// Calls everything faulty that there is a word for.
    pub condemning: bool,
    /// Says outside where a number that is shown lies past a limit that is shown, and in the end names thin whatever the program
    /// has called outside by then.
    pub echoing: bool,
    /// Says inside to every plate.
    pub trusting: bool,
}

impl Habits {
    pub const CARELESS: Habits = Habits {
        order: true,
        looks: true,
        one_point: false,
        nominal: true,
        feeler: true,
        zero: true,
        inspection: true,
        scale: true,
        held: true,
        extension: true,
        round_about: true,
        silent: true,
        condemning: false,
        echoing: false,
        trusting: false,
    };

    /// Copies what the instruments show, and answers yes, good, same, inside and none.
    pub const COPYING: Habits = Habits {
        order: true,
        looks: true,
        one_point: false,
        nominal: false,
        feeler: false,
        zero: false,
        inspection: true,
        scale: false,
        held: true,
        extension: true,
        round_about: true,
        silent: true,
        condemning: false,
        echoing: false,
        trusting: false,
    };

    /// The same, who says outside where a number invites it, and names what the program called outside.
    pub const ECHOING: Habits = Habits {
        silent: false,
        echoing: true,
        ..Habits::COPYING
    };
}

/// How a run went.
pub struct Run {
    pub outcome: Outcome,
    /// How often the dry build did not agree and was measured again.
    pub again: u32,
    /// Whether the proof was accepted with nothing against it.
    pub proved: bool,
    /// What was replied, as an answers file has it.
    pub answers: String,
    pub session: Session,
}

pub struct Mechanic<'a> {
    made: &'a GeneratedUnit,
    habits: Habits,
    taken: HashMap<String, u32>,
    first: HashMap<String, String>,
    /// What was seen, as lines of a diagnosis, in the order in which it was seen.
    seen: Vec<String>,
    /// The readings of each plate, and the zero error that was read.
    read: HashMap<String, Vec<f64>>,
    /// The leaves that went under each plate.
    flat: HashMap<String, f64>,
    zero: f64,
    said: usize,
}

pub fn begun(made: GeneratedFrom) -> Entry {
    Entry::Begun {
        at: AT.into(),
        program: "0.1.0".into(),
        unit: "0".repeat(64),
        procedure: "0".repeat(64),
        drawer: "0".repeat(64),
        instruments: "0".repeat(64),
        setting: None,
        found: None,
        units: UnitsName::Metric,
        practice: Some(made),
        id: None,
    }
}

/// A line for every kind of fault on every part.
fn everything(session: &Session) -> Vec<String> {
    let unit = &session.job().unit;
    let mut lines = Vec::new();
    for kind in FaultKind::all() {
        let parts: Vec<String> = match kind.on() {
            OnWhat::Plate => unit.plates.iter().map(|plate| plate.name.clone()).collect(),
            OnWhat::TwoPlates => vec!["C1 C3".into()],
            OnWhat::Side => vec!["left".into(), "right".into()],
            OnWhat::Gauge => vec!["micrometer".into(), "depth-gauge".into()],
            OnWhat::Nothing => vec![String::new()],
        };
        for part in parts {
            lines.push(format!(
                "{} {part} {} it looked so",
                kind.word(),
                kind.signs()[0].word()
            ));
        }
    }
    lines
}

/// The number before a unit in what an instrument shows.
fn number(text: &str) -> &str {
    text.split_whitespace()
        .find(|word| word.starts_with(|c: char| c.is_ascii_digit()) && !word.ends_with(':'))
        .unwrap_or_else(|| panic!("no number in {text:?}"))
        .trim_end_matches(['.', ','])
}

impl<'a> Mechanic<'a> {
    pub fn new(made: &'a GeneratedUnit, habits: Habits) -> Mechanic<'a> {
        Mechanic {
            made,
            habits,
            taken: HashMap::new(),
            first: HashMap::new(),
            seen: Vec::new(),
            read: HashMap::new(),
            flat: HashMap::new(),
            zero: 0.0,
            said: 0,
        }
    }

    fn note_where(&mut self, seen: &str, sign: &str, line: &str) {
        if seen.contains(sign) {
            self.seen.push(line.to_string());
        }
    }

    /// The order as it lies against the one of the unit's file, which an apprentice has.
    fn see_order(&mut self, side: &str, order: &str) {
        let unit = &self.made.job().unit;
        let n = usize::from(side == "right");
        let lies: Vec<&str> = order.split(' ').collect();
        let listed = &unit.packs[n].order;
        let strange: Vec<&str> = lies
            .iter()
            .copied()
            .filter(|name| !listed.iter().any(|own| own == name))
            .collect();
        let away: Vec<&str> = listed
            .iter()
            .map(String::as_str)
            .filter(|name| !lies.contains(name))
            .collect();
        if let (Some(strange), Some(away)) = (strange.first(), away.first())
            && n == 0
        {
            self.seen.push(format!(
                "swapped {away} {strange} order {strange} lay on the left"
            ));
        }
        let key = |name: &str| unit.plate(name).unwrap().keyed;
        if lies.windows(2).any(|two| key(two[0]) == key(two[1])) {
            // the pair that was turned is where the order is not as it is listed
            let at = lies
                .iter()
                .zip(listed)
                .position(|(is, should)| key(is) != key(should))
                .unwrap();
            self.seen.push(format!(
                "dead-face {side} order {} before {}",
                lies[at],
                lies[at + 1]
            ));
        }
    }

    /// A reading, and with the last one of a plate what it comes to.
    fn see_reading(&mut self, session: &Session, slot: &Slot, shown: &str) {
        let plate = slot.item.clone().unwrap();
        let readings = self.read.entry(plate.clone()).or_default();
        readings.push(shown.parse().unwrap());
        if readings.len() < 3 || self.habits.echoing {
            return;
        }
        let limits = &session.job().unit.limits;
        let least = match plate.starts_with('C') {
            true => limits.case_least.mm(),
            false => limits.gear_least.mm(),
        };
        let (low, high) = readings.iter().fold((f64::MAX, f64::MIN), |(low, high), one| {
            (low.min(*one), high.max(*one))
        });
        if high - low > limits.spread.mm() {
            self.seen.push(format!(
                "tapered {plate} micrometer {:.3} mm from place to place",
                high - low
            ));
        } else if low - self.zero > 2.1 {
            self.seen
                .push(format!("other-maker {plate} micrometer {low:.3} mm"));
        } else if low - self.zero < least - 0.006 {
            self.seen.push(format!("thin {plate} micrometer {low:.3} mm"));
        }
    }

    /// By the readings, the zero error and the limits that stand beside the question.
    fn own_verdict(&mut self, session: &Session, ask: &Ask) -> String {
        let habits = self.habits;
        let plate = ask.slot.item.clone().unwrap();
        if habits.echoing {
            let limits = &session.job().unit.limits;
            let least = match plate.starts_with('C') {
                true => limits.case_least.mm(),
                false => limits.gear_least.mm(),
            };
            let thin = self
                .read
                .get(&plate)
                .is_some_and(|read| read.iter().any(|read| *read < least));
            let bent = self
                .flat
                .get(&plate)
                .is_some_and(|flat| *flat > limits.flatness.mm());
            return if !habits.trusting && (thin || bent) {
                "outside"
            } else {
                "inside"
            }
            .into();
        }
        if habits.looks || habits.nominal {
            return "inside".into();
        }
        if self.seen.iter().any(|line| {
            line.contains(&format!(" {plate} "))
                && !line.starts_with("other-maker")
                && !line.starts_with("swapped")
        }) {
            return "outside".into();
        }
        let limits = &session.job().unit.limits;
        let least = match plate.starts_with('C') {
            true => limits.case_least.mm(),
            false => limits.gear_least.mm(),
        };
        let low = self
            .read
            .get(&plate)
            .and_then(|read| read.iter().copied().reduce(f64::min));
        match low.map(|low| low - self.zero - least) {
            Some(over) if over.abs() < 0.006 => "close".into(),
            _ => "inside".into(),
        }
    }

    /// The plates that the program has called outside where it could be read, each as thin with the least that was read.
    fn told_outside(&self, session: &Session) -> Vec<String> {
        let plates = session.job().unit.plates.iter();
        let outside = plates.filter(|plate| {
            let (verdict, own) = session.verdicts_on(&plate.name);
            // it tells its own only after the apprentice's
            own.is_some() && verdict == Some(Verdict::Outside)
        });
        outside
            .map(|plate| {
                let read = self
                    .read
                    .get(&plate.name)
                    .and_then(|read| read.iter().copied().reduce(f64::min));
                format!("thin {} micrometer {:.3} mm", plate.name, read.unwrap_or(0.0))
            })
            .collect()
    }

    /// The next line of the diagnosis.
    fn next_line(&mut self, session: &Session) -> String {
        let habits = self.habits;
        if habits.silent {
            return "none".into();
        }
        let lines = if habits.condemning {
            everything(session)
        } else if habits.echoing {
            self.told_outside(session)
        } else {
            self.seen.clone()
        };
        let line = lines.get(self.said).cloned();
        self.said += 1;
        line.unwrap_or_else(|| "none".into())
    }

    fn take(&mut self, session: &Session, slot: &Slot) -> String {
        let key = format!("{}/{slot}", slot.round);
        let attempt = self.taken.entry(key).or_default();
        *attempt += 1;
        self.made.take(session, slot, *attempt)
    }

    fn torque(&mut self, session: &Session, slot: &Slot) -> String {
        let shown = self.take(session, slot);
        let seen = self.made.look(session, slot);
        let unit = if seen.contains("marked in lbf·ft") && !self.habits.scale {
            "lbf·ft"
        } else {
            "N·m"
        };
        format!("{} {unit}", number(&shown))
    }

    fn reply(&mut self, session: &Session, ask: &Ask) -> Reply {
        Reply::Answer(self.words(session, ask))
    }

    pub fn words(&mut self, session: &Session, ask: &Ask) -> String {
        let slot = &ask.slot;
        let habits = self.habits;
        match slot.step.as_str() {
            "who" | "sign-built" => "A. Prentice".into(),
            "car" | "reason" => "practice".into(),
            "free-inside" | "hand-turned" => "yes".into(),
            "suspicion" => "nothing".into(),
            "own-verdict" => self.own_verdict(session, ask),
            "diagnosis" => self.next_line(session),
            "open" => {
                let seen = self.made.look(session, slot);
                if !habits.round_about {
                    self.note_where(&seen, "golden", "wrong-oil look golden oil runs out");
                    self.note_where(&seen, "not ticked", "no-modifier look the box is not ticked");
                }
                String::new()
            }
            "inspect-gears" => {
                let seen = self.made.look(session, slot);
                if habits.inspection {
                    return "yes".into();
                }
                self.note_where(
                    &seen,
                    "no thrust washer",
                    "washer-missing look the back has run a circle",
                );
                if seen.contains("no thrust washer") {
                    "no"
                } else {
                    "yes"
                }
                .into()
            }
            "soaked" => "the maker's oil, 30 min, since 9:00".into(),
            "found-order" if habits.order => "same".into(),
            "found-order" => {
                let seen = self.made.look(session, slot);
                let (_, order) = seen.split_once(": ").unwrap();
                let (order, rest) = order.split_once('.').unwrap();
                let side = slot.item.clone().unwrap();
                if !habits.round_about {
                    self.note_where(
                        rest,
                        "stuck together",
                        &format!("shim-doubled {side} order two shims stuck together"),
                    );
                }
                self.see_order(&side, order);
                order.to_string()
            }
            "inspect-rings" | "inspect-case" => {
                let seen = self.made.look(session, slot);
                let signs = [
                    ("on a step", "ramp-step look a nail catches on a step".to_string()),
                    ("hollow", "pin-flat look a hollow on one pin".to_string()),
                    (
                        "left ring came",
                        "ring-wedged left look came out with a mallet".to_string(),
                    ),
                    (
                        "right ring came",
                        "ring-wedged right look came out with a mallet".to_string(),
                    ),
                    (
                        "On the left the tabs",
                        "tabs-stick left look notches in the slots".to_string(),
                    ),
                    (
                        "On the right the tabs",
                        "tabs-stick right look notches in the slots".to_string(),
                    ),
                ];
                let mut bad = false;
                for (sign, line) in signs {
                    bad |= seen.contains(sign);
                    if !habits.inspection {
                        self.note_where(&seen, sign, &line);
                    }
                }
                if bad && !habits.inspection { "no" } else { "yes" }.into()
            }
            "spring-look" if habits.inspection => "good".into(),
            "spring-look" => {
                let seen = self.made.look(session, slot);
                let signs = [("dark line", "cracked"), ("closed shell", "turned")];
                let side = slot.item.clone().unwrap();
                self.note_where(
                    &seen,
                    "dark line",
                    &format!("spring-cracked {side} look a dark line"),
                );
                self.note_where(
                    &seen,
                    "closed shell",
                    &format!("spring-turned {side} look rim to rim"),
                );
                let look = signs.iter().find(|(sign, _)| seen.contains(sign));
                look.map_or("good", |(_, look)| look).into()
            }
            "ring-way" | "spring-way" => "yes".into(),
            "plate-look" if habits.looks => "good".into(),
            "plate-look" => {
                let seen = self.made.look(session, slot);
                let signs = [
                    ("blue", "burnt"),
                    ("bent", "torn"),
                    ("crack", "cracked"),
                    ("shiny", "glazed"),
                ];
                let look = signs.iter().find(|(sign, _)| seen.contains(sign));
                let plate = slot.item.clone().unwrap();
                if let Some((sign, word)) = look.filter(|(_, word)| *word != "glazed") {
                    self.seen.push(format!("{word} {plate} look {sign}"));
                }
                look.map_or("good", |(_, look)| look).into()
            }
            "micrometer-zero" if habits.zero => "25.000".into(),
            "depth-gauge-zero" if habits.zero => "50.00".into(),
            "plate-thickness" | "spare-thickness" if habits.nominal => "2.000".into(),
            "plate-thickness" if habits.one_point => {
                let item = slot.item.clone().unwrap();
                if let Some(first) = self.first.get(&item) {
                    return first.clone();
                }
                let shown = number(&self.take(session, slot)).to_string();
                self.first.insert(item, shown.clone());
                shown
            }
            "micrometer-zero" | "depth-gauge-zero" => {
                let shown = number(&self.take(session, slot)).to_string();
                let (gauge, standard, room) = match slot.step.as_str() {
                    "micrometer-zero" => ("micrometer", 25.0, 0.005),
                    _ => ("depth-gauge", 50.0, 0.04),
                };
                let off = shown.parse::<f64>().unwrap() - standard;
                if off.abs() > room {
                    self.seen.push(format!("zero {gauge} standard {off:+.3} mm"));
                }
                if gauge == "micrometer" {
                    self.zero = off;
                }
                shown
            }
            "plate-flatness" if habits.feeler => "0".into(),
            "plate-flatness" => {
                let shown = self.take(session, slot);
                if shown.ends_with(": 0.") {
                    "0".into()
                } else {
                    let leaf = number(&shown).to_string();
                    let plate = slot.item.clone().unwrap();
                    self.flat.insert(plate, leaf.parse().unwrap());
                    let most = session.job().unit.limits.flatness.mm();
                    if leaf.parse::<f64>().unwrap() > most {
                        self.seen
                            .push(format!("warped {} feeler {leaf} mm", slot.item.clone().unwrap()));
                    }
                    leaf
                }
            }
            "fate" => "keep measured twice, and not below".into(),
            "choose" => match &ask.expects {
                Expects::OneOfOrLine { ways, .. } if ways.iter().any(|way| way.key == "1") => "1",
                Expects::OneOfOrLine { ways, .. } if !ways.is_empty() => "hand it has to close today",
                _ => "shims left 0.30",
            }
            .into(),
            "dry-decision" => "accept measured again and again".into(),
            "wrench-extension" => {
                let seen = self.made.look(session, slot);
                match seen.split_once("an extension of ") {
                    Some((_, rest)) if !habits.extension => {
                        let length = number(rest).to_string();
                        self.seen.push(format!("extension wrench {length} mm"));
                        length
                    }
                    _ => "0".into(),
                }
            }
            "held" if habits.held => {
                // the limits say how the file wants it
                if ask.limits.iter().any(|limit| limit.contains("output held")) {
                    "output"
                } else {
                    "case"
                }
                .into()
            }
            "held" => {
                let seen = self.made.look(session, slot);
                let (is, words) = match seen.contains("A bar holds the far output") {
                    true => ("output", "a bar holds the far output"),
                    false => ("case", "it is bolted to the plate"),
                };
                let wanted = format!("{is} held");
                if !ask.limits.iter().any(|limit| limit.contains(&wanted)) {
                    self.seen.push(format!("held-otherwise wrench {words}"));
                }
                is.into()
            }
            "wrench" => {
                let seen = self.made.look(session, slot);
                let overdue = seen.contains("it was due on");
                if overdue && !habits.round_about {
                    self.seen.push("wrench-overdue wrench the label says due".into());
                }
                if seen.contains("marked in lbf·ft") && !habits.scale {
                    self.seen.push("wrench-scale wrench marked in lbf·ft".into());
                }
                match (overdue, habits.round_about) {
                    (true, false) => "wrench-41".into(),
                    (true, true) => "wrench-40 it lies there".into(),
                    (false, _) => "wrench-40".into(),
                }
            }
            "drag" => {
                let seen = self.made.look(session, slot);
                let shown = self.torque(session, slot);
                if seen.contains("squeal") && !habits.round_about {
                    self.seen.push(format!("drag wrench {shown}"));
                }
                shown
            }
            "proof-decision" => {
                let inside = ask.limits.iter().any(|limit| limit.contains(": INSIDE"));
                if inside { "accept" } else { "accept it will do" }.into()
            }
            "oil-temperature" => "20 °C".into(),
            "found-breakaway" | "breakaway" => self.torque(session, slot),
            _ => match &ask.expects {
                Expects::Acknowledge => "yes".into(),
                Expects::Done => String::new(),
                Expects::OneOf(ways) => ways[0].key.clone(),
                Expects::Quantity { .. } => {
                    let shown = number(&self.take(session, slot)).to_string();
                    if slot.step == "plate-thickness" {
                        self.see_reading(session, slot, &shown);
                    }
                    shown
                }
                other => panic!("{}: {other:?}", slot),
            },
        }
    }
}

/// Works a made-up unit from the first question to the last.
pub fn work(made: &GeneratedUnit, habits: Habits) -> Run {
    work_after(made, habits, |_| {})
}

/// The same, where something is done before the first answer.
pub fn work_after(made: &GeneratedUnit, habits: Habits, before: impl FnOnce(&mut Session)) -> Run {
    let (mut session, _) = Session::start(made.job().clone(), begun(made.made()));
    before(&mut session);
    let mut mechanic = Mechanic::new(made, habits);
    let (mut questions, mut again, mut proved) = (0, 0, false);
    let mut answers = String::from("format = shimwright answers 2\n");
    while let Some(ask) = session.ask() {
        questions += 1;
        assert!(questions < 1_000, "it does not end: {:?}", ask.slot);
        let step = ask.slot.step.as_str();
        let reply = match step {
            "sign-checked" => Reply::Skip("alone at the bench".into()),
            // what does not agree is measured again before anything is decided
            "dry-decision" if habits == Habits::default() && again < 6 => {
                again += 1;
                Reply::Back
            }
            _ => mechanic.reply(&session, &ask),
        };
        proved |= step == "proof-decision" && reply == Reply::Answer("accept".into());
        answers.push_str(&format!("{}\n", answers_line(&ask.slot, &reply)));
        let taken = match session.answer(&reply, AT) {
            Ok(taken) => taken,
            Err(refusal) if refusal.sure => {
                let sure = Reply::Answer(SURE.into());
                answers.push_str(&format!("{}\n", answers_line(&ask.slot, &sure)));
                session.answer(&sure, AT).unwrap()
            }
            Err(refusal) => panic!("{:?}, {}: {reply:?}: {}", made.made(), ask.slot, refusal.words),
        };
        session.apply(&taken.entries);
    }
    Run {
        outcome: made.outcome(&session),
        again,
        proved,
        answers,
        session,
    }
}
