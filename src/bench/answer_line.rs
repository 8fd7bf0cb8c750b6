//! One line of an answers file: how it is written and read.

use super::control::{Word, control};
use crate::procedure::Reply;
use crate::quantity::visible;
use crate::record::Slot;
use crate::record::phrase::Spoken;

/// One line of an answers file, without its line break, which [`Answers`](super::Answers) reads back as it was.
///
/// ```
/// use shimwright::bench::answers_line;
/// use shimwright::procedure::Reply;
/// use shimwright::record::Slot;
/// let slot = Slot { round: 1, step: "oil".into(), item: None, point: None };
/// assert_eq!(answers_line(&slot, &Reply::Answer("black".into())), "oil = black");
/// assert_eq!(answers_line(&slot, &Reply::Answer("!black".into())), "oil = \"!black\"");
/// ```
pub fn answers_line(slot: &Slot, reply: &Reply) -> String {
    let name = match reply {
        Reply::Row(_) => ROW.to_string(),
        _ => slot.to_string(),
    };
    let name = if name.is_empty() || name.contains('=') || name.starts_with('#') {
        quoted(&name)
    } else {
        quoted_if_needed(&name)
    };
    let text = match reply {
        Reply::Answer(text) | Reply::Row(text) if text.starts_with('!') => quoted(text),
        Reply::ByRows(true) => "!rows".into(),
        Reply::ByRows(false) => "!one".into(),
        Reply::Answer(text) | Reply::Row(text) => quoted_if_needed(text),
        Reply::Back => "!back".into(),
        Reply::BackBy(count) => format!("!back {count}"),
        Reply::Show => "!show".into(),
        Reply::Picture => "!picture".into(),
        Reply::Fix(text) if text.is_empty() => "!fix".into(),
        Reply::Fix(text) => format!("!fix {}", quoted_if_needed(text)),
        Reply::Who(text) => format!("!who {}", quoted_unless_empty(text)),
        Reply::Why => "!why".into(),
        Reply::Pause => "!pause".into(),
        Reply::Take => "!take".into(),
        Reply::Look => "!look".into(),
        Reply::Hint => "!hint".into(),
        Reply::Words(text) => format!("!words {}", quoted_unless_empty(text)),
        Reply::Note(text) => format!("!note {}", quoted_unless_empty(text)),
        Reply::Skip(text) => format!("!skip {}", quoted_unless_empty(text)),
    };
    format!("{name} = {text}").trim_end().to_string()
}

/// Without any words there must still be something behind `!note`.
fn quoted_unless_empty(text: &str) -> String {
    if text.is_empty() {
        quoted(text)
    } else {
        quoted_if_needed(text)
    }
}

fn quoted_if_needed(text: &str) -> String {
    let plain = text.trim() == text && !text.starts_with('"') && *text == *visible(text);
    if plain { text.to_string() } else { quoted(text) }
}

