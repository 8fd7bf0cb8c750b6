//! What holds where nothing else is said: which files and variables say so, in which order, and how a file is changed.

use super::failure::Failure;
use super::load::{book_dir, user_file};
use crate::book::{BookError, Shelf, make_folder, read_there, variable, write_whole};
use crate::workshop::defaults::{DefaultKey, Defaults, Holds, SaidBy, with_default};
use std::path::{Path, PathBuf, absolute};

/// What a file of defaults is called, in the book and in the user's folder.
const FILE: &str = "defaults.toml";
/// The most bytes that such a file may have.
const MOST_BYTES: u64 = 1 << 16;

/// The text of a file; nothing where it is not there.
fn text_of(path: &Path) -> Result<Option<String>, Failure> {
    match read_there(path, MOST_BYTES) {
        Ok(bytes) => Ok(Some(String::from_utf8_lossy(&bytes).into_owned())),
        Err(BookError::Missing { .. }) => Ok(None),
        Err(fault) => Err(Failure::File(fault)),
    }
}

/// What holds for every key: the environment comes first, then the user's file, then the book's, then the program.
///
/// # Errors
///
/// A file with faults, a variable that says what the key can not be.
pub(crate) fn defaults(book: Option<&PathBuf>) -> Result<Vec<Holds>, Failure> {
    let mine = user_file(FILE).ok().map(|path| (path, false));
    let ours = book_dir(book).ok().map(|dir| (dir.join(FILE), true));
    let mut said: Vec<(String, Defaults)> = Vec::new();
    for (path, in_book) in mine.into_iter().chain(ours) {
        if let Some(text) = text_of(&path)? {
            let name = path.display().to_string();
            let read = Defaults::read(&name, &text, in_book)?;
            said.push((name, read));
        }
    }
    let mut all = Vec::new();
    for (key, _) in DefaultKey::ALL {
        let of_file = || {
            let mut those = said.iter();
            those.find_map(|(path, file)| Some((file.of(key)?.to_string(), SaidBy::File(path.clone()))))
        };
        let named = variable(key.variable()).map(|value| (value, SaidBy::Variable(key.variable())));
        let (value, by) = match named.or_else(of_file) {
            Some((value, by)) => (Some(value), by),
            None => (key.values().first().map(ToString::to_string), SaidBy::Program),
        };
        if let (Some(value), SaidBy::Variable(name)) = (&value, &by)
            && let Some(why) = key.refuses(value)
        {
            return Err(Failure::Default(format!("{name}: {why}")));
        }
        all.push(Holds { key, value, by });
    }
    Ok(all)
}

/// Writes a default into the book's file, or into the user's own; without a value it is taken out. Gives the file.
///
/// # Errors
///
/// What the key can not be, what has no place in a book, a file with other faults, what the system refuses.
pub(crate) fn set_default(
    key: DefaultKey,
    value: Option<&str>,
    for_me: bool,
    book: Option<&PathBuf>,
) -> Result<PathBuf, Failure> {
    if key.is_private() && !for_me {
        return Err(Failure::Default(format!(
            "{} names a file of one person's and has no place in a book, which several may read",
            key.word()
        )));
    }
    if let Some(why) = value.and_then(|value| key.refuses(value)) {
        return Err(Failure::Default(why));
    }
    // a file that is named holds wherever the next command is run
    let value = match (key, value) {
        (DefaultKey::Key | DefaultKey::Signers | DefaultKey::Font, Some(path)) => {
            Some(absolute(path)?.display().to_string())
        }
        (_, value) => value.map(str::to_string),
    };
    let path = match for_me {
        true => user_file(FILE)?,
        false => Shelf::open(&book_dir(book)?)?.dir().join(FILE),
    };
    let source = text_of(&path)?.unwrap_or_default();
    let name = path.display().to_string();
    let text = with_default(&name, &source, key, value.as_deref())?;
    // another fault of the file is told, and nothing is written
    Defaults::read(&name, &text, !for_me)?;
    if let Some(folder) = path.parent() {
        make_folder(folder)?;
    }
    write_whole(&path, text.as_bytes()).map_err(Failure::Written)?;
    Ok(path)
}
