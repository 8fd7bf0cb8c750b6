//! Whether 95 % intervals hold the truth in 95 %: invented units whose springs, friction, radius, wrench and zeros are drawn from
//! just the doubts that are stated of them. An ordinary run draws a thousand units of each level; `SHIMWRIGHT_FILL=1 cargo test
//! --test mechanics coverage` draws ten thousand and writes the table in DEVELOPERS.md anew.

use crate::draws::Draws;
use crate::table::table_under;
use shimwright::mechanics::friction::{
    KnownFriction, ShownFriction, SpringsIn, TradeFriction, known_friction,
};
use shimwright::mechanics::prediction::{
    FrictionDoubt, Packs, Predicted, Prediction, ReadForce, StackDoubt, TabsDoubt,
};
use shimwright::mechanics::spring::delivered_force;
use shimwright::mechanics::tabs::PlateTabs;
use shimwright::mechanics::{
    Bench, Direction, DiscSpring, Held, Holding, LockModel, LockSetup, Movement, Sense, SpringPlace,
    SpringStack, Turned,
};
use shimwright::metrology::{Draw, Input, propagate};
use shimwright::quantity::{Datum, Force, Length, RampAngle, Ratio, Torque};

const SEED: u64 = 20_261_130;
/// How far one build's friction differs from the unit's mean, as it is stated: *common practice, no source*.
const BETWEEN: f64 = 0.06;
const DOUBT: f64 = 0.10;
const WRENCH: f64 = 0.02;
const READING: f64 = 0.01;
/// Standard uncertainties of heights, in millimetres.
const HEIGHT: f64 = 0.004;
const FREE: f64 = 0.009;
/// What the zero and the calibration of the depth gauge leave of both alike: two stacks share the room, each has its free height.
const GAUGE: [f64; 2] = [0.003, 0.006];
const STEEL: f64 = 0.15;
/// Of a press: what it reads, as a share, and the height to which it presses, in millimetres.
const PRESS: f64 = 0.005;
const PRESS_HEIGHT: f64 = 0.006;

fn ratio(value: f64) -> Ratio {
    Ratio::new(value).unwrap()
}

fn mm(mm: f64) -> Length {
    Length::from_mm(mm).unwrap()
}

/// What was measured of a unit before it is asked what it will show.
#[derive(Clone, Copy)]
enum Level {
    Nothing,
    /// The springs have a certificate of ± 2 %.
    Springs,
    /// They were read in a press, and proofs with it.
    Press(usize),
    Proofs(usize),
    /// The proofs were read with other springs than those that are in now.
    OtherSprings(usize),
}

const LEVELS: [(&str, Level); 8] = [
    ("nothing", Level::Nothing),
    ("the springs by a certificate", Level::Springs),
    ("the springs in a press", Level::Press(0)),
    ("the springs in a press, four proofs", Level::Press(4)),
    ("one proof", Level::Proofs(1)),
    ("four proofs", Level::Proofs(4)),
    ("nine proofs", Level::Proofs(9)),
    ("four proofs, other springs since", Level::OtherSprings(4)),
];

const ROWS: [&str; 5] = [
    "preload",
    "breakaway",
    "lock on drive",
    "lock at 200 N·m",
    "friction",
];
/// The torque at the case of the fourth row: near where ramps pass a spring behind the pack.
const CASE: f64 = 200.0;

/// An invented unit, as its file has it.
struct Made {
    bench: Bench,
    stack: SpringStack,
    height: f64,
    springs: [f64; 2],
    radius: [f64; 2],
    tabs: TabsDoubt,
    file: f64,
}

