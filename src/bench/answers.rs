use super::control::{Word, completed, control};
use super::screen::{said_screen, why_screen};
use super::{BenchError, Fault, Front};
use crate::procedure::{Ask, Refusal, Reply, Said, Slot};
use std::collections::VecDeque;
use std::io::Write;

/// The width of what an answers file's run tells; it goes to a file or a log as often as to a screen.
const WIDTH: usize = 80;

/// Answers written down beforehand, in the order of the questions.
///
/// One answer a line: the name of the question, `=`, the answer. An empty line and a line that starts with `#` count
/// for nothing. The control words of line mode may stand for an answer; after `!note` and `!why` the same question is
/// asked again, so the next line is for it too. Names and answers that begin or end with a space, hold a line break
/// or start with a sign of this format stand in double quotes, with `\"`, `\\`, `\n`, `\r`, `\t` and `\u{1b}` inside
/// as in Rust; what stands in quotes is never a control word.
///
/// Nothing is guessed: an answer for another question than the one asked, one too few and one too many are errors. An
/// answer that is odd but possible is taken when its line stands there twice.
///
/// ```
/// use shimwright::bench::Answers;
/// let file = "# readings of plate G3\nplate-thickness/G3/1 = 1.98\nplate-thickness/G3/2 = 1,97 mm\n";
/// assert!(Answers::parse(file, "g3.answers").is_ok());
/// assert!(Answers::parse("plate-thickness 1.98", "g3.answers").is_err());
/// ```
pub struct Answers {
    name: String,
    left: VecDeque<Entry>,
    last: Option<(Slot, Entry)>,
    out: Option<Box<dyn Write>>,
}

#[derive(Clone, PartialEq, Eq, Debug)]
struct Entry {
    line: usize,
    slot: String,
    reply: Reply,
}

impl Answers {
    /// Reads the text of an answers file; `name` is what errors call it.
    ///
    /// # Errors
    /// [`BenchError::Malformed`] with every line that cannot be read.
    pub fn parse(text: &str, name: &str) -> Result<Answers, BenchError> {
        let name = super::visible(name).into_owned();
        let mut left = VecDeque::new();
        let mut faults = Vec::new();
        let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
        for (at, raw) in text.lines().enumerate() {
            let line = raw.trim();
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            match entry(line) {
                Ok((slot, reply)) => left.push_back(Entry {
                    line: at + 1,
                    slot,
                    reply,
                }),
                Err(words) => faults.push(Fault {
                    line: at + 1,
                    text: raw.to_string(),
                    words,
                }),
            }
        }
        if !faults.is_empty() {
            return Err(BenchError::Malformed { name, faults });
        }
        Ok(Answers {
            name,
            left,
            last: None,
            out: None,
        })
    }

    /// Writes what the answers lead to to `out`; without this nothing is written.
    pub fn telling(mut self, out: impl Write + 'static) -> Answers {
        self.out = Some(Box::new(out));
        self
    }

    fn tell(&mut self, text: &str) -> Result<(), BenchError> {
        if let Some(out) = &mut self.out {
            out.write_all(text.as_bytes())?;
            out.flush()?;
        }
        Ok(())
    }
}

impl Front for Answers {
    fn ask(&mut self, ask: &Ask) -> Result<Reply, BenchError> {
        let Some(next) = self.left.pop_front() else {
            return Err(BenchError::TooShort {
                name: self.name.clone(),
                wanted: ask.slot.clone(),
                after: self.last.as_ref().map_or(0, |(_, entry)| entry.line),
            });
        };
        if next.slot != ask.slot.to_string() {
            return Err(BenchError::OutOfStep {
                name: self.name.clone(),
                line: next.line,
                found: next.slot,
                wanted: ask.slot.clone(),
            });
        }
        self.tell(&format!("{}\n", answers_line(&ask.slot, &next.reply)))?;
        let reply = match &next.reply {
            Reply::Answer(text) => Reply::Answer(completed(&ask.expects, text)),
            other => other.clone(),
        };
        self.last = Some((ask.slot.clone(), next));
        Ok(reply)
    }

