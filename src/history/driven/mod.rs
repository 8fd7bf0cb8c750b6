//! Drive days: what one says, what several say of two settings, and the plan of the next.
//!
//! A [`Day`](crate::record::driven::Day) is what `procedure` makes of a day's entries. [`DayReport`] tells one and the list of
//! all; [`SettingsCompared`] compares two settings, and `compared_report` tells it with its pictures; [`DayPlan`] tells an order
//! that was drawn.

mod change_first;
mod compared;
mod compared_report;
mod day_file;
mod day_report;
mod far;
mod pictures;
mod plan;
mod tables;

pub use change_first::{FeltLast, felt_last};
pub use compared::{
    CONFIDENCE, ComparedRun, FeltApart, SettingsCompared, WORTH_HAVING, Winner, is_same_setting, median_step,
};
pub use day_file::{DayFile, LapColumns, LapsError};
pub use day_report::{DayReport, ListedDay};
pub use far::{DrivenFar, claimed_twice};
pub use plan::{DayPlan, order_of};
pub use tables::DriveTable;
