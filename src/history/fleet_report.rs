//! How all units of a book are told.

use super::display_units::DisplayUnits;
use super::fleet::{Due, DueWhat, Fleet, FleetState, FleetUnit, Forecast, Overdue};
use super::measure::said;
use super::wear::Along;
use crate::quantity::Units;
use crate::report::{Report, Section, Summary, Table};
use serde_json::{Value, json};

/// The most units of an instrument that are named.
const MOST_NAMED: usize = 4;

impl Fleet {
    /// All units, a row each, what needs work first; then the instruments that are out of date.
    pub fn report(&self, units: Units) -> Report {
        let rows = self.units.iter().map(|unit| unit.row(units));
        let head = [
            "unit",
            "car",
            "last, on",
            "since",
            "state",
            "due first",
            "may be due",
        ];
        let overdue = Table::of_words(
            ["instrument", "for", "was due", "last used on"],
            self.overdue.iter().map(Overdue::row),
        );
        let driven: Vec<[String; 2]> = self
            .units
            .iter()
            .zip(&self.driven)
            .filter_map(|(unit, far)| Some([unit.unit.clone(), far.short(units)?]))
            .collect();
        Report::of(self.summary())
            .with(Section::new().table(Table::of_words(head, rows)))
            .with(match driven.is_empty() {
                true => Section::new(),
                false => Section::under(
                    "Driven, by the drive days of the book; the odometer counts what was driven besides:",
                )
                .table(Table::of_words(["unit", "driven"], driven)),
            })
            .with(match self.overdue.is_empty() {
                true => Section::new(),
                false => Section::under("Instruments that are out of date:").table(overdue),
            })
    }

    fn summary(&self) -> Summary {
        let units: Vec<Value> = self
            .units
            .iter()
            .zip(&self.driven)
            .map(|(unit, driven)| {
                let due: Vec<Value> = unit.due.iter().map(Due::json).collect();
                let told = |those: &[(String, String)]| -> Vec<Value> {
                    let each = those.iter();
                    each.map(|(build, why)| json!({"build": build, "why": why})).collect()
                };
                let (since_km, since_h) = match unit.since {
                    Some((gone, Along::Kilometres)) => (Some(gone), None),
                    Some((ran, Along::Hours)) => (None, Some(ran)),
                    None => (None, None),
                };
                json!({
                    "unit": unit.unit, "unit_name": unit.name, "car": unit.car, "builds": unit.builds,
                    "state": unit.state.words(), "last_build": unit.last.as_ref().map(|(build, _)| build),
                    "finished": unit.last.as_ref().map(|(_, when)| when), "open_build": unit.open,
                    "since_km": since_km, "since_h": since_h, "since_at_least": unit.since_at_least, "needs_work": unit.needs_work(),
                    "due": due, "forecast": unit.forecast.as_ref().map(Forecast::json), "damaged": told(&unit.damaged),
                    "newer": told(&unit.newer), "waiting": unit.waiting, "job_number": said(&unit.job_number),
                    "customer": said(&unit.customer), "promised": said(&unit.promised),
                    "drive_days": {"days": driven.days.len(), "least_km": driven.kilometres, "least_h": driven.hours},
                })
            })
            .collect();
        let overdue: Vec<Value> = self
            .overdue
            .iter()
            .map(|one| json!({"instrument": one.id, "for": one.role.to_string(), "due": one.due, "units": one.units}))
            .collect();
        Summary::told("fleet", json!({ "units": units, "overdue_instruments": overdue }))
    }
}

impl Forecast {
    /// In words, short enough for a column headed "may be due".
    pub fn words(&self, units: Units) -> String {
        let what = self.what.short();
        let shown = DisplayUnits {
            units,
            along: self.along,
        };
        match shown.rough_at_most(self.earliest) {
            from if from.chars().all(|c| "0.".contains(c)) => format!("{what}: now"),
            from => {
                let sooner = if self.or_sooner { ", or sooner" } else { "" };
                format!("{what}: from {from} {} on{sooner}", shown.distance_symbol())
            }
        }
    }

