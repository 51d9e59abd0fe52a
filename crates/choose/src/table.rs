//! What the elements after each depth come to at least, tabled over one amount they share.

use crate::rows::Lines;

/// What is tabled over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Axis {
    /// The value itself.
    Value,
    /// A row.
    Row(usize),
}

/// For each depth and each amount of the axis the least weight of the elements after it that take no more than that amount.
///
/// Amounts are counted in whole steps and rounded down for each candidate, so that the least is never too high: a bound by dynamic
/// programming over one row exactly and all others by their prices.
#[derive(Clone, Debug)]
pub(crate) struct Table {
    pub(crate) axis: Axis,
    step: f64,
    steps: usize,
    /// For each depth the least weights of what comes after it.
    least: Vec<Vec<f64>>,
    /// For each depth the weights of its candidates.
    weights: Vec<Vec<f64>>,
}

impl Table {
    /// A table over amounts from 0 to `most` in `steps`, the elements in the order of the search.
    pub(crate) fn new(
        levels: &[&Lines],
        axis: Axis,
        (most, steps): (f64, usize),
        weight: impl Fn(&Lines, usize) -> f64,
    ) -> Self {
        let steps = steps.max(1);
        let step = (most / steps as f64).max(f64::MIN_POSITIVE);
        let weights: Vec<Vec<f64>> =
            levels.iter().map(|lines| (0..lines.len()).map(|at| weight(lines, at)).collect()).collect();
        let mut least: Vec<Vec<f64>> = vec![vec![0.0; steps + 1]];
        for (lines, weights) in levels.iter().zip(&weights).rev() {
            let after = least.last().map_or(&[][..], Vec::as_slice);
            let mut with = vec![f64::INFINITY; steps + 1];
            for (at, weight) in weights.iter().enumerate() {
                let amount = match axis {
                    Axis::Value => lines.value(at),
                    Axis::Row(row) => lines.takes(at).get(row).copied().unwrap_or(0.0),
                };
                let shift = (amount / step).floor().max(0.0) as usize;
                for (slot, after) in with.iter_mut().skip(shift).zip(after) {
                    *slot = slot.min(after + weight);
                }
            }
            least.push(with);
        }
        // That of the last depth was made first.
        least.reverse();
        Self { axis, step, steps, least, weights }
    }

    /// Weight of a candidate.
    pub(crate) fn weight(&self, depth: usize, at: usize) -> f64 {
        self.weights.get(depth).and_then(|weights| weights.get(at)).copied().unwrap_or(0.0)
    }

    /// The least weight of the elements from a depth on that take no more than `left` of the axis.
    pub(crate) fn least(&self, depth: usize, left: f64) -> f64 {
        if left < 0.0 {
            return f64::INFINITY;
        }
        // A hair more, so that rounding never cuts what just fits.
        let at = ((left / self.step * (1.0 + 1e-12) + 1e-9).floor() as usize).min(self.steps);
        self.least.get(depth).and_then(|least| least.get(at)).copied().unwrap_or(0.0)
    }

    /// The least amount of the axis with which all elements weigh no more than `most`; none where they never do.
    pub(crate) fn least_amount(&self, most: f64) -> Option<f64> {
        let least = self.least.first()?;
        let at = least.iter().position(|weight| *weight <= most)?;
        Some(at as f64 * self.step)
    }
}
