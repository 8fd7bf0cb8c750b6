//! What a question looks like on the terminal.

use super::page::{Page, Paint};
use crate::procedure::{AnswerOption, Ask, Expects, Feedback, Refusal, SURE, StepKind, Tone};
use crate::quantity::visible;
use crate::record::phrase::{Phrase, Spoken};
use crate::screen::columns;
use std::io::IsTerminal;

/// When colours are used.
#[derive(Clone, Copy, PartialEq, Eq, Default, Debug)]
pub enum Colour {
    /// On a terminal that has them, unless somebody does not want them.
    #[default]
    Auto,
    /// Wherever what is told goes.
    Always,
    /// Nowhere.
    Never,
}

/// Whether colours may be used. Unless it is said otherwise: not after `--plain`, not with `NO_COLOR` set to anything, not
/// where `TERM` is `dumb`, not where there is no terminal.
pub fn colour_wanted(plain: bool, colour: Colour) -> bool {
    match colour {
        Colour::Auto => {}
        Colour::Always => return true,
        Colour::Never => return false,
    }
    let asked_not_to = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    !(plain || asked_not_to || dumb) && std::io::stdout().is_terminal() && std::io::stderr().is_terminal()
}

/// How many columns the terminal has; 80 where there is none.
pub fn terminal_width() -> usize {
    crossterm::terminal::size().map_or(80, |(columns, _)| usize::from(columns))
}

/// How many rows the terminal has; 24 where there is none.
pub fn terminal_height() -> usize {
    crossterm::terminal::size().map_or(24, |(_, rows)| usize::from(rows))
}

/// The whole of a question as text: which step of how many, what to do, with what, the limit, what there is to look
/// at, and the prompt. No line is wider than `width` (or 20, if that is more).
pub fn screen(ask: &Ask, width: usize, colour: bool) -> String {
    let mut page = Page::new(width, colour);
    lay_question(&mut page, ask, "");
    lay_ways(&mut page, ask);
    page.blank();
    page.paragraph(&prompt(ask), "", Some(Paint::Head));
    page.text()
}

/// The question without its prompt, for a front-end that draws the prompt and the list of ways itself; `keys` says what its
/// keys lead to.
pub(super) fn question(ask: &Ask, keys: &str, width: usize, colour: bool) -> String {
    let mut page = Page::new(width, colour);
    lay_question(&mut page, ask, keys);
    if matches!(ask.expects, Expects::OneOfOrLine { .. }) || ask.guarded {
        lay_ways(&mut page, ask);
    }
    page.text()
}

/// The line with the number of the step, again, for when the question has scrolled away.
pub(super) fn step_line(ask: &Ask, keys: &str, width: usize, colour: bool) -> String {
    let mut page = Page::new(width, colour);
    lay_step(&mut page, ask, keys);
    page.text()
}

/// The prompt in one line, with the unit that a bare number takes or what else is to be typed.
pub fn prompt(ask: &Ask) -> String {
    let what = visible(&ask.prompt);
    let spoken = &ask.spoken;
    let (yes, no) = (spoken.answer("yes"), spoken.answer("no"));
    let wanted = match &ask.expects {
        Expects::Acknowledge => spoken.fill(Phrase::TypeYes, &[yes]),
        Expects::Done => spoken.say(Phrase::EnterWhenDone).into(),
        Expects::YesNo if ask.guarded => spoken.fill(Phrase::InFull, &[yes, no]),
        Expects::YesNo => spoken.fill(Phrase::YesOrNo, &[yes, no]),
        Expects::Text { optional: true } => spoken.say(Phrase::MayBeEmpty).into(),
        Expects::Quantity { unit, example } => spoken.fill(Phrase::SuchAs, &[unit, &visible(example)]),
        Expects::Line { wanted } => visible(wanted).into_owned(),
        Expects::OneOf(_) if ask.guarded => spoken.say(Phrase::OneInFull).into(),
        Expects::OneOf(_) => spoken.say(Phrase::OneOfThese).into(),
        Expects::OneOfOrLine { .. } => spoken.say(Phrase::OneOrLine).into(),
        Expects::Names(_) => spoken.say(Phrase::NamesInOrder).into(),
        Expects::Text { optional: false } => return what.into_owned(),
    };
    format!("{what} ({wanted})")
}

