//! A new file by questions, a unit's or a car's, with a draft that keeps the answers until it is whole.

use super::arguments::{Asking, Ended};
use super::failure::Failure;
use super::front::{front, put};
use super::load::read_text;
use super::output::{Over, lay_down, write_out};
use crate::bench::{Answers, BenchError, Front, answers_line};
use crate::book::{BookError, Place, is_taken, take_away, write_whole};
use crate::procedure::{Described, NewFile, Reply, SURE};
use crate::workshop::new_text::{DRAWER_STARTER, INSTRUMENTS_STARTER};
use crate::workshop::{Car, Unit, UnitFile};
use std::collections::VecDeque;
use std::path::{Path, PathBuf};

/// A new file, as it is asked for.
pub(crate) struct New {
    /// What it describes.
    pub described: Described,
    /// The file to write; by default what it describes is called, with .toml, in this folder. One that is there is never
    /// written over.
    pub file: Option<PathBuf>,
    /// How questions are put.
    pub asking: Asking,
}

impl New {
    /// The command that asks.
    fn command(&self) -> &'static str {
        match self.described {
            Described::Unit => "new-unit",
            Described::ClosedUnit => "new-unit --closed",
            Described::Car => "new-car",
        }
    }
}

/// Asks for what a file needs, and writes it.
pub(crate) fn new_file(arguments: &New) -> Result<Ended, Failure> {
    let mut place = Place::Free;
    if let Some(file) = &arguments.file {
        place = Place::of(file).map_err(Failure::Written)?;
        if place == Place::Taken {
            return Err(Failure::Exists(file.display().to_string()));
        }
    }
    // questions would stand between the lines of the file
    if place == Place::Standard && arguments.asking.answers.is_none() {
        return Err(Failure::OutputAsked);
    }
    let mut front = front(&arguments.asking, place != Place::Free)?;
    let mut unit = NewFile::new(arguments.described, arguments.asking.units);
    if let (Some(file), None, Place::Free) = (&arguments.file, &arguments.asking.answers, place) {
        take_up(&draft_of(file), &mut unit, &mut *front)?;
    }
    let mut drafted = false;
    while let Some(ask) = unit.ask() {
        match put(&mut *front, ask)? {
            (_, Reply::Pause) => return left(arguments, &unit),
            (_, reply) => {
                let before = unit.clone();
                let answered = unit
                    .answer(&reply)
                    .and_then(|said| match file_of(arguments, &unit) {
                        Some(file) if arguments.file.is_none() && !drafted => {
                            let taken = taken(arguments, &file);
                            if taken.is_some() {
                                unit = before;
                            }
                            taken.map_or(Ok(said), Err)
                        }
                        _ => Ok(said),
                    });
                match answered {
                    Ok(said) => {
                        drafted |= keep(arguments, place, &unit)?;
                        front.say(&said)?;
                    }
                    Err(refusal) => front.refuse(&refusal)?,
                }
            }
        }
    }
    front.finish()?;
    let Some(file) = file_of(arguments, &unit) else {
        return left(arguments, &unit);
    };
    let text = unit.text();
    // what is written is read back before it is
    let name = file.display().to_string();
    let beside = match arguments.described {
        Described::Unit => beside(&Unit::read(&name, &text)?),
        Described::ClosedUnit => UnitFile::read(&name, &text).map(|_| Vec::new())?,
        Described::Car => Car::read(&name, &text).map(|_| Vec::new())?,
    };
    let laid = lay_down(&file, text.as_bytes(), Over::Nothing)?;
    if place != Place::Free {
        return laid
            .say(match arguments.described {
                Described::Unit => "The unit's file is written; its drawer and instruments are not begun.\n",
                Described::ClosedUnit => "The closed unit's file is written.\n",
                Described::Car => "The car's file is written.\n",
            })
            .map(|()| Ended::Done);
    }
    take_away(&draft_of(&file));
    let mut words = format!("{} is written.\n", file.display());
    let folder = file.parent().unwrap_or(Path::new(""));
    for (name, starter) in beside {
        let beside = folder.join(name);
        if !is_taken(&beside) {
            lay_down(&beside, starter.as_bytes(), Over::Nothing)?;
            words.push_str(&format!(
                "{} is begun: write into it what there is.\n",
                beside.display()
            ));
        }
    }
    words.push_str(&match arguments.described {
        Described::Unit => format!("Then: shimwright work full-rebuild {}\n", file.display()),
        Described::ClosedUnit => format!(
            "Then: shimwright settle CAR.toml --use tarmac-stage --unit {}\n",
            file.display()
        ),
        Described::Car => format!(
            "Then: shimwright settle {} --use tarmac-stage --unit UNIT.toml\n",
            file.display()
        ),
    });
    write_out(&words, false)?;
    Ok(Ended::Done)
}

