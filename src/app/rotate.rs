//! The rotation of a key: the old one signs the one that takes its place.

use super::book_log::BookLog;
use super::clock::Clock;
use super::failure::Failure;
use super::load::there;
use super::output::{width, write_out};
use super::seals::{moment, read_key, signers, stands, unlock};
use crate::bench::{Front, Interactive, interactive_possible};
use crate::book::{Shelf, write_whole};
use crate::quantity::visible;
use crate::record::rotation::Rotation;
use crate::screen::{filled, hanging};
use crate::seal::{Rotated, Signers, Standing};
use std::path::PathBuf;

/// A rotation, as it is asked for.
pub(crate) struct Rotate {
    /// The private key that signs.
    pub old: PathBuf,
    /// The private key that takes its place; only its public half is looked at.
    pub new: PathBuf,
    /// Whose keys they are, where the allowed signers do not say it.
    pub name: Option<String>,
    /// The file with the old key's passphrase in the first line.
    pub passphrase_file: Option<PathBuf>,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// Signs with the old key that the new one takes its place, and lays the statement and its signature into the book; gives
/// what is said of it.
pub(crate) fn rotate(asked: &Rotate) -> Result<String, Failure> {
    let shelf = Shelf::open(&there(asked.book.as_ref())?)?;
    let (path, signers) = signers(None, &shelf)?;
    let new = read_key(&asked.new)?.public();
    let key = unlock(&asked.old, asked.passphrase_file.as_deref())?;
    let old = key.public();
    let time = Clock::Now.time();
    let mut log = BookLog::of(&shelf);
    let mut before = signers.rotations().iter().map(|one| &one.rotated);
    if let Some(one) = before.find(|one| one.old == old) {
        let is_this = one.new == new;
        // the power may have gone between this rotation and its line in the log, which it has now
        if is_this && !log.rotations(Some(&one.file), true, &time)?.is_empty() {
            let words = format!(
                "{} was there; the line that the log lacked of it is made up for",
                one.file
            );
            return Ok(filled(&visible(&words), width()));
        }
        let which = if is_this { "this one" } else { "another one" };
        return Err(Failure::NotRotated(format!(
            "it signed {which} already, in {}",
            one.file
        )));
    }
    let at = moment(&time).ok_or_else(|| Failure::Time(time.clone()))?;
    let (name, standing) = stands(
        &old,
        Rotation::NAMESPACE,
        asked.name.as_deref(),
        None,
        &signers,
        &time,
    )?;
    let rotation = Rotation {
        name: name.to_string(),
        old: old.clone(),
        new: new.clone(),
        time,
    };
    let (text_name, signature_name) = rotation.files();
    if let Some(words) = against(&signers, &rotation, rotation.clone().rotated(&text_name, at)) {
        return Err(Failure::NotRotated(words));
    }
    let mut told = String::new();
    for (label, value) in [("  old    ", old.fingerprint()), ("  new    ", new.fingerprint())] {
        told.push_str(&hanging(label, &value, width()));
    }
    write_out(
        &format!("To be signed: another key for {}\n{told}", visible(name)),
        true,
    )?;
    if interactive_possible() && !Interactive::new(false)?.confirm("Rotate the key?", false)? {
        return Err(Failure::NotSigned("the rotation".to_string()));
    }
    let (text, signature) = rotation.sign(&key)?;
    write_whole(&shelf.dir().join(&text_name), text.as_bytes())?;
    write_whole(&shelf.dir().join(&signature_name), signature.as_bytes())?;
    log.rotations(Some(&text_name), false, &rotation.time)?;
    let mut said = hanging(
        "",
        &format!("Rotated: a key of {}, in {text_name}", visible(name)),
        width(),
    );
    said.push_str(&told);
    said.push_str(&hanging("  time   ", &rotation.time, width()));
    said.push_str(&filled(
        "From now on the new key signs under this name, and the old one no more; what it has signed holds. Whoever checks by \
         ssh-keygen alone puts this line to the allowed signers:",
        width(),
    ));
    said.push_str(&format!("{}\n", visible(&new.signers_line(name))));
    if standing == Standing::Unknown {
        said.push_str(&filled(
            &format!(
                "No allowed signer has the old key under this name yet, so the rotation counts for nothing. Put this line into {}, \
                 and it does:",
                path.display()
            ),
            width(),
        ));
        said.push_str(&format!("{}\n", visible(&old.signers_line(name))));
    }
    Ok(said)
}

/// What is against a rotation before it is signed.
fn against(signers: &Signers, rotation: &Rotation, rotated: Rotated) -> Option<String> {
    let standing = signers.standing(&rotation.new, &rotation.name, Rotation::NAMESPACE, &rotated.at);
    let all = signers.rotations().iter().map(|one| one.rotated.clone());
    let with_it = signers.clone().rotating(all.chain([rotated]).collect());
    let judged = with_it.rotations().last();
    judged
        .filter(|one| !one.is_unknown)
        .and_then(|one| one.against.clone())
        .or_else(|| standing.against().map(|words| format!("of the new key: {words}")))
}
