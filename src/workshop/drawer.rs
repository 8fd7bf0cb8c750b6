//! The drawer of shims and spares, and the measuring instruments.

use super::unit::Plate;
use super::unit_file::read_plates;
use crate::document::{DAY, Document, Faults, Section};
use crate::quantity::{Force, Length, Ratio, Torque};
use serde::{Deserialize, Serialize};

/// What lies in the drawer: shims and spare plates.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Drawer {
    /// Shim thicknesses with how many there are.
    pub shims: Vec<(Length, u32)>,
    /// Plates that are not in the unit.
    pub spares: Vec<Plate>,
}

/// A part of the drawer.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum DrawerPart {
    /// A spare plate, by its name.
    #[serde(rename = "spare")]
    Spare(String),
    /// One shim of this thickness, in whole nanometres.
    #[serde(rename = "shim_nanometres")]
    Shim(i64),
}

const FORMAT: &str = "shimwright drawer 1";
/// The most shim sizes in a drawer.
const MOST_SIZES: usize = 500;

impl Drawer {
    /// Reads a drawer from TOML text; gives every fault at once.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read(file: &str, source: &str) -> Result<Drawer, Faults> {
        Document::read(file, source, |top| Drawer::read_top(top, true))
    }

    /// Reads a drawer that was given to a build before: rules that came later do not close an old record.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read_kept(file: &str, source: &str) -> Result<Drawer, Faults> {
        Document::read(file, source, |top| Drawer::read_top(top, false))
    }

    /// The drawer with more parts in it, by rows as they stand in its file; nothing where they can not be read, or name a
    /// plate that lies there already.
    ///
    /// ```
    /// use shimwright::workshop::{Drawer, DrawerPart};
    /// let rows = "[[shim]]\nthickness = \"0.25 mm\"\ncount = 1\n";
    /// let drawer = Drawer::default().with(rows).and_then(|drawer| drawer.with(rows)).unwrap();
    /// assert_eq!(drawer.shims[0].1, 2);
    /// let shim = DrawerPart::Shim(250_000);
    /// assert_eq!(drawer.without(&shim).unwrap().shims[0].1, 1);
    /// assert_eq!(Drawer::default().without(&shim), None);
    /// ```
    pub fn with(&self, rows: &str) -> Option<Drawer> {
        let more = Drawer::read_kept("", &format!("format = \"{FORMAT}\"\n{rows}")).ok()?;
        let mut drawer = self.clone();
        for (thickness, count) in more.shims {
            match drawer.shims.iter_mut().find(|(known, _)| *known == thickness) {
                Some((_, there)) => *there = there.checked_add(count)?,
                None => drawer.shims.push((thickness, count)),
            }
        }
        for spare in more.spares {
            if drawer.spares.iter().any(|known| known.name == spare.name) {
                return None;
            }
            drawer.spares.push(spare);
        }
        Some(drawer)
    }

    /// The drawer without a part that was listed and is not there; nothing where it is not listed.
    pub fn without(&self, part: &DrawerPart) -> Option<Drawer> {
        let mut drawer = self.clone();
        match part {
            DrawerPart::Spare(name) => {
                let at = drawer.spares.iter().position(|known| known.name == *name)?;
                drawer.spares.remove(at);
            }
            DrawerPart::Shim(nm) => {
                let listed = |(known, _): &&mut (Length, u32)| known.nm() == *nm;
                let (_, count) = drawer.shims.iter_mut().find(listed)?;
                *count = count.checked_sub(1)?;
            }
        }
        Some(drawer)
    }

    /// Reads it from the top of its document; `strict` as for [`Drawer::read`].
    pub(super) fn read_top(top: &Section<'_>, strict: bool) -> Option<Drawer> {
        top.format(FORMAT);
        let mut shims: Vec<(Length, u32)> = Vec::new();
        for section in top.sections_up_to("shim", MOST_SIZES) {
            let thickness = section.quantity_where("thickness", "at least 0.01 mm and at most 10 mm");
            let count = section.count("count", 0..10_000);
            section.finish();
            if let (Some(thickness), Some(count)) = (thickness, count) {
                if shims.iter().any(|(known, _)| *known == thickness) {
                    section.fault_at("thickness", format!("{thickness} is listed twice"));
                }
                shims.push((thickness, count));
            }
        }
        let spares = read_plates(top, "spare", strict);
        top.finish();
        Some(Drawer { shims, spares })
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
        /// The least and the most that it reads, where its file says.
        reads: [Option<Torque>; 2],
    },
    /// Force at a height.
    Force(Press),
}

