//! What is read: a file by its path, and what comes in on the standard input for `-`.

use crate::fed::fed;
use crate::place::{Place, Ran};
use crate::{BUILD, shop};
use std::fs;

/// A command and what it reads: its name, the option or place, the words with `@` for the path, and the file.
type Input = (&'static str, &'static str, &'static [&'static str], &'static str);

const UNIT: &str = "moor-rear.toml";
const FONT: &str = "shop.ttf";
const PAUSED: &str = "paused.answers";
const WORK: [&str; 4] = ["work", "bench-check", UNIT, "--answers"];

pub const INPUTS: [Input; 63] = [
    ("drawers", "FILE", &["drawers", "@"], UNIT),
    (
        "work",
        "PROCEDURE",
        &["work", "@", UNIT, "--answers", PAUSED],
        "own.toml",
    ),
    (
        "work",
        "UNIT",
        &[
            "work",
            "bench-check",
            "@",
            "--answers",
            PAUSED,
            "--drawer",
            "moor-drawer.toml",
            "--instruments",
            "instruments.toml",
        ],
        UNIT,
    ),
    (
        "work",
        "--answers",
        &[WORK[0], WORK[1], WORK[2], WORK[3], "@"],
        PAUSED,
    ),
    (
        "work",
        "--drawer",
        &[WORK[0], WORK[1], WORK[2], WORK[3], PAUSED, "--drawer", "@"],
        "moor-drawer.toml",
    ),
    (
        "work",
        "--instruments",
        &[WORK[0], WORK[1], WORK[2], WORK[3], PAUSED, "--instruments", "@"],
        "instruments.toml",
    ),
    (
        "work",
        "--setting",
        &[
            "work",
            "full-rebuild",
            UNIT,
            "--answers",
            PAUSED,
            "--setting",
            "@",
        ],
        "setting.toml",
    ),
    (
        "work",
        "--key",
        &[WORK[0], WORK[1], WORK[2], WORK[3], PAUSED, "--key", "@"],
        "key",
    ),
    (
        "work",
        "--passphrase-file",
        &[
            WORK[0],
            WORK[1],
            WORK[2],
            WORK[3],
            PAUSED,
            "--key",
            "key",
            "--passphrase-file",
            "@",
        ],
        "pass",
    ),
    (
        "new-unit",
        "--answers",
        &["new-unit", "new.toml", "--answers", "@"],
        "new.answers",
    ),
    (
        "new-car",
        "--answers",
        &["new-car", "new-car.toml", "--answers", "@"],
        "new-car.answers",
    ),
    (
        "choose",
        "UNIT",
        &[
            "choose",
            "@",
            "--readings",
            "moor-rear-readings.toml",
            "--drawer",
            "moor-drawer.toml",
            "--instruments",
            "instruments.toml",
        ],
        UNIT,
    ),
    (
        "choose",
        "--readings",
        &["choose", UNIT, "--readings", "@"],
        "moor-rear-readings.toml",
    ),
    (
        "choose",
        "--drawer",
        &[
            "choose",
            UNIT,
            "--readings",
            "moor-rear-readings.toml",
            "--drawer",
            "@",
        ],
        "moor-drawer.toml",
    ),
    (
        "choose",
        "--instruments",
        &[
            "choose",
            UNIT,
            "--readings",
            "moor-rear-readings.toml",
            "--instruments",
            "@",
        ],
        "instruments.toml",
    ),
    (
        "settle",
        "CAR",
        &["settle", "@", "--use", "hillclimb", "--unit", UNIT],
        "moor-car.toml",
    ),
    (
        "settle",
        "--car",
        &[
            "settle",
            "moor-car.toml",
            "--use",
            "hillclimb",
            "--unit",
            UNIT,
            "--car",
            "@",
        ],
        "moor-car.toml",
    ),
    (
        "settle",
        "--rear",
        &[
            "settle",
            "moor-car.toml",
            "--use",
            "hillclimb",
            "--unit",
            UNIT,
            "--rear",
            "@",
        ],
        UNIT,
    ),
    (
        "settle",
        "--front",
        &[
            "settle",
            "moor-car.toml",
            "--use",
            "hillclimb",
            "--unit",
            UNIT,
            "--front",
            "@",
        ],
        UNIT,
    ),
    (
        "settle",
        "--centre",
        &[
            "settle",
            "moor-car.toml",
            "--use",
            "hillclimb",
            "--unit",
            UNIT,
            "--centre",
            "@",
        ],
        UNIT,
    ),
    (
        "settle",
        "--use",
        &["settle", "moor-car.toml", "--use", "@", "--unit", UNIT],
        "use.toml",
    ),
    (
        "settle",
        "--unit",
        &["settle", "moor-car.toml", "--use", "hillclimb", "--unit", "@"],
        UNIT,
    ),
    ("lint", "FILES", &["lint", "@"], UNIT),
    (
        "lint",
        "--unit",
        &["lint", "moor-rear-readings.toml", "--unit", "@"],
        UNIT,
    ),
    (
        "sheet",
        "--blank",
        &[
            "sheet",
            "--blank",
            "bench-check",
            "@",
            "--out",
            "form.pdf",
            "--drawer",
            "moor-drawer.toml",
            "--instruments",
            "instruments.toml",
        ],
        UNIT,
    ),
    (
        "sheet",
        "--drawer",
        &[
            "sheet",
            "--blank",
            "bench-check",
            UNIT,
            "--out",
            "form.pdf",
            "--drawer",
            "@",
        ],
        "moor-drawer.toml",
    ),
    (
        "sheet",
        "--instruments",
        &[
            "sheet",
            "--blank",
            "bench-check",
            UNIT,
            "--out",
            "form.pdf",
            "--instruments",
            "@",
        ],
        "instruments.toml",
    ),
    (
        "sign",
        "--key",
        &["sign", BUILD, "--key", "@", "--as", "Ada Example"],
        "key",
    ),
    (
        "sign",
        "--passphrase-file",
        &[
            "sign",
            BUILD,
            "--key",
            "shut",
            "--as",
            "Ada Example",
            "--passphrase-file",
            "@",
        ],
        "pass",
    ),
    (
        "sign",
        "--signers",
        &["sign", BUILD, "--key", "key", "--signers", "@"],
        "signers",
    ),
    (
        "check",
        "--signers",
        &["check", BUILD, "--signers", "@"],
        "signers",
    ),
    (
        "check",
        "--time-certificate",
        &["check", BUILD, "--time-certificate", "@"],
        "times.crt",
    ),
    ("check", "--code", &["check", "--code", "@"], "paper"),
    ("check", "--photo", &["check", "--photo", "@"], "photo.png"),
    (
        "key new",
        "--passphrase-file",
        &[
            "key",
            "new",
            "made",
            "--as",
            "Ada Example",
            "--passphrase-file",
            "@",
        ],
        "pass",
    ),
    (
        "key line",
        "FILE",
        &["key", "line", "@", "--as", "Ada Example"],
        "key",
    ),
    (
        "key rotate",
        "OLD",
        &["key", "rotate", "@", "shut", "--as", "Ada Example"],
        "key",
    ),
    (
        "key rotate",
        "NEW",
        &["key", "rotate", "key", "@", "--as", "Ada Example"],
        "shut",
    ),
    (
        "key rotate",
        "--passphrase-file",
        &[
            "key",
            "rotate",
            "shut",
            "key",
            "--as",
            "Ada Example",
            "--passphrase-file",
            "@",
        ],
        "pass",
    ),
    ("wear", "UNIT", &["wear", "@"], UNIT),
    (
        "wear",
        "--drawer",
        &["wear", "moor-rear", "--drawer", "@"],
        "moor-drawer.toml",
    ),
    ("as-left", "UNIT", &["as-left", "@"], UNIT),
    (
        "import",
        "FILE",
        &["import", "@", "--unit", UNIT, "--check"],
        "old.csv",
    ),
    (
        "import",
        "--unit",
        &[
            "import",
            "old.csv",
            "--unit",
            "@",
            "--check",
            "--drawer",
            "moor-drawer.toml",
            "--instruments",
            "instruments.toml",
        ],
        UNIT,
    ),
    (
        "import",
        "--drawer",
        &["import", "old.csv", "--unit", UNIT, "--check", "--drawer", "@"],
        "moor-drawer.toml",
    ),
    (
        "import",
        "--instruments",
        &[
            "import",
            "old.csv",
            "--unit",
            UNIT,
            "--check",
            "--instruments",
            "@",
        ],
        "instruments.toml",
    ),
    ("day", "CAR", &["day", "@", "--answers", PAUSED], "moor-car.toml"),
    (
        "day",
        "--answers",
        &["day", "moor-car.toml", "--answers", "@"],
        PAUSED,
    ),
    (
        "day",
        "--setting",
        &[
            "day",
            "moor-car.toml",
            "--new",
            "--answers",
            PAUSED,
            "--setting",
            "@",
        ],
        "setting.toml",
    ),
    (
        "day",
        "--procedure",
        &[
            "day",
            "moor-car.toml",
            "--new",
            "--answers",
            PAUSED,
            "--procedure",
            "@",
        ],
        "day.toml",
    ),
    (
        "day",
        "--import",
        &["day", "moor-car.toml", "--import", "@"],
        "whole.toml",
    ),
    (
        "day",
        "--laps",
        &["day", "moor-car.toml", "--import", "table.toml", "--laps", "@"],
        "laps.csv",
    ),
    (
        "plan",
        "CAR",
        &[
            "plan",
            "@",
            BUILD,
            "mild",
            "--runs",
            "4",
            "--seed",
            "1",
            "--setting",
            "mild.toml",
        ],
        "moor-car.toml",
    ),
    (
        "plan",
        "--setting",
        &[
            "plan",
            "moor-car.toml",
            "mild",
            BUILD,
            "--runs",
            "4",
            "--seed",
            "1",
            "--setting",
            "mild.toml",
            "--setting",
            "@",
        ],
        "other.toml",
    ),
    ("restore", "FILE", &["restore", "@", "--try"], "kept.backup"),
    (
        "sheet",
        "--font",
        &["sheet", BUILD, "--out", "made", "--font", "@"],
        FONT,
    ),
    (
        "labels",
        "--font",
        &["labels", BUILD, "--out", "made", "--font", "@"],
        FONT,
    ),
    (
        "wear",
        "--font",
        &["wear", "moor-rear", "--sheet", "made", "--font", "@"],
        FONT,
    ),
    (
        "settle",
        "--font",
        &[
            "settle",
            "moor-car.toml",
            "--use",
            "hillclimb",
            "--unit",
            UNIT,
            "--sheet",
            "made",
            "--font",
            "@",
        ],
        FONT,
    ),
    (
        "practise",
        "--font",
        &["practise", "--past", "--sheet", "made", "--font", "@"],
        FONT,
    ),
    ("check", "--font", &["check", BUILD, "--font", "@"], FONT),
    (
        "work",
        "--font",
        &[WORK[0], WORK[1], WORK[2], WORK[3], PAUSED, "--font", "@"],
        FONT,
    ),
    ("practise", "--answers", &["practise", "--answers", "@"], PAUSED),
];

