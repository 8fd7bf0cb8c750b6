//! The book, from outside: what a cut, a changed byte, a killed program and a second program do to a journal.

#![allow(clippy::unwrap_used)] // the helpers of a test are tests too

#[path = "support/skipped.rs"]
mod skipped;
use crate::skipped::skipped;
use proptest::prelude::*;
use shimwright::book::{BookError, BuildId, Holder, Journal, Problem, Repair, Second, Shelf};
use shimwright::record::formats::JOURNAL_LINE;
use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

const UNIT: &[u8] = b"# invented for this test\nname = \"test unit\"\n";
const ENTRIES: [&str; 4] = [
    r#"{"step":"strip"}"#,
    r#"{"read":"1.98 mm","of":["p1",{"side":"}]"}]}"#,
    r#"{"note":"é \"x\\"}"#,
    r#"{"n":4}"#,
];

fn shelf() -> (tempfile::TempDir, Shelf) {
    let dir = tempfile::tempdir().unwrap();
    let shelf = Shelf::open(&dir.path().join("shelf")).unwrap();
    (dir, shelf)
}

/// The same in memory where the system offers that, for tests that try thousands of states and need no real disk.
fn quick_shelf() -> (tempfile::TempDir, Shelf) {
    let dir = tempfile::tempdir_in("/dev/shm")
        .or_else(|_| tempfile::tempdir())
        .unwrap();
    let shelf = Shelf::open(&dir.path().join("shelf")).unwrap();
    (dir, shelf)
}

/// A build with the four entries, closed again, and the bytes of its journal.
fn build(shelf: &Shelf) -> (BuildId, PathBuf, Vec<u8>) {
    let mut journal = shelf.begin("gt rear", &[("unit.toml", UNIT)]).unwrap();
    for entry in ENTRIES {
        journal.append(entry).unwrap();
    }
    let id = journal.id().clone();
    drop(journal);
    let path = shelf.folder(&id).join("journal.jsonl");
    let bytes = fs::read(&path).unwrap();
    (id, path, bytes)
}

/// Everything in a folder, so that "nothing was written" can be checked.
fn all_files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .map(|path| (path.clone(), fs::read(&path).unwrap()))
        .collect()
}

fn put_back(folder: &Path, files: &BTreeMap<PathBuf, Vec<u8>>) {
    for path in all_files(folder)
        .into_keys()
        .filter(|path| !files.contains_key(path))
    {
        fs::remove_file(path).unwrap();
    }
}

#[test]
fn what_is_appended_is_read_back_and_goes_on_after_reopening() {
    let (_dir, shelf) = shelf();
    let (id, _, _) = build(&shelf);
    assert_eq!(id.as_str(), "gt-rear-0001");
    assert_eq!(shelf.file(&id, "unit.toml").unwrap(), UNIT);
    let mut journal = shelf.resume(&id).unwrap();
    assert_eq!(
        (journal.entries(), journal.repairs()),
        (&ENTRIES.map(String::from)[..], &[][..])
    );
    journal.append("{}").unwrap();
    let reading = shelf.read(&id).unwrap();
    assert_eq!((reading.entries.len(), reading.problems), (5, vec![]));
}

#[test]
fn each_line_is_plain_json_that_names_the_sha_256_of_the_line_before() {
    use sha2::Digest;
    let (_dir, shelf) = shelf();
    let (_, _, bytes) = build(&shelf);
    let mut before = String::new();
    for (i, line) in std::str::from_utf8(&bytes).unwrap().lines().enumerate() {
        let value: serde_json::Value = serde_json::from_str(line).unwrap();
        assert_eq!(
            (value["v"].as_u64(), value["n"].as_u64()),
            (Some(1), Some(i as u64 + 1))
        );
        let digest = sha2::Sha256::digest(before.as_bytes());
        let hex: String = digest.iter().map(|b| format!("{b:02x}")).collect();
        assert_eq!(value["was"], hex);
        assert_eq!(
            value["entry"],
            serde_json::from_str::<serde_json::Value>(ENTRIES[i]).unwrap()
        );
        before = line.to_string();
    }
    assert_eq!(bytes.last(), Some(&b'\n'));
}

