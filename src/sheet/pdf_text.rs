//! The words of a PDF that was written here, read out of its bytes again.

use lopdf::Document;

/// The most bytes of a page when it is inflated.
const MOST_OF_A_PAGE: usize = 16 << 20;
/// The most pages of a sheet.
const MOST_PAGES: usize = 100;

/// All words of a PDF as they come; nothing where it can not be read.
pub(super) fn text(file: &[u8]) -> Option<String> {
    let document = Document::load_mem(file).ok()?;
    let pages: Vec<u32> = document.get_pages().into_keys().take(MOST_PAGES).collect();
    document.extract_text_with_limit(&pages, MOST_OF_A_PAGE).ok()
}
