//! What one step of each thing changes of what drivers say: steps down, figures across, and two steps together.

use super::course::Course;
use super::rated::{MomentResult, Rated};
use super::said::{Complaint, Measure};
use crate::mechanics::tune::{Change, Near, steps};
use crate::mechanics::{LockModel, LockSetup, MechanicsError};
use crate::workshop::car_layout::Place;
use crate::workshop::moment::Throttle;
use std::cmp::Ordering;

/// Up to this throttle it is little: common practice, no source.
const LITTLE: f64 = 1.0 / 3.0;
/// How many pairs of steps are told.
const MOST_PAIRS: usize = 3;
/// What nobody feels: in N·m about the upright axis or at the shafts, and as a share (common practice, no source).
const SMALL_TORQUE: f64 = 5.0;
const SMALL_SHARE: f64 = 0.01;
/// Stands for never, past every throttle.
const NEVER: f64 = 1.1;

/// What is said, with the figure that stands for it as things are.
#[derive(Clone, PartialEq, Debug)]
pub struct Wish {
    /// What is said.
    pub complaint: Complaint,
    /// Its figure, where one stands for it and a moment of the use shows it.
    pub now: Option<f64>,
}

impl Wish {
    /// Whether a figure shows it that is not at its end already: nothing puts down more than all.
    pub fn can_move(&self) -> bool {
        let (Some(measure), Some(now)) = (self.complaint.measure, self.now) else {
            return false;
        };
        let left = match (measure, self.complaint.rises) {
            (Measure::PutsDown, true) => 1.0 - now,
            (Measure::OneFrom, true) => NEVER - now,
            (_, true) => f64::INFINITY,
            (_, false) => now,
        };
        left >= measure.small()
    }
}

/// One step, or two together, with the figures that they make.
#[derive(Clone, PartialEq, Debug)]
pub struct StepRow {
    /// The steps.
    pub changes: Vec<Change>,
    /// A figure for each measure of the table; `None` where no moment shows it.
    pub values: Vec<Option<f64>>,
    /// By how much each wish moves its way, as a share of what it was: below 0 the other way, 0 where nobody feels it.
    pub moved: Vec<f64>,
}

impl StepRow {
    /// How many of the wishes it moves their way, and how many the other way.
    pub fn helps(&self) -> [usize; 2] {
        let count = |pick: fn(&f64) -> bool| self.moved.iter().filter(|one| pick(one)).count();
        [count(|one| *one > 0.0), count(|one| *one < 0.0)]
    }

    /// What comes first: what harms nothing that was said, then what helps most of it, then what moves the least of it the most,
    /// since one that moves a lot does not make up for one that does not move.
    fn by(&self, other: &StepRow) -> Ordering {
        let least = |row: &StepRow| row.moved.iter().copied().fold(f64::INFINITY, f64::min);
        let sum = |row: &StepRow| row.moved.iter().sum::<f64>();
        let ([helps, harms], [others_help, others_harm]) = (self.helps(), other.helps());
        harms
            .cmp(&others_harm)
            .then(others_help.cmp(&helps))
            .then(least(other).total_cmp(&least(self)))
            .then(sum(other).total_cmp(&sum(self)))
    }
}

/// What steps change, from a setting.
#[derive(Clone, PartialEq, Debug)]
pub struct StepTable {
    /// The setting that they start from.
    pub from: LockSetup,
    /// The measures across, with what they are as things are.
    pub measures: Vec<(Measure, Option<f64>)>,
    /// One step a row: those that help most first, where anything was said.
    pub steps: Vec<StepRow>,
    /// The best pairs that help more than any one step; none where nothing was said.
    pub pairs: Vec<StepRow>,
    /// What was said.
    pub wishes: Vec<Wish>,
    /// Wishes that want one figure to go both ways.
    pub opposed: Vec<[Complaint; 2]>,
}

