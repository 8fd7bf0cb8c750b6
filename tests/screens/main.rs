//! Whole screens as a person sees them, kept as files, so that a change of what people see can be read in a diff.
//!
//! `SHIMWRIGHT_FILL=1 cargo test --test screens` writes the files of `tests/screens/shown/` anew; without it a screen that
//! is not as its file has it fails the test. The picture of the demonstration's sheet that the README shows is held and written
//! anew in the same way.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used)]

#[path = "../support/folder.rs"]
mod folder;
#[path = "../support/started.rs"]
mod started;
mod terminal;

use folder::{AT, Place, answers_of};
use std::fs;
use std::path::{Path, PathBuf};
use terminal::Terminal;

/// Holds a screen against its file, or writes the file.
fn hold(name: &str, screen: &str) {
    let lines: Vec<&str> = screen.lines().map(str::trim_end).collect();
    let shown = format!("{}\n", lines.join("\n").trim_end());
    hold_file(&format!("tests/screens/shown/{name}.txt"), &shown);
}

/// Holds a text against its file, or writes the file.
fn hold_file(name: &str, shown: &str) {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(name);
    if std::env::var_os("SHIMWRIGHT_FILL").is_some() {
        fs::write(&file, shown).unwrap();
        return;
    }
    let kept = fs::read_to_string(&file).unwrap_or_default();
    assert!(
        kept == shown,
        "it is not as {name} has it (SHIMWRIGHT_FILL=1 writes it anew):\n{shown}"
    );
}

/// A place with the demonstration's files in it, so that paths on the screen are short and the same everywhere.
fn bench() -> Place {
    let place = Place::new();
    for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-units")).unwrap() {
        let path = entry.unwrap().path();
        let text = fs::read(&path).unwrap();
        place.write(path.file_name().unwrap().to_str().unwrap(), text);
    }
    place
}

/// What a command prints into a pipe.
fn printed(place: &Place, arguments: &[&str]) -> String {
    let ran = place.run(arguments);
    format!("{}{}", ran.out, ran.err)
}

const WORK: [&str; 7] = [
    "work",
    "full-rebuild",
    "moor-rear.toml",
    "--book",
    "book",
    "--at",
    AT,
];

/// The demonstration's rebuild of a unit, answered up to a question, and the screen on which the question stands then.
fn at_the_question(place: &Place, question: &str) -> Terminal {
    let answers = answers_of("moor-rear");
    let until = answers
        .lines()
        .position(|line| line.starts_with(&format!("{question} = ")))
        .unwrap_or_else(|| panic!("the answers have no {question}"));
    let before: Vec<&str> = answers.lines().take(until).collect();
    place.write("before.answers", before.join("\n") + "\n");
    let mut arguments = WORK.to_vec();
    arguments.extend(["--answers", "before.answers"]);
    place.run(&arguments).fails(4, &[question]);
    let mut terminal = Terminal::open(place, &WORK, 80, 24);
    terminal.see("Go on with it?");
    terminal.type_in("yes\r");
    terminal
}

#[test]
fn the_bare_command() {
    hold("start", &printed(&Place::new(), &["--book", "book"]));
}

#[test]
fn help() {
    hold("help", &printed(&Place::new(), &["--help"]));
    hold("help-reckon", &printed(&Place::new(), &["reckon", "--help"]));
}

#[test]
fn faults_of_a_file() {
    let place = Place::new();
    let faulty = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/faulty-unit.toml");
    place.write("faulty-unit.toml", fs::read(faulty).unwrap());
    hold("faults", &printed(&place, &["lint", "faulty-unit.toml"]));
}

#[test]
fn the_first_question() {
    let place = bench();
    let terminal = Terminal::open(&place, &WORK, 80, 24);
    hold("question-first", &terminal.see_prompt("Name"));
}

