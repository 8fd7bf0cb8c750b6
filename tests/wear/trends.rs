//! Bands of what each build sets: never narrower than the readings at their ends are sure, with what one instrument shares told apart.

use crate::made::{build, km, mm, nm};
use shimwright::history::doubts::{Doubt, PRESS_READING};
use shimwright::history::{
    Account, GapAccount, InstrumentAccount, InstrumentRole, Outlook, UncertainLength, UnitWear,
};
use shimwright::mechanics::Held;
use shimwright::quantity::{Force, Length};

/// Four builds a thousand kilometres apart, all alike: what scatters says that nothing is in doubt.
fn agreeing(make: impl Fn(usize, &mut Account)) -> UnitWear<'static> {
    let accounts: Vec<Account> = (1..=4)
        .map(|n| {
            let mut account = build("moor", n, (n > 1).then(|| km(1000.0)).flatten(), Vec::new());
            make(n, &mut account);
            account
        })
        .collect();
    UnitWear::of("moor", accounts.leak()).unwrap()
}

/// Half the width of a rate's band, for a thousand kilometres.
fn half(outlook: &Outlook) -> f64 {
    match outlook {
        Outlook::Told { interval, .. } => 500.0 * (interval.1 - interval.0),
        other => panic!("{other:?}"),
    }
}

/// The same by hand: three losses that are each in doubt by u, over a thousand kilometres each.
fn by_hand(u: f64) -> f64 {
    1.959_964 * u / 3_f64.sqrt()
}

fn instrument(role: InstrumentRole, due: &str) -> InstrumentAccount {
    InstrumentAccount {
        role,
        id: "one".into(),
        due: due.into(),
        ..InstrumentAccount::default()
    }
}

/// A gap that grows by 40 µm: 5 µm of its readings, 4 of these the gauge's certificate, and 6 by its zero.
fn gaps(due: impl Fn(usize) -> String, zeros: f64) -> UnitWear<'static> {
    agreeing(|n, account| {
        let read = |value: f64| {
            Some(UncertainLength {
                value: mm(value),
                uncertainty: mm(0.005),
                shared: vec![("one".into(), mm(0.004))],
                zeros: mm(zeros),
            })
        };
        account.gap_wanted = Some([mm(0.1), mm(0.2), mm(0.3)]);
        account.closings = vec![GapAccount {
            found: read(0.24),
            left: read(0.2),
            ..GapAccount::default()
        }];
        account.instruments = vec![instrument(InstrumentRole::DepthGauge, &due(n))];
    })
}

#[test]
fn a_calibration_falls_out_of_a_trend_and_a_zero_that_is_read_anew_does_not() {
    let one = |_: usize| "2030-01-01".to_string();
    let another = |n: usize| format!("20{:02}-01-01", 30 + n);
    let band = |wear: &UnitWear<'_>| 1e3 * half(&wear.gaps[0].outlook);
    // √2 · √(5² − 4²) µm, and √2 · 6 µm more
    assert!((band(&gaps(one, 0.0)) - by_hand((2.0_f64 * 9.0).sqrt())).abs() < 0.01);
    assert!((band(&gaps(one, 0.006)) - by_hand((2.0_f64 * (9.0 + 36.0)).sqrt())).abs() < 0.01);
    // calibrated between each two builds: nothing falls out
    assert!((band(&gaps(another, 0.006)) - by_hand((2.0_f64 * (25.0 + 36.0)).sqrt())).abs() < 0.01);
    // as it lies now the zero counts, too
    let (_, now) = gaps(one, 0.006).gaps[0].now.unwrap();
    assert!((1e3 * now - 61_f64.sqrt()).abs() < 1e-3);
}

/// A source of doubt; of the calibration of an instrument where that is named.
fn source(of: &str, standard: f64) -> Doubt {
    Doubt {
        source: format!("source of {of}"),
        calibration_of: of.into(),
        standard,
    }
}

