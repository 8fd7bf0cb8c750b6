//! What a newer program made is told as that, never as broken, and never written to; the kinds of entry that are known
//! and not written yet are taken at their word.

use crate::place::{Place, demo_file, unit_file};
use crate::sealed::{BUILD, check, file, found, sealed, unsigned};
use serde_json::Value;
use shimwright::cli::Exit;
use shimwright::history::{Account, FleetState, FleetUnit, UnitWear};
use shimwright::procedure::{Job, Procedure, Session};
use shimwright::record::formats::JOURNAL_LINE;
use shimwright::record::{Entry, Slot, Value as Answer};
use shimwright::seal::Digest;
use shimwright::workshop::{Drawer, DrawerPart, Unit, read_instruments};
use std::fs;

const AT: &str = "2026-05-10T10:00:00Z";

/// Adds a line of this version to a journal, chained as ours are.
fn add_line(place: &Place, version: u32, entry: &str) {
    let path = file(place, "journal.jsonl");
    let mut text = fs::read_to_string(&path).unwrap();
    let was = Digest::of(text.lines().last().unwrap().as_bytes());
    let n = text.lines().count() + 1;
    text.push_str(&format!(
        "{{\"v\":{version},\"n\":{n},\"was\":\"{was}\",\"entry\":{entry}}}\n"
    ));
    fs::write(&path, text).unwrap();
}

/// Takes the last lines of a journal away.
fn without_last(place: &Place, count: usize) {
    let path = file(place, "journal.jsonl");
    let text = fs::read_to_string(&path).unwrap();
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    fs::write(&path, lines[..lines.len() - count].concat()).unwrap();
}

fn state(place: &Place, command: &str) -> Value {
    let listed = place.run(&[command, "--json"]).json();
    let list = if command == "builds" { "builds" } else { "units" };
    listed[list][0].clone()
}

/// Every file of the book but the lock and the index, which hold nothing of a record.
fn files(place: &Place) -> Vec<(String, Vec<u8>)> {
    let mut all: Vec<(String, Vec<u8>)> = fs::read_dir(place.book().join(BUILD))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| (path.display().to_string(), fs::read(&path).unwrap()))
        .collect();
    all.sort();
    all
}

/// That a build is told as made by a newer program wherever it is looked at, and written to nowhere.
fn is_newer(place: &Place, words: &str) {
    let before = files(place);
    assert_eq!(state(place, "builds")["state"], "newer");
    let unit = state(place, "fleet");
    assert_eq!(unit["state"], "newer", "{unit}");
    assert_eq!(unit["damaged"].as_array().unwrap().len(), 0, "{unit}");
    assert_eq!(unit["newer"][0]["build"], BUILD, "{unit}");
    let fleet = place.run(&["fleet", "--state", "newer"]);
    assert!(
        fleet.code == 0 && fleet.err.contains(words) && !fleet.out.contains("damaged"),
        "{}{}",
        fleet.out,
        fleet.err
    );
    place.run(&["wear", "moor-rear"]).fails(8, &[]);
    place
        .run(&["correct", BUILD, "drag", "3 N.m", "--reason", "r", "--by", "A"])
        .fails(5, &["was made by a newer program", words, "--new"]);
    place
        .run(&["sign", BUILD, "--key", "keys/bea", "--as", "Bea Example"])
        .fails(5, &["was made by a newer program", words]);
    let printed = place.run(&["sheet", BUILD, "--out", "x.pdf"]);
    assert!(
        printed.code == 0 || printed.err.contains("a newer program"),
        "{}",
        printed.err
    );
    assert!(!printed.out.contains("finished"), "{}", printed.out);
    assert_eq!(files(place), before);
}

