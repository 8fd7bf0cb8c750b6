//! The gears between the rings, as a unit's file has them: what they may have of play, and their thrust washers.

use crate::document::Section;
use crate::quantity::Length;

const WASHER: &str = "at least 0.05 mm and at most 50 mm";

/// The least and the most of a length, as far as they are laid down.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Span {
    /// The least.
    pub least: Option<Length>,
    /// The most.
    pub most: Option<Length>,
}

/// The gears between the rings.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Gears {
    /// End float of a side gear.
    pub end_float: Span,
    /// Backlash between a side gear and its pinions.
    pub backlash: Span,
    /// How many thrust washers there are, at side gears and pinions.
    pub washers: u32,
    /// The least thickness of one.
    pub washer_least: Option<Length>,
}

impl Gears {
    /// Reads them from their table of a unit's file.
    pub(super) fn read(section: &Section<'_>) -> Gears {
        let limits = "at least 0 mm and at most 5 mm";
        let span = |least: &'static str, most: &'static str| {
            let span = Span {
                least: section.quantity_maybe_where(least, limits),
                most: section.quantity_maybe_where(most, limits),
            };
            if let Span {
                least: Some(least),
                most: Some(greatest),
            } = span
                && least > greatest
            {
                section.fault_at(most, "the most is less than the least");
            }
            span
        };
        let gears = Gears {
            end_float: span("end_float_least", "end_float_most"),
            backlash: span("backlash_least", "backlash_most"),
            washers: section.count_maybe("washers", 0..41).unwrap_or(0),
            washer_least: section.quantity_maybe_where("washer_least", WASHER),
        };
        section.finish();
        gears
    }
}
