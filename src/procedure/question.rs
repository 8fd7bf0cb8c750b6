use super::ask::{self, Ask, Expects, StepKind, Why};
use super::definition::{Field, Guard, Hazard, Kind, Plain, Shows, Step};
use super::figures::expanded;
use super::plan::Planned;
use super::session::Session;
use super::way::Way;
use crate::mechanics::{Keying, Side};
use crate::quantity::{Dimension, Units};
use crate::record::Slot;
use crate::workshop::{Aim, Measures, ramp_words};

/// What stands over every question and at the top of every page of practice.
pub(super) const PRACTICE: &str = "PRACTICE, no real unit";

impl Session {
    /// Puts a planned question into words.
    pub(super) fn question(&self, planned: &Planned<'_>, number: usize, of: usize) -> Ask {
        let Planned { slot, stage, step } = planned;
        let mut ask = Ask {
            slot: slot.clone(),
            number,
            of,
            stage: match self.state.practice {
                Some(_) => format!("{PRACTICE} · {}", stage.title),
                None => stage.title.clone(),
            },
            kind: step.kind,
            words: step.words.clone(),
            tools: step.tools.clone(),
            limits: Vec::new(),
            table: None,
            drawing: Vec::new(),
            prompt: String::new(),
            expects: self.expects(slot, step),
            before: self.kept_word(slot, step),
            guarded: step.guard.is_some(),
            why: Why {
                reason: step.why.clone(),
                formula: Vec::new(),
            },
            may_skip: step.skip,
            later: step.later,
            again: step.again && slot.round > 1,
            practice: self.state.practice.is_some(),
            terms: Vec::new(),
        };
        ask.prompt = self.prompt(slot, step);
        if let Some(torque) = step.torque {
            self.facts().enrich_own_torque(&mut ask, torque);
        }
        match step.fills {
            Some(field) => {
                self.enrich(&mut ask, slot, field);
                ask.why.formula.extend(self.facts().formula_of(slot, field));
            }
            None if step.covers.contains(&Hazard::Spring) => self.facts().enrich_cover(&mut ask, slot),
            None => {}
        }
        match step.shows {
            Some(Shows::Ramps) => {
                let ramp = &self.job.unit.ramp;
                ask.limits.push(format!(
                    "drive ramp {}; coast ramp {}",
                    ramp_words(ramp.drive),
                    ramp_words(ramp.coast)
                ));
            }
            Some(Shows::Shims) => ask.limits.extend(self.facts().shims_listed(slot)),
            None => {}
        }
        ask
    }