#[test]
fn a_journal_cut_after_any_byte_keeps_every_completed_entry() {
    let (_dir, shelf) = quick_shelf();
    let (id, path, bytes) = build(&shelf);
    let folder = shelf.folder(&id);
    let clean = all_files(&folder);
    for cut in 0..=bytes.len() {
        put_back(&folder, &clean);
        fs::write(&path, &bytes[..cut]).unwrap();
        let completed = bytes[..cut].iter().filter(|&&b| b == b'\n').count();
        let lacks_newline = bytes.get(cut) == Some(&b'\n');
        let kept = completed + usize::from(lacks_newline);
        let start = bytes[..cut]
            .iter()
            .rposition(|&b| b == b'\n')
            .map_or(0, |at| at + 1);

        let reading = shelf.read(&id).unwrap();
        assert_eq!(reading.entries, &ENTRIES[..kept], "{cut}");
        let mut journal = shelf.resume(&id).unwrap();
        assert_eq!(journal.entries(), &ENTRIES[..kept], "{cut}");
        if lacks_newline {
            assert_eq!(reading.problems, [Problem::Unfinished { line: kept }]);
            assert_eq!(journal.repairs(), [Repair::Completed { line: kept }]);
            assert_eq!(fs::read(&path).unwrap(), &bytes[..=cut]);
        } else if start < cut {
            let (torn, aside) = ((cut - start) as u64, folder.join("journal.torn-1"));
            assert_eq!(
                reading.problems,
                [Problem::Torn {
                    line: kept + 1,
                    bytes: torn
                }]
            );
            assert_eq!(fs::read(&aside).unwrap(), &bytes[start..cut]);
            assert_eq!(journal.repairs(), [Repair::Torn { bytes: torn, aside }]);
            assert_eq!(fs::read(&path).unwrap(), &bytes[..start]);
        } else {
            assert_eq!((reading.problems, journal.repairs()), (vec![], &[][..]));
        }
        journal.append(r#"{"after":1}"#).unwrap();
        drop(journal);
        let reading = shelf.read(&id).unwrap();
        assert_eq!(
            (reading.entries.len(), reading.problems),
            (kept + 1, vec![]),
            "{cut}"
        );
    }
}

#[test]
fn torn_parts_never_overwrite_one_another() {
    let (_dir, shelf) = shelf();
    let (id, path, bytes) = build(&shelf);
    for n in 1..=3 {
        fs::write(&path, [&bytes[..], &b"\0\0\0"[..n]].concat()).unwrap();
        let aside = shelf.folder(&id).join(format!("journal.torn-{n}"));
        let journal = shelf.resume(&id).unwrap();
        assert_eq!(
            journal.repairs(),
            [Repair::Torn {
                bytes: n as u64,
                aside: aside.clone()
            }]
        );
        let told = journal.repairs()[0].to_string();
        assert_eq!(
            told,
            format!(
                "the last line was torn; its {n} bytes were set aside in {}",
                aside.display()
            )
        );
        assert_eq!(fs::read(aside).unwrap(), vec![0; n]);
    }
}

/// Every byte of the journal is changed to several others. A change is found, except inside the last entry where its
/// brackets and quotes still close: no later line holds that entry's digest, so the change can not be told from what
/// was written. The frame of the last line is covered: its text is fixed, its number and its digest of the line before
/// are checked, and its version is reported when it is newer.
#[test]
fn a_changed_byte_is_found_anywhere_but_inside_the_last_entry() {
    let (_dir, shelf) = quick_shelf();
    let (id, path, bytes) = build(&shelf);
    let folder = shelf.folder(&id);
    let clean = all_files(&folder);
    let last_entry = bytes.len() - 2 - ENTRIES[3].len()..bytes.len() - 2;
    assert_eq!(&bytes[last_entry.clone()], ENTRIES[3].as_bytes());
    let text = String::from_utf8(bytes.clone()).unwrap();
    let mut unseen = 0;
    for at in 0..bytes.len() {
        let was = bytes[at];
        for now in [
            was ^ 1,
            was ^ 2,
            was ^ 0x20,
            was ^ 0x80,
            b'\n',
            b'0',
            b'2',
            b'}',
            b'{',
            b'"',
            b' ',
            0,
        ] {
            if now == was {
                continue;
            }
            let mut changed = bytes.clone();
            changed[at] = now;
            fs::write(&path, &changed).unwrap();
            let reading = shelf.read(&id).unwrap();
            let told = format!("byte {at}, {was} to {now}: {:?}", reading.problems);
            if reading.problems.is_empty() {
                // that a line of another known version does not fit its entry shows where the entry is read
                let of_version = text[..at].ends_with("{\"v\":")
                    && reading
                        .versions
                        .last()
                        .is_some_and(|version| (2..=JOURNAL_LINE.newest()).contains(version));
                assert!(last_entry.contains(&at) || of_version, "{told}");
                assert_eq!(reading.entries[..3], ENTRIES[..3], "{told}");
                unseen += 1;
                continue;
            }
            assert_eq!(reading.entries, ENTRIES[..reading.entries.len()], "{told}");
            let before = all_files(&folder);
            match shelf.resume(&id) {
                Ok(journal) => {
                    let [Repair::Torn { bytes: torn, aside }] = journal.repairs() else {
                        panic!("{told}, but {:?}", journal.repairs());
                    };
                    let cut = changed.len() - *torn as usize;
                    assert_eq!(fs::read(aside).unwrap(), &changed[cut..], "{told}");
                    assert_eq!(fs::read(&path).unwrap(), &changed[..cut], "{told}");
                }
                Err(BookError::Altered { line, .. }) => {
                    assert_eq!(line, reading.entries.len() + 1, "{told}");
                    assert_eq!(all_files(&folder), before, "{told}");
                }
                Err(BookError::Newer { line: 4, .. }) => assert_eq!(all_files(&folder), before, "{told}"),
                Err(other) => panic!("{told}, but {other}"),
            }
            put_back(&folder, &clean);
        }
    }
    assert!(unseen > 0, "the limit that the documentation states is real");
}

#[test]
fn lines_lost_at_the_end_are_not_found_by_the_journal_alone() {
    let (_dir, shelf) = shelf();
    let (id, path, bytes) = build(&shelf);
    let third = bytes
        .iter()
        .enumerate()
        .filter(|(_, b)| **b == b'\n')
        .nth(2)
        .unwrap()
        .0;
    fs::write(&path, &bytes[..=third]).unwrap();
    let reading = shelf.read(&id).unwrap();
    assert_eq!((reading.entries.len(), reading.problems), (3, vec![]));
}

#[test]
fn a_newer_journal_is_read_and_not_written() {
    let (_dir, shelf) = shelf();
    let (id, path, bytes) = build(&shelf);
    let text = String::from_utf8(bytes).unwrap();
    let last = text.rfind("{\"v\":1").unwrap();
    let newer = JOURNAL_LINE.newest() + 1;
    fs::write(
        &path,
        format!("{}{{\"v\":{newer}{}", &text[..last], &text[last + 6..]),
    )
    .unwrap();
    let before = all_files(&shelf.folder(&id));
    assert!(matches!(
        shelf.resume(&id),
        Err(BookError::Newer { line: 4, version, .. }) if version == newer
    ));
    assert_eq!(all_files(&shelf.folder(&id)), before);
    let reading = shelf.read(&id).unwrap();
    assert_eq!(reading.entries, ENTRIES);
    assert_eq!(
        reading.problems,
        [Problem::Newer {
            line: 4,
            version: newer
        }]
    );
}

#[test]
fn a_line_of_each_version_that_is_known_is_written_and_read() {
    let (_dir, shelf) = shelf();
    let (id, _, _) = build(&shelf);
    let mut journal = shelf.resume(&id).unwrap();
    journal.append_as(2, "{\"of\":2}").unwrap();
    journal.append("{\"of\":1}").unwrap();
    drop(journal);
    let reading = shelf.read(&id).unwrap();
    assert_eq!(
        (reading.versions, reading.problems),
        (vec![1, 1, 1, 1, 2, 1], vec![])
    );
    assert_eq!(reading.entries[4..], ["{\"of\":2}", "{\"of\":1}"]);
    assert!(shelf.resume(&id).is_ok());
}

#[test]
fn a_journal_that_another_program_touched_takes_nothing_more() {
    let (_dir, shelf) = shelf();
    let (id, path, bytes) = build(&shelf);
    type Touch = fn(&Path);
    let touches: [Touch; 3] = [
        |path| fs::write(path, "").unwrap(),
        |path| {
            // as an editor saves: the same bytes under the same name, but another file
            let bytes = fs::read(path).unwrap();
            fs::remove_file(path).unwrap();
            fs::write(path, bytes).unwrap();
        },
        |path| fs::remove_file(path).unwrap(),
    ];
    for touch in touches {
        fs::write(&path, &bytes).unwrap();
        let mut journal = shelf.resume(&id).unwrap();
        touch(&path);
        let after = fs::read(&path).ok();
        assert!(matches!(journal.append("{}"), Err(BookError::Disturbed { .. })));
        assert!(matches!(journal.append("{}"), Err(BookError::Stopped { .. })));
        assert_eq!(fs::read(&path).ok(), after);
    }
}

#[test]
fn a_journal_too_large_to_be_one_is_not_read() {
    let (_dir, shelf) = shelf();
    let (id, path, _) = build(&shelf);
    fs::OpenOptions::new()
        .write(true)
        .open(&path)
        .unwrap()
        .set_len((64 << 20) + 1)
        .unwrap();
    assert!(matches!(
        shelf.read(&id),
        Err(BookError::TooLarge {
            most: 67_108_864,
            size: 67_108_865,
            ..
        })
    ));
    assert!(matches!(shelf.resume(&id), Err(BookError::TooLarge { .. })));
}

#[test]
fn a_build_gets_the_number_after_the_highest_and_never_leaves_the_shelf() {
    let (dir, shelf) = shelf();
    let id = |words: &str| shelf.begin(words, &[]).unwrap().id().to_string();
    assert_eq!(id("../GT rear"), "gt-rear-0001");
    assert_eq!(id("gt/rear"), "gt-rear-0002");
    assert_eq!(id("gt"), "gt-0001");
    assert_eq!(id(".."), "build-0001");
    assert_eq!(id("дифференциал"), "build-0002");
    assert_eq!(id(""), "build-0003");
    assert_eq!(id("con"), "con-0001");
    fs::create_dir(shelf.dir().join("GT-Rear-0007")).unwrap();
    assert_eq!(id("GT REAR"), "gt-rear-0008");
    fs::create_dir(shelf.dir().join("full-9999")).unwrap();
    assert!(matches!(
        shelf.begin("full", &[]),
        Err(BookError::NoNumberLeft { .. })
    ));
    assert_eq!(
        fs::read_dir(dir.path()).unwrap().count(),
        1,
        "nothing beside the shelf"
    );
    assert!(
        fs::read_dir(shelf.dir()).unwrap().all(|e| !e
            .unwrap()
            .file_name()
            .to_string_lossy()
            .starts_with(".tmp-"))
    );
}

#[test]
fn a_snapshot_can_not_be_written_outside_its_build_or_over_the_journal() {
    let (_dir, shelf) = shelf();
    for name in [
        "",
        ".",
        "..",
        "../x",
        "a/b",
        "a\\b",
        "/x",
        ".hidden",
        "x.",
        "journal.jsonl",
        "JOURNAL.JSONL",
        "journal.torn-1",
        "Held-By",
        "ä.toml",
        "a\n",
        "c:x",
    ] {
        assert!(
            matches!(shelf.begin("x", &[(name, b"")]), Err(BookError::BadName { .. })),
            "{name:?}"
        );
        let id = "x-0001".parse().unwrap();
        assert!(
            matches!(shelf.file(&id, name), Err(BookError::BadName { .. })),
            "{name:?}"
        );
    }
    let twice = shelf.begin("x", &[("unit.toml", UNIT), ("Unit.toml", UNIT)]);
    assert!(matches!(
        twice,
        Err(BookError::BadName {
            why: "it is given twice",
            ..
        })
    ));
    assert_eq!(shelf.list().unwrap(), []);
}

#[test]
fn the_list_tells_builds_from_what_is_foreign() {
    let (_dir, shelf) = shelf();
    let (id, _, _) = build(&shelf);
    fs::create_dir(shelf.dir().join("notes")).unwrap();
    fs::create_dir(shelf.dir().join("empty-0001")).unwrap();
    fs::write(shelf.dir().join("drawer.toml"), "").unwrap();
    let contents = shelf.contents().unwrap();
    assert_eq!(contents.builds, std::slice::from_ref(&id));
    assert_eq!(
        contents.foreign,
        [shelf.dir().join("empty-0001"), shelf.dir().join("notes")]
    );
    assert_eq!(shelf.list().unwrap(), [id]);
}

#[test]
fn looking_makes_nothing_and_a_missing_folder_is_an_empty_book() {
    let dir = tempfile::tempdir().unwrap();
    let shelf = Shelf::look(&dir.path().join("none")).unwrap();
    assert_eq!(shelf.list().unwrap(), []);
    assert!(matches!(
        shelf.begin("x", &[]),
        Err(BookError::ReadingOnly { .. })
    ));
    let id: BuildId = "x-0001".parse().unwrap();
    assert!(matches!(shelf.resume(&id), Err(BookError::ReadingOnly { .. })));
    assert!(matches!(shelf.read(&id), Err(BookError::Missing { path }) if path.ends_with("none/x-0001")));
    assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 0);
    fs::write(dir.path().join("file"), "").unwrap();
    assert!(matches!(
        Shelf::look(&dir.path().join("file")),
        Err(BookError::NotAFolder { .. })
    ));
    assert!(matches!(
        Shelf::open(&dir.path().join("file")),
        Err(BookError::NotAFolder { .. })
    ));
}

