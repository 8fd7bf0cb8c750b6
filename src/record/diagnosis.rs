//! What an apprentice says of a made-up unit: a line for each fault, with its part, its sign and how one knows.

use std::fmt;

/// What a kind of fault is found on.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum OnWhat {
    /// A plate.
    Plate,
    /// Two plates.
    TwoPlates,
    /// The left or the right side.
    Side,
    /// The micrometer or the depth gauge.
    Gauge,
    /// There is one of it.
    Nothing,
}

/// Where a fault shows.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Sign {
    /// What the driver says.
    Complaint,
    /// The breakaway as received.
    Received,
    /// The order in which the plates lay.
    Order,
    /// A look at the part.
    Look,
    /// The readings of the micrometer.
    Micrometer,
    /// The feeler.
    Feeler,
    /// A gauge put on its standard.
    Standard,
    /// The wrench, and how it sits on the unit.
    Wrench,
    /// The dry build.
    DryBuild,
    /// The proof.
    Proof,
}

impl Sign {
    /// Every sign with its word.
    pub const ALL: [(Sign, &'static str); 10] = [
        (Sign::Complaint, "complaint"),
        (Sign::Received, "received"),
        (Sign::Order, "order"),
        (Sign::Look, "look"),
        (Sign::Micrometer, "micrometer"),
        (Sign::Feeler, "feeler"),
        (Sign::Standard, "standard"),
        (Sign::Wrench, "wrench"),
        (Sign::DryBuild, "dry-build"),
        (Sign::Proof, "proof"),
    ];

    /// What is done there.
    pub fn test(self) -> &'static str {
        match self {
            Sign::Complaint => "listen to the driver",
            Sign::Received => "read the breakaway as received, at first movement and turning",
            Sign::Order => "read the order in which the parts lie",
            Sign::Look => "look at the part",
            Sign::Micrometer => "measure with the micrometer, in three places",
            Sign::Feeler => "lay it on the surface plate and try the feeler",
            Sign::Standard => "put the gauge on its standard",
            Sign::Wrench => "look at the wrench, and how the unit is held",
            Sign::DryBuild => "measure the dry build",
            Sign::Proof => "prove it",
        }
    }

    /// Its word.
    pub fn word(self) -> &'static str {
        Sign::ALL
            .iter()
            .find(|(sign, _)| *sign == self)
            .map_or("", |(_, word)| word)
    }
}

/// What can be wrong with a made-up unit, by the word that a diagnosis has for it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum FaultKind {
    /// A plate out of flat.
    Warped,
    /// A plate under its limit.
    Thin,
    /// A plate out of parallel.
    Tapered,
    /// A plate whose lining is cooked.
    Burnt,
    /// A plate with a torn tab.
    Torn,
    /// A plate with a crack.
    Cracked,
    /// A plate of another maker's thickness.
    OtherMaker,
    /// Two plates in each other's pack.
    Swapped,
    /// Two neighbours in each other's place.
    DeadFace,
    /// A gauge off zero.
    Zero,
    /// A cracked spring disc.
    SpringCracked,
    /// A spring disc the other way round.
    SpringTurned,
    /// A step in a ramp.
    RampStep,
    /// A flat on a cross pin.
    PinFlat,
    /// A pressure ring that does not slide.
    RingWedged,
    /// Plate tabs that hang in their slots.
    TabsStick,
    /// A thrust washer that is not there.
    WasherMissing,
    /// Two shims where one belongs.
    ShimDoubled,
    /// A wrench marked in another unit.
    WrenchScale,
    /// A wrench past its day.
    WrenchOverdue,
    /// The unit held another way.
    HeldOtherwise,
    /// An extension on the wrench.
    Extension,
    /// A drag that is not taken off.
    Drag,
    /// Another oil.
    WrongOil,
    /// Oil without its modifier.
    NoModifier,
}

/// All that a diagnosis has for a kind of fault.
struct KindRow {
    kind: FaultKind,
    word: &'static str,
    on: OnWhat,
    signs: &'static [Sign],
    words: &'static str,
}

