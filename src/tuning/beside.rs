//! One unit beside itself: in several cars, and over a season.

use super::rated::{MomentResult, Rated};
use crate::mechanics::LockSetup;
use crate::quantity::significant;
use crate::report::{Section, Table};
use serde_json::{Value, json};

/// A unit in one of several cars, or at one time of the season.
#[derive(Clone, PartialEq, Debug)]
pub struct Beside {
    /// The car, or the time.
    pub name: String,
    /// The unit there.
    pub setup: LockSetup,
    /// What it does there, or why that can not be said.
    pub rated: Result<Rated, String>,
}

/// Several of them as a table, a line each; nothing where there are none.
pub(super) fn beside_each_other(head: &str, all: &[Beside]) -> Option<Section> {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut refused = Vec::new();
    for one in all {
        let mut row = vec![
            one.name.clone(),
            significant(one.setup.friction.value(), 3),
            format!("{:.0}", one.setup.preload[0].newtons()),
        ];
        match &one.rated {
            Ok(rated) => row.extend(figures(rated)),
            Err(why) => {
                row.resize(COLUMNS.len(), "-".to_string());
                refused.push(format!("{}: {why}.", one.name));
            }
        }
        rows.push(row);
    }
    if rows.is_empty() {
        return None;
    }
    let section = Section::under(head).table(Table::of_words(COLUMNS, rows)).words(
        "One from: at the first moment with an open throttle. Puts down: the least of all moments. Against: the most N·m against the \
         turn, with the throttle open and shut.",
    );
    Some(refused.into_iter().fold(section, Section::words))
}

const COLUMNS: [&str; 9] = [
    "",
    "friction",
    "N",
    "worst",
    "mean",
    "one from",
    "puts down",
    "against",
    "against, shut",
];

fn figures(rated: &Rated) -> [String; 6] {
    let share = |share: f64| format!("{:.0} %", 100.0 * share);
    let told = |value: Option<f64>, show: &dyn Fn(f64) -> String| value.map_or_else(|| "-".to_string(), show);
    let newton_metres = |value: f64| format!("{value:.0}");
    let opened = || rated.results.iter().filter(|result| result.puts_down.is_some());
    let shut = rated.results.iter().filter(|result| result.puts_down.is_none());
    let one_from = opened().next().and_then(|result| result.one_from);
    let down = opened()
        .filter_map(|result| result.puts_down)
        .map(|share| share.value());
    let against = |result: &MomentResult| result.against.newton_metres();
    [
        share(rated.worst.value()),
        share(rated.mean.value()),
        one_from.map_or_else(|| "never".to_string(), |from| share(from.value())),
        told(down.reduce(f64::min), &share),
        told(opened().map(against).reduce(f64::max), &newton_metres),
        told(shut.map(against).reduce(f64::max), &newton_metres),
    ]
}

/// The same for machines.
pub(super) fn beside_json(all: &[Beside]) -> Value {
    let rows = all.iter().map(|one| {
        let rated = one.rated.as_ref();
        let results = rated.map_or(&[][..], |rated| &rated.results);
        json!({
            "name": one.name, "plate_friction": one.setup.friction.value(), "preload_n": one.setup.preload[0].newtons(),
            "worst_share": rated.ok().map(|rated| rated.worst.value()), "mean_share": rated.ok().map(|rated| rated.mean.value()),
            "refused": rated.err(),
            "moments": results.iter().map(|result| json!({
                "one_from_throttle": result.one_from.map(|from| from.value()),
                "puts_down_share": result.puts_down.map(|share| share.value()),
                "against_nm": result.against.newton_metres(),
            })).collect::<Vec<_>>(),
        })
    });
    Value::Array(rows.collect())
}
