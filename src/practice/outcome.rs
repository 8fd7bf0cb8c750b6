//! What the apprentice's answers came to, held against the truth.

use super::diagnosed::{Beside, Score};
use super::fault::{Fault, told};
use super::generated::GeneratedUnit;
use super::indication::{Checked, LBF_FT, THINNEST, leaf, noted_bad, spring_noted_bad};
use super::truth::{TrueGauge, keyed};
use crate::mechanics::{Held, Keying, Side};
use crate::metrology::Verdict;
use crate::procedure::{Field, Measurand, Session};
use crate::quantity::{Length, Torque};
use crate::record::diagnosis::FaultKind;
use crate::record::{GeneratedFrom, Slot, Value};

/// How near to what the micrometer shows its zero and its readings must be written: five times its scatter.
const NEAR_MICROMETER: Length = Length::from_um(5);
/// The same for the depth gauge, whose step is ten times as wide.
const NEAR_DEPTH: Length = Length::from_um(35);
/// The same for a torque: a share of it, and newton metres beside that.
const NEAR_TORQUE: (f64, f64) = (0.08, 0.6);
/// The same for the length of an extension.
const NEAR_EXTENSION: Length = Length::from_um(5_000);

/// One thing in the report.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Line {
    /// What, in a few words, with its figure.
    pub what: String,
    /// Why it matters, with what it costs.
    pub why: String,
}

/// What a run of practice came to.
#[derive(Clone, PartialEq, Debug)]
pub struct Outcome {
    /// What the unit was made from.
    pub made: GeneratedFrom,
    /// The faults that were found.
    pub found: Vec<Line>,
    /// Those that were not.
    pub missed: Vec<Line>,
    /// What was held to be wrong and was not.
    pub accused: Vec<Line>,
    /// What the diagnosis came to; nothing of a run that asked for none.
    pub score: Option<Score>,
    /// Readings that the instrument can not have shown.
    pub misread: Vec<Line>,
    /// The last proof: the torque as it stands against the window, and its verdict.
    pub proof: Option<(Torque, Verdict)>,
}

impl Outcome {
    /// Whether everything was found, nothing wrongly accused, nothing misread, and the proof lies in its window.
    pub fn is_clean(&self) -> bool {
        self.missed.is_empty()
            && self.accused.is_empty()
            && self.misread.is_empty()
            && self.proof.is_some_and(|(_, verdict)| verdict == Verdict::Inside)
    }
}

impl GeneratedUnit {
    /// Holds the answers against the truth, as far as they go.
    pub fn outcome(&self, session: &Session) -> Outcome {
        let rejected = session.rejected_plates();
        let mut outcome = Outcome {
            made: self.made,
            found: Vec::new(),
            missed: Vec::new(),
            accused: self.accused(session, &rejected),
            score: None,
            misread: self.misread(session),
            proof: session.proof_verdict(),
        };
        if self.made.has_diagnosis() {
            let beside = Beside {
                condemned: outcome.accused.len(),
                misread: outcome.misread.len(),
            };
            outcome.score = Some(self.score(session, &beside));
        }
        for (n, fault) in self.truth.faults.iter().enumerate() {
            let line = Line {
                what: fault.words(),
                why: self.why(fault),
            };
            // what is scored is what was said, and in runs that did not ask, what was done
            let found = match &outcome.score {
                Some(score) => score.faults[n].is_found(),
                None => self.is_found(fault, session, &rejected),
            };
            if found {
                outcome.found.push(line);
            } else {
                outcome.missed.push(line);
            }
        }
        outcome
    }

    /// The kinds of the hidden faults, and whether each was found, in the order of found and missed.
    pub fn kinds(&self, outcome: &Outcome) -> Vec<(FaultKind, bool)> {
        let found = |fault: &Fault| outcome.found.iter().any(|line| line.what == fault.words());
        self.truth
            .faults
            .iter()
            .map(|fault| (fault.kind(), found(fault)))
            .collect()
    }

