use super::ask::{Said, Tone};
use super::definition::{Field, Guard};
use super::looks::{TURNED, spring_goes};
use super::question::expanded;
use super::session::Session;
use super::way::held_words;
use crate::metrology::Verdict;
use crate::quantity::{Force, Length, Torque};
use crate::record::{Aim, Chosen, Entry, Side, Value};

impl Session {
    pub(super) fn plate_words(&self, name: &str, again: bool) -> String {
        let facts = self.facts().plate(name, again);
        let units = self.state.units;
        match (&facts.measured, facts.figures, facts.verdict) {
            (Some(measured), Some(figures), Some(verdict)) => format!(
                "{}: {verdict}{}{}",
                match facts.spread() {
                    Some(spread) => format!(
                        "mean {}, least {}, spread {}",
                        measured.value.show(units),
                        figures.least.show(units),
                        spread.show(units)
                    ),
                    None => measured.value.show(units),
                },
                facts
                    .probability
                    // flatness and looks are held as they stand: a probability beside them would speak of thickness only
                    .filter(|_| facts.flatness.is_none() && !self.facts().look_rejects(name))
                    // nor where the thickness is inside and the spread is not
                    .filter(|inside| verdict != Verdict::Outside || *inside < 0.5)
                    .map_or(String::new(), |p| format!(" (P inside {:.0} %)", 100.0 * p)),
                if facts.reason.is_empty() {
                    String::new()
                } else {
                    format!("; {}", facts.reason)
                }
            ),
            _ => facts.reason,
        }
    }

