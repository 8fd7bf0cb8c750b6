//! What is left to do when the last question has been answered: the drawer is counted down and the sheet laid into the
//! build's folder. A note in that folder is written before the entry that finishes the build and taken away when all is
//! done, so that a program that is ended in between is made up for, and no drawer is counted down twice.

use super::failure::Failure;
use super::load::{Sources, Text, read_text, to_write};
use super::reports::write_out;
use super::seals::summed_up;
use crate::book::{BookError, BuildId, Journal, Shelf, sweep_beside, write_whole};
use crate::procedure::Session;
use crate::quantity::visible;
use crate::record::{Entry, LessUsed, take_from_drawer};
use crate::seal::Digest;
use crate::sheet::{Paper, pdf};
use std::path::{Path, PathBuf};

/// The name of the note.
pub(super) const NOTE: &str = "to-close";

/// What the note says.
#[derive(PartialEq, Eq, Debug, Default)]
struct ToClose {
    /// The drawer's file, where there is one.
    drawer: Option<PathBuf>,
    /// The digests of the drawer's file before and after, once it is known what is written to it.
    digests: Option<[String; 2]>,
}

impl ToClose {
    fn text(&self) -> String {
        let mut text = String::new();
        if let Some([before, after]) = &self.digests {
            text.push_str(&format!("before {before}\nafter {after}\n"));
        }
        if let Some(path) = &self.drawer {
            text.push_str(&format!("drawer {}\n", path.display()));
        }
        text
    }

    /// The path comes last, so that it may hold any character, line ends too.
    fn read(text: &str) -> ToClose {
        let (digests, rest) = match text.strip_prefix("before ").and_then(|text| {
            let (before, text) = text.split_once("\nafter ")?;
            let (after, rest) = text.split_once('\n')?;
            Some(([before.to_string(), after.to_string()], rest))
        }) {
            Some((digests, rest)) => (Some(digests), rest),
            None => (None, text),
        };
        let drawer = rest
            .strip_prefix("drawer ")
            .and_then(|path| path.strip_suffix('\n'))
            .map(PathBuf::from);
        ToClose { drawer, digests }
    }
}

/// Notes down, before the entry that finishes a build, what is still to be done after it.
pub(super) fn note(journal: &Journal, drawer: &Text) -> Result<(), Failure> {
    let drawer = drawer
        .path
        .as_deref()
        .map(|path| std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf()));
    let note = ToClose {
        drawer,
        digests: None,
    };
    Ok(journal.put(NOTE, note.text().as_bytes())?)
}

/// Does what is left to do for a finished build, and says what was taken out of the drawer's file.
pub(super) fn finish(shelf: &Shelf, journal: &Journal, session: &Session) -> Result<String, Failure> {
    let note = match shelf.file(journal.id(), NOTE) {
        Ok(bytes) => ToClose::read(&String::from_utf8_lossy(&bytes)),
        Err(BookError::Missing { .. }) => return Ok(String::new()),
        Err(fault) => return Err(fault.into()),
    };
    let words = match &note.drawer {
        // one after the other: of two that read the same drawer at once, one count would be lost
        Some(path) => shelf.alone(|| empty_drawer(path, &note, journal, session))??,
        None => String::new(),
    };
    let build = summed_up(shelf, journal.id(), session)?;
    journal.put("sheet.pdf", &pdf(&build, Paper::A4)?)?;
    journal.take_out(NOTE)?;
    Ok(words)
}

/// Takes what a finished build used out of the drawer's file, and says so.
fn empty_drawer(
    path: &Path,
    note: &ToClose,
    journal: &Journal,
    session: &Session,
) -> Result<String, Failure> {
    let (shims, spares) = session.used_from_drawer();
    if shims.is_empty() && spares.is_empty() {
        return Ok(String::new());
    }
    let names: Vec<String> = shims
        .iter()
        .map(ToString::to_string)
        .chain(spares.iter().cloned())
        .collect();
    let names = names.join(", ");
    // what a program that was killed here left beside the drawer
    sweep_beside(path);
    // the file may have changed while the work went on: what is in it now counts
    let now = read_text(path)?;
    let digest = |text: &str| Digest::of(text.as_bytes()).to_string();
    if let Some([before, after]) = &note.digests {
        let is = digest(&now.text);
        if is == *after {
            return Ok(format!("Taken out of {}: {names}\n", now.name));
        }
        if is != *before {
            return Ok(format!(
                "NOT KNOWN whether these were taken out of {} before the program was ended, for the file was changed \
                 since; look at it: {names}\n",
                now.name
            ));
        }
    }
    let LessUsed { text, missing } = take_from_drawer(&now.name, &now.text, &shims, &spares)?;
    let known = ToClose {
        drawer: note.drawer.clone(),
        digests: Some([digest(&now.text), digest(&text)]),
    };
    journal.put(NOTE, known.text().as_bytes())?;
    write_whole(path, text.as_bytes())?;
    let mut words = format!("Taken out of {}: {names}\n", now.name);
    for missing in &missing {
        words.push_str(&format!("It was not in the drawer's file any more: {missing}\n"));
    }
    Ok(words)
}

/// A finished build whose closing was cut short and has been made up for.
pub(super) struct CaughtUp {
    pub journal: Journal,
    pub session: Session,
    /// What was taken out of the drawer's file.
    pub drawer: String,
}

/// Makes up for finished builds whose closing was cut short; what can not be done is told and left.
pub(super) fn catch_up(shelf: &Shelf) -> Result<Vec<CaughtUp>, Failure> {
    let mut done = Vec::new();
    for id in shelf.list()? {
        if matches!(shelf.file(&id, NOTE), Err(BookError::Missing { .. })) {
            continue;
        }
        match catch_up_one(shelf, &id) {
            Ok(None) => {}
            Ok(Some(caught_up)) => {
                write_out(
                    &format!(
                        "{id} was finished, but its sheet and the drawer were still to be done: they are now\n"
                    ),
                    true,
                )?;
                done.push(caught_up);
            }
            // it is being closed just now
            Err(Failure::Book(BookError::Held { .. })) => {}
            Err(failure) => write_out(
                &format!(
                    "warning: the drawer and the sheet of {id} are still to be done: {}\n  to leave them so, remove \
                     {NOTE} from its folder\n",
                    visible(&failure.to_string())
                ),
                true,
            )?,
        }
    }
    Ok(done)
}

fn catch_up_one(shelf: &Shelf, id: &BuildId) -> Result<Option<CaughtUp>, Failure> {
    let journal = to_write(shelf, id)?;
    let entries: Vec<Entry> = journal
        .entries()
        .iter()
        .map(|text| Entry::from_json(text))
        .collect::<Result<_, _>>()?;
    let kept = Sources::kept(shelf, id)?;
    if let Some(changed) = kept.changed_since(&entries).first() {
        return Err(Failure::Snapshot(format!("{id}/{changed}")));
    }
    let session = Session::resume(kept.job()?, &entries);
    if !session.is_finished() {
        return Ok(None);
    }
    let drawer = finish(shelf, &journal, &session)?;
    Ok(Some(CaughtUp {
        journal,
        session,
        drawer,
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_note_reads_back_whatever_the_path() {
        for drawer in [None, Some("/a/drawer.toml"), Some("/a b\nc/before x")] {
            for digests in [None, Some(["1".to_string(), "2".to_string()])] {
                let note = ToClose {
                    drawer: drawer.map(PathBuf::from),
                    digests,
                };
                assert_eq!(ToClose::read(&note.text()), note);
            }
        }
        assert_eq!(ToClose::read("before "), ToClose::default());
    }
}
