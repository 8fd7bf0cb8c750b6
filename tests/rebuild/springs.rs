//! Springs that are looked at before they are measured, and what is done with one that can not stay.

use crate::bench::AT;
use crate::engine::{answer, asked, before, entries, give};
use shimwright::mechanics::Side;
use shimwright::procedure::{Expects, Reply, Session, Tone};
use shimwright::record::{Entry, FoundAndLeft};

/// What is asked now, as an answers file names it.
fn slot(session: &Session) -> String {
    asked(session).slot.to_string()
}

/// The demonstration to its end with these looks of the left spring in place of its own.
fn looked(looks: &[&str]) -> Session {
    let mut session = before("moor-rear", "spring-look/left");
    for look in looks {
        answer(&mut session, look).unwrap();
    }
    assert_eq!(slot(&session), "spring-look/right");
    let entries = entries("moor-rear");
    let at = entries
        .iter()
        .position(
            |entry| matches!(entry, Entry::Answered { slot, .. } if slot.to_string() == "spring-look/right"),
        )
        .unwrap();
    session.apply(&entries[at..]);
    session
}

fn rows(session: &Session, part: &str) -> Vec<FoundAndLeft> {
    let build = session.build("moor-rear-0001", "00");
    let rows = build.found_and_left.into_iter();
    rows.filter(|row| row.what.starts_with(part)).collect()
}

#[test]
fn a_spring_that_can_not_stay_is_not_got_past_before_a_good_one_lies_there() {
    let mut session = before("moor-rear", "spring-look/left");
    let said = session
        .answer(&Reply::Answer("cracked".into()), AT)
        .unwrap()
        .entries;
    let said = session.apply(&said);
    assert_eq!(said.len(), 1);
    assert_eq!(said[0].tone, Tone::Bad);
    assert!(said[0].words.contains("does not go back in"), "{}", said[0].words);
    for (look, next) in [("broken", 3), ("pitted", 4), ("turned", 5)] {
        assert_eq!(slot(&session), format!("spring-look/left/{}", next - 1));
        assert!(asked(&session).prompt.contains(&format!("look {}", next - 1)));
        let skipped = give(&mut session, &Reply::Skip("there is no other one".into()));
        assert!(skipped.unwrap_err().words.contains("can not be skipped"));
        answer(&mut session, look).unwrap();
    }
    assert_eq!(slot(&session), "spring-look/left/5");
    answer(&mut session, "good").unwrap();
    assert_eq!(slot(&session), "spring-look/right");
}

#[test]
fn a_good_spring_is_looked_at_once() {
    let mut session = before("moor-rear", "spring-look/left");
    answer(&mut session, "good").unwrap();
    assert_eq!(slot(&session), "spring-look/right");
}

#[test]
fn a_look_that_was_taken_back_is_followed_by_no_second_one() {
    let mut session = before("moor-rear", "spring-look/left");
    answer(&mut session, "cracked").unwrap();
    answer(&mut session, "good").unwrap();
    give(&mut session, &Reply::Back).unwrap();
    give(&mut session, &Reply::Back).unwrap();
    assert_eq!(slot(&session), "spring-look/left");
    answer(&mut session, "good").unwrap();
    assert_eq!(slot(&session), "spring-look/right");
}

#[test]
fn the_sheet_says_what_was_found_and_what_lies_there_now() {
    let known = rows(&looked(&["good"]), "left spring");
    let height = known[1].found.clone();
    assert!(height.is_some());
    let row = |what: &str, found: Option<&str>, left: Option<&str>| FoundAndLeft {
        what: what.into(),
        found: found.map(str::to_string),
        left: left.map(str::to_string),
    };
    let spring = |found, left| row("left spring", Some(found), Some(left));
    let lies = row("left spring free height", height.as_deref(), None);
    let new = row("left spring free height", None, height.as_deref());
    for (looks, wanted) in [
        (&["good"][..], [spring("good", "good"), lies.clone()]),
        (&["turned", "good"], [spring("turned", "good"), lies]),
        (
            &["cracked", "good"],
            [spring("cracked", "new, good"), new.clone()],
        ),
        (
            &["broken", "turned", "good"],
            [spring("broken", "new, good"), new],
        ),
    ] {
        let session = looked(looks);
        assert!(session.is_finished());
        let account = &session.account("moor-rear-0001", "00").springs[0];
        assert_eq!(
            (account.place.map(Side::word), &account.looks),
            (
                Some("left"),
                &looks.iter().map(|look| (*look).to_string()).collect::<Vec<_>>()
            )
        );
        // what lay there is not what was measured, or pressed otherwise
        let as_found = rows(&session, "preload").remove(0).found.is_some();
        assert_eq!(as_found, looks == ["good"]);
        let all = session.account("moor-rear-0001", "00");
        assert_eq!(all.packs[0].preload_found.is_some(), as_found);
        assert_eq!(all.breakaway.expected_found.is_some(), as_found);
        assert!(all.packs[0].preload_left.is_some());
        assert_eq!(
            account.another,
            looks.contains(&"cracked") || looks.contains(&"broken")
        );
        assert_eq!(rows(&session, "left spring"), wanted, "{looks:?}");
        assert_eq!(rows(&session, "right spring")[0].left.as_deref(), Some("good"));
    }
}

#[test]
fn a_coil_has_no_wrong_way_round() {
    let ways = |demo: &str, slot: &str| match asked(&before(demo, slot)).expects {
        Expects::OneOf(ways) => ways.into_iter().map(|way| way.key).collect::<Vec<_>>(),
        other => panic!("{other:?}"),
    };
    let discs = ways("moor-rear", "spring-look/left");
    let coils = ways("shoal-rear", "spring-look");
    assert_eq!(discs, ["good", "turned", "pitted", "cracked", "broken"]);
    assert_eq!(coils, ["good", "pitted", "cracked", "broken"]);
}
