//! A book in any state on the way through one rebuild, and what that rebuild comes to when nothing happens.

#[path = "../support/ran.rs"]
mod ran;

pub use ran::Ran;
use serde_json::Value;
use shimwright::book::{BuildId, Shelf};
use shimwright::seal::Digest;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::OnceLock;
use tempfile::TempDir;

pub const AT: &str = "2026-05-09T10:00:00Z";
pub const BUILD: &str = "fell-front-0001";
pub const KEPT: [&str; 4] = ["unit.toml", "drawer.toml", "instruments.toml", "procedure.toml"];

fn demo_file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("demo-units")
        .join(name)
}

/// The answers of the rebuild, a line each.
pub fn answers() -> Vec<String> {
    let text = fs::read_to_string(demo_file("fell-front.answers")).unwrap();
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .map(str::to_string)
        .collect()
}

/// The rebuild when nothing happens.
pub struct Whole {
    pub bench: Bench,
    pub lines: Vec<String>,
    pub drawer: String,
    pub sheet: Vec<u8>,
    pub record: Value,
}

pub fn whole() -> &'static Whole {
    static WHOLE: OnceLock<Whole> = OnceLock::new();
    WHOLE.get_or_init(|| {
        let bench = Bench::new();
        let ran = bench.run(&answers());
        Whole {
            lines: bench.journal().lines().map(str::to_string).collect(),
            drawer: bench.drawer(),
            sheet: fs::read(bench.folder().join("sheet.pdf")).unwrap(),
            record: ran.json(),
            bench,
        }
    })
}

/// What the system is made to refuse a call with, and what it calls that.
pub const REASONS: [(&str, &str); 3] = [
    ("ENOSPC", "No space left on device"),
    ("EIO", "Input/output error"),
    ("EROFS", "Read-only file system"),
];

/// How many of the first entries of the whole rebuild are one answer each, the entry that begins it left out.
pub const ONE_TO_ONE: usize = 20;

/// A folder with a book and a drawer.
pub struct Bench {
    dir: TempDir,
}

impl Bench {
    /// An empty book and a full drawer. In memory where the system offers that: what counts is the order of the calls.
    pub fn new() -> Bench {
        let dir = tempfile::tempdir_in("/dev/shm").or_else(|_| tempfile::tempdir());
        let bench = Bench { dir: dir.unwrap() };
        fs::create_dir(bench.path("files")).unwrap();
        fs::copy(demo_file("fell-drawer.toml"), bench.path("files/drawer.toml")).unwrap();
        bench
    }

