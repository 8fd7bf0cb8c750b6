//! The command line: arguments, exit codes, and what a person is told when something was not done.
//!
//! [`run`] reads the command tree of `args`, hands a command its arguments and turns what came of it into an exit code
//! ([`Exit`]). A command has a file with its arguments, which it hands to a job of `app` as plain values; `options` has what
//! several of them take. A failure gets its exit code and its line of what to do next in `failure`, without which a new one does
//! not compile; arguments that are not understood are told in `misread`.
//!
//! A new command: a file here, a row of `args`, its group and examples in `examples`, a line of [`run`], and its job in `app`.

mod adopt;
mod args;
mod as_left;
mod backup;
mod between;
mod check;
mod choose;
mod completions;
mod correct;
mod coupling;
mod day;
mod defaults;
mod demo;
mod drawers;
mod drive_plan;
mod examples;
mod exit;
mod export;
mod failure;
mod fleet;
mod guide;
mod import;
mod key;
mod labels;
mod lint;
mod man;
mod misread;
mod new_file;
mod options;
mod pager;
mod parts;
mod practise;
mod procedures;
mod reckon;
mod reports;
mod schema;
mod settle;
mod settle_beside;
mod show;
mod sign;
mod start;
mod wear;
mod words;
mod work;

pub use exit::Exit;

use crate::app::Clock;
use crate::app::output::{tell_aside, write_out};
use crate::book::unsynced;
use crate::quantity::visible;
use crate::report::Figures;
use args::{Command, Unread};
use std::ffi::OsString;
use std::process::ExitCode;

/// Runs the program with its arguments, the first of which is the program's own name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let given: Vec<OsString> = arguments.into_iter().collect();
    if let Some(ended) = completions::asked_by_a_shell(&given, args::tree) {
        return ended;
    }
    let json = wants_json(&given);
    let arguments = match args::read(&given) {
        Ok(arguments) => arguments,
        Err(Unread::Defaults(failure)) => return told(Err(failure), json),
        Err(Unread::Arguments(error)) => {
            let exit = if error.use_stderr() {
                Exit::Usage
            } else {
                Exit::Done
            };
            if json && exit == Exit::Usage {
                tell_machines(&misread::for_machines(&error, &given));
            }
            // help into a closed pipe is no fault
            match exit {
                Exit::Usage => tell_aside(misread::told(&error, &given).trim_end_matches('\n')),
                _ => drop(error.print()),
            }
            return exit.into();
        }
    };
    let Some(command) = arguments.command else {
        return told(start::start(&arguments.book), json);
    };
    pager::may_be_wanted(&command, arguments.no_pager);
    let done = match command {
        Command::Work(work) => work::work(&work),
        Command::NewUnit(asked) => new_file::new_unit(&asked),
        Command::NewCar(asked) => new_file::new_car(&asked),
        Command::Choose(arguments) => choose::choose(&arguments),
        Command::Settle(asked) => settle::settle(&asked),
        Command::Lint(asked) => lint::lint(&asked),
        Command::Schema(asked) => schema::schema(&asked),
        Command::Procedures(asked) => procedures::procedures(&asked),
        Command::Sheet(sheet) => reports::sheet(&sheet),
        Command::Show(asked) => show::show(&asked),
        Command::Labels(asked) => labels::labels(&asked),
        Command::Builds(builds) => reports::builds(&builds),
        Command::Fleet(asked) => fleet::fleet(&asked),
        Command::Sign(arguments) => sign::sign(&arguments),
        Command::Check(arguments) => check::check(&arguments),
        Command::Adopt(arguments) => adopt::adopt(&arguments),
        Command::Day(asked) => day::day(&asked),
        Command::Days(asked) => day::days(&asked),
        Command::Runs(asked) => drive_plan::runs(&asked),
        Command::Plan(asked) => drive_plan::plan(&asked),
        Command::Correct(arguments) => correct::correct(&arguments),
        Command::Parts(arguments) => parts::parts(&arguments),
        Command::Void(arguments) => parts::void(&arguments),
        Command::Backup(asked) => backup::backup(&asked),
        Command::Restore(asked) => backup::restore(&asked),
        Command::Key(arguments) => key::key(&arguments),
        Command::AsLeft(asked) => as_left::as_left(&asked),
        Command::Wear(asked) => wear::wear(&asked),
        Command::Export(asked) => export::export(&asked),
        Command::Import(asked) => import::import(&asked),
        Command::Between(asked) => between::between(&asked),
        Command::Reckon(asked) => reckon::reckon(&asked),
        Command::Practise(asked) => practise::practise(&asked),
        Command::Guide(asked) => guide::guide(&asked),
        Command::Words(asked) => words::words(&asked),
        Command::Defaults(asked) => defaults::defaults(&asked),
        Command::Drawers(asked) => drawers::drawers(&asked),
        Command::Demo(arguments) => demo::demo(&arguments),
        Command::Completions(asked) => completions::completions(&asked),
        Command::Man(asked) => man::man(&asked, args::tree()),
    };
    // before a failure is told
    let shown = pager::show();
    told(done.and_then(|exit| shown.map(|()| exit)), json)
}

/// Whether one JSON object is wanted, whatever else of the arguments is understood.
fn wants_json(given: &[OsString]) -> bool {
    given
        .iter()
        .take_while(|word| *word != "--")
        .any(|word| word == "--json")
}

