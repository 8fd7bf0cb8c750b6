//! The sheet as a page of HTML: well-formed, whole by itself, with every text of the paper in it, and whatever was typed is text.

use crate::sheet_builds::{full, unfinished};
use crate::skipped::skipped;
use crate::{ask, samples};
use shimwright::record::{Build, Remark, RemarkKind};
use shimwright::sheet::{Item, Paper, html, on_paper, pages, pdf};
use std::collections::BTreeSet;
use std::io::Write;
use std::process::{Command, Stdio};

/// The elements that a page is made of: none runs, loads or leads anywhere.
const ELEMENTS: [&str; 38] = [
    "html",
    "head",
    "meta",
    "title",
    "style",
    "body",
    "header",
    "main",
    "section",
    "footer",
    "div",
    "p",
    "span",
    "h1",
    "h2",
    "dl",
    "dt",
    "dd",
    "table",
    "thead",
    "tbody",
    "tr",
    "th",
    "td",
    "strong",
    "wbr",
    "figure",
    "figcaption",
    "svg",
    "desc",
    "text",
    "polyline",
    "polygon",
    "path",
    "rect",
    "g",
    "line",
    "circle",
];

/// An element as it is begun, and the words of a page.
struct Parsed {
    elements: Vec<(String, Vec<(String, String)>)>,
    text: String,
}

fn unescaped(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('&') {
        let (name, behind) = after.split_once(';').unwrap();
        out.push_str(before);
        out.push(match name {
            "amp" => '&',
            "lt" => '<',
            "gt" => '>',
            "quot" => '"',
            other => panic!("{other} is not known to XML"),
        });
        rest = behind;
    }
    out + rest
}

/// Reads a page as strictly as XML (W3C, Extensible Markup Language 1.0, section 2.1) is: each element ended where it was begun
/// and each attribute in quotation marks.
fn parsed(page: &str) -> Parsed {
    let mut read = Parsed {
        elements: Vec::new(),
        text: String::new(),
    };
    let mut open: Vec<String> = Vec::new();
    let mut rest = page.strip_prefix("<!DOCTYPE html>\n").unwrap();
    while let Some((text, after)) = rest.split_once('<') {
        if open.last().is_none_or(|name| name != "style") {
            read.text.push_str(&unescaped(text));
        }
        if let Some(comment) = after.strip_prefix("!--") {
            rest = comment.split_once("-->").unwrap().1;
            continue;
        }
        let (tag, behind) = after.split_once('>').unwrap();
        rest = behind;
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop().as_deref(), Some(name));
            read.text.push('\n');
            continue;
        }
        let (tag, empty) = tag.strip_suffix('/').map_or((tag, false), |tag| (tag, true));
        let (name, mut given) = tag.split_once(' ').unwrap_or((tag, ""));
        let mut attributes = Vec::new();
        while let Some((key, value)) = given.split_once("=\"") {
            let (value, more) = value.split_once('"').unwrap();
            attributes.push((key.trim().to_string(), unescaped(value)));
            given = more;
        }
        assert!(given.trim().is_empty(), "{tag}");
        read.elements.push((name.to_string(), attributes));
        if !empty {
            open.push(name.to_string());
        }
    }
    assert!(open.is_empty() && rest.trim().is_empty(), "{open:?} {rest}");
    read
}

fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_page_is_well_formed_and_needs_nothing_but_itself() {
    for (name, build) in samples() {
        for paper in crate::PAPERS {
            let page = html(&build, paper);
            assert_eq!(page, html(&build, paper), "{name}");
            let read = parsed(&page);
            let used: BTreeSet<&str> = read.elements.iter().map(|(name, _)| name.as_str()).collect();
            let other: Vec<&&str> = used.iter().filter(|name| !ELEMENTS.contains(name)).collect();
            assert!(other.is_empty(), "{name}: {other:?}");
            let count = |name: &str| read.elements.iter().filter(|(known, _)| known == name).count();
            assert_eq!(count("h1"), 1, "{name}");
            // each picture tells what it is and what it shows; the page has a title of its own
            assert_eq!(
                (count("title"), count("desc")),
                (count("svg") + 1, count("svg")),
                "{name}"
            );
            for (element, attributes) in &read.elements {
                let key = |key: &str| attributes.iter().any(|(known, _)| known == key);
                assert!(element != "th" || key("scope"), "{name}");
                assert!(element != "td" || key("data-label"), "{name}");
                assert!(
                    element != "html" || attributes == &[("lang".into(), "en".into())],
                    "{name}"
                );
                for (key, _) in attributes {
                    assert!(
                        !["src", "href"].contains(&key.as_str()) && !key.starts_with("on"),
                        "{name}"
                    );
                }
            }
        }
        let page = html(&build, Paper::A4);
        for word in ["http", "<script", "url(", "@import", "//"] {
            assert!(!page.contains(word), "{name}: {word}");
        }
        let lines = |paper| {
            html(&build, paper)
                .lines()
                .map(str::to_string)
                .collect::<Vec<_>>()
        };
        let (a4, letter) = (lines(Paper::A4), lines(Paper::Letter));
        let apart = a4.iter().zip(&letter).filter(|(one, other)| one != other).count();
        assert_eq!(
            (a4.len(), apart),
            (letter.len(), 2),
            "{name}: the paper, and the mark at the end"
        );
    }
}

#[test]
fn nothing_that_is_drawn_lies_outside_its_picture() {
    for (name, build) in samples() {
        let (mut wide, mut texts) = (0.0, 0);
        for (element, attributes) in parsed(&html(&build, Paper::A4)).elements {
            let of = |key: &str| {
                attributes
                    .iter()
                    .find(|(known, _)| known == key)
                    .map(|(_, value)| value.clone())
            };
            let number = |key: &str| of(key).unwrap().parse::<f64>().unwrap();
            if element == "svg" {
                wide = of("width").unwrap().strip_suffix("mm").unwrap().parse().unwrap();
            }
            if element == "text" {
                let (from, long) = (number("x"), number("textLength"));
                assert!(
                    from >= -0.01 && from + long <= wide + 0.01,
                    "{name}: {attributes:?} in {wide}"
                );
                texts += 1;
            }
        }
        assert!(texts > 40 || build.packs.is_empty(), "{name}: {texts}");
    }
}

#[test]
fn another_programs_reader_of_xml_takes_a_page() {
    for (name, build) in samples() {
        let script =
            "import sys, xml.etree.ElementTree as e; print(e.fromstring(sys.stdin.buffer.read()).tag)";
        let child = Command::new("python3")
            .args(["-c", script])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn();
        let mut child = match child {
            Ok(child) => child,
            Err(error) => return skipped(&format!("python3 does not read a page: {error}")),
        };
        child
            .stdin
            .take()
            .unwrap()
            .write_all(html(&build, Paper::A4).as_bytes())
            .unwrap();
        let read = child.wait_with_output().unwrap();
        assert_eq!(String::from_utf8(read.stdout).unwrap(), "html\n", "{name}");
    }
}

#[test]
fn every_text_of_the_paper_stands_in_the_page() {
    for (name, build) in samples() {
        // paper shows the number of a letter that its font lacks
        let read = on_paper(&plain(&parsed(&html(&build, Paper::A4)).text)).into_owned();
        // a word that was too long for its line is whole here
        let closed: String = read.split(' ').collect();
        let paper = pages(&build, Paper::A4);
        let count = paper.len();
        for (n, page) in paper.iter().enumerate() {
            let foot = format!("page {} of {count}", n + 1);
            for item in &page.items {
                let (Item::Text { text, .. } | Item::Mark { text, .. }) = item else {
                    continue;
                };
                // what was cut to its room ends so
                let text = plain(text.trim_end_matches('…'));
                let running = n > 0 && text == "Build sheet";
                let there = read.contains(&text) || closed.contains(&text.split(' ').collect::<String>());
                assert!(
                    there || running || text == foot,
                    "{name}: {text:?} is not in the page"
                );
            }
        }
    }
}

