//! The number with which a reading is first met, where the reading does not always grow with it.

use super::error::{MechanicsError, within};
use crate::quantity::Torque;

/// Into how many parts the way up is cut before it is halved, where packs differ and either may lead.
pub(super) const PARTS: u32 = 512;

/// How often the lead may change in one part.
const MOST_CHANGES: usize = 8;

/// What is read at one number: the reading, and whether the left pack turns with more torque than the right one. Nothing where
/// the packs wedge.
pub(super) type ReadAt = Option<(f64, bool)>;

/// Where a reading first meets `reading` as a number grows from 0 to `most`; the number at which it jumps past it where it never
/// does.
///
/// It grows with the number as long as the same pack leads. Where the other one takes the lead, which only packs that differ
/// do, it may have grown without end and begin anew lower down: so the way up is walked in parts, and the place where the lead
/// changes is looked for.
pub(super) fn halved(
    reading: Torque,
    most: f64,
    parts: u32,
    reads: impl Fn(f64) -> Result<ReadAt, MechanicsError>,
) -> Result<Result<f64, f64>, MechanicsError> {
    let (least, mut leads) = reads(0.0)?.unwrap_or((0.0, false));
    within(
        "the reading, which the drag alone gives,",
        reading,
        Torque::from_newton_metres(least)?..,
    )?;
    let wanted = reading.newton_metres();
    let (mut low, mut high) = (0.0, most);
    'met: for part in 1..=parts {
        let end = most * f64::from(part) / f64::from(parts);
        let there = reads(end)?;
        for _ in 0..MOST_CHANGES {
            if let Some((read, same)) = there
                && same == leads
            {
                if read >= wanted {
                    high = end;
                    break 'met;
                }
                break;
            }
            // up to where the lead changes, or the packs wedge
            let mut over = end;
            while let Some(middle) = between(low, over) {
                match reads(middle)? {
                    Some((read, same)) if same == leads => {
                        if read >= wanted {
                            high = middle;
                            break 'met;
                        }
                        low = middle;
                    }
                    _ => over = middle,
                }
            }
            match reads(over)? {
                Some((read, other)) if read < wanted => (low, leads) = (over, other),
                // it has jumped past the reading
                _ => {
                    high = over;
                    break 'met;
                }
            }
        }
        low = end;
    }
    let number =
        |at: f64| -> Result<f64, MechanicsError> { Ok(reads(at)?.map_or(f64::INFINITY, |(read, _)| read)) };
    // down to neighbouring numbers
    while let Some(middle) = between(low, high) {
        if number(middle)? < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    let met = [high, low].into_iter().find_map(|found| match number(found) {
        Ok(shown) => ((shown - wanted).abs() <= 1e-6 * wanted.abs().max(1e-6)).then_some(Ok(found)),
        Err(other) => Some(Err(other)),
    });
    Ok(match met {
        Some(found) => Ok(found?),
        None => Err(high),
    })
}

/// The middle of two numbers, as long as there is a number between them.
fn between(low: f64, high: f64) -> Option<f64> {
    let middle = 0.5 * (low + high);
    (middle > low && middle < high).then_some(middle)
}
