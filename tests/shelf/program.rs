//! The program from outside, on a book of its own.

#[path = "../support/ran.rs"]
mod ran;

use crate::books::{self, Recipe, Truth};
pub use ran::Ran;
use std::path::Path;
use std::process::Stdio;
use tempfile::TempDir;

/// A generated book in a folder of its own.
pub struct Shop {
    pub dir: TempDir,
    pub truth: Truth,
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
    crate::started::program()
        .args(arguments)
        .env("SHIMWRIGHT_BOOK", book)
        .env("NO_COLOR", "1")
        .stdin(Stdio::null())
        .output()
        .unwrap()
        .into()
}
