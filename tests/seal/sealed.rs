//! A sealed build, and what is told of it.

use crate::place::{Place, Ran};
use serde_json::Value;
use shimwright::cli::{Exit, checked};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

pub const BUILD: &str = "moor-rear-0001";
pub const ADA: &str = "Ada Example";
pub const BEA: &str = "Bea Example";

pub fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let into = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &into);
        } else {
            fs::copy(&path, &into).unwrap();
        }
    }
}

/// The demonstration, worked to its end once for all tests.
fn finished() -> &'static Place {
    static DONE: OnceLock<Place> = OnceLock::new();
    DONE.get_or_init(|| {
        let place = Place::new();
        place.demo("moor-rear", &["--json"]).json();
        place
    })
}

/// A place with the finished build of the demonstration, not signed, and two keys without passphrases.
pub fn unsigned() -> Place {
    let place = Place::new();
    copy(&finished().book(), &place.book());
    copy(keys(), &place.path("keys"));
    place
}

/// The keys of Ada and Bea; made once, copied with their modes.
fn keys() -> &'static Path {
    static KEYS: OnceLock<Place> = OnceLock::new();
    let place = KEYS.get_or_init(|| {
        let place = Place::new();
        fs::create_dir(place.path("keys")).unwrap();
        for (file, name) in [("keys/ada", ADA), ("keys/bea", BEA)] {
            let ran = place.run(&["key", "new", file, "--as", name, "--no-passphrase"]);
            assert_eq!(ran.code, 0, "{}", ran.err);
            fs::write(place.path(&format!("{file}.line")), ran.out).unwrap();
        }
        place
    });
    static PATH: OnceLock<PathBuf> = OnceLock::new();
    PATH.get_or_init(|| place.path("keys"))
}

pub fn allow(place: &Place, names: &[&str]) {
    let lines: String = names
        .iter()
        .map(|name| fs::read_to_string(place.path(&format!("keys/{name}.line"))).unwrap())
        .collect();
    fs::write(place.book().join("allowed_signers"), lines).unwrap();
}

pub fn sign(place: &Place, key: &str) -> Ran {
    place.run(&[
        "sign",
        BUILD,
        "--key",
        place.path(&format!("keys/{key}")).to_str().unwrap(),
    ])
}

/// The same build, signed by Ada and countersigned by Bea, both allowed.
pub fn sealed() -> Place {
    static SEALED: OnceLock<Place> = OnceLock::new();
    let model = SEALED.get_or_init(|| {
        let place = unsigned();
        allow(&place, &["ada", "bea"]);
        for key in ["ada", "bea"] {
            let ran = sign(&place, key);
            assert_eq!(ran.code, 0, "{}\n{}", ran.out, ran.err);
        }
        place
    });
    let place = Place::new();
    copy(&model.book(), &place.book());
    copy(&model.path("keys"), &place.path("keys"));
    place
}

/// `check`, without a process of its own: the exit code and the report.
pub fn check_in(book: &Path, build: &str) -> (Exit, Value) {
    let arguments = [build, "--json", "--book", book.to_str().unwrap()];
    let (exit, text) = checked(arguments.map(Into::into)).unwrap_or_else(|(_, words)| panic!("{words}"));
    (exit, serde_json::from_str(&text).unwrap())
}

pub fn check(place: &Place) -> (Exit, Value) {
    check_in(&place.book(), BUILD)
}

/// All that was found of one certainty, in one text.
pub fn found(report: &Value, state: &str) -> String {
    let all = report["findings"].as_array().unwrap().iter();
    let of_state = all.filter(|finding| finding["state"] == state);
    let words: Vec<&str> = of_state
        .map(|finding| finding["words"].as_str().unwrap())
        .collect();
    words.join("\n")
}

pub fn file(place: &Place, name: &str) -> PathBuf {
    place.book().join(BUILD).join(name)
}

#[test]
fn what_is_not_signed_is_said_to_be_so() {
    let place = unsigned();
    let ran = place.run(&["check", BUILD]);
    assert_eq!(ran.code, 12, "{}", ran.err);
    assert!(ran.out.contains("nothing is signed yet"), "{}", ran.out);
    assert_eq!(ran.err, "");
}