const fn row(
    kind: FaultKind,
    word: &'static str,
    on: OnWhat,
    signs: &'static [Sign],
    words: &'static str,
) -> KindRow {
    KindRow {
        kind,
        word,
        on,
        signs,
        words,
    }
}

/// The complaint and the reading as received point to a fault; what shows it is the first sign of its row.
const KINDS: [KindRow; 25] = {
    use FaultKind::{
        Burnt, Cracked, DeadFace, Drag, Extension, HeldOtherwise, NoModifier, OtherMaker, PinFlat, RampStep,
        RingWedged, ShimDoubled, SpringCracked, SpringTurned, Swapped, TabsStick, Tapered, Thin, Torn,
        Warped, WasherMissing, WrenchOverdue, WrenchScale, WrongOil, Zero,
    };
    use OnWhat::{Gauge, Nothing, Plate, Side, TwoPlates};
    const LOOK: &[Sign] = &[Sign::Look];
    const WRENCH: &[Sign] = &[Sign::Wrench, Sign::Look];
    [
        row(Warped, "warped", Plate, &[Sign::Feeler], "a plate is out of flat"),
        row(
            Thin,
            "thin",
            Plate,
            &[Sign::Micrometer],
            "a plate is under its limit",
        ),
        row(
            Tapered,
            "tapered",
            Plate,
            &[Sign::Micrometer],
            "a plate is out of parallel",
        ),
        row(Burnt, "burnt", Plate, LOOK, "a plate's lining is cooked"),
        row(Torn, "torn", Plate, LOOK, "a plate's tab is torn"),
        row(Cracked, "cracked", Plate, LOOK, "a plate has a crack"),
        row(
            OtherMaker,
            "other-maker",
            Plate,
            &[Sign::Micrometer, Sign::Look],
            "a plate is another maker's, of another thickness",
        ),
        row(
            Swapped,
            "swapped",
            TwoPlates,
            &[Sign::Order],
            "two plates lay in each other's pack",
        ),
        row(
            DeadFace,
            "dead-face",
            Side,
            &[Sign::Order],
            "two neighbours lay in each other's place",
        ),
        row(Zero, "zero", Gauge, &[Sign::Standard], "a gauge is off zero"),
        row(
            SpringCracked,
            "spring-cracked",
            Side,
            LOOK,
            "a spring disc is cracked",
        ),
        row(
            SpringTurned,
            "spring-turned",
            Side,
            LOOK,
            "a spring disc lay the other way round",
        ),
        row(RampStep, "ramp-step", Nothing, LOOK, "a step is worn into a ramp"),
        row(
            PinFlat,
            "pin-flat",
            Nothing,
            LOOK,
            "a flat is worn on a cross pin",
        ),
        row(
            RingWedged,
            "ring-wedged",
            Side,
            LOOK,
            "a pressure ring does not slide",
        ),
        row(
            TabsStick,
            "tabs-stick",
            Side,
            LOOK,
            "plate tabs hang in worn slots",
        ),
        row(
            WasherMissing,
            "washer-missing",
            Nothing,
            LOOK,
            "a thrust washer is not there",
        ),
        row(
            ShimDoubled,
            "shim-doubled",
            Side,
            &[Sign::Order, Sign::Look],
            "two shims lay where one belongs",
        ),
        row(
            WrenchScale,
            "wrench-scale",
            Nothing,
            WRENCH,
            "the wrench is marked in another unit",
        ),
        row(
            WrenchOverdue,
            "wrench-overdue",
            Nothing,
            WRENCH,
            "the wrench is past its day",
        ),
        row(
            HeldOtherwise,
            "held-otherwise",
            Nothing,
            WRENCH,
            "the unit is held another way than its file says",
        ),
        row(
            Extension,
            "extension",
            Nothing,
            WRENCH,
            "an extension sits on the wrench",
        ),
        row(
            Drag,
            "drag",
            Nothing,
            WRENCH,
            "a drag beside the packs is in the reading",
        ),
        row(WrongOil, "wrong-oil", Nothing, LOOK, "another oil was in it"),
        row(
            NoModifier,
            "no-modifier",
            Nothing,
            &[Sign::Look, Sign::Received],
            "the oil lacks its modifier",
        ),
    ]
};

