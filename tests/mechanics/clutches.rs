use crate::reference::{Check, each_check, mm, newton_metres, newtons, ratio};
use shimwright::mechanics::Keying::{self, Case, Gear};
use shimwright::mechanics::pack::{active_faces, friction_from_torque, friction_radius, pack_torque};
use shimwright::mechanics::{CoilSpring, PressurePattern, SpringStack};
use shimwright::quantity::{Length, SpringRate, Torque};
use std::f64::consts::PI;

/// `case` and `gear` plates by turns, case plates at both ends where there is one more of them.
fn by_turns(case: f64, gear: f64) -> u32 {
    let order: Vec<Keying> = (0..(case + gear) as u32)
        .map(|i| if i % 2 == 0 { Case } else { Gear })
        .collect();
    active_faces(&order, false)
}

fn radius(check: &Check, pattern: PressurePattern) -> Length {
    friction_radius(check.mm("ro_mm"), check.mm("ri_mm"), pattern).unwrap()
}

/// Torque from power in kW and speed.
fn torque(check: &Check) -> Torque {
    newton_metres(check.input("P_kW") * 1e3 / (check.input("speed_rpm") * PI / 30.0))
}

fn kilowatts(torque: Torque, rpm: f64) -> f64 {
    torque.newton_metres() * rpm * PI / 30.0 / 1e3
}

/// The force that a torque needs: the pack's torque goes with its force.
fn force_for(torque: Torque, faces: u32, mu: f64, radius: Length) -> f64 {
    torque.newton_metres()
        / pack_torque(faces, ratio(mu), newtons(1.0), radius)
            .unwrap()
            .newton_metres()
}

