//! `schema`: what a file may hold, for editors.

use super::exit::Exit;
use super::failure::Failure;
use crate::app::output::{Over, lay_down, told, width, write_out};
use crate::book::STANDARD;
use crate::procedure::shape_elsewhere;
use crate::report::{Table, to_json};
use crate::screen::table;
use crate::workshop::FileKind;
use clap::Args;
use std::path::{Path, PathBuf};

#[derive(Args)]
pub(super) struct Schema {
    /// The kind of file; without it all kinds are listed
    #[arg(value_parser = FileKind::ALL.map(|(_, word)| word))]
    pub kind: Option<String>,
    /// Write it into this folder as KIND.schema.json; without KIND those of all kinds
    #[arg(long, alias = "out", value_name = "DIR")]
    pub into: Option<PathBuf>,
    /// Write over files that are there and say something else
    #[arg(long, requires = "into")]
    pub replace: bool,
}

/// Gives the schema of a kind of file, or lists the kinds.
pub(super) fn schema(asked: &Schema) -> Result<Exit, Failure> {
    let wanted = |word: &str| asked.kind.as_ref().is_none_or(|kind| kind == word);
    let kinds = FileKind::ALL.iter().filter(|(_, word)| wanted(word));
    // one after the other to the standard output is what stands there without a folder
    let out = asked.into.as_deref().filter(|out| *out != Path::new(STANDARD));
    match (out, &asked.kind) {
        (None, None) if asked.into.is_none() => write_out(&listed(), false)?,
        (None, _) => {
            for (kind, _) in kinds {
                write_out(&text(*kind)?, false)?;
            }
        }
        (Some(folder), _) => {
            for (kind, word) in kinds {
                let file = folder.join(format!("{word}.schema.json"));
                let laid = lay_down(&file, text(*kind)?.as_bytes(), Over::Nothing.or(asked.replace))?;
                laid.say(&format!("{} is written.\n", told(&file)))?;
            }
        }
    }
    Ok(Exit::Done)
}

fn text(kind: FileKind) -> Result<String, Failure> {
    let schema = kind.schema(&kind.shape(shape_elsewhere));
    Ok(to_json(&schema)?)
}

fn listed() -> String {
    let rows: Vec<Vec<String>> = FileKind::ALL
        .iter()
        .map(|(kind, word)| {
            vec![
                (*word).to_string(),
                kind.title().to_string(),
                format!("shimwright {word} 1"),
            ]
        })
        .collect();
    format!(
        "{}\nOne of them: shimwright schema KIND\nAll as files: shimwright schema --into DIR\n\
         Some editors find it by the first line of a file, #:schema ./KIND.schema.json; others are told in their settings\n",
        table(
            &Table::of_words(["kind", "what it is", "its format"], rows),
            width()
        )
    )
}
