//! What a session keeps of the rail that is no record.

use super::typed::Odd;

/// The plate in hand, what was odd in the last line, which rows it changed.
#[derive(Default)]
pub(super) struct InHand {
    pub by_rows: bool,
    /// Whether a hand types the answers.
    pub by_hand: bool,
    pub plate: Option<String>,
    pub odd: Vec<Odd>,
    pub changed: Vec<String>,
    /// What was odd behind other answers of its line, which are taken first.
    pub odd_behind: Option<Odd>,
    /// Since when it is known, by no entry, that whoever worked before does so still.
    pub stays: Option<String>,
}
