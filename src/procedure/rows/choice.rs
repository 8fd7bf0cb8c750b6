//! The choice of plates and shims.

use super::plain::answer;
use crate::choice::First;
use crate::mechanics::Side;
use crate::procedure::ask::{AnswerOption, Refusal};
use crate::procedure::choosing::unlike;
use crate::procedure::definition::Step;
use crate::procedure::derived::Derived;
use crate::procedure::field::{Field, Subject};
use crate::procedure::row::{Against, Beside, Here, InPractice, OnForm, OnSheet, Reads, Row, Timing, rows};
use crate::procedure::typed::{Read, no};
use crate::record::form::OpenRows;
use crate::record::{Chosen, Value};
use crate::workshop::Aim;

rows! { Choice:
    /// The choice of plates and shims.
    CHOICE = Row {
        word: "choice",
        each: None,
        rests_on: &[
            &[Field::RING_HEIGHT],
            &[Field::CASE_DEPTH],
            &[Field::PLATE_THICKNESS, Field::PRESSED_HEIGHT],
        ],
        asked: Timing::EACH_ROUND,
        prompt: answer,
        beside: proposals,
        why: chains,
        reads: Reads::Choice { ways, read },
        after: |here, _| {
            let chosen = here.derived.state.chosen(here.slot.round);
            chosen.map_or_else(Vec::new, |chosen| here.derived.tell_choice(chosen))
        },
        against: Against {
            open: |slot, value, last_round| match value {
                Value::Chosen(chosen) if slot.round == last_round && !chosen.reason.is_empty() => {
                    Some(format!("the choice was taken with a fault: {}", chosen.reason))
                }
                _ => None,
            },
            ..Against::NOTHING
        },
        form: OnForm::Room { rows: room, limits: form_limits },
        sheet: OnSheet::InTables,
        on_rail: None,
        practice: InPractice::NOTHING,
    };
}

/// The plates and shims that are drawn: the change by hand, what stood there before, or the best that was found.
fn drawn(here: &Here<'_>) -> Option<Chosen> {
    let draft = here.choosing.draft(&here.derived);
    let outcome = here.choosing.proposals(&here.derived).as_ref().ok()?;
    let before = || here.derived.chosen_before(here.beyond.round());
    draft.or_else(before).cloned().or_else(|| {
        let choice = outcome
            .choices
            .get(here.choosing.looked_at)
            .or(outcome.miss.as_ref().map(|miss| &miss.nearest))?;
        here.derived.chosen(&choice.sides, String::new())
    })
}

fn proposals(here: &Here<'_>) -> Beside {
    let (derived, units, choosing) = (&here.derived, here.units(), here.choosing);
    let outcome = match choosing.proposals(derived) {
        Ok(outcome) => outcome,
        Err(why) => {
            let back = (!choosing.wish.without_plates.is_empty())
                .then(|| "with A takes a plate back that was wished away, with all every one".to_string());
            let words = [Some(why.clone()), choosing.wish_words(units), back];
            return Beside::limits(words.into_iter().flatten());
        }
    };
    let mut beside = Beside::default();
    if outcome.choices.is_empty() {
        beside
            .limits
            .push("NOTHING FITS with the plates and shims that there are.".to_string());
        if let Some(miss) = &outcome.miss {
            beside
                .limits
                .push(format!("nearest miss: out by {}", miss.short_by.show(units)));
            for order in derived.wanted_parts(&miss.order).take(3) {
                beside
                    .limits
                    .push(format!("would fit with {}", derived.order_words(order)));
            }
        }
    }
    beside.table = choosing.table(derived, &outcome.choices);
    beside.limits.extend(choosing.wish_words(units));
    if let Some(draft) = choosing.draft(derived) {
        beside
            .limits
            .push(format!("drawn is the change {}, not taken yet", draft.how));
    } else if let (Some(first), Some(looked_at)) =
        (outcome.choices.first(), outcome.choices.get(choosing.looked_at))
        && choosing.looked_at > 0
    {
        let mut unlike = vec![unlike(first, looked_at).join(" ")];
        unlike.extend(Side::BOTH.into_iter().filter_map(|side| {
            let [was, is] = [first, looked_at].map(|choice| &choice.sides[side.index()].shims);
            let shown: Vec<String> = is.iter().map(|shim| shim.show(units)).collect();
            let shown = match shown.is_empty() {
                true => "none".to_string(),
                false => shown.join(" + "),
            };
            (was != is).then(|| format!("shims {side} {shown}"))
        }));
        unlike.retain(|words| !words.is_empty());
        if unlike.is_empty() {
            unlike.push("the order of the plates alone".to_string());
        }
        beside.limits.push(format!(
            "drawn is proposal {}; unlike 1: {}",
            choosing.looked_at + 1,
            unlike.join("; ")
        ));
    }
    if let Some(chosen) = drawn(here) {
        beside.drawing = derived.draw_names(&chosen);
        let dead = derived.tell_dead_faces(&chosen).into_iter();
        beside.limits.extend(dead.map(|said| said.words));
    }
    if let Some(rework) = &derived.job.rework {
        let [left, right] = rework.setting.faces;
        beside.limits.push(format!(
            "by the setting: {left} faces rub left, {right} right; the order of the plates follows that"
        ));
    }
    if let Aim::Preload { least, target, most } = derived.job.unit.aim {
        beside
            .limits
            .push(format!("preload wanted: {least} to {most}, target {target}"));
    }
    beside
}

