//! The note of what is still to be done for a finished build: where it counts, and that the drawer is counted down once.

use crate::ended::last_answer;
use crate::kit::{BUILD, Bench, Ran, whole};
use std::fs;
use std::path::Path;

/// A build that was finished when the power went, with the note of it.
fn cut_short() -> Bench {
    let lines = whole().lines.len();
    let bench = Bench::after(lines, "");
    bench.noted_at(lines - 2, &bench.path("files/drawer.toml"));
    bench
}

/// `work` on another unit: it begins a build and stops at its first question.
fn other_unit(bench: &Bench) -> Ran {
    let unit = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-units/moor-rear.toml");
    let mut command = bench.program(&["work", "bench-check"]);
    fs::write(bench.path("files/none.answers"), "").unwrap();
    command.arg(unit).args(["--answers", "files/none.answers"]);
    command.output().unwrap().into()
}

fn copied(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
    }
}

#[test]
fn a_folder_that_is_put_back_counts_no_drawer_down_again() {
    let bench = cut_short();
    // someone saves the folder of the build just now
    let saved = bench.path("files/saved");
    copied(&bench.folder(), &saved);
    assert_eq!(bench.run(&[]).code, 0);
    assert_eq!(bench.drawer(), whole().drawer);
    fs::remove_dir_all(bench.folder()).unwrap();
    copied(&saved, &bench.folder());
    for _ in 0..2 {
        other_unit(&bench);
        assert_eq!(bench.drawer(), whole().drawer);
    }
    // and in another book it says nothing either
    let other = Bench::new();
    copied(&saved, &other.folder());
    let before = other.drawer();
    other_unit(&other);
    assert_eq!(other.drawer(), before);
}

#[test]
fn a_note_in_the_folder_of_a_build_is_told_and_not_followed() {
    let lines = whole().lines.len();
    let bench = Bench::after(lines, "");
    let before = bench.drawer();
    let note = format!("drawer {}\n", bench.path("files/drawer.toml").display());
    fs::write(bench.folder().join("to-close"), note).unwrap();
    let ran = other_unit(&bench);
    assert!(
        ran.err.contains("to-close is a note of an older program"),
        "{}",
        ran.err
    );
    assert_eq!(bench.drawer(), before);
    let checked = bench.run_program(&["check", BUILD]);
    let words = checked.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("nothing follows it"), "{}", checked.out);
}

#[test]
fn a_note_for_other_lines_is_told_and_not_followed() {
    for spoil in ["lines", "digest", "correction"] {
        let bench = cut_short();
        let before = bench.drawer();
        let text = fs::read_to_string(bench.to_do()).unwrap();
        let lines = whole().lines.len() - 2;
        match spoil {
            "lines" => bench.noted_at(lines - 1, &bench.path("files/drawer.toml")),
            "digest" => fs::write(
                bench.to_do(),
                text.replace(&format!("{lines} "), &format!("{lines} 0")),
            )
            .unwrap(),
            _ => {
                let words = ["correct", BUILD, "car", "Fell 4", "--reason", "r", "--by", "A"];
                let ran = bench.run_program(&words);
                assert_eq!(ran.code, 0, "{}", ran.err);
            }
        }
        let ran = other_unit(&bench);
        assert!(
            ran.err.contains("is not the one that this was noted for"),
            "{spoil}: {}",
            ran.err
        );
        assert_eq!(bench.drawer(), before, "{spoil}");
    }
}

#[test]
fn a_drawer_that_is_not_this_jobs_is_written_to_only_where_a_person_says_so() {
    let bench = cut_short();
    let before = bench.drawer();
    let checked = bench.run_program(&["check", BUILD]);
    let words = checked.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains("its closing was cut short") && words.contains("drawer.toml"),
        "{}",
        checked.out
    );
    let ran = other_unit(&bench);
    assert!(ran.err.contains("this job's is another"), "{}", ran.err);
    assert_eq!(bench.drawer(), before);
    // the unit's own command does it
    assert_eq!(bench.run(&[]).code, 0);
    assert_eq!(bench.drawer(), whole().drawer);
    assert!(!bench.to_do().exists());
}

#[test]
fn a_short_drawer_is_said_to_have_given_only_what_it_gave() {
    let bench = Bench::after(whole().lines.len() - 2, "");
    fs::write(
        bench.path("files/drawer.toml"),
        "format = \"shimwright drawer 1\"\n",
    )
    .unwrap();
    // without --json, where it is said
    let work = bench.work(&last_answer());
    let arguments = work.get_args().filter(|one| *one != "--json");
    let ran: Ran = bench.program(&[]).args(arguments).output().unwrap().into();
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("It was not in the drawer's file any more"),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("Taken out of"), "{}", ran.out);
}
