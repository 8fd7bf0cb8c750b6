//! A settled setting as a file: what the car needs of its unit, for the rebuild to aim at.

use super::step_library::Safety;
use super::unit::{Aim, Proof, Unit};
use super::unit_file::{HELD, PLACE};
use crate::document::{DAY, Document, Faults, Letters, Section, Spelling, quoted};
use crate::mechanics::axle::lock_share;
use crate::mechanics::{Direction, LockModel, MechanicsError, RampClass, Reaction, SpringPlace, ramp};
use crate::quantity::{Force, RampAngle, Ratio, Torque};
use std::fmt::Write as _;

/// The first line of a setting file.
const FORMAT: &str = "shimwright setting 1";

const SHARE: &str = "at least 0 and at most 1";
const NOT_LESS: &str = "at least 0";

/// The digest of a file.
static DIGEST: Spelling = Spelling {
    name: "digest",
    says: "64 hexadecimal digits are wanted",
    rule: "sense",
    letters: Letters::Hex,
    length: 64..=64,
    example: "0000000000000000000000000000000000000000000000000000000000000000",
};

const CLASS: &[(RampClass, &str)] = &[
    (RampClass::OneWay, "one-way"),
    (RampClass::OneAndAHalfWay, "one-and-a-half-way"),
    (RampClass::TwoWay, "two-way"),
];

/// What a setting was settled from: a name and the digest of its file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Origin {
    /// The name that stands in the file.
    pub name: String,
    /// The digest of the file, as hex.
    pub digest: String,
}

/// The files that a setting was settled from.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Origins {
    /// The unit.
    pub unit: Origin,
    /// The car.
    pub car: Origin,
    /// The use.
    pub wanted: Origin,
}

/// The preload of a setting.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct SettingSpring {
    /// Where the springs sit.
    pub place: SpringPlace,
    /// Least force on each pack.
    pub least: Force,
    /// Wanted force on each pack.
    pub target: Force,
    /// Most force on each pack.
    pub most: Force,
}

/// The lock at one throttle.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct SettingPoint {
    /// Throttle, 0 to 1; 0 on coast.
    pub throttle: Ratio,
    /// The lock share that is wanted there.
    pub wanted: Ratio,
    /// The lock share that the setting is expected to give; `None` where both tyres can react the same.
    pub expected: Option<Ratio>,
    /// Torque at the case there.
    pub case_torque: Torque,
    /// What lies between the torques that the two tyres can react.
    pub between_tyres: Torque,
}

impl SettingPoint {
    /// The lock share that a unit gives here; `None` where both tyres can react the same.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn share_of(&self, model: &LockModel, direction: Direction) -> Result<Option<Ratio>, MechanicsError> {
        let reaction = Reaction {
            low: Torque::from_newton_metres(0.0)?,
            high: self.between_tyres,
        };
        lock_share(model, direction, self.case_torque, reaction)
    }
}

/// A settled setting.
#[derive(Clone, PartialEq, Debug)]
pub struct Setting {
    /// The day on which it was settled, as the person gave it.
    pub date: String,
    /// Which of the proposals was taken, from 1.
    pub take: u32,
    /// The id of the unit that it is for.
    pub unit_id: String,
    /// What it was settled from.
    pub from: Origins,
    /// The drive ramp.
    pub drive: RampAngle,
    /// The coast ramp.
    pub coast: RampAngle,
    /// Faces that rub, left and right.
    pub faces: [u32; 2],
    /// The preload, where the unit has springs.
    pub spring: Option<SettingSpring>,
    /// The share of the torque that the ramps lock, S, on drive and on coast.
    pub locking: [Ratio; 2],
    /// The points on drive.
    pub points: Vec<SettingPoint>,
    /// The point on coast.
    pub on_coast: SettingPoint,
    /// The window of the proof at the bench.
    pub proof: Proof,
    /// The breakaway torque that is expected in it, turning.
    pub breakaway: Torque,
}

/// Why a unit is not built to a setting.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum SettingError {
    /// It is for another unit.
    #[error("the setting is for the unit \"{wanted}\", and this unit is \"{unit}\"")]
    OtherUnit {
        /// The id in the setting.
        wanted: String,
        /// The id of the unit.
        unit: String,
    },
    /// The unit can not be built so; all reasons at once.
    #[error("the unit can not be built to the setting: {}", .0.join("; "))]
    CanNot(Vec<String>),
}

/// Something in which a unit differs from a setting before it is opened.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Differs {
    /// What.
    pub what: String,
    /// As the unit file has it.
    pub fitted: String,
    /// As the setting asks for.
    pub asked: String,
}

