//! What the last build left in a unit, looked up in the book: what the next job starts from, told, and written on demand.

use super::clock::Clock;
use super::failure::Failure;
use super::load::{Text, book_dir, open_build, read_text};
use super::output::{Laid, Over, lay_down, told, width, write_out};
use crate::book::{Shelf, slug};
use crate::quantity::{seconds_of, visible_lines};
use crate::report::Table;
use crate::screen::{filled, table};
use crate::workshop::left_proofs::{LeftProof, MOST_PROOFS};
use crate::workshop::shown_friction::FrictionNow;
use crate::workshop::{LastLeft, ListedOtherwise, Unit};
use std::path::{Path, PathBuf};

/// What is asked of a unit's file.
pub(crate) struct AsLeft {
    /// The unit's TOML file.
    pub unit: PathBuf,
    /// Where the file is written as it would be, with its comments.
    pub out: Option<PathBuf>,
    /// Whether a file that is there is written over.
    pub replace: bool,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// Says in what a unit's file differs from what was left, and writes it anew where that was asked for.
pub(crate) fn as_left(arguments: &AsLeft) -> Result<(), Failure> {
    let source = read_text(&arguments.unit)?;
    let unit = Unit::read(&source.name, &source.text)?;
    let shelf = Shelf::look(&book_dir(arguments.book.as_ref())?)?;
    let Some(last) = last_left(&shelf, &unit.id, &Clock::Now.time())? else {
        write_out(
            &format!(
                "The book has no finished build of {} that says what was left in it.\n",
                unit.id
            ),
            false,
        )?;
        return Ok(());
    };
    let rows = last.listed_otherwise(&unit);
    let mut words = differences(&last, &rows);
    let mut laid = Laid::default();
    if let Some(out) = &arguments.out {
        let text = last.rewrite(&source.name, &source.text)?;
        laid = lay_down(out, text.as_bytes(), Over::Nothing.or(arguments.replace))?;
        words.push_str(&format!("Written: {}\n", told(out)));
    } else if !rows.is_empty() {
        words.push_str(&offer(&arguments.unit));
    }
    laid.say(&visible_lines(&words))?;
    Ok(())
}

/// What the last finished build of a unit that was not voided left in it, of those that were finished by a time; `None`
/// where there is none, or where an old paper says that the unit was put together since, and not with what.
pub(crate) fn last_left(shelf: &Shelf, unit: &str, by: &str) -> Result<Option<LastLeft>, Failure> {
    let slug = slug(unit);
    let by = seconds_of(by);
    let mut last: Option<((i64, u16), Option<LastLeft>)> = None;
    let mut proofs = Vec::new();
    let marks = shelf.marks()?;
    for id in shelf.list()?.into_iter().filter(|id| id.is_of(&slug, &marks)) {
        // one that can not be read is told where builds are listed
        let Ok(opened) = open_build(shelf, &id) else {
            continue;
        };
        // what a newer program wrote since may have left something else
        if !opened.newer.is_empty() {
            continue;
        }
        let session = &opened.session;
        let finished = session.finished().filter(|_| !session.is_voided());
        let Some(finished) = finished.and_then(seconds_of) else {
            continue;
        };
        if by.is_some_and(|by| finished > by) {
            continue;
        }
        let left = session.left(id.as_str());
        let counts = left.is_some() || session.rebuilt_on_paper();
        let place = (finished, id.number());
        proofs.extend(session.proof_left(id.as_str()).map(|shown| (place, shown)));
        if counts && last.as_ref().is_none_or(|(known, _)| *known < place) {
            last = Some((place, left));
        }
    }
    let Some((_, Some(mut left))) = last else {
        return Ok(None);
    };
    left.proofs = numbered(proofs);
    Ok(Some(left))
}

/// What is known of the friction of a unit as it stands: by the proofs of its builds in a book, else by its file.
pub(crate) fn friction_now(shelf: &Shelf, unit: &Unit) -> Result<FrictionNow, Failure> {
    let last = last_left(shelf, &unit.id, &Clock::Now.time())?;
    Ok(unit.friction_now(last.as_ref()))
}

/// The proofs of a unit in their order, each with the number of the springs that were in.
fn numbered(mut proofs: Vec<((i64, u16), (LeftProof, bool))>) -> Vec<LeftProof> {
    proofs.sort_by_key(|(place, _)| *place);
    let mut set = 1;
    let mut numbered: Vec<LeftProof> = proofs
        .into_iter()
        .map(|(_, (mut proof, anew))| {
            set += u32::from(anew);
            proof.shown.springs = set;
            proof
        })
        .collect();
    numbered.drain(..numbered.len().saturating_sub(MOST_PROOFS));
    numbered
}

/// What was left, as the file that a build keeps.
pub(crate) fn kept(last: &LastLeft) -> Text {
    Text {
        path: None,
        name: format!("what {} left", last.build),
        text: last.text(),
    }
}

/// From what a job starts, and in what the unit's file differs from that.
pub(crate) fn differences(last: &LastLeft, rows: &[ListedOtherwise]) -> String {
    let (build, day) = (&last.build, &last.finished);
    if rows.is_empty() {
        return filled(
            &format!("The unit file lists what {build} left in it on {day}."),
            width(),
        );
    }
    let mut text = filled(
        &format!("{build} left other things in the unit on {day} than its file lists:"),
        width(),
    );
    let rows: Vec<Vec<String>> = rows
        .iter()
        .map(|row| vec![row.what.clone(), row.listed.clone(), row.left.clone()])
        .collect();
    text.push_str(&table(
        &Table::of_words(["", "unit file", "as left"], rows),
        width(),
    ));
    text
}

/// How the unit's file is written anew.
pub(crate) fn offer(unit: &Path) -> String {
    let unit = unit.display();
    format!(
        "The unit file stays as it is. One that lists what was left:\n  shimwright as-left {unit} --out FILE\n"
    )
}
