//! Random texts, and good texts with random faults in them.
//!
//! `SHIMWRIGHT_CASES` is the number of texts for each reader (200 where it is not set) and `SHIMWRIGHT_SEED` where the
//! drawing starts.

#[path = "../draws/splitmix.rs"]
mod splitmix;

use splitmix::splitmix;
use std::panic::{AssertUnwindSafe, catch_unwind};

/// Draws from a seed.
pub struct Draw(pub u64);

impl Draw {
    pub fn next(&mut self) -> u64 {
        splitmix(&mut self.0)
    }

    /// Below `end`, which is above 0.
    pub fn below(&mut self, end: usize) -> usize {
        (self.next() % end as u64) as usize
    }

    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }
}

/// What has tripped readers elsewhere: ends of number types, signs of the formats, letters of several bytes.
pub const PIECES: [&str; 56] = [
    "\"",
    "'",
    "\"\"\"",
    "=",
    "[",
    "]",
    "[[",
    "]]",
    "{",
    "}",
    "#",
    ".",
    ",",
    ";",
    ":",
    "/",
    "\\",
    "\\u{",
    "\\u{110000}",
    "!",
    "!note ",
    "!skip ",
    "-",
    "−",
    "+",
    "0",
    "00",
    "1e999",
    "-1e-999",
    "NaN",
    "inf",
    "-0",
    "99999999999999999999",
    "9223372036854775807",
    "-9223372036854775808",
    "170141183460469231731687303715884105728",
    "999999999999999 m",
    "0.000000000000001",
    " mm",
    "\u{b5}m",
    "°",
    " deg from ring face",
    "no ramp",
    "%",
    "·",
    "×",
    "\n",
    "\r\n",
    "\r",
    "\t",
    "\0",
    "\u{1b}[2J",
    "\u{202e}",
    "\u{feff}",
    "\u{e9}\u{301}",
    "\u{1f527}",
];

/// A text: random bytes, random pieces, or a good text with a few faults.
pub fn draw(draw: &mut Draw, good: &[&str]) -> String {
    match draw.below(8) {
        0 => {
            let bytes: Vec<u8> = (0..draw.below(64)).map(|_| draw.next() as u8).collect();
            String::from_utf8_lossy(&bytes).into_owned()
        }
        1 => (0..draw.below(12)).map(|_| *draw.pick(&PIECES)).collect(),
        _ => {
            let mut bytes = draw.pick(good).as_bytes().to_vec();
            for _ in 0..=draw.below(6) {
                spoil(draw, &mut bytes, good);
            }
            String::from_utf8_lossy(&bytes).into_owned()
        }
    }
}

fn spoil(draw: &mut Draw, bytes: &mut Vec<u8>, good: &[&str]) {
    let from = draw.below(bytes.len() + 1);
    let to = from + draw.below((bytes.len() - from + 1).min(24));
    match draw.below(8) {
        0 => drop(bytes.drain(from..to)),
        1 => drop(bytes.splice(from..from, bytes[from..to].to_vec())),
        2 => bytes.truncate(from),
        3 => bytes
            .iter_mut()
            .skip(from)
            .take(1)
            .for_each(|byte| *byte ^= 1 << draw.below(8)),
        4 => {
            // a piece of another good text
            let other = draw.pick(good).as_bytes();
            let start = draw.below(other.len() + 1);
            let end = start + draw.below((other.len() - start + 1).min(200));
            drop(bytes.splice(from..to, other[start..end].iter().copied()));
        }
        5 => {
            // a number becomes another one
            let digit = bytes
                .iter()
                .skip(from)
                .position(u8::is_ascii_digit)
                .map(|at| at + from);
            if let Some(at) = digit {
                let piece = *draw.pick(&[
                    "0",
                    "-1",
                    "1e9",
                    "9999999999999",
                    ".",
                    "0.0000001",
                    "nan",
                    "65536",
                ]);
                drop(bytes.splice(at..at + 1, piece.bytes()));
            }
        }
        _ => drop(bytes.splice(from..to, draw.pick(&PIECES).bytes())),
    }
}

pub fn setting(name: &str, usual: u64) -> u64 {
    std::env::var(name)
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(usual)
}

/// Reads many texts. One that makes the reader panic is shown.
pub fn read_all(reader: &str, good: &[&str], read: impl Fn(&str)) {
    let seed = setting("SHIMWRIGHT_SEED", 1);
    let mut drawing = Draw(
        seed ^ reader
            .bytes()
            .fold(0_u64, |hash, byte| hash.wrapping_mul(31) + u64::from(byte)),
    );
    for good in good {
        read(good);
    }
    for case in 0..setting("SHIMWRIGHT_CASES", 200) {
        let text = draw(&mut drawing, good);
        if catch_unwind(AssertUnwindSafe(|| read(&text))).is_err() {
            panic!("case {case} of seed {seed}: {reader} fell over {text:?}");
        }
    }
}
