use std::fmt;
use zeroize::Zeroizing;

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
