//! A unit that nobody has opened, as far as it is known from outside; and what is settled of a unit, opened or closed.

use super::offer::read_offer;
use super::unit::{Aim, Friction, Proof, Ramp, Unit};
use super::unit_file::{FORMAT, HELD, ID, PLACE, read_friction, read_ramp};
use crate::document::{Document, Faults, Section};
use crate::mechanics::ramp::release_gain;
use crate::mechanics::tune::{Near, Options};
use crate::mechanics::{Bench, Held, Holding, LockSetup, MechanicsError, Sense, SpringPlace, Turned};
use crate::quantity::{Force, Torque};

/// A unit that is settled before anybody opens it: a dozen figures, and nothing of plates, case and bolts.
#[derive(Clone, PartialEq, Debug)]
pub struct ClosedUnit {
    /// A short name for the records.
    pub id: String,
    /// The name for people.
    pub name: String,
    /// The ramps.
    pub ramp: Ramp,
    /// The rubbing faces.
    pub friction: Friction,
    /// How many rub, left and right.
    pub faces: [u32; 2],
    /// Force on each pack; nothing where it has no springs.
    pub preload: Force,
    /// Where the springs sit.
    pub place: SpringPlace,
    /// What else it can be built with.
    pub offer: Options,
    /// The figures that nobody knew: estimates.
    pub guessed: Vec<UnitFigure>,
}

/// A figure of a closed unit that may be an estimate.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum UnitFigure {
    /// The ramp on drive.
    Drive,
    /// The ramp on coast.
    Coast,
    /// Friction between pin and ramp.
    RampFriction,
    /// Radius at which the pins push.
    PinRadius,
    /// Friction of the faces.
    Friction,
    /// Outer diameter of the faces.
    Outside,
    /// Inner diameter of the faces.
    Inside,
    /// How many faces rub.
    Faces,
    /// Force of the springs.
    Preload,
    /// Where the springs sit.
    Place,
}

impl UnitFigure {
    /// Every figure with the word for it in `guessed`, which is the key that it stands at.
    pub const ALL: [(UnitFigure, &'static str); 10] = [
        (UnitFigure::Drive, "ramp.drive"),
        (UnitFigure::Coast, "ramp.coast"),
        (UnitFigure::RampFriction, "ramp.friction"),
        (UnitFigure::PinRadius, "ramp.pin_radius"),
        (UnitFigure::Friction, "friction.turning"),
        (UnitFigure::Outside, "friction.outside"),
        (UnitFigure::Inside, "friction.inside"),
        (UnitFigure::Faces, "faces.left"),
        (UnitFigure::Preload, "preload.force"),
        (UnitFigure::Place, "preload.place"),
    ];

    /// The key that it stands at.
    pub fn key(self) -> &'static str {
        let found = UnitFigure::ALL.iter().find(|(figure, _)| *figure == self);
        found.map_or("", |(_, key)| key)
    }

    /// What it is called where it is told.
    pub fn words(self) -> &'static str {
        match self {
            UnitFigure::Drive => "ramp on drive",
            UnitFigure::Coast => "ramp on coast",
            UnitFigure::RampFriction => "friction of the ramps",
            UnitFigure::PinRadius => "radius of the pins",
            UnitFigure::Friction => "friction of the faces",
            UnitFigure::Outside => "outer diameter of the faces",
            UnitFigure::Inside => "inner diameter of the faces",
            UnitFigure::Faces => "count of the faces",
            UnitFigure::Preload => "preload",
            UnitFigure::Place => "place of the springs",
        }
    }
}

impl ClosedUnit {
    /// Reads it from the top of its document; `closed` has been asked for.
    fn read_top(top: &Section<'_>) -> Option<ClosedUnit> {
        top.format(FORMAT);
        let id = top.spelt("id", &ID);
        let name = top.text("name");
        let guessed = top.words("guessed", &UnitFigure::ALL);
        let ramp = top.section("ramp").and_then(|section| {
            let ramp = read_ramp(&section)?;
            for (key, angle) in [("drive", ramp.drive), ("coast", ramp.coast)] {
                if let Err(error) = release_gain(angle, ramp.friction) {
                    section.fault_at(key, error.to_string());
                }
            }
            Some(ramp)
        });
        let friction = top
            .section("friction")
            .and_then(|section| read_friction(&section, true));
        let faces = top.section("faces").and_then(|section| {
            let side = |key| section.count(key, 0..401);
            let (left, right) = (side("left"), side("right"));
            section.finish();
            Some([left?, right?])
        });
        let preload_section = top.section_maybe("preload");
        let sprung = preload_section.is_some();
        let given = preload_section.map(|section| (read_preload(&section), section));
        let offer = match top.section_maybe("offer") {
            Some(section) => read_offer(&section, sprung, None),
            None => Some(Options::default()),
        };
        top.finish();
        let none = Force::from_newtons(0.0).ok()?;
        let mut unit = ClosedUnit {
            id: id?,
            name: name?,
            ramp: ramp?,
            friction: friction?,
            faces: faces?,
            preload: none,
            place: SpringPlace::BehindPack,
            offer: offer?,
            guessed,
        };
        if let Some((given, section)) = given {
            let (place, preload) = given?;
            unit.place = place;
            unit.preload = match preload {
                Preload::Force(force) => force,
                Preload::Breakaway(held, torque) => match unit.force_of(held, torque) {
                    Ok(force) => force,
                    Err(error) => {
                        section.fault_at("breakaway", error.to_string());
                        return None;
                    }
                },
            };
        }
        Some(unit)
    }

