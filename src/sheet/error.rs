//! What keeps a sheet from being made into a PDF.

/// Why a sheet could not be made into a PDF.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum SheetError {
    /// A font that can not be read or cut.
    #[error("the font {font} can not be used: {why}")]
    Font {
        /// The font.
        font: String,
        /// What is wrong with it.
        why: String,
    },
    /// A page that can not be written.
    #[error("the pages can not be written: {why}")]
    Write {
        /// What is wrong.
        why: String,
    },
}

/// What a library says of pages that it can not write.
pub(super) fn failed(why: impl ToString) -> SheetError {
    SheetError::Write { why: why.to_string() }
}
