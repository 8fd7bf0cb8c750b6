//! The lock curve and the strip of breakaway readings.

use super::blocks::Strip;
use super::measure::{Face, fit, width};
use super::numbers::{firm, torque_value, unit};
use super::page::Item;
use super::page_elements::{bar, rule, text};
use crate::quantity::{Torque, Units, visible};
use crate::record::Curve;
use crate::record::lock_bands::LockBand;

const SIZE: f64 = 8.0;

/// An axis: a range of values over a range of places.
pub(super) struct Axis {
    low: f64,
    high: f64,
    step: f64,
    from: f64,
    to: f64,
}

impl Axis {
    /// An axis over all values, with about `count` steps of 1, 2 or 5 times a power of ten.
    pub(super) fn over(values: impl Iterator<Item = f64> + Clone, count: f64, from: f64, to: f64) -> Axis {
        let low = values.clone().fold(f64::INFINITY, f64::min);
        let high = values.fold(f64::NEG_INFINITY, f64::max);
        let (low, high) = if low <= high { (low, high) } else { (0.0, 1.0) };
        let span = if high - low > 1e-9 * high.abs().max(1.0) {
            high - low
        } else {
            high.abs().max(1.0)
        };
        let rough = span / count;
        let ten = 10_f64.powf(rough.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|m| m * ten)
            .find(|step| *step >= rough * 0.999)
            .unwrap_or(10.0 * ten);
        let floor = (low / step).floor() * step;
        let ceiling = ((low + span) / step - 1e-9).ceil() * step;
        Axis {
            low: floor,
            high: if ceiling > floor { ceiling } else { floor + step },
            step,
            from,
            to,
        }
    }

    /// An axis over just these values, in these steps.
    pub(super) fn of(low: f64, high: f64, step: f64, from: f64, to: f64) -> Axis {
        Axis {
            low,
            high,
            step,
            from,
            to,
        }
    }

    /// An axis over just these values, with about `count` round steps; 0 is one of them.
    pub(super) fn within(low: f64, high: f64, count: f64, from: f64, to: f64) -> Axis {
        let step = Axis::over([low, high].into_iter(), count, from, to).step;
        Axis::of(low, high, step, from, to)
    }

    pub(super) fn at(&self, value: f64) -> f64 {
        self.from + (value - self.low) / (self.high - self.low) * (self.to - self.from)
    }

    pub(super) fn ticks(&self) -> Vec<(f64, String)> {
        // from the first whole step
        let first = (self.low / self.step - 1e-9).ceil();
        let count = ((self.high / self.step + 1e-9).floor() - first).clamp(0.0, 20.0) as usize;
        let decimals = if self.step >= 1.0 {
            0
        } else {
            (-self.step.log10()).ceil().clamp(0.0, 9.0) as usize
        };
        (0..=count)
            .map(|n| {
                let value = (first + n as f64) * self.step;
                let label = if value.abs() >= 1e7 {
                    format!("{value:.1e}")
                } else {
                    format!("{value:.decimals$}")
                };
                (
                    self.at(value),
                    if label == "-0" { "0".to_string() } else { label },
                )
            })
            .collect()
    }
}

pub(super) fn line(points: Vec<(f64, f64)>, thickness: f64, grey: f64, dash: f64) -> Item {
    Item::Line {
        points,
        thickness,
        grey,
        dash,
    }
}

/// Writes the ticks of a level axis under `y` and the title below them, nothing past `room`; returns the depth taken.
fn foot(items: &mut Vec<Item>, axis: &Axis, y: f64, title: &str, room: f64) -> f64 {
    items.push(rule(axis.from, y, axis.to - axis.from, 0.25, 0.0));
    let mut free = f64::NEG_INFINITY;
    for (x, label) in axis.ticks() {
        let wide = width(&label, Face::Regular, SIZE);
        items.push(line(vec![(x, y), (x, y + 1.0)], 0.2, 0.0, 0.0));
        let left = (x - wide / 2.0).min(room - wide);
        if left > free + 0.8 {
            items.push(text(left, y + 4.5, SIZE, Face::Regular, &label, 0.2));
            free = left + wide;
        }
    }
    let x = (axis.from + axis.to - width(title, Face::Regular, SIZE)) / 2.0;
    items.push(text(x, y + 8.0, SIZE, Face::Regular, title, 0.2));
    9.0
}

