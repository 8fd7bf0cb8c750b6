//! `settle`: what a car needs of its unit, in words.

use super::exit::Exit;
use super::failure::Failure;
use super::options::{PaperWord, UnitsWord, whole};
use crate::app::output::{Laid, Over, lay_down, told, width};
use crate::app::{Clock, Text, digest_text, find_use, read_text};
use crate::document::{DAY, nearest};
use crate::mechanics::settle::{Change, Complaint, Effect, Measure, Step};
use crate::mechanics::{LockSetup, RampFor};
use crate::quantity::{RampAngle, Ratio, Torque};
use crate::report::{Curve, Picture, Plane, Table, to_json};
use crate::screen::{drawn, filled, table};
use crate::seal::Digest;
use crate::sheet::{Settling, settings_pdf};
use crate::tuning::{COMPLAINTS, Drawn, Picked, Pictures, Settled, complaint_words};
use crate::workshop::{Car, Origin, Origins, Safety, Unit, Use};
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct Settle {
    /// The car's TOML file
    pub car: PathBuf,
    /// A use: gravel-stage, tarmac-stage, snow-and-ice, hillclimb, slalom, circuit, drift, or the path of a TOML file
    #[arg(long = "use", value_name = "USE")]
    pub wanted: String,
    /// The unit's TOML file; what else it can be built with stands in its [offer]
    #[arg(long, value_name = "FILE")]
    pub unit: PathBuf,
    /// What the driver says: "pushes on entry", "pushes on power", "inside wheel spins", "snaps on lift", "chatters when
    /// turning slowly", "does nothing"; may be given several times
    #[arg(long, value_name = "WORDS")]
    pub complaint: Vec<String>,
    /// Which of the proposals is taken for --write and --sheet
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = whole(1_u32, None))]
    pub take: u32,
    /// Write the setting that was taken to this file, for `work --setting`
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Write a page for the driver to this file, as PDF
    #[arg(long, value_name = "FILE")]
    pub sheet: Option<PathBuf>,
    /// Paper size of that page
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperWord,
    /// How values are shown on that page
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    /// Write over a file that is there
    #[arg(long)]
    pub replace: bool,
    /// The day that is written down, as 2026-05-01; by default today
    #[arg(long, value_name = "DAY")]
    pub date: Option<String>,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Settles what the car needs of its unit.
pub(super) fn settle(arguments: &Settle) -> Result<Exit, Failure> {
    let car = read_text(&arguments.car)?;
    let unit = read_text(&arguments.unit)?;
    let wanted = find_use(&arguments.wanted)?;
    let complaints = arguments
        .complaint
        .iter()
        .map(|words| complaint(words))
        .collect::<Result<Vec<_>, _>>()?;
    let texts = (car, unit, wanted);
    let car = Car::read(&texts.0.name, &texts.0.text)?;
    let wanted = Use::read(&texts.2.name, &texts.2.text)?;
    let unit = Unit::read(&texts.1.name, &texts.1.text)?;
    let settled = Settled::new(&car, &wanted, &unit, &complaints)?;
    let origin = |name: &str, text: &Text| Origin {
        name: name.to_string(),
        digest: digest_text(text),
    };
    let from = Origins {
        unit: origin(&unit.name, &texts.1),
        car: origin(&car.name, &texts.0),
        wanted: origin(&wanted.name, &texts.2),
    };
    let date = day(arguments.date.as_deref())?;
    let picked = settled.pick(arguments.take)?.ok_or(Failure::Take {
        take: arguments.take,
        count: settled.best.len(),
    })?;
    let setting = settled.setting(&picked, &unit, &date, from)?;
    let mut written = String::new();
    let mut laid = Laid::default();
    let over = Over::Nothing.or(arguments.replace);
    if let Some(path) = &arguments.write {
        // what the unit can not be built to is told now, and not when it lies on the bench
        let digest = setting.from.unit.digest.clone();
        unit.clone().rework(setting.clone(), &digest)?;
        laid = lay_down(path, setting.to_toml().as_bytes(), over)?;
        written = format!(
            "\nProposal {} is written to {}. To build to it: shimwright work full-rebuild {} --setting {}\n",
            arguments.take,
            told(path),
            arguments.unit.display(),
            path.display()
        );
    }
    if let Some(path) = &arguments.sheet {
        let digest = Digest::of(setting.to_toml().as_bytes()).to_string();
        let sheet = Settling {
            settled: &settled,
            picked: &picked,
            setting: &setting,
            words: &wanted.words,
            digest: &digest,
            units: arguments.units.into(),
        };
        let bytes = settings_pdf(&sheet, arguments.paper.into())?;
        laid = laid.and(lay_down(path, &bytes, over)?);
        written.push_str(&format!("\nThe settings sheet: {}\n", told(path)));
    }
    let text = if arguments.json {
        to_json(&settled.summary(&picked))?
    } else {
        words(&settled, &picked, &wanted) + &filled_lines(&written)
    };
    laid.say(&text)?;
    Ok(Exit::Done)
}

