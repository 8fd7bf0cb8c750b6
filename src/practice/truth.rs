//! What a made-up unit really is, and what it does.

use super::fault::Fault;
use crate::mechanics::{Held, Holding, Keying, Movement, Sense, Side, SpringStack, Turned};
use crate::quantity::{Force, Length, Ratio, Torque};
use crate::record::ChosenSide;
use crate::workshop::{Depth, SpringKind, Unit};
use std::collections::BTreeMap;

/// What a face of a burnt plate holds, as a share of a sound one (made up for teaching; common practice, no source).
pub(super) const BURNT_SHARE: f64 = 0.7;
/// What a cracked disc holds, as a share of a sound one (made up for teaching; common practice, no source).
pub(super) const CRACKED_SHARE: f64 = 0.6;
/// By which share a warped plate makes the breakaway come and go (made up for teaching; common practice, no source).
pub(super) const WANDER: f64 = 0.12;

/// A plate as it is.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct TruePlate {
    /// Thickness at three places round it.
    pub points: [Length; 3],
    /// How far it is out of flat.
    pub bow: Length,
    /// The word for its looks.
    pub look: &'static str,
}

impl TruePlate {
    pub fn mean(&self) -> Length {
        Length::from_nm(self.points.iter().map(|point| point.nm()).sum::<i64>() / 3)
    }

    pub fn least(&self) -> Length {
        self.points.into_iter().min().unwrap_or(Length::ZERO)
    }
}

/// A spring as it is.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct TrueSpring {
    pub stack: SpringStack,
    /// The share of its force that is left.
    pub share: f64,
}

impl TrueSpring {
    /// Its force at a height; at and below solid the force of a flat disc, past which the cover would not close.
    fn force(&self, height: Length) -> f64 {
        let height = height.max(self.stack.solid_height());
        self.stack
            .force_at_height(height)
            .map_or(0.0, |force| self.share * force.newtons())
    }
}

/// An instrument as it is, beside what its certificate says.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct TrueGauge {
    /// What it shows too much, on its standard too.
    pub zero: Length,
    /// What it shows too much beyond that: its calibration error.
    pub calibration: Length,
    /// Standard deviation of what it shows.
    pub scatter: Length,
}

/// All of it.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Truth {
    pub plates: BTreeMap<String, TruePlate>,
    /// The packs as they lay, from the wall.
    pub order: [Vec<String>; 2],
    pub rings: [Length; 2],
    /// Left and right; the same twice where one depth spans both packs.
    pub depths: [Length; 2],
    /// As they were found, and as they are once a fault of theirs has been seen to.
    pub springs: [TrueSpring; 2],
    pub mended: [TrueSpring; 2],
    pub micrometer: TrueGauge,
    pub depth_gauge: TrueGauge,
    /// What the wrench shows for each newton metre, its unit aside.
    pub wrench: f64,
    /// The same of a wrench that is past its day and lies beside it.
    pub overdue: f64,
    /// Friction at first movement and turning, once it is in its own oil.
    pub still: f64,
    pub turning: f64,
    /// What the oil that was in it made of both: shares of the two.
    pub oil: [f64; 2],
    /// The share of a pack's force that tabs hold back in worn slots, left and right.
    pub held_back: [f64; 2],
    /// The share of a ring's thrust that reaches its pack, left and right.
    pub rings_slide: [f64; 2],
    /// The shims that lay beside those of the file.
    pub more_shims: [Length; 2],
    /// A sound plate that lies at its limit.
    pub near_limit: Option<String>,
    /// The plates before anything was wrong with them.
    pub sound_plates: BTreeMap<String, TruePlate>,
    pub drag: f64,
    pub held: Held,
    pub faults: Vec<Fault>,
}

impl Truth {
    /// The same as it was found: in the oil that was in it.
    pub fn as_found(&self) -> Truth {
        let mut found = self.clone();
        found.still *= self.oil[0];
        found.turning *= self.oil[1];
        found
    }

    /// What it would be without one of its faults; all the others stay.
    pub fn without(&self, fault: &Fault, unit: &Unit) -> Truth {
        let mut truth = self.clone();
        truth.faults.retain(|other| other != fault);
        if let Some(name) = fault.plate()
            && let Some(sound) = self.sound_plates.get(name)
        {
            truth.plates.insert(name.to_string(), sound.clone());
        }
        match fault {
            Fault::Swapped { left, right } => {
                for name in truth.order.iter_mut().flatten() {
                    if name == left {
                        name.clone_from(right);
                    } else if name == right {
                        name.clone_from(left);
                    }
                }
            }
            Fault::DeadFace { side, at, .. } => truth.order[side.index()].swap(*at, at + 1),
            Fault::MicrometerZero { .. } => truth.micrometer.zero = Length::ZERO,
            Fault::DepthGaugeZero { .. } => truth.depth_gauge.zero = Length::ZERO,
            Fault::SpringCracked { side } | Fault::SpringUpsideDown { side } => {
                truth.springs[side.index()] = self.mended[side.index()];
            }
            Fault::RingWedged { side } => truth.rings_slide[side.index()] = 1.0,
            Fault::TabsStick { side } => truth.held_back[side.index()] = 0.0,
            Fault::ShimDoubled { side, .. } => truth.more_shims[side.index()] = Length::ZERO,
            Fault::WrenchOverdue { .. } => truth.overdue = self.wrench,
            Fault::OtherMethod => truth.held = unit.proof.held,
            Fault::Drag { by } => truth.drag = (truth.drag - by.newton_metres()).max(0.0),
            Fault::WrongOil | Fault::NoModifier => truth.oil = [1.0; 2],
            // a plate is as it was; a scale, a length, a step, a flat and a washer are where the fault itself is
            Fault::Warped { .. }
            | Fault::Thin { .. }
            | Fault::Tapered { .. }
            | Fault::Spoilt { .. }
            | Fault::OtherMaker { .. }
            | Fault::SteppedRamp
            | Fault::PinFlat
            | Fault::WasherMissing
            | Fault::WrenchScale
            | Fault::Extension { .. } => {}
        }
        truth
    }

