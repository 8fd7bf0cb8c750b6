//! A shop's own procedure, and unit files that say something of the faces.

use crate::bench::{AT, Place, answers_of, demo_file, unit_file};
use crate::engine::job;
use shimwright::mechanics::Keying::{Case, Gear};
use shimwright::procedure::{Procedure, Session, stock};
use shimwright::record::{Entry, Value};
use shimwright::workshop::Unit;
use std::fs;

fn moor() -> String {
    fs::read_to_string(unit_file("moor-rear")).unwrap()
}

/// The demonstration's check at the bench, with this in place of the step for the drag.
fn bench_check(steps: &str) -> String {
    let stock = stock("bench-check").unwrap();
    let from = stock.find("[[stage.step]]\nid = \"drag\"").unwrap();
    let to = from
        + stock[from..]
            .find("[[stage.step]]\nid = \"oil-temperature\"")
            .unwrap();
    format!("{}{steps}{}", &stock[..from], &stock[to..])
}

fn drag_step(id: &str, only: &str) -> String {
    format!(
        "[[stage.step]]\nid = \"{id}\"\nkind = \"measure\"\nfills = \"drag\"\nneeds = [\"held\"]\nonly = [\"{only}\"]\n\
         words = \"The drag.\"\nwhy = \"It is no part of the breakaway.\"\n\n"
    )
}

/// The turning breakaway of the demonstration by a procedure, with a drag of 5 N·m of each output.
fn breakaway(procedure: &str) -> f64 {
    let place = Place::new();
    let file = place.write("shop.toml", procedure);
    let answers = fs::read_to_string(demo_file("moor-rear-bench-check.answers")).unwrap();
    let typed = answers.replace("\ndrag = 0\n", "\ndrag = 5\n");
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

#[test]
fn the_wall_rubs_where_the_file_says_so_and_nothing_lies_between() {
    let behind = moor().replace(
        "pressure = \"run-in\"",
        "pressure = \"run-in\"\nwall_is_face = true",
    );
    let refused = Unit::read("moor", &behind).unwrap_err().to_string();
    assert!(refused.contains("no plate rubs on the wall"), "{refused}");
    let read = |text: &str| Unit::read_kept("moor", text).unwrap_or_else(|faults| panic!("{faults}"));
    let behind = read(&behind);
    let between = read(
        &moor()
            .replace(
                "pressure = \"run-in\"",
                "pressure = \"run-in\"\nwall_is_face = true",
            )
            .replace("behind the pack", "between the rings"),
    );
    let silent = read(&moor().replace("behind the pack", "between the rings"));
    for (unit, has_shims, rubs) in [
        (&behind, false, false),
        (&behind, true, false),
        (&between, false, true),
        (&between, true, false),
        (&silent, false, false),
    ] {
        assert_eq!(unit.wall_rubs(has_shims), rubs);
        let faces = unit.faces_of(&[Gear, Case, Gear, Case], has_shims);
        assert_eq!(faces, if rubs { 4 } else { 3 });
    }
    // an old build that began with such a file says one number of faces everywhere
    let first = |text: String| text.replace("order = [\"C1\", \"G1\",", "order = [\"G1\", \"C1\",");
    let old = first(moor())
        .replace(
            "faces = 10\nshims = [\"0.30 mm\"]\n\n[pack.right]",
            "shims = []\n\n[pack.right]",
        )
        .replace(
            "pressure = \"run-in\"",
            "pressure = \"run-in\"\nwall_is_face = true",
        );
    assert_eq!(read(&old).packs[0].faces, 9);
}

#[test]
fn faces_are_held_against_the_order_and_a_dead_one_is_meant_in_words() {
    let left = "faces = 10\nshims = [\"0.30 mm\"]\n\n[pack.right]";
    let with = |faces: &str| moor().replace(left, &left.replace("faces = 10", faces));
    for faces in [9, 5, 3] {
        let refused = Unit::read("moor", &with(&format!("faces = {faces}")))
            .unwrap_err()
            .to_string();
        let words = format!("the order has 10 active faces, and this says {faces}: is a dead face meant?");
        assert!(refused.contains(&words), "{refused}");
    }
    let place = Place::new();
    let unit = place.write("moor-rear.toml", with("faces = 9"));
    let own = place.own_drawer(&unit_file("moor-rear"));
    let instruments = demo_file("instruments.toml");
    let mut more: Vec<&str> = own.iter().map(String::as_str).collect();
    more.extend(["--instruments", instruments.to_str().unwrap()]);
    place
        .answered(&unit, &answers_of("moor-rear"), &more)
        .fails(3, &["is a dead face meant?"]);
    place.write("moor-rear.toml", with("faces = 9\ndead_faces_meant = true"));
    assert_eq!(place.answered(&unit, &answers_of("moor-rear"), &more).code, 0);
    // and where the packs are chosen
    let mut job = job("moor-rear");
    job.unit = Unit::read("moor", &with("faces = 9\ndead_faces_meant = true")).unwrap();
    let entries: Vec<Entry> = place
        .entries("moor-rear-0001")
        .iter()
        .map(|entry| Entry::from_json(&entry.to_string()).unwrap())
        .collect();
    let chosen = |entry: &Entry| {
        matches!(
            entry,
            Entry::Answered {
                value: Value::Chosen(_),
                ..
            }
        )
    };
    let at = entries.iter().position(chosen).unwrap();
    let build = Session::resume(job.clone(), &entries).build("moor-rear-0001", "00");
    let mut rows = build.found_and_left.iter();
    let row = rows.find(|row| row.what == "left active faces").unwrap();
    assert_eq!(
        [row.found.as_deref().unwrap(), row.left.as_deref().unwrap()],
        ["10", "9 (10 without dead ones: C1 on C4)"]
    );
    let ask = Session::resume(job, &entries[..at]).ask().unwrap();
    let words =
        "left: 9 faces rub, and these plates could make 10: dead faces are laid in, as the unit file means";
    assert!(ask.limits.iter().any(|limit| limit == words), "{:?}", ask.limits);
}

#[test]
fn a_build_keeps_every_step_that_its_procedure_takes_from_the_library_in_full() {
    let own = "format = \"shimwright procedure 1\"\nid = \"ours\"\ntitle = \"Ours\"\npurpose = \"A look.\"\n\n[[stage]]\n\
               title = \"Look\"\n\n[[stage.step]]\nuse = \"who\"\n\n[[stage.step]]\nuse = \"caution-solvent\"\n\n\
               [[stage.step]]\nuse = \"clean\"\ntools = [\"rag\"]\n";
    let place = Place::new();
    let file = place.write("ours.toml", own);
    let answers = place.write(
        "ours.answers",
        "who = Ann Example\ncaution-solvent = yes\nclean = done\n",
    );
    let unit = unit_file("moor-rear");
    let mut arguments = vec!["work", file.to_str().unwrap(), unit.to_str().unwrap(), "--at", AT];
    arguments.extend(["--answers", answers.to_str().unwrap()]);
    place.run(&arguments);
    let kept = fs::read_to_string(place.book().join("moor-rear-0001/procedure.toml")).unwrap();
    assert!(
        !kept.contains("use =") && kept.contains("id = \"clean\"\nkind = \"do\"\n"),
        "{kept}"
    );
    assert!(
        kept.contains("no naked flame, no spark") && kept.contains("tools = [\"rag\"]"),
        "{kept}"
    );
    assert!(Procedure::read_kept("procedure.toml", &kept).is_ok());
}
