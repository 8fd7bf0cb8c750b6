//! What a finished build left in its unit: what the next job starts from.

use super::derived::Derived;
use super::field::Field;
use super::reading_mode::{held_named, held_words};
use super::whole::Whole;
use crate::mechanics::{Bench, Held, Side};
use crate::quantity::{Length, Torque};
use crate::workshop::{LastLeft, LeftPack, Proof};

impl Derived<'_> {
    /// How the unit was held for the reading as received, where that was said.
    pub fn found_held(&self) -> Option<Held> {
        held_named(self.state.word(Field::FOUND_HELD, 1, None)?.0)
    }

    /// The breakaway as received, where it can stand beside the proof: read in the way that the unit file names, or in one
    /// that nobody asked for. A reading of the other way has a drag in it that was not measured.
    pub fn found_as_proved(&self) -> Option<Torque> {
        let file = match &self.job.rework {
            Some(rework) => rework.before.proof.held,
            None => self.job.unit.proof.held,
        };
        let alike = self.found_held().is_none_or(|held| held == file);
        self.state
            .torque(Field::FOUND_BREAKAWAY, 1, None, None)
            .filter(|_| alike)
    }

    /// The window of the proof for the way in which the unit is held, as the wrench shows it: half of that with the case held
    /// where one output is, with the drag on top that is taken off afterwards.
    pub fn window_words(
        &self,
        proof: &Proof,
        held: Option<Held>,
        drag: Option<Torque>,
        bench: Option<&Bench>,
    ) -> String {
        let units = self.state.units;
        let derived = self;
        let ends = |held: Held, drag: Torque| match held == proof.held && drag.newton_metres() <= 0.0 {
            true => Some([proof.least, proof.most]),
            false => derived.window_for(bench?, proof, held, drag),
        };
        let window = |held: Held, drag: Option<Torque>| {
            let none = || Torque::from_newton_metres(0.0).ok();
            let ends = drag.or_else(none).and_then(|drag| ends(held, drag));
            match ends {
                Some(ends) => {
                    let [least, most] = ends.map(|end| derived.on_the_wrench(end).show(units));
                    format!("{}: {least} to {most}", held_words(held))
                }
                None if held == Held::Case => {
                    format!("{}: nothing can be read, the packs wedge", held_words(held))
                }
                None => format!(
                    "{}: no window, for the unit file's is for the case held, where the packs wedge",
                    held_words(held)
                ),
            }
        };
        // what the file says is never on the scale of a wrench that was lengthened
        let by_file = format!(
            "{}: {} to {}",
            held_words(proof.held),
            proof.least.show(units),
            proof.most.show(units)
        );
        let extended = match derived.extension() > Length::ZERO {
            true => ", with its extension",
            false => "",
        };
        let Some(held) = held else {
            let other = match proof.held {
                Held::Case => Held::Output,
                Held::Output => Held::Case,
            };
            let both = [proof.held, other].map(|held| window(held, None));
            return format!(
                "window while turning{extended}, {}; {}, and the drag on top",
                both[0], both[1]
            );
        };
        match drag.filter(|drag| held != proof.held || drag.newton_metres() > 0.0) {
            Some(drag) => format!(
                "the wrench should show{extended}, {}, {} of drag with it; the unit file's window is {by_file}",
                window(held, Some(drag)),
                drag.show(units)
            ),
            None if held != proof.held => format!(
                "window while turning{extended}, {}; the drag, which is not known here, comes on top (the unit file's window is {by_file})",
                window(held, None)
            ),
            None if !extended.is_empty() => format!(
                "the wrench should show{extended}, while turning, {}; the unit file's window is {by_file}",
                window(held, None)
            ),
            None => format!("window while turning, {by_file}"),
        }
    }
}

impl Whole<'_> {
    /// What the build left in its unit, without what proofs have shown, which is for who knows the builds before; `None` where it is not finished, or put nothing together.
    pub(super) fn left(&self, id: &str) -> Option<LastLeft> {
        let finished = self.state.finished.as_deref()?;
        let round = self.state.last_round();
        let chosen = self.state.chosen(round)?;
        let derived = self.derived;
        let packs = Side::BOTH.map(|side| {
            let pack = &chosen.sides[side.index()];
            LeftPack {
                order: pack.plates.clone(),
                shims: pack
                    .shims_nanometres
                    .iter()
                    .map(|nm| Length::from_nm(*nm))
                    .collect(),
            }
        });
        let spares = &self.job.drawer.spares;
        let plate = |name: &String| {
            let spare = || spares.iter().find(|plate| plate.name == *name);
            self.job.unit.plate(name).or_else(spare).cloned()
        };
        let zero = derived.depth_gauge().map_or(Length::ZERO, |(_, zero)| zero);
        let springs = derived.springs().into_iter().filter_map(|item| {
            let heights = derived.spring_heights(item.map(Side::word));
            let count = i64::try_from(heights.len()).ok().filter(|count| *count > 0)?;
            // coils side by side press as their mean does
            Some(Length::from_nm(heights.iter().copied().sum::<Length>().nm() / count) - zero)
        });
        let closings = derived
            .chains()
            .into_iter()
            .map(|chain| derived.best_closing(round, chain).map(|closing| closing.value));
        Some(LastLeft {
            build: id.to_string(),
            finished: finished.chars().take(10).collect(),
            plates: packs
                .iter()
                .flat_map(|pack| &pack.order)
                .filter_map(plate)
                .collect(),
            springs: springs.collect(),
            // a gap that is less than nothing was never left
            closings: closings
                .collect::<Option<Vec<_>>>()
                .filter(|closings| closings.iter().all(|closing| *closing >= Length::ZERO))
                .unwrap_or_default(),
            packs,
            read: self
                .derived
                .chains()
                .into_iter()
                .map(|chain| self.derived.read_force(chain))
                .collect::<Option<Vec<_>>>()
                .unwrap_or_default(),
            discs: derived.discs_for_the_next(),
            proofs: Vec::new(),
        })
    }

    /// What the last choice takes out of the drawer: shims that did not come out of the unit, and spare plates.
    pub(super) fn used_from_drawer(&self) -> (Vec<Length>, Vec<String>) {
        let Some(chosen) = self.state.chosen(self.round) else {
            return (Vec::new(), Vec::new());
        };
        let mut from_unit: Vec<Length> = self
            .job
            .unit
            .packs
            .iter()
            .flat_map(|pack| pack.shims.iter().copied())
            .collect();
        let mut shims = Vec::new();
        for nm in chosen.sides.iter().flat_map(|side| &side.shims_nanometres) {
            let shim = Length::from_nm(*nm);
            match from_unit.iter().position(|known| *known == shim) {
                Some(at) => {
                    from_unit.swap_remove(at);
                }
                None => shims.push(shim),
            }
        }
        let plates = chosen.sides.iter().flat_map(|side| &side.plates);
        let spares = plates
            .filter(|name| self.job.unit.plate(name).is_none())
            .cloned()
            .collect();
        (shims, spares)
    }
}
