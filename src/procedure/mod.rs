//! Procedures and the engine: a pure state machine whose state is the fold of its entries.
