//! The build sheet: content, layout, the page as plain data, and the bytes of the PDF; drawings and tables.
//!
//! A [`Build`] becomes blocks of content, the blocks become [`Page`]s of plain data (text, lines and polygons at a
//! place, in millimetres), and the pages become PDF. Nothing is computed here but places: every number stands in the
//! build already. The same build on the same paper gives the same bytes.
//!
//! What the built-in faces lack is set in a font that was handed in, in a job that [`with_font`] does: the same build, paper and
//! font give the same bytes.
//!
//! The same content is told on a terminal: [`whole`], and shorter [`in_short`].
//!
//! What a person typed is never passed on unseen: a character that no font has, a control character or a
//! mark that turns the direction of writing is shown as its code point in brackets, such as `[U+6F22]`.
//!
//! A new row of the sheet goes into `content`, where a build becomes blocks; a new kind of block into `blocks`, `flow` and
//! `layout`; a new drawing is a file of its own that gives lines and polygons.

mod about;
mod attachments;
mod blocks;
mod code;
mod content;
mod debrief;
mod error;
mod flow;
mod form;
mod form_parts;
mod given_font;
mod glance;
mod grid;
mod held;
mod html;
mod labels;
mod layout;
mod mark;
mod measure;
mod metadata;
mod numbers;
mod on_screen;
mod outline;
mod page;
mod page_elements;
mod pdf;
mod pdf_mark;
mod pdf_reader;
mod pdf_values;
mod pen;
pub mod photo;
mod plot;
mod run_form;
mod runs_plots;
mod runs_sheet;
mod settings_sheet;
mod settling;
mod short;
mod stack;
mod svg;
mod tables;
mod tags;
mod tree;
mod wear_plots;
mod wear_sheet;
mod writing;

pub use attachments::{Attached, AttachedError, RecordFiles};
pub use debrief::{practice_pages, practice_pdf, progress_pdf};
pub use error::SheetError;
pub use given_font::{FontError, GivenFont};
pub use held::{HeldSheet, PAGE_FORM, held_sheet};
pub use labels::LabelStock;
pub use measure::{Face, FontUse, on_paper, with_font};
pub use on_screen::whole;
pub use page::{Item, Margins, Page, Paper};
pub use run_form::RunForm;
pub use settings_sheet::Settling;
pub use short::in_short;
pub use tags::{Role, Tag};

use about::About;
use attachments::Record;

use crate::history::WearTables;
use crate::history::driven::SettingsCompared;
use crate::record::Build;
use crate::record::form::Form;

/// The pages of a build's sheet, as plain data.
///
/// ```
/// # use shimwright::{record::{Build, Followed}, quantity::Units};
/// # let build = Build { id: "demo-0001".into(), procedure: Followed { spoken: Default::default(), id: "reshim".into(), title: "Reshim".into(),
/// #   digest: String::new(), sheet: "build sheet".into(), builds: true }, unit: "demo".into(), unit_name: "Demo".into(), copied: None, glance: None, identity: vec![], started: String::new(), finished: None,
/// #   units: Units::Metric, setting: vec![], asked: None, found_and_left: vec![], since: None, plates: vec![], packs: vec![], closings: vec![], warm: None, not_warm: String::new(),
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
/// # Errors
///
/// A font that can not be read or cut, or a page that can not be written.
pub fn pdf(build: &Build, paper: Paper) -> Result<Vec<u8>, SheetError> {
    let document = content::document(build);
    pdf::write(&layout::pages(&document, paper), About::english(&document.title))
}

/// The sheet with the whole record of the build inside it, and a paragraph on its pages that says so. The same build, files
/// and paper give the same bytes.
///
/// # Errors
///
/// As [`pdf`]; a record of more than 100 files or 64 MB, or with a file that has no plain name.
pub fn pdf_with_record(build: &Build, paper: Paper, files: &RecordFiles) -> Result<Vec<u8>, SheetError> {
    let document = content::with_record(build, files);
    let record = Record {
        build: &build.id,
        at: build.finished.as_ref().unwrap_or(&build.started),
        files,
    };
    let about = About {
        record: Some(record),
        ..About::english(&document.title)
    };
    pdf::write(&layout::pages(&document, paper), about)
}

