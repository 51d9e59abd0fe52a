//! What to do next, why nothing holds, and what a choice hangs on.

use rayon::prelude::*;
use serde::Serialize;

use crate::{
    linear::Linears,
    problem::{Problem, add, add_both, keeps},
    question::{Asked, Choice, Objective},
    search::solve_with,
};

/// A gain below this is not worth a step, dB (judgement).
const LEAST_GAIN_DB: f64 = 0.1;
/// Nobody builds a thing twice for less than this, dB (judgement).
const LEAST_GAIN_AGAIN_DB: f64 = 1.0;
/// For so much more money, as a part of what the step costs, the candidate that brings more is taken at once (judgement).
const LITTLE_MORE: f64 = 0.1;
/// How finely a relaxation is found, dB.
const RELAX_STEP_DB: f64 = 0.1;
/// The largest relaxation looked for, dB (judgement: nobody gives up more).
const MOST_RELAX_DB: f64 = 60.0;
/// Rounding that is allowed for when it is told how quiet it can be at all, dB.
const HAIR_DB: f64 = 1e-6;
/// What a change that costs nothing is taken to cost, as a part of what stands, so that of several the one that brings most comes first.
const NOTHING: f64 = 1e-6;

/// One element changed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// The element.
    pub element: usize,
    /// The candidate it becomes.
    pub candidate: usize,
    /// What the change costs; minus: it saves.
    pub cost: f64,
    /// How much the smallest margin grows, dB.
    pub gain_db: f64,
    /// The smallest margin after it, dB.
    pub margin_db: f64,
}

/// The steps one after another that bring most margin for the money, each the best single change after those before it, until
/// every demand has `target_db` to spare, nothing helps, or `most` are found. The limits hold after each, unless one is broken already.
pub fn next_steps(problem: &Problem, from: &[usize], target_db: f64, most: usize) -> Vec<Step> {
    let mut steps = Vec::new();
    let mut selection = from.to_vec();
    while steps.len() < most {
        let now = problem.sum(&selection);
        let Some(margin_db) = now.margin_db().filter(|margin| *margin < target_db) else { break };
        let changed: Vec<bool> = selection.iter().zip(from).map(|(now, before)| now != before).collect();
        let found = best_change(problem, &selection, (now.cost, margin_db, target_db), (&now.uses, &changed));
        let Some(step) = found else { break };
        if let Some(slot) = selection.get_mut(step.element) {
            *slot = step.candidate;
        }
        steps.push(step);
    }
    steps
}

fn best_change(
    problem: &Problem,
    selection: &[usize],
    (cost, margin_db, target_db): (f64, f64, f64),
    (uses, changed_before): (&[f64], &[bool]),
) -> Option<Step> {
    let changes: Vec<(usize, usize)> = problem
        .elements
        .iter()
        .enumerate()
        .flat_map(|(element, one)| (0..one.candidates.len()).map(move |candidate| (element, candidate)))
        .filter(|(element, candidate)| selection.get(*element) != Some(candidate))
        .collect();
    let others: Vec<(Vec<f64>, Vec<f64>)> = (0..problem.elements.len())
        .into_par_iter()
        .map(|element| without(problem, selection, element))
        .collect();
    let tried: Vec<Option<(f64, Step)>> = changes
        .par_iter()
        .map(|&(element, candidate)| {
            let of = |at: usize| problem.elements.get(element).and_then(|element| element.candidates.get(at));
            let (now, new) = (of(*selection.get(element)?)?, of(candidate)?);
            let within = new
                .uses
                .iter()
                .zip(&now.uses)
                .zip(uses)
                .zip(&problem.limits)
                .all(|(((new, now), used), limit)| new <= now || keeps(used - now + new, limit.most));
            if !within {
                return None;
            }
            let (energy, allowed) = others.get(element)?;
            let mut allowed = allowed.clone();
            add(&mut allowed, &new.allows);
            let margins_db =
                problem.margins_db(&allowed, |places, sum| add_both(sum, (energy, &new.energy), places));
            let after_db = margins_db.into_iter().reduce(f64::min)?;
            let gain_db = after_db - margin_db;
            let step = Step { element, candidate, cost: new.cost - now.cost, gain_db, margin_db: after_db };
            // Beyond the target a decibel is worth nothing more.
            let worth = gain_db.min(target_db - margin_db) / step.cost.max(NOTHING * cost.max(1.0));
            let again = changed_before.get(element) == Some(&true);
            let least_db = if again { LEAST_GAIN_AGAIN_DB } else { LEAST_GAIN_DB };
            (gain_db > least_db).then_some((worth, step))
        })
        .collect();
    let worthier = |(worth, step): &(f64, Step), (known, best): &(f64, Step)| {
        // Of two that are worth the same, as two that bring all that is asked and cost nothing, the one that saves more.
        worth > known || worth >= known && step.cost < best.cost
    };
    let mut best: Option<&(f64, Step)> = None;
    for one in tried.iter().flatten() {
        if best.is_none_or(|known| worthier(one, known)) {
            best = Some(one);
        }
    }
    let mut best = best.map(|(_, step)| step)?;
    let most = best.cost + LITTLE_MORE * best.cost.abs();
    for (_, step) in tried.iter().flatten() {
        let short = best.margin_db < target_db;
        if short && step.element == best.element && step.cost <= most && step.gain_db > best.gain_db {
            best = step;
        }
    }
    Some(best.clone())
}

