use crate::reference::{Check, each_check, mm, newton_metres, newtons, ratio};
use shimwright::mechanics::ramp::{gain, release_gain};
use shimwright::mechanics::{Direction::Drive, LockModel, LockSetup, MechanicsError, SpringPlace};
use shimwright::quantity::{Datum, RampAngle};
use std::f64::consts::PI;

fn ramp(degrees: f64) -> RampAngle {
    RampAngle::new(degrees, Datum::RingFace).unwrap()
}

/// Slope of a screw thread.
fn lead_angle(lead: f64, mean_diameter: f64) -> RampAngle {
    ramp((lead / (PI * mean_diameter)).atan().to_degrees())
}

/// A unit whose ramps lock the share S, and whose preload holds `preload` N·m: ten faces a side at the radius of the pins,
/// frictionless 45° ramps, so that S is ten times the friction.
fn unit(share: f64, preload: f64) -> LockModel {
    let mu = if share > 0.0 { share / 10.0 } else { 0.1 };
    let (faces, radius) = (10, 50.0);
    LockModel::new(LockSetup {
        faces: [faces; 2],
        friction: ratio(mu),
        friction_radius: mm(radius),
        pin_radius: mm(radius),
        drive: if share > 0.0 { ramp(45.0) } else { RampAngle::NONE },
        coast: RampAngle::NONE,
        ramp_friction: ratio(0.0),
        preload: [newtons(preload / (2.0 * f64::from(faces) * mu * radius / 1e3)); 2],
        spring_place: SpringPlace::BehindPack,
        gear_thrust: None,
        tab_friction: None,
    })
    .unwrap()
}

fn bias_ratio(share: f64) -> f64 {
    unit(share, 0.0).bias_ratio(Drive).unwrap().value()
}

fn both_wedges(check: &Check) -> (f64, RampAngle, f64) {
    (
        check.input("W_lbf"),
        ramp(check.input("wedge_angle_deg")),
        check.input("mu_all_faces"),
    )
}

