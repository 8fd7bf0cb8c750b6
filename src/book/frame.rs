//! The exact text of a journal's line, and a journal as it was read.

use crate::record::formats::JOURNAL_LINE;
use crate::seal::Digest;
use std::fmt;
use std::path::PathBuf;

/// The newest version of a line that is known here.
const KNOWN: u32 = JOURNAL_LINE.newest();

/// What a journal holds, read without locking it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Reading {
    /// The bytes of the file.
    pub bytes: Vec<u8>,
    /// Where the line of each entry ends in them, after its line end.
    pub ends: Vec<usize>,
    /// The entries that can be trusted, in order, as raw JSON texts.
    pub entries: Vec<String>,
    /// The version of the line of each.
    pub versions: Vec<u32>,
    /// What is wrong with the journal. While someone else writes, the line being written can show as torn.
    pub problems: Vec<Problem>,
}

impl Reading {
    /// Reads the bytes of a journal or of a log.
    pub(super) fn of(bytes: Vec<u8>) -> Reading {
        let Scan {
            entries,
            versions,
            problems,
            ends,
            ..
        } = scan(&bytes);
        Reading {
            bytes,
            ends,
            entries,
            versions,
            problems,
        }
    }
}

/// What is wrong with a journal that was read. Lines are counted from 1.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Problem {
    /// This line and those after it can not be trusted and are left out.
    Altered {
        /// The first line that can not be trusted.
        line: usize,
        /// How that shows.
        why: &'static str,
    },
    /// The last line is torn and is left out; opening the build sets it aside.
    Torn {
        /// The line.
        line: usize,
        /// How many bytes it has.
        bytes: u64,
    },
    /// The last line is whole and lacks only its newline; it is read, and opening the build completes it.
    Unfinished {
        /// The line.
        line: usize,
    },
    /// This line is of a version that is not known here, and so a newer program wrote it. What follows is read as far as
    /// it hangs together by what is known.
    Newer {
        /// The first line of such a version.
        line: usize,
        /// The version.
        version: u32,
    },
    /// Another journal lies beside this one, as a folder shared by sync leaves it where two machines wrote.
    Second(Second),
}

/// A second journal in a build's folder. Nothing is ever merged: which one counts is for a person to say.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Second {
    /// Where it lies.
    pub path: PathBuf,
    /// How many entries of it can be trusted.
    pub entries: usize,
    /// How many entries the build's own journal has.
    pub own: usize,
    /// How many entries, from the first, are the same in both.
    pub shared: usize,
}

impl Second {
    /// What a person does about it, in words.
    pub fn what_to_do(&self) -> &'static str {
        if self.shared == 0 && self.entries > 0 && self.own > 0 {
            "it is of another build: to keep both, copy the whole folder beside itself, make this the journal.jsonl of the copy, move it \
             out of here, and run `shimwright adopt`"
        } else if self.shared == self.entries {
            "it holds nothing more, so it may be moved out of the folder, and the same command run again"
        } else if self.shared == self.own {
            "it goes on from journal.jsonl, so it belongs in the place of that, which may be moved out of the folder"
        } else {
            "both were gone on with, so look at both, keep the one that counts as journal.jsonl, and move the other out of the folder"
        }
    }
}

impl fmt::Display for Second {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} is a second journal of this build: it has {} entries and journal.jsonl has {}, the first {} are the \
             same",
            self.path.display(),
            self.entries,
            self.own,
            self.shared
        )
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Problem::Altered { line, why } => {
                write!(
                    f,
                    "line {line} is not as it was written: {why}; it and what follows is left out"
                )
            }
            Problem::Torn { line, bytes } => write!(f, "line {line} is torn ({bytes} bytes) and is left out"),
            Problem::Unfinished { line } => write!(f, "line {line} is whole but lacks its newline"),
            Problem::Second(second) => write!(f, "{second}"),
            Problem::Newer { line, version } => {
                write!(
                    f,
                    "line {line} is of version {version}, and up to {KNOWN} is known here"
                )
            }
        }
    }
}

/// A journal's bytes, understood as far as they can be trusted.
#[derive(Debug)]
pub(super) struct Scan {
    pub(super) entries: Vec<String>,
    pub(super) versions: Vec<u32>,
    pub(super) problems: Vec<Problem>,
    /// Where the line of each entry ends, after its newline if it has one.
    pub(super) ends: Vec<usize>,
    /// Where the last trusted line ends, after its newline if it has one.
    pub(super) end: usize,
    /// The digest of the last trusted line.
    pub(super) tip: Digest,
}