    fn say(&mut self, said: &[Said]) -> Result<(), BenchError> {
        self.tell(&said_screen(said, WIDTH, false))
    }

    fn refuse(&mut self, refusal: &Refusal) -> Result<(), BenchError> {
        let Some((slot, entry)) = &self.last else {
            return Ok(());
        };
        let again = self
            .left
            .front()
            .is_some_and(|next| next.slot == entry.slot && next.reply == entry.reply);
        if refusal.sure && again {
            return Ok(());
        }
        Err(BenchError::Refused {
            name: self.name.clone(),
            line: entry.line,
            slot: slot.clone(),
            words: refusal.words.clone(),
            sure: refusal.sure,
        })
    }

    fn why(&mut self, ask: &Ask) -> Result<(), BenchError> {
        self.tell(&why_screen(ask, WIDTH, false))
    }

    /// The file has no line for a question that belongs to no step: the default is taken.
    fn confirm(&mut self, _question: &str, default: bool) -> Result<bool, BenchError> {
        Ok(default)
    }

    fn finish(&mut self) -> Result<(), BenchError> {
        match self.left.front() {
            None => Ok(()),
            Some(next) => Err(BenchError::LeftOver {
                name: self.name.clone(),
                line: next.line,
                count: self.left.len(),
            }),
        }
    }
}

/// One line of an answers file, without its line break, which [`Answers::parse`] reads back as it was.
///
/// ```
/// use shimwright::bench::answers_line;
/// use shimwright::procedure::{Reply, Slot};
/// let slot = Slot { round: 1, step: "oil".into(), item: None, point: None };
/// assert_eq!(answers_line(&slot, &Reply::Answer("black".into())), "oil = black");
/// assert_eq!(answers_line(&slot, &Reply::Answer("!black".into())), "oil = \"!black\"");
/// ```
pub fn answers_line(slot: &Slot, reply: &Reply) -> String {
    let name = slot.to_string();
    let name = if name.is_empty() || name.contains('=') || name.starts_with('#') {
        quoted(&name)
    } else {
        quoted_if_needed(&name)
    };
    let text = match reply {
        Reply::Answer(text) if text.starts_with('!') => quoted(text),
        Reply::Answer(text) => quoted_if_needed(text),
        Reply::Back => "!back".into(),
        Reply::Why => "!why".into(),
        Reply::Pause => "!pause".into(),
        Reply::Note(text) => format!("!note {}", quoted_unless_empty(text)),
        Reply::Skip(text) => format!("!skip {}", quoted_unless_empty(text)),
    };
    format!("{name} = {text}").trim_end().to_string()
}

/// Without any words there must still be something behind `!note`.
fn quoted_unless_empty(text: &str) -> String {
    if text.is_empty() {
        quoted(text)
    } else {
        quoted_if_needed(text)
    }
}

fn quoted_if_needed(text: &str) -> String {
    let plain = text.trim() == text && !text.starts_with('"') && *text == *super::visible(text);
    if plain { text.to_string() } else { quoted(text) }
}

