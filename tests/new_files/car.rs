//! A car by questions: conversions held against figures worked out by hand, what nobody knows, and what is refused.

use super::{Folder, give};
use shimwright::mechanics::Axle;
use shimwright::procedure::{Described, NewFile, Reply};
use shimwright::quantity::Units;
use shimwright::workshop::{Car, CarFigure, FileKind};

/// Answers by question; the others are `not known`.
const KNOWN: [(&str, &str); 9] = [
    ("name", "Test car"),
    ("driven", "rear"),
    ("mass", "2425 lb"),
    ("front_weight", "52 %"),
    ("tyre_radius", "205/55 R16"),
    ("engine.torque", "180 N·m at 4500, 105 kW at 6500"),
    ("gears.settle_in", "2"),
    ("unit_in", "front"),
    ("gears.efficiency", "88 %"),
];

/// A car of these answers, one of which may be another; `not known` where none is given.
fn car(other: &[(&str, &str)]) -> Result<NewFile, String> {
    let mut car = NewFile::new(Described::Car, Units::Metric);
    while let Some(ask) = car.ask() {
        let name = ask.slot.to_string();
        let of = |answers: &[(&'static str, &'static str)]| {
            answers.iter().find(|(at, _)| *at == name).map(|(_, text)| *text)
        };
        let other = other.iter().find(|(at, _)| *at == name).map(|(_, text)| *text);
        give(&mut car, other.or(of(&KNOWN)).unwrap_or("not known"))?;
    }
    Ok(car)
}

fn read(file: &NewFile) -> Car {
    let text = file.text();
    assert_eq!(FileKind::Car.faults("car", &text, |_, _, _| Ok(())), [], "{text}");
    Car::read("car", &text).unwrap()
}

#[test]
fn what_is_typed_as_it_is_known_is_converted() {
    let made = car(&[]).unwrap();
    let car = read(&made);
    // 2425 lb of 0.453 592 37 kg, 52 % of it in front
    assert!((car.mass.kilograms() - 1_099.961_5).abs() < 1e-3);
    assert!((car.axle_mass[0].kilograms() - 571.98).abs() < 0.06);
    assert!((car.axle_mass[1].kilograms() - 527.98).abs() < 0.06);
    // 16 in and twice 55 % of 205 mm are 631.9 mm; 3.05 of it, over 2 π
    assert!(
        (car.tyre_radius.mm() - 306.74).abs() < 0.06,
        "{}",
        car.tyre_radius
    );
    // 105 kW at 6500/60 · 2 π are 154.3 N·m, less than the 180 N·m at 4500, which count
    assert!((car.engine.newton_metres() - 180.0).abs() < 1e-9);
    assert_eq!(car.at.rpm, Some(4500));
    assert!(made.text().contains("torque = \"154.3 N·m\""), "{}", made.text());
    assert_eq!((car.axle, car.efficiency.value()), (Axle::Rear, 0.88));
}

#[test]
fn what_nobody_knows_is_kept_as_a_guess_and_only_that() {
    let made = car(&[]).unwrap();
    let known = read(&made);
    let words: Vec<&str> = known.guessed.iter().map(|figure| figure.key()).collect();
    assert_eq!(
        words,
        [
            "track",
            "wheelbase",
            "height",
            "roll_share",
            "engine.drag",
            "gears.ratios",
            "gears.final"
        ],
        "{}",
        made.text()
    );
    // somebody who knows nothing but what it is called and what it drives
    let nothing: Vec<(&str, &str)> = [
        "mass",
        "front_weight",
        "tyre_radius",
        "engine.torque",
        "gears.efficiency",
    ]
    .map(|key| (key, "not known"))
    .into_iter()
    .chain([("driven", "both")])
    .collect();
    let all = read(&car(&nothing).unwrap());
    assert_eq!(all.guessed.len(), CarFigure::ALL.len(), "{:?}", all.guessed);
    assert!(all.full_torque().unwrap() > all.drag);
    // an earlier answer that changes takes its estimates along
    let mut later = NewFile::new(Described::Car, Units::Metric);
    for text in ["Test car", "front", "not known"] {
        give(&mut later, text).unwrap();
    }
    let offered = later.ask().unwrap().limits.join("; ");
    assert!(offered.contains("not known takes 62 %"), "{offered}");
    for _ in 0..2 {
        later.answer(&Reply::Back).unwrap();
    }
    give(&mut later, "rear").unwrap();
    give(&mut later, "1000 kg").unwrap();
    let offered = later.ask().unwrap().limits.join("; ");
    assert!(offered.contains("not known takes 50 %"), "{offered}");
}

