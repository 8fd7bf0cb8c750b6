//! The program as it is shipped, with a folder and a book of its own.

#[path = "../support/folder.rs"]
mod folder;

pub use folder::{AT, Place, Ran, answers_of, demo_file};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

pub fn unit_file(demo: &str) -> PathBuf {
    demo_file(&format!("{demo}.toml"))
}

impl Place {
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
