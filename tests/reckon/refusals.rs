//! Bad input: what is refused, with which words and which exit code.

use crate::program::{refused, words};
use std::io::Write;
use tempfile::NamedTempFile;

const FORMS: [&str; 10] = [
    "spring --outside 50mm --inside 25.4mm --thickness 2mm --height 3.4mm --travel 1.05mm --reduced 1.9mm \
     --parallel 2 --series 2",
    "pack --faces 8 --friction 0.1 --force 1500N --outer 98mm --inner 62mm",
    "ramp --angle \"45 deg from ring face\" --friction 0.05",
    "lock --faces 8 --friction 0.1 --radius 50mm --pin-radius 40mm --drive \"45 deg from ring face\" \
     --coast \"60 deg from ring face\" --preload-force 1000N --ramp-friction 0.05",
    "breakaway --faces-left 8 --faces-right 8 --friction 0.1 --radius 50mm --force-left 1000N --force-right 1000N \
     --drag 3N.m --held case --ramp \"60 deg from ring face\" --pin-radius 60mm --ramp-friction 0.05",
    "breakaway --faces-left 8 --faces-right 8 --reading 43N.m --radius 50mm --force-left 1000N --force-right 1000N \
     --held output",
    "wrench --reading 100N.m --length 400mm --extension 50mm --bend 10deg",
    "wrench --wanted 100N.m --length 400mm --extension 50mm",
    "bolt --size M10x1.25 --class 10.9 --torque 75N.m --friction 0.12",
    "judge --value 1.982mm --uncertainty 0.004mm --least 1.95mm --most 2.05mm --confidence 0.95",
];

/// Every form with one of its values replaced.
fn each_value(new: impl Fn(&str) -> Option<&'static str>, check: impl Fn(&str, &[&str])) {
    for form in FORMS {
        let good = words(form);
        for place in (2..good.len()).step_by(2) {
            if let Some(bad) = new(good[place]).filter(|_| good[place - 1] != "--held") {
                let mut bent = good.clone();
                bent[place] = bad;
                check(good[place - 1], &bent);
            }
        }
    }
}

fn reckoned(arguments: &[&str]) -> Result<String, (shimwright::cli::Exit, String)> {
    shimwright::cli::reckoned(arguments.iter().map(Into::into))
}

#[test]
fn every_value_without_its_unit_is_refused_by_name() {
    let bare = |value: &str| match value {
        value if value.ends_with("mm") || value.ends_with('N') || value.ends_with(".m") => Some("5"),
        value if value.contains("deg from") => Some("45 deg"),
        value if value.ends_with("deg") => Some("10"),
        _ => None,
    };
    each_value(bare, |name, arguments| {
        let (exit, words) = reckoned(arguments).unwrap_err();
        assert_eq!(exit, shimwright::cli::Exit::Usage, "{arguments:?}");
        assert!(words.starts_with(&format!("error: {name}: ")), "{words}");
        assert!(
            words.contains("has no unit") || words.contains("counted from"),
            "{words}"
        );
    });
}

#[test]
fn every_value_of_another_kind_is_refused_by_name() {
    each_value(
        |_| Some("3 kg"),
        |name, arguments| {
            let (exit, words) = reckoned(arguments).unwrap_err();
            assert_eq!(exit, shimwright::cli::Exit::Usage, "{arguments:?}");
            assert!(words.starts_with(&format!("error: {name}: \"3 kg\"")), "{words}");
        },
    );
    let words = refused(
        &words("wrench --reading 100mm --length 400mm --extension 50mm"),
        2,
    );
    assert!(
        words.contains("\"100mm\" is a length, but a torque is wanted here, in N·m"),
        "{words}"
    );
}

#[test]
fn a_negative_value_is_read_and_refused_with_its_limits() {
    let negative = |value: &str| match value {
        value if value.ends_with("mm") => Some("-5mm"),
        value if value.ends_with(".m") => Some("-5N.m"),
        value if value.ends_with('N') => Some("-5N"),
        value if value.contains("deg from") => Some("-5 deg from ring face"),
        value if value.ends_with("deg") => Some("-5deg"),
        value if value.starts_with('M') || value == "10.9" => None,
        value if value.contains('.') => Some("-0.1"),
        _ => Some("-5"),
    };
    each_value(negative, |name, arguments| match reckoned(arguments) {
        // a measured gap or a limit may well be below nothing
        Ok(_) => assert!(["--value", "--least"].contains(&name), "{arguments:?}"),
        Err((exit, words)) => {
            assert_eq!(exit, shimwright::cli::Exit::OutOfRange, "{arguments:?}: {words}");
            assert!(
                ["must be", "must not be negative", "upside down"]
                    .iter()
                    .any(|limits| words.contains(limits)),
                "{words}"
            );
        }
    });
}

