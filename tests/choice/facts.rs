//! What the choice promises, one by one.

use crate::cases::{Dice, small, um};
use shimwright::choice::{
    Candidate, Choice, ChoiceError, Fault, First, Layout, Need, Order, Request, STANDARD_SHIMS, ShimSize,
    SideChoice, Window, choose, evaluate, twins,
};
use shimwright::mechanics::{Keying, Side};
use shimwright::quantity::Length;

fn plate(name: &str, thickness: i64) -> Candidate {
    Candidate {
        name: name.into(),
        thickness: um(thickness),
        spare: false,
        fixed: None,
        ran: None,
    }
}

fn window(least: i64, target: i64, most: i64) -> Window {
    Window {
        least: um(least),
        target: um(target),
        most: um(most),
    }
}

/// One friction and one case plate a side, all 2.000 mm; gaps of 0.200 mm without a shim.
fn plain() -> Request {
    Request {
        layout: Layout::PerSide {
            rooms: [um(4200); 2],
            windows: [window(150, 200, 250); 2],
            match_within: None,
        },
        needs: [Need { gear: 1, case: 1 }; 2],
        gear: vec![plate("F1", 2000), plate("F2", 2000)],
        case: vec![plate("C1", 2000), plate("C2", 2000)],
        shims: vec![],
        least_shims: 0,
        most_shims: 3,
        guard: Length::ZERO,
        uncertainty: 0.0,
        first: First::Fewest,
        keep_in_place: false,
        alternatives: 10,
    }
}

fn rooms(request: &mut Request, left: i64, right: i64) {
    if let Layout::PerSide { rooms, .. } = &mut request.layout {
        *rooms = [um(left), um(right)];
    }
}

#[test]
fn plates_of_one_thickness_make_one_choice() {
    let outcome = choose(&plain()).unwrap();
    assert_eq!(outcome.choices.len(), 1);
    assert_eq!(outcome.choices[0].sides[0].gear, ["F1"]);
    assert_eq!(outcome.choices[0].sides[1].case, ["C2"]);
    assert_eq!(outcome.miss, None);
}

#[test]
fn sides_that_are_alike_are_not_changed_over_for_another_choice() {
    let mut request = plain();
    request.gear[1].thickness = um(2010);
    assert_eq!(choose(&request).unwrap().choices.len(), 1);
    rooms(&mut request, 4200, 4201);
    assert_eq!(choose(&request).unwrap().choices.len(), 2);
}

#[test]
fn a_used_plate_goes_in_before_a_new_one_of_the_same_thickness() {
    let mut request = plain();
    request.gear.insert(
        0,
        Candidate {
            spare: true,
            ..plate("F0", 2000)
        },
    );
    let choice = &choose(&request).unwrap().choices[0];
    assert_eq!(
        (choice.spares, &choice.sides[0].gear),
        (0, &vec!["F1".to_string()])
    );
}

#[test]
fn each_ranking_puts_its_own_thing_first() {
    let mut request = plain();
    // without a shim 40 µm off target; with one 10 µm off; with two or a new plate on it
    request.needs = [Need { gear: 1, case: 0 }, Need { gear: 0, case: 1 }];
    request.gear = vec![
        plate("F1", 2000),
        Candidate {
            spare: true,
            ..plate("F2", 2039)
        },
    ];
    request.case = vec![plate("C1", 2040)];
    rooms(&mut request, 2240, 2240);
    request.shims = vec![ShimSize {
        thickness: um(30),
        count: 1,
    }];
    request.uncertainty = 5.0;
    let best = |first| {
        request.first = first;
        let choice = choose(&request).unwrap().choices.remove(0);
        (choice.shims, choice.spares, choice.worst_deviation.nm() / 1000)
    };
    let mut best = best;
    assert_eq!(best(First::Fewest), (0, 1, 1));
    assert_eq!(best(First::Closest), (0, 1, 1));
    assert_eq!(best(First::Surest), (0, 1, 1));
    assert_eq!(best(First::Reuse), (0, 0, 40));
    request.gear.remove(1);
    let mut best = |first| {
        request.first = first;
        let choice = choose(&request).unwrap().choices.remove(0);
        (choice.shims, choice.worst_deviation.nm() / 1000)
    };
    assert_eq!(best(First::Fewest), (0, 40));
    assert_eq!(best(First::Closest), (1, 10));
    // 40 µm off with u = 5 µm is 10 µm from the end of the window: 97.7 %
    assert_eq!(best(First::Surest), (1, 10));
    assert_eq!(best(First::Reuse), (0, 40));
}

