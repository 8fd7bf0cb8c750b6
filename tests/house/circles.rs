//! Circles between the files of one floor: which file names which, and the groups that can not be read one after the
//! other.

use super::tokens::{Token, tokens};
use std::collections::{BTreeMap, BTreeSet};

/// A module of the library: the names from the root down, `["record", "wear"]`.
type Place = Vec<String>;

/// The source files of a library as modules, with what each names.
pub struct Files {
    /// Every module and the code of its file, that of tests left out.
    code: BTreeMap<Place, Vec<Token>>,
    /// For each module the names that it takes in from the modules under it, each with the way to it.
    doors: BTreeMap<Place, BTreeMap<String, Vec<String>>>,
}

/// A `use` or a path in code: where it stands, the names along it, and what it is called there.
struct Way {
    names: Vec<String>,
    called: String,
    at: usize,
}

impl Files {
    /// From paths below `src` and their sources.
    pub fn new<'a>(sources: impl IntoIterator<Item = (&'a str, &'a str)>) -> Files {
        let code: BTreeMap<Place, Vec<Token>> = sources
            .into_iter()
            .map(|(path, source)| (place_of(path), without_tests(tokens(source))))
            .collect();
        let mut files = Files {
            code,
            doors: BTreeMap::new(),
        };
        files.doors = files
            .code
            .keys()
            .map(|place| (place.clone(), files.doors_of(place)))
            .collect();
        files
    }

    fn doors_of(&self, place: &Place) -> BTreeMap<String, Vec<String>> {
        let under = |way: &Way| {
            let mut child = place.clone();
            child.extend(way.names.first().cloned());
            self.code.contains_key(&child)
        };
        uses(&self.code[place])
            .into_iter()
            .map(|mut way| {
                if way.names.first().is_some_and(|name| name == "self") {
                    way.names.remove(0);
                }
                way
            })
            .filter(under)
            .map(|way| (way.called, way.names))
            .collect()
    }

    /// The module whose file a path of names leads to, from a module: through children, parents and doors.
    fn target(&self, from: &Place, names: &[String]) -> Option<Place> {
        let mut names = names.iter().map(String::as_str).peekable();
        let mut at = match names.peek()? {
            &"crate" => {
                names.next();
                Vec::new()
            }
            &"self" => {
                names.next();
                from.clone()
            }
            &"super" => {
                let mut at = from.clone();
                while names.next_if_eq(&"super").is_some() {
                    at.pop();
                }
                at
            }
            // a name of its own, or of a module under it
            first => {
                let mut child = from.clone();
                child.push((*first).to_string());
                if !self.code.contains_key(&child) {
                    return None;
                }
                from.clone()
            }
        };
        for name in names {
            let mut child = at.clone();
            child.push(name.to_string());
            if self.code.contains_key(&child) {
                at = child;
            } else {
                let behind = self.doors.get(&at).and_then(|doors| doors.get(name));
                return behind.map_or(Some(at.clone()), |way| self.target(&at, way));
            }
        }
        Some(at)
    }

    /// What each file of a floor names of the floor's other files. What a module takes in from the modules under it
    /// only to hand it on is no use of them.
    fn arrows(&self, floor: &str) -> BTreeMap<Place, BTreeSet<Place>> {
        let mut arrows: BTreeMap<Place, BTreeSet<Place>> = BTreeMap::new();
        for (place, code) in &self.code {
            if place.first().is_none_or(|first| first != floor) {
                continue;
            }
            let named = arrows.entry(place.clone()).or_default();
            for way in uses(code).into_iter().chain(paths(code)) {
                let Some(target) = self.target(place, &way.names) else {
                    continue;
                };
                let handed_on = target.starts_with(place) && handed_on(code, way.at, &way.called);
                if target != *place && target.first() == place.first() && !handed_on {
                    named.insert(target);
                }
            }
        }
        arrows
    }

    /// The groups of files of a floor that name each other round, each sorted, the greatest first.
    pub fn circles(&self, floor: &str) -> Vec<Vec<String>> {
        let arrows = self.arrows(floor);
        let reached: BTreeMap<&Place, BTreeSet<&Place>> =
            arrows.keys().map(|from| (from, reach(&arrows, from))).collect();
        let mut circles: BTreeSet<Vec<String>> = BTreeSet::new();
        for (from, forth) in &reached {
            let mut circle: Vec<String> = forth
                .iter()
                .filter(|to| reached.get(*to).is_some_and(|back| back.contains(*from)))
                .map(|to| to.join("/"))
                .collect();
            if circle.len() > 1 {
                circle.sort();
                circles.insert(circle);
            }
        }
        let mut circles: Vec<Vec<String>> = circles.into_iter().collect();
        circles.sort_by_key(|circle| std::cmp::Reverse(circle.len()));
        circles
    }
}

