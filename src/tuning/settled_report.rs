//! How what a car needs of its unit is told: what to fit first, then why.

use super::bands::{Band, Guess, MomentBands, Moves};
use super::beside::{Beside, beside_each_other};
use super::course::Stage;
use super::curves::{Curves, Pictures};
use super::felt::{FeltSetting, felt_section};
use super::rated::{MomentResult, Rated};
use super::settled::{Proposal, Settled};
use super::step_report::degrees;
use super::step_table::StepTable;
use super::together::Together;
use crate::mechanics::{Direction, LockModel, LockSetup, MechanicsError, RampClass, ramp};
use crate::quantity::{Ratio, Torque, significant};
use crate::report::{Curve, Picture, Plane, Report, Section, Table};
use crate::workshop::moment::Throttle;
use crate::workshop::{Safety, Use};

/// The unit as it was last driven, where that is not as its file has it.
#[derive(Clone, PartialEq, Debug)]
pub struct Driven {
    /// Which that is, such as "as moor-rear-0002 left it on 2026-05-09".
    pub words: String,
    /// What it does.
    pub rated: Rated,
}

/// What a report is made from, besides what was settled.
#[derive(Clone, Copy, Debug)]
pub struct Telling<'a> {
    /// Which proposal is taken, from 1.
    pub take: u32,
    /// That proposal.
    pub proposal: &'a Proposal,
    /// The use.
    pub wanted: &'a Use,
    /// The unit as it was last driven, where that is known and other than its file has it.
    pub driven: Option<&'a Driven>,
    /// What steps change from there.
    pub steps: &'a StepTable,
    /// Settings of this unit that were driven, with what was felt of them; empty where none was.
    pub felt: &'a [FeltSetting],
    /// The unit as it is in several cars; empty where nobody asked.
    pub cars: &'a [Beside],
    /// The unit over a season; empty where nobody asked.
    pub season: &'a [Beside],
    /// The unit settled together with a second one, where somebody asked.
    pub together: Option<&'a Together>,
}

pub(super) fn percent(ratio: Ratio) -> String {
    share(ratio.value())
}

fn share(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// One-way and so on, as short as a column wants it.
pub(super) fn class(setup: &LockSetup) -> &'static str {
    match ramp::class(setup.drive, setup.coast) {
        RampClass::OneWay => "1-way",
        RampClass::OneAndAHalfWay => "1½-way",
        RampClass::TwoWay => "2-way",
    }
}

pub(super) fn faces([left, right]: [u32; 2]) -> String {
    match left == right {
        true => left.to_string(),
        false => format!("{left}/{right}"),
    }
}

/// A setting in a few words.
fn in_words(setup: &LockSetup) -> String {
    format!(
        "drive {}, coast {}, {} faces a pack, {:.0} N",
        degrees(setup.drive),
        degrees(setup.coast),
        faces(setup.faces),
        setup.preload[0].newtons()
    )
}

/// How many wants are met, of how many.
fn met(rated: &Rated) -> (usize, usize) {
    let wants = rated.results.iter().flat_map(|result| &result.met);
    let met: Vec<bool> = wants.map(|met| met.short.value() <= 0.0).collect();
    (met.iter().filter(|met| **met).count(), met.len())
}

fn band(value: String, band: Option<&Band>, show: impl Fn(f64) -> String) -> String {
    let Some(Band { least, most }) = band else {
        return value;
    };
    let end = |end: &Option<f64>| end.map_or_else(|| "never".to_string(), &show);
    let (least, most) = (end(least), end(most));
    match least == most {
        true => value,
        false => format!("{value} ({}–{most})", least.trim_end_matches(" %")),
    }
}

fn one_from(result: &MomentResult, bands: Option<&MomentBands>) -> String {
    let from = result.one_from.map_or_else(|| "never".to_string(), percent);
    let from = match result.one_to {
        Some(to) => format!("{from}, to {}", percent(to)),
        None => from,
    };
    band(from, bands.and_then(|bands| bands.one_from.as_ref()), share)
}

fn puts_down(result: &MomentResult, bands: Option<&MomentBands>) -> String {
    let down = result.puts_down.map_or_else(|| "-".to_string(), percent);
    band(down, bands.and_then(|bands| bands.puts_down.as_ref()), share)
}

