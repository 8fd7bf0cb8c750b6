//! A diagnosis held against the truth, and what a run comes to in points.

use super::fault::Fault;
use super::generated::GeneratedUnit;
use super::given::CAREFUL_HAND;
use super::indication::Checked;
use crate::metrology::Verdict;
use crate::procedure::Session;
use crate::quantity::{Length, Torque, Units, parse_bare};
use crate::record::diagnosis::{Diagnosis, FaultKind, Sign};

/// What the parts of a line are worth, of a hundred a fault.
const KIND: u32 = 40;
const PART: u32 = 25;
const SIGN: u32 = 20;
const KNOWN: u32 = 15;
/// What costs, in the same points.
const GUESS: u32 = 40;
const CONDEMNED: u32 = 20;
const MISREAD: u32 = 4;
const MOST_MISREAD: u32 = 40;
const WRONG_VERDICT: u32 = 5;
const NOT_READ_AGAIN: u32 = 10;
/// What is left of the points of a plate on which the apprentice's own verdict was another than outside, in percent: then it
/// was the program that found it.
const TOLD_BY_PROGRAM: u32 = 25;
/// What is left of a fault's points after so many rungs of the ladder of hints, in percent.
pub(super) const LEFT_AFTER: [u32; 5] = [100, 90, 75, 45, 0];

/// What is said of one of the hidden faults.
#[derive(Clone, PartialEq, Debug)]
pub struct Judged {
    /// The line of the diagnosis that means it.
    pub line: Option<Diagnosis>,
    /// Whether the part is the right one.
    pub part: bool,
    /// Whether it shows where it was said to show.
    pub sign: bool,
    /// Whether what one knows it by is what stood there.
    pub known: bool,
    /// How far the ladder of hints was climbed for it.
    pub rung: u32,
    /// Whether the program said it first: the apprentice's own verdict on the plate was another than outside.
    pub told_first: bool,
    /// What it is worth, of a hundred.
    pub points: u32,
}

impl Judged {
    /// Whether it was named with its part.
    pub fn is_found(&self) -> bool {
        self.line.is_some() && self.part
    }
}

/// What a run comes to.
#[derive(Clone, PartialEq, Debug)]
pub struct Score {
    /// Each of the hidden faults, in their order.
    pub faults: Vec<Judged>,
    /// Lines of the diagnosis that mean nothing that is there.
    pub guesses: Vec<Diagnosis>,
    /// Kinds that were suspected before it was opened, and whether they are there.
    pub suspected: Vec<(FaultKind, bool)>,
    /// Plates on which the apprentice's own verdict was another than the readings give.
    pub wrong_verdicts: Vec<String>,
    /// Plates that were too close to call and were not measured again, because nobody called them so; a dry build that did not
    /// agree and a proof too close to call that were read once.
    pub not_read_again: Vec<String>,
    /// What all of it costs, each with its points.
    pub costs: Vec<(&'static str, u32)>,
    /// The whole, 0 to 100.
    pub percent: u32,
}

/// What a run did beside its diagnosis.
pub(super) struct Beside {
    /// Sound parts that were condemned at the bench.
    pub condemned: usize,
    /// Readings that can not have been shown.
    pub misread: usize,
}

impl GeneratedUnit {
    /// Holds the diagnosis against the truth.
    pub(super) fn score(&self, session: &Session, beside: &Beside) -> Score {
        let plates: Vec<&str> = self
            .job
            .unit
            .plates
            .iter()
            .map(|plate| plate.name.as_str())
            .collect();
        let mut lines: Vec<Option<Diagnosis>> = session
            .diagnoses()
            .into_iter()
            .filter_map(|text| Diagnosis::read(text, &plates).ok().flatten())
            .map(Some)
            .collect();
        let truth = &self.truth;
        let mut meant: Vec<Option<Diagnosis>> = vec![None; truth.faults.len()];
        // those with the right part first, so that no other line takes their place
        for with_part in [true, false] {
            for (fault, meant) in truth.faults.iter().zip(&mut meant) {
                let fits = |line: &Diagnosis| {
                    line.kind == fault.kind() && (!with_part || same_parts(&line.parts, &fault.parts()))
                };
                if meant.is_none() {
                    *meant = lines
                        .iter_mut()
                        .find(|line| line.as_ref().is_some_and(fits))
                        .and_then(Option::take);
                }
            }
        }
        let faults: Vec<Judged> = truth
            .faults
            .iter()
            .zip(meant)
            .enumerate()
            .map(|(n, (fault, line))| self.judged(session, n, fault, line))
            .collect();
        let guesses: Vec<Diagnosis> = lines.into_iter().flatten().collect();
        let (wrong_verdicts, not_read_again) = self.verdicts(session);
        let wrong_parts = faults
            .iter()
            .filter(|one| one.line.is_some() && !one.part)
            .count();
        let count = |what: &'static str, many: usize, each: u32, most: u32| {
            (what, (many as u32).saturating_mul(each).min(most))
        };
        let costs: Vec<(&'static str, u32)> = [
            count("guesses", guesses.len() + wrong_parts, GUESS, u32::MAX),
            count("sound parts condemned", beside.condemned, CONDEMNED, u32::MAX),
            count("misread", beside.misread, MISREAD, MOST_MISREAD),
            count("wrong verdicts", wrong_verdicts.len(), WRONG_VERDICT, u32::MAX),
            count(
                "not measured again",
                not_read_again.len(),
                NOT_READ_AGAIN,
                u32::MAX,
            ),
        ]
        .into_iter()
        .filter(|(_, cost)| *cost > 0)
        .collect();
        let earned: u32 = faults.iter().map(|one| one.points).sum();
        let spent = costs
            .iter()
            .fold(0_u32, |sum, (_, cost)| sum.saturating_add(*cost));
        let percent = earned.saturating_sub(spent) / (faults.len() as u32).max(1);
        let suspected = session
            .suspicion()
            .and_then(|text| crate::record::diagnosis::suspected(text).ok())
            .unwrap_or_default()
            .into_iter()
            .map(|kind| (kind, truth.has(|fault| fault.kind() == kind)))
            .collect();
        Score {
            faults,
            guesses,
            suspected,
            wrong_verdicts,
            not_read_again,
            costs,
            percent,
        }
    }

