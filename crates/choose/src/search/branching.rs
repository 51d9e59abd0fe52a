//! Branches with multipliers of their own: while the sets are many, each candidate of one element is tried for itself.

use super::{AIM_ROUNDS, STEPS, Search};
use crate::{
    lagrange::{Multipliers, multipliers},
    problem::TOLERANCE,
    rows::{Lines, dot},
    table::{Axis, Table},
};

/// Rounds of improving the multipliers again after most candidates were left out.
const MORE_ROUNDS: usize = 60;
/// How many elements are split, one after another, with multipliers of their own for each candidate, in how many rounds; and how many
/// candidates are looked at in them in the time of a node.
const MOST_BRANCHES: usize = 2;
const BRANCH_ROUNDS: usize = 24;
const ROUND_WORK: u64 = 16;
/// Steps of the table over the value that a branch begins with, and how many of them, for each candidate, are made in the time of a node.
const FLOOR_STEPS: usize = 1024;
const STEP_WORK: u64 = 512;
/// An element of more candidates is not split.
const MOST_SPLIT: usize = 96;
/// So few sets are looked through as they come.
const FEW_SETS: f64 = 5000.0;

/// How far the lines of an element lie apart once priced, which it is, and its lines, the best first.
type Widest = (f64, usize, Vec<(f64, usize)>);

