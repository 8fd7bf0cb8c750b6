//! The laying in: every part of the chain in the order in which a hand can do it, what is looked at before it is buried,
//! and a picture of one pack with the part in hand marked.

use super::definition::{Guard, Step};
use super::derived::Derived;
use super::field::Field;
use crate::mechanics::{Keying, Side, SpringPlace};
use crate::quantity::{Force, Length};
use crate::record::phrase::{Phrase, Spoken};
use crate::record::{ChosenSide, Slot};
use crate::workshop::{Cover, Spring};

/// How wide a line of a picture is.
const WIDE: usize = 74;

/// Newtons in a kilogram-force, exactly.
const KGF: f64 = 9.806_65;

/// A thing that is laid into a pack.
pub(super) enum Layer {
    Shim(i64),
    /// The spring of a side, or those between the rings.
    Spring,
    Plate(String),
    /// The pressure ring of a side.
    Ring(Side),
    /// Side gears, washers, pins and pinions: one after the other between the rings.
    Gears,
    /// All plates of a pack that was never taken apart.
    Pack(Vec<String>),
}

/// A piece of a pack in a picture.
struct Piece {
    /// Whether it rubs on the one before it.
    rubs: bool,
    words: String,
}

impl Piece {
    /// As it stands in a line, in square brackets where it is in hand.
    fn shown(&self, in_hand: bool) -> String {
        let sign = if self.rubs { '|' } else { '.' };
        match in_hand {
            true => format!("{sign} [{}]", self.words),
            false => format!("{sign} {}", self.words),
        }
    }
}

/// The wall that a pack's picture begins with.
fn wall(side: Side) -> String {
    format!("{side:<6}wall")
}

/// A part in its place among those that are laid in.
pub(super) struct Part {
    /// Its name among the questions: `left/C1`, `left/spring`, `right/shim-1`; `springs` between the rings.
    pub item: String,
    /// The pack that it belongs to; none for springs between the rings.
    pub side: Option<Side>,
    pub what: Layer,
    /// Which of the parts of its pack, counted in the order in which they go in, and how many there are.
    pub place: (usize, usize),
    /// Whether its pack goes in from the ring outwards.
    pub outwards: bool,
}

