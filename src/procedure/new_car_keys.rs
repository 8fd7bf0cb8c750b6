//! The keys of a car's file in the order in which they are asked. All but its name and what it drives may be unknown: then an
//! estimate is taken, *common practice, no source*, and noted as a guess.

use super::new_file_question::{Value, Wants};
use super::new_file_walk::{Key, Walk};
use crate::quantity::{Dimension, Mass, Ratio, Torque, parse};
use crate::workshop::new_text::FileValue;

/// Drag of an engine as a share of its greatest torque: *common practice, no source*.
const DRAG: f64 = 0.12;
/// Torque of an engine for a kilogram of its car, in N·m: *common practice, no source*.
const TORQUE: f64 = 0.15;
/// Share of the weight on the front axle: driven at the front, at the rear, at both (*common practice, no source*).
const FRONT: [f64; 3] = [0.62, 0.50, 0.56];

/// Walks along everything that a car's file needs; stops at the first question that is open.
pub(super) fn walk(w: &mut Walk<'_>) -> Option<()> {
    w.stage = "The car";
    let top = |key| Key("", key, "");
    w.text(
        top("name"),
        ["What do people call the car?", "Moor, hillclimb"],
        false,
    )?;
    let driven = w.word(
        top("driven"),
        &[
            ("front", "the front wheels"),
            ("rear", "the rear wheels"),
            ("both", "all four"),
        ],
        ["Which wheels are driven?", ""],
    )?;
    if driven == "both" {
        w.word(
            top("unit_in"),
            &[
                ("front", "the front axle"),
                ("centre", "between the axles"),
                ("rear", "the rear axle"),
            ],
            ["Where does the unit sit?", ""],
        )?;
        w.figure(
            top("rear_share"),
            Dimension::Ratio,
            [0.3, 0.8],
            ["What part of the drive goes to the rear?", "60 %"],
            "0.5",
        )?;
    }
    let kg = w.figure(
        top("mass"),
        Dimension::Mass,
        [400.0, 4_000.0],
        ["What does it weigh with driver, as it runs?", "1180 kg"],
        "1200 kg",
    )?;
    let kg = parse::<Mass>(&kg).map_or(0.0, Mass::kilograms);
    weights(w, &driven, kg)?;
    w.stage = "Its sizes";
    let length = Dimension::Length;
    w.figure(
        top("track"),
        length,
        [1_000.0, 2_000.0],
        ["Track at the unit's axle.", "1480"],
        "1480 mm",
    )?;
    w.figure(
        top("wheelbase"),
        length,
        [1_800.0, 3_500.0],
        ["Wheelbase.", "2500"],
        "2500 mm",
    )?;
    w.figure(
        top("height"),
        length,
        [250.0, 900.0],
        ["Height of the centre of mass.", "480"],
        "500 mm",
    )?;
    w.figure(
        top("roll_share"),
        Dimension::Ratio,
        [0.2, 0.8],
        ["What part of the roll does the unit's axle take?", "50 %"],
        "0.5",
    )?;
    let said = [
        "The driven tyre: its size as on the sidewall, or its radius as it rolls.",
        w.words_of(top("tyre_radius")),
        "205/55 R16, or 305",
    ];
    let radius = w.ask_or_guess(
        top("tyre_radius"),
        Wants::Tyre,
        said,
        Value::Text("300 mm".to_string()),
    )?;
    w.write(top("tyre_radius"), FileValue::Text(radius.words()));
    engine(w, kg)?;
    gears(w)
}

/// The weight on the front axle; the rest lies on the rear.
fn weights(w: &mut Walk<'_>, driven: &str, kg: f64) -> Option<()> {
    let [front, rear, both] = FRONT;
    let guess = match driven {
        "front" => front,
        "rear" => rear,
        _ => both,
    };
    let key = Key("", "front_weight", "");
    let said = [
        "What lies on the front axle, as a weight or in per cent?",
        w.words_of(key),
        "56 %, or 660 kg",
    ];
    let answer = w.ask_or_guess(
        key,
        Wants::AxleWeight,
        said,
        Value::Text(format!("{:.0} %", 100.0 * guess)),
    )?;
    let text = answer.words();
    let on_front = match text.ends_with('%') {
        true => kg * parse::<Ratio>(&text).map_or(0.0, Ratio::value),
        false => parse::<Mass>(&text).map_or(0.0, Mass::kilograms),
    };
    w.write(key, FileValue::Text(format!("{on_front:.1} kg")));
    w.write(
        Key("", "rear_weight", ""),
        FileValue::Text(format!("{:.1} kg", kg - on_front)),
    );
    Some(())
}

/// What the engine gives and what it drags.
fn engine(w: &mut Walk<'_>, kg: f64) -> Option<()> {
    w.stage = "Engine";
    let key = Key("engine", "torque", "");
    let said = [
        "What does the engine give at full throttle: a torque, or torques and powers at their speeds?",
        w.words_of(key),
        "190 N·m at 4500, 110 kW at 6300",
    ];
    let guess = Value::Points(vec![(format!("{:.0} N·m", TORQUE * kg), None)]);
    let Value::Points(points) = w.ask_or_guess(key, Wants::Engine, said, guess)? else {
        return Some(());
    };
    let first = w.lines.len();
    for (n, (torque, rpm)) in points.iter().enumerate() {
        let Some(rpm) = rpm else {
            w.write(key, FileValue::Text(torque.clone()));
            continue;
        };
        let item = (n + 1).to_string();
        w.write(
            Key("[engine.point]", "rpm", &item),
            FileValue::Bare(rpm.to_string()),
        );
        w.write(
            Key("[engine.point]", "torque", &item),
            FileValue::Text(torque.clone()),
        );
    }
    let torques = points
        .iter()
        .filter_map(|(torque, _)| parse::<Torque>(torque).ok());
    let most = torques.map(Torque::newton_metres).fold(0.0, f64::max);
    let drag = Key("engine", "drag", "");
    w.figure(
        drag,
        Dimension::Torque,
        [5.0, 150.0],
        ["What turns the engine over with the throttle closed?", "35"],
        &format!("{:.0} N·m", DRAG * most),
    )?;
    // a table stands before the lists inside it
    if let Some(line) = w.lines.pop() {
        w.lines.insert(first, line);
    }
    Some(())
}

/// The gears, and which of them counts.
fn gears(w: &mut Walk<'_>) -> Option<()> {
    w.stage = "Gears";
    let gears = |key| Key("gears", key, "");
    let said = [
        "Ratios of the gears, from first gear up.",
        w.words_of(gears("ratios")),
        "3.31 2.13 1.52 1.15 0.92",
    ];
    let guess = Value::Numbers(["3.3", "2.1", "1.5", "1.15", "0.95"].map(String::from).to_vec());
    let ratios = w.ask_or_guess(gears("ratios"), Wants::Ratios, said, guess)?;
    if let Value::Numbers(ratios) = ratios {
        w.write(
            gears("ratios"),
            FileValue::Bare(format!("[{}]", ratios.join(", "))),
        );
    }
    w.count(
        gears("settle_in"),
        ["In which gear does it leave the bends that matter?", "2"],
        false,
    )?;
    w.figure(
        gears("final"),
        Dimension::Ratio,
        [2.0, 7.0],
        ["Ratio of the final drive.", "4.10"],
        "4.0",
    )?;
    w.figure(
        gears("efficiency"),
        Dimension::Ratio,
        [0.7, 0.98],
        ["How much of the engine's torque comes to the case?", "85 %"],
        "0.85",
    )?;
    Some(())
}
