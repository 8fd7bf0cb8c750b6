use super::ask::{Ask, Refusal, Reply, Said, Tone};
use super::definition::{Each, Field, Guard, Stage, Step};
use super::facts::Facts;
use super::job::Job;
use super::looks::spring_goes;
use super::plate_facts::KnownPlates;
use super::request::Wish;
use super::state::{Answer, Kept, State};
use super::typed::{Odd, plain_text};
use super::way::Way;
use crate::choice::{ChoiceError, Outcome, choose};
use crate::metrology::Verdict;
use crate::quantity::{Torque, Units};
use crate::record::{Chosen, Entry, MODEL, MadeFrom, Side, Slot, Value};
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
    /// A choice made by hand that has not been taken yet.
    pub(super) draft: Option<Chosen>,
    /// What is asked of the choice beyond the unit file.
    pub(super) wish: Wish,
    /// Whether all proposals are shown, or the first three.
    pub(super) all_shown: bool,
    proposals: OnceCell<Proposals>,
    known: KnownPlates,
    /// Entries that change the drawer in a way that is not understood here, in words.
    not_folded: Vec<String>,
}

/// What the choice came to, or why it could not be asked.
pub(super) type Proposals = Result<Outcome, String>;

/// What an answer led to. The entries go to the journal first, and then to [`Session::apply`].
#[derive(Clone, PartialEq, Default, Debug)]
pub struct Taken {
    /// What is to be written down.
    pub entries: Vec<Entry>,
    /// What is to be said without anything being written.
    pub said: Vec<Said>,
}

