//! Cutting bars: pieces of given lengths from stock of given lengths, for the least money (or the least length where a
//! price is missing).

mod dive;
mod fill;
mod gilmore_gomory_1961;
mod knapsack;
mod martello_toth_1990;
mod simplex;

use std::collections::BTreeMap;

use quantities::format::with_unit;
use serde::Serialize;

use crate::CuttingError;
use crate::cover::Holder;
use crate::hundredths::{down, mm, up, whole_costs};

use fill::{Lengths, cheapest};

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

/// Cuts the bars for the least cost.
///
/// Exact when the search ends within its limit, which it does for the few dozen pieces of a room, or when the bound by patterns meets
/// the cost: then [`BarPlan::proved_optimal`] is set. Kerf is counted by adding it to every piece and to every bar, which is exact for
/// straight cuts with a free last cut. Errors: a measure that is no positive number, no stock, a piece longer than any
/// stock, too little stock.
pub fn cut_bars(order: &BarOrder) -> Result<BarPlan, CuttingError> {
    check(order)?;
    let kerf = up(order.kerf_mm);
    let sizes: Vec<i64> = order.stock.iter().map(|s| down(s.length_mm)).collect();
    let prices: Vec<Option<f64>> = order.stock.iter().map(|s| s.price).collect();
    let (costs, cost_is_price) = whole_costs(&prices, &sizes);
    let stock: Vec<Holder> = order
        .stock
        .iter()
        .zip(sizes.iter().zip(&costs))
        .map(|(s, (size, cost))| Holder { holds: size + kerf, cost: *cost, available: s.available })
        .collect();
    let longest = stock.iter().filter(|s| s.available != Some(0)).map(|s| s.holds - kerf).max().unwrap_or(0);
    if let Some(piece) = order.pieces.iter().find(|piece| up(piece.length_mm) > longest) {
        return Err(CuttingError::TooLarge {
            piece: piece.label.clone(),
            largest: with_unit(mm(longest), 0, "mm"),
        });
    }
    let mut by_length: BTreeMap<std::cmp::Reverse<i64>, Vec<usize>> = BTreeMap::new();
    for (at, piece) in order.pieces.iter().enumerate() {
        by_length.entry(std::cmp::Reverse(up(piece.length_mm) + kerf)).or_default().push(at);
    }
    let lengths = Lengths {
        length: by_length.keys().map(|length| length.0).collect(),
        count: by_length.values().map(Vec::len).collect(),
    };
    let found = cheapest(&lengths, &stock);
    let Some(filled) = found.bars else {
        return Err(CuttingError::NotEnoughStock { left: order.pieces.len(), pieces: order.pieces.len() });
    };
    let mut pieces: Vec<std::vec::IntoIter<usize>> = by_length.into_values().map(Vec::into_iter).collect();
    let mut bars: Vec<CutBar> = filled
        .iter()
        .map(|bar| {
            let used: i64 =
                bar.takes.iter().map(|(at, count)| lengths.length[*at] * count.cast_signed() as i64).sum();
            let mut on_it = Vec::new();
            for (at, count) in &bar.takes {
                on_it.extend(pieces[*at].by_ref().take(*count));
            }
            CutBar {
                stock: bar.stock,
                pieces: on_it,
                // What lies past the last piece, its cut taken off; nothing when that cut is the bar's end.
                offcut_mm: mm((stock[bar.stock].holds - kerf - used).max(0)),
            }
        })
        .collect();
    bars.sort_by(|a, b| {
        a.stock.cmp(&b.stock).then(a.offcut_mm.total_cmp(&b.offcut_mm)).then(a.pieces.cmp(&b.pieces))
    });
    let unit = |cost: i64| mm(cost);
    Ok(BarPlan {
        patterns: patterns(order, &bars),
        bars,
        cost_is_price,
        cost: unit(found.cost),
        least_cost: unit(found.least_cost),
        proved_optimal: found.cost <= found.least_cost,
    })
}

