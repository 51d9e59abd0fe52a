//! The least of what is minimised, with proof: depth first over the elements.

use quantities::math;

use crate::{
    lagrange::multipliers,
    linear::Linears,
    problem::{Problem, TOLERANCE},
    question::{Asked, Certificate, Choice, Objective, Solved},
    rows::{Lines, Rows, dot},
    table::{Axis, Table},
};

mod branching;
mod held;
mod least_use;
mod nearing;
mod settled;

use held::Held;
use least_use::least_use;
use settled::settled;

/// By how much more than was met the rows are loosened, dB.
const LEAN_STEP_DB: f64 = 0.1;
/// Rounds of the multipliers on the way to a good set, and before a search.
const AIM_ROUNDS: usize = 60;
const ROUNDS: usize = 160;
/// How often those begin again with wide steps, and by what part the bound must have grown to do so once more.
const AGAIN: usize = 4;
const WORTH_ANOTHER: f64 = 1e-3;
/// Steps of the tables of the bound, and how many rows get one of their own.
const STEPS: usize = 2048;
const ROW_TABLES: usize = 2;
/// A better set this much below the best known begins the search anew, with tables made for it; and how often.
const WORTH_A_RESTART: f64 = 0.01;
const MOST_RESTARTS: usize = 12;
/// How many sets that keep the rows but do not hold are remembered.
const MOST_FAILED: usize = 2;
/// How many full sets are measured for the certificate, and how many changes of one element round the best.
const MEASURED: u64 = 400;
const NEIGHBOURS: usize = 60;

/// Finds the selection with the least of what is minimised that keeps every limit and demand. The problem is taken as checked by
/// [`Problem::check`].
pub fn solve(problem: &Problem, asked: &Asked) -> Solved {
    solve_with(problem, asked, &Linears::default())
}

/// The same answer, sooner where `kept` was used for other questions to the same problem.
pub fn solve_with(problem: &Problem, asked: &Asked, kept: &Linears) -> Solved {
    match asked.objective {
        Objective::Use(limit) => least_use(problem, asked, limit, kept),
        _ => settled(problem, asked, kept),
    }
}

/// One search with one set of rows.
struct Search<'a> {
    problem: &'a Problem,
    rows: Rows,
    asked: &'a Asked,
    lean_db: f64,
    best: Option<Vec<usize>>,
    value: f64,
    root: f64,
    nodes: u64,
    node_limit: u64,
    proved: bool,
    departure_db: f64,
    held: Held<'a>,
    levels: Vec<Level>,
    tables: Vec<Counted>,
    path: Vec<usize>,
    /// What is taken of each row along the path, before each depth.
    sums: Vec<Vec<f64>>,
    /// Weight along the path in each table, before each depth.
    weights: Vec<Vec<f64>>,
    restarts: usize,
    again: bool,
    /// The least bound of what was left when the search was ended early.
    left_open: f64,
    /// Sets that keep the rows but do not hold: with rows that are exact at them fewer such are left.
    failed: Vec<Vec<usize>>,
}

/// One element in the order of the search.
struct Level {
    element: usize,
    lines: Lines,
    /// Price of each candidate; they stand by rising price.
    prices: Vec<f64>,
    /// Least price of all elements after this one.
    rest: f64,
    /// Least use of each row of all elements after this one.
    least: Vec<f64>,
}

/// A table and what its weights are held against: of one over the value what they may reach, of another what the prices of the most of
/// the other rows come to.
struct Counted {
    table: Table,
    base: f64,
}

impl<'a> Search<'a> {
    fn new((problem, kept): (&'a Problem, &'a Linears), asked: &'a Asked, rows: Rows, lean_db: f64) -> Self {
        Self {
            held: Held::new(problem, asked, kept),
            problem,
            rows,
            asked,
            lean_db,
            best: None,
            value: f64::INFINITY,
            root: f64::NEG_INFINITY,
            nodes: 0,
            node_limit: asked.nodes.min(problem.most_nodes),
            proved: true,
            departure_db: f64::NEG_INFINITY,
            levels: Vec::new(),
            tables: Vec::new(),
            path: Vec::new(),
            sums: Vec::new(),
            weights: Vec::new(),
            restarts: 0,
            again: false,
            left_open: f64::INFINITY,
            failed: Vec::new(),
        }
    }

