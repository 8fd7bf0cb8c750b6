//! What an instrument shows on the made-up unit, and what there is to see.

use super::fault::Fault;
use super::files::{DUE, SECOND_WRENCH, WAS_DUE};
use super::generated::GeneratedUnit;
use super::truth::{TrueGauge, TrueSpring, Truth, WANDER};
use crate::mechanics::{Held, Movement, Sense, Side};
use crate::metrology::Stream;
use crate::procedure::{Field, Measurand, Session, Sight, way_of_reading};
use crate::quantity::Length;
use crate::record::{ChosenSide, Slot, Value};
use crate::workshop::Measures;

/// The thinnest feeler, and the step from leaf to leaf.
pub(super) const THINNEST: i64 = 30_000;
const LEAF: i64 = 10_000;
/// How far the first movement and the turning torque scatter from reading to reading, as a share.
const SCATTER: f64 = 0.012;
/// Newton metres in a pound-force foot, exactly: 0.3048 m times 0.453 592 37 kg times 9.806 65 m/s².
pub(super) const LBF_FT: f64 = 0.3048 * 0.453_592_37 * 9.806_65;

const NOTHING_TO_TAKE: &str = "There is nothing to measure here; !look shows what there is to see.";
/// What tells a plate of another maker.
const OTHER_STAMP: &str = " The stamp on its tab is not that of its neighbours.";
const NOTHING_TO_SEE: &str = "Nothing is to be seen here that the question does not say.";

/// An instrument whose zero is checked on a standard.
#[derive(Clone, Copy)]
pub(super) enum Checked {
    Micrometer,
    DepthGauge,
}

/// The side that a question is about.
fn side_of(slot: &Slot) -> Option<Side> {
    Side::BOTH
        .into_iter()
        .find(|side| slot.item.as_deref() == Some(side.word()))
}

impl GeneratedUnit {
    /// What the instrument shows when a question's reading is taken; `attempt` counts from 1 how often it has been taken,
    /// as each time shows a little else. It is raw: with the zero error, in the unit that the scale is marked in.
    pub fn take(&self, session: &Session, slot: &Slot, attempt: u32) -> String {
        self.reading(session, slot, attempt)
            .unwrap_or_else(|| NOTHING_TO_TAKE.to_string())
    }

    /// The same, where there is something to take.
    pub fn reading(&self, session: &Session, slot: &Slot, attempt: u32) -> Option<String> {
        let measurand = self.field(slot)?.measurand()?;
        let truth = &self.truth;
        let mut random = self.scatter(slot, attempt);
        let random = &mut random;
        let by_micrometer = |length: Length, random: &mut Stream| {
            let shown = shown(truth.micrometer, length, 1_000, random).mm();
            format!("The micrometer shows {shown:.3} mm.")
        };
        let by_depth_gauge = |length: Length, random: &mut Stream| {
            let shown = shown(truth.depth_gauge, length, 10_000, random).mm();
            format!("The depth gauge shows {shown:.2} mm.")
        };
        Some(match measurand {
            // the standard is where the calibration was made: there only the zero is off
            Measurand::MicrometerStandard => by_micrometer(
                self.standard(Checked::Micrometer)? - truth.micrometer.calibration,
                random,
            ),
            Measurand::DepthGaugeStandard => by_depth_gauge(
                self.standard(Checked::DepthGauge)? - truth.depth_gauge.calibration,
                random,
            ),
            Measurand::PlateThickness | Measurand::RingHeight => {
                by_micrometer(self.true_length(session, slot, measurand)?, random)
            }
            Measurand::CaseDepth | Measurand::SpringHeight | Measurand::PressedPack | Measurand::Room => {
                by_depth_gauge(self.true_length(session, slot, measurand)?, random)
            }
            Measurand::PlateBow => feeler(self.true_length(session, slot, measurand)?),
            Measurand::BreakawayFound | Measurand::Breakaway | Measurand::Drag => {
                self.torque_reading(session, slot, measurand, random)?
            }
        })
    }

