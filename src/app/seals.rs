//! Keys, allowed signers and the seals of a build: what `sign`, `check`, `correct`, `work` and `sheet` share.

use super::arguments::Signing;
use super::book_log::BookLog;
use super::clock::{Clock, zone};
use super::compared::since_last;
use super::days::driven_words;
use super::failure::Failure;
use super::rotation_files::{RotationFiles, rotation_files};
use super::stored::stored;
use crate::bench::{BenchError, Unseen};
use crate::book::{BookError, BuildId, Journal, STANDARD, Shelf, read_secret};
use crate::procedure::Session;
use crate::record::{Build, Certainty, Entry, Finding, Rules, SealCheck, Statement, Stored, seal_files};
use crate::seal::{Digest, Moment, PublicKey, Rotated, Secret, Signers, SigningKey, Standing};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use std::path::{Path, PathBuf};

/// The most bytes that a key or a passphrase may have.
const MOST_SECRET: u64 = 64 << 10;
/// The most bytes that an allowed-signers file may have.
const MOST_SIGNERS: u64 = 1 << 20;
/// The name of the allowed-signers file in the book.
const SIGNERS: &str = "allowed_signers";
/// The name of the file with revoked keys in the book.
pub(crate) const REVOKED: &str = "revoked_keys";
/// The name of the file with the rules of the book.
pub(crate) const RULES: &str = "rules";
/// How often a passphrase may be mistyped.
const TRIES: usize = 3;

/// Reads a private key. One with a passphrase is still shut.
pub(crate) fn read_key(path: &Path) -> Result<SigningKey, Failure> {
    let file = read_secret(path, MOST_SECRET).map_err(Failure::File)?;
    SigningKey::read(&file).map_err(|why| Failure::Key {
        path: path.to_path_buf(),
        why,
    })
}

/// The passphrase in the first line of a file, which may be a pipe. One that is empty, or only blank, is what is left of
/// a program that failed to give it, and is refused.
pub(crate) fn read_passphrase(path: &Path) -> Result<Secret, Failure> {
    let line = read_secret(path, MOST_SECRET)
        .map_err(Failure::File)?
        .first_line();
    if line.bytes().trim_ascii().is_empty() {
        return Err(Failure::EmptyPassphrase(path.to_path_buf()));
    }
    Ok(line)
}

/// Opens a key that has a passphrase: with the one in `file`, or the one that is typed.
pub(crate) fn unlock(path: &Path, file: Option<&Path>) -> Result<SigningKey, Failure> {
    let wrong = |why| Failure::Key {
        path: path.to_path_buf(),
        why,
    };
    let key = read_key(path)?;
    if !key.locked() {
        return Ok(key);
    }
    if let Some(file) = file {
        return key.unlock(&read_passphrase(file)?).map_err(wrong);
    }
    let question = format!("Passphrase of {}:", path.display());
    let mut last = None;
    let mut unseen = Unseen::begin().map_err(|error| match error {
        BenchError::NoTerminal => Failure::NoPassphrase(path.to_path_buf()),
        other => other.into(),
    })?;
    for _ in 0..TRIES {
        match read_key(path)?.unlock(&unseen.ask(&question)?) {
            Ok(key) => {
                unseen.end()?;
                return Ok(key);
            }
            Err(why) => {
                unseen.say(&why.to_string())?;
                last = Some(why);
            }
        }
    }
    Err(last.map_or_else(|| Failure::NoPassphrase(path.to_path_buf()), wrong))
}

/// The allowed signers: those of a file that is named, or of the book, where there need not be any; with the book's revoked
/// keys and its rotations.
pub(crate) fn signers(given: Option<&Path>, shelf: &Shelf) -> Result<(PathBuf, Signers), Failure> {
    let book = shelf.dir();
    let path = match given {
        Some(path) => path.to_path_buf(),
        None => book.join(SIGNERS),
    };
    let signers = match crate::book::read_input(&path, MOST_SIGNERS) {
        Ok(text) => Signers::read(&text),
        Err(BookError::Missing { .. }) if given.is_none() => Signers::default(),
        Err(error) => return Err(Failure::File(error)),
    };
    let revoking = signers.revoking(&of_book(book, REVOKED)?);
    Ok((path, revoking.rotating(rotations(shelf)?.0)))
}

