//! The life of a book: older states of it against newer papers, random alterations judged by a table of what must be found, and
//! what other programs do to one.
//!
//! Fifty alterations are tried; `SHIMWRIGHT_FILL=1 cargo test --test seal alteration` tries five hundred and writes the table in
//! DEVELOPERS.md anew.

use crate::drawing::Draw;
use crate::place::{AT, Place, Ran, demo_file};
use crate::sealed::{allow, copy, unsigned};
use crate::started::machine;
use crate::table::table_under;
use serde_json::Value;
use shimwright::book::Shelf;
use shimwright::procedure::{Job, Procedure, Session};
use shimwright::record::{Entry, PaperText};
use shimwright::seal::Digest;
use shimwright::workshop::{Drawer, Unit, read_instruments};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::sync::OnceLock;

pub const BUILDS: [&str; 3] = ["moor-rear-0001", "moor-rear-0002", "moor-rear-0003"];

/// The program on the machine that a digit tells, in a place's folder, with a book of a name there.
pub fn run_on(place: &Place, digit: char, book: &str, arguments: &[&str]) -> Ran {
    let mut program = place.program(arguments);
    program
        .env("XDG_DATA_HOME", machine(digit))
        .env("SHIMWRIGHT_BOOK", place.path(book));
    program.output().unwrap().into()
}

/// A short job from an answers file, at an hour of its own; the build's name.
pub fn bench_check(place: &Place, digit: char, book: &str, hour: usize) -> String {
    let unit = demo_file("moor-rear.toml");
    let answers = demo_file("moor-rear-bench-check.answers");
    let at = AT.replace("T10", &format!("T{hour:02}"));
    let words = [
        "work",
        "bench-check",
        unit.to_str().unwrap(),
        "--answers",
        answers.to_str().unwrap(),
    ];
    let more = ["--new", "--as-listed", "--json", "--at", &at];
    let ran = run_on(place, digit, book, &[&words[..], &more].concat());
    ran.json()["build"].as_str().unwrap().to_string()
}

/// What was said, on one line: words are wrapped where a line is full.
pub fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub fn done(ran: &Ran) {
    assert_eq!(ran.code, 0, "{}\n{}", ran.out, ran.err);
}

/// A state of the book's life.
struct State {
    what: &'static str,
    /// The text on the sheet that was printed then, where what happened changes what stands in its code.
    paper: Option<String>,
    book: Place,
}

/// The text of the code on the sheet of a build, by the record as it lies in a book.
fn paper(book: &Path, build: &str) -> String {
    let shelf = Shelf::look(book).unwrap();
    let id = build.parse().unwrap();
    let text = |name: &str| String::from_utf8(shelf.file(&id, name).unwrap()).unwrap();
    let reading = shelf.read(&id).unwrap();
    let entries: Vec<Entry> = reading
        .entries
        .iter()
        .map(|text| Entry::from_json(text).unwrap())
        .collect();
    let job = Job {
        unit: Unit::read_kept("unit.toml", &text("unit.toml")).unwrap(),
        drawer: Drawer::read_kept("drawer.toml", &text("drawer.toml")).unwrap(),
        instruments: read_instruments("instruments.toml", &text("instruments.toml")).unwrap(),
        procedure: Procedure::read_kept("procedure.toml", &text("procedure.toml")).unwrap(),
        rework: None,
        last: None,
    };
    let session = Session::resume(job, &entries);
    let on_paper = session.on_paper();
    let digest = Digest::of(&reading.bytes[..reading.ends[on_paper.lines - 1]]);
    let unit = &session.job().unit.name;
    PaperText::new(build, unit, session.finished(), digest, &on_paper)
        .unwrap()
        .to_text()
}

