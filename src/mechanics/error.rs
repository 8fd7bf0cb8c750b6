//! Why a formula gives nothing, and the checks that make the messages.

use crate::quantity::{Force, Length, NotFinite, RampAngle, Ratio, significant};
use std::fmt::Display;
use std::ops::{Bound, RangeBounds};

/// Why a formula can not be worked out.
#[derive(Clone, PartialEq, Debug, thiserror::Error)]
pub enum MechanicsError {
    /// An input lies outside the limits of the formula.
    #[error("{what} is {value} but must be {limits}")]
    OutOfRange {
        /// What is out of range.
        what: &'static str,
        /// Its value, with unit.
        value: String,
        /// The limits in words.
        limits: String,
    },
    /// The spring would have to be shorter than solid.
    #[error("a spring height of {height} is below {solid_height}, where the spring is solid")]
    PastSolid {
        /// The height asked for.
        height: Length,
        /// The height at which the spring is solid.
        solid_height: Length,
    },
    /// The parts of a chain leave no room for what must still go in.
    #[error("the parts add up to {parts}, which leaves no room in {depth}")]
    NoRoom {
        /// The depth that the parts must fit into.
        depth: Length,
        /// The sum of the parts.
        parts: Length,
    },
    /// The ramp does not let go by itself: friction holds it.
    #[error(
        "a ramp of {ramp} with a friction of {friction} does not release by itself; \
         it must be steeper than {least_degrees:.1} deg from ring face"
    )]
    SelfLocking {
        /// The ramp.
        ramp: RampAngle,
        /// Friction between pin and ramp.
        friction: Ratio,
        /// The angle of friction, in degrees: a ramp up to this angle from the ring's face holds itself.
        least_degrees: f64,
    },
    /// A bend asks more of the tyres of an axle than they have.
    #[error("the bend asks {wanted} sideways of tyres that have {has}: it can not be driven")]
    TooFast {
        /// What the bend asks of the axle, sideways.
        wanted: Force,
        /// What its tyres have.
        has: Force,
    },
    /// The packs wedge as they are held: the more the wrench pulls, the harder the ramps press, and they never slip.
    #[error("the packs wedge when held so: the share of the side that is free is {}, and from 1 on the ramps press harder than the wrench can pull", significant(share.value(), 3))]
    Wedges {
        /// S of the pack that the torque passes through.
        share: Ratio,
    },
    /// A tyre's size is written in no form that is known.
    #[error("\"{text}\" is no size of a tyre; it is written as on the sidewall, such as 205/55 R16")]
    TyreUnknown {
        /// What was written.
        text: String,
    },
    /// A bolt's size is none of the ISO metric sizes that the table holds.
    #[error("\"{text}\" is no ISO metric thread size that is known here; {known}")]
    SizeUnknown {
        /// What was written.
        text: String,
        /// What would be known.
        known: String,
    },
    /// A bolt's property class is unknown, or does not exist in this size.
    #[error("\"{text}\" is no property class that is known here; write {known}")]
    ClassUnknown {
        /// What was written.
        text: String,
        /// The classes that are known.
        known: String,
    },
    /// The result is past what a number can hold.
    #[error("the result is too large to be a number")]
    NotFinite(#[from] NotFinite),
}

/// The one check of limits: hands `value` back when `range` contains it, and otherwise says what was wanted.
#[inline]
pub(super) fn within<Q, R>(what: &'static str, value: Q, range: R) -> Result<Q, MechanicsError>
where
    Q: PartialOrd + Display,
    R: RangeBounds<Q>,
{
    if range.contains(&value) {
        return Ok(value);
    }
    Err(outside(what, &value, &range))
}

/// The message of a check; by itself, so that what passes it a million times is not slowed down.
#[cold]
fn outside<Q, R>(what: &'static str, value: &Q, range: &R) -> MechanicsError
where
    Q: Display,
    R: RangeBounds<Q>,
{
    let low = match range.start_bound() {
        Bound::Included(low) => Some(format!("at least {low}")),
        Bound::Excluded(low) => Some(format!("more than {low}")),
        Bound::Unbounded => None,
    };
    let high = match range.end_bound() {
        Bound::Included(high) => Some(format!("at most {high}")),
        Bound::Excluded(high) => Some(format!("less than {high}")),
        Bound::Unbounded => None,
    };
    let limits: Vec<String> = [low, high].into_iter().flatten().collect();
    MechanicsError::OutOfRange {
        what,
        value: value.to_string(),
        limits: limits.join(" and "),
    }
}

/// A range that starts just above `low`.
pub(super) fn above<Q>(low: Q) -> (Bound<Q>, Bound<Q>) {
    (Bound::Excluded(low), Bound::Unbounded)
}

/// A coefficient of friction: 0 to 1.
pub(super) fn friction_within(what: &'static str, friction: Ratio) -> Result<f64, MechanicsError> {
    within(what, friction, Ratio::new(0.0)?..=Ratio::new(1.0)?).map(Ratio::value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_check_writes_the_message_it_refuses_with() {
        let refused = within(
            "travel",
            Length::from_um(1200),
            Length::ZERO..=Length::from_um(1100),
        )
        .unwrap_err();
        assert_eq!(
            refused.to_string(),
            "travel is 1.200 mm but must be at least 0.000 mm and at most 1.100 mm"
        );
        let refused = within("faces", 0, above(0)).unwrap_err();
        assert_eq!(refused.to_string(), "faces is 0 but must be more than 0");
        let refused = within("faces", 9, ..9).unwrap_err();
        assert_eq!(refused.to_string(), "faces is 9 but must be less than 9");
    }

    #[test]
    fn nan_is_within_nothing() {
        assert!(matches!(
            within("number", f64::NAN, 0.0..=1.0),
            Err(MechanicsError::OutOfRange { what: "number", .. })
        ));
        assert!(within("number", f64::NAN, ..=1.0).is_err());
        assert!(within("number", 0.5, 0.0..=1.0).is_ok());
    }
}
