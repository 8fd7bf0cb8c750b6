//! Numbers, times and digests as they are printed.

use crate::quantity::{Force, Length, Quantity, Torque, Units, unit_named};
use crate::record::Preload;
use crate::report::{FIRM, NOTHING};

/// The coverage factor of every expanded uncertainty on the sheet (JCGM 100, 6.2.1).
pub(super) const COVERAGE: i64 = 2;

/// The unit of a kind of quantity.
pub(super) fn unit<Q: Quantity>(units: Units) -> &'static str {
    Q::DIMENSION.usual_unit(units)
}

/// A number and its unit that no line is broken between.
pub(super) fn firm(text: &str) -> String {
    text.replace(' ', &FIRM.to_string())
}

/// The lengths of a column, all with the same number of decimals, without the unit.
pub(super) struct Lengths {
    units: Units,
    decimals: usize,
}

impl Lengths {
    /// As many decimals as the finest of `all` needs: three or four of a millimetre, four or five of an inch.
    pub fn of(units: Units, all: impl IntoIterator<Item = Length>) -> Lengths {
        let (coarse, step) = match units {
            Units::Metric => (3, 1_000),
            Units::Inch => (4, 2_540),
        };
        let fine = all.into_iter().any(|length| length.nm() % step != 0);
        Lengths {
            units,
            decimals: coarse + usize::from(fine),
        }
    }

    /// The number.
    pub fn number(&self, length: Length) -> String {
        let value = match self.units {
            Units::Metric => length.mm(),
            Units::Inch => length.mm() / 25.4,
        };
        format!("{value:.*}", self.decimals)
    }

    /// The number, rounded up.
    fn at_least(&self, length: Length) -> String {
        let step = match self.units {
            Units::Metric => 1_000_000,
            Units::Inch => 25_400_000,
        };
        let scale = 10_i64.pow(self.decimals as u32);
        // whole steps of the last decimal, each `step / scale` nanometres
        let steps = (length.nm().saturating_mul(scale) + step - 1).div_euclid(step);
        format!("{:.*}", self.decimals, steps as f64 / scale as f64)
    }

    /// The number, or a dash.
    pub fn maybe(&self, length: Option<Length>) -> String {
        length.map_or_else(|| NOTHING.to_string(), |length| self.number(length))
    }

    /// The number with its expanded uncertainty, to the last decimal of the number: rounded up, as JCGM 100, 7.2.6, allows,
    /// so that no number gets a digit that it has not, and no uncertainty looks less than it is.
    pub fn with(&self, length: Option<Length>, standard: Option<Length>) -> String {
        match (length, standard) {
            (Some(length), Some(u)) => {
                format!(
                    "{}{FIRM}±{FIRM}{}",
                    self.number(length),
                    self.at_least(u * COVERAGE)
                )
            }
            (length, _) => self.maybe(length),
        }
    }
}

/// The number of a torque in the usual unit.
pub(super) fn torque_value(torque: Torque, units: Units) -> f64 {
    unit_named(unit::<Torque>(units)).map_or(0.0, |row| row.from_si(torque.newton_metres()))
}

/// A torque without its unit.
pub(super) fn torque(torque: Torque, units: Units) -> String {
    format!("{:.1}", torque_value(torque, units))
}

/// A number with its unit, and what it may be off by: its 95 % interval, else its expanded uncertainty.
fn doubted(
    value: f64,
    digits: usize,
    symbol: &str,
    interval: Option<(f64, f64)>,
    standard: Option<f64>,
) -> String {
    firm(&match (interval, standard.map(|u| u * COVERAGE as f64)) {
        (Some((low, high)), _) => format!("{value:.digits$} ({low:.digits$} to {high:.digits$}) {symbol}"),
        (None, Some(expanded)) => format!("{value:.digits$} ± {expanded:.digits$} {symbol}"),
        (None, None) => format!("{value:.digits$} {symbol}"),
    })
}

/// The force on each pack with its 95 % interval, the simulated one where there is one; of a record of an earlier edition with
/// its expanded uncertainty.
pub(super) fn preload_said(preload: &Preload, units: Units) -> String {
    let symbol = unit::<Force>(units);
    let number =
        |force: Force| unit_named(symbol).map_or(force.newtons(), |row| row.from_si(force.newtons()));
    let interval = preload
        .interval
        .as_ref()
        .map(|interval| match &preload.simulated {
            Some(drawn) => (number(drawn.low), number(drawn.high)),
            None => (number(interval.low), number(interval.high)),
        });
    doubted(
        number(preload.force),
        0,
        symbol,
        interval,
        preload.uncertainty.map(number),
    )
}

