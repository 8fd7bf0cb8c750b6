//! Old paper records come into the book.

use crate::place::{Place, demo_file};
use crate::{paper, shop};
use serde_json::Value;
use std::fs;

const IMPORT: [&str; 4] = ["import", "old.csv", "--unit", "moor-rear.toml"];

#[test]
fn records_on_paper_become_builds_and_wear_follows_them() {
    let place = shop();
    place.write("old.csv", paper());
    let ran = place.run(&IMPORT);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(
        ran.out,
        "moor-rear-0001  2019-03-10\nmoor-rear-0002  2020-03-11\nmoor-rear-0003  2021-03-12\n3 of 3 days were taken\n"
    );
    let wear = place.run(&["wear", "moor-rear", "--json"]).json();
    let plate = |name: &str| -> Value {
        let plates = wear["plates"].as_array().unwrap();
        plates.iter().find(|plate| plate["name"] == name).unwrap().clone()
    };
    // 12 and 2 micrometres a year, over 1500 and 1400 km; by hand: the line through (0, 0), (1.5, 12), (2.9, 24) falls by
    // Σ(x−x̄)(y−ȳ)/Σ(x−x̄)²
    let x = [0.0, 1.5, 2.9];
    let mean = x.iter().sum::<f64>() / 3.0;
    let slope = |each: f64| {
        let over: f64 = (0..3).map(|n| (x[n] - mean) * each * (n as f64 - 1.0)).sum();
        over / x.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>()
    };
    for (name, each) in [("G1", 12.0), ("C1", 2.0)] {
        let told = plate(name);
        // in micrometres a kilometre
        let rate = told["mean_um"]["loss_per_distance"].as_f64().unwrap();
        assert!((rate * 1e3 - slope(each)).abs() < 1e-6, "{name}: {rate}");
    }
    let told = wear["told"].as_array().unwrap_or_else(|| panic!("{wear}"));
    let of_paper = |one: &&Value| {
        one.as_str()
            .is_some_and(|words| words.starts_with("moor-rear-0001 and 2 more are copies of old papers: "))
    };
    assert_eq!(told.iter().filter(of_paper).count(), 1, "{told:?}");
    // as left and as found by the paper
    let stretches = wear["breakaway"]["stretches"]
        .as_array()
        .unwrap_or_else(|| panic!("{wear}"));
    assert_eq!(stretches.len(), 2);
    // all of it is of the paper's day, and the journal is one that the program reads
    assert!(place.journal_file("moor-rear-0002").is_file());
    for entry in place.entries("moor-rear-0002") {
        assert_eq!(entry["at"], "2020-03-11T00:00:00Z", "{entry}");
    }
    let sheet = place.run(&["sheet", "moor-rear-0002", "--json"]).json();
    assert_eq!(
        (&sheet["procedure"], &sheet["open_points"]),
        (&"paper-record".into(), &serde_json::json!([]))
    );
    let entries = place.entries("moor-rear-0002");
    let note = entries.iter().find(|entry| entry["kind"] == "noted").unwrap();
    let text = note["text"].as_str().unwrap();
    assert!(
        text.starts_with("taken from old.csv, lines 4 to 5, on "),
        "{text}"
    );
    assert!(text.ends_with("nothing was measured with this program"), "{text}");
}

#[test]
fn the_same_record_is_not_taken_twice_and_another_one_of_that_day_has_its_time() {
    let place = shop();
    place.write("old.csv", paper());
    place.run(&IMPORT);
    let again = place.run(&IMPORT);
    assert_eq!(again.code, 0, "{}", again.err);
    assert_eq!(
        again.out,
        "moor-rear-0001  2019-03-10  there already\nmoor-rear-0002  2020-03-11  there already\n\
         moor-rear-0003  2021-03-12  there already\n0 of 3 days were taken; 3 were there already\n"
    );
    let json = place
        .run(&["import", "old.csv", "--unit", "moor-rear.toml", "--json"])
        .json();
    assert_eq!(
        (&json["written"], &json["days"][0]["there"]),
        (&false.into(), &true.into()),
        "{json}"
    );
    // another record of that day is not the same
    let other = paper().replacen("Ann, Example", "Bea, Example", 1);
    place.write("other.csv", other);
    place
        .run(&["import", "other.csv", "--unit", "moor-rear.toml"])
        .fails(
            3,
            &[
                "line 2, day: moor-rear-0001 in the book is of 2019-03-10 already, and says something else",
                "2019-03-10T14:00:00Z",
            ],
        );
    assert_eq!(place.run(&["export", "builds"]).out.lines().count(), 4);
    place.write(
        "old.csv",
        "day,by,rebuilt\n2019-03-10T14:00:00Z,Ann,no\n2019-03-10T14:00:00Z,Ann,no\n",
    );
    assert_eq!(place.run(&IMPORT).code, 0);
    assert!(
        place
            .run(&IMPORT)
            .out
            .starts_with("moor-rear-0004  2019-03-10T14:00:00Z  there already")
    );
}

