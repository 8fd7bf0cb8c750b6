//! Bytes that nobody may see, wiped when they are let go of.

use std::fmt;
use zeroize::{Zeroize, Zeroizing};

/// Bytes that nobody may see: a private key's file, a passphrase. They are wiped from memory when they are dropped and
/// print as nothing.
///
/// ```
/// use shimwright::seal::Secret;
/// let secret = Secret::new(b"open sesame\n".to_vec());
/// assert_eq!(format!("{secret:?}"), "Secret");
/// assert_eq!(secret.first_line().bytes(), b"open sesame");
/// ```
#[derive(Clone, PartialEq, Eq)]
pub struct Secret(Zeroizing<Vec<u8>>);

impl Secret {
    /// Takes bytes over.
    pub fn new(bytes: Vec<u8>) -> Secret {
        Secret(Zeroizing::new(bytes))
    }

    /// Nothing yet, with room for so many bytes that are typed one by one: they never move, so that no copy of them
    /// is left behind.
    ///
    /// ```
    /// use shimwright::seal::Secret;
    /// let mut secret = Secret::with_room(3);
    /// assert!(secret.push('é') && secret.push('b') && !secret.push('c'));
    /// assert!(secret.pop() && secret.push('d'));
    /// assert_eq!(secret.bytes(), "éd".as_bytes());
    /// secret.clear();
    /// assert!(secret.is_empty() && !secret.pop());
    /// ```
    pub fn with_room(bytes: usize) -> Secret {
        Secret::new(Vec::with_capacity(bytes))
    }

    /// Adds a character; `false`, and nothing is added, where there is no room.
    pub fn push(&mut self, c: char) -> bool {
        let mut bytes = Zeroizing::new([0; 4]);
        let bytes = c.encode_utf8(bytes.as_mut_slice()).as_bytes();
        let fits = self.0.len() + bytes.len() <= self.0.capacity();
        if fits {
            self.0.extend_from_slice(bytes);
        }
        fits
    }

    /// Takes the last character away; `false` where there is none.
    pub fn pop(&mut self) -> bool {
        let is_middle = |byte: &u8| byte & 0xc0 == 0x80;
        let middle = self.0.iter().rev().take_while(|byte| is_middle(byte)).count();
        let left = self.0.len().checked_sub(middle + 1);
        self.0.truncate(left.unwrap_or(0));
        left.is_some()
    }

    /// Wipes all of it.
    pub fn clear(&mut self) {
        self.0.zeroize();
    }

    /// The bytes.
    pub fn bytes(&self) -> &[u8] {
        &self.0
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// What stands before the first line end.
    pub fn first_line(&self) -> Secret {
        let line = self.0.split(|byte| *byte == b'\n').next().unwrap_or_default();
        Secret::new(line.strip_suffix(b"\r").unwrap_or(line).to_vec())
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret")
    }
}
