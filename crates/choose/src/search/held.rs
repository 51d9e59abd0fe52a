//! Whether a selection, or the beginning of one, holds in enough draws, and how far the rows of the bound are off.

use std::ops::Range;

use quantities::math;

use crate::{
    linear::Linears,
    problem::{Candidate, Problem, TOLERANCE, add, at_least, db},
    question::Asked,
    rows::Rows,
};

/// With no more numbers than this the draws are looked at after every element, else only before the last and at the end.
const FEW: usize = 512;
/// How many draws are looked at before it is asked whether too many fail.
const AT_A_TIME: usize = 64;
/// How many of them are looked at in the time of a node.
const WORK: u64 = 256;

/// The draws along the path of a search.
pub(super) struct Held<'a> {
    problem: &'a Problem,
    kept: &'a Linears,
    /// Share of what is allowed that each row may reach.
    allowed: Vec<f64>,
    /// Demands with the place of their first row, the one that failed last first.
    demands: Vec<(usize, usize)>,
    chosen: Vec<Option<&'a Candidate>>,
    /// Energies summed along the path before each depth; those up to `valid` are true.
    prefix: Vec<Vec<f64>>,
    valid: usize,
    /// Least energy in each row and draw of all elements after each depth.
    least: Vec<Vec<f64>>,
    /// The most by which all elements after each depth raise what each row may reach.
    most_allows: Vec<Vec<f64>>,
    /// Full sets looked at.
    pub(super) sets: u64,
}

impl<'a> Held<'a> {
    pub(super) fn new(problem: &'a Problem, asked: &Asked, kept: &'a Linears) -> Self {
        let each = problem.demands.iter().enumerate();
        let allowed = each
            .flat_map(|(at, demand)| {
                std::iter::repeat_n(math::energy_of_db(-asked.spare_db(at)) * (1.0 + TOLERANCE), demand.rows)
            })
            .collect();
        let mut row = 0;
        let demands = problem
            .demands
            .iter()
            .map(|demand| {
                row += demand.rows;
                (row - demand.rows, demand.rows)
            })
            .collect();
        Self {
            problem,
            kept,
            allowed,
            demands,
            chosen: Vec::new(),
            prefix: Vec::new(),
            valid: 0,
            least: Vec::new(),
            most_allows: Vec::new(),
            sets: 0,
        }
    }

    fn numbers(&self) -> usize {
        self.problem.rows() * self.problem.draws
    }

    fn looked_at(&self, depth: usize) -> bool {
        self.numbers() <= FEW || depth + 2 >= self.chosen.len()
    }

    /// How many nodes of a search the look at the draws after a depth is worth.
    pub(super) fn work(&self, depth: usize) -> u64 {
        if self.problem.draws <= 1 || !self.looked_at(depth) { 0 } else { self.numbers() as u64 / WORK }
    }

    /// Sets the order of the elements along the path.
    pub(super) fn order(&mut self, elements: impl Iterator<Item = usize>) {
        let order: Vec<usize> = elements.collect();
        let numbers = self.numbers();
        self.chosen = vec![None; order.len()];
        self.valid = 0;
        if self.problem.draws <= 1 {
            return;
        }
        // Only the first must be nothing: the others are written before they are read.
        if self.prefix.len() != order.len() {
            self.prefix = vec![vec![0.0; numbers]; order.len()];
        }
        self.least = vec![Vec::new(); order.len()];
        let mut least = vec![0.0; numbers];
        let mut most_allows = vec![0.0; self.problem.rows()];
        self.most_allows = vec![most_allows.clone(); order.len()];
        let each = self.kept.least(self.problem);
        for (depth, element) in order.iter().enumerate().rev() {
            let Some((energy, allows)) = each.get(*element) else { continue };
            if let Some(slot) = self.most_allows.get_mut(depth) {
                slot.clone_from(&most_allows);
            }
            add(&mut most_allows, allows);
            if self.looked_at(depth)
                && let Some(slot) = self.least.get_mut(depth)
            {
                slot.clone_from(&least);
                add(&mut least, energy);
            }
        }
    }

    /// Puts a candidate on the path; what comes after it is forgotten.
    pub(super) fn put(&mut self, depth: usize, element: usize, at: usize) {
        let candidate = self.problem.elements.get(element).and_then(|element| element.candidates.get(at));
        if let Some(slot) = self.chosen.get_mut(depth) {
            *slot = candidate;
        }
        self.valid = self.valid.min(depth);
    }

    /// Whether enough draws can still hold with the path as far as this depth, whatever comes after it.
    pub(super) fn path_can_hold(&mut self, depth: usize) -> bool {
        self.problem.draws <= 1 || !self.looked_at(depth) || self.draws_hold(depth)
    }

    /// Whether the full path holds in enough draws.
    pub(super) fn path_holds(&mut self) -> bool {
        self.sets += 1;
        let Some(depth) = self.chosen.len().checked_sub(1) else { return true };
        // With one draw the rows are exact and hold already.
        self.problem.draws <= 1 || self.draws_hold(depth)
    }

