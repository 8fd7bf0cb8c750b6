//! X.509 certificates of those who give times: which are trusted, which one signed another, and what a key signed.

use der::asn1::{ObjectIdentifier, UintRef};
use der::{Decode, Encode, Reader, SliceReader};
use num_bigint::BigUint;
use p256::ecdsa::signature::hazmat::PrehashVerifier;
use sha2::{Digest as _, Sha256, Sha384, Sha512};
use x509_cert::Certificate;
use x509_cert::ext::pkix::{BasicConstraints, ExtendedKeyUsage};
use x509_cert::spki::{AlgorithmIdentifierOwned, SubjectPublicKeyInfoOwned};

const RSA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.1.1");
const EC: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.10045.2.1");
const P256: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.10045.3.1.7");
const P384: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.132.0.34");
/// What a certificate may be used for that gives times (RFC 3161, section 2.3).
const TIME_STAMPING: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.6.1.5.5.7.3.8");
/// The longest key of RSA that is taken, in bits; a longer one takes ever longer to check.
const MOST_RSA_BITS: u64 = 8192;
/// The shortest: one of fewer bits is broken in time.
const LEAST_RSA_BITS: u64 = 2048;

/// A hash that a signature or a token may be made over.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Hash {
    Sha256,
    Sha384,
    Sha512,
}

impl Hash {
    /// The hash of an algorithm of its own (NIST CSOR).
    pub(super) fn of(algorithm: &AlgorithmIdentifierOwned) -> Option<Hash> {
        match algorithm.oid.to_string().as_str() {
            "2.16.840.1.101.3.4.2.1" => Some(Hash::Sha256),
            "2.16.840.1.101.3.4.2.2" => Some(Hash::Sha384),
            "2.16.840.1.101.3.4.2.3" => Some(Hash::Sha512),
            _ => None,
        }
    }

    /// The hash inside an algorithm that signs (RFC 8017, RFC 5758); that of RSA alone is said beside it.
    fn signed_with(algorithm: &AlgorithmIdentifierOwned, beside: Option<Hash>) -> Option<Hash> {
        match algorithm.oid.to_string().as_str() {
            "1.2.840.113549.1.1.1" => beside,
            "1.2.840.113549.1.1.11" | "1.2.840.10045.4.3.2" => Some(Hash::Sha256),
            "1.2.840.113549.1.1.12" | "1.2.840.10045.4.3.3" => Some(Hash::Sha384),
            "1.2.840.113549.1.1.13" | "1.2.840.10045.4.3.4" => Some(Hash::Sha512),
            _ => None,
        }
    }

    pub(super) fn digest(self, bytes: &[u8]) -> Vec<u8> {
        match self {
            Hash::Sha256 => Sha256::digest(bytes).to_vec(),
            Hash::Sha384 => Sha384::digest(bytes).to_vec(),
            Hash::Sha512 => Sha512::digest(bytes).to_vec(),
        }
    }

    /// What stands before the digest in a signature of RSA (RFC 8017, section 9.2, note 1).
    fn rsa_prefix(self) -> [u8; 19] {
        let (last, whole, bytes) = match self {
            Hash::Sha256 => (1, 0x31, 32),
            Hash::Sha384 => (2, 0x41, 48),
            Hash::Sha512 => (3, 0x51, 64),
        };
        [
            0x30, whole, 0x30, 0x0d, 0x06, 0x09, 0x60, 0x86, 0x48, 0x01, 0x65, 0x03, 0x04, 0x02, last, 0x05,
            0x00, 0x04, bytes,
        ]
    }
}

/// Why a signature of a certificate's key does not count.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum NotSigned {
    /// A kind of key, of curve or of hash that is not read here.
    OtherKind,
    /// Other bytes, or another key.
    DoesNotFit,
}

