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
fn one_line_may_have_all_three_and_what_it_lacks_is_asked_next() {
    let mut session = before("moor-rear", "job-number");
    answer(&mut session, "2026-031; B. Driver (invented); 2099-12-31").unwrap();
    assert_eq!(
        account(&session),
        ["2026-031", "B. Driver (invented)", "2099-12-31"]
    );
    assert_eq!(asked(&session).slot.to_string(), "distance");
    let mut session = before("moor-rear", "job-number");
    answer(&mut session, "2026-031;").unwrap();
    assert_eq!(account(&session), ["2026-031", "", ""]);
    assert_eq!(asked(&session).slot.to_string(), "promised");
    for (line, said) in [
        ("a; b; Friday", "promised: \"Friday\" is no day"),
        ("a; b; 2020-01-31", "promised: 2020-01-31 is before"),
        ("a; b; 2099-12-31; c", "4 answers"),
    ] {
        let mut session = before("moor-rear", "job-number");
        let refusal = answer(&mut session, line).unwrap_err();
        assert!(refusal.words.contains(said) && !refusal.sure, "{}", refusal.words);
        assert_eq!(account(&session), ["", "", ""], "nothing of the line is taken");
    }
    // the whole line belongs to the question of before; elsewhere a semicolon is a sign as any other
    let mut session = before("moor-rear", "customer");
    let refusal = answer(&mut session, "2026-102;-;2099-12-11").unwrap_err();
    assert!(refusal.words.contains("the name alone"), "{}", refusal.words);
    answer(&mut session, "C; D and E").unwrap();
    assert_eq!(account(&session)[1], "C; D and E");
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

#[test]
fn who_worked_before_is_offered_by_number_where_work_begins_and_never_to_sign_with() {
    let people = || {
        vec![
            "A. Fitter (invented)".to_string(),
            "E. Fitter (invented)".to_string(),
        ]
    };
    let mut session = before("moor-rear", "who");
    session.offer_people(people());
    let offered = asked(&session).limits.join(" ");
    assert!(
        offered.contains("1 A. Fitter (invented), 2 E. Fitter (invented)"),
        "{offered}"
    );
    answer(&mut session, "2").unwrap();
    assert_eq!(session.account("x", "y").by, "E. Fitter (invented)");
    // a number that stands for nobody is no name, and is not written under everything that follows
    let mut session = before("moor-rear", "who");
    session.offer_people(people());
    for typed in ["7", "0", "3."] {
        let refusal = answer(&mut session, typed).unwrap_err();
        assert!(refusal.words.contains("is no name"), "{}", refusal.words);
    }
    let mut session = before("moor-rear", "sign-built");
    session.offer_people(people());
    let ask = asked(&session);
    assert!(
        ask.limits.iter().all(|limit| !limit.contains("Fitter")) && ask.before.is_none(),
        "{ask:?}"
    );
    let taken = answer(&mut session, "1");
    // taken as it was typed, or asked about as a name that gave no answers: never as somebody's
    if let Ok(taken) = taken {
        assert!(!format!("{taken:?}").contains("E. Fitter"), "{taken:?}");
    }
}
