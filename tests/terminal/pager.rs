//! What is longer than the screen goes through a pager, and is seen without one too.

use super::Terminal;
use crate::fed::fed;
use portable_pty::CommandBuilder;
use std::fs;
use std::path::Path;
use std::process::Command;

#[path = "../support/started.rs"]
mod started;

const LONG: [&str; 2] = ["guide", "commands"];

/// The program on a terminal of 24 rows, with a pager; it is waited for until it has ended, and its exit code told.
fn on_terminal(words: &[&str], pager: &str, more: &[(&str, &str)]) -> (Terminal, u32) {
    let mut terminal = Terminal::of(command(words, pager, more), 24, 80);
    let code = terminal.child.wait().unwrap().exit_code();
    (terminal, code)
}

fn command(words: &[&str], pager: &str, more: &[(&str, &str)]) -> CommandBuilder {
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_shimwright"));
    command.args(words);
    for (name, value) in started::around() {
        command.env(name, value);
    }
    command.env("TERM", "xterm-256color");
    command.env("SHIMWRIGHT_PAGER", pager);
    command.env("PAGER", "no-such-pager-either");
    for (name, value) in more {
        command.env(name, value);
    }
    command
}

/// A pager that keeps what it is given.
fn keeping(folder: &Path) -> (String, impl Fn() -> Option<String>) {
    let (script, kept) = (folder.join("pager.sh"), folder.join("kept"));
    fs::write(&script, format!("cat > {}\n", kept.display())).unwrap();
    let read = move || fs::read_to_string(&kept).ok();
    (format!("sh {}", script.display()), read)
}

/// The same into a pipe.
fn piped(words: &[&str]) -> String {
    let output = fed(started::program().args(words), "");
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn what_is_longer_than_the_screen_goes_through_the_pager_that_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let (pager, kept) = keeping(folder.path());
    let whole = piped(&LONG);
    assert!(whole.lines().count() > 30, "{whole}");
    let (terminal, code) = on_terminal(&LONG, &pager, &[]);
    assert_eq!((code, kept().unwrap()), (0, whole));
    assert_eq!(terminal.screen().trim(), "");
}

#[test]
fn what_fits_and_what_is_asked_does_not() {
    let folder = tempfile::tempdir().unwrap();
    let (pager, kept) = keeping(folder.path());
    let (terminal, code) = on_terminal(&["words", "preload"], &pager, &[]);
    assert_eq!((code, kept()), (0, None));
    terminal.see("preload");
    let car = folder.path().join("car.toml");
    let asked = Terminal::of(command(&["new-car", car.to_str().unwrap()], &pager, &[]), 10, 80);
    asked.see("Step 1 of");
    assert_eq!(kept(), None);
}

#[test]
fn without_a_pager_all_of_it_is_on_the_screen() {
    let whole = piped(&LONG);
    let last = whole.trim_end().lines().last().unwrap().trim();
    let none = [&LONG[..], &["--no-pager"]].concat();
    for (words, pager, more) in [
        (&LONG[..], "no-such-pager", &[][..]),
        (&LONG, "false", &[]),
        (&none, "true", &[]),
        (&LONG, "true", &[("TERM", "dumb")]),
    ] {
        let (terminal, code) = on_terminal(words, pager, more);
        assert_eq!(code, 0, "{pager}");
        terminal.see(last);
    }
    // who leaves it at once has seen enough, and an exit code is the command's whatever the pager does
    let (terminal, code) = on_terminal(&LONG, "true", &[]);
    assert_eq!((code, terminal.screen().trim()), (0, ""));
    let (_, code) = on_terminal(&["words", "nosuchword"], "true", &[]);
    assert_eq!(code, 8);
}

#[test]
fn an_empty_variable_names_no_pager_and_the_next_one_counts() {
    let folder = tempfile::tempdir().unwrap();
    let (pager, kept) = keeping(folder.path());
    let (_, code) = on_terminal(&LONG, "", &[("PAGER", &pager)]);
    assert_eq!((code, kept().unwrap()), (0, piped(&LONG)));
    let colours = Command::new(env!("CARGO_BIN_EXE_shimwright"))
        .args(["--help", "--color", "always"])
        .output()
        .unwrap();
    assert!(colours.stdout.contains(&0x1b));
}
