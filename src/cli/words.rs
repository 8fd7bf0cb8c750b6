//! `words`: the glossary.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Speaking;
use crate::app::language_of;
use crate::app::output::{width, write_out};
use crate::record::phrase::Spoken;
use crate::report::to_json;
use crate::screen::filled;
use crate::workshop::{Found, Glossary};
use clap::Args;

#[derive(Args)]
pub(super) struct Words {
    /// A word, or a part of one; without it all words are listed
    #[arg(value_name = "TERM")]
    pub term: Vec<String>,
    #[command(flatten)]
    pub speaking: Speaking,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Says what a word of the trade means, or lists the words.
pub(super) fn words(arguments: &Words) -> Result<Exit, Failure> {
    let language = language_of(arguments.speaking.code().as_deref()).map_err(Failure::from)?;
    let glossary = language.map_or_else(Glossary::stock, |language| Glossary::in_language(&language.code));
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
    let mut lines = match found {
        None => all(glossary),
        Some(_) => glossary.answer(&term),
    };
    if let Some(language) = glossary.language() {
        let spoken = Spoken {
            language: language.code.clone(),
            unreviewed: !language.is_reviewed(),
        };
        lines.extend(spoken.mark().map(|mark| format!("({mark})")));
    }
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
        glossary.fill(
            "how-many-words",
            &[&terms.len().to_string(), "shimwright words TERM"],
        ),
        String::new(),
        terms.join(", "),
        String::new(),
        glossary.fill("often-mixed", &[]),
    ];
    lines.extend(
        glossary
            .mixed()
            .iter()
            .map(|mixed| format!("    {}", mixed.terms.join(" / "))),
    );
    lines
}
