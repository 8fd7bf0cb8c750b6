//! Each calculation: its keys, and worked examples where the formula has them.

use crate::program::{json, near, number, table, words};
use serde_json::Value;
use std::io::Write;
use tempfile::NamedTempFile;

const SPRING: [&str; 6] = [
    "force_n",
    "flat_force_n",
    "rate_n_per_mm",
    "peak_travel_um",
    "force_least_n",
    "force_most_n",
];
const LOCK: [&str; 22] = [
    "drive_share",
    "coast_share",
    "bias_ratio",
    "class",
    "drive_share_low",
    "drive_share_high",
    "drive_from",
    "drive_share_without_thrust_low",
    "drive_share_without_thrust_high",
    "drive_share_at_rest_low",
    "drive_share_at_rest_high",
    "drive_share_unloading_low",
    "drive_share_unloading_high",
    "coast_share_low",
    "coast_share_high",
    "coast_from",
    "coast_share_without_thrust_low",
    "coast_share_without_thrust_high",
    "coast_share_at_rest_low",
    "coast_share_at_rest_high",
    "coast_share_unloading_low",
    "coast_share_unloading_high",
];
const BOLT: [&str; 4] = ["tension_n", "proof_n", "proof_share", "stress_area_mm2"];

#[test]
fn a_stack_has_the_force_of_its_discs_and_the_travel_of_its_packets() {
    // stack_mixed in tests/references/disc_springs.toml: 3 packets of 2, 9524.2 N at 3.15 mm
    let one = "spring --outside 50mm --inside 25.4mm --thickness 2mm --height 3.4mm --travel 1.05mm";
    let six = "spring --outside 50mm --inside 25.4mm --thickness 2mm --height 3.4mm --travel 3.15mm \
               --parallel 2 --series 3";
    let (one, six) = (json(&words(one), &SPRING), json(&words(six), &SPRING));
    near(number(&six, "force_n"), 9524.2, 0.05);
    near(number(&six, "force_n"), 2.0 * number(&one, "force_n"), 1e-9);
    near(
        number(&six, "flat_force_n"),
        2.0 * number(&one, "flat_force_n"),
        1e-9,
    );
    near(
        number(&six, "rate_n_per_mm"),
        2.0 / 3.0 * number(&one, "rate_n_per_mm"),
        1e-9,
    );
    assert_eq!(one["peak_travel_um"], Value::Null);
}

#[test]
fn a_spring_past_its_greatest_force_is_told_so() {
    let line = "spring --outside 50mm --inside 25.4mm --thickness 1.25mm --height 3.4mm --travel 2mm";
    let spring = json(&words(line), &SPRING);
    // h0/t = 1.72: s = t·(h0/t − √((h0/t)²/3 − 2/3))
    let peak = 1.25 * (1.72 - (1.72_f64.powi(2) / 3.0 - 2.0 / 3.0).sqrt());
    near(number(&spring, "peak_travel_um"), 1e3 * peak, 1e-3);
    assert!(number(&spring, "rate_n_per_mm") < 0.0);
    assert!(table(&words(line)).contains("more shim now gives less preload"));
}

#[test]
fn a_pack_has_the_torque_and_the_radius_of_the_worked_examples() {
    let keys = ["torque_nm", "radius_um"];
    let pack = |line: &str| json(&words(line), &keys);
    let run_in = pack("pack --faces 8 --friction 0.1 --force 1500N --outer 98mm --inner 62mm");
    near(number(&run_in, "radius_um"), 40_000.0, 1e-9);
    near(number(&run_in, "torque_nm"), 48.0, 1e-9);
    // multiplate_5steel_4bronze in tests/references/plate_clutches.toml
    let bronze = pack("pack --faces 8 --friction 0.1 --force 2650.7188N --outer 150mm --inner 75mm");
    near(number(&bronze, "torque_nm"), 119.2823, 0.001);
    // plates_4_plus_3_uniform_pressure there: 6 faces, radii 80 and 50 mm, 102.314 N·m under 1031.1 N
    let even =
        pack("pack --faces 6 --friction 0.25 --force 1031.1N --outer 160mm --inner 100mm --pressure even");
    near(number(&even, "torque_nm"), 102.314, 0.01);
    let shown = table(&words(
        "pack --faces 8 --friction 0.1 --force 1500N --outer 98mm --inner 62mm",
    ));
    assert!(shown.contains("outer diameter   98 mm") && shown.contains("inner diameter   62 mm"));
    let help = reckon_help("pack");
    assert!(help.contains("Outer diameter") && help.contains("both figures are diameters"));
}

