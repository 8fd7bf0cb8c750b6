//! Figures as they stand in tables, sums and sentences.

use crate::metrology::Measured;
use crate::quantity::{Distance, Duration, Force, Length, Temperature, Torque, Units, Volume};
use crate::record::Value;

/// The expanded uncertainty, k = 2.
pub(super) fn expanded(measured: &Measured) -> Length {
    measured.budget.expanded(2.0).unwrap_or(Length::ZERO)
}

pub(super) fn signed(length: Length, units: Units) -> String {
    if length >= Length::ZERO {
        format!("+{}", length.show(units))
    } else {
        length.show(units)
    }
}

/// A word with a capital letter.
pub(super) fn capital(text: &str) -> String {
    let mut characters = text.chars();
    characters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(characters).collect()
    })
}

/// An answer in units of measure, where it is a quantity.
pub(super) fn value_words(value: &Value, units: Units) -> Option<String> {
    match value {
        Value::Length(nm) => Some(Length::from_nm(*nm).show(units)),
        Value::Torque(nm) => Torque::from_newton_metres(*nm)
            .ok()
            .map(|torque| torque.show(units)),
        Value::Force(newtons) => Force::from_newtons(*newtons).ok().map(|force| force.show(units)),
        Value::Distance(km) => Distance::from_kilometres(*km).ok().map(|far| far.show(units)),
        Value::Running(hours) => Duration::from_hours(*hours).ok().map(|long| long.show(units)),
        Value::Volume(litres) => Volume::from_litres(*litres).ok().map(|volume| volume.show(units)),
        Value::Temperature(celsius) => Temperature::from_celsius(*celsius)
            .ok()
            .map(|temperature| temperature.show(units)),
        Value::Done
        | Value::Yes(_)
        | Value::Text(_)
        | Value::Word { .. }
        | Value::Names(_)
        | Value::Record(_)
        | Value::Setting(_)
        | Value::Times(_)
        | Value::Drawn(_)
        | Value::Chosen(_) => None,
    }
}
