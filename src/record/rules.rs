//! The rules that a book has for its seals.

use super::entry::Entry;
use super::finding::{Certainty, Finding};
use super::seal_check::{SealCheck, Stored};
use std::collections::BTreeSet;

/// The words of the rule that two people sign.
const TWO_PERSONS: &str = "two persons";

/// What a book asks of the seals of a finished build.
///
/// Its text has a rule a line; a line that begins with `#` says nothing. There is one rule, `two persons`: two people sign,
/// each with a key of their own that the allowed signers know.
///
/// ```
/// use shimwright::record::Rules;
/// assert!(Rules::read("# of this shop\ntwo persons\n").two_persons());
/// assert_eq!(Rules::read("three persons\n").unknown(), ["three persons"]);
/// ```
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Rules {
    two_persons: bool,
    unknown: Vec<String>,
}

impl Rules {
    /// Reads the text of a book's rules.
    pub fn read(text: &str) -> Rules {
        let mut rules = Rules::default();
        for line in text.lines().map(str::trim) {
            match line {
                TWO_PERSONS => rules.two_persons = true,
                line if line.is_empty() || line.starts_with('#') => {}
                line => rules.unknown.push(line.to_string()),
            }
        }
        rules
    }

    /// Whether two people have to sign.
    pub fn two_persons(&self) -> bool {
        self.two_persons
    }

    /// The lines that are no rule that is known here.
    pub fn unknown(&self) -> &[String] {
        &self.unknown
    }

    /// What a check says of the lines that are no rule.
    pub fn unread(&self) -> impl Iterator<Item = Finding> {
        self.unknown.iter().map(|line| {
            let words = format!("rules: \"{line}\" is no rule that is known here");
            Finding::new(Certainty::Open, words)
        })
    }

    /// What a check says of a finished record that counts: a rule that is kept, one that is not kept yet.
    pub fn findings(&self, stored: &Stored, check: &SealCheck) -> Option<Finding> {
        let any = |is: fn(&Entry) -> bool| stored.lines.entries.iter().any(is);
        let counts = any(|entry| matches!(entry, Entry::Finished { .. }))
            && !any(|entry| matches!(entry, Entry::Voided { .. }));
        (self.two_persons && counts).then(|| {
            let people = signed_by(check);
            let words = match people.len() {
                0 => "nobody whom they know has signed the record as it is now".to_string(),
                1 => format!("only {} has signed the record as it is now", people.join("")),
                _ => format!("{} have signed the record as it is now", people.join(" and ")),
            };
            let certainty = match people.len() {
                0 | 1 => Certainty::Open,
                _ => Certainty::Holds,
            };
            let words = format!("rules: two persons sign, known by the allowed signers; {words}");
            Finding::new(certainty, words)
        })
    }
}

/// The people whose seals are on the record as it is now, each with a key of their own.
fn signed_by(check: &SealCheck) -> Vec<&str> {
    let (mut names, mut keys) = (BTreeSet::new(), BTreeSet::new());
    let known = check.on_all().filter(|(seal, _)| seal.known);
    known
        .filter(|(seal, key)| {
            !names.contains(&seal.name) && keys.insert(key.fingerprint()) && names.insert(&seal.name)
        })
        .map(|(seal, _)| seal.name.as_str())
        .collect()
}
