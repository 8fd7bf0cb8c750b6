//! No text at all makes a reader panic: random bytes, and good texts with random faults in them.
//!
//! `SHIMWRIGHT_CASES` is the number of texts for each reader (200 where it is not set) and `SHIMWRIGHT_SEED` where the
//! drawing starts.

use shimwright::bench::{Answers, visible};
use shimwright::book::BuildId;
use shimwright::mechanics::{BoltSize, PropertyClass};
use shimwright::procedure::{Job, Procedure, Reply, Session};
use shimwright::quantity::{
    Angle, Distance, Duration, Force, Length, Mass, Power, Pressure, Quantity, RampAngle, Ratio, SpringRate,
    Temperature, Torque, Velocity, Volume, convert, parse, parse_bare, unit_named,
};
use shimwright::record::{
    Chosen, ChosenSide, Drawer, Entry, Faults, Slot, Unit, UnitsName, Value, read_columns, read_instruments,
    to_json,
};
use shimwright::seal::Digest;
use shimwright::sheet::{on_paper, on_screen, table, terminal_summary};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// SplitMix64 (Steele, Lea and Flood, 2014): small, and the same everywhere.
struct Draw(u64);

impl Draw {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Below `end`, which is above 0.
    fn below(&mut self, end: usize) -> usize {
        (self.next() % end as u64) as usize
    }

    fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }
}

/// What has tripped readers elsewhere: ends of number types, signs of the formats, letters of several bytes.
const PIECES: [&str; 56] = [
    "\"",
    "'",
    "\"\"\"",
    "=",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "#",
    ".",
    ",",
    ";",
    ":",
    "/",
    "\\",
    "\\u{",
    "\\u{110000}",
    "!",
    "!note ",
    "!skip ",
    "-",
    "−",
    "+",
    "0",
    "00",
    "1e999",
    "-1e-999",
    "NaN",
    "inf",
    "-0",
    "99999999999999999999",
    "9223372036854775807",
    "-9223372036854775808",
    "170141183460469231731687303715884105728",
    "999999999999999 m",
    "0.000000000000001",
    " mm",
    "\u{b5}m",
    "°",
    " deg from ring face",
    "no ramp",
    "%",
    "·",
    "×",
    "\n",
    "\r\n",
    "\r",
    "\t",
    "\0",
    "\u{1b}[2J",
    "\u{202e}",
    "\u{feff}",
    "\u{e9}\u{301}",
    "\u{1f527}",
];

/// A text: random bytes, random pieces, or a good text with a few faults.
fn draw(draw: &mut Draw, good: &[&str]) -> String {
    match draw.below(8) {
        0 => {
            let bytes: Vec<u8> = (0..draw.below(64)).map(|_| draw.next() as u8).collect();
            String::from_utf8_lossy(&bytes).into_owned()
        }
        1 => (0..draw.below(12)).map(|_| *draw.pick(&PIECES)).collect(),
        _ => {
            let mut bytes = draw.pick(good).as_bytes().to_vec();
            for _ in 0..=draw.below(6) {
                spoil(draw, &mut bytes, good);
            }
            String::from_utf8_lossy(&bytes).into_owned()
        }
    }
}

fn spoil(draw: &mut Draw, bytes: &mut Vec<u8>, good: &[&str]) {
    let from = draw.below(bytes.len() + 1);
    let to = from + draw.below((bytes.len() - from + 1).min(24));
    match draw.below(8) {
        0 => drop(bytes.drain(from..to)),
        1 => drop(bytes.splice(from..from, bytes[from..to].to_vec())),
        2 => bytes.truncate(from),
        3 => bytes
            .iter_mut()
            .skip(from)
            .take(1)
            .for_each(|byte| *byte ^= 1 << draw.below(8)),
        4 => {
            // a piece of another good text
            let other = draw.pick(good).as_bytes();
            let start = draw.below(other.len() + 1);
            let end = start + draw.below((other.len() - start + 1).min(200));
            drop(bytes.splice(from..to, other[start..end].iter().copied()));
        }
        5 => {
            // a number becomes another one
            let digit = bytes
                .iter()
                .skip(from)
                .position(u8::is_ascii_digit)
                .map(|at| at + from);
            if let Some(at) = digit {
                let piece = *draw.pick(&[
                    "0",
                    "-1",
                    "1e9",
                    "9999999999999",
                    ".",
                    "0.0000001",
                    "nan",
                    "65536",
                ]);
                drop(bytes.splice(at..at + 1, piece.bytes()));
            }
        }
        _ => drop(bytes.splice(from..to, draw.pick(&PIECES).bytes())),
    }
}