fn quoted(text: &str) -> String {
    let mut out = String::from('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            c if *visible(c.encode_utf8(&mut [0; 4])) != *c.encode_utf8(&mut [0; 4]) => {
                out.push_str(&format!("\\u{{{:x}}}", u32::from(c)));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// The name before a row of the rail, which answers several questions.
pub(super) const ROW: &str = "rail";

/// Reads `name = answer`, or `rail = G4 1.955 1.957 1.956 flat 0.02 glazed`.
pub(super) fn read(line: &str) -> Result<(String, Reply), String> {
    const WANTED: &str = "a line is the name of the question, =, the answer";
    let (name, rest) = if line.starts_with('"') {
        let (name, rest) = unquoted(line)?;
        let rest = rest
            .trim_start()
            .strip_prefix('=')
            .ok_or_else(|| format!("there is no \"=\"; {WANTED}"))?;
        (name, rest)
    } else {
        let (name, rest) = line
            .split_once('=')
            .ok_or_else(|| format!("there is no \"=\"; {WANTED}"))?;
        (name.trim().to_string(), rest)
    };
    if name.is_empty() {
        return Err(format!("there is no name before \"=\"; {WANTED}"));
    }
    Ok(match (name.as_str(), answer(rest.trim())?) {
        (ROW, Reply::Answer(row)) => (name, Reply::Row(row)),
        (_, reply) => (name, reply),
    })
}

fn answer(text: &str) -> Result<Reply, String> {
    if text.starts_with('"') {
        return Ok(Reply::Answer(whole(text)?));
    }
    // the words behind a control word may stand in quotes as well
    if let Some((word @ ("!note" | "!skip" | "!words" | "!fix" | "!who"), words)) =
        text.split_once(char::is_whitespace)
    {
        let words = words.trim();
        if words.starts_with('"') {
            let words = whole(words)?;
            return Ok(match word {
                "!note" => Reply::Note(words),
                "!words" => Reply::Words(words),
                "!fix" => Reply::Fix(words),
                "!who" => Reply::Who(words),
                _ => Reply::Skip(words),
            });
        }
    }
    match control(text, &Spoken::default())? {
        Word::Reply(reply) => Ok(reply),
        Word::Help => Err("!help has no use in a file".into()),
        Word::Answer => Ok(Reply::Answer(text.to_string())),
    }
}

/// A text in quotes with nothing behind it.
fn whole(text: &str) -> Result<String, String> {
    match unquoted(text)? {
        (text, "") => Ok(text),
        (_, rest) => Err(format!("\"{rest}\" stands behind the closing quote")),
    }
}

/// Takes a text in quotes off the front and gives it with the rest.
fn unquoted(text: &str) -> Result<(String, &str), String> {
    let mut out = String::new();
    let mut chars = text.char_indices().skip(1);
    while let Some((at, c)) = chars.next() {
        match c {
            '"' => return Ok((out, &text[at + 1..])),
            '\\' => match chars.next().map(|(_, c)| c) {
                Some('n') => out.push('\n'),
                Some('r') => out.push('\r'),
                Some('t') => out.push('\t'),
                Some(c @ ('"' | '\\')) => out.push(c),
                Some('u') => {
                    let digits: String = chars.by_ref().map(|(_, c)| c).take_while(|c| *c != '}').collect();
                    let c = digits
                        .strip_prefix('{')
                        .and_then(|digits| u32::from_str_radix(digits, 16).ok())
                        .and_then(char::from_u32);
                    out.push(c.ok_or_else(|| {
                        format!("\"\\u{digits}\" is no character; it is written \\u{{1b}}")
                    })?);
                }
                Some(c) => {
                    return Err(format!(
                        "\"\\{c}\" is not known in quotes; a backslash is written \\\\"
                    ));
                }
                None => break,
            },
            c => out.push(c),
        }
    }
    Err("the closing quote is missing".into())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn replies() -> impl Strategy<Value = Reply> {
        prop_oneof![
            any::<String>().prop_map(Reply::Answer),
            "[!#\"= a-c\\\\\r\n\t]{0,8}".prop_map(Reply::Answer),
            "!(back|why|pause|help|note|skip)?( [a-c]{1,3})?".prop_map(Reply::Answer),
            Just(Reply::Back),
            Just(Reply::Why),
            Just(Reply::Pause),
            Just(Reply::Take),
            Just(Reply::Look),
            Just(Reply::Picture),
            Just(Reply::Hint),
            ".*".prop_map(Reply::Words),
            any::<String>().prop_map(Reply::Note),
            any::<String>().prop_map(Reply::Skip),
        ]
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back(
            step in any::<String>(),
            item in proptest::option::of("[!#\"= a-c\\\\\r\n/]{0,6}"),
            point in proptest::option::of(1_u32..9),
            reply in replies(),
        ) {
            let asked = Slot { round: 1, step, item, point };
            prop_assume!(!asked.to_string().is_empty());
            let line = answers_line(&asked, &reply);
            prop_assert_eq!(line.lines().count(), 1, "{}", line);
            prop_assert_eq!(read(line.trim()), Ok((asked.to_string(), reply)));
        }

        #[test]
        fn no_text_at_all_makes_the_reader_fall_over(line in any::<String>()) {
            let _either = read(&line);
        }
    }
}
