use crate::reference::{Row, each_check, mm, ratio, rows};
use proptest::prelude::*;
use shimwright::mechanics::{DiscSpring, SpringStack};
use shimwright::quantity::{Length, Pressure};
use std::f64::consts::PI;

/// Half of one pound-force: the range table prints whole ones.
const HALF_LBF: f64 = 4.448_221_615_260_5 / 2.0;

/// E and ν of DIN EN 16984, as 4E/(1 − ν²).
const FOUR_E: f64 = 4.0 * 206_000.0 / (1.0 - 0.3 * 0.3);

fn spring(outside: f64, inside: f64, thickness: f64, height: f64) -> DiscSpring {
    DiscSpring::new(mm(outside), mm(inside), mm(thickness), mm(height), None).unwrap()
}

fn of_row(row: &Row) -> DiscSpring {
    let reduced = row.number("t_reduced_mm").map(mm);
    DiscSpring::new(
        row.mm("De_mm"),
        row.mm("Di_mm"),
        row.mm("t_mm"),
        row.mm("l0_mm"),
        reduced,
    )
    .unwrap()
}

#[test]
fn the_force_grows_with_the_thickness_as_its_difference_says() {
    for (parallel, series) in [(1, 1), (2, 3), (3, 1)] {
        let stack = SpringStack::discs(spring(50.0, 25.4, 2.0, 3.4), parallel, series).unwrap();
        for part in [0.1, 0.4, 0.75, 0.95] {
            let height = stack
                .height_after(Length::from_mm(part * stack.full_travel().mm()).unwrap())
                .unwrap();
            let at = |thickness: f64| {
                let measured = stack.with_thickness(mm(thickness)).unwrap();
                assert_eq!(measured.free_height(), stack.free_height());
                measured.force_at_height(height).unwrap().newtons()
            };
            let gained = (at(2.0005) - at(1.9995)) / 0.001;
            let rate = stack.thickness_rate_at(height).unwrap().newtons_per_mm();
            assert!(
                (rate / gained - 1.0).abs() < 1e-5,
                "{parallel} {series} {part}: {rate} {gained}"
            );
        }
        // a disc by itself: a power between 1.7 and 2.7 at three quarters
        if parallel == 1 {
            let height = stack.free_height() - mm(0.75 * 1.4 * f64::from(series));
            let force = stack.force_at_height(height).unwrap().newtons();
            let power = stack.thickness_rate_at(height).unwrap().newtons_per_mm() * 2.0 / force;
            assert!((1.7..2.7).contains(&power), "{power}");
        }
    }
    let flats = DiscSpring::new(mm(50.0), mm(25.4), mm(2.0), mm(3.4), Some(mm(1.9))).unwrap();
    let flats = SpringStack::discs(flats, 1, 1).unwrap();
    assert!(flats.with_thickness(mm(2.0)).is_err() && flats.thickness_rate_at(mm(2.5)).is_err());
}

#[test]
fn every_size_of_the_range_table_has_its_force_at_three_quarters() {
    let mut held = 0;
    for row in rows("disc_springs.csv") {
        let spring = of_row(&row);
        assert_eq!(
            spring.free_height() - spring.thickness(),
            row.mm("h0_mm"),
            "{}",
            row.text("id")
        );
        let force = spring.force_at(spring.table_travel()).unwrap().newtons();
        // half of the last digit that each source prints
        for (column, half_digit) in [
            ("F75_N_range_table", HALF_LBF),
            ("F75_N_two_digits", 50.0),
            ("F75_N_three_digits", if force < 10_000.0 { 5.0 } else { 50.0 }),
        ] {
            if let Some(printed) = row.number(column) {
                held += 1;
                assert!(
                    (force - printed).abs() <= half_digit,
                    "{} {column}: {force}",
                    row.text("id")
                );
            }
        }
    }
    assert!(held >= 34);
}

/// The table's flat loads lie 0.4 % above the standard's equation with E = 206 GPa, while its forces at three quarters fit
/// that E. They were computed with E = 30e6 psi (206 843 N/mm², 0.41 % more): with it the differences scatter about
/// nothing. What is left is the table's rounding: of the load to 1 lbf, and of h0, to which the flat load is
/// proportional, to 0.0005 in.
#[test]
fn flat_loads_of_the_range_table_were_computed_with_the_inch_modulus() {
    let inch_modulus = Pressure::from_megapascals(30e6 * 4.448_221_615_260_5 / (25.4 * 25.4)).unwrap();
    let mut differences = Vec::new();
    for row in rows("disc_springs.csv") {
        let Some(printed) = row.number("Fflat_N_range_table") else {
            continue;
        };
        let spring = of_row(&row);
        let force = spring
            .with_material(inch_modulus, ratio(0.3))
            .unwrap()
            .flat_force()
            .unwrap()
            .newtons();
        let rounding = HALF_LBF + printed * 0.000_5 * 25.4 / 2.0 / spring.cone_height().mm();
        assert!(
            (force - printed).abs() <= rounding,
            "{}: {force} {printed} {rounding}",
            row.text("id")
        );
        let plain = spring.flat_force().unwrap().newtons();
        differences.push((printed / force - 1.0, printed / plain - 1.0));
    }
    assert_eq!(differences.len(), 28);
    let mut of_inch: Vec<f64> = differences.iter().map(|pair| pair.0).collect();
    let mut of_standard: Vec<f64> = differences.iter().map(|pair| pair.1).collect();
    of_inch.sort_by(f64::total_cmp);
    of_standard.sort_by(f64::total_cmp);
    assert!(
        of_inch[14].abs() < 0.000_3 && of_standard[14] > 0.004,
        "{} {}",
        of_inch[14],
        of_standard[14]
    );
}

