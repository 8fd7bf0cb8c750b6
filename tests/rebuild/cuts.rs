//! The power goes at any moment: what was answered stays, and the way goes on where it was.

use crate::bench::{AT, Place, answers_after, answers_of, finished, unit_file};
use crate::engine::job;
use serde_json::Value;
use shimwright::bench::{Answers, Front};
use shimwright::book::{BuildId, Repair, Shelf};
use shimwright::procedure::{Reply, Session};
use shimwright::record::Entry;
use std::fs;
use std::io::{Read, Write};
use std::process::Stdio;

fn parsed(entries: &[String]) -> Vec<Entry> {
    entries
        .iter()
        .map(|text| Entry::from_json(text).unwrap())
        .collect()
}

fn values(entries: &[String]) -> Vec<Value> {
    entries
        .iter()
        .map(|text| serde_json::from_str(text).unwrap())
        .collect()
}

#[test]
fn a_build_that_is_taken_up_again_after_every_answer_ends_as_one_done_in_one_go() {
    let demo = "shoal-rear";
    let place = Place::new();
    // the program itself begins the build, and stops for want of an answer
    place
        .answered(&unit_file(demo), "", &["--json"])
        .fails(4, &["ends after line 0, but \"who\" is asked"]);
    let (shelf, id) = (
        Shelf::open(&place.book()).unwrap(),
        format!("{demo}-0001").parse::<BuildId>().unwrap(),
    );
    let job = job(demo);
    let mut front = Answers::parse(&answers_of(demo), demo).unwrap();
    loop {
        let mut journal = shelf.resume(&id).unwrap();
        let mut session = Session::resume(job.clone(), &parsed(journal.entries()));
        if front.is_by_fewest() {
            session.put_fewest_first();
        }
        let Some(mut ask) = session.ask() else { break };
        // what leads to no entry, such as a change by hand that is only shown, is no answer yet
        let taken = loop {
            match front.ask(&ask).unwrap() {
                Reply::Why => {}
                reply => match session.answer(&reply, AT) {
                    Ok(taken) if taken.entries.is_empty() => {}
                    Ok(taken) => break taken,
                    Err(refusal) => front.refuse(&refusal).unwrap(),
                },
            }
            ask = session.ask().unwrap();
        };
        for entry in &taken.entries {
            journal.append(&entry.to_json().unwrap()).unwrap();
        }
        // here the power goes: nothing of the session is left but the journal
    }
    front.finish().unwrap();
    assert!(
        but_for_the_log(place.entries(id.as_str())) == but_for_the_log(finished(demo).entries.clone()),
        "{demo}"
    );
}

