//! A request answered: its choices, or what comes nearest.

use super::check::check;
use super::error::ChoiceError;
use super::miss::miss;
use super::problem::Problem;
use super::ranking::Slack;
use super::request::{Outcome, Request};
use super::sweep::Got;

/// Chooses plates and shims: the best choice and the next best ones, or what comes nearest where nothing fits.
///
/// Inputs: the request. Lengths are whole nanometres; thicknesses above 0 and at most 100 m; the guard and the limits
/// of match 0 or more; the uncertainty 0 or more, in µm. The order of plates and shims does not matter.
///
/// ```
/// use shimwright::choice::*;
/// use shimwright::quantity::Length;
/// let um = Length::from_um;
/// let plate = |name: &str, thickness| Candidate {
///     name: name.into(),
///     thickness: um(thickness),
///     spare: false,
///     fixed: None,
///     ran: None,
/// };
/// let window = Window { least: um(100), target: um(200), most: um(300) };
/// let request = Request {
///     layout: Layout::PerSide { rooms: [um(4500); 2], windows: [window; 2], match_within: Some(um(20)) },
///     needs: [Need { gear: 1, case: 1 }; 2],
///     gear: vec![plate("F1", 1990), plate("F2", 2010)],
///     case: vec![plate("C1", 1980), plate("C2", 2000)],
///     shims: vec![ShimSize { thickness: um(300), count: 2 }],
///     least_shims: 0,
///     most_shims: 3,
///     guard: Length::ZERO,
///     uncertainty: 10.0,
///     first: First::Fewest,
///     keep_in_place: false,
///     alternatives: 10,
/// };
/// let outcome = choose(&request)?;
/// assert_eq!(outcome.choices[0].closings, [um(210); 2]);
/// assert_eq!(outcome.choices[0].sides[0].gear, ["F1"]);
/// assert_eq!(outcome.choices[0].sides[0].case, ["C2"]);
/// # Ok::<(), ChoiceError>(())
/// ```
///
/// # Errors
///
/// A request that makes no sense in itself; fewer plates than the unit takes; a problem so large that it does not fit
/// in memory ([`ChoiceError::TooLarge`]). A window that nothing meets is no error but a miss.
pub fn choose(request: &Request) -> Result<Outcome, ChoiceError> {
    check(request)?;
    let problem = Problem::new(request)?;
    let choices = problem.best(Slack::NONE, Got::default(), request.alternatives.max(1))?;
    let miss = if choices.is_empty() {
        Some(miss(problem)?)
    } else {
        None
    };
    Ok(Outcome { choices, miss })
}
