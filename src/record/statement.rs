//! The statement that is signed.

use super::formats::SEAL;
use super::log_head::Head;
use crate::quantity::{hides, visible};
use crate::seal::{Digest, PublicKey, SealError, SigningKey, verify};
use std::collections::BTreeMap;

/// The first line of a statement that says nothing of the book, and of one that says where its log stood or who was who.
const FORMS: [&str; 2] = ["shimwright seal 1", "shimwright seal 2"];
/// The most characters of a name.
const MOST_OF_A_NAME: usize = 100;

/// What is signed: a small text that ties a signature to one build, to its journal up to a line, to the files that
/// lie beside the journal, and to a name and a time.
///
/// ```text
/// shimwright seal 1
/// build moor-rear-0001
/// journal <SHA-256 of the first 229 lines of journal.jsonl, line ends included> 229
/// file <SHA-256> drawer.toml
/// file <SHA-256> unit.toml
/// name Ada Example
/// time 2026-05-09T12:00:00+02:00
/// ```
///
/// Where the book has a log, or a file of who is who, the first line is `shimwright seal 2`, and behind the files stand the lines
/// of which there is something to say:
///
/// ```text
/// log k7 40 <SHA-256 of the log's line 40, without its newline>
/// signers <SHA-256 of the file allowed_signers in the book>
/// ```
///
/// There is one way to write it: the files stand in the order of their names, and each line ends with a newline.
///
/// ```
/// use shimwright::record::Statement;
/// use shimwright::seal::Digest;
/// let statement = Statement {
///     build: "moor-rear-0001".into(),
///     lines: 2,
///     journal: Digest::of(b"{}\n{}\n"),
///     files: [("unit.toml".into(), Digest::of(b"invented"))].into(),
///     log: None,
///     signers: None,
///     name: "Ada Example".into(),
///     time: "2026-05-09T12:00:00Z".into(),
/// };
/// assert_eq!(Statement::read(&statement.to_text()?)?, statement);
/// # Ok::<(), shimwright::record::StatementError>(())
/// ```
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Statement {
    /// The build's name in the book.
    pub build: String,
    /// How many lines of the journal are signed.
    pub lines: usize,
    /// The digest of those lines as they stand in the file.
    pub journal: Digest,
    /// The digests of the files beside the journal, by name; earlier seals are among them.
    pub files: BTreeMap<String, Digest>,
    /// Where the book's log stood; nothing where the book had none.
    pub log: Option<Head>,
    /// The digest of the file of allowed signers that stood in the book; nothing where there was none.
    pub signers: Option<Digest>,
    /// Who signs.
    pub name: String,
    /// When, as RFC 3339 text.
    pub time: String,
}

/// Why a statement can not be written or read.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum StatementError {
    /// A name that could be taken for more than one, or that would not stay on its line.
    #[error(
        "\"{}\" can not be signed as: a name has 1 to {MOST_OF_A_NAME} characters that can be seen, and none of , \" * ? ! #",
        visible(.name)
    )]
    Name {
        /// The name.
        name: String,
    },
    /// A text that is no statement, or one that was written in another way.
    #[error("it is no statement of the form \"{}\"", FORMS.join("\" or \""))]
    NotAStatement,
    /// A statement of a newer form.
    #[error("a newer program made it ({found}), so it can not be judged here; take that program")]
    Newer {
        /// Its first line.
        found: String,
    },
}

/// Whether a name keeps to its line and is one, as a statement that was signed has it: those of old have what hides.
pub(super) fn can_stand(name: &str) -> bool {
    let bad = |c: char| c.is_control() || ",\"*?!#".contains(c);
    let length = name.chars().count();
    (1..=MOST_OF_A_NAME).contains(&length) && !name.contains(bad) && name.trim() == name
}

/// The names of the statement and of the signature of the `number`th seal, beside the journal.
pub fn seal_files(number: u32) -> (String, String) {
    (format!("seal-{number}.txt"), format!("seal-{number}.txt.sig"))
}

/// The number of the seal that a file belongs to.
pub fn seal_number(file: &str) -> Option<u32> {
    let number = file.strip_prefix("seal-")?;
    let number = number
        .strip_suffix(".sig")
        .unwrap_or(number)
        .strip_suffix(".txt")?;
    number
        .parse()
        .ok()
        .filter(|n: &u32| *n > 0 && n.to_string() == number)
}

impl Statement {
    /// What a signature of ours is for: it counts for nothing else, and no signature for something else counts here.
    pub const NAMESPACE: &str = "build@shimwright";

