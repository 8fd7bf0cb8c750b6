//! Values as a PDF has them.

use lopdf::{Object, StringFormat};

/// A text in UTF-16 with its mark (ISO 32000-2, 7.9.2.2).
pub(super) fn utf16(text: &str) -> Object {
    let mut bytes = vec![0xFE, 0xFF];
    for unit in text.encode_utf16() {
        bytes.extend(unit.to_be_bytes());
    }
    Object::String(bytes, StringFormat::Hexadecimal)
}
