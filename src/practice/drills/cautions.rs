//! A scene in which one caution is missing. The cautions are those of the procedures' library, told as things done.

use super::card::{Card, Wanted};
use super::pick::{one_of, shuffled};
use crate::metrology::Stream;
use crate::procedure::AnswerOption;
use crate::workshop::Safety;

/// One thing that is done in a scene, in several words, and what it keeps away.
struct Care {
    key: &'static str,
    means: &'static str,
    told: &'static [&'static str],
    because: &'static str,
}

/// Something that is being done, with all that it wants.
struct Scene {
    doing: &'static [&'static str],
    cares: &'static [Care],
}

const GROUND: Care = Care {
    key: "ground",
    means: "ground that is hard and level",
    told: &[
        "The floor is concrete, level as far as a ball shows.",
        "It stands on hard, level paving.",
        "The yard is flat and paved there.",
    ],
    because: "Stands walk on soft or sloping ground.",
};
const CHOCKS: Care = Care {
    key: "chocks",
    means: "chocks at the wheels that stay down",
    told: &[
        "Wedges sit before and behind the wheels that stay down.",
        "The front wheels have a chock on either side.",
        "Two chocks at each wheel on the floor.",
    ],
    because: "The handbrake may act on the axle that is lifted, and in neutral nothing else holds the car.",
};
const STANDS: Care = Care {
    key: "stands",
    means: "stands with a rating, below the maker's points",
    told: &[
        "Rated stands carry it at the points that its manual shows.",
        "The jack is let down until the car rests on stands, under the points in the manual.",
        "The car's weight is on two rated stands where the maker names them.",
    ],
    because: "A jack only lifts.",
};
const SHAKE: Care = Care {
    key: "shake",
    means: "the push before anybody goes under",
    told: &[
        "The mechanic pushes the car hard by hand at the wing: nothing moves.",
        "A firm push at the car from two sides, before anybody goes near: it stands.",
        "The two mechanics shove the car by hand first, and it does not rock.",
    ],
    because: "The push finds the bad stand while nobody is under the car.",
};
const ENGINE: Care = Care {
    key: "engine",
    means: "engine off, neutral, key out",
    told: &[
        "The key lies on the bench; the gear lever is in neutral.",
        "Engine off, gearbox in neutral, and the key in the mechanic's pocket.",
        "Nobody can start the engine: the key is out, and the gearbox is in neutral.",
    ],
    because: "In gear, the wheel that touches pushes the whole car away from what carries it.",
};
const CLAMP: Care = Care {
    key: "clamp",
    means: "the unit held on the bench",
    told: &[
        "The unit is bolted to a plate on the bench.",
        "The unit lies strapped in a cradle that is screwed down.",
        "A clamp over the flange keeps the unit where it is.",
    ],
    because: "What rolls under a wrench falls on feet, or takes the wrench along.",
};
const CROSSWISE: Care = Care {
    key: "crosswise",
    means: "all bolts slackened evenly, crosswise",
    told: &[
        "Each bolt is slackened by a turn, then the one across from it, round and round.",
        "The mechanic goes from bolt to opposite bolt, a turn back at a time.",
        "A turn back at every bolt, across and across, and again.",
    ],
    because: "The springs push at the cover as long as one thread holds it; on one bolt it tilts and jumps.",
};
const LINE: Care = Care {
    key: "line",
    means: "face and hands out of the cover's line",
    told: &[
        "The mechanic stands at the cover's side, and no hand is before it.",
        "The mechanic's face is well away from where the cover would fly.",
        "Nobody stands or reaches in front of the cover.",
    ],
    because: "A cover that lets go flies along its axis.",
};
const FORCE: Care = Care {
    key: "force",
    means: "knowing what force is behind it",
    told: &[
        "The force of the springs is written on the board beside the bench.",
        "The mechanic has read how many newtons push from inside.",
        "What the springs press with stands on the sheet beside the vice.",
    ],
    because: "Who knows the force leaves thread enough in each bolt.",
};
const PULLED: Care = Care {
    key: "pull",
    means: "pulled towards oneself, on firm feet",
    told: &[
        "The mechanic pulls towards himself with both feet flat.",
        "The wrench gets a smooth pull to the body, feet apart.",
        "The mechanic draws the wrench to her, slowly, standing well.",
    ],
    because: "Whoever pushes falls after the wrench when it lets go.",
};
const PIPE: Care = Care {
    key: "pipe",
    means: "no pipe on the wrench",
    told: &[
        "The wrench is used as long as it is made.",
        "Nothing is slipped over the handle.",
        "The hand is on the grip, at the mark, and the handle is bare.",
    ],
    because: "A lengthened wrench shows too little, and breaks or slips.",
};
const THREADS: Care = Care {
    key: "threads",
    means: "threads as the manual wants them",
    told: &[
        "The threads were brushed and dried, as the manual says.",
        "Clean, dry threads; the manual wants no oil on them.",
        "Every bolt has been washed and has run in dry by hand.",
    ],
    because: "Oil on a thread raises the tension that the same torque makes.",
};
const GLOVES: Care = Care {
    key: "gloves",
    means: "gloves and goggles",
    told: &[
        "The mechanic has put goggles and long gloves on.",
        "Goggles over the eyes, gloves that the fluid does not go through.",
        "Eyes and hands are covered.",
    ],
    because: "Cleaning fluid burns eyes and goes through skin.",
};
const AIR: Care = Care {
    key: "air",
    means: "an open door",
    told: &[
        "The door of the shop is wide open.",
        "A draught goes through from gate to window.",
        "The shop's gate is rolled up.",
    ],
    because: "The vapour of cleaning fluid is heavy and stays in a closed room.",
};
const FLAME: Care = Care {
    key: "flame",
    means: "no flame, no spark",
    told: &[
        "The stove is out, and the grinder unplugged.",
        "Nobody smokes or welds, in there or next door.",
        "No heater glows, nothing sparks.",
    ],
    because: "The vapour of cleaning fluid takes fire from a long way off.",
};
const HELP: Care = Care {
    key: "help",
    means: "two people or a hoist",
    told: &[
        "Two people lift it.",
        "A strap from the hoist carries the unit.",
        "A transmission jack is under the unit.",
    ],
    because: "The unit is heavy and has no handles.",
};
const COOL: Care = Care {
    key: "cool",
    means: "time to cool",
    told: &[
        "The car has stood since last night, and the exhaust is cold.",
        "A hand can rest on exhaust and housing.",
        "There was a long lunch first; nothing is warm any more.",
    ],
    because: "Oil, brakes and exhaust burn.",
};