#[test]
fn a_day_of_which_an_older_program_wrote_the_half_is_told_with_what_to_do() {
    let place = shop();
    place.write("old.csv", paper());
    assert_eq!(place.run(&IMPORT).code, 0);
    let journal = place.journal_file("moor-rear-0001");
    let text = fs::read_to_string(&journal).unwrap();
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    // as it was left when the program was ended in the middle, and when it was before the first entry
    fs::write(&journal, lines[..lines.len() / 2].concat()).unwrap();
    fs::write(place.journal_file("moor-rear-0002"), "").unwrap();
    let ran = place.run(&IMPORT);
    ran.fails(
        3,
        &[
            "line 2, day: moor-rear-0001 in the book is this day cut short",
            "remove its folder",
            "moor-rear-0002 in the book is empty",
        ],
    );
    fs::remove_dir_all(place.book().join("moor-rear-0001")).unwrap();
    fs::remove_dir_all(place.book().join("moor-rear-0002")).unwrap();
    let ran = place.run(&IMPORT);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.ends_with("2 of 3 days were taken; 1 was there already\n"),
        "{}",
        ran.out
    );
    assert_eq!(place.run(&["export", "builds"]).out.lines().count(), 4);
}

#[test]
fn a_table_as_it_is_written_where_the_comma_is_the_decimal_sign_says_the_same() {
    let place = shop();
    place.write("old.csv", paper());
    assert_eq!(place.run(&IMPORT).code, 0);
    let other = shop();
    // a name with a comma stays what it is
    let commas = paper()
        .replace("\"Ann, Example\"", "Ann Example")
        .replace(',', ";")
        .replace('.', ",")
        .replace("N·m", "N.m")
        .replace("Ann Example", "Ann, Example");
    assert!(commas.contains(";1,995\n"), "{commas}");
    other.write("old.csv", commas.replace('\n', "\r\n"));
    let ran = other.run(&IMPORT);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let said = |place: &Place, table: &str| place.run(&["export", table, "--format", "jsonl"]).out;
    assert_eq!(said(&other, "plates"), said(&place, "plates"));
    let without_digest = |text: String| -> Vec<Value> {
        let rows = text.lines().map(|line| serde_json::from_str(line).unwrap());
        rows.map(|mut row: Value| {
            row["digest"] = Value::Null;
            row
        })
        .collect()
    };
    assert_eq!(
        without_digest(said(&other, "builds")),
        without_digest(said(&place, "builds"))
    );
}