    fn prompt(&self, slot: &Slot, step: &Step) -> String {
        let item = slot.item.as_deref().unwrap_or("");
        let what = match step.fills {
            Some(Field::PlateThickness | Field::SpareThickness | Field::Remeasured) => {
                format!(
                    "Plate {item}, reading {} of {}",
                    slot.point.unwrap_or(1),
                    step.points
                )
            }
            Some(Field::PlateFlatness | Field::SpareFlatness | Field::PlateLook | Field::Fate) => {
                format!("Plate {item}")
            }
            Some(Field::LayerIn) => {
                let layers = self.facts().layers(slot.round);
                let count = layers
                    .iter()
                    .filter(|(name, _)| name.starts_with(item.split('-').next().unwrap_or("")))
                    .count();
                let n = item.rsplit('-').next().unwrap_or("");
                let what = layers
                    .iter()
                    .find(|(name, _)| name == item)
                    .map_or_else(String::new, |(_, layer)| self.facts().layer_words(layer));
                format!(
                    "{}: {n} of {count} from the wall: {what}",
                    capital(item.split('-').next().unwrap_or(""))
                )
            }
            Some(Field::LaidIn) => self.facts().part_prompt(slot),
            Some(Field::Tightened) => {
                let stage = self.facts().stage_words(slot).unwrap_or_default();
                format!("{}, stage {}: {stage}", capital(item), slot.point.unwrap_or(1))
            }
            Some(Field::Breakaway) => {
                let turned = self.facts().turned_said();
                let way = Way::named(item).map(|way| way.words(turned));
                format!(
                    "{}, position {} of {}",
                    capital(way.as_deref().unwrap_or(item)),
                    slot.point.unwrap_or(1),
                    step.points
                )
            }
            Some(Field::DryClosing) => {
                let what = if self.job.unit.spring.is_some() {
                    if self.facts().stacks_a_chain() == 2 {
                        "Room for both springs"
                    } else {
                        "Room for the springs"
                    }
                } else {
                    "Gap"
                };
                with_point(&with_item(what, item), slot, step)
            }
            Some(Field::SpringHeight) => with_item("Spring", item),
            Some(Field::SpringLook) => {
                let spring = with_item("Spring", item);
                slot.point
                    .map_or(spring.clone(), |look| format!("{spring}, look {look}"))
            }
            Some(Field::RingHeight) => with_point(&with_item("Ring", item), slot, step),
            Some(Field::CaseDepth) => with_point(&with_item("Depth", item), slot, step),
            Some(Field::PressedHeight | Field::FoundOrder) => {
                with_point(&with_item("Pack", item), slot, step)
            }
            Some(Field::SignedBuilt | Field::SignedChecked | Field::BuiltBy) => "Name".to_string(),
            _ if step.kind == StepKind::Caution => "Read and understood".to_string(),
            Some(field) if matches!(field.kind(), Kind::Quantity(_)) => "Reading".to_string(),
            None if step.each.is_some() && !item.is_empty() || step.guard == Some(Guard::Stops) => {
                let what = if step.each.is_some() && !item.is_empty() {
                    capital(item)
                } else {
                    "Answer".to_string()
                };
                slot.point
                    .map_or(what.clone(), |look| format!("{what}, look {look}"))
            }
            _ => match step.answer {
                Plain::Done if step.fills.is_none() => "This step".to_string(),
                _ => "Answer".to_string(),
            },
        };
        what + &self.before_words(slot, step)
    }

    fn expects(&self, slot: &Slot, step: &Step) -> Expects {
        let Some(field) = step.fills else {
            return match (step.kind, step.answer) {
                (StepKind::Caution, _) => Expects::Acknowledge,
                (_, Plain::Done) => Expects::Done,
                (_, Plain::YesNo) => Expects::YesNo,
                (_, Plain::Text) => Expects::Text { optional: false },
            };
        };
        match field.kind() {
            Kind::Text | Kind::Name => Expects::Text { optional: false },
            Kind::Done => Expects::Done,
            Kind::Quantity(dimension) => Expects::Quantity {
                unit: dimension.usual_unit(self.state.units),
                example: example(dimension, self.state.units).to_string(),
            },
            Kind::Order => Expects::Names(
                self.job
                    .unit
                    .plates
                    .iter()
                    .map(|plate| plate.name.clone())
                    .collect(),
            ),
            Kind::Word => {
                let ways = self.ways(slot, field);
                let with_reason: Vec<String> = ways
                    .iter()
                    .filter(|way| self.reason_wanted(slot, field, &way.key).is_some())
                    .map(|way| format!("{} BECAUSE OF THIS", way.key))
                    .collect();
                if with_reason.is_empty() {
                    Expects::OneOf(ways)
                } else {
                    Expects::OneOfOrLine {
                        ways,
                        lines: with_reason,
                    }
                }
            }
            Kind::Choice => {
                let proposals = self
                    .choosing
                    .proposals(&self.facts())
                    .as_ref()
                    .map_or(0, |outcome| outcome.choices.len());
                let mut ways: Vec<ask::Way> = (1..=proposals)
                    .map(|n| ask::Way {
                        key: n.to_string(),
                        words: format!("take proposal {n}"),
                    })
                    .collect();
                if self.choosing.draft.is_some() {
                    ways.push(ask::Way {
                        key: "hand".to_string(),
                        words: "take the change by hand".to_string(),
                    });
                }
                Expects::OneOfOrLine {
                    ways,
                    lines: [
                        "swap A B",
                        "shims left 0.10 0.15",
                        "plates left A B C",
                        "first fewest|closest|surest|reuse",
                        "keep A left",
                        "without 0.30 (or a plate)",
                        "guard on",
                        "more",
                    ]
                    .map(str::to_string)
                    .to_vec(),
                }
            }
        }
    }

