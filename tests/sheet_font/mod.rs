//! A font that is handed in: what is set in it, what is refused, and what a sheet that has it says.

use crate::PAPERS;
use crate::made_font::{changed, joined, made, tables};
use crate::pdf_parts::{tree, utf16};
use crate::sheet_builds::full;
use crate::skipped::skipped;
use lopdf::{Document, Object};
use shimwright::record::Build;
use shimwright::sheet::{
    FontError, GivenFont, HeldSheet, Paper, held_sheet, html, is_same_sheet, on_paper, pages, pdf, with_font,
};
use std::path::Path;
use std::process::Command;

/// Written apart, so that a digest of the font is told from any other.
const DIGEST: &str = "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff";
const SIGNS: [(char, char); 4] = [('漢', 'H'), ('字', 'B'), ('郎', 'W'), ('한', 'K')];

fn given(bytes: Vec<u8>) -> Result<GivenFont, FontError> {
    GivenFont::read(bytes, "shop.ttf", DIGEST, None)
}

/// A collection of fonts (OpenType, font collections).
fn collection(fonts: &[Vec<u8>]) -> Vec<u8> {
    let mut head = b"ttcf\0\x01\0\0".to_vec();
    head.extend((fonts.len() as u32).to_be_bytes());
    let mut data: Vec<u8> = Vec::new();
    let from = head.len() + 4 * fonts.len();
    for font in fonts {
        head.extend(((from + data.len()) as u32).to_be_bytes());
        data.extend(joined(&tables(font), from + data.len()));
    }
    [head, data].concat()
}

fn font() -> GivenFont {
    given(made(&SIGNS)).unwrap()
}

/// A build of somebody whose name the built-in faces lack.
fn named(name: &str) -> Build {
    let mut build = full();
    build.unit_name = format!("Moor {name}");
    build
        .identity
        .push(("Built by".to_string(), format!("{name} Ярослав")));
    build.digest = "d1".repeat(32);
    build
}

fn printed(build: &Build, font: Option<&GivenFont>) -> Vec<u8> {
    with_font(font, || pdf(build, Paper::A4)).0.unwrap()
}

fn keywords(file: &[u8]) -> String {
    let document = Document::load_mem(file).unwrap();
    let about = document.trailer.get_deref(b"Info", &document).unwrap();
    let words = about.as_dict().unwrap().get(b"Keywords");
    words
        .map(|words| utf16(words.as_str().unwrap()))
        .unwrap_or_default()
}

/// The fonts in a file, by what they are called.
fn fonts(file: &[u8]) -> Vec<String> {
    let document = Document::load_mem(file).unwrap();
    let all = document
        .objects
        .values()
        .filter_map(|object| object.as_dict().ok());
    all.filter(|dict| {
        dict.get(b"Subtype")
            .and_then(Object::as_name)
            .is_ok_and(|kind| kind == b"Type0")
    })
    .map(|dict| String::from_utf8(dict.get(b"BaseFont").unwrap().as_name().unwrap().to_vec()).unwrap())
    .collect()
}

#[test]
fn a_name_in_another_script_is_set_in_it_and_is_read_out_as_it_was_typed() {
    let build = named("漢字");
    let (file, used) = with_font(Some(&font()), || pdf(&build, Paper::A4));
    let file = file.unwrap();
    assert!(used.is_used && used.lacking.is_empty() && used.joined.is_empty());
    let (parts, _) = tree(&file);
    assert_eq!(parts.all("H1")[0].words.trim(), "Moor 漢字");
    let cells = parts.all("TD");
    assert!(cells.iter().any(|cell| cell.words.trim() == "漢字 Ярослав"));
    let words = parts.all("P");
    let told = words.iter().find(|part| part.words.contains("shop.ttf")).unwrap();
    assert!(
        told.words.contains(&format!("SHA-256 {DIGEST}")),
        "{}",
        told.words
    );
    assert_eq!(keywords(&file), format!("font shop.ttf, SHA-256 {DIGEST}"));
    assert!(String::from_utf8_lossy(&file).contains("<pdf:Keywords>font shop.ttf, SHA-256 "));
    // only what is used is in it
    let names = fonts(&file);
    assert!(names.iter().any(|name| name.ends_with("+GivenFont")), "{names:?}");
    assert!(file.len() < printed(&build, None).len() + 4_000);
    assert_eq!(file, printed(&build, Some(&font())), "the same bytes each time");
}

#[test]
fn without_need_or_without_a_font_a_sheet_is_as_it_was() {
    let plain = full();
    assert_eq!(printed(&plain, Some(&font())), printed(&plain, None));
    let build = named("漢字");
    let (file, used) = with_font(None, || pdf(&build, Paper::A4));
    let file = file.unwrap();
    assert_eq!(used.lacking.iter().collect::<String>(), "字漢");
    assert!(tree(&file).0.all("H1")[0].words.contains("Moor [U+6F22][U+5B57]"));
    assert_eq!(keywords(&file), "");
    // HTML takes what the reader's own machine has, and no job leaves its font behind
    let page = with_font(Some(&font()), || html(&build, Paper::A4)).0;
    assert_eq!(page, html(&build, Paper::A4));
    assert_eq!(on_paper("漢"), "[U+6F22]");
    let ended = std::panic::catch_unwind(|| with_font(Some(&font()), || panic!("a job that ends early")));
    assert!(ended.is_err() && on_paper("漢") == "[U+6F22]");
}

