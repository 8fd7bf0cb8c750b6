//! The engine: a build as the fold of its entries.

use super::ask::{Ask, Feedback, Refusal, Reply, Tone};
use super::choosing::Choosing;
use super::definition::Each;
use super::derived::Derived;
use super::field::Field;
use super::in_hand::InHand;
use super::job::Job;
use super::judged_plate::KnownPlates;
use super::request::Preferences;
use super::select::{begun_by_a_file, entries_of};
use super::state::{Kept, State};
use super::typed::{Odd, no, plain_text};
use crate::choice::First;
use crate::mechanics::Side;
use crate::metrology::Verdict;
use crate::quantity::{Torque, Units};
use crate::record::phrase::Phrase;
use crate::record::{Chosen, Entry, GeneratedFrom, Selection, Slot, UnitsName, Value};
use crate::workshop::Readings;
use std::cell::OnceCell;
use std::rc::Rc;

/// A build that is going on: its state is the fold of its entries, and nothing else.
///
/// ```text
/// ask() → a person → answer() → entries → the journal → apply() → ask() …
/// ```
pub struct Session {
    pub(super) job: Rc<Job>,
    pub(super) state: State,
    /// An answer that looked odd, and was not taken yet.
    pub(super) odd: Option<Odd>,
    /// The choice before it is taken.
    pub(super) choosing: Choosing,
    pub(super) known: KnownPlates,
    /// The plate in hand, where a row a plate is asked for.
    pub(super) in_hand: InHand,
    /// Who worked in this book before, for whom a number may be typed.
    people: Vec<String>,
    /// Entries that change the drawer in a way that is not understood here, in words.
    not_folded: Vec<String>,
    /// The steps that are counted, once somebody asks.
    pub(super) counted: OnceCell<Vec<String>>,
}

/// What an answer led to. The entries go to the journal first, and then to [`Session::apply`].
#[derive(Clone, PartialEq, Default, Debug)]
pub struct Accepted {
    /// What is to be written down.
    pub entries: Vec<Entry>,
    /// What is to be said besides.
    pub said: Vec<Feedback>,
    /// Whether that is all that is to be said: what the entries lead to is in it.
    pub told: bool,
    /// What of a line was not taken, and why.
    pub refused: Option<Refusal>,
}

impl Session {
    /// Begins a build. The entry is the first of its journal.
    pub fn start(job: Job, begun: Entry) -> (Session, Entry) {
        let mut session = Session::empty(Rc::new(job));
        session.state.apply(&begun);
        (session, begun)
    }

    /// Takes a build up again from its entries.
    pub fn resume(job: Job, entries: &[Entry]) -> Session {
        let mut session = Session::empty(Rc::new(job));
        for entry in entries {
            session.fold(entry);
        }
        session
    }

    pub(super) fn empty(job: Rc<Job>) -> Session {
        let state = State::new(job.fields());
        let first = job.first();
        Session {
            job,
            state,
            odd: None,
            choosing: Choosing::putting_first(first),
            known: KnownPlates::default(),
            in_hand: InHand::default(),
            people: Vec::new(),
            not_folded: Vec::new(),
            counted: OnceCell::new(),
        }
    }

    /// A session whose measuring steps are answered from a file of readings, for a choice without a rebuild.
    ///
    /// The procedure of the job must have the steps that measure, as the stock full rebuild does.
    ///
    /// # Errors
    ///
    /// In words: a reading that its procedure has no step for, or that it does not take.
    pub fn of_readings(job: Job, readings: &Readings, units: UnitsName) -> Result<Session, String> {
        let entries = entries_of(&job, readings)?;
        let (mut session, _) = Session::start(job, begun_by_a_file(units));
        session.apply(&entries);
        Ok(session)
    }

    /// Takes one entry in: parts that came into the drawer or are not there change the drawer of the job.
    fn fold(&mut self, entry: &Entry) {
        self.state.apply(entry);
        let drawer = match entry {
            Entry::PartAdded { rows, .. } => self.job.drawer.with(rows),
            Entry::PartStruck { part, .. } => self.job.drawer.without(part),
            _ => return,
        };
        match drawer {
            Some(drawer)
                if drawer
                    .spares
                    .iter()
                    .all(|spare| self.job.unit.plate(&spare.name).is_none()) =>
            {
                // a part that comes in makes no more steps
                self.counted.get_or_init(|| self.steps_known_at_first());
                Rc::make_mut(&mut self.job).drawer = drawer;
            }
            _ => self.not_folded.push(format!(
                "what entry {} says of the drawer can not be read here",
                self.state.entries()
            )),
        }
    }

