//! What all layers must take in boards together: their long joints keep apart, and layers of the same board share its sheets.

use crate::bound::OriginBound;
use crate::strips::{self, LayerFamily};

/// Weights are rounded up to whole boards but for this.
const ROUNDING: f64 = 1e-6;

/// The layers of a ceiling and what each must take by itself.
pub(crate) struct Together<'a> {
    pub(crate) families: &'a [LayerFamily],
    /// By layer, by origin.
    pub(crate) bounds: &'a [Vec<Option<OriginBound>>],
    /// Layers of one board.
    pub(crate) groups: &'a [Vec<usize>],
}

/// The least sum of the layers' bounds over places of their long joints that keep apart from layer to layer.
///
/// Layers that share sheets are weighed by each function in common: their sheets are no fewer than what they weigh together. The least is
/// taken function by function along a chain of layers, and over every pair of places of the last two, so it holds for every chain.
pub(crate) fn least(together: &Together, stagger_mm: f64) -> usize {
    let functions =
        together.bounds.iter().flatten().flatten().map(|b| b.in_common.len()).max().unwrap_or(0).max(1);
    // By origin: the least weight of the layers so far, by function.
    let mut sums: Vec<Option<Vec<f64>>> = Vec::new();
    let mut most_alone = 0;
    for (layer, (family, own)) in together.families.iter().zip(together.bounds).enumerate() {
        most_alone = most_alone.max(own.iter().flatten().map(|b| b.least).min().unwrap_or(0));
        let weights = |bound: &OriginBound| {
            if together.shares(layer) { bound.in_common.clone() } else { vec![bound.least as f64; functions] }
        };
        let under = layer.checked_sub(1).and_then(|l| together.families.get(l));
        let last = layer + 1 == together.families.len();
        sums = own
            .iter()
            .enumerate()
            .map(|(origin, bound)| {
                let weights = weights(bound.as_ref()?);
                let Some(under) = under else { return Some(weights) };
                let lines = family.origin_lines(origin);
                let apart = |o: usize| strips::lines_apart(under.origin_lines(o), lines, stagger_mm);
                let before =
                    sums.iter().enumerate().filter(|(o, _)| apart(*o)).filter_map(|(_, s)| s.as_ref());
                if last {
                    // The heaviest of every pair, the least over the pairs.
                    let pair = |b: &Vec<f64>| b.iter().zip(&weights).map(|(b, w)| b + w).fold(0.0, f64::max);
                    let least = before.map(pair).fold(f64::INFINITY, f64::min);
                    return least.is_finite().then(|| vec![least]);
                }
                let mut least = vec![f64::INFINITY; functions];
                for before in before {
                    least.iter_mut().zip(before).for_each(|(least, before)| *least = least.min(*before));
                }
                least[0].is_finite().then(|| least.iter().zip(&weights).map(|(b, w)| b + w).collect())
            })
            .collect();
    }
    let heaviest = |sum: &Vec<f64>| sum.iter().copied().fold(0.0, f64::max);
    let least = sums.iter().flatten().map(heaviest).fold(f64::INFINITY, f64::min);
    if !least.is_finite() {
        return together.families.len();
    }
    most_alone.max((least - ROUNDING).ceil().max(1.0) as usize)
}

impl Together<'_> {
    /// The layer has its board in common with another.
    fn shares(&self, layer: usize) -> bool {
        self.groups.iter().any(|group| group.len() > 1 && group.contains(&layer))
    }
}
