//! The program as it was built: the one place that knows where it lies.

use std::process::Command;

/// The program, to be given its arguments.
pub fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_shimwright"))
}
