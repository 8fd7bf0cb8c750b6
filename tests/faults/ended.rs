//! The program is ended by a signal at each call that writes.

use crate::kit::{AT, BUILD, Bench, Heard, Left, ONE_TO_ONE, answers, whole};
use crate::table::found;
use crate::trace::{calls, run_with, traceable};
use std::collections::BTreeSet;
use std::fs;
use std::process::Command;

/// A way that is cut short at its calls, and what is seen after it.
pub struct Way<'a> {
    pub start: &'a dyn Fn() -> Bench,
    pub command: &'a dyn Fn(&Bench) -> Command,
}

impl Way<'_> {
    /// Ends the program at every call, and hands the book that is left to `look`.
    pub fn end_everywhere(&self, mut look: impl FnMut(&Bench, &str, usize)) -> usize {
        let bench = (self.start)();
        let log = bench.path("trace");
        let all = calls(&(self.command)(&bench), &log);
        assert!(all.len() > 3, "{all:?}");
        for call in &all {
            let bench = (self.start)();
            let ended = run_with(&(self.command)(&bench), &bench.path("trace"), call, "signal=KILL");
            let about = format!("ended at {} {}: {}", call.name, call.nth, call.line);
            assert_eq!(ended.code, None, "{about}: {}", ended.err);
            fs::remove_file(bench.path("trace")).unwrap();
            look(&bench, &about, ended.acknowledged);
        }
        all.len()
    }
}

/// Goes on with what is left of the first answers, and holds the journal against the whole one.
pub fn goes_on(bench: &Bench, upto: usize, about: &str, heard: &mut Heard) {
    let done = bench
        .entries()
        .map_or(0, |entries| entries.len().saturating_sub(1));
    let ran = bench.run(&answers()[done..upto]);
    assert_eq!(ran.code, 4, "{about}: {}", ran.err);
    heard.hear(&ran.err);
    let lines: Vec<String> = bench.journal().lines().map(str::to_string).collect();
    assert!(lines == whole().lines[..=upto], "{about}: another journal");
    assert_eq!(bench.leftovers(), Vec::<String>::new(), "{about}");
}

#[test]
fn a_build_that_is_begun_is_there_whole_or_not_at_all() {
    if !traceable() {
        return;
    }
    let first = &answers()[..2];
    let way = Way {
        start: &Bench::new,
        command: &|bench| bench.work(first),
    };
    let mut heard = Heard::default();
    let mut left = Left::default();
    way.end_everywhere(|bench, about, acknowledged| {
        // the first entry is not an answer, and counts as well
        bench.is_whole(acknowledged, about);
        left.look(bench, acknowledged);
        goes_on(bench, 2, about, &mut heard);
    });
    found("ended while a build is begun", &left.words(), &heard.words());
}

#[test]
fn an_answer_whose_write_was_confirmed_is_never_lost() {
    if !traceable() {
        return;
    }
    let upto = 12;
    let start = 10;
    let way = Way {
        start: &|| Bench::after(start, ""),
        command: &|bench| bench.work(&answers()[start - 1..upto]),
    };
    let (mut heard, mut left) = (Heard::default(), Left::default());
    way.end_everywhere(|bench, about, acknowledged| {
        bench.is_whole(start + acknowledged, about);
        left.look(bench, start + acknowledged);
        goes_on(bench, upto, about, &mut heard);
    });
    found("ended while answers are written", &left.words(), &heard.words());
}

#[test]
fn torn_bytes_are_never_lost_however_often_the_setting_aside_is_cut_short() {
    if !traceable() {
        return;
    }
    let (start, upto) = (9, 10);
    let torn = &whole().lines[start][..90];
    let way = Way {
        start: &|| Bench::after(start, torn),
        command: &|bench| bench.work(&answers()[start - 1..upto]),
    };
    let mut heard = Heard::default();
    let aside = |bench: &Bench| -> Vec<String> {
        let all = bench
            .all()
            .into_iter()
            .filter(|name| name.contains("journal.torn-"));
        all.map(|name| fs::read_to_string(bench.path(&name)).unwrap())
            .collect()
    };
    let mut most = 0;
    let (mut left, mut places) = (Left::default(), BTreeSet::new());
    way.end_everywhere(|bench, about, acknowledged| {
        bench.is_whole(start + acknowledged, about);
        left.look(bench, start + acknowledged);
        let in_place = bench.journal().ends_with(torn).then_some("the journal");
        let beside = aside(bench).iter().any(|text| text == torn);
        let found = [in_place, beside.then_some("`journal.torn-1`")];
        assert!(
            found.iter().any(Option::is_some),
            "{about}: the torn bytes are gone"
        );
        places.extend(found.into_iter().flatten());
        goes_on(bench, upto, about, &mut heard);
        let aside = aside(bench);
        assert!(
            !aside.is_empty() && aside.iter().all(|text| text == torn),
            "{about}: {aside:?}"
        );
        most = most.max(aside.len());
    });
    let places: Vec<&str> = places.into_iter().collect();
    found(
        "ended while a torn line is set aside",
        &format!(
            "{}; the torn bytes in {}, at most {most} times",
            left.words(),
            places.join(" or ")
        ),
        &heard.words(),
    );
}

