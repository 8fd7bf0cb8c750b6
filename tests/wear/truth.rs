//! A unit whose parts wear as they are told, and the builds that see it.

use crate::made::{build, km, mm, nm};
use shimwright::history::remedies::Remedies;
use shimwright::history::{
    Account, GapAccount, PackAccount, PlateAccount, SpringAccount, UncertainLength, UnitWear,
};
use shimwright::mechanics::pack::pack_torque;
use shimwright::mechanics::{Keying, Side, SpringStack};
use shimwright::metrology::Verdict;
use shimwright::quantity::{Force, Length, Ratio};
use shimwright::workshop::{Aim, Depth, Drawer, Unit};
use std::collections::HashMap;

/// What a plate loses in a kilometre, in millimetres.
pub const GEAR: f64 = 12e-6;
pub const CASE: f64 = 2e-6;
pub const BETWEEN: f64 = 1000.0;
pub const BUILDS: usize = 4;
const FRICTION: f64 = 0.1;
/// What the friction loses in a kilometre.
const FADES: f64 = 5e-6;

fn demo(name: &str) -> String {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-units");
    std::fs::read_to_string(folder.join(name)).unwrap()
}

/// A unit whose parts wear as it is told.
pub struct Truth {
    pub unit: Unit,
    pub drawer: Drawer,
    pub shims: [Vec<Length>; 2],
    /// As measured at every build.
    pub springs: Length,
    /// Thickness as new, by name.
    pub new: HashMap<String, f64>,
}

impl Truth {
    pub fn new(unit: &str, drawer: &str) -> Truth {
        let unit = Unit::read("unit", &demo(unit)).unwrap();
        let drawer = Drawer::read("drawer", &demo(drawer)).unwrap();
        // no two alike, so that one is first
        let new = unit.plates.iter().enumerate().map(|(n, plate)| {
            let thin = if plate.keyed == Keying::Gear {
                0.001 * (n % 7) as f64
            } else {
                0.0
            };
            (plate.name.clone(), plate.nominal.mm() - thin)
        });
        Truth {
            new: new.collect(),
            shims: [vec![Length::from_um(500)], vec![Length::from_um(500)]],
            springs: Length::from_um(3_080),
            unit,
            drawer,
        }
    }

    pub fn keyed(&self, name: &str) -> Keying {
        self.unit.plate(name).unwrap().keyed
    }

    pub fn thickness(&self, name: &str, gone: f64) -> f64 {
        let rate = if self.keyed(name) == Keying::Gear {
            GEAR
        } else {
            CASE
        };
        self.new[name] - rate * gone
    }

    /// What the parts leave of the depth of a side, or of the one depth, when the plates have gone so far.
    pub fn rooms(&self, gone: f64, shims: &[Vec<Length>; 2], changed: &HashMap<String, f64>) -> Vec<f64> {
        let side = |n: usize| {
            let plates = self.unit.packs[n].order.iter();
            let plates: f64 = plates
                .map(|name| {
                    changed
                        .get(name)
                        .copied()
                        .unwrap_or_else(|| self.thickness(name, gone))
                })
                .sum();
            plates + shims[n].iter().map(|shim| shim.mm()).sum::<f64>() + self.unit.rings[n].mm()
        };
        match self.unit.depth {
            Depth::Through(depth) => vec![depth.mm() - side(0) - side(1)],
            Depth::PerSide([left, right]) => vec![left.mm() - side(0), right.mm() - side(1)],
        }
    }

    pub fn settled(&self) -> SpringStack {
        self.unit.spring.as_ref().unwrap().settled(self.springs).unwrap()
    }

    /// Preload and breakaway of the through unit, so far after a build made it clean.
    pub fn sprung(&self, room: f64, stack: &SpringStack, faces: u32, since: f64) -> (f64, f64) {
        let force = stack.force_at_height(mm(room / 2.0)).unwrap();
        let pack = pack_torque(
            faces,
            Ratio::new(FRICTION - FADES * since).unwrap(),
            force,
            self.unit.friction.radius,
        )
        .unwrap();
        (force.newtons(), 2.0 * pack.newton_metres())
    }

