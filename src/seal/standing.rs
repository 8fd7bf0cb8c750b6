//! What is known of a key under a name, at a time.

/// A time in both ways that a line may write one: fourteen digits, from year to second.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Moment {
    /// In UTC, for times with a Z.
    pub utc: String,
    /// By the clock of this machine's time zone, for those without.
    pub local: String,
}

/// What the file says of a key under a name.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Standing {
    /// The key is that person's.
    Known,
    /// No line has the key.
    Unknown,
    /// Lines have the key, under these names only.
    OtherName(Vec<String>),
    /// The key is that person's, but not for signatures of this kind.
    OtherNamespace,
    /// The key is that person's, but not at that time; from when or until when, in words.
    OutOfTime(String),
    /// The key is revoked, for whatever time.
    Revoked,
}

impl Standing {
    /// What the file has against a signature by this key under this name then; nothing where the key is known or where it
    /// says nothing of it.
    ///
    /// ```
    /// use shimwright::seal::Standing;
    /// let expired = Standing::OutOfTime("valid until 2026-01-01 00:00".into());
    /// assert_eq!(expired.against().as_deref(), Some("by the allowed signers the key is valid until 2026-01-01 00:00"));
    /// assert_eq!(Standing::Unknown.against(), None);
    /// ```
    pub fn against(&self) -> Option<String> {
        match self {
            Standing::Known | Standing::Unknown => None,
            Standing::OtherName(names) => Some(format!(
                "the allowed signers have this key as {}",
                names.join(" or ")
            )),
            Standing::OtherNamespace => {
                Some("the allowed signers do not have this key for builds (namespaces)".to_string())
            }
            Standing::OutOfTime(words) => Some(format!("by the allowed signers the key is {words}")),
            Standing::Revoked => Some("the key is revoked, whatever time the seal claims".to_string()),
        }
    }
}
