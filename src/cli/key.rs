use super::exit::Exit;
use super::failure::Failure;
use super::output::{lay_down_secret, secret_place, told, write_out};
use super::seals::{read_key, read_passphrase};
use crate::bench::{BenchError, Unseen};
use crate::quantity::visible;
use crate::record::check_name;
use crate::seal::SigningKey;
use crate::sheet::filled;
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
        What::New(new) => make(new),
        What::Line(line) => {
            check_name(&line.name)?;
            let key = read_key(&line.file)?.public();
            write_out(&format!("{}\n", key.signers_line(&line.name)), false)?;
            Ok(Exit::Done)
        }
    }
}

fn make(new: &New) -> Result<Exit, Failure> {
    check_name(&new.name)?;
    // before anything is typed: a file that is there stays as it is
    secret_place(&new.file)?;
    let passphrase = match &new.passphrase_file {
        Some(file) => Some(read_passphrase(file)?),
        None if new.no_passphrase => None,
        None => {
            let question = "Passphrase for the new key (nothing for none):";
            let typed = Unseen::begin().and_then(|mut unseen| {
                let typed = unseen.ask_twice(question)?;
                unseen.end().map(|()| typed)
            });
            Some(typed.map_err(|error| match error {
                BenchError::NoTerminal => Failure::NoPassphrase(new.file.clone()),
                other => other.into(),
            })?)
        }
    };
    let passphrase = passphrase.filter(|passphrase| !passphrase.is_empty());
    let unusable = |why| Failure::Key {
        path: new.file.clone(),
        why,
    };
    let key = SigningKey::random().map_err(unusable)?;
    let file = key.to_file(&new.name, passphrase.as_ref()).map_err(unusable)?;
    let laid = lay_down_secret(&new.file, &file)?;
    let shut = if passphrase.is_some() {
        "shut by its passphrase"
    } else {
        "WITHOUT a passphrase: whoever gets the file can sign with it"
    };
    let said = format!(
        "The private key {} is made, {shut}. Keep it to yourself. Put the line below into the file allowed_signers \
         in the book, and give it to everyone who is to check what you sign:",
        told(&new.file)
    );
    write_out(&filled(&said, 80), true)?;
    laid.say(&format!("{}\n", visible(&key.public().signers_line(&new.name))))?;
    Ok(Exit::Done)
}
