//! The way in which questions are put to a person, whatever the job.

use super::arguments::Asking;
use super::failure::Failure;
use super::load::read_text;
use super::output::{width, write_out};
use crate::bench::{Answers, BenchError, Front, Interactive, Lines, interactive_possible, terminal_width};
use crate::procedure::{Ask, Feedback, Reply, Tone};
use crate::record::Slot;
use crate::record::phrase::{Phrase, Spoken};
use crate::screen::filled;
use crate::workshop::Glossary;

/// The way in which questions are put: an answers file, a terminal, or plain lines.
pub(crate) fn front(asking: &Asking, quiet: bool) -> Result<Box<dyn Front>, Failure> {
    if let Some(path) = &asking.answers {
        let text = read_text(path)?;
        let answers = Answers::parse(&text.text, &text.name)?;
        return Ok(if quiet {
            Box::new(answers)
        } else {
            Box::new(answers.telling(std::io::stdout()))
        });
    }
    if !asking.plain && interactive_possible() {
        return Ok(Box::new(Interactive::new(asking.in_colours())?));
    }
    Ok(Box::new(Lines::on_standard(
        terminal_width(),
        asking.in_colours(),
    )?))
}

/// Puts a question with the words of the trade that it has, until something is replied that goes to who asks: the why
/// and the words are told here. A front-end that was stopped pauses.
pub(crate) fn put(front: &mut dyn Front, mut ask: Ask) -> Result<(Slot, Reply), Failure> {
    let glossary = Glossary::in_language(&ask.spoken.language);
    let terms = glossary.terms_in(&ask.words.join(" "));
    ask.terms = terms.into_iter().map(str::to_string).collect();
    loop {
        match front.ask(&ask) {
            Ok(Reply::Why) => front.why(&ask)?,
            Ok(Reply::Words(term)) => front.say(&plain(glossary.answer(&term).join("\n")))?,
            Ok(reply) => return Ok((ask.slot, reply)),
            Err(BenchError::Stopped) => return Ok((ask.slot, Reply::Pause)),
            Err(error) => return Err(error.into()),
        }
    }
}

/// Words that are told as they are.
pub(super) fn plain(words: String) -> [Feedback; 1] {
    [Feedback {
        tone: Tone::Plain,
        words,
    }]
}

/// Whether a job that was begun and is not finished is gone on with, asked in its language.
pub(super) fn goes_on(front: &mut dyn Front, spoken: &Spoken, name: &str) -> Result<bool, Failure> {
    front.speak(spoken);
    Ok(front.confirm(&spoken.fill(Phrase::NotFinished, &[name]), true)?)
}

/// Says that a job goes on in the language in which it was begun, where another was asked for.
pub(super) fn say_language(asked: Option<&str>, spoken: &Spoken) -> Result<(), Failure> {
    let begun = &spoken.language;
    if let Some(wanted) = asked.filter(|wanted| wanted != begun) {
        let words = format!(
            "note: this build was begun in the language {begun} and goes on so, not in {wanted}; --new begins another\n"
        );
        write_out(&words, true)?;
    }
    Ok(())
}

/// Tells before the first question what is in another language and what is not.
pub(super) fn tell_opening(spoken: &Spoken) -> Result<(), Failure> {
    match spoken.opening() {
        Some(words) => write_out(&filled(&words, width()), false),
        None => Ok(()),
    }
}