/// Energy of all elements but one, and what each row may reach without it.
fn without(problem: &Problem, selection: &[usize], but: usize) -> (Vec<f64>, Vec<f64>) {
    let mut energy = vec![0.0; problem.rows() * problem.draws];
    let mut allowed = vec![1.0; problem.rows()];
    for (_, candidate) in problem.chosen(selection).enumerate().filter(|(element, _)| *element != but) {
        add(&mut energy, &candidate.energy);
        add(&mut allowed, &candidate.allows);
    }
    (energy, allowed)
}

/// How far one demand or limit alone would have to give so that something holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Relaxation {
    /// The demand or limit.
    pub name: String,
    /// Whether it is a demand (in decibels) or a limit (in its own unit).
    pub is_demand: bool,
    /// By how much it must give; none: giving alone is not enough.
    pub by: Option<f64>,
    /// What could then be built.
    pub choice: Option<Choice>,
    /// Whether every search for it came to its end.
    pub proved: bool,
}

/// The smallest relaxation of each demand and limit alone, everything else as asked with `margin_db` to spare.
pub fn why_not(problem: &Problem, margin_db: f64) -> Vec<Relaxation> {
    why_not_with(problem, margin_db, &Linears::default())
}

/// The same answer, sooner where `kept` was used for other questions to the same problem.
pub fn why_not_with(problem: &Problem, margin_db: f64, kept: &Linears) -> Vec<Relaxation> {
    let demands = problem.demands.len();
    (0..demands + problem.limits.len())
        .into_par_iter()
        .map(|at| match at.checked_sub(demands) {
            None => of_demand(problem, at, margin_db, kept),
            Some(limit) => of_limit(problem, limit, margin_db, kept),
        })
        .collect()
}

fn of_demand(problem: &Problem, at: usize, margin_db: f64, kept: &Linears) -> Relaxation {
    let give = |db: f64, _: Option<&Choice>| {
        let mut give_db = vec![0.0; problem.demands.len()];
        if let Some(slot) = give_db.get_mut(at) {
            *slot = db;
        }
        let asked = Asked { objective: Objective::Any, margin_db, give_db, ..Asked::default() };
        Given::of(solve_with(problem, &asked, kept), |choice| {
            // What it found may need less than it was given.
            let needed_db = choice.sum.margins_db.get(at).map_or(db, |margin| margin_db - margin);
            needed_db.clamp(0.0, db)
        })
    };
    let (found, proved) = least(give);
    let (by, choice) = found.unzip();
    let name = problem.demands.get(at).map_or_else(String::new, |demand| demand.name.clone());
    Relaxation { name, is_demand: true, by, choice, proved }
}

fn of_limit(problem: &Problem, at: usize, margin_db: f64, kept: &Linears) -> Relaxation {
    let mut more = vec![0.0; problem.limits.len()];
    if let Some(slot) = more.get_mut(at) {
        *slot = f64::INFINITY;
    }
    let asked = Asked { objective: Objective::Use(at), margin_db, more, ..Asked::default() };
    let solved = solve_with(problem, &asked, kept);
    let (choice, proved) = (solved.choice, solved.certificate.proved);
    let limit = problem.limits.get(at);
    let by = choice.as_ref().and_then(|choice| {
        let used = choice.sum.uses.get(at)?;
        Some((used - limit?.most).max(0.0))
    });
    let name = limit.map_or_else(String::new, |limit| limit.name.clone());
    Relaxation { name, is_demand: false, by, choice, proved }
}

/// What comes nearest to holding.
#[derive(Clone, Debug, PartialEq)]
pub struct Nearest {
    /// By how much all demands together must give, dB.
    pub by_db: f64,
    /// A set that needs no more.
    pub choice: Choice,
    /// Whether it is proved that less than a tenth of a decibel less is not enough.
    pub proved: bool,
}

