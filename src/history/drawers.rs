//! Drawers of shims and spare plates: what lies there, what open builds have taken of it, what the next builds will want, and
//! so what to order.

use super::export::{csv_cell, csv_line};
use super::remedies::{Remedies, What};
use super::wear::UnitWear;
use crate::mechanics::Keying;
use crate::quantity::{Length, Units};
use crate::report::{Report, ReportError, Section, Summary, Table};
use crate::workshop::{Drawer, Unit};
use serde_json::{Value, json};
use std::fmt;

/// What a drawer has several of.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Stocked {
    /// A shim.
    Shim,
    /// A plate keyed to the side gear, or to the case.
    Plate(Keying),
}

impl fmt::Display for Stocked {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Stocked::Shim => f.pad("shim"),
            Stocked::Plate(keyed) => keyed.fmt(f),
        }
    }
}

/// Parts of one kind and thickness in one drawer.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StockRow {
    /// What it is.
    pub part: Stocked,
    /// How thick, of a plate when new.
    pub thickness: Length,
    /// How many the drawer's file has.
    pub there: u32,
    /// How many of them open builds have chosen, and will take out when they are finished.
    pub reserved: u32,
    /// How many the next builds are likely to want besides.
    pub wanted: u32,
    /// Builds that have chosen some, and units that will want some.
    pub by: Vec<String>,
}

impl StockRow {
    /// How many there are too few.
    ///
    /// ```
    /// use shimwright::history::drawers::{StockRow, Stocked};
    /// use shimwright::quantity::Length;
    /// let row = StockRow { part: Stocked::Shim, thickness: Length::from_um(350), there: 2, reserved: 1, wanted: 3, by: vec![] };
    /// assert_eq!(row.order(), 2);
    /// ```
    pub fn order(&self) -> u32 {
        (self.reserved + self.wanted).saturating_sub(self.there)
    }
}

/// One drawer with what is wanted of it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stock {
    /// What the drawer is called.
    pub drawer: String,
    /// The units that it is for.
    pub units: Vec<String>,
    /// Shims, then plates, thin ones first.
    pub rows: Vec<StockRow>,
    /// What had to be told.
    pub told: Vec<String>,
}

impl Stock {
    /// What lies in a drawer.
    ///
    /// ```
    /// use shimwright::history::drawers::Stock;
    /// use shimwright::workshop::Drawer;
    /// let text = "format = \"shimwright drawer 1\"\n[[shim]]\nthickness = \"0.35 mm\"\ncount = 2\n";
    /// let mut stock = Stock::of("drawer.toml", &Drawer::read("drawer.toml", text)?);
    /// stock.reserve("moor-rear-0005", &[shimwright::quantity::Length::from_um(350)], &[]);
    /// assert_eq!((stock.rows[0].there, stock.rows[0].reserved, stock.rows[0].order()), (2, 1, 0));
    /// # Ok::<(), shimwright::document::Faults>(())
    /// ```
    pub fn of(name: &str, drawer: &Drawer) -> Stock {
        let mut stock = Stock {
            drawer: name.to_string(),
            units: Vec::new(),
            rows: Vec::new(),
            told: Vec::new(),
        };
        for (thickness, count) in &drawer.shims {
            stock.row(Stocked::Shim, *thickness).there += count;
        }
        for spare in &drawer.spares {
            stock.row(Stocked::Plate(spare.keyed), spare.nominal).there += 1;
        }
        stock
    }

    fn row(&mut self, part: Stocked, thickness: Length) -> &mut StockRow {
        let place = |row: &StockRow| {
            let kind = match row.part {
                Stocked::Shim => 0,
                Stocked::Plate(Keying::Gear) => 1,
                Stocked::Plate(Keying::Case) => 2,
            };
            (kind, row.thickness)
        };
        let new = StockRow {
            part,
            thickness,
            there: 0,
            reserved: 0,
            wanted: 0,
            by: Vec::new(),
        };
        let at = match self.rows.binary_search_by_key(&place(&new), place) {
            Ok(at) => at,
            Err(at) => {
                self.rows.insert(at, new);
                at
            }
        };
        &mut self.rows[at]
    }

    /// What an open build has chosen out of the drawer: shims, and spare plates with how thick they are when new.
    pub fn reserve(&mut self, build: &str, shims: &[Length], plates: &[(Keying, Length)]) {
        let shims = shims.iter().map(|thickness| (Stocked::Shim, *thickness));
        let plates = plates
            .iter()
            .map(|(keyed, thickness)| (Stocked::Plate(*keyed), *thickness));
        for (part, thickness) in shims.chain(plates) {
            let row = self.row(part, thickness);
            row.reserved += 1;
            note(&mut row.by, build);
        }
    }

