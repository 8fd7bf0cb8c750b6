//! The choice from readings in a file.

use super::choosing::{Choosing, unlike};
use super::derived::Derived;
use super::field::Field;
use super::job::Job;
use crate::choice::{Choice, First, Order};
use crate::history::doubts::Doubt;
use crate::history::joint_doubts::Doubts;
use crate::mechanics::Side;
use crate::quantity::Length;
use crate::record::{
    ChosenSide, Entry, Interval, MissingPart, Selected, SelectedSide, Selection, Slot, UnitsName, Value,
};
use crate::workshop::Readings;

/// The time of entries that are made from a file of readings and never written down.
const NO_TIME: &str = "0000-00-00T00:00:00Z";

/// The entries of a procedure whose measuring steps are answered from a file of readings.
pub(super) fn entries_of(job: &Job, readings: &Readings) -> Result<Vec<Entry>, String> {
    let mut answers = Answered {
        job,
        entries: Vec::new(),
    };
    answers.readings(readings)?;
    Ok(answers.entries)
}

/// The first entry of a session that is answered from a file of readings.
pub(super) fn begun_by_a_file(units: UnitsName) -> Entry {
    Entry::Begun {
        at: NO_TIME.to_string(),
        program: String::new(),
        unit: String::new(),
        procedure: String::new(),
        drawer: String::new(),
        instruments: String::new(),
        setting: None,
        found: None,
        units,
        practice: None,
        id: None,
    }
}

impl Choosing {
    /// The best choice and its alternatives, for people and machines.
    pub fn selection(&self, derived: &Derived<'_>) -> Result<Selection, String> {
        let outcome = self.proposals(derived).as_ref().map_err(Clone::clone)?;
        let first = outcome.choices.first();
        let selected = |choice: &Choice| -> Result<Selected, String> {
            let chosen = derived
                .chosen(&choice.sides, String::new())
                .ok_or("these plates can not be put in an order with the wanted number of faces")?;
            let side = |pack: &ChosenSide| SelectedSide {
                shims: pack
                    .shims_nanometres
                    .iter()
                    .map(|nm| Length::from_nm(*nm))
                    .collect(),
                plates: pack
                    .plates
                    .iter()
                    .map(|name| {
                        let thickness = derived
                            .plate(name, true)
                            .measured
                            .map_or(Length::ZERO, |one| one.value);
                        (name.clone(), thickness)
                    })
                    .collect(),
                active_faces: derived.faces(pack),
            };
            Ok(Selected {
                sides: [side(&chosen.sides[0]), side(&chosen.sides[1])],
                closings: choice.closings,
                shims: choice.shims,
                worst: choice.worst_deviation,
                difference: choice.difference,
                new_parts: choice.spares,
                probability: choice.probability,
                unlike_first: first.map_or_else(Vec::new, |first| unlike(first, choice)),
            })
        };
        let choices = outcome
            .choices
            .iter()
            .map(selected)
            .collect::<Result<Vec<_>, _>>()?;
        let miss = outcome.miss.as_ref();
        Ok(Selection {
            nearest: miss.map(|miss| selected(&miss.nearest)).transpose()?,
            short_by: miss.map(|miss| miss.short_by),
            missing: miss
                .map(|miss| miss.order.iter().map(missing).collect())
                .unwrap_or_default(),
            rejected: derived
                .all_plates()
                .into_iter()
                .map(|name| (name, derived.plate(name, true)))
                .filter(|(_, plate)| plate.rejected)
                .map(|(name, plate)| (name.to_string(), plate.reason))
                .collect(),
            drawing: outcome
                .choices
                .first()
                .or(miss.map(|miss| &miss.nearest))
                .and_then(|choice| derived.chosen(&choice.sides, String::new()))
                .map(|chosen| derived.draw(&chosen))
                .unwrap_or_default(),
            doubt: derived.doubt_of_closings(),
            choices,
        })
    }
}

