//! Time-stamp tokens: that bytes were there at a time, by the word of somebody whose certificate is at hand.

use super::certificate::{Hash, NotSigned, is_authority, is_for_times, issued, signed_by, valid_at};
use cms::cert::CertificateChoices;
use cms::content_info::ContentInfo;
use cms::signed_data::{SignedData, SignerIdentifier, SignerInfo};
use der::asn1::{AnyRef, ObjectIdentifier, OctetStringRef};
use der::{DateTime, Decode, Encode, Reader, SliceReader, Tag, TagNumber, Tagged};
use x509_cert::Certificate;
use x509_cert::ext::pkix::SubjectKeyIdentifier;
use x509_cert::spki::AlgorithmIdentifierOwned;

const SIGNED_DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.2");
const TOKEN: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.1.4");
const CONTENT_TYPE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.3");
const MESSAGE_DIGEST: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.4");
const SIGNING_CERTIFICATE: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.12");
const SIGNING_CERTIFICATE_2: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.47");
/// The most certificates between the one that signed and one that is trusted.
const MOST_BETWEEN: usize = 5;

/// Why a token proves nothing.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum TokenError {
    /// Bytes that are no certificate.
    #[error("it is no X.509 certificate, in PEM or DER")]
    NotACertificate,
    /// Bytes that are no token, or not all of one.
    #[error("it is no time-stamp token of RFC 3161 in DER, or it is cut or damaged")]
    NotAToken,
    /// An answer that holds no token.
    #[error("it is the answer of somebody who refused to give a time")]
    Refused,
    /// Something of the standard that is not read here.
    #[error("{0} is of a kind that is not read here")]
    OtherKind(&'static str),
    /// A token over something else.
    #[error("it is of other bytes: another seal's, or this one was changed")]
    OtherBytes,
    /// A token whose signature does not hold.
    #[error("its signature does not hold: it was altered, or another key signed it")]
    NotSigned,
    /// The certificate that signed is not there.
    #[error("the certificate that signed it is neither in it nor the one that was given")]
    NoCertificate,
    /// A certificate that is not for this.
    #[error(
        "the certificate of {0} is not for giving times (extended key usage timeStamping, critical and alone)"
    )]
    NotForTimes(String),
    /// A certificate that was not valid then.
    #[error("the certificate of {name} was not valid at that time, {at}: it is {words}")]
    OutOfTime {
        /// Whose it is.
        name: String,
        /// The time of the token.
        at: String,
        /// From when to when it is valid.
        words: String,
    },
    /// No trusted certificate stands behind it.
    #[error("{0} signed it, whom the given certificate neither is nor vouches for")]
    NotTrusted(String),
}

/// Certificates that are trusted to give times, or to vouch for those who do.
///
/// It reads PEM, one certificate after the other, or DER.
#[derive(Clone, Debug)]
pub struct TimeCertificates(Vec<Certificate>);

/// What a token says that holds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TokenTime {
    /// The time, in UTC as RFC 3339 text, with the parts of a second that it has.
    pub at: String,
    /// Whose certificate signed it.
    pub by: String,
    /// By how many millionths of a second the time may be off, where the token says it.
    pub accuracy_us: Option<u64>,
    /// The same in whole seconds since 1970.
    pub seconds: i64,
}

impl TimeCertificates {
    /// Reads certificates.
    ///
    /// # Errors
    ///
    /// [`TokenError::NotACertificate`].
    pub fn read(bytes: &[u8]) -> Result<TimeCertificates, TokenError> {
        let read = match bytes.starts_with(b"-----BEGIN") {
            true => Certificate::load_pem_chain(bytes),
            false => Certificate::from_der(bytes).map(|one| vec![one]),
        };
        match read {
            Ok(all) if !all.is_empty() => Ok(TimeCertificates(all)),
            _ => Err(TokenError::NotACertificate),
        }
    }

