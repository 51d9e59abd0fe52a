//! The least of what is minimised, with proof: depth first over the elements.

use quantities::math;

use crate::{
    lagrange::multipliers,
    linear::Linears,
    problem::{Problem, TOLERANCE},
    question::{Asked, Certificate, Choice, Objective, Solved, Values},
    rows::{Lines, Rows, dot},
    table::{Axis, Table},
};

mod held;
mod least_use;

use held::Held;
use least_use::least_use;

/// By how much more than was met the rows are loosened, and the most they ever are, dB.
const LEAN_STEP_DB: f64 = 0.1;
const MOST_LEAN_DB: f64 = 3.0;
/// How often rows are made exact at a better selection before the search, with what rounds of the multipliers.
const AIMS: usize = 3;
const AIM_ROUNDS: usize = 60;
/// Rounds of improving the multipliers, and again after most candidates were left out.
const ROUNDS: usize = 160;
const MORE_ROUNDS: usize = 60;
/// Steps of the tables of the bound, and how many rows get one of their own.
const STEPS: usize = 2048;
const ROW_TABLES: usize = 2;
/// A better set this much below the best known begins the search anew, with tables made for it; and how often.
const WORTH_A_RESTART: f64 = 0.01;
const MOST_RESTARTS: usize = 12;
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

/// Searches with rows that are exact at the answer.
fn settled(problem: &Problem, asked: &Asked, kept: &Linears) -> Solved {
    let start = asked.near.clone().or_else(|| problem.today());
    let start = start.unwrap_or_else(|| vec![0; problem.elements.len()]);
    let mut known: Option<Vec<usize>> = asked.holds(problem, &start).then(|| start.clone());
    let (mut nodes, mut held) = (0, 0);
    let exact = problem.draws <= 1;
    let mut lean_db = if exact { 0.0 } else { problem.lean_db.max(0.0) };
    let mut at = start;
    let rows_at = |at: &[usize], lean_db: f64| {
        Rows::new(problem, asked, &kept.at(problem, at), (asked.objective, lean_db))
    };
    if !exact {
        // Wherever the best known lies, the answer may lie far from it.
        for _ in 0..AIMS {
            let Some(next) = aim(&rows_at(&at, 0.0)).filter(|next| *next != at) else { break };
            at = next;
            if known.as_ref().is_none_or(|known| worth(problem, asked, &at) < worth(problem, asked, known))
                && asked.holds(problem, &at)
            {
                known = Some(at.clone());
            }
        }
    }
    if known.is_none() && asked.objective != Objective::Any {
        // Without any set that holds the bound cannot cut: look for one first.
        let near = Some(at.clone());
        let any = settled(problem, &Asked { objective: Objective::Any, near, ..asked.clone() }, kept);
        match any.choice {
            Some(choice) => known = Some(choice.selection),
            None if any.certificate.proved => return any,
            None => {}
        }
    }
    let mut rounds = 0;
    loop {
        let mut search = Search::new(problem, asked, rows_at(&at, lean_db), lean_db);
        search.node_limit = search.node_limit.saturating_sub(nodes);
        search.know(known.as_deref());
        search.run();
        nodes += search.nodes;
        held += search.held.sets;
        rounds += 1;
        known.clone_from(&search.best);
        if search.departure_db > lean_db && lean_db < MOST_LEAN_DB && search.proved {
            // A set was met that the rows would have cut off: loosen them and search again.
            lean_db = (search.departure_db + LEAN_STEP_DB).min(MOST_LEAN_DB);
            continue;
        }
        let there = search.best.as_ref().is_none_or(|best| *best == at) || exact;
        if there || !search.proved || asked.objective == Objective::Any || rounds > 2 * AIMS {
            return search.solved(nodes, held);
        }
        // The rows are exact at the new selection: search once more from there.
        at = search.best.unwrap_or_default();
    }
}

/// What a selection comes to of what is minimised.
fn worth(problem: &Problem, asked: &Asked, selection: &[usize]) -> f64 {
    let values = Values::of(problem, asked.objective);
    problem.chosen(selection).enumerate().map(|(at, one)| values.value(one, asked.factor(at))).sum()
}

