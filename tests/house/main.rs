//! The house rules, held by machine: `DEVELOPERS.md` has the floor table, and this test reads it there.

// a test that fails is meant to stop
#![allow(clippy::unwrap_used)]

mod circles;
#[path = "../support/commands.rs"]
mod commands;
mod formulas;
mod heads;
mod rows;
#[path = "../support/started.rs"]
mod started;
#[path = "../support/table.rs"]
mod table;
mod tokens;

use commands::commands_in;
use shimwright::record::formats::{ENTRY_KINDS, FORMATS};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use table::table_under;
use tokens::{Token, tokens};

/// Parts of the standard library that a floor must have in its row before it may use them.
const GUARDED: [&str; 7] = ["env", "fs", "net", "os", "process", "thread", "time"];
/// The longest that a source file may be, and the length from which it is named aloud.
const MOST_LINES: usize = 800;
const MANY_LINES: usize = 500;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(name: impl AsRef<Path>) -> String {
    let path = root().join(name);
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The names that a path goes on with after the `::` at `n`: one, or the first ones of a group.
fn next_names(tokens: &[Token], n: usize) -> Vec<Token> {
    if tokens.get(n).is_none_or(|token| token.text != "::") {
        return Vec::new();
    }
    let Some(first) = tokens.get(n + 1) else {
        return Vec::new();
    };
    if first.text != "{" {
        return vec![first.clone()];
    }
    let mut names = Vec::new();
    let (mut depth, mut fresh) = (1, true);
    for token in &tokens[n + 2..] {
        match token.text.as_str() {
            "{" => depth += 1,
            "}" => depth -= 1,
            "," if depth == 1 => fresh = true,
            _ if depth == 1 && fresh => {
                names.push(token.clone());
                fresh = false;
            }
            _ => {}
        }
        if depth == 0 {
            break;
        }
    }
    names
}

/// Every floor that some code names, by `crate::`, by the crate's own name or by climbing with `super::`.
fn floors_named(tokens: &[Token], floors: &BTreeSet<String>) -> Vec<Token> {
    let mut named = Vec::new();
    for (n, token) in tokens.iter().enumerate() {
        let inside = n > 0 && tokens[n - 1].text == "::";
        match token.text.as_str() {
            // at the root every name counts: what is no floor there is a way round them
            "crate" | "shimwright" if !inside => named.extend(next_names(tokens, n + 1)),
            "super" => named.extend(
                next_names(tokens, n + 1)
                    .into_iter()
                    .filter(|name| floors.contains(&name.text)),
            ),
            _ => {}
        }
        // `use crate as x`, `extern crate x`: other doors to the root
        if token.text == "crate" && !inside {
            let before = n.checked_sub(1).map_or("", |n| tokens[n].text.as_str());
            let after = tokens.get(n + 1).map_or("", |token| token.text.as_str());
            if before == "extern" || after == "as" {
                named.push(token.clone());
            }
        }
    }
    named
}

/// Whether a path can stand before a `::` that follows this.
fn ends_a_name(text: &str) -> bool {
    const WORDS: [&str; 8] = ["use", "as", "dyn", "impl", "in", "mut", "ref", "return"];
    let name = |c: char| c.is_alphanumeric() || c == '_' || c == '>';
    !WORDS.contains(&text) && text.starts_with(name)
}

/// Every use of an outside crate, and of a guarded part of the standard library as `std::fs`.
fn outside_named(tokens: &[Token], crates: &BTreeSet<String>) -> Vec<Token> {
    let mut named = Vec::new();
    for (n, token) in tokens.iter().enumerate() {
        let before = n.checked_sub(1).map_or("", |n| tokens[n].text.as_str());
        let after = tokens.get(n + 1).map_or("", |token| token.text.as_str());
        // `a::serde` is somebody's own, `::serde` is the crate: there no name stands before the `::`
        let own = before == "::" && n >= 2 && ends_a_name(&tokens[n - 2].text);
        if own {
            continue;
        }
        if crates.contains(&token.text) && (after == "::" || before == "use" || before == "crate") {
            named.push(token.clone());
        }
        if token.text == "std" {
            named.extend(
                next_names(tokens, n + 1)
                    .into_iter()
                    .filter(|name| GUARDED.contains(&name.text.as_str()))
                    .map(|name| Token {
                        text: format!("std::{}", name.text),
                        line: name.line,
                    }),
            );
        }
    }
    named
}

// ------------------------------------------------------------------------------------------------- the floor table

/// A row of the floor table.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Floor {
    name: String,
    imports: BTreeSet<String>,
    outside: BTreeSet<String>,
}

