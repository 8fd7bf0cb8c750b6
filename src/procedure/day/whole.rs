//! A drive day summed up from its answers.

use super::answers::{Answers, MOST_RUNS};
use super::questions::{AGE, DRIVEN_ON, Per, RUN, WHO, Wants, question_of};
use super::words::{NEXT, NONE};
use crate::record::Value;
use crate::record::driven::{Day, DayRun, Lap, Phase, TyreSet, felt_step};

impl Answers {
    /// The day as far as it is answered; `name` is its name in the book.
    pub fn day(&self, name: &str, begun: &str) -> Day {
        let text = |step: &str| self.words(step, None);
        let mut day = Day {
            name: name.to_string(),
            car: self.job.car.clone(),
            begun: begun.to_string(),
            finished: self.state.finished.clone(),
            driven_on: text(DRIVEN_ON),
            by: text(WHO),
            event: text("event"),
            kind: text("day-kind"),
            surface: text("surface"),
            weather: text("weather"),
            air: self.celsius("air"),
            road: self.celsius("road"),
            tyres: self
                .sets()
                .iter()
                .map(|set| TyreSet {
                    name: set.clone(),
                    kilometres: self.kilometres(AGE, Some(set)),
                })
                .collect(),
            drawn: self.drawn().cloned(),
            runs: Vec::new(),
            remarks: text("remarks"),
            odd: Vec::new(),
            scales: Default::default(),
        };
        for (_, step) in self.job.procedure.steps() {
            if let Some(Wants::Felt(phase)) = question_of(&step.id).map(|question| question.wants) {
                day.scales[phase.index()].clone_from(&step.scale);
            }
        }
        for number in 1..=MOST_RUNS {
            let item = number.to_string();
            match self.value(RUN, Some(&item), None) {
                Some(Value::Word { word, .. }) if word == NEXT => day.runs.push(self.run(number)),
                _ => break,
            }
        }
        for (slot, answer) in self.state.answers.iter().filter(|(_, answer)| answer.insisted) {
            day.odd.push(format!(
                "{slot} = {}, confirmed though it looked odd",
                answer.text
            ));
        }
        for run in &day.runs {
            let unfinished = self
                .job
                .settings
                .iter()
                .find(|setting| Some(&setting.driven) == run.setting.as_ref() && !setting.finished);
            if let Some(setting) = unfinished {
                day.odd
                    .push(format!("run {}: {} was never finished", run.number, setting.key));
            }
        }
        day
    }

    fn run(&self, number: usize) -> DayRun {
        let item = number.to_string();
        let text = |step: &str| self.words(step, Some(&item));
        let (setting, tyres) = self.of_run(number);
        let laps = self.laps(number).into_iter().enumerate();
        let mut felt = [None; 5];
        for (_, step) in self.job.procedure.steps() {
            let question = question_of(&step.id).filter(|question| question.per == Per::Run);
            if let Some(Wants::Felt(phase)) = question.map(|question| question.wants) {
                felt[Phase::index(phase)] = felt_step(&text(&step.id));
            }
        }
        DayRun {
            number,
            called: setting
                .as_ref()
                .map_or_else(String::new, |setting| self.job.called(setting)),
            setting,
            tyres,
            pressures: text("run-pressures"),
            changed: text("run-changed"),
            kilometres: self.kilometres("run-km", Some(&item)),
            laps: laps
                .map(|(at, milliseconds)| Lap {
                    milliseconds,
                    struck: self.struck(number, at + 1),
                })
                .collect(),
            felt,
            remark: text("run-remark"),
        }
    }

    /// The words of an answer; empty where there is none, or none is the answer.
    fn words(&self, step: &str, item: Option<&str>) -> String {
        match self.value(step, item, None) {
            Some(Value::Text(text)) => text.clone(),
            Some(Value::Word { word, .. }) if word != NONE => word.clone(),
            _ => String::new(),
        }
    }

    fn celsius(&self, step: &str) -> Option<f64> {
        match self.value(step, None, None) {
            Some(Value::Temperature(celsius)) => Some(*celsius),
            _ => None,
        }
    }

    fn kilometres(&self, step: &str, item: Option<&str>) -> Option<f64> {
        match self.value(step, item, None) {
            Some(Value::Distance(kilometres)) => Some(*kilometres),
            _ => None,
        }
    }
}
