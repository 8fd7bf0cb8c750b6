//! The whole book in one file, and out of it again: what is put where, and whether all of it comes back.

use super::book_log::BookLog;
use super::clock::Clock;
use super::days::{is_day, open_day};
use super::export::many;
use super::failure::Failure;
use super::load::{look, name_of, open_any};
use super::output::{Laid, on_output_by, refused, say_swept, sweep, told, width, write_out};
use super::progress::Progress;
use super::record_pdf::{as_backup, is_pdf};
use super::seals::summed_up;
use crate::book::{
    Backup, BookError, BuildId, LeftOut, Place, Shelf, is_backup, make_backup, restore as unpack,
    sweep_unpacked, temporary_folder,
};
use crate::quantity::visible;
use crate::report::Figures;
use crate::screen::{filled, hanging};
use crate::sheet::{Paper, pdf};
use std::path::{Path, PathBuf};

/// A backup, as it is asked for.
pub(crate) struct BackUp {
    /// Where it is written.
    pub file: PathBuf,
    /// Whether a file that is there is written over.
    pub replace: bool,
    /// The book, where it is not the usual one.
    pub book: Option<PathBuf>,
    /// Told as one JSON object.
    pub json: bool,
}

/// What is to be unpacked, as it is asked for.
pub(crate) struct Restore {
    /// The backup.
    pub file: PathBuf,
    /// The new folder; nothing where it is only to be tried.
    pub folder: Option<PathBuf>,
    /// Told as one JSON object.
    pub json: bool,
}

/// Writes the whole book into one file. True where everything that belongs to the record is in it.
pub(crate) fn back_up(asked: &BackUp) -> Result<bool, Failure> {
    let shelf = look(asked.book.as_ref())?;
    if !shelf.dir().is_dir() {
        return Err(Failure::NoBook(shelf.dir().to_path_buf()));
    }
    let (file, over) = (&asked.file, asked.replace);
    let place = Place::of(file).map_err(refused)?;
    if place == Place::Taken && !over && !is_backup(file) {
        return Err(Failure::Exists(file.display().to_string()));
    }
    let beside = match place {
        Place::Free | Place::Taken => {
            sweep(file)?;
            Some(file.as_path())
        }
        Place::Standard | Place::Stream => None,
    };
    let mut progress = Progress::new("backing up", shelf.contents()?.named().len(), "builds");
    let mut said = Ok(());
    let made = make_backup(&shelf, beside, |done| {
        if said.is_ok() {
            said = progress.at(done);
        }
    })
    .map_err(Failure::Written)?;
    said?;
    progress.end()?;
    let holds = made.holds.clone();
    let laid = match place {
        Place::Standard => on_output_by(|out| made.write_to(out))?,
        Place::Stream => {
            made.write_into(file).map_err(Failure::Written)?;
            Laid::default()
        }
        Place::Taken if !over && made.is_at(file) => Laid::default(),
        Place::Free | Place::Taken => {
            made.put(file, over).map_err(refused)?;
            Laid::default()
        }
    };
    laid.say(&match asked.json {
        true => figures(&told(file), &holds).told("backup").to_json()?,
        false => words(&told(file), &holds),
    })?;
    for left in &holds.left_out {
        write_out(&left_words(left), true)?;
    }
    Ok(holds.is_whole())
}

fn figures(file: &str, holds: &Backup) -> Figures {
    Figures::new()
        .text("file", file)
        .count("builds", holds.builds)
        .count("files", holds.files)
        .count("bytes", usize::try_from(holds.bytes).unwrap_or(usize::MAX))
        .text("digest", holds.digest.to_string())
        .count("left_out", holds.left_out.len())
        .flag("whole", holds.is_whole())
}

fn words(file: &str, holds: &Backup) -> String {
    let Backup {
        builds,
        files,
        bytes,
        digest,
        ..
    } = holds;
    let mut text = format!(
        "{file}: {}, {}, {}; read back after writing\n",
        many(*builds, "build"),
        many(*files, "file"),
        many(usize::try_from(*bytes).unwrap_or(usize::MAX), "byte")
    );
    text.push_str(&hanging("  digest ", &digest.groups(), width()));
    text.push_str(
        "Private keys are not in it, nor are drawers and instruments outside the book: keep copies of these as well.\n",
    );
    text
}

fn left_words(left: &LeftOut) -> String {
    let path = left.path.display().to_string();
    let word = if left.is_lack {
        "NOT IN THE BACKUP"
    } else {
        "left out"
    };
    format!("warning: {word}: {}: {}\n", visible(&path), visible(&left.why))
}

