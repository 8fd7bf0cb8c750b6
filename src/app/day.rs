//! A drive day: begun or gone on with, question after question; what may have been driven is found in the book.

use super::arguments::{Asking, Ended};
use super::book_log::BookLog;
use super::chance::drawn_number;
use super::clock::Clock;
use super::days::{
    CAR, PROCEDURE, day_ids, drivable_build, drivable_setting, kept_settings, kept_text, open_day,
    setting_file,
};
use super::failure::Failure;
use super::front::{front, goes_on, put, say_language, tell_opening};
use super::histories::every_account;
use super::load::{Text, book_dir, digest_text, language_of, read_text, to_write_any};
use super::output::{text_of, write_out};
use crate::bench::Front;
use crate::book::{BuildId, Journal, STANDARD, Shelf, slug};
use crate::history::Account;
use crate::history::driven::DayReport;
use crate::procedure::{DRIVE_DAY, DayJob, DaySession, Drivable, Procedure, Reply, drive_day_in};
use crate::quantity::{Units, visible};
use crate::record::Entry;
use crate::workshop::Car;
use std::path::{Path, PathBuf};

/// How many builds are offered as what is in the car.
const MOST_OFFERED: usize = 12;
/// What the procedure of the program's own is called in messages.
const STOCK_DAY: &str = "drive-day (stock)";
/// The most characters that the name of a car gives to that of a day.
const LONG: usize = 36;

/// What a drive day is of, and where it is kept: the same whether it is asked, handed in or planned.
pub(crate) struct DayOf {
    /// The car's TOML file.
    pub car: PathBuf,
    /// The id of the unit in it; by default that of the builds that name the car.
    pub unit: Option<String>,
    /// Files of settings that may have been driven.
    pub settings: Vec<PathBuf>,
    /// A procedure of the shop's own.
    pub procedure: Option<PathBuf>,
    /// The language of the stock procedure, where it is not English.
    pub language: Option<String>,
    /// The time to write down; else the clock's.
    pub at: Option<String>,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
}

/// A drive day, as it is asked for.
pub(crate) struct AskedDay {
    /// What it is of.
    pub of: DayOf,
    /// How questions are put.
    pub asking: Asking,
    /// A new day, even where an unfinished one could be gone on with.
    pub new: bool,
    /// Told as one JSON object at the end, and nothing else.
    pub json: bool,
}

/// The texts that a day starts from, and what may have been driven.
pub(crate) struct DaySources {
    pub car: Text,
    pub procedure: Text,
    /// Settings that are kept beside the journal: the word that is typed, and the text.
    pub settings: Vec<(String, Text)>,
    pub job: DayJob,
    /// The front part of the day's name.
    pub named: String,
}

impl DayOf {
    /// The clock of the day: the time that is said, or now.
    pub fn clock(&self) -> Result<Clock, Failure> {
        Clock::new(self.at.as_deref())
    }

    /// Opens the book, reads the files of the day, and looks the builds of its unit up.
    pub fn gather(&self, clock: &Clock) -> Result<(Shelf, DaySources), Failure> {
        let shelf = Shelf::open(&book_dir(self.book.as_ref())?)?;
        let car = self.car.as_path();
        let car_text = read_text(car)?;
        let file_stem = |path: &Path| {
            path.file_stem()
                .and_then(|stem| stem.to_str())
                .map(str::to_string)
        };
        let stem = match car == Path::new(STANDARD) {
            true => Car::read(&car_text.name, &car_text.text)?.name,
            false => file_stem(car).unwrap_or_default(),
        };
        let named = stem.strip_suffix("-car").unwrap_or(&stem);
        let settings = self
            .settings
            .iter()
            .map(|path| Ok((slug(&file_stem(path).unwrap_or_default()), read_text(path)?)))
            .collect::<Result<Vec<_>, Failure>>()?;
        let procedure = match (&self.procedure, language_of(self.language.as_deref())?) {
            (Some(path), _) => Some(read_text(path)?),
            (None, Some(language)) => Some(Text {
                name: format!("{STOCK_DAY}, in {}", language.in_english),
                text: drive_day_in(language),
                path: None,
            }),
            (None, None) => None,
        };
        let unit = self.unit.as_deref();
        let sources = DaySources::of_texts(&shelf, (car_text, named), unit, settings, procedure, clock)?;
        Ok((shelf, sources))
    }
}

