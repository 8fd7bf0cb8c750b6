use super::args::Demo;
use super::clock::Clock;
use super::demo_history::history;
use super::exit::Exit;
use super::failure::Failure;
use super::load::{Sources, Text};
use super::reports::write_out;
use super::seals::stored;
use super::work::{begin, go_on};
use crate::bench::{Answers, Front};
use crate::book::{Shelf, temporary_folder, write_whole};
use crate::quantity::Units;
use crate::sheet::{Paper, pdf, terminal_summary};
use std::path::Path;

/// The invented unit of the demonstration, as it lies in `demo-units/`.
pub(super) const UNIT: &str = include_str!("../../demo-units/moor-rear.toml");
pub(super) const DRAWER: &str = include_str!("../../demo-units/moor-drawer.toml");
pub(super) const INSTRUMENTS: &str = include_str!("../../demo-units/instruments.toml");
pub(super) const ANSWERS: &str = include_str!("../../demo-units/moor-rear.answers");
/// The demonstration's time: fixed, so that the same sheet comes out each time.
const AT: &str = "2026-05-09T10:00:00Z";

/// A text of the demonstration: it lies in the program and is never written to.
pub(super) fn text(name: &str, text: &str) -> Text {
    Text {
        path: None,
        name: name.to_string(),
        text: text.to_string(),
    }
}

/// Does a whole rebuild of an invented unit with scripted answers, or some invented years of it.
pub(super) fn demo(arguments: &Demo) -> Result<Exit, Failure> {
    if arguments.history {
        return history();
    }
    let procedure = crate::procedure::stock("full-rebuild").unwrap_or_default();
    let sources = Sources {
        unit: text("moor-rear.toml", UNIT),
        drawer: text("moor-drawer.toml", DRAWER),
        instruments: text("instruments.toml", INSTRUMENTS),
        procedure: text("full-rebuild (stock)", procedure),
        setting: None,
        found: None,
    };
    write_out(
        "A whole rebuild of an invented unit; the answers come from a file.\n\n",
        false,
    )?;
    let folder = temporary_folder()?;
    let shelf = Shelf::open(folder.path())?;
    let clock = Clock::new(Some(AT))?;
    let (mut journal, mut session) = begin(&shelf, &sources, Units::Metric, &clock, None)?;
    let mut answers = Answers::parse(ANSWERS, "moor-rear.answers")?.telling(std::io::stdout());
    go_on(&mut answers, &mut session, &mut journal, &clock)?;
    answers.finish()?;
    let (_, digest) = stored(&shelf, journal.id())?.record();
    let build = session.build(journal.id().as_str(), &digest.to_string());
    write_out(&format!("\n{}\n", terminal_summary(&build, 80)), false)?;
    let out = Path::new("output").join("demo-sheet.pdf");
    std::fs::create_dir_all("output")?;
    write_whole(&out, &pdf(&build, Paper::A4)?)?;
    write_out(
        &format!(
            "The sheet of this rebuild: {}\nNothing was kept in your book. To do one yourself: shimwright work full-rebuild demo-units/moor-rear.toml\n",
            out.display()
        ),
        false,
    )?;
    Ok(Exit::Done)
}