#[test]
fn a_program_that_is_killed_at_a_question_has_every_answer_before_it_on_the_disk() {
    let answers = answers_after("moor-rear", 0);
    let lines: Vec<&str> = answers
        .lines()
        .map(|line| line.split_once(" = ").unwrap().1)
        .collect();
    let plates = answers
        .lines()
        .position(|line| line.starts_with("plate-look/"))
        .unwrap();
    let place = Place::new();
    let mut given = 0;
    for more in [1, 7, 40] {
        let mut child = place
            .work(&unit_file("moor-rear"), &["--plain"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut keys = child.stdin.take().unwrap();
        let mut out = child.stdout.take().unwrap();
        let mut prompts = 1;
        if given > 0 {
            // whether to go on with the unfinished build
            keys.write_all(b"\n").unwrap();
            prompts += 1;
        }
        for (n, line) in lines[given..given + more].iter().enumerate() {
            if given + n == plates {
                writeln!(keys, "!one").unwrap();
                prompts += 1;
            }
            writeln!(keys, "{line}").unwrap();
            prompts += 1;
        }
        keys.flush().unwrap();
        let mut said = String::new();
        let mut bytes = [0; 4096];
        while said.matches("\n> ").count() < prompts {
            let n = out.read(&mut bytes).unwrap();
            assert!(n > 0, "it ended by itself: {said}");
            said.push_str(&String::from_utf8_lossy(&bytes[..n]));
        }
        // on Unix this is the signal that no program can hear
        child.kill().unwrap();
        child.wait().unwrap();
        given += more;
        let entries = place.entries("moor-rear-0001");
        assert_eq!(entries.len(), given + 1);
        assert!(entries[..] == finished("moor-rear").entries[..given + 1]);
    }
    // a script goes on with it: in a script the unfinished build is the one that is meant
    let rest = answers_after("moor-rear", given);
    let record = place.answered(&unit_file("moor-rear"), &rest, &["--json"]).json();
    assert!(record == finished("moor-rear").record, "the record differs");
}

/// A book with the journal of a finished build, cut short.
fn cut(place: &Place, bytes: &[u8]) -> (Shelf, BuildId) {
    let from = finished("moor-rear").place.book().join("moor-rear-0001");
    let to = place.book().join("moor-rear-0001");
    fs::create_dir_all(&to).unwrap();
    for name in ["unit.toml", "drawer.toml", "instruments.toml", "procedure.toml"] {
        fs::copy(from.join(name), to.join(name)).unwrap();
    }
    fs::write(to.join("journal.jsonl"), bytes).unwrap();
    (
        Shelf::open(&place.book()).unwrap(),
        "moor-rear-0001".parse().unwrap(),
    )
}

/// Entries without what they say of the book's log, which is another one in another book.
fn but_for_the_log(mut entries: Vec<Value>) -> Vec<Value> {
    for entry in &mut entries {
        let entry = entry.as_object_mut().unwrap();
        entry.remove("log");
        entry.remove("id");
    }
    entries
}

/// A record without the digest of its journal, whose last line says how far the book's log was.
fn but_for_the_digest(mut record: Value) -> Value {
    record.as_object_mut().unwrap().remove("digest");
    record
}

fn whole_journal() -> Vec<u8> {
    fs::read(finished("moor-rear").place.journal_file("moor-rear-0001")).unwrap()
}

/// Where the lines of a journal begin, and where the next one would.
fn starts_of(bytes: &[u8]) -> Vec<usize> {
    let ends = bytes.iter().enumerate().filter(|(_, byte)| **byte == b'\n');
    std::iter::once(0).chain(ends.map(|(n, _)| n + 1)).collect()
}

/// Cuts a journal at each of these bytes, opens it, and holds what is left against what had been written.
fn opens_after_each(bytes: &[u8], cuts: impl Iterator<Item = usize>) {
    let wanted = &finished("moor-rear").entries;
    let starts = starts_of(bytes);
    let job = job("moor-rear");
    let mut told = None;
    let place = Place::new();
    let (shelf, id) = cut(&place, &[]);
    let path = place.journal_file(id.as_str());
    for at in cuts {
        fs::write(&path, &bytes[..at]).unwrap();
        let journal = shelf.resume(&id).unwrap();
        let whole = bytes[..at].iter().filter(|byte| **byte == b'\n').count();
        // a line that only lacks its line end is whole
        let complete = bytes[at] == b'\n';
        assert_eq!(
            journal.entries().len(),
            whole + usize::from(complete),
            "cut at {at}"
        );
        assert!(
            values(journal.entries())[..] == wanted[..journal.entries().len()],
            "cut at {at}"
        );
        match journal.repairs() {
            [] => assert!(starts.contains(&at), "cut at {at}"),
            [Repair::Completed { .. }] => assert!(complete, "cut at {at}"),
            [Repair::Torn { bytes: torn, aside }] => {
                assert_eq!(fs::read(aside).unwrap(), &bytes[starts[whole]..at]);
                assert_eq!(*torn as usize, at - starts[whole]);
                fs::remove_file(aside).unwrap();
            }
            other => panic!("cut at {at}: {other:?}"),
        }
        if told.replace(journal.entries().len()) == Some(journal.entries().len()) {
            continue;
        }
        // the question that is asked next is the one whose answer was torn
        let session = Session::resume(job.clone(), &parsed(journal.entries()));
        let next = wanted.get(journal.entries().len());
        match (session.ask(), next) {
            (Some(ask), Some(next)) if !journal.entries().is_empty() => {
                assert_eq!(ask.slot.step, next["slot"]["step"], "cut at {at}");
            }
            (Some(_), Some(_)) => {}
            (None, Some(next)) => assert_eq!(next["kind"], "finished", "cut at {at}"),
            (None, None) => assert!(session.is_finished(), "cut at {at}"),
            (Some(ask), None) => panic!("cut at {at}: {} is asked", ask.slot),
        }
    }
}

#[test]
fn a_young_journal_cut_at_any_byte_of_its_last_line_loses_at_most_that_line() {
    let mut bytes = whole_journal();
    bytes.truncate(starts_of(&bytes)[6]);
    opens_after_each(&bytes, starts_of(&bytes)[5]..bytes.len());
}

#[test]
fn a_finished_journal_cut_at_any_byte_of_its_last_line_or_anywhere_else_loses_at_most_one_line() {
    let bytes = whole_journal();
    let starts = starts_of(&bytes);
    let last = starts[starts.len() - 2];
    opens_after_each(&bytes, (1..last).step_by(1999).chain(last..bytes.len()));
}

#[test]
fn a_build_cut_between_its_last_answer_and_its_closing_entry_is_closed_when_it_is_gone_on_with() {
    let bytes = whole_journal();
    let closing = bytes[..bytes.len() - 1]
        .iter()
        .rposition(|byte| *byte == b'\n')
        .unwrap()
        + 1;
    for at in [closing, closing + 20] {
        let place = Place::new();
        cut(&place, &bytes[..at]);
        let listed = place.run(&["builds", "--json"]).json();
        assert!(listed["builds"][0]["finished"].is_null());
        let record = place.answered(&unit_file("moor-rear"), "", &["--json"]).json();
        assert!(
            but_for_the_digest(record) == but_for_the_digest(finished("moor-rear").record.clone()),
            "cut at {at}"
        );
    }
}

#[test]
fn a_torn_line_is_told_and_set_aside_when_the_build_is_gone_on_with() {
    let bytes = whole_journal();
    let place = Place::new();
    let part = bytes.len() / 3;
    cut(&place, &bytes[..part]);
    let done = bytes[..part].iter().filter(|byte| **byte == b'\n').count();
    // the first entry is no answer
    let rest = answers_after("moor-rear", done - 1);
    let ran = place.answered(&unit_file("moor-rear"), &rest, &["--json"]);
    assert!(
        ran.err.contains("the last line was torn") && ran.err.contains("journal.torn-1"),
        "{}",
        ran.err
    );
    assert!(
        but_for_the_digest(ran.json()) == but_for_the_digest(finished("moor-rear").record.clone()),
        "the record differs"
    );
}

#[test]
fn a_line_that_was_altered_stops_the_work_and_is_named() {
    let text = String::from_utf8(whole_journal()).unwrap();
    let place = Place::new();
    cut(&place, text.replacen("58 N·m", "59 N·m", 1).as_bytes());
    let before = fs::read(place.journal_file("moor-rear-0001")).unwrap();
    let line = text.lines().position(|line| line.contains("58 N·m")).unwrap() + 1;
    let id: BuildId = "moor-rear-0001".parse().unwrap();
    let refused = Shelf::open(&place.book())
        .unwrap()
        .resume(&id)
        .unwrap_err()
        .to_string();
    // the entry itself was altered, so it is the line after it whose digest no longer fits, or the line itself
    assert!(
        refused.contains(&format!("line {line} of")) || refused.contains(&format!("line {} of", line + 1)),
        "{refused}"
    );
    assert!(refused.contains("not as it was written"), "{refused}");
    let listed = place.run(&["builds", "--json"]).json();
    assert_eq!(listed["builds"][0]["state"], "damaged");
    let ran = place.run(&["sheet", "moor-rear-0001"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("UNFINISHED") && ran.err.contains("not as it was written"),
        "{}{}",
        ran.out,
        ran.err
    );
    // the program goes on with what can be trusted, and finds the build altered
    place
        .answered(&unit_file("moor-rear"), "", &["--json"])
        .fails(5, &["not as it was written", "nothing was changed"]);
    assert_eq!(fs::read(place.journal_file("moor-rear-0001")).unwrap(), before);
}

#[test]
fn a_kept_unit_file_that_was_altered_stops_the_work_and_is_named() {
    let place = Place::new();
    let whole = whole_journal();
    cut(&place, &whole[..starts_of(&whole)[9]]);
    let kept = place.book().join("moor-rear-0001").join("unit.toml");
    let text = fs::read_to_string(&kept).unwrap();
    fs::write(
        &kept,
        text.replace("gear_least = \"1.90 mm\"", "gear_least = \"1.70 mm\""),
    )
    .unwrap();
    let fact = "moor-rear-0001/unit.toml is not as it was when the build was begun";
    place
        .answered(&unit_file("moor-rear"), "", &["--json"])
        .fails(5, &[fact, "nothing was changed"]);
    let listed = place.run(&["builds", "--json"]).json();
    assert_eq!(listed["builds"][0]["state"], "damaged");
    let ran = place.run(&["sheet", "moor-rear-0001"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("UNFINISHED") && ran.err.contains(fact),
        "{}{}",
        ran.out,
        ran.err
    );
}