/// A book from its first build to its last, with a copy of it after each thing that happened.
fn life() -> &'static [State] {
    static LIFE: OnceLock<Vec<State>> = OnceLock::new();
    LIFE.get_or_init(|| {
        let place = Place::new();
        copy(&unsigned().path("keys"), &place.path("keys"));
        let mut states = Vec::new();
        let mut keep = |what, of: Option<&str>| {
            let book = Place::new();
            copy(&place.book(), &book.book());
            let paper = of.map(|build| paper(&place.book(), build));
            states.push(State { what, paper, book });
        };
        let sign = |build: &str, key: &str| {
            let key = place.path(&format!("keys/{key}"));
            done(&place.run(&["sign", build, "--key", key.to_str().unwrap()]));
        };
        assert_eq!(bench_check(&place, '7', "book", 10), BUILDS[0]);
        allow(&place, &["ada", "bea"]);
        keep("the first build is finished", Some(BUILDS[0]));
        sign(BUILDS[0], "ada");
        keep("it is sealed", None);
        sign(BUILDS[0], "bea");
        keep("it is countersigned", None);
        assert_eq!(bench_check(&place, '7', "book", 11), BUILDS[1]);
        keep("the second build is finished", Some(BUILDS[1]));
        let right = [
            "correct",
            BUILDS[0],
            "breakaway/drive-still/1",
            "107",
            "--reason",
            "slip",
            "--by",
            "A. Fitter",
        ];
        done(&place.run(&right));
        keep("the first build is corrected", Some(BUILDS[0]));
        sign(BUILDS[0], "ada");
        keep("it is sealed again", None);
        assert_eq!(bench_check(&place, '7', "book", 12), BUILDS[2]);
        keep("the third build is finished", Some(BUILDS[2]));
        states
    })
}

fn last() -> &'static State {
    life().last().unwrap()
}

/// `check --all` of a book: every finding, by what it is about, with its state.
pub fn all_found(book: &Path) -> BTreeSet<(String, String, String)> {
    let place = Place::new();
    let ran = place.run(&["check", "--all", "--json", "--book", book.to_str().unwrap()]);
    let report: Value = serde_json::from_str(&ran.out).unwrap_or_else(|_| panic!("{}{}", ran.out, ran.err));
    let mut found = BTreeSet::new();
    let mut take = |of: &str, findings: &Value| {
        for finding in findings.as_array().unwrap() {
            let text = |key: &str| finding[key].as_str().unwrap().to_string();
            found.insert((
                of.to_string(),
                text("state"),
                text("words").replace(book.to_str().unwrap(), "BOOK"),
            ));
        }
    };
    take("", &report["findings"]);
    for build in report["builds"].as_array().unwrap() {
        take(build["build"].as_str().unwrap(), &build["findings"]);
    }
    let worst = found.iter().map(|(_, state, _)| state.as_str());
    let code = match worst.max_by_key(|state| rank(state)) {
        Some("BROKEN") => 11,
        Some("open") => 12,
        _ => 0,
    };
    assert_eq!(ran.code, code, "{found:?}");
    found
}

fn rank(state: &str) -> usize {
    ["note", "holds", "open", "BROKEN"]
        .iter()
        .position(|one| *one == state)
        .unwrap()
}

#[test]
fn every_older_book_is_found_by_every_newer_paper() {
    let states = life();
    for (newer, state) in states.iter().enumerate() {
        let Some(paper) = &state.paper else { continue };
        for (older, book) in states.iter().enumerate() {
            let ran = book.book.run(&["check", "--paper", paper]);
            let about = format!("{} / {}:\n{}{}", book.what, state.what, ran.out, ran.err);
            match older < newer {
                true => assert_eq!(ran.code, 11, "{about}"),
                false => assert!([0, 12].contains(&ran.code), "{about}"),
            }
        }
        assert!(
            paper.starts_with("SHIMWRIGHT2 ") && paper.contains(" L:-."),
            "{paper}"
        );
    }
}

#[test]
fn a_seal_says_how_far_the_log_was_and_a_build_that_is_gone_is_told() {
    let book = Place::new();
    copy(&last().book.book(), &book.book());
    let seal = fs::read_to_string(book.book().join(BUILDS[0]).join("seal-1.txt")).unwrap();
    assert!(seal.starts_with("shimwright seal 2\n"), "{seal}");
    assert!(seal.contains("\nlog - 3 "), "opened, begun, finished: {seal}");
    fs::remove_dir_all(book.book().join(BUILDS[2])).unwrap();
    let ran = book.run(&["check", BUILDS[2]]);
    assert_eq!(ran.code, 11, "{}{}", ran.out, ran.err);
    assert!(flat(&ran.out).contains("it was taken away"), "{}", ran.out);
    // its number is not given again
    assert_eq!(bench_check(&book, '7', "book", 13), "moor-rear-0004");
    book.run(&["check", "moor-rear-0009"]).fails(8, &[]);
}