/// The names in backticks in a cell.
fn ticked(cell: &str) -> BTreeSet<String> {
    cell.split('`').skip(1).step_by(2).map(str::to_string).collect()
}

fn floors_of(text: &str) -> Vec<Floor> {
    table_under(text, "## Floors")
        .iter()
        .map(|row| {
            assert_eq!(row.len(), 5, "a row of the floor table has five cells: {row:?}");
            Floor {
                name: ticked(&row[0]).pop_first().unwrap_or_default(),
                imports: ticked(&row[2]),
                outside: ticked(&row[3]),
            }
        })
        .collect()
}

fn floors() -> Vec<Floor> {
    floors_of(&read("DEVELOPERS.md"))
}

/// What a source file of a floor uses that its row does not grant, one sentence each.
fn trespasses(
    floor: &Floor,
    all: &[Floor],
    crates: &BTreeSet<String>,
    file: &str,
    source: &str,
) -> Vec<String> {
    let names: BTreeSet<String> = all.iter().map(|floor| floor.name.clone()).collect();
    let tokens = tokens(source);
    let inner = floors_named(&tokens, &names)
        .into_iter()
        .filter(|name| name.text != floor.name && !floor.imports.contains(&name.text));
    let outer = outside_named(&tokens, crates)
        .into_iter()
        .filter(|name| name.text != "thiserror" && !floor.outside.contains(&name.text));
    inner
        .chain(outer)
        .map(|name| format!("{file}:{}: {} may not use {}", name.line, floor.name, name.text))
        .collect()
}

/// The keys of a table of Cargo.toml, as code writes them.
fn dependencies(table: &str) -> BTreeSet<String> {
    let manifest: toml::Table = read("Cargo.toml").parse().unwrap();
    manifest[table]
        .as_table()
        .unwrap()
        .keys()
        .map(|name| name.replace('-', "_"))
        .collect()
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    let mut entries: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            files.extend(rust_files(&path));
        } else if path.extension().is_some_and(|end| end == "rs") {
            files.push(path);
        }
    }
    files
}

/// The files of the library, each by its path below `src`, with its source.
fn library() -> Vec<(String, String)> {
    let src = root().join("src");
    rust_files(&src)
        .into_iter()
        .map(|path| {
            let below = path.strip_prefix(&src).unwrap().display().to_string();
            (below, fs::read_to_string(path).unwrap())
        })
        .collect()
}

fn shown(path: &Path) -> String {
    path.strip_prefix(root()).unwrap_or(path).display().to_string()
}

/// The files that are kept, relative to the root: what git has, or where there is no git, all but what is built.
fn kept_files() -> Vec<String> {
    let listed = Command::new("git")
        .arg("-C")
        .arg(root())
        .args(["ls-files", "-z"])
        .output();
    if let Ok(listed) = listed
        && listed.status.success()
        && !listed.stdout.is_empty()
    {
        return String::from_utf8(listed.stdout)
            .unwrap()
            .split_terminator('\0')
            .map(str::to_string)
            .filter(|name| root().join(name).exists())
            .collect();
    }
    fn walk(folder: &Path, into: &mut Vec<String>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = shown(&path);
            if name == "target"
                || name == ".git"
                || (name.starts_with("output/") && !name.ends_with(".gitkeep"))
            {
                continue;
            }
            if path.is_dir() {
                walk(&path, into);
            } else {
                into.push(name);
            }
        }
    }
    let mut files = Vec::new();
    walk(root(), &mut files);
    files
}

