//! GUM, its first supplement (Monte Carlo), and JCGM 106 (conformity decisions).

use crate::reference::{Check, checks};
use shimwright::metrology::{
    Budget, Component, Draw, LengthSummary, Limits, Line, Simulation, Verdict, coverage_factor, guard_band,
    judge_length, probability_inside, risk, simulate, welch_satterthwaite,
};
use shimwright::quantity::Length;

const DRAWS: usize = 400_000;
const SEED: u64 = 1;

fn one(id: &str) -> Check {
    let mut all = checks("uncertainty_conformance.toml").into_iter();
    all.find(|check| check.id == id).unwrap()
}

fn component(name: &str, nm: f64, dof: f64) -> Component {
    Component {
        dof,
        ..Component::own(name, nm / 1e3).unwrap()
    }
}

/// The end gauge of GUM H.1; figures in nanometres, budget in micrometres.
fn end_gauge() -> Budget {
    let check = one("gum_h1_result");
    let (length, third) = (check.input("l_s_nm"), 3_f64.sqrt());
    let (d, d_dof) = (check.inputs("u_d_parts_nm"), check.inputs("dof_d_parts"));
    let alpha =
        length * check.input("theta_bar_K").abs() * check.input("half_width_delta_alpha_per_K") / third;
    let theta = length * check.input("alpha_s_per_K") * check.input("half_width_delta_theta_K") / third;
    Budget::new(vec![
        component("l_s", check.input("u_l_s_nm"), check.input("dof_l_s")),
        component("d0", d[0], d_dof[0]),
        component("d1", d[1], d_dof[1]),
        component("d2", d[2], d_dof[2]),
        component("delta_alpha", alpha, check.input("dof_delta_alpha")),
        component("delta_theta", theta, check.input("dof_delta_theta")),
        // their partners are estimated as 0, so they contribute nothing to first order
        component("alpha_s", 0.0, f64::INFINITY),
        component("theta_bar", 0.0, f64::INFINITY),
    ])
}

fn sums(sds: &[f64]) -> Budget {
    let own = |(i, sd): (usize, &f64)| Component::own(&format!("x{i}"), *sd).unwrap();
    Budget::new(sds.iter().enumerate().map(own).collect())
}

/// Standard error of the value at share `p`, from the density about it.
fn quantile_error(run: &Simulation, p: f64) -> f64 {
    let (values, n) = (run.values(), run.values().len() as f64);
    let (place, reach) = ((p * n) as usize, (0.002 * n) as usize);
    let (from, to) = (place.saturating_sub(reach), (place + reach).min(values.len() - 1));
    let density = (to - from) as f64 / n / (values[to] - values[from]);
    (p * (1.0 - p) / n).sqrt() / density
}

fn mean_error(run: &Simulation) -> f64 {
    run.sd / (run.values().len() as f64).sqrt()
}

fn sd_error(run: &Simulation) -> f64 {
    let n = run.values().len() as f64;
    let fourth = run.values().iter().map(|v| (v - run.mean).powi(4)).sum::<f64>() / n;
    run.sd * ((fourth / run.sd.powi(4) - 1.0) / (4.0 * n)).sqrt()
}

fn share_error(p: f64) -> f64 {
    (p * (1.0 - p) / DRAWS as f64).sqrt()
}

fn sum_of(inputs: &[Draw]) -> Simulation {
    simulate(SEED, DRAWS, inputs, |x| Some(x.iter().sum())).unwrap()
}

/// Half the length of the even 95 % interval and its standard error.
fn half_length(run: &Simulation) -> (f64, f64) {
    let (low, high) = run.interval(0.95).unwrap();
    ((high - low) / 2.0, quantile_error(run, 0.975) / 2_f64.sqrt())
}

/// Consumer's and producer's risk: accepted but bad, rejected but good.
fn risks(true_value: Draw, limits: Limits, error: Draw, accepted: Limits) -> (f64, f64) {
    let run = simulate(SEED, DRAWS, &[true_value, error], |x| {
        let (good, taken) = (limits.contains(x[0]), accepted.contains(x[0] + x[1]));
        Some(match (good, taken) {
            (false, true) => 1.0,
            (true, false) => 2.0,
            _ => 0.0,
        })
    })
    .unwrap();
    let share = |at| {
        run.share_within(&Limits::new(Some(at), Some(at)).unwrap())
            .unwrap()
    };
    (share(1.0), share(2.0))
}

