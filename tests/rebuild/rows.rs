//! Rows typed into the program itself: in line mode and on a terminal.

use crate::bench::{Place, Ran, answers_of, unit_file};
use crate::fed::fed;
use crate::fronts::Terminal;
use std::time::Duration;

/// What is typed before the plates are asked for, a line each.
fn up_to_the_rail(demo: &str) -> String {
    answers_of(demo)
        .lines()
        .filter_map(|line| line.split_once(" = "))
        .take_while(|(slot, _)| !slot.starts_with("plate-"))
        .map(|(_, answer)| format!("{answer}\n"))
        .collect()
}

fn typed(place: &Place, demo: &str, text: &str) -> Ran {
    let mut command = place.work(&unit_file(demo), &["--plain"]);
    fed(&mut command, text).into()
}

#[test]
fn lines_that_are_opened_again_in_line_mode_keep_what_stood_there() {
    let demo = "moor-rear";
    let place = Place::new();
    let rows = "C1 1.996 1.998 1.995 flat 0.02 good\n!back 2\n\n1.973 1.975 1.972\n!pause\n";
    let ran = typed(&place, demo, &(up_to_the_rail(demo) + rows));
    assert_eq!(ran.code, 7, "{}\n{}", ran.out, ran.err);
    for words in [
        "C1, flat (before: 0.02 mm; Enter keeps it)",
        "C1 stays good, 0.02 mm",
        "G1, reading 1\n> ",
    ] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
    let entries = place.entries("moor-rear-0001");
    let kinds: Vec<&str> = entries
        .iter()
        .rev()
        .take(10)
        .map(|entry| entry["kind"].as_str().unwrap())
        .collect();
    let answered = ["answered"; 5];
    assert_eq!(kinds[..5], answered, "{kinds:?}");
    assert_eq!(kinds[5..7], ["reopened"; 2], "{kinds:?}");
}

#[test]
fn a_place_that_is_opened_again_stays_in_sight_on_a_terminal() {
    let demo = "moor-rear";
    let place = Place::new();
    typed(&place, demo, &up_to_the_rail(demo));
    let mut terminal = Terminal::open(&place, demo);
    terminal.see(&["is not finished. Go on with it?"]);
    terminal.give_line("y");
    terminal.see(&["C1, reading 1"]);
    terminal.give_line("C1 1.996 1.998 1.995 flat 0.02 glazed");
    terminal.see(&["G1, reading 1"]);
    terminal.give_line("!back 3");
    let screen = terminal.see(&["reading 3 (before: 1.995 mm; Enter keeps it)"]);
    assert!(screen.contains("1.998 1.995? 0.020? glazed?"), "{screen}");
    terminal.give_line("1.997");
    terminal.see(&["C1, flat (before: 0.02 mm; Enter keeps it)"]);
    // an Enter sooner than this is one that an instrument sent
    std::thread::sleep(Duration::from_millis(250));
    terminal.give_line("");
    let screen = terminal.see(&["G1, reading 1"]);
    assert!(screen.contains("1.996 1.998 1.997 0.020 glazed"), "{screen}");
}
