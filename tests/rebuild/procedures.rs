//! The other stock procedures, each walked to its end from its answers file on every demo unit that it is for; the
//! figures are reckoned once more from the raw answers.

use crate::bench::{AT, Place, demo_file, mean, millimetres, raw_answers, unit_file};
use crate::engine::job;
use serde_json::Value;
use shimwright::history::PaperRecords;
use shimwright::metrology::Verdict;
use shimwright::procedure::{Condition, Job, Reply, STOCK, Session, read_stock};
use shimwright::record::{Build, Entry, UnitsName};
use shimwright::screen::lines;
use shimwright::sheet::{Paper, in_short, pages};
use std::collections::BTreeMap;
use std::fs;

/// Every answers file beside those of the full rebuild: unit and procedure.
pub const WALKED: [(&str, &str); 17] = [
    ("moor-rear", "inspect-plates"),
    ("fell-front", "inspect-plates"),
    ("shoal-rear", "inspect-plates"),
    ("moor-rear", "reshim"),
    ("fell-front", "reshim"),
    ("shoal-rear", "reshim"),
    ("moor-rear", "bench-check"),
    ("fell-front", "bench-check"),
    ("shoal-rear", "bench-check"),
    ("moor-rear", "on-car-check"),
    ("shoal-rear", "on-car-check"),
    ("moor-rear", "refit-and-run-in"),
    ("fell-front", "refit-and-run-in"),
    ("shoal-rear", "refit-and-run-in"),
    ("moor-rear", "paper-record"),
    ("fell-front", "paper-record"),
    ("shoal-rear", "paper-record"),
];

struct Walked {
    build: Build,
    raw: BTreeMap<String, String>,
}

pub fn answers(unit: &str, procedure: &str) -> String {
    fs::read_to_string(demo_file(&format!("{unit}-{procedure}.answers"))).unwrap()
}

pub fn started(unit: &str, procedure: &str) -> Session {
    let job = Job {
        procedure: read_stock(procedure).unwrap().unwrap(),
        ..job(unit)
    };
    let begun = Entry::Begun {
        at: AT.into(),
        program: "0".into(),
        unit: String::new(),
        procedure: "0123456789abcdef".repeat(4),
        drawer: String::new(),
        instruments: String::new(),
        units: UnitsName::Metric,
        practice: None,
        id: None,
        setting: None,
        found: None,
    };
    let (mut session, _) = Session::start(job, begun);
    // the answers files were written when proposals stood so
    session.put_fewest_first();
    session
}

/// Goes through an answers file; every answer must be the one that is asked for, and be taken.
fn walk(unit: &str, procedure: &str) -> Walked {
    let text = answers(unit, procedure);
    let mut session = started(unit, procedure);
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        let (slot, answer) = line.split_once(" = ").unwrap();
        let ask = session
            .ask()
            .unwrap_or_else(|| panic!("{unit} {procedure} is over at {line}"));
        assert_eq!(ask.slot.to_string(), slot, "{unit} {procedure}");
        assert!(
            !ask.prompt.trim().is_empty() && !ask.why.reason.is_empty(),
            "{slot}"
        );
        let reply = match answer.strip_prefix("!skip ") {
            Some(reason) => Reply::Skip(reason.into()),
            None => Reply::Answer(answer.into()),
        };
        let taken = session
            .answer(&reply, AT)
            .unwrap_or_else(|refusal| panic!("{unit} {procedure}, {line}: {}", refusal.words));
        session.apply(&taken.entries);
    }
    assert!(
        session.is_finished(),
        "{unit} {procedure}: {:?}",
        session.ask().map(|a| a.slot)
    );
    Walked {
        build: session.build("demo-0001", &"ab".repeat(32)),
        raw: raw_answers(&text),
    }
}

fn sheet(build: &Build) -> Vec<String> {
    pages(build, Paper::A4).iter().map(|page| page.text()).collect()
}

