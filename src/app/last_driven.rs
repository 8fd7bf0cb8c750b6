//! The lock as the last build of a unit left it, which is what was driven since: where steps start from.

use super::clock::Clock;
use super::failure::Failure;
use super::load::{book_dir, open_build};
use crate::book::{Shelf, is_taken, slug};
use crate::mechanics::{LockSetup, MechanicsError};
use crate::quantity::{Force, seconds_of};
use std::path::PathBuf;

/// A unit's lock as a finished build left it.
pub(crate) struct LastDriven {
    /// The build's name in the book.
    pub build: String,
    /// The day on which it was finished.
    pub finished: String,
    /// Ramps, faces and preload as it left them, plates turning.
    pub setup: LockSetup,
}

/// The lock as the last finished build of a unit left it that was not voided; `None` where there is none, or no book.
pub(crate) fn last_driven(book: Option<&PathBuf>, unit: &str) -> Result<Option<LastDriven>, Failure> {
    let dir = match book_dir(book) {
        Err(Failure::NoHome) => return Ok(None),
        other => other?,
    };
    if !is_taken(&dir) {
        return Ok(None);
    }
    let shelf = Shelf::look(&dir)?;
    let slug = slug(unit);
    let now = seconds_of(&Clock::Now.time());
    let mut last: Option<((i64, u16), LastDriven)> = None;
    for id in shelf.list()?.into_iter().filter(|id| id.slug() == slug) {
        // one that can not be read is told where builds are listed
        let Ok(opened) = open_build(&shelf, &id) else {
            continue;
        };
        let session = &opened.session;
        let (Some(left), Some(finished)) = (session.left(id.as_str()), session.finished()) else {
            continue;
        };
        let Some(seconds) = seconds_of(finished) else {
            continue;
        };
        let place = (seconds, id.number());
        let later = now.is_some_and(|now| seconds > now);
        let older = last.as_ref().is_some_and(|(known, _)| *known > place);
        if later || older || session.is_voided() || !opened.newer.is_empty() {
            continue;
        }
        let account = session.account(id.as_str(), &opened.digest);
        let mut setup = session.job().unit.lock_setup()?;
        for (n, pack) in account.packs.iter().enumerate().take(2) {
            setup.faces[n] = pack.faces_left.unwrap_or(setup.faces[n]);
            setup.preload[n] = pack.preload_left.unwrap_or(setup.preload[n]);
        }
        // one value for both, as settings have it
        let mean = setup.preload.map(Force::newtons).iter().sum::<f64>() / 2.0;
        setup.preload = [Force::from_newtons(mean).map_err(MechanicsError::from)?; 2];
        let driven = LastDriven {
            build: left.build,
            finished: left.finished,
            setup,
        };
        last = Some((place, driven));
    }
    Ok(last.map(|(_, driven)| driven))
}
