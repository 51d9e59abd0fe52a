//! One question answered with rows that are exact at the answer.

use std::sync::Arc;

use quantities::math;

use super::{AIM_ROUNDS, LEAN_STEP_DB, Search};
use crate::{
    lagrange::multipliers,
    linear::{LinearRows, Linears},
    problem::{Element, Problem, TOLERANCE},
    question::{Asked, Certificate, Objective, Solved, Values},
    rows::Rows,
};

/// By how much the rows are loosened at first, dB: what is proved so stands if the search with more comes to no end.
const FIRST_LEAN_DB: f64 = 0.05;
/// The most they ever are loosened, dB.
const MOST_LEAN_DB: f64 = 3.0;
/// How often rows are made exact at a better selection before the search.
const AIMS: usize = 3;
/// How often a good set is looked for round the last before the search.
const APPROACHES: usize = 6;

/// How many short searches look for sets to make rows of, and how long each is.
const CUT_ROUNDS: usize = 8;
const CUT_NODES: u64 = 20_000;

/// Searches with rows that are exact at the answer.
pub(super) fn settled(problem: &Problem, asked: &Asked, kept: &Linears) -> Solved {
    let start = asked.near.clone().or_else(|| problem.today());
    let start = start.unwrap_or_else(|| vec![0; problem.elements.len()]);
    let mut known: Option<Vec<usize>> = asked.holds(problem, &start).then(|| start.clone());
    let (mut nodes, mut held) = (0, 0);
    let exact = problem.draws <= 1;
    let wide_db = if exact { 0.0 } else { problem.lean_db.max(0.0) };
    let mut lean_db = wide_db.min(FIRST_LEAN_DB);
    let mut at = start;
    let open = open(problem, asked, kept);
    if open.iter().any(Vec::is_empty) {
        return impossible(problem, asked, lean_db);
    }
    let mut cuts: Vec<Vec<usize>> = Vec::new();
    let rows_with = |at: &[usize], lean_db: f64, cuts: &[Vec<usize>]| {
        let linear = with_cuts(problem, asked, kept.at(problem, at), (cuts, kept));
        Rows::new(problem, asked, (linear, &open), (asked.objective, lean_db))
    };
    let rows_at = |at: &[usize], lean_db: f64| rows_with(at, lean_db, &[]);
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
    if !exact && asked.objective != Objective::Any {
        // From one good set to the next, each time with the rows that are exact at the last.
        for _ in 0..APPROACHES {
            if let Some(known) = &known {
                at.clone_from(known);
            }
            let mut search = Search::new((problem, kept), asked, rows_at(&at, lean_db), lean_db);
            search.know(known.as_deref());
            search.come_near();
            if search.best == known {
                break;
            }
            known = search.best;
        }
    }
    if !exact {
        // Sets that keep the rows but do not hold: short searches find some, each makes rows that cut its like off.
        for _ in 0..CUT_ROUNDS {
            let mut search = Search::new((problem, kept), asked, rows_with(&at, lean_db, &cuts), lean_db);
            search.node_limit = search.node_limit.saturating_sub(nodes).min(CUT_NODES);
            search.know(known.as_deref());
            search.run();
            nodes += search.nodes;
            held += search.held.sets;
            if search.best != known {
                known = search.best;
                if let Some(known) = &known {
                    at.clone_from(known);
                }
            }
            let before = cuts.len();
            cuts.extend(search.failed.into_iter().filter(|one| !cuts.contains(one)).collect::<Vec<_>>());
            if search.proved || cuts.len() == before || asked.objective == Objective::Any && known.is_some() {
                break;
            }
        }
    }
    let mut rounds = 0;
    // What was proved with the rows loosened a little, while they are loosened more.
    let mut sure: Option<Solved> = None;
    loop {
        let mut search = Search::new((problem, kept), asked, rows_with(&at, lean_db, &cuts), lean_db);
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
        let found = search.best.is_some();
        if there || !search.proved || asked.objective == Objective::Any || rounds > 2 * AIMS {
            let proved = search.proved;
            let solved = search.solved(nodes, held);
            if let Some(sure) = sure {
                return if proved { solved } else { surer(sure, solved) };
            }
            if !proved || lean_db >= wide_db || asked.objective == Objective::Any && found {
                return solved;
            }
            (sure, lean_db, rounds) = (Some(solved), wide_db, 0);
            continue;
        }
        // The rows are exact at the new selection: search once more from there.
        at = search.best.unwrap_or_default();
    }
}

