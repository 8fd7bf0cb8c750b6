//! A unit by questions: what is written is what was meant, is read back, and is never half there.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "new_files/car.rs"]
mod car;
#[path = "new_files/closed.rs"]
mod closed;
#[path = "support/fed.rs"]
mod fed;
#[path = "support/started.rs"]
mod started;

use fed::fed;
use proptest::prelude::*;
use shimwright::procedure::{Ask, Described, Expects, NewFile, Reply, SURE};
use shimwright::quantity::Units;
use shimwright::workshop::{Drawer, FileKind, Unit, read_instruments};
use std::fs;
use std::io::{Read, Write};
use std::path::Path;
use std::process::Output;
use std::time::{Duration, Instant};
use tempfile::TempDir;

fn demo(name: &str) -> String {
    fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("demo-units")
            .join(name),
    )
    .unwrap()
}

/// A value of a unit file as a person types it.
fn typed(value: &toml::Value) -> String {
    match value {
        toml::Value::String(text) => text.clone(),
        toml::Value::Array(items) if items.is_empty() => "none".into(),
        toml::Value::Array(items) => items.iter().map(typed).collect::<Vec<_>>().join(" "),
        other => other.to_string(),
    }
}

/// The answer to a question of `new-unit`, out of a unit file that is there.
fn answer_from(file: &toml::Table, ask: &Ask) -> String {
    let item = ask.slot.item.as_deref();
    let keys: Vec<&str> = ask.slot.step.split('.').collect();
    let yes = |yes: bool| if yes { "yes" } else { "no" }.to_string();
    let plates = |keyed: &str| -> Vec<&toml::Table> {
        let all = file["plate"]
            .as_array()
            .unwrap()
            .iter()
            .map(|plate| plate.as_table().unwrap());
        all.filter(|plate| plate["keyed"].as_str() == Some(keyed))
            .collect()
    };
    match keys.as_slice() {
        ["plate", key] => {
            let (keyed, what) = key.split_once('_').unwrap();
            let mine = plates(keyed);
            match (what, item) {
                ("names", _) => mine
                    .iter()
                    .map(|plate| typed(&plate["name"]))
                    .collect::<Vec<_>>()
                    .join(" "),
                ("alike", _) => yes(mine
                    .iter()
                    .all(|plate| plate["thickness"] == mine[0]["thickness"])),
                ("travel", _) => yes(mine.iter().any(|plate| plate.contains_key("part"))),
                ("parts", _) => mine
                    .iter()
                    .map(|plate| plate.get("part").map_or("-".into(), typed))
                    .collect::<Vec<_>>()
                    .join(" "),
                (_, None) => typed(&mine[0]["thickness"]),
                (_, Some(name)) => {
                    let plate = mine.iter().find(|plate| plate["name"].as_str() == Some(name));
                    typed(&plate.unwrap()["thickness"])
                }
            }
        }
        ["bolts", key] => {
            let groups = file["bolts"].as_array().unwrap();
            let n: usize = item.unwrap().parse().unwrap();
            match *key {
                "another" => yes(n < groups.len()),
                key => groups[n - 1].get(key).map_or("none".into(), typed),
            }
        }
        ["offer", "known"] => yes(file.contains_key("offer")),
        ["offer", "ramp", key] => {
            let ramps = file["offer"].get("ramp").and_then(toml::Value::as_array);
            let ramps = ramps.map_or(&[][..], Vec::as_slice);
            let n: usize = item.unwrap().parse().unwrap();
            match *key {
                "another" => yes(n <= ramps.len()),
                key => typed(&ramps[n - 1][key]),
            }
        }
        ["spring", "fitted"] => yes(file.contains_key("spring")),
        ["oil", "known"] => yes(file.contains_key("oil")),
        ["gears", "known"] => yes(file.contains_key("gears")),
        ["case", "metal_known"] => yes(file["case"].get("metal").is_some()),
        ["ramp", part, "known"] => yes(file["ramp"].get(part).is_some()),
        ["pack", side, "dead_faces_meant"] => yes(file["pack"][*side].get("dead_faces_meant").is_some()),
        ["friction", "wall_rubs"] => yes(file["friction"].get("wall_is_face").is_some()),
        path => {
            let mut at = Some(&toml::Value::Table(file.clone())).cloned();
            for key in path {
                at = at.and_then(|value| value.get(key).cloned());
            }
            at.map_or("none".into(), |value| typed(&value))
        }
    }
}

