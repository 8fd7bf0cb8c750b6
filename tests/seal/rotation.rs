//! Keys that take the place of others: an old key signs the new one, and a check follows it.

use crate::book_life::{crlf, cut, done, flat, run_on};
use crate::place::Place;
use crate::sealed::{ADA, BEA, BUILD, allow, check, file, found, sealed, sign, unsigned};
use crate::ssh::{said, ssh_keygen, write_private};
use shimwright::cli::{Exit, signed_at};
use shimwright::record::rotation::Rotation;
use shimwright::seal::{Secret, SigningKey};
use std::fs;
use std::path::PathBuf;

const YEARS: [&str; 3] = [
    "2021-01-01T00:00:00Z",
    "2022-01-01T00:00:00Z",
    "2023-01-01T00:00:00Z",
];

/// A key of the place, made where there is none.
fn key(place: &Place, name: &str) -> SigningKey {
    let path = place.path(&format!("keys/{name}"));
    if !path.exists() {
        let made = SigningKey::random().unwrap().to_file(name, None).unwrap();
        write_private(
            place,
            &format!("keys/{name}"),
            std::str::from_utf8(made.bytes()).unwrap(),
        );
    }
    SigningKey::read(&Secret::new(fs::read(path).unwrap())).unwrap()
}

/// A rotation as its owner, or somebody else, may have laid it into the book; its file.
fn laid(place: &Place, name: &str, old: &str, new: &str, time: &str, by: &str) -> PathBuf {
    let rotation = Rotation {
        name: name.to_string(),
        old: key(place, old).public(),
        new: key(place, new).public(),
        time: time.to_string(),
    };
    let (text, signature) = rotation.sign(&key(place, by)).unwrap();
    let (text_name, signature_name) = rotation.files();
    fs::write(place.book().join(&text_name), text).unwrap();
    fs::write(place.book().join(signature_name), signature).unwrap();
    place.book().join(text_name)
}

fn rotate(place: &Place, old: &str, new: &str, more: &[&str]) -> crate::place::Ran {
    let (old, new) = (format!("keys/{old}"), format!("keys/{new}"));
    place.run(&[&["key", "rotate", &old, &new], more].concat())
}

