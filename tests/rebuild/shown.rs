//! What earlier proofs of a unit have shown: by how much the next is known better, and when they do not count.

use crate::bench::{demo_file, raw_answers};
use crate::engine::{answer, asked, entries, give, job};
use shimwright::mechanics::friction::ShownFriction;
use shimwright::procedure::{Reply, SURE, Session, read_stock};
use shimwright::quantity::{Length, Ratio, Temperature};
use shimwright::record::{Build, Entry, Value};
use shimwright::workshop::left_proofs::LeftProof;
use shimwright::workshop::{LastLeft, LeftPack};
use std::fs;

/// What proofs of these frictions left of moor-rear, all with the same springs and wrench.
fn left(frictions: &[f64], oil: &str) -> LastLeft {
    let unit = job("moor-rear").unit;
    let names: Vec<String> = unit.plates.iter().map(|plate| plate.name.clone()).collect();
    let proof = |friction: &f64| LeftProof {
        build: "moor-rear-0001".to_string(),
        shown: ShownFriction {
            friction: Ratio::new(*friction).unwrap(),
            own: Ratio::new(0.015).unwrap(),
            wrench: "wrench-60".to_string(),
            calibration: Ratio::new(0.02).unwrap(),
            springs: 1,
            press: None,
        },
        oil: oil.to_string(),
        oil_at: None,
        plates: names.clone(),
    };
    LastLeft {
        build: "moor-rear-0001".to_string(),
        finished: "2026-01-01".to_string(),
        packs: unit.packs.each_ref().map(|pack| LeftPack {
            order: pack.order.clone(),
            shims: pack.shims.clone(),
        }),
        plates: unit.plates.clone(),
        springs: vec![Length::from_um(3_080), Length::from_um(3_070)],
        closings: vec![Length::from_um(4_435)],
        read: Vec::new(),
        discs: None,
        proofs: frictions.iter().map(proof).collect(),
    }
}

fn built(last: Option<LastLeft>) -> Build {
    let mut job = job("moor-rear");
    job.last = last;
    Session::resume(job, &entries("moor-rear")).build("moor-rear-0002", "")
}

const OIL: &str = "75W-140 with friction modifier";

#[test]
fn the_next_breakaway_is_known_the_better_the_more_proofs_there_are() {
    let wide = |build: &Build| {
        let interval = build
            .preload
            .as_ref()
            .unwrap()
            .breakaway_interval
            .clone()
            .unwrap();
        interval.high.newton_metres() - interval.low.newton_metres()
    };
    let expected = |build: &Build| build.preload.as_ref().unwrap().breakaway.unwrap().newton_metres();
    let trade = built(None);
    let one = built(Some(left(&[0.11], OIL)));
    let four = built(Some(left(&[0.11, 0.112, 0.108, 0.11], OIL)));
    assert!(
        wide(&one) < 0.85 * wide(&trade) && wide(&four) < wide(&one),
        "{} {} {}",
        wide(&trade),
        wide(&one),
        wide(&four)
    );
    // one proof moves the expectation by a part of what it shows, four by nearly all: 0.110 for the file's 0.100
    let moved = |build: &Build| (expected(build) / expected(&trade) - 1.0) / 0.1;
    assert!((0.6..0.95).contains(&moved(&one)), "{}", moved(&one));
    assert!(
        (0.85..1.0).contains(&moved(&four)) && moved(&four) > moved(&one),
        "{}",
        moved(&four)
    );
    let said = |build: &Build| build.preload.as_ref().unwrap().assumed.join("; ");
    assert!(
        said(&trade).contains("friction 0.1 of the unit file"),
        "{}",
        said(&trade)
    );
    assert!(said(&one).contains("by one proof of this unit"), "{}", said(&one));
    assert!(
        said(&four).contains("by 4 proofs of this unit"),
        "{}",
        said(&four)
    );
    // what this build's own proof shows does not hang on what was expected of it
    let shown = |build: &Build| build.proofs.last().unwrap().friction.unwrap().value();
    assert!((shown(&four) / shown(&trade) - 1.0).abs() < 1e-9);
    // the force of the springs is not known better by any proof
    let force = |build: &Build| build.preload.as_ref().unwrap().simulated.unwrap();
    assert!((force(&four).low.newtons() / force(&trade).low.newtons() - 1.0).abs() < 0.002);
}

#[test]
fn another_oil_or_other_plates_begin_anew_and_that_is_said() {
    let trade = built(None).preload.unwrap();
    let said = |last: LastLeft| {
        let preload = built(Some(last)).preload.unwrap();
        assert_eq!(preload.breakaway, trade.breakaway);
        assert_eq!(preload.breakaway_interval, trade.breakaway_interval);
        preload.assumed.join("; ")
    };
    let other_oil = said(left(&[0.11, 0.11], "80W-90 without modifier"));
    assert!(
        other_oil.contains("of the unit file, because another oil is in since the proofs"),
        "{other_oil}"
    );
    let mut others = left(&[0.11, 0.11], OIL);
    for proof in &mut others.proofs {
        proof.plates = vec!["X1".to_string()];
    }
    assert!(said(others).contains("because most plates are others since the proofs"));
    // only proofs with the oil of the newest count with it
    let mut mixed = left(&[0.15, 0.11, 0.11], OIL);
    mixed.proofs[0].oil = "another".to_string();
    let counted = built(Some(mixed)).preload.unwrap();
    assert!(counted.assumed.join("; ").contains("by 2 proofs of this unit"));
}

