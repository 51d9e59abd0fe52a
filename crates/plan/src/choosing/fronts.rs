//! The fronts, and how they are told beside the choice.

use choose::{Front, FrontPoint, cost_front_with, front::knee, use_front_in_parts};

use crate::choosing::{field::Field, settling::Tried};

/// Margins of the front closer than this are not told apart, dB.
const FRONT_STEP_DB: f64 = 0.5;
/// Most points of a front.
const FRONT_POINTS: usize = 40;

/// The least money and the least depth for every margin.
#[derive(Default)]
pub(super) struct Fronts {
    pub(super) cost: Front,
    pub(super) headroom: Front,
}

/// Where what comes nearest misses, the front of depth is worked out in two parts at once, the second from here on between today's margin and the
/// nearest: the least depths of the larger margins take as long as all others.
const SECOND_PART: f64 = 0.7;

/// Both fronts, with the spread that each candidate has so far, in the room as the field has it; `best` is the best set known.
pub(super) fn fronts(field: &Field, best: &Tried, holds: bool) -> Fronts {
    if field.problem.demands.is_empty() {
        return Fronts::default();
    }
    let headroom = field.headroom;
    let today_db = field.problem.today().and_then(|today| field.problem.sum(&today).margin_db());
    let second_db = match today_db {
        Some(today_db) if !holds => today_db + SECOND_PART * (best.margin_db - today_db),
        _ => best.margin_db,
    };
    let (cost, headroom) = rayon::join(
        || cost_front_with(&field.problem, (FRONT_STEP_DB, FRONT_POINTS), &field.kept),
        || {
            headroom.map_or_else(Front::default, |at| {
                let steps = (2.0 * FRONT_STEP_DB, FRONT_POINTS);
                use_front_in_parts(&field.problem, at, steps, (&[second_db], &field.kept))
            })
        },
    );
    Fronts { cost, headroom }
}

impl Fronts {
    /// As they are told beside the choice: what was planned whole with the margin of its own room, the chosen set among them, and nothing that
    /// only looks better than it in its room. `proved` says whether the cost of the chosen is proved to be the least.
    pub(super) fn told(
        self,
        field: &Field,
        tried: &[Tried],
        (best, holds, proved): (&Tried, bool, bool),
    ) -> Self {
        let sum = field.problem.sum(&best.selection);
        let point = |value: f64| FrontPoint {
            value,
            margin_db: best.margin_db,
            choice: choose::question::Choice { selection: best.selection.clone(), sum: sum.clone() },
            proved,
        };
        let settled = |front: Front, own: Option<FrontPoint>| {
            let step_db = front.step_db;
            let mut points: Vec<FrontPoint> = Vec::new();
            for mut point in front.points {
                if point.choice.selection == best.selection {
                    continue;
                }
                let known = tried.iter().find(|tried| tried.selection == point.choice.selection);
                if known.is_some_and(Tried::is_unfit) {
                    continue;
                }
                point.margin_db = known.map_or(point.margin_db, |tried| tried.margin_db);
                let cheaper_and_quieter =
                    point.choice.sum.cost <= best.cost && point.margin_db >= best.margin_db;
                // What looks nearer than the nearest was not found to be so.
                let nearer = !holds && point.margin_db > best.margin_db;
                if !cheaper_and_quieter && !nearer {
                    points.push(point);
                }
            }
            points.extend(own);
            points.sort_by(|a, b| a.value.total_cmp(&b.value).then(b.margin_db.total_cmp(&a.margin_db)));
            let mut quietest_db = f64::NEG_INFINITY;
            points.retain(|point| {
                let more = point.margin_db > quietest_db;
                quietest_db = quietest_db.max(point.margin_db);
                more
            });
            Front { knee: knee(&points), points, step_db }
        };
        if self.cost.points.is_empty() {
            return self;
        }
        let depth = field.headroom.and_then(|at| sum.uses.get(at)).copied();
        Self {
            cost: settled(self.cost, Some(point(best.cost))),
            headroom: settled(self.headroom, depth.map(point)),
        }
    }
}
