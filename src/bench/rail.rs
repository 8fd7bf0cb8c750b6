//! The rail in lines: the plates as they lie with their readings, the plate in hand marked, and what is said of it.

use super::page::{Page, Paint};
use super::question::step_words;
use crate::procedure::{Ask, Rail, Refusal};
use crate::quantity::visible;
use crate::record::phrase::Phrase;
use crate::screen::columns;
use std::time::{Duration, Instant};

/// What stands between the two packs.
const GAP: &str = "   ";
/// As many rows as are shown round the plate in hand where both packs have no room.
const ROUND: usize = 8;
/// Narrower than this, nothing is drawn over again.
pub(super) const NARROWEST_RAIL: usize = 40;

/// Sooner than this after a reading, no gauge has been laid on another plate.
pub(super) const PRESSED: Duration = Duration::from_millis(1_500);

/// The sign behind what was opened again.
const OPENED: char = '?';
/// The width of what a plate came to, while it is not known.
const CAME_TO: usize = 8;

/// The widths of the columns: name, a reading, flatness.
struct Widths {
    name: usize,
    reading: usize,
    flatness: usize,
}

impl Widths {
    fn of(rail: &Rail) -> Widths {
        let bare = |text: &String| columns(&visible(text)) - usize::from(text.ends_with(OPENED));
        let widest = |texts: &mut dyn Iterator<Item = &String>| texts.map(bare).max();
        let readings = &mut rail.rows.iter().flat_map(|row| row.readings.iter().flatten());
        let flat = &mut rail.rows.iter().filter_map(|row| row.flatness.as_ref());
        Widths {
            name: widest(&mut rail.rows.iter().map(|row| &row.name))
                .unwrap_or(0)
                .max(2),
            // as wide as what comes into it, so that nothing moves when it does
            reading: widest(readings).unwrap_or(0).max(5),
            flatness: widest(flat).unwrap_or(0).max(5),
        }
    }

    fn row(&self, rail: &Rail, at: usize) -> String {
        let Some(row) = rail.rows.get(at) else {
            return String::new();
        };
        let mark = if at == rail.hand { ">" } else { " " };
        let mut line = format!("{mark} {}", padded(&visible(&row.name), self.name));
        // the sign of what was opened again takes the place of the space behind it, so that the columns stay
        let mut sign = ' ';
        let mut cell = |text: Option<&str>, width: usize| {
            let text = text.unwrap_or("-");
            let bare = text.strip_suffix(OPENED).unwrap_or(text);
            line.push_str(&format!("{sign}{}", left(bare, width)));
            sign = if bare == text { ' ' } else { OPENED };
        };
        for reading in &row.readings {
            cell(reading.as_deref(), self.reading);
        }
        if rail.flatness {
            cell(row.flatness.as_deref(), self.flatness);
        }
        line.push_str(&format!("{sign}{}", row.came_to));
        line.trim_end().to_string()
    }

    fn head(&self, rail: &Rail, side: &str) -> String {
        let side = side.to_uppercase();
        // the name of the side stands over the names, and may run into the first reading's column
        let mut line = format!("  {}", padded(&side, self.name));
        let over = columns(&side).saturating_sub(self.name);
        for point in 1..=rail.points {
            let cut = if point == 1 { over } else { 0 };
            line.push_str(&format!(
                " {}",
                left(&point.to_string(), self.reading.saturating_sub(cut))
            ));
        }
        if rail.flatness {
            line.push_str(&format!(" {}", left("flat", self.flatness)));
        }
        line.trim_end().to_string()
    }
}

fn padded(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(columns(text))))
}

fn left(text: &str, width: usize) -> String {
    format!("{}{text}", " ".repeat(width.saturating_sub(columns(text))))
}

/// The rows that a line changed, one below the other, with nothing redrawn.
pub(super) fn changed_rows(rail: &Rail) -> Vec<String> {
    let widths = Widths::of(rail);
    rail.changed
        .iter()
        .map(|at| widths.row(rail, *at).replacen('>', " ", 1))
        .collect()
}

