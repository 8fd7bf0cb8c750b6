//! The command: a run from a file, what it tells, where it is kept, and what the ordinary commands make of it.

use crate::mechanic::{AT, Habits, Run, work};
use serde_json::Value;
use shimwright::practice::GeneratedUnit;
use shimwright::record::GeneratedFrom;
use shimwright::sheet::{Paper, pages};
use shimwright::workshop::Chapter;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Output, Stdio};
use tempfile::TempDir;

pub struct Place {
    dir: TempDir,
}

impl Place {
    pub fn new() -> Place {
        Place {
            dir: TempDir::new().unwrap(),
        }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        crate::started::program()
            .args(arguments)
            .env("SHIMWRIGHT_BOOK", self.path("book"))
            .env("NO_COLOR", "1")
            .current_dir(self.dir.path())
            .stdin(Stdio::null())
            .output()
            .unwrap()
    }

    /// A run of practice with these answers.
    pub fn practise(&self, made: GeneratedFrom, answers: &str, more: &[&str]) -> Output {
        fs::write(self.path("some.answers"), answers).unwrap();
        let (level, seed) = (made.level.to_string(), made.seed.to_string());
        let mut arguments = vec!["practise", "--level", &level, "--seed", &seed, "--at", AT];
        arguments.extend(["--answers", "some.answers"]);
        arguments.extend(more);
        self.run(&arguments)
    }
}

pub fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

pub fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

pub fn json(output: &Output) -> Value {
    assert_eq!(output.status.code(), Some(0), "{}", err(output));
    let said = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(crate::shapes::faults(&said), [""; 0]);
    said
}

pub const MADE: GeneratedFrom = GeneratedFrom {
    level: 2,
    seed: 3,
    edition: GeneratedFrom::EDITION,
};
pub const RUN: &str = "practice-level-2-seed-3-0001";

pub fn worked(habits: Habits) -> Run {
    work(&GeneratedUnit::new(MADE).unwrap(), habits)
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
    }
}

#[test]
fn a_run_from_a_file_finds_what_the_engine_alone_finds() {
    let place = Place::new();
    let careful = worked(Habits::default());
    let told = json(&place.practise(MADE, &careful.answers, &["--json"]));
    assert_eq!(told["practice"], true);
    assert_eq!(told["run"], RUN);
    assert_eq!(told["found"].as_array().unwrap().len(), 2);
    assert_eq!(told["missed"].as_array().unwrap().len(), 0);
    assert_eq!(told["verdict"], "inside");
    let whats: Vec<&str> = careful
        .outcome
        .found
        .iter()
        .map(|line| line.what.as_str())
        .collect();
    assert_eq!(told["found"][0]["what"], whats[0]);
    // the careless run of the same unit is another run, and the list shows both
    let careless = place.practise(MADE, &worked(Habits::CARELESS).answers, &[]);
    assert_eq!(careless.status.code(), Some(0), "{}", err(&careless));
    let text = out(&careless);
    assert!(text.contains("Found 0 of 2, missed 2"), "{text}");
    assert_eq!(text.matches("\nMISSED: ").count(), 2, "{text}");
    assert!(
        text.contains("MISREAD: ") && text.contains("more like these"),
        "{text}"
    );
    let past = out(&place.run(&["practise", "--past"]));
    assert!(past.contains("2 of 2") && past.contains("0 of 2"), "{past}");
    assert!(
        past.contains("By kind of fault") && past.contains("\nNext\nshimwright practise --"),
        "{past}"
    );
    let past = json(&place.run(&["practise", "--past", "--json"]));
    assert_eq!(past["runs"].as_array().unwrap().len(), 2);
    assert_eq!(past["progress"]["finished_runs"], 2);
    let met: u64 = past["progress"]["kinds"]
        .as_array()
        .unwrap()
        .iter()
        .map(|kind| kind["met"].as_u64().unwrap())
        .sum();
    assert_eq!(met, 4);
    // nobody of that name, and a page for the master
    let nobody = json(&place.run(&["practise", "--past", "--by", "Nobody", "--json"]));
    assert_eq!(nobody["runs"].as_array().unwrap().len(), 0);
    let page = place.run(&["practise", "--past", "--by", "a. prentice", "--sheet", "far.pdf"]);
    assert_eq!(page.status.code(), Some(0), "{}", err(&page));
    assert!(fs::read(place.path("far.pdf")).unwrap().starts_with(b"%PDF"));
}

