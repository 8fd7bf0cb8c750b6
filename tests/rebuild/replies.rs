//! What a question takes and what it does not: going back, skipping, notes, odd values, and texts of every kind.

use crate::bench::AT;
use crate::engine::{answer, asked, before, entries, give, job, refused, value};
use proptest::prelude::*;
use shimwright::procedure::{Reply, Session};
use shimwright::record::{Entry, UnitsName, Value};

#[test]
fn going_back_opens_the_last_answer_and_keeps_the_old_one_on_record() {
    let mut session = before("moor-rear", "plate-thickness/G2/2");
    answer(&mut session, "1.975").unwrap();
    let taken = give(&mut session, &Reply::Back).unwrap();
    assert!(
        matches!(&taken.entries[..], [Entry::Reopened { slot, .. }] if slot.to_string() == "plate-thickness/G2/2")
    );
    let ask = asked(&session);
    assert_eq!(ask.slot.to_string(), "plate-thickness/G2/2");
    assert!(
        ask.prompt.contains("before: 1.975 mm; Enter keeps it"),
        "{}",
        ask.prompt
    );
    answer(&mut session, "1.970").unwrap();
    let build = session.build("x", "y");
    let remark = build
        .remarks
        .iter()
        .find(|remark| remark.kind.word() == "corrected")
        .unwrap();
    assert_eq!(remark.text, "was 1.975 mm, now 1.970 mm");
    assert!(
        remark.place.contains("plate thickness G2, no. 2"),
        "{}",
        remark.place
    );
}

#[test]
fn enter_keeps_an_answer_that_was_opened_again_and_that_is_no_correction() {
    let mut session = before("moor-rear", "plate-thickness/G2/2");
    answer(&mut session, "1.97").unwrap();
    give(&mut session, &Reply::Back).unwrap();
    let taken = answer(&mut session, "").unwrap();
    assert_eq!(value(&taken), Value::Length(1_970_000));
    assert!(
        session
            .build("x", "y")
            .remarks
            .iter()
            .all(|remark| remark.kind.word() != "corrected")
    );
}

#[test]
fn going_back_goes_on_answer_by_answer_to_the_first() {
    let mut session = before("moor-rear", "caution-running");
    for slot in [
        "caution-lifting",
        "distance",
        "promised",
        "customer",
        "job-number",
        "reason",
        "car",
        "who",
    ] {
        give(&mut session, &Reply::Back).unwrap();
        assert_eq!(asked(&session).slot.to_string(), slot);
    }
    let refusal = session.answer(&Reply::Back, AT).unwrap_err();
    assert_eq!(refusal.words, "there is nothing to go back to");
}

#[test]
fn going_back_over_a_new_round_closes_the_round() {
    let entries = entries("fell-front");
    let at = entries
        .iter()
        .position(|entry| matches!(entry, Entry::Answered { slot, .. } if slot.round == 2))
        .unwrap();
    let mut session = Session::resume(job("fell-front"), &entries[..at]);
    assert_eq!(
        (asked(&session).slot.step.as_str(), asked(&session).slot.round),
        ("open", 2)
    );
    give(&mut session, &Reply::Back).unwrap();
    assert_eq!(
        (asked(&session).slot.step.as_str(), asked(&session).slot.round),
        ("proof-decision", 1)
    );
}

#[test]
fn a_caution_that_was_opened_again_wants_its_word_again() {
    let mut session = before("moor-rear", "caution-running");
    give(&mut session, &Reply::Back).unwrap();
    assert!(answer(&mut session, "").is_err());
    answer(&mut session, "yes").unwrap();
}

#[test]
fn only_what_may_be_left_out_is_left_out_and_only_for_a_reason() {
    let mut session = before("moor-rear", "distance");
    assert!(asked(&session).may_skip);
    assert!(session.answer(&Reply::Skip("  ".into()), AT).is_err());
    give(&mut session, &Reply::Skip("no log".into())).unwrap();
    assert!(
        session
            .build("x", "y")
            .remarks
            .iter()
            .any(|remark| remark.kind.word() == "skipped" && remark.text == "no log")
    );
    for slot in [
        "who",
        "caution-lifting",
        "plate-thickness/C1/1",
        "choose",
        "tighten/cover/1",
        "breakaway/drive-still/1",
        "sign-built",
    ] {
        let mut session = before("moor-rear", slot);
        assert!(!asked(&session).may_skip, "{slot}");
        let refusal = session.answer(&Reply::Skip("in a hurry".into()), AT).unwrap_err();
        assert_eq!(refusal.words, "this question can not be skipped", "{slot}");
    }
}

