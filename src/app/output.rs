//! One rule for whatever a command puts where a person wants it.
//!
//! What is there stays, unless it is the same again, a sheet of ours of the same kind and build, or `--replace` is said.
//! Nothing is put into a book. A device or a pipe is written to, and `-` is the standard output, which the file then has
//! to itself.

use super::failure::Failure;
use super::quiet::quietly;
use crate::bench::terminal_width;
use crate::book::{
    BookError, Place, read_there, sweep_beside, write_into, write_new, write_secret, write_whole,
};
use crate::quantity::{visible, visible_lines};
use crate::report::Report;
use crate::screen::{broken, lines};
use crate::seal::Secret;
use crate::sheet::is_same_sheet;
use std::io::{self, IsTerminal, StdoutLock, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};

/// What is laid out for a narrower terminal than this is laid out for this.
const NARROWEST: usize = 40;

/// What a report comes to: its object with `json`, else its words.
pub(crate) fn text_of(report: &Report, json: bool) -> Result<String, Failure> {
    match json {
        true => Ok(report.to_json()?),
        false => Ok(lines(report, width())),
    }
}

/// Writes to the terminal or the pipe; to the error stream where `aside`. A terminal is given nothing that steers it:
/// tables and JSON for other programs have the bytes as they are only where a program takes them.
pub(crate) fn write_out(text: &str, aside: bool) -> Result<(), Failure> {
    let shown = |terminal: bool| match terminal {
        true => visible_lines(text),
        false => text.into(),
    };
    if aside {
        let mut out = io::stderr().lock();
        let text = shown(out.is_terminal());
        out.write_all(text.as_bytes())?;
    } else if let Some(held) = &mut *HELD_BACK.lock().unwrap_or_else(PoisonError::into_inner) {
        held.push_str(text);
    } else {
        let mut out = io::stdout().lock();
        let text = shown(out.is_terminal());
        out.write_all(text.as_bytes())?;
        out.flush()?;
    }
    Ok(())
}

/// Tells on the error stream what was not done, or what may go wrong: in lines as wide as the terminal, and into a pipe or a file
/// as it is. That nobody takes it is no further fault.
pub(crate) fn tell_aside(words: &str) {
    let mut out = io::stderr().lock();
    let text = match out.is_terminal() {
        true => broken(words, terminal_width().max(NARROWEST)),
        false => words.to_string(),
    };
    let _ = writeln!(out, "{text}");
}

/// What is held back of what goes to the standard output; nothing where it is written at once.
static HELD_BACK: Mutex<Option<String>> = Mutex::new(None);

/// Holds back from now on what goes to the standard output, for whoever shows it.
pub(crate) fn hold_back() {
    *HELD_BACK.lock().unwrap_or_else(PoisonError::into_inner) = Some(String::new());
}

/// Gives what was held back, and holds back nothing more.
pub(crate) fn held_back() -> Option<String> {
    HELD_BACK.lock().unwrap_or_else(PoisonError::into_inner).take()
}

/// How many columns there are for words and tables: as many as the terminal has, and 80 into a pipe or a file.
pub(crate) fn width() -> usize {
    match io::stdout().is_terminal() {
        true => terminal_width().max(NARROWEST),
        false => 80,
    }
}

/// The most bytes of a file that is there which are looked at.
const MOST: u64 = 64 << 20;

/// What may be written over.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Over {
    /// Nothing but the same once more.
    Nothing,
    /// A sheet of ours, untouched, of the same kind and build.
    Own,
    /// Whatever is there: somebody said so.
    All,
}

impl Over {
    /// `--replace`, or else what is said here.
    pub fn or(self, replace: bool) -> Over {
        if replace { Over::All } else { self }
    }
}

/// Where something was put, and so where the words about it go.
#[derive(Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Laid {
    on_output: bool,
}

impl Laid {
    /// Both of two things that were put somewhere.
    pub fn and(self, other: Laid) -> Laid {
        Laid {
            on_output: self.on_output || other.on_output,
        }
    }

    /// Says what else there is to say: on the error stream where the standard output is the file's.
    pub fn say(self, text: &str) -> Result<(), Failure> {
        write_out(text, self.on_output)
    }
}

/// A word as a shell takes it for one.
pub(crate) fn shell_word(text: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || "./_-".contains(c);
    match !text.is_empty() && text.chars().all(plain) {
        true => text.to_string(),
        false => format!("'{}'", visible(text).replace('\'', "'\\''")),
    }
}

