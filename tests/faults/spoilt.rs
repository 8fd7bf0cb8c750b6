//! A book that was spoilt from outside: by a power cut, a hand, sync, another program, another machine.

use crate::ended::goes_on;
use crate::kit::{BUILD, Bench, Heard, KEPT, Left, answers, whole};
use crate::table::found;
use shimwright::book::{BuildId, Shelf};
use shimwright::procedure::{Job, Procedure, Session};
use shimwright::record::formats::JOURNAL_LINE;
use shimwright::record::{Entry, Remark};
use shimwright::seal::Digest;
use shimwright::workshop::{Drawer, Unit, read_instruments};
use std::fs;

/// Entries that are there before something happens.
const START: usize = 9;

#[test]
fn a_torn_line_is_set_aside_and_told() {
    let torn = &whole().lines[START][..100];
    let bench = Bench::after(START, torn);
    let (mut heard, mut left) = (Heard::default(), Left::default());
    left.look(&bench, START);
    goes_on(&bench, START + 1, "torn", &mut heard);
    assert_eq!(
        fs::read_to_string(bench.folder().join("journal.torn-1")).unwrap(),
        torn
    );
    found(
        "a last line that is torn",
        &format!("{}; the part of a line in `journal.torn-1`", left.words()),
        &heard.words(),
    );
}

#[test]
fn a_line_without_its_newline_is_kept() {
    let bench = Bench::after(START, &whole().lines[START]);
    let (mut heard, mut left) = (Heard::default(), Left::default());
    // that one too
    left.look(&bench, START + 1);
    goes_on(&bench, START + 1, "no newline", &mut heard);
    found(
        "a last line that lacks its newline",
        &left.words(),
        &heard.words(),
    );
}

/// `work` is refused with this exit code and changes nothing; what it says.
fn is_left_alone(bench: &Bench, code: i32) -> String {
    let read = |bench: &Bench| -> Vec<(String, Vec<u8>)> {
        let files = bench.all().into_iter().filter(|name| bench.path(name).is_file());
        files
            // a lock that was asked for stays, and holds nothing
            .filter(|name| !name.starts_with("files") && !name.starts_with("book/.locks/"))
            .map(|name| (name.clone(), fs::read(bench.path(&name)).unwrap()))
            .collect()
    };
    // the lock that every opening leaves
    drop(Shelf::open(&bench.book()).unwrap());
    let before = read(bench);
    let ran = bench.run(&answers()[START - 1..=START]);
    assert_eq!(ran.code, code, "{}{}", ran.out, ran.err);
    assert!(read(bench) == before, "something was changed");
    let mut heard = Heard::default();
    heard.hear(&ran.err);
    heard.words()
}

