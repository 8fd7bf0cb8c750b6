//! The questions of a drive day: what each wants, and how often it is asked.

use crate::document::Section;
use crate::procedure::definition::Step;
use crate::record::driven::{FELT, Phase};
use crate::record::phrase::Phrase;

/// How often a question is asked.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Per {
    /// Once.
    Day,
    /// Once for each set of tyres.
    Set,
    /// Whether there is another run: asked until there is none.
    Next,
    /// Once for each run.
    Run,
    /// In each run again and again, until nothing more is said.
    Lines,
}

/// What a question wants for an answer.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Wants {
    Name,
    Date,
    Text,
    /// Words, or nothing.
    Maybe,
    /// Words, or nothing, with those of the run before as a proposal.
    AsBefore,
    Kind,
    Temperature,
    Sets,
    Age,
    Next,
    Setting,
    Set,
    Distance,
    Times,
    Struck,
    Felt(Phase),
}

/// A question.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Question {
    /// The id of its step.
    pub id: &'static str,
    pub per: Per,
    pub wants: Wants,
    /// The words right before the answer.
    pub prompt: Phrase,
    /// Whether a day can not go without it.
    pub needed: bool,
}

const fn question(id: &'static str, per: Per, wants: Wants, prompt: Phrase) -> Question {
    Question {
        id,
        per,
        wants,
        prompt,
        needed: false,
    }
}

const fn needed(question: Question) -> Question {
    Question {
        needed: true,
        ..question
    }
}

pub(super) const WHO: &str = "who";
pub(super) const DRIVEN_ON: &str = "driven-on";
pub(super) const SETS: &str = "tyre-sets";
pub(super) const AGE: &str = "tyre-age";
pub(super) const RUN: &str = "run";
pub(super) const SETTING: &str = "run-build";
pub(super) const TYRES: &str = "run-tyres";
pub(super) const TIMES: &str = "times";
pub(super) const STRUCK: &str = "struck";
/// Where an order that was drawn stands; it is no question.
pub(super) const DRAWN: &str = "order-drawn";

/// Every question that a drive day knows.
const QUESTIONS: [Question; 25] = [
    needed(question(WHO, Per::Day, Wants::Name, Phrase::SignedName)),
    needed(question(DRIVEN_ON, Per::Day, Wants::Date, Phrase::DayDate)),
    question("event", Per::Day, Wants::Text, Phrase::EventAndPlace),
    question("day-kind", Per::Day, Wants::Kind, Phrase::KindOfDay),
    question("surface", Per::Day, Wants::Maybe, Phrase::Surface),
    question("weather", Per::Day, Wants::Maybe, Phrase::Weather),
    question("air", Per::Day, Wants::Temperature, Phrase::Air),
    question("road", Per::Day, Wants::Temperature, Phrase::Road),
    question(SETS, Per::Day, Wants::Sets, Phrase::SetsOfTyres),
    question(AGE, Per::Set, Wants::Age, Phrase::RunBefore),
    needed(question(RUN, Per::Next, Wants::Next, Phrase::RunPrompt)),
    needed(question(SETTING, Per::Run, Wants::Setting, Phrase::SettingPrompt)),
    question(TYRES, Per::Run, Wants::Set, Phrase::Tyres),
    question("run-pressures", Per::Run, Wants::AsBefore, Phrase::Pressures),
    question("run-changed", Per::Run, Wants::Maybe, Phrase::Changed),
    question("run-km", Per::Run, Wants::Distance, Phrase::Distance),
    needed(question(TIMES, Per::Lines, Wants::Times, Phrase::Times)),
    question(STRUCK, Per::Lines, Wants::Struck, Phrase::LapStruck),
    felt("feel-entry", Phase::Entry, Phrase::FeelEntry),
    felt("feel-middle", Phase::Middle, Phrase::FeelMiddle),
    felt("feel-power", Phase::Power, Phrase::FeelPower),
    felt("feel-lift", Phase::Lift, Phrase::FeelLift),
    felt("feel-straight", Phase::Straight, Phrase::FeelStraight),
    question("run-remark", Per::Run, Wants::Maybe, Phrase::RunRemark),
    question("remarks", Per::Day, Wants::Maybe, Phrase::DayRemarks),
];

const fn felt(id: &'static str, phase: Phase, prompt: Phrase) -> Question {
    question(id, Per::Run, Wants::Felt(phase), prompt)
}

/// The question of a step.
pub(super) fn question_of(step: &str) -> Option<&'static Question> {
    QUESTIONS.iter().find(|question| question.id == step)
}

/// Holds a step to what a drive day knows, where it is one of such a day.
pub(in crate::procedure) fn check_day_step(section: &Section<'_>, step: &Step, drive_day: bool) {
    if !drive_day {
        if !step.scale.is_empty() {
            let said = "only what is felt on a drive day has a scale";
            section.fault_by("sense", section.span_of("scale"), said);
        }
        return;
    }
    let Some(question) = question_of(&step.id) else {
        let known: Vec<&str> = QUESTIONS.iter().map(|question| question.id).collect();
        let said = format!(
            "a drive day has no step \"{}\"; it knows {}",
            step.id,
            known.join(", ")
        );
        return section.fault_by("day-step", section.span_of("id"), said);
    };
    if step.fills.is_some() || !step.needs.is_empty() {
        let said = "a step of a drive day fills nothing of a unit in";
        section.fault_by("day-step", section.span_of("fills"), said);
    }
    let wanted = match question.wants {
        Wants::Felt(_) => FELT.len(),
        _ => 0,
    };
    if step.scale.len() != wanted {
        let said = match wanted {
            0 => "only what is felt has a scale".to_string(),
            steps => format!("a scale has {steps} steps, from far too little lock to far too much"),
        };
        section.fault_by("day-step", section.span_of("scale"), said);
    }
}

/// Holds the steps of a drive day to their order: the day, its runs, the end.
pub(in crate::procedure) fn check_day(top: &Section<'_>, steps: &[&str]) {
    for question in QUESTIONS.iter().filter(|question| question.needed) {
        if !steps.contains(&question.id) {
            let said = format!("a drive day needs a step with the id \"{}\"", question.id);
            top.fault_by("day-step", 0..0, said);
        }
    }
    let place = |id: &str| steps.iter().position(|step| *step == id);
    let of_runs = |per: Per| matches!(per, Per::Run | Per::Lines);
    let runs: Vec<usize> = (0..steps.len())
        .filter(|at| question_of(steps[*at]).is_some_and(|question| of_runs(question.per)))
        .collect();
    let together = runs.windows(2).all(|pair| pair[1] == pair[0] + 1);
    if place(RUN).map(|at| at + 1) != runs.first().copied() || !together {
        let said = "the steps of a run stand together, right behind the step \"run\"";
        top.fault_by("day-step", 0..0, said);
    }
    let needs = [(AGE, SETS), (TYRES, SETS), (STRUCK, TIMES)];
    for (step, before) in needs {
        if place(step).is_some() && place(before).is_none_or(|before| Some(before) >= place(step)) {
            let said = format!("\"{step}\" needs the step \"{before}\" before it");
            top.fault_by("day-step", 0..0, said);
        }
    }
}