/// Takes an answer in; one that is odd is confirmed.
fn give(unit: &mut NewFile, text: &str) -> Result<(), String> {
    for text in [text, SURE] {
        match unit.answer(&Reply::Answer(text.to_string())) {
            Ok(_) => return Ok(()),
            Err(refusal) if refusal.sure => {}
            Err(refusal) => return Err(refusal.words),
        }
    }
    panic!("{text} is not taken")
}

fn made_from(file: &toml::Table) -> (NewFile, Vec<(String, String)>) {
    let mut unit = NewFile::new(Described::Unit, Units::Metric);
    let mut given = Vec::new();
    while let Some(ask) = unit.ask() {
        let text = answer_from(file, &ask);
        given.push((ask.slot.to_string(), text.clone()));
        give(&mut unit, &text).unwrap_or_else(|words| panic!("{}: {text}: {words}", ask.slot));
    }
    (unit, given)
}

const DEMOS: [&str; 3] = ["moor-rear", "fell-front", "shoal-rear"];

/// A demonstration unit, as a table and as it is read.
fn meant(name: &str) -> (toml::Table, Unit) {
    let source = demo(&format!("{name}.toml"));
    (source.parse().unwrap(), Unit::read(name, &source).unwrap())
}

#[test]
fn each_demonstration_unit_can_be_made_by_questions() {
    for name in DEMOS {
        let (table, unit) = meant(name);
        let (made, _) = made_from(&table);
        let mut read =
            Unit::read(name, &made.text()).unwrap_or_else(|faults| panic!("{faults}\n{}", made.text()));
        // plates are asked for by what they are keyed to
        read.plates
            .sort_by_key(|plate| unit.plates.iter().position(|known| known.name == plate.name));
        assert_eq!(read, unit, "{name}:\n{}", made.text());
    }
}

#[test]
fn plates_that_travel_get_their_marks_and_a_wrong_one_is_refused() {
    let (mut table, _) = meant("moor-rear");
    for (n, plate) in table["plate"].as_array_mut().unwrap().iter_mut().enumerate() {
        // one of them has none
        if n > 0 {
            let mark = toml::Value::String(format!("P{n}"));
            plate.as_table_mut().unwrap().insert("part".into(), mark);
        }
    }
    let wanted = Unit::read("marked", &table.to_string()).unwrap();
    let (made, given) = made_from(&table);
    let mut read = Unit::read("marked", &made.text()).unwrap();
    read.plates
        .sort_by_key(|plate| wanted.plates.iter().position(|known| known.name == plate.name));
    assert_eq!(read, wanted, "{}", made.text());
    assert!(
        made.text()
            .contains("# its own mark, where plates travel between units")
    );
    let faults = FileKind::Unit.faults("marked", &made.text(), |_, _, _| Ok(()));
    assert_eq!(faults, [], "{}", made.text());
    // too few marks, one twice, one that can not be a mark, one that a case plate has
    for (question, wrong, words) in [
        ("plate.gear_parts", "P1 P2", "one for each is wanted"),
        ("plate.case_parts", "P1 P1", "P1 is named twice"),
        ("plate.gear_parts", "a/b", "a part is 1 to 24 characters"),
        ("plate.gear_parts", "P1", "two plates are part P1"),
    ] {
        let mut unit = NewFile::new(Described::Unit, Units::Metric);
        let (_, right) = given.iter().find(|(name, _)| name == question).unwrap();
        for (_, text) in given.iter().take_while(|(name, _)| name != question) {
            give(&mut unit, text).unwrap();
        }
        // as many as there are plates, but for the one that is wrong
        let rest = right.split(' ').skip(1).map(|mark| format!("X{mark}"));
        let wrong = match wrong {
            "P1 P2" | "P1 P1" => wrong.to_string(),
            wrong => std::iter::once(wrong.to_string())
                .chain(rest)
                .collect::<Vec<_>>()
                .join(" "),
        };
        let refused = give(&mut unit, &wrong).unwrap_err();
        assert!(refused.contains(words), "{question} {wrong}: {refused}");
    }
}