#[test]
fn every_floor_keeps_to_its_row() {
    let all = floors();
    let crates: BTreeSet<String> = dependencies("dependencies")
        .into_iter()
        .chain(dependencies("dev-dependencies"))
        .filter(|name| name != "proptest")
        .collect();
    let mut found = Vec::new();
    for floor in &all {
        let mut used = BTreeSet::new();
        for path in rust_files(&root().join("src").join(&floor.name)) {
            let source = fs::read_to_string(&path).unwrap();
            found.extend(trespasses(floor, &all, &crates, &shown(&path), &source));
            let tokens = tokens(&source);
            used.extend(outside_named(&tokens, &crates).into_iter().map(|name| name.text));
        }
        let unused = floor.outside.difference(&used);
        found.extend(unused.map(|name| format!("{} does not use {name}, which its row grants", floor.name)));
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn the_table_has_no_way_up_and_names_every_module_in_order() {
    let all = floors();
    for (n, floor) in all.iter().enumerate() {
        let above: BTreeSet<String> = all[..n].iter().map(|floor| floor.name.clone()).collect();
        assert!(
            floor.imports.is_subset(&above),
            "{} reaches up: {:?}",
            floor.name,
            floor.imports
        );
    }
    let library = tokens(&read("src/lib.rs"));
    let declared: Vec<&str> = library
        .windows(2)
        .filter(|pair| pair[0].text == "mod")
        .map(|pair| pair[1].text.as_str())
        .collect();
    let rows: Vec<&str> = all.iter().map(|floor| floor.name.as_str()).collect();
    assert_eq!(declared, rows, "src/lib.rs and the floor table");
    let mut folders: Vec<String> = fs::read_dir(root().join("src"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_dir())
        .map(|path| path.file_name().unwrap().to_string_lossy().into_owned())
        .collect();
    folders.sort();
    let mut sorted = rows.clone();
    sorted.sort_unstable();
    assert_eq!(folders, sorted, "the folders of src and the floor table");
}

#[test]
fn the_table_and_the_manifest_name_the_same_crates() {
    let granted: BTreeSet<String> = floors()
        .into_iter()
        .flat_map(|floor| floor.outside)
        .filter(|name| !name.starts_with("std::"))
        .chain(["thiserror".to_string()])
        .collect();
    assert_eq!(granted, dependencies("dependencies"));
    let for_tests: BTreeSet<String> = table_under(&read("DEVELOPERS.md"), "### For tests and benches only")
        .iter()
        .flat_map(|row| ticked(&row[0]))
        .collect();
    assert_eq!(for_tests, dependencies("dev-dependencies"));
}

// -------------------------------------------------------------------------------------------- the rest of the house

#[test]
fn the_top_level_has_nothing_else() {
    let wanted: BTreeSet<&str> = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "src",
        "procedures",
        "tests",
        "demo-units",
        "output",
    ]
    .into();
    let files = kept_files();
    let top: BTreeSet<&str> = files
        .iter()
        .map(|name| name.split('/').next().unwrap_or(name))
        .filter(|name| !name.starts_with('.'))
        .collect();
    assert_eq!(top, wanted);
}

fn first_name(text: &str) -> String {
    text.chars()
        .take_while(|c| c.is_alphanumeric() || "_-".contains(*c))
        .collect()
}

#[test]
fn nothing_unsafe_is_written_and_the_compiler_forbids_it() {
    let manifest: toml::Table = read("Cargo.toml").parse().unwrap();
    assert_eq!(manifest["lints"]["rust"]["unsafe_code"].as_str(), Some("forbid"));
    // also the crate under the tests that has a manifest of its own
    for folder in ["src", "tests"] {
        for path in rust_files(&root().join(folder)) {
            let tokens = tokens(&fs::read_to_string(&path).unwrap());
            let found = tokens.iter().find(|token| token.text == ["un", "safe"].concat());
            assert_eq!(found, None, "{}", shown(&path));
        }
    }
}

#[test]
fn no_test_is_ignored() {
    let mark = ["#[", "ignore"].concat();
    for folder in ["src", "tests"] {
        for path in rust_files(&root().join(folder)) {
            let source = fs::read_to_string(&path).unwrap();
            assert!(!source.contains(&mark), "{} ignores a test", shown(&path));
        }
    }
}

#[test]
fn no_source_file_is_longer_than_one_can_read() {
    let granted: BTreeMap<String, String> =
        table_under(&read("DEVELOPERS.md"), "### Files that are too long")
            .into_iter()
            .map(|row| (ticked(&row[0]).pop_first().unwrap_or_default(), row[1].clone()))
            .collect();
    let mut too_long = BTreeSet::new();
    for path in rust_files(&root().join("src")) {
        let lines = fs::read_to_string(&path).unwrap().lines().count();
        if lines > MANY_LINES {
            println!("{lines:5} lines: {}", shown(&path));
        }
        if lines > MOST_LINES {
            too_long.insert(shown(&path));
        }
    }
    let named: BTreeSet<String> = granted.into_keys().collect();
    assert_eq!(
        too_long, named,
        "files over {MOST_LINES} lines, and those that DEVELOPERS.md owns up to"
    );
}

/// Whether a text names a folder of some machine: `/home` and the like, where a path begins.
fn names_a_machine(text: &str) -> bool {
    ["home", "work", "tmp", "root", "Users"].iter().any(|folder| {
        let path = format!("/{folder}/");
        text.match_indices(&path).any(|(n, _)| {
            let before = text[..n].chars().next_back();
            before.is_none_or(|c| !(c.is_alphanumeric() || "._-/}>)".contains(c)))
        })
    })
}

#[test]
fn no_file_says_what_the_project_does_not_say() {
    let unfinished = ["TO", "DO"].concat();
    let hosts: Vec<String> = [
        ["crates", ".io"],
        ["docs", ".rs"],
        ["pypi", ".org"],
        ["npmjs", ".com"],
        ["rubygems", ".org"],
    ]
    .iter()
    .map(|parts| parts.concat())
    .collect();
    let mut found = Vec::new();
    for name in kept_files() {
        // cargo writes its own file, with the registry in it
        if name == "Cargo.lock" {
            continue;
        }
        let Ok(text) = String::from_utf8(fs::read(root().join(&name)).unwrap()) else {
            continue;
        };
        for (n, line) in text.lines().enumerate() {
            let mut says = |what: &str| found.push(format!("{name}:{}: {what}", n + 1));
            if names_a_machine(line) {
                says("a path of a machine");
            }
            if line
                .split(|c: char| !c.is_alphanumeric())
                .any(|word| word == unfinished || word == ["FIX", "ME"].concat())
            {
                says("something left to do");
            }
            if hosts.iter().any(|host| line.contains(host.as_str())) {
                says("a host of packages");
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn the_tables_of_formats_are_those_of_the_code() {
    let told = read("DEVELOPERS.md");
    let mut rows = Vec::new();
    for format in FORMATS {
        for (number, added) in (format.first..).zip(format.added) {
            let shows = match format.shows {
                "" => "not at all".to_string(),
                shows => format!("`{shows}`"),
            };
            rows.push(vec![
                format.what.to_string(),
                shows,
                number.to_string(),
                added.to_string(),
            ]);
        }
    }
    assert_eq!(table_under(&told, "## Formats"), rows);
    let kinds = ENTRY_KINDS.map(|(kind, line)| vec![format!("`{kind}`"), line.to_string()]);
    assert_eq!(table_under(&told, "### Kinds of entry"), kinds);
}

#[test]
fn the_guide_has_every_command_and_exit_code() {
    let output = started::program().arg("--help").output().unwrap();
    let help = String::from_utf8(output.stdout).unwrap();
    let commands: BTreeSet<String> = commands_in(&help).into_iter().collect();
    let codes: BTreeSet<String> = help
        .split_once("Exit codes:")
        .map_or("", |(_, codes)| codes)
        .split(',')
        .map(|code| first_name(code.trim()))
        .collect();
    assert!(!commands.is_empty() && codes.contains("0"), "{help}");
    let chapter = read("procedures/guide/commands.md");
    let told: BTreeSet<String> = table_under(&chapter, "# All commands")
        .iter()
        .flat_map(|row| ticked(&row[0]))
        .map(|command| first_name(&command))
        .collect();
    assert_eq!(told, commands, "commands in the guide and in --help");
    let told: BTreeSet<String> = table_under(&read("procedures/guide/exit-codes.md"), "# Exit codes")
        .into_iter()
        .map(|row| row[0].clone())
        .collect();
    assert_eq!(told, codes, "exit codes in the guide and in --help");
}

// ---------------------------------------------------------------------------- the scanner itself, so that it can fail

const TABLE: &str = "\
## Floors

Words.

| module | what it is | may import | may touch outside | never |
|---|---|---|---|---|
| `low` | a | – | `uom` | b |
| `high` | a | `low` | `std::fs` | b |
| `top` | a | `low`, `high` | – | b |
";

fn found_in(floor: usize, source: &str) -> Vec<String> {
    let all = floors_of(TABLE);
    let crates = ["uom", "serde", "toml"].map(str::to_string).into();
    trespasses(&all[floor], &all, &crates, "f.rs", source)
}

#[test]
fn a_wrong_import_is_found_wherever_it_stands() {
    for source in [
        "use crate::high::X;",
        "use crate::{low, high::{X, Y}};",
        "use crate::{\n    high,\n};",
        "fn f() -> crate::high::X { todo() }",
        "pub use crate :: high;",
        "#[cfg(test)] mod tests { use crate::high::X; }",
        "use super::high::X;",
        "use super::super::high;",
        "use super::{other, high::X};",
        "use shimwright::high::X;",
        "macro_rules! m { () => { $crate::high::f() } }",
        "use r#crate::a; use crate::high;",
        "let a = 'x'; let b: &'a str = \"\\\"\"; use crate::high;",
        "let a = r#\"a \" b\"#; use crate::high;",
        "/* a /* b */ c */ use crate::high;",
    ] {
        let found = found_in(0, source);
        assert!(
            found.iter().any(|text| text.ends_with("low may not use high")),
            "{source}: {found:?}"
        );
    }
    assert_eq!(
        found_in(0, "\n\nuse crate::high;"),
        ["f.rs:3: low may not use high"]
    );
}

#[test]
fn a_way_round_the_floors_is_found() {
    assert_eq!(found_in(2, "use crate::*;"), ["f.rs:1: top may not use *"]);
    assert_eq!(
        found_in(2, "use crate as all;"),
        ["f.rs:1: top may not use crate"]
    );
    assert_eq!(found_in(2, "use crate::Name;"), ["f.rs:1: top may not use Name"]);
}

#[test]
fn a_wrong_crate_is_found_wherever_it_stands() {
    for source in [
        "use serde::Serialize;",
        "use ::serde::Serialize;",
        "use serde;",
        "use serde as s;",
        "extern crate serde;",
        "#[derive(serde::Serialize)] struct A;",
        "use {uom::si, serde::Serialize};",
        "fn f() { let a: Vec<serde::A> = g::<serde::B>(); }",
    ] {
        assert!(
            found_in(0, source).contains(&"f.rs:1: low may not use serde".to_string()),
            "{source}: {:?}",
            found_in(0, source)
        );
    }
    assert_eq!(found_in(0, "use std::fs;"), ["f.rs:1: low may not use std::fs"]);
    assert_eq!(
        found_in(0, "use std::{fmt, fs::File, env};"),
        [
            "f.rs:1: low may not use std::fs",
            "f.rs:1: low may not use std::env"
        ]
    );
}

#[test]
fn what_is_allowed_is_let_by() {
    for source in [
        "use crate::low::X; use crate::high::Y; use std::fs;",
        "// use crate::top;",
        "/// use serde::X;\n/* crate::top */",
        "let a = \"crate::top \\\" serde::x\"; let b = r##\"use crate::top; \"# \"##; let c = b\"serde::\";",
        "let quote = '\"'; let other = '\\''; // \" crate::top",
        "pub(crate) fn a() {} pub(in crate::high) fn b() {}",
        "use super::{part, other}; use super::*; use self::serde::X; use super::serde::X;",
        "let serde = 1; f(serde); a.serde();",
        "use std::fmt; use std::collections::BTreeMap;",
        "use thiserror::Error;",
    ] {
        assert!(
            found_in(1, source).is_empty(),
            "{source}: {:?}",
            found_in(1, source)
        );
    }
}

#[test]
fn a_path_of_a_machine_is_told_from_a_path_of_the_project() {
    for path in ["work", "home"].map(|folder| format!("see /{folder}/somebody/file")) {
        assert!(names_a_machine(&path), "{path}");
    }
    assert!(names_a_machine(&["\"/tmp", "/x/y\""].concat()));
    for folder in ["work", "home"] {
        let inside = format!("src/{folder}/file, a/{folder}/b, https://example.org/{folder}/a");
        assert!(!names_a_machine(&inside), "{inside}");
    }
}
