//! What is drawn for a seed and a level: first the unit as its file has it, then what is wrong with it.

use super::fault::Fault;
use super::truth::{TrueGauge, TruePlate, TrueSpring, Truth, keyed, turned_over};
use crate::mechanics::{Held, Keying, Side};
use crate::metrology::Stream;
use crate::quantity::{Length, Torque};
use crate::workshop::{Depth, SpringKind, Unit};
use std::collections::BTreeMap;

/// What the files of a made-up unit differ by.
pub(super) struct Pattern {
    pub name: &'static str,
    pub through: bool,
    /// How many pairs of plates there are on a side.
    pub pairs: usize,
    /// Outside, inside, thickness, free height of a disc, in millimetres.
    pub disc: [f64; 4],
    /// Outside and inside of the rubbing face, in millimetres.
    pub face: [f64; 2],
    pub held: Held,
}

/// Names of plants: no make, no model and no place is meant.
const NAMES: [&str; 8] = [
    "Bracken", "Sorrel", "Yarrow", "Teasel", "Sedge", "Tansy", "Campion", "Burdock",
];
const DISCS: [[f64; 4]; 3] = [
    [92.0, 64.0, 1.75, 3.10],
    [92.0, 64.0, 1.50, 2.60],
    [100.0, 70.0, 1.75, 2.90],
];
const FACES: [[f64; 2]; 3] = [[98.0, 62.0], [104.0, 66.0], [110.0, 70.0]];

impl Pattern {
    pub fn draw(random: &mut Stream, level: u32) -> Pattern {
        Pattern {
            name: NAMES[random.below(NAMES.len())],
            through: random.chance(0.5),
            pairs: if level < 3 { 2 } else { 3 },
            disc: DISCS[random.below(DISCS.len())],
            face: FACES[random.below(FACES.len())],
            held: if random.chance(0.7) {
                Held::Case
            } else {
                Held::Output
            },
        }
    }
}

/// What can go wrong, each with the level from which on it is drawn.
#[derive(Clone, Copy, PartialEq)]
enum Sort {
    Warped,
    Thin,
    Spoilt,
    DeadFace,
    MicrometerZero,
    Tapered,
    Swapped,
    SpringCracked,
    SpringUpsideDown,
    WrenchScale,
    DepthGaugeZero,
    OtherMethod,
    Extension,
    SteppedRamp,
    OtherMaker,
    PinFlat,
    RingWedged,
    TabsStick,
    WasherMissing,
    ShimDoubled,
    WrenchOverdue,
    Drag,
    WrongOil,
    NoModifier,
}

/// How many of [`SORTS`] the first edition of the draw knew.
const FIRST_EDITION: usize = 14;

/// How much less a pack holds whose tabs hang in worn slots (made up for teaching; common practice, no source).
const HELD_BACK: f64 = 0.30;
/// What another oil makes of both frictions, and one without its modifier of the one at first movement and of the one while it
/// turns (made up for teaching; common practice, no source).
const THIN_OIL: [f64; 2] = [0.75; 2];
const NO_MODIFIER: [f64; 2] = [1.55, 1.10];

const SORTS: [(Sort, u32); 24] = [
    (Sort::Warped, 1),
    (Sort::Thin, 1),
    (Sort::Spoilt, 1),
    (Sort::DeadFace, 1),
    (Sort::MicrometerZero, 1),
    (Sort::Tapered, 2),
    (Sort::Swapped, 2),
    (Sort::SpringCracked, 2),
    (Sort::SpringUpsideDown, 2),
    (Sort::WrenchScale, 2),
    (Sort::DepthGaugeZero, 3),
    (Sort::OtherMethod, 3),
    (Sort::Extension, 3),
    (Sort::SteppedRamp, 3),
    (Sort::OtherMaker, 2),
    (Sort::PinFlat, 2),
    (Sort::RingWedged, 3),
    (Sort::TabsStick, 2),
    (Sort::WasherMissing, 2),
    (Sort::ShimDoubled, 1),
    (Sort::WrenchOverdue, 3),
    (Sort::Drag, 3),
    (Sort::WrongOil, 1),
    (Sort::NoModifier, 2),
];

/// The most plates of one keying that may be faulty: the drawer has as many spares of each.
pub(super) const SPARES: usize = 2;

pub(super) struct Drawing<'a> {
    pub random: Stream,
    pub level: u32,
    /// By which edition of the draw.
    pub edition: u32,
    pub unit: &'a Unit,
}

