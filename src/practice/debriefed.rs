//! A run told fault by fault once it is over, and the ladder of hints while it is not.

use super::diagnosed::{Judged, LEFT_AFTER};
use super::fault::Fault;
use super::generated::GeneratedUnit;
use super::outcome::Outcome;
use crate::procedure::Session;
use crate::quantity::Length;
use crate::record::diagnosis::FaultKind;
use crate::record::{Slot, Value};

/// What a fault is a fault of.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Group {
    /// A plate by itself.
    Plates,
    /// How plates and shims lie.
    Order,
    /// Springs.
    Springs,
    /// Rings, pins, gears, case.
    Rings,
    /// Oil.
    Oil,
    /// Micrometer and depth gauge.
    Gauges,
    /// The wrench, and how the unit is held.
    Wrench,
}

impl Group {
    /// Every group.
    pub const ALL: [Group; 7] = [
        Group::Plates,
        Group::Order,
        Group::Springs,
        Group::Rings,
        Group::Oil,
        Group::Gauges,
        Group::Wrench,
    ];

    /// The one word for it, for the head of a column.
    pub fn word(self) -> &'static str {
        match self {
            Group::Plates => "plates",
            Group::Order => "order",
            Group::Springs => "springs",
            Group::Rings => "rings",
            Group::Oil => "oil",
            Group::Gauges => "gauges",
            Group::Wrench => "wrench",
        }
    }

    /// What it is called.
    pub fn words(self) -> &'static str {
        match self {
            Group::Plates => "Plates",
            Group::Order => "Order of plates and shims",
            Group::Springs => "Springs",
            Group::Rings => "Rings, pins, gears and case",
            Group::Oil => "Oil",
            Group::Gauges => "Gauges",
            Group::Wrench => "Wrench and holding",
        }
    }

    /// That of a kind of fault.
    pub fn of(kind: FaultKind) -> Group {
        match kind {
            FaultKind::Warped
            | FaultKind::Thin
            | FaultKind::Tapered
            | FaultKind::Burnt
            | FaultKind::Torn
            | FaultKind::Cracked
            | FaultKind::OtherMaker => Group::Plates,
            FaultKind::Swapped | FaultKind::DeadFace | FaultKind::ShimDoubled => Group::Order,
            FaultKind::SpringCracked | FaultKind::SpringTurned => Group::Springs,
            FaultKind::RampStep
            | FaultKind::PinFlat
            | FaultKind::RingWedged
            | FaultKind::TabsStick
            | FaultKind::WasherMissing => Group::Rings,
            FaultKind::WrongOil | FaultKind::NoModifier => Group::Oil,
            FaultKind::Zero => Group::Gauges,
            FaultKind::WrenchScale
            | FaultKind::WrenchOverdue
            | FaultKind::HeldOtherwise
            | FaultKind::Extension
            | FaultKind::Drag => Group::Wrench,
        }
    }
}

/// One fault, told.
#[derive(Clone, PartialEq, Debug)]
pub struct FaultTold {
    /// Its kind.
    pub kind: FaultKind,
    /// What it was, in a few words with its figure.
    pub what: String,
    /// Why it matters.
    pub why: String,
    /// Step and stage where its sign stood, such as `step 25 of 90, Measure`.
    pub place: String,
    /// What stood there.
    pub stood: String,
    /// What was answered there; empty where nothing was.
    pub answered: String,
    /// What it does to every later figure.
    pub effects: Vec<String>,
    /// How much harm it does where nobody sees it, as a share of the proof.
    pub harm: f64,
    /// What the diagnosis made of it.
    pub judged: Judged,
}

/// A sound part that looks like a faulty one, and whether it was left in.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Decoy {
    /// What it is.
    pub what: String,
    /// Whether it was seen for what it is.
    pub right: bool,
}

/// A run told once it is over.
#[derive(Clone, PartialEq, Debug)]
pub struct Debrief {
    /// What the driver said.
    pub complaint: String,
    /// The faults by groups, in each the one first that does the most harm.
    pub groups: Vec<(Group, Vec<FaultTold>)>,
    /// Sound parts that look like faulty ones.
    pub decoys: Vec<Decoy>,
}

