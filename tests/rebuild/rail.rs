//! The rail: rows a plate come to the same entries as single answers, and each fault of a line has its own words.

use crate::bench::{AT, DEMOS, answers_of, raw_answers};
use crate::engine::{asked, before, entries, give, job};
use shimwright::metrology::Verdict;
use shimwright::procedure::{Accepted, Ask, Rail, Refusal, Reply, Session, Tone};
use shimwright::record::{Entry, Value};
use std::collections::BTreeMap;

/// A demo at its rail, with rows asked for.
fn at_the_rail(demo: &str) -> Session {
    let first = entries(demo)
        .iter()
        .find_map(|entry| match entry {
            Entry::Answered { slot, .. } if slot.step == "plate-look" => Some(slot.to_string()),
            _ => None,
        })
        .unwrap();
    let mut session = before(demo, &first);
    session.by_rows(true);
    session
}

fn row(session: &mut Session, line: &str) -> Result<Accepted, Refusal> {
    let taken = session.answer(&Reply::Row(line.into()), AT)?;
    session.take(&taken);
    Ok(taken)
}

/// What was refused of a line of which nothing was taken.
fn refused(session: &mut Session, line: &str) -> String {
    let before = session.answered();
    let told = row(session, line).unwrap_err().words;
    assert_eq!(session.answered(), before, "{line}");
    told
}

/// What was refused of a line of which something was taken.
fn partly(session: &mut Session, line: &str) -> String {
    let taken = row(session, line).unwrap();
    assert!(!taken.entries.is_empty(), "{line}");
    taken.refused.unwrap().words
}

fn rail(ask: &Ask) -> &Rail {
    ask.rail.as_ref().unwrap()
}

fn slots(taken: &Accepted) -> Vec<String> {
    let slot = |entry: &Entry| match entry {
        Entry::Answered { slot, .. } => slot.to_string(),
        Entry::Reopened { slot, .. } => format!("reopened {slot}"),
        Entry::Skipped { slot, .. } => format!("skipped {slot}"),
        Entry::Noted { .. } => "noted".to_string(),
        other => panic!("{other:?}"),
    };
    taken.entries.iter().map(slot).collect()
}

/// The rows of a demo's answers file, in the order of the rail.
fn rows_of(demo: &str, rail: &Rail) -> Vec<String> {
    let raw = raw_answers(&answers_of(demo));
    let of = |plate: &str| {
        let readings = (1..).map_while(|n| raw.get(&format!("plate-thickness/{plate}/{n}")));
        let readings: Vec<&str> = readings.map(String::as_str).collect();
        let (flat, look) = (
            &raw[&format!("plate-flatness/{plate}")],
            &raw[&format!("plate-look/{plate}")],
        );
        format!("{plate} {} flat {flat} {look}", readings.join(" "))
    };
    rail.rows.iter().map(|row| of(&row.name)).collect()
}

/// Answers as they stand, by question.
fn standing(session: &Session) -> BTreeMap<String, Value> {
    let answers = session.answers();
    answers
        .map(|(slot, value)| (slot.to_string(), value.clone()))
        .collect()
}

#[test]
fn a_row_a_plate_comes_to_the_same_answers_as_one_question_at_a_time() {
    for demo in DEMOS {
        let mut session = at_the_rail(demo);
        let ask = asked(&session);
        let plates = rail(&ask).rows.len();
        for line in rows_of(demo, rail(&ask)) {
            let taken = row(&mut session, &line).unwrap();
            assert!(taken.refused.is_none(), "{demo}: {line}: {:?}", taken.refused);
            assert_eq!(taken.said.len(), 1, "{demo}: {line}: {:?}", taken.said);
        }
        let after = asked(&session);
        assert!(after.rail.is_none(), "{demo}: {}", after.slot);
        let raw = raw_answers(&answers_of(demo));
        let mut counted = 0;
        let single = Session::resume(job(demo), &entries(demo));
        let all = standing(&single);
        for (slot, value) in standing(&session) {
            if slot.starts_with("plate-") {
                assert_eq!(Some(&value), all.get(&slot), "{demo}: {slot}");
                counted += 1;
            }
        }
        let wanted = raw.keys().filter(|slot| {
            ["plate-look/", "plate-thickness/", "plate-flatness/"]
                .iter()
                .any(|step| slot.starts_with(step))
        });
        assert_eq!(counted, wanted.count(), "{demo}: {plates} plates");
    }
}

