//! The formulas of the differential, one subject a file.
