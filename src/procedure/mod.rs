//! Procedures and the engine: a pure state machine whose state is the fold of its entries.

mod ask;

pub use ask::{Ask, Expects, Refusal, Reply, Said, Slot, StepKind, Table, Tone, Way, Why};