/// The day that was given, or today.
pub(super) fn day(given: Option<&str>) -> Result<String, Failure> {
    match given {
        Some(day) if DAY.fits(day) => Ok(day.to_string()),
        Some(day) => Err(Failure::Date(day.to_string())),
        None => Ok(Clock::new(None)?.time().chars().take(10).collect()),
    }
}

/// Paragraphs in lines for the terminal.
fn filled_lines(words: &str) -> String {
    words.lines().map(|line| filled(line, width())).collect()
}

fn complaint(words: &str) -> Result<Complaint, Failure> {
    let known: Vec<&str> = COMPLAINTS.iter().map(|(_, words)| *words).collect();
    let typed = words.trim().to_lowercase();
    let found = COMPLAINTS.iter().find(|(_, known)| *known == typed);
    found.map(|(complaint, _)| *complaint).ok_or_else(|| {
        let near = nearest(&typed, &known).map(|near| format!("; did you mean \"{near}\"?"));
        Failure::Complaint(format!(
            "\"{words}\" is no complaint that is known here; known: {}{}",
            known.join(", "),
            near.unwrap_or_default()
        ))
    })
}

fn percent(ratio: Ratio) -> String {
    format!("{:.0} %", ratio.value() * 100.0)
}

/// A lock share: past 1 the axle turns as one, and by how much is no matter.
fn share(share: Option<Ratio>) -> String {
    match share {
        None => "even".to_string(),
        Some(share) if share.value() >= 1.0 => "locked".to_string(),
        Some(share) => percent(share),
    }
}

/// The datum stands in the head of the table.
fn degrees(ramp: RampAngle) -> String {
    let face = ramp.degrees_from_ring_face();
    if face >= 90.0 {
        "none".to_string()
    } else {
        format!("{face:.1}°")
    }
}

/// The points that the tables have room for: the first, and the last two.
fn kept<T: Clone>(points: &[T]) -> Vec<T> {
    let last = points.len().saturating_sub(2);
    let kept = points.iter().enumerate().filter(|(n, _)| *n == 0 || *n >= last);
    kept.map(|(_, point)| point.clone()).collect()
}

fn shares(effect: &Effect) -> Vec<String> {
    let drive = kept(&effect.drive).into_iter().map(share);
    drive.chain([share(effect.coast)]).collect()
}

