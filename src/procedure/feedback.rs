//! What is told of plates, of a choice and of springs, in words.

use super::ask::{Feedback, Tone};
use super::derived::Derived;
use super::reading_mode::held_words;
use crate::mechanics::Side;
use crate::metrology::Verdict;
use crate::quantity::Length;
use crate::record::Chosen;
use crate::workshop::Aim;

impl Derived<'_> {
    pub(super) fn plate_words(&self, name: &str, again: bool) -> String {
        let plate = self.plate(name, again);
        let units = self.state.units;
        let (Some(measured), Some(figures), Some(verdict)) = (&plate.measured, plate.figures, plate.verdict)
        else {
            return plate.reason;
        };
        let read = match plate.spread() {
            Some(spread) => format!(
                "mean {}, least {}, spread {}",
                measured.value.show(units),
                figures.least.show(units),
                spread.show(units)
            ),
            None => measured.value.show(units),
        };
        let spoken = &self.job.procedure.spoken;
        let said = spoken.verdict(verdict);
        let percent = plate.probability.map(|p| format!("{:.0} %", 100.0 * p));
        match (plate.thickness, percent) {
            // what throws it out is something else, and has no probability
            (Some(thickness), Some(percent)) if thickness != verdict => {
                format!(
                    "{read}: thickness {} (P {percent}); {}: {said}",
                    spoken.verdict(thickness),
                    plate.reason
                )
            }
            (_, percent) => {
                // flatness and looks are held as they stand: a probability beside them would speak of thickness only
                let alone = plate.flatness.is_none() && !self.look_rejects(name);
                let p = percent.filter(|_| alone).map(|p| format!(" (P inside {p})"));
                let reason = match plate.reason.as_str() {
                    "" => String::new(),
                    reason => format!("; {reason}"),
                };
                format!("{read}: {said}{}{reason}", p.unwrap_or_default())
            }
        }
    }

    pub(super) fn tell_choice(&self, chosen: &Chosen) -> Vec<Feedback> {
        let derived = self;
        let mut said = Vec::new();
        let mut closings = [Length::ZERO; 2];
        for chain in derived.chains() {
            said.extend(
                self.chain_formula(&chosen.sides, chain)
                    .into_iter()
                    .skip(1)
                    .map(|words| Feedback {
                        tone: Tone::Plain,
                        words,
                    }),
            );
            if let Some(closing) = derived.closing(&chosen.sides, chain) {
                match chain {
                    None => closings = [closing.value; 2],
                    Some(side) => closings[side.index()] = closing.value,
                }
            }
        }
        said.extend(self.traps(closings).into_iter().map(|words| Feedback {
            tone: Tone::Doubt,
            words,
        }));
        let faces = [derived.faces(&chosen.sides[0]), derived.faces(&chosen.sides[1])];
        said.push(Feedback {
            tone: Tone::Plain,
            words: format!("active faces: left {}, right {}", faces[0], faces[1]),
        });
        said.extend(self.tell_dead_faces(chosen));
        said
    }

    /// What is to be known where a pack rubs less than its plates could, or otherwise than it should.
    pub(super) fn tell_dead_faces(&self, chosen: &Chosen) -> Vec<Feedback> {
        let (derived, unit) = (self, &self.job.unit);
        let of_side = |side: Side| {
            let pack = &chosen.sides[side.index()];
            let (faces, most) = (derived.faces(pack), derived.most_faces(pack));
            let meant = unit.packs[side.index()].faces;
            let (tone, words) = if faces != meant {
                (
                    Tone::Doubt,
                    format!("{side}: {faces} faces rub, and {meant} are meant"),
                )
            } else if faces < most {
                let by = match self.job.rework {
                    Some(_) => "setting",
                    None => "unit file",
                };
                let words = format!(
                    "{side}: {faces} faces rub, and these plates could make {most}: dead faces are laid in, as the {by} means"
                );
                (Tone::Plain, words)
            } else {
                return None;
            };
            Some(Feedback { tone, words })
        };
        Side::BOTH.into_iter().filter_map(of_side).collect()
    }

    /// What the springs will give, with its intervals, once the room for them is known.
    pub(super) fn tell_spread(&self, round: u32) -> Vec<Feedback> {
        let units = self.state.units;
        let derived = self;
        let Some(closings) = derived.closings(round) else {
            return Vec::new();
        };
        let (Some(force), Aim::Preload { least, most, .. }) = (
            derived.forces(closings).ok().map(|forces| forces[0]),
            self.job.unit.aim,
        ) else {
            return Vec::new();
        };
        // by propagation only: a simulation would be waited for, and stands at the end and on the sheet
        let (mut by_force, mut by_breakaway) = (None, None);
        if let Some((force, breakaway)) = derived.intervals(round) {
            (by_force, by_breakaway) = (Some(force), breakaway);
        }
        let held = self.job.unit.proof.held;
        let breakaway = self
            .state
            .chosen(round)
            .and_then(|chosen| derived.expected(&chosen.sides, closings))
            .map_or(String::new(), |torque| {
                let between = by_breakaway.as_ref().map_or(String::new(), |interval| {
                    format!(
                        ", 95 % {} to {}",
                        interval.low.show(units),
                        interval.high.show(units)
                    )
                });
                format!(
                    "; breakaway {}{between}, {}",
                    torque.show(units),
                    held_words(held)
                )
            });
        let between = by_force.as_ref().map_or(String::new(), |interval| {
            format!(
                ", 95 % {} to {},",
                interval.low.show(units),
                interval.high.show(units)
            )
        });
        let inside = (least..=most).contains(&force);
        let mut said = vec![Feedback {
            tone: if inside { Tone::Good } else { Tone::Doubt },
            words: format!(
                "preload {}{between} {} its window{breakaway}",
                force.show(units),
                if inside { "in" } else { "OUT OF" }
            ),
        }];
        if let Some(force) = &by_force {
            let mut words = format!("where that comes from: preload by {}", force.from_what());
            if let Some(breakaway) = &by_breakaway {
                words.push_str(&format!("; breakaway by {}", breakaway.from_what()));
                if let Some(narrowed) = breakaway.narrowed(units) {
                    words.push_str(&format!("; narrowed most by {narrowed}"));
                }
            }
            said.push(Feedback {
                tone: Tone::Plain,
                words,
            });
        }
        if let Some((force, breakaway)) = derived.loss_by_wear(round) {
            said.push(Feedback {
                tone: Tone::Plain,
                words: format!(
                    "a pack that wears lets its spring out: each 0.1 mm on both will cost {} and {} of breakaway",
                    force.show(units),
                    breakaway.show(units)
                ),
            });
        }
        said.extend(self.traps(closings).into_iter().map(|words| Feedback {
            tone: Tone::Doubt,
            words,
        }));
        said
    }

    /// Traps of the springs at these closings, in words.
    pub(super) fn traps(&self, closings: [Length; 2]) -> Vec<String> {
        let derived = self;
        let mut traps = Vec::new();
        for chain in derived.chains() {
            if let Some(stack) = derived.stack(chain) {
                let height = derived.spring_height(closings[chain.map_or(0, Side::index)]);
                for trap in stack.traps_at_height(height) {
                    traps.push(chain.map_or_else(|| trap.to_string(), |side| format!("{side}: {trap}")));
                }
            }
        }
        traps
    }
}

/// How a verdict is meant.
pub(super) fn tone_of(verdict: Verdict) -> Tone {
    match verdict {
        Verdict::Inside => Tone::Good,
        Verdict::TooCloseToCall => Tone::Doubt,
        Verdict::Outside => Tone::Bad,
    }
}
