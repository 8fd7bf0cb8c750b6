//! Pages become the bytes of a PDF.
//!
//! Fonts are cut to the characters that are used and carry their mapping to Unicode, so that the text can be searched
//! and copied. No clock and no counter of the process reaches the file: names and `/ID` come from the content.

use super::about::About;
use super::error::{SheetError, failed};
use super::given_font::{FontSource, GivenFont, cut};
use super::mark::fingerprint;
use super::measure::{Face, font_in_use, in_fonts};
use super::page::{Item, Page};
use super::pdf_mark::{blank, set_mark};
use super::pen::{id, operations};
use super::tags::Role;
use super::tree::Tree;
use super::{attachments, metadata, outline};
use lopdf::{Object, ObjectId, SaveOptions, Stream};
use printpdf::{Mm, ParsedFont, PdfDocument, PdfFont, PdfPage, PdfSaveOptions};
use std::collections::{BTreeSet, HashSet};
use zlib_rs::{DeflateConfig, ReturnCode, compress_bound, compress_slice};

/// What a font that was handed in is called in the file.
const GIVEN: &str = "GivenFont";
/// So many objects are pressed together.
const TOGETHER: usize = 1000;

/// The bytes of a PDF with these pages.
pub(super) fn write(pages: &[Page], about: About<'_>) -> Result<Vec<u8>, SheetError> {
    let pages = joined(pages);
    let mut document = PdfDocument::new(about.title);
    let mut fonts = Vec::new();
    for face in Face::ALL {
        let used = characters(&pages, Some(face));
        if !used.is_empty() {
            fonts.push((id(Some(face)), cut_face(face, &used)?));
        }
    }
    let given = font_in_use();
    if let Some(font) = &given {
        let used = characters(&pages, None);
        let glyph = |c| font.glyph(c);
        fonts.push((
            id(None),
            cut_to(font.source(), glyph, &used, GIVEN, &font.name())?,
        ));
    }
    for (id, font) in fonts {
        // under a fixed name: the one that the library gives counts up over the whole process
        document.resources.fonts.map.insert(id, PdfFont::new(font));
    }
    let mut tree = Tree::default();
    for page in &pages {
        let ops = operations(page, &mut tree);
        let (wide, high) = (Mm(page.width as f32), Mm(page.height as f32));
        document.pages.push(PdfPage::new(wide, high, ops));
    }
    finish(&document, &tree, about, given.as_ref())
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

/// The characters that are set in a face; without one, those in the font that was handed in.
fn characters(pages: &[Page], wanted: Option<Face>) -> BTreeSet<char> {
    let mut used = BTreeSet::new();
    for item in pages.iter().flat_map(|page| &page.items) {
        let (face, text) = match item {
            Item::Text { face, text, .. } => (*face, text),
            Item::Mark { text, .. } => (Face::Bold, text),
            _ => continue,
        };
        if wanted.is_some_and(|wanted| wanted != face) {
            continue;
        }
        for (given, piece) in in_fonts(text, face) {
            if given == wanted.is_none() {
                used.extend(piece.chars());
            }
        }
    }
    used
}

/// The face with nothing but the characters that are used.
fn cut_face(face: Face, used: &BTreeSet<char>) -> Result<ParsedFont, SheetError> {
    let source = face.source();
    let whole = ParsedFont::from_bytes(source.bytes, source.face, &mut Vec::new()).ok_or_else(|| {
        SheetError::Font {
            font: face.name().to_string(),
            why: "it can not be read".to_string(),
        }
    })?;
    let glyph = |c: char| whole.lookup_glyph_index(u32::from(c));
    cut_to(source, glyph, used, face.name(), face.name())
}

/// A font with nothing but the characters that are used; `called` is what it is called in the file, `told` to a person.
fn cut_to(
    source: FontSource<'_>,
    glyph: impl Fn(char) -> Option<u16>,
    used: &BTreeSet<char>,
    called: &str,
    told: &str,
) -> Result<ParsedFont, SheetError> {
    let broken = |why: String| SheetError::Font {
        font: told.to_string(),
        why,
    };
    let mut glyphs = BTreeSet::new();
    for c in used {
        match glyph(*c) {
            Some(glyph) if glyph != 0 => glyphs.insert(glyph),
            _ => return Err(broken(format!("it lacks {c:?}"))),
        };
    }
    // the glyph for what is missing comes first
    let glyphs: Vec<u16> = std::iter::once(0).chain(glyphs).collect();
    let bytes = cut(source, &glyphs).map_err(broken)?;
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
    font.font_name = Some(format!("{tag}+{called}"));
    Ok(font)
}

/// How hard streams are pressed. The hardest, 9, takes more than twice as long and wins less than a hundredth.
const LEVEL: i32 = 6;

fn deflated(bytes: &[u8]) -> Result<Vec<u8>, SheetError> {
    let mut room = vec![0; compress_bound(bytes.len())];
    let (pressed, code) = compress_slice(&mut room, bytes, DeflateConfig::new(LEVEL));
    match code {
        ReturnCode::Ok => Ok(pressed.to_vec()),
        code => Err(failed(format!("deflating them gave {code:?}"))),
    }
}

/// Deflates the table of the places of all objects, which is the last of them and which the library writes as it is.
fn press_table(file: Vec<u8>) -> Result<Vec<u8>, SheetError> {
    const BEGINS: &[u8] = b">>stream\n";
    let odd = || failed("the table of their objects is not where it is said to be");
    let find = |from: usize, what: &[u8]| {
        let found = file
            .get(from..)
            .and_then(|rest| rest.windows(what.len()).position(|at| at == what));
        found.map(|at| from + at).ok_or_else(odd)
    };
    let said = file
        .windows(9)
        .rposition(|at| at == b"startxref")
        .ok_or_else(odd)?;
    let words = file.get(said..).and_then(|words| std::str::from_utf8(words).ok());
    let place = words.and_then(|words| words.split_whitespace().nth(1)?.parse().ok());
    let length = find(place.ok_or_else(odd)?, b"/Length ")?;
    let begins = find(length, BEGINS)?;
    let number = file
        .get(length + 8..begins)
        .and_then(|number| std::str::from_utf8(number).ok());
    let ends = begins
        + BEGINS.len()
        + number
            .and_then(|number| number.parse::<usize>().ok())
            .ok_or_else(odd)?;
    let table = deflated(file.get(begins + BEGINS.len()..ends).ok_or_else(odd)?)?;
    let head = format!("/Length {}/Filter/FlateDecode", table.len());
    Ok([&file[..length], head.as_bytes(), BEGINS, &table, &file[ends..]].concat())
}

/// Deflates what is not deflated yet (ISO 32000-2, 7.4.4), unless it would grow.
fn press(stream: &mut Stream) -> Result<(), SheetError> {
    const FILTER: &str = "/Filter/FlateDecode";
    if !stream.allows_compression || stream.dict.has(b"Filter") {
        return Ok(());
    }
    let pressed = deflated(&stream.content)?;
    if pressed.len() + FILTER.len() < stream.content.len() {
        stream.dict.set("Filter", "FlateDecode");
        stream.set_content(pressed);
    }
    Ok(())
}

/// Sets what the library leaves out, and takes out what it counts up.
fn finish(
    document: &PdfDocument,
    tree: &Tree,
    about: About<'_>,
    font: Option<&GivenFont>,
) -> Result<Vec<u8>, SheetError> {
    let mut warnings = Vec::new();
    let options = PdfSaveOptions {
        // the operators that the library does not know are our own
        secure: false,
        ..PdfSaveOptions::default()
    };
    let mut file = document.to_lopdf_document(&options, &mut warnings);
    file.version = "1.7".to_string();
    let pages: Vec<ObjectId> = file.get_pages().into_values().collect();
    tree.write(&mut file, &pages)?;
    outline::write(&mut file, &pages, tree.heads())?;
    metadata::write(&mut file, about, font)?;
    if let Some(record) = about.record {
        attachments::write(&mut file, record)?;
    }
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
    let mut bytes = press_table(bytes)?;
    set_mark(&mut bytes)?;
    Ok(bytes)
}
