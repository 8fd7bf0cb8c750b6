//! What a typed answer comes to or how it is refused, and the words that say whether one that looks odd is meant.

use super::ask::Refusal;
use crate::mechanics::Side;
use crate::quantity::{Length, Quantity, QuantityError, Units, parse_bare};
use crate::record::{Slot, Value};

/// The most characters that an answer, a note or a reason may have.
pub(super) const MOST_CHARACTERS: usize = 2_000;

/// The side that a person means: `left`, `l`, `R`, `the left one`, `right side`; none where it is neither, or both.
pub(super) fn side_said(text: &str) -> Option<Side> {
    let words: Vec<&str> = text.split_whitespace().collect();
    match side_before(&words)? {
        (side, []) => Some(side),
        _ => None,
    }
}

/// The side that the first words mean, and the words behind it.
pub(super) fn side_before<'w, 't>(words: &'w [&'t str]) -> Option<(Side, &'w [&'t str])> {
    let is_one_of = |word: &str, known: &[&str]| known.iter().any(|one| word.eq_ignore_ascii_case(one));
    let words = match words {
        [the, rest @ ..] if is_one_of(the, &["the"]) => rest,
        all => all,
    };
    let (word, rest) = words.split_first()?;
    let word = word.to_lowercase();
    let side = Side::BOTH
        .into_iter()
        .find(|side| !word.is_empty() && side.word().starts_with(&word))?;
    match rest {
        [one, rest @ ..] if is_one_of(one, &["one", "side", "pack", "hand"]) => Some((side, rest)),
        rest => Some((side, rest)),
    }
}

/// A refusal in words, which `sure` does not lift.
pub(super) fn no<T>(words: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal {
        words: words.into(),
        sure: false,
        suggests: false,
    })
}

/// Words that say something and are not endless.
pub(super) fn plain_text(text: &str) -> Result<String, Refusal> {
    let text = text.trim();
    if text.is_empty() {
        return no("nothing was written; words are wanted here");
    }
    let count = text.chars().count();
    if count > MOST_CHARACTERS {
        return no(format!(
            "{count} characters are too many; at most {MOST_CHARACTERS}"
        ));
    }
    Ok(text.to_string())
}

/// A quantity as it was typed, and its text with its unit.
pub(super) fn parsed<Q: Quantity>(text: &str, units: Units) -> Result<(Q, String), Refusal> {
    match parse_bare::<Q>(text, Q::DIMENSION.usual_unit(units)) {
        Ok(written) => Ok((written.value(), written.text().to_string())),
        Err(QuantityError::Empty { .. }) => no(format!("{} is wanted here", Q::DIMENSION.article_name())),
        Err(error) => no(error.to_string()),
    }
}

/// What an answer came to.
pub(super) struct Read {
    pub text: String,
    pub value: Value,
    /// Why it looks odd, where it does.
    pub odd: Option<String>,
}

impl Read {
    pub fn plain(text: &str, value: Value) -> Result<Read, Refusal> {
        Ok(Read {
            text: text.to_string(),
            value,
            odd: None,
        })
    }
}

/// The word that says that an odd answer is right as it stands: alone after the question, or behind the answer.
pub const SURE: &str = "sure";

/// An answer that was not taken because it looks odd. The same answer once more does not confirm it: a gauge whose
/// button is pressed twice, or a line that is pasted twice, means nothing.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Odd {
    pub slot: Slot,
    pub text: String,
    /// What was likely meant, as it would be typed; `yes` takes it.
    pub meant: Option<String>,
}

/// Why an answer looks odd, in words, and what was likely meant.
pub(super) type Oddness = Option<(String, Option<String>)>;

/// Reads an answer: one that looks odd is kept in `open` and refused, until it is said to be meant. Gives what was read,
/// and whether it was insisted on.
pub(super) fn surely<R>(
    open: &mut Option<Odd>,
    slot: &Slot,
    text: &str,
    read: impl Fn(&str) -> Result<R, Refusal>,
    oddness: impl Fn(&R) -> Oddness,
) -> Result<(R, bool), Refusal> {
    let mut text = text;
    let before = open.take().filter(|odd| odd.slot == *slot);
    if let Some(odd) = &before {
        if text.eq_ignore_ascii_case(SURE) {
            let read = read(&odd.text)?;
            let insisted = oddness(&read).is_some();
            return Ok((read, insisted));
        }
        if let Some(meant) = &odd.meant
            && ["y", "yes"].contains(&text.to_lowercase().as_str())
        {
            text = meant;
        }
    }
    let whole = read(text);
    if let Some(bare) = without_sure(text)
        && let Ok(meant) = read(bare)
    {
        let insisted = oddness(&meant).is_some();
        // words may end so without meaning it; a value does not
        if insisted || whole.is_err() {
            return Ok((meant, insisted));
        }
    }
    let read = whole?;
    match oddness(&read) {
        None => Ok((read, false)),
        Some((words, meant)) => {
            let suggests = meant.is_some();
            *open = Some(Odd {
                slot: slot.clone(),
                text: text.to_string(),
                meant,
            });
            Err(Refusal {
                words,
                sure: true,
                suggests,
            })
        }
    }
}

/// What stands before the word that says that it is meant.
fn without_sure(text: &str) -> Option<&str> {
    let (bare, last) = text.rsplit_once(char::is_whitespace)?;
    last.eq_ignore_ascii_case(SURE).then(|| bare.trim_end())
}

/// Whether a length is so near to what is expected that nothing is odd about it.
pub(super) fn is_near(mm: f64, expected: Length, share: f64) -> bool {
    // near nothing a share says little: a few hundredths are never odd
    let room = (expected.abs().mm() * share).max(0.05);
    (mm - expected.mm()).abs() <= room
}
