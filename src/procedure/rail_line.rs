//! A line of the rail as it is typed: which plate, and what of it. Nothing is looked up here but names and words.

use super::typed::SURE;
use crate::document::nearest;
use crate::quantity::unit_named;

/// What a line may speak of.
pub(super) struct Words<'w> {
    /// The plates on the rail.
    pub plates: &'w [&'w str],
    /// The looks that a plate may have.
    pub looks: &'w [&'w str],
    /// The looks that are typed in full.
    pub in_full: &'w [&'w str],
}

/// What a line says.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Line {
    /// Nothing: on to the next plate.
    Next,
    /// What looked odd in the line before is meant.
    Sure,
    /// What was suggested for it is right.
    Yes,
    /// A row: of the plate in hand, where it has no name; at one point, where it has a number.
    Row {
        plate: Option<String>,
        point: Option<u32>,
        items: Vec<Item>,
    },
    /// Of all plates that have their readings.
    All(Vec<Item>),
}

/// One thing that a line says of a plate.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Item {
    pub what: What,
    /// Whether it is meant although it may look odd.
    pub sure: bool,
}

/// What is said.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum What {
    /// A reading, with its unit where there is one.
    Reading(String),
    /// How far it is out of flat; `under 0.02` where the leaf does not go in.
    Flat(String),
    /// How it looks.
    Look(String),
    /// Nobody can tell; the rest of the line is taken all the same.
    Unknown(String),
}

/// The word for all plates, which no plate may be called.
const ALL: &str = "all";
/// The word before a flatness.
const FLAT: &str = "flat";
/// The word before a leaf that does not go in.
const UNDER: &str = "under";

/// Reads a line. The fault of a line of which nothing is taken comes back in words.
pub(super) fn read(line: &str, words: &Words<'_>) -> Result<Line, String> {
    let tokens: Vec<&str> = line
        .split(|c: char| c.is_whitespace() || c == ';')
        .filter(|token| !token.is_empty())
        .collect();
    match tokens[..] {
        [] => return Ok(Line::Next),
        [only] if is(only, SURE) => return Ok(Line::Sure),
        [only] if is(only, "yes") || is(only, "y") => return Ok(Line::Yes),
        _ => {}
    }
    let (mut plate, mut point, mut all) = (None, None, false);
    let mut items: Vec<Item> = Vec::new();
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        at += 1;
        let rest = tokens.get(at..).unwrap_or(&[]);
        if is(token, ALL) {
            if plate.is_some() || all || !items.is_empty() {
                return Err("all stands first on its line, and alone; nothing was taken".to_string());
            }
            all = true;
        } else if let Some((name, which)) = plate_named(token, words) {
            if let Some(known) = &plate {
                return Err(if *known == name {
                    format!("{name} stands twice on the line; nothing was taken")
                } else {
                    format!("{known} and {name}: a line is for one plate; nothing was taken")
                });
            }
            if all || !items.is_empty() {
                return Err(format!(
                    "{name} does not stand first on its line; nothing was taken"
                ));
            }
            plate = Some(name);
            point = which;
        } else if is(token, SURE) {
            match items.last_mut() {
                Some(last) => last.sure = true,
                None => return Err("sure stands behind what is meant; nothing was taken".to_string()),
            }
        } else if is(token, FLAT) {
            let under = rest.first().is_some_and(|next| is(next, UNDER));
            at += usize::from(under);
            let Some((length, used)) = number(tokens.get(at..).unwrap_or(&[]), words) else {
                items.push(unknown(format!(
                    "{token}: how much? It is written flat 0.02, or flat under 0.02"
                )));
                continue;
            };
            at += used;
            let said = if under {
                format!("{UNDER} {length}")
            } else {
                length
            };
            items.push(item(What::Flat(said)));
        } else if let Some((reading, used)) = number(&tokens[at - 1..], words) {
            at += used - 1;
            items.push(item(What::Reading(reading)));
        } else if plate.is_none() && !all && items.is_empty() && looks_like_a_name(token, words) {
            let meant =
                nearest(token, words.plates).map_or(String::new(), |name| format!("; did you mean {name}?"));
            return Err(format!(
                "no plate on the rail is called \"{token}\"{meant} Nothing was taken"
            ));
        } else {
            items.push(match look(token, words) {
                Ok(word) => item(What::Look(word)),
                Err(why) => unknown(why),
            });
        }
    }
    if all {
        return Ok(Line::All(items));
    }
    Ok(Line::Row { plate, point, items })
}