/// The calculations that read a file; their other options are no paths.
pub const COLUMNS: [Input; 3] = [
    (
        "reckon runs",
        "FILE",
        &["reckon", "runs", "@", "--drawn", "balanced"],
        "runs.csv",
    ),
    (
        "reckon readings",
        "FILE",
        &["reckon", "readings", "@"],
        "readings.csv",
    ),
    ("reckon line", "FILE", &["reckon", "line", "@"], "line.csv"),
];

/// A finished build, and every file that the lists name.
fn works() -> Place {
    let place = shop(true);
    place.write(PAUSED, "who = !pause\n");
    place.write("new.answers", new_unit_answers());
    place.write("new-car.answers", new_car_answers());
    place.write("readings.csv", "value\n1\n2\n3\n");
    place.write("runs.csv", "day,setting,seconds\n1,1,70.0\n1,2,69.1\n1,2,69.2\n1,1,70.3\n1,2,69.4\n1,1,70.5\n1,1,70.6\n1,2,69.7\n");
    place.write("line.csv", "x,y\n1,2\n2,4\n3,7\n");
    place.write("old.csv", "day,by,rebuilt\n2019-03-10,Ann Example,yes\n");
    place.write(
        "use.toml",
        fs::read(format!(
            "{}/procedures/uses/hillclimb.toml",
            env!("CARGO_MANIFEST_DIR")
        ))
        .unwrap(),
    );
    let head =
        "format = \"shimwright day 1\"\n[day]\nwho = \"A\"\ndriven_on = \"2026-05-10\"\nevent = \"Test\"\n";
    let run = format!("[[run]]\nsetting = \"{BUILD}\"\ntimes = [\"70.0\"]\n");
    place.write("whole.toml", format!("{head}{run}"));
    place.write(
        "table.toml",
        format!("{head}[laps]\nrun = \"run\"\ntime = \"time\"\nsetting = \"setting\"\n"),
    );
    place.write("laps.csv", format!("run,time,setting\n1,70.1,{BUILD}\n"));
    let day = format!("{}/procedures/drive-day.toml", env!("CARGO_MANIFEST_DIR"));
    place.write("day.toml", fs::read(day).unwrap());
    place.write(
        "own.toml",
        place.run(&["procedures", "bench-check", "--toml"]).out,
    );
    place.write(FONT, crate::made_font::made(&[('漢', 'H')]));
    place.write("pass", "three-quarters of a turn\n");
    // of an invented root, made by openssl
    place.write("times.crt", include_str!("../references/time_root.crt"));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(place.path("pass"), fs::Permissions::from_mode(0o600)).unwrap();
    }
    let key = place.run(&["key", "new", "key", "--as", "Ada Example", "--no-passphrase"]);
    place.write("signers", &key.out);
    assert_eq!(
        place
            .run(&[
                "key",
                "new",
                "shut",
                "--as",
                "Ada Example",
                "--passphrase-file",
                "pass"
            ])
            .code,
        0
    );
    let settle = [
        "settle",
        "moor-car.toml",
        "--use",
        "hillclimb",
        "--unit",
        UNIT,
        "--write",
        "setting.toml",
    ];
    assert_eq!(place.run(&settle).code, 0);
    let setting = fs::read_to_string(place.path("setting.toml")).unwrap();
    place.write("mild.toml", format!("{setting}# mild\n"));
    place.write("other.toml", format!("{setting}# other\n"));
    let check = place.run(&["check", BUILD, "--json"]);
    let json: serde_json::Value = serde_json::from_str(&check.out).unwrap();
    assert_eq!(place.run(&["backup", "kept.backup"]).code, 0);
    let digits = &json["digest"].as_str().unwrap()[..24];
    place.write("paper", digits);
    place.write("photo.png", code_of(digits));
    place
}

