//! The program on a pseudo-terminal, and what stands on its screen.

use crate::folder::Place;
use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

const DEADLINE: Duration = Duration::from_secs(60);

pub struct Terminal {
    keys: Box<dyn Write + Send>,
    screen: Arc<Mutex<vt100::Parser>>,
    child: Box<dyn Child + Send + Sync>,
    reader: Option<JoinHandle<()>>,
    _master: Box<dyn MasterPty + Send>,
}

impl Terminal {
    /// The program in a place, on a terminal of this size, without colours.
    pub fn open(place: &Place, arguments: &[&str], cols: u16, rows: u16) -> Terminal {
        let size = PtySize {
            rows,
            cols,
            pixel_width: 0,
            pixel_height: 0,
        };
        let pair = native_pty_system().openpty(size).unwrap();
        let mut command = CommandBuilder::new(crate::started::program().get_program());
        for (name, value) in crate::started::around() {
            command.env(name, value);
        }
        command.args(arguments);
        command.cwd(place.path(""));
        command.env("TERM", "xterm-256color");
        command.env("NO_COLOR", "1");
        let child = pair.slave.spawn_command(command).unwrap();
        // as long as this end is open, the reader never comes to an end
        drop(pair.slave);
        let screen = Arc::new(Mutex::new(vt100::Parser::new(
            rows.try_into().unwrap(),
            cols.try_into().unwrap(),
            0,
        )));
        let mut shown = pair.master.try_clone_reader().unwrap();
        let into = screen.clone();
        let reader = std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(n) = shown.read(&mut bytes) {
                if n == 0 {
                    break;
                }
                into.lock().unwrap().process(&bytes[..n]);
            }
        });
        Terminal {
            keys: pair.master.take_writer().unwrap(),
            screen,
            child,
            reader: Some(reader),
            _master: pair.master,
        }
    }

    /// What stands there once the program has ended, by itself and well.
    pub fn at_the_end(mut self) -> String {
        // 12: all was told, and not all of it is proved
        assert!([0, 12].contains(&self.child.wait().unwrap().exit_code()));
        self.reader.take().unwrap().join().unwrap();
        self.screen.lock().unwrap().screen().contents()
    }

    pub fn type_in(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).unwrap();
        self.keys.flush().unwrap();
    }

    fn until(&self, what: &str, so: impl Fn(&str) -> bool) -> String {
        let start = Instant::now();
        loop {
            let screen = self.screen.lock().unwrap().screen().contents();
            if so(&screen) {
                return screen;
            }
            assert!(
                start.elapsed() < DEADLINE,
                "{what} did not come; the screen is\n{screen}"
            );
            std::thread::park_timeout(Duration::from_millis(2));
        }
    }

    pub fn see(&self, needle: &str) -> String {
        self.until(needle, |screen| screen.contains(needle))
    }

    /// The screen once a prompt that has these words stands on its last line.
    pub fn see_prompt(&self, words: &str) -> String {
        self.until(words, |screen| {
            let last = screen.trim_end().lines().next_back().unwrap_or_default();
            last.starts_with('>') && last.contains(words)
        })
    }

    /// The screen once its last line has these words.
    pub fn see_last(&self, words: &str) -> String {
        self.until(words, |screen| {
            let last = screen.trim_end().lines().next_back().unwrap_or_default();
            last.contains(words)
        })
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        if matches!(self.child.try_wait(), Ok(None)) {
            let _ended_meanwhile = self.child.kill();
        }
    }
}