#[test]
fn a_ramp_has_the_gain_of_the_inclined_plane() {
    let keys = ["gain", "release_gain", "angle_from_shaft_deg"];
    // incline_start_up in tests/references/ramps_and_bias.toml: 800 N move under 780 N
    let ramp = json(
        &["ramp", "--angle", "25 deg from ring face", "--friction", "0.35"],
        &keys,
    );
    near(800.0 / number(&ramp, "gain"), 780.0, 0.5);
    near(number(&ramp, "angle_from_shaft_deg"), 65.0, 1e-12);
    let plain = json(&["ramp", "--angle", "30 deg from shaft axis"], &keys);
    near(number(&plain, "gain"), 30.0_f64.to_radians().tan(), 1e-12);
    near(number(&plain, "release_gain"), number(&plain, "gain"), 1e-12);
}

#[test]
fn a_ramp_that_holds_itself_has_no_release_gain() {
    // self_locking_limit in tests/references/ramps_and_bias.toml: 5.711 degrees at 0.1
    let ask = |angle| ["ramp", "--angle", angle, "--friction", "0.1"];
    let keys = ["gain", "release_gain", "angle_from_shaft_deg"];
    let stuck = json(&ask("5.71 deg from ring face"), &keys);
    assert_eq!(stuck["release_gain"], Value::Null);
    assert!(table(&ask("5.71 deg from ring face")).contains("not release by itself"));
    assert!(number(&json(&ask("5.72 deg from ring face"), &keys), "release_gain") > 100.0);
}

#[test]
fn locking_follows_from_faces_friction_and_ramps() {
    let lock = |rest: &str| {
        let all = format!("lock --friction 0.1 --radius 50mm --pin-radius 40mm {rest}");
        json(&words(&all), &LOCK)
    };
    // n μ r_f k/r_p = 4 · 0.1 · 50/40: 50 % and 3 : 1, locking_50_percent in tests/references/ramps_and_bias.toml
    let half = lock("--faces 4 --drive \"45 deg from ring face\" --coast \"no ramp\"");
    near(number(&half, "drive_share"), 0.5, 1e-12);
    near(number(&half, "bias_ratio"), 3.0, 1e-9);
    near(number(&half, "coast_share"), 0.0, 1e-12);
    assert_eq!(half["class"], "one-way");
    let two = lock(
        "--faces 6 --drive \"45 deg from ring face\" --coast \"45 deg from shaft axis\" --preload-force 1kN \
         --spring-place between --ramp-friction 0.05",
    );
    assert_eq!(two["class"], "two-way");
    near(
        number(&two, "drive_share"),
        0.75 * (1.0 - 0.05) / (1.0 + 0.05),
        1e-12,
    );
}

#[test]
fn a_locked_unit_has_no_bias_ratio() {
    let line = "lock --faces 10 --friction 0.1 --radius 50mm --pin-radius 40mm --drive \"45 deg from ring face\" \
                --coast \"60 deg from ring face\" --preload-force 1000N";
    let locked = json(&words(line), &LOCK);
    assert_eq!(locked["bias_ratio"], Value::Null);
    near(number(&locked, "drive_share"), 1.25, 1e-12);
    assert_eq!(locked["class"], "one-and-a-half-way");
    let shown = table(&words(line));
    assert!(shown.contains("locked on drive") && shown.contains("ramps add nothing until"));
}