/// All that can be reached along one or more arrows.
fn reach<'a>(arrows: &'a BTreeMap<Place, BTreeSet<Place>>, from: &Place) -> BTreeSet<&'a Place> {
    let mut found = BTreeSet::new();
    let mut open: Vec<&Place> = arrows.get(from).into_iter().flatten().collect();
    while let Some(place) = open.pop() {
        if found.insert(place) {
            open.extend(arrows.get(place).into_iter().flatten());
        }
    }
    found
}

/// `record/wear.rs` is the module `record::wear`, `record/mod.rs` is `record`.
fn place_of(path: &str) -> Place {
    let path = path.strip_suffix(".rs").unwrap_or(path);
    let mut names: Place = path.split('/').map(str::to_string).collect();
    if names.last().is_some_and(|last| last == "mod") {
        names.pop();
    }
    names
}

/// Code without its modules of tests.
fn without_tests(code: Vec<Token>) -> Vec<Token> {
    let text = |n: usize| code.get(n).map_or("", |token| token.text.as_str());
    let marks = ["#", "[", "cfg", "(", "test", ")", "]"];
    let mut kept = Vec::new();
    let mut n = 0;
    while n < code.len() {
        let marked = marks.iter().enumerate().all(|(k, mark)| text(n + k) == *mark);
        if !marked {
            kept.push(code[n].clone());
            n += 1;
            continue;
        }
        // what the mark stands before: up to its semicolon, or to the end of its braces
        let mut depth = 0_usize;
        loop {
            match text(n) {
                "{" => depth += 1,
                "}" => depth = depth.saturating_sub(1),
                _ => {}
            }
            let ends = n >= code.len() || (depth == 0 && matches!(text(n), ";" | "}"));
            n += 1;
            if ends {
                break;
            }
        }
    }
    kept
}

/// Every name that a `use` brings, with the whole way to it.
fn uses(code: &[Token]) -> Vec<Way> {
    let mut ways = Vec::new();
    for (n, token) in code.iter().enumerate() {
        // `use<'a>` in a type says what it captures and brings no name
        let captures = code.get(n + 1).is_some_and(|next| next.text == "<");
        if token.text == "use" && !captures {
            branch(code, n + 1, n, &[], &mut ways);
        }
    }
    ways
}

/// One branch of the tree of a `use`; gives the place after it.
fn branch(code: &[Token], mut n: usize, at: usize, before: &[String], ways: &mut Vec<Way>) -> usize {
    let text = |n: usize| code.get(n).map_or("", |token| token.text.as_str());
    let mut names = before.to_vec();
    loop {
        match text(n) {
            "{" => {
                n += 1;
                while !matches!(text(n), "}" | "") {
                    n = branch(code, n, at, &names, ways);
                    if text(n) == "," {
                        n += 1;
                    }
                }
                return n + 1;
            }
            "::" => n += 1,
            name if !matches!(name, "," | "}" | ";" | "as" | "") => {
                names.push(name.to_string());
                n += 1;
            }
            _ => break,
        }
    }
    let mut called = names.last().cloned().unwrap_or_default();
    if text(n) == "as" {
        called = text(n + 1).to_string();
        n += 2;
    }
    ways.push(Way { names, called, at });
    n
}

/// Every path in code that begins at the root or climbs, outside a `use`.
fn paths(code: &[Token]) -> Vec<Way> {
    let text = |n: usize| code.get(n).map_or("", |token| token.text.as_str());
    let mut ways = Vec::new();
    for n in 0..code.len() {
        let begins = matches!(text(n), "crate" | "super") && text(n + 1) == "::";
        if !begins || (n > 0 && text(n - 1) == "::") {
            continue;
        }
        let mut names = vec![text(n).to_string()];
        let mut next = n + 1;
        while text(next) == "::" && text(next + 1).starts_with(|c: char| c.is_alphabetic() || c == '_') {
            names.push(text(next + 1).to_string());
            next += 2;
        }
        let called = names.last().cloned().unwrap_or_default();
        ways.push(Way { names, called, at: n });
    }
    ways
}

