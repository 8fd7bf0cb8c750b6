//! `shimwright fleet` on generated books.

use crate::books::{PLATES, Recipe};
use crate::made::{build, km, plate};
use crate::opened;
use crate::program::{Shop, run};
use serde_json::Value;
use shimwright::history::{Account, Along, Fleet, FleetUnit, Forecast, PackAccount, PlateAccount, Wearing};
use shimwright::quantity::{Duration, Units};
use std::fs;
use std::path::Path;

const SMALL: Recipe = Recipe {
    seed: 11,
    units: 6,
    builds_a_unit: 3,
    unfinished_every: 3,
    damaged_every: 0,
};

fn units(json: &Value) -> Vec<&str> {
    let units = json["units"].as_array().unwrap();
    units.iter().map(|unit| unit["unit"].as_str().unwrap()).collect()
}

#[test]
fn every_unit_is_listed_once_and_what_needs_work_first() {
    let shop = Shop::new(&SMALL);
    let json = shop.run(&["fleet", "--json"]).json();
    let listed = units(&json);
    assert_eq!(listed.len(), 6);
    // the two that are not finished, then the rest by what is left
    let mut first = listed[..2].to_vec();
    first.sort_unstable();
    assert_eq!(first, ["unit-00003", "unit-00006"]);
    let left: Vec<f64> = json["units"].as_array().unwrap()[2..]
        .iter()
        .map(|unit| unit["due"][0]["left_share"].as_f64().unwrap())
        .collect();
    assert!(left.is_sorted(), "{left:?}");
    for unit in json["units"].as_array().unwrap() {
        let open = first.contains(&unit["unit"].as_str().unwrap());
        assert_eq!(unit["state"], if open { "unfinished" } else { "finished" });
        assert_eq!(unit["needs_work"], open);
        assert_eq!(unit["builds"], 3);
        // a finished last build knows of no distance after it; an open one says how far it came
        assert_eq!(unit["since_km"].is_number(), open);
    }
}

#[test]
fn the_plate_with_least_left_is_the_one_that_the_readings_say() {
    let shop = Shop::new(&Recipe {
        unfinished_every: 0,
        ..SMALL
    });
    let json = shop.run(&["fleet", "--json"]).json();
    for unit in json["units"].as_array().unwrap() {
        let build = unit["last_build"].as_str().unwrap();
        let account = opened(shop.book(), build).account(build, "");
        let least = PLATES.map(|name| account.plate(name).unwrap().least.unwrap().um());
        let told = unit["due"].as_array().unwrap();
        let plate = told.iter().find(|due| due["what"] == "plate").unwrap();
        let wanted = least.into_iter().fold(f64::INFINITY, f64::min);
        assert_eq!(plate["least_um"], serde_json::json!(wanted));
        // limit 1.85 mm, nominal 2.00 mm
        assert!((plate["left_share"].as_f64().unwrap() - (wanted - 1850.0) / 150.0).abs() < 1e-12);
        let breakaway = told.iter().find(|due| due["what"] == "breakaway").unwrap();
        let read = account.breakaway.left.unwrap().newton_metres();
        assert_eq!(breakaway["breakaway_nm"], serde_json::json!(read));
        assert!(
            (breakaway["left_share"].as_f64().unwrap() - (read - 25.0).min(48.0 - read) / 11.5).abs() < 1e-12
        );
    }
}

