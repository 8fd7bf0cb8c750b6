//! The texts that a job starts from, where the book is, and its builds as sessions.

use super::failure::Failure;
use super::output::{width, write_out};
use super::stored::{lines_of, stored};
use crate::book::{BookError, BuildId, Journal, STANDARD, Shelf, read_input};
use crate::procedure::{Job, Procedure, STOCK, Session, stock, stock_in};
use crate::quantity::visible;
use crate::record::{Entry, Lines};
use crate::screen::filled;
use crate::seal::Digest;
use crate::workshop::language::Language;
use crate::workshop::{Drawer, LastLeft, STOCK_USES, Setting, Unit, read_instruments, with_library_steps};
use etcetera::{AppStrategy, AppStrategyArgs, choose_app_strategy};
use std::path::{Path, PathBuf};

/// The most bytes that a file of ours may have.
const MOST_BYTES: u64 = 1 << 20;
/// The most bytes of a table of old records.
const MOST_TABLE: u64 = 16 << 20;

/// The texts that a build starts from: what the book keeps beside its journal.
pub(crate) struct Sources {
    pub unit: Text,
    pub drawer: Text,
    pub instruments: Text,
    pub procedure: Text,
    /// What the unit is to be rebuilt to, where that was given.
    pub setting: Option<Text>,
    /// What the last build left in the unit, where the book knows.
    pub found: Option<Text>,
}

/// A text with the name that errors call it.
pub(crate) struct Text {
    pub name: String,
    pub text: String,
    /// Where it lies, if it is a file that may be written to.
    pub path: Option<PathBuf>,
}

impl Text {
    /// What came in on the standard input lies nowhere, and nothing can be written to it.
    fn or_nowhere(self) -> Text {
        Text {
            path: self.path.filter(|path| path != Path::new(STANDARD)),
            ..self
        }
    }
}

/// The names under which a build keeps its sources.
pub(crate) const KEPT: [&str; 4] = ["unit.toml", "drawer.toml", "instruments.toml", "procedure.toml"];

/// The name under which a build keeps its setting.
pub(crate) const SETTING: &str = "setting.toml";

/// The name under which a build keeps what the last one left in the unit.
pub(crate) const FOUND: &str = "found.toml";

impl Sources {
    /// Gathers the files of a job.
    pub fn gather(
        procedure: &str,
        unit_path: &Path,
        drawer: Option<&Path>,
        instruments: Option<&Path>,
        setting: Option<&Path>,
        language: Option<&str>,
    ) -> Result<Sources, Failure> {
        let procedure = find_procedure(procedure, language)?;
        let unit = read_text(unit_path)?;
        let parsed = Unit::read(&unit.name, &unit.text)?;
        let beside = |named: &Option<String>, given: Option<&Path>, what: &str| match (given, named) {
            (Some(path), _) => read_text(path),
            (None, Some(name)) => read_text(&unit_path.parent().unwrap_or(Path::new("")).join(name)),
            (None, None) => Err(Failure::Unit(format!(
                "{} names no {what} file; write {what} = \"…\" into it or give --{what} FILE",
                unit.name
            ))),
        };
        Ok(Sources {
            drawer: Text::or_nowhere(beside(&parsed.drawer, drawer, "drawer")?),
            instruments: beside(&parsed.instruments, instruments, "instruments")?,
            setting: setting.map(read_text).transpose()?,
            found: None,
            unit,
            procedure,
        })
    }

    /// Reads the sources that a build kept.
    pub fn kept(shelf: &Shelf, id: &BuildId) -> Result<Sources, Failure> {
        let text = |name: &str| -> Result<Text, Failure> {
            let bytes = shelf.file(id, name)?;
            Ok(Text {
                path: None,
                name: format!("{id}/{name}"),
                text: String::from_utf8_lossy(&bytes).into_owned(),
            })
        };
        let text_maybe = |name: &str| match text(name) {
            Ok(text) => Ok(Some(text)),
            Err(Failure::Book(BookError::Missing { .. })) => Ok(None),
            Err(other) => Err(other),
        };
        let [unit, drawer, instruments, procedure] = KEPT;
        Ok(Sources {
            unit: text(unit)?,
            drawer: text(drawer)?,
            instruments: text(instruments)?,
            procedure: text(procedure)?,
            setting: text_maybe(SETTING)?,
            found: text_maybe(FOUND)?,
        })
    }

