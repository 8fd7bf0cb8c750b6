use super::exit::Exit;
use super::failure::Failure;
use super::options::{Beside, UnitsWord};
use crate::app::{Sources, read_text, write_out};
use crate::mechanics::Side;
use crate::procedure::{Session, Wish, first_named};
use crate::quantity::{Length, Units, parse, visible};
use crate::record::{Selected, Selection};
use crate::report::to_json;
use crate::sheet::table;
use crate::workshop::Readings;
use clap::Args;
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct Choose {
    /// The unit's TOML file
    pub unit: PathBuf,
    /// The readings of plates, rings, depth and springs, as a TOML file
    #[arg(long, value_name = "FILE")]
    pub readings: PathBuf,
    #[command(flatten)]
    pub beside: Beside,
    /// What comes first
    #[arg(long, value_parser = ["fewest", "closest", "surest", "reuse"], default_value = "fewest")]
    pub first: String,
    /// A plate that must go in on a side, as G1=left; may be given several times
    #[arg(long, value_name = "PLATE=SIDE")]
    pub keep: Vec<String>,
    /// A shim thickness or a plate that is not to be used; may be given several times
    #[arg(long, value_name = "SHIM OR PLATE")]
    pub without: Vec<String>,
    /// Draw the windows in by the guard band of the unit's confidence
    #[arg(long)]
    pub guard: bool,
    /// How values are shown
    #[arg(long, value_enum, default_value = "metric")]
    pub units: UnitsWord,
    /// Report as one JSON object
    #[arg(long)]
    pub json: bool,
}

/// Chooses plates and shims from readings in a file.
pub(super) fn choose(arguments: &Choose) -> Result<Exit, Failure> {
    let sources = Sources::gather(
        "full-rebuild",
        &arguments.unit,
        arguments.beside.drawer.as_deref(),
        arguments.beside.instruments.as_deref(),
        None,
    )?;
    let job = sources.job()?;
    let text = read_text(&arguments.readings)?;
    let readings = Readings::read(&text.name, &text.text, &job.unit, |name| {
        job.drawer.spares.iter().any(|spare| spare.name == name)
    })?;
    let wish = wish(arguments)?;
    let units: Units = arguments.units.into();
    let mut session = Session::of_readings(job, &readings, units.into()).map_err(Failure::Choice)?;
    if let Some(fault) = session.wish_fault(&wish) {
        return Err(Failure::Choice(fault));
    }
    session.wish_for(wish);
    let selection = session.selection().map_err(Failure::Choice)?;
    if arguments.json {
        write_out(&to_json(&selection.summary())?, false)?;
    } else {
        write_out(&words(&selection, units), false)?;
    }
    Ok(if selection.choices.is_empty() {
        Exit::NothingFits
    } else {
        Exit::Done
    })
}

fn wish(arguments: &Choose) -> Result<Wish, Failure> {
    let mut wish = Wish {
        guarded: arguments.guard,
        ..Wish::default()
    };
    if let Some(first) = first_named(&arguments.first) {
        wish.first = first;
    }
    for keep in &arguments.keep {
        let side = keep.split_once('=').and_then(|(plate, side)| {
            let side = Side::BOTH.into_iter().find(|one| one.word() == side)?;
            Some((plate.to_string(), side))
        });
        match side {
            Some(kept) => wish.keep.push(kept),
            None => {
                return Err(Failure::Keep(keep.clone()));
            }
        }
    }
    for without in &arguments.without {
        match parse::<Length>(without) {
            Ok(shim) => wish.without_shims.push(shim),
            Err(_) => wish.without_plates.push(without.clone()),
        }
    }
    Ok(wish)
}

fn words(selection: &Selection, units: Units) -> String {
    let mut text = String::new();
    if selection.choices.is_empty() {
        text.push_str("NOTHING FITS with these plates and shims.\n");
        if let Some(short) = selection.short_by {
            text.push_str(&format!("The nearest is out by {}.\n", short.show(units)));
        }
        for (n, part) in selection.missing.iter().enumerate() {
            // each of them is enough by itself
            let or = if n == 0 { "It would fit" } else { "or it would fit" };
            let standard = if part.standard { " (a standard size)" } else { "" };
            text.push_str(&format!(
                "{or} with {} more {} of {}{standard}.\n",
                part.count,
                part.what,
                part.thickness.show(units)
            ));
        }
    } else {
        text.push_str(&table(
            &[
                "",
                "shims left",
                "shims right",
                "closing",
                "off target",
                "sides differ",
                "new",
                "inside",
                "unlike 1",
            ],
            &selection
                .choices
                .iter()
                .enumerate()
                .map(|(n, choice)| row(n, choice, units))
                .collect::<Vec<_>>(),
            80,
        ));
        text.push('\n');
    }
    if !selection.drawing.is_empty() {
        text.push_str("\nThe packs, | where two layers rub and . where they do not:\n");
        for line in &selection.drawing {
            text.push_str(&visible(line));
            text.push('\n');
        }
    }
    for (plate, reason) in &selection.rejected {
        text.push_str(&visible(&format!("{plate} is rejected: {reason}")));
        text.push('\n');
    }
    text
}

fn row(n: usize, choice: &Selected, units: Units) -> Vec<String> {
    let bare = |length: Length| {
        let text = length.show(units);
        text.split(' ').next().unwrap_or("").to_string()
    };
    let shims = |side: Side| {
        let shims: Vec<String> = choice.sides[side.index()]
            .shims
            .iter()
            .map(|shim| bare(*shim))
            .collect();
        if shims.is_empty() {
            "none".to_string()
        } else {
            shims.join(" + ")
        }
    };
    let [left, right] = choice.closings;
    vec![
        (n + 1).to_string(),
        shims(Side::Left),
        shims(Side::Right),
        if left == right {
            left.show(units)
        } else {
            format!("{} / {}", bare(left), right.show(units))
        },
        bare(choice.worst),
        bare(choice.difference),
        choice.new_parts.to_string(),
        format!("{:.0} %", (choice.probability * 100.0).floor()),
        choice.unlike_first.join(" "),
    ]
}
