//! A made-up unit, whole from its level and its seed.

use super::fault::Fault;
use super::files::{files, instruments};
use super::sampled::{Drawing, Pattern};
use super::truth::Truth;
use crate::metrology::Stream;
use crate::procedure::{Job, Procedure, practice_rebuild, practice_rebuild_in, stock, stock_in};
use crate::record::GeneratedFrom;
use crate::workshop::language::Language;
use crate::workshop::{Drawer, Unit, read_instruments};

/// The levels that there are.
pub const LEVELS: std::ops::RangeInclusive<u32> = 1..=4;

/// The stock procedure that practice walks, with what it asks beside.
const PROCEDURE: &str = "practice-rebuild";

/// The procedure that a made-up unit is rebuilt by.
fn procedure_text(made: GeneratedFrom) -> String {
    match made.has_diagnosis() {
        true => practice_rebuild(),
        false => stock("bench-rebuild").unwrap_or_default().to_string(),
    }
}

/// A unit that was made up, with its faults.
///
/// ```
/// use shimwright::practice::GeneratedUnit;
/// use shimwright::record::GeneratedFrom;
/// let one = GeneratedUnit::new(GeneratedFrom::newest(2, 7)).unwrap();
/// assert_eq!(one.faults().len(), 2);
/// assert!(one.unit_text().contains("INVENTED"));
/// // the same numbers make the same unit
/// assert_eq!(one, GeneratedUnit::new(GeneratedFrom::newest(2, 7)).unwrap());
/// ```
#[derive(Clone, PartialEq, Debug)]
pub struct GeneratedUnit {
    pub(super) made: GeneratedFrom,
    pub(super) job: Job,
    pub(super) truth: Truth,
    unit_text: String,
    drawer_text: String,
    instruments_text: String,
}

/// Why no unit can be made up.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum MakeError {
    /// There is no such level.
    #[error("there is no level {level}; the levels are 1 to 4")]
    Level {
        /// What was asked for.
        level: u32,
    },
    /// A newer program made it up.
    #[error("edition {edition} of the draw was made by a newer program")]
    Edition {
        /// What was asked for.
        edition: u32,
    },
    /// What was drawn is no unit: a fault of the program.
    #[error("level {level}, seed {seed} makes no unit: {why}")]
    Drawn {
        /// The level.
        level: u32,
        /// The seed.
        seed: u64,
        /// What was wrong.
        why: String,
    },
}

impl GeneratedUnit {
    /// Makes a unit up.
    ///
    /// # Errors
    ///
    /// A level that there is not.
    pub fn new(made: GeneratedFrom) -> Result<GeneratedUnit, MakeError> {
        let GeneratedFrom { level, seed, edition } = made;
        if !LEVELS.contains(&level) {
            return Err(MakeError::Level { level });
        }
        if !(1..=GeneratedFrom::EDITION).contains(&edition) {
            return Err(MakeError::Edition { edition });
        }
        let failed = |why: String| MakeError::Drawn { level, seed, why };
        // a stream for each level: one seed makes four units that have nothing in common
        let mut random = Stream::new(seed, u64::from(level));
        let pattern = Pattern::draw(&mut random, level);
        let files = files(made, &pattern).map_err(|error| failed(error.to_string()))?;
        let mut job = Job {
            unit: Unit::read("unit.toml", &files.unit).map_err(|faults| failed(faults.to_string()))?,
            drawer: Drawer::read("drawer.toml", &files.drawer)
                .map_err(|faults| failed(faults.to_string()))?,
            instruments: Vec::new(),
            procedure: Procedure::read(PROCEDURE, &procedure_text(made))
                .map_err(|faults| failed(faults.to_string()))?,
            rework: None,
            last: None,
        };
        let truth = Drawing {
            random,
            level,
            edition,
            unit: &job.unit,
        }
        .truth()
        .ok_or_else(|| failed("it has no springs".to_string()))?;
        let instruments_text = instruments(
            made,
            truth.has(|fault| matches!(fault, Fault::WrenchOverdue { .. })),
        );
        job.instruments = read_instruments("instruments.toml", &instruments_text)
            .map_err(|faults| failed(faults.to_string()))?;
        Ok(GeneratedUnit {
            made,
            job,
            truth,
            unit_text: files.unit,
            drawer_text: files.drawer,
            instruments_text,
        })
    }

    /// What it was made from.
    pub fn made(&self) -> GeneratedFrom {
        self.made
    }

    /// What a session starts from.
    pub fn job(&self) -> &Job {
        &self.job
    }

    /// What is wrong with it.
    pub fn faults(&self) -> &[Fault] {
        &self.truth.faults
    }

    /// The same, walked by the procedure that a run was begun with.
    pub fn walked_by(mut self, procedure: &Procedure) -> GeneratedUnit {
        self.job.procedure.clone_from(procedure);
        self
    }

    /// The procedure's file; in English where no other language is asked for.
    pub fn procedure_text(&self, language: Option<&Language>) -> String {
        let told = |language| match self.made.has_diagnosis() {
            true => Some(practice_rebuild_in(language)),
            false => stock_in("bench-rebuild", language),
        };
        language
            .and_then(told)
            .unwrap_or_else(|| procedure_text(self.made))
    }

    /// The unit's file.
    pub fn unit_text(&self) -> &str {
        &self.unit_text
    }

    /// The drawer's file.
    pub fn drawer_text(&self) -> &str {
        &self.drawer_text
    }

    /// The instruments' file.
    pub fn instruments_text(&self) -> &str {
        &self.instruments_text
    }
}