    /// The name of the file in which a time-stamp token of the `number`th seal lies, beside the journal.
    pub fn token_file(number: u32) -> String {
        format!("seal-{number}.tsr")
    }

    /// The number of the seal that a time-stamp token is of, by its file.
    ///
    /// ```
    /// use shimwright::record::Statement;
    /// assert_eq!(Statement::token_number(&Statement::token_file(2)), Some(2));
    /// assert_eq!(Statement::token_number("seal-02.tsr"), None);
    /// ```
    pub fn token_number(file: &str) -> Option<u32> {
        let number: u32 = file.strip_prefix("seal-")?.strip_suffix(".tsr")?.parse().ok()?;
        (number > 0 && Statement::token_file(number) == file).then_some(number)
    }

    /// Whether a name can be signed as. One with characters that are not seen would pass for another one's.
    ///
    /// ```
    /// use shimwright::record::Statement;
    /// assert!(Statement::check_name("Ada Example").is_ok());
    /// assert!(Statement::check_name("Ada\u{200b} Example").is_err());
    /// ```
    ///
    /// # Errors
    ///
    /// [`StatementError::Name`].
    pub fn check_name(name: &str) -> Result<(), StatementError> {
        match can_stand(name) && !name.contains(hides) {
            true => Ok(()),
            false => Err(StatementError::Name {
                name: name.to_string(),
            }),
        }
    }

    /// The bytes that are signed.
    ///
    /// # Errors
    ///
    /// [`StatementError::Name`].
    pub fn to_text(&self) -> Result<String, StatementError> {
        if !can_stand(&self.name) {
            return Err(StatementError::Name {
                name: self.name.clone(),
            });
        }
        let form = FORMS[usize::from(self.log.is_some() || self.signers.is_some())];
        let mut text = format!(
            "{form}\nbuild {}\njournal {} {}\n",
            self.build, self.journal, self.lines
        );
        for (name, digest) in &self.files {
            text.push_str(&format!("file {digest} {name}\n"));
        }
        if let Some(log) = &self.log {
            text.push_str(&format!("log {}\n", log.to_text()));
        }
        if let Some(signers) = &self.signers {
            text.push_str(&format!("signers {signers}\n"));
        }
        text.push_str(&format!("name {}\ntime {}\n", self.name, self.time));
        Ok(text)
    }

    /// Reads what [`Statement::to_text`] writes, and nothing else.
    ///
    /// # Errors
    ///
    /// [`StatementError`]: a text that this program would not have written.
    pub fn read(text: &str) -> Result<Statement, StatementError> {
        let first = text.lines().next().unwrap_or("");
        if SEAL.is_newer(first) {
            return Err(StatementError::Newer {
                found: visible(&first.chars().take(40).collect::<String>()).into_owned(),
            });
        }
        Statement::parts(text)
            .filter(|statement| statement.to_text().is_ok_and(|written| written == text))
            .ok_or(StatementError::NotAStatement)
    }

    fn parts(text: &str) -> Option<Statement> {
        let mut lines = text.lines().skip(1);
        let mut next = |key: &str| lines.next()?.strip_prefix(key)?.strip_prefix(' ');
        let build = next("build")?.to_string();
        let (journal, count) = next("journal")?.split_once(' ')?;
        let (journal, count) = (journal.parse().ok()?, count.parse().ok()?);
        let mut files = BTreeMap::new();
        let mut line = lines.next()?;
        while let Some((digest, name)) = line.strip_prefix("file ").and_then(|line| line.split_once(' ')) {
            files.insert(name.to_string(), digest.parse().ok()?);
            line = lines.next()?;
        }
        let mut log = None;
        if let Some(text) = line.strip_prefix("log ") {
            log = Some(Head::read(text)?);
            line = lines.next()?;
        }
        let mut signers = None;
        if let Some(text) = line.strip_prefix("signers ") {
            signers = Some(text.parse().ok()?);
            line = lines.next()?;
        }
        Some(Statement {
            build,
            lines: count,
            journal,
            files,
            log,
            signers,
            name: line.strip_prefix("name ")?.to_string(),
            time: lines.next()?.strip_prefix("time ")?.to_string(),
        })
    }

    /// Signs the statement: its text and the armoured signature over just these bytes.
    ///
    /// # Errors
    ///
    /// [`SignError`]: a name that a statement can not hold, a key that does not sign.
    pub fn sign(&self, key: &SigningKey) -> Result<(String, String), SignError> {
        Statement::check_name(&self.name)?;
        let text = self.to_text()?;
        let signature = key.sign(Statement::NAMESPACE, text.as_bytes())?;
        Ok((text, signature))
    }
}

