//! The most valuable set of pieces from one sheet.

use serde::Serialize;

use super::gilmore_gomory_1966::{MostValue, Way};
use super::viswanathan_bagchi_1993::most_value;
use super::{LONGEST_MM, Placement, Turn};
use crate::CuttingError;
use crate::hundredths::{down, mm, up};

/// A piece worth something.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ValuedPiece {
    /// Label.
    pub label: String,
    /// Length, mm.
    pub length_mm: f64,
    /// Width, mm.
    pub width_mm: f64,
    /// What one is worth.
    pub value: f64,
    /// How many are wanted at most; `None`: any number.
    pub most: Option<usize>,
    /// Whether it may be laid with its length along the sheet's width.
    pub may_turn: bool,
}

/// One sheet to be cut for value.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ValueOrder {
    /// Length of the sheet, mm.
    pub length_mm: f64,
    /// Width of the sheet, mm.
    pub width_mm: f64,
    /// Pieces to choose from.
    pub pieces: Vec<ValuedPiece>,
    /// Width of a saw cut, mm.
    pub kerf_mm: f64,
}

/// The pieces chosen.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ValuePlan {
    /// Where they lie.
    pub placements: Vec<Placement>,
    /// What they are worth.
    pub value: f64,
    /// No straight cuts from edge to edge give more.
    pub at_most: f64,
    /// Whether the two meet.
    pub proved_optimal: bool,
}

/// Most cells of the table of sums of sides: beyond it measures are too fine for this search.
const MOST_CELLS: usize = 4_000_000;

/// The most value from one sheet by straight cuts from edge to edge.
///
/// Exact without limits (Gilmore and Gomory 1966) and, while the search ends within its limit, with limits (Viswanathan and
/// Bagchi 1993). Errors: a measure that is no positive number, a value below nothing, sides of so many different sums that the
/// table grows too large.
pub fn most_value_of_sheet(order: &ValueOrder) -> Result<ValuePlan, CuttingError> {
    let measure = |value: f64| value.is_finite() && value > 0.0 && value <= LONGEST_MM;
    if !measure(order.length_mm) || !measure(order.width_mm) {
        return Err(CuttingError::Measure { what: "the sheet".to_owned() });
    }
    if !(order.kerf_mm.is_finite() && (0.0..=100.0).contains(&order.kerf_mm)) {
        return Err(CuttingError::Measure { what: "the saw cut".to_owned() });
    }
    for piece in &order.pieces {
        if !measure(piece.length_mm) || !measure(piece.width_mm) {
            return Err(CuttingError::Measure { what: format!("piece {}", piece.label) });
        }
        if !(piece.value.is_finite() && piece.value >= 0.0) {
            return Err(CuttingError::Price { what: format!("piece {}", piece.label) });
        }
    }
    let kerf = up(order.kerf_mm);
    let (length, width) = (down(order.length_mm) + kerf, down(order.width_mm) + kerf);
    let ways: Vec<Way> = order
        .pieces
        .iter()
        .enumerate()
        .filter(|(_, p)| p.most != Some(0))
        .flat_map(|(piece, p)| {
            let (l, w) = (up(p.length_mm) + kerf, up(p.width_mm) + kerf);
            let straight = Way { piece, turned: false, length: l, width: w, value: p.value };
            let turned = Way { turned: true, length: w, width: l, ..straight };
            std::iter::once(straight).chain((p.may_turn && l != w).then_some(turned))
        })
        .filter(|way| way.length <= length && way.width <= width)
        .collect();
    if too_fine(length, width, &ways) {
        return Err(CuttingError::TooFine);
    }
    let (value, at_most, placed) = if order.pieces.iter().all(|piece| piece.most.is_none()) {
        let table = MostValue::of(length, width, &ways);
        (table.at(length, width), table.at(length, width), table.layout(&ways))
    } else {
        let most: Vec<u16> =
            order.pieces.iter().map(|piece| most_on_sheet(piece, length, width, kerf)).collect();
        let found = most_value(length, width, &ways, &most);
        (found.value, found.at_most, found.placed)
    };
    let placements = placed
        .into_iter()
        .map(|(at, rect)| Placement {
            piece: ways[at].piece,
            x_mm: mm(rect.x),
            y_mm: mm(rect.y),
            length_mm: mm(rect.length - kerf),
            width_mm: mm(rect.width - kerf),
            turn: if ways[at].turned { Turn::Quarter } else { Turn::None },
        })
        .collect();
    Ok(ValuePlan { placements, value, at_most, proved_optimal: at_most <= value + 1e-9 })
}

/// The limit on a piece, or what its area allows when that is less.
fn most_on_sheet(piece: &ValuedPiece, length: i64, width: i64, kerf: i64) -> u16 {
    let area = (up(piece.length_mm) + kerf) * (up(piece.width_mm) + kerf);
    let by_area = usize::try_from(length * width / area.max(1)).unwrap_or(0);
    u16::try_from(piece.most.unwrap_or(by_area).min(by_area)).unwrap_or(u16::MAX)
}

fn too_fine(length: i64, width: i64, ways: &[Way]) -> bool {
    // Sums of sides are multiples of their common measure: so many entries at most in each direction.
    let entries = |whole: i64, sides: &mut dyn Iterator<Item = i64>| {
        let measure = sides.fold(0, common_measure).max(1);
        usize::try_from(whole / measure).unwrap_or(usize::MAX) + 2
    };
    let across = entries(length, &mut ways.iter().map(|way| way.length));
    let up = entries(width, &mut ways.iter().map(|way| way.width));
    across.saturating_mul(up) > MOST_CELLS
}

fn common_measure(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { common_measure(b, a % b) }
}
