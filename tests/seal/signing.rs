//! Who may sign, and when: `sign` lets nothing in that `check` would call broken, and a bad seal takes nothing from others.

use crate::place::Place;
use crate::sealed::{ADA, BEA, BUILD, allow, check, copy, file, found, sealed, sign, unsigned};
use crate::ssh::{said, ssh_keygen, write_private};
use shimwright::cli::{Exit, signed_at};
use shimwright::seal::{Secret, SigningKey};
use std::fs;

/// The line of a key for the allowed signers, with these options.
fn line(place: &Place, key: &str, options: &str) -> String {
    let line = fs::read_to_string(place.path(&format!("keys/{key}.line"))).unwrap();
    line.replacen("\" ssh", &format!("\" {options}ssh"), 1)
}

fn allowed(place: &Place, text: &str) {
    fs::write(place.book().join("allowed_signers"), text).unwrap();
}

/// A seal that was made in a way in which `sign` makes none: as by an older program, or by hand.
fn seal_by_hand(place: &Place, key: &str, name: &str, time: &str) {
    let key = place.path(&format!("keys/{key}"));
    let arguments = [BUILD, "--as", name, "--key", key.to_str().unwrap(), "--book"];
    // nobody is known while it is made
    let signers = fs::read(place.book().join("allowed_signers")).unwrap();
    fs::remove_file(place.book().join("allowed_signers")).unwrap();
    let words = arguments
        .iter()
        .map(|word| (*word).into())
        .chain([place.book().into()]);
    signed_at(time, words).unwrap();
    fs::write(place.book().join("allowed_signers"), signers).unwrap();
}

#[test]
fn what_check_would_call_broken_is_not_signed() {
    let place = unsigned();
    for (options, name, words) in [
        ("valid-before=\"20200101\" ", ADA, "valid until 2020-01-01"),
        ("valid-after=\"21990101\" ", ADA, "valid from 2199-01-01"),
        ("namespaces=\"file\" ", ADA, "namespaces"),
        ("", "Adelaide", "have this key as Ada Example"),
    ] {
        allowed(&place, &line(&place, "ada", options));
        let before = fs::read(file(&place, "journal.jsonl")).unwrap();
        let ran = place.run(&["sign", BUILD, "--key", "keys/ada", "--as", name]);
        ran.fails(1, &["nothing is signed as", words, "a key that is valid now"]);
        // and nothing is advised that would undo it
        assert!(
            !ran.err.contains("Put this line") && !ran.out.contains("Put this line"),
            "{}",
            ran.out
        );
        assert!(!file(&place, "seal-1.txt").exists());
        assert_eq!(fs::read(file(&place, "journal.jsonl")).unwrap(), before);
        // work refuses it before anything is begun
        let other = Place::new();
        copy(&place.path("keys"), &other.path("keys"));
        fs::create_dir(other.book()).unwrap();
        allowed(&other, &line(&place, "ada", options));
        let ran = other.demo("moor-rear", &["--key", "keys/ada", "--as", name]);
        ran.fails(1, &["nothing is signed as", words]);
        assert!(!other.book().join(BUILD).exists());
    }
    // one line that has run out and one that has not: the name is that of the second
    let both = line(&place, "ada", "valid-before=\"20200101\" ").replacen(ADA, "Ada Before", 1);
    allowed(&place, &(both + &line(&place, "ada", "")));
    assert_eq!(sign(&place, "ada").code, 0);
    assert_eq!(check(&place).0, Exit::Done);
}

#[test]
fn a_key_without_a_name_is_refused_before_its_passphrase_is_asked_for() {
    let place = unsigned();
    write_private(&place, "pass", "a phrase of five small words\n");
    let made = place.run(&["key", "new", "key", "--as", ADA, "--passphrase-file", "pass"]);
    assert_eq!(made.code, 0, "{}", made.err);
    let sign = ["sign", BUILD, "--key", "key"];
    place.run(&sign).fails(2, &["no name to sign with", "--as NAME"]);
    // with one it is the passphrase that is wanted, for which there is no terminal here
    let named = place.run(&[&sign[..], &["--as", ADA]].concat());
    named.fails(2, &["--passphrase-file"]);
}