fn resistor(check: &Check) -> (Draw, Limits) {
    let (mean, sd) = (check.input("y0_ohm"), check.input("u0_ohm"));
    let limits = Limits::new(Some(check.input("T_L")), Some(check.input("T_U"))).unwrap();
    (Draw::Normal { mean, sd }, limits)
}

fn uniform(ends: &[f64]) -> Draw {
    Draw::Uniform {
        low: ends[0],
        high: ends[1],
    }
}

#[test]
fn every_published_value_is_met() {
    for check in checks("uncertainty_conformance.toml") {
        hold(&check);
    }
}

fn hold(check: &Check) {
    let normal = |sd| Draw::Normal { mean: 0.0, sd };
    match check.id.as_str() {
        "gum_h1_result" => {
            let length =
                Length::from_nm(check.input("l_s_nm") as i64) + Length::from_nm(check.input("d_nm") as i64);
            let budget = end_gauge();
            check.hold(&[
                ("l_nm", length.nm() as f64),
                ("u_c_nm", budget.combined().um() * 1e3),
                ("dof_eff_truncated", budget.degrees_of_freedom().unwrap().floor()),
            ]);
        }
        "gum_h1_components" => {
            let budget = end_gauge();
            let keys: Vec<String> = budget
                .components
                .iter()
                .map(|c| format!("{}_nm", c.name))
                .collect();
            let parts = budget.components.iter().map(|c| c.standard * 1e3);
            let held: Vec<(&str, f64)> = keys.iter().map(String::as_str).zip(parts).collect();
            check.hold(&held);
        }
        "gum_h1_expanded" => {
            let k = coverage_factor(check.input("level"), check.input("dof")).unwrap();
            let budget = Budget::new(vec![component("all", check.input("u_c_nm"), check.input("dof"))]);
            check.hold(&[("k", k), ("U_nm", budget.expanded(k).unwrap().nm() as f64)]);
        }
        "welch_satterthwaite_h1" => {
            let parts: Vec<(f64, f64)> = check.inputs("u").into_iter().zip(check.inputs("dof")).collect();
            check.hold(&[("dof_eff", welch_satterthwaite(&parts).unwrap())]);
        }
        "s1_922_normal" => {
            let u = sums(&[1.0; 4]).combined().um();
            let k = coverage_factor(0.95, f64::INFINITY).unwrap();
            check.hold(&[("y", 0.0), ("u", u), ("lo95", -k * u), ("hi95", k * u)]);
            let run = sum_of(&[normal(1.0); 4]);
            assert!(run.mean.abs() < 4.0 * mean_error(&run));
            assert!((run.sd - u).abs() < 4.0 * sd_error(&run), "{}", run.sd);
            let (half, error) = half_length(&run);
            assert!((half - k * u).abs() < 4.0 * error, "{half} with {error}");
        }
        "s1_923_rectangular" | "s1_924_dominant_rectangular" => {
            let sds = if check.id.contains("923") {
                vec![1.0; 4]
            } else {
                check.inputs("rect_sd")
            };
            let u = sums(&sds).combined().um();
            let wide = |sd: &f64| uniform(&[-sd * 3_f64.sqrt(), sd * 3_f64.sqrt()]);
            let run = sum_of(&sds.iter().map(wide).collect::<Vec<_>>());
            assert!((run.sd - u).abs() < 4.0 * sd_error(&run), "{}", run.sd);
            let (half, error) = half_length(&run);
            let gum = coverage_factor(0.95, f64::INFINITY).unwrap() * u;
            check.hold_drawn(&[("u", u, 0.0), ("hi95", half, error), ("hi95_gum", gum, 0.0)]);
        }
        "nist_tn1900_e13_expansion" => {
            let [l0, u_l0, t0, u_t0, l1, u_l1, t1, u_t1] =
                ["L0_m", "u_L0", "T0_K", "u_T0", "L1_m", "u_L1", "T1_K", "u_T1"].map(|key| check.input(key));
            let (span, alpha) = (t1 - t0, (l1 - l0) / (l0 * (t1 - t0)));
            let by_temperature = alpha / span;
            let first_order = sums(&[
                l1 / (l0 * l0 * span) * u_l0 * 1e6,
                u_l1 / (l0 * span) * 1e6,
                by_temperature * u_t0 * 1e6,
                by_temperature * u_t1 * 1e6,
            ]);
            let u = first_order.combined().um() / 1e6;
            check.hold(&[("alpha_per_K", alpha), ("u_alpha_per_K", u)]);
            let inputs =
                [(l0, u_l0), (t0, u_t0), (l1, u_l1), (t1, u_t1)].map(|(mean, sd)| Draw::Normal { mean, sd });
            let run = simulate(SEED, DRAWS, &inputs, |x| {
                Some((x[2] - x[0]) / (x[0] * (x[3] - x[1])))
            })
            .unwrap();
            assert!((run.mean - alpha).abs() < 4.0 * mean_error(&run));
            assert!((run.sd - u).abs() < 4.0 * sd_error(&run));
        }
        "jcgm106_bearing_uninspected" => {
            let limit = Limits::new(None, Some(check.input("T_U_um"))).unwrap();
            let run = simulate(SEED, DRAWS, &[uniform(&[0.0, 1.0]); 4], |x| {
                Some(gamma_of_four(x))
            })
            .unwrap();
            let bad = 1.0 - run.share_within(&limit).unwrap();
            check.hold_drawn(&[("p_nonconforming", bad, share_error(bad))]);
        }
        "jcgm106_bearing_guarded" => {
            let (limit, risk) = (check.input("T_U_um"), check.input("target_R_C"));
            let mut inputs = [uniform(&[0.0, 1.0]); 5];
            inputs[4] = normal(check.input("u_m_um"));
            // what is measured on the bad ones: as many of them may be accepted as the risk allows
            let run = simulate(SEED, DRAWS, &inputs, |x| {
                let wear = gamma_of_four(&x[..4]);
                (wear > limit).then_some(wear + x[4])
            })
            .unwrap();
            let place = (risk * DRAWS as f64) as usize;
            let values = run.values();
            let density = 40.0 / DRAWS as f64 / (values[place + 20] - values[place - 20]);
            let error = share_error(risk) / density;
            let accept = values[place];
            check.hold_drawn(&[
                ("acceptance_limit_um", accept, error),
                ("guard_band_um", limit - accept, error),
            ]);
        }
        "jcgm106_resistor_process" => {
            let (_, limits) = resistor(check);
            let p = probability_inside(check.input("y0_ohm"), check.input("u0_ohm"), &limits).unwrap();
            check.hold(&[("p_conforming", p)]);
        }
        "jcgm106_resistor_shared_risk" | "jcgm106_resistor_guarded" => {
            let (made, limits) = resistor(check);
            let accepted = Limits::new(Some(check.input("A_L")), Some(check.input("A_U"))).unwrap();
            let (consumer, producer) = risks(made, limits, normal(check.input("u_m_ohm")), accepted);
            let (mean, spread, u) = (
                check.input("y0_ohm"),
                check.input("u0_ohm"),
                check.input("u_m_ohm"),
            );
            let summed = risk(mean, spread, u, &limits, &accepted).unwrap();
            check.hold(&[("R_C", summed.consumer), ("R_P", summed.producer)]);
            check.hold_drawn(&[
                ("R_C", consumer, share_error(consumer)),
                ("R_P", producer, share_error(producer)),
            ]);
        }
        "false_accept_4_to_1" => {
            let within = |key| Limits::new(Some(-check.input(key)), Some(check.input(key))).unwrap();
            let error = normal(check.input("measurement_sd"));
            let (accept, reject) = risks(
                normal(check.input("process_sd")),
                within("limits"),
                error,
                within("acceptance"),
            );
            let summed = risk(
                0.0,
                check.input("process_sd"),
                check.input("measurement_sd"),
                &within("limits"),
                &within("acceptance"),
            )
            .unwrap();
            check.hold(&[("PFA", summed.consumer), ("PFR", summed.producer)]);
            check.hold_drawn(&[
                ("PFA", accept, share_error(accept)),
                ("PFR", reject, share_error(reject)),
            ]);
        }
        "one_sided_z_800" | "one_sided_z_900" | "one_sided_z_999" => {
            check.hold(&[("z", guard_band(1.0, check.input("p_conforming")).unwrap())]);
        }
        "iso14253_default_rule" => iso_14253(check),
        "specific_risk_centered" | "specific_risk_offset" => {
            let (y, u) = (check.input("y"), check.input("u"));
            let (least, most) = (check.input("T_L"), check.input("T_U"));
            let outside = |limits: Limits| 1.0 - probability_inside(y, u, &limits).unwrap();
            let both = outside(Limits::new(Some(least), Some(most)).unwrap());
            let below = outside(Limits::new(Some(least), None).unwrap());
            let above = outside(Limits::new(None, Some(most)).unwrap());
            if check.id.ends_with("centered") {
                assert!((below - above).abs() < 1e-15);
                check.hold(&[("p_out", both), ("p_out_each", below)]);
            } else {
                check.hold(&[("p_out", both), ("p_lower", below), ("p_upper", above)]);
            }
        }
        "type_a_and_b_shim_budget" => {
            let mm = |mm: f64| Length::from_mm(mm).unwrap();
            let readings: Vec<Length> = check.inputs("readings_mm").into_iter().map(mm).collect();
            let figures = LengthSummary::of(&readings).unwrap();
            let budget = Budget::new(vec![
                Component::repeated("repeatability", &readings).unwrap(),
                Component::within("resolution", mm(check.input("resolution_mm") / 2.0)).unwrap(),
                Component::within("permitted error", mm(check.input("mpe_mm"))).unwrap(),
            ]);
            let part = |i: usize| budget.components[i].standard / 1e3;
            check.hold(&[
                ("mean_mm", figures.mean.mm()),
                ("s_mm", figures.sd.unwrap().um() / 1e3),
                ("u_A_mm", part(0)),
                ("u_resolution_mm", part(1)),
                ("u_mpe_mm", part(2)),
                ("u_c_mm", budget.combined().um() / 1e3),
            ]);
        }
        "s1_93_mass" => mass(check),
        "s1_94_power_loss" => {
            let run = simulate(SEED, DRAWS, &[normal(check.input("u")); 2], |x| {
                Some(x[0] * x[0] + x[1] * x[1])
            })
            .unwrap();
            let (low, high) = run.shortest_interval(0.95).unwrap();
            check.hold_drawn(&[
                ("mean", run.mean, mean_error(&run)),
                ("u", run.sd, sd_error(&run)),
                ("lo95", low, 0.0),
                ("hi95", high, quantile_error(&run, 0.95)),
            ]);
        }
        "s1_95_gauge_block" => gauge_block(check),
        "gum_h3_thermometer" => {
            let t: Vec<f64> = check
                .inputs("t_C")
                .iter()
                .map(|t| t - check.input("t_0_C"))
                .collect();
            let line = Line::fit(&t, &check.inputs("b_C")).unwrap();
            let at = check.input("at_C") - check.input("t_0_C");
            let (low, high) = line.mean_interval(at, 0.95).unwrap();
            let u = (high - low) / 2.0 / coverage_factor(0.95, line.dof as f64).unwrap();
            check.hold(&[
                ("intercept", line.intercept),
                ("u_intercept", line.intercept_se),
                ("slope", line.slope),
                ("u_slope", line.slope_se),
                ("s", line.residual_sd),
                ("b_30", line.at(at).unwrap()),
                ("u_b_30", u),
            ]);
        }
        "gum_table_g2" => {
            for (key, p) in [
                ("k_6827", 0.6827),
                ("k_95", 0.95),
                ("k_9545", 0.9545),
                ("k_99", 0.99),
            ] {
                let k = |dof| coverage_factor(p, dof).unwrap();
                check.hold_list(key, &check.inputs("dof").into_iter().map(k).collect::<Vec<_>>());
            }
        }
        other => panic!("{other} is not known to this test"),
    }
}