#[test]
fn plates_lie_as_they_were_found_left_then_right() {
    let session = at_the_rail("moor-rear");
    let ask = asked(&session);
    let rail = rail(&ask);
    let unit = &session.job().unit;
    let names: Vec<&str> = rail.rows.iter().map(|row| row.name.as_str()).collect();
    let packs: Vec<&str> = unit
        .packs
        .iter()
        .flat_map(|pack| pack.order.iter().map(String::as_str))
        .collect();
    assert_eq!(names, packs);
    assert_eq!(
        (rail.hand, rail.rows[0].side, rail.rows[19].side),
        (0, "left", "right")
    );
    assert_eq!(rail.next, "C1, reading 1");
    assert!(
        rail.limits
            .contains("mm; mic-2 zero +0.002; least gear 1.900, case 1.920; spread 0.030; flat 0.050"),
        "{}",
        rail.limits
    );
}

#[test]
fn a_gauge_that_types_digits_fills_the_next_empty_place() {
    let mut session = at_the_rail("moor-rear");
    for (n, reading) in ["1.996", "1.998", "1.995", "1.973"].iter().enumerate() {
        let taken = row(&mut session, reading).unwrap();
        let place = ["C1/1", "C1/2", "C1/3", "G1/1"][n];
        assert_eq!(slots(&taken), [format!("plate-thickness/{place}")]);
    }
    // Enter goes on and writes nothing
    let taken = row(&mut session, "").unwrap();
    assert!(taken.entries.is_empty());
    assert_eq!(rail(&asked(&session)).next, "C2, reading 1");
    // a name alone takes a plate into the hand
    row(&mut session, "g5").unwrap();
    assert_eq!(rail(&asked(&session)).next, "G5, reading 1");
    row(&mut session, "G4/2 1.897").unwrap();
    row(&mut session, "1.895").unwrap();
    assert_eq!(rail(&asked(&session)).next, "G4, reading 3");
}

#[test]
fn the_verdict_comes_as_soon_as_a_plate_is_measured() {
    let mut session = at_the_rail("moor-rear");
    let taken = row(&mut session, "G4 1.895 1.897").unwrap();
    assert!(
        taken
            .said
            .iter()
            .all(|said| said.words.contains("so far outside")),
        "{:?}",
        taken.said
    );
    let taken = row(&mut session, "1.894").unwrap();
    let words = &taken.said[0].words;
    assert!(
        words.starts_with("G4: mean 1.893") && words.contains("outside"),
        "{words}"
    );
    assert_eq!(taken.said[0].tone, Tone::Bad);
    let mut other = at_the_rail("moor-rear");
    let taken = row(&mut other, "C1 1.996 1.998 1.995 flat 0.02 good").unwrap();
    assert!(taken.said[0].words.contains("inside"), "{:?}", taken.said);
    let rail = asked(&other).rail.unwrap();
    assert_eq!(
        (rail.rows[0].came_to.as_str(), rail.rows[0].missing),
        ("inside", false)
    );
    assert_eq!(rail.changed, [0]);
}

#[test]
fn all_fills_what_is_empty_of_plates_that_have_their_readings() {
    let mut session = at_the_rail("moor-rear");
    assert!(refused(&mut session, "all good flat 0.02").contains("20 plates have not been in the hand"));
    for plate in ["C1 1.996 1.998 1.995 flat 0.03", "G1 1.973 1.975 1.972 glazed"] {
        row(&mut session, plate).unwrap();
    }
    let told = partly(&mut session, "all good flat 0.02");
    assert!(told.contains("18 plates have not been in the hand"), "{told}");
    let all = standing(&session);
    let word = |plate: &str| all[&format!("plate-look/{plate}")].clone();
    assert!(matches!(word("C1"), Value::Word { word, .. } if word == "good"));
    assert!(
        matches!(word("G1"), Value::Word { word, .. } if word == "glazed"),
        "an exception stays"
    );
    assert_eq!(all["plate-flatness/C1"], Value::Length(30_000));
    assert_eq!(all["plate-flatness/G1"], Value::Length(20_000));
    for (line, words) in [
        ("all burnt", "plate by plate"),
        ("all cracked", "plate by plate"),
        ("all 1.98", "no two plates share a reading"),
        ("all", "all of what"),
    ] {
        let told = refused(&mut session, line);
        assert!(told.contains(words), "{line}: {told}");
    }
}

