//! Plates that go from unit to unit, and names that clash.

use crate::made::{build, km, plate};
use shimwright::history::{Outlook, PlateAccount, UnitWear};
use shimwright::mechanics::{Keying, Side};

fn part(unit: &str, thickness: f64) -> PlateAccount {
    PlateAccount {
        part: "P-17".into(),
        ..plate(unit, "G1", thickness)
    }
}

/// The plate lying in the drawer.
fn spare(plate: PlateAccount) -> PlateAccount {
    PlateAccount {
        spare: true,
        side_found: None,
        place_found: None,
        side_left: None,
        place_left: None,
        ..plate
    }
}

/// As the build found it, and taken out by it.
fn taken_out(plate: PlateAccount) -> PlateAccount {
    PlateAccount {
        side_left: None,
        place_left: None,
        ..plate
    }
}

/// Out of the drawer and into the left pack.
fn put_in(plate: PlateAccount) -> PlateAccount {
    PlateAccount {
        side_left: Some(Side::Left),
        place_left: Some(1),
        ..spare(plate)
    }
}

#[test]
fn a_plate_takes_its_history_with_it_into_another_unit() {
    let accounts = [
        build("moor", 1, None, vec![part("moor", 2.000)]),
        build("moor", 2, km(1000.0), vec![taken_out(part("moor", 1.990))]),
        build("fell", 3, None, vec![put_in(part("fell", 1.990))]),
        build("fell", 4, km(1500.0), vec![part("fell", 1.975)]),
        // what moor does meanwhile does not touch it
        build("moor", 5, km(700.0), vec![plate("moor", "G9", 1.99)]),
        build("fell", 6, km(500.0), vec![part("fell", 1.970)]),
    ];
    let wear = UnitWear::of("fell", &accounts).unwrap();
    assert!(wear.told.is_empty(), "{:?}", wear.told);
    let [one] = wear.plates.as_slice() else {
        panic!("{:?}", wear.plates)
    };
    let gone: Vec<f64> = one.track.sightings.iter().map(|one| one.gone.at).collect();
    assert_eq!(gone, [0.0, 1000.0, 1000.0, 2500.0, 3000.0]);
    let Outlook::Told { rate, points: 5, .. } = one.mean else {
        panic!("{:?}", one.mean)
    };
    assert!((rate - 1e-5).abs() < 1e-12);
    // seen from the unit that it came out of, it is elsewhere
    let wear = UnitWear::of("moor", &accounts).unwrap();
    let gone = wear
        .plates
        .iter()
        .find(|plate| plate.track.part == "P-17")
        .unwrap();
    assert!(!wear.has(gone));
    assert_eq!(gone.track.unit, Some("fell"));
}

#[test]
fn plates_without_a_part_are_never_the_same_in_two_units() {
    let accounts = [
        build("moor", 1, None, vec![plate("moor", "G1", 2.000)]),
        build("fell", 2, None, vec![plate("fell", "G1", 1.950)]),
    ];
    let wear = UnitWear::of("fell", &accounts).unwrap();
    assert_eq!(wear.plates.len(), 1);
    assert_eq!(wear.plates[0].track.sightings.len(), 1);
}

#[test]
fn a_part_in_two_units_at_once_is_told_and_not_merged() {
    let accounts = [
        build("moor", 1, None, vec![part("moor", 2.000)]),
        build("fell", 2, None, vec![part("fell", 1.950)]),
        build("moor", 3, km(1000.0), vec![part("moor", 1.990)]),
        build("fell", 4, km(1000.0), vec![part("fell", 1.940)]),
    ];
    let wear = UnitWear::of("moor", &accounts).unwrap();
    assert_eq!(wear.told.len(), 1, "{:?}", wear.told);
    assert!(
        wear.told[0].contains("fell-0002: part P-17 is in moor by the book"),
        "{:?}",
        wear.told
    );
    let sightings = &wear.plates[0].track.sightings;
    assert!(sightings.iter().all(|one| one.unit == "moor") && sightings.len() == 2);
    let fell = UnitWear::of("fell", &accounts).unwrap();
    assert!(
        fell.plates[0]
            .track
            .sightings
            .iter()
            .all(|one| one.unit == "fell")
    );
}

