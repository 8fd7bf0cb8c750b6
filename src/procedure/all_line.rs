//! What the record keeps of a line for all plates: a note that says how many answers it stands for, by which they are
//! known again.

/// An answer of a line for all: its step, whether that is the flatness, and its text.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct OfAll<'a> {
    pub step: &'a str,
    pub flatness: bool,
    pub text: &'a str,
}

/// The note of a line for all, by the answers that it led to, in their order.
pub(super) fn note_of(answers: &[OfAll<'_>]) -> String {
    let groups = answers.chunk_by(|one, next| one == next);
    let parts = groups.filter_map(|group| {
        let first = group.first()?;
        let word = if first.flatness {
            "flatness of plates"
        } else {
            "looks"
        };
        Some(format!("{}: {} {word} by one line", first.text, group.len()))
    });
    parts.collect::<Vec<_>>().join("; ")
}

/// How many of the answers right before a note it stands for; none where it is another note.
pub(super) fn stands_for(note: &str, before: &[OfAll<'_>]) -> usize {
    let from = (0..before.len()).find(|from| before.get(*from..).is_some_and(|some| note_of(some) == note));
    from.map_or(0, |from| before.len() - from)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn look(text: &str) -> OfAll<'_> {
        OfAll {
            step: "plate-look",
            flatness: false,
            text,
        }
    }

    #[test]
    fn a_note_is_known_again_by_what_it_stands_for() {
        let flat = OfAll {
            step: "plate-flatness",
            flatness: true,
            text: "0.02 mm",
        };
        let answers = [look("glazed"), look("good"), look("good"), flat];
        let note = note_of(&answers[1..]);
        assert_eq!(
            note,
            "good: 2 looks by one line; 0.02 mm: 1 flatness of plates by one line"
        );
        assert_eq!(stands_for(&note, &answers), 3);
        // one that was given by itself right before is none of the line
        let more = [look("good"), look("good"), look("good"), flat];
        assert_eq!(stands_for(&note, &more), 3);
        assert_eq!(stands_for("good: 2 looks by one line", &answers), 0);
        assert_eq!(stands_for("", &answers), 0);
    }
}
