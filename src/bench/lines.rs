//! Questions as plain lines, for pipes and for terminals that can do little.

use super::control::{Word, completed, control, help, typed};
use super::page::{Page, Paint};
use super::question::{prompt, refusal_screen, said_screen, screen, step_line, why_screen};
use super::rail::{Gauge, PRESSED, changed_rows, listed, over, under};
use super::{BenchError, Front};
use crate::procedure::{Ask, Feedback, Rail, Refusal, Reply};
use crate::quantity::visible;
use crate::record::Slot;
use crate::record::phrase::{Phrase, Spoken};
use std::io::{BufRead, IsTerminal, Read, Write};
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::time::{Duration, Instant};

/// More than anyone types; a line longer than this is refused instead of filling the memory.
const LONGEST_LINE: usize = 64 * 1024;

/// Line mode: plain text out, a line in for each answer. It is what a pipe gets, and what a screen reader reads best.
///
/// A line that starts with `!` is a control word. The end of the input means pause: every answer before it counts.
pub struct Lines<R, W> {
    input: R,
    output: W,
    pub(super) width: usize,
    pub(super) colour: bool,
    told_of_help: bool,
    /// Whether a terminal shows what is typed, and so ends the line of the prompt.
    shown: bool,
    /// The question that something was asked beside: it is not put whole again.
    asked: Option<Slot>,
    /// Whether the rail stands above: then only what changes of it is told.
    on_rail: bool,
    gauge: Gauge,
    /// The language of the last question.
    pub(super) spoken: Spoken,
}

impl Lines<StoppableInput, std::io::Stdout> {
    /// Line mode on the standard input and output, where Ctrl-C means pause as well.
    ///
    /// # Errors
    /// When the signal cannot be listened to.
    pub fn on_standard(width: usize, colour: bool) -> Result<Self, BenchError> {
        let shown = std::io::stdin().is_terminal();
        Ok(Lines {
            shown,
            // what comes from a pipe comes all at once
            gauge: Gauge::settling(if shown { PRESSED } else { Duration::ZERO }),
            ..Lines::new(StoppableInput::standard()?, std::io::stdout(), width, colour)
        })
    }
}

impl<R: BufRead, W: Write> Lines<R, W> {
    /// Reads lines from `input`, which no terminal shows, and writes prompts, `width` columns wide, to `output`.
    pub fn new(input: R, output: W, width: usize, colour: bool) -> Self {
        Lines {
            input,
            output,
            width,
            colour,
            told_of_help: false,
            shown: false,
            asked: None,
            on_rail: false,
            gauge: Gauge::default(),
            spoken: Spoken::default(),
        }
    }

    /// What has been written to, for the tests and for a front-end that is done.
    pub fn into_output(self) -> W {
        self.output
    }

    pub(super) fn write(&mut self, text: &str) -> Result<(), BenchError> {
        self.output.write_all(text.as_bytes())?;
        self.output.flush()?;
        Ok(())
    }

    /// The next line without its end, or nothing at the end of the input.
    pub(super) fn line(&mut self) -> Result<Option<String>, BenchError> {
        loop {
            let mut bytes = Vec::new();
            let most = u64::try_from(LONGEST_LINE).unwrap_or(u64::MAX);
            if self.input.by_ref().take(most).read_until(b'\n', &mut bytes)? == 0 {
                return Ok(None);
            }
            if !self.shown {
                self.write("\n")?;
            }
            if bytes.len() == LONGEST_LINE && !bytes.ends_with(b"\n") {
                self.rest_of_line()?;
                self.write("Not taken: the line is far too long. Again: > ")?;
                continue;
            }
            match String::from_utf8(bytes) {
                Ok(text) => return Ok(Some(text.trim_end_matches(['\r', '\n']).to_string())),
                Err(_) => self.write("Not taken: the line is not UTF-8 text. Again: > ")?,
            }
        }
    }

    fn rest_of_line(&mut self) -> Result<(), BenchError> {
        loop {
            let seen = self.input.fill_buf()?;
            let end = seen.iter().position(|byte| *byte == b'\n');
            let used = end.map_or(seen.len(), |at| at + 1);
            let over = end.is_some() || seen.is_empty();
            self.input.consume(used);
            if over {
                return Ok(());
            }
        }
    }
}

impl<R: BufRead, W: Write> Lines<R, W> {
    fn question(&mut self, ask: &Ask) -> Result<(), BenchError> {
        let text = if self.asked.take().as_ref() == Some(&ask.slot) {
            // the question stands a line or two above: what was asked beside it has just been answered
            format!("{}{}\n", step_line(ask, "", self.width, self.colour), prompt(ask))
        } else {
            screen(ask, self.width, self.colour)
        };
        self.write(&format!("\n{text}"))
    }

