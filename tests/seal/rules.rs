//! Keys that are revoked, and the rule that two people sign.

use crate::sealed::{ADA, BEA, BUILD, allow, check, file, found, sealed, sign, unsigned};
use crate::ssh::{said, ssh_keygen};
use shimwright::cli::Exit;
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
    told("nobody whom they know has signed", Exit::NotProven);
    let ran = sign(&place, "ada");
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.replace("\n", " ").contains("only Ada Example has signed"),
        "{}",
        ran.out
    );
    told("only Ada Example has signed", Exit::NotProven);
    assert_eq!(sign(&place, "bea").code, 0);
    told("Ada Example and Bea Example have signed", Exit::Done);
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
