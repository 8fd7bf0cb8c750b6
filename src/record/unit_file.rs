use super::document::{Document, Faults, Section};
use super::offer::read_offer;
use super::unit::{
    Aim, Bolts, Depth, Friction, Limits, MOST_PLATES, Oil, PackPlan, Plate, Proof, Ramp, Spring, SpringKind,
    Unit,
};
use crate::mechanics::pack::{active_faces, faces_possible, friction_radius};
use crate::mechanics::settle::Options;
use crate::mechanics::{
    BoltSize, CoilSpring, DiscSpring, GearThrust, Held, Keying, PressurePattern, PropertyClass, SpringPlace,
    SpringStack, TabFriction,
};
use crate::quantity::{Angle, Force, Length, Ratio, SpringRate, Torque, Volume};
use std::collections::{HashMap, HashSet};

/// The first line of a unit file.
const FORMAT: &str = "shimwright unit 1";

const KEYED: &[(Keying, &str)] = &[(Keying::Gear, "gear"), (Keying::Case, "case")];

/// Words for how a unit is held for its proof.
pub(super) const HELD: &[(Held, &str)] = &[(Held::Case, "case"), (Held::Output, "output")];

/// Words for where a spring sits.
pub(super) const PLACE: &[(SpringPlace, &str)] = &[
    (SpringPlace::BehindPack, "behind the pack"),
    (SpringPlace::BetweenRings, "between the rings"),
];

fn is_part(thickness: Length) -> bool {
    (Length::from_um(50)..=Length::from_um(50_000)).contains(&thickness)
}

const PART: &str = "at least 0.05 mm and at most 50 mm";

fn is_size(length: Length) -> bool {
    (Length::from_um(1_000)..=Length::from_um(1_000_000)).contains(&length)
}

const SIZE: &str = "at least 1 mm and at most 1 m";

fn is_friction(ratio: Ratio) -> bool {
    (0.0..=1.0).contains(&ratio.value())
}

const FRICTION: &str = "at least 0 and at most 1";

pub(super) fn check_format(top: &Section<'_>, wanted: &str) {
    if top.text("format").is_some_and(|format| format != wanted) {
        top.fault_at(
            "format",
            format!("this format is not known here; \"{wanted}\" is wanted"),
        );
    }
}

fn read_depth(top: &Section<'_>) -> Option<Depth> {
    let through = top.word("layout", &[(true, "through"), (false, "per-side")]);
    let case = top.section("case")?;
    let depth = match through? {
        true => case.quantity_where("depth", SIZE, is_size).map(Depth::Through),
        false => {
            let left = case.quantity_where("depth_left", SIZE, is_size);
            let right = case.quantity_where("depth_right", SIZE, is_size);
            left.zip(right).map(|(left, right)| Depth::PerSide([left, right]))
        }
    };
    case.finish();
    depth
}

fn read_ramp(section: &Section<'_>) -> Option<Ramp> {
    let drive = section.quantity("drive");
    let coast = section.quantity("coast");
    let friction = section.quantity_where("friction", FRICTION, is_friction);
    let pin_radius = section.quantity_where("pin_radius", SIZE, is_size);
    let gear = section.section_maybe("gear").map(|gear| {
        let steep = |angle: Angle| angle.degrees() > 0.0 && angle.degrees() < 90.0;
        let radius = gear.quantity_where("radius", SIZE, is_size);
        let pressure_angle = gear.quantity_where("pressure_angle", "more than 0° and less than 90°", steep);
        let pitch_angle = gear.quantity_where("pitch_angle", "more than 0° and less than 90°", steep);
        gear.finish();
        Some(GearThrust {
            gear_radius: radius?,
            pressure_angle: pressure_angle?,
            pitch_angle: pitch_angle?,
        })
    });
    let tabs = section.section_maybe("tabs").map(|tabs| {
        let radius = tabs.quantity_where("radius", SIZE, is_size);
        let friction = tabs.quantity_where("friction", FRICTION, is_friction);
        tabs.finish();
        Some(TabFriction {
            radius: radius?,
            friction: friction?,
        })
    });
    section.finish();
    Some(Ramp {
        drive: drive?,
        coast: coast?,
        friction: friction?,
        pin_radius: pin_radius?,
        gear: gear.map_or(Some(None), |gear| gear.map(Some))?,
        tabs: tabs.map_or(Some(None), |tabs| tabs.map(Some))?,
    })
}

