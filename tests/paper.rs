//! A procedure on paper: the form has a box for all that is asked, fits its pages, and is typed in again by its numbers
//! to the same record as at the bench.
//!
//! Units and answers are invented.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "support/fed.rs"]
mod fed;
#[path = "support/started.rs"]
mod started;

use fed::fed;
use shimwright::procedure::{Hazard, Job, Procedure, STOCK, Session, form, stock};
use shimwright::quantity::Units;
use shimwright::record::form::{Fill, Form};
use shimwright::record::{Entry, Slot, Value};
use shimwright::sheet::{Item, Paper, form_pages, form_pdf};
use shimwright::workshop::{Drawer, Unit, read_instruments};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Output;
use tempfile::TempDir;

const UNITS: [(&str, &str); 3] = [
    ("moor-rear", "moor-drawer"),
    ("fell-front", "fell-drawer"),
    ("shoal-rear", "moor-drawer"),
];
const AT: &str = "2026-05-01T10:00:00Z";

fn read(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

fn demo(name: &str) -> String {
    read(&format!("demo-units/{name}"))
}

fn job(unit: &str, drawer: &str, procedure: &str) -> Job {
    Job {
        unit: Unit::read("unit", &demo(&format!("{unit}.toml"))).unwrap(),
        drawer: Drawer::read("drawer", &demo(&format!("{drawer}.toml"))).unwrap(),
        instruments: read_instruments("instruments", &demo("instruments.toml")).unwrap(),
        rework: None,
        last: None,
        procedure: Procedure::read("procedure", procedure).unwrap(),
    }
}

fn form_of(unit: &str, drawer: &str, procedure: &str) -> Form {
    let digests = ["1234567890abcdef".repeat(4), "fedcba0987654321".repeat(4)];
    form(
        job(unit, drawer, procedure),
        Units::Metric,
        [&digests[0], &digests[1]],
    )
}

/// The lines of an answers file: the name of the question and the answer.
fn answers(unit: &str) -> Vec<(String, String)> {
    demo(&format!("{unit}.answers"))
        .lines()
        .filter(|line| !line.starts_with('#'))
        .filter_map(|line| line.split_once(" = "))
        .map(|(name, answer)| (name.to_string(), answer.to_string()))
        .collect()
}

struct Folder(TempDir);

impl Folder {
    fn new() -> Folder {
        let folder = Folder(TempDir::new().unwrap());
        // the drawer's file is written to when a build is finished
        for entry in fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-units")).unwrap() {
            let entry = entry.unwrap();
            fs::copy(entry.path(), folder.0.path().join(entry.file_name())).unwrap();
        }
        folder
    }

    fn run(&self, book: &str, arguments: &[&str], input: &str) -> Output {
        let mut command = started::program();
        command
            .args(arguments)
            .env("SHIMWRIGHT_BOOK", self.0.path().join(book))
            .current_dir(self.0.path());
        fed(&mut command, input)
    }

    fn entries(&self, book: &str, unit: &str) -> Vec<Entry> {
        let journal = self
            .0
            .path()
            .join(book)
            .join(format!("{unit}-0001/journal.jsonl"));
        fs::read_to_string(journal)
            .unwrap()
            .lines()
            .map(|line| {
                let framed: serde_json::Value = serde_json::from_str(line).unwrap();
                let entry = framed
                    .as_object()
                    .unwrap()
                    .values()
                    .find(|value| value.get("kind").is_some());
                Entry::from_json(&entry.unwrap().to_string()).unwrap()
            })
            .collect()
    }
}

/// What was answered: question, value, time.
fn answered(entries: &[Entry]) -> Vec<(Slot, Value, String)> {
    entries
        .iter()
        .filter_map(|entry| match entry {
            Entry::Answered { slot, value, at, .. } => Some((slot.clone(), value.clone(), at.clone())),
            _ => None,
        })
        .collect()
}

#[test]
fn every_box_has_its_own_number_in_the_order_of_asking() {
    for (unit, drawer) in UNITS {
        for procedure in STOCK.iter().map(|one| one.text.as_str()) {
            let form = form_of(unit, drawer, procedure);
            let mut numbers: Vec<u32> = form
                .parts()
                .flat_map(|part| part.fill.boxes())
                .map(|one| one.number)
                .collect();
            numbers.sort_unstable();
            assert_eq!(numbers, (1..=form.count() as u32).collect::<Vec<_>>());
            // what the engine asks first has box 1, and so on, as long as nothing unexpected comes up
            let session = Session::start(job(unit, drawer, procedure), begun()).0;
            let first = session.ask().unwrap();
            assert_eq!(form.number(&first.slot), Some(1));
        }
    }
}