    /// What is to be said about an entry that has been taken in.
    pub(super) fn remark(&self, entry: &Entry) -> Vec<Said> {
        let Entry::Answered { slot, value, .. } = entry else {
            return Vec::new();
        };
        let Some((_, step)) = self.job.procedure.step(&slot.step) else {
            return Vec::new();
        };
        let item = slot.item.as_deref().unwrap_or("");
        let facts = self.facts();
        let units = self.state.units;
        let say = |tone, words: String| vec![Said { tone, words }];
        let last_point = slot.point.is_none_or(|point| point == step.points);
        match step.fills {
            Some(
                Field::PlateThickness | Field::SpareThickness | Field::Remeasured | Field::PlateFlatness,
            ) => {
                let again = step.fills == Some(Field::Remeasured);
                let plate = facts.plate(item, again);
                let tone = plate.verdict.map_or(Tone::Plain, tone_of);
                if let (Some(Field::PlateFlatness), Some(flatness)) = (step.fills, plate.flatness) {
                    let most = self.job.unit.limits.flatness;
                    let held = if flatness > most {
                        Verdict::Outside
                    } else {
                        Verdict::Inside
                    };
                    let words = format!(
                        "{item}: out of flat by {}, at most {}: {held}",
                        flatness.show(units),
                        most.show(units)
                    );
                    return say(tone_of(held), words);
                }
                if last_point {
                    say(tone, format!("{item}: {}", self.plate_words(item, again)))
                } else {
                    let why = if plate.reason.is_empty() {
                        String::new()
                    } else {
                        format!("; {}", plate.reason)
                    };
                    plate.verdict.map_or_else(Vec::new, |verdict| {
                        say(tone, format!("{item}: so far {verdict}{why}"))
                    })
                }
            }
            Some(Field::PlateLook) if facts.look_rejects(item) => say(
                Tone::Bad,
                format!(
                    "{item} is rejected; it is still measured, for what the unit was left with last time"
                ),
            ),
            Some(Field::MicrometerZero | Field::DepthGaugeZero) => {
                let gauge = match step.fills {
                    Some(Field::MicrometerZero) => facts.micrometer(),
                    _ => facts.depth_gauge(),
                };
                gauge.map_or_else(Vec::new, |(_, zero)| {
                    say(
                        Tone::Plain,
                        format!(
                            "zero error {}; it is taken off every reading",
                            signed(zero, units)
                        ),
                    )
                })
            }
            Some(Field::SpringLook) => match value {
                Value::Word { word, .. } if word == TURNED => say(
                    Tone::Doubt,
                    "lay its discs as the unit file says, and look at it again".to_string(),
                ),
                Value::Word { word, .. } if spring_goes(word) => say(
                    Tone::Bad,
                    "this spring does not go back in: take a new one of the same kind, which is looked at next"
                        .to_string(),
                ),
                _ => Vec::new(),
            },
            Some(Field::SpringHeight) => {
                let least = self.job.unit.least_spring_height();
                match (least, value) {
                    (Some(least), Value::Length(nm)) if Length::from_nm(*nm) < least => say(
                        Tone::Bad,
                        format!(
                            "below the least of {}: this spring has settled and wants to be replaced",
                            least.show(units)
                        ),
                    ),
                    _ => Vec::new(),
                }
            }
            Some(Field::PressedHeight) => {
                let Some(side) = Side::BOTH.into_iter().find(|side| side.word() == item) else {
                    return Vec::new();
                };
                facts.pressed(side).map_or_else(Vec::new, |(agreement, sum, pressed)| {
                    let figures = format!(
                        "plates add up to {} ± {}, pressed {} ± {}: difference {}, may differ by {}",
                        sum.value.show(units),
                        expanded(&sum).show(units),
                        pressed.value.show(units),
                        expanded(&pressed).show(units),
                        agreement.difference.show(units),
                        agreement.joint.show(units)
                    );
                    if agreement.agrees {
                        say(Tone::Good, format!("{figures}. They agree."))
                    } else {
                        say(Tone::Bad, format!("{figures}. They do NOT agree: a misread plate, dirt or a burr. Go back and find it."))
                    }
                })
            }
            Some(Field::DryClosing) if last_point => {
                let chain = Side::BOTH.into_iter().find(|side| side.word() == item);
                facts.dry_agreement(slot.round, chain).map_or_else(
                    Vec::new,
                    |(agreement, predicted, measured)| {
                        let words = format!(
                            "measured {}, predicted {}: difference {}, may differ by {}",
                            measured.value.show(units),
                            predicted.value.show(units),
                            agreement.difference.show(units),
                            agreement.joint.show(units)
                        );
                        let mut said = say(if agreement.agrees { Tone::Good } else { Tone::Bad }, words);
                        said.extend(self.tell_spread(slot.round));
                        said
                    },
                )
            }
            Some(Field::Choice) => self
                .state
                .chosen(slot.round)
                .map_or_else(Vec::new, |chosen| self.tell_choice(chosen)),
            Some(Field::Breakaway) if facts.extension() > Length::ZERO => match value {
                Value::Torque(read) => Torque::from_newton_metres(*read).map_or_else(
                    |_| Vec::new(),
                    |read| {
                        say(
                            Tone::Plain,
                            format!("with the extension: {}", facts.corrected(read).show(units)),
                        )
                    },
                ),
                _ => Vec::new(),
            },
            _ => match value {
                Value::Yes(false) if step.guard == Some(Guard::Stops) => say(
                    Tone::Bad,
                    "the way stops here: put it right and look again; only a yes goes on".to_string(),
                ),
                Value::Yes(false) => say(Tone::Doubt, "noted as an open point".to_string()),
                _ => Vec::new(),
            },
        }
    }

    /// What a change by hand does, before it is taken.
    pub(super) fn tell_draft(&self, draft: &Chosen) -> Vec<Said> {
        let mut said = self.tell_choice(draft);
        let faults = self.faults_of(&draft.sides);
        said.extend(faults.into_iter().map(|words| Said {
            tone: Tone::Bad,
            words,
        }));
        said.push(Said {
            tone: Tone::Plain,
            words: "not taken yet: hand takes it".to_string(),
        });
        said
    }

    fn tell_choice(&self, chosen: &Chosen) -> Vec<Said> {
        let facts = self.facts();
        let mut said = Vec::new();
        let mut closings = [Length::ZERO; 2];
        for chain in facts.chains() {
            said.extend(
                self.chain_formula(&chosen.sides, chain)
                    .into_iter()
                    .skip(1)
                    .map(|words| Said {
                        tone: Tone::Plain,
                        words,
                    }),
            );
            if let Some(closing) = facts.closing(&chosen.sides, chain) {
                match chain {
                    None => closings = [closing.value; 2],
                    Some(side) => closings[side.index()] = closing.value,
                }
            }
        }
        said.extend(self.traps(closings).into_iter().map(|words| Said {
            tone: Tone::Doubt,
            words,
        }));
        let faces = [facts.faces(&chosen.sides[0]), facts.faces(&chosen.sides[1])];
        said.push(Said {
            tone: Tone::Plain,
            words: format!("active faces: left {}, right {}", faces[0], faces[1]),
        });
        said.extend(self.tell_dead_faces(chosen));
        said
    }

