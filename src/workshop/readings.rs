//! Readings of a whole unit in a file.

use super::unit::{Depth, MOST_PLATES, Unit};
use crate::document::{Document, Faults, Section};
use crate::mechanics::Side;
use crate::quantity::Length;

/// Readings of a whole unit, for a choice without a rebuild: what was measured, zero errors already taken off.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Readings {
    /// Which micrometer measured plates and rings.
    pub micrometer: String,
    /// Which gauge measured depths and springs.
    pub depth_gauge: String,
    /// Depth readings: one chain for a through unit, left and right for a per-side unit.
    pub depths: Vec<Vec<Length>>,
    /// Ring readings, left and right.
    pub rings: [Vec<Length>; 2],
    /// Free heights of the springs, in the order left, right, or the one between the rings.
    pub springs: Vec<Length>,
    /// Readings of each plate that may be used; a plate that is not named was not measured.
    pub plates: Vec<PlateReadings>,
}

/// The readings of one plate.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PlateReadings {
    /// Its name.
    pub name: String,
    /// Thickness at one or more points.
    pub thickness: Vec<Length>,
    /// How far it is out of flat.
    pub flatness: Option<Length>,
}

impl Readings {
    /// Reads the readings of `unit` from TOML text; gives every fault at once. `is_spare` says whether a name is a spare
    /// plate of the drawer.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line; a plate that neither the unit nor the drawer has.
    pub fn read(
        file: &str,
        source: &str,
        unit: &Unit,
        is_spare: impl Fn(&str) -> bool,
    ) -> Result<Readings, Faults> {
        Readings::read_by(file, source, Some(unit), is_spare)
    }

    /// Finds the faults of a file of readings without its unit: either layout is taken, and no name is looked up.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn check(file: &str, source: &str) -> Result<(), Faults> {
        Readings::read_by(file, source, None, |_| true).map(|_| ())
    }

    fn read_by(
        file: &str,
        source: &str,
        unit: Option<&Unit>,
        is_spare: impl Fn(&str) -> bool,
    ) -> Result<Readings, Faults> {
        Document::read(file, source, |top| Readings::read_top(top, unit, is_spare))
    }

    /// Reads them from the top of their document; without a unit either layout is taken, and no name is looked up.
    pub(super) fn read_top(
        top: &Section<'_>,
        unit: Option<&Unit>,
        is_spare: impl Fn(&str) -> bool,
    ) -> Option<Readings> {
        top.format("shimwright readings 1");
        let micrometer = top.text("micrometer");
        let depth_gauge = top.text("depth_gauge");
        let depths = top.section("case").and_then(|case| {
            let one = || lengths(&case, "depth");
            let two = || vec![lengths(&case, "depth_left"), lengths(&case, "depth_right")];
            let depths = match unit.map(|unit| &unit.depth) {
                Some(Depth::Through(_)) => vec![one()],
                Some(_) => two(),
                // without the unit it is what it looks like
                None => match (case.has("depth"), lengths_maybe(&case, "depth")) {
                    (true, depths) => vec![depths],
                    (false, _) => two(),
                },
            };
            case.finish();
            depths.into_iter().collect::<Option<Vec<_>>>()
        });
        let rings = top.section("rings").and_then(|rings| {
            let (left, right) = (lengths(&rings, "left"), lengths(&rings, "right"));
            rings.finish();
            Some([left?, right?])
        });
        let heights = |section: Section<'_>| {
            let heights = lengths(&section, "heights");
            section.finish();
            heights
        };
        let springs = match unit.map(|unit| unit.spring.is_some()) {
            Some(false) => Some(Vec::new()),
            Some(true) => top.section("spring").and_then(heights),
            None => top.section_maybe("spring").map_or(Some(Vec::new()), heights),
        };
        let mut plates: Vec<PlateReadings> = Vec::new();
        let none = "no plates: [[plate]] with name and thickness = [\"1.98 mm\", \"1.97 mm\"] is wanted";
        for section in top.sections_between("plate", 2 * MOST_PLATES, none) {
            let name = section.text("name");
            let thickness = lengths(&section, "thickness");
            let flatness = section.quantity_maybe_where("flatness", "at least 0 mm and at most 5 mm");
            section.finish();
            let (Some(name), Some(thickness)) = (name, thickness) else {
                continue;
            };
            if unit.is_some_and(|unit| unit.plate(&name).is_none()) && !is_spare(&name) {
                section.fault_at(
                    "name",
                    format!("no plate of the unit or the drawer is called {name}"),
                );
            }
            if plates.iter().any(|known| known.name == name) {
                section.fault_at("name", format!("plate {name} is listed twice"));
            }
            plates.push(PlateReadings {
                name,
                thickness,
                flatness,
            });
        }
        top.finish();
        Some(Readings {
            micrometer: micrometer?,
            depth_gauge: depth_gauge?,
            depths: depths?,
            rings: rings?,
            springs: springs?,
            plates,
        })
    }

    /// The readings of a plate.
    pub fn plate(&self, name: &str) -> Option<&PlateReadings> {
        self.plates.iter().find(|plate| plate.name == name)
    }

    /// The ring readings of a side.
    pub fn ring(&self, side: Side) -> &[Length] {
        &self.rings[side.index()]
    }
}

/// One or more readings of a part, each more than nothing.
fn lengths(section: &Section<'_>, key: &'static str) -> Option<Vec<Length>> {
    let readings = lengths_maybe(section, key);
    section.needed(key, "one or more readings in square brackets");
    readings
}

fn lengths_maybe(section: &Section<'_>, key: &'static str) -> Option<Vec<Length>> {
    section.quantities_where(key, "more than 0 mm", 1..=24)
}
