//! `completions`: what a shell completes, asked of the program itself at each press of the key.

use super::examples::GROUPS;
use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use super::schema::outputs;
use crate::app::book_dir;
use crate::app::days::is_day;
use crate::app::output::write_out;
use crate::book::{BuildId, Shelf};
use crate::procedure::STOCK;
use crate::workshop::{Chapter, Glossary, STOCK_USES};
use clap::{Args, Command, FromArgMatches};
use clap_complete::engine::{ArgValueCompleter, CompletionCandidate, PathCompleter, ValueCompleter};
use clap_complete::env::Shells;
use clap_complete::{CompleteEnv, Shell};
use std::collections::BTreeSet;
use std::ffi::{OsStr, OsString};
use std::process::ExitCode;

/// By what the script in a shell says that it wants completions, and nothing else.
const VARIABLE: &str = "SHIMWRIGHT_COMPLETE";

#[derive(Args)]
pub(super) struct Completions {
    /// The shell
    pub shell: Shell,
}

/// What an argument may be, besides the words that its option knows.
#[derive(Clone, Copy)]
enum Known {
    Builds,
    Days,
    Units,
    Procedures,
    Uses,
    Terms,
    Chapters,
    Commands,
    Outputs,
}

/// The command, its argument, and what that may be.
const KNOWN: &[(&str, &str, Known)] = &[
    ("sheet", "build", Known::Builds),
    ("show", "build", Known::Builds),
    ("labels", "build", Known::Builds),
    ("sign", "build", Known::Builds),
    ("check", "build", Known::Builds),
    ("correct", "build", Known::Builds),
    ("parts", "build", Known::Builds),
    ("void", "build", Known::Builds),
    ("between", "before", Known::Builds),
    ("between", "after", Known::Builds),
    ("runs", "first", Known::Builds),
    ("runs", "second", Known::Builds),
    ("plan", "settings", Known::Builds),
    ("days", "day", Known::Days),
    ("wear", "unit", Known::Units),
    ("fleet", "unit", Known::Units),
    ("export", "unit", Known::Units),
    ("work", "procedure", Known::Procedures),
    ("procedures", "name", Known::Procedures),
    ("settle", "wanted", Known::Uses),
    ("words", "term", Known::Terms),
    ("guide", "topic", Known::Chapters),
    ("man", "of", Known::Commands),
    ("schema", "output", Known::Outputs),
];

impl Known {
    /// Whether a path of a file may stand there as well.
    fn or_path(self) -> bool {
        matches!(self, Known::Procedures | Known::Uses)
    }

    /// Every word, in order.
    fn words(self) -> Vec<String> {
        match self {
            Known::Builds => builds().iter().map(ToString::to_string).collect(),
            Known::Days => in_book(is_day).iter().map(ToString::to_string).collect(),
            Known::Units => {
                let units: BTreeSet<String> = builds().iter().map(|id| id.slug().to_string()).collect();
                units.into_iter().collect()
            }
            Known::Procedures => STOCK.iter().map(|one| one.id.to_string()).collect(),
            Known::Uses => STOCK_USES.iter().map(|(id, _)| (*id).to_string()).collect(),
            Known::Terms => Glossary::stock()
                .words()
                .iter()
                .map(|word| word.term.clone())
                .collect(),
            Known::Chapters => Chapter::ALL
                .iter()
                .map(|chapter| chapter.topic.to_string())
                .collect(),
            Known::Outputs => outputs().map(str::to_string).collect(),
            Known::Commands => GROUPS
                .iter()
                .flat_map(|(_, commands)| commands.iter().map(|name| (*name).to_string()))
                .collect(),
        }
    }
}

/// The names in the usual book of which something holds; none where there is no book, for a key that is pressed is no place to
/// complain.
fn in_book(holds: impl Fn(&Shelf, &BuildId) -> bool) -> Vec<BuildId> {
    // what the environment says of the book is read where it always is
    let usual = Book::augment_args(Command::new("shimwright"))
        .try_get_matches_from(["shimwright"])
        .and_then(|matches| Book::from_arg_matches(&matches));
    let shelf = usual
        .ok()
        .and_then(|book| book_dir(book.dir.as_ref()).ok())
        .and_then(|dir| Shelf::look(&dir).ok());
    let contents = shelf.and_then(|shelf| Some((shelf.contents().ok()?, shelf)));
    contents.map_or(Vec::new(), |(contents, shelf)| {
        let mut named = contents.named();
        named.retain(|id| holds(&shelf, id));
        named
    })
}

fn builds() -> Vec<BuildId> {
    in_book(|shelf, id| !is_day(shelf, id))
}

impl ValueCompleter for Known {
    fn complete(&self, current: &OsStr) -> Vec<CompletionCandidate> {
        let begun = current.to_string_lossy();
        let mut all: Vec<CompletionCandidate> = self
            .words()
            .into_iter()
            .filter(|word| word.starts_with(&*begun))
            .map(CompletionCandidate::new)
            .collect();
        if self.or_path() {
            all.extend(PathCompleter::file().complete(current));
        }
        all
    }
}

/// The command tree with what its arguments may be.
fn completed(tree: Command) -> Command {
    KNOWN.iter().fold(tree, |tree, (command, name, known)| {
        tree.mut_subcommand(*command, |command| {
            // `mut_arg` would put it behind the other arguments without a name
            command.mut_args(|argument| match argument.get_id() == name {
                true => argument.add(ArgValueCompleter::new(*known)),
                false => argument,
            })
        })
    })
}

/// The end of the program where a shell asked for completions; they are told. Nothing where it did not.
pub(super) fn asked_by_a_shell(given: &[OsString], tree: fn() -> Command) -> Option<ExitCode> {
    let asked = CompleteEnv::with_factory(|| completed(tree()))
        .var(VARIABLE)
        .try_complete(given.to_vec(), None);
    match asked {
        Ok(false) => None,
        Ok(true) => Some(Exit::Done.into()),
        // what a shell asks is not for a person to read
        Err(_) => Some(Exit::Usage.into()),
    }
}

/// Prints the script by which a shell asks the program what may stand at a place.
pub(super) fn completions(arguments: &Completions) -> Result<Exit, Failure> {
    let shells = Shells::builtins();
    let mut script = Vec::new();
    if let Some(shell) = shells.completer(&arguments.shell.to_string()) {
        shell.write_registration(VARIABLE, "shimwright", "shimwright", "shimwright", &mut script)?;
    }
    write_out(&String::from_utf8_lossy(&script), false)?;
    Ok(Exit::Done)
}
