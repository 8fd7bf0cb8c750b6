//! A folder of its own for a test, and the program as it is shipped in it.

#[path = "ran.rs"]
mod ran;

pub use ran::Ran;
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
        let mut command = crate::started::program();
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
}
