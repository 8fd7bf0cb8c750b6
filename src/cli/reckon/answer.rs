use crate::cli::failure::Failure;
use crate::report::Report;
use crate::sheet::{filled, table};
use crate::workshop::Safety;

/// How wide an answer may be.
const WIDTH: usize = 80;

/// Stands below every answer that work on a unit may rest on.
fn caution() -> String {
    let words = format!("A computed figure, not a measured one. {}", Safety::First.words());
    filled(&words, WIDTH)
}

/// The answer to one calculation, for people and for machines.
pub(super) struct Answer {
    title: &'static str,
    rows: Vec<Vec<String>>,
    report: Report,
    caution: bool,
}

impl Answer {
    /// An answer that work may rest on, so that the caution belongs below it.
    pub fn for_work(title: &'static str, report: Report) -> Answer {
        Answer {
            caution: true,
            ..Answer::of_numbers(title, report)
        }
    }

    /// An answer about numbers alone.
    pub fn of_numbers(title: &'static str, report: Report) -> Answer {
        Answer {
            title,
            rows: Vec::new(),
            report,
            caution: false,
        }
    }

    /// A line: what it is, and the figure or the words.
    pub fn line(mut self, what: &str, value: impl Into<String>) -> Answer {
        self.rows.push(vec![what.to_string(), value.into()]);
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

    /// For people.
    pub fn table(&self) -> String {
        let mut text = table(&[self.title, "Answer"], &self.rows, WIDTH);
        text.push('\n');
        if self.caution {
            text.push('\n');
            text.push_str(&caution());
        }
        text
    }

    /// For machines.
    pub fn json(&self) -> Result<String, Failure> {
        Ok(self.report.to_json()?)
    }
}
