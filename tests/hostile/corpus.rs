//! What was found, kept: each file of `corpus/` is named for the fault that it showed, and is read as its folder says.

use crate::drawing::UNIT;
use shimwright::bench::Answers;
use shimwright::procedure::Procedure;
use shimwright::record::{
    Car, Drawer, Entry, Readings, Unit, Use, read_columns, read_instruments, take_from_drawer,
};
use std::fs;
use std::path::Path;

/// Reads a text as a kind of file; nothing may panic, and each fault is told with a place inside the text.
pub fn read_as(kind: &str, text: &str) {
    let faults = match kind {
        "unit" => Unit::read("unit.toml", text).err(),
        "drawer" => Drawer::read("drawer.toml", text).err().or(take_from_drawer(
            "drawer.toml",
            text,
            &[],
            &["SG1".to_string()],
        )
        .err()),
        "instruments" => read_instruments("instruments.toml", text).err(),
        "car" => Car::read("car.toml", text).err(),
        "use" => Use::read("use.toml", text).err(),
        "procedure" => Procedure::read("procedure.toml", text).err(),
        "readings" => {
            let unit = Unit::read("unit.toml", UNIT).unwrap();
            Readings::read("readings.toml", text, &unit, |name| name.starts_with('S')).err()
        }
        "columns" => read_columns("a.csv", text, ["x", "y"]).err(),
        "answers" => {
            let _ = Answers::parse(text, "a.answers");
            None
        }
        "journal" => {
            let _ = Entry::from_json(text);
            None
        }
        other => panic!("no reader for {other}"),
    };
    for fault in faults.iter().flat_map(|faults| &faults.faults) {
        assert!(!fault.message.is_empty());
        let (line, column) = faults.as_ref().unwrap().place(fault);
        assert!(line >= 1 && column >= 1);
    }
}

#[test]
fn what_was_found_once_is_read_without_harm() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/hostile/corpus");
    let mut read = 0;
    for folder in fs::read_dir(root).unwrap() {
        let folder = folder.unwrap().path();
        let kind = folder.file_name().unwrap().to_str().unwrap().to_string();
        for file in fs::read_dir(&folder).unwrap() {
            let path = file.unwrap().path();
            let text = String::from_utf8_lossy(&fs::read(&path).unwrap()).into_owned();
            read_as(&kind, &text);
            read += 1;
        }
    }
    assert!(read > 0);
}