/// Makes sure that the key of a certificate signed bytes.
pub(super) fn signed_by(
    key: &SubjectPublicKeyInfoOwned,
    (algorithm, beside): (&AlgorithmIdentifierOwned, Option<Hash>),
    bytes: &[u8],
    signature: &[u8],
) -> Result<(), NotSigned> {
    let hash = Hash::signed_with(algorithm, beside).ok_or(NotSigned::OtherKind)?;
    let digest = hash.digest(bytes);
    let public = key.subject_public_key.as_bytes().ok_or(NotSigned::DoesNotFit)?;
    let of_rsa = algorithm.oid.to_string().starts_with("1.2.840.113549.");
    let fits = if key.algorithm.oid == RSA && of_rsa {
        rsa_fits(public, hash, &digest, signature)?
    } else if key.algorithm.oid == EC && !of_rsa {
        match key.algorithm.parameters.as_ref().map(|curve| curve.decode_as()) {
            Some(Ok(P256)) => {
                let key = p256::ecdsa::VerifyingKey::from_sec1_bytes(public);
                let signature = p256::ecdsa::Signature::from_der(signature);
                matches!((key, signature), (Ok(key), Ok(signature)) if key.verify_prehash(&digest, &signature).is_ok())
            }
            Some(Ok(P384)) => {
                let key = p384::ecdsa::VerifyingKey::from_sec1_bytes(public);
                let signature = p384::ecdsa::Signature::from_der(signature);
                matches!((key, signature), (Ok(key), Ok(signature)) if key.verify_prehash(&digest, &signature).is_ok())
            }
            _ => return Err(NotSigned::OtherKind),
        }
    } else {
        return Err(NotSigned::OtherKind);
    };
    fits.then_some(()).ok_or(NotSigned::DoesNotFit)
}

/// Whether a signature of RSA (PKCS #1, version 1.5) is over a digest: the whole block is made and compared, nothing of it
/// is read.
///
/// Source: RFC 8017, sections 8.2.2 and 9.2.
fn rsa_fits(public: &[u8], hash: Hash, digest: &[u8], signature: &[u8]) -> Result<bool, NotSigned> {
    let read = |bytes| {
        let mut reader = SliceReader::new(bytes)?;
        let numbers = reader.sequence(|inner| Ok((UintRef::decode(inner)?, UintRef::decode(inner)?)))?;
        reader.finish(numbers)
    };
    let (modulus, exponent) = read(public).map_err(|_: der::Error| NotSigned::DoesNotFit)?;
    let (modulus, exponent) = (
        BigUint::from_bytes_be(modulus.as_bytes()),
        BigUint::from_bytes_be(exponent.as_bytes()),
    );
    if !(LEAST_RSA_BITS..=MOST_RSA_BITS).contains(&modulus.bits()) || exponent.bits() > 32 {
        return Err(NotSigned::OtherKind);
    }
    let length = modulus.bits().div_ceil(8) as usize;
    let signed = BigUint::from_bytes_be(signature);
    if signature.len() != length || signed >= modulus {
        return Ok(false);
    }
    let prefix = hash.rsa_prefix();
    let mut block = vec![0xff; length];
    let tail = length - prefix.len() - digest.len();
    block[0] = 0;
    block[1] = 1;
    block[tail - 1] = 0;
    block[tail..tail + prefix.len()].copy_from_slice(&prefix);
    block[tail + prefix.len()..].copy_from_slice(digest);
    Ok(signed.modpow(&exponent, &modulus) == BigUint::from_bytes_be(&block))
}

/// Whether one certificate signed another, by its name and by its key.
pub(super) fn issued(issuer: &Certificate, other: &Certificate) -> bool {
    let Ok(body) = other.tbs_certificate.to_der() else {
        return false;
    };
    let signature = other.signature.as_bytes().unwrap_or_default();
    issuer.tbs_certificate.subject == other.tbs_certificate.issuer
        && other.signature_algorithm == other.tbs_certificate.signature
        && signed_by(
            &issuer.tbs_certificate.subject_public_key_info,
            (&other.signature_algorithm, None),
            &body,
            signature,
        )
        .is_ok()
}

/// Whether a certificate may sign others.
pub(super) fn is_authority(certificate: &Certificate) -> bool {
    matches!(certificate.tbs_certificate.get::<BasicConstraints>(), Ok(Some((_, basic))) if basic.ca)
}

/// Whether a certificate is for giving times, and for nothing else, and says so in a way that nobody may pass over.
pub(super) fn is_for_times(certificate: &Certificate) -> bool {
    matches!(certificate.tbs_certificate.get::<ExtendedKeyUsage>(), Ok(Some((true, usage))) if usage.0 == [TIME_STAMPING])
}

/// Whether a certificate is valid at a time, in seconds since 1970; from when to when it is, in words, where it is not.
pub(super) fn valid_at(certificate: &Certificate, seconds: u64) -> Result<(), String> {
    let validity = &certificate.tbs_certificate.validity;
    let (from, to) = (validity.not_before, validity.not_after);
    match (from.to_unix_duration().as_secs()..=to.to_unix_duration().as_secs()).contains(&seconds) {
        true => Ok(()),
        false => Err(format!(
            "valid from {} to {}",
            from.to_date_time(),
            to.to_date_time()
        )),
    }
}
