//! The command tree: every command with what it takes, and the exit codes that help tells.

use super::adopt::Adopt;
use super::as_left::AsLeft;
use super::backup::{Backup, Restore};
use super::between::BetweenArguments;
use super::check::Check;
use super::choose::Choose;
use super::completions::Completions;
use super::correct::Correct;
use super::day::{Day, Days};
use super::defaults::DefaultsArguments;
use super::demo::Demo;
use super::drawers::DrawersArguments;
use super::drive_plan::{Plan, Runs};
use super::examples::{EXAMPLES, GROUPS, examples};
use super::export::Export;
use super::failure::Failure;
use super::fleet::FleetArguments;
use super::guide::Guide;
use super::import::Import;
use super::key::Key;
use super::labels::Labels;
use super::lint::Lint;
use super::man::Man;
use super::new_file::{NewCar, NewUnit};
use super::options::{Book, Colours, PLAIN, default_of};
use super::parts::{Parts, Void};
use super::practise::Practise;
use super::procedures::Procedures;
use super::reckon::Reckon;
use super::reports::{Builds, Sheet};
use super::schema::Schema;
use super::settle::Settle;
use super::show::Show;
use super::sign::Sign;
use super::wear::Wear;
use super::words::Words;
use super::work::Work;
use crate::app::defaults::defaults;
use crate::app::output::width;
use crate::screen::hanging;
use crate::workshop::Safety;
use crate::workshop::defaults::{DefaultKey, Holds, SaidBy};
use clap::builder::Resettable;
use clap::{Arg, ArgAction, ArgMatches, ColorChoice, CommandFactory, FromArgMatches, Parser, Subcommand};
use std::ffi::OsString;
use std::path::PathBuf;

/// What is typed behind the program's name.
#[derive(Parser)]
#[command(name = "shimwright", version, about = about(), after_help = EXIT_CODES)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub command: Option<Command>,
    #[command(flatten)]
    pub book: Book,
    #[command(flatten)]
    pub colours: Colours,
    /// Write what is longer than the screen at once, and not through the pager that SHIMWRIGHT_PAGER or PAGER names
    #[arg(long, global = true)]
    pub no_pager: bool,
}

/// What the program is, and whose word comes first.
fn about() -> String {
    format!(
        "Walks a workshop through the rebuild of a plate-type limited-slip differential, does the arithmetic, and prints \
         the build sheet. {}",
        Safety::First.words()
    )
}

/// The option for plain lines, and the value of the default that stands for it.
const LINES: &str = "lines";

const EXIT_CODES: &str = "Exit codes: 0 done, 1 failed, 2 arguments not understood, 3 a file has faults, \
4 answers not taken, 5 book not readable or altered, 6 build open elsewhere, 7 left unfinished, 8 no such build or word, \
9 a value is outside what the formula allows, 10 nothing fits, 11 a seal does not hold, 12 not all is proved";

const RECKON_EXIT_CODES: &str = "Exit codes: 0 done, 2 an argument can not be read (no unit, a unit of another kind), \
3 a data file has faults, 9 a value is outside what the formula allows";

#[derive(Subcommand)]
pub(super) enum Command {
    /// Do a job on a unit, one question at a time
    Work(Work),
    /// Describe a unit by questions, and write its file
    NewUnit(NewUnit),
    /// Describe a car by questions, for settle, and write its file
    NewCar(NewCar),
    /// Choose plates and shims from readings in a file
    Choose(Choose),
    /// Settle what the car needs of its unit before it is opened: ramps, faces, preload
    Settle(Settle),
    /// Find every fault of TOML files, with line and key
    Lint(Lint),
    /// Print the JSON Schema of a kind of TOML file, for editors
    Schema(Schema),
    /// List the stock procedures, or show one step by step
    Procedures(Procedures),
    /// Print the sheet of a build, finished or not, or a form to fill in by hand
    Sheet(Sheet),
    Show(Show),
    Labels(Labels),
    /// List what is in the book
    Builds(Builds),
    /// List all units of the book, what needs work first
    Fleet(FleetArguments),
    Day(Day),
    Days(Days),
    Runs(Runs),
    Plan(Plan),
    Sign(Sign),
    Check(Check),
    Adopt(Adopt),
    Correct(Correct),
    Parts(Parts),
    Void(Void),
    Backup(Backup),
    Restore(Restore),
    Key(Key),
    AsLeft(AsLeft),
    /// Say how a unit wears from build to build, and when it will be at a limit
    Wear(Wear),
    /// Set two builds side by side: what changed, and by how much
    Between(BetweenArguments),
    /// Write the builds of the book as a table for other programs
    Export(Export),
    /// Take old paper records of a unit into the book, from a table
    Import(Import),
    /// Work out one figure: a spring, a pack, a ramp, a bolt, a reading
    #[command(after_help = RECKON_EXIT_CODES)]
    Reckon(Reckon),
    /// Show a chapter of the guide, or the list of them
    Guide(Guide),
    /// Say what a word of the trade means
    Words(Words),
    /// Practise on a made-up unit with hidden faults
    Practise(Practise),
    Defaults(DefaultsArguments),
    Drawers(DrawersArguments),
    /// Do a whole rebuild of an invented unit with scripted answers
    Demo(Demo),
    /// Print what makes a shell complete the commands
    Completions(Completions),
    Man(Man),
}