    /// Checks a token over bytes without a network: that it is of just these bytes, that a certificate signed it which is
    /// for giving times and was valid then, and that this is one of these, or that one of these vouches for it.
    ///
    /// What a revocation would say is not known here, for that wants a network.
    ///
    /// Source: RFC 3161, section 2.4.2; RFC 5652, section 5.4; RFC 5280, section 6.1, of which names, keys and times are
    /// looked at.
    ///
    /// # Errors
    ///
    /// [`TokenError`]: why it proves nothing.
    pub fn check(&self, token: &[u8], bytes: &[u8]) -> Result<TokenTime, TokenError> {
        let signed = signed_data(token)?;
        let (content, said) = said_of(&signed, bytes)?;
        let [signer] = signed.signer_infos.0.as_slice() else {
            return Err(TokenError::OtherKind("its number of signatures"));
        };
        let inside: Vec<&Certificate> = signed
            .certificates
            .iter()
            .flat_map(|set| set.0.iter())
            .filter_map(|one| match one {
                CertificateChoices::Certificate(one) => Some(one),
                CertificateChoices::Other(_) => None,
            })
            .collect();
        let mut all = inside.iter().copied().chain(&self.0);
        let certificate = all
            .find(|one| is_named(one, &signer.sid))
            .ok_or(TokenError::NoCertificate)?;
        signature_holds(signer, certificate, content.as_bytes())?;
        let name = |one: &Certificate| one.tbs_certificate.subject.to_string();
        if !is_for_times(certificate) {
            return Err(TokenError::NotForTimes(name(certificate)));
        }
        let chain = self
            .chain(certificate, &inside)
            .ok_or_else(|| TokenError::NotTrusted(name(certificate)))?;
        for one in chain {
            valid_at(one, said.seconds).map_err(|words| TokenError::OutOfTime {
                name: name(one),
                at: said.at.clone(),
                words,
            })?;
        }
        Ok(TokenTime {
            at: said.at,
            by: name(certificate),
            accuracy_us: said.accuracy_us,
            seconds: said.seconds as i64,
        })
    }

    /// The certificates from the one that signed to one that is trusted.
    fn chain<'a>(
        &'a self,
        signer: &'a Certificate,
        inside: &[&'a Certificate],
    ) -> Option<Vec<&'a Certificate>> {
        let mut chain = vec![signer];
        while let Some(last) = chain.last().copied() {
            if self.0.contains(last) {
                return Some(chain);
            }
            if let Some(trusted) = self.0.iter().find(|one| is_authority(one) && issued(one, last)) {
                chain.push(trusted);
                return Some(chain);
            }
            let next = inside
                .iter()
                .copied()
                .find(|one| !chain.contains(one) && is_authority(one) && issued(one, last));
            if chain.len() > MOST_BETWEEN {
                return None;
            }
            chain.push(next?);
        }
        None
    }
}

/// Makes sure that a token is over just these bytes, by whomever it is: that wants no certificate, and says nothing of whether
/// its time is true.
///
/// Source: RFC 3161, section 2.4.2, `messageImprint`.
///
/// # Errors
///
/// [`TokenError::NotAToken`], [`TokenError::Refused`], [`TokenError::OtherKind`], [`TokenError::OtherBytes`].
pub fn is_token_of(token: &[u8], bytes: &[u8]) -> Result<(), TokenError> {
    said_of(&signed_data(token)?, bytes).map(|_| ())
}

/// What is signed in a token, and what it says, where it is over just these bytes.
fn said_of<'a>(signed: &'a SignedData, bytes: &[u8]) -> Result<(OctetStringRef<'a>, Said), TokenError> {
    let content = signed.encap_content_info.econtent.as_ref();
    let content = content.filter(|_| signed.encap_content_info.econtent_type == TOKEN);
    let content = content.ok_or(TokenError::NotAToken)?;
    let content: OctetStringRef<'_> = content.decode_as().map_err(|_| TokenError::NotAToken)?;
    let said = Said::read(content.as_bytes()).map_err(|_| TokenError::NotAToken)?;
    let hash = Hash::of(&said.hash).ok_or(TokenError::OtherKind("its hash"))?;
    match hash.digest(bytes) == said.imprint {
        true => Ok((content, said)),
        false => Err(TokenError::OtherBytes),
    }
}

