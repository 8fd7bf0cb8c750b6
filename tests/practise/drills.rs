//! Drills: every card has one right answer, found again from its text alone, and says the wrong ones wrong.
//!
//! What a plate, a drawing or a scene shows is read here by other means than it was made; sums go through the engine.

use crate::sweep::seeds;
use shimwright::choice::{Candidate, First, Layout, Need, Request, ShimSize, SideChoice, Window, evaluate};
use shimwright::mechanics::pack::active_faces;
use shimwright::mechanics::wrench::{setting_for, true_torque};
use shimwright::mechanics::{
    Bench, Held, Holding, Keying, LockSetup, MechanicsError, Sense, Side, SpringPlace, Turned,
};
use shimwright::metrology::{Instrument, measure};
use shimwright::practice::drills::{CARDS, Card, Drill, Wanted, deal};
use shimwright::procedure::PLATE_LOOKS;
use shimwright::quantity::{Angle, Datum, Force, Length, RampAngle, Ratio, Torque, parse};
use std::cmp::Ordering;
use std::collections::HashSet;

/// Each card of a drill with what is wrong with it, if anything.
fn every(drill: Drill, right: impl Fn(&Card) -> String) {
    let mut runs = HashSet::new();
    for seed in 1..=seeds() {
        let cards = deal(drill, seed);
        assert_eq!(cards.len(), CARDS, "{drill:?}, seed {seed}");
        let mut texts = HashSet::new();
        for card in &cards {
            let whose = format!("{drill:?}, seed {seed}: {card:#?}");
            assert!(texts.insert(card.text()), "the same card twice: {whose}");
            assert!(!card.reason.is_empty() && !card.topic.is_empty(), "{whose}");
            held_to(card, &right(card), &whose);
        }
        let all: Vec<String> = cards.iter().map(Card::text).collect();
        assert!(runs.insert(all), "the run of seed {seed} was dealt before");
    }
}

/// The answer that was found is right, and no other.
fn held_to(card: &Card, found: &str, whose: &str) {
    let judged = |typed: &str| {
        card.judge(typed)
            .unwrap_or_else(|words| panic!("{words}: {typed}: {whose}"))
    };
    let right = judged(found);
    assert!(right.right, "found {found}, told {}: {whose}", right.verdict);
    assert!(right.verdict.starts_with("Right: "), "{whose}");
    assert!(
        card.judge("neither").is_err() && card.judge("").is_err(),
        "{whose}"
    );
    let all = format!("{}\n{}\n{}", card.text(), right.verdict, right.reason.join("\n"));
    for word in ["is safe", "are safe", "safely", "OTHER", "SIDE", "TOOTH"] {
        assert!(!all.contains(word), "{word}: {whose}");
    }
    let wrongs: Vec<String> = match &card.wanted {
        Wanted::One { options, right } => {
            assert!(options.len() > 1, "{whose}");
            let keys: HashSet<&str> = options.iter().map(|option| option.key.as_str()).collect();
            assert_eq!(keys.len(), options.len(), "a key twice: {whose}");
            keys.into_iter()
                .filter(|key| key != right)
                .map(str::to_string)
                .collect()
        }
        Wanted::Number { near, right, .. } => {
            assert!(
                !numbers(&card.text())
                    .iter()
                    .any(|n| (n - number(found)).abs() < 1e-9),
                "the answer stands in the card: {whose}"
            );
            let unit = found.trim_start_matches(|c: char| c.is_ascii_digit() || ".-".contains(c));
            let step = match unit.is_empty() {
                true => 1.0,
                false => 2.5 * near / right * number(found),
            };
            [-2.0, -1.0, 1.0, 2.0]
                .map(|times| number(found) + times * step)
                .into_iter()
                .filter(|wrong| *wrong >= 0.0)
                .map(|wrong| match unit.is_empty() {
                    true => format!("{}", wrong.round()),
                    false => format!("{wrong:.4}{unit}"),
                })
                .collect()
        }
    };
    for wrong in wrongs {
        let judged = judged(&wrong);
        assert!(!judged.right, "{wrong} is taken for right: {whose}");
        assert!(judged.verdict.starts_with("Wrong: it is "), "{whose}");
    }
    for (slip, words) in &card.slips {
        assert!(!words.is_empty(), "{whose}");
        let Wanted::Number { right, near, .. } = &card.wanted else {
            panic!("{whose}")
        };
        assert!((slip - right).abs() > *near, "a slip that is right: {whose}");
    }
}

