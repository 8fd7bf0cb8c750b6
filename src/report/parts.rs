//! A report: sections of parts, each told in one way wherever it is shown.

use super::json::{Figures, ReportError, Summary, to_json};
use super::picture::Picture;
use super::table::Table;

/// One part of a section.
#[derive(Clone, PartialEq, Debug)]
pub enum Part {
    /// A paragraph.
    Words(String),
    /// A paragraph behind a label or a mark; its further lines stand below its own beginning.
    Item(String, String),
    /// What is to be minded before what stands around it is used.
    Warning(String),
    /// A table.
    Table(Table),
    /// A picture.
    Picture(Box<Picture>),
}

/// Parts that belong together, with nothing between them.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Section {
    /// What stands above them; empty where nothing does.
    pub head: String,
    /// The parts.
    pub parts: Vec<Part>,
}

impl Section {
    /// A section without a head.
    pub fn new() -> Section {
        Section::default()
    }

    /// A section under a head.
    pub fn under(head: impl Into<String>) -> Section {
        Section {
            head: head.into(),
            parts: Vec::new(),
        }
    }

    /// Adds a paragraph; empty words add nothing.
    pub fn words(self, words: impl Into<String>) -> Section {
        let words = words.into();
        if words.is_empty() {
            return self;
        }
        self.with(Part::Words(words))
    }

    /// Adds a paragraph behind a label or a mark.
    pub fn item(self, mark: impl Into<String>, words: impl Into<String>) -> Section {
        self.with(Part::Item(mark.into(), words.into()))
    }

    /// Adds a warning.
    pub fn warning(self, words: impl Into<String>) -> Section {
        self.with(Part::Warning(words.into()))
    }

    /// Adds a table; one without rows adds nothing.
    pub fn table(self, table: Table) -> Section {
        if table.rows.is_empty() {
            return self;
        }
        self.with(Part::Table(table))
    }

    /// Adds a picture.
    pub fn picture(self, picture: Picture) -> Section {
        self.with(Part::Picture(Box::new(picture)))
    }

    fn with(mut self, part: Part) -> Section {
        self.parts.push(part);
        self
    }
}

/// A result as it is told: sections of words, tables and pictures for people, and one object for machines.
///
/// It is made once, where the result is made. A terminal shows it by `screen`, paper takes its sections,
/// and [`Report::to_json`] is what `--json` prints.
///
/// ```
/// use shimwright::report::{Cell, Column, Figures, Report, Section, Table};
/// let table = Table::new([Column::words("plate"), Column::figures("mean").of_unit("mm")])
///     .row([Cell::from("A1"), Cell::number(1.98, 3)]);
/// let report = Report::of(Figures::new().number("mean_um", 1980.0))
///     .with(Section::new().table(table))
///     .with(Section::new().words("One plate was measured."));
/// assert_eq!(report.to_json()?, "{\n  \"mean_um\": 1980.0\n}\n");
/// assert_eq!(report.sections.len(), 2);
/// # Ok::<(), shimwright::report::ReportError>(())
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct Report {
    /// For people.
    pub sections: Vec<Section>,
    object: Object,
}

/// What machines are told.
#[derive(Clone, PartialEq, Debug)]
enum Object {
    Summary(Summary),
    Figures(Figures),
}

impl Report {
    /// A report that tells machines this, and people nothing yet.
    pub fn of(object: impl Into<Report>) -> Report {
        object.into()
    }

    /// Adds a section; one without parts adds nothing.
    pub fn with(mut self, section: Section) -> Report {
        if !section.parts.is_empty() {
            self.sections.push(section);
        }
        self
    }

    /// Adds sections, as [`Report::with`].
    pub fn with_all(self, sections: impl IntoIterator<Item = Section>) -> Report {
        sections.into_iter().fold(self, Report::with)
    }

    /// The object for machines as JSON text with a newline at its end.
    ///
    /// # Errors
    ///
    /// A number of [`Figures`] that is not finite, which JSON has not.
    pub fn to_json(&self) -> Result<String, ReportError> {
        match &self.object {
            Object::Summary(summary) => to_json(summary),
            Object::Figures(figures) => figures.to_json(),
        }
    }
}

impl From<Summary> for Report {
    fn from(summary: Summary) -> Report {
        Report {
            sections: Vec::new(),
            object: Object::Summary(summary),
        }
    }
}

impl From<Figures> for Report {
    fn from(figures: Figures) -> Report {
        Report {
            sections: Vec::new(),
            object: Object::Figures(figures),
        }
    }
}
