//! What was practised so far, run by run, and how far somebody has come.

use super::drill::kept;
use super::failure::Failure;
use super::font::{given_font, printed};
use super::load::{Sources, practice_dir};
use super::output::{Laid, Over, lay_down, text_of, to_copy, told};
use super::practice_shelf::{is_same, runs, sources};
use crate::book::{BuildId, Shelf};
use crate::practice::{GeneratedUnit, Group, Line, practised_by, progress as progress_of};
use crate::procedure::Session;
use crate::quantity::visible;
use crate::record::practised::{Practised, Progress};
use crate::report::{Report, Section, Table};
use crate::sheet::{Paper, progress_pdf};
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

/// What is to be listed of what was practised.
pub(crate) struct Past<'a> {
    /// The book beside which practice lies, where it is not the usual one.
    pub book: Option<&'a PathBuf>,
    /// Of whom; without it of all.
    pub by: Option<&'a str>,
    /// A page with the progress, its paper, and the font for what the built-in typeface lacks.
    pub sheet: Option<(&'a PathBuf, Paper, Option<&'a PathBuf>)>,
    /// Whether a file that is there may be written over.
    pub replace: bool,
    /// As one JSON object.
    pub json: bool,
}

/// Lists what was practised, oldest first, and how far somebody has come by kind of fault.
pub(crate) fn past(wanted: &Past<'_>) -> Result<(), Failure> {
    let dir = practice_dir(wanted.book)?;
    let shelf = &Shelf::look(&dir)?;
    let mut listed = Vec::new();
    for (id, from, opened) in runs(shelf)? {
        let Ok(made) = GeneratedUnit::new(from) else {
            continue;
        };
        let same = is_same(&Sources::kept(shelf, &id)?, &sources(&made, None));
        let made = made.walked_by(&opened.session.job().procedure);
        let run = practised(&id, &opened.session, &made, &opened.digest);
        if wanted.by.is_some_and(|by| !run.by.eq_ignore_ascii_case(by)) {
            continue;
        }
        listed.push((run, same && opened.problems.is_empty() && opened.newer.is_empty()));
    }
    let sound: Vec<Practised> = listed
        .iter()
        .filter(|(_, sound)| *sound)
        .map(|(run, _)| run.clone())
        .collect();
    let cards = kept(&dir)?;
    let names = practised_by(&sound, &cards);
    let mut progress = progress_of(&sound, &cards, wanted.by);
    progress.next.0 = to_copy(&progress.next.0, wanted.by, wanted.book);
    // one alone is told by the tables below
    let each: Vec<Progress> = match (wanted.by, names.len()) {
        (None, 2..) => names
            .iter()
            .map(|name| progress_of(&sound, &cards, Some(name)))
            .collect(),
        _ => Vec::new(),
    };
    let runs: Vec<Practised> = listed.iter().map(|(run, _)| run.clone()).collect();
    let mut report = Report::from(Practised::summary_of(&runs, &progress, &each));
    if listed.is_empty() && progress.drills.is_empty() {
        report = report.with(Section::new().words(format!(
            "Nothing has been practised yet {}in {}. Begin with: shimwright practise",
            wanted.by.map_or(String::new(), |by| format!("by {} ", visible(by))),
            visible(&shelf.dir().display().to_string())
        )));
    } else {
        report = report
            .with(
                Section::under("PRACTICE, no real units")
                    .words(whose(wanted.by, &names))
                    .table(table_of(&listed)),
            )
            .with_all(side_by_side(&each))
            .with_all(progress_sections(&progress));
    }
    let mut laid = Laid::default();
    let mut written = String::new();
    if let Some((path, paper, font)) = wanted.sheet {
        let sections = [side_by_side(&each), progress_sections(&progress)].concat();
        let font = given_font(font)?;
        let page = printed(font.as_ref(), || progress_pdf(&progress.by, &sections, paper))?;
        laid = lay_down(path, &page, Over::Nothing.or(wanted.replace))?;
        written = format!("\nThe page of progress: {}\n", told(path));
    }
    let text = text_of(&report, wanted.json)?;
    laid.say(&match wanted.json {
        true => text,
        false => text + &written,
    })
}

