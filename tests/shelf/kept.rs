//! What the index keeps, held against what it is called.

use crate::books::Recipe;
use crate::program::Shop;
use shimwright::seal::Digest;
use std::fs;
use std::path::PathBuf;

/// What the index of the book below is called, and the digest of what it keeps. Who changes what an account says for the
/// same build changes the digest, and raises the number in `HOLDS` of `src/cli/histories.rs` with it: else a book that
/// was read before would go on with the old accounts.
const CALLED: &str = concat!("account 2 of shimwright ", env!("CARGO_PKG_VERSION"));
const KEPT: &str = "c6f549d0e7b3ef466cd92e69b53b7422768e47f55cd2bbf4c8eb4205a1c58230";

/// A book of one unit whose index is written.
fn indexed() -> (Shop, PathBuf) {
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
    (shop, index)
}

#[test]
fn whatever_stands_in_the_place_of_the_index_changes_no_answer() {
    let (shop, index) = indexed();
    let good = fs::read_to_string(&index).unwrap();
    let (head, lines) = good.split_once('\n').unwrap();
    let first = lines.lines().next().unwrap();
    let answers = || {
        [&["fleet", "--json"][..], &["wear", "unit-00001", "--json"]].map(|command| shop.run(command).json())
    };
    let right = answers();
    let other = Shop::new(&Recipe {
        seed: 4,
        units: 1,
        builds_a_unit: 2,
        unfinished_every: 0,
        damaged_every: 0,
    });
    let foreign = other.book().join(".index/unit-00001.jsonl");
    while !foreign.exists() {
        other.run(&["fleet"]);
    }
    let deep = |open: &str, count: usize| {
        format!(
            "{head}\n{}\n",
            first.replacen("\"plates\":", &open.repeat(count), 1)
        )
    };
    let spoilt = [
        // an index of another book with the same names
        fs::read_to_string(foreign).unwrap(),
        // nested far deeper than any reader of JSON goes
        deep("[", 200_000),
        deep("{\"a\":", 200_000),
        // one line of 16 MB; as many short ones; one build a million times
        format!("{head}\n{}", first.replacen("Car 1", &"Car ".repeat(4 << 20), 1)),
        format!("{head}\n{}", "{}\n".repeat(5 << 20)),
        format!(
            "{head}\n{}",
            "{\"build\":\"unit-00001-0001\",\"sum\":\"\",\"text\":{}}\n".repeat(1 << 18)
        ),
        // sums and names that are none
        lines.replace("\"sum\":\"", "\"sum\":\"\u{1b}[2J"),
        good.replace("unit-00001-0001", "../../etc/passwd"),
        good.replace('\n', "\r\n"),
        String::from("\u{feff}") + &good,
        String::from("\0").repeat(1 << 20),
    ];
    for text in spoilt {
        fs::write(&index, &text).unwrap();
        assert_eq!(answers(), right, "{}", text.chars().take(200).collect::<String>());
    }
}

#[test]
fn an_account_that_comes_out_otherwise_has_another_number() {
    let (_shop, index) = indexed();
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