#[test]
fn a_plate_that_comes_back_thicker_is_another_plate_under_its_name() {
    let accounts = [
        build("moor", 1, None, vec![plate("moor", "G1", 1.960)]),
        build("moor", 2, km(1000.0), vec![plate("moor", "G1", 1.950)]),
        build("moor", 3, km(1000.0), vec![plate("moor", "G1", 2.000)]),
        build("moor", 4, km(1000.0), vec![plate("moor", "G1", 1.990)]),
    ];
    let wear = UnitWear::of("moor", &accounts).unwrap();
    assert!(
        wear.told[0].contains("moor/G1 is 0.050 mm thicker than moor-0002 found it"),
        "{:?}",
        wear.told
    );
    let inside: Vec<usize> = wear
        .plates
        .iter()
        .filter(|plate| wear.has(plate))
        .map(|plate| plate.track.sightings.len())
        .collect();
    assert_eq!(inside, [2]);
    // a micrometre or two is what a reading scatters by
    let mut accounts = accounts;
    accounts[2].plates[0] = plate("moor", "G1", 1.952);
    accounts[3].plates[0] = plate("moor", "G1", 1.945);
    let wear = UnitWear::of("moor", &accounts).unwrap();
    assert!(wear.told.is_empty(), "{:?}", wear.told);
    assert_eq!(wear.plates[0].track.sightings.len(), 4);
}

#[test]
fn a_part_keyed_otherwise_is_another_plate() {
    let case = PlateAccount {
        keyed: Keying::Case,
        ..part("moor", 1.995)
    };
    let accounts = [
        build("moor", 1, None, vec![part("moor", 2.000)]),
        build("moor", 2, km(1000.0), vec![case]),
    ];
    let wear = UnitWear::of("moor", &accounts).unwrap();
    assert!(
        wear.told[0].contains("P-17 is keyed to the case, and was to the gear"),
        "{:?}",
        wear.told
    );
    assert_eq!(wear.plates.iter().filter(|plate| wear.has(plate)).count(), 1);
}

#[test]
fn two_plates_of_one_part_in_one_build_are_told() {
    let other = PlateAccount {
        name: "SG1".into(),
        ..spare(part("moor", 1.9))
    };
    let accounts = [build("moor", 1, None, vec![part("moor", 2.000), other])];
    let wear = UnitWear::of("moor", &accounts).unwrap();
    assert!(
        wear.told[0].contains("two plates are part P-17"),
        "{:?}",
        wear.told
    );
    assert_eq!(wear.plates.len(), 1);
}

#[test]
fn a_plate_that_nobody_put_in_has_gone_nobody_knows_how_far() {
    let accounts = [
        build("moor", 1, None, vec![taken_out(part("moor", 2.000))]),
        build("fell", 2, None, vec![plate("fell", "G2", 2.0)]),
        build("fell", 3, km(1000.0), vec![part("fell", 1.99)]),
    ];
    let wear = UnitWear::of("fell", &accounts).unwrap();
    assert!(
        wear.told[0].contains("found in the unit, though no build put it there: G1"),
        "{:?}",
        wear.told
    );
    let runs: Vec<u32> = wear.plates[0]
        .track
        .sightings
        .iter()
        .map(|one| one.gone.run)
        .collect();
    assert_eq!(runs, [0, 1]);
}

#[test]
fn a_plate_that_was_thrown_out_and_is_back_is_told() {
    let out = PlateAccount {
        rejected: true,
        why: "burnt".into(),
        ..taken_out(part("moor", 1.95))
    };
    let accounts = [
        build("moor", 1, None, vec![out]),
        build("moor", 2, km(900.0), vec![put_in(part("moor", 1.95))]),
    ];
    let wear = UnitWear::of("moor", &accounts).unwrap();
    assert!(
        wear.told[0].contains("P-17 was thrown out at moor-0001 and is back"),
        "{:?}",
        wear.told
    );
}

#[test]
fn a_name_that_a_spreadsheet_would_work_out_has_an_apostrophe_before_it() {
    let named = PlateAccount {
        part: "=1+1".into(),
        ..plate("moor", "@G1", 2.000)
    };
    let accounts = [build("moor", 1, None, vec![named])];
    let text = UnitWear::of("moor", &accounts).unwrap().csv().unwrap();
    let mut rows = csv::Reader::from_reader(text.as_bytes());
    assert_eq!(rows.headers().unwrap().len(), 13);
    let row = rows.records().next().unwrap().unwrap();
    assert_eq!((&row[1], &row[2], &row[10]), ("'@G1", "'=1+1", "2000"));
}
