//! Axial chains: what is left of a depth when the parts are in, cold and warm.

use super::error::{MechanicsError, within};
use crate::quantity::{Length, Temperature};
use std::fmt;

/// What closes the chain, exact; negative where the parts stand proud.
///
/// ```text
/// depth − Σ part_i
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | depth | `depth` | nm |
/// | part_i | `parts` | nm |
///
/// For a clearance pack this is the gap of its side; for a unit whose rings float along one depth it is the sum of
/// both gaps.
///
/// Source: the sum round a closed chain of lengths.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::chain::closing;
/// use shimwright::quantity::Length;
/// let um = Length::from_um;
/// assert_eq!(closing(um(40_000), &[um(22_300), um(17_450)]), um(250));
/// assert_eq!(closing(um(40_000), &[um(22_300), um(17_750)]), um(-50));
/// ```
pub fn closing(depth: Length, parts: &[Length]) -> Length {
    depth - parts.iter().copied().sum()
}

/// Height that a preload spring is fitted at in a unit where each pack has its own depth.
///
/// ```text
/// depth − Σ part_i
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | depth | `depth` | nm, above the sum of the parts |
/// | part_i | `parts`, all but the spring | nm, 0 and above |
///
/// Source: the chain of [`closing`].
///
/// # Errors
///
/// A part below 0; [`MechanicsError::NoRoom`] where nothing is left.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::chain::installed_height_per_side;
/// use shimwright::quantity::Length;
/// let um = Length::from_um;
/// assert_eq!(installed_height_per_side(um(40_000), &[um(22_300), um(14_500)])?, um(3_200));
/// assert!(installed_height_per_side(um(40_000), &[um(40_000)]).is_err());
/// # Ok::<(), shimwright::mechanics::MechanicsError>(())
/// ```
pub fn installed_height_per_side(depth: Length, parts: &[Length]) -> Result<Length, MechanicsError> {
    for part in parts {
        within("the height of a part", *part, Length::ZERO..)?;
    }
    let height = closing(depth, parts);
    if height > Length::ZERO {
        Ok(height)
    } else {
        Err(MechanicsError::NoRoom {
            depth,
            parts: parts.iter().copied().sum(),
        })
    }
}

/// Height that each of two like springs is fitted at in a unit where one depth spans both packs and the rings float.
///
/// ```text
/// (depth − Σ part_i)/2
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | depth | `depth` | nm, above the sum of the parts |
/// | part_i | `parts` of both sides, all but the springs | nm, 0 and above |
///
/// The rings settle where both springs press alike, so like springs stand alike however shims are dealt to the sides;
/// the deal only centres the rings. An odd nanometre is dropped. Disc springs past their greatest force do not stand
/// so: the longer of the two presses harder and goes on to flatten the other (see
/// [`SpringTrap::FallingBranch`](super::SpringTrap::FallingBranch)).
///
/// Source: the chain of [`closing`] and the balance of the floating rings.
///
/// # Errors
///
/// As [`installed_height_per_side`].
///
/// # Example
///
/// ```
/// use shimwright::mechanics::chain::installed_height_through;
/// use shimwright::quantity::Length;
/// let um = Length::from_um;
/// assert_eq!(installed_height_through(um(80_000), &[um(44_600), um(14_500), um(14_500)])?, um(3_200));
/// # Ok::<(), shimwright::mechanics::MechanicsError>(())
/// ```
pub fn installed_height_through(depth: Length, parts: &[Length]) -> Result<Length, MechanicsError> {
    let both = installed_height_per_side(depth, parts)?;
    Ok(Length::from_nm(both.nm() / 2))
}

/// A coefficient of linear thermal expansion, per kelvin, 0 to 1e-4. The source of each value stands beside it.
///
/// ```
/// use shimwright::mechanics::Expansion;
/// assert_eq!(Expansion::STEEL, Expansion::per_kelvin(11.5e-6)?);
/// assert!(Expansion::per_kelvin(11.5).is_err());
/// # Ok::<(), shimwright::mechanics::MechanicsError>(())
/// ```
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
pub struct Expansion(f64);

