//! How long the engine takes between two questions: `cargo bench --bench engine`. The goal is 1 ms, the sync aside.
//!
//! Nothing here touches a disk. The job and its answers are those of the demonstration (`demo-units/`).

// a bench that fails is meant to stop, and it prints what it found
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use shimwright::bench::{Answers, Front, Lines};
use shimwright::procedure::{Job, Procedure, Reply, Session, stock};
use shimwright::record::{Entry, UnitsName};
use shimwright::workshop::{Drawer, Unit, read_instruments};
use std::collections::BTreeMap;
use std::sync::LazyLock;
use std::time::Instant;

const AT: &str = "2026-05-09T10:00:00Z";

/// A whole rebuild: what was replied to each question, and all its entries.
struct Walk {
    replies: Vec<(String, Reply)>,
    /// How many entries there were before each question.
    before: Vec<usize>,
    entries: Vec<Entry>,
}

static WALK: LazyLock<Walk> = LazyLock::new(walk);

fn job() -> Job {
    let source = stock("full-rebuild").unwrap();
    Job {
        unit: Unit::read("unit", include_str!("../../demo-units/moor-rear.toml")).unwrap(),
        drawer: Drawer::read("drawer", include_str!("../../demo-units/moor-drawer.toml")).unwrap(),
        instruments: read_instruments("instruments", include_str!("../../demo-units/instruments.toml"))
            .unwrap(),
        procedure: Procedure::read("procedure", source).unwrap(),
        rework: None,
        last: None,
    }
}

fn begun() -> Entry {
    Entry::Begun {
        at: AT.into(),
        program: "0.1.0".into(),
        unit: "0".repeat(64),
        procedure: "0".repeat(64),
        setting: None,
        found: None,
        drawer: "0".repeat(64),
        instruments: "0".repeat(64),
        units: UnitsName::Metric,
        practice: None,
        id: None,
    }
}

/// Puts the question, takes the reply in, and gives the entries.
fn turn(session: &mut Session, reply: &Reply) -> Vec<Entry> {
    black_box(session.ask().unwrap());
    let taken = session.answer(reply, AT).unwrap();
    black_box(session.apply(&taken.entries));
    taken.entries
}

/// A session of the answers file, which was written when proposals stood with the fewest shims first.
fn started() -> (Session, Entry) {
    let (mut session, first) = Session::start(job(), begun());
    session.put_fewest_first();
    (session, first)
}

fn walk() -> Walk {
    let mut answers = Answers::parse(include_str!("../../demo-units/moor-rear.answers"), "answers").unwrap();
    let (mut session, first) = started();
    let mut walk = Walk {
        replies: Vec::new(),
        before: Vec::new(),
        entries: vec![first],
    };
    while let Some(ask) = session.ask() {
        let reply = answers.ask(&ask).unwrap();
        walk.before.push(walk.entries.len());
        walk.entries.extend(turn(&mut session, &reply));
        walk.replies.push((ask.slot.to_string(), reply));
    }
    answers.finish().unwrap();
    walk
}

/// Says which questions take longest, as the least of some walks: what a person waits for, not what is usual.
fn tell_the_slowest() {
    let mut least: BTreeMap<usize, u128> = BTreeMap::new();
    for _ in 0..5 {
        let (mut session, _) = started();
        for (n, (_, reply)) in WALK.replies.iter().enumerate() {
            let start = Instant::now();
            turn(&mut session, reply);
            let took = start.elapsed().as_micros();
            least
                .entry(n)
                .and_modify(|least| *least = took.min(*least))
                .or_insert(took);
        }
    }
    let mut slowest: Vec<(u128, usize)> = least.into_iter().map(|(n, took)| (took, n)).collect();
    slowest.sort_unstable_by(|a, b| b.cmp(a));
    println!("{} questions; the slowest, in µs:", slowest.len());
    for (took, n) in slowest.into_iter().take(12) {
        println!("{took:8}  {}", WALK.replies[n].0);
    }
}

fn main() {
    tell_the_slowest();
    divan::main();
}

/// A whole rebuild from the first question to the last; the counter gives questions a second.
#[divan::bench]
fn whole_rebuild(bencher: Bencher) {
    bencher
        .counter(ItemsCount::new(WALK.replies.len()))
        .with_inputs(|| started().0)
        .bench_values(|mut session| {
            for (_, reply) in &WALK.replies {
                turn(&mut session, reply);
            }
            session
        });
}

/// From one question to the next.
#[divan::bench(args = ["who", "plate-thickness/C1/1", "plate-thickness/G10/3", "choose", "breakaway/drive-still/1", "sign-built"])]
fn question(bencher: Bencher, slot: &str) {
    let n = WALK.replies.iter().position(|(name, _)| name == slot).unwrap();
    bencher
        .with_inputs(|| Session::resume(job(), &WALK.entries[..WALK.before[n]]))
        .bench_values(|mut session| {
            turn(&mut session, &WALK.replies[n].1);
            session
        });
}

/// The rows of a rail, each as it is typed: a whole plate, a reading, and a line for all twenty plates.
const ROWS: [&str; 3] = [
    "C1 1.996 1.998 1.995 flat 0.02 good",
    "1.996",
    "all good flat 0.02",
];

/// A row from its Enter to the rail as it is drawn next: what it leads to, the question, and its lines.
#[divan::bench(args = ROWS)]
fn row(bencher: Bencher, line: &str) {
    let all = line.starts_with("all");
    let at = |name: &str| WALK.replies.iter().position(|(slot, _)| slot == name).unwrap();
    // the line for all comes when all plates have been measured
    let n = WALK.before[at(if all {
        "spare-thickness/SG1/1"
    } else {
        "plate-look/C1"
    })];
    let kept = |entry: &&Entry| {
        !all || !matches!(entry, Entry::Answered { slot, .. } if ["plate-look", "plate-flatness"].contains(&slot.step.as_str()))
    };
    let entries: Vec<Entry> = WALK.entries[..n].iter().filter(kept).cloned().collect();
    let reply = Reply::Row(line.to_string());
    bencher
        .with_inputs(|| {
            let mut session = Session::resume(job(), &entries);
            session.by_rows(true);
            session
        })
        .bench_values(|mut session| {
            turn(&mut session, &reply);
            let ask = session.ask().unwrap();
            let mut front = Lines::new(&b"\n"[..], Vec::new(), 80, false);
            black_box(front.ask(&ask).unwrap());
            black_box(front.into_output());
            session
        });
}

/// Reading the four files of a job.
#[divan::bench]
fn read_the_job(bencher: Bencher) {
    bencher.bench(job);
}

/// Taking a finished build up again: its entries from JSON, and their fold.
#[divan::bench]
fn resume(bencher: Bencher) {
    let lines: Vec<String> = WALK
        .entries
        .iter()
        .map(|entry| entry.to_json().unwrap())
        .collect();
    bencher.with_inputs(job).bench_values(|job| {
        let entries: Vec<Entry> = lines.iter().map(|line| Entry::from_json(line).unwrap()).collect();
        Session::resume(job, &entries)
    });
}

/// Summing a finished build up for the sheet.
#[divan::bench]
fn record_of_the_build(bencher: Bencher) {
    bencher
        .with_inputs(|| Session::resume(job(), &WALK.entries))
        .bench_values(|session| session.build("moor-rear-0001", "0"));
}
