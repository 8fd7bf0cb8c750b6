//! One page of everything before it is signed: what is open, and what the unit was left with.

use super::ask::Table;
use super::definition::PLAYS;
use super::field::Field;
use super::judged_plate::PlateFacts;
use super::whole::Whole;
use crate::mechanics::Side;
use crate::metrology::Verdict;
use crate::record::Value;

impl Whole<'_> {
    /// What is still open, in words.
    pub(super) fn open_points(&self) -> Vec<String> {
        let mut open = Vec::new();
        for (_, step) in self.job.procedure.steps() {
            for (slot, answer) in self.state.answers.iter().filter(|(slot, _)| slot.step == step.id) {
                if answer.value == Value::Yes(false) && !self.derived.was_looked_at_again(step, slot) {
                    open.push(format!(
                        "answered no: {}",
                        step.words.first().map_or(slot.step.as_str(), String::as_str)
                    ));
                }
            }
        }
        // what an old paper does not say is nothing that somebody could still do
        let typed_in = self.job.copies_paper();
        for (slot, skipped) in self.state.skipped.iter().filter(|_| !typed_in) {
            if self.job.is_optional(slot) {
                continue;
            }
            open.push(format!("left out, {}: {}", slot.in_words(), skipped.reason));
        }
        let round = self.round;
        let derived = self.derived;
        for (slot, answer) in &self.state.answers {
            let left = self
                .job
                .fills(slot)
                .and_then(|field| (field.row().against.open)(slot, &answer.value, round));
            open.extend(left);
        }
        // a plate that a correction has thrown out lies where it lay
        if let Some(chosen) = self.state.chosen(round) {
            for side in Side::BOTH {
                for name in &chosen.sides[side.index()].plates {
                    let plate = derived.plate(name, true);
                    if plate.rejected {
                        open.push(format!(
                            "{name} lies in the {side} pack, and by what stands here it is thrown out: {}",
                            plate.reason
                        ));
                    }
                }
            }
        }
        for side in Side::BOTH {
            if derived
                .pressed(side)
                .is_some_and(|(agreement, _, _)| !agreement.agrees)
            {
                open.push(format!("{side}: the plates do not add up to the pressed pack"));
            }
        }
        for chain in derived.dry_disagreements(round) {
            open.push(format!(
                "{}dry build differs from the prediction",
                chain.map_or(String::new(), |side| format!("{side}: "))
            ));
        }
        open.extend(self.wrong_gears(round));
        open.extend(derived.unreadable(round));
        if let Some(verdict) = derived.proof(round).and_then(|proof| proof.verdict)
            && verdict != Verdict::Inside
        {
            open.push(format!("the proof is {verdict} its window"));
        }
        for item in derived.springs() {
            let least = self.job.unit.least_spring_height();
            for height in derived.spring_heights(item.map(Side::word)) {
                if least.is_some_and(|least| height < least) {
                    open.push(format!(
                        "{}spring below its least free height",
                        item.map_or(String::new(), |side| format!("{side} "))
                    ));
                }
            }
        }
        open
    }

    /// Play and washers that the unit was left with and that are outside the limits of the unit file.
    fn wrong_gears(&self, round: u32) -> Vec<String> {
        let mut wrong = Vec::new();
        for item in PLAYS {
            let left = self.state.lengths(Field::DRY_PLAY, round, Some(item));
            wrong.extend(left.first().and_then(|read| self.derived.wrong_play(item, *read)));
        }
        let washers = self.state.lengths(Field::WASHER_THICKNESS, 1, None);
        wrong.extend(
            washers
                .into_iter()
                .filter_map(|read| self.derived.thin_washer(read)),
        );
        wrong
    }

    pub(super) fn review_table(&self) -> Table {
        let units = self.state.units;
        let round = self.round;
        let derived = self.derived;
        let mut rows = Vec::new();
        if let Some(closings) = derived.closings(round) {
            let what = if self.job.unit.spring.is_some() {
                "springs have"
            } else {
                "gap"
            };
            let shown = if self.job.unit.is_through() {
                closings[0].show(units)
            } else {
                format!("{} / {}", closings[0].show(units), closings[1].show(units))
            };
            rows.push(vec![what.to_string(), shown]);
            if self.job.unit.spring.is_some()
                && let Ok(forces) = derived.forces(closings)
            {
                rows.push(vec![
                    "preload".to_string(),
                    format!("{} / {}", forces[0], forces[1]),
                ]);
            }
        }
        if let Some(proof) = derived.proof(round) {
            if let Some(turning) = proof.by_file {
                rows.push(vec!["breakaway, turning".to_string(), turning.show(units)]);
            }
            if let Some(verdict) = proof.verdict {
                rows.push(vec!["proof".to_string(), verdict.to_string()]);
            }
        }
        let listed = |names: Vec<&str>| {
            if names.is_empty() {
                "none".to_string()
            } else {
                names.join(" ")
            }
        };
        let plates: Vec<(&str, PlateFacts)> = derived
            .all_plates()
            .into_iter()
            .map(|name| (name, derived.plate(name, true)))
            .collect();
        let those = |wanted: &dyn Fn(&PlateFacts) -> bool| {
            plates
                .iter()
                .filter(|(_, plate)| wanted(plate))
                .map(|(name, _)| *name)
                .collect::<Vec<_>>()
        };
        if self.job.asks(Field::PLATE_THICKNESS) {
            if !self.job.asks(Field::CHOICE) {
                rows.push(vec![
                    "plates measured".to_string(),
                    those(&|plate| plate.measured.is_some()).len().to_string(),
                ]);
                rows.push(vec![
                    "kept though too close to call".to_string(),
                    listed(those(&|plate| {
                        !plate.rejected && plate.verdict == Some(Verdict::TooCloseToCall)
                    })),
                ]);
            }
            rows.push(vec![
                "rejected plates".to_string(),
                listed(those(&|plate| plate.rejected)),
            ]);
        }
        if let Some(oil) = self.state.text(Field::OIL) {
            rows.push(vec!["oil".to_string(), oil.to_string()]);
        }
        if self.job.asks(Field::CHOICE) || self.job.asks(Field::PROOF_DECISION) {
            rows.push(vec!["rounds".to_string(), round.to_string()]);
        }
        Table {
            head: vec!["what".to_string(), "as left".to_string()],
            rows,
        }
    }
}