fn begun() -> Entry {
    Entry::Begun {
        at: AT.into(),
        program: "0".into(),
        unit: String::new(),
        procedure: String::new(),
        drawer: String::new(),
        instruments: String::new(),
        units: Units::Metric.into(),
        setting: None,
        found: None,
        practice: None,
        id: None,
    }
}

#[test]
fn every_question_of_a_whole_rebuild_finds_its_box_in_rising_order() {
    for (unit, drawer) in UNITS {
        let form = form_of(unit, drawer, stock("full-rebuild").unwrap());
        let exact: BTreeSet<String> = form
            .parts()
            .flat_map(|part| part.fill.boxes())
            .map(|one| one.slot.to_string())
            .collect();
        let mut last = 0;
        let mut seen = 0;
        for (name, _) in answers(unit) {
            let mut parts = name.split('/').map(str::to_string);
            let step = parts.next().unwrap();
            let mut rest: Vec<String> = parts.collect();
            let point = rest.last().and_then(|last| last.parse().ok());
            if point.is_some() {
                rest.pop();
            }
            let slot = Slot {
                round: 1,
                step,
                item: rest.pop(),
                point,
            };
            let number = form.number(&slot).unwrap_or_else(|| panic!("{slot} has no box"));
            let open = ["remeasure", "fate", "laid-in", "dry-decision"].contains(&slot.step.as_str());
            assert!(
                open || slot.round > 1 || exact.contains(&slot.to_string()),
                "{slot} has no box of its own"
            );
            // a further round and an answer that was opened again go back
            if !open && number >= last {
                last = number;
                seen += 1;
            }
        }
        assert!(seen > 100, "{seen}");
    }
}

#[test]
fn boxes_are_high_enough_for_a_pen_and_stand_within_the_page() {
    for (unit, drawer) in UNITS {
        for procedure in STOCK.iter().map(|one| one.text.as_str()) {
            let form = form_of(unit, drawer, procedure);
            for paper in [Paper::A4, Paper::Letter] {
                let pages = form_pages(&form, paper);
                let mut boxes = 0;
                for page in &pages {
                    for item in &page.items {
                        let (left, top, right, bottom) = item.bounds();
                        let inside = left >= page.margins.left - 0.3
                            && right <= page.width - page.margins.right + 0.3
                            && top >= page.margins.top - 0.3
                            && bottom <= page.height - page.margins.bottom + 0.3;
                        assert!(inside, "{unit}, {paper:?}: {item:?} is over the edge");
                        if let Item::Polygon {
                            fill: None, outline, ..
                        } = item
                        {
                            assert!(*outline > 0.0);
                            boxes += 1;
                            // the bounds count half the outline on each side
                            assert!(bottom - top >= 7.0 && right - left >= 7.0, "{item:?}");
                        }
                    }
                }
                assert!(
                    boxes >= form.count() - 1,
                    "{boxes} boxes are drawn for {}",
                    form.count()
                );
            }
        }
    }
}

#[test]
fn each_page_says_which_form_it_is_and_of_how_many() {
    let form = form_of("moor-rear", "moor-drawer", stock("full-rebuild").unwrap());
    let pages = form_pages(&form, Paper::A4);
    // a look at each ring and spring before it is buried, gears, shims and washers have boxes of their own
    assert!(pages.len() <= 8, "{} pages", pages.len());
    for (n, page) in pages.iter().enumerate() {
        let text = page.text();
        assert!(
            text.contains(&format!("page {} of {}", n + 1, pages.len())),
            "{text}"
        );
        assert!(text.contains("Full rebuild · Moor rear (moor-rear)"), "{text}");
        assert!(
            text.contains("procedure 1234 5678 90ab cdef · unit fedc ba09 8765 4321"),
            "{text}"
        );
    }
}

