//! A pager for what is longer than the screen. It is a convenience: one that is missing, fails or is left early is no error.

use super::args::Command;
use super::failure::Failure;
use crate::app::output::{held_back, hold_back, write_out};
use crate::bench::{InFront, terminal_height, terminal_width};
use crate::book::variable;
use crate::quantity::visible_lines;
use crate::screen::columns;
use std::io::{IsTerminal, Write};
use std::process::{self, Stdio};

/// The variables that name a pager, what comes first first.
pub(super) const VARIABLES: [&str; 2] = ["SHIMWRIGHT_PAGER", "PAGER"];
/// What is taken where none is named.
const USUAL: &str = "less";

/// Holds back what a command that only tells something tells, where a pager may be wanted.
pub(super) fn may_be_wanted(command: &Command, asked_not_to: bool) {
    let dumb = variable("TERM").is_some_and(|term| term == "dumb");
    if !asked_not_to && !dumb && only_tells(command) && std::io::stdout().is_terminal() {
        hold_back();
    }
}

/// Shows what was held back: in a pager where it does not fit on the screen.
pub(super) fn show() -> Result<(), Failure> {
    let Some(text) = held_back() else {
        return Ok(());
    };
    if fits(&text) || !is_paged(&text) {
        write_out(&text, false)?;
    }
    Ok(())
}

/// Whether a command asks nothing, writes no file by itself and ends with what it tells.
fn only_tells(command: &Command) -> bool {
    match command {
        Command::Choose(_)
        | Command::Settle(_)
        | Command::Lint(_)
        | Command::Schema(_)
        | Command::Procedures(_)
        | Command::Show(_)
        | Command::Builds(_)
        | Command::Fleet(_)
        | Command::Days(_)
        | Command::Runs(_)
        | Command::Check(_)
        | Command::Wear(_)
        | Command::Between(_)
        | Command::Export(_)
        | Command::Reckon(_)
        | Command::Guide(_)
        | Command::Words(_)
        | Command::Defaults(_)
        | Command::Drawers(_)
        | Command::Man(_) => true,
        Command::Work(_)
        | Command::NewUnit(_)
        | Command::NewCar(_)
        | Command::Sheet(_)
        | Command::Labels(_)
        | Command::Day(_)
        | Command::Plan(_)
        | Command::Sign(_)
        | Command::Adopt(_)
        | Command::Correct(_)
        | Command::Parts(_)
        | Command::Void(_)
        | Command::Backup(_)
        | Command::Restore(_)
        | Command::Key(_)
        | Command::AsLeft(_)
        | Command::Import(_)
        | Command::Practise(_)
        | Command::Demo(_)
        | Command::Completions(_) => false,
    }
}

/// Whether a text leaves room on the screen for the line that is typed next.
fn fits(text: &str) -> bool {
    let width = terminal_width().max(1);
    let rows = |line: &str| columns(line).div_ceil(width).max(1);
    text.lines().map(rows).sum::<usize>() < terminal_height()
}

/// Shows a text in the pager; whether that was done.
fn is_paged(text: &str) -> bool {
    let named = VARIABLES.into_iter().find_map(variable);
    let named = named.as_deref().unwrap_or(USUAL);
    let mut words = named.split_whitespace();
    let Some(program) = words.next() else {
        return false;
    };
    // what is typed, Ctrl-C too, is the pager's as long as it runs
    let _in_front = InFront::begin();
    let mut pager = process::Command::new(program);
    pager.args(words).stdin(Stdio::piped());
    if variable("LESS").is_none() {
        pager.env("LESS", "FRX"); // nothing is cleared at its end
    }
    let Ok(mut pager) = pager.spawn() else {
        return false;
    };
    if let Some(mut lines) = pager.stdin.take() {
        // who leaves it before the end has seen enough
        let _left = lines.write_all(visible_lines(text).as_bytes());
    }
    pager.wait().is_ok_and(|status| status.success())
}
