//! The program from outside, on a book of its own.

use crate::books::{self, Recipe, Truth};
use serde_json::Value;
use std::path::Path;
use std::process::{Command, Stdio};
use tempfile::TempDir;

/// A generated book in a folder of its own.
pub struct Shop {
    pub dir: TempDir,
    pub truth: Truth,
}

/// What a run came to.
pub struct Ran {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Ran {
    pub fn json(&self) -> Value {
        assert_eq!(self.code, 0, "{}", self.err);
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("{error}: {}", self.out))
    }
}

impl Shop {
    pub fn new(recipe: &Recipe) -> Shop {
        let dir = TempDir::new().unwrap();
        let truth = books::write(dir.path(), recipe);
        Shop { dir, truth }
    }

    pub fn book(&self) -> &Path {
        self.dir.path()
    }

    pub fn run(&self, arguments: &[&str]) -> Ran {
        run(self.book(), arguments)
    }
}

/// Runs the program on a book.
pub fn run(book: &Path, arguments: &[&str]) -> Ran {
    let output = Command::new(env!("CARGO_BIN_EXE_shimwright"))
        .args(arguments)
        .env("SHIMWRIGHT_BOOK", book)
        .env("NO_COLOR", "1")
        .stdin(Stdio::null())
        .output()
        .unwrap();
    Ran {
        code: output.status.code().unwrap(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}
