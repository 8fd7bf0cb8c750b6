//! A form that was filled in by hand, typed in box by box.

use super::control::{Word, control, help, typed};
use super::lines::Lines;
use super::question::{refusal_screen, said_screen, screen, why_screen};
use super::rail::is_row;
use super::{BenchError, Front};
use crate::procedure::{Ask, Expects, Feedback, LEFT_EMPTY, Refusal, Reply, short_name};
use crate::quantity::visible;
use crate::record::form::Form;
use crate::record::phrase::{Phrase, Spoken};
use std::io::{BufRead, Write};

/// Typing in a form that was filled in by hand: a line a box, in the order of the numbers on the form, with the number,
/// the short name and the unit as the whole prompt.
///
/// An empty line means that the box is empty: then the reason is asked for where the box may be left out, and the line
/// is refused where it may not. A tick is `x`. What is decided with a table before one's eyes (the choice, the
/// verdicts, the signatures) is shown whole. The control words of line mode hold here too.
pub struct Paper<R, W> {
    lines: Lines<R, W>,
    form: Form,
    stage: String,
}

impl<R: BufRead, W: Write> Paper<R, W> {
    /// Takes lines from a line front-end, with the numbers of a form.
    pub fn new(lines: Lines<R, W>, form: Form) -> Paper<R, W> {
        Paper {
            lines,
            form,
            stage: String::new(),
        }
    }

    /// The number of the box, its short name, and what is wanted.
    fn prompt(&self, ask: &Ask) -> String {
        let slot = &ask.slot;
        let mut prompt = match self.form.number(slot) {
            Some(number) => number.to_string(),
            None => "-".to_string(),
        };
        if slot.round > 1 {
            prompt.push_str(&format!(" (copy {})", slot.round));
        }
        prompt.push(' ');
        prompt.push_str(&short_name(&slot.step));
        if let Some(item) = &slot.item {
            prompt.push(' ');
            prompt.push_str(item);
        }
        if let Some(point) = slot.point {
            prompt.push_str(&format!(" no. {point}"));
        }
        let wanted = match &ask.expects {
            Expects::Acknowledge => ask
                .spoken
                .fill(Phrase::WhenInitialled, &[ask.spoken.answer("yes")]),
            Expects::Done => ask.spoken.say(Phrase::WhenTicked).to_string(),
            Expects::YesNo => format!("{}, {}", ask.spoken.answer("yes"), ask.spoken.answer("no")),
            Expects::Quantity { unit, .. } => (*unit).to_string(),
            Expects::OneOf(ways) | Expects::OneOfOrLine { ways, .. } => ways
                .iter()
                .map(|way| way.key.as_str())
                .collect::<Vec<_>>()
                .join(", "),
            Expects::Names(_) => ask.spoken.fill(Phrase::SameOrNames, &[ask.spoken.answer("same")]),
            Expects::Line { wanted } => wanted.clone(),
            Expects::Text { .. } => String::new(),
        };
        if !wanted.is_empty() {
            prompt.push_str(&format!(" [{wanted}]"));
        }
        if let Some(before) = &ask.before {
            prompt.push_str(&format!(" ({})", ask.spoken.fill(Phrase::BeforeKept, &[before])));
        }
        format!("{} > ", visible(&prompt))
    }

    /// What an empty box comes to; nothing where the box has to be asked for again.
    fn empty(&mut self, ask: &Ask) -> Result<Option<Reply>, BenchError> {
        let optional = matches!(ask.expects, Expects::Text { optional: true });
        // Enter alone would leave out the boxes that go with it, which have a box of their own here
        if optional && ask.may_skip && ask.before.is_none() {
            return Ok(Some(Reply::Skip(LEFT_EMPTY.to_string())));
        }
        if ask.before.is_some() || optional {
            return Ok(Some(Reply::Answer(String::new())));
        }
        if !ask.may_skip {
            let phrase = match ask.expects {
                Expects::Done => Phrase::BoxNotTicked,
                _ => Phrase::BoxEmpty,
            };
            let (pause, _) = ask.spoken.control("pause", "");
            let words = ask.spoken.fill(phrase, &[&format!("!{pause}")]);
            self.lines.write(&format!("{words}\n"))?;
            return Ok(None);
        }
        self.lines
            .write(&format!("  {} > ", ask.spoken.say(Phrase::EmptyWhy)))?;
        let reason = self.lines.line()?.unwrap_or_default();
        let reason = reason.trim();
        Ok((!reason.is_empty()).then(|| Reply::Skip(reason.to_string())))
    }
}