impl Derived<'_> {
    /// By how much a closing of any choice may be off either way (k = 2), with where that comes from.
    fn doubt_of_closings(&self) -> Option<Interval<Length>> {
        let sources = Doubt::of_budget(&self.typical_budget()?, 1.0).into_iter();
        let doubts = Doubts(sources.map(|one| (one.source, one.standard.abs())).collect());
        let twice = |standard: f64| Length::from_mm(2.0 * standard).ok();
        let high = twice(doubts.whole())?;
        Some(Interval {
            low: -high,
            high,
            parts: doubts.parts(),
            narrower: doubts
                .halved()
                .filter(|(_, left)| *left < 0.9 * doubts.whole())
                .and_then(|(by, left)| Some((by, -twice(left)?, twice(left)?))),
        })
    }
}

/// What a person may put first.
pub fn first_named(word: &str) -> Option<First> {
    super::definition::FIRST
        .iter()
        .find(|(_, known)| *known == word)
        .map(|(first, _)| *first)
}

fn missing(order: &Order) -> MissingPart {
    match order {
        Order::Shim {
            thickness,
            count,
            is_standard,
        } => MissingPart {
            what: "shim".to_string(),
            thickness: *thickness,
            count: *count,
            standard: *is_standard,
        },
        Order::Plate { keying, thickness } => MissingPart {
            what: keying.to_string(),
            thickness: *thickness,
            count: 1,
            standard: false,
        },
    }
}

struct Answered<'j> {
    job: &'j Job,
    entries: Vec<Entry>,
}

impl Answered<'_> {
    fn put(
        &mut self,
        field: Field,
        item: Option<&str>,
        point: Option<u32>,
        value: Value,
    ) -> Result<(), String> {
        let step = self
            .job
            .step_that_fills(field)
            .ok_or_else(|| format!("the procedure has no step that fills in \"{}\"", field.word()))?;
        self.entries.push(Entry::Answered {
            at: NO_TIME.to_string(),
            by: String::new(),
            slot: Slot {
                round: 1,
                step: step.id.clone(),
                item: item.map(str::to_string),
                point,
            },
            text: String::new(),
            value,
            insisted: false,
        });
        Ok(())
    }

    fn lengths(&mut self, field: Field, item: Option<&str>, lengths: &[Length]) -> Result<(), String> {
        for (n, length) in lengths.iter().enumerate() {
            self.put(field, item, Some(n as u32 + 1), Value::Length(length.nm()))?;
        }
        Ok(())
    }

    fn readings(&mut self, readings: &Readings) -> Result<(), String> {
        for (field, zero, id) in [
            (Field::MICROMETER, Field::MICROMETER_ZERO, &readings.micrometer),
            (Field::DEPTH_GAUGE, Field::DEPTH_GAUGE_ZERO, &readings.depth_gauge),
        ] {
            let instrument = self.job.instruments.iter().find(|one| one.id == *id);
            let gauge = instrument
                .and_then(|one| super::measured::gauge_of(&one.measures))
                .ok_or_else(|| format!("no instrument for lengths is called {id}"))?;
            let standard = gauge.standard.nm();
            self.put(
                field,
                None,
                None,
                Value::Word {
                    word: id.clone(),
                    reason: String::new(),
                },
            )?;
            self.put(zero, None, None, Value::Length(standard))?;
        }
        let through = self.job.unit.is_through();
        for (n, depth) in readings.depths.iter().enumerate() {
            let item = (!through).then(|| Side::BOTH[n.min(1)].word());
            self.lengths(Field::CASE_DEPTH, item, depth)?;
        }
        for side in Side::BOTH {
            self.lengths(Field::RING_HEIGHT, Some(side.word()), readings.ring(side))?;
        }
        for (n, height) in readings.springs.iter().enumerate() {
            let item = (readings.springs.len() > 1).then(|| Side::BOTH[n.min(1)].word());
            self.put(Field::SPRING_HEIGHT, item, None, Value::Length(height.nm()))?;
        }
        for plate in &readings.plates {
            let spare = self.job.unit.plate(&plate.name).is_none();
            let field = if spare {
                Field::SPARE_THICKNESS
            } else {
                Field::PLATE_THICKNESS
            };
            self.lengths(field, Some(&plate.name), &plate.thickness)?;
            if let (Some(flatness), false) = (plate.flatness, spare) {
                self.put(
                    Field::PLATE_FLATNESS,
                    Some(&plate.name),
                    None,
                    Value::Length(flatness.nm()),
                )?;
            }
        }
        Ok(())
    }
}