fn made(draws: &mut Draws, level: Level) -> Made {
    // discs of the sizes of DIN EN 16983 and of its group 2, from the table of references, in a row of two
    let sizes = [
        (50.0, 25.4, 1.25, 2.85),
        (50.0, 25.4, 2.0, 3.4),
        (56.0, 28.5, 2.0, 3.6),
        (63.0, 31.0, 2.5, 4.25),
    ];
    let (outside, inside, thickness, free) = sizes[(draws.even() * sizes.len() as f64) as usize];
    let disc = DiscSpring::new(mm(outside), mm(inside), mm(thickness), mm(free), None).unwrap();
    let stack = SpringStack::discs(disc, 1, 2).unwrap();
    let height = 2.0 * (free - draws.between(0.35, 0.65) * (free - thickness));
    let springs = match level {
        Level::Springs => [0.98, 1.02],
        _ => {
            let [less, more] = delivered_force(mm(thickness)).unwrap();
            [1.0 - less.value(), 1.0 + more.value()]
        }
    };
    let file = draws.between(0.08, 0.13);
    let faces = 2 * draws.between(3.0, 6.0) as u32;
    let place = match draws.even() < 0.5 {
        true => SpringPlace::BehindPack,
        false => SpringPlace::BetweenRings,
    };
    let bench = Bench {
        setup: LockSetup {
            faces: [faces; 2],
            friction: ratio(1.2 * file),
            friction_radius: mm(40.0),
            pin_radius: mm(31.0),
            drive: RampAngle::new(draws.between(50.0, 70.0), Datum::RingFace).unwrap(),
            coast: RampAngle::new(70.0, Datum::RingFace).unwrap(),
            ramp_friction: ratio(0.06),
            preload: [Force::from_newtons(0.0).unwrap(); 2],
            spring_place: place,
            gear_thrust: None,
            tab_friction: None,
        },
        turning: ratio(file),
        holding: Holding {
            held: Held::Output,
            turned: Turned::Right,
            sense: Sense::Forwards,
        },
    };
    Made {
        bench,
        stack,
        height,
        springs,
        radius: [1.0, 1.017],
        tabs: TabsDoubt {
            inside: mm(31.0),
            outside: mm(49.0),
            most: ratio(STEEL),
        },
        file,
    }
}

/// One build of it: the height that its springs really stand at, and what was measured of that.
struct Built {
    truth: [f64; 2],
    measured: [f64; 2],
}

fn built(draws: &mut Draws, made: &Made, free: f64) -> Built {
    let height = made.height + draws.between(-0.03, 0.03);
    // the zero is read anew in each build
    let gauge = draws.normal();
    Built {
        truth: [height, free],
        measured: [
            height + HEIGHT * draws.normal() + GAUGE[0] * gauge,
            free + FREE * draws.normal() + GAUGE[1] * gauge,
        ],
    }
}

fn force(stack: &SpringStack, [height, free]: [f64; 2]) -> f64 {
    let settled = stack.with_free_height(mm(free)).unwrap();
    settled.force_at_height(mm(height)).unwrap().newtons()
}

/// What the press reads of springs that give so much of their law, near the height that they are built to.
fn read_in_press(draws: &mut Draws, made: &Made, springs: f64, free: f64) -> ReadForce {
    let shown = made.height + draws.between(-0.05, 0.05);
    let stood = shown + PRESS_HEIGHT * draws.normal();
    let read = springs * force(&made.stack, [stood, free]) * (1.0 + PRESS * draws.normal());
    ReadForce {
        height: mm(shown),
        force: Force::from_newtons(read).unwrap(),
        force_standard: PRESS,
        height_standard: PRESS_HEIGHT,
    }
}

/// The force that is reckoned of a stack, by its law or as a press has read it.
fn reckoned(stack: &SpringStack, read: Option<ReadForce>, [height, free]: [f64; 2]) -> f64 {
    let settled = stack.with_free_height(mm(free)).unwrap();
    let settled = match read {
        Some(read) => settled.as_read(read.height, read.force).unwrap(),
        None => settled,
    };
    settled.force_at_height(mm(height)).unwrap().newtons()
}

fn under(bench: &Bench, newtons: f64) -> Bench {
    bench.pressed([Force::from_newtons(newtons).unwrap(); 2])
}

fn reads(bench: &Bench, newtons: f64, times: f64) -> f64 {
    let none = Torque::from_newton_metres(0.0).unwrap();
    let rubbing = under(bench, newtons).rubbing(times).unwrap();
    rubbing.turning(none).unwrap().reading.newton_metres()
}

