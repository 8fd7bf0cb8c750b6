//! Random faults in what a seal and a sheet are checked by: never a panic, and nothing that was spoilt agrees.
//!
//! `SHIMWRIGHT_CASES` and `SHIMWRIGHT_SEED` as in `tests/hostile/drawing.rs`.

use crate::drawing::read_all;
use crate::fed::fed;
use crate::paper::log_in_code;
use crate::place::Place;
use crate::sealed::{BUILD, check_in, copy, file, sealed, unsigned};
use shimwright::cli::{Exit, checked};
use shimwright::record::{OffPaper, PaperText, SmallCode};
use std::fs;

/// The code that the sheet of the build has, with its figures, by the record before it was signed and what is found to be
/// missing where the figures are.
fn code() -> String {
    let (_, report) = check_in(&unsigned().book(), BUILD);
    let lines = report["journal_lines"].as_u64().unwrap();
    let digest = report["digest"].as_str().unwrap().to_uppercase();
    let log = log_in_code(&sealed());
    let bare = format!("SHIMWRIGHT2 B:MOOR-REAR-0001 U:MOOR+REAR D:2026-05-09 N:{lines} S:{digest} L:{log}");
    let (_, words) = held(&sealed(), &bare).unwrap();
    let figures = words.lines().filter_map(|line| {
        let (key, value) = line
            .trim()
            .strip_prefix("BROKEN paper: ")?
            .split_once(" is not there on the paper, but ")?;
        Some(format!(" {key}:{}", value.strip_suffix(" in the record")?))
    });
    bare.clone() + &figures.collect::<String>()
}

fn held(place: &Place, text: &str) -> Result<(Exit, String), (Exit, String)> {
    let book = place.book();
    let arguments = ["--book", book.to_str().unwrap(), "--paper", text];
    checked(arguments.map(Into::into))
}

#[test]
fn no_spoilt_text_of_a_sheet_agrees_with_the_record() {
    let place = sealed();
    // the same work recorded as another build: all but its name is the same
    let other = place.book().join("moor-rear-0002");
    copy(&place.book().join(BUILD), &other);
    let code = code();
    let right = PaperText::read(&code).unwrap();
    let digits = right.digest.to_string();
    let others = code.replace("0001", "0002");
    let small = SmallCode {
        build: right.build.clone(),
        lines: right.lines,
        digits: digits[..16].to_string(),
    };
    let top = small.to_text();
    let agrees = held(&place, &code).unwrap();
    assert_eq!(agrees.0, Exit::Done, "{}", agrees.1);
    read_all("paper of a build", &[&code, &digits, &others, &top], |text| {
        // a dash alone is the standard input, and one before other letters an option
        if text.starts_with('-') {
            return;
        }
        match held(&place, text) {
            Ok((Exit::Done, _)) => match OffPaper::read(text).unwrap() {
                OffPaper::Code(read) => assert_eq!(read, right, "{text:?}"),
                OffPaper::Digits(read) => {
                    assert!(digits.starts_with(&read), "{text:?}");
                }
                OffPaper::Small(read) => assert_eq!(read, small, "{text:?}"),
            },
            Ok((exit, words)) => {
                assert!(
                    [Exit::SealBroken, Exit::NotProven].contains(&exit),
                    "{exit:?}: {words}"
                );
            }
            Err((exit, words)) => assert!(words.starts_with("error: ") && exit != Exit::Done, "{words}"),
        }
    });
}

#[test]
fn what_comes_in_for_a_sheet_may_be_anything() {
    let place = sealed();
    let code = code();
    let long = format!("{code}{}", " KEY:VALUE".repeat(100_000));
    let cases: [(&[u8], i32); 6] = [
        (code.as_bytes(), 0),
        (b"", 2),
        (b"\xff\xfe\0\0 SHIMWRIGHT1", 2),
        (b"\x1b[2J\x1b]0;title\x07", 2),
        (long.as_bytes(), 2),
        ("\u{202e}1000-RAER-ROOM".as_bytes(), 2),
    ];
    for (bytes, code) in cases {
        let output = fed(&mut place.program(&["check", "--paper", "-"]), bytes);
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(code), "{told}");
        assert!(!told.contains('\u{1b}') && !told.contains("panicked"), "{told}");
        if code != 0 {
            assert!(told.starts_with("error: ") && told.lines().count() >= 2, "{told}");
        }
    }
}

#[test]
fn a_book_whose_seals_are_spoilt_is_checked_and_never_agrees() {
    let place = sealed();
    let names = ["seal-1.txt", "seal-1.txt.sig", "seal-2.txt", "seal-2.txt.sig"];
    for name in names {
        let path = file(&place, name);
        let good = fs::read_to_string(&path).unwrap();
        read_all(name, &[&good], |text| {
            fs::write(&path, text).unwrap();
            let (exit, report) = check_in(&place.book(), BUILD);
            if text == good {
                assert_eq!(exit, Exit::Done, "{report}");
            } else {
                assert_eq!(exit, Exit::SealBroken, "{name} as {text:?}: {report}");
            }
        });
        fs::write(&path, good).unwrap();
    }
}

#[test]
fn no_spoilt_list_of_who_is_who_makes_a_seal_hold_for_somebody_else() {
    let place = sealed();
    let path = place.book().join("allowed_signers");
    let good = fs::read_to_string(&path).unwrap();
    let keys: Vec<&str> = good
        .lines()
        .map(|line| {
            line.split_whitespace()
                .find(|word| word.starts_with("AAAA"))
                .unwrap()
        })
        .collect();
    read_all("who is who", &[&good], |text| {
        fs::write(&path, text).unwrap();
        let (exit, _) = check_in(&place.book(), BUILD);
        if exit == Exit::Done {
            // then both keys are there with the names that signed
            assert!(keys.iter().all(|key| text.contains(key)), "{text:?}");
            assert!(text.contains("Ada") && text.contains("Bea"), "{text:?}");
        }
    });
}
