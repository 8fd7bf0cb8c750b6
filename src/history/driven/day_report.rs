//! A drive day as it is told, and the list of all of them.

use crate::quantity::{Distance, LapTime, Temperature, Units};
use crate::record::driven::{Day, DayRun, Driven, Phase};
use crate::report::{Cell, Column, NOTHING, Report, Section, Summary, Table};
use serde_json::{Value, json};

/// A drive day to be told.
#[derive(Clone, PartialEq, Debug)]
pub struct DayReport<'a> {
    day: &'a Day,
}

/// A time as people write it; a dash where there is none.
pub(super) fn time(seconds: Option<f64>) -> String {
    let milliseconds = seconds.map(|seconds| (seconds * 1000.0).round() as u32);
    milliseconds
        .and_then(LapTime::from_milliseconds)
        .map_or_else(|| NOTHING.to_string(), |time| time.to_string())
}

/// What was felt in each phase, a sign each: `--` far too little lock, `++` far too much.
pub(super) fn felt_sign(step: Option<i8>) -> &'static str {
    match step {
        Some(-2) => "--",
        Some(-1) => "-",
        Some(0) => "0",
        Some(1) => "+",
        Some(2) => "++",
        _ => ".",
    }
}

/// What a setting is in JSON, as its entry has it.
pub(super) fn driven_json(driven: Option<&Driven>) -> Value {
    match driven {
        Some(Driven::Record(build)) => {
            json!({"build": build.build, "lines": build.lines, "digest": build.digest})
        }
        Some(Driven::Setting(digest)) => json!({ "setting": digest }),
        None => Value::Null,
    }
}

