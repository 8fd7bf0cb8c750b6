//! How long a book of many builds takes: `cargo bench --bench book`. The goals: `fleet` and `wear` over 10 000 builds in
//! 300 ms, over 100 000 in 3 s and 500 MB, with the index; `check --all` over 10 000 in 10 s; and linear. Every plate has a part of its own, so that `wear`
//! has to look for it in every build of the book.
//!
//! The books are written into a temporary folder, which is removed: 100 000 builds are some 2.5 GB while it lasts. `-- 1000
//! 10000` measures books of those sizes only. What is run is the program itself, its start and its output included.

// a bench that fails is meant to stop, and it prints what it found
#![allow(clippy::unwrap_used, clippy::print_stdout)]

#[path = "../books/mod.rs"]
mod books;
#[path = "../support/started.rs"]
mod started;

use books::Recipe;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const BUILDS_A_UNIT: usize = 10;
const SIZES: [usize; 3] = [1_000, 10_000, 100_000];
const RUNS: usize = 5;

fn main() {
    let mut sizes: Vec<usize> = std::env::args().filter_map(|word| word.parse().ok()).collect();
    if sizes.is_empty() {
        sizes = SIZES.to_vec();
    }
    println!("builds   written  journals   first time   with the index   peak memory");
    for size in sizes {
        let dir = tempfile::tempdir().unwrap();
        let recipe = Recipe {
            seed: 20_261_125,
            units: size / BUILDS_A_UNIT,
            builds_a_unit: BUILDS_A_UNIT,
            unfinished_every: 20,
            damaged_every: 0,
        };
        let start = Instant::now();
        let truth = books::write(dir.path(), &recipe);
        let written = start.elapsed();
        // what was written in the last two seconds is not kept by the index
        let kept_from = Instant::now() + Duration::from_millis(2_500);
        while let Some(left) = kept_from.checked_duration_since(Instant::now()) {
            std::thread::park_timeout(left);
        }
        let fastest = truth
            .units
            .iter()
            .max_by(|a, b| a.rate_um[0].total_cmp(&b.rate_um[0]))
            .unwrap();
        for (name, arguments) in [
            ("fleet", &["fleet"][..]),
            ("fleet of one unit", &["fleet", "--unit", &fastest.id]),
            ("wear", &["wear", &fastest.id]),
        ] {
            let (cold, cold_memory) = run(dir.path(), arguments, true);
            // what the reading left in the index is read from here on
            run(dir.path(), arguments, false);
            let mut warm: Vec<(Duration, u64)> =
                (0..RUNS).map(|_| run(dir.path(), arguments, false)).collect();
            warm.sort();
            let (median, memory) = warm[RUNS / 2];
            println!(
                "{size:7}  {:6.1} s  {:5} MB  {:8.2} s  {:12.0} ms  {:6} MB, first {:4} MB  {name}",
                written.as_secs_f64(),
                truth.bytes >> 20,
                cold.as_secs_f64(),
                median.as_secs_f64() * 1e3,
                memory >> 10,
                cold_memory >> 10,
            );
        }
        // every build of a book with a log, read and checked; no sheet lies there to be printed anew
        let (adopted, memory) = timed(
            started::program().arg("adopt").arg("--book").arg(dir.path()),
            &[0],
        );
        println!(
            "{size:7}  {:48} {:6.2} s  {:6} MB  adopt",
            "",
            adopted.as_secs_f64(),
            memory >> 10
        );
        let mut check = started::program();
        check.args(["check", "--all", "--book"]).arg(dir.path());
        // an instrument that ran out since is told by 12
        let mut checked: Vec<(Duration, u64)> = (0..RUNS).map(|_| timed(&mut check, &[0, 12])).collect();
        checked.sort();
        let (median, memory) = checked[RUNS / 2];
        println!(
            "{size:7}  {:48} {:6.2} s  {:6} MB  check --all",
            "",
            median.as_secs_f64(),
            memory >> 10
        );
    }
}

/// Runs the program on a book, and gives the time that it took and its greatest memory in KiB.
fn run(book: &Path, arguments: &[&str], afresh: bool) -> (Duration, u64) {
    let mut command = started::program();
    command.args(arguments).arg("--book").arg(book);
    if afresh {
        command.arg("--afresh");
    }
    timed(&mut command, &[0])
}

/// Runs a command that ends with one of these codes, and gives the time that it took and its greatest memory in KiB.
fn timed(command: &mut Command, codes: &[i32]) -> (Duration, u64) {
    let start = Instant::now();
    let mut child = command
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut most = 0;
    let status = loop {
        most = memory(child.id()).unwrap_or(0).max(most);
        match child.try_wait().unwrap() {
            Some(status) => break status,
            None => std::thread::park_timeout(Duration::from_millis(2)),
        }
    };
    let took = start.elapsed();
    assert!(
        status.code().is_some_and(|code| codes.contains(&code)),
        "{status}"
    );
    (took, most)
}

/// The greatest memory of a process so far, where the system tells it.
fn memory(process: u32) -> Option<u64> {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
