//! Whether a selection, or the beginning of one, holds in enough draws, and how far the rows of the bound are off.

use quantities::math;

use super::{LEAN_STEP_DB, Level, MEASURED, Search};
use crate::{
    lagrange::Line,
    problem::{Candidate, Problem, TOLERANCE, add, db, deciding, keeps},
};

impl Search<'_> {
    /// Whether the rows of the bound hold for a selection, and whether they would if they were loosened twice as far.
    pub(super) fn rows_hold(&self, lines: &[Vec<Line>], selection: &[usize]) -> (bool, bool) {
        let mut sums = vec![0.0; self.most.len()];
        for line in lines.iter().zip(selection).filter_map(|(lines, at)| lines.get(*at)) {
            add(&mut sums, &line.takes);
        }
        let within = |loose: f64| sums.iter().zip(&self.most).all(|(sum, most)| *sum <= most * loose);
        (within(1.0), self.problem.draws > 1 && within(math::energy_of_db(self.lean_db + LEAN_STEP_DB)))
    }

    /// Measures how far the true margin of a selection that is nearly good enough lies above that of the rows.
    pub(super) fn measure(&mut self, lines: &[Vec<Line>], selection: &[usize]) {
        let mut energy = vec![0.0; self.problem.rows() * self.problem.draws];
        for candidate in self.problem.chosen(selection) {
            add(&mut energy, &candidate.energy);
        }
        let linear = |row: usize| -> f64 {
            let chosen = lines.iter().zip(selection).filter_map(|(lines, at)| lines.get(*at));
            chosen.filter_map(|line| line.takes.get(self.first_row + row)).sum()
        };
        let found = self.departure_of(&energy, linear);
        self.departure_db = self.departure_db.max(found);
    }

    /// Whether a selection keeps all limits and demands.
    pub(super) fn holds(&mut self, selection: &[usize]) -> bool {
        self.held += 1;
        let mut uses = vec![0.0; self.problem.limits.len()];
        let mut energy = vec![0.0; self.problem.rows() * self.problem.draws];
        for candidate in self.problem.chosen(selection) {
            add(&mut uses, &candidate.uses);
            add(&mut energy, &candidate.energy);
        }
        let within = uses.iter().zip(&self.limits).all(|(used, most)| keeps(*used, *most));
        within && self.draws_hold(|from, to, row| row.extend_from_slice(energy.get(from..to).unwrap_or(&[])))
    }

    /// Whether enough draws can still hold with the path as far as this depth, whatever comes after it; at the last, whether they do.
    pub(super) fn draws_can_hold(&mut self, depth: usize) -> bool {
        if self.problem.draws <= 1 {
            // The rows are exact and hold already.
            return true;
        }
        let last = depth + 1 == self.levels.len();
        self.held += u64::from(last);
        let (before, after) = self.prefix.split_at_mut(depth);
        let Some(sum) = after.first_mut() else { return true };
        match before.last() {
            Some(before) => sum.copy_from_slice(before),
            None => sum.fill(0.0),
        }
        if let Some(candidate) = of_path(self.problem, &self.levels, &self.path, depth) {
            add(sum, &candidate.energy);
        }
        if last && self.held <= MEASURED {
            self.departure_db = self.departure_db.max(self.departure());
        }
        let rest = self.levels.get(depth).map_or(&[][..], |level| level.least_energy.as_slice());
        let sum = self.prefix.get(depth).map_or(&[][..], Vec::as_slice);
        let mut demands = std::mem::take(&mut self.demands);
        let holds = all_hold(self.problem, &self.allowed, &mut demands, |from, to, row| {
            let pairs = sum.get(from..to).unwrap_or(&[]).iter().zip(rest.get(from..to).unwrap_or(&[]));
            row.extend(pairs.map(|(sum, rest)| sum + rest));
        });
        self.demands = demands;
        holds
    }

    /// How far the true margin of the path lies above that of the rows, dB.
    fn departure(&self) -> f64 {
        let energy = self.prefix.last().map_or(&[][..], Vec::as_slice);
        self.departure_of(energy, |row| {
            let chosen = self.levels.iter().zip(&self.path);
            let lines = chosen.filter_map(|(level, at)| self.lines.get(level.element)?.get(*at));
            lines.filter_map(|line| line.takes.get(self.first_row + row)).sum()
        })
    }

    /// The largest difference over the rows that decide: only a row that the bound finds too loud can cut a good set off.
    fn departure_of(&self, energy: &[f64], linear: impl Fn(usize) -> f64) -> f64 {
        let rows = energy.chunks(self.problem.draws.max(1)).enumerate();
        rows.map(|(row, draws)| {
            let linear = linear(row);
            if linear < self.allowed.get(row).copied().unwrap_or(1.0) {
                return f64::NEG_INFINITY;
            }
            db(linear) - db(deciding(&mut draws.to_vec(), self.problem.may_fail))
        })
        .fold(f64::NEG_INFINITY, f64::max)
    }

    fn draws_hold(&mut self, row_of: impl Fn(usize, usize, &mut Vec<f64>)) -> bool {
        let mut demands = std::mem::take(&mut self.demands);
        let holds = all_hold(self.problem, &self.allowed, &mut demands, row_of);
        self.demands = demands;
        holds
    }
}

/// The least energy of any candidate in each row and draw.
pub(super) fn least_of(element: &crate::problem::Element) -> Vec<f64> {
    let mut all = element.candidates.iter().map(|candidate| &candidate.energy);
    let mut least = all.next().cloned().unwrap_or_default();
    for energy in all {
        for (least, value) in least.iter_mut().zip(energy) {
            *least = least.min(*value);
        }
    }
    least
}

fn of_path<'a>(
    problem: &'a Problem,
    levels: &[Level],
    path: &[usize],
    depth: usize,
) -> Option<&'a Candidate> {
    let element = levels.get(depth)?.element;
    problem.elements.get(element)?.candidates.get(*path.get(depth)?)
}

/// Whether every demand holds in enough draws; the one that does not is put first.
fn all_hold(
    problem: &Problem,
    allowed: &[f64],
    demands: &mut [(usize, usize)],
    row_of: impl Fn(usize, usize, &mut Vec<f64>),
) -> bool {
    let draws = problem.draws;
    let mut row_sums: Vec<f64> = Vec::with_capacity(draws);
    let failing = demands.iter().position(|(first, rows)| {
        let mut fails = vec![false; draws];
        for row in *first..first + rows {
            let most = allowed.get(row).copied().unwrap_or(1.0) * (1.0 + TOLERANCE);
            row_sums.clear();
            row_of(row * draws, (row + 1) * draws, &mut row_sums);
            for (fails, sum) in fails.iter_mut().zip(&row_sums) {
                *fails |= *sum > most;
            }
        }
        fails.iter().filter(|fails| **fails).count() > problem.may_fail
    });
    if let Some(at) = failing {
        demands.swap(0, at);
    }
    failing.is_none()
}
