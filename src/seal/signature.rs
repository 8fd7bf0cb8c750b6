//! Signing bytes, and the check of a signature.

use super::error::SealError;
use super::key::{PublicKey, other_kind};
use ssh_key::{Algorithm, LineEnding, SshSig};

/// Checks an armoured signature over bytes for a namespace, and gives the key that made it. Whose key that is, is
/// another question: see [`Signers`](super::Signers).
///
/// Source: PROTOCOL.sshsig of OpenSSH. The hash is the one that the signature names, SHA-256 or SHA-512; there are no
/// others.
///
/// # Errors
///
/// [`SealError::NotASignature`], [`SealError::OtherSignature`], [`SealError::OtherNamespace`], [`SealError::Newer`],
/// [`SealError::DoesNotFit`].
pub fn verify(namespace: &str, bytes: &[u8], armoured: &str) -> Result<PublicKey, SealError> {
    let signature = SshSig::from_pem(armoured).map_err(|error| match (other_kind(&error), error) {
        (Some(kind), _) => SealError::OtherSignature { kind },
        (None, ssh_key::Error::Version { .. }) => SealError::Newer,
        _ => SealError::NotASignature,
    })?;
    // the library takes some lengths that are not what they say: the text must be the one that it would write, but for
    // line ends
    let again = signature
        .to_pem(LineEnding::LF)
        .map_err(|_| SealError::NotASignature)?;
    if !same_but_white_space(&again, armoured) {
        return Err(SealError::NotASignature);
    }
    if signature.version() != SshSig::VERSION || !signature.reserved().is_empty() {
        return Err(SealError::Newer);
    }
    let key = PublicKey::known(signature.public_key()).map_err(|error| match error {
        SealError::OtherKind { kind } => SealError::OtherSignature { kind },
        other => other,
    })?;
    if signature.algorithm() != Algorithm::Ed25519 {
        return Err(SealError::OtherSignature {
            kind: signature.algorithm().to_string(),
        });
    }
    if signature.namespace() != namespace {
        return Err(SealError::OtherNamespace {
            found: signature.namespace().to_string(),
            wanted: namespace.to_string(),
        });
    }
    let public = ssh_key::PublicKey::from(signature.public_key().clone());
    public
        .verify(namespace, bytes, &signature)
        .map_err(|_| SealError::DoesNotFit)?;
    Ok(key)
}

fn same_but_white_space(one: &str, other: &str) -> bool {
    let shown = |text| str::bytes(text).filter(|byte| !byte.is_ascii_whitespace());
    shown(one).eq(shown(other))
}

#[cfg(test)]
mod tests {
    use super::super::key::SigningKey;
    use super::*;
    use proptest::prelude::*;

    fn key() -> SigningKey {
        SigningKey::from_seed(&[9; 32]).unwrap()
    }

    #[test]
    fn a_length_that_is_not_what_it_says_is_refused() {
        // the length of the public key, 0x33, with a bit more in front: ssh-keygen refuses it too
        let made = key().sign("n", b"").unwrap();
        let turned = made.replacen("AAAAAQAAADM", "AAAAAQACADM", 1);
        assert_ne!(turned, made);
        assert_eq!(verify("n", b"", &turned), Err(SealError::NotASignature));
    }

    #[test]
    fn a_signature_for_something_else_is_refused() {
        let made = key().sign("build@invented", b"bytes").unwrap();
        assert_eq!(verify("build@invented", b"bytes", &made), Ok(key().public()));
        assert_eq!(
            verify("file", b"bytes", &made),
            Err(SealError::OtherNamespace {
                found: "build@invented".into(),
                wanted: "file".into()
            })
        );
        assert_eq!(
            verify("build@invented", b"byte", &made),
            Err(SealError::DoesNotFit)
        );
        assert_eq!(verify("build@invented", b"", ""), Err(SealError::NotASignature));
    }

    proptest! {
        /// Each bit of a signature counts: none can be turned over without its being found.
        #[test]
        fn a_signature_with_one_bit_turned_over_is_refused(bytes in proptest::collection::vec(any::<u8>(), 0..80), at in any::<proptest::sample::Index>(), bit in 0..8_u32) {
            let made = key().sign("n", &bytes).unwrap();
            let mut turned = made.clone().into_bytes();
            let at = at.index(turned.len());
            turned[at] ^= 1_u8 << bit;
            let turned = String::from_utf8_lossy(&turned).into_owned();
            // white space of another kind holds the same signature
            let same = same_but_white_space(&turned, &made);
            prop_assert!(same || verify("n", &bytes, &turned).is_err(), "{}", turned);
        }

        #[test]
        fn any_text_is_read_without_a_panic(text in "\\PC{0,200}") {
            prop_assert!(verify("n", b"", &text).is_err());
            let armoured = format!("-----BEGIN SSH SIGNATURE-----\n{text}\n-----END SSH SIGNATURE-----\n");
            prop_assert!(verify("n", b"", &armoured).is_err());
        }
    }
}