/// A picture of a code with a text in it.
fn code_of(text: &str) -> Vec<u8> {
    let code = qrcode::QrCode::new(text).unwrap();
    let side = (code.width() + 8) * 6;
    let mut dots = vec![255; side * side];
    for (n, dark) in code.to_colors().into_iter().enumerate() {
        let (x, y) = ((n % code.width() + 4) * 6, (n / code.width() + 4) * 6);
        for row in y..y + 6 {
            let grey = if dark == qrcode::Color::Dark { 0 } else { 255 };
            dots[row * side + x..row * side + x + 6].fill(grey);
        }
    }
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, side as u32, side as u32);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.write_header().unwrap().write_image_data(&dots).unwrap();
    bytes
}

#[test]
fn what_comes_in_is_read_as_the_file_is() {
    // each in a book of its own, where it writes something
    let one = works();
    for (command, argument, words, file) in INPUTS.iter().chain(&COLUMNS) {
        let about = format!("{command} {argument}");
        let with = |path: &str| -> Vec<String> {
            words
                .iter()
                .map(|word| {
                    if *word == "@" {
                        path.to_string()
                    } else {
                        word.to_string()
                    }
                })
                .collect()
        };
        let tidy = || {
            for made in ["new.toml", "new-car.toml", "made", "drawer.toml"] {
                let _gone = fs::remove_file(one.path(made));
            }
            for entry in fs::read_dir(one.book()).unwrap().flatten() {
                if entry.file_name().to_string_lossy().starts_with("rotation-") {
                    fs::remove_file(entry.path()).unwrap();
                }
            }
        };
        let run = |path: &str, typed: &[u8]| -> Ran {
            let words = with(path);
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            let ran = fed(&mut one.program(&words), typed).into();
            tidy();
            ran
        };
        let bytes = fs::read(one.path(file)).unwrap();
        // what only a person can read off a sheet is given as it is
        let path = if *argument == "--code" {
            String::from_utf8(bytes.clone()).unwrap()
        } else {
            file.to_string()
        };
        let seal = || {
            for file in ["seal-1.txt", "seal-1.txt.sig"] {
                let _gone = fs::remove_file(one.book().join(BUILD).join(file));
            }
        };
        let kept = [one.journal_file(BUILD), one.book().join("log.jsonl")].map(|file| {
            let bytes = fs::read(&file).unwrap();
            (file, bytes)
        });
        let as_before = || {
            seal();
            for (file, bytes) in &kept {
                fs::write(file, bytes).unwrap();
            }
        };
        let by_path = run(&path, b"");
        as_before();
        let by_stroke = run("-", &bytes);
        as_before();
        assert!(
            [0, 7, 12].contains(&by_path.code),
            "{about}: {}{}",
            by_path.out,
            by_path.err
        );
        assert_eq!(
            by_stroke.code, by_path.code,
            "{about}: {}{}",
            by_stroke.out, by_stroke.err
        );
        assert!(!one.path("-").exists(), "{about}");
        // what begins or signs something says when and which
        if !["work", "day", "plan", "sign", "practise", "key new", "key rotate"].contains(command) {
            let told = match *argument {
                "--code" => by_path.out.clone(),
                _ => by_path.out.replace(*file, "the standard input"),
            };
            let same = by_stroke.out.replace(" - ", " the standard input ")
                == told.replace(" - ", " the standard input ");
            assert!(same, "{about}:\n{}\n{}", by_path.out, by_stroke.out);
        }
    }
}