const SCENES: [Scene; 6] = [
    Scene {
        doing: &[
            "The car goes up at the driven axle, to get at the unit.",
            "Both driven wheels are to hang free for a breakaway check.",
            "They want to go under the car to undo the shafts.",
        ],
        cares: &[GROUND, CHOCKS, STANDS, SHAKE, ENGINE],
    },
    Scene {
        doing: &[
            "The cover comes off a unit with disc springs.",
            "A spring-loaded unit is opened on the bench.",
        ],
        cares: &[CLAMP, CROSSWISE, LINE, FORCE],
    },
    Scene {
        doing: &[
            "The bolts of the cover get their last stage.",
            "The cover's bolts are tightened to their figure.",
        ],
        cares: &[CLAMP, PULLED, PIPE, THREADS],
    },
    Scene {
        doing: &[
            "The plates are washed in cleaning fluid.",
            "Rings and case are cleaned before they are measured.",
        ],
        cares: &[GLOVES, AIR, FLAME],
    },
    Scene {
        doing: &[
            "The unit comes out from under the car after a test.",
            "The unit is let down out of the car.",
        ],
        cares: &[STANDS, SHAKE, HELP, COOL],
    },
    Scene {
        doing: &[
            "The breakaway is read on the car, at a hub.",
            "A wrench on a hub, the other wheel held: the check with the unit in the car.",
        ],
        cares: &[GROUND, CHOCKS, STANDS, ENGINE, PULLED],
    },
];

pub(super) fn card(random: &mut Stream) -> Option<Card> {
    let scene = one_of(random, &SCENES)?;
    let missing = one_of(random, scene.cares)?;
    let there: Vec<&Care> = scene
        .cares
        .iter()
        .filter(|care| care.key != missing.key)
        .collect();
    let mut words = vec![(*one_of(random, scene.doing)?).to_string()];
    let mut told = Vec::new();
    for care in shuffled(random, there) {
        told.push(*one_of(random, care.told)?);
    }
    words.push(told.join(" "));
    Some(Card {
        topic: missing.key,
        words,
        drawing: Vec::new(),
        prompt: "What is missing?".to_string(),
        wanted: Wanted::One {
            options: scene
                .cares
                .iter()
                .map(|care| AnswerOption {
                    key: care.key.to_string(),
                    words: care.means.to_string(),
                })
                .collect(),
            right: missing.key.to_string(),
        },
        reason: vec![
            missing.because.to_string(),
            format!(
                "The scene names the usual cautions and is no full list of them. {}",
                Safety::First.words()
            ),
        ],
        slips: Vec::new(),
    })
}
