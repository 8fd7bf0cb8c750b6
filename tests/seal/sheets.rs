//! The sheet that lies beside a record: printed anew and compared.

use crate::place::Place;
use crate::sealed::{BUILD, check, copy, file, found, sealed, unsigned};
use crate::sheet_builds::full;
use serde_json::Value;
use shimwright::cli::Exit;
use shimwright::quantity::Length;
use shimwright::record::Build;
use shimwright::seal::Digest;
use shimwright::sheet::{HeldSheet, Paper, held_sheet, pdf};
use std::fs;
use std::path::Path;

fn told(place: &Place, state: &str) -> String {
    let (_, report) = check(place);
    let told = found(&report, state);
    told.lines()
        .filter(|line| line.starts_with("sheet.pdf"))
        .collect::<Vec<_>>()
        .join("\n")
}

#[test]
fn a_sheet_as_it_was_laid_in_is_the_records_own_signed_or_not() {
    for place in [unsigned(), sealed()] {
        let words = told(&place, "holds");
        assert!(
            words.contains("the same byte for byte") && words.contains("as it is now"),
            "{words}"
        );
    }
}

#[test]
fn a_sheet_that_is_older_than_a_correction_is_told_as_that() {
    let place = sealed();
    let correct = [
        "correct",
        BUILD,
        "plate-thickness/G3/1",
        "1.972",
        "--by",
        "Ada Example",
        "--reason",
        "misread",
    ];
    let ran = place.run(&correct);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let words = told(&place, "note");
    assert!(words.contains("3 have come since"), "{words}");
    // the one that is printed now is of the record as it is now
    let now = place.run(&["sheet", BUILD, "--out", "now.pdf"]);
    assert_eq!(now.code, 0, "{}", now.err);
    fs::copy(place.path("now.pdf"), file(&place, "sheet.pdf")).unwrap();
    let words = told(&place, "holds");
    assert!(words.contains("as it is now"), "{words}");
}

#[test]
fn a_sheet_that_was_changed_or_exchanged_is_found() {
    let place = sealed();
    let sheet = file(&place, "sheet.pdf");
    let whole = fs::read(&sheet).unwrap();
    let broken = |bytes: &[u8], why: &str| {
        fs::write(&sheet, bytes).unwrap();
        let (exit, report) = check(&place);
        assert_eq!(exit, Exit::SealBroken, "{why}: {report}");
        assert!(told(&place, "BROKEN").contains(why), "{why}: {report}");
    };
    for at in (1..whole.len()).step_by(whole.len() / 6) {
        let mut changed = whole.clone();
        changed[at] ^= 4;
        broken(&changed, "not as the program wrote it");
    }
    broken(b"", "not as the program wrote it");
    broken(&whole[..whole.len() - 1], "not as the program wrote it");
    // a whole one of the program, of something else
    broken(&pdf(&full(), Paper::A4).unwrap(), "it is of another record");
    let words = place.run(&["check", BUILD]);
    assert!(
        words
            .out
            .contains("THE SHEET BESIDE THE RECORD IS NOT THE RECORD'S"),
        "{}",
        words.out
    );
    fs::remove_file(&sheet).unwrap();
    assert!(told(&place, "note").contains("none lies beside the record"));
    assert_eq!(check(&place).0, Exit::Done);
}

#[test]
fn of_a_sheet_in_another_form_digest_and_typed_figures_are_compared() {
    let mut build = full();
    build.digest = Digest::of(b"a record").to_string();
    build.plates[0].readings = vec![Length::from_um(2713); 3];
    let journal = b"{\"text\":\"2.713 mm\"}";
    let held = |other: &Build| {
        held_sheet(
            &pdf(other, Paper::A4).unwrap(),
            &[(build.clone(), &journal[..])],
            None,
            None,
        )
        .unwrap()
    };
    assert_eq!(held(&build), HeldSheet::Same(0));
    let mut form = build.clone();
    form.procedure.title = "Whole rebuild".into();
    let HeldSheet::OtherForm {
        state: 0,
        figures: 1,
        lines,
    } = held(&form)
    else {
        panic!("{:?}", held(&form))
    };
    assert!((1..6).contains(&lines), "{lines}");
    let mut figure = build.clone();
    figure.plates[0].readings = vec![Length::from_um(2717); 3];
    let lacks = HeldSheet::Lacks {
        state: 0,
        figures: vec!["2.713".into()],
    };
    assert_eq!(held(&figure), lacks);
    let mut other = build.clone();
    other.digest = Digest::of(b"another").to_string();
    assert_eq!(held(&other), HeldSheet::Other);
}