/// What is done to a book, and what `check --all` must come to by it, with no paper in hand.
type Alteration = (&'static str, &'static str, fn(&Path, &mut Draw) -> bool);

const ALTERATIONS: [Alteration; 17] = [
    ("a build is taken away", "BROKEN", |book, draw| {
        fs::remove_dir_all(book.join(draw.pick(&BUILDS))).unwrap();
        true
    }),
    ("a build is put back as it was before", "BROKEN", |book, draw| {
        let build = draw.pick(&BUILDS);
        let older = life()[draw.below(life().len())].book.book().join(build);
        let journal = |folder: &Path| fs::read(folder.join("journal.jsonl")).unwrap_or_default();
        if !older.exists() || journal(&older) == journal(&book.join(build)) {
            return false;
        }
        fs::remove_dir_all(book.join(build)).unwrap();
        copy(&older, &book.join(build));
        true
    }),
    (
        "a countersignature is taken away, with its line and all that follows",
        "BROKEN",
        |book, draw| {
            let lines = 1 + draw.below(3);
            let folder = book.join(BUILDS[0]);
            cut(&folder.join("journal.jsonl"), lines);
            // what follows the second is a correction, and the third
            for seal in if lines == 3 { 2..=3 } else { 3..=3 } {
                fs::remove_file(folder.join(format!("seal-{seal}.txt"))).unwrap();
                fs::remove_file(folder.join(format!("seal-{seal}.txt.sig"))).unwrap();
            }
            true
        },
    ),
    ("the files of a seal are taken away", "BROKEN", |book, draw| {
        let seal = 1 + draw.below(3);
        fs::remove_file(book.join(BUILDS[0]).join(format!("seal-{seal}.txt"))).unwrap();
        true
    }),
    ("a build gets another name", "BROKEN", |book, draw| {
        let to = format!("moor-rear-{:04}", 4 + draw.below(90));
        fs::rename(book.join(draw.pick(&BUILDS)), book.join(to)).unwrap();
        true
    }),
    ("two builds change their names", "BROKEN", |book, draw| {
        let n = draw.below(3);
        let [one, other] = [BUILDS[n], BUILDS[(n + 1) % 3]].map(|name| book.join(name));
        fs::rename(&one, book.join("aside")).unwrap();
        fs::rename(&other, &one).unwrap();
        fs::rename(book.join("aside"), &other).unwrap();
        true
    }),
    (
        "a build that is not sealed is copied under another number",
        "open",
        |book, draw| {
            let to = format!("moor-rear-{:04}", 4 + draw.below(90));
            copy(&book.join(draw.pick(&BUILDS[1..])), &book.join(to));
            true
        },
    ),
    (
        "a file of a build's beginning is changed",
        "BROKEN",
        |book, draw| {
            let name = draw.pick(&["unit.toml", "drawer.toml", "instruments.toml", "procedure.toml"]);
            let path = book.join(draw.pick(&BUILDS)).join(name);
            let text = fs::read_to_string(&path).unwrap();
            fs::write(path, text + "# changed\n").unwrap();
            true
        },
    ),
    ("a byte of a journal is changed", "BROKEN", |book, draw| {
        flip(&book.join(draw.pick(&BUILDS)).join("journal.jsonl"), draw);
        true
    }),
    (
        "a byte of the log is changed, not in its last line",
        "BROKEN",
        |book, draw| {
            flip(&book.join("log.jsonl"), draw);
            true
        },
    ),
    ("the log is taken away", "BROKEN", |book, _| {
        fs::remove_file(book.join("log.jsonl")).unwrap();
        true
    }),
    (
        "the log loses two lines or more at its end",
        "BROKEN",
        |book, draw| {
            cut(&book.join("log.jsonl"), 2 + draw.below(8));
            true
        },
    ),
    ("the log loses its last line", "open", |book, _| {
        cut(&book.join("log.jsonl"), 1);
        true
    }),
    (
        "the line ends of a journal are changed to CRLF",
        "BROKEN",
        |book, draw| {
            crlf(&book.join(draw.pick(&BUILDS)).join("journal.jsonl"));
            true
        },
    ),
    (
        "the line ends of the log are changed to CRLF",
        "BROKEN",
        |book, _| {
            crlf(&book.join("log.jsonl"));
            true
        },
    ),
    (
        "an older log lies beside the log, and has gone on otherwise",
        "BROKEN",
        |book, draw| {
            let older = life()[draw.below(life().len() - 1)].book.book();
            let side = Place::new();
            copy(&older, &side.book());
            bench_check(&side, '7', "book", 20);
            fs::copy(
                side.book().join("log.jsonl"),
                book.join("log (conflicted copy).jsonl"),
            )
            .unwrap();
            true
        },
    ),
    (
        "the whole book is put back with its log",
        "nothing",
        |book, draw| {
            // but where a correction waits for its seal, which is told for itself
            let older = life()[*draw.pick(&[0, 1, 2, 3, 5])].book.book();
            fs::remove_dir_all(book).unwrap();
            copy(&older, book);
            true
        },
    ),
];