#[test]
fn nothing_that_is_set_in_it_stands_beyond_the_margins() {
    let build = named(&"漢字郎".repeat(30));
    for paper in PAPERS {
        let (all, _) = with_font(Some(&font()), || {
            let all = pages(&build, paper);
            let edges: Vec<_> = all
                .iter()
                .flat_map(|page| page.items.iter().map(|item| item.bounds().2))
                .filter(|right| right.is_finite())
                .collect();
            (all, edges)
        });
        let (all, edges) = all;
        let edge = all[0].width - all[0].margins.right;
        assert!(edges.iter().all(|right| *right <= edge + 0.01));
    }
}

#[test]
fn signs_that_it_lacks_or_that_would_have_to_be_joined_are_named_and_stand_as_code_points() {
    let font = given(made(&[
        ('漢', 'H'),
        ('م', 'M'),
        ('र', 'R'),
        ('ש', 'S'),
        ('\u{301}', 'i'),
    ]))
    .unwrap();
    let build = named("漢字مरש\u{301}");
    let (file, used) = with_font(Some(&font), || pdf(&build, Paper::A4));
    assert_eq!(used.lacking.iter().collect::<String>(), "字");
    assert_eq!(
        used.joined.iter().copied().collect::<Vec<_>>(),
        ['\u{301}', 'ש', 'م', 'र']
    );
    let (parts, _) = tree(&file.unwrap());
    let words = &parts.all("H1")[0].words;
    assert!(
        words.contains("Moor 漢[U+5B57][U+0645][U+0930][U+05E9][U+0301]"),
        "{words}"
    );
}

#[test]
fn the_same_record_in_another_font_is_not_told_as_altered() {
    let build = named("漢字 郎");
    let states = [(build.clone(), &b"{}"[..])];
    let (ours, other) = (
        font(),
        GivenFont::read(made(&SIGNS[..3]), "b.ttf", &"ab".repeat(32), None).unwrap(),
    );
    let file = printed(&build, Some(&ours));
    let held = |file: &[u8], font: Option<&GivenFont>| held_sheet(file, &states, None, font).unwrap();
    assert_eq!(held(&file, Some(&ours)), HeldSheet::Same(0));
    let named_font = ("shop.ttf".to_string(), DIGEST.to_string());
    for font in [None, Some(&other)] {
        let same = HeldSheet::SameWords {
            state: 0,
            font: named_font.clone(),
        };
        assert_eq!(held(&file, font), same);
    }
    assert_eq!(held(&printed(&build, None), Some(&ours)), HeldSheet::Same(0));
    // on the other paper too, and whatever was cut for want of room
    let letter = with_font(Some(&ours), || pdf(&build, Paper::Letter)).0.unwrap();
    assert!(matches!(held(&letter, None), HeldSheet::SameWords { .. }));
    // another word is another sheet, whatever font it is set in
    let mut wrong = build.clone();
    wrong.identity[0].1.push_str(" and more");
    assert!(matches!(
        held(&printed(&wrong, Some(&ours)), None),
        HeldSheet::OtherForm { .. }
    ));
    let wrong = named("字漢 郎");
    assert!(matches!(
        held(&printed(&wrong, Some(&ours)), None),
        HeldSheet::OtherForm { .. }
    ));
    // one is written over by the other, as any older sheet of the same build
    assert!(is_same_sheet(&file, &printed(&build, None)));
    assert!(!is_same_sheet(&file, &printed(&wrong, Some(&ours))));
}

#[test]
fn what_is_no_font_to_print_with_is_refused_by_what_is_wrong() {
    let with = |name: &'static [u8; 4], at: usize, bytes: [u8; 2]| {
        changed(&SIGNS, move |table, data| {
            if table == name {
                data[at..at + 2].copy_from_slice(&bytes);
            }
        })
    };
    // OpenType, table OS/2: fsType stands at 8
    assert_eq!(
        given(with(b"OS/2", 8, [0, 2])).err(),
        Some(FontError::Forbidden("put into other files"))
    );
    assert!(matches!(
        given(with(b"OS/2", 8, [1, 0])).err(),
        Some(FontError::Forbidden(_))
    ));
    // preview and print is enough for a page that is printed
    assert!(given(with(b"OS/2", 8, [0, 4])).is_ok());
    assert_eq!(given(b"%PDF-1.7".to_vec()).err(), Some(FontError::NoFont));
    assert_eq!(
        given(b"wOF2 is packed for a browser".to_vec()).err(),
        Some(FontError::NoFont)
    );
    assert_eq!(given(Vec::new()).err(), Some(FontError::NoFont));
    let without: Vec<_> = tables(&made(&SIGNS))
        .into_iter()
        .filter(|(name, _)| ![b"glyf", b"loca"].contains(&name))
        .collect();
    let without = joined(&without, 0);
    assert_eq!(given(without).err(), Some(FontError::NoOutlines));
    // the table of signs says that it is of another system's signs
    let mac = changed(&SIGNS, |table, data| {
        if table == b"cmap" {
            data[4..8].copy_from_slice(&[0, 1, 0, 0]);
        }
    });
    assert_eq!(given(mac).err(), Some(FontError::NoUnicode));
}

