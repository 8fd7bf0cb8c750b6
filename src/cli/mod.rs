//! Arguments, wiring, exit codes, error reports.

mod args;
mod choose;
mod demo;
mod exit;
mod failure;
mod load;
mod reports;
mod work;

pub use exit::Exit;

use args::{Arguments, Command};
use clap::Parser;
use std::ffi::OsString;
use std::io::Write;
use std::process::ExitCode;

/// Runs the program with its arguments, the first of which is the program's own name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            let exit = if error.use_stderr() {
                Exit::Usage
            } else {
                Exit::Done
            };
            // help into a closed pipe is no fault
            let _ = error.print();
            return exit.into();
        }
    };
    let done = match arguments.command {
        Command::Work(work) => work::work(&work),
        Command::Choose(arguments) => choose::choose(&arguments),
        Command::Sheet(sheet) => reports::sheet(&sheet),
        Command::Builds(builds) => reports::builds(&builds),
        Command::Demo => demo::demo(),
    };
    match done {
        Ok(exit) => exit.into(),
        Err(failure) => {
            let exit = failure.exit();
            if exit != Exit::Done {
                let _ = writeln!(std::io::stderr(), "{}", failure.report());
            }
            exit.into()
        }
    }
}