#[test]
fn filters_leave_only_what_was_asked_for() {
    let shop = Shop::new(&SMALL);
    let listed = |arguments: &[&str]| {
        let json = shop.run(&[&["fleet", "--json"], arguments].concat()).json();
        units(&json).into_iter().map(str::to_string).collect::<Vec<_>>()
    };
    assert_eq!(listed(&["--unit", "unit-00004"]), ["unit-00004"]);
    assert_eq!(listed(&["--unit", "unit-00004", "--unit", "unit-00001"]).len(), 2);
    assert_eq!(listed(&["--car", "CAR 2 "]), ["unit-00002"]);
    assert_eq!(listed(&["--state", "unfinished"]).len(), 2);
    assert_eq!(listed(&["--due"]).len(), 2);
    assert!(listed(&["--state", "damaged"]).is_empty());
    let none = shop.run(&["fleet", "--unit", "unit-9"]);
    assert_eq!(
        (
            none.code,
            none.out.starts_with("No unit of the book is like that")
        ),
        (0, true)
    );
    // a shell completes one word; the words that it used to be are taken still, and no shell is told of them
    for state in ["never-finished", "never finished"] {
        let told = shop.run(&["fleet", "--json", "--state", state]);
        assert_eq!(told.code, 0, "{}", told.err);
        assert!(units(&told.json()).is_empty());
    }
    let asked = crate::started::program()
        .args(["--", "shimwright", "fleet", "--state", "n"])
        .env("SHIMWRIGHT_COMPLETE", "fish")
        .output()
        .unwrap();
    let told = String::from_utf8(asked.stdout).unwrap();
    assert!(
        told.contains("never-finished") && !told.contains("never finished"),
        "{told}"
    );
    let help = shop.run(&["fleet", "--help"]).out;
    let help = help.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        help.contains("damaged, newer, never-finished, unfinished, finished"),
        "{help}"
    );
    assert_eq!(shop.run(&["fleet", "--state", "broken"]).code, 2);
    assert_eq!(shop.run(&["fleet", "--date", "tomorrow"]).code, 2);
}

#[test]
fn damaged_builds_are_told_and_the_rest_is_listed() {
    let shop = Shop::new(&Recipe {
        damaged_every: 3,
        unfinished_every: 0,
        ..SMALL
    });
    // every last build is damaged; one folder lacks its unit's file, and one holds a journal of nothing
    fs::remove_file(shop.book().join("unit-00001-0001/unit.toml")).unwrap();
    fs::write(shop.book().join("unit-00002-0001/journal.jsonl"), "").unwrap();
    let ran = shop.run(&["fleet", "--json"]);
    let json = ran.json();
    assert_eq!(units(&json).len(), 6);
    for unit in json["units"].as_array().unwrap() {
        assert_eq!(unit["state"], "damaged", "{unit}");
    }
    let shown = shop.run(&["fleet"]);
    assert_eq!(shown.code, 0);
    for build in &shop.truth.damaged {
        assert!(
            shown.err.contains(&format!("warning: {build}: ")),
            "{build}: {}",
            shown.err
        );
    }
    assert!(shown.err.contains("unit-00001-0001: "), "{}", shown.err);
}

#[test]
fn a_damaged_build_that_is_not_the_newest_comes_first_too() {
    let shop = Shop::new(&Recipe {
        unfinished_every: 0,
        ..SMALL
    });
    let before = shop.run(&["fleet", "--json"]).json();
    let last = units(&before)[5].to_string();
    let journal = |build: usize| shop.book().join(format!("{last}-{build:04}/journal.jsonl"));
    let spoil = |build: usize| {
        let mut bytes = fs::read(journal(build)).unwrap();
        let middle = bytes.len() / 2;
        bytes[middle] ^= 1;
        fs::write(journal(build), bytes).unwrap();
    };
    spoil(2);
    for asked in [&["--due"][..], &["--state", "damaged"], &["--state", "finished"]] {
        let json = shop.run(&[&["fleet", "--json"], asked].concat()).json();
        // what the newest build says of the unit stays so
        let first = &json["units"][0];
        assert_eq!(
            (&first["unit"], &first["state"], &first["needs_work"]),
            (&last.as_str().into(), &"finished".into(), &true.into()),
            "{asked:?}"
        );
        assert_eq!(first["damaged"][0]["build"], format!("{last}-0002"));
    }
    assert!(units(&shop.run(&["fleet", "--json", "--state", "unfinished"]).json()).is_empty());
    // the words of the state stand in a narrow column, one under the other
    let told = |words: [&str; 2]| {
        let shown = shop.run(&["fleet", "--due"]).out;
        assert!(words.iter().all(|word| shown.contains(word)), "{shown}");
    };
    told(["finished,", " 0002 "]);
    spoil(1);
    told(["finished,", " builds "]);
    let json = shop.run(&["fleet", "--json", "--due"]).json();
    assert_eq!(json["units"].as_array().unwrap().len(), 1);
}

