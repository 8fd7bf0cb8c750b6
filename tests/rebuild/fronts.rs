//! The same answers through each front-end come to the same entries.

use crate::bench::{AT, Place, answers_after, answers_of, finished, unit_file};
use crate::engine::job;
use crate::fed::fed;
use portable_pty::{Child, CommandBuilder, PtySize, native_pty_system};
use shimwright::procedure::{Ask, Reply, Session};
use shimwright::record::{Entry, UnitsName};
use std::io::{Read, Write};
use std::sync::{Arc, Condvar, Mutex};
use std::time::{Duration, Instant};

/// What a person types to see proposals as they stood when the answers files were written.
const FEWEST: &str = "first fewest";

/// Whether an answer is the number of a proposal in that order, or begins a change of its first.
fn is_by_fewest(slot: &str, answer: &str) -> bool {
    slot == "choose" && (answer.parse::<usize>().is_ok() || answer.starts_with("shims left"))
}

/// An entry without what a person wished to get that order.
fn unwished(entry: &serde_json::Value) -> serde_json::Value {
    let text = entry.to_string().replace(", as wished: fewest first", "");
    serde_json::from_str(&text).unwrap()
}

/// The answers alone, one a line, control words and all; plates one question at a time.
fn typed(demo: &str) -> String {
    let mut one = false;
    answers_of(demo)
        .lines()
        .filter_map(|line| line.split_once(" = "))
        .map(|(slot, answer)| {
            if slot.starts_with("plate-") && !one {
                one = true;
                return format!("!one\n{answer}\n");
            }
            if is_by_fewest(slot, answer) {
                return format!("{FEWEST}\n{answer}\n");
            }
            format!("{answer}\n")
        })
        .collect()
}

#[test]
fn lines_typed_into_a_pipe_make_the_entries_of_the_answers_file() {
    let demo = "fell-front";
    let place = Place::new();
    let mut command = place.work(&unit_file(demo), &["--plain"]);
    let ran: crate::bench::Ran = fed(&mut command, typed(demo)).into();
    assert_eq!(ran.code, 0, "{}\n{}", ran.out, ran.err);
    let entries = place.entries(&format!("{demo}-0001"));
    assert_eq!(entries.len(), finished(demo).entries.len());
    for (n, (found, wanted)) in entries
        .iter()
        .map(unwished)
        .zip(&finished(demo).entries)
        .enumerate()
    {
        assert_eq!(found, *wanted, "{demo}, entry {n}");
    }
}

#[test]
fn the_end_of_the_lines_is_a_pause_and_the_same_command_goes_on() {
    let place = Place::new();
    let run = |text: &str| -> crate::bench::Ran {
        let mut command = place.work(&unit_file("moor-rear"), &["--plain"]);
        fed(&mut command, text).into()
    };
    let first = run("A. Fitter (invented)\nMoor 14\n");
    assert_eq!(first.code, 7, "{}", first.err);
    assert!(first.out.contains("moor-rear-0001 is kept"), "{}", first.out);
    let second = run("y\nPushes on entry\n!pause\n");
    assert_eq!(second.code, 7, "{}", second.err);
    assert!(
        second
            .out
            .contains("moor-rear-0001 is not finished. Go on with it?"),
        "{}",
        second.out
    );
    assert_eq!(place.entries("moor-rear-0001").len(), 4);
    // a no begins another
    let third = run("n\nSomebody\n");
    assert_eq!(third.code, 7, "{}", third.err);
    assert_eq!(place.entries("moor-rear-0002").len(), 2);
}

/// What has come out of the program so far, and the screen that it makes.
struct Seen {
    screen: vt100::Parser,
    bytes: Vec<u8>,
    ended: bool,
}

pub struct Terminal {
    keys: Box<dyn Write + Send>,
    seen: Arc<(Mutex<Seen>, Condvar)>,
    child: Box<dyn Child + Send + Sync>,
    mark: usize,
}

const DEADLINE: Duration = Duration::from_secs(60);
/// The cursor is shown again when the whole of a prompt stands on the screen.
const DRAWN: &str = "\x1b[?25h";
const ESC: &str = "\x1b";

impl Terminal {
    pub fn open(place: &Place, demo: &str) -> Terminal {
        Terminal::run(Terminal::command(place, demo))
    }

    /// A rebuild of a demo with a book of its own.
    pub fn command(place: &Place, demo: &str) -> CommandBuilder {
        let mut command = CommandBuilder::new(crate::started::program().get_program());
        for (name, value) in crate::started::around() {
            command.env(name, value);
        }
        command.args([
            "work",
            "full-rebuild",
            unit_file(demo).to_str().unwrap(),
            "--at",
            AT,
        ]);
        command.args(place.own_drawer(&unit_file(demo)));
        command.env("TERM", "xterm-256color");
        command.env("NO_COLOR", "1");
        command.env("SHIMWRIGHT_BOOK", place.book());
        command.cwd(place.path(""));
        command
    }

