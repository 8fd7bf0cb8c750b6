//! What a master reads: several apprentices side by side, and the debrief behind the sheet of a run.

use crate::mechanic::Habits;
use crate::program::{MADE, Place, RUN, err, json, out, worked};
use serde_json::Value;
use shimwright::report::Section;
use shimwright::sheet::{Paper, practice_pages, practice_pdf};
use std::path::Path;

/// A run of the unit by somebody of this name.
fn run_by(place: &Place, name: &str, habits: Habits) {
    let answers = worked(habits).answers;
    assert!(answers.contains("who = A. Prentice\n"));
    let ran = place.practise(MADE, &answers.replace("A. Prentice", name), &[]);
    assert_eq!(ran.status.code(), Some(0), "{}", err(&ran));
}

/// The number of pages of a PDF, and its words as another program reads them.
fn read(path: &Path) -> (usize, String) {
    let file = lopdf::Document::load(path).unwrap();
    let pages: Vec<u32> = file.get_pages().into_keys().collect();
    (pages.len(), file.extract_text(&pages).unwrap())
}

fn sum(of: &Value, key: &str) -> u64 {
    let kinds = of["kinds"].as_array().unwrap();
    kinds.iter().map(|kind| kind[key].as_u64().unwrap()).sum()
}

#[test]
fn several_apprentices_stand_side_by_side_on_screen_in_json_and_on_one_page() {
    let place = Place::new();
    run_by(&place, "Z. Careful", Habits::default());
    // one alone is told by the tables below
    let alone = out(&place.run(&["practise", "--past"]));
    assert!(
        !alone.contains("Side by side") && alone.contains("Of all who practised here: Z. Careful."),
        "{alone}"
    );
    let told = json(&place.run(&["practise", "--past", "--json"]));
    assert_eq!(told["apprentices"].as_array().unwrap().len(), 0);
    run_by(&place, "A. Hasty", Habits::CARELESS);
    run_by(&place, "a. hasty", Habits::CARELESS);

    let both = out(&place.run(&["practise", "--past"]));
    assert!(
        both.contains("Of all who practised here: A. Hasty, Z. Careful."),
        "{both}"
    );
    let (_, table) = both.split_once("Side by side").unwrap();
    let (table, _) = table.split_once("By kind of fault").unwrap();
    let row = |name: &str| {
        let line = table.lines().find(|line| line.starts_with(name));
        let line = line.unwrap_or_else(|| panic!("{name}: {table}"));
        line[name.len()..]
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
    };
    // a unit with two faults, worked twice by the one under two ways to write a name
    assert!(row("A. Hasty").starts_with("2 "), "{table}");
    assert!(row("Z. Careful").starts_with("1 "), "{table}");
    let found = |row: &str| {
        let words: Vec<&str> = row.split(' ').collect();
        let pairs = words.windows(3).filter(|three| three[1] == "of");
        pairs.fold((0_u64, 0_u64), |(found, met), three| {
            (
                found + three[0].parse::<u64>().unwrap(),
                met + three[2].parse::<u64>().unwrap(),
            )
        })
    };
    assert_eq!(
        (found(&row("A. Hasty")), found(&row("Z. Careful"))),
        ((0, 4), (2, 2)),
        "{table}"
    );
    // in the order of the alphabet, and what each of them does next; nobody is ranked
    assert!(table.find("A. Hasty").unwrap() < table.find("Z. Careful").unwrap());
    assert!(
        table.contains("\nA. Hasty: ") && table.contains(" was missed when it was last there"),
        "{table}"
    );
    assert!(
        table.contains("\nZ. Careful: whatever was met was found the last time"),
        "{table}"
    );
    for word in ["best", "worst", "rank", "first", "place", "winner"] {
        assert!(
            !table
                .to_lowercase()
                .split(|c: char| !c.is_alphabetic())
                .any(|one| one == word),
            "{word}: {table}"
        );
    }
    for line in both.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }

    let told = json(&place.run(&["practise", "--past", "--json"]));
    let each = told["apprentices"].as_array().unwrap();
    let figures: Vec<_> = each
        .iter()
        .map(|one| {
            let by = one["by"].as_str().unwrap();
            (
                by,
                one["finished_runs"].as_u64().unwrap(),
                sum(one, "met"),
                sum(one, "found"),
            )
        })
        .collect();
    assert_eq!(figures, [("A. Hasty", 2, 4, 0), ("Z. Careful", 1, 2, 2)]);
    assert_eq!(sum(&told["progress"], "met"), 6);

    let page = place.run(&["practise", "--past", "--sheet", "all.pdf"]);
    assert_eq!(page.status.code(), Some(0), "{}", err(&page));
    let (pages, words) = read(&place.path("all.pdf"));
    assert_eq!(pages, 1, "{words}");
    for told in [
        "Side by side",
        "A. Hasty",
        "Z. Careful",
        "all who practised",
        "Master, read and talked over",
    ] {
        assert!(words.contains(told), "{told}: {words}");
    }
    // of one alone the others are none of their business
    let one = place.run(&["practise", "--past", "--by", "z. careful", "--sheet", "one.pdf"]);
    let text = out(&one);
    assert!(
        !text.contains("Side by side") && !text.contains("Hasty"),
        "{text}"
    );
    let (pages, words) = read(&place.path("one.pdf"));
    assert!(
        pages == 1 && !words.contains("Hasty") && words.contains("By kind of fault"),
        "{words}"
    );
    let told = json(&place.run(&["practise", "--past", "--by", "Z. CAREFUL", "--json"]));
    assert_eq!(told["apprentices"].as_array().unwrap().len(), 0);
    assert_eq!(told["progress"]["finished_runs"], 1);
}

#[test]
fn the_debrief_begins_a_page_of_its_own_that_is_counted_with_the_sheets() {
    let run = worked(Habits::COPYING);
    let build = run.session.build(RUN, &"0123456789abcdef".repeat(4));
    let long = Section::under("What it came to").words("MISSED: something. ".repeat(600));
    for (told, most) in [
        (Section::under("What it came to").words("Score: 0 %."), 1),
        (long, 9),
    ] {
        for paper in [Paper::A4, Paper::Letter] {
            let pages = practice_pages(&build, std::slice::from_ref(&told), paper);
            let count = pages.len();
            let texts: Vec<String> = pages.iter().map(|page| page.text()).collect();
            for (n, text) in texts.iter().enumerate() {
                let foot = text.lines().last().unwrap();
                assert!(foot.contains(&format!("page {} of {count}", n + 1)), "{foot}");
            }
            let begins = texts
                .iter()
                .position(|text| text.contains("What it came to"))
                .unwrap();
            assert!(begins > 1 && count - begins <= most, "{begins} of {count}");
            assert!(most == 1 || count - begins > 1, "{begins} of {count}");
            // nothing of the sheet stands on it, and nothing of it on the sheet
            assert!(
                texts[begins].contains("What was hidden in it"),
                "{}",
                texts[begins]
            );
            assert!(
                texts[..begins]
                    .iter()
                    .all(|text| !text.contains("MISSED") && !text.contains("Score:"))
            );
            assert!(texts[count - 1].contains("Master, read and talked over"));
        }
    }
    let place = Place::new();
    let told = Section::under("What it came to").words("Score: 0 %.");
    let bytes = practice_pdf(&build, std::slice::from_ref(&told), Paper::A4).unwrap();
    std::fs::write(place.path("sheet.pdf"), bytes).unwrap();
    let (count, words) = read(&place.path("sheet.pdf"));
    assert!(words.contains(&format!("page {count} of {count}")), "{words}");
}
