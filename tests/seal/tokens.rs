//! Time-stamp tokens beside seals, made by another program: `openssl ts`, which is the other hand for RFC 3161.

use crate::place::{Place, Ran};
use crate::sealed::{BUILD, allow, check, file, found, sign, unsigned};
use crate::skipped::skipped;
use shimwright::cli::Exit;
use shimwright::seal::{TimeCertificates, TokenError};
use std::fs;
use std::path::Path;
use std::process::Command;

/// What certificates are made by, and what tokens are; the names are invented.
const CONFIG: &str = "
[req]
distinguished_name = name
prompt = no
[name]
CN = Invented Root
[root]
basicConstraints = critical,CA:TRUE
keyUsage = critical,keyCertSign
[stamp]
extendedKeyUsage = critical,timeStamping
[loose]
extendedKeyUsage = timeStamping
[two]
extendedKeyUsage = critical,timeStamping,codeSigning
[none]
basicConstraints = CA:FALSE
[tsa]
default_tsa = one
[one]
serial = serial
default_policy = 1.3.6.1.4.1.99999.1
digests = sha256, sha384, sha512
signer_digest = sha256
accuracy = secs:1, millisecs:500
ess_cert_id_chain = no
ess_cert_id_alg = sha256
clock_precision_digits = 3
";

fn openssl(folder: &Path, words: &str) -> Option<bool> {
    let ran = Command::new("openssl")
        .args(words.split_whitespace())
        .current_dir(folder)
        .output();
    match ran {
        Ok(output) => Some(output.status.success()),
        Err(error) => {
            skipped(&format!("openssl makes no time-stamp token: {error}"));
            None
        }
    }
}

fn must(folder: &Path, words: &str) {
    assert_eq!(openssl(folder, words), Some(true), "openssl {words}");
}

/// A root and certificates of it: `name.key` and `name.crt`, from a section of the configuration.
fn certificate(folder: &Path, name: &str, kind: &str, section: &str, more: &str) {
    let key = match kind {
        "rsa" => "genpkey -algorithm RSA -pkeyopt rsa_keygen_bits:2048".to_string(),
        curve => format!("genpkey -algorithm EC -pkeyopt ec_paramgen_curve:{curve}"),
    };
    must(folder, &format!("{key} -out {name}.key"));
    if section == "root" {
        must(
            folder,
            &format!(
                "req -new -x509 -key {name}.key -out {name}.crt -config c.cnf -extensions root -subj /CN={name} -days 3000"
            ),
        );
    } else {
        must(
            folder,
            &format!("req -new -key {name}.key -out {name}.csr -config c.cnf -subj /CN={name}"),
        );
        must(
            folder,
            &format!(
                "x509 -req -in {name}.csr -CA root.crt -CAkey root.key -set_serial 7{} -out {name}.crt -extfile c.cnf -extensions {section} {more}",
                name.len()
            ),
        );
    }
}

/// A token over a file by a certificate; an answer of whoever gives times, as it comes.
fn token(folder: &Path, over: &str, name: &str, out: &str, more: &str) {
    must(
        folder,
        &format!("ts -query -data {over} -sha256 -cert -out {out}.tsq -config c.cnf {more}"),
    );
    must(
        folder,
        &format!(
            "ts -reply -queryfile {out}.tsq -config c.cnf -signer {name}.crt -inkey {name}.key -chain root.crt -out {out}"
        ),
    );
}

/// A place with roots and certificates; nothing where there is no openssl.
fn authority() -> Option<Place> {
    let place = Place::new();
    let folder = place.path("");
    place.write("c.cnf", CONFIG);
    place.write("serial", "01\n");
    openssl(&folder, "version")?;
    certificate(&folder, "root", "rsa", "root", "");
    certificate(&folder, "stamps", "rsa", "stamp", "-days 2000");
    Some(place)
}

