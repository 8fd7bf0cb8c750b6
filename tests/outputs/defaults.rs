//! What holds where no option says otherwise: who says it first, and what is wrong with a file.

use crate::made_font::made;
use crate::place::{Place, Ran};
use crate::shop;
use serde_json::Value;
use std::fs;

/// The program with a folder of the user's own, and what the environment says besides.
fn run(place: &Place, words: &[&str], variables: &[(&str, &str)]) -> Ran {
    let mut command = place.program(words);
    for name in ["UNITS", "PAPER", "KEY", "LANGUAGE", "SCREEN", "FONT"] {
        command.env_remove(format!("SHIMWRIGHT_{name}"));
    }
    command.env("XDG_CONFIG_HOME", place.path("mine"));
    command.envs(variables.iter().copied()).output().unwrap().into()
}

fn done(place: &Place, words: &[&str]) -> String {
    let ran = run(place, words, &[]);
    assert_eq!(ran.code, 0, "{words:?}: {}", ran.err);
    ran.out
}

/// What holds for a key, and who says so.
fn holds(place: &Place, key: &str, variables: &[(&str, &str)]) -> (Value, String) {
    let told = run(place, &["defaults", "--json"], variables).json();
    let all = told["defaults"].as_array().unwrap();
    let one = all.iter().find(|one| one["key"] == key).unwrap();
    (one["value"].clone(), one["by"].as_str().unwrap().to_string())
}

/// The units of a build that is begun, and left at its second question.
fn begun_in(place: &Place, more: &[&str], variables: &[(&str, &str)]) -> String {
    place.write("one.answers", "who = A. Fitter (invented)\n");
    let words = [
        "work",
        "bench-check",
        "moor-rear.toml",
        "--new",
        "--answers",
        "one.answers",
    ];
    run(place, &[&words[..], more].concat(), variables).fails(4, &["is asked"]);
    let mut builds: Vec<String> = fs::read_dir(place.book())
        .unwrap()
        .filter_map(|entry| entry.unwrap().file_name().into_string().ok())
        .filter(|name| name.starts_with("moor-rear-"))
        .collect();
    builds.sort();
    let entries = place.entries(builds.last().unwrap());
    entries[0]["units"].as_str().unwrap().to_string()
}

#[test]
fn an_option_comes_first_then_the_environment_then_the_own_file_then_the_book_s() {
    let place = shop(false);
    let inch = [("SHIMWRIGHT_UNITS", "inch")];
    assert_eq!(holds(&place, "units", &[]), ("metric".into(), "program".into()));
    assert_eq!(begun_in(&place, &[], &[]), "metric");
    let told = done(&place, &["defaults", "set", "units", "inch"]);
    assert!(
        told.contains("units = inch, in ") && told.contains("book"),
        "{told}"
    );
    assert_eq!(holds(&place, "units", &[]), ("inch".into(), "file".into()));
    assert_eq!(begun_in(&place, &[], &[]), "inch");
    done(&place, &["defaults", "set", "units", "metric", "--for-me"]);
    assert_eq!(begun_in(&place, &[], &[]), "metric");
    assert_eq!(
        holds(&place, "units", &inch),
        ("inch".into(), "environment".into())
    );
    assert_eq!(begun_in(&place, &[], &inch), "inch");
    assert_eq!(begun_in(&place, &["--units", "metric"], &inch), "metric");
    // what is set may be outranked, which is told at once
    let told = done(&place, &["defaults", "set", "units", "inch"]);
    assert!(told.contains("units is metric here, by "), "{told}");
    done(&place, &["defaults", "unset", "units", "--for-me"]);
    done(&place, &["defaults", "unset", "units"]);
    assert_eq!(begun_in(&place, &[], &[]), "metric");
}

