//! Rows of the bound: for each row of energy one number a candidate, whose sum follows the draw that decides.

use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use rayon::prelude::*;

use crate::problem::{Candidate, Element, Problem, add, add_both, at_least};

/// Part of the draws, on each side of the deciding one, whose mean stands for it.
const BESIDE: usize = 32;

/// One number for each element, candidate and row.
#[derive(Clone, Debug)]
pub(crate) struct LinearRows {
    /// Of each element's candidates.
    pub(crate) share: Vec<ByRow>,
    /// By how much each raises what a row may reach; no rows where none of an element's candidates changes anything.
    pub(crate) allows: Vec<ByRow>,
    /// The demand of each row.
    pub(crate) demands: Vec<usize>,
}

/// One number for each candidate of an element and each row, candidate by candidate.
#[derive(Clone, Debug, Default)]
pub(crate) struct ByRow {
    rows: usize,
    values: Vec<f64>,
}

impl ByRow {
    /// Those of a candidate.
    pub(crate) fn of(&self, at: usize) -> &[f64] {
        self.values.get(at * self.rows..(at + 1) * self.rows).unwrap_or(&[])
    }

    /// With some rows each of others behind them.
    fn with(&self, others: &[(&Self, &[usize])], candidates: usize) -> Self {
        let rows =
            self.rows + others.iter().map(|(other, wanted)| wanted.len().min(other.rows)).sum::<usize>();
        let mut values = Vec::with_capacity(rows * candidates);
        for at in 0..candidates {
            values.extend_from_slice(self.of(at));
            for (other, wanted) in others {
                let own = other.of(at);
                values.extend(wanted.iter().filter_map(|row| own.get(*row)));
            }
        }
        Self { rows, values }
    }
}

/// Where a row takes its numbers from: places among the energies of a candidate, and what their mean is multiplied with.
struct Gauge {
    at: Vec<usize>,
    scale: f64,
    /// Of each row of energy which part of those places is of it.
    rows: Vec<(usize, f64)>,
}

impl LinearRows {
    /// Rows that are exact at the reference selection.
    ///
    /// The energy that decides is a quantile q of the sum S of the parts over the draws; its derivative by a part is the mean of that part
    /// over the draws in which S is q (Tasche 2000, *Conditional expectation as quantile derivative*, theorem 2.1). So a part counts with its mean over the draws nearest the deciding
    /// one. A demand of several rows has one for each, and one for the loudest of them in each draw.
    fn new(problem: &Problem, reference: &[usize], turned: Option<&[Turned]>) -> Self {
        let draws = problem.draws.max(1);
        let mut sum = vec![0.0; problem.rows() * draws];
        for candidate in problem.chosen(reference) {
            add(&mut sum, &candidate.energy);
        }
        let allowed: Vec<f64> = problem.allowed(reference).into_iter().map(at_least).collect();
        for (row, allowed) in sum.chunks_mut(draws).zip(&allowed) {
            for value in row.iter_mut() {
                *value /= allowed;
            }
        }
        let mut gauges: Vec<Gauge> = Vec::new();
        let mut demands = Vec::new();
        for (at, rows) in problem.rows_of_demands().enumerate() {
            let row = |row: usize| sum.get(row * draws..(row + 1) * draws).unwrap_or(&[]);
            for one in rows.clone() {
                gauges.push(gauge((row(one), &allowed), problem, |draw| one * draws + draw));
                demands.push(at);
            }
            if rows.len() > 1 && draws > 1 {
                let value = |one: usize, draw: usize| row(one).get(draw).copied().unwrap_or(0.0);
                let loudest: Vec<(f64, usize)> = (0..draws)
                    .map(|draw| {
                        rows.clone()
                            .map(|one| (value(one, draw), one * draws + draw))
                            .max_by(|a, b| a.0.total_cmp(&b.0))
                            .unwrap_or((0.0, 0))
                    })
                    .collect();
                let values: Vec<f64> = loudest.iter().map(|(value, _)| *value).collect();
                let place = |draw: usize| loudest.get(draw).map_or(0, |(_, place)| *place);
                gauges.push(gauge((&values, &allowed), problem, place));
                demands.push(at);
            }
        }
        let share = if let Some(turned) = turned {
            turned.par_iter().map(|turned| turned.read(&gauges)).collect()
        } else {
            let each = problem.elements.iter().map(|element| {
                let all = element.candidates.iter();
                let values = all.flat_map(|one| gauges.iter().map(|gauge| gauge.read(&one.energy)));
                ByRow { rows: gauges.len(), values: values.collect() }
            });
            each.collect()
        };
        let allows = problem
            .elements
            .iter()
            .map(|element| {
                let all = element.candidates.iter();
                if all.clone().all(|one| one.allows.is_empty()) {
                    return ByRow::default();
                }
                let values = all.flat_map(|one| gauges.iter().map(|gauge| gauge.allows(&one.allows)));
                ByRow { rows: gauges.len(), values: values.collect() }
            })
            .collect();
        Self { share, allows, demands }
    }
}

