//! Where a number comes from.

use serde::Serialize;

/// Stands on every sheet that shows a load or a timber check.
pub const STRUCTURAL_CAUTION: &str =
    "A guide, not a structural design: a structural engineer confirms it before anything is hung.";

/// What was used and where it is published, for printing under a calculation.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Basis {
    /// What was taken: a factor, a formula, a rule.
    pub what: String,
    /// Standard and clause, paper and equation, or *common practice*.
    pub source: String,
}

impl Basis {
    /// A line of the list of sources.
    pub fn new(what: impl Into<String>, source: impl Into<String>) -> Self {
        Self { what: what.into(), source: source.into() }
    }
}
