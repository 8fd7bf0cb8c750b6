//! A closed unit by questions and as a file: what is settled of it is what is settled of the same unit opened, and nothing opens it.

use super::{Folder, demo, give};
use shimwright::mechanics::{Direction, LockModel};
use shimwright::procedure::{Described, NewFile};
use shimwright::quantity::Units;
use shimwright::workshop::{FileKind, Unit, UnitFigure, UnitFile};
use std::fs;

/// The same figures as the demonstration unit has.
const AS_MOOR: [(&str, &str); 15] = [
    ("id", "moor-rear"),
    ("name", "Moor rear, closed"),
    ("ramp.drive", "60 deg from ring face"),
    ("ramp.coast", "60 deg from ring face"),
    ("ramp.pin_radius", "31 mm"),
    ("ramp.friction", "0.06"),
    ("friction.turning", "0.1"),
    ("friction.outside", "98 mm"),
    ("friction.inside", "62 mm"),
    ("faces.left", "10"),
    ("preload.known", "force"),
    ("preload.force", "1150 N"),
    ("preload.place", "behind the pack"),
    ("offer.ramps", "45/60 60/none from ring face"),
    ("offer.faces", "8 10"),
];

fn closed(other: &[(&str, &str)]) -> Result<NewFile, String> {
    let mut unit = NewFile::new(Described::ClosedUnit, Units::Metric);
    while let Some(ask) = unit.ask() {
        let name = ask.slot.to_string();
        let all = other.iter().chain(&AS_MOOR);
        let text = all.filter(|(at, _)| *at == name).map(|(_, text)| *text).next();
        give(&mut unit, text.unwrap_or("none"))?;
    }
    Ok(unit)
}

fn read(file: &NewFile) -> UnitFile {
    let text = file.text();
    assert_eq!(
        FileKind::Unit.faults("closed", &text, |_, _, _| Ok(())),
        [],
        "{text}"
    );
    UnitFile::read("closed", &text).unwrap()
}

#[test]
fn a_closed_unit_locks_as_the_same_unit_opened() {
    let made = closed(&[]).unwrap();
    let (closed, opened) = (
        read(&made),
        UnitFile::read("moor-rear", &demo("moor-rear.toml")).unwrap(),
    );
    let mut wanted = opened.lock_setup().unwrap();
    let setup = closed.lock_setup().unwrap();
    // a dozen figures have no gear thrust and no tabs, unless somebody writes their tables
    (wanted.gear_thrust, wanted.tab_friction) = (None, None);
    assert_eq!(setup, wanted, "{}", made.text());
    assert_eq!(closed.offer().ramps.len(), 2);
    assert!(closed.guessed().is_empty() && closed.opened().is_none() && opened.opened().is_some());
}

#[test]
fn not_known_is_taken_wherever_something_may_be_unknown() {
    let guessing = closed(&[
        ("preload.known", "not known"),
        ("preload.place", "not known"),
        ("offer.ramps", "not known"),
        ("offer.faces", "not known"),
    ])
    .unwrap();
    let unit = read(&guessing);
    let guessed = [UnitFigure::Preload, UnitFigure::Place];
    assert_eq!(unit.guessed(), guessed, "{}", guessing.text());
    assert!(unit.offer().ramps.is_empty(), "{}", guessing.text());
    let setup = unit.lock_setup().unwrap();
    assert!(
        setup
            .preload
            .iter()
            .all(|force| (force.newtons() - 1000.0).abs() < 1e-9)
    );
}

#[test]
fn a_breakaway_that_was_read_becomes_the_force_that_gives_it() {
    let known = LockModel::new(read(&closed(&[]).unwrap()).lock_setup().unwrap()).unwrap();
    // with one output held both packs slip and half of what they hold is read
    let half = known.preload_torque().newton_metres() / 2.0;
    let by_wrench = closed(&[
        ("preload.known", "breakaway"),
        ("preload.breakaway", &format!("{half:.3} N·m")),
        ("preload.held", "output"),
    ])
    .unwrap();
    let setup = read(&by_wrench).lock_setup().unwrap();
    assert!(
        (setup.preload[0].newtons() - 1150.0).abs() < 0.1,
        "{}",
        setup.preload[0]
    );
    let model = LockModel::new(setup).unwrap();
    let share = |model: &LockModel| model.share(Direction::Drive).value();
    assert!((share(&model) - share(&known)).abs() < 1e-9);
    // rings that wedge with the case held give no force
    let wedged = closed(&[
        ("ramp.drive", "10 deg from ring face"),
        ("ramp.coast", "10 deg from ring face"),
        ("preload.known", "breakaway"),
        ("preload.breakaway", "80 N·m"),
        ("preload.held", "case"),
    ]);
    assert!(
        wedged.unwrap_err().contains("wedge"),
        "a force for what never slips"
    );
}

