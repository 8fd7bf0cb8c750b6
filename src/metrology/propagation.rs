//! What named inputs leave in doubt of a result, worked out input by input: beside the simulation, and at once.

use super::distribution::{density, normal_below, normal_quantile};
use super::error::{MetrologyError, coverage, finite};
use super::simulate::Draw;

/// An input of a model, by name.
#[derive(Clone, PartialEq, Debug)]
pub struct Input {
    /// What it is, such as `spring`; inputs of one name are told together.
    pub name: &'static str,
    /// What is known of it.
    pub draw: Draw,
}

/// What one name leaves in doubt.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Part {
    /// The name of its inputs.
    pub name: &'static str,
    /// Its standard uncertainty in the result.
    pub standard: f64,
    /// Its share of the variance of the result, 0 to 1.
    pub share: f64,
}

/// What inputs leave in doubt of a result.
#[derive(Clone, PartialEq, Debug)]
pub struct Propagated {
    /// The result with every input at the mean of what is known of it.
    pub mean: f64,
    /// The combined standard uncertainty.
    pub standard: f64,
    /// What it is made of, the largest first.
    pub parts: Vec<Part>,
    /// Half the width of the widest rectangular input in the result; 0 where none is.
    half_width: f64,
    /// The standard uncertainty of all the others together.
    others: f64,
}

