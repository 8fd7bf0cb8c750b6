//! Limits that are enforced and said by the same text.

use super::number::split_number;
use super::parse::{Quantity, parse};
use super::pattern::Edge;
use super::units::{Dimension, rows_of, unit_named};

/// How a limit is said: the words before it, whether it is the least, and whether it is itself outside.
const WORDS: [(&str, bool, bool); 4] = [
    ("at least ", true, false),
    ("more than ", true, true),
    ("at most ", false, false),
    ("less than ", false, true),
];

/// The parts of limits that are said in words: is it the least, is it outside, the quantity. `None` for other words.
fn parts(words: &str) -> Option<Vec<(bool, bool, &str)>> {
    words
        .split(" and ")
        .map(|part| {
            let (before, least, outside) = WORDS.iter().find(|(before, ..)| part.starts_with(before))?;
            Some((*least, *outside, &part[before.len()..]))
        })
        .collect()
}

/// Whether a quantity is within limits that are said in words, such as `at least 1 mm and at most 1 m`. So a limit is written
/// once: for the person who reads it and for the program that holds to it. `None` for words that say no limits.
///
/// ```
/// use shimwright::quantity::{Length, within};
/// let limits = "more than 0 mm and at most 2 mm";
/// assert_eq!(within(Length::from_um(2_000), limits), Some(true));
/// assert_eq!(within(Length::ZERO, limits), Some(false));
/// assert_eq!(within(Length::ZERO, "not too much"), None);
/// ```
pub fn within<Q: Quantity + PartialOrd>(quantity: Q, limits: &str) -> Option<bool> {
    let mut fits = true;
    for (least, outside, text) in parts(limits)? {
        let limit = parse::<Q>(text).ok()?;
        fits &= match (least, outside) {
            (true, false) => quantity >= limit,
            (true, true) => quantity > limit,
            (false, false) => quantity <= limit,
            (false, true) => quantity < limit,
        };
    }
    Some(fits)
}

impl Edge {
    /// The edges of limits that are said in words, as [`within`] reads them. `None` for words that say no limits.
    ///
    /// ```
    /// use shimwright::quantity::Edge;
    /// let [least, most] = &Edge::all("more than 0 mm and at most 2 mm").unwrap()[..] else { panic!() };
    /// assert!(least.least && least.outside && !most.least && !most.outside);
    /// assert!((most.si - 0.002).abs() < 1e-15);
    /// ```
    pub fn all(limits: &str) -> Option<Vec<Edge>> {
        let edge = |(least, outside, text): (bool, bool, &str)| {
            let (number, unit) = split_number(text).ok()?;
            let si = match unit.as_str() {
                "" => number.value(),
                unit => unit_named(unit)?.to_si(number.value()),
            };
            Some(Edge { si, least, outside })
        };
        parts(limits)?.into_iter().map(edge).collect()
    }
}

/// A quantity in the middle of its limits, as text.
///
/// ```
/// use shimwright::quantity::{Dimension, sample};
/// assert_eq!(sample(Dimension::Length, "at least 1 mm and at most 3 mm").as_deref(), Some("2 mm"));
/// assert_eq!(sample(Dimension::Ratio, "not too much"), None);
/// ```
pub fn sample(dimension: Dimension, limits: &str) -> Option<String> {
    let edges = Edge::all(limits)?;
    let row = rows_of(dimension).next();
    let (unit, factor) = row.map_or(("", 1.0), |row| (row.symbol(), row.from_si(1.0)));
    let edge = |least| {
        edges
            .iter()
            .find(|edge| edge.least == least)
            .map(|edge| edge.si * factor)
    };
    let least = edge(true).unwrap_or(0.0);
    let most = edge(false).unwrap_or(least + 2.0);
    Some(
        format!("{} {unit}", f64::midpoint(least, most))
            .trim_end()
            .to_string(),
    )
}