/// Whether each interval holds the truth of one unit.
fn holds(seed: u64, level: Level) -> [bool; 5] {
    let draws = &mut Draws(seed);
    let made = made(draws, level);
    let free = made.stack.free_height().mm();
    let free = free + 0.02 * draws.normal();
    let mean = made.file * (1.0 + (DOUBT * DOUBT - BETWEEN * BETWEEN).sqrt() * draws.normal());
    let (springs, radius) = (
        draws.between(made.springs[0], made.springs[1]),
        draws.between(made.radius[0], made.radius[1]),
    );
    let wrench = 1.0 + WRENCH * draws.normal();
    let (count, set) = match level {
        Level::Proofs(count) | Level::Press(count) => (count, 1),
        Level::OtherSprings(count) => (count, 2),
        _ => (0, 1),
    };
    let in_press = match level {
        Level::Press(_) => Some(read_in_press(draws, &made, springs, free)),
        _ => None,
    };
    // both doubts of the press together, as a share of the force
    let press = in_press.map(|read| {
        let at = |off: f64| force(&made.stack, [read.height.mm() + off, free]);
        ratio(PRESS.hypot(at(PRESS_HEIGHT) / at(0.0) - 1.0))
    });
    let mut proofs = Vec::new();
    for _ in 0..count {
        let at = built(draws, &made, free);
        let friction = mean * (1.0 + BETWEEN * draws.normal()) / made.file;
        let shown = reads(
            &made.bench,
            springs * force(&made.stack, at.truth),
            radius * friction,
        );
        let read = shown * wrench * (1.0 + READING * draws.normal());
        let by = |at: [f64; 2]| reckoned(&made.stack, in_press, at);
        let reckoned = by(at.measured);
        let none = Torque::from_newton_metres(0.0).unwrap();
        let factor = under(&made.bench, reckoned)
            .factor(Movement::Turning, Torque::from_newton_metres(read).unwrap(), none)
            .unwrap();
        let by_height = by([at.measured[0] + HEIGHT, at.measured[1]]) / reckoned - 1.0;
        let by_free = by([at.measured[0], at.measured[1] + FREE]) / reckoned - 1.0;
        let by_gauge = by([at.measured[0] + GAUGE[0], at.measured[1] + GAUGE[1]]) / reckoned - 1.0;
        proofs.push(ShownFriction {
            friction: ratio(factor * made.file),
            own: ratio(READING.hypot(by_height).hypot(by_free).hypot(by_gauge)),
            wrench: "wrench".to_string(),
            calibration: ratio(WRENCH),
            springs: 1,
            press,
        });
    }
    let springs = match set {
        1 => springs,
        _ => draws.between(made.springs[0], made.springs[1]),
    };
    // the build that is asked after
    let now = built(draws, &made, free);
    let friction = mean * (1.0 + BETWEEN * draws.normal());
    let steel = draws.even();
    let known: Option<KnownFriction> = (count > 0).then(|| {
        let trade = TradeFriction {
            friction: ratio(made.file),
            doubt: ratio(DOUBT * made.file),
            springs: made.springs,
            radius: made.radius,
        };
        let springs = press.map_or(SpringsIn::Set(set), SpringsIn::Read);
        known_friction(&trade, &proofs, springs).unwrap()
    });
    let prediction = Prediction {
        bench: made.bench.clone(),
        stacks: vec![StackDoubt {
            stack: made.stack.with_free_height(mm(now.measured[1])).unwrap(),
            height: mm(now.measured[0]),
            height_standard: HEIGHT,
            free_standard: FREE,
            gauge: GAUGE,
            nested: None,
            thickness_standard: None,
            read: in_press,
        }],
        springs: Some(made.springs),
        radius: Some(made.radius),
        friction: match known {
            Some(known) => FrictionDoubt::Shown(known),
            None => FrictionDoubt::Trade(ratio(made.file), ratio(DOUBT * made.file)),
        },
        tabs: Some(made.tabs),
    };
    let newtons = springs * force(&made.stack, now.truth);
    let lock = {
        let mut setup = made.bench.setup.clone();
        setup.friction = ratio(friction * radius);
        setup.preload = [Force::from_newtons(newtons).unwrap(); 2];
        let tabs = PlateTabs {
            inside: made.tabs.inside,
            outside: made.tabs.outside,
            friction: ratio(STEEL * steel),
        };
        LockModel::new(setup).unwrap().with_tabs(tabs).unwrap()
    };
    let case = Torque::from_newton_metres(CASE).unwrap();
    let within = |of: Predicted, truth: f64| {
        let all = propagate(&prediction.inputs(of), prediction.follows(of)).unwrap();
        let (low, high) = all.interval(0.95).unwrap();
        (low..=high).contains(&truth)
    };
    let by_plates = match known {
        Some(known) => {
            let plates = known.plates;
            let (mean, scale) = (
                plates.friction.value(),
                plates.friction.value() * plates.relative.value(),
            );
            vec![match plates.dof.is_finite() {
                true => Input {
                    name: "friction",
                    draw: Draw::StudentT {
                        mean,
                        scale,
                        dof: plates.dof,
                    },
                },
                false => Input {
                    name: "friction",
                    draw: Draw::Normal { mean, sd: scale },
                },
            }]
        }
        None => vec![
            Input {
                name: "friction",
                draw: Draw::Normal {
                    mean: made.file,
                    sd: DOUBT * made.file,
                },
            },
            Input {
                name: "radius",
                draw: Draw::Uniform {
                    low: made.radius[0],
                    high: made.radius[1],
                },
            },
        ],
    };
    let (low, high) = propagate(&by_plates, |values| Some(values.iter().product()))
        .unwrap()
        .interval(0.95)
        .unwrap();
    [
        within(Predicted::Force, newtons),
        within(
            Predicted::Breakaway,
            reads(&made.bench, newtons, radius * friction / made.file),
        ),
        within(
            Predicted::Share(Direction::Drive, Packs::Slipping),
            lock.share(Direction::Drive).value(),
        ),
        within(
            Predicted::Difference(Direction::Drive, case, Packs::Slipping),
            lock.torque_difference(Direction::Drive, case)
                .unwrap()
                .newton_metres(),
        ),
        (low..=high).contains(&(friction * radius)),
    ]
}

