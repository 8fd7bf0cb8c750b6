//! Who is at work is asked again after a long pause, by the times that are handed in.

use crate::bench::{Place, Ran, unit_file};
use crate::engine::{asked, before, give};
use crate::fed::fed;
use shimwright::procedure::{Reply, Session};
use shimwright::record::Entry;

/// The demonstrations are dated 2026-05-09 10:00.
const SOON: &str = "2026-05-09T13:59:59Z";
const LATE: &str = "2026-05-09T14:00:00Z";
const NEXT_WEEK: &str = "2026-05-16T10:00:00Z";

fn at_work() -> Session {
    let mut session = before("moor-rear", "mark");
    session.by_hand(true);
    session
}

#[test]
fn four_hours_without_an_answer_ask_who_works() {
    let session = at_work();
    assert!(session.who_again(SOON).is_none());
    let ask = session.who_again(LATE).unwrap();
    assert_eq!(ask.slot, asked(&session).slot);
    assert!(
        ask.words[0].starts_with("4 h since the last answer"),
        "{:?}",
        ask.words
    );
    assert_eq!(ask.before.as_deref(), Some("A. Fitter (invented)"));
    assert!(ask.rail.is_none() && !ask.may_skip);
    let ask = session.who_again(NEXT_WEEK).unwrap();
    assert!(ask.words[0].starts_with("7 days since"), "{:?}", ask.words);
    // a time that went back is no pause
    assert!(session.who_again("2026-05-08T10:00:00Z").is_none());
}

#[test]
fn whoever_stays_is_asked_once_and_another_is_who_answers_from_then_on() {
    let mut session = at_work();
    session.stays(LATE);
    assert!(session.who_again(LATE).is_none());
    assert!(session.who_again(NEXT_WEEK).is_some(), "another pause");
    let taken = session.answer(&Reply::Who("B. Second".into()), LATE).unwrap();
    session.take(&taken);
    assert!(session.who_again(LATE).is_none());
    let taken = give(&mut session, &Reply::Answer(String::new())).unwrap();
    assert!(matches!(&taken.entries[0], Entry::Answered { by, .. } if by == "B. Second"));
}

#[test]
fn nobody_is_asked_who_has_no_hand_or_no_name_yet() {
    let mut session = at_work();
    session.by_hand(false);
    assert!(session.who_again(NEXT_WEEK).is_none());
    let mut session = before("moor-rear", "who");
    session.by_hand(true);
    assert!(session.who_again(NEXT_WEEK).is_none());
}

#[test]
fn the_program_asks_before_the_question_that_stood_there() {
    let place = Place::new();
    let run = |at: &str, text: &str| -> Ran {
        let unit = unit_file("moor-rear");
        let mut command = place.program(&[
            "work",
            "full-rebuild",
            unit.to_str().unwrap(),
            "--plain",
            "--at",
            at,
        ]);
        command.args(place.own_drawer(&unit_file("moor-rear")));
        fed(&mut command, text).into()
    };
    let first = run("2026-05-09T10:00:00Z", "A. Fitter\nMoor 14\n");
    assert_eq!(first.code, 7, "{}", first.err);
    let soon = run(SOON, "y\nPushes on entry\n\n");
    assert!(!soon.out.contains("Who works from here on?"), "{}", soon.out);
    let late = run(NEXT_WEEK, "y\n1840\n\n900 km\n");
    assert!(
        late.out
            .contains("6 days since the last answer, which was A. Fitter's"),
        "{}",
        late.out
    );
    let entries = place.entries("moor-rear-0001");
    // a reading is no name, and Enter keeps whom it was asked about
    assert!(late.out.contains("Not taken: a name is wanted"), "{}", late.out);
    let last = entries.last().unwrap();
    assert_eq!(
        (&last["by"], &last["text"]),
        (&"A. Fitter".into(), &"900 km".into())
    );
    let other = run("2026-05-20T10:00:00Z", "y\nB. Second\nyes\n");
    assert!(
        other.out.contains("B. Second works from here on"),
        "{}",
        other.out
    );
    let entries = place.entries("moor-rear-0001");
    let last = entries.last().unwrap();
    assert_eq!(
        (&last["by"], &last["slot"]["step"]),
        (&"B. Second".into(), &"caution-lifting".into())
    );
}