#[test]
fn practice_is_kept_beside_the_book_and_the_book_stays_empty() {
    let place = Place::new();
    let ran = place.practise(MADE, &worked(Habits::default()).answers, &[]);
    assert_eq!(ran.status.code(), Some(0), "{}", err(&ran));
    assert!(place.path("practice").join(RUN).join("sheet.pdf").is_file());
    assert!(!place.path("book").exists());
    fs::create_dir(place.path("book")).unwrap();
    assert!(out(&place.run(&["builds"])).starts_with("No builds yet"));
    assert_eq!(place.run(&["sheet", RUN]).status.code(), Some(8));
}

#[test]
fn a_run_that_is_copied_into_the_book_is_known_for_what_it_is() {
    let place = Place::new();
    place.practise(MADE, &worked(Habits::default()).answers, &[]);
    // under another name, too
    let there = place.path("book").join("moor-rear-0001");
    copy(&place.path("practice").join(RUN), &there);
    let sheet = place.run(&["sheet", "moor-rear-0001"]);
    assert_eq!(sheet.status.code(), Some(8));
    assert!(err(&sheet).contains("is practice on an invented unit, and no record of a real one"));
    assert!(!place.path("moor-rear-0001.pdf").exists());
    let builds = out(&place.run(&["builds"]));
    assert!(builds.contains("practice"), "{builds}");
}

#[test]
fn every_question_and_every_page_says_that_it_is_practice() {
    let run = worked(Habits::default());
    let build = run.session.build(RUN, &"0".repeat(64));
    let sheet = pages(&build, Paper::A4);
    assert!(sheet.len() > 1);
    for page in &sheet {
        assert!(page.text().contains("PRACTICE, no real unit"), "{}", page.text());
    }
    let place = Place::new();
    fs::write(place.path("typed"), "A. Prentice\nyes\nyes\n!look\n!take\n").unwrap();
    let plain = crate::started::program()
        .args([
            "practise",
            "--level",
            "2",
            "--seed",
            "3",
            "--start-at",
            "begin",
            "--plain",
        ])
        .env("SHIMWRIGHT_BOOK", place.path("book"))
        .stdin(fs::File::open(place.path("typed")).unwrap())
        .output()
        .unwrap();
    let text = out(&plain);
    assert_eq!(plain.status.code(), Some(7), "{text}");
    let steps: Vec<&str> = text.lines().filter(|line| line.starts_with("Step ")).collect();
    assert!(steps.len() > 4);
    for step in steps {
        assert!(step.contains("· PRACTICE, no real unit ·"), "{step}");
    }
    // an unfinished run keeps its secrets
    assert!(!text.contains("FOUND") && !text.contains("MISSED"), "{text}");
}

#[test]
fn a_run_that_was_left_is_gone_on_with() {
    let place = Place::new();
    let answers = worked(Habits::default()).answers;
    let lines: Vec<&str> = answers.lines().collect();
    let (first, rest) = lines.split_at(30);
    let left = place.practise(
        MADE,
        &format!(
            "{}\n{} = !pause\n",
            first.join("\n"),
            rest[0].split(" =").next().unwrap()
        ),
        &[],
    );
    assert_eq!(left.status.code(), Some(7), "{}", err(&left));
    let rest = format!("format = shimwright answers 2\n{}", rest.join("\n"));
    let told = json(&place.practise(MADE, &rest, &["--json"]));
    assert_eq!(told["run"], RUN);
    assert_eq!(told["found"].as_array().unwrap().len(), 2);
}

