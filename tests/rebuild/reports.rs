//! What lists and prints builds: `builds`, `sheet`, `--version`, and pipes that are closed.

use crate::bench::{DEMOS, Place, answers_of, finished, unit_file};
use crate::engine::{entries, job};
use shimwright::procedure::Session;
use shimwright::screen::lines;
use shimwright::sheet::{Paper, in_short, pdf};
use std::fs;
use std::process::{Command, Stdio};

fn arguments(place: &Place, name: &str) -> String {
    place.path(name).to_str().unwrap().to_string()
}

#[test]
fn the_version_is_the_package_s() {
    let ran = Place::new().run(&["--version"]);
    assert_eq!(
        (ran.code, ran.out.trim()),
        (0, concat!("shimwright ", env!("CARGO_PKG_VERSION")))
    );
}

#[test]
fn an_empty_book_has_no_builds() {
    let place = Place::new();
    fs::create_dir(place.book()).unwrap();
    let ran = place.run(&["builds"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("No builds yet"), "{}", ran.out);
    assert_eq!(
        place.run(&["builds", "--json"]).json()["builds"],
        serde_json::json!([])
    );
}

#[test]
fn how_a_plate_looked_stands_on_the_sheet_though_it_was_kept() {
    let demo = finished("fell-front");
    let plates = demo.record["plates"].as_array().unwrap();
    let known = |name: &str| plates.iter().find(|plate| plate["name"] == name).unwrap();
    assert_eq!(
        (&known("F1")["look"], &known("F2")["look"]),
        (&"good".into(), &"glazed".into())
    );
}

#[test]
fn a_finished_build_is_listed_with_the_digest_of_its_record() {
    let demo = finished("shoal-rear");
    let listed = demo.place.run(&["builds", "--json"]).json();
    let build = &listed["builds"][0];
    assert_eq!(build["build"], "shoal-rear-0001");
    assert_eq!(build["state"], "finished");
    assert_eq!(build["digest"], demo.record["digest"]);
    let table = demo.place.run(&["builds"]).out;
    assert!(
        table.contains("shoal-rear-0001") && table.contains("2026-05-09"),
        "{table}"
    );
}

#[test]
fn a_sheet_is_printed_on_either_paper_in_its_own_size() {
    let demo = finished("moor-rear");
    for (paper, box_of) in [("a4", "595"), ("letter", "612")] {
        let out = arguments(&demo.place, &format!("{paper}.pdf"));
        let ran = demo
            .place
            .run(&["sheet", "moor-rear-0001", "--paper", paper, "--out", &out]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert!(
            ran.out.contains("finished") && !ran.out.contains("UNFINISHED"),
            "{}",
            ran.out
        );
        let document = lopdf::Document::load(&out).unwrap();
        let page = document.page_iter().next().unwrap();
        let page = document.get_dictionary(page).unwrap();
        let sides = page.get(b"MediaBox").unwrap().as_array().unwrap();
        let width = sides[2].as_float().unwrap().floor().to_string();
        assert_eq!(width, box_of, "210 mm are 595.3 points, 8.5 in are 612");
    }
}

#[test]
fn the_same_record_makes_the_same_sheet_to_the_byte() {
    let demo = finished("moor-rear");
    let kept = fs::read(demo.place.book().join("moor-rear-0001").join("sheet.pdf")).unwrap();
    let out = arguments(&demo.place, "again.pdf");
    demo.place.run(&["sheet", "moor-rear-0001", "--out", &out]);
    assert!(kept == fs::read(out).unwrap(), "the two sheets differ");
}

#[test]
fn an_unfinished_build_is_listed_as_open_and_its_sheet_says_unfinished() {
    let place = Place::new();
    let some: String = answers_of("moor-rear")
        .lines()
        .take(60)
        .map(|line| format!("{line}\n"))
        .collect();
    place
        .answered(&unit_file("moor-rear"), &some, &["--json"])
        .fails(4, &["ends after line 60"]);
    let listed = place.run(&["builds", "--json"]).json();
    // two lines of the file are comments
    assert_eq!(listed["builds"][0]["state"], "open, 58 answered");
    assert!(listed["builds"][0]["finished"].is_null());
    let ran = place.run(&["sheet", "moor-rear-0001"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("UNFINISHED"), "{}", ran.out);
    let text = lopdf::Document::load(place.path("moor-rear-0001.pdf"))
        .unwrap()
        .extract_text(&[1])
        .unwrap();
    assert!(text.to_lowercase().contains("unfinished"), "{text}");
}

#[test]
fn a_build_that_is_not_there_is_not_found() {
    let place = Place::new();
    fs::create_dir(place.book()).unwrap();
    let missing = place.run(&["sheet", "moor-rear-0007"]);
    missing.fails(8, &["no build \"moor-rear-0007\"", "shimwright builds"]);
    finished("moor-rear")
        .place
        .run(&["sheet", "moor-rear-0099"])
        .fails(8, &["no build \"moor-rear-0099\""]);
}

/// A run whose output goes into a pipe that nobody reads any more.
fn into_a_closed_pipe(mut command: Command) -> (Option<i32>, String) {
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    command.stdout(Stdio::from(writer)).stderr(Stdio::piped());
    let ran = command.spawn().unwrap().wait_with_output().unwrap();
    (ran.status.code(), String::from_utf8(ran.stderr).unwrap())
}

#[test]
fn a_pipe_that_is_closed_early_is_no_fault() {
    let demo = finished("moor-rear");
    for arguments in [
        &["builds", "--json"][..],
        &["builds"],
        &["demo"],
        &["--help"],
        &["--version"],
    ] {
        let ran = into_a_closed_pipe(demo.place.program(arguments));
        assert_eq!(ran, (Some(0), String::new()), "{arguments:?}");
    }
}

#[test]
fn work_that_nobody_listens_to_any_more_is_left_unfinished() {
    let place = Place::new();
    let answers = place.write("some.answers", answers_of("moor-rear"));
    let command = place.work(&unit_file("moor-rear"), &["--answers", answers.to_str().unwrap()]);
    assert_eq!(into_a_closed_pipe(command), (Some(7), String::new()));
    assert_eq!(place.entries("moor-rear-0001").len(), 1);
}

#[test]
fn a_build_can_be_shown_after_any_of_its_answers() {
    for demo in DEMOS {
        let (entries, job) = (entries(demo), job(demo));
        for n in (1..entries.len()).step_by(7) {
            let build = Session::resume(job.clone(), &entries[..n]).build("some-0001", "digest");
            assert!(build.finished.is_none(), "{demo} after {n}");
            let summary = lines(&in_short(&build), 80);
            assert!(
                summary.to_lowercase().contains("unfinished"),
                "{demo} after {n}: {summary}"
            );
            if n % 49 == 1 {
                assert!(
                    pdf(&build, Paper::Letter).unwrap().starts_with(b"%PDF"),
                    "{demo} after {n}"
                );
            }
        }
    }
}

#[test]
fn a_wish_that_can_not_be_followed_is_refused_and_not_passed_over() {
    let demo = |name: &str| format!("{}/demo-units/{name}", env!("CARGO_MANIFEST_DIR"));
    for (wish, words) in [
        (&["--keep", "XX=left"][..], "no plate is called XX"),
        (&["--keep", "G4=left"], "plate G4 has been rejected"),
        (&["--without", "ZZ"], "\"ZZ\" is neither a plate nor a thickness"),
        (&["--keep", "G1=left", "--without", "G1"], "in two ways"),
        (&["--keep", "G1=left", "--keep", "G1=right"], "in two ways"),
    ] {
        let output = crate::started::program()
            .args([
                "choose",
                &demo("moor-rear.toml"),
                "--readings",
                &demo("moor-rear-readings.toml"),
            ])
            .args(wish)
            .output()
            .unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(3), "{wish:?}: {said}");
        assert!(said.contains(words), "{wish:?}: {said}");
        assert!(output.stdout.is_empty(), "{wish:?}");
    }
}

#[test]
fn parts_of_which_one_is_enough_are_told_as_an_alternative() {
    let place = Place::new();
    let demo = |name: &str| format!("{}/demo-units/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = fs::read_to_string(demo("moor-drawer.toml")).unwrap();
    let (head, rest) = text.split_once("[[shim]]").unwrap();
    let spares = &rest[rest.find("[[spare]]").unwrap()..];
    fs::write(place.path("drawer.toml"), format!("{head}{spares}")).unwrap();
    let drawer = arguments(&place, "drawer.toml");
    let readings = demo("moor-rear-readings.toml");
    let ran = place.run(&[
        "choose",
        &demo("moor-rear.toml"),
        "--readings",
        &readings,
        "--drawer",
        &drawer,
    ]);
    assert_eq!(ran.code, 10, "{}", ran.err);
    assert_eq!(ran.out.matches("It would fit with").count(), 1, "{}", ran.out);
    assert!(
        ran.out.contains("\nor it would fit with 1 more shim"),
        "{}",
        ran.out
    );
}
