//! Conversion of units against published factors.
#![allow(clippy::unwrap_used)]

use shimwright::quantity::{Length, Temperature, convert, parse};

fn rows() -> Vec<[String; 4]> {
    include_str!("references/unit_factors.csv")
        .lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| {
            let fields: Vec<String> = line.split(',').map(str::to_string).collect();
            fields.try_into().unwrap()
        })
        .collect()
}

/// Half a unit of the last digit that is printed.
fn half_a_digit(printed: &str) -> f64 {
    let decimals = printed.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    0.5 * 10_f64.powi(-(decimals as i32)) * (1.0 + 1e-9)
}

#[test]
fn every_factor_holds_to_all_digits_that_are_printed() {
    assert_eq!(rows().len(), 15);
    for [from, to, printed, _] in rows() {
        let (value, _) = convert(&format!("1 {from}"), &to).unwrap();
        let wanted: f64 = printed.parse().unwrap();
        assert!(
            (value - wanted).abs() <= half_a_digit(&printed),
            "1 {from} = {value} {to}, printed {printed}"
        );
    }
}

#[test]
fn every_factor_is_that_of_the_definitions() {
    for [from, to, _, exact] in rows() {
        let (value, _) = convert(&format!("1 {from}"), &to).unwrap();
        let wanted: f64 = exact.parse().unwrap();
        assert!(
            (value / wanted - 1.0).abs() < 4e-16,
            "1 {from} = {value} {to}, exactly {exact}"
        );
        // fifteen digits, however small the factor is
        let decimals = (14 - wanted.log10().floor() as i32).max(0) as usize;
        let (back, _) = convert(&format!("{wanted:.decimals$} {to}"), &from).unwrap();
        assert!(
            (back - 1.0).abs() < 1e-13,
            "{wanted:.decimals$} {to} = {back} {from}"
        );
    }
}

/// NIST SP 811 (2008), Appendix B.8: t/°C = (t/°F − 32)/1.8.
#[test]
fn temperatures_have_their_offset() {
    for (fahrenheit, celsius) in [(-40.0, -40.0), (32.0, 0.0), (68.0, 20.0), (212.0, 100.0)] {
        let read: Temperature = parse(&format!("{fahrenheit} °F")).unwrap();
        assert!(
            (read.celsius() - celsius).abs() < 1e-9,
            "{fahrenheit} °F = {read}"
        );
    }
    let (kelvin, _) = convert("68 °F", "K").unwrap();
    assert!((kelvin - 293.15).abs() < 1e-9);
}

/// 1 mil = 0.0254 mm (NIST SP 811, B.8); lengths are exact here.
#[test]
fn a_thou_is_exact() {
    assert_eq!(parse::<Length>("1 thou").unwrap().nm(), 25_400);
    assert_eq!(parse::<Length>("4 thou").unwrap().nm(), 101_600);
    assert_eq!(parse::<Length>("0.0001 in").unwrap().nm(), 2_540);
}

/// Quotients of the factors above, to the digits that are given.
#[test]
fn quotients_of_factors_agree() {
    for (text, to, wanted, half) in [
        ("100 lbf·ft", "N·m", 135.581_8, 5e-5),
        ("100 N·m", "lbf·ft", 73.756_21, 5e-6),
        ("100 N·m", "lbf·in", 885.074_6, 5e-5),
        ("100 N·m", "kgf·m", 10.197_16, 5e-6),
        ("100 hp", "PS", 101.387, 5e-5),
    ] {
        let (value, _) = convert(text, to).unwrap();
        assert!((value - wanted).abs() <= half, "{text} = {value} {to}");
    }
}
