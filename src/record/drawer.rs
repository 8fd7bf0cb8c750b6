use super::document::{Document, Faults};
use super::unit::Plate;
use super::unit_file::{check_format, read_plates};
use crate::quantity::{Length, Ratio};

/// What lies in the drawer: shims and spare plates.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Drawer {
    /// Shim thicknesses with how many there are.
    pub shims: Vec<(Length, u32)>,
    /// Plates that are not in the unit.
    pub spares: Vec<Plate>,
}

/// The most shim sizes in a drawer.
const MOST_SIZES: usize = 500;

impl Drawer {
    /// Reads a drawer from TOML text; gives every fault at once.
    pub fn read(file: &str, source: &str) -> Result<Drawer, Faults> {
        Document::read(file, source, |top| {
            check_format(top, "shimwright drawer 1");
            let sections = top.sections("shim");
            if sections.len() > MOST_SIZES {
                top.fault_at(
                    "shim",
                    format!("{} sizes are too many; at most {MOST_SIZES}", sections.len()),
                );
                return None;
            }
            let mut shims: Vec<(Length, u32)> = Vec::new();
            for section in sections {
                let thickness = section.quantity_where(
                    "thickness",
                    "at least 0.01 mm and at most 10 mm",
                    |thickness: Length| (Length::from_um(10)..=Length::from_um(10_000)).contains(&thickness),
                );
                let count = section.count("count", 0..10_000);
                section.finish();
                if let (Some(thickness), Some(count)) = (thickness, count) {
                    if shims.iter().any(|(known, _)| *known == thickness) {
                        section.fault_at("thickness", format!("{thickness} is listed twice"));
                    }
                    shims.push((thickness, count));
                }
            }
            let spares = read_plates(top, "spare");
            top.finish();
            Some(Drawer { shims, spares })
        })
    }
}

/// A measuring instrument.
#[derive(Clone, PartialEq, Debug)]
pub struct Instrument {
    /// Its name, as written on it.
    pub id: String,
    /// What it measures.
    pub measures: Measures,
    /// The last day of its calibration, as `2027-03-31`.
    pub due: String,
}

/// What an instrument measures, and how well.
#[derive(Clone, PartialEq, Debug)]
pub enum Measures {
    /// Thickness of parts.
    Thickness(Gauge),
    /// Depths and gaps.
    Depth(Gauge),
    /// Torque.
    Torque {
        /// Expanded uncertainty (k = 2) as a share of the reading.
        relative: Ratio,
        /// From its square to the middle of the grip.
        length: Length,
    },
}

/// An instrument for lengths.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Gauge {
    /// The step of its reading.
    pub resolution: Length,
    /// Expanded uncertainty (k = 2) by its certificate.
    pub calibration: Length,
    /// Standard deviation of repeated readings.
    pub repeatability: Length,
    /// The standard that its zero is checked on.
    pub standard: Length,
}

/// Reads the instruments' file; gives every fault at once.
pub fn read_instruments(file: &str, source: &str) -> Result<Vec<Instrument>, Faults> {
    Document::read(file, source, |top| {
        check_format(top, "shimwright instruments 1");
        let mut instruments: Vec<Instrument> = Vec::new();
        for section in top.sections("instrument") {
            let id = section.text("id");
            let kind = section.word("measures", &[(0_u8, "thickness"), (1, "depth"), (2, "torque")]);
            let due = section.text("due");
            if due.as_deref().is_some_and(|due| !is_day(due)) {
                section.fault_at("due", "a day is written as 2027-03-31");
            }
            let measures = match kind {
                Some(2) => {
                    let relative =
                        section.quantity_where::<Ratio>("relative", "more than 0 and at most 0.5", |share| {
                            share.value() > 0.0 && share.value() <= 0.5
                        });
                    let length = section.quantity_where(
                        "length",
                        "at least 50 mm and at most 3 m",
                        |length: Length| {
                            (Length::from_um(50_000)..=Length::from_um(3_000_000)).contains(&length)
                        },
                    );
                    relative
                        .zip(length)
                        .map(|(relative, length)| Measures::Torque { relative, length })
                }
                Some(kind) => {
                    let small =
                        |length: Length| (Length::from_nm(100)..=Length::from_um(1_000)).contains(&length);
                    let limits = "at least 0.0001 mm and at most 1 mm";
                    let resolution = section.quantity_where("resolution", limits, small);
                    let calibration = section.quantity_where("calibration", limits, small);
                    let repeatability = section.quantity_where("repeatability", limits, small);
                    let standard = section.quantity_where(
                        "standard",
                        "at least 0 mm and at most 1 m",
                        |length: Length| (Length::ZERO..=Length::from_um(1_000_000)).contains(&length),
                    );
                    (|| {
                        let gauge = Gauge {
                            resolution: resolution?,
                            calibration: calibration?,
                            repeatability: repeatability?,
                            standard: standard?,
                        };
                        Some(if kind == 0 {
                            Measures::Thickness(gauge)
                        } else {
                            Measures::Depth(gauge)
                        })
                    })()
                }
                None => None,
            };
            section.finish();
            if let Some(id) = &id
                && instruments.iter().any(|known| known.id == *id)
            {
                section.fault_at("id", format!("two instruments are called {id}"));
            }
            if let (Some(id), Some(measures), Some(due)) = (id, measures, due) {
                instruments.push(Instrument { id, measures, due });
            }
        }
        for (wanted, there) in [
            (
                "thickness",
                instruments
                    .iter()
                    .any(|one| matches!(one.measures, Measures::Thickness(_))),
            ),
            (
                "depth",
                instruments
                    .iter()
                    .any(|one| matches!(one.measures, Measures::Depth(_))),
            ),
            (
                "torque",
                instruments
                    .iter()
                    .any(|one| matches!(one.measures, Measures::Torque { .. })),
            ),
        ] {
            if !there {
                top.fault(
                    0..0,
                    format!("an [[instrument]] with measures = \"{wanted}\" is wanted"),
                );
            }
        }
        top.finish();
        Some(instruments)
    })
}

fn is_day(text: &str) -> bool {
    let parts: Vec<&str> = text.split('-').collect();
    let number = |part: &str, digits: usize| {
        (part.len() == digits && part.bytes().all(|b| b.is_ascii_digit()))
            .then(|| part.parse::<u32>().ok())
            .flatten()
    };
    match parts.as_slice() {
        [year, month, day] => {
            number(year, 4).is_some()
                && number(month, 2).is_some_and(|month| (1..=12).contains(&month))
                && number(day, 2).is_some_and(|day| (1..=31).contains(&day))
        }
        _ => false,
    }
}
