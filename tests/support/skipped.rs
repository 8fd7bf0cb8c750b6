//! What a test left out because something is missing on this machine.

// what is skipped is said
#![allow(clippy::print_stdout)]

use std::fs::OpenOptions;
use std::io::Write;

/// Says what was left out and why. The harness keeps what a test prints to itself, so where `SHIMWRIGHT_SKIPPED` names a file, a
/// line is added to it, which `.ci/run` shows last.
pub fn skipped(what: &str) {
    println!("SKIPPED: {what}");
    if let Some(file) = std::env::var_os("SHIMWRIGHT_SKIPPED") {
        let mut file = OpenOptions::new().create(true).append(true).open(file).unwrap();
        // one write a line, so that tests beside each other do not mix theirs
        file.write_all(format!("{what}\n").as_bytes()).unwrap();
    }
}