#[test]
fn a_lock_says_between_what_it_lies_with_and_without_gear_thrust() {
    let faces = "lock --faces 8 --friction 0.1 --still 0.12 --pin-radius 31mm --ramp-friction 0.06 \
                 --drive \"45 deg from ring face\" --coast \"no ramp\"";
    let gears = "--gear-radius 28mm --pressure-angle 22.5deg --pitch-angle 60deg";
    let lock = |rest: &str| json(&words(&format!("{faces} {rest}")), &LOCK);
    // nothing in doubt: the ends are the share itself, n μ r_f (k/r_p + tan α sin δ/r_g)
    let (plain, thrust) = (
        lock("--radius 40mm --friction-doubt 0"),
        lock(&format!("--radius 40mm --friction-doubt 0 {gears}")),
    );
    let ramp = 0.8 * 40.0 * (1.0 - 0.06) / (1.0 + 0.06) / 31.0;
    let gear = 0.8 * 40.0 * 22.5_f64.to_radians().tan() * 60.0_f64.to_radians().sin() / 28.0;
    for key in ["drive_share", "drive_share_low", "drive_share_high"] {
        near(number(&plain, key), ramp, 1e-9);
        near(number(&thrust, key), ramp + gear, 1e-9);
    }
    // gears thrust whatever the ramp: a one-way locks on coast too
    near(number(&thrust, "coast_share"), gear, 1e-9);
    near(number(&thrust, "drive_share_without_thrust_low"), ramp, 1e-9);
    near(number(&plain, "drive_share_at_rest_high"), 1.2 * ramp, 1e-9);
    assert_eq!(plain["drive_share_without_thrust_low"], Value::Null);
    // friction ± 10 %, radius and tabs: 1.96 · 0.1 each way and what the tabs may hold back
    let doubted = lock("--outer 98mm --inner 62mm");
    assert!(
        number(&doubted, "drive_share_low") < 0.8 * ramp
            && number(&doubted, "drive_share_high") > 1.05 * ramp
    );
    assert!(doubted["drive_from"].as_str().unwrap().starts_with("friction "));
    assert!(number(&doubted, "drive_share_unloading_low") > number(&doubted, "drive_share_low"));
    let shown = table(&words(&format!("{faces} --radius 40mm --torque 800N.m")));
    assert!(
        shown.contains("side-gear thrust not counted: the real lock is higher"),
        "{shown}"
    );
    let shown = table(&words(&format!("{faces} --outer 98mm --inner 62mm {gears}")));
    assert!(
        !shown.contains("not counted") && shown.contains("without side-gear thrust"),
        "{shown}"
    );
    // a ramp below its angle of friction holds until somebody moves it
    let stuck = json(
        &words(
            "lock --faces 8 --friction 0.1 --radius 40mm --pin-radius 31mm --ramp-friction 0.3 \
             --drive \"15 deg from ring face\" --coast \"no ramp\"",
        ),
        &LOCK,
    );
    assert_eq!(stuck["drive_share_unloading_low"], Value::Null);
}

const BREAKAWAY: [&str; 3] = ["reading_nm", "ramp_share", "wedged"];

#[test]
fn breakaway_follows_from_how_it_is_held_and_gives_its_friction_back() {
    let packs = "--faces-left 8 --faces-right 6 --force-left 1000N --force-right 1200N";
    let ramp = "--ramp \"60 deg from ring face\" --pin-radius 60mm";
    let ask = |rest: &str, key: &str| {
        let all = format!("breakaway --radius 50mm {packs} {rest}");
        number(&json(&words(&all), &[key, "ramp_share", "wedged"]), key)
    };
    // 0.1 · 50 mm · (8 · 1000 N + 6 · 1200 N) = 76 N·m; the ramp lifts no ring from a spring behind its pack here
    near(
        ask(&format!("--friction 0.1 --held case {ramp}"), "reading_nm"),
        76.0,
        1e-9,
    );
    // half of the packs and half of the drag
    near(
        ask("--friction 0.1 --held output --drag 3N.m", "reading_nm"),
        39.5,
        1e-9,
    );
    near(
        ask("--reading 39.5N.m --held output --drag 3N.m", "friction"),
        0.1,
        1e-12,
    );
    near(
        ask(&format!("--reading 76N.m --held case {ramp}"), "friction"),
        0.1,
        1e-12,
    );
}

