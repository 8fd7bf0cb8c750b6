//! What a unit can be built with and stepped to; and what is settled of it on moments, held against what the trade knows, over
//! five cars that differ as cars do.

use shimwright::mechanics::tune::{Change, Near, Options, combinations, steps};
use shimwright::mechanics::whole_car::Coupling;
use shimwright::mechanics::{LockModel, LockSetup, SpringPlace};
use shimwright::quantity::{Datum, Distance, Force, Length, RampAngle, Ratio};
use shimwright::tuning::{Course, CourseError, Others, Rated, Settled, Together, Tried, Worn};
use shimwright::workshop::car_layout::Place;
use shimwright::workshop::{Car, STOCK_USES, UnitFile, Use};

fn ratio(value: f64) -> Ratio {
    Ratio::new(value).unwrap()
}

fn ramp(degrees: f64) -> RampAngle {
    if degrees >= 90.0 {
        RampAngle::NONE
    } else {
        RampAngle::new(degrees, Datum::RingFace).unwrap()
    }
}

fn force(newtons: f64) -> Force {
    Force::from_newtons(newtons).unwrap()
}

fn unit() -> LockSetup {
    LockSetup {
        faces: [8; 2],
        friction: ratio(0.1),
        friction_radius: Length::from_um(40_000),
        pin_radius: Length::from_um(31_000),
        drive: ramp(60.0),
        coast: ramp(75.0),
        ramp_friction: ratio(0.06),
        preload: [force(300.0); 2],
        spring_place: SpringPlace::BehindPack,
        gear_thrust: None,
        tab_friction: None,
    }
}

#[test]
fn every_combination_is_made_once_and_the_unit_s_own_is_among_them() {
    let offered = Options {
        ramps: vec![
            [ramp(60.0), ramp(75.0)],
            [ramp(45.0), ramp(75.0)],
            [ramp(45.0), ramp(60.0)],
        ],
        faces: vec![6, 8, 10],
        preload: vec![force(300.0), force(600.0)],
    };
    let all = combinations(&unit(), &offered).unwrap();
    assert_eq!(all.len(), 3 * 3 * 2);
    for (n, one) in all.iter().enumerate() {
        assert!(all[..n].iter().all(|other| other.setup != one.setup));
        let own = unit();
        let changed = [
            (one.setup.drive, one.setup.coast) != (own.drive, own.coast),
            one.setup.faces != own.faces,
            one.setup.preload != own.preload,
        ];
        assert_eq!(
            one.changes as usize,
            changed.iter().filter(|changed| **changed).count()
        );
    }
    assert_eq!(all.iter().filter(|one| one.changes == 0).count(), 1);
    let many = Options {
        ramps: (0..400)
            .map(|n| [ramp(20.0 + 0.1 * f64::from(n)), ramp(75.0)])
            .collect(),
        faces: (1..=20).collect(),
        preload: (1..=20).map(|n| force(f64::from(n))).collect(),
    };
    assert!(combinations(&unit(), &many).is_err());
}

#[test]
fn steps_go_to_the_next_of_what_there_is() {
    let near = Near {
        faces: vec![4, 6, 8, 10, 12],
        drive: vec![ramp(45.0), ramp(60.0), ramp(70.0)],
        coast: Vec::new(),
        worn: Some(force(200.0)),
    };
    let found: Vec<Change> = steps(&unit(), &near)
        .unwrap()
        .into_iter()
        .map(|(change, _)| change)
        .collect();
    // 16 faces of 0.1 at 40 mm hold 10 N·m with 156.25 N
    assert_eq!(
        found,
        [
            Change::Faces(6),
            Change::Faces(10),
            Change::Drive(ramp(45.0)),
            Change::Drive(ramp(70.0)),
            Change::Coast(ramp(70.0)),
            Change::Coast(ramp(80.0)),
            Change::Preload(force(143.75)),
            Change::Preload(force(456.25)),
            Change::Worn(force(200.0)),
            Change::Friction(ratio(0.1 - 0.02)),
            Change::Friction(ratio(0.1 + 0.02)),
        ]
    );
}

