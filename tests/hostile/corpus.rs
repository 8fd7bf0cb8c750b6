//! What was found, kept: each file of `corpus/` is named for the fault that it showed, and is read as its folder says.

use crate::readers::{KINDS, read_as};
use std::fs;
use std::path::Path;

#[test]
fn what_was_found_once_is_read_without_harm() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/hostile/corpus");
    let mut read = 0;
    for folder in fs::read_dir(root).unwrap() {
        let folder = folder.unwrap().path();
        let kind = folder.file_name().unwrap().to_str().unwrap().to_string();
        assert!(KINDS.contains(&kind.as_str()), "no reader for {kind}");
        for file in fs::read_dir(&folder).unwrap() {
            let path = file.unwrap().path();
            let text = String::from_utf8_lossy(&fs::read(&path).unwrap()).into_owned();
            read_as(&kind, &text);
            read += 1;
        }
    }
    assert!(read > 0);
}
