//! How a unit is held, what the wrench shows for it, and when it wedges.

use super::card::{Card, Kind, Wanted};
use super::pick::{one_of, whole};
use crate::mechanics::{
    Bench, Held, Holding, LockSetup, MechanicsError, Movement, Sense, SpringPlace, Turned,
};
use crate::metrology::Stream;
use crate::procedure::AnswerOption;
use crate::quantity::{Datum, Force, Length, RampAngle, Ratio, Torque};

pub(super) fn card(random: &mut Stream) -> Option<Card> {
    match random.below(3) {
        0 => scene(random),
        1 => shown(random),
        _ => wedge(random),
    }
}

/// Scenes with the case held; SIDE is where the wrench is, OTHER the other side.
const CASE: [&str; 4] = [
    "Two bolts through the crown wheel's flange hold the unit to the bench plate. The wrench turns the SIDE side gear; the OTHER \
     one is free, and turns backwards.",
    "The flange of the case is in soft jaws. Nobody touches the OTHER stub shaft while the wrench pulls at the SIDE one.",
    "In the car: the engine is off and a bar through the propeller shaft's joint keeps the crown wheel where it is. Both wheels \
     are up, and the wrench is on the SIDE hub.",
    "The unit lies in a cradle, a pin through the case's ear. A socket is on the SIDE output; the OTHER output is left alone.",
];
/// Scenes with one output held.
const OUTPUT: [&str; 4] = [
    "In the car: gearbox in neutral, both wheels up. A bar between the studs keeps the OTHER wheel still, and the wrench is on \
     the SIDE hub. The propeller shaft turns along.",
    "The OTHER stub shaft is in soft jaws and carries the unit. The wrench turns the SIDE one, and the case goes round with it, \
     half as fast.",
    "The unit lies on two rollers. A bar from the OTHER output rests against a post; the wrench is on the SIDE output.",
    "A spanner on the OTHER flange rests against the bench. The wrench pulls at the SIDE flange, and the case is free to turn.",
];

fn way(key: &str, words: &str) -> AnswerOption {
    AnswerOption {
        key: key.to_string(),
        words: words.to_string(),
    }
}

fn scene(random: &mut Stream) -> Option<Card> {
    let held = *one_of(random, &[Held::Case, Held::Output])?;
    let (side, other) = *one_of(random, &[("left", "right"), ("right", "left")])?;
    let scenes = match held {
        Held::Case => &CASE,
        Held::Output => &OUTPUT,
    };
    let told = one_of(random, scenes)?;
    let told = told.replace("OTHER", other).replace("SIDE", side);
    Some(Card {
        topic: "held",
        words: vec![told],
        drawing: Vec::new(),
        prompt: "What is held?".to_string(),
        wanted: Wanted::One {
            options: vec![
                way("case", "the case is held, an output is free"),
                way("output", "one output is held, the case is free"),
            ],
            right: word(held).to_string(),
        },
        reason: vec![
            match held {
                Held::Case => {
                    "What stands still is the case; both outputs can turn, and the free one turns backwards. Both packs slip, and \
                     the wrench feels both in full."
                }
                Held::Output => {
                    "What stands still is the other output; the case goes round with half the speed. The wrench feels half of \
                     what both packs hold."
                }
            }
            .to_string(),
        ],
        slips: Vec::new(),
    })
}

fn word(held: Held) -> &'static str {
    match held {
        Held::Case => "case",
        Held::Output => "output",
    }
}

fn bench(
    faces: u32,
    friction: f64,
    radius_mm: i64,
    pin_mm: i64,
    ramp: RampAngle,
    preload: f64,
    holding: Holding,
) -> Option<Bench> {
    Some(Bench {
        setup: LockSetup {
            faces: [faces; 2],
            friction: Ratio::new(friction).ok()?,
            friction_radius: Length::from_um(1_000 * radius_mm),
            pin_radius: Length::from_um(1_000 * pin_mm),
            drive: ramp,
            coast: ramp,
            ramp_friction: Ratio::new(0.0).ok()?,
            preload: [Force::from_newtons(preload).ok()?; 2],
            spring_place: SpringPlace::BehindPack,
            gear_thrust: None,
            tab_friction: None,
        },
        turning: Ratio::new(friction).ok()?,
        holding,
    })
}

/// Faces, friction and radius of the packs whose torque is told: any would do.
const PACK: (u32, f64, i64) = (8, 0.1, 50);

