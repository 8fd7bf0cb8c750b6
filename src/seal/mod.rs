//! Digests and signatures over bytes; it does not know what it seals.
//!
//! A [`Digest`] is the SHA-256 of some bytes (FIPS 180-4), written as 64 hexadecimal digits, so that anyone can check
//! it with the tools that every system brings along. Two people compare one by voice with [`Digest::groups`].
//!
//! A [`SigningKey`] is a private key in a file of OpenSSH; what it makes is an armoured signature in the format of
//! OpenSSH (PROTOCOL.sshsig), which `ssh-keygen -Y verify` checks as well as [`verify`] does. Signed is a namespace
//! and the bytes, through SHA-512. A [`Signers`] says whose a key is, from a file of the kind that ssh-keygen(1) calls
//! allowed signers, and [`Rotated`] that one key took the place of another. Ed25519 (RFC 8032) is the one kind of key
//! here; the others are named and refused in words.
//!
//! A [`TimeCertificates`] checks time-stamp tokens (RFC 3161) that somebody else made over bytes.
//!
//! A private key and its passphrase stand only in a [`Secret`], which prints as nothing and is wiped when it is
//! dropped.
//!
//! A new kind of key would be read in `key` and told apart there; what is signed is for the floors above.

mod certificate;
mod digest;
mod error;
mod key;
mod rotated;
mod secret;
mod signature;
mod signers;
mod standing;
mod time_token;

pub use digest::{Digest, DigestError, RunningDigest};
pub use error::SealError;
pub use key::{PublicKey, SigningKey};
pub use rotated::{Judged, Rotated};
pub use secret::Secret;
pub use signature::verify;
pub use signers::{SignerFault, Signers};
pub use standing::{Moment, Standing};
pub use time_token::{TimeCertificates, TokenError, TokenTime, is_token_of};