    fn is_any(&self) -> bool {
        self.asked.objective == Objective::Any
    }

    fn know(&mut self, selection: Option<&[usize]>) {
        let Some(selection) = selection else { return };
        let Some(lines) = self.rows.lines(selection) else { return };
        let (value, _) = self.rows.sums(&lines);
        if value < self.value {
            (self.value, self.best) = (value, Some(selection.to_vec()));
        }
    }

    fn run(&mut self) {
        let rows = self.rows.clone();
        let found = multipliers(&rows.elements, &rows.most, (None, ROUNDS), |selection, over| {
            self.consider(&rows, selection, over);
            self.value
        });
        if self.is_any() && (self.best.is_some() || self.cut(found.bound)) {
            self.root = found.bound;
            return;
        }
        let mut found = found;
        for _ in 0..AGAIN {
            // The steps have grown small: with wide ones from there a better bound may be found.
            let more = self.multiplied(&rows.elements, &found.prices, ROUNDS);
            if more.bound <= found.bound + WORTH_ANOTHER * found.bound.abs() {
                break;
            }
            found = more;
        }
        self.root = found.bound;
        if !self.is_any() {
            self.approach(&found.prices);
        }
        self.look_round();
        self.branch(rows.elements, found, 0);
        if !self.proved {
            self.root = self.root.max(self.left_open.min(self.value));
        }
    }

    /// Takes a selection of the multipliers if it holds and is better.
    fn consider(&mut self, rows: &Rows, selection: &[usize], over: &[f64]) {
        let within = |over: &[f64], loose: f64| {
            over.iter().enumerate().all(|(row, over)| *over <= rows.beyond(row, loose))
        };
        if self.problem.draws > 1 && within(over, math::energy_of_db(self.lean_db + LEAN_STEP_DB)) {
            self.measure(rows, &rows.candidates(selection));
        }
        if !within(over, 1.0) {
            return;
        }
        let (value, _) = rows.sums(selection);
        if value < self.value - 0.5 * rows.step {
            let candidates = rows.candidates(selection);
            if self.holds(&candidates) {
                (self.value, self.best) = (value, Some(candidates));
            }
        }
    }

    /// Measures sets that differ from the best in one element, are better and lie just beyond the rows: whether the rows would cut a good one.
    fn look_round(&mut self) {
        let best = self.best.as_ref().filter(|_| self.problem.draws > 1 && !self.is_any());
        let Some(best) = best.and_then(|best| self.rows.lines(best)) else { return };
        let (value, sums) = self.rows.sums(&best);
        let loose = math::energy_of_db(self.lean_db + 4.0 * LEAN_STEP_DB);
        let mut near: Vec<(f64, usize, usize)> = Vec::new();
        for (element, (lines, old)) in self.rows.elements.iter().zip(&best).enumerate() {
            for at in (0..lines.len()).filter(|at| lines.value(*at) < lines.value(*old)) {
                let takes = lines.takes(at).iter().zip(lines.takes(*old));
                let fits = sums.iter().zip(takes).zip(&self.rows.most).enumerate().all(
                    |(row, ((sum, (new, old)), most))| sum + new - old <= most + self.rows.beyond(row, loose),
                );
                if fits {
                    near.push((lines.value(at) - lines.value(*old), element, at));
                }
            }
        }
        near.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        let rows = self.rows.clone();
        for (gain, element, at) in near.into_iter().take(NEIGHBOURS) {
            let mut changed = best.clone();
            if let Some(slot) = changed.get_mut(element) {
                *slot = at;
            }
            let changed = rows.candidates(&changed);
            self.measure(&rows, &changed);
            if value + gain < self.value - 0.5 * rows.step && self.holds(&changed) {
                (self.value, self.best) = (value + gain, Some(changed));
            }
        }
    }

    /// Measures how far the true margin of a selection lies above that of the rows.
    fn measure(&mut self, rows: &Rows, selection: &[usize]) {
        self.departure_db = self.held.departure_db(rows, selection, self.departure_db);
    }

    /// Whether a selection keeps all limits and demands.
    fn holds(&mut self, selection: &[usize]) -> bool {
        self.asked.within(self.problem, selection) && self.held.holds(selection)
    }

