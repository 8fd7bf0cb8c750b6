use super::ask::Table;
use super::definition::Field;
use super::laying::wrapped;
use super::plate_facts::PlateFacts;
use super::question::{bare, expanded};
use super::request::FIRST;
use super::said::signed;
use super::session::{Layer, Session};
use crate::choice::{Choice, Order};
use crate::mechanics::Movement;
use crate::metrology::Verdict;
use crate::quantity::{Force, Length, Ratio, Torque};
use crate::record::{Aim, Chosen, ChosenSide, Side, SpringKind, Value};

impl Session {
    /// What was wished beyond the unit file, in words.
    pub(super) fn wish_words(&self) -> Option<String> {
        let wish = &self.wish;
        let mut words = Vec::new();
        if wish.first != crate::choice::First::Fewest {
            let word = FIRST
                .iter()
                .find(|(first, _)| *first == wish.first)
                .map_or("", |(_, word)| word);
            words.push(format!("{word} first"));
        }
        words.extend(
            wish.keep
                .iter()
                .map(|(plate, side)| format!("{plate} stays {side}")),
        );
        words.extend(
            wish.without_shims
                .iter()
                .map(|shim| format!("without {} shims", shim.show(self.state.units))),
        );
        words.extend(wish.without_plates.iter().map(|plate| format!("without {plate}")));
        if wish.guarded {
            words.push("windows drawn in by the guard band".to_string());
        }
        (!words.is_empty()).then(|| format!("as wished: {}", words.join(", ")))
    }

