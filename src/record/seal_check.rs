//! What the seals of a build say about its record, in words.

use super::entry::Entry;
use super::finding::{Certainty, Finding, SealLine};
use super::lines::Lines;
use super::log::Removed;
use super::off_paper::OffPaper;
use super::paper_text::PaperText;
use super::small_code::SmallCode;
use super::statement::{Statement, seal_files, signer};
use crate::report::Summary;
use crate::seal::{Digest, Moment, PublicKey, Signers, Standing};
use serde_json::json;
use std::collections::{BTreeMap, BTreeSet};

/// What is said of a record that has no seal.
pub(super) const NOT_SIGNED: &str = "nothing is signed yet";

/// A build as it lies in the book, as bytes.
#[derive(Clone, Debug)]
pub struct Stored {
    /// Its name.
    pub build: String,
    /// The journal.
    pub journal: Vec<u8>,
    /// Where each line of it that can be trusted ends, after its line end.
    pub ends: Vec<usize>,
    /// Its entries, with what is wrong with them and what a newer program wrote.
    pub lines: Lines,
    /// The files beside the journal, seals among them.
    pub files: BTreeMap<String, Vec<u8>>,
    /// Names beside the journal that a seal does not cover.
    pub uncovered: Vec<String>,
}

/// What was found out about a build's seals.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SealCheck {
    /// The build.
    pub build: String,
    /// How many lines the record has: up to the last that is not a seal's own.
    pub lines: usize,
    /// The digest of those lines.
    pub digest: Digest,
    /// The seals that hold.
    pub seals: Vec<SealLine>,
    /// The keys that they were made with, in the same order.
    pub keys: Vec<PublicKey>,
    /// Whether a newer program made something of it that can not be judged here.
    pub newer: bool,
    /// The numbers of the seals whose bytes hold, whoever made them and whatever the allowed signers say of it.
    pub whole: Vec<u32>,
    /// Everything that was found, in order.
    pub findings: Vec<Finding>,
    /// What the sheet comes to that lies beside the record, printed anew; nothing where it was not held against it.
    pub sheet: Option<Finding>,
    /// What a sheet came to that was held against the record; nothing where none was.
    pub paper: Vec<Finding>,
    /// What the logs of the book say of the build; nothing where they were not asked.
    pub book: Vec<Finding>,
    /// Whether nothing was ever signed of it, as far as can be seen.
    pub unsigned: bool,
    /// Whether the book has no such build, so that only its logs and the paper can say anything.
    pub missing: bool,
    /// Who took it out of the book on purpose, where it is not there and somebody said so.
    pub removed: Option<Removed>,
}

impl Stored {
    /// Whether a newer program wrote in its journal.
    pub fn is_newer(&self) -> bool {
        !self.lines.newer.is_empty()
    }

    /// How many lines the record has, and their digest. The lines that name seals do not count at its end: so the
    /// digest is the same before and after signing.
    pub fn record(&self) -> (usize, Digest) {
        let lines = record_lines(&self.lines);
        (lines, self.digest_of(lines).unwrap_or(Digest::of(b"")))
    }

    /// The digest of the first lines of the journal, as they stand in the file.
    pub fn digest_of(&self, lines: usize) -> Option<Digest> {
        let end = lines
            .checked_sub(1)
            .map_or(Some(0), |last| self.ends.get(last).copied())?;
        self.journal.get(..end).map(Digest::of)
    }

    /// The first lines of the journal, as they stand in the file; all that can be trusted where there are not so many.
    pub fn first_lines(&self, lines: usize) -> &[u8] {
        let end = lines
            .min(self.ends.len())
            .checked_sub(1)
            .map_or(0, |last| self.ends[last]);
        self.journal.get(..end).unwrap_or_default()
    }

    /// The state of the record that a sheet was printed from: the number of its lines, by the digits that its digest
    /// begins with. The newest comes first.
    pub fn lines_with(&self, digits: &str) -> Option<usize> {
        let begins = |lines: &usize| {
            let digest = self.digest_of(*lines);
            digest.is_some_and(|digest| digest.to_string().starts_with(digits))
        };
        (1..=self.record().0).rev().find(begins)
    }