fn read_friction(section: &Section<'_>) -> Option<Friction> {
    let above_zero = |ratio: Ratio| is_friction(ratio) && ratio.value() > 0.0;
    let limits = "more than 0 and at most 1";
    let still = section.quantity_where("still", limits, above_zero);
    let turning = section.quantity_where("turning", limits, above_zero);
    let outside = section.quantity_where("outside", SIZE, is_size);
    let inside = section.quantity_where("inside", SIZE, is_size);
    let pattern = section.word(
        "pressure",
        &[
            (PressurePattern::RunIn, "run-in"),
            (PressurePattern::Even, "even"),
        ],
    );
    let doubt = section.quantity_maybe_where("doubt", FRICTION, is_friction);
    let wall_is_face = section.flag_maybe("wall_is_face").unwrap_or(false);
    section.finish();
    let (outside, inside, pattern) = (outside?, inside?, pattern?);
    // the file gives diameters, as a plate is measured; the formula wants radii
    let half = |diameter: Length| Length::from_nm(diameter.nm() / 2);
    match friction_radius(half(outside), half(inside), pattern) {
        Ok(radius) => Some(Friction {
            still: still?,
            doubt: match doubt {
                Some(doubt) => doubt,
                None => Ratio::new(turning?.value() / 10.0).ok()?,
            },
            turning: turning?,
            outside,
            inside,
            pattern,
            radius,
            wall_is_face,
        }),
        Err(error) => {
            section.fault_at("inside", error.to_string());
            None
        }
    }
}

fn read_spring(section: &Section<'_>) -> Option<Spring> {
    let place = section.word("place", PLACE);
    let disc = section.word("kind", &[(true, "disc"), (false, "coil")]);
    let least_height = section.quantity_maybe_where("least_height", SIZE, is_part);
    let made = match disc {
        Some(true) => {
            let outside = section.quantity_where("outside", SIZE, is_size);
            let inside = section.quantity_where("inside", SIZE, is_size);
            let thickness = section.quantity_where("thickness", PART, is_part);
            let height = section.quantity_where("height", PART, is_part);
            let reduced = section.quantity_maybe_where("reduced", PART, is_part);
            let parallel = section.count_maybe("parallel", 1..21).unwrap_or(1);
            let series = section.count_maybe("series", 1..21).unwrap_or(1);
            section.finish();
            let disc = DiscSpring::new(outside?, inside?, thickness?, height?, reduced);
            disc.and_then(|disc| {
                SpringStack::discs(disc, parallel, series).map(|stack| {
                    (
                        stack,
                        SpringKind::Discs {
                            disc,
                            parallel,
                            series,
                        },
                    )
                })
            })
        }
        Some(false) => {
            let free = section.quantity_where("free", SIZE, is_size);
            let solid = section.quantity_where("solid", SIZE, is_size);
            let rate = section
                .quantity_where::<SpringRate>("rate", "more than 0", |rate| rate.newtons_per_mm() > 0.0);
            let count = section.count_maybe("count", 1..101).unwrap_or(1);
            section.finish();
            let (solid, rate) = (solid?, rate?);
            CoilSpring::new(free?, solid, rate)
                .and_then(|coil| SpringStack::coils(coil, count))
                .map(|stack| (stack, SpringKind::Coils { solid, rate, count }))
        }
        None => return None,
    };
    match made {
        Ok((stack, kind)) => Some(Spring {
            place: place?,
            stack,
            least_height,
            kind,
        }),
        Err(error) => {
            section.fault(section.span(), error.to_string());
            None
        }
    }
}

type Wanted = (Aim, Proof, Length, u32, Torque);

