//! The sheet that lies beside a build, held against the one that its record gives.

use super::days::is_day;
use super::failure::Failure;
use super::load::Sources;
use super::quiet::quietly;
use super::seals::{summed_up, unsealed};
use super::stored::SHEET;
use crate::book::{BookError, BuildId, Remembered, Shelf};
use crate::procedure::{Job, Session};
use crate::record::{Build, Certainty, Entry, Finding, Stored};
use crate::seal::Digest;
use crate::sheet::{GivenFont, HeldSheet, held_sheet};

/// The most figures that are named.
const MOST_NAMED: usize = 5;

/// What is said of the sheet that lies beside a build: it is printed anew and compared. Nothing of a drive day,
/// and of a build that never was finished and has none. What is `remembered` of the very same sheet and the very same states
/// is not printed again.
pub(crate) fn sheet_check(
    shelf: &Shelf,
    id: &BuildId,
    stored: &Stored,
    font: Option<&GivenFont>,
    remembered: Option<&Remembered>,
) -> Result<Option<Finding>, Failure> {
    if is_day(shelf, id) {
        return Ok(None);
    }
    let entries = &stored.lines.entries;
    let ends: Vec<usize> = (1..=entries.len())
        .filter(|lines| matches!(entries[lines - 1], Entry::Finished { .. }))
        .collect();
    let told = |certainty, words: String| Ok(Some(Finding::new(certainty, format!("{SHEET}: {words}"))));
    let kept = match shelf.file(id, SHEET) {
        Ok(kept) => kept,
        Err(BookError::Missing { .. }) if ends.is_empty() => return Ok(None),
        Err(BookError::Missing { .. }) => {
            return told(
                Certainty::Note,
                format!("none lies beside the record; `shimwright sheet {id}` prints one"),
            );
        }
        Err(fault) => return told(Certainty::Broken, fault.to_string()),
    };
    let job = match Sources::kept(shelf, id).and_then(|kept| kept.job()) {
        Ok(job) => job,
        Err(fault) => return told(Certainty::Open, format!("it can not be printed anew: {fault}")),
    };
    let (states, lines) = states(shelf, id, stored, &job, &ends)?;
    let given: Vec<(Build, &[u8])> = states
        .into_iter()
        .zip(&lines)
        .map(|(build, lines)| (build, stored.first_lines(*lines)))
        .collect();
    let held = held(&kept, &given, font, remembered)?;
    let (record, _) = stored.record();
    let of = |state: usize| match lines[state] {
        lines if lines >= record => "the record as it is now".to_string(),
        lines => format!(
            "the record as it was with {lines} lines; {} have come since, and `shimwright sheet {id}` prints one of it as it \
             is now",
            record - lines
        ),
    };
    let is_older = matches!(held, HeldSheet::Same(state) if lines[state] < record);
    let mut found = finding(SHEET, held, of);
    if is_older {
        found.certainty = Certainty::Note;
    }
    Ok(Some(found))
}

/// What a sheet of this name was found to be, in words; `of` tells a state of its record.
pub(crate) fn finding(name: &str, held: HeldSheet, of: impl Fn(usize) -> String) -> Finding {
    let told = |certainty, words: String| Finding::new(certainty, format!("{name}: {words}"));
    match held {
        HeldSheet::Same(state) => told(
            Certainty::Holds,
            format!(
                "printed anew, it is the same byte for byte; it is of {}",
                of(state)
            ),
        ),
        HeldSheet::Touched => told(Certainty::Broken, "it is not as the program wrote it".to_string()),
        HeldSheet::NotRead => told(
            Certainty::Broken,
            "it is not what is printed from the record, and its words can not be read".to_string(),
        ),
        HeldSheet::Other => told(
            Certainty::Broken,
            "it has no digest that the record had when it was finished: it is of another record".to_string(),
        ),
        HeldSheet::Lacks { state, figures } => {
            let named: Vec<&str> = figures.iter().take(MOST_NAMED).map(String::as_str).collect();
            let more = match figures.len().saturating_sub(MOST_NAMED) {
                0 => String::new(),
                more => format!(" and {more} more"),
            };
            told(
                Certainty::Broken,
                format!(
                    "it has the digest of {}, but figures that were typed do not stand on it: {}{more}",
                    of(state),
                    named.join(", ")
                ),
            )
        }
        HeldSheet::SameWords {
            state,
            font: (font, digest),
        } => told(
            Certainty::Note,
            format!(
                "it was printed with the font {font}, SHA-256 {digest}: it is of {}, and every word on it is the record's; with \
                 --font FILE it is compared byte for byte",
                of(state)
            ),
        ),
        HeldSheet::OtherForm {
            state,
            figures,
            lines,
        } => told(
            Certainty::Note,
            format!(
                "it was printed by another model or form of the page: it is of {}; its digest and all {figures} figures \
                 that were typed agree, {lines} lines would read otherwise now",
                of(state)
            ),
        ),
    }
}

