//! A form typed in by somebody who hits all the wrong keys, on standard input.

use crate::drawing::{Draw, draw, setting};
use crate::fed::fed;
use crate::good::{ANSWERS, DRAWER, INSTRUMENTS, UNIT};
use std::fs;

/// What the answers file says, as it would be typed.
fn values() -> Vec<&'static str> {
    let lines = ANSWERS.lines().filter(|line| !line.starts_with('#'));
    lines
        .filter_map(|line| Some(line.split_once(" = ")?.1))
        .chain([
            "",
            "x",
            "yes",
            "!back",
            "!why",
            "!help",
            "!pause",
            "!skip torn",
            "hand",
        ])
        .collect()
}

#[test]
fn no_typing_makes_the_way_from_paper_panic_or_write_a_build_that_can_not_be_read() {
    let values = values();
    let mut drawing = Draw(setting("SHIMWRIGHT_SEED", 1));
    for case in 0..setting("SHIMWRIGHT_CASES", 200).div_ceil(20) {
        let dir = tempfile::tempdir().unwrap();
        for (name, text) in [
            ("moor-rear.toml", UNIT),
            ("moor-drawer.toml", DRAWER),
            ("instruments.toml", INSTRUMENTS),
        ] {
            fs::write(dir.path().join(name), text).unwrap();
        }
        let mut typed = Vec::new();
        // as far as it goes by the answers, then anything
        let right = drawing.below(values.len());
        for value in &values[..right] {
            let mark = if *value == "done" { "x" } else { value };
            typed.extend(mark.bytes().chain([b'\n']));
        }
        for _ in 0..drawing.below(60) {
            let line = match drawing.below(3) {
                0 => draw(&mut drawing, &values),
                _ => drawing.pick(&values).to_string(),
            };
            typed.extend(line.bytes().chain([b'\n']));
        }
        let run = |arguments: &[&str], input: &[u8]| {
            let mut command = crate::started::program();
            command
                .args(arguments)
                .current_dir(dir.path())
                .env("SHIMWRIGHT_BOOK", dir.path().join("book"))
                .env("NO_COLOR", "1");
            let output = fed(&mut command, input);
            let told = String::from_utf8(output.stderr).unwrap();
            assert!(!told.contains("panicked"), "case {case}: {told}");
            let shown = String::from_utf8(output.stdout).unwrap();
            let steering = shown.chars().find(|c| c.is_control() && !"\n\r\t".contains(*c));
            assert_eq!(steering, None, "case {case}: {shown:?}");
            (output.status.code(), told)
        };
        let way = [
            "work",
            "full-rebuild",
            "moor-rear.toml",
            "--from-paper",
            "--at",
            "2026-05-01",
        ];
        let (code, told) = run(&way, &typed);
        // done, not taken, or left unfinished
        assert!(matches!(code, Some(0 | 4 | 7)), "case {case}: {code:?} {told}");
        // what was taken is a record like any other
        let (code, told) = run(&["builds"], b"");
        assert_eq!(code, Some(0), "case {case}: {told}");
        let (code, told) = run(&["sheet", "moor-rear-0001", "--json"], b"");
        assert_eq!(code, Some(0), "case {case}: {told}");
    }
}
