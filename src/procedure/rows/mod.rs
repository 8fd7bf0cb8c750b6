//! The rows: one value a question, a file a subject.
//!
//! A new question is a row in the file of its subject, and a step of a procedure that fills it in. Nothing outside of these
//! files decides by which question it is: the session walks, and asks the row.

mod assembly;
mod choice;
mod dry_build;
mod found;
mod gauges;
mod gears;
mod identity;
mod learning;
mod parts;
mod plain;
mod plates;
mod press;
mod proof;
mod refit;
mod shims;
mod signatures;
mod too_close;

use super::definition::{Each, Kind};
use super::field::{Field, Subject};
use super::row::{Measurand, Reads, Row, Sight};
use crate::quantity::Dimension;
use std::fmt;

/// The subjects in the order in which files of procedures are told of their fields.
const SUBJECTS: [Subject; 16] = [
    Subject::Identity,
    Subject::Found,
    Subject::Gauges,
    Subject::Plates,
    Subject::Parts,
    Subject::Press,
    Subject::Gears,
    Subject::Shims,
    Subject::Doubtful,
    Subject::Choice,
    Subject::DryBuild,
    Subject::Assembly,
    Subject::Proof,
    Subject::Refit,
    Subject::Signatures,
    Subject::Learning,
];

fn rows_of(subject: Subject) -> &'static [(Field, Row)] {
    match subject {
        Subject::Identity => identity::ROWS,
        Subject::Found => found::ROWS,
        Subject::Gauges => gauges::ROWS,
        Subject::Plates => plates::ROWS,
        Subject::Parts => parts::ROWS,
        Subject::Press => press::ROWS,
        Subject::Gears => gears::ROWS,
        Subject::Shims => shims::ROWS,
        Subject::Doubtful => too_close::ROWS,
        Subject::Choice => choice::ROWS,
        Subject::DryBuild => dry_build::ROWS,
        Subject::Assembly => assembly::ROWS,
        Subject::Proof => proof::ROWS,
        Subject::Refit => refit::ROWS,
        Subject::Signatures => signatures::ROWS,
        Subject::Learning => learning::ROWS,
    }
}

impl Field {
    /// All that is known of it.
    pub(in crate::procedure) fn row(self) -> &'static Row {
        &rows_of(self.subject)[usize::from(self.place)].1
    }

    /// Every field.
    pub fn all() -> impl Iterator<Item = Field> {
        SUBJECTS.into_iter().flat_map(rows_of).map(|(field, _)| *field)
    }

    /// Every field with its word in procedure files.
    pub(in crate::procedure) fn words() -> Vec<(Field, &'static str)> {
        Field::all().map(|field| (field, field.word())).collect()
    }

    /// The word for it in procedure files.
    pub fn word(self) -> &'static str {
        self.row().word
    }

    /// For each of what it is asked.
    pub fn each(self) -> Option<Each> {
        self.row().each
    }

    /// What an answer is.
    pub fn kind(self) -> Kind {
        match self.row().reads {
            Reads::Text { .. } | Reads::Optional { .. } => Kind::Text,
            Reads::Name { .. } => Kind::Name,
            Reads::Done { .. } => Kind::Done,
            Reads::Word { .. } => Kind::Word,
            Reads::Order { .. } => Kind::Order,
            Reads::Choice { .. } => Kind::Choice,
            Reads::Length { .. } => Kind::Quantity(Dimension::Length),
            Reads::Torque { .. } => Kind::Quantity(Dimension::Torque),
            Reads::Force { .. } => Kind::Quantity(Dimension::Force),
            Reads::Distance { .. } => Kind::Quantity(Dimension::Distance),
            Reads::Volume { .. } => Kind::Quantity(Dimension::Volume),
            Reads::Temperature { .. } => Kind::Quantity(Dimension::Temperature),
        }
    }

    /// Whether names of people who worked before are offered for it.
    pub(in crate::procedure) fn offers_people(self) -> bool {
        matches!(self.row().reads, Reads::Name { offered: true, .. })
    }

    /// What is left out with it by Enter alone; nothing where it is no answer to say nothing.
    pub(in crate::procedure) fn left_out_with(self) -> Option<&'static [Field]> {
        match self.row().reads {
            Reads::Optional { with, .. } => Some(with),
            Reads::Text { .. }
            | Reads::Name { .. }
            | Reads::Done { .. }
            | Reads::Word { .. }
            | Reads::Order { .. }
            | Reads::Choice { .. }
            | Reads::Length { .. }
            | Reads::Torque { .. }
            | Reads::Force { .. }
            | Reads::Distance { .. }
            | Reads::Volume { .. }
            | Reads::Temperature { .. } => None,
        }
    }

    /// What an instrument is put to for it.
    pub fn measurand(self) -> Option<Measurand> {
        self.row().practice.takes
    }

    /// What there is to see where it is asked.
    pub fn sight(self) -> Option<Sight> {
        self.row().practice.sees
    }

    /// The words that answer it, where these are always the same.
    pub(in crate::procedure) fn fixed_words(self) -> &'static [&'static str] {
        match self.row().reads {
            Reads::Word { fixed, .. } => fixed,
            Reads::Text { .. }
            | Reads::Optional { .. }
            | Reads::Name { .. }
            | Reads::Done { .. }
            | Reads::Order { .. }
            | Reads::Choice { .. }
            | Reads::Length { .. }
            | Reads::Torque { .. }
            | Reads::Force { .. }
            | Reads::Distance { .. }
            | Reads::Volume { .. }
            | Reads::Temperature { .. } => &[],
        }
    }
}

impl fmt::Debug for Field {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_found_by_its_own_name_and_has_a_word_of_its_own() {
        let mut words: Vec<&str> = Vec::new();
        for subject in SUBJECTS {
            for (n, (field, row)) in rows_of(subject).iter().enumerate() {
                assert_eq!(
                    (field.subject, usize::from(field.place)),
                    (subject, n),
                    "{}",
                    row.word
                );
                assert!(std::ptr::eq(field.row(), row), "{}", row.word);
                words.push(row.word);
            }
        }
        let count = words.len();
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), count);
        assert_eq!(Field::all().count(), count);
    }
}