/// A unit that is rebuilt to a setting: what it is to become stands in its [`Unit`], what it was stands here.
#[derive(Clone, PartialEq, Debug)]
pub struct Rework {
    /// The setting.
    pub setting: Setting,
    /// The unit as its file has it.
    pub before: Unit,
    /// In what the two differ.
    pub differs: Vec<Differs>,
    /// Whether the unit's file is another one than the setting was settled from.
    pub unit_changed: bool,
}

/// The ramp in words, with its datum.
pub(crate) fn ramp_words(ramp: RampAngle) -> String {
    if ramp.degrees_from_ring_face() >= 90.0 {
        "no ramp".to_string()
    } else {
        ramp.to_string()
    }
}

fn faces_words([left, right]: [u32; 2]) -> String {
    format!("left {left}, right {right}")
}

impl Setting {
    /// One-way, one-and-a-half-way, two-way: by its angles.
    pub fn class(&self) -> RampClass {
        ramp::class(self.drive, self.coast)
    }

    /// Reads a setting from TOML text; gives every fault at once.
    ///
    /// # Errors
    ///
    /// [`Faults`]: every fault of the text, each with its line.
    pub fn read(file: &str, source: &str) -> Result<Setting, Faults> {
        Document::read(file, source, Setting::read_top)
    }

    /// Reads it from the top of its document.
    pub(super) fn read_top(top: &Section<'_>) -> Option<Setting> {
        top.format(FORMAT);
        let date = top.spelt("date", &DAY);
        let take = top.count("take", 1..11);
        let class = top.word("class", CLASS);
        let unit_id = top.section("unit").and_then(|section| {
            let id = section.text("id");
            Some((id?, read_origin(&section)?))
        });
        let car = top.section("car").and_then(|section| read_origin(&section));
        let wanted = top.section("use").and_then(|section| read_origin(&section));
        let rings = top.section("rings").and_then(|section| {
            let (drive, coast) = (section.quantity("drive"), section.quantity("coast"));
            section.finish();
            Some((drive?, coast?))
        });
        if let (Some((drive, coast)), Some(class)) = (rings, class)
            && ramp::class(drive, coast) != class
        {
            top.fault_at(
                "class",
                format!(
                    "the class is {class}, but the rings below are {}",
                    ramp::class(drive, coast)
                ),
            );
        }
        let faces = top.section("faces").and_then(|section| {
            let (left, right) = (section.count("left", 0..401), section.count("right", 0..401));
            section.finish();
            Some([left?, right?])
        });
        let spring = match top.section_maybe("spring") {
            None => Some(None),
            Some(section) => read_spring(&section).map(Some),
        };
        let locking = top.section("locking").and_then(|section| {
            let (drive, coast) = (
                section.quantity_where("drive", NOT_LESS),
                section.quantity_where("coast", NOT_LESS),
            );
            section.finish();
            Some([drive?, coast?])
        });
        let drives = top.sections_some("drive", "sense", "at least one [[drive]] point is wanted");
        let points: Vec<Option<SettingPoint>> = drives
            .iter()
            .map(|section| {
                let throttle = section.quantity_where("throttle", SHARE);
                read_point(section, throttle)
            })
            .collect();
        let on_coast = top
            .section("coast")
            .and_then(|section| read_point(&section, Ratio::new(0.0).ok()));
        let proof = top.section("proof").and_then(|section| read_proof(&section));
        top.finish();
        let ((drive, coast), (unit_id, unit)) = (rings?, unit_id?);
        let (proof, breakaway) = proof?;
        class?;
        Some(Setting {
            date: date?,
            take: take?,
            unit_id,
            from: Origins {
                unit,
                car: car?,
                wanted: wanted?,
            },
            drive,
            coast,
            faces: faces?,
            spring: spring?,
            locking: locking?,
            points: points.into_iter().collect::<Option<_>>()?,
            on_coast: on_coast?,
            proof,
            breakaway,
        })
    }

