//! Arguments, wiring, exit codes, error reports.
