//! Springs that are read in a press: what it reads counts instead of what a maker may deliver.

use crate::bench::demo_file;
use crate::engine::{answer, asked, entries, give, job};
use shimwright::procedure::{Job, Reply, Session};
use shimwright::quantity::{Force, Length, Units};
use shimwright::record::{Build, Entry};
use shimwright::workshop::{Unit, read_instruments};
use std::fs;

const PRESS: &str = "
[[instrument]]
id = \"press-1\"
measures = \"force\"
relative = 0.01
resolution = \"1 N\"
height = \"0.01 mm\"
reads_most = \"5 kN\"
due = \"2027-05-31\"
";

/// A demo's job with a press among its instruments.
fn with_press(demo: &str) -> Job {
    let instruments = fs::read_to_string(demo_file("instruments.toml")).unwrap();
    Job {
        instruments: read_instruments("instruments", &format!("{instruments}{PRESS}")).unwrap(),
        ..job(demo)
    }
}

/// A demo at the question of the press, and what of it comes after the springs.
fn at_the_press(demo: &str) -> (Session, Vec<Entry>) {
    let entries = entries(demo);
    let after = |entry: &&Entry| matches!(entry, Entry::Answered { slot, .. } if slot.step == "ring-height");
    let at = entries.iter().position(|entry| after(&entry)).unwrap();
    let session = Session::resume(with_press(demo), &entries[..at]);
    assert_eq!(asked(&session).slot.to_string(), "press");
    (session, entries[at..].to_vec())
}

/// Moor rear to its end with what a press has read, or without.
fn built(read: Option<(&str, [&str; 2])>) -> Build {
    let (mut session, rest) = at_the_press("moor-rear");
    match read {
        Some((height, forces)) => {
            for text in ["press-1", height, forces[0], forces[1]] {
                answer(&mut session, text).unwrap();
            }
        }
        None => {
            give(&mut session, &Reply::Skip("no time".into())).unwrap();
        }
    }
    session.apply(&rest);
    assert!(session.ask().is_none(), "{:?}", asked(&session).slot);
    session.build("moor-rear-0001", "")
}

fn wide(build: &Build) -> [f64; 2] {
    let preload = build.preload.as_ref().unwrap();
    let (force, breakaway) = (
        preload.interval.as_ref().unwrap(),
        preload.breakaway_interval.as_ref().unwrap(),
    );
    [
        force.high.newtons() - force.low.newtons(),
        breakaway.high.newton_metres() - breakaway.low.newton_metres(),
    ]
}

#[test]
fn what_the_press_reads_counts_alone_and_narrows_the_force() {
    let (law, read) = (built(None), built(Some(("2.22 mm", ["1230 N", "1210 N"]))));
    let preload = |build: &Build| build.preload.clone().unwrap();
    let stood = preload(&law).height;
    // by its law the disc gives this at the height where it was read and where it is built in; in between it is in proportion
    let unit = job("moor-rear").unit;
    let settled = unit.spring.unwrap().settled(Length::from_um(3_075)).unwrap();
    let at = |height: Length| settled.force_at_height(height).unwrap().newtons();
    let wanted = 1220.0 * at(stood) / at(Length::from_um(2_220));
    let got = preload(&read).force.newtons();
    assert!((got / wanted - 1.0).abs() < 0.002, "{got} {wanted}");
    assert!((preload(&law).force.newtons() / at(stood) - 1.0).abs() < 0.002);
    // what is left is the press and the heights: the band of EN 16983 (−7.5 to +15 %) is gone
    let [by_law, by_press] = [wide(&law)[0], wide(&read)[0]];
    assert!(by_press < 0.35 * by_law, "{by_law} {by_press}");
    assert!(wide(&read)[1] < wide(&law)[1]);
    let parts: Vec<String> = preload(&read)
        .interval
        .unwrap()
        .parts
        .into_iter()
        .map(|(name, _)| name)
        .collect();
    assert!(
        parts.iter().any(|name| name == "force read in the press"),
        "{parts:?}"
    );
    assert!(!parts.iter().any(|name| name == "spring force"), "{parts:?}");
    // simulation and propagation say the same of it
    let (drawn, interval) = (
        preload(&read).simulated.unwrap(),
        preload(&read).interval.unwrap(),
    );
    assert!((drawn.low.newtons() / interval.low.newtons() - 1.0).abs() < 0.003);
    assert!((drawn.high.newtons() / interval.high.newtons() - 1.0).abs() < 0.003);
    // and all of it is said: the press, the reading, what counts
    let assumed = preload(&read).assumed.join("; ");
    assert!(
        assumed.contains("springs as press-1 has read them: 1220 N at 2.220 mm, ± 1.0 %"),
        "{assumed}"
    );
    let rows: Vec<String> = read
        .found_and_left
        .iter()
        .filter(|row| row.what.contains("in the press"))
        .map(|row| {
            format!(
                "{}: {}",
                row.what,
                row.found.clone().or(row.left.clone()).unwrap()
            )
        })
        .collect();
    assert_eq!(rows[0], "left spring force in the press: 1230 N at 2.220 mm");
    assert!(
        read.identity
            .iter()
            .any(|(label, text)| label == "Press" && text.starts_with("press-1"))
    );
}

