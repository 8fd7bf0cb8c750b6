//! How a unit is held for its proof: what the ramps do to the reading, what is refused, and records of before.

use crate::bench::{AT, Place};
use crate::engine::{answer, asked, before, entries, job};
use shimwright::mechanics::Held;
use shimwright::procedure::{Job, Reply, Session};
use shimwright::quantity::{Datum, RampAngle};
use std::fs;
use std::path::Path;

/// moor-rear with a drive ramp of its own, right before a question.
fn with_ramp(degrees: f64, slot: &str) -> Session {
    let mut job = job("moor-rear");
    job.unit.ramp.drive = RampAngle::new(degrees, Datum::RingFace).unwrap();
    before_in(job, slot)
}

fn before_in(job: Job, slot: &str) -> Session {
    let entries = entries("moor-rear");
    let at = entries
        .iter()
        .position(|entry| matches!(entry, shimwright::record::Entry::Answered { slot: known, .. } if known.to_string() == slot))
        .unwrap();
    Session::resume(job, &entries[..at])
}

fn refused(session: &mut Session, text: &str) -> (String, bool) {
    let refusal = session.answer(&Reply::Answer(text.into()), AT).unwrap_err();
    (refusal.words, refusal.sure)
}

/// A record of an earlier edition of the mechanics, as it was written then: demo units, invented.
fn of_model(edition: u32, build: &str) -> Place {
    let place = Place::new();
    let from = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join(format!("tests/data/model-{edition}"))
        .join(build);
    let to = place.book().join(build);
    fs::create_dir_all(&to).unwrap();
    for file in fs::read_dir(from).unwrap() {
        let file = file.unwrap();
        fs::copy(file.path(), to.join(file.file_name())).unwrap();
    }
    place
}

#[test]
fn the_case_is_not_held_where_the_packs_would_wedge() {
    // 45 degrees: n μ r k/r_pin = 10 · 0.12 · 0.04 · 0.887/0.031 = 1.37 at first movement
    let mut session = with_ramp(45.0, "held");
    assert!(
        asked(&session)
            .limits
            .iter()
            .any(|line| line.contains("wedge (share 1.37 on the drive ramp): hold one output")),
        "{:?}",
        asked(&session).limits
    );
    let (words, sure) = refused(&mut session, "case");
    assert!(
        !sure && words.contains("these packs wedge") && words.contains("type output"),
        "{words}"
    );
    assert!(words.contains("turned backwards the drive ramp"), "{words}");
    answer(&mut session, "output").unwrap();
    // 55 degrees: 0.94, near
    let mut session = with_ramp(55.0, "held");
    assert!(
        asked(&session)
            .limits
            .iter()
            .any(|line| line.contains("near to wedging (share 0.9"))
    );
    answer(&mut session, "case").unwrap();
    // 60 degrees: 0.77
    assert!(
        !asked(&before("moor-rear", "held"))
            .limits
            .iter()
            .any(|line| line.contains("wedg"))
    );
}

#[test]
fn it_is_always_said_where_to_stop_pulling_with_the_case_held() {
    let ask = asked(&before("moor-rear", "breakaway/drive-still/1"));
    let stop = ask
        .limits
        .iter()
        .find(|line| line.starts_with("stop pulling at"))
        .unwrap();
    let expected = ask
        .limits
        .iter()
        .find(|line| line.starts_with("expected about"))
        .unwrap();
    let number = |line: &str| {
        line.split_whitespace()
            .find_map(|word| word.parse::<f64>().ok())
            .unwrap()
    };
    assert!(
        (number(stop) / number(expected) - 1.5).abs() < 0.01,
        "{stop}, {expected}"
    );
    // a wrench that reads less stops there
    let mut job = job("moor-rear");
    for instrument in &mut job.instruments {
        if let shimwright::workshop::Measures::Torque { reads, .. } = &mut instrument.measures {
            reads[1] = Some(shimwright::quantity::Torque::from_newton_metres(120.0).unwrap());
        }
    }
    let entries = entries("moor-rear");
    let at = entries
        .iter()
        .position(|entry| matches!(entry, shimwright::record::Entry::Answered { slot, .. } if slot.to_string() == "breakaway/drive-still/1"))
        .unwrap();
    let mut session = Session::resume(job, &entries[..at]);
    assert!(
        asked(&session)
            .limits
            .contains(&"stop pulling at 120.0 N·m: then it is wedged".to_string())
    );
    let (words, sure) = refused(&mut session, "130");
    assert!(
        sure && words.contains("more than the 120.0 N·m that wrench-60 can read"),
        "{words}"
    );
    // the prompt says which ramp works, and which way that is
    let prompt = asked(&session).prompt;
    assert!(
        prompt.starts_with(
            "Drive ramp: output turned backwards (the right one anticlockwise, the left one clockwise, seen from the wrench), first"
        ),
        "{prompt}"
    );
}

