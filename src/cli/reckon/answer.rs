//! The answer to one calculation, as a table and for machines.

use crate::report::{Figures, Report, Section, Table};
use crate::workshop::Safety;

/// Stands below every answer that work on a unit may rest on.
fn caution() -> String {
    format!("A computed figure, not a measured one. {}", Safety::First.words())
}

/// The answer to one calculation, for people and for machines.
pub(super) struct Answer {
    title: &'static str,
    rows: Vec<Vec<String>>,
    tables: Vec<Table>,
    figures: Figures,
    caution: bool,
}

impl Answer {
    /// An answer that work may rest on, so that the caution belongs below it.
    pub fn for_work(title: &'static str, figures: Figures) -> Answer {
        Answer {
            caution: true,
            ..Answer::of_numbers(title, figures)
        }
    }

    /// An answer about numbers alone.
    pub fn of_numbers(title: &'static str, figures: Figures) -> Answer {
        Answer {
            title,
            rows: Vec::new(),
            tables: Vec::new(),
            figures,
            caution: false,
        }
    }

    /// A line: what it is, and the figure or the words.
    pub fn line(mut self, what: &str, value: impl Into<String>) -> Answer {
        self.rows.push(vec![what.to_string(), value.into()]);
        self
    }

    /// A table below the lines.
    pub fn table(mut self, table: Table) -> Answer {
        self.tables.push(table);
        self
    }

    /// The formula, and the same with the numbers put in.
    pub fn formula(self, symbols: impl Into<String>, numbers: impl Into<String>) -> Answer {
        self.line("formula", symbols).line("put in", numbers)
    }

    /// The limits of the formula or of its figures.
    pub fn limits(self, words: impl Into<String>) -> Answer {
        self.line("limits", words)
    }

    /// What a mechanic must be told, a line each.
    pub fn mind(self, traps: impl IntoIterator<Item = impl Into<String>>) -> Answer {
        traps
            .into_iter()
            .fold(self, |answer, trap| answer.line("mind", trap))
    }

    /// The whole of it, told to machines under this name.
    pub fn report(self, what: &str) -> Report {
        let rows = Table::of_words([self.title, "Answer"], self.rows);
        let tables = self.tables.into_iter().map(|table| Section::new().table(table));
        let report = Report::of(self.figures.told(what))
            .with(Section::new().table(rows))
            .with_all(tables);
        match self.caution {
            true => report.with(Section::new().words(caution())),
            false => report,
        }
    }
}
