//! What the last build left in a unit: what the next job starts from, and what of it the unit's file does not say yet.

use super::drawer::Drawer;
use super::left_discs::LeftDiscs;
use super::left_proofs::{LeftProof, proofs_text, read_proofs};
use super::unit::{MOST_PLATES, PackPlan, Plate, Unit};
use super::unit_file::read_plates;
use crate::document::{DAY, Document, Fault, Faults, Letters, Section, Spelling, quoted, too_much};
use crate::mechanics::prediction::ReadForce;
use crate::mechanics::{Keying, Side};
use crate::quantity::{Force, Length, Ratio};
use std::fmt::Write as _;
use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, Value};

/// The first line of such a file. It has the lowest number whose readers understand it.
const FORMATS: [(bool, &str); 2] = [(false, "shimwright found 1"), (true, NEWEST)];
/// That of one that says what is known of the discs.
pub(super) const NEWEST: &str = "shimwright found 2";

/// The name of a build.
static BUILD: Spelling = Spelling {
    name: "build",
    says: "the name of a build, such as moor-rear-0001",
    rule: "sense",
    letters: Letters::Id,
    length: 1..=60,
    example: "moor-rear-0001",
};

const PART: &str = "at least 0.01 mm and at most 50 mm";
const HEIGHT: &str = "at least 0.05 mm and at most 1 m";
const CLOSING: &str = "at least 0 mm and at most 1 m";

/// One pack as a build left it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LeftPack {
    /// Names of the plates from the case wall to the ring.
    pub order: Vec<String>,
    /// Its shims.
    pub shims: Vec<Length>,
}

/// What a build left in its unit.
#[derive(Clone, PartialEq, Debug)]
pub struct LastLeft {
    /// The build's name in the book.
    pub build: String,
    /// The day on which it was finished.
    pub finished: String,
    /// Left and right pack.
    pub packs: [LeftPack; 2],
    /// Every plate in them.
    pub plates: Vec<Plate>,
    /// Free heights of the springs as they were measured: one a side, or one between the rings; none where none was.
    pub springs: Vec<Length>,
    /// What plates and shims leave of each chain: one of a through unit, else left and right; none where it is not known.
    pub closings: Vec<Length>,
    /// What a press has read of the springs of each chain; none where none has read them all.
    pub read: Vec<ReadForce>,
    /// What was measured of the discs; `None` where not all were.
    pub discs: Option<LeftDiscs>,
    /// What the proofs of the unit have shown until then, the oldest first.
    pub proofs: Vec<LeftProof>,
}

/// Something that the unit's file says otherwise than the last build left it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ListedOtherwise {
    /// What.
    pub what: String,
    /// As the unit's file lists it.
    pub listed: String,
    /// As it was left.
    pub left: String,
}