/// Gamma with shape 4 and scale 0.25, as the sum of four exponentials.
fn gamma_of_four(uniform: &[f64]) -> f64 {
    -0.25 * uniform.iter().map(|&u| libm::log(u)).sum::<f64>()
}

fn iso_14253(check: &Check) {
    let mm = |mm: f64| Length::from_mm(mm).unwrap();
    let u = mm(check.input("U_mm") / 2.0).into();
    let (least, most) = (mm(check.input("T_L_mm")), mm(check.input("T_U_mm")));
    // U = 2 u to one side: Φ(2) = 0.977 249 868
    let confidence = 0.977_249_868_051_820_8;
    let mut on_the_limit = 0;
    for (y, word) in check.inputs("y_mm").into_iter().zip(check.words("decision")) {
        let verdict = |c| judge_length(mm(y), u, Some(least), Some(most), c).unwrap().1;
        let want = match word {
            "conforms" => Verdict::Inside,
            "not proven" => Verdict::TooCloseToCall,
            "does not conform" => Verdict::Outside,
            other => panic!("{other} is no decision"),
        };
        let (just_less, just_more) = (verdict(confidence - 1e-9), verdict(confidence + 1e-9));
        if just_less == just_more {
            assert_eq!(just_less, want, "{y}");
        } else {
            // exactly on a guarded limit the probability is the confidence itself, and the rule may choose
            on_the_limit += 1;
            assert!(just_less == want || just_more == want, "{y}");
        }
    }
    assert_eq!(on_the_limit, 3, "9.96, 10.04 and 10.06 lie on guarded limits");
}

