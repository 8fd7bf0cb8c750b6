//! Answers as a person says them: sides, names, a comma for the point, a yes to what stood there.

use crate::bench::{Place, Ran, unit_file};
use crate::engine::{answer, asked, before, give, value};
use crate::fed::fed;
use shimwright::procedure::Reply;
use shimwright::record::Value;

/// The length that an answer was taken for, or the words of its refusal.
fn length(demo: &str, slot: &str, text: &str) -> Result<i64, String> {
    let mut session = before(demo, slot);
    match answer(&mut session, text) {
        Ok(taken) => match value(&taken) {
            Value::Length(nm) => Ok(nm),
            other => panic!("{other:?}"),
        },
        Err(refusal) => Err(refusal.words),
    }
}

#[test]
fn a_comma_is_read_as_what_the_part_can_be() {
    // a plate of 2 mm is no 1992 mm, but it may be 1992 µm
    for text in ["1,992", "1,992 mm", "1,992 um"] {
        assert_eq!(
            length("moor-rear", "plate-thickness/C1/1", text),
            Ok(1_992_000),
            "{text}"
        );
    }
    // neither can be: both readings are told, and nothing is taken
    let refused = length("moor-rear", "plate-thickness/C1/1", "9,123").unwrap_err();
    assert!(refused.contains("9.123") && refused.contains("9123"), "{refused}");
    // and both can be, where nothing says how far it was driven
    let mut session = before("moor-rear", "distance");
    let refused = answer(&mut session, "1,200 km").unwrap_err();
    assert!(
        refused.words.contains("1.200 km or as 1200 km"),
        "{}",
        refused.words
    );
}

#[test]
fn a_suggestion_is_taken_by_y_and_an_odd_value_wants_sure() {
    let mut session = before("moor-rear", "plate-thickness/C1/1");
    let refused = answer(&mut session, "19.92").unwrap_err();
    assert!(
        refused.sure && refused.words.contains("did you mean 1.992 mm?"),
        "{}",
        refused.words
    );
    // the same once more confirms nothing
    assert!(answer(&mut session, "19.92").unwrap_err().sure);
    assert_eq!(
        value(&answer(&mut session, "y").unwrap()),
        Value::Length(1_992_000)
    );
    let mut session = before("moor-rear", "plate-thickness/C1/1");
    assert!(answer(&mut session, "1.2").unwrap_err().sure);
    answer(&mut session, "sure").unwrap();
}

#[test]
fn yes_keeps_what_stood_there_where_it_is_no_answer_itself() {
    let mut session = before("moor-rear", "plate-thickness/C1/2");
    give(&mut session, &Reply::Back).unwrap();
    let stood = asked(&session).before.unwrap();
    let kept = answer(&mut session, "yes").unwrap();
    let mut again = before("moor-rear", "plate-thickness/C1/2");
    give(&mut again, &Reply::Back).unwrap();
    assert_eq!(value(&kept), value(&answer(&mut again, "").unwrap()), "{stood}");
    // words that are asked for may be a yes
    let mut session = before("moor-rear", "reason");
    give(&mut session, &Reply::Back).unwrap();
    assert_eq!(
        value(&answer(&mut session, "yes").unwrap()),
        Value::Text("yes".into())
    );
    // and with nothing to keep it is refused as before
    assert!(answer(&mut before("moor-rear", "plate-thickness/C1/1"), "yes").is_err());
}

#[test]
fn plates_are_named_in_any_case_of_letters() {
    let order = "c1 g1 c2 g2 c3 g3 c4 g4 c5 g5";
    let mut session = before("moor-rear", "found-order/left");
    let Value::Names(names) = value(&answer(&mut session, order).unwrap()) else {
        panic!("no names");
    };
    assert_eq!(names.join(" "), order.to_uppercase());
    let refused = answer(&mut before("moor-rear", "found-order/left"), "c1 g11").unwrap_err();
    assert!(refused.words.contains("did you mean G1"), "{}", refused.words);
}

#[test]
fn a_coil_is_looked_at_as_a_coil_and_a_disc_as_a_disc() {
    for (demo, slot, of_kind, other) in [
        ("moor-rear", "spring-look/left", "disc springs", "coil"),
        ("shoal-rear", "spring-look", "coil springs", "disc"),
    ] {
        let ask = asked(&before(demo, slot));
        let words = format!("{} {}", ask.words.join(" "), ask.limits.join(" "));
        assert!(words.contains(of_kind) && !words.contains(other), "{words}");
    }
}

#[test]
fn a_depth_says_from_which_face_to_which_it_is_read() {
    let through = asked(&before("moor-rear", "case-depth/1")).limits.join(" ");
    assert!(
        through.contains("from the face that the cover sits on down to the left wall"),
        "{through}"
    );
    let per_side = asked(&before("fell-front", "case-depth/left/1")).limits.join(" ");
    assert!(
        per_side.contains("to the left wall; the room of this pack only"),
        "{per_side}"
    );
}

#[test]
fn a_wrong_unit_file_is_seen_at_once() {
    let place = Place::new();
    let wrong = unit_file("moor-rear").with_file_name("moor-raer.toml");
    let mut command = crate::started::program();
    command.args(["work", "full-rebuild", wrong.to_str().unwrap(), "--plain"]);
    let ran: Ran = fed(command.env("SHIMWRIGHT_BOOK", place.book()), "").into();
    ran.fails(3, &["did you mean", "moor-rear.toml?"]);
    // the right one shows its name and its packs before the first question
    let mut command = place.work(&unit_file("moor-rear"), &["--plain"]);
    let ran: Ran = fed(&mut command, "").into();
    let (before, _) = ran.out.split_once("Whose work is this?").unwrap();
    for fact in [
        "Unit moor-rear: Moor rear",
        "left  wall . shim 0.300 . spring . C1|G1|",
        "right wall",
    ] {
        assert!(before.contains(fact), "{before}");
    }
}

#[test]
fn a_plate_that_is_thick_enough_and_out_of_parallel_gets_both_verdicts_apart() {
    let mut session = before("moor-rear", "plate-thickness/C1/1");
    let mut said = Vec::new();
    for text in ["2.000", "1.996", "1.953 sure"] {
        let taken = session
            .answer(&Reply::Answer(text.into()), crate::bench::AT)
            .unwrap();
        said.extend(session.apply(&taken.entries).into_iter().map(|one| one.words));
    }
    let said = said.join(" ");
    assert!(
        said.contains("thickness inside (P 100 %); spread 0.047 mm is over 0.030 mm: outside"),
        "{said}"
    );
}
