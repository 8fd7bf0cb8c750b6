//! Against `ssh-keygen`, both ways. Where it is not installed, a word is printed instead.

use crate::place::Place;
use crate::sealed::{ADA, BEA, BUILD, allow, check, copy, file, sealed, unsigned};
use crate::skipped::skipped;
use shimwright::cli::Exit;
use shimwright::record::Statement;

const NAMESPACE: &str = Statement::NAMESPACE;
use shimwright::seal::{SealError, Secret, SigningKey, verify};
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

/// Runs ssh-keygen in a folder with a text on its standard input; nothing where there is no such program.
pub fn ssh_keygen(folder: &Path, arguments: &[&str], input: &[u8]) -> Option<Output> {
    use std::io::Write;
    let started = Command::new("ssh-keygen")
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn();
    let mut child = match started {
        Ok(child) => child,
        Err(error) => {
            skipped(&format!("ssh-keygen does not check a seal: {error}"));
            return None;
        }
    };
    // one that refuses its arguments does not read
    let _ = child.stdin.take().unwrap().write_all(input);
    Some(child.wait_with_output().unwrap())
}

pub fn said(output: &Output) -> String {
    format!(
        "{}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    )
}

/// A key of a kind, made by ssh-keygen.
fn made(place: &Place, kind: &str, passphrase: &str) -> Option<()> {
    let arguments = ["-q", "-t", kind, "-N", passphrase, "-C", "invented", "-f", "key"];
    let output = ssh_keygen(&place.path(""), &arguments, b"")?;
    assert!(output.status.success(), "{}", said(&output));
    Some(())
}

#[test]
fn ssh_keygen_verifies_our_seals_and_finds_them_altered() {
    let place = sealed();
    for (number, name) in [(1, ADA), (2, BEA)] {
        let text = fs::read(file(&place, &format!("seal-{number}.txt"))).unwrap();
        let signature = file(&place, &format!("seal-{number}.txt.sig"));
        let verify = |namespace: &str, name: &str, text: &[u8]| {
            let arguments = [
                "-Y",
                "verify",
                "-f",
                "allowed_signers",
                "-I",
                name,
                "-n",
                namespace,
                "-s",
                signature.to_str().unwrap(),
            ];
            ssh_keygen(&place.book(), &arguments, text)
        };
        let Some(output) = verify(NAMESPACE, name, &text) else {
            return;
        };
        assert!(output.status.success(), "{}", said(&output));
        assert!(
            said(&output).contains("Good \"build@shimwright\" signature"),
            "{}",
            said(&output)
        );
        let mut other = text.clone();
        other[30] ^= 1;
        assert!(!verify(NAMESPACE, name, &other).unwrap().status.success());
        assert!(!verify("file", name, &text).unwrap().status.success());
        assert!(!verify(NAMESPACE, "Cay Example", &text).unwrap().status.success());
    }
}

#[test]
fn what_ssh_keygen_signs_is_verified_here_and_is_the_same_to_the_byte() {
    let place = Place::new();
    let Some(()) = made(&place, "ed25519", "") else {
        return;
    };
    let key = SigningKey::read(&Secret::new(fs::read(place.path("key")).unwrap())).unwrap();
    for text in [&b"as measured\n"[..], b"", &[0xff; 5000]] {
        let sign = |more: &[&str]| {
            let arguments = [&["-Y", "sign", "-f", "key", "-n", NAMESPACE], more].concat();
            let output = ssh_keygen(&place.path(""), &arguments, text).unwrap();
            assert!(output.status.success(), "{}", said(&output));
            String::from_utf8(output.stdout).unwrap()
        };
        let theirs = sign(&[]);
        assert_eq!(verify(NAMESPACE, text, &theirs), Ok(key.public()));
        assert_eq!(key.sign(NAMESPACE, text).unwrap(), theirs);
        // the other hash that the format has
        assert_eq!(
            verify(NAMESPACE, text, &sign(&["-O", "hashalg=sha256"])),
            Ok(key.public())
        );
        assert_eq!(
            verify(NAMESPACE, b"as guessed", &theirs),
            Err(SealError::DoesNotFit)
        );
        assert!(matches!(
            verify("file", text, &theirs),
            Err(SealError::OtherNamespace { .. })
        ));
    }
}

#[test]
fn a_key_of_ssh_keygen_with_a_passphrase_signs_a_build() {
    let place = unsigned();
    let Some(()) = made(&place, "ed25519", "two thou of backlash") else {
        return;
    };
    let arguments = ["sign", BUILD, "--key", "key", "--as", "Cay Example"];
    place
        .run(&arguments)
        .fails(2, &["is shut by a passphrase", "--passphrase-file"]);
    write_private(&place, "wrong", "two thou\n");
    let ran = place.run(&[&arguments[..], &["--passphrase-file", "wrong"]].concat());
    ran.fails(3, &["the passphrase does not open"]);
    write_private(&place, "right", "two thou of backlash\nand nothing else\n");
    let ran = place.run(&[&arguments[..], &["--passphrase-file", "right"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(check(&place).0, Exit::NotProven);
    // the line that `key line` prints makes it known
    let line = place.run(&["key", "line", "key", "--as", "Cay Example"]).out;
    fs::write(place.book().join("allowed_signers"), line).unwrap();
    assert_eq!(check(&place).0, Exit::Done);
}

pub fn write_private(place: &Place, name: &str, text: &str) {
    let path = place.write(name, text);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        fs::set_permissions(&path, fs::Permissions::from_mode(0o600)).unwrap();
    }
}

#[test]
fn a_key_made_here_opens_with_its_passphrase_in_ssh_keygen() {
    let place = Place::new();
    write_private(&place, "pass", "two thou of backlash\n");
    let ran = place.run(&["key", "new", "key", "--as", ADA, "--passphrase-file", "pass"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let open = |passphrase: &str| ssh_keygen(&place.path(""), &["-y", "-P", passphrase, "-f", "key"], b"");
    let Some(output) = open("two thou of backlash") else {
        return;
    };
    assert!(output.status.success(), "{}", said(&output));
    let public: Vec<String> = said(&output)
        .split_whitespace()
        .take(2)
        .map(str::to_string)
        .collect();
    assert!(ran.out.contains(&public.join(" ")), "{}\n{public:?}", ran.out);
    assert!(!open("two thou").unwrap().status.success());
}

#[test]
fn keys_and_signatures_of_other_kinds_are_named() {
    for (kind, name) in [("rsa", "ssh-rsa"), ("ecdsa", "ecdsa")] {
        let place = unsigned();
        let Some(()) = made(&place, kind, "") else {
            return;
        };
        let ran = place.run(&["sign", BUILD, "--key", "key", "--as", ADA]);
        ran.fails(3, &["key: it is a key of the kind", name, "only ssh-ed25519"]);
        place
            .run(&["sign", BUILD, "--key", "key.pub", "--as", ADA])
            .fails(3, &["key.pub"]);
        let arguments = ["-Y", "sign", "-f", "key", "-n", NAMESPACE];
        let output = ssh_keygen(&place.path(""), &arguments, b"x").unwrap();
        let theirs = String::from_utf8(output.stdout).unwrap();
        let refused = verify(NAMESPACE, b"x", &theirs).unwrap_err();
        assert!(matches!(refused, SealError::OtherSignature { .. }), "{refused:?}");
        assert!(refused.to_string().contains(name), "{refused}");
    }
}

#[test]
fn options_of_allowed_signers_mean_what_they_mean_to_ssh_keygen() {
    let place = unsigned();
    allow(&place, &["ada"]);
    assert_eq!(crate::sealed::sign(&place, "ada").code, 0);
    let plain = fs::read_to_string(place.book().join("allowed_signers")).unwrap();
    let names = plain.split(" ssh").next().unwrap().to_string();
    let text = fs::read(file(&place, "seal-1.txt")).unwrap();
    let signature = file(&place, "seal-1.txt.sig");
    for (names, options) in [
        (names.as_str(), ""),
        (names.as_str(), "namespaces=\"build@shimwright\" "),
        (names.as_str(), "namespaces=\"build@*,file\" "),
        (names.as_str(), "namespaces=\"file\" "),
        (names.as_str(), "namespaces=\"!build@shimwright,*\" "),
        (names.as_str(), "cert-authority "),
        (names.as_str(), "valid-after=\"20200101\" "),
        (names.as_str(), "valid-after=\"29990101\" "),
        (names.as_str(), "valid-before=\"299912312359\" "),
        (names.as_str(), "valid-before=\"20200101000000Z\" "),
        (
            names.as_str(),
            "valid-after=\"20200101Z\",valid-before=\"29991231Z\",namespaces=\"*\" ",
        ),
        ("\"Ada *\"", ""),
        ("\"Ada ?xample\"", ""),
        ("\"*,!Ada Example\"", ""),
        ("\"!Bea Example,*\"", ""),
        ("Ada", ""),
        ("\"ada example\"", ""),
    ] {
        let line = plain.replacen("\"Ada Example\" ", &format!("{names} {options}"), 1);
        fs::write(place.book().join("allowed_signers"), &line).unwrap();
        let arguments = [
            "-Y",
            "verify",
            "-f",
            "allowed_signers",
            "-I",
            ADA,
            "-n",
            NAMESPACE,
            "-s",
            signature.to_str().unwrap(),
        ];
        let Some(output) = ssh_keygen(&place.book(), &arguments, &text) else {
            return;
        };
        let (exit, report) = check(&place);
        assert_eq!(
            exit == Exit::Done,
            output.status.success(),
            "{line}{}\n{report}",
            said(&output)
        );
    }
}

#[test]
fn a_seal_made_by_hand_with_ssh_keygen_holds() {
    let place = unsigned();
    copy(&unsigned().path("keys"), &place.path("keys"));
    allow(&place, &["ada", "bea"]);
    assert_eq!(crate::sealed::sign(&place, "ada").code, 0);
    // the same bytes signed by the same key elsewhere: Ed25519 gives the same signature
    let arguments = ["-Y", "sign", "-f", "../../keys/ada", "-n", NAMESPACE];
    let text = fs::read(file(&place, "seal-1.txt")).unwrap();
    let Some(output) = ssh_keygen(&place.book().join(BUILD), &arguments, &text) else {
        return;
    };
    assert!(output.status.success(), "{}", said(&output));
    assert_eq!(output.stdout, fs::read(file(&place, "seal-1.txt.sig")).unwrap());
}