impl FaultKind {
    /// Every kind.
    pub fn all() -> impl Iterator<Item = FaultKind> {
        KINDS.iter().map(|row| row.kind)
    }

    fn row(self) -> &'static KindRow {
        KINDS.iter().find(|row| row.kind == self).unwrap_or(&KINDS[0])
    }

    /// Its word, which is typed.
    pub fn word(self) -> &'static str {
        self.row().word
    }

    /// What it says, in a few words.
    pub fn words(self) -> &'static str {
        self.row().words
    }

    /// What it is found on.
    pub fn on(self) -> OnWhat {
        self.row().on
    }

    /// Where it shows, the surest first.
    pub fn signs(self) -> &'static [Sign] {
        self.row().signs
    }
}

/// One fault as it was said.
///
/// ```
/// use shimwright::record::diagnosis::{Diagnosis, FaultKind, Sign};
/// let said = Diagnosis::read("warped g4 feeler 0.16 mm goes under it", &["C1", "G4"]).unwrap().unwrap();
/// assert_eq!((said.kind, said.sign), (FaultKind::Warped, Sign::Feeler));
/// assert_eq!((said.parts[0].as_str(), said.known_by.as_str()), ("G4", "0.16 mm goes under it"));
/// assert!(Diagnosis::read("none", &[]).unwrap().is_none());
/// // a plate that there is not
/// assert!(Diagnosis::read("warped G9 feeler 0.16", &["C1", "G4"]).is_err());
/// ```
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Diagnosis {
    /// What is wrong.
    pub kind: FaultKind,
    /// With which part: plates by their names, `left`, `right`, `micrometer`, `depth-gauge`; nothing where there is one of it.
    pub parts: Vec<String>,
    /// Where it showed.
    pub sign: Sign,
    /// How one knows, in words or figures.
    pub known_by: String,
}

/// The word that says that there is no further fault.
pub const NO_MORE: &str = "none";

/// How a line looks.
pub const LINE: &str = "FAULT PART SIGN HOW-YOU-KNOW, as in: warped G4 feeler 0.16 mm goes under it";

impl Diagnosis {
    /// Reads a line; nothing where it says that there is no more.
    ///
    /// # Errors
    ///
    /// In words: what is missing, or not known.
    pub fn read(text: &str, plates: &[&str]) -> Result<Option<Diagnosis>, String> {
        let mut words = text.split_whitespace();
        let first = words
            .next()
            .ok_or_else(|| format!("a line is wanted: {LINE}; or {NO_MORE}"))?;
        if first.eq_ignore_ascii_case(NO_MORE) {
            return Ok(None);
        }
        let kind = FaultKind::read(first)?;
        let rest: Vec<&str> = words.collect();
        let sign_of = |word: &str| {
            Sign::ALL
                .iter()
                .find(|(_, own)| own.eq_ignore_ascii_case(word))
                .map(|(sign, _)| *sign)
        };
        // a micrometer can be what is off zero, and what shows it
        let parts_wanted = match kind.on() {
            OnWhat::TwoPlates => 2,
            OnWhat::Plate | OnWhat::Side | OnWhat::Gauge => 1,
            OnWhat::Nothing => 0,
        };
        let mut parts = Vec::new();
        for word in rest.iter().take(parts_wanted) {
            parts.push(part(kind, word, plates)?);
        }
        if parts.len() < parts_wanted {
            return Err(format!("\"{}\" wants {}", kind.word(), kind.wanted()));
        }
        let after = rest.get(parts_wanted..).unwrap_or(&[]);
        let signs = || Sign::ALL.map(|(_, word)| word).join(", ");
        let Some((word, known_by)) = after.split_first() else {
            return Err(format!("where did it show? One of {}", signs()));
        };
        let Some(sign) = sign_of(word) else {
            return Err(format!("\"{word}\" is no sign; there are {}", signs()));
        };
        if known_by.is_empty() {
            return Err(
                "how do you know? The figure that was read, or what was seen, behind the sign".to_string(),
            );
        }
        Ok(Some(Diagnosis {
            kind,
            parts,
            sign,
            known_by: known_by.join(" "),
        }))
    }
}