/// Recomputes a plan from its order and says what does not hold; an empty list means that every piece is cut exactly once, no
/// bar is overfull, no stock is overdrawn, and cost and bound are what they say.
pub fn verify_bars(order: &BarOrder, plan: &BarPlan) -> Vec<String> {
    let mut breaches = Vec::new();
    let mut cut = vec![0_usize; order.pieces.len()];
    let mut drawn = vec![0_usize; order.stock.len()];
    let by_price = order.stock.iter().all(|s| s.price.is_some());
    let mut cost = 0.0;
    for (at, bar) in plan.bars.iter().enumerate() {
        let Some(stock) = order.stock.get(bar.stock) else {
            breaches.push(format!("bar {} is cut from a stock that is not in the order", at + 1));
            continue;
        };
        drawn[bar.stock] += 1;
        cost += if by_price { stock.price.unwrap_or(0.0) } else { stock.length_mm };
        let mut used = 0.0;
        for &piece in &bar.pieces {
            match order.pieces.get(piece) {
                Some(wanted) => {
                    cut[piece] += 1;
                    used += wanted.length_mm;
                }
                None => breaches.push(format!("bar {} holds a piece that is not in the order", at + 1)),
            }
        }
        let saw_cuts = bar.pieces.len().saturating_sub(1) as f64 * order.kerf_mm;
        let left = stock.length_mm - used - saw_cuts;
        if left < -1e-6 {
            breaches.push(format!("bar {} is overfull by {:.2} mm", at + 1, -left));
        }
        if ((left - order.kerf_mm).max(0.0) - bar.offcut_mm).abs() > 0.02 * (bar.pieces.len() + 2) as f64 {
            breaches.push(format!(
                "bar {} leaves {:.2} mm, not {:.2} mm",
                at + 1,
                left - order.kerf_mm,
                bar.offcut_mm
            ));
        }
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
    if (cost - plan.cost).abs() > 0.01 * (plan.bars.len() + 1) as f64 {
        breaches.push(format!("the bars cost {cost:.2}, not {:.2}", plan.cost));
    }
    if plan.least_cost > plan.cost + 1e-9 {
        breaches.push("the bound lies above the cost".to_owned());
    }
    breaches
}

fn patterns(order: &BarOrder, bars: &[CutBar]) -> Vec<BarPattern> {
    let mut patterns: Vec<BarPattern> = Vec::new();
    for bar in bars {
        let lengths_mm: Vec<f64> = bar.pieces.iter().map(|&piece| order.pieces[piece].length_mm).collect();
        match patterns.iter_mut().find(|p| p.stock == bar.stock && p.lengths_mm == lengths_mm) {
            Some(pattern) => pattern.count += 1,
            None => {
                patterns.push(BarPattern {
                    stock: bar.stock,
                    count: 1,
                    lengths_mm,
                    offcut_mm: bar.offcut_mm,
                });
            }
        }
    }
    patterns
}

/// Longest piece or bar taken for one, mm.
const LONGEST_MM: f64 = 100_000.0;

fn check(order: &BarOrder) -> Result<(), CuttingError> {
    let measure = |value: f64| value.is_finite() && value > 0.0 && value <= LONGEST_MM;
    if order.stock.is_empty() {
        return Err(CuttingError::NoStock);
    }
    for stock in &order.stock {
        if !measure(stock.length_mm) {
            return Err(CuttingError::Measure { what: stock.name.clone() });
        }
        if stock.price.is_some_and(|price| !(price.is_finite() && (0.0..=1e9).contains(&price))) {
            return Err(CuttingError::Price { what: stock.name.clone() });
        }
    }
    if let Some(piece) = order.pieces.iter().find(|piece| !measure(piece.length_mm)) {
        return Err(CuttingError::Measure { what: format!("piece {}", piece.label) });
    }
    if !(order.kerf_mm.is_finite() && (0.0..=100.0).contains(&order.kerf_mm)) {
        return Err(CuttingError::Measure { what: "the saw cut".to_owned() });
    }
    Ok(())
}
