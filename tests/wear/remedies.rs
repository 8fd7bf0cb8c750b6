//! Remedies against the unit put together anew from its worn parts, on histories whose wear is known.

use crate::truth::{BETWEEN, BUILDS, CASE, GEAR, Truth};
use shimwright::history::remedies::{Reckoned, Remedies, Remedy, What};
use shimwright::history::{UnitWear, Wearing};
use shimwright::mechanics::pack::active_faces;
use shimwright::mechanics::{DiscSpring, Keying, SpringStack};
use shimwright::quantity::{Force, Length};
use shimwright::workshop::{Aim, Drawer, SpringKind};
use std::collections::HashMap;

fn last() -> f64 {
    BETWEEN * (BUILDS - 1) as f64
}

fn find(remedies: &Remedies, is: impl Fn(&What) -> bool) -> &Remedy {
    remedies
        .list
        .iter()
        .find(|remedy| is(&remedy.what))
        .unwrap_or_else(|| panic!("{remedies:#?}"))
}

#[track_caller]
fn close(value: f64, wanted: f64, within: f64) {
    assert!((value - wanted).abs() <= within, "{value}, and not {wanted}");
}

fn sprung() -> Truth {
    Truth::new("moor-rear.toml", "moor-drawer.toml")
}

fn stands(remedy: &Remedy) -> (f64, f64) {
    let preload = remedy.stands.preload.unwrap()[0].newtons();
    (preload, remedy.stands.breakaway.unwrap().value.newton_metres())
}

#[test]
fn a_unit_that_is_left_alone_comes_to_what_its_worn_parts_turn_at() {
    let truth = sprung();
    for after in [0.0, 700.0, 2500.0] {
        let remedies = truth.remedies(10, Some(after));
        assert_eq!(remedies.reckoned, Reckoned::Asked);
        let nothing = find(&remedies, |what| *what == What::Nothing);
        let room = truth.rooms(last() + after, &truth.shims, &HashMap::new())[0];
        let (force, torque) = truth.sprung(room, &truth.settled(), 10, after);
        close(stands(nothing).0, force, 0.01);
        close(stands(nothing).1, torque, 0.001);
        assert!(nothing.brings.is_none());
    }
}

#[test]
fn shims_of_the_drawer_bring_back_what_the_unit_with_them_turns_at() {
    let truth = sprung();
    let after = 2000.0;
    let remedies = truth.remedies(10, Some(after));
    let shims = find(&remedies, |what| matches!(what, What::Shims { .. }));
    let What::Shims {
        exact,
        more,
        shims: Some(sides),
        ..
    } = &shims.what
    else {
        panic!("{shims:?}");
    };
    let gone = last() + after;
    let room = |shims: &[Vec<Length>; 2]| truth.rooms(gone, shims, &HashMap::new())[0];
    let (force, torque) = truth.sprung(room(sides), &truth.settled(), 10, after);
    close(stands(shims).0, force, 0.01);
    close(stands(shims).1, torque, 0.001);
    let before = truth.sprung(room(&truth.shims), &truth.settled(), 10, after);
    close(shims.brings.unwrap().value, torque - before.1, 0.001);
    close(shims.pressed, force / before.0, 1e-6);
    // what is told as exact gives the preload that is wanted, to a micrometre of shim
    let Aim::Preload { least, target, most } = truth.unit.aim else {
        panic!()
    };
    let with = |n: usize| vec![truth.shims[n][0] + exact[n]];
    let (wanted, _) = truth.sprung(room(&[with(0), with(1)]), &truth.settled(), 10, after);
    close(wanted, target.newtons(), 3.0);
    assert!((least..=most).contains(&Force::from_newtons(force).unwrap()));
    // no other shims of the drawer come nearer: every sum of up to three of them a side is tried
    let mut sizes: Vec<Length> = truth
        .drawer
        .shims
        .iter()
        .flat_map(|(thickness, count)| vec![*thickness; *count as usize])
        .collect();
    sizes.extend(truth.shims.iter().flatten());
    let mut sums = std::collections::BTreeSet::from([Length::ZERO]);
    for _ in 0..6 {
        let longer: Vec<Length> = sums
            .iter()
            .flat_map(|sum| sizes.iter().map(move |size| *sum + *size))
            .collect();
        sums.extend(longer);
    }
    let lacking = (exact[0] + exact[1] + truth.shims[0][0] + truth.shims[1][0]).mm();
    let best = sums
        .iter()
        .map(|sum| (sum.mm() - lacking).abs())
        .fold(f64::INFINITY, f64::min);
    let taken = (more[0] + more[1]).mm() - (exact[0] + exact[1]).mm();
    assert!(taken.abs() <= best + 0.002, "{taken} {best}");
}

