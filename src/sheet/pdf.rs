//! Pages become the bytes of a PDF.
//!
//! Fonts are cut to the characters that are used and carry their mapping to Unicode, so that the text can be searched
//! and copied. No clock and no counter of the process reaches the file: names and `/ID` come from the content.

use super::error::{SheetError, failed};
use super::mark::fingerprint;
use super::measure::Face;
use super::page::{Item, Page};
use super::pdf_mark::{blank, set_mark};
use super::pdf_values::utf16;
use super::pen::{id, operations};
use super::tags::Role;
use super::tree::Tree;
use allsorts::binary::read::ReadScope;
use allsorts::font_data::FontData;
use allsorts::subset::{CmapTarget, SubsetProfile, subset};
use lopdf::{Object, ObjectId, SaveOptions, Stream, dictionary};
use printpdf::{Mm, ParsedFont, PdfDocument, PdfFont, PdfPage, PdfSaveOptions};
use std::collections::{BTreeSet, HashSet};
use zlib_rs::{DeflateConfig, ReturnCode, compress_bound, compress_slice};

/// What a file says of itself.
#[derive(Clone, Copy)]
pub(super) struct About<'a> {
    /// Its title.
    pub title: &'a str,
    /// The language of its words, as BCP 47 has it.
    pub language: &'a str,
}