impl LastLeft {
    /// Reads it from TOML text; gives every fault at once.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read(file: &str, source: &str) -> Result<LastLeft, Faults> {
        Document::read(file, source, LastLeft::read_top)
    }

    /// Reads it from the top of its document.
    pub(super) fn read_top(top: &Section<'_>) -> Option<LastLeft> {
        let knows_discs = top.format_of(&FORMATS);
        let build = top.spelt("build", &BUILD);
        let finished = top.spelt("finished", &DAY);
        let springs = top.quantities_where::<Length>("springs", HEIGHT, 0..=2);
        let closings = top.quantities_where::<Length>("closings", CLOSING, 0..=2);
        let read = read_forces(top);
        let discs = knows_discs
            .filter(|known| *known)
            .and_then(|_| LeftDiscs::read(top));
        let plates = read_plates(top, "plate", false);
        let proofs = read_proofs(top);
        let packs = top.section("pack").and_then(|section| {
            let packs = ["left", "right"].map(|side| {
                let side = section.section(side)?;
                let order = side.texts("order");
                side.needed(
                    "order",
                    "a list of the plates from the case wall to the pressure ring",
                );
                for (name, span) in &order {
                    if !plates.iter().any(|plate| plate.name == *name) {
                        side.fault(span.clone(), format!("no [[plate]] is called \"{name}\""));
                    }
                }
                let shims = side.quantities_where::<Length>("shims", PART, 0..=usize::MAX);
                side.finish();
                Some(LeftPack {
                    order: order.into_iter().map(|(name, _)| name).collect(),
                    shims: shims.unwrap_or_default(),
                })
            });
            section.finish();
            let [left, right] = packs;
            Some([left?, right?])
        });
        top.finish();
        Some(LastLeft {
            build: build?,
            finished: finished?,
            packs: packs?,
            plates,
            springs: springs.unwrap_or_default(),
            closings: closings.unwrap_or_default(),
            read,
            discs,
            proofs,
        })
    }

    /// It as the text of a file, which [`LastLeft::read`] reads back.
    ///
    /// ```
    /// use shimwright::quantity::Length;
    /// use shimwright::workshop::{LastLeft, LeftPack};
    /// let pack = || LeftPack { order: Vec::new(), shims: vec![Length::from_nm(304_800)] };
    /// let left = LastLeft {
    ///     build: "moor-rear-0001".into(),
    ///     finished: "2026-05-09".into(),
    ///     packs: [pack(), pack()],
    ///     plates: Vec::new(),
    ///     springs: Vec::new(),
    ///     closings: vec![Length::from_um(4_430)],
    ///     read: Vec::new(),
    ///     discs: None,
    ///     proofs: Vec::new(),
    /// };
    /// assert_eq!(LastLeft::read("found.toml", &left.text()).unwrap(), left);
    /// ```
    pub fn text(&self) -> String {
        let [(_, first), (_, with_discs)] = FORMATS;
        let mut out = format!(
            "# What {0} left in the unit, written by the program from its record. The job starts from it.\n\
             format = \"{2}\"\nbuild = \"{0}\"\nfinished = \"{1}\"\n",
            self.build,
            self.finished,
            if self.discs.is_some() { with_discs } else { first }
        );
        let mut list = |key: &str, texts: Vec<String>| {
            let quoted: Vec<String> = texts.iter().map(|text| quoted(text)).collect();
            // writing to a text can not fail
            let _ = writeln!(out, "{key} = [{}]", quoted.join(", "));
        };
        list("springs", self.springs.iter().copied().map(exact).collect());
        list("closings", self.closings.iter().copied().map(exact).collect());
        if let Some(first) = self.read.first() {
            let forces = self
                .read
                .iter()
                .map(|read| format!("{:.3} N", read.force.newtons()));
            list("springs_read", forces.collect());
            let _ = writeln!(
                out,
                "springs_read_at = \"{}\"\nsprings_read_doubt = {:.6}\nsprings_read_height_doubt = \"{:.6} mm\"",
                exact(first.height),
                first.force_standard,
                first.height_standard
            );
        }
        if let Some(discs) = &self.discs {
            out.push_str(&discs.text());
        }
        for side in Side::BOTH {
            let pack = &self.packs[side.index()];
            let _ = writeln!(out, "\n[pack.{side}]");
            let mut list = |key: &str, texts: Vec<String>| {
                let quoted: Vec<String> = texts.iter().map(|text| quoted(text)).collect();
                let _ = writeln!(out, "{key} = [{}]", quoted.join(", "));
            };
            list("order", pack.order.clone());
            list("shims", pack.shims.iter().copied().map(exact).collect());
        }
        for plate in &self.plates {
            let _ = writeln!(
                out,
                "\n[[plate]]\nname = {}\nkeyed = \"{}\"\nthickness = \"{}\"",
                quoted(&plate.name),
                keyed(plate.keyed),
                exact(plate.nominal)
            );
            if let Some(part) = &plate.part {
                let _ = writeln!(out, "part = {}", quoted(part));
            }
        }
        out.push_str(&proofs_text(&self.proofs));
        out
    }

    /// The plate of a name as it lies in the unit: as its file describes it, else as it was when it went in.
    fn plate(&self, unit: &Unit, name: &str) -> Option<Plate> {
        let mine = || self.plates.iter().find(|plate| plate.name == name);
        unit.plate(name).or_else(mine).cloned()
    }

    /// In what the unit's file differs from what was left.
    pub fn listed_otherwise(&self, unit: &Unit) -> Vec<ListedOtherwise> {
        let mut rows = Vec::new();
        let mut row = |what: String, listed: String, left: String| {
            if listed != left {
                rows.push(ListedOtherwise { what, listed, left });
            }
        };
        for side in Side::BOTH {
            let (plan, pack) = (&unit.packs[side.index()], &self.packs[side.index()]);
            row(format!("{side} pack"), words(&plan.order), words(&pack.order));
            let sorted = |shims: &[Length]| {
                let mut shims = shims.to_vec();
                shims.sort_unstable();
                words(&shims)
            };
            row(format!("{side} shims"), sorted(&plan.shims), sorted(&pack.shims));
        }
        rows
    }

    /// The unit and its drawer as they are now: the packs as they were left, and no plate that is not in them. A spare of the
    /// drawer that has the name of a plate inside is that plate, and lies in the drawer no more.
    pub fn put_in(&self, unit: &mut Unit, drawer: &mut Drawer) {
        let inside = self.packs.iter().flat_map(|pack| &pack.order);
        let plates: Vec<Plate> = inside.filter_map(|name| self.plate(unit, name)).collect();
        drawer
            .spares
            .retain(|spare| !plates.iter().any(|plate| plate.name == spare.name));
        // in the order of the unit's file, and what came in after them
        let place = |plate: &Plate| unit.plates.iter().position(|known| known.name == plate.name);
        let mut plates: Vec<(Option<usize>, Plate)> =
            plates.into_iter().map(|plate| (place(&plate), plate)).collect();
        plates.sort_by_key(|(place, _)| place.unwrap_or(usize::MAX));
        unit.plates = plates.into_iter().map(|(_, plate)| plate).collect();
        for side in Side::BOTH {
            let plan: &mut PackPlan = &mut unit.packs[side.index()];
            let pack = &self.packs[side.index()];
            plan.order.clone_from(&pack.order);
            plan.shims.clone_from(&pack.shims);
        }
    }

    /// The text of a unit's file with what was left in place of what it lists; the rest of it, comments too, stays.
    ///
    /// # Errors
    ///
    /// A text that can not be read as a unit, before or after.
    pub fn rewrite(&self, file: &str, source: &str) -> Result<String, Faults> {
        let unit = Unit::read(file, source)?;
        let fault = |span, message: String| Faults {
            file: file.to_string(),
            source: source.to_string(),
            faults: vec![Fault {
                rule: "sense",
                span,
                message,
            }],
        };
        if let Some(fault) = too_much(source) {
            return Err(Faults {
                file: file.to_string(),
                source: source.to_string(),
                faults: vec![fault],
            });
        }
        let mut document: DocumentMut = source.parse().map_err(|error: toml_edit::TomlError| {
            fault(error.span().unwrap_or(0..0), error.message().to_string())
        })?;
        for side in Side::BOTH {
            let pack = &self.packs[side.index()];
            let Some(table) = document
                .get_mut("pack")
                .and_then(|packs| packs.get_mut(side.word()))
            else {
                continue;
            };
            let shims: Vec<String> = pack.shims.iter().copied().map(exact).collect();
            put(table, "count", Value::from(pack.order.len() as i64));
            put(table, "order", Value::from(pack.order.iter().collect::<Array>()));
            put(table, "shims", Value::from(shims.iter().collect::<Array>()));
        }
        let inside: Vec<&String> = self.packs.iter().flat_map(|pack| &pack.order).collect();
        let tables = document
            .entry("plate")
            .or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
        if let Some(tables) = tables.as_array_of_tables_mut() {
            let named = |table: &Table| table.get("name").and_then(Item::as_str).map(str::to_string);
            tables.retain(|table| named(table).is_some_and(|name| inside.contains(&&name)));
            let new = self.plates.iter().filter(|plate| {
                unit.plate(&plate.name).is_none()
                    && inside.contains(&&plate.name)
                    && unit.plates.len() <= MOST_PLATES
            });
            for plate in new {
                let mut table = Table::new();
                table.insert("name", Value::from(plate.name.as_str()).into());
                table.insert("keyed", Value::from(keyed(plate.keyed)).into());
                table.insert("thickness", Value::from(exact(plate.nominal)).into());
                if let Some(part) = &plate.part {
                    table.insert("part", Value::from(part.as_str()).into());
                }
                tables.push(table);
            }
        }
        let mut text = document.to_string();
        if source.contains("\r\n") {
            text = text.replace("\r\n", "\n").replace('\n', "\r\n");
        }
        Unit::read(file, &text)?;
        Ok(text)
    }
}

