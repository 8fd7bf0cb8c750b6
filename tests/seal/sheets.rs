//! The sheet that lies beside a record: printed anew and compared.

use crate::place::Place;
use crate::sealed::{BUILD, check, file, found, sealed, unsigned};
use crate::sheet_builds::full;
use shimwright::cli::Exit;
use shimwright::quantity::Length;
use shimwright::record::Build;
use shimwright::seal::Digest;
use shimwright::sheet::{HeldSheet, Paper, held_sheet, pdf};
use std::fs;

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
    let words = told(&place, "holds");
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
        held_sheet(&pdf(other, Paper::A4).unwrap(), &[(build.clone(), &journal[..])]).unwrap()
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
