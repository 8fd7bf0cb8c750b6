//! Invented builds for the tests and the benchmark of the sheet.

use shimwright::mechanics::{Direction, RampClass, Side};
use shimwright::metrology::Verdict;
use shimwright::quantity::{Datum, Force, Length, RampAngle, Ratio, SpringRate, Torque, Units};
use shimwright::record::phrase::Spoken;
use shimwright::record::*;

pub fn um(um: i64) -> Length {
    Length::from_um(um)
}

pub fn nm(value: f64) -> Torque {
    Torque::from_newton_metres(value).unwrap()
}

pub fn newtons(value: f64) -> Force {
    Force::from_newtons(value).unwrap()
}

fn pair(label: &str, text: &str) -> (String, String) {
    (label.to_string(), text.to_string())
}

/// A build in which nothing has happened.
pub fn empty() -> Build {
    Build {
        id: "moor-rear-0000".into(),
        procedure: Followed {
            spoken: Spoken::default(),
            id: "full-rebuild".into(),
            title: "Full rebuild".into(),
            digest: String::new(),
            sheet: "build sheet".into(),
            builds: true,
        },
        unit: "moor-rear".into(),
        unit_name: "Moor rear unit".into(),
        copied: None,
        glance: None,
        identity: vec![],
        started: "2026-03-01T08:10:00+00:00".into(),
        finished: None,
        units: Units::Metric,
        setting: vec![],
        asked: None,
        found_and_left: vec![],
        since: None,
        plates: vec![],
        packs: vec![],
        closings: vec![],
        warm: None,
        not_warm: String::new(),
        preload: None,
        curve: None,
        proofs: vec![],
        bolts: vec![],
        oil: vec![],
        checks: vec![],
        remarks: vec![],
        cautions: vec![],
        signatures: vec![],
        open: vec![],
        digest: String::new(),
        on_paper: Default::default(),
    }
}

/// A plate with readings about `at` micrometres.
pub fn plate(name: &str, friction: bool, at: i64, disposition: Disposition) -> PlateLine {
    let readings = vec![um(at + 2), um(at - 1), um(at)];
    PlateLine {
        name: name.into(),
        kind: if friction {
            "friction plate".into()
        } else {
            "case plate".into()
        },
        spare: false,
        mean: Some(Length::from_nm(at * 1000 + 333)),
        uncertainty: Some(Length::from_nm(1_250)),
        least: Some(um(at - 1)),
        spread: Some(um(3)),
        flatness: Some(um(30)),
        readings,
        verdict: Some(Verdict::Inside),
        reason: String::new(),
        disposition,
        look: "good".into(),
    }
}

fn layer(kind: LayerKind, name: &str, at: i64) -> Layer {
    Layer {
        kind,
        name: name.into(),
        thickness: um(at),
    }
}

/// A pack of `friction` friction plates between case plates, with a spring and two shims.
pub fn pack(side: Side, letter: &str, friction: usize) -> Pack {
    let mut layers = vec![
        layer(LayerKind::Shim, "", 150),
        layer(LayerKind::Shim, "", 300),
        layer(LayerKind::Spring, "S1", 4_120),
    ];
    for n in 1..=friction {
        layers.push(layer(
            LayerKind::CasePlate,
            &format!("C{letter}{n}"),
            1_985 + n as i64,
        ));
        layers.push(layer(
            LayerKind::GearPlate,
            &format!("F{letter}{n}"),
            2_004 + n as i64,
        ));
    }
    layers.push(layer(
        LayerKind::CasePlate,
        &format!("C{letter}{}", friction + 1),
        1_990,
    ));
    layers.push(layer(LayerKind::Ring, "R", 18_400));
    Pack {
        side,
        layers,
        active_faces: 2 * friction as u32,
    }
}

