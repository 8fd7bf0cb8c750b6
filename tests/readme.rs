//! The commands of `README.md` and of the guide's chapters, run in their order from a fresh copy: none stops another one, and
//! each ends as it is meant to.
//!
//! Where a person would go on typing, nobody does: such a command ends with the code of what is left unfinished.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used)]
// what is skipped is said
#![allow(clippy::print_stdout)]

#[path = "support/started.rs"]
mod started;

use shimwright::workshop::Chapter;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

const README: &str = include_str!("../README.md");
const PASSPHRASE: &str = "three-quarters of a turn";

/// Times of two settings that are made up.
const RUNS: &str =
    "day,setting,seconds\n1,1,70.0\n1,2,69.1\n1,2,69.2\n1,1,70.3\n1,2,69.4\n1,1,70.5\n1,1,70.6\n1,2,69.7\n";

/// What is not run, by how it begins, and why. All of it is no command of this program.
const SKIPPED: [(&str, &str); 6] = [
    ("cargo build", "it builds this program, which is built"),
    ("cargo test", "it runs this test"),
    (
        "ssh-keygen",
        "another program; tests/seal/ssh.rs holds it against ours",
    ),
    (
        "openssl ts",
        "another program; tests/seal/tokens.rs asks by it for a token",
    ),
    (
        "shimwright check moor-rear-0001 --time-certificate",
        "nobody has given a time; tests/seal/tokens.rs has one",
    ),
    (
        "shimwright check --photo",
        "nobody has taken a picture; tests/seal/photos.rs makes some",
    ),
];

/// What does not end with code 0, by how it begins: what asks somebody, and what finds that two things differ.
const CODES: [(&str, i32); 10] = [
    (
        "target/release/shimwright work full-rebuild try/moor-rear.toml",
        7,
    ),
    ("shimwright work full-rebuild try/moor-rear.toml", 7),
    ("shimwright work bench-check try/moor-rear.toml", 7),
    ("shimwright work full-rebuild try/moor-rear.toml --from-paper", 7),
    ("shimwright work full-rebuild try/moor-rear.toml --setting", 7),
    ("shimwright work our-check.toml", 7),
    ("shimwright new-unit", 7),
    ("shimwright new-car", 7),
    ("shimwright practise", 7),
    ("shimwright check --code \"SHIMWRIGHT1", 11),
];

/// The README, and the chapters in the order of the guide, each with its name.
fn texts() -> Vec<(&'static str, &'static str)> {
    let chapters = Chapter::ALL.iter().map(|chapter| (chapter.topic, chapter.text));
    std::iter::once(("README.md", README)).chain(chapters).collect()
}

/// The commands of a text in their order: indented lines, also in a list, blocks for a shell, and what is typed in blocks of text.
fn commands_of(text: &str) -> Vec<String> {
    let (mut found, mut fence) = (Vec::new(), None::<String>);
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        if let Some(kind) = line.strip_prefix("```") {
            fence = fence.is_none().then(|| kind.to_string());
            continue;
        }
        let command = match fence.as_deref() {
            None => line.strip_prefix("    ").map(str::trim_start),
            Some("sh") => Some(line),
            Some("text") => line.strip_prefix("$ "),
            Some(_) => None,
        };
        let Some(mut command) = command.map(str::to_string) else {
            continue;
        };
        while let Some(first) = command.strip_suffix('\\') {
            command = format!("{}{}", first, lines.next().unwrap().trim_start());
        }
        found.push(command);
    }
    found
}

fn commands() -> Vec<(&'static str, String)> {
    let named = |(name, text)| commands_of(text).into_iter().map(move |command| (name, command));
    texts().into_iter().flat_map(named).collect()
}

/// The table of old records that the guide has.
fn table() -> String {
    let text = Chapter::find("tables").unwrap().text;
    let rows = text.lines().skip_while(|line| !line.starts_with("day,by,"));
    rows.take_while(|line| !line.starts_with("```"))
        .map(|line| format!("{line}\n"))
        .collect()
}

struct Copy {
    dir: TempDir,
}

impl Copy {
    /// A folder as it is after building, with a home and nothing in it.
    fn new() -> Copy {
        let dir = TempDir::new().unwrap();
        let at = |name: &str| dir.path().join(name);
        for folder in [
            "target/release",
            "home/.ssh",
            "home/.local/share/bash-completion/completions",
        ] {
            fs::create_dir_all(at(folder)).unwrap();
        }
        #[cfg(unix)]
        std::os::unix::fs::symlink(started::program().get_program(), at("target/release/shimwright"))
            .unwrap();
        fs::write(at("old.csv"), table()).unwrap();
        fs::write(at("runs.csv"), RUNS).unwrap();
        fs::write(at("readings.csv"), "value\n1.98\n1.97\n1.99\n").unwrap();
        fs::write(at("points.csv"), "x,y\n1,2\n2,4\n3,7\n").unwrap();
        fs::write(at("pass"), format!("{PASSPHRASE}\n")).unwrap();
        #[cfg(unix)]
        fs::set_permissions(at("pass"), std::os::unix::fs::PermissionsExt::from_mode(0o600)).unwrap();
        Copy { dir }
    }

    fn path(&self) -> &Path {
        self.dir.path()
    }

    fn run(&self, line: &str) -> Output {
        let programs = self.path().join("target/release");
        let path = format!("{}:{}", programs.display(), std::env::var("PATH").unwrap());
        Command::new("sh")
            .args(["-c", line])
            .current_dir(self.path())
            .env("PATH", path)
            .env("HOME", self.path().join("home"))
            .env_remove("XDG_DATA_HOME")
            .env_remove("SHIMWRIGHT_BOOK")
            .env_remove("SHIMWRIGHT_KEY")
            .env("NO_COLOR", "1")
            .stdin(Stdio::null())
            .output()
            .unwrap()
    }