/// The record that lies in a sheet. The file is foreign: nothing is known of the record but that it fits the limits, and that
/// the file is as some program of ours wrote it. What it says is to be checked as any record is.
///
/// ```
/// use shimwright::sheet::{AttachedError, attached};
/// assert_eq!(attached(b"a text"), Err(AttachedError::NoPdf));
/// assert_eq!(attached(b"%PDF-1.7 and no more"), Err(AttachedError::Damaged));
/// ```
///
/// # Errors
///
/// [`AttachedError`], by what is wrong.
pub fn attached(file: &[u8]) -> Result<Attached, AttachedError> {
    attachments::read(file)
}

/// The sheet as one page of HTML, for a screen of any width: it needs nothing but itself, and `paper` is what it is printed on.
/// The same build on the same paper gives the same text.
///
/// ```
/// # use shimwright::{record::{Build, Followed}, quantity::Units};
/// # let build = Build { id: "demo-0001".into(), procedure: Followed { spoken: Default::default(), id: "reshim".into(), title: "Reshim".into(),
/// #   digest: String::new(), sheet: "build sheet".into(), builds: true }, unit: "demo".into(), unit_name: "Demo".into(), copied: None, glance: None, identity: vec![], started: String::new(), finished: None,
/// #   units: Units::Metric, setting: vec![], asked: None, found_and_left: vec![], since: None, plates: vec![], packs: vec![], closings: vec![], warm: None, not_warm: String::new(),
/// #   preload: None, curve: None, proofs: vec![], bolts: vec![], oil: vec![], checks: vec![], remarks: vec![],
/// #   cautions: vec![], signatures: vec![], open: vec![], digest: String::new(), on_paper: Default::default() };
/// use shimwright::sheet::{html, Paper};
/// let page = html(&build, Paper::A4);
/// assert!(page.starts_with("<!DOCTYPE html>") && page.contains("<h1>Demo</h1>"));
/// ```
pub fn html(build: &Build, paper: Paper) -> String {
    html::page(build, paper)
}

/// The first page of a sheet as a picture (SVG), for places that show no PDF.
///
/// The same build on the same paper gives the same text.
pub fn picture(build: &Build, paper: Paper) -> String {
    let pages = layout::pages(&content::document(build), paper);
    pages.first().map(svg::picture).unwrap_or_default()
}

/// Labels of a build as pages, as plain data: the unit's tag first, then one for each bag of plates that are not in it. On a
/// roll each label is a page.
///
/// ```
/// # use shimwright::{record::{Build, Followed}, quantity::Units};
/// # let build = Build { id: "demo-0001".into(), procedure: Followed { spoken: Default::default(), id: "reshim".into(), title: "Reshim".into(),
/// #   digest: String::new(), sheet: "build sheet".into(), builds: true }, unit: "demo".into(), unit_name: "Demo".into(), copied: None, glance: None, identity: vec![], started: String::new(), finished: None,
/// #   units: Units::Metric, setting: vec![], asked: None, found_and_left: vec![], since: None, plates: vec![], packs: vec![], closings: vec![], warm: None, not_warm: String::new(),
/// #   preload: None, curve: None, proofs: vec![], bolts: vec![], oil: vec![], checks: vec![], remarks: vec![],
/// #   cautions: vec![], signatures: vec![], open: vec![], digest: String::new(), on_paper: Default::default() };
/// use shimwright::sheet::{label_pages, LabelStock};
/// let labels = label_pages(&build, LabelStock::Roll);
/// assert_eq!((labels.len(), labels[0].width), (1, 62.0));
/// assert!(labels[0].text().contains("NOT FINISHED"));
/// ```
pub fn label_pages(build: &Build, stock: LabelStock) -> Vec<Page> {
    labels::pages(build, stock)
}

/// Labels of a build as the bytes of a PDF file; the same build on the same stock gives the same bytes.
///
/// # Errors
/// As [`pdf`].
pub fn labels_pdf(build: &Build, stock: LabelStock) -> Result<Vec<u8>, SheetError> {
    let title = format!("{}: labels {}", build.unit_name, build.id);
    pdf::write(&labels::pages(build, stock), About::english(&title))
}

