//! The choice of plates and shims against a plain search through everything, and its promises one by one.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod against_brute_force;
mod cases;
mod facts;
mod whole_size;