#[test]
fn who_knows_next_to_nothing_gets_a_file_of_guesses() {
    let mut unit = NewFile::new(Described::ClosedUnit, Units::Metric);
    let mut asked = 0;
    while let Some(ask) = unit.ask() {
        let text = match ask.slot.to_string().as_str() {
            "id" => "unknown-rear",
            "name" => "Unknown rear",
            "preload.known" => "force",
            "offer.ramps" | "offer.faces" | "offer.preload" => "none",
            _ => "not known",
        };
        give(&mut unit, text).unwrap();
        asked += 1;
    }
    assert!(asked <= 17, "{asked} questions are no short way");
    assert_eq!(read(&unit).guessed().len(), 10, "{}", unit.text());
}

#[test]
fn nonsense_is_refused() {
    for (question, text, says) in [
        ("ramp.drive", "45 deg", "counted from"),
        ("ramp.drive", "2 deg from ring face", "does not release by itself"),
        ("friction.turning", "1.5", "at most 1"),
        ("friction.turning", "120 %", "at most 1"),
        ("friction.inside", "120 mm", "must be more than 60.000 mm"),
        ("faces.left", "401", "from 0 to 400"),
        ("faces.left", "many", "no whole number"),
        ("preload.force", "-5 N", "more than 0 N"),
        ("preload.known", "perhaps", "none of these"),
        ("offer.ramps", "45/60", "counted from"),
        ("offer.ramps", "45-60 from ring face", "no pair"),
        ("offer.ramps", "95/60 from ring face", ""),
        ("offer.ramps", "from ring face", "pairs are wanted"),
        ("offer.ramps", "45/60 from the moon", ""),
    ] {
        let refused = closed(&[(question, text)]).expect_err(text);
        assert!(refused.contains(says), "{question} {text}: {refused}");
    }
}

#[test]
fn a_closed_unit_is_settled_and_linted_and_opened_by_nothing() {
    let folder = Folder::new();
    fs::write(folder.0.path().join("closed.toml"), closed(&[]).unwrap().text()).unwrap();
    let car = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-units/moor-car.toml");
    let settle = [
        "settle",
        car,
        "--use",
        "hillclimb",
        "--unit",
        "closed.toml",
        "--write",
        "setting.toml",
    ];
    let ran = folder.run(&settle, "");
    let shown = String::from_utf8(ran.stdout).unwrap();
    assert_eq!(
        ran.status.code(),
        Some(0),
        "{shown}{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    assert!(shown.contains("describe the unit whole"), "{shown}");
    let setting = fs::read_to_string(folder.0.path().join("setting.toml")).unwrap();
    assert_eq!(
        FileKind::Setting.faults("setting", &setting, |_, _, _| Ok(())),
        [],
        "{setting}"
    );
    assert_eq!(folder.run(&["lint", "closed.toml"], "").status.code(), Some(0));
    for words in [
        &["work", "full-rebuild", "closed.toml"][..],
        &["choose", "closed.toml", "--readings", "closed.toml"],
        &["sheet", "--blank", "full-rebuild", "closed.toml"],
        &["as-left", "closed.toml"],
        &["wear", "closed.toml"],
    ] {
        let ran = folder.run(words, "");
        let told = String::from_utf8(ran.stderr).unwrap();
        assert_eq!(ran.status.code(), Some(3), "{words:?}: {told}");
        assert!(
            told.contains("this unit is closed") && told.contains("shimwright new-unit"),
            "{words:?}: {told}"
        );
        assert!(!told.contains("missing"), "{words:?}: {told}");
    }
    // a unit is closed or it is not
    let half = fs::read_to_string(folder.0.path().join("closed.toml"))
        .unwrap()
        .replace("closed = true", "closed = false");
    assert!(
        UnitFile::read("half", &half)
            .unwrap_err()
            .to_string()
            .contains("is true or it is left out")
    );
    let marked = demo("moor-rear.toml").replacen("format =", "closed = true\nformat =", 1);
    assert!(
        Unit::read("marked", &marked)
            .unwrap_err()
            .to_string()
            .contains("this unit is closed")
    );
}

#[test]
fn the_questions_are_put_by_new_unit_closed() {
    let folder = Folder::new();
    let typed: Vec<&str> = AS_MOOR.iter().map(|(_, text)| *text).collect();
    let ran = folder.run(&["new-unit", "--closed"], &(typed.join("\n") + "\nnone\n"));
    let shown = String::from_utf8(ran.stdout).unwrap();
    assert_eq!(ran.status.code(), Some(0), "{shown}");
    assert!(shown.contains("two-way: its ramps lock"), "{shown}");
    assert!(shown.contains("Then: shimwright settle CAR.toml"), "{shown}");
    assert_eq!(folder.names(), ["moor-rear.toml"]);
}