/// Whether a name that a `use` brings is for others: `pub use`, and not used by the code itself.
fn handed_on(code: &[Token], at: usize, called: &str) -> bool {
    let before = at.checked_sub(1).map_or("", |n| code[n].text.as_str());
    let for_others = before == "pub" || before == ")";
    for_others && code.iter().filter(|token| token.text == called).count() == 1
}

#[test]
fn no_file_of_a_floor_stands_in_a_circle() {
    let sources = super::library();
    assert!(sources.len() > 200, "only {} files were read", sources.len());
    let files = Files::new(
        sources
            .iter()
            .map(|(path, source)| (path.as_str(), source.as_str())),
    );
    let found: Vec<String> = super::floors()
        .iter()
        .flat_map(|floor| files.circles(&floor.name))
        .map(|circle| circle.join(", "))
        .collect();
    assert!(
        found.is_empty(),
        "files that name each other round:\n{}",
        found.join("\n")
    );
}

#[cfg(test)]
fn circles_of(sources: &[(&str, &str)]) -> Vec<Vec<String>> {
    Files::new(sources.iter().copied()).circles("a")
}

#[test]
fn a_circle_is_found_however_it_is_named() {
    let other = "use super::two::B; pub struct A;";
    for back in [
        "use super::one::A;",
        "use crate::a::one::A;",
        "use super::{three, one::{self, A as C}};",
        "use super::A;",
        "use crate::a::A;",
        "fn f() -> super::one::A { }",
        "fn f() -> crate::a::A { }",
        "use crate::{b::X, a::{A, three}};",
    ] {
        let door = "mod one; mod two; pub use one::A; pub use two::{B, C};";
        let found = circles_of(&[("a/mod.rs", door), ("a/one.rs", other), ("a/two.rs", back)]);
        assert_eq!(found, [["a/one", "a/two"]], "{back}");
    }
}

#[test]
fn what_is_no_circle_is_let_by() {
    for back in [
        "// use super::one::A;",
        "use crate::b::one::A;",
        "#[cfg(test)] mod tests { use super::super::one::A; fn f() { { } } }",
        "#[cfg(test)] use super::one::A;",
        "let a = \"super::one::A\";",
        "use super::three::A;",
    ] {
        let door = "mod one; mod two; pub use one::A; pub use two::{B, C};";
        let found = circles_of(&[
            ("a/mod.rs", door),
            ("a/one.rs", "use super::two::B;"),
            ("a/two.rs", back),
            ("a/three.rs", ""),
            ("b/one.rs", "use crate::a::two::B;"),
        ]);
        assert!(found.is_empty(), "{back}: {found:?}");
    }
}

#[test]
fn a_module_and_the_files_under_it_can_be_a_circle_too() {
    let under = ("a/one.rs", "use super::Kept;");
    let made = ("a/mod.rs", "mod one; use one::A; pub struct Kept(A);");
    assert_eq!(circles_of(&[made, under]), [["a", "a/one"]]);
    let handed = ("a/mod.rs", "mod one; pub use one::A; pub struct Kept;");
    assert!(circles_of(&[handed, under]).is_empty());
    let deep = [
        ("a/mod.rs", "mod two; mod one; pub use two::B;"),
        ("a/two/mod.rs", "mod part; pub use part::B;"),
        ("a/two/part.rs", "use crate::a::one::A;"),
        ("a/one.rs", "use super::B;"),
    ];
    assert_eq!(circles_of(&deep), [["a/one", "a/two/part"]]);
}

#[test]
fn what_a_type_captures_is_no_import() {
    let captures =
        "fn f<'a, T>(a: &'a [T]) -> impl Iterator<Item = &'a T> + use<'a, T> { let b = a; b.iter() }";
    for (back, circle) in [("", false), ("use super::one::A;", true)] {
        let two = format!("{captures} {back} fn g() -> impl Sized + use<> {{ let a = 1; a }}");
        let found = circles_of(&[
            ("a/mod.rs", "mod one; mod two;"),
            ("a/one.rs", "use super::two::g;"),
            ("a/two.rs", &two),
        ]);
        assert_eq!(!found.is_empty(), circle, "{back}");
    }
}
