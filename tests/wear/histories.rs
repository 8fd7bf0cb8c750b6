//! A thousand generated histories of a unit whose wear is known.

use crate::draws::Draws;
use crate::made::{build, km, nm, plate};
use shimwright::history::doubts::Doubt;
use shimwright::history::{Account, Along, Comparison, InstrumentAccount, InstrumentRole, Outlook, UnitWear};
use shimwright::mechanics::wear::Meets;
use shimwright::quantity::Force;

const HISTORIES: usize = 1000;

/// So many of a thousand may a band of 95 % hold, within three standard deviations of the binomial: √(1000·0.95·0.05) is
/// 6.9.
fn is_ninety_five_percent(held: usize) -> bool {
    (930..=970).contains(&held)
}

/// A unit with what it was made from.
struct WorkedOut {
    accounts: Vec<Account>,
    /// Millimetres that the plate loses in a kilometre, and its thickness when new.
    rate: f64,
    new: f64,
    gone: f64,
    /// Newton metres that a kilometre takes off.
    fade: f64,
    /// The true breakaway as last left.
    now: f64,
}

const READING_NM: f64 = 1.5;

fn made(seed: u64) -> WorkedOut {
    let mut draws = Draws(seed);
    let count = 4 + (draws.even() * 5.0) as usize;
    let rate = draws.between(5e-6, 15e-6);
    let new = draws.between(1.99, 2.01);
    let fade = draws.between(0.004, 0.012);
    let (mut gone, mut now) = (0.0, 0.0);
    let mut accounts = Vec::new();
    for n in 1..=count {
        let distance = draws.between(600.0, 1900.0);
        let mut account = build("made", n, (n > 1).then(|| km(distance)).flatten(), Vec::new());
        let found = now - fade * distance;
        if n > 1 {
            gone += distance;
            account.breakaway.found = nm(found + READING_NM * draws.normal());
            account.breakaway.found_uncertainty = nm(READING_NM);
        }
        let thickness = new - rate * gone + 0.002 * draws.normal();
        account.plates = vec![plate("made", "G1", thickness)];
        now = draws.between(92.0, 98.0);
        account.breakaway.left = nm(now + READING_NM * draws.normal());
        account.breakaway.left_uncertainty = nm(READING_NM);
        accounts.push(account);
    }
    WorkedOut {
        accounts,
        rate,
        new,
        gone,
        fade,
        now,
    }
}

fn interval(outlook: &Outlook) -> (f64, f64) {
    match outlook {
        Outlook::Told { interval, .. } => *interval,
        Outlook::TooFew { .. } => panic!("{outlook:?}"),
    }
}

/// Whether a distance lies where the outlook says that the limit is met.
fn holds(outlook: &Outlook, distance: f64) -> bool {
    let Outlook::Told {
        meets: Some(meets), ..
    } = outlook
    else {
        panic!("{outlook:?}");
    };
    match meets {
        Meets::Within { from, to, .. } => (*from..=*to).contains(&distance),
        Meets::NotBefore { from, .. } => distance >= *from,
        Meets::Already => distance <= 0.0,
        Meets::Never => false,
    }
}

#[test]
fn a_known_wear_lies_in_its_band_ninety_five_times_of_a_hundred() {
    let (mut rates, mut limits, mut fades, mut leasts) = (0, 0, 0, 0);
    for seed in 0..HISTORIES as u64 {
        let made = made(seed);
        let wear = UnitWear::of("made", &made.accounts).unwrap();
        assert!(wear.told.is_empty(), "{seed}: {:?}", wear.told);
        let plate = &wear.plates[0];
        let (low, high) = interval(&plate.mean);
        rates += usize::from((low..=high).contains(&made.rate));
        let left = (made.new - 1.90) / made.rate - made.gone;
        limits += usize::from(holds(&plate.least, left));
        let (low, high) = interval(&wear.breakaway.outlook);
        fades += usize::from((low..=high).contains(&made.fade));
        leasts += usize::from(holds(&wear.breakaway.outlook, (made.now - 75.0) / made.fade));
    }
    println!("of {HISTORIES}: rate {rates}, limit {limits}, fade {fades}, least breakaway {leasts}");
    for (what, held) in [("rate", rates), ("limit", limits)] {
        assert!(is_ninety_five_percent(held), "{what}: {held} of {HISTORIES}");
    }
    // the wider of two bands, by the scatter and by what the readings are known to be in doubt, holds more than each of
    // them: 97.9 % and 97.8 % of 10 000, within three standard deviations of the binomial for a thousand
    assert!((965..=993).contains(&fades), "{fades} of {HISTORIES}");
    assert!((964..=992).contains(&leasts), "{leasts} of {HISTORIES}");
}

