//! Two builds side by side, each change against the doubt of both.

use crate::made::{build, km, mm, nm, plate};
use shimwright::history::doubts::Doubt;
use shimwright::history::{
    Account, Along, Change, Comparison, InstrumentAccount, InstrumentRole, Judged, PackAccount, PlateAccount,
    SpringAccount, UncertainLength,
};
use shimwright::mechanics::{Held, Keying, Side};
use shimwright::quantity::{Force, Ratio, Units};

fn micrometer(id: &str, due: &str) -> InstrumentAccount {
    InstrumentAccount {
        role: InstrumentRole::Micrometer,
        id: id.into(),
        due: due.into(),
        zero: Some(mm(0.0003)),
        ..InstrumentAccount::default()
    }
}

/// 0.4 µm of its own and 0.3 µm of the micrometer's: 0.5 µm together.
fn measured(thickness: f64, instrument: &str) -> PlateAccount {
    PlateAccount {
        mean: Some(UncertainLength {
            zeros: mm(0.0),
            value: mm(thickness),
            uncertainty: mm(0.0005),
            shared: vec![(instrument.into(), mm(0.0003))],
        }),
        ..plate("moor", "G1", thickness)
    }
}

fn with(n: usize, thickness: f64, instrument: InstrumentAccount) -> Account {
    let mut account = build("moor", n, km(1000.0), vec![measured(thickness, &instrument.id)]);
    account.instruments = vec![instrument];
    account
}

fn only_plate(before: &Account, after: &Account) -> Change {
    let between = Comparison::of(before, after, None);
    assert_eq!(between.plates.len(), 1);
    between.plates[0].clone()
}

#[test]
fn what_one_instrument_shares_falls_out_of_a_difference_and_what_two_have_does_not() {
    let before = with(1, 1.980, micrometer("mic-2", "2027-03-31"));
    // its own twice and two zero checks: 2·√(2·0.4² + 2·0.3²) µm
    let same = only_plate(&before, &with(2, 1.9785, micrometer("mic-2", "2027-03-31")));
    assert!(
        (same.doubt.unwrap() - 2.0 * (0.5_f64).sqrt() * 1e-3).abs() < 1e-9,
        "{same:?}"
    );
    assert_eq!(same.judged, Judged::Changed);
    // with both calibrations besides: 2·√(2·0.5² + 2·0.3²) µm
    for other in [
        micrometer("mic-3", "2027-03-31"),
        micrometer("mic-2", "2028-03-31"),
    ] {
        let change = only_plate(&before, &with(2, 1.9785, other));
        assert!(
            (change.doubt.unwrap() - 2.0 * (0.68_f64).sqrt() * 1e-3).abs() < 1e-9,
            "{change:?}"
        );
        assert_eq!(change.judged, Judged::Within);
    }
}

#[test]
fn an_instrument_out_of_date_is_not_compared() {
    let late = InstrumentAccount {
        overdue: "the other one is away".into(),
        ..micrometer("mic-2", "2027-03-31")
    };
    let change = only_plate(
        &with(1, 1.98, micrometer("mic-2", "2027-03-31")),
        &with(2, 1.90, late),
    );
    assert_eq!(change.judged, Judged::NotComparable);
    assert_eq!(change.why, "the micrometer was out of date at moor-0002");
}

#[test]
fn a_plate_that_comes_back_thicker_is_said_to_be_another_or_misread() {
    let new = || micrometer("mic-2", "2027-03-31");
    let change = only_plate(&with(1, 1.95, new()), &with(2, 2.00, new()));
    assert_eq!(change.judged, Judged::Changed);
    assert!(change.why.contains("another plate under its name"));
}

fn proved(n: usize, torque: f64, proved: Held) -> Account {
    let mut account = build("moor", n, km(900.0), Vec::new());
    account.breakaway.left = nm(torque);
    account.breakaway.left_uncertainty = nm(1.5);
    account.breakaway.proved = Some(proved);
    account
}

fn left(between: &Comparison) -> &Change {
    between
        .changes
        .iter()
        .find(|change| change.what == "Breakaway as left")
        .unwrap()
}

#[test]
fn a_breakaway_is_changed_past_twice_the_joint_doubt_and_not_before() {
    // 2·√(1.5² + 1.5²) = 4.24 N·m
    for (torque, judged) in [
        (95.8, Judged::Within),
        (95.7, Judged::Changed),
        (104.3, Judged::Changed),
        (104.2, Judged::Within),
    ] {
        let between = Comparison::of(
            &proved(1, 100.0, Held::Case),
            &proved(2, torque, Held::Case),
            None,
        );
        assert_eq!(left(&between).judged, judged, "{torque}");
    }
}