impl Expansion {
    /// Steel, as gauge blocks: 11.5e-6 per kelvin (GUM H.1).
    pub const STEEL: Expansion = Expansion(11.5e-6);
    /// Aluminium alloy 6061: 23.6e-6 per kelvin (handbook value; casting alloys have some 2e-6 less).
    pub const ALUMINIUM: Expansion = Expansion(23.6e-6);
    /// Grey cast iron: 11.4e-6 per kelvin (handbook value).
    pub const CAST_IRON: Expansion = Expansion(11.4e-6);

    /// From a number per kelvin.
    ///
    /// # Errors
    ///
    /// Out of range.
    pub fn per_kelvin(value: f64) -> Result<Expansion, MechanicsError> {
        within(
            "the coefficient of thermal expansion",
            Expansion(value),
            Expansion(0.0)..=Expansion(1e-4),
        )
    }

    /// The number per kelvin.
    pub fn value(self) -> f64 {
        self.0
    }
}

impl fmt::Display for Expansion {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:.1}e-6 per K", self.0 * 1e6))
    }
}

/// A difference of two temperatures; it converts unlike a temperature (18 °F are 10 K). Source: ISO 80000-5.
///
/// ```
/// use shimwright::mechanics::TemperatureChange;
/// use shimwright::quantity::parse;
/// let warmer = TemperatureChange::between(parse("68 °F")?, parse("100 °C")?)?;
/// assert!((warmer.kelvin() - 80.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
pub struct TemperatureChange(f64);

impl TemperatureChange {
    /// From one temperature to another; positive when it gets warmer.
    ///
    /// # Errors
    ///
    /// A difference of more than 1000 K either way.
    pub fn between(from: Temperature, to: Temperature) -> Result<TemperatureChange, MechanicsError> {
        within(
            "the change of temperature",
            TemperatureChange(to.celsius() - from.celsius()),
            TemperatureChange(-1000.0)..=TemperatureChange(1000.0),
        )
    }

    /// The difference in kelvin.
    pub fn kelvin(self) -> f64 {
        self.0
    }
}

impl fmt::Display for TemperatureChange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{:+.1} K", self.0))
    }
}

