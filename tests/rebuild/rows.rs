//! Rows: typed into the program itself, in line mode and on a terminal; and lines that answer several questions beside the
//! rail.

use crate::bench::{Place, Ran, answers_of, unit_file};
use crate::engine::{answer, asked, before};
use crate::fed::fed;
use crate::fronts::Terminal;
use shimwright::procedure::{Accepted, Expects, Session};
use shimwright::record::{Entry, Value};
use shimwright::workshop::Drawer;
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
    assert!(screen.contains("1.996 1.998 1.995?0.020?glazed?"), "{screen}");
    terminal.give_line("1.997");
    terminal.see(&["C1, flat (before: 0.02 mm; Enter keeps it)"]);
    // an Enter sooner than this is one that an instrument sent
    std::thread::sleep(Duration::from_millis(250));
    terminal.give_line("");
    let screen = terminal.see(&["G1, reading 1"]);
    assert!(screen.contains("1.996 1.998 1.997 0.020 glazed"), "{screen}");
}

/// The questions that entries answer.
fn slots(taken: &Accepted) -> Vec<String> {
    let slot = |entry: &Entry| match entry {
        Entry::Answered { slot, .. } => slot.to_string(),
        other => panic!("{other:?}"),
    };
    taken.entries.iter().map(slot).collect()
}

fn no(session: &mut Session, text: &str) -> String {
    let before = session.answered();
    let told = answer(session, text).unwrap_err().words;
    assert_eq!(session.answered(), before, "{text}");
    told
}

/// A demo at a question, by rows.
fn by_rows(demo: &str, slot: &str) -> Session {
    let mut session = before(demo, slot);
    session.by_rows(true);
    session
}

#[test]
fn a_pack_is_laid_in_by_the_number_of_parts_that_lie_in_it() {
    let mut session = by_rows("moor-rear", "laid-in/left/shim-1");
    // what would be buried is looked at first, in a picture of the pack as far as it goes
    for (look, part) in [("spring-way/left", "[spring]"), ("ring-way/left", "[ring]")] {
        let ask = asked(&session);
        assert_eq!(ask.slot.to_string(), look);
        assert!(
            ask.guarded && ask.words[0].starts_with("Lay in as far as"),
            "{:?}",
            ask.words
        );
        assert!(
            ask.drawing.iter().any(|line| line.contains(part)),
            "{:?}",
            ask.drawing
        );
        // no number answers it
        no(&mut session, "13");
        no(&mut session, "");
        answer(&mut session, "yes").unwrap();
    }
    let ask = asked(&session);
    assert_eq!(ask.prompt, "Left, wall to ring: how many parts lie in it");
    assert!(matches!(ask.expects, Expects::Line { .. }));
    for wrong in ["1", "12", "14", "13.0", "two", "done", "yes", ""] {
        let told = no(&mut session, wrong);
        assert!(
            !told.contains(|c: char| c.is_ascii_digit()) && !told.contains("shim"),
            "{wrong}: {told}"
        );
    }
    let taken = answer(&mut session, "13").unwrap();
    assert_eq!(taken.entries.len(), 13);
    assert_eq!(slots(&taken)[0], "laid-in/left/shim-1");
    assert_eq!(slots(&taken)[12], "laid-in/left/ring");
    for look in ["ring-way/right", "spring-way/right"] {
        assert_eq!(asked(&session).slot.to_string(), look);
        answer(&mut session, "yes").unwrap();
    }
    // the gears between the rings are one part more
    assert!(asked(&session).prompt.starts_with("Right, gears to shim"));
    assert_eq!(answer(&mut session, "14").unwrap().entries.len(), 14);
    assert_ne!(asked(&session).slot.step, "laid-in");
}

#[test]
fn a_look_that_stops_the_way_stops_a_pack_as_well() {
    let mut session = by_rows("moor-rear", "laid-in/left/shim-1");
    answer(&mut session, "no").unwrap();
    let ask = asked(&session);
    assert_eq!(ask.slot.to_string(), "spring-way/left/2");
    assert!(ask.drawing.iter().any(|line| line.contains("[spring]")));
    answer(&mut session, "yes").unwrap();
    assert_eq!(asked(&session).slot.to_string(), "ring-way/left");
}