#[test]
fn the_press_is_what_would_narrow_most_and_does_so_as_it_is_said() {
    let law = built(None);
    let said = law.preload.as_ref().unwrap().interval.as_ref().unwrap();
    let (by, low, high) = said.narrower.clone().unwrap();
    assert_eq!(by, "measuring the springs in press-1 (± 1.0 %)");
    let words = said.narrowed(Units::Metric).unwrap();
    assert!(
        words.starts_with("measuring the springs in press-1 (± 1.0 %): ± 1") && words.ends_with(" N"),
        "{words}"
    );
    // read just at the height where they stand, so that nothing else differs
    let stood = law.preload.as_ref().unwrap().height.to_string();
    let read = wide(&built(Some((stood.as_str(), ["1187 N", "1187 N"]))))[0];
    let promised = high.newtons() - low.newtons();
    assert!((promised / read - 1.0).abs() < 0.05, "{promised} {read}");
}

#[test]
fn a_reading_past_solid_a_free_spring_and_other_springs_are_not_taken() {
    let refused = |session: &mut Session, text: &str| {
        let refusal = answer(session, text).unwrap_err();
        (refusal.words, refusal.sure)
    };
    let (mut session, _) = at_the_press("moor-rear");
    answer(&mut session, "press-1").unwrap();
    let (words, sure) = refused(&mut session, "1.70 mm");
    assert!(words.contains("past solid") && !sure, "{words}");
    let (words, sure) = refused(&mut session, "3.2 mm");
    assert!(words.contains("the spring is free") && !sure, "{words}");
    assert!(
        refused(&mut session, "2.9 mm").1,
        "far from where it is built in, so it is asked again"
    );
    answer(&mut session, "2.22 mm").unwrap();
    assert_eq!(asked(&session).slot.to_string(), "spring-force/left/1");
    assert!(!refused(&mut session, "0 N").1);
    assert!(
        refused(&mut session, "120 N")
            .0
            .contains("another unit of force, another height, or another spring?")
    );
    assert!(
        refused(&mut session, "9 kN")
            .0
            .contains("more than the 5000 N that this press reads")
    );
    let (words, sure) = refused(&mut session, "12 lb");
    assert!(!sure, "{words}");
}

#[test]
fn a_force_is_read_in_any_unit_of_force() {
    // 9.80665 N and 4.4482216152605 N by definition (NIST SP 811, B.8)
    let texts = [
        ("1206 N", 1206.0),
        ("1.206 kN", 1206.0),
        ("123 kgf", 123.0 * 9.806_65),
        ("271 lbf", 271.0 * 4.448_221_615_260_5),
    ];
    for (text, newtons) in texts {
        let (mut session, _) = at_the_press("moor-rear");
        for text in ["press-1", "2.22 mm", text] {
            answer(&mut session, text).unwrap();
        }
        let Some(Entry::Answered { value, .. }) = answer(&mut session, text).unwrap().entries.pop() else {
            panic!("{text}");
        };
        let shimwright::record::Value::Force(read) = value else {
            panic!("{text}");
        };
        assert!((read - newtons).abs() < 1e-9, "{text} {read}");
        let force = Force::from_newtons(read).unwrap();
        assert!(force.newtons() > 0.0);
    }
}