    fn torque_reading(
        &self,
        session: &Session,
        slot: &Slot,
        measurand: Measurand,
        random: &mut Stream,
    ) -> Option<String> {
        let read = self.true_torque(session, slot, measurand)?;
        let scale = self.scale();
        let read = read / self.unit_of_scale() * (1.0 + SCATTER * random.normal());
        // the subtle levels do not say what the scale is marked in: that is to be looked at
        let marked = if self.made.level < 4 {
            format!(" on its scale, which is marked in {scale}")
        } else {
            " on its scale".to_string()
        };
        let half = |read: f64| (2.0 * read).round() / 2.0;
        let turns = format!("The wrench shows {:.1}{marked}", half(read));
        if measurand != Measurand::BreakawayFound || !self.made.has_diagnosis() {
            return Some(format!("{turns}."));
        }
        // the jump at the start says what the oil is like
        let first = self.read_as_received(&self.truth, Movement::First) / self.unit_of_scale();
        Some(format!(
            "{turns}, once it turns. It let go at {:.1} on the same scale.",
            half(first * (1.0 + SCATTER * random.normal()))
        ))
    }

    /// The torque at the wrench, with its error and the extension on it, in newton metres.
    pub(super) fn true_torque(&self, session: &Session, slot: &Slot, measurand: Measurand) -> Option<f64> {
        let truth = &self.truth;
        let unit = &self.job.unit;
        let at_output = match measurand {
            Measurand::BreakawayFound => return Some(self.read_as_received(truth, Movement::Turning)),
            Measurand::Drag => truth.drag,
            Measurand::Breakaway => {
                let sides = &session.chosen()?.sides;
                let forces = truth.forces(unit, sides, &self.springs_now(session));
                let (sense, movement) = way_of_reading(slot.item.as_deref()?)?;
                let warped = sides
                    .iter()
                    .flat_map(|side| &side.plates)
                    .filter_map(|name| truth.plates.get(name))
                    .filter(|plate| plate.bow > unit.limits.flatness)
                    .count() as f64;
                // it binds in one place and is easy in the next
                let place = if slot.point.unwrap_or(1) % 2 == 1 {
                    1.0
                } else {
                    -0.6
                };
                let truth = self.rebuilt(session);
                truth.breakaway(unit, sides, forces, sense, movement) * (1.0 + place * WANDER * warped)
            }
            Measurand::MicrometerStandard
            | Measurand::DepthGaugeStandard
            | Measurand::PlateThickness
            | Measurand::PlateBow
            | Measurand::RingHeight
            | Measurand::CaseDepth
            | Measurand::SpringHeight
            | Measurand::PressedPack
            | Measurand::Room => return None,
        };
        let second = self
            .answer_for(session, Field::WRENCH)
            .is_some_and(|value| matches!(value, Value::Word { word, .. } if word == SECOND_WRENCH));
        let reads = if second { truth.wrench } else { truth.overdue };
        Some(at_output * reads / self.leverage(truth))
    }

    /// What the wrench reads of a unit as it comes in, in newton metres.
    pub(super) fn read_as_received(&self, truth: &Truth, movement: Movement) -> f64 {
        let unit = &self.job.unit;
        let found = self.found_in(truth);
        let forces = truth.forces(unit, &found, &truth.springs);
        let as_found = truth.as_found();
        as_found.breakaway(unit, &found, forces, Sense::Forwards, movement) * truth.overdue
            / self.leverage(truth)
    }

    /// The unit as it is rebuilt: in its own oil, and with tabs that slide where somebody saw that they did not.
    fn rebuilt(&self, session: &Session) -> Truth {
        let mut truth = self.truth.clone();
        if noted_bad(session, "inspect-case") {
            truth.held_back = [0.0; 2];
        }
        truth
    }