#[test]
fn leftovers_are_swept_and_told() {
    let (_dir, shelf) = shelf();
    let (id, _, _) = build(&shelf);
    let half_made = shelf.dir().join(".tmp-shimwright-half");
    fs::create_dir(&half_made).unwrap();
    fs::write(half_made.join("journal.jsonl"), "").unwrap();
    let in_build = shelf.folder(&id).join(".tmp-shimwright-torn");
    fs::write(&in_build, "x").unwrap();
    let again = Shelf::open(shelf.dir()).unwrap();
    assert_eq!(again.swept(), std::slice::from_ref(&half_made));
    assert!(
        !half_made.exists() && in_build.exists(),
        "a build's own leftovers wait until it is opened"
    );
    let journal = again.resume(&id).unwrap();
    assert_eq!(
        journal.repairs(),
        [Repair::Swept {
            path: in_build.clone()
        }]
    );
    assert!(!in_build.exists());
}

#[test]
fn many_programs_can_begin_builds_on_one_shelf_at_once() {
    let (_dir, shelf) = shelf();
    let dir = shelf.dir();
    std::thread::scope(|scope| {
        for _ in 0..4 {
            scope.spawn(|| {
                for _ in 0..10 {
                    // opening sweeps, which must leave alone what another one is just making
                    let shelf = Shelf::open(dir).unwrap();
                    shelf
                        .begin("same", &[("unit.toml", UNIT)])
                        .unwrap()
                        .append("{}")
                        .unwrap();
                }
            });
        }
    });
    let builds = shelf.list().unwrap();
    assert_eq!(
        builds.iter().map(BuildId::number).collect::<Vec<_>>(),
        (1..=40).collect::<Vec<_>>()
    );
    for id in builds {
        assert_eq!(shelf.read(&id).unwrap().entries, ["{}"]);
        assert_eq!(shelf.file(&id, "unit.toml").unwrap(), UNIT);
    }
}

