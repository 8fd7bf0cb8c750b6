//! The codes that a phone reads off the sheet.

use super::page::Item;
use qrcode::{Color, EcLevel, QrCode};

/// The side of a module of the large code in millimetres. A phone reads half of that; the rest is for oil and for a worn
/// drum.
pub(super) const MODULE: f64 = 0.55;
/// The modules round the symbol that stay white (ISO/IEC 18004, 6.3.8).
const QUIET: f64 = 4.0;

/// A text as a QR code, before it has a place. It is worked out once for a document: that takes longer than to lay a page.
#[derive(Clone)]
pub(super) struct Symbol {
    rows: Vec<Vec<bool>>,
}

impl Symbol {
    /// Nothing for a text that no code can hold.
    ///
    /// Level Q: a quarter of the code words may be lost. The blocks are interleaved, so a thumb on one place takes a little
    /// of each.
    pub fn of(text: &str) -> Option<Symbol> {
        let code = QrCode::with_error_correction_level(text, EcLevel::Q).ok()?;
        let colours = code.to_colors();
        let rows = colours
            .chunks(code.width())
            .map(|row| row.iter().map(|colour| *colour == Color::Dark).collect())
            .collect();
        Some(Symbol { rows })
    }

    /// Into a corner of what is printed on: the quiet zone is that of the empty edges beside it. The height that is taken below
    /// the upper edge and the width beside the right one, and the item from that corner.
    pub fn in_corner(&self, module: f64) -> (f64, Item) {
        let (side, item) = self.placed(module);
        let quiet = QUIET * module;
        (side - quiet, item.moved(quiet - side, -quiet))
    }

    /// With its quiet zone: the side in millimetres for modules of that side, and the item at the upper left corner.
    pub fn placed(&self, module: f64) -> (f64, Item) {
        let side = (self.rows.len() as f64 + 2.0 * QUIET) * module;
        let item = Item::Code {
            x: QUIET * module,
            y: QUIET * module,
            module,
            rows: self.rows.clone(),
        };
        (side, item)
    }
}
