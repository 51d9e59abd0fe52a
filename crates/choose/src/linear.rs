//! Rows of the bound: for each row of energy one number a candidate, whose sum follows the draw that decides.

use std::sync::{Arc, Mutex, PoisonError};

use rayon::prelude::*;

use crate::problem::{Problem, add, deciding};

/// Part of the draws, on each side of the deciding one, whose mean stands for it.
const BESIDE: usize = 32;

/// One number for each element, candidate and row.
#[derive(Clone, Debug)]
pub(crate) struct LinearRows {
    /// Element, candidate, row.
    pub(crate) share: Vec<Vec<Vec<f64>>>,
    /// The demand of each row.
    pub(crate) demands: Vec<usize>,
}

/// Where a row takes its numbers from: places among the energies of a candidate, and what their mean is multiplied with.
struct Gauge {
    at: Vec<usize>,
    scale: f64,
}

impl LinearRows {
    /// Rows that are exact at the reference selection.
    ///
    /// The energy that decides is a quantile q of the sum S of the parts over the draws; its derivative by a part is the mean of that part
    /// over the draws in which S is q (Tasche 2000, *Conditional expectation as quantile derivative*, theorem 2.1). So a part counts with its mean over the draws nearest the deciding
    /// one. A demand of several rows has one for each, and one for the loudest of them in each draw.
    pub(crate) fn new(problem: &Problem, reference: &[usize]) -> Self {
        let draws = problem.draws.max(1);
        let mut sum = vec![0.0; problem.rows() * draws];
        for candidate in problem.chosen(reference) {
            add(&mut sum, &candidate.energy);
        }
        let mut gauges: Vec<Gauge> = Vec::new();
        let mut demands = Vec::new();
        let mut first = 0;
        for (at, demand) in problem.demands.iter().enumerate() {
            let rows = first..first + demand.rows;
            first += demand.rows;
            let row = |row: usize| sum.get(row * draws..(row + 1) * draws).unwrap_or(&[]);
            for one in rows.clone() {
                gauges.push(gauge(row(one), problem.may_fail, |draw| one * draws + draw));
                demands.push(at);
            }
            if demand.rows > 1 && draws > 1 {
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
                gauges.push(gauge(&values, problem.may_fail, place));
                demands.push(at);
            }
        }
        let share = problem
            .elements
            .iter()
            .map(|element| {
                let each = element.candidates.par_iter();
                each.map(|candidate| gauges.iter().map(|gauge| gauge.read(&candidate.energy)).collect())
                    .collect()
            })
            .collect();
        Self { share, demands }
    }
}

/// How many are kept.
const KEPT: usize = 48;

/// Rows of one problem, kept from question to question: they hang on the reference selection alone. For a problem as it is: once a candidate of
/// it changes, begin with new ones.
#[derive(Debug, Default)]
pub struct Linears(Mutex<Vec<(Vec<usize>, Arc<LinearRows>)>>);

impl Linears {
    /// The rows that are exact at a selection.
    pub(crate) fn at(&self, problem: &Problem, reference: &[usize]) -> Arc<LinearRows> {
        let known = |kept: &Vec<(Vec<usize>, Arc<LinearRows>)>| {
            kept.iter().find(|(other, _)| other == reference).map(|(_, rows)| Arc::clone(rows))
        };
        if let Some(rows) = known(&self.0.lock().unwrap_or_else(PoisonError::into_inner)) {
            return rows;
        }
        // Made without the lock: another thread may make the same meanwhile, and makes it the same.
        let made = Arc::new(LinearRows::new(problem, reference));
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(rows) = known(&kept) {
            return rows;
        }
        if kept.len() >= KEPT {
            kept.remove(0);
        }
        kept.push((reference.to_vec(), Arc::clone(&made)));
        made
    }
}

impl Gauge {
    fn read(&self, energy: &[f64]) -> f64 {
        let sum: f64 = self.at.iter().filter_map(|at| energy.get(*at)).sum();
        self.scale * sum / self.at.len().max(1) as f64
    }
}

/// The draws nearest the deciding one, and the factor that makes their mean the deciding value.
fn gauge(values: &[f64], may_fail: usize, place: impl Fn(usize) -> usize) -> Gauge {
    let mut order: Vec<(f64, usize)> = values.iter().copied().zip(0..).collect();
    order.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let rank = values.len().saturating_sub(1 + may_fail);
    let beside = values.len() / BESIDE;
    let near: Vec<(f64, usize)> =
        order.into_iter().skip(rank.saturating_sub(beside)).take(2 * beside + 1).collect();
    let middle = near.iter().map(|(value, _)| value).sum::<f64>() / near.len().max(1) as f64;
    let decides = deciding(&mut values.to_vec(), may_fail);
    let mut at: Vec<usize> = near.into_iter().map(|(_, draw)| place(draw)).collect();
    // Read in the order in which they lie in memory.
    at.sort_unstable();
    Gauge { at, scale: if middle > 0.0 { decides / middle } else { 1.0 } }
}
