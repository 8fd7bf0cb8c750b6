//! The command-line program; everything it does is in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    shimwright::cli::run(std::env::args_os())
}