#[test]
fn worked_examples_of_ramps_and_bias_come_out() {
    each_check("ramps_and_bias.toml", |check| match check.id.as_str() {
        "incline_start_up" => {
            let k = gain(ramp(check.input("theta_deg")), ratio(check.input("mu"))).unwrap();
            check.expect("F_t_N", check.input("W_N") / k.value());
        }
        "ramp_axial_from_tangential" => {
            let k = gain(ramp(check.input("theta_deg")), ratio(check.input("mu"))).unwrap();
            check.expect("F_axial_N", check.input("F_t_N") * k.value());
        }
        "wedge_raise" => {
            // H from wedge to block; upwards kH less the wall's μH carries W; the floor adds μkH to the push
            let (weight, wedge, mu) = both_wedges(check);
            let k = gain(wedge, ratio(mu)).unwrap().value();
            let across = weight / (k - mu);
            check.expect("P_lbf", across * (1.0 + mu * k));
        }
        "wedge_lower" => {
            // A wedge of 8° holds itself at a friction of 0.35: there is no release ratio, and it must be pulled out. The
            // pull by the angles of friction agrees with the source, and its being a pull with the refusal.
            let (weight, wedge, mu) = both_wedges(check);
            let refused = release_gain(wedge, ratio(mu)).unwrap_err();
            let MechanicsError::SelfLocking { least_degrees, .. } = refused else {
                panic!("{refused}")
            };
            assert!(least_degrees > 8.0);
            let (phi, theta) = (mu.atan(), wedge.radians_from_ring_face());
            let across_per_up = (phi - theta).tan();
            let up = weight / (1.0 + mu * across_per_up);
            check.expect("P_lbf", up * (across_per_up + mu));
        }
        "turnbuckle" => {
            // The source rounds both angles to 0.01° first: 3.64° + 14.04°. As one frictionless ramp that is its number; not
            // rounded the torque is 6.3747.
            let (tension, radius) = (check.input("T_N"), check.input("mean_radius_mm") / 1e3);
            let lead = lead_angle(check.input("lead_mm"), 2.0 * check.input("mean_radius_mm"));
            let mu = check.input("mu");
            let torque = |k: f64| check.input("threads") * tension * radius / k;
            let round = |degrees: f64| (degrees * 100.0).round() / 100.0;
            let rounded = round(lead.degrees_from_ring_face()) + round(mu.atan().to_degrees());
            check.expect("M_Nm", torque(gain(ramp(rounded), ratio(0.0)).unwrap().value()));
            let exact = torque(gain(lead, ratio(mu)).unwrap().value());
            assert!((exact - 6.3747).abs() < 5e-5);
        }
        "power_screw_raise" => {
            let diameter = check.input("mean_diameter_in");
            let lead = lead_angle(check.input("lead_in"), diameter);
            check.expect("lead_angle_deg", lead.degrees_from_ring_face());
            let k = gain(lead, ratio(check.input("mu"))).unwrap().value();
            check.expect(
                "T_lbf_in_each",
                check.input("F_lbf") / check.input("screws") / k * diameter / 2.0,
            );
            check.expect(
                "efficiency_percent",
                100.0 * k * lead.radians_from_ring_face().tan(),
            );
        }
        "self_locking_limit" => {
            let mu = ratio(check.input("mu"));
            let at = |degrees| release_gain(ramp(degrees), mu);
            let Err(MechanicsError::SelfLocking { least_degrees, .. }) = at(5.0) else {
                panic!("5° holds itself")
            };
            check.expect("theta_min_deg", least_degrees);
            assert!(at(least_degrees + 1e-6).is_ok() && at(least_degrees - 1e-6).is_err());
        }
        "locking_50_percent" => {
            let share = check.input("S");
            let (slow, fast) = unit(share, 0.0).split(Drive, newton_metres(100.0)).unwrap();
            check.expect("share_hi_percent", slow.newton_metres());
            check.expect("share_lo_percent", fast.newton_metres());
            check.expect("TBR", bias_ratio(share));
        }
        "s_to_tbr_00" | "s_to_tbr_25" | "s_to_tbr_40" | "s_to_tbr_75" => {
            check.expect("TBR", bias_ratio(check.input("S")));
        }
        "plate_type_tbr_range" => {
            for (share, bias) in [("S_min", "TBR_min"), ("S_max", "TBR_max")] {
                let (share, bias) = (check.expected(share), check.expected(bias));
                assert!((bias_ratio(share) - bias).abs() < 1e-9, "{share} {bias}");
            }
        }
        "fixed_preload_lock_falls_with_load" => {
            let model = unit(0.0, check.input("dT_preload_Nm"));
            let shares: Vec<f64> = check
                .input_list("T_in_Nm")
                .into_iter()
                .map(|torque| {
                    let (slow, fast) = model.split(Drive, newton_metres(torque)).unwrap();
                    (slow.newton_metres() - fast.newton_metres()) / torque
                })
                .collect();
            check.expect_list("S", &shares);
        }
        other => panic!("no test for {other}"),
    });
}

#[test]
fn an_axle_on_two_surfaces_takes_what_its_bias_ratio_says() {
    each_check("split_friction.toml", |check| match check.id.as_str() {
        "split_mu_open_vs_limited" => {
            let grip = |mu| check.input("N_per_wheel_N") * check.input(mu) * check.input("r_m");
            let (low, high) = (grip("mu_lo"), grip("mu_hi"));
            check.expect("T_lo_Nm", low);
            check.expect("T_hi_max_Nm", high);
            let bias = check.input("TBR");
            let preload = check.input("preload_difference_Nm");
            // the greatest axle torque whose faster wheel stays at its grip, by bisection on the model
            let most = |model: &LockModel| {
                let (mut least, mut most) = (0.0, low + high);
                for _ in 0..200 {
                    let middle = 0.5 * (least + most);
                    let (_, fast) = model.split(Drive, newton_metres(middle)).unwrap();
                    if fast.newton_metres() <= low {
                        least = middle
                    } else {
                        most = middle
                    }
                }
                least
            };
            // the file's tolerance is for the identity; bisection ends within the last bits of the torques
            check.expect("axle_open_Nm", most(&unit(0.0, preload)));
            check.expect(
                "axle_limited_Nm",
                most(&unit((bias - 1.0) / (bias + 1.0), preload)),
            );
            check.expect("axle_locked_Nm", most(&unit(1.0, preload)));
        }
        other => panic!("no test for {other}"),
    });
}
