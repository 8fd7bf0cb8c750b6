//! An earlier answer put right by its name, several opened again at once, and who is at work.

use crate::bench::AT;
use crate::engine::{asked, before, entries, give, job};
use shimwright::procedure::{Accepted, Reply, Session};
use shimwright::record::{Entry, Value};

fn fix(session: &mut Session, text: &str) -> Result<Accepted, String> {
    give(session, &Reply::Fix(text.into())).map_err(|refusal| refusal.words)
}

fn amended(taken: &Accepted) -> (String, Vec<String>) {
    let Some(Entry::Amended { slot, lapsed, .. }) = taken.entries.first() else {
        panic!("{:?}", taken.entries);
    };
    (slot.to_string(), lapsed.iter().map(ToString::to_string).collect())
}

fn value_of(session: &Session, name: &str) -> Value {
    let mut answers = session.answers();
    answers
        .find(|(slot, _)| slot.to_string() == name)
        .unwrap()
        .1
        .clone()
}

#[test]
fn a_reading_is_put_right_by_the_name_that_a_row_has_for_it() {
    let mut session = before("moor-rear", "spare-thickness/SG1/1");
    let taken = fix(&mut session, "G3/1 1.972").unwrap();
    assert_eq!(amended(&taken), ("plate-thickness/G3/1".to_string(), vec![]));
    assert_eq!(
        value_of(&session, "plate-thickness/G3/1"),
        Value::Length(1_972_000)
    );
    fix(&mut session, "g8 flat 0.04").unwrap();
    assert_eq!(value_of(&session, "plate-flatness/G8"), Value::Length(40_000));
    fix(&mut session, "distance 1200 km").unwrap();
    assert_eq!(value_of(&session, "distance"), Value::Distance(1200.0));
    assert_eq!(
        asked(&session).slot.to_string(),
        "spare-thickness/SG1/1",
        "the way goes on where it was"
    );
    let written: Vec<&Entry> = taken.entries.iter().collect();
    assert!(
        matches!(written[0], Entry::Amended { was, text, .. } if was == "1.969 mm" && text == "1.972 mm")
    );
}

#[test]
fn what_turns_a_verdict_wants_yes_and_a_reason() {
    let mut session = before("moor-rear", "spare-thickness/SG1/1");
    let told = fix(&mut session, "G8 flat 0.09").unwrap_err();
    assert!(
        told.contains("G8 goes from inside to outside") && told.contains("yes REASON"),
        "{told}"
    );
    assert!(
        fix(&mut session, "G8 flat 0.09 yes").is_err(),
        "a reason is wanted"
    );
    let taken = fix(&mut session, "G8 flat 0.09 yes read on the wrong plate").unwrap();
    assert!(
        matches!(&taken.entries[1], Entry::Noted { text, .. } if text.contains("read on the wrong plate"))
    );
    assert!(session.rejected_plates().contains(&"G8".to_string()));
}

#[test]
fn what_rests_on_it_lapses_and_is_asked_again() {
    let mut session = before("moor-rear", "soaked");
    let told = fix(&mut session, "G3/1 1.999").unwrap_err();
    assert!(told.contains("lapse") && told.contains("choose"), "{told}");
    let taken = fix(&mut session, "G3/1 1.990 yes").unwrap();
    let (_, lapsed) = amended(&taken);
    for slot in ["choose", "dry-build", "dry-closing/1", "dry-closing/2"] {
        assert!(lapsed.contains(&slot.to_string()), "{slot}: {lapsed:?}");
    }
    assert_eq!(asked(&session).slot.to_string(), "choose");
    // the distance says nothing about the pack
    let mut other = before("moor-rear", "soaked");
    assert_eq!(
        amended(&fix(&mut other, "distance 1200 km").unwrap()).1,
        Vec::<String>::new()
    );
    // the same entries come to the same build
    let mut all = entries("moor-rear");
    let at = all
        .iter()
        .position(|entry| matches!(entry, Entry::Answered { slot, .. } if slot.step == "soaked"))
        .unwrap();
    all.truncate(at);
    all.extend(taken.entries);
    let again = Session::resume(job("moor-rear"), &all);
    assert_eq!(asked(&again).slot.to_string(), "choose");
}