fn chains(here: &Here<'_>) -> Vec<String> {
    let derived = &here.derived;
    let Some(chosen) = drawn(here) else {
        return Vec::new();
    };
    let order = match here.choosing.wish.first {
        First::Fewest => "fewest shims, then nearest to the target, then sides alike, then fewest new plates",
        First::Closest => {
            "nearest to the target, then fewest shims, then sides alike, then fewest new plates"
        }
        First::Surest => {
            "surest inside in tenths of a per cent, then fewest shims, then nearest to the target"
        }
        First::Reuse => "fewest new plates, then fewest shims, then nearest to the target",
        First::LeastChange => {
            "surest inside in whole per cent, all from 99 up alike; then fewest new plates; then fewest that change side; \
             then fewest shims, and nearest to the target"
        }
    };
    let mut lines = vec![
        format!("the order: {order}"),
        "1=2: no figure of theirs is a tenth of its ± apart, so that no gauge tells one from the other"
            .to_string(),
    ];
    for chain in derived.chains() {
        lines.extend(derived.chain_formula(&chosen.sides, chain));
    }
    lines
}

fn ways(here: &Here<'_>) -> Vec<AnswerOption> {
    let outcome = here.choosing.proposals(&here.derived).as_ref();
    let proposals = outcome.map_or(0, |outcome| outcome.choices.len());
    let hand = here.choosing.draft(&here.derived);
    (1..=proposals)
        .map(|n| AnswerOption::new(&n.to_string(), "take that proposal; look 2 draws one"))
        .chain(hand.map(|_| AnswerOption::new("hand", "take the change by hand")))
        .collect()
}

/// How a proposal came about.
fn how(here: &Here<'_>, n: usize) -> String {
    match here.choosing.wish_words(here.units()) {
        Some(wish) => format!("proposal {n}, {wish}"),
        None => format!("proposal {n}"),
    }
}

fn read(here: &Here<'_>, text: &str) -> Result<Read, Refusal> {
    let (word, reason) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let (derived, choosing) = (&here.derived, here.choosing);
    if word.eq_ignore_ascii_case("hand") {
        let Some(draft) = choosing.draft(derived) else {
            return no(
                "nothing has been changed by hand yet; write, for one: swap A B, or shims left 0.10 0.15",
            );
        };
        let faults = choosing.faults_of(derived, &draft.sides);
        if !faults.is_empty() && reason.trim().is_empty() {
            return no(format!(
                "this choice has a fault: {}; to take it all the same, write: hand BECAUSE OF THIS",
                faults.join("; ")
            ));
        }
        let chosen = Chosen {
            reason: reason.trim().to_string(),
            ..draft.clone()
        };
        return Read::plain(text, Value::Chosen(chosen));
    }
    let outcome = match choosing.proposals(derived) {
        Ok(outcome) => outcome,
        Err(why) => return no(why.clone()),
    };
    let picked = word
        .parse::<usize>()
        .ok()
        .and_then(|n| outcome.choices.get(n.checked_sub(1)?).map(|c| (n, c)));
    let Some((n, choice)) = picked else {
        let hands = "or a change by hand: swap A B, shims left 0.10 0.15";
        return match outcome.choices.len() {
            0 => no(format!(
                "nothing that was measured fits; write {hands}; or pause and get what is missing"
            )),
            count => no(format!("one of the proposals is wanted, 1 to {count}, {hands}")),
        };
    };
    match derived.chosen(&choice.sides, how(here, n)) {
        Some(chosen) => Read::plain(text, Value::Chosen(chosen)),
        None => no("these plates can not be put in an order with the wanted number of faces"),
    }
}

/// Room for the choice: shims and plates of both sides from the wall, with a tick for each that is in.
fn room(derived: &Derived<'_>, _: &Step) -> OpenRows {
    let unit = &derived.job.unit;
    // an older procedure lays in shims and plates only
    let all = derived.job.asks(Field::LAID_IN);
    let spring = (all && unit.spring_behind_pack()).then(|| "spring".to_string());
    let ring = all.then(|| "ring".to_string());
    let plates = unit.packs.iter().map(|pack| pack.order.len()).max().unwrap_or(0);
    let shims = (1..=unit.most_shims).map(|n| format!("shim {n}"));
    OpenRows {
        heads: ["from the wall", "left", "in", "right", "in"]
            .map(str::to_string)
            .to_vec(),
        labels: shims
            .chain(spring)
            .chain((1..=plates).map(|n| format!("plate {n}")))
            .chain(ring)
            .collect(),
    }
}

fn form_limits(derived: &Derived<'_>) -> Vec<String> {
    let units = derived.state.units;
    let aim = match derived.job.unit.aim {
        Aim::Gap { least, target, most } => format!(
            "gap wanted: {} to {}, target {}",
            least.show(units),
            most.show(units),
            target.show(units)
        ),
        Aim::Preload { least, target, most } => {
            format!("preload wanted: {least} to {most}, target {target}")
        }
    };
    vec![
        aim,
        "chosen with the program: type in the boxes before this one, and write its choice here".to_string(),
        "chosen here: typed in as shims left 0.10 0.15, plates left A B C, then hand".to_string(),
    ]
}