/// Each command that reads the whole book names a build that can not be read, and says why.
fn are_told(shop: &Shop, unit: &str, build: &str, why: &str) {
    for command in [
        &["fleet"][..],
        &["fleet", "--json"],
        &["export", "builds"],
        &["wear", unit, "--json"],
    ] {
        let ran = shop.run(command);
        assert_eq!(ran.code, 0, "{command:?}: {}", ran.err);
        let told = ran
            .err
            .lines()
            .filter(|line| line.contains(build) && line.contains(why));
        assert_eq!(told.count(), 1, "{command:?}: {}", ran.err);
    }
    let json = shop.run(&["fleet", "--json", "--state", "damaged"]).json();
    assert_eq!(units(&json), [unit]);
    let damaged = &json["units"][0]["damaged"][0];
    assert_eq!(damaged["build"], build);
    assert!(damaged["why"].as_str().unwrap().contains(why), "{damaged}");
    let listed = shop.run(&["builds", "--json"]).json();
    let mut builds = listed["builds"].as_array().unwrap().iter();
    let state = &builds.find(|one| one["build"] == build).unwrap()["state"];
    assert!(state.as_str().unwrap().starts_with("not readable: "), "{state}");
}

#[test]
fn a_folder_without_a_journal_is_not_passed_over_without_a_word() {
    let shop = Shop::new(&SMALL);
    fs::remove_file(shop.book().join("unit-00002-0002/journal.jsonl")).unwrap();
    fs::create_dir(shop.book().join("letters")).unwrap();
    are_told(
        &shop,
        "unit-00002",
        "unit-00002-0002",
        "unit-00002-0002/journal.jsonl is not there",
    );
    // what has no name of a build is left out of what is said of all units, not of one
    for (command, count) in [
        (&["fleet"][..], 1),
        (&["export", "plates"], 1),
        (&["builds"], 1),
        (&["fleet", "--unit", "unit-00001"], 0),
        (&["wear", "unit-00001"], 0),
    ] {
        let err = shop.run(command).err;
        let told = err.matches("letters is no build and is left alone").count();
        assert_eq!(told, count, "{command:?}: {err}");
    }
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_read_is_named_with_the_reason() {
    use std::os::unix::fs::PermissionsExt;
    let shop = Shop::new(&SMALL);
    let folder = shop.book().join("unit-00002-0002");
    fs::set_permissions(&folder, fs::Permissions::from_mode(0o000)).unwrap();
    if fs::read_dir(&folder).is_ok() {
        println!("not looked at: this user may read every folder");
    } else {
        are_told(&shop, "unit-00002", "unit-00002-0002", "Permission denied");
        // a plate of another unit may have been in it
        let err = shop.run(&["wear", "unit-00001", "--json"]).err;
        assert!(
            err.contains("unit-00002-0002 is damaged and is left out"),
            "{err}"
        );
    }
    fs::set_permissions(&folder, fs::Permissions::from_mode(0o755)).unwrap();
}

#[test]
fn a_build_that_was_copied_counts_once() {
    let shop = Shop::new(&Recipe {
        unfinished_every: 0,
        ..SMALL
    });
    let wear = || {
        let json = shop.run(&["wear", "unit-00002", "--json"]).json();
        (
            json["builds"].clone(),
            json["plates"].clone(),
            json["packs"].clone(),
        )
    };
    let unit = || shop.run(&["fleet", "--json", "--unit", "unit-00002"]).json()["units"][0].clone();
    let (worn, before) = (wear(), unit());
    assert_eq!(before["damaged"].as_array().unwrap().len(), 0);
    let copy = shop.book().join("unit-00002-0004");
    fs::create_dir(&copy).unwrap();
    for file in fs::read_dir(shop.book().join("unit-00002-0003")).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), copy.join(file.file_name())).unwrap();
    }
    let is_named = || {
        assert_eq!(wear(), worn);
        let after = unit();
        assert_eq!(
            [&after["due"], &after["forecast"], &after["last_build"]],
            [&before["due"], &before["forecast"], &before["last_build"]]
        );
        let damaged = after["damaged"].as_array().unwrap();
        assert_eq!(
            (damaged.len(), &damaged[0]["build"]),
            (1, &"unit-00002-0004".into())
        );
        let why = damaged[0]["why"].as_str().unwrap();
        assert!(why.contains("the same journal as unit-00002-0003"), "{why}");
        let listed = shop.run(&["builds", "--json"]).json();
        let mut builds = listed["builds"].as_array().unwrap().iter();
        let one = builds.find(|one| one["build"] == "unit-00002-0004").unwrap();
        assert_eq!(one["state"], "damaged");
    };
    is_named();
    // and so it is where both come from the index
    let index = shop.book().join(".index/unit-00002.jsonl");
    while !fs::read_to_string(&index).is_ok_and(|kept| kept.contains("unit-00002-0004")) {
        unit();
    }
    is_named();
    fs::remove_dir_all(&copy).unwrap();
    assert_eq!(unit(), before);
}

