//! How two units that are settled together are told.

use super::settled_json::built;
use super::settled_report::{class, faces, percent};
use super::step_report::degrees;
use super::together::{BEST_OF_EACH, Pair, Together};
use crate::report::{Section, Table};
use serde_json::{Value, json};

impl Together {
    /// What to fit, how it compares, and what was tried.
    pub(super) fn section(&self) -> Section {
        let [one, other] = self.places.map(|place| place.word());
        let mut section = Section::under(format!("TWO UNITS TOGETHER, in the {one} and in the {other}:"));
        if let Some(best) = self.pairs.first() {
            section = section.words(self.fit(best));
        }
        section.table(self.table()).words(format!(
            "Worst and mean: how far all moments that are for either unit are off what is wanted; off: the worst of the \
             unit's own. Tried were {} pairs: the {} combinations of the {one} and the {} of the {other} with the other unit \
             as it is, then up to {BEST_OF_EACH} best of each with those of the other. What stands above, and what --write, \
             --sheet and --svg make, is of the unit in the {one} alone, the other as its file has it.",
            self.tried, self.offered[0], self.offered[1]
        ))
    }

    fn fit(&self, best: &Pair) -> String {
        let [one, other] = self.places.map(|place| place.word());
        let fits = [one, other].into_iter().zip(self.differs(best));
        let fits: Vec<String> = fits
            .filter(|(_, differs)| !differs.is_empty())
            .map(|(place, differs)| format!("in the {place} {}", differs.join(", ")))
            .collect();
        let begin = match fits.is_empty() {
            true => "Leave both as they are: no pair that was tried does better.".to_string(),
            false => format!("Fit {}.", fits.join("; ")),
        };
        format!(
            "{begin} At the worst moment of both that is {} off what is wanted, as they are {}; with only the unit in the {one} \
             changed {}, with only the one in the {other} {}.",
            percent(best.worst),
            percent(self.now.worst),
            percent(self.alone[0].worst),
            percent(self.alone[1].worst)
        )
    }

    fn table(&self) -> Table {
        let [one, other] = self.places.map(|place| place.word());
        let pairs = self.pairs.iter().enumerate();
        let mut all: Vec<(String, &Pair)> = pairs.map(|(n, pair)| ((n + 1).to_string(), pair)).collect();
        all.push((format!("only {one}"), &self.alone[0]));
        all.push((format!("only {other}"), &self.alone[1]));
        all.push(("now".to_string(), &self.now));
        let mut rows: Vec<Vec<String>> = Vec::new();
        for (name, pair) in all {
            let mut before = [name, percent(pair.worst), percent(pair.mean)];
            for (place, rated) in self.places.iter().zip(&pair.rated) {
                let setup = &rated.setup;
                let own = [
                    place.word().to_string(),
                    degrees(setup.drive),
                    degrees(setup.coast),
                    faces(setup.faces),
                    format!("{:.0}", setup.preload[0].newtons()),
                    class(setup).to_string(),
                    percent(rated.worst),
                ];
                rows.push(before.into_iter().chain(own).collect());
                before = Default::default();
            }
        }
        let head = [
            "", "worst", "mean", "in", "drive", "coast", "faces", "N", "class", "off",
        ];
        Table::of_words(head, rows)
    }

    /// The same for machines.
    pub(super) fn json(&self) -> Value {
        let pair = |pair: &Pair| {
            let units = self.places.iter().zip(&pair.rated).map(|(place, rated)| {
                json!({ "unit_in": place.word(), "setting": built(&rated.setup), "worst_share": rated.worst.value() })
            });
            json!({
                "units": units.collect::<Vec<_>>(), "changes": pair.changes, "worst_share": pair.worst.value(),
                "mean_share": pair.mean.value(),
            })
        };
        let alone = self.places.iter().zip(&self.alone);
        json!({
            "units": self.places.iter().zip(&self.names).map(|(place, name)| json!({ "unit_in": place.word(), "unit_name": name }))
                .collect::<Vec<_>>(),
            "compared": self.tried, "now": pair(&self.now),
            "one_alone": alone.map(|(place, one)| json!({ "unit_in": place.word(), "pair": pair(one) })).collect::<Vec<_>>(),
            "pairs": self.pairs.iter().map(pair).collect::<Vec<_>>(),
        })
    }
}