#[cfg(unix)]
#[test]
fn links_in_the_place_of_a_build_or_its_files_are_refused() {
    use std::os::unix::fs::symlink;
    let (dir, shelf) = shelf();
    let (id, path, _) = build(&shelf);
    let linked: BuildId = "linked-0001".parse().unwrap();
    symlink(shelf.folder(&id), shelf.folder(&linked)).unwrap();
    assert!(matches!(shelf.resume(&linked), Err(BookError::Link { path }) if path == shelf.folder(&linked)));
    assert!(matches!(shelf.read(&linked), Err(BookError::Link { .. })));
    assert!(matches!(
        shelf.file(&linked, "unit.toml"),
        Err(BookError::Link { .. })
    ));
    assert_eq!(shelf.contents().unwrap().foreign, [shelf.folder(&linked)]);

    let elsewhere = dir.path().join("elsewhere");
    fs::rename(&path, &elsewhere).unwrap();
    symlink(&elsewhere, &path).unwrap();
    assert!(matches!(shelf.resume(&id), Err(BookError::Link { path: p }) if p == path));
    assert!(matches!(shelf.read(&id), Err(BookError::Link { .. })));
    let unit = shelf.folder(&id).join("unit.toml");
    fs::remove_file(&unit).unwrap();
    symlink(&elsewhere, &unit).unwrap();
    assert!(matches!(
        shelf.file(&id, "unit.toml"),
        Err(BookError::Link { .. })
    ));
    fs::remove_file(shelf.dir().join(".lock")).unwrap();
    symlink(&elsewhere, shelf.dir().join(".lock")).unwrap();
    assert!(matches!(Shelf::open(shelf.dir()), Err(BookError::Link { .. })));
}