/// The line of a version for an entry, with its newline.
pub(super) fn line(version: u32, n: usize, was: Digest, entry: &str) -> String {
    format!("{{\"v\":{version},\"n\":{n},\"was\":\"{was}\",\"entry\":{entry}}}\n")
}

/// What is said where only the line ends are others.
const OTHER_ENDS: &str = "every line end was changed to CRLF, as git and some copying programs do; its content is the same, and \
                          `shimwright adopt` puts the line ends back";

/// The bytes with the line ends that were written, where another program changed them all; nothing where it did not.
pub fn with_own_ends(bytes: &[u8]) -> Option<Vec<u8>> {
    let ends = bytes.iter().filter(|&&byte| byte == b'\n').count();
    let changed = bytes.windows(2).filter(|pair| pair == b"\r\n").count();
    (ends > 0 && ends == changed).then(|| {
        let kept = bytes.iter().enumerate();
        kept.filter(|(at, byte)| **byte != b'\r' || bytes.get(at + 1) != Some(&b'\n'))
            .map(|(_, byte)| *byte)
            .collect()
    })
}

/// Reads a whole journal.
pub(super) fn scan(bytes: &[u8]) -> Scan {
    let mut found = scan_as_is(bytes);
    if let [Problem::Altered { line: 1, why }] = &mut found.problems[..]
        && with_own_ends(bytes).is_some_and(|own| scan_as_is(&own).problems.is_empty())
    {
        *why = OTHER_ENDS;
    }
    found
}

fn scan_as_is(bytes: &[u8]) -> Scan {
    let mut entries = Vec::new();
    let mut versions = Vec::new();
    let mut ends = Vec::new();
    let mut problems = Vec::new();
    let mut newer = None;
    let (mut end, mut before, mut tip) = (0, 0, Digest::of(b""));
    for (index, piece) in bytes.split_inclusive(|&b| b == b'\n').enumerate() {
        let number = index + 1;
        let (text, finished) = match piece.strip_suffix(b"\n") {
            Some(text) => (text, true),
            None => (piece, false),
        };
        let last = end + piece.len() == bytes.len();
        let version = version(text);
        let is_newer = version.is_some_and(|version| version > KNOWN);
        if let (Some(version), true, None) = (version, is_newer, &newer) {
            newer = Some(Problem::Newer {
                line: number,
                version,
            });
        }
        let Some(frame) = Frame::read(text) else {
            if is_newer {
                // a newer frame may be anything: what is torn or altered in it can not be told here
            } else if last {
                problems.push(Problem::Torn {
                    line: number,
                    bytes: piece.len() as u64,
                });
            } else {
                problems.push(Problem::Altered {
                    line: number,
                    why: "it is not a line of a journal",
                });
            }
            break;
        };
        if is_newer && (frame.n != number || frame.was != tip) {
            break; // what its numbers mean may have changed too
        }
        if frame.n != number {
            problems.push(Problem::Altered {
                line: number,
                why: "its number is wrong",
            });
            break;
        }
        if frame.was != tip {
            // either the line before or this line's word about it was changed; neither can be trusted
            if entries.pop().is_some() {
                versions.pop();
                ends.pop();
                end = before;
            }
            let line = index.max(1);
            problems.push(Problem::Altered {
                line,
                why: "the line after it has another digest for it",
            });
            break;
        }
        if !finished {
            problems.push(Problem::Unfinished { line: number });
        }
        entries.push(frame.entry.to_string());
        versions.push(frame.version);
        before = end;
        end += piece.len();
        ends.push(end);
        tip = Digest::of(text);
    }
    problems.extend(newer);
    Scan {
        entries,
        versions,
        problems,
        ends,
        end,
        tip,
    }
}

/// Why a text can not be an entry, or nothing if it can: one object, on one line, whose brackets and quotes close.
pub(super) fn refusal(entry: &str) -> Option<&'static str> {
    if !entry.starts_with('{') {
        Some("it is not a JSON object")
    } else if entry.bytes().any(|b| b < b' ') {
        Some("it holds a line end or another control character")
    } else if !closes_at_its_end(entry) {
        Some("its brackets or quotes do not close at its end")
    } else {
        None
    }
}