/// The whole rail at a width, in at most so many lines of rows: both packs side by side, or eight rows round the plate
/// in hand where there is no room for both.
pub(super) fn rows(rail: &Rail, width: usize, most: usize) -> Vec<String> {
    let widths = Widths::of(rail);
    let of = |side: &str| -> Vec<usize> {
        let rows = rail.rows.iter().enumerate();
        rows.filter(|(_, row)| row.side == side)
            .map(|(at, _)| at)
            .collect()
    };
    let [left_pack, right_pack, other] = ["left", "right", ""].map(of);
    let column = |side: &str, rows: &[usize]| -> Vec<String> {
        let head = std::iter::once(widths.head(rail, side));
        head.chain(rows.iter().map(|at| widths.row(rail, *at))).collect()
    };
    let [one, two] = [column("left", &left_pack), column("right", &right_pack)];
    let widest = |lines: &[String]| lines.iter().map(|line| columns(line)).max().unwrap_or(0);
    let empty = rail.rows.iter().position(|row| row.came_to.is_empty());
    let reserved = empty.map_or(0, |at| columns(&widths.row(rail, at)) + 1 + CAME_TO);
    // only where there is room for it
    let wide = match widest(&one).max(reserved) {
        wide if wide + GAP.len() + widest(&two).max(reserved) <= width => wide,
        _ => widest(&one),
    };
    let high = one.len().max(two.len());
    if other.is_empty() && !left_pack.is_empty() && wide + GAP.len() + widest(&two) <= width && high <= most {
        return (0..high)
            .map(|n| {
                let left = one.get(n).map_or("", String::as_str);
                let right = two.get(n).map_or("", String::as_str);
                format!("{}{GAP}{right}", padded(left, wide))
                    .trim_end()
                    .to_string()
            })
            .collect();
    }
    let side = rail.rows.get(rail.hand).map_or("", |row| row.side);
    let pack = of(side);
    let place = pack.iter().position(|at| *at == rail.hand).unwrap_or(0);
    let room = ROUND.min(most.saturating_sub(1)).max(1);
    let start = place
        .saturating_sub(room / 2)
        .min(pack.len().saturating_sub(room));
    let shown = pack.get(start..(start + room).min(pack.len())).unwrap_or(&[]);
    column(side, shown)
}

/// All rows, one a line, as line mode shows them once.
pub(super) fn listed(rail: &Rail) -> Vec<String> {
    let widths = Widths::of(rail);
    let mut lines = Vec::new();
    let mut last = None;
    for (at, row) in rail.rows.iter().enumerate() {
        if last != Some(row.side) {
            lines.push(widths.head(rail, row.side));
            last = Some(row.side);
        }
        // the prompt says which is in the hand; its sign stands before a prompt alone
        lines.push(widths.row(rail, at).replacen('>', " ", 1));
    }
    lines
}

/// What stands over the rows: the step, the limits.
pub(super) fn over(ask: &Ask, rail: &Rail, width: usize, colour: bool) -> String {
    let mut page = Page::new(width, colour);
    let head = format!("{}, {}", step_words(ask), ask.spoken.say(Phrase::OnRail));
    page.paragraph(&head, "", Some(Paint::Head));
    if let Some(mark) = ask.spoken.mark() {
        page.paragraph(&mark, "", None);
    }
    page.paragraph(&rail.limits, "", None);
    page.text()
}

/// What stands under the rows: what is missing.
pub(super) fn under(ask: &Ask, rail: &Rail, width: usize, colour: bool) -> String {
    let mut page = Page::new(width, colour);
    let missing = match rail.missing.as_str() {
        "" => ask.spoken.say(Phrase::NothingMissing).to_string(),
        missing => ask.spoken.fill(Phrase::Missing, &[missing]),
    };
    page.paragraph(&missing, "         ", None);
    page.text()
}

/// Whether a line is meant for the rail whatever is asked just now: it begins with a plate's name, or with `all`.
pub(super) fn is_row(rail: &Rail, line: &str) -> bool {
    let first = line
        .split(|c: char| c.is_whitespace() || c == ';')
        .find(|word| !word.is_empty());
    let Some(first) = first.map(str::to_lowercase) else {
        return false;
    };
    let name = first.split('/').next().unwrap_or("");
    first == "all" || rail.rows.iter().any(|row| row.name.to_lowercase() == name)
}

/// A gauge that is pressed once too often would shift the readings of every later plate.
#[derive(Default)]
pub(super) struct Gauge {
    settle: Duration,
    last: Option<(Instant, String, String)>,
}

impl Gauge {
    /// Takes no bare digits for another plate so soon after the last reading; all of them, where it is nothing.
    pub fn settling(settle: Duration) -> Gauge {
        Gauge { settle, last: None }
    }