#[test]
fn two_people_sign_and_both_seals_hold() {
    let (exit, report) = check(&sealed());
    assert_eq!(exit, Exit::Done, "{report}");
    let seals = report["seals"].as_array().unwrap();
    assert_eq!(seals.len(), 2);
    for (seal, name) in seals.iter().zip([ADA, BEA]) {
        assert_eq!(seal["name"], name);
        assert_eq!(seal["known"], true);
        assert_eq!(seal["journal_lines"], report["journal_lines"]);
    }
    let words = sealed().run(&["check", BUILD]);
    assert_eq!(words.code, 0);
    assert!(
        words.out.contains("the record is as it was signed"),
        "{}",
        words.out
    );
}

#[test]
fn the_digest_is_the_same_before_and_after_signing() {
    let (_, before) = check(&unsigned());
    let (_, after) = check(&sealed());
    assert_eq!(before["digest"], after["digest"]);
    // and it is what stock tools give for those lines of the file
    let journal = fs::read_to_string(file(&sealed(), "journal.jsonl")).unwrap();
    let lines = after["journal_lines"].as_u64().unwrap() as usize;
    let head: String = journal.split_inclusive('\n').take(lines).collect();
    assert_eq!(
        after["digest"],
        shimwright::seal::Digest::of(head.as_bytes()).to_string()
    );
}

#[test]
fn the_same_key_does_not_sign_twice() {
    let place = sealed();
    sign(&place, "bea").fails(1, &["has signed this record already", BEA, "countersigns"]);
    assert_eq!(check(&place).0, Exit::Done);
}

#[test]
fn a_key_that_nobody_is_known_for_is_open_and_not_broken() {
    let place = sealed();
    allow(&place, &["ada"]);
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::NotProven, "{report}");
    assert!(found(&report, "open").contains("no allowed signer has this key"));
    assert!(found(&report, "holds").contains(ADA));
    fs::remove_file(place.book().join("allowed_signers")).unwrap();
    assert_eq!(check(&place).0, Exit::NotProven);
}

#[test]
fn a_key_of_another_name_or_out_of_its_time_does_not_hold() {
    let place = sealed();
    let line = fs::read_to_string(place.path("keys/ada.line")).unwrap();
    for (text, words) in [
        (line.replace(ADA, "Cay Example"), "have this key as Cay Example"),
        (line.replace("\" ssh", "\" namespaces=\"file\" ssh"), "namespaces"),
        (
            line.replace("\" ssh", "\" valid-before=\"20200101\" ssh"),
            "valid until 2020-01-01",
        ),
    ] {
        fs::write(place.book().join("allowed_signers"), text).unwrap();
        let (exit, report) = check(&place);
        assert_eq!(exit, Exit::SealBroken, "{report}");
        assert!(found(&report, "BROKEN").contains(words), "{report}");
    }
}

#[test]
fn a_line_of_the_allowed_signers_that_is_not_used_is_warned_of() {
    let place = sealed();
    let path = place.book().join("allowed_signers");
    let mut text = fs::read_to_string(&path).unwrap();
    text.push_str("someone cert-authority ssh-ed25519 AAAA\n");
    fs::write(&path, text).unwrap();
    let ran = place.run(&["check", BUILD]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("allowed_signers, line 3:"), "{}", ran.err);
}

#[test]
fn an_unfinished_build_and_a_missing_one_are_not_signed() {
    let place = unsigned();
    let journal = file(&place, "journal.jsonl");
    let text = fs::read_to_string(&journal).unwrap();
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    fs::write(&journal, lines[..lines.len() - 1].concat()).unwrap();
    sign_named(&place).fails(7, &["is not finished"]);
    let ran = place.run(&["sign", "moor-rear-0009", "--key", "keys/ada"]);
    ran.fails(8, &["there is no build"]);
    place
        .run(&["sign", BUILD])
        .fails(2, &["no key to sign with", "shimwright key new"]);
}

fn sign_named(place: &Place) -> Ran {
    place.run(&["sign", BUILD, "--key", "keys/ada", "--as", ADA])
}