#[test]
fn a_key_signs_when_it_is_used_whatever_the_paper_says() {
    let place = Place::new();
    copy(&unsigned().path("keys"), &place.path("keys"));
    fs::create_dir(place.book()).unwrap();
    // valid on the day of the paper, and not any more
    allowed(&place, &line(&place, "ada", "valid-before=\"20260901\" "));
    // the test's day is after that
    let ran = place.demo("moor-rear", &["--key", "keys/ada"]);
    ran.fails(1, &["valid until 2026-09-01"]);
    allowed(&place, &line(&place, "ada", ""));
    let ran = place.demo("moor-rear", &["--key", "keys/ada"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::Done, "{report}");
    // the entries have the paper's time, the seal has the clock's
    assert!(
        place.entries(BUILD)[0]["at"]
            .as_str()
            .unwrap()
            .starts_with("2026-05-09T10:00:00")
    );
    let time = report["seals"][0]["time"].as_str().unwrap();
    assert!(time > "2026-09", "{time}");
    assert!(
        found(&report, "holds").contains(&format!("time claimed {time}")),
        "{report}"
    );
}

#[test]
fn no_option_and_nothing_around_the_program_reaches_the_clock_of_a_seal() {
    let place = unsigned();
    let help = place.run(&["sign", "--help"]).out;
    for option in ["--at", "--date", "--time"] {
        assert!(!help.contains(option), "{help}");
    }
    // the clock that is handed in by a test
    let key = place.path("keys/ada");
    let words = [BUILD, "--as", ADA, "--key", key.to_str().unwrap(), "--book"];
    let words = words
        .iter()
        .map(|word| (*word).into())
        .chain([place.book().into()]);
    signed_at("2019-05-09T10:00:00Z", words).unwrap();
    let (_, report) = check(&place);
    assert_eq!(report["seals"][0]["time"], "2019-05-09T10:00:00Z");
}

#[test]
fn a_bad_seal_bars_no_good_one_and_leaves_a_finished_sheet_finished() {
    // Bea under a name that nobody has for her key, and Ada after hers had run out
    for (key, name) in [("bea", "Beatrix"), ("ada", ADA)] {
        let place = unsigned();
        let signers = match key {
            "ada" => line(&place, "ada", "valid-before=\"20260901\" ") + &line(&place, "bea", ""),
            _ => line(&place, "ada", "") + &line(&place, "bea", ""),
        };
        allowed(&place, &signers);
        seal_by_hand(&place, key, name, "2026-10-01T10:00:00Z");
        let (exit, report) = check(&place);
        assert_eq!(exit, Exit::SealBroken, "{report}");
        // the others sign, and so does Bea under her own name
        let good = if key == "ada" {
            vec!["bea"]
        } else {
            vec!["ada", "bea"]
        };
        for key in &good {
            let ran = sign(&place, key);
            assert_eq!(ran.code, 0, "{}", ran.err);
        }
        let (exit, report) = check(&place);
        assert_eq!(exit, Exit::SealBroken, "the bad one is still told: {report}");
        assert!(found(&report, "BROKEN").starts_with("seal 1: "), "{report}");
        assert_eq!(report["seals"].as_array().unwrap().len(), good.len(), "{report}");
        // ssh-keygen says the same of each
        let verify = |number: u32, name: &str| {
            let signature = file(&place, &format!("seal-{number}.txt.sig"));
            let text = fs::read(file(&place, &format!("seal-{number}.txt"))).unwrap();
            let words = [
                "-Y",
                "verify",
                "-f",
                "allowed_signers",
                "-I",
                name,
                "-n",
                "build@shimwright",
                "-s",
                signature.to_str().unwrap(),
            ];
            ssh_keygen(&place.book(), &words, &text)
        };
        if let Some(output) = verify(1, name) {
            assert!(!output.status.success(), "{}", said(&output));
            for (n, key) in good.iter().enumerate() {
                let name = if *key == "ada" { ADA } else { BEA };
                let output = verify(2 + n as u32, name).unwrap();
                assert!(output.status.success(), "{}", said(&output));
            }
        }
        // the sheet of a finished build stays one, and says what is wrong with the one seal
        let ran = place.run(&["sheet", BUILD, "--json"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        let sheet = ran.json();
        assert!(sheet["finished"].is_string(), "{sheet}");
        assert!(sheet["open_points"].to_string().contains("seal 1: "), "{sheet}");
    }
}

#[test]
fn a_record_that_was_altered_bars_every_seal() {
    let place = sealed();
    fs::write(file(&place, "unit.toml"), "name = \"another\"").unwrap();
    place.run(&["key", "new", "keys/cay", "--as", "Cay Example", "--no-passphrase"]);
    let arguments = ["sign", BUILD, "--key", "keys/cay", "--as", "Cay Example"];
    place
        .run(&arguments)
        .fails(11, &["the record is not as it was", "unit.toml"]);
}

#[test]
fn a_whole_seal_that_the_journal_does_not_name_is_not_written_over() {
    let place = unsigned();
    allow(&place, &["ada", "bea"]);
    // somebody's, of another build, in the place of the first
    let key = SigningKey::read(&Secret::new(fs::read(place.path("keys/bea")).unwrap())).unwrap();
    let other = shimwright::record::Statement {
        build: "moor-rear-0009".into(),
        lines: 1,
        journal: shimwright::seal::Digest::of(b""),
        files: Default::default(),
        log: None,
        signers: None,
        name: BEA.into(),
        time: "2026-05-09T10:00:00Z".into(),
    };
    let (text, signature) = other.sign(&key).unwrap();
    fs::write(file(&place, "seal-1.txt"), &text).unwrap();
    fs::write(file(&place, "seal-1.txt.sig"), signature).unwrap();
    sign(&place, "ada").fails(1, &["stand where the next seal goes", "move them out"]);
    assert_eq!(fs::read_to_string(file(&place, "seal-1.txt")).unwrap(), text);
    for name in ["seal-1.txt", "seal-1.txt.sig"] {
        fs::rename(file(&place, name), place.path(name)).unwrap();
    }
    assert_eq!(sign(&place, "ada").code, 0);
    assert_eq!(check(&place).0, Exit::Done);
}

#[test]
fn a_name_with_characters_that_are_not_seen_is_no_name_of_a_key() {
    let place = unsigned();
    for name in ["Ada\u{200b} Example", "Ada\u{202e} Example", "Ada\u{ad} Example"] {
        let ran = place.run(&["key", "new", "keys/hidden", "--as", name, "--no-passphrase"]);
        ran.fails(2, &["can not be signed as", "[U+"]);
        assert!(!place.path("keys/hidden").exists());
        place
            .run(&["key", "line", "keys/ada", "--as", name])
            .fails(2, &["[U+"]);
        place
            .run(&["sign", BUILD, "--key", "keys/ada", "--as", name])
            .fails(2, &["[U+"]);
    }
}
