//! What the drills draw with.

use crate::metrology::Stream;

/// One of several, each as likely as another.
pub(super) fn one_of<'a, T>(random: &mut Stream, all: &'a [T]) -> Option<&'a T> {
    all.get(random.below(all.len()))
}

/// Puts things into any order.
pub(super) fn shuffled<T>(random: &mut Stream, mut all: Vec<T>) -> Vec<T> {
    let mut drawn = Vec::with_capacity(all.len());
    while !all.is_empty() {
        drawn.push(all.swap_remove(random.below(all.len())));
    }
    drawn
}

/// A whole number from `low` to `high`, both of them too.
pub(super) fn whole(random: &mut Stream, low: i64, high: i64) -> i64 {
    let span = usize::try_from(high - low + 1).unwrap_or_default();
    low + i64::try_from(random.below(span)).unwrap_or_default()
}

/// Micrometres as millimetres with so many decimals.
pub(super) fn mm(um: i64, decimals: usize) -> String {
    format!("{:.decimals$} mm", um as f64 / 1e3)
}

/// The same with its sign, where it has one.
pub(super) fn signed(um: i64, decimals: usize) -> String {
    let sign = match um {
        0 => "",
        um if um > 0 => "+",
        _ => "−",
    };
    format!("{sign}{}", mm(um.abs(), decimals))
}