/// A band of the lock as the picture draws it: torque at the case, least and most that is held while the packs slip.
fn band(band: &LockBand, units: Units) -> Vec<(f64, f64, f64)> {
    let value = |torque: Torque| torque_value(torque, units);
    let points = band.over_torque.iter();
    points
        .map(|at| (value(at.case), value(at.slipping[0]), value(at.slipping[1])))
        .collect()
}

/// The lock curve with its bands, `high` from the axis to the top: its whole height and its items.
pub(super) fn curve(curve: &Curve, units: Units, room: f64, high: f64) -> (f64, Vec<Item>) {
    const TOP: f64 = 5.5;
    let symbol = unit::<Torque>(units);
    let values: Vec<(f64, f64, f64)> = curve
        .points
        .iter()
        .map(|(t, drive, coast)| {
            (
                torque_value(*t, units),
                torque_value(*drive, units),
                torque_value(*coast, units),
            )
        })
        .collect();
    let zero = std::iter::once(0.0);
    let bands = curve.bands.as_ref();
    let bands = bands.map(|bands| [band(&bands.drive, units), band(&bands.coast, units)]);
    let highest = bands.iter().flatten().flatten().map(|(_, _, high)| *high);
    let x = Axis::over(
        zero.clone().chain(values.iter().map(|v| v.0)),
        8.0,
        16.0,
        room - 24.0,
    );
    let y = Axis::over(
        zero.chain(values.iter().flat_map(|v| [v.1, v.2]))
            .chain(highest.clone()),
        5.0,
        TOP + high,
        TOP,
    );
    let mut items = vec![text(
        0.0,
        3.0,
        SIZE,
        Face::Regular,
        &format!("Torque difference held, {symbol}"),
        0.2,
    )];
    for (points, grey) in bands.iter().flatten().zip([0.8, 0.88]) {
        let low = points.iter().map(|(case, low, _)| (x.at(*case), y.at(*low)));
        let high = points
            .iter()
            .rev()
            .map(|(case, _, high)| (x.at(*case), y.at(*high)));
        items.push(Item::Polygon {
            points: low.chain(high).collect(),
            fill: Some(grey),
            outline: 0.0,
        });
    }
    // the lines end where the curves do, so that none runs through their labels
    let end = values.iter().map(|v| x.at(v.0)).fold(x.from, f64::max);
    for (at, label) in y.ticks() {
        items.push(rule(x.from, at, end - x.from, 0.1, 0.75));
        let label = fit(&label, Face::Regular, SIZE, 14.0);
        let wide = width(&label, Face::Regular, SIZE);
        items.push(text(
            x.from - 1.5 - wide,
            at + 1.0,
            SIZE,
            Face::Regular,
            &label,
            0.2,
        ));
    }
    items.push(line(vec![(x.from, TOP), (x.from, TOP + high)], 0.25, 0.0, 0.0));
    let depth = foot(
        &mut items,
        &x,
        TOP + high,
        &format!("Torque at the case, {symbol}"),
        room,
    );
    let trace = |pick: fn(&(f64, f64, f64)) -> f64| -> Vec<(f64, f64)> {
        values.iter().map(|v| (x.at(v.0), y.at(pick(v)))).collect()
    };
    let (drive, coast) = (trace(|v| v.1), trace(|v| v.2));
    let last = |points: &[(f64, f64)]| points.last().copied().unwrap_or((x.to, TOP + high));
    let (drive_end, coast_end) = (last(&drive), last(&coast));
    items.push(line(coast, 0.4, 0.0, 1.4));
    items.push(line(drive, 0.55, 0.0, 0.0));
    // direct labels beside the ends, apart from each other
    let apart = 3.6;
    let (mut up, mut down) = (drive_end.1, coast_end.1);
    if (up - down).abs() < apart {
        let middle = ((up + down) / 2.0).clamp(TOP + apart / 2.0, TOP + high - apart / 2.0);
        let sign = if drive_end.1 <= coast_end.1 { 1.0 } else { -1.0 };
        up = middle - sign * apart / 2.0;
        down = middle + sign * apart / 2.0;
    }
    for (end, at, face, label) in [
        (drive_end, up, Face::Bold, "on drive"),
        (coast_end, down, Face::Regular, "on coast"),
    ] {
        items.push(text(end.0 + 1.8, at + 1.0, SIZE + 0.5, face, label, 0.0));
    }
    (TOP + high + depth, items)
}