/// A round of proof with readings about `at` newton metres.
pub fn round(number: u32, at: f64, verdict: Option<Verdict>) -> ProofRound {
    let mut readings = Vec::new();
    for position in 1..=3 {
        for (ramp, off) in [(Direction::Drive, 0.0), (Direction::Coast, -1.5)] {
            for first in [true, false] {
                let read = at + off + f64::from(position) * 0.6 - if first { 0.0 } else { 6.0 };
                readings.push(BreakawayLine {
                    position,
                    ramp,
                    first_movement: first,
                    read: nm(read),
                    reckoned: Some(nm(read * 1.08)),
                });
            }
        }
    }
    ProofRound {
        round: number,
        doubt: "± 3.7 N·m by wrench 92 %, scatter of the readings 8 %".to_string(),
        method: "case held, one output turned".into(),
        oil_at: None,
        readings,
        still: Some(nm(at * 1.08)),
        turning: Some(nm(at * 1.08 - 6.5)),
        window: (nm(70.0), nm(90.0)),
        verdict,
        friction: Some(Ratio::new(0.113).unwrap()),
        should_read: None,
        advice: if verdict == Some(Verdict::Inside) {
            vec![]
        } else {
            vec!["A shim 0.10 mm thicker on each side would bring it to about 76 N·m.".into()]
        },
    }
}

/// A whole finished build of two packs of five friction and six case plates.
pub fn full() -> Build {
    let mut build = with_plates(5);
    build.finished = Some("2026-03-02T17:45:00+00:00".into());
    build.open.clear();
    build.signatures = vec![
        Signature {
            role: Role::BuiltBy,
            name: "A. Example".into(),
            at: "2026-03-02T17:40:00+00:00".into(),
        },
        Signature {
            role: Role::CheckedBy,
            name: "B. Zweitprüferin".into(),
            at: "2026-03-02T17:45:00+00:00".into(),
        },
    ];
    build
}

/// Two sides of `friction` friction plates and one case plate more, and three spares.
pub fn plates(friction: usize) -> Vec<PlateLine> {
    let mut plates = Vec::new();
    for (side, letter) in [(Side::Left, "L"), (Side::Right, "R")] {
        for n in 1..=friction {
            plates.push(plate(
                &format!("F{letter}{n}"),
                true,
                2_004 + n as i64,
                Disposition::Fitted(side, 2 * n),
            ));
        }
        for n in 1..=friction + 1 {
            plates.push(plate(
                &format!("C{letter}{n}"),
                false,
                1_985 + n as i64,
                Disposition::Fitted(side, 2 * n - 1),
            ));
        }
    }
    let mut warped = plate("F21", true, 1_948, Disposition::Rejected);
    warped.look = "burnt".into();
    warped.flatness = Some(um(160));
    warped.verdict = Some(Verdict::Outside);
    warped.reason = "0.160 mm out of flat, limit 0.100 mm".into();
    plates.push(warped);
    let mut doubted = plate("F22", true, 1_901, Disposition::Kept);
    doubted.look = "glazed".into();
    doubted.spare = true;
    doubted.verdict = Some(Verdict::TooCloseToCall);
    doubted.reason = "within the uncertainty of the wear limit".into();
    plates.push(doubted);
    let mut unread = plate("C22", false, 1_900, Disposition::NotMeasured);
    unread.spare = true;
    unread.readings.clear();
    (unread.mean, unread.uncertainty, unread.least) = (None, None, None);
    (unread.spread, unread.flatness) = (None, None);
    unread.verdict = None;
    plates.push(unread);
    plates
}

