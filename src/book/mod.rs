//! Where records are kept: shelf, journal, whole files, locks, recovery.
