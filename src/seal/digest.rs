//! The digest of bytes.

use sha2::{Digest as _, Sha256};
use std::fmt;
use std::str::FromStr;

/// The SHA-256 of some bytes, shown as 64 lower-case hexadecimal digits.
///
/// Source: FIPS 180-4, section 6.2.
///
/// ```
/// use shimwright::seal::Digest;
/// let d = Digest::of(b"abc");
/// assert_eq!(d.to_string(), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
/// assert!(d.groups().starts_with("ba78 16bf 8f01 cfea "));
/// ```
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest([u8; 32]);

/// A digest of bytes that come one part after the other.
///
/// ```
/// use shimwright::seal::{Digest, RunningDigest};
/// let mut running = RunningDigest::default();
/// running.add(b"ab");
/// running.add(b"c");
/// assert_eq!(running.digest(), Digest::of(b"abc"));
/// ```
#[derive(Clone, Default)]
pub struct RunningDigest(Sha256);

impl RunningDigest {
    /// More bytes.
    pub fn add(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    /// The digest of all bytes so far.
    pub fn digest(&self) -> Digest {
        Digest(self.0.clone().finalize().into())
    }
}

/// Why a text is not a digest.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum DigestError {
    /// Another length than 64.
    #[error("a digest has 64 hexadecimal digits, but here are {found} characters")]
    Length {
        /// How many characters there are.
        found: usize,
    },
    /// A character that is not 0-9 or a-f.
    #[error("a digest is written with 0-9 and a-f, but character {at} is \"{found}\"")]
    Digit {
        /// Which character, counted from 1.
        at: usize,
        /// The character.
        found: char,
    },
}

impl Digest {
    /// The digest of `bytes`.
    pub fn of(bytes: &[u8]) -> Digest {
        Digest(Sha256::digest(bytes).into())
    }

    /// The digest of all `parts` one after the other, without a copy of them.
    ///
    /// ```
    /// use shimwright::seal::Digest;
    /// assert_eq!(Digest::of_all(&[b"ab", b"", b"c"]), Digest::of(b"abc"));
    /// ```
    pub fn of_all(parts: &[&[u8]]) -> Digest {
        let mut sum = Sha256::new();
        for part in parts {
            sum.update(part);
        }
        Digest(sum.finalize().into())
    }

    /// The same digits in sixteen groups of four, for reading aloud.
    pub fn groups(&self) -> String {
        let mut text = String::with_capacity(79);
        for (i, digit) in self.to_string().chars().enumerate() {
            if i > 0 && i % 4 == 0 {
                text.push(' ');
            }
            text.push(digit);
        }
        text
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for byte in self.0 {
            write!(f, "{byte:02x}")?;
        }
        Ok(())
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Digest({self})")
    }
}

impl FromStr for Digest {
    type Err = DigestError;

    /// Reads what `to_string` writes, and nothing else: capitals and spaces are refused, so that one digest has one
    /// spelling.
    fn from_str(text: &str) -> Result<Digest, DigestError> {
        let found = text.chars().count();
        if found != 64 {
            return Err(DigestError::Length { found });
        }
        let mut bytes = [0u8; 32];
        for (i, digit) in text.chars().enumerate() {
            let value = match digit {
                '0'..='9' => digit as u8 - b'0',
                'a'..='f' => digit as u8 - b'a' + 10,
                _ => {
                    return Err(DigestError::Digit {
                        at: i + 1,
                        found: digit,
                    });
                }
            };
            bytes[i / 2] = bytes[i / 2] << 4 | value;
        }
        Ok(Digest(bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_vectors_are_met() {
        let table = include_str!("../../tests/references/seal_sha256.csv");
        let mut rows = 0;
        for line in table.lines().filter(|l| !l.starts_with('#')).skip(1) {
            let field: Vec<&str> = line.split(',').collect();
            let message = field[0].repeat(field[1].parse().unwrap());
            assert_eq!(Digest::of(message.as_bytes()).to_string(), field[2], "{line}");
            rows += 1;
        }
        assert_eq!(rows, 10);
    }

    #[test]
    fn groups_are_the_same_digits() {
        let d = Digest::of(b"");
        let groups = d.groups();
        assert!(groups.split(' ').all(|g| g.len() == 4));
        assert_eq!(groups.split(' ').count(), 16);
        assert_eq!(groups.replace(' ', ""), d.to_string());
    }

    #[test]
    fn a_digest_has_one_spelling() {
        let d = Digest::of(b"abc");
        assert_eq!(d.to_string().parse(), Ok(d));
        assert_eq!(
            d.to_string().to_uppercase().parse::<Digest>(),
            Err(DigestError::Digit { at: 1, found: 'B' })
        );
        assert_eq!(
            d.groups().parse::<Digest>(),
            Err(DigestError::Length { found: 79 })
        );
        assert_eq!(
            "é".repeat(64).parse::<Digest>(),
            Err(DigestError::Digit { at: 1, found: 'é' })
        );
    }
}