#[test]
fn the_probability_is_that_of_the_normal_distribution() {
    // one closing at the end of its window, the other two standard uncertainties inside:
    // Φ(0) · Φ(2) = 0.5 × 0.97725, table of the standard normal distribution
    let mut request = plain();
    rooms(&mut request, 4250, 4240);
    request.uncertainty = 5.0;
    let choice = &choose(&request).unwrap().choices[0];
    assert!(
        (choice.probability - 0.5 * 0.97725).abs() < 5e-6,
        "{}",
        choice.probability
    );
}

#[test]
fn a_guard_narrows_the_window_at_both_ends() {
    let mut request = plain();
    rooms(&mut request, 4245, 4155);
    assert_eq!(choose(&request).unwrap().choices.len(), 1);
    request.guard = um(5);
    assert_eq!(choose(&request).unwrap().choices.len(), 1);
    request.guard = Length::from_nm(5_001);
    let miss = choose(&request).unwrap().miss.unwrap();
    assert_eq!(miss.short_by, Length::from_nm(1));
}

#[test]
fn a_guard_wider_than_the_window_is_a_miss_and_no_error() {
    let mut request = plain();
    request.guard = um(60);
    let outcome = choose(&request).unwrap();
    assert_eq!(outcome.miss.unwrap().short_by, um(10));
}

#[test]
fn one_drawer_serves_both_sides() {
    let mut request = plain();
    rooms(&mut request, 4500, 4500);
    request.shims = vec![
        ShimSize {
            thickness: um(300),
            count: 1,
        },
        ShimSize {
            thickness: um(150),
            count: 1,
        },
    ];
    assert!(choose(&request).unwrap().choices.is_empty());
    // two entries of one size are one size
    request.shims.push(ShimSize {
        thickness: um(150),
        count: 1,
    });
    let choice = &choose(&request).unwrap().choices[0];
    assert_eq!((choice.shims, choice.closings), (3, [um(200); 2]));
}

#[test]
fn shims_fill_a_through_unit_and_keep_the_heights_level() {
    let mut request = plain();
    request.layout = Layout::Through {
        room: um(8700),
        offsets: [um(10_000), um(10_100)],
        window: window(150, 200, 250),
        match_within: um(20),
    };
    request.shims = vec![
        ShimSize {
            thickness: um(200),
            count: 2,
        },
        ShimSize {
            thickness: um(300),
            count: 1,
        },
    ];
    let outcome = choose(&request).unwrap();
    let choice = &outcome.choices[0];
    assert_eq!(choice.closings, [um(200); 2]);
    assert_eq!(choice.sides[0].shims, [um(300)]);
    assert_eq!(choice.sides[1].shims, [um(200)]);
    assert_eq!(choice.heights, [um(14_300); 2]);
}

#[test]
fn a_miss_tells_how_far_which_side_and_what_to_get() {
    let mut request = plain();
    rooms(&mut request, 4200, 4600);
    let outcome = choose(&request).unwrap();
    assert!(outcome.choices.is_empty());
    let miss = outcome.miss.unwrap();
    assert_eq!((miss.short_by, miss.side), (um(350), Some(Side::Right)));
    // 350 to 450 µm is missing: no one shim of the series, but two
    assert_eq!(
        miss.order,
        [Order::Shim {
            thickness: um(200),
            count: 2,
            is_standard: true
        }]
    );
    request.most_shims = 1;
    let miss = choose(&request).unwrap().miss.unwrap();
    assert_eq!(
        miss.order[0],
        Order::Shim {
            thickness: um(400),
            count: 1,
            is_standard: false
        }
    );
    let plate = Order::Plate {
        keying: Keying::Gear,
        thickness: um(2400),
    };
    assert!(miss.order.contains(&plate), "{:?}", miss.order);
    rooms(&mut request, 4400, 4400);
    request.most_shims = 3;
    let miss = choose(&request).unwrap().miss.unwrap();
    let two_of = |thickness| Order::Shim {
        thickness: um(thickness),
        count: 2,
        is_standard: true,
    };
    assert_eq!(miss.order, [two_of(200), two_of(150)]);
}

#[test]
fn a_pack_that_is_too_tight_asks_for_a_thinner_plate() {
    let mut request = plain();
    rooms(&mut request, 4200, 4100);
    let miss = choose(&request).unwrap().miss.unwrap();
    assert_eq!((miss.short_by, miss.side), (um(50), Some(Side::Right)));
    assert_eq!(
        miss.order,
        [Keying::Gear, Keying::Case].map(|keying| Order::Plate {
            keying,
            thickness: um(1900)
        })
    );
}

