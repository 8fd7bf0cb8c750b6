//! What a unit can be built with, as the formulas want it.

use super::unit::{Aim, PackPlan, Spring, Unit};
use crate::document::Section;
use crate::mechanics::pack::faces_possible;
use crate::mechanics::tune::{Near, Options};
use crate::mechanics::{Keying, LockSetup, MechanicsError, SpringPlace};
use crate::quantity::{Force, Length};

/// Reads `[offer]`; without it the offer is empty, and the unit's own counts alone.
pub(super) fn read_offer(section: &Section<'_>, sprung: bool, spring: Option<&Spring>) -> Option<Options> {
    let mut ramps = Vec::new();
    let mut whole = true;
    for ramp in section.sections("ramp") {
        let (drive, coast) = (ramp.quantity("drive"), ramp.quantity("coast"));
        ramp.finish();
        whole &= drive.is_some() && coast.is_some();
        if let (Some(drive), Some(coast)) = (drive, coast) {
            ramps.push([drive, coast]);
        }
    }
    let faces = section.counts("faces", 0..401);
    whole &= faces.is_some() || !section.has("faces");
    let preload = if sprung {
        section.quantities_where::<Force>("preload", "more than 0 N", 0..=usize::MAX)
    } else {
        let none = "a unit without [spring] has no preload to offer";
        section.not_here("preload", "sense", none);
        None
    };
    whole &= preload.is_some() || !section.has("preload");
    let preload = preload.unwrap_or_default();
    for force in &preload {
        if spring.is_some_and(|spring| spring.stack.heights_for_force(*force).is_empty()) {
            section.fault_at("preload", format!("this spring does not give {force}"));
        }
    }
    section.finish();
    whole.then_some(Options {
        ramps,
        faces: faces.unwrap_or_default(),
        preload,
    })
}

impl Unit {
    /// The locking as the unit is meant to be: its faces, its ramps, the preload that it is set to, plates turning.
    ///
    /// # Errors
    ///
    /// Those of the formulas.
    pub fn lock_setup(&self) -> Result<LockSetup, MechanicsError> {
        let none = Force::from_newtons(0.0)?;
        let preload = match self.aim {
            Aim::Preload { target, .. } => target,
            Aim::Gap { .. } => none,
        };
        let [left, right] = &self.packs;
        Ok(LockSetup {
            faces: [left.faces, right.faces],
            friction: self.friction.turning,
            friction_radius: self.friction.radius,
            pin_radius: self.ramp.pin_radius,
            drive: self.ramp.drive,
            coast: self.ramp.coast,
            ramp_friction: self.ramp.friction,
            preload: [preload; 2],
            spring_place: self
                .spring
                .as_ref()
                .map_or(SpringPlace::BehindPack, |spring| spring.place),
            gear_thrust: self.ramp.gear,
            tab_friction: self.ramp.tabs,
        })
    }

    /// Every count of active faces that the plates of a pack can make.
    pub(super) fn faces_possible_in(&self, pack: &PackPlan) -> Vec<u32> {
        let keyed = |keying| {
            let names = pack.order.iter().filter_map(|name| self.plate(name));
            names.filter(|plate| plate.keyed == keying).count() as u32
        };
        faces_possible(
            keyed(Keying::Gear),
            keyed(Keying::Case),
            self.wall_rubs(!pack.shims.is_empty()),
        )
    }

    /// What it can be stepped to: the faces that the plates of both packs can make, the ramps that are offered, and the
    /// preload that is left when every plate has worn to its limit.
    pub fn near(&self) -> Near {
        let [left, right] = &self.packs;
        let also = self.faces_possible_in(right);
        Near {
            faces: self
                .faces_possible_in(left)
                .into_iter()
                .filter(|faces| also.contains(faces))
                .collect(),
            drive: self.offer.ramps.iter().map(|[drive, _]| *drive).collect(),
            coast: self.offer.ramps.iter().map(|[_, coast]| *coast).collect(),
            worn: self.worn_preload(),
        }
    }

    /// The force that is left on each pack when all plates have worn from new to their limits: the springs behind the packs
    /// share the wear, one between the rings takes all of it. `None` without a spring.
    fn worn_preload(&self) -> Option<Force> {
        let (Some(spring), Aim::Preload { target, .. }) = (&self.spring, self.aim) else {
            return None;
        };
        let wear: Length = self
            .plates
            .iter()
            .map(|plate| {
                let least = match plate.keyed {
                    Keying::Gear => self.limits.gear_least,
                    Keying::Case => self.limits.case_least,
                };
                (plate.nominal - least).max(Length::ZERO)
            })
            .sum();
        let each = match spring.place {
            SpringPlace::BehindPack => Length::from_nm(wear.nm() / 2),
            SpringPlace::BetweenRings => wear,
        };
        // a disc that gives this force at two heights is set to the taller one, where it presses on
        let height = *spring.stack.heights_for_force(target).iter().max()?;
        spring.stack.force_at_height(height + each).ok()
    }
}