#[test]
fn a_second_journal_is_told_with_what_both_share_and_stops_the_writing() {
    let (_dir, shelf) = shelf();
    let (id, path, bytes) = build(&shelf);
    let folder = shelf.folder(&id);
    let own = shelf.read(&id).unwrap().entries.len();
    for name in [
        "journal 2.jsonl",
        "journal-other-machine.jsonl",
        "Journal (1).jsonl",
        "journal.jsonl~",
        "journal.torn-",
    ] {
        let other = folder.join(name);
        // the other machine has all lines but the last, or a torn one
        let cut = bytes[..bytes.len() - 1]
            .iter()
            .rposition(|b| *b == b'\n')
            .unwrap()
            + 1;
        fs::write(&other, &bytes[..cut]).unwrap();
        let problems = shelf.read(&id).unwrap().problems;
        let second = Second {
            path: other.clone(),
            entries: own - 1,
            own,
            shared: own - 1,
        };
        assert_eq!(problems, [Problem::Second(second.clone())]);
        match shelf.resume(&id) {
            Err(BookError::Second(found)) => assert_eq!(found, second),
            other => panic!("{other:?}"),
        }
        assert_eq!(fs::read(&path).unwrap(), bytes);
        assert_eq!(fs::read(&other).unwrap(), bytes[..cut]);
        fs::remove_file(&other).unwrap();
    }
    // what the book sets aside itself is none
    fs::write(folder.join("journal.torn-12"), "{").unwrap();
    assert_eq!(shelf.read(&id).unwrap().problems, []);
    shelf.resume(&id).unwrap();
}

