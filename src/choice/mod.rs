//! The exact choice of plates and shims, with its alternatives.