#[test]
fn what_a_miss_says_to_get_makes_it_fit() {
    let (mut shims, mut exact, mut plates) = (0, 0, 0);
    for seed in 0..250 {
        let mut request = small(seed);
        // room for a shim
        match &mut request.layout {
            Layout::PerSide { rooms, .. } if seed % 2 == 0 => rooms[0] += um(300),
            Layout::Through { room, .. } if seed % 2 == 0 => *room += um(300),
            _ => {}
        }
        let Ok(outcome) = choose(&request) else {
            continue;
        };
        let Some(miss) = outcome.miss else { continue };
        let with = |thickness, count| {
            let mut request = request.clone();
            request.shims.push(ShimSize { thickness, count });
            choose(&request).unwrap().choices
        };
        for order in &miss.order {
            match *order {
                Order::Shim {
                    thickness,
                    count,
                    is_standard,
                } => {
                    assert!(!with(thickness, count).is_empty(), "seed {seed}: {order:?}");
                    assert_eq!(is_standard, STANDARD_SHIMS.contains(&thickness) && is_standard);
                    shims += usize::from(is_standard);
                    exact += usize::from(!is_standard);
                }
                Order::Plate { keying, thickness } => {
                    let mut request = request.clone();
                    let plate = Candidate {
                        name: "new".into(),
                        thickness,
                        spare: true,
                        fixed: None,
                        ran: None,
                    };
                    match keying {
                        Keying::Gear => request.gear.push(plate),
                        Keying::Case => request.case.push(plate),
                    }
                    assert!(
                        !choose(&request).unwrap().choices.is_empty(),
                        "seed {seed}: {order:?}"
                    );
                    plates += 1;
                }
            }
        }
        if !matches!(
            miss.order.first(),
            Some(Order::Shim {
                is_standard: true,
                ..
            })
        ) {
            assert!(
                STANDARD_SHIMS.iter().all(|size| with(*size, 1).is_empty()),
                "seed {seed}"
            );
        }
    }
    assert!(shims > 20 && exact > 5 && plates > 20, "{shims} {exact} {plates}");
}

#[test]
fn a_pick_by_hand_comes_back_with_its_faults() {
    let mut request = plain();
    request.gear[0].fixed = Some(Side::Right);
    request.shims = vec![ShimSize {
        thickness: um(100),
        count: 1,
    }];
    let side = |gear: &[&str], case: &[&str], shims: &[i64]| SideChoice {
        gear: gear.iter().map(ToString::to_string).collect(),
        case: case.iter().map(ToString::to_string).collect(),
        shims: shims.iter().map(|shim| um(*shim)).collect(),
    };
    let sides = [
        side(&["F1"], &["C1"], &[100, 100]),
        side(&["F1", "F2"], &["C2"], &[]),
    ];
    let (choice, faults) = evaluate(&request, sides).unwrap();
    assert_eq!(choice.closings, [um(0), um(-1800)]);
    assert_eq!(
        faults,
        [
            Fault::PlateCount {
                side: Side::Right,
                keying: Keying::Gear,
                needed: 1,
                given: 2
            },
            Fault::PlateTwice { name: "F1".into() },
            Fault::NotInDrawer {
                thickness: um(100),
                have: 1,
                given: 2
            },
            Fault::Closing {
                side: Some(Side::Left),
                closing: um(0),
                least: um(150),
                most: um(250)
            },
            Fault::Closing {
                side: Some(Side::Right),
                closing: um(-1800),
                least: um(150),
                most: um(250)
            },
        ]
    );
    let sides = [side(&["F2"], &["C1"], &[100; 4]), side(&["F3"], &["C2"], &[])];
    let unknown = ChoiceError::UnknownPlate {
        keying: Keying::Gear,
        name: "F3".into(),
    };
    assert_eq!(evaluate(&request, sides), Err(unknown));
    let sides = [side(&["F1"], &["C1"], &[100; 4]), side(&["F2"], &["C2"], &[])];
    let (_, faults) = evaluate(&request, sides).unwrap();
    let words: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert_eq!(words[0], "the left side has 4 shims but must have from 0 to 3");
    assert_eq!(words[1], "plate F1 is not on the right side, where it is fixed");
}

