//! What may be written for a quantity, as regular expressions: for those who check a file without this program.

use super::units::{Dimension, UnitRow, rows_of, spelling_pattern};

/// One limit of a quantity.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Edge {
    /// The limit in the coherent SI unit, degrees from the ring's face for a ramp; not less than 0.
    pub si: f64,
    /// Whether it is the least; else the most.
    pub least: bool,
    /// Whether the limit itself is outside.
    pub outside: bool,
}

/// A space in a pattern, or none.
const SPACE: &str = r"\s*";
/// Any fraction, or none.
const ANY_FRACTION: &str = "(?:[.,][0-9]*)?";
/// A minus sign.
const MINUS: &str = "[-−]";

/// The regular expressions that a text must match, all of them, to be a quantity within its limits; the first says how it
/// is written, each other one is a limit.
///
/// They use neither looking ahead nor back, so that any engine for them will do. They are never stricter than
/// [`parse`](super::parse) but for digits behind the last nanometre, and looser in three things: they do not count the
/// digits of a number, a limit that is no round figure in a unit of measure is taken a millionth too wide there, and nothing is
/// too large.
///
/// ```
/// use shimwright::quantity::{Dimension, Edge, patterns};
/// let more_than_none = Edge { si: 0.0, least: true, outside: true };
/// let [written, limit] = &patterns(Dimension::Volume, &[more_than_none])[..] else { panic!() };
/// assert!(written.contains("[lL]") && limit.starts_with('^'));
/// ```
pub fn patterns(dimension: Dimension, edges: &[Edge]) -> Vec<String> {
    let mut all = vec![written(dimension)];
    if dimension == Dimension::RampAngle {
        all.extend(RAMP_EDGES.iter().map(|edge| ramp_within(*edge)));
    }
    all.extend(edges.iter().map(|edge| within(dimension, *edge)));
    all
}

/// The limits that every ramp keeps to.
const RAMP_EDGES: [Edge; 2] = [
    Edge {
        si: 0.0,
        least: true,
        outside: true,
    },
    Edge {
        si: 90.0,
        least: false,
        outside: false,
    },
];

/// A number without its sign: with a point, or with a comma that can not be one of thousands.
fn number() -> String {
    let plain = r"[0-9]+\.?[0-9]*|\.[0-9]+";
    let comma = "(?:0[0-9]*|[0-9]{4,}),[0-9]*|,[0-9]+|[1-9][0-9]{0,2},(?:[0-9]{0,2}|[0-9]{4,})";
    format!("(?:{plain}|{comma})")
}

fn written(dimension: Dimension) -> String {
    let number = format!(r"(?:[+]|{MINUS})?{SPACE}{}", number());
    match dimension {
        Dimension::Ratio => format!("^{SPACE}{number}{SPACE}%?{SPACE}$"),
        Dimension::RampAngle => {
            let from: Vec<String> = ["face", "axis"].map(|end| ramp_way(&number, end, None)).into();
            format!("^{SPACE}(?:{}|{}){SPACE}$", any_case("no ramp"), from.join("|"))
        }
        _ => {
            let units: Vec<String> = rows_of(dimension)
                .map(|row| spelling_pattern(row, SPACE))
                .collect();
            format!("^{SPACE}{number}{SPACE}(?:{}){SPACE}$", units.join("|"))
        }
    }
}

fn any_case(words: &str) -> String {
    words
        .chars()
        .map(|c| match c {
            'a'..='z' => format!("[{c}{}]", c.to_ascii_uppercase()),
            _ => c.to_string(),
        })
        .collect()
}

/// A number, a unit of angle and the words of the datum that ends in `end`; `unit` narrows it to one unit.
fn ramp_way(number: &str, end: &str, unit: Option<&UnitRow>) -> String {
    let word = |word: &str| format!("{}(?:'[sS])*", any_case(word));
    let fill = format!("(?:{}|{})", word("from"), word("the"));
    let before = if end == "face" { "ring" } else { "shaft" };
    let (before, end) = (word(before), word(end));
    let datum = format!(r"(?:{fill}\s+)*(?:{before}(?:\s+(?:{fill}\s+)*{end})?|{end})(?:\s+{fill})*");
    let spelt = |row: &UnitRow| format!(r"{}\s+", spelling_pattern(row, ""));
    let units = match unit {
        // without a unit it is degrees
        Some(row) if row.symbol() == "deg" => format!("(?:{})?", spelt(row)),
        Some(row) => spelt(row),
        None => format!(
            "(?:{})?",
            rows_of(Dimension::Angle).map(spelt).collect::<Vec<_>>().join("|")
        ),
    };
    format!("{number}{SPACE}{units}{datum}")
}

fn ramp_within(edge: Edge) -> String {
    let mut ways = vec![any_case("no ramp")];
    for row in rows_of(Dimension::Angle) {
        let degree = std::f64::consts::PI / 180.0;
        let face = bound(edge, row.from_si(edge.si * degree));
        // what is the least from the one datum is the most from the other
        let turned = Edge {
            si: 90.0 - edge.si,
            least: !edge.least,
            ..edge
        };
        let shaft = bound(turned, row.from_si(turned.si * degree));
        ways.push(ramp_way(&face, "face", Some(row)));
        ways.push(ramp_way(&shaft, "axis", Some(row)));
    }
    format!("^{SPACE}(?:{}){SPACE}$", ways.join("|"))
}

