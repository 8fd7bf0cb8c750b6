//! Instruments to be read: what they show stands nowhere in figures.

use super::card::{Card, Kind, Wanted};
use super::pick::{mm, one_of, shuffled, whole};
use super::read_drawn::{SEEN, SHOWS_FROM, micrometer, rule, scale, vernier};
use crate::metrology::Stream;

pub(super) fn card(random: &mut Stream) -> Option<Card> {
    match random.below(7) {
        0 | 1 => barrel(random),
        2 => barrel_with_vernier(random),
        3 => depth_gauge(random),
        4 => feeler(random),
        5 => dial_wrench(random),
        _ => beam_wrench(random),
    }
}

fn length(um: i64, near_um: f64, decimals: usize, example: &'static str) -> Wanted {
    Wanted::Number {
        kind: Kind::Length,
        unit: "mm",
        right: um as f64 / 1e3,
        near: near_um / 1e3,
        shown: mm(um, decimals),
        example,
    }
}

/// How far a barrel is uncovered: half millimetres, and hundredths, often just before the next line is passed.
fn barrel_at(random: &mut Stream) -> (i64, i64) {
    let halves = whole(random, 2, 15);
    let hundredths = match random.chance(0.3) {
        true => whole(random, SHOWS_FROM as i64, 49),
        false => whole(random, 1, 46),
    };
    (halves, hundredths)
}

/// Which line counts.
const EDGE: &str = "A line that shows at the thimble's edge counts once the thimble has come past its 0.";

/// What is read wrong by the half millimetre.
fn half_slips(um: i64, hundredths: i64) -> Vec<(f64, String)> {
    let words = "The lines below the long line are half millimetres: count the last one that stands free."
        .to_string();
    let begins = match hundredths >= SHOWS_FROM as i64 {
        true => {
            "The line at the edge only begins to show: the thimble has not come to its 0 yet.".to_string()
        }
        false => words.clone(),
    };
    vec![
        ((um - 500) as f64 / 1e3, words),
        ((um + 500) as f64 / 1e3, begins),
    ]
}

/// What of a barrel counts, and the line that only begins to show.
fn barrel_words(halves: i64, hundredths: i64) -> Vec<String> {
    let millimetres = match halves / 2 {
        1 => "1 whole millimetre stands free above the line".to_string(),
        many => format!("{many} whole millimetres stand free above the line"),
    };
    let half = match halves % 2 {
        1 => ", and a half below it after them: 0.50 mm more.",
        _ => ", and no half after them.",
    };
    let mut words = vec![format!("{millimetres}{half}")];
    if hundredths >= SHOWS_FROM as i64 {
        words.push(format!(
            "The next line begins to show, but the thimble stands at {hundredths} and has still to come to its 0: it does not count."
        ));
    }
    words
}

fn barrel(random: &mut Stream) -> Option<Card> {
    let (halves, hundredths) = barrel_at(random);
    let um = 500 * halves + 10 * hundredths;
    let mut reason = barrel_words(halves, hundredths);
    reason.push(format!(
        "The thimble's line {hundredths} stands at the long line: {} + 0.{hundredths:02} mm = {}",
        mm(500 * halves, 2),
        mm(um, 2)
    ));
    Some(Card {
        topic: "micrometer",
        words: vec![format!(
            "A micrometer: the barrel left, whole millimetres above the long line and halves below it; the thimble right, \
                 fifty hundredths round. {EDGE}"
        )],
        drawing: micrometer(halves as usize, hundredths as usize),
        prompt: "What does it show?".to_string(),
        wanted: length(um, 4.0, 2, "9.87"),
        reason,
        slips: half_slips(um, hundredths),
    })
}