#[test]
fn nonsense_is_refused_with_what_would_be_right() {
    for (question, text, says) in [
        ("front_weight", "120 %", "can not lie on one axle"),
        ("front_weight", "0 %", "can not lie on one axle"),
        ("front_weight", "3000 kg", "rear_weight"),
        ("front_weight", "NaN %", ""),
        ("mass", "0 kg", "more than 0 kg"),
        ("mass", "99 t", ""),
        ("tyre_radius", "205/55", "such as 205/55 R16"),
        ("tyre_radius", "55/205 R16", "width of a tyre"),
        ("tyre_radius", "205/55 R99", "rim of a tyre"),
        ("tyre_radius", "/", "such as 205/55 R16"),
        ("tyre_radius", "3 km", ""),
        ("engine.torque", "110 kW", "say at what speed"),
        ("engine.torque", "110 kW at 0", "no speed of an engine"),
        ("engine.torque", "180 N·m at 4500, 105 kW at 4500", "rising"),
        ("engine.torque", "180 N·m, 190 N·m", "rising"),
        ("engine.torque", "1e9 kW at 1", ""),
        ("engine.torque", ",", "is wanted"),
        ("engine.drag", "-5 N·m", "at least 0 N·m"),
        ("gears.ratios", "2.1 3.3", "from first gear up they fall"),
        ("gears.ratios", "3.3 0", "more than 0"),
        ("gears.ratios", "x", ""),
        ("gears.settle_in", "6", "gear 6 is missing"),
        ("gears.settle_in", "not known", "no whole number"),
        ("gears.efficiency", "120 %", "at most 1"),
        ("name", "", "words are wanted"),
    ] {
        let refused = car(&[(question, text)]).expect_err(question);
        assert!(refused.contains(says), "{question} {text}: {refused}");
    }
}

#[test]
fn the_file_is_written_and_settled_with_its_guesses_said() {
    let folder = Folder::new();
    let typed: Vec<&str> = [
        "Tëst car 1",
        "rear",
        "1100 kg",
        "52 %",
        "",
        "",
        "",
        "",
        "195/50 R15",
        "110 kW at 6300",
    ]
    .into_iter()
    .chain(["", "", "2", "", ""])
    .map(|text| if text.is_empty() { "not known" } else { text })
    .collect();
    let ran = folder.run(&["new-car"], &(typed.join("\n") + "\n"));
    let shown = String::from_utf8(ran.stdout).unwrap();
    assert_eq!(ran.status.code(), Some(0), "{shown}");
    assert!(shown.contains("guessed, and told as that"), "{shown}");
    let [name] = &folder.names()[..] else {
        panic!("{:?}", folder.names())
    };
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-units/moor-rear.toml");
    let ran = folder.run(&["settle", name, "--use", "hillclimb", "--unit", demo], "");
    let shown = String::from_utf8(ran.stdout).unwrap();
    assert_eq!(
        ran.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    assert!(
        shown.contains("Guess, nobody knew: track, wheelbase, height of the centre of mass"),
        "{shown}"
    );
    let ran = folder.run(
        &["settle", name, "--use", "hillclimb", "--unit", demo, "--json"],
        "",
    );
    let said: serde_json::Value = serde_json::from_slice(&ran.stdout).unwrap();
    assert_eq!(
        said["guessed"].as_array().unwrap().len(),
        8,
        "{}",
        said["guessed"]
    );
}
