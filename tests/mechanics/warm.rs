use crate::reference::{each_check, mm};
use shimwright::mechanics::chain::thermal_change;
use shimwright::mechanics::{Expansion, TemperatureChange};
use shimwright::quantity::{Length, Temperature};

fn change(from: f64, to: f64) -> TemperatureChange {
    let celsius = |value| Temperature::from_celsius(value).unwrap();
    TemperatureChange::between(celsius(from), celsius(to)).unwrap()
}

#[test]
fn published_values_of_thermal_expansion_come_out() {
    each_check("expansion.toml", |check| match check.id.as_str() {
        "cte_gauge_block_steel" => check.expect("alpha_per_K", Expansion::STEEL.value()),
        // the constants are the first of each list: alloy 6061, grey iron
        "cte_aluminium" => {
            let listed = check.expected_list("alpha_1e_6_per_K");
            assert!((Expansion::ALUMINIUM.value() * 1e6 - listed[0]).abs() <= check.tolerance("abs"));
            // the casting alloy, last, has some 2e-6 less, as the constant's text says
            assert!((listed[0] - listed[3] - 2.0).abs() < 0.5);
        }
        "cte_iron" => {
            let listed = check.expected_list("alpha_1e_6_per_K");
            assert!((Expansion::CAST_IRON.value() * 1e6 - listed[0]).abs() <= check.tolerance("abs"));
        }
        "cte_mild_steel_length" => {
            let alpha = Expansion::per_kelvin(check.input("alpha_per_K")).unwrap();
            let kelvin = check.input("delta_T_K");
            let longer = thermal_change(check.mm("L_mm"), alpha, &[], change(20.0, 20.0 + kelvin)).unwrap();
            check.expect("delta_L_mm", longer.mm());
        }
        "stack_warm_measurement" => {
            let alpha = Expansion::per_kelvin(check.input("alpha_per_K")).unwrap();
            let warm = check.mm("L_measured_mm");
            let shrinks = thermal_change(warm, alpha, &[], change(check.input("t_degC"), 20.0)).unwrap();
            check.expect("L_20_mm", (warm + shrinks).mm());
        }
        "aluminium_housing_steel_stack" => {
            let alpha = |key| Expansion::per_kelvin(check.input(key)).unwrap();
            let depth = check.mm("L_mm");
            let warm = change(20.0, check.input("t_degC"));
            let opens = thermal_change(
                depth,
                alpha("alpha_housing"),
                &[(depth, alpha("alpha_stack"))],
                warm,
            )
            .unwrap();
            check.expect("clearance_gain_mm", opens.mm());
        }
        other => panic!("no test for {other}"),
    });
}

#[test]
fn an_iron_case_keeps_the_gap_of_a_steel_pack() {
    // 40 mm of each and 80 K: a tenth of a micrometre per kelvin and metre makes 0.3 µm
    let moved = thermal_change(
        mm(40.0),
        Expansion::CAST_IRON,
        &[(mm(40.0), Expansion::STEEL)],
        change(20.0, 100.0),
    );
    assert_eq!(moved.unwrap(), Length::from_nm(-320));
}
