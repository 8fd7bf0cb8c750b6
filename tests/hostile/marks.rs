//! Characters that steer a terminal, turn words round or hide, and names without end, in every text that a file or a
//! person can bring: none comes out as it went in, on screen, on paper, in an error or in a report.

use crate::fed::fed;
use portable_pty::{CommandBuilder, PtySize, native_pty_system};
use shimwright::book::Shelf;
use shimwright::procedure::{Job, Procedure, Session};
use shimwright::quantity::hides;
use shimwright::record::Entry;
use shimwright::screen::lines;
use shimwright::sheet::{Paper, in_short, pages};
use shimwright::workshop::{Drawer, Unit, read_instruments};
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

/// Clears the screen, sets the window's title, turns the words round, hides.
const MARKS: &str = "\u{1b}[2J\u{1b}]0;t\u{7}\u{9b}31m\u{202e}\u{2066}\u{200b}\u{ad}\u{feff}\u{7f}";

/// The same as TOML writes it in a text.
fn in_toml() -> String {
    MARKS
        .chars()
        .map(|c| format!("\\u{:04X}", u32::from(c)))
        .collect()
}

fn demo_file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("demo-units")
        .join(name)
}

/// A folder with the demonstration's files, one of which may be changed.
struct Desk(tempfile::TempDir);

