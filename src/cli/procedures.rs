//! `procedures`: the stock procedures, and one step by step.

use super::exit::Exit;
use super::failure::Failure;
use super::options::Speaking;
use crate::app::find_procedure;
use crate::app::output::{width, write_out};
use crate::procedure::{
    Condition, Each, Field, Guard, Hazard, Kind, Plain, Procedure, STOCK, Step, StepKind,
};
use crate::record::{ProcedureTold, StageTold, StepTold};
use crate::report::{Table, to_json};
use crate::screen::{filled, table};
use clap::Args;

#[derive(Args)]
pub(super) struct Procedures {
    /// A stock procedure, or the path of a TOML file; without it all stock procedures are listed
    pub name: Option<String>,
    #[command(flatten)]
    pub speaking: Speaking,
    /// Give the TOML text, to copy and edit
    #[arg(long, requires = "name")]
    pub toml: bool,
    /// Report as one JSON object
    #[arg(long, conflicts_with = "toml")]
    pub json: bool,
}

/// Lists the stock procedures, or shows one step by step.
pub(super) fn procedures(asked: &Procedures) -> Result<Exit, Failure> {
    let Some(name) = &asked.name else {
        let text = if asked.json {
            let all: Result<Vec<ProcedureTold>, Failure> = STOCK
                .iter()
                .map(|stock| Ok(told(&read(stock.id, &asked.speaking)?)))
                .collect();
            to_json(&ProcedureTold::list(&all?))?
        } else {
            listed(&asked.speaking)?
        };
        write_out(&text, false)?;
        return Ok(Exit::Done);
    };
    let text = find_procedure(name, asked.speaking.code().as_deref())?;
    let shown = if asked.toml {
        text.text.clone()
    } else {
        let procedure = Procedure::read(&text.name, &text.text)?;
        match asked.json {
            true => to_json(&told(&procedure).summary())?,
            false => shown(&procedure, name),
        }
    };
    write_out(&shown, false)?;
    Ok(Exit::Done)
}

/// A procedure as machines are told of it.
fn told(procedure: &Procedure) -> ProcedureTold {
    let conditions = |all: &[Condition]| all.iter().map(|one| one.word()).collect();
    let hazards = |all: &[Hazard]| all.iter().map(|one| one.word()).collect();
    let step = |step: &Step| StepTold {
        id: step.id.clone(),
        kind: step.kind.word(),
        words: step.words.clone(),
        why: step.why.clone(),
        tools: step.tools.clone(),
        wanted: wanted(step),
        fills: step.fills.map(Field::word),
        needs: step.needs.iter().map(|field| field.word()).collect(),
        each: step.each.map(Each::word),
        points: step.points,
        only: conditions(&step.only),
        ways: step.ways.clone(),
        guard: step.guard.map(Guard::word),
        skip: step.skip,
        hazards: hazards(&step.hazards),
        covers: hazards(&step.covers),
        torque: step.torque,
    };
    ProcedureTold {
        id: procedure.id.clone(),
        title: procedure.title.clone(),
        purpose: procedure.purpose.clone(),
        language: procedure.spoken.language.clone(),
        sheet: procedure.sheet.clone(),
        only: conditions(&procedure.only),
        stages: procedure
            .stages
            .iter()
            .map(|stage| StageTold {
                title: stage.title.clone(),
                steps: stage.steps.iter().map(step).collect(),
            })
            .collect(),
    }
}

/// A stock procedure in the language that is asked for.
fn read(id: &str, speaking: &Speaking) -> Result<Procedure, Failure> {
    let text = find_procedure(id, speaking.code().as_deref())?;
    Ok(Procedure::read(&text.name, &text.text)?)
}

