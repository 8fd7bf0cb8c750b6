//! One fault a file, each file named for it: kind of file, rule, detail. Its first line says where the fault is, which
//! was found by looking for the text at fault and not by the program.

use shimwright::document::Faults;
use shimwright::procedure::{STOCK, judged_elsewhere};
use shimwright::workshop::language::Language;
use shimwright::workshop::{FileKind, STOCK_USES};
use std::fs;
use std::path::{Path, PathBuf};

fn in_folder(folder: &str, ending: &str) -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|file| file.unwrap().path())
        .filter(|path| path.to_string_lossy().ends_with(ending))
        .collect();
    files.sort();
    files
}

/// Kind, and rule with line and column of each fault.
fn linted(name: &str, source: &str) -> (Option<FileKind>, Vec<String>) {
    let shown = |faults: &Faults| {
        faults
            .faults
            .iter()
            .map(|fault| {
                let (line, column) = faults.place(fault);
                format!("{} at {line}:{column}", fault.rule)
            })
            .collect()
    };
    match FileKind::of(name, source) {
        Err(faults) => (None, shown(&faults)),
        Ok(kind) => {
            let faults = kind.faults(name, source, judged_elsewhere);
            let all = Faults {
                file: name.into(),
                source: source.into(),
                faults,
            };
            (Some(kind), shown(&all))
        }
    }
}

#[test]
fn exactly_the_one_fault_of_each_file_is_found_where_it_is() {
    let files = in_folder("tests/lint/corpus", ".toml");
    assert!(files.len() >= 84, "{}", files.len());
    for path in files {
        let source = fs::read_to_string(&path).unwrap();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let told = source.lines().next().unwrap();
        let wanted = told.strip_prefix("# One fault: ").unwrap().trim_end_matches('.');
        let (kind, found) = linted(&name, &source);
        assert_eq!(found, [wanted], "{name}");
        let rule = wanted.split(' ').next().unwrap();
        let (word, rest) = name.split_once('-').unwrap();
        assert!(rest.starts_with(rule), "{name} is not named for {rule}");
        if let Some(kind) = kind {
            assert_eq!(kind.word(), word, "{name}");
        }
    }
}

#[test]
fn every_kind_of_file_has_some_that_are_refused() {
    let files = in_folder("tests/lint/corpus", ".toml");
    for (_, word) in FileKind::ALL {
        let count = files
            .iter()
            .filter(|path| {
                path.file_name()
                    .unwrap()
                    .to_string_lossy()
                    .starts_with(&format!("{word}-"))
            })
            .count();
        assert!(count >= 3, "{word}: {count}");
    }
}

#[test]
fn the_files_that_come_with_the_program_have_no_fault() {
    for one in STOCK.iter() {
        for source in [one.own, &one.text] {
            assert_eq!(
                linted(one.id, source),
                (Some(FileKind::Procedure), vec![]),
                "{}",
                one.id
            );
        }
    }
    for (id, source) in STOCK_USES {
        assert_eq!(linted(id, source), (Some(FileKind::Use), vec![]), "{id}");
    }
    let words =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("procedures/words.toml")).unwrap();
    assert_eq!(linted("words.toml", &words), (Some(FileKind::Words), vec![]));
    for (code, source) in Language::texts_of_stock() {
        let found = linted(&format!("{code}.toml"), source);
        assert_eq!(found, (Some(FileKind::Language), vec![]));
    }
    for path in in_folder("demo-units", ".toml") {
        let source = fs::read_to_string(&path).unwrap();
        let (kind, faults) = linted(&path.to_string_lossy(), &source);
        assert_eq!((kind.is_some(), faults), (true, vec![]), "{}", path.display());
    }
}

#[test]
fn all_files_are_gone_through_and_the_code_says_whether_there_was_a_fault() {
    let run = |arguments: &[&str]| {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let output = crate::started::program()
            .arg("lint")
            .args(arguments)
            .current_dir(root)
            .output()
            .unwrap();
        (
            output.status.code().unwrap(),
            String::from_utf8(output.stdout).unwrap(),
        )
    };
    let (code, text) = run(&["demo-units/moor-rear.toml", "procedures/reshim.toml"]);
    assert_eq!((code, text.as_str()), (0, "2 files, no fault\n"));
    let bad = "tests/lint/corpus/procedure-missing-caution-lifting.toml";
    let (code, text) = run(&[bad, "no-such.toml", "demo-units/moor-rear.toml"]);
    assert_eq!(code, 3);
    assert_eq!(
        text,
        format!(
            "{bad}, line 18, at stage.step.id\n    id = \"lift\"\n  \"lift\" needs a caution step before it with \
             covers = [\"lifting\"]\n  rule: missing-caution\n\nno-such.toml\n  no-such.toml is not there\n  rule: unreadable\n\n\
             3 files, 2 faults in 2 of them\n"
        )
    );
    // readings alone are taken with any names; held to their unit they are not
    let readings = "demo-units/moor-rear-readings.toml";
    let (code, text) = run(&[readings]);
    assert_eq!(code, 0);
    assert!(
        text.contains("no plate was looked up; --unit FILE does that"),
        "{text}"
    );
    let (code, text) = run(&["--unit", "demo-units/moor-rear.toml", readings]);
    assert_eq!((code, text.as_str()), (0, "1 file, no fault\n"));
    let (code, text) = run(&["--unit", "demo-units/fell-front.toml", readings]);
    assert_eq!(code, 3);
    for words in [
        "\"depth\" is not known in [case]",
        "\"depth_left\" is missing in [case]",
        "\"spring\" is not known in the top of the file",
        "no plate of the unit or the drawer is called G10",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let (code, text) = run(&["--json", bad]);
    assert_eq!(code, 3);
    let json: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert_eq!(json["faults"], 1);
    let fault = &json["files"][0]["faults"][0];
    assert_eq!((&fault["line"], &fault["column"]), (&18.into(), &6.into()));
}