impl DaySources {
    /// What a day starts from, by texts: the car with the front part of the day's name, settings with the words that are typed for them.
    pub fn of_texts(
        shelf: &Shelf,
        (car_text, named): (Text, &str),
        unit: Option<&str>,
        settings: Vec<(String, Text)>,
        procedure: Option<Text>,
        clock: &Clock,
    ) -> Result<DaySources, Failure> {
        let parsed = Car::read(&car_text.name, &car_text.text)?;
        let procedure = match procedure {
            Some(text) => text,
            None => Text {
                name: STOCK_DAY.to_string(),
                text: DRIVE_DAY.to_string(),
                path: None,
            },
        };
        let read = Procedure::read(&procedure.name, &procedure.text)?;
        if !read.drive_day {
            return Err(Failure::Unit(format!(
                "{} is no procedure of a drive day",
                procedure.name
            )));
        }
        let mut given: Vec<(String, Text)> = Vec::new();
        let mut drivable: Vec<Drivable> = Vec::new();
        for (key, text) in settings {
            let setting = drivable_setting(&key, &text.name, &text.text)?;
            if let Some(same) = drivable.iter().find(|one| one.driven == setting.driven) {
                return Err(Failure::Unit(format!(
                    "{} is the same setting as {}, under two names: give it once",
                    text.name, same.key
                )));
            }
            if drivable.iter().any(|one| one.key == key) {
                return Err(Failure::Unit(format!(
                    "two settings would be called {key}: rename one of the files"
                )));
            }
            drivable.push(setting);
            given.push((key, text));
        }
        drivable.extend(builds_of(shelf, &parsed.name, unit)?);
        let named: String = slug(named).chars().take(LONG).collect();
        Ok(DaySources {
            job: DayJob {
                procedure: read,
                car: parsed.name,
                settings: drivable,
                today: clock.time().chars().take(10).collect(),
            },
            car: car_text,
            procedure,
            settings: given,
            named: slug(&format!("{named}-day")),
        })
    }

    fn files(&self) -> Vec<(String, &[u8])> {
        let own = [(CAR, &self.car), (PROCEDURE, &self.procedure)];
        let own = own
            .into_iter()
            .map(|(name, text)| (name.to_string(), text.text.as_bytes()));
        let given = self
            .settings
            .iter()
            .map(|(key, text)| (setting_file(key), text.text.as_bytes()));
        own.chain(given).collect()
    }

    /// The entry that begins the day.
    fn begun(&self, units: Units, clock: &Clock) -> Entry {
        Entry::DayBegun {
            at: clock.time(),
            program: env!("CARGO_PKG_VERSION").to_string(),
            id: format!("{:016x}", drawn_number()),
            car: digest_text(&self.car),
            procedure: digest_text(&self.procedure),
            units: units.into(),
        }
    }

    /// Begins a day with these entries behind its first, whole or not at all.
    pub fn begin(
        self,
        log: &mut BookLog<'_>,
        units: Units,
        clock: &Clock,
        more: &[Entry],
    ) -> Result<(Journal, DaySession), Failure> {
        let mut entries: Vec<Entry> = std::iter::once(self.begun(units, clock))
            .chain(more.iter().cloned())
            .collect();
        for entry in &mut entries {
            log.put_head(entry)?;
        }
        let lines: Vec<(u32, String)> = entries
            .iter()
            .map(|entry| Ok((entry.line_version(), entry.to_json()?)))
            .collect::<Result<_, Failure>>()?;
        let files = self.files();
        let named: Vec<(&str, &[u8])> = files
            .iter()
            .map(|(name, bytes)| (name.as_str(), *bytes))
            .collect();
        let shelf = log.shelf();
        let name = log.named(&self.named, &clock.time())?;
        let journal = shelf.lay_in_as(&name, &named, &lines)?;
        log.write(journal.id(), false, &clock.time())?;
        Ok((journal, DaySession::resume(self.job, &entries)))
    }
}