/// All numbers of a text, in their order.
fn numbers(text: &str) -> Vec<f64> {
    text.split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .filter_map(|word| word.trim_matches('.').parse().ok())
        .collect()
}

fn number(text: &str) -> f64 {
    numbers(text)[0]
}

fn um(mm: f64) -> Length {
    Length::from_um((mm * 1e3).round() as i64)
}

fn nm(torque: f64) -> Torque {
    Torque::from_newton_metres(torque).unwrap()
}

fn words(card: &Card) -> String {
    card.words.join(" ")
}

/// What each look shows (common practice, no source), in words that no sound line has.
const SIGNS: [(&str, &[&str]); 4] = [
    ("burnt", &["does not take it off", "blue", "blisters"]),
    ("glazed", &["mirror", "glassy", "polished"]),
    (
        "torn",
        &["leans out", "is gone", "catches on a step", "shorter than"],
    ),
    (
        "cracked",
        &[
            "hair-line",
            "opens when",
            "fine as a hair",
            "clacks",
            "dead sound",
            "buzzes",
        ],
    ),
];

#[test]
fn a_plate_shows_signs_of_one_look_or_of_none() {
    every(Drill::Looks, |card| {
        assert_eq!(card.words.len(), 6, "{card:#?}");
        let shows = |signs: &[&str]| {
            card.words
                .iter()
                .any(|line| signs.iter().any(|sign| line.contains(sign)))
        };
        let found: Vec<&str> = SIGNS
            .iter()
            .filter(|(_, signs)| shows(signs))
            .map(|(look, _)| *look)
            .collect();
        let look = match found.as_slice() {
            [] => "good",
            [one] => one,
            several => panic!("{several:?}: {card:#?}"),
        };
        // what follows is what the engine does with a plate that looks so
        let (_, _, goes) = PLATE_LOOKS.iter().find(|(word, ..)| *word == look).unwrap();
        assert_eq!(
            card.reason.last().unwrap().starts_with("Rejected."),
            *goes,
            "{card:#?}"
        );
        look.to_string()
    });
}

/// Where a sign stands in a line, by columns.
fn columns(line: &str, sign: char) -> Vec<usize> {
    line.chars()
        .enumerate()
        .filter(|(_, c)| *c == sign)
        .map(|(at, _)| at)
        .collect()
}

/// Reads a barrel as a hand and an eye do: lines left of the thimble's edge, then the thimble at the long line.
fn barrel(drawing: &[String]) -> f64 {
    let datum = drawing.iter().position(|line| line.starts_with("==")).unwrap();
    let edge = drawing[datum].find('|').unwrap();
    let before = |line: &str| {
        columns(line, '|')
            .into_iter()
            .filter(|at| *at < edge)
            .collect::<Vec<_>>()
    };
    let (whole, halves) = (before(&drawing[datum - 1]), before(&drawing[datum + 1]));
    let mut mm = whole.len() as f64 - 1.0;
    if halves.last() > whole.last() {
        mm += 0.5;
    }
    // a numbered line of the thimble, so many lines above or below the long line
    let (row, named) = drawing
        .iter()
        .enumerate()
        .find_map(|(row, line)| Some((row, line.split_once("|--- ")?.1.trim().parse::<i64>().unwrap())))
        .unwrap();
    let hundredths = (named - (datum as i64 - row as i64)).rem_euclid(50);
    // a line right at the edge counts once the thimble has passed its nought, and not just before it
    let last = whole.last().max(halves.last()).unwrap();
    if edge - last == 1 && hundredths > 25 {
        mm -= 0.5;
    }
    // the edge is where the number is: lines are four columns apart
    let passed = edge as f64 - 5.0 - 8.0 * mm;
    assert!(
        (passed - hundredths as f64 * 4.0 / 50.0).abs() <= 1.0,
        "{drawing:#?}"
    );
    mm + hundredths as f64 / 100.0
}

