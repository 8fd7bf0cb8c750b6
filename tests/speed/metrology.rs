//! How long the statistics take. `cargo bench --bench metrology`

// a bench that fails is meant to stop
#![allow(clippy::unwrap_used)]

use divan::{Bencher, black_box};
use shimwright::history::driven::{SettingsCompared, WORTH_HAVING};
use shimwright::mechanics::friction::{
    KnownFriction, ShownFriction, SpringsIn, TradeFriction, known_friction,
};
use shimwright::mechanics::prediction::{FrictionDoubt, Predicted, Prediction, StackDoubt};
use shimwright::mechanics::{
    Bench, DiscSpring, Held, Holding, LockSetup, Sense, SpringPlace, SpringStack, Turned,
};
use shimwright::metrology::{Draw, Propagated, Simulation, Summary, propagate, simulate};
use shimwright::quantity::{Datum, Force, Length, RampAngle, Ratio};
use shimwright::record::driven::{Day, DayRun, Driven, Lap};

fn main() {
    divan::main();
}

/// A disc spring by the usual formula without contact flats: thickness, cone height, travel, outer diameter, modulus.
fn spring_force(x: &[f64]) -> Option<f64> {
    let (t, h, s, outer, modulus) = (x[0], x[1], x[2], x[3], x[4]);
    let travel = s / t;
    let height = h / t;
    (s >= 0.0 && s <= h).then(|| {
        4.0 * modulus / (1.0 - 0.09) * t.powi(4) / (0.69 * outer * outer)
            * travel
            * ((height - travel) * (height - travel / 2.0) + 1.0)
    })
}

/// Invented inputs in millimetres and newtons per square millimetre.
const SPRING: [Draw; 5] = [
    Draw::Normal { mean: 2.0, sd: 0.004 },
    Draw::Normal { mean: 1.2, sd: 0.006 },
    Draw::Normal { mean: 0.6, sd: 0.01 },
    Draw::Normal { mean: 80.0, sd: 0.02 },
    Draw::Normal {
        mean: 206_000.0,
        sd: 2_000.0,
    },
];

#[divan::bench(sample_count = 30)]
fn a_million_spring_forces() -> Simulation {
    simulate(black_box(1), 1_000_000, &SPRING, spring_force).unwrap()
}

#[divan::bench]
fn both_intervals_of_a_million(bencher: Bencher) {
    let run = simulate(1, 1_000_000, &SPRING, spring_force).unwrap();
    bencher.bench_local(|| {
        (
            run.interval(black_box(0.95)).unwrap(),
            run.shortest_interval(black_box(0.95)).unwrap(),
        )
    });
}

fn ratio(value: f64) -> Ratio {
    Ratio::new(value).unwrap()
}

/// An invented unit with disc springs behind the packs, the case held: every input that a prediction has.
fn unit() -> Prediction {
    let um = Length::from_um;
    let disc = DiscSpring::new(um(92_000), um(64_000), um(1_750), um(3_100), None).unwrap();
    let ramp = RampAngle::new(60.0, Datum::RingFace).unwrap();
    Prediction {
        bench: Bench {
            setup: LockSetup {
                faces: [10, 10],
                friction: ratio(0.12),
                friction_radius: um(40_000),
                pin_radius: um(31_000),
                drive: ramp,
                coast: ramp,
                ramp_friction: ratio(0.06),
                preload: [Force::from_newtons(0.0).unwrap(); 2],
                spring_place: SpringPlace::BehindPack,
                gear_thrust: None,
                tab_friction: None,
            },
            turning: ratio(0.10),
            holding: Holding {
                held: Held::Case,
                turned: Turned::Right,
                sense: Sense::Forwards,
            },
        },
        stacks: vec![StackDoubt {
            stack: SpringStack::discs(disc, 1, 1).unwrap(),
            height: um(2_217),
            height_standard: 0.005,
            free_standard: 0.012,
            gauge: [0.0; 2],
            nested: None,
            thickness_standard: None,
            read: None,
        }],
        springs: Some([0.925, 1.15]),
        radius: Some([1.0, 1.017]),
        friction: FrictionDoubt::Trade(ratio(0.10), ratio(0.01)),
        tabs: None,
    }
}

#[divan::bench(sample_count = 30)]
fn a_million_breakaways_with_every_input(bencher: Bencher) {
    let unit = unit();
    let inputs: Vec<Draw> = unit
        .inputs(Predicted::Breakaway)
        .iter()
        .map(|input| input.draw)
        .collect();
    bencher.bench_local(|| -> Simulation {
        simulate(
            black_box(1),
            1_000_000,
            &inputs,
            unit.follows(Predicted::Breakaway),
        )
        .unwrap()
    });
}

#[divan::bench]
fn a_breakaway_propagated(bencher: Bencher) {
    let unit = unit();
    let inputs = unit.inputs(Predicted::Breakaway);
    bencher.bench_local(|| -> Propagated {
        propagate(black_box(&inputs), unit.follows(Predicted::Breakaway)).unwrap()
    });
}

#[divan::bench]
fn friction_from_fifty_proofs(bencher: Bencher) {
    let trade = TradeFriction {
        friction: ratio(0.10),
        doubt: ratio(0.01),
        springs: [0.925, 1.15],
        radius: [1.0, 1.017],
    };
    let proofs: Vec<ShownFriction> = (0..50)
        .map(|n| ShownFriction {
            friction: ratio(0.10 + 0.001 * f64::from(n % 7)),
            own: ratio(0.015),
            wrench: format!("wrench-{}", n % 3),
            calibration: ratio(0.02),
            springs: n / 10,
            press: None,
        })
        .collect();
    bencher.bench_local(|| -> KnownFriction {
        known_friction(&trade, black_box(&proofs), SpringsIn::Set(4)).unwrap()
    });
}

#[divan::bench]
fn a_summary_of_a_thousand(bencher: Bencher) {
    let values: Vec<f64> = (0..1000).map(|i| 1.9 + f64::from(i % 7) * 0.001).collect();
    bencher.bench_local(|| Summary::of(black_box(&values)).unwrap());
}

#[divan::bench]
fn a_day_of_forty_runs_compared(bencher: Bencher) {
    let setting = |name: &str| Driven::Setting(name.repeat(8));
    let settings = ["aaaaaaaa", "bbbbbbbb"].map(setting);
    let runs = (0..40_u32).map(|n| DayRun {
        number: n as usize + 1,
        setting: Some(settings[usize::from(matches!(n % 4, 1 | 2))].clone()),
        laps: (0..12_u32)
            .map(|lap| Lap {
                milliseconds: 70_000 + 10 * n + 37 * ((n * 7 + lap * 5) % 11),
                struck: None,
            })
            .collect(),
        felt: [Some((n % 3) as i8 - 1); 5],
        ..DayRun::default()
    });
    let day = Day {
        name: "day".to_string(),
        finished: Some(String::new()),
        runs: runs.collect(),
        ..Day::default()
    };
    bencher.bench_local(|| -> SettingsCompared {
        SettingsCompared::of(
            black_box(&[&day]),
            [&settings[0], &settings[1]],
            ["a", "b"],
            WORTH_HAVING,
        )
    });
}
