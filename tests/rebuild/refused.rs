//! What is refused: files, answers, books; each with its exit code and the fact that a person needs to put it right.

use crate::bench::{DEMOS, Place, Ran, answers_after, answers_of, demo_file, finished, unit_file};
use std::fs::{self, File};
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::Stdio;

/// A run with a unit file of this text, and with the shared drawer and instruments.
fn with_unit(text: impl AsRef<[u8]>) -> Ran {
    let place = Place::new();
    let unit = place.write("some-unit.toml", text);
    let ran = run_unit(&place, &unit);
    assert!(
        !place.book().exists(),
        "a book was begun for a unit that can not be read"
    );
    ran
}

fn run_unit(place: &Place, unit: &Path) -> Ran {
    let [drawer, instruments] = ["moor-drawer.toml", "instruments.toml"].map(demo_file);
    place.answered(
        unit,
        "",
        &[
            "--drawer",
            drawer.to_str().unwrap(),
            "--instruments",
            instruments.to_str().unwrap(),
        ],
    )
}

fn moor(from: &str, to: &str) -> Ran {
    let text = fs::read_to_string(unit_file("moor-rear")).unwrap();
    assert!(text.contains(from), "{from}");
    with_unit(text.replacen(from, to, 1))
}

#[test]
fn a_unit_file_that_is_not_there_is_named() {
    Place::new()
        .answered(Path::new("no-such-unit.toml"), "", &[])
        .fails(3, &["no-such-unit.toml is not there"]);
}

#[test]
fn a_procedure_that_is_not_there_names_the_stock_ones() {
    let place = Place::new();
    let unit = unit_file("moor-rear");
    place
        .run(&["work", "no-such-job", unit.to_str().unwrap()])
        .fails(3, &["no stock procedure \"no-such-job\"", "full-rebuild"]);
}

#[test]
fn all_faults_of_a_unit_file_are_told_at_once_with_line_key_and_text() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/faulty-unit.toml");
    let source = fs::read_to_string(&file).unwrap();
    let ran = run_unit(&Place::new(), &file);
    let place_of = |text: &str| {
        let (line, found) = source
            .lines()
            .enumerate()
            .find(|(_, line)| line.contains(text))
            .unwrap();
        let key = found.split('=').next().unwrap().trim();
        let above = source.lines().take(line).filter(|line| line.starts_with('['));
        let table = above.last().unwrap().trim_matches(['[', ']']);
        format!(
            "faulty-unit.toml, line {}, at {table}.{key}\n    {found}\n",
            line + 1
        )
    };
    ran.fails(
        3,
        &[
            &place_of("\"67.10 kg\""),
            "depth = \"67.10 kg\"",
            &place_of("11.0  "),
            "in quotes with its unit is wanted",
            &place_of("\"60 deg\""),
            "ring face",
            &place_of("nan"),
            &place_of("\"0.20 mm\""),
            "the window is upside down",
            &place_of("gear_last"),
            "did you mean \"gear_least\"?",
            &place_of("[\"C1\", \"G1\"]"),
            "count says 3 plates, but the order lists 2",
            &place_of("[\"32 N·m\""),
            "the stages must be more than 0 N·m and rise",
            &place_of("\"-2.00 mm\""),
            "at least 0.05 mm and at most 50 mm",
            &place_of("\"2,000 mm\""),
        ],
    );
}

#[test]
fn single_slips_in_a_unit_file_are_refused_with_what_is_wanted() {
    for (from, to, facts) in [
        (
            "most = \"1300 N\"",
            "most = \"99000 N\"",
            &["preload_most is", "before it is solid"][..],
        ),
        ("inside = \"62 mm\"", "inside = \"99 mm\"", &["inside"]),
        ("keyed = \"case\"", "keyed = \"wall\"", &["\"wall\"", "case"]),
        (
            "count = 10\norder",
            "count = 12\norder",
            &["count says 12 plates, but the order lists 10"],
        ),
        ("thickness = \"2.00 mm\"", "thickness = \"NaN mm\"", &["NaN"]),
        ("thickness = \"2.00 mm\"", "thickness = \"inf mm\"", &["inf mm"]),
        (
            "breakaway_most = \"115 N·m\"",
            "breakaway_most = \"15 N·m\"",
            &["upside down"],
        ),
        (
            "breakaway_most = \"115 N·m\"",
            "breakaway_most = \"115 mm\"",
            &["a length", "a torque"],
        ),
        (
            "faces = 10",
            "faces = 11",
            &["can not give 11 active faces; possible:"],
        ),
        (
            "\"G1\", \"C2\"",
            "\"G1\", \"G1\"",
            &["plate G1 is in the packs twice", "plate C2 is in neither pack"],
        ),
        ("name = \"C2\"", "name = \"C1\"", &["two plates are called C1"]),
        (
            "name = \"C2\"",
            "part = \"moor/7\"\nname = \"C2\"",
            &["a part is 1 to 24 characters, without spaces, commas or /"],
        ),
        (
            "format = \"shimwright unit 1\"",
            "format = \"shimwright unit 9\"",
            &["a newer program made this file"],
        ),
        ("id = \"moor-rear\"", "id = \"../moor\"", &["is no id"]),
        ("[case]", "[case", &["some-unit.toml, line 11, column 6"]),
    ] {
        moor(from, to).fails(3, facts);
    }
}

