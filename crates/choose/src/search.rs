//! The least of what is minimised, with proof: depth first over the elements.

use quantities::math;

use crate::{
    lagrange::{Line, Multipliers, multipliers},
    linear::LinearRows,
    problem::{Problem, TOLERANCE, add},
    question::{Asked, Certificate, Choice, Objective, Solved, Values},
};

mod held;

/// Looking for any set at all takes this part of the nodes: it is asked often, and found early or not at all.
const ANY_PART: u64 = 16;
/// By how much more than was met the rows are loosened, and the most they ever are, dB.
const LEAN_STEP_DB: f64 = 0.1;
const MOST_LEAN_DB: f64 = 3.0;
/// Rounds of improving the multipliers at the root, and below it down to this depth.
const ROUNDS: usize = 160;
const REFINED_ROUNDS: usize = 30;
const REFINED: usize = 4;
/// How many changes of two elements are held against the draws before the search goes on without.
const MOST_SWAPS: usize = 60;
/// How many full sets are measured for the certificate.
const MEASURED: u64 = 400;

/// Finds the selection with the least of what is minimised that keeps every limit and demand. The problem is taken as checked by
/// [`Problem::check`].
pub fn solve(problem: &Problem, asked: &Asked) -> Solved {
    let first = asked.near.clone().or_else(|| problem.today());
    let reference = first.unwrap_or_else(|| vec![0; problem.elements.len()]);
    let mut known: Option<Vec<usize>> = asked.holds(problem, &reference).then(|| reference.clone());
    let mut nodes = 0;
    let mut lean_db = if problem.draws > 1 { problem.lean_db.max(0.0) } else { 0.0 };
    let mut rows = LinearRows::new(problem, &reference);
    if known.is_none() && asked.objective != Objective::Any {
        // Without any selection that holds the bound cannot cut: look for one first.
        let mut any = Search::new(problem, &rows, asked, (Objective::Any, lean_db));
        any.run();
        nodes += any.nodes;
        if any.best.is_none() {
            return any.solved(nodes);
        }
        known = any.best;
        if let Some(found) = &known {
            rows = LinearRows::new(problem, found);
        }
    }
    let mut at = known.clone().unwrap_or(reference);
    loop {
        let mut search = Search::new(problem, &rows, asked, (asked.objective, lean_db));
        search.know(known.as_deref());
        search.run();
        nodes += search.nodes;
        if search.departure_db > lean_db && lean_db < MOST_LEAN_DB {
            // A set was met that the rows would have cut off: loosen them and search again.
            lean_db = (search.departure_db + LEAN_STEP_DB).min(MOST_LEAN_DB);
            known.clone_from(&search.best);
            continue;
        }
        let settled = search.best.as_ref().is_none_or(|best| *best == at) || problem.draws <= 1;
        if settled || !search.proved || asked.objective == Objective::Any {
            return search.solved(nodes);
        }
        // The rows are exact at the new selection: search once more from there.
        known.clone_from(&search.best);
        at = search.best.unwrap_or_default();
        rows = LinearRows::new(problem, &at);
    }
}

/// One search with one set of rows.
struct Search<'a> {
    problem: &'a Problem,
    lines: Vec<Vec<Line>>,
    most: Vec<f64>,
    /// Where the rows of energy begin among all rows.
    first_row: usize,
    objective: Objective,
    /// The most each limit allows.
    limits: Vec<f64>,
    /// Share of what is allowed that each row may reach.
    allowed: Vec<f64>,
    lean_db: f64,
    best: Option<Vec<usize>>,
    value: f64,
    step: f64,
    root: f64,
    /// Multipliers of the root.
    prices: Vec<f64>,
    nodes: u64,
    node_limit: u64,
    held: u64,
    proved: bool,
    departure_db: f64,
    /// Demands with the place of their first row, the one that failed last first.
    demands: Vec<(usize, usize)>,
    levels: Vec<Level>,
    path: Vec<usize>,
    /// Energies summed along the path, for each depth.
    prefix: Vec<Vec<f64>>,
}

