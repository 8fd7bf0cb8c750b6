//! A moment of a use: where the car is, and what is wanted of the lock there, in words that a driver knows.

use super::car_layout::Place;
use crate::document::Section;
use crate::quantity::{Force, Ratio, Torque, Velocity, significant};

/// The most moments of a use.
pub const MOST_MOMENTS: usize = 200;

/// A moment of a use.
#[derive(Clone, PartialEq, Debug)]
pub struct UseMoment {
    /// What it is called.
    pub name: String,
    /// How much it counts in the mean, above 0.
    pub weight: Ratio,
    /// The place of the unit that it is for; `None` for a unit anywhere.
    pub unit_in: Option<Place>,
    /// Speed of the car; `None`: that of the gear that the car is settled in.
    pub speed: Option<Velocity>,
    /// Cornering as a multiple of standard gravity.
    pub cornering: Ratio,
    /// Grip of the tyres inside and outside, as a whole.
    pub grip: [Ratio; 2],
    /// Slip from which on a tyre slides fully.
    pub slide_slip: Ratio,
    /// The gear, from 1; `None`: the one that the car is settled in.
    pub gear: Option<u32>,
    /// The throttles that are driven through.
    pub throttle: Throttle,
    /// Torque that the brake of each wheel holds, front and rear.
    pub brakes: [Torque; 2],
    /// Force of the air front and rear; `None`: as the car's file has it.
    pub downforce: Option<[Force; 2]>,
    /// What is wanted.
    pub wants: Vec<Want>,
}

/// The throttles of a moment.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Throttle {
    /// Opened from the one to the other, 0 to 1.
    Opened {
        /// The least.
        from: Ratio,
        /// The most.
        to: Ratio,
    },
    /// Shut: the engine drags.
    Shut,
}

/// What a moment against the turn is measured by.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Against {
    /// As a moment about the upright axis.
    Torque(Torque),
    /// As a share of the grip of the front tyres.
    FrontGrip(Ratio),
}

/// What is wanted of the lock at a moment.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Want {
    /// It turns as one from this throttle on, or sooner.
    OneFrom(Ratio),
    /// It does not turn as one before this throttle.
    NotOneBefore(Ratio),
    /// It never turns as one.
    NeverOne,
    /// At the most throttle so much is put down of what both tyres could.
    PutsDown(Ratio),
    /// At most so much against the turn.
    AgainstAtMost(Against),
    /// At least so much against the turn, which steadies the car.
    AgainstAtLeast(Against),
    /// The packs can hold so much of the difference between the tyres at a throttle: what a use of version 1 wants.
    Holds {
        /// The throttle, 0 where it is shut.
        throttle: Ratio,
        /// The share, 0 to 1.
        share: Ratio,
    },
}

/// What a use of version 1 says.
pub(super) struct VersionOne {
    pub low_grip: Ratio,
    pub high_grip: Ratio,
    pub cornering: Ratio,
    /// Throttles with the share that is wanted there, rising.
    pub drive: Vec<(Ratio, Ratio)>,
    pub coast: Ratio,
}

fn percent(ratio: Ratio) -> String {
    format!("{} %", significant(100.0 * ratio.value(), 3))
}

impl Against {
    /// It in words.
    pub fn words(self) -> String {
        match self {
            Against::Torque(torque) => format!("{} N·m", significant(torque.newton_metres(), 4)),
            Against::FrontGrip(share) => format!("{} of the front's grip", percent(share)),
        }
    }
}

impl Want {
    /// It in the words of a driver.
    ///
    /// ```
    /// use shimwright::quantity::Ratio;
    /// use shimwright::workshop::moment::Want;
    /// assert_eq!(Want::OneFrom(Ratio::new(0.5)?).words(), "turns as one from 50.0 %");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn words(self) -> String {
        match self {
            Want::OneFrom(throttle) => format!("turns as one from {}", percent(throttle)),
            Want::NotOneBefore(throttle) => format!("not as one before {}", percent(throttle)),
            Want::NeverOne => "never one".to_string(),
            Want::PutsDown(share) => {
                format!("puts down at least {} of what both tyres could", percent(share))
            }
            Want::AgainstAtMost(most) => format!("at most {} against the turn", most.words()),
            Want::AgainstAtLeast(least) => format!("at least {} against the turn", least.words()),
            Want::Holds { throttle, share } if throttle.value() > 0.0 => {
                format!(
                    "holds {} of the difference between the tyres at {}",
                    percent(share),
                    percent(throttle)
                )
            }
            Want::Holds { share, .. } => {
                format!("holds {} of the difference between the tyres", percent(share))
            }
        }
    }

    /// Why it can not be met together with another at the same state; `None` where it can.
    fn contradicts(self, other: Want) -> bool {
        let more = |least: Against, most: Against| match (least, most) {
            (Against::Torque(least), Against::Torque(most)) => least > most,
            (Against::FrontGrip(least), Against::FrontGrip(most)) => least > most,
            _ => false,
        };
        match (self, other) {
            (Want::OneFrom(_), Want::NeverOne) | (Want::NeverOne, Want::OneFrom(_)) => true,
            (Want::OneFrom(from), Want::NotOneBefore(before))
            | (Want::NotOneBefore(before), Want::OneFrom(from)) => before > from,
            (Want::AgainstAtLeast(least), Want::AgainstAtMost(most))
            | (Want::AgainstAtMost(most), Want::AgainstAtLeast(least)) => more(least, most),
            _ => false,
        }
    }
}

