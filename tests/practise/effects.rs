//! What the debrief says a fault does, reckoned once more: each unit put together with the fault and without it, from the laws of
//! its springs and the bench of the engine, by another way than the program's own.

use crate::mechanic::begun;
use shimwright::mechanics::{Held, Holding, Movement, Sense, Side, SpringStack, Turned};
use shimwright::practice::{Fault, GeneratedUnit, WithAndWithout};
use shimwright::procedure::Session;
use shimwright::quantity::{Force, Length, Ratio, Torque};
use shimwright::record::GeneratedFrom;
use shimwright::workshop::{Aim, Measures, SpringKind};
use std::collections::BTreeMap;

/// One pound-force foot in newton metres: 0.3048 m (the international yard and pound agreement, 1959) times 0.45359237 kg times
/// 9.80665 m/s² (third General Conference on Weights and Measures, 1901).
const FOOT_POUND: f64 = 0.3048 * 0.453_592_37 * 9.806_65;

/// A unit as somebody puts it together who sees nothing of its fault.
#[derive(Clone, Copy)]
struct Blind {
    stacks: [SpringStack; 2],
    /// What is left of each spring's force.
    share: [f64; 2],
    /// By how much each stands longer than was aimed at.
    longer: [Length; 2],
    faces: [f64; 2],
    held: Held,
    drag: f64,
    wrench: f64,
    leverage: f64,
    scale: f64,
}

impl Blind {
    fn forces(&self, made: &GeneratedUnit) -> [f64; 2] {
        let unit = &made.job().unit;
        let Aim::Preload { target, .. } = unit.aim else {
            panic!("a gap")
        };
        let listed = unit.spring.as_ref().unwrap().stack;
        let height = listed.heights_for_force(target)[0];
        // what is measured of a spring's free height moves what is aimed at
        let stands =
            [0, 1].map(|n| height + self.stacks[n].free_height() - listed.free_height() + self.longer[n]);
        let force = |n: usize, at: Length| {
            let at = at.max(self.stacks[n].solid_height());
            self.share[n] * self.stacks[n].force_at_height(at).unwrap().newtons()
        };
        if !unit.is_through() {
            return [0, 1].map(|n| force(n, stands[n]));
        }
        // rings that float: both springs press alike in the room of both
        let room = stands[0] + stands[1];
        let (mut low, mut high) = (
            self.stacks[0].solid_height().nm(),
            (room - self.stacks[1].solid_height()).nm(),
        );
        for _ in 0..60 {
            let middle = low.midpoint(high);
            let at = Length::from_nm(middle);
            match force(0, at) > force(1, room - at) {
                true => low = middle,
                false => high = middle,
            }
        }
        let at = Length::from_nm(low);
        [force(0, at), force(1, room - at)]
    }

    /// The number on the wrench's scale.
    fn shows(&self, made: &GeneratedUnit, friction: f64) -> f64 {
        let unit = &made.job().unit;
        let forces = self.forces(made);
        // parts of a face: hundred times the faces at a hundredth of the radius are the same pack
        let faces = self.faces.map(|faces| (100.0 * faces).round() as u32);
        let preload = forces.map(|force| Force::from_newtons(force).unwrap());
        let mut bench = unit.bench(preload, faces);
        bench.setup.friction_radius = Length::from_nm(unit.friction.radius.nm() / 100);
        bench.setup.friction = Ratio::new(friction).unwrap();
        bench.turning = Ratio::new(friction).unwrap();
        bench.holding = Holding {
            held: self.held,
            turned: Turned::Right,
            sense: Sense::Forwards,
        };
        let drag = Torque::from_newton_metres(self.drag).unwrap();
        let reads = bench
            .reads(Movement::Turning, drag)
            .unwrap()
            .reading
            .newton_metres();
        reads * self.wrench / self.leverage / self.scale
    }
}

