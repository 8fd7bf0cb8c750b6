//! The format that a file names in its first line.

/// Whether a format is the one that is wanted, but of a higher number: a newer program made the file.
pub(crate) fn newer(format: &str, wanted: &str) -> bool {
    let number = |text: &str| {
        let (_, digits) = text.rsplit_once(' ')?;
        digits
            .parse()
            .ok()
            .filter(|n: &u32| *n > 0 && n.to_string() == digits)
    };
    let named = |text: &str| text.rsplit_once(' ').map(|(before, _)| before.to_string());
    named(format) == named(wanted) && number(format) > number(wanted)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_higher_number_of_the_same_format_is_newer() {
        let wanted = "shimwright unit 1";
        assert!(newer("shimwright unit 2", wanted) && newer("shimwright unit 12", wanted));
        for other in [
            "shimwright unit 1",
            "shimwright unit 0",
            "shimwright unit 02",
            "shimwright unit +2",
        ] {
            assert!(!newer(other, wanted), "{other}");
        }
        for other in ["shimwright car 2", "shimwright unit", "unit 2", "2", ""] {
            assert!(!newer(other, wanted), "{other}");
        }
    }
}
