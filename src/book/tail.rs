//! The torn end of a journal: told from damage, and set aside.

use super::error::BookError;
use super::frame::{line, refusal};
use super::lock::Lock;
use crate::seal::Digest;
use std::fs::{File, Metadata, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// A journal of some hundred thousand entries: far more than a build has, and still read in a moment.
pub(super) const MOST_JOURNAL: u64 = 64 << 20;

/// What a journal is written on; a test writes on something that fails.
pub(super) trait Store {
    /// Writes at the end, with one write; says how many bytes were taken.
    fn put(&mut self, bytes: &[u8]) -> io::Result<usize>;
    /// Waits until all is on the disk.
    fn sync(&mut self) -> io::Result<()>;
    /// Cuts back to `end` bytes, durably.
    fn cut(&mut self, end: u64) -> io::Result<()>;
    /// True when nobody else changed or replaced what ends at `end`.
    fn is_ours(&self, end: u64) -> io::Result<bool>;
    /// Its name in messages.
    fn path(&self) -> &Path;
}

/// The journal's own file.
#[derive(Debug)]
pub(super) struct OnDisk {
    pub(super) file: File,
    pub(super) path: PathBuf,
    /// Held as long as it is open.
    pub(super) _lock: Lock,
}

impl Drop for OnDisk {
    /// Unlocks at once, even where a child process that is just being started still has a copy of the handle.
    fn drop(&mut self) {
        let _ = self.file.unlock();
    }
}

impl Store for OnDisk {
    fn put(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.file.sync_data()
    }

    fn cut(&mut self, end: u64) -> io::Result<()> {
        if cfg!(windows) {
            // a handle that only adds to the end may not cut there
            let file = OpenOptions::new().write(true).open(&self.path)?;
            file.set_len(end)?;
            return file.sync_all();
        }
        self.file.set_len(end)?;
        self.file.sync_all()
    }

    fn is_ours(&self, end: u64) -> io::Result<bool> {
        let held = self.file.metadata()?;
        Ok(match std::fs::symlink_metadata(&self.path) {
            Ok(named) => same(&held, &named) && held.len() == end,
            Err(fault) if fault.kind() == io::ErrorKind::NotFound => false,
            Err(fault) => return Err(fault),
        })
    }

    fn path(&self) -> &Path {
        &self.path
    }
}

/// Whether two names are one file.
#[cfg(unix)]
pub(super) fn same(a: &Metadata, b: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (a.dev(), a.ino()) == (b.dev(), b.ino())
}

/// Whether two names are one file, as far as can be told.
#[cfg(not(unix))]
pub(super) fn same(a: &Metadata, b: &Metadata) -> bool {
    a.len() == b.len() && b.is_file()
}

/// The writing end of a journal.
#[derive(Debug)]
pub(super) struct Tail<S> {
    store: S,
    pub(super) entries: Vec<String>,
    /// How many lines stand before those of `entries`.
    before: usize,
    end: u64,
    tip: Digest,
    stopped: bool,
}

impl<S: Store> Tail<S> {
    /// Goes on after `entries`, which end at byte `end`; `tip` is the digest of the last line.
    pub(super) fn new(store: S, entries: Vec<String>, end: u64, tip: Digest) -> Tail<S> {
        Tail {
            store,
            entries,
            before: 0,
            end,
            tip,
            stopped: false,
        }
    }

    /// Goes on after so many lines, which are not held in memory.
    pub(super) fn after(store: S, before: usize, end: u64, tip: Digest) -> Tail<S> {
        Tail {
            before,
            ..Tail::new(store, Vec::new(), end, tip)
        }
    }

    /// How many lines there are, where they end, and the digest of the last.
    pub(super) fn reached(&self) -> (usize, u64, Digest) {
        (self.before + self.entries.len(), self.end, self.tip)
    }

    /// Writes entries, each in a line of its version, with one write, and waits until they are on the disk.
    pub(super) fn append(&mut self, entries: &[(u32, &str)]) -> Result<(), BookError> {
        let path = || self.store.path().to_path_buf();
        if self.stopped {
            return Err(BookError::Stopped { path: path() });
        }
        let (mut lines, mut tip) = (String::new(), self.tip);
        for (n, (version, entry)) in entries.iter().enumerate() {
            if let Some(why) = refusal(entry) {
                return Err(BookError::NotAnEntry { path: path(), why });
            }
            let line = line(*version, self.before + self.entries.len() + n + 1, tip, entry);
            tip = Digest::of(line.trim_end_matches('\n').as_bytes());
            lines.push_str(&line);
        }
        if lines.is_empty() {
            return Ok(());
        }
        let end = self.end + lines.len() as u64;
        if end > MOST_JOURNAL {
            return Err(BookError::TooLarge {
                path: path(),
                size: end,
                most: MOST_JOURNAL,
            });
        }
        if !self
            .store
            .is_ours(self.end)
            .map_err(BookError::io("read", self.store.path()))?
        {
            let path = path();
            self.stopped = true;
            return Err(BookError::Disturbed { path });
        }
        if let Err(source) = self.write(lines.as_bytes()) {
            self.stopped = true;
            let cut_back = self.store.cut(self.end).is_ok();
            return Err(BookError::Append {
                path: self.store.path().to_path_buf(),
                source,
                cut_back,
            });
        }
        self.tip = tip;
        self.end = end;
        self.entries
            .extend(entries.iter().map(|(_, entry)| (*entry).to_string()));
        Ok(())
    }

    fn write(&mut self, line: &[u8]) -> io::Result<()> {
        let taken = loop {
            match self.store.put(line) {
                Err(fault) if fault.kind() == io::ErrorKind::Interrupted => {}
                other => break other?,
            }
        };
        if taken < line.len() {
            let words = format!(
                "only {taken} of {} bytes were taken; the disk may be full",
                line.len()
            );
            return Err(io::Error::new(io::ErrorKind::StorageFull, words));
        }
        self.store.sync()
    }
}

#[cfg(test)]
mod tests {
    use super::super::frame::scan;
    use super::*;

    /// A disk in memory that takes `room` bytes and fails where it is told to.
    #[derive(Default)]
    struct Faulty {
        bytes: Vec<u8>,
        room: usize,
        sync_fails: bool,
        cut_fails: bool,
        interrupts: usize,
    }

    impl Store for Faulty {
        fn put(&mut self, bytes: &[u8]) -> io::Result<usize> {
            if self.interrupts > 0 {
                self.interrupts -= 1;
                return Err(io::ErrorKind::Interrupted.into());
            }
            let free = self.room - self.bytes.len();
            if free == 0 {
                return Err(io::ErrorKind::StorageFull.into());
            }
            let taken = free.min(bytes.len());
            self.bytes.extend_from_slice(&bytes[..taken]);
            Ok(taken)
        }
        fn sync(&mut self) -> io::Result<()> {
            if self.sync_fails {
                Err(io::Error::other("bad sector"))
            } else {
                Ok(())
            }
        }
        fn cut(&mut self, end: u64) -> io::Result<()> {
            if self.cut_fails {
                return Err(io::Error::other("bad sector"));
            }
            self.bytes.truncate(end as usize);
            Ok(())
        }
        fn is_ours(&self, end: u64) -> io::Result<bool> {
            Ok(self.bytes.len() as u64 == end)
        }
        fn path(&self) -> &Path {
            Path::new("faulty")
        }
    }

    fn tail<S: Store>(store: S) -> Tail<S> {
        Tail::new(store, Vec::new(), 0, Digest::of(b""))
    }

    #[test]
    fn a_disk_that_fills_up_at_any_byte_keeps_every_entry_before() {
        let entry = r#"{"read":"1.98 mm"}"#;
        let mut whole = tail(Faulty {
            room: 10_000,
            ..Faulty::default()
        });
        for _ in 0..3 {
            whole.append(&[(1, entry)]).unwrap();
        }
        let whole = whole.store.bytes;
        for room in 0..whole.len() {
            let mut tail = tail(Faulty {
                room,
                ..Faulty::default()
            });
            let written = (0..3).take_while(|_| tail.append(&[(1, entry)]).is_ok()).count();
            assert_eq!(written, whole[..room].iter().filter(|&&b| b == b'\n').count());
            assert!(matches!(
                tail.append(&[(1, entry)]),
                Err(BookError::Stopped { .. })
            ));
            let found = scan(&tail.store.bytes);
            assert_eq!((found.entries.len(), found.problems), (written, vec![]), "{room}");
        }
    }

    #[test]
    fn a_write_that_fails_says_whether_it_was_cut_back() {
        for (sync_fails, cut_fails) in [(true, false), (true, true), (false, true), (false, false)] {
            let mut tail = tail(Faulty {
                room: if sync_fails { 1000 } else { 50 },
                sync_fails,
                cut_fails,
                ..Faulty::default()
            });
            let fault = tail.append(&[(1, "{}")]).unwrap_err();
            assert!(
                matches!(fault, BookError::Append { cut_back, .. } if cut_back != cut_fails),
                "{fault}"
            );
            assert_eq!(tail.store.bytes.is_empty(), !cut_fails);
            assert!(tail.entries.is_empty());
            assert!(matches!(
                tail.append(&[(1, "{}")]),
                Err(BookError::Stopped { .. })
            ));
        }
    }

    #[test]
    fn an_interrupted_write_is_tried_again() {
        let mut tail = tail(Faulty {
            room: 1000,
            interrupts: 2,
            ..Faulty::default()
        });
        tail.append(&[(1, "{}")]).unwrap();
        assert_eq!(scan(&tail.store.bytes).entries, ["{}"]);
    }

    #[test]
    fn an_entry_that_is_refused_does_not_stop_the_journal() {
        let mut tail = tail(Faulty {
            room: 1000,
            ..Faulty::default()
        });
        assert!(matches!(
            tail.append(&[(1, "{}\n")]),
            Err(BookError::NotAnEntry { .. })
        ));
        tail.append(&[(1, "{}")]).unwrap();
        tail.store.bytes.push(b'x');
        assert!(matches!(
            tail.append(&[(1, "{}")]),
            Err(BookError::Disturbed { .. })
        ));
        assert!(matches!(
            tail.append(&[(1, "{}")]),
            Err(BookError::Stopped { .. })
        ));
        assert_eq!(
            tail.store.bytes.last(),
            Some(&b'x'),
            "what another program wrote is left alone"
        );
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn the_systems_own_full_disk_is_reported() {
        struct Full(File);
        impl Store for Full {
            fn put(&mut self, bytes: &[u8]) -> io::Result<usize> {
                self.0.write(bytes)
            }
            fn sync(&mut self) -> io::Result<()> {
                self.0.sync_data()
            }
            fn cut(&mut self, end: u64) -> io::Result<()> {
                self.0.set_len(end)
            }
            fn is_ours(&self, _: u64) -> io::Result<bool> {
                Ok(true)
            }
            fn path(&self) -> &Path {
                Path::new("/dev/full")
            }
        }
        let mut tail = tail(Full(OpenOptions::new().append(true).open("/dev/full").unwrap()));
        match tail.append(&[(1, "{}")]).unwrap_err() {
            BookError::Append {
                source,
                cut_back: false,
                ..
            } => {
                assert_eq!(source.kind(), io::ErrorKind::StorageFull);
            }
            other => panic!("{other}"),
        }
    }
}
