//! Remedies as rows and sentences.

use super::{Lasts, Reckoned, Remedy};
use crate::history::measure::Measure;
use crate::history::wear::Along;
use crate::history::wear_tables::{WearTables, grid};
use crate::quantity::Dimension;
use crate::report::{Cell, NOTHING, Table, number};

impl WearTables<'_> {
    /// For which distance the remedies are reckoned, and what the unit will be like by its own trends.
    pub fn by_then(&self) -> String {
        let shown = self.shown;
        let remedies = self.remedies;
        let after = shown.distance(remedies.after);
        let after = match (remedies.reckoned, self.wear.along) {
            (Reckoned::Asked, Along::Kilometres) => number(after, 0),
            (Reckoned::Asked, Along::Hours) => number(after, 1),
            _ => shown.rough(remedies.after),
        };
        let distance = format!("{after} {}", shown.distance_symbol());
        let mut words = match remedies.reckoned {
            Reckoned::Asked => format!("{distance} after the last build"),
            Reckoned::AtTheEarliest if remedies.after > 0.0 => {
                format!("{distance} after the last build, where a limit may be met at the earliest")
            }
            Reckoned::AtTheEarliest => "As it was last left, since a limit may be met already".to_string(),
            Reckoned::Now => "As it was last left".to_string(),
        };
        let gap = !self.wear.gaps.is_empty();
        let trends: Vec<String> = remedies
            .by_trend
            .iter()
            .filter(|trend| !gap || trend.measure == Measure::Length)
            .map(|trend| {
                let of = |value: f64| shown.of(trend.measure, value).0;
                let (value, symbol, decimals) = shown.of(trend.measure, trend.value);
                let band = trend.band.map_or(String::new(), |(low, high)| {
                    let [low, high] = [low, high].map(|end| number(of(end), decimals));
                    format!(" ({low} to {high})")
                });
                let words = format!("{} {}{band} {symbol}", trend.what, number(value, decimals));
                words.trim_end().to_string()
            })
            .collect();
        if !trends.is_empty() {
            words.push_str(&format!("; by the trends themselves: {}", trends.join(", ")));
        }
        words.push('.');
        words
    }

    /// What each remedy brings; `None` where there is nothing to reckon from.
    pub fn remedies(&self) -> Option<Table> {
        let shown = self.shown;
        let gap = !self.wear.gaps.is_empty();
        let distance = shown.distance_symbol();
        let plate = format!("{distance} to a plate's limit");
        let head: Vec<String> = if gap {
            let length = shown.symbol(Dimension::Length);
            vec![
                "done".to_string(),
                format!("gap {length}"),
                format!("{distance} to the most gap"),
                plate,
            ]
        } else {
            let torque = shown.symbol(Dimension::Torque);
            vec![
                "done".to_string(),
                shown.symbol(Dimension::Force).to_string(),
                torque.to_string(),
                format!("brings {torque}"),
                format!("{distance} to the least"),
                plate,
            ]
        };
        let rows: Vec<Vec<Cell>> = self
            .remedies
            .list
            .iter()
            .map(|remedy| self.remedy(remedy, gap))
            .collect();
        (!rows.is_empty()).then(|| grid(head, rows))
    }

    fn remedy(&self, remedy: &Remedy, gap: bool) -> Vec<Cell> {
        let shown = self.shown;
        let through = self.wear.builds.last().is_some_and(|build| build.account.through);
        let pair = |values: [String; 2]| match values {
            [left, right] if through || left == right => left,
            [left, right] => format!("{left}/{right}"),
        };
        let lasts = |lasts: &Option<Lasts>| {
            lasts.as_ref().map_or_else(
                || NOTHING.to_string(),
                |lasts| {
                    let band = if lasts.at.is_some_and(|at| at <= 0.0) {
                        "now".to_string()
                    } else {
                        shown.band(lasts.at, lasts.from, lasts.to, self.wear.seen())
                    };
                    format!("{band}, {}", lasts.what.short())
                },
            )
        };
        let mut row: Vec<Cell> = vec![remedy.short(shown.units).into()];
        if gap {
            let gaps: Vec<String> = remedy
                .stands
                .gaps
                .iter()
                .map(|(_, gap)| number(shown.length(gap.mm()), shown.fine()))
                .collect();
            row.push(gaps.join("/").into());
        } else {
            let force = remedy
                .stands
                .preload
                .map(|forces| pair(forces.map(|force| number(shown.force(force.newtons()), 0))));
            row.push(force.map_or_else(Cell::default, Cell::from));
            let doubted = |doubt: Option<f64>| {
                doubt.map_or(String::new(), |doubt| {
                    format!(" ± {}", number(shown.torque(doubt), 1))
                })
            };
            row.push(remedy.stands.breakaway.map_or_else(Cell::default, |one| {
                let value = number(shown.torque(one.value.newton_metres()), 1);
                format!("{value}{}", doubted(one.doubt)).into()
            }));
            row.push(remedy.brings.map_or_else(
                || "".into(),
                |brings| {
                    let sign = if brings.value >= 0.05 { "+" } else { "" };
                    let value = number(shown.torque(brings.value), 1);
                    format!("{sign}{value}{}", doubted(brings.doubt)).into()
                },
            ));
        }
        row.push(lasts(&remedy.holds).into());
        row.push(lasts(&remedy.plate).into());
        row
    }

    /// What each remedy takes and costs, a paragraph each, then what had to be told.
    pub fn remedy_words(&self) -> Vec<String> {
        let long = self.remedies.list.iter().map(|remedy| remedy.long(self.shown));
        long.filter(|words| !words.is_empty())
            .chain(self.remedies.told.iter().cloned())
            .collect()
    }

    /// What stands behind the remedies.
    pub fn assumed(&self) -> &'static str {
        if self.wear.gaps.is_empty() {
            "Remedies are reckoned with plates worn by the lines of their packs and a friction that goes on falling as it fell \
             from build to build; ± is at 95 %. Distances count from there on; the bands of the trends are wider, since they rest on fewer \
             values. Wear is taken to go with the pressure of the springs (Archard's \
             law): the ramps press besides, under power, and not harder for more preload, so what more preload costs is the most \
             that it can cost."
        } else {
            "Remedies are reckoned with gaps that grow by their lines. Distances count from there on. What presses the plates \
             is the thrust of the ramps, which a gap does not change, so other shims cost the plates nothing and bring back no \
             thickness."
        }
    }
}