/// The unit with all other faults taken out, put together with this one and without it.
fn both(made: &GeneratedUnit, fault: &Fault) -> [Blind; 2] {
    let unit = &made.job().unit;
    let others = made.faults().iter().rev().filter(|other| *other != fault);
    let alone = others.fold(made.clone(), |unit, other| unit.without(other));
    let sound = alone.without(fault);
    let (figures, without) = (alone.true_figures().unwrap(), sound.true_figures().unwrap());
    let blind = Blind {
        stacks: without.springs,
        share: [1.0; 2],
        longer: [Length::ZERO; 2],
        faces: [0, 1].map(|n| f64::from(unit.packs[n].faces)),
        held: unit.proof.held,
        drag: without.drag.newton_metres(),
        wrench: without.wrench,
        leverage: 1.0,
        scale: 1.0,
    };
    let mut with = blind;
    let on = |plate: &String| usize::from(!unit.packs[0].order.contains(plate));
    let mean = |plate: &String| {
        let points = alone.true_thickness(plate).unwrap();
        Length::from_nm(points.iter().map(|point| point.nm()).sum::<i64>() / 3)
    };
    match fault {
        Fault::Thin { plate, .. } | Fault::OtherMaker { plate, .. } => {
            let new = unit.plates.iter().find(|one| one.name == *plate).unwrap().nominal;
            with.longer[on(plate)] = new - mean(plate);
        }
        Fault::Tapered { plate, .. } => {
            with.longer[on(plate)] = alone.true_thickness(plate).unwrap()[0] - mean(plate);
        }
        Fault::MicrometerZero { by } => {
            with.longer = [0, 1].map(|n| *by * (unit.packs[n].order.len() as i64 + 1));
        }
        // one depth and two springs: one of three errors is left over
        Fault::DepthGaugeZero { by } if unit.is_through() => with.longer[0] = *by,
        Fault::Spoilt { plate, look } => {
            with.faces[on(plate)] -= match *look {
                "torn" => 2.0,
                "burnt" => 0.6,
                _ => 0.0,
            };
        }
        Fault::DeadFace { side, lost, .. } => with.faces[side.index()] -= f64::from(*lost),
        Fault::SpringCracked { side } => with.share[side.index()] = 0.6,
        Fault::SpringUpsideDown { side } => {
            let SpringKind::Discs { disc, .. } = unit.spring.as_ref().unwrap().kind else {
                panic!("{fault:?}")
            };
            with.stacks[side.index()] = SpringStack::discs(disc, 1, 2).unwrap();
        }
        Fault::TabsStick { side } => with.faces[side.index()] *= 1.0 - figures.held_back[side.index()],
        Fault::WrenchScale => with.scale = FOOT_POUND,
        Fault::OtherMethod => {
            with.held = match unit.proof.held {
                Held::Case => Held::Output,
                Held::Output => Held::Case,
            };
        }
        Fault::Extension { length } => {
            let own = made.job().instruments.iter().find_map(|one| match one.measures {
                Measures::Torque { length, .. } => Some(length.mm()),
                _ => None,
            });
            with.leverage = (own.unwrap() + length.mm()) / own.unwrap();
        }
        Fault::Drag { by } => with.drag += by.newton_metres(),
        // beside what any wrench is off by its certificate
        Fault::WrenchOverdue { reads } => with.wrench *= *reads,
        Fault::DepthGaugeZero { .. }
        | Fault::Warped { .. }
        | Fault::Swapped { .. }
        | Fault::ShimDoubled { .. }
        | Fault::SteppedRamp
        | Fault::PinFlat
        | Fault::RingWedged { .. }
        | Fault::WasherMissing
        | Fault::WrongOil
        | Fault::NoModifier => {}
    }
    [with, blind]
}

/// The same when printed; a figure within a thousandth of where rounding turns may be printed either way.
fn printed_alike(told: f64, again: f64, step: f64) -> bool {
    let printed = |figure: f64| (figure / step).round() as i64;
    printed(told) == printed(again) || (told - again).abs() < 1e-3 * step
}