/// The digest of the book's own file of who is who; nothing where it has none.
pub(crate) fn who_is_who(book: &Path) -> Result<Option<Digest>, Failure> {
    match crate::book::read_input(&book.join(SIGNERS), MOST_SIGNERS) {
        Ok(text) => Ok(Some(Digest::of(text.as_bytes()))),
        Err(BookError::Missing { .. }) => Ok(None),
        Err(error) => Err(Failure::File(error)),
    }
}

/// The rotations that lie in a book with the signatures of their old keys, and what is wrong with those that do not hold.
fn rotations(shelf: &Shelf) -> Result<(Vec<Rotated>, Vec<Finding>), Failure> {
    let (mut held, mut found) = (Vec::new(), Vec::new());
    for RotationFiles { file, read, .. } in rotation_files(shelf)? {
        let read = read.and_then(|rotation| match moment(&rotation.time) {
            Some(at) => Ok(rotation.rotated(&file, at)),
            None => Err("it counts for nothing: its time can not be read".to_string()),
        });
        match read {
            Ok(rotated) => held.push(rotated),
            Err(words) => found.push(Finding::new(Certainty::Open, format!("{file}: {words}"))),
        }
    }
    Ok((held, found))
}

/// What a check says of a book's rotations: those that can not be read or do not count, and, with `all`, those that do.
pub(crate) fn told_of_rotations(
    shelf: &Shelf,
    signers: &Signers,
    all: bool,
) -> Result<Vec<Finding>, Failure> {
    let (_, mut found) = rotations(shelf)?;
    for one in signers.rotations() {
        let Rotated {
            old,
            new,
            name,
            time,
            file,
            ..
        } = &one.rotated;
        match &one.against {
            Some(against) => {
                let words = format!("{file}: it counts for nothing: {against}");
                found.push(Finding::new(Certainty::Open, words));
            }
            None if all => {
                let words = format!(
                    "{file}: key {} of {name} took the place of {} at {time}, as that signed it",
                    new.fingerprint(),
                    old.fingerprint()
                );
                found.push(Finding::new(Certainty::Holds, words));
            }
            None => {}
        }
    }
    Ok(found)
}

/// A text that the book has of its own; empty where there is none.
fn of_book(book: &Path, name: &str) -> Result<String, Failure> {
    match crate::book::read_input(&book.join(name), MOST_SIGNERS) {
        Err(BookError::Missing { .. }) => Ok(String::new()),
        other => other.map_err(Failure::File),
    }
}

/// The rules of the book: what its file of rules says, a rule a line.
pub(crate) fn rules(book: &Path) -> Result<Rules, Failure> {
    Ok(Rules::read(&of_book(book, RULES)?))
}

/// A time in the forms that allowed signers are dated in.
pub(crate) fn moment(text: &str) -> Option<Moment> {
    let at: Timestamp = text.parse().ok()?;
    let digits = "%Y%m%d%H%M%S";
    Some(Moment {
        utc: at.to_zoned_datetime(TimeZone::UTC).strftime(digits).to_string(),
        local: at.to_zoned_datetime(zone()).strftime(digits).to_string(),
    })
}

/// A build summed up for its sheet, with what its seals say.
pub(crate) fn summed_up(shelf: &Shelf, id: &BuildId, session: &Session) -> Result<Build, Failure> {
    let (_, signers) = signers(None, shelf)?;
    let examined = stored(shelf, id)?.examine(&signers, &moment);
    let mut build = unsealed(shelf, id, session, &examined.digest.to_string())?;
    put_on_sheet(&mut build, &examined);
    Ok(build)
}

