//! How a breakaway is read, in words: which ramp works, which way that is, and what is held.

use crate::mechanics::{Direction, Held, Movement, Sense, Turned};

/// Which way a breakaway is read: by the ramp that works, and while what.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct ReadingMode {
    pub ramp: Direction,
    pub still: bool,
}

impl ReadingMode {
    pub const ALL: [(ReadingMode, &'static str); 4] = [
        (ReadingMode::of(Direction::Drive, true), "drive-still"),
        (ReadingMode::of(Direction::Drive, false), "drive-turning"),
        (ReadingMode::of(Direction::Coast, true), "coast-still"),
        (ReadingMode::of(Direction::Coast, false), "coast-turning"),
    ];

    pub const fn of(ramp: Direction, still: bool) -> ReadingMode {
        ReadingMode { ramp, still }
    }

    /// The way of one item of a procedure.
    pub fn named(item: &str) -> Option<ReadingMode> {
        let known = ReadingMode::ALL.iter().find(|(_, name)| *name == item);
        known.map(|(way, _)| *way)
    }

    pub fn movement(self) -> Movement {
        if self.still {
            Movement::First
        } else {
            Movement::Turning
        }
    }

    pub fn sense(self) -> Sense {
        Sense::that_loads(self.ramp)
    }

    /// The ramp, how an output is turned for it, and while what it is read; `turned` where it was asked which one.
    pub fn words(self, turned: Option<Turned>) -> String {
        let sense = self.sense();
        let how = match turned {
            Some(turned) => format!(
                "{turned} output turned {sense} ({} seen from the wrench)",
                as_seen(turned, sense)
            ),
            None => format!(
                "output turned {sense} (the right one {}, the left one {}, seen from the wrench)",
                as_seen(Turned::Right, sense),
                as_seen(Turned::Left, sense)
            ),
        };
        format!("{} ramp: {how}, {}", self.ramp, self.movement_words())
    }

    fn movement_words(self) -> &'static str {
        if self.still {
            "first movement"
        } else {
            "turning steadily"
        }
    }

    /// The same for a table.
    pub fn brief(self) -> String {
        let movement = if self.still { "first movement" } else { "turning" };
        format!("{} ramp, {movement}", self.ramp)
    }
}

/// The ways of holding, each with the word that an answer has for it.
pub(super) const HOLDINGS: [(Held, &str); 2] = [(Held::Case, "case"), (Held::Output, "output")];

/// The way of holding that an answer names.
pub(super) fn held_named(word: &str) -> Option<Held> {
    let known = HOLDINGS.iter().find(|(_, known)| *known == word);
    known.map(|(held, _)| *held)
}

/// The output that an answer names.
pub(super) fn turned_named(word: &str) -> Option<Turned> {
    let known = [(Turned::Left, "left"), (Turned::Right, "right")];
    let known = known.iter().find(|(_, known)| *known == word);
    known.map(|(turned, _)| *turned)
}

/// How an output is turned for one item of the breakaway, and while what it is read.
pub fn way_of_reading(item: &str) -> Option<(Sense, Movement)> {
    let way = ReadingMode::named(item)?;
    Some((way.sense(), way.movement()))
}

/// How the unit is held, in a few words.
pub(super) fn held_words(held: Held) -> &'static str {
    match held {
        Held::Case => "case held",
        Held::Output => "output held, case free",
    }
}

/// The sense of turning as seen from the wrench, which stands on the output and looks at the unit: a wheel on the right of a
/// car that drives forwards turns clockwise for who looks at it.
fn as_seen(turned: Turned, sense: Sense) -> &'static str {
    match (turned, sense) {
        (Turned::Right, Sense::Forwards) | (Turned::Left, Sense::Backwards) => "clockwise",
        _ => "anticlockwise",
    }
}