/// Why a statement was not signed.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum SignError {
    /// The statement.
    #[error(transparent)]
    Statement(#[from] StatementError),
    /// The key.
    #[error(transparent)]
    Key(#[from] SealError),
}

/// Checks a signature over a statement's bytes, and gives the key that made it.
pub(super) fn signer(statement: &[u8], signature: &[u8]) -> Result<PublicKey, SealError> {
    let armoured = std::str::from_utf8(signature).map_err(|_| SealError::NotASignature)?;
    verify(Statement::NAMESPACE, statement, armoured)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn statement(name: &str) -> Statement {
        Statement {
            build: "moor-rear-0001".into(),
            lines: 3,
            journal: Digest::of(b"journal"),
            files: ["unit.toml", "drawer.toml"]
                .map(|name| (name.to_string(), Digest::of(name.as_bytes())))
                .into(),
            log: None,
            signers: None,
            name: name.into(),
            time: "2026-05-09T12:00:00Z".into(),
        }
    }

    #[test]
    fn a_name_that_is_a_pattern_or_more_than_one_is_refused() {
        for name in ["", " ", "a,b", "a*", "who?", "!ada", "ada ", "a\nb", "a\"b", "#a"] {
            assert!(statement(name).to_text().is_err(), "{name:?}");
        }
        assert!(statement(&"n".repeat(101)).to_text().is_err());
        assert!(statement("Ada Ähnlich").to_text().is_ok());
        // what was signed before names were held to this is read, and nothing new is signed so
        let hidden = statement("Ada\u{200b} Example");
        assert!(Statement::read(&hidden.to_text().unwrap()).is_ok());
        assert!(hidden.sign(&SigningKey::random().unwrap()).is_err());
    }

    #[test]
    fn a_newer_statement_is_told_from_none() {
        let text = statement("ada").to_text().unwrap();
        let newer = text.replace("seal 1", "seal 3");
        assert!(matches!(
            Statement::read(&newer),
            Err(StatementError::Newer { .. })
        ));
        for none in [
            "",
            &text.replace("seal 1", "seal 0"),
            &text.replace("seal 1", "seal one"),
        ] {
            assert_eq!(
                Statement::read(none),
                Err(StatementError::NotAStatement),
                "{none}"
            );
        }
    }

    #[test]
    fn what_is_said_of_the_book_makes_the_second_form_and_only_that() {
        let plain = statement("ada").to_text().unwrap();
        assert!(plain.starts_with("shimwright seal 1\n"));
        let log = Some(Head {
            mark: "k7".into(),
            line: 40,
            tip: "9c1e".repeat(16),
        });
        let signers = Some(Digest::of(b"who is who"));
        for (log, signers) in [(log.clone(), None), (None, signers), (log, signers)] {
            let said = Statement {
                log,
                signers,
                ..statement("ada")
            };
            let text = said.to_text().unwrap();
            assert!(text.starts_with("shimwright seal 2\n"), "{text}");
            assert_eq!(Statement::read(&text), Ok(said));
            // neither form passes for the other
            let first = text.replace("seal 2", "seal 1");
            assert_eq!(Statement::read(&first), Err(StatementError::NotAStatement));
        }
        let bare = plain.replace("seal 1", "seal 2");
        assert_eq!(Statement::read(&bare), Err(StatementError::NotAStatement));
    }

    #[test]
    fn seal_files_are_known_by_their_names() {
        assert_eq!(seal_number("seal-12.txt"), Some(12));
        assert_eq!(seal_number("seal-12.txt.sig"), Some(12));
        for name in [
            "seal-0.txt",
            "seal-01.txt",
            "seal-1.sig",
            "seal-.txt",
            "seal-+1.txt",
            "unit.toml",
        ] {
            assert_eq!(seal_number(name), None, "{name}");
        }
    }

    proptest! {
        #[test]
        fn a_statement_has_one_spelling(at in any::<proptest::sample::Index>(), to in "[ -~\n\r\t]") {
            let text = statement("ada").to_text().unwrap();
            let at = at.index(text.len());
            let mut other = text.clone();
            other.replace_range(at..=at, &to);
            // what is read is what was written, to the byte
            if let Ok(read) = Statement::read(&other) {
                prop_assert_eq!(read.to_text().unwrap(), other);
            }
            prop_assert!(Statement::read(text.trim_end()).is_err());
            prop_assert!(Statement::read(&(text + "\n")).is_err());
        }
    }
}
