//! TODOHEAD

mod drawn;
mod proposed;
mod settled;

pub use drawn::{Drawn, Pictures};
pub use settled::{COMPLAINTS, Picked, Settled, complaint_words};
