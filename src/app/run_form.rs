//! The run sheet of a drive day, to be filled in by hand.

use super::days::OpenedDay;
use super::failure::Failure;
use super::font::printed;
use super::output::{Over, lay_down, told};
use crate::sheet::{GivenFont, Paper, RunForm, run_form_pdf};
use std::path::Path;

/// Writes the run sheet of a day: as many runs as were drawn, each with its setting, or else so many free ones.
pub(crate) fn run_sheet(
    opened: &OpenedDay,
    runs: usize,
    paper: Paper,
    font: Option<&GivenFont>,
    file: &Path,
    over: Over,
) -> Result<(), Failure> {
    let job = opened.session.job();
    let drawn = opened.day.drawn.as_ref();
    let known: Vec<String> = match drawn {
        Some(drawn) => drawn.settings.iter().map(|setting| job.called(setting)).collect(),
        None => job.settings.iter().map(|setting| setting.key.clone()).collect(),
    };
    let settings: Vec<String> = match drawn {
        Some(drawn) => {
            let order = drawn.order.iter();
            order
                .map(|which| known.get(*which).cloned().unwrap_or_default())
                .collect()
        }
        None => vec![String::new(); runs],
    };
    let form = RunForm {
        day: &opened.day.name,
        car: &opened.day.car,
        settings: &settings,
        known: &known,
        spoken: &job.procedure.spoken,
    };
    let bytes = printed(font, || run_form_pdf(&form, paper))?;
    let laid = lay_down(file, &bytes, over)?;
    laid.say(&format!(
        "{}: a run sheet for {} runs\nTo type it in: shimwright day CAR.toml --at DATE\n",
        told(file),
        settings.len()
    ))
}
