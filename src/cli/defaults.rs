//! `defaults`: what holds where nothing else is said, and who says so.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app;
use crate::app::defaults::{defaults as all_defaults, set_default};
use crate::app::output::{text_of, told, write_out};
use crate::quantity::visible;
use crate::workshop::defaults::{DefaultKey, Holds, SaidBy};
use clap::builder::PossibleValuesParser;
use clap::{Args, Subcommand};

/// Show or set what holds where no option says otherwise: units, paper, key, who is who, language, screen
#[derive(Args)]
pub(super) struct DefaultsArguments {
    #[command(subcommand)]
    pub change: Option<Change>,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

#[derive(Subcommand)]
pub(super) enum Change {
    /// Set a default in the book, for all who work with it
    Set {
        /// What is set
        #[arg(value_parser = PossibleValuesParser::new(DefaultKey::ALL.map(|(_, word)| word)))]
        key: String,
        /// What holds from now on
        value: String,
        /// Only for whoever is at this computer, in their own folder; it comes before what the book says
        #[arg(long)]
        for_me: bool,
    },
    /// Take a default out of the book
    Unset {
        /// What is taken out
        #[arg(value_parser = PossibleValuesParser::new(DefaultKey::ALL.map(|(_, word)| word)))]
        key: String,
        /// Out of the own folder of whoever is at this computer
        #[arg(long)]
        for_me: bool,
    },
}

/// Shows what holds, or changes it.
pub(super) fn defaults(asked: &DefaultsArguments) -> Result<Exit, Failure> {
    let book = asked.book.dir.as_ref();
    let (word, value, for_me) = match &asked.change {
        Some(Change::Set { key, value, for_me }) => (key, Some(value.as_str()), *for_me),
        Some(Change::Unset { key, for_me }) => (key, None, *for_me),
        None => {
            let holds = all_defaults(book)?;
            write_out(&text_of(&Holds::report(&holds), asked.json)?, false)?;
            return Ok(Exit::Done);
        }
    };
    let Some(key) = DefaultKey::named(word) else {
        return Err(app::Failure::Default(format!("there is no default called {word}")).into());
    };
    let path = set_default(key, value, for_me, book)?;
    let file = told(&path);
    let mut said = match value {
        Some(value) => format!("{word} = {value}, in {file}\n"),
        None => format!("{file} says nothing of {word} any more.\n"),
    };
    // what was written is not always what holds
    let holds = all_defaults(book)?;
    if let Some(other) = holds
        .iter()
        .find(|one| one.key == key && one.by != SaidBy::File(path.display().to_string()))
    {
        let value = other.value.as_deref().unwrap_or("nothing");
        said.push_str(&format!(
            "{word} is {value} here, by {}.\n",
            visible(&other.by.to_string())
        ));
    }
    write_out(&said, false)?;
    Ok(Exit::Done)
}