fn mass(check: &Check) {
    let (reference, added) = (check.input("m_Rc_mg"), check.input("delta_m_mg"));
    let (u_reference, u_added) = (check.input("u_m_Rc_mg"), check.input("u_delta_m_mg"));
    let (air, weight, standard) = (
        check.inputs("rho_air"),
        check.inputs("rho_W"),
        check.inputs("rho_R"),
    );
    let inputs = [
        Draw::Normal {
            mean: reference,
            sd: u_reference,
        },
        Draw::Normal {
            mean: added,
            sd: u_added,
        },
        uniform(&air),
        uniform(&weight),
        uniform(&standard),
    ];
    let run = simulate(SEED, DRAWS, &inputs, |x| {
        Some((x[0] + x[1]) * (1.0 + (x[2] - 1.2) * (1.0 / x[3] - 1.0 / x[4])) - reference)
    })
    .unwrap();
    let (low, high) = run.interval(0.95).unwrap();
    check.hold_drawn(&[
        ("mean_mg", run.mean, mean_error(&run)),
        ("u_mg", run.sd, sd_error(&run)),
        ("lo95_mg", low, quantile_error(&run, 0.025)),
        ("hi95_mg", high, quantile_error(&run, 0.975)),
    ]);
    // closed form: the factors are independent, E[1/ρ] = ln(b/a)/(b − a) and E[1/ρ²] = 1/(ab)
    let inverse = |ends: &[f64]| {
        (
            (ends[1] / ends[0]).ln() / (ends[1] - ends[0]),
            1.0 / (ends[0] * ends[1]),
        )
    };
    let ((w1, w2), (r1, r2)) = (inverse(&weight), inverse(&standard));
    let air_square = (air[1] - air[0]).powi(2) / 12.0 + ((air[0] + air[1]) / 2.0 - 1.2).powi(2);
    let mass_square = (reference + added).powi(2) + u_reference.powi(2) + u_added.powi(2);
    let variance =
        u_reference.powi(2) + u_added.powi(2) + mass_square * air_square * (w2 - 2.0 * w1 * r1 + r2);
    assert!((run.mean - added).abs() < 4.0 * mean_error(&run));
    assert!(
        (run.sd - variance.sqrt()).abs() < 4.0 * sd_error(&run),
        "{} {}",
        run.sd,
        variance.sqrt()
    );
}