fn table_of(listed: &[(Practised, bool)]) -> Table {
    let rows: Vec<Vec<String>> = listed
        .iter()
        .map(|(run, sound)| {
            let there = run.found.len() + run.missed.len();
            let mut row = vec![
                run.begun.chars().take(10).collect(),
                run.by.clone(),
                run.made.level.to_string(),
                run.made.seed.to_string(),
            ];
            match (&run.finished, sound) {
                (_, false) => row.push("damaged, or of another version".to_string()),
                (None, _) => row.push("not finished".to_string()),
                (Some(_), true) => {
                    row.push(format!("{} of {there}", run.found.len()));
                    row.push(
                        run.score
                            .map_or("no diagnosis asked".to_string(), |score| format!("{score} %")),
                    );
                    row.push(run.accused.len().to_string());
                    row.push(run.misread.len().to_string());
                    let verdict = run.proof.as_ref().map(|(_, verdict)| verdict.clone());
                    row.push(verdict.unwrap_or_else(|| "none".to_string()));
                }
            }
            row.resize(9, String::new());
            row
        })
        .collect();
    let head = [
        "day", "by", "level", "seed", "found", "score", "accused", "misread", "proof",
    ];
    Table::of_words(head, rows)
}

/// Whose runs and cards are listed.
fn whose(by: Option<&str>, names: &[String]) -> String {
    match (by, names) {
        (Some(by), _) => format!("Of {by}."),
        (None, []) => String::new(),
        (None, names) => format!("Of all who practised here: {}.", names.join(", ")),
    }
}

/// Several apprentices, a row each in the order of the alphabet, for a master who asks what to teach whom: of each group of kinds
/// of faults how many were found of those that were met. Nobody is ranked.
fn side_by_side(each: &[Progress]) -> Vec<Section> {
    if each.is_empty() {
        return Vec::new();
    }
    let of = |(some, all): (usize, usize)| match all {
        0 => String::new(),
        all => format!("{some} of {all}"),
    };
    let rows: Vec<Vec<String>> = each
        .iter()
        .map(|one| {
            let found = |group: Group| {
                let kinds = one.kinds.iter().filter(|kind| Group::of(kind.kind) == group);
                kinds.fold((0, 0), |(found, met), kind| (found + kind.found, met + kind.met))
            };
            let cards = one.drills.iter().fold((0, 0), |(right, all), drill| {
                (right + drill.right, all + drill.answered)
            });
            let mut row = vec![one.by.clone(), one.runs.to_string()];
            row.extend(Group::ALL.map(|group| of(found(group))));
            row.push(of(cards));
            row
        })
        .collect();
    let mut head = vec!["by".to_string(), "runs".to_string()];
    head.extend(Group::ALL.map(|group| group.word().to_string()));
    head.push("cards".to_string());
    let next: Vec<String> = each
        .iter()
        .map(|one| format!("{}: {}", one.by, one.next.1))
        .collect();
    let words =
        "Faults that were found of those that were met, by kind, and cards of the drills that were right.";
    let section = Section::under("Side by side")
        .words(words)
        .table(Table::of_words(head, rows));
    vec![next.into_iter().fold(section, Section::words)]
}

/// How far somebody has come, for the screen and for paper.
fn progress_sections(progress: &Progress) -> Vec<Section> {
    let rows: Vec<Vec<String>> = progress
        .kinds
        .iter()
        .filter(|one| one.met > 0)
        .map(|one| {
            vec![
                one.kind.word().to_string(),
                one.met.to_string(),
                one.found.to_string(),
                (one.met - one.found).to_string(),
                one.minutes
                    .map_or(String::new(), |minutes| format!("{minutes} min")),
            ]
        })
        .collect();
    let never: Vec<&str> = progress
        .kinds
        .iter()
        .filter(|one| one.met == 0)
        .map(|one| one.kind.word())
        .collect();
    let drilled: Vec<Vec<String>> = progress
        .drills
        .iter()
        .map(|one| {
            vec![
                one.drill.clone(),
                one.topic.clone(),
                one.answered.to_string(),
                one.right.to_string(),
                one.seconds
                    .map_or(String::new(), |seconds| format!("{seconds} s")),
            ]
        })
        .collect();
    let scores: Vec<String> = progress.scores.iter().map(|score| format!("{score} %")).collect();
    let (command, why) = &progress.next;
    let kinds = Section::under("By kind of fault")
        .words(match scores.is_empty() {
            true => String::new(),
            false => format!("Scores, oldest first: {}.", scores.join(", ")),
        })
        .table(Table::of_words(
            ["kind", "met", "found", "missed", "median run"],
            rows,
        ));
    let kinds = match never.is_empty() {
        true => kinds,
        false => kinds.words(format!("Never met: {}.", never.join(", "))),
    };
    let drills = Section::under("Drills").table(Table::of_words(
        ["drill", "about", "cards", "right", "median card"],
        drilled,
    ));
    let next = Section::under("Next").words(format!("{command}: {why}."));
    [kinds, drills, next]
        .into_iter()
        .filter(|section| !section.parts.is_empty())
        .collect()
}
