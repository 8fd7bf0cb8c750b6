//! Every kind of text that the program reads, by the name of its reader: for the corpus and for `tests/fuzz`.

use shimwright::bench::Answers;
use shimwright::book::BuildId;
use shimwright::document::{Faults, read_columns};
use shimwright::history::driven::DayFile;
use shimwright::history::{Account, UnitBrief};
use shimwright::mechanics::rated::{TyreSize, rolling_radius};
use shimwright::mechanics::{BoltSize, PropertyClass};
use shimwright::procedure::Procedure;
use shimwright::quantity::{
    Angle, Distance, Duration, Force, Length, Mass, Power, Pressure, Quantity, RampAngle, Ratio, SpringRate,
    Temperature, Torque, Velocity, Volume, convert, parse, parse_bare, unit_named,
};
use shimwright::record::{Entry, OffPaper, PaperText, Statement};
use shimwright::seal::{Digest, PublicKey, Signers};
use shimwright::workshop::{
    Car, Drawer, Glossary, Readings, Setting, Unit, UnitFile, Use, read_instruments, take_from_drawer,
};

const UNIT: &str = include_str!("../../demo-units/moor-rear.toml");

/// The names of the readers.
pub const KINDS: [&str; 21] = [
    "quantity",
    "name",
    "unit",
    "drawer",
    "instruments",
    "car",
    "use",
    "setting",
    "day",
    "words",
    "language",
    "procedure",
    "readings",
    "columns",
    "answers",
    "journal",
    "account",
    "brief",
    "paper",
    "statement",
    "signers",
];

/// Reads a text as one kind. Nothing may panic; each fault is told with a place inside the text; what was read can be
/// written down and read again where the kind has a form of its own.
pub fn read_as(kind: &str, text: &str) {
    match kind {
        "quantity" => quantity(text),
        "name" => name(text),
        "unit" => {
            told(Unit::read("unit.toml", text));
            if let Ok(unit) = UnitFile::read("unit.toml", text) {
                assert!(unit.lock_setup().is_ok() && unit.aim().is_ok());
            }
        }
        "drawer" => {
            told(Drawer::read("drawer.toml", text));
            told(take_from_drawer("drawer.toml", text, &[], &["SG1".to_string()]));
        }
        "instruments" => told(read_instruments("instruments.toml", text)),
        "car" => told(Car::read("car.toml", text)),
        "use" => told(Use::read("use.toml", text)),
        "setting" => match Setting::read("setting.toml", text) {
            Ok(setting) => assert!(Setting::read("setting.toml", &setting.to_toml()).is_ok()),
            faulty => told(faulty),
        },
        "day" => told(DayFile::read("day.toml", text)),
        "words" => told(Glossary::read("words.toml", text)),
        "language" => told(shimwright::workshop::language::Language::read(
            "language.toml",
            text,
        )),
        "procedure" => told(Procedure::read("procedure.toml", text)),
        "readings" => {
            let unit = Unit::read("unit.toml", UNIT).unwrap();
            told(Readings::read("readings.toml", text, &unit, |name| {
                name.starts_with('S')
            }));
        }
        "columns" => told(read_columns("a.csv", text, ["x", "y"])),
        "answers" => {
            if let Err(error) = Answers::parse(text, "a.answers") {
                assert!(!error.to_string().is_empty());
            }
        }
        "journal" => {
            if let Ok(entry) = Entry::from_json(text) {
                let written = entry.to_json().unwrap();
                assert_eq!(Entry::from_json(&written).ok(), Some(entry));
            }
        }
        "account" => {
            if let Ok(account) = Account::from_json(text) {
                let written = account.to_json().unwrap();
                assert_eq!(Account::from_json(&written).ok(), Some(account));
            }
        }
        "brief" => {
            if let Ok(brief) = UnitBrief::from_json(text) {
                let written = brief.to_json().unwrap();
                assert_eq!(UnitBrief::from_json(&written).ok(), Some(brief));
            }
        }
        "paper" => match OffPaper::read(text) {
            Ok(OffPaper::Code(read)) => assert_eq!(PaperText::read(&read.to_text()).as_ref(), Ok(&read)),
            Ok(_) => {}
            Err(error) => assert!(!error.to_string().chars().any(char::is_control)),
        },
        "statement" => match Statement::read(text) {
            Ok(read) => assert_eq!(read.to_text().as_deref(), Ok(text)),
            Err(error) => assert!(!error.to_string().chars().any(char::is_control), "{error}"),
        },
        "signers" => {
            let _ = Signers::read(text);
            let _ = PublicKey::read(text);
        }
        other => panic!("no reader for {other}"),
    }
}

/// The faults of a text that was not read.
pub fn told<T>(read: Result<T, Faults>) {
    let Err(faults) = read else { return };
    assert!(!faults.faults.is_empty() && !faults.to_string().is_empty());
    // to find the line of a fault the text is gone through: no more of them are looked at than a person would
    for fault in faults.faults.iter().take(200) {
        assert!(!fault.message.is_empty());
        let (line, column) = faults.place(fault);
        assert!(line >= 1 && column >= 1);
        let span = &fault.span;
        assert!(
            faults.source.get(span.clone()).is_some(),
            "{span:?} is no piece of the text: {}",
            fault.message
        );
    }
}

fn quantity(text: &str) {
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

fn name(text: &str) {
    if let Ok(size) = text.parse::<BoltSize>() {
        assert!(size.root_diameter() > Length::ZERO);
        for class in PropertyClass::ALL {
            let _ = size.proof_load(class);
        }
    }
    let _ = text.parse::<PropertyClass>();
    let _ = text.parse::<BuildId>();
    let _ = text.parse::<Digest>();
    if let Ok(size) = TyreSize::read(text) {
        assert!(rolling_radius(size).is_ok_and(|radius| radius > Length::ZERO));
    }
}
