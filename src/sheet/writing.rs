//! Which signs can be set one behind the other, as they are typed, and still be read: those that neither join, nor stack, nor
//! run from right to left.

/// Ranges of code points, of Unicode 14: the first and the last. Marks that stand over or under another sign are left out.
const PLAIN: [(u32, u32); 63] = [
    // Latin, its phonetic letters and modifiers
    (0x20, 0x2FF),
    // Greek, Cyrillic, Armenian
    (0x370, 0x482),
    (0x48A, 0x58F),
    // Georgian, Ethiopic, Cherokee, syllabics of Canada, Ogham, Runic
    (0x10A0, 0x10FF),
    (0x1200, 0x135A),
    (0x1360, 0x169C),
    (0x16A0, 0x16F8),
    (0x18B0, 0x18F5),
    (0x1D00, 0x1DBF),
    (0x1E00, 0x1FFF),
    // punctuation, currency, letterlike signs, arrows, mathematics, shapes
    (0x2000, 0x200A),
    (0x2010, 0x20CF),
    (0x2100, 0x2BFF),
    // Glagolitic, more Latin, Coptic, Georgian, Tifinagh, Ethiopic
    (0x2C00, 0x2CEE),
    (0x2CF2, 0x2D70),
    (0x2D80, 0x2DDF),
    (0x2E00, 0x2E5D),
    // Han, kana, Bopomofo, Hangul
    (0x2E80, 0x2FD5),
    (0x2FF0, 0x3029),
    (0x3030, 0x3096),
    (0x309B, 0x30FF),
    (0x3105, 0x312F),
    (0x3131, 0x3163),
    (0x3165, 0x318E),
    (0x3190, 0x31E3),
    (0x31F0, 0x4DFF),
    (0x4E00, 0x9FFF),
    // Yi, Lisu, Vai, more Cyrillic and Latin
    (0xA000, 0xA48C),
    (0xA490, 0xA62B),
    (0xA640, 0xA66E),
    (0xA67E, 0xA69D),
    (0xA700, 0xA7FF),
    (0xAB30, 0xABBF),
    (0xAC00, 0xD7A3),
    (0xF900, 0xFAD9),
    (0xFB00, 0xFB06),
    (0xFB13, 0xFB17),
    // upright forms, forms of another width
    (0xFE10, 0xFE19),
    (0xFE30, 0xFE52),
    (0xFE54, 0xFE6B),
    (0xFF01, 0xFF9F),
    (0xFFA1, 0xFFDC),
    (0xFFE0, 0xFFEE),
    (0xFFFC, 0xFFFD),
    // Linear B, Gothic, Deseret
    (0x10000, 0x100FA),
    (0x10330, 0x1034A),
    (0x10400, 0x1047F),
    // cuneiform, hieroglyphs
    (0x12000, 0x12543),
    (0x13000, 0x1342F),
    // more kana
    (0x1AFF0, 0x1B167),
    // signs of music stand above each other; letters of mathematics do not
    (0x1D400, 0x1D7FF),
    (0x1F000, 0x1F0F5),
    (0x1F100, 0x1F1AD),
    (0x1F200, 0x1F265),
    // pictures, without the tones that colour the one before
    (0x1F300, 0x1F3FA),
    (0x1F400, 0x1F7F0),
    (0x1F800, 0x1F8B1),
    (0x1F900, 0x1FAFF),
    (0x1FB00, 0x1FBF9),
    // more Han
    (0x20000, 0x2A6DF),
    (0x2A700, 0x2EBE0),
    (0x2F800, 0x2FA1D),
    (0x30000, 0x323AF),
];

/// Whether a sign stands by itself: it is drawn as it is, to the right of the one before, whatever its neighbours.
///
/// ```text
/// 漢 й ⌀   yes
/// ש م रा   no: turned round, joined, stacked
/// ```
pub(super) fn stands_alone(c: char) -> bool {
    let code = u32::from(c);
    let after = PLAIN.partition_point(|(first, _)| *first <= code);
    after > 0 && PLAIN.get(after - 1).is_some_and(|(_, last)| code <= *last)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_sign_that_unicode_calls_a_mark_or_runs_from_the_right_stands_alone() {
        let table = include_str!("../../tests/references/marks_and_right_to_left.csv");
        let mut rows = 0;
        for line in table.lines().filter(|line| !line.starts_with('#')).skip(1) {
            let mut cells = line.split(',');
            let mut number = || u32::from_str_radix(cells.next().unwrap(), 16).unwrap();
            for c in (number()..=number()).filter_map(char::from_u32) {
                assert!(!stands_alone(c), "U+{:04X}", u32::from(c));
            }
            rows += 1;
        }
        assert!(rows > 300, "{rows}");
    }

    #[test]
    fn what_people_write_their_names_in_stands_alone_where_it_can() {
        for c in "Ægir Đỗ Ιωάννης Ярослав Հայկ ქართ ሰላም 漢字 かなカナ 한글 ﾃｽﾄ 、。".chars()
        {
            assert!(stands_alone(c), "{c}");
        }
        for c in "שרהמحمدरामไทยᠮঅ".chars() {
            assert!(!stands_alone(c), "{c}");
        }
    }

    #[test]
    fn the_ranges_stand_in_order_and_apart() {
        assert!(PLAIN.windows(2).all(|two| two[0].1 < two[1].0) && PLAIN.iter().all(|one| one.0 <= one.1));
    }
}
