//! Half jobs of practice: what is given is answered by a careful hand, in the same record and marked there as given.

use super::book_log::BookLog;
use super::clock::Clock;
use super::failure::Failure;
use super::output::{width, write_out};
use crate::book::Journal;
use crate::practice::{CAREFUL_HAND, GeneratedUnit, StartAt};
use crate::procedure::{Ask, Reply, SURE, Session, StepKind};
use crate::record::Entry;
use crate::record::phrase::Phrase;
use crate::screen::filled;

/// What the note begins with by which a run that is gone on with is known.
const NOTED: &str = "given: ";

/// A half job.
pub(crate) struct HalfJob<'a> {
    /// The unit.
    pub made: &'a GeneratedUnit,
    /// What is given.
    pub start: StartAt,
    /// Whose job it is, where that was said.
    pub by: Option<&'a str>,
    /// Whether a hand types the answers.
    pub by_hand: bool,
    /// Whether nothing is told.
    pub quiet: bool,
    /// The time of what is given.
    pub clock: &'a Clock,
}

/// What of a run is given, by its record.
pub(crate) fn start_of(journal: &Journal) -> StartAt {
    let noted = journal.entries().iter().find_map(|text| {
        let Ok(Entry::Noted { text, .. }) = Entry::from_json(text) else {
            return None;
        };
        StartAt::ALL
            .into_iter()
            .find(|(_, word, _)| text == format!("{NOTED}{word}"))
            .map(|(start, ..)| start)
    });
    noted.unwrap_or(StartAt::Begin)
}

/// What is given, told before the first question.
pub(crate) fn told(made: &GeneratedUnit, start: StartAt) -> String {
    if start == StartAt::Begin {
        return String::new();
    }
    let pack = match made.pack_in_hand(start) {
        Some(side) => format!(" Of the packs the {side} one is yours."),
        None => String::new(),
    };
    filled(
        &format!(
            "GIVEN: {}. The record says so.{pack} !show tells the readings that were taken for you.",
            start.told()
        ),
        width(),
    )
}

/// Writes down what of a run is given.
pub(crate) fn mark(
    session: &mut Session,
    journal: &mut Journal,
    (clock, log): (&Clock, &mut BookLog<'_>),
    start: StartAt,
) -> Result<(), Failure> {
    if start == StartAt::Begin {
        return Ok(());
    }
    let note = Reply::Note(format!("{NOTED}{}", start.word()));
    write(session, journal, (clock, log), &note).map(|_| ())
}

/// Writes a reply down and takes it in; whether it was taken.
fn write(
    session: &mut Session,
    journal: &mut Journal,
    (clock, log): (&Clock, &mut BookLog<'_>),
    reply: &Reply,
) -> Result<bool, Failure> {
    let mut taken = session.answer(reply, &clock.time());
    if taken.as_ref().is_err_and(|refusal| refusal.sure) {
        taken = session.answer(&Reply::Answer(SURE.to_string()), &clock.time());
    }
    let Ok(mut taken) = taken else {
        return Ok(false);
    };
    log.append(journal, &mut taken.entries)?;
    session.take(&taken);
    Ok(!taken.entries.is_empty())
}

/// A caution of a stage that is given: it is read all the same.
fn caution(ask: &Ask) -> String {
    let mut words = ask.words.clone();
    let mind = |limit: &String| format!("{}.", ask.spoken.fill(Phrase::Mind, &[limit]));
    words.extend(ask.limits.iter().map(mind));
    let text = ask.spoken.fill(Phrase::CautionGiven, &[&words.join(" ")]);
    let mark = ask.spoken.mark();
    let mark = mark.map(|mark| filled(&mark, width())).unwrap_or_default();
    format!("\n{mark}{}", filled(&text, width()))
}

/// Whether the last thing that was done was to go back.
fn went_back(journal: &Journal) -> bool {
    let last = journal.entries().last().map(|text| Entry::from_json(text));
    matches!(last, Some(Ok(Entry::Reopened { .. })))
}

impl HalfJob<'_> {
    /// Answers whatever is given until the next question is the apprentice's.
    pub fn give(
        &self,
        session: &mut Session,
        journal: &mut Journal,
        log: &mut BookLog<'_>,
    ) -> Result<(), Failure> {
        let mut giver = None;
        let mut one_by_one = false;
        // who goes back comes to an answer of their own, and not to one that would be given again at once
        let mut back = self.start != StartAt::Begin && went_back(journal);
        while let Some(ask) = session.ask() {
            if back {
                if self.reply(session, &ask).is_none() {
                    break;
                }
                back = write(session, journal, (self.clock, log), &Reply::Back)?;
                continue;
            }
            if ask.slot.step == "who" && self.by.is_some() {
                let name = Reply::Answer(self.by.unwrap_or_default().to_string());
                if !write(session, journal, (self.clock, log), &name)? {
                    break;
                }
                continue;
            }
            // rows where a hand types rows, so that none is left half answered; else one question at a time
            let on_rail = self.by_hand && ask.rail.is_some();
            if on_rail && one_by_one {
                session.by_hand(true);
                one_by_one = false;
                continue;
            }
            let Some(reply) = self.reply(session, &ask) else {
                break;
            };
            if giver.is_none() {
                giver = Some(session.built_by().to_string());
                self.works(session, journal, log, CAREFUL_HAND)?;
            }
            if !on_rail && self.by_hand && !one_by_one {
                one_by_one = true;
                session.by_hand(false);
                continue;
            }
            if ask.kind == StepKind::Caution && !self.quiet {
                write_out(&caution(&ask), false)?;
            }
            // what it can not answer is the apprentice's after all
            if !write(session, journal, (self.clock, log), &reply)? {
                break;
            }
        }
        if let Some(name) = giver {
            self.works(session, journal, log, &name)?;
            session.by_hand(self.by_hand);
        }
        Ok(())
    }

    fn reply(&self, session: &Session, ask: &Ask) -> Option<Reply> {
        match self.start {
            StartAt::Begin => None,
            start if ask.rail.as_ref().is_some_and(|rail| rail.by_rows) => {
                self.made.given_row(session, ask, start).map(Reply::Row)
            }
            start => self.made.given(session, ask, start),
        }
    }

    /// Says in the record who works from here on.
    fn works(
        &self,
        session: &mut Session,
        journal: &mut Journal,
        log: &mut BookLog<'_>,
        name: &str,
    ) -> Result<(), Failure> {
        if session.is_finished() || name.is_empty() {
            return Ok(());
        }
        write(session, journal, (self.clock, log), &Reply::Who(name.to_string())).map(|_| ())
    }
}