fn read_wanted(section: &Section<'_>, sprung: bool, spring: Option<&Spring>) -> Option<Wanted> {
    let aim = if sprung {
        let positive = |force: Force| force.newtons() > 0.0;
        let least = section.quantity_where::<Force>("preload_least", "more than 0 N", positive);
        let target = section.quantity_where::<Force>("preload_target", "more than 0 N", positive);
        let most = section.quantity_where::<Force>("preload_most", "more than 0 N", positive);
        let (least, target, most) = (least?, target?, most?);
        upside_down(section, "preload_target", least <= target && target <= most);
        if let Some(spring) = spring {
            for (key, force) in [("preload_target", target), ("preload_most", most)] {
                if spring.stack.heights_for_force(force).is_empty() {
                    section.fault_at(
                        key,
                        format!(
                            "{key} is {force}, but this spring gives at most {} before it is solid",
                            spring.most_words()
                        ),
                    );
                }
            }
        }
        Aim::Preload { least, target, most }
    } else {
        let small = |gap: Length| (Length::ZERO..=Length::from_um(10_000)).contains(&gap);
        let limits = "at least 0 mm and at most 10 mm";
        let least = section.quantity_where("gap_least", limits, small);
        let target = section.quantity_where("gap_target", limits, small);
        let most = section.quantity_where("gap_most", limits, small);
        let (least, target, most) = (least?, target?, most?);
        upside_down(section, "gap_target", least <= target && target <= most);
        Aim::Gap { least, target, most }
    };
    let not_less = |torque: Torque| torque.newton_metres() >= 0.0;
    let least = section.quantity_where::<Torque>("breakaway_least", "at least 0 N·m", not_less);
    let most = section.quantity_where::<Torque>("breakaway_most", "at least 0 N·m", not_less);
    if let (Some(least), Some(most)) = (least, most) {
        upside_down(section, "breakaway_most", least <= most);
    }
    let held = section.word("held", HELD);
    let sides_match = section.quantity_where("sides_match", "at least 0 mm and at most 2 mm", |limit| {
        (Length::ZERO..=Length::from_um(2_000)).contains(&limit)
    });
    let most_shims = section.count("shims_a_side", 0..11);
    let curve_to = section.quantity_where::<Torque>("curve_to", "more than 0 N·m", |torque| {
        torque.newton_metres() > 0.0
    });
    section.finish();
    Some((
        aim,
        Proof {
            held: held?,
            least: least?,
            most: most?,
        },
        sides_match?,
        most_shims?,
        curve_to?,
    ))
}

fn upside_down(section: &Section<'_>, key: &str, right: bool) {
    if !right {
        section.fault_at(
            key,
            "the window is upside down: least, target and most must rise in this order",
        );
    }
}

fn read_limits(section: &Section<'_>) -> Option<Limits> {
    let gear_least = section.quantity_where("gear_least", PART, is_part);
    let case_least = section.quantity_where("case_least", PART, is_part);
    let small = |limit: Length| (Length::from_um(1)..=Length::from_um(2_000)).contains(&limit);
    let spread = section.quantity_where("spread", "at least 0.001 mm and at most 2 mm", small);
    let flatness = section.quantity_where("flatness", "at least 0.001 mm and at most 2 mm", small);
    let confidence = section
        .quantity_maybe_where::<Ratio>("confidence", "more than 0.5 and less than 1", |share| {
            share.value() > 0.5 && share.value() < 1.0
        })
        .map_or(0.95, Ratio::value);
    section.finish();
    Some(Limits {
        gear_least: gear_least?,
        case_least: case_least?,
        spread: spread?,
        flatness: flatness?,
        confidence,
    })
}

pub(super) fn read_plates(top: &Section<'_>, key: &'static str) -> Vec<Plate> {
    let sections = top.sections(key);
    if sections.len() > MOST_PLATES {
        top.fault_at(
            key,
            format!("{} plates are too many; at most {MOST_PLATES}", sections.len()),
        );
        return Vec::new();
    }
    let mut seen = HashMap::new();
    let mut parts = HashSet::new();
    let mut plates = Vec::new();
    for section in sections {
        let name = section.text("name");
        let keyed = section.word("keyed", KEYED);
        let nominal = section.quantity_where("thickness", PART, is_part);
        let part = section.text_maybe("part");
        section.finish();
        if let Some(part) = &part {
            // a slash stands in the names of plates that have no part: the unit's id goes before it
            if !is_plate_name(part) {
                section.fault_at(
                    "part",
                    "a part is 1 to 24 characters, without spaces, commas or /, and no other plate has it",
                );
            }
            if !parts.insert(part.clone()) {
                section.fault_at("part", format!("two plates are part {part}"));
            }
        }
        if let Some(name) = &name {
            if !is_plate_name(name) {
                section.fault_at(
                    "name",
                    "a plate's name is at most 24 characters, without spaces, commas or /",
                );
            }
            if seen.insert(name.clone(), ()).is_some() {
                section.fault_at("name", format!("two plates are called {name}"));
            }
        }
        if let (Some(name), Some(keyed), Some(nominal)) = (name, keyed, nominal) {
            plates.push(Plate {
                name,
                keyed,
                nominal,
                part,
            });
        }
    }
    plates
}