    /// Reads all of them. Faults of the first file that has any are given, all of that file at once.
    pub fn job(&self) -> Result<Job, Failure> {
        match self.read_job() {
            // out of the book: nobody is to mend what a newer program keeps there
            Err(Failure::Faults(faults)) if self.unit.path.is_none() && faults.is_newer() => {
                let (build, _) = faults.file.split_once('/').unwrap_or((&faults.file, ""));
                Err(Failure::Newer {
                    build: build.to_string(),
                    why: faults.faults.first().map_or(String::new(), |fault| {
                        format!("{}: {}", faults.file, fault.message)
                    }),
                })
            }
            other => other,
        }
    }

    fn read_job(&self) -> Result<Job, Failure> {
        // out of the book: a rule that came after a build was begun does not close its record
        let is_kept = self.unit.path.is_none();
        let mut unit = if is_kept {
            Unit::read_kept(&self.unit.name, &self.unit.text)?
        } else {
            Unit::read(&self.unit.name, &self.unit.text)?
        };
        let mut drawer = if is_kept {
            Drawer::read_kept(&self.drawer.name, &self.drawer.text)?
        } else {
            Drawer::read(&self.drawer.name, &self.drawer.text)?
        };
        let last = match &self.found {
            Some(text) => Some(LastLeft::read(&text.name, &text.text)?),
            None => None,
        };
        if let Some(last) = &last {
            last.put_in(&mut unit, &mut drawer);
        }
        let (unit, rework) = match &self.setting {
            None => (unit, None),
            Some(text) => {
                let setting = Setting::read(&text.name, &text.text)?;
                let (unit, rework) = unit.rework(setting, &digest_text(&self.unit))?;
                (unit, Some(rework))
            }
        };
        let procedure = if is_kept {
            Procedure::read_kept(&self.procedure.name, &self.procedure.text)?
        } else {
            Procedure::read(&self.procedure.name, &self.procedure.text)?
        };
        if procedure.drive_day {
            return Err(Failure::Unit(format!(
                "{} is of a drive day, and no unit is worked on: shimwright day CAR.toml",
                self.procedure.name
            )));
        }
        Ok(Job {
            unit,
            drawer,
            instruments: read_instruments(&self.instruments.name, &self.instruments.text)?,
            procedure,
            rework,
            last,
        })
    }

    /// Digests of the four texts, in the order of [`KEPT`].
    pub fn digests(&self) -> [String; 4] {
        [&self.unit, &self.drawer, &self.instruments, &self.procedure].map(digest_text)
    }

    /// Digest of the setting.
    pub fn setting_digest(&self) -> Option<String> {
        self.setting.as_ref().map(digest_text)
    }

    /// Digest of what the last build left.
    pub fn found_digest(&self) -> Option<String> {
        self.found.as_ref().map(digest_text)
    }

    /// The kept files that are not any more what the build began with.
    pub fn changed_since(&self, entries: &[Entry]) -> Vec<&'static str> {
        let then = entries.first().map(Entry::kept).unwrap_or_default();
        if then.is_empty() {
            return Vec::new();
        }
        let now = self.digests().map(Some);
        let now = KEPT
            .into_iter()
            .zip(now)
            .chain([(SETTING, self.setting_digest()), (FOUND, self.found_digest())]);
        now.filter(|(name, digest)| {
            let was = then.iter().find(|(kept, _)| kept == name).map(|(_, was)| *was);
            was != digest.as_deref()
        })
        .map(|(name, _)| name)
        .collect()
    }

    /// The files to keep beside the journal.
    pub fn files(&self) -> Vec<(&'static str, &[u8])> {
        let [unit, drawer, instruments, procedure] = KEPT;
        let mut files = vec![
            (unit, self.unit.text.as_bytes()),
            (drawer, self.drawer.text.as_bytes()),
            (instruments, self.instruments.text.as_bytes()),
            (procedure, self.procedure.text.as_bytes()),
        ];
        files.extend(self.setting.iter().map(|text| (SETTING, text.text.as_bytes())));
        files.extend(self.found.iter().map(|text| (FOUND, text.text.as_bytes())));
        files
    }
}

/// The digest of a text, as hex.
pub(crate) fn digest_text(text: &Text) -> String {
    Digest::of(text.text.as_bytes()).to_string()
}

/// The language of some letters; nothing for English and where none is asked for.
pub(crate) fn language_of(code: Option<&str>) -> Result<Option<&'static Language>, Failure> {
    match code.filter(|code| *code != "en") {
        None => Ok(None),
        // cautions in another language than was asked for are no help to who can not read them
        Some(code) => match Language::of(code) {
            Some(language) => Ok(Some(language)),
            None => Err(Failure::Unit(format!("the language {code} can not be read"))),
        },
    }
}

