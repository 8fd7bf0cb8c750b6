//! Runs of practice as they lie beside the book, and what each was made up from.

use super::failure::Failure;
use super::load::{Opened, Sources, Text, open_any};
use crate::book::{BuildId, Shelf};
use crate::practice::GeneratedUnit;
use crate::record::GeneratedFrom;
use crate::workshop::language::Language;

/// Whether what a run was begun with is the made-up unit as it is made up today; its procedure may be that of its day.
pub(super) fn is_same(kept: &Sources, now: &Sources) -> bool {
    let [unit, drawer, instruments, _] = kept.digests();
    let [now_unit, now_drawer, now_instruments, _] = now.digests();
    (unit, drawer, instruments) == (now_unit, now_drawer, now_instruments)
}

/// What a run is begun with, its procedure in a language.
pub(super) fn sources(made: &GeneratedUnit, language: Option<&Language>) -> Sources {
    let text = |name: &str, text: &str| Text {
        path: None,
        name: name.to_string(),
        text: text.to_string(),
    };
    Sources {
        unit: text("unit.toml", made.unit_text()),
        drawer: text("drawer.toml", made.drawer_text()),
        instruments: text("instruments.toml", made.instruments_text()),
        procedure: text("procedure.toml", &made.procedure_text(language)),
        setting: None,
        found: None,
    }
}

/// The runs of a shelf that can be read, in the order in which they were begun.
pub(super) fn runs(shelf: &Shelf) -> Result<Vec<(BuildId, GeneratedFrom, Opened)>, Failure> {
    let mut runs = Vec::new();
    for id in shelf.list()? {
        if let Ok(opened) = open_any(shelf, &id)
            && let Some(made) = opened.session.practice()
        {
            runs.push((id, made, opened));
        }
    }
    runs.sort_by(|(a, _, one), (b, _, other)| {
        (one.session.started(), a.as_str()).cmp(&(other.session.started(), b.as_str()))
    });
    Ok(runs)
}