/// The signed data of a token, or of the answer that holds one.
fn signed_data(bytes: &[u8]) -> Result<SignedData, TokenError> {
    let not = |_: der::Error| TokenError::NotAToken;
    let mut reader = SliceReader::new(bytes).map_err(not)?;
    let outer = AnyRef::decode(&mut reader).map_err(not)?;
    reader.finish(()).map_err(not)?;
    // an answer begins with its state, which is a sequence; a token with the kind of its content
    let inner = SliceReader::new(outer.value()).map_err(not)?;
    let info = match inner.peek_tag() {
        Ok(Tag::Sequence) => {
            let mut inner = inner;
            let state = AnyRef::decode(&mut inner).map_err(not)?;
            let mut state = SliceReader::new(state.value()).map_err(not)?;
            // 0 and 1 are the two that come with a token
            if u8::decode(&mut state).map_err(not)? > 1 {
                return Err(TokenError::Refused);
            }
            let info = ContentInfo::decode(&mut inner).map_err(not)?;
            inner.finish(()).map_err(not)?;
            info
        }
        _ => ContentInfo::from_der(bytes).map_err(not)?,
    };
    match info.content_type == SIGNED_DATA {
        true => info.content.decode_as().map_err(not),
        false => Err(TokenError::NotAToken),
    }
}

/// Whether a certificate is the one that a signature names.
fn is_named(certificate: &Certificate, by: &SignerIdentifier) -> bool {
    let body = &certificate.tbs_certificate;
    match by {
        SignerIdentifier::IssuerAndSerialNumber(named) => {
            named.issuer == body.issuer && named.serial_number == body.serial_number
        }
        SignerIdentifier::SubjectKeyIdentifier(named) => {
            matches!(body.get::<SubjectKeyIdentifier>(), Ok(Some((_, own))) if own == *named)
        }
    }
}

/// Makes sure that the certificate's key signed what is said of the content, and that this is of the content.
fn signature_holds(signer: &SignerInfo, certificate: &Certificate, content: &[u8]) -> Result<(), TokenError> {
    let hash = Hash::of(&signer.digest_alg).ok_or(TokenError::OtherKind("its hash"))?;
    let said = signer.signed_attrs.as_ref().ok_or(TokenError::NotAToken)?;
    let one = |kind: ObjectIdentifier| {
        let mut of_kind = said.iter().filter(|said| said.oid == kind);
        match (of_kind.next(), of_kind.next()) {
            (Some(only), None) => only.values.get(0).filter(|_| only.values.len() == 1),
            _ => None,
        }
    };
    let digest: Option<OctetStringRef<'_>> = one(MESSAGE_DIGEST).and_then(|value| value.decode_as().ok());
    let kind: Option<ObjectIdentifier> = one(CONTENT_TYPE).and_then(|value| value.decode_as().ok());
    let names_its_own = one(SIGNING_CERTIFICATE).is_some() || one(SIGNING_CERTIFICATE_2).is_some();
    let (Some(digest), Some(TOKEN), true) = (digest, kind, names_its_own) else {
        return Err(TokenError::NotAToken);
    };
    if digest.as_bytes() != hash.digest(content) {
        return Err(TokenError::NotSigned);
    }
    if let Some(value) = one(SIGNING_CERTIFICATE_2) {
        let named = first_certificate(value.value()).map_err(|_| TokenError::NotAToken)?;
        let (hash, named) = named.ok_or(TokenError::OtherKind("its hash"))?;
        let own = certificate.to_der().map_err(|_| TokenError::NotAToken)?;
        if hash.digest(&own) != named {
            return Err(TokenError::NotSigned);
        }
    }
    let bytes = said.to_der().map_err(|_| TokenError::NotAToken)?;
    let key = &certificate.tbs_certificate.subject_public_key_info;
    let algorithm = (&signer.signature_algorithm, Some(hash));
    signed_by(key, algorithm, &bytes, signer.signature.as_bytes()).map_err(|why| match why {
        NotSigned::OtherKind => TokenError::OtherKind("its signature"),
        NotSigned::DoesNotFit => TokenError::NotSigned,
    })
}