#[test]
fn parts_are_laid_in_one_by_one_for_whoever_wants_it() {
    let mut session = by_rows("moor-rear", "laid-in/left/shim-1");
    session.by_rows(false);
    assert_eq!(asked(&session).slot.to_string(), "laid-in/left/shim-1");
    assert_eq!(asked(&session).expects, Expects::Done);
    answer(&mut session, "").unwrap();
    answer(&mut session, "").unwrap();
    assert_eq!(asked(&session).slot.to_string(), "spring-way/left");
    answer(&mut session, "yes").unwrap();
    // in the midst of a pack the whole of it is counted, what lies there already too
    session.by_rows(true);
    answer(&mut session, "yes").unwrap();
    no(&mut session, "11");
    assert_eq!(answer(&mut session, "13").unwrap().entries.len(), 11);
    // a file of answers may have the number at the first of its parts, up to the next look
    let mut session = before("moor-rear", "laid-in/left/C1");
    no(&mut session, "11");
    assert_eq!(answer(&mut session, "13").unwrap().entries.len(), 11);
}

#[test]
fn a_group_of_bolts_is_a_line_with_what_each_stage_came_to() {
    let mut session = by_rows("moor-rear", "tighten/cover/1");
    let ask = asked(&session);
    assert_eq!(ask.prompt, "Cover: 12.0 N·m, then 32.0 N·m");
    assert!(ask.limits[0].contains("10 × M8"), "{:?}", ask.limits);
    for (line, words) in [
        (
            "12 30",
            "stage 2 is 32.0 N·m, and 30 was typed: nothing was taken",
        ),
        ("32 12", "stage 1 is 12.0 N·m"),
        ("12 32 90", "3 figures for 2 stages"),
        ("", "what each stage came to"),
        ("done", "what each stage came to"),
        ("12 mm 32", "stage 1 is 12.0 N·m, and 12 mm"),
    ] {
        let told = no(&mut session, line);
        assert!(told.contains(words), "{line}: {told}");
    }
    let mut part = by_rows("moor-rear", "tighten/cover/1");
    assert_eq!(slots(&answer(&mut part, "12").unwrap()), ["tighten/cover/1"]);
    assert_eq!(slots(&answer(&mut part, "").unwrap()), ["tighten/cover/2"]);
    let taken = answer(&mut session, "12 N·m 32").unwrap();
    assert_eq!(slots(&taken), ["tighten/cover/1", "tighten/cover/2"]);
    session.by_rows(false);
    assert_eq!(
        slots(&answer(&mut session, "done").unwrap()),
        ["tighten/ring gear/1"]
    );
}

#[test]
fn packs_that_lie_as_they_are_listed_are_one_line() {
    let mut session = by_rows("moor-rear", "found-order/right");
    let ask = asked(&session);
    assert!(
        ask.prompt.ends_with(", or same same for right and left"),
        "{}",
        ask.prompt
    );
    for words in [
        "right: by the unit file, from the wall: C6 G6",
        "left: by the unit file, from the wall: C1 G1",
    ] {
        assert!(
            ask.limits.iter().any(|limit| limit.starts_with(words)),
            "{:?}",
            ask.limits
        );
    }
    for wrong in ["same same same", "same C1"] {
        no(&mut session, wrong);
    }
    let taken = answer(&mut session, "same Same").unwrap();
    assert_eq!(slots(&taken), ["found-order/right", "found-order/left"]);
    assert!(
        matches!(&taken.entries[1], Entry::Answered { value: Value::Names(names), .. } if names[0] == "C1")
    );
    let mut session = by_rows("moor-rear", "found-order/right");
    assert_eq!(
        slots(&answer(&mut session, "same").unwrap()),
        ["found-order/right"]
    );
    assert!(!asked(&session).prompt.contains("same same"));
}

