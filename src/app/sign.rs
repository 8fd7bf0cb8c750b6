//! The signing of a finished build, and what is said of it.

use super::arguments::Signing;
use super::book_log::BookLog;
use super::clock::Clock;
use super::days::is_day;
use super::failure::Failure;
use super::load::{known_build, open_build, there, to_write_any};
use super::output::{width, write_out};
use super::seals::{Sealed, moment, rules, seal, signers, unlock};
use super::stored::stored;
use crate::bench::{Front, Interactive, interactive_possible};
use crate::book::{BuildId, Journal, Shelf};
use crate::quantity::visible;
use crate::record::Stored;
use crate::screen::{filled, hanging};
use crate::seal::Signers;
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
    let (signers_path, signers) = signers(arguments.signers.as_deref(), &shelf)?;
    let id = known_build(&shelf, &arguments.build)?;
    arguments.signing.may_sign_now(&signers, clock)?;
    let mut journal = to_write_any(&shelf, &id)?;
    for repair in journal.repairs() {
        write_out(&format!("{repair}\n"), true)?;
    }
    let known = stored(&shelf, &id)?;
    write_out(&to_be_signed(&shelf, &id, &known, &signers), true)?;
    if interactive_possible() && !Interactive::new(false)?.confirm(&format!("Sign {id}?"), false)? {
        return Err(Failure::NotSigned(id.to_string()));
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
    let stored = stored(&shelf, &id)?;
    let examined = stored.examine(&signers, &moment);
    let rules = rules(shelf.dir())?;
    for finding in rules.unread().chain(rules.findings(&stored, &examined)) {
        text.push_str(&filled(&finding.words, width()));
    }
    if !is_day(&shelf, &id) {
        text.push_str(&format!(
            "The sheet with the signer on it: shimwright sheet {id}\n"
        ));
    }
    Ok(text)
}

/// What is to be signed, for whoever is to sign it: the record, what it comes to, and what is open about it.
fn to_be_signed(shelf: &Shelf, id: &BuildId, known: &Stored, signers: &Signers) -> String {
    let (lines, digest) = known.record();
    let mut text = format!("To be signed: {id}\n");
    let mut row = |label: &str, value: &str| text.push_str(&hanging(label, &visible(value), width()));
    // a drive day has no figures, and what can not be summed up is told when it is signed
    if let Ok(opened) = open_build(shelf, id) {
        let build = opened.session.build(id.as_str(), &digest.to_string());
        row("  unit   ", &build.unit_name);
        if let Some(finished) = &build.finished {
            row("  done   ", finished);
        }
        let figures: Vec<String> = build
            .on_paper
            .figures
            .iter()
            .map(|(key, value)| format!("{key} {value}"))
            .collect();
        row("  figures", &format!(" {}", figures.join(", ")));
        row(
            "  remarks",
            &format!(" {}, open points {}", build.remarks.len(), build.open.len()),
        );
        for open in &build.open {
            row("  open   ", open);
        }
    }
    row(
        "  record ",
        &format!(
            "lines 1 to {lines} of the journal, and {} files beside it",
            known.files.len()
        ),
    );
    row("  digest ", &digest.groups());
    for seal in known.examine(signers, &moment).seals {
        row(
            "  signed ",
            &format!("seal {}, {}, time claimed {}", seal.number, seal.name, seal.time),
        );
    }
    text
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
