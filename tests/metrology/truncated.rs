//! A normal distribution cut at two ends, held against its integral over the density of a general-purpose library.

use shimwright::metrology::{Draw, simulate};
use statrs::distribution::{Continuous, Normal};

/// Mean and standard deviation by Simpson's rule over the density.
fn integrated(mean: f64, sd: f64, [low, high]: [f64; 2]) -> [f64; 2] {
    let normal = Normal::new(mean, sd).unwrap();
    let parts = 2000;
    let sum = |of: &dyn Fn(f64) -> f64| -> f64 {
        let step = (high - low) / f64::from(parts);
        let weighed = (0..=parts).map(|n| {
            let weight = if n == 0 || n == parts {
                1.0
            } else {
                f64::from(2 + 2 * (n % 2))
            };
            let x = low + f64::from(n) * step;
            weight * of(x) * normal.pdf(x)
        });
        weighed.sum::<f64>() * step / 3.0
    };
    let inside = sum(&|_| 1.0);
    let middle = sum(&|x| x) / inside;
    [middle, (sum(&|x| (x - middle) * (x - middle)) / inside).sqrt()]
}

#[test]
fn a_truncated_normal_has_the_mean_and_the_standard_deviation_of_its_integral() {
    for (mean, sd, ends) in [
        (1.0, 0.03, [0.925, 1.15]),
        (1.0, 0.03, [0.95, 1.05]),
        (1.0, 0.03, [0.99, 1.25]),
        (0.0, 1.0, [0.0, 8.0]),
        (2.0, 5.0, [1.5, 3.0]),
    ] {
        let draw = Draw::TruncatedNormal {
            mean,
            sd,
            low: ends[0],
            high: ends[1],
        };
        let [wanted, scatter] = integrated(mean, sd, ends);
        assert!(
            (draw.mean() - wanted).abs() < 1e-9 * sd,
            "{draw:?}: {} {wanted}",
            draw.mean()
        );
        assert!(
            (draw.standard() - scatter).abs() < 1e-8 * sd,
            "{draw:?}: {} {scatter}",
            draw.standard()
        );
        // and so it is drawn
        let drawn = simulate(11, 40_000, &[draw], |x| Some(x[0])).unwrap();
        assert!(
            (drawn.mean - wanted).abs() < 4.0 * scatter / 200.0,
            "{draw:?}: {}",
            drawn.mean
        );
        assert!((drawn.sd / scatter - 1.0).abs() < 0.02, "{draw:?}: {}", drawn.sd);
        assert!(drawn.values().first() >= Some(&ends[0]) && drawn.values().last() <= Some(&ends[1]));
    }
    // half a normal distribution: √(2/π) and √(1 − 2/π)
    let half = Draw::TruncatedNormal {
        mean: 0.0,
        sd: 1.0,
        low: 0.0,
        high: 40.0,
    };
    assert!((half.mean() - (2.0 / std::f64::consts::PI).sqrt()).abs() < 1e-12);
    assert!((half.standard() - (1.0 - 2.0 / std::f64::consts::PI).sqrt()).abs() < 1e-12);
}

#[test]
fn ends_that_leave_nothing_leave_the_mean() {
    for (sd, low, high) in [(0.0, 0.9, 1.1), (0.03, 1.0, 1.0), (0.0, 1.0, 1.0)] {
        let draw = Draw::TruncatedNormal {
            mean: 1.0,
            sd,
            low,
            high,
        };
        assert_eq!(
            [draw.mean(), draw.standard()].map(f64::to_bits),
            [1.0, 0.0].map(f64::to_bits)
        );
        let drawn = simulate(1, 100, &[draw], |x| Some(x[0])).unwrap();
        assert_eq!(drawn.values().first(), Some(&1.0));
        assert_eq!(drawn.values().last(), Some(&1.0));
    }
    for (sd, low, high) in [
        (0.1, 1.1, 1.2),
        (0.1, 0.8, 0.9),
        (-0.1, 0.9, 1.1),
        (f64::NAN, 0.9, 1.1),
        (0.1, f64::NEG_INFINITY, 1.1),
    ] {
        let draw = Draw::TruncatedNormal {
            mean: 1.0,
            sd,
            low,
            high,
        };
        assert!(simulate(1, 100, &[draw], |x| Some(x[0])).is_err(), "{draw:?}");
    }
}