    /// Holds what was read off a sheet against the record. `text` gives the text of the sheet that would be printed
    /// from the first lines, where they are a finished build.
    pub fn held_against(
        &self,
        paper: &OffPaper,
        text: &dyn Fn(usize) -> Option<(PaperText, bool)>,
    ) -> Vec<Finding> {
        let (all, _) = self.record();
        let finding = Finding::new;
        let lines = match paper {
            OffPaper::Digits(digits) => self.lines_with(digits),
            OffPaper::Code(code) => (self.digest_of(code.lines) == Some(code.digest)).then_some(code.lines),
            OffPaper::Small(code) => self
                .digest_of(code.lines)
                .is_some_and(|digest| digest.to_string().starts_with(&code.digits))
                .then_some(code.lines),
        };
        let mut found = vec![match (lines, paper) {
            (None, OffPaper::Digits(_)) => finding(
                Certainty::Broken,
                "paper: the record never had a digest that begins with these digits".to_string(),
            ),
            (None, OffPaper::Code(_) | OffPaper::Small(_)) => finding(
                Certainty::Broken,
                "paper: the digest on the paper is not that of the record".to_string(),
            ),
            (Some(lines), _) if lines < all => finding(
                Certainty::Open,
                format!(
                    "paper: it was printed from lines 1 to {lines}, which are as they were; {} lines have come since, \
                     so print it again",
                    all - lines
                ),
            ),
            (Some(lines), OffPaper::Digits(digits) | OffPaper::Small(SmallCode { digits, .. })) => finding(
                Certainty::Holds,
                format!(
                    "paper: {} of 64 digits read agree with the record as it is now, lines 1 to {lines}",
                    digits.len()
                ),
            ),
            (Some(lines), OffPaper::Code(_)) => finding(
                Certainty::Holds,
                format!("paper: its digest is that of the record as it is now, lines 1 to {lines}"),
            ),
        }];
        if let OffPaper::Code(code) = paper {
            match text(lines.unwrap_or(all)) {
                Some((record, as_then)) => {
                    let differences = code.against(&record, as_then);
                    if differences.is_empty() {
                        let near = match &code.near(&record)[..] {
                            [] => String::new(),
                            near => format!(", {} within one in the last place", near.join(" and ")),
                        };
                        let words = format!("paper: all {} figures agree{near}", record.figures.len());
                        found.push(finding(Certainty::Holds, words));
                    }
                    found.extend(differences);
                }
                None if self.is_newer() => found.push(finding(
                    Certainty::Open,
                    "paper: a newer program wrote what its figures rest on, so they can not be held against the record here"
                        .to_string(),
                )),
                None => found.push(finding(
                    Certainty::Broken,
                    "paper: the record is not finished there, so no such sheet was printed from it"
                        .to_string(),
                )),
            }
        }
        found
    }

    /// The statement that is signed next, and its number: of the record alone, without a word of the book that it lies in.
    pub fn statement(&self, name: &str, time: &str) -> (u32, Statement) {
        let (lines, journal) = self.record();
        let number = 1 + sealed_lines(&self.lines).len() as u32;
        // a seal of which only the half was written is not there
        let (ours, _) = seal_files(number);
        let files = self.files.iter().filter(|(file, _)| **file != ours);
        let statement = Statement {
            build: self.build.clone(),
            lines,
            journal,
            files: files
                .map(|(name, bytes)| (name.clone(), Digest::of(bytes)))
                .collect(),
            log: None,
            signers: None,
            name: name.to_string(),
            time: time.to_string(),
        };
        (number, statement)
    }

    /// Of which seals that hold the book's file of who is who was another one when they were made than it is `now`; none where
    /// every such seal agrees, or says nothing of it.
    pub fn other_signers(&self, examined: &SealCheck, now: Option<Digest>) -> Option<Finding> {
        let then = |number: u32| {
            let text = std::str::from_utf8(self.files.get(&seal_files(number).0)?).ok()?;
            Statement::read(text).ok()?.signers
        };
        let others: Vec<String> = examined
            .seals
            .iter()
            .filter(|seal| then(seal.number).is_some_and(|then| Some(then) != now))
            .map(|seal| seal.number.to_string())
            .collect();
        let what = match now {
            Some(_) => "is another one now than it was",
            None => "is not there any more, as it was",
        };
        let words = |seals: &str| {
            format!(
                "{seals}: the book's file allowed_signers {what} when this was signed; whose a key is is told by what is there now"
            )
        };
        match &others[..] {
            [] => None,
            [one] => Some(Finding::new(Certainty::Note, words(&format!("seal {one}")))),
            [all @ .., last] => {
                let seals = format!("seals {} and {last}", all.join(", "));
                Some(Finding::new(Certainty::Note, words(&seals)))
            }
        }
    }

