//! Cutting sheets: rectangles from sheets by straight cuts, each from edge to edge of what it cuts.

mod board;
mod bounds;
mod cuts;
mod few;
mod gilmore_gomory_1966;
mod pack;
mod search;
mod value;
mod verify;
mod viswanathan_bagchi_1993;

use quantities::format::with_unit;
use serde::Serialize;

use crate::CuttingError;
use crate::hundredths::{down, mm, up, whole_costs};

use board::{Board, Item, Laid};
use cuts::take_apart;
use pack::{Fit, Order, Rule, Split, pack};
use search::cheapest;

pub use value::{ValueOrder, ValuePlan, ValuedPiece, most_value_of_sheet};
pub use verify::verify_sheets;

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

/// Cuts the sheets for the least cost.
///
/// Quick packings by many rules, then every way of putting few pieces together (up to eleven that can share a sheet at all), then changed
/// orders; the bound is the best of area, pieces that cannot share a sheet, dual feasible functions, and the exact cost of the few. Kerf
/// is added to pieces and sheets, which is exact for cuts from edge to edge. Repeatable: no chance, no clock. Errors: a
/// measure that is no positive number, no stock, a piece larger than any stock, too little stock.
pub fn cut_sheets(order: &SheetOrder) -> Result<SheetPlan, CuttingError> {
    check(order)?;
    let kerf = up(order.kerf_mm);
    let items: Vec<Item> = order
        .pieces
        .iter()
        .enumerate()
        .map(|(piece, p)| Item {
            piece,
            length: up(p.length_mm) + kerf,
            width: up(p.width_mm) + kerf,
            may_turn: p.may_turn,
            needs: p.factory_edges,
        })
        .collect();
    let areas: Vec<i64> = order.stock.iter().map(|s| down(s.length_mm) * down(s.width_mm)).collect();
    let prices: Vec<Option<f64>> = order.stock.iter().map(|s| s.price).collect();
    let (costs, cost_is_price) = whole_costs(&prices, &areas);
    let boards: Vec<Board> = order
        .stock
        .iter()
        .zip(&costs)
        .map(|(s, cost)| Board {
            length: down(s.length_mm) + kerf,
            width: down(s.width_mm) + kerf,
            cost: *cost,
            available: s.available,
            factory: s.factory_edges,
        })
        .collect();
    check_sizes(order, &items, &boards)?;
    if items.is_empty() {
        return Ok(SheetPlan {
            sheets: Vec::new(),
            cost_is_price,
            cost: 0.0,
            least_cost: 0.0,
            proved_optimal: true,
            cut_length_mm: 0.0,
        });
    }
    let not_enough = CuttingError::NotEnoughStock { left: items.len(), pieces: items.len() };
    let found = cheapest(&items, &boards).ok_or(not_enough.clone())?;
    let mut sheets = found
        .sheets
        .iter()
        .map(|laid| finished(laid, &boards[laid.stock], kerf))
        .collect::<Option<Vec<CutSheet>>>()
        .ok_or(not_enough)?;
    sheets.sort_by_key(|sheet| (sheet.stock, sheet.placements.first().map(|p| p.piece)));
    let cut_length_mm = sheets
        .iter()
        .flat_map(|sheet| &sheet.cuts)
        .map(|cut| (cut.to_x_mm - cut.from_x_mm).abs() + (cut.to_y_mm - cut.from_y_mm).abs())
        .sum();
    // Prices are in hundredths, areas in square hundredths of a millimetre.
    let unit = |cost: i64| if cost_is_price { mm(cost) } else { mm(1) * mm(cost) };
    Ok(SheetPlan {
        sheets,
        cost_is_price,
        cost: unit(found.cost),
        least_cost: unit(found.least_cost),
        proved_optimal: found.cost <= found.least_cost,
        cut_length_mm,
    })
}

fn finished(laid: &Laid, board: &Board, kerf: i64) -> Option<CutSheet> {
    let taken = take_apart(laid, board, kerf)?;
    let mut placements: Vec<Placement> = laid
        .placed
        .iter()
        .map(|placed| Placement {
            piece: placed.piece,
            x_mm: mm(placed.rect.x),
            y_mm: mm(placed.rect.y),
            length_mm: mm(placed.rect.length - kerf),
            width_mm: mm(placed.rect.width - kerf),
            turn: placed.turn,
        })
        .collect();
    placements.sort_by_key(|placement| placement.piece);
    Some(CutSheet { stock: laid.stock, placements, cuts: taken.cuts, offcuts: taken.offcuts })
}

/// Longest side taken for one, mm.
const LONGEST_MM: f64 = 30_000.0;

fn check(order: &SheetOrder) -> Result<(), CuttingError> {
    let measure = |value: f64| value.is_finite() && value > 0.0 && value <= LONGEST_MM;
    if order.stock.is_empty() {
        return Err(CuttingError::NoStock);
    }
    for stock in &order.stock {
        if !measure(stock.length_mm) || !measure(stock.width_mm) {
            return Err(CuttingError::Measure { what: stock.name.clone() });
        }
        if stock.price.is_some_and(|price| !(price.is_finite() && (0.0..=1e9).contains(&price))) {
            return Err(CuttingError::Price { what: stock.name.clone() });
        }
    }
    if let Some(piece) =
        order.pieces.iter().find(|piece| !measure(piece.length_mm) || !measure(piece.width_mm))
    {
        return Err(CuttingError::Measure { what: format!("piece {}", piece.label) });
    }
    if !(order.kerf_mm.is_finite() && (0.0..=100.0).contains(&order.kerf_mm)) {
        return Err(CuttingError::Measure { what: "the saw cut".to_owned() });
    }
    Ok(())
}

/// Every piece must fit some kind of sheet with the factory edges it needs.
fn check_sizes(order: &SheetOrder, items: &[Item], boards: &[Board]) -> Result<(), CuttingError> {
    let rule = Rule { order: Order::Area, fit: Fit::Area, split: Split::Shorter };
    for item in items {
        let fits = boards.iter().any(|board| {
            board.available != Some(0)
                && pack(&[*item], &[Board { available: None, ..*board }], &[0], rule, i64::MAX).is_some()
        });
        if !fits {
            let largest = order
                .stock
                .iter()
                .filter(|s| s.available != Some(0))
                .max_by(|a, b| (a.length_mm * a.width_mm).total_cmp(&(b.length_mm * b.width_mm)));
            return Err(CuttingError::TooLarge {
                piece: order.pieces[item.piece].label.clone(),
                largest: largest.map_or_else(
                    || "nothing".to_owned(),
                    |s| {
                        format!(
                            "{} by {}, with factory edges where the piece needs them",
                            with_unit(s.length_mm, 0, "mm"),
                            with_unit(s.width_mm, 0, "mm")
                        )
                    },
                ),
            });
        }
    }
    Ok(())
}
