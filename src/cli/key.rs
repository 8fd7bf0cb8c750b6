//! The arguments of `key`.

use super::exit::Exit;
use super::failure::Failure;
use crate::app;
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// Make a key to sign with, or show the line that says whose a key is.
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
    }
    Ok(Exit::Done)
}