/// Whether two names of a car are one, by their letters and digits.
fn is_same_car(one: &str, other: &str) -> bool {
    let letters = |text: &str| -> String {
        let letters = text.chars().filter(|c| c.is_alphanumeric());
        letters.flat_map(char::to_lowercase).collect()
    };
    let (one, other) = (letters(one), letters(other));
    !one.is_empty() && !other.is_empty() && (one.starts_with(&other) || other.starts_with(&one))
}

/// The builds that put the unit of a car together, the last one first: those of a unit that is named, else those that name
/// the car, else all.
fn builds_of(shelf: &Shelf, car: &str, unit: Option<&str>) -> Result<Vec<Drivable>, Failure> {
    let mut accounts = every_account(shelf, unit)?;
    if let (Some(unit), true) = (unit, accounts.is_empty()) {
        return Err(Failure::NoUnit(unit.to_string()));
    }
    let of_car = |account: &Account| is_same_car(&account.car, car);
    if unit.is_none() && accounts.iter().any(of_car) {
        accounts.retain(of_car);
    }
    let put_together = |account: &Account| {
        account.voided.is_none() && account.packs.iter().any(|pack| pack.plates_left.is_some())
    };
    accounts.retain(put_together);
    // what is finished comes first, the newest of it at the top
    accounts.sort_by(|a, b| (b.finished.is_some(), &b.begun).cmp(&(a.finished.is_some(), &a.begun)));
    let mut drivable = Vec::new();
    for account in accounts.iter().take(MOST_OFFERED) {
        let id: BuildId = account.build.parse()?;
        let state = match &account.finished {
            Some(at) => format!("finished {}", at.get(..10).unwrap_or(at)),
            None => "not finished".to_string(),
        };
        let words = format!("{}, {state}", account.unit_name);
        drivable.push(drivable_build(shelf, &id, &words)?);
    }
    Ok(drivable)
}

/// Begins a drive day, or goes on with one.
pub(crate) fn day(asked: &AskedDay) -> Result<Ended, Failure> {
    let clock = asked.of.clock()?;
    let (shelf, sources) = asked.of.gather(&clock)?;
    let mut front = front(&asked.asking, asked.json)?;
    let unfinished = match asked.new {
        true => None,
        false => unfinished(&shelf, &sources.named)?,
    };
    let resumed = match unfinished {
        Some(id) => {
            let spoken = open_day(&shelf, &id)?.session.job().procedure.spoken.clone();
            goes_on(&mut *front, &spoken, id.as_str())?.then_some(id)
        }
        None => None,
    };
    let mut log = BookLog::of(&shelf);
    let (mut journal, mut session) = match resumed {
        Some(id) => {
            let resumed = resume(&shelf, &id, sources)?;
            say_language(asked.of.language.as_deref(), &resumed.1.job().procedure.spoken)?;
            log.write(&id, true, &clock.time())?;
            resumed
        }
        None => sources.begin(&mut log, asked.asking.units, &clock, &[])?,
    };
    if !asked.json {
        let folder = visible(&journal.folder().display().to_string()).into_owned();
        write_out(&format!("Drive day {} in {folder}\n", journal.id()), false)?;
        tell_opening(&session.job().procedure.spoken)?;
    }
    let paused = match ask_all(&mut *front, &mut session, &mut journal, &clock, &mut log) {
        Err(failure) if failure.is_closed_pipe() => return Ok(Ended::Paused),
        other => other?,
    };
    let ended = front.finish();
    let id = journal.id().clone();
    drop(journal);
    if asked.json {
        let opened = open_day(&shelf, &id)?;
        write_out(
            &text_of(&DayReport::of(&opened.day).report(asked.asking.units), true)?,
            false,
        )?;
    } else if paused {
        let car = visible(&asked.of.car.display().to_string()).into_owned();
        write_out(
            &format!("\nDrive day {id} is kept. To go on: shimwright day {car}\n"),
            false,
        )?;
    } else {
        write_out(
            &format!(
                "\nDrive day {id} is finished. What it says: shimwright days {id}\nTo sign it: shimwright sign {id}\n"
            ),
            false,
        )?;
    }
    ended?;
    Ok(if paused { Ended::Paused } else { Ended::Done })
}