fn is(token: &str, word: &str) -> bool {
    token.eq_ignore_ascii_case(word)
}

fn item(what: What) -> Item {
    Item { what, sure: false }
}

fn unknown(why: String) -> Item {
    item(What::Unknown(why))
}

/// A plate of the rail, with the number of a reading behind it.
fn plate_named(token: &str, words: &Words<'_>) -> Option<(String, Option<u32>)> {
    let known = |name: &str| {
        words
            .plates
            .iter()
            .find(|plate| plate.to_lowercase() == name.to_lowercase())
    };
    if let Some(name) = known(token) {
        return Some(((*name).to_string(), None));
    }
    let (name, point) = token.rsplit_once('/')?;
    Some(((*known(name)?).to_string(), Some(point.parse().ok()?)))
}

/// A first word with a digit or a stroke in it, or one letter off a plate's name, is meant for a plate.
fn looks_like_a_name(token: &str, words: &Words<'_>) -> bool {
    look(token, words).is_err() && token.contains(|c: char| c.is_ascii_digit() || c == '/')
}

/// A number off the front, with its unit; how many words it took.
fn number(tokens: &[&str], words: &Words<'_>) -> Option<(String, usize)> {
    let first = tokens.first()?;
    let bare = first.trim_start_matches(['+', '-']);
    if !bare.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',') {
        return None;
    }
    // "35 lbf ft" is one unit of two words
    for count in [2, 1] {
        // "g" begins a look before it is a gram
        let look = |unit: &&str| {
            words
                .looks
                .iter()
                .any(|look| look.starts_with(&unit.to_lowercase()))
        };
        if let Some(unit) = tokens.get(1..=count).filter(|unit| !unit.iter().any(look))
            && unit_named(&unit.join(" ")).is_some()
        {
            return Some((format!("{first} {}", unit.join(" ")), 1 + count));
        }
    }
    // a comma is a decimal sign here: a plate is never thousands of what the gauge shows
    let only_comma = first.matches(',').count() == 1 && !first.contains('.');
    let bare = bare.bytes().all(|b| b.is_ascii_digit() || b == b',');
    Some((
        if only_comma && bare {
            first.replace(',', ".")
        } else {
            (*first).to_string()
        },
        1,
    ))
}