fn against(result: &MomentResult, bands: Option<&MomentBands>) -> String {
    let newton_metres = |value: f64| format!("{value:.0}");
    let value = newton_metres(result.against.newton_metres());
    band(value, bands.map(|bands| &bands.against), newton_metres)
}

fn of_front(result: &MomentResult) -> String {
    result.against_share.map_or_else(|| "-".to_string(), percent)
}

/// The moment with the most weight whose throttle is open, or shut.
fn weightiest(settled: &Settled, opened: bool) -> Option<(usize, &Stage)> {
    let stages = settled.course.stages.iter().enumerate();
    let here = stages.filter(|(_, stage)| matches!(stage.moment.throttle, Throttle::Opened { .. }) == opened);
    // the first of those that weigh alike
    here.reduce(|best, one| match one.1.moment.weight > best.1.moment.weight {
        true => one,
        false => best,
    })
}

impl Settled {
    /// What to fit, in a sentence, and what a driver will feel of it in another.
    pub fn first_words(&self, one: &Proposal) -> [String; 2] {
        let settled = self;
        let (now, all) = met(&settled.now);
        let (then, _) = met(&one.rated);
        let class = ramp::class(one.rated.setup.drive, one.rated.setup.coast);
        let off = |rated: &Rated| percent(rated.worst);
        let fit = match one.differs.is_empty() {
            true => format!(
                "Leave it as it is ({}, a {class}): nothing that is offered does better. It meets {now} of the {all} wants of this use; \
                 at its worst moment it is {} off.",
                in_words(&one.rated.setup),
                off(&settled.now)
            ),
            false => format!(
                "Fit {}: a {class}. At its worst moment it is {} off what is wanted, the unit as it is {}; it meets {then} of the {all} \
                 wants of this use, the unit as it is {now}.",
                one.differs.join(", "),
                off(&one.rated),
                off(&settled.now)
            ),
        };
        let mut felt = Vec::new();
        if let Some((n, stage)) = weightiest(settled, true)
            && let Some(result) = one.rated.results.get(n)
        {
            let from = match result.one_from {
                None => "never turns as one".to_string(),
                Some(_) => format!(
                    "turns as one from {} throttle",
                    one_from(result, one.bands.get(n))
                ),
            };
            let caps = result.caps_from.map_or_else(String::new, |caps| {
                format!("; the tyres cap from {}", percent(caps))
            });
            felt.push(format!(
                "{}, it {from} and puts down {} of what both tyres could{caps}",
                capital(&stage.moment.name),
                puts_down(result, one.bands.get(n))
            ));
        }
        if let Some((n, stage)) = weightiest(settled, false)
            && let Some(result) = one.rated.results.get(n)
        {
            felt.push(format!(
                "{}, its N·m against the turn are {}, {} of the front tyres' grip",
                capital(&stage.moment.name),
                against(result, one.bands.get(n)),
                of_front(result)
            ));
        }
        [fit, format!("{}.", felt.join(". "))]
    }
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A row for each setting that is told of.
fn each<'a>(settled: &'a Settled, told: &Telling<'a>) -> Vec<(String, &'a Rated, Option<&'a Proposal>)> {
    let proposals = settled.proposals.iter().enumerate();
    let mut all: Vec<_> = proposals
        .map(|(n, one)| ((n + 1).to_string(), &one.rated, Some(one)))
        .collect();
    all.push(("now".to_string(), &settled.now, None));
    all.extend(
        told.driven
            .map(|driven| ("driven".to_string(), &driven.rated, None)),
    );
    all
}