fn words(settled: &Settled, picked: &Picked, wanted: &Use) -> String {
    let mut text = String::new();
    let [car, name, unit] = &settled.names;
    let (full, coast) = (settled.trial.full(), settled.trial.coast());
    let capped = if full.capped {
        ", as much as the tyres take"
    } else {
        ""
    };
    let even = settled.now.drive.iter().all(Option::is_none).then_some(
        "Both tyres can react the same at every point that is wanted: an open unit puts down as much as a locked one, the \
         lock that is needed is 0, and none of the proposals is better on drive than another.",
    );
    let lines = [
        format!("Car: {car}"),
        format!("Use: {name}. {}", wanted.words),
        format!("Unit: {unit}"),
        format!(
            "In gear {}, {}{}, at full throttle {} at the case{capped}; the tyres react {} inside and {} outside. Throttle \
             closed: {}.",
            settled.at.gear,
            settled
                .at
                .rpm
                .map_or_else(String::new, |rpm| format!("at {rpm} rpm ")),
            settled.at.rpm.map_or_else(
                || "with the one torque that is given".to_string(),
                |_| format!(
                    "and {:.0} km/h",
                    settled.at.kilometres_an_hour.unwrap_or_default()
                )
            ),
            full.case_torque,
            full.reaction.low,
            full.reaction.high,
            coast.case_torque
        ),
    ];
    let head = [
        String::new(),
        "NEAREST TO WHAT IS WANTED. Ramps are counted from the ring's face. Below a throttle stands the lock: how much \
         of the difference between the tyres the packs hold."
            .to_string(),
    ];
    for line in lines.into_iter().chain(even.map(String::from)).chain(head) {
        text.push_str(&filled(&line, width()));
    }
    text.push_str(&best(settled));
    text.push_str("\n\n");
    text.push_str(&filled("WHAT THEY DO IN THE CAR:", width()));
    text.push_str(&in_the_car(settled));
    text.push_str("\n\n");
    let take = picked.take;
    text.push_str(&filled(
        &format!("LOCK OVER THROTTLE: proposal {take}, thinly the unit as it is; o is what is wanted."),
        width(),
    ));
    text.push_str(&shares_drawn(&picked.pictures));
    text.push('\n');
    text.push_str(&filled(
        &format!(
            "TORQUE AT THE WHEELS: right (upwards) over left, in a bend to the left. Between its lines the axle turns as one, \
             outside the packs slip: proposal {take}, thinly the unit as it is. o is what is wanted, X where both tyres are at \
             their limit; below and left of 0 the throttle is closed."
        ),
        width(),
    ));
    text.push_str(&plane_drawn(&picked.pictures));
    text.push('\n');
    text.push_str(&filled(
        &format!("THE RAMP THAT WOULD MEET IT EXACTLY, with the faces and the preload of proposal {take}:"),
        width(),
    ));
    text.push_str(&exact(settled, picked));
    text.push('\n');
    text.push_str(&filled(
        &format!("WHAT ONE STEP CHANGES, from proposal {take}:"),
        width(),
    ));
    text.push_str(&steps(settled, picked));
    text.push('\n');
    for (complaint, helps) in &settled.complaints {
        text.push('\n');
        text.push_str(&acting(settled, *complaint, helps));
    }
    text.push('\n');
    text.push_str(&filled(&format!("{MIND} {}", Safety::First.words()), width()));
    text
}

const MIND: &str = "Grip, cornering and wanted lock of a stock use are common practice, no source: a start, to be \
driven and corrected.";

fn best(settled: &Settled) -> String {
    let points = kept(&settled.trial.target().drive);
    let mut head: Vec<String> = ["", "drive", "coast", "faces", "N"].map(String::from).to_vec();
    head.extend(points.iter().map(|point| percent(point.throttle)));
    head.extend(["shut", "off"].map(String::from));
    let mut asked = vec!["".to_string(), "wanted".to_string()];
    asked.resize(5, String::new());
    asked.extend(points.iter().map(|point| percent(point.share)));
    asked.push(percent(settled.trial.target().coast));
    let mut rows = vec![asked];
    let mut row = |name: String, setup: &LockSetup, effect: &Effect, off: Ratio| {
        let mut row = vec![name];
        row.extend(built(setup));
        row.extend(shares(effect));
        row.push(percent(off));
        rows.push(row);
    };
    for (n, one) in settled.best.iter().enumerate() {
        row((n + 1).to_string(), &one.setup, &one.effect, one.distance);
    }
    row("now".to_string(), &settled.unit, &settled.now, settled.off);
    let mut text = table(&Table::of_words(head, rows), width());
    text.push_str(&filled(
        "N: preload on each pack. Shut: throttle closed. Off: from what is wanted, on the whole. Even: both tyres can react the \
         same. Now: the unit as it is.",
        width(),
    ));
    text.trim_end().to_string()
}

/// What each proposal does beside the lock.
fn in_the_car(settled: &Settled) -> String {
    let mut rows = Vec::new();
    let mut row = |name: String, effect: &Effect, locks_at| {
        let mut row = vec![name, throttle(locks_at)];
        row.extend(doing(effect));
        rows.push(row);
    };
    for (n, (one, locks_at)) in settled.best.iter().zip(&settled.locks_at).enumerate() {
        row((n + 1).to_string(), &one.effect, *locks_at);
    }
    row("now".to_string(), &settled.now, settled.now_locks_at);
    let head = [
        "",
        "locks",
        "N·m used",
        "of grip",
        "turn, drive",
        "turn, shut",
        "held",
    ];
    let mut text = table(&Table::of_words(head, rows), width());
    text.push_str(&filled(DOING, width()));
    text.trim_end().to_string()
}