    /// The lines that have been kept, and in which of them the cursor stands.
    pub fn lines(&self) -> (Vec<String>, usize) {
        let seen = self.seen.0.lock().unwrap();
        let screen = seen.screen.screen();
        let (_, cols) = screen.size();
        (
            screen.rows(0, cols.into()).collect(),
            screen.cursor_position().0.into(),
        )
    }

    /// Runs a command on a terminal.
    pub fn run(command: CommandBuilder) -> Terminal {
        Terminal::sized(command, (60, 100), 60)
    }

    /// Runs a command on a terminal of so many rows and columns, of which so many lines are kept.
    pub fn sized(command: CommandBuilder, (rows, cols): (u16, u16), kept: u16) -> Terminal {
        let pair = native_pty_system()
            .openpty(PtySize {
                rows,
                cols,
                pixel_width: 0,
                pixel_height: 0,
            })
            .unwrap();
        let child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let mut reader = pair.master.try_clone_reader().unwrap();
        let keys = pair.master.take_writer().unwrap();
        let seen = Arc::new((
            Mutex::new(Seen {
                screen: vt100::Parser::new(kept.try_into().unwrap(), cols.try_into().unwrap(), 0),
                bytes: Vec::new(),
                ended: false,
            }),
            Condvar::new(),
        ));
        let into = seen.clone();
        std::thread::spawn(move || {
            // the terminal lives as long as it is read from
            let _master = pair.master;
            let mut bytes = [0; 4096];
            loop {
                let n = reader.read(&mut bytes).unwrap_or(0);
                let mut seen = into.0.lock().unwrap();
                seen.screen.process(&bytes[..n]);
                seen.bytes.extend_from_slice(&bytes[..n]);
                seen.ended = n == 0;
                into.1.notify_all();
                if n == 0 {
                    break;
                }
            }
        });
        Terminal {
            keys,
            seen,
            child,
            mark: 0,
        }
    }

    /// Waits until all of these have come, in this order, since the last key; gives the screen as it is then.
    pub fn see(&self, texts: &[&str]) -> String {
        let start = Instant::now();
        let mut seen = self.seen.0.lock().unwrap();
        loop {
            let bytes = String::from_utf8_lossy(&seen.bytes[self.mark..]).into_owned();
            let mut rest = bytes.as_str();
            let all = texts.iter().all(|text| match rest.find(text) {
                Some(at) => {
                    rest = &rest[at + text.len()..];
                    true
                }
                None => false,
            });
            let screen = seen.screen.screen().contents();
            if all {
                return screen;
            }
            assert!(
                !seen.ended && start.elapsed() < DEADLINE,
                "{texts:?} did not come; the screen is\n{screen}"
            );
            seen = self
                .seen
                .1
                .wait_timeout(seen, Duration::from_millis(200))
                .unwrap()
                .0;
        }
    }

    fn type_in(&mut self, keys: &str) {
        self.mark = self.seen.0.lock().unwrap().bytes.len();
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
    }

    /// The prompt of a question with its keys above it; from then on an answer can be typed.
    pub fn see_question(&self, ask: &Ask) -> String {
        self.see(&[
            &format!("Step {} of {}", ask.number, ask.of),
            "Esc  back, note, why",
            "> ",
            DRAWN,
        ])
    }

    /// The rail with its prompt; from then on a row can be typed.
    pub fn see_rail(&self, next: &str) -> String {
        self.see(&["as they lie on the rail", "Missing:", &format!("> {next}"), DRAWN])
    }

    fn by_menu(&mut self, key: &str) {
        // Esc is a key of its own only when nothing follows it at once
        self.type_in(ESC);
        self.see(&[
            "Esc  go on with this question",
            "What instead of an answer?",
            DRAWN,
        ]);
        self.type_in(&format!("{key}\r"));
    }

    /// Types a line and Enter.
    pub fn give_line(&mut self, text: &str) {
        self.type_in(&format!("{text}\r"));
    }