#[test]
fn another_way_of_holding_is_not_compared() {
    let between = Comparison::of(
        &proved(1, 100.0, Held::Case),
        &proved(2, 90.0, Held::Output),
        None,
    );
    assert_eq!(left(&between).judged, Judged::NotComparable);
    assert_eq!(left(&between).why, "case held, then output held");
    let mut other = proved(2, 45.0, Held::Output);
    other.breakaway.held = Some(Held::Output);
    let between = Comparison::of(&proved(1, 100.0, Held::Case), &other, None);
    assert!(left(&between).why.contains("meant case held, then output held"));
}

#[test]
fn two_units_are_compared_with_a_word_about_it_and_plates_by_their_part() {
    let (mut a, mut b) = (proved(1, 100.0, Held::Case), proved(2, 80.0, Held::Case));
    b.unit = "fell".into();
    a.plates = vec![measured(1.99, "mic-2"), plate("moor", "G2", 1.99)];
    b.plates = vec![PlateAccount {
        part: "fell/G1".into(),
        ..measured(1.90, "mic-2")
    }];
    let between = Comparison::of(&a, &b, Some((1000.0, Along::Kilometres)));
    assert!(between.told[0].contains("two units"), "{:?}", between.told);
    assert!(between.plates.is_empty() && between.gone.is_none());
    assert_eq!(between.alone.len(), 2);
    let part = |plate: PlateAccount| PlateAccount {
        part: "P-17".into(),
        ..plate
    };
    a.plates = vec![part(measured(1.99, "mic-2"))];
    b.plates = vec![part(measured(1.90, "mic-2"))];
    assert_eq!(Comparison::of(&a, &b, None).plates.len(), 1);
}

#[test]
fn friction_is_in_doubt_by_breakaway_and_preload() {
    let pressed = |n, friction: f64| {
        let mut account = proved(n, 100.0, Held::Case);
        account.breakaway.friction = Ratio::new(friction).ok();
        account.preload_uncertainty = Force::from_newtons(20.0).ok();
        account.packs = vec![PackAccount {
            preload_left: Force::from_newtons(1000.0).ok(),
            ..PackAccount::default()
        }];
        account
    };
    let between = Comparison::of(&pressed(1, 0.1), &pressed(2, 0.1), None);
    let friction = between
        .changes
        .iter()
        .find(|change| change.what == "Friction shown")
        .unwrap();
    // 1.5 % and 2 %: 2.5 % of each; both, doubled
    let wanted = 2.0 * 0.0025 * 2.0_f64.sqrt();
    assert!((friction.doubt.unwrap() - wanted).abs() < 1e-12, "{friction:?}");
}

#[test]
fn a_change_names_where_its_doubt_comes_from() {
    let doubt = |source: &str, of: &str, standard| Doubt {
        source: source.into(),
        calibration_of: of.into(),
        standard,
    };
    let read = |n, torque: f64, scatter: f64| {
        let mut account = proved(n, torque, Held::Case);
        // a wrench that is 1 % off, and the scatter of its readings
        account.breakaway.left_doubts = vec![
            doubt("wrench", "w", 0.01 * torque),
            doubt("scatter", "", scatter),
            doubt("drag", "", 0.5),
        ];
        account.instruments = vec![InstrumentAccount {
            role: InstrumentRole::TorqueWrench,
            id: "w".into(),
            due: "2030-01-01".into(),
            ..InstrumentAccount::default()
        }];
        account
    };
    let (before, mut after) = (read(1, 100.0, 1.2), read(2, 60.0, 0.9));
    let same = Comparison::of(&before, &after, None);
    // of the wrench a hundredth of the 40 N·m between them; 1.2² + 0.9² by the scatter, 2 × 0.5² by the drag
    let all = 0.16 + 2.25 + 0.5;
    let one = left(&same);
    assert!(
        (one.doubt.unwrap() - 2.0 * f64::sqrt(all)).abs() < 1e-12,
        "{one:?}"
    );
    let parts = one.doubts.parts();
    let wanted = [
        ("scatter", 2.25 / all),
        ("drag", 0.5 / all),
        ("wrench", 0.16 / all),
    ];
    assert_eq!(parts.len(), 3);
    for ((name, share), (wanted_name, wanted)) in parts.iter().zip(wanted) {
        assert!(name == wanted_name && (share - wanted).abs() < 1e-12, "{parts:?}");
    }
    // calibrated between: 1 N·m and 0.6 N·m by themselves
    after.instruments[0].due = "2031-01-01".into();
    let another = Comparison::of(&before, &after, None);
    let all = 1.36 + 2.25 + 0.5;
    assert!((left(&another).doubt.unwrap() - 2.0 * f64::sqrt(all)).abs() < 1e-12);
}

