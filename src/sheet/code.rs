//! The code that a phone reads off the sheet.

use super::page::Item;
use qrcode::{Color, EcLevel, QrCode};

/// The side of a module in millimetres. A phone reads half of that; the rest is for oil and for a worn drum.
const MODULE: f64 = 0.55;
/// The modules round the symbol that stay white (ISO/IEC 18004, 6.3.8).
const QUIET: f64 = 4.0;

/// A text as a QR code with its quiet zone: its side in millimetres, and the item at the upper left corner. Nothing
/// for a text that no code can hold.
///
/// Level Q: a quarter of the code words may be lost. The blocks are interleaved, so a thumb on one place takes a little
/// of each.
pub(super) fn code(text: &str) -> Option<(f64, Item)> {
    let code = QrCode::with_error_correction_level(text, EcLevel::Q).ok()?;
    let colours = code.to_colors();
    let rows = colours
        .chunks(code.width())
        .map(|row| row.iter().map(|colour| *colour == Color::Dark).collect())
        .collect();
    let side = (code.width() as f64 + 2.0 * QUIET) * MODULE;
    let item = Item::Code {
        x: QUIET * MODULE,
        y: QUIET * MODULE,
        module: MODULE,
        rows,
    };
    Some((side, item))
}