/// moor-rear's file has 75 to 115 N·m with the case held. With one wheel held the wrench shows half of that and half of the
/// driveline's drag, which is read with both wheels free.
#[test]
fn on_the_car_the_window_beside_the_wrench_is_that_of_one_wheel_held() {
    let text = answers("moor-rear", "on-car-check");
    let drag: f64 = raw_answers(&text)["driveline-drag"]
        .split(' ')
        .next()
        .unwrap()
        .parse()
        .unwrap();
    let mut session = started("moor-rear", "on-car-check");
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        let (slot, answer) = line.split_once(" = ").unwrap();
        if slot.starts_with("breakaway/") {
            break;
        }
        let taken = session.answer(&Reply::Answer(answer.into()), AT).unwrap();
        session.apply(&taken.entries);
    }
    let limits = session.ask().unwrap().limits;
    let wanted = [75.0, 115.0].map(|end: f64| format!("{:.1} N·m", end / 2.0 + drag / 2.0));
    assert!(
        limits[0].contains("the wrench should show") && wanted.iter().all(|end| limits[0].contains(end)),
        "{wanted:?}: {limits:?}"
    );
}

#[test]
fn every_stock_procedure_comes_to_its_end_on_every_unit_that_it_is_for() {
    for (unit, procedure) in WALKED {
        let walked = walk(unit, procedure);
        assert!(walked.build.finished.is_some(), "{unit} {procedure}");
        assert_eq!(walked.build.signatures[0].name, walked.raw["sign-built"]);
    }
    for id in STOCK.iter().map(|one| one.id) {
        assert!(
            // the demos walk the one, the apprentice's runs the other
            ["full-rebuild", "bench-rebuild"].contains(&id)
                || WALKED.iter().any(|(_, procedure)| *procedure == id),
            "{id} is walked nowhere"
        );
    }
}

#[test]
fn a_sheet_has_nothing_empty_and_says_what_was_followed() {
    for (unit, procedure) in WALKED {
        let build = walk(unit, procedure).build;
        let sheets = sheet(&build);
        let text = sheets.join("\n");
        let most = if build.procedure.builds { 3 } else { 2 };
        assert!(sheets.len() <= most, "{unit} {procedure}: {} pages", sheets.len());
        // a row of the plates' table ends with its fate
        assert!(
            !text.lines().any(|line| line.ends_with("  not measured")) || procedure == "reshim",
            "{unit} {procedure}:\n{text}"
        );
        for empty in ["not done", "UNFINISHED", "  0.000\n"] {
            assert!(
                !text.contains(empty),
                "{unit} {procedure} says {empty:?}:\n{text}"
            );
        }
        assert!(
            text.contains(&format!("{procedure}, digest 0123 4567 89ab cdef")),
            "{unit} {procedure}:\n{text}"
        );
        let heads = [
            ("Plates", ["inspect-plates", "paper-record"].as_slice()),
            (
                "Rejected and doubtful plates",
                &["inspect-plates", "paper-record"],
            ),
            ("Bolts", &["reshim"]),
            (
                "Proof by breakaway torque",
                &["reshim", "bench-check", "on-car-check"],
            ),
            ("Gap and preload", &["reshim"]),
            ("As found and as left", &["reshim", "paper-record"]),
        ];
        for (head, on) in heads {
            let is_there = text.lines().any(|line| line.trim() == head);
            // where none was thrown out a line says so
            let none = head.starts_with("Rejected") && text.contains("No plate was rejected");
            assert_eq!(
                is_there,
                on.contains(&procedure) && !none,
                "{head} of {unit} {procedure}:\n{text}"
            );
        }
        let title = build.procedure.sheet.to_uppercase();
        assert!(text.contains(&title), "{title}");
        let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(flat.contains("This sheet does not say that the unit is safe"));
        let short = lines(&in_short(&build), 80);
        assert!(!short.contains("not measured"), "{short}");
    }
}

