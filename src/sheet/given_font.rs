//! A font that a person hands in: it sets the signs that the built-in faces lack, and nothing else.

use super::writing::stands_alone;
use crate::quantity::visible;
use allsorts::binary::read::ReadScope;
use allsorts::cff::CFF;
use allsorts::cff::outline::CFFOutlines;
use allsorts::error::ParseError;
use allsorts::font::{Encoding, read_cmap_subtable};
use allsorts::font_data::FontData;
use allsorts::get_name::fontcode_get_name;
use allsorts::outline::{BoundingBoxSink, OutlineBuilder};
use allsorts::subset::{CmapTarget, SubsetProfile, subset};
use allsorts::tables::cmap::Cmap;
use allsorts::tables::loca::LocaTable;
use allsorts::tables::os2::Os2;
use allsorts::tables::{
    FontTableProvider, HeadTable, HheaTable, HmtxTable, IndexToLocFormat, MaxpTable, OpenTypeData,
    OpenTypeFont,
};
use allsorts::tag;
use std::collections::HashMap;
use std::sync::Arc;

/// What stands before the name of a font where a file tells of it, and before its digest.
const BEFORE: &str = "font ";
const BETWEEN: &str = ", SHA-256 ";
/// The most faces of a collection.
const MOST_FACES: usize = 100;
/// The most names of faces that are told.
const MOST_TOLD: usize = 20;

/// Why a file is no font that can be printed with.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum FontError {
    /// It does not begin as one.
    #[error("it is no TrueType or OpenType font")]
    NoFont,
    /// It can not be read to its end.
    #[error("it can not be read as a font: it was cut off or damaged ({0})")]
    Damaged(String),
    /// It has several faces.
    #[error("it is a collection of fonts: say which by a number behind the name, FILE#1 and so on: {}", .0.join(", "))]
    Collection(Vec<String>),
    /// It has no such face.
    #[error("it has no face {face}: they are numbered from 1 to {count}")]
    NoFace {
        /// The number that was given.
        face: usize,
        /// How many it has.
        count: usize,
    },
    /// Its maker forbids what printing with it would do.
    #[error(
        "its maker does not allow it: it says of itself that it may not be {0} (fsType of its table OS/2)"
    )]
    Forbidden(&'static str),
    /// Its signs are pictures.
    #[error(
        "it has pictures or outlines of another kind: only those of TrueType (glyf) and of PostScript (CFF) are printed"
    )]
    NoOutlines,
    /// Nothing says which of its glyphs is which sign.
    #[error("it does not say which sign of Unicode each of its glyphs is")]
    NoUnicode,
}

fn damaged(why: ParseError) -> FontError {
    FontError::Damaged(why.to_string())
}

/// A font that was handed in.
#[derive(Clone)]
pub struct GivenFont(Arc<Given>);

struct Given {
    file: String,
    digest: String,
    /// Counted from 0; of a font that is no collection always 0.
    face: usize,
    bytes: Vec<u8>,
    is_collection: bool,
    glyphs: HashMap<char, Glyph>,
}

#[derive(Clone, Copy)]
struct Glyph {
    number: u16,
    /// In thousandths of the size, cut to whole ones as the widths in the PDF are.
    wide: u16,
}

impl GivenFont {
    /// A font out of the bytes of its file. `file` is the file's name as the sheet tells it, `digest` the SHA-256 of its bytes;
    /// of a collection one `face` must be named, counted from 1.
    ///
    /// ```
    /// use shimwright::sheet::{FontError, GivenFont};
    /// let read = GivenFont::read(b"a text".to_vec(), "notes.txt", "", None);
    /// assert_eq!(read.err(), Some(FontError::NoFont));
    /// ```
    ///
    /// # Errors
    ///
    /// [`FontError`], by what is wrong.
    pub fn read(
        bytes: Vec<u8>,
        file: &str,
        digest: &str,
        face: Option<usize>,
    ) -> Result<GivenFont, FontError> {
        if ![&b"\0\x01\0\0"[..], b"true", b"OTTO", b"ttcf"].contains(&bytes.get(..4).unwrap_or_default()) {
            return Err(FontError::NoFont);
        }
        let font = ReadScope::new(&bytes)
            .read::<OpenTypeFont<'_>>()
            .map_err(damaged)?;
        let (count, is_collection) = match &font.data {
            OpenTypeData::Single(_) => (1, false),
            OpenTypeData::Collection(all) => (all.offset_tables.len().min(MOST_FACES), true),
        };
        let face = match face {
            None if is_collection => return Err(FontError::Collection(faces(&font, count))),
            Some(face) if face == 0 || face > count => return Err(FontError::NoFace { face, count }),
            face => face.unwrap_or(1) - 1,
        };
        let tables = font.table_provider(face).map_err(damaged)?;
        is_allowed(&tables)?;
        let glyphs = glyphs(&tables)?;
        Ok(GivenFont(Arc::new(Given {
            file: file.to_string(),
            digest: digest.to_string(),
            face,
            is_collection,
            glyphs,
            bytes,
        })))
    }

