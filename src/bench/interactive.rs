//! Questions on a terminal, with menus and with a screen for the longer ones.

use super::control::{Word, control, enter_is_an_answer, help, typed as typed_in};
use super::page::folded;
use super::question::{
    not_repeated, prompt, question, refusal_screen, said_screen, step_line, terminal_width, why_screen,
};
use super::rail::{Gauge, PRESSED};
use super::rail_rendered::OnScreen;
use super::terminal::{forget_typed_ahead, restore_on_signals};
use super::{BenchError, Front};
use crate::procedure::{AnswerOption, Ask, Expects, Feedback, Refusal, Reply};
use crate::quantity::visible;
use crate::record::phrase::{Phrase, Spoken};
use crate::screen::{columns as width_of, filled};
use inquire::ui::{Attributes, Color, ErrorMessageRenderConfig, RenderConfig, StyleSheet, Styled};
use inquire::validator::Validation;
use inquire::{InquireError, Select, Text};
use std::cell::{Cell, RefCell};
use std::collections::VecDeque;
use std::io::{IsTerminal, Write};
use std::rc::Rc;
use std::time::{Duration, Instant};

/// An instrument that ends its reading with two line ends sends the second one into the next prompt. An empty answer
/// that comes sooner than a hand can is therefore not taken.
const SETTLE: Duration = Duration::from_millis(150);

/// The words of a step are not put again where one of so many questions before had them.
const READ: usize = 2;

/// What Esc leads to, behind the number of each step: the library would draw it under the prompt, a line more each time.
fn keys(ask: &Ask) -> String {
    let said = |word| ask.spoken.control(word, "").0;
    let practice = match ask.practice {
        true => format!("!{}, !{}; ", said("take"), said("look")),
        false => String::new(),
    };
    let listed = ["back", "note", "why", "skip", "pause"];
    let listed = listed.iter().filter(|word| ask.may_skip || **word != "skip");
    let words: Vec<&str> = listed.map(|word| said(word)).collect();
    format!("{practice}Esc  {}", words.join(", "))
}

/// Questions on a terminal, one at a time.
///
/// Esc (or Ctrl-D) opens a list with everything that is not an answer, the control words work as in line mode, and
/// Ctrl-C means pause. Several lines pasted at once are handed on one by one to the questions that follow, up to a
/// refusal or a caution: there the rest is named and let go, so that no reading ends up under another plate. Keys
/// typed before a caution stood on the screen do not acknowledge it.
pub struct Interactive {
    pub(super) colour: bool,
    settle: Duration,
    shown: Option<Ask>,
    /// The last questions, which have been read.
    read: Vec<Ask>,
    pasted: VecDeque<String>,
    /// Whether the line that is being answered was pasted behind others.
    pasting: bool,
    pub(super) gauge: Gauge,
    pub(super) rail: OnScreen,
    /// The language of the last question.
    spoken: Spoken,
}

/// What came out of one prompt.
pub(super) enum Typed {
    Line(String),
    Menu,
    Stop,
}

/// Whether questions can be put on a screen: a terminal on all three standard streams (the keys come in on the first,
/// the prompts are drawn on the third), and one that can move its cursor.
pub fn interactive_possible() -> bool {
    let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    !dumb
        && std::io::stdin().is_terminal()
        && std::io::stdout().is_terminal()
        && std::io::stderr().is_terminal()
}

impl Interactive {
    /// Questions on this terminal, in colours or without.
    ///
    /// # Errors
    /// [`BenchError::NoTerminal`] where [`interactive_possible`] says no.
    pub fn new(colour: bool) -> Result<Interactive, BenchError> {
        if !interactive_possible() {
            return Err(BenchError::NoTerminal);
        }
        restore_on_signals()?;
        Ok(Interactive {
            colour,
            settle: SETTLE,
            shown: None,
            read: Vec::new(),
            pasted: VecDeque::new(),
            pasting: false,
            gauge: Gauge::settling(PRESSED),
            rail: OnScreen::default(),
            spoken: Spoken::default(),
        })
    }

    /// Takes no empty answer for this long after a prompt has opened; 150 ms without this.
    pub fn settling(mut self, settle: Duration) -> Interactive {
        self.settle = settle;
        self
    }