    /// Orders elements and candidates for the search and makes the tables of the bound.
    fn lay_out(&mut self, elements: &[Lines], prices: &[f64], steps: usize) {
        let mut levels: Vec<Level> = elements
            .iter()
            .enumerate()
            .map(|(element, lines)| {
                let mut order: Vec<(f64, usize)> =
                    (0..lines.len()).map(|at| (lines.priced(at, prices), at)).collect();
                order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
                let places: Vec<usize> = order.iter().map(|(_, at)| *at).collect();
                let prices = order.into_iter().map(|(priced, _)| priced).collect();
                Level { element, lines: lines.only(&places), prices, rest: 0.0, least: Vec::new() }
            })
            .collect();
        // First what is settled, then the elements whose candidates differ most: a wrong one then ends the branch at once.
        let width = |level: &Level| match (level.prices.first(), level.prices.get(level.prices.len() / 2)) {
            _ if level.lines.len() < 2 => f64::INFINITY,
            (Some(first), Some(middle)) => middle - first,
            _ => 0.0,
        };
        levels.sort_by(|a, b| width(b).total_cmp(&width(a)).then(a.element.cmp(&b.element)));
        let mut rest = 0.0;
        let mut least = vec![0.0; self.rows.most.len()];
        for level in levels.iter_mut().rev() {
            level.rest = rest;
            level.least.clone_from(&least);
            rest += level.prices.first().copied().unwrap_or(0.0);
            crate::problem::add(&mut least, &level.lines.least());
        }
        self.tables = if steps > 0 { self.tables_of(&levels, prices, steps) } else { Vec::new() };
        self.held.order(levels.iter().map(|level| level.element));
        self.path = vec![0; levels.len()];
        self.sums = vec![vec![0.0; self.rows.most.len()]; levels.len() + 1];
        self.weights = vec![vec![0.0; self.tables.len()]; levels.len() + 1];
        self.levels = levels;
    }

    fn tables_of(&self, levels: &[Level], prices: &[f64], steps: usize) -> Vec<Counted> {
        let most = &self.rows.most;
        let lines: Vec<&Lines> = levels.iter().map(|level| &level.lines).collect();
        let mut tables = Vec::new();
        let paid = dot(most, prices);
        if !self.is_any() && paid > 0.0 {
            let dearest = |lines: &&Lines| lines.values.iter().copied().fold(0.0, f64::max);
            let end = self.value.min(lines.iter().map(dearest).sum::<f64>() * (1.0 + 1e-9) + self.rows.step);
            let table = Table::new(&lines, Axis::Value, (end, steps), |lines, at| {
                dot(lines.takes(at), prices) / paid
            });
            tables.push(Counted { table, base: 1.0 + TOLERANCE });
        }
        let mut dear: Vec<(f64, usize)> =
            prices.iter().zip(most).map(|(price, most)| price * most).zip(0..).collect();
        dear.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        for (paid_here, row) in dear.into_iter().take(ROW_TABLES).filter(|(paid, _)| *paid > 0.0) {
            let mut others = prices.to_vec();
            if let Some(price) = others.get_mut(row) {
                *price = 0.0;
            }
            let end = most.get(row).copied().unwrap_or(1.0);
            let table =
                Table::new(&lines, Axis::Row(row), (end, steps), |lines, at| lines.priced(at, &others));
            tables.push(Counted { table, base: paid_here - paid });
        }
        tables
    }

    /// Whether a branch of this bound cannot hold anything better.
    fn cut(&self, bound: f64) -> bool {
        if self.is_any() {
            bound > TOLERANCE || self.best.is_some()
        } else {
            bound >= self.value - 0.5 * self.rows.step
        }
    }

    fn descend(&mut self, depth: usize, bound: f64, value: f64) {
        let Some(level) = self.levels.get(depth) else { return };
        let (count, rest, element) = (level.lines.len(), level.rest, level.element);
        let last = depth + 1 == self.levels.len();
        for at in 0..count {
            let Some(level) = self.levels.get(depth) else { return };
            let priced = level.prices.get(at).copied().unwrap_or(0.0);
            if self.again || self.cut(bound + priced + rest) {
                return;
            }
            self.nodes += 1;
            if self.nodes > self.node_limit {
                self.proved = false;
                return;
            }
            let (total, place) = (value + level.lines.value(at), level.lines.places.get(at).copied());
            if !self.is_any() && total >= self.value - 0.5 * self.rows.step
                || !self.fits(depth, at)
                || !self.tables_allow(depth, at, total)
            {
                continue;
            }
            if let Some(slot) = self.path.get_mut(depth) {
                *slot = at;
            }
            self.held.put(depth, element, place.unwrap_or(0));
            if last {
                self.measure_path();
                if self.held.path_holds() {
                    self.better(total);
                } else {
                    self.fail(depth);
                }
            } else if self.draws_can_hold(depth) {
                self.descend(depth + 1, bound + priced, total);
            } else {
                self.fail(depth);
            }
        }
    }

