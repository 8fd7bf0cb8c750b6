//! Two machines that write in one book, over a folder that sync keeps alike and over git; one machine that goes on in two places;
//! and what somebody says of both afterwards.

use crate::book_life::{BUILDS, all_found, bench_check, cut, done, flat, run_on};
use crate::place::{Place, Ran};
use crate::sealed::copy;
use shimwright::book::Shelf;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

/// Lays every file of a folder into another as a program does that keeps folders alike.
fn synced(from: &Path, to: &Path) {
    copy(from, to);
}

/// What is found of a build, each with its state.
fn found_of(book: &Path, build: &str) -> Vec<(String, String)> {
    let found = all_found(book).into_iter().filter(|(of, ..)| of == build);
    found.map(|(_, state, words)| (state, words)).collect()
}

/// Corrects an answer of the first build, as a machine does that knows nothing of the other.
fn corrected(place: &Place, digit: char, book: &str, value: &str) {
    let words = [
        "correct",
        BUILDS[0],
        "breakaway/drive-still/1",
        value,
        "--reason",
        "slip",
        "--by",
        "A. Fitter",
    ];
    done(&run_on(place, digit, book, &words));
}

fn settled(place: &Place, digit: char, book: &str, of: &str) -> Ran {
    let words = [
        "adopt",
        "--settled",
        of,
        "--by",
        "A. Fitter",
        "--reason",
        "both were at the bench",
    ];
    run_on(place, digit, book, &words)
}

#[test]
fn two_machines_write_in_one_synced_book_and_neither_takes_a_name_of_the_other() {
    let place = Place::new();
    assert_eq!(bench_check(&place, '7', "one", 10), "moor-rear-0001");
    synced(&place.path("one"), &place.path("two"));
    // both work before either has what the other wrote
    let there = bench_check(&place, '8', "two", 11);
    assert!(
        there.starts_with("moor-rear-") && there.ends_with("-0001") && there != "moor-rear-0001",
        "{there}"
    );
    assert_eq!(bench_check(&place, '7', "one", 11), "moor-rear-0002");
    synced(&place.path("two"), &place.path("merged"));
    synced(&place.path("one"), &place.path("merged"));
    let found = all_found(&place.path("merged"));
    assert!(!found.iter().any(|(_, state, _)| state == "BROKEN"), "{found:#?}");
    // the builds of both are one unit's
    let listed = run_on(&place, '7', "merged", &["fleet", "--json"]).json();
    assert_eq!(listed["units"].as_array().unwrap().len(), 1, "{listed}");
    assert_eq!(listed["units"][0]["builds"], 3, "{listed}");
    // a machine goes on with its own log, and has seen the other's
    assert_eq!(
        bench_check(&place, '8', "merged", 12).replace("-0002", "-0001"),
        there
    );
    // what the one lost, the other's log finds
    cut(&place.path("merged").join("log.jsonl"), 2);
    let found = all_found(&place.path("merged"));
    let by_the_other = |(_, state, words): &(String, String, String)| {
        state == "BROKEN" && words.contains("log-") && words.contains("this book is older")
    };
    assert!(found.iter().any(by_the_other), "{found:#?}");
}

