//! The build sheet: content, layout, the page as plain data, and the bytes of the PDF; drawings and tables.
//!
//! A [`Build`] becomes blocks of content, the blocks become [`Page`]s of plain data (text, lines and polygons at a
//! place, in millimetres), and the pages become PDF. Nothing is computed here but places: every number stands in the
//! build already. The same build on the same paper gives the same bytes.
//!
//! The same content, shorter, goes to the terminal as plain text: [`terminal_summary`], [`pack_lines`], [`table`].
//!
//! What a person typed is never passed on unseen: a character that the fonts do not have, a control character or a
//! mark that turns the direction of writing is shown as its code point in brackets, such as `[U+6F22]`.

mod blocks;
mod code;
mod content;
mod curve;
mod furniture;
mod grid;
mod layout;
mod measure;
mod numbers;
mod page;
mod pdf;
mod plot;
mod stack;
mod tables;
mod terminal;

pub use curve::{curve, labelled};
pub use measure::{Face, on_paper};
pub use page::{Item, Margins, Page, Paper};
pub use pdf::SheetError;
pub use terminal::{filled, hanging, pack_lines, table, terminal_summary};

use crate::record::Build;

/// The pages of a build's sheet, as plain data.
///
/// ```
/// # use shimwright::{record::{Build, Followed}, quantity::Units};
/// # let build = Build { id: "demo-0001".into(), procedure: Followed { id: "reshim".into(), title: "Reshim".into(),
/// #   digest: String::new() }, unit_name: "Demo".into(), identity: vec![], started: String::new(), finished: None,
/// #   units: Units::Metric, setting: vec![], asked: None, found_and_left: vec![], since: None, plates: vec![], packs: vec![], closings: vec![],
/// #   preload: None, curve: None, proofs: vec![], bolts: vec![], oil: vec![], checks: vec![], remarks: vec![],
/// #   cautions: vec![], signatures: vec![], open: vec![], digest: String::new(), on_paper: Default::default() };
/// use shimwright::sheet::{pages, Paper};
/// let pages = pages(&build, Paper::A4);
/// assert!(pages[0].text().contains("page 1 of 1"));
/// assert!(pages[0].text().contains("UNFINISHED"));
/// ```
pub fn pages(build: &Build, paper: Paper) -> Vec<Page> {
    layout::pages(&content::document(build), paper)
}

/// The sheet as the bytes of a PDF file. The same build on the same paper gives the same bytes.
///
/// Errors: a font that can not be read or cut, or a page that can not be written.
pub fn pdf(build: &Build, paper: Paper) -> Result<Vec<u8>, SheetError> {
    let document = content::document(build);
    pdf::write(&layout::pages(&document, paper), &document.title)
}