/// What a sheet is, against states of its record: as it was found to be before, else printed anew. Only what speaks for a sheet
/// is remembered.
fn held(
    kept: &[u8],
    given: &[(Build, &[u8])],
    font: Option<&GivenFont>,
    remembered: Option<&Remembered>,
) -> Result<HeldSheet, Failure> {
    let Some(remembered) = remembered else {
        return Ok(quietly(|| held_sheet(kept, given, None, font)).unwrap_or(Ok(HeldSheet::NotRead))?);
    };
    // all that goes into a sheet: a build says what stands on it, its signers and the build before it too
    let mut all = Digest::of(kept).to_string();
    for (build, journal) in given {
        let said = format!("{build:?}");
        all.push_str(&format!(
            " {} {}",
            Digest::of(said.as_bytes()),
            Digest::of(journal)
        ));
    }
    let key = Digest::of(all.as_bytes());
    if let Some(held) = remembered.get(&key).and_then(|text| held_of(&text, given.len())) {
        return Ok(held);
    }
    let held = held(kept, given, font, None)?;
    match &held {
        HeldSheet::Same(state) => remembered.put(key, &format!("same {state}")),
        HeldSheet::OtherForm {
            state,
            figures,
            lines,
        } => remembered.put(key, &format!("form {state} {figures} {lines}")),
        _ => {}
    }
    Ok(held)
}

/// What is remembered of a sheet that was held against so many states.
fn held_of(text: &str, states: usize) -> Option<HeldSheet> {
    let (word, numbers) = text.split_once(' ')?;
    let numbers: Vec<usize> = numbers
        .split(' ')
        .map(|number| number.parse().ok())
        .collect::<Option<_>>()?;
    match (word, &numbers[..]) {
        ("same", [state]) if *state < states => Some(HeldSheet::Same(*state)),
        ("form", [state, figures, lines]) if *state < states => Some(HeldSheet::OtherForm {
            state: *state,
            figures: *figures,
            lines: *lines,
        }),
        _ => None,
    }
}

/// The states that a sheet may have been printed from, each with its lines: as it was when it was finished, unsigned as it
/// was then, the last time first; and as it is now.
fn states(
    shelf: &Shelf,
    id: &BuildId,
    stored: &Stored,
    job: &Job,
    ends: &[usize],
) -> Result<(Vec<Build>, Vec<usize>), Failure> {
    let (mut builds, mut counts) = (Vec::new(), Vec::new());
    let entries = &stored.lines.entries;
    for lines in ends.iter().rev() {
        let session = Session::resume(job.clone(), &entries[..*lines]);
        let digest = stored
            .digest_of(*lines)
            .map_or(String::new(), |digest| digest.to_string());
        builds.push(unsealed(shelf, id, &session, &digest)?);
        counts.push(*lines);
    }
    let session = Session::resume(job.clone(), entries);
    builds.push(summed_up(shelf, id, &session)?);
    counts.push(stored.record().0);
    Ok((builds, counts))
}
