//! What else is in the book of the unit that a job is on, so that nobody builds on a state that is no more.

use super::failure::Failure;
use super::histories::each_shelved;
use super::output::width;
use crate::book::Shelf;
use crate::history::Shelved;
use crate::procedure::Session;
use crate::quantity::{seconds_of, visible};
use crate::screen::filled;

/// What a job on a unit is told of its other jobs: those that are open, and those that were finished since it was begun. Empty where
/// there are none.
pub(super) fn other_jobs(shelf: &Shelf, build: &str, session: &Session) -> Result<String, Failure> {
    let begun = seconds_of(session.started());
    let mut builds = each_shelved(shelf, &shelf.contents()?.named())?;
    builds.retain(|other| other.unit == session.job().unit.id && other.build != build);
    let told = |other: &Shelved| {
        let day: String = other.begun.chars().take(10).collect();
        format!("{}, {}, begun {day}", other.build, other.procedure)
    };
    let mut words = String::new();
    let mut tell = |of: Vec<String>, before: &str, after: &str| {
        if !of.is_empty() {
            let line = format!("{before} {}. {after}", of.join("; "));
            words.push_str(&filled(&visible(&line), width()));
        }
    };
    let since = |other: &&Shelved| {
        let ended = other.finished.as_deref().and_then(seconds_of);
        other.counts() && matches!((ended, begun), (Some(ended), Some(begun)) if ended > begun)
    };
    tell(
        builds.iter().filter(|other| other.is_open()).map(told).collect(),
        "Also open on this unit:",
        "What is changed there is not known here; `shimwright show BUILD` says how far it is.",
    );
    tell(
        builds.iter().filter(since).map(told).collect(),
        "Finished on this unit since this job was begun:",
        "What lies in the unit may be other than this job takes it to be: look before you go on, or begin anew with --new.",
    );
    Ok(words)
}
