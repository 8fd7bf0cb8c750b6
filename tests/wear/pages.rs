//! The wear sheet as plain data: one page whatever stands in it, and nothing past its edges.

use crate::truth::Truth;
use shimwright::history::remedies::Remedies;
use shimwright::history::{Account, UnitWear, WearTables};
use shimwright::quantity::Units;
use shimwright::sheet::{Page, Paper, wear_pages};

fn sheet(truth: &Truth, accounts: &[Account], units: Units, paper: Paper) -> Page {
    let wear = UnitWear::of(&truth.unit.id, accounts).unwrap();
    let remedies = Remedies::of(&wear, &truth.unit, &truth.drawer, Some(1500.0));
    let mut pages = wear_pages(&WearTables::new(&wear, &remedies, units), paper);
    assert_eq!(pages.len(), 1);
    pages.remove(0)
}

fn is_inside(page: &Page) {
    for item in &page.items {
        let (left, top, right, bottom) = item.bounds();
        let margins = &page.margins;
        // the dot of a reading at the edge of a picture reaches a millimetre past it
        assert!(
            left >= margins.left - 1.1
                && top >= margins.top - 0.1
                && right <= page.width - margins.right + 1.1
                && bottom <= page.height - margins.bottom + 0.1,
            "{item:?}"
        );
    }
}

fn accounts(truth: &Truth, faces: u32) -> Vec<Account> {
    (1..=4).map(|n| truth.account(n, faces)).collect()
}

const ALL: [(Units, Paper); 4] = [
    (Units::Metric, Paper::A4),
    (Units::Metric, Paper::Letter),
    (Units::Inch, Paper::A4),
    (Units::Inch, Paper::Letter),
];

#[test]
fn a_full_history_is_one_page_on_every_paper_in_every_unit() {
    for (unit, drawer, faces, fact) in [
        ("moor-rear.toml", "moor-drawer.toml", 8, "9 faces in each pack"),
        ("fell-front.toml", "fell-drawer.toml", 6, "Gap left"),
    ] {
        let truth = Truth::new(unit, drawer);
        for (units, paper) in ALL {
            let page = sheet(&truth, &accounts(&truth, faces), units, paper);
            is_inside(&page);
            let text = page.text();
            for fact in [fact, "page 1 of 1", "nothing", "local rules"] {
                assert!(text.contains(fact), "{fact} is missing in {text}");
            }
        }
    }
}

#[test]
fn names_as_long_as_they_may_be_and_signs_that_no_font_has_stay_on_the_page() {
    let truth = Truth::new("moor-rear.toml", "moor-drawer.toml");
    let mut accounts = accounts(&truth, 10);
    let words = "A name that somebody typed in full, 漢字, with everything that came to mind; ".repeat(25);
    for account in &mut accounts {
        account.unit_name.clone_from(&words);
        account.car = "W".repeat(2000);
    }
    // more builds that are told than there is room for
    for n in 10..30 {
        let mut told = truth.account(n, 10);
        told.finished = None;
        told.problems = vec![words.clone()];
        accounts.push(told);
    }
    for (units, paper) in ALL {
        let page = sheet(&truth, &accounts, units, paper);
        is_inside(&page);
        assert!(
            page.text().contains("18 more notes stand on the screen"),
            "{}",
            page.text()
        );
    }
}

#[test]
fn of_more_plates_than_there_is_room_for_it_says_how_many_are_left_out() {
    let truth = Truth::new("moor-rear.toml", "moor-drawer.toml");
    let mut accounts = accounts(&truth, 10);
    for account in &mut accounts {
        for n in 0..180 {
            let mut plate = account.plates[n % 20].clone();
            plate.name = format!("X{n}");
            plate.part = format!("moor-rear/X{n}");
            account.plates.push(plate);
        }
    }
    for (units, paper) in ALL {
        let page = sheet(&truth, &accounts, units, paper);
        is_inside(&page);
        let text = page.text();
        let more: usize = text
            .split(" more plates")
            .next()
            .and_then(|before| before.split_whitespace().next_back())
            .and_then(|number| number.parse().ok())
            .unwrap_or_else(|| panic!("{text}"));
        assert!((180..200).contains(&more), "{more}");
    }
}