impl UseMoment {
    /// Whether another moment is the same state of the same car, but for what is wanted and how it is called.
    fn same_state(&self, other: &UseMoment) -> bool {
        let state = |moment: &UseMoment| UseMoment {
            name: String::new(),
            weight: self.weight,
            wants: Vec::new(),
            unit_in: None,
            ..moment.clone()
        };
        let places = self.unit_in.is_none() || other.unit_in.is_none() || self.unit_in == other.unit_in;
        places && state(self) == state(other)
    }

    /// Two wants, of this moment and of another, that one lock can not meet.
    fn contradiction(&self, other: &UseMoment) -> Option<[Want; 2]> {
        if !self.same_state(other) {
            return None;
        }
        self.wants.iter().find_map(|one| {
            let against = other.wants.iter().find(|two| one.contradicts(**two))?;
            Some([*one, *against])
        })
    }

    /// The moments that a use of version 1 comes to: its points on drive, and its coast.
    ///
    /// Its grips are what is left for driving, so as whole grips they are taken √(1 + (a_y/μ)²) times as high, μ the mean of
    /// both: that leaves, after cornering, just them.
    pub(super) fn of_version_1(from: &VersionOne) -> Option<Vec<UseMoment>> {
        let mean = 0.5 * (from.low_grip.value() + from.high_grip.value());
        let whole = if mean > 0.0 {
            1.0_f64.hypot(from.cornering.value() / mean)
        } else {
            1.0
        };
        let grip = |grip: Ratio| Ratio::new((grip.value() * whole).min(3.0)).ok();
        let none = Ratio::new(0.0).ok()?;
        let one = Ratio::new(1.0).ok()?;
        let moment = |name: &str, throttle, wants| {
            Some(UseMoment {
                name: name.to_string(),
                weight: one,
                unit_in: None,
                speed: None,
                cornering: from.cornering,
                grip: [grip(from.low_grip)?, grip(from.high_grip)?],
                slide_slip: Ratio::new(SLIDE_SLIP).ok()?,
                gear: None,
                throttle,
                brakes: [Torque::from_newton_metres(0.0).ok()?; 2],
                downforce: None,
                wants,
            })
        };
        let wants = from.drive.iter().map(|(throttle, share)| {
            if *share >= one {
                Want::OneFrom(*throttle)
            } else {
                Want::Holds {
                    throttle: *throttle,
                    share: *share,
                }
            }
        });
        // one from a throttle on is one at every later point
        let mut kept: Vec<Want> = Vec::new();
        for want in wants {
            let again =
                matches!(want, Want::OneFrom(_)) && kept.iter().any(|one| matches!(one, Want::OneFrom(_)));
            if !again {
                kept.push(want);
            }
        }
        let shut = vec![Want::Holds {
            throttle: none,
            share: from.coast,
        }];
        Some(vec![
            moment("on the throttle", Throttle::Opened { from: none, to: one }, kept)?,
            moment("throttle shut", Throttle::Shut, shut)?,
        ])
    }
}

/// The slip of full sliding where nothing is said: common practice, no source.
const SLIDE_SLIP: f64 = 0.1;

const SHARE: &str = "at least 0 and at most 1";
const GRIP: &str = "more than 0 and at most 3";
const BRAKE: &str = "at least 0 N·m and at most 20000 N·m";
const AIR: &str = "at least 0 N and at most 100000 N";