/// Signs at a time; the refusal where it is refused.
fn signed(place: &Place, key: &str, time: &str) -> Result<String, String> {
    let key = place.path(&format!("keys/{key}"));
    let words = [BUILD, "--key", key.to_str().unwrap(), "--book"];
    let words = words
        .iter()
        .map(|word| (*word).into())
        .chain([place.book().into()]);
    signed_at(time, words).map_err(|(_, words)| words.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// A finished build whose sheet is not printed anew for each check, and two who are known.
fn bare() -> Place {
    let place = unsigned();
    allow(&place, &["ada", "bea"]);
    fs::remove_file(file(&place, "sheet.pdf")).unwrap();
    place
}

/// The build with a seal of a key in a year, and what a check says of it.
fn judged(place: &Place) -> (Exit, String) {
    let (exit, report) = check(place);
    let all = ["holds", "open", "BROKEN", "note"].map(|state| format!("{state}: {}", found(&report, state)));
    (exit, all.join("\n"))
}

#[test]
fn what_a_rotated_key_signs_is_of_the_same_person() {
    let place = bare();
    key(&place, "next");
    let ran = rotate(&place, "ada", "next", &[]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(
        ran.out.contains("Rotated: a key of Ada Example, in rotation-"),
        "{}",
        ran.out
    );
    assert!(
        ran.out.contains(&key(&place, "next").public().signers_line(ADA)),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("No allowed signer"), "{}", ran.out);
    // the new key signs under the same name, which nobody has to give, and the old one no more
    let refused = signed(&place, "ada", "2199-01-01T00:00:00Z").unwrap_err();
    assert!(
        refused.contains("Ada Example's until") && refused.contains("in its place"),
        "{refused}"
    );
    let refused = signed(&place, "next", "2020-01-01T00:00:00Z").unwrap_err();
    assert!(refused.contains("Ada Example's from"), "{refused}");
    // what the old key signed before holds
    signed(&place, "ada", "2020-01-01T00:00:00Z").unwrap();
    let (exit, report) = judged(&place);
    assert_eq!(exit, Exit::Done, "{report}");
    let ran = sign(&place, "next");
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let (exit, report) = judged(&place);
    assert_eq!(exit, Exit::Done, "{report}");
    assert!(
        report.contains("seal 2: Ada Example")
            && report.contains("known by the allowed signers through a rotation"),
        "{report}"
    );
    let all = place.run(&["check", "--all"]);
    assert!(
        all.out
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .contains("of Ada Example took the place of"),
        "{}",
        all.out
    );
    // ssh-keygen says the same of the statement
    let names = fs::read_dir(place.book()).unwrap().flatten();
    let mut names = names.filter_map(|entry| entry.file_name().into_string().ok());
    let text = names.find(|name| Rotation::file_of(name) == Some(name)).unwrap();
    let signature = format!("{text}.sig");
    let bytes = fs::read(place.book().join(&text)).unwrap();
    let verify = |name: &str, namespace: &str, bytes: &[u8]| {
        let words = [
            "-Y",
            "verify",
            "-f",
            "allowed_signers",
            "-I",
            name,
            "-n",
            namespace,
            "-s",
            &signature,
        ];
        ssh_keygen(&place.book(), &words, bytes).map(|output| (output.status.success(), said(&output)))
    };
    if let Some((holds, words)) = verify(ADA, "rotation@shimwright", &bytes) {
        assert!(
            holds && words.contains("Good \"rotation@shimwright\" signature"),
            "{words}"
        );
        let mut other = bytes.clone();
        other[40] ^= 1;
        for (name, namespace, bytes) in [
            (ADA, "rotation@shimwright", &other),
            (BEA, "rotation@shimwright", &bytes),
            (ADA, "build@shimwright", &bytes),
        ] {
            assert!(!verify(name, namespace, bytes).unwrap().0, "{name} {namespace}");
        }
        // what it signs itself is read here
        fs::remove_file(place.book().join(&signature)).unwrap();
        let key = place.path("keys/ada");
        let words = [
            "-Y",
            "sign",
            "-f",
            key.to_str().unwrap(),
            "-n",
            "rotation@shimwright",
            &text,
        ];
        let output = ssh_keygen(&place.book(), &words, b"").unwrap();
        assert!(output.status.success(), "{}", said(&output));
        assert_eq!(judged(&place).0, Exit::Done);
    }
    // taken away, nobody is known for the new key, and the log says that there was one
    fs::remove_file(place.book().join(&text)).unwrap();
    let (exit, report) = judged(&place);
    assert_eq!(exit, Exit::SealBroken, "{report}");
    for words in [
        "no allowed signer has this key",
        "begun and not finished",
        "book: rotation-",
        "it was taken away: line",
    ] {
        assert!(report.contains(words), "{words}: {report}");
    }
}

#[test]
fn a_rotation_stands_in_the_log_and_one_that_is_not_as_it_was_is_found() {
    let place = bare();
    key(&place, "next");
    done(&rotate(&place, "ada", "next", &[]));
    done(&sign(&place, "next"));
    let log = place.book().join("log.jsonl");
    let lines = || {
        let text = fs::read_to_string(&log).unwrap();
        text.lines().map(str::to_string).collect::<Vec<_>>()
    };
    let of_rotation = |line: &&String| line.contains("\"kind\":\"rotated\"");
    assert_eq!(lines().iter().filter(of_rotation).count(), 1, "{:?}", lines());
    let line = lines().into_iter().find(|line| of_rotation(&line)).unwrap();
    assert!(line.starts_with("{\"v\":3,") && !line.contains("late"), "{line}");
    let all = || {
        let ran = place.run(&["check", "--all"]);
        (ran.code, flat(&ran.out))
    };
    let (code, told) = all();
    assert_eq!(code, 12, "instruments of the demonstration ran out: {told}");
    assert!(
        !told.contains("BROKEN") && !told.contains("open rotation-"),
        "{told}"
    );
    let named = fs::read_dir(place.book())
        .unwrap()
        .flatten()
        .map(|entry| entry.path());
    let files: Vec<PathBuf> = named
        .filter(|path| {
            path.file_name()
                .unwrap()
                .to_string_lossy()
                .starts_with("rotation-")
        })
        .collect();
    let text = files
        .iter()
        .find(|path| path.extension().unwrap() == "txt")
        .unwrap();
    let signature = &text.with_extension("txt.sig");
    let name = text.file_name().unwrap().to_str().unwrap();
    let read = || (fs::read(text).unwrap(), fs::read(signature).unwrap());
    let own = read();
    let put_back = || {
        fs::write(text, &own.0).unwrap();
        fs::write(signature, &own.1).unwrap();
    };
    let take_away = || {
        fs::remove_file(text).unwrap();
        fs::remove_file(signature).unwrap();
    };
    let digest = check(&place).1["digest"].as_str().unwrap().to_string();
    let broken = |words: &str| {
        let (code, told) = all();
        assert_eq!(code, 11, "{told}");
        assert!(
            told.contains(&format!("BROKEN {name}: {words}")),
            "{words}: {told}"
        );
        let (exit, report) = judged(&place);
        assert_eq!(exit, Exit::SealBroken, "{report}");
        assert!(
            report.contains(&format!("book: {name}: {words}")),
            "{words}: {report}"
        );
        // a paper is held against the record, whoever signed that
        done(&place.run(&["check", "--code", &digest]));
    };
    // exchanged for another statement of the same two keys, from earlier on
    assert_eq!(&laid(&place, ADA, "ada", "next", YEARS[0], "ada"), text);
    broken("it is not the statement that line");
    put_back();
    assert!(!all().1.contains("BROKEN"), "{}", all().1);
    // line ends that another program changed
    for file in [text, signature] {
        crlf(file);
    }
    broken("it is not the statement that line");
    done(&place.run(&["adopt"]));
    assert!(read() == own);
    fs::remove_file(signature).unwrap();
    broken("its signature was taken away");
    put_back();
    // taken away, and then on purpose
    let say = |what: &str| {
        place.run(&[
            "adopt",
            "--removed",
            what,
            "--by",
            ADA,
            "--reason",
            "the wrong key",
        ])
    };
    say(name).fails(4, &["is there; take it and its signature out of the book first"]);
    take_away();
    broken("it was taken away: line");
    say("rotation-0123456789abcdef.txt").fails(5, &["the log has no line of rotation-"]);
    done(&say(name));
    say(name).fails(5, &["is said already"]);
    let (code, told) = all();
    assert_eq!(code, 12, "{told}");
    for words in [
        "it was taken away, and that was meant: Ada Example, 20",
        "the wrong key",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    put_back();
    let (code, told) = all();
    assert_eq!(code, 12, "{told}");
    assert!(told.contains("and it is here: it was put back"), "{told}");
    // the same two keys again are another statement, with a line of its own
    take_away();
    done(&rotate(&place, "ada", "next", &[]));
    assert_eq!(lines().iter().filter(of_rotation).count(), 2, "{:?}", lines());
    let (_, told) = all();
    for words in [&format!("open {name}"), &format!("BROKEN {name}")] {
        assert!(!told.contains(words), "{words}: {told}");
    }
    // a line has the version of what it says: readers that do not know the kind tell it as newer
    let last = lines().pop().unwrap();
    assert!(last.starts_with("{\"v\":3,"), "{last}");
    let until = fs::read_to_string(&log).unwrap();
    fs::write(
        &log,
        until.replace(&last, &last.replace("{\"v\":3,", "{\"v\":2,")),
    )
    .unwrap();
    assert!(
        all().1.contains("its version is not that of what it says"),
        "{}",
        all().1
    );
}

#[test]
fn a_rotation_that_the_log_has_no_line_of_is_taken_into_it_once() {
    let place = bare();
    let log = || fs::read_to_string(place.book().join("log.jsonl")).unwrap();
    let all = || flat(&place.run(&["check", "--all"]).out);
    let lines = || log().matches("\"kind\":\"rotated\"").count();
    // as a program of before left it: a log whose lines are of builds
    laid(&place, ADA, "ada", "next", YEARS[0], "ada");
    assert_eq!(lines(), 0);
    assert!(
        all().contains("the log has no line of it: the power went, an older program"),
        "{}",
        all()
    );
    assert_ne!(check(&place).0, Exit::SealBroken);
    let ran = place.run(&["adopt"]);
    done(&ran);
    assert!(
        flat(&ran.out).contains(": taken into the log as it is"),
        "{}",
        ran.out
    );
    assert!(!all().contains("the log has no line"), "{}", all());
    assert!(flat(&place.run(&["adopt"]).out).contains("nothing came into the book"));
    assert!(lines() == 1 && log().contains("\"late\":true"), "{}", log());
    // the same by rotating again, where the power went between the two
    laid(&place, BEA, "bea", "other", YEARS[0], "bea");
    let ran = rotate(&place, "bea", "other", &[]);
    done(&ran);
    assert!(
        flat(&ran.out).contains("the line that the log lacked of it is made up for"),
        "{}",
        ran.out
    );
    rotate(&place, "bea", "other", &[]).fails(1, &["it signed this one already"]);
    assert_eq!(lines(), 2);
    // one that nobody signed is none
    laid(&place, BEA, "other", "third", YEARS[1], "ada");
    assert!(flat(&place.run(&["adopt"]).out).contains("nothing came into the book"));
    // a log that is begun now has a line of each that is there
    fs::remove_file(place.book().join("log.jsonl")).unwrap();
    done(&place.run(&["adopt"]));
    assert_eq!(lines(), 2, "{}", log());
}

#[test]
fn what_another_machine_wrote_of_a_rotation_finds_what_this_one_lost() {
    let place = bare();
    key(&place, "next");
    let keys = ["ada", "next"].map(|name| place.path(&format!("keys/{name}")).display().to_string());
    done(&run_on(
        &place,
        '8',
        "book",
        &["key", "rotate", &keys[0], &keys[1]],
    ));
    let all = || flat(&place.run(&["check", "--all"]).out);
    assert!(!all().contains("BROKEN"), "{}", all());
    cut(&place.book().join("log.jsonl"), 1);
    assert!(all().contains("this book is older than that"), "{}", all());
}

#[test]
fn rotations_follow_one_another_and_each_link_has_to_hold() {
    let place = bare();
    let first = laid(&place, ADA, "ada", "two", YEARS[0], "ada");
    laid(&place, ADA, "two", "three", YEARS[1], "two");
    assert_eq!(sign(&place, "three").code, 0);
    let (exit, report) = judged(&place);
    assert_eq!(exit, Exit::Done, "{report}");
    let told = |words: &str, expected: Exit| {
        let (exit, report) = judged(&place);
        assert_eq!(exit, expected, "{report}");
        assert!(report.contains(words), "{words}: {report}");
    };
    // a link that is not there
    let kept = fs::read(&first).unwrap();
    fs::remove_file(&first).unwrap();
    told("no rotation that counts before it", Exit::NotProven);
    // one that was changed
    let text = String::from_utf8(kept.clone()).unwrap();
    fs::write(&first, text.replace("2021", "2020")).unwrap();
    told("it does not fit", Exit::NotProven);
    // half of one, another kind of text, one of a newer program, one with other line ends
    for (text, words) in [
        (
            text[..text.len() / 2].to_string(),
            "it is no statement of the form",
        ),
        (String::new(), "it is no statement of the form"),
        (
            text.replace("rotation 1", "rotation 2"),
            "a newer program made it",
        ),
        (text.replace('\n', "\r\n"), "it is no statement of the form"),
    ] {
        fs::write(&first, text).unwrap();
        told(words, Exit::NotProven);
    }
    fs::write(&first, &kept).unwrap();
    // a signature that was cut
    let signature = first.with_extension("txt.sig");
    let whole = fs::read(&signature).unwrap();
    fs::write(&signature, &whole[..whole.len() / 2]).unwrap();
    told("no signature of OpenSSH", Exit::NotProven);
    fs::write(&signature, &whole).unwrap();
    told("through a rotation", Exit::Done);
    // a link that is later than the one that follows it
    laid(&place, ADA, "ada", "two", YEARS[2], "ada");
    told("no rotation that counts before it", Exit::NotProven);
    laid(&place, ADA, "ada", "two", YEARS[0], "ada");
    // a key that is revoked ends what it signed, its rotation too
    let revoked = key(&place, "two").public().line();
    fs::write(place.book().join("revoked_keys"), revoked).unwrap();
    told("the key that signed it is revoked", Exit::NotProven);
    let ada = key(&place, "ada").public().line();
    fs::write(place.book().join("revoked_keys"), ada).unwrap();
    told("the key that signed it is revoked", Exit::NotProven);
    let three = key(&place, "three").public().line();
    fs::write(place.book().join("revoked_keys"), three).unwrap();
    told(
        "the key is revoked, whatever time the seal claims",
        Exit::SealBroken,
    );
    // a line of its own makes a key known whatever the chain is
    fs::write(
        place.book().join("revoked_keys"),
        key(&place, "two").public().line(),
    )
    .unwrap();
    let line = key(&place, "three").public().signers_line(ADA);
    fs::write(place.book().join("allowed_signers"), format!("{line}\n")).unwrap();
    told("seal 1: Ada Example", Exit::NotProven);
    assert!(
        judged(&place).1.starts_with("holds: seal 1"),
        "{}",
        judged(&place).1
    );
}

#[test]
fn strangers_forks_and_circles_count_for_nothing() {
    let place = bare();
    key(&place, "next");
    let ran = place.run(&["sign", BUILD, "--key", "keys/next", "--as", ADA]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let with = |rotations: &[(&str, &str, &str, &str, &str)]| {
        let files: Vec<PathBuf> = rotations
            .iter()
            .map(|(name, old, new, time, by)| laid(&place, name, old, new, time, by))
            .collect();
        let (exit, report) = judged(&place);
        assert_eq!(exit, Exit::NotProven, "{report}");
        for file in files {
            fs::remove_file(file.with_extension("txt.sig")).unwrap();
            fs::remove_file(file).unwrap();
        }
        report
    };
    for (rotations, words) in [
        // signed by another key than it names; by a key of another person; by one that nobody knows
        (
            &[(ADA, "ada", "next", YEARS[0], "bea")][..],
            "signed it, and not the old one that it names",
        ),
        (
            &[(ADA, "bea", "next", YEARS[0], "bea")],
            "the allowed signers have this key as Bea Example",
        ),
        (
            &[(ADA, "cay", "next", YEARS[0], "cay")],
            "no allowed signer has the key that signed it",
        ),
        // two by one key
        (
            &[
                (ADA, "ada", "next", YEARS[0], "ada"),
                (ADA, "ada", "other", YEARS[1], "ada"),
            ],
            "the same key signed another one too, by rotation-",
        ),
        // a circle, and one key only
        (
            &[
                (ADA, "ada", "next", YEARS[0], "ada"),
                (ADA, "next", "ada", YEARS[1], "next"),
            ],
            "it goes in a circle",
        ),
        (
            &[(ADA, "next", "next", YEARS[0], "next")],
            "both keys are the same",
        ),
        (
            &[(ADA, "ada", "next", "some day", "ada")],
            "its time can not be read",
        ),
    ] {
        let report = with(rotations);
        assert!(report.contains("no allowed signer has this key"), "{report}");
        assert!(report.contains(words), "{words}: {report}");
    }
    // a rotation to another one's key gives nobody that key's seals
    let place = sealed();
    fs::remove_file(file(&place, "sheet.pdf")).unwrap();
    laid(&place, ADA, "ada", "bea", YEARS[0], "ada");
    let (_, report) = judged(&place);
    assert!(
        report.contains("seal 2: Bea Example") && !report.contains("BROKEN: seal 2"),
        "{report}"
    );
    assert!(
        report.contains("BROKEN: seal 1") && report.contains("until 2021-01-01T00:00:00Z"),
        "{report}"
    );
    // a line for other things only is none for rotations, and a rotation opens nothing that the first line shuts
    for (namespaces, words) in [
        ("build@shimwright", "do not have this key for"),
        ("rotation@shimwright", "namespaces"),
    ] {
        let place = bare();
        let line = key(&place, "ada").public().signers_line(ADA);
        let line = line.replacen(" ssh-", &format!(" namespaces=\"{namespaces}\" ssh-"), 1);
        laid(&place, ADA, "ada", "next", YEARS[0], "ada");
        assert_eq!(
            place
                .run(&["sign", BUILD, "--key", "keys/next", "--as", "Nobody"])
                .code,
            1
        );
        fs::write(place.book().join("allowed_signers"), format!("{line}\n")).unwrap();
        let ran = place.run(&["sign", BUILD, "--key", "keys/next", "--as", ADA]);
        assert_eq!(
            ran.code,
            i32::from(namespaces != "build@shimwright"),
            "{}{}",
            ran.out,
            ran.err
        );
        let told = format!("{}{}", ran.err, judged(&place).1);
        assert!(told.contains(words), "{words}: {told}");
    }
}

#[test]
fn a_rotation_that_would_count_for_nothing_is_not_signed() {
    let place = bare();
    for name in ["two", "three", "cay"] {
        key(&place, name);
    }
    let before = || {
        let names = fs::read_dir(place.book()).unwrap().flatten();
        names
            .filter(|entry| entry.file_name().to_string_lossy().starts_with("rotation-"))
            .count()
    };
    rotate(&place, "ada", "ada", &[]).fails(1, &["the key was not rotated", "both keys are the same"]);
    rotate(&place, "ada", "bea", &[]).fails(1, &["of the new key", "as Bea Example"]);
    rotate(&place, "ada", "two", &["--as", BEA]).fails(1, &["nothing is signed as Bea Example"]);
    rotate(&place, "cay", "two", &[]).fails(2, &["no name to sign with"]);
    rotate(&place, "ada", "none", &[]).fails(3, &["keys/none"]);
    assert_eq!(before(), 0);
    // one whose owner is not known yet is signed, and it is said what is wanting
    let ran = rotate(&place, "cay", "two", &["--as", "Cay Example"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("No allowed signer has the old key"),
        "{}",
        ran.out
    );
    // one that counts for nothing bars none that counts
    assert_eq!(rotate(&place, "ada", "two", &[]).code, 0);
    assert_eq!(before(), 4);
    rotate(&place, "ada", "two", &[]).fails(1, &["it signed this one already, in rotation-"]);
    rotate(&place, "ada", "three", &[]).fails(1, &["it signed another one already, in rotation-"]);
    rotate(&place, "two", "ada", &[]).fails(1, &["in a circle"]);
    let two = key(&place, "two").public().line();
    fs::write(place.book().join("revoked_keys"), two).unwrap();
    rotate(&place, "two", "three", &["--as", ADA]).fails(1, &["the key is revoked"]);
    rotate(&place, "bea", "two", &[]).fails(1, &["of the new key: the key is revoked"]);
    assert_eq!(before(), 4);
    assert!(!file(&place, "seal-1.txt").exists());
}
