//! A 95 % interval with where it comes from, as plain data.

use crate::quantity::{Force, Torque, Units};
use serde_json::{Value, json};

/// The 95 % interval of a quantity by propagation, with where it comes from.
#[derive(Clone, PartialEq, Debug)]
pub struct Interval<Q> {
    /// The lower end.
    pub low: Q,
    /// The upper end.
    pub high: Q,
    /// The largest parts of its variance by name, each a share of it; three at the most.
    pub parts: Vec<(String, f64)>,
    /// What would narrow it most, and the ends that it would have then; `None` where nothing takes a tenth off it.
    pub narrower: Option<(String, Q, Q)>,
}

impl Interval<Force> {
    /// What would narrow it most, and by how much, in words.
    pub fn narrowed(&self, units: Units) -> Option<String> {
        self.narrowed_by(Force::newtons, &|half| {
            Some(Force::from_newtons(half).ok()?.show(units))
        })
    }
}

impl Interval<Torque> {
    /// What would narrow it most, and by how much, in words.
    pub fn narrowed(&self, units: Units) -> Option<String> {
        let show = |half| Some(Torque::from_newton_metres(half).ok()?.show(units));
        self.narrowed_by(Torque::newton_metres, &show)
    }
}

impl<Q: Copy> Interval<Q> {
    /// The same of quantities whose numbers are shown so.
    pub fn narrowed_by(&self, number: fn(Q) -> f64, show: &dyn Fn(f64) -> Option<String>) -> Option<String> {
        let half = |low: Q, high: Q| show(0.5 * (number(high) - number(low)));
        let (by, low, high) = self.narrower.as_ref()?;
        Some(format!(
            "{by}: ± {} to ± {}",
            half(self.low, self.high)?,
            half(*low, *high)?
        ))
    }

    /// Its parts in words: `spring force 94 %, friction 4 %`; those under half a percent are not told.
    pub fn from_what(&self) -> String {
        parts_in_words(&self.parts)
    }
}

/// Parts of a variance in words, each with its share; those under half a percent are not told.
///
/// ```
/// use shimwright::record::interval::parts_in_words;
/// let parts = [("wrench".to_string(), 0.708), ("drag".to_string(), 0.288), ("scatter".to_string(), 0.004)];
/// assert_eq!(parts_in_words(&parts), "wrench 71 %, drag 29 %");
/// ```
pub fn parts_in_words(parts: &[(String, f64)]) -> String {
    let told = parts.iter().filter(|(_, share)| *share >= 0.005);
    let words: Vec<String> = told
        .map(|(name, share)| format!("{name} {:.0} %", 100.0 * share))
        .collect();
    words.join(", ")
}

/// The same for machines.
pub fn parts_json(parts: &[(String, f64)]) -> Value {
    parts
        .iter()
        .map(|(name, share)| json!({"source": name, "share": share}))
        .collect()
}

/// What a wrench should read, beside what it read.
#[derive(Clone, PartialEq, Debug)]
pub struct ShouldRead {
    /// Between what, at 95 %.
    pub interval: Interval<Torque>,
    /// The reading beside it, where that comes from, and by what the friction is known.
    pub words: String,
}