#[test]
fn life_after_a_remedy_is_that_of_a_unit_worn_ten_kilometres_at_a_time() {
    let truth = sprung();
    let after = 2000.0;
    let remedies = truth.remedies(10, Some(after));
    let shims = find(&remedies, |what| matches!(what, What::Shims { .. }));
    let What::Shims {
        shims: Some(sides), ..
    } = &shims.what
    else {
        panic!();
    };
    let Aim::Preload { least, .. } = truth.unit.aim else {
        panic!()
    };
    let at = |far: f64| {
        // all plates wear by the pressure from there on
        let gone = last() + after + shims.pressed * far;
        truth.sprung(
            truth.rooms(gone, sides, &HashMap::new())[0],
            &truth.settled(),
            10,
            after + far,
        )
    };
    let mut far = 0.0;
    while at(far).0 > least.newtons() && at(far).1 > truth.unit.proof.least.newton_metres() {
        far += 10.0;
    }
    let holds = shims.holds.as_ref().unwrap();
    close(holds.at.unwrap(), far, 11.0);
    assert!(holds.from < holds.at.unwrap() && holds.to.unwrap() > holds.at.unwrap());
    // the plate that is first at its limit
    let (mut far, mut worn) = (0.0, None);
    while worn.is_none() {
        far += 10.0;
        let gone = last() + after + shims.pressed * far;
        worn = truth.new.keys().find(|name| {
            let limit = match truth.keyed(name) {
                Keying::Gear => truth.unit.limits.gear_least,
                Keying::Case => truth.unit.limits.case_least,
            };
            truth.thickness(name, gone) <= limit.mm()
        });
    }
    let plate = shims.plate.as_ref().unwrap();
    assert_eq!(plate.what.short(), *worn.unwrap());
    close(plate.at.unwrap(), far, 11.0);
}

#[test]
fn from_two_builds_no_band_stands_at_how_far_a_remedy_goes() {
    let truth = sprung();
    let of = |builds: usize| Remedies::of(&truth.wear_of(builds, 10), &truth.unit, &truth.drawer, None);
    for remedy in &of(2).list {
        let holds = remedy.holds.as_ref().unwrap();
        assert_eq!(
            (holds.at, holds.to),
            (Some(holds.from), Some(holds.from)),
            "{remedy:?}"
        );
    }
    let banded = |remedy: &Remedy| {
        remedy
            .holds
            .as_ref()
            .is_some_and(|holds| holds.at > Some(holds.from))
    };
    assert!(of(BUILDS).list.iter().all(banded), "{:?}", of(BUILDS).list);
}

