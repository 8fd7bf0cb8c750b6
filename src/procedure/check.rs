//! What a procedure must keep to beyond the words that it is written in: cautions before hazards, figures for torques,
//! nothing used before it is filled in, nothing that is never asked.

use super::ask::StepKind;
use super::definition::{Condition, Each, Guard, HAZARDS, Hazard, Kind, Plain, Step};
use super::field::Field;
use super::row::Work;
use crate::document::Section;
use crate::workshop::language::Language;
use std::collections::HashSet;

/// Words that give a step away as one with a hazard, so that a shop's own step can not go without its caution.
const TELLTALES: &[(Hazard, &[&str])] = &[
    (
        Hazard::Lifting,
        &[
            "jack",
            "axle stand",
            "on stands",
            "on its stands",
            "lift the car",
            "car up",
            "under the car",
        ],
    ),
    (
        Hazard::Torque,
        &["tighten the", "tighten all", "torque the", "to torque"],
    ),
    (
        Hazard::Spring,
        &["slacken the cover", "cover bolts out", "undo the cover"],
    ),
];

/// Conditions of which a unit meets just one.
const EXCLUDING: &[(Condition, Condition)] = &[
    (Condition::SpringLoaded, Condition::Clearance),
    (Condition::Through, Condition::PerSide),
];

/// Whether `text`, in small letters, has a telltale as a word of its own or with a usual ending.
fn says(text: &str, telltale: &str) -> bool {
    text.match_indices(telltale).any(|(at, found)| {
        let before = text[..at].chars().next_back();
        let ending: String = text[at + found.len()..]
            .chars()
            .take_while(|c| c.is_alphabetic())
            .collect();
        !before.is_some_and(char::is_alphabetic) && ["", "s", "ed", "ing"].contains(&ending.as_str())
    })
}

/// Refuses conditions of which no unit meets all.
pub(super) fn check_conditions(section: &Section<'_>, only: &[Condition]) {
    for (one, other) in EXCLUDING {
        if only.contains(one) && only.contains(other) {
            section.fault_by(
                "never-true",
                section.span_of("only"),
                format!(
                    "no unit is both {} and {}, so this is never asked",
                    one.word(),
                    other.word()
                ),
            );
        }
    }
}

/// What has been seen so far while the steps are checked in their order.
pub(super) struct Check {
    /// How many steps there were.
    pub steps: usize,
    /// Whether the rules count that a procedure in the book may be older than.
    strict: bool,
    /// The language that it is written in.
    language: String,
    /// What every unit of this procedure is.
    only: Vec<Condition>,
    ids: HashSet<String>,
    filled: Vec<(Field, Vec<Condition>)>,
    covered: Vec<(Hazard, Vec<Condition>)>,
    /// How many hazards were covered when the parts were laid in: what closes the cover wants its caution after that.
    laid_in: Option<usize>,
}

impl Check {
    /// A check of a procedure for units that meet `only`.
    pub fn new(strict: bool, only: &[Condition], language: &str) -> Check {
        Check {
            steps: 0,
            strict,
            language: language.to_string(),
            only: only.to_vec(),
            ids: HashSet::new(),
            filled: Vec::new(),
            covered: Vec::new(),
            laid_in: None,
        }
    }

