//! What is known of a plate once it has been judged.

use crate::metrology::{LengthSummary, Measured, Verdict};
use crate::quantity::Length;
use std::cell::RefCell;
use std::collections::HashMap;

/// Plates that have been judged, with the second measurement taken in or not: a question asks for them many times.
pub(super) type KnownPlates = RefCell<HashMap<(String, bool), PlateFacts>>;

/// What is known of a plate.
#[derive(Clone)]
pub(super) struct PlateFacts {
    pub measured: Option<Measured>,
    pub figures: Option<LengthSummary>,
    pub readings: Vec<Length>,
    pub flatness: Option<Length>,
    pub look: Option<String>,
    pub verdict: Option<Verdict>,
    pub probability: Option<f64>,
    /// The verdict on its least thickness alone.
    pub thickness: Option<Verdict>,
    pub reason: String,
    pub rejected: bool,
}

impl PlateFacts {
    /// The greatest reading less the least; a single reading has none.
    pub fn spread(&self) -> Option<Length> {
        let figures = self.figures.filter(|figures| figures.count > 1)?;
        Some(figures.spread)
    }
}