impl<'a> About<'a> {
    /// Of what is told in the language of the program.
    pub fn english(title: &'a str) -> About<'a> {
        About {
            title,
            language: "en-GB",
        }
    }
}

/// So many objects are pressed together.
const TOGETHER: usize = 1000;

/// The bytes of a PDF with these pages.
pub(super) fn write(pages: &[Page], about: About<'_>) -> Result<Vec<u8>, SheetError> {
    let pages = joined(pages);
    let mut document = PdfDocument::new(about.title);
    for face in Face::ALL {
        let used = characters(&pages, face);
        if !used.is_empty() {
            let font = cut(face, &used)?;
            // under a fixed name: the one that the library gives counts up over the whole process
            document.resources.fonts.map.insert(id(face), PdfFont::new(font));
        }
    }
    let mut tree = Tree::default();
    for page in &pages {
        let ops = operations(page, &mut tree);
        let (wide, high) = (Mm(page.width as f32), Mm(page.height as f32));
        document.pages.push(PdfPage::new(wide, high, ops));
    }
    finish(&document, &tree, about)
}

/// The pages with a space behind each line that goes on in its part: whoever has it read out is told no line, and would hear
/// two words as one. In a word that is wider than a whole line stands one too, where it is broken.
fn joined(pages: &[Page]) -> Vec<Page> {
    let mut pages = pages.to_vec();
    let mut parts: Vec<Option<usize>> = Vec::new();
    for page in &pages {
        let mut part = None;
        for item in &page.items {
            match item {
                Item::Tag(tag) => {
                    let words = tag.as_ref().filter(|tag| !matches!(tag.role(), Role::Figure(_)));
                    part = words.map(|tag| tag.key());
                }
                Item::Text { .. } => parts.push(part),
                _ => {}
            }
        }
    }
    let mut later = HashSet::new();
    let items = pages.iter_mut().flat_map(|page| &mut page.items);
    let texts = items.filter_map(|item| match item {
        Item::Text { text, .. } => Some(text),
        _ => None,
    });
    let texts: Vec<&mut String> = texts.collect();
    for (text, part) in texts.into_iter().zip(parts).rev() {
        if let Some(part) = part
            && !later.insert(part)
            && !text.is_empty()
        {
            text.push(' ');
        }
    }
    pages
}

fn characters(pages: &[Page], wanted: Face) -> BTreeSet<char> {
    let mut used = BTreeSet::new();
    for item in pages.iter().flat_map(|page| &page.items) {
        match item {
            Item::Text { face, text, .. } if *face == wanted => used.extend(text.chars()),
            Item::Mark { text, .. } if wanted == Face::Bold => used.extend(text.chars()),
            _ => {}
        }
    }
    used
}

/// The face with nothing but the characters that are used.
fn cut(face: Face, used: &BTreeSet<char>) -> Result<ParsedFont, SheetError> {
    let broken = |why: String| SheetError::Font {
        font: face.name(),
        why,
    };
    let whole = ParsedFont::from_bytes(face.bytes(), 0, &mut Vec::new())
        .ok_or_else(|| broken("it can not be read".to_string()))?;
    let mut glyphs = BTreeSet::new();
    for c in used {
        match whole.lookup_glyph_index(u32::from(*c)) {
            Some(glyph) if glyph != 0 => glyphs.insert(glyph),
            _ => return Err(broken(format!("it lacks {c:?}"))),
        };
    }
    // the glyph for what is missing comes first
    let glyphs: Vec<u16> = std::iter::once(0).chain(glyphs).collect();
    let file = ReadScope::new(face.bytes())
        .read::<FontData<'_>>()
        .map_err(|e| broken(e.to_string()))?;
    let tables = file.table_provider(0).map_err(|e| broken(e.to_string()))?;
    let bytes = subset(&tables, &glyphs, &SubsetProfile::Minimal, CmapTarget::Unicode)
        .map_err(|e| broken(e.to_string()))?;
    let mut font = ParsedFont::from_bytes(&bytes, 0, &mut Vec::new())
        .ok_or_else(|| broken("its subset can not be read".to_string()))?;
    if let Some(lost) = used
        .iter()
        .find(|c| font.lookup_glyph_index(u32::from(**c)).is_none())
    {
        return Err(broken(format!("its subset lost {lost:?}")));
    }
    // a subset is marked by six capitals (ISO 32000-2, 9.9.2)
    let tag: String = fingerprint(&bytes)
        .iter()
        .take(6)
        .map(|b| char::from(b'A' + b % 26))
        .collect();
    font.font_name = Some(format!("{tag}+{}", face.name()));
    Ok(font)
}

/// How hard streams are pressed. The hardest, 9, takes more than twice as long and wins less than a hundredth.
const LEVEL: i32 = 6;

/// Deflates what is not deflated yet (ISO 32000-2, 7.4.4), unless it would grow.
fn press(stream: &mut Stream) -> Result<(), SheetError> {
    const FILTER: &str = "/Filter/FlateDecode";
    if !stream.allows_compression || stream.dict.has(b"Filter") {
        return Ok(());
    }
    let mut room = vec![0; compress_bound(stream.content.len())];
    let (pressed, code) = compress_slice(&mut room, &stream.content, DeflateConfig::new(LEVEL));
    if code != ReturnCode::Ok {
        return Err(failed(format!("deflating them gave {code:?}")));
    }
    if pressed.len() + FILTER.len() < stream.content.len() {
        let pressed = pressed.to_vec();
        stream.dict.set("Filter", "FlateDecode");
        stream.set_content(pressed);
    }
    Ok(())
}

/// Sets what the library leaves out, and takes out what it counts up.
fn finish(document: &PdfDocument, tree: &Tree, about: About<'_>) -> Result<Vec<u8>, SheetError> {
    let mut warnings = Vec::new();
    let mut file = document.to_lopdf_document(&PdfSaveOptions::default(), &mut warnings);
    file.version = "1.7".to_string();
    let pages: Vec<ObjectId> = file.get_pages().into_values().collect();
    tree.write(&mut file, &pages)?;
    let catalog = file.catalog_mut().map_err(failed)?;
    catalog.set("PageMode", "UseNone");
    catalog.set("PageLayout", "SinglePage");
    catalog.set("Lang", Object::string_literal(about.language));
    catalog.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true });
    let info = dictionary! {
        "Title" => utf16(&super::measure::on_paper(about.title)),
        "Creator" => Object::string_literal("shimwright"),
    };
    let info = file.add_object(info);
    file.trailer.set("Info", info);
    file.trailer.set("ID", blank());
    file.prune_objects();
    for object in file.objects.values_mut() {
        if let Object::Stream(stream) = object {
            press(stream)?;
        }
    }
    let together = SaveOptions::builder()
        .use_object_streams(true)
        .use_xref_streams(true)
        .max_objects_per_stream(TOGETHER)
        .compression_level(LEVEL.unsigned_abs())
        .build();
    let mut bytes = Vec::new();
    file.save_with_options(&mut bytes, together).map_err(failed)?;
    set_mark(&mut bytes)?;
    Ok(bytes)
}
