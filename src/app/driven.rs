//! What the drive days of the book say of builds by name.

use super::days::{AllDays, all_days};
use super::failure::Failure;
use crate::book::Shelf;
use crate::history::driven::{DrivenFar, SettingsCompared, WORTH_HAVING};
use crate::quantity::Units;
use crate::record::driven::{Day, Driven};

/// What was driven by a name: a build's, the word for a setting's file, or the beginning of its digest.
pub(super) fn driven_by_name<'d>(days: &[&'d Day], name: &str) -> Option<(Driven, &'d str)> {
    let all = || days.iter().flat_map(|day| day.settings());
    let by_digest = |driven: &Driven| match driven {
        Driven::Setting(digest) => name.len() >= 8 && digest.starts_with(&name.to_lowercase()),
        Driven::Record(_) => false,
    };
    all()
        .find(|(_, called)| called.eq_ignore_ascii_case(name))
        .or_else(|| all().find(|(driven, _)| by_digest(driven)))
}

/// What the drive days say of two builds, in words: how far each was driven, and what can be told of the two.
pub(crate) fn driven_between(
    shelf: &Shelf,
    before: &str,
    after: &str,
    units: Units,
) -> Result<Vec<String>, Failure> {
    let AllDays { days, .. } = all_days(shelf)?;
    let days: Vec<&Day> = days.iter().map(|opened| &opened.day).collect();
    let far = [before, after].map(|build| DrivenFar::of(&days, build).words(build, units));
    let mut told: Vec<String> = far.into_iter().flatten().collect();
    if let (Some((first, _)), Some((second, _))) =
        (driven_by_name(&days, before), driven_by_name(&days, after))
    {
        let compared = SettingsCompared::of(&days, [&first, &second], [before, after], WORTH_HAVING);
        told.push(format!(
            "Driven: {} {}",
            compared.verdict(),
            compared.felt_words()
        ));
    }
    Ok(told)
}