/// The version that a line says it has, if it starts like a line of any version.
fn version(line: &[u8]) -> Option<u32> {
    let rest = line.strip_prefix(b"{\"v\":")?;
    let digits = rest.iter().take_while(|b| b.is_ascii_digit()).count();
    (rest.get(digits) == Some(&b',')).then(|| number(&rest[..digits]))?
}

struct Frame<'a> {
    version: u32,
    n: usize,
    was: Digest,
    entry: &'a str,
}

impl<'a> Frame<'a> {
    /// Reads one line without its newline by its exact text.
    fn read(line: &'a [u8]) -> Option<Frame<'a>> {
        let text = std::str::from_utf8(line).ok()?;
        let (v, rest) = text.strip_prefix("{\"v\":")?.split_once(',')?;
        let version = number::<u32>(v.as_bytes())?;
        let (n, rest) = rest.strip_prefix("\"n\":")?.split_once(',')?;
        let n = number(n.as_bytes())?;
        let (was, rest) = rest.strip_prefix("\"was\":\"")?.split_once('"')?;
        let was = was.parse().ok()?;
        let entry = rest.strip_prefix(",\"entry\":")?.strip_suffix('}')?;
        refusal(entry).is_none().then_some(Frame {
            version,
            n,
            was,
            entry,
        })
    }
}

/// A whole number as it is written here: digits only, no zero in front.
fn number<T: std::str::FromStr>(digits: &[u8]) -> Option<T> {
    let plain = !digits.is_empty() && digits[0] != b'0' && digits.iter().all(u8::is_ascii_digit);
    plain.then(|| std::str::from_utf8(digits).ok()?.parse().ok())?
}

/// True for a text that opens with a bracket which closes at the last character and not before.
fn closes_at_its_end(text: &str) -> bool {
    let mut open = Vec::new();
    let (mut quoted, mut escaped) = (false, false);
    for (at, b) in text.bytes().enumerate() {
        if quoted {
            match b {
                _ if escaped => escaped = false,
                b'\\' => escaped = true,
                b'"' => quoted = false,
                _ => {}
            }
            continue;
        }
        match b {
            b'"' => quoted = true,
            b'{' => open.push(b'}'),
            b'[' => open.push(b']'),
            b'}' | b']' if open.pop() != Some(b) => return false,
            _ => {}
        }
        if open.is_empty() {
            return at + 1 == text.len();
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    fn journal(entries: &[&str]) -> String {
        let mut text = String::new();
        let mut tip = Digest::of(b"");
        for (i, entry) in entries.iter().enumerate() {
            let line = line(1, i + 1, tip, entry);
            tip = Digest::of(line.trim_end().as_bytes());
            text.push_str(&line);
        }
        text
    }

    #[test]
    fn a_text_that_is_not_one_object_on_one_line_is_refused() {
        for entry in ["", "1", "[]", "\"{}\"", " {}", "null"] {
            assert_eq!(refusal(entry), Some("it is not a JSON object"), "{entry:?}");
        }
        for entry in ["{\n}", "{}\n", "{\"a\":\"\t\"}", "{\r}"] {
            assert_eq!(
                refusal(entry),
                Some("it holds a line end or another control character"),
                "{entry:?}"
            );
        }
        for entry in [
            "{",
            "{}}",
            "{} ",
            "{}{}",
            "{\"a\":[}]",
            "{\"}",
            "{\"a\\\"}",
            "{\"a\":[1,2}",
            "{]",
        ] {
            assert_eq!(
                refusal(entry),
                Some("its brackets or quotes do not close at its end"),
                "{entry:?}"
            );
        }
        for entry in ["{}", r#"{"a":"}]{\"\\"}"#, r#"{"é":[{"b":[[]]}]}"#] {
            assert_eq!(refusal(entry), None, "{entry:?}");
        }
    }

    #[test]
    fn no_part_of_a_line_is_a_whole_line() {
        let text = journal(&[r#"{"a":{"b":[{"c":"}}\\"}]}}"#]);
        let whole = text.trim_end().as_bytes();
        assert!(Frame::read(whole).is_some());
        for cut in 0..whole.len() {
            assert!(Frame::read(&whole[..cut]).is_none(), "{cut}");
        }
    }

    #[test]
    fn the_frame_is_exact_text() {
        let was = Digest::of(b"");
        let good = format!(r#"{{"v":1,"n":1,"was":"{was}","entry":{{}}}}"#);
        assert!(Frame::read(good.as_bytes()).is_some());
        for (from, to) in [
            ("\"v\":1", "\"v\": 1"),
            ("\"v\":1", "\"v\":01"),
            ("\"v\":1", "\"v\":0"),
            ("\"v\":1", "\"v\":+1"),
            ("\"n\":1", "\"n\":1.0"),
            ("\"n\":1", "\"n\":-1"),
            ("\"n\":1", "\"n\":18446744073709551617"),
            ("e3b0", "E3B0"),
            ("\"entry\"", "\"Entry\""),
        ] {
            let bad = good.replacen(from, to, 1);
            assert_ne!(bad, good);
            assert!(Frame::read(bad.as_bytes()).is_none(), "{bad}");
        }
    }

    #[test]
    fn an_altered_line_is_named_and_what_stands_before_it_is_read() {
        let text = journal(&[r#"{"a":1}"#, r#"{"a":2}"#, r#"{"a":3}"#, r#"{"a":4}"#]);
        let scan = scan(text.replace("{\"a\":2}", "{\"a\":9}").as_bytes());
        assert_eq!(scan.entries, [r#"{"a":1}"#]);
        assert_eq!(
            scan.problems,
            [Problem::Altered {
                line: 2,
                why: "the line after it has another digest for it"
            }]
        );
    }

    #[test]
    fn a_line_that_was_taken_out_or_doubled_is_found() {
        let text = journal(&[r#"{"a":1}"#, r#"{"a":2}"#, r#"{"a":3}"#]);
        let lines: Vec<&str> = text.split_inclusive('\n').collect();
        for (lines, line) in [
            (vec![lines[1], lines[2]], 1),
            (vec![lines[0], lines[2]], 2),
            (vec![lines[0], lines[0], lines[1], lines[2]], 2),
            (vec![lines[1], lines[0], lines[2]], 1),
        ] {
            let scan = scan(lines.concat().as_bytes());
            assert_eq!(
                scan.problems,
                [Problem::Altered {
                    line,
                    why: "its number is wrong"
                }]
            );
            assert_eq!(scan.entries.len(), line - 1);
        }
    }

    #[test]
    fn a_newer_line_is_told_as_that_and_never_as_altered() {
        let first = line(1, 1, Digest::of(b""), "{}");
        let tip = |line: &str| Digest::of(line.trim_end().as_bytes());
        let (newest, above) = (KNOWN, KNOWN + 1);
        // a version that is known is nothing to tell
        let known = line(newest, 2, tip(&first), r#"{"b":2}"#);
        let third = line(1, 3, tip(&known), r#"{"c":3}"#);
        let read = scan(format!("{first}{known}{third}").as_bytes());
        assert_eq!((read.versions, read.problems), (vec![1, newest, 1], vec![]));
        // one that is not is read where the frame is the same
        let second = line(above, 2, tip(&first), r#"{"b":2}"#);
        let newer = Problem::Newer {
            line: 2,
            version: above,
        };
        let third = line(1, 3, tip(&second), r#"{"c":3}"#);
        let read = scan(format!("{first}{second}{third}").as_bytes());
        assert_eq!(read.entries, ["{}", r#"{"b":2}"#, r#"{"c":3}"#]);
        assert_eq!(read.problems, std::slice::from_ref(&newer));
        // where it is not, or counts or chains in another way, what stands before it is
        let chained = line(above, 2, Digest::of(b"otherwise"), "{}");
        let counted = line(above, 7, tip(&first), "{}");
        let framed = format!("{{\"v\":{above},\"was\":7}}\n");
        for other in [chained, counted, framed] {
            let read = scan(format!("{first}{other}{third}").as_bytes());
            assert_eq!(read.entries, ["{}"], "{other}");
            assert_eq!(read.problems, std::slice::from_ref(&newer), "{other}");
        }
        // but a line of ours has its digest of whatever stands before it
        let third = line(1, 3, Digest::of(b"altered"), r#"{"c":3}"#);
        let read = scan(format!("{first}{second}{third}").as_bytes());
        assert!(matches!(read.problems[..], [Problem::Altered { line: 2, .. }, _]));
    }
}