    fn is_found(&self, fault: &Fault, session: &Session, rejected: &[String]) -> bool {
        if let Some(plate) = fault.plate() {
            return rejected.iter().any(|name| name == plate);
        }
        match fault {
            Fault::Swapped { left, right } => {
                let holds = |side: Side, name: &String| {
                    order(session, side).is_some_and(|order| order.contains(name))
                };
                holds(Side::Left, right) && holds(Side::Right, left)
            }
            Fault::DeadFace { side, .. } => {
                let truth = self.faces(*side, &self.truth.order[side.index()]);
                order(session, *side).is_some_and(|order| self.faces(*side, order) == truth)
            }
            Fault::MicrometerZero { .. } => self.zero_is_right(session, Checked::Micrometer) == Some(true),
            Fault::DepthGaugeZero { .. } => self.zero_is_right(session, Checked::DepthGauge) == Some(true),
            Fault::SpringCracked { side } | Fault::SpringUpsideDown { side } => {
                spring_noted_bad(session, *side)
            }
            Fault::SteppedRamp => noted_bad(session, "inspect-rings"),
            Fault::WrenchScale => self.scale_is_right(session),
            Fault::OtherMethod => self.held_is_right(session) == Some(true),
            Fault::Extension { .. } => self.extension_is_right(session) == Some(true),
            // those of later editions are said in the diagnosis
            _ => false,
        }
    }

    fn accused(&self, session: &Session, rejected: &[String]) -> Vec<Line> {
        let truth = &self.truth;
        let mut accused = Vec::new();
        let mut put = |what: String, why: &str| {
            accused.push(Line {
                what,
                why: why.to_string(),
            });
        };
        for name in rejected {
            if !truth.has(|fault| fault.plate() == Some(name)) && truth.near_limit.as_ref() != Some(name) {
                put(
                    format!("plate {name} was thrown out and was sound"),
                    "A sound plate that is thrown out costs its price, and the faces that had run in against it run in anew.",
                );
            }
        }
        for side in Side::BOTH {
            let bad = truth.has(|fault| {
                matches!(fault, Fault::SpringCracked { side: at } | Fault::SpringUpsideDown { side: at } if *at == side)
            });
            if !bad && spring_noted_bad(session, side) {
                put(
                    format!("the {side} spring was held to be bad and was sound"),
                    "A new spring settles in its first hours; the old one had done so.",
                );
            }
            let shifted = truth.has(|fault| matches!(fault, Fault::Swapped { .. } | Fault::DeadFace { .. }));
            if !shifted && order(session, side).is_some_and(|order| *order != truth.order[side.index()]) {
                put(
                    format!("the order written down for the {side} is not the one that was there"),
                    "A wrong order on the sheet has the next person look for a fault that nobody made.",
                );
            }
        }
        if !truth.has(|fault| matches!(fault, Fault::SteppedRamp | Fault::PinFlat))
            && noted_bad(session, "inspect-rings")
        {
            put(
                "the ramps were held to be stepped and were sound".to_string(),
                "Rings are the dearest parts of the unit.",
            );
        }
        if !truth.has(|fault| matches!(fault, Fault::RingWedged { .. } | Fault::TabsStick { .. }))
            && noted_bad(session, "inspect-case")
        {
            put(
                "case, tabs and splines were held to be worn and were sound".to_string(),
                "A case is not to be had again for every unit.",
            );
        }
        for (gauge, name) in [
            (Checked::Micrometer, "micrometer"),
            (Checked::DepthGauge, "depth gauge"),
        ] {
            let off = truth.has(|fault| {
                matches!(
                    (fault, gauge),
                    (Fault::MicrometerZero { .. }, Checked::Micrometer)
                        | (Fault::DepthGaugeZero { .. }, Checked::DepthGauge)
                )
            });
            if !off && self.zero_is_right(session, gauge) == Some(false) {
                put(
                    format!("the {name} was given a zero error that it had not"),
                    "What is taken off a good reading makes it a wrong one, and so for every plate of the stack.",
                );
            }
        }
        if !truth.has(|fault| *fault == Fault::OtherMethod) && self.held_is_right(session) == Some(false) {
            put(
                "the unit was held as its file says, and another way was written down".to_string(),
                "The two ways of holding are a factor of two apart.",
            );
        }
        if truth.extension() == Length::ZERO && self.extension_is_right(session) == Some(false) {
            put(
                "an extension was written down where there was none".to_string(),
                "Every bolt was then tightened too little, and every proof reads too high.",
            );
        }
        accused
    }

