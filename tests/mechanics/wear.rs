//! Worn units and what brings them back, against the same unit put together anew from its parts, and worn a little at a
//! time.

use proptest::prelude::*;
use shimwright::mechanics::chain::{installed_height_per_side, installed_height_through};
use shimwright::mechanics::pack::pack_torque;
use shimwright::mechanics::wear::{Fade, Lengthens, Meets, Pressing, Worn, wear_under};
use shimwright::mechanics::{
    Bench, CoilSpring, DiscSpring, Held, Holding, LockSetup, MechanicsError, Sense, SpringPlace, SpringStack,
    Turned,
};
use shimwright::quantity::{Force, Length, RampAngle, Ratio, SpringRate, Torque};

const RING: Length = Length::from_um(11_000);
const RADIUS: Length = Length::from_um(40_000);

fn newtons(value: f64) -> Force {
    Force::from_newtons(value).unwrap()
}

fn nm(value: f64) -> Torque {
    Torque::from_newton_metres(value).unwrap()
}

fn discs() -> SpringStack {
    let um = Length::from_um;
    SpringStack::discs(
        DiscSpring::new(um(92_000), um(64_000), um(1_750), um(3_100), None).unwrap(),
        1,
        1,
    )
    .unwrap()
}

fn coils(rate: f64) -> SpringStack {
    let um = Length::from_um;
    let rate = SpringRate::from_newtons_per_mm(rate).unwrap();
    SpringStack::coils(CoilSpring::new(um(30_000), um(10_000), rate).unwrap(), 2).unwrap()
}

/// A unit as its parts lie on the bench: plates and shims of each side, and the depth over both, or of each side.
#[derive(Clone)]
struct Parts {
    plates: [Vec<Length>; 2],
    shims: [Length; 2],
    through: bool,
    between: bool,
    depths: [Length; 2],
    stack: SpringStack,
    faces: [u32; 2],
}

impl Parts {
    fn parts(&self, side: usize) -> Vec<Length> {
        self.plates[side]
            .iter()
            .copied()
            .chain([self.shims[side], RING])
            .collect()
    }

    fn heights(&self) -> [Length; 2] {
        if self.through {
            let all = [self.parts(0), self.parts(1)].concat();
            if self.between {
                return [installed_height_per_side(self.depths[0], &all).unwrap(); 2];
            }
            return [installed_height_through(self.depths[0], &all).unwrap(); 2];
        }
        [0, 1].map(|side| installed_height_per_side(self.depths[side], &self.parts(side)).unwrap())
    }

    fn forces(&self) -> [f64; 2] {
        self.heights()
            .map(|height| self.stack.force_at_height(height).unwrap().newtons())
    }

    /// With the case held.
    fn breakaway(&self) -> f64 {
        let forces = self.forces();
        let pack = |side: usize| {
            let force = newtons(forces[side]);
            pack_torque(self.faces[side], Ratio::new(0.1).unwrap(), force, RADIUS).unwrap()
        };
        pack(0).newton_metres() + pack(1).newton_metres()
    }

    fn worn(&self, wear: [f64; 2]) -> Parts {
        let mut worn = self.clone();
        for (plates, wear) in worn.plates.iter_mut().zip(wear) {
            let each = wear / plates.len() as f64;
            for plate in plates {
                *plate = *plate - Length::from_mm(each).unwrap();
            }
        }
        worn
    }

    fn as_formula(&self) -> Worn {
        Worn {
            stacks: [self.stack; 2],
            heights: self.heights(),
            lengthens: match (self.through, self.between) {
                (true, false) => Lengthens::HalfOfBoth,
                (true, true) => Lengthens::Both,
                (false, _) => Lengthens::OwnPack,
            },
            bench: Bench {
                setup: LockSetup {
                    faces: self.faces,
                    friction: Ratio::new(0.1).unwrap(),
                    friction_radius: RADIUS,
                    pin_radius: RADIUS,
                    drive: RampAngle::NONE,
                    coast: RampAngle::NONE,
                    ramp_friction: Ratio::new(0.0).unwrap(),
                    preload: [newtons(0.0); 2],
                    spring_place: SpringPlace::BehindPack,
                    gear_thrust: None,
                    tab_friction: None,
                },
                turning: Ratio::new(0.1).unwrap(),
                holding: Holding {
                    held: Held::Case,
                    turned: Turned::Right,
                    sense: Sense::Forwards,
                },
            },
        }
    }
}

