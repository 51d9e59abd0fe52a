//! The check of a cutting plan: shares no code with the search. It saws the plan.

use super::{CutSheet, Placement, SheetOrder, SheetPlan, Sides, Turn};

/// Two measures nearer than this are one, mm (plans are worked out in hundredths).
const SAME_MM: f64 = 0.025;

/// A part of a sheet while it is sawn.
#[derive(Clone, Copy)]
struct Part {
    x0: f64,
    y0: f64,
    x1: f64,
    y1: f64,
}

/// Saws the plan and says what does not hold. An empty list means: every piece comes out exactly once, in its size and allowed
/// turn, with the factory edges it needs; every cut runs from edge to edge of one part; offcuts are what is left; no
/// stock is overdrawn; cost and bound are what they say.
pub fn verify_sheets(order: &SheetOrder, plan: &SheetPlan) -> Vec<String> {
    let mut breaches = Vec::new();
    let mut cut = vec![0_usize; order.pieces.len()];
    let mut drawn = vec![0_usize; order.stock.len()];
    let by_price = order.stock.iter().all(|s| s.price.is_some());
    let (mut cost, mut cut_length) = (0.0, 0.0);
    for (at, sheet) in plan.sheets.iter().enumerate() {
        let Some(stock) = order.stock.get(sheet.stock) else {
            breaches.push(format!("sheet {} is of a stock that is not in the order", at + 1));
            continue;
        };
        drawn[sheet.stock] += 1;
        cost += if by_price { stock.price.unwrap_or(0.0) } else { stock.length_mm * stock.width_mm };
        let named = |text: String| format!("sheet {}: {text}", at + 1);
        breaches.extend(saw(order, sheet).into_iter().map(named));
        for placement in &sheet.placements {
            if let Some(count) = cut.get_mut(placement.piece) {
                *count += 1;
            }
            breaches.extend(piece_breaches(order, sheet, placement).into_iter().map(named));
        }
        cut_length += sheet
            .cuts
            .iter()
            .map(|c| (c.to_x_mm - c.from_x_mm).abs() + (c.to_y_mm - c.from_y_mm).abs())
            .sum::<f64>();
    }
    for (piece, count) in order.pieces.iter().zip(&cut) {
        if *count != 1 {
            breaches.push(format!("piece {} is cut {count} times", piece.label));
        }
    }
    for (stock, count) in order.stock.iter().zip(&drawn) {
        if stock.available.is_some_and(|most| *count > most) {
            breaches.push(format!("{count} of {} are cut and there are fewer", stock.name));
        }
    }
    // Prices to the hundredth; areas to the rounding of a hundredth along each side.
    let slack = if by_price { 0.01 * (plan.sheets.len() + 1) as f64 } else { 1e-5 * cost + 0.01 };
    if (cost - plan.cost).abs() > slack {
        breaches.push(format!("the sheets cost {cost:.2}, not {:.2}", plan.cost));
    }
    if plan.least_cost > plan.cost + 1e-9 {
        breaches.push("the bound lies above the cost".to_owned());
    }
    if (cut_length - plan.cut_length_mm).abs() > 0.1 {
        breaches.push(format!("the cuts are {cut_length:.1} mm long, not {:.1} mm", plan.cut_length_mm));
    }
    breaches
}