/// Why a question is asked: the reason, the formula, the formula with the numbers put in.
pub fn why_screen(ask: &Ask, width: usize, colour: bool) -> String {
    let mut page = Page::new(width, colour);
    page.paragraph(ask.spoken.say(Phrase::WhyAsked), "", Some(Paint::Head));
    if ask.why.reason.is_empty() && ask.why.formula.is_empty() {
        page.paragraph(ask.spoken.say(Phrase::NoReason), "", None);
    } else if !ask.why.reason.is_empty() {
        page.paragraph(&ask.why.reason, "", None);
    }
    for line in &ask.why.formula {
        page.paragraph(&format!("    {line}"), "      ", None);
    }
    lay_terms(&mut page, ask);
    page.text()
}

/// What an answer led to, a paragraph each.
pub fn said_screen(said: &[Feedback], width: usize, colour: bool) -> String {
    let mut page = Page::new(width, colour);
    for one in said {
        if one.tone == Tone::Drawn {
            page.drawn(std::slice::from_ref(&one.words));
            continue;
        }
        let paint = match one.tone {
            Tone::Good => Some(Paint::Good),
            Tone::Plain | Tone::Drawn => None,
            Tone::Doubt => Some(Paint::Doubt),
            Tone::Bad => Some(Paint::Bad),
        };
        page.paragraph(&one.words, "", paint);
    }
    page.text()
}

/// Why an answer was not taken.
pub fn refusal_screen(refusal: &Refusal, spoken: &Spoken, width: usize, colour: bool) -> String {
    let mut page = Page::new(width, colour);
    let paint = if refusal.sure { Paint::Doubt } else { Paint::Bad };
    page.paragraph(&spoken.fill(Phrase::NotTaken, &[&refusal.words]), "", Some(paint));
    if refusal.sure {
        let meant = match refusal.suggests {
            true => format!("{} ", spoken.fill(Phrase::YesIfSo, &[spoken.answer("yes")])),
            false => String::new(),
        };
        let sure = spoken.fill(Phrase::SureIfSo, &[spoken.answer(SURE)]);
        page.paragraph(&format!("{meant}{sure}"), "", None);
    }
    page.text()
}

/// The question without what has just been read: the words of a step that is asked of one thing after the other, a table
/// or a drawing that stands right above. A caution is put whole each time, a look that guards something and a question that was gone back to unless
/// its words stand right above; limits and ways always stand beside the answer.
pub(super) fn not_repeated(ask: &Ask, before: &[Ask]) -> Ask {
    let mut ask = ask.clone();
    if ask.kind == StepKind::Caution || ask.alone {
        return ask;
    }
    let same = |known: &Ask| {
        known.slot.step == ask.slot.step && known.slot.round == ask.slot.round && known.words == ask.words
    };
    // who went back to a question has not just read it
    let is_asked_again = before.iter().any(|known| known.slot == ask.slot);
    let read = if ask.guarded || is_asked_again {
        before.last()
    } else {
        before.iter().find(|known| same(known))
    };
    if read.is_some_and(same) {
        ask.words.clear();
        ask.tools.clear();
    }
    if let Some(last) = before.last() {
        if last.table == ask.table {
            ask.table = None;
        }
        if last.drawing == ask.drawing {
            ask.drawing.clear();
        }
    }
    ask
}