    /// The book as it was when `entries` entries had been written; the journal goes on with `more`.
    pub fn after(entries: usize, more: &str) -> Bench {
        let bench = Bench::new();
        let from = whole().bench.folder();
        fs::create_dir_all(bench.folder()).unwrap();
        for name in KEPT {
            fs::copy(from.join(name), bench.folder().join(name)).unwrap();
        }
        // the log of the book as it was while the build was not finished
        let log = fs::read_to_string(whole().bench.book().join("log.jsonl")).unwrap();
        let begun: String = log.split_inclusive('\n').take(2).collect();
        fs::write(bench.book().join("log.jsonl"), begun).unwrap();
        fs::copy(
            whole().bench.book().join(".gitattributes"),
            bench.book().join(".gitattributes"),
        )
        .unwrap();
        let mut text: String = whole().lines[..entries]
            .iter()
            .map(|line| format!("{line}\n"))
            .collect();
        text.push_str(more);
        fs::write(bench.journal_file(), text).unwrap();
        bench
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    pub fn book(&self) -> PathBuf {
        self.path("book")
    }

    pub fn folder(&self) -> PathBuf {
        self.book().join(BUILD)
    }

    pub fn journal_file(&self) -> PathBuf {
        self.folder().join("journal.jsonl")
    }

    /// The note in the book of what is still to be done for the build.
    pub fn to_do(&self) -> PathBuf {
        self.book().join(".to-do").join(BUILD)
    }

    /// Notes the closing of the build, as of the first lines of its journal.
    pub fn noted_at(&self, lines: usize, drawer: &Path) {
        let head: String = self.journal().split_inclusive('\n').take(lines).collect();
        let digest = Digest::of(head.as_bytes());
        fs::create_dir_all(self.to_do().parent().unwrap()).unwrap();
        let note = format!(
            "shimwright to-do 1\nlines {lines} {digest}\ndrawer {}\n",
            drawer.display()
        );
        fs::write(self.to_do(), note).unwrap();
    }

    pub fn journal(&self) -> String {
        fs::read_to_string(self.journal_file()).unwrap()
    }

    pub fn drawer(&self) -> String {
        fs::read_to_string(self.path("files/drawer.toml")).unwrap()
    }

    /// The entries that can be read, as they stand in the journal.
    pub fn entries(&self) -> Option<Vec<String>> {
        let shelf = Shelf::look(&self.book()).unwrap();
        let id: BuildId = BUILD.parse().unwrap();
        let listed = shelf.list().unwrap();
        assert!(listed.len() <= 1, "{listed:?}");
        listed.contains(&id).then(|| shelf.read(&id).unwrap().entries)
    }

    pub fn program(&self, arguments: &[&str]) -> Command {
        let mut command = crate::started::program();
        command
            .args(arguments)
            .env("SHIMWRIGHT_BOOK", self.book())
            .env("NO_COLOR", "1")
            .current_dir(self.dir.path())
            .stdin(Stdio::null());
        command
    }

    /// `work` with these answers.
    pub fn work(&self, answers: &[String]) -> Command {
        let file = self.path("files/some.answers");
        fs::write(&file, answers.join("\n")).unwrap();
        let drawer = self.path("files/drawer.toml");
        let mut command = self.program(&["work", "full-rebuild"]);
        command
            .arg(demo_file("fell-front.toml"))
            .arg("--drawer")
            .arg(drawer);
        command.args(["--at", AT, "--json", "--answers"]).arg(file);
        command
    }

    pub fn run(&self, answers: &[String]) -> Ran {
        self.work(answers).output().unwrap().into()
    }

    pub fn run_program(&self, arguments: &[&str]) -> Ran {
        self.program(arguments).output().unwrap().into()
    }

    /// Every file and folder under the bench's, by its path from there.
    pub fn all(&self) -> BTreeSet<String> {
        let mut found = BTreeSet::new();
        let mut left = vec![self.dir.path().to_path_buf()];
        while let Some(dir) = left.pop() {
            for entry in fs::read_dir(&dir).unwrap() {
                let path = entry.unwrap().path();
                let name = path.strip_prefix(self.dir.path()).unwrap();
                found.insert(name.to_str().unwrap().to_string());
                if fs::symlink_metadata(&path).unwrap().is_dir() {
                    left.push(path);
                }
            }
        }
        found
    }

    /// The temporary files and folders that lie about.
    pub fn leftovers(&self) -> Vec<String> {
        self.all()
            .into_iter()
            .filter(|name| name.contains(".tmp-"))
            .collect()
    }

    /// Nothing is torn or wrong: every file that is there is one that the whole rebuild has too, or had.
    pub fn is_whole(&self, at_least: usize, about: &str) {
        let whole = whole();
        let before = fs::read_to_string(demo_file("fell-drawer.toml")).unwrap();
        assert!(
            [&before, &whole.drawer].contains(&&self.drawer()),
            "{about}: the drawer is torn"
        );
        let Some(entries) = self.entries() else {
            assert_eq!(at_least, 0, "{about}: the build is gone");
            return;
        };
        assert!(
            entries.len() >= at_least,
            "{about}: {} of {at_least} entries",
            entries.len()
        );
        for (entry, line) in entries.iter().zip(&whole.lines) {
            assert!(
                line.ends_with(&format!("\"entry\":{entry}}}")),
                "{about}: another entry: {entry}"
            );
        }
        for name in KEPT {
            let same = fs::read(self.folder().join(name)).unwrap()
                == fs::read(whole.bench.folder().join(name)).unwrap();
            assert!(same, "{about}: {name} differs");
        }
        if let Ok(sheet) = fs::read(self.folder().join("sheet.pdf")) {
            assert!(sheet == whole.sheet, "{about}: the sheet is torn");
        }
    }
}

/// A message without what differs from run to run: paths become their last name, numbers, random names and the
/// system's reasons `…`.
pub fn plain(line: &str) -> String {
    let mut line = line.to_string();
    for (_, reason) in REASONS {
        while let Some(at) = line.find(reason) {
            // "(os error 28)" behind it
            let end = line[at..].find(')').map_or(line.len(), |n| at + n + 1);
            line.replace_range(at..end, "…");
        }
    }
    let words: Vec<String> = line
        .split(' ')
        .map(|word| {
            let name = word.rsplit('/').next().unwrap_or(word);
            let opened = if word.starts_with('(') && !name.starts_with('(') {
                "("
            } else {
                ""
            };
            let number = name.trim_matches(['(', ')', ',', ';', ':']);
            let is_number = |c: char| c.is_ascii_digit() || c == '-' || c == ':';
            match name.strip_prefix(".tmp-") {
                Some(rest) => format!(
                    ".tmp-…{}",
                    rest.trim_start_matches(|c: char| c.is_ascii_alphanumeric() || c == '-')
                ),
                None if number.starts_with(|c: char| c.is_ascii_digit()) && number.chars().all(is_number) => {
                    name.replacen(number, "…", 1)
                }
                None => format!("{opened}{name}"),
            }
        })
        .collect();
    words.join(" ")
}

/// A message about a call that the system refused, without the name of the file.
fn refused(line: &str) -> Option<String> {
    let (name, what) = line.strip_prefix("error: ")?.split_once(' ')?;
    let what = what.strip_suffix(" at path .tmp-…\"").unwrap_or(what);
    let is_one = what.starts_with("could not be ") || what.starts_with("can not be ");
    (is_one && what.ends_with(": …") && !name.is_empty()).then(|| format!("error: FILE {what}"))
}

/// What lay there after each fault, as words for the table: each is one state in which a book was really found.
#[derive(Default)]
pub struct Left {
    build: BTreeSet<&'static str>,
    drawer: BTreeSet<&'static str>,
    sheet: BTreeSet<&'static str>,
    beside: BTreeSet<&'static str>,
}

impl Left {
    /// Looks at a book in which so many entries are known to have been on the disk.
    pub fn look(&mut self, bench: &Bench, confirmed: usize) {
        self.build
            .insert(match bench.entries().map(|entries| entries.len()) {
                None if confirmed == 0 => "no build",
                Some(written) if written == confirmed => "every confirmed answer",
                Some(written) if written > confirmed => "one besides that was written but not confirmed",
                _ => "FEWER THAN WERE CONFIRMED",
            });
        let before = fs::read_to_string(demo_file("fell-drawer.toml")).unwrap();
        self.drawer.insert(match bench.drawer() {
            now if now == before => "the drawer as it was",
            now if now == whole().drawer => "the drawer counted down",
            _ => "A TORN DRAWER",
        });
        self.sheet
            .insert(match fs::read(bench.folder().join("sheet.pdf")) {
                Err(_) => "no sheet",
                Ok(sheet) if sheet == whole().sheet => "the whole sheet",
                Ok(_) => "A TORN SHEET",
            });
        if !bench.leftovers().is_empty() {
            self.beside.insert("a file or folder `.tmp-…` may lie beside it");
        }
    }

