//! The program is ended at each call that writes while it signs, corrects, takes a build into a new log and rotates a key.

use crate::ended::Way;
use crate::kit::{BUILD, Bench, Heard, whole};
use crate::table::found;
use crate::trace::traceable;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;
use std::sync::OnceLock;
use tempfile::TempDir;

const NAME: &str = "Ada Example";

/// Two keys, and the line that says whose the first is; made once.
fn keys() -> &'static Path {
    static KEYS: OnceLock<TempDir> = OnceLock::new();
    let folder = KEYS.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        for key in ["old", "new"] {
            let mut command = crate::started::program();
            command.args(["key", "new", key, "--as", NAME, "--no-passphrase"]);
            let made = command.current_dir(folder.path()).output().unwrap();
            assert!(made.status.success(), "{made:?}");
            fs::write(folder.path().join(format!("{key}.line")), made.stdout).unwrap();
        }
        folder
    });
    folder.path()
}

/// The finished build in a book that knows the first key.
fn finished() -> Bench {
    let bench = Bench::after(whole().lines.len(), "");
    let log = whole().bench.book().join("log.jsonl");
    fs::copy(log, bench.book().join("log.jsonl")).unwrap();
    fs::copy(keys().join("old.line"), bench.book().join("allowed_signers")).unwrap();
    bench
}

fn key(name: &str) -> String {
    keys().join(name).to_str().unwrap().to_string()
}

/// What `check` comes to; it is never that something was altered or lost.
fn checked(bench: &Bench, about: &str) -> i32 {
    let ran = bench.run_program(&["check", BUILD]);
    assert!([0, 12].contains(&ran.code), "{about}: {}{}", ran.out, ran.err);
    ran.code
}

/// The words for what may be left, of one state or the other.
fn words(left: &BTreeSet<&str>, leftovers: bool) -> String {
    let left: Vec<&str> = left.iter().copied().collect();
    let beside = if leftovers {
        "; a file or folder `.tmp-…` may lie beside it"
    } else {
        ""
    };
    format!("{}{beside}", left.join(", or "))
}

#[test]
fn a_seal_is_there_or_is_made_by_signing_again() {
    if !traceable() {
        return;
    }
    let sign = |bench: &Bench| -> Command { bench.program(&["sign", BUILD, "--key", &key("old")]) };
    let way = Way {
        start: &finished,
        command: &sign,
    };
    let (mut left, mut heard, mut leftovers) = (BTreeSet::new(), Heard::default(), false);
    let entries = whole().lines.len();
    way.end_everywhere(|bench, about, _| {
        bench.is_whole(entries, about);
        leftovers |= !bench.leftovers().is_empty();
        let named = bench.entries().unwrap().len() > entries;
        let there = |name: &str| bench.folder().join(name).exists();
        left.insert(match (there("seal-1.txt"), there("seal-1.txt.sig"), named) {
            (false, false, false) => "no seal",
            (true, false, false) => "half a seal",
            (true, true, false) => "a seal that the journal does not name",
            (true, true, true) => "the seal",
            other => panic!("{about}: {other:?}"),
        });
        // signed by somebody who is known, and proved, only once the journal names it
        assert!(checked(bench, about) == 12 || named, "{about}");
        let ran = sign(bench).output().unwrap();
        let err = String::from_utf8_lossy(&ran.stderr).into_owned();
        match ran.status.code() {
            Some(0) => {}
            Some(1) => assert!(
                named && err.contains("has signed this record already"),
                "{about}: {err}"
            ),
            other => panic!("{about}: {other:?} {err}"),
        }
        let told = |line: &&str| !line.starts_with("  ") && !line.starts_with("To be signed");
        heard.hear(&err.lines().filter(told).collect::<Vec<_>>().join("\n"));
        assert_eq!(checked(bench, about), 0, "{about}");
        assert_eq!(bench.entries().unwrap().len(), entries + 1, "{about}");
        assert_eq!(bench.leftovers(), Vec::<String>::new(), "{about}");
    });
    found(
        "ended while `sign` writes",
        &words(&left, leftovers),
        &heard.words(),
    );
}

