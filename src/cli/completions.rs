//! `completions`: what a shell completes.

use super::exit::Exit;
use super::failure::Failure;
use crate::app::output::write_out;
use clap::{Args, Command};
use clap_complete::Shell;

#[derive(Args)]
pub(super) struct Completions {
    /// The shell
    pub shell: Shell,
}

/// Prints the script that makes a shell complete the commands of the program, their options and their words.
pub(super) fn completions(arguments: &Completions, mut program: Command) -> Result<Exit, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(arguments.shell, &mut program, "shimwright", &mut script);
    write_out(&String::from_utf8_lossy(&script), false)?;
    Ok(Exit::Done)
}