/// Whether an old file is a sheet of ours that was not touched since it was written, and has the same title as a new one:
/// what it is and what of. Such a one may be written over: it can be had again. Anything else, such as a form that was
/// filled in on a screen, is somebody's work.
///
/// ```
/// assert!(!shimwright::sheet::is_same_sheet(b"%PDF-1.7 of somebody else", b"%PDF-1.7 of ours"));
/// ```
pub fn is_same_sheet(old: &[u8], new: &[u8]) -> bool {
    pdf_reader::is_same(old, new) || html::is_same(old, new)
}

/// The pages of a form to fill in by hand, as plain data. The same form on the same paper gives the same pages.
pub fn form_pages(form: &Form, paper: Paper) -> Vec<Page> {
    form::pages(form, paper)
}

/// A form to fill in by hand as the bytes of a PDF file.
///
/// # Errors
///
/// As [`pdf`].
pub fn form_pdf(form: &Form, paper: Paper) -> Result<Vec<u8>, SheetError> {
    let about = About {
        title: &form::title(form),
        language: form::language(form),
        record: None,
    };
    pdf::write(&form_pages(form, paper), about)
}

/// The run sheet of a drive day, to fill in by hand, as the bytes of a PDF file.
///
/// # Errors
///
/// As [`pdf`].
pub fn run_form_pdf(form: &RunForm<'_>, paper: Paper) -> Result<Vec<u8>, SheetError> {
    pdf::write(&form.pages(paper), About::english(&form.title()))
}

/// The pages of a settings sheet, as plain data: one, where nothing in it is beyond what is usual.
pub fn settings_pages(settling: &Settling<'_>, paper: Paper) -> Vec<Page> {
    layout::pages(&settings_sheet::document(settling), paper)
}

/// The settings sheet as the bytes of a PDF file; the same setting on the same paper gives the same bytes.
///
/// # Errors
///
/// As [`pdf`].
pub fn settings_pdf(settling: &Settling<'_>, paper: Paper) -> Result<Vec<u8>, SheetError> {
    let document = settings_sheet::document(settling);
    pdf::write(&layout::pages(&document, paper), About::english(&document.title))
}

/// The pictures of a settings sheet, each by itself as SVG with the name of its file; the same setting gives the same text.
pub fn settings_pictures(settling: &Settling<'_>) -> [(String, String); 2] {
    settling::apart(settling.pictures, settling.units)
        .map(|(name, page)| (format!("{name}.svg"), svg::picture(&page)))
}

/// The page of a unit's wear, as plain data: always one.
pub fn wear_pages(shown: &WearTables<'_>, paper: Paper) -> Vec<Page> {
    wear_sheet::pages(shown, paper).0
}

/// The page of a unit's wear as the bytes of a PDF file; the same wear on the same paper gives the same bytes.
///
/// # Errors
///
/// As [`pdf`].
pub fn wear_pdf(shown: &WearTables<'_>, paper: Paper) -> Result<Vec<u8>, SheetError> {
    let (pages, title) = wear_sheet::pages(shown, paper);
    pdf::write(&pages, About::english(&title))
}

/// The page of two settings compared by what was driven, as plain data: one, where nothing in it is beyond what is usual.
pub fn runs_pages(compared: &SettingsCompared, paper: Paper) -> Vec<Page> {
    runs_sheet::pages(compared, paper).0
}

/// The page of two settings compared as the bytes of a PDF file; the same comparison on the same paper gives the same bytes.
///
/// # Errors
///
/// As [`pdf`].
pub fn runs_pdf(compared: &SettingsCompared, paper: Paper) -> Result<Vec<u8>, SheetError> {
    let (pages, title) = runs_sheet::pages(compared, paper);
    pdf::write(&pages, About::english(&title))
}

/// The page of two settings compared as a picture (SVG).
pub fn runs_picture(compared: &SettingsCompared, paper: Paper) -> String {
    runs_pages(compared, paper)
        .first()
        .map(svg::picture)
        .unwrap_or_default()
}
