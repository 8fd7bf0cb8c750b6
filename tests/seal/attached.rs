//! A sheet with its record in it: read back, taken out, and refused in words where it is not one of ours as it was written.
//!
//! What is put in is held against `qpdf`, which knows nothing of this program.

use crate::place::Place;
use crate::sealed::{BUILD, check_in, file, sealed};
use crate::skipped::skipped;
use lopdf::{Document, Object, Stream, StringFormat, dictionary};
use serde_json::Value;
use shimwright::cli::{Exit, checked};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// The sealed demonstration with a sheet that has its record in it, made once.
fn printed() -> &'static (Place, Vec<u8>) {
    static PRINTED: OnceLock<(Place, Vec<u8>)> = OnceLock::new();
    PRINTED.get_or_init(|| {
        let place = sealed();
        let ran = place.run(&["sheet", BUILD, "--with-record", "--out", "whole.pdf"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let told = ran.out.replace('\n', " ");
        assert!(
            told.contains("the whole record") && told.contains("every reading, name"),
            "{told}"
        );
        let bytes = fs::read(place.path("whole.pdf")).unwrap();
        (place, bytes)
    })
}

/// A place whose book is empty.
fn with_book() -> Place {
    let place = Place::new();
    fs::create_dir_all(place.book()).unwrap();
    place
}

/// What `check` makes of these bytes as a PDF: its report, or the exit code and words of its refusal.
fn check(place: &Place, bytes: &[u8], more: &[&str]) -> Result<(Exit, Value), (Exit, String)> {
    let path = place.path("handed.pdf");
    fs::write(&path, bytes).unwrap();
    let book = place.book();
    let mut arguments = vec![path.to_str().unwrap(), "--json", "--book", book.to_str().unwrap()];
    arguments.extend(more);
    checked(arguments.into_iter().map(Into::into))
        .map(|(exit, text)| (exit, serde_json::from_str(&text).unwrap()))
}

fn refused(place: &Place, bytes: &[u8]) -> String {
    let (exit, words) = check(place, bytes, &[]).unwrap_err();
    assert_eq!(exit, Exit::BadFile, "{words}");
    // nothing is taken out either
    let ran = place.run(&["restore", "handed.pdf", "taken"]);
    assert_ne!(ran.code, 0);
    assert!(!place.path("taken").exists(), "{}", ran.out);
    words
}

fn words_of(report: &Value) -> String {
    report["findings"].to_string()
}

/// The mark over a file, set anew: FNV-1a over 128 bits of all bytes but its own. A forger can do that.
fn marked_anew(mut bytes: Vec<u8>) -> Vec<u8> {
    let start = bytes.windows(5).rposition(|at| at == b"/ID[<").unwrap();
    let end = start + bytes[start..].iter().position(|byte| *byte == b']').unwrap() + 1;
    let bare = [&bytes[..start], &bytes[end..]].concat();
    let mut hash = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d_u128;
    for byte in bare {
        hash = (hash ^ u128::from(byte)).wrapping_mul(0x0000_0000_0100_0000_0000_0000_0000_013b);
    }
    let mark: String = hash
        .to_be_bytes()
        .iter()
        .map(|byte| format!("{byte:02X}"))
        .collect();
    bytes.splice(start..end, format!("/ID[<{mark}><{mark}>]").into_bytes());
    bytes
}

/// The sheet as a forger leaves it, with the mark set anew.
fn forged(change: impl FnOnce(&mut Document)) -> Vec<u8> {
    let mut document = Document::load_mem(&printed().1).unwrap();
    change(&mut document);
    let nothing = Object::String(vec![0; 16], StringFormat::Hexadecimal);
    document.trailer.set("ID", vec![nothing.clone(), nothing]);
    let mut bytes = Vec::new();
    document.save_to(&mut bytes).unwrap();
    marked_anew(bytes)
}

/// The attached file of a name, to be exchanged.
fn attached<'a>(document: &'a mut Document, name: &str) -> &'a mut Stream {
    let of = |object: &Object| {
        let spec = object.as_dict().ok().filter(|dict| dict.has(b"EF"))?;
        let held = spec.get(b"F").ok()?.as_str().ok()? == name.as_bytes();
        held.then(|| {
            spec.get(b"EF")
                .unwrap()
                .as_dict()
                .unwrap()
                .get(b"F")
                .unwrap()
                .as_reference()
                .unwrap()
        })
    };
    let id = document.objects.values().find_map(of).unwrap();
    document
        .get_object_mut(id)
        .and_then(Object::as_stream_mut)
        .unwrap()
}