#[test]
fn a_glyph_that_draws_nothing_is_none() {
    let font = given(made(&[('漢', ' '), ('字', 'B'), ('\u{3000}', ' ')])).unwrap();
    let (_, used) = with_font(Some(&font), || pdf(&named("漢字\u{3000}"), Paper::A4));
    assert_eq!(used.lacking.iter().collect::<String>(), "漢");
}

#[test]
fn of_a_collection_a_face_is_named() {
    let both = collection(&[made(&SIGNS[..1]), made(&SIGNS)]);
    let Some(FontError::Collection(faces)) = given(both.clone()).err() else {
        panic!("a collection was taken for a font");
    };
    assert!(faces.len() == 2 && faces[1].starts_with("#2 "), "{faces:?}");
    let face = |face| GivenFont::read(both.clone(), "both.ttc", DIGEST, Some(face));
    assert_eq!(face(3).err(), Some(FontError::NoFace { face: 3, count: 2 }));
    assert_eq!(face(0).err(), Some(FontError::NoFace { face: 0, count: 2 }));
    assert_eq!(face(2).unwrap().name(), "both.ttc#2");
    for (n, lacking) in [(1, "字"), (2, "")] {
        let (file, used) = with_font(Some(&face(n).unwrap()), || pdf(&named("漢字"), Paper::A4));
        assert_eq!(used.lacking.iter().collect::<String>(), lacking, "{n}");
        assert!(keywords(&file.unwrap()).contains(&format!("both.ttc#{n}, ")));
    }
}

#[test]
fn a_font_that_is_cut_off_or_spoilt_is_refused_or_printed_and_ends_nothing() {
    let whole = made(&SIGNS);
    let build = named("漢字郎");
    let tried = |bytes: Vec<u8>| {
        let read = std::panic::catch_unwind(|| {
            given(bytes)
                .ok()
                .map(|font| with_font(Some(&font), || pdf(&build, Paper::A4)).0.is_ok())
        });
        read.is_ok()
    };
    let mut ended = Vec::new();
    for n in 0..24 {
        let cut = whole.len() * n / 24;
        if !tried(whole[..cut].to_vec()) {
            ended.push(cut);
        }
    }
    // in the directory and the heads of the tables, where lengths and places stand
    for at in (0..400).step_by(17) {
        let mut spoilt = whole.clone();
        spoilt[at] ^= 0x55;
        if !tried(spoilt) {
            ended.push(at);
        }
    }
    assert!(ended.is_empty(), "{ended:?}");
}

#[test]
fn other_programs_read_names_that_are_set_in_fonts_of_every_kind() {
    let fonts = [
        (
            "/usr/share/fonts/truetype/droid/DroidSansFallbackFull.ttf",
            None,
            "fonts-droid-fallback",
        ),
        (
            "/usr/share/fonts/opentype/noto/NotoSansCJK-Regular.ttc",
            Some(3),
            "fonts-noto-cjk",
        ),
    ];
    let build = named("漢字 太郎");
    for (path, face, package) in fonts {
        let (Ok(bytes), Ok(_)) = (std::fs::read(path), Command::new("pdftotext").arg("-v").output()) else {
            skipped(&format!(
                "names set in a real font, because {package} or poppler-utils is missing"
            ));
            continue;
        };
        let name = Path::new(path).file_name().unwrap().to_str().unwrap();
        let font = GivenFont::read(bytes, name, DIGEST, face).unwrap();
        let file = std::env::temp_dir().join(format!("shimwright-{}-{name}.pdf", std::process::id()));
        std::fs::write(&file, printed(&build, Some(&font))).unwrap();
        let told = Command::new("pdftotext").arg(&file).arg("-").output().unwrap();
        let told = String::from_utf8(told.stdout).unwrap();
        assert!(
            told.contains("Moor 漢字 太郎") && told.contains("漢字 太郎 Ярослав"),
            "{told}"
        );
        if let Ok(checked) = Command::new("qpdf").arg("--check").arg(&file).output() {
            assert!(
                checked.status.success(),
                "{}",
                String::from_utf8_lossy(&checked.stdout)
            );
        }
        std::fs::remove_file(&file).unwrap();
    }
}
