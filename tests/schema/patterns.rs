//! The patterns of quantities, held against the reader of quantities.

use proptest::prelude::*;
use serde_json::json;
use shimwright::quantity::{
    Angle, Dimension, Edge, Force, Length, Mass, Quantity, QuantityError, RampAngle, Ratio, SpringRate,
    Torque, Volume, parse, patterns, within,
};

fn matches(dimension: Dimension, limits: &str, text: &str) -> bool {
    let edges = if limits.is_empty() {
        Vec::new()
    } else {
        Edge::all(limits).unwrap()
    };
    patterns(dimension, &edges).iter().all(|pattern| {
        let schema = json!({ "pattern": pattern });
        jsonschema::draft202012::new(&schema)
            .unwrap()
            .is_valid(&json!(text))
    })
}

fn agrees<Q: Quantity + PartialOrd>(limits: &str, text: &str) -> Result<(), TestCaseError> {
    let read = parse::<Q>(text);
    if limits.is_empty() && matches!(read, Err(QuantityError::TooLarge { .. })) {
        // what no quantity may be is not in the pattern; every key of a file that takes a length has limits of its own
        return Ok(());
    }
    let taken = read
        .as_ref()
        .is_ok_and(|quantity| limits.is_empty() || within(*quantity, limits) == Some(true));
    let matched = matches(Q::DIMENSION, limits, text);
    prop_assert_eq!(taken, matched, "{:?} {:?}: {:?}", text, limits, read);
    Ok(())
}

/// A number as somebody types it, with few digits, so that no limit is nearer to it than the patterns are exact.
fn number() -> impl Strategy<Value = String> {
    let whole = prop_oneof!["[0-9]{0,4}", "0{0,2}[1-9]?", "[1-9]0{0,4}"];
    (
        proptest::sample::select(vec!["", "", "", "-", "+", "−", "- "]),
        whole,
        prop_oneof!["", "[.,]", "[.,][0-9]{1,4}"],
    )
        .prop_map(|(sign, whole, rest)| format!("{sign}{whole}{rest}"))
}

fn unit() -> impl Strategy<Value = String> {
    let spelt = proptest::sample::select(vec![
        "mm", "MM", "µm", "um", "cm", "m", "in", "\"", "thou", "mil", "N", "kN", "lbf", "kgf", "N·m", "Nm",
        "N.m", "n m", "lbf·ft", "ft-lb", "lb ft", "kgf·m", "daN·m", "N·cm", "deg", "°", "º", "rad", "kg",
        "g", "lb", "lbs", "l", "litres", "ml", "cc", "US qt", "N/mm", "lbf/in", "%", "", "furlong", "mm2",
        "m m", "mm.", "mm-",
    ]);
    let space = || proptest::sample::select(vec!["", " ", "  "]);
    (space(), spelt, space()).prop_map(|(before, unit, after)| format!("{before}{unit}{after}"))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn what_matches_is_what_is_read(number in number(), unit in unit()) {
        let text = format!("{number}{unit}");
        agrees::<Length>("", &text)?;
        agrees::<Length>("at least 0.05 mm and at most 50 mm", &text)?;
        agrees::<Length>("at least 0 mm and at most 10 mm", &text)?;
        agrees::<Length>("at least 0.5 m and at most 3 m", &text)?;
        agrees::<Force>("more than 0 N", &text)?;
        agrees::<Torque>("at least 0 N·m and at most 1000 N·m", &text)?;
        agrees::<Torque>("", &text)?;
        agrees::<Angle>("more than 0° and less than 90°", &text)?;
        agrees::<Mass>("more than 0 kg and at most 10000 kg", &text)?;
        agrees::<SpringRate>("more than 0 N/mm", &text)?;
        agrees::<Volume>("more than 0 l and at most 20 l", &text)?;
        agrees::<Ratio>("more than 0.5 and less than 1", &text)?;
        agrees::<Ratio>("at least 0 and at most 1", &text)?;
    }

    #[test]
    fn a_ramp_matches_where_it_is_read(
        number in number(), unit in proptest::sample::select(vec!["", "deg", " deg", "°", " degrees", " rad", " mm"]),
        words in proptest::sample::select(vec![
            " from ring face", " from the ring face", " ring face", " from shaft axis", " from the shaft's axis", " axis",
            " shaft", " ring", " from", "", " face ring", " ring axis", "ring face",
        ]),
    ) {
        let text = format!("{number}{unit}{words}");
        let read = parse::<RampAngle>(&text);
        prop_assert_eq!(read.is_ok(), matches(Dimension::RampAngle, "", &text), "{:?}: {:?}", text, read);
    }
}

#[test]
fn limits_are_met_at_the_figure() {
    for (text, limits, is) in [
        ("0.05 mm", "at least 0.05 mm and at most 50 mm", true),
        ("0,0499 mm", "at least 0.05 mm and at most 50 mm", false),
        ("50 µm", "at least 0.05 mm and at most 50 mm", true),
        ("49 µm", "at least 0.05 mm and at most 50 mm", false),
        ("50.000 mm", "at least 0.05 mm and at most 50 mm", true),
        ("50.001 mm", "at least 0.05 mm and at most 50 mm", false),
        ("1.968 in", "at least 0.05 mm and at most 50 mm", true),
        ("1.969 in", "at least 0.05 mm and at most 50 mm", false),
        ("-0 mm", "at least 0 mm and at most 2 mm", true),
        ("-0.1 mm", "at least 0 mm and at most 2 mm", false),
    ] {
        assert_eq!(matches(Dimension::Length, limits, text), is, "{text} {limits}");
        let read = parse::<Length>(text).is_ok_and(|length| within(length, limits) == Some(true));
        assert_eq!(read, is, "{text} {limits}");
    }
    assert!(matches(Dimension::RampAngle, "", "no ramp"));
}
