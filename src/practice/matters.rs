//! Why a fault matters, with what it costs in newtons, newton metres and millimetres.

use super::fault::{Fault, told};
use super::made::MadeUp;
use super::shown::LBF_FT;
use super::truth::{BURNT_SHARE, CRACKED_SHARE, WANDER, face_torque, keyed};
use crate::mechanics::{Held, Keying};
use crate::quantity::{Force, Length};
use crate::record::{Aim, Side};

impl MadeUp {
    /// Why a fault matters, and where it shows.
    pub(super) fn why(&self, fault: &Fault) -> String {
        let unit = &self.job.unit;
        let limits = &unit.limits;
        match fault {
            Fault::Warped { .. } => format!(
                "At most {} is allowed. It measures the right thickness and shows only under a feeler on the surface plate. \
                 In use it binds in one place and slips in the next: here the breakaway would come and go by about {:.1} N·m \
                 (an eighth; common practice, no source).",
                limits.flatness,
                WANDER * self.proof_torque()
            ),
            Fault::Thin { plate, least } => {
                let limit = match keyed(unit, plate) {
                    Some(Keying::Case) => limits.case_least,
                    _ => limits.gear_least,
                };
                let lost = unit.plate(plate).map_or(Length::ZERO, |plate| told(plate.nominal - *least));
                format!(
                    "The limit is {limit}. It has lost {lost}; left in, it lets the spring out by that: {}. \
                     Its lining or hard skin is through before the next rebuild.",
                    self.cost_of_height(lost)
                )
            }
            Fault::Tapered { spread, .. } => {
                let half = told(Length::from_nm(spread.nm() / 2));
                format!(
                    "At most {} is allowed. Read in one place only it passes: its first place is {half} thicker than its \
                     mean, and the stack would be reckoned wrong by that: {}. It presses on one side only and wears itself hot.",
                    limits.spread,
                    self.cost_of_height(half)
                )
            }
            Fault::Spoilt { look, .. } => self.why_spoilt(look),
            Fault::Swapped { left, right } => {
                let thickness = |name: &String| {
                    self.truth.plates.get(name).map_or(Length::ZERO, |plate| plate.mean())
                };
                let apart = told(thickness(left).apart(thickness(right)));
                format!(
                    "Faces that had run in against each other were parted, and the packs' heights moved apart by {}: {}. \
                     It shows only to someone who reads the marks on the plates as they come out.",
                    apart * 2,
                    self.cost_of_height(apart)
                )
            }
            Fault::DeadFace { lost, .. } => format!(
                "Two neighbours that are keyed to the same part turn together and do not rub. The pack has the right height \
                 and {lost} of {} faces too few: {:.1} N·m of breakaway were lost.",
                unit.packs[0].faces,
                f64::from(*lost) * self.part() * self.face()
            ),
            Fault::MicrometerZero { by } => {
                let count = self.micrometer_links();
                format!(
                    "It is on every reading with the same sign. {count} plates and rings are in one chain: the room for the \
                     springs comes out wrong by {}, which is {}. Every verdict on a plate is out by {} as well.",
                    by.abs() * count,
                    self.cost_of_height(by.abs() * count),
                    by.abs()
                )
            }
            Fault::DepthGaugeZero { by } if unit.is_through() => format!(
                "One depth is read by it and two springs: of the three errors one is left over, and the springs stand wrong by \
                 {}: {}. The dry build, read by the same gauge, would not show it.",
                by.abs(),
                self.cost_of_height(by.abs())
            ),
            Fault::DepthGaugeZero { by } => format!(
                "Every depth and height is wrong by {}. In this unit depth and spring are both read by it and the error falls \
                 out of their difference; in one that is set to a gap, or with one depth over both packs, it would not, and \
                 the dry build, read by the same gauge, would not show it.",
                by.abs()
            ),
            Fault::SpringCracked { .. } => {
                let lost = (1.0 - CRACKED_SHARE) * self.target();
                format!(
                    "It had lost about {lost:.0} N of {:.0} N (reckoned with four tenths; common practice, no source), {:.1} N·m \
                     of breakaway, and breaks in use. Its height need not tell: the crack is to be looked for.",
                    self.target(),
                    self.torque_of_force(lost)
                )
            }
            Fault::SpringUpsideDown { side } => self.why_upside_down(*side),
            Fault::SteppedRamp => "The pin hangs in the step: the ring spreads late, then suddenly, and lets go late \
                 (common practice, no source). No measurement of the packs shows it, and the proof at the bench does not turn \
                 the pins on the ramps."
                .to_string(),
            Fault::WrenchScale => format!(
                "One pound-force foot is {LBF_FT:.4} N·m. The window of {} to {} is {:.1} to {:.1} on that scale: typed as N·m, a \
                 sound unit is condemned, or one is shimmed up until it holds a third too much.",
                unit.proof.least,
                unit.proof.most,
                unit.proof.least.newton_metres() / LBF_FT,
                unit.proof.most.newton_metres() / LBF_FT
            ),
            Fault::OtherMethod => format!(
                "With the case held both packs slip at full speed and the wrench reads their sum, here about {:.1} N·m. With one \
                 output held it reads half of it, {:.1} N·m. {}",
                self.both_packs(),
                self.both_packs() / 2.0,
                match self.truth.held {
                    Held::Case => "Taken for the half, the sum makes a weak unit look twice as strong as wanted.",
                    Held::Output => "Taken for the sum, the half has a good unit shimmed up to double.",
                }
            ),
            Fault::Extension { length } => format!(
                "The output, or the bolt, gets the reading times (L + E)/L = {:.3}. With {length} that nobody wrote down, every \
                 bolt is {:.0} % tighter than it should be and the proof reads {:.0} % low.",
                self.leverage(),
                100.0 * (self.leverage() - 1.0),
                100.0 * (1.0 - 1.0 / self.leverage())
            ),
        }
    }