    fn enrich(&self, ask: &mut Ask, slot: &Slot, field: Field) {
        let units = self.state.units;
        let limits = &self.job.unit.limits;
        let facts = self.facts();
        match field {
            Field::PlateThickness | Field::SpareThickness | Field::Remeasured => {
                let item = slot.item.as_deref().unwrap_or("");
                let least = match facts.keyed(item) {
                    Some(Keying::Case) => limits.case_least,
                    _ => limits.gear_least,
                };
                ask.limits.push(format!(
                    "at least {}; spread at most {}",
                    least.show(units),
                    limits.spread.show(units)
                ));
                if field == Field::Remeasured {
                    ask.limits
                        .push(format!("so far: {}", self.facts().plate_words(item, false)));
                }
                if let Some((instrument, zero)) = facts.micrometer() {
                    ask.why.formula = vec![
                        "thickness = reading − zero error;  u² = (step/√12)² + s² + u_cal²".to_string(),
                        format!(
                            "zero error {}; step {}, s {}, u_cal {}",
                            zero.show(units),
                            instrument.resolution.show(units),
                            instrument.repeatability.show(units),
                            instrument.calibration.show(units)
                        ),
                        format!(
                            "inside when P(least ≥ {}) ≥ {:.2}",
                            least.show(units),
                            limits.confidence
                        ),
                    ];
                }
            }
            Field::PlateFlatness | Field::SpareFlatness => {
                ask.limits
                    .push(format!("at most {}", limits.flatness.show(units)));
            }
            Field::Fate => {
                let item = slot.item.as_deref().unwrap_or("");
                ask.limits.push(self.facts().plate_words(item, true));
            }
            Field::SpringHeight => {
                if let Some(spring) = &self.job.unit.spring {
                    let least = spring
                        .least_height
                        .map(|least| format!(", at least {}", least.show(units)));
                    ask.limits.push(format!(
                        "new {}{}",
                        spring.stack.free_height().show(units),
                        least.unwrap_or_default()
                    ));
                }
            }
            Field::MicrometerZero | Field::DepthGaugeZero => {
                let field = if field == Field::MicrometerZero {
                    Field::Micrometer
                } else {
                    Field::DepthGauge
                };
                if let Some((id, _)) = self.state.word(field, 1, None)
                    && let Some(instrument) = self.job.instruments.iter().find(|one| one.id == id)
                    && let Some(gauge) = super::measured::gauge_of(&instrument.measures)
                {
                    ask.limits
                        .push(format!("the standard of {id} is {}", gauge.standard.show(units)));
                    ask.why.formula = vec!["zero error = shown − standard".to_string()];
                } else {
                    // on a form it is not known yet which one it will be
                    let standards = self.job.instruments.iter().filter_map(|one| {
                        let gauge = super::measured::gauge_of(&one.measures)?;
                        let mine =
                            matches!(one.measures, Measures::Thickness(_)) == (field == Field::Micrometer);
                        mine.then(|| format!("the standard of {} is {}", one.id, gauge.standard.show(units)))
                    });
                    ask.limits.extend(standards);
                }
            }
            Field::PressedHeight => {
                ask.why.formula = vec![
                    "sum of N plates: u_cal counts N times, the rest √N times".to_string(),
                    "pack pressed together: u_cal counts once".to_string(),
                ]
            }
            Field::FoundOrder => {
                let side = Side::BOTH
                    .into_iter()
                    .find(|side| slot.item.as_deref() == Some(side.word()));
                if let Some(side) = side {
                    ask.limits.extend(self.facts().order_listed(side));
                }
            }
            Field::Reason => {
                if let Some(rework) = &self.job.rework {
                    ask.limits.extend(rework.differs.iter().map(|row| {
                        format!("by the setting: {} {} (now {})", row.what, row.asked, row.fitted)
                    }));
                }
            }
            Field::RingHeight => {
                if let Some(rework) = &self.job.rework {
                    let setting = &rework.setting;
                    ask.limits.push(format!(
                        "by the setting, the rings that go in: drive {}, coast {}",
                        ramp_words(setting.drive),
                        ramp_words(setting.coast)
                    ));
                }
            }
            Field::Choice => self.enrich_choice(ask),
            Field::DryClosing => {
                let chain = Side::BOTH
                    .into_iter()
                    .find(|side| slot.item.as_deref() == Some(side.word()));
                if let Some(chosen) = self.state.chosen(slot.round)
                    && let Some(predicted) = facts.closing(&chosen.sides, chain)
                {
                    ask.limits.push(format!(
                        "predicted {} ± {}",
                        predicted.value.show(units),
                        expanded(&predicted).show(units)
                    ));
                    ask.why.formula = self.facts().chain_formula(&chosen.sides, chain);
                }
            }
            Field::DryDecision => {
                ask.table = Some(self.facts().dry_table(slot.round));
                ask.why.formula =
                    vec!["they agree when |predicted − measured| ≤ 2 u(predicted − measured)".to_string()];
                for chain in facts.dry_disagreements(slot.round) {
                    if let Some(chosen) = self.state.chosen(slot.round) {
                        ask.why.formula.extend(self.facts().chain_formula(&chosen.sides, chain));
                    }
                    if let Some((agreement, _, _)) = facts.dry_agreement(slot.round, chain) {
                        ask.why.formula.push(format!(
                            "|{}| against {}",
                            agreement.difference.show(units),
                            agreement.joint.show(units)
                        ));
                    }
                }
                ask.limits.push("to measure again instead, go back".to_string());
            }
            Field::LayerIn => {
                if let Some(chosen) = self.state.chosen(slot.round) {
                    ask.drawing = self.facts().draw(chosen);
                }
            }
            Field::LaidIn => ask.drawing = self.facts().laying_picture(slot),
            Field::WrenchExtension => {
                if let Some((_, length)) = facts.wrench() {
                    ask.why.formula = vec![
                        "M_true = M_read · (L + E)/L".to_string(),
                        format!(
                            "L = {0}; with E = 100.000 mm the bolt gets {1:.3} times what is read",
                            length.show(units),
                            (length.mm() + 100.0) / length.mm()
                        ),
                    ];
                }
            }
            Field::Tightened => self.facts().enrich_bolts(ask, slot),
            Field::Breakaway | Field::FoundBreakaway | Field::LeftBreakaway | Field::Held => {
                facts.enrich_breakaway(ask, slot, field, self.round());
            }
            Field::ProofDecision => self.facts().enrich_proof(ask, slot.round),
            Field::OilAmount | Field::Oil => {
                if let Some(oil) = &self.job.unit.oil {
                    ask.limits
                        .push(format!("unit file: {}, {}", oil.kind, oil.amount));
                }
            }
            Field::SignedBuilt | Field::SignedChecked => {
                let whole = self.whole();
                let open = whole.open_points();
                ask.limits = if open.is_empty() {
                    vec!["no open points".to_string()]
                } else {
                    open.iter().map(|point| format!("OPEN: {point}")).collect()
                };
                let review = whole.review_table();
                ask.table = (!review.rows.is_empty()).then_some(review);
            }
            Field::BuiltBy
            | Field::FoundHeld
            | Field::Car
            | Field::Distance
            | Field::Rebuilt
            | Field::FoundOil
            | Field::FoundDebris
            | Field::FoundNoise
            | Field::Micrometer
            | Field::DepthGauge
            | Field::PlateLook
            | Field::SpringLook
            | Field::CaseDepth
            | Field::Wrench
            | Field::Turned => {}
            Field::Drag => self.facts().enrich_drag(ask),
            Field::DrivelineDrag => {
                ask.why.formula = vec![
                    "M = (M_left + M_right)/2 + D/2: with one wheel held the case turns half as fast as the wheel"
                        .to_string(),
                ]
            }
        }
    }

