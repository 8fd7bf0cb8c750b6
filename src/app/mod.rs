//! The jobs that a person may want done: begin a build and go on with it, close it, sum the whole book up, sign, check,
//! correct, print, take old papers in, practise.
//!
//! A job is a function that takes what is asked for as plain values, joins the floors below, tells the person what came of
//! it, and gives a `Failure` where it was not done. Arguments, exit codes and what to do about a failure are `cli`'s. In the
//! order of reading: `load` brings the texts that a job starts from, `work` does a job on a unit question by question,
//! `close` what follows its last answer; `stored` is a build as it lies in the book, `histories` the whole book, unit by unit,
//! and `output` the one rule for whatever is put where a person wants it.
//!
//! A new job: a file here with what it is asked for and its function, its words below `output::write_out`, and a file of `cli`
//! that reads its arguments.

pub(crate) mod adopt;
mod arguments;
mod as_left;
pub(crate) mod backup;
mod book_log;
mod chance;
pub(crate) mod check;
mod check_all;
mod clock;
mod close;
mod compared;
mod correct;
pub(crate) mod day;
pub(crate) mod day_import;
pub(crate) mod days;
mod debrief;
pub(crate) mod defaults;
mod demo;
mod demo_files;
mod demo_history;
pub(crate) mod drill;
pub(crate) mod drive_export;
pub(crate) mod drive_plan;
mod driven;
mod export;
mod failure;
pub(crate) mod font;
mod form;
mod front;
mod half_job;
mod histories;
mod import;
mod key;
mod labels;
pub(crate) mod last_driven;
mod lint;
mod load;
mod new_file;
pub(crate) mod output;
pub(crate) mod paper_export;
mod parts;
mod practice_shelf;
pub(crate) mod practise;
pub(crate) mod practised;
mod print;
mod progress;
mod quiet;
pub(crate) mod record_pdf;
pub(crate) mod rotate;
mod rotation_files;
pub(crate) mod run_form;
mod same_unit;
mod seals;
pub(crate) mod sheet_check;
mod sign;
mod stored;
mod time_tokens;
mod work;

pub(crate) use adopt::adopt;
pub(crate) use arguments::{Asking, Beside, Ended, Signing};
pub(crate) use as_left::{AsLeft, as_left, friction_now};
pub(crate) use check_all::{CheckAll, check_all};
pub(crate) use clock::Clock;
pub(crate) use compared::compared;
pub(crate) use correct::{Correct, correct};
pub(crate) use demo::{demo, files};
pub(crate) use demo_history::history;
pub(crate) use export::{Export, export, many};
pub(crate) use failure::Failure;
pub(crate) use form::{Blank, blank};
pub(crate) use histories::{each_brief, each_shelved, warn_of, with_its_plates};
pub(crate) use import::{Import, columns, import};
pub(crate) use key::{NewKey, key_line, make_key};
pub(crate) use labels::{Labels, labels};
pub(crate) use lint::linted;
pub(crate) use load::{
    Sources, Text, book_dir, digest_text, find_procedure, find_use, language_of, left_alone, look,
    open_build, read_text, there,
};
pub(crate) use new_file::{New, new_file};
pub(crate) use parts::{Of, Parts, parts};
pub(crate) use print::{Print, print, show};
pub(crate) use sign::{Sign, sign};
pub(crate) use work::{Work, work};
