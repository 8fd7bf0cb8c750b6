//! The front-ends on a real pseudo-terminal: what a person sees and types, and what arrives.
//!
//! The child is this test binary itself: [`the_one_that_is_talked_to`] puts a fixed list of questions when it finds
//! `BENCH_CHILD` set. Nothing waits for a time: each step waits for a text on the screen, up to a deadline.

// what stands around a test may fail as the test does; the lint only knows the tests themselves
#![allow(clippy::unwrap_used)]

#[path = "../support/fed.rs"]
mod fed;
mod pager;
mod rail;

use fed::fed;
use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};
use shimwright::bench::{BenchError, Colour, Front, Interactive, Lines, colour_wanted};
use shimwright::procedure::{
    AnswerOption, Ask, Expects, Feedback, Refusal, Reply, StepKind, Table, Tone, Why,
};
use shimwright::record::Slot;
use std::io::{BufRead, Read, Write};
use std::process::Command;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

const CHILD: &str = "the_one_that_is_talked_to";
const DEADLINE: Duration = Duration::from_secs(30);
const ESC: &str = "\x1b";
const CTRL_C: &str = "\x03";

// ---- the child ----

fn question(step: &str, point: Option<u32>, prompt: &str, expects: Expects) -> Ask {
    Ask {
        slot: Slot {
            round: 1,
            step: step.into(),
            item: None,
            point,
        },
        number: 1,
        of: 1,
        stage: "Measure".into(),
        kind: StepKind::Measure,
        words: vec![],
        tools: vec![],
        limits: vec![],
        table: None,
        drawing: vec![],
        prompt: prompt.into(),
        expects,
        before: None,
        guarded: false,
        why: Why {
            reason: "Plates wear.".into(),
            formula: vec!["wear = new - worn".into()],
        },
        may_skip: true,
        later: false,
        again: false,
        alone: false,
        practice: false,
        rail: None,
        terms: Vec::new(),
        spoken: shimwright::record::phrase::Spoken::default(),
    }
}

fn thickness(point: u32) -> Ask {
    let expects = Expects::Quantity {
        unit: "mm",
        example: "1.98".into(),
    };
    question("thickness", Some(point), &format!("Reading {point}"), expects)
}

fn caution() -> Ask {
    Ask {
        kind: StepKind::Caution,
        words: vec!["The cover is under spring force: slacken its bolts evenly, crosswise.".into()],
        may_skip: false,
        practice: false,
        rail: None,
        terms: Vec::new(),
        spoken: shimwright::record::phrase::Spoken::default(),
        ..question("spring-force", None, "Read and understood", Expects::Acknowledge)
    }
}

fn done() -> Ask {
    question("clean", None, "Plates are clean", Expects::Done)
}

fn glazed() -> Ask {
    question("glazed", None, "Is a face glazed?", Expects::YesNo)
}

fn guarded() -> Ask {
    Ask {
        guarded: true,
        ..question(
            "rings",
            None,
            "Are the rings the right way round?",
            Expects::YesNo,
        )
    }
}

fn plan() -> Ask {
    let way = |key: &str, words: &str| AnswerOption {
        key: key.into(),
        words: words.into(),
    };
    let ways = vec![
        way("accept", "build it so"),
        way("alter", "change it by hand"),
        way("order", "order a shim"),
    ];
    question("plan", None, "The plan", Expects::OneOf(ways))
}

fn remark() -> Ask {
    question("remark", None, "Oil as found", Expects::Text { optional: false })
}

fn long() -> Ask {
    Ask {
        words: vec![
            "Measure the plate at three places a third of a turn apart, clear of the tabs.".into();
            8
        ],
        table: Some(Table {
            head: vec![
                "Plate".into(),
                "Reading 1".into(),
                "Reading 2".into(),
                "Reading 3".into(),
                "Verdict".into(),
            ],
            rows: vec![vec![
                "G1".into(),
                "1.98 mm".into(),
                "1.97 mm".into(),
                "1.98 mm".into(),
                "inside".into(),
            ]],
        }),
        ..thickness(1)
    }
}

fn way_round() -> Ask {
    let prompt = "Drive way round, first movement, position 1 of 3";
    Ask {
        prompt: prompt.into(),
        ..thickness(1)
    }
}

fn held() -> Ask {
    let way = |key: &str, words: &str| AnswerOption {
        key: key.into(),
        words: words.into(),
    };
    let ways = vec![
        way(
            "case",
            "case held, one output turned, the other free: both packs slip",
        ),
        way(
            "output",
            "one output held, the other turned, case free (as in the car)",
        ),
    ];
    question(
        "held",
        None,
        "How the unit is held for the proof, by whom and with what",
        Expects::OneOf(ways),
    )
}