#[test]
fn a_correction_is_there_once_wherever_it_was_ended() {
    if !traceable() {
        return;
    }
    let correct = |bench: &Bench| -> Command {
        bench.program(&[
            "correct",
            BUILD,
            "reason",
            "Drags in the wet",
            "--by",
            NAME,
            "--reason",
            "misheard",
        ])
    };
    let way = Way {
        start: &finished,
        command: &correct,
    };
    let (mut left, mut heard, mut leftovers) = (BTreeSet::new(), Heard::default(), false);
    let entries = whole().lines.len();
    way.end_everywhere(|bench, about, _| {
        leftovers |= !bench.leftovers().is_empty();
        let there = bench.entries().unwrap().len() > entries;
        left.insert(if there { "the correction" } else { "no correction" });
        checked(bench, about);
        if !there {
            let ran = correct(bench).output().unwrap();
            assert_eq!(ran.status.code(), Some(0), "{about}: {ran:?}");
            heard.hear(&String::from_utf8_lossy(&ran.stderr));
        }
        let ran = bench.run_program(&["adopt"]);
        assert_eq!(ran.code, 0, "{about}: {}{}", ran.out, ran.err);
        let all = bench.entries().unwrap();
        assert_eq!(all.len(), entries + 1, "{about}");
        assert!(all[entries].contains("Drags in the wet"), "{about}");
        let log = fs::read_to_string(bench.book().join("log.jsonl")).unwrap();
        assert_eq!(log.matches("\"kind\":\"corrected\"").count(), 1, "{about}: {log}");
        checked(bench, about);
    });
    found(
        "ended while `correct` writes",
        &words(&left, leftovers),
        &heard.words(),
    );
}

#[test]
fn a_new_log_has_each_build_once_wherever_adopt_was_ended() {
    if !traceable() {
        return;
    }
    let begin = || {
        let bench = finished();
        fs::remove_file(bench.book().join("log.jsonl")).unwrap();
        fs::remove_file(bench.book().join(".gitattributes")).unwrap();
        bench
    };
    let adopt = |bench: &Bench| -> Command { bench.program(&["adopt"]) };
    let way = Way {
        start: &begin,
        command: &adopt,
    };
    let (mut left, mut heard, mut leftovers) = (BTreeSet::new(), Heard::default(), false);
    way.end_everywhere(|bench, about, _| {
        bench.is_whole(whole().lines.len(), about);
        leftovers |= !bench.leftovers().is_empty();
        let log = bench.book().join("log.jsonl");
        left.insert(if log.exists() { "the whole log" } else { "no log" });
        let ran = adopt(bench).output().unwrap();
        assert_eq!(ran.status.code(), Some(0), "{about}: {ran:?}");
        heard.hear(&String::from_utf8_lossy(&ran.stderr));
        let text = fs::read_to_string(&log).unwrap();
        for (kind, times) in [("opened", 1), ("adopted", 1), ("finished", 0)] {
            let kind = format!("\"kind\":\"{kind}\"");
            assert_eq!(text.matches(&kind).count(), times, "{about}: {text}");
        }
        checked(bench, about);
        assert_eq!(bench.leftovers(), Vec::<String>::new(), "{about}");
    });
    found(
        "ended while `adopt` writes",
        &words(&left, leftovers),
        &heard.words(),
    );
}

#[test]
fn a_rotation_is_there_or_is_made_by_rotating_again() {
    if !traceable() {
        return;
    }
    let rotate = |bench: &Bench| -> Command { bench.program(&["key", "rotate", &key("old"), &key("new")]) };
    let way = Way {
        start: &finished,
        command: &rotate,
    };
    let (mut left, mut heard, mut leftovers) = (BTreeSet::new(), Heard::default(), false);
    way.end_everywhere(|bench, about, _| {
        leftovers |= !bench.leftovers().is_empty();
        let all = bench.all();
        let there = |end: &str| {
            all.iter()
                .any(|name| name.starts_with("book/rotation-") && name.ends_with(end))
        };
        let log = || fs::read_to_string(bench.book().join("log.jsonl")).unwrap();
        let of_it = || log().matches("\"kind\":\"rotated\"").count();
        left.insert(match (there(".txt"), there(".sig"), of_it()) {
            (false, false, 0) => "no rotation",
            (true, false, 0) => "a statement without its signature",
            (true, true, 0) => "a rotation that the log has no line of",
            (true, true, 1) => "the rotation",
            other => panic!("{about}: {other:?}"),
        });
        let is_logged = of_it() == 1;
        checked(bench, about);
        let ran = rotate(bench).output().unwrap();
        let err = String::from_utf8_lossy(&ran.stderr).into_owned();
        match ran.status.code() {
            Some(0) => {}
            Some(1) => assert!(
                is_logged && err.contains("it signed this one already"),
                "{about}: {err}"
            ),
            other => panic!("{about}: {other:?} {err}"),
        }
        let told = |line: &&str| line.starts_with("note") || line.starts_with("Removed");
        heard.hear(&err.lines().filter(told).collect::<Vec<_>>().join("\n"));
        assert_eq!(of_it(), 1, "{about}: {}", log());
        let ran = bench.run_program(&["sign", BUILD, "--key", &key("new")]);
        assert_eq!(ran.code, 0, "{about}: {}", ran.err);
        assert_eq!(checked(bench, about), 0, "{about}");
    });
    found(
        "ended while a key is rotated",
        &words(&left, leftovers),
        &heard.words(),
    );
}