#[test]
fn an_empty_variable_says_nothing_and_a_wrong_one_is_named() {
    let place = shop(false);
    for name in [
        "SHIMWRIGHT_UNITS",
        "SHIMWRIGHT_PAPER",
        "SHIMWRIGHT_LANGUAGE",
        "SHIMWRIGHT_SCREEN",
    ] {
        let ran = run(&place, &["defaults"], &[(name, "")]);
        assert_eq!(ran.code, 0, "{name}: {}", ran.err);
        run(&place, &["defaults"], &[(name, "imperial")]).fails(2, &[name, "imperial"]);
    }
    assert_eq!(begun_in(&place, &[], &[("SHIMWRIGHT_UNITS", "")]), "metric");
    let work = ["work", "bench-check", "moor-rear.toml"];
    run(&place, &work, &[("SHIMWRIGHT_UNITS", "imperial")]).fails(2, &["SHIMWRIGHT_UNITS", "metric, inch"]);
}

#[test]
fn a_faulty_file_is_told_with_its_line_and_nothing_is_begun() {
    let place = shop(false);
    let file = place.book().join("defaults.toml");
    fs::create_dir(place.book()).unwrap();
    for (text, facts) in [
        (
            "format = \"shimwright defaults 1\"\nunits = \"imperial\"\n",
            ["defaults.toml, line 2", "imperial"],
        ),
        (
            "format = \"shimwright defaults 1\"\n\nunit = \"inch\"\n",
            ["defaults.toml, line 3", "units"],
        ),
        (
            "format = \"shimwright defaults 2\"\n",
            ["defaults.toml, line 1", "newer program"],
        ),
        (
            "format = \"shimwright defaults 1\"\nkey = \"me\"\n",
            ["defaults.toml, line 2", "--for-me"],
        ),
        ("units = [\n", ["defaults.toml, line 1", "units"]),
    ] {
        fs::write(&file, text).unwrap();
        for words in [
            &["work", "bench-check", "moor-rear.toml"][..],
            &["fleet"],
            &["defaults"],
            &["defaults", "set", "paper", "letter"],
        ] {
            run(&place, words, &[]).fails(3, &facts);
        }
        assert_eq!(fs::read_to_string(&file).unwrap(), text);
        // what needs no default goes on
        done(&place, &["builds"]);
    }
    let begun = fs::read_dir(place.book())
        .unwrap()
        .map(|entry| entry.unwrap().path());
    assert_eq!(
        begun.filter(|path| path.join("journal.jsonl").exists()).count(),
        0
    );
}

#[test]
fn whose_key_it_is_stands_in_nobody_s_book_and_is_found_wherever_one_works() {
    let place = shop(false);
    run(&place, &["defaults", "set", "key", "bench-key"], &[]).fails(2, &["no place in a book"]);
    done(&place, &["defaults", "set", "key", "bench-key", "--for-me"]);
    let (value, by) = holds(&place, "key", &[]);
    let path = value.as_str().unwrap();
    assert!(
        by == "file" && path.starts_with('/') && path.ends_with("/bench-key"),
        "{path}"
    );
    // it is looked for there before any work is begun
    let work = ["work", "bench-check", "moor-rear.toml"];
    run(&place, &work, &[]).fails(3, &["bench-key", "is not there"]);
}

#[test]
fn a_change_leaves_the_rest_of_the_file_as_it_is() {
    let place = shop(false);
    done(&place, &["defaults", "set", "paper", "letter"]);
    let file = place.book().join("defaults.toml");
    let text = fs::read_to_string(&file).unwrap();
    fs::write(
        &file,
        format!("# of this shop\n{text}units = \"inch\" # all of us\n"),
    )
    .unwrap();
    done(&place, &["defaults", "set", "paper", "a4"]);
    done(&place, &["defaults", "set", "language", "de"]);
    done(&place, &["defaults", "unset", "paper"]);
    assert_eq!(
        fs::read_to_string(&file).unwrap(),
        "# of this shop\nformat = \"shimwright defaults 1\"\nunits = \"inch\" # all of us\nlanguage = \"de\"\n"
    );
}