#[test]
fn a_value_outside_the_formula_ends_with_code_nine_and_names_the_limits() {
    for (line, wanted) in [
        (
            "spring --outside 50mm --inside 25.4mm --thickness 2mm --height 3.4mm --travel 1.5mm",
            "travel is 1.500 mm but must be at least 0.000 mm and at most 1.400 mm",
        ),
        (
            "spring --outside 50mm --inside 25.4mm --thickness 2mm --height 3.4mm --travel 1mm --series 201",
            "the number of packets in series is 201 but must be at least 1 and at most 200",
        ),
        (
            "pack --faces 8 --friction 0.1 --force 1500N --outer 62mm --inner 98mm",
            "the outer diameter of the face is 62.000 mm but must be more than 98.000 mm",
        ),
        (
            "pack --faces 8 --friction 1.1 --force 1500N --outer 98mm --inner 62mm",
            "friction of the plates is 1.10 but must be at least 0.00 and at most 1.00",
        ),
        (
            "pack --faces 1001 --friction 0.1 --force 1500N --outer 98mm --inner 62mm",
            "--faces is 1001 but must be at least 0 and at most 1000",
        ),
        (
            "pack --faces 99999999999999999999 --friction 0.1 --force 1500N --outer 98mm --inner 62mm",
            "--faces is 99999999999999999999 but must be",
        ),
        (
            "ramp --angle \"95 deg from ring face\"",
            "must be more than 0° and at most 90° from the ring face",
        ),
        (
            "wrench --reading 100N.m --length 400mm --extension 500mm --bend 180deg",
            "the reach from hand to bolt along the wrench is -100.000 mm but must be more than 0.000 mm",
        ),
        (
            "breakaway --faces-left 8 --faces-right 8 --reading 43N.m --radius 50mm --force-left 1000N \
             --force-right 1000N --held output --drag 88N.m",
            "the reading, which the drag alone gives, is 43.0 N·m but must be at least 44.0 N·m",
        ),
        (
            "bolt --size M10 --class 10.9 --torque 0N.m",
            "the torque of the bolt is 0.0 N·m but must be more than",
        ),
        ("bolt --size M18 --class 9.8 --torque 50N.m", "9.8"),
        (
            "judge --value 1.98mm --uncertainty 0.004mm --least 2mm --most 1.9mm",
            "the least is 2.000 mm and the most is 1.900 mm: the limits are upside down",
        ),
        (
            "judge --value 1.98mm --uncertainty 0.004mm --least 2mm --confidence 1",
            "the confidence is 1 but must be at least 0.5 and less than 1",
        ),
        (
            "pack --faces 8 --friction 0.1 --force 1500N --outer 98m --inner 101m",
            "is too large; at most 100000.000 mm",
        ),
    ] {
        let words = refused(&words(line), 9);
        assert!(words.contains(wanted), "{line}: {words}");
    }
}

#[test]
fn what_can_not_be_read_ends_with_code_two() {
    for (line, wanted) in [
        (
            "pack --faces 8.5 --friction 0.1 --force 1500N --outer 98mm --inner 62mm",
            "--faces: \"8.5\" is no whole number",
        ),
        (
            "pack --faces \"\" --friction 0.1 --force 1500N --outer 98mm --inner 62mm",
            "--faces: \"\" is no whole number",
        ),
        (
            "pack --faces 8 --friction 0.1 --force 1500N --outer 1,234mm --inner 62mm",
            "can be read as 1.234 mm or as 1234 mm",
        ),
        (
            "pack --faces 8 --friction 0.1 --force 1500N --outer 98mm --inner 62mm --pressure odd",
            "--pressure: \"odd\" is none of these: even, run-in",
        ),
        (
            "pack --faces 8 --friction nan --force 1500N --outer 98mm --inner 62mm",
            "does not start with a plain number",
        ),
        (
            "ramp --angle \"45 deg\"",
            "does not say what the angle is counted from",
        ),
        (
            "bolt --size M10x2 --class 10.9 --torque 75N.m",
            "--size: \"M10x2\" is no ISO metric thread size",
        ),
        (
            "bolt --size M10 --class 11 --torque 75N.m",
            "--class: \"11\" is no property class",
        ),
        (
            "wrench --length 400mm --extension 50mm",
            "--reading <TORQUE> or --wanted <TORQUE> is missing",
        ),
        (
            "wrench --reading 1N.m --wanted 1N.m --length 400mm --extension 50mm",
            "--reading <TORQUE> and --wanted <TORQUE> do not go together",
        ),
        (
            "judge --value 1.98mm --uncertainty 0.004mm",
            "--least <LENGTH> or --most <LENGTH> is missing",
        ),
        (
            "convert \"35 lbf·ft\" --to furlong",
            "convert: \"furlong\" is not a unit known here",
        ),
        (
            "convert \"35 lbf·ft\" --to mm",
            "is a torque, but a length is wanted here",
        ),
        ("convert 35 --to mm", "\"35\" has no unit"),
        ("convert mm --to mm", "does not start with a plain number"),
        (
            "gearbox",
            "there is no command \"gearbox\"\n  `shimwright reckon --help` lists them",
        ),
        (
            "convert 1mm --tu mm",
            "there is no option --tu here; did you mean --to?",
        ),
    ] {
        let words = refused(&words(line), 2);
        assert!(words.contains(wanted), "{line}: {words}");
    }
}