#[test]
fn notes_have_a_page_of_their_own_only_where_two_lines_find_no_room() {
    // the head of the notes and two lines, above the foot
    const WANTED: f64 = 3.0 + 3.8 + 2.0 * 7.5 + 6.0;
    for (unit, drawer) in UNITS {
        for (name, source) in STOCK.iter().map(|one| (one.id, &one.text)) {
            let pages = form_pages(&form_of(unit, drawer, source), Paper::A4);
            let last = pages.last().unwrap().text();
            assert!(last.contains("Notes, and the boxes"), "{unit}, {name}: {last}");
            if last.contains("signature") {
                continue;
            }
            let before = &pages[pages.len() - 2];
            let boxes = before
                .items
                .iter()
                .filter(|item| matches!(item, Item::Polygon { .. }));
            let lowest = boxes.map(|item| item.bounds().3).fold(0.0, f64::max);
            let room = before.height - before.margins.bottom - lowest;
            assert!(room < WANTED, "{unit}, {name}: {room:.1} mm were left");
        }
    }
}

/// The words of a text as one line, whatever the layout did to it.
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn cautions_stand_in_full_before_what_they_cover() {
    for (unit, drawer) in UNITS {
        for source in STOCK.iter().map(|one| one.text.as_str()) {
            let form = form_of(unit, drawer, source);
            let mut covered = BTreeSet::new();
            let procedure = Procedure::read("p", source).unwrap();
            // a unit that is set to a gap has no spring that could throw its cover
            let sprung = job(unit, drawer, source).unit.spring.is_some();
            for part in form.parts() {
                for one in part.fill.boxes() {
                    let (_, step) = procedure.step(&one.slot.step).unwrap();
                    if let Fill::Caution(_) = part.fill {
                        assert_eq!(part.words, step.words);
                        covered.extend(step.covers.iter().map(|hazard| format!("{hazard:?}")));
                    }
                    for hazard in step.hazards.iter().filter(|h| sprung || **h != Hazard::Spring) {
                        assert!(covered.contains(&format!("{hazard:?}")), "{unit}: {}", step.id);
                    }
                }
            }
            // and what the form says is printed
            let printed: String = form_pages(&form, Paper::Letter)
                .iter()
                .map(|page| page.text() + "\n")
                .collect();
            let printed: String = printed.chars().filter(|c| c.is_alphanumeric()).collect();
            for part in form.parts().filter(|part| matches!(part.fill, Fill::Caution(_))) {
                for word in words(&part.words.join(" "))
                    .split(' ')
                    .filter(|word| word.len() > 6)
                {
                    let word: String = word.chars().filter(|c| c.is_alphanumeric()).collect();
                    assert!(printed.contains(&word), "{word} is not printed");
                }
            }
        }
    }
}

#[test]
fn a_unit_without_springs_has_no_spring_boxes() {
    let of = |unit, drawer| {
        let form = form_of(unit, drawer, stock("full-rebuild").unwrap());
        let steps: BTreeSet<String> = form
            .parts()
            .flat_map(|part| part.fill.boxes())
            .map(|one| one.slot.step.clone())
            .collect();
        ["caution-spring", "spring-height", "spring-way"].map(|step| steps.contains(step))
    };
    assert_eq!(of("fell-front", "fell-drawer"), [false; 3]);
    assert_eq!(of("moor-rear", "moor-drawer"), [true; 3]);
}

#[test]
fn the_same_form_gives_the_same_bytes() {
    let form = form_of("shoal-rear", "moor-drawer", stock("full-rebuild").unwrap());
    assert_eq!(
        form_pdf(&form, Paper::A4).unwrap(),
        form_pdf(&form, Paper::A4).unwrap()
    );
}

/// What is typed from a form that was filled in like an answers file: a tick is x, a decision is written out.
fn typed(unit: &str, chosen: &[Value]) -> String {
    let mut chosen = chosen.iter();
    let mut out = String::new();
    for (name, answer) in answers(unit) {
        if name == "choose" && !answer.starts_with('!') {
            if answer.parse::<u32>().is_err() && !answer.starts_with("hand") {
                continue;
            }
            let Some(Value::Chosen(chosen)) = chosen.next() else {
                panic!("no choice is left");
            };
            for (n, side) in ["left", "right"].iter().enumerate() {
                let pack = &chosen.sides[n];
                let shims: Vec<String> = pack
                    .shims_nanometres
                    .iter()
                    .map(|nm| format!("{:.6} mm", *nm as f64 / 1e6))
                    .collect();
                out.push_str(&format!(
                    "plates {side} {}\nshims {side} {}\n",
                    pack.plates.join(" "),
                    shims.join(" ")
                ));
            }
            out.push_str("hand\n");
            continue;
        }
        match answer.as_str() {
            "done" => out.push('x'),
            _ if answer.starts_with("!skip ") => {
                out.push('\n');
                out.push_str(answer.trim_start_matches("!skip "));
            }
            _ => out.push_str(&answer),
        }
        out.push('\n');
    }
    out
}