fn is_plate_name(name: &str) -> bool {
    (1..=24).contains(&name.chars().count())
        && !name
            .chars()
            .any(|c| c.is_whitespace() || c.is_control() || c == ',' || c == '/')
}

fn read_pack(
    section: &Section<'_>,
    plates: &[Plate],
    used: &mut HashMap<String, ()>,
    wall_is_face: bool,
) -> Option<PackPlan> {
    let count = section.count("count", 1..(MOST_PLATES as u32 + 1));
    let named = section.texts("order");
    if !section.has("order") {
        section.fault(
            section.span(),
            "\"order\" is missing: the plates from the case wall to the ring are wanted",
        );
    }
    let shims = section.quantities::<Length>("shims").unwrap_or_default();
    if shims.iter().any(|shim| !is_part(*shim)) {
        section.fault_at("shims", format!("a shim must be {PART}"));
    }
    let mut keys = Vec::new();
    for (name, span) in &named {
        match plates.iter().find(|plate| plate.name == *name) {
            None if plates.is_empty() => {}
            None => section.fault(span.clone(), format!("no [[plate]] is called \"{name}\"")),
            Some(plate) => {
                keys.push(plate.keyed);
                if used.insert(name.clone(), ()).is_some() {
                    section.fault(span.clone(), format!("plate {name} is in the packs twice"));
                }
            }
        }
    }
    let faces = section.count_maybe("faces", 0..401);
    section.finish();
    let count = count?;
    if named.len() != count as usize {
        section.fault_at(
            "order",
            format!("count says {count} plates, but the order lists {}", named.len()),
        );
        return None;
    }
    if keys.len() != named.len() {
        return None;
    }
    let gear = keys.iter().filter(|key| **key == Keying::Gear).count() as u32;
    let case = keys.len() as u32 - gear;
    if gear == 0 {
        section.fault_at(
            "order",
            "a pack without a plate that is keyed to the gear rubs nowhere",
        );
        return None;
    }
    let faces = faces.unwrap_or_else(|| active_faces(&keys, wall_is_face));
    let possible = faces_possible(gear, case, wall_is_face);
    if !possible.contains(&faces) {
        section.fault_at(
            "faces",
            format!(
                "{gear} gear-keyed and {case} case-keyed plates can not give {faces} active faces; possible: {}",
                possible.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
            ),
        );
    }
    Some(PackPlan {
        order: named.into_iter().map(|(name, _)| name).collect(),
        shims,
        faces,
    })
}

fn read_bolts(section: &Section<'_>) -> Option<Bolts> {
    let name = section.text("name");
    let size = section.text("size").and_then(|text| {
        text.parse::<BoltSize>()
            .map_err(|error| section.fault_at("size", error.to_string()))
            .ok()
    });
    let class = section.text("class").and_then(|text| {
        text.parse::<PropertyClass>()
            .map_err(|error| section.fault_at("class", error.to_string()))
            .ok()
    });
    let count = section.count("count", 1..101);
    let stages = section.quantities::<Torque>("stages");
    if stages.is_none() && !section.has("stages") {
        section.fault(
            section.span(),
            "\"stages\" is missing: the maker's torque, such as [\"20 N·m\", \"45 N·m\"]",
        );
    }
    if let Some(stages) = &stages
        && (stages.is_empty()
            || stages.first().is_some_and(|first| first.newton_metres() <= 0.0)
            || stages.windows(2).any(|pair| pair[0] >= pair[1]))
    {
        section.fault_at("stages", "the stages must be more than 0 N·m and rise");
    }
    let angle = section.quantity_maybe_where::<Angle>("angle", "more than 0° and at most 360°", |angle| {
        angle.degrees() > 0.0 && angle.degrees() <= 360.0
    });
    let locker = section.text_maybe("locker");
    section.finish();
    Some(Bolts {
        name: name?,
        size: size?,
        class: class?,
        count: count?,
        stages: stages?,
        angle,
        locker,
    })
}

