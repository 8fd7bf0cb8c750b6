//! The invented season of the demonstration: one day that tells nothing of the times, one that does.

use crate::place::{Place, demo_file};

#[test]
fn the_invented_season_tells_what_it_was_made_of() {
    let place = Place::new();
    let ran = place.run(&["demo", "--history"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let book = ["--book", "output/demo-book"];
    let json = |words: &[&str]| place.json(&[words, &book].concat());
    let days = json(&["days"]);
    let days = days["days"].as_array().unwrap();
    assert!(
        days.len() == 3 && days.iter().all(|day| day["state"] == "finished"),
        "{days:?}"
    );
    let compared = |day: &[&str]| json(&[&["runs", "moor-rear-0004", "moor-milder"][..], day].concat());
    // both alike in truth
    let first = compared(&["--day", "moor-day-0001"]);
    assert!(first["faster"].is_null() && first["least_p"] == 0.25, "{first}");
    // 0.45 s apart in truth, with a drift of 0.04 s a run
    let second = compared(&["--day", "moor-day-0002"]);
    assert_eq!(second["faster"], "moor-milder", "{second}");
    assert!(
        second["interval_low_s"].as_f64().unwrap() < -0.45
            && -0.45 < second["interval_high_s"].as_f64().unwrap()
    );
    assert!(second["felt"][0]["told_apart"] == true || second["felt"][2]["told_apart"] == true);
    // what was driven stands beside wear and comparison, as a bound from below
    for words in [
        &["wear", "moor-rear"][..],
        &["between", "moor-rear-0003", "moor-rear-0004"],
    ] {
        let said = place.run(&[words, &book].concat()).out;
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(
            said.contains("moor-rear-0004 was driven at least 96 km") && said.contains("on 2 drive days"),
            "{said}"
        );
    }
    // the third has one of them only, and counts for nothing
    let all = compared(&[]);
    assert!(
        all["told"]
            .to_string()
            .contains("moor-day-0003 has only one of the two"),
        "{all}"
    );
    // `settle` starts from what was driven last, and says openly how often it foretold what was felt
    let (car, unit) = (demo_file("moor-car.toml"), demo_file("moor-rear.toml"));
    let settled = json(&[
        "settle",
        car.to_str().unwrap(),
        "--use",
        "hillclimb",
        "--unit",
        unit.to_str().unwrap(),
    ]);
    assert_eq!(
        settled["driven_words"],
        "the unit as moor-milder was driven last, on 2026-06-13 (moor-day-0003)"
    );
    assert_eq!(settled["steps_from"]["drive_deg_from_ring_face"], 70.0);
    let felt = settled["felt"].as_array().unwrap();
    assert_eq!(
        felt.len(),
        5,
        "two settings on two days, one on the third: {felt:?}"
    );
    assert!(felt[2]["setting"] == "moor-rear-0004" && felt[2]["phases"][2]["felt_median"] == 2.0);
    // the first day was made up without a difference: middle and power point the wrong way there, entry and power the right way
    // on the second. R 4, binom.test(2, 4): 0.06758599 to 0.93241401
    let agreed = &settled["felt_as_predicted"];
    assert!(agreed["agreed"] == 2 && agreed["of"] == 4, "{agreed}");
    for (key, known) in [
        ("interval_low_share", 0.067_585_99),
        ("interval_high_share", 0.932_414_01),
    ] {
        assert!((agreed[key].as_f64().unwrap() - known).abs() < 1e-8, "{agreed}");
    }
    let driven = &json(&["fleet"])["units"][0]["drive_days"];
    assert!(
        driven["days"] == 2 && (driven["least_km"].as_f64().unwrap() - 96.0).abs() < 1e-9,
        "{driven}"
    );
    let said = place.run(&[&["fleet"][..], &book].concat()).out;
    assert!(
        said.contains("at least 96 km from 2 days") && said.lines().all(|line| line.chars().count() <= 80),
        "{said}"
    );
}

#[test]
fn nothing_is_said_of_feel_where_nothing_was_driven() {
    let place = Place::new();
    let (car, unit) = (demo_file("moor-car.toml"), demo_file("moor-rear.toml"));
    let settled = place.json(&[
        "settle",
        car.to_str().unwrap(),
        "--use",
        "hillclimb",
        "--unit",
        unit.to_str().unwrap(),
        "--book",
        "none",
    ]);
    assert!(
        settled["felt"].as_array().unwrap().is_empty() && settled["felt_as_predicted"].is_null(),
        "{settled}"
    );
}