impl Desk {
    fn new() -> Desk {
        let desk = Desk(tempfile::tempdir().unwrap());
        for entry in fs::read_dir(demo_file("")).unwrap() {
            let path = entry.unwrap().path();
            fs::copy(&path, desk.path(path.file_name().unwrap().to_str().unwrap())).unwrap();
        }
        let stock = Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures");
        fs::copy(stock.join("full-rebuild.toml"), desk.path("procedure.toml")).unwrap();
        fs::copy(stock.join("uses/hillclimb.toml"), desk.path("use.toml")).unwrap();
        desk
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    fn program(&self, words: &str) -> Command {
        let mut command = crate::started::program();
        command
            .args(words.split(' '))
            .env("SHIMWRIGHT_BOOK", self.path("book"))
            .env("NO_COLOR", "1")
            .current_dir(self.0.path())
            .stdin(Stdio::null());
        command
    }

    fn run(&self, words: &str) -> Output {
        harmless(self.program(words).output().unwrap(), words)
    }
}

impl Desk {
    fn typed(&self, words: &str, keys: &str) -> Output {
        harmless(fed(&mut self.program(words), keys), words)
    }
}

/// Nothing of the marks came through, and nothing fell over.
fn harmless(output: Output, about: &str) -> Output {
    for text in [&output.stdout, &output.stderr] {
        let text = String::from_utf8(text.clone()).unwrap();
        let through = text.chars().find(|c| hides(*c) && *c != '\n');
        assert_eq!(through, None, "{about}: {text:?}");
        assert!(!text.contains("panicked"), "{about}: {text}");
    }
    assert!(output.status.code().is_some(), "{about}");
    output
}

/// Where the texts in quotes of a TOML file end, without those in comments.
fn ends_of_texts(source: &str) -> Vec<usize> {
    let mut ends = Vec::new();
    let mut start = 0;
    for line in source.split_inclusive('\n') {
        let code = line.split(" #").next().unwrap();
        if !code.starts_with('#') && !code.contains("\"\"\"") {
            ends.extend(
                code.match_indices('"')
                    .skip(1)
                    .step_by(2)
                    .map(|(at, _)| start + at),
            );
        }
        start += line.len();
    }
    ends
}

/// Puts the marks, and a name without end, at the end of one text after the other, or of every n-th only.
fn each_text(file: &str, step: usize, runs: &[&str]) {
    let desk = Desk::new();
    let source = desk.read(file);
    let ends = ends_of_texts(&source);
    assert!(ends.len() > 1, "{file}");
    for (n, end) in ends.into_iter().enumerate().step_by(step) {
        let long = if n % 2 == 0 {
            "n".repeat(400)
        } else {
            String::new()
        };
        let spoilt = format!("{}{}{long}{}", &source[..end], in_toml(), &source[end..]);
        fs::write(desk.path(file), &spoilt).unwrap();
        for words in runs {
            desk.run(words);
        }
    }
    // the characters themselves, which a text in TOML may partly hold
    let raw = source
        .replace(" = \"", " = \"\u{202e}\u{200b}")
        .replacen(" = \"", " = \"\u{1b}[2J", 1);
    fs::write(desk.path(file), raw).unwrap();
    for words in runs {
        desk.run(words);
    }
}

const WORK: &str = "work procedure.toml moor-rear.toml --plain --new";

/// What is typed at the first questions, with the why of each.
const FEW: &str = "!why\nA\n!why\nB\n!why\nC\n!why\n100 km\n!why\nyes\n!why\nyes\n!why\n";

#[test]
fn no_text_of_a_unit_file_comes_through() {
    each_text(
        "moor-rear.toml",
        1,
        &["choose moor-rear.toml --readings moor-rear-readings.toml"],
    );
}

#[test]
fn no_text_of_a_drawer_of_instruments_or_of_readings_comes_through() {
    for file in ["moor-drawer.toml", "instruments.toml", "moor-rear-readings.toml"] {
        each_text(
            file,
            1,
            &["choose moor-rear.toml --readings moor-rear-readings.toml"],
        );
    }
}

#[test]
fn no_text_of_a_car_or_of_a_use_comes_through() {
    for file in ["moor-car.toml", "use.toml"] {
        let words = "settle moor-car.toml --use use.toml --unit moor-rear.toml";
        each_text(file, 1, &[words, &format!("{words} --json")]);
    }
}

#[test]
fn no_text_of_a_procedure_comes_through() {
    let desk = Desk::new();
    // every eleventh text by itself, and then all words at once
    let source = desk.read("procedure.toml");
    for end in ends_of_texts(&source).into_iter().step_by(11) {
        let spoilt = format!("{}{}{}", &source[..end], in_toml(), &source[end..]);
        fs::write(desk.path("procedure.toml"), spoilt).unwrap();
        desk.typed(WORK, FEW);
    }
    let mut all = String::new();
    for line in source.lines() {
        let words = ["words = \"", "why = \"", "title = \""]
            .iter()
            .any(|key| line.starts_with(key));
        match line
            .strip_suffix('"')
            .filter(|open| words && !open.ends_with('"'))
        {
            Some(open) => all.push_str(&format!("{open}{}\"\n", in_toml())),
            None => all.push_str(&format!("{line}\n")),
        }
    }
    fs::write(desk.path("procedure.toml"), all).unwrap();
    let ran = desk.typed(WORK, FEW);
    let shown = String::from_utf8_lossy(&ran.stdout).into_owned();
    assert!(shown.contains("[U+001B]"), "{shown}");
    desk.run("builds");
    desk.run("builds --json");
    desk.run("sheet moor-rear-0001 --json");
}

/// Answers that are words of a person's own, with the marks behind them.
fn spoilt_answers() -> String {
    let text = fs::read_to_string(demo_file("fell-front.answers")).unwrap();
    let long = "w".repeat(300);
    text.lines()
        .map(|line| {
            let slot = line.split(" = ").next().unwrap();
            let words = line.contains("!note ")
                || line.contains("!skip ")
                || [
                    "who",
                    "car",
                    "reason",
                    "found-oil",
                    "found-debris",
                    "sign-built",
                    "sign-checked",
                ]
                .contains(&slot);
            match line.split_once(" = ") {
                Some(_) if words => format!("{line} {MARKS} {long}\n"),
                _ => format!("{line}\n"),
            }
        })
        .collect()
}

#[test]
fn no_typed_answer_comes_through_on_screen_on_paper_or_in_a_report() {
    let desk = Desk::new();
    fs::write(desk.path("all.answers"), spoilt_answers()).unwrap();
    let name = format!("name = \"Fell{}\"", in_toml());
    let unit = desk.read("fell-front.toml");
    let old = unit.lines().find(|line| line.starts_with("name = ")).unwrap();
    fs::write(desk.path("fell-front.toml"), unit.replacen(old, &name, 1)).unwrap();
    let ran = desk.run("work full-rebuild fell-front.toml --answers all.answers");
    assert_eq!(
        ran.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&ran.stderr)
    );
    for words in [
        "builds",
        "builds --json",
        "sheet fell-front-0001 --json",
        "sheet fell-front-0001 --paper letter",
    ] {
        let ran = desk.run(words);
        assert_eq!(
            ran.status.code(),
            Some(0),
            "{words}: {}",
            String::from_utf8_lossy(&ran.stderr)
        );
    }
    let shelf = Shelf::look(&desk.path("book")).unwrap();
    let id = "fell-front-0001".parse().unwrap();
    let text = |name: &str| String::from_utf8(shelf.file(&id, name).unwrap()).unwrap();
    let job = Job {
        unit: Unit::read("unit", &text("unit.toml")).unwrap(),
        drawer: Drawer::read("drawer", &text("drawer.toml")).unwrap(),
        instruments: read_instruments("instruments", &text("instruments.toml")).unwrap(),
        procedure: Procedure::read("procedure", &text("procedure.toml")).unwrap(),
        rework: None,
        last: None,
    };
    let reading = shelf.read(&id).unwrap();
    let entries: Vec<Entry> = reading
        .entries
        .iter()
        .map(|text| Entry::from_json(text).unwrap())
        .collect();
    let build = Session::resume(job, &entries).build("fell-front-0001", "");
    let mut seen = 0;
    for paper in [Paper::A4, Paper::Letter] {
        for page in pages(&build, paper) {
            let text = page.text();
            let through = text.chars().find(|c| hides(*c) && *c != '\n');
            assert_eq!(through, None, "{text:?}");
            seen += text.matches("[U+202E]").count();
        }
    }
    // shown, and not left out
    assert!(seen > 10, "{seen}");
    assert!(
        !lines(&in_short(&build), 80)
            .chars()
            .any(|c| hides(c) && c != '\n')
    );
}

