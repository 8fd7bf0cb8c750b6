//! The proposals of a choice as a table, twins in one row.

use super::ask::Table;
use super::choosing::Choosing;
use super::derived::Derived;
use crate::choice::{Choice, twins};
use crate::quantity::{Dimension, Length, Quantity, Torque};
use crate::workshop::Aim;

/// So many rows are shown where more were not asked for.
const ROWS: usize = 3;

impl Choosing {
    /// The proposals, twins in one row with the numbers of all of them, as `1=3` or `1=3-6`; the first three rows, or all where that was
    /// asked for. None where there is no proposal.
    pub fn table(&self, derived: &Derived<'_>, choices: &[Choice]) -> Option<Table> {
        if choices.is_empty() {
            return None;
        }
        let rows = twins(choices, derived.doubt_of_closing());
        let most = if self.all_shown { usize::MAX } else { ROWS };
        let mut table = Table {
            head: derived.choice_heads(),
            rows: Vec::new(),
        };
        for row in rows.iter().take(most) {
            let Some(choice) = row.first().and_then(|first| choices.get(*first)) else {
                continue;
            };
            let mut cells = vec![numbered(row)];
            cells.extend(derived.choice_cells(choice));
            table.rows.push(cells);
        }
        Some(table)
    }
}

/// The numbers of the proposals of a row in one word, so that no line ends inside it: `1=2`, `1=3-6`.
fn numbered(row: &[usize]) -> String {
    let mut words: Vec<String> = Vec::new();
    for run in row.chunk_by(|one, next| one + 1 == *next) {
        match run {
            [first, .., last] if run.len() > 2 => words.push(format!("{}-{}", first + 1, last + 1)),
            run => words.extend(run.iter().map(|n| (n + 1).to_string())),
        }
    }
    words.join("=")
}

impl Derived<'_> {
    /// The ± of a closing, twice its standard uncertainty.
    fn doubt_of_closing(&self) -> Length {
        let um = 2.0 * self.typical_uncertainty().unwrap_or(0.0);
        Length::from_mm(um / 1e3).unwrap_or(Length::ZERO)
    }

    fn choice_heads(&self) -> Vec<String> {
        let units = self.state.units;
        let unit = |dimension: Dimension| dimension.usual_unit(units);
        let mm = unit(Dimension::Length);
        let mut heads = vec![
            String::new(),
            format!("left shims, {mm}"),
            format!("right shims, {mm}"),
        ];
        match self.job.unit.aim {
            Aim::Gap { .. } => heads.push(format!("gap, {mm}")),
            Aim::Preload { .. } => {
                heads.push(format!("preload, {}", unit(Dimension::Force)));
                heads.push(format!("breakaway, {}", unit(Torque::DIMENSION)));
            }
        }
        heads.extend([
            format!("off, {mm}"),
            format!("apart, {mm}"),
            "new".to_string(),
            "moved".to_string(),
            "inside".to_string(),
        ]);
        heads
    }

    fn choice_cells(&self, choice: &Choice) -> Vec<String> {
        let units = self.state.units;
        let shims = |side: usize| {
            let shims = &choice.sides[side].shims;
            let shown: Vec<String> = shims.iter().map(|shim| shim.bare(units)).collect();
            if shown.is_empty() {
                "none".to_string()
            } else {
                shown.join(" + ")
            }
        };
        let both = |values: [String; 2]| {
            let [left, right] = values;
            if left == right {
                left
            } else {
                format!("{left} / {right}")
            }
        };
        let mut cells = vec![shims(0), shims(1)];
        match self.job.unit.aim {
            Aim::Gap { .. } => cells.push(both(choice.closings.map(|closing| closing.bare(units)))),
            Aim::Preload { .. } => {
                // without its unit, which stands in the head
                let number = |shown: String| shown.split(' ').next().unwrap_or("").to_string();
                let forces = self.forces(choice.closings).ok();
                cells.push(forces.map_or("–".to_string(), |forces| {
                    both(forces.map(|force| number(force.show(units))))
                }));
                let chosen = self.chosen(&choice.sides, String::new());
                let torque = chosen.and_then(|chosen| self.expected(&chosen.sides, choice.closings));
                cells.push(torque.map_or("–".to_string(), |torque| number(torque.show(units))));
            }
        }
        cells.extend([
            choice.worst_deviation.bare(units),
            choice.difference.bare(units),
            choice.spares.to_string(),
            choice.moved.to_string(),
            format!("{:.0} %", (choice.probability * 100.0).floor()),
        ]);
        cells
    }
}
