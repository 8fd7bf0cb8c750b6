//! What the paper carries: the code, the digest, and what is said when they are held against the record.

use crate::fed::fed;
use crate::place::Place;
use crate::sealed::{ADA, BUILD, check, file, found, sealed, sign, unsigned};
use crate::sheet_builds::full;
use crate::skipped::skipped;
use serde_json::Value;
use shimwright::cli::{Exit, checked};
use shimwright::record::PaperText;
use shimwright::record::log_head::Head;
use shimwright::sheet::{Item, Paper, pages, pdf};
use std::fs;
use std::path::Path;
use std::process::Command;

/// A picture in greys, as `pdftoppm -gray` writes it (the PGM format of Netpbm).
#[derive(Clone)]
struct Picture {
    wide: usize,
    bytes: Vec<u8>,
    head: usize,
}

impl Picture {
    fn read(bytes: Vec<u8>) -> Picture {
        // "P5\nWIDE HIGH\n255\n"
        let mut ends = bytes
            .iter()
            .enumerate()
            .filter(|(_, b)| **b == b'\n')
            .map(|(at, _)| at);
        let (first, second, third) = (ends.next().unwrap(), ends.next().unwrap(), ends.next().unwrap());
        let size = std::str::from_utf8(&bytes[first + 1..second]).unwrap();
        let wide = size.split(' ').next().unwrap().parse().unwrap();
        Picture {
            wide,
            bytes,
            head: third + 1,
        }
    }

    /// Covers a rectangle with a grey.
    fn cover(&mut self, left: f64, top: f64, wide: f64, high: f64, grey: u8) {
        for y in top as usize..(top + high) as usize {
            let row = self.head + y * self.wide;
            self.bytes[row + left as usize..row + (left + wide) as usize].fill(grey);
        }
    }
}

/// Runs a tool; nothing, with a word about it, where it is not installed.
fn tool(name: &str, arguments: &[&str], folder: &Path) -> Option<String> {
    match Command::new(name).args(arguments).current_dir(folder).output() {
        Ok(output) => Some(String::from_utf8_lossy(&output.stdout).into_owned()),
        Err(error) => {
            skipped(&format!("{name} does not read the code of a sheet: {error}"));
            None
        }
    }
}

/// What an independent decoder reads off a picture.
fn decoded(place: &Place, picture: &Picture) -> Option<String> {
    place.write("picture.pgm", &picture.bytes);
    let arguments = ["-q", "--raw", "-Sdisable", "-Sqrcode.enable", "picture.pgm"];
    let read = tool("zbarimg", &arguments, &place.path(""))?;
    // the small code on top of the page is another's check
    let large: Vec<&str> = read
        .lines()
        .filter(|line| line.starts_with("SHIMWRIGHT"))
        .collect();
    Some(large.join("\n"))
}

/// A page of a PDF as a picture.
fn rendered(place: &Place, bytes: &[u8], page: usize, dpi: u32) -> Option<Picture> {
    place.write("sheet.pdf", bytes);
    let (page, dpi) = (page.to_string(), dpi.to_string());
    let arguments = [
        "-gray",
        "-singlefile",
        "-f",
        &page,
        "-r",
        &dpi,
        "sheet.pdf",
        "page",
    ];
    tool("pdftoppm", &arguments, &place.path(""))?;
    Some(Picture::read(fs::read(place.path("page.pgm")).unwrap()))
}