#[test]
fn what_the_unit_can_be_built_with_is_written_and_held_to_the_unit() {
    let (table, unit) = meant("moor-rear");
    assert!(!unit.offer.ramps.is_empty() && !unit.offer.faces.is_empty());
    let (made, given) = made_from(&table);
    let text = made.text();
    for words in [
        "[[offer.ramp]]",
        "# counts of rubbing faces in a pack that it can be built with",
        "# forces on each pack that it can be set to",
    ] {
        assert!(text.contains(words), "{words} is missing in\n{text}");
    }
    assert_eq!(FileKind::Unit.faults("moor-rear", &text, |_, _, _| Ok(())), []);
    for (question, wrong, words) in [
        ("offer.faces", "4 401", "a whole number from 0 to 400"),
        ("offer.faces", "four", "is no whole number"),
        ("offer.preload", "900 kN", "this spring does not give"),
        (
            "offer.ramp.drive/1",
            "45 deg",
            "does not say what the angle is counted from",
        ),
    ] {
        let mut unit = NewFile::new(Described::Unit, Units::Metric);
        for (_, text) in given.iter().take_while(|(name, _)| name != question) {
            give(&mut unit, text).unwrap();
        }
        let refused = give(&mut unit, wrong).unwrap_err();
        assert!(refused.contains(words), "{question} {wrong}: {refused}");
    }
    // nothing of it is asked for where nobody knows
    let mut without = table;
    without.remove("offer");
    assert!(!made_from(&without).0.text().contains("offer"));
}

#[test]
fn the_file_says_what_each_key_is() {
    let (made, _) = made_from(&meant("moor-rear").0);
    let text = made.text();
    for words in [
        "format = \"shimwright unit 1\"",
        "# cover face to wall, by the manual or by depth gauge on a clean case",
        "# say what it is counted from: 60 deg from ring face are 30 deg from shaft axis",
        "# maker's figures; nobody else's",
    ] {
        assert!(text.contains(words), "{words} is missing in\n{text}");
    }
}

#[test]
fn the_check_of_a_question_is_that_of_the_file() {
    let (table, _) = meant("moor-rear");
    let (made, given) = made_from(&table);
    // wrong answers, each with what the reader of unit files says of it in a whole file
    for (question, wrong, words) in [
        ("id", "Moor Rear", "is no id"),
        (
            "case.depth",
            "0.5 mm",
            "depth is 0.500 mm, but it must be at least 1 mm and at most 1 m",
        ),
        ("case.depth", "12 N·m", "is a torque, but a length is wanted here"),
        (
            "ramp.drive",
            "60 deg",
            "does not say what the angle is counted from",
        ),
        ("ramp.friction", "2", "it must be at least 0 and at most 1"),
        ("friction.inside", "98 mm", ""),
        ("spring.height", "1.2 mm", ""),
        ("wanted.preload_most", "900 N", "the window is upside down"),
        ("wanted.shims_a_side", "11", "a whole number from 0 to 10"),
        ("plate.case_names", "C1 C1", "C1 is named twice"),
        ("pack.left.order", "C1 X9", "no [[plate]] is called \"X9\""),
        ("pack.left.faces", "40", "can not give 40 active faces"),
        ("pack.right.order", "C6 G6", "is in neither pack's order"),
        ("bolts.size/1", "M99", ""),
        (
            "bolts.stages/1",
            "32 N·m 12 N·m",
            "the stages must be more than 0 N·m and rise",
        ),
        ("oil.amount", "30 l", "more than 0 l and at most 20 l"),
    ] {
        let mut unit = NewFile::new(Described::Unit, Units::Metric);
        for (name, text) in &given {
            if name == question {
                break;
            }
            give(&mut unit, text).unwrap();
        }
        let before = unit.clone();
        let refused = give(&mut unit, wrong);
        let late = question == "pack.right.order";
        let refused = match refused {
            // what two answers make wrong together is refused at the second
            Ok(()) if late => {
                give(&mut unit, "2").unwrap_or_default();
                give(&mut unit, "none").err()
            }
            Ok(()) => None,
            Err(words) => {
                assert_eq!(unit.ask(), before.ask(), "{question} was taken");
                Some(words)
            }
        };
        let told = refused.unwrap_or_else(|| panic!("{question} = {wrong} was taken"));
        assert!(told.contains(words), "{question} = {wrong}: {told}");
    }
    assert!(made.ask().is_none());
}