impl Propagated {
    /// The interval that covers a share, with as much left over below as above.
    ///
    /// ```text
    /// P(below y) = [G(y + a) − G(y − a)]/2a,   G(z) = z Φ(z/u) + u φ(z/u)
    /// interval     mean ± y with P(below y) = (1 + p)/2
    /// ```
    ///
    /// | symbol | parameter | unit |
    /// |---|---|---|
    /// | p | `p` | share, above 0, below 1 |
    /// | mean | `mean` | as the result |
    /// | a | half the width of the widest rectangular input in the result | as the result |
    /// | u | the standard uncertainty of all the other inputs together | as the result |
    /// | Φ, φ | the normal distribution and its density | – |
    ///
    /// The widest rectangular input stays a rectangle, from −a to a; the others together are taken as normal. P is
    /// the integral of the normal distribution over the rectangle.
    ///
    /// Source: JCGM 101:2008, 6.4.2 and 6.4.7, folded.
    ///
    /// # Errors
    ///
    /// `p` not between 0 and 1.
    ///
    /// # Example
    ///
    /// ```
    /// use shimwright::metrology::{Draw, Input, propagate};
    /// // JCGM 101:2008, 9.2.4: three rectangular inputs of standard deviation 1 and one of 10; 95 % is ± 17.0, not 19.9
    /// let wide = |sd: f64| Draw::Uniform { low: -sd * 3_f64.sqrt(), high: sd * 3_f64.sqrt() };
    /// let inputs = [1.0, 1.0, 1.0, 10.0].map(|sd| Input { name: "rectangular", draw: wide(sd) });
    /// let sum = propagate(&inputs, |x| Some(x.iter().sum()))?;
    /// let (low, high) = sum.interval(0.95)?;
    /// assert!((sum.standard - 10.1).abs() < 0.1 && (high - 17.0).abs() < 0.1 && (low + high).abs() < 1e-9);
    /// # Ok::<(), shimwright::metrology::MetrologyError>(())
    /// ```
    pub fn interval(&self, p: f64) -> Result<(f64, f64), MetrologyError> {
        let probability = 1.0 - 0.5 * (1.0 - coverage(p)?);
        let (a, u) = (self.half_width, self.others);
        let half = if a <= 1e-9 * u {
            normal_quantile(probability) * u
        } else if u <= 1e-9 * a {
            (2.0 * probability - 1.0) * a
        } else {
            let over = |z: f64| z * normal_below(z / u) + u * density(z / u);
            let below = |y: f64| (over(y + a) - over(y - a)) / (2.0 * a);
            let (mut low, mut high) = (0.0, a + 40.0 * u);
            for _ in 0..80 {
                let middle = 0.5 * (low + high);
                if below(middle) < probability {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            0.5 * (low + high)
        };
        Ok((self.mean - half, self.mean + half))
    }
}

/// Propagates the doubt of some inputs through a model.
///
/// ```text
/// u² = Σ cᵢ²uᵢ²,   cᵢuᵢ = (f(xᵢ + uᵢ) − f(xᵢ − uᵢ))/2
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | u | the result | as the result of the model |
/// | xᵢ, uᵢ | `inputs`, their means and standard uncertainties | each its own |
/// | f | `model`, the other inputs at their means | its own |
///
/// Inputs are independent of each other; what is shared is one input.
///
/// Source: JCGM 100:2008, 5.1.2 and 5.1.3, note 2.
///
/// # Errors
///
/// An input that is no distribution; a model that has no value there.
///
/// # Example
///
/// ```
/// use shimwright::metrology::{Draw, Input, propagate};
/// let inputs = [3.0, 4.0].map(|sd| Input { name: "length", draw: Draw::Normal { mean: 10.0, sd } });
/// let sum = propagate(&inputs, |x| Some(x.iter().sum()))?;
/// assert!((sum.mean - 20.0).abs() < 1e-12 && (sum.standard - 5.0).abs() < 1e-12);
/// # Ok::<(), shimwright::metrology::MetrologyError>(())
/// ```
pub fn propagate(
    inputs: &[Input],
    model: impl Fn(&[f64]) -> Option<f64>,
) -> Result<Propagated, MetrologyError> {
    for input in inputs {
        input.draw.check()?;
    }
    let at = |values: &[f64]| match model(values) {
        Some(value) => finite("the result of a model", value),
        None => Err(MetrologyError::AllRefused { draws: 1 }),
    };
    let mut values: Vec<f64> = inputs.iter().map(|input| input.draw.mean()).collect();
    let mean = at(&values)?;
    let (mut squares, mut widest) = (0.0, (0.0, 0.0));
    let mut parts: Vec<Part> = Vec::new();
    for (n, input) in inputs.iter().enumerate() {
        let (middle, u) = (values[n], input.draw.standard());
        values[n] = middle + u;
        let above = at(&values)?;
        values[n] = middle - u;
        let standard = 0.5 * (above - at(&values)?);
        values[n] = middle;
        let square = standard * standard;
        squares += square;
        if matches!(input.draw, Draw::Uniform { .. }) && square > widest.1 {
            widest = (3_f64.sqrt() * standard.abs(), square);
        }
        match parts.iter_mut().find(|part| part.name == input.name) {
            Some(part) => part.standard = part.standard.hypot(standard),
            None => parts.push(Part {
                name: input.name,
                standard: standard.abs(),
                share: 0.0,
            }),
        }
    }
    for part in &mut parts {
        part.share = match squares > 0.0 {
            true => part.standard * part.standard / squares,
            false => 0.0,
        };
    }
    parts.sort_by(|one, other| other.standard.total_cmp(&one.standard));
    Ok(Propagated {
        mean,
        standard: squares.sqrt(),
        parts,
        half_width: widest.0,
        others: (squares - widest.1).max(0.0).sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metrology::simulate;

    fn named(name: &'static str, draw: Draw) -> Input {
        Input { name, draw }
    }

    #[test]
    fn a_rectangle_and_a_normal_fold_as_they_are_drawn() {
        for (half, sd) in [(3.0, 0.1), (1.0, 1.0), (0.2, 1.0), (0.0, 1.0), (2.0, 0.0)] {
            let inputs = [
                named(
                    "band",
                    Draw::Uniform {
                        low: 5.0 - half,
                        high: 5.0 + half,
                    },
                ),
                named("reading", Draw::Normal { mean: 2.0, sd }),
            ];
            let sum = |x: &[f64]| Some(x[0] + x[1]);
            let (low, high) = propagate(&inputs, sum).unwrap().interval(0.95).unwrap();
            let drawn = simulate(9, 200_000, &inputs.clone().map(|input| input.draw), sum).unwrap();
            let (drawn_low, drawn_high) = drawn.interval(0.95).unwrap();
            let wide = drawn_high - drawn_low;
            assert!(
                (low - drawn_low).abs() < 0.01 * wide,
                "{half} {sd}: {low} {drawn_low}"
            );
            assert!(
                (high - drawn_high).abs() < 0.01 * wide,
                "{half} {sd}: {high} {drawn_high}"
            );
        }
    }

    #[test]
    fn shares_are_of_the_variance_and_one_name_is_one_part() {
        let inputs = [
            named("height", Draw::Normal { mean: 0.0, sd: 1.0 }),
            named("friction", Draw::Normal { mean: 1.0, sd: 4.0 }),
            named("height", Draw::Normal { mean: 0.0, sd: 2.0 }),
        ];
        let all = propagate(&inputs, |x| Some(x[0] + x[1] - x[2])).unwrap();
        assert_eq!(
            all.parts.iter().map(|part| part.name).collect::<Vec<_>>(),
            ["friction", "height"]
        );
        assert!((all.parts[0].share - 16.0 / 21.0).abs() < 1e-12);
        assert!((all.parts[1].share - 5.0 / 21.0).abs() < 1e-12);
        assert!((all.standard - 21_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn without_any_doubt_the_interval_is_the_value() {
        let known = [named("known", Draw::Normal { mean: 3.0, sd: 0.0 })];
        let all = propagate(&known, |x| Some(2.0 * x[0])).unwrap();
        assert_eq!(all.interval(0.95), Ok((6.0, 6.0)));
        assert!(all.parts[0].share.abs() < f64::EPSILON);
    }

    #[test]
    fn what_is_no_input_or_has_no_value_is_refused() {
        let upside_down = [named("band", Draw::Uniform { low: 2.0, high: 1.0 })];
        assert!(matches!(
            propagate(&upside_down, |x| Some(x[0])),
            Err(MetrologyError::DrawUpsideDown { .. })
        ));
        let fine = [named("band", Draw::Uniform { low: 1.0, high: 2.0 })];
        assert!(propagate(&fine, |_| None).is_err());
        assert!(propagate(&fine, |x| Some(1.0 / (x[0] - x[0]))).is_err());
    }
}
