//! The unit in section, with the part marked that is asked for.

use super::ask::{Feedback, Tone};
use super::derived::Derived;
use super::field::Field;
use super::session::{Accepted, Session};
use crate::mechanics::{Keying, Side, SpringPlace};
use crate::record::{ChosenSide, Slot};
use crate::workshop::Cover;

/// The rows of the drawing between the case above and the side gears below.
const HIGH: usize = 5;

/// A part of the unit, as far as a question can be about it; no side is both.
#[derive(Clone, PartialEq, Eq, Debug)]
enum Part {
    Plate(String),
    Spring(Option<Side>),
    Ring(Option<Side>),
    Shims(Option<Side>),
    Pack(Option<Side>),
    Gears,
    Cover,
    Case,
}

/// A drawing that grows from left to right.
struct Drawing {
    rows: [String; HIGH],
    /// The columns of each part, from the first to before the last.
    parts: Vec<(Part, usize, usize)>,
    /// From where to where the side gears reach.
    gears: [(usize, usize); 2],
}

impl Drawing {
    fn wide(&self) -> usize {
        self.rows[0].chars().count()
    }

    /// Puts a part behind the others; `rows` are its rows from above, all as wide.
    fn put(&mut self, part: Part, rows: [&str; HIGH]) {
        let from = self.wide();
        for (row, more) in self.rows.iter_mut().zip(rows) {
            row.push_str(more);
        }
        self.parts.push((part, from, self.wide()));
    }

    fn space(&mut self) {
        self.rows.iter_mut().for_each(|row| row.push(' '));
    }
}

impl Session {
    /// The unit in section as far as it is known, with the part marked that the open question is about.
    pub(super) fn pictured(&self, slot: &Slot) -> Accepted {
        let derived = self.derived();
        let sides = match self.state.chosen(slot.round) {
            Some(chosen) => chosen.sides.clone(),
            None => derived.found(),
        };
        let said = if sides.iter().all(|side| side.plates.is_empty()) {
            vec![Feedback::new(
                Tone::Plain,
                "The order of its plates is not known here: nothing can be drawn.",
            )]
        } else {
            let asked = self.asked_of(slot);
            let drawing = drawing(&derived, &sides);
            let mut said = vec![Feedback::new(Tone::Plain, self.legend())];
            let lines = finished(&drawing, asked.as_ref(), &sides);
            said.extend(lines.into_iter().map(|line| Feedback::new(Tone::Drawn, line)));
            if let Some(part) = &asked {
                said.push(Feedback::new(
                    Tone::Plain,
                    format!("^ asked for: {}.", words(part)),
                ));
            }
            said
        };
        Accepted {
            said,
            told: true,
            ..Accepted::default()
        }
    }

    fn legend(&self) -> String {
        let spring = match self.job.unit.spring {
            Some(_) => ", ~ spring",
            None => "",
        };
        let walls = match self.job.unit.cover() {
            Cover::Both => "% covers",
            Cover::Left | Cover::Right => "# wall, % cover",
        };
        format!(
            "In section, left on the left: {walls}, s shim{spring}, | plate (up to the case, or down to its side gear), R ring, + \
             cross pin."
        )
    }

    /// The part that a question is about, where it is about one.
    fn asked_of(&self, slot: &Slot) -> Option<Part> {
        let side = |word: &str| Side::BOTH.into_iter().find(|side| side.word() == word);
        let fills = self
            .job
            .procedure
            .step(&slot.step)
            .and_then(|(_, step)| step.fills);
        let step = slot.step.as_str();
        let Some(item) = slot.item.as_deref() else {
            return part_of_step(fills, step, None);
        };
        if let Some((place, part)) = item.split_once('/') {
            let at = side(place);
            return Some(match part {
                "spring" => Part::Spring(at),
                "ring" => Part::Ring(at),
                _ if part.starts_with("shim") => Part::Shims(at),
                _ => Part::Plate(part.to_string()),
            });
        }
        match (side(item), item) {
            (Some(side), _) => part_of_step(fills, step, Some(side)),
            (None, "springs") => Some(Part::Spring(None)),
            (None, "gears") => Some(Part::Gears),
            (None, name) if self.derived().keyed(name).is_some() => Some(Part::Plate(name.to_string())),
            _ => part_of_step(fills, step, None),
        }
    }
}

/// The part that a step is about, by what it fills in, else by its name.
fn part_of_step(fills: Option<Field>, step: &str, side: Option<Side>) -> Option<Part> {
    let packs = [Field::FOUND_ORDER, Field::PRESSED_HEIGHT, Field::LAID_IN];
    if fills.is_some_and(|field| packs.contains(&field)) {
        return Some(Part::Pack(side));
    }
    // a spring is no ring, though the word has one in it
    let named: [(&str, Part); 10] = [
        ("spring", Part::Spring(side)),
        ("press", Part::Spring(side)),
        ("closing", Part::Spring(side)),
        ("ring", Part::Ring(side)),
        ("case", Part::Case),
        ("gear", Part::Gears),
        ("cover", Part::Cover),
        ("tighten", Part::Cover),
        ("open", Part::Cover),
        ("bolts", Part::Cover),
    ];
    let found = named.into_iter().find(|(word, _)| step.contains(word));
    found.map(|(_, part)| part)
}

