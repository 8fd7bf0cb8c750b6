//! What stands of the rail on a terminal.

use super::BenchError;
use super::terminal::Unechoed;
use crate::procedure::Reply;

/// The rail as it stands on the screen.
#[derive(Default)]
pub(super) struct OnScreen {
    /// Nobody sees what is typed between two prompts, so that the lines can be counted.
    unechoed: Option<Unechoed>,
    /// How many lines stand from the first of the rail down to the cursor, and on a screen of which size.
    pub drawn: Option<(usize, (u16, u16))>,
    /// What has been said since it was drawn.
    pub said: String,
    /// What was asked beside the row that is being typed, with what it told: that stands until a row is taken.
    beside: Vec<(&'static str, String)>,
    asked: Option<&'static str>,
    row_went: bool,
}

/// What is asked beside a row, and looked at while it is typed.
fn beside(reply: &Reply) -> Option<&'static str> {
    match reply {
        Reply::Take => Some("take"),
        Reply::Look => Some("look"),
        Reply::Hint => Some("hint"),
        Reply::Words(_) => Some("words"),
        _ => None,
    }
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

    /// A row goes to who asks.
    pub fn row_goes(&mut self) {
        self.row_went = true;
    }

    /// What was sent was not taken: what was looked at for it is still wanted.
    pub fn row_refused(&mut self) {
        self.row_went = false;
    }

    /// Something beside the row is asked.
    pub fn asks(&mut self, reply: &Reply) {
        self.asked = beside(reply);
    }

    /// What stands under the rail: what has been said since it was drawn, and what was asked beside the row.
    pub fn standing(&mut self) -> String {
        let said = std::mem::take(&mut self.said);
        if std::mem::take(&mut self.row_went) {
            self.beside.clear();
        }
        let last = match self.asked.take() {
            Some(what) => {
                self.beside.retain(|(known, _)| *known != what);
                self.beside.push((what, said));
                String::new()
            }
            None => said,
        };
        let beside: String = self.beside.iter().map(|(_, told)| told.as_str()).collect();
        beside + &last
    }

    /// Leaves the rail; gives what was said last and nobody has seen.
    pub fn leave(&mut self) -> String {
        self.unechoed = None;
        self.drawn = None;
        self.beside.clear();
        std::mem::take(&mut self.said)
    }
}