    /// Its file's name, with the number of the face where it is a collection.
    pub fn name(&self) -> String {
        match self.0.is_collection {
            true => format!("{}#{}", self.0.file, self.0.face + 1),
            false => self.0.file.clone(),
        }
    }

    /// The SHA-256 of its file.
    pub fn digest(&self) -> &str {
        &self.0.digest
    }

    /// What a file says of it: [`named_in`] reads it.
    pub(super) fn told(&self) -> String {
        format!("{BEFORE}{}{BETWEEN}{}", visible(&self.name()), self.digest())
    }

    /// The width of a sign that it has, and that is read rightly where it stands by itself.
    pub(super) fn advance(&self, c: char) -> Option<u16> {
        self.0.glyphs.get(&c).map(|glyph| glyph.wide)
    }

    /// What it is cut by.
    pub(super) fn source(&self) -> FontSource<'_> {
        FontSource {
            bytes: &self.0.bytes,
            face: self.0.face,
        }
    }

    pub(super) fn glyph(&self, c: char) -> Option<u16> {
        self.0.glyphs.get(&c).map(|glyph| glyph.number)
    }
}

/// Name and digest of the font that a file says it is set in.
pub(super) fn named_in(words: &str) -> Option<(String, String)> {
    let (name, digest) = words.strip_prefix(BEFORE)?.rsplit_once(BETWEEN)?;
    Some((name.to_string(), digest.to_string()))
}

/// A face in a file.
#[derive(Clone, Copy)]
pub(super) struct FontSource<'a> {
    pub bytes: &'a [u8],
    pub face: usize,
}

/// A font of a file with nothing in it but some glyphs, the one for what is missing first.
pub(super) fn cut(source: FontSource<'_>, glyphs: &[u16]) -> Result<Vec<u8>, String> {
    let file = ReadScope::new(source.bytes)
        .read::<FontData<'_>>()
        .map_err(|e| e.to_string())?;
    let tables = file.table_provider(source.face).map_err(|e| e.to_string())?;
    subset(&tables, glyphs, &SubsetProfile::Minimal, CmapTarget::Unicode).map_err(|e| e.to_string())
}

/// The faces of a collection, each with its number.
fn faces(font: &OpenTypeFont<'_>, count: usize) -> Vec<String> {
    const FULL_NAME: u16 = 4;
    let name = |face: usize| {
        let tables = font.table_provider(face).ok()?;
        let table = tables.read_table_data(tag::NAME).ok()?;
        let name = fontcode_get_name(&table, FULL_NAME).ok()??;
        Some(name.to_string_lossy().into_owned())
    };
    (0..count.min(MOST_TOLD))
        .map(|face| format!("#{} {}", face + 1, name(face).unwrap_or_default()))
        .collect()
}

/// Whether its maker lets it be put into a file (OpenType, table OS/2, `fsType`).
fn is_allowed(tables: &impl FontTableProvider) -> Result<(), FontError> {
    const USAGE: u16 = 0x000F;
    const RESTRICTED: u16 = 0x0002;
    const NO_SUBSET: u16 = 0x0100;
    const PICTURES_ONLY: u16 = 0x0200;
    let Some(table) = tables.table_data(tag::OS_2).map_err(damaged)? else {
        return Ok(());
    };
    let os2 = ReadScope::new(&table)
        .read_dep::<Os2>(table.len())
        .map_err(damaged)?;
    if os2.fs_type & USAGE == RESTRICTED {
        return Err(FontError::Forbidden("put into other files"));
    }
    if os2.fs_type & NO_SUBSET != 0 {
        return Err(FontError::Forbidden("cut to the signs that are used"));
    }
    if os2.fs_type & PICTURES_ONLY != 0 {
        return Err(FontError::Forbidden("put into other files but as pictures"));
    }
    Ok(())
}

