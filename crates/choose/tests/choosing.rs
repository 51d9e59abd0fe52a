//! The search against full enumeration, and what must hold of any answer.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test stops at the first thing that is wrong"
)]

use choose::{
    Asked, Candidate, Demand, Element, FrontPoint, Limit, Problem, advice::why_not_together, cost_front,
    next_steps, solve, use_front, why_not,
};
use proptest::prelude::*;

/// Costs, uses and energies of a few elements; energies in hundredths of what is allowed.
fn small(draws: usize, may_fail: usize) -> impl Strategy<Value = Problem> {
    let candidate = (0_u32..30, 0_u32..10, prop::collection::vec(0_u32..60, 2 * draws));
    prop::collection::vec(prop::collection::vec(candidate, 1..5), 1..5).prop_map(move |elements| Problem {
        elements: elements
            .into_iter()
            .enumerate()
            .map(|(at, candidates)| Element {
                name: format!("e{at}"),
                today: Some(0),
                candidates: candidates
                    .into_iter()
                    .map(|(cost, used, energy)| Candidate {
                        name: format!("c{cost}"),
                        cost: f64::from(cost),
                        steps: 1,
                        uses: vec![f64::from(used)],
                        energy: energy.into_iter().map(|n| f64::from(n) / 100.0).collect(),
                    })
                    .collect(),
            })
            .collect(),
        limits: vec![Limit { name: "headroom".to_owned(), most: 18.0, of_cost: false }],
        demands: vec![
            Demand { name: "near".to_owned(), rows: 1 },
            Demand { name: "far".to_owned(), rows: 1 },
        ],
        draws,
        may_fail,
        lean_db: 10.0,
        most_nodes: 1_000_000,
    })
}

fn every_selection(problem: &Problem) -> Vec<Vec<usize>> {
    problem.elements.iter().fold(vec![Vec::new()], |all, element| {
        all.iter()
            .flat_map(|begun| (0..element.candidates.len()).map(|at| [begun.clone(), vec![at]].concat()))
            .collect()
    })
}

fn least_by_enumeration(problem: &Problem, margin_db: f64) -> Option<f64> {
    every_selection(problem)
        .iter()
        .filter(|selection| problem.holds(selection, margin_db))
        .map(|selection| problem.sum(selection).cost)
        .min_by(f64::total_cmp)
}