#[test]
fn an_entry_or_a_line_of_a_newer_program_is_open_and_not_broken() {
    let above = JOURNAL_LINE.newest() + 1;
    let weighed = "{\"kind\":\"weighed\",\"at\":\"2026-05-10T10:00:00Z\",\"grams\":31500}";
    let named = "{\"kind\":\"noted\",\"at\":\"2026-05-10T10:00:00Z\",\"by\":\"A\",\"slot\":{\"round\":1,\"step\":\"who\"},\
                 \"text\":\"t\",\"photo\":\"7\"}";
    let known = "{\"kind\":\"noted\",\"at\":\"2026-05-10T10:00:00Z\",\"by\":\"A\",\"slot\":{\"round\":1,\"step\":\"who\"},\
                 \"text\":\"t\"}";
    let of_above = format!("is of version {above}");
    for (version, entry, words) in [
        (1, weighed, "\"weighed\" is not known here"),
        (2, weighed, "\"weighed\" is not known here"),
        (1, named, "the field \"photo\" is not known here"),
        (above, known, &of_above),
        (9, weighed, "is of version 9"),
    ] {
        let place = sealed();
        add_line(&place, version, entry);
        let (exit, report) = check(&place);
        assert_eq!(exit, Exit::NotProven, "{entry}: {report}");
        assert!(found(&report, "open").contains(words), "{entry}: {report}");
        assert_eq!(found(&report, "BROKEN"), "", "{report}");
        // the seals before it are judged as ever
        assert_eq!(report["seals"].as_array().unwrap().len(), 2, "{report}");
        let told = place.run(&["check", BUILD]);
        assert!(told.out.contains("a newer program wrote"), "{}", told.out);
        is_newer(&place, words);
        // what is altered before it is broken all the same
        let path = file(&place, "journal.jsonl");
        let text = fs::read_to_string(&path).unwrap().replacen("1.969", "1.999", 1);
        fs::write(&path, text).unwrap();
        assert_eq!(check(&place).0, Exit::SealBroken, "{entry}");
        assert_eq!(state(&place, "builds")["state"], "damaged");
    }
}

#[test]
fn a_frame_that_is_not_understood_is_newer_and_what_stands_before_it_is_read() {
    let place = sealed();
    let path = file(&place, "journal.jsonl");
    let mut text = fs::read_to_string(&path).unwrap();
    text.push_str("{\"v\":4,\"chain\":[1,2],\"body\":\"x\"}\n{\"v\":4,\"chain\":[2,3]}\n");
    fs::write(&path, text).unwrap();
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::NotProven, "{report}");
    assert_eq!(report["seals"].as_array().unwrap().len(), 2, "{report}");
    is_newer(&place, "is of version 4");
}

#[test]
fn work_on_a_build_of_a_newer_program_is_refused_kindly() {
    let place = unsigned();
    without_last(&place, 1);
    add_line(
        &place,
        1,
        "{\"kind\":\"weighed\",\"at\":\"2026-05-10T10:00:00Z\"}",
    );
    let before = files(&place);
    let unit = unit_file("moor-rear");
    let drawer = demo_file("moor-drawer.toml");
    let words = [
        "work",
        "full-rebuild",
        unit.to_str().unwrap(),
        "--drawer",
        drawer.to_str().unwrap(),
    ];
    place.run(&words).fails(
        5,
        &[
            "moor-rear-0001 was made by a newer program",
            "take that program",
            "--new",
        ],
    );
    assert_eq!(files(&place), before);
    // another build may be begun beside it
    let ran = place.run(&[&words[..], &["--new", "--plain"]].concat());
    assert!(ran.out.contains("Build moor-rear-0002"), "{}{}", ran.out, ran.err);
    assert_eq!(files(&place), before);
}

#[test]
fn a_seal_of_a_newer_form_is_open() {
    let place = unsigned();
    let statement = "shimwright seal 3\nbuild moor-rear-0001\nlog k7 40 9c1e\n";
    fs::write(file(&place, "seal-1.txt"), statement).unwrap();
    fs::write(file(&place, "seal-1.txt.sig"), "another\n").unwrap();
    let digests = [statement, "another\n"].map(|text| Digest::of(text.as_bytes()));
    let [text, signature] = digests;
    let line =
        format!("{{\"kind\":\"sealed\",\"seal\":1,\"statement\":\"{text}\",\"signature\":\"{signature}\"}}");
    add_line(&place, 1, &line);
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::NotProven, "{report}");
    assert!(found(&report, "open").contains("shimwright seal 3"), "{report}");
    // and a file that is not the one that the journal names is broken, whatever its form
    fs::write(file(&place, "seal-1.txt"), statement.replace("9c1e", "9c1f")).unwrap();
    assert_eq!(check(&place).0, Exit::SealBroken);
}

