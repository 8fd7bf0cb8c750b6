//! `words`: the glossary.

use super::exit::Exit;
use super::failure::Failure;
use crate::app::output::{width, write_out};
use crate::report::to_json;
use crate::screen::filled;
use crate::workshop::{Found, Glossary};
use clap::Args;

#[derive(Args)]
pub(super) struct Words {
    /// A word, or a part of one; without it all words are listed
    #[arg(value_name = "TERM")]
    pub term: Vec<String>,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Says what a word of the trade means, or lists the words.
pub(super) fn words(arguments: &Words) -> Result<Exit, Failure> {
    let glossary = Glossary::stock();
    let term = arguments.term.join(" ");
    let found = (!term.is_empty()).then(|| glossary.find(&term));
    let exit = match found {
        Some(Found::Near(_)) => Exit::NotFound,
        _ => Exit::Done,
    };
    if arguments.json {
        let words = match found {
            None => glossary.words().iter().collect(),
            Some(Found::One(word)) => vec![word],
            Some(Found::Several(words)) => words,
            Some(Found::Near(near)) => near.into_iter().collect(),
        };
        let text = to_json(&glossary.summary(words))?;
        write_out(&text, false)?;
        return Ok(exit);
    }
    let lines = match found {
        None => all(glossary),
        Some(_) => glossary.answer(&term),
    };
    let text: String = lines.iter().map(|line| set(line)).collect();
    write_out(&text, false)?;
    Ok(exit)
}

/// A line of the glossary in the width of a terminal; what is set in stays set in.
fn set(line: &str) -> String {
    let words = line.trim_start();
    let indent = line.len() - words.len();
    if words.is_empty() {
        return "\n".to_string();
    }
    let pad = " ".repeat(indent);
    filled(words, width() - indent)
        .lines()
        .map(|row| format!("{pad}{row}\n"))
        .collect()
}

/// Every word, and those that are mixed up.
fn all(glossary: &Glossary) -> Vec<String> {
    let terms: Vec<&str> = glossary.words().iter().map(|word| word.term.as_str()).collect();
    let mut lines = vec![
        format!(
            "{} words. shimwright words TERM tells one; a part of it is enough.",
            terms.len()
        ),
        String::new(),
        terms.join(", "),
        String::new(),
        "Mixed up with each other:".to_string(),
    ];
    lines.extend(
        glossary
            .mixed()
            .iter()
            .map(|mixed| format!("    {}", mixed.terms.join(" / "))),
    );
    lines
}