/// The newest unfinished day of this name.
fn unfinished(shelf: &Shelf, named: &str) -> Result<Option<BuildId>, Failure> {
    let mut ids = day_ids(shelf)?;
    let marks = shelf.marks()?;
    ids.retain(|id| id.is_of(named, &marks));
    ids.sort_by_key(BuildId::number);
    for id in ids.into_iter().rev() {
        let opened = open_day(shelf, &id)?;
        if !opened.session.is_finished() && !opened.session.is_voided() {
            return Ok(Some(id));
        }
    }
    Ok(None)
}

/// Takes a day up again, with the settings that are given now beside those that it keeps.
fn resume(shelf: &Shelf, id: &BuildId, now: DaySources) -> Result<(Journal, DaySession), Failure> {
    let journal = to_write_any(shelf, id)?;
    for repair in journal.repairs() {
        write_out(&format!("{}\n", visible(&repair.to_string())), true)?;
    }
    let opened = open_day(shelf, id)?;
    if let Some(problem) = opened.problems.first() {
        return Err(Failure::Snapshot(format!("{id} ({problem})")));
    }
    let kept = kept_settings(shelf, id)?;
    for (key, text) in &now.settings {
        match kept.iter().any(|setting| setting.key == *key) {
            true if kept_text(shelf, id, &setting_file(key))? != text.text => {
                return Err(Failure::Unit(format!(
                    "this day has another setting called {key}: give the file another name"
                )));
            }
            true => {}
            false => journal.put(&setting_file(key), text.text.as_bytes())?,
        }
    }
    // what was driven already stays, and is not asked twice
    let mut job = opened.session.job().clone();
    job.today = now.job.today;
    for setting in now.job.settings {
        if let Some(known) = job.settings.iter_mut().find(|known| known.key == setting.key) {
            known.words = setting.words;
        } else {
            job.settings.push(setting);
        }
    }
    let entries: Vec<Entry> = journal
        .entries()
        .iter()
        .map(|text| Entry::from_json(text))
        .collect::<Result<_, _>>()?;
    Ok((journal, DaySession::resume(job, &entries)))
}

/// Puts question after question until none is left or the person stops; whether the person stopped.
pub(crate) fn ask_all(
    front: &mut dyn Front,
    session: &mut DaySession,
    journal: &mut Journal,
    clock: &Clock,
    log: &mut BookLog<'_>,
) -> Result<bool, Failure> {
    while let Some(ask) = session.ask() {
        let (_, reply) = put(front, ask)?;
        if reply == Reply::Pause {
            return Ok(true);
        }
        match session.answer(&reply, &clock.time()) {
            Ok(mut taken) => {
                log.append(journal, &mut taken.entries)?;
                session.apply(&taken.entries);
                front.say(&taken.said)?;
            }
            Err(refusal) => front.refuse(&refusal)?,
        }
    }
    // the power went between the last answer and this
    if let Some(entry) = session.closing_entry(&clock.time()) {
        let mut entries = [entry];
        log.append(journal, &mut entries)?;
        session.apply(&entries);
    }
    Ok(false)
}