#[test]
fn a_thousand_plates_are_too_many() {
    let mut text = fs::read_to_string(unit_file("moor-rear")).unwrap();
    for n in 0..1_000 {
        text.push_str(&format!(
            "\n[[plate]]\nname = \"X{n}\"\nkeyed = \"gear\"\nthickness = \"2 mm\"\n"
        ));
    }
    with_unit(&text).fails(3, &["1020 plates are too many; at most 200"]);
}

#[test]
fn a_unit_file_of_fifty_megabytes_is_not_read() {
    let place = Place::new();
    let path = place.path("huge.toml");
    File::create(&path).unwrap().set_len(50 << 20).unwrap();
    run_unit(&place, &path).fails(3, &["huge.toml holds", "at most 1048576 may be read"]);
}

#[test]
fn a_file_that_is_no_text_is_told_with_its_first_wrong_byte() {
    with_unit(b"format = \"shimwright unit 1\"\nname = \"\xff\"\n")
        .fails(3, &["is not UTF-8 text", "in line 2"]);
    let place = Place::new();
    let answers = place.write("latin.answers", b"who = Andr\xe9\n");
    let ran: Ran = place
        .work(&unit_file("moor-rear"), &["--answers", answers.to_str().unwrap()])
        .output()
        .unwrap()
        .into();
    ran.fails(3, &["latin.answers is not UTF-8 text"]);
}

#[test]
fn what_would_drive_the_terminal_is_shown_harmless() {
    let ran = with_unit("format = \"shimwright unit 1\"\nid = \"\u{1b}[31mred\"\n");
    assert_eq!(ran.code, 3);
    assert!(!ran.err.contains('\u{1b}'), "{:?}", ran.err);
}

#[test]
fn answers_too_few_too_many_or_out_of_step_say_where() {
    let unit = unit_file("moor-rear");
    let some = |lines: usize| {
        answers_after("moor-rear", 0)
            .lines()
            .take(lines)
            .map(|line| format!("{line}\n"))
            .collect::<String>()
    };
    let place = Place::new();
    place.answered(&unit, &some(8), &["--json"]).fails(
        4,
        &[
            "ends after line 8, but \"caution-running\" is asked",
            "kept in the book",
        ],
    );
    place
        .answered(&unit, "lift = done\n", &["--json", "--new"])
        .fails(
            4,
            &["line 1: this is an answer for \"lift\", but \"who\" is asked"],
        );
    place
        .answered(&unit, "who is it\nwho = X\n= nobody\n", &["--json", "--new"])
        .fails(
            4,
            &["line 1: there is no \"=\"", "line 3: there is no name before"],
        );
    // what is left over is told when everything has been asked
    let bytes = fs::read(finished("moor-rear").place.journal_file("moor-rear-0001")).unwrap();
    let last = bytes[..bytes.len() - 1]
        .iter()
        .rposition(|byte| *byte == b'\n')
        .unwrap();
    fs::write(place.journal_file("moor-rear-0001"), &bytes[..=last]).unwrap();
    fs::remove_dir_all(place.book().join("moor-rear-0002")).unwrap();
    place
        .answered(
            &unit,
            "sign-checked = Somebody\nsign-checked = Else\n",
            &["--json"],
        )
        .fails(4, &["line 1: 2 answer(s) from here on were not asked for"]);
}

#[test]
fn an_answer_that_is_not_taken_ends_the_script_with_its_line_and_reason() {
    for (after, line, facts) in [
        (
            6,
            "distance = 12 mm",
            &["line 7: the answer for \"distance\" is not taken", "a length"][..],
        ),
        (6, "distance = 1,234 km", &["1.234 km", "1234 km"]),
        (6, "distance = NaN", &["\"distance\""]),
        (7, "caution-lifting = y", &["type the whole word yes"]),
        (7, "caution-lifting = !skip in a hurry", &["can not be skipped"]),
        (0, "who = !back", &["nothing to go back to"]),
    ] {
        let some: String = answers_after("moor-rear", 0)
            .lines()
            .take(after)
            .map(|line| format!("{line}\n"))
            .collect();
        Place::new()
            .answered(&unit_file("moor-rear"), &format!("{some}{line}\n"), &["--json"])
            .fails(4, facts);
    }
}

