//! The arguments of `key`.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app;
use crate::app::output::write_out;
use crate::app::rotate::rotate;
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// Make a key to sign with, show the line that says whose a key is, or let a key sign the one that takes its place.
#[derive(Args)]
pub(super) struct Key {
    #[command(subcommand)]
    pub what: What,
}

#[derive(Subcommand)]
pub(super) enum What {
    /// Make a private key (Ed25519, in the format of OpenSSH) in a new file
    New(New),
    /// Print the allowed-signers line of a key that is there
    Line(Line),
    /// Sign with an old key that a new one takes its place; it lies in the book, and `check` follows it
    Rotate(Rotate),
}

#[derive(Args)]
pub(super) struct New {
    /// The file to write it to; one that is there is left as it is
    pub file: PathBuf,
    /// Whose key it is, as builds will be signed
    #[arg(long = "as", value_name = "NAME")]
    pub name: String,
    /// Take the passphrase from the first line of this file, or pipe such as /dev/fd/3, instead of asking
    #[arg(long, value_name = "FILE", conflicts_with = "no_passphrase")]
    pub passphrase_file: Option<PathBuf>,
    /// Leave the key without a passphrase: whoever gets the file can sign with it
    #[arg(long)]
    pub no_passphrase: bool,
}

#[derive(Args)]
pub(super) struct Line {
    /// The private key's file
    pub file: PathBuf,
    /// Whose key it is
    #[arg(long = "as", value_name = "NAME")]
    pub name: String,
}

#[derive(Args)]
pub(super) struct Rotate {
    /// The old private key, which signs
    pub old: PathBuf,
    /// The new private key, of which only the public half is used
    pub new: PathBuf,
    /// Whose keys they are, where the allowed signers do not say it
    #[arg(long = "as", value_name = "NAME")]
    pub name: Option<String>,
    /// Take the old key's passphrase from the first line of this file, or pipe such as /dev/fd/3, instead of asking
    #[arg(long, value_name = "FILE")]
    pub passphrase_file: Option<PathBuf>,
    #[command(flatten)]
    pub book: Book,
}

/// Makes a key, or shows its line.
pub(super) fn key(arguments: &Key) -> Result<Exit, Failure> {
    match &arguments.what {
        What::New(new) => app::make_key(&app::NewKey {
            file: new.file.clone(),
            name: new.name.clone(),
            passphrase_file: new.passphrase_file.clone(),
            no_passphrase: new.no_passphrase,
        })?,
        What::Line(line) => app::key_line(&line.file, &line.name)?,
        What::Rotate(asked) => {
            let said = rotate(&app::rotate::Rotate {
                old: asked.old.clone(),
                new: asked.new.clone(),
                name: asked.name.clone(),
                passphrase_file: asked.passphrase_file.clone(),
                book: asked.book.dir.clone(),
            })?;
            write_out(&said, false)?;
        }
    }
    Ok(Exit::Done)
}