/// The last answer is given, or what was left of its closing is made up for; the result is that of the whole rebuild.
pub fn closes(bench: &Bench, about: &str, heard: &mut Heard) {
    let lines = bench.entries().map_or(0, |entries| entries.len());
    let total = whole().lines.len();
    let all = answers();
    // the last answer and the entry that finishes the build come together
    let rest = if lines < total - 1 {
        &all[all.len() - 1..]
    } else {
        &[]
    };
    let closed = !bench.to_do().exists() && lines == total;
    if closed {
        // nothing is left to do: what counts is there already
        assert!(bench.folder().join("sheet.pdf").exists(), "{about}");
        let ran = bench.run_program(&["builds"]);
        assert_eq!(ran.code, 0, "{about}: {}", ran.err);
    } else {
        let ran = bench.run(rest);
        assert_eq!(ran.code, 0, "{about}: {}{}", ran.err, ran.out);
        heard.hear(&ran.err);
        let record = ran.json();
        assert!(record == whole().record, "{about}: another record");
    }
    bench.is_whole(total, about);
    let lines: Vec<String> = bench.journal().lines().map(str::to_string).collect();
    assert!(lines == whole().lines, "{about}: another journal");
    assert!(
        bench.drawer() == whole().drawer,
        "{about}: the drawer was not counted down once"
    );
    assert!(
        fs::read(bench.folder().join("sheet.pdf")).unwrap() == whole().sheet,
        "{about}"
    );
    assert!(!bench.to_do().exists(), "{about}");
}

pub fn last_answer() -> Vec<String> {
    answers().last().cloned().into_iter().collect()
}

#[test]
fn the_last_answer_leads_to_one_sheet_and_one_count_of_the_drawer_wherever_it_is_cut_short() {
    if !traceable() {
        return;
    }
    let start = whole().lines.len() - 2;
    let last = last_answer();
    let way = Way {
        start: &|| Bench::after(start, ""),
        command: &|bench| bench.work(&last),
    };
    let (mut heard, mut left) = (Heard::default(), Left::default());
    way.end_everywhere(|bench, about, acknowledged| {
        bench.is_whole(start + acknowledged, about);
        left.look(bench, start + acknowledged);
        closes(bench, about, &mut heard);
        assert_eq!(bench.leftovers(), Vec::<String>::new(), "{about}");
    });
    found(
        "ended at the last answer, the drawer and the sheet",
        &left.words(),
        &heard.words(),
    );
}

#[test]
fn making_up_for_a_closing_may_be_cut_short_as_well() {
    if !traceable() {
        return;
    }
    let start = whole().lines.len();
    // the last entry was written, and then the power went
    let begin = || {
        let bench = Bench::after(start, "");
        let drawer = bench.path("files/drawer.toml");
        bench.noted_at(start - 2, &drawer);
        bench
    };
    let way = Way {
        start: &begin,
        command: &|bench| bench.work(&[]),
    };
    let (mut heard, mut left) = (Heard::default(), Left::default());
    way.end_everywhere(|bench, about, _| {
        bench.is_whole(start, about);
        left.look(bench, start);
        closes(bench, about, &mut heard);
    });
    found("ended while that is made up for", &left.words(), &heard.words());
}

#[test]
fn a_sheet_is_the_old_file_or_the_new_one() {
    if !traceable() {
        return;
    }
    let start = whole().lines.len();
    let begin = || {
        let bench = Bench::after(start, "");
        fs::write(bench.path("files/sheet.pdf"), "old").unwrap();
        bench
    };
    let way = Way {
        start: &begin,
        command: &|bench| bench.program(&["sheet", BUILD, "--out", "files/sheet.pdf", "--replace"]),
    };
    let (mut left, mut sheets, mut heard) = (Left::default(), BTreeSet::new(), Heard::default());
    way.end_everywhere(|bench, about, _| {
        let sheet = fs::read(bench.path("files/sheet.pdf")).unwrap();
        sheets.insert(match &sheet[..] {
            b"old" => "the old file",
            new if new == whole().sheet => "the new file",
            _ => panic!("{about}: it is torn"),
        });
        bench.is_whole(start, about);
        left.look(bench, start);
        // the same command writes it anew, and takes away what was left
        let ran = bench.run_program(&["sheet", BUILD, "--out", "files/sheet.pdf", "--replace"]);
        assert_eq!(ran.code, 0, "{about}: {}", ran.err);
        heard.hear(&ran.err);
        assert_eq!(bench.leftovers(), Vec::<String>::new(), "{about}");
        assert!(
            fs::read(bench.path("files/sheet.pdf")).unwrap() == whole().sheet,
            "{about}"
        );
    });
    let sheets: Vec<&str> = sheets.into_iter().collect();
    found(
        "ended while `sheet` writes",
        &format!("{}; {}", sheets.join(", or "), left.words()),
        &heard.words(),
    );
}

#[test]
fn the_way_that_is_cut_short_is_the_one_that_is_meant() {
    assert_eq!(whole().record["build"], BUILD);
    assert!(whole().lines.len() > ONE_TO_ONE && whole().lines[0].contains(AT));
    for (line, answer) in whole().lines[1..ONE_TO_ONE].iter().zip(answers()) {
        let step = answer.split([' ', '/']).next().unwrap();
        assert!(line.contains(&format!("\"step\":\"{step}\"")), "{answer}: {line}");
    }
}
