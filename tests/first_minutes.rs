//! The first minutes of somebody new: the bare command, the manual page, completions, and what errors say to do next.

// a test that fails is meant to stop
#![allow(clippy::unwrap_used)]

#[path = "support/commands.rs"]
mod commands;
#[path = "support/skipped.rs"]
mod skipped;
#[path = "support/started.rs"]
mod started;

use crate::commands::commands_in;
use crate::skipped::skipped;
use shimwright::workshop::Chapter;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn run(book: &Path, arguments: &[&str]) -> Output {
    started::program()
        .args(arguments)
        .env("SHIMWRIGHT_BOOK", book)
        .current_dir(root())
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// The bare command's page; it must be there, fit a screen and end well whatever the book is like.
fn page(book: &Path) -> String {
    let output = run(book, &[]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    assert!(output.stderr.is_empty(), "{output:?}");
    let page = text(&output.stdout);
    // the prompt of the shell takes the last of 24 lines
    assert!(page.lines().count() < 24, "{page}");
    for line in page.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    page
}

fn commands() -> BTreeSet<String> {
    let help = text(&run(Path::new("nowhere"), &["--help"]).stdout);
    commands_in(&help).into_iter().collect()
}

/// Leaves a build of the moor unit unfinished.
fn begin(book: &Path) {
    let folder = TempDir::new().unwrap();
    let answers = folder.path().join("few.answers");
    fs::write(&answers, "who = R. Example\ncar = Moor\nreason = !pause\n").unwrap();
    let unit = "demo-units/moor-rear.toml";
    let output = run(
        book,
        &[
            "work",
            "full-rebuild",
            unit,
            "--new",
            "--answers",
            answers.to_str().unwrap(),
        ],
    );
    assert_eq!(output.status.code(), Some(7), "{output:?}");
}

#[test]
fn the_bare_command_says_how_to_begin_and_names_every_command() {
    let folder = TempDir::new().unwrap();
    let page = page(&folder.path().join("book"));
    let one_line = page.split_whitespace().collect::<Vec<_>>().join(" ");
    for command in commands() {
        assert!(one_line.contains(&command), "{command} is missing in\n{page}");
    }
    assert_eq!(
        page.lines()
            .filter(|line| line.starts_with("  shimwright "))
            .count(),
        4,
        "{page}"
    );
    assert!(page.contains("The book is empty"), "{page}");
    assert!(!folder.path().join("book").exists(), "looking made a book");
}

#[test]
fn the_bare_command_names_what_is_unfinished() {
    let folder = TempDir::new().unwrap();
    begin(folder.path());
    let page = page(folder.path());
    assert!(
        page.contains("  moor-rear-0001  Moor rear, Full rebuild, begun 20"),
        "{page}"
    );
    assert!(page.contains("open, 2 answered"), "{page}");
    for _ in 0..5 {
        begin(folder.path());
    }
    assert!(self::page(folder.path()).contains("and 2 more: `shimwright builds`"));
}

#[test]
fn a_damaged_book_is_told_and_does_not_stop_the_bare_command() {
    let folder = TempDir::new().unwrap();
    begin(folder.path());
    let journal = folder.path().join("moor-rear-0001/journal.jsonl");
    let whole = fs::read_to_string(&journal).unwrap();
    fs::write(&journal, whole.replacen("R. Example", "X. Example", 1)).unwrap();
    assert!(
        page(folder.path()).contains("Damaged or not readable: 1"),
        "{}",
        page(folder.path())
    );
    let file = folder.path().join("file");
    fs::write(&file, "no folder").unwrap();
    assert!(
        page(&file).contains("The book can not be read"),
        "{}",
        page(&file)
    );
}

#[test]
fn the_book_is_named_before_or_behind_the_command_and_an_empty_name_is_none() {
    let folder = TempDir::new().unwrap();
    let home = TempDir::new().unwrap();
    let book = folder.path().to_str().unwrap();
    let named = |arguments: &[&str], env: &str| {
        let ran = started::program()
            .args(arguments)
            .env("SHIMWRIGHT_BOOK", env)
            .env("HOME", home.path())
            .env_remove("XDG_DATA_HOME")
            .output()
            .unwrap();
        (ran.status.code(), text(&ran.stdout) + &text(&ran.stderr))
    };
    for arguments in [
        &["--book", book][..],
        &["--book", book, "builds"],
        &["builds", "--book", book],
        &["builds", "--json", "--book", book],
    ] {
        for env in ["", "/nowhere/at/all"] {
            assert_eq!(named(arguments, env).0, Some(0), "{arguments:?} {env:?}");
        }
    }
    // before the command it counts more than the environment, too
    let (_, told) = named(&["--book", book, "builds"], "/nowhere/at/all");
    assert!(told.contains(&format!("No builds yet in {book}")), "{told}");
    // an empty one stops nothing: the usual book, which need not be there
    for arguments in [&["builds"][..], &["fleet"], &["procedures"]] {
        let (code, told) = named(arguments, "");
        assert_eq!(code, Some(0), "{arguments:?}: {told}");
    }
}

#[test]
fn a_book_that_was_named_and_is_not_there_is_said_so() {
    for arguments in [
        &["builds"][..],
        &["fleet"],
        &["export", "builds"],
        &["sheet", "a-0001"],
        &["check", "a-0001"],
        &["wear", "a"],
        &["between", "a-0001", "a-0002"],
        &["sign", "a-0001", "--key", "none"],
        &["correct", "a-0001", "q", "1", "--reason", "r", "--by", "A"],
    ] {
        let ran = run(Path::new("/nowhere/at/all"), arguments);
        let told = text(&ran.stderr);
        if arguments[0] == "sign" {
            assert_eq!(ran.status.code(), Some(3), "{told}");
            continue;
        }
        assert_eq!(ran.status.code(), Some(5), "{arguments:?}: {told}");
        assert!(told.contains("there is no book in /nowhere/at/all"), "{told}");
    }
}

#[test]
fn what_the_system_refuses_gets_a_hint_that_helps() {
    let folder = TempDir::new().unwrap();
    let long = folder.path().join("n".repeat(300));
    fs::write(folder.path().join("file"), "x").unwrap();
    let below = folder.path().join("file/book");
    let (long, below) = (long.to_str().unwrap(), below.to_str().unwrap());
    let unit = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-units/moor-rear.toml");
    for (arguments, hint) in [
        (
            &["work", "bench-check", unit, "--book", long][..],
            "too long for this disk",
        ),
        (
            &["work", "bench-check", unit, "--book", below],
            "is a file and no folder",
        ),
        (
            &["work", "bench-check", unit, "--drawer", long],
            "too long for this disk",
        ),
        (
            &["work", "bench-check", unit, "--drawer", below],
            "is a file and no folder",
        ),
        (
            &["work", "bench-check", unit, "--drawer", "/dev/zero"],
            "is it the right file?",
        ),
    ] {
        let ran = run(folder.path(), arguments);
        let told = text(&ran.stdout) + &text(&ran.stderr);
        assert!(told.contains(hint), "{arguments:?}: {told}");
        assert!(!told.contains("disk is not full"), "{arguments:?}: {told}");
    }
}

#[cfg(unix)]
#[test]
fn a_pipe_that_nobody_writes_to_and_a_time_zone_without_end_are_not_waited_for() {
    let folder = TempDir::new().unwrap();
    let pipe = folder.path().join("pipe");
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let book = folder.path().join("book");
    fs::create_dir(&book).unwrap();
    fs::rename(&pipe, book.join("allowed_signers")).unwrap();
    assert!(Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let unit = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-units/moor-rear.toml");
    let pipe = pipe.to_str().unwrap();
    for arguments in [
        &["work", "bench-check", unit, "--drawer", pipe][..],
        &["lint", pipe],
        &["check", "a-0001", "--signers", pipe],
        &["check", "a-0001"],
        &["procedures"],
    ] {
        let mut command = Command::new("timeout");
        command
            .arg("20")
            .arg(started::program().get_program())
            .args(arguments)
            .env("SHIMWRIGHT_BOOK", &book);
        let ran = command.output().unwrap();
        assert_ne!(ran.status.code(), Some(124), "{arguments:?} hangs");
        if arguments[0] != "procedures" {
            assert!(
                text(&ran.stderr).contains("is not a plain file") || arguments[0] == "lint",
                "{arguments:?}"
            );
        }
    }
    let mut command = Command::new("timeout");
    command
        .arg("20")
        .arg(started::program().get_program())
        .args(["work", "bench-check", unit, "--plain"])
        .env("SHIMWRIGHT_BOOK", folder.path().join("other"))
        .env("TZ", "/dev/zero")
        .stdin(Stdio::null());
    assert_ne!(command.output().unwrap().status.code(), Some(124));
}

#[test]
fn the_manual_page_has_every_command_and_option() {
    let book = Path::new("nowhere");
    // fonts and escaped dashes aside
    let page = text(&run(book, &["man"]).stdout)
        .replace("\\-", "-")
        .replace("\\fB", "")
        .replace("\\fI", "")
        .replace("\\fR", "");
    assert!(page.starts_with(".TH SHIMWRIGHT 1 "), "{page}");
    for command in commands() {
        assert!(
            page.contains(&format!("\n.SS {command}\n")),
            "{command} has no head"
        );
        let part = page.split_once(&format!("\n.SS {command}\n")).unwrap().1;
        let part = part.split_once("\n.SS ").map_or(part, |(part, _)| part);
        for line in text(&run(book, &[command.as_str(), "--help"]).stdout).lines() {
            let Some(option) = line.trim().strip_prefix("--") else {
                continue;
            };
            let option = format!("--{}", option.split([' ', '=']).next().unwrap());
            assert!(
                part.contains(&option),
                "{command}: {option} is missing in\n{part}"
            );
        }
    }
}

#[test]
fn the_readers_of_manual_pages_find_nothing_wrong() {
    let folder = TempDir::new().unwrap();
    let pages = folder.path().to_str().unwrap();
    assert_eq!(
        run(folder.path(), &["man", "--out", pages]).status.code(),
        Some(0)
    );
    let mut files: Vec<_> = fs::read_dir(pages)
        .unwrap()
        .map(|file| file.unwrap().path())
        .collect();
    files.sort();
    assert_eq!(files.len(), commands().len() + 1);
    let readers: [(&str, &[&str]); 2] = [
        ("groff", &["-man", "-ww", "-z", "-Tutf8"]),
        ("mandoc", &["-Tlint", "-Wwarning"]),
    ];
    for (reader, arguments) in readers {
        match Command::new(reader).args(arguments).args(&files).output() {
            Ok(output) => assert!(
                output.status.success() && output.stdout.is_empty() && output.stderr.is_empty(),
                "{reader}: {output:?}"
            ),
            Err(error) => skipped(&format!("{reader} does not read the manual page: {error}")),
        }
    }
}

/// What asks a person, or wants what the examples before it do not leave: its arguments are understood, and that is all.
const NOT_WHOLE: [&str; 13] = [
    "work full-rebuild try/moor-rear.toml",
    "new-unit",
    "new-unit --closed moor.toml",
    "new-car",
    "new-car moor-car.toml",
    "day try/moor-car.toml",
    "practise --level 1",
    "import old.csv --unit try/moor-rear.toml --check",
    "key new bench-key --as \"Ada Example\"",
    "key line bench-key --as \"Ada Example\"",
    "key rotate bench-key new-key",
    "check --photo sheet.jpg",
    "adopt --removed moor-rear-0009 --by \"Ada Example\" --reason \"a trial\"",
];

#[test]
fn each_command_has_a_page_and_examples_that_run() {
    let folder = TempDir::new().unwrap();
    let at = |words: &[String]| {
        started::program()
            .args(words)
            .current_dir(folder.path())
            .env("SHIMWRIGHT_BOOK", "output/demo-book")
            .stdin(Stdio::null())
            .output()
            .unwrap()
    };
    for words in ["demo --files try", "demo --history"] {
        let output = at(&split(words));
        assert_eq!(output.status.code(), Some(0), "{words}: {output:?}");
    }
    fs::create_dir(folder.path().join("pages")).unwrap();
    let pages = at(&split("man --into pages"));
    assert_eq!(pages.status.code(), Some(0), "{pages:?}");
    for command in commands() {
        let help = text(&at(&[command.clone(), "--help".to_string()]).stdout);
        let (_, lines) = help
            .split_once("Such as:\n")
            .unwrap_or_else(|| panic!("{command} has no example: {help}"));
        let page = fs::read_to_string(folder.path().join(format!("pages/shimwright-{command}.1"))).unwrap();
        for head in [
            "NAME",
            "SYNOPSIS",
            "DESCRIPTION",
            "OPTIONS",
            "EXAMPLES",
            "FILES",
            "EXIT STATUS",
        ] {
            assert!(page.contains(&format!("\n.SH {head}\n")), "{command}: no {head}");
        }
        for line in lines.lines().map_while(|line| line.strip_prefix("  shimwright ")) {
            assert!(
                page.replace("\\-", "-").replace("\\(dq", "\"").contains(line),
                "{line}"
            );
            let output = at(&split(line));
            let code = output.status.code().unwrap();
            let whole =
                !NOT_WHOLE.contains(&line) && !["parts", "void", "sign", "check"].contains(&command.as_str());
            assert!(
                !text(&output.stderr).contains("says what it takes"),
                "{line}: {output:?}"
            );
            assert!(!whole || code == 0, "{line}: {output:?}");
        }
    }
}

/// Words as a shell parts them.
fn split(line: &str) -> Vec<String> {
    line.split('"')
        .enumerate()
        .flat_map(|(n, part)| match n % 2 {
            0 => part.split_whitespace().map(str::to_string).collect::<Vec<_>>(),
            _ => vec![part.to_string()],
        })
        .collect()
}

#[test]
fn each_shell_gets_its_completions() {
    let folder = TempDir::new().unwrap();
    for (shell, check) in [
        ("bash", Some(["-n"].as_slice())),
        ("zsh", Some(["-n"].as_slice())),
        ("fish", Some(["--no-execute"].as_slice())),
        ("elvish", None),
        ("powershell", None),
    ] {
        let script = text(&run(folder.path(), &["completions", shell]).stdout);
        assert!(script.contains("SHIMWRIGHT_COMPLETE"), "{shell}: {script}");
        let Some(check) = check else { continue };
        let file = folder.path().join(shell);
        fs::write(&file, script).unwrap();
        match Command::new(shell).args(check).arg(&file).output() {
            Ok(output) => assert!(output.status.success(), "{shell}: {output:?}"),
            Err(error) => skipped(&format!("{shell} does not read its completions: {error}")),
        }
    }
    assert_eq!(run(folder.path(), &["completions", "csh"]).status.code(), Some(2));
}

#[test]
fn a_shell_is_told_what_may_stand_at_a_place() {
    let folder = TempDir::new().unwrap();
    begin(folder.path());
    let may_stand = |book: &Path, words: &[&str]| -> Vec<String> {
        let output = started::program()
            .args(["--", "shimwright"])
            .args(words)
            .env("SHIMWRIGHT_COMPLETE", "fish")
            .env("SHIMWRIGHT_BOOK", book)
            .current_dir(root())
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0), "{words:?}: {output:?}");
        assert!(output.stderr.is_empty(), "{words:?}: {output:?}");
        text(&output.stdout)
            .lines()
            .map(|line| line.split('\t').next().unwrap().to_string())
            .collect()
    };
    let book = folder.path();
    for command in commands() {
        let told = may_stand(book, &[&command[..1]]);
        assert!(told.contains(&command), "{command}: {told:?}");
    }
    for (words, wanted) in [
        (&["show", ""][..], "moor-rear-0001"),
        (&["between", "moor-rear-0001", "moor"], "moor-rear-0001"),
        (&["void", "mo"], "moor-rear-0001"),
        (&["wear", ""], "moor-rear"),
        (&["fleet", "--unit-id", "m"], "moor-rear"),
        (&["work", "full"], "full-rebuild"),
        (&["work", "demo-u"], "demo-units/"),
        (&["settle", "--use", "h"], "hillclimb"),
        (&["words", "prel"], "preload"),
        (&["guide", "mea"], "measuring"),
        (&["man", "wo"], "work"),
        (&["fleet", "--state", "n"], "never-finished"),
        (&["work", "full-rebuild", "--un"], "--units"),
    ] {
        let told = may_stand(book, words);
        assert!(told.iter().any(|one| one == wanted), "{words:?}: {told:?}");
        let begun = words.last().unwrap();
        assert!(
            told.iter().all(|one| one.starts_with(begun)),
            "{words:?}: {told:?}"
        );
    }
    // nothing is told of a book that is not there, and none is made
    let nowhere = folder.path().join("nowhere");
    assert!(
        !may_stand(&nowhere, &["show", ""])
            .iter()
            .any(|one| one.starts_with("moor"))
    );
    assert!(!nowhere.exists());
}

#[test]
fn an_error_ends_with_what_to_do_next() {
    let folder = TempDir::new().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_string();
    fs::write(at("faulty.toml"), "format = \"shimwright unit 1\"\n").unwrap();
    fs::write(at("latin.toml"), b"name = \"\xe9\"\n").unwrap();
    fs::write(at("bad.answers"), "who\n").unwrap();
    fs::write(at("short.answers"), "who = R. Example\n").unwrap();
    fs::write(at("step.answers"), "car = Moor\n").unwrap();
    let unit = "demo-units/moor-rear.toml";
    let cases: Vec<(i32, Vec<String>)> = [
        (8, vec!["sheet", "no-0001"]),
        (8, vec!["sheet", "no build"]),
        (3, vec!["work", "no-procedure", unit]),
        (3, vec!["work", "full-rebuild", "no-unit.toml"]),
        (3, vec!["work", "full-rebuild", "demo-units"]),
        (3, vec!["work", "full-rebuild", "@faulty.toml"]),
        (3, vec!["work", "full-rebuild", "@latin.toml"]),
        (2, vec!["work", "full-rebuild", unit, "--at", "noon"]),
        (4, vec!["work", "full-rebuild", unit, "--answers", "@bad.answers"]),
        (
            4,
            vec!["work", "full-rebuild", unit, "--answers", "@short.answers"],
        ),
        (
            4,
            vec![
                "work",
                "full-rebuild",
                unit,
                "--new",
                "--answers",
                "@step.answers",
            ],
        ),
        (
            3,
            vec!["work", "full-rebuild", unit, "--answers", "@none.answers"],
        ),
        (2, vec!["reckon", "convert", "35", "--to", "mm"]),
        (2, vec!["reckon", "nothing"]),
        (
            9,
            vec![
                "reckon",
                "pack",
                "--faces",
                "8",
                "--friction",
                "2",
                "--force",
                "1500N",
                "--outer",
                "98mm",
                "--inner",
                "62mm",
            ],
        ),
        (
            3,
            vec![
                "settle",
                "demo-units/moor-car.toml",
                "--use",
                "no-use",
                "--unit",
                unit,
            ],
        ),
        (3, vec!["choose", unit, "--readings", "@faulty.toml"]),
        (2, vec!["nothing"]),
    ]
    .into_iter()
    .map(|(code, words)| {
        let words = words.into_iter().map(|word| match word.strip_prefix('@') {
            Some(name) => at(name),
            None => word.to_string(),
        });
        (code, words.collect())
    })
    .collect();
    fs::create_dir(folder.path().join("book")).unwrap();
    for (code, arguments) in cases {
        let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let output = run(&folder.path().join("book"), &words);
        let told = text(&output.stderr);
        assert_eq!(output.status.code(), Some(code), "{words:?}: {told}");
        let last = told.lines().last().unwrap_or_default();
        let next = last.starts_with("  ") && last.trim().len() > 10 || last.contains("--help");
        assert!(next, "{words:?} does not say what to do next:\n{told}");
    }
}

#[test]
fn arguments_that_are_not_understood_are_told_in_the_words_of_the_house() {
    let folder = TempDir::new().unwrap();
    let unit = "demo-units/moor-rear.toml";
    for (arguments, told) in [
        (
            &["wrok"][..],
            "error: there is no command \"wrok\"; did you mean work?\n  `shimwright --help` lists them\n",
        ),
        (
            &["reckon", "sprung"],
            "error: there is no command \"sprung\"; did you mean spring?\n  `shimwright reckon --help` lists them\n",
        ),
        (
            &["work"],
            "error: <PROCEDURE> and <UNIT> are missing\n  `shimwright work --help` says what it takes\n",
        ),
        (
            &["work", "full-rebuild", unit, "--plian"],
            "error: there is no option --plian here; did you mean --plain?\n  `shimwright work --help` says what it takes\n",
        ),
        (
            &["--plain", "work", "full-rebuild", unit],
            "error: --plain stands before the command work; options stand behind it\n  \
             `shimwright work --help` says what it takes\n",
        ),
        (
            &["work", "full-rebuild", unit, "more"],
            "error: \"more\" is one word too many here\n  `shimwright work --help` says what it takes\n",
        ),
        (
            &["wear", "moor-rear", "--units", "imperial"],
            "error: --units: \"imperial\" is none of these: metric, inch\n  `shimwright wear --help` says what it takes\n",
        ),
        (
            &["wear", "moor-rear", "--units", "inhc"],
            "error: --units: \"inhc\" is none of these: metric, inch; did you mean inch?\n  \
             `shimwright wear --help` says what it takes\n",
        ),
        (
            &["wear", "moor-rear", "--units"],
            "error: --units: a value is missing\n  `shimwright wear --help` says what it takes\n",
        ),
        (
            &["practise", "--level", "5"],
            "error: --level: \"5\" is not taken: a whole number from 1 to 4 is wanted\n  \
             `shimwright practise --help` says what it takes\n",
        ),
        (
            &["practise", "--level", "1", "--level", "2"],
            "error: --level is there twice\n  `shimwright practise --help` says what it takes\n",
        ),
        (
            &["work", "full-rebuild", unit, "--json"],
            "error: --answers <FILE> is missing\n  `shimwright work --help` says what it takes\n",
        ),
        (
            &["nothing\u{1b}[31m"],
            "error: there is no command \"nothing[U+001B][31m\"\n  `shimwright --help` lists them\n",
        ),
    ] {
        let output = run(folder.path(), arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {output:?}");
        assert_eq!(text(&output.stderr), told, "{arguments:?}");
        let json = arguments.contains(&"--json");
        assert_eq!(output.stdout.is_empty(), !json, "{output:?}");
    }
}

#[test]
fn the_guide_lists_each_command_once_and_counts_the_steps_right() {
    let readme = Chapter::find("procedures").unwrap().text;
    let commands = Chapter::find("commands").unwrap().text;
    let table = commands.split_once("| command | what it does |").unwrap().1;
    let rows: Vec<&str> = table
        .lines()
        .skip(2)
        .take_while(|line| line.starts_with("| "))
        .map(|line| line.split('|').nth(1).unwrap().trim())
        .collect();
    let once: BTreeSet<&str> = rows.iter().copied().collect();
    assert_eq!(once.len(), rows.len(), "{rows:?}");
    let list = text(&run(Path::new("nowhere"), &["procedures", "--json"]).stdout);
    let list: serde_json::Value = serde_json::from_str(&list).unwrap();
    let mut counted = 0;
    for one in list["procedures"].as_array().unwrap() {
        let name = one["procedure"].as_str().unwrap();
        let row = readme.lines().find(|line| line.starts_with(&format!("{name}  ")));
        let Some(row) = row else { continue };
        let steps = row.split_whitespace().nth(1).unwrap();
        assert_eq!(steps, one["steps"].to_string(), "{row}");
        counted += 1;
    }
    assert!(counted >= 2, "{counted}");
}