/// The smallest relaxation of all demands together, every limit as it is, and a set that needs no more; none where even without demands
/// nothing holds. `known` are sets that keep every limit: the answer is never worse than they. That nothing at all is too little is taken as
/// known.
pub fn why_not_together(problem: &Problem, margin_db: f64, known: &[Vec<usize>]) -> Option<Nearest> {
    why_not_together_with(problem, margin_db, (known, &Linears::default()))
}

/// The same answer, sooner where `kept` was used for other questions to the same problem.
pub fn why_not_together_with(
    problem: &Problem,
    margin_db: f64,
    (known, kept): (&[Vec<usize>], &Linears),
) -> Option<Nearest> {
    let needed_db =
        |choice: &Choice| choice.sum.margin_db().map_or(0.0, |margin| (margin_db - margin).max(0.0));
    let begin = known
        .iter()
        .filter(|selection| problem.holds(selection, -crate::problem::MOST_MARGIN_DB))
        .map(|selection| Choice { selection: selection.clone(), sum: problem.sum(selection) })
        .map(|choice| (needed_db(&choice), choice))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    // However quiet all else is, some element keeps a demand from having more.
    let quietest_db = |of: &Vec<Vec<f64>>| {
        let each = of.iter().map(|margins_db| margins_db.iter().copied().fold(f64::INFINITY, f64::min));
        each.fold(f64::NEG_INFINITY, f64::max)
    };
    let most_db = kept.quietest_db(problem).iter().map(quietest_db).fold(f64::INFINITY, f64::min);
    let low_db = if most_db.is_finite() { (margin_db - most_db - HAIR_DB).max(0.0) } else { 0.0 };
    let give = |db: f64, near: Option<&Choice>| {
        let asked = Asked {
            objective: Objective::Any,
            margin_db: margin_db - db,
            near: near.map(|choice| choice.selection.clone()),
            ..Asked::default()
        };
        Given::of(solve_with(problem, &asked, kept), needed_db)
    };
    let begin = match begin {
        Some(begin) => Given { found: Some(begin), proved: true },
        None => give(MOST_RELAX_DB, None),
    };
    let (found, proved) = parted(begin, low_db, give);
    let (by_db, choice) = found?;
    Some(Nearest { by_db, choice, proved })
}

/// What so many decibels less give: a set, and what it really needs, dB; and whether that nothing was found is proved.
struct Given {
    found: Option<(f64, Choice)>,
    proved: bool,
}

impl Given {
    /// Nothing was asked.
    fn none() -> Self {
        Self { found: None, proved: true }
    }

    fn of(solved: crate::question::Solved, needed_db: impl Fn(&Choice) -> f64) -> Self {
        let proved = solved.certificate.proved || solved.choice.is_some();
        Self { found: solved.choice.map(|choice| (needed_db(&choice), choice)), proved }
    }
}

fn least(give: impl Fn(f64, Option<&Choice>) -> Given + Sync) -> (Option<(f64, Choice)>, bool) {
    let begin = give(MOST_RELAX_DB, None);
    parted(begin, 0.0, give)
}

/// Parts what must be given in three, in whole steps, until it is known as finely as it is told; `low` is known not to be enough, or to be that
/// fine already. Both places between are asked at once. In whole steps, so that the same is found again for a problem that differs by a hair.
fn parted(
    begin: Given,
    low_db: f64,
    give: impl Fn(f64, Option<&Choice>) -> Given + Sync,
) -> (Option<(f64, Choice)>, bool) {
    let Given { found: Some(mut found), mut proved } = begin else { return (None, begin.proved) };
    let steps = |db: f64| (db / RELAX_STEP_DB - 1e-6).ceil();
    let (mut low, mut high) = ((low_db / RELAX_STEP_DB + 1e-6).floor(), steps(found.0));
    while high - low > 1.0 {
        let third = ((high - low) / 3.0).floor().max(1.0);
        let (one, other) = (low + third, (high - third).max(low + third));
        let near = Some(&found.1);
        let ask = |at: f64| give(at * RELAX_STEP_DB, near);
        let (lower, upper) =
            if one < other { rayon::join(|| ask(one), || ask(other)) } else { (ask(one), Given::none()) };
        // The lower is asked first: what it gives, the upper gives too.
        proved &= lower.proved && (lower.found.is_some() || upper.proved);
        let mut take = |at: f64, (needed_db, choice): (f64, Choice)| {
            high = steps(needed_db).min(at);
            found = (high * RELAX_STEP_DB, choice);
        };
        match (lower.found, upper.found) {
            (Some(lower), _) => take(one, lower),
            (None, Some(upper)) => {
                low = one;
                take(other, upper);
            }
            (None, None) => low = other,
        }
    }
    (Some(found), proved)
}