#[test]
fn a_build_that_was_taken_away_on_purpose_is_told_as_that() {
    let place = Place::new();
    copy(&last().book.book(), &place.book());
    let (build, folder) = (BUILDS[1], place.book().join(BUILDS[1]));
    let say = |build: &str, by: &str, reason: &str| {
        run_on(
            &place,
            '7',
            "book",
            &["adopt", "--removed", build, "--by", by, "--reason", reason],
        )
    };
    let all = || {
        let ran = run_on(&place, '7', "book", &["check", "--all"]);
        (ran.code, flat(&ran.out))
    };
    let log = fs::read(place.book().join("log.jsonl")).unwrap();
    // one that is there, one that nobody knows, and words that are none
    say(build, "Ada Example", "a trial").fails(4, &["is there"]);
    let kept = place.path("kept");
    fs::rename(&folder, &kept).unwrap();
    say("moor-rear-0042", "Ada Example", "a trial").fails(8, &["moor-rear-0042"]);
    say(build, "Ada Example", "  ").fails(4, &["a reason is words"]);
    say(build, "Ada Example", "a\ntrial").fails(4, &["a reason is words"]);
    say(build, "Ada*", "a trial").fails(2, &["can not be signed as"]);
    assert_eq!(fs::read(place.book().join("log.jsonl")).unwrap(), log);
    let (code, told) = all();
    assert_eq!(code, 11, "{told}");
    assert!(
        told.contains("it was taken away: line") && !told.contains("T10:"),
        "{told}"
    );
    done(&say(build, "Ada Example", "a trial on the wrong unit"));
    say(build, "Ada Example", "a trial").fails(5, &["is said already"]);
    let (code, told) = all();
    assert_ne!(code, 11, "{told}");
    assert!(
        told.contains("it was taken away, and that was meant: Ada Example, 20"),
        "{told}"
    );
    let ran = run_on(&place, '7', "book", &["check", build]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(
        flat(&ran.out).contains("a trial on the wrong unit (line"),
        "{}",
        ran.out
    );
    // its number is not given again, and the log goes on
    let next = bench_check(&place, '7', "book", 15);
    assert!(!BUILDS.contains(&next.as_str()), "{next}");
    assert_ne!(all().0, 11);
    // it is put back
    fs::rename(&kept, &folder).unwrap();
    let (code, told) = all();
    assert_eq!(code, 12, "{told}");
    assert!(told.contains("taken away on purpose, and it is here"), "{told}");
    // the line has the version of what it says: readers that do not know it tell it as newer
    let file = place.book().join("log.jsonl");
    let text = fs::read_to_string(&file).unwrap();
    let at = text
        .lines()
        .position(|line| line.contains("\"kind\":\"removed\""))
        .unwrap();
    assert!(text.lines().nth(at).unwrap().starts_with("{\"v\":2,"), "{text}");
    let until: Vec<&str> = text.lines().take(at + 1).collect();
    fs::write(
        &file,
        format!("{}\n", until.join("\n").replace("{\"v\":2,", "{\"v\":1,")),
    )
    .unwrap();
    assert!(all().1.contains("its version is not that of what it says"));
}

#[test]
fn a_paper_of_a_build_that_was_taken_away_is_held_against_what_the_log_has() {
    let place = Place::new();
    copy(&last().book.book(), &place.book());
    let build = BUILDS[1];
    let run = |words: &[&str]| run_on(&place, '7', "book", words);
    let code = paper(&place.book(), build);
    let read = PaperText::read(&code).unwrap();
    let digest = read.digest.to_string();
    let small = |digest: &str| format!("SHIMSMALL1 B:{build} N:{} S:{}", read.lines, &digest[..16]);
    let other = digest.replacen(
        char::is_alphanumeric,
        if digest.starts_with('0') { "1" } else { "0" },
        1,
    );
    done(&run(&["sheet", build, "--with-record", "--out", "whole.pdf"]));
    let pdf = run(&["check", "whole.pdf", "--json"]);
    let pdf: Value = serde_json::from_str(&pdf.out).unwrap();
    assert!(
        pdf["findings"]
            .to_string()
            .contains("the book has the same record"),
        "{pdf}"
    );
    fs::remove_dir_all(place.book().join(build)).unwrap();
    // nobody has said that it was meant
    for text in [&code, &small(&digest)] {
        let ran = run(&["check", "--code", text]);
        assert_eq!(ran.code, 11, "{}{}", ran.out, ran.err);
        let told = flat(&ran.out);
        assert!(
            told.contains("IT WAS TAKEN AWAY") && told.contains("which is not in the book"),
            "{told}"
        );
    }
    let ran = run(&["check", "whole.pdf"]);
    assert_eq!(ran.code, 12, "{}{}", ran.out, ran.err);
    assert!(
        flat(&ran.out).contains("the book has no moor-rear-0002: it was taken away: line"),
        "{}",
        ran.out
    );
    done(&run(&[
        "adopt",
        "--removed",
        build,
        "--by",
        "Ada Example",
        "--reason",
        "a trial on the wrong unit",
    ]));
    let said = |report: &Value| {
        assert_eq!(report["removed"]["by"], "Ada Example", "{report}");
        assert_eq!(
            report["removed"]["reason"], "a trial on the wrong unit",
            "{report}"
        );
        assert!(
            report["removed"]["at"].as_str().unwrap().starts_with("20"),
            "{report}"
        );
        flat(&report["findings"].to_string())
    };
    // the code, the small code and digits alone agree with the digest that the log has; of the figures nothing is known
    for text in [&code, &small(&digest), &digest[..16].to_string(), &digest] {
        let ran = run(&["check", "--code", text, "--json"]);
        assert_eq!(ran.code, 12, "{}{}", ran.out, ran.err);
        let told = said(&serde_json::from_str(&ran.out).unwrap());
        for words in [
            "that was meant: Ada Example, 20",
            "no record is here that its figures could be held against",
            &format!(
                "its digest is that of lines 1 to {} of the record, as line",
                read.lines
            ),
        ] {
            assert!(told.contains(words), "{words}: {told}");
        }
        let told = flat(&run(&["check", "--code", text]).out);
        assert!(told.contains("its record was taken away on purpose"), "{told}");
    }
    // a paper of another record, and one of a state that the log has no line of
    for (text, exit, words) in [
        (
            code.replace(&digest.to_uppercase(), &other.to_uppercase()),
            11,
            "has another digest",
        ),
        (small(&other), 11, "has another digest"),
        (
            small(&digest).replace(&format!("N:{}", read.lines), "N:7"),
            12,
            "has no digest of the state",
        ),
    ] {
        let ran = run(&["check", "--code", &text, "--json"]);
        assert_eq!(ran.code, exit, "{text}: {}{}", ran.out, ran.err);
        let told = said(&serde_json::from_str(&ran.out).unwrap());
        assert!(told.contains(words), "{words}: {told}");
    }
    run(&["check", "--code", &other]).fails(8, &["no build in the book ever had"]);
    // the sheet with its record in it is one: it is told whose it is, and it can be taken out again
    let ran = run(&["check", "whole.pdf", "--json"]);
    let told = said(&serde_json::from_str(&ran.out).unwrap());
    assert_eq!(ran.code, 12, "nobody has signed it: {told}");
    assert!(
        told.contains("that was meant: Ada Example") && told.contains("This is its record: lines 1 to"),
        "{told}"
    );
    let all = run(&["check", "--all", "--json"]);
    assert_eq!(
        all.code, 12,
        "instruments of the demonstration ran out: {}",
        all.err
    );
    let all: Value = serde_json::from_str(&all.out).unwrap();
    let gone = all["builds"]
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["build"] == build)
        .unwrap();
    assert_eq!(gone["removed"]["by"], "Ada Example", "{gone}");
}