#[test]
fn with_the_case_held_the_ramps_work() {
    // 8 faces at 40 mm, 1000 N, 0.1: c = 0.032 m; 45 degrees without friction on pins at 40 mm: S = 0.8
    let unit = "--faces-left 8 --faces-right 8 --force-left 1000N --force-right 1000N --pin-radius 40mm --held case \
                --ramp \"45 deg from ring face\"";
    let ask = |rest: &str| {
        json(
            &words(&format!("breakaway --radius 40mm {unit} {rest}")),
            &BREAKAWAY,
        )
    };
    let between = ask("--friction 0.1 --spring-place between");
    near(number(&between, "ramp_share"), 0.8, 1e-12);
    // 2 c F0/(1 − S) = 64/0.2
    near(number(&between, "reading_nm"), 320.0, 1e-9);
    assert_eq!(between["wedged"], false);
    near(number(&ask("--friction 0.1"), "reading_nm"), 64.0, 1e-9);
    // 2 N·m of drag at each output: (64 + 4)/0.2
    near(
        number(
            &ask("--friction 0.1 --spring-place between --drag 2N.m"),
            "reading_nm",
        ),
        340.0,
        1e-9,
    );
    let wedged = ask("--friction 0.125");
    assert_eq!(
        (&wedged["wedged"], &wedged["reading_nm"]),
        (&Value::Bool(true), &Value::Null)
    );
    near(number(&wedged, "ramp_share"), 1.0, 1e-12);
    // the pack that is not turned decides: 10 and 6 faces
    let uneven = |turned: &str| {
        let line = format!(
            "breakaway --faces-left 10 --faces-right 6 --force-left 1000N --force-right 1000N --radius 40mm --friction 0.1 \
             --held case --ramp \"45 deg from ring face\" --pin-radius 40mm --turned {turned}"
        );
        json(&words(&line), &BREAKAWAY)
    };
    assert_eq!(uneven("right")["wedged"], true);
    assert_eq!(uneven("left")["wedged"], false);
    let shown = table(&words(&format!(
        "breakaway --radius 40mm {unit} --friction 0.125"
    )));
    assert!(
        shown.contains("wedge") && shown.contains("Hold one output"),
        "{shown}"
    );
}

#[test]
fn one_output_held_counts_the_ramps_where_something_drags() {
    // mechanics: 45 degrees, 10 N·m of drag: 41.6 N·m where the packs alone give 32; S is 0.92
    let line = "breakaway --faces-left 8 --faces-right 8 --force-left 1000N --force-right 1000N --radius 40mm --friction 0.1 \
                --held output --drag 10N.m --spring-place between --ramp \"45 deg from ring face\" --pin-radius 34.782609mm";
    let read = json(&words(line), &BREAKAWAY);
    near(number(&read, "ramp_share"), 0.92, 1e-6);
    near(number(&read, "reading_nm"), 41.6, 1e-5);
}

#[test]
fn a_wrench_with_an_extension_is_set_lower() {
    let ask = |line: &str, key: &str| number(&json(&words(line), &[key]), key);
    near(
        ask(
            "wrench --reading 100N.m --length 400mm --extension 50mm",
            "true_nm",
        ),
        112.5,
        1e-9,
    );
    // adapter_100_9in in tests/references/bolts.toml: set 57.14 lbf·ft for 100
    let set = ask(
        "wrench --wanted \"100 lbf.ft\" --length 12in --extension 9in",
        "set_nm",
    );
    near(set / 1.355_817_948_331_400_4, 57.14, 0.005);
    near(
        ask(
            "wrench --wanted 60N.m --length 400mm --extension 50mm --bend 90deg",
            "set_nm",
        ),
        60.0,
        1e-9,
    );
}

#[test]
fn a_slip_of_unit_is_asked_after() {
    let keys = BOLT;
    json(
        &words("bolt --size M8 --class 8.8 --torque 25N.m --friction 0.14"),
        &keys,
    );
    let shown = table(&words(
        "bolt --size M8 --class 8.8 --torque \"18 lbf.in\" --friction 0.14",
    ));
    let shown: String = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(shown.contains("under 20 % of the proof load"), "{shown}");
    assert!(shown.contains("was 18 N·m or lbf·ft meant?"), "{shown}");
    assert!(shown.contains("the maker's torque governs"));
}

#[test]
fn a_measured_length_is_judged_with_its_uncertainty() {
    let ask = |rest: &str| {
        let all = format!("judge --value 1.982mm --uncertainty 0.004mm {rest}");
        json(&words(&all), &["probability_inside", "verdict"])
    };
    assert_eq!(ask("--least 1.95mm --most 2.05mm")["verdict"], "inside");
    assert_eq!(ask("--most 1.95mm")["verdict"], "outside");
    let close = ask("--least 1.982mm");
    assert_eq!(close["verdict"], "too close to call");
    near(number(&close, "probability_inside"), 0.5, 1e-12);
    // one standard uncertainty on each side: 68.27 % (JCGM 100:2008, table G.1)
    let one = ask("--least 1.978mm --most 1.986mm --confidence 0.6");
    near(number(&one, "probability_inside"), 0.6827, 0.00005);
    assert_eq!(one["verdict"], "inside");
    let shown = table(&words(
        "judge --value 1.982mm --uncertainty 0mm --least 1.95mm --most 1.99mm",
    ));
    assert!(shown.contains("standard uncertainty"));
}

