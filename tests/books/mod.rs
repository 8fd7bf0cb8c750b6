//! Invented books: real folders, real journals, builds that the program takes as finished, with a wear that is known.
//!
//! One build is worked through the engine; every other one has its entries with other values, so that ten thousand are
//! written in seconds. INVENTED DATA: no such unit, car or person exists, and nothing here was measured.

#[path = "../draws/mod.rs"]
mod draws;
#[path = "../draws/normal.rs"]
mod normal;

use draws::Draws;
use shimwright::bench::{Answers, Front};
use shimwright::mechanics::SpringStack;
use shimwright::mechanics::pack::pack_torque;
use shimwright::procedure::{Job, Procedure, Session};
use shimwright::quantity::{Force, Length, Ratio};
use shimwright::record::{Chosen, ChosenSide, Entry, Slot, UnitsName, Value};
use shimwright::seal::Digest;
use shimwright::workshop::{Drawer, Unit, read_instruments};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

const PROCEDURE: &str = include_str!("short.toml");
const INSTRUMENTS: &str = include_str!("../../demo-units/instruments.toml");
const DRAWER: &str = "format = \"shimwright drawer 1\"\n[[shim]]\nthickness = \"0.30 mm\"\ncount = 2\n";
/// Plates in the order in which they lie, left pack first; C plates are keyed to the case.
pub const PLATES: [&str; 8] = ["C1", "G1", "C2", "G2", "C3", "G3", "C4", "G4"];
/// Micrometres: nominal of the plates, depth of the case, height of both rings together.
const NOMINAL: f64 = 2000.0;
const DEPTH: i64 = 43_100;
const RINGS: i64 = 22_000;
/// Friction while turning and its radius, and the faces of one pack, as the unit's file has them.
const FRICTION: f64 = 0.1;
const RADIUS_UM: i64 = 40_000;
const FACES: u32 = 4;

/// What a book shall be like.
#[derive(Clone, Copy, Debug)]
pub struct Recipe {
    pub seed: u64,
    pub units: usize,
    pub builds_a_unit: usize,
    /// Of every this many units, one has a last build that was left unfinished; 0 for none.
    pub unfinished_every: usize,
    /// Of every this many builds, one has a changed byte in its journal; 0 for none.
    pub damaged_every: usize,
}

/// What is true of a book, beside what its readings say.
#[derive(Debug, Default)]
pub struct Truth {
    pub units: Vec<UnitTruth>,
    pub unfinished: Vec<String>,
    pub damaged: Vec<String>,
    /// Bytes in all journals.
    pub bytes: u64,
}

#[derive(Debug)]
pub struct UnitTruth {
    pub id: String,
    /// Of each plate, in the order of [`PLATES`]: micrometres lost in 1000 km.
    pub rate_um: [f64; 8],
    /// Of each build: its name, the kilometres since the one before, and the thicknesses in micrometres.
    pub builds: Vec<(String, f64, [f64; 8])>,
}

