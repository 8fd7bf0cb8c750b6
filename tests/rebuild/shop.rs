//! A shop's own procedure.

use crate::bench::{AT, Place, demo_file, unit_file};
use shimwright::procedure::Procedure;
use std::fs;

/// The demonstration's check at the bench, with this in place of the step for the drag.
fn bench_check(steps: &str) -> String {
    let stock = fs::read_to_string(demo_file("../procedures/bench-check.toml")).unwrap();
    let from = stock.find("[[stage.step]]\nid = \"drag\"").unwrap();
    let to = from + stock[from..].find("[[stage.step]]\nid = \"seat\"").unwrap();
    format!("{}{steps}{}", &stock[..from], &stock[to..])
}

fn drag_step(id: &str, only: &str) -> String {
    format!(
        "[[stage.step]]\nid = \"{id}\"\nkind = \"measure\"\nfills = \"drag\"\nneeds = [\"held\"]\nonly = [\"{only}\"]\n\
         words = \"The drag.\"\nwhy = \"It is no part of the breakaway.\"\n\n"
    )
}

/// The turning breakaway of the demonstration by a procedure, with a drag of 10 N·m.
fn breakaway(procedure: &str) -> f64 {
    let place = Place::new();
    let file = place.write("shop.toml", procedure);
    let answers = fs::read_to_string(demo_file("moor-rear-bench-check.answers")).unwrap();
    let typed = answers.replace("\ndrag = 0\n", "\ndrag = 10\n");
    assert_ne!(typed, answers);
    let answers = place.write("typed.answers", typed);
    let unit = unit_file("moor-rear");
    let mut arguments = vec!["work", file.to_str().unwrap(), unit.to_str().unwrap(), "--at", AT];
    arguments.extend(["--answers", answers.to_str().unwrap(), "--json"]);
    let record: serde_json::Value = place.run(&arguments).json();
    let read = record["proofs"][0]["breakaway_nm"].as_f64();
    read.unwrap_or_else(|| panic!("{:#}", record["breakaway"]))
}

#[test]
fn a_drag_that_is_asked_by_one_of_two_steps_is_taken_off_whichever_comes_last() {
    let stock = breakaway(&bench_check(
        &drag_step("drag", "spring-loaded").replace("only = [\"spring-loaded\"]\n", ""),
    ));
    let (mine, other) = (
        drag_step("drag", "spring-loaded"),
        drag_step("drag-gap", "clearance"),
    );
    for steps in [format!("{mine}{other}"), format!("{other}{mine}")] {
        let read = breakaway(&bench_check(&steps));
        assert!((read - stock).abs() < 1e-12, "{read} {stock}");
    }
}

#[test]
fn two_steps_that_one_unit_may_be_asked_fill_no_field_twice() {
    let (mine, other) = (
        drag_step("drag", "spring-loaded"),
        drag_step("drag-again", "through"),
    );
    let both = bench_check(&format!("{mine}{other}"));
    let faults = Procedure::read("shop.toml", &both).unwrap_err();
    let rules: Vec<&str> = faults.faults.iter().map(|fault| fault.rule).collect();
    assert!(rules.contains(&"filled-twice"), "{faults}");
    // a build in the book was begun by it when nothing refused it
    let kept = both.replace("needs = [\"held\", \"drag\"]", "needs = [\"held\"]");
    assert!(Procedure::read_kept("shop.toml", &kept).is_ok());
}
