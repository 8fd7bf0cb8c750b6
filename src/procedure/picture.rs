//! Tables, sums and drawings beside a question.

use super::ask::Table;
use super::derived::Derived;
use super::figures::{expanded, signed};
use super::laying::Layer;
use crate::choice::Order;
use crate::mechanics::{Movement, Side};
use crate::metrology::Verdict;
use crate::quantity::{Dimension, Force, Length, Ratio, Torque};
use crate::record::{Chosen, ChosenSide};
use crate::workshop::{Aim, SpringKind};

impl Derived<'_> {
    /// What would make the choice fit and can be had: where the packs stay as they are, that is a shim.
    pub(super) fn wanted_parts<'o>(&self, orders: &'o [Order]) -> impl Iterator<Item = &'o Order> {
        let whole = self.packs_are_whole();
        orders
            .iter()
            .filter(move |order| !whole || matches!(order, Order::Shim { .. }))
    }

    pub(super) fn order_words(&self, order: &Order) -> String {
        let units = self.state.units;
        match order {
            Order::Shim {
                thickness,
                is_standard,
                ..
            } => format!(
                "a shim of {}{}",
                thickness.show(units),
                if *is_standard { " (a standard size)" } else { "" }
            ),
            Order::Plate {
                thickness, keying, ..
            } => format!("a {keying} of {}", thickness.show(units)),
        }
    }

    /// The sum of a chain with its numbers.
    pub(super) fn chain_formula(&self, sides: &[ChosenSide; 2], chain: Option<Side>) -> Vec<String> {
        let derived = self;
        let units = self.state.units;
        let Some(closing) = derived.closing(sides, chain) else {
            return Vec::new();
        };
        let Some(room) = derived.room(chain) else {
            return Vec::new();
        };
        let (mut plates, mut shims) = (Length::ZERO, Length::ZERO);
        for side in Side::BOTH {
            if chain.is_none_or(|one| one == side) {
                let pack = &sides[side.index()];
                plates += if derived.packs_are_whole() {
                    derived.whole_pack(side).map_or(Length::ZERO, |one| one.value)
                } else {
                    pack.plates
                        .iter()
                        .filter_map(|name| derived.plate(name, true).measured)
                        .map(|one| one.value)
                        .sum()
                };
                shims += pack.shims_nanometres.iter().map(|nm| Length::from_nm(*nm)).sum();
            }
        }
        let mut lines = vec![
            format!(
                "{}depth less rings − plates − shims = what is left",
                chain.map_or(String::new(), |side| format!("{side}: "))
            ),
            format!(
                "{} − {} − {} = {} ± {}",
                room.value.bare(units),
                plates.bare(units),
                shims.bare(units),
                closing.value.show(units),
                expanded(&closing).show(units)
            ),
        ];
        if let Some(stack) = derived.stack(chain)
            && let Ok(force) = stack.force_at_height(derived.spring_height(closing.value))
        {
            lines.push(format!(
                "spring at {}: {force}",
                derived.spring_height(closing.value).show(units)
            ));
        }
        lines
    }

    pub(super) fn dry_table(&self, round: u32) -> Table {
        let units = self.state.units;
        let derived = self;
        Table {
            head: std::iter::once(String::new())
                .chain(
                    ["predicted", "measured", "difference", "may differ by"]
                        .map(|what| format!("{what}, {}", Dimension::Length.usual_unit(units))),
                )
                .collect(),
            rows: derived
                .chains()
                .into_iter()
                .filter_map(|chain| {
                    let (agreement, predicted, measured) = derived.dry_agreement(round, chain)?;
                    Some(vec![
                        chain.map_or("unit".to_string(), |side| side.to_string()),
                        predicted.value.bare(units),
                        measured.value.bare(units),
                        agreement.difference.bare(units),
                        agreement.joint.bare(units),
                    ])
                })
                .collect(),
        }
    }

    /// The friction that a proof shows, back-solved.
    pub(super) fn shown_friction(&self, round: u32) -> Option<Ratio> {
        let derived = self.at(round);
        // what was not seen shows no friction
        self.state.chosen(round)?;
        derived.friction_shown(&derived.proof(round)?)
    }

    /// What would bring a proof into its window, from the same equations.
    pub(super) fn advice(&self, round: u32) -> Vec<String> {
        let derived = self;
        let units = self.state.units;
        let mut advice = Vec::new();
        let Some(proof) = derived.proof(round) else {
            return advice;
        };
        let (Some(mean), Some(verdict)) = (proof.by_file, proof.verdict) else {
            return advice;
        };
        if verdict == Verdict::Inside {
            return advice;
        }
        let Some(chosen) = self.state.chosen(round) else {
            return self.advice_for_closed(mean);
        };
        let window = &self.job.unit.proof;
        let wanted = (window.least.newton_metres() + window.most.newton_metres()) / 2.0;
        let share = wanted / mean.newton_metres();
        let way = if share > 1.0 { "low" } else { "high" };
        let Some(closings) = derived.closings(round) else {
            return advice;
        };
        if self.job.unit.spring.is_none() {
            advice.push(format!(
                "the unit turns too {}: without springs that is drag or a pack without its gap; look for {}",
                if share > 1.0 { "freely" } else { "hard" },
                if share > 1.0 {
                    "wrong oil or missing plates"
                } else {
                    "a warped plate, dirt, or a gap that is not there"
                }
            ));
            return advice;
        }
        for chain in derived.chains() {
            let closing = closings[chain.map_or(0, Side::index)];
            let height = derived.spring_height(closing);
            if let Some(stack) = derived.stack(chain)
                && let Ok(force) = stack.force_at_height(height)
                && let Ok(needed) = Force::from_newtons(force.newtons() * share)
            {
                match stack.heights_for_force(needed).first() {
                    Some(to) => {
                        let change = (height - *to) * derived.stacks_a_chain();
                        advice.push(format!(
                            "it is {way}: {}{} of shim in all ({force} → {needed} a spring) would bring it to the middle",
                            chain.map_or(String::new(), |side| format!("{side}: ")),
                            signed(change, units)
                        ));
                    }
                    None => advice.push(format!(
                        "it is {way}: these springs do not reach the {needed} that it needs"
                    )),
                }
            }
        }
        let faces = derived.faces(&chosen.sides[0]) + derived.faces(&chosen.sides[1]);
        let needed = f64::from(faces) * share;
        advice.push(format!(
            "or {needed:.1} active faces instead of {faces}, by the order of the plates"
        ));
        advice.push("or another oil, where the friction shown is far from the unit file's".to_string());
        advice
    }

    /// What a proof outside its window says of a unit that was not opened: the force that it would take with the friction
    /// and the faces of the unit file, which nobody has looked at.
    fn advice_for_closed(&self, turning: Torque) -> Vec<String> {
        let unit = &self.job.unit;
        let window = &unit.proof;
        let wanted = (window.least.newton_metres() + window.most.newton_metres()) / 2.0;
        let way = if turning.newton_metres() < wanted {
            "low"
        } else {
            "high"
        };
        let mut advice = Vec::new();
        let Aim::Preload { least, most, .. } = unit.aim else {
            advice.push(format!(
                "the unit turns too {}: without springs that is drag, or a pack without its gap",
                if way == "low" { "freely" } else { "hard" }
            ));
            return advice;
        };
        // the reading grows as the force does
        let shown = self.listed_bench().and_then(|bench| {
            let none = Torque::from_newton_metres(0.0).ok()?;
            let each = bench.reads(Movement::Turning, none).ok()?.reading.newton_metres();
            let listed = bench.setup.preload[0].newtons();
            Force::from_newtons(turning.newton_metres() / each * listed).ok()
        });
        if let Some(shown) = shown {
            advice.push(format!(
                "it is {way}: with the unit file's friction and faces this is about {shown} on each pack, where {least} to \
                 {most} are wanted; that is an estimate, the packs were not seen"
            ));
        }
        advice.push(
            "the next step is to open it: reshim where the plates are good, full-rebuild where they are not known"
                .to_string(),
        );
        advice
    }

    /// Both packs in their order in lines of text: `|` where two layers rub, `.` where they do not.
    pub(super) fn draw(&self, chosen: &Chosen) -> Vec<String> {
        let packs = Side::BOTH.map(|side| self.pack_lines(side, &chosen.sides[side.index()]));
        packs.concat()
    }

    /// The same without thicknesses, so that each pack takes a line or two.
    pub(super) fn draw_names(&self, chosen: &Chosen) -> Vec<String> {
        let packs = Side::BOTH.map(|side| self.pack_names(side, &chosen.sides[side.index()]));
        packs.concat()
    }

    pub(super) fn layer_words(&self, layer: &Layer) -> String {
        let units = self.state.units;
        match layer {
            Layer::Shim(nm) => format!("shim {}", Length::from_nm(*nm).show(units)),
            Layer::Spring => match self.job.unit.spring.as_ref().map(|spring| spring.kind) {
                Some(SpringKind::Coils { count, .. }) if count > 1 => format!("{count} springs"),
                _ => "spring".to_string(),
            },
            Layer::Ring(side) => format!("{side} pressure ring"),
            Layer::Gears => "side gear, washers, pins with pinions, side gear".to_string(),
            Layer::Pack(plates) => format!("the pack as it is, {}", plates.join(" ")),
            Layer::Plate(name) => {
                let derived = self;
                let kind = derived
                    .keyed(name)
                    .map_or(String::new(), |keyed| keyed.to_string());
                let thickness = derived
                    .plate(name, true)
                    .measured
                    .map_or(String::new(), |one| format!(", {}", one.value.show(units)));
                format!("{kind} {name}{thickness}")
            }
        }
    }
}