#[test]
fn the_proof_is_told_between_what_it_should_read_and_by_what() {
    let mut job = job("moor-rear");
    job.last = Some(left(&[0.1, 0.1, 0.1, 0.1], OIL));
    let entries = entries("moor-rear");
    let at = entries
        .iter()
        .position(|entry| matches!(entry, Entry::Answered { slot, .. } if slot.to_string() == "breakaway/drive-turning/1"))
        .unwrap();
    let session = Session::resume(job, &entries[..at]);
    let limits = asked(&session).limits.join("\n");
    assert!(
        limits.contains("95 % ") && limits.contains("by 4 proofs of this unit"),
        "{limits}"
    );
}

#[test]
fn a_check_of_a_unit_with_a_history_says_what_it_should_read_and_how_the_reading_lies() {
    let answers = fs::read_to_string(demo_file("moor-rear-bench-check.answers")).unwrap();
    let raw = raw_answers(&answers);
    let checked = |frictions: &[f64], times: f64| {
        let mut job = job("moor-rear");
        job.procedure = read_stock("bench-check").unwrap().unwrap();
        job.last = (!frictions.is_empty()).then(|| left(frictions, OIL));
        // the entry of the beginning alone
        let mut session = Session::resume(job, &entries("moor-rear")[..1]);
        while let Some(ask) = session
            .ask()
            .filter(|ask| ask.slot.to_string() != "proof-decision")
        {
            let slot = ask.slot.to_string();
            let Some(text) = raw.get(&slot) else {
                give(&mut session, &Reply::Skip("not here".to_string())).unwrap();
                continue;
            };
            let text = match slot.starts_with("breakaway/") {
                true => format!("{:.1}", times * text.parse::<f64>().unwrap()),
                false => text.clone(),
            };
            // what is far from what is expected is asked again
            if answer(&mut session, &text).is_err() {
                answer(&mut session, &format!("{text} {SURE}")).unwrap();
            }
        }
        session
            .build("moor-rear-0002", "")
            .proofs
            .last()
            .unwrap()
            .should_read
            .clone()
    };
    assert!(checked(&[], 1.0).is_none());
    let four = [0.1, 0.1, 0.1, 0.1];
    let right = checked(&four, 1.0).unwrap();
    assert!(
        right.words.contains("is within what this unit should read"),
        "{}",
        right.words
    );
    assert!(
        right.words.contains("by 4 proofs of this unit") && right.words.contains("moor-rear-0001 left it")
    );
    assert!((1..=3).contains(&right.interval.parts.len()) && right.interval.parts[0].0 == "friction");
    let low = checked(&four, 0.6).unwrap();
    assert!(
        low.words.contains("is lower than this unit should read"),
        "{}",
        low.words
    );
    assert_eq!(low.interval, right.interval);
}

#[test]
fn proofs_with_oil_far_apart_are_said_to_be_so_and_the_file_keeps_how_warm_it_was() {
    let at = |celsius: [f64; 2]| {
        let mut last = left(&[0.11, 0.11], OIL);
        for (proof, celsius) in last.proofs.iter_mut().zip(celsius) {
            proof.oil_at = Temperature::from_celsius(celsius).ok();
        }
        last
    };
    let said = |last: LastLeft| built(Some(last)).preload.unwrap().assumed.join("; ");
    let apart = said(at([62.0, 18.0]));
    assert!(
        apart.contains("by 2 proofs of this unit with oil at 18 °C to 62 °C, which alone changes friction"),
        "{apart}"
    );
    assert!(!said(at([38.0, 18.0])).contains("with oil at"));
    let last = at([62.0, 18.0]);
    let read = LastLeft::read("found.toml", &last.text()).unwrap();
    assert_eq!(read.proofs, last.proofs);
}

/// The gap grows in proportion to the temperature: what stands warm says what must stand at any other.
#[test]
fn a_gap_is_told_as_warm_as_it_was_proved() {
    let mut entries = entries("fell-front");
    for entry in &mut entries {
        if let Entry::Answered { slot, value, .. } = entry
            && slot.step == "oil-temperature"
        {
            *value = Value::Temperature(80.0);
        }
    }
    let build = Session::resume(job("fell-front"), &entries).build("fell-front-0001", "");
    assert!(build.proofs.last().unwrap().method.contains("oil at 80 °C"));
    let warm = build.warm.unwrap();
    let proved = warm.proved.unwrap();
    assert_eq!(proved.closings.len(), warm.closings.len());
    for ((_, cold, warm_gap), proved) in warm.closings.iter().zip(&proved.closings) {
        let each_kelvin = (*warm_gap - *cold).um() / (warm.at.celsius() - 20.0);
        let wanted = cold.um() + 60.0 * each_kelvin;
        // both are shown in whole micrometres
        assert!((proved.um() - wanted).abs() <= 1.5, "{} {wanted}", proved.um());
    }
}
