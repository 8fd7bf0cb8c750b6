//! A font that a person hands in by path, and what is said of the signs that could not be printed.

use super::failure::Failure;
use super::load::name_of;
use super::output::{width, write_out};
use super::quiet::quietly;
use crate::book::{STANDARD, read_input_bytes};
use crate::quantity::visible;
use crate::screen::filled;
use crate::seal::Digest;
use crate::sheet::{FontError, FontUse, GivenFont, SheetError, with_font};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The most bytes of a font.
const MOST: u64 = 64 << 20;
/// The most signs that are named.
const MOST_NAMED: usize = 20;

/// The font at a path, with the number of a face behind it where it is a collection (`FILE#2`).
///
/// # Errors
///
/// A file that can not be read, or that is no font that can be printed with.
pub(crate) fn given_font(path: Option<&PathBuf>) -> Result<Option<GivenFont>, Failure> {
    let Some(path) = path else {
        return Ok(None);
    };
    let (file, face) = file_and_face(path);
    let bytes = read_input_bytes(&file, MOST).map_err(Failure::File)?;
    let digest = Digest::of(&bytes).to_string();
    // what the sheet says is for others, whom this machine's folders do not concern
    let name = match file.file_name() {
        Some(name) if file != Path::new(STANDARD) => name.to_string_lossy().into_owned(),
        _ => name_of(&file),
    };
    let read = quietly(|| GivenFont::read(bytes, &name, &digest, face));
    let broken = || FontError::Damaged("its tables contradict each other".to_string());
    read.unwrap_or_else(|| Err(broken()))
        .map(Some)
        .map_err(|why| Failure::Font {
            path: file.clone(),
            why,
        })
}

/// A path without the number of a face; a file that is really called so is taken as it is.
fn file_and_face(path: &Path) -> (PathBuf, Option<usize>) {
    let parted = || {
        let (file, face) = path.to_str()?.rsplit_once('#')?;
        Some((PathBuf::from(file), Some(face.parse().ok()?)))
    };
    match path.exists() {
        true => (path.to_path_buf(), None),
        false => parted().unwrap_or_else(|| (path.to_path_buf(), None)),
    }
}

/// Prints something with a font that was handed in, and says on the error output which signs could not be printed.
///
/// # Errors
///
/// What keeps the pages from being written; a font whose glyphs can not be read.
pub(crate) fn printed<T>(
    font: Option<&GivenFont>,
    job: impl FnOnce() -> Result<T, SheetError>,
) -> Result<T, Failure> {
    let (made, used) = match font {
        None => with_font(None, job),
        // its glyphs are foreign, and are read only now
        Some(given) => quietly(|| with_font(font, job)).ok_or_else(|| SheetError::Font {
            font: given.name(),
            why: "its glyphs can not be read".to_string(),
        })?,
    };
    let made = made?;
    write_out(&words_of(font, &used), true)?;
    Ok(made)
}

/// What is said of the signs that could not be printed.
fn words_of(font: Option<&GivenFont>, used: &FontUse) -> String {
    let mut words = String::new();
    let mut say = |before: &str, signs: &BTreeSet<char>, after: &str| {
        if !signs.is_empty() {
            let told = format!("{before}: {}{after}\n", listed(signs));
            words.push_str(&filled(&told, width()));
        }
    };
    match font {
        Some(font) => say(
            &format!(
                "signs that {} does not have either stand as their code points",
                visible(&font.name())
            ),
            &used.lacking,
            "",
        ),
        None => say(
            "signs that the built-in typeface does not have stand as their code points",
            &used.lacking,
            "; --font FILE prints them with a font of yours",
        ),
    }
    say(
        "signs of writing that is joined, stacked or runs from right to left are not printed, with whatever font, and stand as \
         their code points",
        &used.joined,
        "",
    );
    words
}

fn listed(signs: &BTreeSet<char>) -> String {
    let named = signs.iter().take(MOST_NAMED);
    let named: Vec<String> = named.map(|c| format!("{c} (U+{:04X})", u32::from(*c))).collect();
    match signs.len().saturating_sub(MOST_NAMED) {
        0 => named.join(", "),
        more => format!("{} and {more} more", named.join(", ")),
    }
}
