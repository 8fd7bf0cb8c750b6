//! Whether a request can be meant.

use super::error::ChoiceError;
use super::request::{Layout, Request, Window};
use crate::mechanics::{Keying, Side};
use crate::quantity::Length;
use std::collections::HashSet;

/// Whether the request makes sense in itself.
pub(super) fn check(request: &Request) -> Result<(), ChoiceError> {
    if request.needs.iter().all(|need| need.gear + need.case == 0) {
        return Err(ChoiceError::NothingNeeded);
    }
    let mut names = HashSet::new();
    for (keying, plates) in [(Keying::Gear, &request.gear), (Keying::Case, &request.case)] {
        for plate in plates {
            check_thickness(format!("{keying} {}", plate.name), plate.thickness)?;
            if !names.insert(&plate.name) {
                return Err(ChoiceError::DuplicateName {
                    name: plate.name.clone(),
                });
            }
        }
        let need = request.needed(keying);
        if plates.len() < need[0] + need[1] {
            return Err(ChoiceError::TooFew {
                keying,
                needed: need[0] + need[1],
                have: plates.len(),
            });
        }
        for side in Side::BOTH {
            let fixed = plates.iter().filter(|plate| plate.fixed == Some(side)).count();
            let needed = need[side as usize];
            if fixed > needed {
                return Err(ChoiceError::TooManyFixed {
                    keying,
                    side,
                    fixed,
                    needed,
                });
            }
        }
    }
    if request.keep_in_place {
        check_places(request)?;
    }
    for size in &request.shims {
        check_thickness("a shim".to_string(), size.thickness)?;
    }
    let (least, most) = (request.least_shims, request.most_shims);
    if least > most {
        return Err(ChoiceError::ShimLimits { least, most });
    }
    let have = request
        .shims
        .iter()
        .map(|size| u64::from(size.count))
        .sum::<u64>();
    if have < 2 * u64::from(least) {
        return Err(ChoiceError::TooFewShims {
            needed: 2 * u64::from(least),
            have,
        });
    }
    match &request.layout {
        Layout::PerSide {
            rooms,
            windows,
            match_within,
        } => {
            rooms
                .iter()
                .try_for_each(|room| within("the room", *room, -Length::MOST))?;
            windows.iter().try_for_each(check_window)?;
            within(
                "the limit of match",
                match_within.unwrap_or(Length::ZERO),
                Length::ZERO,
            )?;
        }
        Layout::Through {
            room,
            offsets,
            window,
            match_within,
        } => {
            within("the room", *room, -Length::MOST)?;
            offsets
                .iter()
                .try_for_each(|offset| within("an offset", *offset, -Length::MOST))?;
            check_window(window)?;
            within("the limit of match", *match_within, Length::ZERO)?;
        }
    }
    within("the guard", request.guard, Length::ZERO)?;
    if !(0.0..=f64::MAX).contains(&request.uncertainty) {
        return Err(ChoiceError::Uncertainty(request.uncertainty));
    }
    Ok(())
}

/// Whether there are plates enough where none changes side.
fn check_places(request: &Request) -> Result<(), ChoiceError> {
    for keying in [Keying::Gear, Keying::Case] {
        let free = || {
            request
                .plates(keying)
                .iter()
                .filter(|plate| plate.fixed.is_none())
        };
        let needed = request.needed(keying);
        let lacking = Side::BOTH.map(|side| {
            let fixed = request
                .plates(keying)
                .iter()
                .filter(|plate| plate.fixed == Some(side));
            let stays =
                free().filter(|plate| !plate.moves_to(side) && plate.moves_to(Side::BOTH[1 - side.index()]));
            needed[side.index()].saturating_sub(fixed.count() + stays.count())
        });
        let either = free().filter(|plate| Side::BOTH.iter().all(|side| !plate.moves_to(*side)));
        let (needed, have) = (lacking[0] + lacking[1], either.count());
        if needed > have {
            return Err(ChoiceError::TooFewInPlace { keying, needed, have });
        }
    }
    Ok(())
}

fn check_thickness(what: String, thickness: Length) -> Result<(), ChoiceError> {
    if (Length::from_nm(1)..=Length::MOST).contains(&thickness) {
        Ok(())
    } else {
        Err(ChoiceError::Thickness { what, thickness })
    }
}

fn within(what: &'static str, length: Length, least: Length) -> Result<(), ChoiceError> {
    if (least..=Length::MOST).contains(&length) {
        Ok(())
    } else {
        Err(ChoiceError::OutOfRange { what, length, least })
    }
}

fn check_window(window: &Window) -> Result<(), ChoiceError> {
    let Window { least, target, most } = *window;
    within("an end of the window", least, -Length::MOST)?;
    within("an end of the window", most, -Length::MOST)?;
    if (least..=most).contains(&target) {
        Ok(())
    } else {
        Err(ChoiceError::WindowUpsideDown { least, target, most })
    }
}
