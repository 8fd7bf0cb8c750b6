//! The documentation of formulas: an example, a source, and a table of the symbols that is true.

use super::tokens::tokens;
use super::{first_name, root, rust_files, shown};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;

/// How the table of a formula's symbols begins.
const TABLE: &str = "| symbol | parameter | unit |";
/// What the documentation of a formula has, in this order.
const ORDER: [&str; 5] = ["```text", TABLE, "Source: ", "# Errors", "# Example"];

fn sources_of(floor: &str) -> Vec<(PathBuf, String)> {
    rust_files(&root().join("src").join(floor))
        .into_iter()
        .map(|path| (path.clone(), fs::read_to_string(path).unwrap()))
        .collect()
}

/// A public function with its documentation and what it takes.
struct Documented {
    line: usize,
    name: String,
    /// The type that it belongs to.
    of: Option<String>,
    docs: String,
    takes_only_itself: bool,
    /// From its name to its body.
    signature: String,
}

/// The doc comment above a line.
fn docs_above(lines: &[&str], n: usize) -> String {
    let mut docs: Vec<&str> = lines[..n]
        .iter()
        .rev()
        .map(|line| line.trim_start())
        .take_while(|line| line.starts_with("///") || line.starts_with("#["))
        .filter_map(|line| line.strip_prefix("///"))
        .collect();
    docs.reverse();
    docs.join("\n")
}

/// The public types of a source with their documentation.
fn public_types(source: &str) -> BTreeMap<String, String> {
    let lines: Vec<&str> = source.lines().collect();
    let start = |line: &str| {
        line.strip_prefix("pub struct ")
            .or_else(|| line.strip_prefix("pub enum "))
            .map(first_name)
    };
    lines
        .iter()
        .enumerate()
        .filter_map(|(n, line)| Some((start(line)?, docs_above(&lines, n))))
        .collect()
}

/// The public functions of a source, each with the doc comment above it.
fn public_functions(source: &str) -> Vec<Documented> {
    let lines: Vec<&str> = source.lines().collect();
    let mut found = Vec::new();
    let mut of = None;
    for (n, line) in lines.iter().enumerate() {
        if let Some(name) = line.strip_prefix("impl ") {
            of = Some(first_name(name));
        } else if *line == "}" {
            of = None;
        }
        let start = line.trim_start();
        let Some(signature) = start
            .strip_prefix("pub fn ")
            .or_else(|| start.strip_prefix("pub const fn "))
        else {
            continue;
        };
        let whole = lines[n..].join(" ");
        let inside = whole.split_once('(').map_or("", |(_, after)| after);
        let inside = inside.split_once(')').map_or("", |(before, _)| before).trim();
        found.push(Documented {
            line: n + 1,
            name: first_name(signature),
            of: of.clone(),
            docs: docs_above(&lines, n),
            takes_only_itself: matches!(inside.trim_end_matches(','), "self" | "&self"),
            signature: whole.split('{').next().unwrap_or_default().to_string(),
        });
    }
    found
}

/// What a formula's documentation lacks. The example and the source of a method may stand at its type, which they are
/// for as a whole.
fn lacks(function: &Documented, types: &BTreeMap<String, String>) -> Option<&'static str> {
    if function.takes_only_itself {
        return None;
    }
    let of_type = function.of.as_ref().and_then(|of| types.get(of));
    let docs = format!("{}\n{}", function.docs, of_type.map_or("", String::as_str));
    if function.docs.is_empty() || !docs.contains("```") {
        return Some("an example");
    }
    let sourced = ["Source", "source", "common practice", "ISO ", "DIN "]
        .iter()
        .any(|word| docs.contains(word));
    (!sourced).then_some("a source")
}