/// A build summed up for a sheet that has its record in it: from that record and nothing beside it. What another build or a list
/// of who is who says is not on such a sheet.
pub(crate) fn by_itself(shelf: &Shelf, id: &BuildId, session: &Session) -> Result<Build, Failure> {
    let examined = stored(shelf, id)?.examine(&Signers::default(), &moment);
    let mut build = session.build(id.as_str(), &examined.digest.to_string());
    put_on_sheet(&mut build, &examined);
    Ok(build)
}

/// A build summed up for its sheet, as one that nobody has signed.
pub(crate) fn unsealed(
    shelf: &Shelf,
    id: &BuildId,
    session: &Session,
    digest: &str,
) -> Result<Build, Failure> {
    let mut build = session.build(id.as_str(), digest);
    build.since = since_last(shelf, id, session)?;
    if let Some(since) = &mut build.since {
        let driven = driven_words(shelf, &since.build, session.units())?;
        since
            .lines
            .extend(driven.map(|words| ("driven".to_string(), words)));
    }
    Ok(build)
}

/// Puts onto a build's sheet what its seals say. A record that is not as it was signed makes it a sheet that is not to be
/// trusted as finished; a seal that does not hold by itself is told there, and takes nothing from the others.
fn put_on_sheet(build: &mut Build, examined: &SealCheck) {
    build.on_paper.seals.clone_from(&examined.seals);
    let of_seals = |finding: &&Finding| finding.seal.is_some();
    let words = |finding: &Finding| finding.words.clone();
    let altered: Vec<String> = examined.altered().filter(of_seals).map(words).collect();
    if !altered.is_empty() {
        build.finished = None;
    }
    let bad = examined.bad_seals().filter(of_seals).map(words);
    build.open.splice(0..0, altered.into_iter().chain(bad));
}

/// What came of signing.
pub(crate) struct Sealed {
    pub number: u32,
    pub name: String,
    pub key: String,
    pub time: String,
    pub lines: usize,
    pub digest: String,
    /// The line for the allowed signers, where they lack it.
    pub unknown: Option<String>,
}

/// Signs the record of a build whose journal is open here. `fallback` is the name to sign with where neither the
/// arguments nor the allowed signers have one.
pub(crate) fn seal(
    log: &mut BookLog<'_>,
    journal: &mut Journal,
    key: &SigningKey,
    name: Option<&str>,
    fallback: Option<&str>,
    signers: &Signers,
    clock: &Clock,
) -> Result<Sealed, Failure> {
    let (id, shelf) = (journal.id().clone(), log.shelf());
    let mut stored = stored(shelf, &id)?;
    let mut examined = stored.examine(signers, &moment);
    let named = name_what_is_left(shelf, journal, &mut stored, &mut examined, signers)?;
    let altered: Vec<&str> = examined.altered().map(|finding| finding.words.as_str()).collect();
    if !altered.is_empty() {
        return Err(Failure::RecordAltered(altered.join("\n  ")));
    }
    if !stored
        .lines
        .entries
        .iter()
        .any(|entry| matches!(entry, Entry::Finished { .. }))
    {
        return Err(Failure::NotFinished(id.to_string()));
    }
    let public = key.public();
    if let Some((seal, _)) = examined.on_all().find(|(_, signed)| **signed == public) {
        // the power may have gone between this seal and its line in the log, or in the journal, which it has now
        log.write(&id, true, &clock.time())?;
        if named.contains(&seal.number) {
            return Ok(Sealed {
                number: seal.number,
                name: seal.name.clone(),
                key: seal.key.clone(),
                time: seal.time.clone(),
                lines: seal.lines,
                digest: examined.digest.groups(),
                unknown: (!seal.known).then(|| public.signers_line(&seal.name)),
            });
        }
        return Err(Failure::SignedAlready {
            number: seal.number,
            name: seal.name.clone(),
        });
    }
    let time = clock.time();
    let (name, standing) = stands(&public, Statement::NAMESPACE, name, fallback, signers, &time)?;
    log.write(&id, true, &time)?;
    let (number, mut statement) = stored.statement(name, &time);
    statement.log = log.head(&time)?;
    statement.signers = who_is_who(shelf.dir())?;
    let (text, signature) = statement.sign(key)?;
    let (text_name, signature_name) = seal_files(number);
    // half of one is written over; a whole one that the journal does not name is somebody's
    if stored.files.contains_key(&text_name) && stored.files.contains_key(&signature_name) {
        return Err(Failure::SealInTheWay(format!("{text_name} and {signature_name}")));
    }
    journal.put(&text_name, text.as_bytes())?;
    journal.put(&signature_name, signature.as_bytes())?;
    let naming = Stored::naming(number, text.as_bytes(), signature.as_bytes());
    journal.append(&naming.to_json()?)?;
    log.write(&id, false, &time)?;
    Ok(Sealed {
        number,
        name: name.to_string(),
        key: public.fingerprint(),
        time,
        lines: statement.lines,
        digest: statement.journal.groups(),
        unknown: (standing == Standing::Unknown).then(|| public.signers_line(name)),
    })
}