/// Five cars that differ in mass, length, height and engine, all invented; the axle is put in.
fn five_cars(driven: &str) -> Vec<Car> {
    [
        (950, 52, 2400, 480, 1400, 0.29, 150),
        (1150, 58, 2520, 500, 1480, 0.30, 230),
        (1250, 54, 2600, 480, 1500, 0.31, 320),
        (1350, 56, 2550, 520, 1550, 0.32, 380),
        (720, 48, 2250, 380, 1350, 0.28, 130),
    ]
    .into_iter()
    .map(|(mass, front, wheelbase, height, track, radius, torque)| {
        let front = mass * front / 100;
        let text = format!(
            "format = \"shimwright car 1\"\nname = \"car of {mass}\"\ndriven = \"{driven}\"\nmass = \"{mass} kg\"\n\
             front_weight = \"{front} kg\"\nrear_weight = \"{} kg\"\ntrack = \"{track} mm\"\nwheelbase = \"{wheelbase} mm\"\n\
             height = \"{height} mm\"\nroll_share = 0.5\ntyre_radius = \"{radius} m\"\n[engine]\ntorque = \"{torque} N·m\"\n\
             drag = \"{} N·m\"\n[gears]\nratios = [3.2, 2.1, 1.5]\nsettle_in = 2\nfinal = 4.1\nefficiency = 0.9\n",
            mass - front,
            torque / 8
        );
        Car::read("car.toml", &text).unwrap_or_else(|faults| panic!("{faults}"))
    })
    .collect()
}

fn stock(id: &str) -> Use {
    let source = STOCK_USES.iter().find(|(known, _)| *known == id).unwrap().1;
    Use::read(id, source).unwrap()
}

fn rated(car: &Car, wanted: &Use, setup: &LockSetup) -> Rated {
    let course =
        Course::new(car, wanted, &Others::of(car), Tried::AS_GIVEN).unwrap_or_else(|error| panic!("{error}"));
    course.rated(setup).unwrap()
}

fn with(drive: f64, coast: f64, faces: u32) -> LockSetup {
    LockSetup {
        drive: ramp(drive),
        coast: ramp(coast),
        faces: [faces; 2],
        ..unit()
    }
}

// facts of the trade, common practice, no source

#[test]
fn a_drift_car_is_one_by_half_throttle_with_ramps_that_spread_much_and_a_two_way() {
    let wanted = stock("drift");
    for car in five_cars("rear") {
        let one = rated(&car, &wanted, &with(45.0, 45.0, 12));
        let found = &one.results[0];
        assert!(found.met[0].short.value() <= 0.0, "{}: {one:?}", car.name);
        assert!(
            found.one_from.is_some_and(|from| from.value() <= 0.5) && found.one_to.is_none(),
            "{}",
            car.name
        );
        let mild = rated(&car, &wanted, &with(80.0, 90.0, 4));
        assert!(mild.results[0].met[0].short.value() > 0.5, "{}", car.name);
        // and off the throttle the two-way holds the car, the one-way does not
        let one_way = rated(&car, &wanted, &with(45.0, 90.0, 12));
        assert!(
            one.results[1].against > one_way.results[1].against,
            "{}",
            car.name
        );
    }
}

#[test]
fn a_slalom_car_with_driven_front_wheels_is_never_one() {
    let wanted = stock("slalom");
    for car in five_cars("front") {
        // few faces and rings that hardly spread pass through it and never stay so
        let mild = rated(&car, &wanted, &with(85.0, 90.0, 2));
        assert!(mild.results[0].one_from.is_none(), "{}: {mild:?}", car.name);
        // what locks is refused by the want, whatever it puts down
        let locked = rated(&car, &wanted, &with(30.0, 30.0, 12));
        assert!(
            locked.results[0].one_from.is_some() && locked.worst.value() > 0.0,
            "{}",
            car.name
        );
        let never = locked.results[0]
            .met
            .iter()
            .find(|met| met.want.words() == "never one")
            .unwrap();
        assert!(never.short.value() > 0.0);
    }
}

