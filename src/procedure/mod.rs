//! Procedures and the engine: a pure state machine whose state is the fold of its entries.

mod account;
mod ask;
mod build;
mod check;
mod correct;
mod definition;
mod facts;
mod form;
mod hand;
mod measured;
mod new_unit;
mod new_unit_keys;
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
pub use form::{form, short_name};
pub use new_unit::NewUnit;
pub use request::Wish;
pub use select::first_named;
pub use session::{Job, Session, Taken};
pub use stock::{STOCK, read_stock, stock};