impl<'a> DayReport<'a> {
    /// Of this day.
    pub fn of(day: &'a Day) -> DayReport<'a> {
        DayReport { day }
    }

    /// The day in words and tables; distances and temperatures in these units.
    pub fn report(&self, units: Units) -> Report {
        let day = self.day;
        let head = [day.name.as_str(), &day.car, &day.event].map(str::to_string);
        let head: Vec<String> = head.into_iter().filter(|words| !words.is_empty()).collect();
        let mut first = Section::under(head.join(", ")).words(self.conditions(units));
        for odd in &day.odd {
            first = first.warning(odd.clone());
        }
        Report::of(Summary::told("day", self.object()))
            .with(first)
            .with(
                Section::under("Runs")
                    .table(self.runs(units))
                    .words(self.struck_words()),
            )
            .with(self.felt())
            .with(
                Section::new()
                    .words(self.sum_words(units))
                    .words(day.remarks.clone()),
            )
    }

    fn conditions(&self, units: Units) -> String {
        let day = self.day;
        let show = |what: &str, celsius: Option<f64>| {
            let temperature = celsius.and_then(|celsius| Temperature::from_celsius(celsius).ok());
            temperature.map_or(String::new(), |temperature| {
                format!("{what} {}", temperature.show(units))
            })
        };
        let tyres: Vec<String> = day
            .tyres
            .iter()
            .map(
                |set| match set.kilometres.and_then(|far| Distance::from_kilometres(far).ok()) {
                    Some(far) => format!("{} after {}", set.name, far.show(units)),
                    None => set.name.clone(),
                },
            )
            .collect();
        let kind = match day.kind.as_str() {
            "event" => "an event",
            "test" => "a test",
            _ => "",
        };
        let state = match &day.finished {
            Some(_) => String::new(),
            None => "NOT FINISHED".to_string(),
        };
        let parts = [
            day.driven_on.clone(),
            kind.to_string(),
            day.surface.clone(),
            day.weather.clone(),
            show("air", day.air),
            show("road", day.road),
            match tyres.is_empty() {
                true => String::new(),
                false => format!("tyres: {}", tyres.join(", ")),
            },
            match day.by.is_empty() {
                true => String::new(),
                false => format!("written down by {}", day.by),
            },
            state,
        ];
        let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        parts.join("; ")
    }

    fn runs(&self, units: Units) -> Table {
        let runs = &self.day.runs;
        let tyred = runs.iter().any(|run| !run.tyres.is_empty());
        let mut columns = vec![Column::figures("run"), Column::words("setting")];
        if tyred {
            columns.push(Column::words("tyres"));
        }
        columns.extend([
            Column::figures("median"),
            Column::figures("best"),
            Column::figures("laps"),
            Column::figures("struck"),
            Column::figures("distance"),
            Column::words("changed, remarks"),
        ]);
        let mut table = Table::new(columns);
        for run in runs {
            let struck = run.laps.iter().filter(|lap| lap.struck.is_some()).count();
            let best = run.counted().first().map(|best| f64::from(*best) / 1000.0);
            let far = run.kilometres.and_then(|far| Distance::from_kilometres(far).ok());
            let notes: Vec<&str> = [run.changed.as_str(), &run.pressures, &run.remark]
                .into_iter()
                .filter(|note| !note.is_empty())
                .collect();
            let mut cells: Vec<Cell> =
                vec![Cell::from(run.number.to_string()), Cell::from(run.called.clone())];
            if tyred {
                cells.push(Cell::from(run.tyres.clone()));
            }
            cells.extend([
                Cell::from(time(run.median_seconds())),
                Cell::from(time(best)),
                Cell::from(run.laps.len().to_string()),
                Cell::from(struck.to_string()),
                Cell::from(far.map_or_else(|| NOTHING.to_string(), |far| far.show(units))),
                Cell::from(notes.join("; ")),
            ]);
            table = table.row(cells);
        }
        table
    }

    /// Every lap that does not count, with its reason.
    fn struck_words(&self) -> String {
        let mut struck = Vec::new();
        for run in &self.day.runs {
            for (at, lap) in run.laps.iter().enumerate() {
                if let Some(reason) = &lap.struck {
                    let time = time(Some(f64::from(lap.milliseconds) / 1000.0));
                    struck.push(format!("run {}, lap {}, {time}: {reason}", run.number, at + 1));
                }
            }
        }
        match struck.is_empty() {
            true => String::new(),
            false => format!("Laps that do not count: {}.", struck.join("; ")),
        }
    }

    /// What was felt, run by run.
    fn felt(&self) -> Section {
        if self
            .day
            .runs
            .iter()
            .all(|run| run.felt.iter().all(Option::is_none))
        {
            return Section::new();
        }
        let columns = [Column::words("felt")].into_iter().chain(
            self.day
                .runs
                .iter()
                .map(|run| Column::figures(run.number.to_string())),
        );
        let mut table = Table::new(columns);
        for (phase, word) in Phase::ALL {
            let signs = self
                .day
                .runs
                .iter()
                .map(|run| Cell::from(felt_sign(run.felt[phase.index()])));
            table = table.row([Cell::from(word)].into_iter().chain(signs));
        }
        Section::new()
            .table(table)
            .words("-- far too little lock, 0 as it should be, ++ far too much, . not said.")
    }

    fn sum_words(&self, units: Units) -> String {
        let (far, runs) = self.day.kilometres();
        let distance = match Distance::from_kilometres(far) {
            Ok(far) if runs > 0 => format!(
                "at least {} in {} of which somebody wrote it down",
                far.show(units),
                if runs == 1 {
                    "1 run".to_string()
                } else {
                    format!("{runs} runs")
                }
            ),
            _ => "nobody wrote a distance down".to_string(),
        };
        format!(
            "{}, {:.2} h at least by their times; {distance}.",
            self.day.count_words(),
            self.day.hours()
        )
    }

    /// The day for machines.
    pub(super) fn object(&self) -> Value {
        let day = self.day;
        let run = |run: &DayRun| {
            let felt: serde_json::Map<String, Value> = Phase::ALL
                .iter()
                .map(|(phase, word)| ((*word).to_string(), json!(run.felt[phase.index()])))
                .collect();
            let laps: Vec<Value> = run
                .laps
                .iter()
                .map(|lap| json!({"time_ms": lap.milliseconds, "struck": lap.struck}))
                .collect();
            json!({
                "run": run.number, "setting": driven_json(run.setting.as_ref()), "called": run.called, "tyres": run.tyres,
                "pressures": run.pressures, "changed": run.changed, "distance_km": run.kilometres, "laps": laps,
                "median_s": run.median_seconds(), "felt": felt, "remark": run.remark,
            })
        };
        json!({
            "day": day.name, "car": day.car, "driven_on": day.driven_on, "begun": day.begun, "finished": day.finished,
            "by": day.by, "event": day.event, "kind": day.kind, "surface": day.surface, "weather": day.weather,
            "air_celsius": day.air, "road_celsius": day.road,
            "tyres": day.tyres.iter().map(|set| json!({"set": set.name, "distance_km": set.kilometres})).collect::<Vec<_>>(),
            "runs": day.runs.iter().map(run).collect::<Vec<_>>(), "remarks": day.remarks, "odd": day.odd,
            "least_distance_km": day.kilometres().0, "least_running_h": day.hours(),
        })
    }
}

/// A drive day as the list has it.
#[derive(Clone, PartialEq, Debug)]
pub struct ListedDay<'a> {
    /// The day.
    pub day: &'a Day,
    /// What is wrong with it, or made by a newer program, in words; empty where nothing is.
    pub state: String,
    /// The digest of its journal, as hex.
    pub digest: &'a str,
}

impl ListedDay<'_> {
    /// How it stands, in a word or two.
    fn standing(&self) -> String {
        match (&self.day.finished, self.state.is_empty()) {
            (_, false) => self.state.clone(),
            (Some(_), true) => "finished".to_string(),
            (None, true) => "open".to_string(),
        }
    }

    /// The drive days of the book: a row a day.
    pub fn report(days: &[ListedDay<'_>]) -> Report {
        let objects: Vec<Value> = days
            .iter()
            .map(|one| {
                json!({
                    "day": one.day.name, "car": one.day.car, "driven_on": one.day.driven_on, "event": one.day.event,
                    "kind": one.day.kind, "runs": one.day.runs.len(), "laps": one.day.laps(),
                    "settings": one.day.settings().iter().map(|(_, called)| *called).collect::<Vec<_>>(),
                    "least_distance_km": one.day.kilometres().0, "state": one.standing(), "digest": one.digest,
                })
            })
            .collect();
        let rows = days.iter().map(|one| {
            let called: Vec<&str> = one.day.settings().iter().map(|(_, called)| *called).collect();
            [
                one.day.name.clone(),
                one.day.driven_on.clone(),
                one.day.event.clone(),
                one.day.runs.len().to_string(),
                called.join(", "),
                one.standing(),
            ]
        });
        let table = Table::of_words(["day", "driven", "event", "runs", "settings", "state"], rows);
        Report::of(Summary::told("days", json!({ "days": objects }))).with(Section::new().table(table))
    }
}
