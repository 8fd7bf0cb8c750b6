//! The plan of a day: an order of the settings that is drawn, and what it can tell.

use crate::metrology::drawn::{OrderPlan, draw_three};
use crate::metrology::{MetrologyError, OrderScheme, changes};
use crate::record::driven::DrawnOrder;
use crate::report::{Cell, Column, Report, Section, Summary, Table};
use serde_json::json;

/// The order that the seed of a drawn order gives, each run's setting from 0.
///
/// # Errors
///
/// A number of runs that can not be balanced.
pub fn order_of(drawn: &DrawnOrder) -> Result<Vec<usize>, MetrologyError> {
    if drawn.settings.len() == 3 {
        return draw_three(drawn.order.len(), drawn.seed);
    }
    let order = plan_of(drawn).draw(drawn.seed)?;
    Ok(order.into_iter().map(usize::from).collect())
}

fn plan_of(drawn: &DrawnOrder) -> OrderPlan {
    OrderPlan {
        scheme: match drawn.from.as_str() {
            "blocks" => OrderScheme::Blocks,
            _ => OrderScheme::Balanced,
        },
        runs: drawn.order.len(),
        most_changes: drawn.changes,
    }
}

/// How often the setting changes from run to run.
fn changes_of(order: &[usize]) -> usize {
    order.windows(2).filter(|pair| pair[0] != pair[1]).count()
}

/// A drawn order to be told before the day.
pub struct DayPlan<'a> {
    /// The day.
    pub day: &'a str,
    /// The order.
    pub drawn: &'a DrawnOrder,
    /// What the settings are called.
    pub called: &'a [String],
    /// Scatter of one run in seconds, where earlier days show it.
    pub scatter: Option<f64>,
    /// How many runs would then show 0.2 s.
    pub needed: Option<usize>,
    /// What to change first, in words; empty where nothing was said.
    pub first: &'a [String],
}

impl DayPlan<'_> {
    /// The least p that any two of the settings can reach.
    ///
    /// # Errors
    ///
    /// A number of runs that can not be balanced.
    pub fn least_p(&self) -> Result<f64, MetrologyError> {
        if self.drawn.settings.len() == 3 {
            let pair = OrderPlan {
                scheme: OrderScheme::Blocks,
                runs: self.drawn.order.len() / 3 * 2,
                most_changes: None,
            };
            return pair.least_p();
        }
        plan_of(self.drawn).least_p()
    }

    /// The plan in words and tables.
    ///
    /// # Errors
    ///
    /// A number of runs that can not be balanced.
    pub fn report(&self) -> Result<Report, MetrologyError> {
        let least = self.least_p()?;
        let order = &self.drawn.order;
        let name = |which: usize| self.called.get(which).map_or("", String::as_str);
        let runs = Table::new([
            Column::figures("run"),
            Column::words("setting"),
            Column::words(""),
        ]);
        let runs = order.iter().enumerate().fold(runs, |table, (at, which)| {
            let changed = at > 0 && order.get(at - 1) != Some(which);
            table.row([
                Cell::from((at + 1).to_string()),
                Cell::from(name(*which)),
                Cell::from(if changed { "change before it" } else { "" }),
            ])
        });
        let what = match least <= 0.05 {
            true => format!("The least p that this plan can reach is {least:.3}."),
            false => format!(
                "The least p that this plan can reach is {least:.3}: by the draw alone nothing can be told apart; the interval \
                 can, where the runs scatter as a bell curve. More runs, or more changes, would lower it."
            ),
        };
        let expected = match (self.scatter, self.needed) {
            (Some(scatter), Some(needed)) => format!(
                "One run scattered by {scatter:.2} s on the days before: {needed} runs of two settings would show 0.2 s."
            ),
            (Some(scatter), None) => {
                format!("One run scattered by {scatter:.2} s on the days before: no number of runs would show 0.2 s.")
            }
            _ => "How much a run scatters shows when some have been driven; then it is said how many would show 0.2 s.".to_string(),
        };
        let mut costs = Section::new();
        if let Some(table) = self.costs()? {
            costs = Section::under("What fewer changes cost").table(table);
        }
        let mut first = Section::new();
        if !self.first.is_empty() {
            first = Section::under("What the last day says to change first");
            for words in self.first {
                first = first.item("- ", words.clone());
            }
        }
        let object = json!({
            "day": self.day, "from": self.drawn.from, "most_changes": self.drawn.changes, "seed": self.drawn.seed,
            "order": order.iter().map(|which| name(*which)).collect::<Vec<_>>(), "changes": changes_of(order),
            "least_p": least, "scatter_s": self.scatter, "runs_to_show": self.needed, "change_first": self.first,
        });
        Ok(Report::of(Summary::told("plan", object))
            .with(Section::under(format!("{}: the order of its runs", self.day)).table(runs))
            .with(
                Section::new()
                    .words(format!(
                        "Drawn at random by the seed {} from {}; {} changes. It is written down in the day's record: drive it as \
                         it stands, and what comes in between is a remark.",
                        self.drawn.seed,
                        self.drawn_from()?,
                        changes_of(order)
                    ))
                    .words(what)
                    .words(expected),
            )
            .with(costs)
            .with(first))
    }

    fn drawn_from(&self) -> Result<String, MetrologyError> {
        if self.drawn.settings.len() == 3 {
            let blocks = self.drawn.order.len() / 6;
            return Ok(format!(
                "the orders of {blocks} blocks of six, each an order of the three and the same backwards"
            ));
        }
        let count = plan_of(self.drawn).orders()?.map(|all| all.len());
        let limit = match self.drawn.changes {
            Some(changes) => format!(" with {changes} changes at the most"),
            None => String::new(),
        };
        let kind = match self.drawn.from.as_str() {
            "blocks" => "in blocks A-B-B-A or B-A-A-B",
            _ => "that a steady drift falls out of",
        };
        Ok(match count {
            Some(count) => format!("the {count} orders {kind}{limit}"),
            None => format!("all orders {kind}"),
        })
    }

    /// How many orders there are with so many changes at the most, and what p they leave.
    fn costs(&self) -> Result<Option<Table>, MetrologyError> {
        let plan = OrderPlan {
            most_changes: None,
            ..plan_of(self.drawn)
        };
        let Some(all) = plan.orders()?.filter(|_| self.drawn.settings.len() == 2) else {
            return Ok(None);
        };
        let mut counts: Vec<usize> = all.iter().map(|order| changes(order)).collect();
        counts.sort_unstable();
        counts.dedup();
        let table = Table::new([
            Column::figures("changes at most"),
            Column::figures("orders"),
            Column::figures("least p"),
        ]);
        Ok(Some(counts.into_iter().fold(table, |table, most| {
            let orders = all.iter().filter(|order| changes(order) <= most).count();
            table.row([
                Cell::from(most.to_string()),
                Cell::from(orders.to_string()),
                Cell::number((2.0 / orders as f64).min(1.0), 3),
            ])
        })))
    }
}
