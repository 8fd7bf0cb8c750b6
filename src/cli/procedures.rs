use super::exit::Exit;
use super::failure::Failure;
use super::load::find_procedure;
use super::reports::write_out;
use crate::procedure::{Field, Kind, Plain, Procedure, STOCK, Step, StepKind};
use crate::sheet::{filled, table};
use clap::Args;

/// Columns of the terminal that are counted on.
const WIDTH: usize = 80;

#[derive(Args)]
pub(super) struct Procedures {
    /// A stock procedure, or the path of a TOML file; without it all stock procedures are listed
    pub name: Option<String>,
    /// Give the TOML text, to copy and edit
    #[arg(long, requires = "name")]
    pub toml: bool,
}

/// Lists the stock procedures, or shows one step by step.
pub(super) fn procedures(asked: &Procedures) -> Result<Exit, Failure> {
    let Some(name) = &asked.name else {
        write_out(&listed()?, false)?;
        return Ok(Exit::Done);
    };
    let text = find_procedure(name)?;
    let shown = if asked.toml {
        text.text.clone()
    } else {
        shown(&Procedure::read(&text.name, &text.text)?, name)
    };
    write_out(&shown, false)?;
    Ok(Exit::Done)
}

fn listed() -> Result<String, Failure> {
    let mut rows = Vec::new();
    for (id, source) in STOCK {
        let procedure = Procedure::read(id, source)?;
        let only = conditions(&procedure.only);
        rows.push(vec![
            (*id).to_string(),
            procedure.steps().count().to_string(),
            if only.is_empty() {
                procedure.purpose
            } else {
                format!("{} For {only} units only.", procedure.purpose)
            },
        ]);
    }
    Ok(format!(
        "{}\n\nOne step by step: shimwright procedures NAME\nTo make one your own: shimwright procedures NAME --toml > our-own.toml\n",
        table(&["procedure", "steps", "what it does"], &rows, WIDTH)
    ))
}

fn conditions(only: &[crate::procedure::Condition]) -> String {
    only.iter()
        .map(|condition| condition.word())
        .collect::<Vec<_>>()
        .join(", ")
}

fn shown(procedure: &Procedure, name: &str) -> String {
    let mut out = filled(&format!("{} ({})", procedure.title, procedure.id), WIDTH);
    out.push_str(&filled(&procedure.purpose, WIDTH));
    if !procedure.only.is_empty() {
        let only = conditions(&procedure.only);
        out.push_str(&filled(&format!("For {only} units only."), WIDTH));
    }
    let mut number = 0;
    for stage in &procedure.stages {
        out.push('\n');
        out.push_str(&filled(&stage.title, WIDTH));
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
            &["", "kind", "step", "what is wanted", "notes"],
            &rows,
            WIDTH,
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
    let words = |hazards: &[crate::procedure::Hazard]| {
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
    if step.skip {
        notes.push("may be left out".to_string());
    }
    notes.join("; ")
}