impl LinearRows {
    /// How loud a selection is in a row, as a part of what it may reach there.
    pub(crate) fn reached(&self, selection: &[usize], row: usize) -> f64 {
        let sum = |of: &[ByRow]| -> f64 {
            of.iter().zip(selection).filter_map(|(all, at)| all.of(*at).get(row)).sum()
        };
        sum(&self.share) / at_least(1.0 + sum(&self.allows))
    }

    /// These rows and, of others, some each; `candidates` is how many each element has.
    pub(crate) fn with(&self, others: &[(Arc<Self>, Vec<usize>)], candidates: &[usize]) -> Self {
        let mut demands = self.demands.clone();
        for (other, rows) in others {
            demands.extend(rows.iter().filter_map(|row| other.demands.get(*row)));
        }
        let joined = |of: fn(&Self) -> &[ByRow]| -> Vec<ByRow> {
            let each = of(self).iter().zip(candidates).enumerate();
            each.map(|(element, (own, candidates))| {
                let more: Vec<(&ByRow, &[usize])> = others
                    .iter()
                    .filter_map(|(other, rows)| Some((of(other).get(element)?, rows.as_slice())))
                    .collect();
                own.with(&more, *candidates)
            })
            .collect()
        };
        let share = joined(|rows| &rows.share);
        let allows = joined(|rows| &rows.allows);
        Self { share, allows, demands }
    }
}

/// How many are kept.
const KEPT: usize = 128;

/// Rows of one problem, kept from question to question: they hang on the reference selection alone. For a problem as it is: once a candidate of
/// it changes, begin with new ones.
#[derive(Debug, Default)]
pub struct Linears {
    rows: Mutex<Vec<(Vec<usize>, Arc<LinearRows>)>>,
    quietest: OnceLock<Vec<Vec<Vec<f64>>>>,
    turned: OnceLock<Vec<Turned>>,
    least: OnceLock<Vec<(Vec<f64>, Vec<f64>)>>,
}

/// The energies of an element's candidates with the draws outside and the candidates inside, so that a few draws of all of them are read in one
/// go. In single precision: what is read of them is a bound that is loosened by far more than that.
#[derive(Debug)]
struct Turned {
    candidates: usize,
    energies: Vec<f32>,
}

/// How many numbers, of how many candidates, are turned at a time.
const TURN: usize = 64;
const BESIDE_EACH_OTHER: usize = 16;

impl Turned {
    fn new(element: &Element, numbers: usize) -> Self {
        let candidates = element.candidates.len();
        let mut energies = vec![0.0; candidates * numbers];
        energies.par_chunks_mut((candidates * TURN).max(1)).enumerate().for_each(|(block, energies)| {
            // Some candidates at a time are turned in the nearest memory and written where they go line by line.
            let mut near = [0.0_f32; TURN * BESIDE_EACH_OTHER];
            for (first, some) in element.candidates.chunks(BESIDE_EACH_OTHER).enumerate() {
                for (at, candidate) in some.iter().enumerate() {
                    let own = candidate.energy.iter().skip(block * TURN);
                    for (slot, value) in near.iter_mut().skip(at).step_by(BESIDE_EACH_OTHER).zip(own) {
                        *slot = *value as f32;
                    }
                }
                let rows = energies.chunks_mut(candidates.max(1)).zip(near.chunks(BESIDE_EACH_OTHER));
                for (row, near) in rows {
                    for (slot, value) in row.iter_mut().skip(first * BESIDE_EACH_OTHER).zip(near) {
                        *slot = *value;
                    }
                }
            }
        });
        Self { candidates, energies }
    }

    fn put(&mut self, at: usize, energy: &[f64]) {
        for (row, value) in self.energies.chunks_mut(self.candidates.max(1)).zip(energy) {
            if let Some(slot) = row.get_mut(at) {
                *slot = *value as f32;
            }
        }
    }

