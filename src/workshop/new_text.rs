//! A unit's or a car's file as text, with what each line means.

use super::file_kind::FileKind;
use crate::document::quoted;

/// One line of a file that is to be written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FileLine {
    /// The table it stands in: nothing for the top of the file, `case` for `[case]`, `[plate]` for `[[plate]]`.
    pub table: &'static str,
    /// Which of several tables of that name; a new one begins a new table.
    pub item: String,
    /// The key.
    pub key: &'static str,
    /// The value.
    pub value: FileValue,
    /// What it is and where to find it; nothing where that has been said.
    pub comment: &'static str,
    /// Comments of a person, each on a line above.
    pub notes: Vec<String>,
}

/// A value of a file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum FileValue {
    /// A text in quotes.
    Text(String),
    /// A bare number or word of TOML.
    Bare(String),
    /// A list of texts.
    Texts(Vec<String>),
}

/// The text of a unit's or a car's file with its comments, which the reader of that kind reads.
///
/// `head` is the comment of its first line; `after` are comments that stand behind the last.
pub fn file_text(head: &str, kind: FileKind, lines: &[FileLine], after: &[String]) -> String {
    let mut out = format!("# {head}\nformat = \"shimwright {} 1\"\n", kind.word());
    let mut last = ("", String::new());
    for line in lines {
        let here = (line.table, line.item.clone());
        if here != last {
            if !line.table.is_empty() {
                out.push_str(&format!("\n[{}]\n", line.table));
            }
            last = here;
        }
        comments(&mut out, &line.notes);
        let value = match &line.value {
            FileValue::Text(text) => quoted(text),
            FileValue::Bare(text) => text.clone(),
            FileValue::Texts(texts) => {
                format!(
                    "[{}]",
                    texts
                        .iter()
                        .map(|text| quoted(text))
                        .collect::<Vec<_>>()
                        .join(", ")
                )
            }
        };
        let set = format!("{} = {value}", line.key);
        if line.comment.is_empty() {
            out.push_str(&set);
        } else {
            out.push_str(&format!("{set:<31} # {}", line.comment));
        }
        out.push('\n');
    }
    comments(&mut out, after);
    out
}

fn comments(out: &mut String, notes: &[String]) {
    for part in notes.iter().flat_map(|note| note.lines()) {
        // a comment of TOML holds no control characters
        let part: String = part.chars().filter(|c| !c.is_control()).collect();
        out.push_str(&format!("# {part}\n"));
    }
}

/// A drawer's file to begin with: nothing in it counts before somebody writes it.
pub const DRAWER_STARTER: &str = "\
# The drawer: what there is of shims and spare plates. Take the # away and write what is really there.
format = \"shimwright drawer 1\"

# [[shim]]
# thickness = \"… mm\"           # as marked or measured
# count = …                    # how many of it

# [[spare]]
# name = \"…\"                   # written on the plate or its bag
# keyed = \"gear\"               # or \"case\"
# thickness = \"… mm\"           # as new
";

/// An instruments' file to begin with, as [`DRAWER_STARTER`].
pub const INSTRUMENTS_STARTER: &str = "\
# The instruments, with the figures of their certificates. Take the # away and write those of yours.
format = \"shimwright instruments 1\"

# [[instrument]]
# id = \"…\"                     # what is engraved on it
# measures = \"thickness\"       # or \"depth\"
# resolution = \"… mm\"          # its smallest step
# calibration = \"… mm\"         # expanded, k = 2, by the certificate
# repeatability = \"… mm\"       # standard deviation of readings at one place
# standard = \"… mm\"            # what its zero is checked on
# due = \"…\"                    # year-month-day

# [[instrument]]
# id = \"…\"
# measures = \"torque\"
# relative = …                 # expanded, k = 2, as a share of the reading
# length = \"… mm\"              # square to the middle of the grip
# due = \"…\"
";