#[test]
fn springs_that_were_not_all_read_go_by_their_law() {
    let (mut session, rest) = at_the_press("moor-rear");
    for text in ["press-1", "2.22 mm", "1230 N"] {
        answer(&mut session, text).unwrap();
    }
    give(&mut session, &Reply::Skip("the other stood askew".into())).unwrap();
    session.apply(&rest);
    let preload = session.build("moor-rear-0001", "").preload.unwrap();
    assert_eq!(preload.interval, built(None).preload.unwrap().interval);
    assert!(
        preload.assumed[0].contains("by DIN EN 16983"),
        "{:?}",
        preload.assumed
    );
}

#[test]
fn without_a_press_nothing_is_asked_of_one() {
    let session = Session::resume(job("moor-rear"), &entries("moor-rear"));
    assert!(session.ask().is_none());
    assert_eq!(
        session.build("m", "").preload.unwrap().interval,
        built(None).preload.unwrap().interval.map(|mut interval| {
            // what a usual press would do stands there instead
            let usual = session.build("m", "").preload.unwrap().interval.unwrap().narrower;
            assert!(
                usual
                    .as_ref()
                    .is_some_and(|(by, ..)| by == "measuring the springs in a press (± 2.0 %)"),
                "{usual:?}"
            );
            interval.narrower = usual;
            interval
        })
    );
}

/// Moor rear with this in its [spring], to its end.
fn with_spring_keys(keys: &str) -> Build {
    let text = fs::read_to_string(demo_file("moor-rear.toml")).unwrap();
    let unit = Unit::read(
        "moor-rear",
        &text.replace("\n[wanted]", &format!("{keys}\n[wanted]")),
    )
    .unwrap();
    let job = Job {
        unit,
        ..job("moor-rear")
    };
    Session::resume(job, &entries("moor-rear")).build("moor-rear-0001", "")
}

#[test]
fn a_certificate_gives_the_force_and_narrows_its_band_and_one_that_is_sure_says_so() {
    let certificate = |tolerance: &str| {
        let keys = "part = \"D-92\"\n[spring.certificate]\nnumber = \"K-2291\"\npart = \"D-92\"\nheight = \"2.20 mm\"\nforce = \
                    \"1250 N\"\ntolerance = ";
        with_spring_keys(&format!("{keys}{tolerance}\n"))
    };
    let (law, certified) = (with_spring_keys(""), certificate("[\"-2 %\", \"2 %\"]"));
    let force = |build: &Build| build.preload.as_ref().unwrap().force.newtons();
    let unit = job("moor-rear").unit;
    let by_law = unit
        .spring
        .unwrap()
        .stack
        .force_at_height(Length::from_um(2_200))
        .unwrap();
    // the heights that were read change the law and not the share of it that the certificate says
    let share = 1250.0 / by_law.newtons();
    assert!((force(&certified) / force(&law) / share - 1.0).abs() < 1e-6);
    assert!(wide(&certified)[0] < 0.5 * wide(&law)[0]);
    let said = certified.preload.as_ref().unwrap().assumed[0].clone();
    assert_eq!(
        said,
        "springs −2.0 to +2.0 % of the reckoned force, by certificate K-2291, 1250 N at 2.200 mm"
    );
    let sure = certificate("[\"0 %\", \"0 %\"]").preload.unwrap();
    assert!(
        sure.assumed[0].ends_with(", taken as sure, as it says"),
        "{}",
        sure.assumed[0]
    );
    assert!(
        sure.interval
            .unwrap()
            .parts
            .iter()
            .all(|(name, share)| name != "spring force" || *share < 1e-12)
    );
}

#[test]
fn shares_of_a_doubt_are_never_negative_and_never_more_than_all() {
    for build in [
        built(None),
        built(Some(("2.22 mm", ["1230 N", "1210 N"]))),
        with_spring_keys("tolerance = [\"0 %\", \"0 %\"]\n"),
    ] {
        let preload = build.preload.as_ref().unwrap();
        let curve = build.curve.as_ref().unwrap();
        let mut all = vec![
            preload.interval.clone().unwrap().parts,
            preload.breakaway_interval.clone().unwrap().parts,
        ];
        let bands = curve.bands.clone().unwrap();
        all.extend([bands.drive, bands.coast].map(|band| band.slipping.parts));
        for parts in all {
            assert!(
                parts.iter().all(|(_, share)| (0.0..=1.0).contains(share)),
                "{parts:?}"
            );
            assert!(
                parts.iter().map(|(_, share)| share).sum::<f64>() < 1.0 + 1e-9,
                "{parts:?}"
            );
        }
    }
}