#[test]
fn a_proof_reading_is_held_against_what_is_expected_and_against_its_neighbours() {
    // moor-rear, case held: 92 turning and 110 at first movement are expected
    for (slot, typed, told) in [
        ("breakaway/drive-still/1", "600", "is far from the"),
        ("breakaway/drive-still/1", "1100", "is far from the"),
        // half of first movement is 55: as if one output had been held
        ("breakaway/drive-still/1", "55", "as if one output had been held"),
        (
            "breakaway/drive-turning/2",
            "785",
            "is far from the other readings in this way",
        ),
        (
            "breakaway/drive-turning/2",
            "46",
            "is far from the other readings in this way",
        ),
        (
            "breakaway/coast-still/3",
            "20",
            "is far from the other readings in this way",
        ),
        ("breakaway/drive-turning/1", "160", "more than the"),
    ] {
        let mut session = before("moor-rear", slot);
        let (words, sure) = refused(&mut session, typed);
        assert!(sure && words.contains(told), "{slot} {typed}: {words}");
        // insisted on it is taken
        answer(&mut session, "sure").unwrap();
    }
    for (slot, typed) in [
        ("breakaway/drive-still/1", "112"),
        ("breakaway/drive-turning/2", "90"),
    ] {
        answer(&mut before("moor-rear", slot), typed).unwrap();
    }
    // one output held
    let mut session = before("shoal-rear", "breakaway/drive-still/1");
    let (words, sure) = refused(&mut session, "120");
    assert!(sure && words.contains("is far from the"), "{words}");
}

#[test]
fn an_old_sheet_is_held_to_what_was_typed_and_told_what_is_reckoned_otherwise() {
    let place = of_model(1, "shoal-rear-0001");
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/model-1");
    let paper = fs::read_to_string(data.join("shoal-rear-0001.paper")).unwrap();
    let ran = place.run(&["check", "--paper", paper.trim()]);
    assert_eq!(ran.code, 0, "{} {}", ran.out, ran.err);
    let said = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("reckoned otherwise since"), "{said}");
    assert!(
        said.contains("TURN 59.9NM on the paper") && said.contains("by today's mechanics"),
        "{said}"
    );
    // what was typed still binds
    let forged = paper.replace("HELD:OUTPUT", "HELD:CASE");
    let ran = place.run(&["check", "--paper", forged.trim()]);
    assert_eq!(ran.code, 11, "{} {}", ran.out, ran.err);
    let forged = paper.replace("DRIVE:45.0RING", "DRIVE:60.0RING");
    assert_eq!(place.run(&["check", "--paper", forged.trim()]).code, 11);
    // printed again it says by what it is reckoned
    let pdf = place.path("again.pdf");
    let again = place.run(&["sheet", "shoal-rear-0001", "--out", pdf.to_str().unwrap()]);
    assert!(
        again
            .out
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .contains("finished with an earlier edition"),
        "{} {}",
        again.out,
        again.err
    );
}

