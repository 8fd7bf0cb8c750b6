//! Every unit of measure that may be written.

use std::fmt;

/// What kind of thing a quantity measures.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Dimension {
    /// Size of a part, exact.
    Length,
    /// Force.
    Force,
    /// Torque.
    Torque,
    /// Pressure or modulus.
    Pressure,
    /// Plain angle.
    Angle,
    /// Ramp angle: an angle with the datum that it is counted from.
    RampAngle,
    /// Mass.
    Mass,
    /// How far a car has gone.
    Distance,
    /// Time.
    Duration,
    /// Force per travel.
    SpringRate,
    /// Temperature.
    Temperature,
    /// Amount of oil.
    Volume,
    /// Power.
    Power,
    /// Speed.
    Velocity,
    /// A plain number.
    Ratio,
}

impl Dimension {
    /// The name with its article: "a length", "an angle".
    pub const fn article_name(self) -> &'static str {
        match self {
            Dimension::Length => "a length",
            Dimension::Force => "a force",
            Dimension::Torque => "a torque",
            Dimension::Pressure => "a pressure",
            Dimension::Angle => "an angle",
            Dimension::RampAngle => "a ramp angle",
            Dimension::Mass => "a mass",
            Dimension::Distance => "a distance driven",
            Dimension::Duration => "a time",
            Dimension::SpringRate => "a spring rate",
            Dimension::Temperature => "a temperature",
            Dimension::Volume => "an amount of oil",
            Dimension::Power => "a power",
            Dimension::Velocity => "a speed",
            Dimension::Ratio => "a plain number",
        }
    }

    /// The units that people may write, in the order in which they are offered.
    pub fn units(self) -> Vec<&'static str> {
        if self == Dimension::RampAngle {
            return vec!["deg from ring face", "deg from shaft axis"];
        }
        ROWS.iter()
            .filter(|row| row.dimension == self)
            .map(|row| row.symbol)
            .collect()
    }

    /// The unit that a prompt offers for a bare number.
    pub fn usual_unit(self, units: Units) -> &'static str {
        match (self, units) {
            (Dimension::Length, Units::Metric) => "mm",
            (Dimension::Length, Units::Inch) => "in",
            (Dimension::Force, Units::Metric) => "N",
            (Dimension::Force, Units::Inch) => "lbf",
            (Dimension::Torque, Units::Metric) => "N·m",
            (Dimension::Torque, Units::Inch) => "lbf·ft",
            (Dimension::Pressure, Units::Metric) => "MPa",
            (Dimension::Pressure, Units::Inch) => "psi",
            (Dimension::Angle | Dimension::RampAngle, _) => "deg",
            (Dimension::Mass, Units::Metric) => "kg",
            (Dimension::Mass, Units::Inch) => "lb",
            (Dimension::Distance, Units::Metric) => "km",
            (Dimension::Distance, Units::Inch) => "mi",
            (Dimension::Duration, _) => "h",
            (Dimension::SpringRate, Units::Metric) => "N/mm",
            (Dimension::SpringRate, Units::Inch) => "lbf/in",
            (Dimension::Temperature, Units::Metric) => "°C",
            (Dimension::Temperature, Units::Inch) => "°F",
            (Dimension::Volume, Units::Metric) => "l",
            (Dimension::Volume, Units::Inch) => "US qt",
            (Dimension::Power, Units::Metric) => "kW",
            (Dimension::Power, Units::Inch) => "hp",
            (Dimension::Velocity, Units::Metric) => "km/h",
            (Dimension::Velocity, Units::Inch) => "mph",
            (Dimension::Ratio, _) => "",
        }
    }
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.article_name())
    }
}

/// Which family of units the person at the bench reads and types.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Units {
    /// Millimetres, newtons, newton metres.
    #[default]
    Metric,
    /// Inches, pounds-force, pound-force feet.
    Inch,
}

/// One unit that may be written: its symbol, its spellings, and its size.
#[derive(Debug)]
pub struct UnitRow {
    symbol: &'static str,
    dimension: Dimension,
    spellings: &'static [&'static str],
    factor: f64,
    offset: f64,
    nanometres: i64,
}

impl UnitRow {
    /// The symbol that is printed.
    pub fn symbol(&self) -> &'static str {
        self.symbol
    }

    /// What the unit measures.
    pub fn dimension(&self) -> Dimension {
        self.dimension
    }

    /// The value in the coherent SI unit.
    pub fn to_si(&self, value: f64) -> f64 {
        (value + self.offset) * self.factor
    }

    /// The value in this unit of a value in the coherent SI unit.
    pub fn from_si(&self, si: f64) -> f64 {
        si / self.factor - self.offset
    }

    /// Whole nanometres in one unit; 0 for what is not a length of a part.
    pub(super) fn nanometres(&self) -> i64 {
        self.nanometres
    }
}