#[test]
fn a_request_that_makes_no_sense_is_refused() {
    let refused = |change: fn(&mut Request)| {
        let mut request = plain();
        change(&mut request);
        choose(&request).unwrap_err()
    };
    assert_eq!(
        refused(|r| r.needs = [Need { gear: 0, case: 0 }; 2]),
        ChoiceError::NothingNeeded
    );
    let short = refused(|r| r.needs[1].gear = 3);
    assert_eq!(
        short,
        ChoiceError::TooFew {
            keying: Keying::Gear,
            needed: 4,
            have: 2
        }
    );
    assert_eq!(
        short.to_string(),
        "4 friction plates are needed but there are only 2: 2 short"
    );
    assert_eq!(
        refused(|r| r.case.iter_mut().for_each(|plate| plate.fixed = Some(Side::Left))),
        ChoiceError::TooManyFixed {
            keying: Keying::Case,
            side: Side::Left,
            fixed: 2,
            needed: 1
        }
    );
    assert_eq!(
        refused(|r| if let Layout::PerSide { windows, .. } = &mut r.layout {
            windows[1] = window(250, 200, 150);
        }),
        ChoiceError::WindowUpsideDown {
            least: um(250),
            target: um(200),
            most: um(150)
        }
    );
    assert_eq!(
        refused(|r| r.case[0].name = "F1".into()),
        ChoiceError::DuplicateName { name: "F1".into() }
    );
    assert_eq!(
        refused(|r| r.gear[1].thickness = um(0)),
        ChoiceError::Thickness {
            what: "friction plate F2".into(),
            thickness: um(0)
        }
    );
    assert_eq!(
        refused(|r| r.shims.push(ShimSize {
            thickness: um(-100),
            count: 1
        })),
        ChoiceError::Thickness {
            what: "a shim".into(),
            thickness: um(-100)
        }
    );
    assert_eq!(
        refused(|r| r.guard = um(-1)),
        ChoiceError::OutOfRange {
            what: "the guard",
            length: um(-1),
            least: um(0)
        }
    );
    assert!(matches!(refused(|r| r.uncertainty = f64::NAN), ChoiceError::Uncertainty(u) if u.is_nan()));
    assert_eq!(refused(|r| r.uncertainty = -1.0), ChoiceError::Uncertainty(-1.0));
    assert_eq!(
        refused(|r| r.least_shims = 4),
        ChoiceError::ShimLimits { least: 4, most: 3 }
    );
    assert_eq!(
        refused(|r| r.least_shims = 1),
        ChoiceError::TooFewShims { needed: 2, have: 0 }
    );
}

#[test]
fn thicknesses_to_the_nanometre_in_a_large_pack_are_refused_with_their_size() {
    let mut request = plain();
    request.needs = [Need { gear: 10, case: 11 }; 2];
    let mut dice = Dice(7);
    let mut many = |prefix: &str, count: i64| -> Vec<Candidate> {
        (0..count)
            .map(|n| Candidate {
                thickness: Length::from_nm(dice.from(1_970_000, 2_030_000)),
                ..plate(&format!("{prefix}{n}"), 0)
            })
            .collect()
    };
    request.gear = many("F", 24);
    request.case = many("C", 26);
    let error = choose(&request).unwrap_err();
    let ChoiceError::TooLarge {
        needed, most, step, ..
    } = error
    else {
        panic!("{error}")
    };
    assert!(needed > most);
    assert_eq!(step, Length::from_nm(1));
}

#[test]
fn twins_are_told_by_every_figure_and_never_drift() {
    let mut request = plain();
    request.uncertainty = 10.0;
    let choice = choose(&request).unwrap().choices.remove(0);
    let like = |off: i64| {
        let mut like = choice.clone();
        like.closings = like.closings.map(|closing| closing + um(off));
        like
    };
    let doubt = um(20);
    // each is a twin of the one before, and the third none of the first
    let rows = twins(&[like(0), like(1), like(2), like(1)], doubt);
    assert_eq!(rows, [vec![0, 1, 3], vec![2]]);
    // a tenth is not less than a tenth; with no doubt only the same is the same
    assert_eq!(twins(&[like(0), like(2)], doubt).len(), 2);
    assert_eq!(
        twins(&[like(0), like(0), like(1)], Length::ZERO),
        [vec![0, 1], vec![2]]
    );
    let changes: [fn(&mut Choice); 6] = [
        |choice| choice.spares += 1,
        |choice| choice.moved += 1,
        |choice| choice.difference += um(2),
        |choice| choice.worst_deviation += um(2),
        |choice| choice.closings[1] += um(2),
        |choice| choice.sides[0].shims.push(um(100)),
    ];
    for change in changes {
        let mut other = like(0);
        change(&mut other);
        assert_eq!(twins(&[like(0), other], doubt).len(), 2);
    }
}
