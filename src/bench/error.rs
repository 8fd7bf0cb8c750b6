//! Why a front-end could not go on.

use crate::quantity::visible;
use crate::record::Slot;

/// Why a front-end could not bring an answer back.
#[derive(Debug, thiserror::Error)]
pub enum BenchError {
    /// The terminal or the pipe failed.
    #[error("the terminal or pipe failed: {0}")]
    Io(#[from] std::io::Error),
    /// Questions on a screen were wanted where there is no screen.
    #[error("this is not a terminal that questions can be put to")]
    NoTerminal,
    /// The person stopped instead of answering a question that belongs to no step.
    #[error("stopped before the question was answered")]
    Stopped,
    /// Lines of an answers file that cannot be read; all of them at once.
    #[error("{name} cannot be read as answers:{}", listed(.faults))]
    Malformed {
        /// The file.
        name: String,
        /// What is wrong, in the order of the lines.
        faults: Vec<Fault>,
    },
    /// An answer for another question than the one that is asked.
    #[error("{name}, line {line}: this is an answer for \"{}\", but \"{}\" is asked", visible(.found), shown(.wanted))]
    OutOfStep {
        /// The file.
        name: String,
        /// The line, from 1.
        line: usize,
        /// What the answer is for.
        found: String,
        /// What is asked.
        wanted: Box<Slot>,
    },
    /// No answer is left for a question.
    #[error("{name} ends after line {after}, but \"{}\" is asked", shown(.wanted))]
    TooShort {
        /// The file.
        name: String,
        /// What is asked.
        wanted: Box<Slot>,
        /// The last line with an answer; 0 when there is none.
        after: usize,
    },
    /// Answers that nobody asked for.
    #[error("{name}, line {line}: {count} answer(s) from here on were not asked for")]
    LeftOver {
        /// The file.
        name: String,
        /// The line of the first of them, from 1.
        line: usize,
        /// How many there are.
        count: usize,
    },
    /// An answer that was not taken, where nobody can answer again.
    #[error("{name}, line {line}: the answer for \"{}\" is not taken: {}", shown(.slot), visible(.words))]
    Refused {
        /// The file.
        name: String,
        /// The line, from 1.
        line: usize,
        /// What was asked.
        slot: Box<Slot>,
        /// Why it was not taken.
        words: String,
        /// Whether the same line a second time would be taken.
        sure: bool,
    },
}

/// One line of an answers file that cannot be read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Fault {
    /// The line, from 1.
    pub line: usize,
    /// The line as it stands.
    pub text: String,
    /// What is wrong, and what is wanted.
    pub words: String,
}

fn shown(slot: &Slot) -> String {
    let round = match slot.round {
        1 => String::new(),
        round => format!(", round {round}"),
    };
    visible(&format!("{slot}{round}")).into_owned()
}

/// The most lines at fault that are shown, and the most characters of each.
const MOST_SHOWN: usize = 20;
const MOST_OF_A_LINE: usize = 160;

fn listed(faults: &[Fault]) -> String {
    let mut text: String = faults
        .iter()
        .take(MOST_SHOWN)
        .map(|fault| {
            let short: String = fault.text.chars().take(MOST_OF_A_LINE).collect();
            format!(
                "\n  line {}: {}\n    {}",
                fault.line,
                visible(&fault.words),
                visible(&short)
            )
        })
        .collect();
    if faults.len() > MOST_SHOWN {
        text.push_str(&format!("\n  and {} more", faults.len() - MOST_SHOWN));
    }
    text
}