    /// Readings that can not have been shown. Those that are wrong by a fault that was missed are not told twice.
    fn misread(&self, session: &Session) -> Vec<Line> {
        // torques first: they move the verdict on the proof
        let mut misread: Vec<(Field, Line)> = Vec::new();
        let scale = self.truth.has(|fault| *fault == Fault::WrenchScale);
        for (slot, read, truth) in self.torques(session) {
            let missed_scale = scale && near_torque(read * LBF_FT, truth);
            if let (false, false, Some(field)) = (missed_scale, near_torque(read, truth), self.field(slot)) {
                let line = Line {
                    what: format!(
                        "{}: {read:.1} N·m was written, the wrench shows about {truth:.1} N·m",
                        slot.in_words()
                    ),
                    why: "The proof is all that tells what the unit does.".to_string(),
                };
                misread.push((field, line));
            }
        }
        for (slot, value) in session.answers() {
            let (Value::Length(nm), Some(field)) = (value, self.field(slot)) else {
                continue;
            };
            let Some((should, room)) = self.should_read(session, slot, field.measurand()) else {
                continue;
            };
            let read = Length::from_nm(*nm);
            if read.apart(should) > room {
                let line = Line {
                    what: format!(
                        "{}: {read} was written, the instrument shows about {}",
                        slot.in_words(),
                        told(should)
                    ),
                    why:
                        "A number that was not read is worse than none: everything that follows rests on it."
                            .to_string(),
                };
                misread.push((field, line));
            }
        }
        each_kind_first(misread)
    }

    /// What an instrument shows for a length, its scatter aside, and how far a reading may be from it.
    pub(super) fn should_read(
        &self,
        session: &Session,
        slot: &Slot,
        measurand: Option<Measurand>,
    ) -> Option<(Length, Length)> {
        let (measurand, truth) = (measurand?, &self.truth);
        let length = || self.true_length(session, slot, measurand);
        let read = |gauge: TrueGauge, near: Length| Some((length()? + gauge.zero + gauge.calibration, near));
        match measurand {
            // other rounds were measured on other packs; only the last one is still known
            Measurand::Room if slot.round != session.last_round() => None,
            Measurand::PlateBow => {
                let goes = leaf(length()?);
                // where not even the thinnest goes under, "under" that one says as much as nought does
                let near = if goes == Length::ZERO {
                    Length::from_nm(THINNEST)
                } else {
                    Length::from_um(10)
                };
                Some((goes, near))
            }
            Measurand::PlateThickness | Measurand::RingHeight => read(truth.micrometer, NEAR_MICROMETER),
            Measurand::CaseDepth | Measurand::SpringHeight | Measurand::PressedPack | Measurand::Room => {
                read(truth.depth_gauge, NEAR_DEPTH)
            }
            Measurand::MicrometerStandard
            | Measurand::DepthGaugeStandard
            | Measurand::BreakawayFound
            | Measurand::Breakaway
            | Measurand::Drag => None,
        }
    }

