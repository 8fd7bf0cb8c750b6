//! What is known of a question stands in its row: no other code decides by which question it is, and what it asks of a row it
//! asks for every kind.

use super::tokens::{Token, tokens};

/// Where the rows are.
const ROWS: &str = "procedure/rows/";
/// What a row is made of: whoever asks for one of these has an answer for each.
const KINDS: [&str; 12] = [
    "Subject",
    "Kind",
    "Reads",
    "Each",
    "Times",
    "Holds",
    "Work",
    "OnForm",
    "FormLimits",
    "OnSheet",
    "Measurand",
    "Sight",
];

/// Where code compares a field with one that it names, or matches on it.
fn decided_by_name(code: &[Token]) -> Vec<usize> {
    let text = |n: usize| code.get(n).map_or("", |token| token.text.as_str());
    (0..code.len())
        .filter(|n| {
            let named = text(*n) == "Field"
                && text(n + 1) == "::"
                && text(n + 2).chars().all(|c| c.is_ascii_uppercase() || c == '_');
            let end = n + 3;
            // `Some(Field::X)` is the field itself
            let wrapped = n.checked_sub(2).is_some_and(|before| text(before) == "Some");
            let (start, end) = if wrapped { (n - 2, end + 1) } else { (*n, end) };
            let before = |back: usize| start.checked_sub(back).map_or("", text);
            let compared_after = ["=", "!"].contains(&before(2)) && before(1) == "=";
            let compared_before = ["=", "!"].contains(&text(end)) && text(end + 1) == "=";
            let arm = text(end) == "=" && text(end + 1) == ">";
            named && (compared_after || compared_before || arm)
        })
        .map(|n| code[n].line)
        .collect()
}

/// The patterns of the arms of a match whose block opens at `open`.
fn patterns(code: &[Token], open: usize) -> Vec<&[Token]> {
    let mut found = Vec::new();
    let (mut depth, mut start) = (0_usize, open + 1);
    let mut in_pattern = true;
    for n in open..code.len() {
        match code[n].text.as_str() {
            "{" | "(" | "[" => depth += 1,
            "}" | ")" | "]" => {
                depth -= 1;
                if depth == 0 {
                    break;
                }
                // the block of an arm ends it
                if depth == 1 && !in_pattern && code[n].text == "}" {
                    (in_pattern, start) = (true, n + 1);
                }
            }
            "," if depth == 1 && !in_pattern => (in_pattern, start) = (true, n + 1),
            ">" if depth == 1 && in_pattern && code[n - 1].text == "=" => {
                found.push(&code[start..n - 1]);
                in_pattern = false;
            }
            _ => {}
        }
    }
    found
}

/// Where a match names one of the kinds and has an arm for all the rest.
fn with_a_rest(code: &[Token]) -> Vec<usize> {
    let is_rest = |pattern: &[Token]| {
        let words: Vec<&str> = pattern
            .iter()
            .map(|token| token.text.as_str())
            .filter(|text| *text != ",")
            .collect();
        let guard = words.iter().position(|word| *word == "if").unwrap_or(words.len());
        let mut words = words[..guard].iter();
        words.len() > 0 && words.all(|word| ["_", "(", ")"].contains(word))
    };
    let names_a_kind = |pattern: &[Token]| {
        pattern
            .windows(2)
            .any(|pair| KINDS.contains(&pair[0].text.as_str()) && pair[1].text == "::")
    };
    let opens = |from: usize| {
        let mut depth = 0_usize;
        (from..code.len()).find(|n| {
            match code[*n].text.as_str() {
                "(" | "[" => depth += 1,
                ")" | "]" => depth -= 1,
                "{" if depth == 0 => return true,
                _ => {}
            }
            false
        })
    };
    (0..code.len())
        .filter(|n| code[*n].text == "match")
        .filter(|n| {
            let Some(open) = opens(n + 1) else {
                return false;
            };
            let patterns = patterns(code, open);
            patterns.iter().any(|pattern| names_a_kind(pattern))
                && patterns.iter().any(|pattern| is_rest(pattern))
        })
        .map(|n| code[n].line)
        .collect()
}

#[test]
fn only_rows_know_by_name_what_a_question_is() {
    let mut faults = Vec::new();
    let mut rows = 0;
    for (path, source) in super::library() {
        if path.starts_with(ROWS) {
            rows += 1;
            continue;
        }
        let code = tokens(&source);
        let named = decided_by_name(&code).into_iter();
        faults.extend(named.map(|line| format!("{path}:{line} decides by the name of a field: ask its row")));
    }
    assert!(rows > 10, "only {rows} files of rows were found");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn whoever_asks_a_row_has_an_answer_for_every_kind() {
    let mut faults = Vec::new();
    for (path, source) in super::library() {
        // documents and drawings have kinds of their own
        if !path.starts_with("procedure/") && !path.starts_with("practice/") {
            continue;
        }
        let rest = with_a_rest(&tokens(&source)).into_iter();
        faults.extend(rest.map(|line| format!("{path}:{line} has an arm for all the rest")));
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn a_field_that_is_compared_or_matched_is_found() {
    for code in [
        "if field == Field::OIL { }",
        "if step.fills != Some(Field::SPARE_FLATNESS) { }",
        "let is = Some(Field::OIL) == step.fills;",
        "match field { Field::OIL => 1, other => 2 }",
    ] {
        assert_eq!(decided_by_name(&tokens(code)).len(), 1, "{code}");
    }
    for code in [
        "let job = self.job.asks(Field::OIL);",
        "let rests = &[Field::OIL, Field::DRAG];",
        "state.word(Field::HELD, 1, None)?.0 == \"case\"",
        "let field = Field::OIL;",
    ] {
        assert_eq!(decided_by_name(&tokens(code)).len(), 0, "{code}");
    }
}

#[test]
fn an_arm_for_all_the_rest_is_found() {
    for code in [
        "match each { Each::Plate => 1, _ => 2 }",
        "match each { Some(Each::Plate | Each::Spare) => { a(); } _ => {} }",
        "match (kind, n) { (Kind::Word, 1) => f(|x| { x }), (_, _) => 2 }",
        "match f(&[1]) { Reads::Text { odd } => odd, _ if x => 1, _ => 2 }",
        "match a { 1 => match b { Sight::Plate => 1, _ => 2 }, other => 3 }",
    ] {
        assert_eq!(with_a_rest(&tokens(code)).len(), 1, "{code}");
    }
    for code in [
        "match each { Each::Plate => 1, Each::Spare => 2 }",
        "match value { Value::Text(text) => 1, _ => 2 }",
        "match each { Each::Plate => match n { 1 => 1, _ => 2 }, Each::Spare => 2 }",
        "match (kind, n) { (Kind::Word, _) => 1, (Kind::Text, _) => 2 }",
    ] {
        assert_eq!(with_a_rest(&tokens(code)).len(), 0, "{code}");
    }
}
