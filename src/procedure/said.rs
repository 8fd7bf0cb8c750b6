use super::ask::{Said, Tone};
use super::definition::{Field, Guard};
use super::figures::{expanded, signed};
use super::looks::{TURNED, spring_goes};
use super::session::Session;
use crate::mechanics::Side;
use crate::metrology::Verdict;
use crate::quantity::{Length, Torque};
use crate::record::{Entry, Value};

impl Session {
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
                    say(tone, format!("{item}: {}", facts.plate_words(item, again)))
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
                        said.extend(facts.tell_spread(slot.round));
                        said
                    },
                )
            }
            Some(Field::Choice) => self
                .state
                .chosen(slot.round)
                .map_or_else(Vec::new, |chosen| facts.tell_choice(chosen)),
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
}

fn tone_of(verdict: Verdict) -> Tone {
    match verdict {
        Verdict::Inside => Tone::Good,
        Verdict::TooCloseToCall => Tone::Doubt,
        Verdict::Outside => Tone::Bad,
    }
}
