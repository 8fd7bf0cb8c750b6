//! `man`: the manual page, written from the command tree.

use super::examples::examples;
use super::exit::Exit;
use super::failure::Failure;
use super::options::default_of;
use crate::app::output::{Over, lay_down, may_lay_down, told, write_out};
use crate::book::STANDARD;
use crate::document::nearest;
use crate::workshop::Safety;
use clap::builder::StyledStr;
use clap::{Arg, ArgAction, Args, Command};
use std::path::{Path, PathBuf};

/// The day of this version, for the head of the page.
const DAY: &str = "2026-11-25";

/// Print the manual page, of the program or of one command
#[derive(Args)]
pub(super) struct Man {
    /// The command, such as settle; without it the page of the whole program
    #[arg(value_name = "COMMAND")]
    pub of: Option<String>,
    /// Write the pages of the program and of every command into this folder, as shimwright.1 and shimwright-COMMAND.1
    #[arg(long, alias = "out", value_name = "DIR", conflicts_with = "of")]
    pub into: Option<PathBuf>,
    /// Write over files that are there and say something else
    #[arg(long, requires = "into")]
    pub replace: bool,
}

/// Prints a manual page, in the man macros of roff.
pub(super) fn man(asked: &Man, mut program: Command) -> Result<Exit, Failure> {
    program.build();
    let shown = || {
        program
            .get_subcommands()
            .filter(|command| !command.is_hide_set() && command.get_name() != "help")
    };
    match (&asked.into, &asked.of) {
        (Some(folder), _) => {
            if folder == Path::new(STANDARD) {
                return Err(crate::app::Failure::OutputTaken.into());
            }
            let own = (program.get_name().to_string(), page(&program));
            let pages = shown().map(|command| {
                let name = format!("{}-{}", program.get_name(), command.get_name());
                (name, page_of(&program, command))
            });
            let files: Vec<(PathBuf, String)> = [own]
                .into_iter()
                .chain(pages)
                .map(|(name, text)| (folder.join(format!("{name}.1")), text))
                .collect();
            let over = Over::Nothing.or(asked.replace);
            // all or none
            for (file, text) in &files {
                may_lay_down(file, text.as_bytes(), over)?;
            }
            for (file, text) in &files {
                lay_down(file, text.as_bytes(), over)?.say(&format!("{} is written.\n", told(file)))?;
            }
        }
        (None, Some(name)) => {
            let Some(command) = shown().find(|command| command.get_name() == name) else {
                let known: Vec<&str> = shown().map(Command::get_name).collect();
                return Err(Failure::NoCommand {
                    near: nearest(name, &known).map(str::to_string),
                    name: name.clone(),
                });
            };
            write_out(&page_of(&program, command), false)?;
        }
        (None, None) => write_out(&page(&program), false)?,
    }
    Ok(Exit::Done)
}

/// The page of one command, with examples, files and what else may say an option.
fn page_of(program: &Command, command: &Command) -> String {
    let (name, version) = (command.get_name(), program.get_version().unwrap_or(""));
    let mut page = format!(
        ".TH {}\\-{} 1 {DAY} \"{} {version}\" \"User Commands\"\n.SH NAME\n",
        program.get_name().to_uppercase(),
        escaped(&name.to_uppercase()),
        program.get_name(),
    );
    page.push_str(&format!(
        "{}\\-{} \\- {}",
        program.get_name(),
        escaped(name),
        text(&about(command))
    ));
    page.push_str(".SH SYNOPSIS\n");
    synopsis(&mut page, command, &[name]);
    page.push_str(".SH DESCRIPTION\n");
    page.push_str(&text(&about(command)));
    page.push_str(&text(Safety::First.words()));
    page.push_str(".SH OPTIONS\n");
    options(&mut page, command);
    let below = command.get_subcommands().any(|below| below.get_name() != "help");
    if below {
        page.push_str(".SH COMMANDS\n");
        commands(&mut page, command, &[name]);
    }
    page.push_str(".SH EXAMPLES\n");
    page.push_str("The files in\n.I try\nare those of\n.BR \"shimwright demo \\-\\-files try\" .\n");
    for line in examples(name) {
        page.push_str(&format!(".PP\n.nf\nshimwright {}\n.fi\n", escaped(line)));
    }
    page.push_str(".SH FILES\n");
    page.push_str(&text(FILES));
    let mut variables: Vec<(String, String)> = Vec::new();
    variables_of(command, &mut variables);
    page.push_str(".SH ENVIRONMENT\n");
    for (variable, option) in &variables {
        page.push_str(&format!(
            ".TP\n.B {}\nWhat stands in it counts where\n.B {}\nis not given.\n",
            escaped(variable),
            escaped(option)
        ));
    }
    for (variable, words) in OF_THE_TERMINAL {
        page.push_str(&format!(".TP\n.B {}\n{}", escaped(variable), text(words)));
    }
    page.push_str(".SH EXIT STATUS\n");
    exit_codes(
        &mut page,
        command.get_after_help().filter(|_| name == "reckon"),
        program,
    );
    page.push_str(&format!(".SH SEE ALSO\n.BR {} (1)\n", program.get_name()));
    page
}

/// What is written and read by whichever command.
const FILES: &str = "The book is a folder with a folder a build: under the user's data folder, unless --book or SHIMWRIGHT_BOOK \
                     says where. Units, drawers, instruments, procedures, cars and uses are TOML files; \
                     shimwright schema lists the kinds, and shimwright lint finds every fault of one.";

/// What else of the environment counts, whatever the command.
const OF_THE_TERMINAL: [(&str, &str); 3] = [
    (
        "NO_COLOR",
        "If it is not empty, nothing is coloured unless --color always says so.",
    ),
    (
        "SHIMWRIGHT_PAGER",
        "The program, with its options, that shows what is longer than the screen; cat for none. If it is empty or not there, \
         PAGER says it, else less is taken. Questions never go through it.",
    ),
    ("PAGER", "As SHIMWRIGHT_PAGER, which comes first."),
];

/// The variables of the environment that stand for an option of a command or of those below it.
fn variables_of(command: &Command, into: &mut Vec<(String, String)>) {
    for argument in shown(command) {
        let variable = argument.get_env().map(|name| name.to_string_lossy().into_owned());
        let set = || default_of(argument).map(|key| key.variable().to_string());
        if let (Some(variable), Some(long)) = (variable.or_else(set), argument.get_long()) {
            let row = (variable, format!("--{long}"));
            if !into.contains(&row) {
                into.push(row);
            }
        }
    }
    for below in command.get_subcommands() {
        variables_of(below, into);
    }
}

/// The exit codes: a command's own where it has some, else those of the program.
fn exit_codes(page: &mut String, own: Option<&StyledStr>, program: &Command) {
    let Some(after) = own.or(program.get_after_help()) else {
        return;
    };
    let after = after.to_string();
    let codes = after.rsplit("Exit codes: ").next().unwrap_or(&after);
    for code in codes.split(", ") {
        let (number, meaning) = code.split_once(' ').unwrap_or((code, ""));
        page.push_str(&format!(".TP\n.B {}\n{}", escaped(number), text(meaning)));
    }
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
    page.push_str(".SH EXIT STATUS\n");
    exit_codes(&mut page, None, program);
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