fn lay_question(page: &mut Page, ask: &Ask, keys: &str) {
    lay_step(page, ask, keys);
    for (at, words) in ask.words.iter().enumerate() {
        match (ask.kind, at) {
            (StepKind::Caution, 0) => {
                let head = ask.spoken.say(Phrase::Caution);
                page.paragraph(&format!("{head}: {words}"), "", Some(Paint::Bad));
            }
            _ => page.paragraph(words, "", None),
        }
    }
    if ask.kind == StepKind::Caution && ask.words.is_empty() {
        page.paragraph(ask.spoken.say(Phrase::Caution), "", Some(Paint::Bad));
    }
    if !ask.tools.is_empty() {
        let with = ask.spoken.fill(Phrase::With, &[&ask.tools.join(", ")]);
        page.paragraph(&with, "      ", None);
    }
    if ask.practice {
        lay_terms(page, ask);
    }
    for limit in &ask.limits {
        page.paragraph(&ask.spoken.fill(Phrase::Mind, &[limit]), "      ", None);
    }
    if let Some(table) = &ask.table {
        page.blank();
        page.table(table);
    }
    if !ask.drawing.is_empty() {
        // under the step alone it needs no room above it
        if !ask.words.is_empty() || !ask.limits.is_empty() || ask.table.is_some() {
            page.blank();
        }
        page.drawn(&ask.drawing);
    }
    if let Expects::Names(names) = &ask.expects {
        let names = ask.spoken.fill(Phrase::Names, &[&names.join(" ")]);
        page.paragraph(&names, "       ", None);
    }
}

fn lay_terms(page: &mut Page, ask: &Ask) {
    if !ask.terms.is_empty() {
        let terms = ask.terms.join(", ");
        page.paragraph(
            &ask.spoken.fill(
                Phrase::WordsOfIt,
                &[&terms, &ask.spoken.control_line("!words TERM")],
            ),
            "       ",
            None,
        );
    }
}

/// The number of the step, with what the keys lead to behind it where there is room.
fn lay_step(page: &mut Page, ask: &Ask, keys: &str) {
    let mut head = step_words(ask);
    if ask.slot.round > 1 {
        let round = ask.spoken.fill(Phrase::Round, &[&ask.slot.round.to_string()]);
        head.push_str(&format!(" · {round}"));
    }
    let both = format!("{head}  ({keys})");
    match keys {
        "" => page.paragraph(&head, "", Some(Paint::Head)),
        _ if columns(&both) <= page.width => page.paragraph(&both, "", Some(Paint::Head)),
        _ => {
            page.paragraph(&head, "", Some(Paint::Head));
            page.paragraph(&format!("({keys})"), "", None);
        }
    }
    if let Some(mark) = ask.spoken.mark() {
        page.paragraph(&mark, "", None);
    }
}

/// Which step of how many it is, and of which stage.
pub(super) fn step_words(ask: &Ask) -> String {
    let step = ask
        .spoken
        .fill(Phrase::StepOf, &[&ask.number.to_string(), &ask.of.to_string()]);
    format!("{step} · {}", ask.stage)
}

fn lay_ways(page: &mut Page, ask: &Ask) {
    let (ways, lines): (&[AnswerOption], &[String]) = match &ask.expects {
        Expects::OneOf(ways) => (ways, &[]),
        Expects::OneOfOrLine { ways, lines } => (ways, lines),
        _ => return,
    };
    page.blank();
    let ways = &folded(ways);
    let key_width = ways
        .iter()
        .map(|way| columns(&visible(&way.key)))
        .max()
        .unwrap_or(0);
    for way in ways {
        let key = visible(&way.key);
        let pad = " ".repeat(key_width - columns(&key));
        // hanging under the words, unless a long key would leave them no room
        let indent = if key_width + 4 < page.width / 2 {
            key_width + 4
        } else {
            4
        };
        page.paragraph(&format!("  {key}{pad}  {}", way.words), &" ".repeat(indent), None);
    }
    if lines.len() > MANY_LINES {
        let line = ask.spoken.fill(Phrase::OrALine, &[&lines.join(" · ")]);
        page.paragraph(&format!("  {line}"), "    ", None);
        return;
    }
    for line in lines {
        let line = ask.spoken.fill(Phrase::OrALine, &[line]);
        page.paragraph(&format!("  {line}"), "    ", None);
    }
}

/// More examples of lines than this stand behind each other.
const MANY_LINES: usize = 2;