#[cfg(unix)]
#[test]
fn a_file_is_put_into_a_build_only_under_a_plain_name_and_never_through_a_link() {
    let (dir, shelf) = shelf();
    let (id, _, _) = build(&shelf);
    let journal = shelf.resume(&id).unwrap();
    let outside = dir.path().join("outside");
    fs::write(&outside, "mine").unwrap();
    let sheet = journal.folder().join("sheet.pdf");
    std::os::unix::fs::symlink(&outside, &sheet).unwrap();
    assert!(matches!(journal.put("sheet.pdf", b"x"), Err(BookError::Link { path }) if path == sheet));
    assert_eq!(fs::read_to_string(&outside).unwrap(), "mine");
    journal.take_out("sheet.pdf").unwrap();
    assert!(outside.exists() && !sheet.exists());
    journal.take_out("sheet.pdf").unwrap();
    journal.put("sheet.pdf", b"one").unwrap();
    journal.put("sheet.pdf", b"two").unwrap();
    assert_eq!(fs::read(&sheet).unwrap(), b"two");
    for name in ["../outside", "a/b", "journal.jsonl", "held-by", "", ".lock"] {
        assert!(
            matches!(journal.put(name, b"x"), Err(BookError::BadName { .. })),
            "{name:?}"
        );
        assert!(
            matches!(journal.take_out(name), Err(BookError::BadName { .. })),
            "{name:?}"
        );
    }
}

// ---- other processes: this test binary starts itself with a task in its environment ----

const TASK: &str = "SHIMWRIGHT_TEST_TASK";
const SHELF: &str = "SHIMWRIGHT_TEST_SHELF";

/// Does nothing in a usual run; in a child process it does the task that it was started for.
#[test]
fn child() {
    let (Ok(task), Ok(dir)) = (std::env::var(TASK), std::env::var(SHELF)) else {
        return;
    };
    let dir = Path::new(&dir);
    let say = |text: &str| {
        println!("\n{text}");
        std::io::stdout().flush().unwrap();
    };
    let only = |shelf: &Shelf| -> Journal { shelf.resume(&shelf.list().unwrap()[0]).unwrap() };
    match task.as_str() {
        "append" => {
            let shelf = Shelf::open(dir).unwrap();
            let mut journal = only(&shelf);
            loop {
                let n = journal.entries().len();
                journal
                    .append(&format!(
                        "{{\"n\":{n},\"pad\":\"{}\"}}",
                        "x".repeat(n * 37 % 5000)
                    ))
                    .unwrap();
                say(&format!("done {n}"));
            }
        }
        "begin" => loop {
            let shelf = Shelf::open(dir).unwrap();
            shelf
                .begin("made", &[("unit.toml", UNIT), ("procedure.toml", &[b'#'; 9000])])
                .unwrap();
            say("done");
        },
        "hold" => {
            let _journal = only(&Shelf::open(dir).unwrap().held_as("the second bench"));
            say("held");
            let _ = std::io::stdin().read(&mut [0]); // until the parent lets go
        }
        "refused" => match Shelf::open(dir) {
            Err(fault @ BookError::NotWritable { .. }) => say(&format!("refused: {fault}")),
            other => say(&format!("wrong: {other:?}")),
        },
        other => panic!("no task {other}"),
    }
}

fn command(task: &str, dir: &Path) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command
        .args(["--exact", "child", "--nocapture"])
        .env(TASK, task)
        .env(SHELF, dir);
    command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null());
    command
}

/// Starts a child and waits for `lines` lines that start with `word`; the reader is left where it stands.
fn start(
    task: &str,
    dir: &Path,
    word: &str,
    lines: usize,
) -> (Child, BufReader<std::process::ChildStdout>, String) {
    let mut child = command(task, dir).spawn().unwrap();
    let mut out = BufReader::new(child.stdout.take().unwrap());
    let (mut last, mut seen) = (String::new(), 0);
    while seen < lines {
        last.clear();
        assert_ne!(out.read_line(&mut last).unwrap(), 0, "the child ended early");
        seen += usize::from(last.starts_with(word));
    }
    (child, out, last)
}

/// Kills a child as `kill -9` does and returns what it still said.
fn kill(mut child: Child, mut out: BufReader<std::process::ChildStdout>) -> String {
    child.kill().unwrap();
    child.wait().unwrap();
    let mut rest = String::new();
    out.read_to_string(&mut rest).unwrap();
    rest
}

