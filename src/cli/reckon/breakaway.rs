//! `reckon breakaway`: what a wrench reads at the bench.

use super::answer::Answer;
use super::lock::Place;
use super::pack::FRICTION_LIMITS;
use super::read::{count, optional, quantity};
use crate::cli::failure::Failure;
use crate::mechanics::{Bench, Held, Holding, LockSetup, MechanicsError, Sense, SpringPlace, Turned};
use crate::quantity::{Force, Length, RampAngle, Ratio, Torque, Written, significant};
use crate::report::Figures;
use clap::{ArgGroup, Args, ValueEnum};

#[derive(Args)]
#[command(group(ArgGroup::new("known").required(true).args(["friction", "reading"])))]
pub(super) struct Breakaway {
    /// Faces that rub in the left pack
    #[arg(long, allow_hyphen_values = true, value_name = "N")]
    faces_left: String,
    /// Faces that rub in the right pack
    #[arg(long, allow_hyphen_values = true, value_name = "N")]
    faces_right: String,
    /// Friction of the plates, for the reading
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    friction: Option<String>,
    /// What the wrench read at first movement, for the friction; with one output held, or springs behind the pack, turning too
    #[arg(long, allow_hyphen_values = true, value_name = "TORQUE")]
    reading: Option<String>,
    /// Radius at which the plates' friction acts; `reckon pack` gives it
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    radius: String,
    /// Preload on the left pack
    #[arg(long, allow_hyphen_values = true, value_name = "FORCE")]
    force_left: String,
    /// Preload on the right pack
    #[arg(long, allow_hyphen_values = true, value_name = "FORCE")]
    force_right: String,
    /// What is held still while one output is turned
    #[arg(long, value_enum)]
    held: HeldWord,
    /// With one output held: what turns an output when nothing is held. With the case held: what each output drags of itself
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "TORQUE",
        default_value = "0 N.m"
    )]
    drag: String,
    /// The ramp that works, such as "45 deg from ring face": the coast ramp where the output is turned as when the car drives
    /// forwards, the drive ramp the other way round
    #[arg(long, allow_hyphen_values = true, value_name = "ANGLE")]
    ramp: Option<String>,
    /// Radius at which the pins meet the ramps
    #[arg(long, allow_hyphen_values = true, value_name = "LENGTH")]
    pin_radius: Option<String>,
    /// Friction between pin and ramp
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER", default_value = "0")]
    ramp_friction: String,
    /// Where the preload spring sits
    #[arg(long, value_enum, default_value = "behind")]
    spring_place: Place,
    /// The output that the wrench turns
    #[arg(long, value_enum, default_value = "right")]
    turned: TurnedWord,
}

#[derive(Clone, Copy, ValueEnum)]
enum HeldWord {
    /// The case is held, the other output is free and turns backwards: the ramps work
    Case,
    /// The other output is held, the case is free: on the car, one wheel held
    Output,
}

#[derive(Clone, Copy, ValueEnum)]
enum TurnedWord {
    /// The left output
    Left,
    /// The right output
    Right,
}

/// What was given, read.
struct Given {
    unit: Bench,
    drag: Torque,
    /// Whether the ramps are known.
    ramps: bool,
    /// The numbers of the packs as they were typed.
    packs: String,
}

impl Breakaway {
    pub fn answer(&self) -> Result<Answer, Failure> {
        let known = optional::<Ratio>("--friction", self.friction.as_ref())?;
        let read = optional::<Torque>("--reading", self.reading.as_ref())?;
        let answer = match (known, read) {
            (_, Some(read)) => shown(
                &self.given(Ratio::new(0.0).map_err(MechanicsError::from)?)?,
                &read,
            )?,
            (Some(known), None) => reads(&self.given(known.value())?)?,
            // the arguments hold one of the two; none at all reads as an empty friction
            (None, None) => reads(&self.given(quantity::<Ratio>("--friction", "")?.value())?)?,
        };
        Ok(answer.limits(FRICTION_LIMITS).mind([
            "the first movement shows static friction; slow steady turning shows kinetic friction with one output held, or \
             with springs behind the packs",
            "the other way of holding reads otherwise: with the case held the ramps work, and from a share of 1 on it wedges",
        ]))
    }