#[test]
fn every_formula_has_an_example_and_a_source() {
    let mut found = Vec::new();
    let mut seen = 0;
    let sources = sources_of("mechanics");
    let types = sources
        .iter()
        .flat_map(|(_, source)| public_types(source))
        .collect();
    for (path, source) in &sources {
        for function in public_functions(source) {
            seen += 1;
            if let Some(what) = lacks(&function, &types) {
                found.push(format!(
                    "{}:{}: {} lacks {what}",
                    shown(path),
                    function.line,
                    function.name
                ));
            }
        }
    }
    assert!(seen > 50, "only {seen} functions were seen");
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn a_formula_without_an_example_or_a_source_is_found() {
    let one = |text: &str| lacks(&public_functions(text)[0], &public_types(text));
    let of_type = "pub struct A;\nimpl A {\n    /// Words.\n    pub fn f(a: f64) {}\n}\n";
    assert_eq!(
        one(&format!("/// Source: a book.\n/// ```\n/// ```\n{of_type}")),
        None
    );
    assert_eq!(
        one(&format!("/// Source: a book.\n{of_type}")),
        Some("an example")
    );
    let after = format!("/// Source: a book.\n/// ```\n/// ```\n{of_type}/// Words.\npub fn g(a: f64) {{");
    assert_eq!(
        lacks(&public_functions(&after)[1], &public_types(&after)),
        Some("an example")
    );
    assert_eq!(one("pub fn f(a: f64) -> f64 {"), Some("an example"));
    assert_eq!(one("/// Source: a book.\npub fn f(a: f64) {"), Some("an example"));
    assert_eq!(
        one("/// ```\n/// f(1.0);\n/// ```\npub fn f(a: f64) {"),
        Some("a source")
    );
    assert_eq!(
        one("/// Source: a book.\n/// ```\n/// ```\n#[must_use]\npub fn f(a: f64) {"),
        None
    );
    assert_eq!(
        one("    /// The radius.\n    pub fn radius(&self) -> f64 {"),
        None
    );
    assert_eq!(
        one("    pub const fn radius(\n        self,\n    ) -> f64 {"),
        None
    );
    assert_eq!(
        one("    pub fn radius(&self, a: f64) -> f64 {"),
        Some("an example")
    );
    assert!(public_functions("pub(super) fn f(a: f64) {\nfn g() {").is_empty());
}

/// What can be read of each public type of a source: its public fields, and what a method of it gives that takes it alone.
fn members(source: &str) -> BTreeMap<String, BTreeSet<String>> {
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut of = None;
    for line in source.lines() {
        if let Some(name) = line.strip_prefix("pub struct ") {
            of = Some(first_name(name));
        } else if line.starts_with('}') {
            of = None;
        }
        let field = line
            .strip_prefix("    pub ")
            .and_then(|rest| rest.split_once(": "));
        if let (Some(of), Some((field, _))) = (&of, field)
            && field == first_name(field)
        {
            found.entry(of.clone()).or_default().insert(field.to_string());
        }
    }
    for function in public_functions(source)
        .into_iter()
        .filter(|f| f.takes_only_itself)
    {
        let of = function.of.unwrap_or_default();
        found.entry(of).or_default().insert(function.name);
    }
    found
}

/// The public types of a source: what they take is their public fields, and what their methods take.
fn types_with_what_they_take(source: &str, functions: &[Documented]) -> Vec<Documented> {
    let fields = |name: &str| -> String {
        let start = format!("pub struct {name} {{");
        source
            .lines()
            .skip_while(|line| *line != start)
            .take_while(|line| *line != "}")
            .filter(|line| line.starts_with("    pub "))
            .collect()
    };
    public_types(source)
        .into_iter()
        .map(|(name, docs)| {
            let methods = functions.iter().filter(|f| f.of.as_ref() == Some(&name));
            let taken: String = methods.map(|method| method.signature.as_str()).collect();
            Documented {
                line: 1,
                of: Some(name.clone()),
                docs,
                takes_only_itself: false,
                signature: fields(&name) + &taken,
                name,
            }
        })
        .collect()
}

/// What the table of a formula's symbols lacks, or says that the code does not.
fn wrong_with_symbols(function: &Documented, members: &BTreeMap<String, BTreeSet<String>>) -> Vec<String> {
    let lines: Vec<&str> = function.docs.lines().map(str::trim).collect();
    let place = |part: &str| lines.iter().position(|line| line.starts_with(part));
    if place("```text").is_none() {
        return Vec::new();
    }
    let Some(table) = place(TABLE) else {
        return vec!["a formula without a table of its symbols".into()];
    };
    let mut wrong = Vec::new();
    let order: Vec<usize> = ORDER.iter().filter_map(|part| place(part)).collect();
    if !order.is_sorted() || place("Source: ").is_none() {
        wrong.push(format!("not in the order {ORDER:?}"));
    }
    let code = tokens(&function.signature);
    // `a: A`, and of `[a, b]: [A; 2]` both
    let mut parameters: BTreeSet<&str> = BTreeSet::new();
    for (n, _) in code.iter().enumerate().filter(|(_, token)| token.text == ":") {
        let names = code[..n].iter().rev().map(|token| token.text.as_str());
        let pattern = names.clone().next().is_some_and(|name| matches!(name, "]" | ")"));
        let many = if pattern { usize::MAX } else { 1 };
        parameters.extend(names.take_while(|name| !matches!(*name, "[" | "(")).take(many));
    }
    let types = code.iter().map(|token| &token.text).chain(&function.of);
    let readable: BTreeSet<&str> = types
        .filter_map(|name| members.get(name))
        .flatten()
        .map(String::as_str)
        .collect();
    let rows: Vec<&str> = lines[table + 1..]
        .iter()
        .copied()
        .take_while(|line| line.starts_with('|'))
        .collect();
    if rows.len() < 2 {
        wrong.push("a table without a symbol".into());
    }
    for row in rows {
        if row.matches('|').count() != 4 {
            wrong.push(format!("a row that has not three cells: {row}"));
        }
        for named in row
            .replace("[`", "[")
            .replace("`]", "]")
            .split('`')
            .skip(1)
            .step_by(2)
        {
            let mut path = named.split('.');
            let first = path.next().unwrap_or_default();
            let known = parameters.contains(first) || readable.contains(first);
            if !known || !path.all(|name| readable.contains(name)) {
                wrong.push(format!("nothing that it takes is called {named}"));
            }
        }
    }
    wrong
}

#[test]
fn every_symbol_of_a_formula_is_named_with_its_parameter() {
    let sources = [sources_of("mechanics"), sources_of("metrology")].concat();
    let mut readable: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (name, own) in sources.iter().flat_map(|(_, source)| members(source)) {
        readable.entry(name).or_default().extend(own);
    }
    let mut found = Vec::new();
    let mut seen = 0;
    for (path, source) in &sources {
        let functions = public_functions(source);
        let types = types_with_what_they_take(source, &functions);
        for documented in functions.iter().chain(&types) {
            seen += usize::from(documented.docs.contains(TABLE));
            for wrong in wrong_with_symbols(documented, &readable) {
                found.push(format!(
                    "{}:{}: {}: {wrong}",
                    shown(path),
                    documented.line,
                    documented.name
                ));
            }
        }
    }
    assert!(seen > 50, "only {seen} tables were seen");
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn a_symbol_that_is_no_parameter_is_found() {
    let types = "pub struct A {\n    /// Words.\n    pub mass: f64,\n    hidden: f64,\n}\n\nimpl A {\n    pub fn length(self) -> f64 {";
    let wrong = |docs: &str, signature: &str| {
        let source = docs
            .lines()
            .map(|line| format!("/// {line}\n"))
            .collect::<String>();
        wrong_with_symbols(&public_functions(&(source + signature))[0], &members(types))
    };
    let formula = "Words.\n\n```text\nF = m a\n```\n";
    let table =
        |row: &str| format!("{formula}\n{TABLE}\n|---|---|---|\n{row}\n\nSource: a book.\n\n# Errors\n");
    let fine = "| m | `a.mass`, `a.length` of [`crate::Other`] | kg, above `b` |";
    assert!(wrong(&table(fine), "pub fn f(a: &A, b: f64) -> f64 {").is_empty());
    assert!(wrong("Words.", "pub fn f(a: &A) -> f64 {").is_empty());
    assert!(wrong(&table(fine), "pub fn f(\n    [a, b]: [A; 2],\n) -> f64 {").is_empty());
    for (row, signature, many) in [
        (fine, "pub fn f(a: &A) -> f64 {", 1),
        (fine, "pub fn f(c: &A, b: f64) -> f64 {", 2),
        (fine, "pub fn f(a: &B, b: f64) -> f64 {", 2),
        ("| m | `a.hidden` | kg |", "pub fn f(a: &A) -> f64 {", 1),
        ("| m | `a` |", "pub fn f(a: &A) -> f64 {", 1),
        ("", "pub fn f(a: &A) -> f64 {", 1),
    ] {
        assert_eq!(wrong(&table(row), signature).len(), many, "{row} {signature}");
    }
    assert_eq!(
        wrong(formula, "pub fn f(a: &A) {"),
        ["a formula without a table of its symbols"]
    );
    let source = format!(
        "{}pub struct C {{\n    pub a: A,\n}}\n\nimpl C {{\n    pub fn f(&self, b: f64) -> f64 {{\n",
        table(fine)
            .lines()
            .map(|line| format!("/// {line}\n"))
            .collect::<String>()
    );
    let of_type = |source: &str| {
        let found = types_with_what_they_take(source, &public_functions(source));
        wrong_with_symbols(&found[0], &members(types))
    };
    assert!(of_type(&source).is_empty());
    assert_eq!(of_type(&source.replace("b: f64", "c: f64")).len(), 1);
    let late = table(fine).replace("Source: a book.\n\n# Errors\n", "# Errors\n\nSource: a book.\n");
    assert_eq!(wrong(&late, "pub fn f(a: &A, b: f64) {").len(), 1);
}
