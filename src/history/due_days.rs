//! Days on which something is due: jobs that are promised, units to be looked at, calibrations that end.

use super::fleet::FleetUnit;
use super::shelved::Shelved;
use crate::quantity::{seconds_of, visible};
use crate::report::{Report, Section, Summary, Table};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// What is said of everything that has no day.
pub const BY_DISTANCE: &str =
    "What is due by distance has no day and is not among them: `shimwright fleet` has it.";
/// The most octets of a line of a calendar, its end not counted.
const OCTETS: usize = 75;

/// What is due on a day.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum DueOn {
    /// A job is promised.
    Promised,
    /// A unit is to be looked at.
    Look,
    /// The calibration of an instrument ends.
    Calibration,
}

impl DueOn {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            DueOn::Promised => "promised",
            DueOn::Look => "look",
            DueOn::Calibration => "calibration",
        }
    }
}

/// A day on which something is due.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DueDay {
    /// The day, as `2027-03-31`.
    pub day: String,
    /// What is due.
    pub due: DueOn,
    /// The build, the unit or the instrument.
    pub name: String,
    /// More of it, in words.
    pub words: String,
    /// When that was written down, as RFC 3339 text.
    pub said: String,
}

/// What is open and when it is due.
///
/// ```
/// use shimwright::history::due_days::DueDays;
/// use shimwright::history::{Account, Shelved};
/// let open = |build: &str, promised: &str| {
///     Shelved::of(&Account {
///         build: build.into(),
///         digest: "ba78".into(),
///         begun: "2026-11-30T08:00:00Z".into(),
///         promised: promised.into(),
///         ..Account::default()
///     })
/// };
/// let due = DueDays::of(vec![open("a-0002", ""), open("a-0001", "2026-12-11"), open("b-0004", "2026-12-04")], &[], "2026-12-01");
/// let order: Vec<&str> = due.open.iter().map(|one| one.build.as_str()).collect();
/// assert_eq!(order, ["b-0004", "a-0001", "a-0002"]);
/// assert!(due.calendar().unwrap().contains("\r\nDTSTART;VALUE=DATE:20261204\r\n"));
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct DueDays {
    /// Builds that are begun and not finished, the first promised first; those without a day come last.
    pub open: Vec<Shelved>,
    /// The days in their order.
    pub days: Vec<DueDay>,
    /// The day from which they are counted.
    pub today: String,
}

impl DueDays {
    /// What is due of some builds and units, seen from a day.
    pub fn of(builds: Vec<Shelved>, units: &[FleetUnit], today: &str) -> DueDays {
        let mut open: Vec<Shelved> = builds.into_iter().filter(Shelved::is_open).collect();
        open.sort_by(|a, b| {
            let place = |one: &Shelved| (one.promised.is_empty(), one.promised.clone(), one.begun.clone());
            place(a).cmp(&place(b))
        });
        let promised = open.iter().filter(|one| !one.promised.is_empty());
        let mut days: Vec<DueDay> = promised
            .map(|one| DueDay {
                day: one.promised.clone(),
                due: DueOn::Promised,
                name: one.build.clone(),
                words: match one.job().as_str() {
                    "" => one.unit_name.clone(),
                    job => format!("{}, {job}", one.unit_name),
                },
                said: one.begun.clone(),
            })
            .collect();
        days.extend(units.iter().filter_map(|unit| {
            let look = unit.next_look.as_ref()?;
            Some(DueDay {
                day: look.day.clone(),
                due: DueOn::Look,
                name: unit.unit.clone(),
                words: format!("{}, as {} says", unit.name, look.build),
                said: look.said.clone(),
            })
        }));
        days.extend(calibrations(units));
        days.sort_by(|a, b| (&a.day, a.due, &a.name).cmp(&(&b.day, b.due, &b.name)));
        DueDays {
            open,
            days,
            today: today.to_string(),
        }
    }

    /// Open jobs and due days, a row each.
    pub fn report(&self) -> Report {
        let jobs = self.open.iter().map(|one| {
            let promised = match one.promised.as_str() {
                "" => String::new(),
                day => format!("{day}, {}", self.away(day)),
            };
            [
                promised,
                one.build.clone(),
                one.job(),
                one.procedure_title.clone(),
                one.state.clone(),
            ]
        });
        let jobs = Table::of_words(["promised", "build", "job", "procedure", "state"], jobs);
        let days = self.days.iter().map(|one| {
            [
                one.day.clone(),
                self.away(&one.day),
                one.due.word().to_string(),
                one.name.clone(),
                one.words.clone(),
            ]
        });
        let days = Table::of_words(["day", "", "what", "of", "more"], days);
        Report::of(self.summary())
            .with(match self.open.is_empty() {
                true => Section::new().words("No job is open."),
                false => Section::under("Open jobs:").table(jobs),
            })
            .with(match self.days.is_empty() {
                true => Section::new().words("Nothing is due on a day."),
                false => Section::under("Due days:").table(days),
            })
            .with(Section::new().words(BY_DISTANCE))
    }