fn setting(name: &str, usual: u64) -> u64 {
    std::env::var(name)
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(usual)
}

/// Reads many texts. One that makes the reader panic is shown.
fn read_all(reader: &str, good: &[&str], read: impl Fn(&str)) {
    let seed = setting("SHIMWRIGHT_SEED", 1);
    let mut drawing = Draw(seed ^ reader.bytes().fold(0, |hash, byte| hash * 31 + u64::from(byte)));
    for good in good {
        read(good);
    }
    for case in 0..setting("SHIMWRIGHT_CASES", 200) {
        let text = draw(&mut drawing, good);
        if catch_unwind(AssertUnwindSafe(|| read(&text))).is_err() {
            panic!("case {case} of seed {seed}: {reader} fell over {text:?}");
        }
    }
}

fn one_kind<Q: Quantity>(text: &str) {
    if let Ok(quantity) = parse::<Q>(text) {
        assert!(!quantity.to_string().is_empty());
    }
    for unit in Q::DIMENSION.units().into_iter().chain(["", "furlong"]) {
        if let Ok(written) = parse_bare::<Q>(text, unit) {
            // what is written down is read back
            assert!(
                parse::<Q>(written.text()).is_ok(),
                "{text:?} became {:?}",
                written.text()
            );
        }
    }
}

#[test]
fn no_text_makes_the_reading_of_quantities_panic() {
    let good = [
        "1.98 mm",
        "78 thou",
        ".078\"",
        "35 lbf·ft",
        "3,6 kgf·m",
        "45 deg from ring face",
        "30° from the shaft's axis",
        "no ramp",
        "12.5 %",
        "-40 °F",
        "1 US qt",
        "13 N/mm",
        "180 km/h",
        "-0.1",
        "100 m",
        "120 rad from shaft axis",
    ];
    read_all("quantities", &good, |text| {
        one_kind::<Length>(text);
        one_kind::<Force>(text);
        one_kind::<Torque>(text);
        one_kind::<Pressure>(text);
        one_kind::<Angle>(text);
        one_kind::<RampAngle>(text);
        one_kind::<Mass>(text);
        one_kind::<Distance>(text);
        one_kind::<Duration>(text);
        one_kind::<SpringRate>(text);
        one_kind::<Temperature>(text);
        one_kind::<Volume>(text);
        one_kind::<Power>(text);
        one_kind::<Velocity>(text);
        one_kind::<Ratio>(text);
        let _ = unit_named(text);
        for to in ["N·m", "mm", "°F", "km/h", text] {
            if let Ok((value, _)) = convert(text, to) {
                assert!(value.is_finite());
            }
        }
    });
}

#[test]
fn no_text_makes_the_reading_of_bolts_names_and_digests_panic() {
    let digest = Digest::of(b"abc").to_string();
    let good = [
        "M10x1.25",
        "M10",
        " m12 × 1,5 ",
        "10.9",
        "moor-rear-0001",
        &digest,
    ];
    read_all("bolts", &good, |text| {
        let _ = text.parse::<BoltSize>().map(|size| {
            assert!(size.root_diameter() > Length::ZERO);
            for class in PropertyClass::ALL {
                let _ = size.proof_load(class);
            }
        });
        let _ = text.parse::<PropertyClass>();
        let _ = text.parse::<BuildId>();
        let _ = text.parse::<Digest>();
    });
}

fn told(faults: &Faults) {
    assert!(!faults.faults.is_empty());
    for fault in &faults.faults {
        let (line, column) = faults.place(fault);
        assert!(line >= 1 && column >= 1);
    }
    assert!(!faults.to_string().is_empty());
}