#[test]
fn a_sheet_that_a_newer_program_printed_is_open() {
    let place = sealed();
    let text = "SHIMWRIGHT3 B:MOOR-REAR-0001 L:K7.40.9C1E40AB U:MOOR+REAR";
    for arguments in [
        &["check", "--paper", text][..],
        &["check", BUILD, "--paper", text],
    ] {
        let ran = place.run(arguments);
        assert_eq!(ran.code, 12, "{}", ran.err);
        assert!(
            ran.out.contains("a newer program") && !ran.out.contains("BROKEN"),
            "{}",
            ran.out
        );
    }
    place
        .run(&["check", "--paper", "SHIMWRIGHT3 Q:1"])
        .fails(12, &["a newer program printed that sheet (SHIMWRIGHT3)"]);
    place.run(&["check", "--paper", "SHIMWRIGHT0 B:X"]).fails(2, &[]);
}

#[test]
fn a_kept_file_of_a_newer_form_makes_the_build_newer() {
    let place = unsigned();
    let path = file(&place, "unit.toml");
    let text = fs::read_to_string(&path).unwrap();
    let newer = text.replace("shimwright unit 1", "shimwright unit 2") + "\n[of_tomorrow]\nkey = 1\n";
    fs::write(&path, &newer).unwrap();
    // as the newer program would have begun it, with its digest
    let journal = file(&place, "journal.jsonl");
    let (old, new) = (Digest::of(text.as_bytes()), Digest::of(newer.as_bytes()));
    let mut was = Digest::of(b"");
    let mut anew = String::new();
    for (n, line) in fs::read_to_string(&journal).unwrap().lines().enumerate() {
        let entry = line.split_once("\"entry\":").unwrap().1;
        let mut entry = entry.replace(&old.to_string(), &new.to_string());
        // in a book without a log, which would know the build as it was
        if let Some((before, log)) = entry.split_once(",\"log\":{") {
            entry = format!("{before}{}", log.split_once('}').unwrap().1);
        }
        let line = format!("{{\"v\":1,\"n\":{},\"was\":\"{was}\",\"entry\":{entry}", n + 1);
        was = Digest::of(line.as_bytes());
        anew.push_str(&format!("{line}\n"));
    }
    fs::write(&journal, anew).unwrap();
    fs::remove_file(place.book().join("log.jsonl")).unwrap();
    assert_eq!(state(&place, "builds")["state"], "newer");
    assert_eq!(state(&place, "fleet")["state"], "newer");
    place
        .run(&["sheet", BUILD])
        .fails(5, &["was made by a newer program", "shimwright unit 2"]);
    // a file that is given by hand is refused as one of a newer program, and for nothing else
    let given = place.write("mine.toml", &newer);
    let ran = place.run(&["lint", given.to_str().unwrap()]);
    assert_eq!(ran.code, 3);
    let told = format!("{}{}", ran.out, ran.err);
    assert!(
        told.contains("a newer program made this file") && !told.contains("of_tomorrow\" is not"),
        "{told}"
    );
    // the seals of such a build are judged, and its figures on paper are not
    let (_, report) = check(&place);
    let digits = report["digest"].as_str().unwrap().to_string();
    let code = format!(
        "SHIMWRIGHT1 B:MOOR-REAR-0001 U:X D:2026-05-09 N:{} S:{digits}",
        report["journal_lines"]
    );
    let ran = place.run(&["check", "--paper", &code]);
    assert_eq!(ran.code, 12, "{}{}", ran.out, ran.err);
}