#[test]
fn one_thicker_plate_brings_what_the_unit_with_it_turns_at_and_the_next_plate_is_first() {
    let truth = sprung();
    let after = 2000.0;
    let remedies = truth.remedies(10, Some(after));
    let nothing = find(&remedies, |what| *what == What::Nothing);
    let plates = find(&remedies, |what| matches!(what, What::Plates(_)));
    let What::Plates(swaps) = &plates.what else {
        panic!()
    };
    // one is enough where one depth spans both packs, and it is the one that would be at its limit first
    assert_eq!(swaps.len(), 1);
    let swap = &swaps[0];
    assert_eq!(
        nothing.plate.as_ref().unwrap().what,
        Wearing::Plate(swap.out.clone())
    );
    assert_eq!(swap.spare.as_deref(), Some("SG1"));
    close(
        swap.thickness.mm(),
        truth.thickness(&swap.out, last() + after),
        0.001,
    );
    let changed = HashMap::from([(swap.out.clone(), swap.into.mm())]);
    let room = truth.rooms(last() + after, &truth.shims, &changed)[0];
    close(
        stands(plates).1,
        truth.sprung(room, &truth.settled(), 10, after).1,
        0.02,
    );
    assert_ne!(plates.plate, nothing.plate);
    // as thick as it is said to have to be, it brings all back
    let changed = HashMap::from([(swap.out.clone(), swap.whole.mm())]);
    let room = truth.rooms(last() + after, &truth.shims, &changed)[0];
    let Aim::Preload { target, .. } = truth.unit.aim else {
        panic!()
    };
    close(
        truth.sprung(room, &truth.settled(), 10, after).0,
        target.newtons(),
        3.0,
    );
    // without spares it is a new one of the usual thickness
    let bare = Drawer {
        spares: Vec::new(),
        ..truth.drawer.clone()
    };
    let remedies = Remedies::of(&truth.wear(10), &truth.unit, &bare, Some(after));
    let plates = find(&remedies, |what| matches!(what, What::Plates(_)));
    let What::Plates(swaps) = &plates.what else {
        panic!()
    };
    assert_eq!(
        (swaps[0].spare.as_ref(), swaps[0].into),
        (None, Length::from_um(2_000))
    );
}

#[test]
fn springs_as_new_and_harder_springs_are_those_of_the_formula() {
    let truth = sprung();
    let after = 2000.0;
    let remedies = truth.remedies(10, Some(after));
    let room = truth.rooms(last() + after, &truth.shims, &HashMap::new())[0];
    let springs = find(&remedies, |what| matches!(what, What::NewSprings { .. }));
    let new = truth.unit.spring.as_ref().unwrap().stack;
    let (force, torque) = truth.sprung(room, &new, 10, after);
    close(stands(springs).0, force, 0.01);
    close(stands(springs).1, torque, 0.001);
    let harder = find(&remedies, |what| matches!(what, What::HarderSprings(_)));
    let What::HarderSprings(times) = harder.what else {
        panic!()
    };
    let (now, torque) = truth.sprung(room, &truth.settled(), 10, after);
    let Aim::Preload { target, .. } = truth.unit.aim else {
        panic!()
    };
    close(times * now, target.newtons(), 0.01);
    close(stands(harder).1, torque * times, 0.001);
}

#[test]
fn one_more_face_is_there_only_where_the_order_of_the_plates_has_it() {
    let truth = sprung();
    let full = truth.remedies(10, Some(0.0));
    assert!(
        full.told.iter().any(|told| told.contains("All faces")),
        "{:?}",
        full.told
    );
    let remedies = truth.remedies(8, Some(1000.0));
    let nothing = find(&remedies, |what| *what == What::Nothing);
    let faces = find(&remedies, |what| matches!(what, What::Faces { .. }));
    let What::Faces { from, to, order } = &faces.what else {
        panic!()
    };
    assert_eq!((*from, *to), ([8, 8], [9, 9]));
    for order in order {
        assert_eq!(active_faces(order, false), 9);
    }
    close(stands(faces).1, stands(nothing).1 * 9.0 / 8.0, 1e-6);
    close(faces.pressed, 1.0, 1e-12);
    // the pack loses by its faces, a plate does not
    assert_eq!(faces.plate, nothing.plate);
    let Aim::Preload { least, .. } = truth.unit.aim else {
        panic!()
    };
    let at = |far: f64| {
        let gone = last() + 1000.0 + 9.0 / 8.0 * far;
        truth.sprung(
            truth.rooms(gone, &truth.shims, &HashMap::new())[0],
            &truth.settled(),
            9,
            1000.0 + far,
        )
    };
    let mut far = 0.0;
    while at(far).0 > least.newtons() && at(far).1 > truth.unit.proof.least.newton_metres() {
        far += 10.0;
    }
    close(faces.holds.as_ref().unwrap().at.unwrap(), far, 11.0);
}

