//! A choice as a hand changes it: what is wished for, and plates and shims put in by name.

use super::ask::{Feedback, Refusal, Tone};
use super::choosing::Choosing;
use super::definition::FIRST;
use super::derived::Derived;
use super::request::Preferences;
use super::rounding::in_steps;
use super::typed::{no, parsed, side_before, side_said};
use crate::choice::{SideChoice, evaluate};
use crate::document::nearest;
use crate::mechanics::{Keying, Side};
use crate::quantity::Length;
use crate::record::{Chosen, ChosenSide, Value};

/// How a choice by hand begins to be told.
const BY_HAND: &str = "by hand";

impl Choosing {
    /// What speaks against plates and shims, in words.
    pub fn faults_of(&self, derived: &Derived<'_>, sides: &[ChosenSide; 2]) -> Vec<String> {
        match derived.request(&self.wish) {
            Err(why) => vec![why],
            Ok(request) => match evaluate(&request, derived.side_choices(sides)) {
                Ok((_, faults)) => faults.iter().map(ToString::to_string).collect(),
                Err(error) => vec![error.to_string()],
            },
        }
    }

    /// The wish as a line changes it: `first closest`, `keep G1 left`, `without 0.30`, `without SG1`.
    fn changed_wish(&self, derived: &Derived<'_>, verb: &str, rest: &[&str]) -> Result<Preferences, Refusal> {
        let mut wish = self.wish.clone();
        match (verb, rest) {
            ("first", [word]) => match FIRST.iter().find(|(_, known)| known.eq_ignore_ascii_case(word)) {
                Some((first, _)) => wish.first = *first,
                None => {
                    let known: Vec<&str> = FIRST.iter().map(|(_, word)| *word).collect();
                    return no(format!("\"{word}\" is none of these: {}", known.join(", ")));
                }
            },
            ("guard", ["on"]) => wish.guarded = true,
            ("guard", ["off"]) => wish.guarded = false,
            ("keep", ["in", "place"]) => wish.keep_in_place = true,
            ("keep", ["in", "place", "off"]) => wish.keep_in_place = false,
            ("keep", [plate, side @ ..]) if !side.is_empty() => {
                let Some(side) = side_said(&side.join(" ")) else {
                    return no(format!("\"{}\" is neither left nor right", side.join(" ")));
                };
                let plate = derived.called(plate);
                derived.usable(&plate)?;
                wish.keep.retain(|(known, _)| *known != plate);
                wish.keep.push((plate, side));
            }
            ("without", [_, ..]) => {
                for what in wished_about(derived, rest)? {
                    match what {
                        About::Plate(plate) if wish.without_plates.contains(&plate) => {}
                        About::Plate(plate) => wish.without_plates.push(plate),
                        About::Shim(shim) if wish.without_shims.contains(&shim) => {}
                        About::Shim(shim) => wish.without_shims.push(shim),
                    }
                }
            }
            ("with", ["all"]) => {
                wish.without_plates.clear();
                wish.without_shims.clear();
                wish.keep.clear();
            }
            ("with", [_, ..]) => {
                for what in wished_about(derived, rest)? {
                    let was = wish.clone();
                    match &what {
                        About::Plate(plate) => {
                            wish.without_plates.retain(|known| known != plate);
                            wish.keep.retain(|(known, _)| known != plate);
                        }
                        About::Shim(shim) => wish.without_shims.retain(|known| known != shim),
                    }
                    if wish == was {
                        let what = match what {
                            About::Plate(plate) => plate,
                            About::Shim(shim) => shim.show(derived.state.units),
                        };
                        return no(format!("nothing was wished of {what}: it may be taken as it is"));
                    }
                }
            }
            _ => {
                return no(
                    "write: first closest, or keep G1 left, or keep in place, or without 0.30, or without SG1, or guard on; \
                     with 0.30 or with SG1 takes it back, with all every one of them",
                );
            }
        }
        Ok(wish)
    }