#[test]
fn a_quantity_is_converted_by_the_exact_factors() {
    let ask = |quantity: &str, to: &str| {
        let answer = json(&["convert", quantity, "--to", to], &["value", "measure"]);
        (
            number(&answer, "value"),
            answer["measure"].as_str().unwrap().to_string(),
        )
    };
    // NIST SP 811, B.8: 1 lbf·ft = 1.355 817 948 331 4 N·m
    let (value, unit) = ask("35 lbf·ft", "N·m");
    near(value, 35.0 * 1.355_817_948_331_400_4, 1e-9);
    assert_eq!(unit, "N·m");
    near(ask("-40 °C", "degF").0, -40.0, 1e-9);
    near(ask("-5mm", "thou").0, -5.0 / 0.0254, 1e-9);
}

#[test]
fn every_answer_that_work_rests_on_defers_to_the_maker() {
    for line in [
        "wrench --reading 100N.m --length 400mm --extension 50mm",
        "bolt --size M10x1.25 --class 10.9 --torque 75N.m",
        "spring --outside 50mm --inside 25.4mm --thickness 2mm --height 3.4mm --travel 1.05mm",
        "judge --value 1.982mm --uncertainty 0.004mm --least 1.95mm",
    ] {
        let shown = table(&words(line));
        assert!(
            shown
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
                .ends_with("The vehicle maker's manual, local rules and a qualified person come first."),
            "{shown}"
        );
        assert!(!shown.to_lowercase().contains(" safe"));
    }
}

#[test]
fn the_help_names_every_calculation_and_the_exit_codes() {
    let help = reckon_help("--help");
    assert!(help.contains("9 a value is outside what the formula allows"));
    for what in [
        "spring",
        "pack",
        "ramp",
        "lock",
        "breakaway",
        "wrench",
        "bolt",
        "judge",
        "readings",
        "line",
        "convert",
    ] {
        assert!(help.contains(&format!("  {what} ")), "{what}");
        assert!(reckon_help(what).contains("--json"), "{what}");
    }
    let judge = reckon_help("judge");
    let judge: Vec<&str> = judge.split_whitespace().collect();
    assert!(judge.join(" ").contains("halve it first"));
}

fn reckon_help(what: &str) -> String {
    shimwright::cli::reckoned([what.into(), "--help".into()])
        .unwrap_err()
        .1
}

const AXLE: [&str; 12] = [
    "state",
    "case_nm",
    "inside_nm",
    "outside_nm",
    "held_nm",
    "capacity_nm",
    "slip_inside",
    "slip_outside",
    "load_inside_n",
    "load_outside_n",
    "ahead_g",
    "yaw_nm",
];

/// The axle that `tests/mechanics/moving_axles.rs` holds against a second way.
fn axle(rest: &str) -> Vec<&str> {
    let mut line = words(
        "axle --mass 1250kg --axle-mass 600kg --axle rear --track 1500mm --wheelbase 2600mm --height 480mm \
         --roll-share 0.45 --tyre-radius 310mm --speed 14m/s --cornering 0.44 --grip-inside 1.1 --grip-outside 1.1 \
         --slide-slip 0.1 --faces 8 --friction 0.1 --radius 40mm --pin-radius 31mm --ramp-friction 0.06 \
         --preload-force 300N",
    );
    line.extend(words(rest));
    for (option, angle) in [("--drive", "45 deg from ring face"), ("--coast", "no ramp")] {
        line.extend([option, angle]);
    }
    line
}

