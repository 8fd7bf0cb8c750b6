//! Keys, and that neither they nor their passphrases are seen anywhere.

use crate::place::{Place, Ran};
use crate::sealed::{ADA, BUILD, unsigned};
use crate::ssh::write_private;
use portable_pty::{CommandBuilder, PtySize, native_pty_system};
use std::fs;
use std::io::{Read, Write};
use std::path::Path;
use std::sync::mpsc::channel;
use std::time::{Duration, Instant};

const PASSPHRASE: &str = "three-quarters of a turn";

#[test]
fn a_new_key_is_its_owners_and_is_never_written_over() {
    let place = Place::new();
    let ran = place.run(&["key", "new", "key", "--as", ADA, "--no-passphrase"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.starts_with("\"Ada Example\" ssh-ed25519 AAAA"),
        "{}",
        ran.out
    );
    assert!(ran.err.contains("WITHOUT a passphrase"), "{}", ran.err);
    let before = fs::read(place.path("key")).unwrap();
    let again = place.run(&["key", "new", "key", "--as", ADA, "--no-passphrase"]);
    again.fails(1, &["is there already"]);
    assert_eq!(fs::read(place.path("key")).unwrap(), before);
    assert_eq!(place.run(&["key", "line", "key", "--as", ADA]).out, ran.out);
    // where nobody can type, none is made
    let untyped = place.run(&["key", "new", "other", "--as", ADA]);
    untyped.fails(2, &["no terminal", "--passphrase-file"]);
    assert!(!place.path("other").exists());
    #[cfg(unix)]
    {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let mode = fs::metadata(place.path("key")).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
        // a link that leads nowhere would be written through
        symlink(place.path("elsewhere"), place.path("link")).unwrap();
        place
            .run(&["key", "new", "link", "--as", ADA, "--no-passphrase"])
            .fails(1, &["is there already"]);
        assert!(!place.path("elsewhere").exists());
    }
}

#[cfg(unix)]
#[test]
fn a_key_or_a_passphrase_that_others_may_read_is_refused() {
    use std::os::unix::fs::PermissionsExt;
    let place = unsigned();
    for mode in [0o640, 0o644, 0o604] {
        fs::set_permissions(place.path("keys/ada"), fs::Permissions::from_mode(mode)).unwrap();
        let ran = place.run(&["sign", BUILD, "--key", "keys/ada", "--as", ADA]);
        ran.fails(3, &["keys/ada can be read by others", "chmod 600"]);
    }
    let pass = place.write("pass", PASSPHRASE);
    fs::set_permissions(pass, fs::Permissions::from_mode(0o644)).unwrap();
    let ran = place.run(&["key", "new", "key", "--as", ADA, "--passphrase-file", "pass"]);
    ran.fails(3, &["pass can be read by others"]);
}

#[test]
fn a_passphrase_file_with_nothing_in_it_makes_no_key_without_a_passphrase() {
    let place = Place::new();
    // what is left of a program that failed to give one
    for (n, text) in ["", "\n", "\r\n", "  \t\n", "\nsecret behind an empty line\n"]
        .iter()
        .enumerate()
    {
        let pass = format!("pass-{n}");
        write_private(&place, &pass, text);
        let ran = place.run(&["key", "new", "key", "--as", ADA, "--passphrase-file", &pass]);
        ran.fails(2, &[&pass, "its first line is empty or blank", "--no-passphrase"]);
        assert!(!place.path("key").exists(), "{text:?}");
    }
}

/// Every file below a folder.
fn files(folder: &Path) -> Vec<std::path::PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.push(path);
        }
    }
    found
}

fn holds(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|window| window == part)
}

/// The lines of a private key's file that are its own: what stands in the public half too is left out.
fn private_lines(key: &str) -> Vec<String> {
    key.lines()
        .skip(1)
        .filter(|line| !line.starts_with('-'))
        .map(str::to_string)
        .collect()
}