/// A question in its place.
pub(super) struct Planned<'p> {
    pub slot: Slot,
    pub stage: &'p Stage,
    pub step: &'p Step,
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
        Session {
            job,
            state,
            odd: None,
            draft: None,
            wish: Wish::default(),
            all_shown: false,
            proposals: OnceCell::new(),
            known: KnownPlates::default(),
            not_folded: Vec::new(),
        }
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
    pub fn practice(&self) -> Option<MadeFrom> {
        self.state.practice
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
        let facts = self.facts();
        facts
            .all_plates()
            .into_iter()
            .filter(|name| facts.plate(name, true).rejected)
            .map(str::to_string)
            .collect()
    }

    /// The last round that has a choice; 1 where none has.
    pub fn last_round(&self) -> u32 {
        let chosen =
            |(slot, answer): (&Slot, &Answer)| matches!(answer.value, Value::Chosen(_)).then_some(slot.round);
        self.state.answers.iter().filter_map(chosen).max().unwrap_or(1)
    }

    /// The plates and shims that were chosen last.
    pub fn chosen(&self) -> Option<&Chosen> {
        self.state.chosen(self.last_round())
    }

    /// What the last round of proof came to: the torque as it stands against the window, and the verdict.
    pub fn proof_verdict(&self) -> Option<(Torque, Verdict)> {
        let proof = self.facts().proof(self.last_round())?;
        proof.by_file.zip(proof.verdict)
    }

    /// When the build was begun, as RFC 3339 text.
    pub fn started(&self) -> &str {
        &self.state.started
    }

    /// Whether its figures are reckoned as they were when it was finished; `true` while it is not.
    pub fn is_reckoned_as_then(&self) -> bool {
        self.state.model.is_none_or(|model| model == MODEL)
    }

    /// What is said of a record whose figures are reckoned otherwise than when it was finished.
    pub fn reckoned_otherwise(&self) -> Option<&'static str> {
        (!self.is_reckoned_as_then()).then_some(
            "by today's mechanics; the record was finished with an earlier edition, so figures may differ from those of then",
        )
    }

    /// When it was finished.
    pub fn finished(&self) -> Option<&str> {
        self.state.finished.as_deref()
    }

    /// Who signed that it was built; without a signature, who does the work.
    pub fn built_by(&self) -> &str {
        self.state.text(Field::SignedBuilt).unwrap_or(self.state.by())
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
        let of = plan.len();
        let open = plan
            .iter()
            .position(|planned| !self.state.is_settled(&planned.slot))?;
        let planned = plan.get(open)?;
        Some(self.question(planned, open + 1, of))
    }

    /// What a reply leads to. Nothing is taken in before [`Session::apply`], so that it can be written down first.
    pub fn answer(&mut self, reply: &Reply, at: &str) -> Result<Taken, Refusal> {
        let refuse = |words: &str| {
            Err(Refusal {
                words: words.to_string(),
                sure: false,
            })
        };
        let plan = self.plan();
        let Some(planned) = plan.iter().find(|planned| !self.state.is_settled(&planned.slot)) else {
            return refuse("there is no open question");
        };
        let (slot, step) = (planned.slot.clone(), planned.step.clone());
        drop(plan);
        let by = self.state.by().to_string();
        let at = at.to_string();
        let mut taken = Taken::default();
        match reply {
            Reply::Why | Reply::Pause | Reply::Take | Reply::Look | Reply::Words(_) => {}
            Reply::Back => {
                let Some(last) = self.state.trail.last().cloned() else {
                    return refuse("there is nothing to go back to");
                };
                taken.entries.push(Entry::Reopened { at, by, slot: last });
            }
            Reply::Note(text) => {
                let text = plain_text(text)?;
                taken.entries.push(Entry::Noted { at, by, slot, text });
            }
            Reply::Skip(reason) => {
                if !step.skip {
                    return refuse("this question can not be skipped");
                }
                let reason = plain_text(reason)?;
                taken.entries.push(Entry::Skipped { at, by, slot, reason });
            }
            Reply::Answer(text) => {
                let left_out = match self.kept(&slot, &step) {
                    Some(Kept::LeftOut(reason)) if text.trim().is_empty() => Some(reason.to_string()),
                    _ => None,
                };
                match left_out {
                    Some(reason) => taken.entries.push(Entry::Skipped { at, by, slot, reason }),
                    None => return self.take_answer(&slot, &step, text, at),
                }
            }
        }
        if matches!(taken.entries.last(), Some(Entry::Skipped { .. })) {
            self.finish_with(&mut taken);
        }
        Ok(taken)
    }

    /// Adds the closing entry where the entries so far settle the last question.
    pub(super) fn finish_with(&self, taken: &mut Taken) {
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
            taken.entries.push(Entry::Finished { at, model: MODEL });
        }
    }

    /// The closing entry, where nothing is left to ask and it was not written: the power went between the two.
    pub fn closing_entry(&self, at: &str) -> Option<Entry> {
        (self.state.finished.is_none() && self.ask().is_none()).then(|| Entry::Finished {
            at: at.to_string(),
            model: MODEL,
        })
    }

    /// Takes entries in that have been written down, and gives what is to be said about them.
    pub fn apply(&mut self, entries: &[Entry]) -> Vec<Said> {
        let mut said = Vec::new();
        for entry in entries {
            let known = self.state.set_back.len();
            self.fold(entry);
            said.extend(self.state.set_back[known..].iter().map(|back| Said {
                tone: Tone::Doubt,
                words: format!("The clock: {}.", back.words()),
            }));
            self.proposals.take();
            self.forget_plates(entry);
            if !matches!(entry, Entry::Noted { .. }) {
                self.odd = None;
                self.draft = None;
                self.wish = Wish::default();
                self.all_shown = false;
            }
            said.extend(self.remark(entry));
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
        let step = self.job.procedure.step(&slot.step);
        match step.and_then(|(_, step)| step.fills).and_then(Field::each) {
            // of the plate that it is about
            Some(Each::Plate | Each::Spare | Each::Doubtful) => {
                known.retain(|(plate, _), _| Some(plate) != slot.item.as_ref());
            }
            // of none: what is laid in, tightened and proved has been judged before
            Some(Each::Layer | Each::Part | Each::Bolts | Each::Way) => {}
            _ => known.clear(),
        }
    }

    /// What follows from the answers so far.
    pub(super) fn facts(&self) -> Facts<'_> {
        Facts {
            job: &self.job,
            state: &self.state,
            known: &self.known,
            until: u32::MAX,
        }
    }

    /// What the choice comes to with the answers so far; worked out once between two answers.
    pub(super) fn proposals(&self) -> &Proposals {
        self.proposals.get_or_init(|| {
            let request = self.facts().request(&self.wish)?;
            choose(&request).map_err(|error: ChoiceError| error.to_string())
        })
    }

    /// Asks the choice for something else. Nothing is written down before a choice is taken.
    pub fn wish_for(&mut self, wish: Wish) {
        self.wish = wish;
        self.draft = None;
        self.proposals.take();
    }

    /// Whether a step's conditions hold for this unit.
    /// Every question that has to be answered, as far as the answers so far show.
    pub(super) fn plan(&self) -> Vec<Planned<'_>> {
        let steps: Vec<(&Stage, &Step)> = self
            .job
            .procedure
            .steps()
            .filter(|(_, step)| self.job.asks_step(step))
            .collect();
        let at = |field: Field| steps.iter().position(|(_, step)| step.fills == Some(field));
        let mut plan = Vec::new();
        // where nothing is chosen, another round reads the proof again
        let (first, last) = match (
            at(Field::Choice).or(at(Field::Breakaway)),
            at(Field::ProofDecision).or(at(Field::DryDecision)),
        ) {
            (Some(first), Some(last)) if first <= last => (first, last + 1),
            _ => (steps.len(), steps.len()),
        };
        for (stage, step) in &steps[..first] {
            self.expand(stage, step, 1, &mut plan);
        }
        let mut round = 1;
        let mut asked_once = Vec::new();
        // each pass is a round; without a choice there is nothing that comes again, and the one pass is empty
        let mut opened = false;
        loop {
            let mut again = false;
            // the way into a unit that was closed, with its cautions
            for (stage, step) in steps[..first].iter().filter(|(_, step)| opened && step.again) {
                self.expand(stage, step, round, &mut plan);
            }
            for (stage, step) in &steps[first..last] {
                if is_asked_once(step) {
                    // a first round that ended at its dry build has not come as far as these
                    if !asked_once.contains(&step.id.as_str()) {
                        asked_once.push(step.id.as_str());
                        self.expand(stage, step, 1, &mut plan);
                    }
                    continue;
                }
                self.expand(stage, step, round, &mut plan);
                again = match step.fills {
                    Some(Field::DryDecision) => self.word_is(Field::DryDecision, round, "choose"),
                    Some(Field::ProofDecision) => self.word_is(Field::ProofDecision, round, "again"),
                    _ => false,
                };
                if again {
                    opened = step.fills == Some(Field::ProofDecision);
                    break;
                }
            }
            if !again {
                break;
            }
            round += 1;
        }
        for (stage, step) in &steps[last..] {
            self.expand(stage, step, 1, &mut plan);
        }
        plan
    }

    fn word_is(&self, field: Field, round: u32, wanted: &str) -> bool {
        self.state
            .word(field, round, None)
            .is_some_and(|(word, _)| word == wanted)
    }

    /// The last round that has been begun.
    pub(super) fn round(&self) -> u32 {
        self.plan()
            .iter()
            .map(|planned| planned.slot.round)
            .max()
            .unwrap_or(1)
    }

    fn expand<'p>(&'p self, stage: &'p Stage, step: &'p Step, round: u32, plan: &mut Vec<Planned<'p>>) {
        if self.comes_with_the_parts(step, round) {
            return;
        }
        let facts = self.facts();
        let names = |names: Vec<&str>| names.into_iter().map(|name| Some(name.to_string())).collect();
        let sides = |sides: Vec<Option<Side>>| -> Vec<Option<String>> {
            sides
                .into_iter()
                .map(|side| side.map(|side| side.word().to_string()))
                .collect()
        };
        let items: Vec<Option<String>> = match step.each {
            None => vec![None],
            Some(Each::Plate) => names(
                self.job
                    .unit
                    .plates
                    .iter()
                    .map(|plate| plate.name.as_str())
                    .collect(),
            ),
            Some(Each::Spare) => names(
                self.job
                    .drawer
                    .spares
                    .iter()
                    .map(|plate| plate.name.as_str())
                    .collect(),
            ),
            // what lies under the cover comes out first
            Some(Each::Side) if step.fills == Some(Field::FoundOrder) => {
                sides(self.job.unit.opened().map(Some).to_vec())
            }
            Some(Each::Side) => sides(Side::BOTH.map(Some).to_vec()),
            Some(Each::Chain) => sides(facts.chains()),
            Some(Each::Spring) => sides(facts.springs()),
            Some(Each::Doubtful) => names(facts.doubtful(step.fills == Some(Field::Fate))),
            Some(Each::Layer) => self
                .layers(round)
                .into_iter()
                .map(|(item, _)| Some(item))
                .collect(),
            Some(Each::Part) => return self.plan_laying(stage, step, round, plan),
            Some(Each::Bolts) => self
                .job
                .unit
                .bolts
                .iter()
                .map(|bolts| Some(bolts.name.clone()))
                .collect(),
            Some(Each::Way) => Way::ALL.iter().map(|(_, item)| Some(item.to_string())).collect(),
        };
        // with packs alike either output reads the same
        if step.fills == Some(Field::Turned) && !facts.packs_differ(round) {
            return;
        }
        if step.fills == Some(Field::DryDecision) && facts.dry_disagreements(round).is_empty() {
            return;
        }
        for item in items {
            let points = match (step.fills, &item) {
                (Some(Field::Tightened), Some(name)) => self
                    .job
                    .unit
                    .bolts
                    .iter()
                    .find(|bolts| bolts.name == *name)
                    .map_or(1, |bolts| {
                        bolts.stages.len() as u32 + u32::from(bolts.angle.is_some())
                    }),
                (Some(Field::SpringLook), item) => {
                    let looks = facts.spring_looks(item.as_deref());
                    let open = looks.last().is_none_or(|look| spring_goes(look));
                    looks.len() as u32 + u32::from(open)
                }
                (None, item) if step.guard == Some(Guard::Stops) => {
                    self.looks_at(step, round, item.as_deref())
                }
                _ => step.points,
            };
            for point in 1..=points {
                let numbered = match step.fills {
                    Some(Field::Tightened) => true,
                    // whether there is a second look is not known at the first
                    Some(Field::SpringLook) => point > 1,
                    None if step.guard == Some(Guard::Stops) => point > 1,
                    _ => points > 1,
                };
                plan.push(Planned {
                    slot: Slot {
                        round,
                        step: step.id.clone(),
                        item: item.clone(),
                        point: numbered.then_some(point),
                    },
                    stage,
                    step,
                });
            }
        }
    }

    /// How often a look is asked for: once, and again after each that stopped the way.
    pub(super) fn looks_at(&self, step: &Step, round: u32, item: Option<&str>) -> u32 {
        if step.guard != Some(Guard::Stops) {
            return 1;
        }
        let looks = self.state.looks(&step.id, round, item);
        let open = looks.last().is_none_or(|good| !good);
        looks.len() as u32 + u32::from(open)
    }

    /// Whether a look that found something wrong was followed by another one at the same place.
    pub(super) fn was_looked_at_again(&self, step: &Step, slot: &Slot) -> bool {
        step.guard == Some(Guard::Stops)
            && self.state.looks(&step.id, slot.round, slot.item.as_deref()).len()
                > slot.point.unwrap_or(1) as usize
    }

    /// The layers of both packs in the order in which they are laid in: an item's name, and what it is.
    pub(super) fn layers(&self, round: u32) -> Vec<(String, Layer)> {
        let Some(chosen) = self.state.chosen(round) else {
            return Vec::new();
        };
        let mut layers = Vec::new();
        for side in Side::BOTH {
            let pack = &chosen.sides[side.index()];
            let mut name = |layer: Layer, n: usize| layers.push((format!("{side}-{n}"), layer));
            let mut n = 0;
            for nm in &pack.shims_nanometres {
                n += 1;
                name(Layer::Shim(*nm), n);
            }
            if self.facts().packs_are_whole() {
                name(Layer::Pack(pack.plates.clone()), n + 1);
                continue;
            }
            for plate in &pack.plates {
                n += 1;
                name(Layer::Plate(plate.clone()), n);
            }
        }
        layers
    }
}

/// A thing that is laid into a pack.
pub(super) enum Layer {
    Shim(i64),
    /// The spring of a side, or those between the rings.
    Spring,
    Plate(String),
    /// The pressure ring of a side.
    Ring(Side),
    /// All plates of a pack that was never taken apart.
    Pack(Vec<String>),
}

/// Questions whose answer holds for every round, where their step does not say otherwise.
fn is_asked_once(step: &Step) -> bool {
    let once = step.kind == super::ask::StepKind::Caution
        || matches!(
            step.fills,
            Some(
                Field::Wrench
                    | Field::WrenchExtension
                    | Field::Held
                    | Field::Turned
                    | Field::Drag
                    | Field::DrivelineDrag
            )
        );
    once && !step.again
}
