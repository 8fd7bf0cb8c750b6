use super::args::Arguments;
use super::exit::Exit;
use super::failure::Failure;
use super::output::write_out;
use clap::{Args, CommandFactory};
use clap_complete::Shell;

#[derive(Args)]
pub(super) struct Completions {
    /// The shell
    pub shell: Shell,
}

/// Prints the script that makes a shell complete the commands, their options and their words.
pub(super) fn completions(arguments: &Completions) -> Result<Exit, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(
        arguments.shell,
        &mut Arguments::command(),
        "shimwright",
        &mut script,
    );
    write_out(&String::from_utf8_lossy(&script), false)?;
    Ok(Exit::Done)
}
