//! What a run of practice came to, as sections for the screen and for the last page of its sheet.

use super::output::width;
use crate::metrology::Verdict;
use crate::practice::{CAREFUL_HAND, Debrief, FaultTold, GeneratedUnit, Line, Outcome, Score};
use crate::procedure::Session;
use crate::quantity::Units;
use crate::record::GeneratedFrom;
use crate::report::{Report, Section, Summary};
use crate::screen::lines;

/// How many misreadings are told one by one.
const MOST_MISREAD: usize = 5;

/// What a run came to, for a terminal.
pub(super) fn on_screen(
    made: &GeneratedUnit,
    session: &Session,
    outcome: &Outcome,
    summary: Summary,
) -> String {
    let GeneratedFrom { level, seed, .. } = made.made();
    let report = Report::from(summary).with_all(sections(made, session, outcome));
    format!(
        "\nPRACTICE, no real unit: level {level}, seed {seed}\n\n{}\n",
        lines(&report, width())
    )
}

/// What a run came to, section by section.
pub(super) fn sections(made: &GeneratedUnit, session: &Session, outcome: &Outcome) -> Vec<Section> {
    let mut sections = vec![summed_up(made, session, outcome)];
    match (made.debrief(session, outcome), &outcome.score) {
        (Some(debrief), Some(score)) => {
            sections.push(before(&debrief, score));
            sections.extend(
                debrief
                    .groups
                    .iter()
                    .map(|(group, faults)| faults.iter().fold(Section::under(group.words()), fault)),
            );
            sections.push(beside(&debrief, score));
        }
        _ => {
            let told = "This run was begun before practice asked for a diagnosis: what was done at the bench is held against \
                        the faults.";
            let section = Section::under("The faults").words(told);
            let section = listed(section, "FOUND", &outcome.found);
            sections.push(listed(section, "MISSED", &outcome.missed));
        }
    }
    let section = listed(
        Section::under("Beside the faults"),
        "WRONGLY ACCUSED",
        &outcome.accused,
    );
    let first = outcome.misread.len().min(MOST_MISREAD);
    let section = listed(section, "MISREAD", &outcome.misread[..first]);
    let more = outcome.misread.len() - first;
    sections.push(match more {
        0 => section,
        // a stack of plates that nobody measured would fill the screen with one thing
        more => section.words(format!("MISREAD: {more} more like these")),
    });
    sections.retain(|section| !section.parts.is_empty());
    sections
}

fn listed(section: Section, head: &str, lines: &[Line]) -> Section {
    lines.iter().fold(section, |section, line| {
        section
            .words(format!("{head}: {}", line.what))
            .item("    ", line.why.clone())
    })
}

fn summed_up(made: &GeneratedUnit, session: &Session, outcome: &Outcome) -> Section {
    let there = outcome.found.len() + outcome.missed.len();
    let score = outcome
        .score
        .as_ref()
        .map_or(String::new(), |score| format!("Score: {} %. ", score.percent));
    let guessed = outcome.score.as_ref().map_or(String::new(), |score| {
        format!(" guessed {},", score.guesses.len())
    });
    let section = Section::under("What it came to")
        .words(format!(
            "{score}Found {} of {there}, missed {},{guessed} wrongly accused {}, misread {}.",
            outcome.found.len(),
            outcome.missed.len(),
            outcome.accused.len(),
            outcome.misread.len()
        ))
        .words(proof_words(made, session, outcome));
    let costs = outcome.score.iter().flat_map(|score| &score.costs);
    let costs: Vec<String> = costs.map(|(what, points)| format!("{what} {points}")).collect();
    match costs.is_empty() {
        true => section,
        false => section.words(format!(
            "It cost, of a hundred points a fault: {}.",
            costs.join(", ")
        )),
    }
}