fn names_of(document: &mut Document) -> &mut Vec<Object> {
    let names = document
        .catalog_mut()
        .unwrap()
        .get_mut(b"Names")
        .unwrap()
        .as_dict_mut()
        .unwrap();
    let embedded = names.get_mut(b"EmbeddedFiles").unwrap().as_dict_mut().unwrap();
    embedded.get_mut(b"Names").unwrap().as_array_mut().unwrap()
}

#[test]
fn a_sheet_with_its_record_stays_small_and_holds_files_seals_and_pages() {
    let (place, bytes) = printed();
    assert!(bytes.len() < 100_000, "{}", bytes.len());
    let (exit, report) = check(place, bytes, &[]).unwrap();
    let words = words_of(&report);
    assert!(
        words.contains("printed anew, it is the same byte for byte"),
        "{words}"
    );
    assert!(words.contains("the book has the same record"), "{words}");
    assert_eq!(report["seals"].as_array().unwrap().len(), 2);
    // as the build in the book is judged
    assert_eq!(exit, check_in(&place.book(), BUILD).0);
    // twice the same bytes
    let again = place.run(&["sheet", BUILD, "--with-record", "--out", "whole.pdf"]);
    assert_eq!(again.code, 0, "{}", again.err);
    assert!(fs::read(place.path("whole.pdf")).unwrap() == *bytes);
}

#[test]
fn another_program_takes_the_same_files_out() {
    let (place, _) = printed();
    for name in [
        "journal.jsonl",
        "unit.toml",
        "procedure.toml",
        "seal-1.txt",
        "seal-2.txt.sig",
    ] {
        let show = format!("--show-attachment={name}");
        let run = Command::new("qpdf")
            .arg(place.path("whole.pdf"))
            .arg(&show)
            .output();
        let Ok(run) = run else {
            return skipped("qpdf takes no file out of a sheet: it is missing");
        };
        assert!(run.stdout == fs::read(file(place, name)).unwrap(), "{name}");
    }
}

