//! Whatever is altered in a sealed build is found, and said.

use crate::place::Place;
use crate::sealed::{BUILD, check, check_in, copy, file, found, sealed, unsigned};
use serde_json::Value;
use shimwright::cli::Exit;
use shimwright::quantity::hides;
use shimwright::seal::{Secret, SigningKey};
use std::fs;
use std::path::PathBuf;

/// A generator of our own, so that the same bytes are altered each time (Knuth's MMIX constants).
struct Draw(u64);

impl Draw {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n
    }
}

/// The files of a sealed build that a seal speaks for.
fn covered(place: &Place) -> Vec<(PathBuf, Vec<u8>)> {
    let mut files: Vec<PathBuf> = fs::read_dir(place.book().join(BUILD))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| !path.ends_with("sheet.pdf"))
        .collect();
    files.sort();
    assert_eq!(files.len(), 9, "{files:?}");
    files
        .into_iter()
        .map(|path| (path.clone(), fs::read(path).unwrap()))
        .collect()
}

/// Alters one byte, looks, and puts it back.
fn alter(place: &Place, path: &PathBuf, bytes: &[u8], at: usize, to: u8) -> (Exit, Value) {
    let mut changed = bytes.to_vec();
    changed[at] = to;
    fs::write(path, &changed).unwrap();
    let checked = check(place);
    fs::write(path, bytes).unwrap();
    checked
}

/// That an alteration was found, and that what is said names the file.
fn is_found(path: &std::path::Path, at: usize, to: u8, (exit, report): &(Exit, Value)) {
    let name = path.file_name().unwrap().to_str().unwrap();
    assert_eq!(*exit, Exit::SealBroken, "{name}, byte {at} to {to:#x}: {report}");
    let name = if name == "journal.jsonl" { "journal" } else { name };
    assert!(
        found(report, "BROKEN").contains(name),
        "{name}, byte {at} to {to:#x}: {report}"
    );
}

#[test]
fn a_thousand_single_bytes_altered_are_all_found() {
    let place = sealed();
    let files = covered(&place);
    let mut draw = Draw(20_261_125);
    for _ in 0..1_000 {
        // each file as often as another: the small ones are the delicate ones
        let (path, bytes) = &files[draw.below(files.len())];
        let at = draw.below(bytes.len());
        let to = bytes[at] ^ (1 + draw.below(255)) as u8;
        is_found(path, at, to, &alter(&place, path, bytes, at, to));
    }
    assert_eq!(check(&place).0, Exit::Done);
}

#[test]
fn each_byte_of_a_seal_and_of_the_line_that_names_it_counts() {
    let place = sealed();
    for (path, bytes) in covered(&place) {
        let name = path.file_name().unwrap().to_str().unwrap().to_string();
        let from = match name.as_str() {
            "journal.jsonl" => {
                bytes.len() - 1 - bytes.iter().rev().skip(1).position(|b| *b == b'\n').unwrap()
            }
            "seal-2.txt" | "seal-2.txt.sig" => 0,
            _ => continue,
        };
        for at in from..bytes.len() {
            is_found(
                &path,
                at,
                bytes[at] ^ 1,
                &alter(&place, &path, &bytes, at, bytes[at] ^ 1),
            );
        }
    }
}

#[test]
fn the_line_that_was_altered_is_named() {
    let place = sealed();
    let (path, bytes) = covered(&place)
        .into_iter()
        .find(|(path, _)| path.ends_with("journal.jsonl"))
        .unwrap();
    let starts: Vec<usize> = std::iter::once(0)
        .chain(
            bytes
                .iter()
                .enumerate()
                .filter(|(_, b)| **b == b'\n')
                .map(|(at, _)| at + 1),
        )
        .collect();
    for line in [2, 57, 140] {
        // inside the entry of that line
        let at = starts[line] - 4;
        let (_, report) = alter(&place, &path, &bytes, at, bytes[at] ^ 1);
        assert!(
            found(&report, "BROKEN").contains(&format!("journal: line {line} ")),
            "{line}: {report}"
        );
    }
}

#[test]
fn a_journal_that_is_written_anew_as_a_whole_is_found() {
    let place = sealed();
    let path = file(&place, "journal.jsonl");
    let text = fs::read_to_string(&path).unwrap();
    // another reading, and the chain made good again behind it
    let mut was = shimwright::seal::Digest::of(b"");
    let mut anew = String::new();
    for (n, line) in text.lines().enumerate() {
        let entry = line.split_once("\"entry\":").unwrap().1;
        let entry = entry.replace("1.969", "1.999");
        let line = format!("{{\"v\":1,\"n\":{},\"was\":\"{was}\",\"entry\":{entry}", n + 1);
        was = shimwright::seal::Digest::of(line.as_bytes());
        anew.push_str(&line);
        anew.push('\n');
    }
    assert_ne!(anew, text);
    fs::write(&path, anew).unwrap();
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::SealBroken);
    assert!(
        found(&report, "BROKEN").contains("not those that were signed"),
        "{report}"
    );
    assert!(report["seals"].as_array().unwrap().is_empty(), "{report}");
}

