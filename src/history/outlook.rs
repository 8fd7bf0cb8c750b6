//! How a value goes on over distance, and when it meets its least.

use super::joint_doubts::{Doubts, largest};
use crate::mechanics::wear::{CONFIDENCE, Meets, Trend};
use crate::metrology::Line;
use crate::record::Interval;
use std::cmp::Ordering;

/// What can be said of how a value goes on.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Outlook {
    /// Fewer points than a line with an interval needs; with the loss per distance where there are two, from those alone.
    TooFew {
        /// How many points there are.
        points: usize,
        /// Loss per distance from the first to the last, without an interval.
        rate: Option<f64>,
    },
    /// A line.
    Told {
        /// Through how many points.
        points: usize,
        /// Loss per distance.
        rate: f64,
        /// Its interval at 95 %.
        interval: (f64, f64),
        /// Where it meets the least, counted from the last build of the unit; `None` where nothing limits it.
        meets: Option<Meets>,
        /// The line itself.
        line: Line,
    },
}

impl Outlook {
    /// Loss per distance, where there is any.
    pub fn rate(&self) -> Option<f64> {
        match self {
            Outlook::TooFew { rate, .. } => *rate,
            Outlook::Told { rate, .. } => Some(*rate),
        }
    }

    /// The 95 % interval of the loss per distance with where it comes from, by what leaves the points in doubt; `None` where there is
    /// no band. Where the points scatter by more than their own doubt, the rest is told as such.
    pub fn band(&self, doubts: &Doubts) -> Option<Interval<f64>> {
        let &Outlook::Told {
            interval: (low, high),
            line,
            ..
        } = self
        else {
            return None;
        };
        let half = |u: f64| {
            let (low, high) = line.with_doubt(u).ok()?.slope_interval(CONFIDENCE).ok()?;
            Some(0.5 * (high - low)).filter(|half| *half > 0.0)
        };
        let u = doubts.whole();
        let whole = half(u)?;
        let of_readings = match half(0.0) {
            Some(by_scatter) if by_scatter >= whole => (u / line.residual_sd).powi(2).min(1.0),
            _ => 1.0,
        };
        let readings = doubts.shares().map(|(name, share)| (name, share * of_readings));
        let scatter = ("scatter from build to build".to_string(), 1.0 - of_readings);
        let middle = 0.5 * (low + high);
        Some(Interval {
            low,
            high,
            parts: largest(readings.chain([scatter]).collect()),
            narrower: doubts.halved().and_then(|(by, left)| {
                let half = half(left).filter(|half| *half < 0.9 * whole)?;
                Some((by, middle - half, middle + half))
            }),
        })
    }

    /// How far it may go from the last build before the least is met at the earliest; `None` where that can not be said
    /// or never comes.
    pub fn earliest(&self) -> Option<f64> {
        match self {
            Outlook::Told {
                meets: Some(meets), ..
            } => match meets {
                Meets::Already => Some(0.0),
                Meets::Within { from, .. } | Meets::NotBefore { from, .. } => Some(from.max(0.0)),
                Meets::Never => None,
            },
            _ => None,
        }
    }

    /// How far it may go from the last build before the line itself meets the least; `None` where it does not.
    pub fn middle(&self) -> Option<f64> {
        match self {
            Outlook::Told {
                meets: Some(meets), ..
            } => match meets {
                Meets::Already => Some(0.0),
                Meets::Within { at, .. } => Some(*at),
                Meets::NotBefore { at, .. } => *at,
                Meets::Never => None,
            },
            _ => None,
        }
    }
}

/// Which of two comes first: by the earliest, and where that is the same, as where both may be there already, by the middle.
pub(super) fn sooner(a: (f64, Option<f64>), b: (f64, Option<f64>)) -> Ordering {
    let middle = |one: (f64, Option<f64>)| one.1.unwrap_or(f64::INFINITY);
    a.0.total_cmp(&b.0).then(middle(a).total_cmp(&middle(b)))
}

/// Of points that each have at least the standard uncertainty `doubt`.
pub(super) fn outlook(points: &[(f64, f64)], doubt: f64, least: Option<f64>, here: f64) -> Outlook {
    let Ok(trend) = Trend::of(points).and_then(|trend| trend.with_doubt(doubt)) else {
        let rate = match (points.first(), points.last()) {
            (Some(first), Some(last)) if last.0 > first.0 => Some((first.1 - last.1) / (last.0 - first.0)),
            _ => None,
        };
        return Outlook::TooFew {
            points: points.len(),
            rate,
        };
    };
    Outlook::Told {
        points: points.len(),
        rate: trend.rate(),
        interval: trend.rate_interval(CONFIDENCE).unwrap_or((0.0, 0.0)),
        meets: least
            .and_then(|least| trend.meets(least, CONFIDENCE).ok())
            .map(|meets| from_here(meets, here)),
        line: trend.line,
    }
}

/// The same counted from `here`.
pub(super) fn from_here(meets: Meets, here: f64) -> Meets {
    match meets {
        Meets::Within { at, from, to } => Meets::Within {
            at: at - here,
            from: from - here,
            to: to - here,
        },
        Meets::NotBefore { at, from } => Meets::NotBefore {
            at: at.map(|at| at - here),
            from: from - here,
        },
        other => other,
    }
}
