//! Drive days as answers files, and a book to drive from.

use crate::place::{Place, Ran, demo_file};
use std::fs;
use std::sync::OnceLock;

/// A run: the setting, the times as they are typed, and what is felt in the five phases.
pub struct Run<'a> {
    pub setting: &'a str,
    pub times: Vec<String>,
    pub felt: [&'a str; 5],
}

pub fn run<'a>(setting: &'a str, times: &str) -> Run<'a> {
    Run {
        setting,
        times: vec![times.to_string()],
        felt: ["unsaid"; 5],
    }
}

pub const PHASES: [&str; 5] = ["entry", "middle", "power", "lift", "straight"];

/// The answers of a day up to its first run.
pub fn head(on: &str) -> String {
    format!(
        "who = A. Driver (invented)\ndriven-on = {on}\nevent = Test at the invented hill\nday-kind = test\nsurface = dry asphalt\n\
         weather = sunny\nair = 18\nroad = 31\ntyre-sets = soft\ntyre-age/soft = 120 km\n"
    )
}

/// The answers of one run.
pub fn of_run(number: usize, run: &Run<'_>) -> String {
    let Run { setting, times, felt } = run;
    let mut text = format!(
        "run/{number} = next\nrun-build/{number} = {setting}\nrun-tyres/{number} = soft\nrun-pressures/{number} = 1.6 bar\n\
         run-changed/{number} = none\nrun-km/{number} = 12\n"
    );
    for (at, line) in times.iter().enumerate() {
        text.push_str(&format!("times/{number}/{} = {line}\n", at + 1));
    }
    text.push_str(&format!(
        "times/{number}/{} = end\nstruck/{number} = none\n",
        times.len() + 1
    ));
    for (phase, felt) in PHASES.iter().zip(felt) {
        text.push_str(&format!("feel-{phase}/{number} = {felt}\n"));
    }
    text + &format!("run-remark/{number} = none\n")
}

/// The answers of a whole day.
pub fn whole(on: &str, runs: &[Run<'_>]) -> String {
    let mut text = head(on);
    for (at, run) in runs.iter().enumerate() {
        text.push_str(&of_run(at + 1, run));
    }
    text + &format!("run/{} = end\nremarks = none\n", runs.len() + 1)
}

/// A place with a car and two finished builds of one unit, which are built once.
pub fn shop() -> Place {
    static BUILT: OnceLock<Place> = OnceLock::new();
    let built = BUILT.get_or_init(|| {
        let place = Place::new();
        for _ in 0..2 {
            let ran = place.demo("moor-rear", &["--new", "--as-listed"]);
            assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
        }
        place
    });
    let place = Place::new();
    place.write("moor-car.toml", fs::read(demo_file("moor-car.toml")).unwrap());
    for build in [A, B] {
        let folder = place.book().join(build);
        fs::create_dir_all(&folder).unwrap();
        for file in fs::read_dir(built.book().join(build)).unwrap() {
            let file = file.unwrap();
            fs::copy(file.path(), folder.join(file.file_name())).unwrap();
        }
    }
    place
}

pub const A: &str = "moor-rear-0001";
pub const B: &str = "moor-rear-0002";
pub const DAY: &str = "moor-day-0001";

impl Place {
    /// A day with these answers.
    pub fn driven(&self, answers: &str, more: &[&str]) -> Ran {
        self.write("day.answers", answers);
        let words = [
            "day",
            "moor-car.toml",
            "--answers",
            "day.answers",
            "--at",
            "2026-06-01T18:00:00Z",
        ];
        self.run(&[&words[..], more].concat())
    }

    /// What a command says to machines.
    pub fn json(&self, words: &[&str]) -> serde_json::Value {
        let ran = self.run(&[words, &["--json"]].concat());
        assert_eq!(ran.code, 0, "{words:?}: {}{}", ran.out, ran.err);
        ran.json()
    }
}
