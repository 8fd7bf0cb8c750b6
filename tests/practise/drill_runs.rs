//! Runs of drills by the program: what is kept of them, and what comes next.

use serde_json::Value;
use shimwright::practice::drills::{Drill, Kind, Wanted, deal};
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Output, Stdio};

/// The program, in a folder of its own, with something typed.
fn run(dir: &Path, arguments: &[&str], typed: &str) -> Output {
    let mut child = crate::started::program()
        .arg("practise")
        .args(arguments)
        .env("SHIMWRIGHT_BOOK", dir.join("book"))
        .env("NO_COLOR", "1")
        .current_dir(dir)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // whoever has stopped listening has what it wants
    let _ = child.stdin.take().unwrap().write_all(typed.as_bytes());
    child.wait_with_output().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

/// The lines that were kept.
fn kept(dir: &Path) -> Vec<Value> {
    let text = fs::read_to_string(dir.join("practice/drills.jsonl")).unwrap();
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

#[test]
fn a_run_by_answers_is_kept_card_by_card_and_the_next_one_is_another() {
    let dir = tempfile::tempdir().unwrap();
    let dir = dir.path();
    for drill in Drill::ALL.map(|(drill, ..)| drill) {
        let cards = deal(drill, 1);
        // every right answer but the last but one
        let answers: String = cards
            .iter()
            .enumerate()
            .map(|(n, card)| {
                let answer = match &card.wanted {
                    Wanted::One { options, right } if n == 8 => options
                        .iter()
                        .find(|option| option.key != *right)
                        .unwrap()
                        .key
                        .clone(),
                    Wanted::Number {
                        kind: Kind::Count,
                        right,
                        ..
                    } if n == 8 => format!("{}", right + 1.0),
                    Wanted::Number { right, .. } if n == 8 => format!("{:.3}", 1.5 * right),
                    _ => card.right().to_string(),
                };
                format!("{}/{} = \"{answer}\"\n", drill.word(), n + 1)
            })
            .collect();
        fs::write(dir.join("some.answers"), &answers).unwrap();
        let arguments = [
            "--drill",
            drill.word(),
            "--answers",
            "some.answers",
            "--by",
            "A. Prentice",
        ];
        let first = run(
            dir,
            &[&arguments[..], &["--at", "2026-05-09T10:00:00Z", "--json"]].concat(),
            "",
        );
        assert_eq!(
            first.status.code(),
            Some(0),
            "{}",
            String::from_utf8_lossy(&first.stderr)
        );
        let told: Value = serde_json::from_slice(&first.stdout).unwrap();
        assert_eq!(crate::shapes::faults(&told), [""; 0]);
        assert_eq!((&told["drill"], &told["seed"]), (&drill.word().into(), &1.into()));
        assert_eq!((&told["right"], &told["of"]), (&9.into(), &10.into()), "{told}");
        assert_eq!(told["cards"][8]["right"], false);
        assert_eq!(told["cards"][0]["topic"], cards[0].topic);
        // the same answers are for no other run, but for this one again
        let again = run(dir, &[&arguments[..], &["--seed", "1"]].concat(), "");
        assert!(
            out(&again).contains("run 1: 9 of 10 right, in 0:0"),
            "{}",
            out(&again)
        );
        assert!(out(&again).contains("Wrong: card 9.\n"), "{}", out(&again));
    }
    let lines = kept(dir);
    assert_eq!(lines.len(), 9 * 2 * 11);
    assert_eq!(lines[0]["kind"], "dealt");
    assert_eq!(lines[1]["by"], "A. Prentice");
    assert!(lines.iter().all(|line| line["format"] == "shimwright drilled 1"));
}

#[test]
fn a_run_that_was_left_goes_on_and_is_not_dealt_again() {
    let dir = tempfile::tempdir().unwrap();
    let dir = dir.path();
    let cards = deal(Drill::Cautions, 1);
    let two = format!(
        "{}\nno such word\n{}\n!pause\n",
        cards[0].right(),
        cards[1].right()
    );
    let left = run(dir, &["--drill", "cautions", "--plain"], &two);
    assert_eq!(left.status.code(), Some(7));
    let told = out(&left);
    assert!(told.contains("run 1: 2 of 2 right, 8 not answered"), "{told}");
    assert!(told.contains("Not taken: one of these is wanted: "), "{told}");
    assert_eq!(kept(dir).len(), 3);
    // somebody else gets other cards; whoever left gets the rest
    let other = run(
        dir,
        &["--drill", "cautions", "--plain", "--by", "B. Second"],
        "!pause\n",
    );
    assert!(
        out(&other).contains("drill cautions, run 2, 10 cards."),
        "{}",
        out(&other)
    );
    let torn: String = kept(dir).iter().map(|line| format!("{line}\n")).collect();
    fs::write(dir.join("practice/drills.jsonl"), torn + "{\"torn").unwrap();
    let rest: String = cards[2..]
        .iter()
        .map(|card| format!("{}\n", card.right()))
        .collect();
    let gone_on = run(dir, &["--drill", "cautions", "--plain"], &rest);
    assert_eq!(gone_on.status.code(), Some(0));
    let told = out(&gone_on);
    assert!(told.contains("10 cards, 2 of them answered before"), "{told}");
    assert!(
        told.contains("run 1: 8 of 8 right") && told.contains("Step 3 of 10"),
        "{told}"
    );
    let warned = String::from_utf8_lossy(&gone_on.stderr).into_owned();
    assert!(warned.contains("that can not be read: 1"), "{warned}");
    // all of it was answered: the next run
    let next = run(dir, &["--drill", "cautions", "--plain"], "!why\n");
    assert!(
        out(&next).contains("drill cautions, run 3, 10 cards."),
        "{}",
        out(&next)
    );
    assert!(out(&next).contains("Who hurts himself"), "{}", out(&next));
}
