//! The program as it is shipped, with a folder and a book of its own.

#[path = "../support/ran.rs"]
mod ran;

pub use ran::Ran;
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tempfile::TempDir;

/// The time that every run writes down.
pub const AT: &str = "2026-05-09T10:00:00Z";

pub fn demo_file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("demo-units")
        .join(name)
}

pub fn unit_file(demo: &str) -> PathBuf {
    demo_file(&format!("{demo}.toml"))
}

pub fn answers_of(demo: &str) -> String {
    fs::read_to_string(demo_file(&format!("{demo}.answers"))).unwrap()
}

/// A folder of its own for a book and the files of a test.
pub struct Place {
    dir: TempDir,
}

impl Ran {
    /// Ends with this code and says all of this on the error stream.
    pub fn fails(&self, code: i32, facts: &[&str]) {
        assert_eq!(self.code, code, "out: {}\nerr: {}", self.out, self.err);
        for fact in facts {
            assert!(self.err.contains(fact), "{fact:?} is missing in:\n{}", self.err);
        }
    }
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

    pub fn book(&self) -> PathBuf {
        self.path("book")
    }

    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path(name);
        fs::write(&path, text).unwrap();
        path
    }

    /// The program with this place's book.
    pub fn program(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_shimwright"));
        command
            .args(arguments)
            .env("SHIMWRIGHT_BOOK", self.book())
            .env("NO_COLOR", "1")
            .current_dir(self.dir.path())
            .stdin(Stdio::null());
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Ran {
        self.program(arguments).output().unwrap().into()
    }

    /// `work full-rebuild UNIT --at TIME` with more arguments.
    pub fn work(&self, unit: &Path, more: &[&str]) -> Command {
        let mut command = self.program(&["work", "full-rebuild", unit.to_str().unwrap(), "--at", AT]);
        command.args(self.own_drawer(unit)).args(more);
        command
    }

    /// A finished build takes what it used out of the drawer's file: a demo unit gets a copy of its drawer.
    pub fn own_drawer(&self, unit: &Path) -> Vec<String> {
        if unit.parent() != demo_file("x").parent() {
            return Vec::new();
        }
        let text = fs::read_to_string(unit).unwrap();
        let named = text
            .lines()
            .find_map(|line| line.strip_prefix("drawer = "))
            .unwrap();
        let own = self.path("own-drawer.toml");
        fs::copy(demo_file(named.split('"').nth(1).unwrap()), &own).unwrap();
        vec!["--drawer".to_string(), own.to_str().unwrap().to_string()]
    }

    /// A run with an answers file of this text.
    pub fn answered(&self, unit: &Path, answers: &str, more: &[&str]) -> Ran {
        let file = self.write("some.answers", answers);
        let mut command = self.work(unit, &["--answers", file.to_str().unwrap()]);
        command.args(more).output().unwrap().into()
    }

    pub fn demo(&self, demo: &str, more: &[&str]) -> Ran {
        self.answered(&unit_file(demo), &answers_of(demo), more)
    }

    pub fn journal_file(&self, build: &str) -> PathBuf {
        self.book().join(build).join("journal.jsonl")
    }

    /// The entries of a build, without what chains the lines.
    pub fn entries(&self, build: &str) -> Vec<Value> {
        let text = fs::read_to_string(self.journal_file(build)).unwrap();
        text.lines()
            .map(|line| serde_json::from_str::<Value>(line).unwrap()["entry"].clone())
            .collect()
    }
}