    fn why_spoilt(&self, look: &str) -> String {
        let faces = 2.0 * self.part() * self.face();
        match look {
            "burnt" => format!(
                "Its lining is cooked: its two faces hold about seven tenths (common practice, no source), {:.1} N·m of breakaway \
                 less, and less still when it is hot. It can have its full thickness.",
                (1.0 - BURNT_SHARE) * faces
            ),
            "torn" => format!(
                "A plate that hangs on a torn tab can not slide. Its two faces take no part: {faces:.1} N·m of breakaway, and \
                 what tears off goes through the gears."
            ),
            _ => "A crack at the root of a tab grows until the tab is off; then the plate turns with its neighbours and its \
                 pieces go through the gears (common practice, no source)."
                .to_string(),
        }
    }

    fn why_upside_down(&self, side: Side) -> String {
        let found = self.found();
        let sound = self.truth.mended;
        let mut turned = sound;
        turned[side.index()] = self.truth.springs[side.index()];
        let unit = &self.job.unit;
        let (with, without) = (
            self.truth.forces(unit, &found, &turned),
            self.truth.forces(unit, &found, &sound),
        );
        let n = side.index();
        let lost: f64 = [0, 1]
            .map(|n| self.torque_of_force(without[n] - with[n]))
            .iter()
            .sum();
        let way = if lost < 0.0 { "more" } else { "less" };
        format!(
            "Two discs one in the other press twice as hard as one at the same travel. Rim to rim they press as one, over twice \
             the travel, and stand higher: {:.0} N on that pack instead of {:.0} N as it was found, {:.1} N·m of breakaway {way}. \
             Shims that are right for the one are wrong for the other.",
            with[n],
            without[n],
            lost.abs()
        )
    }

    /// The share of both packs' sum that the proof reads in the way that the unit file names.
    fn part(&self) -> f64 {
        match self.job.unit.proof.held {
            Held::Case => 1.0,
            Held::Output => 0.5,
        }
    }

    fn target(&self) -> f64 {
        match self.job.unit.aim {
            Aim::Preload { target, .. } => target.newtons(),
            Aim::Gap { .. } => 0.0,
        }
    }

    /// What one face holds at the target, with the friction of the unit file.
    fn face(&self) -> f64 {
        face_torque(
            &self.job.unit,
            self.job.unit.friction.turning.value(),
            self.target(),
        )
    }

    fn both_packs(&self) -> f64 {
        let faces: u32 = self.job.unit.packs.iter().map(|pack| pack.faces).sum();
        f64::from(faces) * self.face()
    }

    fn proof_torque(&self) -> f64 {
        self.part() * self.both_packs()
    }

    /// What the proof reads less for a force less on one pack.
    fn torque_of_force(&self, newtons: f64) -> f64 {
        let unit = &self.job.unit;
        let faces = f64::from(unit.packs[0].faces);
        newtons.signum()
            * self.part()
            * faces
            * face_torque(unit, unit.friction.turning.value(), newtons.abs())
    }

    /// How many links of one chain the micrometer measures: its plates and its ring or rings.
    fn micrometer_links(&self) -> i64 {
        let unit = &self.job.unit;
        let of = |side: Side| unit.packs[side.index()].order.len() as i64 + 1;
        if unit.is_through() {
            of(Side::Left) + of(Side::Right)
        } else {
            of(Side::Left)
        }
    }

    /// What some height more for the springs of a chain costs, in words.
    fn cost_of_height(&self, more: Length) -> String {
        let unit = &self.job.unit;
        let chains = if unit.is_through() { 2 } else { 1 };
        let lost = (|| {
            let stack = unit.spring.as_ref()?.stack;
            let target = Force::from_newtons(self.target()).ok()?;
            let height = *stack.heights_for_force(target).first()?;
            // one depth over both packs: both springs get half of it each
            let each = Length::from_nm(more.nm() / chains);
            Some(stack.loss_for_wear(height, each).ok()?.newtons())
        })()
        .unwrap_or(0.0);
        let torque = chains as f64 * self.torque_of_force(lost);
        format!("{lost:.0} N of preload, {torque:.1} N·m of breakaway")
    }
}