    pub(super) fn scale(&self) -> &'static str {
        match self.truth.has(|fault| *fault == Fault::WrenchScale) {
            true => "lbf·ft",
            false => "N·m",
        }
    }

    /// How many newton metres one of the scale's marks is.
    pub(super) fn unit_of_scale(&self) -> f64 {
        match self.truth.has(|fault| *fault == Fault::WrenchScale) {
            true => LBF_FT,
            false => 1.0,
        }
    }

    /// How many times what the wrench reads the output gets, through the extension on it.
    pub(super) fn leverage(&self, truth: &Truth) -> f64 {
        let length = self.job.instruments.iter().find_map(|one| match one.measures {
            Measures::Torque { length, .. } => Some(length.mm()),
            _ => None,
        });
        length.map_or(1.0, |length| (length + truth.extension().mm()) / length)
    }

    /// What a question's part truly measures, before any instrument.
    pub(super) fn true_length(&self, session: &Session, slot: &Slot, measurand: Measurand) -> Option<Length> {
        let truth = &self.truth;
        let n = side_of(slot).map_or(0, Side::index);
        let plate = || truth.plates.get(slot.item.as_deref()?);
        match measurand {
            Measurand::PlateThickness => {
                let point = slot.point.unwrap_or(1).saturating_sub(1) as usize % 3;
                Some(plate()?.points[point])
            }
            Measurand::PlateBow => Some(plate()?.bow),
            Measurand::RingHeight => Some(truth.rings[n]),
            Measurand::CaseDepth => Some(truth.depths[n]),
            Measurand::SpringHeight => Some(self.springs_now(session)[n].stack.free_height()),
            Measurand::PressedPack => {
                let plates = truth.order[n].clone();
                let shims_nanometres = Vec::new();
                Some(truth.pack_height(&ChosenSide {
                    plates,
                    shims_nanometres,
                }))
            }
            Measurand::Room => Some(truth.room(&self.job.unit, &session.chosen()?.sides, side_of(slot))),
            Measurand::MicrometerStandard
            | Measurand::DepthGaugeStandard
            | Measurand::BreakawayFound
            | Measurand::Breakaway
            | Measurand::Drag => None,
        }
    }

    /// What there is to see at a question.
    pub fn look(&self, session: &Session, slot: &Slot) -> String {
        self.sight(session, slot)
            .unwrap_or_else(|| NOTHING_TO_SEE.to_string())
    }

    /// The same, where there is something to see.
    pub fn sight(&self, session: &Session, slot: &Slot) -> Option<String> {
        match slot.step.as_str() {
            "open" if self.made.has_diagnosis() => return Some(self.oil_sight().to_string()),
            "inspect-rings" => return Some(self.ramps_sight()),
            "inspect-case" => return Some(self.case_sight()),
            "inspect-gears" => {
                return Some(self.gears_sight().to_string());
            }
            "oil-temperature" => {
                return Some(
                    "The unit has lain here overnight; the thermometer on the wall shows 20 °C.".to_string(),
                );
            }
            "free-inside" | "hand-turned" => {
                return Some("It goes round evenly; nothing catches.".to_string());
            }
            "spring-way" => return Some("Both springs lie as they were marked.".to_string()),
            "ring-way" => {
                return Some("The marks are in line; the drive faces are on the marked side.".to_string());
            }
            _ => {}
        }
        Some(match self.field(slot)?.sight()? {
            Sight::Spring => self.spring_sight(session, slot),
            Sight::Plate => self.plate_in_hand(slot.item.as_deref()?),
            Sight::Complaint => self.complaint(),
            Sight::Order => self.order_sight(side_of(slot)?),
            Sight::Held if slot.step == "drag" => self.drag_sight(),
            Sight::Held => format!("{} {}", self.how_held(), self.wrench_sight()),
            Sight::Wrench => self.wrench_sight(),
        })
    }

    fn how_held(&self) -> &'static str {
        match self.truth.held {
            Held::Case => {
                "The case is bolted to the plate on the bench. The wrench sits on the right output; the left one is free and turns the \
                 other way."
            }
            Held::Output => {
                "The wrench sits on the right output. A bar holds the far output fast. The case lies in rollers and turns along slowly."
            }
        }
    }

    fn wrench_sight(&self) -> String {
        let scale = self.scale();
        let label = match self
            .truth
            .has(|fault| matches!(fault, Fault::WrenchOverdue { .. }))
        {
            true => format!(
                " Its label says that it was due on {WAS_DUE}; {SECOND_WRENCH} lies beside it, due on {DUE}."
            ),
            false => String::new(),
        };
        let extension = self.truth.extension();
        let on_it = if extension == Length::ZERO {
            "nothing sits on its square but the socket".to_string()
        } else {
            format!(
                "an extension of {:.0} mm sits on its square, in line with it",
                extension.mm()
            )
        };
        format!("The wrench's scale is marked in {scale}; {on_it}.{label}")
    }

    fn oil_sight(&self) -> &'static str {
        let has = |wanted: Fault| self.truth.has(|fault| *fault == wanted);
        if has(Fault::WrongOil) {
            "The oil that runs out is thin and golden, as an engine's is. The tag on the case asks for gear oil."
        } else if has(Fault::NoModifier) {
            "Dark gear oil runs out. The tag on the case asks for a friction modifier, and the box for it is not ticked."
        } else {
            "Dark gear oil runs out, with a little grey fluff in it, as the tag on the case has it."
        }
    }

    fn ramps_sight(&self) -> String {
        let has = |wanted: Fault| self.truth.has(|fault| *fault == wanted);
        match (has(Fault::SteppedRamp), has(Fault::PinFlat)) {
            (false, false) => {
                "All ramp faces are bright and even; the flats of the pins are smooth.".to_string()
            }
            (stepped, flat) => {
                let ramps = match stepped {
                    true => {
                        "Three ramp faces are bright and even. On the fourth a fingernail catches on a step across it."
                    }
                    false => "All ramp faces are bright and even.",
                };
                let pins = if flat {
                    " One cross pin has a hollow worn on one side, as wide as a fingernail."
                } else {
                    ""
                };
                format!("{ramps}{pins}")
            }
        }
    }

    fn case_sight(&self) -> String {
        let sentences = self.truth.faults.iter().filter_map(|fault| match fault {
            Fault::RingWedged { side } => Some(format!(
                "The {side} ring came out with a mallet only: its lugs have bright stripes."
            )),
            Fault::TabsStick { side } => Some(format!(
                "On the {side} the tabs have worn notches into the slots; a fingernail catches in each."
            )),
            _ => None,
        });
        let seen: Vec<String> = sentences.collect();
        match seen.is_empty() {
            true => "Slots, tabs and splines have polished edges; a fingernail catches nowhere.".to_string(),
            false => seen.join(" "),
        }
    }

    /// What there is to see of a fault where it stands.
    pub(super) fn seen_of(&self, fault: &Fault) -> String {
        match fault {
            Fault::Spoilt { plate, .. } | Fault::OtherMaker { plate, .. } => self.plate_in_hand(plate),
            Fault::SpringCracked { side } | Fault::SpringUpsideDown { side } => {
                self.spring_words(self.truth.springs[side.index()], *side)
            }
            Fault::SteppedRamp | Fault::PinFlat => self.ramps_sight(),
            Fault::RingWedged { .. } | Fault::TabsStick { .. } => self.case_sight(),
            Fault::WasherMissing => self.gears_sight().to_string(),
            Fault::ShimDoubled { side, .. } => self.order_sight(*side),
            Fault::WrenchScale | Fault::WrenchOverdue { .. } | Fault::Extension { .. } => self.wrench_sight(),
            Fault::OtherMethod => self.how_held().to_string(),
            Fault::Drag { .. } => self.drag_sight(),
            Fault::WrongOil | Fault::NoModifier => self.oil_sight().to_string(),
            Fault::Warped { .. }
            | Fault::Thin { .. }
            | Fault::Tapered { .. }
            | Fault::Swapped { .. }
            | Fault::DeadFace { .. }
            | Fault::MicrometerZero { .. }
            | Fault::DepthGaugeZero { .. } => String::new(),
        }
    }

    fn plate_in_hand(&self, name: &str) -> String {
        let other = |fault: &Fault| matches!(fault, Fault::OtherMaker { plate, .. } if plate == name);
        let stamp = if self.truth.has(other) { OTHER_STAMP } else { "" };
        let look = self.truth.plates.get(name).map_or("", |plate| plate.look);
        format!("{}{stamp}", plate_sight(look))
    }

    fn order_sight(&self, side: Side) -> String {
        let order = &self.truth.order[side.index()];
        let shims = match self.truth.more_shims[side.index()] {
            Length::ZERO => String::new(),
            _ => " Two shims lie at the wall, stuck together with oil.".to_string(),
        };
        format!("From the case wall to the ring: {}.{shims}", order.join(" "))
    }

    fn gears_sight(&self) -> &'static str {
        match self.truth.has(|fault| *fault == Fault::WasherMissing) {
            true => {
                "Teeth and bearings are bright. Behind one side gear there is no thrust washer: its back has run a circle \
                 into the case."
            }
            false => "Teeth, washers and bearings are clean and bright; everything rolls without a sound.",
        }
    }

    fn drag_sight(&self) -> String {
        let seals = match self.truth.has(|fault| matches!(fault, Fault::Drag { .. })) {
            true => "The shaft seals are dry and squeal as the output turns. ",
            false => "",
        };
        format!("{seals}{} {}", self.how_held(), self.wrench_sight())
    }

    fn spring_sight(&self, session: &Session, slot: &Slot) -> String {
        let side = side_of(slot).unwrap_or(Side::Left);
        self.spring_words(self.springs_now(session)[side.index()], side)
    }

    fn spring_words(&self, now: TrueSpring, side: Side) -> String {
        let sound = self.truth.mended[side.index()];
        let cracked = now.share < sound.share;
        match (cracked, now.stack == sound.stack) {
            (true, _) => "A fine dark line runs from the inner edge of one disc halfway out.",
            (_, false) => "The two discs lie rim to rim, like a closed shell, and not one in the other.",
            _ => "The discs lie one in the other; their inner edges are clean all round.",
        }
        .to_string()
    }

    /// The springs as they are now: one whose fault was noted has been replaced or laid right.
    pub(super) fn springs_now(&self, session: &Session) -> [TrueSpring; 2] {
        Side::BOTH.map(|side| {
            let n = side.index();
            if spring_noted_bad(session, side) {
                self.truth.mended[n]
            } else {
                self.truth.springs[n]
            }
        })
    }

    /// The packs as they lay, of this unit or with other faults.
    pub(super) fn found_in(&self, truth: &Truth) -> [ChosenSide; 2] {
        Side::BOTH.map(|side| {
            let n = side.index();
            ChosenSide {
                plates: truth.order[n].clone(),
                shims_nanometres: self.job.unit.packs[n]
                    .shims
                    .iter()
                    .chain([&truth.more_shims[n]])
                    .map(|shim| shim.nm())
                    .filter(|nm| *nm > 0)
                    .collect(),
            }
        })
    }

    pub(super) fn field(&self, slot: &Slot) -> Option<Field> {
        self.job.procedure.step(&slot.step)?.1.fills
    }

    /// What a question was answered with that fills a field in.
    pub(super) fn answer_for<'s>(&self, session: &'s Session, wanted: Field) -> Option<&'s Value> {
        let mut answers = session.answers();
        let (_, value) = answers.find(|(slot, _)| self.field(slot) == Some(wanted))?;
        Some(value)
    }

    /// The standard that an instrument's zero is checked on.
    pub(super) fn standard(&self, gauge: Checked) -> Option<Length> {
        let mut instruments = self.job.instruments.iter();
        instruments.find_map(|one| match (gauge, &one.measures) {
            (Checked::Micrometer, Measures::Thickness(gauge))
            | (Checked::DepthGauge, Measures::Depth(gauge)) => Some(gauge.standard),
            (Checked::Micrometer | Checked::DepthGauge, _) => None,
        })
    }

    /// The scatter of one reading: the same for the same question, taken as often.
    fn scatter(&self, slot: &Slot, attempt: u32) -> Stream {
        // FNV-1a, 64 bits, over what names the reading; the four first streams made the unit
        let mut name: u64 = 0xcbf2_9ce4_8422_2325;
        for byte in format!("{}/{slot}/{attempt}", slot.round).bytes() {
            name = (name ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
        }
        Stream::new(
            self.made.seed.wrapping_add(u64::from(self.made.level) << 56),
            name | 8,
        )
    }
}

