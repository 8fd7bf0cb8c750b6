//! Why a file is not a whole backup of a book.

use crate::record::formats::BACKUP;
use std::io;

/// Why a file is not a whole backup.
#[derive(Debug, thiserror::Error)]
pub enum ArchiveFault {
    /// It does not begin as one.
    #[error("it is no backup of a book")]
    Other,
    /// A newer program made it.
    #[error("a newer program made this backup, in format {0}, and up to {newest} is known here", newest = BACKUP.newest())]
    Newer(u32),
    /// It ends before its end.
    #[error("the backup is cut off after {0} bytes")]
    Cut(u64),
    /// It is not as it was written.
    #[error("the backup is not as it was written: {what}, at byte {at}")]
    Altered {
        /// What is wrong.
        what: &'static str,
        /// Where the entry begins in which it was seen, counted from 0.
        at: u64,
    },
    /// It can not be read or written.
    #[error("{0}")]
    Io(#[from] io::Error),
}