#[test]
fn a_name_that_is_not_one_is_refused() {
    let place = unsigned();
    for name in ["", "a,b", "*", "two\nlines"] {
        let ran = place.run(&["sign", BUILD, "--key", "keys/ada", "--as", name]);
        ran.fails(2, &["can not be signed as"]);
    }
    place
        .run(&["sign", BUILD, "--key", "keys/ada"])
        .fails(2, &["--as NAME"]);
    assert_eq!(check(&place).0, Exit::NotProven);
    assert!(!file(&place, "seal-1.txt.sig").exists());
}

#[test]
fn a_seal_that_the_power_cut_off_is_finished_by_the_next_signing() {
    let place = sealed();
    let journal = file(&place, "journal.jsonl");
    let text = fs::read_to_string(&journal).unwrap();
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let log = fs::read_to_string(place.book().join("log.jsonl")).unwrap();
    let cut_off = || {
        fs::write(&journal, lines[..lines.len() - 1].concat()).unwrap();
        let logged: Vec<&str> = log.split_inclusive('\n').collect();
        fs::write(
            place.book().join("log.jsonl"),
            logged[..logged.len() - 1].concat(),
        )
        .unwrap();
    };
    // the files of the second seal are there, and the journal's line for it is not, nor the log's
    cut_off();
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::NotProven, "{report}");
    assert!(
        found(&report, "open").contains("does not name it yet"),
        "{report}"
    );
    // what `check` says to do does it, and is told as done
    let ran = sign(&place, "bea");
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("Signed: moor-rear-0001, seal 2, by Bea Example"),
        "{}",
        ran.out
    );
    assert_eq!(fs::read_to_string(&journal).unwrap(), text);
    sign(&place, "bea").fails(1, &["has signed this record already"]);
    // half of a seal is written over
    cut_off();
    fs::remove_file(file(&place, "seal-2.txt.sig")).unwrap();
    assert_eq!(check(&place).0, Exit::NotProven);
    assert_eq!(sign(&place, "bea").code, 0);
    assert_eq!(check(&place).0, Exit::Done);
}

#[test]
fn a_correction_that_the_power_cut_off_before_it_was_told_is_told_by_the_next() {
    let place = unsigned();
    let words = [
        "correct", BUILD, "distance", "2000 km", "--reason", "a slip", "--by", ADA,
    ];
    let ran = place.run(&words);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let before = fs::read(file(&place, "journal.jsonl")).unwrap();
    let again = place.run(&words);
    assert_eq!(again.code, 0, "{}", again.err);
    let told = again.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let words = "on record already: distance was 1840 km (line 8 of the journal) and is now 2000 km";
    assert!(told.contains(words), "{told}");
    assert_eq!(fs::read(file(&place, "journal.jsonl")).unwrap(), before);
    // another one with the same value is refused as ever
    let other = [
        "correct", BUILD, "distance", "2000 km", "--reason", "another", "--by", ADA,
    ];
    place.run(&other).fails(4, &["it is 2000 km already"]);
}

#[test]
fn a_build_without_its_journal_is_not_called_missing() {
    let place = sealed();
    fs::remove_file(file(&place, "journal.jsonl")).unwrap();
    for words in [
        &["check", BUILD][..],
        &["sheet", BUILD],
        &["sign", BUILD, "--key", "keys/ada"],
        &["correct", BUILD, "distance", "1 km", "--reason", "r", "--by", "A"],
        &["between", BUILD, BUILD],
    ] {
        place
            .run(words)
            .fails(5, &["journal.jsonl is not there", "has lost a file"]);
    }
}

#[test]
fn work_signs_at_the_end_with_the_name_that_was_typed() {
    let place = Place::new();
    copy(&unsigned().path("keys"), &place.path("keys"));
    let ran = place.demo("moor-rear", &["--key", "keys/ada"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("Signed: moor-rear-0001, seal 1"), "{}", ran.out);
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::NotProven);
    let entries = place.entries(BUILD);
    let signed = entries.iter().find(|entry| entry["slot"]["step"] == "sign-built");
    assert_eq!(report["seals"][0]["name"], signed.unwrap()["text"], "{report}");
    // a key that is not there is told before anything is begun
    let other = Place::new();
    other
        .demo("moor-rear", &["--key", "keys/none"])
        .fails(3, &["keys/none"]);
    assert!(!other.book().exists());
}
