//! What a careful hand answers, out of the truth: the stages that an apprentice is given.

use super::fault::Fault;
use super::generated::GeneratedUnit;
use super::indication::Checked;
use crate::mechanics::{Held, Side};
use crate::metrology::Verdict;
use crate::procedure::{Ask, Expects, Measurand, PLATE_LOOKS, Reply, Session};
use crate::quantity::Length;
use crate::record::Slot;

/// Where an apprentice begins.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum StartAt {
    /// With the first question: the whole job is his.
    Begin,
    /// At the plates.
    Measure,
    /// At the choice of plates and shims.
    Choose,
    /// At the proof.
    Prove,
    /// Nowhere and everywhere: what shows no fault is given.
    Signs,
}

impl StartAt {
    /// Each with the word for it, and in how many words that is told.
    pub const ALL: [(StartAt, &'static str, &'static str); 5] = [
        (StartAt::Begin, "begin", "the whole job is yours"),
        (
            StartAt::Measure,
            "measure",
            "all before the plates are measured was done by a careful hand",
        ),
        (
            StartAt::Choose,
            "choose",
            "all before plates and shims are chosen was done by a careful hand",
        ),
        (
            StartAt::Prove,
            "prove",
            "all before the proof was done by a careful hand",
        ),
        (
            StartAt::Signs,
            "signs",
            "what can show no fault is done by a careful hand, before you, between and after",
        ),
    ];

    /// The word for it.
    pub fn word(self) -> &'static str {
        let row = StartAt::ALL.iter().find(|(start, ..)| *start == self);
        row.map_or("", |(_, word, _)| word)
    }

    /// What it means.
    pub fn told(self) -> &'static str {
        let row = StartAt::ALL.iter().find(|(start, ..)| *start == self);
        row.map_or("", |(.., told)| told)
    }

    /// That of a word.
    ///
    /// ```
    /// use shimwright::practice::StartAt;
    /// assert_eq!(StartAt::named("prove"), Some(StartAt::Prove));
    /// assert_eq!(StartAt::named("paint"), None);
    /// ```
    pub fn named(word: &str) -> Option<StartAt> {
        let row = StartAt::ALL.iter().find(|(_, name, _)| *name == word);
        row.map(|(start, ..)| *start)
    }

    /// Where a level begins where nothing is said: whole jobs from the third on.
    ///
    /// ```
    /// use shimwright::practice::StartAt;
    /// assert_eq!([1, 2, 3, 4].map(StartAt::of_level), [StartAt::Signs, StartAt::Signs, StartAt::Begin, StartAt::Begin]);
    /// ```
    pub fn of_level(level: u32) -> StartAt {
        if level < 3 { StartAt::Signs } else { StartAt::Begin }
    }

    /// The stage of the procedure from which on all is the apprentice's.
    fn stage(self) -> Option<&'static str> {
        match self {
            StartAt::Begin | StartAt::Signs => None,
            StartAt::Measure => Some("Measure"),
            StartAt::Choose => Some("Choose"),
            StartAt::Prove => Some("Prove"),
        }
    }
}

/// Under which name what is given stands in the record.
pub const CAREFUL_HAND: &str = "a careful hand (given)";

/// Steps that nobody can answer for an apprentice.
const HIS_OWN: [&str; 4] = ["who", "suspicion", "diagnosis", "sign-built"];
/// Steps at which the faults of level 1 show, but for those of single plates.
const SIGNS_OF_1: [&str; 3] = ["open", "found-order", "micrometer-zero"];
/// Steps at which those of level 2 show besides.
const SIGNS_OF_2: [&str; 8] = [
    "found-breakaway",
    "inspect-rings",
    "inspect-case",
    "inspect-gears",
    "spring-look",
    "depth-gauge-zero",
    "own-verdict",
    "breakaway",
];
/// Steps that are asked of plates.
const OF_PLATES: [&str; 6] = [
    "plate-look",
    "plate-thickness",
    "plate-flatness",
    "own-verdict",
    "remeasure",
    "fate",
];

impl GeneratedUnit {
    /// What a careful hand answers to a question that is given; nothing where it is the apprentice's.
    pub fn given(&self, session: &Session, ask: &Ask, start: StartAt) -> Option<Reply> {
        let step = ask.slot.step.as_str();
        if HIS_OWN.contains(&step) || self.is_his(session, &ask.slot, start) {
            return None;
        }
        match step {
            "own-verdict" | "sign-checked" => Some(Reply::Skip("given".to_string())),
            // a measurement that does not agree with what was predicted is for whoever measured
            "dry-decision" => None,
            "proof-decision" => self.proof_taken(session, start),
            "choose" => first_proposal(ask),
            _ => Some(Reply::Answer(self.careful(session, ask))),
        }
    }