    /// What each gauge reads of each candidate.
    fn read(&self, gauges: &[Gauge]) -> ByRow {
        let rows = gauges.len();
        let mut values = vec![0.0; rows * self.candidates];
        let mut sums = vec![0.0_f32; self.candidates];
        for (row, gauge) in gauges.iter().enumerate() {
            sums.fill(0.0);
            for at in &gauge.at {
                let all = self.energies.get(at * self.candidates..(at + 1) * self.candidates).unwrap_or(&[]);
                for (sum, value) in sums.iter_mut().zip(all) {
                    *sum += value;
                }
            }
            let scale = gauge.scale / gauge.at.len().max(1) as f64;
            for (read, sum) in values.iter_mut().skip(row).step_by(rows.max(1)).zip(&sums) {
                *read = scale * f64::from(*sum);
            }
        }
        ByRow { rows, values }
    }
}

/// With fewer draws than this they are read as they are.
const MANY_DRAWS: usize = 64;

impl Linears {
    /// Some candidates of the problem, by element and place, have other energies now: what was worked out of the others stays.
    pub fn changed(&mut self, problem: &Problem, changed: &[(usize, usize)]) {
        self.rows = Mutex::default();
        self.quietest = OnceLock::new();
        for (element, at) in changed {
            let candidates = problem.elements.get(*element).map(|element| element.candidates.as_slice());
            let Some(candidate) = candidates.and_then(|candidates| candidates.get(*at)) else { continue };
            if let Some(turned) = self.turned.get_mut().and_then(|turned| turned.get_mut(*element)) {
                turned.put(*at, &candidate.energy);
            }
            if let Some((least, most)) = self.least.get_mut().and_then(|least| least.get_mut(*element)) {
                // Of what it was before something may stay: a bound all the same.
                for (least, value) in least.iter_mut().zip(&candidate.energy) {
                    *least = least.min(*value);
                }
                for (most, value) in most.iter_mut().zip(&candidate.allows) {
                    *most = most.max(*value);
                }
            }
        }
    }

    /// The rows that are exact at a selection.
    pub(crate) fn at(&self, problem: &Problem, reference: &[usize]) -> Arc<LinearRows> {
        let known = |kept: &Vec<(Vec<usize>, Arc<LinearRows>)>| {
            kept.iter().find(|(other, _)| other == reference).map(|(_, rows)| Arc::clone(rows))
        };
        if let Some(rows) = known(&self.rows.lock().unwrap_or_else(PoisonError::into_inner)) {
            return rows;
        }
        // Made without the lock: another thread may make the same meanwhile, and makes it the same.
        let made = Arc::new(LinearRows::new(problem, reference, self.turned(problem)));
        let mut kept = self.rows.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(rows) = known(&kept) {
            return rows;
        }
        if kept.len() >= KEPT {
            kept.remove(0);
        }
        kept.push((reference.to_vec(), Arc::clone(&made)));
        made
    }

    fn turned(&self, problem: &Problem) -> Option<&[Turned]> {
        let numbers = problem.rows() * problem.draws;
        (problem.draws >= MANY_DRAWS).then(|| {
            let make = || problem.elements.iter().map(|element| Turned::new(element, numbers)).collect();
            self.turned.get_or_init(make).as_slice()
        })
    }

    /// For each element and candidate the margin of each demand, dB, that no set with it exceeds: what it brings with the least of all others in
    /// each row and draw, and the most they allow.
    pub(crate) fn quietest_db(&self, problem: &Problem) -> &[Vec<Vec<f64>>] {
        self.quietest.get_or_init(|| {
            let least = self.least(problem);
            (0..problem.elements.len()).map(|element| quietest_of(problem, element, least)).collect()
        })
    }

    /// For each element the least energy of any candidate in each row and draw, and the most that any allows.
    pub(crate) fn least(&self, problem: &Problem) -> &[(Vec<f64>, Vec<f64>)] {
        self.least.get_or_init(|| problem.elements.par_iter().map(least_of).collect())
    }
}

/// The least energy of any candidate in each row and draw, and the most that any allows.
fn least_of(element: &Element) -> (Vec<f64>, Vec<f64>) {
    (least_energy_of(element), most_allows_of(element))
}