/// Ramps, faces, preload, and what they come to by themselves.
fn settings(settled: &Settled, told: &Telling<'_>) -> Result<Table, MechanicsError> {
    let mut rows = Vec::new();
    for (name, rated, proposal) in each(settled, told) {
        let setup = &rated.setup;
        let model = LockModel::new(setup.clone())?;
        let ratio = model
            .bias_ratio(Direction::Drive)
            .map_or_else(|| "no end".to_string(), |ratio| significant(ratio.value(), 2));
        rows.push(vec![
            name,
            degrees(setup.drive),
            degrees(setup.coast),
            faces(setup.faces),
            format!("{:.0}", setup.preload[0].newtons()),
            class(setup).to_string(),
            percent(model.share(Direction::Drive)),
            percent(model.share(Direction::Coast)),
            ratio,
            percent(rated.worst),
            percent(rated.mean),
            proposal.map_or_else(String::new, |one| {
                significant(1000.0 * one.cost.heat_a_face.kilowatts(), 2)
            }),
        ]);
    }
    let head = [
        "", "drive", "coast", "faces", "N", "class", "S", "shut", "bias", "worst", "mean", "W",
    ];
    Ok(Table::of_words(head, rows))
}

const SETTINGS: &str = "Ramps are counted from the ring's face; N on each pack. S: the trade's lock of the ramps on drive, (slow − \
fast)/(slow + fast), shut the same on coast; bias: slow over fast. Worst and mean: how far the worst moment and the mean of all are \
off what is wanted. W: the most heat into a face while its packs slip.";

fn proposals(settled: &Settled, told: &Telling<'_>) -> Result<Section, MechanicsError> {
    let mut section = Section::under("SETTINGS THAT CAN BE TOLD APART:")
        .table(settings(settled, told)?)
        .words(SETTINGS);
    for (n, one) in settled.proposals.iter().enumerate() {
        let differs = match one.differs.is_empty() {
            true => "as the unit is".to_string(),
            false => one.differs.join(", "),
        };
        section = section.words(format!("{}: {differs}.{}", n + 1, alike(one)));
    }
    if let Some(driven) = told.driven {
        section = section.words(format!("driven: {}.", driven.words));
    }
    Ok(section)
}

fn alike(one: &Proposal) -> String {
    const SHOWN: usize = 3;
    if one.alike.is_empty() {
        return String::new();
    }
    let all: Vec<String> = one.alike.iter().take(SHOWN).map(in_words).collect();
    let more = match one.alike.len().checked_sub(SHOWN) {
        Some(more) if more > 0 => format!("; and {more} more"),
        _ => String::new(),
    };
    format!(
        " Not to be told apart from it, given the friction's doubt: {}{more}.",
        all.join("; ")
    )
}