    pub fn give(&mut self, reply: &Reply) {
        match reply {
            // in a list the letters of a key leave that way alone in it
            Reply::Answer(text) => self.type_in(&format!("{text}\r")),
            Reply::Back => self.by_menu("back"),
            Reply::Why => self.by_menu("why"),
            Reply::Row(text) => self.type_in(&format!("{text}\r")),
            Reply::ByRows(rows) => self.type_in(if *rows { "!rows\r" } else { "!one\r" }),
            Reply::BackBy(count) => self.type_in(&format!("!back {count}\r")),
            Reply::Show => self.type_in("!show\r"),
            Reply::Picture => self.type_in("!picture\r"),
            Reply::Fix(text) => self.type_in(&format!("!fix {text}\r")),
            Reply::Who(name) => self.type_in(&format!("!who {name}\r")),
            Reply::Take => self.type_in("!take\r"),
            Reply::Look => self.type_in("!look\r"),
            Reply::Hint => self.type_in("!hint\r"),
            Reply::Words(text) => self.type_in(&format!("!words {text}\r")),
            Reply::Pause => self.by_menu("pause"),
            Reply::Note(text) => {
                self.by_menu("note");
                self.see(&["Esc  not after all", DRAWN]);
                self.type_in(&format!("{text}\r"));
            }
            Reply::Skip(text) => {
                self.by_menu("skip");
                self.see(&["Esc  not after all", DRAWN]);
                self.type_in(&format!("{text}\r"));
            }
        }
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        if matches!(self.child.try_wait(), Ok(None)) {
            let _ended_meanwhile = self.child.kill();
        }
    }
}

fn reply(answer: &str) -> Reply {
    match answer.split_once(' ') {
        Some(("!note", text)) => Reply::Note(text.into()),
        Some(("!skip", text)) => Reply::Skip(text.into()),
        _ if answer == "!back" => Reply::Back,
        _ if answer == "!why" => Reply::Why,
        _ => Reply::Answer(answer.into()),
    }
}

/// The whole rebuild by hand, as it were: each question is seen before it is answered, and everything that is no
/// answer is taken from the menu. A session beside it knows which question has to stand on the screen.
#[test]
fn a_whole_rebuild_on_a_terminal_makes_the_entries_of_the_answers_file() {
    let demo = "fell-front";
    let place = Place::new();
    let begun = Entry::Begun {
        at: AT.into(),
        program: String::new(),
        unit: String::new(),
        procedure: String::new(),
        drawer: String::new(),
        instruments: String::new(),
        setting: None,
        found: None,
        units: UnitsName::Metric,
        practice: None,
        id: None,
    };
    let (mut session, _) = Session::start(job(demo), begun);
    let mut terminal = Terminal::open(&place, demo);
    let mut looked = Vec::new();
    let mut one = false;
    for line in answers_after(demo, 0).lines() {
        let (slot, answer) = line.split_once(" = ").unwrap();
        let ask = session.ask().unwrap();
        assert_eq!(ask.slot.to_string(), slot);
        if let Some(rail) = ask.rail.as_ref().filter(|_| !one) {
            one = true;
            terminal.see(&[
                "as they lie on the rail",
                "LEFT",
                &rail.rows[0].name,
                "Missing:",
                DRAWN,
            ]);
            terminal.give(&Reply::ByRows(false));
        }
        let screen = terminal.see_question(&ask);
        for (at, facts) in [
            (
                "caution-lifting",
                &[
                    "CAUTION: Level, hard ground.",
                    "push the car firmly by hand",
                    "type yes",
                ][..],
            ),
            (
                "plate-thickness/S1/1",
                &[
                    "The thickness of the plate on its rubbing face",
                    "at least 1.920 mm",
                    "reading 1 of 3",
                ],
            ),
            (
                "choose",
                &[
                    "shims left",
                    "off, mm",
                    "wall . shim",
                    "1 to 10 take that proposal",
                    "swap A B",
                ],
            ),
            (
                "laid-in/left/shim-2",
                &["Lay this one in next.", "Left: 2 of ", "from the wall: shim"],
            ),
            (
                "proof-decision",
                &["The verdict on the readings. What now?", "accept", "again"],
            ),
            (
                "sign-built",
                &["OPEN: left out, distance", "Type your name to sign"],
            ),
        ] {
            if slot == at && !looked.contains(&(at, ask.slot.round)) {
                looked.push((at, ask.slot.round));
                // words may be broken anywhere between two of them
                let flat = screen.split_whitespace().collect::<Vec<_>>().join(" ");
                for fact in facts {
                    assert!(flat.contains(fact), "{slot}: {fact:?} is missing on\n{screen}");
                }
            }
        }
        let wished = is_by_fewest(slot, answer).then_some(FEWEST);
        for answer in wished.into_iter().chain([answer]) {
            let reply = reply(answer);
            terminal.give(&reply);
            let taken = session.answer(&reply, AT).unwrap();
            session.apply(&taken.entries);
        }
    }
    assert!(session.is_finished());
    terminal.see(&["finished 2026-05-09", "The sheet: "]);
    assert!(terminal.child.wait().unwrap().success());
    assert_eq!(looked.len(), 9, "{looked:?}");
    let entries = place.entries(&format!("{demo}-0001"));
    assert_eq!(entries.len(), finished(demo).entries.len());
    for (n, (found, wanted)) in entries
        .iter()
        .map(unwished)
        .zip(&finished(demo).entries)
        .enumerate()
    {
        assert_eq!(found, *wanted, "entry {n}");
    }
}