#[test]
fn what_is_odd_is_asked_again_and_taken_by_a_word() {
    let (_, given) = made_from(&meant("moor-rear").0);
    let mut unit = NewFile::new(Described::Unit, Units::Metric);
    for (name, text) in &given {
        if name == "case.depth" {
            break;
        }
        give(&mut unit, text).unwrap();
    }
    let odd = unit.answer(&Reply::Answer("671".into())).unwrap_err();
    assert!(
        odd.sure && odd.words.contains("671 mm is more than is usual here"),
        "{odd:?}"
    );
    assert_eq!(unit.ask().unwrap().slot.to_string(), "case.depth");
    // the same once more says nothing
    assert!(unit.answer(&Reply::Answer("671".into())).unwrap_err().sure);
    let mut other = unit.clone();
    unit.answer(&Reply::Answer("sure".into())).unwrap();
    other.answer(&Reply::Answer("671 sure".into())).unwrap();
    assert_eq!(unit.text(), other.text());
    assert_eq!(unit.ask().unwrap().slot.to_string(), "case.cover");
}

#[test]
fn back_opens_the_answer_before_and_enter_keeps_it() {
    let mut unit = NewFile::new(Described::Unit, Units::Metric);
    assert!(unit.answer(&Reply::Back).is_err());
    give(&mut unit, "one").unwrap();
    give(&mut unit, "The one").unwrap();
    unit.answer(&Reply::Back).unwrap();
    let ask = unit.ask().unwrap();
    assert!(ask.prompt.contains("before: The one"), "{}", ask.prompt);
    give(&mut unit, "").unwrap();
    assert!(unit.text().contains("name = \"The one\""), "{}", unit.text());
    unit.answer(&Reply::Note("asked the \u{1b}maker\nhimself".into()))
        .unwrap();
    give(&mut unit, "none").unwrap();
    unit.answer(&Reply::Skip("no".into())).unwrap_err();
}

#[test]
fn a_walk_back_and_forward_with_enter_alone_makes_the_same_file() {
    let (_, given) = made_from(&meant("moor-rear").0);
    // nothing is opened again once the last question is answered
    let (_, given) = given.split_last().unwrap();
    let mut unit = NewFile::new(Described::Unit, Units::Metric);
    for (_, text) in given {
        give(&mut unit, text).unwrap();
    }
    let whole = unit.text();
    for _ in given {
        unit.answer(&Reply::Back).unwrap();
    }
    for (name, _) in given {
        let ask = unit.ask().unwrap();
        assert_eq!(ask.slot.to_string(), *name);
        assert!(
            ask.before.is_some() && ask.prompt.contains("Enter keeps it"),
            "{name}"
        );
        give(&mut unit, "").unwrap();
    }
    assert_eq!(unit.text(), whole);
}

#[test]
fn a_note_becomes_a_comment_that_changes_nothing() {
    let (table, unit) = meant("fell-front");
    let mut made = NewFile::new(Described::Unit, Units::Metric);
    while let Some(ask) = made.ask() {
        made.answer(&Reply::Note(format!("about \"{}\" \u{7} = 3", ask.slot)))
            .unwrap();
        give(&mut made, &answer_from(&table, &ask)).unwrap();
    }
    assert!(
        made.text().contains("# about \"case.depth_left\""),
        "{}",
        made.text()
    );
    assert_eq!(Unit::read("x", &made.text()).unwrap().bolts, unit.bolts);
}