    /// The locking as it stands, plates turning.
    fn setup(&self) -> LockSetup {
        LockSetup {
            faces: self.faces,
            friction: self.friction.turning,
            friction_radius: self.friction.radius,
            pin_radius: self.ramp.pin_radius,
            drive: self.ramp.drive,
            coast: self.ramp.coast,
            ramp_friction: self.ramp.friction,
            preload: [self.preload; 2],
            spring_place: self.place,
            gear_thrust: self.ramp.gear,
            tab_friction: self.ramp.tabs,
        }
    }

    fn bench(&self, setup: LockSetup, held: Held) -> Bench {
        Bench {
            setup: LockSetup {
                friction: self.friction.still,
                ..setup
            },
            turning: self.friction.turning,
            holding: Holding {
                held,
                turned: Turned::Right,
                sense: Sense::Forwards,
            },
        }
    }

    /// The force on each pack that a breakaway while turning comes from: it rises with that force in one line.
    fn force_of(&self, held: Held, torque: Torque) -> Result<Force, MechanicsError> {
        let one = Force::from_newtons(1000.0)?;
        let setup = LockSetup {
            preload: [one; 2],
            ..self.setup()
        };
        let none = Torque::from_newton_metres(0.0)?;
        let reading = self.bench(setup, held).turning(none)?.reading;
        Ok(Force::from_newtons(
            one.newtons() * torque.newton_metres() / reading.newton_metres(),
        )?)
    }
}

/// How the preload of a closed unit is known.
enum Preload {
    Force(Force),
    Breakaway(Held, Torque),
}

fn read_preload(section: &Section<'_>) -> Option<(SpringPlace, Preload)> {
    let place = section.word("place", PLACE);
    let force = section.quantity_maybe_where::<Force>("force", "more than 0 N and at most 100000 N");
    let breakaway =
        section.quantity_maybe_where::<Torque>("breakaway", "more than 0 N·m and at most 5000 N·m");
    let held = match section.has("breakaway") {
        true => section.word("held", HELD),
        false => {
            section.not_here(
                "held",
                "sense",
                "how it is held belongs to a breakaway that was read",
            );
            None
        }
    };
    section.finish();
    let wanted = "either \"force\" or \"breakaway\" with \"held\" is wanted in [preload]";
    if !section.one_of(&["force", "breakaway"], wanted) {
        return None;
    }
    let preload = match (force, breakaway) {
        (Some(force), _) => Preload::Force(force),
        (None, Some(torque)) => Preload::Breakaway(held?, torque),
        (None, None) => return None,
    };
    Some((place?, preload))
}

/// What a unit's file describes: a unit with all its parts, or a closed one.
#[derive(Clone, PartialEq, Debug)]
pub enum UnitFile {
    /// One that can be worked on.
    Opened(Box<Unit>),
    /// One of which a dozen figures are known.
    Closed(Box<ClosedUnit>),
}

/// By how much the windows of a closed unit reach to either side of what is aimed at: *common practice, no source*.
const WINDOW: f64 = 0.15;