    /// What stands before the next row: the whole rail once, then what the last line changed.
    fn rail(&mut self, ask: &Ask, rail: &Rail) -> Result<(), BenchError> {
        let mut page = Page::new(self.width, self.colour);
        if self.on_rail {
            page.drawn(&changed_rows(rail));
            page.paragraph(&rail.next, "", Some(Paint::Head));
            return self.write(&page.text());
        }
        self.on_rail = true;
        page.drawn(&listed(rail));
        let text = format!(
            "\n{}{}{}",
            over(ask, rail, self.width, self.colour),
            page.text(),
            under(ask, rail, self.width, self.colour)
        );
        let mut page = Page::new(self.width, self.colour);
        page.paragraph(ask.spoken.say(Phrase::RailHint), "", None);
        page.paragraph(&rail.next, "", Some(Paint::Head));
        self.write(&format!("{text}{}", page.text()))
    }
}

impl<R: BufRead, W: Write> Front for Lines<R, W> {
    fn ask(&mut self, ask: &Ask) -> Result<Reply, BenchError> {
        self.speak(&ask.spoken);
        let rail = ask.rail.as_ref().filter(|rail| rail.by_rows);
        self.on_rail &= rail.is_some();
        if let Some(rail) = rail {
            self.rail(ask, rail)?;
        } else {
            self.question(ask)?;
        }
        if !self.told_of_help {
            self.told_of_help = true;
            let help = format!("!{}", ask.spoken.control("help", "").0);
            let hint = ask.spoken.fill(Phrase::HelpHint, &[&help]);
            self.write(&format!("{hint}\n"))?;
        }
        loop {
            self.write("> ")?;
            let Some(line) = self.line()? else {
                self.write(&format!("\n{}\n", ask.spoken.say(Phrase::Paused)))?;
                return Ok(Reply::Pause);
            };
            match control(&line, &ask.spoken) {
                Ok(Word::Answer) => match rail {
                    Some(rail) => match self.gauge.too_soon(rail, &line, Instant::now()) {
                        None => return Ok(Reply::Row(line)),
                        Some(refusal) => self.refuse(&refusal)?,
                    },
                    None => return Ok(Reply::Answer(typed(ask, &line))),
                },
                Ok(Word::Reply(reply)) => {
                    match reply {
                        Reply::Pause => self.write(&format!("{}\n", ask.spoken.say(Phrase::Paused)))?,
                        Reply::Take | Reply::Look | Reply::Hint | Reply::Words(_) => {
                            self.asked = Some(ask.slot.clone())
                        }
                        _ => {}
                    }
                    return Ok(reply);
                }
                Ok(Word::Help) => self.write(&help(&ask.spoken))?,
                Err(words) => self.refuse(&Refusal {
                    words,
                    sure: false,
                    suggests: false,
                })?,
            }
        }
    }

    fn say(&mut self, said: &[Feedback]) -> Result<(), BenchError> {
        let text = said_screen(said, self.width, self.colour);
        self.write(&text)
    }

    fn refuse(&mut self, refusal: &Refusal) -> Result<(), BenchError> {
        let text = refusal_screen(refusal, &self.spoken, self.width, self.colour);
        self.write(&text)
    }

    fn why(&mut self, ask: &Ask) -> Result<(), BenchError> {
        let text = why_screen(ask, self.width, self.colour);
        self.write(&format!("\n{text}"))
    }

    fn speak(&mut self, spoken: &Spoken) {
        self.spoken.clone_from(spoken);
    }

    fn confirm(&mut self, question: &str, default: bool) -> Result<bool, BenchError> {
        let spoken = self.spoken.clone();
        let [yes, no] = ["yes", "no"].map(|word| spoken.answer(word));
        let wanted = spoken.fill(Phrase::EnterIs, &[yes, no, if default { yes } else { no }]);
        let question = visible(question).into_owned();
        loop {
            self.write(&format!("{question} ({wanted})\n> "))?;
            let Some(line) = self.line()? else {
                self.write("\n")?;
                return Err(BenchError::Stopped);
            };
            let typed = completed(&crate::procedure::Expects::YesNo, &line, &spoken);
            let typed = typed.trim();
            match spoken.answer_in_english(typed).unwrap_or(typed) {
                "" => return Ok(default),
                "yes" => return Ok(true),
                "no" => return Ok(false),
                _ => {
                    let why = spoken.fill(Phrase::YesOrNoWanted, &[yes, no]);
                    self.write(&format!("{}\n", spoken.fill(Phrase::NotTaken, &[&why])))?;
                }
            }
        }
    }