#[test]
fn looks_and_remarks_of_the_paper_stand_in_the_record_and_on_the_sheet() {
    let place = shop();
    place.write(
        "old.csv",
        "day,by,rebuilt,plate,looks,remark\n\
         2019-03-10,Ann,no,G1,good,\n\
         2019-03-10,,,G2,cracked at two tabs,\"went to the bin,\nsays Ann\"\n\
         2019-03-10,,,G3,,a new one came in\n\
         2019-03-10,,,,,preload 900 N by the paper\n",
    );
    let ran = place.run(&IMPORT);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let plates = place.run(&["export", "plates", "--format", "jsonl"]).out;
    let plate = |name: &str| -> Value {
        let mut rows = plates
            .lines()
            .map(|line| serde_json::from_str::<Value>(line).unwrap());
        rows.find(|plate| plate["plate"] == name).unwrap()
    };
    assert_eq!(
        (&plate("G1")["look"], &plate("G1")["rejected"]),
        (&"good".into(), &false.into())
    );
    assert_eq!(
        (&plate("G2")["look"], &plate("G2")["rejected"]),
        (&"cracked".into(), &true.into())
    );
    assert_eq!(plate("G3")["look"], Value::Null);
    let notes: Vec<(String, String)> = place
        .entries("moor-rear-0001")
        .iter()
        .filter(|entry| entry["kind"] == "noted")
        .map(|entry| {
            assert_eq!(
                (&entry["by"], &entry["at"]),
                (&"Ann".into(), &"2019-03-10T00:00:00Z".into())
            );
            let item = entry["slot"]["item"].as_str().unwrap_or("").to_string();
            (item, entry["text"].as_str().unwrap().to_string())
        })
        .collect();
    assert_eq!(
        notes[1..],
        [
            ("", "preload 900 N by the paper"),
            ("G2", "went to the bin,\nsays Ann"),
            ("G3", "a new one came in"),
        ]
        .map(|(item, text)| (item.to_string(), text.to_string()))
    );
    place.write("old.csv", "day,by,rebuilt,plate,looks,remark\n2018-03-10,Ann,no,G1,shiny,\n2018-03-10,,,G77,,lost\n2018-03-10,,,,good,\n");
    place.run(&IMPORT).fails(
        3,
        &[
            "line 2, looks: \"shiny\" is none of these: good, glazed, burnt, torn, cracked",
            "line 3, plate: the unit's file has no plate G77",
            "line 4, plate: which plate is it?",
        ],
    );
}

