//! The invented choices of `oracles/choose_ortools.py`.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, dead_code, reason = "part of tests and benches")]

use choose::{Candidate, Demand, Element, Limit, Problem};

/// Sizes, seed and result of one choice.
#[derive(Debug)]
pub(crate) struct Case {
    pub(crate) seed: u64,
    pub(crate) elements: usize,
    pub(crate) candidates: usize,
    pub(crate) limits: usize,
    pub(crate) rows: usize,
    pub(crate) draws: usize,
    pub(crate) may_fail: usize,
    pub(crate) tight_percent: u64,
    pub(crate) cost: Option<i64>,
    pub(crate) oracle_seconds: f64,
}

pub(crate) fn cases() -> Vec<Case> {
    let all: serde_json::Value = serde_json::from_str(include_str!("../reference/ortools.json")).unwrap();
    let each = all.as_array().unwrap().iter();
    each.map(|case| {
        let whole = |key: &str| case[key].as_u64().unwrap();
        let size = |key: &str| usize::try_from(whole(key)).unwrap();
        Case {
            seed: whole("seed"),
            elements: size("elements"),
            candidates: size("candidates"),
            limits: size("limits"),
            rows: size("rows"),
            draws: size("draws"),
            may_fail: size("may_fail"),
            tight_percent: whole("tight_percent"),
            cost: case["cost"].as_i64(),
            oracle_seconds: case["oracle_seconds"].as_f64().unwrap(),
        }
    })
    .collect()
}

struct Numbers(u64);

impl Numbers {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
}

/// Cost, uses, energies by row and draw.
type Drawn = (u64, Vec<u64>, Vec<Vec<u64>>);

/// The same numbers in the same order as the oracle's.
pub(crate) fn problem(case: &Case) -> Problem {
    let mut numbers = Numbers(case.seed);
    let mut elements: Vec<Vec<Drawn>> = Vec::new();
    for _ in 0..case.elements {
        let mut candidates = Vec::new();
        for _ in 0..case.candidates {
            let cost = numbers.below(1000);
            let uses = (0..case.limits).map(|_| numbers.below(100) + cost / 10).collect();
            let energy = (0..case.rows)
                .map(|_| {
                    let base = 1_000_000 / (20 + cost) * (300 + numbers.below(1400)) / 1000;
                    (0..case.draws).map(|_| base * (600 + numbers.below(800)) / 1000).collect()
                })
                .collect();
            candidates.push((cost, uses, energy));
        }
        elements.push(candidates);
    }
    let allowed: Vec<u64> = (0..case.rows)
        .map(|row| {
            let middle: u64 = elements
                .iter()
                .map(|e| {
                    let mut all: Vec<u64> = e.iter().map(|c| c.2[row][0]).collect();
                    all.sort_unstable();
                    all[all.len() / 2]
                })
                .sum();
            middle * case.tight_percent / 100
        })
        .collect();
    let most = |at: usize| {
        let sum: u64 = elements.iter().map(|e| e.iter().map(|c| c.1[at]).max().unwrap()).sum();
        (sum * 60 / 100) as f64
    };
    let limits = (0..case.limits)
        .map(|at| Limit { name: format!("limit {at}"), most: most(at), of_cost: false })
        .collect();
    let elements = elements
        .iter()
        .enumerate()
        .map(|(at, candidates)| Element {
            name: format!("element {at}"),
            today: None,
            candidates: candidates
                .iter()
                .enumerate()
                .map(|(at, (cost, uses, energy))| Candidate {
                    name: format!("candidate {at}"),
                    cost: *cost as f64,
                    steps: 1,
                    uses: uses.iter().map(|n| *n as f64).collect(),
                    energy: energy
                        .iter()
                        .zip(&allowed)
                        .flat_map(|(draws, allowed)| draws.iter().map(|n| *n as f64 / *allowed as f64))
                        .collect(),
                    allows: Vec::new(),
                })
                .collect(),
        })
        .collect();
    Problem {
        elements,
        limits,
        // All rows must hold in the same draw: one demand.
        demands: vec![Demand { name: "quiet".to_owned(), rows: case.rows }],
        draws: case.draws,
        may_fail: case.may_fail,
        lean_db: 1.5,
        most_nodes: 400_000_000,
    }
}