#[test]
fn two_unfinished_builds_that_say_the_same_are_no_copies() {
    let shop = Shop::new(&Recipe { units: 1, ..SMALL });
    let journal = |build: usize| shop.book().join(format!("unit-00001-{build:04}/journal.jsonl"));
    let text = fs::read_to_string(journal(3)).unwrap();
    let half: String = text.split_inclusive('\n').take(9).collect();
    let unit = fs::read(shop.book().join("unit-00001-0003/unit.toml")).unwrap();
    for build in [2, 3] {
        fs::write(journal(build), &half).unwrap();
        fs::write(
            shop.book().join(format!("unit-00001-{build:04}/unit.toml")),
            &unit,
        )
        .unwrap();
    }
    let json = shop.run(&["fleet", "--json"]).json();
    assert_eq!(json["units"][0]["damaged"].as_array().unwrap().len(), 0, "{json}");
}

#[test]
fn instruments_are_held_against_the_day() {
    let shop = Shop::new(&Recipe { units: 1, ..SMALL });
    let overdue = |day: &str| {
        let json = shop.run(&["fleet", "--json", "--date", day]).json();
        let overdue = json["overdue_instruments"].as_array().unwrap().clone();
        overdue
            .iter()
            .map(|one| one["instrument"].as_str().unwrap().to_string())
            .collect::<Vec<_>>()
    };
    // the last day of a calibration is still inside it
    assert!(overdue("2026-12-31").is_empty());
    assert_eq!(overdue("2027-01-01"), ["wrench-60"]);
    assert_eq!(overdue("2027-04-01"), ["wrench-60", "depth-1", "mic-2"]);
    let shown = shop.run(&["fleet", "--date", "2027-01-01"]).out;
    assert!(shown.contains("Instruments that are out of date:"), "{shown}");
}

#[test]
fn an_empty_book_says_what_to_do_and_nothing_is_made() {
    let dir = tempfile::tempdir().unwrap();
    let book = dir.path().join("none");
    // one that was named and is not there is told as that, and not made
    assert_eq!(run(&book, &["fleet"]).code, 5);
    assert!(!book.exists());
    fs::create_dir(&book).unwrap();
    let ran = run(&book, &["fleet"]);
    assert_eq!(ran.code, 0);
    assert!(
        ran.out.contains("shimwright work full-rebuild UNIT.toml"),
        "{}",
        ran.out
    );
    assert_eq!(fs::read_dir(&book).unwrap().count(), 0);
}

