//! Numbers written to so many significant digits.

/// Writes `value` with `digits` significant digits, never in exponent form; it rounds first, so 9.996 with three
/// digits is `10.0`.
///
/// ```
/// assert_eq!(shimwright::quantity::significant(9.996, 3), "10.0");
/// assert_eq!(shimwright::quantity::significant(0.012345, 2), "0.012");
/// ```
pub fn significant(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return format!("{value}");
    }
    let rounded = format!("{:.*e}", digits.saturating_sub(1), value);
    let exponent: i64 = rounded
        .split_once('e')
        .and_then(|(_, e)| e.parse().ok())
        .unwrap_or(0);
    let decimals = (digits as i64 - 1 - exponent).clamp(0, 12) as usize;
    let text = format!("{value:.decimals$}");
    if text.trim_start_matches('-').chars().all(|c| c == '0' || c == '.') {
        text.trim_start_matches('-').to_string()
    } else {
        text
    }
}