fn barrel_with_vernier(random: &mut Stream) -> Option<Card> {
    let (halves, hundredths) = barrel_at(random);
    let thousandths = whole(random, 1, SEEN as i64 - 1);
    let um = 500 * halves + 10 * hundredths + thousandths;
    let mut drawing = micrometer(halves as usize, hundredths as usize);
    drawing.push(String::new());
    drawing.extend(vernier(0..SEEN, thousandths as usize, 1));
    let mut slips = half_slips(um, hundredths);
    slips.push((
        (um - thousandths) as f64 / 1e3,
        "The vernier's thousandths are missing.".to_string(),
    ));
    let mut reason = barrel_words(halves, hundredths);
    reason.push(format!(
        "Thimble: {hundredths} hundredths. Of the vernier line {thousandths} stands straight above one of the thimble: \
         {} + 0.{hundredths:02} mm + 0.00{thousandths} mm = {}",
        mm(500 * halves, 2),
        mm(um, 3)
    ));
    Some(Card {
        topic: "vernier",
        words: vec![format!(
            "A micrometer with a vernier: of the thimble the line at the long line or just below it counts. {EDGE} Under it the \
             vernier as through a glass, lines 0 to {}, and below them the thimble's: thousandths.",
            SEEN - 1
        )],
        drawing,
        prompt: "What does it show, to the thousandth?".to_string(),
        wanted: length(um, 0.4, 3, "9.876"),
        reason,
        slips,
    })
}

fn depth_gauge(random: &mut Stream) -> Option<Card> {
    const LINES: usize = 20;
    let first = 10 * whole(random, 2, 6);
    let millimetres = first + whole(random, 2, 10);
    let twentieths = whole(random, 1, LINES as i64 - 1);
    let um = 1_000 * millimetres + 50 * twentieths;
    // a few lines of the vernier, with the one that tells somewhere among them
    let at = twentieths as usize;
    let seen_from = whole(
        random,
        at.saturating_sub(SEEN - 2) as i64,
        at.saturating_sub(1).min(LINES + 1 - SEEN) as i64,
    ) as usize;
    let mut drawing = rule(first as usize, millimetres as usize, at);
    drawing.push(String::new());
    drawing.extend(vernier(seen_from..seen_from + SEEN, at, 2));
    Some(Card {
        topic: "depth gauge",
        words: vec![
            "A depth gauge: the rule in millimetres, ^ is the nought of the vernier. Under it a part of the vernier as through a \
             glass, a line each 0.05 mm, its numbers tenths; the lines below are the rule's."
                .to_string(),
        ],
        drawing,
        prompt: "How deep is it?".to_string(),
        wanted: length(um, 10.0, 2, "98.75"),
        reason: vec![
            format!("The nought stands behind {millimetres} mm."),
            format!(
                "The vernier's line {twentieths}, counted from 0, stands straight across: {twentieths} · 0.05 mm = {}. Together {}",
                mm(50 * twentieths, 2),
                mm(um, 2)
            ),
        ],
        slips: vec![(
            (um + 1_000) as f64 / 1e3,
            "The whole millimetres are those that the nought has passed, not the nearest.".to_string(),
        )],
    })
}

/// The leaves of a set, in hundredths.
const LEAVES: [i64; 10] = [3, 4, 5, 6, 7, 8, 9, 10, 15, 20];

fn feeler(random: &mut Stream) -> Option<Card> {
    let packets = [(); 40].map(|()| {
        let (one, other) = (*one_of(random, &LEAVES)?, *one_of(random, &LEAVES)?);
        (one < other).then_some([one, other])
    });
    let sum = |packet: &[i64; 2]| packet[0] + packet[1];
    let packets: Vec<[i64; 2]> = packets.into_iter().flatten().collect();
    let goes = *packets.iter().find(|packet| (9..=24).contains(&sum(packet)))?;
    let at = sum(&goes);
    // the next hundredth does not go: nothing is left open
    let stops = *packets.iter().find(|packet| sum(packet) == at + 1)?;
    let less = *packets
        .iter()
        .find(|packet| (at - 5..at - 1).contains(&sum(packet)))?;
    let more = *packets
        .iter()
        .find(|packet| (at + 2..at + 6).contains(&sum(packet)))?;
    let drawn = |packet: &[i64; 2]| {
        let goes = sum(packet) <= at;
        format!(
            "0.{:02} and 0.{:02}   {}",
            packet[0],
            packet[1],
            if goes { "=====[===>" } else { "====>[" }
        )
    };
    let tries = shuffled(random, vec![goes, stops, less, more]);
    let mut drawing = vec!["leaves, mm      edge of the plate: [".to_string()];
    drawing.extend(tries.iter().map(drawn));
    Some(Card {
        topic: "feeler",
        words: vec![
            "A plate lies on the surface plate, and feeler leaves are tried under it, two at a time. An arrow that is past [ went \
             under; the others stop at the edge."
                .to_string(),
        ],
        drawing,
        prompt: "How far is the plate out of flat?".to_string(),
        wanted: length(10 * at, 4.0, 2, "0.35"),
        reason: vec![
            format!(
                "The thickest that went under is 0.{:02} mm + 0.{:02} mm = {}",
                goes[0],
                goes[1],
                mm(10 * at, 2)
            ),
            format!(
                "0.{:02} mm + 0.{:02} mm = {} did not.",
                stops[0],
                stops[1],
                mm(10 * (at + 1), 2)
            ),
        ],
        slips: vec![(
            (at + 1) as f64 / 100.0,
            "That packet stopped at the edge.".to_string(),
        )],
    })
}