/// The digest of the certificate that signed, of a list that begins with it (RFC 5816, section 2.2.1): a sequence of
/// sequences, in each the hash, SHA-256 where none is said, and the digest.
fn first_certificate(list: &[u8]) -> der::Result<Option<(Hash, Vec<u8>)>> {
    let certificates = AnyRef::decode(&mut SliceReader::new(list)?)?;
    let first = AnyRef::decode(&mut SliceReader::new(certificates.value())?)?;
    let mut first = SliceReader::new(first.value())?;
    let hash = match first.peek_tag() {
        Ok(Tag::Sequence) => Hash::of(&AlgorithmIdentifierOwned::decode(&mut first)?),
        _ => Some(Hash::Sha256),
    };
    let digest = OctetStringRef::decode(&mut first)?.as_bytes().to_vec();
    Ok(hash.map(|hash| (hash, digest)))
}

/// What a token says (TSTInfo of RFC 3161).
struct Said {
    hash: AlgorithmIdentifierOwned,
    imprint: Vec<u8>,
    at: String,
    seconds: u64,
    accuracy_us: Option<u64>,
}

impl Said {
    fn read(bytes: &[u8]) -> der::Result<Said> {
        let mut outer = SliceReader::new(bytes)?;
        let said = outer.sequence(|inner| {
            let version = u8::decode(inner)?;
            ObjectIdentifier::decode(inner)?;
            let (hash, imprint) = inner.sequence(|inner| {
                Ok((
                    AlgorithmIdentifierOwned::decode(inner)?,
                    OctetStringRef::decode(inner)?.as_bytes().to_vec(),
                ))
            })?;
            let serial = AnyRef::decode(inner)?;
            let time = AnyRef::decode(inner)?;
            if version != 1 || serial.tag() != Tag::Integer || time.tag() != Tag::GeneralizedTime {
                return Err(Tag::Sequence.value_error());
            }
            let (at, seconds) = moment(time.value()).ok_or_else(|| Tag::GeneralizedTime.value_error())?;
            let mut accuracy_us = None;
            while !inner.is_finished() {
                let part = AnyRef::decode(inner)?;
                if part.tag() == Tag::Sequence {
                    accuracy_us = Some(accuracy_of(part.value())?);
                }
            }
            Ok(Said {
                hash,
                imprint,
                at,
                seconds,
                accuracy_us,
            })
        })?;
        outer.finish(said)
    }
}

/// A time as `YYYYMMDDhhmmss[.f]Z`: as RFC 3339 text, and in seconds since 1970.
fn moment(text: &[u8]) -> Option<(String, u64)> {
    let text = std::str::from_utf8(text).ok()?.strip_suffix('Z')?;
    let (whole, part) = text
        .split_once('.')
        .map_or((text, None), |(whole, part)| (whole, Some(part)));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if whole.len() != 14 || !digits(whole) || part.is_some_and(|part| !digits(part) || part.len() > 9) {
        return None;
    }
    let number = |from: usize, to: usize| whole.get(from..to)?.parse::<u8>().ok();
    let year = whole.get(..4)?.parse().ok()?;
    let (month, day) = (number(4, 6)?, number(6, 8)?);
    let (hour, minute, second) = (number(8, 10)?, number(10, 12)?, number(12, 14)?);
    let time = DateTime::new(year, month, day, hour, minute, second).ok()?;
    let part = part.map(|part| format!(".{part}")).unwrap_or_default();
    let at = format!("{year:04}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}{part}Z");
    Some((at, time.unix_duration().as_secs()))
}

/// By how many millionths of a second a time may be off: of seconds, thousandths in [0], millionths in [1] those that are
/// there.
fn accuracy_of(bytes: &[u8]) -> der::Result<u64> {
    let mut reader = SliceReader::new(bytes)?;
    let mut sum: u64 = 0;
    while !reader.is_finished() {
        let part = AnyRef::decode(&mut reader)?;
        let unit = match part.tag() {
            Tag::Integer => 1_000_000,
            Tag::ContextSpecific {
                number: TagNumber::N0,
                ..
            } => 1_000,
            Tag::ContextSpecific {
                number: TagNumber::N1,
                ..
            } => 1,
            other => return Err(other.value_error()),
        };
        let number = part.value().iter().fold(0_u64, |sum, byte| {
            sum.saturating_mul(256).saturating_add(u64::from(*byte))
        });
        sum = sum.saturating_add(number.saturating_mul(unit));
    }
    Ok(sum)
}
