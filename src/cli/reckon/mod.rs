//! One calculation at a time, for a person at the bench: arguments in, a short table or one JSON object out.
//!
//! An argument that can not be read (no unit, a unit of another kind, no number) ends with exit code 2; one that can be
//! read but lies outside what the formula allows ends with 9; a data file with faults ends with 3.

mod answer;
mod axle;
mod bolt;
mod breakaway;
mod car;
mod convert;
mod figures;
mod lock;
mod pack;
mod read;
mod risk;
mod runs;
mod spring;

use super::exit::Exit;
use super::failure::Failure;
use crate::app::output::{text_of, write_out};
use clap::{Args, Subcommand};

#[derive(Args)]
pub(super) struct Reckon {
    #[command(subcommand)]
    what: What,
    /// Report as one JSON object
    #[arg(long, global = true)]
    json: bool,
}

const LOCK: &str = "Such as: shimwright reckon lock --faces 10 --friction 0.1 --radius 40mm --pin-radius 31mm \
--drive \"45 deg from ring face\" --coast \"60 deg from ring face\"";

const AXLE: &str = "Such as: shimwright reckon axle --mass 1250kg --axle-mass 600kg --axle rear --track 1500mm \
--wheelbase 2600mm --height 480mm --roll-share 0.45 --tyre-radius 310mm --speed 50km/h --cornering 0.44 --grip-inside 1.1 \
--grip-outside 1.1 --slide-slip 0.1 --torque 800N.m --faces 8 --friction 0.1 --radius 40mm --pin-radius 31mm \
--drive \"45 deg from ring face\" --coast \"no ramp\" --preload-force 300N";

const CAR: &str = "Such as: shimwright reckon car shoal-car.toml --rear shoal-rear.toml --speed 40km/h --cornering 0.3 \
--inside-grip 0.5 --outside-grip 0.65 --slide-slip 0.15 --torque 2000N.m";

const BREAKAWAY: &str = "Such as: shimwright reckon breakaway --held output --reading 45N.m --drag 2N.m --faces-left 10 \
--faces-right 10 --radius 40mm --force-left 1100N --force-right 1100N";