impl<R: BufRead, W: Write> Front for Paper<R, W> {
    fn ask(&mut self, ask: &Ask) -> Result<Reply, BenchError> {
        self.speak(&ask.spoken);
        if ask.stage != self.stage {
            self.stage.clone_from(&ask.stage);
            self.lines.write(&format!("\n{}\n", visible(&ask.stage)))?;
            if let Some(mark) = ask.spoken.mark() {
                self.lines.write(&format!("{mark}\n"))?;
            }
        }
        if ask.table.is_some()
            || !ask.drawing.is_empty() && matches!(ask.expects, Expects::OneOfOrLine { .. })
        {
            let whole = screen(ask, self.lines.width, self.lines.colour);
            self.lines.write(&format!("\n{whole}"))?;
        }
        let prompt = self.prompt(ask);
        loop {
            self.lines.write(&prompt)?;
            let Some(line) = self.lines.line()? else {
                self.lines
                    .write(&format!("\n{}\n", ask.spoken.say(Phrase::Paused)))?;
                return Ok(Reply::Pause);
            };
            let bare = line.trim();
            match control(&line, &ask.spoken) {
                Ok(Word::Answer) if bare.is_empty() => {
                    if let Some(reply) = self.empty(ask)? {
                        return Ok(reply);
                    }
                }
                Ok(Word::Answer) if ask.expects == Expects::Done && bare.eq_ignore_ascii_case("x") => {
                    return Ok(Reply::Answer("done".to_string()));
                }
                Ok(Word::Answer) if ask.rail.as_ref().is_some_and(|rail| is_row(rail, &line)) => {
                    return Ok(Reply::Row(line));
                }
                Ok(Word::Answer) => return Ok(Reply::Answer(typed(ask, &line))),
                Ok(Word::Reply(reply)) => {
                    if reply == Reply::Pause {
                        self.lines
                            .write(&format!("{}\n", ask.spoken.say(Phrase::Paused)))?;
                    }
                    return Ok(reply);
                }
                Ok(Word::Help) => self.lines.write(&help(&ask.spoken))?,
                Err(words) => self.refuse(&Refusal {
                    words,
                    sure: false,
                    suggests: false,
                })?,
            }
        }
    }

    fn say(&mut self, said: &[Feedback]) -> Result<(), BenchError> {
        let text = said_screen(said, self.lines.width, self.lines.colour);
        self.lines.write(&text)
    }

    fn refuse(&mut self, refusal: &Refusal) -> Result<(), BenchError> {
        let text = refusal_screen(refusal, &self.lines.spoken, self.lines.width, self.lines.colour);
        self.lines.write(&text)
    }

    fn why(&mut self, ask: &Ask) -> Result<(), BenchError> {
        let whole = screen(ask, self.lines.width, self.lines.colour);
        let why = why_screen(ask, self.lines.width, self.lines.colour);
        self.lines.write(&format!("\n{whole}\n{why}"))
    }

    fn speak(&mut self, spoken: &Spoken) {
        self.lines.speak(spoken);
    }

    fn confirm(&mut self, question: &str, default: bool) -> Result<bool, BenchError> {
        self.lines.confirm(question, default)
    }

    fn finish(&mut self) -> Result<(), BenchError> {
        self.lines.finish()
    }
}
