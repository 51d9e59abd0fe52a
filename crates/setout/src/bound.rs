//! What one layer must take in boards at least, however its strips are shifted.
//!
//! Every piece is weighed so that the pieces of one sheet never weigh more than one together; then every layout of the
//! family needs as many sheets as its pieces weigh. Weights are products of dual feasible functions of width and length
//! (S. P. Fekete and J. Schepers, *New classes of fast lower bounds for bin packing problems*, Mathematical
//! Programming 91, 2001), with one more for the width: at most two pieces that need a bound edge lie side by side. The
//! lightest chain of shifts, strip after strip with the stagger kept, is found by dynamic programming, so the bound
//! holds for all of them at once.

use crate::strips::{LayerFamily, Part};
use crate::{BoardLayer, Rules};

/// Sizes are taken this much smaller, so that no rounding makes the bound too high \[mm\].
const ROUNDING_MM: f64 = 1e-4;
const ROUNDING: f64 = 1e-6;
/// Shares of a sheet's length at which the functions of length are clipped.
const CLIPPED_AT: [f64; 10] = [0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5];
/// Those of the quick search, which has less time.
const QUICKLY_CLIPPED_AT: [f64; 3] = [0.25, 0.35, 0.5];
/// Thresholds of width this near are taken once.
const SAME_THRESHOLD: f64 = 0.02;
/// The same in the quick search.
const QUICKLY_SAME_THRESHOLD: f64 = 0.1;
/// Weights by which branches are cut off; all are asked at the leaves.
pub(crate) const FOR_BRANCHES: usize = 10;

/// A function of a side; the sides that fit a whole one after another give one together at most.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Weigh {
    /// In proportion.
    Share,
    /// Sides under the threshold nothing, sides over the whole less the threshold one.
    Clipped(f64),
    /// Two at most go side by side: one half from the threshold up, one over the whole less the threshold.
    Two(f64),
    /// `k + 1` parts: ⌊(k + 1) x⌋ / k, or x where (k + 1) x is whole.
    Steps(f64),
}

impl Weigh {
    fn of(self, side: f64, whole: f64) -> f64 {
        let x = ((side - ROUNDING_MM) / whole).clamp(0.0, 1.0);
        match self {
            Self::Clipped(t) if x > 1.0 - t => 1.0,
            Self::Clipped(t) if x < t => 0.0,
            Self::Share | Self::Clipped(_) => x,
            Self::Two(t) if x > 1.0 - t => 1.0,
            Self::Two(t) if x < t => 0.0,
            Self::Two(_) => 0.5,
            Self::Steps(k) => (((k + 1.0) * x).floor() / k).min(1.0),
        }
    }
}

/// The weight of every strip at every shift, and the lightest way to finish from there.
#[derive(Clone, Debug)]
pub(crate) struct Weights {
    /// By strip, by phase; infinite where the strip cannot be cut so.
    pub(crate) own: Vec<Vec<f64>>,
    /// By strip, by phase: this strip and all after it.
    pub(crate) rest: Vec<Vec<f64>>,
}

/// The bound of one origin and, in the deep search, the weights that give it, best first.
#[derive(Clone, Debug)]
pub(crate) struct OriginBound {
    pub(crate) least: usize,
    pub(crate) weights: Vec<Weights>,
    /// The lightest chain by each of the functions every layer is weighed by, for layers that share sheets: what the layers weigh by one
    /// of them together, the sheets they share weigh at least. Empty where none do.
    pub(crate) in_common: Vec<f64>,
}

/// How a layer is weighed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Depth {
    /// With every function; the weights are kept.
    pub(crate) deep: bool,
    /// With the functions in common too.
    pub(crate) shares: bool,
}

