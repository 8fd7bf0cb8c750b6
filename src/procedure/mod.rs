//! Procedures and the engine: a pure state machine whose state is the fold of its entries.

mod account;
mod ask;
mod build;
mod correct;
mod definition;
mod facts;
mod hand;
mod measured;
mod on_paper;
mod picture;
mod question;
mod reached;
mod request;
mod said;
mod select;
mod session;
mod spread;
mod state;
mod stock;
mod summary;
mod take;
mod why;

pub use crate::record::Slot;
pub use ask::{Ask, Expects, Refusal, Reply, Said, StepKind, Table, Tone, Way, Why};
pub use correct::Correction;
pub use definition::{Condition, Each, Field, Hazard, Kind, Plain, Procedure, Stage, Step};
pub use request::Wish;
pub use select::first_named;
pub use session::{Job, Session, Taken};
pub use stock::{STOCK, read_stock, stock};
