//! The signing of a finished build, and what is said of it.

use super::arguments::Signing;
use super::book_log::BookLog;
use super::clock::Clock;
use super::days::is_day;
use super::failure::Failure;
use super::load::{known_build, there, to_write_any};
use super::output::{width, write_out};
use super::seals::{Sealed, seal, signers, unlock};
use crate::book::{Journal, Shelf};
use crate::quantity::visible;
use crate::screen::{filled, hanging};
use std::path::PathBuf;

/// A signature, as it is asked for.
pub(crate) struct Sign {
    /// The build's name in the book.
    pub build: String,
    /// The key, and the name to sign with.
    pub signing: Signing,
    /// Who is who, instead of the file in the book.
    pub signers: Option<PathBuf>,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// Signs a finished build at a time, which is the clock's wherever a person signs, and gives what is said of it.
pub(crate) fn sign(arguments: &Sign, clock: &Clock) -> Result<String, Failure> {
    let Some(path) = arguments.signing.looked_at()? else {
        return Err(Failure::NoKey);
    };
    let shelf = Shelf::open(&there(arguments.book.as_ref())?)?;
    let (signers_path, signers) = signers(arguments.signers.as_deref(), shelf.dir())?;
    let id = known_build(&shelf, &arguments.build)?;
    let mut journal = to_write_any(&shelf, &id)?;
    for repair in journal.repairs() {
        write_out(&format!("{repair}\n"), true)?;
    }
    let key = unlock(path, arguments.signing.passphrase_file.as_deref())?;
    let name = arguments.signing.name.as_deref();
    let sealed = seal(
        &mut BookLog::of(&shelf),
        &mut journal,
        &key,
        name,
        None,
        &signers,
        clock,
    )?;
    let mut text = words(&sealed, &journal, &signers_path);
    if !is_day(&shelf, &id) {
        text.push_str(&format!(
            "The sheet with the signer on it: shimwright sheet {id}\n"
        ));
    }
    Ok(text)
}

/// What is said of a seal that was just made.
pub(crate) fn words(sealed: &Sealed, journal: &Journal, signers: &std::path::Path) -> String {
    let id = journal.id();
    let number = sealed.number;
    let mut text = hanging(
        "",
        &format!(
            "Signed: {id}, seal {number}, by {} at {}",
            sealed.name, sealed.time
        ),
        width(),
    );
    for (label, value) in [
        ("  key    ", sealed.key.clone()),
        ("  record ", format!("lines 1 to {} of the journal", sealed.lines)),
        ("  digest ", sealed.digest.clone()),
    ] {
        text.push_str(&hanging(label, &value, width()));
    }
    if let Some(line) = &sealed.unknown {
        text.push_str(&filled(
            &format!(
                "No allowed signer has this key under this name yet. Put this line into {}, and it is known whose it is:",
                signers.display()
            ),
            width(),
        ));
        text.push_str(&format!("{}\n", visible(line)));
    }
    text
}
