//! A program with something on its standard input.

use std::io::Write;
use std::process::{Command, Output, Stdio};

/// Runs a command with this text on its standard input, to its end.
pub fn fed(command: &mut Command, text: impl AsRef<[u8]>) -> Output {
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut keys = child.stdin.take().unwrap();
    let text = text.as_ref().to_vec();
    // beside the reading of what is written: two full pipes would wait for each other
    let typing = std::thread::spawn(move || {
        // a program that has read enough may close the pipe first
        let _closed = keys.write_all(&text);
    });
    let output = child.wait_with_output().unwrap();
    typing.join().unwrap();
    output
}