#[test]
fn how_many_looks_were_one_line_stays_with_the_record() {
    let mut session = at_the_rail("moor-rear");
    let ask = asked(&session);
    for line in rows_of("moor-rear", rail(&ask)) {
        let readings: Vec<&str> = line.split_whitespace().take(4).collect();
        row(&mut session, &readings.join(" ")).unwrap();
    }
    row(&mut session, "C8 burnt").unwrap();
    let taken = row(&mut session, "all good flat 0.02").unwrap();
    let Some(Entry::Noted { text, .. }) = taken.entries.last() else {
        panic!("{:?}", taken.entries.last());
    };
    assert_eq!(
        text,
        "good: 19 looks by one line; 0.02 mm: 20 flatness of plates by one line"
    );
    let told = |session: &Session| {
        let build = session.build("moor-rear-0001", &"0".repeat(64));
        let line = build
            .checks
            .into_iter()
            .find(|(what, _)| what == "Plates, by rows");
        line.unwrap().1
    };
    assert_eq!(
        told(&session),
        "20 looks, 19 by one line; flatness: one line for 20 plates"
    );
    // what is put right is no longer one of the line
    give(
        &mut session,
        &Reply::Fix("G9 flat 0.08 yes seen against the light".into()),
    )
    .unwrap();
    give(&mut session, &Reply::Fix("G2 look glazed".into())).unwrap();
    assert_eq!(
        told(&session),
        "20 looks, 18 by one line; flatness: one line for 19 plates"
    );
}

#[test]
fn a_plate_that_its_look_throws_out_need_not_be_measured() {
    let mut session = at_the_rail("moor-rear");
    let taken = row(&mut session, "C8 burnt").unwrap();
    let thickness = (1..=3).map(|n| format!("skipped plate-thickness/C8/{n}"));
    let wanted: Vec<String> = std::iter::once("plate-look/C8".to_string())
        .chain(thickness)
        .chain(["skipped plate-flatness/C8".to_string()])
        .collect();
    assert_eq!(slots(&taken), wanted);
    assert!(session.rejected_plates().contains(&"C8".to_string()));
    // it is measured all the same by whoever wants it, and what is good after all is open again
    let taken = row(&mut session, "C8 1.997").unwrap();
    assert_eq!(
        slots(&taken),
        ["reopened plate-thickness/C8/1", "plate-thickness/C8/1"]
    );
    row(&mut session, "G9 burnt").unwrap();
    let taken = row(&mut session, "G9 good").unwrap();
    assert_eq!(
        slots(&taken)
            .iter()
            .filter(|slot| slot.starts_with("reopened plate-t"))
            .count(),
        3
    );
    assert_eq!(rail(&asked(&session)).next, "G9, reading 1");
    // one that has readings keeps them
    row(&mut session, "C2 1.995 1.997").unwrap();
    let taken = row(&mut session, "C2 burnt").unwrap();
    assert_eq!(slots(&taken), ["plate-look/C2"]);
}

#[test]
fn each_fault_of_a_line_has_its_own_words_and_takes_nothing_else_with_it() {
    let mut session = at_the_rail("moor-rear");
    for (line, words) in [
        (
            "G4 1.895 G4 1.897",
            "G4 stands twice on the line; nothing was taken",
        ),
        ("G4 1.895 C1 1.996", "a line is for one plate; nothing was taken"),
        (
            "G44 1.895",
            "no plate on the rail is called \"G44\"; did you mean G4?",
        ),
        ("SG1 2.005", "no plate on the rail is called \"SG1\""),
        ("G4 burned", "did you mean burnt?"),
        ("G4 g", "\"g\" may be good or glazed"),
        ("G4 to", "torn is typed in full"),
        ("G4 19.8", "did you mean 1.980 mm?"),
        ("G4 2.145", "thicker than the 2.000 mm of a new plate"),
        ("G4 12 N·m", "a torque"),
        ("G4 flat 3", "out of flat is much"),
        ("G4/4 1.9", "G4 has readings 1 to 3"),
        ("G4 -1", "less than nothing"),
        ("sure", "nothing to be sure of"),
    ] {
        let told = refused(&mut session, line);
        assert!(told.contains(words), "{line}: {told}");
    }
    // of a comma only one reading is a plate
    let taken = row(&mut session, "G4 1,895 µm").unwrap();
    assert!(matches!(
        taken.entries[0],
        Entry::Answered {
            value: Value::Length(1_895_000),
            ..
        }
    ));
    back(&mut session, 1);
    let told = partly(&mut session, "G4 1.895 1.897 1.894 1.896 flat 0.02 sparkling");
    assert!(told.contains("G4 has its 3; G4/3 1.896 puts one anew"), "{told}");
    assert!(told.contains("\"sparkling\""), "{told}");
    let taken = row(&mut session, "G4/2 1.898").unwrap();
    assert_eq!(
        slots(&taken),
        ["reopened plate-thickness/G4/2", "plate-thickness/G4/2"]
    );
    assert!(
        taken
            .said
            .iter()
            .any(|said| said.words == "G4, reading 2: was 1.897 mm, now 1.898 mm"),
        "{:?}",
        taken.said
    );
    // the same once more is nothing new
    assert!(row(&mut session, "G4/2 1.898").unwrap().entries.is_empty());
}