/// Reads what a press has read, with its doubts.
fn read_forces(top: &Section<'_>) -> Vec<ReadForce> {
    let forces = top.quantities_where::<Force>("springs_read", "more than 0 N and at most 1000 kN", 0..=2);
    let height = top.quantity_maybe_where("springs_read_at", HEIGHT);
    let force_standard =
        top.quantity_maybe_where::<Ratio>("springs_read_doubt", "at least 0 and at most 0.5");
    let height_standard =
        top.quantity_maybe_where::<Length>("springs_read_height_doubt", "at least 0 mm and at most 1 mm");
    let (Some(forces), Some(height)) = (forces, height) else {
        return Vec::new();
    };
    let read = forces.into_iter().map(|force| ReadForce {
        height,
        force,
        force_standard: force_standard.map_or(0.0, Ratio::value),
        height_standard: height_standard.map_or(0.0, Length::mm),
    });
    read.collect()
}

/// Puts a value at a key, with the space and the comment that stood around the old one.
fn put(table: &mut Item, key: &str, mut value: Value) {
    if let Some(old) = table.get(key).and_then(Item::as_value) {
        *value.decor_mut() = old.decor().clone();
    }
    if let Some(table) = table.as_table_like_mut() {
        table.insert(key, Item::Value(value));
    }
}