    fn enrich_choice(&self, ask: &mut Ask) {
        let facts = self.facts();
        match self.choosing.proposals(&self.facts()) {
            Err(why) => ask.limits.push(why.clone()),
            Ok(outcome) => {
                if outcome.choices.is_empty() {
                    ask.limits
                        .push("NOTHING FITS with the plates and shims that there are.".to_string());
                    if let Some(miss) = &outcome.miss {
                        ask.limits.push(format!(
                            "nearest miss: out by {}",
                            miss.short_by.show(self.state.units)
                        ));
                        for order in self.facts().wanted_parts(&miss.order).take(3) {
                            ask.limits
                                .push(format!("would fit with {}", self.facts().order_words(order)));
                        }
                    }
                }
                ask.table = Some(self.choosing.choice_table(&facts, &outcome.choices));
                ask.limits.extend(self.choosing.wish_words(self.state.units));
                let shown = self
                    .choosing
                    .draft
                    .as_ref()
                    .or(self.chosen_before())
                    .cloned()
                    .or_else(|| {
                        let choice = outcome
                            .choices
                            .first()
                            .or(outcome.miss.as_ref().map(|miss| &miss.nearest))?;
                        facts.chosen(&choice.sides, String::new())
                    });
                if let Some(chosen) = shown {
                    ask.drawing = self.facts().draw(&chosen);
                    ask.limits.extend(
                        self.facts()
                            .tell_dead_faces(&chosen)
                            .into_iter()
                            .map(|said| said.words),
                    );
                    for chain in facts.chains() {
                        ask.why
                            .formula
                            .extend(self.facts().chain_formula(&chosen.sides, chain));
                    }
                }
                if let Some(rework) = &self.job.rework {
                    let [left, right] = rework.setting.faces;
                    ask.limits.push(format!(
                        "by the setting: {left} faces rub left, {right} right; the order of the plates follows that"
                    ));
                }
                if let Aim::Preload { least, target, most } = self.job.unit.aim {
                    ask.limits
                        .push(format!("preload wanted: {least} to {most}, target {target}"));
                }
            }
        }
    }
}

fn capital(text: &str) -> String {
    let mut characters = text.chars();
    characters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(characters).collect()
    })
}

fn with_item(what: &str, item: &str) -> String {
    if item.is_empty() {
        what.to_string()
    } else {
        format!("{what}, {item}")
    }
}

fn with_point(what: &str, slot: &Slot, step: &Step) -> String {
    match slot.point {
        Some(point) => format!("{what}, reading {point} of {}", step.points),
        None => what.to_string(),
    }
}

fn example(dimension: Dimension, units: Units) -> &'static str {
    match (dimension, units) {
        (Dimension::Length, Units::Metric) => "1.98",
        (Dimension::Length, Units::Inch) => ".078 or 1.98 mm",
        (Dimension::Torque, Units::Metric) => "45 or 33 lbf·ft",
        (Dimension::Torque, Units::Inch) => "33 or 45 N·m",
        (Dimension::Distance, Units::Metric) => "850 km, or 14 h where hours are counted",
        (Dimension::Distance, Units::Inch) => "530 mi, or 14 h where hours are counted",
        (Dimension::Volume, Units::Metric) => "1.1 l",
        (Dimension::Volume, Units::Inch) => "1.2 US qt or 1.1 l",
        _ => "",
    }
}