    /// Checks one step against those before it.
    pub fn step(&mut self, section: &Section<'_>, step: &Step) {
        self.steps += 1;
        if !self.ids.insert(step.id.clone()) {
            section.fault_by(
                "duplicate-id",
                section.span_of("id"),
                format!("the id \"{}\" is used twice", step.id),
            );
        }
        let mut met = step.only.clone();
        met.extend(&self.only);
        self.needs(section, step, &met);
        self.hazards(section, step, &met);
        self.caution(section, step);
        let work = step.fills.and_then(|field| field.row().asked.work);
        if step.kind == StepKind::Tighten && work != Some(Work::Tightens) && step.torque.is_none() {
            section.fault_by(
                "torque-without-figure",
                section.span_of("kind"),
                "a tighten step needs a figure: fills = \"tightened\" for the unit's bolt groups, or torque = \"… N·m\"",
            );
        }
        if step.guard.is_some() && step.fills.is_none() && step.answer != Plain::YesNo {
            section.fault_by(
                "guard-without-look",
                section.span_of("guard"),
                "only a look that is answered with yes or no, or by fixed words, can guard something",
            );
        }
        if step.skip && step.guard == Some(Guard::Stops) {
            section.fault_by(
                "guard-that-is-skipped",
                section.span_of("skip"),
                "what stops the way until it is right can not be skipped",
            );
        }
        let measures = matches!(step.fills.map(Field::kind), Some(Kind::Quantity(_)));
        if step.points > 1 && !measures {
            section.fault_by(
                "points-without-measure",
                section.span_of("points"),
                "only a measured quantity has several points",
            );
        }
        if self.strict {
            self.reached(section, step, &met);
        }
        let late = step.fills.and_then(|field| field.row().asked.too_late_after);
        if let Some((_, words)) = late.filter(|(field, _)| self.strict && self.is_filled(*field, &met)) {
            section.fault_by("looked-at-late", section.span_of("fills"), words);
        }
        if step.before_buried.is_some() && !self.is_filled(Field::LAID_IN, &met) {
            section.fault_by(
                "unfilled-need",
                section.span_of("before_buried"),
                "a look before a part is buried comes with the laying in: no earlier step fills \"laid-in\" in",
            );
        }
        if work == Some(Work::LaysIn) {
            self.laid_in = Some(self.covered.len());
        }
        if let Some(field) = step.fills {
            if self
                .filled
                .iter()
                .any(|(filled, only)| *filled == field && self.is_again(only, step, &met))
            {
                section.fault_by(
                    "filled-twice",
                    section.span_of("fills"),
                    format!("\"{}\" has been filled in by an earlier step", field.word()),
                );
            }
            self.filled.push((field, step.only.clone()));
        }
    }

    /// Whether a unit that is asked a step may have been asked an earlier one, for units that meet `only`, too.
    fn is_again(&self, only: &[Condition], step: &Step, met: &[Condition]) -> bool {
        if self.strict {
            !exclude(only, met)
        } else {
            // a book may have procedures in which conditions overlap
            holds(only, met) || step.only.is_empty()
        }
    }

    /// Whether every unit that meets `met` has been asked for a field: by one step, or by one for each of two conditions
    /// of which a unit meets one.
    fn is_filled(&self, field: Field, met: &[Condition]) -> bool {
        let with = |condition: Condition| [met, &[condition]].concat();
        self.filled
            .iter()
            .any(|(filled, only)| *filled == field && holds(only, met))
            || EXCLUDING.iter().any(|(one, other)| {
                !met.contains(one)
                    && !met.contains(other)
                    && self.is_filled(field, &with(*one))
                    && self.is_filled(field, &with(*other))
            })
    }

    fn needs(&self, section: &Section<'_>, step: &Step, met: &[Condition]) {
        for need in step.needs.iter().filter(|need| !self.is_filled(**need, met)) {
            section.fault_by(
                "unfilled-need",
                section.span_of("needs"),
                format!(
                    "\"{}\" is needed here, but no earlier step fills it in",
                    need.word()
                ),
            );
        }
        let (true, Some(field)) = (self.strict, step.fills) else {
            return;
        };
        for one_of in field.row().rests_on {
            if one_of
                .iter()
                .any(|rest| self.is_filled(*rest, met) || step.needs.contains(rest))
            {
                continue;
            }
            let words: Vec<String> = one_of.iter().map(|rest| format!("\"{}\"", rest.word())).collect();
            section.fault_by(
                "unfilled-need",
                section.span_of("fills"),
                format!(
                    "\"{}\" rests on {}, but no earlier step fills it in",
                    field.word(),
                    words.join(" or ")
                ),
            );
        }
    }

