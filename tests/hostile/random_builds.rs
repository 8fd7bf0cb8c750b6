//! No unit and no answers make a build panic.

use crate::drawing::{Draw, PIECES, setting};
use crate::good::{ANSWERS, DRAWER, INSTRUMENTS, PROCEDURE, UNIT};
use shimwright::procedure::{Expects, Job, Procedure, Reply, SURE, Session};
use shimwright::record::{Entry, UnitsName};
use shimwright::report::to_json;
use shimwright::screen::lines;
use shimwright::sheet::in_short;
use shimwright::workshop::{Drawer, Unit, read_instruments};
use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};

pub fn begun() -> Entry {
    Entry::Begun {
        at: "2026-05-09T10:00:00Z".into(),
        program: "0.1.0".into(),
        unit: "ab".into(),
        procedure: "cd".into(),
        setting: None,
        found: None,
        drawer: "cd".into(),
        instruments: "cd".into(),
        units: UnitsName::Metric,
        practice: None,
        id: None,
    }
}

/// A unit that can be read may still be senseless: the whole way through a procedure, with what it asks for answered
/// from the demonstration's answers or at random, must come to an end and to a sheet.
#[test]
fn no_unit_that_can_be_read_makes_a_build_panic() {
    let answers: BTreeMap<&str, &str> = ANSWERS
        .lines()
        .filter_map(|line| line.split_once(" = "))
        .collect();
    let values: Vec<&str> = answers.values().copied().collect();
    let job = |unit: &str, drawer: &str| {
        Some(Job {
            unit: Unit::read("unit.toml", unit).ok()?,
            drawer: Drawer::read("drawer.toml", drawer).ok()?,
            instruments: read_instruments("instruments.toml", INSTRUMENTS).ok()?,
            procedure: Procedure::read("procedure.toml", PROCEDURE).ok()?,
            rework: None,
            last: None,
        })
    };
    assert!(job(UNIT, DRAWER).is_some());
    let mut draw = Draw(setting("SHIMWRIGHT_SEED", 1));
    // a build takes some seconds, so there are far fewer of them
    let most = setting("SHIMWRIGHT_CASES", 200) / 200;
    for case in 0..=most {
        let mut texts = [UNIT.to_string(), DRAWER.to_string()];
        // each change is kept if the files can still be read: most others are refused, and tell nothing of builds
        let changes = if case > 0 { 1 + draw.below(10) } else { 0 };
        for _ in 0..changes {
            let changed = draw.below(texts.len());
            let mut tried = texts.clone();
            tried[changed] = other_number(&mut draw, &texts[changed]);
            if job(&tried[0], &tried[1]).is_some() {
                texts = tried;
            }
        }
        let Some(job) = job(&texts[0], &texts[1]) else {
            unreachable!("every change that was kept can be read")
        };
        let odd = case > 0;
        let went = catch_unwind(AssertUnwindSafe(|| build(&mut draw, job, &answers, &values, odd)));
        assert!(went.is_ok(), "case {case} fell over\n{}\n{}", texts[0], texts[1]);
    }
}

/// The text with one of its numbers put another way.
fn other_number(draw: &mut Draw, text: &str) -> String {
    let starts: Vec<usize> = text
        .char_indices()
        .filter(|&(at, c)| {
            c.is_ascii_digit() && !text[..at].ends_with(|b: char| b.is_ascii_digit() || b == '.')
        })
        .map(|(at, _)| at)
        .collect();
    if starts.is_empty() {
        return text.to_string();
    }
    let at = *draw.pick(&starts);
    let end = text[at..]
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .map_or(text.len(), |n| at + n);
    let new = match draw.below(12) {
        0 => "0".to_string(),
        1 => format!("-{}", &text[at..end]),
        2 => "0.000001".to_string(),
        3 => "99999".to_string(),
        4 => "100000".to_string(),
        5 => draw.below(20).to_string(),
        6 => scaled(&text[at..end], draw.below(2000)),
        _ => scaled(&text[at..end], 980 + draw.below(40)),
    };
    format!("{}{new}{}", &text[..at], &text[end..])
}

/// An answer of the kind that is asked for, with a reason where it is odd.
fn a_way_on(draw: &mut Draw, expects: &Expects) -> String {
    match expects {
        Expects::OneOf(ways) | Expects::OneOfOrLine { ways, .. }
            if draw.below(2) == 0 && !ways.is_empty() =>
        {
            format!("{} because it must be", draw.pick(ways).key)
        }
        Expects::OneOf(ways) if !ways.is_empty() => draw.pick(ways).key.clone(),
        Expects::OneOfOrLine { .. } => draw
            .pick(&[
                "swap C1 C2",
                "swap G1 C1",
                "shims left 0.10",
                "shims right 0.10 0.15",
                "shims left",
            ])
            .to_string(),
        Expects::Quantity { example, .. } => example.clone(),
        Expects::Names(names) => names.join(" "),
        _ => "yes".to_string(),
    }
}

fn scaled(number: &str, thousandths: usize) -> String {
    let value: f64 = number.parse().unwrap_or(1.0);
    format!("{:.4}", value * thousandths as f64 / 1000.0)
}

fn build(draw: &mut Draw, job: Job, answers: &BTreeMap<&str, &str>, values: &[&str], odd: bool) {
    let (mut session, first) = Session::start(job, begun());
    let mut entries = vec![first];
    let mut refused: Option<(u32, Reply)> = None;
    // some builds go straight on to their end, and in others much goes wrong
    let rarely = 10 << draw.below(6);
    for _ in 0..500 {
        let Some(ask) = session.ask() else { break };
        let known = answers
            .get(ask.slot.to_string().as_str())
            .copied()
            .unwrap_or("0.5");
        let reply = match (&refused, draw.below(rarely)) {
            // what looked odd is taken by a word, or the same once more is not
            (Some((1, last)), odds) if odds % 4 == 0 => last.clone(),
            (Some((1, _)), _) => Reply::Answer(SURE.into()),
            (Some((2..5, _)), _) => Reply::Skip("no answer was taken".into()),
            (Some((5.., _)), odds) if odds % 2 == 0 => Reply::Answer(a_way_on(draw, &ask.expects)),
            (Some((5.., _)), _) => Reply::Answer(draw.pick(values).to_string()),
            (_, 0) if odd => Reply::Answer(draw.pick(values).to_string()),
            (_, 1) if odd => Reply::Answer(draw.pick(&PIECES).to_string()),
            (_, 2) if odd => Reply::Skip("lost".into()),
            (_, 3) if odd => Reply::Back,
            (_, 4..6) if odd => Reply::Answer(other_number(draw, known)),
            _ => Reply::Answer(known.to_string()),
        };
        match session.answer(&reply, "2026-05-09T10:00:00Z") {
            Ok(taken) => {
                refused = None;
                session.apply(&taken.entries);
                entries.extend(taken.entries);
            }
            Err(_) => {
                let times = refused.map_or(1, |(times, _)| times + 1);
                if times > 60 {
                    break;
                }
                refused = Some((times, reply));
            }
        }
    }
    let job = session.job().clone();
    let sheet = session.build("demo-0001", "ab");
    assert!(!lines(&in_short(&sheet), 80).is_empty());
    assert!(to_json(&sheet.summary()).is_ok());
    // a build that is taken up again is the same build
    assert_eq!(Session::resume(job, &entries).build("demo-0001", "ab"), sheet);
}