    /// The entry that names a seal, from its two files.
    pub fn naming(number: u32, statement: &[u8], signature: &[u8]) -> Entry {
        Entry::Sealed {
            seal: number,
            statement: Digest::of(statement).to_string(),
            signature: Digest::of(signature).to_string(),
        }
    }

    /// Looks at everything. `moment` turns the time of a statement into the forms that allowed signers are dated in.
    pub fn examine(&self, signers: &Signers, moment: &dyn Fn(&str) -> Option<Moment>) -> SealCheck {
        let (lines, digest) = self.record();
        let mut examined = SealCheck {
            build: self.build.clone(),
            lines,
            digest,
            seals: Vec::new(),
            keys: Vec::new(),
            newer: false,
            whole: Vec::new(),
            findings: Vec::new(),
            sheet: None,
            paper: Vec::new(),
            book: Vec::new(),
            unsigned: false,
            missing: false,
            removed: None,
        };
        for problem in &self.lines.problems {
            examined.alter(format!("journal: {problem}"));
        }
        if let Some(words) = self.lines.newer.first() {
            let words = format!("journal: a newer program wrote in it ({words}); take that program");
            examined.add_newer(words);
        }
        for (at, entry) in self.lines.all().enumerate() {
            if let Some(Entry::Voided { by, reason, .. }) = entry {
                let words = format!(
                    "line {}: {by} voided the build: {reason}; it counts for nothing",
                    at + 1
                );
                examined.add(Certainty::Note, words);
            }
        }
        for (name, digest) in self.lines.entries.first().map(Entry::kept).unwrap_or_default() {
            if self
                .files
                .get(name)
                .map(|bytes| Digest::of(bytes).to_string())
                .as_deref()
                != Some(digest)
            {
                examined.alter(match self.files.contains_key(name) {
                    true => format!("{name} is not as it was when the build was begun"),
                    false => format!("{name}, which the build was begun with, is not there"),
                });
            }
        }
        let named = sealed_lines(&self.lines);
        let there = self
            .files
            .keys()
            .filter_map(|file| super::statement::seal_number(file));
        let last = there.chain([named.len() as u32]).max().unwrap_or(0);
        if last == 0 {
            examined.unsigned = true;
            examined.add(Certainty::Open, NOT_SIGNED.to_string());
        }
        let mut covered: Option<Statement> = None;
        // a number that no journal can have come to is looked at, but not those before it
        let numbers: BTreeSet<u32> = (1..=named.len() as u32)
            .chain(
                self.files
                    .keys()
                    .filter_map(|file| super::statement::seal_number(file)),
            )
            .collect();
        for number in numbers {
            let naming = named.get(number as usize - 1);
            if let Some(statement) = self.examine_seal(number, naming, signers, moment, &mut examined) {
                covered = Some(statement);
            }
        }
        if let Some(statement) = covered {
            self.examine_rest(&statement, &mut examined);
        }
        for name in &self.uncovered {
            examined.add(Certainty::Note, format!("{name} is not sealed"));
        }
        examined
    }

