//! The normal and Student's t distributions: probabilities and quantiles.

use statrs::distribution::{ContinuousCDF, StudentsT};
use std::f64::consts::FRAC_1_SQRT_2;
use std::sync::OnceLock;

/// Probability that a standard normal value is at most `z`.
pub(super) fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * FRAC_1_SQRT_2)
}

/// The density of the standard normal distribution at `z`.
pub(super) fn density(z: f64) -> f64 {
    libm::exp(-0.5 * z * z) / std::f64::consts::TAU.sqrt()
}

// Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37 (1988): coefficients from memory, held against libm's
// erfc and statrs by the tests.
const CENTRE_OVER: [f64; 8] = [
    3.3871328727963665,
    133.14166789178438,
    1971.5909503065513,
    13731.69376550946,
    45921.95393154987,
    67265.7709270087,
    33430.57558358813,
    2509.0809287301227,
];
const CENTRE_UNDER: [f64; 8] = [
    1.0,
    42.31333070160091,
    687.1870074920579,
    5394.196021424751,
    21213.794301586597,
    39307.89580009271,
    28729.085735721943,
    5226.495278852854,
];
const NEAR_OVER: [f64; 8] = [
    1.4234371107496835,
    4.630337846156546,
    5.769497221460691,
    3.6478483247632045,
    1.2704582524523684,
    0.2417807251774506,
    0.022723844989269184,
    0.0007745450142783414,
];
const NEAR_UNDER: [f64; 8] = [
    1.0,
    2.053191626637759,
    1.6763848301838038,
    0.6897673349851,
    0.14810397642748008,
    0.015198666563616457,
    0.0005475938084995345,
    1.0507500716444169e-09,
];
const FAR_OVER: [f64; 8] = [
    6.657904643501103,
    5.463784911164114,
    1.7848265399172913,
    0.29656057182850487,
    0.026532189526576124,
    0.0012426609473880784,
    2.7115555687434876e-05,
    2.0103343992922881e-07,
];
const FAR_UNDER: [f64; 8] = [
    1.0,
    0.599832206555888,
    0.1369298809227358,
    0.014875361290850615,
    0.0007868691311456133,
    1.8463183175100548e-05,
    1.421511758316446e-07,
    2.0442631033899397e-15,
];

fn ratio(over: &[f64; 8], under: &[f64; 8], x: f64) -> f64 {
    let polynomial = |c: &[f64; 8]| {
        ((((((c[7] * x + c[6]) * x + c[5]) * x + c[4]) * x + c[3]) * x + c[2]) * x + c[1]) * x + c[0]
    };
    polynomial(over) / polynomial(under)
}

/// The standard normal value that is not exceeded with `probability`, which is more than 0 and less than 1.
pub(super) fn normal_quantile(probability: f64) -> f64 {
    let off = probability - 0.5;
    if off.abs() <= 0.425 {
        return off * ratio(&CENTRE_OVER, &CENTRE_UNDER, 0.180625 - off * off);
    }
    let tail = probability.min(1.0 - probability);
    let r = (-libm::log(tail)).sqrt();
    let z = if r <= 5.0 {
        ratio(&NEAR_OVER, &NEAR_UNDER, r - 1.6)
    } else {
        ratio(&FAR_OVER, &FAR_UNDER, r - 5.0)
    };
    z.copysign(off)
}

/// The probability below the upper end of a 95 % interval.
const USUAL: f64 = 0.975;

/// The value of Student's t that is not exceeded with `probability` (more than 0, less than 1); `dof` at least 1.
///
/// Above 1 000 degrees of freedom, where the general routine loses its digits, by the expansion about the normal
/// value z: t = z + (z³ + z)/4ν + (5z⁵ + 16z³ + 3z)/96ν² (Abramowitz and Stegun 26.7.5, from memory).
pub(super) fn t_quantile(probability: f64, dof: f64) -> f64 {
    // a list of many units wants the same few values again and again, and each takes a search
    static KNOWN: [OnceLock<f64>; 32] = [const { OnceLock::new() }; 32];
    let usual = probability.to_bits() == USUAL.to_bits() && (dof as usize as f64).to_bits() == dof.to_bits();
    match KNOWN.get(dof as usize) {
        Some(known) if usual => *known.get_or_init(|| t_quantile_afresh(probability, dof)),
        _ => t_quantile_afresh(probability, dof),
    }
}

fn t_quantile_afresh(probability: f64, dof: f64) -> f64 {
    if dof <= 1000.0
        && let Ok(t) = StudentsT::new(0.0, 1.0, dof)
    {
        return t.inverse_cdf(probability);
    }
    let z = normal_quantile(probability);
    let z2 = z * z;
    z + z * (z2 + 1.0) / (4.0 * dof) + z * ((5.0 * z2 + 16.0) * z2 + 3.0) / (96.0 * dof * dof)
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::Normal;

    #[test]
    fn quantile_and_probability_undo_each_other_far_into_the_tails() {
        for step in 1..=820 {
            let z = -f64::from(step) / 100.0;
            let back = normal_quantile(normal_below(z));
            assert!((back - z).abs() < 4e-15 * z.abs().max(1.0), "{z}: {back}");
        }
    }

    #[test]
    fn what_is_known_of_t_is_what_is_worked_out_afresh() {
        for _ in 0..2 {
            for dof in [1.0, 2.0, 2.5, 3.0, 31.0, 32.0, 40.0, f64::INFINITY] {
                for probability in [USUAL, 0.5 * (1.0 + 0.95), 0.97, 0.995] {
                    let afresh = t_quantile_afresh(probability, dof);
                    assert_eq!(t_quantile(probability, dof).to_bits(), afresh.to_bits());
                }
            }
        }
    }

    #[test]
    fn the_quantile_is_antisymmetric_and_rises() {
        let mut last = f64::NEG_INFINITY;
        for step in 1..4096 {
            let p = f64::from(step) / 4096.0;
            let z = normal_quantile(p);
            assert!(z > last, "{p}");
            assert!((z + normal_quantile(1.0 - p)).abs() < 1e-15, "{p}");
            last = z;
        }
    }

    #[test]
    fn the_normal_agrees_with_a_general_library() {
        let normal = Normal::new(0.0, 1.0).unwrap();
        for step in 1..2000 {
            let p = f64::from(step) / 2000.0;
            assert!((normal_quantile(p) - normal.inverse_cdf(p)).abs() < 1e-9, "{p}");
        }
        for p in [1e-15, 1e-10, 1e-6, 1e-4] {
            assert!((normal_quantile(p) - normal.inverse_cdf(p)).abs() < 1e-8, "{p}");
        }
        for step in -60..=60 {
            let z = f64::from(step) / 10.0;
            assert!((normal_below(z) - normal.cdf(z)).abs() < 1e-10, "{z}");
        }
        assert!((normal_below(std::f64::consts::SQRT_2) - (1.0 - 0.5 * libm::erfc(1.0))).abs() < 1e-15);
    }

    #[test]
    fn t_is_continuous_where_the_expansion_takes_over() {
        for p in [0.75, 0.9, 0.975, 0.995, 0.9995] {
            let (below, above) = (t_quantile(p, 1000.0), t_quantile(p, 1000.0 + 1e-6));
            assert!((below - above).abs() < 1e-7, "{p}: {below} {above}");
        }
        assert!((t_quantile(0.975, 1e12) - normal_quantile(0.975)).abs() < 1e-11);
        assert!((t_quantile(0.975, f64::INFINITY) - normal_quantile(0.975)).abs() < 1e-15);
    }
}
