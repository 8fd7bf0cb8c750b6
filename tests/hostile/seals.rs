//! What a seal and a sheet bring back: statements, signatures, keys, who is who, and the text of the code on paper.

use crate::drawing::read_all;
use crate::good::{ANSWERS, INSTRUMENTS, UNIT};
use crate::readers::read_as;
use shimwright::cli::{Exit, checked};
use shimwright::quantity::hides;
use shimwright::record::{OffPaper, PaperText, Statement};
use shimwright::seal::{Digest, Moment, PublicKey, Secret, Signers, SigningKey, verify};
use shimwright::workshop::Glossary;

/// A key made for the test, and a statement signed with it.
fn signed() -> (SigningKey, String, String) {
    let key = SigningKey::random().unwrap();
    let statement = Statement {
        build: "moor-rear-0001".into(),
        lines: 2,
        journal: Digest::of(b"{}\n{}\n"),
        files: [("unit.toml".into(), Digest::of(UNIT.as_bytes()))].into(),
        log: None,
        signers: None,
        name: "Ada Example".into(),
        time: "2026-05-09T12:00:00Z".into(),
    };
    let (text, signature) = statement.sign(&key).unwrap();
    (key, text, signature)
}

#[test]
fn no_statement_is_read_that_was_written_in_another_way() {
    let (_, text, _) = signed();
    read_all("statement", &[&text], |text| read_as("statement", text));
}

#[test]
fn no_signature_that_was_spoilt_holds() {
    let (key, text, signature) = signed();
    let plain = |text: &str| text.split_whitespace().collect::<String>();
    read_all("signature", &[&signature], |spoilt| {
        match verify(Statement::NAMESPACE, text.as_bytes(), spoilt) {
            // only white space may differ
            Ok(by) => {
                assert_eq!(by, key.public());
                assert_eq!(plain(spoilt), plain(&signature));
            }
            // it may name what the signature says it was made for, as it stands there: who shows it makes it visible
            Err(error) => assert!(!error.to_string().is_empty()),
        }
    });
    read_all("signed text", &[&text], |spoilt| {
        assert_eq!(
            verify(Statement::NAMESPACE, spoilt.as_bytes(), &signature).is_ok(),
            spoilt == text
        );
    });
}

#[test]
fn no_text_makes_the_reading_of_keys_or_of_who_is_who_panic() {
    let (key, _, _) = signed();
    let file = key.to_file("invented", None).unwrap();
    let private = String::from_utf8(file.bytes().to_vec()).unwrap();
    let line = key.public().signers_line("Ada Example");
    let dated = line.replacen(
        " ssh-",
        " namespaces=\"build@shimwright\",valid-after=\"20260101Z\",valid-before=\"20270101\" ssh-",
        1,
    );
    read_all("keys", &[&private, &line], |text| {
        if let Ok(read) = SigningKey::read(&Secret::new(text.as_bytes().to_vec())) {
            let _ = read.locked();
            let _ = read.unlock(&Secret::new(b"invented".to_vec()));
        }
        let _ = PublicKey::read(text);
    });
    let at = Moment {
        utc: "20260509120000".into(),
        local: "20260509140000".into(),
    };
    read_all("signers", &[&line, &dated], |text| {
        let signers = Signers::read(text);
        let _ = signers.name_of(&key.public(), Statement::NAMESPACE, &at);
        let _ = signers.standing(&key.public(), "Ada Example", Statement::NAMESPACE, &at);
        assert!(
            signers
                .faults()
                .iter()
                .all(|fault| fault.line >= 1 && !fault.words.is_empty())
        );
    });
}

/// The text of a code with figures of each kind; the digest is invented.
fn code() -> String {
    format!(
        "SHIMWRIGHT1 B:MOOR-REAR-0001 U:MOOR+REAR D:2026-05-09 N:2 S:{} FACES:6/6 ROOM:6.105MM BREAK:43.2NM",
        "0".repeat(64)
    )
}

#[test]
fn no_text_of_a_sheet_makes_the_check_panic_or_passes_a_control_character() {
    let code = code();
    let digits = Digest::of(b"invented").groups();
    let book = tempfile::tempdir().unwrap();
    let other = code.replace("MOOR-REAR-0001", "../../MOOR-REAR-0001");
    let marks = code.replace("MOOR+REAR", "\u{1b}[2J\u{202e}\u{200b}");
    let long = format!("{code}{}", " KEY:VALUE".repeat(200));
    let right = PaperText::read(&code).unwrap();
    read_all("paper", &[&code, &digits, &other, &marks, &long], |text| {
        read_as("paper", text);
        if let Ok(OffPaper::Code(read)) = OffPaper::read(text) {
            let _ = read.against(&right, true);
        }
        let words = ["--book", book.path().to_str().unwrap(), "--paper"];
        // a dash alone is the standard input, and one before other letters an option
        if text.starts_with('-') {
            return;
        }
        let (exit, words) = checked(words.into_iter().chain([text]).map(Into::into)).unwrap_err();
        assert!(
            [Exit::Usage, Exit::NotFound, Exit::BadFile].contains(&exit),
            "{exit:?}: {words}"
        );
        let through = words.chars().find(|c| hides(*c) && *c != '\n');
        assert_eq!(through, None, "{text:?}: {words:?}");
    });
}

#[test]
fn a_figure_with_two_points_or_two_values_does_not_agree() {
    let right = PaperText::read(&code()).unwrap();
    let moved = PaperText::read(&code().replace("6.105MM", "61.0.5MM")).unwrap();
    assert_eq!(moved.against(&right, true).len(), 1);
    assert!(PaperText::read(&format!("{} BREAK:99.9NM", code())).is_err());
}

#[test]
fn no_text_makes_the_reading_of_a_setting_or_of_words_panic() {
    const WORDS: &str = include_str!("../../procedures/words.toml");
    let short = &WORDS[..WORDS.len().min(4_000)];
    let short = &short[..short.rfind("\n[[").unwrap_or(short.len())];
    read_all("setting", &[UNIT, INSTRUMENTS, ANSWERS], |text| {
        read_as("setting", text);
    });
    read_all("words", &[short], |text| {
        read_as("words", text);
        let _ = Glossary::stock().find(text);
    });
}