    /// What would make the choice fit and can be had: where the packs stay as they are, that is a shim.
    pub(super) fn wanted_parts<'o>(&self, orders: &'o [Order]) -> impl Iterator<Item = &'o Order> {
        let whole = self.facts().packs_are_whole();
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

    /// The first of the proposals that differ in a figure, three at most; all of them where that was asked for. Plates
    /// that differ by nothing that is seen make a proposal of its own, but no row of its own.
    pub(super) fn choice_table(&self, choices: &[Choice]) -> Table {
        let mut shown: Vec<usize> = Vec::new();
        for (n, choice) in choices.iter().enumerate() {
            let like = |other: &Choice| {
                let shims = |choice: &Choice| [choice.sides[0].shims.clone(), choice.sides[1].shims.clone()];
                shims(other) == shims(choice)
                    && other.closings == choice.closings
                    && other.difference == choice.difference
                    && other.spares == choice.spares
            };
            let is_new = !shown.iter().filter_map(|known| choices.get(*known)).any(like);
            if self.all_shown || (is_new && shown.len() < 3) {
                shown.push(n);
            }
        }
        let units = self.state.units;
        let closing = if self.job.unit.spring.is_some() {
            "springs"
        } else {
            "gap"
        };
        let shims = |shims: &[Length]| {
            if shims.is_empty() {
                "none".to_string()
            } else {
                shims
                    .iter()
                    .map(|shim| bare(*shim, units))
                    .collect::<Vec<_>>()
                    .join(" + ")
            }
        };
        Table {
            head: [
                "",
                "shims left",
                "shims right",
                closing,
                "off target",
                "sides differ",
                "new",
                "inside",
                "unlike 1",
            ]
            .map(str::to_string)
            .to_vec(),
            rows: shown
                .into_iter()
                .filter_map(|n| Some((n, choices.get(n)?)))
                .map(|(n, choice)| {
                    let closings = if self.job.unit.is_through() {
                        bare(choice.closings[0], units)
                    } else {
                        format!(
                            "{} / {}",
                            bare(choice.closings[0], units),
                            bare(choice.closings[1], units)
                        )
                    };
                    vec![
                        (n + 1).to_string(),
                        shims(&choice.sides[0].shims),
                        shims(&choice.sides[1].shims),
                        closings,
                        bare(choice.worst_deviation, units),
                        bare(choice.difference, units),
                        choice.spares.to_string(),
                        format!("{:.0} %", (choice.probability * 100.0).floor()),
                        choices
                            .first()
                            .map_or(String::new(), |first| unlike(first, choice).join(" ")),
                    ]
                })
                .collect(),
        }
    }

    /// The sum of a chain with its numbers.
    pub(super) fn chain_formula(&self, sides: &[ChosenSide; 2], chain: Option<Side>) -> Vec<String> {
        let facts = self.facts();
        let units = self.state.units;
        let Some(closing) = facts.closing(sides, chain) else {
            return Vec::new();
        };
        let Some(room) = facts.room(chain) else {
            return Vec::new();
        };
        let (mut plates, mut shims) = (Length::ZERO, Length::ZERO);
        for side in Side::BOTH {
            if chain.is_none_or(|one| one == side) {
                let pack = &sides[side.index()];
                plates += if facts.packs_are_whole() {
                    facts.whole_pack(side).map_or(Length::ZERO, |one| one.value)
                } else {
                    pack.plates
                        .iter()
                        .filter_map(|name| facts.plate(name, true).measured)
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
                bare(room.value, units),
                bare(plates, units),
                bare(shims, units),
                closing.value.show(units),
                expanded(&closing).show(units)
            ),
        ];
        if let Some(stack) = facts.stack(chain)
            && let Ok(force) = stack.force_at_height(facts.spring_height(closing.value))
        {
            lines.push(format!(
                "spring at {}: {force}",
                facts.spring_height(closing.value).show(units)
            ));
        }
        lines
    }

    pub(super) fn dry_table(&self, round: u32) -> Table {
        let units = self.state.units;
        let facts = self.facts();
        Table {
            head: ["", "predicted", "measured", "difference", "may differ by"]
                .map(str::to_string)
                .to_vec(),
            rows: facts
                .chains()
                .into_iter()
                .filter_map(|chain| {
                    let (agreement, predicted, measured) = facts.dry_agreement(round, chain)?;
                    Some(vec![
                        chain.map_or("unit".to_string(), |side| side.to_string()),
                        predicted.value.show(units),
                        measured.value.show(units),
                        agreement.difference.show(units),
                        agreement.joint.show(units),
                    ])
                })
                .collect(),
        }
    }

    /// The friction that a proof shows, back-solved.
    pub(super) fn shown_friction(&self, round: u32) -> Option<Ratio> {
        let facts = self.facts().at(round);
        // what was not seen shows no friction
        self.state.chosen(round)?;
        facts.friction_shown(&facts.proof(round)?)
    }

    /// What would bring a proof into its window, from the same equations.
    pub(super) fn advice(&self, round: u32) -> Vec<String> {
        let facts = self.facts();
        let units = self.state.units;
        let mut advice = Vec::new();
        let Some(proof) = facts.proof(round) else {
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
        let Some(closings) = facts.closings(round) else {
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
        for chain in facts.chains() {
            let closing = closings[chain.map_or(0, Side::index)];
            let height = facts.spring_height(closing);
            if let Some(stack) = facts.stack(chain)
                && let Ok(force) = stack.force_at_height(height)
                && let Ok(needed) = Force::from_newtons(force.newtons() * share)
            {
                match stack.heights_for_force(needed).first() {
                    Some(to) => {
                        let change = (height - *to) * facts.stacks_a_chain();
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
        let faces = facts.faces(&chosen.sides[0]) + facts.faces(&chosen.sides[1]);
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
        let shown = self.facts().listed_bench().and_then(|bench| {
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
        let packs = Side::BOTH.map(|side| wrapped(self.pieces(side, &chosen.sides[side.index()])));
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
            Layer::Pack(plates) => format!("the pack as it is, {}", plates.join(" ")),
            Layer::Plate(name) => {
                let facts = self.facts();
                let kind = facts.keyed(name).map_or(String::new(), |keyed| keyed.to_string());
                let thickness = facts
                    .plate(name, true)
                    .measured
                    .map_or(String::new(), |one| format!(", {}", one.value.show(units)));
                format!("{kind} {name}{thickness}")
            }
        }
    }

    /// What is still open, in words.
    pub(super) fn open_points(&self) -> Vec<String> {
        let mut open = Vec::new();
        for (_, step) in self.job.procedure.steps() {
            for (slot, answer) in self.state.answers.iter().filter(|(slot, _)| slot.step == step.id) {
                if answer.value == Value::Yes(false) && !self.was_looked_at_again(step, slot) {
                    open.push(format!(
                        "answered no: {}",
                        step.words.first().map_or(slot.step.as_str(), String::as_str)
                    ));
                }
            }
        }
        // what an old paper does not say is nothing that somebody could still do
        let typed_in = self.job.copies_paper();
        for (slot, (reason, _, _, _)) in self.state.skipped.iter().filter(|_| !typed_in) {
            open.push(format!("left out, {slot}: {reason}"));
        }
        let round = self.round();
        let facts = self.facts();
        for (slot, answer) in &self.state.answers {
            let field = self
                .job
                .procedure
                .step(&slot.step)
                .and_then(|(_, step)| step.fills);
            match (&answer.value, field) {
                (Value::Word { word, reason }, Some(Field::Fate)) if word == "keep" => open.push(format!(
                    "plate {} was kept though too close to call: {reason}",
                    slot.item.as_deref().unwrap_or("")
                )),
                (
                    Value::Word { word, reason },
                    Some(Field::Micrometer | Field::DepthGauge | Field::Wrench),
                ) if !reason.is_empty() => {
                    open.push(format!("{word} was used out of date: {reason}"));
                }
                (Value::Chosen(chosen), _) if slot.round == round && !chosen.reason.is_empty() => {
                    open.push(format!("the choice was taken with a fault: {}", chosen.reason));
                }
                _ => {}
            }
        }
        for side in Side::BOTH {
            if facts
                .pressed(side)
                .is_some_and(|(agreement, _, _)| !agreement.agrees)
            {
                open.push(format!("{side}: the plates do not add up to the pressed pack"));
            }
        }
        for chain in facts.dry_disagreements(round) {
            open.push(format!(
                "{}dry build differs from the prediction",
                chain.map_or(String::new(), |side| format!("{side}: "))
            ));
        }
        open.extend(facts.unreadable(round));
        if let Some(verdict) = facts.proof(round).and_then(|proof| proof.verdict)
            && verdict != Verdict::Inside
        {
            open.push(format!("the proof is {verdict} its window"));
        }
        for item in facts.springs() {
            let least = self.job.unit.least_spring_height();
            for height in self.state.lengths(Field::SpringHeight, 1, item.map(Side::word)) {
                if least.is_some_and(|least| height < least) {
                    open.push(format!(
                        "{}spring below its least free height",
                        item.map_or(String::new(), |side| format!("{side} "))
                    ));
                }
            }
        }
        open
    }

    pub(super) fn review_table(&self) -> Table {
        let units = self.state.units;
        let round = self.round();
        let facts = self.facts();
        let mut rows = Vec::new();
        if let Some(closings) = facts.closings(round) {
            let what = if self.job.unit.spring.is_some() {
                "springs have"
            } else {
                "gap"
            };
            let shown = if self.job.unit.is_through() {
                closings[0].show(units)
            } else {
                format!("{} / {}", closings[0].show(units), closings[1].show(units))
            };
            rows.push(vec![what.to_string(), shown]);
            if self.job.unit.spring.is_some()
                && let Ok(forces) = facts.forces(closings)
            {
                rows.push(vec![
                    "preload".to_string(),
                    format!("{} / {}", forces[0], forces[1]),
                ]);
            }
        }
        if let Some(proof) = facts.proof(round) {
            if let Some(turning) = proof.by_file {
                rows.push(vec!["breakaway, turning".to_string(), turning.show(units)]);
            }
            if let Some(verdict) = proof.verdict {
                rows.push(vec!["proof".to_string(), verdict.to_string()]);
            }
        }
        let listed = |names: Vec<&str>| {
            if names.is_empty() {
                "none".to_string()
            } else {
                names.join(" ")
            }
        };
        let plates: Vec<(&str, PlateFacts)> = facts
            .all_plates()
            .into_iter()
            .map(|name| (name, facts.plate(name, true)))
            .collect();
        let those = |wanted: &dyn Fn(&PlateFacts) -> bool| {
            plates
                .iter()
                .filter(|(_, plate)| wanted(plate))
                .map(|(name, _)| *name)
                .collect::<Vec<_>>()
        };
        if self.job.asks(Field::PlateThickness) {
            if !self.job.asks(Field::Choice) {
                rows.push(vec![
                    "plates measured".to_string(),
                    those(&|plate| plate.measured.is_some()).len().to_string(),
                ]);
                rows.push(vec![
                    "kept though too close to call".to_string(),
                    listed(those(&|plate| {
                        !plate.rejected && plate.verdict == Some(Verdict::TooCloseToCall)
                    })),
                ]);
            }
            rows.push(vec![
                "rejected plates".to_string(),
                listed(those(&|plate| plate.rejected)),
            ]);
        }
        if let Some(oil) = self.state.text(Field::Oil) {
            rows.push(vec!["oil".to_string(), oil.to_string()]);
        }
        if self.job.asks(Field::Choice) || self.job.asks(Field::ProofDecision) {
            rows.push(vec!["rounds".to_string(), round.to_string()]);
        }
        Table {
            head: vec!["what".to_string(), "as left".to_string()],
            rows,
        }
    }
}

/// Where plates lie in a choice that lie elsewhere in the first: `G1→right`, `SG2→out`.
pub(super) fn unlike(first: &Choice, other: &Choice) -> Vec<String> {
    let place = |choice: &Choice, name: &String| {
        Side::BOTH
            .into_iter()
            .find(|side| {
                let pick = &choice.sides[side.index()];
                pick.gear.contains(name) || pick.case.contains(name)
            })
            .map_or("out", Side::word)
    };
    let mut names: Vec<&String> = [first, other]
        .into_iter()
        .flat_map(|choice| &choice.sides)
        .flat_map(|side| side.gear.iter().chain(&side.case))
        .collect();
    names.sort();
    names.dedup();
    names
        .into_iter()
        .filter(|name| place(first, name) != place(other, name))
        .map(|name| format!("{name}→{}", place(other, name)))
        .collect()
}
