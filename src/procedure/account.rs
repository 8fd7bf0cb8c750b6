//! A build in figures, for the years.

use super::definition::{Plain, Stage, Step};
use super::field::Field;
use super::measured::gauge_of;
use super::proof::WRENCH;
use super::whole::Whole;
use crate::history::doubts::Doubt;
use crate::history::own_answers::OwnAnswer;
use crate::history::{
    Account, BreakawayAccount, GapAccount, InstrumentAccount, InstrumentRole, PackAccount, PlateAccount,
    SpringAccount, UncertainLength,
};
use crate::mechanics::{Keying, Side};
use crate::metrology::{Measured, judge_length, reading_uncertainty};
use crate::quantity::{Distance, Duration, Length, Torque, Volume};
use crate::record::{ChosenSide, Value};
use crate::workshop::Aim;

impl Whole<'_> {
    /// What this build says about its unit, in figures. Nothing is simulated, so it is cheap enough for a whole book.
    pub(super) fn account(&self, id: &str, digest: &str) -> Account {
        let round = self.round;
        let unit = &self.job.unit;
        let text = |field| self.state.text(field).unwrap_or("").to_string();
        let said = |field| self.state.said(field).unwrap_or("").to_string();
        let car = match self.state.text(Field::CAR) {
            Some(car) => car.to_string(),
            None => unit.car.clone().unwrap_or_default(),
        };
        Account {
            build: id.to_string(),
            unit: unit.id.clone(),
            unit_name: unit.name.clone(),
            car,
            reason: text(Field::REASON),
            job_number: said(Field::JOB_NUMBER),
            customer: said(Field::CUSTOMER),
            promised: said(Field::PROMISED),
            by: text(Field::BUILT_BY),
            checked_by: text(Field::SIGNED_CHECKED),
            procedure: self.job.procedure.id.clone(),
            procedure_title: self.job.procedure.title.clone(),
            copied: self.job.copies_paper(),
            begun: self.state.started.clone(),
            finished: self.state.finished.clone(),
            answered: self.state.trail.len(),
            round,
            open: self.open_points(),
            problems: Vec::new(),
            newer: Vec::new(),
            voided: self.state.voided.clone(),
            waiting: self.state.waiting.clone(),
            digest: digest.to_string(),
            distance: self
                .state
                .answer(Field::DISTANCE, 1, None, None)
                .and_then(|answer| match answer.value {
                    Value::Distance(km) => Distance::from_kilometres(km).ok(),
                    _ => None,
                }),
            running: self
                .state
                .answer(Field::DISTANCE, 1, None, None)
                .and_then(|answer| match answer.value {
                    Value::Running(hours) => Duration::from_hours(hours).ok(),
                    _ => None,
                }),
            through: unit.is_through(),
            packs: self.pack_accounts(round),
            closings: self.closing_accounts(round),
            springs: self.spring_accounts(),
            preload_wanted: match unit.aim {
                Aim::Preload { least, target, most } => Some([least, target, most]),
                Aim::Gap { .. } => None,
            },
            gap_wanted: match unit.aim {
                Aim::Gap { least, target, most } => Some([least, target, most]),
                Aim::Preload { .. } => None,
            },
            preload_uncertainty: self.derived.force_uncertainty(round),
            preload_found_uncertainty: self.derived.found_force_uncertainty(),
            preload_doubts: self.derived.force_doubts(round).unwrap_or_default(),
            preload_found_doubts: self.derived.found_force_doubts().unwrap_or_default(),
            plates: self.plate_accounts(round),
            breakaway: self.breakaway_account(round),
            instruments: self.instrument_accounts(),
            oil: text(Field::OIL),
            oil_amount: self
                .state
                .answer(Field::OIL_AMOUNT, 1, None, None)
                .and_then(|answer| match answer.value {
                    Value::Volume(litres) => Volume::from_litres(litres).ok(),
                    _ => None,
                }),
            oil_found: text(Field::FOUND_OIL),
            answers: self.own_answers(),
            next_look: text(Field::NEXT_LOOK),
        }
    }

    /// What was answered in words at steps that fill nothing in, in the order of the steps.
    fn own_answers(&self) -> Vec<OwnAnswer> {
        let own = |(_, step): &(&Stage, &Step)| step.fills.is_none() && step.answer == Plain::Text;
        let mut answers = Vec::new();
        for (_, step) in self.job.procedure.steps().filter(own) {
            let here = self.state.answers.iter().filter(|(slot, _)| slot.step == step.id);
            answers.extend(here.map(|(slot, answer)| OwnAnswer {
                question: slot.to_string(),
                asked: step.words.join(" "),
                answer: answer.text.clone(),
                by: answer.by.clone(),
                at: answer.at.clone(),
            }));
        }
        answers
    }

    /// What the unit was left with: what was chosen, or by an old record that is typed in what its file lists.
    fn left_sides(&self, round: u32) -> Option<[ChosenSide; 2]> {
        if let Some(chosen) = self.state.chosen(round) {
            return Some(chosen.sides.clone());
        }
        self.state.is_rebuilt().then(|| self.derived.found())
    }

    fn pack_accounts(&self, round: u32) -> Vec<PackAccount> {
        let derived = self.derived;
        let found = derived.found();
        let chosen = self.left_sides(round);
        let chosen = chosen.as_ref();
        let forces = |closings: Option<[Length; 2]>| {
            // a unit that is set to a gap has no preload to speak of, not one of 0 N
            self.job.unit.spring.as_ref()?;
            derived.forces(closings?).ok()
        };
        let (force_found, force_left) = (forces(derived.found_pressed()), forces(derived.closings(round)));
        Side::BOTH
            .into_iter()
            .map(|side| {
                let (was, is) = (&found[side.index()], chosen.map(|sides| &sides[side.index()]));
                let lengths = |shims: &[i64]| shims.iter().map(|nm| Length::from_nm(*nm)).collect();
                PackAccount {
                    side,
                    plates_found: was.plates.clone(),
                    plates_left: is.map(|pack| pack.plates.clone()),
                    shims_found: lengths(&was.shims_nanometres),
                    shims_left: is.map(|pack| lengths(&pack.shims_nanometres)),
                    faces_found: derived.faces(was),
                    faces_left: is.map(|pack| derived.faces(pack)),
                    preload_found: force_found.map(|forces| forces[side.index()]),
                    preload_left: force_left.map(|forces| forces[side.index()]),
                }
            })
            .collect()
    }

    fn closing_accounts(&self, round: u32) -> Vec<GapAccount> {
        let derived = self.derived;
        let found = derived.found();
        derived
            .chains()
            .into_iter()
            .map(|chain| {
                let best = derived.best_closing(round, chain);
                let verdict = best
                    .as_ref()
                    .zip(derived.window(chain).ok())
                    .and_then(|(best, window)| {
                        let confidence = self.job.unit.limits.confidence;
                        let (least, most) = (Some(window.least), Some(window.most));
                        judge_length(best.value, best.budget.combined(), least, most, confidence).ok()
                    });
                GapAccount {
                    chain,
                    sprung: self.job.unit.spring.is_some(),
                    found: derived.closing(&found, chain).as_ref().and_then(doubted),
                    left: best.as_ref().and_then(doubted),
                    measured: derived.dry(round, chain).is_some(),
                    verdict: verdict.map(|(_, verdict)| verdict),
                }
            })
            .collect()
    }

    fn spring_accounts(&self) -> Vec<SpringAccount> {
        let derived = self.derived;
        let least = self.job.unit.least_spring_height();
        derived
            .springs()
            .into_iter()
            .map(|item| {
                let side = item.map(Side::word);
                let readings = derived.spring_heights(side);
                SpringAccount {
                    place: item,
                    looks: derived
                        .spring_looks(side)
                        .into_iter()
                        .map(str::to_string)
                        .collect(),
                    another: derived.spring_is_new(side),
                    height: derived
                        .by_depth_gauge(&readings)
                        .and_then(|(height, _)| doubted(&height)),
                    least,
                }
            })
            .collect()
    }

    fn plate_accounts(&self, round: u32) -> Vec<PlateAccount> {
        let derived = self.derived;
        let unit = &self.job.unit;
        let found = derived.found();
        let chosen = self.left_sides(round);
        let chosen = chosen.as_ref();
        let place = |sides: &[ChosenSide; 2], name: &str| {
            Side::BOTH.into_iter().find_map(|side| {
                let at = sides[side.index()]
                    .plates
                    .iter()
                    .position(|known| known == name)?;
                Some((side, at as u32 + 1))
            })
        };
        let of = |plate: &crate::workshop::Plate, spare: bool| {
            let known = derived.plate(&plate.name, true);
            let (side_found, place_found) = (!spare).then(|| place(&found, &plate.name)).flatten().unzip();
            let (side_left, place_left) = chosen.and_then(|sides| place(sides, &plate.name)).unzip();
            PlateAccount {
                name: plate.name.clone(),
                part: plate.part_in(&unit.id),
                keyed: plate.keyed,
                spare,
                nominal: Some(plate.nominal),
                side_found,
                place_found,
                side_left,
                place_left,
                mean: known.measured.as_ref().and_then(doubted),
                least: known.figures.map(|figures| figures.least),
                spread: known.spread(),
                flatness: known.flatness,
                limit: Some(match plate.keyed {
                    Keying::Gear => unit.limits.gear_least,
                    Keying::Case => unit.limits.case_least,
                }),
                look: known.look.unwrap_or_default(),
                verdict: known.verdict,
                rejected: known.rejected,
                why: known.reason,
            }
        };
        let plates = unit.plates.iter().map(|plate| of(plate, false));
        plates
            .chain(self.job.drawer.spares.iter().map(|plate| of(plate, true)))
            .collect()
    }

    fn breakaway_account(&self, round: u32) -> BreakawayAccount {
        let derived = self.derived;
        let unit = &self.job.unit;
        let proof = derived.proof(round).filter(|proof| !proof.readings.is_empty());
        let read = |field| self.state.torque(field, 1, None, None);
        let (found, noted) = (derived.found_as_proved(), read(Field::LEFT_BREAKAWAY));
        let doubt = |read: Option<Torque>| {
            read.zip(derived.wrench()).and_then(|(read, (relative, _))| {
                Torque::from_newton_metres(read.newton_metres().abs() * relative / 2.0).ok()
            })
        };
        let (wrench, _) = self.state.last_word(Field::WRENCH).unwrap_or_default();
        let source = |name: &str, nm: f64| Doubt {
            source: name.to_string(),
            calibration_of: if name == WRENCH {
                wrench.to_string()
            } else {
                String::new()
            },
            standard: nm,
        };
        let by_wrench = |u: Torque| source(WRENCH, u.newton_metres());
        let expected = |sides: Option<&[ChosenSide; 2]>, closings: Option<[Length; 2]>| {
            // without springs nothing is pressed together, and nothing is to be expected
            unit.spring.as_ref()?;
            // the years compare what was read with one friction, that of the file
            derived.expected_of(&derived.bench_by_file(sides?, closings?)?)
        };
        BreakawayAccount {
            held: Some(unit.proof.held),
            proved: proof.as_ref().map(|proof| proof.held),
            found,
            found_uncertainty: doubt(found),
            found_doubts: doubt(found).map_or_else(Vec::new, |u| vec![by_wrench(u)]),
            left_still: proof.as_ref().and_then(|proof| proof.still),
            left: proof.as_ref().and_then(|proof| proof.by_file).or(noted),
            left_uncertainty: proof
                .as_ref()
                .and_then(|proof| proof.uncertainty)
                .or(doubt(noted)),
            left_doubts: match &proof {
                Some(proof) if proof.uncertainty.is_some() => {
                    let doubts = proof.doubts.iter();
                    doubts.map(|(name, nm)| source(name, *nm)).collect()
                }
                _ => doubt(noted).map_or_else(Vec::new, |u| vec![by_wrench(u)]),
            },
            expected: expected(
                self.state.chosen(round).map(|chosen| &chosen.sides),
                derived.closings(round),
            ),
            // a steady reading with the ring hanging on its ramp tells no friction
            expected_found: expected(Some(&derived.found()), derived.found_pressed())
                .filter(|_| !derived.by_first_movement(unit.proof.held)),
            least: Some(unit.proof.least),
            most: Some(unit.proof.most),
            verdict: proof.as_ref().and_then(|proof| proof.verdict),
            friction: unit
                .spring
                .as_ref()
                .and_then(|_| self.derived.shown_friction(round)),
            friction_file: Some(unit.friction.turning),
        }
    }

    /// The friction that the plates showed as received, turning; `None` where it can not be told, and in a record of an edition that
    /// did not tell it.
    pub(super) fn friction_found(&self, round: u32) -> Option<f64> {
        // with other ramps or faces since, what was read as received was of another unit
        let tells = self.state.counts_doubts() && self.job.rework.is_none();
        tells
            .then(|| self.breakaway_account(round).friction_found())
            .flatten()
    }

    fn instrument_accounts(&self) -> Vec<InstrumentAccount> {
        let derived = self.derived;
        [
            (
                Field::MICROMETER,
                InstrumentRole::Micrometer,
                derived.micrometer(),
            ),
            (
                Field::DEPTH_GAUGE,
                InstrumentRole::DepthGauge,
                derived.depth_gauge(),
            ),
            (Field::WRENCH, InstrumentRole::TorqueWrench, None),
            (Field::PRESS, InstrumentRole::Press, None),
        ]
        .into_iter()
        .filter_map(|(field, role, gauge)| {
            let (id, overdue) = self.state.last_word(field)?;
            let known = self.job.instruments.iter().find(|one| one.id == id);
            Some(InstrumentAccount {
                role,
                id: id.to_string(),
                due: known.map_or(String::new(), |one| one.due.clone()),
                overdue: overdue.to_string(),
                zero: known
                    .and_then(|one| gauge_of(&one.measures))
                    .and(gauge)
                    .and_then(|(gauge, _)| {
                        // the zero is one reading; what the certificate doubts is in the readings themselves
                        let own = own_part(&reading_uncertainty(&gauge, 1).ok()?.components);
                        Length::from_mm(own / 1e3).ok()
                    }),
            })
        })
        .collect()
    }
}

/// What of an uncertainty no other reading shares, in micrometres.
fn own_part(components: &[crate::metrology::Component]) -> f64 {
    let own = components.iter().filter(|component| component.shared.is_none());
    own.map(|component| component.standard * component.standard)
        .sum::<f64>()
        .sqrt()
}

/// A length as the years look at it: the zeros stand with their instruments, since each build has its own.
fn doubted(measured: &Measured) -> Option<UncertainLength> {
    let budget = measured.budget.without_zeros();
    let square = |um: f64| um * um;
    let zeros = square(measured.budget.combined().um()) - square(budget.combined().um());
    Some(UncertainLength {
        zeros: Length::from_mm(zeros.max(0.0).sqrt() / 1e3).ok()?,
        value: measured.value,
        uncertainty: budget.expanded(1.0).ok()?,
        shared: budget
            .components
            .iter()
            .filter_map(|component| {
                let instrument = component.shared.clone()?;
                Some((instrument, Length::from_mm(component.standard / 1e3).ok()?))
            })
            .collect(),
    })
}