impl Search<'_> {
    /// Looks for a better set than the best known, without proof.
    pub(super) fn come_near(&mut self) {
        let rows = self.rows.clone();
        let found = multipliers(&rows.elements, &rows.most, (None, AIM_ROUNDS), |selection, over| {
            self.consider(&rows, selection, over);
            self.value
        });
        self.approach(&found.prices);
    }

    /// Looks through all sets of some candidates of each element. While they are many, each candidate of the element that matters most is tried for
    /// itself, with multipliers made for what is left with it.
    pub(super) fn branch(&mut self, mut elements: Vec<Lines>, mut found: Multipliers, depth: usize) {
        loop {
            let before: usize = elements.iter().map(Lines::len).sum();
            self.leave_out(&mut elements, &found.prices);
            let after: usize = elements.iter().map(Lines::len).sum();
            if elements.iter().any(|lines| lines.len() == 0) {
                // Nothing better is left.
                return;
            }
            if after * 10 < before * 7 {
                let more = self.multiplied(&elements, &found.prices, MORE_ROUNDS);
                if more.bound > found.bound {
                    // Only what is left out was allowed for: all else is worth no less than the best known.
                    found = more;
                    continue;
                }
            }
            break;
        }
        let floor = self.floor(&elements, &found.prices);
        if self.cut(floor) {
            return;
        }
        if depth == 0 {
            self.root = self.root.max(floor);
        }
        let sets: f64 = elements.iter().map(|lines| lines.len() as f64).product();
        if depth < MOST_BRANCHES && sets > FEW_SETS {
            if depth == 0 {
                // As they come first, for half as long as there is; then branch by branch.
                let limit = self.node_limit;
                self.node_limit = self.nodes + limit.saturating_sub(self.nodes) / 2;
                self.look_through(&mut elements, (&found, floor), sets);
                self.node_limit = limit;
                if self.proved {
                    return;
                }
                (self.proved, self.left_open) = (true, f64::INFINITY);
                self.leave_out(&mut elements, &found.prices);
                if elements.iter().any(|lines| lines.len() == 0) {
                    return;
                }
            }
            if self.split(&elements, (&found, floor), depth) {
                return;
            }
        }
        self.look_through(&mut elements, (&found, floor), sets);
    }

    /// Looks through all sets of some candidates in the order of their prices.
    fn look_through(&mut self, elements: &mut [Lines], (found, floor): (&Multipliers, f64), sets: f64) {
        loop {
            self.lay_out(elements, &found.prices, if sets > FEW_SETS { STEPS } else { 0 });
            self.again = false;
            let base = -dot(&self.rows.most, &found.prices);
            let before = self.proved;
            self.descend(0, base, 0.0);
            if before && !self.proved {
                self.left_open = self.left_open.min(found.bound.max(floor));
            }
            if !self.again {
                return;
            }
            self.restarts += 1;
            self.leave_out(elements, &found.prices);
            if elements.iter().any(|lines| lines.len() == 0) {
                return;
            }
        }
    }

    /// The least value of all sets of some candidates that keep what the rows, priced, come to together: tabled over the value, so that it is no sum of
    /// parts of candidates.
    fn floor(&mut self, elements: &[Lines], prices: &[f64]) -> f64 {
        let paid = dot(&self.rows.most, prices);
        if self.is_any() || paid <= 0.0 {
            return f64::NEG_INFINITY;
        }
        let lines: Vec<&Lines> = elements.iter().collect();
        let count: usize = elements.iter().map(Lines::len).sum();
        self.nodes += (FLOOR_STEPS * count) as u64 / STEP_WORK;
        let dearest = |lines: &&Lines| lines.values.iter().copied().fold(0.0, f64::max);
        let end = self.value.min(lines.iter().map(dearest).sum::<f64>() * (1.0 + 1e-9) + self.rows.step);
        let table = Table::new(&lines, Axis::Value, (end, FLOOR_STEPS), |lines, at| {
            dot(lines.takes(at), prices) / paid
        });
        table.least_amount(1.0 + TOLERANCE).unwrap_or(self.value)
    }

    pub(super) fn multiplied(&mut self, elements: &[Lines], prices: &[f64], rounds: usize) -> Multipliers {
        let value = self.value;
        let lines: usize = elements.iter().map(Lines::len).sum();
        // Each round looks at every candidate once.
        self.nodes += (rounds * lines) as u64 / ROUND_WORK;
        multipliers(elements, &self.rows.most, (Some(prices), rounds), |_, _| value)
    }

    /// Tries each candidate of one element for itself; not where every element has a great many.
    fn split(&mut self, elements: &[Lines], (found, floor): (&Multipliers, f64), depth: usize) -> bool {
        let priced_of = |lines: &Lines| -> Vec<(f64, usize)> {
            let mut priced: Vec<(f64, usize)> =
                (0..lines.len()).map(|at| (lines.priced(at, &found.prices), at)).collect();
            priced.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            priced
        };
        let width = |priced: &[(f64, usize)]| match (priced.first(), priced.get(priced.len() / 2)) {
            (Some(first), Some(middle)) => middle.0 - first.0,
            _ => 0.0,
        };
        let mut widest: Option<Widest> = None;
        let some = |lines: &Lines| lines.len() > 1 && lines.len() <= MOST_SPLIT;
        for (element, lines) in elements.iter().enumerate().filter(|(_, lines)| some(lines)) {
            let priced = priced_of(lines);
            let width = width(&priced);
            if widest.as_ref().is_none_or(|(known, _, _)| width > *known) {
                widest = Some((width, element, priced));
            }
        }
        let Some((_, element, priced)) = widest else { return false };
        let least = priced.first().map_or(0.0, |(priced, _)| *priced);
        for (priced, at) in priced {
            let bound = found.bound + priced - least;
            if self.cut(bound) {
                break;
            }
            if self.nodes > self.node_limit {
                self.proved = false;
                self.left_open = self.left_open.min(bound.max(floor));
                break;
            }
            let mut fixed = elements.to_vec();
            if let Some(lines) = fixed.get_mut(element) {
                *lines = lines.only(&[at]);
            }
            let own = self.multiplied(&fixed, &found.prices, BRANCH_ROUNDS);
            if !self.cut(own.bound) {
                self.branch(fixed, own, depth + 1);
            }
        }
        true
    }

    /// Leaves out every candidate that can be in nothing better.
    fn leave_out(&self, elements: &mut [Lines], prices: &[f64]) {
        let priced: Vec<Vec<f64>> = elements
            .iter()
            .map(|lines| (0..lines.len()).map(|at| lines.priced(at, prices)).collect())
            .collect();
        let least_of = |priced: &Vec<f64>| priced.iter().copied().fold(f64::INFINITY, f64::min);
        let bound = priced.iter().map(least_of).sum::<f64>() - dot(&self.rows.most, prices);
        for (lines, priced) in elements.iter_mut().zip(&priced) {
            let least = least_of(priced);
            let kept: Vec<usize> = priced
                .iter()
                .enumerate()
                .filter(|(_, priced)| !self.cut(bound + *priced - least))
                .map(|(at, _)| at)
                .collect();
            *lines = lines.only(&kept);
        }
    }
}
