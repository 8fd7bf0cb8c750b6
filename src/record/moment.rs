/// The seconds since 1970-01-01 00:00:00 UTC of a time as the journal writes it, `2026-05-01T10:00:00+02:00`; `None`
/// for any other text.
///
/// Days are counted as in the proleptic Gregorian calendar of ISO 8601, with the year beginning in March so that the
/// leap day comes last; leap seconds are not counted, as in POSIX time.
///
/// ```
/// use shimwright::record::seconds_of;
/// assert_eq!(seconds_of("1970-01-02T01:00:00+01:00"), Some(86_400));
/// assert_eq!(seconds_of("yesterday"), None);
/// ```
pub fn seconds_of(time: &str) -> Option<i64> {
    let shape = time.get(..19)?;
    let fits = shape
        .bytes()
        .zip(*b"0000-00-00T00:00:00")
        .all(|(c, wanted)| match wanted {
            b'0' => c.is_ascii_digit(),
            sign => c == sign,
        });
    if !fits {
        return None;
    }
    let number = |text: &str| text.parse::<i64>().ok();
    let [year, month, day] = [number(&time[..4])?, number(&time[5..7])?, number(&time[8..10])?];
    let [hour, minute, second] = [
        number(&time[11..13])?,
        number(&time[14..16])?,
        number(&time[17..19])?,
    ];
    let sane =
        (1..=12).contains(&month) && (1..=31).contains(&day) && hour < 24 && minute < 60 && second < 61;
    let ahead = match &time.as_bytes()[19..] {
        b"Z" => 0,
        &[sign @ (b'+' | b'-'), _, _, b':', _, _] => {
            let part = |from: usize| time.get(from..from + 2).and_then(number);
            let seconds = part(20)? * 3600 + part(23)? * 60;
            if sign == b'+' { seconds } else { -seconds }
        }
        _ => return None,
    };
    let (year, month) = if month > 2 {
        (year, month - 3)
    } else {
        (year - 1, month + 9)
    };
    // month lengths from March on are 31 30 31 30 31, repeated: the whole part of (153 m + 2) / 5 days before month m
    let days = 365 * year + year.div_euclid(4) - year.div_euclid(100)
        + year.div_euclid(400)
        + (153 * month + 2) / 5
        + day
        - 719_469;
    sane.then_some(days * 86_400 + hour * 3600 + minute * 60 + second - ahead)
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
            "2026-05-01T24:00:00Z",
            "2026-05-01T10:00:00+1:00",
            "2026-05-01T10:00:00Zé",
            "２026-05-01T10:00:00Z",
        ] {
            assert_eq!(seconds_of(text), None, "{text:?}");
        }
    }
}