/// The signs that a face draws, or leaves a space for; of those only what stands by itself.
fn glyphs(tables: &impl FontTableProvider) -> Result<HashMap<char, Glyph>, FontError> {
    let table = |name| tables.read_table_data(name).map_err(damaged);
    let head = ReadScope::new(&table(tag::HEAD)?)
        .read::<HeadTable>()
        .map_err(damaged)?;
    let most = ReadScope::new(&table(tag::MAXP)?)
        .read::<MaxpTable>()
        .map_err(damaged)?;
    let lines = ReadScope::new(&table(tag::HHEA)?)
        .read::<HheaTable>()
        .map_err(damaged)?;
    let widths = table(tag::HMTX)?;
    let counts = (usize::from(most.num_glyphs), usize::from(lines.num_h_metrics));
    let widths = ReadScope::new(&widths)
        .read_dep::<HmtxTable<'_>>(counts)
        .map_err(damaged)?;
    let map = table(tag::CMAP)?;
    let map = ReadScope::new(&map).read::<Cmap<'_>>().map_err(damaged)?;
    let map = match read_cmap_subtable(&map).map_err(damaged)? {
        Some((Encoding::Unicode, map)) => map,
        _ => return Err(FontError::NoUnicode),
    };
    let mut found = HashMap::new();
    map.mappings_fn(|code, number| {
        if let Some(c) = char::from_u32(code).filter(|c| number != 0 && stands_alone(*c))
            && let Ok(wide) = widths.horizontal_advance(number)
        {
            let wide = u32::from(wide) * 1000 / u32::from(head.units_per_em.max(1));
            let wide = u16::try_from(wide).unwrap_or(u16::MAX);
            found.insert(c, Glyph { number, wide });
        }
    })
    .map_err(damaged)?;
    // a glyph that draws nothing is none, unless it is a space
    match (tables.has_table(tag::GLYF), tables.has_table(tag::CFF)) {
        (true, _) => {
            let empty = empty_of_truetype(tables, most.num_glyphs, head.index_to_loc_format)?;
            found.retain(|c, glyph| c.is_whitespace() || !empty(glyph.number));
        }
        (false, true) => {
            let table = table(tag::CFF)?;
            let all = ReadScope::new(&table).read::<CFF<'_>>().map_err(damaged)?;
            found.retain(|c, glyph| c.is_whitespace() || !is_empty_of_postscript(&all, glyph.number));
        }
        (false, false) => return Err(FontError::NoOutlines),
    }
    Ok(found)
}

/// Tells which glyphs have no outline in a font of TrueType: those that end where they begin.
fn empty_of_truetype(
    tables: &impl FontTableProvider,
    count: u16,
    format: IndexToLocFormat,
) -> Result<impl Fn(u16) -> bool, FontError> {
    let places = tables.read_table_data(tag::LOCA).map_err(damaged)?;
    let places = ReadScope::new(&places)
        .read_dep::<LocaTable<'_>>((count, format))
        .map_err(damaged)?;
    let places: Vec<u32> = places.offsets.iter().collect();
    Ok(move |glyph: u16| {
        let glyph = usize::from(glyph);
        places.get(glyph) == places.get(glyph + 1)
    })
}

/// Whether a glyph of PostScript outlines draws nothing. What is longer than a width and an end is taken to draw.
fn is_empty_of_postscript(all: &CFF<'_>, glyph: u16) -> bool {
    const SHORT: usize = 12;
    let Some(font) = all.fonts.first() else {
        return true;
    };
    let Some(program) = font.char_strings_index.read_object(usize::from(glyph)) else {
        return true;
    };
    if program.len() > SHORT {
        return false;
    }
    let mut around = BoundingBoxSink::new();
    let drawn = CFFOutlines { table: all }.visit(glyph, None, &mut around);
    drawn.is_err() || around.to_bounding_box().is_none()
}