    /// The setting as TOML text, to be read again by [`Setting::read`]. Lock shares are rounded to 0.0001 and torques to
    /// 0.1 N·m: what is expected is not known better.
    pub fn to_toml(&self) -> String {
        let mut text = format!(
            "# What a car needs of its unit, settled before the unit is opened. A target for the rebuild, and no proof: what\n\
             # was reached stands on the build sheet.\n\
             # {}\n\
             format = \"{FORMAT}\"\ndate = {}\ntake = {:<16}# which of the proposals\nclass = \"{}\"\n",
            Safety::First.words(),
            quoted(&self.date),
            self.take,
            self.class()
        );
        let mut line = |line: String| {
            text.push_str(&line);
            text.push('\n');
        };
        let unit_id = format!("id = {}", quoted(&self.unit_id));
        for (key, more, origin) in [
            ("unit", Some(unit_id), &self.from.unit),
            ("car", None, &self.from.car),
            ("use", None, &self.from.wanted),
        ] {
            line(format!("\n[{key}]"));
            more.into_iter().for_each(&mut line);
            line(format!("name = {}", quoted(&origin.name)));
            line(format!("digest = {}", quoted(&origin.digest)));
        }
        line("\n[rings]".to_string());
        line(format!("drive = \"{}\"", ramp_words(self.drive)));
        line(format!("coast = \"{}\"", ramp_words(self.coast)));
        let [left, right] = self.faces;
        line(format!(
            "\n[faces]                  # that rub\nleft = {left}\nright = {right}"
        ));
        if let Some(spring) = &self.spring {
            line(format!(
                "\n[spring]                 # force on each pack\nplace = \"{}\"\nleast = \"{} N\"\ntarget = \"{} N\"\nmost = \"{} N\"",
                spring.place,
                spring.least.newtons(),
                spring.target.newtons(),
                spring.most.newtons()
            ));
        }
        let [drive, coast] = self.locking.map(rounded);
        line(format!(
            "\n[locking]                # share of the torque that the ramps lock, S\ndrive = {drive}\ncoast = {coast}"
        ));
        for point in &self.points {
            line(format!("\n[[drive]]\nthrottle = {}", point.throttle.value()));
            line(point_lines(point));
        }
        line("\n[coast]".to_string());
        line(point_lines(&self.on_coast));
        line(format!(
            "\n[proof]                  # breakaway torque, turning\nheld = \"{}\"\nleast = \"{}\"\nexpected = \"{}\"\nmost = \"{}\"",
            HELD.iter()
                .find(|(held, _)| *held == self.proof.held)
                .map_or("", |(_, word)| word),
            tenths(self.proof.least),
            tenths(self.breakaway),
            tenths(self.proof.most)
        ));
        text
    }
}

fn rounded(share: Ratio) -> f64 {
    (share.value() * 1e4).round() / 1e4
}

fn tenths(torque: Torque) -> String {
    format!("{} N·m", (torque.newton_metres() * 10.0).round() / 10.0)
}

fn point_lines(point: &SettingPoint) -> String {
    let mut lines = format!("wanted = {}\n", point.wanted.value());
    if let Some(expected) = point.expected {
        let _ = writeln!(lines, "expected = {}", rounded(expected));
    }
    let _ = write!(
        lines,
        "case_torque = \"{}\"\nbetween_tyres = \"{}\"",
        tenths(point.case_torque),
        tenths(point.between_tyres)
    );
    lines
}

fn torque(section: &Section<'_>, key: &'static str) -> Option<Torque> {
    section.quantity_where(key, "at least 0 N·m")
}

fn read_origin(section: &Section<'_>) -> Option<Origin> {
    let (name, digest) = (section.text("name"), section.spelt("digest", &DIGEST));
    section.finish();
    Some(Origin {
        name: name?,
        digest: digest?,
    })
}

fn read_spring(section: &Section<'_>) -> Option<SettingSpring> {
    let place = section.word("place", PLACE);
    let force = |key| section.quantity_where::<Force>(key, "more than 0 N");
    let (least, target, most) = (force("least"), force("target"), force("most"));
    section.finish();
    let (least, target, most) = (least?, target?, most?);
    if !(least <= target && target <= most) {
        section.fault_at(
            "target",
            "the window is upside down: least, target and most must rise in this order",
        );
    }
    Some(SettingSpring {
        place: place?,
        least,
        target,
        most,
    })
}

fn read_point(section: &Section<'_>, throttle: Option<Ratio>) -> Option<SettingPoint> {
    let wanted = section.quantity_where("wanted", SHARE);
    let expected = section.quantity_maybe_where("expected", NOT_LESS);
    let (case_torque, between_tyres) = (torque(section, "case_torque"), torque(section, "between_tyres"));
    section.finish();
    Some(SettingPoint {
        throttle: throttle?,
        wanted: wanted?,
        expected,
        case_torque: case_torque?,
        between_tyres: between_tyres?,
    })
}

fn read_proof(section: &Section<'_>) -> Option<(Proof, Torque)> {
    let held = section.word("held", HELD);
    let (least, expected, most) = (
        torque(section, "least"),
        torque(section, "expected"),
        torque(section, "most"),
    );
    section.finish();
    let (least, most) = (least?, most?);
    if least > most {
        section.fault_at(
            "most",
            "the window is upside down: least and most must rise in this order",
        );
    }
    Some((
        Proof {
            held: held?,
            least,
            most,
        },
        expected?,
    ))
}

