//! The record of a build inside the PDF of its sheet, and out of it again (ISO 32000-2, 7.11.4).

use super::error::{SheetError, failed};
use super::pdf_mark::is_as_written;
use super::pdf_reader::{Unread, creator, load};
use super::pdf_values::{text_of, utf16};
use lopdf::{Dictionary, Document, Object, Stream, dictionary};
use std::collections::BTreeMap;

/// The most files of a record that are put into a PDF, or read out of one.
const MOST_FILES: usize = 100;
/// The most bytes of one of them.
const MOST_OF_A_FILE: usize = 16 << 20;
/// The most bytes of all of them.
const MOST_OF_ALL: usize = 64 << 20;
/// The longest name.
const LONGEST_NAME: usize = 100;

/// The files of a record by name: the journal and what lies beside it.
pub type RecordFiles = BTreeMap<String, Vec<u8>>;

/// A record that was read out of a sheet.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Attached {
    /// The build's name.
    pub build: String,
    /// Its files.
    pub files: RecordFiles,
}

/// A record that is put into a sheet.
#[derive(Clone, Copy)]
pub(super) struct Record<'a> {
    /// The build's name.
    pub build: &'a str,
    /// The time of its files, as RFC 3339 has it.
    pub at: &'a str,
    pub files: &'a RecordFiles,
}

/// Why no record is read out of a file.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum AttachedError {
    /// It does not begin as a PDF.
    #[error("it is no PDF")]
    NoPdf,
    /// It can not be read to its end.
    #[error("it can not be read as a PDF: it was cut off or damaged")]
    Damaged,
    /// It has more bytes than are read, or would have when it is inflated.
    #[error("it is larger than any sheet with its record")]
    TooLarge,
    /// It can be read only with a password.
    #[error("it is encrypted")]
    Encrypted,
    /// It is not a PDF of this program.
    #[error("another program made it")]
    OtherProgram,
    /// Its bytes are not those that were written.
    #[error("it is not as the program wrote it: somebody changed it, or another program saved it anew")]
    Changed,
    /// There is nothing in it but the pages.
    #[error("no record is in it, only pages; `shimwright sheet BUILD --with-record` prints one that has it")]
    None,
    /// More files than are read.
    #[error("more than {MOST_FILES} files are in it")]
    TooMany,
    /// A name that no file of a record has.
    #[error("a file in it has a name that no file of a record has: {0:?}")]
    Name(String),
}

/// Whether a file of a record may have this name.
fn fits(name: &str) -> bool {
    let plain = |b: u8| b.is_ascii_alphanumeric() || b"._-".contains(&b);
    !name.is_empty()
        && name.len() <= LONGEST_NAME
        && name.bytes().all(plain)
        && !name.starts_with('.')
        && !name.ends_with('.')
}

/// Puts a record into a file.
pub(super) fn write(file: &mut Document, record: Record<'_>) -> Result<(), SheetError> {
    let all: usize = record.files.values().map(Vec::len).sum();
    let largest = record.files.values().map(Vec::len).max().unwrap_or(0);
    if record.files.len() > MOST_FILES || all > MOST_OF_ALL || largest > MOST_OF_A_FILE {
        return Err(failed(format!(
            "the record is too large to be put into them: {} files, {all} bytes",
            record.files.len()
        )));
    }
    let (mut names, mut specs) = (Vec::new(), Vec::new());
    // by name, as the tree of names has to be
    for (name, bytes) in record.files {
        if !fits(name) {
            return Err(failed(format!("{name:?} can not be put into them")));
        }
        let (kind, relation) = match name.rsplit_once('.').map(|(_, ending)| ending) {
            Some("jsonl") => ("application/jsonl", "Source"),
            Some("toml") => ("application/toml", "Data"),
            _ => ("text/plain", "Data"),
        };
        let mut about = dictionary! { "Size" => bytes.len() as i64 };
        if let Some(at) = moment(record.at) {
            about.set("ModDate", Object::string_literal(at));
        }
        let dict = dictionary! { "Type" => "EmbeddedFile", "Subtype" => kind, "Params" => about };
        let stream = file.add_object(Stream::new(dict, bytes.clone()));
        let called = Object::string_literal(name.as_str());
        let spec = file.add_object(dictionary! {
            "Type" => "Filespec",
            "F" => called.clone(),
            "UF" => utf16(name),
            "Desc" => utf16(&format!("{name} of the record of {}", record.build)),
            "AFRelationship" => relation,
            "EF" => dictionary! { "F" => stream, "UF" => stream },
        });
        names.extend([called, spec.into()]);
        specs.push(spec.into());
    }
    let catalog = file.catalog_mut().map_err(failed)?;
    let tree = dictionary! { "EmbeddedFiles" => dictionary! { "Names" => names } };
    catalog.set("Names", tree);
    catalog.set("AF", specs);
    Ok(())
}