/// Takes whole lines off the end of a file.
pub fn cut(path: &Path, lines: usize) {
    let text = fs::read_to_string(path).unwrap();
    let kept: Vec<&str> = text.split_inclusive('\n').collect();
    fs::write(path, kept[..kept.len().saturating_sub(lines).max(1)].concat()).unwrap();
}

/// Changes one bit of a byte that is in no last line.
fn flip(path: &Path, draw: &mut Draw) {
    let mut bytes = fs::read(path).unwrap();
    let last = bytes[..bytes.len() - 1]
        .iter()
        .rposition(|byte| *byte == b'\n')
        .unwrap();
    bytes[draw.below(last)] ^= 1;
    fs::write(path, bytes).unwrap();
}

pub fn crlf(path: &Path) {
    fs::write(path, fs::read_to_string(path).unwrap().replace('\n', "\r\n")).unwrap();
}

/// The heading in DEVELOPERS.md under which the table stands.
const HEADING: &str = "### Alterations of a whole book";

#[test]
fn each_alteration_of_a_whole_book_is_found_as_the_table_has_it() {
    let fill = std::env::var_os("SHIMWRIGHT_FILL").is_some();
    let tries = if fill { 500 } else { 50 };
    let mut draw = Draw(20_261_130);
    let known = all_found(&last().book.book());
    let mut found: BTreeMap<usize, (usize, usize, BTreeSet<String>)> = BTreeMap::new();
    let mut tried = 0;
    while tried < tries {
        let at = match tried < ALTERATIONS.len() {
            true => tried,
            false => draw.below(ALTERATIONS.len()),
        };
        let (what, wanted, alter) = ALTERATIONS[at];
        let place = Place::new();
        copy(&last().book.book(), &place.book());
        if !alter(&place.book(), &mut draw) {
            continue;
        }
        tried += 1;
        let now = all_found(&place.book());
        let states = now.difference(&known).map(|(_, state, _)| state.as_str());
        let worst = states
            .filter(|state| *state != "note" && *state != "holds")
            .max_by_key(|state| rank(state));
        let (count, held, other) = found.entry(at).or_default();
        *count += 1;
        *held += usize::from(worst.unwrap_or("nothing") == wanted);
        other.insert(worst.unwrap_or("nothing").to_string());
        assert_eq!(worst.unwrap_or("nothing"), wanted, "{what}: {now:#?}");
    }
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md");
    let text = fs::read_to_string(&path).unwrap();
    if fill {
        let rows: Vec<String> = ALTERATIONS
            .iter()
            .enumerate()
            .map(|(at, (what, wanted, _))| {
                let (count, held, _) = &found[&at];
                format!("| {what} | {count} | {held} | {wanted} |")
            })
            .collect();
        let (before, after) = text.split_once(HEADING).unwrap();
        let (words, table) = after.split_once("\n|").unwrap();
        let rest = table.split_once("\n\n").unwrap().1;
        let head = "| alteration | tried | found as it must be | as |\n|---|---|---|---|";
        fs::write(
            path,
            format!("{before}{HEADING}{words}\n{head}\n{}\n\n{rest}", rows.join("\n")),
        )
        .unwrap();
    } else {
        let kept: Vec<[String; 2]> = table_under(&text, HEADING)
            .into_iter()
            .map(|row| [row[0].clone(), row[3].clone()])
            .collect();
        let wanted: Vec<[String; 2]> = ALTERATIONS
            .iter()
            .map(|(what, wanted, _)| [(*what).to_string(), (*wanted).to_string()])
            .collect();
        assert_eq!(kept, wanted, "SHIMWRIGHT_FILL=1 writes the table anew");
    }
}

