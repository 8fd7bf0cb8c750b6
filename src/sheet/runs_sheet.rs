//! The runs sheet: two settings compared by what was driven, on one page.

use super::blocks::{Block, Document, RunsPictures, Section, Style};
use super::content::first_word;
use super::layout;
use super::measure::{Face, fit};
use super::page::{Margins, Page, Paper};
use crate::history::driven::SettingsCompared;
use crate::report::Part;
use crate::workshop::Safety;

/// What is told besides, at most, and the most characters of it.
const MOST_TOLD: usize = 4;
const LONG: usize = 300;
/// The most runs that are drawn beside each other.
const MOST_RUNS: usize = 120;

/// Its one page, with as much as it has room for, and its title.
pub(super) fn pages(compared: &SettingsCompared, paper: Paper) -> (Vec<Page>, String) {
    let mut made = (Vec::new(), String::new());
    for told in (0..=MOST_TOLD.min(compared.told.len())).rev() {
        let document = document(compared, told, paper);
        made = (layout::pages(&document, paper), document.title);
        if made.0.len() == 1 {
            break;
        }
    }
    made
}

fn document(compared: &SettingsCompared, most_told: usize, paper: Paper) -> Document {
    let [first, second] = &compared.called;
    let margins = Margins::SHEET;
    let room = paper.size().0 - margins.left - margins.right;
    let mut blocks = vec![Block::Text(Style::Framed, compared.verdict())];
    // the same words as on a terminal, without its pictures of signs
    let report = compared.report();
    for section in &report.sections {
        if section.head != "Times" {
            continue;
        }
        for part in &section.parts {
            if let Part::Words(words) = part {
                blocks.push(Block::Text(Style::Plain, words.clone()));
            }
        }
    }
    if let Err(why) = &compared.times {
        blocks.push(Block::Text(Style::Plain, format!("{}.", short(why))));
    }
    for told in compared.told.iter().take(most_told) {
        blocks.push(Block::Text(Style::Item, short(told)));
    }
    let untold = compared.told.len() - most_told.min(compared.told.len());
    if untold > 0 {
        blocks.push(Block::Text(
            Style::Item,
            format!("{untold} more notes stand on the screen: shimwright runs."),
        ));
    }
    let mut sections = vec![Section {
        head: "What can be told".to_string(),
        blocks,
    }];
    if !compared.runs.is_empty() {
        let shown = compared.runs.len().min(MOST_RUNS);
        let pictures = RunsPictures {
            runs: compared.runs[..shown].to_vec(),
            felt: compared.felt.clone(),
        };
        let left_out = match compared.runs.len() - shown {
            0 => String::new(),
            more => format!(" {more} more runs are not drawn."),
        };
        sections.push(Section {
            head: "Median of each run in seconds over the order, and what was felt".to_string(),
            blocks: vec![
                Block::Runs(Box::new(pictures)),
                Block::Text(
                    Style::Small,
                    format!("● A, {first}; ○ B, {second}. Lines: where drift and setting put a run, dashed for B.{left_out}"),
                ),
            ],
        });
    }
    sections.push(Section {
        head: "Before it is used".to_string(),
        blocks: vec![
            Block::Text(Style::Caution, Safety::Running.words().to_string()),
            Block::Text(
                Style::Framed,
                first_word("This sheet says what was driven. It does"),
            ),
        ],
    });
    Document {
        sheet: "runs sheet".to_string(),
        id: compared.days.join(", "),
        title: format!("{first} and {second}: runs sheet"),
        unit: fit(&format!("A {first}, B {second}"), Face::Bold, 17.0, room * 1.8),
        under: fit(&compared.days.join(" · "), Face::Regular, 9.5, room * 1.9),
        digest: String::new(),
        finished: true,
        code: None,
        glance: None,
        sections,
    }
}

fn short(words: &str) -> String {
    match words.chars().count() > LONG {
        true => words.chars().take(LONG).chain(['…']).collect(),
        false => words.to_string(),
    }
}
