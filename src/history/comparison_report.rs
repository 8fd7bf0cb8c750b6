//! How two builds side by side are told.

use super::comparison::{COVERAGE, Change, Comparison, Judged};
use super::display_units::DisplayUnits;
use super::wear::Along;
use crate::mechanics::Keying;
use crate::quantity::Units;
use crate::record::interval::{parts_in_words, parts_json};
use crate::report::{Cell, Column, Report, Section, Summary, Table, number};
use serde_json::{Value, json};

/// How the table of changes is read.
const HOW_READ: &str = "± is the expanded uncertainty of the change (k = 2). A change is called one when it is larger. What all \
    readings of one instrument share falls out of it while its calibration is the same.";

fn changes(changes: &[Change], units: Units) -> Table {
    let mut table = Table::new([
        Column::words(""),
        Column::figures("before"),
        Column::figures("after"),
        Column::figures("change"),
        Column::figures("±"),
        Column::words(""),
    ]);
    table.rows = changes.iter().map(|change| change.row(units)).collect();
    table
}

/// The label of a row inside a sentence; the name of a plate stays as it is.
fn first_small(what: &str) -> String {
    let mut letters = what.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(next)) if next.is_lowercase() => {
            first.to_lowercase().collect::<String>() + letters.as_str()
        }
        _ => what.to_string(),
    }
}

impl Comparison {
    /// What changed and by how much, plate by plate too, and what else differs.
    pub fn report(&self, units: Units) -> Report {
        let distance = self
            .distance(units)
            .map_or(String::new(), |distance| format!(", {distance}"));
        let head = Section::new().words(format!("{} and {}{distance}.", self.before, self.after));
        let lost = [(Keying::Gear, "friction plates"), (Keying::Case, "case plates")];
        let lost = lost
            .into_iter()
            .filter_map(|(keyed, what)| Some(format!("The {what} {}.", self.lost_words(keyed, units)?)))
            .fold(Section::new(), Section::words);
        let differs = self
            .differs
            .iter()
            .map(|one| [one.what.clone(), one.before.clone(), one.after.clone()]);
        let differs = Table::of_words(["", "before", "after"], differs);
        let mut rest = Section::new();
        for (build, plates) in &self.alone {
            rest = rest.words(format!("Measured only in {build}: {}.", plates.join(", ")));
        }
        if self.changes.is_empty() && self.plates.is_empty() {
            rest = rest.words("The two have no measured value in common.");
        }
        Report::of(self.summary())
            .with(self.told.iter().fold(head, Section::warning))
            .with(Section::new().table(changes(&self.changes, units)))
            .with(Section::under("Plates as found").table(changes(&self.plates, units)))
            .with(lost)
            .with(Section::under("What else differs").table(differs))
            .with(
                self.where_from(units)
                    .into_iter()
                    .fold(rest.words(HOW_READ), Section::words),
            )
    }

    /// What each ± comes from, and of the plates the widest; `None` where there is none.
    fn where_from(&self, units: Units) -> Option<String> {
        let widest = self.plates.iter().filter(|plate| plate.doubt.is_some());
        let widest = widest.max_by(|one, other| one.doubts.whole().total_cmp(&other.doubts.whole()));
        let told: Vec<String> = self
            .changes
            .iter()
            .chain(widest)
            .filter_map(|change| change.sources(units))
            .collect();
        (!told.is_empty()).then(|| format!("Where the ± comes from: {}.", told.join("; ")))
    }

    /// How far the unit went from the one to the other, where that is known: `1840 km after`.
    pub fn distance(&self, units: Units) -> Option<String> {
        let (far, along) = self.gone?;
        let shown = DisplayUnits { units, along };
        let when = if far < 0.0 { "before" } else { "after" };
        Some(format!(
            "{} {} {when}",
            shown.far(far.abs()),
            shown.distance_symbol()
        ))
    }

    /// What the plates of one keying lost, as [`Comparison::lost`], in words: mean, least and greatest.
    pub fn lost_words(&self, keyed: Keying, units: Units) -> Option<String> {
        let lost = self.lost(keyed)?;
        let shown = DisplayUnits {
            units,
            along: Along::Kilometres,
        };
        let decimals = usize::from(units == Units::Inch);
        let (count, changed) = (lost.plates, lost.told);
        let [mean, low, high] =
            [lost.mean, lost.least, lost.most].map(|um| number(shown.small(um / 1e3), decimals));
        let symbol = shown.small_symbol();
        Some(match (count, changed) {
            (1, 1) => format!("lost {mean} {symbol} (one plate)"),
            (1, _) => format!("lost {mean} {symbol} (one plate), within what can be told"),
            _ => format!(
                "lost {mean} {symbol} on the mean, {low} to {high} {symbol}; beyond doubt on {changed} of {count}"
            ),
        })
    }