#[test]
fn fewer_than_three_builds_give_no_limit() {
    let mut made = made(1);
    made.accounts.truncate(2);
    let wear = UnitWear::of("made", &made.accounts).unwrap();
    assert!(matches!(
        wear.plates[0].least,
        Outlook::TooFew {
            points: 2,
            rate: Some(_)
        }
    ));
    assert!(matches!(
        wear.breakaway.outlook,
        Outlook::TooFew {
            points: 1,
            rate: Some(_)
        }
    ));
    assert_eq!(wear.first(), None);
    made.accounts.truncate(1);
    let wear = UnitWear::of("made", &made.accounts).unwrap();
    assert!(matches!(
        wear.plates[0].least,
        Outlook::TooFew {
            points: 1,
            rate: None
        }
    ));
}

#[test]
fn a_build_without_a_distance_begins_anew_and_is_told() {
    let mut made = made(2);
    let last = made.accounts.len() - 1;
    made.accounts[last - 1].distance = None;
    let wear = UnitWear::of("made", &made.accounts).unwrap();
    assert!(
        wear.told[0].contains("no distance is written down"),
        "{:?}",
        wear.told
    );
    assert!(matches!(wear.plates[0].least, Outlook::TooFew { points: 2, .. }));
    assert_eq!(wear.plates[0].track.sightings.len(), last + 1);
}

#[test]
fn builds_that_are_damaged_or_not_finished_are_told_and_left_out() {
    let mut made = made(3);
    let accounts = made.accounts.clone();
    let whole = UnitWear::of("made", &accounts).unwrap();
    let mut odd = build("made", 90, km(99_999.0), vec![plate("made", "G1", 1.5)]);
    odd.problems = vec!["line 7 was changed".into()];
    made.accounts.push(odd.clone());
    odd.problems.clear();
    odd.finished = None;
    made.accounts.push(odd);
    let wear = UnitWear::of("made", &made.accounts).unwrap();
    assert_eq!(wear.plates, whole.plates);
    assert!(wear.told[0].contains("damaged") && wear.told[1].contains("not finished"));
    let only = &made.accounts[made.accounts.len() - 1..];
    assert_eq!(UnitWear::of("made", only), None);
}

/// What is done to an account.
type Spoil<'a> = &'a dyn Fn(&mut Account);