#[test]
fn a_caution_takes_the_whole_word_and_nothing_else() {
    for slot in [
        "caution-lifting",
        "caution-running",
        "caution-weight-heat",
        "caution-spring",
        "caution-solvent",
        "caution-torque",
    ] {
        for text in ["", " ", "y", "ye", "ok", "done", "no", "yes!", "1.98"] {
            let (words, sure) = refused("moor-rear", slot, text);
            assert!(
                words.contains("type the whole word yes") && !sure,
                "{slot} {text:?}: {words}"
            );
        }
        answer(&mut before("moor-rear", slot), "yes").unwrap();
    }
}

#[test]
fn the_torque_caution_and_the_wrench_are_asked_even_where_the_first_round_ended_at_its_dry_build() {
    let slots: Vec<String> = entries("shoal-rear")
        .iter()
        .filter_map(|entry| match entry {
            Entry::Answered { slot, .. } => Some(slot.to_string()),
            _ => None,
        })
        .collect();
    let at = |wanted: &str| slots.iter().position(|slot| slot == wanted).unwrap();
    assert!(at("dry-decision") < at("caution-torque"));
    assert!(at("caution-torque") < at("wrench") && at("wrench") < at("tighten/cover/1"));
    assert!(at("held") < at("drag") && at("drag") < at("breakaway/drive-still/1"));
    for once in ["caution-torque", "wrench", "held", "drag"] {
        assert_eq!(slots.iter().filter(|slot| *slot == once).count(), 1, "{once}");
    }
}

#[test]
fn a_dry_build_that_was_given_up_stays_on_the_sheet() {
    let build = Session::resume(job("shoal-rear"), &entries("shoal-rear")).build("x", "y");
    let given_up: Vec<_> = build
        .remarks
        .iter()
        .filter(|remark| remark.kind.word() == "chosen again")
        .collect();
    assert_eq!(given_up.len(), 1);
    assert_eq!(given_up[0].place, "Dry build, round 1");
    // (27.52 + 27.53)/2 by a gauge without zero error
    assert!(
        given_up[0]
            .text
            .starts_with("measured 27.525 mm, predicted 27.12"),
        "{}",
        given_up[0].text
    );
    let build = Session::resume(job("fell-front"), &entries("fell-front")).build("x", "y");
    assert!(
        build
            .remarks
            .iter()
            .all(|remark| remark.kind.word() != "chosen again")
    );
}

#[test]
fn a_note_is_written_down_and_the_question_stays() {
    let mut session = before("moor-rear", "found-oil");
    give(&mut session, &Reply::Note("the tray was not clean".into())).unwrap();
    assert_eq!(asked(&session).slot.to_string(), "found-oil");
    let build = session.build("x", "y");
    let note = build
        .remarks
        .iter()
        .find(|remark| remark.kind.word() == "note")
        .unwrap();
    assert_eq!(note.text, "the tray was not clean");
    assert!(note.place.contains("found oil"));
}