#[test]
fn a_caution_and_a_reading_in_other_languages() {
    for (language, yes, understood, plate) in [
        ("de", "ja", "ist)", "G7, Ablesung 3"),
        ("es", "sí", "así)", "G7, lectura 3"),
    ] {
        for (question, widths) in [
            ("caution-running", &[40, 60, 80, 120][..]),
            ("plate-thickness/G7/3", &[80]),
        ] {
            let place = bench();
            let answers = answers_of("moor-rear");
            let before: Vec<&str> = answers
                .lines()
                .take_while(|line| !line.starts_with(&format!("{question} = ")))
                .collect();
            place.write("before.answers", before.join("\n") + "\n");
            let speaking = [
                &WORK[..],
                &["--language", language, "--answers", "before.answers"],
            ]
            .concat();
            place.run(&speaking).fails(4, &[question]);
            for width in widths {
                // the language is that of the build, whatever is asked for when it goes on
                let mut terminal = Terminal::open(&place, &WORK, *width, 30);
                terminal.see("-> ");
                terminal.type_in(&format!("{yes}\r"));
                match question {
                    "caution-running" => hold(
                        &format!("caution-{language}-{width}"),
                        &terminal.see_last(understood),
                    ),
                    _ => {
                        terminal.see_prompt(plate);
                        terminal.type_in("1.903\r");
                        hold(&format!("verdict-{language}"), &terminal.see_prompt("G8, "));
                    }
                }
            }
        }
    }
}

#[test]
fn practice_a_drive_day_and_a_word_in_german() {
    let place = bench();
    let words = [
        "practise",
        "--level",
        "1",
        "--seed",
        "1",
        "--language",
        "de",
        "--at",
        AT,
    ];
    let begun = [&words[..], &["--start-at", "begin", "--book", "book"]].concat();
    let terminal = Terminal::open(&place, &begun, 80, 40);
    hold("practise-de", &terminal.see_prompt("Name"));
    let words = [
        "day",
        "moor-car.toml",
        "--language",
        "de",
        "--at",
        AT,
        "--book",
        "book",
    ];
    let mut terminal = Terminal::open(&place, &words, 80, 30);
    terminal.see_prompt("Name");
    terminal.type_in("A. Fitter (invented)\r");
    hold("day-de", &terminal.see_prompt("Tag, wie"));
    let word = printed(&place, &["words", "Vorspannung", "--language", "de"]);
    hold("words-de", &word);
}

#[test]
fn a_reading_and_its_verdict() {
    let place = bench();
    let mut terminal = at_the_question(&place, "plate-thickness/G7/3");
    hold("question-reading", &terminal.see_prompt("G7, reading 3"));
    terminal.type_in("1.903\r");
    hold("verdict", &terminal.see_prompt("G8, reading 1"));
}

/// The rail on a terminal of some size, with its first row answered in three ways.
fn at_the_rail(place: &Place, cols: u16, rows: u16) -> Terminal {
    let answers = answers_of("moor-rear");
    let before: Vec<&str> = answers
        .lines()
        .take_while(|line| !line.starts_with("plate-look/"))
        .collect();
    place.write("before.answers", before.join("\n") + "\n");
    let mut arguments = WORK.to_vec();
    arguments.extend(["--answers", "before.answers"]);
    place.run(&arguments).fails(4, &["plate-look/C1"]);
    let mut terminal = Terminal::open(place, &WORK, cols, rows);
    terminal.see("-> yes");
    terminal.type_in("yes\r");
    terminal.see_prompt("C1, reading 1");
    terminal
}

#[test]
fn the_rail_where_there_is_room_for_one_pack_and_where_there_is_none() {
    for (name, cols, rows) in [("rail-60", 60, 24), ("rail-40", 40, 24), ("rail-20", 20, 24)] {
        let place = bench();
        let mut terminal = at_the_rail(&place, cols, rows);
        terminal.type_in("C1 1.996 1.998 1.995 flat 0.02 good\r");
        terminal.see_prompt("G1, reading 1");
        terminal.type_in("G1 1.973 1.975 1.972 1.974 shiny\r");
        hold(name, &terminal.see_prompt("C2, reading 1"));
    }
}