/// The unit's file, with the shims that its last build has left.
fn unit_text(id: &str, car: &str, shims: &[Vec<i64>; 2]) -> String {
    let list = |side: &[i64]| {
        let texts: Vec<String> = side
            .iter()
            .map(|um| format!("\"{:.2} mm\"", *um as f64 / 1e3))
            .collect();
        texts.join(", ")
    };
    let plates: String = PLATES
        .iter()
        .map(|name| {
            let keyed = if name.starts_with('C') { "case" } else { "gear" };
            format!(
                "[[plate]]\nname = \"{name}\"\npart = \"{id}-{name}\"\nkeyed = \"{keyed}\"\nthickness = \"2.00 mm\"\n"
            )
        })
        .collect();
    format!(
        r#"# INVENTED DATA. No such unit exists.
format = "shimwright unit 1"
id = "{id}"
name = "Unit {id}"
car = "{car}"
layout = "through"
drawer = "drawer.toml"
instruments = "instruments.toml"
[case]
depth = "43.10 mm"
[rings]
left = "11.00 mm"
right = "11.00 mm"
[ramp]
drive = "60 deg from ring face"
coast = "60 deg from ring face"
friction = 0.06
pin_radius = "31 mm"
[friction]
still = 0.12
turning = 0.10
outside = "98 mm"
inside = "62 mm"
pressure = "run-in"
[spring]
kind = "disc"
place = "behind the pack"
outside = "92 mm"
inside = "64 mm"
thickness = "1.75 mm"
height = "3.10 mm"
[wanted]
preload_least = "900 N"
preload_target = "1150 N"
preload_most = "1400 N"
breakaway_least = "25 N·m"
breakaway_most = "48 N·m"
held = "case"
sides_match = "0.50 mm"
shims_a_side = 3
curve_to = "800 N·m"
[limits]
gear_least = "1.85 mm"
case_least = "1.85 mm"
spread = "0.03 mm"
flatness = "0.05 mm"
[pack.left]
count = 4
order = ["C1", "G1", "C2", "G2"]
faces = 4
shims = [{}]
[pack.right]
count = 4
order = ["C3", "G3", "C4", "G4"]
faces = 4
shims = [{}]
[[bolts]]
name = "cover"
size = "M8x1.25"
class = "10.9"
count = 10
stages = ["32 N·m"]
{plates}"#,
        list(&shims[0]),
        list(&shims[1])
    )
}

/// A build that the engine was walked through, and whose entries the others are made of.
pub struct Template {
    entries: Vec<Entry>,
    stack: SpringStack,
    /// Height of one spring at the wanted preload, in micrometres.
    height_um: f64,
}

pub fn job(unit: &str) -> Job {
    Job {
        unit: Unit::read("unit.toml", unit).unwrap(),
        drawer: Drawer::read("drawer.toml", DRAWER).unwrap(),
        instruments: read_instruments("instruments.toml", INSTRUMENTS).unwrap(),
        procedure: Procedure::read("procedure.toml", PROCEDURE).unwrap(),
        rework: None,
        last: None,
    }
}

fn begun(at: &str, unit: &str, digests: &[String; 3]) -> Entry {
    let [drawer, instruments, procedure] = digests.clone();
    Entry::Begun {
        at: at.into(),
        program: env!("CARGO_PKG_VERSION").into(),
        unit: Digest::of(unit.as_bytes()).to_string(),
        procedure,
        drawer,
        instruments,
        units: UnitsName::Metric,
        practice: None,
        id: None,
        setting: None,
        found: None,
    }
}

fn digests() -> [String; 3] {
    [DRAWER, INSTRUMENTS, PROCEDURE].map(|text| Digest::of(text.as_bytes()).to_string())
}

impl Template {
    pub fn new() -> Template {
        let unit = unit_text("template", "none", &[vec![300], vec![300]]);
        let job = job(&unit);
        let stack = job.unit.spring.clone().unwrap().stack;
        let height = stack.heights_for_force(Force::from_newtons(1150.0).unwrap())[0];
        let mut lines = String::from(
            "who = A. Fitter (invented)\ncar = x\nreason = season\ndistance = 900 km\nwrench = wrench-60\nfound-breakaway = 36\nmicrometer = mic-2\nmicrometer-zero = 25.002\ndepth-gauge = depth-1\n",
        );
        for name in job.unit.plates.iter().map(|plate| &plate.name) {
            lines.push_str(&format!(
                "plate-thickness/{name}/1 = 2.000\nplate-thickness/{name}/2 = 2.001\n"
            ));
        }
        lines.push_str("ring-height/left = 11.002\nring-height/right = 11.002\ncase-depth = 43.10\nchoose = 1\nheld = case\n");
        for (way, read) in [
            ("drive-still", 44),
            ("drive-turning", 37),
            ("coast-still", 44),
            ("coast-turning", 37),
        ] {
            lines.push_str(&format!("breakaway/{way} = {read}\n"));
        }
        lines.push_str("proof-decision = accept\nsign-built = A. Fitter (invented)\n");
        let mut answers = Answers::parse(&lines, "template").unwrap();
        let at = "2012-01-01T10:00:00Z";
        let (mut session, first) = Session::start(job, begun(at, &unit, &digests()));
        let mut entries = vec![first];
        while let Some(ask) = session.ask() {
            let reply = answers.ask(&ask).unwrap();
            let taken = session
                .answer(&reply, at)
                .unwrap_or_else(|refusal| panic!("{}: {}", ask.slot, refusal.words));
            session.apply(&taken.entries);
            entries.extend(taken.entries);
        }
        answers.finish().unwrap();
        assert!(session.is_finished());
        Template {
            entries,
            stack,
            height_um: height.um(),
        }
    }