fn piece_breaches(order: &SheetOrder, sheet: &CutSheet, placement: &Placement) -> Vec<String> {
    let (Some(piece), Some(stock)) = (order.pieces.get(placement.piece), order.stock.get(sheet.stock)) else {
        return vec!["a piece is not in the order".to_owned()];
    };
    let mut breaches = Vec::new();
    let upright = matches!(placement.turn, Turn::Quarter | Turn::ThreeQuarter);
    let (length, width) =
        if upright { (piece.width_mm, piece.length_mm) } else { (piece.length_mm, piece.width_mm) };
    if upright && !piece.may_turn {
        breaches.push(format!("piece {} is turned and may not be", piece.label));
    }
    if (placement.length_mm - length).abs() > SAME_MM || (placement.width_mm - width).abs() > SAME_MM {
        breaches.push(format!("piece {} has not its size", piece.label));
    }
    let wants = piece.factory_edges;
    // Which of the piece's own sides lies at the sheet's left, right, bottom, top.
    let (left, right, bottom, top) = match placement.turn {
        Turn::None => (wants.left, wants.right, wants.bottom, wants.top),
        Turn::Quarter => (wants.top, wants.bottom, wants.left, wants.right),
        Turn::Half => (wants.right, wants.left, wants.top, wants.bottom),
        Turn::ThreeQuarter => (wants.bottom, wants.top, wants.right, wants.left),
    };
    let factory = stock.factory_edges;
    let right_mm = placement.x_mm + placement.length_mm;
    let top_mm = placement.y_mm + placement.width_mm;
    let has = Sides {
        left: factory.left && placement.x_mm.abs() <= SAME_MM,
        right: factory.right && (right_mm - stock.length_mm).abs() <= SAME_MM,
        bottom: factory.bottom && placement.y_mm.abs() <= SAME_MM,
        top: factory.top && (top_mm - stock.width_mm).abs() <= SAME_MM,
    };
    if (left && !has.left) || (right && !has.right) || (bottom && !has.bottom) || (top && !has.top) {
        breaches.push(format!("piece {} lacks a factory edge", piece.label));
    }
    breaches
}

/// Saws one sheet and compares the parts with pieces and offcuts.
fn saw(order: &SheetOrder, sheet: &CutSheet) -> Vec<String> {
    let Some(stock) = order.stock.get(sheet.stock) else { return Vec::new() };
    let mut breaches = Vec::new();
    let mut parts = vec![Part { x0: 0.0, y0: 0.0, x1: stock.length_mm, y1: stock.width_mm }];
    for (at, cut) in sheet.cuts.iter().enumerate() {
        let upright = (cut.from_x_mm - cut.to_x_mm).abs() <= SAME_MM;
        let found = parts.iter().position(|part| {
            if upright {
                (cut.from_y_mm - part.y0).abs() <= SAME_MM
                    && (cut.to_y_mm - part.y1).abs() <= SAME_MM
                    && cut.from_x_mm >= part.x0 - order.kerf_mm - SAME_MM
                    && cut.from_x_mm <= part.x1 + SAME_MM
            } else {
                (cut.from_x_mm - part.x0).abs() <= SAME_MM
                    && (cut.to_x_mm - part.x1).abs() <= SAME_MM
                    && cut.from_y_mm >= part.y0 - order.kerf_mm - SAME_MM
                    && cut.from_y_mm <= part.y1 + SAME_MM
            }
        });
        let Some(found) = found else {
            breaches.push(format!("cut {} does not run from edge to edge of one part", at + 1));
            continue;
        };
        let part = parts.swap_remove(found);
        let (low, high) = if upright {
            (Part { x1: cut.from_x_mm, ..part }, Part { x0: cut.from_x_mm + order.kerf_mm, ..part })
        } else {
            (Part { y1: cut.from_y_mm, ..part }, Part { y0: cut.from_y_mm + order.kerf_mm, ..part })
        };
        parts.extend([low, high].into_iter().filter(|p| p.x1 - p.x0 > SAME_MM && p.y1 - p.y0 > SAME_MM));
    }
    let wanted = sheet
        .placements
        .iter()
        .map(|p| ("piece", p.x_mm, p.y_mm, p.length_mm, p.width_mm))
        .chain(sheet.offcuts.iter().map(|o| ("offcut", o.x_mm, o.y_mm, o.length_mm, o.width_mm)));
    for (what, x, y, length, width) in wanted {
        let found = parts.iter().position(|part| {
            (part.x0 - x).abs() <= SAME_MM
                && (part.y0 - y).abs() <= SAME_MM
                && (part.x1 - x - length).abs() <= 2.0 * SAME_MM
                && (part.y1 - y - width).abs() <= 2.0 * SAME_MM
        });
        match found {
            Some(at) => {
                parts.swap_remove(at);
            }
            None if length > 2.0 * SAME_MM && width > 2.0 * SAME_MM => {
                breaches.push(format!("the {what} at {x:.1}, {y:.1} does not come out of the cuts"));
            }
            None => {}
        }
    }
    if parts.iter().any(|part| part.x1 - part.x0 > 4.0 * SAME_MM && part.y1 - part.y0 > 4.0 * SAME_MM) {
        breaches.push("a part comes out that is neither piece nor offcut".to_owned());
    }
    breaches
}