#[test]
fn what_comes_in_is_there_once() {
    let place = works();
    let twice = ["lint", "-", "-"];
    let ran: Ran = fed(&mut place.program(&twice), fs::read(place.path(UNIT)).unwrap()).into();
    assert_eq!(ran.code, 3, "{}", ran.out);
    let told = format!("{}{}", ran.out, ran.err);
    assert!(told.contains("- can stand for one file only"), "{told}");
    // what a build used can not be taken out of what came in
    let place = shop(false);
    let before = fs::read(place.path("moor-drawer.toml")).unwrap();
    let words = [
        "work",
        "full-rebuild",
        UNIT,
        "--new",
        "--drawer",
        "-",
        "--answers",
        "moor-rear.answers",
    ];
    let ran: Ran = fed(&mut place.program(&words), &before).into();
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(!place.path("-").exists());
    assert_eq!(fs::read(place.path("moor-drawer.toml")).unwrap(), before);
}

/// Answers to `new-car` by somebody who knows little of a car that is made up.
pub fn new_car_answers() -> &'static str {
    "\
name = Test car\n\
driven = rear\n\
mass = 1100 kg\n\
front_weight = 52 %\n\
track = not known\n\
wheelbase = not known\n\
height = not known\n\
roll_share = not known\n\
tyre_radius = 195/50 R15\n\
engine.torque = 180 N·m at 4500, 105 kW at 6500\n\
engine.drag = not known\n\
gears.ratios = not known\n\
gears.settle_in = 2\n\
gears.final = not known\n\
gears.efficiency = not known\n"
}