/// Whether a yes-or-no question was answered with no.
pub(super) fn noted_bad(session: &Session, step: &str) -> bool {
    session.answer_to(&slot_of(step, None)) == Some(&Value::Yes(false))
}

/// Whether the spring of a side was held to be one that can not stay as it is.
pub(super) fn spring_noted_bad(session: &Session, side: Side) -> bool {
    let slot = slot_of("spring-look", Some(side.word()));
    matches!(session.answer_to(&slot), Some(Value::Word { word, .. }) if word != "good")
}

fn slot_of(step: &str, item: Option<&str>) -> Slot {
    Slot {
        round: 1,
        step: step.to_string(),
        item: item.map(str::to_string),
        point: None,
    }
}

/// What an instrument shows of a length, to its step.
fn shown(gauge: TrueGauge, length: Length, step: i64, random: &mut Stream) -> Length {
    let scatter = (gauge.scatter.nm() as f64 * random.normal()) as i64;
    let nm = (length + gauge.zero + gauge.calibration).nm() + scatter;
    Length::from_nm((2 * nm + step).div_euclid(2 * step) * step)
}

/// The thickest leaf that goes under a plate.
pub(super) fn leaf(bow: Length) -> Length {
    if bow.nm() < THINNEST {
        Length::ZERO
    } else {
        Length::from_nm(bow.nm() / LEAF * LEAF)
    }
}