#[test]
fn the_next_seed_is_the_one_after_the_highest() {
    let place = Place::new();
    place.practise(MADE, "who = A\n", &[]);
    fs::write(place.path("one.answers"), "who = !pause\n").unwrap();
    let next = place.run(&["practise", "--level", "2", "--new", "--answers", "one.answers"]);
    assert!(
        out(&next).contains("PRACTICE, level 2, seed 4."),
        "{}",
        out(&next)
    );
}

#[test]
fn a_level_that_there_is_not_and_a_book_called_practice_are_refused() {
    let place = Place::new();
    assert_eq!(place.run(&["practise", "--level", "5"]).status.code(), Some(2));
    let book = place.path("practice");
    let refused = place.run(&["practise", "--past", "--book", book.to_str().unwrap()]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(err(&refused).contains("--book DIR"), "{}", err(&refused));
}

/// Words without their lines, and without the numbers of steps, which other steps change.
fn flowing(text: &str) -> String {
    let words = text.split_whitespace();
    words
        .map(|word| if word.parse::<u32>().is_ok() { "N" } else { word })
        .collect::<Vec<_>>()
        .join(" ")
}

#[test]
fn the_guide_shows_units_that_are_never_dealt_first_and_shows_them_as_they_are() {
    let part = Chapter::find("practice").unwrap().text;
    let seeds: Vec<u64> = part
        .match_indices("--seed ")
        .filter_map(|(at, found)| {
            part[at + found.len()..]
                .split(|c: char| !c.is_ascii_digit())
                .next()?
                .parse()
                .ok()
        })
        .collect();
    let [look, debrief] = seeds.as_slice() else {
        panic!("{seeds:?}")
    };
    // they are dealt one after another, from 1
    assert!(*look >= 1000 && *debrief >= 1000, "{seeds:?}");
    let blocks: Vec<&str> = part
        .split("```")
        .skip(1)
        .step_by(2)
        .map(|block| block.trim_start_matches("text"))
        .collect();
    let made = GeneratedFrom::newest(1, *look);
    let place = Place::new();
    let answers = work(&GeneratedUnit::new(made).unwrap(), Habits::default()).answers;
    let with = |words: &str| {
        blocks
            .iter()
            .copied()
            .find(|block| block.contains(words))
            .unwrap()
    };
    let (in_hand, scored) = (with("!take"), with("Score: "));
    // the plate that is taken into the hand
    let plate = in_hand.lines().find_map(|line| line.strip_prefix("> ")).unwrap();
    let place_of_it = format!("plate-look/{}", plate.to_uppercase());
    let (before, _) = answers.split_once(&place_of_it).unwrap();
    place.practise(made, before, &[]);
    fs::write(place.path("typed"), format!("yes\n{plate}\n!look\n!take\n")).unwrap();
    let seed = look.to_string();
    let plain = crate::started::program()
        .args(["practise", "--level", "1", "--seed", &seed, "--plain"])
        .env("SHIMWRIGHT_BOOK", place.path("book"))
        .stdin(fs::File::open(place.path("typed")).unwrap())
        .output()
        .unwrap();
    let shown = flowing(&out(&plain).replace("(!help shows what else can be typed)\n", ""));
    // what is typed stands there as it is typed at a terminal
    let typed = [plate, "!look", "!take"].map(|line| format!("> {line}\n"));
    let block = typed.iter().fold(in_hand.to_string(), |block, line| {
        block.replace(line.as_str(), ">\0")
    });
    for part in block.split('\0') {
        assert!(
            shown.contains(&flowing(part)),
            "{part}\nis not in\n{}",
            out(&plain)
        );
    }
    let made = GeneratedUnit::new(GeneratedFrom::newest(1, *debrief)).unwrap();
    let place = Place::new();
    let careless = place.practise(made.made(), &work(&made, Habits::COPYING).answers, &[]);
    let told = out(&careless);
    assert!(
        flowing(&told).contains(&flowing(scored)),
        "{}\nis not in\n{told}",
        scored
    );
}
