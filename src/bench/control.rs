//! The words that begin with an exclamation mark: what a person asks of the program and not of the unit.

use crate::procedure::{AnswerOption, Ask, Expects, Reply};
use crate::record::phrase::Spoken;

/// The words that may be typed instead of an answer, with what each does.
pub const CONTROL_WORDS: [(&str, &str); 16] = [
    (
        "!back",
        "open the answer before this one again; !back 5, so many of them",
    ),
    (
        "!fix NAME VALUE",
        "put an earlier answer right; !fix alone lists the names",
    ),
    ("!show", "show all readings so far"),
    ("!who NAME", "somebody else works from here on"),
    ("!picture", "show the unit in section, with the part marked"),
    ("!why", "say why this is asked"),
    ("!words TERM", "say what a word of the trade means"),
    ("!note TEXT", "write a note into the record"),
    ("!skip REASON", "leave the question out, where that is allowed"),
    ("!one", "ask for plates one question at a time"),
    ("!rows", "ask for plates a row at a time"),
    ("!pause", "stop here and go on another time"),
    ("!take", "in practice: what the instrument shows"),
    ("!look", "in practice: what there is to see"),
    (
        "!hint",
        "in practice: stage, part, test, answer; each has its price",
    ),
    ("!help", "show these words"),
];

/// What a line turns out to be.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Word {
    /// A control word that is handed on.
    Reply(Reply),
    /// The list of control words is wanted.
    Help,
    /// An answer.
    Answer,
}

/// Reads a control word; a line that starts with `!` and is none is refused with the list.
pub(super) fn control(line: &str, spoken: &Spoken) -> Result<Word, String> {
    let Some(rest) = line.trim().strip_prefix('!') else {
        return Ok(Word::Answer);
    };
    let (word, text) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
    let text = text.trim();
    let bare = |word: Word| match text {
        "" => Ok(word),
        _ => {
            let more = match word {
                Word::Reply(Reply::Pause) => "; !note TEXT before it keeps why",
                _ => "",
            };
            let word = rest.split_whitespace().next().unwrap_or("");
            Err(format!("!{word} stands alone; nothing may follow it{more}"))
        }
    };
    match spoken.control_in_english(word) {
        "back" if text.is_empty() => Ok(Word::Reply(Reply::Back)),
        "back" => match text.parse() {
            Ok(count) => Ok(Word::Reply(Reply::BackBy(count))),
            Err(_) => Err("!back stands alone, or has the number of answers behind it".into()),
        },
        "fix" => Ok(Word::Reply(Reply::Fix(text.into()))),
        "show" => bare(Word::Reply(Reply::Show)),
        "picture" => bare(Word::Reply(Reply::Picture)),
        "who" if text.is_empty() => Err("!who wants the name behind it".into()),
        "who" => Ok(Word::Reply(Reply::Who(text.into()))),
        "why" => bare(Word::Reply(Reply::Why)),
        "pause" => bare(Word::Reply(Reply::Pause)),
        "one" => bare(Word::Reply(Reply::ByRows(false))),
        "rows" => bare(Word::Reply(Reply::ByRows(true))),
        "take" => bare(Word::Reply(Reply::Take)),
        "look" => bare(Word::Reply(Reply::Look)),
        "hint" => bare(Word::Reply(Reply::Hint)),
        "help" => bare(Word::Help),
        "words" if text.is_empty() => Err("!words wants the word behind it".into()),
        "words" => Ok(Word::Reply(Reply::Words(text.into()))),
        "note" if text.is_empty() => Err("!note wants the words of the note behind it".into()),
        "note" => Ok(Word::Reply(Reply::Note(text.into()))),
        "skip" if text.is_empty() => Err("!skip wants the reason behind it".into()),
        "skip" => Ok(Word::Reply(Reply::Skip(text.into()))),
        _ => Err(format!(
            "\"!{word}\" is no control word; there are {}",
            names().join(", ")
        )),
    }
}

/// The control words with what each does, one a line, in a language.
pub(super) fn help(spoken: &Spoken) -> String {
    CONTROL_WORDS
        .iter()
        .map(|(name, meaning)| {
            let word = name.split(' ').next().unwrap_or(name);
            let (_, meaning) = spoken.control(word.trim_start_matches('!'), meaning);
            format!("  {:<16}  {meaning}\n", spoken.control_line(name))
        })
        .collect()
}

/// The control words with what stands behind them.
fn names() -> Vec<&'static str> {
    CONTROL_WORDS.iter().map(|(name, _)| *name).collect()
}

/// Completes the beginning of a key to the key, so that every front-end passes on the same text. Anything else stays
/// as it was typed: whether it is an answer is not for a front-end to say.
pub(super) fn completed(expects: &Expects, text: &str, spoken: &Spoken) -> String {
    let typed = text.trim();
    let keys: Vec<&str> = match expects {
        Expects::YesNo => {
            let mut keys = vec!["yes", "no"];
            let own = ["yes", "no"].map(|word| spoken.answer(word));
            keys.extend(own.iter().filter(|own| !["yes", "no"].contains(own)));
            keys
        }
        Expects::OneOf(ways) | Expects::OneOfOrLine { ways, .. } => {
            ways.iter().map(|way: &AnswerOption| way.key.as_str()).collect()
        }
        _ => return text.to_string(),
    };
    let lower = typed.to_lowercase();
    if let Some(key) = keys.iter().find(|key| key.to_lowercase() == lower) {
        return (*key).to_string();
    }
    // a line such as "swap A1 A4" may start like a key: there only whole keys count
    if typed.is_empty() || matches!(expects, Expects::OneOfOrLine { .. }) {
        return text.to_string();
    }
    let mut starting = keys.iter().filter(|key| key.to_lowercase().starts_with(&lower));
    match (starting.next(), starting.next()) {
        (Some(key), None) => (*key).to_string(),
        _ => text.to_string(),
    }
}

