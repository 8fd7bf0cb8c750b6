//! The reader of a unit's file.

use super::gears::Gears;
use super::offer::read_offer;
use super::tolerance::{CertificateRead, SpringTolerance, ToleranceBy, read_band};
use super::unit::{
    Aim, Bolts, CaseMetal, Cover, Depth, Friction, Limits, MOST_PLATES, Oil, PackPlan, Plate, Proof, Ramp,
    Spring, SpringKind, Unit,
};
use crate::document::{Document, Faults, Letters, Section, Spelling};
use crate::mechanics::pack::{active_faces, faces_possible, friction_radius};
use crate::mechanics::tune::Options;
use crate::mechanics::{
    BoltSize, CoilSpring, DiscSpring, GearThrust, Held, Keying, PressurePattern, PropertyClass, SpringPlace,
    SpringStack, TabFriction,
};
use crate::quantity::{Angle, Force, Length, Ratio, SpringRate, Temperature, Torque, Volume};
use std::collections::{HashMap, HashSet};

/// The first line of a unit file.
pub(super) const FORMAT: &str = "shimwright unit 1";

const KEYED: &[(Keying, &str)] = &[(Keying::Gear, "gear"), (Keying::Case, "case")];

/// Words for how a unit is held for its proof.
pub(super) const HELD: &[(Held, &str)] = &[(Held::Case, "case"), (Held::Output, "output")];

/// Words for where a spring sits.
pub(super) const PLACE: &[(SpringPlace, &str)] = &[
    (SpringPlace::BehindPack, "behind the pack"),
    (SpringPlace::BetweenRings, "between the rings"),
];

const PART: &str = "at least 0.05 mm and at most 50 mm";
const SIZE: &str = "at least 1 mm and at most 1 m";
const FRICTION: &str = "at least 0 and at most 1";
const STEEP: &str = "more than 0° and less than 90°";

/// The id of a unit.
pub(super) static ID: Spelling = Spelling {
    name: "id",
    says: "at most 40 small letters, digits and -",
    rule: "sense",
    letters: Letters::Id,
    length: 1..=40,
    example: "moor-rear",
};

/// The name of a plate.
static PLATE: Spelling = Spelling {
    name: "name of a plate",
    says: "it is 1 to 24 characters, without spaces, commas or /",
    rule: "sense",
    letters: Letters::Name,
    length: 1..=24,
    example: "C1",
};

/// A plate as a part of its own.
static PLATE_PART: Spelling = Spelling {
    name: "part",
    says: "a part is 1 to 24 characters, without spaces, commas or /, and no other plate has it",
    rule: "sense",
    letters: Letters::Name,
    length: 1..=24,
    example: "P0417",
};

/// Words for where a case opens.
const COVER: &[(Cover, &str)] = &[
    (Cover::Left, "left"),
    (Cover::Right, "right"),
    (Cover::Both, "both"),
];

/// Words for what a case is made of.
const METAL: &[(CaseMetal, &str)] = &[
    (CaseMetal::Steel, "steel"),
    (CaseMetal::Iron, "iron"),
    (CaseMetal::Aluminium, "aluminium"),
];

/// A case as its table has it.
struct Case {
    depth: Depth,
    cover: Option<Cover>,
    metal: Option<CaseMetal>,
    warm: Temperature,
}

/// The temperature at which a unit runs where its file does not say, in degrees Celsius (*common practice, no source*).
const USUALLY_WARM: f64 = 80.0;

fn read_case(top: &Section<'_>) -> Option<Case> {
    let through = top.word("layout", &[(true, "through"), (false, "per-side")]);
    let case = top.section("case")?;
    let depth = match through? {
        true => case.quantity_where("depth", SIZE).map(Depth::Through),
        false => {
            let left = case.quantity_where("depth_left", SIZE);
            let right = case.quantity_where("depth_right", SIZE);
            left.zip(right).map(|(left, right)| Depth::PerSide([left, right]))
        }
    };
    let cover = case.word_maybe("cover", COVER);
    let metal = case.word_maybe("metal", METAL);
    let warm = case.quantity_maybe_where("warm", "at least 20 °C and at most 200 °C");
    case.finish();
    Some(Case {
        depth: depth?,
        cover,
        metal,
        warm: warm.or(Temperature::from_celsius(USUALLY_WARM).ok())?,
    })
}