    /// The row of a plate that is given, where rows are asked for and one is missing.
    pub fn given_row(&self, session: &Session, ask: &Ask, start: StartAt) -> Option<String> {
        let slot = |step: &str, plate: &str, point: Option<usize>| Slot {
            round: ask.slot.round,
            step: step.to_string(),
            item: Some(plate.to_string()),
            point: point.map(|point| point as u32 + 1),
        };
        let rail = ask.rail.as_ref()?;
        let row = rail
            .rows
            .iter()
            .find(|row| row.missing && !self.is_his(session, &slot("plate-look", &row.name, None), start))?;
        let look = self.truth.plates.get(&row.name)?.look;
        let goes = PLATE_LOOKS.iter().any(|(word, _, goes)| *word == look && *goes);
        let mut items = vec![row.name.clone()];
        // what is thrown out by its looks is not measured
        if !goes {
            for (point, _) in row.readings.iter().enumerate().filter(|(_, read)| read.is_none()) {
                items.push(
                    self.measured_with_care(session, &slot("plate-thickness", &row.name, Some(point)))?,
                );
            }
            if rail.flatness && row.flatness.is_none() {
                let flat = self.measured_with_care(session, &slot("plate-flatness", &row.name, None))?;
                items.push(format!("flat {flat}"));
            }
        }
        if row.look.is_none() {
            items.push(look.to_string());
        }
        Some(items.join(" "))
    }

    /// A proof outside its window is for whoever chose; where only signs are looked for it stands as it is.
    fn proof_taken(&self, session: &Session, start: StartAt) -> Option<Reply> {
        let inside = session
            .proof_verdict()
            .is_some_and(|(_, verdict)| verdict == Verdict::Inside);
        match (inside, start) {
            (true, _) => Some(Reply::Answer("accept".to_string())),
            (false, StartAt::Signs) => Some(Reply::Answer("accept given as it reads".to_string())),
            (false, _) => None,
        }
    }

    /// Whether a question is put to the apprentice.
    fn is_his(&self, session: &Session, slot: &Slot, start: StartAt) -> bool {
        let step = slot.step.as_str();
        let Some(stage) = start.stage() else {
            return match start {
                StartAt::Signs => self.shows_a_sign(slot),
                _ => true,
            };
        };
        let stages = &session.job().procedure.stages;
        let place = |title: &str| stages.iter().position(|one| one.title == title);
        let here = stages
            .iter()
            .position(|one| one.steps.iter().any(|known| known.id == step));
        here >= place(stage)
    }

    /// The pack that is the apprentice's where only one is.
    pub fn pack_in_hand(&self, start: StartAt) -> Option<Side> {
        (start == StartAt::Signs && self.made.level == 1).then(|| self.side_in_hand())
    }

    /// Whether a question is one at which a fault of the unit's level can show. At level 1 that is one pack, so that a job is
    /// over in minutes: the one with the fault, or either where no plate has one.
    fn shows_a_sign(&self, slot: &Slot) -> bool {
        let (step, level) = (slot.step.as_str(), self.made.level);
        let item = slot.item.as_deref();
        if level > 1 {
            return SIGNS_OF_1.contains(&step) || SIGNS_OF_2.contains(&step) || OF_PLATES.contains(&step);
        }
        let side = self.side_in_hand();
        if OF_PLATES.contains(&step) {
            return item.is_some_and(|name| self.truth.order[side.index()].iter().any(|own| own == name));
        }
        SIGNS_OF_1.contains(&step) && (step != "found-order" || item == Some(side.word()))
    }

    /// The pack that is the apprentice's at level 1.
    fn side_in_hand(&self) -> Side {
        let of_plate = |name: &str| {
            Side::BOTH
                .into_iter()
                .find(|side| self.truth.order[side.index()].iter().any(|own| own == name))
        };
        let faults = self.truth.faults.iter();
        let mut sides = faults.filter_map(|fault| match fault {
            Fault::DeadFace { side, .. } | Fault::ShimDoubled { side, .. } => Some(*side),
            other => of_plate(other.plate()?),
        });
        sides
            .next()
            .unwrap_or(Side::BOTH[usize::from(self.made.seed.is_multiple_of(2))])
    }