/// What the lock curve shows, for whoever can not see it.
pub(super) fn curve_says(of: &Curve, units: Units) -> String {
    let torque = |torque: Torque| firm(&torque.show(units));
    of.points.last().map_or(String::new(), |&(case, drive, coast)| {
        format!(
            "Torque difference held over torque at the case: it rises to {} on drive and {} on coast at {}.",
            torque(drive),
            torque(coast),
            torque(case)
        )
    })
}

/// What the readings over their windows show, for whoever can not see them.
pub(super) fn strip_says(of: &Strip) -> String {
    let torque = |torque: Torque| firm(&torque.show(of.units));
    let rows = of.rows.iter().map(|row| {
        let read: Vec<String> = row.points.iter().map(|(_, read)| torque(*read)).collect();
        format!(
            "{}: window {} to {}, read {}.",
            visible(&row.label),
            torque(row.window.0),
            torque(row.window.1),
            read.join(", ")
        )
    });
    rows.collect::<Vec<_>>().join(" ")
}

/// The readings over their windows: the height and the items.
pub(super) fn strip(strip: &Strip, room: f64) -> (f64, Vec<Item>) {
    const ROW: f64 = 5.6;
    const LABEL: f64 = 33.0;
    let value = |t: Torque| torque_value(t, strip.units);
    let all = strip.rows.iter().flat_map(|row| {
        let span = (value(row.window.1) - value(row.window.0)).abs() * 0.2;
        // some room beside the window, but not below zero
        let low = value(row.window.0);
        let window = [(low - span).max(low.min(0.0)), value(row.window.1) + span];
        let points = row.points.iter().map(|point| value(point.1));
        points.chain(window)
    });
    let axis = Axis::over(all, 10.0, LABEL, room - 4.0);
    let mut items = Vec::new();
    let mut top = 0.5;
    for row in &strip.rows {
        let middle = top + ROW / 2.0;
        let (low, up) = (axis.at(value(row.window.0)), axis.at(value(row.window.1)));
        items.push(bar(low.min(up), top, (up - low).abs(), ROW, 0.86));
        for x in [low, up] {
            items.push(line(vec![(x, top), (x, top + ROW)], 0.3, 0.0, 0.0));
        }
        let label = fit(&row.label, Face::Regular, 8.5, LABEL - 3.0);
        items.push(text(0.0, middle + 1.0, 8.5, Face::Regular, &label, 0.0));
        items.push(rule(LABEL, middle, axis.to - LABEL, 0.1, 0.6));
        for (first, torque) in &row.points {
            let y = if *first { middle - 1.4 } else { middle + 1.4 };
            items.push(dot(axis.at(value(*torque)), y, *first));
        }
        top += ROW;
    }
    let symbol = unit::<Torque>(strip.units);
    let title = format!("Breakaway torque, {symbol}: ● first movement, ○ steady turning, grey: window");
    let depth = foot(&mut items, &axis, top, &title, room);
    (top + depth, items)
}

/// A round point, filled or open.
pub(super) fn dot(x: f64, y: f64, filled: bool) -> Item {
    const RADIUS: f64 = 0.95;
    let corner = |n: u32| {
        let (sin, cos) = (f64::from(n) * std::f64::consts::TAU / 16.0).sin_cos();
        (x + RADIUS * cos, y + RADIUS * sin)
    };
    Item::Polygon {
        points: (0..16).map(corner).collect(),
        fill: Some(if filled { 0.0 } else { 1.0 }),
        outline: 0.25,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_axis_holds_all_values_and_steps_evenly() {
        let axis = Axis::over([3.0, 57.0].into_iter(), 5.0, 10.0, 110.0);
        let labels: Vec<String> = axis.ticks().into_iter().map(|(_, label)| label).collect();
        assert_eq!(labels, ["0", "20", "40", "60"]);
        assert!((axis.at(30.0) - 60.0).abs() < 1e-9);
    }

    #[test]
    fn an_axis_over_one_value_still_has_a_length() {
        for value in [0.0, 5.0, -3.0, 1e300] {
            let axis = Axis::over(std::iter::once(value), 5.0, 0.0, 100.0);
            assert!(
                axis.high > axis.low && (0.0..=100.0).contains(&axis.at(value)),
                "{value}"
            );
        }
    }
}
