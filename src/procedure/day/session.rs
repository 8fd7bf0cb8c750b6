//! The session of a drive day: what is asked next, and what a reply leads to.

use super::answers::{Answers, DayJob, MOST_RUNS, run_of, slot, written};
use super::questions::{AGE, DRAWN, Per, Question, RUN, SETS, WHO, Wants, question_of};
use super::reads::Reading;
use super::words::{END, NEXT, NONE, UNSAID, said};
use crate::procedure::ask::{AnswerOption, Ask, Expects, Feedback, Refusal, Reply, Tone, Why};
use crate::procedure::correct::Correction;
use crate::procedure::definition::Step;
use crate::procedure::field::Field;
use crate::procedure::session::Accepted;
use crate::procedure::state::State;
use crate::procedure::typed::{Odd, Read, SURE, no, plain_text, surely};
use crate::quantity::{Dimension, Units};
use crate::record::driven::{Day, DrawnOrder, FELT};
use crate::record::phrase::Phrase;
use crate::record::{Entry, Slot, Value};
use std::collections::BTreeMap;
use std::rc::Rc;

/// A drive day as the fold of its entries.
#[derive(Clone, Debug)]
pub struct DaySession {
    answers: Answers,
    begun: String,
    odd: Option<Odd>,
}

/// A question in its place.
struct Planned<'p> {
    slot: Slot,
    stage: String,
    step: &'p Step,
    place: usize,
    question: &'static Question,
}

impl DaySession {
    /// Goes on from the entries of a day's journal; its first is the one that began it.
    pub fn resume(job: DayJob, entries: &[Entry]) -> DaySession {
        let fields = BTreeMap::from([(Field::BUILT_BY, WHO.to_string())]);
        let mut session = DaySession {
            answers: Answers {
                job: Rc::new(job),
                state: State::new(fields),
            },
            begun: String::new(),
            odd: None,
        };
        session.apply(entries);
        session
    }

    /// The order that was drawn before the day.
    pub fn drawn(&self) -> Option<&DrawnOrder> {
        self.answers.drawn()
    }

    /// The day as far as it is answered; `name` is its name in the book.
    pub fn day(&self, name: &str) -> Day {
        self.answers.day(name, &self.begun)
    }

    /// What the day started from.
    pub fn job(&self) -> &DayJob {
        &self.answers.job
    }

    /// Whether the last question has been answered.
    pub fn is_finished(&self) -> bool {
        self.answers.state.finished.is_some()
    }

    /// Whether it was put away, and counts for nothing.
    pub fn is_voided(&self) -> bool {
        self.answers.state.voided.is_some()
    }

    /// Takes entries in that have been written down.
    pub fn apply(&mut self, entries: &[Entry]) {
        for entry in entries {
            if let Entry::DayBegun { at, units, .. } = entry {
                self.begun.clone_from(at);
                self.answers.state.units = (*units).into();
            }
            self.answers.state.apply(entry);
            if !matches!(entry, Entry::Noted { .. }) {
                self.odd = None;
            }
        }
    }

