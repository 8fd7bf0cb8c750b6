//! What can be drilled.

/// What is drilled.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Drill {
    /// A plate in five lines of what is seen.
    Looks,
    /// An instrument that is drawn and has to be read.
    Read,
    /// What a zero error does, and with which sign.
    Zero,
    /// How a unit is held, and what the wrench shows for it.
    Held,
    /// Units and adaptors of the torque wrench.
    Wrench,
    /// Which faces of a pack rub.
    Order,
    /// Which shim, which plate.
    Choose,
    /// Where a spring stands on its curve.
    Spring,
    /// Which caution a scene has forgotten.
    Cautions,
}

impl Drill {
    /// Every drill with its name and what it is for.
    pub const ALL: [(Drill, &'static str, &'static str); 9] = [
        (Drill::Looks, "looks", "a plate in five lines: what is it?"),
        (Drill::Read, "read", "an instrument is drawn: what does it show?"),
        (
            Drill::Zero,
            "zero",
            "an instrument off zero: how much, and which way?",
        ),
        (
            Drill::Held,
            "held",
            "case or output held: which, what it shows, when it wedges",
        ),
        (Drill::Wrench, "wrench", "units and adaptors: what to set it to"),
        (Drill::Order, "order", "count the live faces, find the dead one"),
        (Drill::Choose, "choose", "which shim, which plate"),
        (
            Drill::Spring,
            "spring",
            "which branch, and what wear does to the preload",
        ),
        (Drill::Cautions, "cautions", "what is missing in this scene?"),
    ];

    /// The name of it, as it is typed.
    pub fn word(self) -> &'static str {
        let row = Drill::ALL.iter().find(|(drill, ..)| *drill == self);
        row.map_or("", |(_, word, _)| word)
    }

    /// The drill of a name.
    ///
    /// ```
    /// use shimwright::practice::drills::Drill;
    /// assert_eq!(Drill::named("zero"), Some(Drill::Zero));
    /// assert_eq!(Drill::named("nought"), None);
    /// ```
    pub fn named(word: &str) -> Option<Drill> {
        let row = Drill::ALL.iter().find(|(_, name, _)| *name == word);
        row.map(|(drill, ..)| *drill)
    }

    /// Why it is worth five minutes.
    pub fn why(self) -> &'static str {
        match self {
            Drill::Looks => {
                "A plate that is burnt, torn or cracked may measure like a good one. It is found by looking, or not at all."
            }
            Drill::Read => {
                "Every figure of a build begins with somebody who reads a scale. Half a millimetre missed on a barrel is the \
                 oldest slip of all."
            }
            Drill::Zero => {
                "A zero error stands on every reading with the same sign, so that it adds up over a pack and no reading looks odd."
            }
            Drill::Held => {
                "With the case held the wrench shows about twice what it shows with one output held. Whoever mixes them up \
                 builds a unit for half, or for twice, what was wanted."
            }
            Drill::Wrench => {
                "The bolt feels what the hand does and not what the scale says: another unit or an adaptor lies between."
            }
            Drill::Order => {
                "Two neighbours that turn with the same thing do not rub. A pack with a dead face holds less by it."
            }
            Drill::Choose => {
                "What is left of the depth is what the springs get. It is a sum, and its sign decides."
            }
            Drill::Spring => {
                "A disc spring does not press harder for ever: past its peak more shim gives less preload, and wear gives more."
            }
            Drill::Cautions => "Who hurts himself had mostly done all but one of what is usual.",
        }
    }
}
