//! How what a car needs of its unit is told.

use super::curves::{Curves, Pictures};
use super::tuned::{Picked, Tuned, complaint_words};
use crate::mechanics::tune::{Change, Complaint, Effect, Measure, Step};
use crate::mechanics::{LockSetup, RampFor};
use crate::quantity::{RampAngle, Ratio, Torque};
use crate::report::{Curve, Picture, Plane, Report, Section, Table};
use crate::workshop::{Safety, Use};

fn percent(ratio: Ratio) -> String {
    format!("{:.0} %", ratio.value() * 100.0)
}

/// A lock share: past 1 the axle turns as one, and by how much is no matter.
fn share(share: Option<Ratio>) -> String {
    match share {
        None => "even".to_string(),
        Some(share) if share.value() >= 1.0 => "as one".to_string(),
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

/// Car, use and unit, and the moment that it is settled for.
fn moment(settled: &Tuned, wanted: &Use) -> Section {
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
    let lines = lines
        .into_iter()
        .chain(settled.guesses())
        .chain(even.map(String::from));
    lines.fold(Section::new(), Section::words)
}

impl Tuned {
    /// What the car needs: the proposals nearest to what is wanted, what they do, how the one that was picked is drawn, what one
    /// step changes, and what acts on what the driver says.
    pub fn report(&self, picked: &Picked, wanted: &Use) -> Report {
        let take = picked.take;
        let nearest = "NEAREST TO WHAT IS WANTED. Ramps are counted from the ring's face. Below a throttle stands the lock: how \
                       much of the difference between the tyres the packs hold.";
        let shares =
            format!("LOCK OVER THROTTLE: proposal {take}, thinly the unit as it is; o is what is wanted.");
        let wheels = format!(
            "TORQUE AT THE WHEELS: right (upwards) over left, in a bend to the left. Between its lines the axle turns as one, \
             outside the packs slip: proposal {take}, thinly the unit as it is. o is what is wanted, X where both tyres are at \
             their limit; below and left of 0 the throttle is closed."
        );
        let ramps = format!(
            "THE RAMP THAT WOULD MEET IT EXACTLY, with the faces and the preload of proposal {take}:"
        );
        let worn = match self.unit.preload[0].newtons() > 0.0 {
            true => "Worn: all plates at their limits, not shimmed again.",
            false => "Worn plates change the lash of a unit without preload, and not its lock.",
        };
        let complaints = self.complaints.iter();
        Report::of(self.summary(picked))
            .with(moment(self, wanted))
            .with(Section::under(nearest).table(best(self)).words(COLUMNS))
            .with(
                Section::under("WHAT THEY DO IN THE CAR:")
                    .table(in_the_car(self))
                    .words(DOING),
            )
            .with(Section::under(shares).picture(shares_drawn(&picked.pictures)))
            .with(Section::under(wheels).picture(plane_drawn(&picked.pictures)))
            .with(Section::under(ramps).table(exact(self, picked)))
            .with(
                Section::under(format!("WHAT ONE STEP CHANGES, from proposal {take}:"))
                    .table(steps(self, picked))
                    .words(format!("Columns as above. {worn}")),
            )
            .with_all(complaints.map(|(complaint, helps)| acting(self, *complaint, helps)))
            .with(Section::new().words(format!("{MIND} {}", Safety::First.words())))
    }
}

/// What the columns of [`best`] are.
const COLUMNS: &str = "N: preload on each pack. Shut: throttle closed. Off: from what is wanted, on the whole. Even: both tyres \
can react the same. As one: the axle turns as one. Now: the unit as it is.";

const MIND: &str = "Grip, cornering and wanted lock of a stock use are common practice, no source: a start, to be \
driven and corrected.";

fn best(settled: &Tuned) -> Table {
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
    Table::of_words(head, rows)
}

/// What each proposal does beside the lock.
fn in_the_car(settled: &Tuned) -> Table {
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
    Table::of_words(head, rows)
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

fn shares_drawn(pictures: &Pictures) -> Picture {
    let share = |drawn: &Curves| -> Vec<(f64, f64)> {
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
    Picture::Curve(Curve {
        line: share(&pictures.taken),
        thin: share(&pictures.now),
        marks: wanted,
        beside: ["100 %", "0 %"].map(String::from),
        below: ["0 %", "100 %"].map(String::from),
    })
}

/// The left wheel is the one inside: it can react less, and gets less.
fn plane_drawn(pictures: &Pictures) -> Picture {
    let value = |torque: Torque| torque.newton_metres();
    let edges = |drawn: &Curves| -> Vec<Vec<(f64, f64)>> {
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
    Picture::Plane(Plane {
        range: (-0.5 * most, most),
        lines: taken,
        thin: now,
        marks,
        unit: "N·m",
    })
}

fn exact(settled: &Tuned, picked: &Picked) -> Table {
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
    Table::of_words(["at", "lock", "ramp"], rows)
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

fn steps(settled: &Tuned, picked: &Picked) -> Table {
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
    Table::of_words(head, rows)
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

fn acting(settled: &Tuned, complaint: Complaint, helps: &[Step]) -> Section {
    let (measure, up) = complaint.measure();
    let shown = |value: f64| match measure {
        Measure::DriveShare => format!("{:.0} %", value * 100.0),
        _ => format!("{value:.0} N·m"),
    };
    let (now, way) = (settled.now.value(measure), if up { "rise" } else { "fall" });
    let section = Section::new().words(format!(
        "\"{}\": the {} should {way}; the unit as it is has {}.",
        complaint_words(complaint),
        measured(measure),
        shown(now)
    ));
    let rows = helps
        .iter()
        .map(|step| [change(&step.change), shown(step.effect.value(measure))]);
    let section = match helps.is_empty() {
        true => {
            section.words("No single step of this unit moves it that way in this car: look elsewhere first.")
        }
        false => section.table(Table::of_words(["change", "then"], rows)),
    };
    section.words(format!(
        "The same may come from: {} (common practice, no source).",
        else_too(complaint)
    ))
}