/// A hint, with what it costs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Hint {
    /// Of which of the faults, from 1.
    pub fault: u32,
    /// Which rung, from 1: stage, part, test, answer.
    pub rung: u32,
    /// The words.
    pub words: String,
}

impl GeneratedUnit {
    /// Tells a run fault by fault; nothing of one that asked for no diagnosis.
    pub fn debrief(&self, session: &Session, outcome: &Outcome) -> Option<Debrief> {
        let score = outcome.score.as_ref()?;
        let mut told: Vec<(Group, FaultTold)> = self
            .truth
            .faults
            .iter()
            .zip(&score.faults)
            .map(|(fault, judged)| (Group::of(fault.kind()), self.fault_told(session, fault, judged)))
            .collect();
        told.sort_by(|(a, one), (b, other)| a.cmp(b).then(other.harm.total_cmp(&one.harm)));
        let mut groups: Vec<(Group, Vec<FaultTold>)> = Vec::new();
        for (group, fault) in told {
            match groups.last_mut() {
                Some((last, faults)) if *last == group => faults.push(fault),
                _ => groups.push((group, vec![fault])),
            }
        }
        Some(Debrief {
            complaint: self.complaint(),
            groups,
            decoys: self.decoys(session),
        })
    }

    fn fault_told(&self, session: &Session, fault: &Fault, judged: &Judged) -> FaultTold {
        let slot = self.sign_of(fault);
        let (step, stage) = self.place_words(session, &slot);
        FaultTold {
            kind: fault.kind(),
            what: fault.words(),
            why: self.why(fault),
            place: format!("{step}, {stage}"),
            stood: self.stood_there(session, fault, &slot),
            answered: session.answered_text(&slot).unwrap_or("").to_string(),
            effects: self.effect_words(fault),
            harm: self.harm(fault),
            judged: judged.clone(),
        }
    }

    fn place_words(&self, session: &Session, slot: &Slot) -> (String, String) {
        match session.place_of(slot) {
            Some((number, of, stage)) => (format!("step {number} of {of}"), stage.to_string()),
            None => ("a step that was not come to".to_string(), slot.step.clone()),
        }
    }

    /// What an apprentice sees where the fault shows.
    fn stood_there(&self, session: &Session, fault: &Fault, slot: &Slot) -> String {
        let seen = self.seen_of(fault);
        if !seen.is_empty() && !matches!(fault, Fault::OtherMaker { .. }) {
            return seen;
        }
        let reading = self
            .reading(session, slot, 1)
            .or_else(|| self.sight(session, slot));
        let stood = reading.unwrap_or_default();
        match seen.is_empty() {
            true => stood,
            false => format!("{stood} {seen}"),
        }
    }

    /// The question at which a fault shows.
    pub(super) fn sign_of(&self, fault: &Fault) -> Slot {
        let (step, item, point): (&str, Option<&str>, Option<u32>) = match fault {
            Fault::Warped { plate, .. } => ("plate-flatness", Some(plate), None),
            Fault::Thin { plate, .. } | Fault::Tapered { plate, .. } | Fault::OtherMaker { plate, .. } => {
                let points = self
                    .truth
                    .plates
                    .get(plate)
                    .map(|plate| plate.points)
                    .unwrap_or_default();
                let least = (0..points.len()).min_by_key(|n| points[*n]).unwrap_or(0);
                ("plate-thickness", Some(plate), Some(least as u32 + 1))
            }
            Fault::Spoilt { plate, .. } => ("plate-look", Some(plate), None),
            Fault::Swapped { .. } => ("found-order", Some("left"), None),
            Fault::DeadFace { side, .. } | Fault::ShimDoubled { side, .. } => {
                ("found-order", Some(side.word()), None)
            }
            Fault::MicrometerZero { .. } => ("micrometer-zero", None, None),
            Fault::DepthGaugeZero { .. } => ("depth-gauge-zero", None, None),
            Fault::SpringCracked { side } | Fault::SpringUpsideDown { side } => {
                ("spring-look", Some(side.word()), None)
            }
            Fault::SteppedRamp | Fault::PinFlat => ("inspect-rings", None, None),
            Fault::RingWedged { .. } | Fault::TabsStick { .. } => ("inspect-case", None, None),
            Fault::WasherMissing => ("inspect-gears", None, None),
            Fault::WrenchScale => ("found-breakaway", None, None),
            Fault::WrenchOverdue { .. } => ("wrench", None, None),
            Fault::OtherMethod => ("held", None, None),
            Fault::Extension { .. } => ("wrench-extension", None, None),
            Fault::Drag { .. } => ("drag", None, None),
            Fault::WrongOil | Fault::NoModifier => ("open", None, None),
        };
        Slot {
            round: 1,
            step: step.to_string(),
            item: item.map(str::to_string),
            point,
        }
    }