#[test]
fn no_key_and_no_passphrase_comes_out_anywhere() {
    let place = unsigned();
    write_private(&place, "pass", &format!("{PASSPHRASE}\n"));
    write_private(&place, "wrong", "a wrong one that is secret too\n");
    write_private(&place, "damaged", "");
    let mut said: Vec<Ran> = Vec::new();
    let mut run = |arguments: &[&str]| said.push(place.run(arguments));
    run(&["key", "new", "key", "--as", ADA, "--passphrase-file", "pass"]);
    run(&["key", "line", "key", "--as", ADA]);
    for pass in ["wrong", "pass"] {
        run(&[
            "sign",
            BUILD,
            "--key",
            "key",
            "--as",
            ADA,
            "--passphrase-file",
            pass,
        ]);
    }
    run(&[
        "sign",
        BUILD,
        "--key",
        "key",
        "--as",
        ADA,
        "--passphrase-file",
        "pass",
    ]);
    run(&["sign", BUILD, "--key", "keys/bea", "--as", "Bea Example"]);
    run(&["check", BUILD, "--json"]);
    run(&["sheet", BUILD]);
    run(&["builds", "--json"]);
    let key = fs::read_to_string(place.path("key")).unwrap();
    let open = fs::read_to_string(place.path("keys/bea")).unwrap();
    // a damaged key is not quoted either
    write_private(&place, "damaged", &open[..open.len() / 2]);
    run(&["sign", BUILD, "--key", "damaged", "--as", ADA]);
    run(&["sign", BUILD, "--key", "pass", "--as", ADA]);
    let codes: Vec<i32> = said.iter().map(|ran| ran.code).collect();
    assert_eq!(codes, [0, 0, 3, 0, 1, 0, 12, 0, 0, 3, 3]);
    let mut secrets = vec![
        PASSPHRASE.to_string(),
        "a wrong one that is secret too".to_string(),
    ];
    // the first lines of an open key's file hold its head and public half only
    secrets.extend(private_lines(&open).split_off(2));
    secrets.extend(private_lines(&key).split_off(2));
    assert!(
        secrets.len() >= 6 && secrets.iter().all(|secret| secret.len() >= 8),
        "{secrets:?}"
    );
    for secret in &secrets {
        for ran in &said {
            assert!(
                !ran.out.contains(secret) && !ran.err.contains(secret),
                "{secret:?} is printed"
            );
        }
        for path in files(&place.path("")) {
            let own = ["key", "pass", "wrong", "damaged", "ada", "bea"];
            if own.contains(&path.file_name().unwrap().to_str().unwrap()) {
                continue;
            }
            let bytes = fs::read(&path).unwrap();
            assert!(
                !holds(&bytes, secret.as_bytes()),
                "{secret:?} is in {}",
                path.display()
            );
        }
    }
}

/// The program in a terminal: waits for each text and types what stands beside it; gives all that was shown.
fn in_terminal(place: &Place, arguments: &[&str], talk: &[(&str, &str)]) -> (u32, String) {
    let size = PtySize {
        rows: 24,
        cols: 80,
        pixel_width: 0,
        pixel_height: 0,
    };
    let pair = native_pty_system().openpty(size).unwrap();
    let mut command = CommandBuilder::new(crate::started::program().get_program());
    for (name, value) in crate::started::around() {
        command.env(name, value);
    }
    command.args(arguments);
    command.env("TERM", "xterm-256color");
    command.env("NO_COLOR", "1");
    command.env("SHIMWRIGHT_BOOK", place.book());
    command.cwd(place.path(""));
    let mut child = pair.slave.spawn_command(command).unwrap();
    let (send, seen) = channel();
    let mut reader = pair.master.try_clone_reader().unwrap();
    std::thread::spawn(move || {
        let mut bytes = [0; 4096];
        while let Ok(n) = reader.read(&mut bytes) {
            if n == 0 || send.send(bytes[..n].to_vec()).is_err() {
                break;
            }
        }
    });
    let mut keys = pair.master.take_writer().unwrap();
    let mut shown = String::new();
    let mut from = 0;
    for (wait, type_in) in talk {
        from = loop {
            if let Some(at) = shown[from..].find(wait) {
                break from + at + wait.len();
            }
            match seen.recv_timeout(Duration::from_secs(60)) {
                Ok(more) => shown.push_str(&String::from_utf8_lossy(&more)),
                Err(_) => panic!("{wait:?} does not come: {shown}"),
            }
        };
        // it waits here, and the list of processes does not show what was typed before
        #[cfg(target_os = "linux")]
        for list in ["cmdline", "environ"] {
            let seen = fs::read(format!("/proc/{}/{list}", child.process_id().unwrap())).unwrap();
            assert!(!seen.is_empty() && !holds(&seen, PASSPHRASE.as_bytes()), "{list}");
        }
        keys.write_all(type_in.as_bytes()).unwrap();
        keys.flush().unwrap();
    }
    let start = Instant::now();
    let code = loop {
        if let Some(ended) = child.try_wait().unwrap() {
            break ended.exit_code();
        }
        if start.elapsed() > Duration::from_secs(60) {
            child.kill().unwrap();
            panic!("it does not end: {shown}");
        }
        if let Ok(more) = seen.recv_timeout(Duration::from_millis(20)) {
            shown.push_str(&String::from_utf8_lossy(&more));
        }
    };
    drop(pair.slave);
    while let Ok(more) = seen.recv_timeout(Duration::from_millis(300)) {
        shown.push_str(&String::from_utf8_lossy(&more));
    }
    (code, shown)
}

#[test]
fn no_argument_takes_a_passphrase_and_one_that_is_tried_is_not_repeated() {
    let place = unsigned();
    for command in [&["key", "new", "key"][..], &["sign", BUILD, "--key", "keys/ada"]] {
        for tried in ["--passphrase", "--password", "-p"] {
            let ran = place.run(&[command, &["--as", ADA, tried, PASSPHRASE]].concat());
            ran.fails(2, &[]);
            assert!(
                !ran.err.contains(PASSPHRASE) && !ran.out.contains(PASSPHRASE),
                "{}",
                ran.err
            );
        }
    }
    assert!(!place.path("key").exists());
}

