//! The sheet of a build as one page of HTML: what stands on paper, for a screen of any width.
//!
//! The page needs nothing but itself: no script, no font, no picture from elsewhere. It is well-formed XML as well as HTML, so
//! that any program can read it.

mod markup;
mod pictures;

use self::markup::{Markup, escaped};
use super::blocks::{Block, Document, Glance, Section, SignLine, Style};
use super::content;
use super::mark::fingerprint;
use super::page::{Margins, Paper};
use crate::record::Build;
use crate::report::{Holds, Table};

const STYLE: &str = include_str!("style.css");

/// What begins and ends the mark in the last line of a page.
const MARK: (&str, &str) = ("<!-- ", " -->\n");

/// The page of a build. The same build on the same paper gives the same text.
pub(super) fn page(build: &Build, paper: Paper) -> String {
    let document = content::document(build);
    let mut page = Writer {
        out: Markup::default(),
        pictures: 0,
        cautions: match (
            build.cautions.is_empty(),
            build.procedure.spoken.language.as_str(),
        ) {
            // what is said where none is on record is English, as all else is
            (true, _) | (_, "en") => String::new(),
            (false, language) => format!(" lang=\"{}\"", escaped(language)),
        },
    };
    page.whole(&document, paper);
    let text = page.out.into_text();
    let mark = mark_of(&text);
    format!("{text}{}{mark}{}", MARK.0, MARK.1)
}

