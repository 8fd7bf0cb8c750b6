//! Units and adaptors of the torque wrench.

use super::card::{Card, Kind, Wanted};
use super::pick::{one_of, whole};
use crate::mechanics::wrench::{setting_for, true_torque};
use crate::metrology::Stream;
use crate::procedure::AnswerOption;
use crate::quantity::{Angle, Length, Torque, parse};

pub(super) fn card(random: &mut Stream) -> Option<Card> {
    match random.below(4) {
        0 => units(random),
        1 => set_with_adaptor(random),
        2 => clicked_with_adaptor(random),
        _ => which_way(random),
    }
}

/// From, to, least and most figure, decimals that a scale can be set to, and an example that is never right.
const UNITS: [(&str, &str, i64, i64, usize, &str); 5] = [
    ("N·m", "lbf·ft", 22, 130, 1, "7.5"),
    ("lbf·ft", "N·m", 15, 95, 1, "7.5"),
    ("N·m", "lbf·in", 4, 14, 0, "17"),
    ("kgf·m", "N·m", 2, 12, 1, "7.5"),
    ("N·m", "kgf·m", 22, 118, 2, "0.85"),
];

fn units(random: &mut Stream) -> Option<Card> {
    let (from, to, low, high, decimals, example) = *one_of(random, &UNITS)?;
    let figure = whole(random, low, high);
    let wanted: Torque = parse(&format!("{figure} {from}")).ok()?;
    let one: Torque = parse(&format!("1 {to}")).ok()?;
    let right = wanted.newton_metres();
    let set = right / one.newton_metres();
    // the unit that is none of the newton metre, as far as it counts
    let foreign: Torque = parse(&format!("1 {}", if from == "N·m" { to } else { from })).ok()?;
    let worth = format!("{:.6}", foreign.newton_metres());
    let worth = worth.trim_end_matches('0');
    Some(Card {
        topic: "units",
        words: vec![format!(
            "The maker's manual says {figure} {from} for the bolts of the cover. The wrench in the drawer has a scale in {to}."
        )],
        drawing: Vec::new(),
        prompt: "What is it set to?".to_string(),
        wanted: Wanted::Number {
            kind: Kind::Torque,
            unit: to,
            right,
            // who reckons in the head is within a hundredth
            near: 0.012 * right,
            shown: format!("{set:.decimals$} {to}"),
            example,
        },
        reason: vec![
            format!("1 {} = {worth} N·m", if from == "N·m" { to } else { from }),
            match from {
                "N·m" => format!("{figure} N·m/{worth} N·m = {set:.decimals$}, so {set:.decimals$} {to}"),
                _ => format!("{figure} · {worth} N·m = {set:.decimals$} N·m"),
            },
        ],
        slips: vec![(
            figure as f64 * one.newton_metres(),
            "The number was taken over without its unit.".to_string(),
        )],
    })
}

/// A wrench, and an adaptor on it, in millimetres.
fn adaptor(random: &mut Stream) -> (i64, i64) {
    (10 * whole(random, 24, 52), 5 * whole(random, 6, 20))
}

/// A torque that is wanted in newton metres; who reckons in the head is within a hundredth.
fn in_newton_metres(right: f64) -> Wanted {
    Wanted::Number {
        kind: Kind::Torque,
        unit: "N·m",
        right,
        near: 0.012 * right,
        shown: format!("{right:.1} N·m"),
        example: "7.5",
    }
}

fn metres(mm: i64) -> Length {
    Length::from_um(1_000 * mm)
}

fn set_with_adaptor(random: &mut Stream) -> Option<Card> {
    let (length, reach) = adaptor(random);
    let figure = whole(random, 24, 110);
    let wanted = Torque::from_newton_metres(figure as f64).ok()?;
    let straight = Angle::from_degrees(0.0).ok()?;
    let right = setting_for(wanted, metres(length), metres(reach), straight)
        .ok()?
        .newton_metres();
    Some(Card {
        topic: "adaptor",
        words: vec![format!(
            "The bolt wants {figure} N·m. There is no room for a socket, so an open-ended adaptor of {reach} mm lies in line with \
             the wrench, which is {length} mm from its square to the hand."
        )],
        drawing: Vec::new(),
        prompt: "What is the wrench set to?".to_string(),
        wanted: in_newton_metres(right),
        reason: vec![
            "set = wanted · length/(length + adaptor)".to_string(),
            format!(
                "{figure} N·m · {length} mm/({length} mm + {reach} mm) = {right:.1} N·m: the longer arm gives the bolt more than the scale says."
            ),
        ],
        slips: vec![
            (
                figure as f64 * (length + reach) as f64 / length as f64,
                "The wrong way round: the adaptor makes the arm longer.".to_string(),
            ),
            (figure as f64, "The adaptor was forgotten.".to_string()),
        ],
    })
}

