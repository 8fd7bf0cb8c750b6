//! A procedure for machines.

use crate::quantity::Torque;
use crate::report::Summary;
use serde_json::{Value, json};

/// A procedure as machines are told of it.
#[derive(Clone, PartialEq, Default, Debug)]
pub struct ProcedureTold {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What it is for.
    pub purpose: String,
    /// What its sheet is called.
    pub sheet: String,
    /// The language that it is written in.
    pub language: String,
    /// What a unit must be for it.
    pub only: Vec<&'static str>,
    /// Its stages in order.
    pub stages: Vec<StageTold>,
}

/// A stage of it.
#[derive(Clone, PartialEq, Default, Debug)]
pub struct StageTold {
    /// Its title.
    pub title: String,
    /// Its steps in order.
    pub steps: Vec<StepTold>,
}

/// A step of it; words are those of procedure files.
#[derive(Clone, PartialEq, Default, Debug)]
pub struct StepTold {
    /// Its id.
    pub id: String,
    /// Its kind.
    pub kind: &'static str,
    /// What to do, one paragraph an element.
    pub words: Vec<String>,
    /// Why.
    pub why: String,
    /// With what.
    pub tools: Vec<String>,
    /// What is wanted for an answer, in words.
    pub wanted: String,
    /// What the answer fills in.
    pub fills: Option<&'static str>,
    /// What must have been filled in before.
    pub needs: Vec<&'static str>,
    /// What it is asked once for.
    pub each: Option<&'static str>,
    /// How many readings are taken.
    pub points: u32,
    /// What a unit must be for it to be asked.
    pub only: Vec<&'static str>,
    /// The only words that the answer may be, where it is held to some.
    pub ways: Vec<String>,
    /// How the answer guards a life or the build.
    pub guard: Option<&'static str>,
    /// Whether it may be left out with a reason.
    pub skip: bool,
    /// What can hurt in it.
    pub hazards: Vec<&'static str>,
    /// What it covers, if it is a caution.
    pub covers: Vec<&'static str>,
    /// A torque of its own.
    pub torque: Option<Torque>,
}

impl ProcedureTold {
    fn head(&self) -> Value {
        json!({
            "procedure": self.id,
            "procedure_title": self.title,
            "purpose": self.purpose,
            "sheet": self.sheet,
            "language": self.language,
            "only": self.only,
        })
    }

    /// All of it: its head, and `stages` with their `steps`.
    pub fn summary(&self) -> Summary {
        let mut number = 0;
        let stages: Vec<Value> = self
            .stages
            .iter()
            .map(|stage| {
                let steps: Vec<Value> = stage
                    .steps
                    .iter()
                    .map(|step| {
                        number += 1;
                        step.told(number)
                    })
                    .collect();
                json!({"title": stage.title, "steps": steps})
            })
            .collect();
        let mut told = self.head();
        told["stages"] = json!(stages);
        Summary::told("procedure", told)
    }

    /// A list of some: of each its head and how many `steps` it has.
    pub fn list(all: &[ProcedureTold]) -> Summary {
        let all: Vec<Value> = all
            .iter()
            .map(|one| {
                let mut told = one.head();
                let steps = one.stages.iter().map(|stage| stage.steps.len());
                told["steps"] = json!(steps.sum::<usize>());
                told
            })
            .collect();
        Summary::told("procedures", json!({ "procedures": all }))
    }
}

impl StepTold {
    fn told(&self, number: usize) -> Value {
        json!({
            "number": number,
            "id": self.id,
            "kind": self.kind,
            "words": self.words,
            "why": self.why,
            "tools": self.tools,
            "wanted": self.wanted,
            "fills": self.fills,
            "needs": self.needs,
            "each": self.each,
            "points": self.points,
            "only": self.only,
            "ways": self.ways,
            "guard": self.guard,
            "may_be_left_out": self.skip,
            "hazards": self.hazards,
            "covers": self.covers,
            "torque_nm": self.torque.map(Torque::newton_metres),
        })
    }
}
