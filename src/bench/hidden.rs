//! A passphrase, typed unseen.

use super::BenchError;
use super::terminal::{forget_typed, restore_on_signals};
use crate::quantity::visible;
use crate::seal::Secret;
use crossterm::event::{
    DisableBracketedPaste, EnableBracketedPaste, Event, KeyCode, KeyEventKind, KeyModifiers,
};
use crossterm::terminal::{disable_raw_mode, enable_raw_mode};
use std::io::{IsTerminal, Write};

/// The most bytes of a passphrase that is typed.
const MOST: usize = 4096;

/// A terminal that shows nothing of what is typed, from before the first question until this is dropped.
///
/// So what is typed while a passphrase is tried stays unseen too, and counts for the next question. What was typed
/// before the first one, or is left at the end, is let go of: it may stand on the screen, or was not meant for what
/// reads next. The questions are put on the error stream, so that the output may go into a file. A process that is
/// told to end leaves the terminal as it was.
#[derive(Debug)]
pub struct Unseen(());

impl Unseen {
    /// Takes the terminal.
    ///
    /// # Errors
    /// [`BenchError::NoTerminal`] where nobody can type unseen; [`BenchError::Stopped`] on a Ctrl-C that waited.
    pub fn begin() -> Result<Unseen, BenchError> {
        if !(std::io::stdin().is_terminal() && std::io::stderr().is_terminal()) {
            return Err(BenchError::NoTerminal);
        }
        restore_on_signals()?;
        enable_raw_mode()?;
        let unseen = Unseen(());
        crossterm::execute!(std::io::stderr(), EnableBracketedPaste)?;
        if forget_typed()? {
            return Err(BenchError::Stopped);
        }
        Ok(unseen)
    }

    /// Asks for a passphrase of at most 4096 bytes; what is typed beyond them is not taken, with a beep. Backspace
    /// takes a character back, Ctrl-U all of them. What is pasted counts up to the end of its first line.
    ///
    /// # Errors
    /// [`BenchError::Stopped`] on Esc, Ctrl-C and Ctrl-D.
    pub fn ask(&mut self, question: &str) -> Result<Secret, BenchError> {
        self.write(&format!("{} ", visible(question)))?;
        let answer = self.typed();
        self.write("\r\n")?;
        answer
    }

    /// Asks twice, until both are the same: where a slip would shut a key for good.
    ///
    /// # Errors
    /// As [`Unseen::ask`].
    pub fn ask_twice(&mut self, question: &str) -> Result<Secret, BenchError> {
        loop {
            let first = self.ask(question)?;
            if self.ask("The same again:")? == first {
                return Ok(first);
            }
            self.say("those were two different ones; try again")?;
        }
    }

    /// Tells something between two questions.
    ///
    /// # Errors
    /// When it can not be written.
    pub fn say(&mut self, words: &str) -> Result<(), BenchError> {
        self.write(&format!("{}\r\n", visible(words)))
    }

    /// Gives the terminal back, and says whether the last that was typed was to stop.
    ///
    /// # Errors
    /// [`BenchError::Stopped`] on a Ctrl-C that came after the last answer.
    pub fn end(self) -> Result<(), BenchError> {
        if forget_typed()? {
            return Err(BenchError::Stopped);
        }
        Ok(())
    }

    fn typed(&mut self) -> Result<Secret, BenchError> {
        let mut secret = Secret::with_room(MOST);
        loop {
            let all_taken = match crossterm::event::read()? {
                Event::Paste(text) => {
                    let text = Secret::new(text.into_bytes()).first_line();
                    String::from_utf8_lossy(text.bytes())
                        .chars()
                        .all(|c| secret.push(c))
                }
                Event::Key(key) if key.kind != KeyEventKind::Release => {
                    let control = key.modifiers.contains(KeyModifiers::CONTROL)
                        && !key.modifiers.contains(KeyModifiers::ALT);
                    match key.code {
                        KeyCode::Enter => return Ok(secret),
                        KeyCode::Char('j' | 'm') if control => return Ok(secret),
                        KeyCode::Esc => return Err(BenchError::Stopped),
                        KeyCode::Char('c' | 'd') if control => return Err(BenchError::Stopped),
                        KeyCode::Char('u') if control => {
                            secret.clear();
                            true
                        }
                        KeyCode::Char('h') if control => secret.pop(),
                        KeyCode::Backspace => secret.pop(),
                        KeyCode::Char(c) if !control => secret.push(c),
                        _ => true,
                    }
                }
                _ => true,
            };
            if !all_taken {
                self.write("\u{7}")?;
            }
        }
    }

    fn write(&self, text: &str) -> Result<(), BenchError> {
        let mut out = std::io::stderr().lock();
        out.write_all(text.as_bytes())?;
        out.flush()?;
        Ok(())
    }
}

impl Drop for Unseen {
    fn drop(&mut self) {
        // a terminal that is gone needs nothing any more
        let _gone = forget_typed();
        let _gone = crossterm::execute!(std::io::stderr(), DisableBracketedPaste);
        let _gone = disable_raw_mode();
    }
}