fn clicked_with_adaptor(random: &mut Stream) -> Option<Card> {
    let (length, reach) = adaptor(random);
    let figure = whole(random, 20, 90);
    let reading = Torque::from_newton_metres(figure as f64).ok()?;
    let straight = Angle::from_degrees(0.0).ok()?;
    let right = true_torque(reading, metres(length), metres(reach), straight)
        .ok()?
        .newton_metres();
    Some(Card {
        topic: "adaptor",
        words: vec![format!(
            "The wrench was set to {figure} N·m and clicked. Only then is the adaptor seen: {reach} mm, in line with the wrench. The \
             wrench itself is {length} mm long from its square to the hand."
        )],
        drawing: Vec::new(),
        prompt: "What did the bolt get?".to_string(),
        wanted: in_newton_metres(right),
        reason: vec![
            "at the bolt = shown · (length + adaptor)/length".to_string(),
            format!("{figure} N·m · ({length} mm + {reach} mm)/{length} mm = {right:.1} N·m"),
            "A bolt that was pulled past its figure is not slackened back to it: it is taken out, looked at, and done anew as the \
             manual says."
                .to_string(),
        ],
        slips: vec![(
            figure as f64 * length as f64 / (length + reach) as f64,
            "The wrong way round: the adaptor makes the arm longer.".to_string(),
        )],
    })
}

/// How an adaptor lies, in words, and its angle to the wrench; none where it is along the bolt and reaches nowhere.
const LIES: [(&str, Option<f64>); 4] = [
    ("lies in line with the wrench, away from the hand", Some(0.0)),
    ("stands square to the wrench", Some(90.0)),
    ("is folded back under the wrench, towards the hand", Some(180.0)),
    (
        "is a straight bar between square and socket, along the bolt's own line",
        None,
    ),
];

fn which_way(random: &mut Stream) -> Option<Card> {
    let (lies, angle) = *one_of(random, &LIES)?;
    let (length, reach) = adaptor(random);
    let figure = whole(random, 20, 110);
    let wanted = Torque::from_newton_metres(figure as f64).ok()?;
    let (reaches, bend) = match angle {
        Some(bend) => (reach, bend),
        None => (0, 0.0),
    };
    let bend = Angle::from_degrees(bend).ok()?;
    let set = setting_for(wanted, metres(length), metres(reaches), bend)
        .ok()?
        .newton_metres();
    let apart = set - figure as f64;
    let right = if apart.abs() < 1e-6 {
        "same"
    } else if apart < 0.0 {
        "lower"
    } else {
        "higher"
    };
    let option = |key: &str, words: &str| AnswerOption {
        key: key.to_string(),
        words: words.to_string(),
    };
    Some(Card {
        topic: "which way",
        words: vec![format!(
            "The bolt wants {figure} N·m. The wrench is {length} mm long from its square to the hand. Between it and the bolt \
             comes an extension of {reach} mm; it {lies}."
        )],
        drawing: Vec::new(),
        prompt: "What is the wrench set to?".to_string(),
        wanted: Wanted::One {
            options: vec![
                option("lower", "to less than the bolt wants"),
                option("same", "to what the bolt wants"),
                option("higher", "to more than the bolt wants"),
            ],
            right: right.to_string(),
        },
        reason: vec![
            "set = wanted · length/(length + reach along the wrench)".to_string(),
            match angle {
                Some(0.0) => {
                    format!(
                        "the reach is {reach} mm: {figure} N·m · {length} mm/({length} mm + {reach} mm) = {set:.1} N·m"
                    )
                }
                Some(180.0) => {
                    format!(
                        "the reach is −{reach} mm: {figure} N·m · {length} mm/({length} mm − {reach} mm) = {set:.1} N·m"
                    )
                }
                Some(_) => format!("square to the wrench the reach is 0: {set:.1} N·m stays"),
                None => format!("a bar along the bolt's line reaches nowhere: {set:.1} N·m stays"),
            },
        ],
        slips: Vec::new(),
    })
}