fn keyed(keyed: Keying) -> &'static str {
    match keyed {
        Keying::Gear => "gear",
        Keying::Case => "case",
    }
}

/// A length in millimetres to the last nanometre, as many decimals as it needs but at least two.
fn exact(length: Length) -> String {
    let nm = length.nm();
    let text = format!("{}.{:06}", nm / 1_000_000, nm % 1_000_000);
    let cut = text.trim_end_matches('0');
    let least = text.len() - 4;
    format!("{} mm", &text[..cut.len().max(least)])
}

fn words<T: std::fmt::Display>(items: &[T]) -> String {
    if items.is_empty() {
        return "none".to_string();
    }
    let items: Vec<String> = items.iter().map(ToString::to_string).collect();
    items.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::friction::ShownFriction;
    use crate::quantity::Temperature;
    use proptest::prelude::*;

    const UNIT: &str = include_str!("../../demo-units/moor-rear.toml");

    /// Another plate in the left pack, another shim, and one plate out of the right pack.
    fn left() -> LastLeft {
        let unit = Unit::read("moor", UNIT).unwrap();
        let new = Plate {
            name: "SG1".to_string(),
            keyed: Keying::Gear,
            nominal: Length::from_um(2_000),
            part: Some("P7".to_string()),
        };
        let mut plates = unit.plates.clone();
        plates.retain(|plate| !["G4", "C10", "G10"].contains(&plate.name.as_str()));
        plates.push(new);
        let pack = |side: usize, shim: i64| LeftPack {
            order: unit.packs[side]
                .order
                .iter()
                .filter(|name| !["C10", "G10"].contains(&name.as_str()))
                .map(|name| {
                    if name == "G4" {
                        "SG1".to_string()
                    } else {
                        name.clone()
                    }
                })
                .collect(),
            shims: vec![Length::from_nm(shim)],
        };
        LastLeft {
            build: "moor-rear-0001".to_string(),
            finished: "2026-05-09".to_string(),
            packs: [pack(0, 500_000), pack(1, 304_800)],
            plates,
            springs: vec![Length::from_um(3_080), Length::from_um(3_070)],
            closings: vec![Length::from_um(4_435)],
            read: vec![ReadForce {
                height: Length::from_um(2_220),
                force: Force::from_newtons(1_150.25).unwrap(),
                force_standard: 0.005,
                height_standard: 0.005,
            }],
            discs: Some(LeftDiscs {
                thickness: vec![Length::from_um(1_758), Length::from_nm(1_758_400)],
                standard: 0.001_25,
                listed: Length::from_um(1_750),
            }),
            proofs: vec![LeftProof {
                build: "moor-rear-0001".to_string(),
                shown: ShownFriction {
                    friction: Ratio::new(0.1015).unwrap(),
                    own: Ratio::new(0.0125).unwrap(),
                    wrench: "wrench-60".to_string(),
                    calibration: Ratio::new(0.02).unwrap(),
                    springs: 2,
                    press: Some(Ratio::new(0.005).unwrap()),
                },
                oil: "75W-140 \"clear\"".to_string(),
                oil_at: Temperature::from_celsius(23.5).ok(),
                plates: vec!["C1".to_string(), "SG1".to_string()],
            }],
        }
    }

    #[test]
    fn a_unit_starts_from_what_was_left_and_its_file_says_in_what_it_differs() {
        let mut unit = Unit::read("moor", UNIT).unwrap();
        let spare = |name: &str| Plate {
            name: name.to_string(),
            ..left().plates[0].clone()
        };
        let mut drawer = Drawer {
            shims: Vec::new(),
            spares: vec![spare("SG1"), spare("SG2")],
        };
        let rows = left().listed_otherwise(&unit);
        let told: Vec<&str> = rows.iter().map(|row| row.what.as_str()).collect();
        assert_eq!(told, ["left pack", "left shims", "right pack", "right shims"]);
        assert!(rows[0].listed.contains("G4") && rows[0].left.contains("SG1"));
        left().put_in(&mut unit, &mut drawer);
        assert!(unit.plate("G4").is_none() && unit.plate("G10").is_none());
        assert_eq!(unit.plate("SG1").unwrap().part.as_deref(), Some("P7"));
        assert_eq!(unit.plates.len(), 18);
        assert_eq!(unit.packs[1].order.len(), 8);
        assert_eq!(unit.packs[1].shims, [Length::from_nm(304_800)]);
        assert_eq!(drawer.spares.len(), 1, "what is inside lies in no drawer");
        assert!(left().listed_otherwise(&unit).is_empty());
    }

    #[test]
    fn a_unit_file_is_written_anew_with_its_comments_and_then_differs_in_nothing() {
        let mut left = left();
        // ten faces are wanted on each side, so the right pack stays whole here
        let unit = Unit::read("moor", UNIT).unwrap();
        left.packs[1].order.clone_from(&unit.packs[1].order);
        for name in ["C10", "G10"] {
            left.plates.push(unit.plate(name).unwrap().clone());
        }
        let text = left.rewrite("moor", UNIT).unwrap();
        let now = Unit::read("moor", &text).unwrap();
        assert!(left.listed_otherwise(&now).is_empty());
        assert!(now.plate("G4").is_none() && now.plate("SG1").is_some());
        assert!(text.contains("# cover face to wall, over both packs"));
        assert_eq!(
            left.rewrite("moor", &text).unwrap(),
            text,
            "a second time changes nothing"
        );
    }

    proptest! {
        #[test]
        fn a_length_is_written_to_the_last_nanometre(nm in 0_i64..1_000_000_000) {
            let mut left = left();
            left.closings = vec![Length::from_nm(nm)];
            prop_assert_eq!(LastLeft::read("f", &left.text()).unwrap(), left);
        }
    }
}