    /// `swap A B`, `plates left A B C` and `shims left 0.10 0.15` make a draft, which is shown and not yet taken; `first`, `keep`, `without`
    /// and `more` change what is proposed.
    pub fn change(
        &mut self,
        derived: &Derived<'_>,
        before: Option<&Chosen>,
        text: &str,
    ) -> Result<Option<Vec<Feedback>>, Refusal> {
        let (verb, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let verb = verb.to_lowercase();
        // a comma may part two names; in a thickness it may be the decimal sign
        let names = !["shims", "without", "with"].contains(&verb.as_str());
        let rest: Vec<&str> = rest
            .split(|c: char| c.is_whitespace() || (names && c == ','))
            .filter(|word| !word.is_empty())
            .collect();
        match verb.as_str() {
            "swap" | "shims" | "plates" => {}
            "more" => {
                self.all_shown = true;
                return Ok(Some(Vec::new()));
            }
            "look" => {
                let count = self
                    .proposals(derived)
                    .as_ref()
                    .map_or(0, |found| found.choices.len());
                let wanted = match rest.as_slice() {
                    [word] => word.parse().ok().filter(|n| (1..=count).contains(n)),
                    _ => None,
                };
                let Some(n) = wanted else {
                    return no(format!(
                        "write which of the proposals is to be drawn, 1 to {count}: look 2"
                    ));
                };
                self.looked_at = n - 1;
                self.draft = None;
                return Ok(Some(Vec::new()));
            }
            "first" | "keep" | "without" | "with" | "guard" => {
                let wish = self.changed_wish(derived, &verb, &rest)?;
                self.wish_for(wish);
                return Ok(Some(Vec::new()));
            }
            _ => return Ok(None),
        }
        let base = match (self.draft(derived), before, self.proposals(derived)) {
            (Some(draft), ..) => Some(draft.clone()),
            (None, Some(before), _) => Some(Chosen {
                // on a proposal all changes are to be told, on a change by hand those that are added
                how: if before.how.starts_with(BY_HAND) {
                    before.how.clone()
                } else {
                    String::new()
                },
                reason: String::new(),
                sides: before.sides.clone(),
            }),
            (None, None, Ok(outcome)) => outcome
                .choices
                .get(self.looked_at)
                .or(outcome.miss.as_ref().map(|miss| &miss.nearest))
                .and_then(|choice| derived.chosen(&choice.sides, String::new())),
            (None, None, Err(_)) => None,
        };
        let mut draft = base.unwrap_or_else(|| Chosen {
            sides: derived.found(),
            how: String::new(),
            reason: String::new(),
        });
        if verb == "swap" {
            let [a, b] = rest.as_slice() else {
                return no("a swap names two plates: swap A B");
            };
            let [a, b] = [derived.called(a), derived.called(b)];
            derived.usable(&a)?;
            derived.usable(&b)?;
            swap(derived, &mut draft.sides, &a, &b)?;
        } else if verb == "plates" {
            let Some((side, names)) = side_before(&rest) else {
                return unsided(
                    &rest,
                    "plates are named with their side, from the case wall: plates left A B C",
                );
            };
            let names: Vec<String> = names.iter().map(|name| derived.called(name)).collect();
            for (n, name) in names.iter().enumerate() {
                derived.usable(name)?;
                if names[..n].contains(name) {
                    return no(format!("plate {name} is named twice"));
                }
            }
            if let Some(pack) = draft.sides.get_mut(side.index()) {
                pack.plates = names;
            }
        } else {
            let Some((side, thicknesses)) = side_before(&rest) else {
                return unsided(&rest, "shims are named with their side: shims left 0.10 0.15");
            };
            let mut shims = Vec::new();
            for text in with_their_units(thicknesses) {
                let (shim, _) = parsed::<Length>(&text, derived.state.units)?;
                if shim <= Length::ZERO {
                    return no(format!("a shim of {shim} can not be"));
                }
                shims.push(shim.nm());
            }
            if let Some(pack) = draft.sides.get_mut(side.index()) {
                pack.shims_nanometres = shims;
            }
        }
        draft.how = if draft.how.is_empty() {
            format!("{BY_HAND}: {text}")
        } else {
            format!("{}, {text}", draft.how)
        };
        let said = self.tell_draft(derived, &draft);
        self.draft = Some(draft);
        Ok(Some(said))
    }

    /// What a change by hand does, before it is taken.
    fn tell_draft(&self, derived: &Derived<'_>, draft: &Chosen) -> Vec<Feedback> {
        let mut said = derived.tell_choice(draft);
        let faults = self.faults_of(derived, &draft.sides);
        said.extend(faults.into_iter().map(|words| Feedback {
            tone: Tone::Bad,
            words,
        }));
        said.push(Feedback {
            tone: Tone::Plain,
            words: "not taken yet: hand takes it".to_string(),
        });
        said
    }
}

impl Derived<'_> {
    /// The choice that stood at its question in a round before that was opened again.
    pub fn chosen_before(&self, round: u32) -> Option<&Chosen> {
        let mut earlier = self.state.earlier.iter().filter(|(slot, _)| slot.round == round);
        earlier.find_map(|(_, before)| match &before.value {
            Value::Chosen(chosen) => Some(chosen),
            _ => None,
        })
    }

    /// A plate by its name as a person typed it, in any case of letters; what is no name is given back as it is.
    pub fn called(&self, name: &str) -> String {
        let all = self.all_plates();
        let exact = all.iter().find(|known| **known == name);
        let known = exact.or_else(|| all.iter().find(|known| known.eq_ignore_ascii_case(name)));
        known.map_or(name, |known| known).to_string()
    }

