//! The other builds: unfinished, large, and with long notes.

use super::full::{full, with_plates};
use shimwright::record::*;

/// The same before the end: points are open, one signature is there.
pub fn unfinished() -> Build {
    let mut build = full();
    build.finished = None;
    build.signatures.truncate(1);
    build.open = vec![
        "Cover bolts: stage 3 is not done.".into(),
        "Oil has not been filled in.".into(),
    ];
    build.bolts[0].by.clear();
    build
}

/// Two packs of thirty plates.
pub fn sixty_plates() -> Build {
    let mut build = with_plates(15);
    build.finished = Some("2026-03-02T17:45:00+00:00".into());
    build
}

/// Long notes with accents, a word of 200 letters, and characters that are not in the fonts.
pub fn long_notes() -> Build {
    let mut build = full();
    let long = "Überprüfung der Mitnehmerzähne: à gauche très légèrement marquées, řádně začištěno, ångström, ñandú. ";
    for n in 0..9 {
        build.remarks.push(Remark {
            kind: [
                RemarkKind::Note,
                RemarkKind::Override,
                RemarkKind::Skipped,
                RemarkKind::Corrected,
            ][n % 4],
            place: "Inspect ramp faces and cross pins, second look after cleaning".into(),
            text: long.repeat(n + 1),
            by: "Žofie Příkladová".into(),
            at: "2026-03-01T11:22:33+01:00".into(),
        });
    }
    build.remarks.push(Remark {
        kind: RemarkKind::Note,
        place: "Strip".into(),
        text: format!("before {} after", "w".repeat(200)),
        by: "A. Example".into(),
        at: "2026-03-01T11:22:33+01:00".into(),
    });
    build.remarks.push(Remark {
        kind: RemarkKind::Note,
        place: "漢字".into(),
        text: "tab\there, bell \u{7}, turned \u{202e}round, 漢".into(),
        by: "A. Example".into(),
        at: "2026-03-01T11:22:33+01:00".into(),
    });
    build
}