/// One element in the order of the search.
struct Level {
    element: usize,
    /// Candidates by rising price, with the price.
    order: Vec<(f64, usize)>,
    /// Least price of all elements after this one.
    rest: f64,
    /// Least use of each row of all elements after this one.
    least: Vec<f64>,
    /// Least energy in each row and draw of all elements after this one.
    least_energy: Vec<f64>,
}

impl<'a> Search<'a> {
    fn new(
        problem: &'a Problem,
        rows: &LinearRows,
        asked: &Asked,
        (objective, lean_db): (Objective, f64),
    ) -> Self {
        let by_draws = objective == Objective::Any && problem.draws > 1;
        let limits: Vec<f64> = (0..problem.limits.len()).map(|at| asked.most(problem, at)).collect();
        let kept: Vec<usize> =
            limits.iter().enumerate().filter(|(_, most)| most.is_finite()).map(|(at, _)| at).collect();
        let scale_of = |most: f64| if most > 0.0 { most } else { 1.0 };
        let (scales, mut most): (Vec<f64>, Vec<f64>) = kept
            .iter()
            .filter_map(|at| limits.get(*at))
            .map(|most| (scale_of(*most), most / scale_of(*most) + TOLERANCE))
            .unzip();
        let first_row = most.len();
        let allowed: Vec<f64> = problem
            .demands
            .iter()
            .enumerate()
            .flat_map(|(at, demand)| {
                std::iter::repeat_n(math::energy_of_db(-asked.spare_db(at)), demand.rows)
            })
            .collect();
        let loose = math::energy_of_db(lean_db) * (1.0 + TOLERANCE);
        most.extend(allowed.iter().map(|allowed| allowed * loose));
        let values = Values::of(problem, objective);
        let lines: Vec<Vec<Line>> = problem
            .elements
            .iter()
            .zip(&rows.share)
            .enumerate()
            .map(|(place, (element, shares))| {
                let factor = asked.cost_factor.get(place).copied().unwrap_or(1.0);
                let pairs = element.candidates.iter().zip(shares);
                pairs
                    .map(|(candidate, shares)| {
                        let uses = kept
                            .iter()
                            .zip(&scales)
                            .map(|(at, scale)| candidate.uses.get(*at).copied().unwrap_or(0.0) / scale);
                        Line {
                            value: values.value(candidate, factor),
                            takes: uses.chain(shares.iter().copied()).collect(),
                        }
                    })
                    .collect()
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
            lines,
            most,
            first_row,
            objective,
            limits,
            allowed,
            lean_db,
            best: None,
            value: f64::INFINITY,
            step: values.step,
            root: f64::NEG_INFINITY,
            prices: Vec::new(),
            nodes: 0,
            node_limit: asked.nodes.min(problem.most_nodes) / if by_draws { ANY_PART } else { 1 },
            held: 0,
            proved: true,
            departure_db: f64::NEG_INFINITY,
            demands,
            levels: Vec::new(),
            path: vec![0; problem.elements.len()],
            prefix: Vec::new(),
        }
    }

    fn know(&mut self, selection: Option<&[usize]>) {
        let Some(selection) = selection else { return };
        let value: f64 =
            self.lines.iter().zip(selection).filter_map(|(lines, at)| lines.get(*at)).map(|l| l.value).sum();
        if value < self.value {
            (self.value, self.best) = (value, Some(selection.to_vec()));
        }
    }

    fn run(&mut self) {
        let lines = std::mem::take(&mut self.lines);
        let most = self.most.clone();
        let each: Vec<&[Line]> = lines.iter().map(Vec::as_slice).collect();
        let found = multipliers(&each, &most, (None, ROUNDS), |selection| {
            let (within, near) = self.rows_hold(&lines, selection);
            if near {
                self.measure(&lines, selection);
            }
            if within && self.holds(selection) {
                let value: f64 =
                    lines.iter().zip(selection).filter_map(|(l, at)| l.get(*at)).map(|l| l.value).sum();
                if value < self.value - 0.5 * self.step {
                    (self.value, self.best) = (value, Some(selection.to_vec()));
                }
            }
            self.value
        });
        self.lines = lines;
        self.root = found.bound;
        self.prices.clone_from(&found.prices);
        self.swap();
        if self.objective == Objective::Any && self.best.is_some() {
            return;
        }
        self.lay_out(&found);
        let sums = vec![0.0; self.most.len()];
        let base = -self.most.iter().zip(&found.prices).map(|(most, price)| most * price).sum::<f64>();
        self.prefix = vec![vec![0.0; self.problem.rows() * self.problem.draws]; self.levels.len()];
        self.descend(0, base, 0.0, &sums);
    }

    /// Betters the best known selection by changing two elements at once, until no such change is left: a low value to begin with cuts
    /// most of the tree.
    fn swap(&mut self) {
        if self.objective == Objective::Any {
            return;
        }
        while let Some(found) = self.best.clone().and_then(|from| self.best_swap(&from)) {
            (self.value, self.best) = found;
        }
    }

    /// The best selection that differs from this one in one or two elements and is better than the best known.
    fn best_swap(&mut self, from: &[usize]) -> Option<(f64, Option<Vec<usize>>)> {
        let lines = std::mem::take(&mut self.lines);
        let line = |element: usize, at: usize| lines.get(element).and_then(|lines| lines.get(at));
        let mut sums = vec![0.0; self.most.len()];
        for (element, at) in from.iter().enumerate() {
            if let Some(line) = line(element, *at) {
                add(&mut sums, &line.takes);
            }
        }
        // Held against the rows as they are, not loosened: what passes then mostly holds.
        let loose = math::energy_of_db(-self.lean_db);
        let strict: Vec<f64> = (0..)
            .zip(&self.most)
            .map(|(row, most)| if row < self.first_row { *most } else { most * loose })
            .collect();
        let mut better: Vec<(f64, [(usize, usize); 2])> = Vec::new();
        let changed = |element: usize, at: usize| {
            let (old, new) = (line(element, *from.get(element)?)?, line(element, at)?);
            Some((old, new))
        };
        for first in 0..lines.len() {
            for one in 0..lines.get(first).map_or(0, Vec::len) {
                let Some((old, new)) = changed(first, one) else { continue };
                let gain = new.value - old.value;
                let after: Vec<f64> = sums
                    .iter()
                    .zip(old.takes.iter().zip(&new.takes))
                    .map(|(sum, (old, new))| sum - old + new)
                    .collect();
                for second in first + 1..lines.len() {
                    for other in 0..lines.get(second).map_or(0, Vec::len) {
                        let Some((old, new)) = changed(second, other) else { continue };
                        let gain = gain + new.value - old.value;
                        let fits = || {
                            after
                                .iter()
                                .zip(old.takes.iter().zip(&new.takes))
                                .zip(&strict)
                                .all(|((sum, (old, new)), most)| sum - old + new <= *most)
                        };
                        if gain < -self.step && fits() {
                            better.push((gain, [(first, one), (second, other)]));
                        }
                    }
                }
            }
        }
        self.lines = lines;
        better.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        better.into_iter().take(MOST_SWAPS).find_map(|(gain, changes)| {
            let mut selection = from.to_vec();
            for (element, at) in changes {
                *selection.get_mut(element)? = at;
            }
            self.holds(&selection).then_some((self.value + gain, Some(selection)))
        })
    }

    /// Orders elements and candidates for the search.
    fn lay_out(&mut self, found: &Multipliers) {
        let mut levels: Vec<Level> = self
            .lines
            .iter()
            .enumerate()
            .map(|(element, lines)| {
                let mut order: Vec<(f64, usize)> =
                    lines.iter().enumerate().map(|(at, line)| (line.priced(&found.prices), at)).collect();
                order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                Level { element, order, rest: 0.0, least: Vec::new(), least_energy: Vec::new() }
            })
            .collect();
        // First the elements whose candidates differ most: a wrong one then ends the branch at once.
        let width = |level: &Level| match (level.order.first(), level.order.get(level.order.len() / 2)) {
            (Some(first), Some(middle)) => middle.0 - first.0,
            _ => 0.0,
        };
        levels.sort_by(|a, b| width(b).total_cmp(&width(a)).then(a.element.cmp(&b.element)));
        let mut rest = 0.0;
        let mut least = vec![0.0; self.most.len()];
        let mut least_energy = vec![0.0; self.problem.rows() * self.problem.draws];
        for level in levels.iter_mut().rev() {
            level.rest = rest;
            level.least.clone_from(&least);
            if self.problem.draws > 1 {
                level.least_energy.clone_from(&least_energy);
                if let Some(element) = self.problem.elements.get(level.element) {
                    add(&mut least_energy, &held::least_of(element));
                }
            }
            rest += level.order.first().map_or(0.0, |first| first.0);
            let lines = self.lines.get(level.element).map_or(&[][..], Vec::as_slice);
            for (row, least) in least.iter_mut().enumerate() {
                *least +=
                    lines.iter().filter_map(|l| l.takes.get(row)).copied().reduce(f64::min).unwrap_or(0.0);
            }
        }
        self.levels = levels;
    }

    /// Whether a branch of this bound cannot hold anything better.
    fn cut(&self, bound: f64) -> bool {
        match self.objective {
            Objective::Any => bound > TOLERANCE || self.best.is_some(),
            _ => bound >= self.value - 0.5 * self.step,
        }
    }

    fn descend(&mut self, depth: usize, bound: f64, value: f64, sums: &[f64]) {
        let Some(level) = self.levels.get(depth) else { return };
        let (element, rest) = (level.element, level.rest);
        let last = depth + 1 == self.levels.len();
        for place in 0..level_len(self.levels.get(depth)) {
            let Some((priced, at)) = self.levels.get(depth).and_then(|level| level.order.get(place)).copied()
            else {
                return;
            };
            if self.cut(bound + priced + rest) {
                return;
            }
            self.nodes += 1;
            if self.nodes > self.node_limit {
                self.proved = false;
                return;
            }
            let Some(line) = self.lines.get(element).and_then(|lines| lines.get(at)) else { continue };
            let total = value + line.value;
            let sums: Vec<f64> = sums.iter().zip(&line.takes).map(|(sum, takes)| sum + takes).collect();
            let fits = self.levels.get(depth).is_some_and(|level| {
                sums.iter().zip(&level.least).zip(&self.most).all(|((sum, least), most)| sum + least <= *most)
            });
            if !fits {
                continue;
            }
            if let Some(slot) = self.path.get_mut(depth) {
                *slot = at;
            }
            if last && total >= self.value - 0.5 * self.step || !self.draws_can_hold(depth) {
                continue;
            }
            if !last
                && depth < REFINED
                && self.objective != Objective::Any
                && total + self.rest_bound(depth, &sums, self.value - total) >= self.value - 0.5 * self.step
            {
                continue;
            }
            if last {
                let mut selection = vec![0; self.levels.len()];
                for (level, at) in self.levels.iter().zip(&self.path) {
                    if let Some(slot) = selection.get_mut(level.element) {
                        *slot = *at;
                    }
                }
                (self.value, self.best) = (total, Some(selection));
            } else {
                self.descend(depth + 1, bound + priced, total, &sums);
            }
        }
    }

    /// Least value of all elements after a depth, by multipliers of their own for what is left of every row.
    fn rest_bound(&self, depth: usize, sums: &[f64], known: f64) -> f64 {
        let rest: Vec<&[Line]> = self
            .levels
            .iter()
            .skip(depth + 1)
            .filter_map(|level| self.lines.get(level.element).map(Vec::as_slice))
            .collect();
        let left: Vec<f64> = self.most.iter().zip(sums).map(|(most, sum)| most - sum).collect();
        multipliers(&rest, &left, (Some(&self.prices), REFINED_ROUNDS), |_| known).bound
    }

    fn solved(self, nodes: u64) -> Solved {
        let found = self.best.is_some();
        let bound = match (found, self.proved) {
            (true, true) => self.value,
            (true, false) => self.root.min(self.value),
            (false, _) => self.root,
        };
        let value = found.then_some(self.value);
        let choice = self.best.map(|selection| {
            let sum = self.problem.sum(&selection);
            Choice { selection, sum }
        });
        Solved {
            certificate: Certificate {
                proved: self.proved,
                value,
                bound,
                gap: value.map(|value| value - bound),
                nodes,
                held: self.held,
                lean_db: self.lean_db,
                departure_db: if self.departure_db.is_finite() { self.departure_db } else { 0.0 },
            },
            choice,
        }
    }
}

fn level_len(level: Option<&Level>) -> usize {
    level.map_or(0, |level| level.order.len())
}