/// A record of an invented unit with the sheet that was printed when pages had no tags.
#[test]
fn a_sheet_of_the_form_before_is_told_as_that_and_its_typed_figures_are_compared() {
    let place = Place::new();
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/page-form-1");
    copy(&kept, &place.book());
    let kept = kept.join(BUILD);
    let words = told(&place, "note");
    assert!(
        words.contains("another model or form of the page") && words.contains("the record as it is now"),
        "{words}"
    );
    let figures = words.split("all ").nth(1).and_then(|rest| rest.split(' ').next());
    let figures: usize = figures.unwrap().parse().unwrap();
    assert_eq!(figures, 20, "{words}");
    // it may be written over by the one of today, as it can be had again
    let out = place.path("moor-rear-0001.pdf");
    fs::copy(kept.join("sheet.pdf"), &out).unwrap();
    let ran = place.run(&["sheet", BUILD]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_ne!(fs::read(&out).unwrap(), fs::read(kept.join("sheet.pdf")).unwrap());
    // and a byte of it that was changed is found
    let mut changed = fs::read(kept.join("sheet.pdf")).unwrap();
    let middle = changed.len() / 2;
    changed[middle] ^= 4;
    fs::write(file(&place, "sheet.pdf"), changed).unwrap();
    assert!(told(&place, "BROKEN").contains("not as the program wrote it"));
}

/// How `check --all` of the demonstration ends: an instrument of it ran out long ago, which leaves something open.
const ELSE_OPEN: i32 = 12;

/// `check --all` of the place's book, with what is asked for besides.
fn all(place: &Place, besides: &[&str]) -> (i32, Value) {
    let book = place.book();
    let arguments = ["check", "--all", "--json", "--book", book.to_str().unwrap()];
    let ran = place.run(&[&arguments[..], besides].concat());
    let report = serde_json::from_str(&ran.out).unwrap_or_else(|_| panic!("{}{}", ran.out, ran.err));
    (ran.code, report)
}

fn sheet_of(report: &Value) -> &Value {
    &report["builds"][0]["sheet"]
}

#[test]
fn the_sheets_of_a_whole_book_are_printed_anew_and_remembered() {
    let place = sealed();
    let kept = place.book().join(".index/sheets.txt");
    // nothing is printed, and nothing kept, where it is not asked for
    let (code, report) = all(&place, &[]);
    assert_eq!((code, sheet_of(&report)), (ELSE_OPEN, &Value::Null), "{report}");
    assert!(!kept.exists());
    let (code, first) = all(&place, &["--sheets"]);
    assert_eq!(
        (code, &sheet_of(&first)["state"]),
        (ELSE_OPEN, &"holds".into()),
        "{first}"
    );
    assert!(
        first
            .to_string()
            .contains("its sheets, printed anew: 1 the same byte for byte"),
        "{first}"
    );
    assert_eq!(all(&place, &["--sheets"]), (ELSE_OPEN, first.clone()));
    // what is remembered is taken, which is told by a line that says something else of the very same sheet
    let whole = fs::read_to_string(&kept).unwrap();
    let line = whole.lines().nth(1).unwrap();
    let key = &line[..64];
    assert!(line.ends_with(" same 0"), "{line}");
    let remember = |text: &str| {
        let sum = Digest::of(format!("{key} {text}").as_bytes());
        fs::write(&kept, whole.replace(line, &format!("{key} {sum} {text}"))).unwrap();
    };
    remember("form 0 7 3");
    let (code, report) = all(&place, &["--sheets"]);
    assert_eq!(code, ELSE_OPEN, "{report}");
    assert_eq!(sheet_of(&report)["state"], "note", "{report}");
    let words = sheet_of(&report)["words"].to_string();
    assert!(words.contains("3 lines would read otherwise"), "{words}");
    // in words a row of the table says it
    let ran = place.run(&["check", "--all", "--sheets"]);
    assert!(ran.out.contains("another model or form"), "{}", ran.out);
    // what is damaged, of another version, or of a state that is not there, is as nothing remembered
    for spoilt in [
        whole.replace("same 0", "same 1"),
        whole.replace(&line[..8], "00000000"),
        whole.replace("sheets compared", "sheets looked at"),
        whole[..whole.len() - 5].to_string(),
    ] {
        fs::write(&kept, spoilt).unwrap();
        assert_eq!(all(&place, &["--sheets"]), (ELSE_OPEN, first.clone()));
        assert_eq!(fs::read_to_string(&kept).unwrap(), whole);
    }
    for text in ["same 99", "form 99 1 1", "form 0"] {
        remember(text);
        assert_eq!(all(&place, &["--sheets"]), (ELSE_OPEN, first.clone()), "{text}");
    }
}

#[test]
fn a_sheet_that_changed_is_found_whatever_is_remembered() {
    let place = sealed();
    let (code, first) = all(&place, &["--sheets"]);
    assert_eq!(code, ELSE_OPEN, "{first}");
    let sheet = file(&place, "sheet.pdf");
    let whole = fs::read(&sheet).unwrap();
    let about = fs::metadata(&sheet).unwrap().modified().unwrap();
    let mut changed = whole.clone();
    changed[whole.len() / 2] ^= 4;
    for (bytes, why) in [
        (changed, "not as the program wrote it"),
        (pdf(&full(), Paper::A4).unwrap(), "it is of another record"),
    ] {
        fs::write(&sheet, &bytes).unwrap();
        // with the length or the time that it had, too
        let opened = fs::File::options().write(true).open(&sheet).unwrap();
        opened.set_modified(about).unwrap();
        let (code, report) = all(&place, &["--sheets"]);
        assert_eq!(
            (code, &sheet_of(&report)["state"]),
            (11, &"BROKEN".into()),
            "{report}"
        );
        assert!(sheet_of(&report)["words"].to_string().contains(why), "{report}");
        // the whole book is not said to be right, but only where the sheets were asked for
        assert_eq!(all(&place, &[]).0, ELSE_OPEN);
    }
    fs::write(&sheet, &whole).unwrap();
    assert_eq!(all(&place, &["--sheets"]), (ELSE_OPEN, first));
    // a correction makes it a sheet of an earlier state, which is something else to be remembered
    let correct = [
        "correct",
        BUILD,
        "plate-thickness/G3/1",
        "1.972",
        "--by",
        "Ada Example",
        "--reason",
        "misread",
    ];
    assert_eq!(place.run(&correct).code, 0);
    for _ in 0..2 {
        let (_, report) = all(&place, &["--sheets"]);
        let words = sheet_of(&report)["words"].to_string();
        assert!(words.contains("3 have come since"), "{report}");
        assert_eq!(sheet_of(&report)["state"], "note", "{report}");
    }
    fs::remove_file(&sheet).unwrap();
    let (_, report) = all(&place, &["--sheets"]);
    assert_eq!(sheet_of(&report)["state"], "note", "{report}");
}

#[cfg(unix)]
#[test]
fn nothing_is_remembered_through_a_link() {
    let place = sealed();
    let _ = fs::remove_dir_all(place.book().join(".index"));
    let other = place.path("other");
    fs::create_dir(&other).unwrap();
    std::os::unix::fs::symlink(&other, place.book().join(".index")).unwrap();
    for _ in 0..2 {
        let (code, report) = all(&place, &["--sheets"]);
        assert_eq!(
            (code, &sheet_of(&report)["state"]),
            (ELSE_OPEN, &"holds".into()),
            "{report}"
        );
    }
    assert_eq!(fs::read_dir(&other).unwrap().count(), 0);
}