    fn given(&self, friction: Ratio) -> Result<Given, Failure> {
        let faces = [
            count("--faces-left", &self.faces_left)?,
            count("--faces-right", &self.faces_right)?,
        ];
        let radius = quantity::<Length>("--radius", &self.radius)?;
        let left = quantity::<Force>("--force-left", &self.force_left)?;
        let right = quantity::<Force>("--force-right", &self.force_right)?;
        let drag = quantity::<Torque>("--drag", &self.drag)?;
        let ramp_friction = quantity::<Ratio>("--ramp-friction", &self.ramp_friction)?;
        let ramp = optional::<RampAngle>("--ramp", self.ramp.as_ref())?;
        let pin_radius = optional::<Length>("--pin-radius", self.pin_radius.as_ref())?;
        let (n, forces) = (
            faces.map(f64::from),
            [left.value(), right.value()].map(Force::newtons),
        );
        let alike = (n[0] * forces[0] - n[1] * forces[1]).abs() < 1e-9 * (n[0] * forces[0]).abs();
        // with one output held and packs alike the pins carry only the drag
        let (held, why) = match self.held {
            HeldWord::Case => (Held::Case, Some("with the case held the ramps work")),
            HeldWord::Output => {
                let loaded = !alike || drag.value().newton_metres() > 0.0;
                let matters = matches!(self.spring_place, Place::Between) && loaded;
                let why =
                    "with springs between the rings the ramps work where the packs differ or something drags";
                (Held::Output, matters.then_some(why))
            }
        };
        if let Some(why) = why {
            let missing = match (&ramp, &pin_radius) {
                (None, _) => Some((
                    "--ramp",
                    "the angle of the ramp that works, such as \"45 deg from ring face\"",
                )),
                (_, None) => Some((
                    "--pin-radius",
                    "the radius at which the pins meet the ramps, such as 40mm",
                )),
                _ => None,
            };
            if let Some((name, what)) = missing {
                return Err(Failure::Needed { name, why, what });
            }
        }
        let angle = ramp.as_ref().map_or(RampAngle::NONE, Written::value);
        let unit = Bench {
            setup: LockSetup {
                faces,
                friction,
                friction_radius: radius.value(),
                // without a ramp it counts for nothing
                pin_radius: pin_radius.as_ref().map_or(radius.value(), Written::value),
                drive: angle,
                coast: angle,
                ramp_friction: ramp_friction.value(),
                preload: [left.value(), right.value()],
                spring_place: self.spring_place.of_the_spring(),
                gear_thrust: None,
                tab_friction: None,
            },
            turning: friction,
            holding: Holding {
                held,
                turned: match self.turned {
                    TurnedWord::Left => Turned::Left,
                    TurnedWord::Right => Turned::Right,
                },
                // the one ramp that is given stands for both
                sense: Sense::Forwards,
            },
        };
        Ok(Given {
            packs: format!(
                "n_L·F_L = {} · {left}, n_R·F_R = {} · {right}, r_f = {radius}, drag {drag}",
                faces[0], faces[1]
            ),
            unit,
            drag: drag.value(),
            ramps: ramp.is_some(),
        })
    }
}

impl Given {
    /// S of the side that decides, where the ramps are known.
    fn share(&self, friction: Option<Ratio>) -> Result<Option<f64>, MechanicsError> {
        let Some(friction) = friction.filter(|_| self.ramps) else {
            return Ok(None);
        };
        let mut unit = self.unit.clone();
        unit.setup.friction = friction;
        Ok(Some(unit.share()?.value()))
    }

    fn held_line(&self) -> String {
        let Holding { held, turned, .. } = self.unit.holding;
        format!(
            "{held}, {turned} output turned, springs {}",
            self.unit.setup.spring_place
        )
    }