    fn json(&self) -> Value {
        let key = match self.along {
            Along::Kilometres => "earliest_km",
            Along::Hours => "earliest_h",
        };
        json!({"what": self.what.to_string(), key: self.earliest, "or_sooner": self.or_sooner})
    }
}

impl Due {
    /// In words, short enough for a column.
    pub fn words(&self, units: Units) -> String {
        match &self.what {
            DueWhat::Plate { name, least, limit } if least < limit => {
                format!("{name} {} below its limit", (*limit - *least).show(units))
            }
            DueWhat::Plate { name, least, limit } => {
                format!("{name} {} above its limit", (*least - *limit).show(units))
            }
            DueWhat::Breakaway {
                torque,
                window: [least, most],
            } => {
                let read = torque.newton_metres();
                let nearer = if read - least.newton_metres() <= most.newton_metres() - read {
                    format!("least {}", least.show(units))
                } else {
                    format!("most {}", most.show(units))
                };
                format!("breakaway {}, {nearer}", torque.show(units))
            }
        }
    }

    fn json(&self) -> Value {
        let verdict = self.verdict.to_string();
        match &self.what {
            DueWhat::Plate { name, least, limit } => json!({
                "what": "plate", "plate": name, "least_um": least.um(), "limit_um": limit.um(),
                "build": self.build, "left_share": self.left, "verdict": verdict,
            }),
            DueWhat::Breakaway {
                torque,
                window: [least, most],
            } => json!({
                "what": "breakaway", "breakaway_nm": torque.newton_metres(), "least_nm": least.newton_metres(),
                "most_nm": most.newton_metres(), "build": self.build, "left_share": self.left, "verdict": verdict,
            }),
        }
    }
}

impl FleetUnit {
    /// Its state in words, with which older build is damaged or of a newer program, or how many are, and what it waits for.
    pub fn standing(&self) -> String {
        let mut words = self.state.to_string();
        for (state, those) in [
            (FleetState::Damaged, &self.damaged),
            (FleetState::Newer, &self.newer),
        ] {
            match &those[..] {
                _ if self.state == state => {}
                [] => {}
                [(build, _)] => {
                    let number = build
                        .rsplit_once('-')
                        .map_or(build.as_str(), |(_, number)| number);
                    words.push_str(&format!(", {number} {state}"));
                }
                more => words.push_str(&format!(", {} builds {state}", more.len())),
            }
        }
        if !self.promised.is_empty() {
            words.push_str(&format!(", promised {}", self.promised));
        }
        if !self.waiting.is_empty() {
            words.push_str(&format!(", waits for {}", self.waiting.join("; ")));
        }
        words
    }

    fn row(&self, units: Units) -> [String; 7] {
        let (last, when) = self.last.clone().unwrap_or_default();
        // the unit stands in front already
        let number = last.strip_prefix(&format!("{}-", self.unit)).unwrap_or(&last);
        let day: String = when.chars().take(10).collect();
        let since = match self.since {
            Some((gone, along)) => {
                let shown = DisplayUnits { units, along };
                let least = if self.since_at_least { "at least " } else { "" };
                format!("{least}{} {}", shown.far(gone), shown.distance_symbol())
            }
            None if self.since_at_least => "not known".to_string(),
            None => String::new(),
        };
        let forecast = self.forecast.as_ref();
        [
            self.unit.clone(),
            self.car.clone(),
            // a day is not broken; the two stand one under the other where there is no room
            format!("{number} {day}"),
            since,
            self.standing(),
            self.due.first().map_or(String::new(), |due| due.words(units)),
            forecast.map_or(String::new(), |one| one.words(units)),
        ]
    }
}

impl Overdue {
    fn row(&self) -> [String; 4] {
        let named = self.units.len().min(MOST_NAMED);
        let mut names = self.units[..named].join(", ");
        if self.units.len() > named {
            names.push_str(&format!(" and {} more", self.units.len() - named));
        }
        [self.id.clone(), self.role.to_string(), self.due.clone(), names]
    }
}