/// The look that a word says, or that alone begins so.
fn look(token: &str, words: &Words<'_>) -> Result<String, String> {
    let typed = token.to_lowercase();
    if let Some(word) = words.looks.iter().find(|word| **word == typed) {
        return Ok((*word).to_string());
    }
    let starting: Vec<&str> = words
        .looks
        .iter()
        .filter(|word| word.starts_with(&typed))
        .copied()
        .collect();
    match starting[..] {
        [word] if words.in_full.contains(&word) => Err(format!("\"{token}\": {word} is typed in full")),
        [word] => Ok(word.to_string()),
        [] => {
            let known: Vec<&str> = words.looks.iter().copied().chain([FLAT, ALL, SURE]).collect();
            let meant = nearest(token, &known).map_or_else(
                || format!("it is none of {}", words.looks.join(", ")),
                |word| format!("did you mean {word}?"),
            );
            Err(format!("\"{token}\": {meant}"))
        }
        _ => Err(format!(
            "\"{token}\" may be {}: one letter more",
            starting.join(" or ")
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::procedure::looks::LOOKS;
    use crate::workshop::Plate;
    use proptest::prelude::*;

    const WORDS: Words<'static> = Words {
        plates: &["G4", "C10", "g5"],
        looks: &["good", "glazed", "burnt", "torn", "cracked"],
        in_full: &["torn", "cracked"],
    };

    fn row(line: &str) -> (Option<String>, Option<u32>, Vec<Item>) {
        match read(line, &WORDS) {
            Ok(Line::Row { plate, point, items }) => (plate, point, items),
            other => panic!("{line}: {other:?}"),
        }
    }

    fn reading(text: &str) -> Item {
        item(What::Reading(text.into()))
    }

    #[test]
    fn a_whole_plate_stands_on_a_line_in_any_order_and_case() {
        let whole = [
            reading("1.955"),
            reading("1.957"),
            reading("1.956"),
            item(What::Flat("0.02".into())),
            item(What::Look("glazed".into())),
        ];
        for line in [
            "G4 1.955 1.957 1.956 flat 0.02 glazed",
            "g4;1.955;1.957\t1,956 FLAT 0,02 GL",
        ] {
            let (plate, point, items) = row(line);
            assert_eq!((plate.as_deref(), point), (Some("G4"), None));
            assert_eq!(items, whole, "{line}");
        }
        let (_, _, items) = row("c10 torn flat under 0.02 1.9");
        assert_eq!(items[0].what, What::Look("torn".into()));
        assert_eq!(items[1].what, What::Flat("under 0.02".into()));
        assert_eq!(items[2].what, What::Reading("1.9".into()));
    }

    #[test]
    fn a_line_without_a_name_is_for_the_plate_in_hand() {
        assert_eq!(row("1.98"), (None, None, vec![reading("1.98")]));
        assert_eq!(row("1.98 mm 78 thou").2, [reading("1.98 mm"), reading("78 thou")]);
        assert_eq!(row("12 N m").2, [reading("12 N m")]);
        assert_eq!(
            row("G4/2 1.957"),
            (Some("G4".into()), Some(2), vec![reading("1.957")])
        );
        assert!(row("19.8 sure").2[0].sure);
    }

    #[test]
    fn all_and_the_words_alone_are_told_apart() {
        assert_eq!(read("", &WORDS), Ok(Line::Next));
        assert_eq!(read(" ; ", &WORDS), Ok(Line::Next));
        assert_eq!(read("Sure", &WORDS), Ok(Line::Sure));
        assert_eq!(read("y", &WORDS), Ok(Line::Yes));
        let all = [item(What::Look("good".into())), item(What::Flat("0.02".into()))];
        assert_eq!(read("All go flat 0.02", &WORDS), Ok(Line::All(all.to_vec())));
    }

    #[test]
    fn a_line_that_can_not_be_for_one_plate_is_not_taken_at_all() {
        for (line, words) in [
            ("G4 1.955 G4 1.956", "G4 stands twice"),
            ("G4 1.955 c10 1.956", "G4 and C10"),
            ("1.955 G4", "G4 does not stand first"),
            ("G44 1.955", "did you mean G4?"),
            ("X9/1 1.955", "no plate on the rail"),
            ("G4 all good", "all stands first"),
            ("sure 1.9", "sure stands behind"),
        ] {
            let told = read(line, &WORDS).unwrap_err();
            assert!(told.contains(words), "{line}: {told}");
        }
    }

    #[test]
    fn an_unknown_word_leaves_the_rest_of_the_line() {
        for (line, words) in [
            ("G4 1.955 glased", "did you mean glazed?"),
            ("G4 1.955 g", "good or glazed"),
            ("G4 1.955 cr", "cracked is typed in full"),
            ("G4 1.955 xyzzy", "none of good"),
            ("G4 1.955 flat", "how much?"),
        ] {
            let (_, _, items) = row(line);
            assert_eq!(items[0], reading("1.955"), "{line}");
            assert!(
                matches!(&items[1].what, What::Unknown(why) if why.contains(words)),
                "{line}: {items:?}"
            );
        }
    }

    #[test]
    fn no_plate_can_be_called_what_a_row_has_a_word_for() {
        let words = [ALL, FLAT, UNDER, SURE].into_iter();
        for word in words.chain(LOOKS.iter().map(|(word, ..)| *word)) {
            assert!(
                Plate::is_row_word(word) && Plate::is_row_word(&word.to_uppercase()),
                "{word}"
            );
        }
        assert!(!Plate::is_row_word("C1") && !Plate::is_row_word("allow"));
    }

    proptest! {
        #[test]
        fn no_line_is_too_odd_to_be_read(line in "\\PC{0,60}") {
            let _ = read(&line, &WORDS);
        }
    }
}