    fn draws_can_hold(&mut self, depth: usize) -> bool {
        // Looking at the draws takes as long as so many nodes.
        self.nodes += self.held.work(depth);
        self.held.path_can_hold(depth)
    }

    /// Adds a candidate to the sums of the path; whether every row can still hold.
    fn fits(&mut self, depth: usize, at: usize) -> bool {
        let (Some(level), Some((before, after))) =
            (self.levels.get(depth), self.sums.split_at_mut_checked(depth + 1))
        else {
            return false;
        };
        let (Some(before), Some(after)) = (before.last(), after.first_mut()) else { return false };
        let takes = level.lines.takes(at);
        let rows = after.iter_mut().zip(before).zip(takes).zip(&level.least).zip(&self.rows.most);
        let mut fits = true;
        for ((((after, before), takes), least), most) in rows {
            *after = before + takes;
            fits &= *after + least <= *most;
        }
        fits
    }

    /// Adds a candidate to the weights of the path; whether what comes after it can be good enough in every table.
    fn tables_allow(&mut self, depth: usize, at: usize, total: f64) -> bool {
        let left = self.value - 0.5 * self.rows.step - total;
        let mut allow = true;
        for (number, counted) in self.tables.iter().enumerate() {
            let before = self.weights.get(depth).and_then(|weights| weights.get(number)).copied();
            let weight = before.unwrap_or(0.0) + counted.table.weight(depth, at);
            if let Some(slot) = self.weights.get_mut(depth + 1).and_then(|weights| weights.get_mut(number)) {
                *slot = weight;
            }
            allow &= match counted.table.axis {
                Axis::Value => weight + counted.table.least(depth + 1, left) <= counted.base,
                Axis::Row(row) => {
                    let used = self.sums.get(depth + 1).and_then(|sums| sums.get(row)).copied();
                    let most = self.rows.most.get(row).copied().unwrap_or(0.0);
                    let least = counted.table.least(depth + 1, most - used.unwrap_or(0.0));
                    !self.cut(counted.base + weight + least)
                }
            };
        }
        allow
    }

    /// Measures the full path for the certificate, while few were.
    fn measure_path(&mut self) {
        if self.problem.draws > 1 && self.held.sets < MEASURED {
            let selection = self.selection();
            self.departure_db = self.held.departure_db(&self.rows, &selection, self.departure_db);
        }
    }

    /// Remembers the path, from a depth on with what is least dear, as a set that does not hold.
    fn fail(&mut self, depth: usize) {
        if self.failed.len() >= MOST_FAILED {
            return;
        }
        self.path.iter_mut().skip(depth + 1).for_each(|at| *at = 0);
        let selection = self.selection();
        if !self.failed.contains(&selection) {
            self.failed.push(selection);
        }
    }

    fn selection(&self) -> Vec<usize> {
        let mut selection = vec![0; self.levels.len()];
        for (level, at) in self.levels.iter().zip(&self.path) {
            if let Some(slot) = selection.get_mut(level.element) {
                *slot = level.lines.places.get(*at).copied().unwrap_or(0);
            }
        }
        selection
    }

    fn better(&mut self, total: f64) {
        let gain = self.value - total;
        let worth = !gain.is_finite() || gain > WORTH_A_RESTART * self.value.abs();
        self.again = worth && !self.is_any() && self.restarts < MOST_RESTARTS;
        (self.value, self.best) = (total, Some(self.selection()));
    }

    fn solved(self, nodes: u64, held: u64) -> Solved {
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
                held,
                lean_db: self.lean_db,
                departure_db: if self.departure_db.is_finite() { self.departure_db } else { 0.0 },
            },
            choice,
        }
    }
}