#[test]
fn a_writer_that_is_killed_loses_no_entry_that_it_had_reported() {
    let (_dir, shelf) = shelf();
    let id = shelf.begin("killed", &[]).unwrap().id().clone();
    let mut count = 0;
    for round in 0..40 {
        let (child, out, first) = start("append", shelf.dir(), "done ", 1 + round % 7);
        let rest = kill(child, out);
        let reported = format!("{first}{rest}");
        let reported: usize = reported
            .split_inclusive('\n')
            .filter(|line| line.ends_with('\n'))
            .filter_map(|line| line.trim().strip_prefix("done ")?.parse().ok())
            .max()
            .unwrap();
        let journal = shelf.resume(&id).unwrap();
        let entries = journal.entries();
        assert!(
            entries.len() > reported,
            "round {round}: {} entries, {reported} reported",
            entries.len()
        );
        assert!(
            entries.len() <= reported + 2,
            "round {round}: an entry that was never reported"
        );
        assert!(entries.len() > count);
        count = entries.len();
        for (n, entry) in entries.iter().enumerate() {
            assert_eq!(
                *entry,
                format!("{{\"n\":{n},\"pad\":\"{}\"}}", "x".repeat(n * 37 % 5000))
            );
        }
    }
}

#[test]
fn a_build_whose_maker_is_killed_is_there_whole_or_not_at_all() {
    let (_dir, shelf) = shelf();
    for round in 0..25 {
        let (child, out, _) = start("begin", shelf.dir(), "done", 1 + round % 3);
        kill(child, out);
        let shelf = Shelf::open(shelf.dir()).unwrap();
        let contents = shelf.contents().unwrap();
        assert_eq!(contents.foreign, Vec::<PathBuf>::new());
        assert!(contents.builds.len() > round);
        for id in &contents.builds {
            assert_eq!(shelf.file(id, "unit.toml").unwrap(), UNIT);
            assert_eq!(shelf.file(id, "procedure.toml").unwrap(), [b'#'; 9000]);
            assert_eq!(shelf.read(id).unwrap().problems, []);
        }
        let mut names = fs::read_dir(shelf.dir()).unwrap().map(|e| e.unwrap().file_name());
        assert!(
            names.all(|name| !name.to_string_lossy().starts_with(".tmp-")),
            "round {round}"
        );
    }
}

#[test]
fn a_second_program_is_refused_and_told_who_holds_the_build() {
    let (_dir, shelf) = shelf();
    let shelf = shelf.held_as("the first bench");
    let (id, path, _) = build(&shelf);
    let (child, out, _) = start("hold", shelf.dir(), "held", 1);
    let fault = shelf.resume(&id).unwrap_err();
    let message = fault.to_string();
    let BookError::Held {
        holder: Some(Holder { pid, name, .. }),
        ..
    } = fault
    else {
        panic!("{message}")
    };
    assert_eq!((pid, name.as_str()), (child.id(), "the second bench"));
    assert!(
        message.contains("open elsewhere, by the second bench (process "),
        "{message}"
    );
    assert_eq!(shelf.read(&id).unwrap().entries, ENTRIES, "reading needs no lock");

    kill(child, out);
    let words = path.with_file_name("held-by");
    assert!(
        words.exists(),
        "the killed program's words are still there, and do no harm"
    );
    let journal = shelf.resume(&id).unwrap();
    let Err(BookError::Held {
        holder: Some(holder), ..
    }) = shelf.resume(&id)
    else {
        panic!("two holders")
    };
    assert_eq!(
        (holder.pid, holder.name.as_str()),
        (std::process::id(), "the first bench")
    );
    drop(journal);
    assert!(!words.exists());
    shelf.resume(&id).unwrap();
}

/// Programs of version 0.1.0 lock the journal itself and know of no other lock.
#[cfg(unix)]
#[test]
fn a_program_of_before_and_one_of_now_never_both_have_a_build() {
    let (_dir, shelf) = shelf();
    let (id, path, _) = build(&shelf);
    let old = fs::OpenOptions::new()
        .read(true)
        .append(true)
        .open(&path)
        .unwrap();
    old.lock().unwrap();
    assert!(matches!(shelf.resume(&id), Err(BookError::Held { .. })));
    old.unlock().unwrap();
    let _journal = shelf.resume(&id).unwrap();
    assert!(matches!(old.try_lock(), Err(fs::TryLockError::WouldBlock)));
    // a book of before has no locks of its own
    let before = shelf.begin("before", &[]).unwrap().id().clone();
    fs::remove_dir_all(shelf.dir().join(".locks")).unwrap();
    shelf.resume(&before).unwrap().append("{}").unwrap();
}

