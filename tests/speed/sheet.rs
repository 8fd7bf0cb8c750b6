//! How long a sheet takes: `cargo bench --bench sheet`. The goal is 15 ms and 100 KB for a full one.

#![allow(clippy::unwrap_used)]

#[path = "../sheet_builds/mod.rs"]
mod sheet_builds;

use divan::Bencher;
use divan::counter::BytesCount;
use sheet_builds::{empty, full, long_notes, sixty_plates, unfinished};
use shimwright::record::Build;
use shimwright::screen::lines;
use shimwright::sheet::{Paper, in_short, pages, pdf};

const BUILDS: [&str; 5] = ["empty", "full", "unfinished", "long notes", "sixty plates"];

fn build(name: &str) -> Build {
    match name {
        "empty" => empty(),
        "unfinished" => unfinished(),
        "long notes" => long_notes(),
        "sixty plates" => sixty_plates(),
        _ => full(),
    }
}

fn main() {
    divan::main();
}

#[divan::bench(args = BUILDS)]
fn to_pages(bencher: Bencher, name: &str) {
    let build = build(name);
    bencher.bench(|| pages(&build, Paper::A4));
}

#[divan::bench(args = BUILDS)]
fn to_pdf(bencher: Bencher, name: &str) {
    let build = build(name);
    let bytes = pdf(&build, Paper::A4).unwrap().len();
    bencher
        .counter(BytesCount::new(bytes))
        .bench(|| pdf(&build, Paper::A4));
}

#[divan::bench(args = BUILDS)]
fn to_the_terminal(bencher: Bencher, name: &str) {
    let build = build(name);
    bencher.bench(|| lines(&in_short(&build), 80));
}
