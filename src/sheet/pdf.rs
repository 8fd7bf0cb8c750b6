//! Pages become the bytes of a PDF.
//!
//! Fonts are cut to the characters that are used and carry their mapping to Unicode, so that the text can be searched
//! and copied. No clock and no counter of the process reaches the file: names and `/ID` come from the content.

use super::mark::fingerprint;
use super::measure::{Face, POINT};
use super::page::{Item, Page, runs};
use allsorts::binary::read::ReadScope;
use allsorts::font_data::FontData;
use allsorts::subset::{CmapTarget, SubsetProfile, subset};
use lopdf::{Object, Stream, StringFormat, dictionary};
use printpdf::{
    Color, FontId, Greyscale, Line, LineDashPattern, LinePoint, Mm, Op, PaintMode, ParsedFont, PdfDocument,
    PdfFont, PdfFontHandle, PdfPage, PdfSaveOptions, Point, Polygon, PolygonRing, Pt, TextItem, TextMatrix,
    WindingOrder,
};
use std::collections::BTreeSet;
use zlib_rs::{DeflateConfig, ReturnCode, compress_bound, compress_slice};

/// Why a sheet could not be made into a PDF.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum SheetError {
    /// A font that can not be read or cut.
    #[error("the font {font} can not be used: {why}")]
    Font {
        /// The font.
        font: &'static str,
        /// What is wrong with it.
        why: String,
    },
    /// A page that can not be written.
    #[error("the pages can not be written: {why}")]
    Write {
        /// What is wrong.
        why: String,
    },
}

/// How the mark begins, and within how many bytes from the end of a file it stands.
const MARK: &[u8] = b"/ID[<";
const END: usize = 400;

fn failed(why: impl ToString) -> SheetError {
    SheetError::Write { why: why.to_string() }
}

/// The bytes of a PDF with these pages and this title.
pub(super) fn write(pages: &[Page], title: &str) -> Result<Vec<u8>, SheetError> {
    let mut document = PdfDocument::new(title);
    for face in Face::ALL {
        let used = characters(pages, face);
        if !used.is_empty() {
            let font = cut(face, &used)?;
            // under a fixed name: the one that the library gives counts up over the whole process
            document.resources.fonts.map.insert(id(face), PdfFont::new(font));
        }
    }
    document.pages = pages
        .iter()
        .map(|page| PdfPage::new(Mm(page.width as f32), Mm(page.height as f32), operations(page)))
        .collect();
    finish(&document, title)
}