fn asks(list: &str) -> Vec<Ask> {
    let mut asks = match list {
        "readings" => vec![thickness(1), thickness(2), thickness(3)],
        "every kind" => vec![
            caution(),
            thickness(1),
            done(),
            glazed(),
            plan(),
            question(
                "order",
                None,
                "Order as found",
                Expects::Names(vec!["A1".into(), "A2".into()]),
            ),
            remark(),
            question(
                "proposal",
                None,
                "Go on",
                Expects::OneOfOrLine {
                    ways: vec![AnswerOption {
                        key: "accept".into(),
                        words: "take it".into(),
                    }],
                    lines: vec!["swap A1 A2".into()],
                },
            ),
        ],
        "caution second" => vec![thickness(1), caution()],
        "done second" => vec![thickness(1), done()],
        "glazed second" => vec![thickness(1), glazed(), thickness(2)],
        "remark" => vec![remark(), thickness(1)],
        "guarded second" => vec![thickness(1), guarded(), thickness(2)],
        "kept" => vec![
            Ask {
                before: Some("2.01".into()),
                ..thickness(1)
            },
            Ask {
                before: Some("no".into()),
                ..glazed()
            },
            Ask {
                before: Some("order".into()),
                ..plan()
            },
            Ask {
                before: Some("nobody had a lamp".into()),
                ..plan()
            },
            Ask {
                before: Some("black".into()),
                ..remark()
            },
        ],
        "long" => vec![long()],
        "wordy" => vec![way_round(), held()],
        "rail" => vec![rail::ask(), done()],
        other => panic!("no list {other}"),
    };
    let of = asks.len();
    for (at, ask) in asks.iter_mut().enumerate() {
        (ask.number, ask.of) = (at + 1, of);
    }
    asks
}

/// Goes through the questions like an engine that knows two rules: a caution takes `yes`, and `bad` is never taken.
fn run(front: &mut dyn Front, asks: &[Ask]) -> Result<(), BenchError> {
    let told = |words: String| {
        let mut out = std::io::stdout();
        writeln!(out, "{words}").unwrap();
        out.flush().unwrap();
    };
    let mut at = 0;
    while let Some(ask) = asks.get(at) {
        let reply = front.ask(ask)?;
        told(format!("GOT {}: {reply:?}", ask.slot));
        match reply {
            Reply::Answer(text)
                if text == "bad" || (ask.expects == Expects::Acknowledge && text != "yes") =>
            {
                front.refuse(&Refusal {
                    words: format!("\"{text}\" is no answer"),
                    sure: false,
                    suggests: false,
                })?;
            }
            Reply::Answer(_) => {
                front.say(&[Feedback {
                    tone: Tone::Good,
                    words: "taken".into(),
                }])?;
                at += 1;
            }
            Reply::Skip(_) => at += 1,
            Reply::Back => at = at.saturating_sub(1),
            Reply::Why => front.why(ask)?,
            Reply::Note(_) | Reply::Take | Reply::Look | Reply::Hint | Reply::Words(_) => {}
            Reply::Row(row) if row == "panic" => panic!("told to"),
            Reply::Row(row) if row == "on" => at += 1,
            Reply::Row(row) => front.say(&[Feedback {
                tone: Tone::Plain,
                words: format!("taken: {row}"),
            }])?,
            Reply::ByRows(_) | Reply::BackBy(_) => {}
            Reply::Show | Reply::Picture | Reply::Fix(_) | Reply::Who(_) => {}
            Reply::Pause => break,
        }
    }
    front.finish()?;
    told("END".into());
    Ok(())
}

/// Does nothing in an ordinary run; with `BENCH_CHILD` set it is the program on the terminal.
#[test]
fn the_one_that_is_talked_to() {
    let Ok(front) = std::env::var("BENCH_CHILD") else {
        return;
    };
    let asks = asks(&std::env::var("BENCH_ASKS").unwrap());
    let settle = Duration::from_secs(std::env::var("BENCH_SETTLE").map_or(0, |text| text.parse().unwrap()));
    let outcome = match front.as_str() {
        "interactive" => Interactive::new(colour_wanted(false, Colour::Auto))
            .and_then(|front| run(&mut front.settling(settle), &asks)),
        "plain" => Interactive::new(false).and_then(|front| run(&mut front.settling(settle), &asks)),
        "lines" => Lines::on_standard(80, colour_wanted(false, Colour::Auto))
            .and_then(|mut front| run(&mut front, &asks)),
        "stuck" => Lines::on_standard(80, false).map(|_front| {
            println!("STUCK");
            loop {
                std::thread::park();
            }
        }),
        "confirm" => Interactive::new(true).and_then(|front| {
            let go_on = front
                .settling(settle)
                .confirm("Go on with the unfinished build?", true)?;
            println!("GOT {go_on}");
            Ok(())
        }),
        other => panic!("no front-end {other}"),
    };
    if let Err(error) = outcome {
        println!("ERROR {error:?}");
    }
    if front != "lines" {
        // a terminal that was given back shows what is typed, and hands it over line by line
        println!("COOKED");
        let line = std::io::stdin().lock().lines().next();
        println!("LINE {line:?}");
    }
    std::process::exit(0);
}

