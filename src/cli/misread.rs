//! What a person is told when arguments are not understood.

use super::args::tree;
use super::exit::Exit;
use super::failure::failed;
use crate::document::nearest;
use crate::quantity::visible;
use crate::report::Figures;
use clap::error::{ContextKind, ContextValue, ErrorKind};
use std::error::Error;
use std::ffi::OsString;

/// What a person is told of arguments that could not be read, with what to do next; help and version that were asked for as they
/// are. The words are ours, since those of the reader of arguments are of another voice.
pub(super) fn told(error: &clap::Error, arguments: &[OsString]) -> String {
    if !error.use_stderr() || error.kind() == ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand {
        return error.to_string();
    }
    let [words, next] = what_and_next(error, arguments);
    format!("error: {}\n  {next}\n", visible(&words))
}

/// The same for machines.
pub(super) fn for_machines(error: &clap::Error, arguments: &[OsString]) -> Figures {
    let [words, next] = what_and_next(error, arguments);
    failed(&words, &next, Exit::Usage)
}

/// What is not understood, and what to do next.
fn what_and_next(error: &clap::Error, arguments: &[OsString]) -> [String; 2] {
    let path = path(arguments);
    let next = match error.kind() {
        ErrorKind::InvalidSubcommand | ErrorKind::MissingSubcommand => "lists them",
        _ => "says what it takes",
    };
    [words(error, &path), format!("`{} --help` {next}", path.join(" "))]
}

fn words(error: &clap::Error, path: &[String]) -> String {
    let text = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => text.clone(),
        Some(ContextValue::Strings(texts)) => listed(texts, "or"),
        _ => String::new(),
    };
    let argument = text(ContextKind::InvalidArg);
    // `--units <UNITS>` is told as `--units`
    let name = match argument.strip_prefix('-') {
        Some(_) => argument.split(' ').next().unwrap_or(&argument),
        None => argument.as_str(),
    };
    let value = text(ContextKind::InvalidValue);
    let number = |kind| match error.get(kind) {
        Some(ContextValue::Number(number)) => *number,
        _ => 0,
    };
    match error.kind() {
        ErrorKind::InvalidSubcommand => {
            let wrong = text(ContextKind::InvalidSubcommand);
            let near = suggestion(&wrong, &commands_of(path));
            format!("there is no command \"{wrong}\"{near}")
        }
        ErrorKind::MissingSubcommand => "a command is missing".to_string(),
        ErrorKind::UnknownArgument if argument.starts_with('-') => {
            let known = options_of(path);
            match path.last().filter(|_| known.iter().any(|option| option == name)) {
                Some(command) => {
                    format!("{name} stands before the command {command}; options stand behind it")
                }
                None => format!("there is no option {name} here{}", suggestion(name, &known)),
            }
        }
        ErrorKind::UnknownArgument => format!("\"{argument}\" is one word too many here"),
        ErrorKind::InvalidValue if value.is_empty() => format!("{name}: a value is missing"),
        ErrorKind::InvalidValue => {
            let known = match error.get(ContextKind::ValidValue) {
                Some(ContextValue::Strings(known)) => known.clone(),
                _ => Vec::new(),
            };
            let near = suggestion(&value, &known);
            format!("{name}: \"{value}\" is none of these: {}{near}", known.join(", "))
        }
        ErrorKind::ValueValidation => {
            let why = error.source().map(|why| format!(": {why}")).unwrap_or_default();
            format!("{name}: \"{value}\" is not taken{why}")
        }
        ErrorKind::MissingRequiredArgument => {
            let missing = match error.get(ContextKind::InvalidArg) {
                Some(ContextValue::Strings(missing)) => missing.clone(),
                _ => Vec::new(),
            };
            let are = if missing.len() > 1 { "are" } else { "is" };
            let each: Vec<String> = missing.iter().map(|one| either(one)).collect();
            format!("{} {are} missing", listed(&each, "and"))
        }
        ErrorKind::ArgumentConflict if error.get(ContextKind::InvalidSubcommand).is_some() => {
            let command = text(ContextKind::InvalidSubcommand);
            let before = text(ContextKind::PriorArg);
            format!("{before} stands before the command {command}; options stand behind it")
        }
        ErrorKind::ArgumentConflict if argument == text(ContextKind::PriorArg) => {
            format!("{name} is there twice")
        }
        ErrorKind::ArgumentConflict => {
            format!(
                "{argument} and {} do not go together",
                text(ContextKind::PriorArg)
            )
        }
        ErrorKind::TooManyValues => format!("{name}: \"{value}\" is one value too many"),
        ErrorKind::TooFewValues | ErrorKind::WrongNumberOfValues => {
            let wanted = number(ContextKind::MinValues).max(number(ContextKind::ExpectedNumValues));
            let there = number(ContextKind::ActualNumValues);
            format!("{name} wants {wanted} values, and {there} stand there")
        }
        ErrorKind::InvalidUtf8 => "an argument is not UTF-8 text".to_string(),
        other => format!("the arguments are not understood: {other}"),
    }
}

/// `<--reading <TORQUE>|--wanted <TORQUE>>` in words; anything else as it is.
fn either(missing: &str) -> String {
    match missing.strip_prefix("<-").and_then(|rest| rest.strip_suffix('>')) {
        Some(rest) => format!("-{}", rest.replace('|', " or ")),
        None => missing.to_string(),
    }
}

fn listed(texts: &[String], and: &str) -> String {
    match texts {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} {and} {last}", first.join(", ")),
    }
}

fn suggestion(text: &str, known: &[String]) -> String {
    let known: Vec<&str> = known.iter().map(String::as_str).collect();
    nearest(text, &known)
        .map(|near| format!("; did you mean {near}?"))
        .unwrap_or_default()
}

/// The program and the commands that stand in its arguments, the first of which is the program's own name.
fn path(arguments: &[OsString]) -> Vec<String> {
    let mut command = tree();
    let mut path = vec![command.get_name().to_string()];
    let words = arguments.iter().skip(1).filter_map(|word| word.to_str());
    for word in words.filter(|word| !word.starts_with('-')) {
        let Some(inner) = command.find_subcommand(word).cloned() else {
            break;
        };
        path.push(word.to_string());
        command = inner;
    }
    path
}

fn at(path: &[String]) -> clap::Command {
    path.iter().skip(1).fold(tree(), |command, word| {
        command.find_subcommand(word).cloned().unwrap_or(command)
    })
}

fn commands_of(path: &[String]) -> Vec<String> {
    at(path)
        .get_subcommands()
        .map(|command| command.get_name().to_string())
        .collect()
}

fn options_of(path: &[String]) -> Vec<String> {
    at(path)
        .get_arguments()
        .filter(|argument| !argument.is_hide_set())
        .filter_map(|argument| Some(format!("--{}", argument.get_long()?)))
        .collect()
}
