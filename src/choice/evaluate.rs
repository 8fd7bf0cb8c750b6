//! A pick made by hand, weighed as the choice would be.

use super::check::check;
use super::error::ChoiceError;
use super::ranking::Frame;
use super::request::{Candidate, Choice, Layout, Request, SideChoice};
use crate::mechanics::{Keying, Side};
use crate::quantity::Length;
use std::collections::BTreeMap;
use std::fmt;

/// What is wrong with a pick.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Fault {
    /// Not the number of plates that the side takes.
    PlateCount {
        /// The side.
        side: Side,
        /// Which plates.
        keying: Keying,
        /// How many it takes.
        needed: usize,
        /// How many were picked.
        given: usize,
    },
    /// A plate is picked more than once.
    PlateTwice {
        /// Its name.
        name: String,
    },
    /// A plate that is fixed to a side is not there.
    NotWhereFixed {
        /// Its name.
        name: String,
        /// The side that it is fixed to.
        side: Side,
    },
    /// Not a number of shims that the side may have.
    ShimCount {
        /// The side.
        side: Side,
        /// The least number.
        least: u32,
        /// The greatest number.
        most: u32,
        /// How many were picked.
        given: u32,
    },
    /// The drawer has fewer shims of this thickness.
    NotInDrawer {
        /// Their thickness.
        thickness: Length,
        /// How many there are.
        have: u32,
        /// How many were picked.
        given: u32,
    },
    /// A closing is outside its window, the guard taken off.
    Closing {
        /// The side; none in a through unit.
        side: Option<Side>,
        /// The closing.
        closing: Length,
        /// The least that it must be.
        least: Length,
        /// The greatest that it may be.
        most: Length,
    },
    /// The sides are too far apart.
    Apart {
        /// How far they are apart.
        difference: Length,
        /// How far they may be.
        limit: Length,
    },
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Fault::PlateCount {
                side,
                keying,
                needed,
                given,
            } => {
                write!(f, "the {side} side has {given} {keying}s but takes {needed}")
            }
            Fault::PlateTwice { name } => write!(f, "plate {name} is picked more than once"),
            Fault::NotWhereFixed { name, side } => {
                write!(f, "plate {name} is not on the {side} side, where it is fixed")
            }
            Fault::ShimCount {
                side,
                least,
                most,
                given,
            } => {
                write!(
                    f,
                    "the {side} side has {given} shims but must have from {least} to {most}"
                )
            }
            Fault::NotInDrawer {
                thickness,
                have,
                given,
            } => {
                write!(
                    f,
                    "{given} shims of {thickness} are picked but the drawer has {have}"
                )
            }
            Fault::Closing {
                side: Some(side),
                closing,
                least,
                most,
            } => {
                write!(
                    f,
                    "the {side} closing is {closing} but must be from {least} to {most}"
                )
            }
            Fault::Closing {
                side: None,
                closing,
                least,
                most,
            } => {
                write!(f, "the closing is {closing} but must be from {least} to {most}")
            }
            Fault::Apart { difference, limit } => {
                write!(f, "the sides are {difference} apart but may be at most {limit}")
            }
        }
    }
}