    /// What is to be known where a pack rubs less than its plates could, or otherwise than it should.
    pub(super) fn tell_dead_faces(&self, chosen: &Chosen) -> Vec<Said> {
        let (facts, unit) = (self.facts(), &self.job.unit);
        let of_side = |side: Side| {
            let pack = &chosen.sides[side.index()];
            let (faces, most) = (facts.faces(pack), facts.most_faces(pack));
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
            Some(Said { tone, words })
        };
        Side::BOTH.into_iter().filter_map(of_side).collect()
    }

    /// What the springs will give, with its intervals, once the room for them is known.
    fn tell_spread(&self, round: u32) -> Vec<Said> {
        let units = self.state.units;
        let facts = self.facts();
        let Some(closings) = facts.closings(round) else {
            return Vec::new();
        };
        let (Some(force), Aim::Preload { least, most, .. }) = (
            facts.forces(closings).ok().map(|forces| forces[0]),
            self.job.unit.aim,
        ) else {
            return Vec::new();
        };
        // by propagation only: a simulation would be waited for, and stands at the end and on the sheet
        let held = self.job.unit.proof.held;
        let doubled = |u: Option<Force>| Force::from_newtons(2.0 * u?.newtons()).ok();
        let u = doubled(facts.force_uncertainty(round))
            .map_or(String::new(), |u| format!(" ± {}", u.show(units)));
        let breakaway = self
            .state
            .chosen(round)
            .and_then(|chosen| facts.expected(&chosen.sides, closings))
            .map_or(String::new(), |torque| {
                let u = facts
                    .breakaway_uncertainty(round)
                    .map_or(0.0, |u| 2.0 * u.newton_metres());
                format!(
                    "; breakaway {} ± {u:.1} N·m, {}",
                    torque.show(units),
                    held_words(held)
                )
            });
        let inside = (least..=most).contains(&force);
        let mut said = vec![Said {
            tone: if inside { Tone::Good } else { Tone::Doubt },
            words: format!(
                "preload {}{u}, {} its window{breakaway}",
                force.show(units),
                if inside { "in" } else { "OUT OF" }
            ),
        }];
        if let Some((force, breakaway)) = facts.loss_by_wear(round) {
            said.push(Said {
                tone: Tone::Plain,
                words: format!(
                    "a pack that wears lets its spring out: each 0.1 mm on both will cost {} and {} of breakaway",
                    force.show(units),
                    breakaway.show(units)
                ),
            });
        }
        said.extend(self.traps(closings).into_iter().map(|words| Said {
            tone: Tone::Doubt,
            words,
        }));
        said
    }

    /// Traps of the springs at these closings, in words.
    pub(super) fn traps(&self, closings: [Length; 2]) -> Vec<String> {
        let facts = self.facts();
        let mut traps = Vec::new();
        for chain in facts.chains() {
            if let Some(stack) = facts.stack(chain) {
                let height = facts.spring_height(closings[chain.map_or(0, Side::index)]);
                for trap in stack.traps_at_height(height) {
                    traps.push(chain.map_or_else(|| trap.to_string(), |side| format!("{side}: {trap}")));
                }
            }
        }
        traps
    }
}

fn tone_of(verdict: Verdict) -> Tone {
    match verdict {
        Verdict::Inside => Tone::Good,
        Verdict::TooCloseToCall => Tone::Doubt,
        Verdict::Outside => Tone::Bad,
    }
}

pub(super) fn signed(length: Length, units: crate::quantity::Units) -> String {
    if length >= Length::ZERO {
        format!("+{}", length.show(units))
    } else {
        length.show(units)
    }
}
