//! Digests over bytes; it does not know what it seals.
//!
//! A [`Digest`] is the SHA-256 of some bytes (FIPS 180-4), written as 64 hexadecimal digits, so that anyone can check
//! it with the tools that every system brings along. Two people compare one by voice with [`Digest::groups`].

mod digest;

pub use digest::{Digest, DigestError};