/// How much what closes a chain grows when everything changes temperature alike.
///
/// ```text
/// (α_case · depth − Σ α_i · part_i) · ΔT
/// ```
///
/// | symbol | parameter | unit |
/// |---|---|---|
/// | α_case | `case` | 1/K, 0 to 1e-4 |
/// | depth | `depth` | mm, 0 and above |
/// | α_i, part_i | `parts`, each a height and its expansion | 1/K, 0 to 1e-4; mm, 0 and above |
/// | ΔT | `change` | K, −1000 to 1000 |
///
/// Positive: the gap opens, or the spring gets longer and preload falls.
///
/// Source: linear expansion; lengths count at 20 °C (ISO 1).
///
/// # Errors
///
/// A length below 0; a result past what a length can hold.
///
/// # Example
///
/// ```
/// use shimwright::mechanics::{chain::thermal_change, Expansion, TemperatureChange};
/// use shimwright::quantity::{Length, Temperature};
/// let warm = TemperatureChange::between(Temperature::from_celsius(20.0)?, Temperature::from_celsius(100.0)?)?;
/// let depth = Length::from_um(60_000);
/// // 60 mm of steel parts in an aluminium case
/// let opens = thermal_change(depth, Expansion::ALUMINIUM, &[(depth, Expansion::STEEL)], warm)?;
/// assert_eq!(opens, Length::from_nm(58_080));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn thermal_change(
    depth: Length,
    case: Expansion,
    parts: &[(Length, Expansion)],
    change: TemperatureChange,
) -> Result<Length, MechanicsError> {
    let mut per_kelvin = case.0 * within("the depth", depth, Length::ZERO..)?.mm();
    for (part, expansion) in parts {
        per_kelvin -= expansion.0 * within("the height of a part", *part, Length::ZERO..)?.mm();
    }
    Ok(Length::from_mm(per_kelvin * change.0)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn senseless_inputs_are_refused_by_name() {
        let um = Length::from_um;
        let named = |result: Result<Length, MechanicsError>| match result {
            Err(MechanicsError::OutOfRange { what, .. }) => what,
            other => panic!("{other:?}"),
        };
        assert_eq!(
            installed_height_per_side(um(100), &[um(-1)]).map_err(|e| e.to_string()),
            Err("the height of a part is -0.001 mm but must be at least 0.000 mm".to_string())
        );
        assert_eq!(
            installed_height_through(um(100), &[um(60), um(41)]),
            Err(MechanicsError::NoRoom {
                depth: um(100),
                parts: um(101)
            })
        );
        let celsius = |value| Temperature::from_celsius(value).unwrap();
        let warm = TemperatureChange::between(celsius(20.0), celsius(90.0)).unwrap();
        assert_eq!(
            named(thermal_change(um(-1), Expansion::STEEL, &[], warm)),
            "the depth"
        );
        assert_eq!(
            named(thermal_change(
                um(1),
                Expansion::STEEL,
                &[(um(-1), Expansion::STEEL)],
                warm
            )),
            "the height of a part"
        );
        for bad in [f64::NAN, f64::INFINITY, -1e-6, 1.0] {
            assert!(matches!(
                Expansion::per_kelvin(bad),
                Err(MechanicsError::OutOfRange {
                    what: "the coefficient of thermal expansion",
                    ..
                })
            ));
        }
        assert!(matches!(
            TemperatureChange::between(celsius(20.0), celsius(1e9)),
            Err(MechanicsError::OutOfRange {
                what: "the change of temperature",
                ..
            })
        ));
    }

    proptest! {
        #[test]
        fn a_chain_closes_exactly(parts in prop::collection::vec(0_i64..30_000_000, 0..40), rest in -500_000_i64..500_000) {
            let parts: Vec<Length> = parts.into_iter().map(Length::from_nm).collect();
            let depth: Length = parts.iter().copied().sum::<Length>() + Length::from_nm(rest);
            prop_assert_eq!(closing(depth, &parts).nm(), rest);
            prop_assert_eq!(installed_height_per_side(depth, &parts).is_ok(), rest > 0);
        }

        #[test]
        fn a_chain_of_one_material_moves_as_its_gap(
            depth in 1_i64..100_000, part in 0_i64..100_000, kelvin in -40.0..150.0_f64,
        ) {
            let celsius = |value| Temperature::from_celsius(value).unwrap();
            let change = TemperatureChange::between(celsius(20.0), celsius(20.0 + kelvin)).unwrap();
            let (depth, part) = (Length::from_um(depth), Length::from_um(part));
            let moved = thermal_change(depth, Expansion::STEEL, &[(part, Expansion::STEEL)], change).unwrap();
            let expected = (depth - part).mm() * 11.5e-6 * kelvin;
            prop_assert!((moved.mm() - expected).abs() <= 1e-6);
        }

        #[test]
        fn an_aluminium_case_opens_the_more_the_warmer(depth in 10_000_i64..100_000, a in 0.0..100.0_f64, b in 1.0..50.0_f64) {
            let celsius = |value| Temperature::from_celsius(value).unwrap();
            let depth = Length::from_um(depth);
            let opens = |kelvin: f64| {
                let change = TemperatureChange::between(celsius(20.0), celsius(20.0 + kelvin)).unwrap();
                thermal_change(depth, Expansion::ALUMINIUM, &[(depth, Expansion::STEEL)], change).unwrap()
            };
            prop_assert!(opens(a + b) > opens(a));
        }
    }
}