#[derive(Subcommand)]
enum What {
    /// Force, rate and greatest force of disc springs at a travel
    ///
    /// By the equations of Almen and László in the form of DIN EN 16984, for steel. Every length with its unit, such as
    /// 50mm or 1.969in. With several discs all figures, the travel too, are those of the whole stack.
    #[command(
        after_help = "Such as: shimwright reckon spring --outside 50mm --inside 25.4mm --thickness 2mm --height 3.4mm --travel 1.05mm"
    )]
    Spring(spring::Spring),
    /// Torque that a pack holds, and the radius at which its friction acts
    ///
    /// The rubbing face is measured across, as with a caliper: both figures are diameters.
    #[command(
        after_help = "Such as: shimwright reckon pack --faces 10 --friction 0.1 --force 1100N --outer 98mm --inner 62mm"
    )]
    Pack(pack::Pack),
    /// What a ramp makes of the torque, loading and unloading
    ///
    /// The trade counts ramp angles from two places, and the two add up to 90°, so the angle is written with its datum:
    /// "45 deg from ring face" or "45 deg from shaft axis".
    #[command(after_help = "Such as: shimwright reckon ramp --angle \"45 deg from ring face\"")]
    Ramp(lock::Ramp),
    /// Locking on drive and on coast, for two packs alike
    ///
    /// The share is the trade's locking percentage without preload: (slow − fast)/(slow + fast) of the torques at the two
    /// wheels.
    #[command(after_help = LOCK)]
    Lock(lock::Lock),
    /// What each wheel of a driven axle gets at one moment, and which way that turns the car
    ///
    /// Whether the axle turns as one, its packs slip or a tyre gives up follows from the car, the moment and the unit; it is
    /// not chosen. Torque below 0 is that of a shut throttle.
    #[command(after_help = AXLE)]
    Axle(Box<axle::MovingAxle>),
    /// What each wheel of a whole car gets at one moment, with up to three units
    ///
    /// The car by its file, the units by their files, or open or solid. How each unit turns and what each wheel does follows; it is
    /// not chosen. Torque is counted at the wheels; below 0 it is that of a shut throttle.
    #[command(after_help = CAR)]
    Car(Box<car::MovingCar>),
    /// What the wrench will read, or the friction that a reading shows
    ///
    /// How the unit is held decides: with the case held the wrench reads both packs, with one output held half of that.
    #[command(after_help = BREAKAWAY)]
    Breakaway(breakaway::Breakaway),
    /// A torque wrench with an extension across its drive
    ///
    /// Gives the torque at the bolt for a reading, or what to set for a wanted torque.
    #[command(
        after_help = "Such as: shimwright reckon wrench --wanted 60N.m --length 320mm --extension 50mm"
    )]
    Wrench(bolt::Wrench),
    /// What a torque does to a bolt
    ///
    /// ISO metric threads, M3 to M39; a hexagon head on a clearance hole. It checks a torque for slips of unit and does not
    /// give one: the maker's figure governs.
    #[command(after_help = "Such as: shimwright reckon bolt --size M10x1.25 --class 10.9 --torque 55N.m")]
    Bolt(bolt::Bolt),
    /// Whether a measured length lies within its limits
    ///
    /// The uncertainty is the standard one, u. A certificate mostly gives the expanded one, U = 2u: halve it first.
    #[command(
        after_help = "Such as: shimwright reckon judge --value 1.982mm --uncertainty 0.002mm --least 1.95mm --most 1.99mm"
    )]
    Judge(figures::Judge),
    /// How many parts a measurement accepts that it should not, and rejects that it need not
    ///
    /// Over all parts as they come, by JCGM 106.
    #[command(
        after_help = "Such as: shimwright reckon risk --mean 1.98mm --spread 0.02mm --uncertainty 0.004mm --least 1.95mm"
    )]
    Risk(risk::Risk),
    /// Sources of uncertainty put together, with the factor that their degrees of freedom want
    ///
    /// By JCGM 100, the degrees of freedom by Welch and Satterthwaite.
    #[command(after_help = "Such as: shimwright reckon combine --source \"3.2um; 4\" --source 2.9um")]
    Combine(risk::Combine),
    /// Whether two settings of a car differ, by the times of their runs
    ///
    /// Drift over the day is taken out; the run is the unit and not the lap. There is an exact p only for an order that was
    /// drawn beforehand (`reckon order`).
    #[command(after_help = "Such as: shimwright reckon runs runs.csv --drawn balanced")]
    Runs(runs::Runs),
    /// An order to drive two settings in, drawn so that a drift falls out
    ///
    /// The draw is what an exact comparison rests on: write it down before the first run.
    #[command(after_help = "Such as: shimwright reckon order --runs 12 --seed 7")]
    Order(runs::Order),
    /// Mean and scatter of readings from a file
    ///
    /// One number a line, all in one unit; lines that start with # and empty lines count for nothing, and the first line
    /// may be a heading.
    #[command(after_help = "Such as: shimwright reckon readings mic-2.txt")]
    Readings(figures::Readings),
    /// The straight line through points from a file
    ///
    /// Two numbers a line, x and y; a first line "y,x" turns the two round. Lines that start with # and empty lines count
    /// for nothing.
    #[command(after_help = "Such as: shimwright reckon line wear.txt")]
    Line(figures::LineOf),
    /// A quantity in another unit
    ///
    /// By the exact factors of inch, pound and standard gravity. Torque in lbf·ft, lbf·in, kgf·m, N·m, length in mm, in,
    /// thou, and so on; a wrong unit is answered with those that are known.
    #[command(after_help = "Such as: shimwright reckon convert \"35 lbf·ft\" --to N·m")]
    Convert(convert::Convert),
}

/// Works out what was asked and prints it.
pub(super) fn reckon(arguments: &Reckon) -> Result<Exit, Failure> {
    write_out(&text(arguments)?, false)?;
    Ok(Exit::Done)
}

/// What is printed.
pub(super) fn text(arguments: &Reckon) -> Result<String, Failure> {
    let (what, answer) = match &arguments.what {
        What::Spring(spring) => ("reckon spring", spring.answer()?),
        What::Pack(pack) => ("reckon pack", pack.answer()?),
        What::Ramp(ramp) => ("reckon ramp", ramp.answer()?),
        What::Lock(lock) => ("reckon lock", lock.answer()?),
        What::Axle(axle) => ("reckon axle", axle.answer()?),
        What::Car(car) => return Ok(text_of(&car.report()?, arguments.json)?),
        What::Breakaway(breakaway) => ("reckon breakaway", breakaway.answer()?),
        What::Wrench(wrench) => ("reckon wrench", wrench.answer()?),
        What::Bolt(bolt) => ("reckon bolt", bolt.answer()?),
        What::Judge(judge) => ("reckon judge", judge.answer()?),
        What::Risk(risk) => ("reckon risk", risk.answer()?),
        What::Combine(combine) => ("reckon combine", combine.answer()?),
        What::Runs(runs) => ("reckon runs", runs.answer()?),
        What::Order(order) => ("reckon order", order.answer()?),
        What::Readings(readings) => ("reckon readings", readings.answer()?),
        What::Line(line) => ("reckon line", line.answer()?),
        What::Convert(convert) => ("reckon convert", convert.answer()?),
    };
    Ok(text_of(&answer.report(what), arguments.json)?)
}
