//! The exit codes, each with what it means.

use crate::app::Ended;
use std::process::ExitCode;

/// How the program ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[repr(u8)]
pub enum Exit {
    /// What was asked for is done.
    Done = 0,
    /// Something failed that is none of the below, such as a full disk.
    Failed = 1,
    /// The arguments are not understood.
    Usage = 2,
    /// A unit, drawer, instruments, procedure or data file has faults, or can not be read.
    BadFile = 3,
    /// The answers are too few, too many, out of step, or one was not taken.
    BadAnswers = 4,
    /// The book can not be read or written, or a record in it was altered.
    BadBook = 5,
    /// The build is open in another place.
    Held = 6,
    /// The build was left unfinished, to go on another time.
    Paused = 7,
    /// There is no build, or no word, of that name, or none of that unit.
    NotFound = 8,
    /// A value is outside what the formula allows.
    OutOfRange = 9,
    /// No plates and shims fit; what would is said.
    NothingFits = 10,
    /// A seal does not hold: the record is not as it was signed, or a signature is not what it says.
    SealBroken = 11,
    /// Nothing is found that does not hold, but nothing is signed, a key is not known, or a correction is not signed.
    NotProven = 12,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(exit as u8)
    }
}

impl From<Ended> for Exit {
    fn from(ended: Ended) -> Exit {
        match ended {
            Ended::Done => Exit::Done,
            Ended::Paused => Exit::Paused,
        }
    }
}