/// Pound-force: 0.453 592 37 kg × 9.806 65 m/s², exact by definition.
const LBF: f64 = 4.448_221_615_260_5;
/// Inch: 25.4 mm, exact by definition (NIST SP 811, B.6).
const INCH: f64 = 0.0254;
/// Foot: 12 in, exact by definition.
const FOOT: f64 = 0.3048;
/// Pound: 0.453 592 37 kg, exact by definition.
const POUND: f64 = 0.453_592_37;
/// Kilogram-force: 1 kg × the standard acceleration of free fall, 9.806 65 m/s², exact by definition.
const KGF: f64 = 9.806_65;
/// Ounce-force: a sixteenth of a pound-force, exact by definition.
const OZF: f64 = LBF / 16.0;

const fn row(
    symbol: &'static str,
    dimension: Dimension,
    spellings: &'static [&'static str],
    factor: f64,
) -> UnitRow {
    UnitRow {
        symbol,
        dimension,
        spellings,
        factor,
        offset: 0.0,
        nanometres: 0,
    }
}

const fn length(symbol: &'static str, spellings: &'static [&'static str], nanometres: i64) -> UnitRow {
    UnitRow {
        symbol,
        dimension: Dimension::Length,
        spellings,
        factor: nanometres as f64 / 1e9,
        offset: 0.0,
        nanometres,
    }
}

const fn temperature(
    symbol: &'static str,
    spellings: &'static [&'static str],
    factor: f64,
    offset: f64,
) -> UnitRow {
    UnitRow {
        symbol,
        dimension: Dimension::Temperature,
        spellings,
        factor,
        offset,
        nanometres: 0,
    }
}

/// Every unit. Spellings are as [`fold`] leaves them: lower case, `·` between factors, no spaces.
pub(super) static ROWS: &[UnitRow] = &[
    length(
        "mm",
        &["mm", "millimetre", "millimetres", "millimeter", "millimeters"],
        1_000_000,
    ),
    length(
        "µm",
        &[
            "um",
            "micron",
            "microns",
            "micrometre",
            "micrometres",
            "micrometer",
            "micrometers",
        ],
        1_000,
    ),
    length("cm", &["cm"], 10_000_000),
    length("m", &["m", "metre", "metres", "meter", "meters"], 1_000_000_000),
    length("in", &["in", "inch", "inches", "\""], 25_400_000),
    length("thou", &["thou", "mil", "mils"], 25_400),
    length("ft", &["ft", "foot", "feet"], 304_800_000),
    row("N", Dimension::Force, &["n", "newton", "newtons"], 1.0),
    row("kN", Dimension::Force, &["kn"], 1e3),
    row("lbf", Dimension::Force, &["lbf"], LBF),
    row("kgf", Dimension::Force, &["kgf"], KGF),
    row("N·m", Dimension::Torque, &["n·m", "nm"], 1.0),
    row(
        "lbf·ft",
        Dimension::Torque,
        &[
            "lbf·ft", "ft·lbf", "lb·ft", "ft·lb", "lbfft", "ftlbf", "lbft", "ftlb", "ft·lbs", "ftlbs",
        ],
        LBF * FOOT,
    ),
    row(
        "lbf·in",
        Dimension::Torque,
        &[
            "lbf·in", "in·lbf", "lb·in", "in·lb", "lbfin", "inlbf", "lbin", "inlb", "in·lbs", "inlbs",
        ],
        LBF * INCH,
    ),
    row(
        "kgf·m",
        Dimension::Torque,
        &["kgf·m", "m·kgf", "kg·m", "m·kg", "kgfm", "kgm", "mkg"],
        KGF,
    ),
    row(
        "kgf·cm",
        Dimension::Torque,
        &["kgf·cm", "cm·kgf", "kg·cm", "cm·kg", "kgfcm", "kgcm", "cmkg"],
        // a hundredth of a kgf·m
        0.098_066_5,
    ),
    row(
        "ozf·in",
        Dimension::Torque,
        &[
            "ozf·in", "in·ozf", "oz·in", "in·oz", "ozfin", "inozf", "ozin", "inoz",
        ],
        OZF * INCH,
    ),
    row("daN·m", Dimension::Torque, &["dan·m", "danm"], 10.0),
    row("N·cm", Dimension::Torque, &["n·cm", "ncm"], 0.01),
    row("MPa", Dimension::Pressure, &["mpa", "n/mm2", "n/mm²"], 1e6),
    row("kPa", Dimension::Pressure, &["kpa"], 1e3),
    row("GPa", Dimension::Pressure, &["gpa"], 1e9),
    row("bar", Dimension::Pressure, &["bar"], 1e5),
    row(
        "psi",
        Dimension::Pressure,
        &["psi", "lbf/in2", "lbf/in²"],
        LBF / (INCH * INCH),
    ),
    row(
        "deg",
        Dimension::Angle,
        &["deg", "°", "degree", "degrees"],
        std::f64::consts::PI / 180.0,
    ),
    row("rad", Dimension::Angle, &["rad", "radian", "radians"], 1.0),
    row("kg", Dimension::Mass, &["kg"], 1.0),
    row("g", Dimension::Mass, &["g"], 1e-3),
    row("lb", Dimension::Mass, &["lb", "lbs"], POUND),
    row("km", Dimension::Distance, &["km"], 1e3),
    row("mi", Dimension::Distance, &["mi", "mile", "miles"], 1609.344),
    row("h", Dimension::Duration, &["h", "hour", "hours"], 3600.0),
    row("min", Dimension::Duration, &["min", "minute", "minutes"], 60.0),
    row("N/mm", Dimension::SpringRate, &["n/mm"], 1e3),
    row("kN/mm", Dimension::SpringRate, &["kn/mm"], 1e6),
    row("kgf/mm", Dimension::SpringRate, &["kgf/mm"], KGF * 1e3),
    row("lbf/in", Dimension::SpringRate, &["lbf/in"], LBF / INCH),
    temperature("°C", &["°c", "degc", "c"], 1.0, 273.15),
    temperature("°F", &["°f", "degf", "f"], 5.0 / 9.0, 459.67),
    temperature("K", &["k"], 1.0, 0.0),
    row(
        "l",
        Dimension::Volume,
        &["l", "litre", "litres", "liter", "liters"],
        1e-3,
    ),
    row("ml", Dimension::Volume, &["ml", "cc", "cm3", "cm³"], 1e-6),
    // a quarter of the US gallon of 231 in³
    row("US qt", Dimension::Volume, &["usqt"], 0.000_946_352_946),
    // half a US quart
    row("US pt", Dimension::Volume, &["uspt"], 0.000_473_176_473),
    row("kW", Dimension::Power, &["kw"], 1e3),
    row("W", Dimension::Power, &["w"], 1.0),
    // 550 ft·lbf/s
    row("hp", Dimension::Power, &["hp", "bhp"], 550.0 * FOOT * LBF),
    // 75 kgf·m/s
    row("PS", Dimension::Power, &["ps", "cv"], 75.0 * KGF),
    row("m/s", Dimension::Velocity, &["m/s"], 1.0),
    row("km/h", Dimension::Velocity, &["km/h", "kmh", "kph"], 1.0 / 3.6),
    // a mile of 5280 ft in 3600 s
    row("mph", Dimension::Velocity, &["mph"], 0.447_04),
];