/// Weighs a pick made by hand: what it closes to, and everything that is wrong with it.
///
/// Inputs: the request that the pick answers; for each side the names of its plates and the thicknesses of its shims,
/// in any order. The choice that comes back lists them thickest first.
///
/// ```
/// use shimwright::choice::*;
/// use shimwright::quantity::Length;
/// let um = Length::from_um;
/// let plate = |name: &str| Candidate { name: name.into(), thickness: um(2000), spare: false, fixed: None, ran: None };
/// let window = Window { least: um(100), target: um(200), most: um(300) };
/// let request = Request {
///     layout: Layout::PerSide { rooms: [um(4500); 2], windows: [window; 2], match_within: None },
///     needs: [Need { gear: 1, case: 1 }; 2],
///     gear: vec![plate("F1"), plate("F2")],
///     case: vec![plate("C1"), plate("C2")],
///     shims: vec![ShimSize { thickness: um(300), count: 1 }],
///     least_shims: 0,
///     most_shims: 3,
///     guard: Length::ZERO,
///     uncertainty: 0.0,
///     first: First::Fewest,
///     keep_in_place: false,
///     alternatives: 10,
/// };
/// let side = |gear: &str, case: &str| SideChoice {
///     gear: vec![gear.into()],
///     case: vec![case.into()],
///     shims: vec![um(300)],
/// };
/// let (choice, faults) = evaluate(&request, [side("F1", "C1"), side("F2", "C2")])?;
/// assert_eq!(choice.closings, [um(200); 2]);
/// assert_eq!(faults, [Fault::NotInDrawer { thickness: um(300), have: 1, given: 2 }]);
/// # Ok::<(), ChoiceError>(())
/// ```
///
/// # Errors
///
/// Those of a request that makes no sense in itself, and [`ChoiceError::UnknownPlate`]. A pick that is only not
/// admissible is no error: it comes back with its faults.
pub fn evaluate(request: &Request, sides: [SideChoice; 2]) -> Result<(Choice, Vec<Fault>), ChoiceError> {
    check(request)?;
    let (choice, mut faults) = weigh(request, sides)?;
    let picked = |name: &str| -> [usize; 2] {
        [0, 1].map(|side: usize| {
            let SideChoice { gear, case, .. } = &choice.sides[side];
            gear.iter().chain(case).filter(|other| *other == name).count()
        })
    };
    let mut pick_faults = Vec::new();
    for (index, side) in Side::BOTH.into_iter().enumerate() {
        let (need, chosen) = (request.needs[index], &choice.sides[index]);
        for (keying, needed, given) in [
            (Keying::Gear, need.gear, chosen.gear.len()),
            (Keying::Case, need.case, chosen.case.len()),
        ] {
            if needed != given {
                pick_faults.push(Fault::PlateCount {
                    side,
                    keying,
                    needed,
                    given,
                });
            }
        }
        let (least, most, given) = (request.least_shims, request.most_shims, chosen.shims.len() as u32);
        if !(least..=most).contains(&given) {
            pick_faults.push(Fault::ShimCount {
                side,
                least,
                most,
                given,
            });
        }
    }
    for plate in request.gear.iter().chain(&request.case) {
        let counts = picked(&plate.name);
        if counts[0] + counts[1] > 1 {
            pick_faults.push(Fault::PlateTwice {
                name: plate.name.clone(),
            });
        }
        if let Some(side) = plate.fixed
            && counts[side as usize] == 0
        {
            pick_faults.push(Fault::NotWhereFixed {
                name: plate.name.clone(),
                side,
            });
        }
    }
    let mut shims: BTreeMap<Length, u32> = BTreeMap::new();
    for thickness in choice.sides.iter().flat_map(|side| &side.shims) {
        *shims.entry(*thickness).or_default() += 1;
    }
    for (thickness, given) in shims.into_iter().rev() {
        let have = request
            .shims
            .iter()
            .filter(|size| size.thickness == thickness)
            .fold(0_u32, |sum, size| sum.saturating_add(size.count));
        if given > have {
            pick_faults.push(Fault::NotInDrawer {
                thickness,
                have,
                given,
            });
        }
    }
    pick_faults.append(&mut faults);
    Ok((choice, pick_faults))
}

/// The choice that a pick makes, and what is wrong with its closings.
pub(super) fn weigh(
    request: &Request,
    mut sides: [SideChoice; 2],
) -> Result<(Choice, Vec<Fault>), ChoiceError> {
    let frame = Frame::new(request);
    let mut stacks = [0; 2];
    let (mut spares, mut moved) = (0, 0);
    for ((side, stack), name) in sides.iter_mut().zip(&mut stacks).zip(Side::BOTH) {
        side.shims.sort_unstable_by(|a, b| b.cmp(a));
        *stack = side.shims.iter().map(|shim| shim.nm()).sum::<i64>();
        for (keying, names, plates) in [
            (Keying::Gear, &mut side.gear, &request.gear),
            (Keying::Case, &mut side.case, &request.case),
        ] {
            let mut found: Vec<&Candidate> = names
                .iter()
                .map(|name| {
                    plates
                        .iter()
                        .find(|plate| plate.name == *name)
                        .ok_or_else(|| ChoiceError::UnknownPlate {
                            keying,
                            name: name.clone(),
                        })
                })
                .collect::<Result<_, _>>()?;
            found.sort_by(|a, b| b.thickness.cmp(&a.thickness).then(a.name.cmp(&b.name)));
            *stack += found.iter().map(|plate| plate.thickness.nm()).sum::<i64>();
            spares += found.iter().filter(|plate| plate.spare).count() as u32;
            moved += found.iter().filter(|plate| plate.moves_to(name)).count() as u32;
            *names = found.into_iter().map(|plate| plate.name.clone()).collect();
        }
    }
    let weighed = frame.weigh(stacks);
    let mut faults = Vec::new();
    for (index, side) in Side::BOTH.into_iter().enumerate() {
        let (least, most) = frame.guarded(index);
        let closing = weighed.closings[index];
        let counts = index == 0 || !frame.is_through();
        if counts && !(least..=most).contains(&closing) {
            faults.push(Fault::Closing {
                side: matches!(request.layout, Layout::PerSide { .. }).then_some(side),
                closing: Length::from_nm(closing),
                least: Length::from_nm(least),
                most: Length::from_nm(most),
            });
        }
    }
    if let Some(limit) = frame.match_within()
        && weighed.difference > limit
    {
        faults.push(Fault::Apart {
            difference: Length::from_nm(weighed.difference),
            limit: Length::from_nm(limit),
        });
    }
    let choice = Choice {
        closings: weighed.closings.map(Length::from_nm),
        heights: [0, 1].map(|side: usize| Length::from_nm(frame.height(side, stacks[side]))),
        worst_deviation: Length::from_nm(weighed.deviation),
        difference: Length::from_nm(weighed.difference),
        shims: sides.iter().map(|side| side.shims.len() as u32).sum(),
        spares,
        moved,
        probability: frame.probability(weighed.closings),
        sides,
    };
    Ok((choice, faults))
}