/// A unit whose springs stand `pressed` micrometres below free.
fn unit(layout: u8, stack: SpringStack, pressed: i64) -> Parts {
    let um = Length::from_um;
    let (through, between) = [(true, false), (true, true), (false, false)][usize::from(layout)];
    let spring = stack.free_height() - um(pressed);
    let plates = || vec![um(1_990); 10];
    let side: Length = um(19_900) + um(500) + RING;
    let depth = match (through, between) {
        (true, false) => side * 2 + spring * 2,
        (true, true) => side * 2 + spring,
        (false, _) => side + spring,
    };
    Parts {
        plates: [plates(), plates()],
        shims: [um(500); 2],
        through,
        between,
        depths: [depth; 2],
        stack,
        faces: [10, 10],
    }
}

proptest! {
    #[test]
    fn a_worn_unit_turns_as_the_same_parts_put_together_anew(
        layout in 0_u8..3, left in 0.0_f64..0.3, right in 0.0_f64..0.3, pressed in 700_i64..1000,
    ) {
        let parts = unit(layout, discs(), pressed);
        let wear = [left, right].map(|mm| Length::from_mm((mm * 100.0).round() / 100.0).unwrap());
        let worn = parts.worn(wear.map(Length::mm));
        let formula = parts.as_formula();
        let torque = formula.breakaway(wear).unwrap().newton_metres();
        prop_assert!((torque - worn.breakaway()).abs() < 1e-4, "{torque} {}", worn.breakaway());
        let on = formula.worn_by(wear).breakaway([Length::ZERO; 2]).unwrap().newton_metres();
        prop_assert!((torque - on).abs() < 1e-9);
    }

    #[test]
    fn shims_of_what_is_lacking_bring_the_force_back_in_the_unit_put_together_anew(
        layout in 0_u8..3, left in 0_i64..300, right in 0_i64..300, pressed in 700_i64..1000,
    ) {
        let parts = unit(layout, discs(), pressed);
        let wanted = newtons(parts.forces()[0]);
        let mut worn = parts.worn([left, right].map(|um| um as f64 / 1e3));
        let lacks = worn.as_formula().lacks(wanted).unwrap().unwrap();
        for (shim, lack) in worn.shims.iter_mut().zip(lacks) {
            *shim += lack;
        }
        for force in worn.forces() {
            prop_assert!((force - wanted.newtons()).abs() < 0.02, "{force} {wanted}");
        }
        let all: i64 = lacks.iter().map(|lack| lack.nm()).sum();
        prop_assert!((all - (left + right) * 1000).abs() < 50, "{all}");
    }

    #[test]
    fn the_distance_to_the_least_is_that_of_a_unit_worn_a_kilometre_at_a_time(
        layout in 0_u8..3, left in 2e-5_f64..6e-5, right in 2e-5_f64..6e-5, share in 0.85_f64..0.97,
        fades in 0.0_f64..1e-5,
    ) {
        let parts = unit(layout, discs(), 900);
        let formula = parts.as_formula();
        let least = parts.breakaway() * share;
        let far = formula.lasts([left, right], fades, nm(least)).unwrap().unwrap();
        let mut stepped = 0.0;
        // the parts turn with a friction of 0.1, which falls besides
        let turns = |far: f64| {
            parts.worn([left * far, right * far]).breakaway() * (0.1 - fades * far) / 0.1
        };
        while turns(stepped) > least {
            stepped += 10.0;
        }
        prop_assert!(far <= stepped + 1.0 && far > stepped - 11.0, "{far} {stepped}");
        let force = newtons(parts.forces()[0] * share);
        let far = formula.presses([left, right], force).unwrap().unwrap();
        let mut stepped = 0.0;
        let least_of = |forces: [f64; 2]| forces[0].min(forces[1]);
        while least_of(parts.worn([left * stepped, right * stepped]).forces()) > force.newtons() {
            stepped += 10.0;
        }
        prop_assert!(far <= stepped + 1.0 && far > stepped - 11.0, "{far} {stepped}");
    }

    #[test]
    fn a_rate_at_the_first_pressure_never_promises_more_than_wear_that_goes_with_the_pressure(
        rate in 2e-5_f64..8e-5, share in 0.5_f64..0.95, more in 1.0_f64..1.5,
    ) {
        // a spring of one rate, whose own law is exact: F falls as exp(−c·k·x/F0) while k goes with F
        let parts = unit(2, coils(40.0), 8_000);
        let formula = parts.as_formula();
        let (was, least) = (parts.forces()[0], parts.forces()[0] * share);
        let now = Pressing { force: newtons(was), faces: 10 };
        let under = wear_under(rate, Pressing { force: newtons(was / more), ..now }, now).unwrap();
        prop_assert!((under - rate * more).abs() < 1e-12);
        let promised = formula.presses([under; 2], newtons(least)).unwrap().unwrap();
        let slope = 2.0 * 40.0;
        let exact = was / (slope * under) * (was / least).ln();
        let (mut force, mut stepped) = (was, 0.0);
        while force > least {
            force -= slope * under * (force / was) * 5.0;
            stepped += 5.0;
        }
        prop_assert!((stepped - exact).abs() < 0.005 * exact + 6.0, "{stepped} {exact}");
        prop_assert!(promised <= exact + 1.0, "{promised} {exact}");
    }

    #[test]
    fn the_low_end_of_what_is_left_meets_the_least_where_the_earliest_is_told(
        noise in prop::collection::vec(-1.0_f64..1.0, 3..7), now in 85.0_f64..95.0, u in 0.5_f64..2.0,
    ) {
        let stretches: Vec<(f64, f64)> = noise
            .iter()
            .enumerate()
            .map(|(n, noise)| (900.0 + 200.0 * n as f64, 0.01 * (900.0 + 200.0 * n as f64) + noise))
            .collect();
        let fade = Fade::of(&stretches).unwrap();
        if let Ok(Meets::Within { at, from, to }) = fade.meets(now, u, 75.0, 0.95)
            && from > 0.0
        {
            let end = |x: f64| fade.after(now, u, x, 0.95).unwrap();
            prop_assert!((end(at).0 - 75.0).abs() < 1e-9);
            prop_assert!((end(from).1.0 - 75.0).abs() < 1e-6);
            prop_assert!((end(to).1.1 - 75.0).abs() < 1e-6);
        }
    }
}

