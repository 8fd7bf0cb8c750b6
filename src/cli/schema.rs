//! `schema`: what a file may hold, for editors, and what a command says with `--json`, for programs.

use super::exit::Exit;
use super::failure::Failure;
use crate::app::output::{Over, lay_down, told, width, write_out};
use crate::book::STANDARD;
use crate::document::nearest;
use crate::procedure::shape_elsewhere;
use crate::report::{Shapes, Table, to_json};
use crate::screen::table;
use crate::workshop::FileKind;
use clap::Args;
use std::path::{Path, PathBuf};

#[derive(Args)]
pub(super) struct Schema {
    /// The kind of file; without it all kinds are listed
    #[arg(value_parser = FileKind::ALL.map(|(_, word)| word))]
    pub kind: Option<String>,
    /// Instead of a file: what a command says with --json, by the name behind the colon of its format
    #[arg(long, value_name = "NAME", conflicts_with = "kind", value_parser = known)]
    pub output: Option<String>,
    /// Write it into this folder as KIND.schema.json, or NAME.output.schema.json; without either those of all kinds
    #[arg(long, alias = "out", value_name = "DIR")]
    pub into: Option<PathBuf>,
    /// Write over files that are there and say something else
    #[arg(long, requires = "into")]
    pub replace: bool,
}

/// The shapes of what commands say to machines.
const OUTPUTS: &str = include_str!("outputs.txt");

/// The names of the outputs.
pub(super) fn outputs() -> impl Iterator<Item = &'static str> {
    let names: Vec<&str> = Shapes::of(OUTPUTS).outputs().map(|(name, _)| name).collect();
    names.into_iter()
}

/// A name of an output.
fn known(text: &str) -> Result<String, String> {
    let names: Vec<&str> = outputs().collect();
    if names.contains(&text) {
        return Ok(text.to_string());
    }
    let near = nearest(text, &names).map_or(String::new(), |near| format!("; did you mean \"{near}\"?"));
    Err(format!(
        "no output has this name: `shimwright schema` lists them{near}"
    ))
}

/// Gives the schema of a kind of file or of an output, or lists both.
pub(super) fn schema(asked: &Schema) -> Result<Exit, Failure> {
    if let Some(name) = &asked.output {
        return output(name, asked);
    }
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

/// Gives the schema of an output.
fn output(name: &str, asked: &Schema) -> Result<Exit, Failure> {
    let schema = Shapes::of(OUTPUTS).schema(name);
    let text = schema.as_ref().map(to_json).transpose()?.unwrap_or_default();
    match asked.into.as_deref().filter(|out| *out != Path::new(STANDARD)) {
        None => write_out(&text, false)?,
        Some(folder) => {
            let file = folder.join(format!("{}.output.schema.json", name.replace(' ', "-")));
            let laid = lay_down(&file, text.as_bytes(), Over::Nothing.or(asked.replace))?;
            laid.say(&format!("{} is written.\n", told(&file)))?;
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
    let outputs: Vec<[&str; 2]> = Shapes::of(OUTPUTS).outputs().map(<[&str; 2]>::from).collect();
    format!(
        "{}\nOne of them: shimwright schema KIND\nAll as files: shimwright schema --out DIR\n\
         Some editors find it by the first line of a file, #:schema ./KIND.schema.json; others are told in their settings\n\n\
         {}\nOne of them: shimwright schema --output NAME\n",
        table(
            &Table::of_words(["kind", "what it is", "its format"], rows),
            width()
        ),
        table(
            &Table::of_words(["said with --json", "what it is"], outputs),
            width()
        )
    )
}
