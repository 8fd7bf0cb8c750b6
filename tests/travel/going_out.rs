//! The book as tables, read by programs that know nothing of ours.

use crate::place::{Place, demo_file};
use crate::skipped::skipped;
use crate::{paper, shop};
use serde_json::Value;
use std::fs;
use std::process::Command;

const TABLES: [&str; 6] = ["builds", "plates", "packs", "closings", "springs", "instruments"];

/// A book with a whole rebuild and three old records.
fn book() -> Place {
    let place = Place::new();
    place.demo("moor-rear", &["--json"]).json();
    for name in ["moor-rear.toml", "moor-drawer.toml", "instruments.toml"] {
        place.write(name, fs::read(demo_file(name)).unwrap());
    }
    place.write("old.csv", paper());
    let ran = place.run(&["import", "old.csv", "--unit", "moor-rear.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    place
}

fn rows(place: &Place, table: &str) -> Vec<Value> {
    let ran = place.run(&["export", table, "--format", "jsonl"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    ran.out
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

/// RFC 4180 has comma and point; a spreadsheet of a country that writes 1,998 reads semicolons, commas and the mark of the letters.
#[test]
fn a_spreadsheet_has_the_same_cells_with_semicolons_and_commas() {
    let place = book();
    for table in TABLES {
        let told = place.run(&["export", table, "--columns"]).out;
        let numbers: Vec<&str> = told
            .lines()
            .filter(|line| {
                let holds = line.split_whitespace().nth(1);
                holds == Some("number") || holds == Some("whole")
            })
            .filter_map(|line| line.split_whitespace().next())
            .collect();
        let plain = place.run(&["export", table]).out;
        let sheet = place.run(&["export", table, "--format", "spreadsheet"]).out;
        let sheet = sheet.strip_prefix('\u{feff}').expect("no mark of the letters");
        assert!(sheet.ends_with("\r\n"), "{table}");
        let mut with_points = csv::Reader::from_reader(plain.as_bytes());
        let mut with_commas = csv::ReaderBuilder::new()
            .delimiter(b';')
            .from_reader(sheet.as_bytes());
        let head = with_points.headers().unwrap().clone();
        assert_eq!(&head, with_commas.headers().unwrap(), "{table}");
        let points: Vec<csv::StringRecord> = with_points.records().map(Result::unwrap).collect();
        let commas: Vec<csv::StringRecord> = with_commas.records().map(Result::unwrap).collect();
        assert_eq!(points.len(), commas.len(), "{table}");
        let mut fractions = 0;
        for (point, comma) in points.iter().zip(&commas) {
            for ((name, point), comma) in head.iter().zip(point).zip(comma) {
                let is_number = numbers.contains(&name);
                fractions += usize::from(is_number && comma.contains(','));
                match is_number {
                    true => assert_eq!(point.replace('.', ","), comma, "{table}: {name}"),
                    false => assert_eq!(point, comma, "{table}: {name}"),
                }
            }
        }
        assert!(fractions > 0 || table == "instruments", "{table} has no fraction");
    }
}

#[test]
fn every_table_has_the_columns_that_are_told_and_both_forms_say_the_same() {
    let place = book();
    for table in TABLES {
        let told = place.run(&["export", table, "--columns"]).out;
        let csv = place.run(&["export", table]).out;
        let mut reader = csv::Reader::from_reader(csv.as_bytes());
        let head: Vec<String> = reader.headers().unwrap().iter().map(str::to_string).collect();
        for name in &head {
            assert!(
                told.lines()
                    .any(|line| line.split_whitespace().next() == Some(name)),
                "{table}: {name}"
            );
        }
        let json = rows(&place, table);
        let lines: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(lines.len(), json.len(), "{table}");
        assert!(!json.is_empty(), "{table}");
        for (line, object) in lines.iter().zip(&json) {
            assert_eq!(object.as_object().unwrap().len(), head.len());
            for (name, cell) in head.iter().zip(line) {
                let said = match &object[name] {
                    Value::Null => String::new(),
                    Value::String(text) => text.clone(),
                    other => other.to_string(),
                };
                assert_eq!(cell, said, "{table}, {name}");
            }
        }
    }
}

#[test]
fn what_was_typed_in_from_paper_comes_out_with_the_same_numbers() {
    let place = shop();
    place.write("old.csv", paper());
    place.run(&["import", "old.csv", "--unit", "moor-rear.toml"]);
    let builds = rows(&place, "builds");
    let said: Vec<(f64, f64)> = builds
        .iter()
        .map(|build| {
            (
                build["breakaway_found_nm"].as_f64().unwrap(),
                build["breakaway_left_nm"].as_f64().unwrap(),
            )
        })
        .collect();
    assert_eq!(said, [(88.0, 94.0), (86.5, 93.0), (85.0, 95.0)]);
    assert_eq!(builds[1]["distance_km"], 1500.0);
    let thickness: Vec<f64> = rows(&place, "plates")
        .iter()
        .filter(|plate| plate["plate"] == "G1")
        .map(|plate| plate["least_um"].as_f64().unwrap())
        .collect();
    assert_eq!(thickness, [1995.0, 1983.0, 1971.0]);
}

#[test]
fn what_only_the_procedure_asks_and_whose_job_it_was_come_out_by_name() {
    let place = shop();
    let file = demo_file("moor-rear-refit-and-run-in.answers");
    let typed = fs::read_to_string(&file).unwrap();
    let typed = typed.replacen("job-number = -", "job-number = 2026-031", 1);
    let typed = typed.replacen("promised = -", "promised = 2099-12-31", 1);
    place.write("typed.answers", &typed);
    let ran = place.run(&[
        "work",
        "refit-and-run-in",
        "moor-rear.toml",
        "--answers",
        "typed.answers",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let answers = rows(&place, "answers");
    let steps = ["which-build", "torqued", "run-debris"];
    assert_eq!(answers.len(), steps.len(), "{answers:?}");
    for (row, step) in answers.iter().zip(steps) {
        let line = typed
            .lines()
            .find_map(|line| line.strip_prefix(&format!("{step} = ")));
        assert_eq!(
            (row["question"].as_str(), row["answer"].as_str()),
            (Some(step), line)
        );
        assert_eq!(
            (&row["unit"], &row["procedure"]),
            (&"moor-rear".into(), &"refit-and-run-in".into())
        );
    }
    let build = &rows(&place, "builds")[0];
    assert_eq!(build["job_number"], "2026-031");
    assert_eq!(
        (&build["customer"], &build["promised"]),
        (&Value::Null, &"2099-12-31".into())
    );
    let listed = place.run(&["builds", "--json"]).json();
    assert_eq!(listed["builds"][0]["job_number"], "2026-031");
}

#[test]
fn a_file_is_not_written_over_unless_that_was_said_and_a_unit_that_is_not_there_is_told() {
    let place = book();
    let out = ["export", "plates", "--out", "plates.csv"];
    let ran = place.run(&out);
    let rows = fs::read_to_string(place.path("plates.csv"))
        .unwrap()
        .lines()
        .count()
        - 1;
    assert_eq!(
        (ran.code, ran.out),
        (0, format!("plates: {rows} rows from 4 builds, in plates.csv\n"))
    );
    // the same once more is no other file
    assert_eq!(place.run(&out).code, 0);
    place.write("plates.csv", "precious");
    place.run(&out).fails(
        1,
        &["plates.csv is there already; nothing was written", "--replace"],
    );
    assert_eq!(place.run(&[&out[..], &["--replace"]].concat()).code, 0);
    place
        .run(&["export", "plates", "--unit", "fell"])
        .fails(8, &["no build of a unit \"fell\""]);
    place
        .run(&["export", "plates", "--out", "no/such/plates.csv"])
        .fails(1, &["no/such is not there", "make the folder first"]);
    place.run(&["export", "cars"]).fails(2, &["builds"]);
    assert_eq!(
        place.run(&["export", "plates", "--unit", "moor-rear"]).out,
        fs::read_to_string(place.path("plates.csv")).unwrap()
    );
}

#[test]
fn what_was_written_to_a_file_is_counted_in_rows_and_builds() {
    let place = shop();
    let day = paper().lines().take(3).collect::<Vec<_>>().join("\n");
    place.write("old.csv", day);
    assert_eq!(
        place.run(&["import", "old.csv", "--unit", "moor-rear.toml"]).code,
        0
    );
    for (table, told) in [
        ("builds", "builds: 1 row from 1 build, in builds.csv\n"),
        ("packs", "packs: 2 rows from 1 build, in packs.csv\n"),
    ] {
        let ran = place.run(&["export", table, "--out", &format!("{table}.csv")]);
        assert_eq!((ran.code, ran.out.as_str()), (0, told));
    }
}

#[test]
fn a_damaged_build_is_told_and_the_rest_goes_out() {
    let place = book();
    fs::write(place.book().join("moor-rear-0003/journal.jsonl"), "x").unwrap();
    let ran = place.run(&["export", "builds"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.err.contains("warning: moor-rear-0003: "), "{}", ran.err);
    assert_eq!(ran.out.lines().count(), 5);
}

const PYTHON: &str = r#"
import csv, json, sys
with open("plates.csv", newline="", encoding="utf-8") as file:
    plates = list(csv.DictReader(file))
with open("plates.jsonl", encoding="utf-8") as file:
    objects = [json.loads(line) for line in file]
try:
    import duckdb
    how = "duckdb"
    table = "read_csv('plates.csv', header=true)"
    count, total = duckdb.sql(f"select count(*), sum(mean_um) from {table}").fetchall()[0]
    builds = duckdb.sql(f"select count(distinct build) from {table}").fetchall()[0][0]
    again = duckdb.sql("select count(*), sum(mean_um) from read_json('plates.jsonl', format='newline_delimited')").fetchall()[0]
    assert again[0] == count and abs(again[1] - total) < 1e-6, again
except ImportError:
    import sqlite3
    how = "sqlite3"
    db = sqlite3.connect(":memory:")
    db.execute("create table plates (build text, mean_um real)")
    db.executemany("insert into plates values (?, ?)", [(p["build"], float(p["mean_um"]) if p["mean_um"] else None) for p in plates])
    count, total, builds = db.execute("select count(*), sum(mean_um), count(distinct build) from plates").fetchone()
assert len(plates) == len(objects) == count
print(json.dumps({"how": how, "count": count, "sum": total, "builds": builds}))
"#;

#[test]
fn a_general_reader_of_data_finds_the_same_sums() {
    let place = book();
    place.run(&["export", "plates", "--out", "plates.csv"]);
    place.run(&["export", "plates", "--format", "jsonl", "--out", "plates.jsonl"]);
    let ran = Command::new("python3")
        .args(["-c", PYTHON])
        .current_dir(place.path(""))
        .output();
    let Ok(output) = ran else {
        skipped("python3 reads no table: it is not installed");
        return;
    };
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    let plates = rows(&place, "plates");
    let sum: f64 = plates.iter().filter_map(|plate| plate["mean_um"].as_f64()).sum();
    assert_eq!(told["count"], plates.len());
    assert!(
        (told["sum"].as_f64().unwrap() - sum).abs() < 1e-6,
        "{told}: {sum}"
    );
    assert_eq!(told["builds"], 4);
}

/// Papers of a unit with whatever may stand in them: commas and semicolons in cells, a reading with its unit, words that begin as a
/// formula does, two remarks of one plate, a time of day, a plate that grew and is meant.
const PAPERS: &str = "day,by,car,reason,distance,rebuilt,micrometer,wrench,found_breakaway,left_breakaway,held,plate,thickness,looks,remark,sure\n\
2019-03-10,\"Ann, Example\",Moor 14,pushes,,yes,mic-2,wrench-60,88.0 N·m,94.0 N·m,case,,,,\"preload 1,2 kN; by the paper\",yes\n\
2019-03-10,,,,,,,,,,,G1,1.9950 mm,,-0.02 over the old one,yes\n\
2019-03-10,,,,,,,,,,,C1,1.999 mm,good,,yes\n\
2019-03-10,,,,,,,,,,,G1,,,a second remark,yes\n\
2020-03-11T14:00:00Z,Ann,,,1500.5 km,yes,mic-2,wrench-60,86.50 N·m,93 N·m,case,,,,,yes\n\
2020-03-11T14:00:00Z,,,,,,,,,,,G1,1.983 mm,glazed at two tabs,,yes\n\
2020-03-11T14:00:00Z,,,,,,,,,,,C1,1.997 mm,,=2+2 it says,yes\n\
2021-03-12,Ben,,,1400 km,yes,mic-2,wrench-60,85 N·m,95.25 N·m,case,,,,,yes\n\
2021-03-12,,,,,,,,,,,G1,1.990 mm,,,yes\n\
2021-03-12,,,,,,,,,,,C1,1.995 mm,,,yes\n";

#[test]
fn papers_go_out_and_come_in_again_unchanged_in_three_dialects() {
    let take_in = |place: &Place, name: &str, more: &[&str]| {
        let words = [&["import", name, "--unit", "moor-rear.toml"], more].concat();
        let ran = place.run(&words);
        assert_eq!(ran.code, 0, "{name}: {}{}", ran.out, ran.err);
        ran.out
    };
    let give = |place: &Place, format: &str| {
        let ran = place.run(&["export", "papers", "--unit-id", "moor-rear", "--format", format]);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""), "{format}");
        ran.out
    };
    let first = shop();
    first.write("old.csv", PAPERS);
    take_in(&first, "old.csv", &[]);
    // cell by cell what was typed; only the rows that say one thing of a plate stand together
    let sorted = |text: &str| {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let mut rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        rows.sort_by_key(|row| row.iter().map(str::to_string).collect::<Vec<_>>());
        rows
    };
    let out = give(&first, "csv");
    // an apostrophe stands before what begins as a formula does
    let guarded = PAPERS
        .replace(",-0.02 over", ",'-0.02 over")
        .replace(",=2+2", ",'=2+2");
    assert_eq!(sorted(&out), sorted(&guarded));
    for format in ["csv", "jsonl", "spreadsheet"] {
        let text = give(&first, format);
        match format {
            "jsonl" => assert!(text.lines().all(|line| line.starts_with('{'))),
            "spreadsheet" => assert!(
                text.starts_with("\u{feff}day;by;")
                    && text.contains(";1,9950 mm;")
                    && text.contains(";94,0 N·m;"),
                "{text}"
            ),
            _ => {}
        }
        let name = format!("papers.{format}");
        first.write(&name, &text);
        let told = take_in(&first, &name, &["--check"]);
        assert!(told.contains("3 were there already"), "{format}: {told}");
        let other = shop();
        other.write(&name, &text);
        take_in(&other, &name, &[]);
        for again in ["csv", "jsonl", "spreadsheet"] {
            assert_eq!(give(&other, again), give(&first, again), "{format}, {again}");
        }
        for table in ["plates", "instruments"] {
            let rows = |place: &Place| place.run(&["export", table]).out;
            assert_eq!(rows(&other), rows(&first), "{format}: {table}");
        }
    }
    first.run(&["export", "papers"]).fails(2, &["--unit-id"]);
    first.write(
        "bad.jsonl",
        "{\"day\":\"2019-03-10\",\"by\":\"Ann\"}\n{\"day\":[1],\"by\":\"Ann\"}\n",
    );
    first
        .run(&["import", "bad.jsonl", "--unit", "moor-rear.toml"])
        .fails(3, &["line 2, day", "a text or a number is wanted"]);
    // what is corrected since comes out as it was corrected
    let ran = first.run(&[
        "correct",
        "moor-rear-0001",
        "plate-thickness/G1",
        "1.9940",
        "--by",
        "Ann",
        "--reason",
        "misread",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(give(&first, "csv").contains(",G1,1.9940 mm,"));
}

/// What other programs make of the tables; it ends with 3 where the library is not there.
const JOINED: &str = r#"
import json, sys
which = sys.argv[1]
try:
    __import__(which)
except ImportError:
    sys.exit(3)
if which == "pandas":
    import pandas
    builds = pandas.DataFrame(json.load(open("builds.json"))["builds"])
    fleet = pandas.DataFrame(json.load(open("fleet.json"))["units"])
    table = pandas.read_csv("builds.csv")
    plates = pandas.read_json("plates.jsonl", lines=True)
    counts = [builds.merge(fleet, on="unit"), table.merge(fleet, on="unit"), builds.merge(table, on=["unit", "build"]),
              plates.merge(fleet, on="unit").merge(table, on=["unit", "build"])]
    print(*[len(joined) for joined in counts])
else:
    import duckdb
    builds = "(SELECT unnest(builds, max_depth := 2) FROM read_json('builds.json'))"
    fleet = "(SELECT unnest(units, max_depth := 2) FROM read_json('fleet.json'))"
    table, plates = "read_csv('builds.csv')", "read_json('plates.jsonl')"
    asked = [f"{builds} JOIN {fleet} USING (unit)", f"{table} JOIN {fleet} USING (unit)",
             f"{builds} JOIN {table} USING (unit, build)",
             f"{plates} JOIN {fleet} USING (unit) JOIN {table} USING (unit, build)"]
    print(*[duckdb.sql(f"SELECT count(*) FROM {one}").fetchall()[0][0] for one in asked])
"#;

#[test]
fn two_programs_for_tables_join_what_is_said_on_the_unit() {
    let place = book();
    place
        .demo("fell-front", &["--new", "--as-listed", "--json"])
        .json();
    let rows = |table: &str| rows(&place, table).len();
    let (builds, plates) = (rows("builds"), rows("plates"));
    for (name, words) in [
        ("builds.json", &["builds", "--json"][..]),
        ("fleet.json", &["fleet", "--json"]),
        ("builds.csv", &["export", "builds"]),
        ("plates.jsonl", &["export", "plates", "--format", "jsonl"]),
    ] {
        place.write(name, place.run(words).out);
    }
    for which in ["pandas", "duckdb"] {
        let ran = Command::new("python3")
            .args(["-c", JOINED, which])
            .current_dir(place.path("."))
            .output();
        let ran = match ran {
            Ok(ran) if ran.status.code() != Some(3) => ran,
            _ => {
                skipped(&format!(
                    "python3 with {which} does not join the tables: it is not there"
                ));
                continue;
            }
        };
        let err = String::from_utf8_lossy(&ran.stderr);
        assert!(ran.status.success(), "{which}: {err}");
        let said = String::from_utf8(ran.stdout).unwrap();
        assert_eq!(
            said.trim(),
            format!("{builds} {builds} {builds} {plates}"),
            "{which}: {err}"
        );
    }
}