impl Drawing<'_> {
    /// Between two ends, the far one at level 1 and the near one at level 4, give or take a tenth.
    fn size(&mut self, gross: f64, subtle: f64) -> f64 {
        let share = f64::from(self.level - 1) / 3.0;
        (gross + (subtle - gross) * share) * self.random.between(1.0, 1.1)
    }

    fn mm(&mut self, gross: f64, subtle: f64) -> Length {
        let mm = self.size(gross, subtle);
        // as no gauge reads it finer, whole micrometres are enough
        Length::from_um((mm * 1e3).round() as i64)
    }

    fn um(&mut self, low: f64, high: f64) -> Length {
        Length::from_nm((1e3 * self.random.between(low, high)).round() as i64)
    }

    fn side(&mut self) -> Side {
        Side::BOTH[self.random.below(2)]
    }

    fn sign(&mut self) -> i64 {
        if self.random.chance(0.5) { 1 } else { -1 }
    }

    /// A plate without a fault: worn by less than seven hundredths, parallel, flat.
    fn sound_plate(&mut self, nominal: Length, worn: bool) -> TruePlate {
        let worn = if worn {
            self.um(0.0, 60.0)
        } else {
            self.um(-6.0, 6.0)
        };
        let points = [(); 3].map(|()| nominal - worn + self.um(-3.0, 3.0));
        TruePlate {
            points,
            bow: self.um(0.0, 22.0),
            look: "good",
        }
    }

    fn gauge(&mut self, certificate: f64, scatter: f64) -> TrueGauge {
        TrueGauge {
            zero: Length::ZERO,
            // within half of what the certificate gives, and steadier than it says, as a good instrument is
            calibration: self.um(-0.5 * certificate, 0.5 * certificate),
            scatter: Length::from_nm((600.0 * scatter) as i64),
        }
    }

    /// The unit as it would be with nothing wrong.
    fn sound(&mut self) -> Option<Truth> {
        let unit = self.unit;
        let mut plates = BTreeMap::new();
        for plate in &unit.plates {
            plates.insert(plate.name.clone(), self.sound_plate(plate.nominal, true));
        }
        for keying in ["C", "G"] {
            for n in 1..=SPARES {
                let plate = self.sound_plate(Length::from_um(2_000), false);
                plates.insert(format!("S{keying}{n}"), plate);
            }
        }
        let stack = unit.spring.as_ref()?.stack;
        let spring = TrueSpring { stack, share: 1.0 };
        // a few hundredths of a newton metre are no news: the friction is within a twentieth of the file's
        let slip = self.random.between(0.96, 1.04);
        let mut near = |length: Length| length + self.um(-12.0, 12.0);
        let rings = unit.rings.map(&mut near);
        let depths = match unit.depth {
            Depth::Through(depth) => [near(depth); 2],
            Depth::PerSide(depths) => depths.map(near),
        };
        Some(Truth {
            sound_plates: BTreeMap::new(),
            oil: [1.0; 2],
            held_back: [0.0; 2],
            rings_slide: [1.0; 2],
            more_shims: [Length::ZERO; 2],
            overdue: 1.0,
            near_limit: None,
            plates,
            order: [unit.packs[0].order.clone(), unit.packs[1].order.clone()],
            rings,
            depths,
            springs: [spring; 2],
            mended: [spring; 2],
            micrometer: self.gauge(2.0, 1.0),
            depth_gauge: self.gauge(10.0, 8.0),
            wrench: self.random.between(0.985, 1.015),
            still: slip * unit.friction.still.value(),
            turning: slip * unit.friction.turning.value(),
            drag: self.random.between(0.6, 2.4),
            held: unit.proof.held,
            faults: Vec::new(),
        })
    }

    /// The unit with its faults.
    pub fn truth(&mut self) -> Option<Truth> {
        let mut truth = self.sound()?;
        if self.level > 1 {
            self.false_alarm(&mut truth);
        }
        truth.sound_plates.clone_from(&truth.plates);
        truth.overdue = truth.wrench;
        if self.edition > 1 && self.level > 1 {
            self.near_its_limit(&mut truth);
        }
        let wanted = match self.level {
            4 => 4 + self.random.below(2),
            level => level as usize,
        };
        let level = self.level;
        let known = if self.edition > 1 {
            SORTS.len()
        } else {
            FIRST_EDITION
        };
        let mut left: Vec<Sort> = SORTS[..known]
            .iter()
            .filter(|(_, from)| *from <= level)
            .map(|(sort, _)| *sort)
            .collect();
        while truth.faults.len() < wanted && !left.is_empty() {
            let sort = left.swap_remove(self.random.below(left.len()));
            self.add(&mut truth, sort);
        }
        Some(truth)
    }

    /// A plate with shiny faces, which is no reason to throw it out.
    fn false_alarm(&mut self, truth: &mut Truth) {
        let n = self.random.below(self.unit.plates.len());
        if let Some(plate) = truth.plates.get_mut(&self.unit.plates[n].name) {
            plate.look = "glazed";
        }
    }

    /// A plate that is worn to its limit and not below it: its readings do not tell on which side it lies.
    fn near_its_limit(&mut self, truth: &mut Truth) {
        let name = match self.sound_name(truth) {
            Some(name) if self.random.chance(0.6) => name,
            _ => return,
        };
        let limits = &self.unit.limits;
        let least = match keyed(self.unit, &name) {
            Some(Keying::Case) => limits.case_least,
            _ => limits.gear_least,
        };
        if let Some(plate) = truth.plates.get_mut(&name) {
            let over = self.um(0.0, 1.2);
            plate.points = [least + over, least + over + Length::from_um(1), least + over];
            truth.sound_plates.insert(name.clone(), plate.clone());
            truth.near_limit = Some(name);
        }
    }

    /// A plate of the unit that may still be made faulty.
    fn sound_name(&mut self, truth: &Truth) -> Option<String> {
        let faulty: Vec<&str> = truth.faults.iter().filter_map(Fault::plate).collect();
        let near = truth.near_limit.clone();
        let of = |keying| {
            faulty
                .iter()
                .filter(|name| keyed(self.unit, name) == Some(keying))
                .count()
                + usize::from(
                    near.as_ref()
                        .is_some_and(|name| keyed(self.unit, name) == Some(keying)),
                )
        };
        let full: Vec<Keying> = [Keying::Gear, Keying::Case]
            .into_iter()
            .filter(|keying| of(*keying) >= SPARES)
            .collect();
        let open: Vec<&str> = self
            .unit
            .plates
            .iter()
            .filter(|plate| {
                !faulty.contains(&plate.name.as_str())
                    && near.as_deref() != Some(plate.name.as_str())
                    && !full.contains(&plate.keyed)
                    && truth
                        .plates
                        .get(&plate.name)
                        .is_some_and(|plate| plate.look == "good")
            })
            .map(|plate| plate.name.as_str())
            .collect();
        let n = self.random.below(open.len());
        open.get(n).map(|name| (*name).to_string())
    }

    fn add(&mut self, truth: &mut Truth, sort: Sort) {
        let fault = match sort {
            Sort::Warped | Sort::Thin | Sort::Spoilt | Sort::Tapered | Sort::OtherMaker => {
                self.faulty_plate(truth, sort)
            }
            Sort::Swapped => self.swapped(truth),
            Sort::DeadFace => self.dead_face(truth),
            Sort::MicrometerZero => {
                let by = self.mm(0.030, 0.010) * self.sign();
                truth.micrometer.zero = by;
                Some(Fault::MicrometerZero { by })
            }
            Sort::DepthGaugeZero => {
                let by = self.mm(0.30, 0.09) * self.sign();
                truth.depth_gauge.zero = by;
                Some(Fault::DepthGaugeZero { by })
            }
            Sort::SpringCracked | Sort::SpringUpsideDown => self.faulty_spring(truth, sort),
            Sort::SteppedRamp => Some(Fault::SteppedRamp),
            Sort::WrenchScale => Some(Fault::WrenchScale),
            Sort::OtherMethod => {
                truth.held = match self.unit.proof.held {
                    Held::Case => Held::Output,
                    Held::Output => Held::Case,
                };
                Some(Fault::OtherMethod)
            }
            Sort::Extension => {
                let length =
                    Length::from_um(10_000) * (12 - 2 * i64::from(self.level) + self.random.below(5) as i64);
                Some(Fault::Extension { length })
            }
            Sort::PinFlat => Some(Fault::PinFlat),
            Sort::WasherMissing => Some(Fault::WasherMissing),
            Sort::RingWedged => {
                let side = self.side();
                truth.rings_slide[side.index()] = 0.0;
                Some(Fault::RingWedged { side })
            }
            Sort::TabsStick => {
                let side = self.side();
                truth.held_back[side.index()] = HELD_BACK;
                Some(Fault::TabsStick { side })
            }
            Sort::ShimDoubled => {
                let side = self.side();
                let shim = self.unit.packs[side.index()].shims.first();
                shim.map(|by| {
                    truth.more_shims[side.index()] = *by;
                    Fault::ShimDoubled { side, by: *by }
                })
            }
            Sort::WrenchOverdue => {
                let reads = 1.0 + self.size(0.22, 0.11);
                truth.overdue = reads * truth.wrench;
                Some(Fault::WrenchOverdue { reads })
            }
            Sort::Drag => {
                let by = (10.0 * self.size(11.0, 6.0)).round() / 10.0;
                truth.drag += by;
                Torque::from_newton_metres(by).ok().map(|by| Fault::Drag { by })
            }
            Sort::WrongOil | Sort::NoModifier
                if truth.has(|fault| matches!(fault, Fault::WrongOil | Fault::NoModifier)) =>
            {
                None
            }
            Sort::WrongOil => {
                truth.oil = THIN_OIL;
                Some(Fault::WrongOil)
            }
            Sort::NoModifier => {
                truth.oil = NO_MODIFIER;
                Some(Fault::NoModifier)
            }
        };
        truth.faults.extend(fault);
    }

    fn faulty_plate(&mut self, truth: &mut Truth, sort: Sort) -> Option<Fault> {
        let name = self.sound_name(truth)?;
        let limits = &self.unit.limits;
        let least = match keyed(self.unit, &name)? {
            Keying::Case => limits.case_least,
            Keying::Gear => limits.gear_least,
        };
        let plate = truth.plates.get_mut(&name)?;
        match sort {
            Sort::Warped => {
                plate.bow = self.mm(0.160, 0.075);
                let by = plate.bow;
                Some(Fault::Warped { plate: name, by })
            }
            Sort::Thin => {
                let under = self.mm(0.045, 0.014);
                plate.points = [(); 3].map(|()| least - under + self.um(0.0, 4.0));
                let least = plate.least();
                Some(Fault::Thin { plate: name, least })
            }
            Sort::Tapered => {
                let spread = self.mm(0.080, 0.045);
                // the thick place first, so that one reading looks well
                let thick = Length::from_um(1_992);
                plate.points = [thick, thick - Length::from_nm(spread.nm() / 2), thick - spread];
                Some(Fault::Tapered { plate: name, spread })
            }
            Sort::OtherMaker => {
                let more = self.mm(0.240, 0.150);
                plate.points = [(); 3].map(|()| Length::from_um(2_000) + more + self.um(-3.0, 3.0));
                let mean = plate.mean();
                Some(Fault::OtherMaker { plate: name, mean })
            }
            _ => {
                plate.look = ["burnt", "torn", "cracked"][self.random.below(3)];
                let look = plate.look;
                Some(Fault::Spoilt { plate: name, look })
            }
        }
    }

    /// Puts a plate of each pack into the other one, in the place of one that is keyed alike.
    fn swapped(&mut self, truth: &mut Truth) -> Option<Fault> {
        let at = self.random.below(truth.order[0].len());
        let left = truth.order[0][at].clone();
        let alike: Vec<usize> = (0..truth.order[1].len())
            .filter(|n| keyed(self.unit, &truth.order[1][*n]) == keyed(self.unit, &left))
            .collect();
        let to = *alike.get(self.random.below(alike.len()))?;
        let right = std::mem::replace(&mut truth.order[1][to], left.clone());
        truth.order[0][at] = right.clone();
        Some(Fault::Swapped { left, right })
    }

    /// Puts two neighbours of a pack into each other's place.
    fn dead_face(&mut self, truth: &mut Truth) -> Option<Fault> {
        let side = self.side();
        let has_shims = !self.unit.packs[side.index()].shims.is_empty();
        let order = &mut truth.order[side.index()];
        let faces = |order: &[String]| {
            let keys: Vec<Keying> = order.iter().filter_map(|name| keyed(self.unit, name)).collect();
            self.unit.faces_of(&keys, has_shims)
        };
        let before = faces(order);
        let at = self.random.below(order.len() - 1);
        order.swap(at, at + 1);
        let lost = before.saturating_sub(faces(order));
        (lost > 0).then_some(Fault::DeadFace { side, lost, at })
    }

    fn faulty_spring(&mut self, truth: &mut Truth, sort: Sort) -> Option<Fault> {
        let side = self.side();
        let spring = &mut truth.springs[side.index()];
        let sound = truth.mended[side.index()];
        if *spring != sound {
            return None;
        }
        if sort == Sort::SpringCracked {
            spring.share = super::truth::CRACKED_SHARE;
            return Some(Fault::SpringCracked { side });
        }
        let kind: SpringKind = self.unit.spring.as_ref()?.kind;
        spring.stack = turned_over(kind)?;
        Some(Fault::SpringUpsideDown { side })
    }
}
