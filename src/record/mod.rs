//! What is written down: unit, drawer, instruments, readings, the build. Reading and writing of TOML and JSON lives
//! only here.

mod build;
mod document;
mod entry;

pub use build::{
    BoltLine, BreakawayLine, Build, CautionLine, ClosingLine, Curve, Followed, FoundAndLeft, Layer,
    LayerKind, Pack, PlateLine, Preload, ProofRound, Remark, Signature,
};
pub use document::{Document, Fault, Faults, Section, nearest};
pub use entry::{Chosen, ChosenSide, Entry, EntryError, Slot, UnitsName, Value};