// ---- the terminal ----

struct Terminal {
    keys: Box<dyn Write + Send>,
    seen: Arc<Mutex<(vt100::Parser, Vec<u8>)>>,
    child: Box<dyn Child + Send + Sync>,
    master: Box<dyn MasterPty + Send>,
}

impl Terminal {
    fn open(front: &str, asks: &str) -> Terminal {
        Terminal::sized(front, asks, &[], 60, 80)
    }

    fn sized(front: &str, asks: &str, env: &[(&str, &str)], rows: u16, cols: u16) -> Terminal {
        let mut command = CommandBuilder::new(std::env::current_exe().unwrap());
        command.args(["--exact", CHILD, "--nocapture", "--test-threads=1"]);
        command.env_remove("NO_COLOR");
        for (name, value) in [
            ("TERM", "xterm-256color"),
            ("BENCH_CHILD", front),
            ("BENCH_ASKS", asks),
        ] {
            command.env(name, value);
        }
        for (name, value) in env {
            command.env(name, value);
        }
        Terminal::of(command, rows, cols)
    }

    fn of(command: CommandBuilder, rows: u16, cols: u16) -> Terminal {
        let size = PtySize {
            rows,
            cols,
            pixel_width: 0,
            pixel_height: 0,
        };
        let pair = native_pty_system().openpty(size).unwrap();
        let child = pair.slave.spawn_command(command).unwrap();
        // as long as this end is open, the reader never comes to an end
        drop(pair.slave);
        let parser = vt100::Parser::new(rows.try_into().unwrap(), cols.try_into().unwrap(), 0);
        let seen = Arc::new(Mutex::new((parser, Vec::new())));
        let mut reader = pair.master.try_clone_reader().unwrap();
        let into = seen.clone();
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(n) = reader.read(&mut bytes) {
                if n == 0 {
                    break;
                }
                let mut seen = into.lock().unwrap();
                seen.0.process(&bytes[..n]);
                seen.1.extend_from_slice(&bytes[..n]);
            }
        });
        Terminal {
            keys: pair.master.take_writer().unwrap(),
            seen,
            child,
            master: pair.master,
        }
    }

    fn type_in(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
    }

    fn paste(&mut self, text: &str) {
        self.type_in(&format!("\x1b[200~{text}\x1b[201~"));
    }

    fn screen(&self) -> String {
        self.seen.lock().unwrap().0.screen().contents()
    }

    fn bytes(&self) -> String {
        String::from_utf8_lossy(&self.seen.lock().unwrap().1).into_owned()
    }

    fn until(&self, what: &str, so: impl Fn(&str) -> bool) -> String {
        let start = Instant::now();
        loop {
            let screen = self.screen();
            if so(&screen) {
                return screen;
            }
            assert!(
                start.elapsed() < DEADLINE,
                "{what} did not come; the screen is\n{screen}"
            );
            std::thread::yield_now();
            std::thread::park_timeout(Duration::from_millis(2));
        }
    }

    fn see(&self, needle: &str) -> String {
        self.until(&format!("{needle:?}"), |screen| screen.contains(needle))
    }

    /// Line mode writes the mark at which is typed after the question; what is typed sooner stands before the mark.
    fn see_line_begun(&self) {
        self.until("the mark", |_| self.bytes().ends_with("\n> "));
    }

    fn see_times(&self, needle: &str, times: usize) -> String {
        self.until(&format!("{needle:?} {times} times"), |screen| {
            screen.matches(needle).count() >= times
        })
    }

    /// Esc is a key of its own only when nothing follows at once, so this waits for the list down to its last line.
    fn open_menu(&mut self) -> String {
        self.type_in(ESC);
        self.see("pause    stop here")
    }

    fn end(mut self) -> String {
        self.see("COOKED");
        self.type_in("\r");
        let start = Instant::now();
        while self.child.try_wait().unwrap().is_none() {
            assert!(
                start.elapsed() < DEADLINE,
                "it does not end; the screen is\n{}",
                self.screen()
            );
            std::thread::park_timeout(Duration::from_millis(2));
        }
        self.screen()
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        if matches!(self.child.try_wait(), Ok(None)) {
            let _ended_meanwhile = self.child.kill();
        }
    }
}