/// Ways whose keys count on from 1 and that mean the same, as one.
fn folded(ways: &[AnswerOption]) -> Vec<AnswerOption> {
    let counted = ways.iter().zip(1..).take_while(|(way, n)| {
        way.key == n.to_string() && ways.first().is_some_and(|first| first.words == way.words)
    });
    let count = counted.count();
    let mut all = ways.to_vec();
    if let (Some(first), true) = (ways.first(), count > 1) {
        let all_of_them = AnswerOption {
            key: format!("1 to {count}"),
            words: first.words.clone(),
        };
        all.splice(..count, [all_of_them]);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::sample::plate;
    use crate::procedure::{Table, Why};
    use proptest::prelude::*;

    fn caution() -> Ask {
        Ask {
            kind: StepKind::Caution,
            words: vec!["Never run the engine with one driven wheel on the ground.".into()],
            expects: Expects::Acknowledge,
            table: None,
            ..plate()
        }
    }

    fn widest(text: &str) -> usize {
        text.lines().map(columns).max().unwrap()
    }

    #[test]
    fn the_step_the_stage_the_limit_and_the_unit_are_in_sight() {
        let text = screen(&plate(), 80, false);
        assert!(text.starts_with("Step 41 of 148 · Measure\n"), "{text}");
        for fact in ["With: micrometer M1", "Mind: at least 1.90 mm", "G2     1.96 mm"] {
            assert!(text.contains(fact), "{fact} is missing in\n{text}");
        }
        assert!(
            text.ends_with("\nPlate G3, reading 2 of 3 (mm, such as 1.98)\n"),
            "{text}"
        );
    }

    #[test]
    fn a_full_question_has_no_more_than_twenty_lines_at_eighty_columns() {
        let text = screen(&plate(), 80, false);
        assert!(text.lines().count() <= 20, "{text}");
    }

    #[test]
    fn no_line_is_wider_than_the_screen() {
        for width in [20, 40, 80, 120] {
            assert!(widest(&screen(&plate(), width, false)) <= width);
            assert!(widest(&why_screen(&plate(), width, false)) <= width);
        }
    }

    #[test]
    fn a_line_never_ends_between_a_number_and_its_unit() {
        for width in 20..100 {
            let text = screen(&plate(), width, false);
            for line in text.lines() {
                assert!(!line.trim_start().starts_with("mm"), "width {width}:\n{text}");
            }
        }
    }

    #[test]
    fn a_table_too_wide_becomes_one_paragraph_a_row() {
        let text = screen(&plate(), 30, false);
        assert!(text.contains("Plate: G2; Reading 1: 1.96 mm;\n"), "{text}");
    }

    #[test]
    fn a_caution_stands_out_in_words() {
        let text = screen(&caution(), 80, false);
        assert!(text.contains("CAUTION: Never run the engine"), "{text}");
        assert!(text.contains("type yes"), "{text}");
        let wordless = Ask {
            words: vec![],
            ..caution()
        };
        assert!(screen(&wordless, 80, false).contains("CAUTION"));
    }

    #[test]
    fn colour_adds_escapes_and_nothing_else() {
        for ask in [plate(), caution()] {
            let coloured = screen(&ask, 80, true);
            assert!(coloured.contains('\x1b'));
            let mut bare = coloured;
            for code in ["\x1b[1m", "\x1b[1;31m", "\x1b[0m"] {
                bare = bare.replace(code, "");
            }
            assert_eq!(bare, screen(&ask, 80, false));
        }
    }

    #[test]
    fn the_keys_stand_under_the_question_with_what_they_mean() {
        let ask = Ask {
            expects: Expects::OneOfOrLine {
                ways: vec![
                    AnswerOption {
                        key: "accept".into(),
                        words: "build it so".into(),
                    },
                    AnswerOption {
                        key: "next".into(),
                        words: "show the next one".into(),
                    },
                ],
                lines: vec!["swap A1 A4".into()],
            },
            ..plate()
        };
        let text = screen(&ask, 80, false);
        assert!(
            text.contains("  accept  build it so\n  next    show the next one\n"),
            "{text}"
        );
        assert!(text.contains("or a line such as: swap A1 A4"), "{text}");
        assert!(question(&ask, "", 80, false).contains("accept"));
    }

    #[test]
    fn the_names_that_may_be_typed_are_shown() {
        let ask = Ask {
            expects: Expects::Names(vec!["A1".into(), "A2".into()]),
            ..plate()
        };
        assert!(screen(&ask, 80, false).contains("Names: A1 A2\n"));
    }

    #[test]
    fn a_second_round_is_told() {
        let mut ask = plate();
        ask.slot.round = 2;
        assert!(screen(&ask, 80, false).starts_with("Step 41 of 148 · Measure · round 2\n"));
        assert_eq!(
            step_line(&ask, "", 80, false),
            "Step 41 of 148 · Measure · round 2\n"
        );
    }

    #[test]
    fn text_from_a_file_cannot_steer_the_terminal() {
        let nasty = "\u{1b}[2J\u{202E}x\u{7}".to_string();
        let ask = Ask {
            stage: nasty.clone(),
            words: vec![nasty.clone()],
            tools: vec![nasty.clone()],
            limits: vec![nasty.clone()],
            table: Some(Table {
                head: vec![nasty.clone()],
                rows: vec![vec![nasty.clone()]],
            }),
            drawing: vec![nasty.clone()],
            prompt: nasty.clone(),
            expects: Expects::OneOf(vec![AnswerOption {
                key: nasty.clone(),
                words: nasty.clone(),
            }]),
            why: Why {
                reason: nasty.clone(),
                formula: vec![nasty.clone()],
            },
            ..plate()
        };
        let said = [Feedback {
            tone: Tone::Plain,
            words: nasty.clone(),
        }];
        let refusal = Refusal {
            words: nasty.clone(),
            sure: false,
            suggests: false,
        };
        for text in [
            screen(&ask, 80, false),
            why_screen(&ask, 80, false),
            said_screen(&said, 80, false),
            refusal_screen(&refusal, &Spoken::default(), 80, false),
        ] {
            assert!(!text.contains(['\u{1b}', '\u{202E}', '\u{7}']), "{text:?}");
            assert!(text.contains("[U+001B][2J[U+202E]x[U+0007]"), "{text}");
        }
    }

    #[test]
    fn a_drawing_keeps_its_spaces() {
        let ask = Ask {
            drawing: vec!["  |  A1 |".into(), "     G1".into()],
            ..plate()
        };
        assert!(screen(&ask, 80, false).contains("\n  |  A1 |\n     G1\n"));
    }

    #[test]
    fn why_shows_the_reason_and_the_numbers_put_in() {
        let text = why_screen(&plate(), 80, false);
        assert!(text.contains("A plate wears where it slips most."));
        assert!(text.contains("0.02 mm = 2.00 mm - 1.98 mm"));
        let none = Ask {
            why: Why::default(),
            ..plate()
        };
        assert!(why_screen(&none, 80, false).contains("No reason is written down"));
    }

    #[test]
    fn an_odd_answer_is_confirmed_by_a_word() {
        let odd = Refusal {
            words: "19.8 mm: did you mean 1.98?".into(),
            sure: true,
            suggests: true,
        };
        assert!(refusal_screen(&odd, &Spoken::default(), 80, false).contains("as it stands, type sure."));
        assert!(refusal_screen(&odd, &Spoken::default(), 80, false).contains("Type yes if so."));
        let wrong = Refusal { sure: false, ..odd };
        assert!(!refusal_screen(&wrong, &Spoken::default(), 80, false).contains("sure"));
    }

    proptest! {
        #[test]
        fn whatever_the_words_no_line_is_too_wide(
            words in proptest::collection::vec(any::<String>(), 0..4),
            cells in proptest::collection::vec(proptest::collection::vec("\\PC{0,12}", 0..5), 0..4),
            drawing in any::<String>(),
            width in 20_usize..100,
        ) {
            let ask = Ask {
                words,
                table: Some(Table { head: vec!["Plate".into(), "Thickness".into()], rows: cells }),
                drawing: vec![drawing],
                ..plate()
            };
            let text = screen(&ask, width, false);
            prop_assert!(widest(&text) <= width, "{} > {width}\n{text}", widest(&text));
        }
    }
}