#[test]
fn a_holder_whose_words_are_missing_still_holds() {
    let (_dir, shelf) = shelf();
    let (id, path, _) = build(&shelf);
    let _journal = shelf.resume(&id).unwrap();
    fs::remove_file(path.with_file_name("held-by")).unwrap();
    let fault = shelf.resume(&id).unwrap_err();
    assert!(matches!(fault, BookError::Held { holder: None, .. }));
    assert!(
        fault
            .to_string()
            .ends_with("is open elsewhere, by a program that left no name"),
        "{fault}"
    );
}

#[cfg(unix)]
#[test]
fn a_folder_without_write_permission_is_refused_with_its_name() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    let dir = tempfile::tempdir().unwrap();
    let shelf = dir.path().join("locked-shelf");
    fs::create_dir(&shelf).unwrap();
    let mode = |path: &Path, mode| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    mode(dir.path(), 0o755);
    mode(&shelf, 0o555);
    let mut command = command("refused", &shelf);
    if fs::metadata(&shelf).unwrap().uid() == 0 {
        command.uid(65534).gid(65534); // permissions do not bind root, so the child runs as nobody
    }
    match command.spawn() {
        Err(fault) => skipped(&format!("a shelf that may not be written to: {fault}")),
        Ok(child) => {
            let out = child.wait_with_output().unwrap();
            let out = String::from_utf8_lossy(&out.stdout);
            assert!(
                out.contains("refused: ") && out.contains("locked-shelf can not be written to"),
                "{out}"
            );
        }
    }
    mode(&shelf, 0o755);
}

fn json() -> impl Strategy<Value = serde_json::Value> {
    let leaf = prop_oneof![
        Just(serde_json::Value::Null),
        any::<bool>().prop_map(serde_json::Value::from),
        any::<i64>().prop_map(serde_json::Value::from),
        ".*".prop_map(serde_json::Value::from),
        "[\\\\\"{}\\[\\],:\n]*".prop_map(serde_json::Value::from),
    ];
    leaf.prop_recursive(3, 16, 4, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..4).prop_map(serde_json::Value::from),
            prop::collection::vec((".*", inner), 0..4)
                .prop_map(|pairs| serde_json::Value::Object(pairs.into_iter().collect())),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn any_list_of_json_objects_comes_back_byte_for_byte(values in prop::collection::vec(json(), 0..6)) {
        let entries: Vec<String> = values.iter().map(|v| serde_json::json!({ "value": v }).to_string()).collect();
        let (_dir, shelf) = quick_shelf();
        let mut journal = shelf.begin("any", &[]).unwrap();
        for entry in &entries {
            journal.append(entry).unwrap();
        }
        prop_assert_eq!(journal.entries(), &entries[..]);
        let id = journal.id().clone();
        drop(journal);
        let reading = shelf.read(&id).unwrap();
        prop_assert_eq!(&reading.entries, &entries);
        prop_assert_eq!(reading.problems, vec![]);
        let again = shelf.resume(&id).unwrap();
        prop_assert_eq!(again.entries(), &entries[..]);
    }

    #[test]
    fn any_bytes_for_a_journal_are_read_without_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let (_dir, shelf) = quick_shelf();
        let id = shelf.begin("any", &[]).unwrap().id().clone();
        fs::write(shelf.folder(&id).join("journal.jsonl"), &bytes).unwrap();
        let reading = shelf.read(&id).unwrap();
        prop_assert_eq!(reading.entries, Vec::<String>::new());
        prop_assert_eq!(reading.problems.is_empty(), bytes.is_empty());
    }

    /// Whatever is cut out or put in, an entry that has another one after it is as it was written.
    #[test]
    fn an_edit_never_changes_an_entry_that_is_followed_by_another(
        from in 0.0..1.0f64, length in 0usize..200, put in "[\\PC\n{}\":,0-9a-z]{0,40}",
    ) {
        let (_dir, shelf) = quick_shelf();
        let (id, path, bytes) = build(&shelf);
        let from = (from * bytes.len() as f64) as usize;
        let to = (from + length).min(bytes.len());
        let edited = [&bytes[..from], put.as_bytes(), &bytes[to..]].concat();
        fs::write(&path, &edited).unwrap();
        let reading = shelf.read(&id).unwrap();
        let safe = reading.entries.len().saturating_sub(1);
        prop_assert_eq!(&reading.entries[..safe], &ENTRIES[..safe]);
        if let Ok(journal) = shelf.resume(&id) {
            prop_assert_eq!(journal.entries(), &reading.entries[..]);
        }
    }
}