/// The files that lie beside a unit's, each with what it begins as.
fn beside(unit: &Unit) -> Vec<(String, &'static str)> {
    let files = [
        (&unit.drawer, DRAWER_STARTER),
        (&unit.instruments, INSTRUMENTS_STARTER),
    ];
    let named = files
        .into_iter()
        .filter_map(|(name, starter)| Some((name.clone()?, starter)));
    named.collect()
}

/// Why the file of an id that was just given can not be written, or a draft of it not be begun.
fn taken(arguments: &New, file: &Path) -> Option<crate::procedure::Refusal> {
    let draft = draft_of(file);
    let words = if is_taken(file) {
        format!("{} is there already; take another name", file.display())
    } else if is_taken(&draft) {
        format!(
            "{} is there already: take another name, or go on with that one by `shimwright {} {}`",
            draft.display(),
            arguments.command(),
            file.display()
        )
    } else {
        return None;
    };
    Some(crate::procedure::Refusal {
        words,
        sure: false,
        suggests: false,
    })
}

/// The file that is to be written, once it is known.
fn file_of(arguments: &New, unit: &NewFile) -> Option<PathBuf> {
    arguments
        .file
        .clone()
        .or_else(|| Some(PathBuf::from(format!("{}.toml", unit.name()?))))
}

/// Where the answers of a file are kept until it is whole.
fn draft_of(file: &Path) -> PathBuf {
    let mut name = file.as_os_str().to_os_string();
    name.push(".draft");
    PathBuf::from(name)
}

/// Keeps the answers so far, so that neither a power cut nor a closed window loses one; whether it did.
fn keep(arguments: &New, place: Place, unit: &NewFile) -> Result<bool, Failure> {
    let (Some(file), None, Place::Free) = (file_of(arguments, unit), &arguments.asking.answers, place) else {
        return Ok(false);
    };
    let mut text = format!(
        "# Answers to `shimwright {}` that is not done yet; it goes on with them.\n",
        arguments.command()
    );
    for (slot, reply) in unit.given() {
        text.push_str(&answers_line(&slot, &reply));
        text.push('\n');
    }
    write_whole(&draft_of(&file), text.as_bytes()).map_err(Failure::File)?;
    Ok(true)
}

/// Goes on with a draft, where there is one and the person wants to.
fn take_up(draft: &Path, unit: &mut NewFile, front: &mut dyn Front) -> Result<(), Failure> {
    let text = match read_text(draft) {
        Err(Failure::File(BookError::Missing { .. })) => return Ok(()),
        other => other?,
    };
    if !front.confirm(&format!("{} is not done. Go on with it?", text.name), true)? {
        return Ok(());
    }
    let mut known = Answers::parse(&text.text, &text.name)?;
    let mut refused: VecDeque<String> = VecDeque::new();
    while let Some(ask) = unit.ask() {
        let reply = match known.ask(&ask) {
            Ok(reply) => reply,
            Err(BenchError::TooShort { .. }) => break,
            Err(error) => return Err(error.into()),
        };
        // what was odd was confirmed the first time
        let again = unit.answer(&reply).or_else(|refusal| match refusal.sure {
            true => unit.answer(&Reply::Answer(SURE.to_string())),
            false => Err(refusal),
        });
        if let Err(refusal) = again {
            refused.push_back(refusal.words);
            break;
        }
    }
    match refused.pop_front() {
        Some(words) => write_out(&format!("From here on again: {words}\n"), false),
        None => Ok(()),
    }
}

/// Stopped before the file was whole.
fn left(arguments: &New, unit: &NewFile) -> Result<Ended, Failure> {
    match file_of(arguments, unit) {
        Some(file) if arguments.asking.answers.is_none() && !unit.given().is_empty() => write_out(
            &format!(
                "Nothing is written yet; the answers are kept in {}.\nTo go on: shimwright {} {}\n",
                draft_of(&file).display(),
                arguments.command(),
                file.display()
            ),
            false,
        )?,
        _ => write_out("Nothing is written.\n", false)?,
    }
    Ok(Ended::Paused)
}
