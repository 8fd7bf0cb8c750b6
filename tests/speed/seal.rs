//! Sealing and checking a build, as a person runs it: the start of the program is counted. The build is that of the
//! demonstration, begun anew from its answers file; keys are made for the bench and have no passphrase.

#![allow(clippy::expect_used, clippy::unwrap_used)]

#[path = "../support/started.rs"]
mod started;

use shimwright::cli::{Exit, checked};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;
use std::sync::LazyLock;
use tempfile::TempDir;

const BUILD: &str = "moor-rear-0001";

fn main() {
    divan::main();
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("made");
    for entry in fs::read_dir(from).expect("read") {
        let path = entry.expect("read").path();
        let into = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copy(&path, &into);
        } else {
            fs::copy(&path, &into).expect("copied");
        }
    }
}

fn run(place: &Path, arguments: &[&str]) -> Output {
    let output = started::program()
        .args(arguments)
        .env("SHIMWRIGHT_BOOK", place.join("book"))
        .current_dir(place)
        .output()
        .expect("run");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    output
}

/// A folder with a finished build, two keys and both allowed.
static FINISHED: LazyLock<TempDir> = LazyLock::new(|| {
    let dir = tempfile::tempdir().expect("made");
    let place = dir.path();
    let demo = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo-units");
    copy(&demo, &place.join("units"));
    let answers = [
        "--answers",
        "units/moor-rear.answers",
        "--at",
        "2026-05-09T10:00:00Z",
    ];
    run(
        place,
        &[&["work", "full-rebuild", "units/moor-rear.toml"], &answers[..]].concat(),
    );
    let mut allowed = Vec::new();
    for key in ["ada", "bea"] {
        allowed.extend(run(place, &["key", "new", key, "--as", key, "--no-passphrase"]).stdout);
    }
    fs::write(place.join("book/allowed_signers"), allowed).expect("written");
    dir
});

fn fresh() -> TempDir {
    let dir = tempfile::tempdir().expect("made");
    copy(FINISHED.path(), dir.path());
    dir
}

/// The same, signed by both.
static SEALED: LazyLock<TempDir> = LazyLock::new(|| {
    let dir = fresh();
    for key in ["ada", "bea"] {
        run(dir.path(), &["sign", BUILD, "--key", key]);
    }
    dir
});

#[divan::bench(sample_count = 40)]
fn sign(bencher: divan::Bencher<'_, '_>) {
    bencher
        .with_inputs(fresh)
        .bench_refs(|dir| run(dir.path(), &["sign", BUILD, "--key", "ada"]));
}

#[divan::bench(sample_count = 40)]
fn check_two_seals(bencher: divan::Bencher<'_, '_>) {
    let place = SEALED.path();
    bencher.bench(|| run(place, &["check", BUILD]));
}

#[divan::bench(sample_count = 40)]
fn check_without_starting_the_program(bencher: divan::Bencher<'_, '_>) {
    let book = SEALED.path().join("book");
    bencher.bench(|| {
        let arguments = [BUILD.into(), "--book".into(), book.clone().into_os_string()];
        let (exit, text) = checked(arguments).expect("checked");
        assert_eq!(exit, Exit::Done);
        text
    });
}

#[divan::bench(sample_count = 40)]
fn check_paper(bencher: divan::Bencher<'_, '_>) {
    let place = SEALED.path();
    let report = run(place, &["check", BUILD, "--json"]).stdout;
    let report = String::from_utf8(report).expect("text");
    let after = report.split("\"digest\": \"").nth(1).expect("a digest");
    let digest = after[..64].to_string();
    bencher.bench(|| run(place, &["check", BUILD, "--paper", &digest]));
}