/// The selection that the multipliers find and that comes nearest to keeping the rows.
fn aim(rows: &Rows) -> Option<Vec<usize>> {
    let mut best: Option<(f64, f64, Vec<usize>)> = None;
    multipliers(&rows.elements, &rows.most, (None, AIM_ROUNDS), |selection, over| {
        let beyond =
            over.iter().zip(&rows.most).map(|(over, most)| over / most.max(1e-9)).fold(0.0, f64::max);
        let value: f64 = rows.elements.iter().zip(selection).map(|(lines, at)| lines.value(*at)).sum();
        let better = best
            .as_ref()
            .is_none_or(|(known, worth, _)| beyond < *known || beyond <= *known && value < *worth);
        if better {
            best = Some((beyond, value, selection.to_vec()));
        }
        f64::INFINITY
    });
    best.map(|(_, _, selection)| selection)
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
    fn new(problem: &'a Problem, asked: &'a Asked, rows: Rows, lean_db: f64) -> Self {
        Self {
            held: Held::new(problem, asked),
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
        }
    }

    fn is_any(&self) -> bool {
        self.asked.objective == Objective::Any
    }

    fn know(&mut self, selection: Option<&[usize]>) {
        let Some(selection) = selection else { return };
        let (value, _) = self.rows.sums(selection);
        if value < self.value {
            (self.value, self.best) = (value, Some(selection.to_vec()));
        }
    }

    fn run(&mut self) {
        let rows = self.rows.clone();
        let mut found = multipliers(&rows.elements, &rows.most, (None, ROUNDS), |selection, over| {
            self.consider(&rows, selection, over);
            self.value
        });
        self.root = found.bound;
        if self.is_any() && (self.best.is_some() || self.cut(found.bound)) {
            return;
        }
        self.look_round();
        let mut elements = self.rows.elements.clone();
        loop {
            let before: usize = elements.iter().map(Lines::len).sum();
            self.leave_out(&mut elements, &found.prices);
            let after: usize = elements.iter().map(Lines::len).sum();
            if elements.iter().any(|lines| lines.len() == 0) {
                // Nothing better is left.
                self.root = self.value;
                return;
            }
            if after * 10 < before * 7 {
                let start = (Some(found.prices.as_slice()), MORE_ROUNDS);
                let value = self.value;
                let more = multipliers(&elements, &self.rows.most, start, |_, _| value);
                if more.bound > found.bound {
                    // Only what is left out was allowed for: all else is worth no less than the best known.
                    found = more;
                    self.root = self.root.max(found.bound.min(self.value));
                    continue;
                }
            }
            self.lay_out(&elements, &found.prices);
            self.again = false;
            let base = -dot(&self.rows.most, &found.prices);
            self.descend(0, base, 0.0);
            if !self.again {
                return;
            }
            self.restarts += 1;
        }
    }

    /// Takes a selection of the multipliers if it holds and is better.
    fn consider(&mut self, rows: &Rows, selection: &[usize], over: &[f64]) {
        let within = |over: &[f64], loose: f64| {
            over.iter().zip(&rows.most).enumerate().all(|(row, (over, most))| {
                *over <= if row < rows.limits { 0.0 } else { most * (loose - 1.0) }
            })
        };
        if self.problem.draws > 1 && within(over, math::energy_of_db(self.lean_db + LEAN_STEP_DB)) {
            let (_, sums) = rows.sums(selection);
            self.measure(rows, &sums, selection);
        }
        if !within(over, 1.0) {
            return;
        }
        let (value, _) = rows.sums(selection);
        if value < self.value - 0.5 * rows.step && self.holds(selection) {
            (self.value, self.best) = (value, Some(selection.to_vec()));
        }
    }

    /// Measures sets that differ from the best in one element, are better and lie just beyond the rows: whether the rows would cut a good one.
    fn look_round(&mut self) {
        let Some(best) = self.best.clone().filter(|_| self.problem.draws > 1 && !self.is_any()) else {
            return;
        };
        let (value, sums) = self.rows.sums(&best);
        let loose = math::energy_of_db(self.lean_db + 4.0 * LEAN_STEP_DB);
        let mut near: Vec<(f64, usize, usize)> = Vec::new();
        for (element, (lines, old)) in self.rows.elements.iter().zip(&best).enumerate() {
            for at in (0..lines.len()).filter(|at| lines.value(*at) < lines.value(*old)) {
                let takes = lines.takes(at).iter().zip(lines.takes(*old));
                let fits = sums.iter().zip(takes).zip(&self.rows.most).enumerate().all(
                    |(row, ((sum, (new, old)), most))| {
                        sum + new - old <= if row < self.rows.limits { *most } else { most * loose }
                    },
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
            let (_, sums) = rows.sums(&changed);
            self.measure(&rows, &sums, &changed);
            if value + gain < self.value - 0.5 * rows.step && self.holds(&changed) {
                (self.value, self.best) = (value + gain, Some(changed));
            }
        }
    }

    /// Measures how far the true margin of a selection lies above that of the rows.
    fn measure(&mut self, rows: &Rows, sums: &[f64], selection: &[usize]) {
        let found = self.held.departure_db(rows, sums, selection);
        self.departure_db = self.departure_db.max(found);
    }

    /// Whether a selection keeps all limits and demands.
    fn holds(&mut self, selection: &[usize]) -> bool {
        self.asked.within(self.problem, selection) && self.held.holds(selection)
    }

    /// Leaves out every candidate that can be in nothing better.
    fn leave_out(&self, elements: &mut [Lines], prices: &[f64]) {
        let priced: Vec<Vec<f64>> = elements
            .iter()
            .map(|lines| (0..lines.len()).map(|at| lines.priced(at, prices)).collect())
            .collect();
        let least_of = |priced: &Vec<f64>| priced.iter().copied().fold(f64::INFINITY, f64::min);
        let bound = priced.iter().map(least_of).sum::<f64>() - dot(&self.rows.most, prices);
        for (lines, priced) in elements.iter_mut().zip(&priced) {
            let least = least_of(priced);
            let kept: Vec<usize> = priced
                .iter()
                .enumerate()
                .filter(|(_, priced)| !self.cut(bound + *priced - least))
                .map(|(at, _)| at)
                .collect();
            *lines = lines.only(&kept);
        }
    }

    /// Orders elements and candidates for the search and makes the tables of the bound.
    fn lay_out(&mut self, elements: &[Lines], prices: &[f64]) {
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
        // First the elements whose candidates differ most: a wrong one then ends the branch at once.
        let width = |level: &Level| match (level.prices.first(), level.prices.get(level.prices.len() / 2)) {
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
        self.tables = self.tables_of(&levels, prices);
        if let (Some(amount), false) = (self.tables.first().and_then(Counted::least_value), self.is_any()) {
            self.root = self.root.max(amount.min(self.value));
        }
        self.held.order(levels.iter().map(|level| level.element));
        self.path = vec![0; levels.len()];
        self.sums = vec![vec![0.0; self.rows.most.len()]; levels.len() + 1];
        self.weights = vec![vec![0.0; self.tables.len()]; levels.len() + 1];
        self.levels = levels;
    }

    fn tables_of(&self, levels: &[Level], prices: &[f64]) -> Vec<Counted> {
        let most = &self.rows.most;
        let lines: Vec<&Lines> = levels.iter().map(|level| &level.lines).collect();
        let mut tables = Vec::new();
        let paid = dot(most, prices);
        if !self.is_any() && paid > 0.0 {
            let dearest = |lines: &&Lines| lines.values.iter().copied().fold(0.0, f64::max);
            let end = self.value.min(lines.iter().map(dearest).sum::<f64>() * (1.0 + 1e-9) + self.rows.step);
            let table = Table::new(&lines, Axis::Value, (end, STEPS), |lines, at| {
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
                Table::new(&lines, Axis::Row(row), (end, STEPS), |lines, at| lines.priced(at, &others));
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
                }
            } else if self.draws_can_hold(depth) {
                self.descend(depth + 1, bound + priced, total);
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
            let sums = self.sums.last().cloned().unwrap_or_default();
            let found = self.held.departure_db(&self.rows, &sums, &selection);
            self.departure_db = self.departure_db.max(found);
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

impl Counted {
    /// The least value with which the weights of a table over the value stay within what they may reach.
    fn least_value(&self) -> Option<f64> {
        if self.table.axis == Axis::Value { self.table.least_amount(self.base) } else { None }
    }
}
