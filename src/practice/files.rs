//! The files that an apprentice is given, as text, as anybody's files are.

use super::sampled::{Pattern, SPARES};
use crate::mechanics::pack::pack_torque;
use crate::mechanics::{DiscSpring, Held, MechanicsError, SpringStack};
use crate::quantity::{Force, Length, Ratio};
use crate::record::GeneratedFrom;
use std::fmt::Write;

const INVENTED: &str = "# INVENTED FOR PRACTICE. No such thing exists; the numbers were drawn from a seed. Nothing here was measured, and\n\
# nothing here is a maker's figure.\n";

/// Unit and drawer.
pub(super) struct Files {
    pub unit: String,
    pub drawer: String,
}

/// New thickness of every plate, height of a ring and thickness of the shim that a side was built with, in micrometres.
const PLATE: i64 = 2_000;
const RING: i64 = 11_000;
const SHIM: i64 = 300;
const STILL: f64 = 0.12;
const TURNING: f64 = 0.10;
/// The wrench that lies beside the one on the unit.
pub(super) const SECOND_WRENCH: &str = "wrench-41";

fn mm(um: i64) -> String {
    format!("{:.3} mm", um as f64 / 1e3)
}

pub(super) fn files(made: GeneratedFrom, pattern: &Pattern) -> Result<Files, Box<dyn std::error::Error>> {
    Ok(Files {
        unit: unit(made, pattern)?,
        drawer: drawer(),
    })
}

/// Height and force of one stack at its target, to the hundredth of a millimetre and ten newtons.
fn target(pattern: &Pattern) -> Result<(i64, f64), MechanicsError> {
    let [outside, inside, thickness, height] = pattern.disc.map(Length::from_mm);
    let disc = DiscSpring::new(outside?, inside?, thickness?, height?, None)?;
    let stack = SpringStack::discs(disc, 2, 1)?;
    let travel = 0.45 * disc.cone_height().um();
    let height = 10 * ((stack.free_height().um() - travel) / 10.0).round() as i64;
    let force = stack.force_at_height(Length::from_um(height))?.newtons();
    Ok((height, (force / 10.0).round() * 10.0))
}

fn unit(made: GeneratedFrom, pattern: &Pattern) -> Result<String, Box<dyn std::error::Error>> {
    let (height, force) = target(pattern)?;
    let side = RING + 2 * pattern.pairs as i64 * PLATE + SHIM + height;
    let depth = match pattern.through {
        true => format!("depth = \"{}\"", mm(2 * side)),
        false => format!("depth_left = \"{0}\"\ndepth_right = \"{0}\"", mm(side)),
    };
    let [outside, inside, thickness, free] = pattern.disc;
    let [face_out, face_in] = pattern.face;
    let radius = Length::from_mm((face_out + face_in) / 4.0)?;
    // from the wall: case plate, gear plate, and so on to the ring, so every plate but the first has two faces
    let faces = 2 * pattern.pairs as u32;
    let pack = pack_torque(faces, Ratio::new(TURNING)?, Force::from_newtons(force)?, radius)?;
    let (held, part) = match pattern.held {
        Held::Case => ("case", 2.0),
        Held::Output => ("output", 1.0),
    };
    let proof = part * pack.newton_metres();
    let GeneratedFrom { level, seed, .. } = made;
    let name = pattern.name;
    let mut text = format!(
        r#"{INVENTED}format = "shimwright unit 1"
id = "practice-level-{level}-seed-{seed}"
name = "{name} (invented, level {level}, seed {seed})"
car = "{name}, invented for practice"
layout = "{layout}"
drawer = "drawer.toml"
instruments = "instruments.toml"

[case]
{depth}

[rings]
left = "{ring}"
right = "{ring}"

[ramp]
drive = "60 deg from ring face"
coast = "60 deg from ring face"
friction = 0.06
pin_radius = "31 mm"

[friction]
still = {STILL}
turning = {TURNING}
outside = "{face_out} mm"
inside = "{face_in} mm"
pressure = "run-in"

[spring]
kind = "disc"
place = "behind the pack"
outside = "{outside} mm"
inside = "{inside} mm"
thickness = "{thickness} mm"
height = "{free} mm"
parallel = 2                  # both discs the same way round
least_height = "{least_height:.2} mm"

[wanted]
preload_least = "{least:.0} N"
preload_target = "{force:.0} N"
preload_most = "{most:.0} N"
breakaway_least = "{proof_least:.0} N·m"
breakaway_most = "{proof_most:.0} N·m"
held = "{held}"
sides_match = "0.20 mm"
shims_a_side = 3
curve_to = "800 N·m"

[limits]
gear_least = "1.90 mm"
case_least = "1.92 mm"
spread = "0.03 mm"
flatness = "0.05 mm"

[[bolts]]
name = "cover"
size = "M8x1.25"
class = "10.9"
count = 10
stages = ["12 N·m", "32 N·m"]
"#,
        layout = if pattern.through { "through" } else { "per-side" },
        ring = mm(RING),
        least_height = free + thickness - 0.10,
        least = force * 0.85,
        most = force * 1.15,
        proof_least = 0.72 * proof,
        proof_most = 1.30 * proof,
    );
    for (side, first) in [("left", 1), ("right", pattern.pairs + 1)] {
        let order: Vec<String> = (first..first + pattern.pairs)
            .flat_map(|n| [format!("\"C{n}\""), format!("\"G{n}\"")])
            .collect();
        write!(
            text,
            "\n[pack.{side}]\ncount = {}\norder = [{}]\nfaces = {faces}\nshims = [\"{}\"]\n",
            order.len(),
            order.join(", "),
            mm(SHIM)
        )?;
    }
    for (letter, keyed) in [("C", "case"), ("G", "gear")] {
        for n in 1..=2 * pattern.pairs {
            plate(&mut text, "plate", &format!("{letter}{n}"), keyed)?;
        }
    }
    Ok(text)
}

