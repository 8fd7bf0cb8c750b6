//! Parts that come and go while a build waits, and a build that is put away.

use super::ask::Refusal;
use super::session::Session;
use super::typed::plain_text;
use crate::quantity::{Length, parse};
use crate::record::Entry;
use crate::workshop::DrawerPart;

/// The most things that one build waits for.
const MOST_WAITED_FOR: usize = 100;

impl Session {
    /// What the build waits for, in words.
    pub fn waiting(&self) -> &[String] {
        &self.state.waiting
    }

    /// The entry that says what the build waits for from now on; with nothing in the list, that it waits no longer.
    ///
    /// # Errors
    /// Words that can not be written down, more than a hundred of them, a build that is finished or voided.
    pub fn wait_for(&self, parts: &[String], by: &str, at: &str) -> Result<Entry, Refusal> {
        self.goes_on()?;
        if parts.len() > MOST_WAITED_FOR {
            return Err(refusal(format!(
                "a build waits for at most {MOST_WAITED_FOR} things"
            )));
        }
        Ok(Entry::Waiting {
            at: at.to_string(),
            by: plain_text(by)?,
            parts: parts
                .iter()
                .map(|part| plain_text(part))
                .collect::<Result<_, _>>()?,
        })
    }

    /// The entry that takes parts in which came into the drawer after the build was begun, by rows as they stand in a
    /// drawer's file.
    ///
    /// # Errors
    /// Rows that can not be read, a plate of a name that is known already, a build that is finished or voided.
    pub fn take_in(&self, rows: &str, by: &str, at: &str) -> Result<Entry, Refusal> {
        self.goes_on()?;
        let drawer = self.job.drawer.with(rows).ok_or_else(|| {
            refusal("these parts can not be taken in: a plate of that name lies in the drawer already")
        })?;
        let in_unit = drawer
            .spares
            .iter()
            .find(|spare| self.job.unit.plate(&spare.name).is_some());
        if let Some(spare) = in_unit {
            return Err(refusal(format!(
                "{} can not be taken in: a plate of the unit has that name",
                spare.name
            )));
        }
        Ok(Entry::PartAdded {
            at: at.to_string(),
            by: plain_text(by)?,
            rows: rows.to_string(),
        })
    }

    /// The entry that strikes a part off which the drawer lists and nobody finds: a spare plate by its name, or one shim by
    /// its thickness. It needs no reading then.
    ///
    /// # Errors
    /// A part that is not listed, or that the choice has taken already; a build that is finished or voided.
    pub fn strike(&self, part: &str, reason: &str, by: &str, at: &str) -> Result<Entry, Refusal> {
        self.goes_on()?;
        let spare = self
            .job
            .drawer
            .spares
            .iter()
            .find(|spare| spare.name.eq_ignore_ascii_case(part.trim()));
        let part = match (spare, parse::<Length>(part)) {
            (Some(spare), _) => DrawerPart::Spare(spare.name.clone()),
            (None, Ok(thickness)) => DrawerPart::Shim(thickness.nm()),
            (None, Err(_)) => {
                return Err(refusal(format!(
                    "{part} is no spare plate of the drawer, and no thickness of a shim such as \"0.25 mm\""
                )));
            }
        };
        if self.job.drawer.without(&part).is_none() {
            return Err(refusal("the drawer lists no such shim any more"));
        }
        let taken = self.chosen().is_some_and(|chosen| {
            chosen.sides.iter().any(|side| match &part {
                DrawerPart::Spare(name) => side.plates.contains(name),
                DrawerPart::Shim(nm) => side.shims_nanometres.contains(nm),
            })
        });
        if taken {
            return Err(refusal(
                "the choice has taken it: go back to the choice first, and strike it off then",
            ));
        }
        Ok(Entry::PartStruck {
            at: at.to_string(),
            by: plain_text(by)?,
            part,
            reason: plain_text(reason)?,
        })
    }

    /// The entry that puts a build away which was begun by mistake: it is kept, told, and counts for nothing.
    ///
    /// # Errors
    /// Words that can not be written down, a build that is finished or voided.
    pub fn void(&self, reason: &str, by: &str, at: &str) -> Result<Entry, Refusal> {
        self.goes_on()?;
        Ok(Entry::Voided {
            at: at.to_string(),
            by: plain_text(by)?,
            reason: plain_text(reason)?,
        })
    }

    /// Whether anything can still be said of it.
    fn goes_on(&self) -> Result<(), Refusal> {
        if self.is_finished() {
            return Err(refusal(
                "the build is finished: what it says is put right with `shimwright correct`",
            ));
        }
        if self.is_voided() {
            return Err(refusal("the build was voided and counts for nothing"));
        }
        Ok(())
    }
}

fn refusal(words: impl Into<String>) -> Refusal {
    Refusal {
        words: words.into(),
        sure: false,
        suggests: false,
    }
}