fn listed(speaking: &Speaking) -> Result<String, Failure> {
    let mut rows = Vec::new();
    let mut mark = None;
    for stock in STOCK.iter() {
        let procedure = read(stock.id, speaking)?;
        mark = procedure.spoken.mark().or(mark);
        let only = conditions(&procedure.only);
        rows.push(vec![
            stock.id.to_string(),
            procedure.steps().count().to_string(),
            if only.is_empty() {
                procedure.purpose
            } else {
                format!("{} For {only} units only.", procedure.purpose)
            },
        ]);
    }
    let mark = mark.map(|mark| format!("{mark}\n")).unwrap_or_default();
    Ok(format!(
        "{}{mark}\nOne step by step: shimwright procedures NAME\nTo make one your own: shimwright procedures NAME --toml > our-own.toml\n",
        table(
            &Table::of_words(["procedure", "steps", "what it does"], rows),
            width()
        )
    ))
}

fn conditions(only: &[Condition]) -> String {
    only.iter()
        .map(|condition| condition.word())
        .collect::<Vec<_>>()
        .join(", ")
}

fn shown(procedure: &Procedure, name: &str) -> String {
    let mut out = filled(&format!("{} ({})", procedure.title, procedure.id), width());
    out.push_str(&filled(&procedure.purpose, width()));
    if !procedure.only.is_empty() {
        let only = conditions(&procedure.only);
        out.push_str(&filled(&format!("For {only} units only."), width()));
    }
    let mut number = 0;
    for stage in &procedure.stages {
        out.push('\n');
        out.push_str(&filled(&stage.title, width()));
        let rows: Vec<Vec<String>> = stage
            .steps
            .iter()
            .map(|step| {
                number += 1;
                vec![
                    number.to_string(),
                    step.kind.word().to_string(),
                    step.id.clone(),
                    wanted(step),
                    notes(step),
                ]
            })
            .collect();
        out.push_str(&table(
            &Table::of_words(["", "kind", "step", "what is wanted", "notes"], rows),
            width(),
        ));
        out.push('\n');
    }
    out.push_str(&format!(
        "\nThe words and reasons of each step: shimwright procedures {name} --toml\n"
    ));
    out
}

/// What a step wants for an answer.
fn wanted(step: &Step) -> String {
    let what = match (step.kind, step.fills.map(Field::kind), step.answer) {
        (StepKind::Caution, _, _) => "the word yes".to_string(),
        (_, Some(Kind::Quantity(dimension)), _) => match step.points {
            1 => dimension.article_name().to_string(),
            points => format!("{points} readings"),
        },
        (_, Some(Kind::Text), _) | (_, None, Plain::Text) => "words".to_string(),
        (_, Some(Kind::Name), _) => "a name".to_string(),
        (_, Some(Kind::Word), _) if !step.ways.is_empty() => step.ways.join(" or "),
        (_, Some(Kind::Word), _) => "one of some words".to_string(),
        (_, Some(Kind::Order), _) => "the order of the plates".to_string(),
        (_, Some(Kind::Choice), _) => "plates and shims".to_string(),
        (_, Some(Kind::Done), _) | (_, None, Plain::Done) => "that it is done".to_string(),
        (_, None, Plain::YesNo) => "yes or no".to_string(),
    };
    match step.each {
        Some(each) => format!("{what}, for each {}", each.word()),
        None => what,
    }
}

/// Cautions, hazards, conditions and what may be left out.
fn notes(step: &Step) -> String {
    let words = |hazards: &[Hazard]| {
        hazards
            .iter()
            .map(|hazard| hazard.word())
            .collect::<Vec<_>>()
            .join(", ")
    };
    let mut notes = Vec::new();
    if !step.covers.is_empty() {
        notes.push(format!("covers {}", words(&step.covers)));
    }
    if !step.hazards.is_empty() {
        notes.push(format!("hazard: {}", words(&step.hazards)));
    }
    if let Some(torque) = step.torque {
        notes.push(format!("to {torque}"));
    }
    if !step.only.is_empty() {
        notes.push(format!("only {}", conditions(&step.only)));
    }
    if let Some(guard) = step.guard {
        notes.push(
            match guard {
                Guard::Typed => "typed in full",
                Guard::Stops => "typed in full; a no stops the way",
            }
            .to_string(),
        );
    }
    if step.skip {
        notes.push("may be left out".to_string());
    }
    notes.join("; ")
}