/// A failure as one object to the standard output, where machines look for it; the words for people go where they always go.
fn tell_machines(failed: &Figures) {
    if let Ok(text) = failed.to_json() {
        // a closed pipe is no further fault
        let _ = write_out(&text, false);
    }
}

/// The exit code of what was done; of a failure after it has been told.
fn told(done: Result<Exit, failure::Failure>, json: bool) -> ExitCode {
    if let Some(folder) = unsynced() {
        let folder = folder.display().to_string();
        tell_aside(&format!(
            "warning: the disk of {} can not make the names in a folder safe: what is written into the files is, but after a \
             power cut a file that was made just before may be missing; another folder: --book DIR",
            visible(&folder)
        ));
    }
    match done {
        Ok(exit) => exit.into(),
        Err(failure) => {
            let exit = failure.exit();
            if exit != Exit::Done {
                if json {
                    tell_machines(&failure.for_machines());
                }
                tell_aside(&failure.report());
            }
            exit.into()
        }
    }
}

/// What `shimwright reckon` prints for the arguments that stand behind `reckon`, or the exit code and the words of its
/// refusal; help that was asked for comes that way too, with [`Exit::Done`]. Nothing is printed; a file that the
/// arguments name is read.
///
/// ```
/// use shimwright::cli::{reckoned, Exit};
/// let words = |text: &str| text.split(' ').map(Into::into).collect::<Vec<_>>();
/// let answer = reckoned(words("convert 100lbf.ft --to N.m --json")).unwrap();
/// assert!(answer.contains("\"measure\": \"N·m\""));
/// let (exit, refusal) = reckoned(words("convert 100lbf.ft --to mm")).unwrap_err();
/// assert_eq!(exit, Exit::Usage);
/// assert!(refusal.contains("is a torque, but a length is wanted here"));
/// ```
///
/// # Errors
///
/// The exit code and the words that the program would end with.
pub fn reckoned(arguments: impl IntoIterator<Item = OsString>) -> Result<String, (Exit, String)> {
    let Some(Command::Reckon(asked)) = parsed("reckon", arguments)? else {
        return Err((Exit::Usage, "error: no calculation".to_string()));
    };
    reckon::text(&asked).map_err(|failure| (failure.exit(), failure.report()))
}

/// What `shimwright check` prints for the arguments that stand behind `check`, with the exit code that goes with it, or
/// those of its refusal. Nothing is printed and nothing is written.
///
/// ```
/// use shimwright::cli::{checked, Exit};
/// let words = |text: &str| text.split(' ').map(Into::into).collect::<Vec<_>>();
/// let (exit, refusal) = checked(words("moor-rear-0001 --book nowhere")).unwrap_err();
/// assert_eq!(exit, Exit::BadBook);
/// assert!(refusal.contains("there is no book in nowhere"));
/// ```
///
/// # Errors
///
/// The exit code and the words that the program would end with.
pub fn checked(arguments: impl IntoIterator<Item = OsString>) -> Result<(Exit, String), (Exit, String)> {
    let Some(Command::Check(asked)) = parsed("check", arguments)? else {
        return Err((Exit::Usage, "error: no check".to_string()));
    };
    match check::text(&asked) {
        Ok((exit, text, _)) => Ok((exit, text)),
        Err(failure) => Err((failure.exit(), failure.report())),
    }
}

/// What `shimwright sign` prints for the arguments that stand behind `sign`, with the clock at a time that is handed in
/// (RFC 3339), or the exit code and the words of its refusal. For tests: no argument of the program and nothing around it
/// reaches the clock that a person signs by.
///
/// ```
/// use shimwright::cli::{signed_at, Exit};
/// let words = |text: &str| text.split(' ').map(Into::into).collect::<Vec<_>>();
/// let (exit, refusal) = signed_at("2026-05-09T10:00:00Z", words("moor-rear-0001")).unwrap_err();
/// assert_eq!(exit, Exit::Usage);
/// assert!(refusal.contains("no key to sign with"));
/// ```
///
/// # Errors
///
/// The exit code and the words that the program would end with.
pub fn signed_at(
    time: &str,
    arguments: impl IntoIterator<Item = OsString>,
) -> Result<String, (Exit, String)> {
    let Some(Command::Sign(asked)) = parsed("sign", arguments)? else {
        return Err((Exit::Usage, "error: no signing".to_string()));
    };
    Clock::new(Some(time))
        .map_err(failure::Failure::from)
        .and_then(|clock| sign::text(&asked, &clock))
        .map_err(|failure| (failure.exit(), failure.report()))
}

/// The command that these arguments stand for, or the exit code and the words of the refusal.
fn parsed(
    command: &str,
    arguments: impl IntoIterator<Item = OsString>,
) -> Result<Option<Command>, (Exit, String)> {
    let named: [OsString; 2] = ["shimwright".into(), command.into()];
    let given: Vec<OsString> = named.into_iter().chain(arguments).collect();
    match args::read(&given) {
        Ok(parsed) => Ok(parsed.command),
        Err(Unread::Defaults(failure)) => Err((failure.exit(), failure.report())),
        Err(Unread::Arguments(error)) => {
            let exit = if error.use_stderr() {
                Exit::Usage
            } else {
                Exit::Done
            };
            Err((exit, misread::told(&error, &given)))
        }
    }
}