#[test]
fn an_axle_turns_as_one_from_46_percent_of_1200_newton_metres() {
    // an independent solution of the same balance found 46 % in steps of 2 %
    let below = json(&axle("--torque 528N.m"), &AXLE);
    let above = json(&axle("--torque 552N.m"), &AXLE);
    assert_eq!(below["state"], "outside-faster");
    near(number(&below, "held_nm"), number(&below, "capacity_nm"), 1e-9);
    assert_eq!(above["state"], "one");
    assert!(number(&above, "held_nm") < number(&above, "capacity_nm"));
    near(
        number(&above, "inside_nm") + number(&above, "outside_nm"),
        552.0,
        1e-6,
    );
    // the load of 600 kg, and h/L of what 552 N·m at 310 mm push, is on the two tyres
    let load = 600.0 * 9.80665 + 552.0 / 0.31 * 0.48 / 2.6;
    near(
        number(&above, "load_inside_n") + number(&above, "load_outside_n"),
        load,
        1e-6,
    );
    near(number(&above, "ahead_g"), 552.0 / 0.31 / 1250.0 / 9.80665, 1e-9);
}

#[test]
fn a_spinning_wheel_has_no_slip_of_its_own_and_a_shut_throttle_slides() {
    let spins = json(&axle("--torque 9000N.m"), &AXLE);
    assert_eq!(spins["state"], "both-spin");
    assert!(spins["slip_inside"].is_null() && spins["slip_outside"].is_null());
    assert!(number(&spins, "case_nm") < 9000.0 && number(&spins, "yaw_nm") > 0.0);
    let shown = table(&axle("--torque -9000N.m"));
    assert!(
        shown.contains("the inside wheel slides") && !shown.contains("spin"),
        "{shown}"
    );
    let shown = table(&axle("--torque 528N.m"));
    assert!(
        shown.contains("against the turn") && shown.contains("% of the front tyres"),
        "{shown}"
    );
}

#[test]
fn a_disc_is_told_with_the_force_that_a_maker_may_deliver() {
    // DIN EN 16983 as makers print it: 1.75 mm thick, 7.5 % less to 15 % more; 4 mm thick, 5 % less to 10 % more
    let disc = |thickness: &str| {
        let line = format!(
            "spring --outside 50mm --inside 25.4mm --thickness {thickness} --height 5.2mm --travel 0.4mm"
        );
        let spring = json(&words(&line), &SPRING);
        ["force_least_n", "force_most_n"].map(|key| number(&spring, key) / number(&spring, "force_n"))
    };
    for (thickness, wanted) in [
        ("1.2mm", [0.925, 1.25]),
        ("1.75mm", [0.925, 1.15]),
        ("4mm", [0.95, 1.1]),
    ] {
        let found = disc(thickness);
        near(found[0], wanted[0], 1e-12);
        near(found[1], wanted[1], 1e-12);
    }
}

#[test]
fn risks_are_those_of_the_worked_example() {
    // jcgm106_resistor_guarded in tests/references/uncertainty_conformance.toml, an ohm for a millimetre
    let line = "risk --mean 1500mm --spread 0.12mm --uncertainty 0.04mm --least 1499.8mm --most 1500.2mm --guard 0.02mm";
    let keys = ["conforming", "consumers_risk", "producers_risk"];
    let found = json(&words(line), &keys);
    near(number(&found, "conforming"), 0.9044, 5e-5);
    near(number(&found, "consumers_risk"), 0.0099, 5e-5);
    near(number(&found, "producers_risk"), 0.069, 5e-5);
    assert!(table(&words(line)).contains("consumer's risk"));
}

#[test]
fn sources_are_put_together_with_the_degrees_of_freedom_of_the_worked_example() {
    // JCGM 100:2008, H.1: see welch_satterthwaite_h1 and gum_h1_expanded in tests/references/uncertainty_conformance.toml
    let mut line = vec!["combine", "--confidence", "0.99"];
    for source in ["25um; 18", "9.7um; 25.6", "2.9um; 50", "16.6um; 2"] {
        line.extend(["--source", source]);
    }
    let keys = ["u_um", "degrees_of_freedom", "coverage_factor", "expanded_um"];
    let found = json(&line, &keys);
    near(number(&found, "degrees_of_freedom"), 16.7, 0.1);
    near(number(&found, "coverage_factor"), 2.92, 0.02);
    near(
        number(&found, "u_um"),
        (25.0_f64.powi(2) + 9.7_f64.powi(2) + 2.9_f64.powi(2) + 16.6_f64.powi(2)).sqrt(),
        1e-12,
    );
    let without_end = json(&["combine", "--source", "3um", "--source", "4um"], &keys);
    near(number(&without_end, "u_um"), 5.0, 1e-12);
    near(number(&without_end, "coverage_factor"), 1.96, 5e-4);
    assert!(without_end["degrees_of_freedom"].is_null());
}

