//! What the program says when nothing is asked of it.

use super::args::Arguments;
use super::exit::Exit;
use super::failure::Failure;
use super::options::Book;
use crate::app::output::{width, write_out};
use crate::app::{book_dir, each_shelved};
use crate::book::Shelf;
use crate::history::Shelved;
use crate::quantity::visible;
use crate::screen::{filled, hanging};
use crate::workshop::Safety;
use clap::CommandFactory;

/// The most unfinished builds that are named.
const MOST_NAMED: usize = 4;

/// What the program says when nothing is asked of it: what it can do, what is unfinished, how to begin. It never
/// fails over the book: what is wrong there is told.
pub(super) fn start(book: &Book) -> Result<Exit, Failure> {
    let program = Arguments::command();
    let commands: Vec<&str> = program
        .get_subcommands()
        .map(|command| command.get_name())
        .filter(|name| *name != "help")
        .collect();
    let mut page = filled(
        &format!(
            "shimwright goes with you through the rebuild of a plate-type limited-slip differential, one question at a \
             time, and prints the sheet that stays with the car. {}",
            Safety::First.words()
        ),
        width(),
    );
    page.push_str("\nTo begin:\n");
    for (command, words) in BEGIN {
        page.push_str(&format!("  {command:<40}  {words}\n"));
    }
    page.push('\n');
    page.push_str(&filled(
        &format!(
            "Commands: {}. `shimwright COMMAND --help` says what each can do, `shimwright guide` the rest, by chapters.",
            commands.join(", ")
        ),
        width(),
    ));
    page.push('\n');
    page.push_str(&book_words(book));
    write_out(&page, false)?;
    Ok(Exit::Done)
}

/// The commands that a newcomer needs; the last ones are the apprentice's.
const BEGIN: [(&str, &str); 4] = [
    ("shimwright demo", "a whole rebuild of a made-up unit"),
    ("shimwright new-unit", "describe your unit, by questions"),
    (
        "shimwright work full-rebuild UNIT.toml",
        "one of your own; goes on with it",
    ),
    (
        "shimwright practise --drill looks",
        "to learn: ten cards, five minutes",
    ),
];

/// What is unfinished in the book, and what is wrong with it.
fn book_words(book: &Book) -> String {
    let dir = match book_dir(book.dir.as_ref()) {
        Ok(dir) => dir,
        Err(failure) => return Failure::from(failure).report() + "\n",
    };
    let shown = visible(&dir.display().to_string()).into_owned();
    let listed = Shelf::look(&dir)
        .and_then(|shelf| Ok((shelf.contents()?.named(), shelf)))
        .map_err(Failure::from)
        .and_then(|(ids, shelf)| Ok(each_shelved(&shelf, &ids)?));
    let listed = match listed {
        Ok(listed) => listed,
        Err(failure) => {
            let told = failure.report();
            return filled(&format!("The book can not be read. {told}"), width());
        }
    };
    if listed.is_empty() {
        return filled(
            &format!("The book is empty; it will be kept in {shown}."),
            width(),
        );
    }
    let mut words = String::new();
    let mut open: Vec<&Shelved> = listed.iter().filter(|one| one.is_open()).collect();
    open.sort_by(|a, b| b.begun.cmp(&a.begun));
    if open.is_empty() {
        words.push_str(&filled(&format!("Nothing is unfinished in {shown}."), width()));
    } else {
        words.push_str("Unfinished (the same `work` command goes on with it):\n");
        for one in open.iter().take(MOST_NAMED) {
            let day: String = one.begun.chars().take(10).collect();
            let line = format!(
                "  {}  {}, {}, begun {day}, {}",
                one.build, one.unit_name, one.procedure_title, one.state
            );
            // what it waits for is read whole: somebody may have brought it
            if one.waiting.is_empty() {
                words.push_str(&short(&visible(&line), width()));
                words.push('\n');
            } else {
                words.push_str(&hanging("  ", line.trim_start(), width()));
            }
        }
        if open.len() > MOST_NAMED {
            words.push_str(&format!(
                "  and {} more: `shimwright builds`\n",
                open.len() - MOST_NAMED
            ));
        }
    }
    let bad = listed.iter().filter(|one| one.is_damaged()).count();
    let newer = listed.iter().filter(|one| one.is_newer()).count();
    if newer > 0 {
        words.push_str(&format!(
            "Made by a newer program: {newer}; `shimwright builds` says which\n"
        ));
    }
    if bad > 0 {
        words.push_str(&format!(
            "Damaged or not readable: {bad}; `shimwright builds` says which\n"
        ));
    }
    words
}

/// A line cut to a width, with a sign where something is missing.
fn short(line: &str, width: usize) -> String {
    if line.chars().count() <= width {
        return line.to_string();
    }
    line.chars().take(width - 1).chain(['…']).collect()
}