fn feeler(bow: Length) -> String {
    match leaf(bow) {
        Length::ZERO => "Not even the thinnest leaf, 0.03 mm, goes under it: 0.".to_string(),
        leaf => format!(
            "The leaf of {:.2} mm goes under it, the next one does not.",
            leaf.mm()
        ),
    }
}

fn plate_sight(look: &str) -> &'static str {
    match look {
        "glazed" => "Both faces are shiny and hard, without colour. Tabs and splines are whole.",
        "burnt" => "A blue band with a brown edge runs round one face. Tabs and splines are whole.",
        "torn" => "Both faces are even and grey. One tab is bent, and torn at its root.",
        "cracked" => "Both faces are even and grey. A crack as fine as a hair starts at the root of a tab.",
        _ => "Both faces are even and grey. Tabs and splines are whole.",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::GeneratedFrom;

    fn all() -> impl Iterator<Item = GeneratedUnit> {
        (2..=4).flat_map(|level| {
            (1..=40).map(move |seed| GeneratedUnit::new(GeneratedFrom::newest(level, seed)).unwrap())
        })
    }

    #[test]
    fn readings_scatter_about_the_true_value_with_the_zero_error_on_them() {
        let gauge = TrueGauge {
            zero: Length::from_um(12),
            calibration: Length::from_nm(-700),
            scatter: Length::from_nm(600),
        };
        let (true_one, count) = (Length::from_um(1_987), 4_000);
        let mut random = Stream::new(5, 5);
        let values: Vec<f64> = (0..count)
            .map(|_| shown(gauge, true_one, 1_000, &mut random).um())
            .collect();
        let mean = values.iter().sum::<f64>() / f64::from(count);
        let variance = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / f64::from(count);
        // the step adds a twelfth of its square (JCGM 100:2008, F.2.2.1); five standard errors allowed
        let wanted = 0.6_f64.powi(2) + 1.0 / 12.0;
        assert!(
            (mean - 1_998.3).abs() < 5.0 * (wanted / f64::from(count)).sqrt(),
            "{mean}"
        );
        assert!(
            (variance / wanted - 1.0).abs() < 5.0 * (2.0 / f64::from(count)).sqrt(),
            "{variance}"
        );
        assert!(values.iter().all(|value| (value - value.round()).abs() < 1e-9));
    }

    #[test]
    fn rings_that_float_come_to_rest_where_both_springs_press_alike() {
        let mut uneven = 0;
        for made in all().filter(|made| made.job.unit.is_through()) {
            let [left, right] =
                made.truth
                    .forces(&made.job.unit, &made.found_in(&made.truth), &made.truth.springs);
            assert!((left - right).abs() < 0.5, "{:?}: {left} {right}", made.made());
            uneven += u32::from(made.truth.springs[0] != made.truth.springs[1]);
        }
        assert!(uneven > 5, "{uneven}");
    }

    #[test]
    fn what_the_wrench_reads_is_faces_times_friction_times_force_times_radius() {
        for made in all() {
            let (unit, truth) = (&made.job.unit, &made.truth);
            let found = made.found_in(truth);
            let forces = [1_000.0, 800.0];
            let radius = unit.friction.radius.metres();
            let side = |n: usize| {
                let order = &truth.order[n];
                let look = |word: &str| {
                    order
                        .iter()
                        .filter(|name| truth.plates[*name].look == word)
                        .count()
                };
                let faces = f64::from(made.faces(Side::BOTH[n], order))
                    - 2.0 * look("torn") as f64
                    - 0.6 * look("burnt") as f64;
                (1.0 - truth.held_back[n]) * faces.max(0.0) * truth.turning * forces[n] * radius
            };
            // the springs of these units sit behind their packs: the ramps lift nothing
            let wanted = match truth.held {
                Held::Case => side(0) + side(1) + 2.0 * truth.drag,
                Held::Output => (side(0) + side(1) + truth.drag) / 2.0,
            };
            let read = truth.breakaway(unit, &found, forces, Sense::Backwards, Movement::Turning);
            assert!((read - wanted).abs() < 1e-9, "{:?}: {read} {wanted}", made.made());
        }
    }
}