/// Unpacks a backup into a new folder, or tries it, and says whether all builds of it come back. True where they do.
pub(crate) fn restore(asked: &Restore) -> Result<bool, Failure> {
    let scratch = match asked.folder {
        Some(_) => None,
        None => Some(temporary_folder().map_err(Failure::Written)?),
    };
    let tried = scratch.as_ref().map(|scratch| scratch.path().join("book"));
    let Some(folder) = asked.folder.as_ref().or(tried.as_ref()) else {
        return Err(Failure::NoHome);
    };
    say_swept(&sweep_unpacked(folder))?;
    let out_of_pdf = is_pdf(&asked.file).then(|| as_backup(&asked.file)).transpose()?;
    let file = out_of_pdf.as_ref().map_or(asked.file.as_path(), AsRef::as_ref);
    let (mut progress, mut said) = (None, Ok(()));
    let holds = unpack(file, folder, |done, of| {
        let progress = progress.get_or_insert_with(|| Progress::new("unpacking", of, "files"));
        if said.is_ok() {
            said = progress.at(done);
        }
    })
    .map_err(|fault| match fault {
        BookError::Exists { .. } => refused(fault),
        BookError::Backup { .. } => Failure::File(fault),
        BookError::Missing { ref path } | BookError::IsFolder { ref path } if *path == asked.file => {
            Failure::File(fault)
        }
        fault => Failure::Written(fault),
    })?;
    said?;
    if let Some(progress) = progress {
        progress.end()?;
    }
    if out_of_pdf.is_some() && asked.folder.is_some() {
        begin_log(folder)?;
    }
    let back = replayed(&Shelf::look(folder)?, scratch.is_some())?;
    let text = match asked.json {
        true => back
            .figures(&holds, asked.folder.as_deref())
            .told("restore")
            .to_json()?,
        false => back.words(&visible(&name_of(&asked.file)), &holds, asked.folder.as_deref()),
    };
    write_out(&text, false)?;
    if let (Some(_), Some(folder), false) = (&out_of_pdf, &asked.folder, asked.json) {
        let words = format!(
            "It came out of a PDF: whose seals hold is told by shimwright check NAME --book {} --signers FILE",
            told(folder)
        );
        write_out(&filled(&words, width()), false)?;
    }
    Ok(back.faults.is_empty())
}

/// Begins the log of a book that came out of a PDF, which has none, so that what its seals know of the log of the book that they were
/// made in is told for what it is.
fn begin_log(folder: &Path) -> Result<(), Failure> {
    let shelf = Shelf::open(folder)?;
    let at = Clock::Now.time();
    let mut log = BookLog::afresh(&shelf);
    for id in shelf.list()? {
        log.adopt(&id, &at)?;
    }
    Ok(())
}

/// What came of the builds of a book that was unpacked.
struct Back {
    builds: usize,
    /// What is not as it should be, each with its build.
    faults: Vec<(BuildId, String)>,
    /// The build whose sheet was printed, and how many bytes it has.
    sheet: Option<(BuildId, usize)>,
}

/// Goes through every build again, from its first line to its last, and prints the sheet of the last that is finished.
fn replayed(shelf: &Shelf, with_sheet: bool) -> Result<Back, Failure> {
    let builds = shelf.contents()?.named();
    let mut progress = Progress::new("going through", builds.len(), "builds");
    let mut back = Back {
        builds: builds.len(),
        faults: Vec::new(),
        sheet: None,
    };
    let mut last = None;
    for (done, id) in builds.iter().enumerate() {
        progress.at(done)?;
        let problems = if is_day(shelf, id) {
            open_day(shelf, id).map(|day| [day.problems, day.newer].concat())
        } else {
            open_any(shelf, id).map(|opened| {
                if opened.session.is_finished()
                    && opened.session.practice().is_none()
                    && opened.problems.is_empty()
                {
                    last = Some((id, opened.session));
                }
                [opened.problems, opened.newer].concat()
            })
        };
        match problems {
            Ok(problems) if problems.is_empty() => {}
            Ok(problems) => back.faults.push((id.clone(), problems.join("; "))),
            Err(fault) => back.faults.push((id.clone(), fault.to_string())),
        }
    }
    progress.end()?;
    if let (Some((id, session)), true) = (last, with_sheet) {
        let bytes = pdf(&summed_up(shelf, id, &session)?, Paper::A4)?;
        back.sheet = Some((id.clone(), bytes.len()));
    }
    Ok(back)
}

impl Back {
    fn whole(&self) -> usize {
        self.builds - self.faults.len()
    }

    fn figures(&self, holds: &Backup, folder: Option<&Path>) -> Figures {
        let figures = match folder {
            Some(folder) => Figures::new().text("folder", told(folder)),
            None => Figures::new(),
        };
        let figures = figures
            .count("builds", self.builds)
            .count("come_back", self.whole())
            .count("files", holds.files)
            .count("bytes", usize::try_from(holds.bytes).unwrap_or(usize::MAX))
            .text("digest", holds.digest.to_string());
        match &self.sheet {
            Some((id, bytes)) => figures.text("sheet_of", id.as_str()).count("sheet_bytes", *bytes),
            None => figures,
        }
    }

    fn words(&self, file: &str, holds: &Backup, folder: Option<&Path>) -> String {
        let (whole, builds) = (self.whole(), self.builds);
        let mut text = format!("{file}: whole, {} files, {} bytes\n", holds.files, holds.bytes);
        for (id, fault) in &self.faults {
            text.push_str(&hanging(&format!("  {id}  "), &visible(fault), width()));
        }
        text.push_str(&format!("{whole} of {builds} come back"));
        text.push_str(match self.faults.is_empty() {
            true => ": each was gone through from its first line to its last\n",
            false => "; the others are as they were in the book\n",
        });
        if let Some((id, bytes)) = &self.sheet {
            text.push_str(&format!("The sheet of {id} was printed from it: {bytes} bytes\n"));
        }
        match folder {
            Some(folder) => text.push_str(&format!(
                "The book is in {0}: work with it by --book {0}. Private keys are not in it.\n",
                told(folder)
            )),
            None => text.push_str("That was a try: nothing was kept of it.\n"),
        }
        text
    }
}