/// A press that reads the force of a spring at a height.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Press {
    /// Expanded uncertainty (k = 2) as a share of the reading.
    pub relative: Ratio,
    /// The step of its reading.
    pub resolution: Force,
    /// Expanded uncertainty (k = 2) of the height that the spring is pressed to.
    pub height: Length,
    /// The most that it reads, where its file says.
    pub reads_most: Option<Force>,
}

impl Press {
    /// The standard uncertainty of a force that it reads, as a share: certificate and step.
    pub fn standard(&self, force: Force) -> f64 {
        self.calibration().hypot(self.step(force))
    }

    /// What of that is its certificate's, and the same in all that it reads until it is calibrated anew.
    pub fn calibration(&self) -> f64 {
        0.5 * self.relative.value()
    }

    /// What of it is the step of a reading's own.
    fn step(&self, force: Force) -> f64 {
        self.resolution.newtons() / (12_f64.sqrt() * force.newtons())
    }
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
///
/// # Errors
///
/// [`Faults`]: every fault of the text, each with its line.
pub fn read_instruments(file: &str, source: &str) -> Result<Vec<Instrument>, Faults> {
    Document::read(file, source, read_instruments_top)
}

/// Reads them from the top of their document.
pub(super) fn read_instruments_top(top: &Section<'_>) -> Option<Vec<Instrument>> {
    top.format("shimwright instruments 1");
    let mut instruments: Vec<Instrument> = Vec::new();
    for section in top.sections("instrument") {
        let id = section.text("id");
        let kinds = [(0_u8, "thickness"), (1, "depth"), (2, "torque"), (3, "force")];
        let kind = section.word("measures", &kinds);
        let due = section.spelt("due", &DAY);
        let measures = match kind {
            Some(2) => {
                let relative = section.quantity_where::<Ratio>("relative", "more than 0 and at most 0.5");
                let length = section.quantity_where("length", "at least 50 mm and at most 3 m");
                let range = "at least 0.1 N·m and at most 2000 N·m";
                let reads = ["reads_least", "reads_most"]
                    .map(|key| section.quantity_maybe_where::<Torque>(key, range));
                if let [Some(least), Some(most)] = reads
                    && least >= most
                {
                    section.fault_at(
                        "reads_least",
                        format!("{least} is not less than reads_most, {most}"),
                    );
                }
                relative.zip(length).map(|(relative, length)| Measures::Torque {
                    relative,
                    length,
                    reads,
                })
            }
            Some(3) => {
                let relative = section.quantity_where::<Ratio>("relative", "more than 0 and at most 0.5");
                let resolution = section.quantity_where("resolution", "at least 0.001 N and at most 1000 N");
                let height = section.quantity_where("height", "at least 0.0001 mm and at most 1 mm");
                let reads_most =
                    section.quantity_maybe_where::<Force>("reads_most", "at least 1 N and at most 1000 kN");
                (|| {
                    Some(Measures::Force(Press {
                        relative: relative?,
                        resolution: resolution?,
                        height: height?,
                        reads_most,
                    }))
                })()
            }
            Some(kind) => {
                let limits = "at least 0.0001 mm and at most 1 mm";
                let resolution = section.quantity_where("resolution", limits);
                let calibration = section.quantity_where("calibration", limits);
                let repeatability = section.quantity_where("repeatability", limits);
                let standard = section.quantity_where("standard", "at least 0 mm and at most 1 m");
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
    top.one_of_each("instrument", "measures", &["thickness", "depth", "torque"]);
    top.finish();
    Some(instruments)
}