const DOING: &str = "Locks: the throttle from which the axle turns as one. Used: the most torque at the case that the axle can \
put down at full throttle, and how much of the grip of both tyres that is. Turn: the most N·m by which the packs resist \
the turn while both tyres grip, at full throttle and shut. Held: N·m between the wheels by the preload alone.";

/// Torque and grip used, moments against the turn, preload.
fn doing(effect: &Effect) -> [String; 5] {
    let value = |measure| format!("{:.0}", effect.value(measure));
    [
        value(Measure::Usable),
        effect.grip_used.map_or_else(|| "none".to_string(), percent),
        value(Measure::DriveMoment),
        value(Measure::CoastMoment),
        value(Measure::Preload),
    ]
}

/// Ramps, faces and preload.
fn built(setup: &LockSetup) -> Vec<String> {
    let [left, right] = setup.faces;
    vec![
        degrees(setup.drive),
        degrees(setup.coast),
        if left == right {
            left.to_string()
        } else {
            format!("{left}/{right}")
        },
        format!("{:.0}", setup.preload[0].newtons()),
    ]
}

fn throttle(locks_at: Option<Ratio>) -> String {
    locks_at.map_or_else(|| "never".to_string(), percent)
}

fn shares_drawn(pictures: &Pictures) -> String {
    let share = |drawn: &Drawn| -> Vec<(f64, f64)> {
        let points = drawn.share.iter();
        points
            .map(|(throttle, share)| (throttle.value(), share.value()))
            .collect()
    };
    let wanted: Vec<(f64, f64)> = pictures
        .points
        .iter()
        .map(|point| (point.throttle.value(), point.share.value()))
        .collect();
    drawn(
        &Picture::Curve(Curve {
            line: share(&pictures.taken),
            thin: share(&pictures.now),
            marks: wanted,
            beside: ["100 %", "0 %"].map(String::from),
            below: ["0 %", "100 %"].map(String::from),
        }),
        width(),
    )
}

/// The left wheel is the one inside: it can react less, and gets less.
fn plane_drawn(pictures: &Pictures) -> String {
    let value = |torque: Torque| torque.newton_metres();
    let edges = |drawn: &Drawn| -> Vec<Vec<(f64, f64)>> {
        let mut lines = Vec::new();
        for (points, sign) in [(&drawn.drive, 1.0), (&drawn.coast, -1.0)] {
            let left: Vec<(f64, f64)> = points
                .iter()
                .map(|(more, less)| (sign * value(*less), sign * value(*more)))
                .collect();
            lines.push(left.iter().map(|(x, y)| (*y, *x)).collect());
            lines.push(left);
        }
        lines
    };
    let (taken, now) = (edges(&pictures.taken), edges(&pictures.now));
    let tyres = pictures.drive_tyres;
    let most = 1.1 * value(tyres.high).max(1.0);
    let (more, less) = pictures.wanted_shut;
    let mut marks = vec![
        ((value(tyres.low), value(tyres.high)), 'X'),
        ((-value(less), -value(more)), 'o'),
    ];
    let wanted = pictures.wanted.iter();
    marks.extend(wanted.map(|(more, less)| ((value(*less), value(*more)), 'o')));
    drawn(
        &Picture::Plane(Plane {
            range: (-0.5 * most, most),
            lines: taken,
            thin: now,
            marks,
            unit: "N·m",
        }),
        width(),
    )
}

fn exact(settled: &Settled, picked: &Picked) -> String {
    let asked = |ramp: &RampFor, share: Option<Ratio>| match ramp {
        _ if share.is_none() => {
            "none: both tyres can react the same, so there is nothing to hold".to_string()
        }
        RampFor::Ramp(ramp) => format!("{} from the ring's face", degrees(*ramp)),
        RampFor::HeldWithout => "none: preload holds as much by itself".to_string(),
        RampFor::OutOfReach => "out of reach: more faces or preload are needed".to_string(),
    };
    let target = settled.trial.target();
    let shares = &settled.now.drive;
    let mut rows: Vec<Vec<String>> = target
        .drive
        .iter()
        .zip(picked.exact.0.iter().zip(shares))
        .map(|(point, (ramp, share))| {
            vec![
                format!("throttle {}", percent(point.throttle)),
                percent(point.share),
                asked(ramp, *share),
            ]
        })
        .collect();
    rows.push(vec![
        "shut".to_string(),
        percent(target.coast),
        asked(&picked.exact.1, settled.now.coast),
    ]);
    table(&Table::of_words(["at", "lock", "ramp"], rows), width())
}