/// The number of a vernier's line that stands straight across from one of the scale, the only one; `named` lines a number.
fn across(numbered: &str, upper: &str, lower: &str, named: usize) -> usize {
    let (upper, lower) = (columns(upper, '|'), columns(lower, '|'));
    for row in [&upper, &lower] {
        let gaps: HashSet<usize> = row.windows(2).map(|pair| pair[1] - pair[0]).collect();
        assert_eq!(gaps.len(), 1, "uneven gaps: {row:?}");
    }
    let straight: Vec<usize> = upper.iter().copied().filter(|at| lower.contains(at)).collect();
    assert_eq!(straight.len(), 1, "{upper:?} {lower:?}");
    // a number stands above its line, its first figure in the line's column
    let (at, first) = (0..upper.len())
        .find_map(|n| {
            let figures: String = numbered
                .chars()
                .skip(upper[n])
                .take_while(char::is_ascii_digit)
                .collect();
            Some((n, figures.parse::<usize>().ok()?))
        })
        .unwrap();
    let line = upper.iter().position(|column| *column == straight[0]).unwrap();
    first * named + line - at
}

/// What a hand stands at on a straight scale.
fn pointed(drawing: &[String], sign: char) -> f64 {
    let at = columns(&drawing[2], sign)[0];
    let noughts = columns(&drawing[1], '|');
    let divisions = at - noughts[0];
    let ten = numbers(&drawing[0])[1];
    divisions as f64 * ten / (noughts[1] - noughts[0]) as f64
}

fn reading(card: &Card) -> String {
    let drawing = &card.drawing;
    match card.topic {
        "micrometer" => format!("{:.2} mm", barrel(drawing)),
        "vernier" => {
            let [numbered, upper, lower] = &drawing[drawing.len() - 3..] else {
                panic!("{card:#?}")
            };
            let line = across(numbered, upper, lower, 1);
            format!("{:.3} mm", barrel(drawing) + line as f64 / 1e3)
        }
        "depth gauge" => {
            let nought = columns(&drawing[2], '^')[0];
            let first = number(&drawing[0]);
            let passed = drawing[1]
                .chars()
                .take(nought)
                .filter(|c| "|'".contains(*c))
                .count();
            let [numbered, upper, lower] = &drawing[drawing.len() - 3..] else {
                panic!("{card:#?}")
            };
            let line = across(numbered, upper, lower, 2);
            // the nought is where the number is: six columns a millimetre
            let behind = (nought % 6) as f64;
            assert!((behind - 0.3 * line as f64).abs() <= 1.0, "{card:#?}");
            format!("{:.2} mm", first + passed as f64 - 1.0 + 0.05 * line as f64)
        }
        "feeler" => {
            let went = drawing[1..].iter().filter(|line| line.find('[') < line.find('>'));
            let most = went
                .map(|line| numbers(line).iter().sum::<f64>())
                .fold(0.0, f64::max);
            // the next hundredth stops: nothing is left between
            let stops = drawing[1..].iter().filter(|line| line.find('[') > line.find('>'));
            let least = stops
                .map(|line| numbers(line).iter().sum::<f64>())
                .fold(9.0, f64::min);
            assert!((least - most - 0.01).abs() < 1e-9, "{card:#?}");
            format!("{most:.2} mm")
        }
        "dial wrench" => format!("{} N·m", pointed(drawing, 'o')),
        "beam wrench" => {
            let unit = words(card)
                .split_once("scale is in ")
                .unwrap()
                .1
                .trim_end_matches('.')
                .to_string();
            format!("{} {unit}", pointed(drawing, '^'))
        }
        other => panic!("{other}"),
    }
}

