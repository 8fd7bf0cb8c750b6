//! Who is at work: asked again when nobody has answered for long, by the times that are handed in.

use super::ask::{Ask, Expects, Why};
use super::session::Session;
use crate::quantity::seconds_of;

/// After so many seconds without an answer, somebody else may stand at the bench: four hours (*common practice, no source*:
/// longer than a meal, shorter than a night).
const LONG: i64 = 4 * 3_600;

impl Session {
    /// Whether a hand types the answers: then rows are asked for, and who works is asked again after a long pause. A file and
    /// a form have their own order.
    pub fn by_hand(&mut self, by_hand: bool) {
        self.in_hand.by_hand = by_hand;
        self.by_rows(by_hand);
    }

    /// The question of who works from here on, where the last entry lies so long before `now` that it may be somebody else;
    /// nothing where no hand types, before anybody is known, in practice, and once it has been answered. A name is given to the session as
    /// [`Reply::Who`](super::Reply::Who); an empty answer, that it is the one who worked before, as [`Session::stays`].
    pub fn who_again(&self, now: &str) -> Option<Ask> {
        let by = self.state.by();
        let since = match &self.in_hand.stays {
            Some(at) => at,
            None => self.state.last_at(),
        };
        let gone = seconds_of(now)? - seconds_of(since)?;
        if !self.in_hand.by_hand || gone < LONG || by.is_empty() || self.state.practice.is_some() {
            return None;
        }
        let mut ask = self.ask()?;
        let hours = gone / 3_600;
        let long = match hours {
            ..48 => format!("{hours} h"),
            _ => format!("{} days", hours / 24),
        };
        ask.words = vec![format!(
            "{long} since the last answer, which was {by}'s. Who works from here on?"
        )];
        ask.prompt = format!("Name (before: {by}; Enter keeps it)");
        ask.expects = Expects::Text { optional: false };
        ask.before = Some(by.to_string());
        ask.why = Why {
            reason: "Each answer has the name of who gave it.".to_string(),
            formula: Vec::new(),
        };
        ask.tools.clear();
        ask.limits.clear();
        ask.table = None;
        ask.drawing.clear();
        (ask.guarded, ask.may_skip, ask.rail) = (false, false, None);
        Some(ask)
    }

    /// Takes in that whoever worked before does so still; nothing is written.
    pub fn stays(&mut self, now: &str) {
        self.in_hand.stays = Some(now.to_string());
    }
}
