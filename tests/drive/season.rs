//! The invented season of the demonstration: one day that tells nothing of the times, one that does.

use crate::place::Place;

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
}
