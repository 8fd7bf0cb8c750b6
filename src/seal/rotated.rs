//! Keys that took the place of others: which of the rotations count, and what follows for whose a key is.

use super::key::PublicKey;
use super::standing::{Moment, Standing};

/// The most rotations that are followed; a person rotates a key once in some years.
const MOST: usize = 200;

/// A key that took the place of another one, as the older of them signed it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Rotated {
    /// The key that signed.
    pub old: PublicKey,
    /// The key that it signed.
    pub new: PublicKey,
    /// Whose keys both are.
    pub name: String,
    /// When, in the forms that lines are dated in.
    pub at: Moment,
    /// When, as RFC 3339 text, for words.
    pub time: String,
    /// What its signature is for.
    pub namespace: &'static str,
    /// The file that says it.
    pub file: String,
}

/// A rotation, and why it counts for nothing where it does not.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Judged {
    /// The rotation.
    pub rotated: Rotated,
    /// What is against it, in words.
    pub against: Option<String>,
    /// Whether that is only that nobody is known for the key that signed it.
    pub is_unknown: bool,
    /// Which of the rotations the first of its chain is, whose older key a line has.
    root: usize,
}

impl Judged {
    /// Whether nothing is against it.
    pub fn counts(&self) -> bool {
        self.against.is_none()
    }
}

/// What the lines alone say of a key under a name, for a namespace, at a time.
type ByLines<'a> = &'a dyn Fn(&PublicKey, &str, &str, &Moment) -> Standing;

/// Which of the rotations count: those that go on from a key that lines have, on and on.
pub(super) fn judge(
    rotations: Vec<Rotated>,
    is_revoked: &dyn Fn(&PublicKey) -> bool,
    by_lines: ByLines<'_>,
) -> Vec<Judged> {
    let mut judged: Vec<Judged> = (0..rotations.len())
        .map(|at| Judged {
            against: against(at, &rotations, is_revoked),
            rotated: rotations[at].clone(),
            is_unknown: false,
            root: at,
        })
        .collect();
    let by_lines = |one: &Rotated| by_lines(&one.old, &one.name, one.namespace, &one.at);
    let mut counts = vec![false; judged.len()];
    while let Some((at, root)) = next_that_counts(&judged, &counts, &by_lines) {
        counts[at] = true;
        judged[at].root = root;
    }
    for (one, _) in judged.iter_mut().zip(counts).filter(|(_, counts)| !counts) {
        if one.against.is_none() {
            let standing = by_lines(&one.rotated);
            one.is_unknown = standing == Standing::Unknown;
            one.against = Some(standing.against().unwrap_or_else(|| {
                "no allowed signer has the key that signed it, and no rotation that counts before it"
                    .to_string()
            }));
        }
    }
    judged
}

/// One more rotation that counts, and the first of its chain.
fn next_that_counts(
    judged: &[Judged],
    counts: &[bool],
    by_lines: &dyn Fn(&Rotated) -> Standing,
) -> Option<(usize, usize)> {
    let mut open = judged
        .iter()
        .enumerate()
        .filter(|(at, one)| !counts[*at] && one.counts());
    open.find_map(|(at, one)| {
        let one = &one.rotated;
        if by_lines(one) == Standing::Known {
            return Some((at, at));
        }
        let before = judged.iter().zip(counts).find(|(earlier, counts)| {
            let earlier = &earlier.rotated;
            **counts && earlier.new == one.old && earlier.name == one.name && earlier.at.utc <= one.at.utc
        });
        before.map(|(earlier, _)| (at, earlier.root))
    })
}

/// What is against a rotation whoever its keys are.
fn against(at: usize, all: &[Rotated], is_revoked: &dyn Fn(&PublicKey) -> bool) -> Option<String> {
    let one = &all[at];
    let words = if at >= MOST {
        format!("more than {MOST} rotations are not followed")
    } else if one.old == one.new {
        "both keys are the same".to_string()
    } else if is_revoked(&one.old) {
        "the key that signed it is revoked, whatever time it claims".to_string()
    } else if let Some(other) = all
        .iter()
        .find(|other| other.old == one.old && other.new != one.new)
    {
        format!("the same key signed another one too, by {}", other.file)
    } else if leads_back(one, all) {
        "it goes in a circle, back to a key that was rotated before".to_string()
    } else {
        return None;
    };
    Some(words)
}

/// What the lines and the rotations say of a key under a name, for a namespace, at a time.
pub(super) fn by_rotations(
    judged: &[Judged],
    by_lines: ByLines<'_>,
    key: &PublicKey,
    (name, namespace): (&str, &str),
    at: &Moment,
) -> Standing {
    let counting = || judged.iter().filter(|one| one.counts());
    let mut standing = by_lines(key, name, namespace, at);
    if standing == Standing::Unknown {
        for one in counting().filter(|one| one.rotated.new == *key) {
            if one.rotated.name != name {
                standing = Standing::OtherName(vec![one.rotated.name.clone()]);
                continue;
            }
            // what the first key may not sign, no later one may
            let root = &judged[one.root].rotated;
            standing = match by_lines(&root.old, name, namespace, &root.at) {
                Standing::Known if at.utc < one.rotated.at.utc => Standing::OutOfTime(format!(
                    "{name}'s from {} on, when {} signed it",
                    one.rotated.time,
                    one.rotated.old.fingerprint()
                )),
                other => other,
            };
            break;
        }
    }
    let away =
        |one: &&Judged| one.rotated.old == *key && one.rotated.name == name && one.rotated.at.utc < at.utc;
    match counting().find(away) {
        Some(one) if standing == Standing::Known => Standing::OutOfTime(format!(
            "{name}'s until {}, when it signed {} in its place",
            one.rotated.time,
            one.rotated.new.fingerprint()
        )),
        _ => standing,
    }
}

/// Whether the keys before the one that signed go back to the one that it signed.
fn leads_back(one: &Rotated, all: &[Rotated]) -> bool {
    let mut reached = vec![&one.old];
    let mut next = 0;
    while let Some(key) = reached.get(next).copied() {
        if *key == one.new {
            return true;
        }
        next += 1;
        for earlier in all.iter().filter(|earlier| earlier.new == *key) {
            if !reached.contains(&&earlier.old) {
                reached.push(&earlier.old);
            }
        }
    }
    false
}
