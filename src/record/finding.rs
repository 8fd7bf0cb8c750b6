//! What is found when a record is checked, and how sure it is.

/// How sure a thing is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Certainty {
    /// It is so, and says nothing of whether the record is as it was.
    Note,
    /// It holds.
    Holds,
    /// It can not be told, or is not done yet.
    Open,
    /// It does not hold.
    Broken,
}

impl Certainty {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Certainty::Note => "note",
            Certainty::Holds => "holds",
            Certainty::Open => "open",
            Certainty::Broken => "BROKEN",
        }
    }
}

/// One thing that was found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Finding {
    /// How sure it is.
    pub certainty: Certainty,
    /// The seal that it is about; `None` where it is about the record itself or a sheet.
    pub seal: Option<u32>,
    /// Whether it says that the record itself is not as it was begun or signed. A seal that does not hold by itself, such
    /// as one by a key that had run out, says nothing of the record, and bars no other.
    pub altered: bool,
    /// In words.
    pub words: String,
}

impl Finding {
    /// Something that is about no seal, and not against the record.
    pub fn new(certainty: Certainty, words: String) -> Finding {
        Finding {
            certainty,
            seal: None,
            altered: false,
            words,
        }
    }
}

/// One seal that holds: its bytes are as they were signed, and nobody who is known says that it may not be so.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct SealLine {
    /// Its number, from 1.
    pub number: u32,
    /// The name that it was signed with.
    pub name: String,
    /// When, as RFC 3339 text, by the clock of whoever signed: it is claimed, and nobody else has seen it.
    pub time: String,
    /// The key, as `SHA256:...`.
    pub key: String,
    /// How many lines of the journal it covers.
    pub lines: usize,
    /// Whether the allowed signers say that the key is that person's.
    pub known: bool,
}