    /// The answer of somebody who looks and reads as he should.
    fn careful(&self, session: &Session, ask: &Ask) -> String {
        let slot = &ask.slot;
        let truth = &self.truth;
        if let Some(answer) = self.measured_with_care(session, slot) {
            return answer;
        }
        match slot.step.as_str() {
            "found-order" => {
                let side = Side::BOTH
                    .into_iter()
                    .find(|side| slot.item.as_deref() == Some(side.word()));
                return truth.order[side.map_or(0, Side::index)].join(" ");
            }
            "plate-look" => {
                let plate = slot.item.as_deref().and_then(|name| truth.plates.get(name));
                return plate.map_or("good", |plate| plate.look).to_string();
            }
            "spring-look" => return self.spring_look(session, slot).to_string(),
            "wrench-extension" => return format!("{} mm", truth.extension().mm()),
            "held" => {
                return match truth.held {
                    Held::Case => "case",
                    Held::Output => "output",
                }
                .to_string();
            }
            "soaked" => return "the oil of the unit's tag, 30 min, since 9:00".to_string(),
            "fate" => return "reject it can not be called".to_string(),
            _ => {}
        }
        match &ask.expects {
            Expects::Acknowledge => "yes".to_string(),
            Expects::YesNo => if self.shows_at(&slot.step) { "no" } else { "yes" }.to_string(),
            Expects::OneOf(ways) | Expects::OneOfOrLine { ways, .. } => {
                ways.first().map_or(String::new(), |way| way.key.clone())
            }
            Expects::Text { optional: false } => "given".to_string(),
            Expects::Done
            | Expects::Text { optional: true }
            | Expects::Quantity { .. }
            | Expects::Line { .. }
            | Expects::Names(_) => String::new(),
        }
    }

    /// Whether a look that wants a yes finds something instead.
    fn shows_at(&self, step: &str) -> bool {
        self.truth.has(|fault| self.sign_of(fault).step == step)
    }

    fn spring_look(&self, session: &Session, slot: &Slot) -> &'static str {
        let side = Side::BOTH
            .into_iter()
            .find(|side| slot.item.as_deref() == Some(side.word()));
        let n = side.map_or(0, Side::index);
        let (now, sound) = (self.springs_now(session)[n], self.truth.mended[n]);
        if now.share < sound.share {
            "cracked"
        } else if now.stack != sound.stack {
            "turned"
        } else {
            "good"
        }
    }

    /// What the instrument shows, without its scatter.
    fn measured_with_care(&self, session: &Session, slot: &Slot) -> Option<String> {
        let measurand = self.field(slot)?.measurand()?;
        if let Some((length, _)) = self.should_read(session, slot, Some(measurand)) {
            return Some(read_to(length, step_of(measurand)));
        }
        let on_standard = |gauge: Checked, off: Length| {
            let shown = self.standard(gauge)? + off;
            Some(read_to(shown, step_of(measurand)))
        };
        match measurand {
            Measurand::MicrometerStandard => on_standard(Checked::Micrometer, self.truth.micrometer.zero),
            Measurand::DepthGaugeStandard => on_standard(Checked::DepthGauge, self.truth.depth_gauge.zero),
            Measurand::BreakawayFound | Measurand::Breakaway | Measurand::Drag => {
                let torque = self.true_torque(session, slot, measurand)?;
                Some(format!("{torque:.1} N·m"))
            }
            Measurand::PlateThickness
            | Measurand::PlateBow
            | Measurand::RingHeight
            | Measurand::CaseDepth
            | Measurand::SpringHeight
            | Measurand::PressedPack
            | Measurand::Room => None,
        }
    }
}

/// The first of the proposals; nothing where there is none.
fn first_proposal(ask: &Ask) -> Option<Reply> {
    let Expects::OneOfOrLine { ways, .. } = &ask.expects else {
        return None;
    };
    let first = ways.iter().find(|way| way.key == "1")?;
    Some(Reply::Answer(first.key.clone()))
}

/// What one division of the instrument is, in nanometres.
fn step_of(measurand: Measurand) -> i64 {
    let by_micrometer = [
        Measurand::PlateThickness,
        Measurand::RingHeight,
        Measurand::MicrometerStandard,
    ];
    if by_micrometer.contains(&measurand) {
        1_000
    } else {
        10_000
    }
}

fn read_to(length: Length, step: i64) -> String {
    let nm = (2 * length.nm() + step).div_euclid(2 * step) * step;
    format!("{:.3} mm", Length::from_nm(nm).mm())
}