    /// Takes no bare digits for another plate for this long after a reading; 1.5 s without this.
    pub fn pressed(mut self, settle: Duration) -> Interactive {
        self.gauge = Gauge::settling(settle);
        self
    }

    /// The next of the rows that were pasted at once.
    pub(super) fn next_row(&mut self) -> Option<String> {
        let line = self.pasted.pop_front();
        self.pasting = line.is_some();
        line
    }

    /// Whether the row that is being answered was pasted behind another.
    pub(super) fn is_pasting(&self) -> bool {
        self.pasting
    }

    /// The first of the lines that were pasted at once; the others are rows to come.
    pub(super) fn keep_pasted(&mut self, text: &str) -> String {
        let mut lines = text.split(['\r', '\n']).map(str::trim);
        let first = lines.next().unwrap_or("").to_string();
        self.pasted
            .extend(lines.filter(|line| !line.is_empty()).map(str::to_string));
        first
    }

    /// The next question is put whole.
    pub(super) fn forget_shown(&mut self) {
        self.shown = None;
        self.read.clear();
    }

    /// Writes where the prompts are drawn, so that the two cannot get out of order.
    pub(super) fn write(&self, text: &str) -> Result<(), BenchError> {
        let mut out = std::io::stderr().lock();
        out.write_all(text.as_bytes())?;
        out.flush()?;
        Ok(())
    }

    fn show(&mut self, ask: &Ask) -> Result<(), BenchError> {
        let width = terminal_width();
        if self.shown.as_ref() == Some(ask) {
            // the question stands above already, with what was said about the last answer below it
            return self.write(&format!("\n{}", step_line(ask, &keys(ask), width, self.colour)));
        }
        let text = question(&not_repeated(ask, &self.read), &keys(ask), width, self.colour);
        self.write(&format!("\n{}\n", text.trim_end()))?;
        let rows = crossterm::terminal::size().map_or(24, |(_, rows)| usize::from(rows));
        if text.lines().count() + 4 > rows {
            self.write(&step_line(ask, &keys(ask), width, self.colour))?;
        }
        self.shown = Some(ask.clone());
        self.read.push(ask.clone());
        if self.read.len() > READ {
            self.read.remove(0);
        }
        Ok(())
    }

    /// The next of the lines that were pasted at once, if the question may take one.
    fn next_pasted(&mut self, ask: &Ask) -> Result<Option<String>, BenchError> {
        if ask.expects == Expects::Acknowledge {
            self.drop_pasted("a caution is acknowledged by hand")?;
        } else if ask.guarded {
            self.drop_pasted("a look that guards the build is answered by hand")?;
        }
        let Some(line) = self.pasted.pop_front() else {
            return Ok(None);
        };
        self.show(ask)?;
        self.write(&format!("> {} {}\n", prompt(ask), visible(&line)))?;
        Ok(Some(line))
    }

    /// Writes at once, or under the rows of the rail when it is drawn next.
    fn tell(&mut self, text: &str) -> Result<(), BenchError> {
        if self.rail.is_on() {
            self.rail.say(text);
            return Ok(());
        }
        self.write(text)
    }

    fn drop_pasted(&mut self, because: &str) -> Result<(), BenchError> {
        if self.pasted.is_empty() {
            return Ok(());
        }
        let lines: Vec<String> = self
            .pasted
            .drain(..)
            .map(|line| visible(&line).into_owned())
            .collect();
        let said = format!("Pasted and not used, for {because}: {}", lines.join(", "));
        self.tell(&filled(&said, terminal_width()))
    }

    /// Splits what was pasted: the first line is for the question that is open, the others for those after it.
    fn first_line(&mut self, ask: &Ask, text: &str) -> String {
        let mut lines = text
            .split(['\r', '\n'])
            .map(str::trim)
            .filter(|line| !line.is_empty());
        if !text.contains(['\r', '\n']) {
            return text.to_string();
        }
        if matches!(ask.expects, Expects::Text { .. }) {
            return lines.collect::<Vec<_>>().join(" ");
        }
        let first = lines.next().unwrap_or("").to_string();
        self.pasted.extend(lines.map(str::to_string));
        first
    }

