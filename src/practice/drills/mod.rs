//! Drills: cards of half a minute, each with one right answer and its reason.
//!
//! [`deal`] makes the cards of a run out of a drill and a seed, the same each time; [`Card::judge`] takes what was typed. What is
//! right is never written down by hand where it can be worked out: it comes from [`mechanics`](crate::mechanics),
//! [`choice`](crate::choice) and [`metrology`](crate::metrology), and a card whose figures leave it open is not dealt.
//!
//! A new drill: a file with a function that draws one card or none, its row in [`Drill::ALL`], and its arm in `deal`.

mod card;
mod cautions;
mod choose;
mod deal;
mod drill;
mod held;
mod looks;
mod order;
mod pick;
mod read;
mod read_drawn;
mod spring;
mod wrench;
mod zero;

pub use card::{Card, Judged, Kind, Wanted};
pub use deal::{CARDS, deal};
pub use drill::Drill;
