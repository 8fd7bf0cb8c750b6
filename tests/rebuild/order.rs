//! In which order the proposals stand, and what of a choice outlasts going back.

use crate::engine::{answer, asked, before, entries, give, job};
use shimwright::mechanics::Side;
use shimwright::procedure::{Job, Procedure, Reply, Session};
use shimwright::record::{Selection, Slot};

fn at_the_choice() -> Session {
    before("moor-rear", "choose")
}

/// New parts, plates that change side and shims of each proposal; and the probability in whole per cent, all from 99 up
/// alike.
fn ranks(session: &Session, selection: &Selection) -> Vec<(i64, u32, usize, u32)> {
    let packs = &session.job().unit.packs;
    let ran = |name: &String| {
        Side::BOTH
            .into_iter()
            .find(|side| packs[side.index()].order.contains(name))
    };
    let rank = |choice: &shimwright::record::Selected| {
        let moved = Side::BOTH.into_iter().flat_map(|side| {
            let plates = choice.sides[side.index()].plates.iter();
            plates.filter(move |(name, _)| ran(name).is_some_and(|ran| ran != side))
        });
        let grade = (choice.probability * 100.0).floor().min(99.0) as i64;
        (-grade, choice.new_parts, moved.count(), choice.shims)
    };
    selection.choices.iter().map(rank).collect()
}

#[test]
fn proposals_stand_by_what_is_surest_then_newest_then_moved() {
    let session = at_the_choice();
    let ranks = ranks(&session, &session.selection().unwrap());
    assert!(ranks.len() == 10 && ranks.is_sorted(), "{ranks:?}");
    let mut fewest = at_the_choice();
    fewest.put_fewest_first();
    // with the fewest shims first more plates would change side
    let [one, other] =
        [&session, &fewest].map(|session| self::ranks(session, &session.selection().unwrap())[0]);
    assert!(one < other, "{one:?} {other:?}");
}

#[test]
fn a_procedure_that_says_no_order_has_the_fewest_shims_first_as_it_had() {
    let text = shimwright::procedure::stock("full-rebuild").unwrap();
    let older = text.replacen("first = \"least-change\"\n", "", 1);
    assert_ne!(older, text);
    let older = Job {
        procedure: Procedure::read_kept("procedure.toml", &older).unwrap(),
        ..job("moor-rear")
    };
    let all = entries("moor-rear");
    let is_choice = |entry: &shimwright::record::Entry| matches!(entry, shimwright::record::Entry::Answered { slot: Slot { step, .. }, .. } if step == "choose");
    let at = all.iter().position(is_choice).unwrap();
    let session = Session::resume(older, &all[..at]);
    let mut fewest = at_the_choice();
    fewest.put_fewest_first();
    assert_eq!(session.selection(), fewest.selection());
    assert_ne!(session.selection(), at_the_choice().selection());
}

#[test]
fn a_change_by_hand_and_a_wish_outlast_going_back() {
    let mut session = at_the_choice();
    answer(&mut session, "without 0.50").unwrap();
    answer(&mut session, "swap G1 G2").unwrap();
    let (drawn, slot) = (asked(&session).drawing, asked(&session).slot);
    give(&mut session, &Reply::Back).unwrap();
    assert_ne!(asked(&session).slot, slot);
    answer(&mut session, "").unwrap();
    let ask = asked(&session);
    assert_eq!((&ask.slot, &ask.drawing), (&slot, &drawn));
    assert!(
        ask.limits.iter().any(|limit| limit.contains("without 0.500 mm")),
        "{:?}",
        ask.limits
    );
    answer(&mut session, "hand to try it").unwrap();
    assert_eq!(session.chosen().unwrap().how, "by hand: swap G1 G2");
}

#[test]
fn a_change_by_hand_goes_where_a_plate_of_it_can_not_go_in_any_more() {
    let mut session = at_the_choice();
    answer(&mut session, "swap G1 G2").unwrap();
    while asked(&session).slot.to_string() != "plate-look/G1" {
        give(&mut session, &Reply::Back).unwrap();
    }
    answer(&mut session, "cracked").unwrap();
    while asked(&session).slot.step != "choose" {
        answer(&mut session, "").unwrap();
    }
    let refused = answer(&mut session, "hand to try it").unwrap_err();
    assert!(
        refused.words.contains("nothing has been changed by hand"),
        "{}",
        refused.words
    );
}
