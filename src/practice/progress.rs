//! How far somebody has come, by kind of fault: met, found, missed, and what to practise next.

use super::debriefed::Group;
use super::drills::Drill;
use crate::quantity::seconds_of;
use crate::record::diagnosis::FaultKind;
use crate::record::drilled::Drilled;
use crate::record::practised::{DrillProgress, KindProgress, Practised, Progress};

/// Who practised, by the names of runs and cards, each once in the order of the alphabet.
pub fn practised_by(runs: &[Practised], cards: &[Drilled]) -> Vec<String> {
    let of_cards = cards.iter().filter_map(|card| match card {
        Drilled::Answered { by, .. } => by.as_deref(),
        Drilled::Dealt { .. } => None,
    });
    let mut names: Vec<String> = Vec::new();
    let finished = runs.iter().filter(|run| run.finished.is_some());
    for name in finished.map(|run| run.by.as_str()).chain(of_cards) {
        if !name.is_empty() && !names.iter().any(|known| known.eq_ignore_ascii_case(name)) {
            names.push(name.to_string());
        }
    }
    names.sort_by_key(|name| name.to_lowercase());
    names
}

/// Of runs and cards, oldest first; with a name only of who practised under it, in whatever case of letters.
pub fn progress(runs: &[Practised], cards: &[Drilled], by: Option<&str>) -> Progress {
    let is_theirs = |name: &str| by.is_none_or(|by| name.eq_ignore_ascii_case(by));
    let runs: Vec<&Practised> = runs
        .iter()
        .filter(|run| run.finished.is_some() && is_theirs(&run.by))
        .collect();
    let kinds: Vec<KindProgress> = FaultKind::all().map(|kind| of_kind(kind, &runs)).collect();
    let mut drills: Vec<(DrillProgress, Vec<i64>)> = Vec::new();
    for card in cards {
        let Drilled::Answered {
            by: name,
            drill,
            topic,
            right,
            seconds,
            ..
        } = card
        else {
            continue;
        };
        if !is_theirs(name.as_deref().unwrap_or("")) {
            continue;
        }
        let known = drills
            .iter()
            .position(|(one, _)| one.drill == *drill && one.topic == *topic);
        let at = known.unwrap_or_else(|| {
            let one = DrillProgress {
                drill: drill.clone(),
                topic: topic.clone(),
                answered: 0,
                right: 0,
                seconds: None,
            };
            drills.push((one, Vec::new()));
            drills.len() - 1
        });
        let (one, times) = &mut drills[at];
        one.answered += 1;
        one.right += usize::from(*right);
        times.extend(i64::try_from(*seconds));
    }
    let mut drills: Vec<DrillProgress> = drills
        .into_iter()
        .map(|(one, times)| DrillProgress {
            seconds: median(times),
            ..one
        })
        .collect();
    drills.sort_by(|a, b| (&a.drill, &a.topic).cmp(&(&b.drill, &b.topic)));
    let level = runs.last().map_or(1, |run| run.made.level);
    Progress {
        by: by.unwrap_or("").to_string(),
        runs: runs.len(),
        scores: runs.iter().filter_map(|run| run.score).collect(),
        next: next(&kinds, &drills, level, runs.is_empty()),
        kinds,
        drills,
    }
}

fn of_kind(kind: FaultKind, runs: &[&Practised]) -> KindProgress {
    let met: Vec<(&&Practised, bool)> = runs
        .iter()
        .filter_map(|run| {
            let (_, found) = run.kinds.iter().find(|(had, _)| *had == kind)?;
            Some((run, *found))
        })
        .collect();
    let minutes = met.iter().filter_map(|(run, _)| {
        let seconds = seconds_of(run.finished.as_deref()?)? - seconds_of(&run.begun)?;
        Some(seconds / 60)
    });
    KindProgress {
        kind,
        met: met.len(),
        found: met.iter().filter(|(_, found)| *found).count(),
        minutes: median(minutes.collect()),
        last_found: met.last().map(|(_, found)| *found),
    }
}

/// The middle one, of an even number the lower of the two.
fn median(mut values: Vec<i64>) -> Option<i64> {
    values.sort_unstable();
    values.get(values.len().checked_sub(1)? / 2).copied()
}

/// The drill that trains what finds a kind of fault.
fn drill_for(kind: FaultKind) -> Option<Drill> {
    Some(match Group::of(kind) {
        Group::Plates if matches!(kind, FaultKind::Thin | FaultKind::Tapered | FaultKind::OtherMaker) => {
            Drill::Read
        }
        Group::Plates => Drill::Looks,
        Group::Order => Drill::Order,
        Group::Springs => Drill::Spring,
        Group::Gauges => Drill::Zero,
        Group::Wrench if matches!(kind, FaultKind::HeldOtherwise | FaultKind::Drag) => Drill::Held,
        Group::Wrench => Drill::Wrench,
        Group::Rings | Group::Oil => return None,
    })
}

/// Less than so much of what was answered is not right yet.
const SURE_SHARE: f64 = 0.8;

/// The topic of the drills of which the least was right, where that is too little.
fn weakest(drills: &[DrillProgress]) -> Option<&DrillProgress> {
    let share = |one: &DrillProgress| one.right as f64 / one.answered.max(1) as f64;
    let weak = drills
        .iter()
        .filter(|one| one.answered > 0 && share(one) < SURE_SHARE);
    weak.min_by(|a, b| share(a).total_cmp(&share(b)))
}

/// What to practise next: what was missed the last time it was met, the most often missed first; then what the drills do not
/// get right; else a level on.
fn next(kinds: &[KindProgress], drills: &[DrillProgress], level: u32, nothing_yet: bool) -> (String, String) {
    let job = |level: u32| format!("shimwright practise --level {level}");
    let missed = kinds
        .iter()
        .filter(|one| one.last_found == Some(false))
        .max_by_key(|one| one.met - one.found);
    if let Some(one) = missed {
        let why = format!("{} was missed when it was last there", one.kind.word());
        return match drill_for(one.kind) {
            Some(drill) => (format!("shimwright practise --drill {}", drill.word()), why),
            None => (job(level), why),
        };
    }
    if let Some(one) = weakest(drills) {
        let why = format!(
            "of the cards of {} about {} {} of {} were right",
            one.drill, one.topic, one.right, one.answered
        );
        return (format!("shimwright practise --drill {}", one.drill), why);
    }
    if nothing_yet {
        return (job(1), "nothing has been finished yet".to_string());
    }
    match level {
        4 => (job(4), "whatever was met was found the last time".to_string()),
        level => (
            job(level + 1),
            "whatever was met was found the last time: a level on".to_string(),
        ),
    }
}