/// A command of the program as it can be copied: with the name and the book that this one was given, on a line of its own that
/// only the terminal breaks.
pub(crate) fn to_copy(command: &str, by: Option<&str>, book: Option<&PathBuf>) -> String {
    let by = by.map_or(String::new(), |by| format!(" --by {}", shell_word(by)));
    let book = book.map_or(String::new(), |dir| {
        format!(" --book {}", shell_word(&dir.display().to_string()))
    });
    format!("{command}{by}{book}")
}

/// A path as it is told.
pub(crate) fn told(path: &Path) -> String {
    match Place::of(path) {
        Ok(Place::Standard) => "the standard output".to_string(),
        _ => visible(&path.display().to_string()).into_owned(),
    }
}

/// Puts a file where it is wanted.
pub(crate) fn lay_down(path: &Path, bytes: &[u8], over: Over) -> Result<Laid, Failure> {
    match may_lay_down(path, bytes, over)? {
        Place::Standard => return on_output(bytes),
        Place::Stream => write_into(path, bytes),
        Place::Free => {
            sweep(path)?;
            write_new(path, bytes)
        }
        Place::Taken => {
            sweep(path)?;
            write_whole(path, bytes)
        }
    }
    .map_err(refused)?;
    Ok(Laid::default())
}

/// Whether a file could be put there now, and what is there.
pub(crate) fn may_lay_down(path: &Path, bytes: &[u8], over: Over) -> Result<Place, Failure> {
    let place = Place::of(path).map_err(refused)?;
    if place == Place::Taken && !may_go(path, bytes, over) {
        return Err(Failure::Exists(path.display().to_string()));
    }
    Ok(place)
}

/// Why something was not put where it was wanted.
pub(crate) fn refused(fault: BookError) -> Failure {
    match fault {
        BookError::Exists { path } => Failure::Exists(path.display().to_string()),
        other => Failure::Written(other),
    }
}

/// Puts a private file where it is wanted. What is there stays, whatever it is.
pub(crate) fn lay_down_secret(path: &Path, secret: &Secret) -> Result<Laid, Failure> {
    match secret_place(path)? {
        Place::Standard => return on_output(secret.bytes()),
        Place::Stream => write_into(path, secret.bytes()).map_err(Failure::Written)?,
        Place::Free | Place::Taken => write_secret(path, secret).map_err(Failure::File)?,
    }
    Ok(Laid::default())
}

/// Where a private file would go: told before anything is typed.
pub(crate) fn secret_place(path: &Path) -> Result<Place, Failure> {
    match Place::of(path).map_err(Failure::Written)? {
        Place::Taken => Err(Failure::KeyExists(path.to_path_buf())),
        place => Ok(place),
    }
}

fn may_go(path: &Path, bytes: &[u8], over: Over) -> bool {
    let Ok(old) = read_there(path, MOST) else {
        return over == Over::All;
    };
    match over {
        Over::All => true,
        Over::Own => old == bytes || quietly(|| is_same_sheet(&old, bytes)) == Some(true),
        Over::Nothing => old == bytes,
    }
}

fn on_output(bytes: &[u8]) -> Result<Laid, Failure> {
    on_output_by(|out| out.write_all(bytes))
}

/// Writes a file onto the standard output, where one file can stand.
pub(crate) fn on_output_by(
    write: impl FnOnce(&mut StdoutLock<'_>) -> io::Result<()>,
) -> Result<Laid, Failure> {
    static TAKEN: AtomicBool = AtomicBool::new(false);
    if TAKEN.swap(true, Ordering::Relaxed) {
        return Err(Failure::OutputTaken);
    }
    let mut out = io::stdout().lock();
    write(&mut out)?;
    out.flush()?;
    Ok(Laid { on_output: true })
}

/// Removes what a program that was ended while it wrote here has left, and says so.
pub(crate) fn sweep(path: &Path) -> Result<(), Failure> {
    say_swept(&sweep_beside(path))
}

/// Says what was removed.
pub(crate) fn say_swept(leftovers: &[PathBuf]) -> Result<(), Failure> {
    for leftover in leftovers {
        let name = visible(&leftover.display().to_string()).into_owned();
        write_out(&format!("the leftover {name} was removed\n"), true)?;
    }
    Ok(())
}
