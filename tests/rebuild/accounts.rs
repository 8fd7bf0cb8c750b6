//! The account of a build says what its raw answers and its own record say.

use crate::bench::{DEMOS, answers_of, finished, mean, millimetres, raw_answers};
use crate::engine::{before, entries, job};
use shimwright::history::{Account, InstrumentRole};
use shimwright::mechanics::Held;
use shimwright::procedure::Session;
use shimwright::quantity::{Datum, RampAngle};

/// Standards that the zeros are checked on, as `instruments.toml` gives them.
const MICROMETER_STANDARD: f64 = 25.0;

fn account(demo: &str) -> Account {
    Session::resume(job(demo), &entries(demo)).account(&format!("{demo}-0001"), "digest")
}

#[test]
fn plates_have_the_thickness_of_their_raw_readings_and_the_place_of_the_record() {
    for demo in DEMOS {
        let (account, raw) = (account(demo), raw_answers(&answers_of(demo)));
        let zero = millimetres(&raw["micrometer-zero"]) - MICROMETER_STANDARD;
        let record = finished(demo).record["plates"].as_array().unwrap();
        assert_eq!(account.plates.len(), record.len());
        let micrometer = account
            .instruments
            .iter()
            .find(|one| one.role == InstrumentRole::Micrometer);
        let micrometer_zero = micrometer.unwrap().zero.unwrap().um();
        for (plate, line) in account.plates.iter().zip(record) {
            let steps = ["plate-thickness", "spare-thickness", "remeasure"]
                .map(|step| format!("{step}/{}", plate.name));
            let wanted = mean(&raw, &steps.each_ref().map(String::as_str)) - zero;
            let found = plate.mean.as_ref().unwrap();
            // the mean is kept to the micrometre
            assert!(
                (found.value.mm() - wanted).abs() <= 0.000_501,
                "{demo} {}: {wanted}",
                plate.name
            );
            // the years have the zero beside the instrument, since each build has its own
            let whole = found.uncertainty.um().hypot(micrometer_zero);
            let shown = line["uncertainty_um"].as_f64().unwrap();
            assert!(
                (shown - whole).abs() < 0.002,
                "{demo} {}: {shown} {whole}",
                plate.name
            );
            let fate = match plate.place_left {
                Some(place) => format!("{} {place}", plate.side_left.unwrap()),
                None if plate.rejected => "rejected".to_string(),
                None => "kept".to_string(),
            };
            assert_eq!(line["fate"], fate, "{demo} {}", plate.name);
            assert_eq!(plate.part, format!("{demo}/{}", plate.name));
            assert_eq!(plate.spare, plate.side_found.is_none());
        }
    }
}

#[test]
fn breakaway_and_preload_are_those_of_the_record() {
    for demo in DEMOS {
        let (account, record) = (account(demo), &finished(demo).record);
        let proof = record["proofs"].as_array().unwrap().last().unwrap();
        let nm = |torque: Option<shimwright::quantity::Torque>| torque.map(|torque| torque.newton_metres());
        assert_eq!(proof["breakaway_nm"].as_f64(), nm(account.breakaway.left));
        assert_eq!(
            proof["first_movement_nm"].as_f64(),
            nm(account.breakaway.left_still)
        );
        assert_eq!(proof["verdict"], account.breakaway.verdict.unwrap().to_string());
        assert_eq!(proof["round"], account.round);
        let preload = account.packs[0].preload_left.map(|force| force.newtons());
        assert_eq!(record["preload_force_n"].as_f64(), preload, "{demo}");
        assert_eq!(preload.is_some(), account.preload_wanted.is_some(), "{demo}");
        for (pack, side) in account.packs.iter().zip(["left", "right"]) {
            assert_eq!(
                record["packs"][side]["active_faces"].as_u64(),
                pack.faces_left.map(u64::from)
            );
        }
    }
}

#[test]
fn distance_breakaway_as_received_and_oil_are_as_they_were_typed() {
    let account = account("moor-rear");
    assert!((account.distance.unwrap().kilometres() - 1840.0).abs() < 1e-9);
    assert!((account.breakaway.found.unwrap().newton_metres() - 58.0).abs() < 1e-12);
    // the wrench has 4 % with k = 2
    assert!((account.breakaway.found_uncertainty.unwrap().newton_metres() - 58.0 * 0.02).abs() < 1e-12);
    assert!((account.oil_amount.unwrap().litres() - 1.1).abs() < 1e-12);
    assert_eq!(
        account.instrument(InstrumentRole::Micrometer).unwrap().due,
        "2027-03-31"
    );
    // resolution 1 µm and repeatability 1 µm: √(1/12 + 1)
    let zero = account
        .instrument(InstrumentRole::Micrometer)
        .unwrap()
        .zero
        .unwrap();
    assert!((zero.um() - (1.0_f64 / 12.0 + 1.0).sqrt()).abs() < 0.001);
}

#[test]
fn a_build_that_has_not_come_far_says_only_what_it_knows() {
    let account = before("moor-rear", "plate-thickness/C1/1").account("moor-rear-0002", "");
    assert_eq!(
        (account.finished, account.packs[0].plates_left.clone()),
        (None, None)
    );
    assert!(
        account
            .plates
            .iter()
            .all(|plate| plate.mean.is_none() && plate.place_left.is_none())
    );
    assert!(account.packs[0].preload_left.is_none() && account.breakaway.left.is_none());
    assert_eq!(account.packs[0].plates_found.len(), 10);
}

#[test]
fn an_account_comes_back_from_its_line() {
    for demo in DEMOS {
        let account = account(demo);
        let line = account.to_json().unwrap();
        assert!(!line.contains('\n'));
        assert_eq!(Account::from_json(&line).unwrap().to_json().unwrap(), line);
    }
}

#[test]
fn a_steady_reading_with_the_ring_hanging_on_its_ramp_tells_no_friction_as_received() {
    // 70 degrees, so that neither way of holding wedges; the springs lie between the rings
    let told = |held: Held| {
        let mut job = job("shoal-rear");
        let mild = RampAngle::new(70.0, Datum::RingFace).unwrap();
        (job.unit.ramp.drive, job.unit.ramp.coast) = (mild, mild);
        job.unit.proof.held = held;
        let account = Session::resume(job, &entries("shoal-rear")).account("shoal-rear-0001", "digest");
        account.breakaway.friction_found()
    };
    assert!(told(Held::Output).is_some());
    assert_eq!(told(Held::Case), None);
}