    fn finish(&mut self) -> Result<(), BenchError> {
        Ok(())
    }
}

/// The standard input, which ends when Ctrl-C is pressed: a pause between two lines, not a death within one.
///
/// A thread reads ahead by one line at most. A second Ctrl-C ends the process at once with code 130, should anything
/// be stuck.
pub struct StoppableInput {
    lines: Receiver<std::io::Result<Vec<u8>>>,
    line: Vec<u8>,
    used: usize,
    ended: bool,
}

impl StoppableInput {
    /// Starts to listen to the standard input and to Ctrl-C.
    fn standard() -> std::io::Result<StoppableInput> {
        let (send, lines) = sync_channel(0);
        stop_on_interrupt(send.clone())?;
        std::thread::spawn(move || {
            let mut input = std::io::stdin().lock();
            loop {
                let mut line = Vec::new();
                let most = u64::try_from(LONGEST_LINE).unwrap_or(u64::MAX);
                let read = input.by_ref().take(most).read_until(b'\n', &mut line);
                let over = !matches!(read, Ok(n) if n > 0);
                if send.send(read.map(|_| line)).is_err() || over {
                    return;
                }
            }
        });
        Ok(StoppableInput {
            lines,
            line: Vec::new(),
            used: 0,
            ended: false,
        })
    }
}

/// Sends an empty line, which stands for the end of the input, when Ctrl-C is pressed.
fn stop_on_interrupt(send: SyncSender<std::io::Result<Vec<u8>>>) -> std::io::Result<()> {
    use signal_hook::consts::SIGINT;
    let pressed = std::sync::Arc::new(std::sync::atomic::AtomicBool::new(false));
    // the order matters: the first press only sets the flag, the second finds it set
    signal_hook::flag::register_conditional_shutdown(SIGINT, 130, pressed.clone())?;
    signal_hook::flag::register(SIGINT, pressed)?;
    #[cfg(unix)]
    {
        let mut signals = signal_hook::iterator::Signals::new([SIGINT])?;
        std::thread::spawn(move || {
            if signals.forever().next().is_some() {
                // nobody listens any more: then there is nothing to stop
                let _unheard = send.send(Ok(Vec::new()));
            }
        });
    }
    #[cfg(not(unix))]
    drop(send);
    Ok(())
}

impl Read for StoppableInput {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        let ready = self.fill_buf()?;
        let n = ready.len().min(into.len());
        into[..n].copy_from_slice(&ready[..n]);
        self.consume(n);
        Ok(n)
    }
}

impl BufRead for StoppableInput {
    fn fill_buf(&mut self) -> std::io::Result<&[u8]> {
        if self.used == self.line.len() && !self.ended {
            self.line = self.lines.recv().unwrap_or_else(|_| Ok(Vec::new()))?;
            self.used = 0;
            self.ended = self.line.is_empty();
        }
        Ok(&self.line[self.used..])
    }