#[test]
fn what_looks_odd_is_taken_when_it_is_said_to_be_meant() {
    let mut session = at_the_rail("moor-rear");
    let told = partly(&mut session, "G4 1.895 2.145 1.894");
    assert!(
        told.contains("G4, reading 2") && told.contains("thicker"),
        "{told}"
    );
    let taken = row(&mut session, "sure").unwrap();
    assert_eq!(slots(&taken), ["plate-thickness/G4/2"]);
    assert!(matches!(taken.entries[0], Entry::Answered { insisted: true, .. }));
    assert!(row(&mut session, "G5 19.62").unwrap_err().sure);
    let taken = row(&mut session, "y").unwrap();
    assert!(matches!(
        taken.entries[0],
        Entry::Answered {
            value: Value::Length(1_962_000),
            insisted: false,
            ..
        }
    ));
    let taken = row(&mut session, "C1 2.155 sure 1.998").unwrap();
    assert_eq!(slots(&taken), ["plate-thickness/C1/1"], "{:?}", taken.refused);
    assert!(taken.refused.unwrap().words.contains("nearest other reading"));
    // another line lets go of it
    row(&mut session, "C1 good").unwrap();
    assert!(refused(&mut session, "sure").contains("nothing to be sure of"));
}

#[test]
fn a_leaf_that_does_not_go_in_counts_for_as_much() {
    let mut session = at_the_rail("moor-rear");
    let taken = row(&mut session, "G4 flat under 0.02").unwrap();
    assert!(
        matches!(&taken.entries[0], Entry::Answered { text, value: Value::Length(20_000), .. } if text == "under 0.02 mm")
    );
}

#[test]
fn a_build_goes_on_at_the_plate_that_was_in_the_hand() {
    let mut session = at_the_rail("moor-rear");
    let mut all = entries("moor-rear");
    all.truncate(
        all.iter()
            .position(|entry| matches!(entry, Entry::Answered { slot, .. } if slot.step == "plate-look"))
            .unwrap(),
    );
    all.extend(row(&mut session, "G3 1.969 1.971").unwrap().entries);
    let mut again = Session::resume(job("moor-rear"), &all);
    again.by_rows(true);
    assert_eq!(rail(&asked(&again)).next, "G3, reading 3");
    // one question at a time is in the order of the steps, as ever
    again.by_rows(false);
    assert_eq!(asked(&again).slot.to_string(), "plate-look/C1");
    assert!(!rail(&asked(&again)).by_rows);
}

#[test]
fn a_verdict_inside_is_one_of_the_words_of_the_rail() {
    // what the rail says in a word is what the verdicts are called
    assert_eq!(Verdict::Inside.to_string(), "inside");
    assert_eq!(Verdict::Outside.to_string(), "outside");
}

/// Goes so many answers back.
fn back(session: &mut Session, count: u32) -> Accepted {
    let taken = session.answer(&Reply::BackBy(count), AT).unwrap();
    session.take(&taken);
    taken
}

#[test]
fn what_is_opened_again_stays_in_sight_and_enter_keeps_it() {
    let mut session = at_the_rail("moor-rear");
    for line in [
        "C1 1.996 1.998 1.995 flat 0.02 good",
        "G1 1.973 1.975 1.972 flat 0.03 glazed",
        "C2 1.995",
    ] {
        row(&mut session, line).unwrap();
    }
    let before = standing(&session);
    back(&mut session, 2);
    // the line for all leaves an exception alone that was opened again
    let told = refused(&mut session, "all good flat 0.02");
    assert!(told.contains("G1: opened again"), "{told}");
    back(&mut session, 2);
    let ask = asked(&session);
    let seen = rail(&ask);
    assert_eq!(seen.next, "G1, reading 3 (before: 1.972 mm; Enter keeps it)");
    let g1 = &seen.rows[seen.hand];
    assert_eq!(g1.readings[2].as_deref(), Some("1.972?"));
    assert_eq!(
        (g1.flatness.as_deref(), g1.came_to.as_str(), g1.missing),
        (Some("0.030?"), "glazed?", true)
    );
    assert!(
        seen.missing.starts_with("opened again, Enter keeps: G1 C2"),
        "{}",
        seen.missing
    );
    let taken = row(&mut session, "").unwrap();
    assert_eq!(
        slots(&taken),
        ["plate-look/G1", "plate-thickness/G1/3", "plate-flatness/G1"]
    );
    assert!(
        taken.said.iter().any(|said| said.words.contains("inside")),
        "{:?}",
        taken.said
    );
    row(&mut session, "").unwrap();
    assert_eq!(standing(&session), before);
    assert_eq!(rail(&asked(&session)).next, "C2, reading 2");
}

