//! What the index keeps, held against what it is called.

use crate::books::Recipe;
use crate::program::Shop;
use shimwright::seal::Digest;
use std::fs;
use std::path::PathBuf;

/// What the index of the book below is called, and the digest of what it keeps. Who changes what an account says for the
/// same build, or a brief for the same builds, changes the digest, and raises the number of `ACCOUNT` in `src/record/formats.rs` with it: else a book that
/// was read before would go on with the old accounts.
const CALLED: &str = concat!("account 14 of shimwright ", env!("CARGO_PKG_VERSION"));
const KEPT: &str = "a13ef0694150b5aa3d7bf7f697bfbc011f07df97c13679d767e1d30ea04f4e21";

/// A book of two units whose index is written: of the first with a line a build, and with one for the unit.
fn indexed() -> (Shop, [PathBuf; 2]) {
    let shop = Shop::new(&Recipe {
        seed: 3,
        units: 2,
        builds_a_unit: 4,
        unfinished_every: 0,
        damaged_every: 0,
    });
    let index = ["jsonl", "json"].map(|ends| shop.book().join(format!(".index/unit-00001.{ends}")));
    // what was written less than two seconds ago is not kept yet
    while !index.iter().all(|path| path.exists()) {
        shop.run(&["fleet"]);
    }
    (shop, index)
}

#[test]
fn whatever_stands_in_the_place_of_the_index_changes_no_answer() {
    let (shop, index) = indexed();
    // what is worn in one unit is looked for in the other one, too
    let commands = [
        &["fleet", "--json"][..],
        &["wear", "unit-00001", "--json"],
        &["wear", "unit-00002", "--json"],
    ];
    let answers = || commands.map(|command| shop.run(command).json());
    let right = answers();
    let other = Shop::new(&Recipe {
        seed: 4,
        units: 1,
        builds_a_unit: 2,
        unfinished_every: 0,
        damaged_every: 0,
    });
    for path in &index {
        let good = fs::read_to_string(path).unwrap();
        let (head, lines) = good.split_once('\n').unwrap();
        let first = lines.lines().next().unwrap();
        let (before, text) = first.split_once("\"text\":").unwrap();
        let foreign = other.book().join(".index").join(path.file_name().unwrap());
        while !foreign.exists() {
            other.run(&["fleet"]);
        }
        let deep = |open: &str, count: usize| format!("{head}\n{before}\"text\":{}\n", open.repeat(count));
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
                format!("{}}}\n", before.replace("sum\":\"", "sum\":\"\",\"text\":{},\"")).repeat(1 << 16)
            ),
            // a line that is whole but for a figure in it
            good.replacen(text, &text.replacen('1', "2", 1), 1),
            // sums and names that are none
            lines.replace("\"sum\":\"", "\"sum\":\"\u{1b}[2J"),
            good.replace("unit-00001", "../../etc/passwd"),
            good.replace('\n', "\r\n"),
            String::from("\u{feff}") + &good,
            String::from("\0").repeat(1 << 20),
        ];
        for text in spoilt {
            assert_ne!(text, good);
            fs::write(path, &text).unwrap();
            assert_eq!(answers(), right, "{}", text.chars().take(200).collect::<String>());
        }
    }
}

#[test]
fn an_account_that_comes_out_otherwise_has_another_number() {
    let (_shop, index) = indexed();
    let kept = index.map(|path| fs::read_to_string(path).unwrap());
    let texts: Vec<&str> = kept
        .iter()
        .flat_map(|kept| {
            let (head, lines) = kept.split_once('\n').unwrap();
            assert!(head.contains(&format!("\"holds\":\"{CALLED}\"")), "{head}");
            // without the sums, which stand for times of files
            lines.lines().map(|line| line.split_once(",\"text\":").unwrap().1)
        })
        .collect();
    assert_eq!(texts.len(), 5);
    assert!(!texts[4].contains("\"forecast\":null"), "{}", texts[4]);
    assert_eq!(
        Digest::of(texts.concat().as_bytes()).to_string(),
        KEPT,
        "{texts:#?}"
    );
}

#[test]
fn the_sources_of_a_doubt_add_up_to_it() {
    let (_shop, [accounts, _]) = indexed();
    let text = fs::read_to_string(accounts).unwrap();
    let mut calibrations = Vec::new();
    for line in text.lines().skip(1) {
        let line: serde_json::Value = serde_json::from_str(line).unwrap();
        let account = match &line["text"] {
            serde_json::Value::String(text) => serde_json::from_str(text).unwrap(),
            object => object.clone(),
        };
        let breakaway = &account["breakaway"];
        for (whole, sources) in [
            (&account["preload_uncertainty_n"], &account["preload_doubts_n"]),
            (
                &account["preload_found_uncertainty_n"],
                &account["preload_found_doubts_n"],
            ),
            (&breakaway["left_uncertainty_nm"], &breakaway["left_doubts_nm"]),
            (&breakaway["found_uncertainty_nm"], &breakaway["found_doubts_nm"]),
        ] {
            let sources = sources.as_array().unwrap();
            let squares = sources
                .iter()
                .map(|one| one["standard"].as_f64().unwrap().powi(2));
            let (sum, whole) = (squares.sum::<f64>().sqrt(), whole.as_f64().unwrap());
            assert!((sum - whole).abs() < 1e-6 * whole, "{whole}: {sources:#?}");
            let shared = sources.iter().filter_map(|one| one["calibration_of"].as_str());
            calibrations.extend(shared.map(str::to_string));
        }
    }
    // the depth gauge and the micrometer of the preload, and the wrench of the breakaway
    calibrations.sort();
    calibrations.dedup();
    assert_eq!(calibrations.len(), 3, "{calibrations:?}");
}

#[test]
fn a_list_of_the_book_is_the_same_with_and_without_an_index_and_sees_a_second_journal() {
    let (shop, _index) = indexed();
    let list = || shop.run(&["builds", "--json"]).json();
    let kept = list();
    fs::remove_dir_all(shop.book().join(".index")).unwrap();
    assert_eq!(list(), kept);
    let states = |list: &serde_json::Value| -> Vec<String> {
        let builds = list["builds"].as_array().unwrap();
        builds
            .iter()
            .map(|build| build["state"].as_str().unwrap().to_string())
            .collect()
    };
    assert_eq!(states(&kept), ["finished"; 8]);
    // what was kept of a build does not hide that its folder has one more journal since
    while !shop.book().join(".index/unit-00001.jsonl").exists() {
        list();
    }
    let folder = shop.book().join("unit-00001-0002");
    fs::copy(folder.join("journal.jsonl"), folder.join("journal (copy).jsonl")).unwrap();
    assert_eq!(states(&list())[1], "damaged");
    let fleet = shop.run(&["fleet", "--json"]).json();
    let mut units = fleet["units"].as_array().unwrap().iter();
    let damaged = units.find(|unit| unit["unit"] == "unit-00001").unwrap();
    assert_eq!(damaged["damaged"][0]["build"], "unit-00001-0002");
    // one that can not be read is a state
    fs::remove_file(shop.book().join("unit-00002-0001/unit.toml")).unwrap();
    let unread = &states(&list())[4];
    assert!(unread.starts_with("not readable: "), "{unread}");
}