#[test]
fn a_two_way_holds_on_coast_as_on_drive_and_a_one_way_its_preload_alone() {
    let wanted = stock("tarmac-stage");
    for car in five_cars("rear") {
        let lift = |setup: &LockSetup| {
            let found = rated(&car, &wanted, setup);
            let (_, state) = found.results.last().unwrap().states[0];
            state.axles[1]
        };
        let one_way = lift(&with(60.0, 90.0, 8));
        // 16 faces of 0.1 at 40 mm under 300 N
        assert!((one_way.capacity.unwrap().newton_metres() - 19.2).abs() < 1e-9);
        // S of 60°: 16 · 0.1 · 0.040 m/(2 · 0.031 m) · (cos 60° − 0.06 sin 60°)/(sin 60° + 0.06 cos 60°), on coast as on drive
        let (sine, cosine) = 60.0_f64.to_radians().sin_cos();
        let share = 16.0 * 0.1 * 0.040 / 0.062 * (cosine - 0.06 * sine) / (sine + 0.06 * cosine);
        let two_way = lift(&LockSetup {
            preload: [force(0.0); 2],
            ..with(60.0, 60.0, 8)
        });
        let held = two_way.capacity.unwrap().newton_metres();
        let drag = two_way.torque.newton_metres();
        assert!(
            drag < 0.0 && (held + share * drag).abs() < 1e-9 * held,
            "{held} {drag}"
        );
    }
}

#[test]
fn little_power_needs_rings_that_spread_more_and_a_wheel_on_the_verge_more_lock() {
    let text = |grip: f64| {
        format!(
            "format = \"shimwright use 2\"\nname = \"X\"\nwords = \"w\"\n[[moment]]\nname = \"out of a bend\"\n\
             speed = \"45 km/h\"\ncornering = 0.25\ninside_grip = {grip}\noutside_grip = 0.65\nslide_slip = 0.15\n\
             puts_down = 0.95\n"
        )
    };
    let (even, worse) = (text(0.65), text(0.33));
    let mut differ = 0;
    for car in five_cars("rear") {
        let least = |text: &str| {
            let wanted = Use::read("x", text).unwrap();
            (4..=17).rev().map(|n| 5 * n).find(|degrees| {
                rated(&car, &wanted, &with(f64::from(*degrees), 90.0, 8))
                    .worst
                    .value()
                    <= 0.0
            })
        };
        let (even, worse) = (least(&even), least(&worse));
        assert!(worse < even, "{}: {worse:?} {even:?}", car.name);
        differ += usize::from(even.is_some());
    }
    assert!(differ >= 4);
}

#[test]
fn settings_are_ranked_by_the_worst_moment_and_what_can_not_be_told_apart_is_one() {
    let car = Car::read("car", include_str!("../../demo-units/moor-car.toml")).unwrap();
    let unit = UnitFile::read("unit", include_str!("../../demo-units/moor-rear.toml")).unwrap();
    for id in ["gravel-stage", "hillclimb"] {
        let wanted = stock(id);
        let settled =
            Settled::new(&car, &wanted, &unit, &Others::of(&car)).unwrap_or_else(|error| panic!("{error}"));
        assert!((1..=3).contains(&settled.proposals.len()), "{id}");
        let worst: Vec<f64> = settled
            .proposals
            .iter()
            .map(|one| one.rated.worst.value())
            .collect();
        assert!(
            worst.windows(2).all(|pair| pair[0] <= pair[1] + 1e-3),
            "{id}: {worst:?}"
        );
        assert!(worst[0] <= settled.now.worst.value() + 1e-3, "{id}");
        for one in &settled.proposals {
            assert!(one.alike.iter().all(|other| *other != one.rated.setup), "{id}");
            // the figure lies within its own band
            for (result, bands) in one.rated.results.iter().zip(&one.bands) {
                let against = result.against.newton_metres();
                assert!(bands.against.least.unwrap() <= against && against <= bands.against.most.unwrap());
            }
        }
        assert!(
            settled.moves.windows(2).all(|pair| pair[0].by >= pair[1].by),
            "{id}"
        );
        // the heat of a face is that of the packs shared
        assert!(
            settled
                .proposals
                .iter()
                .all(|one| one.cost.faces == one.rated.setup.faces.iter().sum::<u32>())
        );
    }
}

