//! What is done to the terminal itself: keys that nobody read are let go of, and a process that ends leaves it as it was.

use super::BenchError;
use crossterm::event::{Event, KeyCode, KeyModifiers};
use std::time::Duration;

/// Lets go of the keys that were typed and not read yet; true when one of them was Ctrl-C. In raw mode only: else the
/// terminal keeps a line to itself until its end.
pub(super) fn forget_typed() -> std::io::Result<bool> {
    let mut stop = false;
    while crossterm::event::poll(Duration::ZERO)? {
        if let Event::Key(key) = crossterm::event::read()? {
            stop |= key.code == KeyCode::Char('c') && key.modifiers.contains(KeyModifiers::CONTROL);
        }
    }
    Ok(stop)
}

/// Lets go of the keys that were typed before a caution could be read; true when one of them was Ctrl-C.
pub(super) fn forget_typed_ahead() -> Result<bool, BenchError> {
    crossterm::terminal::enable_raw_mode()?;
    let stop = forget_typed();
    crossterm::terminal::disable_raw_mode()?;
    Ok(stop?)
}

/// A process that is told to end leaves the terminal as it found it. The threads do it once for the whole process.
#[cfg(unix)]
pub(super) fn restore_on_signals() -> Result<(), BenchError> {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM};
    static DONE: std::sync::Once = std::sync::Once::new();
    let mut outcome = Ok(());
    DONE.call_once(
        || match signal_hook::iterator::Signals::new([SIGTERM, SIGHUP, SIGINT, SIGQUIT]) {
            Err(error) => outcome = Err(error.into()),
            Ok(mut signals) => {
                std::thread::spawn(move || {
                    for signal in signals.forever() {
                        // the process ends right after this, whether or not the terminal still listens
                        let _gone = crossterm::terminal::disable_raw_mode();
                        let _gone = crossterm::execute!(
                            std::io::stderr(),
                            crossterm::event::DisableBracketedPaste,
                            crossterm::cursor::Show
                        );
                        let _gone = signal_hook::low_level::emulate_default_handler(signal);
                    }
                });
            }
        },
    );
    outcome
}

#[cfg(not(unix))]
pub(super) fn restore_on_signals() -> Result<(), BenchError> {
    Ok(())
}
