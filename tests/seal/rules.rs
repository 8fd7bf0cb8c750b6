//! Keys that are revoked, and the rule that two people sign.

use crate::sealed::{ADA, BEA, BUILD, allow, check, file, found, sealed, sign, unsigned};
use crate::skipped::skipped;
use crate::ssh::{said, ssh_keygen};
use shimwright::cli::Exit;
use shimwright::seal::Digest;
use std::fs;

/// The public key of a signers' line, as a file of revoked keys has it.
fn key_of(line: &str) -> String {
    let at = line.find("ssh-ed25519").unwrap();
    line[at..].to_string()
}

#[test]
fn a_revoked_key_counts_for_nothing_whatever_time_it_claims_and_bars_no_other() {
    let place = sealed();
    let ada = key_of(&fs::read_to_string(place.path("keys/ada.line")).unwrap());
    let revoked = place.book().join("revoked_keys");
    fs::write(&revoked, format!("# stolen in spring\n{ada}")).unwrap();
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::SealBroken, "{report}");
    let broken = found(&report, "BROKEN");
    assert!(
        broken.contains("seal 1") && broken.contains("the key is revoked"),
        "{broken}"
    );
    assert!(!broken.contains("seal 2"), "{broken}");
    let seals = report["seals"].as_array().unwrap();
    assert_eq!((seals.len(), &seals[0]["name"]), (1, &BEA.into()));
    // ssh-keygen says the same of both
    for (number, name, holds) in [(1, ADA, false), (2, BEA, true)] {
        let signature = file(&place, &format!("seal-{number}.txt.sig"));
        let text = fs::read(file(&place, &format!("seal-{number}.txt"))).unwrap();
        let arguments = [
            "-Y",
            "verify",
            "-f",
            "allowed_signers",
            "-r",
            "revoked_keys",
            "-I",
            name,
            "-n",
            "build@shimwright",
            "-s",
            signature.to_str().unwrap(),
        ];
        if let Some(output) = ssh_keygen(&place.book(), &arguments, &text) {
            assert_eq!(output.status.success(), holds, "{name}: {}", said(&output));
        }
    }
    // nothing new is signed with it
    let ran = sign(&place, "ada");
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.err
            .contains("nothing is signed as Ada Example: the key is revoked"),
        "{}",
        ran.err
    );
    // a key of another kind counts for nothing anyway, and what is no key may have been meant to be one
    fs::write(&revoked, "ssh-rsa AAAAB3NzaC1yc2EAAAADAQABAAAAgQ\n").unwrap();
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::NotProven, "{report}");
    fs::write(&revoked, "Ada Example\n").unwrap();
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::NotProven, "{report}");
    assert!(
        found(&report, "open").contains("revoked_keys, line 1"),
        "{report}"
    );
}

#[test]
fn where_two_persons_sign_one_is_not_enough() {
    let place = unsigned();
    allow(&place, &["ada", "bea"]);
    fs::write(place.book().join("rules"), "# of this shop\ntwo persons\n").unwrap();
    let told = |words: &str, expected: Exit| {
        let (exit, report) = check(&place);
        assert_eq!(exit, expected, "{report}");
        let all = format!("{}{}", found(&report, "open"), found(&report, "holds"));
        assert!(all.contains(words), "{all}");
    };
    let all = || {
        let ran = place.run(&["check", "--all"]);
        ran.out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let only = "open rules: two persons sign, known by the allowed signers; only Ada Example";
    told("nobody whom they know has signed", Exit::NotProven);
    assert!(all().contains("nobody whom they know has signed"), "{}", all());
    let ran = sign(&place, "ada");
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.replace("\n", " ").contains("only Ada Example has signed"),
        "{}",
        ran.out
    );
    told("only Ada Example has signed", Exit::NotProven);
    assert!(all().contains(only), "{}", all());
    assert_eq!(sign(&place, "bea").code, 0);
    told("Ada Example and Bea Example have signed", Exit::Done);
    assert!(!all().contains("two persons"), "{}", all());
    // a line that is no rule, and one that revokes no key, are told once of the whole book
    fs::write(place.book().join("rules"), "two persons\nthree persons\n").unwrap();
    fs::write(place.book().join("revoked_keys"), "Ada Example\n").unwrap();
    for words in ["\"three persons\" is no rule", "revoked_keys, line 1"] {
        assert_eq!(all().matches(words).count(), 1, "{words}: {}", all());
    }
    // one person with two keys is one person, and one who is not known is none
    let place = unsigned();
    allow(&place, &["ada"]);
    let bea = fs::read_to_string(place.path("keys/bea.line")).unwrap();
    let signers = place.book().join("allowed_signers");
    let both = format!(
        "{}{}",
        fs::read_to_string(&signers).unwrap(),
        bea.replace(BEA, ADA)
    );
    fs::write(&signers, both).unwrap();
    fs::write(place.book().join("rules"), "two persons\nthree persons\n").unwrap();
    for key in ["ada", "bea"] {
        assert_eq!(sign(&place, key).code, 0);
    }
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::NotProven, "{report}");
    let open = found(&report, "open");
    assert!(
        open.contains("only Ada Example") && open.contains("three persons"),
        "{open}"
    );
}

