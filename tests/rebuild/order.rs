//! In which order the proposals stand, and what of a choice outlasts going back.

use crate::bench::AT;
use crate::engine::{answer, asked, before, entries, give, job};
use shimwright::bench::screen;
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
    assert!(session.selection() == fewest.selection());
    assert!(session.selection() != at_the_choice().selection());
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

#[test]
fn the_choice_takes_at_most_twenty_lines_over_its_prompt() {
    for demo in ["moor-rear", "shoal-rear", "fell-front"] {
        let text = screen(&asked(&before(demo, "choose")), 80, false);
        let lines = text.trim_end().lines().count() - 1;
        assert!(lines <= 20, "{lines}\n{text}");
    }
}

#[test]
fn a_row_has_newtons_and_newton_metres_and_its_twins_beside_it() {
    let mut session = at_the_choice();
    let table = asked(&session).table.unwrap();
    assert_eq!(table.head[3..5], ["preload, N", "breakaway, N·m"]);
    assert!(
        table.head[1..3].iter().all(|head| head.ends_with(", mm")),
        "{:?}",
        table.head
    );
    // twins are all that the gauge can not tell from the first of a row: each proposal stands in one row
    answer(&mut session, "more").unwrap();
    let rows = asked(&session).table.unwrap().rows;
    let mut numbers: Vec<usize> = rows
        .iter()
        .flat_map(|row| {
            row[0].split('=').flat_map(|run| {
                let (first, last) = run.split_once('-').unwrap_or((run, run));
                first.parse::<usize>().unwrap()..=last.parse().unwrap()
            })
        })
        .collect();
    assert!(rows.len() < numbers.len() && table.rows == rows[..3]);
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=10).collect::<Vec<_>>());
    // the force is the one that is told of the same plates once they are taken
    let taken = session.answer(&Reply::Answer("1".into()), AT).unwrap();
    let said = session.take(&taken);
    let told = format!(": {} N", table.rows[0][3]);
    assert!(said.iter().any(|said| said.words.ends_with(&told)), "{said:?}");
}

#[test]
fn what_was_wished_away_can_be_had_back() {
    let mut session = at_the_choice();
    let all = session.selection();
    let wished = |session: &Session| {
        asked(session)
            .limits
            .iter()
            .any(|limit| limit.contains("as wished: "))
    };
    for (without, with) in [
        ("without 0.50", "with 0,50"),
        ("without 0.50, 0.40", "with all"),
        ("without sg1", "WITH SG1"),
        ("without SG1 0.50", "with SG1 0.50"),
        ("keep g1 the right one", "with G1"),
        ("keep in place", "keep in place off"),
    ] {
        answer(&mut session, without).unwrap();
        assert!(wished(&session), "{without}");
        answer(&mut session, with).unwrap();
        assert!(!wished(&session) && session.selection() == all, "{with}");
    }
    let refused = answer(&mut session, "with SG1").unwrap_err();
    assert!(
        refused.words.contains("nothing was wished of SG1"),
        "{}",
        refused.words
    );
    let refused = answer(&mut session, "without SG11").unwrap_err();
    assert!(refused.words.contains("did you mean SG1?"), "{}", refused.words);
}

#[test]
fn another_proposal_is_drawn_and_a_change_begins_from_it() {
    let mut session = at_the_choice();
    let first = asked(&session).drawing;
    answer(&mut session, "look 3").unwrap();
    let ask = asked(&session);
    assert_ne!(ask.drawing, first);
    assert!(
        ask.limits[0].starts_with("drawn is proposal 3; unlike 1: "),
        "{:?}",
        ask.limits
    );
    answer(&mut session, "shims l 0.40").unwrap();
    answer(&mut session, "hand to try it").unwrap();
    let third = at_the_choice().selection().unwrap().choices[2].clone();
    let plates = |side: Side| {
        third.sides[side.index()]
            .plates
            .iter()
            .map(|(name, _)| name.clone())
    };
    for side in Side::BOTH {
        let chosen = &session.chosen().unwrap().sides[side.index()];
        assert_eq!(chosen.plates, plates(side).collect::<Vec<_>>(), "{side}");
    }
    assert!(answer(&mut at_the_choice(), "look 11").is_err());
}
