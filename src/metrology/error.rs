//! Why nothing can be said of readings.

use crate::quantity::Length;

/// Why a statistical question has no answer. The message says what is wrong and what it must be.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum MetrologyError {
    /// A number is NaN or infinite, or became so on the way.
    #[error("{what} is {value} but must be a finite number")]
    NotFinite {
        /// What the number is.
        what: &'static str,
        /// The number.
        value: f64,
    },
    /// Too few values for what was asked.
    #[error("there are {have} {what} but there must be at least {need}")]
    TooFew {
        /// What is counted.
        what: &'static str,
        /// How many there are.
        have: usize,
        /// How many are needed.
        need: usize,
    },
    /// More draws than [`super::MOST_DRAWS`].
    #[error("{draws} draws were asked for but there can be at most {most}")]
    TooManyDraws {
        /// How many were asked for.
        draws: usize,
        /// How many there can be.
        most: usize,
    },
    /// A number that must not be negative is.
    #[error("{what} is {value} but must not be negative")]
    Negative {
        /// What the number is.
        what: &'static str,
        /// The number.
        value: f64,
    },
    /// A length that must not be negative is.
    #[error("{what} is {value} but must not be negative")]
    NegativeLength {
        /// What the length is.
        what: &'static str,
        /// The length.
        value: Length,
    },
    /// The lower limit is above the upper one.
    #[error("the least is {least} and the most is {most}: the limits are upside down")]
    LimitsUpsideDown {
        /// The lower limit.
        least: f64,
        /// The upper limit.
        most: f64,
    },
    /// The lower limit of a length is above the upper one.
    #[error("the least is {least} and the most is {most}: the limits are upside down")]
    LengthLimitsUpsideDown {
        /// The lower limit.
        least: Length,
        /// The upper limit.
        most: Length,
    },
    /// Nothing to judge by: neither a least nor a most is given.
    #[error("there is neither a least nor a most to judge by")]
    NoLimit,
    /// The guard bands of both limits meet: no value can be called inside.
    #[error("a guard band of {band} on each side leaves nothing between {least} and {most}")]
    GuardBandsMeet {
        /// The band on each side.
        band: Length,
        /// The lower limit.
        least: Length,
        /// The upper limit.
        most: Length,
    },
    /// A confidence that no decision can be based on.
    #[error("the confidence is {confidence} but must be at least {least} and less than 1")]
    ConfidenceOutOfRange {
        /// The confidence.
        confidence: f64,
        /// The least that is possible here.
        least: f64,
    },
    /// A coverage probability that no interval has.
    #[error("the coverage probability is {probability} but must be more than 0 and less than 1")]
    CoverageOutOfRange {
        /// The probability.
        probability: f64,
    },
    /// Less than one degree of freedom.
    #[error("there are {dof} degrees of freedom but there must be at least 1")]
    DegreesOfFreedom {
        /// Degrees of freedom.
        dof: f64,
    },
    /// The two columns of a regression are not equally long.
    #[error("there are {x} values of x but {y} of y")]
    ColumnsDiffer {
        /// Values of x.
        x: usize,
        /// Values of y.
        y: usize,
    },
    /// All values of x are the same, so there is no line.
    #[error("all values of x are the same, so no line can be drawn")]
    NoSpread,
    /// A level line meets no limit but its own.
    #[error("the line is level and never meets {limit}")]
    NeverMeets {
        /// The limit.
        limit: f64,
    },
    /// The ends of a distribution are upside down.
    #[error("the distribution reaches from {low} to {high}: upside down")]
    DrawUpsideDown {
        /// The lower end.
        low: f64,
        /// The upper end.
        high: f64,
    },
    /// The doubt about the ends of a distribution is wider than half of the distribution.
    #[error("the ends are in doubt by {doubt} but the distribution is only {half_width} wide on each side")]
    DoubtTooWide {
        /// Half-width of each end's own range.
        doubt: f64,
        /// Half-width of the distribution.
        half_width: f64,
    },
    /// So many runs can not be driven in a balanced order.
    #[error("{runs} runs can not be driven in a balanced order: it takes a multiple of 4, up to {most}")]
    NoBalance {
        /// How many there are to be.
        runs: usize,
        /// The most that there can be.
        most: usize,
    },
    /// So many runs of three settings can not be driven in a balanced order.
    #[error(
        "{runs} runs of three settings can not be driven in a balanced order: it takes a multiple of 6, up to {most}"
    )]
    NoThree {
        /// How many there are to be.
        runs: usize,
        /// The most that there can be.
        most: usize,
    },
    /// A setting that is neither the first nor the second.
    #[error("the setting is {setting} but must be 1 or 2")]
    NoSetting {
        /// The setting.
        setting: f64,
    },
    /// The orders of all days together are too many to look at.
    #[error("there are more than {most} orders of all days together, too many to look at each")]
    TooManyOrders {
        /// How many there can be.
        most: usize,
    },
    /// The model gave no value for any draw.
    #[error("the model gave no value for any of {draws} draws")]
    AllRefused {
        /// How many draws there were.
        draws: usize,
    },
}

/// The number itself when it is finite.
pub(super) fn finite(what: &'static str, value: f64) -> Result<f64, MetrologyError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(MetrologyError::NotFinite { what, value })
    }
}

/// The number itself when it is finite and not negative.
pub(super) fn not_negative(what: &'static str, value: f64) -> Result<f64, MetrologyError> {
    if finite(what, value)? >= 0.0 {
        Ok(value)
    } else {
        Err(MetrologyError::Negative { what, value })
    }
}

/// The confidence itself when it is at least `least` and less than 1.
pub(super) fn confidence_from(least: f64, confidence: f64) -> Result<f64, MetrologyError> {
    if (least..1.0).contains(&confidence) {
        Ok(confidence)
    } else {
        Err(MetrologyError::ConfidenceOutOfRange { confidence, least })
    }
}

/// The coverage probability itself when it is more than 0 and less than 1.
pub(super) fn coverage(probability: f64) -> Result<f64, MetrologyError> {
    if probability > 0.0 && probability < 1.0 {
        Ok(probability)
    } else {
        Err(MetrologyError::CoverageOutOfRange { probability })
    }
}