pub fn with_plates(friction: usize) -> Build {
    let mut build = empty();
    build.id = "moor-rear-0003".into();
    build.procedure.digest = "9f2c4a7e1b3d5f60718293a4b5c6d7e8f90a1b2c3d4e5f60718293a4b5c6d7e8".into();
    build.digest = "0123456789abcdef00112233445566778899aabbccddeeff0f1e2d3c4b5a6978".into();
    build.on_paper.lines = 214;
    build.on_paper.figures = [
        ("DRIVE", "60.0RING"),
        ("COAST", "60.0RING"),
        ("FACES", "8/8"),
        ("ROOM", "6.105MM"),
        ("FORCE", "1043N"),
        ("BREAK", "43.2NM"),
        ("STILL", "44.1NM"),
        ("TURN", "38.0NM"),
        ("HELD", "OUTPUT"),
    ]
    .map(|(key, value)| pair(key, value))
    .into();
    build.on_paper.seals = [(1, "Ada Example"), (2, "Bea Example")]
        .map(|(number, name)| SealLine {
            number,
            name: name.into(),
            time: "2026-03-02T16:40:00+00:00".into(),
            key: "SHA256:2IIwEgsI0J4iVSWGfMJV29Rl7634hkw7H/CMN6B2FI4".into(),
            lines: 214,
            known: true,
        })
        .into();
    build.identity = vec![
        pair("Car", "invented rally car, car 14"),
        pair("Axle", "rear"),
        pair("Unit", "moor-rear"),
        pair("Why", "event interval, driver reports push on entry"),
        pair("Distance", "1240 km since build moor-rear-0002"),
        pair("Workshop", "Example Motorsport, bench 2"),
    ];
    let ramp = |degrees| RampAngle::new(degrees, Datum::RingFace).unwrap();
    build.glance = Some(Glance {
        next_look: Some("1 500 km, or before the season of 2027".into()),
        ramps: [ramp(45.0), ramp(60.0)],
        faces: [10, 10],
        shims: [vec![um(500)], vec![um(300), um(200)]],
        held: Some("case held".into()),
        oil: Some("75W-140 with friction modifier".into()),
        distance: Some("1240 km".into()),
    });
    build.setting = vec![
        pair("Class", "one-and-a-half-way"),
        pair("Drive ramp", "45° from ring face (45° from shaft axis)"),
        pair("Coast ramp", "60° from ring face (30° from shaft axis)"),
        pair("Faces", "10 left, 10 right"),
        pair("Spring", "disc spring behind each pack, 1 in series"),
        pair("Preload wanted", "70 to 90 N·m, case held"),
    ];
    build.found_and_left = [
        ("Breakaway", Some("52 N·m"), Some("79.4 N·m")),
        ("Left gap to the ring", Some("0.41 mm"), Some("0.20 mm")),
        ("Right gap to the ring", Some("0.38 mm"), Some("0.20 mm")),
        (
            "Plate order",
            Some("alternating, right order"),
            Some("alternating"),
        ),
        ("Oil", Some("dark, some glitter"), Some("new, 1.1 l")),
        ("Drain plug", Some("fine grey paste"), None),
    ]
    .into_iter()
    .map(|(what, found, left)| FoundAndLeft {
        what: what.into(),
        found: found.map(String::from),
        left: left.map(String::from),
    })
    .collect();
    build.plates = plates(friction);
    build.packs = vec![pack(Side::Left, "L", friction), pack(Side::Right, "R", friction)];
    build.closings = ["left gap", "right gap", "installed spring height"]
        .into_iter()
        .enumerate()
        .map(|(n, what)| GapLine {
            what: what.into(),
            predicted: Some(um(if n == 2 { 4_120 } else { 205 })),
            uncertainty: Some(um(9)),
            sources: Vec::new(),
            measured: Some(um(if n == 2 { 4_110 } else { 200 })),
            least: Some(um(if n == 2 { 4_050 } else { 100 })),
            target: Some(um(if n == 2 { 4_120 } else { 200 })),
            most: Some(um(if n == 2 { 4_200 } else { 300 })),
            verdict: Some(if n == 1 {
                Verdict::TooCloseToCall
            } else {
                Verdict::Inside
            }),
        })
        .collect();
    build.preload = Some(Preload {
        height: um(4_120),
        force: newtons(3_420.0),
        uncertainty: Some(newtons(96.0)),
        simulated: Some(Simulated {
            low: newtons(3_236.0),
            high: newtons(3_611.0),
            inside: 0.93,
            draws: 100_000,
        }),
        interval: None,
        breakaway_uncertainty: None,
        breakaway_interval: None,
        breakaway_simulated: None,
        assumed: Vec::new(),
        loss_by_wear: Some((newtons(96.0), nm(7.7))),
        rate: SpringRate::from_newtons_per_mm(2_150.0).unwrap(),
        breakaway: Some(nm(78.6)),
        traps: vec![
            "The spring stands at 0.71 of its flattening height; past 0.75 the table forces end.".into(),
        ],
    });
    build.curve = Some(Curve {
        points: (0..=30)
            .map(|n| {
                let t = f64::from(n) * 40.0;
                (nm(t), nm((0.46 * t).max(78.0)), nm((0.27 * t).max(78.0)))
            })
            .collect(),
        drive_share: Ratio::new(0.46).unwrap(),
        coast_share: Ratio::new(0.27).unwrap(),
        bands: None,
        not_counted: String::new(),
        uneven: String::new(),
        class: RampClass::OneAndAHalfWay,
    });
    build.proofs = vec![
        round(1, 60.0, Some(Verdict::Outside)),
        round(2, 72.5, Some(Verdict::Inside)),
    ];
    build.bolts = vec![
        BoltLine {
            group: "cover".into(),
            what: "M8 × 25, class 10.9, 10 off".into(),
            stages: vec!["15 N·m".into(), "25 N·m".into(), "34 N·m".into()],
            setting: None,
            wrench: "TW-2, due 2026-09".into(),
            by: "A. Example, 2026-03-02 15:10".into(),
        },
        BoltLine {
            group: "crown wheel".into(),
            what: "M10 × 1, class 12.9, 12 off".into(),
            stages: vec!["40 N·m".into(), "75 N·m".into(), "30°".into()],
            setting: Some(nm(69.4)),
            wrench: "TW-3 with a 60 mm extension".into(),
            by: "A. Example, 2026-03-02 15:40".into(),
        },
    ];
    build.oil = vec![
        pair("Oil", "75W-140 with friction modifier as the unit's maker says"),
        pair("Amount", "1.10 l"),
        pair("Run-in", "20 figure-of-eights each way, then 30 min easy driving"),
    ];
    build.checks = vec![
        pair("Ring orientation", "drive side as marked"),
        pair("Spring orientation", "outer edge to the wall"),
        pair("Ramp faces", "no pitting"),
        pair("Cross pins", "flats bright, no step"),
    ];
    build.remarks = vec![
        Remark {
            kind: RemarkKind::Override,
            place: "Instruments: micrometer M-4".into(),
            text: "Calibration ran out two days ago; the standard reads right at 0 and 25 mm.".into(),
            by: "A. Example".into(),
            at: "2026-03-01T09:02:00+00:00".into(),
        },
        Remark {
            kind: RemarkKind::Note,
            place: "Strip".into(),
            text: "Plate FL3 was in the right order but turned over.".into(),
            by: "A. Example".into(),
            at: "2026-03-01T09:40:00+00:00".into(),
        },
        Remark {
            kind: RemarkKind::Skipped,
            place: "Pressed pack height, right".into(),
            text: "The press is in use.".into(),
            by: "A. Example".into(),
            at: "2026-03-01T10:15:00+00:00".into(),
        },
    ];
    build.cautions = vec![
        CautionLine {
            words: vec![
                "Level hard ground, wheels chocked. The jack only lifts: rated stands under the maker's points, and \
                 shake the car before anyone goes under it."
                    .into(),
                "Never run the engine with one driven wheel on the ground: a limited-slip axle drives the car off \
                 its stands. Oil and exhaust may be hot. Two people lift the unit."
                    .into(),
            ],
            by: "A. Example".into(),
            at: "2026-03-01T08:12:00+00:00".into(),
        },
        CautionLine {
            words: vec![
                "The cover is under 6840 N (697 kgf) of spring force. Slacken evenly and crosswise, and keep the \
                 last two bolts until the spring is free."
                    .into(),
            ],
            by: "A. Example".into(),
            at: "2026-03-01T08:58:00+00:00".into(),
        },
    ];
    build.open = vec!["Signatures are missing.".into()];
    build
}
