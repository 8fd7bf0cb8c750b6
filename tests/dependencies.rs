//! The outside crates: their licences, where they come from, which are there twice, and versions known to be bad.
//!
//! What is allowed stands under "Outside crates" in `DEVELOPERS.md`, with what this does not look at. All is read from
//! `Cargo.lock` and from what cargo has unpacked on this machine; nothing is fetched.

// a test that fails is meant to stop
#![allow(clippy::unwrap_used)]

#[path = "support/table.rs"]
mod table;

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::process::Command;
use table::table_under;

fn read(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

/// The cells of the table under a heading of `DEVELOPERS.md`.
fn table(heading: &str) -> Vec<Vec<String>> {
    let text = read("DEVELOPERS.md");
    assert!(text.lines().any(|line| line == heading), "{heading} is not there");
    table_under(&text, heading)
}

fn bare(cell: &str) -> String {
    cell.replace('`', "")
}

/// Name, version and source of every crate in `Cargo.lock`, for every platform.
fn locked() -> Vec<(String, String, Option<String>)> {
    let lock: toml::Table = read("Cargo.lock").parse().unwrap();
    let text = |package: &toml::Value, key: &str| Some(package.get(key)?.as_str()?.to_string());
    lock["package"]
        .as_array()
        .unwrap()
        .iter()
        .map(|package| {
            let name = text(package, "name").unwrap();
            (name, text(package, "version").unwrap(), text(package, "source"))
        })
        .collect()
}

/// What cargo knows of the crates that are built on this machine.
fn packages() -> Vec<Value> {
    let version = Command::new("rustc").arg("-vV").output().unwrap();
    let version = String::from_utf8(version.stdout).unwrap();
    let host = version
        .lines()
        .find_map(|line| line.strip_prefix("host: "))
        .unwrap();
    let output = Command::new(env!("CARGO"))
        .args([
            "metadata",
            "--offline",
            "--locked",
            "--format-version",
            "1",
            "--filter-platform",
            host,
        ])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let all: Value = serde_json::from_slice(&output.stdout).unwrap();
    all["packages"].as_array().unwrap().clone()
}

/// Whether a licence expression (SPDX, annex D of 2.3; a slash is an old way to write OR) is met by what is allowed.
fn is_met(expression: &str, allowed: &BTreeSet<String>) -> bool {
    let spaced = expression
        .replace('/', " OR ")
        .replace('(', " ( ")
        .replace(')', " ) ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut at = 0;
    let met = any_of(&words, &mut at, allowed);
    assert_eq!(at, words.len(), "{expression} is not understood");
    met
}

fn any_of(words: &[&str], at: &mut usize, allowed: &BTreeSet<String>) -> bool {
    let mut met = all_of(words, at, allowed);
    while words.get(*at) == Some(&"OR") {
        *at += 1;
        met |= all_of(words, at, allowed);
    }
    met
}

fn all_of(words: &[&str], at: &mut usize, allowed: &BTreeSet<String>) -> bool {
    let mut met = one(words, at, allowed);
    while words.get(*at) == Some(&"AND") {
        *at += 1;
        met &= one(words, at, allowed);
    }
    met
}

fn one(words: &[&str], at: &mut usize, allowed: &BTreeSet<String>) -> bool {
    let word = words[*at];
    *at += 1;
    if word == "(" {
        let met = any_of(words, at, allowed);
        assert_eq!(words.get(*at), Some(&")"));
        *at += 1;
        return met;
    }
    if words.get(*at) == Some(&"WITH") {
        *at += 2;
        return allowed.contains(&format!("{word} WITH {}", words[*at - 1]));
    }
    allowed.contains(word)
}

#[test]
fn licence_expressions_are_read_as_they_are_meant() {
    let allowed: BTreeSet<String> = ["MIT", "Zlib"].map(str::to_string).into();
    for (expression, met) in [
        ("MIT", true),
        ("GPL-3.0-only", false),
        ("MIT OR GPL-3.0-only", true),
        ("GPL-3.0-only/MIT", true),
        ("MIT AND GPL-3.0-only", false),
        ("(GPL-3.0-only OR Zlib) AND MIT", true),
        ("GPL-3.0-only OR Zlib AND MIT", true),
        ("GPL-3.0-only AND Zlib OR MIT", true),
        ("MIT WITH LLVM-exception", false),
    ] {
        assert_eq!(is_met(expression, &allowed), met, "{expression}");
    }
}

#[test]
fn every_licence_is_allowed_and_every_allowed_one_is_needed() {
    let allowed: BTreeSet<String> = table("### Licences that may come in")
        .iter()
        .map(|row| bare(&row[0]))
        .collect();
    let packages = packages();
    assert!(packages.len() > 50);
    let mut expressions = BTreeSet::new();
    for package in &packages {
        let name = package["name"].as_str().unwrap();
        let expression = package["license"]
            .as_str()
            .unwrap_or_else(|| panic!("{name} names no licence"));
        assert!(
            is_met(expression, &allowed),
            "{name} comes under {expression}, which the table does not allow"
        );
        expressions.insert(expression);
    }
    for licence in &allowed {
        let mut less = allowed.clone();
        less.remove(licence);
        let needed = expressions.iter().any(|expression| !is_met(expression, &less));
        assert!(needed, "no crate needs {licence}: take it out of the table");
    }
}

#[test]
fn every_crate_comes_from_the_registry() {
    for (name, version, source) in locked() {
        if name == env!("CARGO_PKG_NAME") {
            assert_eq!(source, None);
            continue;
        }
        let source = source.unwrap_or_else(|| panic!("{name} {version} comes from a path"));
        assert!(
            source.starts_with("registry+"),
            "{name} {version} comes from {source}"
        );
    }
}

#[test]
fn what_is_there_in_several_versions_is_owned_up_to() {
    let mut versions: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (name, version, _) in locked() {
        versions.entry(name).or_default().insert(version);
    }
    let found: BTreeMap<String, usize> = versions
        .into_iter()
        .filter(|(_, versions)| versions.len() > 1)
        .map(|(name, versions)| (name, versions.len()))
        .collect();
    let owned: BTreeMap<String, usize> = table("### Crates in several versions")
        .iter()
        .map(|row| (bare(&row[0]), row[1].parse().unwrap()))
        .collect();
    assert_eq!(
        found, owned,
        "left what Cargo.lock has, right the rows of the table: crate and how many versions"
    );
}

/// The one crate that compiles something else than Rust, on a platform for which no program is made.
const ON_HAIKU_ALONE: &str = "iana-time-zone-haiku";

/// The crates of `Cargo.lock` that are built with another one.
fn built_with(name: &str) -> Vec<String> {
    let lock: toml::Table = read("Cargo.lock").parse().unwrap();
    let packages = lock["package"].as_array().unwrap().iter();
    let wants = |package: &&toml::Value| {
        let wanted = package.get("dependencies").and_then(|all| all.as_array());
        // a crate in several versions stands there with its number
        let first = |one: &toml::Value| one.as_str().unwrap().split(' ').next() == Some(name);
        wanted.is_some_and(|all| all.iter().any(first))
    };
    let names = packages
        .filter(wants)
        .map(|package| package["name"].as_str().unwrap().to_string());
    names.collect()
}

#[test]
fn nothing_compiles_or_links_c() {
    for (name, version, _) in locked() {
        let tool = ["cc", "cmake", "pkg-config", "vcpkg", "bindgen", "gcc"].contains(&name.as_str());
        let let_by = tool && built_with(&name) == [ON_HAIKU_ALONE];
        assert!(!tool || let_by, "{name} {version} is there to compile or link C");
    }
    // it is not built for what this runs on
    let built = packages();
    assert!(
        built
            .iter()
            .all(|package| package["name"] != ON_HAIKU_ALONE && package["name"] != "cc")
    );
    assert_eq!(built_with("cc"), [ON_HAIKU_ALONE]);
    for package in packages() {
        assert!(
            package["links"].is_null(),
            "{} links {}",
            package["name"],
            package["links"]
        );
    }
}

/// The numbers of a version, without what stands behind a hyphen or a plus.
fn numbers(version: &str) -> Vec<u64> {
    let plain = version.split(['-', '+']).next().unwrap();
    plain.split('.').map(|part| part.parse().unwrap()).collect()
}

#[test]
fn no_version_is_one_that_is_known_to_be_bad() {
    let list = read("tests/references/advisories.csv");
    let rows: Vec<Vec<&str>> = list
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').collect())
        .collect();
    assert!(rows.len() >= 3);
    for (name, version, _) in locked() {
        for row in rows.iter().filter(|row| row[0] == name) {
            let mended = !row[1].is_empty() && numbers(&version) >= numbers(row[1]);
            assert!(mended, "{name} {version}: {} ({})", row[3], row[2]);
        }
    }
    assert!(numbers("0.3.55") > numbers("0.3.47") && numbers("1.2.2+spec-1.1.0") == [1, 2, 2]);
}