impl Unit {
    /// Reads a unit from TOML text; gives every fault at once.
    pub fn read(file: &str, source: &str) -> Result<Unit, Faults> {
        Document::read(file, source, |top| {
            check_format(top, FORMAT);
            let id = top.text("id");
            if let Some(id) = &id
                && !(id.len() <= 40
                    && id
                        .chars()
                        .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-'))
            {
                top.fault_at(
                    "id",
                    format!("\"{id}\" is no id: at most 40 small letters, digits and -"),
                );
            }
            let name = top.text("name");
            let car = top.text_maybe("car");
            let drawer = top.text_maybe("drawer");
            let instruments = top.text_maybe("instruments");
            let depth = read_depth(top);
            let ramp = top.section("ramp").and_then(|section| read_ramp(&section));
            let friction = top
                .section("friction")
                .and_then(|section| read_friction(&section));
            let rings = top.section("rings").and_then(|section| {
                let left = section.quantity_where("left", PART, is_part);
                let right = section.quantity_where("right", PART, is_part);
                section.finish();
                Some([left?, right?])
            });
            let spring_section = top.section_maybe("spring");
            let spring = spring_section.as_ref().and_then(read_spring);
            let wanted = top.section("wanted");
            let sprung = spring_section.is_some();
            let wanted = wanted.and_then(|section| read_wanted(&section, sprung, spring.as_ref()));
            if let (Some(section), Some(spring), Some(Depth::PerSide(_))) = (&spring_section, &spring, &depth)
                && spring.place == SpringPlace::BetweenRings
            {
                section.fault_at(
                    "place",
                    "a spring between the rings spans both packs, so the layout must be \"through\"",
                );
            }
            let limits = top.section("limits").and_then(|section| read_limits(&section));
            let plates = read_plates(top, "plate");
            let packs = top.section("pack").and_then(|section| {
                let mut used = HashMap::new();
                let wall = friction.is_some_and(|friction| friction.wall_is_face);
                let left = section
                    .section("left")
                    .and_then(|side| read_pack(&side, &plates, &mut used, wall));
                let right = section
                    .section("right")
                    .and_then(|side| read_pack(&side, &plates, &mut used, wall));
                section.finish();
                for plate in &plates {
                    if left.is_some() && right.is_some() && !used.contains_key(&plate.name) {
                        section.fault(
                            section.span(),
                            format!("plate {} is in neither pack's order", plate.name),
                        );
                    }
                }
                Some([left?, right?])
            });
            let bolts: Vec<Option<Bolts>> = top.sections("bolts").iter().map(read_bolts).collect();
            if bolts.is_empty() {
                top.fault(
                    0..0,
                    "at least one [[bolts]] group is wanted, with the maker's torque",
                );
            }
            let oil = top.section_maybe("oil").and_then(|section| {
                let kind = section.text("kind");
                let amount =
                    section.quantity_where::<Volume>("amount", "more than 0 and at most 20 l", |v| {
                        v.litres() > 0.0 && v.litres() <= 20.0
                    });
                section.finish();
                Some(Oil {
                    kind: kind?,
                    amount: amount?,
                })
            });
            let offer = match top.section_maybe("offer") {
                Some(section) => read_offer(&section, spring.as_ref()),
                None => Some(Options::default()),
            };
            top.finish();
            let (aim, proof, sides_match, most_shims, curve_to) = wanted?;
            Some(Unit {
                id: id?,
                name: name?,
                car,
                depth: depth?,
                ramp: ramp?,
                friction: friction?,
                rings: rings?,
                spring,
                aim,
                proof,
                sides_match,
                most_shims,
                curve_to,
                limits: limits?,
                plates,
                packs: packs?,
                bolts: bolts.into_iter().collect::<Option<Vec<_>>>()?,
                oil,
                drawer,
                instruments,
                offer: offer?,
            })
        })
    }
}