fn gauge_block(check: &Check) {
    let t = |mean, scale, dof| Draw::StudentT {
        mean,
        scale: check.input(scale),
        dof: check.input(dof),
    };
    let doubtful = |ends: &str, doubt| Draw::UniformWithDoubt {
        low: check.inputs(ends)[0],
        high: check.inputs(ends)[1],
        doubt: check.input(doubt),
    };
    let swing = check.inputs("Delta");
    let (l, theta, u_theta) = (
        check.input("L_s_nm"),
        check.input("theta_0"),
        check.input("u_theta_0"),
    );
    let inputs = [
        t(l, "s_L_s_nm", "dof_L_s"),
        t(check.input("D_nm"), "s_D_nm", "dof_D"),
        t(0.0, "s_d1_nm", "dof_d1"),
        t(0.0, "s_d2_nm", "dof_d2"),
        uniform(&check.inputs("alpha_s")),
        Draw::Normal {
            mean: theta,
            sd: u_theta,
        },
        Draw::Cyclic {
            low: swing[0],
            high: swing[1],
        },
        doubtful("delta_alpha", "doubt_delta_alpha"),
        doubtful("delta_theta", "doubt_delta_theta"),
    ];
    let run = simulate(SEED, DRAWS, &inputs, |x| {
        Some(x[0] + x[1] + x[2] + x[3] - x[0] * (x[7] * (x[5] + x[6]) + x[4] * x[8]) - 5e7)
    })
    .unwrap();
    let (low, high) = run.interval(0.99).unwrap();
    check.hold_drawn(&[
        ("mean_nm", run.mean, mean_error(&run)),
        ("u_nm", run.sd, sd_error(&run)),
        ("lo99_nm", low, quantile_error(&run, 0.005)),
        ("hi99_nm", high, quantile_error(&run, 0.995)),
    ]);
    // closed form: variance ν/(ν − 2)·s² of each t, (b − a)²/12 + d²/9 of limits in doubt, (b − a)²/8 of a swing
    let of_t = |scale, dof| check.input(scale).powi(2) * check.input(dof) / (check.input(dof) - 2.0);
    let in_doubt = |ends: &str, doubt| {
        let ends = check.inputs(ends);
        (ends[1] - ends[0]).powi(2) / 12.0 + check.input(doubt).powi(2) / 9.0
    };
    let alpha = check.inputs("alpha_s");
    let alpha_square = ((alpha[0] + alpha[1]) / 2.0).powi(2) + (alpha[1] - alpha[0]).powi(2) / 12.0;
    let theta_square = theta.powi(2) + u_theta.powi(2) + (swing[1] - swing[0]).powi(2) / 8.0;
    let warm = in_doubt("delta_alpha", "doubt_delta_alpha") * theta_square
        + alpha_square * in_doubt("delta_theta", "doubt_delta_theta");
    let variance = of_t("s_L_s_nm", "dof_L_s")
        + of_t("s_D_nm", "dof_D")
        + of_t("s_d1_nm", "dof_d1")
        + of_t("s_d2_nm", "dof_d2")
        + l * l * warm;
    assert!(
        (run.sd - variance.sqrt()).abs() < 4.0 * sd_error(&run),
        "{} {}",
        run.sd,
        variance.sqrt()
    );
}