    fn put(&self, ask: &Ask, draft: &Rc<RefCell<String>>) -> Result<Typed, BenchError> {
        let by_hand = ask.guarded || ask.expects == Expects::Acknowledge;
        if by_hand && forget_typed_ahead()? {
            return Ok(Typed::Stop);
        }
        match &ask.expects {
            _ if ask.guarded => self.line(&prompt(ask), Some(ask.spoken.say(Phrase::WholeWord)), "", draft),
            Expects::YesNo => {
                let ways = ["yes", "no"].map(|key| AnswerOption {
                    key: ask.spoken.answer(key).into(),
                    words: String::new(),
                });
                self.choose_or_keep(ask, &ways)
            }
            Expects::OneOf(ways) if !ways.is_empty() => self.choose_or_keep(ask, ways),
            Expects::Acknowledge => {
                let refused = ask.spoken.say(Phrase::NotByEnter);
                self.line(&prompt(ask), Some(refused), "", draft)
            }
            _ if enter_is_an_answer(ask) => self.line(&prompt(ask), None, "", draft),
            _ => self.line(
                &prompt(ask),
                Some(ask.spoken.say(Phrase::NothingTyped)),
                "",
                draft,
            ),
        }
    }

    /// A line of text. An empty one is met with `empty`, if there is such a message.
    pub(super) fn line(
        &self,
        message: &str,
        empty: Option<&'static str>,
        help: &str,
        draft: &Rc<RefCell<String>>,
    ) -> Result<Typed, BenchError> {
        let (opened, settle) = (Instant::now(), self.settle);
        let start = draft.borrow().clone();
        let shown = |text: &str| visible(text).into_owned();
        // what does not fit on the prompt's line stands over it: a prompt is drawn again when it is answered
        let (over, message) = parted(message);
        self.write(&over)?;
        let mark = mark_under(help);
        let typed = Text::new(&message)
            .with_initial_value(&start)
            .with_render_config(self.look(&mark))
            .with_autocomplete(Draft(draft.clone()))
            .with_formatter(&shown)
            .with_validator(move |text: &str| {
                let too_soon = text.is_empty() && opened.elapsed() < settle;
                Ok(match empty {
                    _ if too_soon => Validation::Invalid("an Enter as fast as this is not taken".into()),
                    Some(words) if text.trim().is_empty() => Validation::Invalid(words.into()),
                    _ => Validation::Valid,
                })
            })
            .prompt();
        self.typed(typed)
    }

    /// One of some ways from a list, with the cursor on the way that stood there before: Enter alone keeps it, with
    /// whatever was written behind it.
    fn choose_or_keep(&self, ask: &Ask, ways: &[AnswerOption]) -> Result<Typed, BenchError> {
        let message = visible(&ask.prompt);
        let Some(before) = &ask.before else {
            return self.choose(&message, ways, 0, "");
        };
        let mut ways = ways.to_vec();
        let at = ways.iter().position(|way| way.key == *before).unwrap_or_else(|| {
            // it was left out
            let as_before = AnswerOption {
                key: ask.spoken.say(Phrase::AsBeforeWay).to_string(),
                words: before.clone(),
            };
            ways.insert(0, as_before);
            0
        });
        let key = ways.get(at).map(|way| way.key.clone()).unwrap_or_default();
        Ok(match self.choose(&message, &ways, at, "")? {
            Typed::Line(line) if line == key => Typed::Line(String::new()),
            other => other,
        })
    }