#[test]
fn a_seal_says_who_was_who_and_another_file_is_told_as_that() {
    let place = sealed();
    let signers = place.book().join("allowed_signers");
    let then = fs::read_to_string(&signers).unwrap();
    // sha256sum(1) is the other hand, where it is there
    let ours = format!("signers {}", Digest::of(then.as_bytes()));
    for number in [1, 2] {
        let text = fs::read_to_string(file(&place, &format!("seal-{number}.txt"))).unwrap();
        assert!(text.lines().any(|line| line == ours), "{text}");
    }
    if let Ok(sum) = std::process::Command::new("sha256sum").arg(&signers).output() {
        let sum = String::from_utf8_lossy(&sum.stdout).into_owned();
        assert!(ours.ends_with(&sum[..64]), "{ours}: {sum}");
    } else {
        skipped("sha256sum is not here: the digest of who is who was not held against it");
    }
    let told = |words: Option<&str>| {
        let (exit, report) = check(&place);
        assert_eq!(exit, Exit::Done, "{report}");
        let notes = found(&report, "note");
        assert_eq!(notes.contains("allowed_signers"), words.is_some(), "{notes}");
        assert!(notes.contains(words.unwrap_or("")), "{notes}");
    };
    told(None);
    // one person more changes nothing of what was signed, and is told
    fs::write(&signers, format!("{then}# one more\n")).unwrap();
    told(Some(
        "seals 1 and 2: the book's file allowed_signers is another one now",
    ));
    fs::write(&signers, &then).unwrap();
    told(None);
    // a book without one: whose the keys are is not known, and that there was one is
    fs::remove_file(&signers).unwrap();
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::NotProven, "{report}");
    assert!(
        found(&report, "note").contains("allowed_signers is not there any more"),
        "{report}"
    );
    // a seal made where there is none says nothing of it
    let place = unsigned();
    let ran = place.run(&[
        "sign",
        BUILD,
        "--key",
        place.path("keys/ada").to_str().unwrap(),
        "--as",
        ADA,
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let text = fs::read_to_string(file(&place, "seal-1.txt")).unwrap();
    assert!(!text.contains("\nsigners "), "{text}");
    allow(&place, &["ada"]);
    let (exit, report) = check(&place);
    assert_eq!(exit, Exit::Done, "{report}");
    assert!(!found(&report, "note").contains("allowed_signers"), "{report}");
}

#[test]
fn what_is_signed_is_shown_before_it_is() {
    let place = unsigned();
    allow(&place, &["ada", "bea"]);
    let shown = sign(&place, "ada").err;
    let digest = check(&place).1["digest"].as_str().unwrap()[..4].to_string();
    for words in [
        &format!("To be signed: {BUILD}"),
        "  unit   Moor rear",
        "FORCE",
        "  remarks ",
        "  record lines 1 to",
        &digest,
    ] {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    assert!(!shown.contains("  signed "), "{shown}");
    let shown = sign(&place, "bea").err;
    assert!(
        shown.contains("  signed seal 1, Ada Example, time claimed"),
        "{shown}"
    );
}
