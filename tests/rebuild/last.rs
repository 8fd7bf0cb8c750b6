//! The next job starts from what the last build left in the unit, not from what its file lists.

use crate::bench::{Place, answers_of, demo_file, finished};
use serde_json::Value;
use shimwright::seal::Digest;
use std::fs;
use std::path::PathBuf;

/// A place with moor-rear's files of its own, and its first build in the book.
fn built() -> (Place, PathBuf) {
    let place = Place::new();
    for name in ["moor-rear.toml", "moor-drawer.toml", "instruments.toml"] {
        fs::copy(demo_file(name), place.path(name)).unwrap();
    }
    let unit = place.path("moor-rear.toml");
    let ran = place.answered(&unit, &answers_of("moor-rear"), &[]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    (place, unit)
}

/// The answers up to the first plate, and then a pause.
fn until_plates(order: &str) -> String {
    let text = answers_of("moor-rear");
    let (head, _) = text.split_once("found-order/right").unwrap();
    let rest = "caution-solvent = yes\nclean = done\ninspect-rings = yes\ninspect-case = yes\nspring-look/left = good\n\
                spring-look/right = good\nmicrometer = mic-2\nmicrometer-zero = 25.002\ndepth-gauge = depth-1\n\
                depth-gauge-zero = 50.00\n";
    format!("{head}found-order/right = {order}\nfound-order/left = same\n{rest}plate-look/C1 = !pause\n")
}

fn left(side: &str) -> Vec<String> {
    let layers = finished("moor-rear").record["packs"][side]["layers"]
        .as_array()
        .unwrap();
    let plates = layers
        .iter()
        .filter(|layer| layer["kind"].as_str().unwrap().ends_with("plate"));
    plates
        .map(|layer| layer["name"].as_str().unwrap().to_string())
        .collect()
}

fn named(entry: &Value) -> Vec<String> {
    let names = entry["value"]["names"].as_array().unwrap();
    names
        .iter()
        .map(|name| name.as_str().unwrap().to_string())
        .collect()
}

#[test]
fn the_second_build_starts_from_what_the_first_left_and_says_so() {
    let (place, unit) = built();
    let before = fs::read_to_string(&unit).unwrap();
    let ran = place.answered(&unit, &until_plates("same"), &[]);
    assert_eq!(ran.code, 7, "{}", ran.err);
    assert!(
        ran.out.contains("moor-rear-0001 left other things in the unit"),
        "{}",
        ran.out
    );
    let entries = place.entries("moor-rear-0002");
    for side in ["left", "right"] {
        let order = entries
            .iter()
            .find(|entry| entry["slot"]["step"] == "found-order" && entry["slot"]["item"] == side)
            .unwrap();
        assert_eq!(named(order), left(side), "{side}");
    }
    // the file that it starts from is kept, and its digest stands in the first entry
    let kept = fs::read(place.book().join("moor-rear-0002/found.toml")).unwrap();
    assert_eq!(entries[0]["found"], Digest::of(&kept).to_string());
    assert_eq!(
        fs::read_to_string(&unit).unwrap(),
        before,
        "the unit file is nobody's but the shop's"
    );
    // plates that were thrown out are not asked for, and the spares inside are
    let (both, out) = ([left("left"), left("right")].concat(), ["G4", "G7", "G9", "C8"]);
    assert!(out.iter().all(|name| !both.contains(&name.to_string())));
    let ran = place.answered(&unit, "plate-look/G4 = good\n", &[]);
    ran.fails(4, &["\"plate-look/C1\" is asked"]);
    let ran = place.answered(&unit, &until_plates("C6 G4"), &["--new"]);
    ran.fails(4, &["no plate of this unit is called G4"]);
}

#[test]
fn the_cover_is_under_what_the_last_build_left() {
    let (place, unit) = built();
    let text = answers_of("moor-rear");
    let (head, _) = text.split_once("caution-spring").unwrap();
    let ran = place.answered(
        &unit,
        &format!("{head}caution-spring = !why\ncaution-spring = !pause\n"),
        &[],
    );
    assert_eq!(ran.code, 7, "{}", ran.err);
    let force = finished("moor-rear").record["preload_force_n"].as_f64().unwrap();
    let told = ran
        .out
        .split("as moor-rear-0001 left it, springs ")
        .nth(1)
        .unwrap();
    let told: f64 = told
        .split(": ")
        .nth(1)
        .unwrap()
        .split_whitespace()
        .next()
        .unwrap()
        .parse()
        .unwrap();
    assert!((told - force).abs() < 1.0, "{told} and {force} N: {}", ran.out);
}

#[test]
fn a_unit_file_is_offered_as_it_was_left_and_never_written_in_silence() {
    let (place, unit) = built();
    let before = fs::read_to_string(&unit).unwrap();
    let ran = place.run(&["as-left", "moor-rear.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("left pack") && ran.out.contains("shimwright as-left moor-rear.toml --out FILE"),
        "{}",
        ran.out
    );
    let ran = place.run(&["as-left", "moor-rear.toml", "--out", "moor-rear.toml"]);
    assert_ne!(ran.code, 0, "never over a file that is there");
    assert_eq!(fs::read_to_string(&unit).unwrap(), before);
    assert_eq!(
        place
            .run(&["as-left", "moor-rear.toml", "--out", "new.toml"])
            .code,
        0
    );
    assert_eq!(place.run(&["lint", "new.toml"]).code, 0);
    let text = fs::read_to_string(place.path("new.toml")).unwrap();
    assert!(text.contains("# cover face to wall, over both packs") && text.contains("name = \"SG1\""));
    assert!(!text.contains("name = \"G4\""));
    let ran = place.run(&["as-left", "new.toml"]);
    assert!(ran.out.contains("lists what moor-rear-0001 left"), "{}", ran.out);
    // a job on the new file has nothing to tell, and asks for the same
    let ran = place.answered(&place.path("new.toml"), &until_plates("same"), &[]);
    assert_eq!(ran.code, 7, "{}", ran.err);
    assert!(
        ran.out.contains("The unit file lists what moor-rear-0001 left"),
        "{}",
        ran.out
    );
}

#[test]
fn a_job_can_start_from_the_file_all_the_same_and_one_of_an_earlier_day_does() {
    let (place, unit) = built();
    let listed = |build: &str| {
        let entries = place.entries(build);
        assert!(entries[0].get("found").is_none(), "{build}");
        let order = entries
            .iter()
            .find(|entry| entry["slot"]["step"] == "found-order");
        assert_eq!(named(order.unwrap())[..2], ["C6", "G6"], "{build}");
    };
    let ran = place.answered(&unit, &until_plates("same"), &["--new", "--as-listed"]);
    assert_eq!(ran.code, 7, "{}", ran.err);
    listed("moor-rear-0002");
    let answers = place.write("some.answers", until_plates("same"));
    let mut earlier = place.program(&[
        "work",
        "full-rebuild",
        "moor-rear.toml",
        "--new",
        "--at",
        "2025-01-01",
    ]);
    earlier.args(["--answers", answers.to_str().unwrap()]);
    let ran: crate::bench::Ran = earlier.output().unwrap().into();
    assert_eq!(ran.code, 7, "{}", ran.err);
    listed("moor-rear-0003");
}

#[test]
fn what_the_last_build_left_is_kept_as_it_was_and_a_change_of_it_is_found() {
    let (place, unit) = built();
    place.answered(&unit, &until_plates("same"), &[]);
    let kept = place.book().join("moor-rear-0002/found.toml");
    let text = fs::read_to_string(&kept).unwrap();
    assert!(
        text.contains("format = \"shimwright found 1\"") && text.contains("build = \"moor-rear-0001\""),
        "{text}"
    );
    fs::write(&kept, text.replace("0.5", "0.4")).unwrap();
    let ran = place.answered(&unit, "plate-look/C1 = good\n", &[]);
    assert_ne!(ran.code, 0);
    assert!(ran.err.contains("found.toml"), "{}", ran.err);
}

#[test]
fn a_job_is_told_of_the_others_on_its_unit() {
    let place = Place::new();
    for name in ["moor-rear.toml", "moor-drawer.toml", "instruments.toml"] {
        fs::copy(demo_file(name), place.path(name)).unwrap();
    }
    let words = |out: &str| out.split_whitespace().collect::<Vec<_>>().join(" ");
    let work = |answers: &str, at: &str, more: &[&str]| {
        let file = place.write("some.answers", answers);
        let file = file.to_str().unwrap();
        let begun = [
            "work",
            "full-rebuild",
            "moor-rear.toml",
            "--answers",
            file,
            "--at",
            at,
        ];
        place.run(&[&begun, more].concat())
    };
    let (first, second) = ("2026-05-01T10:00:00Z", "2026-05-02T10:00:00Z");
    let open = work(&until_plates("same"), first, &[]);
    assert_eq!(open.code, 7, "{}", open.err);
    assert!(!open.out.contains("on this unit"), "{}", open.out);
    // another is begun while the first lies open
    let other = work(&answers_of("moor-rear"), second, &["--new"]);
    assert_eq!(other.code, 0, "{}", other.err);
    assert!(
        words(&other.out).contains("Also open on this unit: moor-rear-0001, full-rebuild, begun 2026-05-01."),
        "{}",
        other.out
    );
    // the first goes on, and what it takes the unit to be is no more
    let on = work("plate-look/C1 = !pause\n", second, &[]);
    assert!(
        words(&on.out).contains(
            "Finished on this unit since this job was begun: moor-rear-0002, full-rebuild, begun 2026-05-02. What lies in the \
             unit may be other than this job takes it to be"
        ),
        "{} {}",
        on.out,
        on.err
    );
    assert!(!on.out.contains("Also open"), "{}", on.out);
}
