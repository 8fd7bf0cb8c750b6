//! The system refuses a call that writes: a full disk, a broken one, one that may only be read.

use crate::ended::{closes, goes_on, last_answer};
use crate::kit::{Bench, Heard, Left, REASONS, answers, whole};
use crate::skipped::skipped;
use crate::table::found;
use crate::trace::{calls, run_with, traceable};
use std::collections::BTreeSet;
use std::fs;
use std::process::Command;

/// Refuses every call with each reason, and gives what was said and the exit codes that were seen.
fn refuse_everywhere(
    start: &dyn Fn() -> Bench,
    command: &dyn Fn(&Bench) -> Command,
    look: &mut dyn FnMut(&Bench, &str, usize),
) -> String {
    let bench = start();
    let undisturbed = command(&bench).output().unwrap().status.code();
    let bench = start();
    let all = calls(&command(&bench), &bench.path("trace"));
    let (mut codes, mut heard) = (BTreeSet::new(), Heard::default());
    // each of them can be the one at which the disk is full, broken or read-only
    for (call, (name, reason)) in all.iter().flat_map(|call| REASONS.map(|reason| (call, reason))) {
        let bench = start();
        let ran = run_with(
            &command(&bench),
            &bench.path("trace"),
            call,
            &format!("error={name}"),
        );
        let about = format!("{name} at {} {}: {}", call.name, call.nth, call.line);
        assert!(ran.code.is_some(), "{about}: ended by a signal");
        assert!(!ran.err.contains("panicked"), "{about}: {}", ran.err);
        // what nobody needs may fail without a word, such as the note of who has a build open
        if ran.code != undisturbed {
            // where the error stream itself is what failed, nothing can be told
            let told = ran.err.contains(reason) || call.line.starts_with("write(2<");
            assert!(told, "{about}: not told: {}{}", ran.out, ran.err);
            codes.insert(ran.code.unwrap().to_string());
            heard.hear(&ran.err);
        }
        fs::remove_file(bench.path("trace")).unwrap();
        look(&bench, &about, ran.acknowledged);
    }
    let codes: Vec<String> = codes.into_iter().collect();
    format!("{} (exit {})", heard.words(), codes.join(" or "))
}

#[test]
fn a_build_that_can_not_be_begun_leaves_nothing_half_made() {
    if !traceable() {
        return;
    }
    let mut left = Left::default();
    let said = refuse_everywhere(
        &Bench::new,
        &|bench| bench.work(&answers()[..2]),
        &mut |bench, about, acknowledged| {
            bench.is_whole(acknowledged, about);
            left.look(bench, acknowledged);
            goes_on(bench, 2, about, &mut Heard::default());
        },
    );
    found(
        "a disk that is full, broken or read-only while a build is begun",
        &left.words(),
        &said,
    );
}

#[test]
fn an_answer_that_can_not_be_written_is_told_and_the_ones_before_it_stay() {
    if !traceable() {
        return;
    }
    let (start, upto) = (10, 12);
    let mut left = Left::default();
    let said = refuse_everywhere(
        &|| Bench::after(start, ""),
        &|bench| bench.work(&answers()[start - 1..upto]),
        &mut |bench, about, acknowledged| {
            bench.is_whole(start + acknowledged, about);
            left.look(bench, start + acknowledged);
            goes_on(bench, upto, about, &mut Heard::default());
        },
    );
    found("the same while answers are written", &left.words(), &said);
}

#[test]
fn a_closing_that_is_refused_is_made_up_for() {
    if !traceable() {
        return;
    }
    let start = whole().lines.len() - 2;
    let last = last_answer();
    let mut left = Left::default();
    let said = refuse_everywhere(
        &|| Bench::after(start, ""),
        &|bench| bench.work(&last),
        &mut |bench, about, acknowledged| {
            bench.is_whole(start + acknowledged, about);
            left.look(bench, start + acknowledged);
            closes(bench, about, &mut Heard::default());
        },
    );
    found(
        "the same at the last answer, the drawer and the sheet",
        &left.words(),
        &said,
    );
}

#[test]
fn a_disk_that_takes_half_a_line_leaves_the_line_before_it() {
    if Command::new("prlimit").arg("--version").output().is_err() {
        skipped("prlimit fills no disk: it is not installed");
        return;
    }
    let (start, upto) = (10, 12);
    let lines = &whole().lines;
    let one = lines[start].len() + 1;
    let (mut heard, mut after, mut left) = (Heard::default(), Heard::default(), Left::default());
    let mut ended_by_the_system = false;
    for over in [0, 1, 40, one - 1, one, one + 1, one + 60] {
        for ended in [true, false] {
            let bench = Bench::after(start, "");
            let room = bench.journal().len() + over;
            let plain = bench.work(&answers()[start - 1..upto]);
            let mut command = bench.program(&[]);
            // at the limit the system takes what still fits, and then ends the program or refuses
            let script = format!(
                "{}exec prlimit --fsize={room} \"$@\"",
                if ended { "" } else { "trap '' XFSZ; " }
            );
            let mut limited = Command::new("sh");
            limited.args(["-c", &script, "sh"]).arg(command.get_program());
            limited
                .args(plain.get_args())
                .env("XDG_DATA_HOME", crate::started::machine('7'))
                .env("SHIMWRIGHT_BOOK", bench.book());
            limited.env("NO_COLOR", "1").current_dir(bench.path(""));
            command = limited;
            let ran = command.output().unwrap();
            let about = format!("{over} bytes of room, ended {ended}");
            let err = String::from_utf8_lossy(&ran.stderr).into_owned();
            assert!(!err.contains("panicked"), "{about}: {err}");
            if ended {
                // a write that takes a part is seen by the program; the one after it ends it
                assert!(matches!(ran.status.code(), None | Some(5)), "{about}: {err}");
                ended_by_the_system |= ran.status.code().is_none();
            } else {
                assert_eq!(ran.status.code(), Some(5), "{about}: {err}");
                heard.hear(&err);
            }
            bench.is_whole(start + over / one, &about);
            left.look(&bench, start + over / one);
            goes_on(&bench, upto, &about, &mut after);
        }
    }
    assert!(ended_by_the_system);
    let words = heard.words();
    assert!(
        words.contains("the journal ends at the entry before it"),
        "{words}"
    );
    found(
        "a disk that fills up inside a line",
        &left.words(),
        &format!("{words}; when it is opened again: {}", after.words()),
    );
}
