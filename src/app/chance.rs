//! A number that nobody can foretell.

use std::hash::{BuildHasher, Hasher, RandomState};

/// A number that nobody can foretell.
pub(crate) fn drawn_number() -> u64 {
    RandomState::new().build_hasher().finish()
}
