//! The drive days of the book: each as it lies there, with what was driven on it.

use super::failure::Failure;
use super::load::known_build;
use super::stored::stored;
use crate::book::{BuildId, Shelf};
use crate::history::driven::DrivenFar;
use crate::procedure::{DayJob, DaySession, Drivable, Procedure};
use crate::quantity::Units;
use crate::record::driven::{Day, Driven, DrivenBuild};
use crate::record::{Entry, Stored, Value};
use crate::seal::Digest;
use crate::workshop::{Car, Setting};

/// The name under which a day keeps its car.
pub(crate) const CAR: &str = "car.toml";
/// The name under which a day keeps its procedure.
pub(crate) const PROCEDURE: &str = "procedure.toml";
/// What the name of a setting's file begins with beside a day's journal.
const SETTING: &str = "setting-";

/// A drive day as it lies in the book.
pub(crate) struct OpenedDay {
    pub session: DaySession,
    pub day: Day,
    pub digest: String,
    pub problems: Vec<String>,
    /// What a newer program wrote in it.
    pub newer: Vec<String>,
}

/// Whether a folder of the book is that of a drive day.
pub(crate) fn is_day(shelf: &Shelf, id: &BuildId) -> bool {
    shelf.file(id, CAR).is_ok()
}

/// The drive days of the book, by name.
pub(crate) fn day_ids(shelf: &Shelf) -> Result<Vec<BuildId>, Failure> {
    let mut ids = shelf.list()?;
    ids.retain(|id| is_day(shelf, id));
    Ok(ids)
}

/// The day of a name, if it is in the book.
pub(crate) fn known_day(shelf: &Shelf, name: &str) -> Result<BuildId, Failure> {
    match known_build(shelf, name) {
        Ok(id) if is_day(shelf, &id) => Ok(id),
        _ => Err(Failure::NoDay(name.to_string())),
    }
}

/// A text that a day keeps.
pub(crate) fn kept_text(shelf: &Shelf, id: &BuildId, name: &str) -> Result<String, Failure> {
    Ok(String::from_utf8_lossy(&shelf.file(id, name)?).into_owned())
}

/// The name under which a setting is kept, by the word that is typed for it.
pub(crate) fn setting_file(key: &str) -> String {
    format!("{SETTING}{key}.toml")
}

/// A setting's file as something that may be driven.
pub(crate) fn drivable_setting(key: &str, name: &str, text: &str) -> Result<Drivable, Failure> {
    let setting = Setting::read(name, text)?;
    Ok(Drivable {
        key: key.to_string(),
        words: format!(
            "the setting of {} for {}: {}",
            setting.date,
            setting.from.wanted.name,
            setting.class()
        ),
        driven: Driven::Setting(Digest::of(text.as_bytes()).to_string()),
        made: Some(setting.date.clone()),
        finished: true,
    })
}

/// The settings' files that a day keeps.
pub(crate) fn kept_settings(shelf: &Shelf, id: &BuildId) -> Result<Vec<Drivable>, Failure> {
    let (files, _) = shelf.beside(id)?;
    let mut settings = Vec::new();
    for file in files {
        if let Some(key) = file
            .strip_prefix(SETTING)
            .and_then(|rest| rest.strip_suffix(".toml"))
        {
            let text = kept_text(shelf, id, &file)?;
            settings.push(drivable_setting(key, &format!("{id}/{file}"), &text)?);
        }
    }
    Ok(settings)
}

/// A setting that a day keeps, by the digest of its file; nothing where it keeps none with it.
pub(crate) fn kept_setting(shelf: &Shelf, id: &BuildId, digest: &str) -> Result<Option<Setting>, Failure> {
    let (files, _) = shelf.beside(id)?;
    for file in files.iter().filter(|file| file.starts_with(SETTING)) {
        let text = kept_text(shelf, id, file)?;
        if Digest::of(text.as_bytes()).to_string() == digest {
            return Ok(Some(Setting::read(&format!("{id}/{file}"), &text)?));
        }
    }
    Ok(None)
}

/// When a record was finished within its first lines, as a day.
fn finished_on(stored: &Stored, lines: usize) -> Option<String> {
    let entries = stored.lines.entries.iter().take(lines);
    entries
        .filter_map(|entry| match entry {
            Entry::Finished { at, .. } => at.get(..10).map(str::to_string),
            _ => None,
        })
        .next_back()
}

/// A build of the book as something that may be driven, as it stands now.
pub(crate) fn drivable_build(shelf: &Shelf, id: &BuildId, words: &str) -> Result<Drivable, Failure> {
    let stored = stored(shelf, id)?;
    let (lines, digest) = stored.record();
    let made = finished_on(&stored, lines);
    Ok(Drivable {
        key: id.to_string(),
        words: words.to_string(),
        driven: Driven::Record(DrivenBuild {
            build: id.to_string(),
            lines,
            digest: digest.to_string(),
        }),
        finished: made.is_some(),
        made,
    })
}

