//! The time of a lap or a stage, to the thousandth of a second, and how people write one.

use std::fmt;

/// A time that a stopwatch shows, in whole milliseconds: above 0 and below 24 h.
///
/// ```
/// use shimwright::quantity::LapTime;
/// for text in ["1:12.345", "1:12,345", "72,345", "72.345 s", "72.345s", "0:01:12.345"] {
///     assert_eq!(LapTime::parse(text).unwrap().milliseconds(), 72_345, "{text}");
/// }
/// assert_eq!(LapTime::parse("72.345").unwrap().to_string(), "1:12.345");
/// assert!(LapTime::parse("1:72.345").is_err());
/// ```
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct LapTime(u32);

/// A text that is no time of a lap.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("\"{0}\" is no time of a lap; write it as 1:12.345, 72.345 or 72,345 s")]
pub struct NoLapTime(String);

const DAY: u32 = 24 * 3600 * 1000;

impl LapTime {
    /// From whole milliseconds; nothing for 0 and for a day or more.
    pub fn from_milliseconds(milliseconds: u32) -> Option<LapTime> {
        (1..DAY).contains(&milliseconds).then_some(LapTime(milliseconds))
    }

    /// In whole milliseconds.
    pub fn milliseconds(self) -> u32 {
        self.0
    }

    /// In seconds.
    pub fn seconds(self) -> f64 {
        f64::from(self.0) / 1000.0
    }

    /// Reads one: hours and minutes before colons, a decimal point or comma, `s` behind it or not. What stands past the
    /// thousandth is rounded.
    ///
    /// # Errors
    ///
    /// [`NoLapTime`]: seconds or minutes of 60 and more behind a colon, two decimal signs, anything else, and a time of 0 or
    /// of a day.
    pub fn parse(text: &str) -> Result<LapTime, NoLapTime> {
        read(text.trim())
            .and_then(LapTime::from_milliseconds)
            .ok_or_else(|| NoLapTime(text.trim().to_string()))
    }

    /// Reads several on a line, parted by blanks, semicolons or commas with a blank behind them.
    ///
    /// ```
    /// use shimwright::quantity::LapTime;
    /// let laps = LapTime::parse_line("1:12.345, 72,410; 72.2 s 71.98").unwrap();
    /// assert_eq!(laps.iter().map(|lap| lap.milliseconds()).collect::<Vec<_>>(), [72_345, 72_410, 72_200, 71_980]);
    /// ```
    ///
    /// # Errors
    ///
    /// [`NoLapTime`]: the first that is none.
    pub fn parse_line(line: &str) -> Result<Vec<LapTime>, NoLapTime> {
        line.split(|c: char| c.is_whitespace() || c == ';')
            .map(|word| word.trim_end_matches(','))
            .filter(|word| !word.is_empty() && !is_second(word))
            .map(LapTime::parse)
            .collect()
    }
}

fn is_second(word: &str) -> bool {
    word.eq_ignore_ascii_case("s")
}

/// Milliseconds, as far as the text is a time at all.
fn read(text: &str) -> Option<u32> {
    let bare = text.strip_suffix(['s', 'S']).unwrap_or(text).trim_end();
    let mut parts = bare.rsplit(':');
    let last = parts.next()?;
    let (whole, decimals) = last.split_once(['.', ',']).unwrap_or((last, "0"));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(whole) || !digits(decimals) || decimals.len() > 9 {
        return None;
    }
    // one digit further, so that it is rounded once
    let thousandths: u32 = format!("{decimals:0<4}").get(..4)?.parse().ok()?;
    let mut total = whole.parse::<u32>().ok()?.checked_mul(1000)?;
    total = total.checked_add((thousandths + 5) / 10)?;
    let mut behind = whole;
    for size in [60_000, 3_600_000] {
        let Some(part) = parts.next() else { break };
        // behind a colon stand two digits of less than a minute or an hour
        if behind.len() != 2 || behind.parse::<u32>().ok()? > 59 || !digits(part) {
            return None;
        }
        total = total.checked_add(part.parse::<u32>().ok()?.checked_mul(size)?)?;
        behind = part;
    }
    parts.next().is_none().then_some(total)
}

impl fmt::Display for LapTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (minutes, rest) = (self.0 / 60_000, self.0 % 60_000);
        let seconds = format!("{:02}.{:03}", rest / 1000, rest % 1000);
        f.pad(&match (minutes / 60, minutes % 60) {
            (0, 0) => format!("{}.{:03}", rest / 1000, rest % 1000),
            (0, minutes) => format!("{minutes}:{seconds}"),
            (hours, minutes) => format!("{hours}:{minutes:02}:{seconds}"),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_is_no_time_is_refused() {
        for text in [
            "",
            "s",
            "lap",
            "0",
            "0.0",
            "-72.3",
            "1:2.345",
            "1:60.0",
            "1:72.3",
            "72,345,100",
            "1.234.5",
            "1:61:00.0",
            "24:00:00",
            "1:2:3:4",
            ":12",
            "12:",
            "4294967296",
            "72.",
            ".5",
            "７2",
            "72.0000000000",
        ] {
            assert!(LapTime::parse(text).is_err(), "{text:?}");
        }
    }

    #[test]
    fn a_fourth_digit_is_rounded_once() {
        for (text, milliseconds) in [
            ("72.3454", 72_345),
            ("72.3455", 72_346),
            ("72.34549", 72_345),
            ("59.9996", 60_000),
        ] {
            assert_eq!(
                LapTime::parse(text).unwrap().milliseconds(),
                milliseconds,
                "{text}"
            );
        }
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_again(milliseconds in 1..DAY) {
            let time = LapTime(milliseconds);
            prop_assert_eq!(LapTime::parse(&time.to_string()), Ok(time));
        }
    }
}