/// A part as it is called, for a kind of fault.
fn part(kind: FaultKind, word: &str, plates: &[&str]) -> Result<String, String> {
    let known: &[&str] = match kind.on() {
        OnWhat::Plate | OnWhat::TwoPlates => plates,
        OnWhat::Side => &["left", "right"],
        OnWhat::Gauge => &["micrometer", "depth-gauge"],
        OnWhat::Nothing => &[],
    };
    // the screen calls a gauge by its name in the file: mic-7, depth-3
    let is_gauge = |name: &str, of: &str| {
        let typed = word.to_lowercase();
        kind.on() == OnWhat::Gauge && name.starts_with(of) && typed.starts_with(of)
    };
    let found = known
        .iter()
        .find(|name| name.eq_ignore_ascii_case(word) || ["mic", "depth"].iter().any(|of| is_gauge(name, of)));
    found
        .map(|name| (*name).to_string())
        .ok_or_else(|| format!("\"{word}\" is no part for \"{}\": {}", kind.word(), kind.wanted()))
}

impl FaultKind {
    /// Reads the word for a kind, or a beginning that only one has.
    ///
    /// # Errors
    ///
    /// In words, with all kinds.
    pub fn read(word: &str) -> Result<FaultKind, String> {
        let typed = word.to_lowercase();
        let whole = FaultKind::all().find(|kind| kind.word() == typed);
        let mut starting =
            FaultKind::all().filter(|kind| !typed.is_empty() && kind.word().starts_with(&typed));
        let alone = match (starting.next(), starting.next()) {
            (Some(kind), None) => Some(kind),
            _ => None,
        };
        whole.or(alone).ok_or_else(|| {
            let known: Vec<&str> = FaultKind::all().map(FaultKind::word).collect();
            format!(
                "\"{word}\" is no fault that has a word here; there are {}",
                known.join(", ")
            )
        })
    }

    /// What stands behind its word.
    fn wanted(self) -> &'static str {
        match self.on() {
            OnWhat::Plate => "the plate's name behind it",
            OnWhat::TwoPlates => "the names of both plates behind it",
            OnWhat::Side => "left or right behind it",
            OnWhat::Gauge => "micrometer or depth-gauge behind it",
            OnWhat::Nothing => "no part behind it",
        }
    }
}

impl fmt::Display for Diagnosis {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.kind.word())?;
        for part in &self.parts {
            write!(f, " {part}")?;
        }
        write!(f, " {} {}", self.sign.word(), self.known_by)
    }
}

/// What was suspected before the unit was opened: kinds of faults, or nothing.
///
/// # Errors
///
/// In words: a word that names no kind.
///
/// ```
/// use shimwright::record::diagnosis::{FaultKind, suspected};
/// assert_eq!(suspected("torn, thin").unwrap(), [FaultKind::Torn, FaultKind::Thin]);
/// assert_eq!(suspected("nothing").unwrap(), []);
/// ```
pub fn suspected(text: &str) -> Result<Vec<FaultKind>, String> {
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || c == ',')
        .filter(|word| !word.is_empty())
        .collect();
    match words.as_slice() {
        [] => Err("what do you suspect? Words for faults, as many as you like; or nothing".to_string()),
        [word] if word.eq_ignore_ascii_case("nothing") || word.eq_ignore_ascii_case(NO_MORE) => {
            Ok(Vec::new())
        }
        words => words.iter().map(|word| FaultKind::read(word)).collect(),
    }
}