    /// Looks at one seal, and gives its statement if it holds.
    fn examine_seal(
        &self,
        number: u32,
        naming: Option<&Naming<'_>>,
        signers: &Signers,
        moment: &dyn Fn(&str) -> Option<Moment>,
        examined: &mut SealCheck,
    ) -> Option<Statement> {
        let (text_name, signature_name) = seal_files(number);
        let mut broken = |words: String| {
            examined.add_seal(number, Certainty::Broken, &words);
        };
        let (Some(text), Some(signature)) = (self.files.get(&text_name), self.files.get(&signature_name))
        else {
            let missing = [&text_name, &signature_name]
                .into_iter()
                .filter(|name| !self.files.contains_key(*name));
            let missing: Vec<&str> = missing.map(String::as_str).collect();
            match naming {
                Some(naming) => broken(format!(
                    "line {} of the journal names it, but {} is not there",
                    naming.line,
                    missing.join(" and ")
                )),
                None => examined.add_seal(number, Certainty::Open, "begun and not finished; sign again"),
            }
            return None;
        };
        let mut whole = true;
        if let Some(naming) = naming {
            if naming.number != number {
                broken(format!(
                    "line {} of the journal has another number for it",
                    naming.line
                ));
                whole = false;
            }
            for (file, bytes, digest) in [
                (&text_name, text, naming.statement),
                (&signature_name, signature, naming.signature),
            ] {
                if Digest::of(bytes).to_string() != digest {
                    broken(format!(
                        "{file} is not the file that line {} of the journal names",
                        naming.line
                    ));
                    whole = false;
                }
            }
        }
        let statement = match std::str::from_utf8(text)
            .map_or(Err(super::StatementError::NotAStatement), Statement::read)
        {
            Ok(statement) => statement,
            Err(error @ super::StatementError::Newer { .. }) => {
                examined.newer = true;
                examined.add_seal(number, Certainty::Open, &format!("{text_name}: {error}"));
                return None;
            }
            Err(error) => {
                broken(format!("{text_name}: {error}"));
                return None;
            }
        };
        if statement.build != self.build {
            broken(format!(
                "it is the seal of another build, {}",
                statement.build.escape_debug()
            ));
            whole = false;
        }
        let key = match signer(text, signature) {
            Ok(key) => key,
            Err(error) => {
                broken(format!("{signature_name}: {error}"));
                return None;
            }
        };
        let mut untold = None;
        if statement.build == self.build {
            // what a newer program chains in another way can not be counted here
            if self.is_newer() && self.digest_of(statement.lines).is_none() {
                untold = Some(format!(
                    "it covers {} lines of the journal, of which {} can be read here",
                    statement.lines,
                    self.ends.len()
                ));
            }
            // what the journal does not name may have been laid there by anybody, and says nothing of the record
            let of_the_record = whole && naming.is_some();
            for words in self.differences(&statement, untold.is_none()) {
                examined.add_seal(number, Certainty::Broken, &words);
                if let Some(last) = examined.findings.last_mut() {
                    last.altered = of_the_record;
                }
                whole = false;
            }
        }
        let mut broken = |words: String| {
            examined.add_seal(number, Certainty::Broken, &words);
        };
        if naming.is_some_and(|naming| naming.line <= statement.lines) {
            broken("it says that it covers the line that names it".to_string());
            whole = false;
        }
        if let Some(words) = untold.filter(|_| whole) {
            examined.newer = true;
            examined.add_seal(number, Certainty::Open, &words);
            return None;
        }
        if !whole {
            return None;
        }
        let seal = WholeSeal {
            number,
            statement: &statement,
            key: &key,
            named: naming.is_some(),
        };
        seal.say_whose(signers, moment, examined).then_some(statement)
    }

    /// What is not as a statement has it, the lines of the journal too where `lines`.
    fn differences(&self, statement: &Statement, lines: bool) -> Vec<String> {
        let mut found = Vec::new();
        match self.digest_of(statement.lines) {
            None if !lines => {}
            None => found.push(format!(
                "it covers {} lines of the journal, but only {} are there as they were written",
                statement.lines,
                self.ends.len()
            )),
            Some(digest) if digest != statement.journal => found.push(format!(
                "lines 1 to {} of the journal are not those that were signed; the lines hang together, so line {} \
                 was changed or the journal was written anew",
                statement.lines, statement.lines
            )),
            Some(_) => {}
        }
        for (name, digest) in &statement.files {
            match self.files.get(name) {
                None => found.push(format!("{name} was signed, but is not there")),
                Some(bytes) if Digest::of(bytes) != *digest => {
                    found.push(format!("{name} is not as it was signed"));
                }
                Some(_) => {}
            }
        }
        found
    }

