//! How long the statistics take. `cargo bench --bench metrology`

// a bench that fails is meant to stop
#![allow(clippy::unwrap_used)]

use divan::{Bencher, black_box};
use shimwright::metrology::{Draw, Simulation, Summary, simulate};

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

#[divan::bench]
fn a_summary_of_a_thousand(bencher: Bencher) {
    let values: Vec<f64> = (0..1000).map(|i| 1.9 + f64::from(i % 7) * 0.001).collect();
    bencher.bench_local(|| Summary::of(black_box(&values)).unwrap());
}