#[test]
fn the_help_of_every_calculation_has_an_example_that_runs() {
    let folder = tempfile::TempDir::new().unwrap();
    std::fs::write(folder.path().join("mic-2.txt"), "# mm\n1.981\n1.983\n1.982\n").unwrap();
    std::fs::write(folder.path().join("runs.csv"), RUNS).unwrap();
    for name in ["shoal-car.toml", "shoal-rear.toml"] {
        let demo = format!("{}/demo-units/{name}", env!("CARGO_MANIFEST_DIR"));
        std::fs::copy(demo, folder.path().join(name)).unwrap();
    }
    std::fs::write(folder.path().join("wear.txt"), "x,y\n0,2.000\n1,1.991\n2,1.983\n").unwrap();
    let run = |arguments: &[&str]| {
        let output = crate::started::program()
            .args(arguments)
            .current_dir(folder.path())
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {output:?}");
        String::from_utf8(output.stdout).unwrap()
    };
    let commands = run(&["reckon", "--help"]);
    let commands: Vec<&str> = commands
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|name| !name.is_empty() && *name != "help")
        .collect();
    assert!(commands.len() >= 11, "{commands:?}");
    for command in commands {
        let help = run(&["reckon", command, "--help"]);
        let (_, example) = help
            .split_once("Such as")
            .unwrap_or_else(|| panic!("{command}: {help}"));
        let example = example.trim_start_matches([':', ' ', '\n']);
        let example = example.split("\n\n").next().unwrap();
        let example = example.split_whitespace().collect::<Vec<_>>().join(" ");
        let line = example.strip_prefix("shimwright ").unwrap();
        assert!(line.starts_with(&format!("reckon {command} ")), "{line}");
        run(&words(line));
    }
    // the one argument of the kind that is no calculation's
    assert!(run(&["wear", "--help"]).contains("such as"));
}

/// `balanced_8` and `one_day` of tests/references/run_comparison.toml have tables like this; these times are invented.
const RUNS: &str =
    "day,setting,seconds\n1,1,70.0\n1,2,69.1\n1,2,69.2\n1,1,70.3\n1,2,69.4\n1,1,70.5\n1,1,70.6\n1,2,69.7\n";

#[test]
fn settings_are_compared_with_the_drift_taken_out() {
    let mut file = NamedTempFile::new().unwrap();
    file.write_all(RUNS.as_bytes()).unwrap();
    let path = file.path().to_str().unwrap();
    let keys = [
        "difference_s",
        "interval_low_s",
        "interval_high_s",
        "freedom",
        "scatter_s",
        "p",
        "least_p",
        "runs_to_show",
    ];
    // A-B-B-A and B-A-A-B with 0.1 s of drift a run and 1 s between the settings, exactly
    let found = json(&["runs", path, "--drawn", "balanced"], &keys);
    near(number(&found, "difference_s"), -1.0, 1e-9);
    near(number(&found, "p"), 0.25, 1e-12);
    near(number(&found, "least_p"), 0.25, 1e-12);
    let blocks = json(&["runs", path, "--drawn", "blocks"], &keys);
    near(number(&blocks, "p"), 0.5, 1e-12);
    let not = json(&["runs", path], &keys);
    assert!(not["p"].is_null());
    let shown = table(&["runs", path]);
    assert!(shown.contains("setting 2 is faster") && shown.contains("only for an order that was drawn"));
}

#[test]
fn an_order_is_drawn_the_same_by_the_same_seed() {
    let keys = ["order", "orders", "changes", "least_p"];
    let one = json(&words("order --runs 12 --seed 7"), &keys);
    assert_eq!(one, json(&words("order --runs 12 --seed 7"), &keys));
    near(number(&one, "orders"), 58.0, 1e-12);
    let fewest = json(&words("order --runs 12 --seed 7 --fewest-changes"), &keys);
    assert!(number(&fewest, "changes") <= number(&one, "changes"));
    assert!(number(&fewest, "least_p") >= number(&one, "least_p"));
}