/// Where the car is at a moment, and what is wanted there.
fn stage_words(stage: &Stage) -> String {
    let moment = &stage.moment;
    let [inside, outside] = moment.grip.map(|grip| significant(grip.value(), 2));
    let rpm = match stage.at.within {
        true => format!("{:.0} rpm", stage.at.rpm),
        false => format!(
            "{:.0} rpm, at which the nearest torque of the car's file is taken",
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
    let wants: Vec<String> = moment.wants.iter().map(|want| want.words()).collect();
    format!(
        "{} (weight {}): {:.0} km/h, {} g, grip {inside} inside and {outside} outside, gear {} ({rpm}), {throttle}. Wanted: {}.",
        capital(&moment.name),
        significant(moment.weight.value(), 2),
        stage.speed.km_per_hour(),
        significant(moment.cornering.value(), 2),
        stage.at.gear,
        wants.join("; ")
    )
}

/// The settings beside each other, a figure of a moment a row.
fn side_by_side(settled: &Settled, told: &Telling<'_>) -> Table {
    let all = each(settled, told);
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (n, stage) in settled.course.stages.iter().enumerate() {
        let mut moment = vec![capital(&stage.moment.name)];
        moment.resize(all.len() + 1, String::new());
        rows.push(moment);
        let mut row = |what: &str, cell: &dyn Fn(&MomentResult, Option<&MomentBands>) -> String| {
            let cells: Vec<String> = all
                .iter()
                .map(|(name, rated, proposal)| {
                    let bands = match proposal {
                        Some(one) => one.bands.get(n),
                        None if name == "now" => settled.now_bands.get(n),
                        None => None,
                    };
                    rated
                        .results
                        .get(n)
                        .map_or_else(String::new, |result| cell(result, bands))
                })
                .collect();
            // what is the same and nothing everywhere says nothing
            if cells
                .iter()
                .any(|cell| !["never", "0", "0 %"].contains(&cell.as_str()))
                || what == "one from"
            {
                rows.push([what.to_string()].into_iter().chain(cells).collect());
            }
        };
        if matches!(stage.moment.throttle, Throttle::Opened { .. }) {
            row("one from", &one_from);
            row("puts down", &puts_down);
            row("tyres cap from", &|result, _| {
                result.caps_from.map_or_else(|| "never".to_string(), percent)
            });
        }
        row("N·m against", &against);
        row("of front grip", &|result, _| of_front(result));
        row("off the wants", &|result, _| percent(result.short));
    }
    let head = [String::new()]
        .into_iter()
        .chain(all.into_iter().map(|(name, ..)| name));
    Table::of_words(head, rows)
}

const MOMENTS: &str = "One from: the throttle from which the unit turns as one. Puts down: at the most throttle, of what both tyres \
could. Tyres cap from: the throttle from which a wheel spins. Against: the most N·m against the turn, and their worth in the front \
tyres' grip. Off the wants: 0 where all is met. In brackets the band: the friction's doubt (95 %), the springs' tolerance, a tenth of \
grip and height, and with --after the wear over that distance. A row that would be 0 or never all along is left out.";

const MIND: &str = "Grip, cornering and wants of a stock use are common practice, no source: a start, to be driven and corrected. \
Throttle is the share of the engine's torque at that speed, and not the pedal.";

const NOT_IN_IT: &str = "Not in it: suspension, transients, tyre temperature, grip that falls past its peak, roll centres, the sideways \
grip that a spinning tyre loses.";

/// What has to be said of some moment of the proposal that is taken.
fn remarks(settled: &Settled, told: &Telling<'_>) -> Vec<String> {
    let mut words = Vec::new();
    for (stage, result) in settled.course.stages.iter().zip(&told.proposal.rated.results) {
        let any = |wrong: fn(&crate::mechanics::whole_car::CarBalance) -> bool| {
            result
                .states
                .iter()
                .find(|(_, found)| wrong(found))
                .map(|(throttle, _)| *throttle)
        };
        if let Some(throttle) = any(|found| found.axles.iter().any(|axle| axle.runs_wide())) {
            words.push(format!(
                "{}: proposal {} runs wide from {} throttle; an axle loses so much load that its tyres can not hold the bend.",
                capital(&stage.moment.name),
                told.take,
                percent(throttle)
            ));
        }
        if let Some(throttle) = any(|found| found.second) {
            words.push(format!(
                "{}: at {} throttle a second answer is real as well; a stab of the throttle carries the car over to it. What is told \
                 is come to from a shut throttle.",
                capital(&stage.moment.name),
                percent(throttle)
            ));
        }
    }
    let unmet = settled.unmet.iter().filter_map(|(n, want)| {
        let stage = settled.course.stages.get(*n)?;
        Some(format!("{}: {}", stage.moment.name, want.words()))
    });
    let unmet: Vec<String> = unmet.collect();
    if !unmet.is_empty() {
        words.push(format!(
            "Met by none of the {} combinations that the unit offers: {}.",
            settled.compared,
            unmet.join("; ")
        ));
    }
    words
}

impl Settled {
    /// What the car needs: what to fit in a sentence; the settings that can be told apart, beside each other at every moment; which
    /// guess matters most; how the one that was taken is drawn; what steps change of what drivers say.
    ///
    /// # Errors
    ///
    /// None but those of the formulas.
    pub fn report(&self, told: &Telling<'_>) -> Result<Report, MechanicsError> {
        let pictures = self.pictures(told.proposal)?;
        let [car, name, unit] = &self.names;
        let place = self.course.place;
        let [fit, felt] = self.first_words(told.proposal);
        let mut head = Section::new().words(fit).words(felt);
        if let Some(words) = told.steps.most_helpful() {
            head = head.words(words);
        }
        let known = |moves: &&Moves| moves.doubt.guess != Guess::Wear;
        if let (Some(moves), true) = (self.moves.iter().find(known), self.moves.len() > 1) {
            head = head.words(format!(
                "What matters most of what is not known well: {}. Measure it first.",
                moves.doubt.words()
            ));
        }
        head = head
            .words(format!("Car: {car}"))
            .words(format!("Use: {name}. {}", told.wanted.words))
            .words(format!("Unit, in the {}: {unit}", place.word()));
        for words in self.guesses().into_iter().chain(self.taken_as.clone()) {
            head = head.words(words);
        }
        let stages = self.course.stages.iter();
        let moments = stages.fold(Section::under("THE MOMENTS:"), |section, stage| {
            section.words(stage_words(stage))
        });
        let beside = remarks(self, told).into_iter().fold(
            Section::under("WHAT THE SETTINGS DO, MOMENT BY MOMENT:")
                .table(side_by_side(self, told))
                .words(MOMENTS),
            Section::words,
        );
        let guesses = self
            .moves
            .iter()
            .map(|moves| vec![moves.doubt.words(), percent(moves.by)]);
        let start = match told.driven {
            Some(driven) => driven.words.as_str(),
            None => "the unit as it is",
        };
        Ok(Report::of(self.summary(told)?)
            .with(head)
            .with(proposals(self, told)?)
            .with(moments)
            .with(beside)
            .with_all(told.together.map(Together::section))
            .with_all(felt_section(&self.course, told.felt)?)
            .with_all(beside_each_other(
                "THE SAME UNIT, AS IT IS, IN EACH CAR:",
                told.cars,
            ))
            .with_all(beside_each_other(
                "OVER THE SEASON, by what the book knows of friction and wear:",
                told.season,
            ))
            .with(
                Section::under("WHICH GUESS MATTERS MOST, for proposal 1:")
                    .table(Table::of_words(["guess", "moves the figures by"], guesses)),
            )
            .with_all(drawn(self, told, &pictures))
            .with_all(told.steps.sections(place, start))
            .with(Section::new().words(format!("{MIND} {NOT_IN_IT} {}", Safety::First.words()))))
    }
}

/// The two pictures, with the moment that they are of.
fn drawn(settled: &Settled, told: &Telling<'_>, pictures: &Pictures) -> [Section; 2] {
    let take = told.take;
    let [opened, shut] = settled.course.drawn();
    let name =
        |found: Option<&Stage>| found.map_or_else(String::new, |stage| format!(" ({})", stage.moment.name));
    let shares = format!(
        "WHAT THE PACKS COULD HOLD of the difference between the tyres, over throttle{}:",
        name(opened)
    );
    let wheels = format!(
        "TORQUE AT THE WHEELS in a bend to the left{}, right wheel upwards, left wheel to the right, below 0 with the throttle shut{}:",
        name(opened),
        name(shut)
    );
    [
        Section::under(shares).picture(shares_drawn(pictures, take)),
        Section::under(wheels).picture(plane_drawn(pictures, take)),
    ]
}

fn shares_drawn(pictures: &Pictures, take: u32) -> Picture {
    let caps = pictures.caps_from;
    let points = |drawn: &[(Ratio, Ratio)]| -> Vec<(f64, f64)> {
        let points = drawn.iter();
        points
            .map(|(throttle, share)| (throttle.value(), share.value()))
            .collect()
    };
    let mut names = vec![format!(
        "whole line: proposal {take}; dots: the unit as it is; at 100 % it turns as one"
    )];
    if !pictures.points.is_empty() {
        names.push("o: wanted".to_string());
    }
    names.extend(caps.map(|caps| format!("upright: the tyres cap from {} throttle", percent(caps))));
    Picture::Curve(Curve {
        line: points(&pictures.taken.share),
        thin: points(&pictures.now.share),
        marks: points(&pictures.points),
        beside: ["100 %", "0 %"].map(String::from),
        below: ["0 %", "100 %"].map(String::from),
        middles: ["50 %", "50 % throttle"].map(String::from),
        uprights: caps.into_iter().map(Ratio::value).collect(),
        names,
    })
}

/// The left wheel is the one inside: it can take less, and gets less.
fn plane_drawn(pictures: &Pictures, take: u32) -> Picture {
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
        names: vec![
            format!(
                "lines: proposal {take}; dots: the unit as it is. Between them it turns as one, outside the packs slip"
            ),
            "X: both tyres at their limit".to_string(),
        ],
    })
}
