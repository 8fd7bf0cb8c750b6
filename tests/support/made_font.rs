//! Fonts made for tests out of a built-in one: the outlines are those of other letters, so nothing of them is anybody's font.

use printpdf::ParsedFont;

const BUILT_IN: &[u8] = include_bytes!("../../src/sheet/fonts/DejaVuSansCondensed.subset.ttf");

fn number(bytes: &[u8], at: usize, long: usize) -> usize {
    bytes[at..at + long]
        .iter()
        .fold(0, |number, byte| number << 8 | usize::from(*byte))
}

/// The tables of a font with one face.
pub fn tables(font: &[u8]) -> Vec<([u8; 4], Vec<u8>)> {
    (0..number(font, 4, 2))
        .map(|n| {
            let row = 12 + 16 * n;
            let (from, long) = (number(font, row + 8, 4), number(font, row + 12, 4));
            (
                font[row..row + 4].try_into().unwrap(),
                font[from..from + long].to_vec(),
            )
        })
        .collect()
}

/// A font of these tables, whose places count from `before` bytes on (OpenType, organization of a font).
pub fn joined(tables: &[([u8; 4], Vec<u8>)], before: usize) -> Vec<u8> {
    let mut head = b"\0\x01\0\0".to_vec();
    head.extend((tables.len() as u16).to_be_bytes());
    head.extend([0; 6]);
    let mut data = Vec::new();
    let from = before + 12 + 16 * tables.len();
    for (name, table) in tables {
        head.extend(name);
        head.extend([0; 4]);
        head.extend(((from + data.len()) as u32).to_be_bytes());
        head.extend((table.len() as u32).to_be_bytes());
        data.extend(table);
        data.resize(data.len().next_multiple_of(4), 0);
    }
    [head, data].concat()
}

/// A table of signs in its plainest form (OpenType, cmap format 12): each with the glyph of a letter that the font has.
fn signs(drawn_as: &[(char, char)]) -> Vec<u8> {
    let font = ParsedFont::from_bytes(BUILT_IN, 0, &mut Vec::new()).unwrap();
    let mut rows: Vec<(u32, u32)> = drawn_as
        .iter()
        .map(|(sign, letter)| {
            let glyph = font.lookup_glyph_index(u32::from(*letter)).unwrap();
            (u32::from(*sign), u32::from(glyph))
        })
        .collect();
    rows.sort();
    let mut table: Vec<u8> = [0_u16, 1, 3, 10]
        .iter()
        .flat_map(|part| part.to_be_bytes())
        .collect();
    table.extend(12_u32.to_be_bytes());
    table.extend([0, 12, 0, 0]);
    for part in [16 + 12 * rows.len() as u32, 0, rows.len() as u32] {
        table.extend(part.to_be_bytes());
    }
    for (sign, glyph) in rows {
        for part in [sign, sign, glyph] {
            table.extend(part.to_be_bytes());
        }
    }
    table
}

/// A font that draws each sign as a letter.
pub fn made(drawn_as: &[(char, char)]) -> Vec<u8> {
    changed(drawn_as, |_, _| {})
}

/// The same with something done to its tables.
pub fn changed(drawn_as: &[(char, char)], change: impl Fn(&[u8; 4], &mut Vec<u8>)) -> Vec<u8> {
    let mut all = tables(BUILT_IN);
    for (name, table) in &mut all {
        if name == b"cmap" {
            *table = signs(drawn_as);
        }
        change(name, table);
    }
    joined(&all, 0)
}