#[test]
fn nothing_is_followed_past_a_build_that_may_have_put_the_unit_together_anew() {
    let accounts: Vec<Account> = (1..=5)
        .map(|n| {
            let mut account = build(
                "made",
                n,
                km(1000.0),
                vec![plate("made", "G1", 2.0 - 0.01 * n as f64)],
            );
            account.breakaway.left = nm(90.0);
            account.breakaway.found = nm(85.0);
            account
        })
        .collect();
    let whole = UnitWear::of("made", &accounts).unwrap();
    assert_eq!((whole.seen(), whole.breakaway.stretches.len()), (4000.0, 4));
    let damaged = |account: &mut Account| account.problems = vec!["line 7 was changed".into()];
    let unread = |account: &mut Account| {
        *account = Account {
            build: account.build.clone(),
            unit: account.unit.clone(),
            problems: vec!["its journal can not be read".into()],
            ..Account::default()
        }
    };
    let left_open = |account: &mut Account| account.finished = None;
    let ways: [(Spoil, &str); 3] = [
        (
            &damaged,
            "made-0003: made-0002 is damaged, and what was done then is not known",
        ),
        (
            &unread,
            "made-0003: made-0002 is damaged, and what was done then is not known",
        ),
        (
            &left_open,
            "made-0003: made-0002 is not finished, and what was done then is not known",
        ),
    ];
    for (spoil, words) in ways {
        let mut accounts = accounts.clone();
        spoil(&mut accounts[1]);
        // as the book gives them: what says no time stands in front
        accounts.sort_by_key(|account| account.begun.clone());
        let wear = UnitWear::of("made", &accounts).unwrap();
        assert!(
            wear.told.iter().any(|told| told.starts_with(words)),
            "{:?}",
            wear.told
        );
        // from the third to the fifth, and nothing across
        assert!((wear.seen() - 2000.0).abs() < 1e-9, "{}", wear.seen());
        let ends = wear
            .breakaway
            .stretches
            .iter()
            .map(|one| (one.from.as_str(), one.to.as_str()));
        assert_eq!(
            ends.collect::<Vec<_>>(),
            [("made-0003", "made-0004"), ("made-0004", "made-0005")]
        );
        let Outlook::Told { rate, points: 3, .. } = wear.plates[0].least else {
            panic!("{:?}", wear.plates[0].least)
        };
        assert!((rate - 1e-5).abs() < 1e-12, "{rate}");
        let gone = |from: usize, to: usize| {
            let name = |n: usize| format!("made-{n:04}");
            Comparison::gone_between(&accounts, &name(from), &name(to))
        };
        assert_eq!(gone(1, 3), None);
        assert_eq!(gone(2, 3), None);
        assert_eq!(gone(3, 5), Some((2000.0, Along::Kilometres)));
        assert_eq!(gone(5, 4), Some((-1000.0, Along::Kilometres)));
    }
    // a copy of a build stands between two and changes nothing
    let mut copied = accounts.clone();
    for (n, account) in copied.iter_mut().enumerate() {
        account.digest = format!("{n:064}");
    }
    let mut copy = copied[1].clone();
    (copy.build, copy.problems) = (
        "made-0009".into(),
        vec!["it has the same journal as made-0002".into()],
    );
    copied.insert(2, copy);
    let wear = UnitWear::of("made", &copied).unwrap();
    assert_eq!((wear.seen(), wear.told.len()), (4000.0, 1));
    // one that was given up before anything was put together changed nothing
    let mut accounts = accounts;
    accounts[1].finished = None;
    accounts[1].packs[0].plates_left = None;
    let seen = UnitWear::of("made", &accounts).unwrap().seen();
    assert!((seen - 3000.0).abs() < 1e-9, "{seen}");
}

#[test]
fn a_check_without_a_build_counts_from_the_last_build_and_finds_what_it_proves() {
    let mut made = made(4);
    made.accounts.truncate(2);
    // 500 km after the second build, nothing taken apart; the next build counts from the second too
    let mut check = build("made", 3, km(500.0), vec![plate("made", "G1", 1.98)]);
    check.plates[0].mean = None;
    check.packs[0].plates_left = None;
    check.breakaway.left = nm(90.0);
    let next = build("made", 4, km(1200.0), vec![plate("made", "G1", 1.96)]);
    made.accounts.extend([check, next]);
    let wear = UnitWear::of("made", &made.accounts).unwrap();
    let second = made.accounts[1].distance.unwrap().kilometres();
    let gone: Vec<f64> = wear.builds.iter().map(|build| build.gone.at - second).collect();
    assert!(
        (gone[2] - 500.0).abs() < 1e-9 && (gone[3] - 1200.0).abs() < 1e-9,
        "{gone:?}"
    );
    let stretch = &wear.breakaway.stretches[1];
    assert_eq!(
        (stretch.from.as_str(), stretch.to.as_str()),
        ("made-0002", "made-0003")
    );
    assert!((stretch.found - 90.0).abs() < 1e-12);
    // the plate was in the unit all the while
    assert!((wear.plates[0].track.here().at - second - 1200.0).abs() < 1e-9);
}