#[test]
fn a_voided_build_is_told_and_counts_for_nothing() {
    let place = sealed();
    let before = place.run(&["wear", "moor-rear"]);
    assert_eq!(before.code, 0, "{}", before.err);
    add_line(
        &place,
        2,
        "{\"kind\":\"voided\",\"at\":\"2026-05-10T10:00:00Z\",\"by\":\"Ada Example\",\"reason\":\"the other unit\"}",
    );
    assert_eq!(state(&place, "builds")["state"], "voided");
    let unit = state(&place, "fleet");
    assert_eq!(
        (&unit["builds"], &unit["last_build"]),
        (&Value::from(0), &Value::Null)
    );
    place.run(&["wear", "moor-rear"]).fails(8, &[]);
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::NotProven, "{report}");
    assert!(found(&report, "note").contains("Ada Example voided the build: the other unit"));
    let printed = place.run(&["sheet", BUILD, "--out", "x.pdf"]);
    assert!(printed.out.contains("UNFINISHED"), "{}", printed.out);
    // it is whole, and may be written to
    let ran = place.run(&["sign", BUILD, "--key", "keys/ada", "--as", "Ada Example"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(check(&place).0, Exit::Done);
}

#[test]
fn a_build_that_waits_says_what_for_and_goes_on() {
    let place = unsigned();
    without_last(&place, 2);
    // a log would say that there was more
    fs::remove_file(place.book().join("log.jsonl")).unwrap();
    let waits =
        |parts: &str| format!("{{\"kind\":\"waiting\",\"at\":\"{AT}\",\"by\":\"A\",\"parts\":[{parts}]}}");
    add_line(&place, 2, &waits("\"plate G4\",\"oil\""));
    let told = state(&place, "builds")["state"].as_str().unwrap().to_string();
    assert!(
        told.starts_with("open, ") && told.ends_with(", waits for plate G4, oil"),
        "{told}"
    );
    add_line(&place, 2, &waits(""));
    assert!(!state(&place, "builds")["state"].to_string().contains("waits"));
    let unit = unit_file("moor-rear");
    let last = crate::place::answers_of("moor-rear");
    let last = last
        .lines()
        .rfind(|line| line.contains(" = "))
        .unwrap()
        .to_string();
    let ran = place.answered(&unit, &last, &[]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert_eq!(state(&place, "builds")["state"], "finished");
}

#[test]
fn a_drive_day_is_no_build_and_not_damaged() {
    let place = unsigned();
    let day = place.book().join("moor-day-0001");
    fs::create_dir(&day).unwrap();
    let (car, procedure) = ("car = 1\n", "steps = 0\n");
    fs::write(day.join("car.toml"), car).unwrap();
    fs::write(day.join("procedure.toml"), procedure).unwrap();
    let digest = |text: &str| Digest::of(text.as_bytes());
    let entry = format!(
        "{{\"kind\":\"day-begun\",\"at\":\"{AT}\",\"program\":\"0.2.0\",\"id\":\"0123456789abcdef\",\"car\":\"{}\",\
         \"procedure\":\"{}\",\"units\":\"metric\"}}",
        digest(car),
        digest(procedure)
    );
    let line = format!(
        "{{\"v\":2,\"n\":1,\"was\":\"{}\",\"entry\":{entry}}}\n",
        digest("")
    );
    fs::write(day.join("journal.jsonl"), line).unwrap();
    let listed: Value = serde_json::from_str(&place.run(&["builds", "--json"]).out).unwrap();
    assert!(!listed.to_string().contains("moor-day-0001"), "{listed}");
    place
        .run(&["sheet", "moor-day-0001"])
        .fails(8, &["the record of a drive day and no build"]);
    let ran = place.run(&["check", "moor-day-0001"]);
    assert!(
        ran.code == 12 && !ran.out.contains("BROKEN"),
        "{}{}",
        ran.out,
        ran.err
    );
    fs::write(day.join("car.toml"), "car = 2\n").unwrap();
    assert_eq!(place.run(&["check", "moor-day-0001"]).code, 11);
}

fn job(place: &Place) -> Job {
    let text = |name: &str| fs::read_to_string(file(place, name)).unwrap();
    Job {
        unit: Unit::read("unit", &text("unit.toml")).unwrap(),
        drawer: Drawer::read("drawer", &text("drawer.toml")).unwrap(),
        instruments: read_instruments("instruments", &text("instruments.toml")).unwrap(),
        procedure: Procedure::read("procedure", &text("procedure.toml")).unwrap(),
        rework: None,
        last: None,
    }
}

#[test]
fn an_answer_that_was_put_right_is_the_answer_and_what_lapsed_is_asked_again() {
    let place = unsigned();
    let entries: Vec<Entry> = place
        .entries(BUILD)
        .iter()
        .map(|entry| Entry::from_json(&entry.to_string()).unwrap())
        .take_while(|entry| !matches!(entry, Entry::Finished { .. }))
        .collect();
    let slot = |step: &str| -> Slot {
        let of = entries.iter().find_map(|entry| match entry {
            Entry::Answered { slot, .. } if slot.step == step => Some(slot.clone()),
            _ => None,
        });
        of.unwrap()
    };
    let (reading, choice) = (slot("plate-thickness"), slot("choose"));
    let amended = Entry::Amended {
        at: AT.into(),
        by: "A".into(),
        slot: reading.clone(),
        line: 3,
        was: "1.97".into(),
        text: "1.9".into(),
        value: Answer::Length(1_900_000),
        insisted: false,
        lapsed: vec![choice.clone()],
    };
    let session = Session::resume(job(&place), &[&entries[..], &[amended]].concat());
    assert_eq!(session.answer_to(&reading), Some(&Answer::Length(1_900_000)));
    assert_eq!(session.answer_to(&choice), None);
    assert_eq!(session.ask().unwrap().slot, choice);
    let remarks = session.build(BUILD, "").remarks;
    let told = |text: &str| remarks.iter().any(|remark| remark.text == text);
    assert!(told("was 1.97, now 1.9"), "{remarks:?}");
    assert_eq!(session.not_folded().count(), 0);
}

#[test]
fn parts_that_came_or_are_not_there_change_the_drawer_or_the_build_is_told_as_newer() {
    let place = unsigned();
    let begun = Entry::from_json(&place.entries(BUILD)[0].to_string()).unwrap();
    let drawer = job(&place).drawer;
    let (at, by) = (AT.to_string(), "A".to_string());
    let added = |rows: &str| Entry::PartAdded {
        at: at.clone(),
        by: by.clone(),
        rows: rows.into(),
    };
    let struck = |part: DrawerPart| Entry::PartStruck {
        at: at.clone(),
        by: by.clone(),
        part,
        reason: "nobody finds it".into(),
    };
    let folded = |entry: Entry| {
        let session = Session::resume(job(&place), &[begun.clone(), entry]);
        (session.job().drawer.clone(), session.not_folded().count())
    };
    let row = "[[spare]]\nname = \"SG99\"\nkeyed = \"gear\"\nthickness = \"2.00 mm\"\n";
    let (with, not_folded) = folded(added(row));
    assert_eq!((with.spares.len(), not_folded), (drawer.spares.len() + 1, 0));
    let first = drawer.spares[0].name.clone();
    let (without, not_folded) = folded(struck(DrawerPart::Spare(first.clone())));
    assert_eq!(not_folded, 0);
    assert!(without.spares.iter().all(|spare| spare.name != first));
    let (thickness, count) = drawer.shims[0];
    let (less, _) = folded(struck(DrawerPart::Shim(thickness.nm())));
    assert_eq!(less.shims[0], (thickness, count - 1));
    // what can not be read, or would make two plates one, leaves the drawer and is told
    let plate = job(&place).unit.plates[0].name.clone();
    for entry in [
        added("[[spring]]\nheight = 3\n"),
        added(&row.replace("SG99", &plate)),
        added(&row.replace("SG99", &first)),
        struck(DrawerPart::Spare("SG77".into())),
        struck(DrawerPart::Shim(1)),
    ] {
        assert_eq!(folded(entry.clone()), (drawer.clone(), 1), "{entry:?}");
    }
    // and a build with such an entry is newer in the lists
    without_last(&place, 1);
    add_line(&place, 2, &added("[[spring]]\nheight = 3\n").to_json().unwrap());
    assert_eq!(state(&place, "builds")["state"], "newer");
}

#[test]
fn builds_that_do_not_count_change_no_history() {
    let of = |build: &str| Account {
        build: build.into(),
        unit: "a".into(),
        begun: format!("2026-03-1{}T09:00:00Z", &build[5..]),
        finished: Some(format!("2026-03-1{}T17:00:00Z", &build[5..])),
        digest: build.into(),
        ..Account::default()
    };
    let (one, mut two) = (of("a-0001"), of("a-0002"));
    let chosen = |account: &Account| FleetUnit::of("a", &[one.clone(), account.clone()]);
    assert_eq!(chosen(&two).last.unwrap().0, "a-0002");
    two.voided = Some("another unit".into());
    let unit = chosen(&two);
    assert_eq!((unit.last.unwrap().0.as_str(), unit.builds), ("a-0001", 1));
    assert_eq!(unit.state, FleetState::Finished);
    (two.voided, two.newer) = (None, vec!["line 3".into()]);
    let unit = chosen(&two);
    assert_eq!(
        (unit.state, unit.standing().as_str()),
        (FleetState::Newer, "newer")
    );
    assert_eq!(unit.last.unwrap().0, "a-0001");
    let accounts = [two.clone(), of("a-0003")];
    let unit = FleetUnit::of("a", &accounts);
    assert_eq!(unit.standing(), "finished, 0002 newer");
    assert!(unit.is_in(FleetState::Newer) && unit.is_in(FleetState::Finished));
    let told = UnitWear::of("a", &accounts).unwrap().told;
    assert!(told[0].contains("a-0002 was made by a newer program"), "{told:?}");
}