/// Reads one `[[moment]]`.
fn read_moment(section: &Section<'_>) -> Option<UseMoment> {
    let name = section.text("name");
    let weight = section.quantity_maybe_where("weight", "more than 0 and at most 1000");
    let unit_in = section.word_maybe("unit_in", Place::WORDS);
    let speed = section.quantity_where("speed", "more than 0 km/h and at most 500 km/h");
    let cornering = section.quantity_where("cornering", "at least 0 and at most 3");
    let inside = section.quantity_where("inside_grip", GRIP);
    let outside = section.quantity_where("outside_grip", GRIP);
    let slide = section.quantity_maybe_where("slide_slip", "more than 0 and at most 1");
    let gear = section.count_maybe("gear", 1..21);
    let front_brake = section.quantity_maybe_where("front_brake", BRAKE);
    let rear_brake = section.quantity_maybe_where("rear_brake", BRAKE);
    let front_air = section.quantity_maybe_where("front_downforce", AIR);
    let rear_air = section.quantity_maybe_where("rear_downforce", AIR);
    let throttle = read_throttle(section);
    let wants = read_wants(section, matches!(throttle, Some(Throttle::Shut)));
    section.finish();
    let no_force = Force::from_newtons(0.0).ok()?;
    let no_torque = Torque::from_newton_metres(0.0).ok()?;
    Some(UseMoment {
        name: name?,
        weight: weight.or(Ratio::new(1.0).ok())?,
        unit_in,
        speed: Some(speed?),
        cornering: cornering?,
        grip: [inside?, outside?],
        slide_slip: slide.or(Ratio::new(SLIDE_SLIP).ok())?,
        gear,
        throttle: throttle?,
        brakes: [front_brake.unwrap_or(no_torque), rear_brake.unwrap_or(no_torque)],
        downforce: (front_air.is_some() || rear_air.is_some())
            .then(|| [front_air.unwrap_or(no_force), rear_air.unwrap_or(no_force)]),
        wants: wants?,
    })
}

fn read_throttle(section: &Section<'_>) -> Option<Throttle> {
    let shut = section.word_maybe("throttle", &[(true, "shut"), (false, "opened")]);
    if shut == Some(true) {
        let none = "the throttle is shut here";
        section.not_here("throttle_from", "sense", none);
        section.not_here("throttle_to", "sense", none);
        return Some(Throttle::Shut);
    }
    let from: Option<Ratio> = section.quantity_maybe_where("throttle_from", SHARE);
    let to: Option<Ratio> = section.quantity_maybe_where("throttle_to", SHARE);
    let (from, to) = (from.or(Ratio::new(0.0).ok())?, to.or(Ratio::new(1.0).ok())?);
    if from >= to {
        let wrong = format!("the throttle goes from {from} to {to}, but it must rise");
        section.fault_at("throttle_to", wrong);
        return None;
    }
    Some(Throttle::Opened { from, to })
}

fn read_against(section: &Section<'_>, torque: &'static str, share: &'static str) -> Option<Against> {
    let torque = section.quantity_maybe_where(torque, "at least 0 N·m and at most 20000 N·m");
    let front = section.quantity_maybe_where(share, SHARE);
    torque.map(Against::Torque).or(front.map(Against::FrontGrip))
}

/// What is wanted, at least one thing.
fn read_wants(section: &Section<'_>, shut: bool) -> Option<Vec<Want>> {
    let mut wants = Vec::new();
    if shut {
        for key in ["one_from", "not_one_before", "never_one", "puts_down"] {
            section.not_here(
                key,
                "sense",
                "with the throttle shut only a moment against the turn can be wanted",
            );
        }
    } else {
        wants.extend(section.quantity_maybe_where("one_from", SHARE).map(Want::OneFrom));
        let before = section.quantity_maybe_where("not_one_before", SHARE);
        wants.extend(before.map(Want::NotOneBefore));
        let never = section.flag_maybe("never_one") == Some(true);
        wants.extend(never.then_some(Want::NeverOne));
        let down = section.quantity_maybe_where("puts_down", "more than 0 and at most 1");
        wants.extend(down.map(Want::PutsDown));
    }
    let most = read_against(section, "against_at_most", "against_at_most_front_grip");
    wants.extend(most.map(Want::AgainstAtMost));
    let least = read_against(section, "against_at_least", "against_at_least_front_grip");
    wants.extend(least.map(Want::AgainstAtLeast));
    let keys = "one_from, not_one_before, never_one, puts_down, against_at_most or against_at_least";
    if wants.is_empty() {
        section.fault(
            section.span(),
            format!("nothing is wanted at this moment; at least one is: {keys}"),
        );
        return None;
    }
    Some(wants)
}

/// Reads every `[[moment]]` of a use, and refuses two wants that one lock can not meet.
pub(super) fn read_moments(top: &Section<'_>) -> Option<Vec<UseMoment>> {
    let sections = top.sections_between(
        "moment",
        MOST_MOMENTS,
        "at least one [[moment]] with what is wanted there is wanted",
    );
    let read: Vec<Option<UseMoment>> = sections.iter().map(read_moment).collect();
    for (n, (section, moment)) in sections.iter().zip(&read).enumerate() {
        let Some(moment) = moment else {
            continue;
        };
        for other in read.iter().take(n + 1).flatten() {
            if let Some([one, two]) = moment.contradiction(other) {
                section.fault(
                    section.span(),
                    format!(
                        "no lock meets both at one state: \"{}\" of \"{}\" and \"{}\" of \"{}\"",
                        one.words(),
                        moment.name,
                        two.words(),
                        other.name
                    ),
                );
            }
        }
    }
    read.into_iter().collect()
}