#[test]
fn worked_examples_of_plate_clutches_come_out() {
    each_check("plate_clutches.toml", |check| match check.id.as_str() {
        "multiplate_5steel_4bronze" => {
            let faces = by_turns(check.input("n_steel"), check.input("n_bronze"));
            check.expect("n_faces", f64::from(faces));
            let (inner, outer) = (check.input("d_inner_mm"), check.input("D_outer_mm"));
            let force = PI * check.input("p_max_MPa") * inner * (outer - inner) / 2.0;
            check.expect("F_N", force);
            let radius = friction_radius(mm(outer / 2.0), mm(inner / 2.0), PressurePattern::RunIn).unwrap();
            let held = pack_torque(faces, ratio(check.input("mu")), newtons(force), radius).unwrap();
            check.expect("T_Nm", held.newton_metres());
            check.expect("P_kW", kilowatts(held, check.input("speed_rpm")));
            let mu = friction_from_torque(held, faces, newtons(force), radius).unwrap();
            assert!((mu.value() - check.input("mu")).abs() < 1e-12);
        }
        "multidisc_faces_needed" => {
            let (inner, outer) = (check.input("d_inner_mm"), check.input("D_outer_mm"));
            let force = PI * check.input("p_MPa") * inner * (outer - inner) / 2.0;
            check.expect("F_N", force);
            let radius = friction_radius(mm(outer / 2.0), mm(inner / 2.0), PressurePattern::RunIn).unwrap();
            // for the slots the example adds 5 % to the count; dividing by 0.95 of the area would give 4.296, and 5 as well
            let held = |faces| pack_torque(faces, ratio(check.input("mu")), newtons(force), radius).unwrap();
            let wanted = check.input("T_Nm") * (1.0 + check.input("slot_area_allowance_percent") / 100.0);
            check.expect("n_faces_exact", wanted / held(1).newton_metres());
            let faces = (1..20)
                .find(|&faces| held(faces).newton_metres() >= wanted)
                .unwrap();
            check.expect("n_faces", f64::from(faces));
        }
        "new_vs_worn_safety_factor" => {
            let (inner, outer) = (check.mm("d_inner_mm"), check.mm("D_outer_mm"));
            let (faces, mu) = (check.input("faces") as u32, check.input("mu"));
            let (count, each) = (check.input("springs") as u32, check.input("F_spring_N"));
            let travel = check.mm("spring_compression_mm");
            let rate = SpringRate::from_newtons_per_mm(each / travel.mm()).unwrap();
            let coil = CoilSpring::new(mm(40.0), mm(20.0), rate).unwrap();
            let stack = SpringStack::coils(coil, count).unwrap();
            let installed = stack.free_height() - travel;
            let force = stack.force_at_height(installed).unwrap();
            let wanted = check.input("T_Nm");
            let factor = |pattern| {
                let radius = friction_radius(
                    Length::from_nm(outer.nm() / 2),
                    Length::from_nm(inner.nm() / 2),
                    pattern,
                )
                .unwrap();
                (
                    pack_torque(faces, ratio(mu), force, radius)
                        .unwrap()
                        .newton_metres()
                        / wanted,
                    radius,
                )
            };
            check.expect("fs_uniform_pressure", factor(PressurePattern::Even).0);
            let (worn, radius) = factor(PressurePattern::RunIn);
            check.expect("fs_uniform_wear", worn);
            let needed = newtons(force_for(newton_metres(wanted), faces, mu, radius));
            let heights = stack.heights_for_force(needed);
            assert_eq!(heights.len(), 1);
            let wear = heights[0] - installed;
            check.expect("allowable_wear_mm", wear.mm());
            let lost = stack.loss_for_wear(installed, wear).unwrap().newtons();
            // the height is rounded to a nanometre, the rate of all springs is 1440 N/mm
            assert!((force.newtons() - lost - needed.newtons()).abs() <= 1440.0 * 0.5e-6 + 1e-9);
        }
        "plates_3_plus_2_pressure" => {
            let faces = by_turns(check.input("n_driving"), check.input("n_driven"));
            check.expect("n_faces", f64::from(faces));
            check.expect("T_Nm", torque(check).newton_metres());
            let force = force_for(
                torque(check),
                faces,
                check.input("mu"),
                radius(check, PressurePattern::RunIn),
            );
            check.expect("F_N", force);
            let (ro, ri) = (check.input("ro_mm"), check.input("ri_mm"));
            check.expect("p_max_MPa", force / (2.0 * PI * ri * (ro - ri)));
        }
        "wear_loses_spring_load" => {
            let (faces, mu) = (check.input("n_faces") as u32, check.input("mu"));
            let new = force_for(torque(check), faces, mu, radius(check, PressurePattern::Even));
            check.expect("F_new_N", new);
            let rate = SpringRate::from_newtons_per_mm(check.input("spring_rate_each_N_per_mm")).unwrap();
            let coil = CoilSpring::new(mm(60.0), mm(20.0), rate).unwrap();
            let stack = SpringStack::coils(coil, check.input("springs") as u32).unwrap();
            let installed = stack.heights_for_force(newtons(new))[0];
            let wear = check.mm("wear_each_mm") * check.input("wear_contact_surfaces") as i64;
            check.expect(
                "F_loss_N",
                stack.loss_for_wear(installed, wear).unwrap().newtons(),
            );
            let left = stack.force_at_height(installed + wear).unwrap();
            let held = pack_torque(faces, ratio(mu), left, radius(check, PressurePattern::RunIn)).unwrap();
            check.expect("P_after_wear_kW", kilowatts(held, check.input("speed_rpm")));
        }
        "single_plate_both_sides" => {
            let faces = active_faces(&[Gear, Case], true);
            assert_eq!(faces, check.input("n_faces") as u32);
            let (ro, ri) = (check.input("ro_mm"), check.input("ri_mm"));
            let force = newtons(2.0 * PI * check.input("p_max_MPa") * ri * (ro - ri));
            let held = pack_torque(
                faces,
                ratio(check.input("mu")),
                force,
                radius(check, PressurePattern::RunIn),
            )
            .unwrap();
            check.expect("T_Nm", held.newton_metres());
            check.expect("P_kW", kilowatts(held, check.input("speed_rpm")));
        }
        "plates_4_plus_3_uniform_pressure" => {
            let faces = by_turns(check.input("n_driving"), check.input("n_driven"));
            check.expect("n_faces", f64::from(faces));
            check.expect("T_Nm", torque(check).newton_metres());
            let force = force_for(
                torque(check),
                faces,
                check.input("mu"),
                radius(check, PressurePattern::Even),
            );
            check.expect("F_N", force);
            let (ro, ri) = (check.input("ro_mm"), check.input("ri_mm"));
            check.expect("p_MPa", force / (PI * (ro * ro - ri * ri)));
        }
        "collar_pressure_vs_wear" => {
            let power = |pattern| {
                let mu = ratio(check.input("mu"));
                let held = pack_torque(1, mu, newtons(check.input("F_N")), radius(check, pattern)).unwrap();
                kilowatts(held, check.input("speed_rpm"))
            };
            check.expect("P_uniform_pressure_kW", power(PressurePattern::Even));
            check.expect("P_uniform_wear_kW", power(PressurePattern::RunIn));
        }
        other => panic!("no test for {other}"),
    });
}
