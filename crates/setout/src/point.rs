//! Points of the plan.

use serde::Serialize;

/// A point on the plan \[mm\].
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Point {
    /// To the right \[mm\].
    pub x: f64,
    /// Up the sheet \[mm\].
    pub y: f64,
}

impl Point {
    /// The point `x`, `y`.
    pub fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
}
