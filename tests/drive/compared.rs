//! Settings compared from outside: a plan that is driven, and what can and can not be told.

use crate::made::{A, B, DAY, Run, head, of_run, run, shop, whole};
use crate::place::Place;
use serde_json::Value;

/// A planned day: the order that was drawn, and the head of its answers.
fn planned(place: &Place, more: &[&str]) -> (Vec<String>, Value) {
    let words = ["plan", "moor-car.toml", A, B, "--at", "2026-05-29"];
    let plan = place.json(&[&words[..], more].concat());
    let order = plan["order"].as_array().unwrap();
    (
        order
            .iter()
            .map(|name| name.as_str().unwrap().to_string())
            .collect(),
        plan,
    )
}

/// Drives an order: `times` gives the seconds of a run by its place and whether it is B.
fn driven(place: &Place, order: &[String], times: impl Fn(usize, bool) -> f64) {
    let mut text = head("2026-05-30");
    for (at, setting) in order.iter().enumerate() {
        let seconds = times(at, setting == B);
        let laps = format!("{:.3} {:.3} {:.3}", seconds, seconds + 1.0, seconds - 0.5);
        let felt = if setting == B { "right" } else { "more" };
        let run = Run {
            setting,
            times: vec![laps],
            felt: [felt, "right", "unsaid", "unsaid", "unsaid"],
        };
        text.push_str(&of_run(at + 1, &run));
    }
    text.push_str(&format!("run/{} = end\nremarks = none\n", order.len() + 1));
    let ran = place.driven(&text, &[]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
}

#[test]
fn a_plan_is_written_down_before_and_permuted_over_after() {
    let place = shop();
    let (order, plan) = planned(&place, &["--runs", "12", "--seed", "7"]);
    assert_eq!((order.len(), &plan["least_p"]), (12, &(2.0 / 58.0).into()));
    // the same number draws the same order, and the day has it in its record before anything is driven
    assert_eq!(planned(&place, &["--runs", "12", "--seed", "7"]).0, order);
    let entry = &place.entries("moor-day-0002")[1];
    assert_eq!(
        (
            &entry["slot"]["step"],
            entry["value"]["order_drawn"]["seed"].as_u64()
        ),
        (&"order-drawn".into(), Some(7))
    );
    driven(&place, &order, |at, second| {
        70.0 + 0.05 * at as f64 - if second { 0.4 } else { 0.0 }
    });
    let found = place.json(&["runs", A, B]);
    assert_eq!(
        (&found["faster"], &found["orders"]),
        (&B.into(), &58.into()),
        "{found}"
    );
    assert!((found["difference_s"].as_f64().unwrap() + 0.4).abs() < 1e-9);
    assert!((found["drift_s_per_run"][0].as_f64().unwrap() - 0.05).abs() < 1e-9);
    // the order driven and its mirror alone lie as far apart
    assert!((found["p"].as_f64().unwrap() - 2.0 / 58.0).abs() < 1e-12);
    assert!(found["felt"][0]["told_apart"] == true && found["felt"][1]["told_apart"] == false);
    assert!(found["felt"][2]["p"].is_null());
    let words = place.run(&["runs", A, B]).out;
    for fact in [
        "moor-rear-0002 is faster than moor-rear-0001 by 0.40 s",
        "exact over the 58 orders",
        "left with the same",
    ] {
        assert!(words.contains(fact), "{fact:?} in {words}");
    }
}

#[test]
fn nothing_is_told_where_nothing_can_be() {
    let place = shop();
    let (order, _) = planned(&place, &["--runs", "8", "--seed", "3"]);
    let scatter = [0.3, -0.4, 0.1, -0.2, 0.5, -0.1, 0.2, -0.4];
    driven(&place, &order, |at, second| {
        70.0 + scatter[at] - if second { 0.02 } else { 0.0 }
    });
    let found = place.json(&["runs", A, B]);
    assert!(found["faster"].is_null() && found["least_p"] == 0.25, "{found}");
    assert!(found["runs_to_show"].as_u64().unwrap() > 8);
    let words = place.run(&["runs", A, B]).out;
    assert!(words.contains("can not be told apart by their times"), "{words}");
    assert!(words.contains("more runs of each"), "{words}");
}

#[test]
fn an_order_that_was_not_driven_as_drawn_has_no_p_and_one_run_of_each_tells_nothing() {
    let place = shop();
    let (mut order, _) = planned(&place, &["--runs", "8", "--seed", "3"]);
    let first = order.iter().position(|name| *name != order[0]).unwrap();
    order.swap(0, first);
    driven(&place, &order, |at, second| {
        70.0 + 0.01 * at as f64 - if second { 1.0 } else { 0.0 }
    });
    let found = place.json(&["runs", A, B]);
    assert!(
        found["p"].is_null()
            && found["no_p_because"]
                .as_str()
                .unwrap()
                .contains("not driven as it was drawn")
    );
    let other = whole("2026-05-31", &[run(A, "70.0"), run(B, "60.0")]);
    assert_eq!(place.driven(&other, &[]).code, 0);
    let found = place.json(&["runs", A, B, "--day", "moor-day-0002"]);
    assert!(
        found["faster"].is_null() && found["difference_s"].is_null(),
        "{found}"
    );
    // both days together: the day is a block
    let found = place.json(&["runs", A, B]);
    assert_eq!(found["days"], serde_json::json!([DAY, "moor-day-0002"]));
    assert!(found["no_p_because"].is_string());
    place.run(&["runs", A, A]).fails(3, &["are one setting"]);
    place
        .run(&["runs", A, "moor-rear-0009"])
        .fails(8, &["nothing called \"moor-rear-0009\" was driven"]);
    place
        .run(&["runs", A, B, "--day", "moor-day-0009"])
        .fails(8, &["there is no drive day"]);
}

#[test]
fn a_plan_that_can_not_be_is_refused_and_fewer_changes_cost_what_is_said() {
    let place = shop();
    let plan = |more: &[&str]| place.run(&[&["plan", "moor-car.toml", A, B][..], more].concat());
    plan(&["--runs", "6"]).fails(9, &["it takes a multiple of 4"]);
    plan(&["--runs", "8", "--changes", "1"]).fails(9, &["changes of the setting"]);
    let two = ["plan", "moor-car.toml", A, A, "--runs", "8"];
    place.run(&two).fails(3, &["is planned twice"]);
    place
        .run(&["plan", "moor-car.toml", A, "nobody", "--runs", "8"])
        .fails(8, &["nothing called \"nobody\""]);
    assert!(!place.book().join(DAY).exists());
    let few = planned(&place, &["--runs", "8", "--changes", "2"]).1;
    assert_eq!((&few["changes"], &few["least_p"]), (&2.into(), &1.0.into()));
    let words = place
        .run(&["plan", "moor-car.toml", A, B, "--runs", "12", "--blocks"])
        .out;
    assert!(
        words.contains("The least p that this plan can reach is 0.250"),
        "{words}"
    );
}

#[test]
fn what_was_felt_last_says_what_to_change_first() {
    let place = shop();
    driven(&place, &[A.to_string(), A.to_string()], |_, _| 70.0);
    let first = planned(&place, &["--runs", "8"]).1["change_first"].to_string();
    assert!(
        first.contains("entry: too much lock in 2 of 2 runs") && first.contains("pushes on entry"),
        "{first}"
    );
    // the words are those of `settle`
    let known = |words: &str| {
        shimwright::tuning::Complaint::find(words, None).is_ok_and(|found| found.words == words)
    };
    for (phase, less, more) in [
        ("entry", "snaps on lift", "pushes on entry"),
        ("power", "inside wheel spins", "pushes on power"),
    ] {
        for words in [less, more] {
            assert!(known(words), "{phase}: {words}");
        }
    }
    assert!(known("does nothing"));
}
