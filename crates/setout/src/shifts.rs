//! Every strip shifted for itself: a branch and bound over the end joints of one layer.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::bound::{self, Depth, OriginBound, Weights};
use crate::sheets::{Need, SheetSize};
use crate::strips::{Choice, LayerFamily};
use crate::{BoardLayer, Rules};

/// Branches looked into for each leaf allowed.
const BRANCHES_PER_LEAF: u64 = 10;
/// Choices kept of one origin.
const KEPT: usize = 300;
/// Boards over the bound up to which choices are looked for.
const MOST_OVER: usize = 6;

/// The bounds of every origin of a layer.
pub(crate) fn bounds(
    family: &LayerFamily,
    layer: &BoardLayer,
    rules: &Rules,
    depth: Depth,
) -> Vec<Option<OriginBound>> {
    (0..family.origin_count())
        .into_par_iter()
        .map(|origin| bound::of_origin(family, origin, layer, rules, depth))
        .collect()
}

/// The least boards any choice of the layer could need.
pub(crate) fn least(bounds: &[Option<OriginBound>]) -> Option<usize> {
    bounds.iter().flatten().map(|b| b.least).min()
}

/// Choices with fewest boards, every strip shifted for itself: first those that meet the bound, then one board over, until
/// there are some at two counts. Each origin is searched by itself, so the threads do not change what is found.
///
/// Where an origin is searched to the end and every way of it is shown to need more, its bound is raised.
pub(crate) fn fewest(
    family: &LayerFamily,
    bounds: &mut [Option<OriginBound>],
    layer: &BoardLayer,
    rules: &Rules,
    leaves: u64,
    stop: &AtomicBool,
) -> Vec<Choice> {
    let Some(lowest) = least(bounds) else { return Vec::new() };
    let sheet = SheetSize { width_mm: layer.width_mm, length_mm: layer.length_mm, kerf_mm: rules.kerf_mm };
    let mut found: Vec<Choice> = Vec::new();
    for target in lowest..=lowest + MOST_OVER {
        let at_target: Vec<(Vec<Choice>, bool)> = bounds
            .par_iter()
            .enumerate()
            .map(|(origin, bound)| {
                let Some(bound) = bound.as_ref().filter(|b| b.least <= target) else {
                    return (Vec::new(), false);
                };
                if stop.load(Ordering::Relaxed) {
                    return (Vec::new(), false);
                }
                let mut branch = Branch {
                    family,
                    origin,
                    weights: &bound.weights,
                    sheet,
                    target,
                    leaves: 0,
                    branches: 0,
                    open: false,
                    stop,
                    found: Vec::new(),
                };
                branch.all(leaves);
                (branch.found, bound.least == target && !branch.open)
            })
            .collect();
        let before = found.len();
        for ((choices, needs_more), bound) in at_target.into_iter().zip(bounds.iter_mut()) {
            if choices.is_empty()
                && needs_more
                && let Some(bound) = bound
            {
                bound.least += 1;
            }
            found.extend(choices);
        }
        if before > 0 || stop.load(Ordering::Relaxed) {
            break;
        }
    }
    found
}

struct Branch<'a> {
    family: &'a LayerFamily,
    origin: usize,
    weights: &'a [Weights],
    sheet: SheetSize,
    target: usize,
    leaves: u64,
    branches: u64,
    /// Some way was left out, or not shown to need more boards than the target.
    open: bool,
    stop: &'a AtomicBool,
    found: Vec<Choice>,
}

impl Branch<'_> {
    /// Every first shift gets its share of the leaves, so that what is found is not all alike.
    fn all(&mut self, leaves: u64) {
        let count = self.family.phase_lines.len();
        let share = (leaves / count.max(1) as u64).max(1);
        for phase in self.in_order(0, None) {
            self.leaves = share;
            self.branches = share * BRANCHES_PER_LEAF;
            let spent = vec![0.0; self.weights.len().min(bound::FOR_BRANCHES)];
            self.take(0, phase, &mut Vec::new(), &spent);
        }
        self.found.sort_by(|a, b| key(a).cmp(&key(b)).then_with(|| a.phases.cmp(&b.phases)));
        self.found.truncate(KEPT);
    }

    fn in_order(&self, strip: usize, before: Option<usize>) -> Vec<usize> {
        let Some(rest) = self.weights.first().and_then(|w| w.rest.get(strip)) else { return Vec::new() };
        let mut phases: Vec<usize> = (0..rest.len())
            .filter(|&p| rest[p].is_finite() && before.is_none_or(|b| self.family.apart[b][p]))
            .collect();
        phases.sort_by(|&a, &b| rest[a].total_cmp(&rest[b]).then(a.cmp(&b)));
        phases
    }

    fn take(&mut self, strip: usize, phase: usize, chain: &mut Vec<usize>, spent: &[f64]) {
        let most = self.target as f64 + 1e-6;
        if self.weights.iter().zip(spent).any(|(w, s)| s + w.rest[strip][phase] > most) {
            return;
        }
        if self.leaves == 0 || self.branches == 0 || self.stop.load(Ordering::Relaxed) {
            self.open = true;
            return;
        }
        self.branches -= 1;
        chain.push(phase);
        let spent: Vec<f64> = self.weights.iter().zip(spent).map(|(w, s)| s + w.own[strip][phase]).collect();
        if strip + 1 == self.family.strip_count(self.origin) {
            self.leaves -= 1;
            self.leaf(chain);
        } else {
            for next in self.in_order(strip + 1, Some(phase)) {
                self.take(strip + 1, next, chain, &spent);
            }
        }
        chain.pop();
    }

    fn leaf(&mut self, chain: &[usize]) {
        let weighs_more = self.weights.iter().any(|w| {
            let all: f64 = chain.iter().enumerate().map(|(strip, &phase)| w.own[strip][phase]).sum();
            all > self.target as f64 + 1e-6
        });
        if weighs_more {
            return;
        }
        let mut needs: Vec<Need> = Vec::new();
        let Some(mut choice) = self.family.choice(self.origin, chain, &mut needs) else { return };
        choice.boards += self.sheet.place(&needs).1;
        if choice.boards <= self.target {
            self.found.push(choice);
        } else {
            self.open = true;
        }
    }
}

/// Fewest slivers, pieces and different joints first; of those that are alike by their stamp.
fn key(choice: &Choice) -> (usize, usize, usize, i64) {
    let mut different = choice.phases.clone();
    different.sort_unstable();
    different.dedup();
    (choice.slivers, choice.pieces, different.len(), choice.stamp)
}
