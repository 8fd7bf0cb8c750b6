//! What a unit does at the moments of a use, and how far that is off what is wanted.

use crate::mechanics::LockSetup;
use crate::mechanics::whole_car::CarBalance;
use crate::quantity::{Ratio, Torque, significant};
use crate::workshop::moment::{Against, Want};

/// A setting with what it does.
#[derive(Clone, PartialEq, Debug)]
pub struct Rated {
    /// Ramps, faces and preload are what counts in it.
    pub setup: LockSetup,
    /// How far its worst moment is off: 0 where all is met, 1 as far as can be.
    pub worst: Ratio,
    /// The mean over all moments by their weights.
    pub mean: Ratio,
    /// What it does, a result a moment.
    pub results: Vec<MomentResult>,
}

/// What it does at one moment.
#[derive(Clone, PartialEq, Debug)]
pub struct MomentResult {
    /// The throttles with the state of the car.
    pub states: Vec<(Ratio, CarBalance)>,
    /// At which of them the unit turns as one.
    pub one: Vec<bool>,
    /// The throttle from which on it does, on the longest stretch on which it does; `None` where it never does, or the throttle is
    /// shut.
    pub one_from: Option<Ratio>,
    /// The throttle to which it does; `None` where that is to the most throttle, or never.
    pub one_to: Option<Ratio>,
    /// The first throttle of them at which a wheel gives up.
    pub caps_from: Option<Ratio>,
    /// What is put down at the last throttle of what both tyres could; `None` where the throttle is shut.
    pub puts_down: Option<Ratio>,
    /// The most moment against the turn, as a size.
    pub against: Torque,
    /// That as a share of the grip of the front tyres; `None` where they carry nothing.
    pub against_share: Option<Ratio>,
    /// What is wanted, with what is found.
    pub met: Vec<Met>,
    /// How far the worst of it is off, 0 to 1.
    pub short: Ratio,
}

/// What was found of a want.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Found {
    /// As one.
    One {
        /// From this throttle; `None`: never.
        from: Option<Ratio>,
        /// To this one; `None`: to the most.
        to: Option<Ratio>,
    },
    /// A share; `None` where there is nothing to share.
    Share(Option<Ratio>),
    /// Against the turn; `None` where it can not be told.
    Against(Option<Against>),
}

/// A want with what was found.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Met {
    /// What is wanted.
    pub want: Want,
    /// What it comes to.
    pub found: Found,
    /// How far it is off, 0 to 1.
    pub short: Ratio,
}

impl Found {
    /// It in words.
    pub fn words(&self) -> String {
        let percent = |share: &Ratio| format!("{} %", significant(100.0 * share.value(), 3));
        match self {
            Found::One { from: None, .. } => "never one".to_string(),
            Found::One {
                from: Some(from),
                to: None,
            } => format!("one from {}", percent(from)),
            Found::One {
                from: Some(from),
                to: Some(to),
            } => format!("one from {} to {}", percent(from), percent(to)),
            Found::Share(Some(share)) => percent(share),
            Found::Share(None) => "nothing to hold".to_string(),
            Found::Against(Some(against)) => against.words(),
            Found::Against(None) => "no grip in front".to_string(),
        }
    }
}

impl MomentResult {
    /// How far a want is off, 0 to 1.
    ///
    /// ```text
    /// one from x        the share of the throttles from x on at which it is not one
    /// not one before x  the share of the throttles before x at which it is one
    /// never one         the share of the throttles at which it is one
    /// puts down p       (p − r)/p                               r what is put down
    /// at most m         1 − m/M                                 M what is found against the turn
    /// at least m        1 − M/m
    /// holds s           |s − S|, S at most 1                    S what the packs could hold
    /// ```
    ///
    /// Common practice, no source.
    pub(super) fn short_of(&self, want: Want, found: &Found) -> f64 {
        let short = match (want, found) {
            (Want::OneFrom(from), _) => self.share_of(|throttle| throttle >= from, |one| !one),
            (Want::NotOneBefore(before), _) => self.share_of(|throttle| throttle < before, |one| one),
            (Want::NeverOne, _) => self.share_of(|_| true, |one| one),
            (Want::PutsDown(wanted), Found::Share(Some(found))) => {
                (wanted.value() - found.value()).max(0.0) / wanted.value()
            }
            (Want::AgainstAtMost(most), Found::Against(Some(found))) => {
                let (most, found) = (size(most), size(*found));
                if found > most { 1.0 - most / found } else { 0.0 }
            }
            (Want::AgainstAtLeast(least), Found::Against(Some(found))) => {
                let (least, found) = (size(least), size(*found));
                if found < least { 1.0 - found / least } else { 0.0 }
            }
            (Want::Holds { share, .. }, Found::Share(Some(found))) => {
                (share.value() - found.value().min(1.0)).abs()
            }
            _ => 0.0,
        };
        short.clamp(0.0, 1.0)
    }

    /// The share of some throttles at which it is one, or is not.
    fn share_of(&self, throttles: impl Fn(Ratio) -> bool, wrong: impl Fn(bool) -> bool) -> f64 {
        let states = self.states.iter().zip(&self.one);
        let here: Vec<bool> = states
            .filter(|((throttle, _), _)| throttles(*throttle))
            .map(|(_, one)| wrong(*one))
            .collect();
        match here.len() {
            0 => 0.0,
            count => here.iter().filter(|wrong| **wrong).count() as f64 / count as f64,
        }
    }
}

fn size(against: Against) -> f64 {
    match against {
        Against::Torque(torque) => torque.newton_metres(),
        Against::FrontGrip(share) => share.value(),
    }
}