/// Rows, and of those that are exact at some sets the ones that these do not keep.
fn with_cuts(
    problem: &Problem,
    asked: &Asked,
    linear: Arc<LinearRows>,
    (cuts, kept): (&[Vec<usize>], &Linears),
) -> Arc<LinearRows> {
    if cuts.is_empty() {
        return linear;
    }
    let others: Vec<(Arc<LinearRows>, Vec<usize>)> = cuts
        .iter()
        .map(|cut| {
            let own = kept.at(problem, cut);
            let broken = |row: &usize| {
                let demand = own.demands.get(*row).copied().unwrap_or(0);
                own.reached(cut, *row) > math::energy_of_db(-asked.spare_db(demand))
            };
            let rows = (0..own.demands.len()).filter(broken).collect();
            (own, rows)
        })
        .collect();
    let candidates: Vec<usize> = problem.elements.iter().map(|element| element.candidates.len()).collect();
    Arc::new(linear.with(&others, &candidates))
}

/// Of an answer that was proved with the rows loosened a little and one of the same question, loosened more, whose search was ended early, the one
/// to give: the second if it found something better.
fn surer(sure: Solved, other: Solved) -> Solved {
    let better = match (sure.certificate.value, other.certificate.value) {
        (Some(sure), Some(other)) => other < sure * (1.0 - TOLERANCE),
        (sure, other) => sure.is_none() && other.is_some(),
    };
    // What was met meanwhile may show that a little was too little.
    if better || other.certificate.departure_db > sure.certificate.lean_db {
        return other;
    }
    let (nodes, held) = (other.certificate.nodes, other.certificate.held);
    Solved { certificate: Certificate { nodes, held, ..sure.certificate }, ..sure }
}

/// For each element the candidates that something which holds may have in it: those with which, all others at their least, every limit and demand
/// can be kept.
pub(super) fn open(problem: &Problem, asked: &Asked, kept: &Linears) -> Vec<Vec<usize>> {
    let quietest_db = kept.quietest_db(problem);
    let used = |element: usize, at: usize, limit: usize| {
        let candidate = problem.elements.get(element).and_then(|one| one.candidates.get(at));
        candidate.map_or(0.0, |candidate| asked.used(problem, (element, candidate), limit))
    };
    let count = |element: usize| problem.elements.get(element).map_or(0, |one| one.candidates.len());
    let elements = problem.elements.len();
    let least: Vec<Vec<f64>> = (0..elements)
        .map(|element| {
            let least_of =
                |limit| (0..count(element)).map(|at| used(element, at, limit)).fold(f64::INFINITY, f64::min);
            (0..problem.limits.len()).map(least_of).collect()
        })
        .collect();
    let others = |element: usize, limit: usize| -> f64 {
        let each = least.iter().enumerate().filter(|(at, _)| *at != element);
        each.filter_map(|(_, least)| least.get(limit)).sum()
    };
    (0..elements)
        .map(|element| {
            let left: Vec<f64> = (0..problem.limits.len())
                .map(|limit| asked.most(problem, limit) - others(element, limit))
                .collect();
            let within = |at: usize| {
                left.iter().enumerate().all(|(limit, left)| {
                    !left.is_finite() || {
                        let forgiven = TOLERANCE * asked.most(problem, limit).abs().max(1.0);
                        used(element, at, limit) <= left + 2.0 * forgiven
                    }
                })
            };
            let quiet = |at: usize| {
                let margins_db = quietest_db.get(element).and_then(|all| all.get(at));
                margins_db.is_none_or(|margins_db| {
                    let each = margins_db.iter().enumerate();
                    each.into_iter()
                        .all(|(demand, margin_db)| *margin_db >= asked.spare_db(demand) - 2.0 * TOLERANCE)
                })
            };
            (0..count(element)).filter(|at| within(*at) && quiet(*at)).collect()
        })
        .collect()
}

/// The answer where some element has nothing that could hold.
fn impossible(problem: &Problem, asked: &Asked, lean_db: f64) -> Solved {
    let values = Values::of(problem, asked.objective);
    let least = |(at, element): (usize, &Element)| {
        let each = element.candidates.iter().map(|one| values.value(one, asked.factor(at)));
        each.fold(f64::INFINITY, f64::min)
    };
    let bound = problem.elements.iter().enumerate().map(least).sum();
    let certificate = Certificate {
        proved: true,
        value: None,
        bound,
        gap: None,
        nodes: 0,
        held: 0,
        lean_db,
        departure_db: 0.0,
    };
    Solved { choice: None, certificate }
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
    best.map(|(_, _, selection)| rows.candidates(&selection))
}