#[test]
fn what_is_typed_in_from_paper_is_the_same_record_as_at_the_bench() {
    // the one of the three with a skip, notes, an answer opened again and a plate rejected
    {
        let unit = "fell-front";
        let folder = Folder::new();
        let toml = format!("{unit}.toml");
        let file = format!("{unit}.answers");
        let bench = folder.run(
            "bench",
            &["work", "full-rebuild", &toml, "--answers", &file, "--at", AT],
            "",
        );
        assert_eq!(bench.status.code(), Some(0), "{bench:?}");
        let at_the_bench = folder.entries("bench", unit);
        let chosen: Vec<Value> = answered(&at_the_bench)
            .into_iter()
            .filter(|(slot, _, _)| slot.step == "choose")
            .map(|(_, value, _)| value)
            .collect();
        // the drawer as it was
        for drawer in ["moor-drawer.toml", "fell-drawer.toml"] {
            fs::write(folder.0.path().join(drawer), demo(drawer)).unwrap();
        }
        let input = typed(unit, &chosen);
        let paper = folder.run(
            "paper",
            &["work", "full-rebuild", &toml, "--from-paper", "--at", AT],
            &input,
        );
        let shown = String::from_utf8(paper.stdout.clone()).unwrap();
        assert_eq!(paper.status.code(), Some(0), "{unit}: {shown}");
        let from_paper = folder.entries("paper", unit);
        let parts = |value: Value| match value {
            // by hand it came about in another way
            Value::Chosen(chosen) => Value::Chosen(shimwright::record::Chosen {
                how: String::new(),
                ..chosen
            }),
            other => other,
        };
        let bare = |entries: &[Entry]| -> Vec<(Slot, Value, String)> {
            answered(entries)
                .into_iter()
                .map(|(slot, value, at)| (slot, parts(value), at))
                .collect()
        };
        assert_eq!(bare(&from_paper), bare(&at_the_bench), "{unit}");
        let skipped = |entries: &[Entry]| {
            let skips = entries
                .iter()
                .filter(|entry| matches!(entry, Entry::Skipped { .. }));
            skips.cloned().collect::<Vec<_>>()
        };
        assert_eq!(skipped(&from_paper), skipped(&at_the_bench), "{unit}");
        // the record says where it comes from
        let noted = from_paper.iter().any(|entry| {
            matches!(entry, Entry::Noted { text, .. } if text.starts_with("from here on typed in from paper, on 20"))
        });
        assert!(noted, "{unit}");
        assert!(
            !at_the_bench
                .iter()
                .any(|entry| matches!(entry, Entry::Noted { text, .. } if text.contains("paper")))
        );
    }
}

#[test]
fn prompts_are_short_and_bear_the_number_of_the_box() {
    let folder = Folder::new();
    let form = form_of("moor-rear", "moor-drawer", stock("full-rebuild").unwrap());
    let input: String = answers("moor-rear")
        .iter()
        .take(60)
        .map(|(_, answer)| {
            if answer == "done" {
                "x\n".to_string()
            } else {
                format!("{answer}\n")
            }
        })
        .collect();
    let arguments = ["work", "full-rebuild", "moor-rear.toml", "--from-paper"];
    let shown = String::from_utf8(folder.run("book", &arguments, &input).stdout).unwrap();
    let slot = |step: &str, item: Option<&str>, point| Slot {
        round: 1,
        step: step.into(),
        item: item.map(str::to_string),
        point,
    };
    let zero = form.number(&slot("micrometer-zero", None, None)).unwrap();
    let reading = form
        .number(&slot("plate-thickness", Some("C2"), Some(1)))
        .unwrap();
    for prompt in [
        "1 who > ".to_string(),
        "[yes when it is initialled] > ".to_string(),
        "lift [x when ticked] > ".to_string(),
        format!("{zero} micrometer zero [mm] > "),
        format!("{reading} plate thickness C2 no. 1 [mm] > "),
    ] {
        assert!(shown.contains(&prompt), "{prompt} is missing in\n{shown}");
    }
    // a pipe shows no Enter, so the prompts stand side by side, behind the words of the beginning
    let lines = shown.lines().skip_while(|line| !line.starts_with("A line a box"));
    let prompts: Vec<&str> = lines.skip(1).flat_map(|line| line.split(" > ")).collect();
    assert!(prompts.len() > 100, "{shown}");
    for prompt in prompts {
        assert!(prompt.chars().count() <= 90, "{prompt}");
    }
}