    /// What the reading is made of, in symbols; t is the turned side, f the other one.
    fn symbols(&self) -> &'static str {
        match (self.unit.holding.held, self.unit.setup.spring_place) {
            (Held::Case, SpringPlace::BetweenRings) => {
                "τ = (d + c_f F0_f)/(1 − S_f); M = τ + d + c_t (F0_t + τ q); c = n·μ·r_f, q = k/r_p, S = c·q"
            }
            (Held::Case, SpringPlace::BehindPack) => {
                "τ = d + c_f max(F0_f, τ q); M = τ + d + c_t max(F0_t, τ q); c = n·μ·r_f, q = k/r_p, S = c·q < 1"
            }
            (Held::Output, SpringPlace::BetweenRings) => {
                "M = (M_L + M_R + D)/2, M_x = c_x (F0_x + τ q), 2τ = |D + M_f − M_t|; c = n·μ·r_f, q = k/r_p"
            }
            (Held::Output, SpringPlace::BehindPack) => {
                "M = (M_L + M_R + D)/2, M_x = c_x max(F0_x, τ q), 2τ = |D + M_f − M_t|; c = n·μ·r_f, q = k/r_p"
            }
        }
    }

    fn with_share(&self, answer: Answer, share: Option<f64>) -> Answer {
        let words = match share {
            Some(share) => significant(share, 4),
            None => "not known: no ramp was given".to_string(),
        };
        answer
            .line("share of the free side", words)
            .line("held", self.held_line())
    }
}

/// What the wrench reads with a friction.
fn reads(given: &Given) -> Result<Answer, Failure> {
    let share = given.share(Some(given.unit.setup.friction))?;
    let figures = |reading: Option<f64>| {
        Figures::new()
            .number("reading_nm", reading)
            .number("ramp_share", share)
            .flag("wedged", reading.is_none())
    };
    let answer = match given.unit.first_movement(given.drag) {
        Ok(read) => Answer::for_work("Breakaway", figures(Some(read.reading.newton_metres())))
            .line("the wrench reads", format!("{:.2}", read.reading))
            .line("left pack", format!("{:.2} under {}", read.packs[0], read.forces[0]))
            .line("right pack", format!("{:.2} under {}", read.packs[1], read.forces[1])),
        Err(MechanicsError::Wedges { .. }) => Answer::for_work("Breakaway", figures(None)).line(
            "the wrench reads",
            "nothing: the packs wedge, and the more it pulls the harder the ramps press. Hold one output instead and leave the \
             case free",
        ),
        Err(other) => return Err(other.into()),
    };
    let numbers = format!("μ = {}, {}", given.unit.setup.friction, given.packs);
    Ok(given.with_share(answer, share).formula(given.symbols(), numbers))
}

/// The friction that a reading shows.
fn shown(given: &Given, read: &Written<Torque>) -> Result<Answer, Failure> {
    let figures = |friction: Option<f64>, share: Option<f64>| {
        Figures::new()
            .number("friction", friction)
            .number("ramp_share", share)
            .flag("wedged", friction.is_none())
    };
    let (answer, share) = match given.unit.friction(read.value(), given.drag) {
        Ok(mu) => {
            let share = given.share(Some(mu))?;
            let figures = figures(Some(mu.value()), share);
            (
                Answer::for_work("Breakaway", figures).line("friction", significant(mu.value(), 4)),
                share,
            )
        }
        Err(MechanicsError::Wedges { share }) => {
            let share = Some(share.value());
            let words = "none shows so much: these packs wedge before they read it";
            (
                Answer::for_work("Breakaway", figures(None, share)).line("friction", words),
                share,
            )
        }
        Err(other) => return Err(other.into()),
    };
    let numbers = format!("M = {read}, {}", given.packs);
    Ok(given
        .with_share(answer, share)
        .formula(format!("the μ with which {}", given.symbols()), numbers))
}
