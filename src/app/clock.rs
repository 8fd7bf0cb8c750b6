//! Where the time of an entry comes from.

use super::failure::Failure;
use crate::book::time_zone_ends;
use crate::quantity::seconds_of;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// Years that a record can be of: others are slips of the fingers.
const YEARS: std::ops::RangeInclusive<i16> = 1950..=2199;

/// Where the time of an entry comes from.
pub(crate) enum Clock {
    Fixed(String),
    Now,
}

impl Clock {
    /// A clock that stands still at a given time, or the machine's own. A date alone is the beginning of that day in
    /// UTC.
    pub fn new(at: Option<&str>) -> Result<Clock, Failure> {
        let Some(text) = at else {
            return Ok(Clock::Now);
        };
        let wrong = || Failure::Time(text.to_string());
        let text = match text.parse::<Date>() {
            Ok(_) if text.len() == 10 => format!("{text}T00:00:00Z"),
            _ => text.to_string(),
        };
        let time: Timestamp = text.parse().map_err(|_| wrong())?;
        let year = text.get(..4).and_then(|year| year.parse().ok());
        if !year.is_some_and(|year| YEARS.contains(&year)) {
            return Err(wrong());
        }
        // what is written in another way, with parts of a second or a zone's name, is written down in the usual one
        Ok(Clock::Fixed(match seconds_of(&text) {
            Some(_) => text,
            None => time.strftime("%Y-%m-%dT%H:%M:%SZ").to_string(),
        }))
    }

    /// The time to the second, as RFC 3339 text.
    pub fn time(&self) -> String {
        match self {
            Clock::Fixed(text) => text.clone(),
            Clock::Now => Timestamp::now()
                .to_zoned_datetime(zone())
                .strftime("%Y-%m-%dT%H:%M:%S%:z")
                .to_string(),
        }
    }
}

/// The machine's time zone; UTC where the environment names a device or a pipe for it.
pub(crate) fn zone() -> TimeZone {
    if time_zone_ends() {
        TimeZone::system()
    } else {
        TimeZone::UTC
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fixed(text: &str) -> Option<String> {
        Clock::new(Some(text)).ok().map(|clock| clock.time())
    }

    #[test]
    fn a_time_is_kept_as_it_is_written_and_a_date_is_the_beginning_of_its_day() {
        for (text, kept) in [
            ("2026-05-01T10:00:00Z", "2026-05-01T10:00:00Z"),
            ("2026-05-01T10:00:00+02:00", "2026-05-01T10:00:00+02:00"),
            ("2026-05-01", "2026-05-01T00:00:00Z"),
            ("2026-05-01T10:00:00.75Z", "2026-05-01T10:00:00Z"),
            ("2026-05-01T10:00+02", "2026-05-01T08:00:00Z"),
        ] {
            assert_eq!(fixed(text).as_deref(), Some(kept), "{text}");
        }
    }

    #[test]
    fn what_is_no_time_of_a_record_is_refused() {
        for text in [
            "",
            "soon",
            "0000-01-01T00:00:00Z",
            "0000-01-01",
            "1949-12-31T23:59:59Z",
            "2200-01-01",
            "-002026-05-01T10:00:00Z",
            "2026-02-30",
            "20260501",
            "2026-05-01T10:00:00",
        ] {
            assert_eq!(fixed(text), None, "{text}");
        }
    }
}
