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
        let count = linear.demands.len();
        let full: Vec<f64> = (0..count).map(|row| allowed_of(row) * loose).collect();
        let share_of =
            |element: usize, at: usize| linear.share.get(element).map_or(&[][..], |all| all.of(at));
        let allows_of =
            |element: usize, at: usize| linear.allows.get(element).map_or(&[][..], |all| all.of(at));
        let elements = problem.elements.len();
        let places = |element: usize| open.get(element).map_or(&[][..], Vec::as_slice);
        let shifts: Vec<Vec<f64>> = (0..elements)
            .map(|element| {
                let mut most = vec![f64::NEG_INFINITY; count];
                for at in places(element) {
                    let allows = allows_of(element, *at);
                    if allows.is_empty() {
                        for most in &mut most {
                            *most = most.max(0.0);
                        }
                    }
                    for (most, (allows, full)) in most.iter_mut().zip(allows.iter().zip(&full)) {
                        *most = most.max(allows * full);
                    }
                }
                most
            })
            .collect();
        let shift_of = |element: usize| shifts.get(element).map_or(&[][..], Vec::as_slice);
        // What each candidate takes of each row.
        let mut takes = vec![0.0; count];
        let taken = |element: usize, at: usize, takes: &mut [f64]| {
            for ((take, share), shift) in takes.iter_mut().zip(share_of(element, at)).zip(shift_of(element)) {
                *take = share + shift;
            }
            for ((take, allows), full) in takes.iter_mut().zip(allows_of(element, at)).zip(&full) {
                *take -= allows * full;
            }
        };
        let most_of: Vec<f64> = (0..count)
            .map(|row| {
                let shift = |shifts: &Vec<f64>| shifts.get(row).copied().unwrap_or(0.0);
                full.get(row).copied().unwrap_or(0.0) + shifts.iter().map(shift).sum::<f64>()
            })
            .collect();
        // A row that the loudest of all candidates keep asks nothing.
        let mut loudest = vec![0.0; count];
        for element in 0..elements {
            let mut own = vec![0.0_f64; count];
            for at in places(element) {
                taken(element, *at, &mut takes);
                for (own, take) in own.iter_mut().zip(&takes) {
                    *own = own.max(*take);
                }
            }
            crate::problem::add(&mut loudest, &own);
        }
        let asking: Vec<usize> = (0..count).filter(|row| loudest.get(*row) > most_of.get(*row)).collect();
        most.extend(asking.iter().filter_map(|row| most_of.get(*row)));
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
                    taken(place, at, &mut takes);
                    lines.takes.extend(uses);
                    lines.takes.extend(asking.iter().filter_map(|row| takes.get(*row)));
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
