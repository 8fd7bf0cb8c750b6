//! `man`: the manual page, written from the command tree.

use super::args::tree;
use super::exit::Exit;
use super::failure::Failure;
use crate::app::output::write_out;
use clap::{Arg, ArgAction, Command};

/// The day of this version, for the head of the page.
const DAY: &str = "2026-11-25";

/// Prints the manual page, in the man macros of roff.
pub(super) fn man() -> Result<Exit, Failure> {
    let mut program = tree();
    program.build();
    write_out(&page(&program), false)?;
    Ok(Exit::Done)
}

fn page(program: &Command) -> String {
    let name = program.get_name().to_string();
    let version = program.get_version().unwrap_or("");
    let mut page = format!(
        ".TH {} 1 {DAY} \"{name} {version}\" \"User Commands\"\n",
        name.to_uppercase()
    );
    page.push_str(".SH NAME\n");
    page.push_str(&format!(
        "{} \\- rebuild of a plate\\-type limited\\-slip differential, question by question\n",
        escaped(&name)
    ));
    page.push_str(".SH SYNOPSIS\n");
    synopsis(&mut page, program, &[]);
    page.push_str(".SH DESCRIPTION\n");
    page.push_str(&text(&about(program)));
    options(&mut page, program);
    page.push_str(".SH COMMANDS\n");
    commands(&mut page, program, &[]);
    if let Some(after) = program.get_after_help() {
        page.push_str(".SH EXIT STATUS\n");
        let after = after.to_string();
        let codes = after.strip_prefix("Exit codes: ").unwrap_or(&after);
        for code in codes.split(", ") {
            let (number, meaning) = code.split_once(' ').unwrap_or((code, ""));
            page.push_str(&format!(".TP\n.B {}\n{}", escaped(number), text(meaning)));
        }
    }
    page
}

/// Every command below this one, each under its own head.
fn commands(page: &mut String, above: &Command, path: &[&str]) {
    for command in above.get_subcommands() {
        if command.is_hide_set() || command.get_name() == "help" {
            continue;
        }
        let path: Vec<&str> = path.iter().copied().chain([command.get_name()]).collect();
        page.push_str(&format!(".SS {}\n", escaped(&path.join(" "))));
        synopsis(page, command, &path);
        page.push_str(".PP\n");
        page.push_str(&text(&about(command)));
        options(page, command);
        commands(page, command, &path);
    }
}

/// How a command is written.
fn synopsis(page: &mut String, command: &Command, path: &[&str]) {
    page.push_str(&format!(
        ".B {}\n",
        escaped(
            &["shimwright"]
                .iter()
                .chain(path)
                .copied()
                .collect::<Vec<_>>()
                .join(" ")
        )
    ));
    for argument in shown(command) {
        let written = written(argument);
        let one = if argument.is_required_set() {
            written
        } else {
            format!("[{written}]")
        };
        page.push_str(&one);
        page.push('\n');
    }
    if command.get_subcommands().any(|below| below.get_name() != "help") {
        page.push_str("[\\fICOMMAND\\fR]\n");
    }
}

fn options(page: &mut String, command: &Command) {
    for argument in shown(command) {
        page.push_str(&format!(".TP\n{}\n", written(argument)));
        let words = argument
            .get_long_help()
            .or(argument.get_help())
            .map(ToString::to_string)
            .unwrap_or_default();
        page.push_str(&text(&words));
    }
}

fn shown(command: &Command) -> impl Iterator<Item = &Arg> {
    command.get_arguments().filter(|argument| {
        !argument.is_hide_set() && !["help", "version"].contains(&argument.get_id().as_str())
    })
}

fn takes_value(argument: &Arg) -> bool {
    matches!(argument.get_action(), ArgAction::Set | ArgAction::Append)
}

/// An argument as it is typed, with its fonts.
fn written(argument: &Arg) -> String {
    let values: Vec<String> = argument
        .get_value_names()
        .unwrap_or_default()
        .iter()
        .map(|name| format!("\\fI{}\\fR", escaped(name)))
        .collect();
    let values = values.join(" ");
    match argument.get_long() {
        Some(long) if takes_value(argument) => format!("\\fB\\-\\-{}\\fR {values}", escaped(long)),
        Some(long) => format!("\\fB\\-\\-{}\\fR", escaped(long)),
        None => values,
    }
}

fn about(command: &Command) -> String {
    command
        .get_long_about()
        .or(command.get_about())
        .map(ToString::to_string)
        .unwrap_or_default()
}

/// Paragraphs of running text; a line of roff must not begin with a control character.
fn text(words: &str) -> String {
    let mut out = String::new();
    for line in words.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let line = escaped(line);
        if line.starts_with(['.', '\'']) {
            out.push_str("\\&");
        }
        out.push_str(&line);
        out.push_str(if line.ends_with(['.', '?', '!', ')']) {
            "\n"
        } else {
            ".\n"
        });
    }
    out
}

/// A text with what roff takes for its own made plain; other than ASCII is written by its code point, so that the
/// page needs no encoding.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' => out.push_str("\\e"),
            '-' => out.push_str("\\-"),
            '`' => out.push_str("\\(ga"),
            '\'' => out.push_str("\\(aq"),
            '"' => out.push_str("\\(dq"),
            c if c.is_ascii_graphic() || c == ' ' => out.push(c),
            c => out.push_str(&format!("\\[u{:04X}]", u32::from(c))),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_roff_takes_for_its_own_is_made_plain() {
        assert_eq!(escaped("a-b\\c µ"), "a\\-b\\ec \\[u00B5]");
        assert_eq!(text(".5 mm"), "\\&.5 mm.\n");
        assert_eq!(text("'x'"), "\\(aqx\\(aq.\n");
    }
}
