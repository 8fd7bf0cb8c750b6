//! The `shimwright` command.

fn main() {}
