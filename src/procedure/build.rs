//! A session summed up for its sheet.

use super::ask::StepKind;
use super::build_words::{bolts_words, uneven_words};
use super::definition::{Hazard, Plain};
use super::field::Field;
use super::figures::{capital, expanded, value_words};
use super::reading_mode::held_words;
use super::rounding::in_steps;
use super::row::{Against, OnSheet};
use super::spread::sources;
use super::warm::METAL_UNKNOWN;
use super::whole::Whole;
use crate::history::PaperRecord;
use crate::mechanics::{Direction, Keying, LockModel, LockSetup, MechanicsError, Side, SpringPlace, ramp};
use crate::metrology::judge_length;
use crate::quantity::{Force, Length, Torque, minute};
use crate::record::{
    BoltLine, BreakawayLine, Build, CautionLine, Copied, Curve, Disposition, GapLine, Layer, LayerKind, Pack,
    PlateLine, Preload, ProofRound, Remark, RemarkKind, Role, Signature, Slot, Value,
};

/// What is said of a lock whose unit file has no figures of its side gears.
const THRUST_MISSING: &str =
    "Side-gear thrust not counted ([ramp.gear] is not said): the real lock is higher.";

/// How many points the lock curve has.
const CURVE_POINTS: usize = 49;

impl Whole<'_> {
    /// Everything that the sheet shows, from the entries so far.
    pub(super) fn build(&self, id: &str, digest: &str) -> Build {
        let round = self.round;
        Build {
            id: id.to_string(),
            procedure: self.job.followed(self.state.procedure_digest.clone()),
            unit: self.job.unit.id.clone(),
            unit_name: match self.state.practice {
                Some(_) => format!("{}: {}", super::question::PRACTICE, self.job.unit.name),
                None => self.job.unit.name.clone(),
            },
            copied: self.copied(),
            glance: self.glance(round),
            identity: self.identity(round),
            started: self.state.started.clone(),
            finished: self
                .state
                .finished
                .clone()
                .filter(|_| self.state.voided.is_none()),
            units: self.state.units,
            setting: self.setting(round),
            asked: self.asked(round),
            found_and_left: self.found_and_left(round),
            since: None,
            plates: self.plate_lines(round),
            packs: self.packs(round),
            closings: self.closing_lines(round),
            warm: self.derived.warm(round).filter(|_| self.state.counts_doubts()),
            not_warm: match &self.job.unit.spring {
                // what springs take for granted has it
                None => self.not_warm(),
                Some(_) => String::new(),
            },
            preload: self.preload(round),
            curve: self.curve(round).ok().flatten(),
            proofs: self.proof_rounds(round),
            bolts: self.bolt_lines(round),
            oil: self.oil(),
            checks: self.checks(),
            remarks: self.remarks(),
            cautions: self.cautions(),
            signatures: self.signatures(),
            open: self.all_open(),
            digest: digest.to_string(),
            on_paper: self.on_paper(),
        }
    }

    /// Where the build was copied from, where it is of an old paper.
    pub(super) fn copied(&self) -> Option<Copied> {
        if !self.job.copies_paper() {
            return None;
        }
        let mut notes = self
            .state
            .written
            .iter()
            .filter(|written| written.kind == RemarkKind::Note);
        let from = notes.find_map(|note| PaperRecord::came_from(&note.text));
        Some(from.map_or(Copied::ByHand, |from| Copied::From(from.to_string())))
    }

    /// Open points, with the questions that have no answer yet.
    fn all_open(&self) -> Vec<String> {
        let mut open = self.open_points();
        let plan = &self.plan;
        let left: Vec<&Slot> = plan
            .iter()
            .map(|planned| &planned.slot)
            .filter(|slot| !self.state.is_settled(slot))
            .collect();
        if self.state.finished.is_none() {
            open.insert(
                0,
                format!(
                    "not finished: {} of {} questions have no answer yet",
                    left.len(),
                    plan.len()
                ),
            );
        } else if let Some(first) = left.first() {
            open.insert(
                0,
                match left.len() {
                    1 => format!("by the corrected values one question more would have been asked: {first}"),
                    more => format!(
                        "by the corrected values {more} questions more would have been asked, the first: {first}"
                    ),
                },
            );
        }
        if !self.state.waiting.is_empty() {
            open.insert(0, format!("it waits for {}", self.state.waiting.join(", ")));
        }
        if let Some(reason) = &self.state.voided {
            open.insert(0, format!("VOIDED, it counts for nothing: {reason}"));
        }
        open
    }

    fn plate_lines(&self, round: u32) -> Vec<PlateLine> {
        let derived = self.derived;
        let chosen = self.state.chosen(round);
        let asks = |fields: &[Field]| fields.iter().any(|field| self.job.asks(*field));
        let plates = asks(&[Field::PLATE_THICKNESS, Field::PLATE_FLATNESS, Field::PLATE_LOOK]);
        let spares = asks(&[Field::SPARE_THICKNESS, Field::SPARE_FLATNESS]);
        derived
            .all_plates()
            .into_iter()
            .filter(|name| {
                if self.job.unit.plate(name).is_some() {
                    plates
                } else {
                    spares
                }
            })
            .map(|name| {
                let plate = derived.plate(name, true);
                let place = chosen.and_then(|chosen| {
                    Side::BOTH.into_iter().find_map(|side| {
                        let at = chosen.sides[side.index()]
                            .plates
                            .iter()
                            .position(|known| known == name)?;
                        Some(Disposition::Fitted(side, at + 1))
                    })
                });
                let disposition = if let Some(place) = place.filter(|_| plate.rejected) {
                    // a correction throws nothing out of a unit that is closed
                    place
                } else if plate.rejected {
                    Disposition::Rejected
                } else if plate.measured.is_none() {
                    Disposition::NotMeasured
                } else {
                    place.unwrap_or(Disposition::Kept)
                };
                PlateLine {
                    name: name.to_string(),
                    kind: derived
                        .keyed(name)
                        .map_or(String::new(), |keyed| keyed.to_string()),
                    spare: self.job.unit.plate(name).is_none(),
                    spread: plate.spread(),
                    look: plate.look.unwrap_or_default(),
                    readings: plate.readings,
                    mean: plate.measured.as_ref().map(|measured| measured.value),
                    uncertainty: plate
                        .measured
                        .as_ref()
                        .and_then(|measured| measured.budget.expanded(1.0).ok()),
                    least: plate.figures.map(|figures| figures.least),
                    flatness: plate.flatness,
                    verdict: plate.verdict,
                    reason: plate.reason,
                    disposition,
                }
            })
            .collect()
    }

    fn packs(&self, round: u32) -> Vec<Pack> {
        let derived = self.derived;
        let Some(chosen) = self.state.chosen(round) else {
            return Vec::new();
        };
        let unit = &self.job.unit;
        Side::BOTH
            .into_iter()
            .map(|side| {
                let pack = &chosen.sides[side.index()];
                let mut layers = Vec::new();
                let mut layer = |kind, name: &str, thickness| {
                    layers.push(Layer {
                        kind,
                        name: name.to_string(),
                        thickness,
                    });
                };
                for nm in &pack.shims_nanometres {
                    layer(LayerKind::Shim, "", Length::from_nm(*nm));
                }
                let chain = (!unit.is_through()).then_some(side);
                let closing = derived.best_closing(round, chain).map(|closing| closing.value);
                match (&unit.spring, closing) {
                    (Some(spring), Some(closing)) if spring.place == SpringPlace::BehindPack => {
                        layer(LayerKind::Spring, "", in_steps(derived.spring_height(closing)));
                    }
                    // a through unit has one gap, which lies wherever the rings float to
                    (None, Some(closing)) if !unit.is_through() => layer(LayerKind::Gap, "", closing),
                    _ => {}
                }
                let whole = derived.packs_are_whole();
                if let Some(measured) = derived.whole_pack(side).filter(|_| whole) {
                    let name = pack.plates.len().to_string();
                    layer(LayerKind::Pressed, &name, measured.value);
                }
                for name in pack.plates.iter().filter(|_| !whole) {
                    let kind = match derived.keyed(name) {
                        Some(Keying::Gear) => LayerKind::GearPlate,
                        _ => LayerKind::CasePlate,
                    };
                    let thickness = derived
                        .plate(name, true)
                        .measured
                        .map_or(Length::ZERO, |one| one.value);
                    layer(kind, name, thickness);
                }
                layer(LayerKind::Ring, "", unit.rings[side.index()]);
                Pack {
                    side,
                    layers,
                    active_faces: derived.faces(pack),
                }
            })
            .collect()
    }

    fn closing_lines(&self, round: u32) -> Vec<GapLine> {
        let derived = self.derived;
        let what = if self.job.unit.spring.is_some() {
            "room for springs"
        } else {
            "gap"
        };
        derived
            .chains()
            .into_iter()
            .filter_map(|chain| {
                let predicted = derived.closing(&self.state.chosen(round)?.sides, chain);
                let measured = derived.dry(round, chain);
                let window = derived.window(chain).ok();
                let best = measured.as_ref().or(predicted.as_ref());
                let verdict = best.zip(window).and_then(|(best, window)| {
                    judge_length(
                        best.value,
                        best.budget.combined(),
                        Some(window.least),
                        Some(window.most),
                        self.job.unit.limits.confidence,
                    )
                    .ok()
                });
                Some(GapLine {
                    what: chain.map_or(what.to_string(), |side| format!("{side} {what}")),
                    predicted: predicted.as_ref().map(|one| one.value),
                    uncertainty: predicted.as_ref().and_then(|one| one.budget.expanded(1.0).ok()),
                    sources: best.map(sources).unwrap_or_default(),
                    measured: measured.map(|one| one.value),
                    least: window.map(|window| window.least),
                    target: window.map(|window| window.target),
                    most: window.map(|window| window.most),
                    verdict: verdict.map(|(_, verdict)| verdict),
                })
            })
            .collect()
    }

    /// The force of the springs on each pack, and the breakaway that it gives.
    pub(super) fn preload_figures(&self, round: u32) -> Option<(Force, Option<Torque>)> {
        let derived = self.derived;
        self.job.unit.spring.as_ref()?;
        let closings = derived.closings(round)?;
        let stack = derived.stack(derived.chains().first().copied()?)?;
        let height = derived.spring_height(closings[0]);
        let breakaway = derived.expected(&self.state.chosen(round)?.sides, closings);
        Some((stack.force_at_height(height).ok()?, breakaway))
    }

    /// What is said where nothing can be told of warmth; empty where it is told.
    fn not_warm(&self) -> String {
        match self.state.counts_doubts() && self.job.unit.metal.is_none() {
            true => METAL_UNKNOWN.to_string(),
            false => String::new(),
        }
    }

    fn preload(&self, round: u32) -> Option<Preload> {
        let derived = self.derived;
        let (force, breakaway) = self.preload_figures(round)?;
        let closings = derived.closings(round)?;
        let chain = derived.chains().first().copied()?;
        let stack = derived.stack(chain)?;
        let height = derived.spring_height(closings[0]);
        let spread = derived.spread(round);
        let (interval, breakaway_interval) = match derived.intervals(round) {
            Some((force, breakaway)) => (Some(force), breakaway),
            None => (None, None),
        };
        Some(Preload {
            height: in_steps(height),
            force,
            uncertainty: derived.force_uncertainty(round),
            interval,
            simulated: spread.as_ref().map(|spread| spread.force),
            rate: stack.rate_at_height(height).ok()?,
            breakaway,
            breakaway_uncertainty: derived.breakaway_uncertainty(round),
            breakaway_interval,
            breakaway_simulated: spread.and_then(|spread| spread.breakaway),
            assumed: derived
                .assumed()
                .into_iter()
                .chain(Some(self.not_warm()).filter(|words| !words.is_empty()))
                .collect(),
            loss_by_wear: derived.loss_by_wear(round),
            traps: self.derived.traps(closings),
        })
    }

    /// The locking as it was built; `None` while there is no choice.
    pub(super) fn built_lock(&self, round: u32) -> Result<Option<LockModel>, MechanicsError> {
        let derived = self.derived;
        let unit = &self.job.unit;
        let (sides, closings) = match (self.state.chosen(round), derived.closings(round)) {
            (Some(chosen), Some(closings)) => (&chosen.sides, closings),
            _ => return Ok(None),
        };
        let faces = [derived.faces(&sides[0]), derived.faces(&sides[1])];
        let setup = unit.bench(derived.forces(closings)?, faces).setup;
        LockModel::new(LockSetup {
            friction: derived.plates_rub(),
            ..setup
        })
        .map(Some)
    }

    fn curve(&self, round: u32) -> Result<Option<Curve>, MechanicsError> {
        let unit = &self.job.unit;
        let Some(model) = self.built_lock(round)? else {
            return Ok(None);
        };
        let drive = model.curve(Direction::Drive, unit.curve_to, CURVE_POINTS)?;
        let coast = model.curve(Direction::Coast, unit.curve_to, CURVE_POINTS)?;
        Ok(Some(Curve {
            points: drive
                .into_iter()
                .zip(coast)
                .map(|((torque, on_drive), (_, on_coast))| (torque, on_drive, on_coast))
                .collect(),
            drive_share: model.share(Direction::Drive),
            coast_share: model.share(Direction::Coast),
            bands: self.derived.lock_bands(round),
            not_counted: match self.state.counts_doubts() && unit.ramp.gear.is_none() {
                true => THRUST_MISSING.to_string(),
                false => String::new(),
            },
            uneven: uneven_words(&model),
            class: ramp::class(unit.ramp.drive, unit.ramp.coast),
        }))
    }

    fn proof_rounds(&self, last: u32) -> Vec<ProofRound> {
        let derived = self.derived;
        let window = &self.job.unit.proof;
        (1..=last)
            .filter_map(|round| {
                let proof = derived.proof(round)?;
                if proof.readings.is_empty() {
                    return None;
                }
                let mut method = held_words(proof.held).to_string();
                if let Some(turned) = derived.turned_said() {
                    method.push_str(&format!(", {turned} output turned"));
                }
                let oil_at = derived.oil_at(round);
                if let Some(oil) = oil_at {
                    method.push_str(&format!(", oil at {}", oil.show(self.state.units)));
                }
                if proof.held != window.held {
                    method.push_str(&format!(
                        "; figures and window as with {}",
                        held_words(window.held)
                    ));
                }
                if let Some((word, reason)) = self.state.word(Field::PROOF_DECISION, round, None) {
                    method.push_str(&format!("; then: {word}"));
                    if !reason.is_empty() {
                        method.push_str(&format!(" ({reason})"));
                    }
                }
                let doubt = self.derived.proof_doubt_words(&proof);
                Some(ProofRound {
                    round,
                    doubt: doubt.unwrap_or_default(),
                    oil_at,
                    method,
                    readings: proof
                        .readings
                        .iter()
                        .map(|reading| BreakawayLine {
                            position: reading.position,
                            ramp: reading.way.ramp,
                            first_movement: reading.way.still,
                            read: reading.read,
                            reckoned: reading.reckoned,
                        })
                        .collect(),
                    still: proof.still,
                    turning: proof.by_file,
                    window: (window.least, window.most),
                    verdict: proof.verdict,
                    friction: self.derived.shown_friction(round),
                    should_read: match self.state.chosen(round) {
                        None => self.derived.beside_what_it_should(round),
                        // its preload says so
                        Some(_) => None,
                    },
                    advice: self.derived.advice(round),
                })
            })
            .collect()
    }

    fn bolt_lines(&self, round: u32) -> Vec<BoltLine> {
        let wrench = self.state.last_word(Field::WRENCH);
        let wrench = wrench.map_or_else(String::new, |(id, _)| match self.derived.extension() {
            Length::ZERO => id.to_string(),
            adaptor => format!("{id} with an adaptor of {}", adaptor.show(self.state.units)),
        });
        let when = |answer: &super::state::Answer| format!("{}, {}", answer.by, minute(&answer.at));
        // the unit's groups, where the procedure tightens them, and what it gives a torque for itself
        let own = self.plan.iter().filter_map(|planned| {
            let torque = planned.step.torque?;
            let done = self.state.answers.get(&planned.slot);
            Some(BoltLine {
                group: planned.step.id.clone(),
                what: planned.slot.item.clone().unwrap_or_default(),
                stages: vec![torque.show(self.state.units)],
                setting: self.derived.wrench_setting(torque),
                wrench: wrench.clone(),
                by: done.map(when).unwrap_or_default(),
            })
        });
        let own: Vec<BoltLine> = own.collect();
        let tightened = self.job.asks(Field::TIGHTENED);
        self.job
            .unit
            .bolts
            .iter()
            .filter(|_| tightened)
            .map(|bolts| {
                let mut stages: Vec<String> = bolts
                    .stages
                    .iter()
                    .map(|stage| stage.show(self.state.units))
                    .collect();
                stages.extend(bolts.angle.map(|angle| format!("+ {angle:.0} by angle gauge")));
                let done = self.state.points(Field::TIGHTENED, round, Some(&bolts.name));
                let by = match done.last() {
                    Some(last) if done.len() >= stages.len() => when(last),
                    _ => String::new(),
                };
                BoltLine {
                    group: bolts.name.clone(),
                    what: bolts_words(bolts),
                    stages,
                    setting: bolts
                        .stages
                        .last()
                        .and_then(|torque| self.derived.wrench_setting(*torque)),
                    wrench: wrench.clone(),
                    by,
                }
            })
            .chain(own)
            .collect()
    }

    fn oil(&self) -> Vec<(String, String)> {
        let mut oil = Vec::new();
        if let Some(text) = self.state.text(Field::OIL) {
            oil.push(("Oil".to_string(), text.to_string()));
        }
        let amount = self.state.answer(Field::OIL_AMOUNT, 1, None, None);
        if let Some(amount) = amount.and_then(|answer| value_words(&answer.value, self.state.units)) {
            oil.push(("Amount".to_string(), amount));
        }
        for field in Field::all() {
            if let OnSheet::WithOil { label } = field.row().sheet
                && let Some(answer) = (1..=self.round)
                    .rev()
                    .find_map(|round| self.state.answer(field, round, None, None))
            {
                oil.push((label.to_string(), answer.text.clone()));
            }
        }
        oil
    }

    /// How many looks and flatnesses of plates were not given one by one, where some were not.
    fn by_one_line(&self) -> Option<String> {
        let count = |field: Field| {
            let answers = self.state.all_answers(field).map(|(slot, _)| slot);
            let (line, alone): (Vec<&Slot>, Vec<&Slot>) =
                answers.partition(|slot| self.state.by_one_line.contains(slot));
            (line.len(), line.len() + alone.len())
        };
        let (looks, all_looks) = count(Field::PLATE_LOOK);
        let (flat, _) = count(Field::PLATE_FLATNESS);
        let looks = (looks > 0).then(|| format!("{all_looks} looks, {looks} by one line"));
        let flat = (flat > 0).then(|| format!("flatness: one line for {flat} plates"));
        let parts: Vec<String> = looks.into_iter().chain(flat).collect();
        (!parts.is_empty()).then(|| parts.join("; "))
    }

    fn checks(&self) -> Vec<(String, String)> {
        let mut checks = Vec::new();
        let (mut done, mut to_do) = (0, 0);
        for planned in &self.plan {
            let step = planned.step;
            if step.fills.is_some() || step.kind == StepKind::Caution {
                continue;
            }
            let answer = self.state.answers.get(&planned.slot);
            if step.answer == Plain::Done {
                to_do += 1;
                done += usize::from(answer.is_some());
                continue;
            }
            let text = match answer.map(|answer| &answer.value) {
                Some(Value::Yes(true)) => "yes".to_string(),
                Some(Value::Yes(false)) => "NO".to_string(),
                _ => answer.map_or(String::new(), |answer| answer.text.clone()),
            };
            if answer.is_some() && !self.derived.was_looked_at_again(step, &planned.slot) {
                let words = step.words.first().cloned().unwrap_or_default();
                checks.push(match &planned.slot.item {
                    Some(item) => (format!("{item}: {words}"), text),
                    None => (words, text),
                });
            }
        }
        checks.extend(
            self.by_one_line()
                .map(|words| ("Plates, by rows".to_string(), words)),
        );
        if to_do > 0 {
            checks.push((
                "Steps of work said to be done".to_string(),
                format!("{done} of {to_do}"),
            ));
        }
        for side in Side::BOTH {
            if let Some((agreement, sum, pressed)) = self.derived.pressed(side) {
                let units = self.state.units;
                checks.push((
                    format!(
                        "{side}: plates add up to {} ± {}, pressed pack {} ± {}",
                        sum.value.show(units),
                        expanded(&sum).show(units),
                        pressed.value.show(units),
                        expanded(&pressed).show(units)
                    ),
                    if agreement.agrees {
                        "they agree"
                    } else {
                        "they do NOT agree"
                    }
                    .to_string(),
                ));
            }
        }
        checks
    }

    fn place_words(&self, slot: &Slot) -> String {
        let stage = self
            .job
            .procedure
            .step(&slot.step)
            .map_or("", |(stage, _)| stage.title.as_str());
        let round = if slot.round > 1 {
            format!(", round {}", slot.round)
        } else {
            String::new()
        };
        format!("{stage}: {}{round}", slot.in_words())
    }

    fn remarks(&self) -> Vec<Remark> {
        // each with the number of its entry: the order is theirs, whatever the clocks said
        let mut remarks: Vec<(usize, Remark)> = self
            .state
            .written
            .iter()
            .map(|written| {
                let remark = Remark {
                    kind: written.kind,
                    place: self.place_words(&written.slot),
                    text: written.text.clone(),
                    by: written.by.clone(),
                    at: written.at.clone(),
                };
                (written.number, remark)
            })
            .collect();
        let skipped = self.state.skipped.iter();
        for (slot, skipped) in skipped.filter(|(slot, _)| !self.job.is_optional(slot)) {
            let remark = Remark {
                kind: RemarkKind::Skipped,
                place: self.place_words(slot),
                text: skipped.reason.clone(),
                by: skipped.by.clone(),
                at: skipped.at.clone(),
            };
            remarks.push((skipped.number, remark));
        }
        for back in &self.state.set_back {
            let remark = Remark {
                kind: RemarkKind::Clock,
                place: format!("Entry {}", back.number),
                text: back.words(),
                by: String::new(),
                at: back.at.clone(),
            };
            remarks.push((back.number, remark));
        }
        for (slot, answer) in &self.state.answers {
            let remarked = match self.job.fills(slot) {
                Some(field) => &field.row().against,
                None => &Against::NOTHING,
            };
            let text = match &answer.value {
                Value::Word { word, reason } if !reason.is_empty() => format!("{word}: {reason}"),
                Value::Chosen(chosen) if !chosen.reason.is_empty() => {
                    format!("{}: {}", chosen.how, chosen.reason)
                }
                _ if answer.insisted => (remarked.insisted)(&answer.text),
                _ => continue,
            };
            let remark = Remark {
                kind: remarked.kind,
                place: self.place_words(slot),
                text,
                by: answer.by.clone(),
                at: answer.at.clone(),
            };
            remarks.push((answer.number, remark));
        }
        remarks.extend((1..=self.round).filter_map(|round| self.given_up(round)));
        remarks.extend(self.put_right());
        remarks.sort_by_key(|(number, _)| *number);
        remarks.into_iter().map(|(_, remark)| remark).collect()
    }

    /// The looks that stopped the way: the table of checks has only the last one of each place.
    fn put_right(&self) -> Vec<(usize, Remark)> {
        let answers = self.state.answers.iter();
        answers
            .filter(|(slot, answer)| {
                let step = self.job.procedure.step(&slot.step);
                answer.value == Value::Yes(false)
                    && step.is_some_and(|(_, step)| self.derived.was_looked_at_again(step, slot))
            })
            .map(|(slot, answer)| {
                let remark = Remark {
                    kind: RemarkKind::PutRight,
                    place: self.place_words(slot),
                    text: "answered no; put right, and looked at again".to_string(),
                    by: answer.by.clone(),
                    at: answer.at.clone(),
                };
                (answer.number, remark)
            })
            .collect()
    }

    /// A round that went back to the choice from its dry build: the tables show only the build that stayed.
    fn given_up(&self, round: u32) -> Option<(usize, Remark)> {
        let answer = self.state.answer(Field::DRY_DECISION, round, None, None)?;
        let ends = Field::DRY_DECISION.row().asked.ends.as_ref()?;
        let (word, _) = self.state.word(Field::DRY_DECISION, round, None)?;
        if word != ends.word {
            return None;
        }
        let derived = self.derived;
        let units = self.state.units;
        let differences: Vec<String> = derived
            .dry_disagreements(round)
            .into_iter()
            .filter_map(|chain| {
                let (_, predicted, measured) = derived.dry_agreement(round, chain)?;
                let side = chain.map(|side| format!("{side}: ")).unwrap_or_default();
                Some(format!(
                    "{side}measured {}, predicted {}",
                    measured.value.show(units),
                    predicted.value.show(units)
                ))
            })
            .collect();
        let remark = Remark {
            kind: RemarkKind::ChosenAgain,
            place: format!("Dry build, round {round}"),
            text: differences.join("; "),
            by: answer.by.clone(),
            at: answer.at.clone(),
        };
        Some((answer.number, remark))
    }

    fn cautions(&self) -> Vec<CautionLine> {
        self.plan
            .iter()
            .filter(|planned| planned.step.kind == StepKind::Caution)
            .map(|planned| {
                let answer = self.state.answers.get(&planned.slot);
                let mut words = planned.step.words.clone();
                // what stands below it on the screen stands below it here
                if planned.step.covers.contains(&Hazard::Spring)
                    && let Some((force, _)) = self.derived.cover_force(&planned.slot)
                {
                    words.push(format!("{}.", capital(&force)));
                }
                CautionLine {
                    words,
                    by: answer.map_or(String::new(), |answer| answer.by.clone()),
                    at: answer.map_or(String::new(), |answer| answer.at.clone()),
                }
            })
            .collect()
    }

    fn signatures(&self) -> Vec<Signature> {
        let by = match self.copied() {
            Some(Copied::From(_)) => Role::NameOnPaper,
            Some(Copied::ByHand) => Role::CopiedBy,
            None if self.job.asks(Field::CHOICE) => Role::BuiltBy,
            None => Role::DoneBy,
        };
        [
            (Field::SIGNED_BUILT, by),
            (Field::SIGNED_CHECKED, Role::CheckedBy),
        ]
        .into_iter()
        .filter_map(|(field, role)| {
            let answer = self.state.answer(field, 1, None, None)?;
            Some(Signature {
                role,
                name: answer.text.clone(),
                at: answer.at.clone(),
            })
        })
        .collect()
    }
}
