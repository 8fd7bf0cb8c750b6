//! Words of a build's sheet that follow from one part of the unit alone.

use crate::mechanics::{Direction, LockModel};
use crate::quantity::Ratio;
use crate::workshop::Bolts;

/// What the bolts of a group are, with what the maker's manual wants beside their torque.
pub(super) fn bolts_words(bolts: &Bolts) -> String {
    let mut words = format!("{} × {}, class {}", bolts.count, bolts.size, bolts.class);
    if bolts.new {
        words.push_str(", new");
    }
    if let Some(locker) = &bolts.locker {
        words.push_str(&format!("; locker: {locker}"));
    }
    words
}

/// The shares of a unit whose packs differ, by which wheel turns slower; empty where they are the same.
pub(super) fn uneven_words(model: &LockModel) -> String {
    let of = |direction: Direction| {
        let [left, right] = model.shares(direction);
        let even = left
            .zip(right)
            .is_some_and(|(left, right)| (left.value() - right.value()).abs() < 5e-4 * left.value().max(1.0));
        let word =
            |share: Option<Ratio>| share.map_or("without end".to_string(), |s| format!("{:.3}", s.value()));
        (!even).then(|| {
            format!(
                "on {direction} {} with the left wheel slower, {} with the right",
                word(left),
                word(right)
            )
        })
    };
    let words: Vec<String> = [Direction::Drive, Direction::Coast]
        .into_iter()
        .filter_map(of)
        .collect();
    words.join("; ")
}