/// A random answer to a question: mostly one that fits, sometimes anything.
fn random_answer(ask: &Ask, dice: u32, names: &[String]) -> String {
    let pick = |words: &[&str]| words[dice as usize % words.len()].to_string();
    let step = ask.slot.step.as_str();
    let some = |from: usize| {
        let half: Vec<String> = names.iter().skip(from).step_by(2).cloned().collect();
        half.join(" ")
    };
    match &ask.expects {
        Expects::YesNo if step == "bolts.another" => pick(&["no", "no", "yes"]),
        Expects::YesNo => pick(&["yes", "no"]),
        Expects::OneOf(ways) => ways[dice as usize % ways.len()].key.clone(),
        Expects::Quantity { unit: "mm", .. } => match step {
            "case.depth" | "case.depth_left" | "case.depth_right" => {
                format!("{}.{:02}", 40 + dice % 60, dice % 100)
            }
            "friction.outside" | "spring.outside" => format!("{}", 80 + dice % 40),
            "friction.inside" | "spring.inside" => pick(&["30", "40.5", "2 in", "55,5"]),
            "spring.free" => pick(&["30", "40"]),
            "spring.solid" => pick(&["12", "0.5 in"]),
            "spring.height" => pick(&["3.2", "2.9 mm"]),
            "wanted.gap_least" | "wanted.sides_match" => pick(&["0.1", "0.05 mm"]),
            "wanted.gap_target" => pick(&["0.2", "8 thou"]),
            "wanted.gap_most" => pick(&["0.3", "0,35"]),
            "limits.spread" | "limits.flatness" => pick(&["0.03", "0.05"]),
            _ if ask.limits.iter().any(|limit| limit.starts_with("none")) => "none".to_string(),
            _ => pick(&["1.9", "2", "1,85 mm", "78 thou", "2.5"]),
        },
        Expects::Quantity { unit, .. } => match (step, *unit) {
            ("wanted.preload_least", _) => pick(&["200", "45 lbf"]),
            ("wanted.preload_target", _) => pick(&["300", "250 N"]),
            ("wanted.preload_most", _) => pick(&["400", "350 N"]),
            ("wanted.breakaway_least", _) => pick(&["0", "10"]),
            ("wanted.breakaway_most", _) => pick(&["40", "33 lbf·ft"]),
            ("wanted.curve_to", _) => pick(&["800", "500 lbf·ft"]),
            ("bolts.angle", _) => pick(&["none", "45", "90 deg"]),
            ("spring.rate", _) => pick(&["25", "30 N/mm"]),
            ("oil.amount", _) => pick(&["1.1", "2 l"]),
            _ => pick(&["20", "30 deg"]),
        },
        _ => match step {
            "id" => pick(&["a", "rear-1", "front"]),
            "ramp.drive" | "ramp.coast" => pick(&["60 deg from ring face", "40° from shaft axis", "no ramp"]),
            "plate.case_names" => "C1 C2 C3 C4 C5 C6".into(),
            "plate.gear_names" => pick(&["G1 G2", "G1, G2, G3, G4", "G1 G2 G3 G4 G5 G6"]),
            "pack.left.order" => some(0),
            "pack.right.order" => some(1),
            "pack.left.shims" | "pack.right.shims" => pick(&["none", "0.30", "0.10 0.25 mm", "12 thou 0.2"]),
            "bolts.size" => pick(&["M8x1.25", "M10x1.25", "M10"]),
            "bolts.class" => pick(&["8.8", "10.9", "12.9"]),
            "bolts.stages" => pick(&["20", "12 N·m 32 N·m", "10 20 30", "15 lbf·ft 30 lbf·ft"]),
            "wanted.shims_a_side" | "bolts.count" | "spring.count" => pick(&["2", "3", "8"]),
            _ if step.ends_with("faces")
                || step.ends_with("parallel")
                || step.ends_with("series")
                || step.ends_with("confidence") =>
            {
                "none".into()
            }
            "ramp.friction" | "friction.still" | "friction.turning" | "friction.doubt"
            | "ramp.tabs.friction" => pick(&["0.1", ".08", "0,12", "9 %"]),
            _ => pick(&[
                "none",
                "Some \"words\" = 3 # not a comment",
                "a\\b\u{1b}c",
                "ä µ 漢",
            ]),
        },
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]
    #[test]
    fn whatever_is_answered_is_read_back_to_the_same_unit(
        dice in proptest::collection::vec(any::<u32>(), 400),
        junk in proptest::collection::vec("\\PC{0,12}", 40),
    ) {
        let mut unit = NewFile::new(Described::Unit, Units::Metric);
        let mut names: Vec<String> = Vec::new();
        let mut turn = 0;
        while let Some(ask) = unit.ask() {
            // sometimes nonsense first: it is refused or it is taken, and either way nothing breaks
            if dice[turn % 400] % 7 == 0 && !ask.slot.step.starts_with("plate") && !ask.slot.step.starts_with("pack") {
                let _either = unit.answer(&Reply::Answer(junk[turn % 40].clone()));
            }
            let Some(ask) = unit.ask() else { break };
            let mut taken = false;
            for offset in 0..40 {
                let text = random_answer(&ask, dice[(turn + offset * 7) % 400] / 8, &names);
                if give(&mut unit, &text).is_ok() {
                    if ask.slot.step.ends_with("_names") {
                        names.extend(text.split([' ', ',']).filter(|name| !name.is_empty()).map(str::to_string));
                    }
                    taken = true;
                    break;
                }
            }
            if !taken {
                // an earlier answer leaves no way on, such as a spring too weak: go back as a person would
                prop_assume!(false, "{} has no answer", ask.slot);
            }
            turn += 1;
        }
        let text = unit.text();
        let read = Unit::read("unit", &text);
        prop_assert!(read.is_ok(), "{}\n{}", read.unwrap_err(), text);
        // the same answers given again come to the same file
        let mut again = NewFile::new(Described::Unit, Units::Metric);
        for (_, reply) in unit.given() {
            if again.answer(&reply).is_err() {
                again.answer(&Reply::Answer(SURE.into())).unwrap();
            }
        }
        prop_assert_eq!(again.text(), text);
        prop_assert_eq!(Unit::read("unit", &again.text()).unwrap(), read.unwrap());
    }
}