#[test]
fn worked_examples_of_disc_springs_come_out() {
    each_check("disc_springs.toml", |check| match check.id.as_str() {
        "k1_delta_2" | "k1_delta_1p75" => {
            // K1 seen from outside: F_flat = 4E/(1−ν²) t³ h0/(K1 De²)
            let delta = check.input("delta");
            let spring = spring(70.0, 70.0 / delta, 2.0, 3.0);
            let k1 = FOUR_E * 8.0 / (spring.flat_force().unwrap().newtons() * 70.0 * 70.0);
            check.expect("K1", k1);
            if check.id == "k1_delta_2" {
                // the form that textbooks print is another number, and not the one used
                let older = 6.0 / (PI * delta.ln()) * ((delta - 1.0) / delta).powi(2);
                check.expect("K1_original_1936_form", older);
                assert!((k1 - older).abs() > 0.005);
            }
        }
        "a50_f75" | "b50_f75" | "c50_f75" | "a80_f75" | "a90_f75" | "a50_flat" => {
            let spring = spring(
                check.input("De"),
                check.input("Di"),
                check.input("t"),
                check.input("l0"),
            );
            check.expect("F", spring.force_at(check.mm("s")).unwrap().newtons());
        }
        "a125_group3_f75" => {
            let (reduced, height) = (check.mm("t_reduced"), check.mm("l0"));
            let spring = DiscSpring::new(
                check.mm("De"),
                check.mm("Di"),
                check.mm("t"),
                height,
                Some(reduced),
            )
            .unwrap();
            assert_eq!(spring.cone_height(), height - reduced);
            check.expect("F", spring.force_at(check.mm("s")).unwrap().newtons());
            // flat force with flats over that of the same cone without: K4²
            let bare = DiscSpring::new(check.mm("De"), check.mm("Di"), reduced, height, None).unwrap();
            let k4_squared = spring.flat_force().unwrap().newtons() / bare.flat_force().unwrap().newtons();
            check.expect("K4", k4_squared.sqrt());
        }
        "textbook_design_flat_4500N" => {
            // The example uses the older K1, so its spring has the wanted 4500 N only with that; the standard's K1 gives
            // 0.5 % less. The sizes are printed to 1e-6 of themselves and less; the load goes with t³ h/De².
            let [t, h] = ["t_mm", "h_mm"].map(|key| check.expected(key));
            let [outside, inside] = ["De_mm", "Di_mm"].map(|key| check.expected(key));
            let modulus = Pressure::from_megapascals(check.input("E_MPa")).unwrap();
            let spring = spring(outside, inside, t, t + h)
                .with_material(modulus, ratio(check.input("mu")))
                .unwrap();
            let force = spring.flat_force().unwrap().newtons();
            let delta = check.input("De_over_Di");
            let din =
                ((delta - 1.0) / delta).powi(2) / (PI * ((delta + 1.0) / (delta - 1.0) - 2.0 / delta.ln()));
            let older = 6.0 / (PI * delta.ln()) * ((delta - 1.0) / delta).powi(2);
            let wanted = check.input("P_flat_N");
            assert!((force * din / older - wanted).abs() < wanted * 1e-5, "{force}");
            assert!((force - 4476.7).abs() < 0.05);
            assert!((h / t - check.input("h_over_t")).abs() < 1e-5);
        }
        "stack_parallel" | "stack_series" | "stack_mixed" => {
            let count = |key: &str| match check.id.as_str() {
                "stack_parallel" if key == "i_series" => 1,
                "stack_series" if key == "n_parallel" => 1,
                _ => check.input(key) as u32,
            };
            let (parallel, series) = (count("n_parallel"), count("i_series"));
            let spring = spring(
                check.input("De"),
                check.input("Di"),
                check.input("t"),
                check.input("l0"),
            );
            let stack = SpringStack::discs(spring, parallel, series).unwrap();
            check.expect("l0_stack", stack.free_height().mm());
            let travel = check.mm("s_single") * i64::from(series);
            check.expect("s", travel.mm());
            let force = stack.force_at_height(stack.free_height() - travel).unwrap();
            check.expect("F", force.newtons());
            assert_eq!(stack.heights_for_force(force), [stack.free_height() - travel]);
        }
        "a50_energy_75" => {
            let spring = spring(
                check.input("De"),
                check.input("Di"),
                check.input("t"),
                check.input("l0"),
            );
            let end = check.mm("s").nm();
            // Simpson's rule is exact for the force, which is a cubic in s
            let at = |nm: i64| spring.force_at(Length::from_nm(nm)).unwrap().newtons();
            let work = (at(0) + 4.0 * at(end / 2) + at(end)) * end as f64 / 1e9 / 6.0;
            check.expect("W_J", work);
        }
        "shape_peak_c_series" => {
            let t = 1.25;
            let spring = spring(50.0, 25.4, t, t * (1.0 + check.input("h0_over_t")));
            assert_eq!(spring.peak_travel(), None);
            // the expected value is a truth and no number: force rises all the way
            let steps = 400;
            let at = |i: i64| {
                spring
                    .force_at(Length::from_nm(spring.cone_height().nm() / steps * i))
                    .unwrap()
            };
            assert!((1..=steps).all(|i| at(i) > at(i - 1)));
            check.expected_truth("curve_monotonic");
        }
        other => panic!("no test for {other}"),
    });
}

