//! Every format of ours with a number, and what each of its versions added: the one place. `DEVELOPERS.md` has the same
//! table, held to this one by a test.
//!
//! What is of a higher number than is known here was made by a newer program. It is told as that and never as damaged;
//! it is read as far as it can be, and never written to.

/// A format with a number.
///
/// ```
/// use shimwright::record::formats::JOURNAL_LINE;
/// assert_eq!(JOURNAL_LINE.newest(), JOURNAL_LINE.first + JOURNAL_LINE.added.len() as u32 - 1);
/// ```
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Format {
    /// What has it.
    pub what: &'static str,
    /// How the number shows there, N standing for it.
    pub shows: &'static str,
    /// The oldest version that is read.
    pub first: u32,
    /// What each version added, from the oldest that is read to the newest that is known.
    pub added: &'static [&'static str],
}

impl Format {
    /// The newest version that is known here.
    pub const fn newest(&self) -> u32 {
        self.first + self.added.len() as u32 - 1
    }

    /// The number in a text that shows it as this format does; nothing where it is no such text.
    ///
    /// ```
    /// use shimwright::record::formats::SEAL;
    /// assert_eq!(SEAL.number_in("shimwright seal 2"), Some(2));
    /// assert_eq!(SEAL.number_in("shimwright seal 02"), None);
    /// ```
    pub fn number_in(&self, text: &str) -> Option<u32> {
        let (before, after) = self.shows.split_once('N')?;
        let digits = text.strip_prefix(before)?.strip_suffix(after)?;
        digits
            .parse()
            .ok()
            .filter(|n: &u32| *n > 0 && n.to_string() == digits)
    }

    /// Whether a text has a number that is higher than is known here.
    pub fn is_newer(&self, text: &str) -> bool {
        self.number_in(text).is_some_and(|number| number > self.newest())
    }
}

/// A line of a journal. It has the lowest number whose readers understand its entry.
pub const JOURNAL_LINE: Format = Format {
    what: "a line of the journal",
    shows: "\"v\":N",
    first: 1,
    added: &[
        "the frame, and the kinds of entry of version 0.1.0",
        "the kinds that have a 2 in the table of kinds; the frame is the same",
        "a hint that was asked for in practice",
    ],
};

/// A line of the book's log, whose frame is that of a journal's line.
pub const LOG_LINE: Format = Format {
    what: "a line of the book's log",
    shows: "\"v\":N",
    first: 1,
    added: &[
        "opened, adopted, begun, finished, sealed, corrected, voided, imported, day",
        "removed, with who says so and why",
        "rotated, a key that took the place of another; rotation-removed, with who says so and why",
        "settled, which of two machines' states of a build counts; fork-settled, of a log; with who says so and why",
    ],
};

/// What a machine is known by, in the user's own folder.
pub const MACHINE: Format = Format {
    what: "the file by which a machine knows its logs",
    shows: "shimwright machine N",
    first: 1,
    added: &["64 random digits"],
};

/// What a build says in figures, as the index keeps it. One of another number is worked out again.
pub const ACCOUNT: Format = Format {
    what: "an account or a brief in the index",
    shows: "account N of shimwright",
    first: 6,
    added: &[
        "the figures of version 0.1.0",
        "breakaway as it reads in its way of holding, the ramps with it (model 2 of the mechanics)",
        "the doubt of the preload as found; whether a way is known to its end",
        "what a unit waits for",
        "zeros in the doubt of the preload (model 3 of the mechanics)",
        "zeros of the gauges beside each measured length; what one gauge leaves in room and free height, once (model 4 of the mechanics)",
        "job number, customer, promised day, when it is looked at next, answers in words",
        "the sources of the doubt of preload and breakaway",
        "the press among the instruments, its calibration apart from its readings",
    ],
};

/// A file of the index. One of another number is written anew.
pub const INDEX: Format = Format {
    what: "a file of the index",
    shows: "shimwright index N",
    first: 2,
    added: &["an account a build, a brief a unit"],
};

/// A statement that is signed.
pub const SEAL: Format = Format {
    what: "a seal's statement",
    shows: "shimwright seal N",
    first: 1,
    added: &[
        "build, journal, files, name, time",
        "where the book's log stood, the digest of who is who; each where there is one",
    ],
};

/// A statement by which a key signs the one that takes its place.
pub const ROTATION: Format = Format {
    what: "a statement of a key's rotation",
    shows: "shimwright rotation N",
    first: 1,
    added: &["name, old key, new key, time"],
};

/// The text of the code on a sheet.
pub const PAPER_CODE: Format = Format {
    what: "the code on a sheet",
    shows: "SHIMWRIGHTN",
    first: 1,
    added: &[
        "build, unit, day, lines, digest, figures",
        "where the book's log stood when the build was finished",
    ],
};

/// The first word of the small code at the top of a sheet.
pub const SMALL_CODE: Format = Format {
    what: "the small code on a sheet",
    shows: "SHIMSMALLN",
    first: 1,
    added: &["build, lines, 16 digits of the digest"],
};

/// What the book notes of a build that is finished and not closed yet.
pub const CLOSING: Format = Format {
    what: "a note of what is still to be done",
    shows: "shimwright to-do N",
    first: 1,
    added: &["lines, digests of the drawer, what is taken out, drawer"],
};

/// A backup of a whole book: the first line of its first entry and of its last.
pub const BACKUP: Format = Format {
    what: "a backup of a book",
    shows: "shimwright backup N",
    first: 1,
    added: &["files of the book, builds, digests of all, in a tar archive of one strict form"],
};