#[test]
fn an_odd_thickness_is_asked_again_with_what_was_likely_meant_and_taken_by_a_word() {
    for (text, meant) in [
        ("19.8", "1.98"),
        ("0.198", "1.98"),
        ("198", "1.98"),
        ("1980", "1.98"),
        ("0.078", "1.98"),
        ("1.98 in", "1.98"),
    ] {
        let (words, sure) = refused("moor-rear", "plate-thickness/C1/1", text);
        assert!(
            sure && words.contains("did you mean") && words.contains(meant),
            "{text}: {words}"
        );
        let mut session = before("moor-rear", "plate-thickness/C1/1");
        // the same once more, as from a gauge's button that is pressed twice, says nothing
        for _ in 0..3 {
            assert!(answer(&mut session, text).unwrap_err().sure);
        }
        let taken = answer(&mut session, "Sure").unwrap();
        let mut other = before("moor-rear", "plate-thickness/C1/1");
        assert_eq!(answer(&mut other, &format!("{text} sure")).unwrap(), taken);
        assert!(
            matches!(&taken.entries[0], Entry::Answered { insisted: true, text: kept, .. } if kept.starts_with(text) && !kept.contains("ure")),
            "{text}"
        );
        // what was likely meant is taken by a yes, and is nothing odd
        let mut other = before("moor-rear", "plate-thickness/C1/1");
        assert!(answer(&mut other, text).is_err());
        let taken = answer(&mut other, "y").unwrap();
        assert!(
            matches!(&taken.entries[0], Entry::Answered { insisted: false, value: Value::Length(nm), .. } if (1_975_000..=1_985_000).contains(nm)),
            "{text}: {taken:?}"
        );
        let remarks = session.build("x", "y").remarks;
        assert!(
            remarks
                .iter()
                .any(|remark| remark.text.contains("confirmed though it looked odd")),
            "{text}"
        );
    }
}

#[test]
fn the_word_is_for_the_value_right_before_it() {
    let mut session = before("moor-rear", "plate-thickness/C1/1");
    assert!(!answer(&mut session, "sure").unwrap_err().sure);
    for text in ["19.8", "198"] {
        assert!(answer(&mut session, text).unwrap_err().sure);
    }
    let taken = answer(&mut session, "sure").unwrap();
    assert_eq!(value(&taken), Value::Length(198_000_000));
    // what is not odd needs no word, and what is wrong stays so
    let mut session = before("moor-rear", "plate-thickness/C1/1");
    assert!(!answer(&mut session, "12 N·m sure").unwrap_err().sure);
    let taken = answer(&mut session, "1.98 sure").unwrap();
    assert!(matches!(
        taken.entries[0],
        Entry::Answered { insisted: false, .. }
    ));
    // a reason is more than the word
    let (words, _) = refused("moor-rear", "micrometer", "mic-old sure");
    assert!(words.contains("BECAUSE"), "{words}");
}

#[test]
fn a_quantity_of_another_kind_is_refused_by_its_name() {
    for (slot, text, facts) in [
        ("plate-thickness/C1/1", "12 N·m", ["a torque", "a length"]),
        ("plate-thickness/C1/1", "1.1 l", ["an amount of oil", "a length"]),
        ("breakaway/drive-still/1", "100 mm", ["a length", "a torque"]),
        ("breakaway/drive-still/1", "100 N", ["a force", "a torque"]),
        ("distance", "12 l", ["an amount of oil", "a distance"]),
        ("oil-amount", "12 mm", ["a length", "an amount of oil"]),
    ] {
        let (words, sure) = refused("moor-rear", slot, text);
        assert!(
            !sure && facts.iter().all(|fact| words.contains(fact)),
            "{slot} {text}: {words}"
        );
    }
}

#[test]
fn a_comma_is_a_decimal_sign_unless_it_may_be_two_things() {
    let (words, sure) = refused("moor-rear", "plate-thickness/C1/1", "1,234");
    assert!(
        !sure && words.contains("1.234") && words.contains("1234"),
        "{words}"
    );
    for text in ["1,98", "1.98", "1,98 mm", "1.9800"] {
        let taken = answer(&mut before("moor-rear", "plate-thickness/C1/1"), text).unwrap();
        assert_eq!(value(&taken), Value::Length(1_980_000), "{text}");
    }
}

#[test]
fn inches_are_exactly_25_4_millimetres() {
    // the inch is 25.4 mm by definition (international yard and pound agreement, 1959)
    for (text, nm) in [
        (".078 in", 1_981_200),
        ("78 thou", 1_981_200),
        ("0.0780\"", 1_981_200),
    ] {
        let taken = answer(&mut before("moor-rear", "plate-thickness/C1/1"), text).unwrap();
        assert_eq!(value(&taken), Value::Length(nm), "{text}");
    }
}

