//! The demonstration: a whole rebuild of an invented unit, and its files for commands to be tried on.

use super::book_log::BookLog;
use super::clock::Clock;
use super::demo_files::{ANSWERS, DRAWER, INSTRUMENTS, UNIT, text};
use super::failure::Failure;
use super::load::Sources;
use super::output::{Over, lay_down, may_lay_down, shell_word, width, write_out};
use super::stored::stored;
use super::work::{begin, go_on};
use crate::bench::{Answers, Front};
use crate::book::{STANDARD, Shelf, make_folder, temporary_folder};
use crate::quantity::{Units, visible};
use crate::screen::lines;
use crate::sheet::{Paper, in_short, pdf};
use std::path::Path;

/// What is written out for commands to be tried on. Each file says in its first line that it is invented.
const FILES: [(&str, &str); 10] = [
    ("moor-rear.toml", UNIT),
    ("moor-drawer.toml", DRAWER),
    ("instruments.toml", INSTRUMENTS),
    ("moor-car.toml", include_str!("../../demo-units/moor-car.toml")),
    (
        "fell-front.toml",
        include_str!("../../demo-units/fell-front.toml"),
    ),
    (
        "fell-drawer.toml",
        include_str!("../../demo-units/fell-drawer.toml"),
    ),
    ("shoal-car.toml", include_str!("../../demo-units/shoal-car.toml")),
    (
        "shoal-rear.toml",
        include_str!("../../demo-units/shoal-rear.toml"),
    ),
    (
        "moor-rear-readings.toml",
        include_str!("../../demo-units/moor-rear-readings.toml"),
    ),
    ("moor-rear.answers", ANSWERS),
];
/// The demonstration's time: fixed, so that the same sheet comes out each time.
const AT: &str = "2026-05-09T10:00:00Z";

/// Does a whole rebuild of an invented unit with scripted answers; its sheet is written over where `replace` says so,
/// whatever lies there.
pub(crate) fn demo(replace: bool) -> Result<(), Failure> {
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
    let mut log = BookLog::none(&shelf);
    let (mut journal, mut session) = begin(&mut log, &sources, Units::Metric, &clock, None)?;
    let mut answers = Answers::parse(ANSWERS, "moor-rear.answers")?.telling(std::io::stdout());
    go_on(&mut answers, &mut session, &mut journal, &clock, &mut log)?;
    answers.finish()?;
    let (_, digest) = stored(&shelf, journal.id())?.record();
    let build = session.build(journal.id().as_str(), &digest.to_string());
    write_out(&format!("\n{}\n", lines(&in_short(&build), width())), false)?;
    let out = Path::new("output").join("demo-sheet.pdf");
    make_folder(Path::new("output"))?;
    lay_down(&out, &pdf(&build, Paper::A4)?, Over::Own.or(replace))?;
    write_out(
        &format!(
            "The sheet of this rebuild: {}\nNothing was kept in your book. To do one yourself:\n  shimwright demo --files my-demo\n  shimwright work full-rebuild my-demo/moor-rear.toml\n",
            out.display()
        ),
        false,
    )?;
    Ok(())
}

/// Writes the invented files into a folder, all or none that something else stands in the place of.
pub(crate) fn files(folder: &Path, over: Over) -> Result<(), Failure> {
    if folder == Path::new(STANDARD) {
        return Err(Failure::OutputTaken);
    }
    let all = FILES.map(|(name, text)| (folder.join(name), text));
    for (path, text) in &all {
        may_lay_down(path, text.as_bytes(), over)?;
    }
    make_folder(folder)?;
    for (path, text) in &all {
        lay_down(path, text.as_bytes(), over)?;
    }
    let at = |name: &str| shell_word(&folder.join(name).display().to_string());
    let (unit, car) = (at("moor-rear.toml"), at("moor-car.toml"));
    let words = format!(
        "{} invented files are in {}; each says so in its first line.\n\
         A rebuild, question by question:\n  shimwright work full-rebuild {unit}\n\
         Plates and shims from readings in a file:\n  shimwright choose {unit} --readings {}\n\
         What its car needs:\n  shimwright settle {car} --use hillclimb --unit {unit}\n\
         A rebuild with the demonstration's answers, last, for it uses up what the drawer holds:\n  \
         shimwright work full-rebuild {unit} --answers {}\n",
        all.len(),
        visible(&folder.display().to_string()),
        at("moor-rear-readings.toml"),
        at("moor-rear.answers")
    );
    write_out(&words, false)?;
    Ok(())
}