#[test]
fn what_nobody_wrote_down_leaves_the_way_unknown_and_is_never_taken_for_none() {
    let mut made = made(7);
    let first = |accounts: &[Account]| {
        let wear = UnitWear::of("made", accounts).unwrap();
        let first = wear.first().unwrap();
        let lacks = first.lacks.map(|(build, used)| (build.to_string(), used));
        (first.what.clone(), first.earliest(), lacks)
    };
    let n = made.accounts.len();
    let (what, earliest, lacks) = first(&made.accounts);
    assert_eq!(lacks, None);
    let check = |n: usize, gone: Option<f64>| {
        let mut check = build("made", n, gone.and_then(km), vec![plate("made", "G1", 1.98)]);
        check.plates[0].mean = None;
        check.packs[0].plates_left = None;
        check
    };
    let built = made.accounts[n - 1].build.clone();
    // nothing is known of the way since the last build: what was said holds from there
    made.accounts.push(check(n + 1, None));
    assert_eq!(
        first(&made.accounts),
        (what.clone(), earliest, Some((built.clone(), 0.0)))
    );
    let (from, to) = ("made-0001", made.accounts[n].build.clone());
    assert_eq!(Comparison::gone_between(&made.accounts, from, &to), None);
    // 300 km are known, then nothing again
    made.accounts.push(check(n + 2, Some(300.0)));
    let (_, left, lacks) = first(&made.accounts);
    assert!(
        (left - (earliest - 300.0)).abs() < 1e-6 && lacks.is_none(),
        "{left} {lacks:?}"
    );
    made.accounts.push(check(n + 3, None));
    let (_, left, lacks) = first(&made.accounts);
    let (since, used) = lacks.unwrap();
    assert!((left - (earliest - 300.0)).abs() < 1e-6 && (used - 300.0).abs() < 1e-6);
    assert_eq!(since, built);
    // a plate that is measured somewhere on a way that nobody knows draws no line through what was measured before
    let mut looked = check(n + 4, None);
    looked.plates = vec![plate("made", "G1", 1.97)];
    made.accounts.push(looked);
    let wear = UnitWear::of("made", &made.accounts).unwrap();
    assert!(matches!(wear.plates[0].least, Outlook::TooFew { points: 1, .. }));
    assert_eq!(wear.breakaway.stretches.len(), n - 1);
}

#[test]
fn losses_that_lie_on_a_line_leave_it_no_surer_than_their_readings_are() {
    let accounts: Vec<Account> = (1..=4)
        .map(|n| {
            let mut account = build("made", n, km(1000.0).filter(|_| n > 1), Vec::new());
            account.breakaway.found = nm(85.0).filter(|_| n > 1);
            account.breakaway.left = nm(95.0);
            account.breakaway.left_uncertainty = nm(1.5);
            account.breakaway.found_uncertainty = nm(2.0);
            let force = |newtons: f64| Force::from_newtons(newtons).ok();
            account.through = true;
            account.preload_wanted = Some([1000.0, 1150.0, 1300.0].map(|n| force(n).unwrap()));
            account.packs[0].preload_left = force(1150.0);
            account.packs[0].preload_found = force(1090.0).filter(|_| n > 1);
            account.preload_uncertainty = force(15.0);
            account.preload_found_uncertainty = force(15.0);
            account
        })
        .collect();
    let wear = UnitWear::of("made", &accounts).unwrap();
    // three stretches of 1000 km: k·u/(√3·1000 km), u of the two readings together; by different wrenches nothing is shared
    let half = |left: f64, found: f64| 1.959_964 * left.hypot(found) / (3.0_f64.sqrt() * 1000.0);
    let is = |outlook: &Outlook, rate: f64, half: f64| {
        let (low, high) = interval(outlook);
        assert!(
            (low - (rate - half)).abs() < 1e-8 && (high - (rate + half)).abs() < 1e-8,
            "{low} {high}"
        );
    };
    is(&wear.breakaway.outlook, 0.010, half(1.5, 2.0));
    is(&wear.preload[0].outlook, 0.060, half(15.0, 15.0));
    // in what is said of later it counts as well
    let (value, ends) = wear.preload[0].after(1000.0).unwrap();
    let wide = (1.959_964 * 15.0_f64).hypot(half(15.0, 15.0) * 1000.0);
    let (low, high) = ends.unwrap();
    assert!((value - 1090.0).abs() < 1e-9, "{value}");
    assert!(
        (low - (1090.0 - wide)).abs() < 1e-3 && (high - (1090.0 + wide)).abs() < 1e-3,
        "{low} {high}"
    );
    // one wrench with one calibration: its 2 N·m of 85 are a share that the difference keeps little of
    let wrench = InstrumentAccount {
        role: InstrumentRole::TorqueWrench,
        id: "w".into(),
        due: "2030-01-01".into(),
        ..InstrumentAccount::default()
    };
    let share: f64 = 2.0 / 85.0;
    let own = (2.5_f64.powi(2) - (share * 95.0).powi(2)).sqrt();
    let mut same = accounts.clone();
    for account in &mut same {
        account.instruments = vec![wrench.clone()];
        account.breakaway.left_uncertainty = nm(2.5);
        let by_wrench = |standard| Doubt {
            source: "wrench".into(),
            calibration_of: "w".into(),
            standard,
        };
        account.breakaway.left_doubts = vec![by_wrench(share * 95.0), Doubt::own("scatter", own)];
        account.breakaway.found_doubts = vec![by_wrench(2.0)];
    }
    let wear = UnitWear::of("made", &same).unwrap();
    is(&wear.breakaway.outlook, 0.010, half(own, share * 10.0));
    same[2].instruments[0].due = "2031-01-01".into();
    let wear = UnitWear::of("made", &same).unwrap();
    let (low, high) = interval(&wear.breakaway.outlook);
    assert!(
        (high - low) / 2.0 > 1.5 * half(own, share * 10.0),
        "calibrated between: {low} {high}"
    );
}