    /// The force of one spring, and the breakaway of the unit, at a room for both springs in micrometres.
    fn breakaway(&self, room_um: f64) -> f64 {
        let height = Length::from_mm(room_um / 2e3).unwrap();
        let force = self.stack.force_at_height(height).unwrap();
        let pack = pack_torque(
            FACES,
            Ratio::new(FRICTION).unwrap(),
            force,
            Length::from_um(RADIUS_UM),
        );
        2.0 * pack.unwrap().newton_metres()
    }
}

/// One build's values by the names of their questions.
type Values = BTreeMap<String, Value>;

fn length(um: f64) -> Value {
    Value::Length(um.round() as i64 * 1000)
}

/// A value as somebody would have typed it.
fn typed(value: &Value) -> String {
    match value {
        Value::Length(nm) => format!("{:.3}", *nm as f64 / 1e6),
        Value::Torque(value) => format!("{value}"),
        Value::Distance(value) => format!("{value} km"),
        Value::Text(text) => text.clone(),
        Value::Chosen(_) => "1".into(),
        other => format!("{other:?}"),
    }
}

fn moved(entry: &Entry, day: &str, values: &Values) -> Entry {
    let mut entry = entry.clone();
    match &mut entry {
        Entry::Answered {
            at,
            slot,
            text,
            value,
            ..
        } => {
            *at = day.to_string();
            if let Some(new) = values.get(&Slot::to_string(slot)) {
                *text = typed(new);
                *value = new.clone();
            }
        }
        Entry::Finished { at, .. } => *at = day.to_string(),
        other => panic!("{other:?}"),
    }
    entry
}

/// Writes a journal as the program would have.
fn journal(entries: &[Entry]) -> String {
    let mut text = String::new();
    let mut tip = Digest::of(b"");
    for (n, entry) in entries.iter().enumerate() {
        let line = format!(
            "{{\"v\":1,\"n\":{},\"was\":\"{tip}\",\"entry\":{}}}",
            n + 1,
            entry.to_json().unwrap()
        );
        tip = Digest::of(line.as_bytes());
        text.push_str(&line);
        text.push('\n');
    }
    text
}

/// Shims of a side as a sum of 0.05 mm steps, at most three: thick ones are rings of their own here.
fn shims(total_um: i64) -> [Vec<i64>; 2] {
    let left = total_um / 100 * 50;
    [left, total_um - left].map(|um| if um > 0 { vec![um] } else { Vec::new() })
}