fn answered(screen: &str) -> Vec<&str> {
    screen
        .lines()
        .filter_map(|line| line.strip_prefix("GOT "))
        .map(str::trim_end)
        .collect()
}

// ---- the facts ----

#[test]
fn typed_answers_of_every_kind_arrive() {
    let mut t = Terminal::open("interactive", "every kind");
    for (prompt, keys) in [
        ("Read and understood (type yes", "yes\r"),
        ("Reading 1 (mm, such as 1.98)", "1,98 mm\r"),
        ("Plates are clean (Enter when done)", "\r"),
        ("Is a face glazed?", "n\r"),
        ("The plan", "al\r"),
        ("Order as found (names in order", "A2 A1\r"),
        ("Oil as found", "black, smells burnt\r"),
        ("Go on (one of these, or a line)", "swap A1 A2\r"),
    ] {
        t.see(prompt);
        t.type_in(keys);
    }
    let screen = t.see("END");
    let wanted = [
        r#"spring-force: Answer("yes")"#,
        r#"thickness/1: Answer("1,98 mm")"#,
        r#"clean: Answer("")"#,
        r#"glazed: Answer("no")"#,
        r#"plan: Answer("alter")"#,
        r#"order: Answer("A2 A1")"#,
        r#"remark: Answer("black, smells burnt")"#,
        r#"proposal: Answer("swap A1 A2")"#,
    ];
    assert_eq!(answered(&screen), wanted, "{screen}");
    t.end();
}

#[test]
fn the_arrows_choose_from_a_list() {
    let mut t = Terminal::open("interactive", "glazed second");
    t.see("Reading 1");
    t.type_in("1.98\r");
    t.see("Is a face glazed?");
    t.type_in("\x1b[B");
    t.see("-> no");
    t.type_in("\r");
    t.see(r#"GOT glazed: Answer("no")"#);
}

#[test]
fn a_control_word_is_taken_in_a_list_too() {
    let mut t = Terminal::open("interactive", "glazed second");
    t.see("Reading 1");
    t.type_in("1.98\r");
    t.see("Is a face glazed?");
    t.type_in("!skip no light here");
    t.see("(the line as it was typed)");
    t.type_in("\r");
    t.see(r#"GOT glazed: Skip("no light here")"#);
}

#[test]
fn an_instrument_that_types_fills_one_question_after_the_other() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    t.type_in("1.98\r2.01\r1.99\r");
    let screen = t.see("END");
    let wanted = [
        r#"thickness/1: Answer("1.98")"#,
        r#"thickness/2: Answer("2.01")"#,
        r#"thickness/3: Answer("1.99")"#,
    ];
    assert_eq!(answered(&screen), wanted, "{screen}");
}

#[test]
fn three_pasted_lines_fill_three_questions() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    t.paste("1.98\r\n2.01\n1.99\r");
    t.type_in("\r");
    let screen = t.see("END");
    let wanted = [
        r#"thickness/1: Answer("1.98")"#,
        r#"thickness/2: Answer("2.01")"#,
        r#"thickness/3: Answer("1.99")"#,
    ];
    assert_eq!(answered(&screen), wanted, "{screen}");
}

#[test]
fn a_refused_line_lets_the_other_pasted_ones_go_and_names_them() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    t.paste("bad\n2.01\n1.99");
    t.type_in("\r");
    t.see("Pasted and not used, for the line before them was refused: 2.01, 1.99");
    t.see_times("Reading 1 (mm", 2);
    t.type_in("1.98\r");
    let screen = t.see("Reading 2 (mm");
    assert_eq!(
        answered(&screen),
        [r#"thickness/1: Answer("bad")"#, r#"thickness/1: Answer("1.98")"#],
        "{screen}"
    );
}

