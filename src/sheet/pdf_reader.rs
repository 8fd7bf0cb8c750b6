//! What a PDF says, read out of its bytes again. It is foreign: nothing of it is taken without a limit.

use super::pdf_mark::is_as_written;
use lopdf::{Document, LoadOptions};

/// The most bytes of a file.
const MOST: usize = 64 << 20;
/// The most bytes of a stream when it is inflated.
const MOST_OF_A_STREAM: usize = 16 << 20;
/// The most pages of a sheet.
const MOST_PAGES: usize = 100;

/// A file that can be read.
fn load(file: &[u8]) -> Option<Document> {
    if file.len() > MOST {
        return None;
    }
    let limits = LoadOptions {
        max_decompressed_size: Some(MOST_OF_A_STREAM),
        ..LoadOptions::default()
    };
    Document::load_mem_with_options(file, limits).ok()
}

/// All words of a PDF as they come; nothing where it can not be read.
pub(super) fn text(file: &[u8]) -> Option<String> {
    let document = load(file)?;
    let pages: Vec<u32> = document.get_pages().into_keys().take(MOST_PAGES).collect();
    document.extract_text_with_limit(&pages, MOST_OF_A_STREAM).ok()
}

/// The title of a file that was written here and that nobody has touched since.
fn own_title(file: &[u8]) -> Option<Vec<u8>> {
    if !is_as_written(file) {
        return None;
    }
    let document = load(file)?;
    let information = document.trailer.get_deref(b"Info", &document).ok()?;
    let of = |key: &[u8]| {
        let value = information.as_dict().and_then(|all| all.get(key)).ok()?;
        value.as_str().ok().map(<[u8]>::to_vec)
    };
    (of(b"Creator")? == b"shimwright").then(|| of(b"Title"))?
}

/// Whether a file is a sheet that was written here, that nobody has touched since, and that has the title of another.
pub(super) fn is_same(old: &[u8], new: &[u8]) -> bool {
    matches!((own_title(old), own_title(new)), (Some(old), Some(new)) if old == new)
}
