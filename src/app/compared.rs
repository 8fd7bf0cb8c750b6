//! Builds of the book side by side.

use super::driven::driven_between;
use super::failure::Failure;
use super::histories::{Wanted, account, each_unit};
use super::load::{known_build, open_build};
use crate::book::{BuildId, Shelf};
use crate::history::{Account, Comparison};
use crate::procedure::Session;
use crate::quantity::{Units, seconds_of};
use crate::record::SinceLast;

/// Two builds side by side, by their names in the book; `units` is for what is told in words.
pub(crate) fn compared(
    shelf: &Shelf,
    before: &str,
    after: &str,
    units: Units,
) -> Result<Comparison, Failure> {
    let read = |name: &str| -> Result<Account, Failure> {
        let id = known_build(shelf, name)?;
        let opened = open_build(shelf, &id)?;
        Ok(Account {
            problems: opened.problems,
            newer: opened.newer,
            ..opened.session.account(id.as_str(), &opened.digest)
        })
    };
    let (before, after) = (read(before)?, read(after)?);
    let wanted = Wanted {
        unit: Some(&before.unit),
        ..Wanted::default()
    };
    let builds = each_unit(shelf, wanted, |history| history.accounts)?.concat();
    let gone = Comparison::gone_between(&builds, &before.build, &after.build);
    let mut compared = Comparison::of(&before, &after, gone);
    compared
        .told
        .extend(driven_between(shelf, &before.build, &after.build, units)?);
    Ok(compared)
}

/// What a sheet shows of the last build of the unit: its name and the comparison; `None` where there is none before it.
pub(crate) fn since_last(
    shelf: &Shelf,
    id: &BuildId,
    session: &Session,
) -> Result<Option<SinceLast>, Failure> {
    let this = session.account(id.as_str(), "");
    let mut builds = shelf.list()?;
    let marks = shelf.marks()?;
    builds.retain(|one| one.without_mark(&marks) == id.without_mark(&marks) && one != id);
    builds.sort_by_key(BuildId::number);
    let begun = |account: &Account| seconds_of(&account.begun);
    // nearly always the next lower number is the last one; paper notes that were typed in later stand elsewhere
    let last = builds
        .iter()
        .rev()
        .filter_map(|one| account(shelf, one))
        .find(|one| {
            one.counts()
                && one.finished.is_some()
                && one.is_built()
                && one.unit == this.unit
                && begun(one) < begun(&this)
        });
    Ok(last.map(|last| SinceLast {
        lines: Comparison::of(&last, &this, None).brief(session.units()),
        build: last.build,
    }))
}
