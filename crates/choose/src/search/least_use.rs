//! The least that can be used of a limit.

use super::settled::{open, settled};
use crate::{
    linear::Linears,
    problem::{Problem, TOLERANCE, keeps},
    question::{Asked, Choice, Objective, Solved},
};

/// First the least use, by halving the amounts there can be, each with any set at all; then of the sets that use no more the least cost.
pub(super) fn least_use(problem: &Problem, asked: &Asked, limit: usize, kept: &Linears) -> Solved {
    let most = problem.limits.get(limit).map_or(f64::INFINITY, |limit| limit.most);
    let at_most = |used: f64| {
        let mut more = asked.more.clone();
        more.resize(problem.limits.len(), 0.0);
        if let (Some(slot), true) = (more.get_mut(limit), most.is_finite()) {
            *slot = used - most;
        }
        more
    };
    let any = |more: Vec<f64>, near: Option<Vec<usize>>| {
        settled(problem, &Asked { objective: Objective::Any, more, near, ..asked.clone() }, kept)
    };
    let mut solved = any(asked.more.clone(), asked.near.clone());
    let Some(mut choice) = solved.choice.take() else { return solved };
    let used_by = |choice: &Choice| choice.sum.uses.get(limit).copied().unwrap_or(0.0);
    let (mut nodes, mut held, mut proved) = (solved.certificate.nodes, solved.certificate.held, true);
    let amounts = amounts(problem, limit, used_by(&choice));
    let least = least_possible(problem, (asked, kept), limit).max(asked.used_from) * (1.0 - TOLERANCE);
    let (mut low, mut high) =
        (amounts.partition_point(|amount| *amount < least - TOLERANCE), amounts.len().saturating_sub(1));
    low = low.min(high);
    while low < high {
        let middle = usize::midpoint(low, high);
        let amount = amounts.get(middle).copied().unwrap_or(0.0);
        let tried = any(at_most(amount), Some(choice.selection.clone()));
        (nodes, held) = (nodes + tried.certificate.nodes, held + tried.certificate.held);
        proved &= tried.certificate.proved || tried.choice.is_some();
        match tried.choice {
            Some(less) => {
                high = amounts.partition_point(|amount| *amount < used_by(&less) - TOLERANCE).min(middle);
                choice = less;
            }
            None => low = middle + 1,
        }
    }
    let used = used_by(&choice);
    let bound = if proved { used } else { asked.used_from.clamp(0.0, used.max(0.0)) };
    let near = Some(choice.selection);
    let asked = Asked { objective: Objective::Cost, more: at_most(used), near, ..asked.clone() };
    let mut cheapest = settled(problem, &asked, kept);
    let certificate = &mut cheapest.certificate;
    certificate.nodes += nodes;
    certificate.held += held;
    certificate.proved &= proved;
    (certificate.value, certificate.bound, certificate.gap) = (Some(used), bound, Some(used - bound));
    cheapest
}

/// What is used of a limit at least with candidates that something which holds may have in it.
fn least_possible(problem: &Problem, (asked, kept): (&Asked, &Linears), limit: usize) -> f64 {
    let open = open(problem, asked, kept);
    let used = |(element, at): (usize, &usize)| {
        let candidate = problem.elements.get(element).and_then(|one| one.candidates.get(*at));
        candidate.map_or(0.0, |candidate| asked.used(problem, (element, candidate), limit))
    };
    let each = open
        .iter()
        .enumerate()
        .map(|(element, open)| open.iter().map(|at| used((element, at))).fold(f64::INFINITY, f64::min));
    let least: f64 = each.sum();
    if least.is_finite() { least } else { 0.0 }
}

/// How many different amounts are told apart.
const MOST_AMOUNTS: usize = 4096;

/// What can be used of a limit at all, up to an amount, rising.
fn amounts(problem: &Problem, limit: usize, most: f64) -> Vec<f64> {
    let mut sums = vec![0.0];
    for element in &problem.elements {
        let mut uses: Vec<f64> =
            element.candidates.iter().map(|one| one.uses.get(limit).copied().unwrap_or(0.0)).collect();
        uses.sort_by(f64::total_cmp);
        uses.dedup();
        let mut longer: Vec<f64> =
            sums.iter().flat_map(|sum| uses.iter().map(move |used| sum + used)).collect();
        longer.retain(|sum| keeps(*sum, most));
        longer.sort_by(f64::total_cmp);
        longer.dedup_by(|a, b| *a - *b <= TOLERANCE * most.abs().max(1.0));
        if longer.len() > MOST_AMOUNTS {
            // So many that even steps do as well.
            return (0..=MOST_AMOUNTS).map(|at| most * at as f64 / MOST_AMOUNTS as f64).collect();
        }
        sums = longer;
    }
    sums
}
