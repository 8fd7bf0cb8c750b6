//! The name of a question that fills something of the record in.

use std::cmp::Ordering;

/// A quantity of the record that a step can fill in: which row of which subject has all that is known of it.
///
/// It can not be matched on. What differs from one question to the next stands in its row, where a new one can not leave it
/// out.
#[derive(Clone, Copy, Eq)]
pub struct Field {
    pub(super) subject: Subject,
    pub(super) place: u8,
}

/// What a question is about: a file of rows each.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Subject {
    Identity,
    Found,
    Gauges,
    Plates,
    Parts,
    Press,
    Gears,
    Shims,
    Doubtful,
    Choice,
    DryBuild,
    Assembly,
    Proof,
    Refit,
    Signatures,
    Learning,
}

impl Field {
    pub(super) const fn of(subject: Subject, place: u8) -> Field {
        Field { subject, place }
    }
}

// by hand: a constant of a type that derives it could stand in a pattern
impl PartialEq for Field {
    fn eq(&self, other: &Field) -> bool {
        self.cmp(other).is_eq()
    }
}

impl PartialOrd for Field {
    fn partial_cmp(&self, other: &Field) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Field {
    fn cmp(&self, other: &Field) -> Ordering {
        (self.subject, self.place).cmp(&(other.subject, other.place))
    }
}
