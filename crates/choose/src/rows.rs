//! Everything a search minimises and keeps, as plain numbers: a value, and what is taken of each row.

use quantities::math;

use crate::{
    linear::LinearRows,
    problem::{Problem, TOLERANCE},
    question::{Asked, Objective, Values},
};

/// The candidates of one element.
#[derive(Clone, Debug, Default)]
pub(crate) struct Lines {
    /// What each is worth of what is minimised.
    pub(crate) values: Vec<f64>,
    /// What each takes of each row, candidate by candidate.
    takes: Vec<f64>,
    rows: usize,
    /// Place of each among the candidates of the problem.
    pub(crate) places: Vec<usize>,
}

impl Lines {
    pub(crate) fn len(&self) -> usize {
        self.values.len()
    }

    pub(crate) fn value(&self, at: usize) -> f64 {
        self.values.get(at).copied().unwrap_or(0.0)
    }

    pub(crate) fn takes(&self, at: usize) -> &[f64] {
        self.takes.get(at * self.rows..(at + 1) * self.rows).unwrap_or(&[])
    }

    /// What one is worth under prices of the rows.
    pub(crate) fn priced(&self, at: usize, prices: &[f64]) -> f64 {
        self.value(at) + dot(self.takes(at), prices)
    }

    /// The least taken of each row.
    pub(crate) fn least(&self) -> Vec<f64> {
        let mut least = vec![f64::INFINITY; self.rows];
        for takes in self.takes.chunks(self.rows.max(1)) {
            for (least, takes) in least.iter_mut().zip(takes) {
                *least = least.min(*takes);
            }
        }
        least
    }

    /// Those at some places only, in that order.
    pub(crate) fn only(&self, wanted: &[usize]) -> Self {
        let each = |at: &usize| self.takes(*at).to_vec();
        Self {
            values: wanted.iter().map(|at| self.value(*at)).collect(),
            takes: wanted.iter().flat_map(each).collect(),
            rows: self.rows,
            places: wanted.iter().filter_map(|at| self.places.get(*at).copied()).collect(),
        }
    }
}

pub(crate) fn dot(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(a, b)| a * b).sum()
}

/// All elements with the rows they share.
#[derive(Clone, Debug)]
pub(crate) struct Rows {
    /// An element each.
    pub(crate) elements: Vec<Lines>,
    /// What each row may reach at most; rows of sound are loosened.
    pub(crate) most: Vec<f64>,
    /// How many of the rows, the first ones, are limits.
    pub(crate) limits: usize,
    /// Of each row of sound what it may reach without being loosened, and its demand.
    pub(crate) allowed: Vec<f64>,
    pub(crate) demands: Vec<usize>,
    /// The least difference of values that counts.
    pub(crate) step: f64,
}

impl Rows {
    pub(crate) fn new(
        problem: &Problem,
        asked: &Asked,
        linear: &LinearRows,
        (objective, lean_db): (Objective, f64),
    ) -> Self {
        let limits: Vec<(usize, f64)> = (0..problem.limits.len())
            .map(|at| (at, asked.most(problem, at)))
            .filter(|(_, most)| most.is_finite())
            .collect();
        let scale_of = |most: f64| if most > 0.0 { most } else { 1.0 };
        let mut most: Vec<f64> = limits.iter().map(|(_, most)| most / scale_of(*most) + TOLERANCE).collect();
        let loose = math::energy_of_db(lean_db) * (1.0 + TOLERANCE);
        // A row that the loudest of all candidates keep asks nothing.
        let loudest = |row: usize| -> f64 {
            let each = linear.share.iter().map(|candidates| {
                candidates.iter().filter_map(|shares| shares.get(row)).copied().fold(0.0, f64::max)
            });
            each.sum()
        };
        let allowed_of = |row: usize| {
            let demand = linear.demands.get(row).copied().unwrap_or(0);
            (math::energy_of_db(-asked.spare_db(demand)), demand)
        };
        let asking: Vec<usize> =
            (0..linear.demands.len()).filter(|row| loudest(*row) > allowed_of(*row).0 * loose).collect();
        let (allowed, demands): (Vec<f64>, Vec<usize>) = asking.iter().map(|row| allowed_of(*row)).unzip();
        most.extend(allowed.iter().map(|allowed| allowed * loose));
        let values = Values::of(problem, objective);
        let elements = problem
            .elements
            .iter()
            .zip(&linear.share)
            .enumerate()
            .map(|(place, (element, shares))| {
                let factor = asked.factor(place);
                let mut lines = Lines { rows: most.len(), ..Lines::default() };
                for (at, (candidate, shares)) in element.candidates.iter().zip(shares).enumerate() {
                    lines.values.push(values.value(candidate, factor));
                    let uses = limits
                        .iter()
                        .map(|(at, most)| asked.used(problem, (place, candidate), *at) / scale_of(*most));
                    lines.takes.extend(uses.chain(asking.iter().filter_map(|row| shares.get(*row).copied())));
                    lines.places.push(at);
                }
                lines
            })
            .collect();
        Self { elements, most, limits: limits.len(), allowed, demands, step: values.step }
    }

    /// Value and sums of a selection of lines.
    pub(crate) fn sums(&self, selection: &[usize]) -> (f64, Vec<f64>) {
        let mut sums = vec![0.0; self.most.len()];
        let mut value = 0.0;
        for (lines, at) in self.elements.iter().zip(selection) {
            value += lines.value(*at);
            for (sum, takes) in sums.iter_mut().zip(lines.takes(*at)) {
                *sum += takes;
            }
        }
        (value, sums)
    }
}