    pub fn account(&self, n: usize, faces: u32) -> Account {
        let gone = BETWEEN * (n - 1) as f64;
        let distance = (n > 1).then(|| km(BETWEEN)).flatten();
        let mut account = build(&self.unit.id, n, distance, Vec::new());
        account.unit.clone_from(&self.unit.id);
        account.through = self.unit.is_through();
        let rooms = self.rooms(gone, &self.shims, &HashMap::new());
        let doubted = |mm_: f64| {
            Some(UncertainLength {
                zeros: Length::ZERO,
                value: mm(mm_),
                uncertainty: mm(0.005),
                shared: Vec::new(),
            })
        };
        let chains: &[Option<Side>] = if account.through {
            &[None]
        } else {
            &[Some(Side::Left), Some(Side::Right)]
        };
        account.closings = chains
            .iter()
            .zip(&rooms)
            .map(|(chain, room)| GapAccount {
                chain: *chain,
                sprung: account.through,
                found: doubted(*room),
                left: doubted(*room),
                measured: true,
                verdict: Some(Verdict::Inside),
            })
            .collect();
        account.plates = self
            .unit
            .packs
            .iter()
            .zip(Side::BOTH)
            .flat_map(|(pack, side)| {
                pack.order
                    .iter()
                    .zip(1_u32..)
                    .map(move |(name, place)| (name, side, place))
            })
            .map(|(name, side, place)| PlateAccount {
                name: name.clone(),
                part: format!("{}/{name}", self.unit.id),
                keyed: self.keyed(name),
                nominal: Some(self.unit.plate(name).unwrap().nominal),
                side_found: Some(side),
                place_found: Some(place),
                side_left: Some(side),
                place_left: Some(place),
                mean: doubted(self.thickness(name, gone)),
                least: Some(mm(self.thickness(name, gone))),
                limit: Some(match self.keyed(name) {
                    Keying::Gear => self.unit.limits.gear_least,
                    Keying::Case => self.unit.limits.case_least,
                }),
                ..PlateAccount::default()
            })
            .collect();
        let sprung = account
            .through
            .then(|| self.sprung(rooms[0], &self.settled(), faces, 0.0));
        let force = sprung.and_then(|(force, _)| Force::from_newtons(force).ok());
        account.packs = Side::BOTH
            .into_iter()
            .enumerate()
            .map(|(n, side)| PackAccount {
                side,
                plates_found: self.unit.packs[n].order.clone(),
                plates_left: Some(self.unit.packs[n].order.clone()),
                shims_found: self.shims[n].clone(),
                shims_left: Some(self.shims[n].clone()),
                faces_found: faces,
                faces_left: Some(faces),
                preload_found: force,
                preload_left: force,
            })
            .collect();
        match self.unit.aim {
            Aim::Preload { least, target, most } => account.preload_wanted = Some([least, target, most]),
            Aim::Gap { least, target, most } => account.gap_wanted = Some([least, target, most]),
        }
        if let Some((_, torque)) = sprung {
            account.springs = [Some(Side::Left), Some(Side::Right)]
                .map(|place| SpringAccount {
                    place,
                    height: doubted(self.springs.mm()),
                    ..SpringAccount::default()
                })
                .to_vec();
            let breakaway = &mut account.breakaway;
            breakaway.left = nm(torque);
            breakaway.left_uncertainty = nm(1.5);
            breakaway.friction = Ratio::new(FRICTION).ok();
            breakaway.friction_file = Ratio::new(FRICTION).ok();
            breakaway.expected_found = nm(torque);
            // less than clean plates would show
            breakaway.found = nm(torque * (1.0 - FADES * BETWEEN / FRICTION));
        }
        account
    }

    pub fn wear(&self, faces: u32) -> UnitWear<'static> {
        self.wear_of(BUILDS, faces)
    }

    /// By the first so many builds alone.
    pub fn wear_of(&self, builds: usize, faces: u32) -> UnitWear<'static> {
        let accounts: Vec<Account> = (1..=builds).map(|n| self.account(n, faces)).collect();
        // a few builds a test, and what is said of them borrows from them
        let wear = UnitWear::of(&self.unit.id, accounts.leak()).unwrap();
        assert!(wear.told.is_empty(), "{:?}", wear.told);
        wear
    }

    pub fn remedies(&self, faces: u32, after: Option<f64>) -> Remedies {
        Remedies::of(&self.wear(faces), &self.unit, &self.drawer, after)
    }
}
