//! Bands of what each build sets: never narrower than the readings at their ends are sure, with what one instrument shares told apart.

use crate::made::{build, km, mm, nm};
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

#[test]
fn builds_that_agree_by_luck_make_no_narrow_band() {
    let force = |newtons: f64| Force::from_newtons(newtons).ok();
    let with = |due: fn(usize) -> &'static str| {
        agreeing(move |n, account| {
            account.through = true;
            account.preload_wanted = Some([
                force(1000.0).unwrap(),
                force(1100.0).unwrap(),
                force(1200.0).unwrap(),
            ]);
            for pack in &mut account.packs {
                (pack.preload_found, pack.preload_left) = (force(1050.0), force(1100.0));
            }
            (account.preload_uncertainty, account.preload_found_uncertainty) = (force(6.0), force(8.0));
            let breakaway = &mut account.breakaway;
            breakaway.held = Some(Held::Case);
            (breakaway.found, breakaway.left) = (nm(84.0), nm(90.0));
            (breakaway.found_uncertainty, breakaway.left_uncertainty) = (nm(0.84), nm(1.0));
            account.instruments = vec![instrument(InstrumentRole::TorqueWrench, due(n))];
        })
    };
    let same = with(|_| "2030-01-01");
    assert!((half(&same.preload[0].outlook) - by_hand(10.0)).abs() < 0.01);
    // one wrench: a hundredth of each reading is shared, and of 6 N·m that is little
    let own = (1.0_f64 - 0.9 * 0.9 + 0.06 * 0.06).sqrt();
    assert!((half(&same.breakaway.outlook) - by_hand(own)).abs() < 0.01);
    let sure = |n| ["2030", "2031", "2032", "2033", "2034"][n];
    let others = with(sure);
    assert!((half(&others.breakaway.outlook) - by_hand(1_f64.hypot(0.84))).abs() < 0.01);
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
