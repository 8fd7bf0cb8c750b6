//! The calls of the program that write, and the ending of it at one of them.

use crate::skipped::skipped;
use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Command, Stdio};

/// The calls that change something on a disk. The question mark lets `strace` pass over those that a machine has not.
const WRITERS: [&str; 24] = [
    "write",
    "pwrite64",
    "writev",
    "pwritev",
    "fsync",
    "fdatasync",
    "ftruncate",
    "truncate",
    "rename",
    "renameat",
    "renameat2",
    "link",
    "linkat",
    "symlink",
    "symlinkat",
    "mkdir",
    "mkdirat",
    "unlink",
    "unlinkat",
    "rmdir",
    "chmod",
    "fchmod",
    "fchmodat",
    "openat",
];

/// One call that writes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Call {
    /// Its name.
    pub name: String,
    /// The how many-th of this name it is, from 1.
    pub nth: usize,
    /// The line of the trace.
    pub line: String,
}

/// Whether programs can be traced here. Where not, the word that says so is printed.
pub fn traceable() -> bool {
    let traced = Command::new("strace")
        .args(["-f", "-qq", "-o", "/dev/null", "true"])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status();
    let works = traced.is_ok_and(|status| status.success());
    if !works {
        skipped("strace ends and refuses no call: it is not installed, or may not trace here");
    }
    works
}

fn strace(command: &Command, log: &Path, inject: Option<&str>) -> Command {
    let names: Vec<String> = WRITERS.iter().map(|name| format!("?{name}")).collect();
    let mut traced = Command::new("strace");
    traced
        .args(["-f", "-y", "-qq", "-s", "16", "-o"])
        .arg(log)
        .arg("-e")
        .arg(format!("trace={}", names.join(",")));
    if let Some(inject) = inject {
        traced.arg("-e").arg(format!("inject={inject}"));
    }
    traced.arg(command.get_program()).args(command.get_args());
    for (name, value) in command.get_envs() {
        if let Some(value) = value {
            traced.env(name, value);
        }
    }
    if let Some(dir) = command.get_current_dir() {
        traced.current_dir(dir);
    }
    traced.stdin(Stdio::null());
    traced
}

/// The lines of a trace that belong to the program's first thread, without its number.
fn lines(log: &Path) -> Vec<String> {
    let text = std::fs::read(log).unwrap();
    let text = String::from_utf8_lossy(&text).into_owned();
    let first = text.split_whitespace().next().unwrap_or("").to_string();
    text.lines()
        .filter_map(|line| line.split_once(' '))
        .filter(|(number, _)| *number == first)
        .map(|(_, line)| line.trim_start().to_string())
        .collect()
}

/// Runs the program to its end and gives every call that writes, in order.
pub fn calls(command: &Command, log: &Path) -> Vec<Call> {
    let ran = strace(command, log, None).output().unwrap();
    assert!(ran.status.code().is_some(), "{ran:?}");
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    let mut calls = Vec::new();
    for line in lines(log) {
        let Some((name, _)) = line.split_once('(') else {
            continue;
        };
        let nth = counts.entry(name.to_string()).or_default();
        *nth += 1;
        // what only reads is counted, for that is how the call is found again, and is no place to end
        if name == "openat" && !line.contains("O_CREAT") {
            continue;
        }
        calls.push(Call {
            name: name.to_string(),
            nth: *nth,
            line: line.clone(),
        });
    }
    calls
}

/// How a run at which something was injected came out.
pub struct Injected {
    /// `None` where a signal ended it.
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
    /// How many entries the system had reported as being on the disk.
    pub acknowledged: usize,
}

/// Runs the program and injects `what` (`signal=KILL`, `error=ENOSPC`) at a call.
pub fn run_with(command: &Command, log: &Path, call: &Call, what: &str) -> Injected {
    let inject = format!("{}:{what}:when={}", call.name, call.nth);
    let ran = strace(command, log, Some(&inject)).output().unwrap();
    let acknowledged = lines(log)
        .iter()
        .filter(|line| line.starts_with("fdatasync(") && line.contains("/journal.jsonl>)"))
        .filter(|line| line.ends_with("= 0"))
        .count();
    Injected {
        code: ran.status.code(),
        out: String::from_utf8_lossy(&ran.stdout).into_owned(),
        err: String::from_utf8_lossy(&ran.stderr).into_owned(),
        // the first is of what was there on opening
        acknowledged: acknowledged.saturating_sub(1),
    }
}