#[test]
fn a_drawn_instrument_reads_as_it_is_told() {
    every(Drill::Read, reading);
}

/// Standard, and what is shown on it.
fn zero_error(card: &Card) -> f64 {
    let said = numbers(&card.words[0]);
    said[0] - said[1]
}

#[test]
fn a_zero_error_goes_the_way_that_measuring_takes_it() {
    every(Drill::Zero, |card| {
        let off = um(zero_error(card));
        let instrument = Instrument {
            id: "gauge".to_string(),
            resolution: Length::from_um(1),
            calibration: Length::ZERO,
            repeatability: Length::ZERO,
            zero: Length::ZERO,
        };
        let is = |reading: Length| measure(&instrument, off, &[reading]).unwrap().0.value;
        match card.topic {
            "sign" => match is(um(9.0)).cmp(&um(9.0)) {
                Ordering::Less => "off",
                Ordering::Greater => "on",
                Ordering::Equal => "nothing",
            }
            .to_string(),
            "zero" => {
                let shown = number(&card.words[1]);
                let decimals = if words(card).contains("micrometer") { 3 } else { 2 };
                format!("{:.decimals$} mm", is(um(shown)).mm())
            }
            "chain" => {
                // the true parts by the true depth, and what the gauge makes of what it reads of them
                let (part, depth) = (um(2.0), um(30.0));
                let said = words(card);
                let count = said
                    .split_once(" plates and rings")
                    .and_then(|(before, _)| before.rsplit(' ').next()?.parse::<i64>().ok())
                    .unwrap();
                let by = |read: bool| if read { off } else { Length::ZERO };
                let each = said.contains("measures all");
                let pack = part * count + by(each) * count + by(said.contains("in one reading"));
                let read = depth + by(said.contains("measures the depth")) - pack;
                match read.cmp(&(depth - part * count)) {
                    Ordering::Greater => "large",
                    Ordering::Less => "small",
                    Ordering::Equal => "right",
                }
                .to_string()
            }
            other => panic!("{other}"),
        }
    });
}

/// A bench with two packs alike.
fn bench(pack: [f64; 3], pin_mm: f64, ramp: RampAngle, preload: f64, held: Held) -> Bench {
    let [faces, friction, radius] = pack;
    Bench {
        setup: LockSetup {
            faces: [faces as u32; 2],
            friction: Ratio::new(friction).unwrap(),
            friction_radius: um(radius),
            pin_radius: um(pin_mm),
            drive: ramp,
            coast: ramp,
            ramp_friction: Ratio::new(0.0).unwrap(),
            preload: [Force::from_newtons(preload).unwrap(); 2],
            spring_place: SpringPlace::BehindPack,
            gear_thrust: None,
            tab_friction: None,
        },
        turning: Ratio::new(friction).unwrap(),
        holding: Holding {
            held,
            turned: Turned::Left,
            sense: Sense::Backwards,
        },
    }
}

#[test]
fn what_the_wrench_shows_and_whether_it_wedges_is_the_engines() {
    every(Drill::Held, |card| {
        let said = words(card);
        match card.topic {
            "held" => {
                // what stands still: an output with a bar, a spanner or jaws on it while the case goes round
                let turns_along = ["turns along", "goes round", "rollers", "free to turn"];
                if turns_along.iter().any(|sign| said.contains(sign)) {
                    "output"
                } else {
                    "case"
                }
                .to_string()
            }
            "shown" => {
                let [pack, drag] = [numbers(&said)[0], numbers(&said)[1]];
                let held = if said.contains("The case is held") {
                    Held::Case
                } else {
                    Held::Output
                };
                // another pack that holds as much: 6 faces at 42 mm
                let preload = pack / (6.0 * 0.11 * 0.042);
                let unit = bench([6.0, 0.11, 42.0], 33.0, RampAngle::NONE, preload, held);
                format!(
                    "{:.1} N·m",
                    unit.first_movement(nm(drag)).unwrap().reading.newton_metres()
                )
            }
            "wedges" => {
                let n = numbers(&said);
                let ramp = RampAngle::new(n[4], Datum::RingFace).unwrap();
                let held = if said.contains("with the case held") {
                    Held::Case
                } else {
                    Held::Output
                };
                let unit = bench([n[0], n[2], n[1]], n[3], ramp, 900.0, held);
                match unit.first_movement(nm(1.0)) {
                    Ok(_) => "turns".to_string(),
                    Err(MechanicsError::Wedges { .. }) => "wedges".to_string(),
                    Err(other) => panic!("{other}"),
                }
            }
            other => panic!("{other}"),
        }
    });
}