/// `sheet` still prints, and not as finished.
fn prints_unfinished(bench: &Bench, fact: &str) {
    let ran = bench.run_program(&["sheet", BUILD, "--out", "files/x.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("UNFINISHED") && ran.err.contains(fact),
        "{}{}",
        ran.out,
        ran.err
    );
}

#[test]
fn a_changed_line_stops_the_work() {
    let bench = Bench::after(START, "");
    let text = bench
        .journal()
        .replacen("Fell 3, rally car", "Fell 4, rally car", 1);
    fs::write(bench.journal_file(), text).unwrap();
    prints_unfinished(&bench, "not as it was written");
    found(
        "a line that was changed",
        "nothing is changed; `sheet` prints what stands before it, as unfinished",
        &is_left_alone(&bench, 5),
    );
}

/// What the sheet says beside its figures.
fn remarks(bench: &Bench) -> Vec<Remark> {
    let text = |name: &str| fs::read_to_string(bench.folder().join(name)).unwrap();
    let job = Job {
        unit: Unit::read("unit", &text("unit.toml")).unwrap(),
        drawer: Drawer::read("drawer", &text("drawer.toml")).unwrap(),
        instruments: read_instruments("instruments", &text("instruments.toml")).unwrap(),
        procedure: Procedure::read("procedure", &text("procedure.toml")).unwrap(),
        rework: None,
        last: None,
    };
    let entries: Vec<Entry> = bench
        .entries()
        .unwrap()
        .iter()
        .map(|text| Entry::from_json(text).unwrap())
        .collect();
    Session::resume(job, &entries).build(BUILD, "").remarks
}

#[test]
fn a_clock_that_was_set_back_is_told_and_the_order_stays() {
    let bench = Bench::after(START, "");
    let file = bench.path("files/more.answers");
    fs::write(&file, answers()[START - 1..=START].join("\n")).unwrap();
    let unit = format!("{}/demo-units/fell-front.toml", env!("CARGO_MANIFEST_DIR"));
    let words = [
        "work",
        "full-rebuild",
        &unit,
        "--drawer",
        "files/drawer.toml",
        "--at",
        "2026-05-08T23:00:00-01:00",
    ];
    let ran = bench.run_program(&[&words[..], &["--answers", file.to_str().unwrap()]].concat());
    assert_eq!(ran.code, 4, "{}", ran.err);
    // said once, at the first entry that is dated back: those after it go on from there
    let told: Vec<&str> = ran
        .out
        .lines()
        .filter(|line| line.contains("The clock:"))
        .collect();
    assert_eq!(told.len(), 1, "{}", ran.out);
    let said = ran.out[ran.out.find("The clock:").unwrap()..]
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    let said = &said[..=said.find('.').unwrap()];
    let numbers: Vec<bool> = bench
        .journal()
        .lines()
        .enumerate()
        .map(|(n, line)| line.starts_with(&format!("{{\"v\":1,\"n\":{},", n + 1)))
        .collect();
    assert!(numbers.len() == START + 2 && numbers.iter().all(|right| *right));
    let clocks: Vec<String> = remarks(&bench)
        .into_iter()
        .filter(|remark| remark.kind.word() == "clock")
        .map(|remark| remark.text)
        .collect();
    assert_eq!(clocks.len(), 1, "{clocks:?}");
    assert!(said.contains(&clocks[0]), "{clocks:?}");
    // the same moment by another offset is no step back
    let bench = Bench::after(START, "");
    fs::write(
        bench.path("files/more.answers"),
        answers()[START - 1..=START].join("\n"),
    )
    .unwrap();
    let words = [
        "work",
        "full-rebuild",
        &unit,
        "--drawer",
        "files/drawer.toml",
        "--at",
        "2026-05-09T08:00:00-02:00",
    ];
    let ran = bench.run_program(&[&words[..], &["--answers", "files/more.answers"]].concat());
    assert!(!ran.out.contains("The clock:"), "{}", ran.out);
    found(
        "a clock that was set back",
        "every entry, in the order of their numbers; a remark on the sheet",
        &format!("`{said}`"),
    );
}

#[test]
fn a_second_program_is_told_who_has_the_build() {
    let bench = Bench::after(START, "");
    let shelf = Shelf::open(&bench.book()).unwrap().held_as("the bench");
    let id: BuildId = BUILD.parse().unwrap();
    let held = shelf.resume(&id).unwrap();
    let ran = bench.run(&answers()[START - 1..=START]);
    assert_eq!(ran.code, 6, "{}", ran.err);
    assert!(
        ran.err.contains("is open elsewhere, by the bench (process "),
        "{}",
        ran.err
    );
    let mut heard = Heard::default();
    heard.hear(&ran.err);
    // it can be printed meanwhile
    assert_eq!(bench.run_program(&["sheet", BUILD]).code, 0);
    drop(held);
    goes_on(&bench, START + 1, "after it was let go", &mut Heard::default());
    found(
        "two programs on one build",
        "the first goes on, the second writes nothing; the lock ends with its holder",
        &format!("{} (exit {})", heard.words(), ran.code),
    );
}

#[test]
fn two_journals_are_both_kept() {
    let bench = Bench::after(START, "");
    let other = bench.folder().join("journal 2.jsonl");
    let lines = &whole().lines;
    fs::write(&other, lines[..START - 3].join("\n") + "\n").unwrap();
    prints_unfinished(&bench, "is a second journal of this build");
    let listed = bench.run_program(&["builds", "--json"]);
    assert!(listed.out.contains("damaged"), "{}", listed.out);
    let said = is_left_alone(&bench, 5);
    // whichever is kept, the work goes on from there
    fs::rename(&other, bench.journal_file()).unwrap();
    goes_on(&bench, START, "with the other", &mut Heard::default());
    found(
        "a second journal, left by sync",
        "both, untouched; `sheet` prints the build's own, as unfinished",
        &said,
    );
}

/// A journal whose next line is this, after a frame of this version.
fn with_line(version: u32, entry: &str) -> Bench {
    let was = Digest::of(whole().lines[START - 1].as_bytes());
    let n = START + 1;
    Bench::after(
        START,
        &format!("{{\"v\":{version},\"n\":{n},\"was\":\"{was}\",\"entry\":{entry}}}\n"),
    )
}

#[test]
fn a_newer_record_is_read_and_not_written() {
    let above = JOURNAL_LINE.newest() + 1;
    let bench = with_line(above, "{\"kind\":\"finished\",\"at\":\"2026-05-09T10:00:00Z\"}");
    let line = START + 1;
    prints_unfinished(
        &bench,
        &format!("a newer program made it: line {line} is of version {above}"),
    );
    let frame = {
        drop(Shelf::open(&bench.book()).unwrap());
        let shelf = Shelf::open(&bench.book()).unwrap();
        shelf.resume(&BUILD.parse().unwrap()).unwrap_err().to_string()
    };
    assert!(
        frame.contains(&format!("a newer program wrote line {line}")),
        "{frame}"
    );
    is_left_alone(&bench, 5);
    // an entry, and a field, that only a newer program knows, in a frame of ours
    let mut heard = String::new();
    for (entry, word) in [
        (
            "{\"kind\":\"finished\",\"at\":\"x\",\"kilograms\":31.5}",
            "kilograms",
        ),
        (
            "{\"kind\":\"weighed\",\"at\":\"x\",\"kilograms\":31.5}",
            "weighed",
        ),
    ] {
        let bench = with_line(1, entry);
        prints_unfinished(&bench, word);
        heard = is_left_alone(&bench, 5);
        assert!(heard.contains(word), "{heard}");
    }
    found(
        "a record of a newer program",
        "nothing is changed; `sheet` prints what can be read, as unfinished",
        &heard,
    );
}

#[test]
fn no_two_builds_differ_by_capitals_only() {
    let bench = Bench::after(START, "");
    fs::rename(bench.folder(), bench.book().join("Fell-Front-0001")).unwrap();
    let listed = bench.run_program(&["builds"]);
    assert!(
        listed
            .err
            .contains("Fell-Front-0001 is no build and is left alone"),
        "{}",
        listed.err
    );
    assert_eq!(bench.run_program(&["sheet", "Fell-Front-0001"]).code, 8);
    // the number is taken, whatever the capitals, so that both can lie side by side on any disk
    let shelf = Shelf::open(&bench.book()).unwrap();
    let begun = shelf.begin("Fell FRONT", &[("unit.toml", b"x")]).unwrap();
    assert_eq!(begun.id().as_str(), "fell-front-0002");
    let text = fs::read_to_string(format!(
        "{}/demo-units/fell-front.toml",
        env!("CARGO_MANIFEST_DIR")
    ))
    .unwrap();
    fs::write(
        bench.path("files/unit.toml"),
        text.replace("id = \"fell-front\"", "id = \"Fell-Front\""),
    )
    .unwrap();
    let ran = bench.run_program(&["work", "full-rebuild", "files/unit.toml"]);
    assert_eq!(ran.code, 3, "{}", ran.err);
    assert!(
        ran.err.contains("at most 40 small letters, digits and -"),
        "{}",
        ran.err
    );
    let mut heard = Heard::default();
    for line in listed.err.lines().chain(ran.err.lines()) {
        // where it stands in the unit's file differs, what is wrong with it does not
        if line.contains("is no build") || line.contains("small letters") {
            heard.hear(line);
        }
    }
    found(
        "names that differ by capitals only",
        "all of them: a number is not given again whatever the capitals of the folder that has it",
        &heard.words(),
    );
}

#[cfg(unix)]
#[test]
fn a_link_is_neither_read_nor_written_through() {
    use std::os::unix::fs::symlink;
    let last = crate::ended::last_answer();
    let end = whole().lines.len() - 2;
    let names = [
        "journal.jsonl",
        "sheet.pdf",
        "../.to-do/fell-front-0001",
        "held-by",
        "journal.torn-1",
        "../.lock",
        "../.locks",
        "../.locks/fell-front-0001",
    ];
    let mut heard = Heard::default();
    for name in names.into_iter().chain(KEPT).chain(["."]) {
        let bench = Bench::after(end, if name == "journal.torn-1" { "{" } else { "" });
        let outside = bench.path("files/outside");
        let place = bench.folder().join(name);
        fs::create_dir_all(place.parent().unwrap()).unwrap();
        if name == "." {
            fs::rename(bench.folder(), &outside).unwrap();
            symlink(&outside, bench.folder()).unwrap();
        } else {
            // what the file was lies outside, so that following the link would work
            match fs::rename(&place, &outside) {
                Ok(()) => {}
                Err(_) => fs::write(&outside, "mine").unwrap(),
            }
            symlink(&outside, &place).unwrap();
        }
        let read = || {
            if outside.is_dir() {
                fs::read(outside.join("journal.jsonl")).unwrap()
            } else {
                fs::read(&outside).unwrap()
            }
        };
        let before = read();
        let ran = bench.run(&last);
        assert!(read() == before, "{name} was followed");
        for line in ran.err.lines().filter(|line| line.contains("link")) {
            heard.hear(line);
        }
        assert!(outside.exists(), "{name}: what the link leads to is gone");
        match name {
            // these are made anew or beside it, and the link is left or taken away
            "held-by" | "journal.torn-1" => assert_eq!(ran.code, 0, "{name}: {}", ran.err),
            // no build is seen there, so another is begun
            "journal.jsonl" | "." => {
                assert_eq!(ran.code, 4, "{name}: {}", ran.err);
                assert!(
                    ran.err.contains("is no build and is left alone"),
                    "{name}: {}",
                    ran.err
                );
            }
            _ if KEPT.contains(&name) => {
                assert_eq!(ran.code, 4, "{name}: {}", ran.err);
                let told = ran.err.contains("can not be read and is left alone")
                    && ran.err.contains("symbolic link");
                assert!(told, "{name}: {}", ran.err);
            }
            _ => {
                assert_eq!(ran.code, 5, "{name}: {}", ran.err);
                assert!(ran.err.contains("is a symbolic link"), "{name}: {}", ran.err);
            }
        }
    }
    found(
        "links in the place of a build or its files",
        "what they lead to, untouched; a build that is a link, or whose files are, is none",
        &heard.words(),
    );
}
