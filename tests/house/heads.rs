//! Each file begins with what it is, each floor with what a newcomer starts from, and no facade has more names than can be
//! surveyed.

use super::tokens::{Token, tokens};

/// The most names that the `mod.rs` of a floor hands on by itself; more are grouped in public modules.
const MOST_NAMES: usize = 60;

/// What stands at the head of a file, without its marks.
fn head(source: &str) -> Vec<&str> {
    source
        .lines()
        .map_while(|line| line.strip_prefix("//!"))
        .map(str::trim)
        .collect()
}

/// The names that code hands on, by `pub use` of whatever reach; and those of them that come from elsewhere than the modules
/// below it.
fn handed_on(code: &[Token]) -> (Vec<String>, Vec<String>) {
    let text = |n: usize| code.get(n).map_or("", |token| token.text.as_str());
    let (mut own, mut foreign) = (Vec::new(), Vec::new());
    for n in 1..code.len() {
        // `pub use`, `pub(crate) use`
        if text(n) != "use" || !matches!(text(n - 1), "pub" | ")") {
            continue;
        }
        let to = (n..code.len())
            .find(|end| text(*end) == ";")
            .unwrap_or(code.len());
        let names = (n + 1..to).filter(|at| matches!(text(at + 1), "," | "}" | ";"));
        let names = names.filter(|at| text(*at) != "}" && text(*at) != ",");
        let names = names.map(|at| text(at).to_string());
        match text(n + 1) {
            "crate" | "super" => foreign.extend(names),
            _ => own.extend(names),
        }
    }
    (own, foreign)
}

#[test]
fn no_floor_hands_on_more_names_than_can_be_surveyed_and_none_of_another() {
    let mut wrong = Vec::new();
    for (path, source) in super::library() {
        let (own, foreign) = handed_on(&tokens(&source));
        if path.ends_with("/mod.rs") && own.len() > MOST_NAMES {
            wrong.push(format!("src/{path} hands on {} names", own.len()));
        }
        if !foreign.is_empty() {
            wrong.push(format!("src/{path} is a second way to {}", foreign.join(", ")));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_file_begins_with_what_it_is() {
    let silent: Vec<String> = super::library()
        .into_iter()
        .filter(|(_, source)| head(source).first().is_none_or(|line| line.is_empty()))
        .map(|(path, _)| format!("src/{path}"))
        .collect();
    assert!(
        silent.is_empty(),
        "no sentence at the head of\n{}",
        silent.join("\n")
    );
}

#[test]
fn every_floor_begins_with_what_a_newcomer_starts_from() {
    let sources = super::library();
    for floor in super::floors() {
        let path = format!("{}/mod.rs", floor.name);
        let (_, source) = sources.iter().find(|(known, _)| *known == path).unwrap();
        let head = head(source);
        assert!(head.len() >= 5, "src/{path} says too little of itself");
        let after_a_gap = |n: usize| n > 0 && head[n - 1].is_empty();
        let where_to = (0..head.len()).any(|n| head[n].starts_with("A new ") && after_a_gap(n));
        assert!(where_to, "src/{path} does not say where something new goes");
    }
}

#[test]
fn names_are_counted_however_they_are_handed_on() {
    let code =
        "mod a; use b::C; pub use a::D; pub(crate) use a::{E, f::{G, H as I}, J,}; pub use crate::k::L;";
    let (own, foreign) = handed_on(&tokens(code));
    assert_eq!(own, ["D", "E", "G", "I", "J"]);
    assert_eq!(foreign, ["L"]);
    assert_eq!(head("//! One.\n//!\n//! Two.\n\nmod a;"), ["One.", "", "Two."]);
    assert!(head("mod a;\n//! One.").is_empty());
}
