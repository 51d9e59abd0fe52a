//! A good set before the search begins: from where the multipliers lead to one that holds, and from there down by one or two changes at a time.

use quantities::math;

use super::Search;
use crate::rows::Lines;

/// How many candidates of each element are tried: those that the multipliers find least dear.
const SHORT: usize = 40;
/// Most changes on the way to a set that holds, and down from it.
const MOST_CHANGES: usize = 40;
/// By how much the rows are tightened when a set that keeps them does not hold, dB, and how often.
const TIGHTEN_DB: f64 = 0.1;
const MOST_TIGHTENED: usize = 6;
/// How many sets are held against the draws for one change down.
const MOST_HELD: usize = 6;

/// The candidates that are tried, and where the rows of sound end for them.
struct Near {
    short: Vec<Vec<usize>>,
    most: Vec<f64>,
}

impl Search<'_> {
    /// Looks for a better set than the best known, without proof.
    pub(super) fn approach(&mut self, prices: &[f64]) {
        let short: Vec<Vec<usize>> = self.rows.elements.iter().map(|lines| shortest(lines, prices)).collect();
        let first: Vec<usize> = short.iter().map(|short| short.first().copied().unwrap_or(0)).collect();
        let mut selection = first;
        for tightened in 0..MOST_TIGHTENED {
            let near = Near { short: short.clone(), most: self.tightened(tightened) };
            if !self.mend(&near, &mut selection) {
                break;
            }
            if self.take(&selection) {
                break;
            }
        }
        let mut tightened = 0;
        for _ in 0..MOST_CHANGES {
            let near = Near { short: short.clone(), most: self.tightened(tightened) };
            if !self.go_down(&near) {
                tightened += 1;
                if tightened > 1 {
                    break;
                }
            }
        }
    }

    /// The most of each row without what it was loosened by, and by some steps less.
    fn tightened(&self, steps: usize) -> Vec<f64> {
        let loose = math::energy_of_db(-self.lean_db - steps as f64 * TIGHTEN_DB);
        self.rows.most.iter().enumerate().map(|(row, most)| most + self.rows.beyond(row, loose)).collect()
    }

    /// Takes a selection of lines that holds and is better; whether it holds.
    fn take(&mut self, selection: &[usize]) -> bool {
        let (value, _) = self.rows.sums(selection);
        let candidates = self.rows.candidates(selection);
        let holds = self.holds(&candidates);
        if holds && value < self.value - 0.5 * self.rows.step {
            (self.value, self.best) = (value, Some(candidates));
        }
        holds
    }

    /// Changes one element after another, each time the one that mends most of what is over for its value, until every row is kept.
    fn mend(&self, near: &Near, selection: &mut [usize]) -> bool {
        for _ in 0..MOST_CHANGES {
            let (_, sums) = self.rows.sums(selection);
            let over = |sums: &mut dyn Iterator<Item = f64>| -> f64 {
                sums.zip(&near.most).map(|(sum, most)| ((sum - most) / most.max(1e-9)).max(0.0)).sum()
            };
            let now = over(&mut sums.iter().copied());
            if now <= 0.0 {
                return true;
            }
            let mut best: Option<(f64, usize, usize)> = None;
            for (element, lines) in self.rows.elements.iter().enumerate() {
                let Some(old) = selection.get(element).copied() else { continue };
                for at in 0..lines.len() {
                    let after = over(&mut changed(&sums, lines, old, at));
                    let gain = now - after;
                    if gain <= 1e-12 {
                        continue;
                    }
                    let dearer = (lines.value(at) - lines.value(old)).max(self.rows.step);
                    // All that is over at once counts for more than a cheap part of it.
                    let worth = gain / dearer * if after <= 0.0 { 4.0 } else { 1.0 };
                    if best.is_none_or(|(known, _, _)| worth > known) {
                        best = Some((worth, element, at));
                    }
                }
            }
            let Some((_, element, at)) = best else { return false };
            if let Some(slot) = selection.get_mut(element) {
                *slot = at;
            }
        }
        false
    }

    /// One change of one or two elements down from the best; whether there was one.
    fn go_down(&mut self, near: &Near) -> bool {
        let Some(best) = self.best.as_ref().and_then(|best| self.rows.lines(best)) else { return false };
        let (_, sums) = self.rows.sums(&best);
        let step = self.rows.step;
        let mut found: Vec<(f64, [(usize, usize); 2])> = Vec::new();
        for (one, lines) in self.rows.elements.iter().enumerate() {
            let Some(old) = best.get(one).copied() else { continue };
            for at in 0..lines.len() {
                let less = lines.value(at) - lines.value(old);
                if less < -step && fits(&near.most, changed(&sums, lines, old, at)) {
                    found.push((less, [(one, at), (one, at)]));
                }
            }
            for at in near.short.get(one).into_iter().flatten().copied() {
                let less = lines.value(at) - lines.value(old);
                if less >= -step {
                    continue;
                }
                let there: Vec<f64> = changed(&sums, lines, old, at).collect();
                for (other, others) in
                    self.rows.elements.iter().enumerate().filter(|(other, _)| *other != one)
                {
                    let Some(other_old) = best.get(other).copied() else { continue };
                    for other_at in near.short.get(other).into_iter().flatten().copied() {
                        let change = less + others.value(other_at) - others.value(other_old);
                        if change < -step && fits(&near.most, changed(&there, others, other_old, other_at)) {
                            found.push((change, [(one, at), (other, other_at)]));
                        }
                    }
                }
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for (_, changes) in found.into_iter().take(MOST_HELD) {
            let mut changed = best.clone();
            for (element, at) in changes {
                if let Some(slot) = changed.get_mut(element) {
                    *slot = at;
                }
            }
            let before = self.value;
            if self.take(&changed) && self.value < before {
                return true;
            }
        }
        false
    }
}

fn fits(most: &[f64], sums: impl Iterator<Item = f64>) -> bool {
    sums.zip(most).all(|(sum, most)| sum <= *most)
}

/// What is taken of each row with one line of an element in place of another.
fn changed<'s>(sums: &'s [f64], lines: &'s Lines, old: usize, new: usize) -> impl Iterator<Item = f64> + 's {
    sums.iter().zip(lines.takes(old)).zip(lines.takes(new)).map(|((sum, old), new)| sum - old + new)
}

/// The lines that are least dear with the prices of the rows.
fn shortest(lines: &Lines, prices: &[f64]) -> Vec<usize> {
    let mut priced: Vec<(f64, usize)> = (0..lines.len()).map(|at| (lines.priced(at, prices), at)).collect();
    priced.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    priced.into_iter().take(SHORT).map(|(_, at)| at).collect()
}