impl Unit {
    /// The unit as it will be when it is built to a setting, and what is to be changed for that.
    ///
    /// `digest` is that of the unit's own file.
    ///
    /// # Errors
    ///
    /// A setting for another unit, or one that this unit can not be built to; all reasons at once.
    pub fn rework(self, setting: Setting, digest: &str) -> Result<(Unit, Rework), SettingError> {
        if setting.unit_id != self.id {
            return Err(SettingError::OtherUnit {
                wanted: setting.unit_id,
                unit: self.id,
            });
        }
        let mut why = Vec::new();
        let rings = |[drive, coast]: [RampAngle; 2]| {
            format!("drive {}, coast {}", ramp_words(drive), ramp_words(coast))
        };
        let asked = [setting.drive, setting.coast];
        let fitted = [self.ramp.drive, self.ramp.coast];
        let mut had = vec![fitted];
        had.extend(self.offer.ramps.iter().filter(|pair| !alike(**pair, fitted)));
        if !had.iter().any(|pair| alike(*pair, asked)) {
            let all: Vec<String> = had.iter().map(|pair| rings(*pair)).collect();
            why.push(format!(
                "no rings with {} can be had, but these: {}",
                rings(asked),
                all.join("; or ")
            ));
        }
        for (n, side) in ["left", "right"].iter().enumerate() {
            let possible = self.faces_possible_in(&self.packs[n]);
            if !possible.contains(&setting.faces[n]) {
                let all: Vec<String> = possible.iter().map(u32::to_string).collect();
                why.push(format!(
                    "{} active faces {side} are asked for, but the plates of that pack make {}",
                    setting.faces[n],
                    all.join(", ")
                ));
            }
        }
        let aim = self.aim_for(&setting, &mut why);
        if !why.is_empty() {
            return Err(SettingError::CanNot(why));
        }
        let before = self.clone();
        let mut unit = self;
        unit.ramp.drive = setting.drive;
        unit.ramp.coast = setting.coast;
        for (pack, faces) in unit.packs.iter_mut().zip(setting.faces) {
            pack.faces = faces;
        }
        unit.aim = aim;
        unit.proof = setting.proof;
        Ok((
            unit,
            Rework {
                differs: differs(&before, &setting),
                unit_changed: setting.from.unit.digest != digest,
                before,
                setting,
            },
        ))
    }

    /// What a build to a setting aims at; adds to `why` what speaks against it.
    fn aim_for(&self, setting: &Setting, why: &mut Vec<String>) -> Aim {
        match (&self.spring, &setting.spring) {
            (None, None) => self.aim,
            (None, Some(asked)) => {
                why.push(format!(
                    "a preload of {} is asked for, but this unit has no [spring]",
                    asked.target
                ));
                self.aim
            }
            (Some(_), None) => {
                why.push("no preload is asked for, but this unit has a [spring]".to_string());
                self.aim
            }
            (Some(spring), Some(asked)) => {
                if spring.place != asked.place {
                    why.push(format!(
                        "a spring {} is asked for, but this unit has it {}",
                        asked.place, spring.place
                    ));
                }
                for force in [asked.target, asked.most] {
                    if spring.stack.heights_for_force(force).is_empty() {
                        why.push(format!(
                            "a preload of {force} is asked for, but this spring gives at most {} before it is solid",
                            spring.most_words()
                        ));
                    }
                }
                Aim::Preload {
                    least: asked.least,
                    target: asked.target,
                    most: asked.most,
                }
            }
        }
    }
}

/// Whether two pairs of ramps are the same rings: a datum turned into the other leaves only rounding.
fn alike(one: [RampAngle; 2], other: [RampAngle; 2]) -> bool {
    one.iter()
        .zip(other)
        .all(|(a, b)| (a.degrees_from_ring_face() - b.degrees_from_ring_face()).abs() < 1e-6)
}

fn differs(unit: &Unit, setting: &Setting) -> Vec<Differs> {
    let mut rows = Vec::new();
    let mut row = |same: bool, what: &str, fitted: String, asked: String| {
        if !same {
            rows.push(Differs {
                what: what.to_string(),
                fitted,
                asked,
            });
        }
    };
    for (what, fitted, asked) in [
        ("drive ramp", unit.ramp.drive, setting.drive),
        ("coast ramp", unit.ramp.coast, setting.coast),
    ] {
        row(
            alike([fitted; 2], [asked; 2]),
            what,
            ramp_words(fitted),
            ramp_words(asked),
        );
    }
    let fitted = [0, 1].map(|side| unit.packs[side].faces);
    row(
        fitted == setting.faces,
        "active faces",
        faces_words(fitted),
        faces_words(setting.faces),
    );
    if let (Aim::Preload { target, .. }, Some(spring)) = (unit.aim, &setting.spring) {
        row(
            target == spring.target,
            "preload on each pack",
            target.to_string(),
            spring.target.to_string(),
        );
    }
    rows
}