#[test]
fn a_wrench_is_set_to_what_the_engine_sets_it_to() {
    every(Drill::Wrench, |card| {
        let said = words(card);
        let n = numbers(&said);
        let straight = Angle::from_degrees(0.0).unwrap();
        match card.topic {
            "units" => {
                let figure = said.split_once("says ").unwrap().1.split_once(" for").unwrap().0;
                let unit = said.rsplit_once("scale in ").unwrap().1.trim_end_matches('.');
                let one: Torque = parse(&format!("1 {unit}")).unwrap();
                let wanted: Torque = parse(figure).unwrap();
                format!("{:.2} {unit}", wanted.newton_metres() / one.newton_metres())
            }
            "adaptor" if said.contains("clicked") => {
                let bolt = true_torque(nm(n[0]), um(n[2]), um(n[1]), straight).unwrap();
                format!("{:.2} N·m", bolt.newton_metres())
            }
            "adaptor" => {
                let set = setting_for(nm(n[0]), um(n[2]), um(n[1]), straight).unwrap();
                format!("{:.2} N·m", set.newton_metres())
            }
            "which way" => {
                let (bend, reach) = if said.contains("along the bolt") {
                    (0.0, 0.0)
                } else if said.contains("square to the wrench.") {
                    (90.0, n[2])
                } else if said.contains("folded back") {
                    (180.0, n[2])
                } else {
                    (0.0, n[2])
                };
                let bend = Angle::from_degrees(bend).unwrap();
                let set = setting_for(nm(n[0]), um(n[1]), um(reach), bend)
                    .unwrap()
                    .newton_metres();
                match set - n[0] {
                    apart if apart < -0.01 => "lower",
                    apart if apart > 0.01 => "higher",
                    _ => "same",
                }
                .to_string()
            }
            other => panic!("{other}"),
        }
    });
}

/// The plates of a section, from the wall: what reaches up is keyed to the case, what reaches down to the side gear.
fn section(drawing: &[String]) -> Vec<Keying> {
    let (top, bottom) = (columns(&drawing[1], '|'), columns(&drawing[5], '|'));
    let mut all: Vec<(usize, Keying)> = top.into_iter().map(|at| (at, Keying::Case)).collect();
    all.extend(bottom.into_iter().map(|at| (at, Keying::Gear)));
    all.sort_by_key(|(at, _)| *at);
    assert_eq!(columns(&drawing[3], '|').len(), all.len());
    all.into_iter().map(|(_, keyed)| keyed).collect()
}

#[test]
fn faces_are_counted_and_the_dead_one_found_as_the_engine_does() {
    every(Drill::Order, |card| match card.topic {
        "faces" => {
            let on_wall = words(card).contains("on the plain wall");
            assert_eq!(card.drawing[3].contains('~'), !on_wall, "{card:#?}");
            format!("{}", active_faces(&section(&card.drawing), on_wall))
        }
        "dead face" => {
            let said = words(card);
            let list = said
                .split_once("shim, ")
                .unwrap()
                .1
                .split_once(", ring")
                .unwrap()
                .0;
            let names: Vec<&str> = list.split(", ").collect();
            let keyed = |name: &str| {
                if name.starts_with('C') {
                    Keying::Case
                } else {
                    Keying::Gear
                }
            };
            // dead is the pair between which a plate of the other sort, put in, makes two faces more
            let mut dead = Vec::new();
            for at in 0..names.len() {
                let mut order: Vec<Keying> = names.iter().map(|name| keyed(name)).collect();
                let before = active_faces(&order, false);
                let between = match order[at] {
                    Keying::Case => Keying::Gear,
                    Keying::Gear => Keying::Case,
                };
                order.insert(at + 1, between);
                if active_faces(&order, false) == before + 2 {
                    dead.push(format!("{}-{}", names[at], names.get(at + 1).unwrap_or(&"ring")));
                }
            }
            assert_eq!(dead.len(), 1, "{dead:?}: {card:#?}");
            dead[0].to_lowercase()
        }
        other => panic!("{other}"),
    });
}

