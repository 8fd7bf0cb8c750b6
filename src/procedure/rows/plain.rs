//! What many rows say alike.

use crate::mechanics::Keying;
use crate::procedure::ask::Feedback;
use crate::procedure::derived::Derived;
use crate::procedure::row::{Beside, Expected, Here};
use crate::procedure::typed::is_near;
use crate::quantity::{Length, Torque};
use crate::record::Value;
use crate::record::phrase::Phrase;

/// Nothing stands beside it.
pub fn nothing_beside(_: &Here<'_>) -> Beside {
    Beside::default()
}

/// It rests on no formula.
pub fn no_formula(_: &Here<'_>) -> Vec<String> {
    Vec::new()
}

/// Nothing is said after it.
pub fn nothing_said(_: &Here<'_>, _: &Value) -> Vec<Feedback> {
    Vec::new()
}

/// No words are odd, or refused.
pub fn no_words_are(_: &Here<'_>, _: &str) -> Option<String> {
    None
}

/// Nobody knows before what it will be.
pub fn nothing_expected(_: &Here<'_>) -> Option<Expected> {
    None
}

/// A length is odd where it is far from what is expected, or from the others of the same part.
pub fn unlike(here: &Here<'_>, length: Length, expected: Option<&Expected>) -> Option<String> {
    far_from_expected(here, length, expected).or_else(|| far_from_the_others(here, length))
}

/// A length that is far from what it is likely to be.
pub fn far_from_expected(here: &Here<'_>, length: Length, expected: Option<&Expected>) -> Option<String> {
    let expected = expected?;
    (!is_near(length.mm(), expected.length, expected.share))
        .then(|| format!("{} is far from {}", length.show(here.units()), expected.what))
}

/// A reading that is far from the others of the same part, which nobody's expectation shows.
pub fn far_from_the_others(here: &Here<'_>, length: Length) -> Option<String> {
    let derived = &here.derived;
    let field = here.step.fills?;
    let others = derived
        .state
        .lengths(field, here.slot.round, here.slot.item.as_deref());
    let room = Length::from_nm((5 * derived.job.unit.limits.spread.nm()).max(100_000));
    let nearest = others.iter().copied().min_by_key(|other| other.apart(length))?;
    (nearest.apart(length) > room).then(|| {
        format!(
            "{} is {} from the nearest other reading of this part",
            length.show(here.units()),
            nearest.apart(length).show(here.units())
        )
    })
}

/// A torque is odd where it is far above the window.
pub fn far_above_the_window(here: &Here<'_>, torque: Torque) -> Option<String> {
    let proof = &here.derived.job.unit.proof;
    (torque.newton_metres() > 3.0 * proof.most.newton_metres().max(30.0))
        .then(|| format!("{torque} is far above the window's {}", proof.most))
}

/// The prompt of a question that is answered with words.
pub fn answer(here: &Here<'_>) -> String {
    here.say(Phrase::Answer)
}

/// The prompt of a quantity of which there is one.
pub fn reading(here: &Here<'_>) -> String {
    here.say(Phrase::Reading)
}

/// The prompt of a signature.
pub fn name(here: &Here<'_>) -> String {
    here.say(Phrase::SignedName)
}

/// The prompt of what is looked at or taken once on a plate.
pub fn plate(here: &Here<'_>) -> String {
    here.fill(Phrase::Plate, &[here.item()])
}

/// The prompt of one of several readings on a plate.
pub fn plate_reading(here: &Here<'_>) -> String {
    let of = [here.point().to_string(), here.step.points.to_string()];
    here.fill(Phrase::PlateReading, &[here.item(), &of[0], &of[1]])
}

/// The prompt of a thing that there may be two of.
pub fn one_of(here: &Here<'_>, what: Phrase) -> String {
    named(here, here.say(what))
}

/// What a prompt speaks of, with the name of the one that is meant.
pub fn named(here: &Here<'_>, what: String) -> String {
    match here.item_said() {
        "" => what,
        item => format!("{what}, {item}"),
    }
}

/// The prompt of one of several coil springs.
pub fn coil_of(here: &Here<'_>, coils: u32) -> String {
    let coil = here.fill(Phrase::CoilOf, &[&here.point().to_string(), &coils.to_string()]);
    named(here, coil)
}

/// The same, where there may be several readings of each.
pub fn reading_of(here: &Here<'_>, what: Phrase) -> String {
    let what = one_of(here, what);
    match here.slot.point {
        Some(point) => here.fill(
            Phrase::ReadingOf,
            &[&what, &point.to_string(), &here.step.points.to_string()],
        ),
        None => what,
    }
}

/// The least thickness of a plate.
pub fn least_of(derived: &Derived<'_>, plate: &str) -> Length {
    let limits = &derived.job.unit.limits;
    match derived.keyed(plate) {
        Some(Keying::Case) => limits.case_least,
        Some(Keying::Gear) | None => limits.gear_least,
    }
}