fn shown(random: &mut Stream) -> Option<Card> {
    let held = *one_of(random, &[Held::Case, Held::Output])?;
    let pack = 0.5 * whole(random, 16, 56) as f64;
    let drag = 0.2 * whole(random, 1, 12) as f64;
    let (faces, friction, radius) = PACK;
    let preload = pack / (f64::from(faces) * friction * radius as f64 / 1e3);
    let holding = Holding {
        held,
        turned: Turned::Right,
        sense: Sense::Forwards,
    };
    let unit = bench(faces, friction, radius, 30, RampAngle::NONE, preload, holding)?;
    let drag_torque = Torque::from_newton_metres(drag).ok()?;
    let reads = |held| {
        let unit = unit.read(Holding { held, ..holding });
        let reads = unit.reads(Movement::First, drag_torque).ok()?;
        Some(reads.reading.newton_metres())
    };
    let right = reads(held)?;
    let other = match held {
        Held::Case => Held::Output,
        Held::Output => Held::Case,
    };
    let (drags, formula) = match held {
        Held::Case => (
            format!("The case is held. Each output alone drags {drag:.1} N·m."),
            format!("case held: 2 · (pack + drag) = 2 · ({pack:.1} N·m + {drag:.1} N·m) = {right:.1} N·m"),
        ),
        Held::Output => (
            format!(
                "One output is held. Turned all together, with nothing held, the unit drags {drag:.1} N·m, all of it where the \
                 case runs in its bearings."
            ),
            format!(
                "one output held: (both packs + drag)/2 = ({pack:.1} N·m + {pack:.1} N·m + {drag:.1} N·m)/2 = {right:.1} N·m"
            ),
        ),
    };
    Some(Card {
        topic: "shown",
        words: vec![
            format!("Each pack holds {pack:.1} N·m, pressed by its spring alone; the ramps lift nothing."),
            drags,
        ],
        drawing: Vec::new(),
        prompt: "What does the wrench show when it lets go?".to_string(),
        wanted: Wanted::Number {
            kind: Kind::Torque,
            unit: "N·m",
            right,
            near: 0.11,
            shown: format!("{right:.1} N·m"),
            example: "99.5",
        },
        reason: vec![
            match held {
                Held::Case => {
                    "The pull turns one gear against its pack, and through the pinions the other gear backwards against its own."
                }
                Held::Output => {
                    "The case goes half as fast as the wrench, so that one turn of the wrench slips each pack by half a turn."
                }
            }
            .to_string(),
            formula,
        ],
        slips: vec![
            (
                reads(other)?,
                format!("That would be with the {} held.", long_word(other)),
            ),
            (pack, "That is one pack alone.".to_string()),
        ],
    })
}

fn long_word(held: Held) -> &'static str {
    match held {
        Held::Case => "case",
        Held::Output => "other output",
    }
}

/// How many units are drawn until one does what is wanted of it.
const DRAWS: usize = 60;

/// A unit that turns or one that wedges, each as likely.
fn wedge(random: &mut Stream) -> Option<Card> {
    let wanted = if random.chance(0.5) { "turns" } else { "wedges" };
    let held = match wanted {
        "turns" => *one_of(random, &[Held::Case, Held::Output])?,
        _ => Held::Case,
    };
    (0..DRAWS).find_map(|_| wedge_that(random, wanted, held))
}

fn wedge_that(random: &mut Stream, wanted: &str, held: Held) -> Option<Card> {
    let faces = *one_of(random, &[6, 8, 10, 12])?;
    let hundredths = *one_of(random, &[10, 12])?;
    let radius = *one_of(random, &[40, 45, 50])?;
    let pin = whole(random, 28, 36);
    let degrees = *one_of(random, &[45, 55, 60, 70, 75])?;
    let friction = f64::from(hundredths) / 100.0;
    let ramp = RampAngle::new(f64::from(degrees), Datum::RingFace).ok()?;
    let holding = Holding {
        held,
        turned: Turned::Left,
        sense: Sense::Forwards,
    };
    let unit = bench(faces, friction, radius, pin, ramp, 1_500.0, holding)?;
    let share = unit.share().ok()?.value();
    // near one nobody can say it of a real unit
    if (share - 1.0).abs() < 0.15 {
        return None;
    }
    let none = Torque::from_newton_metres(0.0).ok()?;
    let right = match unit.first_movement(none) {
        Ok(_) => "turns",
        Err(MechanicsError::Wedges { .. }) => "wedges",
        Err(_) => return None,
    };
    if right != wanted {
        return None;
    }
    let cot = 1.0 / f64::from(degrees).to_radians().tan();
    let lever = f64::from(faces) * friction * radius as f64;
    // as it is printed it multiplies out
    let by_hand = lever / pin as f64 * (cot * 1e4).round() / 1e4;
    if format!("{by_hand:.2}") != format!("{share:.2}") {
        return None;
    }
    Some(Card {
        topic: "wedges",
        words: vec![
            format!(
                "Each pack has {faces} faces at {radius} mm, friction {friction:.2}. The pins stand at {pin} mm and work on a ramp \
                 of {degrees}° from the ring's face; friction on the ramp is left out."
            ),
            format!("You turn the left output with the {} held.", long_word(held)),
        ],
        drawing: Vec::new(),
        prompt: "Does it turn, or does it wedge?".to_string(),
        wanted: Wanted::One {
            options: vec![
                way("turns", "it breaks away"),
                way("wedges", "the harder the pull, the tighter it holds"),
            ],
            right: right.to_string(),
        },
        reason: vec![
            "lock share S = faces · friction · radius / pin radius · cot(ramp); with the case held it wedges at S = 1 and above"
                .to_string(),
            format!(
                "S = {faces} · {friction:.2} · {radius} mm/{pin} mm · cot {degrees}° = {lever:.1} mm/{pin} mm · {cot:.4} = {share:.2}"
            ),
            match held {
                Held::Case if right == "wedges" => {
                    "The pull comes through the free side and presses for more than it pulls. Stop pulling, and hold the other \
                     output instead."
                }
                Held::Case => "The ramps press, but for less than is pulled: it breaks away, at more than the springs alone give.",
                Held::Output => {
                    "With the other output held the pins carry only the difference of the packs, so that nothing wedges, whatever S is."
                }
            }
            .to_string(),
        ],
        slips: Vec::new(),
    })
}