#[test]
fn a_gauge_that_bursts_fills_one_place_and_moves_no_line() {
    let place = bench();
    let mut terminal = at_the_rail(&place, 80, 24);
    terminal.type_in(&"1.996\r".repeat(200));
    terminal.type_in("C1/3 1.995\r");
    terminal.type_in("C1/2 1.998\r");
    let screen = terminal.see_prompt("G1, reading 1");
    assert_eq!(screen.matches("LEFT").count(), 1, "{screen}");
    assert!(screen.contains("C1  1.996 1.998 1.995"), "{screen}");
    assert_eq!(
        screen.lines().filter(|line| line.contains("1.996")).count(),
        1,
        "{screen}"
    );
    assert!(
        screen.starts_with("Build moor-rear-0001") || screen.contains("Step "),
        "{screen}"
    );
}

#[test]
fn the_choice() {
    let place = bench();
    let terminal = at_the_question(&place, "choose");
    hold("choice", &terminal.see_prompt("Answer"));
}

#[test]
fn the_dry_build() {
    let place = bench();
    let terminal = at_the_question(&place, "dry-closing/1");
    hold("dry-build", &terminal.see_prompt("reading 1"));
}

#[test]
fn the_proof() {
    let place = bench();
    let terminal = at_the_question(&place, "breakaway/drive-still/1");
    hold("proof", &terminal.see_last("(N·m, such as 45"));
}

#[test]
fn the_page_of_everything_before_it_is_signed() {
    let place = bench();
    let terminal = at_the_question(&place, "sign-built");
    hold("review", &terminal.see_prompt("Name"));
}

#[test]
fn what_the_car_needs() {
    let place = bench();
    hold(
        "settle",
        &printed(
            &place,
            &[
                "settle",
                "moor-car.toml",
                "--use",
                "hillclimb",
                "--unit",
                "moor-rear.toml",
                "--complaint",
                "pushes on entry",
            ],
        ),
    );
}

#[test]
fn the_years() {
    let place = bench();
    place.run(&["demo", "--history"]);
    hold(
        "wear",
        &printed(&place, &["wear", "moor-rear", "--book", "output/demo-book"]),
    );
    hold(
        "fleet",
        &printed(
            &place,
            &["fleet", "--book", "output/demo-book", "--date", "2026-11-30"],
        ),
    );
    hold(
        "builds",
        &printed(&place, &["builds", "--book", "output/demo-book"]),
    );
}

#[test]
fn the_first_page_of_the_demonstrations_sheet() {
    let place = bench();
    let record = place.run(&[&WORK[..], &["--answers", "moor-rear.answers", "--json"]].concat());
    assert_eq!(record.json()["unit"], "moor-rear");
    let ran = place.run(&["sheet", "moor-rear-0001", "--book", "book", "--out", "page.svg"]);
    assert!(ran.out.starts_with("page.svg: "), "{}{}", ran.out, ran.err);
    let picture = fs::read_to_string(place.path("page.svg")).unwrap();
    assert!(
        picture.contains("viewBox=\"0 0 210 297\"") && picture.contains("moor-rear-0001"),
        "{picture}"
    );
    // every line of the page that is a text stands in it
    assert!(picture.matches("<text ").count() > 100 && picture.contains("page 1 of "));
    hold_file("procedures/guide/demo-sheet.svg", &picture);
}

/// A page without what is drawn and how it looks, and of each table only the first two rows.
fn outline(page: &str) -> String {
    let (mut kept, mut hidden, mut rows) = (String::new(), false, 0);
    for line in page.lines() {
        rows = match line {
            "<tbody>" => 0,
            "<tr>" => rows + 1,
            _ => rows,
        };
        let drawn = ["<text ", "<poly", "<path "]
            .iter()
            .any(|begins| line.starts_with(begins));
        let marked = line.starts_with("<!-- ");
        let cut = rows > 2 && line != "</tbody>";
        rows = if line == "</tbody>" { 0 } else { rows };
        hidden = (hidden || line == "<style>") && line != "</style>";
        if !(hidden || drawn || marked || cut) {
            kept.push_str(line);
            kept.push('\n');
        }
    }
    kept
}