    /// The comparison in a few lines: a label and a text each.
    pub fn brief(&self, units: Units) -> Vec<(String, String)> {
        let mut lines: Vec<(String, String)> = self
            .changes
            .iter()
            .map(|change| (change.what.clone(), change.words(units)))
            .collect();
        for (keyed, label) in [(Keying::Gear, "Friction plates"), (Keying::Case, "Case plates")] {
            lines.extend(
                self.lost_words(keyed, units)
                    .map(|words| (label.to_string(), words)),
            );
        }
        lines
    }

    fn summary(&self) -> Summary {
        let change = |change: &Change| {
            let (measure, times) = change.measure.for_machines();
            json!({
                "what": change.what, "measure": measure, "before": times * change.before, "after": times * change.after,
                "difference": times * change.difference(), "doubt_95": change.doubt.map(|doubt| times * doubt),
                "judged": change.judged.words(),
                "why": change.why, "parts": parts_json(&change.doubts.parts()),
                "narrower": change.narrower().map(|(by, doubt)| json!({"by": by, "doubt_95": times * doubt})),
            })
        };
        let gone = |wanted| {
            self.gone
                .filter(|(_, along)| *along == wanted)
                .map(|(far, _)| far)
        };
        Summary::told(
            "between",
            json!({
                "before": self.before, "after": self.after, "distance_km": gone(Along::Kilometres),
                "running_h": gone(Along::Hours),
                "changes": self.changes.iter().map(change).collect::<Vec<Value>>(),
                "plates_um": self.plates.iter().map(change).collect::<Vec<Value>>(),
                "differs": self.differs.iter().map(|one| json!({"what": one.what, "before": one.before, "after": one.after})).collect::<Vec<_>>(),
                "alone": self.alone.iter().map(|(build, plates)| json!({"build": build, "plates": plates})).collect::<Vec<_>>(),
                "told": self.told,
            }),
        )
    }
}

impl Change {
    /// Its expanded uncertainty with the largest source half as much, and what that is, where it takes a tenth off it.
    fn narrower(&self) -> Option<(String, f64)> {
        let (by, left) = self.doubts.halved()?;
        let doubt = COVERAGE * left;
        (doubt < 0.9 * self.doubt?).then_some((by, doubt))
    }

    /// Where its uncertainty comes from, and what would narrow it most: `preload as left by ...`.
    fn sources(&self, units: Units) -> Option<String> {
        let parts = parts_in_words(&self.doubts.parts());
        let narrower = self.narrower().zip(self.doubt).map(|((by, left), doubt)| {
            let shown = |value| number(self.shown(units, value).0, self.decimals(units));
            format!(" ({by}: ± {} to ± {})", shown(doubt), shown(left))
        });
        let what = first_small(&self.what);
        (!parts.is_empty()).then(|| format!("{what} by {parts}{}", narrower.unwrap_or_default()))
    }

    /// Before, after, change and doubt as cells.
    fn cells(&self, units: Units) -> [Cell; 4] {
        let decimals = self.decimals(units);
        let shown = |value: f64| self.shown(units, value).0;
        [
            Cell::number(shown(self.before), decimals),
            Cell::number(shown(self.after), decimals),
            Cell::change(shown(self.difference()), decimals),
            Cell::maybe(self.doubt.map(shown), decimals),
        ]
    }

    fn shown(&self, units: Units, value: f64) -> (f64, &'static str, usize) {
        let shown = DisplayUnits {
            units,
            along: Along::Kilometres,
        };
        shown.of(self.measure, value)
    }

    fn decimals(&self, units: Units) -> usize {
        match units {
            Units::Metric => self.decimals,
            Units::Inch => self.shown(units, 0.0).2,
        }
    }

    fn row(&self, units: Units) -> Vec<Cell> {
        let what = match self.shown(units, 0.0).1 {
            "" => self.what.clone(),
            symbol => format!("{}, {symbol}", self.what),
        };
        let judged = match self.why.as_str() {
            "" => self.judged.words().to_string(),
            why => format!("{}: {why}", self.judged.words()),
        };
        let mut row = vec![Cell::from(what)];
        row.extend(self.cells(units));
        row.push(judged.into());
        row
    }

    /// `93.5, now 83.5 N·m: −10.0 ± 5.1, changed`.
    pub fn words(&self, units: Units) -> String {
        let [before, after, change, doubt] = self.cells(units).map(|cell| cell.text().into_owned());
        let symbol = self.shown(units, 0.0).1;
        let measure = if symbol.is_empty() {
            String::new()
        } else {
            format!(" {symbol}")
        };
        let judged = match (self.judged, self.doubt) {
            (Judged::NotComparable, _) => format!("not comparable: {}", self.why),
            (judged, Some(_)) => format!("{change} ± {doubt}, {}", judged.words()),
            (judged, None) => format!("{change}, {}", judged.words()),
        };
        format!("{before}, now {after}{measure}: {judged}")
    }
}
