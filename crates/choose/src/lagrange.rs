//! Multipliers on limits and rows, and the lower bound they give.

use crate::rows::Lines;

/// Rounds without a better bound after which the step is halved.
const PATIENCE: usize = 8;

/// Multipliers with their bound: whatever meets all rows is worth at least this.
#[derive(Clone, Debug)]
pub(crate) struct Multipliers {
    pub(crate) prices: Vec<f64>,
    pub(crate) bound: f64,
}

/// Improves the multipliers by subgradient steps (Held, Wolfe and Crowder 1974: `t = λ(Z* − Z)/‖g‖²`); `tried` is shown every selection on the
/// way with what it takes beyond the most of each row, and returns the value of the best known one. They begin at `start`, or at nothing.
pub(crate) fn multipliers(
    elements: &[Lines],
    most: &[f64],
    (start, rounds): (Option<&[f64]>, usize),
    mut tried: impl FnMut(&[usize], &[f64]) -> f64,
) -> Multipliers {
    let scale: f64 =
        elements.iter().map(|lines| lines.values.iter().copied().fold(0.0, f64::max)).sum::<f64>().max(1.0);
    // Where nothing is minimised prices mean nothing but their ratios: they are kept at a sum of 1.
    let only_rows = elements.iter().flat_map(|lines| &lines.values).all(|value| *value == 0.0);
    let even = if only_rows { 1.0 / most.len().max(1) as f64 } else { 0.0 };
    let mut prices = start.map_or_else(|| vec![even; most.len()], <[f64]>::to_vec);
    let mut best = Multipliers { prices: prices.clone(), bound: f64::NEG_INFINITY };
    let (mut step, mut waiting) = (1.6, 0);
    let mut over = vec![0.0; most.len()];
    let mut selection = vec![0; elements.len()];
    for _ in 0..rounds {
        let mut bound = 0.0;
        for ((over, most), price) in over.iter_mut().zip(most).zip(&prices) {
            *over = -most;
            bound -= most * price;
        }
        for (lines, slot) in elements.iter().zip(&mut selection) {
            let mut cheapest = (f64::INFINITY, 0);
            for at in 0..lines.len() {
                let priced = lines.priced(at, &prices);
                if priced < cheapest.0 {
                    cheapest = (priced, at);
                }
            }
            bound += cheapest.0;
            *slot = cheapest.1;
            for (over, takes) in over.iter_mut().zip(lines.takes(cheapest.1)) {
                *over += takes;
            }
        }
        let known = tried(&selection, &over);
        if bound > best.bound + 1e-6 * if only_rows { 1e-3 } else { scale } {
            best = Multipliers { prices: prices.clone(), bound };
            waiting = 0;
        } else {
            waiting += 1;
            if waiting >= PATIENCE {
                (step, waiting) = (step * 0.5, 0);
                prices.clone_from(&best.prices);
                continue;
            }
        }
        // A row that is kept and has no price pulls nowhere.
        let square: f64 = over
            .iter()
            .zip(&prices)
            .filter(|(over, price)| **over > 0.0 || **price > 0.0)
            .map(|(over, _)| over * over)
            .sum();
        if square < 1e-18 || step < 1e-4 {
            break;
        }
        let length = if only_rows {
            step * 0.1 / square.sqrt()
        } else {
            let target = if known.is_finite() { known } else { bound.abs().max(scale) * 1.1 };
            step * (target - bound).max(1e-3 * scale) / square
        };
        for (price, over) in prices.iter_mut().zip(&over) {
            *price = (*price + length * over).max(0.0);
        }
        let sum: f64 = prices.iter().sum();
        if only_rows && sum > 0.0 {
            for price in &mut prices {
                *price /= sum;
            }
        }
    }
    best
}