    fn hazards(&self, section: &Section<'_>, step: &Step, met: &[Condition]) {
        if step.kind == StepKind::Caution {
            return;
        }
        let mut hazards = step.hazards.clone();
        let english = self.language.split('-').next() == Some("en");
        if !english && step.kind == StepKind::Do && !["hazards", "use"].iter().any(|key| section.has(key)) {
            section.fault_by(
                "hazards-unsaid",
                section.span_of("id"),
                format!(
                    "in another language than English a hazard is not left to the words of \"{}\": say hazards = [...], \
                     or hazards = [] where nothing in it can hurt",
                    step.id
                ),
            );
        }
        let mut words = step.words.join(" ").to_lowercase();
        if self.strict {
            words = format!("{words} ; {}", step.tools.join(" ; ").to_lowercase());
        }
        for (hazard, telltales) in TELLTALES {
            // a book may have procedures from before torque was told by its words
            let counts = english && (self.strict || *hazard != Hazard::Torque);
            if counts && telltales.iter().any(|telltale| says(&words, telltale)) {
                hazards.push(*hazard);
            }
        }
        // those of other languages came later
        if let Some(language) = Language::of(&self.language).filter(|_| self.strict) {
            let told = language.hazards_in(&words);
            let known = HAZARDS.iter().filter(|(_, word)| told.contains(word));
            hazards.extend(known.map(|(hazard, _)| *hazard));
        }
        if step.kind == StepKind::Tighten || step.torque.is_some() {
            hazards.push(Hazard::Torque);
        }
        self.closing(section, step, met);
        let mut told = Vec::new();
        for hazard in hazards {
            let mut met = met.to_vec();
            if hazard == Hazard::Spring && !met.contains(&Condition::Clearance) {
                // a unit without springs has nothing to be covered
                met.push(Condition::SpringLoaded);
            }
            let covered = self
                .covered
                .iter()
                .any(|(covered, only)| *covered == hazard && holds(only, &met));
            if covered || told.contains(&hazard) {
                continue;
            }
            told.push(hazard);
            section.fault_by(
                "missing-caution",
                section.span_of("id"),
                format!(
                    "\"{}\" needs a caution step before it with covers = [\"{}\"]",
                    step.id,
                    hazard.word()
                ),
            );
        }
    }

    /// The bolts that draw the cover down close it against the springs: the caution before it came off is long past.
    fn closing(&self, section: &Section<'_>, step: &Step, met: &[Condition]) {
        let work = step.fills.and_then(|field| field.row().asked.work);
        let (Some(laid_in), Some(Work::Tightens)) = (self.laid_in, work) else {
            return;
        };
        if met.contains(&Condition::Clearance) {
            return;
        }
        let mut met = met.to_vec();
        met.push(Condition::SpringLoaded);
        let mut since = self.covered[laid_in..].iter();
        if !since.any(|(covered, only)| *covered == Hazard::Spring && holds(only, &met)) {
            section.fault_by(
                "missing-caution",
                section.span_of("id"),
                format!(
                    "\"{}\" closes the cover against the springs: after the laying in it needs a caution step before it with \
                     covers = [\"spring\"]",
                    step.id
                ),
            );
        }
    }

    fn caution(&mut self, section: &Section<'_>, step: &Step) {
        if step.kind != StepKind::Caution {
            return;
        }
        if step.covers.is_empty() && !section.has("covers") {
            section.fault_by(
                "caution-for-nothing",
                section.span_of("id"),
                "a caution says what it covers: covers = [\"lifting\"], for one",
            );
        }
        if step.fills.is_some() || step.skip || step.each.is_some() || step.answer != Plain::Done {
            section.fault_by(
                "caution-that-does-more",
                section.span_of("id"),
                "a caution is acknowledged, never skipped, and fills nothing in",
            );
        }
        self.covered
            .extend(step.covers.iter().map(|hazard| (*hazard, step.only.clone())));
    }

    /// Refuses a step that is never asked.
    fn reached(&self, section: &Section<'_>, step: &Step, met: &[Condition]) {
        for (one, other) in EXCLUDING {
            for (by_step, by_all) in [(one, other), (other, one)] {
                if step.only.contains(by_step) && self.only.contains(by_all) {
                    section.fault_by(
                        "unreachable-step",
                        section.span_of("only"),
                        format!(
                            "the procedure is for {} units only, so a step for {} units is never asked",
                            by_all.word(),
                            by_step.word()
                        ),
                    );
                }
            }
        }
        if step.each == Some(Each::Spring) && met.contains(&Condition::Clearance) {
            section.fault_by(
                "unreachable-step",
                section.span_of("only"),
                "a unit that is set to a clearance has no spring, so this is never asked",
            );
        }
    }
}

fn holds(conditions: &[Condition], met: &[Condition]) -> bool {
    conditions.iter().all(|condition| met.contains(condition))
}

/// Whether no unit meets both lists.
fn exclude(one: &[Condition], other: &[Condition]) -> bool {
    EXCLUDING
        .iter()
        .any(|(a, b)| one.contains(a) && other.contains(b) || one.contains(b) && other.contains(a))
}