#[test]
fn effects_are_the_difference_of_two_builds_for_every_kind_of_fault() {
    let mut seen: BTreeMap<&str, u32> = BTreeMap::new();
    for (level, seed) in (1..=4).flat_map(|level| (1..=25).map(move |seed| (level, seed))) {
        let made = GeneratedUnit::new(GeneratedFrom::newest(level, seed)).unwrap();
        for fault in made.faults() {
            let effect = made.effect(fault);
            let built = both(&made, fault);
            let friction = made.true_figures().unwrap().friction;
            let what = format!(
                "level {level}, seed {seed}, {fault:?}: {effect:?} of {:?}",
                made.faults()
            );
            let [with, without] = built.map(|build| build.forces(&made));
            for n in [0, 1] {
                let WithAndWithout {
                    with: told,
                    without: meant,
                } = effect.pressed[n];
                assert!(printed_alike(told, with[n], 1.0), "{what}: {with:?}");
                assert!(printed_alike(meant, without[n], 1.0), "{what}: {without:?}");
            }
            let [with, without] = built.map(|build| build.shows(&made, friction));
            assert!(printed_alike(effect.proof.with, with, 0.1), "{what}: {with}");
            assert!(
                printed_alike(effect.proof.without, without, 0.1),
                "{what}: {without}"
            );
            if let Fault::Warped { .. } = fault {
                assert!(printed_alike(effect.wander, 0.12 * with, 0.1), "{what}");
            }
            *seen.entry(fault.kind().word()).or_default() += 1;
        }
    }
    // every kind has come
    assert_eq!(seen.len(), 25, "{seen:?}");
}

#[test]
fn what_is_told_of_an_effect_has_its_figures_with_their_units() {
    let mut told = 0;
    for (level, seed) in (1..=4).flat_map(|level| (1..=4).map(move |seed| (level, seed))) {
        let made = GeneratedUnit::new(GeneratedFrom::newest(level, seed)).unwrap();
        let (session, _) = Session::start(made.job().clone(), begun(made.made()));
        let debrief = made.debrief(&session, &made.outcome(&session)).unwrap();
        let all: Vec<_> = debrief.groups.iter().flat_map(|(_, faults)| faults).collect();
        for fault in made.faults() {
            // of a kind that is there twice either could be meant
            let ones: Vec<_> = all.iter().filter(|one| one.kind == fault.kind()).collect();
            let [one] = ones.as_slice() else { continue };
            let effect = made.effect(fault);
            let words = one.effects.join(". ");
            let moved = effect.proof.printed_difference(0.1);
            if moved.abs() > 0.05 && *fault != Fault::WrenchScale {
                let wanted = format!(
                    "the proof shows {:.1} N·m in the place of {:.1} N·m: {}{:.1} N·m",
                    effect.proof.with,
                    effect.proof.without,
                    if moved < 0.0 { "−" } else { "+" },
                    moved.abs()
                );
                assert!(words.contains(&wanted), "{wanted}: {words}");
                told += 1;
            }
            for side in Side::BOTH {
                let pressed = effect.pressed[side.index()];
                if pressed.printed_difference(1.0).abs() > 0.5 {
                    let wanted = format!(
                        "{:.0} N on the {side} where {:.0} N are meant",
                        pressed.with, pressed.without
                    );
                    assert!(words.contains(&wanted), "{wanted}: {words}");
                }
            }
            // what it costs is told with the same figure
            if let Fault::MicrometerZero { .. } | Fault::Thin { .. } | Fault::SpringCracked { .. } = fault {
                let wanted = format!("{:.1} N·m", moved.abs());
                assert!(one.why.contains(&wanted), "{wanted}: {}", one.why);
            }
        }
    }
    assert!(told > 10, "{told}");
}