/// Whether one plate or shim, alone on the left, is admissible by the engine.
fn fits(room: Length, window: Window, gear: Option<(&str, Length)>, shim: Option<Length>) -> bool {
    let plate = |name: &str, thickness: Length, fixed: Option<Side>| Candidate {
        name: name.to_string(),
        thickness,
        spare: false,
        fixed,
        ran: None,
    };
    let gear_plates: Vec<Candidate> = gear
        .iter()
        .map(|(name, thickness)| plate(name, *thickness, None))
        .collect();
    let wide = Window {
        least: um(-50.0),
        target: um(0.0),
        most: um(50.0),
    };
    let need = |gear: usize| Need { gear, case: 1 };
    let request = Request {
        layout: Layout::PerSide {
            rooms: [room + um(1.0), um(1.0)],
            windows: [window, wide],
            match_within: None,
        },
        needs: [need(gear_plates.len()), need(0)],
        gear: gear_plates,
        case: vec![
            plate("a", um(1.0), Some(Side::Left)),
            plate("b", um(1.0), Some(Side::Right)),
        ],
        shims: shim
            .iter()
            .map(|thickness| ShimSize {
                thickness: *thickness,
                count: 1,
            })
            .collect(),
        least_shims: 0,
        most_shims: 1,
        guard: Length::ZERO,
        uncertainty: 0.0,
        first: First::Closest,
        keep_in_place: false,
        alternatives: 1,
    };
    let side = |case: &str| SideChoice {
        gear: Vec::new(),
        case: vec![case.to_string()],
        shims: Vec::new(),
    };
    let left = SideChoice {
        gear: gear.iter().map(|(name, _)| (*name).to_string()).collect(),
        shims: shim.into_iter().collect(),
        ..side("a")
    };
    evaluate(&request, [left, side("b")]).unwrap().1.is_empty()
}

#[test]
fn one_shim_or_plate_fits_by_the_engine_and_the_others_do_not() {
    every(Drill::Choose, |card| {
        let n = numbers(&card.words[0]);
        let stands = numbers(&card.words[1]);
        let window = Window {
            least: um(stands[0]),
            target: um(stands[2]),
            most: um(stands[1]),
        };
        let Wanted::One { options, .. } = &card.wanted else {
            panic!("{card:#?}")
        };
        let fitting: Vec<&str> = match card.topic {
            "shim" => {
                let room = um(n[0]) - um(n[1]) - um(n[2]);
                let keys = options.iter().map(|option| option.key.as_str());
                keys.filter(|key| fits(room, window, None, Some(um(number(key)))))
                    .collect()
            }
            "plate" => {
                let room = um(n[0]) - um(n[1]) - um(n[2]) - um(n[3]);
                let (list, least) = card.words[2].split_once("Least").unwrap();
                let rail: Vec<(&str, f64)> = list
                    .split_once(": ")
                    .unwrap()
                    .1
                    .split(", ")
                    .map(|row| row.split_once(' ').unwrap())
                    .map(|(name, thick)| (name, number(thick)))
                    .collect();
                assert_eq!(rail.len(), options.len());
                let good = rail.into_iter().filter(|(name, thick)| {
                    *thick >= number(least) && fits(room, window, Some((name, um(*thick))), None)
                });
                good.map(|(name, _)| name).collect()
            }
            other => panic!("{other}"),
        };
        assert_eq!(fitting.len(), 1, "{fitting:?}: {card:#?}");
        fitting[0].to_lowercase()
    });
}

