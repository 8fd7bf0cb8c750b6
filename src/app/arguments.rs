//! What several jobs are told in the same words, as plain values.

use crate::bench::{Colour, colour_wanted};
use crate::quantity::Units;
use std::path::PathBuf;

/// How questions are put and answered.
pub(crate) struct Asking {
    /// Take the answers from this file; nothing is typed.
    pub answers: Option<PathBuf>,
    /// Plain lines instead of menus.
    pub plain: bool,
    /// How bare numbers are read and values shown.
    pub units: Units,
    /// When colours are used.
    pub colour: Colour,
}

impl Asking {
    /// Whether questions are put in colours.
    pub fn in_colours(&self) -> bool {
        colour_wanted(self.plain, self.colour)
    }
}

/// What lies beside a unit's file, where it is another one than that file names.
pub(crate) struct Beside {
    /// The drawer of shims and spares.
    pub drawer: Option<PathBuf>,
    /// The instruments.
    pub instruments: Option<PathBuf>,
}

/// What a build is signed with.
pub(crate) struct Signing {
    /// The private key's file.
    pub key: Option<PathBuf>,
    /// The name to sign with; that of the allowed signers where there is none.
    pub name: Option<String>,
    /// The file with the key's passphrase in its first line; it is asked for where there is none.
    pub passphrase_file: Option<PathBuf>,
}

/// How a job ended that nothing went wrong with.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) enum Ended {
    /// All of it is done.
    Done,
    /// It was left unfinished, to go on another time.
    Paused,
}
