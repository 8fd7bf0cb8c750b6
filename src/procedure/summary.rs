//! The sheet's short lines: what was measured, chosen and proved.

use super::definition::PLAYS;
use super::field::Field;
use super::figures::value_words;
use super::reading_mode::held_words;
use super::row::OnSheet;
use super::whole::Whole;
use crate::mechanics::{Side, ramp};
use crate::quantity::{Force, Length, Units, significant};
use crate::record::{Copied, FoundAndLeft};
use crate::workshop::{Aim, Depth, Ramp, SpringKind, Unit, ramp_words};
use std::collections::BTreeMap;

impl Whole<'_> {
    /// How far, or how long, the unit has run since it was last built, as it is shown.
    pub(super) fn distance(&self) -> Option<String> {
        let distance = self.state.answer(Field::DISTANCE, 1, None, None)?;
        value_words(&distance.value, self.state.units)
    }

    pub(super) fn identity(&self, round: u32) -> Vec<(String, String)> {
        let mut identity = Vec::new();
        let mut put = |label: &str, text: Option<String>| {
            if let Some(text) = text {
                identity.push((label.to_string(), text));
            }
        };
        let text = |field| self.state.text(field).map(str::to_string);
        put("Car", text(Field::CAR));
        let said = |field| self.state.said(field).map(str::to_string);
        put("Job number", said(Field::JOB_NUMBER));
        put("Customer", said(Field::CUSTOMER));
        put("Promised", said(Field::PROMISED));
        put("Reckoned", self.state.reckoned_otherwise().map(str::to_string));
        put("Reason", text(Field::REASON));
        put("Since last build", self.distance());
        // who types a paper in is seldom who did the work
        if self.state.text(Field::SIGNED_BUILT).is_none() || self.copied() == Some(Copied::ByHand) {
            put("Work by", text(Field::BUILT_BY));
        }
        if round > 1 {
            put("Rounds", Some(round.to_string()));
        }
        for (field, label) in [
            (Field::MICROMETER, "Micrometer"),
            (Field::DEPTH_GAUGE, "Depth gauge"),
            (Field::PRESS, "Press"),
            (Field::WRENCH, "Torque wrench"),
        ] {
            if let Some((id, reason)) = self.state.last_word(field) {
                let due = self
                    .job
                    .instruments
                    .iter()
                    .find(|one| one.id == id)
                    .map_or("", |one| one.due.as_str());
                let reason = if reason.is_empty() {
                    String::new()
                } else {
                    format!("; OUT OF DATE: {reason}")
                };
                put(
                    label,
                    Some(match self.job.copies_paper() {
                        // the calibration of today says nothing of that day
                        true => format!("one like {id}"),
                        false => format!("{id}, calibrated to {due}{reason}"),
                    }),
                );
            }
        }
        put("Program", Some(format!("shimwright {}", self.state.program)));
        identity
    }

    pub(super) fn setting(&self, round: u32) -> Vec<(String, String)> {
        let unit = &self.job.unit;
        let units = self.state.units;
        let derived = self.derived;
        if self.job.asks(Field::PLATE_THICKNESS) && !self.job.asks(Field::CHOICE) {
            // plates are judged and nothing is set: what they are held against is all that counts
            let limits = &unit.limits;
            return vec![
                (
                    "Least, friction plates".to_string(),
                    limits.gear_least.show(units),
                ),
                ("Least, case plates".to_string(), limits.case_least.show(units)),
                ("Spread at most".to_string(), limits.spread.show(units)),
                ("Flatness at most".to_string(), limits.flatness.show(units)),
                (
                    "Called inside".to_string(),
                    format!(
                        "from a probability of {} %",
                        significant(limits.confidence * 100.0, 3)
                    ),
                ),
            ];
        }
        let angle = |angle: crate::quantity::RampAngle| {
            if angle.degrees_from_ring_face() >= 90.0 {
                "no ramp".to_string()
            } else {
                format!(
                    "{}° from the ring face, {}° from the axis",
                    significant(angle.degrees_from_ring_face(), 3),
                    significant(angle.degrees_from_shaft_axis(), 3)
                )
            }
        };
        let sides = self
            .state
            .chosen(round)
            .map_or_else(|| derived.found(), |chosen| chosen.sides.clone());
        let mut setting = vec![
            (
                "Class".to_string(),
                ramp::class(unit.ramp.drive, unit.ramp.coast).to_string(),
            ),
            ("Drive ramp".to_string(), angle(unit.ramp.drive)),
            ("Coast ramp".to_string(), angle(unit.ramp.coast)),
            (
                "Layout".to_string(),
                match unit.depth {
                    Depth::Through(_) => "through: one depth spans both packs",
                    Depth::PerSide(_) => "per side: each pack has its own depth",
                }
                .to_string(),
            ),
            (
                "Active faces".to_string(),
                format!(
                    "left {}, right {}",
                    derived.faces(&sides[0]),
                    derived.faces(&sides[1])
                ),
            ),
            (
                "Friction".to_string(),
                format!(
                    "{} at first movement, {} turning, at radius {}",
                    unit.friction.still.value(),
                    unit.friction.turning.value(),
                    unit.friction.radius.show(units)
                ),
            ),
        ];
        if derived.packs_are_whole() {
            for side in Side::BOTH {
                setting.push((format!("Order {side}"), sides[side.index()].plates.join(" ")));
            }
            setting.push((
                "Plates".to_string(),
                "not measured one by one: each pack by its height pressed together; no verdict on wear"
                    .to_string(),
            ));
        }
        if let Some(spring) = &unit.spring {
            let what = match spring.kind {
                SpringKind::Discs {
                    disc,
                    parallel,
                    series,
                } => format!(
                    "disc {} × {} × {}, {parallel} parallel, {series} in series",
                    disc.outside().bare(units),
                    disc.inside().bare(units),
                    disc.thickness().show(units)
                ),
                SpringKind::Coils { rate, count, .. } => format!("{count} coils of {rate}"),
            };
            setting.push(("Springs".to_string(), format!("{what}, {}", spring.place)));
        }
        setting.push(match unit.aim {
            Aim::Gap { least, target, most } => (
                "Gap wanted".to_string(),
                format!(
                    "{} to {}, target {}",
                    least.show(units),
                    most.show(units),
                    target.show(units)
                ),
            ),
            Aim::Preload { least, target, most } => (
                "Preload wanted".to_string(),
                format!("{least} to {most}, target {target}"),
            ),
        });
        setting.push((
            "Proof window".to_string(),
            format!(
                "{} to {} turning, {}",
                unit.proof.least.show(units),
                unit.proof.most.show(units),
                held_words(unit.proof.held)
            ),
        ));
        setting
    }

    pub(super) fn found_and_left(&self, round: u32) -> Vec<FoundAndLeft> {
        let derived = self.derived;
        let units = self.state.units;
        let found = derived.found();
        let chosen = self.state.chosen(round).map(|chosen| &chosen.sides);
        let mut rows = Vec::new();
        let mut row = |what: String, found: Option<String>, left: Option<String>| {
            if found.is_some() || left.is_some() {
                rows.push(FoundAndLeft { what, found, left });
            }
        };
        let what = if self.job.unit.spring.is_some() {
            "room for springs"
        } else {
            "gap"
        };
        for chain in derived.chains() {
            let side = chain.map_or(String::new(), |side| format!("{side} "));
            row(
                format!("{side}{what}"),
                derived
                    .closing(&found, chain)
                    .map(|closing| closing.value.show(units)),
                derived
                    .best_closing(round, chain)
                    .map(|closing| closing.value.show(units)),
            );
        }
        let fitted = self
            .job
            .rework
            .as_ref()
            .map_or(&self.job.unit, |rework| &rework.before);
        if let Some(rework) = &self.job.rework {
            let ramps = |ramp: &Ramp| format!("{} / {}", ramp_words(ramp.drive), ramp_words(ramp.coast));
            row(
                "ramps, drive / coast".to_string(),
                Some(ramps(&rework.before.ramp)),
                chosen.map(|_| ramps(&self.job.unit.ramp)),
            );
        }
        if self.job.unit.spring.is_none() {
            for chain in derived.chains() {
                let side = chain.map_or(String::new(), |side| format!("{side} "));
                let lash = |gap: Option<Length>, unit: &Unit| {
                    // rings that float share the one gap between them
                    let gap = gap?;
                    let gap = if chain.is_none() {
                        Length::from_nm(gap.nm() / 2)
                    } else {
                        gap
                    };
                    let of = |angle| ramp::lash(gap, unit.ramp.pin_radius, angle).ok();
                    let (drive, coast) = (of(unit.ramp.drive)?, of(unit.ramp.coast)?);
                    Some(format!("{:.2} / {:.2}", drive, coast))
                };
                row(
                    format!("{side}lash of the case, drive / coast"),
                    lash(
                        derived.closing(&found, chain).map(|closing| closing.value),
                        fitted,
                    ),
                    lash(
                        derived.best_closing(round, chain).map(|closing| closing.value),
                        &self.job.unit,
                    ),
                );
            }
        }
        if self.job.unit.spring.is_some() {
            let force = |closings: Option<[Length; 2]>| {
                let forces = derived.forces(closings?).ok()?;
                Some(format!("{} / {}", forces[0].show(units), forces[1].show(units)))
            };
            row(
                "preload, left / right".to_string(),
                force(derived.found_pressed()),
                force(derived.closings(round)),
            );
        }
        let opened = self.job.asks(Field::FOUND_ORDER) || self.job.asks(Field::CHOICE);
        for side in Side::BOTH.into_iter().filter(|_| opened) {
            let shims = |pack: &crate::record::ChosenSide| {
                if pack.shims_nanometres.is_empty() {
                    "none".to_string()
                } else {
                    pack.shims_nanometres
                        .iter()
                        .map(|nm| Length::from_nm(*nm).show(units))
                        .collect::<Vec<_>>()
                        .join(" + ")
                }
            };
            let (was, is) = (&found[side.index()], chosen.map(|sides| &sides[side.index()]));
            row(format!("{side} shims"), Some(shims(was)), is.map(shims));
            row(
                format!("{side} active faces"),
                Some(derived.faces_words(was)),
                is.map(|pack| derived.faces_words(pack)),
            );
        }
        let proof = derived.proof(round).and_then(|proof| proof.by_file);
        row(
            format!("breakaway turning, {}", held_words(self.job.unit.proof.held)),
            derived.found_as_proved().map(|torque| torque.show(units)),
            proof
                .or(self.state.torque(Field::LEFT_BREAKAWAY, 1, None, None))
                .map(|torque| torque.show(units)),
        );
        if let (None, Some(held)) = (derived.found_as_proved(), derived.found_held()) {
            let read = self.state.torque(Field::FOUND_BREAKAWAY, 1, None, None);
            row(
                format!("breakaway as read in that way, {}, drag in it", held_words(held)),
                read.map(|torque| torque.show(units)),
                None,
            );
        }
        row(
            "friction shown, turning".to_string(),
            // as received it is shown by one reading, in whatever state: no proof
            self.friction_found(round).map(|mu| significant(mu, 2)),
            self.derived
                .shown_friction(round)
                .map(|mu| significant(mu.value(), 2)),
        );
        for item in derived.springs() {
            let zero = derived.depth_gauge().map_or(Length::ZERO, |(_, zero)| zero);
            let heights = derived.spring_heights(item.map(Side::word));
            let heights: Vec<Length> = heights.iter().map(|height| *height - zero).collect();
            let height = spread_words(&heights, units);
            let place = item.map_or(String::new(), |side| format!("{side} "));
            let item = item.map(Side::word);
            let is_new = derived.spring_is_new(item);
            let looks = derived.spring_looks(item);
            row(
                format!("{place}spring"),
                looks.first().map(|look| (*look).to_string()),
                looks.last().map(|look| {
                    let new = if is_new { "new, " } else { "" };
                    format!("{new}{look}")
                }),
            );
            // what was measured is what lies there now
            let (was, is) = if is_new { (None, height) } else { (height, None) };
            row(format!("{place}spring free height"), was, is);
            let by_micrometer = derived.micrometer().map_or(Length::ZERO, |(_, zero)| zero);
            let thickness = self.state.lengths(Field::SPRING_THICKNESS, 1, item);
            let thickness: Vec<Length> = thickness.iter().map(|read| *read - by_micrometer).collect();
            let thickness = spread_words(&thickness, units);
            let (was, is) = if is_new {
                (None, thickness)
            } else {
                (thickness, None)
            };
            row(format!("{place}spring disc thickness"), was, is);
            let forces = self.state.forces(Field::SPRING_FORCE, 1, item);
            let force = forces_words(&forces, units)
                .zip(derived.height_in_the_press())
                .map(|(force, height)| format!("{force} at {}", height.show(units)));
            let (was, is) = if is_new { (None, force) } else { (force, None) };
            row(format!("{place}spring force in the press"), was, is);
        }
        for item in PLAYS {
            let read = |field, round| self.state.lengths(field, round, Some(item)).first().copied();
            row(
                item.to_string(),
                read(Field::FOUND_PLAY, 1).map(|play| play.show(units)),
                read(Field::DRY_PLAY, round).map(|play| play.show(units)),
            );
        }
        let zero = derived.micrometer().map_or(Length::ZERO, |(_, zero)| zero);
        let washers = self.state.lengths(Field::WASHER_THICKNESS, 1, None);
        let washers: Vec<Length> = washers.iter().map(|read| *read - zero).collect();
        row("thrust washers".to_string(), spread_words(&washers, units), None);
        for field in Field::all() {
            let OnSheet::AsFound { label, left } = field.row().sheet else {
                continue;
            };
            let found = self.words_by_item(field);
            let mut left = left.map_or_else(BTreeMap::new, |left| self.words_by_item(left));
            let mut items: Vec<Option<&str>> = found.keys().chain(left.keys()).copied().collect();
            items.sort_unstable();
            items.dedup();
            for item in items {
                let what = item.map_or_else(|| label.to_string(), |item| format!("{item} {label}"));
                row(what, found.get(&item).cloned(), left.remove(&item));
            }
        }
        rows
    }

    /// What was answered for a field, item by item, the readings of one in a row.
    fn words_by_item(&self, field: Field) -> BTreeMap<Option<&str>, String> {
        let mut words: BTreeMap<Option<&str>, String> = BTreeMap::new();
        for (slot, answer) in self.state.all_answers(field) {
            let shown = value_words(&answer.value, self.state.units).unwrap_or_else(|| answer.text.clone());
            words
                .entry(slot.item.as_deref())
                .and_modify(|line| line.push_str(&format!(" / {shown}")))
                .or_insert(shown);
        }
        words
    }
}

/// Like lengths in a few words: one as it is, several from the least to the greatest with how many there are.
fn spread_words(lengths: &[Length], units: Units) -> Option<String> {
    let (least, most) = (lengths.iter().min()?, lengths.iter().max()?);
    Some(match lengths.len() {
        1 => least.show(units),
        count => format!("{count}, {} to {}", least.bare(units), most.show(units)),
    })
}

/// Like forces in a few words, as lengths in [`spread_words`].
fn forces_words(forces: &[Force], units: Units) -> Option<String> {
    let least = forces
        .iter()
        .copied()
        .reduce(|one, other| if other < one { other } else { one })?;
    let most = forces
        .iter()
        .copied()
        .reduce(|one, other| if other > one { other } else { one })?;
    Some(match forces.len() {
        1 => least.show(units),
        count => format!("{count}, {} to {}", least.show(units), most.show(units)),
    })
}
