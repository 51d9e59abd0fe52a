//! The least of what is minimised, with proof: depth first over the elements.

use quantities::math;
use serde::Serialize;

use crate::{
    lagrange::{Line, Multipliers, multipliers},
    linear::LinearRows,
    problem::{Candidate, Problem, Sum, TOLERANCE, add, db, deciding, keeps},
};

/// What is made as small as can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Objective {
    /// The cost; of equal cost the fewest steps.
    Cost,
    /// What is used of one limit, by its place; of equal use the cost.
    Use(usize),
    /// Nothing: any selection that holds will do.
    Any,
}

/// A question to [`solve`].
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// What is minimised.
    pub objective: Objective,
    /// What every demand must have to spare, dB.
    pub margin_db: f64,
    /// By how much less each demand need have, dB; empty: none.
    pub give_db: Vec<f64>,
    /// By how much more each limit allows; empty: none.
    pub more: Vec<f64>,
    /// What the costs of each element are multiplied with; empty: nothing.
    pub cost_factor: Vec<f64>,
    /// A selection near which the answer is thought to lie; without it the one of today, or the first.
    pub near: Option<Vec<usize>>,
    /// After so many nodes the search gives up its proof.
    pub nodes: u64,
}

impl Default for Asked {
    fn default() -> Self {
        Self {
            objective: Objective::Cost,
            margin_db: 0.0,
            give_db: Vec::new(),
            more: Vec::new(),
            cost_factor: Vec::new(),
            near: None,
            nodes: MOST_NODES,
        }
    }
}

impl Asked {
    /// What a demand must have to spare, dB.
    fn spare_db(&self, demand: usize) -> f64 {
        self.margin_db - self.give_db.get(demand).copied().unwrap_or(0.0)
    }

    /// The most a limit allows.
    fn most(&self, problem: &Problem, limit: usize) -> f64 {
        let most = problem.limits.get(limit).map_or(f64::INFINITY, |limit| limit.most);
        most + self.more.get(limit).copied().unwrap_or(0.0)
    }

    /// Whether a selection keeps every limit and demand as asked.
    pub fn holds(&self, problem: &Problem, selection: &[usize]) -> bool {
        let sum = problem.sum(selection);
        let quiet = sum.margins_db.iter().enumerate().all(|(at, m)| *m >= self.spare_db(at) - TOLERANCE);
        quiet && sum.uses.iter().enumerate().all(|(at, used)| keeps(*used, self.most(problem, at)))
    }
}

/// Nodes after which a search gives up its proof.
pub const MOST_NODES: u64 = 5_000_000;
/// How much a second aim weighs against the first.
const SECOND: f64 = 1e-6;
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

/// A selection with what it comes to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Choice {
    /// The candidate of each element.
    pub selection: Vec<usize>,
    /// What it comes to.
    pub sum: Sum,
}

/// What is proved.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Certificate {
    /// Whether the whole tree was searched.
    pub proved: bool,
    /// The value found; none where nothing holds.
    pub value: Option<f64>,
    /// No selection can be lower than this.
    pub bound: f64,
    /// Value less bound; none where nothing was found.
    pub gap: Option<f64>,
    /// Nodes looked at.
    pub nodes: u64,
    /// Full sets held against all draws.
    pub held: u64,
    /// How far the rows of the bound were loosened, dB; 0 where they are exact.
    pub lean_db: f64,
    /// How far the true margin of a full set lay above that of the rows at most, dB; below `lean_db` nothing was cut off.
    pub departure_db: f64,
}

/// The answer to a question.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Solved {
    /// The choice; none where nothing holds.
    pub choice: Option<Choice>,
    /// What is proved of it.
    pub certificate: Certificate,
}

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
                    add(&mut least_energy, &least_of(element));
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

    /// Whether the rows of the bound hold for a selection, and whether they would if they were loosened twice as far.
    fn rows_hold(&self, lines: &[Vec<Line>], selection: &[usize]) -> (bool, bool) {
        let mut sums = vec![0.0; self.most.len()];
        for line in lines.iter().zip(selection).filter_map(|(lines, at)| lines.get(*at)) {
            add(&mut sums, &line.takes);
        }
        let within = |loose: f64| sums.iter().zip(&self.most).all(|(sum, most)| *sum <= most * loose);
        (within(1.0), self.problem.draws > 1 && within(math::energy_of_db(self.lean_db + LEAN_STEP_DB)))
    }

    /// Measures how far the true margin of a selection that is nearly good enough lies above that of the rows.
    fn measure(&mut self, lines: &[Vec<Line>], selection: &[usize]) {
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
    fn holds(&mut self, selection: &[usize]) -> bool {
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
    fn draws_can_hold(&mut self, depth: usize) -> bool {
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

/// The least energy of any candidate in each row and draw.
fn least_of(element: &crate::problem::Element) -> Vec<f64> {
    let mut all = element.candidates.iter().map(|candidate| &candidate.energy);
    let mut least = all.next().cloned().unwrap_or_default();
    for energy in all {
        for (least, value) in least.iter_mut().zip(energy) {
            *least = least.min(*value);
        }
    }
    least
}

fn level_len(level: Option<&Level>) -> usize {
    level.map_or(0, |level| level.order.len())
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

/// How a candidate counts for what is minimised.
struct Values {
    objective: Objective,
    cost_scale: f64,
    use_scale: f64,
    /// The least difference that counts.
    step: f64,
}

impl Values {
    fn of(problem: &Problem, objective: Objective) -> Self {
        let largest = |of: &dyn Fn(&Candidate) -> f64| {
            let each = problem.elements.iter().map(|e| e.candidates.iter().map(of).fold(0.0, f64::max));
            each.sum::<f64>().max(1e-9)
        };
        let cost_scale = largest(&|candidate| candidate.cost);
        let use_scale = match objective {
            Objective::Use(at) => largest(&|candidate| candidate.uses.get(at).copied().unwrap_or(0.0)),
            _ => 1.0,
        };
        let scale = if matches!(objective, Objective::Use(_)) { use_scale } else { cost_scale };
        Self { objective, cost_scale, use_scale, step: SECOND * SECOND * scale }
    }

    fn value(&self, candidate: &Candidate, factor: f64) -> f64 {
        match self.objective {
            Objective::Cost => {
                candidate.cost * factor + SECOND * self.cost_scale * f64::from(candidate.steps) * 1e-3
            }
            Objective::Use(at) => {
                candidate.uses.get(at).copied().unwrap_or(0.0)
                    + SECOND * self.use_scale * candidate.cost / self.cost_scale
            }
            Objective::Any => 0.0,
        }
    }
}