#[cfg(target_os = "linux")]
#[test]
fn a_signal_from_outside_gives_the_terminal_back_while_a_passphrase_is_asked_for() {
    const ECHO: u32 = 0o10; // Linux, asm-generic/termbits.h
    for signal in ["-INT", "-QUIT", "-TERM", "-HUP"] {
        let place = unsigned();
        let pair = native_pty_system().openpty(PtySize::default()).unwrap();
        let mut command = CommandBuilder::new(crate::started::program().get_program());
        for (name, value) in crate::started::around() {
            command.env(name, value);
        }
        command.args(["key", "new", "key", "--as", ADA]);
        command.cwd(place.path(""));
        let mut child = pair.slave.spawn_command(command).unwrap();
        let echo = || pair.master.get_termios().unwrap().local_flags.bits() & ECHO != 0;
        let start = Instant::now();
        while echo() {
            assert!(start.elapsed() < Duration::from_secs(60), "it does not ask");
            std::thread::park_timeout(Duration::from_millis(5));
        }
        let pid = child.process_id().unwrap().to_string();
        let sent = std::process::Command::new("kill").args([signal, &pid]).status();
        assert!(sent.unwrap().success());
        assert!(!child.wait().unwrap().success(), "{signal}");
        assert!(echo(), "{signal}");
        assert!(!place.path("key").exists());
    }
}

#[test]
fn a_passphrase_is_typed_unseen() {
    let place = unsigned();
    let typed = format!("{PASSPHRASE}\r");
    let (code, shown) = in_terminal(
        &place,
        &["key", "new", "key", "--as", ADA],
        &[("nothing for none", &typed), ("The same again", &typed)],
    );
    assert_eq!(code, 0, "{shown}");
    assert!(shown.contains("shut by its passphrase"), "{shown}");
    assert!(!shown.contains("three"), "{shown}");
    let (code, shown) = in_terminal(
        &place,
        &["sign", BUILD, "--key", "key", "--as", ADA],
        &[
            ("Sign moor-rear-0001?", "y\r"),
            ("Passphrase of key", "a slip\r"),
            ("does not open", ""),
            ("Passphrase of key", &typed),
        ],
    );
    assert_eq!(code, 0, "{shown}");
    assert!(shown.contains("Signed: moor-rear-0001, seal 1"), "{shown}");
    assert!(!shown.contains("three") && !shown.contains("a slip"), "{shown}");
    // Esc leaves it
    let place = unsigned();
    let (code, shown) = in_terminal(
        &place,
        &["key", "new", "key", "--as", ADA],
        &[("nothing for none", "\u{1b}")],
    );
    assert_eq!(code, 7, "{shown}");
    assert!(!place.path("key").exists());
}

#[test]
fn what_is_typed_while_a_passphrase_is_tried_is_unseen_and_counts_for_the_next_question() {
    let place = unsigned();
    write_private(&place, "pass", &format!("{PASSPHRASE}\n"));
    let made = place.run(&["key", "new", "key", "--as", ADA, "--passphrase-file", "pass"]);
    assert_eq!(made.code, 0, "{}", made.err);
    let typed = format!("{PASSPHRASE}\r");
    // the line end that comes back says that the first one is being tried, which takes a while
    let (code, shown) = in_terminal(
        &place,
        &["sign", BUILD, "--key", "key", "--as", ADA],
        &[
            ("Sign moor-rear-0001?", "y\r"),
            ("Passphrase of key", "a slip\r"),
            ("\n", &typed),
        ],
    );
    assert!(!shown.contains("three") && !shown.contains("a slip"), "{shown}");
    assert!(shown.contains("does not open"), "{shown}");
    assert_eq!(code, 0, "{shown}");
    // what is left at the end goes to nobody: the terminal's next reader is another program
    let place = unsigned();
    let twice = format!("{typed}{PASSPHRASE}\u{7f}n\r{PASSPHRASE}");
    let (code, shown) = in_terminal(
        &place,
        &["key", "new", "key", "--as", ADA],
        &[("nothing for none", &twice)],
    );
    assert_eq!(code, 0, "{shown}");
    assert!(!shown.contains("three"), "{shown}");
}

#[test]
fn a_slip_of_the_two_is_asked_again_and_keys_that_correct_a_line_are_taken() {
    let place = unsigned();
    let (code, shown) = in_terminal(
        &place,
        &["key", "new", "key", "--as", ADA],
        &[
            ("nothing for none", "one\r"),
            ("The same again", "two\r"),
            (
                "two different ones",
                "wrong\u{15}é\u{7f}\u{1b}[200~three\u{1b}[201~!\r",
            ),
            ("The same again", "three!\r"),
        ],
    );
    assert_eq!(code, 0, "{shown}");
    write_private(&place, "pass", "three!\n");
    let signed = place.run(&[
        "sign",
        BUILD,
        "--key",
        "key",
        "--as",
        ADA,
        "--passphrase-file",
        "pass",
    ]);
    assert_eq!(signed.code, 0, "{}", signed.err);
}