#[test]
fn a_copy_of_a_paper_says_on_top_that_it_is_one_and_asks_nobody_to_have_signed_it() {
    let flat = |build: &Build| {
        let text = sheet(build).join("\n");
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let by_hand = walk("moor-rear", "paper-record").build;
    let text = flat(&by_hand);
    let told =
        "This is a copy of an old paper, typed in by hand. Nothing on it was measured with this program.";
    assert!(
        text.find(told).unwrap() < text.find("Identity").unwrap(),
        "{text}"
    );
    assert!(lines(&in_short(&by_hand), 300).contains(told));
    for fact in [
        "Copied by: name",
        "Compared with the paper by: name",
        "one like mic-2",
    ] {
        assert!(text.contains(fact), "{fact}: {text}");
    }
    // as it is taken from a table: with the note, and most left out
    let mut session = started("moor-rear", "paper-record");
    let mut noted = false;
    while let Some(ask) = session.ask() {
        if !noted && session.answered() > 0 {
            let read = PaperRecords::read("day,by\n2019-04-12,Ann\n").unwrap();
            let note = Reply::Note(read.records[0].note("old.csv", "2026-11-28"));
            let taken = session.answer(&note, AT).unwrap();
            session.apply(&taken.entries);
            noted = true;
        }
        let reply = match ask.slot.step.as_str() {
            "who" | "sign-built" => Reply::Answer("Ann Example".into()),
            "rebuilt" => Reply::Answer("no".into()),
            "plate-look" if ask.slot.item.as_deref() == Some("G1") => Reply::Answer("glazed all over".into()),
            _ => Reply::Skip("not on the paper".into()),
        };
        let taken = session.answer(&reply, AT).unwrap();
        session.apply(&taken.entries);
    }
    let text = flat(&session.build("demo-0001", &"ab".repeat(32)));
    for fact in [
        "This is a copy of an old paper, taken from old.csv, line 2, on 2026-11-28. Nothing on it was measured",
        "Ann Example is the name on the paper; it is no signature that was given to this program.",
        "Compared with the paper by: name",
        "glazed: all over",
    ] {
        assert!(text.contains(fact), "{fact}: {text}");
    }
    assert!(
        !text.contains("calibrated to") && !text.contains("Done by"),
        "{text}"
    );
    // what the paper does not say is told once: every look but one, every thickness, and seven questions more
    assert_eq!(text.matches("not on the paper").count(), 1, "{text}");
    let skipped = 2 * session.job().unit.plates.len() - 1 + 7;
    assert!(
        text.contains(&format!("{skipped} questions")),
        "{skipped}: {text}"
    );
}

#[test]
fn an_inspection_judges_the_plates_as_the_rebuild_with_the_same_readings_does() {
    for unit in ["moor-rear", "fell-front", "shoal-rear"] {
        let inspected = walk(unit, "inspect-plates").build;
        let rebuilt = &crate::bench::finished(unit).record["plates"];
        assert!(inspected.plates.iter().all(|plate| !plate.spare));
        for plate in &inspected.plates {
            let other = rebuilt
                .as_array()
                .unwrap()
                .iter()
                .find(|one| one["name"] == plate.name.as_str())
                .unwrap();
            assert_eq!(
                other["verdict"],
                plate.verdict.map_or(String::new(), |verdict| verdict.to_string()),
                "{unit} {}",
                plate.name
            );
            let apart = other["mean_um"].as_f64().unwrap() - plate.mean.unwrap().um();
            assert!(apart.abs() < 1e-9, "{unit} {}: {apart}", plate.name);
            assert_eq!(
                other["fate"] == "rejected",
                plate.is_rejected(),
                "{unit} {}",
                plate.name
            );
        }
        assert!(inspected.packs.is_empty() && inspected.proofs.is_empty() && inspected.bolts.is_empty());
    }
}

fn to_micrometre(mm: f64) -> f64 {
    (mm * 1e3 + 0.5 + 1e-7).floor() / 1e3
}

/// Depth less rings, pressed packs and shims, all from the raw answers and the marks of the shims that were chosen.
#[test]
fn a_reshim_closes_the_chain_with_each_pack_as_one_part() {
    for (unit, through) in [("moor-rear", true), ("shoal-rear", true), ("fell-front", false)] {
        let Walked { build, raw } = walk(unit, "reshim");
        let micrometer = millimetres(&raw["micrometer-zero"]) - 25.0;
        let gauge = millimetres(&raw["depth-gauge-zero"]) - 50.0;
        let by_gauge = |item: &str| to_micrometre(mean(&raw, &[item]) - gauge);
        let side = |side: &str| {
            let shims: f64 = build
                .packs
                .iter()
                .filter(|pack| pack.side.word() == side)
                .flat_map(|pack| &pack.layers)
                .filter(|layer| layer.kind.word() == "shim")
                .map(|layer| layer.thickness.mm())
                .sum();
            to_micrometre(mean(&raw, &[&format!("ring-height/{side}")]) - micrometer)
                + by_gauge(&format!("pressed-height/{side}"))
                + shims
        };
        let wanted = if through {
            vec![by_gauge("case-depth") - side("left") - side("right")]
        } else {
            ["left", "right"]
                .map(|one| by_gauge(&format!("case-depth/{one}")) - side(one))
                .to_vec()
        };
        for (line, wanted) in build.closings.iter().zip(&wanted) {
            let predicted = line.predicted.unwrap().mm();
            assert!(
                (predicted - wanted).abs() < 2e-6,
                "{unit}: {predicted} and {wanted}"
            );
            assert_eq!(line.verdict, Some(Verdict::Inside), "{unit}");
        }
        assert_eq!(build.closings.len(), wanted.len());
        // the packs go back as they came out, and no plate is judged
        assert!(build.plates.is_empty());
        assert!(
            build
                .setting
                .iter()
                .any(|(label, text)| label == "Plates" && text.contains("no verdict on wear"))
        );
    }
}

/// The calibration error of one gauge is in depth and packs alike: of one depth and two packs, one is left.
#[test]
fn the_error_that_depth_and_packs_share_is_counted_once() {
    let build = walk("moor-rear", "reshim").build;
    let shared: Vec<f64> = build.closings[0]
        .sources
        .iter()
        .filter(|(name, _)| name == "calibration of depth-1")
        .map(|(_, u)| u.um())
        .collect();
    // 0.01 mm, k = 2, by the certificate in instruments.toml
    assert_eq!(shared, [5.0]);
}

#[test]
fn on_the_car_half_of_the_drivelines_drag_is_taken_off_and_the_rest_counts_twice() {
    for unit in ["moor-rear", "shoal-rear"] {
        let Walked { build, raw } = walk(unit, "on-car-check");
        let turning = |way: &str| {
            let read: Vec<f64> = (1..=3)
                .map(|n| {
                    raw[&format!("breakaway/{way}-turning/{n}")]
                        .parse::<f64>()
                        .unwrap()
                })
                .collect();
            read.iter().sum::<f64>() / read.len() as f64
        };
        assert_eq!(raw["wrench-extension"], "0");
        let drag: f64 = raw["driveline-drag"].parse().unwrap();
        // power: M ω = (M_left + M_right) ω/2 + D ω/2, with the case at half the speed of the wheel
        let plain = 2.0 * (turning("drive") + turning("coast")) / 2.0 - drag;
        // the file of moor-rear means the case held and has its springs behind the packs. That of shoal-rear means one output
        // held, 8 faces and 1000 N a pack; between its rings the drag loads the drive ramp too, 45 degrees with 0.06 on pins
        // at 30 mm: 2 M = 2 c F0 + D + c q D
        let wanted = if unit == "moor-rear" {
            plain
        } else {
            let q = (1.0 - 0.06) / (1.0 + 0.06) / 0.030;
            let half = |way: &str, q: f64| (2.0 * turning(way) - drag) / (2.0 * 1000.0 + q * drag) * 1000.0;
            (half("drive", q) + half("coast", 0.0)) / 2.0
        };
        let found = build.proofs[0].turning.unwrap().newton_metres();
        assert!((found - wanted).abs() < 1e-9, "{unit}: {found} and {wanted} N·m");
        assert!(build.proofs[0].method.starts_with("output held"));
    }
}

#[test]
fn on_the_car_the_wheel_is_held_and_nothing_else_is_taken() {
    let mut session = started("moor-rear", "on-car-check");
    let text = answers("moor-rear", "on-car-check");
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        let (slot, answer) = line.split_once(" = ").unwrap();
        if slot == "held" {
            break;
        }
        let taken = session.answer(&Reply::Answer(answer.into()), AT).unwrap();
        session.apply(&taken.entries);
    }
    let refusal = session.answer(&Reply::Answer("case".into()), AT).unwrap_err();
    assert_eq!(refusal.words, "\"case\" is none of these: output");
}