fn change(change: &Change) -> String {
    match change {
        Change::Faces(faces) => format!("{faces} faces a pack"),
        Change::Drive(ramp) => format!("drive {}", degrees(*ramp)),
        Change::Coast(ramp) => format!("coast {}", degrees(*ramp)),
        Change::Preload(force) => format!("preload {force}"),
        Change::Worn(force) => format!("worn plates, {force}"),
        Change::Friction(friction) => format!("friction {:.3}", friction.value()),
    }
}

fn steps(settled: &Settled, picked: &Picked) -> String {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let last = |effect: &Effect| effect.drive.last().copied().flatten();
    let mut row = |what: String, effect: &Effect, locks_at| {
        let mut row = vec![what, share(last(effect)), share(effect.coast), throttle(locks_at)];
        row.extend(doing(effect));
        rows.push(row);
    };
    row(
        format!("proposal {}", picked.take),
        &picked.proposal.effect,
        picked.locks_at,
    );
    for step in &picked.steps {
        row(change(&step.change), &step.effect, step.locks_at);
    }
    let full = settled
        .trial
        .target()
        .drive
        .last()
        .map_or_else(String::new, |point| percent(point.throttle));
    let head = ["", &full, "shut", "locks", "used", "grip", "turn", "shut", "held"];
    let mut text = table(&Table::of_words(head, rows), width());
    let worn = match settled.unit.preload[0].newtons() > 0.0 {
        true => "Worn: all plates at their limits, not shimmed again.",
        false => "Worn plates change the lash of a unit without preload, and not its lock.",
    };
    text.push_str(&filled(&format!("Columns as above. {worn}"), width()));
    text.trim_end().to_string()
}

/// The rest that gives the same complaint. Common practice, no source.
fn else_too(complaint: Complaint) -> &'static str {
    match complaint {
        Complaint::PushesOnEntry => {
            "front tyres, toe, brake balance to the front, too stiff a front anti-roll bar"
        }
        Complaint::PushesOnPower => "front camber, ride height, too soft a rear under power, tyre pressures",
        Complaint::InsideWheelSpins => {
            "too stiff an anti-roll bar at this axle, too little droop, a worn pack"
        }
        Complaint::SnapsOnLift => {
            "rear toe-out, rear rebound damping, brake balance to the rear, a worn bush"
        }
        Complaint::Chatters => {
            "oil without friction modifier or too old, glazed plates, a dry pack after a rebuild"
        }
        Complaint::DoesNothing => {
            "the wrong oil, plates in an order with dead faces, a broken preload spring"
        }
    }
}

fn measured(measure: Measure) -> &'static str {
    match measure {
        Measure::CoastMoment => "moment against the turn, throttle closed",
        Measure::DriveMoment => "moment against the turn at full throttle",
        Measure::Usable => "torque that the axle can use",
        Measure::Preload => "torque that the preload holds",
        Measure::DriveShare => "lock at the last throttle",
    }
}

fn acting(settled: &Settled, complaint: Complaint, helps: &[Step]) -> String {
    let (measure, up) = complaint.measure();
    let shown = |value: f64| match measure {
        Measure::DriveShare => format!("{:.0} %", value * 100.0),
        _ => format!("{value:.0} N·m"),
    };
    let (now, way) = (settled.now.value(measure), if up { "rise" } else { "fall" });
    let mut text = filled(
        &format!(
            "\"{}\": the {} should {way}; the unit as it is has {}.",
            complaint_words(complaint),
            measured(measure),
            shown(now)
        ),
        width(),
    );
    if helps.is_empty() {
        text.push_str(&filled(
            "No single step of this unit moves it that way in this car: look elsewhere first.",
            width(),
        ));
    } else {
        let rows: Vec<Vec<String>> = helps
            .iter()
            .map(|step| vec![change(&step.change), shown(step.effect.value(measure))])
            .collect();
        text.push_str(&table(&Table::of_words(["change", "then"], rows), width()));
    }
    text.push_str(&filled(
        &format!(
            "The same may come from: {} (common practice, no source).",
            else_too(complaint)
        ),
        width(),
    ));
    text
}