/// The force from the strain energy of a cone whose section turns about one point without bending, which is where the
/// equation comes from, by numeric integration: the part from moving in and out, and the part from turning, which bends
/// the disc. Radii a inside, b outside.
fn forces_from_strain_energy(spring: &DiscSpring, travel: f64) -> (f64, f64) {
    let (a, b) = (spring.inside().mm() / 2.0, spring.outside().mm() / 2.0);
    let t = spring.thickness().mm();
    // turning about r = c leaves no net hoop force: the integral of (c − r)/r vanishes
    let c = (b - a) / (b / a).ln();
    let (slope, turn) = (spring.cone_height().mm() / (b - a), travel / (b - a));
    let simpson = |f: &dyn Fn(f64) -> f64| {
        let steps = 400;
        let at = |i: i32| f(a + (b - a) * f64::from(i) / f64::from(steps));
        let inner: f64 = (1..steps)
            .map(|i| at(i) * if i % 2 == 1 { 4.0 } else { 2.0 })
            .sum();
        (at(0) + inner + at(steps)) * (b - a) / f64::from(steps) / 3.0
    };
    // hoop strain at (r, z): (x turn (slope − turn/2) + z turn)/r, x = c − r; energy E/(2(1−ν²)) strain² 2πr; the force is
    // d(energy)/d(turn)/(b − a). The product of the x and the z term vanishes over the thickness.
    let scale = FOUR_E / 4.0 * 2.0 * PI / (b - a);
    let moving = simpson(&|r| (c - r).powi(2) / r) * t * turn * (slope - turn / 2.0) * (slope - turn);
    let turning = simpson(&|r| 1.0 / r) * t.powi(3) / 12.0 * turn;
    (scale * moving, scale * turning)
}

proptest! {
    /// Moving in and out gives the K1 of the standard, turning the K1 of 1936; the standard uses its own for both terms, as
    /// textbooks use the other, and the ratio of the two is 6/ln δ · ((δ+1)/(δ−1) − 2/ln δ), 0.8 % from 1 at δ = 2.
    #[test]
    fn the_force_is_that_of_the_strain_energy(
        inside in 15.0..60.0_f64, delta in 1.3..2.5_f64, thickness in 0.5..3.0_f64, slope in 0.3..2.5_f64, part in 0.0..1.0_f64,
    ) {
        let width = inside * (delta - 1.0) / 2.0;
        prop_assume!(thickness < 0.8 * width && thickness * slope < 0.8 * width);
        let spring = spring(inside * delta, inside, thickness, thickness * (1.0 + slope));
        let travel = Length::from_nm((spring.cone_height().nm() as f64 * part) as i64);
        let force = spring.force_at(travel).unwrap().newtons();
        let (moving, turning) = forces_from_strain_energy(&spring, travel.mm());
        let ratio = 6.0 / delta.ln() * ((delta + 1.0) / (delta - 1.0) - 2.0 / delta.ln());
        // sizes are rounded to a nanometre, of which the thickness, in the third power, has at least 500 000
        let allowed = 1e-5 * spring.flat_force().unwrap().newtons();
        prop_assert!((force - moving - ratio * turning).abs() <= allowed, "{force} {moving} {turning}");
        // as physics has it, undivided, the standard is short by at most this
        prop_assert!(ratio < 1.0 && ratio > 0.985);
    }
}