#[test]
fn a_control_character_is_shown_and_not_sent_to_the_terminal() {
    let words = refused(&["ramp", "--angle", "45 \u{1b}[31mdeg"], 2);
    assert!(!words.contains('\u{1b}') && words.contains("[U+001B]"), "{words}");
}

fn file(bytes: &[u8]) -> NamedTempFile {
    let mut file = NamedTempFile::with_suffix(".csv").unwrap();
    file.write_all(bytes).unwrap();
    file
}

#[test]
fn a_data_file_with_faults_is_told_by_file_line_and_text() {
    for (what, content, wanted) in [
        (
            "readings",
            "# mm\n1.98\n1.9b7\n",
            vec!["line 3, column 1", "1.9b7", "\"1.9b7\" is no number"],
        ),
        (
            "readings",
            "1,98\n1,97\n",
            vec![
                "line 1, column 1",
                "1,98",
                "there are 2 values here, but one number a line is wanted",
            ],
        ),
        ("readings", "# nothing\n", vec!["there is no number in the file"]),
        (
            "readings",
            "inf\n1\nNaN\n",
            vec!["line 3, column 1", "\"NaN\" is no number"],
        ),
        (
            "line",
            "x,y\n1,2\n2\n",
            vec![
                "line 3, column 1",
                "there is one value here, but 2 numbers a line are wanted: x, y",
            ],
        ),
        (
            "line",
            "1,2\n2,,3\n",
            vec!["line 2, column 1", "there are 3 values here"],
        ),
    ] {
        let file = file(content.as_bytes());
        let path = file.path().to_str().unwrap();
        let words = refused(&[what, path], 3);
        assert!(words.contains(path), "{words}");
        for wanted in wanted {
            assert!(words.contains(wanted), "{wanted}: {words}");
        }
    }
}

#[test]
fn a_file_that_can_not_be_read_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let missing = folder.path().join("nowhere.csv");
    let words = refused(&["readings", missing.to_str().unwrap()], 3);
    assert!(words.contains("nowhere.csv"), "{words}");
    refused(&["line", folder.path().to_str().unwrap()], 3);
    let broken = file(&[0x31, 0x0a, 0xff, 0xfe]);
    let words = refused(&["readings", broken.path().to_str().unwrap()], 3);
    assert!(words.contains("line 2"), "{words}");
}

#[test]
fn data_that_the_formula_does_not_allow_ends_with_code_nine() {
    for (content, wanted) in [
        ("1,2\n2,3\n", "there are 2 points but there must be at least 3"),
        ("1,2\n1,3\n1,4\n", "all values of x are the same"),
        (
            "1e200,1\n-1e200,2\n0,3\n",
            "a sum of squares is NaN but must be a finite number",
        ),
    ] {
        let file = file(content.as_bytes());
        let path = file.path().to_str().unwrap();
        let words = refused(&["line", path], 9);
        assert!(words.contains(path) && words.contains(wanted), "{words}");
    }
}

#[test]
fn the_case_held_wants_its_ramp() {
    let line = "breakaway --faces-left 8 --faces-right 8 --friction 0.1 --radius 50mm --force-left 1000N --force-right 1000N \
                --held case";
    let (exit, told) = reckoned(&words(line)).unwrap_err();
    assert_eq!(exit, shimwright::cli::Exit::Usage);
    assert!(
        told.contains("--ramp is needed: with the case held the ramps work"),
        "{told}"
    );
    let with_ramp = format!("{line} --ramp \"60 deg from ring face\"");
    let (_, told) = reckoned(&words(&with_ramp)).unwrap_err();
    assert!(told.contains("--pin-radius is needed"), "{told}");
    let between = line.replace("--held case", "--held output --drag 2N.m --spring-place between");
    let (_, told) = reckoned(&words(&between)).unwrap_err();
    assert!(
        told.contains("--ramp is needed: with springs between the rings"),
        "{told}"
    );
}