impl Derived<'_> {
    /// How often a look is asked for: once, and again after each that stopped the way.
    pub(super) fn looks_at(&self, step: &Step, round: u32, item: Option<&str>) -> u32 {
        if step.guard != Some(Guard::Stops) {
            return 1;
        }
        let looks = self.state.looks(&step.id, round, item);
        let open = looks.last().is_none_or(|good| !good);
        looks.len() as u32 + u32::from(open)
    }

    /// Whether a look that found something wrong was followed by another one at the same place.
    pub(super) fn was_looked_at_again(&self, step: &Step, slot: &Slot) -> bool {
        step.guard == Some(Guard::Stops)
            && self.state.looks(&step.id, slot.round, slot.item.as_deref()).len()
                > slot.point.unwrap_or(1) as usize
    }

    /// The layers of both packs in the order in which they are laid in, by procedures that have no other parts.
    pub(super) fn layers(&self, round: u32) -> Vec<Part> {
        let Some(chosen) = self.state.chosen(round) else {
            return Vec::new();
        };
        let of_side = |side: Side| {
            let pack = &chosen.sides[side.index()];
            let shims = pack.shims_nanometres.iter().map(|nm| Layer::Shim(*nm));
            let plates: Vec<Layer> = if self.packs_are_whole() {
                vec![Layer::Pack(pack.plates.clone())]
            } else {
                pack.plates.iter().cloned().map(Layer::Plate).collect()
            };
            let layers: Vec<Layer> = shims.chain(plates).collect();
            let of = layers.len();
            layers.into_iter().enumerate().map(move |(n, what)| Part {
                item: format!("{side}-{}", n + 1),
                side: Some(side),
                what,
                place: (n + 1, of),
                outwards: false,
            })
        };
        Side::BOTH.into_iter().flat_map(of_side).collect()
    }

    /// The parts of a round in the order in which they go in: the pack at the blind wall from its wall to the ring, springs
    /// between the rings, the gears where the unit file has them, then the pack under the cover from the ring outwards; packs
    /// with an opening each, each from its wall.
    pub(super) fn parts(&self, round: u32) -> Vec<Part> {
        let Some(chosen) = self.state.chosen(round) else {
            return Vec::new();
        };
        let unit = &self.job.unit;
        let place = unit.spring.as_ref().map(|spring| spring.place);
        let [first, last] = unit.laid_in();
        let mut parts = Vec::new();
        for side in [first, last] {
            let mut pack = self.pack_parts(side, &chosen.sides[side.index()]);
            let outwards = unit.cover() != Cover::Both && side == last;
            if outwards {
                pack.reverse();
            }
            // between the rings: after the first pack with its ring, before what the second begins with
            if side == last && unit.gears.is_some() {
                pack.insert(0, ("gears".to_string(), Layer::Gears));
            }
            let of = pack.len();
            parts.extend(pack.into_iter().enumerate().map(|(n, (name, what))| Part {
                item: format!("{side}/{name}"),
                side: Some(side),
                what,
                place: (n + 1, of),
                outwards,
            }));
            if side == first && place == Some(SpringPlace::BetweenRings) {
                parts.push(Part {
                    item: "springs".to_string(),
                    side: None,
                    what: Layer::Spring,
                    place: (1, 1),
                    outwards: false,
                });
            }
        }
        parts
    }

    /// The parts of one pack from its wall to its ring, each with its name.
    fn pack_parts(&self, side: Side, pack: &ChosenSide) -> Vec<(String, Layer)> {
        let mut parts: Vec<(String, Layer)> = Vec::new();
        for (n, nm) in pack.shims_nanometres.iter().enumerate() {
            parts.push((format!("shim-{}", n + 1), Layer::Shim(*nm)));
        }
        if self.job.unit.spring_behind_pack() {
            parts.push(("spring".to_string(), Layer::Spring));
        }
        if self.packs_are_whole() {
            parts.push(("pack".to_string(), Layer::Pack(pack.plates.clone())));
        } else {
            for plate in &pack.plates {
                // a plate may be called what another part is called here
                let taken = |name: &str| {
                    matches!(name, "spring" | "ring" | "pack" | "gears") || name.starts_with("shim-")
                };
                let name = if taken(plate) {
                    format!("plate-{plate}")
                } else {
                    plate.clone()
                };
                parts.push((name, Layer::Plate(plate.clone())));
            }
        }
        parts.push(("ring".to_string(), Layer::Ring(side)));
        parts
    }

    /// What goes in now, and where it stands in its pack.
    pub(super) fn part_prompt(&self, slot: &Slot) -> String {
        self.prompt_among(&self.parts(slot.round), slot)
    }

    /// The same for a layer.
    pub(super) fn layer_prompt(&self, slot: &Slot) -> String {
        self.prompt_among(&self.layers(slot.round), slot)
    }

    /// What of a pack is laid in before the next look: from where, and up to which part; not how many parts that is.
    pub(super) fn pack_prompt(&self, slots: &[Slot]) -> String {
        let Some(round) = slots.first().map(|slot| slot.round) else {
            return String::new();
        };
        let parts = self.parts(round);
        let of = |slot: &Slot| parts.iter().find(|part| Some(&part.item) == slot.item.as_ref());
        let Some((last, side)) = slots
            .last()
            .and_then(of)
            .and_then(|part| Some((part, part.side?)))
        else {
            return String::new();
        };
        let name = if side == Side::Left { "Left" } else { "Right" };
        let from = match slots.first().and_then(of).map(|part| &part.what) {
            Some(Layer::Gears) => "gears",
            _ if last.outwards => "ring",
            _ => "wall",
        };
        let what = match &last.what {
            Layer::Shim(_) => "shim".to_string(),
            Layer::Spring => "spring".to_string(),
            Layer::Plate(name) => name.clone(),
            Layer::Ring(_) => "ring".to_string(),
            Layer::Gears => "gears".to_string(),
            Layer::Pack(_) => "pack".to_string(),
        };
        format!("{name}, {from} to {what}: how many parts lie in it")
    }

    /// How many parts of its pack lie in it once a part is in.
    pub(super) fn lying_after(&self, slot: Option<&Slot>) -> usize {
        let Some(slot) = slot else {
            return 0;
        };
        let parts = self.parts(slot.round);
        let part = parts.iter().find(|part| Some(&part.item) == slot.item.as_ref());
        part.map_or(0, |part| part.place.0)
    }

    fn prompt_among(&self, parts: &[Part], slot: &Slot) -> String {
        let Some(part) = parts.iter().find(|part| Some(&part.item) == slot.item.as_ref()) else {
            return String::new();
        };
        let what = self.layer_words(&part.what);
        let Some(side) = part.side else {
            return format!("Between the rings: {what}");
        };
        let (n, of) = part.place;
        let from = if part.outwards { "ring" } else { "wall" };
        let name = if side == Side::Left { "Left" } else { "Right" };
        format!("{name}: {n} of {of} from the {from}: {what}")
    }

    /// The pack that is being laid in, with the part in hand in square brackets.
    pub(super) fn laying_picture(&self, slot: &Slot) -> Vec<String> {
        self.laying_drawn(slot, true)
    }

    /// The same of a pack that is laid in and counted as a whole.
    pub(super) fn whole_pack_picture(&self, slot: &Slot) -> Vec<String> {
        self.laying_drawn(slot, false)
    }

    fn laying_drawn(&self, slot: &Slot, marked: bool) -> Vec<String> {
        let parts = self.parts(slot.round);
        let (Some(part), Some(chosen)) = (
            parts.iter().find(|part| Some(&part.item) == slot.item.as_ref()),
            self.state.chosen(slot.round),
        ) else {
            return Vec::new();
        };
        let Some(side) = part.side else {
            return vec!["left ring . [springs] . right ring".to_string()];
        };
        let pack = &chosen.sides[side.index()];
        let names = self
            .pack_parts(side, pack)
            .into_iter()
            .map(|(name, _)| format!("{side}/{name}"));
        let pieces = self.pieces(pack, true).into_iter().zip(names);
        let pieces = pieces.map(|(piece, name)| piece.shown(marked && name == part.item));
        // they lie between this ring and the other one
        let gears = parts
            .iter()
            .find(|one| one.side == Some(side) && matches!(one.what, Layer::Gears))
            .map(|one| match marked && one.item == part.item {
                true => ". [gears]".to_string(),
                false => ". gears".to_string(),
            });
        let marked = std::iter::once(wall(side)).chain(pieces).chain(gears);
        let mut lines = wrapped(marked, WIDE);
        if part.outwards {
            lines.push("It goes in from the ring outwards: the last piece of the line first.".to_string());
        }
        lines
    }

    /// A pack from its wall to its ring, in lines of text: `|` where two pieces rub, `.` where they do not.
    pub(super) fn pack_lines(&self, side: Side, pack: &ChosenSide) -> Vec<String> {
        let pieces = self.pieces(pack, true).into_iter();
        wrapped(
            std::iter::once(wall(side)).chain(pieces.map(|piece| piece.shown(false))),
            WIDE,
        )
    }

    /// The same by the names of its plates alone.
    pub(super) fn pack_names(&self, side: Side, pack: &ChosenSide) -> Vec<String> {
        let pieces = self.pieces(pack, false).into_iter();
        let words = std::iter::once(wall(side)).chain(pieces.map(|piece| piece.shown(false)));
        // plates close together: what counts is their order
        let joined = wrapped(words, usize::MAX).concat().replace(" | ", "|");
        vec![joined]
    }

    /// The pieces of a pack from its wall to its ring, plates with their thickness or by their names alone.
    fn pieces(&self, pack: &ChosenSide, thick: bool) -> Vec<Piece> {
        let units = self.state.units;
        let still = |words: String| Piece { rubs: false, words };
        let shims = pack.shims_nanometres.iter();
        let mut pieces: Vec<Piece> = shims
            .map(|nm| still(format!("shim {}", Length::from_nm(*nm).bare(units))))
            .collect();
        if self.job.unit.spring_behind_pack() {
            pieces.push(still("spring".to_string()));
        }
        if self.packs_are_whole() {
            pieces.push(still(pack.plates.join(" ")));
            pieces.push(still("ring".to_string()));
            return pieces;
        }
        let mut before: Option<Keying> = None;
        let wall = self.job.unit.wall_rubs(!pack.shims_nanometres.is_empty());
        for name in &pack.plates {
            let keyed = self.keyed(name);
            let rubs = match before {
                Some(before) => Some(before) != keyed,
                None => wall && keyed == Some(Keying::Gear),
            };
            let thickness = self
                .plate(name, true)
                .measured
                .filter(|_| thick)
                .map_or(String::new(), |one| format!(" {}", one.value.bare(units)));
            pieces.push(Piece {
                rubs,
                words: format!("{name}{thickness}"),
            });
            before = keyed;
        }
        pieces.push(Piece {
            rubs: before == Some(Keying::Gear),
            words: "ring".to_string(),
        });
        pieces
    }

    /// The order that a pack should have, and by what, and from which end it comes out.
    pub(super) fn order_listed(&self, side: Side) -> [String; 2] {
        let order = self.job.unit.packs[side.index()].order.join(" ");
        [
            self.job
                .procedure
                .spoken
                .fill(Phrase::FromWall, &[&self.listed_by(), &order]),
            self.comes_out(side).to_string(),
        ]
    }

    /// The shims that should lie in a pack, and by what.
    pub(super) fn shims_listed(&self, slot: &Slot) -> Option<String> {
        let side = Side::BOTH
            .into_iter()
            .find(|side| slot.item.as_deref() == Some(side.word()))?;
        let shims = &self.job.unit.packs[side.index()].shims;
        let units = self.state.units;
        let shown: Vec<String> = shims.iter().map(|shim| shim.show(units)).collect();
        let shown = if shown.is_empty() {
            self.job.procedure.spoken.say(Phrase::NoneListed).to_string()
        } else {
            shown.join(" + ")
        };
        Some(format!("{}: {shown}", self.listed_by()))
    }

    /// By what it is known what lies in the unit.
    fn listed_by(&self) -> String {
        let spoken = &self.job.procedure.spoken;
        match &self.job.last {
            Some(last) => spoken.fill(Phrase::AsLeft, &[&last.build]),
            None => spoken.say(Phrase::ByUnitFile).to_string(),
        }
    }

    /// The force of the springs as the last build left them, and the height that gives it.
    fn left_pressed(&self, spring: &Spring) -> Option<(Force, Length)> {
        let last = self.job.last.as_ref()?;
        let times = self.stacks_a_chain();
        let chains = last.closings.iter().enumerate();
        let pressed = chains.filter_map(|(n, closing)| {
            // one chain has the springs of both sides, which press alike
            let mine: Vec<Length> = match last.closings.len() {
                1 => last.springs.clone(),
                _ => last.springs.get(n).copied().into_iter().collect(),
            };
            let stack = match mine.len() {
                0 => spring.stack,
                count => {
                    let sum: Length = mine.into_iter().sum();
                    spring.settled(Length::from_nm(sum.nm() / count as i64)).ok()?
                }
            };
            let height = Length::from_nm(closing.nm() / times);
            Some((stack.force_at_height(height).ok()?, height))
        });
        pressed.max_by(|(one, _), (other, _)| one.newtons().total_cmp(&other.newtons()))
    }

    /// From which end a pack comes out when the unit is stripped, and how its order is to be given.
    pub(super) fn comes_out(&self, side: Side) -> &'static str {
        let (unit, spoken) = (&self.job.unit, &self.job.procedure.spoken);
        if unit.cover() != Cover::Both && unit.opened()[0] == side {
            spoken.say(Phrase::ComesFirst)
        } else {
            spoken.say(Phrase::ComesLast)
        }
    }

    /// What pushes on the cover: when it comes off, what may really be in there, and when it goes on, what was chosen. Never
    /// the window that is wanted.
    pub(super) fn cover_force(&self, slot: &Slot) -> Option<(String, [String; 2])> {
        let derived = self;
        let here = self
            .job
            .procedure
            .steps()
            .position(|(_, step)| step.id == slot.step);
        let closes = self
            .job
            .place_of(Field::CHOICE)
            .is_some_and(|choice| here > Some(choice));
        // the greater of both sides, with the closing that it comes from
        let built = |round: u32| -> Option<(Force, Length)> {
            let closings = derived.closings(round)?;
            let forces = derived.forces(closings).ok()?;
            let side = usize::from(forces[1] > forces[0]);
            Some((forces[side], derived.spring_height(closings[side])))
        };
        let (units, spoken) = (self.state.units, &self.job.procedure.spoken);
        let at_height = |height: Length| format!("springs {} high", height.show(units));
        let known = if closes {
            built(slot.round).map(|(force, height)| {
                let words = spoken.fill(Phrase::CoverCloses, &[&newtons(spoken, force)]);
                (words, format!("as chosen, {}: {force}", at_height(height)))
            })
        } else if slot.round > 1 {
            built(slot.round - 1).map(|(force, height)| {
                let words = spoken.fill(Phrase::CoverUnder, &[&newtons(spoken, force)]);
                let how = format!(
                    "as round {} closed it, {}: {force}",
                    slot.round - 1,
                    at_height(height)
                );
                (words, how)
            })
        } else {
            None
        };
        let fitted = self
            .job
            .rework
            .as_ref()
            .map_or(&self.job.unit, |rework| &rework.before);
        let spring = fitted.spring.as_ref()?;
        let left = || {
            let (force, height) = self.left_pressed(spring)?;
            let by = self.listed_by();
            let last = self.job.last.as_ref()?;
            let words = spoken.fill(Phrase::CoverLeft, &[&newtons(spoken, force), &last.build]);
            Some((words, format!("{by}, {}: {force}", at_height(height))))
        };
        let known = known.or_else(left);
        let known = known.or_else(|| {
            let force = spring.most_force()?;
            let words = spoken.fill(Phrase::CoverUpTo, &[&newtons(spoken, force)]);
            let (free, flat) = (spring.stack.free_height(), spring.stack.solid_height());
            let how = format!(
                "free {}, flat {}: at most {force}",
                free.show(units),
                flat.show(units)
            );
            Some((words, how))
        });
        let (words, how) = known?;
        let formula =
            "spring force at its height, by Almen and László for a disc spring, rate × travel for coils"
                .to_string();
        Some((words, [formula, how]))
    }

    /// Whether a step that fills nothing in by itself comes between the parts that are laid in.
    pub(super) fn comes_with_the_parts(&self, step: &Step, round: u32) -> bool {
        step.before_buried.is_some() && self.job.asks(Field::LAID_IN) && self.state.chosen(round).is_some()
    }
}

/// A force on a cover as a hand can picture it.
fn newtons(spoken: &Spoken, force: Force) -> String {
    let newtons = force.newtons();
    let weight = format!("{:.0}", newtons / KGF);
    spoken.fill(Phrase::CoverForce, &[&format!("{newtons:.0}"), &weight, &weight])
}

/// Pieces on lines that are not too long for a screen.
fn wrapped(pieces: impl IntoIterator<Item = String>, wide: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for piece in pieces {
        if !line.is_empty() && line.chars().count() + piece.chars().count() > wide {
            lines.push(line);
            line = "      ".to_string();
        }
        if !line.trim().is_empty() {
            line.push(' ');
        }
        line.push_str(&piece);
    }
    lines.push(line);
    lines
}