    /// Every question as far as the answers show.
    fn plan(&self) -> Vec<Planned<'_>> {
        let mut plan = Vec::new();
        let steps: Vec<(&str, &Step, &'static Question)> = self
            .answers
            .job
            .procedure
            .steps()
            .filter_map(|(stage, step)| Some((stage.title.as_str(), step, question_of(&step.id)?)))
            .collect();
        let of_run = |question: &Question| matches!(question.per, Per::Next | Per::Run | Per::Lines);
        let mut put = |at: usize, stage: String, slot: Slot| {
            let (_, step, question) = steps[at];
            plan.push(Planned {
                slot,
                stage,
                step,
                place: at + 1,
                question,
            });
        };
        for (at, (stage, step, question)) in steps.iter().enumerate() {
            match question.per {
                Per::Day => put(at, (*stage).to_string(), slot(&step.id, None, None)),
                Per::Set => {
                    for set in self.answers.sets() {
                        put(at, (*stage).to_string(), slot(&step.id, Some(set.clone()), None));
                    }
                }
                Per::Next => {
                    for run in 1..=MOST_RUNS {
                        let item = Some(run.to_string());
                        let stage = format!(
                            "{} {run}",
                            self.answers.job.procedure.spoken.say(Phrase::RunPrompt)
                        );
                        let next = slot(&step.id, item.clone(), None);
                        let goes_on = self.is_word(&next, NEXT);
                        put(at, stage.clone(), next);
                        if !goes_on {
                            break;
                        }
                        for (behind, (_, step, question)) in steps.iter().enumerate().skip(at + 1) {
                            if !of_run(question) {
                                break;
                            }
                            if question.wants == Wants::Set && self.answers.sets().is_empty() {
                                continue;
                            }
                            if question.per != Per::Lines {
                                put(behind, stage.clone(), slot(&step.id, item.clone(), None));
                                continue;
                            }
                            for slot in self.lines(question, run) {
                                put(behind, stage.clone(), slot);
                            }
                        }
                    }
                }
                Per::Run | Per::Lines => {}
            }
        }
        plan
    }

    /// The questions of a run that are asked until nothing more is said.
    fn lines(&self, question: &Question, run: usize) -> Vec<Slot> {
        let item = Some(run.to_string());
        if question.wants == Wants::Struck {
            return match self.answers.laps(run).is_empty() {
                true => Vec::new(),
                false => vec![slot(question.id, item, None)],
            };
        }
        let mut slots = Vec::new();
        for point in 1.. {
            let line = slot(question.id, item.clone(), Some(point));
            let goes_on = self
                .answers
                .state
                .answers
                .get(&line)
                .is_some_and(|answer| matches!(answer.value, Value::Times(_)));
            slots.push(line);
            if !goes_on {
                break;
            }
        }
        slots
    }

    fn is_word(&self, slot: &Slot, wanted: &str) -> bool {
        let answer = self.answers.state.answers.get(slot);
        matches!(answer.map(|answer| &answer.value), Some(Value::Word { word, .. }) if word == wanted)
    }