#[test]
fn oil_brings_back_the_friction_that_was_lost_since_the_plates_were_clean() {
    let truth = sprung();
    let after = 2000.0;
    let remedies = truth.remedies(10, Some(after));
    let nothing = find(&remedies, |what| *what == What::Nothing);
    let oil = find(&remedies, |what| matches!(what, What::Oil { .. }));
    let What::Oil {
        fades,
        found,
        left,
        builds,
    } = oil.what
    else {
        panic!()
    };
    assert_eq!(builds, BUILDS);
    close(fades, 5e-6, 1e-12);
    close(found, 0.095, 1e-9);
    close(left, 0.1, 1e-9);
    let room = truth.rooms(last() + after, &truth.shims, &HashMap::new())[0];
    close(
        stands(oil).1,
        truth.sprung(room, &truth.settled(), 10, 0.0).1,
        0.001,
    );
    close(oil.brings.unwrap().value, stands(oil).1 - stands(nothing).1, 1e-9);
    close(oil.pressed, 1.0, 1e-12);
    // of what it has not lost it can bring nothing back
    let now = truth.remedies(10, Some(0.0));
    assert!(
        !now.list
            .iter()
            .any(|remedy| matches!(remedy.what, What::Oil { .. }))
    );
    assert!(
        now.told
            .iter()
            .any(|told| told.contains("no friction has been lost"))
    );
}

#[test]
fn where_nothing_is_asked_for_the_distance_is_the_earliest_at_which_a_limit_may_be_met() {
    let truth = sprung();
    let wear = truth.wear(10);
    let remedies = Remedies::of(&wear, &truth.unit, &truth.drawer, None);
    let earliest = wear.fadings().filter_map(|fading| fading.outlook.earliest());
    let earliest = earliest.fold(f64::INFINITY, f64::min);
    assert_eq!(remedies.reckoned, Reckoned::AtTheEarliest);
    close(remedies.after, earliest, 1e-9);
    let accounts = [truth.account(1, 10)];
    let one = UnitWear::of(&truth.unit.id, &accounts).unwrap();
    let remedies = Remedies::of(&one, &truth.unit, &truth.drawer, None);
    assert_eq!((remedies.reckoned, remedies.after), (Reckoned::Now, 0.0));
    let nothing = find(&remedies, |what| *what == What::Nothing);
    assert!(nothing.holds.is_none() && nothing.plate.is_none());
    // a thicker plate is a matter of one build too: the thinnest above its limit makes room for it
    let mut worn = sprung();
    worn.shims = [vec![Length::from_um(300)], vec![Length::from_um(300)]];
    let accounts = [worn.account(1, 10)];
    let one_worn = UnitWear::of(&worn.unit.id, &accounts).unwrap();
    let thin = Remedies::of(&one_worn, &worn.unit, &worn.drawer, None);
    let plates = find(&thin, |what| matches!(what, What::Plates(_)));
    let What::Plates(swaps) = &plates.what else {
        panic!()
    };
    let left = |name: &str| {
        let limit = match worn.keyed(name) {
            Keying::Gear => worn.unit.limits.gear_least,
            Keying::Case => worn.unit.limits.case_least,
        };
        worn.thickness(name, 0.0) - limit.mm()
    };
    let least = worn
        .new
        .keys()
        .map(|name| left(name))
        .fold(f64::INFINITY, f64::min);
    close(left(&swaps[0].out), least, 1e-9);
    // asked for a distance all the same, it says that it can not reckon for it
    let remedies = Remedies::of(&one, &truth.unit, &truth.drawer, Some(500.0));
    assert!(
        remedies.told[0].contains("How fast the packs wear can not be told"),
        "{:?}",
        remedies.told
    );
}

