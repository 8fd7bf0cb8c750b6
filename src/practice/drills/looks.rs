//! A plate in five lines of what is seen. How each kind shows is *common practice, no source*.

use super::card::{Card, Wanted};
use super::pick::one_of;
use crate::metrology::Stream;
use crate::procedure::{AnswerOption, PLATE_LOOKS};

/// One thing that is looked at: how it is on a sound plate, and how where something is the matter. `TOOTH` stands for what the
/// plate is keyed by.
struct Aspect {
    head: &'static str,
    sound: &'static [&'static str],
    signs: &'static [(&'static str, &'static str)],
}

/// What looks like the beginning of a crack and is none.
const NICK: &str =
    "a small nick from the tongs at the rim, round at its bottom and no longer than it is wide";
/// The sign of heat that has nothing blue.
const BLISTERS: &str = "the lining has blisters, and crumbs black as coal come off it";

const ASPECTS: [Aspect; 5] = [
    Aspect {
        head: "Colour",
        sound: &[
            "even grey all round, both faces alike",
            "brown with old oil; a thumb wipes it to grey",
            "dark, as the two new ones in the drawer are",
            "a felt pen's number on one face, else grey",
            "a matt grey ring where it rubbed, bright steel inside it",
            "yellow of old oil between the grooves, and fluid takes it off",
        ],
        signs: &[
            (
                "burnt",
                "a blue band runs round one face, and fluid does not take it off",
            ),
            (
                "burnt",
                "straw to blue in three patches, a hand's width apart, right through the steel",
            ),
            (
                "burnt",
                "one face blue at the rim, brown inside it, and it stays so after washing",
            ),
        ],
    },
    Aspect {
        head: "Face",
        sound: &[
            "fine rings that a fingernail slides over",
            "dull, the grooves as deep as on the spare",
            "dull; two scratches that can be seen and not felt",
            "even and matt, with the oil grooves open",
            "matt, a little lighter where it rubbed",
            "dull grey, and it drags at a fingertip as the spare does",
        ],
        signs: &[
            (
                "glazed",
                "it shines like a mirror and a fingertip slides on it; the grooves are there",
            ),
            (
                "glazed",
                "glassy and hard: a scriber skates over it, and nothing comes off",
            ),
            ("glazed", "polished bright all round, slippery when dry, whole"),
            ("burnt", BLISTERS),
        ],
    },
    Aspect {
        head: "Keying",
        sound: &[
            "every TOOTH whole, its flanks bright where they touched",
            "the flanks of the TOOTH row flat, edges square",
            "light marks on the driven flanks that a fingernail does not catch",
            "no TOOTH bent, none short, roots clean",
            "burrs of the punch on one side, as on the spares",
            "slides on its mate without a catch, all the way",
        ],
        signs: &[
            ("torn", "one TOOTH leans out of the plane of the plate"),
            ("torn", "a piece of a TOOTH is gone, and its root is bright"),
            (
                "torn",
                "a fingernail catches on a step in the flank of every second TOOTH",
            ),
            (
                "torn",
                "one TOOTH is shorter than its neighbours and hammered over",
            ),
        ],
    },
    Aspect {
        head: "Edge",
        sound: &[
            "smooth all round, inside and outside",
            "the usual roll of the punch, nothing to catch on",
            "clean after a wipe, and stays clean",
            NICK,
            "square and even, no burr that comes off",
        ],
        signs: &[
            (
                "cracked",
                "a dark hair-line starts at a root and goes into the face; oil creeps out of it after the wipe",
            ),
            (
                "cracked",
                "a line across the rim that opens when the plate is flexed between the fingers",
            ),
            (
                "cracked",
                "from the bore a line as fine as a hair, seen on both faces at the same place",
            ),
        ],
    },
    Aspect {
        head: "Tapped",
        sound: &[
            "hung on a finger it rings",
            "a clear tone that dies away slowly",
            "rings like its neighbours on the rail",
            "on the finger: a long, clean tone",
            "the tone of the spare, as far as an ear can tell",
        ],
        signs: &[],
    },
];