#[test]
fn line_ends_that_were_changed_are_told_and_put_back() {
    let place = Place::new();
    copy(&last().book.book(), &place.book());
    let before = all_found(&place.book());
    for name in ["journal.jsonl", "unit.toml", "seal-1.txt", "seal-2.txt.sig"] {
        crlf(&place.book().join(BUILDS[0]).join(name));
    }
    crlf(&place.book().join("log.jsonl"));
    // one cause is told once, and no log that is there is called missing
    let all = flat(&place.run(&["check", "--all"]).out);
    for words in ["it has no line", "it has no log", "the log has no line of it"] {
        assert!(!all.contains(words), "{words}: {all}");
    }
    let told = place.run(&["check", BUILDS[0]]);
    assert_eq!(told.code, 11);
    assert!(flat(&told.out).contains("changed to CRLF"), "{}", told.out);
    let ran = place.run(&["adopt"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert_eq!(all_found(&place.book()), before, "{}", ran.out);
}

#[test]
fn a_book_without_a_log_gets_one_and_says_from_when_it_counts() {
    let place = Place::new();
    copy(&last().book.book(), &place.book());
    fs::remove_file(place.book().join("log.jsonl")).unwrap();
    // the builds of an older program have no word of a log: their sheet and their paper stay as they were
    let unit = demo_file("moor-rear.toml");
    let older = Place::new();
    copy(&place.book().join(BUILDS[1]), &older.book().join(BUILDS[1]));
    let journal = older.journal_file(BUILDS[1]);
    let mut was = Digest::of(b"");
    let mut text = String::new();
    for (n, line) in fs::read_to_string(&journal).unwrap().lines().enumerate() {
        let (_, entry) = line.split_once("\"entry\":").unwrap();
        let mut entry: Entry = Entry::from_json(entry.strip_suffix('}').unwrap()).unwrap();
        match &mut entry {
            Entry::Begun { id, .. } => *id = None,
            Entry::Finished { log, .. } => *log = None,
            _ => {}
        }
        let line = format!(
            "{{\"v\":1,\"n\":{},\"was\":\"{was}\",\"entry\":{}}}",
            n + 1,
            entry.to_json().unwrap()
        );
        was = Digest::of(line.as_bytes());
        text.push_str(&format!("{line}\n"));
    }
    fs::write(&journal, text).unwrap();
    let code = paper(&older.book(), BUILDS[1]);
    assert!(code.starts_with("SHIMWRIGHT1 "), "{code}");
    let found = all_found(&older.book());
    assert!(
        found
            .iter()
            .any(|(_, state, words)| state == "open" && words.contains("it has no log")),
        "{found:?}"
    );
    let answers = demo_file("moor-rear-bench-check.answers");
    let words = [
        "work",
        "bench-check",
        unit.to_str().unwrap(),
        "--new",
        "--as-listed",
        "--at",
        AT,
    ];
    let ran = older.run(&[&words[..], &["--answers", answers.to_str().unwrap()]].concat());
    done(&ran);
    assert!(flat(&ran.err).contains("has a log from now on"), "{}", ran.err);
    let log = fs::read_to_string(older.book().join("log.jsonl")).unwrap();
    assert!(log.lines().nth(1).unwrap().contains("\"adopted\""), "{log}");
    let found = all_found(&older.book());
    assert!(
        found
            .iter()
            .any(|(_, _, words)| words.contains("of the 1 build before")),
        "{found:?}"
    );
    assert!(!found.iter().any(|(of, ..)| of == BUILDS[1]), "{found:?}");
    assert_eq!(older.run(&["check", "--paper", &code]).code, 0);
    assert_eq!(
        fs::read_to_string(older.book().join(".gitattributes"))
            .unwrap()
            .lines()
            .count(),
        3
    );
}

#[test]
fn what_is_to_be_done_with_a_second_journal_is_told() {
    let place = Place::new();
    copy(&last().book.book(), &place.book());
    let folder = place.book().join(BUILDS[1]);
    let own = fs::read_to_string(folder.join("journal.jsonl")).unwrap();
    let second = folder.join("journal (conflicted copy).jsonl");
    let lines: Vec<&str> = own.split_inclusive('\n').collect();
    let shorter = lines[..lines.len() - 1].concat();
    let otherwise = [&shorter, *lines.last().unwrap()]
        .concat()
        .replace("finished", "finishes");
    for (ours, other, words) in [
        (&own, &shorter, "it holds nothing more, so it may be moved out"),
        (
            &shorter,
            &own,
            "it goes on from journal.jsonl, so it belongs in the place of that",
        ),
        (&own, &otherwise, "both were gone on with, so look at both"),
    ] {
        fs::write(folder.join("journal.jsonl"), ours).unwrap();
        fs::write(&second, other).unwrap();
        let ran = place.run(&["adopt"]);
        assert_eq!(ran.code, 12, "{}{}", ran.out, ran.err);
        assert!(flat(&ran.err).contains(words), "{words}: {}", ran.err);
        assert_eq!(fs::read_to_string(&second).unwrap(), *other);
    }
}