    /// All of the states, without what is there or not there on every way.
    pub fn words(&self) -> String {
        let usual = [["the drawer as it was"], ["no sheet"]].map(BTreeSet::from);
        [&self.build, &self.drawer, &self.sheet, &self.beside]
            .into_iter()
            .filter(|states| !states.is_empty() && !usual.contains(states))
            .map(|states| states.iter().copied().collect::<Vec<_>>().join(", or "))
            .collect::<Vec<_>>()
            .join("; ")
    }
}

/// What was said, without the error that ends the answers, as words for the table.
#[derive(Default)]
pub struct Heard(BTreeSet<String>);

impl Heard {
    pub fn hear(&mut self, err: &str) {
        for line in err.lines() {
            let line = plain(line.trim());
            let line = refused(&line).unwrap_or(line);
            let of_the_script = line.contains("ends after line") || line.contains("is kept in the book");
            if !line.is_empty() && !of_the_script {
                self.0.insert(line);
            }
        }
    }

    pub fn words(&self) -> String {
        if self.0.is_empty() {
            return "nothing: there is nothing to tell".to_string();
        }
        let quoted: Vec<String> = self
            .0
            .iter()
            .map(|line| format!("`{}`", line.replace('|', "/").replace('`', "'")))
            .collect();
        quoted.join("; ")
    }
}