/// Writes a book into a folder, which must be there.
pub fn write(book: &Path, recipe: &Recipe) -> Truth {
    let template = Template::new();
    let digests = digests();
    let mut truth = Truth::default();
    let shared = [
        ("drawer.toml", DRAWER),
        ("instruments.toml", INSTRUMENTS),
        ("procedure.toml", PROCEDURE),
    ];
    let mut count = 0;
    for unit in 0..recipe.units {
        let mut random = Draws(recipe.seed ^ (unit as u64 + 1).wrapping_mul(0xd1b5_4a32_d192_ed03));
        let id = format!("unit-{:05}", unit + 1);
        let car = format!("Car {} (invented)", 1 + unit % 97);
        // all of it stays above the limit: no plate is thrown out
        let most = 90.0 / (recipe.builds_a_unit as f64 * 0.9);
        let base = random.between(0.2, 0.8) * most;
        let rate_um = PLATES.map(|name| {
            let share = if name.starts_with('G') { 1.0 } else { 0.5 };
            base * share * random.between(0.8, 1.2)
        });
        let mut plates = PLATES.map(|_| NOMINAL + random.between(-4.0, 4.0));
        // errors that stay with the instruments of this shop
        let (zero, bias) = (random.between(-3.0, 3.0), random.normal());
        let mut fitted = shims(600);
        let mut told = UnitTruth {
            id: id.clone(),
            rate_um,
            builds: Vec::new(),
        };
        for build in 0..recipe.builds_a_unit {
            let name = format!("{id}-{:04}", build + 1);
            count += 1;
            let km = if build == 0 {
                0.0
            } else {
                random.between(600.0, 1200.0).round()
            };
            for (plate, rate) in plates.iter_mut().zip(rate_um) {
                *plate -= rate * km / 1000.0;
            }
            told.builds.push((name.clone(), km, plates));
            let unit_file = unit_text(&id, &car, &fitted);
            let room = (DEPTH - RINGS) as f64 - plates.iter().sum::<f64>();
            let found = room - fitted.iter().flatten().sum::<i64>() as f64;
            let total = ((room - 2.0 * template.height_um) / 50.0).round() as i64 * 50;
            fitted = shims(total);
            let left = template.breakaway(room - total as f64);
            let mut values = Values::new();
            values.insert("car".into(), Value::Text(car.clone()));
            values.insert("distance".into(), Value::Distance(km));
            let newton_metres = |value: f64, random: &mut Draws| {
                Value::Torque((value * (1.0 + 0.01 * random.normal()) * 2.0).round() / 2.0)
            };
            values.insert(
                "found-breakaway".into(),
                newton_metres(template.breakaway(found), &mut random),
            );
            for (way, share) in [
                ("drive-still", 1.2),
                ("drive-turning", 1.0),
                ("coast-still", 1.2),
                ("coast-turning", 1.0),
            ] {
                values.insert(
                    format!("breakaway/{way}"),
                    newton_metres(share * left, &mut random),
                );
            }
            values.insert(
                "micrometer-zero".into(),
                length(25_000.0 + zero + random.normal()),
            );
            for (plate, um) in PLATES.iter().zip(plates) {
                for point in 1..=2 {
                    let read = um + zero + bias + random.normal();
                    values.insert(format!("plate-thickness/{plate}/{point}"), length(read));
                }
            }
            let sides = [0, 1].map(|side| ChosenSide {
                plates: PLATES[4 * side..4 * side + 4]
                    .iter()
                    .map(ToString::to_string)
                    .collect(),
                shims_nanometres: fitted[side].iter().map(|um| um * 1000).collect(),
            });
            values.insert(
                "choose".into(),
                Value::Chosen(Chosen {
                    sides,
                    how: "proposal 1".into(),
                    reason: String::new(),
                }),
            );
            let day = format!(
                "{}-{:02}-{:02}T10:00:00Z",
                2012 + build / 3,
                1 + 4 * (build % 3),
                1 + random.between(0.0, 28.0) as u64
            );
            let mut entries = vec![begun(&day, &unit_file, &digests)];
            entries.extend(
                template.entries[1..]
                    .iter()
                    .map(|entry| moved(entry, &day, &values)),
            );
            let last = build + 1 == recipe.builds_a_unit;
            if last && recipe.unfinished_every > 0 && (unit + 1) % recipe.unfinished_every == 0 {
                entries.truncate(entries.len() / 2);
                truth.unfinished.push(name.clone());
            }
            let mut text = journal(&entries);
            if recipe.damaged_every > 0 && count % recipe.damaged_every == 0 {
                // a digit of a reading: the journal is still JSON, and its chain is not
                text = text.replacen("\"length_nanometres\":", "\"length_nanometres\":1", 1);
                truth.damaged.push(name.clone());
            }
            truth.bytes += text.len() as u64;
            let folder = book.join(&name);
            fs::create_dir(&folder).unwrap();
            fs::write(folder.join("journal.jsonl"), text).unwrap();
            fs::write(folder.join("unit.toml"), unit_file).unwrap();
            // the files that are the same in every build of a unit are one file on the disk with many names
            let first = book.join(format!("{id}-0001"));
            for (name, text) in shared {
                match build {
                    0 => fs::write(folder.join(name), text).unwrap(),
                    _ => fs::hard_link(first.join(name), folder.join(name)).unwrap(),
                }
            }
        }
        truth.units.push(told);
    }
    truth
}
