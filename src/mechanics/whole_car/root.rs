//! Where a function of one number crosses zero between two ends that lie on either side of it.

/// The crossing between `a` and `b`, by interpolation with a fall back to halving, so that corners and steep parts do no harm.
///
/// Without a change of sign it is the end that is nearer to zero.
///
/// Source: T. R. Chandrupatla, *A new hybrid quadratic/bisection algorithm*, Advances in Engineering Software 28 (1997), 145.
pub(super) fn crossing(mut function: impl FnMut(f64) -> f64, a: f64, b: f64) -> f64 {
    let (mut near, mut far) = (b, a);
    let (mut at_near, mut at_far) = (function(near), function(far));
    if at_near.abs() == 0.0 {
        return near;
    }
    if at_far.abs() == 0.0 || at_near.signum() * at_far.signum() > 0.0 {
        return if at_far.abs() <= at_near.abs() { far } else { near };
    }
    let mut part = 0.5;
    for _ in 0..MOST_STEPS {
        let next = near + part * (far - near);
        let at_next = function(next);
        let (third, at_third);
        if at_next.signum() * at_near.signum() > 0.0 {
            (third, at_third) = (near, at_near);
        } else {
            (third, at_third) = (far, at_far);
            (far, at_far) = (near, at_near);
        }
        (near, at_near) = (next, at_next);
        let (best, at_best) = if at_near.abs() < at_far.abs() {
            (near, at_near)
        } else {
            (far, at_far)
        };
        let least = FINEST * best.abs() + f64::MIN_POSITIVE;
        let width = (far - near).abs();
        if at_best.abs() == 0.0 || width <= 2.0 * least {
            return best;
        }
        let margin = least / width;
        let xi = (near - far) / (third - far);
        let phi = (at_near - at_far) / (at_third - at_far);
        part = if phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi {
            at_near / (at_far - at_near) * at_third / (at_far - at_third)
                + (third - near) / (far - near) * at_near / (at_third - at_near) * at_far
                    / (at_third - at_far)
        } else {
            0.5
        };
        part = part.clamp(margin.min(0.5), (1.0 - margin).max(0.5));
    }
    near
}

/// More than halving alone would need.
const MOST_STEPS: usize = 200;
/// How fine the place is wanted, as a share of it.
const FINEST: f64 = 1e-13;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn smooth_cornered_and_steep_functions_are_crossed() {
        let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1e-9, "{found} {wanted}");
        near(crossing(|x| x * x - 2.0, 0.0, 2.0), 2.0_f64.sqrt());
        near(crossing(|x| x * x - 2.0, 2.0, 0.0), 2.0_f64.sqrt());
        near(crossing(|x| if x < 0.3 { -1.0 } else { 1e9 }, 0.0, 1.0), 0.3);
        near(crossing(|x| (x - 0.7).powi(9), 0.0, 1e6), 0.7);
        near(crossing(|x| x, 0.0, 1.0), 0.0);
    }

    #[test]
    fn without_a_crossing_the_nearer_end_is_given() {
        assert!((crossing(|x| x + 1.0, 0.0, 5.0) - 0.0).abs() < 1e-12);
        assert!((crossing(|x| x - 9.0, 0.0, 5.0) - 5.0).abs() < 1e-12);
    }
}
