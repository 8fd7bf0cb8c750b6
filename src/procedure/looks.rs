//! How plates and springs may look, and what a look leads to.

/// How a plate may look, and whether that throws it out.
pub const LOOKS: [(&str, &str, bool); 5] = [
    ("good", "even, no damage", false),
    ("glazed", "shiny, hard face", false),
    ("burnt", "blue or brown from heat", true),
    ("torn", "a tab or spline torn, bent or stepped", true),
    ("cracked", "a crack anywhere", true),
];

/// The looks of a plate that are typed in full in a row: a slip of the finger throws no plate out for them.
pub(super) const IN_FULL: &[&str] = &["torn", "cracked"];

/// Whether a plate that looks so is thrown out.
pub(super) fn plate_goes(look: &str) -> bool {
    LOOKS.iter().any(|(word, _, goes)| *word == look && *goes)
}

/// How a spring may look, and whether it can not stay so. That it has settled is told by its height.
pub(super) const SPRING_LOOKS: [(&str, &str, bool); 5] = [
    ("good", "whole, even, every disc the right way round", false),
    (TURNED, "a disc the other way round (lay it right)", true),
    ("pitted", "pits of rust (take a new one)", true),
    ("cracked", "a crack anywhere (take a new one)", true),
    ("broken", "in pieces (take a new one)", true),
];

/// The words of some looks.
pub(super) const fn words_of<const N: usize>(
    looks: [(&'static str, &'static str, bool); N],
) -> [&'static str; N] {
    let mut words = [""; N];
    let mut n = 0;
    while n < N {
        words[n] = looks[n].0;
        n += 1;
    }
    words
}

/// The look of a spring that only has to be laid right.
pub(super) const TURNED: &str = "turned";

/// Whether a spring that looks so can not stay.
pub(super) fn spring_goes(look: &str) -> bool {
    SPRING_LOOKS.iter().any(|(word, _, goes)| *word == look && *goes)
}