    pub fn has(&self, wanted: impl Fn(&Fault) -> bool) -> bool {
        self.faults.iter().any(wanted)
    }

    pub fn extension(&self) -> Length {
        self.faults
            .iter()
            .find_map(|fault| match fault {
                Fault::Extension { length } => Some(*length),
                _ => None,
            })
            .unwrap_or(Length::ZERO)
    }

    /// Thickness of a side's plates and shims.
    pub fn pack_height(&self, side: &ChosenSide) -> Length {
        let plates: Length = side
            .plates
            .iter()
            .filter_map(|name| self.plates.get(name))
            .map(TruePlate::mean)
            .sum();
        let shims: i64 = side.shims_nanometres.iter().sum();
        plates + Length::from_nm(shims)
    }

    /// What is left for the springs of a chain: of one side, or of both where one depth spans both packs.
    pub fn room(&self, unit: &Unit, sides: &[ChosenSide; 2], chain: Option<Side>) -> Length {
        let depth = self.depths[chain.map_or(0, Side::index)];
        Side::BOTH
            .into_iter()
            .filter(|side| matches!(unit.depth, Depth::Through(_)) || chain == Some(*side))
            .fold(depth, |left, side| {
                left - self.rings[side.index()] - self.pack_height(&sides[side.index()])
            })
    }

    /// The force on each pack. In a unit with one depth the rings float until both springs press alike.
    pub fn forces(&self, unit: &Unit, sides: &[ChosenSide; 2], springs: &[TrueSpring; 2]) -> [f64; 2] {
        if !unit.is_through() {
            return Side::BOTH.map(|side| springs[side.index()].force(self.room(unit, sides, Some(side))));
        }
        let room = self.room(unit, sides, None);
        let [left, right] = springs;
        let (mut low, mut high) = (
            left.stack.solid_height().nm(),
            (room - right.stack.solid_height()).nm(),
        );
        // the left one pushes less the longer it is, the right one more
        while high - low > 1 {
            let middle = low.midpoint(high);
            let height = Length::from_nm(middle);
            if left.force(height) > right.force(room - height) {
                low = middle;
            } else {
                high = middle;
            }
        }
        let height = Length::from_nm(low);
        [left.force(height), right.force(room - height)]
    }

    /// How many sound faces would hold as much as those of a pack.
    pub fn rubbing(&self, unit: &Unit, pack: &ChosenSide) -> f64 {
        let plates = &pack.plates;
        let keys: Vec<Keying> = plates.iter().filter_map(|name| keyed(unit, name)).collect();
        let faces = f64::from(unit.faces_of(&keys, !pack.shims_nanometres.is_empty()));
        let spoilt = |look: &str| {
            plates
                .iter()
                .filter(|name| self.plates.get(*name).is_some_and(|plate| plate.look == look))
                .count() as f64
        };
        // each plate has two faces; one that is torn can not slide and takes no part
        (faces - 2.0 * spoilt("torn") - 2.0 * (1.0 - BURNT_SHARE) * spoilt("burnt")).max(0.0)
    }

    /// What the wrench would show at the right output, turned in a sense, for packs under these forces, before its own errors.
    ///
    /// The drag is what [`Held`] makes of it: half of it with one output held, twice with the case held.
    pub fn breakaway(
        &self,
        unit: &Unit,
        sides: &[ChosenSide; 2],
        forces: [f64; 2],
        sense: Sense,
        movement: Movement,
    ) -> f64 {
        (|| {
            let preload = [
                Force::from_newtons(forces[0]).ok()?,
                Force::from_newtons(forces[1]).ok()?,
            ];
            // burnt plates hold with a part of a face: tenths of faces at a tenth of the radius are the same pack
            let slide = self.held_back.map(|held| 1.0 - held);
            let tenths =
                Side::BOTH.map(|side| 10.0 * slide[side.index()] * self.rubbing(unit, &sides[side.index()]));
            let mut bench = unit.bench(preload, tenths.map(|tenths| tenths.round() as u32));
            bench.setup.friction_radius = Length::from_nm(unit.friction.radius.nm() / 10);
            bench.setup.friction = Ratio::new(self.still).ok()?;
            bench.turning = Ratio::new(self.turning).ok()?;
            bench.holding = Holding {
                held: self.held,
                turned: Turned::Right,
                sense,
            };
            let drag = Torque::from_newton_metres(self.drag).ok()?;
            Some(bench.reads(movement, drag).ok()?.reading.newton_metres())
        })()
        .unwrap_or(0.0)
    }
}

/// What a plate of the unit is keyed to; a spare says it by its name, as the drawer's file lists it.
pub(super) fn keyed(unit: &Unit, name: &str) -> Option<Keying> {
    match unit.plate(name) {
        Some(plate) => Some(plate.keyed),
        None if name.starts_with("SC") => Some(Keying::Case),
        None if name.starts_with("SG") => Some(Keying::Gear),
        None => None,
    }
}

/// A stack of two discs with one of them turned over: two single discs in series.
pub(super) fn turned_over(kind: SpringKind) -> Option<SpringStack> {
    match kind {
        SpringKind::Discs { disc, .. } => SpringStack::discs(disc, 1, 2).ok(),
        SpringKind::Coils { .. } => None,
    }
}
