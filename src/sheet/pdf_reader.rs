//! What a PDF says, read out of its bytes again. It is foreign: nothing of it is taken without a limit.

use super::measure::in_built_in;
use super::pdf_mark::is_as_written;
use super::pdf_values::text_of;
use lopdf::content::Content;
use lopdf::{Document, Encoding, LoadOptions, Object, ObjectId};
use std::collections::HashMap;

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
    informed(file, b"Creator")
}

/// All words of a PDF as they come; nothing where it can not be read.
pub(super) fn text(file: &[u8]) -> Option<String> {
    let document = load(file).ok()?;
    let pages: Vec<u32> = document.get_pages().into_keys().take(MOST_PAGES).collect();
    document.extract_text_with_limit(&pages, MOST_OF_A_STREAM).ok()
}

/// What stands in each part of a file (ISO 32000-2, 14.7.5), in no order; what belongs to no part is left out.
pub(super) fn parts(file: &[u8]) -> Option<Vec<String>> {
    let document = load(file).ok()?;
    let root = document.catalog().ok()?.get_deref(b"StructTreeRoot", &document);
    let tree = root.and_then(Object::as_dict).ok()?;
    let tree = tree
        .get_deref(b"ParentTree", &document)
        .and_then(Object::as_dict)
        .ok()?;
    let numbers = tree.get(b"Nums").and_then(Object::as_array).ok()?;
    let mut parts: HashMap<ObjectId, String> = HashMap::new();
    for page in document.get_pages().into_values().take(MOST_PAGES) {
        let dict = document.get_object(page).and_then(Object::as_dict).ok()?;
        let key = dict.get(b"StructParents").and_then(Object::as_i64).ok()?;
        let mut pairs = numbers.chunks(2);
        let owners = pairs.find_map(|pair| match pair {
            [number, owners] if number.as_i64().ok() == Some(key) => owners.as_array().ok(),
            _ => None,
        })?;
        for (number, words) in marked(&document, page)? {
            let owner = usize::try_from(number)
                .ok()
                .and_then(|number| owners.get(number))?;
            parts
                .entry(owner.as_reference().ok()?)
                .or_default()
                .push_str(&words);
        }
    }
    Some(parts.into_values().collect())
}

/// The words of a page that are marked as content, each with its number, in the order in which they are drawn.
fn marked(document: &Document, page: ObjectId) -> Option<Vec<(i64, String)>> {
    let fonts = document.get_page_fonts(page).ok()?;
    let encodings: HashMap<Vec<u8>, Encoding<'_>> = fonts
        .into_iter()
        .filter_map(|(name, font)| {
            let encoding = font.get_font_encoding_with_limit(document, MOST_OF_A_STREAM);
            Some((name, encoding.ok()?))
        })
        .collect();
    let content = document
        .get_page_content_with_limit(page, MOST_OF_A_STREAM)
        .ok()?;
    let mut open: Vec<Option<i64>> = Vec::new();
    let mut encoding = None;
    let mut words = Vec::new();
    for operation in Content::decode(&content).ok()?.operations {
        match operation.operator.as_str() {
            "BMC" => open.push(None),
            "BDC" => {
                let about = operation.operands.get(1).and_then(|about| about.as_dict().ok());
                open.push(about.and_then(|about| about.get(b"MCID").and_then(Object::as_i64).ok()));
            }
            "EMC" => {
                open.pop();
            }
            "Tf" => {
                let name = operation.operands.first().and_then(|name| name.as_name().ok());
                encoding = name.and_then(|name| encodings.get(name));
            }
            "Tj" | "TJ" => {
                if let (Some(Some(number)), Some(encoding)) = (open.last(), encoding) {
                    let mut said = String::new();
                    collect(&operation.operands, encoding, &mut said);
                    words.push((*number, said));
                }
            }
            _ => {}
        }
    }
    Some(words)
}

fn collect(shown: &[Object], encoding: &Encoding<'_>, said: &mut String) {
    for object in shown {
        match object {
            Object::String(bytes, _) => {
                said.push_str(&Document::decode_text(encoding, bytes).unwrap_or_default())
            }
            Object::Array(inner) => collect(inner, encoding, said),
            _ => {}
        }
    }
}

/// What a file gives as its keywords.
pub(super) fn keywords(file: &[u8]) -> Option<String> {
    informed(&load(file).ok()?, b"Keywords")
}

/// What a file says of itself under a key of its information.
fn informed(document: &Document, key: &[u8]) -> Option<String> {
    let information = document
        .trailer
        .get_deref(b"Info", document)
        .and_then(Object::as_dict);
    information.and_then(|all| all.get(key)).ok().and_then(text_of)
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
    informed(&document, b"Title")
}

/// Whether a file is a sheet that was written here, that nobody has touched since, and that has the title of another,
/// whatever font each is set in.
pub(super) fn is_same(old: &[u8], new: &[u8]) -> bool {
    let plain = |title: String| in_built_in(&title);
    matches!((own_title(old).map(plain), own_title(new).map(plain)), (Some(old), Some(new)) if old == new)
}