    /// One of some ways from a list, by the arrows or by the first letters of its key; way `first` stands on top, under the
    /// cursor.
    fn choose(
        &self,
        message: &str,
        ways: &[AnswerOption],
        first: usize,
        help: &str,
    ) -> Result<Typed, BenchError> {
        let width = ways
            .iter()
            .map(|way| visible(&way.key).chars().count())
            .max()
            .unwrap_or(0);
        let (message, mark) = (message_on(message), mark_under(help));
        let columns = terminal_width();
        // hanging under the words, unless a long key would leave them no room
        let indent = if width + 5 < columns / 2 { width + 5 } else { 5 };
        loop {
            let opened = Instant::now();
            let typed = RefCell::new(String::new());
            let too_soon = Cell::new(false);
            let rows: Vec<String> = ways
                .iter()
                .map(|way| {
                    let row = format!("{:<width$}  {}", visible(&way.key), visible(&way.words));
                    // behind the arrow and a space
                    folded(row.trim_end(), columns, 3, indent)
                })
                // an empty list would let Enter do nothing without a word
                .chain(std::iter::once("(the line as it was typed)".to_string()))
                .collect();
            let starts = |text: &str, _: &String, _: &str, at: usize| {
                *typed.borrow_mut() = text.to_string();
                let start = text.lines().next().unwrap_or("").trim().to_lowercase();
                let fits = |way: &AnswerOption| {
                    let key = way.key.to_lowercase();
                    // whoever says no does not mean that it is not known
                    let denies = !start.is_empty() && "no".starts_with(&start) && key.starts_with("not ");
                    key.starts_with(&start) && !denies
                };
                let listed = ways.get(at).map_or_else(|| !ways.iter().any(fits), fits);
                // the way to start from stands first, because the cursor goes to the first row of every new list
                listed.then(|| i64::from(text.is_empty() && at == first))
            };
            let shown = |chosen: inquire::list_option::ListOption<&String>| {
                too_soon.set(typed.borrow().is_empty() && opened.elapsed() < self.settle);
                match ways.get(chosen.index) {
                    Some(way) if !too_soon.get() => visible(&way.key).into_owned(),
                    None => visible(&typed.borrow()).into_owned(),
                    _ => "(an Enter as fast as this is not taken)".to_string(),
                }
            };
            let chosen = Select::new(&message, rows)
                .with_scorer(&starts)
                .with_formatter(&shown)
                .with_page_size(ways.len().clamp(1, 12))
                .without_help_message()
                .with_render_config(self.look(&mark))
                .raw_prompt();
            let key = chosen.map(|chosen| match ways.get(chosen.index) {
                Some(way) => way.key.clone(),
                None => typed.borrow().lines().next().unwrap_or("").trim().to_string(),
            });
            match self.typed(key)? {
                Typed::Line(_) if too_soon.get() => {}
                Typed::Line(key) => {
                    // lines pasted into the list: the first one chose, the others are for the questions to come
                    let more: Vec<String> = typed.borrow().lines().skip(1).map(str::to_string).collect();
                    return Ok(Typed::Line(
                        std::iter::once(key).chain(more).collect::<Vec<_>>().join("\n"),
                    ));
                }
                other => return Ok(other),
            }
        }
    }

    fn typed(&self, result: Result<String, InquireError>) -> Result<Typed, BenchError> {
        match result {
            Ok(text) => Ok(Typed::Line(text)),
            Err(InquireError::OperationCanceled) => Ok(Typed::Menu),
            Err(InquireError::OperationInterrupted) => {
                self.write("\n")?;
                Ok(Typed::Stop)
            }
            Err(InquireError::NotTTY) => Err(BenchError::NoTerminal),
            Err(InquireError::IO(error)) => Err(error.into()),
            Err(other) => Err(std::io::Error::other(other.to_string()).into()),
        }
    }

    pub(super) fn paused(&self) -> Result<Reply, BenchError> {
        self.write(&format!("{}\n", self.spoken.say(Phrase::Paused)))?;
        Ok(Reply::Pause)
    }