    fn summary(&self) -> Summary {
        let open: Vec<Value> = self.open.iter().map(Shelved::json).collect();
        let each = self.days.iter();
        let days: Vec<Value> = each
            .map(|one| json!({"day": one.day, "what": one.due.word(), "of": one.name, "words": one.words, "in_days": days_between(&self.today, &one.day)}))
            .collect();
        Summary::told("due-days", json!({ "open": open, "due_days": days }))
    }

    /// How far a day is away, in words.
    fn away(&self, day: &str) -> String {
        match days_between(&self.today, day) {
            None => String::new(),
            Some(0) => "today".to_string(),
            Some(1) => "tomorrow".to_string(),
            Some(-1) => "1 day LATE".to_string(),
            Some(days) if days < 0 => format!("{} days LATE", -days),
            Some(days) => format!("in {days} days"),
        }
    }

    /// The days as a calendar for other programs; `None` where there are none, for a calendar holds one entry at the least.
    ///
    /// Each is an event of a whole day with a name of its own, so that taking the calendar in again makes no second one. The
    /// same days give the same text.
    ///
    /// Source: RFC 5545, sections 3.1 (lines of 75 octets, folded), 3.3.11 (text), 3.4 and 3.6.1 (calendar and event).
    pub fn calendar(&self) -> Option<String> {
        if self.days.is_empty() {
            return None;
        }
        let mut text = String::new();
        let mut put = |line: &str| text.push_str(&folded(line));
        put("BEGIN:VCALENDAR");
        put("VERSION:2.0");
        put("PRODID:-//shimwright//due days//EN");
        for one in &self.days {
            put("BEGIN:VEVENT");
            put(&format!(
                "UID:{}.{}.shimwright",
                one.due.word(),
                escaped(&one.name)
            ));
            put(&format!("DTSTAMP:{}", stamp(&one.said)));
            put(&format!("DTSTART;VALUE=DATE:{}", one.day.replace('-', "")));
            let what = match one.due {
                DueOn::Promised => format!("{} is promised", one.name),
                DueOn::Look => format!("{} is to be looked at", one.name),
                DueOn::Calibration => format!("{}: the calibration ends", one.name),
            };
            put(&format!("SUMMARY:{}", escaped(&what)));
            put(&format!("DESCRIPTION:{}", escaped(&one.words)));
            put("TRANSP:TRANSPARENT");
            put("END:VEVENT");
        }
        put("END:VCALENDAR");
        Some(text)
    }
}

/// The last day of each instrument's calibration as its newest use says, with the units that it was last used on.
fn calibrations(units: &[FleetUnit]) -> Vec<DueDay> {
    let mut known: BTreeMap<&str, (&str, &str, Vec<&str>)> = BTreeMap::new();
    for (unit, used) in units
        .iter()
        .flat_map(|unit| unit.instruments.iter().map(move |used| (unit, used)))
        .filter(|(_, used)| !used.due.is_empty())
    {
        let one = known
            .entry(&used.id)
            .or_insert((&used.used, &used.due, Vec::new()));
        if seconds_of(&used.used) > seconds_of(one.0) {
            (one.0, one.1) = (&used.used, &used.due);
        }
        if !one.2.contains(&unit.unit.as_str()) {
            one.2.push(&unit.unit);
        }
    }
    known
        .into_iter()
        .map(|(id, (used, due, of))| DueDay {
            day: due.to_string(),
            due: DueOn::Calibration,
            name: id.to_string(),
            words: format!("last used on {}", of.join(", ")),
            said: used.to_string(),
        })
        .collect()
}

/// How many days lie between two days; `None` where one of them is none.
fn days_between(from: &str, to: &str) -> Option<i64> {
    let noon = |day: &str| seconds_of(&format!("{day}T12:00:00Z"));
    Some((noon(to)? - noon(from)?) / 86_400)
}

/// A time of the journal as a calendar has it, in UTC.
fn stamp(time: &str) -> String {
    let utc = seconds_of(time)
        .and_then(crate::quantity::utc)
        .unwrap_or_default();
    let digits: String = utc.chars().filter(char::is_ascii_digit).collect();
    match digits.split_at_checked(8) {
        Some((day, of_day)) if of_day.len() == 6 => format!("{day}T{of_day}Z"),
        _ => "19700101T000000Z".to_string(),
    }
}

/// A text as a calendar has it: no signs that steer, the signs of the format escaped.
fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in visible(text).chars() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            c => out.push(c),
        }
    }
    out
}

/// A line with its end, broken before it has more than 75 octets, and never inside of a character.
fn folded(line: &str) -> String {
    let (mut out, mut octets) = (String::new(), 0);
    for c in line.chars() {
        if octets + c.len_utf8() > OCTETS {
            out.push_str("\r\n ");
            octets = 1;
        }
        out.push(c);
        octets += c.len_utf8();
    }
    out.push_str("\r\n");
    out
}