#[test]
fn a_whole_row_over_a_part_of_one_is_the_row_anew() {
    let mut session = at_the_rail("moor-rear");
    // broken off after two readings, and typed again from the first
    row(&mut session, "C1 1.996 1.998").unwrap();
    let taken = row(&mut session, "C1 1.991 1.998 1.992 flat 0.02 good").unwrap();
    assert_eq!(
        slots(&taken),
        [
            "reopened plate-thickness/C1/1",
            "plate-thickness/C1/1",
            "plate-thickness/C1/3",
            "plate-flatness/C1",
            "plate-look/C1"
        ]
    );
    let told = |taken: &Accepted, words: &str| taken.said.iter().any(|said| said.words == words);
    assert!(
        told(&taken, "C1, reading 1: was 1.996 mm, now 1.991 mm"),
        "{:?}",
        taken.said
    );
    let all = standing(&session);
    for (point, nm) in [(1, 1_991_000), (2, 1_998_000), (3, 1_992_000)] {
        assert_eq!(all[&format!("plate-thickness/C1/{point}")], Value::Length(nm));
    }
    assert_eq!(rail(&asked(&session)).next, "G1, reading 1");
    // with the plate in the hand its name need not be typed
    row(&mut session, "G1 1.973").unwrap();
    row(&mut session, "1.970 1.971 1.972").unwrap();
    assert_eq!(
        standing(&session)["plate-thickness/G1/1"],
        Value::Length(1_970_000)
    );
    assert_eq!(rail(&asked(&session)).next, "C2, reading 1");
    // over a row that is whole it is no row anew: each place is named
    let before = standing(&session);
    let told = refused(&mut session, "G1 1.963 1.965 1.962");
    assert!(told.contains("G1 has its 3; G1/3 1.963 puts one anew"), "{told}");
    assert_eq!(standing(&session), before);
    // two readings over one are no whole row: they fill what is empty
    row(&mut session, "C2 1.995").unwrap();
    row(&mut session, "C2 1.997 1.996").unwrap();
    assert_eq!(
        standing(&session)["plate-thickness/C2/1"],
        Value::Length(1_995_000)
    );
}

#[test]
fn what_is_opened_again_is_typed_anew_place_by_place() {
    let mut session = at_the_rail("moor-rear");
    row(&mut session, "C1 1.996 1.998 1.995 flat 0.02 good").unwrap();
    back(&mut session, 3);
    let taken = row(&mut session, "1.997").unwrap();
    assert_eq!(slots(&taken), ["plate-thickness/C1/3"]);
    assert!(
        taken
            .said
            .iter()
            .any(|said| said.words == "C1, reading 3: was 1.995 mm, now 1.997 mm"),
        "{:?}",
        taken.said
    );
    assert_eq!(
        rail(&asked(&session)).next,
        "C1, flat (before: 0.02 mm; Enter keeps it)"
    );
    row(&mut session, "").unwrap();
    let all = standing(&session);
    assert_eq!(all["plate-thickness/C1/3"], Value::Length(1_997_000));
    assert_eq!(all["plate-flatness/C1"], Value::Length(20_000));
    assert!(matches!(&all["plate-look/C1"], Value::Word { word, .. } if word == "good"));
    // a plate that was left out for its looks is left out again by Enter
    row(&mut session, "G1 burnt").unwrap();
    back(&mut session, 5);
    let taken = row(&mut session, "").unwrap();
    assert_eq!(taken.entries.len(), 5);
    assert!(session.rejected_plates().contains(&"G1".to_string()));
}

#[test]
fn back_over_the_end_of_the_rail_comes_to_its_last_plate_again() {
    let mut session = at_the_rail("moor-rear");
    let ask = asked(&session);
    for line in rows_of("moor-rear", rail(&ask)) {
        row(&mut session, &line).unwrap();
    }
    let (before, next) = (standing(&session), asked(&session).slot);
    let taken = session.answer(&Reply::Back, AT).unwrap();
    session.take(&taken);
    let ask = asked(&session);
    assert!(rail(&ask).rows[rail(&ask).hand].missing);
    row(&mut session, "").unwrap();
    assert_eq!((standing(&session), asked(&session).slot), (before, next));
}