    fn look<'l>(&self, mark: &'l str) -> RenderConfig<'l> {
        let not_taken = self.spoken.say(Phrase::NotTaken);
        look(self.colour, mark, not_taken.trim_end_matches("{}").trim_end())
    }

    /// Everything that is not an answer; nothing when the person goes back to the question.
    pub(super) fn menu(&self, ask: &Ask) -> Result<Option<Reply>, BenchError> {
        let mut ways = vec![
            ("answer", "go on with this question"),
            ("back", "open the answer before this one again"),
            ("note", "write a note into the record"),
            ("why", "say why this is asked"),
            ("words", "say what a word of the trade means"),
        ];
        if ask.practice {
            ways.push(("take", "what the instrument shows"));
            ways.push(("look", "what there is to see"));
            ways.push(("hint", "stage, part, test, answer; each has its price"));
        }
        if ask.may_skip {
            ways.push(("skip", "leave the question out, with a reason that is printed"));
        }
        ways.push(("pause", "stop here and go on another time"));
        // behind it, so that its first letter still means a pause
        ways.push(("picture", "show the unit in section, with the part marked"));
        let ways: Vec<AnswerOption> = ways
            .iter()
            .map(|(key, words)| {
                let (key, words) = match *key {
                    "answer" => (ask.spoken.say(Phrase::GoOnKey), ask.spoken.say(Phrase::GoOn)),
                    key => ask.spoken.control(key, words),
                };
                AnswerOption {
                    key: key.into(),
                    words: words.into(),
                }
            })
            .collect();
        loop {
            let chosen = match self.choose(
                ask.spoken.say(Phrase::Instead),
                &ways,
                0,
                ask.spoken.say(Phrase::EscGoesOn),
            )? {
                Typed::Line(key) => key,
                Typed::Menu => return Ok(None),
                Typed::Stop => return self.paused().map(Some),
            };
            let (message, reply): (Phrase, fn(String) -> Reply) =
                match ask.spoken.control_in_english(chosen.lines().next().unwrap_or("")) {
                    "back" => return Ok(Some(Reply::Back)),
                    "why" => return Ok(Some(Reply::Why)),
                    "picture" => return Ok(Some(Reply::Picture)),
                    "take" => return Ok(Some(Reply::Take)),
                    "look" => return Ok(Some(Reply::Look)),
                    "hint" => return Ok(Some(Reply::Hint)),
                    "pause" => return self.paused().map(Some),
                    "words" => (Phrase::WhichWord, Reply::Words),
                    "note" => (Phrase::Note, Reply::Note),
                    "skip" => (Phrase::WhyLeftOut, Reply::Skip),
                    _ => return Ok(None),
                };
            match self.line(
                ask.spoken.say(message),
                Some(ask.spoken.say(Phrase::FewWords)),
                ask.spoken.say(Phrase::NotAfterAll),
                &Rc::default(),
            )? {
                Typed::Line(words) => {
                    let words: Vec<&str> = words.lines().map(str::trim).collect();
                    return Ok(Some(reply(words.join(" ").trim().to_string())));
                }
                Typed::Menu => {}
                Typed::Stop => return self.paused().map(Some),
            }
        }
    }
}

impl Front for Interactive {
    fn ask(&mut self, ask: &Ask) -> Result<Reply, BenchError> {
        self.speak(&ask.spoken);
        if let Some(rail) = ask.rail.as_ref().filter(|rail| rail.by_rows) {
            return self.ask_row(ask, rail);
        }
        self.leave_rail()?;
        let draft: Rc<RefCell<String>> = Rc::default();
        let mut pasted = self.next_pasted(ask)?;
        if pasted.is_none() {
            self.show(ask)?;
        }
        loop {
            let typed = match pasted.take() {
                Some(line) => Typed::Line(line),
                None => self.put(ask, &draft)?,
            };
            let line = match typed {
                Typed::Line(text) => self.first_line(ask, &text),
                Typed::Stop => return self.paused(),
                Typed::Menu => match self.menu(ask)? {
                    Some(reply) => return Ok(reply),
                    None => {
                        self.show(ask)?;
                        continue;
                    }
                },
            };
            // a hand that is used to line mode finds its words here too
            match control(&line, &ask.spoken) {
                Ok(Word::Answer) => return Ok(Reply::Answer(typed_in(ask, &line))),
                Ok(Word::Reply(Reply::Pause)) => return self.paused(),
                Ok(Word::Reply(reply)) => return Ok(reply),
                Ok(Word::Help) => self.write(&help(&ask.spoken))?,
                Err(words) => self.refuse(&Refusal {
                    words,
                    sure: false,
                    suggests: false,
                })?,
            }
            draft.borrow_mut().clear();
        }
    }

    fn say(&mut self, said: &[Feedback]) -> Result<(), BenchError> {
        self.tell(&said_screen(said, terminal_width(), self.colour))
    }

