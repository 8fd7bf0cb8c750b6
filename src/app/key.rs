//! Keys to sign with: a new one, and the line that says whose one is.

use super::failure::Failure;
use super::output::{lay_down_secret, secret_place, told, width, write_out};
use super::seals::{read_key, read_passphrase};
use crate::bench::{BenchError, Unseen};
use crate::quantity::visible;
use crate::record::Statement;
use crate::screen::filled;
use crate::seal::SigningKey;
use std::path::{Path, PathBuf};

/// A new key, as it is asked for.
pub(crate) struct NewKey {
    /// The file to write it to; one that is there is left as it is.
    pub file: PathBuf,
    /// Whose key it is, as builds will be signed.
    pub name: String,
    /// The file with its passphrase in the first line; it is asked for where there is none.
    pub passphrase_file: Option<PathBuf>,
    /// Whether the key is left without a passphrase: whoever gets the file can sign with it.
    pub no_passphrase: bool,
}

/// Tells the allowed-signers line of a key that is there.
pub(crate) fn key_line(file: &Path, name: &str) -> Result<(), Failure> {
    Statement::check_name(name)?;
    let key = read_key(file)?.public();
    write_out(&format!("{}\n", key.signers_line(name)), false)
}

/// Makes a key.
pub(crate) fn make_key(new: &NewKey) -> Result<(), Failure> {
    Statement::check_name(&new.name)?;
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
    write_out(&filled(&said, width()), true)?;
    laid.say(&format!("{}\n", visible(&key.public().signers_line(&new.name))))?;
    Ok(())
}
