//! The last page of a practice sheet: what the run came to, with a line for the master's signature.

use super::about::About;
use super::blocks::{Block, Document, Section, SignLine, Style};
use super::content;
use super::numbers::first_groups;
use super::page::{Page, Paper};
use super::{SheetError, layout, pdf};
use crate::record::Build;
use crate::report::{Part, Section as Told, glued};

/// Who signs under what a run came to.
const MASTER: &str = "Master, read and talked over";

/// The sheet of a run of practice with what it came to on a page of its own behind it.
///
/// # Errors
///
/// A font that can not be read or cut, or a page that can not be written.
pub fn practice_pdf(build: &Build, told: &[Told], paper: Paper) -> Result<Vec<u8>, SheetError> {
    let title = content::document(build).title;
    pdf::write(&practice_pages(build, told, paper), About::english(&title))
}

/// The same pages as plain data, numbered through.
pub fn practice_pages(build: &Build, told: &[Told], paper: Paper) -> Vec<Page> {
    layout::one_after_another(&[content::document(build), document(build, told)], paper)
}

/// How far somebody has come, on pages of their own.
///
/// # Errors
///
/// A font that can not be read or cut, or a page that can not be written.
pub fn progress_pdf(by: &str, told: &[Told], paper: Paper) -> Result<Vec<u8>, SheetError> {
    let mut sections: Vec<Section> = told.iter().map(section).collect();
    sections.push(signed());
    let whose = if by.is_empty() { "all who practised" } else { by };
    let document = Document {
        id: whose.to_string(),
        title: format!("Practice: how far {whose}"),
        sheet: "practice progress".to_string(),
        unit: format!("Practice, no real units: {whose}"),
        under: "What was met, found and missed, by kind of fault".to_string(),
        digest: String::new(),
        finished: true,
        code: None,
        glance: None,
        sections,
    };
    pdf::write(&layout::pages(&document, paper), About::english(&document.title))
}

fn signed() -> Section {
    Section {
        head: "Seen by".to_string(),
        blocks: vec![Block::Sign(SignLine {
            role: MASTER.to_string(),
            name: String::new(),
            at: String::new(),
        })],
    }
}

fn document(build: &Build, told: &[Told]) -> Document {
    let mut sections: Vec<Section> = told.iter().map(section).collect();
    sections.push(signed());
    Document {
        id: build.id.clone(),
        title: format!("{}: practice debrief {}", build.unit_name, build.id),
        sheet: "practice debrief".to_string(),
        unit: build.unit_name.clone(),
        under: "What was hidden in it, and what was made of it".to_string(),
        digest: first_groups(&build.digest),
        finished: true,
        code: None,
        glance: None,
        sections,
    }
}

fn section(told: &Told) -> Section {
    let blocks = told.parts.iter().filter_map(|part| match part {
        Part::Words(words) => Some(Block::Text(Style::Plain, glued(words))),
        Part::Item(_, words) => Some(Block::Text(Style::Small, glued(words))),
        Part::Warning(words) => Some(Block::Text(Style::Caution, words.clone())),
        Part::Table(table) => Some(Block::Table(table.clone())),
        // nothing of a run is drawn
        Part::Picture(_) => None,
    });
    Section {
        head: told.head.clone(),
        blocks: blocks.collect(),
    }
}