fn id(face: Face) -> FontId {
    FontId(
        match face {
            Face::Regular => "regular",
            Face::Bold => "bold",
            Face::Mono => "mono",
        }
        .to_string(),
    )
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

/// Whether a file is a sheet that was written here, that nobody has touched since, and that has the title of another.
pub(super) fn is_same(old: &[u8], new: &[u8]) -> bool {
    matches!((information(old), information(new)), (Some(old), Some(new)) if old == new)
}

/// Whether a file was written here and nobody has touched it since.
pub(super) fn is_as_written(file: &[u8]) -> bool {
    information(file).is_some()
}

/// Title and maker of a file that was written here, while its mark is still that of its bytes.
fn information(file: &[u8]) -> Option<&[u8]> {
    let find = |from: usize, what: &[u8]| {
        let found = file.get(from..)?.windows(what.len()).position(|at| at == what)?;
        Some(from + found)
    };
    let start = find(file.len().saturating_sub(END), MARK)?;
    let end = find(start, b"]>>")? + 1;
    let bare = [file.get(..start)?, file.get(end..)?].concat();
    let mark: String = fingerprint(&bare).iter().map(|b| format!("{b:02X}")).collect();
    let whole = [MARK, mark.as_bytes(), b"><", mark.as_bytes(), b">]"].concat();
    if file.get(start..end)? != whole {
        return None;
    }
    let head = b"<</Title<";
    let title = file.windows(head.len()).rposition(|at| at == head)?;
    let information = file.get(title..find(title, b">>")?)?;
    information
        .ends_with(b"/Creator(shimwright)")
        .then_some(information)
}

/// Points from the lower left corner, rounded so that no last bit of a sine reaches the file.
fn points(mm: f64) -> Pt {
    Pt(((mm / POINT * 100.0).round() / 100.0) as f32)
}

fn grey(value: f64) -> Color {
    Color::Greyscale(Greyscale {
        percent: value as f32,
        icc_profile: None,
    })
}

fn corners(points_mm: &[(f64, f64)], height: f64) -> Vec<LinePoint> {
    points_mm
        .iter()
        .map(|(x, y)| LinePoint {
            p: Point {
                x: points(*x),
                y: points(height - y),
            },
            bezier: false,
        })
        .collect()
}

/// The operations of a page, without those that would set what is set already: they are a third of the file.
#[derive(Default)]
struct Pen {
    ops: Vec<Op>,
    fill: Option<u64>,
    edge: Option<u64>,
    thickness: Option<u64>,
    dash: Option<u64>,
    font: Option<(Face, u64)>,
}

/// Remembers a value; whether it is another than before.
fn changed(slot: &mut Option<u64>, value: f64) -> bool {
    let bits = value.to_bits();
    slot.replace(bits) != Some(bits)
}

impl Pen {
    fn fill(&mut self, level: f64) {
        if changed(&mut self.fill, level) {
            self.ops.push(Op::SetFillColor { col: grey(level) });
        }
    }

    /// `dash` 0 is a whole line.
    fn edge(&mut self, level: f64, thickness: f64, dash: f64) {
        if changed(&mut self.edge, level) {
            self.ops.push(Op::SetOutlineColor { col: grey(level) });
        }
        if changed(&mut self.thickness, thickness) {
            self.ops.push(Op::SetOutlineThickness {
                pt: points(thickness),
            });
        }
        if changed(&mut self.dash, dash) {
            let lengths = [points(dash).0];
            let pattern = if dash > 0.0 { &lengths[..] } else { &[] };
            self.ops.push(Op::SetLineDashPattern {
                dash: LineDashPattern::new(0.0, pattern),
            });
        }
    }

    /// Writes `text` where `place` moves the cursor to.
    fn write(&mut self, text: &str, face: Face, size: f64, level: f64, place: Op) {
        self.fill(level);
        // a place is relative to the one before within a section, so each string has its own section
        self.ops.push(Op::StartTextSection);
        let font = Some((face, size.to_bits()));
        if self.font != font {
            self.font = font;
            self.ops.push(Op::SetFont {
                font: PdfFontHandle::External(id(face)),
                size: Pt((size * 100.0).round() as f32 / 100.0),
            });
        }
        let items = vec![TextItem::Text(text.to_string())];
        self.ops
            .extend([place, Op::ShowText { items }, Op::EndTextSection]);
    }
}

fn operations(page: &Page) -> Vec<Op> {
    let mut pen = Pen::default();
    let at = |x: f64, y: f64| Point {
        x: points(x),
        y: points(page.height - y),
    };
    for item in &page.items {
        match item {
            Item::Text {
                x,
                y,
                size,
                face,
                text,
                grey: level,
            } => {
                let place = Op::SetTextCursor { pos: at(*x, *y) };
                pen.write(text, *face, *size, *level, place);
            }
            Item::Mark {
                x,
                y,
                size,
                turn,
                text,
                grey: level,
            } => {
                let from = at(*x, *y);
                let matrix = TextMatrix::TranslateRotate(from.x, from.y, *turn as f32);
                pen.write(text, Face::Bold, *size, *level, Op::SetTextMatrix { matrix });
            }
            Item::Line {
                points: path,
                thickness,
                grey: level,
                dash,
            } => {
                pen.edge(*level, *thickness, *dash);
                pen.ops.push(Op::DrawLine {
                    line: Line {
                        points: corners(path, page.height),
                        is_closed: false,
                    },
                });
            }
            Item::Code { x, y, module, rows } => {
                pen.fill(0.0);
                // one path for the whole symbol: single squares would show hairlines between them
                let rings = runs(rows)
                    .map(|(row, from, to)| {
                        let (left, right) = (x + from as f64 * module, x + to as f64 * module);
                        let (top, foot) = (y + row as f64 * module, y + (row + 1) as f64 * module);
                        let ring = [(left, top), (right, top), (right, foot), (left, foot)];
                        PolygonRing {
                            points: corners(&ring, page.height),
                        }
                    })
                    .collect();
                pen.ops.push(Op::DrawPolygon {
                    polygon: Polygon {
                        rings,
                        mode: PaintMode::Fill,
                        winding_order: WindingOrder::NonZero,
                    },
                });
            }
            Item::Polygon {
                points: path,
                fill,
                outline,
            } => {
                if let Some(level) = fill {
                    pen.fill(*level);
                }
                if *outline > 0.0 {
                    pen.edge(0.0, *outline, 0.0);
                }
                let mode = match (fill.is_some(), *outline > 0.0) {
                    (true, true) => PaintMode::FillStroke,
                    (false, true) => PaintMode::Stroke,
                    (true, false) => PaintMode::Fill,
                    (false, false) => continue,
                };
                pen.ops.push(Op::DrawPolygon {
                    polygon: Polygon {
                        rings: vec![PolygonRing {
                            points: corners(path, page.height),
                        }],
                        mode,
                        winding_order: WindingOrder::NonZero,
                    },
                });
            }
        }
    }
    pen.ops
}

fn utf16(text: &str) -> Object {
    let mut bytes = vec![0xFE, 0xFF];
    for unit in text.encode_utf16() {
        bytes.extend(unit.to_be_bytes());
    }
    Object::String(bytes, StringFormat::Hexadecimal)
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
fn finish(document: &PdfDocument, title: &str) -> Result<Vec<u8>, SheetError> {
    let mut warnings = Vec::new();
    let mut file = document.to_lopdf_document(&PdfSaveOptions::default(), &mut warnings);
    file.version = "1.7".to_string();
    let catalog = file
        .trailer
        .get(b"Root")
        .and_then(Object::as_reference)
        .and_then(|root| file.get_object_mut(root))
        .and_then(Object::as_dict_mut)
        .map_err(failed)?;
    catalog.set("PageMode", "UseNone");
    catalog.set("PageLayout", "SinglePage");
    catalog.set("Lang", Object::string_literal("en-GB"));
    catalog.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true });
    let info = dictionary! {
        "Title" => utf16(&super::measure::on_paper(title)),
        "Creator" => Object::string_literal("shimwright"),
    };
    let info = file.add_object(info);
    file.trailer.set("Info", info);
    file.trailer.remove(b"ID");
    file.prune_objects();
    for object in file.objects.values_mut() {
        if let Object::Stream(stream) = object {
            press(stream)?;
        }
    }
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).map_err(failed)?;
    let mark = Object::String(fingerprint(&bytes).to_vec(), StringFormat::Hexadecimal);
    file.trailer.set("ID", vec![mark.clone(), mark]);
    bytes.clear();
    file.save_to(&mut bytes).map_err(failed)?;
    Ok(bytes)
}
