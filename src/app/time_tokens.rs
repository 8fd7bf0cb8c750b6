//! The time-stamp tokens that lie beside the seals of a build.

use super::failure::Failure;
use crate::book::read_input_bytes;
use crate::record::{Certainty, Finding, SealCheck, Statement, Stored, seal_files};
use crate::seal::{TimeCertificates, TokenTime, is_token_of};
use jiff::Timestamp;
use std::path::Path;

/// The most bytes that a file of certificates may have.
const MOST_CERTIFICATES: u64 = 1 << 20;
/// So many seconds may the clock of whoever signs be ahead before it is told.
const AHEAD: i64 = 60;

/// The certificates that are trusted to give times, where a file of them is given.
pub(crate) fn time_certificates(path: Option<&Path>) -> Result<Option<TimeCertificates>, Failure> {
    let Some(path) = path else {
        return Ok(None);
    };
    let bytes = read_input_bytes(path, MOST_CERTIFICATES).map_err(Failure::File)?;
    match TimeCertificates::read(&bytes) {
        Ok(read) => Ok(Some(read)),
        Err(why) => Err(Failure::Certificate {
            path: path.to_path_buf(),
            why,
        }),
    }
}

/// What the tokens say of the seals that hold, by the certificates that are given; without any, whether each is of its seal.
pub(crate) fn told_of_tokens(
    stored: &Stored,
    examined: &SealCheck,
    trusted: Option<&TimeCertificates>,
) -> Vec<Finding> {
    let mut found = Vec::new();
    for (file, token) in &stored.files {
        let Some(number) = Statement::token_number(file) else {
            continue;
        };
        let mut say = |certainty, words: String| {
            found.push(Finding {
                seal: Some(number),
                ..Finding::new(certainty, format!("seal {number}: {words}"))
            });
        };
        let signature = stored.files.get(&seal_files(number).1);
        let claimed = examined.seals.iter().find(|seal| seal.number == number);
        match (trusted, signature) {
            (_, None) => say(
                Certainty::Open,
                format!("{file} is a token of it, and it is not there"),
            ),
            (None, Some(signature)) => match is_token_of(token, signature) {
                Ok(()) => say(
                    Certainty::Note,
                    format!(
                        "{file} is a token over it, whose time was not checked; --time-certificate FILE does that"
                    ),
                ),
                Err(why) => say(
                    Certainty::Open,
                    format!("time claimed by the signer only; {file} proves nothing: {why}"),
                ),
            },
            (Some(trusted), Some(signature)) => match trusted.check(token, signature) {
                Ok(time) => {
                    let (certainty, words) = words(&time, claimed.map(|seal| seal.time.as_str()));
                    say(certainty, words);
                }
                Err(why) => say(
                    Certainty::Open,
                    format!("time claimed by the signer only; {file} proves nothing: {why}"),
                ),
            },
        }
    }
    let mut numbers: Vec<u32> = examined.seals.iter().map(|seal| seal.number).collect();
    numbers.retain(|number| !stored.files.contains_key(&Statement::token_file(*number)));
    if trusted.is_some() {
        found.extend(numbers.into_iter().map(|number| {
            let words = format!("seal {number}: time claimed by the signer only; no token lies beside it");
            Finding::new(Certainty::Note, words)
        }));
    }
    found
}

/// What is said of the tokens of a whole book: how many hold, or how many were not checked.
pub(crate) fn told_of_all(tokens: &[TokenCount], certificates: Option<&Path>) -> Option<Finding> {
    let sum = |of: fn(&TokenCount) -> usize| tokens.iter().map(of).sum::<usize>();
    let (there, held, seals) = (sum(|of| of.there), sum(|of| of.held), sum(|of| of.seals));
    let tokens = match there {
        0 if certificates.is_none() => return None,
        1 => "1 token".to_string(),
        there => format!("{there} tokens"),
    };
    Some(match certificates {
        Some(path) => {
            let words = format!(
                "its times by others: {tokens} (RFC 3161) beside {seals} seals; proved by the certificates in {}: {held}",
                path.display()
            );
            let certainty = if held == 0 {
                Certainty::Note
            } else {
                Certainty::Holds
            };
            Finding::new(certainty, words)
        }
        None => Finding::new(
            Certainty::Note,
            format!(
                "its times by others: {tokens} (RFC 3161) beside {seals} seals; no time was checked: give --time-certificate FILE"
            ),
        ),
    })
}

/// How many tokens lie beside the seals of a build.
#[derive(Clone, Copy, Default)]
pub(crate) struct TokenCount {
    there: usize,
    held: usize,
    seals: usize,
}

impl TokenCount {
    /// Counts the tokens of a build by what was found of them.
    pub fn of(stored: &Stored, examined: &SealCheck, found: &[Finding]) -> TokenCount {
        let is_token = |file: &&String| Statement::token_number(file).is_some();
        let holds = |finding: &&Finding| finding.certainty == Certainty::Holds;
        TokenCount {
            there: stored.files.keys().filter(is_token).count(),
            held: found.iter().filter(holds).count(),
            seals: examined.seals.len(),
        }
    }
}

/// What is said of a token that holds, beside the time that the signer claims.
fn words(time: &TokenTime, claimed: Option<&str>) -> (Certainty, String) {
    let TokenTime { at, by, .. } = time;
    let off = match time.accuracy_us {
        Some(us) => format!(", give or take {} s", us as f64 / 1e6),
        None => String::new(),
    };
    let said = format!("time by a token of {by}: {at}{off}; it was signed by then");
    let claimed = claimed.and_then(|time| time.parse::<Timestamp>().ok());
    match claimed.map(|claimed| claimed.as_second() - time.seconds) {
        Some(ahead) if ahead > AHEAD => (
            Certainty::Open,
            format!("{said}, {ahead} s before the time that the signer claims"),
        ),
        _ => (Certainty::Holds, said),
    }
}