// ------------------------------------------------------------------------------------------------- from outside

struct Folder(TempDir);

impl Folder {
    fn new() -> Folder {
        Folder(TempDir::new().unwrap())
    }

    fn run(&self, arguments: &[&str], input: &str) -> Output {
        let mut command = started::program();
        command.env("SHIMWRIGHT_BOOK", self.0.path().join("book"));
        fed(command.args(arguments).current_dir(self.0.path()), input)
    }

    fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.0.path())
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }
}

/// The answers of a demonstration unit, one a line, as they are typed.
fn lines(name: &str) -> Vec<String> {
    let (_, given) = made_from(&meant(name).0);
    given.into_iter().map(|(_, text)| text).collect()
}

#[test]
fn the_unit_is_written_with_a_drawer_and_instruments_to_begin_with() {
    let folder = Folder::new();
    let input = lines("shoal-rear").join("\n") + "\n";
    let output = folder.run(&["new-unit"], &input);
    let shown = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(0), "{shown}");
    assert_eq!(
        folder.names(),
        ["instruments.toml", "moor-drawer.toml", "shoal-rear.toml"]
    );
    assert!(
        shown.contains("shimwright work full-rebuild shoal-rear.toml"),
        "{shown}"
    );
    // nothing in the starters can be taken for real
    let text = |name: &str| fs::read_to_string(folder.0.path().join(name)).unwrap();
    let drawer = Drawer::read("drawer", &text("moor-drawer.toml")).unwrap();
    assert!(drawer.shims.is_empty() && drawer.spares.is_empty());
    assert!(!read_instruments("instruments", &text("instruments.toml")).is_ok_and(|all| !all.is_empty()));
    // a second one is refused, and nothing is changed
    let before = text("shoal-rear.toml");
    let again = folder.run(&["new-unit", "shoal-rear.toml"], &input);
    assert_eq!(again.status.code(), Some(1), "{again:?}");
    let by_id = folder.run(&["new-unit"], &input);
    let shown = String::from_utf8(by_id.stdout).unwrap();
    assert!(
        shown.contains("shoal-rear.toml is there already; take another name"),
        "{shown}"
    );
    assert_eq!(text("shoal-rear.toml"), before);
}