#[test]
fn a_token_is_held_to_its_bytes_its_signature_and_its_certificate() {
    let Some(place) = authority() else {
        return;
    };
    let folder = place.path("");
    place.write("signature", "the bytes of a seal's signature\n");
    place.write("other", "the bytes of another one\n");
    let trusted = |name: &str| TimeCertificates::read(&fs::read(place.path(name)).unwrap()).unwrap();
    let bytes = |name: &str| fs::read(place.path(name)).unwrap();
    let judged = |by: &str, token: &str, over: &str| trusted(by).check(&bytes(token), &bytes(over));
    token(&folder, "signature", "stamps", "good.tsr", "");
    // openssl says the same
    must(
        &folder,
        "ts -verify -data signature -in good.tsr -CAfile root.crt",
    );
    let time = judged("root.crt", "good.tsr", "signature").unwrap();
    assert_eq!(
        (time.by.as_str(), time.accuracy_us),
        ("CN=stamps", Some(1_500_000))
    );
    assert!(time.at.ends_with('Z') && time.at.len() > 20, "{}", time.at);
    // by the certificate itself, as DER, as a bare token without its answer, in a bundle, and without what is in it
    must(&folder, "x509 -in root.crt -outform DER -out root.der");
    must(&folder, "ts -reply -in good.tsr -token_out -out bare.tsr");
    fs::write(
        place.path("both.crt"),
        [bytes("stamps.crt"), bytes("root.crt")].concat(),
    )
    .unwrap();
    for (by, token) in [
        ("stamps.crt", "good.tsr"),
        ("root.der", "good.tsr"),
        ("root.crt", "bare.tsr"),
        ("both.crt", "bare.tsr"),
    ] {
        assert_eq!(judged(by, token, "signature").as_ref(), Ok(&time), "{by} {token}");
    }
    // other hashes and other kinds of keys
    for (name, kind) in [("curve", "P-256"), ("longer", "P-384")] {
        certificate(&folder, name, kind, "stamp", "-days 2000");
        token(&folder, "signature", name, "curve.tsr", "-sha512");
        let time = judged("root.crt", "curve.tsr", "signature").unwrap();
        assert_eq!(time.by, format!("CN={name}"));
    }
    // of other bytes
    assert_eq!(
        openssl(&folder, "ts -verify -data other -in good.tsr -CAfile root.crt"),
        Some(false)
    );
    assert_eq!(
        judged("root.crt", "good.tsr", "other"),
        Err(TokenError::OtherBytes)
    );
    // by a root that has the same name and another key, and by one that has nothing to do with it
    fs::create_dir(place.path("again")).unwrap();
    place.write("again/c.cnf", CONFIG);
    certificate(&place.path("again"), "root", "rsa", "root", "");
    certificate(&folder, "stranger", "rsa", "root", "");
    for by in ["again/root.crt", "stranger.crt", "curve.crt"] {
        assert_eq!(
            judged(by, "good.tsr", "signature"),
            Err(TokenError::NotTrusted("CN=stamps".into())),
            "{by}"
        );
    }
    // certificates that are not for giving times, or not for that alone, and one that had run out: `openssl ts` makes no token
    // with such a one, `openssl cms` does
    certificate(&folder, "late", "P-256", "stamp", "-days 0");
    for section in ["loose", "two", "none", "stamp"] {
        certificate(&folder, section, "P-256", section, "-days 2000");
    }
    std::thread::sleep(std::time::Duration::from_millis(1100));
    token(&folder, "signature", "stamps", "later.tsr", "");
    must(&folder, "ts -reply -in later.tsr -token_out -out later.cms");
    must(
        &folder,
        "cms -verify -noverify -inform DER -in later.cms -binary -out said",
    );
    let by_hand = |name: &str| {
        must(
            &folder,
            &format!(
                "cms -sign -binary -nodetach -cades -econtent_type 1.2.840.113549.1.9.16.1.4 -in said -signer {name}.crt -inkey {name}.key -outform DER -out hand.tsr"
            ),
        );
        judged("root.crt", "hand.tsr", "signature")
    };
    assert_eq!(by_hand("stamp").unwrap().by, "CN=stamp");
    for section in ["loose", "two", "none"] {
        assert_eq!(
            by_hand(section),
            Err(TokenError::NotForTimes(format!("CN={section}")))
        );
    }
    let refused = by_hand("late").unwrap_err();
    assert!(
        matches!(&refused, TokenError::OutOfTime { name, .. } if name == "CN=late"),
        "{refused}"
    );
    // one without its certificate, which then has to be given
    must(
        &folder,
        "ts -query -data signature -sha256 -out plain.tsq -config c.cnf",
    );
    must(
        &folder,
        "ts -reply -queryfile plain.tsq -config c.cnf -signer stamps.crt -inkey stamps.key -out plain.tsr",
    );
    assert_eq!(
        judged("root.crt", "plain.tsr", "signature"),
        Err(TokenError::NoCertificate)
    );
    assert!(judged("stamps.crt", "plain.tsr", "signature").is_ok());
    // cut anywhere and changed anywhere
    let whole = bytes("good.tsr");
    let by = trusted("root.crt");
    for end in (0..whole.len()).step_by(37).chain([whole.len() - 1]) {
        assert!(by.check(&whole[..end], &bytes("signature")).is_err(), "{end}");
    }
    for at in (0..whole.len()).step_by(11) {
        let mut other = whole.clone();
        other[at] ^= 1;
        if let Ok(read) = by.check(&other, &bytes("signature")) {
            // what stands in the answer round the token is not signed, nor are certificates that nothing rests on
            assert_eq!(read, time, "{at}");
        }
    }
    assert_eq!(by.check(b"", b""), Err(TokenError::NotAToken));
    assert!(
        TimeCertificates::read(b"-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n").is_err()
    );
    assert!(TimeCertificates::read(b"").is_err());
}

