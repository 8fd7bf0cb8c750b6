//! Where records are kept: shelf, journal, whole files, locks, recovery. It knows no entry's meaning.
//!
//! A [`Shelf`] is a folder; each build is a folder on it, named by its [`BuildId`]:
//!
//! ```text
//! shelf/
//!   log.jsonl              the log of the machine that began the book: a line for each thing that happens to a build
//!   log-K7.jsonl           the log of another machine
//!   allowed_signers, ...   who is who, keys that are revoked, rotations of keys, rules: files of whoever keeps the book
//!   .gitattributes         so that git changes no byte of it
//!   .lock                  held for the moment in which a build is begun
//!   .locks/                an empty file for each build that was ever open, and for each log: the lock on it
//!   .index/                what was worked out from the builds; may be thrown away
//!   .to-do/                a note for each build that is finished and of which something is still to be done
//!   gt-rear-0001/
//!     unit.toml, ...       the snapshot: files as they were when the build was begun
//!     journal.jsonl        the journal, one line an entry
//!     held-by              who has the build open: only words, the lock is what counts
//!     journal.torn-1       what a power cut left half-written, if ever
//!     seal-1.txt           a statement that was signed, if ever
//!     seal-1.txt.sig       and its signature
//! ```
//!
//! A line of the journal is exactly
//!
//! ```text
//! {"v":1,"n":7,"was":"<SHA-256 of line 6 without its newline>","entry":{...}}
//! ```
//!
//! followed by a newline; the first line's `was` is the digest of no bytes at all. The frame is read by its exact text,
//! so the bytes of the entry are the bytes that were digested. `v` is the lowest version whose readers understand the
//! entry; what each added stands in `record/formats.rs`. A line is written with one write and synced before
//! [`Journal::append`] returns.
//!
//! What can be found on opening:
//! - **A torn last line** (cut short, or not a frame): moved whole to `journal.torn-<n>`, cut off, told as
//!   [`Repair::Torn`]. An entry whose `append` returned is never among it, unless a later fault of the disk or a hand
//!   damaged it. No part of a line is itself a whole line, because a line is one object whose brackets close only at
//!   its end; so a last line that lacks nothing but its newline is whole, and is kept ([`Repair::Completed`]).
//! - **An altered line** (wrong number, or the next line's `was` does not match): [`BookError::Altered`]; nothing is
//!   written, and reading gives the entries before it.
//! - **A second journal** beside it (`journal 2.jsonl`): [`BookError::Second`]; nothing is written and
//!   nothing is merged, both stay as they are.
//! - **A version above those that are known** ([`Problem::Newer`]): a newer program wrote it. It is read as far as the
//!   frame is the same, never told as altered and never written to ([`BookError::Newer`]).
//!
//! What can not be found here: no line follows the last one, so a change inside the last entry that leaves its brackets
//! closed goes unseen, and so does the loss of whole lines at the end. A seal over the whole journal at sign-off covers
//! both. Nor does the chain stop someone who writes the whole journal anew, and it does not cover the files of the
//! snapshot: whoever needs that puts their digests into the first entry.
//!
//! The lock is the system's own on a file in `.locks`, so it ends with the program that holds it, however that ends, and bars
//! nobody from reading the build. Where a lock on `journal.jsonl` itself bars nobody either, it is held as well: programs before
//! look at that one only.
//!
//! The whole book goes into one file and out of it again (`backup`); `archive` has the form of that file.
//!
//! A new thing that lies beside a journal: its name and its rule for writing in `shelf`, with the test that cuts it off after
//! every byte. What stands in an entry is for `record`.

mod archive;
mod archive_fault;
mod backup;
mod error;
mod files;
mod frame;
mod held_by;
mod holder;
mod id;
mod index;
mod journal;
mod kept_lines;
mod lock;
mod log;
mod names;
mod outside;
mod remembered;
mod secrets;
mod shelf;
mod tail;

pub use archive_fault::ArchiveFault;
pub use backup::{
    Backup, LeftOut, MadeBackup, backup_of, is_backup, is_private_key, make_backup, restore, sweep_unpacked,
};
pub use error::BookError;
pub use files::{
    read_bounded, sweep_beside, temporary_folder, time_zone_ends, unsynced, write_new, write_whole,
};
pub use frame::{Problem, Reading, Second, with_own_ends};
pub use holder::Holder;
pub use id::{BuildId, slug};
pub use index::{Index, WorkedOut};
pub use journal::{Journal, Repair};
pub use kept_lines::append_line;
pub use log::Log;
pub use outside::{
    Place, STANDARD, is_taken, make_folder, names_beside, others_may_write, read_input, read_input_bytes,
    read_there, take_away, variable, write_into,
};
pub use remembered::Remembered;
pub use secrets::{read_secret, write_secret};
pub use shelf::{Contents, NamedAfter, Shelf};