#[test]
fn the_code_is_read_off_the_page_also_with_a_part_of_it_covered() {
    let build = full();
    let text = PaperText::of(&build).unwrap().to_text();
    let place = Place::new();
    for paper in [Paper::A4, Paper::Letter] {
        let bytes = pdf(&build, paper).unwrap();
        let found = pages(&build, paper)
            .into_iter()
            .enumerate()
            .find_map(|(n, page)| {
                // the small one on top has half as many modules a side
                let large = |item: &&Item| matches!(item, Item::Code { rows, .. } if rows.len() > 45);
                let code = page.items.iter().find(large)?;
                let Item::Code { module, .. } = code else {
                    return None;
                };
                assert!(*module >= 0.5, "{module}");
                Some((n + 1, code.bounds()))
            });
        let (page, (left, top, right, foot)) = found.unwrap();
        for dpi in [150, 300] {
            let Some(picture) = rendered(&place, &bytes, page, dpi) else {
                return;
            };
            let Some(read) = decoded(&place, &picture) else {
                return;
            };
            assert_eq!(read, text, "{paper:?}, {dpi} dpi");
            // an eighth of its area, in the middle, at its right edge and at its foot; black as oil, white as a scratch
            let dots = f64::from(dpi) / 25.4;
            let (side, part) = ((right - left) * dots, (right - left) * dots * 0.35);
            for (across, down) in [(0.33, 0.33), (0.60, 0.40), (0.40, 0.60)] {
                for grey in [0, 255] {
                    let mut dirty = picture.clone();
                    dirty.cover(
                        left * dots + across * side,
                        top * dots + down * side,
                        part,
                        part,
                        grey,
                    );
                    assert_eq!(
                        decoded(&place, &dirty).as_deref(),
                        Some(text.as_str()),
                        "{paper:?}, {dpi} dpi, {across} {down} {grey}"
                    );
                }
            }
            // and a check of the check: what is covered whole is not read
            let mut gone = picture.clone();
            gone.cover(left * dots, top * dots, side, (foot - top) * dots * 0.6, 0);
            assert_eq!(decoded(&place, &gone).as_deref(), Some(""));
        }
    }
}

fn held(place: &Place, arguments: &[&str]) -> (Exit, Value) {
    let book = place.book();
    let all = [arguments, &["--json", "--book", book.to_str().unwrap()]].concat();
    let (exit, text) = checked(all.iter().map(Into::into)).unwrap_or_else(|(_, words)| panic!("{words}"));
    (exit, serde_json::from_str(&text).unwrap())
}

/// How far the book's log was when the build was finished, as the code of its sheet has it.
pub fn log_in_code(place: &Place) -> String {
    let finished = place
        .entries(BUILD)
        .into_iter()
        .find(|entry| entry["kind"] == "finished");
    let mut log = finished.unwrap()["log"].clone();
    log.as_object_mut().unwrap().remove("book");
    let log: Head = serde_json::from_value(log).unwrap();
    log.in_code()
}