/// The least energy of any candidate in each row and draw.
fn least_energy_of(element: &Element) -> Vec<f64> {
    let least_of = |some: &[Candidate]| {
        let mut all = some.iter().map(|candidate| &candidate.energy);
        let mut least = all.next().cloned().unwrap_or_default();
        for energy in all {
            lessen(&mut least, energy);
        }
        least
    };
    let parts = element.candidates.par_chunks(LEAST_OF);
    let lesser = |mut one: Vec<f64>, other: Vec<f64>| {
        lessen(&mut one, &other);
        one
    };
    parts.map(least_of).reduce_with(lesser).unwrap_or_default()
}

/// Of how many candidates at a time the least is found.
const LEAST_OF: usize = 64;

fn lessen(least: &mut [f64], values: &[f64]) {
    for (least, value) in least.iter_mut().zip(values) {
        *least = least.min(*value);
    }
}

/// The most by which any candidate raises what each row may reach.
fn most_allows_of(element: &Element) -> Vec<f64> {
    let rows = element.candidates.iter().map(|one| one.allows.len()).max().unwrap_or(0);
    let most = |row: usize| {
        let each = element.candidates.iter().map(|one| one.allows.get(row).copied().unwrap_or(0.0));
        each.fold(f64::NEG_INFINITY, f64::max)
    };
    (0..rows).map(most).collect()
}

fn quietest_of(problem: &Problem, element: usize, least: &[(Vec<f64>, Vec<f64>)]) -> Vec<Vec<f64>> {
    let mut energy = vec![0.0; problem.rows() * problem.draws];
    let mut allowed = vec![1.0; problem.rows()];
    for (_, (other, allows)) in least.iter().enumerate().filter(|(at, _)| *at != element) {
        add(&mut energy, other);
        add(&mut allowed, allows);
    }
    let candidates = problem.elements.get(element).map_or(&[][..], |one| one.candidates.as_slice());
    let each = candidates.par_iter().map(|candidate| {
        let mut allowed = allowed.clone();
        add(&mut allowed, &candidate.allows);
        problem.margins_db(&allowed, |places, sum| add_both(sum, (&energy, &candidate.energy), places))
    });
    each.collect()
}

impl Gauge {
    fn read(&self, energy: &[f64]) -> f64 {
        let sum: f64 = self.at.iter().filter_map(|at| energy.get(*at)).sum();
        self.scale * sum / self.at.len().max(1) as f64
    }

    fn allows(&self, allows: &[f64]) -> f64 {
        self.rows.iter().map(|(row, part)| part * allows.get(*row).copied().unwrap_or(0.0)).sum()
    }
}

/// The draws nearest the deciding one, and the factor that makes their mean the deciding value. `values` are parts of what their row may reach.
fn gauge((values, allowed): (&[f64], &[f64]), problem: &Problem, place: impl Fn(usize) -> usize) -> Gauge {
    let may_fail = problem.may_fail;
    let order = |a: &(f64, usize), b: &(f64, usize)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
    let mut near: Vec<(f64, usize)> = values.iter().copied().zip(0..).collect();
    let rank = values.len().saturating_sub(1 + may_fail);
    let beside = values.len() / BESIDE;
    let (first, count) = (rank.saturating_sub(beside), 2 * beside + 1);
    // Those nearest in rank alone, and only they in order.
    if first > 0 && first < near.len() {
        near.select_nth_unstable_by(first, order);
        near.drain(..first);
    }
    if count < near.len() {
        near.select_nth_unstable_by(count, order);
        near.truncate(count);
    }
    near.sort_unstable_by(order);
    let decides = near.get(rank - first).map_or(0.0, |(value, _)| *value);
    let count = near.len().max(1) as f64;
    let draws = problem.draws.max(1);
    let mut rows: Vec<(usize, f64)> = Vec::new();
    let mut middle = 0.0;
    for (value, draw) in &near {
        let row = place(*draw) / draws;
        middle += value * allowed.get(row).copied().unwrap_or(1.0) / count;
        match rows.iter_mut().find(|(other, _)| *other == row) {
            Some((_, part)) => *part += 1.0 / count,
            None => rows.push((row, 1.0 / count)),
        }
    }
    let allowed: f64 = rows.iter().map(|(row, part)| part * allowed.get(*row).copied().unwrap_or(1.0)).sum();
    let decides = decides * allowed;
    let mut at: Vec<usize> = near.into_iter().map(|(_, draw)| place(draw)).collect();
    // Read in the order in which they lie in memory.
    at.sort_unstable();
    Gauge { at, scale: if middle > 0.0 { decides / middle } else { 1.0 }, rows }
}