#[test]
fn of_two_plates_that_may_be_at_their_limits_the_likelier_one_comes_first() {
    let readings = [[1.990, 1.984], [1.950, 1.944], [1.951, 1.920]];
    let accounts: Vec<Account> = (1..)
        .zip(readings)
        .map(|(n, [one, other])| {
            let plates = vec![plate("made", "G1", one), plate("made", "G2", other)];
            build("made", n, km(1000.0), plates)
        })
        .collect();
    let wear = UnitWear::of("made", &accounts).unwrap();
    let by = |name: &str| {
        let plate = wear.plates.iter().find(|plate| plate.track.name == name).unwrap();
        (plate.least.earliest().unwrap(), plate.least.middle().unwrap())
    };
    let (one, other) = (by("G1"), by("G2"));
    assert_eq!((one.0, other.0), (0.0, 0.0));
    assert!(other.1 < one.1, "{one:?} {other:?}");
    let first = wear.first().unwrap();
    assert_eq!(
        (first.what.to_string().as_str(), first.earliest()),
        ("plate G2", 0.0)
    );
}

#[test]
fn readings_that_lie_on_a_line_leave_it_no_surer_than_they_are() {
    let accounts: Vec<Account> = [2.000, 1.990, 1.980]
        .into_iter()
        .zip(1..)
        .map(|(thickness, n)| build("made", n, km(1000.0), vec![plate("made", "G1", thickness)]))
        .collect();
    let wear = UnitWear::of("made", &accounts).unwrap();
    let (low, high) = interval(&wear.plates[0].mean);
    // 1 µm each, at −1, 0 and 1 times 1000 km: 1.96/√2 µm in 1000 km on each side
    let half = 1.959_964e-6 / 2.0_f64.sqrt();
    assert!(
        (low - (1e-5 - half)).abs() < 1e-11 && (high - (1e-5 + half)).abs() < 1e-11,
        "{low} {high}"
    );
    // where that line meets 1.90 mm, by the same doubt of the readings
    let Outlook::Told {
        meets: Some(Meets::Within { at, from, to }),
        line,
        ..
    } = wear.plates[0].least
    else {
        panic!("{:?}", wear.plates[0].least)
    };
    assert!((at - 8000.0).abs() < 1e-6, "{at}");
    for (edge, end) in [(from, 0), (to, 1)] {
        let (low, high) = line.mean_interval(edge + 2000.0, 0.95).unwrap();
        let at_the_edge = [low, high][end];
        assert!((at_the_edge - 1.90).abs() < 1e-9, "{edge}: {low} {high}");
    }
}