/// The text of the code on a build's sheet as the program prints it, by an independent decoder; where there is none,
/// by the record.
fn code_of(place: &Place) -> String {
    let ran = place.run(&["sheet", BUILD, "--out", "printed.pdf"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let bytes = fs::read(place.path("printed.pdf")).unwrap();
    for page in 1..=4 {
        let read = rendered(place, &bytes, page, 150).and_then(|picture| decoded(place, &picture));
        match read {
            Some(text) if text.starts_with("SHIMWRIGHT") => return text,
            Some(_) => {}
            None => {
                let (_, report) = check(place);
                let digest = report["digest"].as_str().unwrap().to_uppercase();
                let lines = report["journal_lines"].as_u64().unwrap();
                let log = log_in_code(place);
                return format!(
                    "SHIMWRIGHT2 B:MOOR-REAR-0001 U:MOOR+REAR D:2026-05-09 N:{lines} S:{digest} L:{log}"
                );
            }
        }
    }
    panic!("no page has a large code");
}

#[test]
fn a_sheet_agrees_with_its_record_before_and_after_signing() {
    let place = unsigned();
    let code = code_of(&place);
    if !code.contains("FORCE:") {
        return; // nothing could read it, which was said
    }
    let (exit, report) = held(&place, &["--paper", &code]);
    assert_eq!(exit, Exit::Done, "{code}\n{report}");
    assert!(found(&report, "holds").contains("figures agree"), "{report}");
    assert_eq!(code_of(&sealed()), code);
    assert_eq!(held(&sealed(), &[BUILD, "--paper", &code]).0, Exit::Done);
    // what a person sees on the sheet is what the code says
    let read = PaperText::read(&code).unwrap();
    let text = tool("pdftotext", &["-layout", "printed.pdf", "-"], &place.path("")).unwrap_or_default();
    if !text.is_empty() {
        assert!(text.contains(&read.digest.groups()[..39]), "{text}");
        assert!(text.contains(&format!("first {} lines", read.lines)), "{text}");
        let force = &read.figures.iter().find(|(key, _)| key == "FORCE").unwrap().1;
        let newtons = force.trim_end_matches('N');
        assert!(text.contains(newtons), "{force}: {text}");
    }
}

#[test]
fn each_figure_that_was_altered_on_the_paper_is_named() {
    let place = sealed();
    let code = code_of(&place);
    let read = PaperText::read(&code).unwrap();
    for (key, value) in &read.figures {
        let altered = code.replace(&format!("{key}:{value}"), &format!("{key}:9{value}"));
        let (exit, report) = held(&place, &["--paper", &altered]);
        assert_eq!(exit, Exit::SealBroken, "{key}: {report}");
        let words = found(&report, "BROKEN");
        assert!(
            words.contains(&format!("{key} is 9{value} on the paper, but {value}")),
            "{report}"
        );
        assert_eq!(words.lines().count(), 1, "{report}");
    }
    let digest = read.digest.to_string().to_uppercase();
    let other = code.replace(&digest, &digest.chars().rev().collect::<String>());
    let (exit, report) = held(&place, &["--paper", &other]);
    assert_eq!(exit, Exit::SealBroken);
    assert!(
        found(&report, "BROKEN").contains("digest on the paper is not that of the record"),
        "{report}"
    );
}

#[test]
fn the_groups_that_are_read_out_find_their_build() {
    let place = sealed();
    let (_, report) = check(&place);
    let digest = report["digest"].as_str().unwrap();
    let groups: String = digest
        .chars()
        .collect::<Vec<_>>()
        .chunks(4)
        .map(|c| c.iter().collect::<String>() + " ")
        .collect();
    for spoken in [groups.as_str(), &groups[..19], &groups.to_uppercase(), digest] {
        let (exit, report) = held(&place, &["--paper", spoken]);
        assert_eq!(
            (exit, report["build"].as_str()),
            (Exit::Done, Some(BUILD)),
            "{spoken}"
        );
    }
    let wrong: String = digest.chars().rev().collect();
    place
        .run(&["check", "--paper", &wrong])
        .fails(8, &["no build in the book ever had"]);
    let ran = place.run(&["check", BUILD, "--paper", &wrong]);
    assert_eq!(ran.code, 11, "{}", ran.err);
    assert!(ran.out.contains("PAPER AND RECORD DIFFER"), "{}", ran.out);
    place
        .run(&["check", BUILD, "--paper", "hello"])
        .fails(2, &["SHIMWRIGHT", "16 to 64 digits"]);
    place.run(&["check"]).fails(2, &["BUILD"]);
    // from the standard input, as from another program
    let output = fed(&mut place.program(&["check", "--paper", "-"]), &groups);
    assert!(String::from_utf8_lossy(&output.stdout).contains("paper and record agree"));
}

/// A correction of the sealed build: a plate reading that was written down wrong.
const CORRECTED: [&str; 8] = [
    "correct",
    BUILD,
    "plate-thickness/G3/1",
    "1.972",
    "--by",
    ADA,
    "--reason",
    "two digits were swapped",
];

#[test]
fn a_correction_past_a_limit_opens_a_point_and_throws_nothing_out_of_a_closed_unit() {
    let place = sealed();
    let lies = |name: &str| {
        let shown = place.run(&["show", BUILD, "--json"]).json();
        let packs = &shown["packs"];
        packs.to_string().contains(&format!("\"{name}\""))
    };
    assert!(lies("G3"));
    let mut words = CORRECTED;
    // far below what any plate of the unit may have
    words[3] = "1.200";
    let ran = place.run(&[&words[..], &["--sure"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("open now: G3 lies in the "), "{said}");
    let shown = place.run(&["show", BUILD, "--json"]).json();
    let open = shown["open_points"].to_string();
    assert!(
        open.contains("G3 lies in the ") && open.contains("thrown out"),
        "{open}"
    );
    assert!(lies("G3"));
    // one that stays within its limits opens nothing
    let place = sealed();
    let ran = place.run(&CORRECTED);
    assert!(!ran.out.contains("open now"), "{}", ran.out);
}

#[test]
fn a_correction_names_the_old_answer_and_is_signed_again() {
    let place = sealed();
    let journal = file(&place, "journal.jsonl");
    let before = fs::read_to_string(&journal).unwrap();
    let code = code_of(&place);
    let ran = place.run(&CORRECTED);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let after = fs::read_to_string(&journal).unwrap();
    assert!(after.starts_with(&before), "something was rewritten");
    let entry = place.entries(BUILD).pop().unwrap();
    assert_eq!(entry["kind"], "corrected");
    assert_eq!(
        (&entry["was"], &entry["text"]),
        (&"1.969 mm".into(), &"1.972 mm".into())
    );
    let old = &place.entries(BUILD)[entry["line"].as_u64().unwrap() as usize - 1];
    assert_eq!(
        (&old["kind"], &old["text"]),
        (&"answered".into(), &"1.969 mm".into())
    );
    assert_eq!(old["slot"], entry["slot"]);
    // the earlier seals hold for their lines, and the correction is open until it is signed
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::NotProven, "{report}");
    assert!(
        found(&report, "open").contains("(1 corrected) came after the last seal"),
        "{report}"
    );
    // both seals; the sheet that was laid in when it was finished is of before
    assert_eq!(found(&report, "holds").lines().count(), 2, "{report}");
    assert!(found(&report, "note").contains("have come since"), "{report}");
    // the sheet shows both, and that it is not sealed
    let text = |place: &Place| {
        let ran = place.run(&["sheet", BUILD, "--out", "printed.pdf"]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        tool("pdftotext", &["-layout", "printed.pdf", "-"], &place.path("")).unwrap_or_default()
    };
    // in a narrow column words stand one below the other
    let printed = text(&place).split_whitespace().collect::<Vec<_>>().join(" ");
    if !printed.is_empty() {
        for words in [
            "CORRECTED AFTER SIGNING",
            "corrected after",
            "was 1.969 mm",
            "NOT sealed yet",
        ] {
            assert!(printed.contains(words), "{words:?}: {printed}");
        }
    }
    // the paper from before is of an earlier state; a code that could not be read, which was said, has no figures
    if code.contains("FORCE:") {
        let (exit, report) = held(&place, &["--paper", &code]);
        assert_eq!(exit, Exit::NotProven, "{report}");
        assert!(found(&report, "open").contains("print it again"), "{report}");
    }
    for key in ["ada", "bea"] {
        let ran = sign(&place, key);
        assert_eq!(ran.code, 0, "{}", ran.err);
    }
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::Done, "{report}");
    assert_eq!(report["seals"].as_array().unwrap().len(), 4);
    let printed = text(&place);
    assert!(
        printed.is_empty() || !printed.contains("NOT sealed yet"),
        "{printed}"
    );
    // the mean of the plate follows from the right reading
    let summary = place.run(&["sheet", BUILD, "--json", "--out", "x.pdf"]).json();
    let old = sealed().run(&["sheet", BUILD, "--json", "--out", "x.pdf"]).json();
    let mean = |summary: &Value| {
        let plates = summary["plates"].as_array().unwrap();
        plates.iter().find(|plate| plate["name"] == "G3").unwrap()["mean_um"]
            .as_f64()
            .unwrap()
    };
    assert!(
        (mean(&summary) - mean(&old) - 1.0).abs() < 1e-9,
        "{} {}",
        mean(&summary),
        mean(&old)
    );
}

#[test]
fn a_correction_that_is_none_is_refused_and_nothing_is_written() {
    let place = sealed();
    let journal = fs::read(file(&place, "journal.jsonl")).unwrap();
    let correct = |question: &str, answer: &str, more: &[&str]| {
        let arguments = [
            "correct", BUILD, question, answer, "--by", ADA, "--reason", "invented",
        ];
        place.run(&[&arguments[..], more].concat())
    };
    correct("plate-thickness/G3/1", "1.969", &[]).fails(4, &["it is 1.969 mm already"]);
    correct("plate-thickness/G3/9", "1.969", &[]).fails(4, &["there is no answer", "plate-thickness/"]);
    correct("plate-thickness/G3/1", "12 N.m", &[]).fails(4, &["a length is wanted"]);
    correct("plate-thickness/G3/1", "1.98", &["--round", "7"]).fails(4, &["there is no answer"]);
    correct("plate-thickness/G3/1", "19.8", &[]).fails(4, &["--sure"]);
    correct("choose", "2", &[]).fails(4, &["begin a new build"]);
    let ran = place.run(&["correct", BUILD, "car", "another", "--by", " ", "--reason", "x"]);
    ran.fails(4, &["words are wanted"]);
    assert_eq!(fs::read(file(&place, "journal.jsonl")).unwrap(), journal);
    assert_eq!(correct("plate-thickness/G3/1", "19.8", &["--sure"]).code, 0);
    assert_eq!(place.entries(BUILD).pop().unwrap()["insisted"], true);
}
