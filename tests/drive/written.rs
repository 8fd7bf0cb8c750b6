//! A day by questions: what is kept of it, and that nothing of it gets lost.

use crate::made::{A, B, DAY, head, of_run, run, shop, whole};
use crate::place::Place;
use std::fs;

fn two_runs() -> String {
    whole(
        "2026-05-30",
        &[run(A, "1:12.345 72,410; 72.2 s"), run(B, "71.9 72.0")],
    )
}

/// The day's figures without what tells one day from another.
fn figures(place: &Place) -> serde_json::Value {
    let mut day = place.json(&["days", DAY]);
    for key in ["begun", "finished"] {
        day[key] = serde_json::Value::Null;
    }
    day
}

#[test]
fn a_day_is_kept_and_is_no_build() {
    let place = shop();
    let ran = place.driven(&two_runs(), &[]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let day = place.json(&["days", DAY]);
    let laps: Vec<u64> = day["runs"][0]["laps"]
        .as_array()
        .unwrap()
        .iter()
        .map(|lap| lap["time_ms"].as_u64().unwrap())
        .collect();
    assert_eq!(laps, [72_345, 72_410, 72_200]);
    assert_eq!(day["runs"][0]["median_s"], 72.345);
    assert_eq!(day["runs"][1]["setting"]["build"], B);
    assert_eq!(
        (&day["least_distance_km"], &day["air_celsius"]),
        (&24.0.into(), &18.0.into())
    );
    // it is listed as a day and nowhere else
    assert_eq!(
        place.json(&["days"])["days"][0]["settings"],
        serde_json::json!([A, B])
    );
    assert_eq!(place.json(&["builds"])["builds"].as_array().unwrap().len(), 2);
    assert_eq!(place.json(&["fleet"])["units"].as_array().unwrap().len(), 1);
    place
        .run(&["sheet", DAY])
        .fails(8, &["the record of a drive day and no build"]);
    place.run(&["days", A]).fails(8, &["there is no drive day"]);
    place.run(&["between", A, DAY]).fails(8, &["no build"]);
    // its first line has the version that older programs know to leave alone
    let journal = fs::read_to_string(place.journal_file(DAY)).unwrap();
    assert!(journal.starts_with("{\"v\":2,"));
    assert_eq!(place.entries(DAY)[0]["kind"], "day-begun");
}

#[test]
fn a_day_is_signed_checked_and_corrected_as_a_build_is() {
    let place = shop();
    assert_eq!(place.driven(&two_runs(), &[]).code, 0);
    place.run(&["key", "new", "key", "--as", "A. Driver", "--no-passphrase"]);
    let ran = place.run(&["sign", DAY, "--key", "key", "--as", "A. Driver"]);
    assert!(
        ran.code == 0 && !ran.out.contains("sheet"),
        "{}{}",
        ran.out,
        ran.err
    );
    let why = ["--reason", "misread", "--by", "A. Driver"];
    let correct =
        |question: &str, answer: &str| place.run(&[&["correct", DAY, question, answer][..], &why].concat());
    let ran = correct("times/1/1", "72.345 72.41 72.1");
    assert!(
        ran.code == 0 && !ran.out.contains("print"),
        "{}{}",
        ran.out,
        ran.err
    );
    assert_eq!(figures(&place)["runs"][0]["laps"][2]["time_ms"], 72_100);
    let ran = correct("struck/2", "1 traffic");
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert_eq!(figures(&place)["runs"][1]["laps"][0]["struck"], "traffic");
    assert_eq!(place.run(&["check", DAY]).code, 12);
    correct("run/3", "next").fails(4, &["further questions rest on that"]);
    correct("times/1/2", "70.0").fails(4, &["further questions rest on that"]);
    correct("times/1/1", "none").fails(4, &["times stand there"]);
    correct("times/9/1", "70.0").fails(4, &["there is no answer"]);
    correct("times/1/1", "7.0").fails(4, &["is it the time of a lap?"]);
    let car = place.book().join(DAY).join("car.toml");
    fs::write(&car, fs::read_to_string(&car).unwrap() + "# changed\n").unwrap();
    assert_eq!(place.run(&["check", DAY]).code, 11);
    correct("times/1/1", "70.0").fails(5, &["is not as it was"]);
}

#[test]
fn a_day_that_was_cut_off_after_any_answer_comes_to_the_same_day() {
    let place = shop();
    assert_eq!(place.driven(&two_runs(), &[]).code, 0);
    let whole_day = figures(&place);
    let file = place.journal_file(DAY);
    let journal = fs::read_to_string(&file).unwrap();
    let lines: Vec<&str> = journal.lines().collect();
    let answers: Vec<String> = two_runs().lines().map(str::to_string).collect();
    // after its first line, within a run, before the end, and with a torn line
    for kept in [1, 5, 20, 27, lines.len() - 1] {
        let mut cut = lines[..kept].join("\n") + "\n";
        if kept == 20 {
            cut.push_str(&lines[kept][..30]);
        }
        fs::write(&file, cut).unwrap();
        let rest = answers.get(kept - 1..).unwrap_or(&[]).join("\n");
        let ran = place.driven(&rest, &[]);
        assert_eq!(ran.code, 0, "{kept}: {}{}", ran.out, ran.err);
        assert_eq!(figures(&place), whole_day, "{kept}");
    }
}

#[test]
fn going_back_and_putting_right_leave_what_was_typed_on_record() {
    let place = shop();
    let first = of_run(1, &run(A, "72.1 72.2 72.3")).replace(
        "struck/1 = none",
        "struck/1 = 2 traffic\nstruck/1 = !back\nstruck/1 = 3 spin\nstruck/1 = none",
    );
    let text = head("2026-05-30").replace(
        "weather = sunny\n",
        "weather = sunny\nair = !back\nweather = rain\n",
    ) + &first
        + "run/2 = !fix times/1/1 72.1 72.2 75.9\nrun/2 = !note the wind got up\nrun/2 = end\nremarks = !show\nremarks = none\n";
    let ran = place.driven(&text, &[]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let day = figures(&place);
    assert_eq!(day["weather"], "rain");
    let laps = &day["runs"][0]["laps"];
    assert_eq!(
        (&laps[1]["struck"], &laps[2]["struck"]),
        (&serde_json::Value::Null, &"spin".into())
    );
    assert_eq!(
        (&laps[2]["time_ms"], &day["runs"][0]["median_s"]),
        (&75_900.into(), &72.15.into())
    );
    let kinds: Vec<String> = place
        .entries(DAY)
        .iter()
        .map(|entry| entry["kind"].to_string())
        .collect();
    for kind in ["\"reopened\"", "\"amended\"", "\"noted\"", "\"finished\""] {
        assert!(kinds.iter().any(|known| known == kind), "{kind} in {kinds:?}");
    }
    assert!(
        ran.out
            .contains("run 1, moor-rear-0001: 1:12.100 1:12.200 1:15.900 (spin)"),
        "{}",
        ran.out
    );
}

#[test]
fn a_paused_day_is_gone_on_with_and_a_new_one_is_another() {
    let place = shop();
    let ran = place.driven(&(head("2026-05-30") + "run/1 = !pause\n"), &[]);
    assert!(
        ran.code == 7 && ran.out.contains("To go on: shimwright day moor-car.toml"),
        "{}",
        ran.out
    );
    assert_eq!(place.json(&["days"])["days"][0]["state"], "open");
    let rest = two_runs().replace(&head("2026-05-30"), "");
    assert_eq!(place.driven(&rest, &[]).code, 0);
    assert_eq!(place.driven(&two_runs(), &[]).code, 0);
    let days = place.json(&["days"]);
    assert_eq!(days["days"].as_array().unwrap().len(), 2);
    assert!(
        days["days"]
            .as_array()
            .unwrap()
            .iter()
            .all(|day| day["state"] == "finished")
    );
}

#[test]
fn a_procedure_of_ones_own_may_leave_questions_out_and_no_run() {
    let place = shop();
    let stock = fs::read_to_string(format!(
        "{}/procedures/drive-day.toml",
        env!("CARGO_MANIFEST_DIR")
    ))
    .unwrap();
    let without = |id: &str| {
        let blocks: Vec<&str> = stock.split("[[stage.step]]").collect();
        let kept: Vec<&str> = blocks
            .into_iter()
            .filter(|block| !block.contains(&format!("id = \"{id}\"")))
            .collect();
        kept.join("[[stage.step]]")
    };
    place.write("own.toml", without("road"));
    let answers = two_runs().replace("road = 31\n", "");
    let ran = place.driven(&answers, &["--procedure", "own.toml"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    for (text, why) in [
        (without("times"), "needs a step with the id \"times\""),
        (
            stock.replace("id = \"air\"", "id = \"moon\""),
            "a drive day has no step \"moon\"",
        ),
        (
            stock.replacen("    \"a bit loose\",\n", "", 1),
            "a scale has 5 steps",
        ),
        (
            stock.replace("drive_day = true\n", ""),
            "only what is felt on a drive day has a scale",
        ),
        (without("tyre-sets"), "needs the step \"tyre-sets\" before it"),
    ] {
        place.write("own.toml", text);
        place
            .driven(&answers, &["--procedure", "own.toml"])
            .fails(3, &[why]);
    }
    place.run(&["procedures", "full-rebuild", "--toml"]);
    place.write("own.toml", &stock);
    let unit = crate::place::unit_file("moor-rear");
    place
        .run(&["work", "own.toml", unit.to_str().unwrap()])
        .fails(3, &["is of a drive day"]);
}