    fn refuse(&mut self, refusal: &Refusal) -> Result<(), BenchError> {
        self.rail.row_refused();
        self.tell(&refusal_screen(
            refusal,
            &self.spoken,
            terminal_width(),
            self.colour,
        ))?;
        self.drop_pasted("the line before them was refused")
    }

    fn why(&mut self, ask: &Ask) -> Result<(), BenchError> {
        self.leave_rail()?;
        self.write(&format!("\n{}", why_screen(ask, terminal_width(), self.colour)))
    }

    fn speak(&mut self, spoken: &Spoken) {
        self.spoken.clone_from(spoken);
    }

    fn confirm(&mut self, question: &str, default: bool) -> Result<bool, BenchError> {
        self.leave_rail()?;
        let spoken = self.spoken.clone();
        let words = if default { ["yes", "no"] } else { ["no", "yes"] };
        let ways = words.map(|word| AnswerOption {
            key: spoken.answer(word).into(),
            words: String::new(),
        });
        match self.choose(&visible(question), &ways, 0, spoken.say(Phrase::StopHere))? {
            Typed::Line(key) => Ok(key.lines().next() == Some(spoken.answer("yes"))),
            Typed::Menu | Typed::Stop => Err(BenchError::Stopped),
        }
    }

    fn finish(&mut self) -> Result<(), BenchError> {
        self.leave_rail()?;
        self.drop_pasted("no question is left")
    }
}

/// The columns that a prompt leaves for a reading that is typed.
const TYPED: usize = 10;

/// The mark of a prompt under the line that says what else can be typed; the line goes when the prompt is answered.
fn mark_under(help: &str) -> String {
    match help {
        "" => ">".to_string(),
        help => format!("  {}\n>", folded(help, terminal_width(), 2, 2)),
    }
}

/// A prompt's message behind its sign and a space.
fn message_on(message: &str) -> String {
    folded(message, terminal_width().saturating_sub(TYPED), 2, 2)
}

/// A prompt's message in two, where it has no room on one line: the words over the prompt, and in it what is to be typed, which
/// stands in brackets at their end. A message that can not be parted so stands whole in the prompt.
pub(super) fn parted(message: &str) -> (String, String) {
    let columns = terminal_width();
    let room = columns.saturating_sub(TYPED + 2);
    if width_of(message) <= room {
        return (String::new(), message_on(message));
    }
    match message.rsplit_once(" (") {
        Some((over, tail)) if tail.ends_with(')') && width_of(tail) < room => {
            (format!("{}\n", folded(over, columns, 0, 0)), format!("({tail}"))
        }
        _ => (String::new(), message_on(message)),
    }
}

/// Remembers what has been typed, so that the way through the menu and back loses nothing.
#[derive(Clone)]
struct Draft(Rc<RefCell<String>>);

impl inquire::Autocomplete for Draft {
    fn get_suggestions(&mut self, input: &str) -> Result<Vec<String>, inquire::CustomUserError> {
        *self.0.borrow_mut() = input.to_string();
        Ok(Vec::new())
    }

    fn get_completion(
        &mut self,
        _: &str,
        _: Option<String>,
    ) -> Result<Option<String>, inquire::CustomUserError> {
        Ok(None)
    }
}

/// How the prompts look, with what stands before why an answer was not taken: the same few colours as the questions above them, or none.
fn look<'l>(colour: bool, mark: &'l str, not_taken: &'l str) -> RenderConfig<'l> {
    let bare = RenderConfig::empty()
        .with_prompt_prefix(Styled::new(mark))
        .with_answered_prompt_prefix(Styled::new(">"))
        .with_highlighted_option_prefix(Styled::new("->"))
        .with_canceled_prompt_indicator(Styled::new("(Esc)"))
        .with_error_message(ErrorMessageRenderConfig::empty().with_prefix(Styled::new(not_taken)));
    if !colour {
        return bare;
    }
    let bold = StyleSheet::new().with_attr(Attributes::BOLD);
    let mut look = bare.with_selected_option(Some(bold)).with_error_message(
        ErrorMessageRenderConfig::empty().with_prefix(
            Styled::new(not_taken)
                .with_fg(Color::DarkRed)
                .with_attr(Attributes::BOLD),
        ),
    );
    look.prompt = bold;
    look
}
