//! Texts that are bred by what they reach inside a reader: `tests/fuzz/run READER [SECONDS]`, from any folder.
//!
//! The readers are those of `tests/hostile/readers.rs`, and it begins from the good texts of the program. A text that makes
//! one fail is written to the folder of the run; it goes to `tests/hostile/corpus/READER/`, named for what was wrong, once
//! that is mended.

#![no_main]

use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;

#[path = "../../hostile/readers.rs"]
mod readers;

static READER: LazyLock<String> = LazyLock::new(|| {
    let named = std::env::var("READER").unwrap_or_default();
    assert!(
        readers::KINDS.contains(&named.as_str()),
        "READER is one of {}",
        readers::KINDS.join(", ")
    );
    named
});

fuzz_target!(|text: &str| readers::read_as(&READER, text));