#[test]
fn the_sheet_of_a_copy_says_so_on_top_and_takes_no_name_for_a_signature() {
    let place = shop();
    fs::create_dir(place.path("shelf")).unwrap();
    place.write("shelf/old.csv", paper());
    let ran = place.run(&["import", "shelf/old.csv", "--unit", "moor-rear.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let told = place.run(&["sheet", "moor-rear-0002", "--json"]).json();
    let copied = told["copied"].as_str().unwrap();
    assert!(
        copied.starts_with("This is a copy of an old paper, taken from old.csv, lines 4 to 5, on 20"),
        "{copied}"
    );
    assert!(
        copied.ends_with("Nothing on it was measured with this program."),
        "{copied}"
    );
    assert_eq!(told["signatures"][0]["role"], "name on the paper");
}

#[test]
fn the_report_as_json_has_each_day_with_its_build_and_each_fault_with_its_place() {
    let place = shop();
    place.write("old.csv", paper() + "2018-02-06,Bea,,yes,mic-2,,,,,G99,1.98\n");
    let json = |more: &[&str]| {
        let ran = place.run(&[&IMPORT[..], &["--json"], more].concat());
        let told: Value =
            serde_json::from_str(&ran.out).unwrap_or_else(|_| panic!("{} {}", ran.out, ran.err));
        assert_eq!(ran.err, "");
        (ran.code, told)
    };
    let fault =
        serde_json::json!([{"line": 8, "column": "plate", "words": "the unit's file has no plate G99"}]);
    let day = |day: &str, lines: [u64; 2], fits: bool, build: Option<&str>| serde_json::json!({"day": day, "lines": lines, "fits": fits, "build": build, "there": false});
    let days = |written: bool| -> Value {
        let build = |name| written.then_some(name);
        vec![
            day("2018-02-06", [8, 8], false, None),
            day("2019-03-10", [2, 3], true, build("moor-rear-0001")),
            day("2020-03-11", [4, 5], true, build("moor-rear-0002")),
            day("2021-03-12", [6, 7], true, build("moor-rear-0003")),
        ]
        .into()
    };
    for (more, code, written) in [
        (&[][..], 3, false),
        (&["--check"], 3, false),
        (&["--partly"], 3, true),
    ] {
        let (ran, told) = json(more);
        assert_eq!(ran, code, "{more:?}");
        let right = serde_json::json!({
            "format": "shimwright told 1: import", "file": "old.csv", "unit": "moor-rear", "unit_name": "Moor rear", "written": written, "days": days(written),
            "faults": fault,
        });
        assert_eq!(told, right, "{more:?}");
        assert_eq!(place.book().join("moor-rear-0001").exists(), written);
    }
    place.write("old.csv", "day,bye\n");
    let (ran, told) = json(&[]);
    assert_eq!(
        (ran, &told["faults"][0]["column"], &told["faults"][0]["line"]),
        (3, &"bye".into(), &1.into())
    );
    place.write("old.csv", built(&[("2017-03-10", "", "1.999", "")]));
    let (ran, told) = json(&[]);
    assert_eq!((ran, &told["days"][0]["build"]), (0, &"moor-rear-0004".into()));
}

#[test]
fn nothing_is_taken_where_anything_is_at_fault_unless_that_was_said() {
    let place = shop();
    let good = paper();
    let bad = format!(
        "{good}2018-01-05,Ann,12 km,yes,mic-2,,,,,G1,19.8\n2018-02-06,Bea,,yes,mic-2,,,,,G99,1.98\n2018-03-06,Bea,,yes,mic-2,,,,,C1,9.999\n"
    );
    place.write("old.csv", bad);
    let ran = place.run(&IMPORT);
    ran.fails(
        3,
        &[
            "old.csv, line 8, thickness: 19.800 mm is far from the 2.000 mm of a new plate G1: did you mean 1.980 mm? If it stands",
            "old.csv, line 9, plate: the unit's file has no plate G99",
            "old.csv, line 10, thickness: 9.999 mm is far from the 2.000 mm of a new plate C1; if it stands so on the paper",
            "--partly",
        ],
    );
    assert!(
        ran.out.contains("3 of 6 days can be taken; nothing was written"),
        "{}",
        ran.out
    );
    assert!(!place.book().join("moor-rear-0001").exists());
    let check = place.run(&[&IMPORT[..], &["--check"]].concat());
    assert_eq!((check.code, place.book().exists()), (3, false));
    let ran = place.run(&[&IMPORT[..], &["--partly"]].concat());
    ran.fails(3, &["old.csv has 3 faults; the rest was taken"]);
    assert!(ran.out.ends_with("3 of 6 days were taken\n"), "{}", ran.out);
}

#[test]
fn a_row_that_can_not_be_read_takes_the_days_beside_it_along() {
    let place = shop();
    let good = "2018-03-02,Ann,yes,mic-2,C1,1.998\n";
    // a decimal comma without quotation marks makes a cell too many: the row may be of either day
    for rows in [
        format!(
            "{good}2018-03-02,,,,G1,1,985\n2019-03-02,Ann,yes,mic-2,C1,1.990\n2020-03-02,Ann,yes,mic-2,C1,1.985\n"
        ),
        format!(
            "2020-03-02,Ann,yes,mic-2,C1,1.985\n2019-03-02,Ann,yes,mic-2,C1,1.990\n2018-03-02,Ann,yes,mic-2,G1,1,985\n{good}"
        ),
    ] {
        place.write(
            "old.csv",
            format!("day,by,rebuilt,micrometer,plate,thickness\n{rows}"),
        );
        let ran = place.run(&[&IMPORT[..], &["--partly"]].concat());
        assert!(
            ran.code == 3 && ran.err.contains("7 cells under 6 columns"),
            "{}",
            ran.err
        );
        assert!(
            !ran.out.contains("2018-03-02") && !ran.out.contains("2019-03-02"),
            "{}",
            ran.out
        );
    }
}

#[test]
fn what_looks_odd_is_taken_where_the_paper_is_said_to_have_it_so() {
    let place = shop();
    place.write(
        "old.csv",
        "day,by,rebuilt,micrometer,plate,thickness,sure\n2018-01-05,Ann,yes,mic-2,G1,1.2,yes\n",
    );
    assert_eq!(place.run(&IMPORT).code, 0);
    let plates = place.run(&["export", "plates", "--format", "jsonl"]).out;
    let plate = plates
        .lines()
        .find(|line| line.contains("\"plate\":\"G1\""))
        .unwrap();
    assert!(
        plate.contains("\"least_um\":1200.0") && plate.contains("\"rejected\":true"),
        "{plate}"
    );
}

/// Rows of days on which the unit was built, each with how far it had gone and what a plate measured.
fn built(days: &[(&str, &str, &str, &str)]) -> String {
    let rows = days
        .iter()
        .map(|(day, km, thickness, sure)| format!("{day},Ann,{km},yes,mic-2,G1,{thickness},{sure}\n"));
    let head = "day,by,distance,rebuilt,micrometer,plate,thickness,sure\n".to_string();
    rows.fold(head, |text, row| text + &row)
}

#[test]
fn a_difference_of_two_papers_has_the_whole_doubt_of_both() {
    let place = shop();
    place.write("old.csv", paper());
    assert_eq!(place.run(&IMPORT).code, 0);
    let account = |n: u32| {
        let row = |table: &str| {
            let out = place.run(&["export", table, "--format", "jsonl"]).out;
            let rows = out
                .lines()
                .map(|line| serde_json::from_str::<Value>(line).unwrap());
            let build = format!("moor-rear-000{n}");
            rows.filter(|row| row["build"] == build.as_str())
                .collect::<Vec<_>>()
        };
        let builds = row("builds");
        assert_eq!(builds[0]["copied"], true);
        let plate = row("plates")
            .into_iter()
            .find(|row| row["plate"] == "G1")
            .unwrap();
        assert_eq!(plate["spread_um"], Value::Null, "one reading has no spread");
        let instruments = row("instruments");
        let micrometer = instruments
            .iter()
            .find(|row| row["role"] == "micrometer")
            .unwrap();
        let zero = micrometer["zero_u_um"].as_f64().unwrap();
        plate["mean_u_um"].as_f64().unwrap().hypot(zero)
    };
    // the micrometer is like that of then, and two that are like it have nothing in common; twice that is told
    let wanted = 2.0 * account(1).hypot(account(2));
    let between = place
        .run(&["between", "moor-rear-0001", "moor-rear-0002", "--json"])
        .json();
    let plates = between["plates_um"]
        .as_array()
        .unwrap_or_else(|| panic!("{between}"));
    let is_g1 = |change: &&Value| change["what"].as_str().is_some_and(|what| what.contains("G1"));
    let told = plates.iter().find(is_g1).unwrap_or_else(|| panic!("{between}"))["doubt_95"]
        .as_f64()
        .unwrap();
    assert!((told - wanted).abs() < 1e-9, "{told} and {wanted}");
}

/// How far the plate had gone at each of its readings, by `wear`, in kilometres.
fn kilometres(place: &Place) -> Vec<f64> {
    let wear = place.run(&["wear", "moor-rear", "--json"]).json();
    let builds = wear["builds"].as_array().unwrap_or_else(|| panic!("{wear}"));
    builds
        .iter()
        .map(|build| build["gone"].as_f64().unwrap_or_else(|| panic!("{wear}")))
        .collect()
}

#[test]
fn the_order_of_the_rows_counts_for_nothing_and_days_before_the_first_build_are_counted_first() {
    let place = shop();
    place.write(
        "old.csv",
        built(&[
            ("2021-03-12", "1400 km", "1.971", ""),
            ("2020-03-11", "1500 km", "1.983", ""),
        ]),
    );
    let ran = place.run(&IMPORT);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out
            .starts_with("moor-rear-0001  2020-03-11\nmoor-rear-0002  2021-03-12\n"),
        "{}",
        ran.out
    );
    place.write("old.csv", built(&[("2019-03-10", "", "1.995", "")]));
    let ran = place.run(&IMPORT);
    assert_eq!(
        (ran.code, ran.out.as_str()),
        (0, "moor-rear-0003  2019-03-10\n1 of 1 day was taken\n"),
        "{}",
        ran.err
    );
    assert_eq!(kilometres(&place), [0.0, 1500.0, 2900.0]);
}

#[test]
fn a_day_on_which_the_unit_was_built_between_two_builds_wants_to_be_meant() {
    let place = shop();
    place.write(
        "old.csv",
        built(&[
            ("2019-03-10", "", "1.995", ""),
            ("2021-03-12", "1400 km", "1.971", ""),
        ]),
    );
    assert_eq!(place.run(&IMPORT).code, 0);
    let between = [("2020-03-11", "1500 km", "1.983", "")];
    place.write("old.csv", built(&between));
    place.run(&IMPORT).fails(
        3,
        &[
            "line 2, rebuilt: moor-rear-0002 of 2021-03-12 counts its distance from when the unit was last built: that \
             was moor-rear-0001 of 2019-03-10",
            "write yes in the column sure",
        ],
    );
    // only looked at then: what was driven counts on from the build before
    place.write(
        "old.csv",
        built(&between)
            .replace("yes,mic-2", "no,mic-2")
            .replace("1500 km", "700 km"),
    );
    let ran = place.run(&IMPORT);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(kilometres(&place), [0.0, 700.0, 1400.0]);
    place.write("old.csv", built(&[("2020-08-11", "900 km", "1.977", "yes")]));
    let ran = place.run(&IMPORT);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(kilometres(&place), [0.0, 700.0, 900.0, 2300.0]);
}

#[test]
fn a_plate_that_grew_and_a_distance_that_fell_want_to_be_meant() {
    let place = shop();
    let grown = [
        ("2019-03-10", "", "1.983", ""),
        ("2020-03-11", "1500 km", "1.995", ""),
    ];
    place.write("old.csv", built(&grown));
    let told = "line 3, thickness: G1 is 0.012 mm thicker than in the record of 2019-03-10, line 2; a plate does not grow";
    place
        .run(&IMPORT)
        .fails(3, &[told, "write yes in the column sure"]);
    let ran = place.run(&[&IMPORT[..], &["--partly"]].concat());
    ran.fails(3, &["old.csv has a fault; the rest was taken"]);
    assert_eq!(ran.out, "moor-rear-0001  2019-03-10\n1 of 2 days were taken\n");
    // against the book, from behind and from before
    place.write("old.csv", built(&grown[1..]));
    place.run(&IMPORT).fails(
        3,
        &["line 2, thickness: G1 is 0.012 mm thicker than in moor-rear-0001 of 2019-03-10"],
    );
    place.write("old.csv", built(&[("2018-03-10", "", "1.960", "")]));
    place.run(&IMPORT).fails(
        3,
        &["line 2, thickness: G1 is 0.023 mm thinner than in moor-rear-0001 of 2019-03-10"],
    );
    place.write("old.csv", built(&[("2020-03-11", "1500 km", "1.995", "yes")]));
    assert_eq!(place.run(&IMPORT).code, 0);
    // by no more than the readings leave in doubt: 2.9 µm each
    let other = shop();
    other.write(
        "old.csv",
        built(&[
            ("2019-03-10", "", "1.983", ""),
            ("2020-03-11", "1500 km", "1.987", ""),
        ]),
    );
    assert_eq!(other.run(&IMPORT).code, 0);

    let place = shop();
    let fell = built(&[
        ("2019-03-10", "", "1.995", ""),
        ("2020-03-11", "1500 km", "1.990", ""),
        ("2021-03-11", "900 km", "1.985", ""),
    ]);
    // built each time: each counts for itself
    place.write("old.csv", &fell);
    assert_eq!(place.run(&[&IMPORT[..], &["--check"]].concat()).code, 0);
    place.write(
        "old.csv",
        fell.replace("1500 km,yes", "1500 km,no")
            .replace("900 km,yes", "900 km,no"),
    );
    place.run(&IMPORT).fails(
        3,
        &["line 4, distance: 900 km is less than the 1500 km of the record of 2020-03-11, line 3; counted since"],
    );
}

#[test]
fn each_cell_that_can_not_be_taken_is_told_with_its_place_and_what_to_write() {
    for (text, facts) in [
        ("", &["line 1: there is nothing in it"][..]),
        ("day,by,thicknes\n", &["did you mean thickness?"]),
        (
            "day,by\n31.12.2016,Ann\n",
            &["line 2, day: \"31.12.2016\" is no day; write it as 2019-04-12"],
        ),
        (
            "day,by\n2190-01-01,Ann\n",
            &["line 2, day: 2190-01-01 has not come yet"],
        ),
        (
            "day,by\n2016-01-01,\n",
            &["line 2, by: a record says who did the work"],
        ),
        (
            "day,by,distance\n2016-01-01,Ann,19 mm\n",
            &["line 2, distance: \"19 mm\" is a length"],
        ),
        (
            "day,by,micrometer\n2016-01-01,Ann,mic-9\n",
            &["line 2, micrometer: \"mic-9\" is none of these"],
        ),
        ("day,by,rebuilt\n2016-01-01,Ann,maybe\n", &["line 2, rebuilt:"]),
        (
            "day,by\n2016-01-01,Ann\n",
            &["line 2, rebuilt: write yes where the unit was put together anew then"],
        ),
        (
            "day,by,rebuilt,wrench,found_breakaway\n2016-01-01,Ann,no,wrench-60,35\n",
            &["line 2, held: a day with a breakaway says what was held: case or output"],
        ),
        (
            "day,by,rebuilt,wrench,held,found_breakaway\n2016-01-01,Ann,no,wrench-60,output,47\n",
            &["line 2, held: the unit's file means its breakaway with case held, which reads twice as much"],
        ),
        (
            "day,by,rebuilt,wrench,held,found_breakaway\n2016-01-01,Ann,no,wrench-60,wheel,47\n",
            &["line 2, held: case or output is wanted"],
        ),
        (
            "day,by,micrometer,plate,thickness\n2016-01-01,Ann,mic-2,G1,\"1,234\"\n",
            &["line 2, thickness: \"1,234\" can be read as 1.234 or as 1234"],
        ),
        (
            "day,by,rebuilt,micrometer,plate,thickness\n2016-01-01,Ann,no,mic-2,G1,1.98\n2016-01-01,,,,G1,1.97\n",
            &[
                "line 3, thickness: line 2 has this plate as 1.98 for this day already; a record takes one thickness a plate",
            ],
        ),
        (
            "day,by,rebuilt\n2016-01-01,Ann,no\n2016-01-01T01:00:00+01:00,Ann,no\n",
            &["line 3, day: line 2 is of the same time, written in another way"],
        ),
        (
            "day,by,rebuilt\n2016-01-01,A\0nn,no\n",
            &["line 2, by: there is a character in it that is no sign"],
        ),
        (
            "day,by,rebuilt,micrometer,plate,thickness\n2016-01-01,Ann,no,mic-2,g1,1.98\n",
            &["line 2, plate: the unit's file has no plate g1; did you mean G1?"],
        ),
        (
            "day,by,rebuilt,remark\n2016-01-01,Ann,no,\"a note\n2017-01-01,Ann,no,\n",
            &["line 2: a quotation mark is opened in this row and never closed"],
        ),
        (
            "day;by;plate;thickness\n2016-01-01;Ann;G1;1.998,5\n",
            &["line 2, thickness: \"1.998,5\" has a point and a comma"],
        ),
        (
            "day,by,plate,thickness\n2016-01-01,Ann,G1,1.98\n",
            &["line 2, micrometer: a day with thicknesses says which micrometer"],
        ),
        (
            "day,by,found_breakaway\n2016-01-01,Ann,35\n",
            &["line 2, wrench: a day with a breakaway says which torque wrench"],
        ),
        (
            "day,by,wrench,found_breakaway\n2016-01-01,Ann,wrench-60,35 mm\n",
            &["line 2, found_breakaway: \"35 mm\" is a length"],
        ),
    ] {
        let place = shop();
        place.write("old.csv", text);
        place.run(&IMPORT).fails(3, facts);
        assert!(!place.book().exists(), "{text:?}");
    }
}

#[test]
fn files_that_are_none_and_characters_that_steer_do_no_harm() {
    let place = shop();
    fs::create_dir(place.path("folder.csv")).unwrap();
    let ran = place.run(&["import", "folder.csv", "--unit", "moor-rear.toml"]);
    ran.fails(3, &["folder.csv"]);
    place
        .run(&["import", "none.csv", "--unit", "moor-rear.toml"])
        .fails(3, &["none.csv"]);
    place.run(&["import", "old.csv"]).fails(2, &["--unit"]);
    place.write("old.csv", [0xff, 0xfe, b'd', 0, b'a']);
    place.run(&IMPORT).fails(3, &["UTF-8"]);
    place.write("old.csv", "x".repeat((16 << 20) + 1));
    place.run(&IMPORT).fails(3, &["old.csv"]);
    place.write("old.csv", "day,by,\u{1b}[2J\n2016-01-01,Ann,x\n");
    let ran = place.run(&IMPORT);
    assert!(ran.code == 3 && !ran.err.contains('\u{1b}'), "{:?}", ran.err);
    place.write(
        "old.csv",
        "day,by,car\n2016-01-01,\"Ann\u{202e}\",\"a\u{1b}[2Jb\"\n",
    );
    let ran = place.run(&IMPORT);
    // whichever way it is taken or not, nothing of it steers
    assert!(
        !ran.err.contains('\u{1b}') && !ran.out.contains('\u{1b}'),
        "{:?}",
        ran.err
    );
}

#[test]
fn a_unit_with_no_such_procedure_in_its_book_says_its_columns() {
    let place = shop();
    let ran = place.run(&["import", "--columns"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for column in ["day", "thickness", "left_breakaway", "sure"] {
        assert!(
            ran.out.lines().any(|line| line.starts_with(column)),
            "{}",
            ran.out
        );
    }
}

#[test]
fn a_part_that_was_taken_out_without_a_word_is_followed_alike_from_both_units() {
    let place = shop();
    let unit = fs::read_to_string(demo_file("moor-rear.toml")).unwrap();
    let plate = |name: &str| format!("name = \"{name}\"\n");
    let with = |name: &str, part: &str| {
        assert!(unit.contains(&plate(name)));
        unit.replacen(&plate(name), &format!("{}part = \"{part}\"\n", plate(name)), 1)
    };
    let other = with("G2", "P-77")
        .replacen("id = \"moor-rear\"", "id = \"moor-two\"", 1)
        .replacen("name = \"Moor rear\"", "name = \"Moor two\"", 1);
    let head = "day,by,distance,rebuilt,micrometer,plate,thickness,sure\n";
    for (file, unit, rows) in [
        (
            "first",
            with("G1", "P-77"),
            "2019-01-01,A,,yes,mic-2,G1,1.998,\n2020-01-01,A,1000 km,yes,mic-2,G1,1.988,\n",
        ),
        // G1 is another plate from here on, and nothing names P-77
        (
            "then",
            with("G1", "P-78"),
            "2021-01-01,A,1200 km,yes,mic-2,G1,2.000,yes\n",
        ),
        (
            "other",
            other,
            "2021-06-01,A,,yes,mic-2,G2,1.988,\n2022-06-01,A,1300 km,yes,mic-2,G2,1.975,\n",
        ),
    ] {
        place.write(&format!("{file}.toml"), unit);
        place.write(&format!("{file}.csv"), format!("{head}{rows}"));
        let ran = place.run(&[
            "import",
            &format!("{file}.csv"),
            "--unit",
            &format!("{file}.toml"),
        ]);
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    }
    let seen = |unit: &str| {
        let report = place.run(&["wear", unit, "--json"]).json();
        let told = report["told"].to_string();
        assert!(!told.contains("not merged"), "{told}");
        let plates = report["plates"].as_array().unwrap();
        let of_it = plates.iter().find(|plate| plate["part"] == "P-77").unwrap();
        let builds = of_it["sightings"].as_array().unwrap().iter();
        builds.map(|one| one["build"].to_string()).collect::<Vec<_>>()
    };
    let all = seen("moor-two");
    assert_eq!(all.len(), 4, "{all:?}");
    assert_eq!(seen("moor-rear"), all);
}

#[test]
fn a_plate_past_its_limit_by_the_papers_is_said_to_be_there_and_nothing_denies_what_is_told() {
    let place = shop();
    let head = "day,by,distance,rebuilt,micrometer,plate,thickness,sure\n";
    let row = |year: usize, km: &str, thickness: &str| {
        format!("{year}-01-01,A,{km},yes,mic-2,G1,{thickness},yes\n")
    };
    let days = |readings: [&str; 3], km: &str| {
        let rows = [
            row(2019, "", readings[0]),
            row(2020, km, readings[1]),
            row(2021, km, readings[2]),
        ];
        place.write("old.csv", format!("{head}{}", rows.concat()));
        let ran = place.run(&["import", "old.csv", "--unit", "moor-rear.toml", "--book", "other"]);
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
        let out = place.run(&["wear", "moor-rear", "--book", "other"]).out;
        fs::remove_dir_all(place.path("other")).unwrap();
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    // 1.900 mm is its limit by the unit's file
    let words = days(["1.940", "1.915", "1.890"], "1000 km");
    assert!(
        words.contains("First to come: plate G1, which is there already."),
        "{words}"
    );
    assert!(!words.contains("limits can not be told"), "{words}");
    let words = days(["1.960", "1.945", "1.931"], "1000 km");
    assert!(
        words.contains("First to come, at the earliest: plate G1"),
        "{words}"
    );
    // a distance of nothing makes no line of three readings
    let words = days(["1.960", "1.960", "1.960"], "0 km");
    assert!(words.contains("all at one distance"), "{words}");
}