#[test]
fn pasted_lines_acknowledge_no_caution() {
    let mut t = Terminal::open("interactive", "caution second");
    t.see("Reading 1");
    t.paste("1.98\nyes");
    t.type_in("\r");
    t.see("Pasted and not used, for a caution is acknowledged by hand: yes");
    let screen = t.see("Read and understood (type yes");
    assert_eq!(answered(&screen), [r#"thickness/1: Answer("1.98")"#], "{screen}");
}

#[test]
fn lines_pasted_into_a_list_are_not_lost() {
    let mut t = Terminal::open("interactive", "glazed second");
    t.see("Reading 1");
    t.type_in("1.98\r");
    t.see("Is a face glazed?");
    t.paste("no\n2.01");
    t.type_in("\r");
    let screen = t.see("END");
    let wanted = [
        r#"thickness/1: Answer("1.98")"#,
        r#"glazed: Answer("no")"#,
        r#"thickness/2: Answer("2.01")"#,
    ];
    assert_eq!(answered(&screen), wanted, "{screen}");
}

#[test]
fn lines_pasted_as_words_stay_one_answer() {
    let mut t = Terminal::open("interactive", "remark");
    t.see("Oil as found");
    t.paste("black\nsmells burnt");
    t.type_in("\r");
    let screen = t.see("Reading 1");
    assert_eq!(
        answered(&screen),
        [r#"remark: Answer("black smells burnt")"#],
        "{screen}"
    );
}

#[test]
fn enter_alone_does_not_acknowledge_a_caution() {
    let mut t = Terminal::open("interactive", "every kind");
    let screen = t.see("Read and understood (type yes");
    assert!(
        screen.contains("CAUTION: The cover is under spring force"),
        "{screen}"
    );
    t.type_in("\r");
    let screen = t.see("Not taken: type yes: a caution is not passed with Enter");
    assert!(answered(&screen).is_empty(), "{screen}");
    t.type_in("yes\r");
    t.see(r#"GOT spring-force: Answer("yes")"#);
}

#[test]
fn what_was_typed_before_a_caution_stood_there_does_not_acknowledge_it() {
    let mut t = Terminal::open("interactive", "caution second");
    t.see("Reading 1");
    t.type_in("1.98\ryes\r");
    t.see("Read and understood (type yes");
    t.type_in("no\r");
    let screen = t.see("\"no\" is no answer");
    let wanted = [r#"thickness/1: Answer("1.98")"#, r#"spring-force: Answer("no")"#];
    assert_eq!(answered(&screen), wanted, "{screen}");
}

#[test]
fn enter_keeps_what_stood_there_and_a_list_stands_on_it() {
    let mut t = Terminal::open("interactive", "kept");
    t.see("Reading 1 (mm");
    t.type_in("\r");
    t.see("-> no");
    t.type_in("\r");
    t.see("-> order");
    t.type_in("\r");
    // a question that was left out has a row of its own for that
    t.see("-> (as before)  nobody had a lamp");
    t.type_in("\r");
    t.see("Oil as found");
    t.type_in("\r");
    let screen = t.see("END");
    let wanted = [
        r#"thickness/1: Answer("")"#,
        r#"glazed: Answer("")"#,
        r#"plan: Answer("")"#,
        r#"plan: Answer("")"#,
        r#"remark: Answer("")"#,
    ];
    assert_eq!(answered(&screen), wanted, "{screen}");
}

#[test]
fn another_way_than_the_one_that_stood_there_is_taken_as_it_is_chosen() {
    let mut t = Terminal::open("interactive", "kept");
    t.see("Reading 1 (mm");
    t.type_in("1.97\r");
    t.see("-> no");
    t.type_in("\x1b[A");
    t.see("-> yes");
    t.type_in("\r");
    t.see("-> order");
    t.type_in("acc\r");
    t.see("-> (as before)");
    t.type_in("al\r");
    t.see("Oil as found");
    t.type_in("grey\r");
    let screen = t.see("END");
    let wanted = [
        r#"thickness/1: Answer("1.97")"#,
        r#"glazed: Answer("yes")"#,
        r#"plan: Answer("accept")"#,
        r#"plan: Answer("alter")"#,
        r#"remark: Answer("grey")"#,
    ];
    assert_eq!(answered(&screen), wanted, "{screen}");
}

#[test]
fn a_look_that_guards_the_build_has_no_default_and_is_typed_in_full() {
    let mut t = Terminal::open("interactive", "guarded second");
    t.see("Reading 1 (mm");
    // neither what was typed before it stood there nor a pasted line answers it
    t.type_in("1.98\ryes\r");
    t.see("Are the rings the right way round? (yes or no, in full)");
    t.type_in("\r");
    let screen = t.see("Not taken: type the whole word: this look is not passed with Enter");
    assert_eq!(answered(&screen), [r#"thickness/1: Answer("1.98")"#], "{screen}");
    // what is not typed in full is not made whole on the way
    t.type_in("y\r");
    t.see(r#"GOT rings: Answer("y")"#);
    let mut t = Terminal::open("interactive", "guarded second");
    t.see("Reading 1 (mm");
    t.paste("1.98\nyes");
    t.type_in("\r");
    t.see("Pasted and not used, for a look that guards the build is answered by hand: yes");
    t.see("in full)");
    t.type_in("yes\r");
    t.see(r#"GOT rings: Answer("yes")"#);
}

#[test]
fn control_c_typed_before_a_caution_stood_there_still_pauses() {
    let mut t = Terminal::open("interactive", "caution second");
    t.see("Reading 1");
    t.type_in("1.98\ry\x03");
    t.see("GOT spring-force: Pause");
}

#[test]
fn control_d_opens_the_same_list_as_escape() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    t.type_in("\x04");
    t.see("answer   go on with this question");
}

#[test]
fn an_empty_answer_right_after_the_opening_is_not_taken() {
    let mut t = Terminal::sized("interactive", "done second", &[("BENCH_SETTLE", "3600")], 60, 80);
    t.see("Reading 1");
    // the second line end of an instrument that sends two
    t.type_in("1.98\r\n");
    let screen = t.see("Not taken: an Enter as fast as this is not taken");
    assert_eq!(answered(&screen), [r#"thickness/1: Answer("1.98")"#], "{screen}");
}

#[test]
fn a_list_takes_no_enter_right_after_the_opening_either() {
    let mut t = Terminal::sized(
        "interactive",
        "glazed second",
        &[("BENCH_SETTLE", "3600")],
        60,
        80,
    );
    t.see("Reading 1");
    t.type_in("1.98\r\n");
    t.see("Is a face glazed? (an Enter as fast as this is not taken)");
    t.type_in("no\r");
    let screen = t.see("Reading 2 (mm");
    assert_eq!(
        answered(&screen),
        [r#"thickness/1: Answer("1.98")"#, r#"glazed: Answer("no")"#],
        "{screen}"
    );
}

#[test]
fn escape_leads_back() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    t.type_in("1.98\r");
    t.see("Reading 2 (mm");
    t.open_menu();
    t.type_in("b\r");
    t.see("GOT thickness/2: Back");
    t.see_times("Step 1 of 3 · Measure", 2);
}

#[test]
fn escape_leads_to_a_note_and_the_question_is_asked_on() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    t.open_menu();
    t.type_in("no\r");
    t.see("> Note");
    t.type_in("\r");
    t.see("Not taken: write a few words, or press Esc");
    t.type_in("oil was black\r");
    t.see(r#"GOT thickness/1: Note("oil was black")"#);
    t.type_in("1.98\r");
    t.see(r#"GOT thickness/1: Answer("1.98")"#);
}

#[test]
fn escape_leads_to_a_skip_with_its_reason() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    let screen = t.open_menu();
    assert!(screen.contains("skip"), "{screen}");
    t.type_in("s\r");
    t.see("Reason for leaving it out");
    t.type_in("no gauge\r");
    t.see(r#"GOT thickness/1: Skip("no gauge")"#);
}

#[test]
fn a_caution_cannot_be_skipped() {
    let mut t = Terminal::open("interactive", "every kind");
    t.see("Read and understood");
    let screen = t.open_menu();
    let ways: Vec<&str> = screen
        .lines()
        .filter(|line| line.contains("leave the question out"))
        .collect();
    assert!(ways.is_empty(), "{screen}");
}

#[test]
fn escape_leads_to_the_reason_and_back_to_the_question() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    t.open_menu();
    t.type_in("w\r");
    t.see("wear = new - worn");
    t.see_times("Step 1 of 3 · Measure", 2);
    t.type_in("1.98\r");
    t.see(r#"GOT thickness/1: Answer("1.98")"#);
}

#[test]
fn escape_leads_to_a_pause() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    t.open_menu();
    t.type_in("p\r");
    t.see("Paused. Every answer given so far is kept");
    let screen = t.see("END");
    assert_eq!(answered(&screen), ["thickness/1: Pause"], "{screen}");
    t.end();
}

#[test]
fn the_words_of_line_mode_work_here_too() {
    let mut t = Terminal::open("interactive", "remark");
    t.see("Oil as found");
    t.type_in("!quit\r");
    t.see("Not taken: \"!quit\" is no control word");
    t.type_in("!help\r");
    t.see("leave the question out, where that is allowed");
    t.type_in("!note seal wept\r");
    t.see(r#"GOT remark: Note("seal wept")"#);
    t.see_times("Oil as found", 4);
    t.type_in("!pause\r");
    let screen = t.see("END");
    assert!(
        screen.contains("Paused. Every answer given so far is kept"),
        "{screen}"
    );
    assert_eq!(
        answered(&screen),
        [r#"remark: Note("seal wept")"#, "remark: Pause"],
        "{screen}"
    );
}

#[test]
fn a_way_through_the_menu_and_back_keeps_what_was_typed() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    t.type_in("1.9");
    t.see("(mm, such as 1.98) 1.9");
    t.open_menu();
    t.type_in(ESC);
    t.see_times("Step 1 of 3 · Measure", 2);
    t.type_in("8\r");
    t.see(r#"GOT thickness/1: Answer("1.98")"#);
}

#[test]
fn control_c_pauses_and_gives_the_terminal_back() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    t.type_in("1.98\r");
    t.see("Reading 2 (mm");
    t.type_in(CTRL_C);
    t.see("GOT thickness/2: Pause");
    let screen = t.see("COOKED");
    assert!(
        screen.contains("Paused. Every answer given so far is kept"),
        "{screen}"
    );
    // the echo of the terminal shows it before the line is ended
    t.type_in("typed after");
    t.see("COOKED\ntyped after");
    t.type_in("\r");
    t.see(r#"LINE Some(Ok("typed after"))"#);
}

#[test]
fn control_c_in_the_menu_pauses_too() {
    let mut t = Terminal::open("interactive", "readings");
    t.see("Reading 1");
    t.open_menu();
    t.type_in(CTRL_C);
    t.see("GOT thickness/1: Pause");
}

#[cfg(target_os = "linux")]
#[test]
fn a_process_told_to_end_gives_the_terminal_back() {
    const ECHO: u32 = 0o10; // Linux, asm-generic/termbits.h
    let echo = |t: &Terminal| t.master.get_termios().unwrap().local_flags.bits() & ECHO != 0;
    for signal in ["-TERM", "-HUP", "-INT", "-QUIT"] {
        for at in ["a question", "a list", "the menu", "a caution", "the rail"] {
            let mut t = Terminal::open(
                "interactive",
                match at {
                    "a list" => "kept",
                    "a caution" => "every kind",
                    "the rail" => "rail",
                    _ => "readings",
                },
            );
            match at {
                "a caution" => drop(t.see("Read and understood (type yes")),
                "the rail" => drop(t.see("> L1, reading 3")),
                _ => drop(t.see("Reading 1 (mm")),
            }
            if at == "a list" {
                t.type_in("1.98\r");
                t.see("-> no");
            }
            if at == "the menu" {
                t.open_menu();
            }
            t.until("raw mode", |_| !echo(&t));
            let pid = t.child.process_id().unwrap().to_string();
            let sent = Command::new("kill").args([signal, &pid]).status();
            assert!(sent.unwrap().success());
            assert!(!t.child.wait().unwrap().success(), "{signal} at {at}");
            assert!(echo(&t), "{signal} at {at}");
        }
    }
}

#[test]
fn colours_are_there_and_no_color_takes_them_away() {
    let sgr = |bytes: &str| {
        bytes
            .split("\x1b[")
            .skip(1)
            .filter(|rest| {
                rest.trim_start_matches(|c: char| c.is_ascii_digit() || c == ';')
                    .starts_with('m')
            })
            .count()
    };
    for (front, env, coloured) in [
        ("interactive", [("NO_COLOR", "")], true),
        ("interactive", [("NO_COLOR", "1")], false),
        ("plain", [("NO_COLOR", "")], false),
    ] {
        let mut t = Terminal::sized(front, "every kind", &env, 60, 80);
        t.see("Read and understood");
        t.type_in("\r");
        t.see("Not taken");
        t.type_in("yes\r");
        t.see("Reading 1 (mm");
        t.open_menu();
        let bytes = t.bytes();
        assert_eq!(sgr(&bytes) > 0, coloured, "{front} {env:?}: {bytes:?}");
    }
}

#[test]
fn a_narrow_screen_shows_the_same_facts() {
    let mut t = Terminal::sized("interactive", "long", &[], 60, 40);
    let screen = t.see("Reading 1 (mm, such as 1.98)");
    for fact in [
        "Step 1 of 1 · Measure",
        "Plate: G1; Reading 1: 1.98 mm;",
        "Verdict: inside",
    ] {
        assert!(screen.contains(fact), "{fact} is missing in\n{screen}");
    }
    t.open_menu();
    t.type_in("w\r");
    t.see("Plates wear.");
    t.type_in("1.98\r");
    t.see("GOT thickness/1: Answer(\"1.98\")");
}

#[test]
fn prompts_and_lists_are_folded_between_words() {
    for cols in [30, 40, 57] {
        let mut t = Terminal::sized("interactive", "wordy", &[], 60, cols);
        // the screen as one line
        let see = |t: &Terminal, wanted: &str| {
            t.until(wanted, |screen| {
                let words: Vec<&str> = screen.split_whitespace().collect();
                words.join(" ").contains(wanted)
            })
        };
        // a prompt that has no room on its line has its words above it
        see(
            &t,
            "Drive way round, first movement, position 1 of 3 > (mm, such as 1.98)",
        );
        t.type_in("1.98");
        see(&t, "(mm, such as 1.98) 1.98");
        t.type_in("\r");
        t.see("GOT thickness/1: Answer(\"1.98\")");
        t.see("output  one");
        see(&t, "How the unit is held for the proof, by whom and with what");
        see(
            &t,
            "case case held, one output turned, the other free: both packs slip output",
        );
        see(
            &t,
            "output one output held, the other turned, case free (as in the car)",
        );
        t.type_in("o\r");
        t.see("GOT held: Answer(\"output\")");
    }
}

#[test]
fn the_step_stays_in_sight_when_the_question_is_longer_than_the_screen() {
    let t = Terminal::sized("interactive", "long", &[], 12, 80);
    let screen = t.see("Reading 1 (mm, such as 1.98)");
    assert!(screen.contains("Step 1 of 1 · Measure"), "{screen}");
}

#[test]
fn a_question_of_no_step_is_a_list_of_two() {
    for (keys, wanted) in [
        ("n\r", "GOT false"),
        ("\r", "GOT true"),
        (CTRL_C, "ERROR Stopped"),
    ] {
        let mut t = Terminal::open("confirm", "readings");
        t.see("Go on with the unfinished build?");
        t.type_in(keys);
        t.see(wanted);
        t.end();
    }
}

#[test]
fn a_dumb_terminal_gets_no_questions_on_a_screen() {
    let t = Terminal::sized("interactive", "readings", &[("TERM", "dumb")], 60, 80);
    t.see("ERROR NoTerminal");
}

#[test]
fn line_mode_works_on_a_terminal_and_control_c_pauses_it() {
    let mut t = Terminal::open("lines", "readings");
    t.see("Reading 1 (mm, such as 1.98)");
    t.see_line_begun();
    t.type_in("1.98\r");
    t.see("Reading 2 (mm");
    t.see_line_begun();
    t.type_in("half a rea");
    t.see("half a rea");
    t.type_in(CTRL_C);
    let screen = t.see("END");
    assert!(
        screen.contains("Paused. Every answer given so far is kept"),
        "{screen}"
    );
    assert_eq!(
        answered(&screen),
        [r#"thickness/1: Answer("1.98")"#, "thickness/2: Pause"],
        "{screen}"
    );
    assert!(t.child.wait().unwrap().success());
}

#[test]
fn control_c_again_ends_line_mode_that_is_stuck() {
    let mut t = Terminal::open("stuck", "readings");
    t.see("STUCK");
    let start = Instant::now();
    let status = loop {
        // two that come together count as one, so it is pressed until it works
        t.type_in(CTRL_C);
        if let Some(status) = t.child.try_wait().unwrap() {
            break status;
        }
        assert!(start.elapsed() < DEADLINE, "it does not end");
        std::thread::park_timeout(Duration::from_millis(20));
    };
    assert_eq!(status.exit_code(), 130);
}

/// Runs the child without a terminal, with `input` on a pipe.
fn piped(front: &str, input: &str) -> String {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command
        .args(["--exact", CHILD, "--nocapture", "--test-threads=1"])
        .env("BENCH_CHILD", front)
        .env("BENCH_ASKS", "readings");
    String::from_utf8(fed(&mut command, input).stdout).unwrap()
}

#[test]
fn line_mode_reads_a_pipe_and_pauses_at_its_end() {
    let told = piped("lines", "1.98\n!note oil was black\n2.01\n");
    let got: Vec<&str> = told
        .lines()
        .filter_map(|line| line.split_once("GOT "))
        .map(|(_, got)| got)
        .collect();
    let wanted = [
        r#"thickness/1: Answer("1.98")"#,
        r#"thickness/2: Note("oil was black")"#,
        r#"thickness/2: Answer("2.01")"#,
        "thickness/3: Pause",
    ];
    assert_eq!(got, wanted, "{told}");
    assert!(!told.contains('\x1b'), "{told:?}");
}

#[test]
fn a_pipe_gets_no_questions_on_a_screen() {
    assert!(piped("interactive", "").contains("ERROR NoTerminal"));
}