    /// What of the entries a newer program wrote for more than is known here; nothing in nearly all builds.
    pub fn not_folded(&self) -> impl Iterator<Item = &String> {
        self.not_folded.iter()
    }

    /// Whether the build was put away, and counts for nothing.
    pub fn is_voided(&self) -> bool {
        self.state.voided.is_some()
    }

    /// The units in which bare numbers are read.
    pub fn units(&self) -> Units {
        self.state.units
    }

    /// What the build started from.
    pub fn job(&self) -> &Job {
        &self.job
    }

    /// What made the unit up, where this is practice and no record of a real one.
    pub fn practice(&self) -> Option<GeneratedFrom> {
        self.state.practice
    }

    /// The hints that were asked for in practice: of which of the hidden faults, from 1, and which rung of the ladder.
    pub fn hints(&self) -> &[(u32, u32)] {
        &self.state.hints
    }

    /// The entry for a hint at the open question; nothing where none is open.
    pub fn hint(&self, fault: u32, rung: u32, at: &str) -> Option<Entry> {
        Some(Entry::Hinted {
            at: at.to_string(),
            by: self.state.by().to_string(),
            slot: self.ask()?.slot,
            fault,
            rung,
        })
    }

    /// What a question was answered with, as it was typed.
    pub fn answered_text(&self, slot: &Slot) -> Option<&str> {
        Some(self.state.answers.get(slot)?.text.as_str())
    }

    /// Which of the steps a question belongs to, how many there are, and its stage; a question that does not come is looked for
    /// by its step.
    pub fn place_of(&self, slot: &Slot) -> Option<(usize, usize, &str)> {
        let plan = self.plan();
        let planned = plan
            .iter()
            .find(|planned| planned.slot == *slot)
            .or_else(|| plan.iter().find(|planned| planned.slot.step == slot.step))?;
        let (number, of) = self.steps_to(planned);
        let (stage, _) = self.job.procedure.step(&slot.step)?;
        Some((number, of, stage.title.as_str()))
    }

    /// What a question was answered with, as it stands now.
    pub fn answer_to(&self, slot: &Slot) -> Option<&Value> {
        self.state.answers.get(slot).map(|answer| &answer.value)
    }

    /// Every answer that stands now, with its question.
    pub fn answers(&self) -> impl Iterator<Item = (&Slot, &Value)> {
        self.state
            .answers
            .iter()
            .map(|(slot, answer)| (slot, &answer.value))
    }

    /// The plates, spares too, that the measurements, their looks or a person have thrown out.
    pub fn rejected_plates(&self) -> Vec<String> {
        let derived = self.derived();
        derived
            .all_plates()
            .into_iter()
            .filter(|name| derived.plate(name, true).rejected)
            .map(str::to_string)
            .collect()
    }

    /// What the program makes of a plate by its first measurement, and what the apprentice said of it before that.
    pub fn verdicts_on(&self, plate: &str) -> (Option<Verdict>, Option<Verdict>) {
        let derived = self.derived();
        (derived.plate(plate, false).verdict, derived.own_verdict(plate))
    }

    /// What wanted a second reading and had none, plates aside: a dry build that did not agree with its prediction, a proof too
    /// close to its window to call. What was done by `not_by` is not theirs.
    pub fn not_read_again(&self, not_by: &str) -> Vec<String> {
        let derived = self.derived();
        let once = |field: Field, slot: &Slot| {
            self.job.fills(slot) == Some(field) && !self.state.again.contains(slot)
        };
        let read_once = |field: Field, round: u32, side: Option<Side>| {
            let mut answers = self.state.answers.iter();
            answers.any(|(slot, answer)| {
                let here = side.is_none_or(|side| slot.item.as_deref() == Some(side.word()));
                slot.round == round && here && answer.by != not_by && once(field, slot)
            })
        };
        let any_again = |field: Field, round: u32| {
            let mut again = self.state.again.iter();
            again.any(|slot| slot.round == round && self.job.fills(slot) == Some(field))
        };
        let mut missing = Vec::new();
        for round in 1..=self.last_round() {
            for side in derived.dry_disagreements(round) {
                if read_once(Field::DRY_CLOSING, round, side) {
                    missing.push(match side {
                        Some(side) => format!("the dry build, {side}"),
                        None => "the dry build".to_string(),
                    });
                }
            }
        }
        // a proof is read again in its round, or in one more
        let round = self.last_round();
        let close = derived.proof(round).and_then(|proof| proof.verdict) == Some(Verdict::TooCloseToCall);
        if close && read_once(Field::BREAKAWAY, round, None) && !any_again(Field::BREAKAWAY, round) {
            missing.push("the proof".to_string());
        }
        missing
    }

