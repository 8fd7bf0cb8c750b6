//! How an answer about a file that is made by questions is read.

use super::ask::Refusal;
use super::manual_choice::with_their_units;
use super::new_file_question::{NONE, Question, Value, Wants};
use super::typed::{no, parsed, plain_text};
use crate::mechanics::rated::{TyreSize, rolling_radius, torque_of_power};
use crate::quantity::{
    Angle, Dimension, Force, Length, Mass, Power, Quantity, RampAngle, Ratio, SpringRate, Torque, Units,
    Volume, parse,
};

/// What is typed where nobody knows.
pub(super) const NOT_KNOWN: &str = "not known";

/// A value, and what makes it odd.
type Accepted = (Value, Option<String>);

/// What an answer to a question is taken for.
pub(super) fn read(question: &Question, text: &str, units: Units) -> Result<Accepted, Refusal> {
    // one of a word's ways may be just that
    let unknown = [NOT_KNOWN, "unknown", "not-known"]
        .iter()
        .any(|word| text.eq_ignore_ascii_case(word));
    if unknown && question.guess.is_some() {
        return Ok((Value::NotKnown, None));
    }
    // what nobody knows is left out of the file, where it may be
    if question.optional && (unknown || text.eq_ignore_ascii_case("none")) {
        return Ok((Value::None, None));
    }
    let plain = |value| Ok((value, None));
    match &question.wants {
        Wants::Text => plain(Value::Text(plain_text(text)?)),
        Wants::Word(words) => match words.iter().find(|(key, _)| key.eq_ignore_ascii_case(text)) {
            Some((key, _)) => plain(Value::Text((*key).to_string())),
            None => {
                let keys: Vec<&str> = words.iter().map(|(key, _)| *key).collect();
                no(format!("\"{text}\" is none of these: {}", keys.join(", ")))
            }
        },
        Wants::YesNo => match text.to_lowercase().as_str() {
            "y" | "yes" => plain(Value::Yes(true)),
            "n" | "no" => plain(Value::Yes(false)),
            _ => no("yes or no is wanted"),
        },
        Wants::Count => match text.parse::<u32>() {
            Ok(count) => plain(Value::Number(count.to_string())),
            Err(_) => no(format!("\"{text}\" is no whole number")),
        },
        Wants::Names | Wants::Marks(_) => {
            let names = text.split(|c: char| c.is_whitespace() || c == ',');
            let names: Vec<String> = names
                .filter(|name| !name.is_empty())
                .map(str::to_string)
                .collect();
            if names.is_empty() {
                return no("names are wanted, with spaces between");
            }
            if let Some((_, name)) = names
                .iter()
                .enumerate()
                .find(|(n, name)| *name != NONE && names[..*n].contains(name))
            {
                return no(format!("{name} is named twice"));
            }
            if let Wants::Marks(count) = question.wants
                && names.len() != count
            {
                let marks = names.len();
                return no(format!(
                    "{marks} marks for {count} plates; one for each is wanted, {NONE} for one without"
                ));
            }
            plain(Value::Texts(names))
        }
        Wants::Lengths if text.eq_ignore_ascii_case("none") => plain(Value::Texts(Vec::new())),
        Wants::Lengths => plain(Value::Texts(list::<Length>(text, units)?)),
        Wants::Torques => plain(Value::Texts(list::<Torque>(text, units)?)),
        Wants::Forces => plain(Value::Texts(list::<Force>(text, units)?)),
        Wants::Counts => {
            let words = text.split(|c: char| c.is_whitespace() || c == ',');
            let counts: Result<Vec<String>, Refusal> = words
                .filter(|word| !word.is_empty())
                .map(|word| match word.parse::<u32>() {
                    Ok(count) => Ok(count.to_string()),
                    Err(_) => no(format!("\"{word}\" is no whole number")),
                })
                .collect();
            plain(Value::Numbers(counts?))
        }
        Wants::Ratios => plain(Value::Numbers(ratios(text)?)),
        Wants::AxleWeight => plain(Value::Text(axle_weight(text, units)?)),
        Wants::RampPairs => plain(Value::Pairs(ramp_pairs(text)?)),
        Wants::Tyre => tyre(text, units),
        Wants::Engine => plain(Value::Points(engine(text, units)?)),
        Wants::Quantity(dimension, usual) => quantity(*dimension, *usual, text, units),
    }
}

