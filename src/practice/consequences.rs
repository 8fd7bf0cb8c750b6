//! Why a fault matters, with what it costs in newtons, newton metres and millimetres.

use super::fault::{Fault, told};
use super::generated::GeneratedUnit;
use super::indication::LBF_FT;
use super::truth::keyed;
use crate::mechanics::{Held, Keying, Side};
use crate::quantity::Length;

impl GeneratedUnit {
    /// Why a fault matters, and where it shows.
    pub(super) fn why(&self, fault: &Fault) -> String {
        let unit = &self.job.unit;
        let limits = &unit.limits;
        match fault {
            Fault::Warped { .. } => format!(
                "At most {} is allowed. It measures the right thickness and shows only under a feeler on the surface plate. \
                 In use it binds in one place and slips in the next: here the breakaway would come and go by {:.1} N·m \
                 (an eighth; common practice, no source).",
                limits.flatness,
                self.effect(fault).wander
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
                    self.cost(fault)
                )
            }
            Fault::Tapered { spread, .. } => {
                let half = told(Length::from_nm(spread.nm() / 2));
                format!(
                    "At most {} is allowed. Read in one place only it passes: its first place is {half} thicker than its \
                     mean, and the stack would be reckoned wrong by that: {}. It presses on one side only and wears itself hot.",
                    limits.spread,
                    self.cost(fault)
                )
            }
            Fault::Spoilt { look, .. } => self.why_spoilt(fault, look),
            Fault::Swapped { left, right } => self.why_swapped(fault, left, right),
            Fault::DeadFace { lost, .. } => format!(
                "Two neighbours that are keyed to the same part turn together and do not rub. The pack has the right height \
                 and {lost} of {} faces too few: {:.1} N·m of breakaway were lost.",
                unit.packs[0].faces,
                self.lost(fault).1
            ),
            Fault::MicrometerZero { by } => {
                let links = Side::BOTH.map(|side| self.micrometer_links(side));
                let each = links.map(|links| *by * links);
                let (chain, wrong) = if unit.is_through() {
                    ("one chain", each[0] + each[1])
                } else {
                    ("the chain of each side", each[0])
                };
                let count = if unit.is_through() { links[0] + links[1] } else { links[0] };
                format!(
                    "It is on every reading with the same sign. {count} plates and rings are in {chain}: the room for the \
                     springs comes out wrong by {}, which is {}. Every verdict on a plate is out by {} as well.",
                    wrong.abs(),
                    self.cost(fault),
                    by.abs()
                )
            }
            Fault::DepthGaugeZero { by } if unit.is_through() => format!(
                "One depth is read by it and two springs: of the three errors one is left over, and the springs stand wrong by \
                 {}: {}. The dry build, read by the same gauge, would not show it.",
                by.abs(),
                self.cost(fault)
            ),
            Fault::DepthGaugeZero { by } => format!(
                "Every depth and height is wrong by {}. In this unit depth and spring are both read by it and the error falls \
                 out of their difference; in one that is set to a gap, or with one depth over both packs, it would not, and \
                 the dry build, read by the same gauge, would not show it.",
                by.abs()
            ),
            Fault::SpringCracked { .. } => format!(
                "A cracked disc holds about six tenths (common practice, no source): {}. It breaks in use. Its height need not \
                 tell: the crack is to be looked for.",
                self.cost(fault)
            ),
            Fault::SpringUpsideDown { side } => self.why_upside_down(fault, *side),
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
            Fault::OtherMethod => {
                let proof = self.effect(fault).proof;
                let (case, output, taken) = match self.truth.held {
                    Held::Case => (
                        proof.with,
                        proof.without,
                        "Taken for the half, the sum makes a weak unit look twice as strong as wanted.",
                    ),
                    Held::Output => (
                        proof.without,
                        proof.with,
                        "Taken for the sum, the half has a good unit shimmed up to double.",
                    ),
                };
                format!(
                    "With the case held both packs slip at full speed and the wrench reads their sum, here {case:.1} N·m with the \
                     drag of both outputs. With one output held it reads half of the sum, and of the drag of the case: \
                     {output:.1} N·m. {taken}"
                )
            }
            Fault::Extension { length } => format!(
                "The output, or the bolt, gets the reading times (L + E)/L = {:.3}. With {length} that nobody wrote down, every \
                 bolt is {:.0} % tighter than it should be and the proof reads {:.0} % low.",
                self.leverage(&self.truth),
                100.0 * (self.leverage(&self.truth) - 1.0),
                100.0 * (1.0 - 1.0 / self.leverage(&self.truth))
            ),
            Fault::OtherMaker { .. }
            | Fault::PinFlat
            | Fault::RingWedged { .. }
            | Fault::TabsStick { .. }
            | Fault::WasherMissing
            | Fault::ShimDoubled { .. }
            | Fault::WrenchOverdue { .. }
            | Fault::Drag { .. }
            | Fault::WrongOil
            | Fault::NoModifier => self.why_later(fault),
        }
    }

    /// Why one of the faults matters that came with the second edition of the draw.
    fn why_later(&self, fault: &Fault) -> String {
        let unit = &self.job.unit;
        match fault {
            Fault::OtherMaker { plate, mean } => {
                let more = unit.plate(plate).map_or(Length::ZERO, |plate| told(*mean - plate.nominal));
                format!(
                    "It is {more} thicker than a plate of this unit: counted as one of them the springs are pressed in by that. \
                     Its lining is another one, too, and holds otherwise than the file says."
                )
            }
            Fault::PinFlat => "The pin rolls off its hollow before it spreads the rings: the lock comes late, then suddenly \
                 (common practice, no source). The proof at the bench does not turn the pins on the ramps."
                .to_string(),
            Fault::RingWedged { side } => format!(
                "The ramps push the ring, and it stays: on the {side} the pack has its spring and nothing more, however much torque \
                 comes. The proof reads the springs, and does not show it."
            ),
            Fault::TabsStick { .. } => "A tab that hangs in a notch holds its plate back: the pack is pressed, and its far plates are \
                 not. The notches are dressed, or the case is finished (common practice, no source)."
                .to_string(),
            Fault::WasherMissing => "The side gear moves out by the washer's thickness, meshes at the edge of its teeth, and runs on \
                 the case. Nothing of the packs shows it."
                .to_string(),
            Fault::ShimDoubled { side, by } => format!(
                "Stuck together they look like one. With {by} more on the {side} the spring stands shorter and presses harder."
            ),
            Fault::WrenchOverdue { reads } => format!(
                "It reads {:.0} % too much: bolts are that much looser than they should be, and a unit that reads inside its window \
                 lies below it.",
                100.0 * (reads - 1.0)
            ),
            Fault::Drag { by } => format!(
                "Of {:.1} N·m {}. Not taken off, a weak unit looks strong.",
                by.newton_metres(),
                match unit.proof.held {
                    Held::Case => "twice as much is in the reading, since with the case held both outputs drag",
                    Held::Output => "half is in the reading, since the case turns at half the speed",
                }
            ),
            Fault::WrongOil => "Friction is that of plates in their oil. In another one the same springs hold less or more, and no \
                 shim puts that right."
                .to_string(),
            _ => "Without its modifier the oil lets the plates stick before they slip: it jerks at walking pace, and the breakaway at \
                 first movement says nothing of the one that turns (common practice, no source)."
                .to_string(),
        }
    }

    fn why_spoilt(&self, fault: &Fault, look: &str) -> String {
        let (_, lost) = self.lost(fault);
        match look {
            "burnt" => format!(
                "Its lining is cooked: its two faces hold about seven tenths (common practice, no source), {lost:.1} N·m of \
                 breakaway less, and less still when it is hot. It can have its full thickness."
            ),
            "torn" => format!(
                "A plate that hangs on a torn tab can not slide. Its two faces take no part: {lost:.1} N·m of breakaway, and \
                 what tears off goes through the gears."
            ),
            _ => "A crack at the root of a tab grows until the tab is off; then the plate turns with its neighbours and its \
                 pieces go through the gears (common practice, no source)."
                .to_string(),
        }
    }

    fn why_swapped(&self, fault: &Fault, left: &String, right: &String) -> String {
        let thickness = |name: &String| {
            self.truth
                .plates
                .get(name)
                .map_or(Length::ZERO, |plate| plate.mean())
        };
        let apart = (told(thickness(right)) - told(thickness(left))).abs() * 2;
        format!(
            "Faces that had run in against each other were parted, and the packs' heights moved apart by {apart} where they lay. \
             {} It shows only to someone who reads the marks on the plates as they come out.",
            match self.effect(fault).received.printed_difference(0.1) {
                least if least.abs() < 0.05 =>
                    "The wrench reads both packs together, and as received it shows the same.".to_string(),
                moved => format!(
                    "The wrench reads both packs together: as received it shows {} for it.",
                    more_or_less(moved)
                ),
            }
        )
    }

    fn why_upside_down(&self, fault: &Fault, side: Side) -> String {
        let effect = self.effect(fault);
        let pressed = effect.pressed[side.index()];
        format!(
            "Two discs one in the other press twice as hard as one at the same travel. Rim to rim they press as one, over twice \
             the travel, and stand higher: {:.0} N on that pack instead of {:.0} N, {} of breakaway. Shims that are right for the \
             one are wrong for the other.",
            pressed.with,
            pressed.without,
            more_or_less(effect.proof.printed_difference(0.1))
        )
    }

    /// How many links of a side's chain the micrometer measures: its plates and its ring.
    fn micrometer_links(&self, side: Side) -> i64 {
        self.job.unit.packs[side.index()].order.len() as i64 + 1
    }

    /// What each pack's preload and the breakaway lose where nobody sees a fault, as they are printed: the two builds of
    /// [`effect`](GeneratedUnit::effect). Below 0 they gain.
    fn lost(&self, fault: &Fault) -> ([f64; 2], f64) {
        let effect = self.effect(fault);
        let forces = effect.pressed.map(|figure| -figure.printed_difference(1.0));
        (forces, -effect.proof.printed_difference(0.1))
    }

    /// The same in words.
    fn cost(&self, fault: &Fault) -> String {
        let ([left, right], torque) = self.lost(fault);
        let more = if left + right < 0.0 { "more" } else { "less" };
        let most = left.abs().max(right.abs());
        let on = match (left - right).abs() < 1.5 {
            true => "on each pack",
            false => "on its pack",
        };
        format!(
            "{most:.0} N {more} preload {on}, {} breakaway",
            more_or_less(-torque)
        )
    }
}

fn more_or_less(moved: f64) -> String {
    let more = if moved > 0.0 { "more" } else { "less" };
    format!("{:.1} N·m {more}", moved.abs())
}