fn cost(problem: &Problem, margin_db: f64) -> Option<f64> {
    let solved = solve(problem, &Asked { margin_db, ..Asked::default() });
    assert!(solved.certificate.proved);
    solved.choice.map(|choice| {
        assert!(problem.holds(&choice.selection, margin_db));
        choice.sum.cost
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    /// With one draw the rows are exact.
    #[test]
    fn the_optimum_equals_full_enumeration(problem in small(1, 0), margin_db in -3.0..3.0_f64) {
        prop_assert_eq!(cost(&problem, margin_db), least_by_enumeration(&problem, margin_db));
    }

    /// With several draws it holds as far as the rows are loosened.
    #[test]
    fn with_draws_it_does_too(problem in small(5, 1)) {
        prop_assert_eq!(cost(&problem, 0.0), least_by_enumeration(&problem, 0.0));
    }

    #[test]
    fn a_looser_limit_never_costs_more(problem in small(3, 0), more in 0.0..6.0_f64) {
        let tight = cost(&problem, 0.0);
        let mut looser = problem.clone();
        looser.limits[0].most += more;
        let (by_limit, by_demand) = (cost(&looser, 0.0), cost(&problem, -more));
        if let Some(tight) = tight {
            prop_assert!(by_limit.unwrap() <= tight && by_demand.unwrap() <= tight);
        }
    }

    #[test]
    fn a_dominated_candidate_never_changes_the_answer(problem in small(3, 1), worse in 0.0..5.0_f64, at in 0_usize..4) {
        let before = cost(&problem, 0.0);
        let mut more = problem.clone();
        let element = at % more.elements.len();
        let mut candidate = more.elements[element].candidates[0].clone();
        candidate.cost += worse;
        candidate.uses[0] += worse;
        for energy in &mut candidate.energy {
            *energy += worse / 50.0;
        }
        more.elements[element].candidates.push(candidate);
        prop_assert_eq!(cost(&more, 0.0), before);
    }

    /// No selection beats a point of the front, and every point is a selection.
    #[test]
    fn nothing_lies_beyond_the_front(problem in small(1, 0)) {
        let front = cost_front(&problem, 0.01, 200);
        for pair in front.points.windows(2) {
            prop_assert!(pair[0].value < pair[1].value && pair[0].margin_db < pair[1].margin_db);
        }
        for selection in every_selection(&problem) {
            let sum = problem.sum(&selection);
            if sum.uses[0] > problem.limits[0].most {
                continue;
            }
            let margin = sum.margin_db().unwrap();
            let reached = front.points.iter().any(|point| point.value <= sum.cost + 1e-9 && point.margin_db >= margin - 0.011);
            prop_assert!(reached, "{} {margin}", sum.cost);
        }
    }

    /// What `why_not` says is enough, and nine tenths of it is not.
    #[test]
    fn a_relaxation_is_enough_and_not_too_much(problem in small(1, 0)) {
        prop_assume!(least_by_enumeration(&problem, 0.0).is_none());
        for one in why_not(&problem, 0.0) {
            let Some(by) = one.by else { continue };
            if one.is_demand {
                let at = problem.demands.iter().position(|demand| demand.name == one.name).unwrap();
                let ok = |by: f64| every_selection(&problem).iter().any(|selection| {
                    let sum = problem.sum(selection);
                    sum.uses[0] <= problem.limits[0].most
                        && sum.margins_db.iter().enumerate().all(|(d, m)| *m >= if d == at { -by } else { 0.0 } - 1e-9)
                });
                prop_assert!(ok(by) && !ok(by - 0.1 - 1e-6));
            } else {
                let mut more = problem.clone();
                more.limits[0].most += by;
                prop_assert!(least_by_enumeration(&more, 0.0).is_some());
                more.limits[0].most -= 1e-6 + 1e-3;
                prop_assert!(least_by_enumeration(&more, 0.0).is_none());
            }
        }
    }

    /// What comes nearest is never farther off than any point of any front, whether it is told of them or not.
    #[test]
    fn the_nearest_is_no_farther_than_any_point_of_a_front(problem in small(3, 1)) {
        prop_assume!(least_by_enumeration(&problem, 0.0).is_none());
        let points: Vec<FrontPoint> =
            [cost_front(&problem, 0.01, 200), use_front(&problem, 0, 0.01, 200)].into_iter().flat_map(|f| f.points).collect();
        let known: Vec<Vec<usize>> = points.iter().map(|point| point.choice.selection.clone()).collect();
        for (known, finely) in [(known, 1e-9), (Vec::new(), 0.1 + 1e-9)] {
            let found = why_not_together(&problem, 0.0, &known);
            for point in &points {
                let found = found.as_ref().unwrap();
                prop_assert!(found.by_db <= -point.margin_db + finely, "{} {}", found.by_db, point.margin_db);
                prop_assert!(found.choice.sum.margin_db().unwrap() >= -found.by_db - 1e-9);
                prop_assert!(found.proved);
            }
        }
    }

    /// Each step is a change of one element that brings what it says.
    #[test]
    fn steps_bring_what_they_say(problem in small(3, 0)) {
        let mut selection = problem.today().unwrap();
        for step in next_steps(&problem, &selection.clone(), 0.0, 6) {
            let before = problem.sum(&selection);
            selection[step.element] = step.candidate;
            let after = problem.sum(&selection);
            prop_assert!((after.margin_db().unwrap() - step.margin_db).abs() < 1e-9);
            prop_assert!((after.cost - before.cost - step.cost).abs() < 1e-9);
        }
    }
}

/// The example worked by hand in `docs/choosing.md`: a wall and a door, one limit of 100 parts, 60 of money.
#[test]
fn the_example_worked_by_hand() {
    let candidate = |name: &str, cost: f64, depth_mm: f64, parts: f64| Candidate {
        name: name.to_owned(),
        cost,
        steps: 1,
        uses: vec![depth_mm],
        energy: vec![parts / 100.0],
    };
    let problem = Problem {
        elements: vec![
            Element {
                name: "wall".to_owned(),
                today: Some(0),
                candidates: vec![
                    candidate("bare", 0.0, 0.0, 95.0),
                    candidate("lined", 300.0, 90.0, 20.0),
                    candidate("lined twice", 420.0, 105.0, 5.0),
                ],
            },
            Element {
                name: "door".to_owned(),
                today: Some(0),
                candidates: vec![
                    candidate("as it hangs", 0.0, 0.0, 200.0),
                    candidate("new seals", 60.0, 0.0, 50.0),
                    candidate("second leaf", 380.0, 0.0, 10.0),
                ],
            },
        ],
        limits: vec![Limit { name: "floor".to_owned(), most: 110.0, of_cost: false }],
        demands: vec![Demand { name: "fence".to_owned(), rows: 1 }],
        draws: 1,
        may_fail: 0,
        lean_db: 0.0,
        most_nodes: 1_000_000,
    };
    let solved = solve(&problem, &Asked::default());
    let choice = solved.choice.unwrap();
    assert_eq!(choice.selection, [1, 1]);
    assert!((choice.sum.cost - 360.0).abs() < 1e-9 && (choice.sum.margin_db().unwrap() - 1.549).abs() < 1e-3);
    assert!(solved.certificate.gap.unwrap().abs() < 1e-6);
    let front = cost_front(&problem, 0.01, 20);
    let values: Vec<f64> = front.points.iter().map(|point| point.value).collect();
    assert_eq!(values, [0.0, 60.0, 360.0, 480.0, 680.0, 800.0]);
    let margins: Vec<String> = front.points.iter().map(|point| format!("{:.1}", point.margin_db)).collect();
    assert_eq!(margins, ["-4.7", "-1.6", "1.5", "2.6", "5.2", "8.2"]);
    assert_eq!(front.knee, Some(1));
    let steps = next_steps(&problem, &[0, 0], 0.0, 5);
    assert_eq!(steps.iter().map(|s| (s.element, s.candidate)).collect::<Vec<_>>(), [(1, 1), (0, 1)]);
    let depths = use_front(&problem, 0, 0.01, 20);
    assert_eq!(depths.points.iter().map(|point| point.value).collect::<Vec<_>>(), [0.0, 90.0, 105.0]);
    // A floor of 50 mm cannot take a lining: nothing holds, and each gives alone what it must.
    let mut narrow = problem.clone();
    narrow.limits[0].most = 50.0;
    let why = why_not(&narrow, 0.0);
    assert!(why.iter().any(|one| one.name == "floor" && (one.by.unwrap() - 40.0).abs() < 1e-9), "{why:?}");
}