#[test]
fn a_window_for_the_case_held_where_the_packs_wedge_is_told_before_anything_is_done() {
    let mut job = job("moor-rear");
    let window = |job: &Job| Session::resume(job.clone(), &[]).window_that_wedges();
    assert_eq!(window(&job), None);
    job.unit.ramp.drive = RampAngle::new(45.0, Datum::RingFace).unwrap();
    let words = window(&job).unwrap();
    assert!(
        words.contains("share 1.37 on the drive ramp") && words.contains("one output held"),
        "{words}"
    );
    // as received, too, it is said before it is read so
    let limits = |slot: &str| asked(&with_ramp(45.0, slot)).limits.join("; ");
    assert!(
        limits("found-held").contains("wedge (share 1.37"),
        "{}",
        limits("found-held")
    );
    // read with one output held there is no window, and nothing is said to wedge so
    job.unit.ramp.coast = job.unit.ramp.drive;
    let mut session = before_in(job.clone(), "held");
    answer(&mut session, "output").unwrap();
    while !asked(&session).slot.to_string().starts_with("breakaway/") {
        let reply = match asked(&session).slot.step.as_str() {
            "drag" => "0",
            "oil-temperature" => "19",
            _ => "yes",
        };
        answer(&mut session, reply).unwrap();
    }
    let limits = asked(&session).limits.join("; ");
    assert!(limits.contains("output held, case free: no window"), "{limits}");
    assert!(!limits.contains("nothing can be read"), "{limits}");
    // a unit that is held so in its file has nothing of this
    job.unit.proof.held = Held::Output;
    assert_eq!(window(&job), None);
}

#[test]
fn an_old_record_with_the_case_held_where_it_wedges_replays_and_has_an_open_point() {
    let place = of_model(1, "moor-rear-0001");
    let listed = place.run(&["builds", "--json"]).json();
    assert_eq!(listed["builds"][0]["state"], "finished", "{listed}");
    let pdf = place.path("again.pdf");
    let record = place
        .run(&[
            "sheet",
            "moor-rear-0001",
            "--json",
            "--out",
            pdf.to_str().unwrap(),
        ])
        .json();
    let open = record["open_points"].to_string();
    assert!(
        open.contains("with the case held, where these packs wedge (share 1.37 on the drive ramp)"),
        "{open}"
    );
}

#[test]
fn a_record_of_before_springs_were_in_doubt_keeps_its_figures() {
    let place = of_model(2, "moor-rear-0001");
    let pdf = place.path("again.pdf");
    let so = [
        "sheet",
        "moor-rear-0001",
        "--json",
        "--out",
        pdf.to_str().unwrap(),
    ];
    let record = place.run(&so).json();
    // as version 0.1.0 with edition 2 printed them of this record
    let near = |key: &str, at: usize, want: f64| {
        let have = record[key][at].as_f64().unwrap();
        assert!((have / want - 1.0).abs() < 1e-12, "{key}: {have} {want}");
    };
    near("preload_interval_n", 0, 1115.6760148340068);
    near("preload_interval_n", 1, 1172.3747238914916);
    near("breakaway_interval_nm", 0, 73.54684133747212);
    near("breakaway_interval_nm", 1, 109.38888199928327);
    assert_eq!(record["preload_inside"], 1.0);
    assert!(record["preload_from"].is_null() && record["breakaway_from"].is_null());
    assert_eq!(record["assumed"].as_array().unwrap().len(), 0);
    let ran = place.run(&so[..2]);
    assert!(!ran.out.contains("earlier edition"), "{}", ran.out);
}

#[test]
fn a_record_of_before_room_and_free_height_shared_a_gauge_keeps_its_figures() {
    let place = of_model(3, "moor-rear-0001");
    let pdf = place.path("again.pdf");
    let so = [
        "sheet",
        "moor-rear-0001",
        "--json",
        "--out",
        pdf.to_str().unwrap(),
    ];
    let record = place.run(&so).json();
    // as the program with edition 3 printed them of this record
    let near = |have: &serde_json::Value, want: f64| {
        let have = have.as_f64().unwrap();
        assert!((have / want - 1.0).abs() < 1e-12, "{have} {want}");
    };
    near(&record["preload_interval_n"][0], 1056.4577089693641);
    near(&record["preload_interval_n"][1], 1320.3718476439171);
    near(&record["breakaway_interval_nm"][0], 74.35703337715165);
    near(&record["breakaway_interval_nm"][1], 118.42370563685553);
    near(&record["preload_uncertainty_n"], 19.22760012355676);
    near(&record["preload_from"]["propagated_n"][0], 1054.9970840805493);
    near(&record["preload_from"]["propagated_n"][1], 1318.9272306742648);
    near(&record["breakaway_from"]["propagated_nm"][0], 73.48590990123995);
    near(&record["breakaway_from"]["propagated_nm"][1], 118.03043419160466);
    assert_eq!(record["preload_from"]["parts"][1]["source"], "free height");
    near(&record["preload_from"]["parts"][1]["share"], 0.061424683945823164);
    assert!(!place.run(&so[..2]).out.contains("earlier edition"));
}