fn list<Q: Quantity>(text: &str, units: Units) -> Result<Vec<String>, Refusal> {
    let words: Vec<&str> = text.split_whitespace().collect();
    with_their_units(&words)
        .iter()
        .map(|one| parsed::<Q>(one, units).map(|(_, written)| written))
        .collect()
}

/// A quantity with its unit, and what makes it odd. Its limits are the reader's.
fn quantity(dimension: Dimension, usual: [f64; 2], text: &str, units: Units) -> Result<Accepted, Refusal> {
    let (written, size) = match dimension {
        Dimension::Length => parsed::<Length>(text, units).map(|(v, written)| (written, v.mm()))?,
        Dimension::Force => parsed::<Force>(text, units).map(|(v, written)| (written, v.newtons()))?,
        Dimension::Torque => {
            parsed::<Torque>(text, units).map(|(v, written)| (written, v.newton_metres()))?
        }
        Dimension::Mass => parsed::<Mass>(text, units).map(|(v, written)| (written, v.kilograms()))?,
        Dimension::Volume => parsed::<Volume>(text, units).map(|(v, written)| (written, v.litres()))?,
        Dimension::Angle => parsed::<Angle>(text, units).map(|(v, written)| (written, v.degrees()))?,
        Dimension::SpringRate => {
            parsed::<SpringRate>(text, units).map(|(v, written)| (written, v.newtons_per_mm()))?
        }
        Dimension::RampAngle => match parse::<RampAngle>(text) {
            Ok(angle) => (text.to_string(), angle.degrees_from_ring_face()),
            Err(error) => return no(error.to_string()),
        },
        _ => match parse::<Ratio>(text) {
            // a plain number stands bare in the file
            Ok(ratio) => {
                let words = odd(ratio.value(), usual, &ratio.value().to_string());
                return Ok((Value::Number(format!("{:?}", ratio.value())), words));
            }
            Err(error) => return no(error.to_string()),
        },
    };
    let words = odd(size, usual, &written);
    Ok((Value::Text(written), words))
}

fn odd(size: f64, [least, most]: [f64; 2], written: &str) -> Option<String> {
    (!(least..=most).contains(&size)).then(|| {
        let way = if size < least { "less" } else { "more" };
        format!("{written} is {way} than is usual here: is the unit of measure right?")
    })
}

/// Ratios from first gear up, each as it stands in the file.
fn ratios(text: &str) -> Result<Vec<String>, Refusal> {
    let words = text.split(|c: char| c.is_whitespace() || c == ';');
    let mut all: Vec<Ratio> = Vec::new();
    for word in words
        .map(|word| word.trim_end_matches(','))
        .filter(|word| !word.is_empty())
    {
        let ratio = parse::<Ratio>(word).map_err(|error| refusal(error.to_string()))?;
        if all.last().is_some_and(|last| *last <= ratio) {
            return no(format!(
                "{word} does not follow a higher ratio: from first gear up they fall"
            ));
        }
        all.push(ratio);
    }
    match all.len() {
        0 => no("ratios are wanted, from first gear up, with spaces between"),
        // a whole number has no point of its own
        1..=20 => Ok(all.iter().map(|ratio| format!("{:?}", ratio.value())).collect()),
        many => no(format!("{many} gears are too many")),
    }
}