#[test]
fn a_check_on_the_car_is_refused_for_a_unit_without_springs() {
    let place = Place::new();
    let unit = unit_file("fell-front");
    place
        .run(&["work", "on-car-check", unit.to_str().unwrap()])
        .fails(
            3,
            &[
                "on-car-check is for spring-loaded units only",
                "`shimwright procedures` lists them",
            ],
        );
    assert!(!place.book().join("fell-front-0001").exists());
    let on_car = read_stock("on-car-check").unwrap().unwrap();
    assert_eq!(on_car.only, [Condition::SpringLoaded]);
}

#[test]
fn a_closed_unit_out_of_its_window_is_told_what_it_would_take_to_open_it() {
    let build = walk("shoal-rear", "bench-check").build;
    let round = &build.proofs[0];
    assert_eq!(round.verdict, Some(Verdict::Outside));
    // 16 faces on a radius of 40 mm with μ 0.10 by the unit file, one output held: 2 M / (16 · 0.10 · 0.040)
    let force = 2.0 * round.turning.unwrap().newton_metres() / (16.0 * 0.10 * 0.040);
    assert!(
        round.advice[0].contains(&format!("{force:.0} N on each pack")),
        "{force}: {:?}",
        round.advice
    );
    assert!(round.advice[1].contains("reshim"), "{:?}", round.advice);
}