    fn decoys(&self, session: &Session) -> Vec<Decoy> {
        let rejected = session.rejected_plates();
        let mut decoys = Vec::new();
        for (name, plate) in &self.truth.plates {
            if plate.look != "glazed" {
                continue;
            }
            let slot = Slot {
                round: 1,
                step: "plate-look".to_string(),
                item: Some(name.clone()),
                point: None,
            };
            let seen = matches!(session.answer_to(&slot), Some(Value::Word { word, .. }) if word == "glazed");
            let kept = !rejected.contains(name);
            decoys.push(Decoy {
                what: format!(
                    "plate {name} is glazed, which is no reason to throw it out: {}, {}",
                    if seen { "seen" } else { "not seen" },
                    if kept { "kept" } else { "thrown out" }
                ),
                right: seen && kept,
            });
        }
        if let Some(name) = &self.truth.near_limit {
            let least = self
                .truth
                .plates
                .get(name)
                .map_or(Length::ZERO, |plate| plate.least());
            let (verdict, own) = session.verdicts_on(name);
            let said = own.map_or("nothing was said of it".to_string(), |own| {
                format!("you said {own}")
            });
            decoys.push(Decoy {
                what: format!(
                    "plate {name} lies at its limit (truly {}): one set of readings does not tell; {said}",
                    super::fault::told(least)
                ),
                right: own.is_some() && own == verdict,
            });
        }
        decoys
    }

    /// The next hint: stage, part, test and answer of a fault, one after the other; nothing where none is left.
    pub fn hint(&self, session: &Session) -> Option<Hint> {
        let outcome = self.outcome(session);
        let score = outcome.score.as_ref()?;
        let open = |n: &usize| {
            let judged = &score.faults[*n];
            judged.rung < 4 && !judged.is_found()
        };
        let places = (0..self.truth.faults.len()).filter(open);
        // one that was begun is climbed to its end; then the one whose sign stands first
        let n = places.min_by_key(|n| {
            let fault = &self.truth.faults[*n];
            let place = session
                .place_of(&self.sign_of(fault))
                .map_or(usize::MAX, |(number, ..)| number);
            (score.faults[*n].rung == 0, place)
        })?;
        let fault = &self.truth.faults[n];
        let rung = score.faults[n].rung + 1;
        let slot = self.sign_of(fault);
        let (step, stage) = self.place_words(session, &slot);
        let said = match rung {
            1 => format!("A fault shows in the stage {stage}."),
            2 => match fault.parts().as_slice() {
                [] => format!("It shows at {step}."),
                parts => format!("The part: {}.", parts.join(" and ")),
            },
            3 => format!("The test: {}, {step}.", fault.kind().signs()[0].test()),
            _ => format!("The answer: {}.", fault.words()),
        };
        let left = LEFT_AFTER.get(rung as usize).copied().unwrap_or(0);
        let whole = match rung {
            4 => " Nothing of its points is left.".to_string(),
            _ => format!(" {left} % of its points are left."),
        };
        Some(Hint {
            fault: n as u32 + 1,
            rung,
            words: format!("Hint {rung} of 4. {said}{whole}"),
        })
    }
}
