//! The kinds of file: how one is told, read and described.

use super::car::Car;
use super::closed_unit::UnitFile;
use super::defaults::Defaults;
use super::drawer::{Drawer, read_instruments, read_instruments_top};
use super::glossary::Glossary;
use super::language::Language;
use super::last_left;
use super::readings::Readings;
use super::setting::Setting;
use super::use_file::Use;
use crate::document::{Document, Fault, Faults, Shape, newer};
use crate::report::Summary;
use serde_json::{Value, json};

/// What a TOML file of ours is, by its first line.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum FileKind {
    /// A differential.
    Unit,
    /// Shims and spare plates.
    Drawer,
    /// Measuring instruments.
    Instruments,
    /// A car, for settling.
    Car,
    /// What a car is used for.
    Use,
    /// Readings of a whole unit.
    Readings,
    /// What was settled for a unit.
    Setting,
    /// A drive day.
    Day,
    /// Steps of a job.
    Procedure,
    /// Words of the trade.
    Words,
    /// What guards people, in another language than English.
    Language,
    /// What holds where nothing else is said.
    Defaults,
}

impl FileKind {
    /// Every kind with its word; a file's format is `shimwright WORD N`.
    pub const ALL: [(FileKind, &'static str); 12] = [
        (FileKind::Unit, "unit"),
        (FileKind::Drawer, "drawer"),
        (FileKind::Instruments, "instruments"),
        (FileKind::Car, "car"),
        (FileKind::Use, "use"),
        (FileKind::Readings, "readings"),
        (FileKind::Setting, "setting"),
        (FileKind::Day, "day"),
        (FileKind::Procedure, "procedure"),
        (FileKind::Words, "words"),
        (FileKind::Language, "language"),
        (FileKind::Defaults, "defaults"),
    ];

    /// The number of its newest format; those from 1 are read.
    fn newest(self) -> u32 {
        match self {
            FileKind::Use => 2,
            _ => 1,
        }
    }

    /// Every format that is read, the newest of each kind last.
    fn formats() -> impl Iterator<Item = (FileKind, String)> {
        FileKind::ALL.iter().flat_map(|(kind, word)| {
            (1..=kind.newest()).map(move |number| (*kind, format!("shimwright {word} {number}")))
        })
    }

    /// The word for it.
    pub fn word(self) -> &'static str {
        FileKind::ALL
            .iter()
            .find(|(kind, _)| *kind == self)
            .map_or("", |(_, word)| word)
    }

    /// What a file says that it is.
    ///
    /// ```
    /// use shimwright::workshop::FileKind;
    /// assert_eq!(FileKind::of("d.toml", "format = \"shimwright drawer 1\"\n").unwrap(), FileKind::Drawer);
    /// assert!(FileKind::of("d.toml", "format = \"drawer\"\n").is_err());
    /// ```
    ///
    /// # Errors
    ///
    /// Faults of its syntax, and a format that is missing or not known.
    pub fn of(file: &str, source: &str) -> Result<FileKind, Faults> {
        Document::read(file, source, |top| {
            let format = top.text("format")?;
            let kind = FileKind::formats()
                .find(|(_, known)| format == *known)
                .map(|(kind, _)| kind);
            let newest = FileKind::ALL
                .iter()
                .map(|(kind, word)| format!("shimwright {word} {}", kind.newest()));
            let newer = |known: String| newer(&format, &known);
            if kind.is_none() && newest.chain([last_left::NEWEST.to_string()]).any(newer) {
                top.newer_format(&format);
            } else if kind.is_none() {
                let known: Vec<String> = FileKind::formats()
                    .map(|(_, known)| format!("\"{known}\""))
                    .collect();
                top.fault_by(
                    "unknown-format",
                    top.span_of("format"),
                    format!("this format is not known; known are {}", known.join(", ")),
                );
            }
            kind
        })
    }

