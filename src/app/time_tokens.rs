//! The time-stamp tokens that lie beside the seals of a build.

use super::failure::Failure;
use crate::book::read_input_bytes;
use crate::record::{Certainty, Finding, SealCheck, Statement, Stored, seal_files};
use crate::seal::{TimeCertificates, TokenTime};
use jiff::Timestamp;
use std::path::Path;

/// The most bytes that a file of certificates may have.
const MOST_CERTIFICATES: u64 = 1 << 20;
/// So many seconds may the clock of whoever signs be ahead before it is told.
const AHEAD: i64 = 60;

/// What the tokens say of the seals that hold, by the certificates that are given.
pub(crate) fn told_of_tokens(
    stored: &Stored,
    examined: &SealCheck,
    certificates: Option<&Path>,
) -> Result<Vec<Finding>, Failure> {
    let trusted = match certificates {
        Some(path) => {
            let bytes = read_input_bytes(path, MOST_CERTIFICATES).map_err(Failure::File)?;
            let read = TimeCertificates::read(&bytes);
            Some(read.map_err(|why| Failure::Certificate {
                path: path.to_path_buf(),
                why,
            })?)
        }
        None => None,
    };
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
        match (&trusted, signature, claimed) {
            (_, None, _) => say(
                Certainty::Open,
                format!("{file} is a token of it, and it is not there"),
            ),
            (None, ..) => say(
                Certainty::Note,
                format!("{file} is a token of its time, not looked at; --time-certificate FILE checks it"),
            ),
            (Some(trusted), Some(signature), claimed) => match trusted.check(token, signature) {
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
    Ok(found)
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