    /// Every torque that was written down, with what the wrench shows there, in newton metres.
    fn torques<'a>(&'a self, session: &'a Session) -> impl Iterator<Item = (&'a Slot, f64, f64)> {
        session.answers().filter_map(|(slot, value)| {
            let Value::Torque(read) = value else {
                return None;
            };
            if slot.round != session.last_round() && slot.round > 1 {
                return None;
            }
            let measurand = self.field(slot)?.measurand()?;
            if measurand == Measurand::Breakaway && slot.round != session.last_round() {
                return None;
            }
            Some((slot, *read, self.true_torque(session, slot, measurand)?))
        })
    }

    fn zero_is_right(&self, session: &Session, gauge: Checked) -> Option<bool> {
        let (true_gauge, near, field) = match gauge {
            Checked::Micrometer => (self.truth.micrometer, NEAR_MICROMETER, Field::MICROMETER_ZERO),
            Checked::DepthGauge => (self.truth.depth_gauge, NEAR_DEPTH, Field::DEPTH_GAUGE_ZERO),
        };
        let should = self.standard(gauge)? + true_gauge.zero;
        let value = self.answer_for(session, field)?;
        match value {
            Value::Length(nm) => Some(Length::from_nm(*nm).apart(should) <= near),
            _ => None,
        }
    }

    /// Whether the torques were written down in the unit that the scale is marked in: those of the proof, or where there
    /// are none, the one that was found. The drag is too small to tell.
    fn scale_is_right(&self, session: &Session) -> bool {
        let sums = |wanted: Measurand| {
            self.torques(session)
                .filter(|(slot, ..)| self.field(slot).and_then(Field::measurand) == Some(wanted))
                .fold((0.0, 0.0), |(read, truth), (_, more, true_one)| {
                    (read + more, truth + true_one)
                })
        };
        let proof = sums(Measurand::Breakaway);
        let (read, truth) = if proof.1 > 0.0 {
            proof
        } else {
            sums(Measurand::BreakawayFound)
        };
        truth > 0.0 && (read - truth).abs() <= NEAR_TORQUE.0 * truth
    }

    fn held_is_right(&self, session: &Session) -> Option<bool> {
        let word = match self.truth.held {
            Held::Case => "case",
            Held::Output => "output",
        };
        let value = self.answer_for(session, Field::HELD)?;
        Some(matches!(value, Value::Word { word: said, .. } if said == word))
    }

    fn extension_is_right(&self, session: &Session) -> Option<bool> {
        let value = self.answer_for(session, Field::WRENCH_EXTENSION)?;
        match value {
            Value::Length(nm) => Some(Length::from_nm(*nm).apart(self.truth.extension()) <= NEAR_EXTENSION),
            _ => None,
        }
    }

    /// The faces that rub in a pack as found, if its plates lie in this order.
    pub(super) fn faces(&self, side: Side, order: &[String]) -> u32 {
        let keys: Vec<Keying> = order
            .iter()
            .filter_map(|name| keyed(&self.job.unit, name))
            .collect();
        let unit = &self.job.unit;
        unit.faces_of(&keys, !unit.packs[side.index()].shims.is_empty())
    }
}

/// The first of each kind, then the second of each, and so on: who reads only the first lines has seen every kind.
fn each_kind_first<K: PartialEq, T>(lines: Vec<(K, T)>) -> Vec<T> {
    let mut kinds: Vec<(K, usize)> = Vec::new();
    let mut ranked: Vec<(usize, T)> = Vec::new();
    for (kind, line) in lines {
        let rank = match kinds.iter_mut().find(|(known, _)| *known == kind) {
            Some((_, count)) => {
                *count += 1;
                *count
            }
            None => {
                kinds.push((kind, 0));
                0
            }
        };
        ranked.push((rank, line));
    }
    ranked.sort_by_key(|(rank, _)| *rank);
    ranked.into_iter().map(|(_, line)| line).collect()
}

fn near_torque(read: f64, truth: f64) -> bool {
    (read - truth).abs() <= NEAR_TORQUE.0 * truth + NEAR_TORQUE.1
}

/// The order of a pack as it was written down.
fn order(session: &Session, side: Side) -> Option<&Vec<String>> {
    let slot = Slot {
        round: 1,
        step: "found-order".to_string(),
        item: Some(side.word().to_string()),
        point: None,
    };
    match session.answer_to(&slot)? {
        Value::Names(names) => Some(names),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_with_many_lines_hides_no_other() {
        let lines = [
            "flat 1", "flat 2", "flat 3", "drag 1", "thick 1", "flat 4", "drag 2",
        ];
        let kinds = lines.map(|line| (&line[..4], line));
        assert_eq!(
            each_kind_first(kinds.to_vec()),
            [
                "flat 1", "drag 1", "thick 1", "flat 2", "drag 2", "flat 3", "flat 4"
            ]
        );
    }
}
