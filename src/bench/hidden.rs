use super::BenchError;
use crate::seal::Secret;
use inquire::{InquireError, Password, PasswordDisplayMode};
use std::io::IsTerminal;

/// Asks for a passphrase that is not shown while it is typed, `twice` where a slip would shut a key for good. The
/// question is put on the error stream, so that the output may go into a file.
///
/// # Errors
/// [`BenchError::NoTerminal`] where nobody can type unseen; [`BenchError::Stopped`] on Esc and Ctrl-C.
pub fn hidden(question: &str, twice: bool) -> Result<Secret, BenchError> {
    if !(std::io::stdin().is_terminal() && std::io::stderr().is_terminal()) {
        return Err(BenchError::NoTerminal);
    }
    let password = Password::new(question).with_display_mode(PasswordDisplayMode::Hidden);
    let password = if twice {
        password
            .with_custom_confirmation_message("The same again:")
            .with_custom_confirmation_error_message("those were two different ones; try again")
    } else {
        password.without_confirmation()
    };
    match password.prompt() {
        Ok(text) => Ok(Secret::new(text.into_bytes())),
        Err(InquireError::OperationCanceled | InquireError::OperationInterrupted) => Err(BenchError::Stopped),
        Err(InquireError::IO(error)) => Err(BenchError::Io(error)),
        Err(_) => Err(BenchError::NoTerminal),
    }
}