fn words(part: &Part) -> String {
    let of = |what: &str, side: &Option<Side>| match side {
        Some(side) => format!("the {side} {what}"),
        None => format!("the {what}s of both sides"),
    };
    match part {
        Part::Plate(name) => format!("plate {name}"),
        Part::Spring(side) => of("spring", side),
        Part::Ring(side) => of("ring", side),
        Part::Shims(Some(side)) => format!("the shims of the {side} pack"),
        Part::Shims(None) => "the shims".to_string(),
        Part::Pack(side) => of("pack", side),
        Part::Gears => "the gears between the rings".to_string(),
        Part::Cover => "the cover".to_string(),
        Part::Case => "the case".to_string(),
    }
}

/// What lies in the case, from its left wall to its right one.
fn drawing(derived: &Derived<'_>, sides: &[ChosenSide; 2]) -> Drawing {
    let unit = &derived.job.unit;
    let place = unit.spring.as_ref().map(|spring| spring.place);
    let mut drawing = Drawing {
        rows: Default::default(),
        parts: Vec::new(),
        gears: [(0, 0); 2],
    };
    for side in Side::BOTH {
        let pack = &sides[side.index()];
        let is_cover = matches!(
            (unit.cover(), side),
            (Cover::Both, _) | (Cover::Left, Side::Left) | (Cover::Right, Side::Right)
        );
        let wall = match is_cover {
            true => (Part::Cover, ["%"; HIGH]),
            false => (Part::Case, ["#"; HIGH]),
        };
        let mut parts: Vec<(Part, [&str; HIGH])> = vec![wall];
        let shims = pack.shims_nanometres.len();
        parts.extend((0..shims).map(|_| (Part::Shims(Some(side)), [" ", "s", "s", "s", " "])));
        if place == Some(SpringPlace::BehindPack) {
            parts.push((Part::Spring(Some(side)), [" ", "~", "~", "~", " "]));
        }
        for name in &pack.plates {
            let rows = match derived.keyed(name) {
                Some(Keying::Gear) => [" ", "|", "|", "|", "|"],
                Some(Keying::Case) | None => ["|", "|", "|", "|", " "],
            };
            parts.push((Part::Plate(name.clone()), rows));
        }
        parts.push((Part::Ring(Some(side)), ["RR", "RR", "RR", "RR", "  "]));
        if side == Side::Right {
            parts.reverse();
        }
        let from = drawing.wide();
        for (part, rows) in parts {
            drawing.put(part, rows);
            drawing.space();
        }
        drawing.gears[side.index()] = (from + 1, drawing.wide().saturating_sub(2));
        if side == Side::Left {
            if place == Some(SpringPlace::BetweenRings) {
                drawing.put(Part::Spring(None), [" ", "~", "~", "~", " "]);
                drawing.space();
            }
            drawing.put(Part::Gears, ["   ", " + ", "+++", " + ", "   "]);
            drawing.space();
        }
    }
    drawing
}

/// The drawing between case and side gears, with what is asked for marked below.
fn finished(drawing: &Drawing, asked: Option<&Part>, sides: &[ChosenSide; 2]) -> Vec<String> {
    let wide = drawing.wide().saturating_sub(1);
    let mut lines = vec![format!("{}  case", "=".repeat(wide))];
    lines.extend(drawing.rows.iter().map(|row| row.trim_end().to_string()));
    let mut gears = vec![' '; wide];
    for (from, to) in drawing.gears {
        gears.iter_mut().take(to).skip(from).for_each(|sign| *sign = '=');
    }
    let gears: String = gears.into_iter().collect();
    lines.push(format!("{gears}  side gears"));
    let is_asked = |part: &Part| match asked {
        Some(Part::Pack(side)) => Side::BOTH.into_iter().any(|one| {
            let own = &sides[one.index()].plates;
            side.is_none_or(|wanted| wanted == one) && matches!(part, Part::Plate(name) if own.contains(name))
        }),
        Some(Part::Spring(None)) => matches!(part, Part::Spring(_)),
        Some(Part::Spring(Some(_))) => Some(part) == asked || *part == Part::Spring(None),
        Some(Part::Ring(None)) => matches!(part, Part::Ring(_)),
        Some(Part::Shims(None)) => matches!(part, Part::Shims(_)),
        Some(Part::Case) => *part == Part::Case,
        _ => Some(part) == asked,
    };
    let mut marks = vec![' '; wide];
    for (_, from, to) in drawing.parts.iter().filter(|(part, ..)| is_asked(part)) {
        marks
            .iter_mut()
            .take(*to)
            .skip(*from)
            .for_each(|sign| *sign = '^');
    }
    let marks: String = marks.into_iter().collect();
    if !marks.trim().is_empty() {
        lines.push(marks.trim_end().to_string());
    }
    lines
}