    /// What has come since the last seal.
    fn examine_rest(&self, last: &Statement, examined: &mut SealCheck) {
        if examined.lines > last.lines {
            let since = self.lines.all().take(examined.lines).skip(last.lines);
            let corrections = since
                .filter(|entry| matches!(entry, Some(Entry::Corrected { .. })))
                .count();
            examined.add(
                Certainty::Open,
                format!(
                    "lines {} to {} of the journal ({corrections} corrected) came after the last seal and are not \
                     signed; sign again",
                    last.lines + 1,
                    examined.lines
                ),
            );
        }
        for name in self.files.keys() {
            if last.files.contains_key(name)
                || super::statement::seal_number(name).is_some()
                || Statement::token_number(name).is_some()
            {
                continue;
            }
            if name.ends_with(".toml") {
                examined.alter(format!("{name}: it was not there when the build was signed"));
            } else {
                let words = format!("{name}: it came after the last seal and is not signed");
                examined.add(Certainty::Note, words);
            }
        }
    }
}

impl SealCheck {
    fn add_newer(&mut self, words: String) {
        self.newer = true;
        self.add(Certainty::Open, words);
    }

    fn add(&mut self, certainty: Certainty, words: String) {
        self.findings.push(Finding::new(certainty, words));
    }

    /// Something about one seal.
    fn add_seal(&mut self, number: u32, certainty: Certainty, words: &str) {
        self.findings.push(Finding {
            seal: Some(number),
            ..Finding::new(certainty, format!("seal {number}: {words}"))
        });
    }

    /// Finds that the record is not as it was.
    fn alter(&mut self, words: String) {
        self.findings.push(Finding {
            altered: true,
            ..Finding::new(Certainty::Broken, words)
        });
    }

    /// What says that the record itself is not as it was begun or signed.
    pub fn altered(&self) -> impl Iterator<Item = &Finding> {
        self.findings.iter().filter(|finding| finding.altered)
    }

    /// What does not hold, though that says nothing of the record.
    pub fn bad_seals(&self) -> impl Iterator<Item = &Finding> {
        let broken = |finding: &&Finding| finding.certainty == Certainty::Broken && !finding.altered;
        self.findings.iter().filter(broken)
    }

    /// The worst of what was found. Where a sheet was held against the record, the question was whether they agree, and
    /// a signature that is missing is no answer to it.
    pub fn verdict(&self) -> Certainty {
        let counts = |finding: &&Finding| self.paper.is_empty() || finding.certainty == Certainty::Broken;
        let of_seals = self.findings.iter().chain(&self.book).filter(counts);
        let all = of_seals
            .chain(&self.sheet)
            .chain(&self.paper)
            .map(|finding| finding.certainty);
        all.max().unwrap_or(Certainty::Open).max(Certainty::Holds)
    }

    /// Everything that was found, of the seals, of the book and of sheets.
    pub fn all(&self) -> impl Iterator<Item = &Finding> {
        let of_record = self.findings.iter().chain(&self.book);
        of_record.chain(&self.sheet).chain(&self.paper)
    }

    /// What is known of a build that is not in the book: only what the book's logs, or a sheet, say of it.
    pub fn missing(
        build: &str,
        book: Vec<Finding>,
        paper: Vec<Finding>,
        removed: Option<Removed>,
    ) -> SealCheck {
        SealCheck {
            build: build.to_string(),
            lines: 0,
            digest: Digest::of(b""),
            seals: Vec::new(),
            keys: Vec::new(),
            newer: false,
            whole: Vec::new(),
            findings: Vec::new(),
            sheet: None,
            paper,
            book,
            unsigned: true,
            missing: true,
            removed,
        }
    }

    /// The seals over the whole record as it is now.
    pub fn on_all(&self) -> impl Iterator<Item = (&SealLine, &PublicKey)> {
        let both = self.seals.iter().zip(&self.keys);
        both.filter(|(seal, _)| seal.lines == self.lines)
    }

