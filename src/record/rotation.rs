//! The statement by which a key signs the one that takes its place.

use super::formats::ROTATION;
use super::statement::{SignError, Statement, StatementError, can_stand};
use crate::quantity::visible;
use crate::seal::{Digest, Moment, PublicKey, Rotated, SealError, SigningKey, verify};

/// How many digits of the two keys' digest its files are named by.
const DIGITS: usize = 16;
/// What the names of its files begin with, and end with.
const NAMED: (&str, &str, &str) = ("rotation-", ".txt", ".sig");

/// What is signed when a key is rotated: a small text that ties the new key to the old one, to a name and a time. It lies
/// in the book beside `allowed_signers`, and the signature of the old key beside it.
///
/// ```text
/// shimwright rotation 1
/// name Ada Example
/// old ssh-ed25519 AAAA...
/// new ssh-ed25519 AAAA...
/// time 2026-05-09T12:00:00+02:00
/// ```
///
/// There is one way to write it.
///
/// ```
/// use shimwright::record::rotation::Rotation;
/// use shimwright::seal::SigningKey;
/// let (old, new) = (SigningKey::random()?, SigningKey::random()?);
/// let rotation = Rotation {
///     name: "Ada Example".into(),
///     old: old.public(),
///     new: new.public(),
///     time: "2026-05-09T12:00:00Z".into(),
/// };
/// let (text, signature) = rotation.sign(&old)?;
/// assert_eq!(Rotation::verified(text.as_bytes(), signature.as_bytes()), Ok(rotation.clone()));
/// let (text, signature) = rotation.sign(&new)?;
/// assert!(Rotation::verified(text.as_bytes(), signature.as_bytes()).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Rotation {
    /// Whose keys both are.
    pub name: String,
    /// The key that signs it.
    pub old: PublicKey,
    /// The key that takes its place.
    pub new: PublicKey,
    /// When, as RFC 3339 text.
    pub time: String,
}

/// Why a rotation is not taken.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum RotationError {
    /// A text that is no such statement, or one that was written in another way.
    #[error("it is no statement of the form \"shimwright rotation 1\"")]
    NotARotation,
    /// A statement of a newer form.
    #[error("a newer program made it ({found}), so it can not be judged here; take that program")]
    Newer {
        /// Its first line.
        found: String,
    },
    /// The signature.
    #[error("its signature: {0}")]
    Signature(#[from] SealError),
    /// A signature of another key than the old one.
    #[error("the key {found} signed it, and not the old one that it names")]
    OtherKey {
        /// How that key is told by eye.
        found: String,
    },
}

impl Rotation {
    /// What its signature is for: it counts for nothing else.
    pub const NAMESPACE: &str = "rotation@shimwright";

    /// The names of its two files: the statement and the signature. The same two keys have the same names, so that one
    /// that was begun is finished in its place.
    pub fn files(&self) -> (String, String) {
        let keys = format!("{}\n{}\n", self.old.line(), self.new.line());
        let digits = Digest::of(keys.as_bytes()).to_string();
        let (begins, ends, signature) = NAMED;
        let name = format!("{begins}{}{ends}", digits.get(..DIGITS).unwrap_or_default());
        let signed = format!("{name}{signature}");
        (name, signed)
    }

    /// The statement's name, where a name in the book is that of one, or of its signature.
    ///
    /// ```
    /// use shimwright::record::rotation::Rotation;
    /// let name = "rotation-0123456789abcdef.txt";
    /// assert_eq!(Rotation::file_of(&format!("{name}.sig")), Some(name));
    /// assert_eq!(Rotation::file_of("rotation-1.txt"), None);
    /// ```
    pub fn file_of(name: &str) -> Option<&str> {
        let (begins, ends, signature) = NAMED;
        let text = name.strip_suffix(signature).unwrap_or(name);
        let digits = text.strip_prefix(begins)?.strip_suffix(ends)?;
        let hexadecimal = |b: u8| b.is_ascii_digit() || (b'a'..=b'f').contains(&b);
        (digits.len() == DIGITS && digits.bytes().all(hexadecimal)).then_some(text)
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
        let form = ROTATION.shows.replace('N', &ROTATION.newest().to_string());
        Ok(format!(
            "{form}\nname {}\nold {}\nnew {}\ntime {}\n",
            self.name,
            self.old.line(),
            self.new.line(),
            self.time
        ))
    }

    /// Signs it: its text and the armoured signature over just these bytes.
    ///
    /// # Errors
    ///
    /// [`SignError`]: a name that a statement can not hold, a key that does not sign.
    pub fn sign(&self, key: &SigningKey) -> Result<(String, String), SignError> {
        Statement::check_name(&self.name)?;
        let text = self.to_text()?;
        let signature = key.sign(Rotation::NAMESPACE, text.as_bytes())?;
        Ok((text, signature))
    }

    /// Reads what [`Rotation::to_text`] writes, and nothing else, and makes sure that the old key signed it.
    ///
    /// # Errors
    ///
    /// [`RotationError`].
    pub fn verified(text: &[u8], signature: &[u8]) -> Result<Rotation, RotationError> {
        let read = std::str::from_utf8(text).map_err(|_| RotationError::NotARotation)?;
        let first = read.lines().next().unwrap_or("");
        if ROTATION.is_newer(first) {
            return Err(RotationError::Newer {
                found: visible(&first.chars().take(40).collect::<String>()).into_owned(),
            });
        }
        let rotation = Rotation::parts(read)
            .filter(|rotation| rotation.to_text().is_ok_and(|written| written == read))
            .ok_or(RotationError::NotARotation)?;
        let armoured = std::str::from_utf8(signature).map_err(|_| SealError::NotASignature)?;
        let key = verify(Rotation::NAMESPACE, text, armoured)?;
        if key != rotation.old {
            return Err(RotationError::OtherKey {
                found: key.fingerprint(),
            });
        }
        Ok(rotation)
    }

    fn parts(text: &str) -> Option<Rotation> {
        let mut lines = text.lines().skip(1);
        let mut next = |key: &str| lines.next()?.strip_prefix(key)?.strip_prefix(' ');
        Some(Rotation {
            name: next("name")?.to_string(),
            old: PublicKey::read(next("old")?).ok()?,
            new: PublicKey::read(next("new")?).ok()?,
            time: next("time")?.to_string(),
        })
    }

    /// The same as the allowed signers take it, from its file and the forms of its time.
    pub fn rotated(self, file: &str, at: Moment) -> Rotated {
        Rotated {
            old: self.old,
            new: self.new,
            name: self.name,
            at,
            time: self.time,
            namespace: Rotation::NAMESPACE,
            file: file.to_string(),
        }
    }
}