fn before(debrief: &Debrief, score: &Score) -> Section {
    let suspected: Vec<String> = score
        .suspected
        .iter()
        .map(|(kind, there)| {
            format!(
                "{} ({})",
                kind.word(),
                if *there { "so it was" } else { "not there" }
            )
        })
        .collect();
    let suspicion = match suspected.is_empty() {
        true => "Before it was opened nothing was suspected.".to_string(),
        false => format!("Before it was opened you suspected {}.", suspected.join(", ")),
    };
    Section::under("Before it was opened").words(format!("{} {suspicion}", debrief.complaint))
}

fn fault(section: Section, told: &FaultTold) -> Section {
    let judged = &told.judged;
    let head = match (judged.is_found(), &judged.line) {
        (true, _) => "FOUND",
        (false, Some(_)) => "MISSED, the part is another",
        (false, None) => "MISSED",
    };
    let answered = match told.answered.as_str() {
        "" => "nothing".to_string(),
        text => text.to_string(),
    };
    let right = |is: bool| if is { "right" } else { "not right" };
    let said = match &judged.line {
        None => "It was not named in the diagnosis.".to_string(),
        Some(line) => format!(
            "You said: {line}. Part {}, sign {}, how one knows {}.",
            right(judged.part),
            right(judged.sign),
            right(judged.known)
        ),
    };
    let hints = match judged.rung {
        0 => String::new(),
        rung => format!(", with {rung} of 4 hints"),
    };
    let hints = match judged.told_first && judged.is_found() {
        true => format!("{hints}; your own verdict on it was another: the program said it first"),
        false => hints,
    };
    section
        .words(format!(
            "{head}: {}. {} of 100 points{hints}",
            told.what, judged.points
        ))
        .item(
            "    ",
            format!("It stood at {}: {} Answered: {answered}.", told.place, told.stood),
        )
        .item("    ", said)
        .item("    ", format!("{}.", told.effects.join(". ")))
        .item("    ", told.why.clone())
}

fn beside(debrief: &Debrief, score: &Score) -> Section {
    let mut section = Section::under("What was no fault");
    for decoy in &debrief.decoys {
        let mark = if decoy.right { "RIGHT" } else { "NOT RIGHT" };
        section = section.words(format!("{mark}: {}", decoy.what));
    }
    for guess in &score.guesses {
        section = section.words(format!("GUESSED: {guess}"));
    }
    if !score.wrong_verdicts.is_empty() {
        let plates = score.wrong_verdicts.join(", ");
        section = section.words(format!(
            "VERDICTS: yours were other than the readings give on {plates}"
        ));
    }
    if !score.not_read_again.is_empty() {
        let plates = score.not_read_again.join(", ");
        section = section.words(format!("NOT READ A SECOND TIME, where it mattered: {plates}"));
    }
    section
}

/// The proof as it was written down, and what that comes to against the window.
fn proof_words(made: &GeneratedUnit, session: &Session, outcome: &Outcome) -> String {
    let window = &made.job().unit.proof;
    match outcome.proof {
        None => "The unit was not proved.".to_string(),
        Some((torque, verdict)) => format!(
            "{}{} against {} to {}: {verdict}.{}",
            written(session),
            torque.show(Units::Metric),
            window.least.show(Units::Metric),
            window.most.show(Units::Metric),
            if verdict == Verdict::Inside && !outcome.missed.is_empty() {
                " A proof inside its window does not say that nothing is wrong."
            } else {
                ""
            }
        ),
    }
}

/// The readings of the proof as they stand in the record, and by whom.
fn written(session: &Session) -> String {
    let readings = session.proof_readings();
    let given = readings.iter().all(|(_, by)| *by == CAREFUL_HAND);
    let how = if given {
        "it was given"
    } else {
        "you wrote it down"
    };
    let readings: Vec<String> = readings
        .iter()
        .map(|(torque, _)| torque.show(Units::Metric))
        .collect();
    format!(
        "The proof as {how}: {}. Turning, with drag, extension and the way of holding counted, that is ",
        readings.join(", ")
    )
}
