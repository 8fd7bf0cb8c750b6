//! A thousand generated histories of a unit whose wear is known.

use crate::draws::Draws;
use crate::made::{build, km, nm, plate};
use shimwright::mechanics::wear::Meets;
use shimwright::record::{Account, Outlook, UnitWear};

const HISTORIES: usize = 1000;

/// So many of a thousand may a band of 95 % hold, within three standard deviations of the binomial: √(1000·0.95·0.05) is
/// 6.9.
fn is_ninety_five_percent(held: usize) -> bool {
    (930..=970).contains(&held)
}

/// A unit with what it was made from.
struct Made {
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

fn made(seed: u64) -> Made {
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
        }
        let thickness = new - rate * gone + 0.002 * draws.normal();
        account.plates = vec![plate("made", "G1", thickness)];
        now = draws.between(92.0, 98.0);
        account.breakaway.left = nm(now + READING_NM * draws.normal());
        account.breakaway.left_uncertainty = nm(READING_NM);
        accounts.push(account);
    }
    Made {
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
    for (what, held) in [("rate", rates), ("limit", limits), ("fade", fades)] {
        assert!(is_ninety_five_percent(held), "{what}: {held} of {HISTORIES}");
    }
    // Student's t is taken for the doubt of the last reading too, which makes this band the wider
    assert!((930..=1000).contains(&leasts), "{leasts} of {HISTORIES}");
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
