//! The one calendar: the proleptic Gregorian one of ISO 8601, by a library; leap seconds are not counted, as in POSIX time.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// Whether a text is a day, written as `2027-03-31`.
///
/// ```
/// use shimwright::quantity::is_day;
/// assert!(is_day("2028-02-29") && !is_day("2027-02-29"));
/// ```
pub fn is_day(text: &str) -> bool {
    has_shape(text, b"0000-00-00") && text.parse::<Date>().is_ok()
}

/// The seconds since 1970-01-01 00:00:00 UTC of a time as the journal writes it, `2026-05-01T10:00:00+02:00`; `None`
/// for any other text.
///
/// ```
/// use shimwright::quantity::seconds_of;
/// assert_eq!(seconds_of("1970-01-02T01:00:00+01:00"), Some(86_400));
/// assert_eq!(seconds_of("yesterday"), None);
/// ```
pub fn seconds_of(time: &str) -> Option<i64> {
    if !has_shape(time.get(..19)?, b"0000-00-00T00:00:00") {
        return None;
    }
    let number = |from: usize| time.get(from..from + 2)?.parse::<i64>().ok();
    let [hour, minute, second] = [number(11)?, number(14)?, number(17)?];
    let ahead = match &time.as_bytes()[19..] {
        b"Z" => 0,
        &[sign @ (b'+' | b'-'), _, _, b':', _, _] => {
            let seconds = number(20)? * 3600 + number(23)? * 60;
            if sign == b'+' { seconds } else { -seconds }
        }
        _ => return None,
    };
    let midnight: Timestamp = format!("{}T00:00:00Z", &time[..10]).parse().ok()?;
    let sane = hour < 24 && minute < 60 && second < 61;
    sane.then_some(midnight.as_second() + hour * 3600 + minute * 60 + second - ahead)
}

/// Date and time in UTC, to the second, of seconds since 1970-01-01 00:00:00 UTC; `None` past the year 9999.
///
/// ```
/// use shimwright::quantity::utc;
/// assert_eq!(utc(86_399).as_deref(), Some("1970-01-01 23:59:59 UTC"));
/// ```
pub fn utc(seconds: i64) -> Option<String> {
    let time = Timestamp::from_second(seconds)
        .ok()?
        .to_zoned_datetime(TimeZone::UTC);
    Some(time.strftime("%Y-%m-%d %H:%M:%S UTC").to_string())
}

/// An RFC 3339 time as it is shown: day and minute, by the clock that it was written by.
///
/// ```
/// use shimwright::quantity::minute;
/// assert_eq!(minute("2026-05-09T18:06:53+02:00"), "2026-05-09 18:06");
/// ```
pub fn minute(time: &str) -> String {
    time.chars().take(16).collect::<String>().replace('T', " ")
}

/// Whether a text has digits where `shape` has 0, and the same signs elsewhere.
fn has_shape(text: &str, shape: &[u8]) -> bool {
    let fits = |(c, wanted): (u8, &u8)| {
        if *wanted == b'0' {
            c.is_ascii_digit()
        } else {
            c == *wanted
        }
    };
    text.len() == shape.len() && text.bytes().zip(shape).all(fits)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_agree_with_a_general_tool() {
        let table = include_str!("../../tests/references/book_utc.csv");
        let mut rows = 0;
        for row in table.lines().filter(|line| !line.starts_with('#')).skip(1) {
            let (seconds, text) = row.split_once(',').unwrap();
            let (date, time) = text.strip_suffix(" UTC").unwrap().split_once(' ').unwrap();
            if date.len() > 10 {
                continue; // a year of five digits is not written
            }
            let seconds: i64 = seconds.parse().unwrap();
            assert_eq!(utc(seconds).as_deref(), Some(text));
            assert_eq!(seconds_of(&format!("{date}T{time}Z")), Some(seconds), "{text}");
            assert_eq!(seconds_of(&format!("{date}T{time}-01:30")), Some(seconds + 5400));
            rows += 1;
        }
        assert!(rows > 100);
    }

    #[test]
    fn what_is_no_time_has_no_seconds() {
        for text in [
            "",
            "2026-05-01",
            "2026-05-01T10:00:00",
            "2026-05-01 10:00:00Z",
            "2026-13-01T10:00:00Z",
            "2026-02-29T10:00:00Z",
            "2026-05-01T24:00:00Z",
            "2026-05-01T10:00:00+1:00",
            "2026-05-01T10:00:00Zé",
            "２026-05-01T10:00:00Z",
        ] {
            assert_eq!(seconds_of(text), None, "{text:?}");
        }
    }

    #[test]
    fn a_day_is_one_of_its_month() {
        for (text, is) in [
            ("2027-02-28", true),
            ("2027-02-29", false),
            ("2027-02-31", false),
            ("2028-02-29", true),
            ("1900-02-29", false),
            ("2000-02-29", true),
            ("2027-04-30", true),
            ("2027-04-31", false),
            ("2027-12-31", true),
            ("2027-13-01", false),
            ("2027-00-10", false),
            ("2027-01-00", false),
            ("20270131", false),
            ("2027-1-31", false),
            ("2027-01-31T00:00:00Z", false),
            ("+027-01-31", false),
        ] {
            assert_eq!(is_day(text), is, "{text}");
        }
    }

    #[test]
    fn a_time_past_every_calendar_has_no_words() {
        assert_eq!(utc(i64::MAX), None);
        assert_eq!(utc(i64::MIN), None);
    }
}