/// A file of answers. One without the line that names its format was written before there was one, and is of version 1.
pub const ANSWERS: Format = Format {
    what: "a file of answers",
    shows: "shimwright answers N",
    first: 1,
    added: &[
        "the lines of version 0.1.0; proposals of a choice stand with the fewest shims first",
        "proposals of a choice stand in the order that the procedure says",
    ],
};

/// A line of what was drilled in practice.
pub const DRILLED: Format = Format {
    what: "a line of what was drilled",
    shows: "shimwright drilled N",
    first: 1,
    added: &["runs that were dealt, cards that were answered"],
};

/// What `--json` prints, in the key `format` before what is told. A key keeps its meaning, and others may come without another
/// number.
pub const ANSWERS_AS_JSON: Format = Format {
    what: "what `--json` prints",
    shows: "shimwright told N",
    first: 1,
    added: &["the keys of version 0.1.0"],
};

/// Every format of ours.
pub const FORMATS: [Format; 27] = [
    JOURNAL_LINE,
    LOG_LINE,
    MACHINE,
    ACCOUNT,
    INDEX,
    SEAL,
    ROTATION,
    PAPER_CODE,
    SMALL_CODE,
    CLOSING,
    BACKUP,
    DRILLED,
    ANSWERS,
    ANSWERS_AS_JSON,
    toml("a unit's file", "shimwright unit N"),
    toml("a drawer's file", "shimwright drawer N"),
    toml("an instruments' file", "shimwright instruments N"),
    toml("a car's file", "shimwright car N"),
    Format {
        what: "a use's file",
        shows: "shimwright use N",
        first: 1,
        added: &[
            "the keys of version 0.1.0; a key that came later need not be there",
            "moments, each with what is wanted there",
        ],
    },
    toml("a file of readings", "shimwright readings N"),
    toml("a setting's file", "shimwright setting N"),
    toml("a procedure's file", "shimwright procedure N"),
    toml("a glossary's file", "shimwright words N"),
    Format {
        what: "a language's file",
        shows: "shimwright language N",
        first: 1,
        added: &[
            "sentences, steps, texts, phrases, words that are typed, words of the trade, words that give a hazard away, what each was held to",
        ],
    },
    Format {
        what: "a drive day's file",
        shows: "shimwright day N",
        first: 1,
        added: &["day, sets of tyres, runs with times and feel, columns of a table of laps"],
    },
    toml("a file of defaults", "shimwright defaults N"),
    Format {
        what: "what the last build left, beside a build's unit",
        shows: "shimwright found N",
        first: 1,
        added: &[
            "packs, plates, springs, what is left of each chain, what proofs have shown",
            "thickness of the discs as measured",
        ],
    },
];

const fn toml(what: &'static str, shows: &'static str) -> Format {
    Format {
        what,
        shows,
        first: 1,
        added: &["the keys of version 0.1.0; a key that came later need not be there"],
    }
}

/// Every kind of entry, with the lowest number of a line that may hold it.
pub const ENTRY_KINDS: [(&str, u32); 15] = [
    ("begun", 1),
    ("answered", 1),
    ("skipped", 1),
    ("noted", 1),
    ("reopened", 1),
    ("finished", 1),
    ("corrected", 1),
    ("sealed", 1),
    ("part-added", 2),
    ("part-struck", 2),
    ("amended", 2),
    ("waiting", 2),
    ("voided", 2),
    ("day-begun", 2),
    ("hinted", 3),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Entry;
    use crate::workshop::FileKind;

    #[test]
    fn the_kinds_of_the_table_are_those_that_are_read() {
        let told = Entry::from_json("{\"kind\":\"\"}").unwrap_err();
        assert!(told.is_newer(), "{told}");
        for (kind, _) in ENTRY_KINDS {
            // a kind that is known lacks its fields
            let fault = Entry::from_json(&format!("{{\"kind\":\"{kind}\"}}")).unwrap_err();
            assert!(
                !fault.is_newer() && fault.to_string().contains("missing field"),
                "{fault}"
            );
        }
        let newest = ENTRY_KINDS.iter().map(|(_, line)| *line).max();
        assert_eq!(newest, Some(JOURNAL_LINE.newest()));
    }

    #[test]
    fn every_kind_of_file_is_in_the_table_with_the_number_that_its_reader_wants() {
        for (kind, word) in FileKind::ALL {
            let named = format!("shimwright {word} 1");
            let format = FORMATS.iter().find(|format| format.number_in(&named).is_some());
            let newest = format.unwrap().newest();
            assert_eq!(FileKind::of("f.toml", &format!("format = \"{named}\"")), Ok(kind));
            let newer = format!("format = \"shimwright {word} {}\"\nunheard = 1\n", newest + 1);
            for faults in [
                FileKind::of("f.toml", &newer).unwrap_err().faults,
                kind.faults("f.toml", &newer, |_, file, source| {
                    Err(FileKind::of(file, source).unwrap_err())
                }),
            ] {
                assert_eq!(faults.len(), 1, "{faults:?}");
                assert!(faults[0].message.contains("a newer program"), "{faults:?}");
            }
        }
    }

    #[test]
    fn a_number_is_spelt_in_one_way() {
        assert_eq!(PAPER_CODE.number_in("SHIMWRIGHT12"), Some(12));
        for text in [
            "SHIMWRIGHT",
            "SHIMWRIGHT0",
            "SHIMWRIGHT01",
            "SHIMWRIGHT+1",
            "SHIMWRIGHTX",
        ] {
            assert_eq!(PAPER_CODE.number_in(text), None, "{text}");
        }
        assert!(SEAL.is_newer("shimwright seal 9") && !SEAL.is_newer("shimwright seal 1"));
    }
}