#[test]
fn the_demonstrations_sheet_as_a_page() {
    let place = bench();
    let record = place.run(&[&WORK[..], &["--answers", "moor-rear.answers", "--json"]].concat());
    assert_eq!(record.json()["unit"], "moor-rear");
    let ran = place.run(&["sheet", "moor-rear-0001", "--book", "book", "--html", "-"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.len() < 150_000, "{}", ran.out.len());
    hold_file("tests/screens/shown/sheet.html", &outline(&ran.out));
}

/// Terminals of these widths hold no table of many columns: rows become paragraphs there.
const NARROW: [u16; 2] = [40, 60];

/// What a command shows on a terminal of some width that is long enough for all of it.
fn shown_at(place: &Place, arguments: &[&str], columns: u16) -> String {
    let shown = Terminal::open(place, arguments, columns, 600).at_the_end();
    let widest = shown.lines().map(|line| line.chars().count()).max();
    assert!(widest <= Some(usize::from(columns)), "{shown}");
    shown
}

#[test]
fn tables_on_a_narrow_terminal() {
    let place = bench();
    place.run(&["demo", "--history"]);
    let moments: [(&str, &[&str]); 3] = [
        ("fleet", &["fleet", "--date", "2027-11-30"]),
        ("builds", &["builds"]),
        ("between", &["between", "moor-rear-0003", "moor-rear-0004"]),
    ];
    for columns in NARROW {
        for (name, arguments) in moments {
            let arguments = [arguments, &["--book", "output/demo-book"]].concat();
            hold(
                &format!("{name}-{columns}"),
                &shown_at(&place, &arguments, columns),
            );
        }
    }
}

#[test]
fn a_choice_on_a_narrow_terminal() {
    let place = bench();
    let arguments = [
        "choose",
        "moor-rear.toml",
        "--readings",
        "moor-rear-readings.toml",
    ];
    for columns in NARROW {
        hold(
            &format!("choose-{columns}"),
            &shown_at(&place, &arguments, columns),
        );
    }
}

/// From a telephone's terminal to a wide one.
const WIDTHS: [u16; 4] = [40, 60, 80, 120];

#[test]
fn what_is_asked_of_a_book_at_every_width() {
    let place = bench();
    place.run(&["demo", "--history"]);
    let half: Vec<String> = answers_of("moor-rear")
        .lines()
        .take(12)
        .map(str::to_string)
        .collect();
    place.write("half.answers", half.join("\n") + "\n");
    let begun = [
        "work",
        "full-rebuild",
        "moor-rear.toml",
        "--book",
        "output/demo-book",
        "--at",
        AT,
        "--as-listed",
        "--answers",
        "half.answers",
    ];
    assert_eq!(place.run(&begun).code, 4);
    let moments: [(&str, &[&str]); 4] = [
        ("show", &["show", "moor-rear-0003"]),
        ("fleet-open", &["fleet", "--open", "--date", "2027-01-30"]),
        ("drawers", &["drawers", "moor-rear.toml"]),
        ("defaults", &["defaults"]),
    ];
    for columns in WIDTHS {
        for (name, arguments) in moments {
            let arguments = [arguments, &["--book", "output/demo-book"]].concat();
            hold(
                &format!("{name}-{columns}"),
                &shown_at(&place, &arguments, columns),
            );
        }
        // it tells what has run out by the day on which it is asked: held to its width, and kept in no file
        let all = shown_at(&place, &["check", "--all", "--book", "output/demo-book"], columns);
        assert!(all.contains("The book:") && all.contains("8 builds"), "{all}");
    }
}