#[test]
fn a_second_reading_of_a_closed_unit_leaves_the_first_on_record() {
    let text = answers("moor-rear", "bench-check");
    let mut session = started("moor-rear", "bench-check");
    let lines: Vec<(&str, &str)> = text
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| line.split_once(" = ").unwrap())
        .collect();
    let give = |session: &mut Session, answer: &str| {
        let taken = session.answer(&Reply::Answer(answer.into()), AT).unwrap();
        session.apply(&taken.entries);
    };
    for (slot, answer) in &lines {
        if *slot == "proof-decision" {
            break;
        }
        give(&mut session, answer);
    }
    give(&mut session, "again");
    for (slot, answer) in lines.iter().filter(|(slot, _)| slot.starts_with("breakaway/")) {
        assert_eq!(session.ask().unwrap().slot.to_string(), *slot);
        assert_eq!(session.ask().unwrap().slot.round, 2);
        give(&mut session, answer);
    }
    give(&mut session, "accept");
    let build = session.build("x-0001", "");
    assert_eq!(build.proofs.len(), 2);
    assert!(build.proofs[0].method.contains("then: again"));
}

/// A shop's own procedure: the sheet and the record say which one it was, by its id and its digest.
#[test]
fn a_copied_and_edited_procedure_runs_and_is_told_apart() {
    let place = Place::new();
    let stock = shimwright::procedure::stock("bench-check").unwrap();
    let own = stock.replace("id = \"bench-check\"", "id = \"our-check\"").replacen(
        "[[stage.step]]\nid = \"clamp\"",
        "[[stage.step]]\nid = \"photo\"\nkind = \"do\"\nwords = \"Take a picture.\"\nwhy = \"Ours.\"\n\n[[stage.step]]\nid = \"clamp\"",
        1,
    );
    let file = place.write("our-check.toml", &own);
    let with_it = answers("moor-rear", "bench-check").replace("clamp = done", "photo = done\nclamp = done");
    let given = place.write("our.answers", with_it);
    let record: Value = place
        .run(&[
            "work",
            file.to_str().unwrap(),
            unit_file("moor-rear").to_str().unwrap(),
            "--at",
            AT,
            "--answers",
            given.to_str().unwrap(),
            "--json",
        ])
        .json();
    assert_eq!(record["procedure"], "our-check");
    let digest = shimwright::seal::Digest::of(own.as_bytes()).to_string();
    assert_eq!(record["procedure_digest"], digest.as_str());
    assert_ne!(digest, shimwright::seal::Digest::of(stock.as_bytes()).to_string());
}
