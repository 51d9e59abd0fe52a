//! What sheets must cost at least.

use super::board::{Board, Item};
use crate::cover::{Holder, least_cost};

/// The best of three bounds; none counts factory edges.
pub(crate) fn bound(items: &[Item], boards: &[Board]) -> i64 {
    by_area(items, boards).max(by_conflict(items, boards)).max(by_dual_feasible(items, boards))
}

/// The area of the pieces, kerf included, in the cheapest sheets that hold as much.
fn by_area(items: &[Item], boards: &[Board]) -> i64 {
    let holders: Vec<Holder> = boards
        .iter()
        .map(|b| Holder { holds: b.length * b.width, cost: b.cost, available: b.available })
        .collect();
    let total = items.iter().map(|item| item.length * item.width).sum();
    least_cost(&holders, total).unwrap_or(i64::MAX / 4)
}

/// Pieces no two of which share a sheet each take a sheet of their own.
fn by_conflict(items: &[Item], boards: &[Board]) -> i64 {
    let mut order: Vec<&Item> = items.iter().collect();
    order.sort_by(|a, b| (b.length * b.width).cmp(&(a.length * a.width)).then(a.piece.cmp(&b.piece)));
    let mut alone: Vec<&Item> = Vec::new();
    for item in order {
        if alone.iter().all(|other| !share(item, other, boards)) {
            alone.push(item);
        }
    }
    alone.iter().map(|item| cheapest_for(item, boards).unwrap_or(0)).sum()
}

/// Cost of the cheapest kind of sheet that takes the piece.
pub(crate) fn cheapest_for(item: &Item, boards: &[Board]) -> Option<i64> {
    boards.iter().filter(|b| b.available != Some(0) && item.fits(b.length, b.width)).map(|b| b.cost).min()
}

/// Whether two pieces could lie on one sheet of any kind.
pub(crate) fn share(one: &Item, other: &Item, boards: &[Board]) -> bool {
    let ways = |item: &Item| {
        let mut ways = vec![(item.length, item.width)];
        if item.may_turn {
            ways.push((item.width, item.length));
        }
        ways
    };
    boards.iter().filter(|b| b.available != Some(0)).any(|b| {
        ways(one).iter().any(|a| {
            ways(other).iter().any(|c| {
                (a.0 + c.0 <= b.length && a.1.max(c.1) <= b.width)
                    || (a.1 + c.1 <= b.width && a.0.max(c.0) <= b.length)
            })
        })
    })
}

/// The area bound after sides longer than a sheet's less ε are drawn out to the whole and sides shorter than ε dropped (dual
/// feasible functions: S. P. Fekete and J. Schepers, *New classes of fast lower bounds for bin packing problems*,
/// Mathematical Programming 91, 2001). For one size of sheet only.
fn by_dual_feasible(items: &[Item], boards: &[Board]) -> i64 {
    let Some(first) = boards.first() else { return 0 };
    if boards.iter().any(|b| (b.length, b.width) != (first.length, first.width)) {
        return 0;
    }
    let stretched = |side: i64, whole: i64, epsilon: i64| {
        if side > whole - epsilon {
            whole
        } else if side < epsilon {
            0
        } else {
            side
        }
    };
    let thresholds = |whole: i64| {
        let mut all: Vec<i64> = items
            .iter()
            .flat_map(|item| [item.length, item.width, whole - item.length + 1, whole - item.width + 1])
            .filter(|side| *side > 0 && 2 * *side <= whole)
            .chain([0])
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    };
    let mut most = 0_i128;
    for &across in &thresholds(first.length) {
        for &up in &thresholds(first.width) {
            let area = |length: i64, width: i64| {
                i128::from(stretched(length, first.length, across))
                    * i128::from(stretched(width, first.width, up))
            };
            let total: i128 = items
                .iter()
                .map(|item| {
                    let straight = (item.length <= first.length && item.width <= first.width)
                        .then(|| area(item.length, item.width));
                    let turned = (item.may_turn && item.width <= first.length && item.length <= first.width)
                        .then(|| area(item.width, item.length));
                    match (straight, turned) {
                        (Some(a), Some(b)) => a.min(b),
                        (Some(a), None) | (None, Some(a)) => a,
                        (None, None) => 0,
                    }
                })
                .sum();
            most = most.max(total);
        }
    }
    let whole = i128::from(first.length) * i128::from(first.width);
    let sheets = (most + whole - 1) / whole;
    let cheapest = boards.iter().map(|b| b.cost).min().unwrap_or(0);
    i64::try_from(sheets).unwrap_or(0).saturating_mul(cheapest)
}