/// The whole tree, with what an option may be, what it is unless it is said, and what else may say it, in words of our own:
/// once for the help and the manual page.
pub(super) fn tree() -> clap::Command {
    let tree = in_words(Arguments::command());
    let tree = EXAMPLES
        .iter()
        .fold(tree, |tree, (name, _)| tree.mut_subcommand(*name, with_examples));
    let listed = in_groups(&tree);
    tree.help_template(format!(
        "{{about-with-newline}}\n{{usage-heading}} {{usage}}\n\n{listed}Options:\n{{options}}{{after-help}}"
    ))
}

/// The commands by what they are for.
fn in_groups(tree: &clap::Command) -> String {
    let widest = tree
        .get_subcommands()
        .map(|command| command.get_name().len())
        .max()
        .unwrap_or(0);
    let mut words = String::new();
    for (head, commands) in GROUPS {
        words.push_str(&format!("{head}:\n"));
        for name in *commands {
            let about = tree.find_subcommand(name).and_then(|command| command.get_about());
            let about = about.map(ToString::to_string).unwrap_or_default();
            words.push_str(&hanging(&format!("  {name:<widest$}  "), &about, width()));
        }
        words.push('\n');
    }
    words
}

/// A command with its examples below its help, before what stands there already.
fn with_examples(command: clap::Command) -> clap::Command {
    let lines = examples(command.get_name())
        .iter()
        .map(|line| format!("  shimwright {line}"));
    let shown = format!("Such as:\n{}", lines.collect::<Vec<_>>().join("\n"));
    let after = match command.get_after_help() {
        Some(after) => format!("{shown}\n\n{after}"),
        None => shown,
    };
    command.after_help(after)
}

/// Why arguments were not read.
pub(super) enum Unread {
    /// They are not understood, or are help that was asked for.
    Arguments(clap::Error),
    /// What holds where nothing is said can not be told.
    Defaults(Failure),
}

/// The arguments, the first of which is the program's own name. What they leave out is what the environment, the user's own
/// file and the book's say, in this order.
pub(super) fn read(given: &[OsString]) -> Result<Arguments, Unread> {
    let colour = colour_of_help(given);
    let mut tree = tree().color(colour);
    let parsed = |tree: &mut clap::Command| tree.try_get_matches_from_mut(given).map_err(Unread::Arguments);
    let mut matches = parsed(&mut tree)?;
    if takes_defaults(&tree, &matches) {
        let book = matches.get_one::<PathBuf>("book");
        let holds = defaults(book).map_err(|failure| Unread::Defaults(failure.into()))?;
        if holds.iter().any(|one| one.by != SaidBy::Program) {
            tree = holding(self::tree().color(colour), &holds);
            matches = parsed(&mut tree)?;
        }
    }
    Arguments::from_arg_matches(&matches).map_err(|error| Unread::Arguments(error.format(&mut tree)))
}

/// When help and refusals are coloured: by the option, wherever it stands, because either ends the reading of arguments.
fn colour_of_help(given: &[OsString]) -> ColorChoice {
    let mut words = given.iter().take_while(|word| *word != "--");
    let mut said = None;
    while let Some(word) = words.next() {
        let word = word.to_string_lossy();
        match word
            .strip_prefix("--color")
            .or_else(|| word.strip_prefix("--colour"))
        {
            Some("") => said = words.next().map(|word| word.to_string_lossy().into_owned()),
            Some(rest) => said = rest.strip_prefix('=').map(str::to_string),
            None => {}
        }
    }
    match said.as_deref() {
        Some("always") => ColorChoice::Always,
        Some("never") => ColorChoice::Never,
        _ => ColorChoice::Auto,
    }
}

/// Whether the command that was given has anything that a default can be set for.
fn takes_defaults(tree: &clap::Command, matches: &ArgMatches) -> bool {
    let (mut command, mut matches) = (tree, matches);
    while let Some((name, below)) = matches.subcommand() {
        let Some(found) = command.find_subcommand(name) else {
            break;
        };
        (command, matches) = (found, below);
    }
    command
        .get_arguments()
        .any(|argument| default_of(argument).is_some())
}