    fn judged(&self, session: &Session, n: usize, fault: &Fault, line: Option<Diagnosis>) -> Judged {
        let number = n as u32 + 1;
        let hints = session.hints().iter().filter(|(of, _)| *of == number);
        let rung = hints.map(|(_, rung)| *rung).max().unwrap_or(0);
        let (part, sign, known) = match &line {
            None => (false, false, false),
            Some(line) => (
                same_parts(&line.parts, &fault.parts()),
                shows_by(fault, line.sign),
                self.is_known_by(session.units(), fault, &line.known_by),
            ),
        };
        let whole = match &line {
            None => 0,
            Some(_) => {
                let worth = |is: bool, points: u32| if is { points } else { 0 };
                KIND + worth(part, PART) + worth(part && sign, SIGN) + worth(part && known, KNOWN)
            }
        };
        let left = LEFT_AFTER.get(rung as usize).copied().unwrap_or(0);
        let told_first = self.was_told_first(session, fault);
        let left = if told_first {
            left.min(TOLD_BY_PROGRAM)
        } else {
            left
        };
        Judged {
            line,
            part,
            sign,
            known,
            rung,
            told_first,
            points: whole * left / 100,
        }
    }

    /// Whether a plate that its readings put outside had another verdict of the apprentice before the program said so.
    fn was_told_first(&self, session: &Session, fault: &Fault) -> bool {
        let measured = matches!(
            fault,
            Fault::Thin { .. } | Fault::Tapered { .. } | Fault::Warped { .. }
        );
        let verdicts = fault
            .plate()
            .filter(|_| measured)
            .map(|plate| session.verdicts_on(plate));
        matches!(
            verdicts,
            Some((
                Some(Verdict::Outside),
                Some(Verdict::Inside | Verdict::TooCloseToCall)
            ))
        )
    }

    /// Plates with another verdict than their readings give, and those that nobody called too close to call.
    fn verdicts(&self, session: &Session) -> (Vec<String>, Vec<String>) {
        let (mut wrong, mut once) = (Vec::new(), Vec::new());
        for plate in &self.job.unit.plates {
            let (Some(verdict), Some(own)) = session.verdicts_on(&plate.name) else {
                continue;
            };
            match verdict {
                Verdict::TooCloseToCall if own != verdict => once.push(plate.name.clone()),
                verdict if own != verdict => wrong.push(plate.name.clone()),
                _ => {}
            }
        }
        if self.made.level >= 2 {
            once.extend(session.not_read_again(CAREFUL_HAND));
        }
        (wrong, once)
    }