/// What a reader made, or its faults told.
fn either<T>(read: Result<T, Faults>) {
    if let Err(faults) = read {
        told(&faults);
    }
}

const UNIT: &str = include_str!("../../demo-units/moor-rear.toml");
const DRAWER: &str = include_str!("../../demo-units/moor-drawer.toml");
const INSTRUMENTS: &str = include_str!("../../demo-units/instruments.toml");
const PROCEDURE: &str = include_str!("../../procedures/full-rebuild.toml");
const ANSWERS: &str = include_str!("../../demo-units/moor-rear.answers");

/// Lines of a text, a few at a time: short texts are read faster, and their faults are reached sooner.
fn parts(text: &'static str, marks: &str) -> Vec<&'static str> {
    let mut parts = vec![text];
    let starts: Vec<usize> = text
        .match_indices(marks)
        .map(|(at, _)| at + 1)
        .chain([text.len()])
        .collect();
    parts.extend(starts.windows(2).map(|pair| &text[pair[0]..pair[1]]));
    parts
}

#[test]
fn no_text_makes_the_reading_of_a_unit_panic() {
    read_all("unit", &[UNIT], |text| either(Unit::read("unit.toml", text)));
}

#[test]
fn no_text_makes_the_reading_of_a_drawer_or_of_instruments_panic() {
    read_all("drawer", &[DRAWER, INSTRUMENTS], |text| {
        either(Drawer::read("drawer.toml", text));
        either(read_instruments("instruments.toml", text));
    });
}

#[test]
fn no_text_makes_the_reading_of_a_procedure_panic() {
    read_all("procedure", &parts(PROCEDURE, "\n[["), |text| {
        either(Procedure::read("procedure.toml", text));
    });
}

#[test]
fn no_text_makes_the_reading_of_answers_panic() {
    read_all("answers", &parts(ANSWERS, "\n"), |text| {
        if let Err(error) = Answers::parse(text, "a.answers") {
            assert!(!error.to_string().is_empty());
        }
    });
}

#[test]
fn no_text_makes_the_reading_of_a_journal_line_panic() {
    let at = || "2026-05-09T10:00:00Z".to_string();
    let answered = |value| Entry::Answered {
        at: at(),
        by: "A".into(),
        slot: Slot {
            round: 1,
            step: "plate-thickness".into(),
            item: Some("G1".into()),
            point: Some(2),
        },
        text: "1.98".into(),
        value,
        insisted: true,
    };
    let side = || ChosenSide {
        plates: vec!["C1".into(), "G1".into()],
        shims_nanometres: vec![100_000],
    };
    let lines: Vec<String> = [
        begun(),
        answered(Value::Length(1_980_000)),
        answered(Value::Torque(35.5)),
        answered(Value::Word {
            word: "good".into(),
            reason: "why".into(),
        }),
        answered(Value::Names(vec!["A".into()])),
        answered(Value::Chosen(Chosen {
            sides: [side(), side()],
            how: "proposal 1".into(),
            reason: String::new(),
        })),
        Entry::Finished { at: at() },
    ]
    .iter()
    .map(|entry| entry.to_json().unwrap())
    .collect();
    for line in &lines {
        assert!(Entry::from_json(line).is_ok(), "{line}");
    }
    let good: Vec<&str> = lines.iter().map(String::as_str).collect();
    read_all("journal", &good, |text| {
        if let Ok(entry) = Entry::from_json(text) {
            let written = entry.to_json().unwrap();
            assert_eq!(Entry::from_json(&written), Ok(entry), "{text}");
        }
    });
}

fn begun() -> Entry {
    Entry::Begun {
        at: "2026-05-09T10:00:00Z".into(),
        program: "0.1.0".into(),
        unit: "ab".into(),
        procedure: "cd".into(),
        units: UnitsName::Metric,
    }
}

/// A unit that can be read may still be senseless: the whole way through a procedure, with what it asks for answered
/// from the demonstration's answers or at random, must come to an end and to a sheet.
#[test]
fn no_unit_that_can_be_read_makes_a_build_panic() {
    let answers: BTreeMap<&str, &str> = ANSWERS
        .lines()
        .filter_map(|line| line.split_once(" = "))
        .collect();
    let values: Vec<&str> = answers.values().copied().collect();
    let job = |unit: &str, drawer: &str| {
        Some(Job {
            unit: Unit::read("unit.toml", unit).ok()?,
            drawer: Drawer::read("drawer.toml", drawer).ok()?,
            instruments: read_instruments("instruments.toml", INSTRUMENTS).ok()?,
            procedure: Procedure::read("procedure.toml", PROCEDURE).ok()?,
        })
    };
    assert!(job(UNIT, DRAWER).is_some());
    let drawing = RefCell::new(Draw(setting("SHIMWRIGHT_SEED", 1)));
    // a build takes a second and more, so there are far fewer of them
    let most = setting("SHIMWRIGHT_CASES", 200) / 100;
    for case in 0..=most {
        let draw = &mut *drawing.borrow_mut();
        let mut texts = [UNIT.to_string(), DRAWER.to_string()];
        if case > 0 {
            // only numbers are changed: the rest would be refused
            for text in &mut texts {
                for _ in 0..=draw.below(3) {
                    *text = other_number(draw, text);
                }
            }
        }
        let Some(job) = job(&texts[0], &texts[1]) else {
            continue;
        };
        let odd = case > 0;
        let went = catch_unwind(AssertUnwindSafe(|| build(draw, job, &answers, &values, odd)));
        assert!(went.is_ok(), "case {case} fell over\n{}\n{}", texts[0], texts[1]);
    }
}

/// The text with one of its numbers put another way.
fn other_number(draw: &mut Draw, text: &str) -> String {
    let starts: Vec<usize> = text
        .char_indices()
        .filter(|&(at, c)| {
            c.is_ascii_digit() && !text[..at].ends_with(|b: char| b.is_ascii_digit() || b == '.')
        })
        .map(|(at, _)| at)
        .collect();
    let at = *draw.pick(&starts);
    let end = text[at..]
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .map_or(text.len(), |n| at + n);
    let new = match draw.below(8) {
        0 => "0".to_string(),
        1 => format!("-{}", &text[at..end]),
        2 => "0.000001".to_string(),
        3 => "99999".to_string(),
        4 => "100000".to_string(),
        5 => draw.below(20).to_string(),
        _ => {
            let value: f64 = text[at..end].parse().unwrap_or(1.0);
            format!("{:.4}", value * draw.below(2000) as f64 / 1000.0)
        }
    };
    format!("{}{new}{}", &text[..at], &text[end..])
}

fn build(draw: &mut Draw, job: Job, answers: &BTreeMap<&str, &str>, values: &[&str], odd: bool) {
    let (mut session, first) = Session::start(job, begun());
    let mut entries = vec![first];
    let mut refused = 0;
    for _ in 0..400 {
        let Some(ask) = session.ask() else { break };
        let known = answers.get(ask.slot.to_string().as_str());
        let reply = match draw.below(40) {
            0 if odd => Reply::Answer(draw.pick(values).to_string()),
            1 if odd => Reply::Answer(draw.pick(&PIECES).to_string()),
            2 if odd => Reply::Skip("lost".into()),
            3 if odd => Reply::Back,
            _ if refused > 3 => Reply::Skip("no answer was taken".into()),
            _ if refused > 0 => Reply::Answer(draw.pick(values).to_string()),
            _ => Reply::Answer(known.copied().unwrap_or("0.5").to_string()),
        };
        if refused > 12 {
            break;
        }
        match session.answer(&reply, "2026-05-09T10:00:00Z") {
            Ok(taken) => {
                refused = 0;
                session.apply(&taken.entries);
                entries.extend(taken.entries);
            }
            Err(_) => refused += 1,
        }
    }
    let job = session.job().clone();
    let sheet = session.build("demo-0001", "ab");
    assert!(!terminal_summary(&sheet, 80).is_empty());
    assert!(to_json(&sheet.summary()).is_ok());
    // a build that is taken up again is the same build
    assert_eq!(Session::resume(job, &entries).build("demo-0001", "ab"), sheet);
}

#[test]
fn no_text_makes_the_reading_of_columns_panic() {
    let good = [
        "# runs, mm\nx,y\n0, 2.000\n1, 1.991\n",
        "0;2,000\n1;1,991;\n",
        "y\tx\r\n1e0\t-2.5\r\n",
        "\u{feff}1.98\n1.97\n",
    ];
    read_all("columns", &good, |text| {
        for read in [
            read_columns("a.csv", text, ["value"]).map(|[x]| vec![x]),
            read_columns("a.csv", text, ["x", "y"]).map(|[x, y]| vec![x, y]),
            read_columns("a.csv", text, ["x", "y", "z"]).map(|[x, y, z]| vec![x, y, z]),
        ] {
            match read {
                Ok(columns) => assert!(columns.iter().all(|column| {
                    column.len() == columns[0].len() && column.iter().all(|value| value.is_finite())
                })),
                Err(faults) => told(&faults),
            }
        }
    });
}

#[test]
fn no_text_makes_the_showing_of_text_panic_or_pass_a_control_character() {
    read_all(
        "showing",
        &[UNIT, ANSWERS, "漢字 1,98 mm\n", "e\u{301}\u{200d}"],
        |text| {
            for shown in [visible(text), on_screen(text), on_paper(text)] {
                assert!(!shown.chars().any(char::is_control));
            }
            let shown = table(
                &["What", "Words"],
                &[vec![text.to_string(), text.to_string()]],
                80,
            );
            assert!(!shown.lines().any(|line| line.chars().any(char::is_control)));
        },
    );
}

#[test]
fn no_arguments_make_a_calculation_panic() {
    let good = [
        "spring|--outside|50mm|--inside|25.4mm|--thickness|2mm|--height|3.4mm|--travel|1.05mm|--parallel|2|--series|3",
        "spring|--outside|125mm|--inside|64mm|--thickness|8mm|--height|10.6mm|--travel|1.9mm|--reduced|7.5mm|--json",
        "pack|--faces|8|--friction|0.1|--force|1500N|--outer|98mm|--inner|62mm|--pressure|even",
        "ramp|--angle|45 deg from ring face|--friction|0.05|--json",
        "lock|--faces|8|--friction|0.1|--radius|50mm|--pin-radius|40mm|--drive|45 deg from ring face|--coast|no ramp",
        "lock|--faces|8|--friction|0.1|--radius|50mm|--pin-radius|40mm|--drive|30 deg from shaft axis|--coast|\
         60 deg from ring face|--preload-force|1kN|--spring-place|between|--ramp-friction|0.1",
        "breakaway|--faces-left|8|--faces-right|8|--friction|0.1|--radius|50mm|--force-left|1000N|--force-right|1000N|\
         --held|case|--drag|3N.m",
        "breakaway|--faces-left|8|--faces-right|8|--reading|43N.m|--radius|50mm|--force-left|1000N|--force-right|1000N|\
         --held|output|--json",
        "wrench|--reading|100N.m|--length|400mm|--extension|50mm|--bend|10deg",
        "wrench|--wanted|100 lbf.ft|--length|12in|--extension|9in",
        "bolt|--size|M10x1.25|--class|10.9|--torque|75N.m|--friction|0.12",
        "judge|--value|1.982mm|--uncertainty|0.004mm|--least|1.95mm|--most|2.05mm|--confidence|0.95|--json",
        "convert|35 lbf·ft|--to|N·m",
    ];
    read_all("arguments", &good, |text| {
        // a name of a file is left out: what stands in the file is read elsewhere
        if text.contains("readings") || text.contains("line") {
            return;
        }
        match shimwright::cli::reckoned(text.split('|').map(Into::into)) {
            Ok(answer) if text.split('|').any(|word| word == "--json") => {
                let json: serde_json::Value = serde_json::from_str(&answer).unwrap();
                assert!(json.is_object());
            }
            Ok(answer) => {
                assert!(
                    answer
                        .lines()
                        .all(|line| unicode_width::UnicodeWidthStr::width(line) <= 80
                            && !line.contains('\u{1b}')),
                    "{answer}"
                )
            }
            Err((_, words)) => assert!(!words.is_empty()),
        }
    });
}
