//! The mark over all bytes of a file: whether it is as the program wrote it.

use super::error::{SheetError, failed};
use super::mark::fingerprint;
use lopdf::{Object, StringFormat};

/// How the mark begins: it is the identifier of the file (ISO 32000-2, 14.4).
const MARK: &[u8] = b"/ID[<";

/// The place of a mark that is not set yet.
pub(super) fn blank() -> Vec<Object> {
    let nothing = Object::String(vec![0; 16], StringFormat::Hexadecimal);
    vec![nothing.clone(), nothing]
}

/// Where the mark begins and ends, and what it has to be: that of all bytes but its own.
fn place(file: &[u8]) -> Option<(usize, usize, Vec<u8>)> {
    let start = file.windows(MARK.len()).rposition(|at| at == MARK)?;
    let end = start + file.get(start..)?.iter().position(|byte| *byte == b']')? + 1;
    let bare = [file.get(..start)?, file.get(end..)?].concat();
    let mark: String = fingerprint(&bare).iter().map(|b| format!("{b:02X}")).collect();
    let whole = [MARK, mark.as_bytes(), b"><", mark.as_bytes(), b">]"].concat();
    Some((start, end, whole))
}

/// Sets the mark into its place.
pub(super) fn set_mark(file: &mut [u8]) -> Result<(), SheetError> {
    let (start, end, mark) = place(file).ok_or_else(|| failed("there is no place for the mark"))?;
    match file.get_mut(start..end) {
        Some(blank) if blank.len() == mark.len() => blank.copy_from_slice(&mark),
        _ => return Err(failed("the place of the mark has another size")),
    }
    Ok(())
}

/// Whether a file was written here and nobody has touched it since.
pub(super) fn is_as_written(file: &[u8]) -> bool {
    place(file).is_some_and(|(start, end, mark)| file.get(start..end) == Some(&mark[..]))
}