fn within(dimension: Dimension, edge: Edge) -> String {
    if edge.si.abs() < f64::MIN_POSITIVE {
        // nothing is nothing in any unit
        return format!(r"^{SPACE}{}{SPACE}(?:[^0-9.,\s+−-].*)?$", bound(edge, 0.0));
    }
    let ways: Vec<String> = match dimension {
        Dimension::Ratio => vec![
            bound(edge, edge.si),
            format!("{}{SPACE}%", bound(edge, edge.si * 100.0)),
        ],
        _ => rows_of(dimension)
            .map(|row| {
                format!(
                    "{}{SPACE}{}",
                    bound(edge, row.from_si(edge.si)),
                    spelling_pattern(row, SPACE)
                )
            })
            .collect(),
    };
    format!("^{SPACE}(?:{}){SPACE}$", ways.join("|"))
}

/// The pattern of every number on the right side of `value`, its sign included.
fn bound(edge: Edge, value: f64) -> String {
    // a number below 0 is a minus sign and its size, of which the other side is the right one
    let (size, negative) = (value.abs(), value < 0.0);
    let (digits, outside) = match (rounded(size, 12), rounded(size, 6)) {
        (fine, coarse) if fine == coarse => (fine, edge.outside),
        // no round figure in this unit: a millionth too wide
        _ => (
            rounded(
                size * if edge.least == negative {
                    1.0 + 1e-6
                } else {
                    1.0 - 1e-6
                },
                7,
            ),
            false,
        ),
    };
    let (whole, fraction) = digits.split_once('.').unwrap_or((&digits, ""));
    let (whole, fraction) = (whole.trim_start_matches('0'), fraction.trim_end_matches('0'));
    match edge.least {
        true if negative => format!(
            "(?:[+]?{SPACE}[0-9.,]+|{MINUS}{SPACE}{})",
            below(whole, fraction, outside)
        ),
        false if negative => format!("(?:{MINUS}{SPACE}{})", above(whole, fraction, outside)),
        true => {
            let not_negative = format!("[+]?{SPACE}{}", above(whole, fraction, outside));
            if whole.is_empty() && fraction.is_empty() && !outside {
                format!("(?:{not_negative}|{MINUS}{SPACE}[0.,]+)")
            } else {
                format!("(?:{not_negative})")
            }
        }
        false => format!(
            "(?:[+]?{SPACE}{}|{MINUS}{SPACE}[0-9.,]+)",
            below(whole, fraction, outside)
        ),
    }
}

/// Plain decimals with so many digits that count.
fn rounded(value: f64, digits: i32) -> String {
    if value.abs() < f64::MIN_POSITIVE {
        return "0".to_string();
    }
    let decimals = (digits - 1 - value.abs().log10().floor() as i32).max(0) as usize;
    let text = format!("{value:.decimals$}");
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
        false => text,
    }
}

/// A digit above or below another; nothing where there is none.
fn digit(from: u32, to: u32) -> Option<String> {
    match from.cmp(&to) {
        std::cmp::Ordering::Less => Some(format!("[{from}-{to}]")),
        std::cmp::Ordering::Equal => Some(from.to_string()),
        std::cmp::Ordering::Greater => None,
    }
}

fn figures(text: &str) -> Vec<u32> {
    text.chars().filter_map(|c| c.to_digit(10)).collect()
}

/// Numbers above one with these digits.
fn above(whole: &str, fraction: &str, outside: bool) -> String {
    let mut ways = vec![format!("[1-9][0-9]{{{},}}{ANY_FRACTION}", whole.len())];
    for (at, figure) in figures(whole).into_iter().enumerate() {
        let rest = whole.len() - 1 - at;
        ways.extend(
            digit(figure + 1, 9).map(|more| format!("{}{more}[0-9]{{{rest}}}{ANY_FRACTION}", &whole[..at])),
        );
    }
    for (at, figure) in figures(fraction).into_iter().enumerate() {
        ways.extend(digit(figure + 1, 9).map(|more| format!("{whole}[.,]{}{more}[0-9]*", &fraction[..at])));
    }
    ways.push(match (fraction.is_empty(), outside) {
        (true, false) => format!("{whole}{ANY_FRACTION}"),
        (true, true) => format!("{whole}[.,][0-9]*[1-9][0-9]*"),
        (false, false) => format!("{whole}[.,]{fraction}[0-9]*"),
        (false, true) => format!("{whole}[.,]{fraction}[0-9]*[1-9][0-9]*"),
    });
    format!("0*(?:{})", ways.join("|"))
}

/// Numbers below one with these digits.
fn below(whole: &str, fraction: &str, outside: bool) -> String {
    let mut ways = Vec::new();
    if !whole.is_empty() {
        ways.push(format!("[0-9]{{0,{}}}{ANY_FRACTION}", whole.len() - 1));
    }
    for (at, figure) in figures(whole).into_iter().enumerate() {
        let rest = whole.len() - 1 - at;
        let least = u32::from(at == 0);
        ways.extend(
            (figure > least)
                .then(|| digit(least, figure - 1))
                .flatten()
                .map(|less| format!("{}{less}[0-9]{{{rest}}}{ANY_FRACTION}", &whole[..at])),
        );
    }
    let mut fractions = Vec::new();
    for (at, figure) in figures(fraction).into_iter().enumerate() {
        // so many digits and no more are less too
        fractions.push(fraction[..at].to_string());
        fractions.extend(
            (figure > 0)
                .then(|| digit(0, figure - 1))
                .flatten()
                .map(|less| format!("{}{less}[0-9]*", &fraction[..at])),
        );
    }
    if !outside {
        fractions.push(format!("{fraction}0*"));
    }
    if !fractions.is_empty() {
        // a whole number alone is at most itself, and less where a fraction would still be
        ways.push(format!("{whole}(?:[.,](?:{}))?", fractions.join("|")));
    }
    format!("0*(?:{})", ways.join("|"))
}
