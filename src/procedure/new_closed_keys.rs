//! The keys of a closed unit's file in the order in which they are asked: what can be known of a unit that nobody has opened.
//! What nobody knows is an estimate, *common practice, no source*, and noted as a guess.

use super::new_file_question::{Value, Wants};
use super::new_file_walk::{ANY, Key, Walk};
use crate::quantity::{Dimension, Length, parse};
use crate::workshop::new_text::FileValue;

/// Inner over outer diameter of a rubbing face: *common practice, no source*.
const RING: f64 = 0.63;

/// Walks along everything that a closed unit's file needs; stops at the first question that is open.
#[rustfmt::skip] // a line a key
pub(super) fn walk(w: &mut Walk<'_>) -> Option<()> {
    w.stage = "The unit";
    let top = |key| Key("", key, "");
    w.text(top("id"), ["A short name for the records: small letters, digits and dashes.", "moor-rear"], false)?;
    w.text(top("name"), ["What do people call the unit?", "Moor rear"], false)?;
    w.write(top("closed"), FileValue::Bare("true".to_string()));
    w.stage = "Ramps";
    let ramp = |key| Key("ramp", key, "");
    let angles = "60 deg from ring face, 30 deg from shaft axis, no ramp";
    w.figure(ramp("drive"), Dimension::RampAngle, ANY, ["The ramp that works on drive.", angles], "45 deg from ring face")?;
    w.figure(ramp("coast"), Dimension::RampAngle, ANY, ["The ramp that works on coast; no ramp for a one-way unit.", angles], "45 deg from ring face")?;
    w.figure(ramp("pin_radius"), Dimension::Length, [10.0, 80.0], ["Radius at which the pins push on the ramps.", "31"], "31 mm")?;
    w.figure(ramp("friction"), Dimension::Ratio, [0.02, 0.2], ["Friction between pin and ramp.", "0.06"], "0.06")?;
    w.stage = "Friction faces";
    let friction = |key| Key("friction", key, "");
    w.figure(friction("turning"), Dimension::Ratio, [0.04, 0.25], ["Friction of the faces while they turn slowly.", "0.10"], "0.1")?;
    let outside = w.figure(friction("outside"), Dimension::Length, [40.0, 250.0], ["Outer diameter of the rubbing face.", "98"], "98 mm")?;
    let inside = parse::<Length>(&outside).map_or(0.0, Length::mm) * RING;
    w.figure(friction("inside"), Dimension::Length, [20.0, 200.0], ["Inner diameter of the rubbing face.", "62"], &format!("{inside:.0} mm"))?;
    let faces = |key| Key("faces", key, "");
    let said = ["How many faces rub in each pack?", "two for each plate that is keyed to the gear, as a rule", "8"];
    let count = w.ask_or_guess(faces("left"), Wants::Count, said, Value::Number("8".to_string()))?.words();
    for side in ["left", "right"] {
        w.write(faces(side), FileValue::Bare(count.clone()));
    }
    let sprung = preload(w)?;
    offer(w, sprung)
}

#[rustfmt::skip] // a line a key
fn preload(w: &mut Walk<'_>) -> Option<bool> {
    w.stage = "Preload";
    let key = |key| Key("preload", key, "");
    let ways: &[(&str, &str)] = &[
        ("force", "the force of the springs on each pack is known"),
        ("breakaway", "a breakaway torque was read with the wrench, turning slowly"),
        ("none", "it has no preload springs"),
        ("not known", "1000 N on each pack is taken, and marked as a guess"),
    ];
    let known = w.ask(key("known"), Wants::Word(ways), ["How is the preload known?", "it holds the wheels together before the ramps do", ""], false)?.words();
    match known.as_str() {
        "none" => return Some(false),
        "breakaway" => {
            w.quantity(key("breakaway"), Dimension::Torque, [5.0, 400.0], ["The breakaway torque, turning slowly.", "90"], false)?;
            w.word(key("held"), &[("output", "one output held, the other turned, case free: one wheel on the ground, the gearbox in neutral"), ("case", "case held: in gear, one wheel turned and the other in the air")], ["How was it held?", ""])?;
        }
        "not known" => w.guess(key("force"), "1000 N"),
        _ => {
            w.figure(key("force"), Dimension::Force, [50.0, 10_000.0], ["Force of the springs on each pack.", "1000"], "1000 N")?;
        }
    }
    let places: &[(&str, &str)] = &[("behind the pack", "between case wall and plates, one on each side"), ("between the rings", "one set for both packs"), ("not known", "behind the pack is taken, and marked as a guess")];
    let said = ["Where do the springs sit?", w.words_of(key("place")), ""];
    let place = w.ask_or_guess(key("place"), Wants::Word(places), said, Value::Text("behind the pack".to_string()))?;
    w.write(key("place"), FileValue::Text(place.words()));
    Some(true)
}

#[rustfmt::skip] // a line a key
fn offer(w: &mut Walk<'_>, sprung: bool) -> Option<()> {
    w.stage = "What else it can be built with";
    let said = ["Which other pairs of ramps can be had, drive/coast?", "settle chooses among them; rings are had with their pair of ramps", "45/60 60/none from ring face"];
    if let Value::Pairs(pairs) = w.ask(Key("offer", "ramps", ""), Wants::RampPairs, said, true)? {
        for (n, [drive, coast]) in pairs.iter().enumerate() {
            let item = (n + 1).to_string();
            for (key, angle) in [("drive", drive), ("coast", coast)] {
                w.write(Key("[offer.ramp]", key, &item), FileValue::Text(angle.clone()));
            }
        }
    }
    let first = w.lines.iter().position(|line| line.table == "[offer.ramp]").unwrap_or(w.lines.len());
    let before = w.lines.len();
    w.key(Key("offer", "faces", ""), Wants::Counts, ["Which counts of rubbing faces can a pack be built with?", "6 8 10"], true)?;
    if sprung {
        w.key(Key("offer", "preload", ""), Wants::Forces, ["Which forces on each pack can it be set to?", "800 N 1000 N 1200 N"], true)?;
    }
    // a table stands before the lists inside it
    let own = w.lines.split_off(before);
    w.lines.splice(first..first, own);
    Some(())
}