#[test]
fn moments_that_can_not_be_driven_are_refused_with_the_reason() {
    let car = &five_cars("rear")[2];
    let with = |more: &str| {
        let text = format!(
            "format = \"shimwright use 2\"\nname = \"X\"\nwords = \"w\"\n[[moment]]\nname = \"a bend\"\nspeed = \"60 km/h\"\n\
             inside_grip = 0.8\noutside_grip = 0.8\none_from = 0.5\n{more}"
        );
        let wanted = Use::read("x", &text).unwrap_or_else(|faults| panic!("{faults}"));
        Course::new(car, &wanted, &Others::of(car), Tried::AS_GIVEN).unwrap_err()
    };
    let fast = with("cornering = 0.9\n").to_string();
    // 675 kg in front at 0.9 g against 0.8 times their weight
    assert!(
        fast.contains("at the moment \"a bend\": the bend asks 5958 N sideways of tyres that have 5296 N"),
        "{fast}"
    );
    let gear = with("cornering = 0.2\ngear = 5\n");
    assert_eq!(
        gear.to_string(),
        "the moment \"a bend\" is driven in gear 5, but the car has 3"
    );
    assert!(matches!(gear, CourseError::Gear { .. }));
    let place = with("cornering = 0.2\nunit_in = \"front\"\n").to_string();
    assert_eq!(place, "no moment of the use \"X\" is for a unit in the rear");
}

/// How far the worst moment and the mean of both units are off, each on a course that is made from a car file with the unit
/// there and the other unit beside it.
fn off_together(cars: [&Car; 2], wanted: &Use, setups: [&LockSetup; 2]) -> (f64, f64) {
    let plates = |setup: &LockSetup| Coupling::Plates(Box::new(LockModel::new(setup.clone()).unwrap()));
    let [rear, front] = setups;
    let others = Others {
        front: plates(front),
        rear: plates(rear),
        ..Others::of(cars[0])
    };
    let (mut worst, mut sum, mut all) = (0.0_f64, 0.0, 0.0);
    for (car, setup) in cars.into_iter().zip(setups) {
        let course = Course::new(car, wanted, &others, Tried::AS_GIVEN).unwrap();
        let rated = course.rated(setup).unwrap();
        for (stage, result) in course.stages.iter().zip(&rated.results) {
            let weight = stage.moment.weight.value();
            (all, sum) = (all + weight, sum + weight * result.short.value());
            worst = worst.max(result.short.value());
        }
    }
    (worst, sum / all)
}

#[test]
fn two_units_together_are_off_no_more_than_with_either_changed_alone() {
    let text = include_str!("../../demo-units/shoal-car.toml");
    let car = Car::read("car", text).unwrap();
    assert!(text.contains("unit_in = \"rear\"") && text.contains("roll_share = 0.48"));
    let text = text
        .replace("unit_in = \"rear\"", "unit_in = \"front\"")
        .replace("roll_share = 0.48", "roll_share = 0.52");
    let front_car = Car::read("car", &text).unwrap();
    let cars = [&car, &front_car];
    let rear = UnitFile::read("rear", include_str!("../../demo-units/shoal-rear.toml")).unwrap();
    let front = UnitFile::read("front", include_str!("../../demo-units/fell-front.toml")).unwrap();
    let wanted = stock("tarmac-stage");
    let others = Others::of(&car);
    let found = Together::new(&car, &wanted, &rear, (Place::Front, &front), &others).unwrap();
    for pair in found.pairs.iter().chain(&found.alone).chain([&found.now]) {
        let [one, other] = &pair.rated;
        let (worst, mean) = off_together(cars, &wanted, [&one.setup, &other.setup]);
        assert!((pair.worst.value() - worst).abs() < 1e-9, "{worst} {pair:?}");
        assert!((pair.mean.value() - mean).abs() < 1e-9, "{mean} {pair:?}");
    }
    let best = &found.pairs[0];
    assert!(
        found
            .pairs
            .windows(2)
            .all(|two| two[0].worst.value() <= two[1].worst.value() + 1e-3),
        "{:?}",
        found.pairs
    );
    // here both must be changed: neither alone comes near
    assert!(found.differs(best).iter().all(|words| !words.is_empty()));
    for alone in &found.alone {
        assert!(best.worst.value() < 0.6 * alone.worst.value());
        assert!(alone.worst <= found.now.worst);
    }
    // nothing that either offers by itself does better, the other as it is
    let now = [rear.lock_setup().unwrap(), front.lock_setup().unwrap()];
    for (n, unit) in [&rear, &front].into_iter().enumerate() {
        let all = combinations(&now[n], unit.offer()).unwrap();
        assert_eq!(found.offered[n], all.len());
        for one in all.iter().step_by(4) {
            let mut setups = [&now[0], &now[1]];
            setups[n] = &one.setup;
            let (worst, _) = off_together(cars, &wanted, setups);
            assert!(found.alone[n].worst.value() <= worst + 1e-3, "{worst} {one:?}");
        }
    }
    let most = found.offered.iter().sum::<usize>() - 1 + 12 * 12;
    assert!(
        found.tried > found.offered.iter().sum() && found.tried <= most,
        "{}",
        found.tried
    );
}