    /// The question that is open.
    fn open(&self) -> Option<Planned<'_>> {
        if self.is_finished() {
            return None;
        }
        self.plan()
            .into_iter()
            .find(|planned| !self.answers.state.is_settled(&planned.slot))
    }

    /// The next question; `None` when there is none left.
    pub fn ask(&self) -> Option<Ask> {
        let planned = self.open()?;
        let Planned {
            slot, step, question, ..
        } = &planned;
        let spoken = &self.answers.job.procedure.spoken;
        let kept = self
            .kept(slot, question)
            .map(|(before, stood)| (said(spoken, question.wants, &before), stood));
        let item = slot.item.as_deref().unwrap_or("");
        let what = spoken.say(question.prompt);
        let mut prompt = match question.per {
            Per::Day => what.to_string(),
            Per::Set => format!("{what}, {item}"),
            Per::Next => format!("{what} {item}"),
            Per::Run | Per::Lines => spoken.fill(Phrase::OfRun, &[what, item]),
        };
        if let Some((before, stood)) = &kept {
            prompt.push_str(&match stood {
                true => format!(" ({})", spoken.fill(Phrase::BeforeKept, &[before])),
                false => format!(" ({})", spoken.fill(Phrase::EnterTakes, &[before])),
            });
        }
        Some(Ask {
            slot: slot.clone(),
            number: planned.place,
            of: self.answers.job.procedure.steps().count(),
            stage: planned.stage.clone(),
            kind: step.kind,
            words: step.words.clone(),
            tools: step.tools.clone(),
            limits: self.limits(slot, question),
            table: None,
            drawing: Vec::new(),
            prompt,
            expects: self.expects(step, question),
            before: kept.map(|(before, _)| before),
            guarded: false,
            why: Why {
                reason: step.why.clone(),
                formula: Vec::new(),
            },
            may_skip: false,
            later: false,
            again: false,
            alone: false,
            practice: false,
            rail: None,
            terms: Vec::new(),
            spoken: spoken.clone(),
        })
    }

    /// What stands beside a question.
    fn limits(&self, slot: &Slot, question: &Question) -> Vec<String> {
        let run = run_of(slot);
        match question.wants {
            Wants::Times => {
                let laps = self.answers.laps(run);
                let mut limits = vec!["as 1:12.345 or 72.345 or 72,345".to_string()];
                if let (Some(last), count @ 1..) = (laps.last(), laps.len()) {
                    limits.push(format!("laps so far: {count}, the last {}", written(*last)));
                }
                limits
            }
            Wants::Struck => {
                let all: Vec<String> = self
                    .answers
                    .laps(run)
                    .iter()
                    .enumerate()
                    .map(|(at, lap)| {
                        let struck = self.answers.struck(run, at + 1).map_or("", |_| " struck");
                        format!("{} {}{struck}", at + 1, written(*lap))
                    })
                    .collect();
                // a screen is no place for hundreds
                let more = all.len().saturating_sub(40);
                let mut shown = all.into_iter().take(40).collect::<Vec<_>>().join(" · ");
                if more > 0 {
                    shown.push_str(&format!(" · and {more} more"));
                }
                vec![shown]
            }
            Wants::Next => match self.answers.drawn() {
                Some(drawn) => vec![format!("{} runs were drawn for this day", drawn.order.len())],
                None => Vec::new(),
            },
            _ => Vec::new(),
        }
    }

    /// What is wanted for an answer.
    fn expects(&self, step: &Step, question: &Question) -> Expects {
        let spoken = &self.answers.job.procedure.spoken;
        let one_of = |ways: &[(&str, &str)]| {
            Expects::OneOf(
                ways.iter()
                    .map(|(key, words)| AnswerOption::new(&said(spoken, question.wants, key), *words))
                    .collect(),
            )
        };
        let quantity = |dimension: Dimension, metric: &str, inch: &str| Expects::Quantity {
            unit: dimension.usual_unit(self.answers.state.units),
            example: match self.answers.state.units {
                Units::Metric => metric.to_string(),
                Units::Inch => inch.to_string(),
            },
        };
        match question.wants {
            // what an empty line stands for is said in the prompt
            Wants::Name
            | Wants::Text
            | Wants::Date
            | Wants::Maybe
            | Wants::AsBefore
            | Wants::Times
            | Wants::Struck
            | Wants::Sets => Expects::Text { optional: false },
            Wants::Kind => one_of(&[
                ("test", spoken.say(Phrase::ATest)),
                ("event", spoken.say(Phrase::AnEvent)),
            ]),
            Wants::Next => one_of(&[
                (NEXT, spoken.say(Phrase::AnotherRun)),
                (END, spoken.say(Phrase::DayIsOver)),
            ]),
            Wants::Temperature => quantity(Dimension::Temperature, "18", "64 or 18 °C"),
            Wants::Age | Wants::Distance => quantity(Dimension::Distance, "12.5", "8 or 12.5 km"),
            Wants::Set => Expects::OneOf(
                self.answers
                    .sets()
                    .iter()
                    .map(|set| AnswerOption::new(set, ""))
                    .collect(),
            ),
            Wants::Setting => Expects::OneOf(
                self.answers
                    .job
                    .settings
                    .iter()
                    .map(|setting| AnswerOption::new(&setting.key, setting.words.clone()))
                    .collect(),
            ),
            Wants::Felt(_) => {
                let steps = FELT.iter().zip(&step.scale);
                let in_it = |key| said(spoken, question.wants, key);
                let steps = steps.map(|(key, words)| AnswerOption::new(&in_it(key), words.clone()));
                let unsaid = AnswerOption::new(&in_it(UNSAID), spoken.say(Phrase::NothingToSay));
                Expects::OneOf(steps.chain([unsaid]).collect())
            }
        }
    }

    /// What an empty line stands for, as it is typed, and whether it stood here before.
    fn kept(&self, slot: &Slot, question: &Question) -> Option<(String, bool)> {
        if let Some(before) = self.answers.state.earlier.get(slot) {
            return Some((before.text.clone(), true));
        }
        let run = run_of(slot);
        let of_run_before = || {
            let item = run.checked_sub(1)?.to_string();
            let slot = self::slot(question.id, Some(item), None);
            self.answers
                .state
                .answers
                .get(&slot)
                .map(|answer| answer.text.clone())
        };
        let kept = match question.wants {
            Wants::Name | Wants::Text => return None,
            Wants::Date => self.answers.job.today.clone(),
            Wants::Kind => "test".to_string(),
            Wants::Times if slot.point == Some(1) => return None,
            Wants::Times => END.to_string(),
            Wants::Maybe
            | Wants::Temperature
            | Wants::Age
            | Wants::Distance
            | Wants::Sets
            | Wants::Struck => NONE.to_string(),
            Wants::AsBefore => of_run_before().unwrap_or_else(|| NONE.to_string()),
            Wants::Felt(_) => UNSAID.to_string(),
            Wants::Next => match self.answers.drawn() {
                Some(drawn) if run > drawn.order.len() => END.to_string(),
                _ => NEXT.to_string(),
            },
            Wants::Set => of_run_before().or_else(|| self.answers.sets().first().cloned())?,
            Wants::Setting => self.drawn_for(run).or_else(of_run_before).or_else(|| {
                self.answers
                    .job
                    .settings
                    .first()
                    .map(|setting| setting.key.clone())
            })?,
        };
        Some((kept, false))
    }

    /// What was drawn for a run.
    fn drawn_for(&self, run: usize) -> Option<String> {
        let drawn = self.answers.drawn()?;
        let which = *drawn.order.get(run.checked_sub(1)?)?;
        Some(self.answers.job.called(drawn.settings.get(which)?))
    }

    /// What a reply leads to. Nothing is taken in before [`DaySession::apply`], so that it can be written down first.
    ///
    /// # Errors
    ///
    /// [`Refusal`]: what is wrong with the reply; the question stands and nothing is taken in.
    pub fn answer(&mut self, reply: &Reply, at: &str) -> Result<Accepted, Refusal> {
        let Some(planned) = self.open() else {
            return no("there is no open question");
        };
        let (slot, question) = (planned.slot, planned.question);
        let (at, by) = (at.to_string(), self.answers.state.by().to_string());
        let mut taken = Accepted::default();
        match reply {
            Reply::Why | Reply::Pause | Reply::Words(_) => {}
            Reply::Take | Reply::Look | Reply::Hint => return no("!take, !look and !hint are for practice"),
            Reply::Picture => return no("a drive day is of a car, and no unit is drawn"),
            Reply::Row(_) | Reply::ByRows(_) => return no("no plates are measured here"),
            Reply::Skip(_) => return no("nothing is skipped here; Enter alone says that there is nothing"),
            Reply::Show => taken.said = self.so_far(),
            Reply::Fix(text) => return self.amend(text, &at),
            Reply::Back => return self.back(1, at, by),
            Reply::BackBy(count) => return self.back(usize::try_from(*count).unwrap_or(usize::MAX), at, by),
            Reply::Who(name) => {
                let by = plain_text(name)?;
                let text = format!("{by} works from here on");
                taken.said.push(Feedback::new(Tone::Plain, text.clone()));
                taken.entries.push(Entry::Noted { at, by, slot, text });
            }
            Reply::Note(text) => {
                let text = plain_text(text)?;
                taken.entries.push(Entry::Noted { at, by, slot, text });
            }
            Reply::Answer(text) => return self.take(&slot, question, text, at),
        }
        Ok(taken)
    }

    fn back(&self, count: usize, at: String, by: String) -> Result<Accepted, Refusal> {
        let mut trail: Vec<&Slot> = self.answers.state.trail.iter().rev().collect();
        // what was drawn is no answer
        trail.retain(|slot| slot.step != DRAWN);
        if count == 0 || count > trail.len() {
            return match trail.len() {
                0 => no("there is nothing to go back to"),
                answers => no(format!("there are {answers} answers to go back to")),
            };
        }
        let opened = trail.into_iter().take(count).map(|slot| Entry::Reopened {
            at: at.clone(),
            by: by.clone(),
            slot: slot.clone(),
        });
        Ok(Accepted {
            entries: opened.collect(),
            ..Accepted::default()
        })
    }

    fn take(
        &mut self,
        slot: &Slot,
        question: &Question,
        text: &str,
        at: String,
    ) -> Result<Accepted, Refusal> {
        let typed = text.trim();
        let line = match self.kept(slot, question) {
            Some((kept, _)) if typed.is_empty() => kept,
            _ => typed.to_string(),
        };
        let (read, insisted) = self.read(slot, question, &line)?;
        let by = match question.wants {
            Wants::Name => read.text.clone(),
            _ => self.answers.state.by().to_string(),
        };
        let mut said = Vec::new();
        let mut answered = slot.clone();
        let mut value = read.value;
        let mut text = read.text;
        match (&question.wants, &value) {
            (Wants::Times, Value::Times(times)) => {
                let count = self.answers.laps(run_of(slot)).len() + times.len();
                let words = format!("{count} {} of this run", if count == 1 { "lap" } else { "laps" });
                said.push(Feedback::new(Tone::Plain, words));
            }
            // the lap is part of the question's name: so each is struck by an entry of its own
            (Wants::Struck, Value::Text(struck)) => {
                let (lap, reason) = struck.split_once(' ').unwrap_or((struck, ""));
                answered.point = lap.parse().ok();
                text = reason.to_string();
                value = Value::Text(reason.to_string());
            }
            _ => {}
        }
        let mut taken = Accepted {
            entries: vec![Entry::Answered {
                at: at.clone(),
                by,
                slot: answered,
                text,
                value,
                insisted,
            }],
            said,
            ..Accepted::default()
        };
        let mut after = self.clone();
        after.apply(&taken.entries);
        taken.entries.extend(after.closing_entry(&at));
        Ok(taken)
    }

    /// Reads an answer, and whether it was insisted on.
    fn read(&mut self, slot: &Slot, question: &Question, text: &str) -> Result<(Read, bool), Refusal> {
        let mut odd = self.odd.take();
        let reading = Reading {
            answers: &self.answers,
            slot,
        };
        let read = surely(
            &mut odd,
            slot,
            text,
            |text| reading.of(question.wants, text),
            |read| read.odd.clone().map(|words| (words, None)),
        );
        self.odd = odd;
        read
    }

    /// The closing entry, where nothing is left to ask and it was not written.
    pub fn closing_entry(&self, at: &str) -> Option<Entry> {
        (!self.is_finished() && self.open().is_none()).then(|| Entry::finished(at.to_string()))
    }

    /// An earlier answer put right while the day goes on: what was typed stays on record.
    fn amend(&self, text: &str, at: &str) -> Result<Accepted, Refusal> {
        let Some((name, right)) = text.trim().split_once(char::is_whitespace) else {
            return Ok(Accepted {
                said: self.so_far(),
                ..Accepted::default()
            });
        };
        let (slot, text, value, insisted) = self.put_right(name, right.trim(), false)?;
        let Some(before) = self.answers.state.answers.get(&slot) else {
            return no(format!("there is no answer to {name}"));
        };
        let said = Feedback::new(Tone::Plain, format!("{slot}: was {}, now {text}", before.text));
        Ok(Accepted {
            entries: vec![Entry::Amended {
                at: at.to_string(),
                by: self.answers.state.by().to_string(),
                slot,
                line: before.number,
                was: before.text.clone(),
                text,
                value,
                insisted,
                lapsed: Vec::new(),
            }],
            said: vec![said],
            ..Accepted::default()
        })
    }

    /// The entry that corrects an answer of a finished day.
    ///
    /// # Errors
    ///
    /// A day that is not finished, a question without an answer, an answer on which further questions rest, and whatever the
    /// question itself refuses.
    pub fn correct(&self, correction: &Correction<'_>, at: &str) -> Result<Entry, Refusal> {
        if !self.is_finished() {
            return no("the day is not finished; go on with it, and !fix puts an answer right");
        }
        let (reason, by) = (plain_text(correction.reason)?, plain_text(correction.by)?);
        let (slot, text, value, insisted) =
            self.put_right(correction.question, correction.text.trim(), correction.sure)?;
        let Some(before) = self.answers.state.answers.get(&slot) else {
            return no(format!("there is no answer to {}", correction.question));
        };
        Ok(Entry::Corrected {
            at: at.to_string(),
            by,
            slot,
            line: before.number,
            was: before.text.clone(),
            text,
            value,
            insisted,
            reason,
        })
    }

    /// An answer by the name of its question, read anew.
    fn put_right(&self, name: &str, right: &str, sure: bool) -> Result<(Slot, String, Value, bool), Refusal> {
        let named = self
            .answers
            .state
            .answers
            .iter()
            .find(|(slot, _)| slot.to_string() == name);
        let Some((slot, before)) = named else {
            return no(format!(
                "there is no answer to \"{name}\" in this day; !show lists the runs"
            ));
        };
        let question = match question_of(&slot.step) {
            Some(question) => question,
            None => return no("what was drawn is not put right"),
        };
        let ends = matches!(before.value, Value::Word { .. }) && question.wants == Wants::Times;
        if ends || [RUN, SETS].contains(&question.id) || question.per == Per::Set && question.id != AGE {
            return no("further questions rest on that; !back opens it again");
        }
        let mut again = self.clone();
        again.answers.state.answers.remove(slot);
        let text = match sure {
            true => format!("{right} {SURE}"),
            false => right.to_string(),
        };
        let wants = match (question.wants, slot.point) {
            // a struck lap is named by its number: what is typed is the reason
            (Wants::Struck, Some(_)) => Wants::Maybe,
            (wants, _) => wants,
        };
        let question = Question { wants, ..*question };
        let (read, insisted) = again.read(slot, &question, &text)?;
        if read.value == before.value {
            return no(format!("it is {} already", before.text));
        }
        let still_times = matches!(before.value, Value::Times(_)) == matches!(read.value, Value::Times(_));
        if !still_times {
            return no("times stand there, and times are wanted");
        }
        Ok((slot.clone(), read.text, read.value, insisted))
    }

    /// The runs so far, a line each.
    fn so_far(&self) -> Vec<Feedback> {
        let day = self.day("");
        let mut said = vec![Feedback::new(
            Tone::Plain,
            "!fix NAME VALUE puts an answer right: !fix times/2/1 72.4, !fix run-build/2 NAME",
        )];
        for run in &day.runs {
            let laps: Vec<String> = run
                .laps
                .iter()
                .map(|lap| {
                    let struck = lap
                        .struck
                        .as_ref()
                        .map_or(String::new(), |why| format!(" ({why})"));
                    written(lap.milliseconds) + &struck
                })
                .collect();
            let words = format!("run {}, {}: {}", run.number, run.called, laps.join(" "));
            said.push(Feedback::new(Tone::Plain, words));
        }
        said
    }
}

impl DrawnOrder {
    /// The entry that writes an order down that was drawn for a day, in words as well.
    pub fn entry(&self, job: &DayJob, at: &str, by: &str) -> Entry {
        let order: Vec<String> = self
            .order
            .iter()
            .filter_map(|which| self.settings.get(*which))
            .map(|setting| job.called(setting))
            .collect();
        Entry::Answered {
            at: at.to_string(),
            by: by.to_string(),
            slot: slot(DRAWN, None, None),
            text: order.join(" "),
            value: Value::Drawn(self.clone()),
            insisted: false,
        }
    }
}