/// The name to sign with, and what the allowed signers say of the key under it now, for a namespace. Errors: what they have against it, for
/// `check` would call such a seal broken for ever.
pub(crate) fn stands<'n>(
    key: &PublicKey,
    namespace: &str,
    name: Option<&'n str>,
    fallback: Option<&'n str>,
    signers: &'n Signers,
    time: &str,
) -> Result<(&'n str, Standing), Failure> {
    let at = moment(time).ok_or_else(|| Failure::Time(time.to_string()))?;
    let name = name
        .or_else(|| signers.name_of(key, namespace, &at))
        .or(fallback)
        .ok_or(Failure::NoName)?;
    Statement::check_name(name)?;
    let standing = signers.standing(key, name, namespace, &at);
    match standing.against() {
        Some(words) => Err(Failure::NotAllowed {
            name: name.to_string(),
            words,
        }),
        None => Ok((name, standing)),
    }
}

/// Names in the journal the seals that were written just before the power went, and gives their numbers.
fn name_what_is_left(
    shelf: &Shelf,
    journal: &mut Journal,
    stored: &mut Stored,
    examined: &mut SealCheck,
    signers: &Signers,
) -> Result<Vec<u32>, Failure> {
    let mut named = Vec::new();
    loop {
        let next = stored.statement("", "").0;
        if !examined.whole.contains(&next) {
            return Ok(named);
        }
        let (text, signature) = seal_files(next);
        let (Some(text), Some(signature)) = (stored.files.get(&text), stored.files.get(&signature)) else {
            return Ok(named);
        };
        named.push(next);
        journal.append(&Stored::naming(next, text, signature).to_json()?)?;
        *stored = self::stored(shelf, journal.id())?;
        *examined = stored.examine(signers, &moment);
    }
}

impl Signing {
    /// Refuses a key that could not sign now, before the work is begun. Where no name is given it is the one that the
    /// allowed signers have; a name that is only typed later is looked at when it is.
    pub fn may_sign(&self, shelf: &Shelf) -> Result<(), Failure> {
        let (_, signers) = signers(None, shelf)?;
        match self.may_sign_now(&signers, &Clock::Now) {
            Err(Failure::NoName) => Ok(()),
            other => other,
        }
    }

    /// Refuses a key that could not sign now, or that has no name to sign with, before anything is asked.
    pub fn may_sign_now(&self, signers: &Signers, clock: &Clock) -> Result<(), Failure> {
        // what comes in is there once
        let Some(path) = self.key.as_deref().filter(|path| *path != Path::new(STANDARD)) else {
            return Ok(());
        };
        let public = read_key(path)?.public();
        let (name, time) = (self.name.as_deref(), clock.time());
        stands(&public, Statement::NAMESPACE, name, None, signers, &time).map(|_| ())
    }

    /// The key file that is named, looked at: so that a wrong one is told before the work is begun.
    pub fn looked_at(&self) -> Result<Option<&Path>, Failure> {
        let Some(path) = &self.key else {
            return Ok(None);
        };
        // what comes in is there once
        if path != Path::new(STANDARD) {
            read_key(path)?;
        }
        Ok(Some(path))
    }
}