/// What a page is known by while nobody has touched it.
fn mark_of(text: &str) -> String {
    fingerprint(text.as_bytes())
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// Whether a file is a page that was written here, that nobody has touched since, and that has the title of another.
pub(super) fn is_same(old: &[u8], new: &[u8]) -> bool {
    matches!((title(old), title(new)), (Some(old), Some(new)) if old == new)
}

/// The title of a page while its mark is still that of its text.
fn title(file: &[u8]) -> Option<&str> {
    let whole = std::str::from_utf8(file).ok()?;
    let (text, mark) = whole.strip_suffix(MARK.1)?.rsplit_once(MARK.0)?;
    let title = text.split_once("<title>")?.1.split_once("</title>")?.0;
    (mark_of(text) == mark).then_some(title)
}

/// Words as a string of a style sheet: what is neither letter nor digit is written as its number.
fn styled(words: &str) -> String {
    words
        .chars()
        .map(|c| match c.is_ascii_alphanumeric() {
            true => c.to_string(),
            false => format!("\\{:x} ", u32::from(c)),
        })
        .collect()
}

struct Writer {
    out: Markup,
    /// How many pictures there are so far.
    pictures: usize,
    /// The attribute that names the language of the cautions; nothing where it is that of the page.
    cautions: String,
}

impl Writer {
    fn whole(&mut self, document: &Document, paper: Paper) {
        let digest = match document.digest.is_empty() {
            true => "no digest".to_string(),
            false => format!("digest {}", document.digest),
        };
        let foot = format!("{} · {digest}", document.id);
        self.out
            .push("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n");
        self.out
            .push("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n");
        self.out
            .push("<meta name=\"format-detection\" content=\"telephone=no\"/>\n<meta name=\"generator\" content=\"shimwright\"/>\n");
        self.out
            .push(&format!("<title>{}</title>\n", escaped(&document.title)));
        self.out.push(&format!(
            "<style>\n{STYLE}{}</style>\n</head>\n",
            on_paper(paper, &foot)
        ));
        let state = if document.finished {
            ""
        } else {
            "class=\"unfinished\""
        };
        self.out.open("body", state);
        self.head(document);
        self.out.open("main", "");
        for section in &document.sections {
            self.section(section);
        }
        self.out.close("main");
        let foot = match document.finished {
            true => foot,
            false => format!("{foot} · UNFINISHED"),
        };
        self.out.words("footer", "", &foot);
        self.out.push("</body>\n</html>\n");
    }

    fn head(&mut self, document: &Document) {
        self.out.open("header", "");
        self.out.open("p", "class=\"band\"");
        self.out.words("span", "", &document.sheet.to_uppercase());
        self.out.push(" ");
        self.out.words("span", "", &document.id);
        self.out.close("p");
        self.out.words("h1", "", &document.unit);
        self.out.words("p", "class=\"under\"", &document.under);
        if !document.finished {
            self.out.words("p", "class=\"state\"", "UNFINISHED");
        }
        if let Some(glance) = &document.glance {
            self.glance(glance);
        }
        self.out.close("header");
    }

    fn glance(&mut self, glance: &Glance) {
        self.out.open("div", "class=\"glance\"");
        self.out.open("dl", "");
        for (label, value) in &glance.cells {
            self.pair("", label, value);
        }
        self.pair("class=\"open\"", "Open", &glance.open);
        self.out.close("dl");
        if let Some(symbol) = &glance.code {
            let says = "Build, lines of its journal and the first digits of their digest, as a phone reads them off paper.";
            pictures::code(&mut self.out, &mut self.pictures, symbol, "Small code", says);
        }
        self.out.close("div");
    }

    fn pair(&mut self, attributes: &str, label: &str, value: &str) {
        self.out.open("div", attributes);
        self.out.words("dt", "", label);
        self.out.words("dd", "", value);
        self.out.close("div");
    }

    fn section(&mut self, section: &Section) {
        self.out.open("section", "");
        self.out.words("h2", "", &section.head);
        self.blocks(&section.blocks);
        self.out.close("section");
    }

    fn blocks(&mut self, blocks: &[Block]) {
        for block in blocks {
            match block {
                Block::Pairs(pairs) => {
                    self.out.open("dl", "class=\"pairs\"");
                    for (label, value) in pairs {
                        self.pair("", label, value);
                    }
                    self.out.close("dl");
                }
                Block::Table(table) | Block::Halves(table) => self.table(table),
                Block::Text(style, words) => self.paragraph(*style, words),
                Block::Packs(packs, units) => {
                    pictures::packs(&mut self.out, &mut self.pictures, packs, *units);
                }
                Block::Curve(curve, units) => {
                    pictures::curve(&mut self.out, &mut self.pictures, curve, *units);
                }
                Block::Strip(strip) => pictures::strip(&mut self.out, &mut self.pictures, strip),
                Block::Sign(line) => self.sign(line),
                Block::Beside(symbol, blocks) => {
                    let says =
                        "The whole digest and the figures of this sheet, as a phone reads them off paper.";
                    pictures::code(
                        &mut self.out,
                        &mut self.pictures,
                        symbol,
                        "Code of the record",
                        says,
                    );
                    self.blocks(blocks);
                }
                // of no build
                Block::Settling(..) | Block::Wear(_) | Block::Runs(_) => {}
            }
        }
    }

    fn paragraph(&mut self, style: Style, words: &str) {
        let attributes = match style {
            Style::Plain => String::new(),
            Style::Small => "class=\"small\"".to_string(),
            Style::Item => "class=\"item\"".to_string(),
            Style::Caution => format!("class=\"caution\"{}", self.cautions),
            Style::Framed => "class=\"framed\"".to_string(),
            Style::Digest => "class=\"digest\"".to_string(),
        };
        self.out.words("p", &attributes, words);
    }

    /// A table whose first cells name their rows. Each cell has the head of its column with it, for where it stands alone.
    fn table(&mut self, table: &Table) {
        let class = |holds: Holds| match holds {
            Holds::Words => "",
            Holds::Figures => " class=\"n\"",
            Holds::Lists => " class=\"l\"",
        };
        self.out.open("table", "");
        self.out.open("thead", "");
        self.out.open("tr", "");
        for column in &table.columns {
            let attributes = format!("scope=\"col\"{}", class(column.holds));
            self.out.words("th", &attributes, &column.title());
        }
        self.out.close("tr");
        self.out.close("thead");
        self.out.open("tbody", "");
        for row in &table.rows {
            self.out.open("tr", "");
            for (n, (column, cell)) in table.columns.iter().zip(row).enumerate() {
                let (name, scope) = if n == 0 {
                    ("th", "scope=\"row\" ")
                } else {
                    ("td", "")
                };
                let label = escaped(&column.title());
                let attributes = format!("{scope}data-label=\"{label}\"{}", class(column.holds));
                // one element inside, so that a narrow screen sets label and words beside each other
                let inside = if cell.strong { "strong" } else { "span" };
                self.out.open(name, &attributes);
                self.out.words(inside, "", &cell.text());
                self.out.close(name);
            }
            self.out.close("tr");
        }
        self.out.close("tbody");
        self.out.close("table");
    }

    fn sign(&mut self, line: &SignLine) {
        self.out.open("dl", "class=\"sign\"");
        self.pair("", &format!("{}: name", line.role), &line.name);
        self.pair("", "signature", "");
        self.pair("", "date", &line.at);
        self.out.close("dl");
    }
}

/// How the page is printed: on its paper, within the margins of every sheet, with its foot on each page.
fn on_paper(paper: Paper, foot: &str) -> String {
    let Margins {
        left,
        right,
        top,
        bottom,
    } = Margins::SHEET;
    let size = match paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    };
    format!(
        "@page{{size:{size};margin:{top}mm {right}mm {}mm {left}mm;\
         @bottom-left{{content:\"{}\";font:8pt sans-serif}}\
         @bottom-right{{content:\"page \" counter(page) \" of \" counter(pages);font:8pt sans-serif}}}}\n",
        bottom + super::layout::FOOT,
        styled(foot)
    )
}
