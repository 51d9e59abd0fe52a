//! What is asked of a search, and what it answers.

use serde::Serialize;

use crate::problem::{Candidate, Problem, Sum, TOLERANCE, keeps};

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

/// A question to [`crate::solve`].
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
    /// What the costs of each element are multiplied with, and what they take of a limit of cost; empty: nothing.
    pub cost_factor: Vec<f64>,
    /// A selection near which the answer is thought to lie; without it the one of today, or the first.
    pub near: Option<Vec<usize>>,
    /// Of a least use: that it is known to be no less than this.
    pub used_from: f64,
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
            used_from: 0.0,
            nodes: MOST_NODES,
        }
    }
}

impl Asked {
    /// What a demand must have to spare, dB.
    pub(crate) fn spare_db(&self, demand: usize) -> f64 {
        self.margin_db - self.give_db.get(demand).copied().unwrap_or(0.0)
    }

    /// The most a limit allows.
    pub(crate) fn most(&self, problem: &Problem, limit: usize) -> f64 {
        let most = problem.limits.get(limit).map_or(f64::INFINITY, |limit| limit.most);
        most + self.more.get(limit).copied().unwrap_or(0.0)
    }

    /// What the costs of an element are multiplied with.
    pub(crate) fn factor(&self, element: usize) -> f64 {
        self.cost_factor.get(element).copied().unwrap_or(1.0)
    }

    /// What a candidate of an element takes of a limit at the prices asked.
    pub(crate) fn used(
        &self,
        problem: &Problem,
        (element, candidate): (usize, &Candidate),
        limit: usize,
    ) -> f64 {
        let used = candidate.uses.get(limit).copied().unwrap_or(0.0);
        let of_cost = problem.limits.get(limit).is_some_and(|limit| limit.of_cost);
        if of_cost { used * self.factor(element) } else { used }
    }

    /// What a selection costs at the prices asked.
    pub fn cost(&self, problem: &Problem, selection: &[usize]) -> f64 {
        problem.chosen(selection).enumerate().map(|(at, one)| one.cost * self.factor(at)).sum()
    }

    /// Whether a selection keeps every limit at the prices asked.
    pub(crate) fn within(&self, problem: &Problem, selection: &[usize]) -> bool {
        (0..problem.limits.len()).all(|limit| {
            let each = problem.chosen(selection).enumerate();
            let used: f64 = each.map(|one| self.used(problem, one, limit)).sum();
            keeps(used, self.most(problem, limit))
        })
    }

    /// Whether a selection keeps every limit and demand as asked.
    pub fn holds(&self, problem: &Problem, selection: &[usize]) -> bool {
        let margins_db = problem.sum(selection).margins_db;
        margins_db.iter().enumerate().all(|(at, margin)| *margin >= self.spare_db(at) - TOLERANCE)
            && self.within(problem, selection)
    }
}

/// Nodes after which a search gives up its proof.
pub const MOST_NODES: u64 = 5_000_000;

/// How much a second aim weighs against the first.
const SECOND: f64 = 1e-6;

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

/// How a candidate counts for what is minimised.
pub(crate) struct Values {
    objective: Objective,
    cost_scale: f64,
    /// The least difference that counts.
    pub(crate) step: f64,
}

impl Values {
    pub(crate) fn of(problem: &Problem, objective: Objective) -> Self {
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
        Self { objective, cost_scale, step: SECOND * SECOND * scale }
    }

    pub(crate) fn value(&self, candidate: &Candidate, factor: f64) -> f64 {
        match self.objective {
            Objective::Cost => {
                candidate.cost * factor + SECOND * self.cost_scale * f64::from(candidate.steps) * 1e-3
            }
            Objective::Use(at) => candidate.uses.get(at).copied().unwrap_or(0.0),
            Objective::Any => 0.0,
        }
    }
}
