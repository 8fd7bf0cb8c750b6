//! What was practised so far, run by run.

use super::failure::Failure;
use super::load::{Sources, practice_dir};
use super::output::{width, write_out};
use super::practise::{is_same, runs, sources};
use crate::book::{BuildId, Shelf};
use crate::practice::{GeneratedUnit, Line};
use crate::procedure::Session;
use crate::record::Practised;
use crate::report::{Table, to_json};
use crate::screen::table;
use std::collections::BTreeMap;
use std::path::PathBuf;

pub(super) fn practised(id: &BuildId, session: &Session, made: &GeneratedUnit, digest: &str) -> Practised {
    let outcome = made.outcome(session);
    let finished = session.finished().map(str::to_string);
    // an unfinished run keeps its secrets
    let told = finished.is_some();
    let lines = |lines: Vec<Line>| -> Vec<(String, String)> {
        lines
            .into_iter()
            .filter(|_| told)
            .map(|line| (line.what, line.why))
            .collect()
    };
    Practised {
        build: id.to_string(),
        made: made.made(),
        begun: session.started().to_string(),
        finished,
        by: session.built_by().to_string(),
        score: outcome.score.as_ref().filter(|_| told).map(|score| score.percent),
        kinds: made.kinds(&outcome).into_iter().filter(|_| told).collect(),
        found: lines(outcome.found),
        missed: lines(outcome.missed),
        accused: lines(outcome.accused),
        misread: lines(outcome.misread),
        proof: outcome
            .proof
            .map(|(torque, verdict)| (torque, verdict.to_string())),
        digest: digest.to_string(),
    }
}

/// Lists what was practised, oldest first, so that the way one goes is seen.
pub(crate) fn past(book: Option<&PathBuf>, json: bool) -> Result<(), Failure> {
    let shelf = &Shelf::look(&practice_dir(book)?)?;
    let mut listed = Vec::new();
    for (id, from, opened) in runs(shelf)? {
        let Ok(made) = GeneratedUnit::new(from) else {
            continue;
        };
        let same = is_same(&Sources::kept(shelf, &id)?, &sources(&made));
        let made = made.walked_by(&opened.session.job().procedure);
        listed.push((
            practised(&id, &opened.session, &made, &opened.digest),
            same && opened.problems.is_empty() && opened.newer.is_empty(),
        ));
    }
    if json {
        let runs: Vec<Practised> = listed.into_iter().map(|(run, _)| run).collect();
        let text = to_json(&Practised::summary_of(&runs))?;
        write_out(&text, false)?;
        return Ok(());
    }
    if listed.is_empty() {
        let words = format!(
            "Nothing has been practised yet in {}. Begin with: shimwright practise\n",
            shelf.dir().display()
        );
        write_out(&words, false)?;
        return Ok(());
    }
    let mut text = "PRACTICE, no real units\n\n".to_string();
    let mut levels: BTreeMap<u32, (usize, usize, usize)> = BTreeMap::new();
    let rows: Vec<Vec<String>> = listed
        .iter()
        .map(|(run, sound)| {
            let there = run.found.len() + run.missed.len();
            let mut row = vec![
                run.begun.chars().take(10).collect(),
                run.made.level.to_string(),
                run.made.seed.to_string(),
            ];
            match (&run.finished, sound) {
                (_, false) => row.push("damaged, or of another version".to_string()),
                (None, _) => row.push("not finished".to_string()),
                (Some(_), true) => {
                    let sum = levels.entry(run.made.level).or_default();
                    sum.0 += 1;
                    sum.1 += run.found.len();
                    sum.2 += there;
                    row.push(format!("{} of {there}", run.found.len()));
                    row.push(run.accused.len().to_string());
                    row.push(run.misread.len().to_string());
                    let verdict = run.proof.as_ref().map(|(_, verdict)| verdict.clone());
                    row.push(verdict.unwrap_or_else(|| "none".to_string()));
                }
            }
            row.resize(7, String::new());
            row
        })
        .collect();
    let head = [
        "day",
        "level",
        "seed",
        "found",
        "wrongly accused",
        "misread",
        "proof",
    ];
    text.push_str(&format!("{}\n", table(&Table::of_words(head, rows), width())));
    for (level, (count, found, there)) in levels {
        text.push_str(&format!(
            "Level {level}: {found} of {there} faults found in {count} finished {}\n",
            if count == 1 { "run" } else { "runs" }
        ));
    }
    write_out(&text, false)?;
    Ok(())
}
