//! What is written down: unit, drawer, instruments, readings, the build. Reading and writing of TOML and JSON lives only here.