#[test]
fn a_file_of_a_seal_that_is_gone_is_missed() {
    for (name, words) in [
        ("seal-1.txt.sig", "seal-1.txt.sig is not there"),
        ("seal-2.txt.sig", "seal-2.txt.sig is not there"),
        ("seal-2.txt", "seal-2.txt is not there"),
        ("unit.toml", "unit.toml was signed, but is not there"),
    ] {
        let place = sealed();
        fs::remove_file(file(&place, name)).unwrap();
        let (exit, report) = check(&place);
        assert_eq!(exit, Exit::SealBroken, "{name}: {report}");
        assert!(found(&report, "BROKEN").contains(words), "{name}: {report}");
    }
    // both files, and the line that names them: what is left is a build that one person signed
    let place = sealed();
    for name in ["seal-2.txt", "seal-2.txt.sig"] {
        fs::remove_file(file(&place, name)).unwrap();
    }
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::SealBroken, "{report}");
    assert!(found(&report, "BROKEN").contains("names it"), "{report}");
}

#[test]
fn a_file_that_was_put_in_after_signing_is_told() {
    let place = sealed();
    fs::write(file(&place, "setting.toml"), "invented").unwrap();
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::SealBroken, "{report}");
    assert!(
        found(&report, "BROKEN").contains("setting.toml: it was not there"),
        "{report}"
    );
    fs::remove_file(file(&place, "setting.toml")).unwrap();
    fs::write(file(&place, "photo.jpg"), "invented").unwrap();
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::Done, "{report}");
    assert!(found(&report, "note").contains("photo.jpg"), "{report}");
}

/// A second build beside the first, signed by the same two people.
fn two_builds() -> (Place, PathBuf, PathBuf) {
    let place = sealed();
    let (first, second) = (place.book().join(BUILD), place.book().join("moor-rear-0002"));
    copy(&unsigned().book().join(BUILD), &second);
    for key in ["keys/ada", "keys/bea"] {
        let ran = place.run(&["sign", "moor-rear-0002", "--key", key]);
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
    assert_eq!(check_in(&place.book(), "moor-rear-0002").0, Exit::Done);
    (place, first, second)
}

#[test]
fn seals_swapped_between_builds_do_not_hold() {
    for files in [
        &["seal-1.txt.sig"][..],
        &["seal-1.txt"],
        &["seal-1.txt", "seal-1.txt.sig"],
        &[
            "seal-1.txt",
            "seal-1.txt.sig",
            "seal-2.txt",
            "seal-2.txt.sig",
            "journal.jsonl",
        ],
    ] {
        let (place, first, second) = two_builds();
        for name in files {
            let (one, other) = (
                fs::read(first.join(name)).unwrap(),
                fs::read(second.join(name)).unwrap(),
            );
            assert_ne!(one, other, "{name}");
            fs::write(first.join(name), other).unwrap();
            fs::write(second.join(name), one).unwrap();
        }
        for build in [BUILD, "moor-rear-0002"] {
            let (exit, report) = check_in(&place.book(), build);
            assert_eq!(exit, Exit::SealBroken, "{files:?}: {report}");
            let words = found(&report, "BROKEN");
            let said = if files == ["seal-1.txt.sig"] {
                "seal-1.txt.sig: it does not fit"
            } else {
                "it is the seal of another build, moor-rear-000"
            };
            assert!(words.contains(said), "{files:?}: {report}");
        }
    }
}

#[test]
fn a_build_under_another_name_does_not_hold() {
    let place = sealed();
    fs::rename(place.book().join(BUILD), place.book().join("moor-rear-0007")).unwrap();
    let (exit, report) = check_in(&place.book(), "moor-rear-0007");
    assert_eq!(exit, Exit::SealBroken);
    assert!(
        found(&report, "BROKEN").contains("the seal of another build, moor-rear-0001"),
        "{report}"
    );
}

#[test]
fn nothing_is_signed_on_top_of_a_seal_that_does_not_hold() {
    let place = sealed();
    let path = file(&place, "drawer.toml");
    let mut text = fs::read_to_string(&path).unwrap();
    text.push_str("# another\n");
    fs::write(&path, text).unwrap();
    let ran = place.run(&["key", "new", "keys/cay", "--as", "Cay Example", "--no-passphrase"]);
    assert_eq!(ran.code, 0);
    let ran = place.run(&["sign", BUILD, "--key", "keys/cay", "--as", "Cay Example"]);
    ran.fails(11, &["nothing was signed", "drawer.toml is not as it was signed"]);
    // and the sheet does not pass for finished
    let ran = place.run(&["sheet", BUILD, "--out", "out.pdf"]);
    assert!(ran.out.contains("UNFINISHED"), "{}", ran.out);
}

#[test]
fn a_signature_for_something_else_is_told_and_steers_no_terminal() {
    let place = sealed();
    let secret = Secret::new(fs::read(place.path("keys/ada")).unwrap());
    let key = SigningKey::read(&secret).unwrap();
    let signature = file(&place, "seal-1.txt.sig");
    let statement = fs::read(file(&place, "seal-1.txt")).unwrap();
    let made = key
        .sign("bu\u{1b}[2Jild\u{202e}\n@elsewhere", &statement)
        .unwrap();
    fs::write(&signature, made).unwrap();
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::SealBroken);
    assert!(
        found(&report, "BROKEN").contains("it was made for \"bu"),
        "{report}"
    );
    for form in [&[][..], &["--json"]] {
        let ran = place.run(&[&["check", BUILD], form].concat());
        let shown = format!("{}{}", ran.out, ran.err).replace('\n', " ");
        assert!(shown.contains("@elsewhere") && !shown.contains(hides), "{shown}");
    }
}