    fn consume(&mut self, amount: usize) {
        self.used = (self.used + amount).min(self.line.len());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::CONTROL_WORDS;
    use crate::bench::sample::{plate, wanting};
    use crate::procedure::{AnswerOption, Expects, Tone};

    fn front(input: &[u8]) -> Lines<&[u8], Vec<u8>> {
        Lines::new(input, Vec::new(), 80, false)
    }

    /// The replies to one question asked again and again, up to the first pause, and all that was written.
    fn talk(input: &[u8], ask: &Ask) -> (Vec<Reply>, String) {
        let mut front = front(input);
        let mut replies = Vec::new();
        while replies.last() != Some(&Reply::Pause) {
            replies.push(front.ask(ask).unwrap());
        }
        (replies, String::from_utf8(front.into_output()).unwrap())
    }

    fn text(words: &str) -> Reply {
        Reply::Answer(words.into())
    }

    #[test]
    fn a_line_is_passed_on_as_it_was_typed() {
        let (replies, _) = talk(b"1.98\r\n 12 N m \n\n", &plate());
        assert_eq!(replies, [text("1.98"), text(" 12 N m "), text(""), Reply::Pause]);
    }

    #[test]
    fn the_last_line_needs_no_line_end() {
        assert_eq!(talk(b"1.98", &plate()).0, [text("1.98"), Reply::Pause]);
    }

    #[test]
    fn the_end_of_the_input_means_pause_and_says_so() {
        let (replies, told) = talk(b"", &plate());
        assert_eq!(replies, [Reply::Pause]);
        assert!(
            told.ends_with(&format!("{}\n", Phrase::Paused.english())),
            "{told}"
        );
    }

    #[test]
    fn control_words_become_replies() {
        let (replies, told) = talk(
            b"!back\n!why\n!note black oil\n!skip no gauge\n!pause\n",
            &plate(),
        );
        let wanted = [
            Reply::Back,
            Reply::Why,
            Reply::Note("black oil".into()),
            Reply::Skip("no gauge".into()),
            Reply::Pause,
        ];
        assert_eq!(replies, wanted);
        assert!(
            told.ends_with(&format!("{}\n", Phrase::Paused.english())),
            "{told}"
        );
    }

    #[test]
    fn an_unknown_control_word_is_refused_with_the_list_and_asked_again() {
        let (replies, told) = talk(b"!quit\n1.98\n", &plate());
        assert_eq!(replies, [text("1.98"), Reply::Pause]);
        assert!(told.contains("Not taken: \"!quit\" is no control word"), "{told}");
    }

    #[test]
    fn help_lists_the_control_words_and_asks_on() {
        let (replies, told) = talk(b"!help\n1.98\n", &plate());
        assert_eq!(replies, [text("1.98"), Reply::Pause]);
        for (word, meaning) in CONTROL_WORDS {
            assert!(
                told.contains(word) && told.contains(meaning),
                "{word} is missing in\n{told}"
            );
        }
    }

    #[test]
    fn the_question_stands_before_the_place_to_type() {
        let (_, told) = talk(b"", &plate());
        assert!(told.contains("Step 41 of 148 · Measure\n"), "{told}");
        assert!(
            told.contains(
                "Plate G3, reading 2 of 3 (mm, such as 1.98)\n(!help shows what else can be typed)\n> "
            ),
            "{told}"
        );
        assert!(!told.contains('\u{1b}'), "{told}");
    }

    #[test]
    fn where_no_terminal_shows_what_is_typed_each_prompt_has_its_line() {
        let (_, told) = talk(b"!help\n!quit\n1.98\n", &plate());
        for (at, _) in told.match_indices("> ") {
            assert!(told[at + 2..].starts_with('\n'), "{told}");
        }
        assert_eq!(told.lines().filter(|line| *line == "> ").count(), 4, "{told}");
    }

    #[test]
    fn the_beginning_of_a_key_gives_the_key() {
        let way = |key: &str| AnswerOption {
            key: key.into(),
            words: String::new(),
        };
        let ask = wanting(Expects::OneOf(vec![way("accept"), way("alter")]));
        assert_eq!(talk(b"al\na\n", &ask).0, [text("alter"), text("a"), Reply::Pause]);
    }

    #[test]
    fn a_bare_enter_does_not_say_yes_to_a_caution() {
        assert_eq!(
            talk(b"\ny\nyes\n", &wanting(Expects::Acknowledge)).0,
            [text(""), text("y"), text("yes"), Reply::Pause]
        );
    }

    #[test]
    fn bytes_that_are_no_text_are_refused() {
        let (replies, told) = talk(b"1.9\xff8\n1.98\n", &plate());
        assert_eq!(replies, [text("1.98"), Reply::Pause]);
        assert!(told.contains("not UTF-8"), "{told}");
    }

    #[test]
    fn a_line_far_too_long_is_refused_whole() {
        let mut input = vec![b'1'; 3 * LONGEST_LINE];
        input.extend(b"\n1.98\n");
        let (replies, told) = talk(&input, &plate());
        assert_eq!(replies, [text("1.98"), Reply::Pause]);
        assert_eq!(told.matches("far too long").count(), 1, "{told}");
    }

    #[test]
    fn what_is_said_refused_and_explained_is_written() {
        let mut front = front(b"");
        front
            .say(&[Feedback {
                tone: Tone::Bad,
                words: "below the limit".into(),
            }])
            .unwrap();
        front
            .refuse(&Refusal {
                words: "12 Nm is a torque".into(),
                sure: false,
                suggests: false,
            })
            .unwrap();
        front.why(&plate()).unwrap();
        front.finish().unwrap();
        let told = String::from_utf8(front.into_output()).unwrap();
        assert!(
            told.starts_with("below the limit\nNot taken: 12 Nm is a torque\n\nWhy this is asked\n"),
            "{told}"
        );
    }

    #[test]
    fn a_question_of_no_step_takes_yes_no_or_its_default() {
        for (input, default, wanted) in [
            ("y\n", false, true),
            ("no\n", true, false),
            ("\n", true, true),
            ("\n", false, false),
            ("1.98\nyes\n", false, true),
        ] {
            assert_eq!(
                front(input.as_bytes()).confirm("Go on?", default).unwrap(),
                wanted,
                "{input:?}"
            );
        }
        assert!(matches!(
            front(b"").confirm("Go on?", true),
            Err(BenchError::Stopped)
        ));
    }
}