    /// Whether what one knows a fault by is its figure, or what is to be seen there and nowhere else.
    fn is_known_by(&self, units: Units, fault: &Fault, known_by: &str) -> bool {
        let near = |read: Length, should: Length, room: Length| read.apart(should) <= room;
        let um = Length::from_um;
        let figure = match fault {
            Fault::Warped { by, .. } => lengths(units, known_by).any(|read| near(read, *by, um(12))),
            Fault::Thin { plate, .. } | Fault::Tapered { plate, .. } | Fault::OtherMaker { plate, .. } => {
                let points = self
                    .truth
                    .plates
                    .get(plate)
                    .map(|plate| plate.points)
                    .unwrap_or_default();
                let zero = self.truth.micrometer.zero;
                let spread = match fault {
                    Fault::Tapered { spread, .. } => Some(*spread),
                    _ => None,
                };
                let read: Vec<Length> = lengths(units, known_by).collect();
                let on_it = |read: &Length| {
                    points
                        .iter()
                        .any(|point| near(*read, *point, um(8)) || near(*read, *point + zero, um(8)))
                };
                match spread {
                    None => read.iter().any(on_it),
                    // the difference, or the readings that have it
                    Some(spread) => {
                        let between = read.iter().max().zip(read.iter().min());
                        let between = between.map(|(most, least)| most.apart(*least));
                        read.iter().any(|read| near(*read, spread, um(8)))
                            || read.iter().all(on_it) && between.is_some_and(|it| near(it, spread, um(8)))
                    }
                }
            }
            Fault::MicrometerZero { by } => {
                self.zero_is_named(units, known_by, *by, Checked::Micrometer, um(5))
            }
            Fault::DepthGaugeZero { by } => {
                self.zero_is_named(units, known_by, *by, Checked::DepthGauge, um(35))
            }
            Fault::Extension { length } => {
                lengths(units, known_by).any(|read| near(read, *length, um(5_000)))
            }
            Fault::Drag { .. } => {
                let drag = self.truth.drag;
                torques(units, known_by).any(|read| (read - drag).abs() <= 0.1 * drag + 0.6)
            }
            _ => false,
        };
        figure || self.is_seen(fault, known_by)
    }

    fn zero_is_named(&self, units: Units, known_by: &str, by: Length, gauge: Checked, room: Length) -> bool {
        let standard = self.standard(gauge).unwrap_or(Length::ZERO);
        lengths(units, known_by).any(|read| read.apart(by) <= room || read.apart(standard + by) <= room)
    }

    /// Whether a word of what is to be seen of the fault, and not without it, is among those said.
    fn is_seen(&self, fault: &Fault, known_by: &str) -> bool {
        let tells = self.telling_words(fault);
        words(known_by).iter().any(|word| tells.contains(word))
    }

    /// The words that stand in what is to be seen of a fault, and not in what is to be seen without it; for an order, the plates.
    fn telling_words(&self, fault: &Fault) -> Vec<String> {
        match fault {
            Fault::Swapped { left, right } => [left, right].map(|name| name.to_lowercase()).to_vec(),
            Fault::DeadFace { side, at, .. } => {
                let order = &self.truth.order[side.index()];
                let two = order.get(*at..at + 2).unwrap_or(&[]);
                two.iter().map(|name| name.to_lowercase()).collect()
            }
            fault => {
                let without = self.without(fault);
                let plain = words(&without.seen_of(fault));
                let mut tells = words(&self.seen_of(fault));
                tells.retain(|word| !plain.contains(word) && word.chars().count() > 2);
                tells
            }
        }
    }
}

/// Whether a fault shows where it is said to: on the surest of its signs, or on another one of its row.
fn shows_by(fault: &Fault, sign: Sign) -> bool {
    fault.kind().signs().contains(&sign)
}

fn same_parts(said: &[String], there: &[String]) -> bool {
    said.len() == there.len() && there.iter().all(|part| said.contains(part))
}

/// The words of a sentence in small letters, without the signs round them.
fn words(text: &str) -> Vec<String> {
    text.split_whitespace()
        .map(|word| word.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase())
        .filter(|word| !word.is_empty())
        .collect()
}

/// Every number of a text that can be a length: with its unit behind it, or a bare one.
fn lengths(units: Units, text: &str) -> impl Iterator<Item = Length> {
    let usual = crate::quantity::Dimension::Length.usual_unit(units);
    numbers(text).filter_map(move |number| parse_bare::<Length>(&number, usual).ok().map(|read| read.value()))
}

fn torques(units: Units, text: &str) -> impl Iterator<Item = f64> {
    let usual = crate::quantity::Dimension::Torque.usual_unit(units);
    numbers(text)
        .filter_map(move |number| parse_bare::<Torque>(&number, usual).ok())
        .map(|read| read.value().newton_metres())
}

/// Each number alone, and with the word behind it.
fn numbers(text: &str) -> impl Iterator<Item = String> {
    let tokens: Vec<String> = text
        .split_whitespace()
        .map(|word| word.trim_end_matches([',', ';', ':']).to_string())
        .collect();
    let pairs = tokens
        .iter()
        .enumerate()
        .filter(|(_, word)| {
            word.trim_start_matches(['+', '-'])
                .starts_with(|c: char| c.is_ascii_digit() || c == '.')
        })
        .flat_map(|(n, word)| {
            let with_unit = tokens.get(n + 1).map(|unit| format!("{word} {unit}"));
            std::iter::once(word.clone()).chain(with_unit)
        })
        .collect::<Vec<String>>();
    pairs.into_iter()
}