    /// Refuses a plate that can not go in.
    pub fn usable(&self, name: &str) -> Result<(), Refusal> {
        let derived = self;
        match derived.keyed(name) {
            None => {
                let known = derived.all_plates();
                let meant =
                    nearest(name, &known).map_or(String::new(), |meant| format!("; did you mean {meant}?"));
                no(format!("no plate is called {name}{meant}"))
            }
            Some(_) if derived.plate(name, true).rejected => no(format!("plate {name} has been rejected")),
            Some(_) if derived.plate(name, true).measured.is_none() => {
                no(format!("plate {name} has not been measured"))
            }
            Some(_) => Ok(()),
        }
    }

    /// What speaks against a wish: a plate that does not exist, can not go in, or is wished for in two ways.
    pub fn wish_fault(&self, wish: &Preferences) -> Option<String> {
        let named_twice = |name: &String| {
            wish.without_plates.contains(name)
                || wish.keep.iter().filter(|(plate, _)| plate == name).count() > 1
        };
        wish.without_plates
            .iter()
            .find(|name| self.keyed(name).is_none())
            .map(|name| format!("\"{name}\" is neither a plate nor a thickness with its unit"))
            .or_else(|| {
                wish.keep.iter().find_map(|(name, _)| match self.usable(name) {
                    Err(refusal) => Some(refusal.words),
                    Ok(()) if named_twice(name) => Some(format!("plate {name} is wished for in two ways")),
                    Ok(()) => None,
                })
            })
    }

    /// Plates and shims of a choice in the shape that the choice module takes.
    pub fn side_choices(&self, sides: &[ChosenSide; 2]) -> [SideChoice; 2] {
        Side::BOTH.map(|side| {
            let pack = &sides[side.index()];
            let keyed = |wanted: Keying| {
                pack.plates
                    .iter()
                    .filter(|name| self.keyed(name) == Some(wanted))
                    .cloned()
                    .collect()
            };
            let (gear, case) = if self.packs_are_whole() {
                (Vec::new(), vec![side.word().to_string()])
            } else {
                (keyed(Keying::Gear), keyed(Keying::Case))
            };
            SideChoice {
                gear,
                case,
                shims: pack
                    .shims_nanometres
                    .iter()
                    .map(|nm| in_steps(Length::from_nm(*nm)))
                    .collect(),
            }
        })
    }
}

/// Puts two plates in each other's place; one of them may be a plate that is in neither pack.
fn swap(derived: &Derived<'_>, sides: &mut [ChosenSide; 2], a: &str, b: &str) -> Result<(), Refusal> {
    if derived.keyed(a) != derived.keyed(b) {
        return no(format!(
            "{a} and {b} are keyed to different things and can not take each other's place"
        ));
    }
    let place = |sides: &[ChosenSide; 2], name: &str| {
        (0..2).find_map(|side| {
            sides[side]
                .plates
                .iter()
                .position(|known| known == name)
                .map(|n| (side, n))
        })
    };
    let (at_a, at_b) = (place(sides, a), place(sides, b));
    if at_a.is_none() && at_b.is_none() {
        return no(format!("neither {a} nor {b} is in a pack"));
    }
    if let Some((side, n)) = at_a {
        sides[side].plates[n] = b.to_string();
    }
    if let Some((side, n)) = at_b {
        sides[side].plates[n] = a.to_string();
    }
    Ok(())
}

/// Refuses what names no side.
fn unsided<T>(words: &[&str], wanted: &str) -> Result<T, Refusal> {
    match words.first() {
        Some(word) => no(format!("\"{word}\" is neither left nor right: {wanted}")),
        None => no(wanted),
    }
}

/// What a wish is about.
enum About {
    Plate(String),
    Shim(Length),
}

/// Plates by their names, and thicknesses.
fn wished_about(derived: &Derived<'_>, words: &[&str]) -> Result<Vec<About>, Refusal> {
    let texts = with_their_units(words).into_iter();
    texts
        .map(|text| {
            let plate = derived.called(&text);
            if derived.keyed(&plate).is_some() {
                return Ok(About::Plate(plate));
            }
            if text.starts_with(char::is_alphabetic) {
                derived.usable(&plate)?;
            }
            parsed::<Length>(&text, derived.state.units).map(|(shim, _)| About::Shim(shim))
        })
        .collect()
}

/// Thicknesses as they were typed; `0.10 mm` is one of them, and so is `0.10,` with a comma behind it.
pub(super) fn with_their_units(words: &[&str]) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for word in words {
        let word = word.trim_end_matches(',');
        match all.last_mut() {
            Some(last) if word.starts_with(char::is_alphabetic) => {
                last.push(' ');
                last.push_str(word);
            }
            _ if word.is_empty() => {}
            _ => all.push(word.to_string()),
        }
    }
    all
}
