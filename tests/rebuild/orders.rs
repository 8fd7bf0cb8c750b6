//! Job number, customer and promised day: asked at the beginning, and never missed where there are none.

use crate::bench::AT;
use crate::engine::{answer, asked, before};
use shimwright::procedure::{Expects, Session};
use shimwright::record::Entry;

fn identity(session: &Session) -> Vec<(String, String)> {
    session.build("x", "y").identity
}

fn account(session: &Session) -> [String; 3] {
    let account = session.account("x", "y");
    [account.job_number, account.customer, account.promised]
}

#[test]
fn one_enter_leaves_all_three_out_and_nothing_is_open_or_remarked_by_it() {
    let mut session = before("moor-rear", "job-number");
    assert_eq!(asked(&session).expects, Expects::Text { optional: true });
    let was = session.build("x", "y");
    let taken = answer(&mut session, "").unwrap();
    let left_out = taken.entries.iter().map(|entry| match entry {
        Entry::Skipped { slot, .. } => slot.to_string(),
        other => panic!("{other:?}"),
    });
    assert_eq!(
        left_out.collect::<Vec<_>>(),
        ["job-number", "customer", "promised"]
    );
    assert_eq!(asked(&session).slot.to_string(), "distance");
    let now = session.build("x", "y");
    assert_eq!((now.remarks, now.identity), (was.remarks, was.identity));
    assert!(
        now.open.iter().all(|open| !open.contains("left out")),
        "{:?}",
        now.open
    );
    assert_eq!(account(&session), ["", "", ""]);
}

#[test]
fn what_was_said_stands_at_the_head_of_the_sheet_and_in_the_account() {
    let mut session = before("moor-rear", "job-number");
    answer(&mut session, "2026-031").unwrap();
    answer(&mut session, "B. Driver (invented)").unwrap();
    // the day of `AT` and later ones
    let day = &AT[..10];
    answer(&mut session, day).unwrap();
    assert_eq!(account(&session), ["2026-031", "B. Driver (invented)", day]);
    let identity = identity(&session);
    for (label, text) in [
        ("Job number", "2026-031"),
        ("Customer", "B. Driver (invented)"),
        ("Promised", day),
    ] {
        assert!(
            identity.contains(&(label.to_string(), text.to_string())),
            "{identity:?}"
        );
    }
}

#[test]
fn a_customer_without_a_number_and_a_number_without_a_customer_are_told_alone() {
    let mut session = before("moor-rear", "job-number");
    for typed in ["-", "B. Driver (invented)", "None"] {
        answer(&mut session, typed).unwrap();
    }
    assert_eq!(account(&session), ["", "B. Driver (invented)", ""]);
    let mut session = before("moor-rear", "job-number");
    for typed in ["2026-031", "", ""] {
        answer(&mut session, typed).unwrap();
    }
    assert_eq!(account(&session), ["2026-031", "", ""]);
    assert_eq!(asked(&session).slot.to_string(), "distance");
}

#[test]
fn a_promised_day_is_a_day_and_one_that_is_over_is_asked_again() {
    let mut session = before("moor-rear", "promised");
    for typed in ["next Friday", "04.12.2026", "2026-02-30", "2026-12-4"] {
        let refusal = answer(&mut session, typed).unwrap_err();
        assert!(
            refusal.words.contains("is no day") && !refusal.sure,
            "{}",
            refusal.words
        );
    }
    let refusal = answer(&mut session, "2020-01-31").unwrap_err();
    assert!(
        refusal.sure && refusal.words.contains("is before"),
        "{}",
        refusal.words
    );
    answer(&mut session, "sure").unwrap();
    assert_eq!(account(&session)[2], "2020-01-31");
}
