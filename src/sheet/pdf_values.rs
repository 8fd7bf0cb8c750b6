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

/// A text that is written in UTF-16 with its mark, or byte for byte.
pub(super) fn text_of(value: &Object) -> Option<String> {
    let bytes = value.as_str().ok()?;
    match bytes.strip_prefix(&[0xFE, 0xFF]) {
        Some(rest) => {
            let units: Vec<u16> = rest
                .chunks(2)
                .filter_map(|two| Some(u16::from_be_bytes([*two.first()?, *two.get(1)?])))
                .collect();
            String::from_utf16(&units).ok()
        }
        None => String::from_utf8(bytes.to_vec()).ok(),
    }
}