    /// Why bare digits are not taken, where they came too soon; `now` is the clock's.
    pub fn too_soon(&mut self, rail: &Rail, line: &str, now: Instant) -> Option<Refusal> {
        let text = line.trim();
        let digits = |c: char| c.is_ascii_digit() || ['.', ',', '+', '-'].contains(&c);
        let bare = !text.is_empty() && text.chars().all(digits);
        let hand = rail.rows.get(rail.hand).map_or("", |row| row.name.as_str());
        let before = self
            .last
            .take()
            .filter(|(then, ..)| now.saturating_duration_since(*then) < self.settle);
        let refusal = before.filter(|_| bare).and_then(|(_, plate, figure)| {
            let seconds = self.settle.as_secs_f64();
            if plate != hand {
                let words = format!(
                    "{text} came within {seconds} s of the last reading, and would be the first of {hand}: press again, or write {hand} {text}"
                );
                return Some(words);
            }
            (figure == text).then(|| {
                format!("{text} is the same figure within {seconds} s: was the button pressed twice? {text} sure takes it")
            })
        });
        if bare {
            // what was not taken starts the time anew: a burst is one press
            self.last = Some((now, hand.to_string(), text.to_string()));
        }
        refusal.map(|words| Refusal {
            words,
            sure: false,
            suggests: false,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::sample::rail;

    #[test]
    fn both_packs_stand_side_by_side_at_eighty_columns() {
        let lines = rows(&rail(10), 80, 14);
        assert_eq!(lines.len(), 11, "{lines:#?}");
        assert!(lines.iter().all(|line| columns(line) <= 80), "{lines:#?}");
        assert!(
            lines[0].contains("LEFT") && lines[0].contains("RIGHT"),
            "{lines:#?}"
        );
        assert_eq!(
            lines.iter().filter(|line| line.contains('>')).count(),
            1,
            "{lines:#?}"
        );
    }

    #[test]
    fn one_pack_in_eight_rows_where_there_is_no_room() {
        for (width, most) in [(79, 8), (40, 14), (60, 30)] {
            let lines = rows(&rail(12), width, most);
            assert!(
                lines.len() <= ROUND + 1 && lines.iter().any(|line| line.starts_with('>')),
                "{lines:#?}"
            );
            assert!(lines.iter().all(|line| columns(line) <= width), "{lines:#?}");
        }
    }

    #[test]
    fn a_line_with_a_plate_in_front_is_a_row_wherever_it_is_typed() {
        let rail = rail(3);
        assert!(is_row(&rail, " l1 1.98") && is_row(&rail, "L2/3;1.98") && is_row(&rail, "All good"));
        assert!(
            !is_row(&rail, "1.98") && !is_row(&rail, "good") && !is_row(&rail, "") && !is_row(&rail, "L77 1")
        );
    }

    #[test]
    fn a_gauge_that_is_pressed_once_too_often_shifts_nothing() {
        let mut gauge = Gauge::settling(PRESSED);
        let (mut one, start) = (rail(3), Instant::now());
        let at = |ms| start + Duration::from_millis(ms);
        assert!(gauge.too_soon(&one, "1.981", at(0)).is_none());
        assert!(
            gauge.too_soon(&one, "1.982", at(300)).is_none(),
            "another figure of the same plate"
        );
        let told = gauge.too_soon(&one, "1.982", at(600)).unwrap().words;
        assert!(told.contains("sure"), "{told}");
        assert!(gauge.too_soon(&one, "1.982 sure", at(700)).is_none());
        assert!(gauge.too_soon(&one, "1.983", at(800)).is_none());
        one.hand += 1;
        let told = gauge.too_soon(&one, "1.984", at(1_000)).unwrap().words;
        assert!(told.contains("L2") && told.contains("1.5 s"), "{told}");
        assert!(
            gauge.too_soon(&one, "L2 1.984", at(1_100)).is_none(),
            "a name says which"
        );
        assert!(gauge.too_soon(&one, "1.984", at(9_000)).is_none());
        // a burst is one press, however long it goes on
        one.hand += 1;
        for n in 0..200 {
            assert!(gauge.too_soon(&one, "1.985", at(9_005 + 5 * n)).is_some());
        }
        let mut never = Gauge::default();
        for _ in 0..3 {
            assert!(never.too_soon(&one, "1.985", start).is_none());
        }
    }
}