    /// All of it, for machines.
    pub fn summary(&self) -> Summary {
        let seals: Vec<_> = self
            .seals
            .iter()
            .map(|seal| {
                json!({
                    "seal": seal.number, "name": seal.name, "time": seal.time, "key": seal.key,
                    "journal_lines": seal.lines, "known": seal.known,
                })
            })
            .collect();
        let findings: Vec<_> = self
            .all()
            .map(|finding| json!({"state": finding.certainty.word(), "words": finding.words}))
            .collect();
        Summary::told(
            "check",
            json!({
                "build": self.build, "verdict": self.verdict().word(), "journal_lines": self.lines,
                "digest": self.digest.to_string(), "seals": seals, "findings": findings,
                "removed": self.removed.as_ref().map(Removed::to_json),
            }),
        )
    }
}

/// A line of the journal that names a seal.
struct Naming<'a> {
    line: usize,
    number: u32,
    statement: &'a str,
    signature: &'a str,
}

fn sealed_lines(lines: &Lines) -> Vec<Naming<'_>> {
    let named = lines.all().enumerate().filter_map(|(at, entry)| match entry {
        Some(Entry::Sealed {
            seal,
            statement,
            signature,
        }) => Some(Naming {
            line: at + 1,
            number: *seal,
            statement,
            signature,
        }),
        _ => None,
    });
    named.collect()
}

/// How many lines the record has: all up to the last that does not name a seal.
fn record_lines(lines: &Lines) -> usize {
    let last = lines
        .all()
        .rposition(|entry| !matches!(entry, Some(Entry::Sealed { .. })));
    last.map_or(0, |at| at + 1)
}

/// By what the allowed signers know a key.
fn known_by(signers: &Signers, key: &PublicKey, name: &str) -> String {
    match signers.rotated_to(key, name) {
        Some(one) => format!(
            "known by the allowed signers through a rotation: {} signed this key at {}",
            one.old.fingerprint(),
            one.time
        ),
        None => "known by the allowed signers".to_string(),
    }
}

/// What is said of a key that the allowed signers do not know.
fn unknown_by(signers: &Signers, key: &PublicKey) -> String {
    let rotated = signers.rotations().iter().find(|one| one.rotated.new == *key);
    let rotated = rotated.and_then(|one| Some(format!("; {}: {}", one.rotated.file, one.against.as_ref()?)));
    format!(
        "the bytes hold, but no allowed signer has this key, so whose it is is not known{}",
        rotated.unwrap_or_default()
    )
}

/// A seal whose bytes hold.
struct WholeSeal<'s> {
    number: u32,
    statement: &'s Statement,
    key: &'s PublicKey,
    /// Whether the journal names it.
    named: bool,
}

impl WholeSeal<'_> {
    /// Says who made it, by the allowed signers; whether nothing is held against it.
    fn say_whose(
        &self,
        signers: &Signers,
        moment: &dyn Fn(&str) -> Option<Moment>,
        examined: &mut SealCheck,
    ) -> bool {
        let WholeSeal {
            number,
            statement,
            key,
            named,
        } = *self;
        let fingerprint = key.fingerprint();
        let name = &statement.name;
        let standing =
            moment(&statement.time).map(|at| signers.standing(key, name, Statement::NAMESPACE, &at));
        let (certainty, whose) = match &standing {
            Some(Standing::Known) => (Certainty::Holds, known_by(signers, key, name)),
            Some(Standing::Unknown) => (Certainty::Open, unknown_by(signers, key)),
            Some(other) => (
                Certainty::Broken,
                format!("but {}", other.against().unwrap_or_default()),
            ),
            None => (Certainty::Broken, "but its time can not be read".to_string()),
        };
        examined.add_seal(
            number,
            certainty,
            &format!(
                "{name}, time claimed {}, key {fingerprint}; lines 1 to {} and {} files; {whose}",
                statement.time,
                statement.lines,
                statement.files.len()
            ),
        );
        if !named {
            let words = "the journal does not name it yet; sign again, and it will";
            examined.add_seal(number, Certainty::Open, words);
        }
        examined.whole.push(number);
        if certainty == Certainty::Broken {
            return false;
        }
        examined.seals.push(SealLine {
            number,
            name: name.clone(),
            time: statement.time.clone(),
            key: fingerprint,
            lines: statement.lines,
            known: standing == Some(Standing::Known),
        });
        examined.keys.push(key.clone());
        true
    }
}
