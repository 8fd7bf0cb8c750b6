//! The statements of rotations that lie in a book, each with the signature beside it.

use super::failure::Failure;
use crate::book::{Shelf, read_there};
use crate::record::log::LoggedRotation;
use crate::record::log_rotations::RotationThere;
use crate::record::rotation::Rotation;
use crate::seal::Digest;
use std::collections::{BTreeMap, BTreeSet};

/// The most bytes of a statement, and of a signature.
const MOST_ROTATION: u64 = 64 << 10;
/// So many statements of a book are read.
const MOST_READ: usize = 201;

/// A rotation as it lies in a book.
pub(crate) struct RotationFiles {
    /// The file of its statement.
    pub file: String,
    /// That of its signature.
    pub signature_file: String,
    /// The statement; nothing where it is not there, or can not be read.
    pub text: Option<Vec<u8>>,
    /// The signature likewise.
    pub signature: Option<Vec<u8>>,
    /// Whether the statement is there, if only as one that can not be read.
    pub is_there: bool,
    /// What it says, where the old key signed it; or why it counts for nothing, in words.
    pub read: Result<Rotation, String>,
}

/// The rotations that lie in a book.
pub(crate) fn rotation_files(shelf: &Shelf) -> Result<Vec<RotationFiles>, Failure> {
    let names = shelf.files().map_err(Failure::File)?;
    let files: BTreeSet<&str> = names.iter().filter_map(|name| Rotation::file_of(name)).collect();
    let one = |file: &str| {
        let signature_file = format!("{file}.sig");
        let is_there = |name: &str| names.iter().any(|there| there == name);
        let read = |name: &str| match is_there(name) {
            true => read_there(&shelf.dir().join(name), MOST_ROTATION).map(Some),
            false => Ok(None),
        };
        let (text, signature) = (read(file), read(&signature_file));
        let read = match (&text, &signature) {
            (Err(fault), _) | (_, Err(fault)) => Err(fault.to_string()),
            (Ok(Some(text)), Ok(Some(signature))) => {
                Rotation::verified(text, signature).map_err(|error| format!("it counts for nothing: {error}"))
            }
            _ => Err("begun and not finished; rotate the key again".to_string()),
        };
        RotationFiles {
            file: file.to_string(),
            is_there: is_there(file),
            signature_file,
            text: text.ok().flatten(),
            signature: signature.ok().flatten(),
            read,
        }
    };
    Ok(files.into_iter().take(MOST_READ).map(one).collect())
}

impl RotationFiles {
    /// The same as the logs judge it.
    pub fn there(&self) -> RotationThere {
        RotationThere {
            file: self.file.clone(),
            is_there: self.is_there,
            statement: self.text.as_deref().map(Digest::of),
            is_signed: self.signature.is_some(),
            holds: self.read.is_ok(),
        }
    }

    /// What a line of the log says of it, where it holds.
    pub fn logged(&self, late: bool) -> Option<(LoggedRotation, Digest)> {
        let (Ok(rotation), Some(text), Some(signature)) = (&self.read, &self.text, &self.signature) else {
            return None;
        };
        let statement = Digest::of(text);
        let line = LoggedRotation {
            at: rotation.time.clone(),
            name: rotation.name.clone(),
            file: self.file.clone(),
            statement: statement.to_string(),
            signature: Digest::of(signature).to_string(),
            seen: BTreeMap::new(),
            late,
            by: None,
            reason: None,
        };
        Some((line, statement))
    }
}