/// In how many of so many units each interval of a level holds the truth.
fn held(units: u64, number: u64, level: Level) -> [u64; 5] {
    let mut held = [0; 5];
    for unit in 0..units {
        let seed = SEED.wrapping_add(unit.wrapping_mul(0x9e37_79b9_7f4a_7c15)) ^ (number << 56);
        for (sum, holds) in held.iter_mut().zip(holds(seed, level)) {
            *sum += u64::from(holds);
        }
    }
    held
}

/// The heading in DEVELOPERS.md under which the table stands.
const HEADING: &str = "### Intervals hold what they say";

#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    let fill = std::env::var_os("SHIMWRIGHT_FILL").is_some();
    let units = if fill { 10_000 } else { 1000 };
    let mut rows = Vec::new();
    for (number, (name, level)) in LEVELS.iter().enumerate() {
        let held = held(units, number as u64, *level);
        let cells = held.map(|held| format!("{:.1} %", 100.0 * held as f64 / units as f64));
        rows.push(format!("| {name} | {} |", cells.join(" | ")));
        for (held, row) in held.into_iter().zip(ROWS) {
            let share = held as f64 / units as f64;
            // three standard deviations of the binomial in a thousand; in ten thousand what is claimed
            let allowed = if fill { 0.94..=0.96 } else { 0.929..=0.971 };
            assert!(
                allowed.contains(&share),
                "{name}, {row}: {share}\n{}",
                rows.join("\n")
            );
        }
    }
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md");
    let text = std::fs::read_to_string(&path).unwrap();
    if fill {
        let (before, after) = text.split_once(HEADING).unwrap();
        let (words, table) = after.split_once("\n|").unwrap();
        let rest = table.split_once("\n\n").unwrap().1;
        let rule = "---|".repeat(1 + ROWS.len());
        let head = format!("| measured | {} |\n|{rule}", ROWS.join(" | "));
        let written = format!("{before}{HEADING}{words}\n{head}\n{}\n\n{rest}", rows.join("\n"));
        std::fs::write(path, written).unwrap();
    } else {
        let kept: Vec<String> = table_under(&text, HEADING)
            .into_iter()
            .map(|row| row[0].clone())
            .collect();
        assert_eq!(
            kept,
            LEVELS.map(|(name, _)| name),
            "SHIMWRIGHT_FILL=1 writes the table anew"
        );
    }
}

#[test]
fn a_doubt_below_nothing_is_refused_wherever_it_stands() {
    let trade = TradeFriction {
        friction: ratio(0.1),
        doubt: ratio(0.01),
        springs: [0.925, 1.15],
        radius: [1.0, 1.017],
    };
    let proof = ShownFriction {
        friction: ratio(0.1),
        own: ratio(0.01),
        wrench: "wrench".to_string(),
        calibration: ratio(0.02),
        springs: 1,
        press: Some(ratio(0.005)),
    };
    let known = |trade: &TradeFriction, proof: &ShownFriction, springs| {
        known_friction(trade, std::slice::from_ref(proof), springs).is_ok()
    };
    let less = ratio(-0.01);
    assert!(known(&trade, &proof, SpringsIn::Set(1)) && known(&trade, &proof, SpringsIn::Read(ratio(0.0))));
    assert!(!known(&trade, &proof, SpringsIn::Read(less)));
    assert!(!known(
        &TradeFriction { doubt: less, ..trade },
        &proof,
        SpringsIn::Set(1)
    ));
    for spoilt in [
        ShownFriction {
            own: less,
            ..proof.clone()
        },
        ShownFriction {
            calibration: less,
            ..proof.clone()
        },
        ShownFriction {
            press: Some(less),
            ..proof.clone()
        },
    ] {
        assert!(!known(&trade, &spoilt, SpringsIn::Set(1)));
    }
}