#[test]
fn senseless_inputs_are_refused_by_name() {
    let named = |result: Result<f64, MechanicsError>| match result {
        Err(MechanicsError::OutOfRange { what, .. }) => what,
        other => panic!("{other:?}"),
    };
    let good = Pressing {
        force: newtons(1000.0),
        faces: 8,
    };
    let none = Pressing {
        force: newtons(0.0),
        ..good
    };
    let faceless = Pressing { faces: 0, ..good };
    assert_eq!(
        named(wear_under(-1.0, good, good)),
        "the wear of a pack per distance"
    );
    assert_eq!(
        named(wear_under(f64::NAN, good, good)),
        "the wear of a pack per distance"
    );
    assert_eq!(
        named(wear_under(1.0, none, good)),
        "the force that it was worn under"
    );
    assert_eq!(
        named(wear_under(1.0, faceless, good)),
        "the number of faces that wore"
    );
    assert_eq!(
        named(wear_under(
            1.0,
            good,
            Pressing {
                force: newtons(-1.0),
                ..good
            }
        )),
        "the force through the pack"
    );
    assert_eq!(wear_under(1.0, good, none), Ok(0.0));
    let unit = unit(0, discs(), 900).as_formula();
    for fades in [-1e-9, f64::NAN] {
        let far = unit.lasts([1e-5; 2], fades, nm(1.0)).map(|_| 0.0);
        assert_eq!(named(far), "the loss of friction per distance");
    }
    // friction alone brings it down too: 0.1 that loses 1e-5 a kilometre has lost a tenth after 1000 km
    let least = nm(unit.breakaway([Length::ZERO; 2]).unwrap().newton_metres() * 0.9);
    let far = unit.lasts([0.0; 2], 1e-5, least).unwrap().unwrap();
    assert!((far - 1000.0).abs() < 1.0, "{far}");
    assert_eq!(unit.lasts([0.0; 2], 0.0, least), Ok(None));
    assert_eq!(named(unit.lacks(newtons(-1.0)).map(|_| 0.0)), "the force wanted");
    assert_eq!(unit.lacks(newtons(1e6)), Ok(None));
    let fade = Fade::of(&[(1000.0, 10.0), (2000.0, 19.0)]).unwrap();
    for (u, x) in [(-1.0, 1.0), (1.0, -1.0), (1.0, f64::NAN), (f64::INFINITY, 1.0)] {
        assert!(fade.after(90.0, u, x, 0.95).is_err(), "{u} {x}");
    }
}