impl UnitFile {
    /// Reads a unit from TOML text, opened or closed; gives every fault at once.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read(file: &str, source: &str) -> Result<UnitFile, Faults> {
        Document::read(file, source, UnitFile::read_top)
    }

    /// Reads it from the top of its document.
    pub(super) fn read_top(top: &Section<'_>) -> Option<UnitFile> {
        match top.is_marked("closed") {
            true => ClosedUnit::read_top(top).map(|unit| UnitFile::Closed(Box::new(unit))),
            false => Unit::read_top(top, true).map(|unit| UnitFile::Opened(Box::new(unit))),
        }
    }

    /// The unit with all its parts; `None` where it is closed.
    pub fn opened(&self) -> Option<&Unit> {
        match self {
            UnitFile::Opened(unit) => Some(unit),
            UnitFile::Closed(_) => None,
        }
    }

    /// Its id.
    pub fn id(&self) -> &str {
        match self {
            UnitFile::Opened(unit) => &unit.id,
            UnitFile::Closed(unit) => &unit.id,
        }
    }

    /// Its name for people.
    pub fn name(&self) -> &str {
        match self {
            UnitFile::Opened(unit) => &unit.name,
            UnitFile::Closed(unit) => &unit.name,
        }
    }

    /// The friction of its faces.
    pub fn friction(&self) -> &Friction {
        match self {
            UnitFile::Opened(unit) => &unit.friction,
            UnitFile::Closed(unit) => &unit.friction,
        }
    }

    /// The figures of it that are estimates.
    pub fn guessed(&self) -> &[UnitFigure] {
        match self {
            UnitFile::Opened(_) => &[],
            UnitFile::Closed(unit) => &unit.guessed,
        }
    }

    /// What else it can be built with.
    pub fn offer(&self) -> &Options {
        match self {
            UnitFile::Opened(unit) => &unit.offer,
            UnitFile::Closed(unit) => &unit.offer,
        }
    }

    /// The locking as the unit is meant to be, plates turning.
    ///
    /// # Errors
    ///
    /// Those of the formulas.
    pub fn lock_setup(&self) -> Result<LockSetup, MechanicsError> {
        match self {
            UnitFile::Opened(unit) => unit.lock_setup(),
            UnitFile::Closed(unit) => Ok(unit.setup()),
        }
    }

    /// What it can be stepped to: of a closed one the faces and ramps that are offered, and no wear.
    pub fn near(&self) -> Near {
        match self {
            UnitFile::Opened(unit) => unit.near(),
            UnitFile::Closed(unit) => Near {
                faces: unit.offer.faces.clone(),
                drive: unit.offer.ramps.iter().map(|[drive, _]| *drive).collect(),
                coast: unit.offer.ramps.iter().map(|[_, coast]| *coast).collect(),
                worn: None,
            },
        }
    }

    /// The unit at the bench with these faces, ramps and preload, held as its file says; a closed one with one output held.
    pub fn bench(&self, setup: &LockSetup) -> Bench {
        match self {
            UnitFile::Opened(unit) => {
                let mut bench = unit.bench(setup.preload, setup.faces);
                bench.setup.drive = setup.drive;
                bench.setup.coast = setup.coast;
                bench
            }
            UnitFile::Closed(unit) => unit.bench(setup.clone(), Held::Output),
        }
    }

    /// By how much its preload may be off, less and more, as shares: of an opened unit its springs' tolerance, of a closed one
    /// 15 %, and 30 % where it is a guess (*common practice, no source*); `None` without springs.
    pub fn preload_doubt(&self) -> Option<[f64; 2]> {
        match self {
            UnitFile::Opened(unit) => {
                let tolerance = &unit.spring.as_ref()?.tolerance;
                Some([tolerance.least.value(), tolerance.most.value()])
            }
            UnitFile::Closed(unit) => {
                let guess = unit.guessed.contains(&UnitFigure::Preload);
                let off = if guess { 2.0 * WINDOW } else { WINDOW };
                (unit.preload.newtons() > 0.0).then_some([-off, off])
            }
        }
    }

    /// What its file aims at. A closed unit has its preload, ± 15 % (*common practice, no source*), where it has springs.
    ///
    /// # Errors
    ///
    /// Those of the formulas.
    pub fn aim(&self) -> Result<Option<[Force; 3]>, MechanicsError> {
        let times = |force: Force, factor: f64| Force::from_newtons(force.newtons() * factor);
        Ok(match self {
            UnitFile::Opened(unit) => match unit.aim {
                Aim::Gap { .. } => None,
                Aim::Preload { least, target, most } => Some([least, target, most]),
            },
            UnitFile::Closed(unit) if unit.preload.newtons() > 0.0 => Some([
                times(unit.preload, 1.0 - WINDOW)?,
                unit.preload,
                times(unit.preload, 1.0 + WINDOW)?,
            ]),
            UnitFile::Closed(_) => None,
        })
    }

    /// The window of its proof. A closed unit has what it is expected to read with one output held, ± 15 %.
    ///
    /// # Errors
    ///
    /// Those of the formulas.
    pub fn proof(&self) -> Result<Proof, MechanicsError> {
        match self {
            UnitFile::Opened(unit) => Ok(unit.proof),
            UnitFile::Closed(unit) => {
                let none = Torque::from_newton_metres(0.0)?;
                let reading = unit.bench(unit.setup(), Held::Output).turning(none)?.reading;
                let times = |factor: f64| Torque::from_newton_metres(reading.newton_metres() * factor);
                Ok(Proof {
                    held: Held::Output,
                    least: times(1.0 - WINDOW)?,
                    most: times(1.0 + WINDOW)?,
                })
            }
        }
    }
}