/// The breakaway of that force, likewise.
pub(super) fn breakaway_said(breakaway: Torque, preload: &Preload, units: Units) -> String {
    let number = |torque: Torque| torque_value(torque, units);
    let interval = preload
        .breakaway_interval
        .as_ref()
        .map(|interval| match &preload.breakaway_simulated {
            Some(drawn) => (number(drawn.low), number(drawn.high)),
            None => (number(interval.low), number(interval.high)),
        });
    let standard = preload.breakaway_uncertainty.map(number);
    doubted(number(breakaway), 1, unit::<Torque>(units), interval, standard)
}

/// What stands for a breakaway that can not be read in the way that the unit file names.
pub(super) const WEDGES: &str = "none: held as the unit file says, the packs wedge";

/// Date, time and offset of a moment of RFC 3339; `None` for anything else.
fn split(text: &str) -> Option<(&str, &str, &str)> {
    const SHAPE: &[u8] = b"0000-00-00T00:00";
    let fits = |(pattern, byte): (&u8, u8)| match pattern {
        b'0' => byte.is_ascii_digit(),
        pattern => *pattern == byte,
    };
    if text.len() < SHAPE.len() || !text.is_ascii() || !SHAPE.iter().zip(text.bytes()).all(fits) {
        return None;
    }
    let rest = text[16..].trim_start_matches(|c: char| c == ':' || c == '.' || c.is_ascii_digit());
    Some((&text[..10], &text[11..16], rest))
}

/// A moment of RFC 3339 as date and time, `2026-03-01 14:05`; anything else as it is.
pub(super) fn moment(text: &str) -> String {
    match split(text) {
        Some((date, time, _)) => format!("{date}{FIRM}{time}"),
        None => text.to_string(),
    }
}

/// The same with the offset: `2026-03-01 14:05 +01:00`.
pub(super) fn zoned(text: &str) -> String {
    match split(text) {
        Some((_, _, "")) | None => moment(text),
        Some((_, _, "Z" | "z" | "+00:00")) => format!("{}{FIRM}UTC", moment(text)),
        Some((_, _, offset)) => format!("{}{FIRM}{offset}", moment(text)),
    }
}

/// The same with a capital at the beginning.
pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}

/// A digest in groups of four.
pub(super) fn grouped(digest: &str) -> String {
    let mut out = String::with_capacity(digest.len() * 5 / 4);
    for (i, c) in digest.chars().enumerate() {
        if i > 0 && i % 4 == 0 {
            out.push(' ');
        }
        out.push(c);
    }
    out
}

/// The first four groups of a digest.
pub(super) fn first_groups(digest: &str) -> String {
    firm(&grouped(&digest.chars().take(16).collect::<String>()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_has_one_number_of_decimals() {
        let whole = Lengths::of(Units::Metric, [Length::from_um(1980)]);
        assert_eq!(whole.number(Length::from_um(1980)), "1.980");
        let fine = Lengths::of(Units::Metric, [Length::from_um(1980), Length::from_nm(1_980_300)]);
        assert_eq!(fine.number(Length::from_um(1980)), "1.9800");
        assert_eq!(
            fine.with(Some(Length::from_um(1980)), Some(Length::from_nm(1_200))),
            "1.9800\u{a0}±\u{a0}0.0024"
        );
        let inch = Lengths::of(Units::Inch, [Length::from_nm(2_540_000)]);
        assert_eq!(inch.number(Length::from_nm(2_540_000)), "0.1000");
        // the mean of 1.990, 1.989 and 1.987 is 1.989 to its last digit; a fourth one would be false
        let with =
            |numbers: &Lengths, nm: i64| numbers.with(Some(Length::from_um(1989)), Some(Length::from_nm(nm)));
        assert_eq!(with(&whole, 750), "1.989\u{a0}±\u{a0}0.002");
        assert_eq!(with(&whole, 1_000), "1.989\u{a0}±\u{a0}0.002");
        assert_eq!(with(&whole, 1_001), "1.989\u{a0}±\u{a0}0.003");
        assert_eq!(with(&whole, 1), "1.989\u{a0}±\u{a0}0.001");
        assert_eq!(with(&inch, 1_270), "0.0783\u{a0}±\u{a0}0.0001");
    }

    #[test]
    fn a_moment_keeps_its_offset() {
        assert_eq!(zoned("2026-03-01T14:05:59.12Z"), "2026-03-01\u{a0}14:05\u{a0}UTC");
        assert_eq!(
            zoned("2026-03-01T14:05:59+01:00"),
            "2026-03-01\u{a0}14:05\u{a0}+01:00"
        );
        assert_eq!(moment("last spring"), "last spring");
    }

    #[test]
    fn a_digest_is_read_in_groups_of_four() {
        assert_eq!(grouped("0123456789ab"), "0123 4567 89ab");
        assert_eq!(grouped(""), "");
    }
}