fn plate(text: &mut String, table: &str, name: &str, keyed: &str) -> std::fmt::Result {
    write!(
        text,
        "\n[[{table}]]\nname = \"{name}\"\nkeyed = \"{keyed}\"\nthickness = \"{}\"\n",
        mm(PLATE)
    )
}

fn drawer() -> String {
    let mut text = format!("{INVENTED}format = \"shimwright drawer 1\"\n");
    for um in (100..=600).step_by(50) {
        text.push_str(&format!("\n[[shim]]\nthickness = \"{}\"\ncount = 4\n", mm(um)));
    }
    for (letter, keyed) in [("C", "case"), ("G", "gear")] {
        for n in 1..=SPARES {
            // writing to a string does not fail
            let _ = plate(&mut text, "spare", &format!("S{letter}{n}"), keyed);
        }
    }
    text
}

/// The day on which every instrument in date is due, and the one on which a wrench was that is not.
pub(super) const DUE: &str = "2999-12-31";
pub(super) const WAS_DUE: &str = "2021-03-31";

/// The instruments' file: with a second wrench from the second edition of the draw on, and the first one past its day where
/// that is the fault.
pub(super) fn instruments(made: GeneratedFrom, overdue: bool) -> String {
    let wrench_due = if overdue { WAS_DUE } else { DUE };
    let second = match made.has_diagnosis() {
        true => format!(
            "\n[[instrument]]\nid = \"{SECOND_WRENCH}\"\nmeasures = \"torque\"\nrelative = 0.04\nlength = \"320 mm\"\ndue = \"{DUE}\"\n"
        ),
        false => String::new(),
    };
    format!(
        r#"{INVENTED}format = "shimwright instruments 1"

[[instrument]]
id = "mic-7"
measures = "thickness"
resolution = "0.001 mm"
calibration = "0.002 mm"
repeatability = "0.001 mm"
standard = "25.000 mm"
due = "{DUE}"

[[instrument]]
id = "depth-3"
measures = "depth"
resolution = "0.01 mm"
calibration = "0.01 mm"
repeatability = "0.008 mm"
standard = "50.00 mm"
due = "{DUE}"

[[instrument]]
id = "wrench-40"
measures = "torque"
relative = 0.04
length = "320 mm"
due = "{wrench_due}"
{second}"#
    )
}