#[test]
fn a_build_in_inches_reads_bare_numbers_in_inches_and_in_pound_feet() {
    let in_inches = |slot: &str| {
        let mut entries = entries("moor-rear");
        let at = entries
            .iter()
            .position(
                |entry| matches!(entry, Entry::Answered { slot: known, .. } if known.to_string() == slot),
            )
            .unwrap();
        entries.truncate(at);
        let Entry::Begun { units, .. } = &mut entries[0] else {
            panic!("the first entry begins the build");
        };
        *units = UnitsName::Inch;
        Session::resume(job("moor-rear"), &entries)
    };
    let mut session = in_inches("plate-thickness/C1/1");
    assert_eq!(
        value(&answer(&mut session, ".078").unwrap()),
        Value::Length(1_981_200)
    );
    let mut session = in_inches("found-breakaway");
    let Value::Torque(torque) = value(&answer(&mut session, "35").unwrap()) else {
        panic!("no torque");
    };
    // the pound is 0.45359237 kg and the foot 0.3048 m by definition, standard gravity is 9.80665 m/s²
    assert!(
        (torque - 35.0 * 0.3048 * 0.453_592_37 * 9.806_65).abs() < 1e-9,
        "{torque}"
    );
}

#[test]
fn drag_is_taken_off_in_both_ways_of_holding() {
    // means of the steady readings of a demo's file: (93 + 95 + 92 + 92 + 94 + 93)/6 with the case held. Then each output drags
    // of itself; with one output held half of what turns with the case is in the reading
    for (held, share, dragged) in [("case", 1.0, 2.0 * 3.0), ("output", 0.5, 3.0 / 2.0)] {
        let wanted = (93.166_666_666_667 * share - dragged) / share;
        let mut session = before("moor-rear", "held");
        answer(&mut session, held).unwrap();
        answer(&mut session, "3").unwrap();
        answer(&mut session, "19").unwrap();
        answer(&mut session, "yes").unwrap();
        for (still, turning) in [
            ([108.0, 111.0, 109.0], [93.0, 95.0, 92.0]),
            ([107.0, 110.0, 108.0], [92.0, 94.0, 93.0]),
        ] {
            for reading in still.into_iter().chain(turning) {
                answer(&mut session, &format!("{}", reading * share)).unwrap();
            }
        }
        let proof = &session.build("x", "y").proofs[0];
        let turning = proof.turning.unwrap().newton_metres();
        assert!((turning - wanted).abs() < 1e-9, "{held}: {turning}");
        // and the first movement in the same way of holding: six readings with a mean of 653/6
        let still = proof.still.unwrap().newton_metres();
        let wanted = (653.0 / 6.0 * share - dragged) / share;
        assert!((still - wanted).abs() < 1e-9, "{held}: {still}");
    }
}

#[test]
fn what_is_no_number_of_a_thing_is_refused_outright() {
    for text in [
        "NaN",
        "inf",
        "-inf",
        "infinity",
        "-1.98",
        "0",
        "",
        "1e3",
        "1.2.3",
        "two",
        "1.98 furlongs",
        &"9".repeat(400),
    ] {
        let (_, sure) = refused("moor-rear", "plate-thickness/C1/1", text);
        assert!(!sure, "{text}");
    }
    let (words, _) = refused("moor-rear", "breakaway/drive-still/1", "-5");
    assert!(words.contains("at least 0 N·m"), "{words}");
}

#[test]
fn ten_kilobytes_of_text_are_too_much() {
    let long = "x".repeat(10_240);
    for slot in ["who", "found-oil", "plate-thickness/C1/1", "choose", "sign-built"] {
        let (words, sure) = refused("moor-rear", slot, &long);
        assert!(!sure && words.contains("at most 2000"), "{slot}: {words}");
    }
    let mut session = before("moor-rear", "found-oil");
    assert!(session.answer(&Reply::Note(long.clone()), AT).is_err());
    assert!(session.answer(&Reply::Skip(long), AT).is_err());
}

#[test]
fn a_reading_that_fits_the_other_way_of_holding_is_questioned() {
    // 93 N·m with the case held is 46.5 with one output held
    let (words, sure) = refused("moor-rear", "breakaway/drive-turning/1", "46.5");
    assert!(sure && words.contains("check how the unit is held"), "{words}");
}

