//! Random small requests, and one of a size that a workshop sees. Invented data, nothing measured.

#[path = "../draws/splitmix.rs"]
mod splitmix;

use shimwright::choice::{Candidate, First, Layout, Need, Request, ShimSize, Window};
use shimwright::mechanics::Side;
use shimwright::quantity::Length;
use splitmix::splitmix;

/// Draws from a fixed seed.
pub struct Dice(pub u64);

impl Dice {
    pub fn below(&mut self, end: u64) -> u64 {
        splitmix(&mut self.0) % end
    }

    pub fn from(&mut self, least: i64, most: i64) -> i64 {
        least + self.below((most - least + 1) as u64) as i64
    }

    pub fn one_in(&mut self, n: u64) -> bool {
        self.below(n) == 0
    }

    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.below(last as u64 + 1) as usize);
        }
    }
}

pub fn um(um: i64) -> Length {
    Length::from_um(um)
}

fn plates(dice: &mut Dice, prefix: &str, count: usize, spread: i64, unit: i64, fix: bool) -> Vec<Candidate> {
    let mut names: Vec<usize> = (1..=count).collect();
    dice.shuffle(&mut names);
    names
        .into_iter()
        .map(|number| Candidate {
            name: format!("{prefix}{number}"),
            thickness: Length::from_nm(2_000_000 + unit * dice.from(0, spread)),
            spare: dice.one_in(4),
            fixed: (fix && dice.one_in(8)).then(|| if dice.one_in(2) { Side::Left } else { Side::Right }),
            ran: None,
        })
        .collect()
}

fn window(dice: &mut Dice, around: i64) -> Window {
    let width = dice.from(0, 160);
    let least = around - width / 2;
    Window {
        least: um(least),
        target: um(least + dice.from(0, width)),
        most: um(least + width),
    }
}

/// A request small enough to be searched through whole; not always one that makes sense.
pub fn small(seed: u64) -> Request {
    let mut dice = Dice(seed);
    let per_side = dice.one_in(2);
    let alike = dice.one_in(2);
    let need = |dice: &mut Dice| Need {
        gear: dice.from(0, 2) as usize,
        case: dice.from(0, 2) as usize,
    };
    let mut needs = [need(&mut dice), need(&mut dice)];
    if alike {
        needs[1] = needs[0];
    }
    let fix = !alike && dice.one_in(2);
    let unit = if dice.one_in(5) { 2_540 } else { 1_000 };
    let spread = *[0, 3, 10, 40].get(dice.below(4) as usize).unwrap();
    let (gear, case) = (needs[0].gear + needs[1].gear, needs[0].case + needs[1].case);
    let extra = dice.below(3) as usize;
    let gear = plates(&mut dice, "F", gear + extra, spread, unit, fix);
    let extra = dice.below(3) as usize;
    let case = plates(&mut dice, "C", case + extra, spread, unit, fix);
    let coarse = if dice.one_in(2) { 50 } else { 7 };
    let shims: Vec<ShimSize> = (0..dice.below(4))
        .map(|_| ShimSize {
            thickness: um(coarse * dice.from(1, 8)),
            count: dice.below(3) as u32,
        })
        .collect();
    let most_shims = dice.below(3) as u32;
    let filled = |need: Need| (need.gear + need.case) as i64 * (2_000 + spread / 2);
    let around = dice.from(0, 400);
    let spill = dice.from(-30, 30);
    let layout = if per_side {
        let windows = [window(&mut dice, around), window(&mut dice, around)];
        let windows = if alike { [windows[0]; 2] } else { windows };
        Layout::PerSide {
            rooms: [
                um(filled(needs[0]) + around + spill),
                um(filled(needs[1]) + around + spill),
            ],
            windows,
            match_within: dice.one_in(2).then(|| um(dice.from(0, 30))),
        }
    } else {
        Layout::Through {
            room: um(filled(needs[0]) + filled(needs[1]) + around + spill),
            offsets: if alike {
                [um(10_000); 2]
            } else {
                [um(10_000), um(10_000 + dice.from(-20, 20))]
            },
            window: window(&mut dice, around),
            match_within: um(dice.from(0, 30) + if alike { 0 } else { 2_000 * dice.from(0, 2) }),
        }
    };
    Request {
        layout,
        needs,
        gear,
        case,
        shims,
        least_shims: u32::from(dice.one_in(6)).min(most_shims),
        most_shims,
        guard: um(if dice.one_in(3) { dice.from(0, 8) } else { 0 }),
        uncertainty: if dice.one_in(3) {
            0.0
        } else {
            dice.from(1, 20) as f64 / 2.0
        },
        first: [First::Fewest, First::Closest, First::Surest, First::Reuse][dice.below(4) as usize],
        keep_in_place: false,
        alternatives: dice.from(1, 14) as usize,
    }
}

/// A small request whose plates have two or three nominals, and ran on a side or not.
pub fn several(seed: u64) -> Request {
    let mut request = small(seed);
    let mut dice = Dice(seed + 5_000_000);
    let plates = request.gear.iter().chain(&request.case);
    let unit = if plates.clone().all(|plate| plate.thickness.nm() % 1_000 == 0) {
        1_000
    } else {
        2_540
    };
    let step = dice.from(60_000, 500_000) / unit * unit;
    let nominals = [0, step, if dice.one_in(2) { 2 * step } else { step }];
    let needs = request.needs;
    let mut rooms = [0; 2];
    for (plates, counts) in [
        (&mut request.gear, needs.map(|need| need.gear)),
        (&mut request.case, needs.map(|need| need.case)),
    ] {
        for (index, plate) in plates.iter_mut().enumerate() {
            let more = nominals[dice.below(3) as usize];
            plate.thickness += Length::from_nm(more);
            // room for the first so many of the list
            if index < counts[0] {
                rooms[0] += more;
            } else if index < counts[0] + counts[1] {
                rooms[1] += more;
            }
            plate.ran = match dice.below(3) {
                0 => None,
                1 => Some(Side::Left),
                _ => Some(Side::Right),
            };
        }
    }
    match &mut request.layout {
        Layout::PerSide { rooms: of, .. } => {
            of[0] += Length::from_nm(rooms[0]);
            of[1] += Length::from_nm(rooms[1]);
        }
        Layout::Through {
            room, match_within, ..
        } => {
            *room += Length::from_nm(rooms[0] + rooms[1]);
            if dice.one_in(2) {
                *match_within += Length::from_nm((rooms[0] - rooms[1]).abs());
            }
        }
    }
    if dice.one_in(2) {
        request.first = First::LeastChange;
    }
    request.keep_in_place = dice.one_in(4);
    request
}
