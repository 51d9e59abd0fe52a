//! Cutting sheets: rectangles from sheets by straight cuts, each from edge to edge of what it cuts.

use serde::Serialize;

/// The four sides of a rectangle as it lies in its own frame: length to the right, width up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[expect(clippy::struct_excessive_bools, reason = "a rectangle has four sides, each is or is not")]
pub struct Sides {
    /// At x = 0.
    pub left: bool,
    /// At x = length.
    pub right: bool,
    /// At y = 0.
    pub bottom: bool,
    /// At y = width.
    pub top: bool,
}

impl Sides {
    /// No side.
    pub const NONE: Self = Self { left: false, right: false, bottom: false, top: false };
    /// All four.
    pub const ALL: Self = Self { left: true, right: true, bottom: true, top: true };
}

/// A piece to cut, or the rectangle round it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetPiece {
    /// Label.
    pub label: String,
    /// Length, mm (to the right in its own frame).
    pub length_mm: f64,
    /// Width, mm (up in its own frame).
    pub width_mm: f64,
    /// Whether it may be laid with its length along the sheet's width. Turning it end for end is always allowed.
    pub may_turn: bool,
    /// Sides that must be sides of the board as it came from the factory.
    pub factory_edges: Sides,
}

/// A sheet that can be bought or an offcut at hand.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetStock {
    /// Name.
    pub name: String,
    /// Length, mm.
    pub length_mm: f64,
    /// Width, mm.
    pub width_mm: f64,
    /// How many there are; `None`: as many as needed.
    pub available: Option<usize>,
    /// Price of one; an offcut at hand is 0. When any stock has no price, area is what counts.
    pub price: Option<f64>,
    /// Which of its sides are as they came from the factory: all of a bought sheet's, few of an offcut's.
    pub factory_edges: Sides,
}

/// What is to be cut from what.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetOrder {
    /// Pieces, one entry each.
    pub pieces: Vec<SheetPiece>,
    /// Stock.
    pub stock: Vec<SheetStock>,
    /// Width of a saw cut, mm; 0 for scoring and snapping.
    pub kerf_mm: f64,
}

/// How a piece lies on its sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Turn {
    /// As in its own frame.
    None,
    /// A quarter turn counter-clockwise: its left side lies at the bottom.
    Quarter,
    /// End for end.
    Half,
    /// Three quarter turns counter-clockwise: its left side lies at the top.
    ThreeQuarter,
}

/// Where a piece lies on its sheet.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Placement {
    /// Piece, by its place in the order.
    pub piece: usize,
    /// Left side, mm from the sheet's left.
    pub x_mm: f64,
    /// Lower side, mm from the sheet's bottom.
    pub y_mm: f64,
    /// Extent to the right as laid, mm.
    pub length_mm: f64,
    /// Extent up as laid, mm.
    pub width_mm: f64,
    /// How it is turned.
    pub turn: Turn,
}

/// A straight cut, in the order of cutting; the saw takes the kerf to the right of or above the line.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Cut {
    /// Where it starts, mm from the left.
    pub from_x_mm: f64,
    /// Where it starts, mm from the bottom.
    pub from_y_mm: f64,
    /// Where it ends, mm from the left.
    pub to_x_mm: f64,
    /// Where it ends, mm from the bottom.
    pub to_y_mm: f64,
}

/// A rectangle left over.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Offcut {
    /// Left side, mm.
    pub x_mm: f64,
    /// Lower side, mm.
    pub y_mm: f64,
    /// Extent to the right, mm.
    pub length_mm: f64,
    /// Extent up, mm.
    pub width_mm: f64,
    /// Which of its sides are as they came from the factory.
    pub factory_edges: Sides,
}

/// A sheet with its pieces.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CutSheet {
    /// Which stock, by its place in the order.
    pub stock: usize,
    /// Pieces on it.
    pub placements: Vec<Placement>,
    /// Cuts in order.
    pub cuts: Vec<Cut>,
    /// What is left, largest first.
    pub offcuts: Vec<Offcut>,
}

/// How to cut the sheets.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetPlan {
    /// Sheets.
    pub sheets: Vec<CutSheet>,
    /// Whether costs are prices; else they are areas in mm².
    pub cost_is_price: bool,
    /// Cost of the stock taken.
    pub cost: f64,
    /// No plan can cost less than this.
    pub least_cost: f64,
    /// Whether the plan is known to be as cheap as any.
    pub proved_optimal: bool,
    /// Total length of all cuts, mm.
    pub cut_length_mm: f64,
}
