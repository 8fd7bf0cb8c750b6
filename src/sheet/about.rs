//! What a file is told of itself before it is written.

use super::attachments::Record;

/// What a file says of itself.
#[derive(Clone, Copy)]
pub(super) struct About<'a> {
    /// Its title.
    pub title: &'a str,
    /// The language of its words, as BCP 47 has it.
    pub language: &'a str,
    /// The record that is put into it.
    pub record: Option<Record<'a>>,
}

impl<'a> About<'a> {
    /// Of what is told in the language of the program.
    pub fn english(title: &'a str) -> About<'a> {
        About {
            title,
            language: "en-GB",
            record: None,
        }
    }
}
