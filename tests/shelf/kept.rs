//! What the index keeps, held against what it is called.

use crate::books::Recipe;
use crate::program::Shop;
use shimwright::seal::Digest;
use std::fs;

/// What the index of the book below is called, and the digest of what it keeps. Who changes what an account says for the
/// same build changes the digest, and raises the number in `HOLDS` of `src/cli/histories.rs` with it: else a book that
/// was read before would go on with the old accounts.
const CALLED: &str = concat!("account 1 of shimwright ", env!("CARGO_PKG_VERSION"));
const KEPT: &str = "7a5c5a8db261bf81b75c7553e5e14b668b82bc83b4e57bf766cf6258825d2d8d";

#[test]
fn an_account_that_comes_out_otherwise_has_another_number() {
    let shop = Shop::new(&Recipe {
        seed: 3,
        units: 1,
        builds_a_unit: 2,
        unfinished_every: 0,
        damaged_every: 0,
    });
    let index = shop.book().join(".index/unit-00001.jsonl");
    // what was written less than two seconds ago is not kept yet
    while !index.exists() {
        shop.run(&["fleet"]);
    }
    let kept = fs::read_to_string(index).unwrap();
    let (head, lines) = kept.split_once('\n').unwrap();
    assert!(head.contains(&format!("\"holds\":\"{CALLED}\"")), "{head}");
    // without the sums, which stand for times of files
    let texts: Vec<&str> = lines
        .lines()
        .map(|line| line.split_once(",\"text\":").unwrap().1)
        .collect();
    assert_eq!(texts.len(), 2);
    assert_eq!(
        Digest::of(texts.concat().as_bytes()).to_string(),
        KEPT,
        "{texts:#?}"
    );
}