/// Answers to `new-unit` for a small unit that is made up.
pub fn new_unit_answers() -> &'static str {
    "\
id = test-unit\n\
name = Test unit\n\
car = no\n\
layout = per-side\n\
drawer = drawer.toml\n\
instruments = instruments.toml\n\
case.depth_left = 30.00 mm\n\
case.depth_right = 30.00 mm\n\
case.cover = both\n\
rings.left = 15.90 mm\n\
rings.right = 15.90 mm\n\
ramp.drive = 45 deg from shaft axis\n\
ramp.coast = 45 deg from shaft axis\n\
ramp.friction = 0.1\n\
ramp.pin_radius = 26 mm\n\
ramp.gear.known = no\n\
ramp.tabs.known = no\n\
friction.still = 0.1\n\
friction.turning = 0.1\n\
friction.pressure = run-in\n\
friction.outside = 84 mm\n\
friction.inside = 54 mm\n\
friction.doubt = none\n\
friction.wall_rubs = no\n\
spring.fitted = no\n\
wanted.gap_least = 0.15 mm\n\
wanted.gap_target = 0.20 mm\n\
wanted.gap_most = 0.30 mm\n\
wanted.breakaway_least = 0 N·m\n\
wanted.breakaway_most = 6 N·m\n\
wanted.held = case\n\
wanted.sides_match = 0.08 mm\n\
wanted.shims_a_side = 3\n\
wanted.curve_to = 500 N·m\n\
limits.gear_least = 1.70 mm\n\
limits.case_least = 1.92 mm\n\
limits.spread = 0.03 mm\n\
limits.flatness = 0.05 mm\n\
limits.confidence = none\n\
plate.case_names = S1 S2 S3 S4\n\
plate.case_travel = no\n\
plate.case_alike = no\n\
plate.case_thickness/S1 = 3\n\
plate.case_thickness/S2 = 3\n\
plate.case_thickness/S3 = 3\n\
plate.case_thickness/S4 = 3\n\
plate.gear_names = F1 F2\n\
plate.gear_travel = no\n\
plate.gear_alike = no\n\
plate.gear_thickness/F1 = 3\n\
plate.gear_thickness/F2 = 3\n\
pack.left.order = S1 F1 S2\n\
pack.left.faces = none\n\
pack.left.shims = none\n\
pack.right.order = S3 F2 S4\n\
pack.right.faces = none\n\
pack.right.shims = none\n\
bolts.name/1 = no\n\
bolts.size/1 = M8x1.25\n\
bolts.class/1 = 8.8\n\
bolts.count/1 = 3\n\
bolts.stages/1 = 0.1\n\
bolts.angle/1 = none\n\
bolts.locker/1 = no\n\
bolts.another/1 = no\n\
offer.known = no\n\
oil.known = no\n\
gears.known = no\n"
}
