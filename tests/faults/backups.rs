//! The program is ended at each call that writes while it makes a backup of the book, and while it takes one out.

use crate::ended::Way;
use crate::kit::{BUILD, Bench, Heard, whole};
use crate::table::found;
use crate::trace::traceable;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::process::Command;

/// Every file below a folder, by its path from there, but for the lock.
fn files(bench: &Bench, folder: &str) -> BTreeMap<String, Vec<u8>> {
    let folder = format!("{folder}/");
    let all = bench.all();
    let within = all
        .iter()
        .filter_map(|name| Some((name, name.strip_prefix(&folder)?)));
    within
        .filter(|(name, inside)| *inside != ".lock" && bench.path(name).is_file())
        .map(|(name, inside)| (inside.to_string(), fs::read(bench.path(name)).unwrap()))
        .collect()
}

fn backup(bench: &Bench) -> Command {
    bench.program(&["backup", "files/book.backup", "--replace"])
}

fn restore(bench: &Bench) -> Command {
    bench.program(&["restore", "files/book.backup", "files/again"])
}

/// The bytes of a backup of the book after so many entries.
fn backup_after(entries: usize) -> Vec<u8> {
    let bench = Bench::after(entries, "");
    assert!(backup(&bench).output().unwrap().status.success());
    fs::read(bench.path("files/book.backup")).unwrap()
}

fn beside(there: bool) -> &'static str {
    match there {
        true => "; a file or folder `.tmp-…` may lie beside it",
        false => "",
    }
}

#[test]
fn a_backup_is_the_old_one_or_the_new_one_wherever_it_was_ended() {
    if !traceable() {
        return;
    }
    let (old, new) = (backup_after(10), backup_after(20));
    let begin = || {
        let bench = Bench::after(20, "");
        fs::write(bench.path("files/book.backup"), &old).unwrap();
        bench
    };
    let way = Way {
        start: &begin,
        command: &backup,
    };
    let (mut left, mut heard, mut leftovers) = (BTreeSet::new(), Heard::default(), false);
    way.end_everywhere(|bench, about, _| {
        let now = fs::read(bench.path("files/book.backup")).unwrap();
        left.insert(match () {
            () if now == old => "the old backup",
            () if now == new => "the new backup",
            () => panic!("{about}: it is torn"),
        });
        leftovers |= !bench.leftovers().is_empty();
        bench.is_whole(20, about);
        let ran = backup(bench).output().unwrap();
        assert_eq!(ran.status.code(), Some(0), "{about}: {ran:?}");
        heard.hear(&String::from_utf8_lossy(&ran.stderr));
        assert!(
            fs::read(bench.path("files/book.backup")).unwrap() == new,
            "{about}"
        );
        assert_eq!(bench.leftovers(), Vec::<String>::new(), "{about}");
    });
    let left: Vec<&str> = left.into_iter().collect();
    found(
        "ended while `backup` writes",
        &format!("{}{}", left.join(", or "), beside(leftovers)),
        &heard.words(),
    );
}

#[test]
fn a_restored_book_is_whole_or_not_there_wherever_it_was_ended() {
    if !traceable() {
        return;
    }
    let lines = whole().lines.len();
    let begin = || {
        let bench = Bench::after(lines, "");
        assert!(backup(&bench).output().unwrap().status.success());
        bench
    };
    let way = Way {
        start: &begin,
        command: &restore,
    };
    let (mut left, mut heard, mut leftovers) = (BTreeSet::new(), Heard::default(), false);
    way.end_everywhere(|bench, about, _| {
        let book = files(bench, "book");
        assert!(
            book.keys().any(|name| Path::new(name).starts_with(BUILD)),
            "{about}"
        );
        leftovers |= !bench.leftovers().is_empty();
        if bench.path("files/again").exists() {
            left.insert("the whole book");
        } else {
            left.insert("no book");
            let ran = restore(bench).output().unwrap();
            assert_eq!(ran.status.code(), Some(0), "{about}: {ran:?}");
            heard.hear(&String::from_utf8_lossy(&ran.stderr));
        }
        assert!(files(bench, "files/again") == book, "{about}");
        assert_eq!(bench.leftovers(), Vec::<String>::new(), "{about}");
    });
    let left: Vec<&str> = left.into_iter().collect();
    found(
        "ended while `restore` unpacks",
        &format!("{}{}", left.join(", or "), beside(leftovers)),
        &heard.words(),
    );
}
