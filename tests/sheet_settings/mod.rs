//! The settings sheet of every invented car for every stock use, as pages.

use crate::{PAPERS, all_text, faults};
use shimwright::quantity::Units;
use shimwright::sheet::{Item, Page, Paper, Settling, settings_pages, settings_pdf};
use shimwright::tuning::{Others, Settled};
use shimwright::workshop::{Car, Origin, Origins, STOCK_USES, UnitFile, Use};

const DEMOS: [(&str, &str); 3] = [
    (
        include_str!("../../demo-units/moor-car.toml"),
        include_str!("../../demo-units/moor-rear.toml"),
    ),
    (
        include_str!("../../demo-units/tarn-car.toml"),
        include_str!("../../demo-units/fell-front.toml"),
    ),
    (
        include_str!("../../demo-units/shoal-car.toml"),
        include_str!("../../demo-units/shoal-rear.toml"),
    ),
];

/// Calls `look` with the sheet of a proposal.
fn sheet<T>(
    (car, unit): (&str, &str),
    wanted: &str,
    take: u32,
    units: Units,
    look: impl FnOnce(&Settling<'_>) -> T,
) -> T {
    let car = Car::read("car.toml", car).unwrap();
    let unit = UnitFile::read("unit.toml", unit).unwrap();
    let wanted = Use::read("use.toml", wanted).unwrap();
    let settled = Settled::new(&car, &wanted, &unit, &Others::of(&car)).unwrap();
    // where less can be told apart, the last that can
    let take = take.min(settled.proposals.len() as u32);
    let proposal = settled.proposal(take).unwrap();
    let pictures = settled.pictures(proposal).unwrap();
    let origin = |name: &str| Origin {
        name: name.to_string(),
        digest: "0".repeat(64),
    };
    let from = Origins {
        unit: origin(unit.name()),
        car: origin(&car.name),
        wanted: origin(&wanted.name),
    };
    let setting = settled.setting(take, &unit, "2026-05-08", from).unwrap().unwrap();
    look(&Settling {
        settled: &settled,
        proposal,
        pictures: &pictures,
        setting: &setting,
        words: &wanted.words,
        digest: &"ab".repeat(32),
        units,
    })
}

fn source(id: &str) -> &'static str {
    STOCK_USES.iter().find(|(known, _)| *known == id).unwrap().1
}

#[test]
fn every_settings_sheet_is_one_sound_page() {
    // every use once, and every demo
    let pairs = STOCK_USES
        .iter()
        .enumerate()
        .map(|(n, one)| (DEMOS[n % DEMOS.len()], one));
    for (demo, (id, wanted)) in pairs {
        for (take, units) in [(1, Units::Metric), (2, Units::Inch)] {
            sheet(demo, wanted, take, units, |settling| {
                for paper in PAPERS {
                    let pages = settings_pages(settling, paper);
                    assert_eq!(pages.len(), 1, "{id} {take} {paper:?}");
                    let faults = faults(&pages[0]);
                    assert!(faults.is_empty(), "{id} {take} {paper:?}: {faults:#?}");
                }
            });
        }
    }
}

#[test]
fn a_settings_sheet_says_what_it_is_and_whose_word_comes_first() {
    sheet(DEMOS[0], source("hillclimb"), 1, Units::Metric, |settling| {
        let text = all_text(&settings_pages(settling, Paper::A4));
        for words in [
            "SETTINGS SHEET",
            "moor-rear, proposal 1",
            "two-way · 2026-05-08",
            "Moment",
            "puts down",
            "Torque at the left wheel, N·m",
            "Torque at the right wheel, N·m",
            "Throttle, %",
            "It does not say that the unit is safe",
            "common practice",
            "braking",
        ] {
            assert!(text.contains(words), "{words}: {text}");
        }
    });
    sheet(DEMOS[0], source("hillclimb"), 1, Units::Inch, |settling| {
        let text = all_text(&settings_pages(settling, Paper::Letter));
        assert!(text.contains("Torque at the left wheel, lbf·ft"), "{text}");
    });
}

#[test]
fn the_same_setting_gives_the_same_bytes() {
    let bytes = |take| {
        sheet(DEMOS[2], source("drift"), take, Units::Metric, |settling| {
            settings_pdf(settling, Paper::A4).unwrap()
        })
    };
    assert_eq!(bytes(1), bytes(1));
    assert_ne!(bytes(1), bytes(2));
    assert!(bytes(1).len() < 100_000);
}

/// Whole lines for the proposal, dashes for the unit as it is, dots for the tyres: they can be told apart without grey.
#[test]
fn lines_can_be_told_apart_in_black_and_white() {
    sheet(DEMOS[0], source("hillclimb"), 1, Units::Metric, |settling| {
        let pages = settings_pages(settling, Paper::A4);
        let lines = |page: &Page, wanted: f64| {
            let dashes = page.items.iter().filter(|item| {
                matches!(item, Item::Line { dash, grey, points, .. }
                    if (dash - wanted).abs() < 1e-9 && *grey < 1e-9 && points.len() > 1)
            });
            dashes.count()
        };
        // lock over throttle, the mark for the closed throttle, four edges in the plane
        assert_eq!(lines(&pages[0], 1.3), 6);
        assert_eq!(lines(&pages[0], 0.6), 3);
        let thick = pages[0].items.iter().filter(
            |item| matches!(item, Item::Line { thickness, dash, .. } if *thickness > 0.69 && *dash < 1e-9),
        );
        assert_eq!(thick.count(), 6);
    });
}