/// A stock procedure in a language, or the file of one, which is in its own.
pub(crate) fn find_procedure(name: &str, language: Option<&str>) -> Result<Text, Failure> {
    language_of(language)?;
    if let Some(source) = stock(name) {
        let translated = language
            .and_then(Language::of)
            .and_then(|language| stock_in(name, language));
        return Ok(Text {
            path: None,
            name: format!("{name} (stock)"),
            text: translated.unwrap_or_else(|| source.to_string()),
        });
    }
    match read_text(Path::new(name)) {
        Ok(own) => {
            // what is wrong is told of the file as it was written; a build keeps it with every step in full
            let procedure = Procedure::read(&own.name, &own.text)?;
            let wanted = language.unwrap_or(&procedure.spoken.language);
            if procedure.spoken.language != wanted {
                let words = format!(
                    "note: {} is in the language that it was written in, {}; the stock procedures are translated, and the steps \
                     that a file of your own takes by use, where it says language = \"{wanted}\"",
                    visible(&own.name),
                    procedure.spoken.language
                );
                write_out(&filled(&words, width()), true)?;
            }
            Ok(Text {
                text: with_library_steps(&own.text),
                ..own
            })
        }
        Err(Failure::File(BookError::Missing { .. })) => Err(Failure::NoProcedure {
            name: name.to_string(),
            known: STOCK.iter().map(|stock| stock.id).collect::<Vec<_>>().join(", "),
        }),
        other => other,
    }
}

/// The text of a stock procedure in every language.
pub(crate) fn stock_texts(name: &str) -> Vec<String> {
    let english = stock(name).map(str::to_string);
    let others = Language::stock()
        .iter()
        .filter_map(|language| stock_in(name, language));
    english.into_iter().chain(others).collect()
}

/// A stock use, or the file of one.
pub(crate) fn find_use(name: &str) -> Result<Text, Failure> {
    if let Some((id, source)) = STOCK_USES.iter().find(|(id, _)| *id == name) {
        return Ok(Text {
            path: None,
            name: format!("{id} (stock)"),
            text: (*source).to_string(),
        });
    }
    match read_text(Path::new(name)) {
        Err(Failure::File(BookError::Missing { .. })) => Err(Failure::NoUse {
            name: name.to_string(),
            known: STOCK_USES
                .iter()
                .map(|(id, _)| *id)
                .collect::<Vec<_>>()
                .join(", "),
        }),
        other => other,
    }
}

/// Reads a table, which may be longer than a file of ours.
pub(crate) fn read_large(path: &Path) -> Result<String, Failure> {
    read_input(path, MOST_TABLE).map_err(Failure::File)
}

/// Reads a file of bounded size.
pub(crate) fn read_text(path: &Path) -> Result<Text, Failure> {
    let text = read_input(path, MOST_BYTES).map_err(Failure::File)?;
    Ok(Text {
        path: Some(path.to_path_buf()),
        name: name_of(path),
        text,
    })
}

/// What a file that is read is called.
pub(crate) fn name_of(path: &Path) -> String {
    match path == Path::new(STANDARD) {
        true => "the standard input".to_string(),
        false => path.display().to_string(),
    }
}

/// A book that was named; an empty name is none.
fn named(given: Option<&PathBuf>) -> Option<&PathBuf> {
    given.filter(|dir| !dir.as_os_str().is_empty())
}

/// The book to look at. One that was named must be there; the usual one comes with its first build.
pub(crate) fn look(book: Option<&PathBuf>) -> Result<Shelf, Failure> {
    let shelf = Shelf::look(&there(book)?)?;
    Ok(shelf)
}

/// What is said of a folder or a link in the book that is no build.
pub(crate) fn left_alone(path: &Path) -> String {
    format!(
        "warning: {} is no build and is left alone\n",
        visible(&path.display().to_string())
    )
}

/// The folder of a book that must be there already where it was named.
pub(crate) fn there(book: Option<&PathBuf>) -> Result<PathBuf, Failure> {
    match named(book) {
        Some(dir) if !dir.exists() => Err(Failure::NoBook(dir.clone())),
        _ => book_dir(book),
    }
}

/// The folder of the book.
pub(crate) fn book_dir(given: Option<&PathBuf>) -> Result<PathBuf, Failure> {
    match named(given) {
        Some(dir) => Ok(dir.clone()),
        None => Ok(user_folders()?.in_data_dir("book")),
    }
}

/// The file by which this machine, and this user, knows its logs.
pub(crate) fn machine_file() -> Result<PathBuf, Failure> {
    Ok(user_folders()?.in_data_dir("machine"))
}

/// A file in the folder of the user's own settings.
pub(crate) fn user_file(name: &str) -> Result<PathBuf, Failure> {
    Ok(user_folders()?.in_config_dir(name))
}

