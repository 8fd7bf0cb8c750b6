//! The signs of a table of old records: what stands between its cells, and what its readings have for a decimal sign.

/// The columns that hold a reading, in which a decimal comma may stand.
const READINGS: [&str; 4] = ["distance", "found_breakaway", "left_breakaway", "thickness"];

/// How the readings of a file write their decimal sign, as far as the file shows it.
#[derive(Clone, Copy)]
pub(super) struct Signs {
    /// Semicolons stand between the cells: a table as it is written where the comma is the decimal sign.
    semicolons: bool,
    /// A comma is the decimal sign, and no reading of the file has a point for it.
    comma: bool,
}

impl Signs {
    pub(super) fn of<'r>(
        delimiter: u8,
        columns: &[&str],
        rows: impl Iterator<Item = &'r csv::StringRecord> + Clone,
    ) -> Signs {
        let semicolons = delimiter == b';';
        let has = |sign: char| {
            rows.clone()
                .flat_map(|row| columns.iter().zip(row))
                .any(|(column, cell)| READINGS.contains(column) && number(cell).contains(sign))
        };
        Signs {
            semicolons,
            comma: semicolons && !has('.'),
        }
    }

    /// The text of a cell, a decimal comma made a point. Errors: it may be thousands.
    pub(super) fn read(self, column: &str, text: &str) -> Result<String, String> {
        if !READINGS.contains(&column) {
            return Ok(text.to_string());
        }
        let number = number(text);
        if number.contains('.') && number.contains(',') {
            return Err(format!(
                "\"{text}\" has a point and a comma; write the number without a sign for the thousands"
            ));
        }
        let (whole, fraction) = number.split_once(['.', ',']).unwrap_or((number, ""));
        if self.semicolons
            && column == "distance"
            && fraction.len() == 3
            && (1..=3).contains(&whole.len())
            && !whole.starts_with('0')
        {
            let sign = if self.comma { ',' } else { '.' };
            let decimals = fraction.trim_end_matches('0');
            return Err(format!(
                "\"{text}\" can be read as {whole}{fraction} or as {}; write one of these",
                format!("{whole}{sign}{decimals}").trim_end_matches(sign)
            ));
        }
        match self.comma {
            true => Ok(text.replacen(',', ".", 1)),
            false => Ok(text.to_string()),
        }
    }
}

/// The digits and signs that a cell begins with; a unit of measure may have a point of its own.
fn number(text: &str) -> &str {
    let text = text.trim_start_matches(['+', '-', '\u{2212}', ' ']);
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','));
    &text[..end.unwrap_or(text.len())]
}

/// What stands between the cells: the sign of which the head has most.
pub(super) fn delimiter(text: &str) -> u8 {
    let head = text.lines().next().unwrap_or("");
    let count = |sign: &char| head.matches(*sign).count();
    [',', ';', '\t']
        .into_iter()
        .rev()
        .max_by_key(count)
        .map_or(b',', |sign| sign as u8)
}

/// The word for it.
pub(super) fn between(delimiter: u8) -> &'static str {
    match delimiter {
        b';' => "semicolon",
        b'\t' => "tab",
        _ => "comma",
    }
}