/// What a cracked plate sounds like: the only sign that goes with another.
const DULL: [&str; 3] = [
    "it clacks and does not ring",
    "a short, dead sound",
    "it buzzes where the others ring",
];

pub(super) fn card(random: &mut Stream) -> Option<Card> {
    let topic = *one_of(
        random,
        &[
            "good", "good", "good", "glazed", "glazed", "burnt", "burnt", "torn", "torn", "cracked",
            "cracked",
        ],
    )?;
    let keyed_by = *one_of(
        random,
        &[("a case plate", "tab"), ("a friction plate", "spline tooth")],
    )?;
    // one line of five tells it, wherever that kind shows
    let signs: Vec<(usize, &str)> = ASPECTS
        .iter()
        .enumerate()
        .flat_map(|(at, aspect)| {
            let own = aspect.signs.iter().filter(|(kind, _)| *kind == topic);
            own.map(move |(_, sign)| (at, *sign))
        })
        .collect();
    let sign = one_of(random, &signs).copied();
    let mut words = vec![format!("In your hand: {}, wiped, under a good lamp.", keyed_by.0)];
    for (at, aspect) in ASPECTS.iter().enumerate() {
        let sound = *one_of(random, aspect.sound)?;
        let seen = match sign {
            Some((line, seen)) if line == at => seen,
            _ if topic == "cracked" && aspect.head == "Tapped" => *one_of(random, &DULL)?,
            _ => sound,
        };
        words.push(format!("{}: {}.", aspect.head, seen.replace("TOOTH", keyed_by.1)));
    }
    let nick = words.iter().any(|line| line.contains(NICK));
    let goes = PLATE_LOOKS.iter().any(|(word, _, goes)| *word == topic && *goes);
    let told = sign.map(|(_, seen)| seen.replace("TOOTH", keyed_by.1));
    let mut reason = vec![
        match &told {
            Some(told) => format!("What tells it: {told}."),
            None => "No line tells of harm: colour that wipes off, marks that no fingernail catches and a clear tone are \
                     those of a plate that has run."
                .to_string(),
        },
        what_follows(topic, sign.is_some_and(|(_, seen)| seen == BLISTERS)).to_string(),
    ];
    if nick {
        let words =
            "The nick harms nothing: it is round at its bottom, short, and does not run on into the face.";
        reason.push(words.to_string());
    }
    let then = match goes {
        true => "Rejected. What is rejected by its looks need not be measured.",
        false => "Kept, if it measures well, too.",
    };
    reason.push(format!("{then} The limits of the maker's manual come first."));
    Some(Card {
        topic,
        words,
        drawing: Vec::new(),
        prompt: "What is it?".to_string(),
        wanted: Wanted::One {
            options: PLATE_LOOKS
                .iter()
                .map(|(word, means, goes)| AnswerOption {
                    key: (*word).to_string(),
                    words: format!(
                        "{means}{}: {}",
                        if *word == "burnt" {
                            ", or its lining in blisters"
                        } else {
                            ""
                        },
                        if *goes { "reject" } else { "keep" }
                    ),
                })
                .collect(),
            right: topic.to_string(),
        },
        reason,
        slips: Vec::new(),
    })
}

/// What comes of a look (common practice, no source).
fn what_follows(topic: &str, blistered: bool) -> &'static str {
    match topic {
        "burnt" if blistered => {
            "A lining that has blistered has been hot: it lets go of its steel, in crumbs first, and what is left of that face \
             holds less."
        }
        "glazed" => {
            "A glazed face grips unevenly until it is broken in again: it is noted and watched, and is no reason to throw a \
             plate out that measures well."
        }
        "burnt" => {
            "What has been blue has been hot: the steel is soft and out of flat sooner or later, and that face holds less."
        }
        "torn" => {
            "A plate that hangs on its keying can not slide: its faces take no part, and what breaks off goes into the bearings."
        }
        "cracked" => "A crack grows until the plate parts, and its pieces lock the pack.",
        _ => "A sound plate that is thrown out costs its price, and new faces run in anew.",
    }
}