/// Newton metres in one unit of a scale, as it is shown.
fn torque(shown: i64, unit: &'static str, worth: i64) -> Option<Wanted> {
    let in_nm = |value: f64| {
        crate::quantity::parse::<crate::quantity::Torque>(&format!("{value} {unit}"))
            .ok()
            .map(crate::quantity::Torque::newton_metres)
    };
    Some(Wanted::Number {
        kind: Kind::Torque,
        unit,
        right: in_nm(shown as f64)?,
        near: in_nm(0.49 * worth as f64)?,
        shown: format!("{shown} {unit}"),
        example: "7",
    })
}

/// A division that no number stands at.
fn division(random: &mut Stream, low: i64, high: i64) -> Option<i64> {
    let at = whole(random, low, high);
    (at % 10 != 0).then_some(at)
}

fn dial_wrench(random: &mut Stream) -> Option<Card> {
    let (longest, worth) = *one_of(random, &[(60, 1), (70, 1), (60, 2)])?;
    let memory = division(random, 14, longest - 4)?;
    let live = division(random, 3, memory - 4)?;
    let shown = memory * worth;
    Some(Card {
        topic: "dial wrench",
        words: vec![
            "A dial wrench, its round scale laid straight, in N·m. The unit has just let go and the pull is falling: o is the \
             hand that the other one pushes ahead of itself and leaves there, ^ the hand that goes with the pull."
                .to_string(),
        ],
        drawing: scale(
            longest as usize,
            worth as usize,
            &[(live as usize, "^"), (memory as usize, "o")],
        ),
        prompt: "At what did it let go?".to_string(),
        wanted: torque(shown, "N·m", worth)?,
        reason: vec![
            "What it took stands where the pushed hand was left; the other one only shows what is pulled now.".to_string(),
            format!("The pushed hand is at division {memory}, each worth {worth} N·m: {memory} · {worth} N·m = {shown} N·m"),
        ],
        slips: vec![(
            (live * worth) as f64,
            "That is the hand that goes with the pull.".to_string(),
        )],
    })
}

fn beam_wrench(random: &mut Stream) -> Option<Card> {
    let (longest, worth, unit) = *one_of(
        random,
        &[
            (60, 1, "N·m"),
            (50, 1, "lbf·ft"),
            (60, 2, "N·m"),
            (40, 2, "lbf·ft"),
        ],
    )?;
    let at = division(random, 6, longest - 3)?;
    let shown = at * worth;
    Some(Card {
        topic: "beam wrench",
        words: vec![format!(
            "A beam wrench, seen from straight above: the beam bends and the pointer ^ stays. Its scale is in {unit}."
        )],
        drawing: scale(longest as usize, worth as usize, &[(at as usize, "^")]),
        prompt: "What is pulled?".to_string(),
        wanted: torque(shown, unit, worth)?,
        reason: vec![format!(
            "Between two numbers there are ten divisions, each worth {worth} {unit}; the pointer is at division {at} \
             from nought: {at} · {worth} {unit} = {shown} {unit}"
        )],
        slips: Vec::new(),
    })
}
