//! Why a text is no quantity.

/// Why a text is not the quantity that was wanted. The message says what is wrong and what to write.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum QuantityError {
    /// Nothing was written.
    #[error("nothing was written; {wanted} is wanted here")]
    Empty {
        /// What was wanted.
        wanted: &'static str,
    },
    /// The text does not start with a number, or the number is not finite.
    #[error("\"{text}\" does not start with a plain number")]
    NotANumber {
        /// The text.
        text: String,
    },
    /// More digits than any reading has.
    #[error("\"{text}\" has more digits than are read here; at most {most} of them: round it")]
    TooManyDigits {
        /// The text.
        text: String,
        /// How many may be written.
        most: usize,
    },
    /// `1,234` is a decimal in one country and a thousand in another.
    #[error("\"{text}\" can be read as {decimal} or as {thousands}; write one of these")]
    AmbiguousComma {
        /// The text.
        text: String,
        /// The reading with a decimal comma.
        decimal: String,
        /// The reading with a thousands comma.
        thousands: String,
    },
    /// A number without a unit where none may be assumed.
    #[error("\"{text}\" has no unit; {wanted} is wanted here, in {units}")]
    NoUnit {
        /// The text.
        text: String,
        /// What was wanted.
        wanted: &'static str,
        /// The units that may be written.
        units: String,
    },
    /// A quantity of another kind.
    #[error("\"{text}\" is {is}, but {wanted} is wanted here, in {units}")]
    WrongDimension {
        /// The text.
        text: String,
        /// What it is.
        is: &'static str,
        /// What was wanted.
        wanted: &'static str,
        /// The units that may be written.
        units: String,
    },
    /// A unit that is not known.
    #[error("\"{unit}\" is not a unit known here; {wanted} is written in {units}")]
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// What was wanted.
        wanted: &'static str,
        /// The units that may be written.
        units: String,
    },
    /// More than the type can hold.
    #[error("\"{text}\" is too large; at most {most}")]
    TooLarge {
        /// The text.
        text: String,
        /// The limit.
        most: String,
    },
    /// A ramp angle without the datum that it is counted from.
    #[error(
        "\"{text}\" does not say what the angle is counted from; the trade uses both, and the two add up to 90°: \
         write \"{degrees} deg from ring face\" or \"{degrees} deg from shaft axis\""
    )]
    NoDatum {
        /// The text.
        text: String,
        /// The number.
        degrees: String,
    },
    /// A ramp angle outside 0 to 90°.
    #[error(
        "a ramp angle of {text} is out of range; it must be more than 0° and at most 90° from the ring face"
    )]
    RampAngleOutOfRange {
        /// The text.
        text: String,
    },
}
