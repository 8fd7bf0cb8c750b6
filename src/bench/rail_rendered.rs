//! What stands of the rail on a terminal.

use super::BenchError;
use super::terminal::Unechoed;

/// The rail as it stands on the screen.
#[derive(Default)]
pub(super) struct OnScreen {
    /// Nobody sees what is typed between two prompts, so that the lines can be counted.
    unechoed: Option<Unechoed>,
    /// How many lines stand from the first of the rail down to the cursor, and on a screen of which size.
    pub drawn: Option<(usize, (u16, u16))>,
    /// What has been said since it was drawn.
    pub said: String,
}

impl OnScreen {
    /// Enters the rail, where it has not been entered yet.
    pub fn enter(&mut self) -> Result<(), BenchError> {
        if self.unechoed.is_none() {
            self.unechoed = Some(Unechoed::begin()?);
        }
        Ok(())
    }

    /// Whether the rail is what is asked just now.
    pub fn is_on(&self) -> bool {
        self.unechoed.is_some()
    }

    /// Keeps what is said for the next drawing.
    pub fn say(&mut self, text: &str) {
        self.said.push_str(text);
    }

    /// Leaves the rail; gives what was said last and nobody has seen.
    pub fn leave(&mut self) -> String {
        self.unechoed = None;
        self.drawn = None;
        std::mem::take(&mut self.said)
    }
}
