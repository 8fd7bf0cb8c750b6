//! What is said at the wrench stands on the wrench's own scale, and in one unit of measure: windows, what should be read, what was
//! typed.

use crate::bench::{answers_of, raw_answers};
use crate::engine::{answer, asked, before};
use shimwright::procedure::Session;

/// A demo at its first reading while turning, held so and with an adaptor on the wrench.
fn at_the_wrench(held: &str, adaptor: &str, drag: &str) -> Session {
    let known = raw_answers(&answers_of("moor-rear"));
    let mut session = before("moor-rear", "wrench-extension");
    loop {
        let ask = asked(&session);
        if ask.slot.to_string() == "breakaway/drive-turning/1" {
            return session;
        }
        let text = match ask.slot.step.as_str() {
            "wrench-extension" => adaptor.to_string(),
            "held" => held.to_string(),
            "drag" => drag.to_string(),
            _ => known
                .get(&ask.slot.to_string())
                .cloned()
                .unwrap_or_else(|| "yes".to_string()),
        };
        let taken = answer(&mut session, &text).or_else(|refusal| match refusal.sure {
            true => answer(&mut session, "sure"),
            false => Err(refusal),
        });
        taken.unwrap_or_else(|refusal| panic!("{}: {}", ask.slot, refusal.words));
    }
}

/// The first two figures behind some words among what is said beside a question.
fn ends(session: &Session, words: &str) -> [f64; 2] {
    let limits = asked(session).limits;
    let said = limits.iter().find_map(|limit| Some(limit.split_once(words)?.1));
    let said = said.unwrap_or_else(|| panic!("{words}: {limits:#?}"));
    let mut figures = said
        .split(|c: char| !c.is_ascii_digit() && c != '.')
        .filter_map(|part| part.parse().ok());
    [figures.next().unwrap(), figures.next().unwrap()]
}

/// By the lever: a wrench of 320 mm with 80 mm more shows 320/400 of the torque. By statics: with one output held and no drag it reads
/// half of what it reads with the case held, where springs push behind each pack.
#[test]
fn what_should_be_read_is_told_as_the_wrench_shows_it() {
    let plain = at_the_wrench("case", "0", "0");
    let [low, high] = ends(&plain, "it should read ");
    let [least, most] = ends(&plain, "window while turning, case held: ");
    for (held, adaptor, drag, times, more) in [
        ("case", "80 mm", "0", 0.8, 0.0),
        ("output", "0", "0", 0.5, 0.0),
        ("output", "80 mm", "0", 0.4, 0.0),
        // 4 N·m that drag with the case: half of it is in the reading
        ("output", "0", "4", 0.5, 2.0),
    ] {
        let session = at_the_wrench(held, adaptor, drag);
        let near = |told: [f64; 2], wanted: [f64; 2], what: &str| {
            for (told, wanted) in told.into_iter().zip(wanted) {
                let wanted = wanted * times + more;
                assert!(
                    (told - wanted).abs() < 0.11,
                    "{what}, {held}, {adaptor}, {drag}: {told} and {wanted}"
                );
            }
        };
        near(ends(&session, "it should read "), [low, high], "should");
        near(ends(&session, "the wrench should show"), [least, most], "window");
        // and what the file says is what stands in the file
        let file = ends(&session, "the unit file's window is case held: ");
        for (told, stands) in file.into_iter().zip([least, most]) {
            assert!(
                (told - stands).abs() < 1e-9,
                "{held}, {adaptor}: {told} and {stands}"
            );
        }
    }
}

/// Whoever writes a unit behind the last of several may mean it for all of them.
#[test]
fn a_unit_behind_some_of_the_numbers_on_a_line_is_asked_back() {
    for (line, taken) in [
        ("68 69 68 lbf-ft", false),
        ("68 lbf-ft 69 lbf-ft 92", false),
        ("93 69 lbf-ft 92", false),
        ("68 lbf-ft 69 lbf-ft 68 lbf-ft", true),
        ("93 92 93 N·m", true),
        ("93 92 93", true),
    ] {
        let mut session = at_the_wrench("case", "0", "0");
        match answer(&mut session, line) {
            Ok(accepted) => assert!(taken && accepted.refused.is_none(), "{line}: {accepted:?}"),
            Err(refusal) => {
                assert!(
                    !taken && refusal.words.contains("write the unit behind each"),
                    "{line}: {}",
                    refusal.words
                );
                assert!(!refusal.sure, "{line}");
            }
        }
    }
}

/// The least that a usual slip of the unit makes: a pound-foot is 1.356 N·m (NIST SP 811, table B.8).
#[test]
fn a_reading_in_pound_feet_among_newton_metres_is_asked_about() {
    let mut session = at_the_wrench("case", "0", "0");
    answer(&mut session, "93").unwrap();
    let refusal = answer(&mut session, &format!("{:.1}", 93.0 / 1.355_818)).unwrap_err();
    assert!(
        refusal.sure && refusal.words.contains("far from the other readings"),
        "{}",
        refusal.words
    );
}

#[test]
fn two_answers_on_a_line_for_one_are_no_reason() {
    let mut session = before("moor-rear", "spring-look/left");
    for line in ["good good", "good Good good"] {
        let refusal = answer(&mut session, line).unwrap_err();
        assert!(
            refusal.words.contains("one answer is wanted here"),
            "{line}: {}",
            refusal.words
        );
    }
    answer(&mut session, "good").unwrap();
}

/// A sheet tells a proof under the way in which its figures are meant, however it was read.
#[test]
fn the_box_on_top_names_the_way_that_its_breakaway_is_meant_in() {
    let known = raw_answers(&answers_of("moor-rear"));
    for held in ["case", "output"] {
        let mut session = at_the_wrench(held, "0", "0");
        while !session.is_finished() {
            let ask = asked(&session);
            let text = match ask.slot.step.as_str() {
                "breakaway" => {
                    let read: f64 = known[&ask.slot.to_string()].parse().unwrap();
                    format!("{}", if held == "output" { read / 2.0 } else { read })
                }
                "proof-decision" => "accept it is only tried".to_string(),
                _ => known
                    .get(&ask.slot.to_string())
                    .cloned()
                    .unwrap_or_else(|| "yes".to_string()),
            };
            answer(&mut session, &text)
                .or_else(|refusal| match refusal.sure {
                    true => answer(&mut session, "sure"),
                    false => Err(refusal),
                })
                .unwrap_or_else(|refusal| panic!("{}: {}", ask.slot, refusal.words));
        }
        let build = session.build("moor-rear-0001", "");
        assert_eq!(build.glance.unwrap().held.as_deref(), Some("case held"));
        let turning = build.proofs[0].turning.unwrap().newton_metres();
        assert!((turning - 93.2).abs() < 0.2, "{held}: {turning}");
    }
}