/// The curve of a press, as it is drawn: heights and forces, from free downwards.
fn curve(card: &Card) -> Vec<(f64, f64)> {
    let rows = card.drawing[1..].iter().map(|line| numbers(line));
    rows.map(|row| (row[0], row[1])).collect()
}

/// The force at a height between two rows of a curve; free above the first.
fn at(curve: &[(f64, f64)], height: f64) -> f64 {
    let last = curve[curve.len() - 1];
    let pair = curve
        .windows(2)
        .find(|pair| pair[0].0 >= height && height >= pair[1].0);
    match pair {
        Some(pair) => {
            let share = (pair[0].0 - height) / (pair[0].0 - pair[1].0);
            pair[0].1 + share * (pair[1].1 - pair[0].1)
        }
        None if height > curve[0].0 => 0.0,
        // below the last row as it went on to it
        None => {
            let before = curve[curve.len() - 2];
            last.1 + (last.0 - height) / (before.0 - last.0) * (last.1 - before.1)
        }
    }
}

#[test]
fn a_spring_does_what_its_own_curve_shows() {
    every(Drill::Spring, |card| {
        let said = words(card);
        let n = numbers(&said);
        match card.topic {
            "branch" | "worn pack" => {
                let curve = curve(card);
                let after = if card.topic == "branch" {
                    n[0] - n[1]
                } else {
                    n[0] + n[1]
                };
                let (before, then) = (at(&curve, n[0]), at(&curve, after));
                if matches!(card.wanted, Wanted::Number { .. }) {
                    return format!("{:.0} N", before - then);
                }
                if then > before { "more" } else { "less" }.to_string()
            }
            "arrangement" => {
                // in parallel the forces add; in series each goes half the way, where one alone presses less
                if said.contains("one in the other") {
                    "more"
                } else {
                    "less"
                }
                .to_string()
            }
            other => panic!("{other}"),
        }
    });
}

/// What is done in a scene, by a word or two of each way to tell it (common practice, no source).
const DONE: [(&str, &[&str]); 17] = [
    ("ground", &["concrete", "level paving", "flat and paved"]),
    ("chocks", &["Wedges", "chock on", "Two chocks"]),
    ("stands", &["Rated stands", "rests on stands", "rated stands"]),
    ("shake", &["pushes the car", "firm push", "shove the car"]),
    ("engine", &["key lies", "Engine off", "key is out"]),
    ("clamp", &["bolted to a plate", "strapped", "clamp over"]),
    (
        "crosswise",
        &["across from it", "opposite bolt", "across and across"],
    ),
    (
        "line",
        &["the cover's side", "away from where", "in front of the cover"],
    ),
    ("force", &["on the board", "how many newtons", "on the sheet"]),
    ("pull", &["pulls towards", "pull to the body", "draws the wrench"]),
    (
        "pipe",
        &["as long as it is made", "over the handle", "handle is bare"],
    ),
    (
        "threads",
        &["threads were", "dry threads", "bolt has been washed"],
    ),
    ("gloves", &["goggles and", "Goggles over", "hands are covered"]),
    ("air", &["wide open", "draught", "gate is rolled"]),
    ("flame", &["stove", "smokes", "heater"]),
    ("help", &["Two people", "hoist", "transmission jack"]),
    ("cool", &["exhaust is cold", "can rest", "long lunch"]),
];

#[test]
fn one_caution_of_a_scene_is_missing() {
    every(Drill::Cautions, |card| {
        let said = words(card);
        let Wanted::One { options, .. } = &card.wanted else {
            panic!("{card:#?}")
        };
        let missing: Vec<&str> = options
            .iter()
            .map(|option| option.key.as_str())
            .filter(|key| {
                let (_, signs) = DONE.iter().find(|(known, _)| known == key).unwrap();
                !signs.iter().any(|sign| said.contains(sign))
            })
            .collect();
        assert_eq!(missing.len(), 1, "{missing:?}: {card:#?}");
        missing[0].to_string()
    });
}