/// What a day drove, with how each of these stands in the book; and what does not hang together, in words.
fn driven_by(shelf: &Shelf, entries: &[Entry]) -> (Vec<Drivable>, Vec<String>) {
    let mut known: Vec<Drivable> = Vec::new();
    let mut told = Vec::new();
    for entry in entries {
        let (Entry::Answered { value, .. } | Entry::Amended { value, .. } | Entry::Corrected { value, .. }) =
            entry
        else {
            continue;
        };
        let builds: Vec<&DrivenBuild> = match value {
            Value::Record(build) => vec![build],
            Value::Drawn(drawn) => drawn
                .settings
                .iter()
                .filter_map(|setting| match setting {
                    Driven::Record(build) => Some(build),
                    Driven::Setting(_) => None,
                })
                .collect(),
            _ => Vec::new(),
        };
        for build in builds {
            let driven = Driven::Record(build.clone());
            if known.iter().any(|one| one.driven == driven) {
                continue;
            }
            let there = build.build.parse().ok().and_then(|id| stored(shelf, &id).ok());
            let made = there.as_ref().and_then(|stored| finished_on(stored, build.lines));
            let words = match &there {
                None => format!("{} is not in this book", build.build),
                Some(stored) => match stored.digest_of(build.lines) {
                    Some(digest) if digest.to_string() == build.digest => String::new(),
                    _ => format!("{} is not the record any more that was driven", build.build),
                },
            };
            if !words.is_empty() {
                told.push(words);
            }
            known.push(Drivable {
                key: build.build.clone(),
                words: String::new(),
                driven,
                // of what is not here nobody knows
                finished: made.is_some() || there.is_none(),
                made,
            });
        }
    }
    (known, told)
}

/// Reads a day without locking it.
pub(crate) fn open_day(shelf: &Shelf, id: &BuildId) -> Result<OpenedDay, Failure> {
    let stored = stored(shelf, id)?;
    let Some(Entry::DayBegun { car, procedure, .. }) = stored.lines.entries.first() else {
        return match stored.lines.newer.first() {
            Some(why) => Err(Failure::Newer {
                build: id.to_string(),
                why: why.clone(),
            }),
            None => Err(Failure::NoDay(id.to_string())),
        };
    };
    let mut problems = stored.lines.problems.clone();
    let texts = [(CAR, car), (PROCEDURE, procedure)].map(|(name, digest)| {
        let text = kept_text(shelf, id, name);
        if text
            .as_ref()
            .is_ok_and(|text| Digest::of(text.as_bytes()).to_string() != *digest)
        {
            problems.push(Failure::Snapshot(format!("{id}/{name}")).to_string());
        }
        text
    });
    let [car, procedure] = texts;
    let (mut settings, told) = driven_by(shelf, &stored.lines.entries);
    settings.extend(kept_settings(shelf, id)?);
    let session = DaySession::resume(
        DayJob {
            procedure: Procedure::read_kept(&format!("{id}/{PROCEDURE}"), &procedure?)?,
            car: Car::read(&format!("{id}/{CAR}"), &car?)?.name,
            settings,
            today: String::new(),
        },
        &stored.lines.entries,
    );
    let mut day = session.day(id.as_str());
    day.odd.extend(told);
    Ok(OpenedDay {
        digest: stored.record().1.to_string(),
        session,
        day,
        problems,
        newer: stored.lines.newer,
    })
}

/// The drive days of the book.
pub(crate) struct AllDays {
    /// Those that can be read, in the order in which they were driven.
    pub days: Vec<OpenedDay>,
    /// The others, each with why.
    pub unread: Vec<(String, String)>,
}

/// All drive days of the book that can be read, in the order in which they were driven, and what is wrong with the others.
pub(crate) fn all_days(shelf: &Shelf) -> Result<AllDays, Failure> {
    let (mut days, mut unread) = (Vec::new(), Vec::new());
    for id in day_ids(shelf)? {
        match open_day(shelf, &id) {
            Ok(opened) => days.push(opened),
            Err(failure) => unread.push((id.to_string(), failure.to_string())),
        }
    }
    days.sort_by(|a, b| {
        (&a.day.driven_on, &a.day.begun, &a.day.name).cmp(&(&b.day.driven_on, &b.day.begun, &b.day.name))
    });
    Ok(AllDays { days, unread })
}

/// How far a build was driven by the drive days, in words; nothing where it was not.
pub(crate) fn driven_words(shelf: &Shelf, build: &str, units: Units) -> Result<Option<String>, Failure> {
    let AllDays { days, .. } = all_days(shelf)?;
    let days: Vec<&Day> = days.iter().map(|opened| &opened.day).collect();
    Ok(DrivenFar::of(&days, build).words(build, units))
}
