use super::exit::Exit;
use crate::bench::{BenchError, visible};
use crate::book::BookError;
use crate::mechanics::MechanicsError;
use crate::metrology::MetrologyError;
use crate::quantity::QuantityError;
use crate::record::{EntryError, Faults};
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use std::io;

/// Why the program did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub(super) enum Failure {
    #[error(transparent)]
    Book(#[from] BookError),
    #[error(transparent)]
    Bench(#[from] BenchError),
    #[error("the file has faults")]
    Faults(#[from] Faults),
    #[error(transparent)]
    File(BookError),
    #[error("{0}")]
    Entry(#[from] EntryError),
    #[error("{0} is not as it was when the build was begun; nothing was changed")]
    Snapshot(String),
    #[error("there is no build \"{0}\" in the book")]
    NoBuild(String),
    #[error("there is no stock procedure \"{name}\", and no file of that name; stock procedures: {known}")]
    NoProcedure { name: String, known: String },
    #[error("there is no stock use \"{name}\", and no file of that name; stock uses: {known}")]
    NoUse { name: String, known: String },
    #[error("--complaint: {0}")]
    Complaint(String),
    #[error("{0}")]
    Unit(String),
    #[error("no choice can be made: {0}")]
    Choice(String),
    #[error("\"{0}\" is no time; write it as 2026-05-01T10:00:00Z")]
    Time(String),
    #[error("no folder for the book is known on this machine; give one with --book")]
    NoHome,
    #[error("the sheet could not be made: {0}")]
    Sheet(#[from] crate::sheet::SheetError),
    #[error(transparent)]
    Out(#[from] io::Error),
    #[error("{name}: {why}")]
    Argument { name: &'static str, why: QuantityError },
    #[error("{name}: \"{text}\" is no whole number")]
    NotWhole { name: &'static str, text: String },
    #[error("{name}: {why}")]
    Bolt { name: &'static str, why: MechanicsError },
    #[error(transparent)]
    Mechanics(#[from] MechanicsError),
    #[error(transparent)]
    Metrology(#[from] MetrologyError),
    #[error("{file}: {why}")]
    Data { file: String, why: MetrologyError },
    #[error("the report could not be written as JSON: {0}")]
    Json(String),
}

impl Failure {
    /// Whether somebody closed the pipe that we wrote into.
    pub fn is_closed_pipe(&self) -> bool {
        matches!(self, Failure::Out(error) | Failure::Bench(BenchError::Io(error)) if error.kind() == io::ErrorKind::BrokenPipe)
    }

    /// The exit code that goes with it.
    pub fn exit(&self) -> Exit {
        match self {
            // they have seen enough
            closed if closed.is_closed_pipe() => Exit::Done,
            Failure::Faults(_)
            | Failure::File(_)
            | Failure::NoProcedure { .. }
            | Failure::NoUse { .. }
            | Failure::Unit(_)
            | Failure::Choice(_) => Exit::BadFile,
            Failure::Book(BookError::Held { .. }) => Exit::Held,
            Failure::Book(BookError::NotAnId { .. }) => Exit::NotFound,
            Failure::Book(_) | Failure::Entry(_) | Failure::Snapshot(_) => Exit::BadBook,
            Failure::Bench(BenchError::Stopped) => Exit::Paused,
            Failure::Bench(BenchError::Io(_) | BenchError::NoTerminal) => Exit::Failed,
            Failure::Bench(_) => Exit::BadAnswers,
            Failure::NoBuild(_) => Exit::NotFound,
            Failure::Argument {
                why: QuantityError::TooLarge { .. } | QuantityError::RampAngleOutOfRange { .. },
                ..
            } => Exit::OutOfRange,
            Failure::Time(_)
            | Failure::Complaint(_)
            | Failure::Argument { .. }
            | Failure::NotWhole { .. }
            | Failure::Bolt { .. } => Exit::Usage,
            Failure::Mechanics(_) | Failure::Metrology(_) | Failure::Data { .. } => Exit::OutOfRange,
            Failure::NoHome | Failure::Sheet(_) | Failure::Out(_) | Failure::Json(_) => Exit::Failed,
        }
    }

    /// What a person is told, with what to do next.
    pub fn report(&self) -> String {
        match self {
            Failure::Faults(faults) => render(faults),
            other => {
                let hint = other.hint().map(|hint| format!("\n  {hint}")).unwrap_or_default();
                format!("error: {}{hint}", visible_lines(&other.to_string()))
            }
        }
    }

    fn hint(&self) -> Option<&'static str> {
        match self {
            Failure::NoBuild(_) | Failure::Book(BookError::NotAnId { .. }) => {
                Some("`shimwright builds` lists what is there")
            }
            Failure::Book(BookError::NotWritable { .. }) => {
                Some("choose another folder with --book DIR, or set SHIMWRIGHT_BOOK")
            }
            Failure::Book(BookError::Held { .. }) => Some("finish or pause it there first"),
            Failure::Book(BookError::Altered { .. }) | Failure::Snapshot(_) => Some(
                "nothing was written; `shimwright sheet` still prints what can be trusted, as unfinished",
            ),
            Failure::Bench(
                BenchError::OutOfStep { .. }
                | BenchError::TooShort { .. }
                | BenchError::Refused { .. }
                | BenchError::LeftOver { .. },
            ) => Some("what was answered before is kept in the book"),
            _ => None,
        }
    }
}

fn visible_lines(text: &str) -> String {
    text.lines()
        .map(|line| visible(line).into_owned())
        .collect::<Vec<_>>()
        .join("\n")
}

/// The most faults that are shown of one file.
const MOST_SHOWN: usize = 20;
/// The most characters of a line that are shown.
const MOST_OF_A_LINE: usize = 160;

fn render(faults: &Faults) -> String {
    let mut pieces = Vec::new();
    let file = visible(&faults.file).into_owned();
    for fault in faults.faults.iter().take(MOST_SHOWN) {
        let (line, column) = faults.place(fault);
        let text = faults.source.lines().nth(line - 1).unwrap_or("");
        let message = visible_lines(&fault.message);
        // a line that would drive the terminal, or fill it, is shown made harmless and without a caret
        if text.chars().count() > MOST_OF_A_LINE || visible(text) != text {
            let short: String = text.chars().take(MOST_OF_A_LINE).collect();
            pieces.push(format!(
                "error: {message}\n --> {file}:{line}:{column}\n    {}",
                visible(&short)
            ));
            continue;
        }
        let before = &faults.source[..faults.source.floor_char_boundary(fault.span.start)];
        let start = before.rfind('\n').map_or(0, |n| n + 1);
        // whole characters: the drawing of the snippet falls over half a one
        let from = text.floor_char_boundary(fault.span.start.saturating_sub(start));
        let to = text
            .ceil_char_boundary(fault.span.end.saturating_sub(start))
            .max(from);
        let report = &[Level::ERROR.primary_title(&message).element(
            Snippet::source(text)
                .path(&file)
                .line_start(line)
                .annotation(AnnotationKind::Primary.span(from..to)),
        )];
        pieces.push(Renderer::plain().render(report).to_string());
    }
    if faults.faults.len() > MOST_SHOWN {
        pieces.push(format!(
            "and {} more faults in {file}",
            faults.faults.len() - MOST_SHOWN
        ));
    }
    pieces.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Fault;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_fault_at_any_place_of_any_text_is_shown(
            source in "[ab=é漢\\[\"\t\u{1b}\r\n]{0,40}|\\PC{0,60}", start in 0_usize..80, length in 0_usize..80, message in "\\PC{0,20}",
        ) {
            let faults = Faults {
                file: "unit.toml".into(),
                source,
                faults: vec![Fault { rule: "sense", span: start..start + length, message }],
            };
            let shown = Failure::from(faults).report();
            prop_assert!(shown.starts_with("error"), "{}", shown);
            prop_assert!(!shown.contains('\u{1b}'), "{}", shown);
        }
    }
}
