//! A disk that can not do all that a disk can: one that makes no folder's names safe, one that knows no locks.

use crate::ended::{closes, last_answer};
use crate::kit::{Bench, Heard, answers, whole};
use crate::trace::{Call, calls, run_with, traceable};
use std::fs;

#[test]
fn a_folder_that_can_not_be_synced_is_told_and_stops_nothing() {
    if !traceable() {
        return;
    }
    let start = whole().lines.len() - 2;
    let last = last_answer();
    let bench = Bench::after(start, "");
    let all = calls(&bench.work(&last), &bench.path("trace"));
    // the name of a folder has no full stop behind its last slash, but for the notes' own
    let of_a_folder = |call: &&Call| {
        let path = call.line.split(['<', '>']).nth(1).unwrap_or("");
        let name = path.rsplit('/').next().unwrap_or("");
        call.name == "fsync" && (!name.contains('.') || name == ".to-do")
    };
    let folders: Vec<&Call> = all.iter().filter(of_a_folder).collect();
    assert!(folders.len() > 3, "{all:?}");
    for call in folders {
        for error in ["EINVAL", "EOPNOTSUPP"] {
            let bench = Bench::after(start, "");
            let ran = run_with(
                &bench.work(&last),
                &bench.path("trace"),
                call,
                &format!("error={error}"),
            );
            let about = format!("{error} at {}", call.line);
            assert_eq!(ran.code, Some(0), "{about}: {}", ran.err);
            assert!(
                ran.err.contains("can not make the names in a folder safe") && ran.err.contains("--book DIR"),
                "{about}: {}",
                ran.err
            );
            fs::remove_file(bench.path("trace")).unwrap();
            closes(&bench, &about, &mut Heard::default());
        }
    }
}

#[test]
fn a_book_on_a_disk_without_locks_is_told_with_the_way_out() {
    if !traceable() {
        return;
    }
    let first = &answers()[..2];
    for nth in 1..=3 {
        let bench = Bench::new();
        let call = Call {
            name: "flock".to_string(),
            nth,
            line: String::new(),
        };
        let ran = run_with(
            &bench.work(first),
            &bench.path("trace"),
            &call,
            "error=EOPNOTSUPP",
        );
        // the build is begun where the call is one that nobody needs, such as the letting go of a lock
        if ran.code == Some(4) {
            continue;
        }
        assert_eq!(ran.code, Some(5), "{}", ran.err);
        assert!(
            ran.err.contains("locked: Operation not supported") && ran.err.contains("--book DIR"),
            "{}",
            ran.err
        );
        assert!(!ran.err.contains("run the same command again"), "{}", ran.err);
    }
}