#[test]
fn an_answers_file_makes_a_unit_as_well() {
    let folder = Folder::new();
    let (_, given) = made_from(&meant("fell-front").0);
    let file: String = given
        .iter()
        .map(|(name, text)| format!("{name} = {text}\n"))
        .collect();
    fs::write(folder.0.path().join("fell.answers"), file).unwrap();
    let output = folder.run(&["new-unit", "mine.toml", "--answers", "fell.answers"], "");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let text = fs::read_to_string(folder.0.path().join("mine.toml")).unwrap();
    assert_eq!(Unit::read("mine", &text).unwrap().id, "fell-front");
}

#[test]
fn answers_from_before_a_question_was_asked_make_the_unit_without_it() {
    let folder = Folder::new();
    let mut file = meant("fell-front").0;
    file["case"].as_table_mut().unwrap().remove("metal");
    let (made, given) = made_from(&file);
    let older = given.iter().filter(|(name, _)| name != "case.metal_known");
    let file: String = older.map(|(name, text)| format!("{name} = {text}\n")).collect();
    fs::write(folder.0.path().join("fell.answers"), &file).unwrap();
    // as a file of answers, and as a draft that was left by the program of then
    let output = folder.run(&["new-unit", "mine.toml", "--answers", "fell.answers"], "");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    fs::write(folder.0.path().join("other.toml.draft"), &file).unwrap();
    let output = folder.run(&["new-unit", "other.toml"], "yes\n");
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    for name in ["mine.toml", "other.toml"] {
        let text = fs::read_to_string(folder.0.path().join(name)).unwrap();
        assert_eq!(text, made.text());
    }
}

#[test]
fn what_is_broken_off_leaves_no_file_and_loses_no_answer() {
    let folder = Folder::new();
    let all = lines("fell-front");
    let (first, rest) = all.split_at(20);
    let output = folder.run(&["new-unit", "fell.toml"], &(first.join("\n") + "\n"));
    assert_eq!(output.status.code(), Some(7), "{output:?}");
    assert_eq!(folder.names(), ["fell.toml.draft"]);
    // yes to going on, then the rest
    let output = folder.run(&["new-unit", "fell.toml"], &format!("yes\n{}\n", rest.join("\n")));
    let shown = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(0), "{shown}");
    assert!(folder.names().contains(&"fell.toml".to_string()));
    assert!(!folder.names().contains(&"fell.toml.draft".to_string()));
}