/// The measures of a unit in a place, in the order of a bend.
fn measures_of(place: Place) -> Vec<Measure> {
    let own = match place {
        Place::Front => Measure::Tug,
        Place::Centre | Place::Rear => Measure::TurnsIn,
    };
    vec![
        Measure::ShutAgainst,
        Measure::LightAgainst,
        Measure::PowerAgainst,
        own,
        Measure::PutsDown,
        Measure::OneFrom,
        Measure::Held,
        Measure::Heat,
    ]
}

impl Measure {
    /// What nobody feels of it.
    pub(super) fn small(self) -> f64 {
        match self {
            Measure::PutsDown | Measure::OneFrom => SMALL_SHARE,
            Measure::Held | Measure::Heat => 1.0,
            _ => SMALL_TORQUE,
        }
    }
}

impl Course {
    /// The figure of a measure for what a setting does here; `None` where no moment shows it.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn measured(&self, rated: &Rated, measure: Measure) -> Result<Option<f64>, MechanicsError> {
        let results = || self.stages.iter().zip(&rated.results);
        let shut = |throttle: &Throttle| matches!(throttle, Throttle::Shut);
        // yaw above 0 turns the car in
        let yaw = |least: f64, most: f64, sign: f64| {
            let states = results()
                .filter(|(stage, _)| !shut(&stage.moment.throttle))
                .flat_map(|(_, result)| &result.states);
            let here = states.filter(|(throttle, _)| (least..=most).contains(&throttle.value()));
            here.map(|(_, found)| (sign * found.yaw.newton_metres()).max(0.0))
                .reduce(f64::max)
        };
        let opened = |result: &&MomentResult| result.puts_down.is_some();
        Ok(match measure {
            Measure::ShutAgainst => results()
                .filter(|(stage, _)| shut(&stage.moment.throttle))
                .map(|(_, result)| result.against.newton_metres())
                .reduce(f64::max),
            Measure::LightAgainst => yaw(0.0, LITTLE, -1.0),
            Measure::PowerAgainst => yaw(LITTLE, 1.0, -1.0),
            Measure::TurnsIn => yaw(0.0, 1.0, 1.0),
            Measure::PutsDown => {
                let shares = rated.results.iter().filter_map(|result| result.puts_down);
                shares.map(|share| share.value()).reduce(f64::min)
            }
            Measure::OneFrom => {
                let froms = rated.results.iter().filter(opened);
                froms
                    .map(|result| result.one_from.map_or(NEVER, |from| from.value()))
                    .reduce(f64::min)
            }
            Measure::Tug => {
                let states = results()
                    .filter(|(stage, _)| !shut(&stage.moment.throttle))
                    .flat_map(|(_, result)| &result.states);
                states
                    .map(|(_, found)| found.axles[0].held.newton_metres())
                    .reduce(f64::max)
            }
            Measure::Held => Some(
                LockModel::new(rated.setup.clone())?
                    .preload_torque()
                    .newton_metres(),
            ),
            Measure::Heat => {
                let faces: u32 = rated.setup.faces.iter().sum();
                let states = rated.results.iter().flat_map(|result| &result.states);
                let heats = states.filter_map(|(_, found)| self.heat(found));
                heats.reduce(f64::max).map(|heat| heat / f64::from(faces.max(1)))
            }
        })
    }
}

/// Whether two steps change different things.
fn differ(one: &Change, other: &Change) -> bool {
    std::mem::discriminant(one) != std::mem::discriminant(other)
        // springs are set once
        && !matches!((one, other), (Change::Preload(_), Change::Worn(_)) | (Change::Worn(_), Change::Preload(_)))
}

/// A setting after a step.
fn after(setup: &LockSetup, change: &Change) -> LockSetup {
    let mut setup = setup.clone();
    match *change {
        Change::Faces(faces) => setup.faces = [faces; 2],
        Change::Drive(ramp) => setup.drive = ramp,
        Change::Coast(ramp) => setup.coast = ramp,
        Change::Preload(force) | Change::Worn(force) => setup.preload = [force; 2],
        Change::Friction(friction) => setup.friction = friction,
    }
    setup
}