    /// The lines of the diagnosis, as they were typed.
    pub fn diagnoses(&self) -> Vec<&str> {
        self.state.texts(Field::DIAGNOSIS)
    }

    /// What was suspected before the unit was opened, as it was typed.
    pub fn suspicion(&self) -> Option<&str> {
        self.state.text(Field::SUSPICION)
    }

    /// The last round that has a choice; 1 where none has.
    pub fn last_round(&self) -> u32 {
        self.state.last_round()
    }

    /// The plates and shims that were chosen last.
    pub fn chosen(&self) -> Option<&Chosen> {
        self.state.chosen(self.last_round())
    }

    /// What the last round of proof came to: the torque as it stands against the window, and the verdict.
    pub fn proof_verdict(&self) -> Option<(Torque, Verdict)> {
        let proof = self.derived().proof(self.last_round())?;
        proof.by_file.zip(proof.verdict)
    }

    /// The readings of the last round of proof as they were written down, each with who did.
    pub fn proof_readings(&self) -> Vec<(Torque, &str)> {
        let round = self.last_round();
        let answers = self.state.answers.iter();
        answers
            .filter(|(slot, _)| slot.round == round && self.job.reads_breakaway(slot))
            .filter_map(|(_, answer)| match answer.value {
                Value::Torque(read) => Some((Torque::from_newton_metres(read).ok()?, answer.by.as_str())),
                _ => None,
            })
            .collect()
    }

    /// When the build was begun, as RFC 3339 text.
    pub fn started(&self) -> &str {
        &self.state.started
    }

    /// Whether its figures are reckoned as they were when it was finished; `true` while it is not.
    pub fn is_reckoned_as_then(&self) -> bool {
        self.state.is_reckoned_as_then()
    }