pub(super) fn read_ramp(section: &Section<'_>) -> Option<Ramp> {
    let drive = section.quantity("drive");
    let coast = section.quantity("coast");
    let friction = section.quantity_where("friction", FRICTION);
    let pin_radius = section.quantity_where("pin_radius", SIZE);
    let gear = section.section_maybe("gear").map(|gear| {
        let radius = gear.quantity_where("radius", SIZE);
        let pressure_angle = gear.quantity_where("pressure_angle", STEEP);
        let pitch_angle = gear.quantity_where("pitch_angle", STEEP);
        gear.finish();
        Some(GearThrust {
            gear_radius: radius?,
            pressure_angle: pressure_angle?,
            pitch_angle: pitch_angle?,
        })
    });
    let tabs = section.section_maybe("tabs").map(|tabs| {
        let radius = tabs.quantity_where("radius", SIZE);
        let friction = tabs.quantity_where("friction", FRICTION);
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

/// Still friction over turning friction where a closed unit's file says nothing: *common practice, no source*.
const STILL: f64 = 1.2;

/// Reads `[friction]`; of a closed unit less must be there.
pub(super) fn read_friction(section: &Section<'_>, closed: bool) -> Option<Friction> {
    let limits = "more than 0 and at most 1";
    let still: Option<Ratio> = match closed {
        true => section.quantity_maybe_where("still", limits),
        false => section.quantity_where("still", limits),
    };
    let turning: Option<Ratio> = section.quantity_where("turning", limits);
    let still = match (closed, turning) {
        (true, Some(turning)) => still.or_else(|| Ratio::new((STILL * turning.value()).min(1.0)).ok()),
        _ => still,
    };
    let outside = section.quantity_where("outside", SIZE);
    let inside = section.quantity_where("inside", SIZE);
    let patterns = [
        (PressurePattern::RunIn, "run-in"),
        (PressurePattern::Even, "even"),
    ];
    let pattern = match closed {
        true => Some(
            section
                .word_maybe("pressure", &patterns)
                .unwrap_or(PressurePattern::RunIn),
        ),
        false => section.word("pressure", &patterns),
    };
    let doubt = section.quantity_maybe_where("doubt", FRICTION);
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
    let least_height = section.quantity_maybe_where("least_height", PART);
    let part = section.text_maybe("part");
    let certified = section.section_maybe("certificate");
    let certificate = certified.as_ref().map(CertificateRead::read);
    let tolerance = match certified {
        Some(_) => {
            let words = "the certificate has a tolerance of its own: leave this one out";
            section.not_here("tolerance", "sense", words);
            None
        }
        None => read_band(section, "tolerance"),
    };
    let mut thickness_measured = false;
    // what is there and can not be read is told, and nothing is put in its place
    let told = section.has("tolerance") && tolerance.is_none();
    let made = match disc {
        Some(true) => {
            let outside = section.quantity_where("outside", SIZE);
            let inside = section.quantity_where("inside", SIZE);
            let thickness = section.quantity_where("thickness", PART);
            let height = section.quantity_where("height", PART);
            let reduced = section.quantity_maybe_where("reduced", PART);
            let parallel = section.count_maybe("parallel", 1..21).unwrap_or(1);
            let series = section.count_maybe("series", 1..21).unwrap_or(1);
            thickness_measured = section.flag_maybe("thickness_measured").unwrap_or(false);
            let beside = ["certificate", "tolerance", "reduced"];
            if let Some(beside) = beside
                .into_iter()
                .find(|key| thickness_measured && section.has(key))
            {
                section.fault_at(
                    "thickness_measured",
                    format!("beside {beside} the force does not follow from a measured thickness: leave one of the two out"),
                );
                return None;
            }
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
            let free = section.quantity_where("free", SIZE);
            let solid = section.quantity_where("solid", SIZE);
            let rate = section.quantity_where::<SpringRate>("rate", "more than 0 N/mm");
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
        Ok((stack, kind)) => {
            let usual = SpringTolerance::default_for(kind.thickness()).ok()?;
            let tolerance = match (tolerance, certified.zip(certificate)) {
                (_, Some((certified, certificate))) => {
                    certificate?.held_to(&certified, &stack.one(), part.as_deref(), &usual)?
                }
                (Some([least, most]), None) => SpringTolerance {
                    least,
                    most,
                    by: ToleranceBy::File,
                },
                (None, None) if told => return None,
                (None, None) => usual,
            };
            Some(Spring {
                place: place?,
                stack: match &tolerance.by {
                    ToleranceBy::Certificate(known) => stack.one_read(known.height, known.force).ok()?,
                    _ => stack,
                },
                least_height,
                kind,
                tolerance,
                thickness_measured,
            })
        }
        Err(error) => {
            section.fault(section.span(), error.to_string());
            None
        }
    }
}

type Wanted = (Aim, Proof, Length, u32, Torque);

fn read_wanted(section: &Section<'_>, sprung: bool, spring: Option<&Spring>) -> Option<Wanted> {
    let aim = if sprung {
        let least = section.quantity_where::<Force>("preload_least", "more than 0 N");
        let target = section.quantity_where::<Force>("preload_target", "more than 0 N");
        let most = section.quantity_where::<Force>("preload_most", "more than 0 N");
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
        let limits = "at least 0 mm and at most 10 mm";
        let least = section.quantity_where("gap_least", limits);
        let target = section.quantity_where("gap_target", limits);
        let most = section.quantity_where("gap_most", limits);
        let (least, target, most) = (least?, target?, most?);
        upside_down(section, "gap_target", least <= target && target <= most);
        Aim::Gap { least, target, most }
    };
    let least = section.quantity_where::<Torque>("breakaway_least", "at least 0 N·m");
    let most = section.quantity_where::<Torque>("breakaway_most", "at least 0 N·m");
    if let (Some(least), Some(most)) = (least, most) {
        upside_down(section, "breakaway_most", least <= most);
    }
    let held = section.word("held", HELD);
    let sides_match = section.quantity_where("sides_match", "at least 0 mm and at most 2 mm");
    let most_shims = section.count("shims_a_side", 0..11);
    let curve_to = section.quantity_where::<Torque>("curve_to", "more than 0 N·m");
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
    let gear_least = section.quantity_where("gear_least", PART);
    let case_least = section.quantity_where("case_least", PART);
    let spread = section.quantity_where("spread", "at least 0.001 mm and at most 2 mm");
    let flatness = section.quantity_where("flatness", "at least 0.001 mm and at most 2 mm");
    let confidence = section
        .quantity_maybe_where::<Ratio>("confidence", "more than 0.5 and less than 1")
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

/// Reads plates; `strict` as for [`Unit::read`].
pub(super) fn read_plates(top: &Section<'_>, key: &'static str, strict: bool) -> Vec<Plate> {
    let sections = top.sections_up_to(key, MOST_PLATES);
    let mut seen = HashMap::new();
    let mut parts = HashSet::new();
    let mut plates = Vec::new();
    for section in sections {
        let name = section.spelt("name", &PLATE);
        let keyed = section.word("keyed", KEYED);
        let nominal = section.quantity_where("thickness", PART);
        let part = section.spelt_maybe("part", &PLATE_PART);
        section.finish();
        if let Some(part) = &part {
            // a slash stands in the names of plates that have no part: the unit's id goes before it
            if !parts.insert(part.clone()) {
                section.fault_at("part", format!("two plates are part {part}"));
            }
        }
        if let Some(word) = name.as_deref().filter(|name| strict && Plate::is_row_word(name)) {
            section.fault_at(
                "name",
                format!("no plate can be called \"{word}\": where plates are typed in rows it is a word of its own"),
            );
        }
        if let Some(name) = &name
            && seen.insert(name.clone(), ()).is_some()
        {
            section.fault_at("name", format!("two plates are called {name}"));
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

/// What a pack is held to.
#[derive(Clone, Copy)]
struct PackRules {
    /// Whether a plate may rub on the case wall where no shim lies between.
    wall: bool,
    /// Whether the rules count that a unit file in the book may be older than.
    strict: bool,
}

fn read_pack(
    section: &Section<'_>,
    plates: &[Plate],
    used: &mut HashMap<String, ()>,
    rules: PackRules,
) -> Option<PackPlan> {
    let count = section.count("count", 1..(MOST_PLATES as u32 + 1));
    let named = section.texts("order");
    section.needed("order", "a list of the plates from the case wall to the ring");
    let shims = section
        .quantities_where::<Length>("shims", PART, 0..=usize::MAX)
        .unwrap_or_default();
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
    let is_meant = section.flag_maybe("dead_faces_meant").unwrap_or(false);
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
    let wall = rules.wall && shims.is_empty();
    let of_order = active_faces(&keys, wall);
    let faces = faces.unwrap_or(of_order);
    let possible = faces_possible(gear, case, wall);
    if !rules.strict {
        // an old record goes by what its file said
    } else if !possible.contains(&faces) {
        section.fault_at(
            "faces",
            format!(
                "{gear} gear-keyed and {case} case-keyed plates can not give {faces} active faces; possible: {}",
                possible.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
            ),
        );
    } else if faces > of_order {
        section.fault_at(
            "faces",
            format!(
                "the order has {of_order} active faces, and this says {faces}: count again{}, or list the order that \
                 has them",
                if rules.wall && !wall { " without the wall, where the shims lie" } else { "" }
            ),
        );
    } else if faces < of_order && !is_meant {
        section.fault_at(
            "faces",
            format!(
                "the order has {of_order} active faces, and this says {faces}: is a dead face meant? Count again, or \
                 write dead_faces_meant = true beside it"
            ),
        );
    } else if is_meant && possible.last() == Some(&faces) {
        section.fault_at(
            "dead_faces_meant",
            format!("no dead face is meant with {faces} active faces: these plates can not make more"),
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
    let size = section.read_as::<BoltSize>("size", BoltSize::pattern, "M8x1.25");
    let class = section.read_as::<PropertyClass>("class", PropertyClass::pattern, "10.9");
    let count = section.count("count", 1..101);
    let stages = section.quantities_where::<Torque>("stages", "more than 0 N·m", 1..=usize::MAX);
    section.needed("stages", "the maker's torque, such as [\"20 N·m\", \"45 N·m\"],");
    if let Some(stages) = &stages
        && stages.windows(2).any(|pair| pair[0] >= pair[1])
    {
        section.fault_at("stages", "the stages must be more than 0 N·m and rise");
    }
    let angle = section.quantity_maybe_where::<Angle>("angle", "more than 0° and at most 360°");
    let locker = section.text_maybe("locker");
    let new = section.flag_maybe("new").unwrap_or(false);
    section.finish();
    Some(Bolts {
        name: name?,
        size: size?,
        class: class?,
        count: count?,
        stages: stages?,
        angle,
        locker,
        new,
    })
}

/// Why a closed unit is not worked on.
const CLOSED: &str = "this unit is closed: its file says that nobody has opened it, and nothing of its plates, springs and bolts. \
                      Only settle and lint read such a file. Before it is opened describe all of it by `shimwright new-unit`";

impl Unit {
    /// Reads a unit from TOML text; gives every fault at once. A closed one is refused: [`UnitFile::read`] reads both.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    ///
    /// [`UnitFile::read`]: super::UnitFile::read
    pub fn read(file: &str, source: &str) -> Result<Unit, Faults> {
        Document::read(file, source, |top| match top.is_marked("closed") {
            true => {
                top.fault_by("closed-unit", top.span_of("closed"), CLOSED);
                None
            }
            false => Unit::read_top(top, true),
        })
    }

    /// Reads a unit that a build in the book was begun with: rules that came later do not close an old record.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read_kept(file: &str, source: &str) -> Result<Unit, Faults> {
        Document::read(file, source, |top| Unit::read_top(top, false))
    }

    /// Reads it from the top of its document; `strict` as for [`Unit::read`].
    pub(super) fn read_top(top: &Section<'_>, strict: bool) -> Option<Unit> {
        top.format(FORMAT);
        let id = top.spelt("id", &ID);
        let name = top.text("name");
        let car = top.text_maybe("car");
        let drawer = top.text_maybe("drawer");
        let instruments = top.text_maybe("instruments");
        let case = read_case(top);
        let ramp = top.section("ramp").and_then(|section| read_ramp(&section));
        let friction_section = top.section("friction");
        let friction = friction_section
            .as_ref()
            .and_then(|section| read_friction(section, false));
        let rings = top.section("rings").and_then(|section| {
            let left = section.quantity_where("left", PART);
            let right = section.quantity_where("right", PART);
            section.finish();
            Some([left?, right?])
        });
        let spring_section = top.section_maybe("spring");
        let spring = spring_section.as_ref().and_then(read_spring);
        let wanted = top.section("wanted");
        let sprung = spring_section.is_some();
        let wanted = wanted.and_then(|section| read_wanted(&section, sprung, spring.as_ref()));
        if let (Some(section), Some(spring), Some(Depth::PerSide(_))) =
            (&spring_section, &spring, case.as_ref().map(|case| &case.depth))
            && spring.place == SpringPlace::BetweenRings
        {
            section.fault_at(
                "place",
                "a spring between the rings spans both packs, so the layout must be \"through\"",
            );
        }
        let wall_is_face = friction.is_some_and(|friction| friction.wall_is_face);
        let is_behind = spring
            .as_ref()
            .is_some_and(|spring| spring.place == SpringPlace::BehindPack);
        if let (Some(section), true, true, true) = (&friction_section, strict, wall_is_face, is_behind) {
            section.fault_at(
                "wall_is_face",
                "the springs lie behind the pack, between the case wall and the first plate, so no plate rubs on the wall: \
                 leave wall_is_face out",
            );
        }
        let limits = top.section("limits").and_then(|section| read_limits(&section));
        let plates = read_plates(top, "plate", strict);
        let packs = top.section("pack").and_then(|section| {
            let mut used = HashMap::new();
            let rules = PackRules {
                wall: wall_is_face && !is_behind,
                strict,
            };
            let left = section
                .section("left")
                .and_then(|side| read_pack(&side, &plates, &mut used, rules));
            let right = section
                .section("right")
                .and_then(|side| read_pack(&side, &plates, &mut used, rules));
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
        let bolts: Vec<Option<Bolts>> = top
            .sections_some(
                "bolts",
                "missing-key",
                "at least one [[bolts]] group is wanted, with the maker's torque",
            )
            .iter()
            .map(read_bolts)
            .collect();
        let gears = top.section_maybe("gears").map(|section| Gears::read(&section));
        let oil = top.section_maybe("oil").and_then(|section| {
            let kind = section.text("kind");
            let amount = section.quantity_where::<Volume>("amount", "more than 0 l and at most 20 l");
            section.finish();
            Some(Oil {
                kind: kind?,
                amount: amount?,
            })
        });
        let offer = match top.section_maybe("offer") {
            Some(section) => read_offer(&section, sprung, spring.as_ref()),
            None => Some(Options::default()),
        };
        top.finish();
        let (aim, proof, sides_match, most_shims, curve_to) = wanted?;
        let case = case?;
        Some(Unit {
            id: id?,
            name: name?,
            car,
            depth: case.depth,
            cover: case.cover,
            metal: case.metal,
            warm: case.warm,
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
            gears,
            oil,
            drawer,
            instruments,
            offer: offer?,
        })
    }
}
