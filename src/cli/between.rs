use super::exit::Exit;
use super::failure::Failure;
use super::options::{Book, UnitsWord};
use crate::app::{compared, look, write_out};
use crate::history::{Between, Change};
use crate::quantity::Units;
use crate::report::to_json;
use crate::sheet::{filled, table};
use clap::Args;

const WIDTH: usize = 80;

#[derive(Args)]
pub(super) struct BetweenArguments {
    /// The earlier build's name in the book
    pub before: String,
    /// The later build's name
    pub after: String,
    /// How values are shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    #[command(flatten)]
    pub book: Book,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Sets two builds side by side.
pub(super) fn between(asked: &BetweenArguments) -> Result<Exit, Failure> {
    let shelf = look(asked.book.dir.as_ref())?;
    let between = compared(&shelf, &asked.before, &asked.after)?;
    let text = if asked.json {
        to_json(&between.summary())?
    } else {
        words(&between, asked.units.into())
    };
    write_out(&text, false)?;
    Ok(Exit::Done)
}

fn words(between: &Between, units: Units) -> String {
    let distance = between
        .distance(units)
        .map_or(String::new(), |distance| format!(", {distance}"));
    let mut text = filled(
        &format!("{} and {}{distance}.", between.before, between.after),
        WIDTH,
    );
    for told in &between.told {
        text.push_str(&filled(&format!("note: {told}"), WIDTH));
    }
    text.push('\n');
    let row = |change: &Change| {
        let [before, after, by, doubt] = change.numbers(units);
        vec![
            match change.symbol(units) {
                "" => change.what.clone(),
                symbol => format!("{}, {symbol}", change.what),
            },
            before,
            after,
            by,
            doubt,
            if change.why.is_empty() {
                change.judged.words().to_string()
            } else {
                format!("{}: {}", change.judged.words(), change.why)
            },
        ]
    };
    let head = ["", "before", "after", "change", "±", ""];
    for (title, changes) in [("", &between.changes), ("Plates as found", &between.plates)] {
        if !changes.is_empty() {
            if !title.is_empty() {
                text.push_str(&format!("{title}\n"));
            }
            let rows: Vec<Vec<String>> = changes.iter().map(row).collect();
            text.push_str(&table(&head, &rows, WIDTH));
            text.push_str("\n\n");
        }
    }
    for (keyed, what) in [("gear", "friction plates"), ("case", "case plates")] {
        if let Some(lost) = between.lost_words(keyed, units) {
            text.push_str(&filled(&format!("The {what} {lost}."), WIDTH));
        }
    }
    if !between.differs.is_empty() {
        let rows: Vec<Vec<String>> = between
            .differs
            .iter()
            .map(|one| vec![one.what.clone(), one.before.clone(), one.after.clone()])
            .collect();
        text.push_str(&format!(
            "\nWhat else differs\n{}\n",
            table(&["", "before", "after"], &rows, WIDTH)
        ));
    }
    for (build, plates) in &between.alone {
        text.push_str(&filled(
            &format!("Measured only in {build}: {}.", plates.join(", ")),
            WIDTH,
        ));
    }
    if between.changes.is_empty() && between.plates.is_empty() {
        text.push_str("The two have no measured value in common.\n");
    }
    text.push_str(&filled(
        "± is the expanded uncertainty of the change (k = 2). A change is called one when it is larger. What all readings of \
         one instrument share falls out of it while its calibration is the same.",
        WIDTH,
    ));
    text
}
