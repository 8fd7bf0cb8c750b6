//! How what a car needs of its unit is told.

use super::bands::{Band, MomentBands};
use super::complaints::{Acting, Complaint, Measure, complaint_words};
use super::course::Stage;
use super::curves::{Curves, Pictures};
use super::rated::{MomentResult, Rated};
use super::settled::{Proposal, Settled};
use crate::mechanics::tune::Change;
use crate::mechanics::{LockSetup, MechanicsError, ramp};
use crate::quantity::{RampAngle, Ratio, Torque, significant};
use crate::report::{Curve, Picture, Plane, Report, Section, Table};
use crate::workshop::moment::Throttle;
use crate::workshop::{Safety, Use};

fn percent(ratio: Ratio) -> String {
    share(ratio.value())
}

fn share(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
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

/// A setting in a few words.
fn in_words(setup: &LockSetup) -> String {
    let built = built(setup);
    format!(
        "drive {}, coast {}, {} faces a pack, {} N ({})",
        built[0],
        built[1],
        built[2],
        built[3],
        ramp::class(setup.drive, setup.coast)
    )
}

/// The most of them all whose wants are met, in one sentence.
fn first_sentence(settled: &Settled) -> String {
    let Some(first) = settled.proposals.first() else {
        return String::new();
    };
    let met = |rated: &Rated| {
        let wants: Vec<bool> = rated
            .results
            .iter()
            .flat_map(|result| &result.met)
            .map(|met| met.short.value() <= 0.0)
            .collect();
        (wants.iter().filter(|met| **met).count(), wants.len())
    };
    let (now, all) = met(&settled.now);
    let (then, _) = met(&first.rated);
    if first.differs.is_empty() {
        return format!(
            "Leave it as it is: nothing that is offered does better; {now} of {all} wants are met."
        );
    }
    format!(
        "Fit {}: it meets {then} of {all} wants, the unit as it is {now}.",
        in_words(&first.rated.setup)
    )
}

/// Where the car is at a moment.
fn state_words(stage: &Stage) -> String {
    let moment = &stage.moment;
    let [inside, outside] = moment.grip.map(|grip| significant(grip.value(), 2));
    let rpm = match stage.at.within {
        true => format!("{:.0} rpm", stage.at.rpm),
        false => format!(
            "{:.0} rpm, where the torque of the nearest that the file gives is taken",
            stage.at.rpm
        ),
    };
    let throttle = match moment.throttle {
        Throttle::Opened { from, to } => format!(
            "throttle {} to {}, {:.0} N·m at the wheels at full",
            percent(from),
            percent(to),
            stage.at.full.newton_metres()
        ),
        Throttle::Shut => format!(
            "throttle shut, {:.0} N·m of drag at the wheels",
            stage.at.drag.newton_metres()
        ),
    };
    format!(
        "{:.0} km/h, {} g, grip {inside} inside and {outside} outside, gear {} ({rpm}), {throttle}.",
        stage.speed.km_per_hour(),
        significant(moment.cornering.value(), 2),
        stage.at.gear
    )
}

fn band(value: String, band: Option<&Band>, show: impl Fn(f64) -> String) -> String {
    let Some(Band { least, most }) = band else {
        return value;
    };
    let end = |end: &Option<f64>| end.map_or_else(|| "never".to_string(), &show);
    let (least, most) = (end(least), end(most));
    if least == most {
        return value;
    }
    format!("{value} ({least} to {most})")
}

/// What a setting does at a moment, with its bands.
fn doing(result: &MomentResult, bands: Option<&MomentBands>) -> Vec<String> {
    let newton_metres = |value: f64| format!("{value:.0}");
    let mut cells = Vec::new();
    if result.puts_down.is_some() {
        let one = result.one_from.map_or_else(|| "never".to_string(), percent);
        cells.push(band(one, bands.and_then(|bands| bands.one_from.as_ref()), share));
        let down = result.puts_down.map_or_else(String::new, percent);
        cells.push(band(
            down,
            bands.and_then(|bands| bands.puts_down.as_ref()),
            share,
        ));
        cells.push(result.caps_from.map_or_else(|| "-".to_string(), percent));
    }
    cells.push(band(
        newton_metres(result.against.newton_metres()),
        bands.map(|bands| &bands.against),
        newton_metres,
    ));
    cells.push(result.against_share.map_or_else(|| "-".to_string(), percent));
    let short: Vec<&str> = result
        .met
        .iter()
        .map(|met| if met.short.value() <= 0.0 { "yes" } else { "no" })
        .collect();
    cells.push(short.join(", "));
    cells
}

fn moment_section(settled: &Settled, n: usize, stage: &Stage) -> Section {
    let moment = &stage.moment;
    let wants: Vec<String> = moment.wants.iter().map(|want| want.words()).collect();
    let mut head = vec![""];
    if matches!(moment.throttle, Throttle::Opened { .. }) {
        head.extend(["one from", "puts down", "capped"]);
    }
    head.extend(["against", "of front", "met"]);
    let mut rows = Vec::new();
    let mut row = |name: String, rated: &Rated, bands: &[MomentBands]| {
        if let Some(result) = rated.results.get(n) {
            let mut row = vec![name];
            row.extend(doing(result, bands.get(n)));
            rows.push(row);
        }
    };
    for (k, one) in settled.proposals.iter().enumerate() {
        row((k + 1).to_string(), &one.rated, &one.bands);
    }
    row("now".to_string(), &settled.now, &settled.now_bands);
    let wide = settled.proposals.first().is_some_and(|one| {
        let result = one.rated.results.get(n);
        result.is_some_and(|result| {
            result
                .states
                .iter()
                .any(|(_, found)| found.axles.iter().any(|axle| axle.runs_wide()))
        })
    });
    let second = settled.proposals.first().is_some_and(|one| {
        let result = one.rated.results.get(n);
        result.is_some_and(|result| result.states.iter().any(|(_, found)| found.second))
    });
    let mut section = Section::under(format!(
        "{}, weight {}:",
        moment.name.to_uppercase(),
        significant(moment.weight.value(), 2)
    ))
    .words(state_words(stage))
    .words(format!("Wanted: {}.", wants.join("; ")))
    .table(Table::of_words(head, rows));
    if wide {
        section = section.words("Proposal 1 runs wide at some of these throttles: an axle loses so much load that its tyres can not hold the bend.");
    }
    if second {
        section = section.words(
            "At some throttle a second answer is real as well: a stab of the throttle carries the car over to it. What is told is come to \
             from a shut throttle.",
        );
    }
    section
}

const MOMENTS: &str = "One from: the throttle from which the unit turns as one. Puts down: at the most throttle, of what both tyres \
could. Capped: the throttle from which a wheel spins. Against: the most N·m against the turn, and its worth in the front tyres' grip. Met: \
each want in its order. In brackets the band (95 % of the friction, the springs' tolerance, a tenth of grip and height).";

const MIND: &str = "Grip, cornering and wants of a stock use are common practice, no source: a start, to be driven and corrected. \
Throttle is the share of the engine's torque at that speed. Not in it: suspension, transients, tyre temperature, grip that falls past its \
peak, roll centres.";

fn settings(settled: &Settled) -> Table {
    let head = [
        "", "drive", "coast", "faces", "N", "worst", "mean", "changes", "W a face", "class",
    ];
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut row = |name: String, rated: &Rated, cost: Option<(u32, f64)>| {
        let mut row = vec![name];
        row.extend(built(&rated.setup));
        row.push(percent(rated.worst));
        row.push(percent(rated.mean));
        let (changes, heat) = cost.map_or_else(
            || ("0".to_string(), String::new()),
            |(changes, heat)| (changes.to_string(), significant(heat, 2)),
        );
        row.extend([
            changes,
            heat,
            ramp::class(rated.setup.drive, rated.setup.coast).to_string(),
        ]);
        rows.push(row);
    };
    for (n, one) in settled.proposals.iter().enumerate() {
        let heat = one.cost.heat_a_face.kilowatts() * 1000.0;
        row((n + 1).to_string(), &one.rated, Some((one.cost.changes, heat)));
    }
    row("now".to_string(), &settled.now, None);
    Table::of_words(head, rows)
}

fn proposals(settled: &Settled) -> Section {
    let mut section = Section::under(
        "SETTINGS THAT CAN BE TOLD APART. Ramps are counted from the ring's face. Worst and mean: how far the worst moment and \
         the mean of all are off what is wanted.",
    )
    .table(settings(settled));
    for (n, one) in settled.proposals.iter().enumerate() {
        let differs = match one.differs.is_empty() {
            true => "as the unit is".to_string(),
            false => one.differs.join(", "),
        };
        section = section.words(format!("{}: {differs}.{}", n + 1, alike(one)));
    }
    section
}

fn alike(one: &Proposal) -> String {
    if one.alike.is_empty() {
        return String::new();
    }
    let all: Vec<String> = one.alike.iter().take(3).map(in_words).collect();
    let more = match one.alike.len().checked_sub(3) {
        Some(more) if more > 0 => format!("; and {more} more"),
        _ => String::new(),
    };
    format!(
        " Not to be told apart from it, given the friction's doubt: {}{more}.",
        all.join("; ")
    )
}

impl Settled {
    /// What the car needs: the settings that can be told apart, what they do at each moment, which guess matters most, how the
    /// one that was taken is drawn, what one step changes, and what acts on what the driver says.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn report(
        &self,
        take: u32,
        proposal: &Proposal,
        wanted: &Use,
        acting: &[Acting],
    ) -> Result<Report, MechanicsError> {
        let pictures = self.pictures(proposal)?;
        let [car, name, unit] = &self.names;
        let mut head = Section::new()
            .words(first_sentence(self))
            .words(format!("Car: {car}"))
            .words(format!("Use: {name}. {}", wanted.words))
            .words(format!("Unit, in the {}: {unit}", self.course.place.word()));
        if let Some(taken) = &self.taken_as {
            head = head.words(taken.as_str());
        }
        head = self.guesses().into_iter().fold(head, Section::words);
        let mut report = Report::of(self.summary(take, acting))
            .with(head)
            .with(proposals(self));
        for (n, stage) in self.course.stages.iter().enumerate() {
            report = report.with(moment_section(self, n, stage));
        }
        report = report.with(Section::new().words(MOMENTS));
        if !self.unmet.is_empty() {
            let lines = self.unmet.iter().map(|(n, want)| {
                let moment = self
                    .course
                    .stages
                    .get(*n)
                    .map_or("", |stage| stage.moment.name.as_str());
                format!("{moment}: {}", want.words())
            });
            let all: Vec<String> = lines.collect();
            report = report.with(Section::new().words(format!(
                "Met by none of the {} combinations that the unit offers: {}.",
                self.compared,
                all.join("; ")
            )));
        }
        let guesses = self
            .moves
            .iter()
            .map(|moves| vec![moves.doubt.words(), percent(moves.by)]);
        let shares = format!(
            "WHAT THE PACKS COULD HOLD of the difference between the tyres, over throttle: proposal {take}, thinly the unit as it is."
        );
        let wheels = format!(
            "TORQUE AT THE WHEELS: right (upwards) over left, in a bend to the left. Between its lines the axle turns as one, \
             outside the packs slip: proposal {take}, thinly the unit as it is. X where both tyres are at their limit; below and left \
             of 0 the throttle is closed."
        );
        Ok(report
            .with(
                Section::under("WHICH GUESS MATTERS MOST for proposal 1: measure the first one first.")
                    .table(Table::of_words(["guess", "moves the figures by"], guesses)),
            )
            .with(Section::under(shares).picture(shares_drawn(&pictures)))
            .with(Section::under(wheels).picture(plane_drawn(&pictures)))
            .with(
                Section::under(format!("WHAT ONE STEP CHANGES, from proposal {take}:"))
                    .table(self.steps(&proposal.rated)?),
            )
            .with_all(acting.iter().map(told))
            .with(Section::new().words(format!("{MIND} {}", Safety::First.words()))))
    }

    fn steps(&self, from: &Rated) -> Result<Table, MechanicsError> {
        let mut rows: Vec<Vec<String>> = Vec::new();
        let mut row = |what: String, rated: &Rated| -> Result<(), MechanicsError> {
            let value = |measure, show: fn(f64) -> String| -> Result<String, MechanicsError> {
                Ok(rated.value(measure)?.map_or_else(|| "-".to_string(), show))
            };
            let newton_metres = |value: f64| format!("{value:.0}");
            rows.push(vec![
                what,
                percent(rated.worst),
                percent(rated.mean),
                value(Measure::PutsDown, share)?,
                value(Measure::DriveMoment, newton_metres)?,
                value(Measure::CoastMoment, newton_metres)?,
                value(Measure::Preload, newton_metres)?,
            ]);
            Ok(())
        };
        row("the proposal".to_string(), from)?;
        for (step, rated) in self.steps_from(&from.setup)? {
            row(change(&step), &rated)?;
        }
        let head = [
            "",
            "worst",
            "mean",
            "puts down",
            "against",
            "against, shut",
            "held",
        ];
        Ok(Table::of_words(head, rows))
    }
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

fn shares_drawn(pictures: &Pictures) -> Picture {
    let points = |drawn: &[(Ratio, Ratio)]| -> Vec<(f64, f64)> {
        let points = drawn.iter();
        points
            .map(|(throttle, share)| (throttle.value(), share.value()))
            .collect()
    };
    Picture::Curve(Curve {
        line: points(&pictures.taken.share),
        thin: points(&pictures.now.share),
        marks: points(&pictures.points),
        beside: ["100 %", "0 %"].map(String::from),
        below: ["0 %", "100 %"].map(String::from),
    })
}

/// The left wheel is the one inside: it can take less, and gets less.
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
    let tyres = pictures.taken.drive_tyres;
    let most = 1.1 * value(tyres.high).max(1.0);
    Picture::Plane(Plane {
        range: (-0.5 * most, most),
        lines: edges(&pictures.taken),
        thin: edges(&pictures.now),
        marks: vec![((value(tyres.low), value(tyres.high)), 'X')],
        unit: "N·m",
    })
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

fn told(acting: &Acting) -> Section {
    let (measure, up) = acting.complaint.measure();
    let words = match measure {
        Measure::CoastMoment => "moment against the turn, throttle shut",
        Measure::DriveMoment => "moment against the turn, throttle open",
        Measure::PutsDown => "share that is put down of what both tyres could",
        Measure::Preload => "torque that the preload holds",
    };
    let shown = |value: f64| match measure {
        Measure::PutsDown => share(value),
        _ => format!("{value:.0} N·m"),
    };
    let way = if up { "rise" } else { "fall" };
    let now = match acting.now {
        Some(now) => format!("the unit as it is has {}", shown(now)),
        None => "no moment of this use shows it".to_string(),
    };
    let section = Section::new().words(format!(
        "\"{}\": the {words} should {way}; {now}.",
        complaint_words(acting.complaint)
    ));
    let rows = acting
        .helps
        .iter()
        .map(|(step, then)| [change(step), shown(*then)]);
    let section = match acting.helps.is_empty() {
        true => {
            section.words("No single step of this unit moves it that way in this car: look elsewhere first.")
        }
        false => section.table(Table::of_words(["change", "then"], rows)),
    };
    section.words(format!(
        "The same may come from: {} (common practice, no source).",
        else_too(acting.complaint)
    ))
}
