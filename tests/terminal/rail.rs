//! The rail on a terminal that is made narrower or wider, and what is left of one when the program ends in its midst.

use super::{Terminal, answered, question};
use portable_pty::PtySize;
use shimwright::procedure::{Ask, Expects, Rail, RailRow};
use std::time::{Duration, Instant};

/// A rail of five plates a side, of which the first is in the hand.
pub fn ask() -> Ask {
    let row = |side: &'static str, n: usize| RailRow {
        side,
        name: format!("{}{n}", side[..1].to_uppercase()),
        readings: vec![Some("1.981".into()), None, None],
        flatness: None,
        look: None,
        came_to: String::new(),
        missing: true,
    };
    let of = |side| (1..=5).map(move |n| row(side, n));
    Ask {
        rail: Some(Rail {
            rows: of("left").chain(of("right")).collect(),
            hand: 0,
            next: "L1, reading 3".into(),
            takes_reading: true,
            points: 3,
            flatness: true,
            looks: vec!["good".into(), "glazed".into()],
            limits: "mm; least gear 1.900".into(),
            missing: "10 plates".into(),
            changed: vec![],
            by_rows: true,
        }),
        ..question("plate", None, "L1, reading 3", Expects::Done)
    }
}

impl Terminal {
    fn resize(&self, rows: u16, cols: u16) {
        let size = PtySize {
            rows,
            cols,
            pixel_width: 0,
            pixel_height: 0,
        };
        let mut seen = self.seen.lock().unwrap();
        seen.0
            .set_size(rows.try_into().unwrap(), cols.try_into().unwrap());
        self.master.resize(size).unwrap();
    }

    /// Types a line. Keys that reach the reader of events in one go with a resize are kept, and read with the key after
    /// them: so a key that changes nothing is pressed until the line stands there.
    fn type_after_resize(&mut self, line: &str) {
        const RIGHT: &str = "\x1b[C";
        let began = Instant::now();
        self.type_in(line);
        while !self
            .screen()
            .lines()
            .last()
            .is_some_and(|last| last.trim_end().ends_with(line))
        {
            assert!(began.elapsed() < Duration::from_secs(20), "{}", self.screen());
            self.type_in(RIGHT);
            std::thread::park_timeout(Duration::from_millis(20));
        }
        self.type_in("\r");
    }

    /// How many lines begin with this.
    fn begun_with(&self, begin: &str) -> usize {
        self.screen()
            .lines()
            .filter(|line| line.starts_with(begin))
            .count()
    }
}

const PROMPT: &str = "> L1, reading 3";

#[test]
fn a_row_is_drawn_over_the_rail_and_stands_once() {
    let mut t = Terminal::sized("interactive", "rail", &[], 40, 80);
    t.see(PROMPT);
    t.type_in("1.98\r");
    t.see("taken: 1.98");
    t.type_in("1.97\r");
    let screen = t.see("taken: 1.97");
    assert_eq!(screen.matches("LEFT").count(), 1, "{screen}");
    assert!(!screen.contains("taken: 1.98"), "{screen}");
}

#[test]
fn a_terminal_that_changes_its_width_gets_the_rail_anew_below_and_loses_nothing() {
    let mut t = Terminal::sized("interactive", "rail", &[], 60, 80);
    t.see(PROMPT);
    for (n, (cols, row)) in [
        (60, "1.961"),
        (100, "1.962"),
        (45, "1.963"),
        (30, "1.964"),
        (80, "1.965"),
    ]
    .into_iter()
    .enumerate()
    {
        t.resize(60, cols);
        t.type_after_resize(row);
        let screen = t.see(&format!("taken: {row}"));
        assert!(
            screen
                .lines()
                .all(|line| line.chars().count() <= usize::from(cols)),
            "{screen}"
        );
        // what stood above was drawn for another width: nobody knows how many lines it takes now
        if n == 0 {
            assert_eq!(screen.matches("LEFT").count(), 2, "{screen}");
        }
        t.until("a prompt", |screen| {
            screen.lines().last().is_some_and(|line| line.starts_with(PROMPT))
        });
    }
    t.type_in("on\r");
    t.see("Plates are clean");
    let bytes = t.bytes();
    for row in ["1.961", "1.962", "1.963", "1.964", "1.965", "on"] {
        assert!(bytes.contains(&format!("Row(\"{row}\")")), "{row}");
    }
}

#[test]
fn a_terminal_that_loses_its_rows_shows_the_plate_in_hand() {
    let mut t = Terminal::sized("interactive", "rail", &[], 40, 80);
    t.see(PROMPT);
    t.resize(12, 80);
    t.type_after_resize("1.98");
    t.see("taken: 1.98");
    t.until("a prompt", |screen| {
        screen.lines().last().is_some_and(|line| line.starts_with(PROMPT))
    });
    assert!(t.begun_with("> L1") >= 1, "{}", t.screen());
    t.type_in("1.97\r");
    t.see("taken: 1.97");
}

#[cfg(target_os = "linux")]
#[test]
fn a_panic_in_the_midst_of_the_rail_gives_the_terminal_back() {
    const ECHO: u32 = 0o10; // Linux, asm-generic/termbits.h
    let echo = |t: &Terminal| t.master.get_termios().unwrap().local_flags.bits() & ECHO != 0;
    let mut t = Terminal::open("interactive", "rail");
    t.see(PROMPT);
    t.until("raw mode", |_| !echo(&t));
    t.type_in("panic\r");
    assert!(!t.child.wait().unwrap().success());
    assert!(t.bytes().contains("told to"), "{}", t.bytes());
    assert!(echo(&t));
}

#[test]
fn a_pause_on_the_rail_gives_the_terminal_back() {
    let mut t = Terminal::open("interactive", "rail");
    t.see(PROMPT);
    t.type_in("\x03");
    let screen = t.end();
    assert_eq!(answered(&screen), ["plate: Pause"], "{screen}");
}