#[test]
fn the_choice_takes_a_proposal_or_a_change_by_hand_and_says_what_is_wrong_with_others() {
    let session = before("moor-rear", "choose");
    let again = |text: &str| {
        let mut session = before("moor-rear", "choose");
        answer(&mut session, text).unwrap_err().words
    };
    assert!(asked(&session).table.is_some());
    for (text, fact) in [
        ("11", "one of the proposals is wanted, 1 to"),
        ("0", "one of the proposals is wanted"),
        ("hand", "nothing has been changed by hand yet"),
        ("swap G1", "a swap names two plates"),
        ("swap G1 C1", "keyed to different things"),
        ("swap G1 G4", "plate G4 has been rejected"),
        ("swap G1 Z9", "no plate is called Z9"),
        ("shims up 0.1", "neither left nor right"),
        ("shims left -0.1", "can not be"),
        ("shims left 0.1 N", "a force"),
        ("shims left 1,234", "1.234"),
    ] {
        let words = again(text);
        assert!(words.contains(fact), "{text}: {words}");
    }
    for text in [
        "shims left 0.30 0.15",
        "shims left 0,30 0,15",
        "shims l 0.30 mm, 150 µm",
        "SHIMS left 0.30, 0.15",
    ] {
        let mut session = before("moor-rear", "choose");
        assert!(
            answer(&mut session, text).unwrap().entries.is_empty(),
            "{text} is only shown"
        );
        let Value::Chosen(chosen) = value(&answer(&mut session, "hand as it was before").unwrap()) else {
            panic!("{text}: no choice");
        };
        assert_eq!(chosen.sides[0].shims_nanometres, [300_000, 150_000], "{text}");
    }
}

fn texts() -> impl Strategy<Value = String> {
    let number = prop_oneof![
        any::<f64>().prop_map(|number| number.to_string()),
        (0_u32..40_000).prop_map(|n| format!("{}.{:03}", n / 1000, n % 1000)),
        "[-+−]?[0-9]{0,16}[.,]?[0-9]{0,9}",
    ];
    let unit = prop_oneof![
        Just(""),
        Just(" mm"),
        Just(" in"),
        Just(" thou"),
        Just(" N·m"),
        Just("lbf·ft"),
        Just(" l"),
        Just(" km"),
        Just(" deg")
    ];
    prop_oneof![
        any::<String>(),
        "[a-z]{1,8}( [A-Z0-9]{1,3}){0,4}",
        (number, unit).prop_map(|(number, unit)| format!("{number}{unit}")),
        "(1|2|3|hand|swap|shims|same|keep|reject|accept|again|case|output|mic-old|yes|no|done)( .{0,12})?",
        "(shims (left|right)|swap)( (0[.][0-9]{1,2}|[CG][0-9]{1,2}|SG[1-3])){0,5}",
        (0_usize..12_000, any::<char>()).prop_map(|(n, c)| std::iter::repeat_n(c, n).collect()),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(100) })]
    #[test]
    fn no_text_makes_the_engine_fall_over_and_what_is_taken_comes_back_from_its_entries(
        demo in proptest::sample::select(&["moor-rear", "fell-front", "shoal-rear"][..]),
        at in any::<proptest::sample::Index>(),
        texts in proptest::collection::vec(texts(), 1..4),
    ) {
        let mut all = entries(demo);
        // the first entry is the beginning, the last the end; between them any question may be open
        all.truncate(1 + at.index(all.len() - 2));
        let job = job(demo);
        let mut session = Session::resume(job.clone(), &all);
        for text in texts {
            let Some(ask) = session.ask() else { break };
            match session.answer(&Reply::Answer(text), AT) {
                Ok(taken) => {
                    session.apply(&taken.entries);
                    all.extend(taken.entries);
                }
                Err(refusal) => {
                    prop_assert!(!refusal.words.is_empty());
                    prop_assert_eq!(session.ask().map(|ask| ask.slot), Some(ask.slot));
                }
            }
        }
        // through the words of the journal and back
        let read: Vec<Entry> = all.iter().map(|entry| Entry::from_json(&entry.to_json().unwrap()).unwrap()).collect();
        prop_assert_eq!(&read, &all);
        let again = Session::resume(job, &read);
        prop_assert_eq!(again.ask().map(|ask| ask.slot), session.ask().map(|ask| ask.slot));
        prop_assert_eq!(again.answered(), session.answered());
    }
}