#[test]
fn nothing_is_wider_than_a_terminal() {
    let shop = Shop::new(&SMALL);
    let shown = shop.run(&["fleet", "--date", "2030-01-01"]).out;
    for line in shown.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

/// All files of a book that are not of the index, with their bytes.
fn files(book: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    for folder in fs::read_dir(book).unwrap().map(Result::unwrap) {
        if folder.file_name().to_string_lossy().starts_with('.') {
            continue;
        }
        for file in fs::read_dir(folder.path()).unwrap().map(Result::unwrap) {
            found.push((file.path().display().to_string(), fs::read(file.path()).unwrap()));
        }
    }
    found.sort();
    found
}

#[test]
fn the_index_changes_no_answer_and_no_record() {
    let shop = Shop::new(&SMALL);
    let before = files(shop.book());
    let first = shop.run(&["fleet", "--json"]);
    let index = shop.book().join(".index");
    // what was written less than two seconds ago is not kept yet
    while !index.join("unit-00006.jsonl").exists() {
        assert_eq!(shop.run(&["fleet", "--json"]).out, first.out);
    }
    assert_eq!(shop.run(&["fleet", "--json"]).out, first.out);
    assert_eq!(shop.run(&["fleet", "--json", "--afresh"]).out, first.out);
    assert!(files(shop.book()) == before);
    // what is kept of a build is taken only for the build as it was
    let journal = shop.book().join("unit-00001-0003/journal.jsonl");
    let text = fs::read_to_string(&journal).unwrap();
    fs::write(
        &journal,
        text.replacen("\"length_nanometres\":2", "\"length_nanometres\":1", 1),
    )
    .unwrap();
    let json = shop.run(&["fleet", "--json", "--unit", "unit-00001"]).json();
    assert_eq!(json["units"][0]["state"], "damaged");
    fs::write(&journal, text).unwrap();
    assert_eq!(shop.run(&["fleet", "--json"]).out, first.out);
    // any file of it may be lost, or be anything
    fs::remove_file(index.join("unit-00001.jsonl")).unwrap();
    fs::write(index.join("unit-00002.jsonl"), [0xff, 0, b'\n', b'{']).unwrap();
    fs::create_dir(index.join("unit-00001.jsonl")).unwrap();
    assert_eq!(shop.run(&["fleet", "--json"]).out, first.out);
}

#[cfg(unix)]
#[test]
fn a_book_that_can_not_be_written_to_is_read() {
    use std::os::unix::fs::PermissionsExt;
    let shop = Shop::new(&SMALL);
    let first = shop.run(&["fleet", "--json"]).out;
    let _ = fs::remove_dir_all(shop.book().join(".index"));
    fs::set_permissions(shop.book(), fs::Permissions::from_mode(0o555)).unwrap();
    let again = shop.run(&["fleet", "--json"]);
    fs::set_permissions(shop.book(), fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!((again.code, again.out, again.err.as_str()), (0, first, ""));
}

#[test]
fn the_way_since_the_last_build_is_told_in_what_the_unit_counts_in() {
    let at = |text: &str| Some(format!("{text}T10:00:00Z"));
    let built = Account {
        build: "a-0001".to_string(),
        unit: "a".to_string(),
        finished: at("2026-03-01"),
        packs: vec![PackAccount {
            plates_left: Some(vec!["G1".to_string()]),
            ..PackAccount::default()
        }],
        ..Account::default()
    };
    let looked_at = Account {
        build: "a-0002".to_string(),
        unit: "a".to_string(),
        finished: at("2026-06-01"),
        ..Account::default()
    };
    let after = |running: Option<f64>, distance: Option<f64>| {
        let later = Account {
            running: running.and_then(|hours| Duration::from_hours(hours).ok()),
            distance: distance.and_then(km),
            ..looked_at.clone()
        };
        FleetUnit::of("a", &[built.clone(), later])
    };
    assert_eq!(after(Some(14.0), None).since, Some((14.0, Along::Hours)));
    assert_eq!(after(None, Some(840.0)).since, Some((840.0, Along::Kilometres)));
    assert_eq!(after(None, None).since, None);
    let json = |unit| {
        let text = Fleet::of(vec![unit], &[], "2026-12-01")
            .report(Units::Metric)
            .to_json()
            .unwrap();
        serde_json::from_str::<Value>(&text).unwrap()["units"][0].clone()
    };
    let told = json(after(Some(14.0), None));
    assert_eq!(
        (told["since_h"].as_f64(), told["since_km"].as_f64()),
        (Some(14.0), None)
    );
    let told = json(after(None, Some(840.0)));
    assert_eq!(
        (told["since_h"].as_f64(), told["since_km"].as_f64()),
        (None, Some(840.0))
    );
}

/// Four builds of a unit that runs 10 h from one to the next, with a plate that loses 2 µm in an hour.
fn run_by_hours() -> Vec<Account> {
    let build = |n: usize, thickness: f64| Account {
        begun: format!("{}-03-01T10:00:00Z", 2020 + n),
        finished: Some(format!("{}-03-02T10:00:00Z", 2020 + n)),
        running: (n > 1).then(|| Duration::from_hours(10.0).unwrap()),
        ..build("a", n, None, vec![plate("a", "G1", thickness)])
    };
    [2.0, 1.9801, 1.9602, 1.94]
        .into_iter()
        .enumerate()
        .map(|(n, thickness)| build(n + 1, thickness))
        .collect()
}

#[test]
fn what_may_be_due_counts_from_the_newest_record_be_it_finished_or_not() {
    let forecast = |later: &[Account]| {
        let accounts = [run_by_hours(), later.to_vec()].concat();
        FleetUnit::of("a", &accounts).forecast.unwrap()
    };
    // the unit's file still lists the plate, and nobody measured it
    let unmeasured = PlateAccount {
        mean: None,
        least: None,
        ..run_by_hours()[0].plates[0].clone()
    };
    let after = |n: usize, hours: f64, finished: bool| Account {
        build: format!("a-{n:04}"),
        unit: "a".to_string(),
        begun: format!("{}-03-01T10:00:00Z", 2020 + n),
        finished: finished.then(|| format!("{}-03-02T10:00:00Z", 2020 + n)),
        running: Duration::from_hours(hours).ok(),
        plates: vec![unmeasured.clone()],
        ..Account::default()
    };
    let left = forecast(&[]);
    assert_eq!((left.what.short().as_str(), left.along), ("G1", Along::Hours));
    assert!((15.0..20.0).contains(&left.earliest), "{left:?}");
    let is_less_by = |later: &[Account], gone: f64| {
        let less = left.earliest - forecast(later).earliest;
        assert!((less - gone).abs() < 1e-9, "{less}, not {gone}");
    };
    is_less_by(&[after(5, 14.0, false)], 14.0);
    // hours count from the build, not from the look that was taken since
    is_less_by(&[after(5, 5.0, true), after(6, 14.0, false)], 14.0);
    is_less_by(&[after(5, 5.0, true)], 5.0);
    // what is damaged says nothing, and what says nothing takes nothing
    let damaged = Account {
        problems: vec!["line 3 is torn".to_string()],
        ..after(5, 14.0, false)
    };
    is_less_by(&[damaged], 0.0);
    let mute = Account {
        running: None,
        ..after(5, 0.0, false)
    };
    is_less_by(&[mute], 0.0);
    let past = forecast(&[after(5, 24.0, false)]);
    assert_eq!((past.earliest, &*past.words(Units::Metric)), (0.0, "G1: now"));
}

#[test]
fn what_may_be_due_is_told_to_two_digits_and_never_as_later_than_it_is() {
    let words = |earliest: f64, along: Along, units: Units| {
        Forecast {
            what: Wearing::Plate("G2".to_string()),
            earliest,
            along,
            or_sooner: false,
        }
        .words(units)
    };
    for (earliest, along, wanted) in [
        (5835.0, Along::Kilometres, "G2: from 5800 km on"),
        (5899.0, Along::Kilometres, "G2: from 5800 km on"),
        (7.9, Along::Kilometres, "G2: from 7 km on"),
        (0.9, Along::Kilometres, "G2: now"),
        (1.755, Along::Hours, "G2: from 1.7 h on"),
        (19.9, Along::Hours, "G2: from 19 h on"),
        (0.09, Along::Hours, "G2: now"),
    ] {
        assert_eq!(words(earliest, along, Units::Metric), wanted);
    }
    // 5900 km are 3666 miles
    assert_eq!(
        words(5900.0, Along::Kilometres, Units::Inch),
        "G2: from 3600 mi on"
    );
}
