//! The rail on a terminal: the plates drawn above one prompt, and drawn over when a line has been taken.
//!
//! Nobody asks the terminal where its cursor is: the answer would come among the keys, where a gauge types. How many lines
//! were drawn is known instead; where that can not be, the rail is drawn anew below.

use super::control::{Word, control, help};
use super::interactive::{Interactive, Typed, parted};
use super::rail::{NARROWEST_RAIL, changed_rows, over, rows, under};
use super::{BenchError, Front};
use crate::procedure::{Ask, Rail, Refusal, Reply};
use crate::quantity::visible;
use crate::record::phrase::Phrase;
use crate::screen::columns;
use std::cell::RefCell;
use std::rc::Rc;
use std::time::Instant;

/// The lines that a prompt takes, with what says what else may be typed.
const PROMPT: usize = 4;

impl Interactive {
    /// Puts the rail, and waits for a row.
    pub(super) fn ask_row(&mut self, ask: &Ask, rail: &Rail) -> Result<Reply, BenchError> {
        self.rail.enter()?;
        self.forget_shown();
        loop {
            let line = match self.next_row() {
                Some(line) => line,
                None => {
                    let stood = self.draw(ask, rail)?;
                    let draft: Rc<RefCell<String>> = Rc::default();
                    let hint = if stood {
                        ask.spoken.say(Phrase::RailHint)
                    } else {
                        ask.spoken.say(Phrase::NextPlate)
                    };
                    match self.line(&rail.next, None, hint, &draft)? {
                        Typed::Line(text) => {
                            let (over, prompt) = parted(&rail.next);
                            self.count(&over, &format!("> {prompt} {}", visible(&text)));
                            self.keep_pasted(&text)
                        }
                        Typed::Stop => {
                            self.leave_rail()?;
                            return self.paused();
                        }
                        Typed::Menu => {
                            // the list takes lines that nobody counts
                            self.leave_rail()?;
                            match self.menu(ask)? {
                                Some(reply) => return Ok(reply),
                                None => return self.ask_row(ask, rail),
                            }
                        }
                    }
                }
            };
            match control(&line, &ask.spoken) {
                Ok(Word::Answer) => match self.too_soon(rail, &line) {
                    None => {
                        self.rail.row_goes();
                        return Ok(Reply::Row(line));
                    }
                    Some(refusal) => self.refuse(&refusal)?,
                },
                Ok(Word::Reply(Reply::Pause)) => {
                    self.leave_rail()?;
                    return self.paused();
                }
                Ok(Word::Reply(reply)) => {
                    self.rail.asks(&reply);
                    return Ok(reply);
                }
                Ok(Word::Help) => self.rail.say(&help(&ask.spoken)),
                Err(words) => self.refuse(&Refusal {
                    words,
                    sure: false,
                    suggests: false,
                })?,
            }
        }
    }

    fn too_soon(&mut self, rail: &Rail, line: &str) -> Option<Refusal> {
        // what was pasted was not pressed
        if self.is_pasting() {
            return None;
        }
        self.gauge.too_soon(rail, line, Instant::now())
    }

    /// Leaves the rail, and says what was not seen yet.
    pub(super) fn leave_rail(&mut self) -> Result<(), BenchError> {
        let said = self.rail.leave();
        self.write(&said)
    }

    /// Draws the rail over itself, or below; whether it could be drawn at all.
    fn draw(&mut self, ask: &Ask, rail: &Rail) -> Result<bool, BenchError> {
        let size = crossterm::terminal::size().unwrap_or((80, 24));
        let (width, height) = (usize::from(size.0), usize::from(size.1));
        let said = self.rail.standing();
        if width < NARROWEST_RAIL {
            self.rail.drawn = None;
            let changed: Vec<String> = changed_rows(rail)
                .iter()
                .map(|line| format!("{line}\n"))
                .collect();
            self.write(&format!("{}{said}", changed.concat()))?;
            return Ok(false);
        }
        let (head, foot) = (
            over(ask, rail, width, self.colour),
            under(ask, rail, width, self.colour),
        );
        let text = format!("{head}\n");
        let taken = text.lines().count() + said.lines().count() + foot.lines().count() + PROMPT + 1;
        let shown = rows(rail, width, height.saturating_sub(taken));
        let text = format!("{text}{}\n\n{said}{foot}", shown.join("\n"));
        let up = match self.rail.drawn {
            // lines that have left the screen can not be gone up to
            Some((lines, before)) if before == size && lines < height => format!("\x1b[{lines}A\r\x1b[J"),
            _ => "\n".to_string(),
        };
        self.write(&format!("{up}{text}"))?;
        self.rail.drawn = Some((text.lines().count(), size));
        Ok(true)
    }

    /// Counts the lines over a prompt, and those of the answered prompt.
    fn count(&mut self, over: &str, answered: &str) {
        if let Some((lines, (wide, _))) = &mut self.rail.drawn {
            *lines += over.lines().count();
            *lines += columns(answered).div_ceil(usize::from(*wide).max(1)).max(1);
        }
    }
}
