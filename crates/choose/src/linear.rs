//! Rows of the bound: for each row of energy one number a candidate, whose sum follows the draw that decides.

use crate::problem::{Problem, add, deciding};

/// Part of the draws, on each side of the deciding one, whose mean stands for it.
const BESIDE: usize = 32;

/// One number for each element, candidate and row.
#[derive(Clone, Debug)]
pub(crate) struct LinearRows {
    /// Element, candidate, row.
    pub(crate) share: Vec<Vec<Vec<f64>>>,
}

impl LinearRows {
    /// Rows that are exact at the reference selection.
    ///
    /// The energy that decides is a quantile q of the sum S of the parts u_e over the draws; its derivative by a part is the mean of
    /// that part over the draws in which S is q. So a part counts with its mean over the draws nearest the deciding one.
    pub(crate) fn new(problem: &Problem, reference: &[usize]) -> Self {
        let (draws, rows) = (problem.draws.max(1), problem.rows());
        let mut sum = vec![0.0; rows * draws];
        for candidate in problem.chosen(reference) {
            add(&mut sum, &candidate.energy);
        }
        let near: Vec<(Vec<usize>, f64)> = sum.chunks(draws).map(|row| near(row, problem.may_fail)).collect();
        let share = problem
            .elements
            .iter()
            .map(|element| {
                element
                    .candidates
                    .iter()
                    .map(|candidate| {
                        let rows = candidate.energy.chunks(draws).zip(&near);
                        rows.map(|(row, (at, scale))| scale * mean(row, at)).collect()
                    })
                    .collect()
            })
            .collect();
        Self { share }
    }
}

fn mean(row: &[f64], at: &[usize]) -> f64 {
    at.iter().filter_map(|at| row.get(*at)).sum::<f64>() / at.len().max(1) as f64
}

/// The draws nearest the deciding one, and the factor that makes their mean the deciding value.
fn near(row: &[f64], may_fail: usize) -> (Vec<usize>, f64) {
    let mut order: Vec<usize> = (0..row.len()).collect();
    order.sort_by(|a, b| match (row.get(*a), row.get(*b)) {
        (Some(first), Some(second)) => first.total_cmp(second).then(a.cmp(b)),
        _ => a.cmp(b),
    });
    let rank = row.len().saturating_sub(1 + may_fail);
    let beside = row.len() / BESIDE;
    let at: Vec<usize> = order.into_iter().skip(rank.saturating_sub(beside)).take(2 * beside + 1).collect();
    let middle = mean(row, &at);
    let decides = deciding(&mut row.to_vec(), may_fail);
    (at, if middle > 0.0 { decides / middle } else { 1.0 })
}
