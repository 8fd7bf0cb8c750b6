//! What a PDF says, read out of its bytes again. It is foreign: nothing of it is taken without a limit.

use super::pdf_mark::is_as_written;
use super::pdf_values::text_of;
use lopdf::{Document, LoadOptions, Object};

/// The most bytes of a file.
const MOST: usize = 64 << 20;
/// The most bytes of a stream when it is inflated.
const MOST_OF_A_STREAM: usize = 16 << 20;
/// The most pages of a sheet.
const MOST_PAGES: usize = 100;

/// Why a file is not read.
pub(super) enum Unread {
    /// It does not begin as a PDF.
    NoPdf,
    /// It has too many bytes.
    TooLarge,
    /// It wants a password.
    Encrypted,
    /// It is not whole.
    Damaged,
}

/// A file that can be read.
pub(super) fn load(file: &[u8]) -> Result<Document, Unread> {
    const ENCRYPTED: &[u8] = b"/Encrypt";
    if file.len() > MOST {
        return Err(Unread::TooLarge);
    }
    if !file.starts_with(b"%PDF-") {
        return Err(Unread::NoPdf);
    }
    let limits = LoadOptions {
        max_decompressed_size: Some(MOST_OF_A_STREAM),
        ..LoadOptions::default()
    };
    match Document::load_mem_with_options(file, limits) {
        Ok(document) if document.trailer.has(b"Encrypt") || document.was_encrypted() => {
            Err(Unread::Encrypted)
        }
        Ok(document) => Ok(document),
        Err(_) if file.windows(ENCRYPTED.len()).any(|at| at == ENCRYPTED) => Err(Unread::Encrypted),
        Err(_) => Err(Unread::Damaged),
    }
}

/// The program that a file names as its maker.
pub(super) fn creator(file: &Document) -> Option<String> {
    let information = file.trailer.get_deref(b"Info", file).and_then(Object::as_dict);
    information
        .and_then(|all| all.get(b"Creator"))
        .ok()
        .and_then(text_of)
}

/// All words of a PDF as they come; nothing where it can not be read.
pub(super) fn text(file: &[u8]) -> Option<String> {
    let document = load(file).ok()?;
    let pages: Vec<u32> = document.get_pages().into_keys().take(MOST_PAGES).collect();
    document.extract_text_with_limit(&pages, MOST_OF_A_STREAM).ok()
}

/// The title of a file that was written here and that nobody has touched since.
fn own_title(file: &[u8]) -> Option<String> {
    if !is_as_written(file) {
        return None;
    }
    let document = load(file).ok()?;
    if creator(&document)? != "shimwright" {
        return None;
    }
    let information = document
        .trailer
        .get_deref(b"Info", &document)
        .and_then(Object::as_dict);
    information
        .and_then(|all| all.get(b"Title"))
        .ok()
        .and_then(text_of)
}

/// Whether a file is a sheet that was written here, that nobody has touched since, and that has the title of another.
pub(super) fn is_same(old: &[u8], new: &[u8]) -> bool {
    matches!((own_title(old), own_title(new)), (Some(old), Some(new)) if old == new)
}