    /// What is said of a record whose figures are reckoned otherwise than when it was finished.
    pub fn reckoned_otherwise(&self) -> Option<&'static str> {
        self.state.reckoned_otherwise()
    }

    /// When it was finished.
    pub fn finished(&self) -> Option<&str> {
        self.state.finished.as_deref()
    }

    /// The car that the unit came out of, where somebody said.
    pub fn car(&self) -> Option<&str> {
        self.state.text(Field::CAR)
    }

    /// The unit of the job in a few lines, so that the wrong file is seen: its name, and its packs as they should lie.
    pub fn unit_in_short(&self) -> Vec<String> {
        let unit = &self.job.unit;
        let derived = self.derived();
        let mut lines = vec![format!("Unit {}: {}", unit.id, unit.name)];
        let packs = derived.found();
        for side in Side::BOTH {
            lines.extend(derived.pack_names(side, &packs[side.index()]));
        }
        lines
    }

    /// Who signed that it was built; without a signature, who does the work.
    pub fn built_by(&self) -> &str {
        self.state.text(Field::SIGNED_BUILT).unwrap_or(self.state.by())
    }

    /// Whether the last question has been answered.
    pub fn is_finished(&self) -> bool {
        self.state.finished.is_some()
    }

    /// How many questions have an answer.
    pub fn answered(&self) -> usize {
        self.state.trail.len()
    }

    /// The next question; `None` when there is none left.
    pub fn ask(&self) -> Option<Ask> {
        let plan = self.plan();
        let (_, planned) = self.open_in(&plan)?;
        let (number, of) = self.steps_to(planned);
        let mut ask = self.question(planned, number, of);
        if self.in_hand.by_rows {
            self.tell_run(&mut ask, &self.run(&plan, planned));
            self.tell_look(&mut ask, &plan, planned);
        }
        ask.rail = self.rail(&planned.slot);
        Some(ask)
    }

    /// What a reply leads to. Nothing is taken in before [`Session::apply`], so that it can be written down first.
    ///
    /// # Errors
    ///
    /// [`Refusal`]: what is wrong with the reply; the question stands and nothing is taken in.
    pub fn answer(&mut self, reply: &Reply, at: &str) -> Result<Accepted, Refusal> {
        let plan = self.plan();
        let Some((_, planned)) = self.open_in(&plan) else {
            return no("there is no open question");
        };
        let (slot, step) = (planned.slot.clone(), planned.step.clone());
        let run = self.run(&plan, planned);
        drop(plan);
        let reply = &self.in_english(&step, reply);
        self.in_hand.odd_behind = None;
        let by = self.state.by().to_string();
        let at = at.to_string();
        let mut taken = Accepted::default();
        match reply {
            Reply::Row(line) => return self.take_row(&slot, line, &at),
            Reply::Show => return Ok(self.so_far()),
            Reply::Picture => return Ok(self.pictured(&slot)),
            Reply::Fix(text) => return self.amend(text, &at),
            Reply::BackBy(count) => {
                let trail = &self.state.trail;
                let count = usize::try_from(*count).unwrap_or(usize::MAX);
                if count == 0 || count > trail.len() {
                    return no(format!("there are {} answers to go back to", trail.len()));
                }
                let opened: Vec<Slot> = trail.iter().rev().take(count).cloned().collect();
                opened.last().into_iter().for_each(|slot| self.take_in_hand(slot));
                taken
                    .entries
                    .extend(opened.into_iter().map(|slot| Entry::Reopened {
                        at: at.clone(),
                        by: by.clone(),
                        slot,
                    }));
            }
            Reply::Who(name) => {
                let by = plain_text(self.person(name))?;
                let text = format!("{by} works from here on");
                taken.said.push(Feedback::new(Tone::Plain, text.clone()));
                taken.entries.push(Entry::Noted { at, by, slot, text });
            }
            Reply::ByRows(rows) => self.by_rows(*rows),
            Reply::Why | Reply::Pause | Reply::Take | Reply::Look | Reply::Hint | Reply::Words(_) => {}
            Reply::Back => {
                let Some(last) = self.state.trail.last().cloned() else {
                    return no("there is nothing to go back to");
                };
                self.take_in_hand(&last);
                taken.entries.push(Entry::Reopened { at, by, slot: last });
            }
            Reply::Note(text) => {
                let text = plain_text(text)?;
                taken.entries.push(Entry::Noted { at, by, slot, text });
            }
            Reply::Skip(reason) => {
                if !step.skip {
                    return no("this question can not be skipped");
                }
                let reason = plain_text(reason)?;
                taken.entries.push(Entry::Skipped { at, by, slot, reason });
            }
            Reply::Answer(text) => {
                let text = match step.fills.is_some_and(Field::offers_people) {
                    true => &self.person(text).to_string(),
                    false => text,
                };
                let left_out = match self.kept(&slot, &step) {
                    Some(Kept::LeftOut(reason)) if text.trim().is_empty() => Some(reason.to_string()),
                    _ => None,
                };
                match (left_out, self.optional(&slot, &step, text, &at)?) {
                    (Some(reason), _) => taken.entries.push(Entry::Skipped { at, by, slot, reason }),
                    (None, Some(entries)) => taken.entries = entries,
                    (None, _) => return self.take_line(&run, &slot, &step, text, at),
                }
            }
        }
        if matches!(taken.entries.last(), Some(Entry::Skipped { .. })) {
            self.finish_with(&mut taken);
        }
        Ok(taken)
    }

    /// Why no reading can be held against the window of the unit's file, in words: it is for the case held, where the packs wedge.
    pub fn window_that_wedges(&self) -> Option<String> {
        super::proof::window_that_wedges(&self.job.unit)
    }

    /// Whose names are offered where somebody says who works.
    pub fn offer_people(&mut self, people: Vec<String>) {
        self.people = people;
    }

    /// The names that are offered, each with its number; nothing where nobody is known.
    pub(super) fn people_offered(&self) -> Option<String> {
        let named = self.people.iter().zip(1..);
        let named: Vec<String> = named.map(|(name, number)| format!("{number} {name}")).collect();
        let spoken = &self.job.procedure.spoken;
        (!named.is_empty()).then(|| spoken.fill(Phrase::ByNumber, &[&named.join(", ")]))
    }

    /// The name that a number stands for; any other text stands for itself.
    fn person<'t>(&'t self, text: &'t str) -> &'t str {
        let number = text.trim().parse::<usize>().ok();
        let named = number.and_then(|number| self.people.get(number.checked_sub(1)?));
        named.map_or(text, String::as_str)
    }

    /// Adds the closing entry where the entries so far settle the last question.
    pub(super) fn finish_with(&self, taken: &mut Accepted) {
        let at = match taken.entries.last() {
            Some(Entry::Answered { at, .. } | Entry::Skipped { at, .. }) => at.clone(),
            _ => return,
        };
        let open = self
            .plan()
            .iter()
            .filter(|planned| !self.state.is_settled(&planned.slot))
            .count();
        if open != 1 {
            return;
        }
        // the last answer may open further questions, such as another round
        let mut after = Session::empty(Rc::clone(&self.job));
        after.state = self.state.clone();
        after.apply(&taken.entries);
        if after.ask().is_none() {
            taken.entries.push(Entry::finished(at));
        }
    }

    /// The closing entry, where nothing is left to ask and it was not written: the power went between the two.
    pub fn closing_entry(&self, at: &str) -> Option<Entry> {
        (self.state.finished.is_none() && self.ask().is_none()).then(|| Entry::finished(at.to_string()))
    }

    /// Takes in what has been written down, and gives all that is to be said about it.
    pub fn take(&mut self, taken: &Accepted) -> Vec<Feedback> {
        let mut said = taken.said.clone();
        let remarks = self.apply(&taken.entries);
        if !taken.told {
            said.extend(remarks);
        }
        said
    }

    /// Takes entries in that have been written down, and gives what is to be said about them.
    pub fn apply(&mut self, entries: &[Entry]) -> Vec<Feedback> {
        let mut said = Vec::new();
        for entry in entries {
            let known = self.state.set_back.len();
            self.fold(entry);
            said.extend(self.state.set_back[known..].iter().map(|back| Feedback {
                tone: Tone::Doubt,
                words: format!("The clock: {}.", back.words()),
            }));
            self.in_hand.stays = None;
            self.choosing.work_out_anew();
            self.forget_plates(entry);
            if !matches!(entry, Entry::Noted { .. }) {
                self.odd = None;
            }
            // until a choice is taken, what was wished and changed by hand stays, whatever is gone back to meanwhile
            if let Entry::Answered {
                value: Value::Chosen(_),
                ..
            } = entry
            {
                self.choosing.is_taken();
            }
            said.extend(self.remark(entry));
        }
        if let Some(odd) = self.in_hand.odd_behind.take() {
            self.odd = Some(odd);
        }
        said
    }

    /// Lets go of what is known of the plates that an entry may say something about.
    fn forget_plates(&self, entry: &Entry) {
        let mut known = self.known.borrow_mut();
        let (Entry::Answered { slot, .. } | Entry::Skipped { slot, .. }) = entry else {
            known.clear();
            return;
        };
        let asked_for = self.job.fills(slot).and_then(Field::each);
        match asked_for {
            // of the plate that it is about
            Some(Each::Plate | Each::Spare | Each::Doubtful | Each::StillDoubtful) => {
                known.retain(|(plate, _), _| Some(plate) != slot.item.as_ref());
            }
            // of none: what is laid in, tightened and proved has been judged before
            Some(Each::Layer | Each::Part | Each::Bolts | Each::Way | Each::Play) => {}
            None | Some(Each::Side | Each::Opened | Each::Chain | Each::Spring) => known.clear(),
        }
    }

    /// What follows from the answers so far.
    pub(super) fn derived(&self) -> Derived<'_> {
        Derived {
            job: &self.job,
            state: &self.state,
            known: &self.known,
            until: u32::MAX,
        }
    }

    /// Asks the choice for something else. Nothing is written down before a choice is taken.
    pub fn wish_for(&mut self, wish: Preferences) {
        let wish = self.by_their_names(&wish);
        self.choosing.wish_for(wish);
    }

    /// A wish with its plates by their names as the files have them, in whatever case of letters they were typed.
    fn by_their_names(&self, wish: &Preferences) -> Preferences {
        let derived = self.derived();
        let mut wish = wish.clone();
        let kept = wish.keep.iter_mut().map(|(plate, _)| plate);
        for plate in wish.without_plates.iter_mut().chain(kept) {
            *plate = derived.called(plate);
        }
        wish
    }

    /// Puts proposals with the fewest shims first, whatever the procedure says, where nothing else is wished: so a number in
    /// a file of answers goes on meaning what it meant when the file was written.
    pub fn put_fewest_first(&mut self) {
        self.choosing.put_first(First::Fewest);
    }

    /// What speaks against a wish: a plate that does not exist, can not go in, or is wished for in two ways.
    pub fn wish_fault(&self, wish: &Preferences) -> Option<String> {
        self.derived().wish_fault(&self.by_their_names(wish))
    }

    /// The best choice and its alternatives, for people and machines.
    ///
    /// # Errors
    ///
    /// In words: why there is nothing to choose from.
    pub fn selection(&self) -> Result<Selection, String> {
        self.choosing.selection(&self.derived())
    }

    /// Whether an old paper that was typed in says that the unit was put together anew.
    pub fn rebuilt_on_paper(&self) -> bool {
        self.state.is_rebuilt()
    }
}