/// What is written in several ways: the sign that a spelling has, and those that are taken for it.
const TAKEN_FOR: &[(char, &str)] = &[('·', ".*-×⋅∙•‐‑"), ('u', "µμ"), ('"', "″”“"), ('°', "º˚")];

/// Folds the many ways to write a unit into one: case, spaces, the sign between factors, micro and inch signs.
fn fold(unit: &str) -> String {
    let mut folded = String::with_capacity(unit.len());
    for c in unit.chars().filter(|c| !c.is_whitespace()) {
        match TAKEN_FOR.iter().find(|(_, others)| others.contains(c)) {
            Some((sign, _)) => folded.push(*sign),
            None => folded.extend(c.to_lowercase()),
        }
    }
    folded.trim_end_matches('·').to_string()
}

/// A pattern of everything that [`fold`] makes the unit's spellings of; `inside` is the pattern of what may stand between
/// two of its letters.
pub(super) fn spelling_pattern(row: &UnitRow, inside: &str) -> String {
    let sign = |c: char| {
        let others = TAKEN_FOR.iter().find(|(sign, _)| *sign == c);
        let mut all: String = c.into();
        all.extend(c.to_uppercase().filter(|upper| *upper != c));
        all.push_str(others.map_or("", |(_, others)| others));
        match all.chars().count() {
            1 if !r".*+?()[]{}|^$/\".contains(c) => all,
            _ => format!("[{}]", all.replace('-', r"\-")),
        }
    };
    let ways: Vec<String> = row
        .spellings
        .iter()
        .map(|spelling| spelling.chars().map(sign).collect::<Vec<_>>().join(inside))
        .collect();
    format!("(?:{})(?:{inside}{})*", ways.join("|"), sign('·'))
}

/// The rows of a kind of quantity.
pub(super) fn rows_of(dimension: Dimension) -> impl Iterator<Item = &'static UnitRow> {
    ROWS.iter().filter(move |row| row.dimension == dimension)
}

/// The unit that `text` names, whatever it measures.
///
/// ```
/// use shimwright::quantity::{unit_named, Dimension};
/// assert_eq!(unit_named("lbf.ft").map(|u| u.symbol()), Some("lbf·ft"));
/// assert_eq!(unit_named("ft-lb").map(|u| u.dimension()), Some(Dimension::Torque));
/// assert!(unit_named("furlong").is_none());
/// ```
pub fn unit_named(text: &str) -> Option<&'static UnitRow> {
    let folded = fold(text);
    ROWS.iter().find(|row| row.spellings.contains(&folded.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_spelling_names_two_units() {
        let mut all: Vec<&str> = ROWS
            .iter()
            .flat_map(|row| row.spellings.iter().copied())
            .collect();
        all.sort_unstable();
        let before = all.len();
        all.dedup();
        assert_eq!(all.len(), before);
    }

    #[test]
    fn every_spelling_survives_folding_and_every_symbol_is_found() {
        for row in ROWS {
            for spelling in row.spellings {
                assert_eq!(&fold(spelling), spelling);
            }
            assert_eq!(unit_named(row.symbol).map(UnitRow::symbol), Some(row.symbol));
        }
    }
}