#[test]
fn a_token_beside_a_seal_is_told_as_its_time() {
    let Some(place) = authority() else {
        return;
    };
    let folder = place.path("");
    let built = unsigned();
    allow(&built, &["ada", "bea"]);
    fs::remove_file(file(&built, "sheet.pdf")).unwrap();
    for key in ["ada", "bea"] {
        assert_eq!(sign(&built, key).code, 0);
    }
    for name in ["root", "stamps"] {
        fs::copy(
            place.path(&format!("{name}.crt")),
            built.path(&format!("{name}.crt")),
        )
        .unwrap();
    }
    for number in [1, 2] {
        fs::copy(
            file(&built, &format!("seal-{number}.txt.sig")),
            place.path("signature"),
        )
        .unwrap();
        token(&folder, "signature", "stamps", &format!("{number}.tsr"), "");
    }
    fs::copy(place.path("1.tsr"), file(&built, "seal-1.tsr")).unwrap();
    // without a certificate it is told as of the seal, its time is not looked at, and nothing is said against the build
    let (exit, report) = check(&built);
    assert_eq!(exit, Exit::Done, "{report}");
    assert!(
        found(&report, "note").contains("seal-1.tsr is a token over it, whose time was not checked"),
        "{report}"
    );
    let plain = |ran: Ran| {
        (
            ran.code,
            ran.out.split_whitespace().collect::<Vec<_>>().join(" "),
            ran.err,
        )
    };
    let with = |certificate: &str| plain(built.run(&["check", BUILD, "--time-certificate", certificate]));
    let all = |more: &[&str]| plain(built.run(&[&["check", "--all"], more].concat()));
    let by_root = ["--time-certificate", "root.crt"];
    let told = |ran: (i32, String, String), code: i32, words: &[&str]| {
        // the instruments of the demonstration have run out, which is told by 12
        assert!([code, 12].contains(&ran.0), "{} {} {}", ran.0, ran.1, ran.2);
        for words in words {
            assert!(ran.1.contains(words), "{words}: {}", ran.1);
        }
        ran.1
    };
    let said = told(
        all(&[]),
        0,
        &[
            "note its times by others: 1 token (RFC 3161) beside 2 seals; no time was checked: give --time-certificate FILE",
        ],
    );
    assert!(!said.contains("open seal"), "{said}");
    told(
        all(&by_root),
        0,
        &[
            "holds its times by others: 1 token (RFC 3161) beside 2 seals; proved by the certificates in root.crt: 1",
        ],
    );
    let (code, said, _) = with("root.crt");
    assert_eq!(code, 0, "{said}");
    assert!(
        said.contains("seal 1: time by a token of CN=stamps: 20")
            && said.contains("give or take 1.5 s; it was signed by then"),
        "{said}"
    );
    assert!(
        said.contains("seal 2: time claimed by the signer only; no token lies beside it"),
        "{said}"
    );
    // another seal's token
    fs::copy(place.path("2.tsr"), file(&built, "seal-1.tsr")).unwrap();
    let (code, said, _) = with("root.crt");
    assert_eq!(code, 12, "{said}");
    assert!(
        said.contains("seal-1.tsr proves nothing: it is of other bytes"),
        "{said}"
    );
    // that it is of other bytes is seen without a certificate too
    let (exit, report) = check(&built);
    assert_eq!(exit, Exit::NotProven, "{report}");
    assert!(
        found(&report, "open").contains("seal-1.tsr proves nothing: it is of other bytes"),
        "{report}"
    );
    for more in [&[][..], &by_root] {
        told(
            all(more),
            12,
            &["seal-1.tsr proves nothing: it is of other bytes"],
        );
    }
    told(
        all(&by_root),
        12,
        &[
            "note its times by others: 1 token (RFC 3161) beside 2 seals; proved by the certificates in root.crt: 0",
        ],
    );
    // no token, and one of a seal that is not there
    fs::write(file(&built, "seal-1.tsr"), b"a token").unwrap();
    fs::copy(place.path("1.tsr"), file(&built, "seal-3.tsr")).unwrap();
    let (code, said, _) = with("root.crt");
    assert_eq!(code, 12, "{said}");
    assert!(
        said.contains("it is no time-stamp token")
            && said.contains("seal 3: seal-3.tsr is a token of it, and it is not there"),
        "{said}"
    );
    told(
        all(&[]),
        12,
        &[
            "it is no time-stamp token",
            "seal 3: seal-3.tsr is a token of it, and it is not there",
        ],
    );
    for (code, _, err) in [with("keys/ada"), all(&["--time-certificate", "keys/ada"])] {
        assert_eq!(code, 3, "{err}");
        assert!(err.contains("it is no X.509 certificate"), "{err}");
    }
}