fn user_folders() -> Result<impl AppStrategy, Failure> {
    choose_app_strategy(AppStrategyArgs {
        top_level_domain: String::new(),
        author: String::new(),
        app_name: "shimwright".to_string(),
    })
    .map_err(|_| Failure::NoHome)
}

/// The folder of practice: beside the book, never in it.
pub(crate) fn practice_dir(book: Option<&PathBuf>) -> Result<PathBuf, Failure> {
    let book = book_dir(book)?;
    let dir = book.with_file_name("practice");
    if dir == book {
        return Err(Failure::PracticeIsBook);
    }
    Ok(dir)
}

/// A build read from the book: its session, its digest, and what was wrong with its journal.
pub(crate) struct Opened {
    pub session: Session,
    pub digest: String,
    pub problems: Vec<String>,
    /// What a newer program wrote in it.
    pub newer: Vec<String>,
}

/// Reads builds one after the other. A job whose files are those of the build before is not read again: in a
/// book of many builds of few units that is most of the work.
#[derive(Default)]
pub(crate) struct Reader {
    last: Option<(Vec<String>, Job)>,
}

impl Reader {
    /// Reads a build of a real unit without locking it. Practice is none, wherever it lies.
    pub fn open_build(&mut self, shelf: &Shelf, id: &BuildId) -> Result<Opened, Failure> {
        let opened = self.open_any(shelf, id)?;
        match opened.session.practice() {
            Some(_) => Err(Failure::Practice(id.to_string())),
            None => Ok(opened),
        }
    }

    fn open_any(&mut self, shelf: &Shelf, id: &BuildId) -> Result<Opened, Failure> {
        let stored = stored(shelf, id)?;
        let lines = &stored.lines;
        if let Some(Entry::DayBegun { .. }) = lines.entries.first() {
            return Err(Failure::Day(id.to_string()));
        }
        let kept = Sources::kept(shelf, id)?;
        let digests: Vec<String> = kept
            .digests()
            .into_iter()
            .chain(kept.setting_digest())
            .chain(kept.found_digest())
            .collect();
        let job = match self.last.take() {
            Some((known, job)) if known == digests => job,
            _ => kept.job()?,
        };
        self.last = Some((digests, job.clone()));
        let mut problems = lines.problems.clone();
        for changed in kept.changed_since(&lines.entries) {
            problems.push(Failure::Snapshot(format!("{id}/{changed}")).to_string());
        }
        let session = Session::resume(job, &lines.entries);
        let newer = lines.newer.iter().chain(session.not_folded()).cloned().collect();
        Ok(Opened {
            digest: stored.record().1.to_string(),
            session,
            problems,
            newer,
        })
    }
}

/// The build of a name, if it is in the book: also where something is wrong with it, which is then what is told.
pub(crate) fn known_build(shelf: &Shelf, name: &str) -> Result<BuildId, Failure> {
    let id: BuildId = name.parse()?;
    if shelf.contents()?.named().contains(&id) {
        Ok(id)
    } else {
        Err(Failure::NoBuild(name.to_string()))
    }
}

/// Opens the journal of a build to write in it. What a newer program made is left as it is: nothing is locked, repaired
/// or written there.
pub(crate) fn to_write(shelf: &Shelf, id: &BuildId) -> Result<Journal, Failure> {
    let is_day = |lines: &Lines| matches!(lines.entries.first(), Some(Entry::DayBegun { .. }));
    if shelf.read(id).is_ok_and(|reading| is_day(&lines_of(&reading))) {
        return Err(Failure::Day(id.to_string()));
    }
    to_write_any(shelf, id)
}

/// Opens the journal of a build or of a drive day to write in it, as [`to_write`].
pub(crate) fn to_write_any(shelf: &Shelf, id: &BuildId) -> Result<Journal, Failure> {
    if let Ok(reading) = shelf.read(id) {
        let lines = lines_of(&reading);
        if let (Some(why), true) = (lines.newer.into_iter().next(), lines.problems.is_empty()) {
            return Err(Failure::Newer {
                build: id.to_string(),
                why,
            });
        }
    }
    Ok(shelf.resume(id)?)
}

/// Reads a build of a real unit without locking it. Practice is none, wherever it lies.
pub(crate) fn open_build(shelf: &Shelf, id: &BuildId) -> Result<Opened, Failure> {
    Reader::default().open_build(shelf, id)
}

/// Reads a build or a run of practice without locking it.
pub(crate) fn open_any(shelf: &Shelf, id: &BuildId) -> Result<Opened, Failure> {
    Reader::default().open_any(shelf, id)
}
