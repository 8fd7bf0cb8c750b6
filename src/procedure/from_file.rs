//! A procedure as its file says it, read and checked.

use super::check::{Check, check_conditions};
use super::day::{check_day, check_day_step};
use super::definition::{CONDITIONS, Procedure, Stage};
use super::library::read_or_take;
use super::step_file::read_step;
use crate::document::{Document, Faults, Letters, Section, Shape, Spelling};
use crate::record::phrase::Spoken;
use crate::workshop::language::Language;

/// The most steps that a procedure may have.
const MOST_STEPS: usize = 500;

/// A language by its letters, as RFC 5646 has them, small.
static LANGUAGE: Spelling = Spelling {
    name: "language",
    says: "write it by its letters, small: en, de, pt-br",
    rule: "sense",
    letters: Letters::Id,
    length: 2..=35,
    example: "de",
};

impl Procedure {
    /// Reads a procedure from TOML text and checks it; gives every fault at once.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read(file: &str, source: &str) -> Result<Procedure, Faults> {
        Procedure::read_by(file, source, true)
    }

    /// Reads a procedure that a build in the book was begun with: rules that came later do not close an old record.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read_kept(file: &str, source: &str) -> Result<Procedure, Faults> {
        Procedure::read_by(file, source, false)
    }

    fn read_by(file: &str, source: &str, strict: bool) -> Result<Procedure, Faults> {
        Document::read(file, source, |top| Procedure::read_top(top, strict))
    }

    /// What the reader of procedures asks for.
    pub fn shape() -> Shape {
        Shape::of(|top| Procedure::read_top(top, true))
    }

    /// Reads it from the top of its document; `strict` as for [`Procedure::read`].
    fn read_top(top: &Section<'_>, strict: bool) -> Option<Procedure> {
        top.format(FORMAT);
        let id = top.text("id");
        let title = top.text("title");
        let purpose = top.text("purpose");
        let sheet = top.text_maybe("sheet");
        let language = top
            .spelt_maybe("language", &LANGUAGE)
            .unwrap_or_else(|| "en".to_string());
        let unreviewed = top.flag_maybe("unreviewed").unwrap_or(false);
        let drive_day = top.flag_maybe("drive_day").unwrap_or(false);
        let only = top.words("only", CONDITIONS);
        check_conditions(top, &only);
        let mut check = Check::new(strict, &only, &language);
        let mut stages = Vec::new();
        let mut took = false;
        let wanted = "a procedure needs at least one [[stage]] with a [[stage.step]]";
        for stage in top.sections_some("stage", "missing-key", wanted) {
            let title = stage.text("title");
            let mut steps = Vec::new();
            let wanted = "a stage needs at least one [[stage.step]]";
            for section in stage.sections_some("step", "empty-stage", wanted) {
                took |= section.has("use");
                let step = match strict {
                    true => read_or_take(&section, &language),
                    // what a build keeps says all by itself
                    false => read_step(&section, strict),
                };
                section.finish();
                if let Some(step) = step {
                    check.step(&section, &step);
                    check_day_step(&section, &step, drive_day);
                    steps.push(step);
                }
            }
            stage.finish();
            if let Some(title) = title {
                stages.push(Stage { title, steps });
            }
        }
        if check.steps > MOST_STEPS {
            top.fault_by(
                "too-many-steps",
                0..0,
                format!("{} steps are too many; at most {MOST_STEPS}", check.steps),
            );
        }
        if drive_day {
            let steps: Vec<&str> = stages
                .iter()
                .flat_map(|stage| &stage.steps)
                .map(|step| step.id.as_str())
                .collect();
            check_day(top, &steps);
        }
        // what is taken out of the library is in the words of the program
        let translated = Language::of(&language).is_some_and(|language| !language.is_reviewed());
        let unreviewed = unreviewed || took && translated;
        top.finish();
        Some(Procedure {
            id: id?,
            title: title?,
            purpose: purpose?,
            sheet: sheet.unwrap_or_else(|| "build sheet".to_string()),
            spoken: Spoken { language, unreviewed },
            drive_day,
            only,
            stages,
        })
    }
}

/// The first line of a procedure file.
const FORMAT: &str = "shimwright procedure 1";
