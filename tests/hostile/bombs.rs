//! Files that cost little to write and much to read.

use crate::drawing::setting;
use crate::good::UNIT;
use crate::readers::{KINDS, read_as};
use shimwright::bench::Answers;
use shimwright::document::{MOST_OF_A_TEXT, MOST_PARTS};
use shimwright::record::Entry;
use shimwright::workshop::Unit;
use std::time::{Duration, Instant};

/// The size of each file: an eighth of the most that the program reads of one, so that the ordinary run stays short.
/// `SHIMWRIGHT_BOMB=1048576` is all of it.
fn size() -> usize {
    setting("SHIMWRIGHT_BOMB", 1 << 17) as usize
}

/// A pattern again and again, as long as a file may be.
fn filled(pattern: &str) -> String {
    pattern.repeat(size() / pattern.len())
}

fn numbered(make: impl Fn(usize) -> String) -> String {
    let mut text = String::new();
    for n in 0.. {
        let more = make(n);
        if text.len() + more.len() > size() {
            break;
        }
        text.push_str(&more);
    }
    text
}

fn bombs() -> Vec<(&'static str, String)> {
    let depth = size() / 8;
    vec![
        ("lists in lists", format!("x = {}", filled("["))),
        (
            "closed lists in lists",
            format!("x = {}{}", "[".repeat(depth), "]".repeat(depth)),
        ),
        (
            "tables in tables",
            format!("x = {}1{}", "{a=".repeat(depth), "}".repeat(depth)),
        ),
        ("a key of many parts", format!("{}a = 1", filled("a."))),
        ("a head of many parts", format!("[{}a]", filled("a."))),
        ("many tables", numbered(|n| format!("[t{n}]\n"))),
        ("many plates", filled("[[plate]]\n")),
        ("many keys", numbered(|n| format!("k{n} = 1\n"))),
        ("many parted keys", numbered(|n| format!("a.b{n}.c = 1\n"))),
        ("one key many times", filled("k = 1\n")),
        ("a list of tables", format!("x = [{}]", filled("{},"))),
        ("a list of numbers", format!("x = [{}1]", filled("1,"))),
        ("a key as long as the file", format!("{} = 1", filled("k"))),
        (
            "a text as long as the file",
            format!("name = \"{}\"", filled("a")),
        ),
        (
            "a text of three quotes",
            format!("name = \"\"\"{}\"\"\"", filled("a\n")),
        ),
        (
            "a number as long as the file",
            format!("format = {}", filled("9")),
        ),
        ("a number with an exponent", format!("format = 1e{}", filled("9"))),
        ("empty lines", filled("\n")),
        ("comments", filled("#\n")),
        ("quotes", filled("\"")),
        ("nothing but nul", filled("\0")),
        ("nothing but spaces", filled(" ")),
        ("combining marks", format!("name = \"a{}\"", filled("\u{301}"))),
    ]
}

#[test]
fn no_file_takes_long_or_falls_over_however_it_is_filled() {
    // each takes a second or two of a debug build; on a machine with ten times the work that it can do, more
    let most = Duration::from_secs(300);
    for (name, text) in bombs() {
        let start = Instant::now();
        for kind in KINDS {
            read_as(kind, &text);
        }
        if let Err(error) = Answers::parse(&text, "a.answers") {
            let words = error.to_string();
            assert!(words.len() < 20_000, "{name}: {} bytes of faults", words.len());
        }
        assert!(start.elapsed() < most, "{name}: {:?}", start.elapsed());
    }
}

#[test]
fn deep_json_in_a_journal_is_no_entry() {
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        let deep = format!("{}1{}", open.repeat(100_000), close.repeat(100_000));
        assert!(Entry::from_json(&deep).is_err());
        assert!(Entry::from_json(&format!("{{\"kind\":\"finished\",\"at\":{deep}}}")).is_err());
    }
}

#[test]
fn the_limits_are_what_the_messages_say() {
    let name = |count: usize| {
        UNIT.replacen(
            "name = \"Moor rear\"",
            &format!("name = \"{}\"", "é".repeat(count)),
            1,
        )
    };
    assert!(Unit::read("unit.toml", &name(MOST_OF_A_TEXT)).is_ok());
    let faults = Unit::read("unit.toml", &name(MOST_OF_A_TEXT + 1)).unwrap_err();
    assert_eq!(faults.faults.len(), 1);
    assert_eq!(
        faults.faults[0].message,
        "\"name\" has 2001 characters; at most 2000 are taken"
    );
    let padded = |parts: usize| {
        let own = UNIT
            .bytes()
            .filter(|byte| matches!(byte, b'=' | b'[' | b'{' | b','))
            .count();
        format!("{UNIT}\n# {}\n", "=".repeat(parts - own))
    };
    assert!(Unit::read("unit.toml", &padded(MOST_PARTS)).is_ok());
    let faults = Unit::read("unit.toml", &padded(MOST_PARTS + 1)).unwrap_err();
    let message =
        "the file has too many keys, tables and parts of lists: at most 10000 are read, and it goes on";
    assert_eq!(faults.faults[0].message, message);
}