#[test]
fn what_can_not_be_put_right_is_told() {
    let mut session = before("moor-rear", "soaked");
    for (text, words) in [
        ("thickness 1.9", "there is no answer to \"thickness\""),
        ("distnace 12", "did you mean distance?"),
        ("G3/1", "the right value stands behind it"),
        ("G3/1 1.969", "1.969 mm already"),
        ("G3/1 12 N·m", "a torque"),
        ("choose 2", "no value that is typed over"),
        ("clean done", "no value that is typed over"),
        ("caution-lifting yes", "no value that is typed over"),
        ("G3/1 19.7", "did you mean"),
    ] {
        let told = fix(&mut session, text).unwrap_err();
        assert!(told.contains(words), "{text}: {told}");
    }
    let listed = fix(&mut session, "").unwrap();
    assert!(listed.entries.is_empty());
    assert!(
        listed
            .said
            .iter()
            .any(|said| said.words.starts_with("plate-flatness: C1 C10")),
        "{:?}",
        listed.said
    );
}

#[test]
fn what_was_left_out_is_answered_by_its_name() {
    let mut session = before("fell-front", "soaked");
    let listed = fix(&mut session, "").unwrap();
    assert!(
        listed.said.iter().any(|said| said.words == "distance"),
        "{:?}",
        listed.said
    );
    let taken = fix(&mut session, "distance 850 km").unwrap();
    assert_eq!(taken.said[0].words, "distance: was left out, now 850 km");
    assert!(matches!(
        &taken.entries[..],
        [Entry::Reopened { .. }, Entry::Answered { text, .. }] if text == "850 km"
    ));
    assert_eq!(value_of(&session, "distance"), Value::Distance(850.0));
    // nothing else is asked again
    assert_eq!(asked(&session).slot.step, "soaked");
    let told = fix(&mut session, "who C. Other").unwrap_err();
    assert!(told.contains("!who NAME"), "{told}");
}

#[test]
fn several_answers_are_opened_again_at_once() {
    let mut session = before("moor-rear", "plate-thickness/C2/1");
    give(&mut session, &Reply::BackBy(4)).unwrap();
    assert_eq!(asked(&session).slot.to_string(), "plate-look/G10");
    assert!(give(&mut session, &Reply::BackBy(0)).is_err());
    assert!(give(&mut session, &Reply::BackBy(4_000)).is_err());
}

#[test]
fn who_takes_over_gives_the_answers_from_then_on() {
    let mut session = before("moor-rear", "micrometer");
    give(&mut session, &Reply::Who("B. Second".into())).unwrap();
    let taken = give(&mut session, &Reply::Answer("mic-2".into())).unwrap();
    assert!(matches!(&taken.entries[0], Entry::Answered { by, at, .. } if by == "B. Second" && at == AT));
}

#[test]
fn all_readings_so_far_are_shown() {
    let mut session = before("moor-rear", "micrometer");
    let shown = give(&mut session, &Reply::Show).unwrap();
    let words: Vec<&str> = shown.said.iter().map(|said| said.words.as_str()).collect();
    // as it is told it can be typed
    let fixed = give(&mut session, &Reply::Fix("found breakaway 59 N·m".into())).unwrap();
    assert!(!fixed.entries.is_empty(), "{fixed:?}");
    assert!(
        words
            .iter()
            .any(|line| line.starts_with("found breakaway") && line.ends_with("58 N·m")),
        "{words:?}"
    );
    let mut later = before("moor-rear", "plate-flatness/C1");
    let shown = give(&mut later, &Reply::Show).unwrap();
    let whole =
        |line: &str| line.starts_with("plate thickness G4") && line.contains("1.895 mm  1.897 mm  1.894 mm");
    assert!(
        shown.said.iter().any(|said| whole(&said.words)),
        "{:?}",
        shown.said
    );
}