fn quoted(text: &str) -> String {
    let mut out = String::from('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            c if *super::visible(c.encode_utf8(&mut [0; 4])) != *c.encode_utf8(&mut [0; 4]) => {
                out.push_str(&format!("\\u{{{:x}}}", u32::from(c)));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Reads `name = answer`.
fn entry(line: &str) -> Result<(String, Reply), String> {
    const WANTED: &str = "a line is the name of the question, =, the answer";
    let (name, rest) = if line.starts_with('"') {
        let (name, rest) = unquoted(line)?;
        let rest = rest
            .trim_start()
            .strip_prefix('=')
            .ok_or_else(|| format!("there is no \"=\"; {WANTED}"))?;
        (name, rest)
    } else {
        let (name, rest) = line
            .split_once('=')
            .ok_or_else(|| format!("there is no \"=\"; {WANTED}"))?;
        (name.trim().to_string(), rest)
    };
    if name.is_empty() {
        return Err(format!("there is no name before \"=\"; {WANTED}"));
    }
    Ok((name, answer(rest.trim())?))
}

fn answer(text: &str) -> Result<Reply, String> {
    if text.starts_with('"') {
        return Ok(Reply::Answer(whole(text)?));
    }
    // the words behind a control word may stand in quotes as well
    if let Some((word @ ("!note" | "!skip"), words)) = text.split_once(char::is_whitespace) {
        let words = words.trim();
        if words.starts_with('"') {
            let words = whole(words)?;
            return Ok(if word == "!note" {
                Reply::Note(words)
            } else {
                Reply::Skip(words)
            });
        }
    }
    match control(text)? {
        Word::Reply(reply) => Ok(reply),
        Word::Help => Err("!help has no use in a file".into()),
        Word::Answer => Ok(Reply::Answer(text.to_string())),
    }
}

/// A text in quotes with nothing behind it.
fn whole(text: &str) -> Result<String, String> {
    match unquoted(text)? {
        (text, "") => Ok(text),
        (_, rest) => Err(format!("\"{rest}\" stands behind the closing quote")),
    }
}

/// Takes a text in quotes off the front and gives it with the rest.
fn unquoted(text: &str) -> Result<(String, &str), String> {
    let mut out = String::new();
    let mut chars = text.char_indices().skip(1);
    while let Some((at, c)) = chars.next() {
        match c {
            '"' => return Ok((out, &text[at + 1..])),
            '\\' => match chars.next().map(|(_, c)| c) {
                Some('n') => out.push('\n'),
                Some('r') => out.push('\r'),
                Some('t') => out.push('\t'),
                Some(c @ ('"' | '\\')) => out.push(c),
                Some('u') => {
                    let digits: String = chars.by_ref().map(|(_, c)| c).take_while(|c| *c != '}').collect();
                    let c = digits
                        .strip_prefix('{')
                        .and_then(|digits| u32::from_str_radix(digits, 16).ok())
                        .and_then(char::from_u32);
                    out.push(c.ok_or_else(|| {
                        format!("\"\\u{digits}\" is no character; it is written \\u{{1b}}")
                    })?);
                }
                Some(c) => {
                    return Err(format!(
                        "\"\\{c}\" is not known in quotes; a backslash is written \\\\"
                    ));
                }
                None => break,
            },
            c => out.push(c),
        }
    }
    Err("the closing quote is missing".into())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::procedure::{Expects, StepKind, Tone, Way, Why};
    use proptest::prelude::*;
    use std::cell::RefCell;
    use std::rc::Rc;

    fn slot(step: &str, item: Option<&str>, point: Option<u32>) -> Slot {
        Slot {
            round: 1,
            step: step.into(),
            item: item.map(Into::into),
            point,
        }
    }

    fn ask(slot: Slot, expects: Expects) -> Ask {
        Ask {
            slot,
            number: 1,
            of: 3,
            stage: "Measure".into(),
            kind: StepKind::Measure,
            words: vec![],
            tools: vec![],
            limits: vec![],
            table: None,
            drawing: vec![],
            prompt: "Thickness".into(),
            expects,
            why: Why {
                reason: "It wears.".into(),
                formula: vec![],
            },
            may_skip: true,
        }
    }

    fn thickness(point: u32) -> Ask {
        let expects = Expects::Quantity {
            unit: "mm",
            example: "1.98".into(),
        };
        ask(slot("thickness", Some("G3"), Some(point)), expects)
    }

    fn refused(words: &str, sure: bool) -> Refusal {
        Refusal {
            words: words.into(),
            sure,
        }
    }

    fn text(words: &str) -> Reply {
        Reply::Answer(words.into())
    }

    #[test]
    fn answers_come_in_their_order_and_as_they_were_written() {
        let file = "# plate G3\n\nthickness/G3/1 = 1.98\r\n  thickness/G3/2=1,97 mm  \n";
        let mut front = Answers::parse(file, "a").unwrap();
        assert_eq!(front.ask(&thickness(1)).unwrap(), text("1.98"));
        assert_eq!(front.ask(&thickness(2)).unwrap(), text("1,97 mm"));
        front.finish().unwrap();
    }

    #[test]
    fn an_answer_for_another_question_is_out_of_step() {
        let mut front = Answers::parse("# x\nthickness/G3/2 = 1.98", "a").unwrap();
        let error = front.ask(&thickness(1)).unwrap_err();
        assert!(
            matches!(&error, BenchError::OutOfStep { name, line: 2, found, wanted }
                if name == "a" && found == "thickness/G3/2" && *wanted == thickness(1).slot),
            "{error:?}"
        );
        assert_eq!(
            error.to_string(),
            "a, line 2: this is an answer for \"thickness/G3/2\", but \"thickness/G3/1\" is asked"
        );
    }

    #[test]
    fn a_file_too_short_says_what_was_asked_and_where_it_ended() {
        let mut front = Answers::parse("thickness/G3/1 = 1.98\n\n", "a").unwrap();
        front.ask(&thickness(1)).unwrap();
        let error = front.ask(&thickness(2)).unwrap_err();
        assert!(
            matches!(&error, BenchError::TooShort { wanted, after: 1, .. } if *wanted == thickness(2).slot),
            "{error:?}"
        );
    }

    #[test]
    fn answers_that_nobody_asked_for_are_counted() {
        let mut front = Answers::parse("thickness/G3/1 = 1\n#\nx = 2\ny = 3\n", "a").unwrap();
        front.ask(&thickness(1)).unwrap();
        let error = front.finish().unwrap_err();
        assert!(
            matches!(
                error,
                BenchError::LeftOver {
                    line: 3,
                    count: 2,
                    ..
                }
            ),
            "{error:?}"
        );
    }

    #[test]
    fn every_line_that_cannot_be_read_is_named_at_once() {
        let file = "thickness 1.98\nok = 1\n= 2\nx = !quit\nx = \"open\nx = \"a\" b\nx = !help\nx = !note\nx = \"\\q\"\n\"x\" 1\n";
        let Err(BenchError::Malformed { name, faults }) = Answers::parse(file, "a") else {
            panic!("it was read");
        };
        assert_eq!(name, "a");
        assert_eq!(
            faults.iter().map(|fault| fault.line).collect::<Vec<_>>(),
            [1, 3, 4, 5, 6, 7, 8, 9, 10]
        );
        assert_eq!(faults[0].text, "thickness 1.98");
        assert!(faults[2].words.contains("!quit"), "{:?}", faults[2]);
        let words = BenchError::Malformed { name, faults }.to_string();
        assert!(words.contains("line 10: there is no \"=\""), "{words}");
    }

    #[test]
    fn control_words_stand_for_an_answer_and_a_note_does_not_use_the_question_up() {
        let file = "thickness/G3/1 = !note oil was black\nthickness/G3/1 = !why\nthickness/G3/1 = !skip no gauge\n\
                    thickness/G3/2 = !back\nthickness/G3/1 = !pause\n";
        let mut front = Answers::parse(file, "a").unwrap();
        assert_eq!(
            front.ask(&thickness(1)).unwrap(),
            Reply::Note("oil was black".into())
        );
        assert_eq!(front.ask(&thickness(1)).unwrap(), Reply::Why);
        front.why(&thickness(1)).unwrap();
        assert_eq!(front.ask(&thickness(1)).unwrap(), Reply::Skip("no gauge".into()));
        assert_eq!(front.ask(&thickness(2)).unwrap(), Reply::Back);
        assert_eq!(front.ask(&thickness(1)).unwrap(), Reply::Pause);
        front.finish().unwrap();
    }

    #[test]
    fn what_stands_in_quotes_is_never_a_control_word() {
        let mut front = Answers::parse("thickness/G3/1 = \"!back\"", "a").unwrap();
        assert_eq!(front.ask(&thickness(1)).unwrap(), text("!back"));
    }

    #[test]
    fn a_refused_answer_ends_the_run_with_its_line() {
        let mut front = Answers::parse("thickness/G3/1 = 12 Nm\nthickness/G3/1 = 12 Nm\n", "a").unwrap();
        front.ask(&thickness(1)).unwrap();
        let error = front.refuse(&refused("12 Nm is a torque", false)).unwrap_err();
        assert!(
            matches!(&error, BenchError::Refused { line: 1, slot, words, sure: false, .. }
                if *slot == thickness(1).slot && words == "12 Nm is a torque"),
            "{error:?}"
        );
    }

    #[test]
    fn an_odd_answer_is_taken_when_its_line_stands_there_twice() {
        let mut front = Answers::parse("thickness/G3/1 = 19.8\nthickness/G3/1 = 19.8\n", "a").unwrap();
        front.ask(&thickness(1)).unwrap();
        front.refuse(&refused("did you mean 1.98?", true)).unwrap();
        assert_eq!(front.ask(&thickness(1)).unwrap(), text("19.8"));
        front.finish().unwrap();
    }

    #[test]
    fn an_odd_answer_followed_by_another_is_refused() {
        for second in ["thickness/G3/1 = 1.98", "thickness/G3/2 = 19.8", ""] {
            let file = format!("thickness/G3/1 = 19.8\n{second}\n");
            let mut front = Answers::parse(&file, "a").unwrap();
            front.ask(&thickness(1)).unwrap();
            let error = front.refuse(&refused("did you mean 1.98?", true)).unwrap_err();
            assert!(
                matches!(
                    error,
                    BenchError::Refused {
                        line: 1,
                        sure: true,
                        ..
                    }
                ),
                "{error:?}"
            );
        }
    }

    #[test]
    fn the_beginning_of_a_key_is_completed_as_on_a_screen() {
        let ways = vec![Way {
            key: "accept".into(),
            words: String::new(),
        }];
        let mut front = Answers::parse("plan = acc", "a").unwrap();
        assert_eq!(
            front
                .ask(&ask(slot("plan", None, None), Expects::OneOf(ways)))
                .unwrap(),
            text("accept")
        );
    }

    #[test]
    fn a_question_of_no_step_takes_its_default() {
        let mut front = Answers::parse("", "a").unwrap();
        assert!(front.confirm("Go on?", true).unwrap());
        assert!(!front.confirm("Go on?", false).unwrap());
    }

    #[derive(Clone, Default)]
    struct Log(Rc<RefCell<Vec<u8>>>);

    impl Write for Log {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0.borrow_mut().write(bytes)
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn the_run_can_be_told_as_it_goes() {
        let log = Log::default();
        let mut front = Answers::parse("thickness/G3/1 = 1.98", "a")
            .unwrap()
            .telling(log.clone());
        front.ask(&thickness(1)).unwrap();
        front
            .say(&[Said {
                tone: Tone::Good,
                words: "1.98 mm is inside".into(),
            }])
            .unwrap();
        front.why(&thickness(1)).unwrap();
        let told = String::from_utf8(log.0.borrow().clone()).unwrap();
        assert_eq!(
            told,
            "thickness/G3/1 = 1.98\n1.98 mm is inside\nWhy this is asked\nIt wears.\n"
        );
    }

    fn replies() -> impl Strategy<Value = Reply> {
        // words behind a control word are never empty and stand without spaces around them, as they are typed
        let words = any::<String>().prop_filter("a person types something", |text| !text.is_empty());
        prop_oneof![
            any::<String>().prop_map(Reply::Answer),
            "[!#\"= a-c\\\\\r\n\t]{0,8}".prop_map(Reply::Answer),
            Just(Reply::Back),
            Just(Reply::Why),
            Just(Reply::Pause),
            words.clone().prop_map(Reply::Note),
            words.prop_map(Reply::Skip),
        ]
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back(
            step in any::<String>(),
            item in proptest::option::of("[!#\"= a-c\\\\\r\n/]{0,6}"),
            point in proptest::option::of(1_u32..9),
            reply in replies(),
        ) {
            let asked = Slot { round: 1, step, item, point };
            prop_assume!(!asked.to_string().is_empty());
            let line = answers_line(&asked, &reply);
            prop_assert_eq!(line.lines().count(), 1, "{}", line);
            let mut front = Answers::parse(&line, "a").unwrap();
            prop_assert_eq!(front.ask(&ask(asked, Expects::Text { optional: true })).unwrap(), reply);
        }

        #[test]
        fn no_text_at_all_makes_the_reader_fall_over(file in any::<String>()) {
            let _either = Answers::parse(&file, "a");
        }
    }
}