#[test]
fn a_gap_grows_as_its_plates_wear_and_shims_bring_it_back() {
    let truth = Truth::new("fell-front.toml", "fell-drawer.toml");
    let wear = truth.wear(6);
    assert!(wear.preload.is_empty() && wear.gaps.len() == 2 && wear.rooms.is_empty());
    let after = 500.0;
    let remedies = Remedies::of(&wear, &truth.unit, &truth.drawer, Some(after));
    let nothing = find(&remedies, |what| *what == What::Nothing);
    let rooms = truth.rooms(last() + after, &truth.shims, &HashMap::new());
    for ((_, gap), room) in nothing.stands.gaps.iter().zip(&rooms) {
        close(gap.mm(), *room, 1e-5);
    }
    assert!(nothing.stands.breakaway.is_none() && nothing.brings.is_none());
    let Aim::Gap { target, most, .. } = truth.unit.aim else {
        panic!()
    };
    let rate = 3.0 * GEAR + 4.0 * CASE;
    let holds = nothing.holds.as_ref();
    let first = rooms.iter().map(|room| ((most.mm() - room) / rate).max(0.0));
    close(
        holds.unwrap().at.unwrap(),
        first.fold(f64::INFINITY, f64::min),
        1.0,
    );
    let shims = find(&remedies, |what| matches!(what, What::Shims { .. }));
    let What::Shims {
        exact, shims: sides, ..
    } = &shims.what
    else {
        panic!()
    };
    for (exact, room) in exact.iter().zip(&rooms) {
        close(exact.mm(), room - target.mm(), 0.0011);
    }
    if let Some(sides) = sides {
        let rooms = truth.rooms(last() + after, sides, &HashMap::new());
        for ((_, gap), room) in shims.stands.gaps.iter().zip(rooms) {
            close(gap.mm(), room, 1e-5);
        }
    }
    close(shims.pressed, 1.0, 1e-12);
    assert_eq!(shims.plate, nothing.plate);
}

#[test]
fn a_check_of_the_bench_alone_gives_no_remedies() {
    let truth = sprung();
    let mut account = truth.account(1, 10);
    for pack in &mut account.packs {
        pack.plates_left = None;
    }
    let accounts = [account];
    let wear = UnitWear::of(&truth.unit.id, &accounts).unwrap();
    let remedies = Remedies::of(&wear, &truth.unit, &truth.drawer, None);
    assert!(remedies.list.is_empty());
    assert!(
        remedies.told[0].contains("put the unit together"),
        "{:?}",
        remedies.told
    );
}

#[test]
fn past_the_peak_of_its_springs_no_shim_is_proposed() {
    let mut truth = sprung();
    let um = Length::from_um;
    // a cone of 2.2 mm on a thickness of 0.9: its force is greatest at a height of 1.94 mm
    let disc = DiscSpring::new(um(92_000), um(64_000), um(900), um(3_100), None).unwrap();
    let spring = truth.unit.spring.as_mut().unwrap();
    spring.stack = SpringStack::discs(disc, 1, 1).unwrap();
    spring.kind = SpringKind::Discs {
        disc,
        parallel: 1,
        series: 1,
    };
    truth.springs = um(3_100);
    truth.shims = [vec![um(1_000)], vec![um(1_000)]];
    let remedies = truth.remedies(10, Some(500.0));
    assert!(
        remedies
            .told
            .iter()
            .any(|told| told.contains("past their greatest force")),
        "{:?}",
        remedies.told
    );
    let proposed = |remedy: &Remedy| matches!(remedy.what, What::Shims { .. } | What::Plates(_));
    assert!(!remedies.list.iter().any(proposed));
    let nothing = find(&remedies, |what| *what == What::Nothing);
    let room = truth.rooms(last() + 500.0, &truth.shims, &HashMap::new())[0];
    close(
        stands(nothing).0,
        truth.sprung(room, &truth.settled(), 10, 500.0).0,
        0.01,
    );
}