/// Pairs such as `45/60 60/none from ring face`: the datum stands once, behind all of them.
fn ramp_pairs(text: &str) -> Result<Vec<[String; 2]>, Refusal> {
    let Some((pairs, datum)) = text.split_once("from") else {
        return no(
            "say behind the pairs what the angles are counted from: from ring face, or from shaft axis",
        );
    };
    let mut all = Vec::new();
    for pair in pairs
        .split(|c: char| c.is_whitespace() || c == ',')
        .filter(|pair| !pair.is_empty())
    {
        let Some((drive, coast)) = pair.split_once('/') else {
            return no(format!(
                "\"{pair}\" is no pair: drive and coast with a stroke between, as in 45/60 or 60/none"
            ));
        };
        let mut made = [String::new(), String::new()];
        for (angle, made) in [drive, coast].into_iter().zip(&mut made) {
            *made = match angle.to_lowercase().as_str() {
                "none" | "no" => "no ramp".to_string(),
                degrees => format!("{} deg from {}", degrees.trim_end_matches('°'), datum.trim()),
            };
            if let Err(error) = parse::<RampAngle>(made) {
                return no(error.to_string());
            }
        }
        all.push(made);
    }
    match all.is_empty() {
        true => {
            no("pairs are wanted, drive and coast with a stroke between, as in 45/60 60/none from ring face")
        }
        false => Ok(all),
    }
}

/// A weight with its unit, or a share in per cent.
fn axle_weight(text: &str, units: Units) -> Result<String, Refusal> {
    if !text.ends_with('%') {
        return parsed::<Mass>(text, units).map(|(_, written)| written);
    }
    match parse::<Ratio>(text).map(Ratio::value) {
        Ok(share) if share > 0.0 && share < 1.0 => Ok(text.to_string()),
        Ok(_) => no(format!(
            "{text} of the weight can not lie on one axle: more than 0 % and less than 100 %"
        )),
        Err(error) => no(error.to_string()),
    }
}

/// The radius of a tyre as a length, out of a length or a size.
fn tyre(text: &str, units: Units) -> Result<Accepted, Refusal> {
    if !text.contains('/') {
        return quantity(Dimension::Length, [200.0, 420.0], text, units);
    }
    let radius = TyreSize::read(text).and_then(rolling_radius);
    let radius = radius.map_err(|error| refusal(error.to_string()))?;
    Ok((Value::Text(format!("{:.1} mm", radius.mm())), None))
}

fn refusal(words: String) -> Refusal {
    Refusal {
        words,
        sure: false,
        suggests: false,
    }
}

/// What an engine gives: torques, and powers at their speed, rising in it.
fn engine(text: &str, units: Units) -> Result<Vec<(String, Option<u32>)>, Refusal> {
    let mut points: Vec<(String, Option<u32>)> = Vec::new();
    for part in text
        .split([',', ';'])
        .map(str::trim)
        .filter(|part| !part.is_empty())
    {
        let (figure, rpm) = match part.split_once(" at ").or_else(|| part.split_once('@')) {
            None => (part, None),
            Some((figure, speed)) => {
                let digits = speed
                    .trim()
                    .trim_end_matches(|c: char| c.is_ascii_alphabetic() || c == '/')
                    .trim();
                match digits.parse::<u32>() {
                    Ok(rpm) if (1..=30_000).contains(&rpm) => (figure.trim(), Some(rpm)),
                    _ => {
                        return no(format!(
                            "\"{}\" is no speed of an engine: 1 to 30000 rpm",
                            speed.trim()
                        ));
                    }
                }
            }
        };
        let torque = match (parse::<Power>(figure), rpm) {
            (Ok(_), None) => {
                return no(format!(
                    "{figure} is a power: say at what speed, as in \"{figure} at 6000\""
                ));
            }
            (Ok(power), Some(rpm)) => {
                let rpm = Ratio::new(f64::from(rpm)).map_err(|error| refusal(error.to_string()))?;
                let torque = torque_of_power(power, rpm).map_err(|error| refusal(error.to_string()))?;
                format!("{:.1} N·m", torque.newton_metres())
            }
            (Err(_), _) => parsed::<Torque>(figure, units)?.1,
        };
        if points.last().is_some_and(|(_, last)| *last >= rpm) {
            return no("several figures each want their speed, rising: 190 N·m at 4500, 110 kW at 6300");
        }
        points.push((torque, rpm));
    }
    if points.is_empty() {
        return no("a torque, or a power at its speed, is wanted");
    }
    Ok(points)
}