#[test]
fn the_sheet_of_a_job_is_of_the_paper_that_holds() {
    let place = shop(false);
    done(&place, &["defaults", "set", "paper", "letter"]);
    let answers = crate::demo_file("moor-rear-refit-and-run-in.answers");
    let words = [
        "work",
        "refit-and-run-in",
        "moor-rear.toml",
        "--answers",
        answers.to_str().unwrap(),
    ];
    done(&place, &words);
    // what the first page's box says of its width, in whole points
    let width = |build: &str| {
        let file = lopdf::Document::load(place.book().join(build).join("sheet.pdf")).unwrap();
        let page = file.page_iter().next().unwrap();
        let page = file.get_dictionary(page).unwrap();
        let corners = page.get(b"MediaBox").unwrap().as_array().unwrap();
        corners[2].as_float().unwrap().round()
    };
    // 8.5 in are 612 points, 210 mm are 595.3
    assert_eq!(width("moor-rear-0001").to_string(), "612");
    done(&place, &[&words[..], &["--paper", "a4"]].concat());
    assert_eq!(width("moor-rear-0002").to_string(), "595");
}

#[test]
fn a_font_is_never_taken_in_silence_and_says_which_signs_it_lacks() {
    let place = shop(false);
    let unit = fs::read_to_string(place.path("moor-rear.toml")).unwrap();
    place.write("moor-rear.toml", unit.replacen("Moor rear", "Moor 漢字م", 1));
    place.write("shop.ttf", made(&[('漢', 'H')]));
    let blank = [
        "sheet",
        "--blank",
        "bench-check",
        "moor-rear.toml",
        "--out",
        "form.pdf",
    ];
    let form = |more: &[&str], variables: &[(&str, &str)]| {
        let ran = run(&place, &[&blank[..], more].concat(), variables);
        let bytes = fs::read(place.path("form.pdf")).unwrap_or_default();
        let has = bytes.windows(9).any(|at| at == b"GivenFont");
        let named = lopdf::Document::load_mem(&bytes).is_ok_and(|file| {
            let about = file
                .trailer
                .get_deref(b"Info", &file)
                .unwrap()
                .as_dict()
                .unwrap()
                .clone();
            about.has(b"Keywords")
        });
        (ran.code, ran.err.replace('\n', " "), has || named)
    };
    let (code, told, has) = form(&[], &[]);
    assert!(code == 0 && !has, "{told}");
    for words in [
        "字 (U+5B57), 漢 (U+6F22)",
        "--font FILE",
        "م (U+0645)",
        "from right to left",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    let (code, told, has) = form(&["--font", "shop.ttf"], &[]);
    assert!(code == 0 && has && !told.contains('漢'), "{told}");
    assert!(
        told.contains("that shop.ttf does not have either") && told.contains("字 (U+5B57)"),
        "{told}"
    );
    // a default by its whole path, in the book, one's own folder or the environment
    let said = done(&place, &["defaults", "set", "font", "shop.ttf"]);
    assert!(said.contains("shop.ttf, in "), "{said}");
    assert!(
        holds(&place, "font", &[])
            .0
            .as_str()
            .unwrap()
            .ends_with("/shop.ttf")
    );
    assert!(form(&[], &[]).2);
    let (code, told, _) = form(&[], &[("SHIMWRIGHT_FONT", "gone.ttf")]);
    assert!(code == 3 && told.contains("gone.ttf is not there"), "{told}");
    assert_eq!(
        form(&["--font", "shop.ttf"], &[("SHIMWRIGHT_FONT", "gone.ttf")]).0,
        0
    );
    // hours of work are not begun for a sheet that could not be printed
    let work = ["work", "bench-check", "moor-rear.toml", "--new", "--plain"];
    run(&place, &work, &[("SHIMWRIGHT_FONT", "gone.ttf")]).fails(3, &["gone.ttf is not there"]);
    assert!(!fs::read_dir(place.book()).unwrap().any(|entry| {
        entry
            .unwrap()
            .file_name()
            .to_string_lossy()
            .starts_with("moor-rear-")
    }));
    done(&place, &["defaults", "unset", "font"]);
    assert!(!form(&[], &[]).2);
}
