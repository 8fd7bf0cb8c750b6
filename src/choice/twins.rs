//! Proposals that the gauge can not tell apart.

use super::request::Choice;
use crate::quantity::Length;

/// Sorts proposals into rows of twins: of each row the first is the one that is shown.
///
/// Twins have as many shims on each side, as many new parts and as many plates that change side, and no figure of theirs
/// (closings, difference, worst deviation) is a tenth of its doubt apart: `doubt` is the expanded uncertainty, the ±, of
/// a closing, 0 or more. With no doubt only equal figures are twins.
///
/// Each proposal is held against the first of a row, so that no row drifts. Returns the places of the proposals, rows in
/// the order of their firsts; none is left out.
///
/// ```
/// use shimwright::choice::{Choice, SideChoice, twins};
/// use shimwright::quantity::Length;
/// let um = Length::from_um;
/// let choice = |closing: i64| Choice {
///     sides: [SideChoice::default(), SideChoice::default()],
///     closings: [um(closing); 2],
///     heights: [um(4_000); 2],
///     worst_deviation: um((closing - 200).abs()),
///     difference: um(0),
///     shims: 0,
///     spares: 0,
///     moved: 0,
///     probability: 0.99,
/// };
/// // ± 20 µm: a figure 2 µm away is another one
/// let choices = [choice(200), choice(201), choice(202)];
/// assert_eq!(twins(&choices, um(20)), [vec![0, 1], vec![2]]);
/// ```
pub fn twins(choices: &[Choice], doubt: Length) -> Vec<Vec<usize>> {
    let mut rows: Vec<Vec<usize>> = Vec::new();
    for (index, choice) in choices.iter().enumerate() {
        let first = |row: &&mut Vec<usize>| {
            row.first()
                .and_then(|first| choices.get(*first))
                .is_some_and(|first| are_twins(first, choice, doubt))
        };
        match rows.iter_mut().find(first) {
            Some(row) => row.push(index),
            None => rows.push(vec![index]),
        }
    }
    rows
}

fn are_twins(one: &Choice, other: &Choice, doubt: Length) -> bool {
    let counts = |choice: &Choice| {
        let shims = [0, 1].map(|side: usize| choice.sides[side].shims.len());
        (shims, choice.spares, choice.moved)
    };
    let figures = |choice: &Choice| {
        let [left, right] = choice.closings;
        [left, right, choice.difference, choice.worst_deviation]
    };
    counts(one) == counts(other)
        && figures(one).iter().zip(figures(other)).all(|(one, other)| {
            let apart = (one.nm() - other.nm()).abs();
            apart == 0 || 10 * apart < doubt.nm()
        })
}