#[test]
fn what_is_typed_wrong_is_shown_harmless_in_plain_lines() {
    let desk = Desk::new();
    let mut keys = String::new();
    let long = "z".repeat(3_000);
    for line in [
        MARKS,
        "A",
        "B",
        MARKS,
        "why",
        &format!("!note {MARKS}"),
        &format!("!{MARKS}"),
        "yes",
        &long,
        MARKS,
    ] {
        keys.push_str(&format!("{line}\n"));
    }
    let ran = desk.typed("work full-rebuild moor-rear.toml --plain", &keys);
    let shown = String::from_utf8_lossy(&ran.stdout).into_owned();
    assert!(shown.contains("[U+202E]"), "{shown}");
}

#[test]
fn no_text_of_a_file_comes_through_on_a_terminal() {
    let desk = Desk::new();
    let unit = desk.read("moor-rear.toml");
    fs::write(
        desk.path("moor-rear.toml"),
        unit.replacen("Moor rear", &format!("Moor{}", in_toml()), 1),
    )
    .unwrap();
    let source = shimwright::procedure::stock("full-rebuild").unwrap();
    let mut all = String::new();
    for line in source.lines() {
        let words = line
            .strip_suffix('"')
            .filter(|open| open.starts_with("words = \"") && !open.ends_with('"'));
        match words {
            Some(open) => all.push_str(&format!("{open}{}\"\n", in_toml())),
            None => all.push_str(&format!("{line}\n")),
        }
    }
    fs::write(desk.path("procedure.toml"), all).unwrap();
    let size = PtySize {
        rows: 40,
        cols: 80,
        pixel_width: 0,
        pixel_height: 0,
    };
    let pair = native_pty_system().openpty(size).unwrap();
    let mut command = CommandBuilder::new(crate::started::program().get_program());
    for (name, value) in crate::started::around() {
        command.env(name, value);
    }
    command.args(["work", "procedure.toml", "moor-rear.toml"]);
    command.cwd(desk.0.path());
    command.env("SHIMWRIGHT_BOOK", desk.path("book"));
    command.env("TERM", "xterm-256color");
    let mut child = pair.slave.spawn_command(command).unwrap();
    drop(pair.slave);
    let mut reader = pair.master.try_clone_reader().unwrap();
    let (sender, bytes) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        let mut part = [0; 4096];
        while let Ok(n @ 1..) = reader.read(&mut part) {
            if sender.send(part[..n].to_vec()).is_err() {
                break;
            }
        }
    });
    let mut seen = Vec::new();
    let start = Instant::now();
    while !String::from_utf8_lossy(&seen).contains("[U+202E]") {
        assert!(
            start.elapsed() < Duration::from_secs(60),
            "{:?}",
            String::from_utf8_lossy(&seen)
        );
        if let Ok(part) = bytes.recv_timeout(Duration::from_millis(200)) {
            seen.extend(part);
        }
    }
    child.kill().unwrap();
    child.wait().unwrap();
    let seen = String::from_utf8_lossy(&seen).into_owned();
    for mark in [
        "\u{1b}[2J",
        "\u{1b}]0;t",
        "\u{9b}",
        "\u{202e}",
        "\u{2066}",
        "\u{200b}",
        "\u{ad}",
        "\u{feff}",
    ] {
        assert!(!seen.contains(mark), "{mark:?} in {seen:?}");
    }
}