impl StepTable {
    /// What steps change from a setting on a course; what was said puts those that help first, and adds pairs.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn new(
        course: &Course,
        from: &LockSetup,
        near: &Near,
        said: &[Complaint],
    ) -> Result<StepTable, MechanicsError> {
        let all = measures_of(course.place);
        let values = |setup: &LockSetup| -> Result<Vec<Option<f64>>, MechanicsError> {
            let rated = course.rated(setup)?;
            all.iter()
                .map(|measure| course.measured(&rated, *measure))
                .collect()
        };
        let now = values(from)?;
        let of = |values: &[Option<f64>], measure: Measure| {
            let at = all.iter().position(|one| *one == measure)?;
            *values.get(at)?
        };
        let wishes: Vec<Wish> = said
            .iter()
            .map(|complaint| Wish {
                complaint: *complaint,
                now: complaint.measure.and_then(|measure| of(&now, measure)),
            })
            .collect();
        // by how much a wish moves its way, as a share of what it was; below 0 the other way, 0 where nobody feels it
        let moved = |wish: &Wish, values: &[Option<f64>]| -> f64 {
            let (Some(now), Some(measure)) = (wish.now, wish.complaint.measure) else {
                return 0.0;
            };
            let Some(then) = of(values, measure) else {
                return 0.0;
            };
            let way = if wish.complaint.rises {
                then - now
            } else {
                now - then
            };
            match way.abs() < measure.small() {
                true => 0.0,
                false => way / now.abs().max(measure.small()),
            }
        };
        let row = |changes: Vec<Change>, setup: &LockSetup| -> Result<StepRow, MechanicsError> {
            let values = values(setup)?;
            let moved = wishes.iter().map(|wish| moved(wish, &values)).collect();
            Ok(StepRow {
                changes,
                values,
                moved,
            })
        };
        let stepped = steps(from, near)?;
        let mut singles = Vec::new();
        for (change, setup) in &stepped {
            singles.push(row(vec![*change], setup)?);
        }
        let mut pairs = Vec::new();
        if !wishes.is_empty() {
            // wear is what happens, not what is done
            let done: Vec<&Change> = stepped
                .iter()
                .map(|(change, _)| change)
                .filter(|change| !matches!(change, Change::Worn(_)))
                .collect();
            for (n, one) in done.iter().enumerate() {
                for other in done.iter().skip(n + 1).filter(|other| differ(one, other)) {
                    pairs.push(row(vec![**one, **other], &after(&after(from, one), other))?);
                }
            }
        }
        if !wishes.is_empty() {
            singles.sort_by(StepRow::by);
            pairs.sort_by(StepRow::by);
            let best = singles
                .iter()
                .find(|row| !matches!(row.changes[..], [Change::Worn(_)]));
            pairs.retain(|pair| {
                pair.helps()[0] > 0 && best.is_none_or(|best| pair.by(best) == Ordering::Less)
            });
            pairs.truncate(MOST_PAIRS);
        }
        let mut opposed = Vec::new();
        for (n, one) in said.iter().enumerate() {
            for other in said.iter().skip(n + 1) {
                if one.measure.is_some() && one.measure == other.measure && one.rises != other.rises {
                    opposed.push([*one, *other]);
                }
            }
        }
        Ok(StepTable {
            from: from.clone(),
            measures: all.iter().copied().zip(now).collect(),
            steps: singles,
            pairs,
            wishes,
            opposed,
        })
    }

    /// Whether some step, or two together, move all that was said its way.
    pub fn helps_all(&self) -> bool {
        let wanted = self.wishes.iter().filter(|wish| wish.can_move()).count();
        let mut rows = self.steps.iter().chain(&self.pairs);
        rows.any(|row| row.helps() == [wanted, 0])
    }
}
