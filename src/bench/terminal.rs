//! What is done to the terminal itself: keys that nobody read are let go of, and a process that ends leaves it as it was.

use super::BenchError;
use crossterm::event::{Event, KeyCode, KeyModifiers};
use std::sync::atomic::{AtomicBool, Ordering};
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

/// Whether the terminal does not show what is typed, by our wish.
static ECHO_OFF: AtomicBool = AtomicBool::new(false);

/// A terminal that does not show what is typed outside of a prompt: a gauge that types between two of them would move the
/// lines that are drawn over. It shows it again when this is dropped, by a panic too.
pub(super) struct Unechoed(());

impl Unechoed {
    pub(super) fn begin() -> Result<Unechoed, BenchError> {
        ECHO_OFF.store(true, Ordering::SeqCst);
        echo(false)?;
        Ok(Unechoed(()))
    }
}

impl Drop for Unechoed {
    fn drop(&mut self) {
        // a terminal that is gone shows nothing anyway
        let _gone = echo(true);
        ECHO_OFF.store(false, Ordering::SeqCst);
    }
}

/// Lets the terminal of the standard input show what is typed, or not.
#[cfg(unix)]
fn echo(shown: bool) -> std::io::Result<()> {
    use rustix::termios::{LocalModes, OptionalActions, tcgetattr, tcsetattr};
    let keys = std::io::stdin();
    let mut modes = tcgetattr(&keys)?;
    modes.local_modes.set(LocalModes::ECHO, shown);
    tcsetattr(&keys, OptionalActions::Now, &modes)?;
    Ok(())
}

#[cfg(not(unix))]
fn echo(_: bool) -> std::io::Result<()> {
    Ok(())
}

/// Another program in front of this one, such as a pager: as long as this lives, Ctrl-C is for that one and does not end this.
#[derive(Debug)]
pub struct InFront {
    #[cfg(unix)]
    _kept: Option<signal_hook::SigId>,
}

impl InFront {
    /// From now on.
    #[cfg(unix)]
    pub fn begin() -> InFront {
        let heard = std::sync::Arc::new(AtomicBool::new(false));
        InFront {
            _kept: signal_hook::flag::register(signal_hook::consts::SIGINT, heard).ok(),
        }
    }

    /// From now on.
    #[cfg(not(unix))]
    pub fn begin() -> InFront {
        InFront {}
    }
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
                        if ECHO_OFF.load(Ordering::SeqCst) {
                            let _gone = echo(true);
                        }
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