    /// Every fault of a file of this kind. What is read elsewhere is judged by `elsewhere`;
    /// readings are judged without their unit: a plate's name is not looked up.
    pub fn faults(
        self,
        file: &str,
        source: &str,
        elsewhere: impl FnOnce(FileKind, &str, &str) -> Result<(), Faults>,
    ) -> Vec<Fault> {
        let read = match self {
            FileKind::Unit => UnitFile::read(file, source).map(|_| ()),
            FileKind::Drawer => Drawer::read(file, source).map(|_| ()),
            FileKind::Instruments => read_instruments(file, source).map(|_| ()),
            FileKind::Car => Car::read(file, source).map(|_| ()),
            FileKind::Use => Use::read(file, source).map(|_| ()),
            FileKind::Readings => Readings::check(file, source),
            FileKind::Setting => Setting::read(file, source).map(|_| ()),
            FileKind::Day | FileKind::Procedure | FileKind::Language => elsewhere(self, file, source),
            FileKind::Words => Glossary::read(file, source).map(|_| ()),
            FileKind::Defaults => Defaults::read(file, source, false).map(|_| ()),
        };
        read.map_or_else(|faults| faults.faults, |()| Vec::new())
    }

    /// What it is, in a few words.
    pub fn title(self) -> &'static str {
        match self {
            FileKind::Unit => "A differential",
            FileKind::Drawer => "Shims and spare plates",
            FileKind::Instruments => "Measuring instruments",
            FileKind::Car => "A car, for settling",
            FileKind::Use => "What a car is used for",
            FileKind::Readings => "Readings of a whole unit",
            FileKind::Setting => "What was settled for a unit",
            FileKind::Day => "A drive day",
            FileKind::Procedure => "Steps of a job",
            FileKind::Words => "Words of the trade",
            FileKind::Language => "What guards people, in another language",
            FileKind::Defaults => "What holds where nothing else is said",
        }
    }

    /// What the reader of this kind asks for; `elsewhere` gives it for what is read elsewhere: drive days and procedures.
    pub fn shape(self, elsewhere: impl FnOnce(FileKind) -> Shape) -> Shape {
        match self {
            FileKind::Unit => Shape::of(UnitFile::read_top),
            FileKind::Drawer => Shape::of(|top| Drawer::read_top(top, true)),
            FileKind::Instruments => Shape::of(read_instruments_top),
            FileKind::Car => Shape::of(Car::read_top),
            FileKind::Use => Shape::of(Use::read_top),
            FileKind::Readings => Shape::of(|top| Readings::read_top(top, None, |_| true)),
            FileKind::Setting => Shape::of(Setting::read_top),
            FileKind::Day | FileKind::Procedure => elsewhere(self),
            FileKind::Words => Shape::of(Glossary::read_top),
            FileKind::Language => Shape::of(Language::read_top),
            FileKind::Defaults => Shape::of(Defaults::read_top),
        }
    }

    /// The JSON Schema of this kind, by the shape that [`FileKind::shape`] gives.
    pub fn schema(self, shape: &Shape) -> Summary {
        Summary(shape.schema(self.word(), self.title(), &|path| self.says(path)))
    }
}

/// A file with what is wrong in it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Linted {
    /// What it is, where that can be told.
    pub kind: Option<FileKind>,
    /// Its faults with its source; `None` where it has none.
    pub faults: Option<Faults>,
    /// Its name as it was given.
    pub file: String,
}

/// What was found in some files, for machines: lines and columns count from 1, columns in characters.
pub fn lint_summary(files: &[Linted]) -> Summary {
    let mut count = 0;
    let files: Vec<Value> = files
        .iter()
        .map(|one| {
            let faults: Vec<Value> = one
                .faults
                .iter()
                .flat_map(|faults| faults.faults.iter().map(move |fault| (faults, fault)))
                .map(|(faults, fault)| {
                    let (line, column) = faults.place(fault);
                    json!({"rule": fault.rule, "line": line, "column": column, "message": fault.message})
                })
                .collect();
            count += faults.len();
            json!({"file": one.file, "kind": one.kind.map(FileKind::word), "faults": faults})
        })
        .collect();
    Summary::told("lint", json!({"files": files, "faults": count}))
}
