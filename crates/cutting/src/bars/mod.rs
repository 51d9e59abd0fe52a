//! Cutting bars: pieces of given lengths from stock of given lengths, for the least money (or the least length where a
//! price is missing).

use serde::Serialize;

/// A piece to cut.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BarPiece {
    /// Label.
    pub label: String,
    /// Length, mm.
    pub length_mm: f64,
}

/// A length that can be bought or is at hand.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BarStock {
    /// Name.
    pub name: String,
    /// Length, mm.
    pub length_mm: f64,
    /// How many there are; `None`: as many as needed.
    pub available: Option<usize>,
    /// Price of one; an offcut at hand is 0. When any stock has no price, length is what counts.
    pub price: Option<f64>,
}

/// What is to be cut from what.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BarOrder {
    /// Pieces, one entry each.
    pub pieces: Vec<BarPiece>,
    /// Stock.
    pub stock: Vec<BarStock>,
    /// Width of a saw cut, mm; the last cut of a bar is free.
    pub kerf_mm: f64,
}

/// A bar with its pieces.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CutBar {
    /// Which stock, by its place in the order.
    pub stock: usize,
    /// Its pieces, longest first, by their places in the order.
    pub pieces: Vec<usize>,
    /// What is left, mm.
    pub offcut_mm: f64,
}

/// Bars cut alike.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BarPattern {
    /// Which stock, by its place in the order.
    pub stock: usize,
    /// How many bars are cut so.
    pub count: usize,
    /// Lengths of the pieces, longest first, mm.
    pub lengths_mm: Vec<f64>,
    /// What is left of each, mm.
    pub offcut_mm: f64,
}

/// How to cut the bars.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BarPlan {
    /// Bars, fullest first.
    pub bars: Vec<CutBar>,
    /// The same, bars cut alike together.
    pub patterns: Vec<BarPattern>,
    /// Whether costs are prices; else they are lengths in mm.
    pub cost_is_price: bool,
    /// Cost of the stock taken.
    pub cost: f64,
    /// No plan can cost less than this.
    pub least_cost: f64,
    /// Whether the plan is known to be as cheap as any.
    pub proved_optimal: bool,
}
