//! The name of a build, and the part of it that comes from its owner's words.

use std::fmt;

const MOST_SLUG: usize = 40;

/// A build's name and its folder's: a slug, a hyphen and four digits. It is never a path: it holds only a-z, 0-9 and
/// hyphens, does not start with a hyphen, and its slug has at most 40 characters.
///
/// ```
/// use shimwright::book::BuildId;
/// let id: BuildId = "gt-rear-0007".parse()?;
/// assert_eq!((id.slug(), id.number()), ("gt-rear", 7));
/// assert!("../gt-0007".parse::<BuildId>().is_err());
/// # Ok::<(), shimwright::book::BookError>(())
/// ```
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct BuildId(String);

impl BuildId {
    /// The build `number` of a slug that [`slug`] made.
    pub(super) fn new(slug: &str, number: u16) -> BuildId {
        BuildId(format!("{slug}-{number:04}"))
    }

    /// The build that a text names, if it names one.
    pub(super) fn named(text: &str) -> Option<BuildId> {
        let good = text.rsplit_once('-').is_some_and(|(front, number)| {
            slug(front) == front
                && number.len() == 4
                && number.bytes().all(|b| b.is_ascii_digit())
                && number != "0000"
        });
        good.then(|| BuildId(text.to_string()))
    }

    /// The whole name.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The name without its number.
    pub fn slug(&self) -> &str {
        &self.0[..self.0.len() - 5]
    }

    /// Whether it is named after these words, which [`slug`] made, by the first machine of a book or by one of those with a mark.
    ///
    /// ```
    /// use shimwright::book::BuildId;
    /// let id: BuildId = "gt-rear-k7-0001".parse()?;
    /// assert!(id.is_of("gt-rear", &["k7".to_string()]));
    /// assert!(!id.is_of("gt-rear", &[]) && id.is_of("gt-rear-k7", &[]));
    /// # Ok::<(), shimwright::book::BookError>(())
    /// ```
    pub fn is_of(&self, slug: &str, marks: &[String]) -> bool {
        match marks.iter().find(|mark| self.has_mark(mark)) {
            Some(mark) => self.slug() == marked(slug, mark),
            None => self.slug() == slug,
        }
    }

    /// Whether the front part of its name ends as the machine of a mark ends it.
    pub fn has_mark(&self, mark: &str) -> bool {
        let front = self.slug().strip_suffix(mark);
        front.is_some_and(|front| front.len() > 1 && front.ends_with('-'))
    }

    /// The front part of its name without the mark of a machine.
    pub fn without_mark(&self, marks: &[String]) -> &str {
        match marks.iter().find(|mark| self.has_mark(mark)) {
            Some(mark) => &self.slug()[..self.slug().len() - mark.len() - 1],
            None => self.slug(),
        }
    }

    /// The number, 1 to 9999.
    pub fn number(&self) -> u16 {
        self.0
            .bytes()
            .rev()
            .take(4)
            .zip([1, 10, 100, 1000])
            .map(|(d, p)| u16::from(d - b'0') * p)
            .sum()
    }
}

impl fmt::Display for BuildId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// The front part of the names that the machine of a mark gives: so that two machines never give the same.
pub(super) fn marked(slug: &str, mark: &str) -> String {
    match mark {
        "" => slug.to_string(),
        mark => {
            let room = MOST_SLUG - mark.len() - 1;
            let front = slug.get(..room).unwrap_or(slug).trim_end_matches('-');
            format!("{front}-{mark}")
        }
    }
}

/// The part of a build's name that comes from its owner's words: lower case, a-z and 0-9, everything else one hyphen,
/// none at the ends, at most 40 characters; `build` where nothing is left.
///
/// Names that some systems keep for devices do no harm, because a number always follows.
///
/// ```
/// assert_eq!(shimwright::book::slug("../GT  rear (No. 2)"), "gt-rear-no-2");
/// assert_eq!(shimwright::book::slug("…"), "build");
/// ```
pub fn slug(words: &str) -> String {
    let mut made = String::new();
    for c in words.chars() {
        if made.len() == MOST_SLUG {
            break;
        }
        if c.is_ascii_alphanumeric() {
            made.push(c.to_ascii_lowercase());
        } else if !made.is_empty() && !made.ends_with('-') {
            made.push('-');
        }
    }
    let made = made.trim_end_matches('-');
    if made.is_empty() { "build" } else { made }.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slug_is_never_a_path() {
        for (words, made) in [
            ("../../etc/passwd", "etc-passwd"),
            ("..", "build"),
            (".", "build"),
            ("", "build"),
            ("   ", "build"),
            ("/abs/olute", "abs-olute"),
            ("C:\\Windows", "c-windows"),
            ("-rf", "rf"),
            ("a--b", "a-b"),
            ("Größe ½ \u{202e}x", "gr-e-x"),
            ("дифференциал", "build"),
            ("CON", "con"),
            ("nul.txt", "nul-txt"),
            ("journal.jsonl", "journal-jsonl"),
            (".tmp-x", "tmp-x"),
            ("a\0b\nc", "a-b-c"),
        ] {
            assert_eq!(slug(words), made, "{words:?}");
        }
        assert_eq!(slug(&"x".repeat(300)).len(), 40);
        assert_eq!(slug(&format!("{} y", "x".repeat(39))), "x".repeat(39));
    }
}
