//! Everything a search minimises and keeps, as plain numbers: a value, and what is taken of each row.

use std::sync::Arc;

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
        let mut takes = Vec::with_capacity(wanted.len() * self.rows);
        for at in wanted {
            takes.extend_from_slice(self.takes(*at));
        }
        Self {
            values: wanted.iter().map(|at| self.value(*at)).collect(),
            takes,
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
    /// Of each row of sound which of the linear ones it is, and what it may reach, loosened, where no candidate changes that.
    asking: Vec<usize>,
    pub(crate) reach: Vec<f64>,
    /// What it may reach without being loosened, and its demand.
    allowed: Vec<f64>,
    linear: Arc<LinearRows>,
    /// The least difference of values that counts.
    pub(crate) step: f64,
}

impl Rows {
    pub(crate) fn new(
        problem: &Problem,
        asked: &Asked,
        (linear, open): (Arc<LinearRows>, &[Vec<usize>]),
        (objective, lean_db): (Objective, f64),
    ) -> Self {
        let limits: Vec<(usize, f64)> = (0..problem.limits.len())
            .map(|at| (at, asked.most(problem, at)))
            .filter(|(_, most)| most.is_finite())
            .collect();
        let scale_of = |most: f64| if most > 0.0 { most } else { 1.0 };
        let mut most: Vec<f64> = limits.iter().map(|(_, most)| most / scale_of(*most) + TOLERANCE).collect();
        let loose = math::energy_of_db(lean_db) * (1.0 + TOLERANCE);
        let allowed_of = |row: usize| {
            let demand = linear.demands.get(row).copied().unwrap_or(0);
            math::energy_of_db(-asked.spare_db(demand))
        };
        // What candidates add to what a row may reach stands on their side, counted from the one that adds most.
        let added = |allows: &[f64], row: usize| {
            allows.get(row).map_or(0.0, |allows| allows * allowed_of(row) * loose)
        };
        let taken = |element: usize, at: usize, row: usize| {
            let share = linear.share.get(element).map_or(&[][..], |all| all.of(at)).get(row).copied();
            let allows = linear.allows.get(element).map_or(&[][..], |all| all.of(at));
            (share.unwrap_or(0.0), added(allows, row))
        };
        let most_added = |element: usize, row: usize| {
            let open = open.get(element).map_or(&[][..], Vec::as_slice).iter();
            open.map(|at| taken(element, *at, row).1).fold(f64::NEG_INFINITY, f64::max)
        };
        let elements = problem.elements.len();
        let shifts: Vec<Vec<f64>> = (0..elements)
            .map(|element| (0..linear.demands.len()).map(|row| most_added(element, row)).collect())
            .collect();
        let shift = |element: usize, row: usize| {
            shifts.get(element).and_then(|rows| rows.get(row)).copied().unwrap_or(0.0)
        };
        let most_of = |row: usize| {
            allowed_of(row) * loose + (0..elements).map(|element| shift(element, row)).sum::<f64>()
        };
        // A row that the loudest of all candidates keep asks nothing.
        let loudest = |row: usize| -> f64 {
            let each = open.iter().enumerate().map(|(element, open)| {
                let all = open.iter().map(|at| taken(element, *at, row));
                all.map(|(share, added)| share + shift(element, row) - added).fold(0.0, f64::max)
            });
            each.sum()
        };
        let asking: Vec<usize> =
            (0..linear.demands.len()).filter(|row| loudest(*row) > most_of(*row)).collect();
        most.extend(asking.iter().map(|row| most_of(*row)));
        let reach: Vec<f64> = asking.iter().map(|row| allowed_of(*row) * loose).collect();
        let allowed: Vec<f64> = asking.iter().map(|row| allowed_of(*row)).collect();
        let values = Values::of(problem, objective);
        let elements = problem
            .elements
            .iter()
            .zip(open)
            .enumerate()
            .map(|(place, (element, open))| {
                let factor = asked.factor(place);
                let mut lines = Lines { rows: most.len(), ..Lines::default() };
                for (at, candidate) in open.iter().filter_map(|at| Some((*at, element.candidates.get(*at)?)))
                {
                    lines.values.push(values.value(candidate, factor));
                    let uses = limits
                        .iter()
                        .map(|(at, most)| asked.used(problem, (place, candidate), *at) / scale_of(*most));
                    lines.takes.extend(uses.chain(asking.iter().map(|row| {
                        let (share, added) = taken(place, at, *row);
                        share + (shift(place, *row) - added)
                    })));
                    lines.places.push(at);
                }
                lines
            })
            .collect();
        Self { elements, most, limits: limits.len(), asking, reach, allowed, linear, step: values.step }
    }

    /// Of each row of sound that a selection of the problem's candidates does not keep as it is asked: how loud it is, as a part of what it may
    /// reach, and its demand.
    pub(crate) fn too_loud(&self, selection: &[usize]) -> Vec<(f64, usize)> {
        let each = self.asking.iter().zip(&self.allowed).map(|(row, allowed)| {
            let demand = self.linear.demands.get(*row).copied().unwrap_or(0);
            (self.linear.reached(selection, *row), *allowed, demand)
        });
        each.filter(|(reached, allowed, _)| reached > allowed)
            .map(|(reached, _, demand)| (reached, demand))
            .collect()
    }

    /// How far beyond its most a row is looked at when it is loosened by a factor.
    pub(crate) fn beyond(&self, row: usize, loose: f64) -> f64 {
        row.checked_sub(self.limits)
            .and_then(|row| self.reach.get(row))
            .map_or(0.0, |reach| reach * (loose - 1.0))
    }

    /// The candidates of the problem behind a selection of lines.
    pub(crate) fn candidates(&self, selection: &[usize]) -> Vec<usize> {
        let each = self.elements.iter().zip(selection);
        each.map(|(lines, at)| lines.places.get(*at).copied().unwrap_or(0)).collect()
    }

    /// The lines of a selection of candidates; none where one of them was left out.
    pub(crate) fn lines(&self, selection: &[usize]) -> Option<Vec<usize>> {
        let each = self.elements.iter().zip(selection);
        // Places rise.
        each.map(|(lines, at)| lines.places.binary_search(at).ok()).collect()
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