#[test]
fn a_spring_that_another_came_in_for_has_not_grown_and_its_looks_are_told() {
    let with = |n, looks: &[&str], another, height: f64| {
        let mut account = proved(n, 100.0, Held::Case);
        account.springs = vec![SpringAccount {
            place: Some(Side::Left),
            looks: looks.iter().map(|look| (*look).to_string()).collect(),
            another,
            height: measured(height, "depth-1").mean,
            least: None,
        }];
        account
    };
    let compared = |after: &Account| {
        let between = Comparison::of(&with(1, &["good"], false, 4.500), after, None);
        let height = between
            .changes
            .iter()
            .find(|change| change.what == "Free height of spring, left");
        let looks = between.differs.iter().find(|one| one.what == "Spring, left");
        (
            height.unwrap().judged,
            looks.map(|one| [one.before.clone(), one.after.clone()]),
        )
    };
    let told = |after: &str| Some(["good".to_string(), after.to_string()]);
    // the same one, lower by more than can be in doubt
    assert_eq!(
        compared(&with(2, &["good"], false, 4.450)),
        (Judged::Changed, None)
    );
    assert_eq!(
        compared(&with(2, &["turned", "good"], false, 4.450)),
        (Judged::Changed, told("turned, put the right way round: good"))
    );
    for height in [4.450, 4.500, 4.550] {
        assert_eq!(
            compared(&with(2, &["cracked", "good"], true, height)),
            (Judged::NotComparable, told("cracked, another put in: good"))
        );
    }
    // by a procedure or a paper that says nothing of looks
    assert_eq!(compared(&with(2, &[], false, 4.500)), (Judged::Within, None));
}

#[test]
fn a_build_that_is_not_finished_or_damaged_is_said() {
    let mut open = proved(2, 90.0, Held::Case);
    open.finished = None;
    open.problems = vec!["line 3 was changed".into()];
    let told = Comparison::of(&proved(1, 90.0, Held::Case), &open, None)
        .told
        .join("; ");
    assert!(
        told.contains("moor-0002 is not finished") && told.contains("damaged: line 3"),
        "{told}"
    );
}

#[test]
fn hours_stand_where_no_distance_does_and_every_number_has_its_unit_of_measure() {
    let before = with(1, 1.980, micrometer("mic-2", "2027-03-31"));
    let after = with(2, 1.9546, micrometer("mic-2", "2027-03-31"));
    let between = Comparison::of(&before, &after, Some((1000.0, Along::Kilometres)));
    assert_eq!(between.distance(Units::Metric).as_deref(), Some("1000 km after"));
    assert_eq!(between.distance(Units::Inch).as_deref(), Some("621 mi after"));
    // 25.4 µm are one thousandth of an inch
    let plate = &between.plates[0];
    for (units, words) in [
        (Units::Metric, "1.980, now 1.955 mm: -0.025 ±"),
        (Units::Inch, "0.0780, now 0.0770 in: -0.0010 ±"),
    ] {
        assert!(plate.words(units).starts_with(words), "{}", plate.words(units));
    }
    let lost = |units| between.lost_words(Keying::Gear, units).unwrap();
    assert_eq!(lost(Units::Metric), "lost 25 µm (one plate)");
    assert_eq!(lost(Units::Inch), "lost 1.0 thou (one plate)");
    // what is no loss to the last digit has no minus
    for thickness in [1.98, 1.980_1, 1.979_9] {
        let between = Comparison::of(
            &before,
            &with(2, thickness, micrometer("mic-2", "2027-03-31")),
            None,
        );
        let lost = between.lost_words(Keying::Gear, Units::Metric).unwrap();
        assert_eq!(lost, "lost 0 µm (one plate), within what can be told");
        let words = between.plates[0].words(Units::Metric);
        assert!(words.contains(" mm: +0.000 ±"), "{words}");
    }
    for (far, words) in [(14.25, "14.2 h after"), (-0.5, "0.5 h before")] {
        let between = Comparison::of(&before, &after, Some((far, Along::Hours)));
        for units in [Units::Metric, Units::Inch] {
            assert_eq!(between.distance(units).as_deref(), Some(words));
        }
    }
}
