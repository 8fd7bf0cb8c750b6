//! A scripted mechanic. He sees what an apprentice sees: the question, what an instrument shows, what there is to see.
//! Never the faults.

use shimwright::bench::answers_line;
use shimwright::practice::{GeneratedUnit, Outcome};
use shimwright::procedure::{Ask, Expects, Reply, SURE, Session};
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

struct Mechanic<'a> {
    made: &'a GeneratedUnit,
    habits: Habits,
    taken: HashMap<String, u32>,
    first: HashMap<String, String>,
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
    }
}

/// The number before a unit in what an instrument shows.
fn number(text: &str) -> &str {
    text.split_whitespace()
        .find(|word| word.starts_with(|c: char| c.is_ascii_digit()) && !word.ends_with(':'))
        .unwrap_or_else(|| panic!("no number in {text:?}"))
        .trim_end_matches(['.', ','])
}

impl Mechanic<'_> {
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

    fn words(&mut self, session: &Session, ask: &Ask) -> String {
        let slot = &ask.slot;
        let habits = self.habits;
        match slot.step.as_str() {
            "who" | "sign-built" => "A. Prentice".into(),
            "car" | "reason" => "practice".into(),
            "inspect-gears" | "free-inside" | "hand-turned" => "yes".into(),
            "soaked" => "the maker's oil, 30 min, since 9:00".into(),
            "found-order" if habits.order => "same".into(),
            "found-order" => {
                let seen = self.made.look(session, slot);
                let (_, order) = seen.split_once(": ").unwrap();
                order.trim_end_matches('.').to_string()
            }
            "inspect-rings" | "inspect-case" => {
                let seen = self.made.look(session, slot);
                let bad = seen.contains("catches on");
                if bad && !habits.inspection { "no" } else { "yes" }.into()
            }
            "spring-look" if habits.inspection => "good".into(),
            "spring-look" => {
                let seen = self.made.look(session, slot);
                let signs = [("dark line", "cracked"), ("closed shell", "turned")];
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
            "plate-flatness" if habits.feeler => "0".into(),
            "plate-flatness" => {
                let shown = self.take(session, slot);
                if shown.ends_with(": 0.") {
                    "0".into()
                } else {
                    number(&shown).into()
                }
            }
            "fate" => "reject I can not call it".into(),
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
                    Some((_, rest)) if !habits.extension => number(rest).into(),
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
                if seen.contains("A bar holds the far output") {
                    "output"
                } else {
                    "case"
                }
                .into()
            }
            "proof-decision" => {
                let inside = ask.limits.iter().any(|limit| limit.contains(": INSIDE"));
                if inside { "accept" } else { "accept it will do" }.into()
            }
            "found-breakaway" | "drag" | "breakaway" => self.torque(session, slot),
            _ => match &ask.expects {
                Expects::Acknowledge => "yes".into(),
                Expects::Done => String::new(),
                Expects::OneOf(ways) => ways[0].key.clone(),
                Expects::Quantity { .. } => number(&self.take(session, slot)).into(),
                other => panic!("{}: {other:?}", slot),
            },
        }
    }
}

/// Works a made-up unit from the first question to the last.
pub fn work(made: &GeneratedUnit, habits: Habits) -> Run {
    let (mut session, _) = Session::start(made.job().clone(), begun(made.made()));
    let mut mechanic = Mechanic {
        made,
        habits,
        taken: HashMap::new(),
        first: HashMap::new(),
    };
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