    fn draws_hold(&mut self, depth: usize) -> bool {
        while self.valid < depth {
            let (before, after) = self.prefix.split_at_mut(self.valid + 1);
            if let (Some(before), Some(after)) = (before.last(), after.first_mut()) {
                after.copy_from_slice(before);
                if let Some(Some(candidate)) = self.chosen.get(self.valid) {
                    add(after, &candidate.energy);
                }
            }
            self.valid += 1;
        }
        let (Some(before), Some(Some(candidate)), Some(least)) =
            (self.prefix.get(depth), self.chosen.get(depth), self.least.get(depth))
        else {
            return true;
        };
        // Nothing comes after the last.
        let last = depth + 1 == self.chosen.len();
        let mut reach = vec![1.0; self.allowed.len()];
        for candidate in self.chosen.iter().take(depth + 1).flatten() {
            add(&mut reach, &candidate.allows);
        }
        if let Some(more) = self.most_allows.get(depth) {
            add(&mut reach, more);
        }
        for (reach, allowed) in reach.iter_mut().zip(&self.allowed) {
            *reach = allowed * at_least(*reach);
        }
        all_hold(self.problem, &reach, &mut self.demands, |span, sums| {
            let both = at(before, &span).iter().zip(at(&candidate.energy, &span));
            if last {
                for (sum, (before, own)) in sums.iter_mut().zip(both) {
                    *sum = before + own;
                }
            } else {
                for (sum, ((before, own), least)) in sums.iter_mut().zip(both.zip(at(least, &span))) {
                    *sum = before + own + least;
                }
            }
        })
    }

    /// Whether a selection keeps all demands.
    pub(super) fn holds(&mut self, selection: &[usize]) -> bool {
        self.sets += 1;
        let allowed = self.problem.allowed(selection);
        let reach: Vec<f64> =
            self.allowed.iter().zip(&allowed).map(|(reach, more)| reach * at_least(*more)).collect();
        let problem = self.problem;
        all_hold(problem, &reach, &mut self.demands, |span, sums| {
            sums.fill(0.0);
            for candidate in problem.chosen(selection) {
                add(sums, at(&candidate.energy, &span));
            }
        })
    }

    fn energy(&self, selection: &[usize]) -> (Vec<f64>, Vec<f64>) {
        let mut energy = vec![0.0; self.numbers()];
        for candidate in self.problem.chosen(selection) {
            add(&mut energy, &candidate.energy);
        }
        (energy, self.problem.allowed(selection))
    }

    /// How far the true margin of a selection lies above that of its rows at most, dB: only a demand that the rows find too loud can cut a
    /// good set off.
    pub(super) fn departure_db(&self, rows: &Rows, selection: &[usize]) -> f64 {
        let too_loud = rows.too_loud(selection);
        if too_loud.is_empty() {
            return f64::NEG_INFINITY;
        }
        let (energy, allowed) = self.energy(selection);
        let margins_db = self.problem.margins_db(&energy, &allowed);
        let each = too_loud.into_iter();
        each.filter_map(|(reached, demand)| Some(db(reached) + margins_db.get(demand)?))
            .fold(f64::NEG_INFINITY, f64::max)
    }
}

fn at<'e>(energies: &'e [f64], span: &Range<usize>) -> &'e [f64] {
    energies.get(span.clone()).unwrap_or(&[])
}

/// Whether every demand holds in enough draws; the one that does not is put first. `sums` adds up the energies at some places.
fn all_hold(
    problem: &Problem,
    allowed: &[f64],
    demands: &mut [(usize, usize)],
    mut sums: impl FnMut(Range<usize>, &mut [f64]),
) -> bool {
    let draws = problem.draws;
    let (mut sum, mut fails) = ([0.0; AT_A_TIME], [false; AT_A_TIME]);
    let failing = demands.iter().position(|(first, rows)| {
        // Some draws at a time: as soon as too many fail, the rest need not be looked at.
        let mut count = 0;
        for begin in (0..draws).step_by(AT_A_TIME) {
            let end = (begin + AT_A_TIME).min(draws);
            let (Some(sum), Some(fails)) = (sum.get_mut(..end - begin), fails.get_mut(..end - begin)) else {
                continue;
            };
            fails.fill(false);
            for row in *first..first + rows {
                let most = allowed.get(row).copied().unwrap_or(1.0);
                sums(row * draws + begin..row * draws + end, sum);
                for (fails, sum) in fails.iter_mut().zip(sum.iter()) {
                    *fails |= *sum > most;
                }
            }
            count += fails.iter().filter(|fails| **fails).count();
            if count > problem.may_fail {
                return true;
            }
        }
        false
    });
    if let Some(at) = failing {
        demands.swap(0, at);
    }
    failing.is_none()
}