#[test]
fn a_stranger_with_a_list_of_signers_reads_it_back_and_takes_it_out() {
    let (from, bytes) = printed();
    let place = with_book();
    let signers = from.book().join("allowed_signers");
    let (_, report) = check(&place, bytes, &["--signers", signers.to_str().unwrap()]).unwrap();
    let words = words_of(&report);
    assert!(words.contains("known by the allowed signers"), "{words}");
    let ran = place.run(&["restore", "handed.pdf", "again"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(
        ran.out.contains("1 of 1 come back") && ran.out.contains("out of a PDF"),
        "{}",
        ran.out
    );
    for name in ["journal.jsonl", "unit.toml", "drawer.toml", "seal-1.txt.sig"] {
        let taken = fs::read(place.path("again").join(BUILD).join(name)).unwrap();
        assert!(taken == fs::read(file(from, name)).unwrap(), "{name}");
    }
    // the log of the book in which it was sealed is not here, which is no alteration
    let again = place.path("again");
    let ran = place.run(&["check", BUILD, "--book", again.to_str().unwrap(), "--json"]);
    assert!(
        !ran.out.contains("BROKEN") && ran.out.contains("finished in another book"),
        "{}",
        ran.out
    );
    // never over what is there
    let ran = place.run(&["restore", "handed.pdf", "again"]);
    assert_ne!(ran.code, 0, "{}", ran.out);
    let tried = place.run(&["restore", "handed.pdf", "--try"]);
    assert_eq!(tried.code, 0, "{}", tried.err);
}

#[test]
fn what_is_no_sheet_with_its_record_is_refused_in_words() {
    let (_, bytes) = printed();
    let place = with_book();
    assert!(refused(&place, b"a text").contains("it is no PDF"));
    assert!(refused(&place, b"").contains("it is no PDF"));
    let bare = fs::read(file(&printed().0, "sheet.pdf")).unwrap();
    assert!(refused(&place, &bare).contains("no record is in it"));
    for cut in [9, bytes.len() / 3, bytes.len() - 200, bytes.len() - 1] {
        let words = refused(&place, &bytes[..cut]);
        assert!(
            words.contains("cut off") || words.contains("not as the program wrote it"),
            "{cut}: {words}"
        );
    }
    for at in (20..bytes.len()).step_by(bytes.len() / 6) {
        let mut changed = bytes.clone();
        changed[at] ^= 4;
        let words = refused(&place, &changed);
        let told = ["damaged", "not as the program wrote it", "another program"];
        assert!(told.iter().any(|one| words.contains(one)), "{at}: {words}");
    }
    let mut other = Document::with_version("1.7");
    let pages =
        other.add_object(dictionary! { "Type" => "Pages", "Kids" => Vec::<Object>::new(), "Count" => 0 });
    let root = other.add_object(dictionary! { "Type" => "Catalog", "Pages" => pages });
    other.trailer.set("Root", root);
    let mut written = Vec::new();
    other.save_to(&mut written).unwrap();
    assert!(refused(&place, &written).contains("another program made it"));
    // a page more than any sheet has
    let large = place.path("large.pdf");
    let made = fs::File::create(&large).unwrap();
    made.set_len((64 << 20) + 1).unwrap();
    let (exit, words) = checked([large.into_os_string()]).unwrap_err();
    assert_eq!(exit, Exit::BadFile);
    assert!(words.contains("larger than any sheet"), "{words}");
}

#[test]
fn one_that_is_encrypted_is_told_as_that() {
    let (from, _) = printed();
    let place = with_book();
    let (whole, shut) = (from.path("whole.pdf"), place.path("shut.pdf"));
    for password in ["secret", ""] {
        let run = Command::new("qpdf")
            .args(["--encrypt", password, "owner", "256", "--"])
            .args([&whole, &shut])
            .output();
        if run.is_err() {
            return skipped("qpdf encrypts no sheet: it is missing");
        }
        let words = refused(&place, &fs::read(&shut).unwrap());
        assert!(words.contains("encrypted"), "{password:?}: {words}");
    }
}

#[test]
fn a_forger_who_sets_the_mark_anew_is_found_by_digest_and_seals() {
    let place = with_book();
    // as it is, but written by another program and marked: pages of other bytes, the record whole
    let (exit, report) = check(&place, &forged(|_| {}), &[]).unwrap();
    assert_ne!(exit, Exit::SealBroken, "{report}");
    let swapped = |name: &str, from: &str, to: &str| {
        forged(|document| {
            let stream = attached(document, name);
            let text = String::from_utf8(stream.get_plain_content().unwrap()).unwrap();
            assert!(text.contains(from));
            *stream = Stream::new(stream.dict.clone(), text.replacen(from, to, 1).into_bytes());
            stream.dict.remove(b"Filter");
        })
    };
    for (name, from, to) in [
        ("journal.jsonl", "1.972", "1.992"),
        ("unit.toml", "name", "nane"),
        ("seal-1.txt", "shimwright seal", "shimwright Seal"),
    ] {
        match check(&place, &swapped(name, from, to), &[]) {
            Ok((exit, report)) => assert_eq!(exit, Exit::SealBroken, "{name}: {report}"),
            Err((_, words)) => panic!("{name}: {words}"),
        }
    }
}

#[test]
fn names_are_no_paths_and_neither_count_nor_size_is_without_a_limit() {
    let place = with_book();
    for name in [
        "../../evil.toml",
        "/evil.toml",
        ".hidden",
        "a/b.toml",
        "a\\b.toml",
        "c:evil",
        "",
        "x\u{202e}.toml",
    ] {
        let bytes = forged(|document| names_of(document)[0] = Object::string_literal(name));
        let words = refused(&place, &bytes);
        assert!(
            words.contains("a name that no file of a record has"),
            "{name:?}: {words}"
        );
    }
    let twice = forged(|document| names_of(document)[2] = Object::string_literal("drawer.toml"));
    assert!(refused(&place, &twice).contains("a name that no file"));
    let many = forged(|document| {
        let names = names_of(document);
        let spec = names[1].clone();
        names.extend((0..100).flat_map(|n| [Object::string_literal(format!("n{n}.toml")), spec.clone()]));
    });
    assert!(refused(&place, &many).contains("more than 100 files"));
    let bomb = forged(|document| {
        let stream = attached(document, "drawer.toml");
        *stream = Stream::new(stream.dict.clone(), vec![b'#'; 17 << 20]);
        stream.dict.remove(b"Filter");
        stream.compress().unwrap();
    });
    assert!(bomb.len() < 1 << 20);
    assert!(refused(&place, &bomb).contains("larger than any sheet"));
    let outside: Vec<PathBuf> = ["evil.toml", "../evil.toml"]
        .iter()
        .map(|name| place.path(name))
        .collect();
    assert!(!outside.iter().any(|path| Path::exists(path)));
    let named = forged(|document| {
        let info = document.trailer.get(b"Info").unwrap().as_reference().unwrap();
        let info = document
            .get_object_mut(info)
            .and_then(Object::as_dict_mut)
            .unwrap();
        info.set("Subject", Object::string_literal("../moor-rear-0001"));
    });
    assert!(refused(&place, &named).contains("a name that no file"));
}