#[test]
fn each_word_that_another_reader_finds_on_paper_is_in_the_page() {
    let build = full();
    let Some((_, paper)) = ask(
        "pdftotext",
        &["-raw", "FILE", "-"],
        &pdf(&build, Paper::A4).unwrap(),
    ) else {
        return;
    };
    let read = parsed(&html(&build, Paper::A4)).text;
    let words: BTreeSet<&str> = read.split_whitespace().collect();
    let missing: Vec<&str> = paper
        .split_whitespace()
        .filter(|word| !words.contains(word) && *word != "page")
        .collect();
    // a narrow column breaks a word, and the head of the later pages begins with a capital
    let whole = |word: &&str| words.iter().any(|known| known.contains(*word));
    assert!(
        missing.iter().all(|word| whole(word) || *word == "Build") && missing.len() < 10,
        "{missing:?}"
    );
    assert!(paper.split_whitespace().count() > 500);
    for digest in ["0123 4567 89ab cdef", build.digest.get(60..).unwrap()] {
        assert!(plain(&read).contains(digest), "{digest}");
    }
}

/// A build that somebody wrote marks, endings and steering characters into wherever something is typed.
fn hostile() -> (Build, &'static str) {
    let typed = "<script>alert(1)</script> & </p></td>\"'--><b>\u{202e}evil\u{202c}\u{0}";
    let mut build = full();
    build.remarks.push(Remark {
        kind: RemarkKind::Note,
        text: typed.into(),
        ..build.remarks[0].clone()
    });
    build.id = typed.into();
    build.unit_name = typed.into();
    build.identity.push((typed.into(), typed.into()));
    build.open.push(typed.into());
    build.packs[0].layers[1].name = typed.into();
    build.plates[0].name = typed.into();
    build.procedure.spoken.language = "de\" onload=\"x".into();
    build.cautions[0].words = vec![typed.into()];
    (
        build,
        "<script>alert(1)</script> & </p></td>\"'--><b>[U+202E]evil[U+202C][U+0000]",
    )
}

#[test]
fn whatever_was_typed_is_text() {
    let (build, shown) = hostile();
    let page = html(&build, Paper::A4);
    let read = parsed(&page);
    assert!(
        read.elements
            .iter()
            .all(|(name, _)| ELEMENTS.contains(&name.as_str()))
    );
    for (_, attributes) in &read.elements {
        assert!(attributes.iter().all(|(key, _)| key != "onload"));
    }
    let found = read.text.matches(shown).count();
    // title, band, head, label and value, an open point, a remark, a plate, a caution and the words of a picture
    assert!(found >= 9, "{found}");
    assert!(!page.contains(['\u{202e}', '\u{202c}', '\u{0}']) && !page.contains("<script"));
    // a word without end may be broken somewhere
    let breaks = |build: &Build| html(build, Paper::A4).matches("<wbr/>").count();
    let (mut long, before) = (full(), breaks(&full()));
    long.remarks[0].text = "x".repeat(100);
    assert_eq!(breaks(&long), before + 4);
}

#[test]
fn a_number_and_its_unit_stay_on_one_line() {
    let text = parsed(&html(&full(), Paper::A4)).text;
    let units = ["mm", "N·m", "N", "km", "l"];
    let mut kept = 0;
    for (at, _) in text.match_indices([' ', '\u{a0}']) {
        let number = text[..at].ends_with(|c: char| c.is_ascii_digit());
        let gap = text[at..].chars().next().unwrap();
        let behind = text[at + gap.len_utf8()..]
            .split_whitespace()
            .next()
            .unwrap_or("");
        if number && units.contains(&behind.trim_end_matches([',', ';'])) {
            assert_eq!(gap, '\u{a0}', "{:?}", &text[at..(at + 12).min(text.len())]);
            kept += 1;
        }
    }
    assert!(kept > 50, "{kept}");
}

#[test]
fn cautions_in_another_language_say_so_and_what_is_not_finished_says_so() {
    let mut build = full();
    let german = |build: &Build| {
        html(build, Paper::A4)
            .matches("<p class=\"caution\" lang=\"de\">")
            .count()
    };
    assert_eq!(german(&build), 0);
    build.procedure.spoken.language = "de".into();
    assert_eq!(german(&build), build.cautions.len());
    // what is told where none is on record is English
    build.cautions.clear();
    assert_eq!(german(&build), 0);
    let page = html(&unfinished(), Paper::A4);
    assert!(
        page.contains("<body class=\"unfinished\">") && page.contains("<p class=\"state\">UNFINISHED</p>")
    );
    assert!(!html(&full(), Paper::A4).contains("<p class=\"state\">"));
}