#[test]
fn on_a_terminal_it_asks_with_its_menus_and_is_left_with_ctrl_c() {
    use portable_pty::{CommandBuilder, PtySize, native_pty_system};
    let folder = Folder::new();
    let pair = native_pty_system()
        .openpty(PtySize {
            rows: 40,
            cols: 80,
            pixel_width: 0,
            pixel_height: 0,
        })
        .unwrap();
    let mut command = CommandBuilder::new(started::program().get_program());
    for (name, value) in started::around() {
        command.env(name, value);
    }
    command.args(["new-unit", "moor.toml"]);
    command.cwd(folder.0.path());
    command.env("TERM", "xterm");
    let mut child = pair.slave.spawn_command(command).unwrap();
    drop(pair.slave);
    let mut reader = pair.master.try_clone_reader().unwrap();
    let (send, receive) = std::sync::mpsc::channel();
    std::thread::spawn(move || {
        let mut bytes = [0; 4096];
        while let Ok(n @ 1..) = reader.read(&mut bytes) {
            if send.send(bytes[..n].to_vec()).is_err() {
                return;
            }
        }
    });
    let mut writer = pair.master.take_writer().unwrap();
    let mut seen = String::new();
    // until the words have come and, after them, the prompt stands: the cursor is shown last
    let wait_for = |words: &str, seen: &mut String| {
        let until = Instant::now() + Duration::from_secs(120);
        let stands = |seen: &str| {
            let after = seen.find(words).map(|at| &seen[at..]);
            after.is_some_and(|after| !words.starts_with("Step ") || after.contains("\x1b[?25h"))
        };
        while !stands(seen) {
            let left = until.saturating_duration_since(Instant::now());
            match receive.recv_timeout(left) {
                Ok(bytes) => seen.push_str(&String::from_utf8_lossy(&bytes)),
                Err(error) => panic!("{words} never came ({error}):\n{seen}"),
            }
        }
    };
    for (step, answer) in [
        ("Step 1 of", "moor-rear\r"),
        ("Step 2 of", "Moor rear\r"),
        ("Step 3 of", "none\r"),
        // from a list
        ("Step 4 of", "thr\r"),
        ("Step 5 of", "drawer.toml\r"),
        ("Step 6 of", "instruments.toml\r"),
        ("Step 7 of", "67,10\r"),
    ] {
        wait_for(step, &mut seen);
        writer.write_all(answer.as_bytes()).unwrap();
    }
    wait_for("Step 8 of", &mut seen);
    writer.write_all(b"\x03").unwrap();
    wait_for("the answers are kept in moor.toml.draft", &mut seen);
    assert_eq!(child.wait().unwrap().exit_code(), 7);
    assert_eq!(folder.names(), ["moor.toml.draft"]);
    let draft = fs::read_to_string(folder.0.path().join("moor.toml.draft")).unwrap();
    assert!(
        draft.contains("layout = through\n") && draft.contains("case.depth = 67,10\n"),
        "{draft}"
    );
}

#[test]
fn fewer_faces_than_the_order_has_are_taken_where_a_dead_face_is_meant() {
    let (mut table, _) = meant("moor-rear");
    let left = table["pack"]["left"].as_table_mut().unwrap();
    left.insert("faces".into(), toml::Value::Integer(9));
    left.insert("dead_faces_meant".into(), toml::Value::Boolean(true));
    let (made, given) = made_from(&table);
    let asked: Vec<&str> = given.iter().map(|(name, _)| name.as_str()).collect();
    assert!(asked.contains(&"pack.left.dead_faces_meant") && !asked.contains(&"pack.right.dead_faces_meant"));
    assert_eq!(Unit::read("moor", &made.text()).unwrap().packs[0].faces, 9);
    assert!(made.text().contains("dead_faces_meant = true"), "{}", made.text());
    // who did not mean it counts again
    let mut unit = NewFile::new(Described::Unit, Units::Metric);
    for (name, text) in &given {
        if name == "pack.left.dead_faces_meant" {
            break;
        }
        give(&mut unit, text).unwrap();
    }
    let refused = give(&mut unit, "no").unwrap_err();
    assert!(refused.contains("is a dead face meant?"), "{refused}");
    unit.answer(&Reply::Back).unwrap();
    give(&mut unit, "10").unwrap();
    assert_eq!(unit.ask().unwrap().slot.to_string(), "pack.left.shims");
}

#[test]
fn a_probability_may_be_a_percentage_and_inches_have_examples_that_say_their_unit() {
    let (table, _) = meant("moor-rear");
    let (_, given) = made_from(&table);
    let mut unit = NewFile::new(Described::Unit, Units::Inch);
    let mut examples = 0;
    for (name, text) in &given {
        let ask = unit.ask().unwrap();
        if let Expects::Quantity { unit: bare, example } = &ask.expects
            && *bare == "in"
            && !example.is_empty()
        {
            assert!(example.ends_with(" mm"), "{name}: {example}");
            examples += 1;
        }
        let text = if name == "limits.confidence" { "95%" } else { text };
        give(&mut unit, text).unwrap_or_else(|words| panic!("{name}: {words}"));
    }
    assert!(examples > 10, "{examples}");
    assert_eq!(
        Unit::read("moor", &unit.text())
            .unwrap()
            .limits
            .confidence
            .to_bits(),
        0.95_f64.to_bits()
    );
}