/// What a hand typed, with the beginning of a key completed; what guards something is left as it was typed, because it
/// is wanted in full.
pub(super) fn typed(ask: &Ask, text: &str) -> String {
    if ask.guarded {
        text.to_string()
    } else {
        completed(&ask.expects, text, &ask.spoken)
    }
}

/// Whether a bare Enter means something.
pub(super) fn enter_is_an_answer(ask: &Ask) -> bool {
    ask.before.is_some() || matches!(ask.expects, Expects::Done | Expects::Text { optional: true })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn control(line: &str) -> Result<Word, String> {
        super::control(line, &Spoken::default())
    }

    fn completed(expects: &Expects, text: &str) -> String {
        super::completed(expects, text, &Spoken::default())
    }

    #[test]
    fn a_language_has_words_for_the_control_words_that_there_are() {
        let words =
            CONTROL_WORDS.map(|(name, _)| name.split(' ').next().unwrap_or("").trim_start_matches('!'));
        assert_eq!(words, crate::record::phrase::CONTROLS);
    }

    fn ways(keys: &[&str]) -> Vec<AnswerOption> {
        keys.iter()
            .map(|key| AnswerOption {
                key: (*key).into(),
                words: String::new(),
            })
            .collect()
    }

    #[test]
    fn each_control_word_gives_its_reply() {
        assert_eq!(control("!back"), Ok(Word::Reply(Reply::Back)));
        assert_eq!(control("!back 5"), Ok(Word::Reply(Reply::BackBy(5))));
        assert_eq!(control("!show"), Ok(Word::Reply(Reply::Show)));
        assert_eq!(control("!picture"), Ok(Word::Reply(Reply::Picture)));
        assert_eq!(control("!fix"), Ok(Word::Reply(Reply::Fix(String::new()))));
        assert_eq!(
            control("!fix G8 flat 0.04"),
            Ok(Word::Reply(Reply::Fix("G8 flat 0.04".into())))
        );
        assert_eq!(
            control("!who A. Second"),
            Ok(Word::Reply(Reply::Who("A. Second".into())))
        );
        assert_eq!(control(" !why "), Ok(Word::Reply(Reply::Why)));
        assert_eq!(control("!pause"), Ok(Word::Reply(Reply::Pause)));
        assert_eq!(control("!take"), Ok(Word::Reply(Reply::Take)));
        assert_eq!(control("!look"), Ok(Word::Reply(Reply::Look)));
        assert_eq!(control("!hint"), Ok(Word::Reply(Reply::Hint)));
        assert_eq!(
            control("!words case held"),
            Ok(Word::Reply(Reply::Words("case held".into())))
        );
        assert_eq!(control("!help"), Ok(Word::Help));
        assert_eq!(
            control("!note  oil was black "),
            Ok(Word::Reply(Reply::Note("oil was black".into())))
        );
        assert_eq!(
            control("!skip no gauge"),
            Ok(Word::Reply(Reply::Skip("no gauge".into())))
        );
        assert_eq!(control("1.98"), Ok(Word::Answer));
        assert_eq!(control(""), Ok(Word::Answer));
    }

    #[test]
    fn an_unknown_control_word_is_refused_with_the_list() {
        let words = control("!quit").unwrap_err();
        assert!(words.contains("\"!quit\""));
        for (name, _) in CONTROL_WORDS {
            assert!(words.contains(name), "{name} is missing in {words}");
        }
        assert!(control("!").is_err());
    }

    #[test]
    fn a_note_and_a_skip_want_words_and_the_others_stand_alone() {
        assert!(control("!note").is_err());
        assert!(control("!words").is_err());
        assert!(control("!skip  ").is_err());
        assert!(control("!back two").unwrap_err().contains("!back stands alone"));
        assert!(control("!who").is_err());
    }

    #[test]
    fn the_beginning_of_one_key_is_that_key() {
        let some = Expects::OneOf(ways(&["accept", "alter", "order"]));
        assert_eq!(completed(&some, "o"), "order");
        assert_eq!(completed(&some, "ACC"), "accept");
        assert_eq!(
            completed(&some, "a"),
            "a",
            "two keys start so: it is passed on as typed"
        );
        assert_eq!(completed(&some, "x"), "x");
        assert_eq!(completed(&some, ""), "");
        assert_eq!(completed(&Expects::YesNo, "Y"), "yes");
    }

    #[test]
    fn a_whole_key_wins_over_a_longer_one() {
        assert_eq!(completed(&Expects::OneOf(ways(&["onward", "on"])), "on"), "on");
    }

    #[test]
    fn where_a_line_may_stand_only_whole_keys_are_completed() {
        let some = Expects::OneOfOrLine {
            ways: ways(&["accept"]),
            lines: vec!["swap A1 A4".into()],
        };
        assert_eq!(completed(&some, "a"), "a");
        assert_eq!(completed(&some, "Accept"), "accept");
        assert_eq!(completed(&some, "swap A1 A4"), "swap A1 A4");
    }

    #[test]
    fn the_word_for_a_caution_is_never_completed() {
        assert_eq!(completed(&Expects::Acknowledge, "y"), "y");
    }
}