#[test]
fn a_second_unit_where_none_can_be_is_refused_with_the_reason() {
    let both = Car::read("car", include_str!("../../demo-units/shoal-car.toml")).unwrap();
    let rear_driven = Car::read("car", include_str!("../../demo-units/moor-car.toml")).unwrap();
    let unit = UnitFile::read("rear", include_str!("../../demo-units/shoal-rear.toml")).unwrap();
    let wanted = stock("gravel-stage");
    let refused = |car: &Car, place| {
        let others = Others::of(car);
        Together::new(car, &wanted, &unit, (place, &unit), &others)
            .unwrap_err()
            .to_string()
    };
    assert_eq!(
        refused(&both, Place::Rear),
        "no unit in the rear can be settled together with it: that is where the unit itself sits"
    );
    for place in [Place::Front, Place::Centre] {
        assert_eq!(
            refused(&rear_driven, place),
            format!(
                "no unit in the {} can be settled together with it: the car drives one axle alone",
                place.word()
            )
        );
    }
}

#[test]
fn wear_over_a_distance_widens_the_bands_to_what_the_worn_unit_does() {
    let car = Car::read("car", include_str!("../../demo-units/moor-car.toml")).unwrap();
    let unit = UnitFile::read("unit", include_str!("../../demo-units/moor-rear.toml")).unwrap();
    let (wanted, others) = (stock("hillclimb"), Others::of(&car));
    let worn = Worn {
        over: Distance::from_kilometres(1500.0).unwrap(),
        preload: force(500.0),
        friction: ratio(0.03),
    };
    let new = Settled::new(&car, &wanted, &unit, &others).unwrap();
    let settled = Settled::with_wear(&car, &wanted, &unit, &others, Some(worn)).unwrap();
    let setups = |settled: &Settled| -> Vec<LockSetup> {
        let all = settled.proposals.iter();
        all.map(|one| one.rated.setup.clone()).collect()
    };
    assert_eq!(setups(&new), setups(&settled));
    let mut wider = 0;
    for (before, after) in new.proposals.iter().zip(&settled.proposals) {
        let mut setup = after.rated.setup.clone();
        setup.friction = ratio(setup.friction.value() - 0.03);
        setup.preload = setup.preload.map(|one| force((one.newtons() - 500.0).max(0.0)));
        let then = rated(&car, &wanted, &setup);
        for (n, result) in then.results.iter().enumerate() {
            let (narrow, wide) = (&before.bands[n].against, &after.bands[n].against);
            let against = result.against.newton_metres();
            assert!(wide.least.unwrap() <= against + 1e-9 && against <= wide.most.unwrap() + 1e-9);
            assert!(wide.least <= narrow.least && narrow.most <= wide.most);
            wider += usize::from(wide.least < narrow.least);
        }
    }
    assert!(wider > 0);
    let words: Vec<String> = settled.moves.iter().map(|moves| moves.doubt.words()).collect();
    let said = "wear over 1500 km (− 500 N, − 0.030 friction)";
    assert!(words.iter().any(|words| words == said), "{words:?}");
    assert_eq!(settled.moves.len(), new.moves.len() + 1);
}
