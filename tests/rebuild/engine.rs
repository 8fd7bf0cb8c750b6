//! The engine without a front-end: a demo's job, and a session at a question of it.

use crate::bench::{AT, demo_file, finished};
use shimwright::procedure::{Accepted, Ask, Job, Refusal, Reply, Session, read_stock};
use shimwright::record::Entry;
use shimwright::workshop::{Drawer, Unit, read_instruments};
use std::fs;

pub fn job(demo: &str) -> Job {
    let text = |name: &str| fs::read_to_string(demo_file(name)).unwrap();
    let unit = Unit::read(demo, &text(&format!("{demo}.toml"))).unwrap();
    let drawer = unit.drawer.clone().unwrap();
    Job {
        drawer: Drawer::read(&drawer, &text(&drawer)).unwrap(),
        instruments: read_instruments("instruments", &text("instruments.toml")).unwrap(),
        procedure: read_stock("full-rebuild").unwrap().unwrap(),
        rework: None,
        last: None,
        unit,
    }
}

/// The entries of a demo that ran to its end.
pub fn entries(demo: &str) -> Vec<Entry> {
    let values = &finished(demo).entries;
    values
        .iter()
        .map(|value| Entry::from_json(&value.to_string()).unwrap())
        .collect()
}

/// A demo right before the first answer to a question.
pub fn before(demo: &str, slot: &str) -> Session {
    let entries = entries(demo);
    let at = entries
        .iter()
        .position(|entry| matches!(entry, Entry::Answered { slot: known, .. } | Entry::Skipped { slot: known, .. } if known.to_string() == slot))
        .unwrap_or_else(|| panic!("{demo} never answers {slot}"));
    let session = Session::resume(job(demo), &entries[..at]);
    assert_eq!(session.ask().unwrap().slot.to_string(), slot);
    session
}

/// Gives a reply and takes in what it leads to.
pub fn give(session: &mut Session, reply: &Reply) -> Result<Accepted, Refusal> {
    let taken = session.answer(reply, AT)?;
    session.apply(&taken.entries);
    Ok(taken)
}

pub fn answer(session: &mut Session, text: &str) -> Result<Accepted, Refusal> {
    give(session, &Reply::Answer(text.into()))
}

pub fn asked(session: &Session) -> Ask {
    session.ask().unwrap()
}

/// The value that an answer was taken for.
pub fn value(taken: &Accepted) -> shimwright::record::Value {
    match &taken.entries[0] {
        Entry::Answered { value, .. } => value.clone(),
        other => panic!("{other:?}"),
    }
}

/// Why an answer is not taken, and whether it is only odd.
pub fn refused(demo: &str, slot: &str, text: &str) -> (String, bool) {
    let mut session = before(demo, slot);
    let refusal = answer(&mut session, text).expect_err(text);
    assert_eq!(asked(&session).slot.to_string(), slot, "{text} moved on");
    (refusal.words, refusal.sure)
}