#[test]
fn a_build_that_two_machines_went_on_with_is_told_as_that() {
    let place = Place::new();
    assert_eq!(bench_check(&place, '7', "one", 10), BUILDS[0]);
    synced(&place.path("one"), &place.path("two"));
    corrected(&place, '7', "one", "107");
    corrected(&place, '8', "two", "109");
    // the logs of both come together, and of the build the one state is kept
    fs::copy(place.path("one/log.jsonl"), place.path("two/log.jsonl")).unwrap();
    let of_build = found_of(&place.path("two"), BUILDS[0]);
    let [(state, words)] = &of_build[..] else {
        panic!("{of_build:#?}");
    };
    assert_eq!(state, "BROKEN");
    for part in [
        "of log.jsonl has",
        "of log-",
        "it was gone on with on two machines",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
    // what is lacking is told as that, and that nobody signed is no finding beside it
    fs::remove_file(place.path("one").join(BUILDS[0]).join("unit.toml")).unwrap();
    let found = all_found(&place.path("one"));
    let of_build: Vec<_> = found.iter().filter(|(of, ..)| of == BUILDS[0]).collect();
    assert_eq!(of_build.len(), 1, "{of_build:#?}");
    assert!(
        of_build[0]
            .2
            .contains("unit.toml, which the build was begun with, is not there"),
        "{of_build:#?}"
    );
}

#[test]
fn one_machine_that_goes_on_in_two_places_is_told_and_adopted() {
    let place = Place::new();
    bench_check(&place, '7', "one", 10);
    synced(&place.path("one"), &place.path("two"));
    bench_check(&place, '7', "two", 11);
    // the other place is only behind: a copy that goes on from it takes its place
    fs::copy(place.path("two/log.jsonl"), place.path("one/log (copy).jsonl")).unwrap();
    synced(
        &place.path("two/moor-rear-0002"),
        &place.path("one/moor-rear-0002"),
    );
    done(&run_on(&place, '7', "one", &["adopt"]));
    let log = |name: &str| fs::read(place.path(name)).unwrap();
    assert_eq!(log("one/log.jsonl"), log("two/log.jsonl"));
    // and now both go on
    bench_check(&place, '7', "one", 12);
    bench_check(&place, '7', "two", 13);
    fs::copy(place.path("two/log.jsonl"), place.path("one/log (copy).jsonl")).unwrap();
    synced(
        &place.path("two/moor-rear-0003"),
        &place.path("one/moor-rear-0003 (conflicted copy)"),
    );
    let found = all_found(&place.path("one"));
    assert!(
        found
            .iter()
            .any(|(_, state, words)| state == "BROKEN" && words.contains("(forked)")),
        "{found:#?}"
    );
    let ran = run_on(&place, '7', "one", &["adopt"]);
    done(&ran);
    assert!(
        flat(&ran.out).contains("is another build than moor-rear-0003, and is now moor-rear-0004"),
        "{}",
        ran.out
    );
    // the next one is of a log that goes on
    let next = bench_check(&place, '7', "one", 14);
    assert!(next.len() > "moor-rear-0001".len(), "{next}");
}

#[test]
fn two_machines_write_over_git_and_nothing_is_woven_together() {
    let git = |folder: &Path, words: &[&str]| -> bool {
        let mut command = Command::new("git");
        command
            .args(words)
            .current_dir(folder)
            .env("HOME", folder)
            .env("GIT_CONFIG_NOSYSTEM", "1");
        for role in ["AUTHOR", "COMMITTER"] {
            command
                .env(format!("GIT_{role}_NAME"), "A. Fitter")
                .env(format!("GIT_{role}_EMAIL"), "a@example.org");
        }
        command.output().is_ok_and(|output| output.status.success())
    };
    let place = Place::new();
    bench_check(&place, '7', "one", 10);
    let (one, two) = (place.path("one"), place.path("two"));
    if !git(&one, &["init", "-q", "-b", "main"]) {
        crate::skipped::skipped("git is not here: two machines over git were not tried");
        return;
    }
    let kept =
        |folder: &Path| assert!(git(folder, &["add", "-A"]) && git(folder, &["commit", "-qm", "kept"]));
    // what a shop's git does to text by itself
    assert!(git(&one, &["config", "core.autocrlf", "true"]));
    kept(&one);
    assert!(git(
        &place.path(""),
        &["-c", "core.autocrlf=true", "clone", "-q", "one", "two"]
    ));
    assert!(git(&two, &["config", "core.autocrlf", "true"]));
    let there = bench_check(&place, '8', "two", 11);
    kept(&two);
    bench_check(&place, '7', "one", 11);
    kept(&one);
    assert!(git(
        &two,
        &["pull", "-q", "--no-rebase", "--no-edit", "origin", "main"]
    ));
    let found = all_found(&two);
    assert!(!found.iter().any(|(_, state, _)| state == "BROKEN"), "{found:#?}");
    let names: BTreeSet<String> = Shelf::look(&two)
        .unwrap()
        .list()
        .unwrap()
        .iter()
        .map(ToString::to_string)
        .collect();
    let wanted = ["moor-rear-0001", "moor-rear-0002", &there].map(str::to_string);
    assert_eq!(names, BTreeSet::from(wanted));
}

#[test]
fn of_what_two_machines_wrote_to_a_build_one_is_said_to_count() {
    let place = Place::new();
    bench_check(&place, '7', "one", 10);
    synced(&place.path("one"), &place.path("two"));
    // before anybody went on in two places there is nothing to settle
    let ran = settled(&place, '7', "one", BUILDS[0]);
    assert_ne!(ran.code, 0, "{}", ran.out);
    assert!(
        flat(&ran.err).contains("do not say that two machines"),
        "{}",
        ran.err
    );
    corrected(&place, '7', "one", "107");
    corrected(&place, '8', "two", "109");
    let journal = |book: &str| place.path(book).join(BUILDS[0]).join("journal.jsonl");
    let others = fs::read(journal("one")).unwrap();
    fs::copy(place.path("one/log.jsonl"), place.path("two/log.jsonl")).unwrap();
    // of those who can say so a name and a reason are wanted
    let ran = run_on(&place, '7', "two", &["adopt", "--settled", BUILDS[0]]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    done(&settled(&place, '7', "two", BUILDS[0]));
    let found = found_of(&place.path("two"), BUILDS[0]);
    let [(state, words)] = &found[..] else {
        panic!("{found:#?}");
    };
    assert_eq!(state, "note", "{words}");
    for part in [
        "that is settled: what is here counts, A. Fitter",
        "both were at the bench (line ",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
    // it is said once
    assert_ne!(settled(&place, '8', "two", BUILDS[0]).code, 0);
    // what both know is gone on with, and stays settled
    corrected(&place, '8', "two", "111");
    let states = |book: &str| -> BTreeSet<String> {
        let found = found_of(&place.path(book), BUILDS[0]).into_iter();
        found.map(|(state, _)| state).collect()
    };
    assert_eq!(states("two"), BTreeSet::from(["note".to_string()]));
    // a state that was not settled is none, and neither is what is written to it afterwards
    let kept = fs::read(journal("two")).unwrap();
    fs::write(journal("two"), &others).unwrap();
    assert!(states("two").contains("BROKEN"));
    fs::write(journal("two"), &kept).unwrap();
    corrected(&place, '7', "one", "113");
    fs::copy(place.path("one/log.jsonl"), place.path("two/log.jsonl")).unwrap();
    let found = found_of(&place.path("two"), BUILDS[0]);
    assert!(found.iter().any(|(state, _)| state == "BROKEN"), "{found:#?}");
}

#[test]
fn nobody_goes_on_with_a_state_that_the_log_of_another_machine_is_ahead_of() {
    let place = Place::new();
    let unit = crate::place::demo_file("moor-rear.toml");
    let begun = place.path("begun.answers");
    fs::write(&begun, "who = A. Fitter (invented)\n").unwrap();
    let words = [
        "work",
        "bench-check",
        unit.to_str().unwrap(),
        "--answers",
        begun.to_str().unwrap(),
    ];
    // the file ends, and the job waits
    let ran = run_on(&place, '7', "one", &[&words[..], &["--new"]].concat());
    let folder = place.path("one/moor-rear-0001");
    assert!(folder.is_dir(), "{}{}", ran.out, ran.err);
    synced(&place.path("one"), &place.path("two"));
    let answers = crate::place::demo_file("moor-rear-bench-check.answers");
    let rest: String = fs::read_to_string(answers)
        .unwrap()
        .lines()
        .filter(|line| !line.starts_with("who ="))
        .map(|line| format!("{line}\n"))
        .collect();
    let finish = place.path("rest.answers");
    fs::write(&finish, rest).unwrap();
    let finish = [
        "work",
        "bench-check",
        unit.to_str().unwrap(),
        "--answers",
        finish.to_str().unwrap(),
        "--as-listed",
    ];
    done(&run_on(&place, '8', "two", &finish));
    // sync brings the other's log and sheet, and leaves the older journal as the newer file
    let older = fs::read(folder.join("journal.jsonl")).unwrap();
    synced(&place.path("two"), &place.path("one"));
    fs::write(folder.join("journal.jsonl"), &older).unwrap();
    let sheet = fs::read(folder.join("sheet.pdf")).unwrap();
    let ran = run_on(&place, '7', "one", &finish);
    assert_eq!(ran.code, 5, "{}{}", ran.out, ran.err);
    assert!(
        flat(&ran.err).contains("nothing was written: moor-rear-0001: line"),
        "{}",
        ran.err
    );
    assert_eq!(fs::read(folder.join("journal.jsonl")).unwrap(), older);
    assert_eq!(fs::read(folder.join("sheet.pdf")).unwrap(), sheet);
    // whoever means it says so, and goes on
    done(&settled(&place, '7', "one", BUILDS[0]));
    done(&run_on(&place, '7', "one", &finish));
}

#[test]
fn an_edited_journal_can_not_be_said_to_count() {
    let place = Place::new();
    bench_check(&place, '7', "one", 10);
    let journal = place.path("one").join(BUILDS[0]).join("journal.jsonl");
    cut(&journal, 1);
    let found = found_of(&place.path("one"), BUILDS[0]);
    assert!(found.iter().any(|(state, _)| state == "BROKEN"), "{found:#?}");
    let ran = settled(&place, '7', "one", BUILDS[0]);
    assert_ne!(ran.code, 0, "{}", ran.out);
    let after = found_of(&place.path("one"), BUILDS[0]);
    assert_eq!(found, after);
}

#[test]
fn that_one_machine_went_on_in_two_places_is_said_to_be_known() {
    let place = Place::new();
    bench_check(&place, '7', "one", 10);
    synced(&place.path("one"), &place.path("two"));
    bench_check(&place, '7', "one", 11);
    bench_check(&place, '7', "two", 12);
    let copied = place.path("one/log (copy).jsonl");
    fs::copy(place.path("two/log.jsonl"), &copied).unwrap();
    synced(
        &place.path("two/moor-rear-0002"),
        &place.path("one/moor-rear-0002 (conflicted copy)"),
    );
    let book = place.path("one");
    let of_book = || found_of(&book, "");
    assert!(
        of_book()
            .iter()
            .any(|(state, words)| state == "BROKEN" && words.contains("(forked)"))
    );
    done(&run_on(&place, '7', "one", &["adopt"]));
    assert_ne!(settled(&place, '7', "one", "log-z9.jsonl").code, 0);
    done(&settled(&place, '7', "one", "log.jsonl"));
    let found = all_found(&book);
    assert!(!found.iter().any(|(_, state, _)| state == "BROKEN"), "{found:#?}");
    let said = of_book();
    assert!(
        said.iter()
            .any(|(state, words)| state == "note" && words.contains("that is settled, A. Fitter")),
        "{said:#?}"
    );
    assert_ne!(settled(&place, '7', "one", "log.jsonl").code, 0);
    // the machine goes on in its new log, and the two stay as they are
    bench_check(&place, '7', "one", 14);
    let found = all_found(&book);
    assert!(!found.iter().any(|(_, state, _)| state == "BROKEN"), "{found:#?}");
    // one that goes on after all, and one that is taken away, are found
    let kept = fs::read(&copied).unwrap();
    fs::remove_file(&copied).unwrap();
    let said = of_book();
    assert!(
        said.iter()
            .any(|(state, words)| state == "BROKEN" && words.contains("not both are here")),
        "{said:#?}"
    );
    bench_check(&place, '7', "two", 15);
    fs::copy(place.path("two/log.jsonl"), &copied).unwrap();
    let said = of_book();
    assert!(
        said.iter()
            .any(|(state, words)| state == "BROKEN" && words.contains("(forked)")),
        "{said:#?}"
    );
    fs::write(&copied, kept).unwrap();
    assert!(!of_book().iter().any(|(state, _)| state == "BROKEN"));
}