/// A through unit that loses 50 N and 6 N·m from each build to the next.
fn pressed(due: fn(usize) -> &'static str, doubts: fn(&mut Account)) -> UnitWear<'static> {
    let force = |newtons: f64| Force::from_newtons(newtons).ok();
    agreeing(move |n, account| {
        account.through = true;
        account.preload_wanted = Some([1000.0, 1100.0, 1200.0].map(|newtons| force(newtons).unwrap()));
        for pack in &mut account.packs {
            (pack.preload_found, pack.preload_left) = (force(1050.0), force(1100.0));
        }
        (account.preload_uncertainty, account.preload_found_uncertainty) = (force(6.0), force(8.0));
        let breakaway = &mut account.breakaway;
        breakaway.held = Some(Held::Case);
        (breakaway.found, breakaway.left) = (nm(84.0), nm(90.0));
        (breakaway.found_uncertainty, breakaway.left_uncertainty) = (nm(0.84), nm(1.0));
        account.instruments = vec![instrument(InstrumentRole::TorqueWrench, due(n))];
        account.instruments.push(InstrumentAccount {
            id: "press".into(),
            ..instrument(InstrumentRole::Press, due(n))
        });
        doubts(account);
    })
}

const ONE_CALIBRATION: fn(usize) -> &'static str = |_| "2030-01-01";
const ANEW_EACH_TIME: fn(usize) -> &'static str = |n| ["2030", "2031", "2032", "2033", "2034"][n];

#[test]
fn what_one_gauge_shares_falls_out_of_preload_and_breakaway_as_it_does_of_gaps() {
    // 6 N of which 4.8 are the gauge's certificate, and 8 N of which 6.4 are; 1 N·m of which 0.9, and all of 0.84
    let told: fn(&mut Account) = |account| {
        account.preload_doubts = vec![source("one", -4.8), source("", 3.6)];
        account.preload_found_doubts = vec![source("one", -6.4), source("", 4.8)];
        account.breakaway.left_doubts = vec![source("", 0.19_f64.sqrt()), source("one", 0.9)];
        account.breakaway.found_doubts = vec![source("one", 0.84)];
    };
    let same = pressed(ONE_CALIBRATION, told);
    // 3.6² + 4.8² = 6², and the 1.6 N that are left of the certificate
    let preload = &same.preload[0];
    assert!((half(&preload.outlook) - by_hand(6_f64.hypot(1.6))).abs() < 0.01);
    let breakaway = &same.breakaway;
    assert!((half(&breakaway.outlook) - by_hand((0.19_f64 + 0.06 * 0.06).sqrt())).abs() < 0.01);
    // calibrated between each two builds, or by two gauges: nothing falls out
    let others = pressed(ANEW_EACH_TIME, told);
    assert!((half(&others.preload[0].outlook) - by_hand(10.0)).abs() < 0.01);
    assert!((half(&others.breakaway.outlook) - by_hand(1_f64.hypot(0.84))).abs() < 0.01);
    let by_two = pressed(ONE_CALIBRATION, |account| {
        account.preload_doubts = vec![source("one", -4.8), source("", 3.6)];
        account.preload_found_doubts = vec![source("two", -6.4), source("", 4.8)];
    });
    assert!((half(&by_two.preload[0].outlook) - by_hand(10.0)).abs() < 0.01);
    // an old paper names an instrument that was not there with its calibration
    let papers = pressed(ONE_CALIBRATION, |account| {
        account.copied = true;
        account.preload_doubts = vec![source("one", -4.8), source("", 3.6)];
        account.preload_found_doubts = vec![source("one", -6.4), source("", 4.8)];
    });
    assert!((half(&papers.preload[0].outlook) - by_hand(10.0)).abs() < 0.01);
}

#[test]
fn one_press_falls_out_of_a_preload_and_what_it_reads_each_time_does_not() {
    // 6 N and 8 N, 4.8 and 6.4 of them by the certificate of the press: builds that agree by luck to the newton are as sure as
    // step and height of both readings, and no surer
    let read: fn(&mut Account) = |account| {
        account.preload_doubts = vec![source("press", 4.8), source("", 3.6)];
        account.preload_found_doubts = vec![source("press", 6.4), source("", 4.8)];
    };
    let band = |wear: UnitWear<'_>| half(&wear.preload[0].outlook);
    assert!((band(pressed(ONE_CALIBRATION, read)) - by_hand(6_f64.hypot(1.6))).abs() < 0.01);
    assert!((band(pressed(ANEW_EACH_TIME, read)) - by_hand(10.0)).abs() < 0.01);
}

#[test]
fn a_trend_of_preload_leaves_out_where_springs_go_by_their_law_and_then_by_a_press() {
    let mixed = agreeing(|n, account| {
        let force = |newtons: f64| Force::from_newtons(newtons).ok();
        account.through = true;
        account.preload_wanted = Some([1000.0, 1100.0, 1200.0].map(|newtons| force(newtons).unwrap()));
        // by their law a tenth less than as they are read
        let by_law = if n < 3 { 100.0 } else { 0.0 };
        for pack in &mut account.packs {
            pack.preload_found = force(1050.0 - by_law);
            pack.preload_left = force(1100.0 - by_law);
        }
        let doubts = match n {
            1 | 2 => vec![source("", 6.0)],
            _ => vec![Doubt::own(PRESS_READING, 6.0), source("press", 4.8)],
        };
        (account.preload_doubts, account.preload_found_doubts) = (doubts.clone(), doubts);
    });
    let losses: Vec<f64> = mixed.preload[0]
        .stretches
        .iter()
        .map(|stretch| stretch.left - stretch.found)
        .collect();
    assert_eq!(losses.len(), 2, "{losses:?}");
    assert!(losses.iter().all(|loss| (loss - 50.0).abs() < 1e-9), "{losses:?}");
    let told = "moor-0002 to moor-0003: its preload goes by the springs' law, then by what a press has read, and is not compared";
    assert!(mixed.told.iter().any(|words| words == told), "{:?}", mixed.told);
}

#[test]
fn builds_that_agree_by_luck_make_no_narrow_band() {
    // an account that names no sources: all of it is the readings' own
    let whole = pressed(ONE_CALIBRATION, |_| ());
    assert!((half(&whole.preload[0].outlook) - by_hand(10.0)).abs() < 0.01);
    assert!((half(&whole.breakaway.outlook) - by_hand(1_f64.hypot(0.84))).abs() < 0.01);
    // nothing known of the readings: then the scatter alone counts, which is none
    let nothing = agreeing(|_, account| {
        account.closings = vec![GapAccount {
            found: Some(bare(0.24)),
            left: Some(bare(0.2)),
            ..GapAccount::default()
        }];
        account.gap_wanted = Some([mm(0.1), mm(0.2), mm(0.3)]);
    });
    assert!(half(&nothing.gaps[0].outlook) < 1e-9);
}

fn bare(value: f64) -> UncertainLength {
    UncertainLength {
        value: mm(value),
        uncertainty: Length::ZERO,
        shared: Vec::new(),
        zeros: Length::ZERO,
    }
}

#[test]
fn a_band_names_its_three_largest_parts_and_what_would_narrow_it() {
    let told: fn(&mut Account) = |account| {
        account.preload_doubts = vec![source("one", -4.8), source("its own", 3.6)];
        account.preload_found_doubts = vec![source("one", -6.4), source("its own", 4.8)];
    };
    let is = |parts: &[(String, f64)], wanted: &[(&str, f64)]| {
        assert_eq!(parts.len(), wanted.len(), "{parts:?}");
        for ((name, share), (wanted_name, wanted)) in parts.iter().zip(wanted) {
            assert!(name == wanted_name && (share - wanted).abs() < 1e-3, "{parts:?}");
        }
    };
    // losses that are all 50 N: the readings alone, 36 N² of their own and (6.4 - 4.8)² of the certificate
    let preload = pressed(ONE_CALIBRATION, told).preload.remove(0);
    let band = preload.outlook.band(&preload.doubts).unwrap();
    let all = 36.0 + 1.6 * 1.6;
    is(
        &band.parts,
        &[
            ("source of its own", 36.0 / all),
            ("source of one", 1.6 * 1.6 / all),
        ],
    );
    let (by, low, high) = band.narrower.unwrap();
    assert_eq!(by, "source of its own half as much");
    let left = (9.0_f64 + 1.6 * 1.6).sqrt();
    assert!(
        (500.0 * (high - low) - by_hand(left)).abs() < 0.01,
        "{low} {high}"
    );
    // losses of 50, 60 and 40 N: s² = (0 + 100 + 100)/2 N², of which the readings are those 38.56
    let scattered = agreeing(|n, account| {
        let force = |newtons: f64| Force::from_newtons(newtons).ok();
        account.through = true;
        account.preload_wanted = Some([1000.0, 1100.0, 1200.0].map(|newtons| force(newtons).unwrap()));
        for pack in &mut account.packs {
            pack.preload_left = force(1100.0);
            pack.preload_found = force([1050.0, 1050.0, 1050.0, 1040.0, 1060.0][n]);
        }
        account.instruments = vec![instrument(InstrumentRole::DepthGauge, "2030-01-01")];
        told(account);
    });
    let preload = &scattered.preload[0];
    let band = preload.outlook.band(&preload.doubts).unwrap();
    is(
        &band.parts,
        &[
            ("scatter from build to build", 0.6144),
            ("source of its own", 0.36),
            ("source of one", 0.0256),
        ],
    );
    // what scatters is not narrowed by a surer gauge
    assert_eq!(band.narrower, None);
    // of few builds there is no band to come from anywhere
    assert_eq!(
        Outlook::TooFew {
            points: 1,
            rate: None
        }
        .band(&preload.doubts),
        None
    );
}
