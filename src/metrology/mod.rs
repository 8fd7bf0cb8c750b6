//! What a reading is worth: readings, uncertainty, conformity decision, Monte Carlo, regression.
//!
//! A reading of a length becomes a [`Measured`]: an exact value and a [`Budget`] that keeps every source of
//! uncertainty by name. Readings by one instrument share its calibration error, so in a stack that part adds up
//! plate by plate while the rest averages out ([`stack`]). A budget turns into a [`Verdict`] by the probability that
//! the true value lies within the limits ([`judge_length`]). Where a result is no sum, [`simulate`] draws it, and [`propagate`] says
//! at once from which inputs its doubt comes.
//!
//! Lengths are exact nanometres; general statistics are plain `f64`. NaN is refused everywhere, and infinity but for degrees of
//! freedom.
//!
//! A new source of uncertainty is added to a [`Budget`] by name, where the reading is made; a new statistic is a file of its
//! own, held against published values in `tests/metrology`.

mod decision;
mod distribution;
pub mod drawn;
mod error;
mod least_squares;
mod propagation;
mod random;
mod ranks;
mod reading;
mod regression;
mod risk;
mod runs;
mod simulate;
mod standard;
mod stream;
mod summary;
mod uncertainty;

pub use decision::{LengthLimits, Limits, Verdict, guard_band, judge, judge_length, probability_inside};
pub use error::MetrologyError;
pub use least_squares::{Estimate, Observation, Prior, estimate};
pub use propagation::{Input, Part, Propagated, propagate};
pub use ranks::{rank_sum, rank_sum_of_days, share_interval, sign_test};
pub use reading::{Measured, measure};
pub use regression::{Crossing, Line};
pub use risk::{Risk, risk};
pub use runs::{
    MOST_RUNS, OrderScheme, Run, RunComparison, changes, compare_runs, exact_p, least_p, orders,
    orders_of_days, runs_to_show,
};
pub use simulate::{Draw, MOST_DRAWS, Simulation, simulate};
pub use standard::StandardUncertainty;
pub use stream::Stream;
pub use summary::{LengthSummary, Summary};
pub use uncertainty::{
    Agreement, Budget, Component, Instrument, compare, coverage_factor, reading_uncertainty, stack,
    welch_satterthwaite,
};
