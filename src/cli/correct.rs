//! The arguments of `correct`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, whole};
use crate::app;
use clap::Args;

/// Correct an answer of a finished build by a new entry that names the old one.
#[derive(Args)]
pub(super) struct Correct {
    /// The build's name in the book
    pub build: String,
    /// The question, by its name in answers files, such as plate-thickness/G3/1
    pub question: String,
    /// The right answer
    pub answer: String,
    /// Why it was wrong
    #[arg(long, value_name = "WORDS")]
    pub reason: String,
    /// Who corrects it
    #[arg(long, value_name = "NAME")]
    pub by: String,
    /// The round, where the question was asked in several; by default the last
    #[arg(long, value_name = "NUMBER", value_parser = whole(1_u32, None))]
    pub round: Option<u32>,
    /// Take the answer although it looks odd
    #[arg(long)]
    pub sure: bool,
    #[command(flatten)]
    pub book: Book,
}

/// Corrects an answer of a finished build.
pub(super) fn correct(arguments: &Correct) -> Result<Exit, Failure> {
    app::correct(&app::Correct {
        build: arguments.build.clone(),
        question: arguments.question.clone(),
        answer: arguments.answer.clone(),
        reason: arguments.reason.clone(),
        by: arguments.by.clone(),
        round: arguments.round,
        sure: arguments.sure,
        book: arguments.book.dir.clone(),
    })?;
    Ok(Exit::Done)
}