#[test]
fn the_coverage_factor_covers_what_it_says() {
    // a second way: Simpson's rule over the density of t, its constant from the gamma function of a general library
    use statrs::function::gamma::ln_gamma;
    for dof in [1.0, 2.0, 5.0, 16.7, 100.0, 999.0, 1001.0, 1e6] {
        for p in [0.5, 0.6827, 0.95, 0.99] {
            let k = coverage_factor(p, dof).unwrap();
            let constant = (ln_gamma((dof + 1.0) / 2.0) - ln_gamma(dof / 2.0)).exp()
                / (dof * std::f64::consts::PI).sqrt();
            let density = |x: f64| (-(dof + 1.0) / 2.0 * (x * x / dof).ln_1p()).exp();
            let (steps, h) = (20_000, k / 20_000.0);
            let weight = |i: i32| {
                if i == 0 || i == steps {
                    1.0
                } else if i % 2 == 1 {
                    4.0
                } else {
                    2.0
                }
            };
            let area: f64 = (0..=steps)
                .map(|i| weight(i) * density(f64::from(i) * h))
                .sum::<f64>()
                * h
                / 3.0;
            // the gamma function of so large a number holds fewer digits
            let allowed = if dof > 1e5 { 1e-7 } else { 2e-9 };
            assert!(
                (2.0 * constant * area - p).abs() < allowed,
                "{dof} {p}: {}",
                2.0 * constant * area
            );
        }
    }
}