/// A time of RFC 3339 in UTC as a PDF has it.
fn moment(at: &str) -> Option<String> {
    let digits: String = at
        .strip_suffix('Z')?
        .chars()
        .filter(char::is_ascii_digit)
        .collect();
    Some(format!("D:{}Z", digits.get(..14)?))
}

/// The record in a file, which is foreign: nothing in it is known to be true, only that its bytes are those that some program
/// of ours wrote. Its names are no paths.
pub(super) fn read(bytes: &[u8]) -> Result<Attached, AttachedError> {
    let file = load(bytes).map_err(|why| match why {
        Unread::NoPdf => AttachedError::NoPdf,
        Unread::TooLarge => AttachedError::TooLarge,
        Unread::Encrypted => AttachedError::Encrypted,
        Unread::Damaged => AttachedError::Damaged,
    })?;
    if creator(&file).as_deref() != Some("shimwright") {
        return Err(AttachedError::OtherProgram);
    }
    if !is_as_written(bytes) {
        return Err(AttachedError::Changed);
    }
    let names = names(&file).ok_or(AttachedError::None)?;
    if names.len() > 2 * MOST_FILES {
        return Err(AttachedError::TooMany);
    }
    let mut files = RecordFiles::new();
    let mut all = 0;
    for pair in names.chunks(2) {
        let (name, bytes) = one(&file, pair, MOST_OF_A_FILE.min(MOST_OF_ALL - all))?;
        all += bytes.len();
        if files.insert(name.clone(), bytes).is_some() {
            return Err(AttachedError::Name(name));
        }
    }
    let subject = file.trailer.get_deref(b"Info", &file).and_then(Object::as_dict);
    let build = subject
        .and_then(|info| info.get(b"Subject"))
        .ok()
        .and_then(text_of);
    Ok(Attached {
        build: build.ok_or(AttachedError::None)?,
        files,
    })
}

/// Names and files of a file in turn; only from one leaf, as they are written.
fn names(file: &Document) -> Option<&Vec<Object>> {
    fn under<'a>(file: &'a Document, dict: &'a Dictionary, key: &[u8]) -> Option<&'a Dictionary> {
        dict.get_deref(key, file).and_then(Object::as_dict).ok()
    }
    let names = under(file, file.catalog().ok()?, b"Names")?;
    let embedded = under(file, names, b"EmbeddedFiles")?;
    embedded.get(b"Names").and_then(Object::as_array).ok()
}

fn one(file: &Document, pair: &[Object], most: usize) -> Result<(String, Vec<u8>), AttachedError> {
    let [name, spec] = pair else {
        return Err(AttachedError::Damaged);
    };
    let name = text_of(name).ok_or(AttachedError::Damaged)?;
    if !fits(&name) {
        return Err(AttachedError::Name(name));
    }
    let (_, spec) = file.dereference(spec).map_err(|_| AttachedError::Damaged)?;
    let stream = spec
        .as_dict()
        .and_then(|spec| spec.get_deref(b"EF", file))
        .and_then(Object::as_dict)
        .and_then(|held| held.get_deref(b"F", file))
        .and_then(Object::as_stream)
        .map_err(|_| AttachedError::Damaged)?;
    let bytes = match stream.dict.has(b"Filter") {
        true => stream.decompressed_content_with_limit(most),
        false if stream.content.len() > most => return Err(AttachedError::TooLarge),
        false => Ok(stream.content.clone()),
    };
    match bytes {
        Ok(bytes) => Ok((name, bytes)),
        Err(lopdf::Error::Decompress(lopdf::DecompressError::MemoryLimitExceeded { .. })) => {
            Err(AttachedError::TooLarge)
        }
        Err(_) => Err(AttachedError::Damaged),
    }
}
