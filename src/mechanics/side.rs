//! The two packs of a unit, by their sides.

use std::fmt;

/// One of the two packs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Side {
    /// The left pack, index 0.
    Left,
    /// The right pack, index 1.
    Right,
}

impl Side {
    /// Both sides, in the order of every pair in this module.
    pub const BOTH: [Side; 2] = [Side::Left, Side::Right];

    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }

    /// 0 for left and 1 for right.
    pub const fn index(self) -> usize {
        match self {
            Side::Left => 0,
            Side::Right => 1,
        }
    }
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Side::Left => "left",
            Side::Right => "right",
        })
    }
}