#[test]
fn an_empty_box_is_left_out_with_a_reason_or_not_at_all() {
    let folder = Folder::new();
    let arguments = [
        "work",
        "full-rebuild",
        "moor-rear.toml",
        "--from-paper",
        "--at",
        AT,
    ];
    // who may not be empty; distance may, with a reason; a caution wants its word, a step its tick
    let input = "\nR. Example\nMoor\nhandling\n\n\n\n\nnobody wrote it down\n\nyes\nyes\nyes\n\nx\n";
    let output = folder.run("book", &arguments, input);
    let shown = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(7), "{shown}");
    assert!(
        shown.contains("empty, and it can not be left out: what stands on the form"),
        "{shown}"
    );
    assert!(
        shown.contains("not ticked, and it can not be left out: x when it was done"),
        "{shown}"
    );
    let entries = folder.entries("book", "moor-rear");
    let skipped: Vec<(String, String)> = entries
        .iter()
        .filter_map(|entry| match entry {
            Entry::Skipped { slot, reason, .. } => Some((slot.to_string(), reason.clone())),
            _ => None,
        })
        .collect();
    assert_eq!(
        skipped.last(),
        Some(&("distance".to_string(), "nobody wrote it down".to_string()))
    );
    let names: Vec<String> = answered(&entries)
        .iter()
        .map(|(slot, ..)| slot.to_string())
        .collect();
    let wanted = [
        "who",
        "car",
        "reason",
        "caution-lifting",
        "caution-running",
        "caution-weight-heat",
        "lift",
    ];
    assert_eq!(names, wanted);
    assert!(
        matches!(entries.last(), Some(Entry::Noted { text, .. }) if text == "typed in from paper up to here")
    );
}

#[test]
fn an_answer_that_is_opened_again_is_kept_by_an_empty_line() {
    let folder = Folder::new();
    let arguments = [
        "work",
        "full-rebuild",
        "moor-rear.toml",
        "--from-paper",
        "--at",
        AT,
    ];
    let output = folder.run(
        "book",
        &arguments,
        "R. Example\nMoor\n!back\n\nhandling\n!back\nnoise\n",
    );
    assert_eq!(output.status.code(), Some(7));
    let texts: Vec<String> = folder
        .entries("book", "moor-rear")
        .iter()
        .filter_map(|entry| match entry {
            Entry::Answered { text, .. } => Some(text.clone()),
            _ => None,
        })
        .collect();
    assert_eq!(texts, ["R. Example", "Moor", "Moor", "handling", "noise"]);
}

#[test]
fn a_form_is_printed_and_a_wrong_one_refused() {
    let folder = Folder::new();
    let printed = folder.run(
        "book",
        &[
            "sheet",
            "--blank",
            "full-rebuild",
            "fell-front.toml",
            "--paper",
            "letter",
        ],
        "",
    );
    let shown = String::from_utf8(printed.stdout).unwrap();
    assert_eq!(printed.status.code(), Some(0), "{shown}");
    assert!(shown.starts_with("fell-front-full-rebuild.pdf: "), "{shown}");
    let bytes = fs::read(folder.0.path().join("fell-front-full-rebuild.pdf")).unwrap();
    assert!(bytes.starts_with(b"%PDF-"));
    for (code, arguments) in [
        (2, vec!["sheet", "--blank", "full-rebuild"]),
        (2, vec!["sheet"]),
        (2, vec!["sheet", "moor-rear-0001", "--units", "inch"]),
        (3, vec!["sheet", "--blank", "none", "fell-front.toml"]),
        (3, vec!["sheet", "--blank", "full-rebuild", "none.toml"]),
    ] {
        assert_eq!(
            folder.run("book", &arguments, "").status.code(),
            Some(code),
            "{arguments:?}"
        );
    }
    assert!(!folder.0.path().join("book").exists(), "a form made a book");
}
