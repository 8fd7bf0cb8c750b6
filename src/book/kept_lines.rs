//! A file of lines that only grows, beside the records and no record itself.

use super::error::BookError;
use super::files::{parent, sync_folder};
use std::fs::OpenOptions;
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::Path;

/// Puts a line behind those of a file, or makes the file; when it returns, the line is on the disk. A last line without an
/// end, as a power cut leaves it, gets its end first: what is broken stays one line.
///
/// ```
/// use shimwright::book::append_line;
/// let dir = tempfile::tempdir()?;
/// let path = dir.path().join("some.jsonl");
/// std::fs::write(&path, "{\"torn\":")?;
/// append_line(&path, "{}")?;
/// assert_eq!(std::fs::read_to_string(&path)?, "{\"torn\":\n{}\n");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
///
/// [`BookError::Io`]: what the system refuses.
pub fn append_line(path: &Path, line: &str) -> Result<(), BookError> {
    let there = path.exists();
    let opened = OpenOptions::new().read(true).append(true).create(true).open(path);
    let mut file = opened.map_err(BookError::io("opened", path))?;
    let mut write = || -> std::io::Result<()> {
        let mut text = String::new();
        if file.seek(SeekFrom::End(0))? > 0 {
            file.seek(SeekFrom::End(-1))?;
            let mut last = [0];
            file.read_exact(&mut last)?;
            if last != *b"\n" {
                text.push('\n');
            }
        }
        text.push_str(line);
        text.push('\n');
        // in one go, so that two programs do not write into each other's line
        file.write_all(text.as_bytes())?;
        file.sync_all()
    };
    write().map_err(BookError::io("written to", path))?;
    if !there {
        sync_folder(parent(path))?;
    }
    Ok(())
}
