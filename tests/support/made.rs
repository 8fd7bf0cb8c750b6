//! Accounts that are made up.

use shimwright::history::{Account, BreakawayAccount, PackAccount, PlateAccount, UncertainLength};
use shimwright::mechanics::{Held, Keying, Side};
use shimwright::metrology::Verdict;
use shimwright::quantity::{Distance, Length, Torque};

pub fn mm(mm: f64) -> Length {
    Length::from_mm(mm).unwrap()
}

pub fn km(km: f64) -> Option<Distance> {
    Some(Distance::from_kilometres(km).unwrap())
}

pub fn nm(nm: f64) -> Option<Torque> {
    Some(Torque::from_newton_metres(nm).unwrap())
}

/// A plate that is found in the left pack and left there, 1.90 mm being its limit.
pub fn plate(unit: &str, name: &str, thickness: f64) -> PlateAccount {
    PlateAccount {
        name: name.into(),
        part: format!("{unit}/{name}"),
        keyed: Keying::Gear,
        nominal: Some(mm(2.0)),
        side_found: Some(Side::Left),
        place_found: Some(1),
        side_left: Some(Side::Left),
        place_left: Some(1),
        mean: Some(UncertainLength {
            zeros: Length::ZERO,
            value: mm(thickness),
            uncertainty: mm(0.001),
            shared: Vec::new(),
        }),
        least: Some(mm(thickness)),
        limit: Some(mm(1.90)),
        verdict: Some(Verdict::Inside),
        ..PlateAccount::default()
    }
}

/// A finished build, the `n`th of the unit, in year 2000 + n.
pub fn build(unit: &str, n: usize, distance: Option<Distance>, plates: Vec<PlateAccount>) -> Account {
    let named = |found: bool| -> Vec<String> {
        let there = plates.iter().filter(|plate| {
            let place = if found {
                plate.place_found
            } else {
                plate.place_left
            };
            place.is_some()
        });
        there.map(|plate| plate.name.clone()).collect()
    };
    Account {
        build: format!("{unit}-{n:04}"),
        unit: unit.into(),
        unit_name: unit.into(),
        begun: format!("{}-01-01T00:00:00Z", 2000 + n),
        finished: Some(format!("{}-01-02T00:00:00Z", 2000 + n)),
        distance,
        packs: vec![PackAccount {
            side: Side::Left,
            plates_found: named(true),
            plates_left: Some(named(false)),
            ..PackAccount::default()
        }],
        breakaway: BreakawayAccount {
            held: Some(Held::Case),
            least: nm(75.0),
            ..BreakawayAccount::default()
        },
        plates,
        ..Account::default()
    }
}
