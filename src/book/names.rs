//! Which texts are taken for the name of a build, or of a file in it, and what is wrong with those that are not.

use super::error::BookError;
use super::id::BuildId;
use std::str::FromStr;

impl FromStr for BuildId {
    type Err = BookError;

    fn from_str(text: &str) -> Result<BuildId, BookError> {
        BuildId::named(text).ok_or_else(|| BookError::NotAnId {
            text: text.to_string(),
        })
    }
}

/// Makes sure that a name stays inside its build's folder and away from what the book itself keeps there.
pub(super) fn file_name_fits(name: &str) -> Result<(), BookError> {
    let lower = name.to_ascii_lowercase();
    let why = if !name
        .bytes()
        .all(|b| b.is_ascii_alphanumeric() || b"._-".contains(&b))
    {
        "only letters without accents, digits, dot, hyphen and underscore may be in it"
    } else if name.is_empty() || name.len() > 100 {
        "it must have 1 to 100 characters"
    } else if name.starts_with('.') || name.ends_with('.') {
        "it starts or ends with a dot"
    } else if lower.starts_with("journal.") || lower == "held-by" {
        "the book keeps its own file under it"
    } else {
        return Ok(());
    };
    Err(BookError::BadName {
        name: name.to_string(),
        why,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::slug;
    use proptest::prelude::*;

    #[test]
    fn a_name_that_could_leave_the_shelf_is_no_id() {
        for text in [
            "",
            "-",
            "-0001",
            "a-000",
            "a-00001",
            "a-0000",
            "A-0001",
            "a/b-0001",
            "../a-0001",
            "a--0001",
            "a-0001 ",
            "a-0001/",
            "a.b-0001",
            "a-٠٠٠١",
        ] {
            assert!(
                matches!(text.parse::<BuildId>(), Err(BookError::NotAnId { .. })),
                "{text:?}"
            );
        }
        let long = format!("{}-0001", "x".repeat(41));
        assert!(matches!(long.parse::<BuildId>(), Err(BookError::NotAnId { .. })));
    }

    proptest! {
        #[test]
        fn any_words_make_a_name_that_reads_back(words in ".*", number in 1u16..=9999) {
            let id = BuildId::new(&slug(&words), number);
            prop_assert_eq!(id.as_str().parse::<BuildId>().unwrap(), id.clone());
            prop_assert_eq!(id.number(), number);
            prop_assert_eq!(id.slug(), slug(&words));
        }
    }
}