#[test]
fn arguments_that_make_no_sense_are_refused_before_anything_is_begun() {
    let unit = unit_file("moor-rear");
    let unit = unit.to_str().unwrap();
    let place = Place::new();
    place
        .run(&["work", "full-rebuild", unit, "--at", "yesterday"])
        .fails(2, &["\"yesterday\" is no time"]);
    place
        .run(&["work", "full-rebuild", unit, "--json"])
        .fails(2, &["--answers"]);
    place
        .run(&["work", "full-rebuild", unit, "--units", "cubits"])
        .fails(2, &["metric"]);
    assert!(!place.book().exists());
    fs::create_dir(place.book()).unwrap();
    place
        .run(&["sheet", "../../etc"])
        .fails(8, &["is not the name of a build"]);
}

/// The program as another user, where there is one to be: root may write anywhere.
#[cfg(unix)]
#[test]
fn a_book_that_can_not_be_written_to_is_told_before_the_first_question() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    let place = Place::new();
    fs::create_dir(place.book()).unwrap();
    let own = fs::metadata(place.book()).unwrap().uid();
    // everybody may look into the folder of the test, nobody may write into the book
    fs::set_permissions(place.path(""), fs::Permissions::from_mode(0o755)).unwrap();
    fs::set_permissions(place.book(), fs::Permissions::from_mode(0o555)).unwrap();
    // the files where another user can read them
    for name in ["moor-rear.toml", "moor-drawer.toml", "instruments.toml"] {
        fs::copy(demo_file(name), place.path(name)).unwrap();
    }
    let program = place.path("shimwright-copy");
    let mut command = place.work(&place.path("moor-rear.toml"), &["--plain"]);
    if own == 0 {
        fs::copy(crate::started::program().get_program(), &program).unwrap();
        let mut other = std::process::Command::new(&program);
        other
            .args(command.get_args())
            .current_dir(place.path(""))
            .env("SHIMWRIGHT_BOOK", place.book())
            // the home of whoever runs the tests may be closed to others
            .env("XDG_DATA_HOME", place.path("data"))
            .env("XDG_CONFIG_HOME", place.path("config"));
        // "nobody" on the usual systems
        other.uid(65_534).gid(65_534).stdin(Stdio::null());
        command = other;
    }
    let ran: Ran = command.output().unwrap().into();
    fs::set_permissions(place.book(), fs::Permissions::from_mode(0o755)).unwrap();
    ran.fails(5, &["can not be written to", "--book DIR"]);
    assert!(!ran.out.contains("Who does this work?"), "{}", ran.out);
}

#[test]
fn a_build_that_is_open_elsewhere_is_refused_with_who_holds_it() {
    let place = Place::new();
    let mut first = place
        .work(&unit_file("moor-rear"), &["--plain"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    // its first prompt has come: from now on it holds the build, and waits for a line
    let mut lines = BufReader::new(first.stdout.take().unwrap()).lines();
    assert!(lines.any(|line| line.unwrap().contains("!help shows")));
    let holder = format!("(process {})", first.id());
    place
        .answered(&unit_file("moor-rear"), &answers_of("moor-rear"), &["--json"])
        .fails(
            6,
            &[
                "moor-rear-0001",
                "is open elsewhere",
                &holder,
                "finish or pause it there first",
            ],
        );
    // looking at it is allowed
    assert_eq!(place.run(&["builds"]).code, 0);
    first.stdin.take().unwrap().write_all(b"!pause\n").unwrap();
    assert!(lines.any(|line| line.unwrap().contains("moor-rear-0001 is kept")));
    assert_eq!(first.wait().unwrap().code(), Some(7));
    assert_eq!(place.entries("moor-rear-0001").len(), 1);
}

#[test]
fn a_folder_in_the_book_that_is_no_build_is_left_alone_and_told() {
    let place = Place::new();
    place
        .answered(&unit_file("moor-rear"), "", &["--json"])
        .fails(4, &["\"who\" is asked"]);
    fs::create_dir(place.book().join("letters")).unwrap();
    let ran = place.run(&["builds"]);
    assert_eq!(ran.code, 0);
    assert!(ran.out.contains("moor-rear-0001"), "{}", ran.out);
    assert!(
        ran.err.contains("letters is no build and is left alone"),
        "{}",
        ran.err
    );
    assert!(place.book().join("letters").is_dir());
}

#[test]
fn every_demo_names_files_that_are_there() {
    for demo in DEMOS {
        let text = fs::read_to_string(unit_file(demo)).unwrap();
        let named: Vec<PathBuf> = text
            .lines()
            .filter(|line| line.starts_with("drawer = ") || line.starts_with("instruments = "))
            .map(|line| demo_file(line.split('"').nth(1).unwrap()))
            .collect();
        assert!(
            named.len() == 2 && named.iter().all(|path| path.is_file()),
            "{demo}: {named:?}"
        );
    }
}
