//! The whole trade-off: what each decibel costs in money, or in headroom.

use rayon::prelude::*;
use serde::Serialize;

use crate::{
    linear::Linears,
    problem::Problem,
    question::{Asked, Choice, Objective},
    search::solve_with,
};

/// The least step between margins, dB.
const LEAST_STEP_DB: f64 = 0.01;

/// A point of a front: nothing has a larger margin for the same or less.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrontPoint {
    /// What it costs, or uses.
    pub value: f64,
    /// Its smallest margin, dB.
    pub margin_db: f64,
    /// The selection with what it comes to.
    pub choice: Choice,
    /// Whether its value is proved to be the least.
    pub proved: bool,
}

/// A front, from the least to the most.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Front {
    /// Its points.
    pub points: Vec<FrontPoint>,
    /// Place of the knee among them: the point farthest above the straight line between its ends.
    pub knee: Option<usize>,
    /// Margins closer than this were not told apart, dB.
    pub step_db: f64,
}

/// The least cost for every margin. `step_db` above 0; no more than `most_points` are worked out.
pub fn cost_front(problem: &Problem, step_db: f64, most_points: usize) -> Front {
    cost_front_with(problem, (step_db, most_points), &Linears::default())
}

/// The same answer, sooner where `kept` was used for other questions to the same problem.
pub fn cost_front_with(problem: &Problem, steps: (f64, usize), kept: &Linears) -> Front {
    let all = (-crate::problem::MOST_MARGIN_DB, f64::INFINITY);
    front((problem, kept), Objective::Cost, (steps, all), |choice| choice.sum.cost)
}

/// The least use of a limit, such as headroom, for every margin; the limit itself still holds.
pub fn use_front(problem: &Problem, limit: usize, step_db: f64, most_points: usize) -> Front {
    use_front_with(problem, limit, (step_db, most_points), &Linears::default())
}

/// The same answer, sooner where `kept` was used for other questions to the same problem.
pub fn use_front_with(problem: &Problem, limit: usize, steps: (f64, usize), kept: &Linears) -> Front {
    use_front_in_parts(problem, limit, steps, (&[], kept))
}

/// The same front worked out in parts at once, each from one of these margins on, rising: beside such a margin two points may be nearer to each
/// other than the step.
pub fn use_front_in_parts(
    problem: &Problem,
    limit: usize,
    steps: (f64, usize),
    (from_db, kept): (&[f64], &Linears),
) -> Front {
    let value = |choice: &Choice| choice.sum.uses.get(limit).copied().unwrap_or(0.0);
    let mut begins = vec![-crate::problem::MOST_MARGIN_DB];
    begins.extend(from_db.iter().copied().filter(|db| db.is_finite()));
    let ends = begins.iter().copied().skip(1).chain([f64::INFINITY]);
    let parts: Vec<(f64, f64)> = begins.iter().copied().zip(ends).collect();
    let points = parts
        .into_par_iter()
        .flat_map_iter(|part| front((problem, kept), Objective::Use(limit), (steps, part), value).points)
        .collect();
    let points = ahead(points);
    Front { knee: knee(&points), points, step_db: steps.0.max(LEAST_STEP_DB) }
}

fn front(
    (problem, kept): (&Problem, &Linears),
    objective: Objective,
    ((step_db, most_points), (from_db, to_db)): ((f64, usize), (f64, f64)),
    value: impl Fn(&Choice) -> f64,
) -> Front {
    let step_db = step_db.max(LEAST_STEP_DB);
    let mut points: Vec<FrontPoint> = Vec::new();
    let mut asked = Asked { objective, margin_db: from_db, ..Asked::default() };
    while points.len() < most_points && asked.margin_db < to_db {
        let solved = solve_with(problem, &asked, kept);
        let Some(choice) = solved.choice else { break };
        let Some(margin_db) = choice.sum.margin_db() else { break };
        asked.margin_db = margin_db + step_db;
        // For more to spare no less is used.
        asked.used_from = asked.used_from.max(solved.certificate.bound);
        asked.near = Some(choice.selection.clone());
        points.push(FrontPoint {
            value: value(&choice),
            margin_db,
            choice,
            proved: solved.certificate.proved,
        });
    }
    let points = ahead(points);
    Front { knee: knee(&points), points, step_db }
}

/// The points that no other is ahead of, by rising margin: the same value with more to spare replaces the one before.
fn ahead(mut points: Vec<FrontPoint>) -> Vec<FrontPoint> {
    points.sort_by(|a, b| a.margin_db.total_cmp(&b.margin_db).then(b.value.total_cmp(&a.value)));
    let mut ahead: Vec<FrontPoint> = Vec::with_capacity(points.len());
    for point in points {
        while ahead.last().is_some_and(|last| point.value <= last.value + 1e-9 * last.value.abs().max(1.0)) {
            ahead.pop();
        }
        ahead.push(point);
    }
    ahead
}

/// The point farthest from the straight line between the ends, both axes from 0 to 1, on its side of more margin for less.
pub fn knee(points: &[FrontPoint]) -> Option<usize> {
    let (first, last) = (points.first()?, points.last()?);
    let (width, height) = (last.value - first.value, last.margin_db - first.margin_db);
    if points.len() < 3 || width <= 0.0 || height <= 0.0 {
        return None;
    }
    let above = |point: &FrontPoint| {
        (point.margin_db - first.margin_db) / height - (point.value - first.value) / width
    };
    let found = points
        .iter()
        .enumerate()
        .map(|(at, point)| (above(point), at))
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)))?;
    (found.0 > 0.0).then_some(found.1)
}