    /// What the next build of a unit is likely to want: a plate for each that may be at its limit by then, and the shims that
    /// the remedies for its wear name.
    pub fn want(&mut self, wear: &UnitWear<'_>, unit: &Unit, drawer: &Drawer, remedies: &Remedies) {
        // where preload, breakaway or gap say nothing the first plate says when
        let first = wear.first().map_or(0.0, |first| first.earliest());
        let by_then = remedies.after.max(first);
        for plate in wear.plates.iter().filter(|plate| wear.has(plate)) {
            let at_limit = plate.least.earliest().is_some_and(|at| at <= by_then);
            let listed = unit.plate(plate.track.name).or_else(|| {
                let mut spares = drawer.spares.iter();
                spares.find(|spare| spare.name == plate.track.name)
            });
            if let (true, Some(listed)) = (at_limit, listed) {
                self.wish(&wear.unit, Stocked::Plate(listed.keyed), listed.nominal, 1);
            }
        }
        let left: Vec<Length> = wear
            .built()
            .into_iter()
            .flat_map(|built| &built.account.packs)
            .filter_map(|pack| pack.shims_left.clone())
            .flatten()
            .collect();
        let named = remedies.list.iter().find_map(|remedy| match &remedy.what {
            What::Shims { shims, get, .. } => Some((shims, get)),
            _ => None,
        });
        match named {
            Some((Some(chosen), _)) => {
                let mut left = left;
                for thickness in chosen.iter().flatten() {
                    // what is in the unit already is not taken out of the drawer
                    match left.iter().position(|known| known == thickness) {
                        Some(at) => {
                            left.swap_remove(at);
                        }
                        None => self.wish(&wear.unit, Stocked::Shim, *thickness, 1),
                    }
                }
            }
            Some((None, Some((thickness, count)))) => {
                self.wish(&wear.unit, Stocked::Shim, *thickness, *count);
            }
            Some((None, None)) => self.told.push(format!(
                "{}: which shims close its packs again can not be told; `shimwright wear {}` says more",
                wear.unit, wear.unit
            )),
            None => {}
        }
    }

    fn wish(&mut self, unit: &str, part: Stocked, thickness: Length, count: u32) {
        let row = self.row(part, thickness);
        row.wanted += count;
        note(&mut row.by, unit);
    }
}

fn note(names: &mut Vec<String>, name: &str) {
    if !names.iter().any(|known| known == name) {
        names.push(name.to_string());
    }
}

/// The drawers, a table each.
pub fn stock_report(drawers: &[Stock], units: Units) -> Report {
    let mut report = Report::of(summary(drawers));
    for stock in drawers {
        let of = match &stock.units[..] {
            [] => String::new(),
            units => format!(", for {}", units.join(", ")),
        };
        let count = |count: u32| match count {
            0 => String::new(),
            count => count.to_string(),
        };
        let rows = stock.rows.iter().map(|row| {
            [
                row.part.to_string(),
                row.thickness.show(units),
                row.there.to_string(),
                count(row.reserved),
                count(row.wanted),
                count(row.order()),
                row.by.join(", "),
            ]
        });
        let head = ["part", "thickness", "there", "reserved", "wanted", "order", "by"];
        let mut section = Section::under(format!("{}{of}:", stock.drawer)).table(Table::of_words(head, rows));
        for told in &stock.told {
            section = section.words(told.clone());
        }
        report = report.with(section);
    }
    report.with(Section::new().words(
        "Reserved is what open builds have chosen; wanted is what `wear` expects of the next build, by the builds of the book: a \
         guess with the doubt that stands there. Plates are told by their thickness when new.",
    ))
}

fn objects(drawers: &[Stock]) -> impl Iterator<Item = Value> {
    drawers.iter().flat_map(|stock| {
        stock.rows.iter().map(|row| {
            json!({
                "drawer": stock.drawer, "part": row.part.to_string(), "thickness_um": row.thickness.um(), "there": row.there,
                "reserved": row.reserved, "wanted": row.wanted, "order": row.order(), "by": row.by,
            })
        })
    })
}

fn summary(drawers: &[Stock]) -> Summary {
    let told: Vec<&String> = drawers.iter().flat_map(|stock| &stock.told).collect();
    Summary::told(
        "drawers",
        json!({ "parts": objects(drawers).collect::<Vec<Value>>(), "told": told }),
    )
}

/// The same as a table for other programs (RFC 4180), the columns by the keys of the object.
///
/// # Errors
///
/// It can not be written.
pub fn stock_csv(drawers: &[Stock]) -> Result<String, ReportError> {
    let head = [
        "drawer",
        "part",
        "thickness_um",
        "there",
        "reserved",
        "wanted",
        "order",
        "by",
    ];
    let mut text = csv_line(head.iter().map(ToString::to_string))?;
    for object in objects(drawers) {
        text.push_str(&csv_line(head.iter().map(|key| match &object[*key] {
            Value::Array(names) => {
                let names: Vec<&str> = names.iter().filter_map(Value::as_str).collect();
                csv_cell(&Value::from(names.join(" ")))
            }
            cell => csv_cell(cell),
        }))?);
    }
    Ok(text)
}