/// The bound of one origin; none when no chain of shifts keeps the stagger.
pub(crate) fn of_origin(
    family: &LayerFamily,
    origin: usize,
    layer: &BoardLayer,
    rules: &Rules,
    Depth { deep, shares }: Depth,
) -> Option<OriginBound> {
    let same = if deep { SAME_THRESHOLD } else { QUICKLY_SAME_THRESHOLD };
    let clipped_at: &[f64] = if deep { &CLIPPED_AT } else { &QUICKLY_CLIPPED_AT };
    let cuts = family.strips(origin);
    let (width, length) = (layer.width_mm + rules.kerf_mm, layer.length_mm + rules.kerf_mm);
    let mut widths = vec![Weigh::Share];
    let all_meet = family.all_meet_long_joints(origin);
    let mut thresholds: Vec<f64> = Vec::new();
    for part in cuts.iter().flatten().flatten().flat_map(|c| c.iter()) {
        let x = (part.width_mm() + rules.kerf_mm - 2.0 * ROUNDING_MM) / width;
        thresholds.extend([x, 1.0 - x].into_iter().filter(|t| *t > 1e-3 && *t <= 0.5));
    }
    thresholds.sort_by(f64::total_cmp);
    thresholds.dedup_by(|a, b| (*a - *b).abs() < same);
    for &t in &thresholds {
        widths.push(Weigh::Clipped(t));
        if all_meet {
            widths.push(Weigh::Two(t));
        }
    }
    let mut lengths = vec![Weigh::Share];
    lengths.extend(clipped_at.iter().copied().map(Weigh::Clipped));
    lengths.extend([1.0, 2.0, 3.0].map(Weigh::Steps));
    let allowed: Vec<Vec<usize>> =
        family.apart.iter().map(|row| (0..row.len()).filter(|&p| row[p]).collect()).collect();
    let weighed = weigh(&cuts, [&widths, &lengths], [width, length], rules.kerf_mm);
    let mut most = 0.0_f64;
    let mut found: Vec<(f64, Weights)> = Vec::new();
    let mut own: Vec<Vec<f64>> = weighed.iter().map(|phases| vec![0.0; phases.len()]).collect();
    let mut rest = own.clone();
    for across in 0..widths.len() {
        for along in 0..lengths.len() {
            let least = lightest(&weighed, (across, along), &allowed, &mut own, &mut rest);
            if !least.is_finite() {
                return None;
            }
            most = most.max(least);
            // The quick search cuts no branches off.
            if deep {
                found.push((least, Weights { own: own.clone(), rest: rest.clone() }));
            }
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut in_common = Vec::new();
    if shares {
        let mut widths = vec![Weigh::Share];
        for twentieths in 1..=10 {
            let t = f64::from(twentieths) / 20.0;
            widths.extend([Weigh::Clipped(t), Weigh::Two(t)]);
        }
        let weighed = weigh(&cuts, [&widths, &lengths], [width, length], rules.kerf_mm);
        for (across, function) in widths.iter().enumerate() {
            for along in 0..lengths.len() {
                // A layer whose pieces could lie three abreast weighs nothing by this one, and takes none of the others' room.
                let counts = all_meet || !matches!(function, Weigh::Two(_));
                let least =
                    counts.then(|| lightest(&weighed, (across, along), &allowed, &mut own, &mut rest));
                in_common.push(least.unwrap_or(0.0));
            }
        }
    }
    Some(OriginBound {
        in_common,
        least: (most - ROUNDING).ceil().max(1.0) as usize,
        weights: found.into_iter().map(|f| f.1).collect(),
    })
}

/// The parts of one strip at one phase: their weights by width and by length, for every function of each.
struct WeighedParts {
    across: Vec<Vec<f64>>,
    along: Vec<Vec<f64>>,
}

/// Every part weighed by width and by length; a weight of the whole is the product of one of each.
fn weigh(
    cuts: &[Vec<Option<&[Part]>>],
    [widths, lengths]: [&[Weigh]; 2],
    [width, length]: [f64; 2],
    kerf_mm: f64,
) -> Vec<Vec<Option<WeighedParts>>> {
    let weigh = |parts: &[Part]| {
        let by = |functions: &[Weigh], side: &dyn Fn(&Part) -> f64, whole: f64| {
            functions.iter().map(|f| parts.iter().map(|p| f.of(side(p) + kerf_mm, whole)).collect()).collect()
        };
        WeighedParts {
            across: by(widths, &Part::width_mm, width),
            along: by(lengths, &Part::length_mm, length),
        }
    };
    cuts.iter().map(|phases| phases.iter().map(|c| c.map(weigh)).collect()).collect()
}

/// The weight of the lightest chain by one function of each side; `own` and `rest` are filled on the way.
fn lightest(
    weighed: &[Vec<Option<WeighedParts>>],
    (across, along): (usize, usize),
    allowed: &[Vec<usize>],
    own: &mut [Vec<f64>],
    rest: &mut [Vec<f64>],
) -> f64 {
    let weight = |parts: &Option<WeighedParts>| {
        parts
            .as_ref()
            .map_or(f64::INFINITY, |p| p.across[across].iter().zip(&p.along[along]).map(|(a, b)| a * b).sum())
    };
    for (to, phases) in own.iter_mut().zip(weighed) {
        to.iter_mut().zip(phases).for_each(|(to, parts)| *to = weight(parts));
    }
    rest.iter_mut().zip(own.iter()).for_each(|(rest, own)| rest.copy_from_slice(own));
    lightest_rest(rest, allowed);
    rest.first().map_or(0.0, |first| first.iter().copied().fold(f64::INFINITY, f64::min))
}

/// Turns the weight of every strip alone into that of it and all after it.
fn lightest_rest(rest: &mut [Vec<f64>], allowed: &[Vec<usize>]) {
    for strip in (0..rest.len().saturating_sub(1)).rev() {
        let (before, after) = rest.split_at_mut(strip + 1);
        for (weight, next) in before[strip].iter_mut().zip(allowed) {
            if weight.is_finite() {
                *weight += next.iter().map(|&p| after[0][p]).fold(f64::INFINITY, f64::min);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sides_that_fit_one_whole_never_weigh_more_than_one() {
        let functions = (1..=10)
            .flat_map(|k| [Weigh::Clipped(f64::from(k) / 20.0), Weigh::Two(f64::from(k) / 20.0)])
            .chain([Weigh::Share, Weigh::Steps(1.0), Weigh::Steps(2.0), Weigh::Steps(3.0)]);
        for function in functions {
            for a in 0..=100 {
                for b in 0..=(100 - a) {
                    let sides = [f64::from(a), f64::from(b), f64::from(100 - a - b)];
                    let most = if matches!(function, Weigh::Two(_)) { 2 } else { 3 };
                    let sum: f64 = sides.iter().take(most).map(|s| function.of(*s, 100.0)).sum();
                    assert!(sum <= 1.0 + 1e-9, "{function:?} {sides:?} {sum}");
                }
            }
        }
    }
}