/// The tree with what holds where nothing is said.
fn holding(command: clap::Command, holds: &[Holds]) -> clap::Command {
    let below: Vec<String> = command
        .get_subcommands()
        .map(|below| below.get_name().to_string())
        .collect();
    let command = command.mut_args(|argument| match default_of(&argument) {
        Some(key) => with_what_holds(argument, key, holds),
        None => argument,
    });
    below.into_iter().fold(command, |command, name| {
        command.mut_subcommand(name, |below| holding(below, holds))
    })
}

fn with_what_holds(argument: Arg, key: DefaultKey, holds: &[Holds]) -> Arg {
    let held = holds
        .iter()
        .find(|one| one.key == key && one.by != SaidBy::Program);
    let Some(value) = held.and_then(|one| one.value.clone()) else {
        return argument;
    };
    // an empty variable says nothing, and what a variable says has been looked at
    let argument = argument.env(Resettable::Reset);
    match key {
        DefaultKey::Screen if value == LINES => argument.default_value("true"),
        DefaultKey::Screen => argument,
        // once in a run of the program
        _ => argument.default_value(&*value.leak()),
    }
}

fn in_words(command: clap::Command) -> clap::Command {
    let below: Vec<String> = command
        .get_subcommands()
        .map(|below| below.get_name().to_string())
        .collect();
    below
        .into_iter()
        .fold(command.mut_args(with_its_values), |command, name| {
            command.mut_subcommand(name, in_words)
        })
}

fn with_its_values(argument: Arg) -> Arg {
    let mut more = Vec::new();
    if matches!(argument.get_action(), ArgAction::Set | ArgAction::Append) {
        let values: Vec<String> = argument
            .get_possible_values()
            .iter()
            .filter(|value| !value.is_hide_set())
            .map(|value| match value.get_help() {
                Some(help) => format!("{} ({})", value.get_name(), lower(&help.to_string())),
                None => value.get_name().to_string(),
            })
            .collect();
        let usual: Vec<String> = argument
            .get_default_values()
            .iter()
            .map(|value| value.to_string_lossy().into_owned())
            .collect();
        if !values.is_empty() {
            more.push(format!("one of {}", values.join(", ")));
        }
        if !usual.is_empty() {
            more.push(format!("by default {}", usual.join(" ")));
        }
    }
    let variable = argument
        .get_env()
        .map(|variable| variable.to_string_lossy().into_owned());
    let or_set = default_of(&argument).map(|key| key.variable().to_string());
    if let Some(variable) = variable.or(or_set.filter(|_| argument.get_long() != Some(PLAIN))) {
        more.push(format!("also by {variable}"));
    }
    let Some(help) = argument.get_help().filter(|_| !more.is_empty()) else {
        return argument;
    };
    let help = format!("{help} ({})", more.join("; "));
    argument
        .help(help)
        .hide_possible_values(true)
        .hide_default_value(true)
        .hide_env(true)
}

fn lower(words: &str) -> String {
    let mut letters = words.chars();
    match letters.next() {
        // a word in capitals, such as JSON, stays
        Some(first) if !letters.clone().next().is_some_and(char::is_uppercase) => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => words.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(command: &clap::Command) -> Vec<clap::Command> {
        command
            .get_subcommands()
            .flat_map(all)
            .chain([command.clone()])
            .collect()
    }

    #[test]
    fn a_default_may_be_what_its_options_may_be() {
        let tree = tree();
        let mut told = Vec::new();
        for command in all(&tree) {
            for argument in command.get_arguments() {
                let (Some(key), long) = (default_of(argument), argument.get_long()) else {
                    continue;
                };
                let can_be = argument.get_possible_values();
                let names: Vec<&str> = can_be.iter().map(|value| value.get_name()).collect();
                if long != Some(PLAIN) && !key.values().is_empty() {
                    assert_eq!(names, key.values(), "{} of {}", key.word(), command.get_name());
                }
                told.push(key);
            }
        }
        assert!(
            DefaultKey::ALL.iter().all(|(key, _)| told.contains(key)),
            "{told:?}"
        );
    }

    #[test]
    fn every_option_is_told_in_words_of_our_own() {
        let mut tree = tree();
        tree.build();
        for mut command in all(&tree)
            .into_iter()
            .filter(|command| command.get_name() != "help")
        {
            for argument in command.get_arguments() {
                assert!(
                    argument.get_help().is_some(),
                    "{} of {} has no help",
                    argument.get_id(),
                    command.get_name()
                );
            }
            let help = command.render_long_help().to_string();
            for stock in ["[possible values", "Possible values", "[default", "[env"] {
                assert!(
                    !help.contains(stock),
                    "{stock} in the help of {}",
                    command.get_name()
                );
            }
        }
    }
}