#[test]
fn readings_of_one_thing_stand_on_a_line() {
    let mut session = by_rows("moor-rear", "breakaway/drive-still/1");
    assert!(
        asked(&session).prompt.contains(", or all 3"),
        "{}",
        asked(&session).prompt
    );
    let taken = answer(&mut session, "108 111 N·m 109").unwrap();
    let way = |n| format!("breakaway/drive-still/{n}");
    assert_eq!(slots(&taken), [way(1), way(2), way(3)]);
    assert!(no(&mut session, "93 95 92 107").contains("3 of this are open: nothing"));
    let mut session = by_rows("moor-rear", "ring-height/left/1");
    let prompt = asked(&session).prompt;
    assert!(
        prompt.ends_with(", or all 2, or all 4 of left and right"),
        "{prompt}"
    );
    no(&mut session, "11.000 11.001 11.000");
    assert_eq!(
        answer(&mut session, "11.000 11.001 11.000 11.001")
            .unwrap()
            .entries
            .len(),
        4
    );
    let taken = answer(&mut session, "67.10 67.11 67.10").unwrap();
    assert_eq!(slots(&taken), ["case-depth/1", "case-depth/2", "case-depth/3"]);
    // what is said of the last reading has those before it in it
    let mut session = by_rows("moor-rear", "spare-thickness/SG1/1");
    let taken = answer(&mut session, "2.005 2.007 2.004").unwrap();
    let said: Vec<&str> = taken.said.iter().map(|said| said.words.as_str()).collect();
    assert!(
        matches!(said[..], [words] if words.starts_with("SG1: mean 2.003 mm")),
        "{said:?}"
    );
    // one question at a time takes such a line too, as files of answers have it
    let mut session = before("moor-rear", "spring-height/left");
    assert_eq!(
        slots(&answer(&mut session, "3.08 3.07").unwrap()),
        ["spring-height/left", "spring-height/right"]
    );
}

#[test]
fn the_first_reading_that_is_odd_stops_its_line() {
    let mut session = by_rows("moor-rear", "case-depth/1");
    let taken = answer(&mut session, "67.10 6.711 67.10").unwrap();
    assert_eq!(slots(&taken), ["case-depth/1"]);
    let refusal = taken.refused.unwrap();
    assert!(refusal.sure && refusal.suggests, "{}", refusal.words);
    assert!(
        refusal.words.starts_with("reading 2: ")
            && refusal
                .words
                .ends_with("not taken after it: 67.10; taken before it: reading 1 67.10"),
        "{}",
        refusal.words
    );
    assert_eq!(asked(&session).slot.to_string(), "case-depth/2");
    let taken = answer(&mut session, "yes").unwrap();
    assert!(matches!(
        taken.entries[0],
        Entry::Answered {
            value: Value::Length(67_110_000),
            ..
        }
    ));
    let words = no(&mut session, "67.10 67.11");
    assert_eq!(words, "one reading is wanted here, and 2 stand on the line");
    // a first one that is odd takes nothing, and sure is for it alone
    let mut session = by_rows("moor-rear", "case-depth/1");
    assert!(no(&mut session, "6.711 67.10 67.11").contains("not taken after it: 67.10 67.11"));
    let taken = answer(&mut session, "sure").unwrap();
    assert!(matches!(taken.entries[0], Entry::Answered { insisted: true, .. }));
}

#[test]
fn a_plate_of_an_old_build_keeps_a_name_that_is_a_word_of_a_row() {
    let drawer = "format = \"shimwright drawer 1\"\n\n[[spare]]\nname = \"Flat\"\nkeyed = \"gear\"\nthickness = \"2.00 mm\"\n";
    assert!(
        Drawer::read("drawer", drawer)
            .unwrap_err()
            .to_string()
            .contains("Flat")
    );
    assert_eq!(
        Drawer::read_kept("drawer", drawer).unwrap().spares[0].name,
        "Flat"
    );
}
