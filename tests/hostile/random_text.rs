//! No text at all makes a reader panic.

use crate::drawing::read_all;
use crate::good::{ANSWERS, DRAWER, INSTRUMENTS, PROCEDURE, UNIT};
use crate::random_builds::begun;
use crate::readers::{read_as, told};
use shimwright::document::read_columns;
use shimwright::history::{Account, PlateAccount, UncertainLength, UnitBrief};
use shimwright::quantity::{Length, visible};
use shimwright::record::{Chosen, ChosenSide, Entry, Slot, Value};
use shimwright::report::Table;
use shimwright::screen::table;
use shimwright::sheet::on_paper;
use shimwright::tuning::{Course, Others, Tried};
use shimwright::workshop::{Car, UnitFile, Use};

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
    read_all("quantities", &good, |text| read_as("quantity", text));
}

#[test]
fn no_text_makes_the_reading_of_bolts_names_and_digests_panic() {
    let digest = shimwright::seal::Digest::of(b"abc").to_string();
    let good = [
        "M10x1.25",
        "M10",
        " m12 × 1,5 ",
        "10.9",
        "moor-rear-0001",
        "P205/55 ZR16 91W",
        &digest,
    ];
    read_all("bolts", &good, |text| read_as("name", text));
}

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

const CLOSED: &str = include_str!("../data/closed-unit.toml");

#[test]
fn no_text_makes_the_reading_of_a_unit_panic() {
    read_all("unit", &[UNIT, CLOSED], |text| read_as("unit", text));
}

#[test]
fn no_text_makes_the_reading_of_a_drawer_or_of_instruments_panic() {
    read_all("drawer", &[DRAWER, INSTRUMENTS], |text| {
        read_as("drawer", text);
        read_as("instruments", text);
    });
}

const CAR: &str = include_str!("../../demo-units/moor-car.toml");
const USE: &str = include_str!("../../procedures/uses/hillclimb.toml");

/// What the unit does there; a bend that can not be driven so, or a gear that is not there, is refused in words.
fn settle(car: &Car, wanted: &Use, unit: &UnitFile) {
    match Course::new(car, wanted, &Others::of(car), Tried::AS_GIVEN) {
        Ok(course) => drop(course.rated(&unit.lock_setup().unwrap()).unwrap()),
        Err(why) => assert!(!why.to_string().is_empty()),
    }
}

#[test]
fn no_text_makes_the_reading_of_a_car_or_of_a_use_panic_and_what_is_read_is_settled_or_refused() {
    let unit = UnitFile::read("unit.toml", UNIT).unwrap();
    let (car, wanted) = (
        Car::read("car.toml", CAR).unwrap(),
        Use::read("use.toml", USE).unwrap(),
    );
    read_all("car", &[CAR], |text| {
        read_as("car", text);
        if let Ok(other) = Car::read("car.toml", text) {
            settle(&other, &wanted, &unit);
        }
    });
    read_all("use", &[USE], |text| {
        read_as("use", text);
        if let Ok(other) = Use::read("use.toml", text) {
            settle(&car, &other, &unit);
        }
    });
}

const READINGS: &str = include_str!("../../demo-units/moor-rear-readings.toml");

#[test]
fn no_text_makes_the_reading_of_readings_panic() {
    read_all("readings", &parts(READINGS, "\n[["), |text| {
        read_as("readings", text)
    });
}

#[test]
fn no_text_makes_the_reading_of_a_procedure_panic() {
    read_all("procedure", &parts(PROCEDURE, "\n[["), |text| {
        read_as("procedure", text);
    });
}

#[test]
fn no_text_makes_the_reading_of_answers_panic() {
    read_all("answers", &parts(ANSWERS, "\n"), |text| {
        read_as("answers", text);
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
        Entry::Finished {
            at: at(),
            model: 1,
            log: None,
        },
        Entry::Finished {
            at: at(),
            model: 2,
            log: None,
        },
    ]
    .iter()
    .map(|entry| entry.to_json().unwrap())
    .collect();
    for line in &lines {
        assert!(Entry::from_json(line).is_ok(), "{line}");
    }
    let good: Vec<&str> = lines.iter().map(String::as_str).collect();
    read_all("journal", &good, |text| {
        read_as("journal", text);
    });
}

#[test]
fn no_text_makes_the_reading_of_what_an_index_keeps_panic() {
    let plate = PlateAccount {
        part: "P-17".to_string(),
        mean: Some(UncertainLength {
            zeros: Length::ZERO,
            value: Length::from_um(1987),
            uncertainty: Length::from_um(2),
            shared: vec![("mic-2".to_string(), Length::from_um(-1))],
        }),
        ..PlateAccount::default()
    };
    let account = Account {
        build: "moor-rear-0001".to_string(),
        unit: "moor-rear".to_string(),
        plates: vec![plate],
        ..Account::default()
    };
    let brief = UnitBrief::of("moor-rear", std::slice::from_ref(&account));
    let lines = [account.to_json().unwrap(), brief.to_json().unwrap()];
    read_all("account", &[&lines[0]], |text| read_as("account", text));
    read_all("brief", &[&lines[1]], |text| read_as("brief", text));
}

const COLUMNS: [&str; 4] = [
    "# runs, mm\nx,y\n0, 2.000\n1, 1.991\n2, 1.979\n",
    "0;2,000\n1;1,991;\n2;1,979\n",
    "y\tx\r\n1e0\t-2.5\r\n3\t0\n7\t1",
    "\u{feff}1.98\n1.97\n",
];

#[test]
fn no_data_file_makes_a_calculation_panic() {
    let file = tempfile::NamedTempFile::new().unwrap();
    read_all("data", &COLUMNS, |text| {
        std::fs::write(file.path(), text).unwrap();
        for what in ["readings", "line"] {
            for json in [None, Some("--json")] {
                let words = [what.into(), file.path().into()]
                    .into_iter()
                    .chain(json.map(Into::into));
                match shimwright::cli::reckoned(words) {
                    Ok(answer) if json.is_some() => {
                        assert!(
                            serde_json::from_str::<serde_json::Value>(&answer)
                                .unwrap()
                                .is_object()
                        );
                    }
                    Ok(shown) => assert!(shown.lines().all(|line| line.chars().count() <= 80), "{shown}"),
                    Err((_, words)) => assert!(words.starts_with("error: ") && !words.contains('\u{1b}')),
                }
            }
        }
    });
}

#[test]
fn no_text_makes_the_reading_of_columns_panic() {
    read_all("columns", &COLUMNS, |text| {
        for read in [
            read_columns("a.csv", text, ["value"]).map(|[x]| vec![x]),
            read_columns("a.csv", text, ["x", "y"]).map(|[x, y]| vec![x, y]),
            read_columns("a.csv", text, ["x", "y", "z"]).map(|[x, y, z]| vec![x, y, z]),
        ] {
            told(read.inspect(|columns| {
                assert!(columns.iter().all(|column| {
                    column.len() == columns[0].len() && column.iter().all(|value| value.is_finite())
                }));
            }));
        }
    });
}

#[test]
fn no_text_makes_the_showing_of_text_panic_or_pass_a_control_character() {
    read_all(
        "showing",
        &[UNIT, ANSWERS, "漢字 1,98 mm\n", "e\u{301}\u{200d}"],
        |text| {
            for shown in [visible(text), on_paper(text)] {
                assert!(!shown.chars().any(char::is_control));
            }
            let shown = table(&Table::of_words(["What", "Words"], [[text, text]]), 80);
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
