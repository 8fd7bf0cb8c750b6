//! How a question reaches a person: interactive, line by line, or an answers file.
//!
//! Three front-ends stand behind one trait, [`Front`]. [`Interactive`] is for a terminal, [`Lines`] for plain text in
//! and out (which is also what a screen reader reads best), [`Answers`] for a file written beforehand. They show what
//! they are given and pass the text on as it was typed; the only words that they read themselves are their own control
//! words ([`CONTROL_WORDS`]) and the beginning of a key where one of some keys is wanted. They know nothing of the job
//! and never decide what comes next.
//!
//! A new way of putting questions is a file with a [`Front`]; a new control word is a row of [`CONTROL_WORDS`], read in `control`
//! and answered by `app`, which puts the questions.

mod answer_line;
mod answers;
mod control;
mod error;
mod hidden;
mod interactive;
mod lines;
mod page;
mod paper;
mod question;
mod rail;
mod rail_rendered;
mod rail_screen;
#[cfg(test)]
mod sample;
mod terminal;

pub use answer_line::answers_line;
pub use answers::Answers;
pub use control::CONTROL_WORDS;
pub use error::{BenchError, Fault};
pub use hidden::Unseen;
pub use interactive::{Interactive, interactive_possible};
pub use lines::{Lines, StoppableInput};
pub use paper::Paper;
pub use question::{
    Colour, colour_wanted, prompt, refusal_screen, said_screen, screen, terminal_height, terminal_width,
    why_screen,
};
pub use terminal::InFront;

use crate::procedure::{Ask, Feedback, Refusal, Reply};
use crate::record::phrase::Spoken;

/// A way to put questions to a person and to bring the answers back.
pub trait Front {
    /// Puts one question and waits for what comes back.
    ///
    /// # Errors
    /// When the terminal, the pipe or the answers file cannot give an answer.
    fn ask(&mut self, ask: &Ask) -> Result<Reply, BenchError>;

    /// Tells what an answer led to.
    ///
    /// # Errors
    /// When it cannot be written.
    fn say(&mut self, said: &[Feedback]) -> Result<(), BenchError>;

    /// Tells why the last answer was not taken. The same question is asked again after it.
    ///
    /// # Errors
    /// When it cannot be written, or when nobody is there who could answer again.
    fn refuse(&mut self, refusal: &Refusal) -> Result<(), BenchError>;

    /// Tells why a question is asked.
    ///
    /// # Errors
    /// When it cannot be written.
    fn why(&mut self, ask: &Ask) -> Result<(), BenchError>;

    /// From now on what stands round a question is in this language; each question brings its own with it.
    fn speak(&mut self, _spoken: &Spoken) {}

    /// Puts a yes-or-no question that belongs to no step, such as whether to go on with an unfinished build.
    ///
    /// # Errors
    /// [`BenchError::Stopped`] when the person stops instead of answering; otherwise as [`Front::ask`].
    fn confirm(&mut self, question: &str, default: bool) -> Result<bool, BenchError>;

    /// Whether what it brings was written when the proposals of a choice stood with the fewest shims first.
    fn is_by_fewest(&self) -> bool {
        false
    }

    /// Ends the conversation.
    ///
    /// # Errors
    /// [`BenchError::LeftOver`] when answers were given that nobody asked for.
    fn finish(&mut self) -> Result<(), BenchError>;
}
