//! The slips that would explain a proof outside its window: they are looked for before anything is changed.

use super::derived::Derived;
use super::field::Field;
use super::proof::ProofFacts;
use super::reading_mode::{ReadingMode, held_words};
use crate::mechanics::Held;
use crate::mechanics::wrench::true_torque;
use crate::metrology::Verdict;
use crate::quantity::{Angle, Length, Torque, Units, parse};

/// The shortest and the longest adaptor that somebody forgets to give, mm (*common practice, no source*: a crow-foot at the one
/// end, a long offset bar at the other).
const ADAPTORS: [f64; 2] = [15.0, 400.0];
/// The most drag that is overlooked beside what was read, as a share of the readings (*common practice, no source*).
const OVERLOOKED: f64 = 0.25;

/// What a round of readings would have been read with, had something slipped.
#[derive(Clone, Copy)]
struct Supposed {
    held: Held,
    /// How many newton metres each that was given stands for.
    times: f64,
    extension: Length,
    drag: Torque,
}

impl Derived<'_> {
    /// The slips that would bring a proof into its window, each with what it would then stand at, and what would not; nothing
    /// where it is inside, or is not read.
    pub fn slips(&self, round: u32) -> Vec<String> {
        self.at(round).slips_as_it_stood(round).unwrap_or_default()
    }

    fn slips_as_it_stood(&self, round: u32) -> Option<Vec<String>> {
        let proof = self.proof(round)?;
        let mean = proof.by_file?;
        if proof.verdict? == Verdict::Inside {
            return None;
        }
        let window = &self.job.unit.proof;
        let low = mean.newton_metres() < (window.least.newton_metres() + window.most.newton_metres()) / 2.0;
        let as_read = Supposed {
            held: proof.held,
            times: 1.0,
            extension: self.extension(),
            drag: self.drag()?,
        };
        let kinds = [
            ("how it was held", self.held_otherwise(round, &proof, as_read)),
            ("an adaptor", self.adaptor(round, &proof, as_read, low)),
            ("the unit of torque", self.unit_of_torque(round, &proof, as_read)),
            ("drag", self.drag_slip(round, &proof, as_read, low)),
        ];
        let mut words = Vec::new();
        let mut others = Vec::new();
        for (kind, slip) in kinds {
            match slip {
                Some(slip) if words.is_empty() => {
                    words.push(format!(
                        "first, before anything is changed, look for a slip: {slip}"
                    ));
                }
                Some(slip) => words.push(format!("or {slip}")),
                None => others.push(kind),
            }
        }
        if words.is_empty() {
            words.push(format!("no slip explains it: not {}", others.join(", not ")));
        } else if !others.is_empty() {
            words.push(format!("it is not explained by {}", others.join(", nor by ")));
        }
        words.push("a click wrench shows no breakaway: only a dial, beam or digital one does".to_string());
        Some(words)
    }

    /// The mean of the readings while turning as it would stand against the window, had they been read so.
    fn stands_at(&self, round: u32, proof: &ProofFacts, supposed: Supposed) -> Option<Torque> {
        let bench = self.bench_of(round)?;
        let straight = Angle::from_degrees(0.0).ok()?;
        let turning = proof.readings.iter().filter(|reading| !reading.way.still);
        let mut sum = (0.0, 0);
        for reading in turning {
            let read = Torque::from_newton_metres(supposed.times * reading.read.newton_metres()).ok()?;
            let torque = match self.wrench() {
                Some((_, length)) => true_torque(read, length, supposed.extension, straight).ok()?,
                None => read,
            };
            let (by_file, _) = self.by_the_file(&bench, supposed.held, reading.way, torque, supposed.drag);
            sum = (sum.0 + by_file?.newton_metres(), sum.1 + 1);
        }
        Torque::from_newton_metres(sum.0 / f64::from(sum.1)).ok()
    }

    /// The same where it lies in the window.
    fn inside(&self, round: u32, proof: &ProofFacts, supposed: Supposed) -> Option<Torque> {
        let window = &self.job.unit.proof;
        let at = self.stands_at(round, proof, supposed)?;
        (window.least..=window.most).contains(&at).then_some(at)
    }

    fn held_otherwise(&self, round: u32, proof: &ProofFacts, as_read: Supposed) -> Option<String> {
        let other = match proof.held {
            Held::Case => Held::Output,
            Held::Output => Held::Case,
        };
        let at = self.inside(
            round,
            proof,
            Supposed {
                held: other,
                ..as_read
            },
        )?;
        Some(format!(
            "read with {} and not with {}, they would stand at {}, inside; see how it is held",
            held_words(other),
            held_words(proof.held),
            at.show(self.state.units)
        ))
    }

    fn adaptor(&self, round: u32, proof: &ProofFacts, as_read: Supposed, low: bool) -> Option<String> {
        // a bar under the socket turns with it and makes the wrench no longer
        if as_read.extension > Length::ZERO
            && let Some(at) = self.inside(
                round,
                proof,
                Supposed {
                    extension: Length::ZERO,
                    ..as_read
                },
            )
        {
            return Some(format!(
                "without the {} of adaptor that were given they would stand at {}, inside; a straight bar under the socket counts 0",
                as_read.extension.show(self.state.units),
                at.show(self.state.units)
            ));
        }
        if !low {
            return None;
        }
        // the reading grows with the adaptor: the lengths that bring it in lie side by side
        let [shortest, longest] = ADAPTORS;
        let lengths = (0..)
            .map(|n| shortest + 5.0 * f64::from(n))
            .take_while(|mm| *mm <= longest);
        let fits: Vec<Length> = lengths
            .filter_map(|mm| {
                let more = Length::from_mm(mm).ok()?;
                let extension = as_read.extension + more;
                self.inside(round, proof, Supposed { extension, ..as_read })?;
                Some(more)
            })
            .collect();
        let (first, last) = (fits.first()?, fits.last()?);
        Some(format!(
            "an adaptor that makes the wrench {} to {} longer{} would explain it: a crow-foot or an offset bar counts, a bar \
             under the socket does not",
            about(*first, self.state.units),
            about(*last, self.state.units),
            if as_read.extension > Length::ZERO {
                " than was given"
            } else {
                " and was not given"
            }
        ))
    }

    /// The scale may be of another unit than the one that was given.
    fn unit_of_torque(&self, round: u32, proof: &ProofFacts, as_read: Supposed) -> Option<String> {
        let answers = ReadingMode::ALL
            .iter()
            .flat_map(|(_, item)| self.state.points(Field::BREAKAWAY, round, Some(item)));
        let given: Vec<&str> = answers
            .map(|answer| answer.text.trim_start_matches(|c: char| !c.is_alphabetic()))
            .collect();
        let one = |unit: &str| parse::<Torque>(&format!("1 {unit}")).ok();
        let first = given.first()?;
        if given.iter().any(|unit| unit != first) {
            return Some(
                "the readings are given in different units; see what the scale is marked in".to_string(),
            );
        }
        let of_given = one(first)?.newton_metres();
        ["N·m", "lbf·ft", "kgf·m", "lbf·in"].into_iter().find_map(|scale| {
            let times = one(scale)?.newton_metres() / of_given;
            if (times - 1.0).abs() < 1e-9 {
                return None;
            }
            let at = self.inside(round, proof, Supposed { times, ..as_read })?;
            Some(format!(
                "with a scale in {scale} and not in {first} they would stand at {}, inside; see what it is marked in",
                at.show(self.state.units)
            ))
        })
    }

    fn drag_slip(&self, round: u32, proof: &ProofFacts, as_read: Supposed, low: bool) -> Option<String> {
        let none = Torque::from_newton_metres(0.0).ok()?;
        let given = as_read.drag.newton_metres();
        if low {
            let at = self
                .inside(
                    round,
                    proof,
                    Supposed {
                        drag: none,
                        ..as_read
                    },
                )
                .filter(|_| given > 0.0)?;
            return Some(format!(
                "with no drag taken off they would stand at {}, inside; read the {} of drag again",
                at.show(self.state.units),
                as_read.drag.show(self.state.units)
            ));
        }
        let most = given + OVERLOOKED * proof.turning?.newton_metres();
        let drags = (1..)
            .map(|n| given + f64::from(n))
            .take_while(|drag| *drag <= most);
        let drag = drags
            .filter_map(|drag| Torque::from_newton_metres(drag).ok())
            .find(|drag| {
                self.inside(
                    round,
                    proof,
                    Supposed {
                        drag: *drag,
                        ..as_read
                    },
                )
                .is_some()
            })?;
        Some(format!(
            "about {} of drag and not {} would explain it; read it again with nothing held",
            drag.show(self.state.units),
            as_read.drag.show(self.state.units)
        ))
    }
}

/// A length that a hand would measure with a rule.
fn about(length: Length, units: Units) -> String {
    match units {
        Units::Metric => format!("{:.0} mm", length.mm()),
        Units::Inch => format!("{:.1} in", length.mm() / 25.4),
    }
}