    /// A line as it is run here: with the program that is there, and with what differs from run to run.
    fn as_run(&self, line: &str) -> String {
        let line = line.replace("cargo run --release --", "target/release/shimwright");
        // a page is read by another program
        let line = line.split(" && man ").next().unwrap().to_string();
        let asks = ["shimwright key new", "shimwright key rotate", "shimwright sign"];
        if asks.iter().any(|head| line.starts_with(head)) {
            // somebody types it
            return format!("{line} --passphrase-file pass");
        }
        let Some(rest) = line.strip_prefix("shimwright check --code \"") else {
            return line;
        };
        let report = self.run("shimwright check moor-rear-0001 --json").stdout;
        let report: serde_json::Value = serde_json::from_slice(&report).unwrap();
        let (digest, lines) = (report["digest"].as_str().unwrap(), &report["journal_lines"]);
        match rest.starts_with("SHIMWRIGHT1") {
            true => {
                let head = rest.split(" N:").next().unwrap();
                format!("shimwright check --code \"{head} N:{lines} S:{digest} FORCE:1943N\"")
            }
            false => format!(
                "shimwright check --code \"{} {} {} {}\"",
                &digest[..4],
                &digest[4..8],
                &digest[8..12],
                &digest[12..16]
            ),
        }
    }
}

#[cfg(unix)]
#[test]
fn the_commands_of_the_readme_and_the_guide_run_in_their_order() {
    let copy = Copy::new();
    let (mut ran, mut skipped) = (0, 0);
    for (text, line) in commands() {
        if let Some((_, why)) = SKIPPED.iter().find(|(head, _)| line.starts_with(head)) {
            println!("SKIPPED: {line} ({text}): {why}");
            skipped += 1;
            continue;
        }
        let ours = [
            "shimwright ",
            "target/release/shimwright ",
            "cargo run --release -- ",
        ];
        assert!(
            ours.iter().any(|head| line.starts_with(head)),
            "what is this? {line} ({text})"
        );
        let output = copy.run(&copy.as_run(&line));
        let (out, err) = (
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr),
        );
        let exact = CODES.iter().filter(|(head, _)| line.starts_with(head));
        let wanted = exact
            .max_by_key(|(head, _)| head.len())
            .map_or(0, |(_, code)| *code);
        assert_eq!(output.status.code(), Some(wanted), "{line} ({text}):\n{out}{err}");
        assert!(!err.contains("panicked"), "{line}: {err}");
        if wanted == 11 {
            assert!(out.contains("FORCE is 1943N on the paper, but 1"), "{out}");
        }
        if line.starts_with("shimwright key new ~/.ssh/bench-key") {
            // as the guide says to do with the line that is printed, and a list of one's own
            for list in [
                "home/.local/share/shimwright/book/allowed_signers",
                "allowed_signers",
            ] {
                fs::write(copy.path().join(list), &output.stdout).unwrap();
            }
        }
        ran += 1;
    }
    assert!(ran > 40 && skipped >= 3, "{ran} ran, {skipped} were skipped");
    for (name, _) in SKIPPED {
        assert!(
            commands().iter().any(|(_, line)| line.starts_with(name)),
            "{name} is skipped, but there is none"
        );
    }
    for (head, _) in CODES {
        assert!(
            commands().iter().any(|(_, line)| line.starts_with(head)),
            "{head} is no command of the README or the guide"
        );
    }
    // each file that the README says is written is there
    for name in [
        "output/demo-sheet.pdf",
        "moor-rear-0001.pdf",
        "moor-wear.pdf",
        "moor-setting.toml",
        "plates.csv",
    ] {
        assert!(copy.path().join(name).exists(), "{name}");
    }
}

#[test]
fn the_readme_is_short_and_lists_every_chapter_once_in_its_order() {
    assert!(README.lines().count() <= 200);
    let row = |line: &'static str| line.strip_prefix("| [`")?.split('`').next();
    let listed: Vec<&str> = README.lines().filter_map(row).collect();
    let topics: Vec<&str> = Chapter::ALL.iter().map(|chapter| chapter.topic).collect();
    assert_eq!(listed, topics);
    for topic in &topics {
        assert!(
            README.contains(&format!("[`{topic}`](procedures/guide/{topic}.md)")),
            "{topic}"
        );
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures/guide");
    let files: BTreeSet<String> = fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap().file_name().to_string_lossy().into_owned())
        .filter_map(|name| name.strip_suffix(".md").map(str::to_string))
        .collect();
    assert_eq!(files, topics.iter().map(|topic| (*topic).to_string()).collect());
}

#[test]
fn what_the_chapters_name_is_there() {
    for (name, text) in texts() {
        for piece in text.split("shimwright guide ").skip(1) {
            let topic: String = piece
                .chars()
                .take_while(|c| c.is_ascii_lowercase() || *c == '-')
                .collect();
            assert!(
                topic.is_empty() || Chapter::find(&topic).is_ok(),
                "{name}: {topic}"
            );
        }
        // what stands between backquotes and looks like a file of ours
        for path in text
            .split('`')
            .filter(|piece| !piece.contains(char::is_whitespace))
        {
            let ours = ["procedures/", "demo-units/", "tests/"]
                .iter()
                .any(|head| path.starts_with(head));
            let there = Path::new(env!("CARGO_MANIFEST_DIR")).join(path).exists();
            assert!(!ours || there, "{name}: {path}");
        }
    }
}
