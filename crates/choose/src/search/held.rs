//! Whether a selection, or the beginning of one, holds in enough draws, and how far the rows of the bound are off.

use std::ops::Range;

use quantities::math;

use crate::{
    linear::Linears,
    problem::{Candidate, Problem, TOLERANCE, add, add_both, at_least, db},
    question::Asked,
    rows::Rows,
};

/// With no more numbers than this the draws are looked at after every element, else only before the last and at the end.
const FEW: usize = 512;
/// How many draws are looked at before it is asked whether too many fail.
const AT_A_TIME: usize = 64;
/// How many of them are looked at in the time of a node.
const WORK: u64 = 256;

/// The draws along the path of a search.
pub(super) struct Held<'a> {
    problem: &'a Problem,
    kept: &'a Linears,
    /// Share of what is allowed that each row may reach.
    allowed: Vec<f64>,
    /// The rows of each demand, of the one that failed last first.
    demands: Vec<Range<usize>>,
    chosen: Vec<Option<&'a Candidate>>,
    /// Energies summed along the path before each depth.
    before: Vec<Before>,
    /// How often the path was changed.
    changes: u64,
    /// Least energy in each row and draw of all elements after each depth.
    least: Vec<Vec<f64>>,
    /// The most by which all elements after each depth raise what each row may reach.
    most_allows: Vec<Vec<f64>>,
    /// Full sets looked at.
    pub(super) sets: u64,
}

impl<'a> Held<'a> {
    pub(super) fn new(problem: &'a Problem, asked: &Asked, kept: &'a Linears) -> Self {
        let each = problem.demands.iter().enumerate();
        let allowed = each
            .flat_map(|(at, demand)| {
                std::iter::repeat_n(math::energy_of_db(-asked.spare_db(at)) * (1.0 + TOLERANCE), demand.rows)
            })
            .collect();
        let demands = problem.rows_of_demands().collect();
        Self {
            problem,
            kept,
            allowed,
            demands,
            chosen: Vec::new(),
            before: Vec::new(),
            changes: 0,
            least: Vec::new(),
            most_allows: Vec::new(),
            sets: 0,
        }
    }

    fn numbers(&self) -> usize {
        self.problem.rows() * self.problem.draws
    }

    fn looked_at(&self, depth: usize) -> bool {
        self.numbers() <= FEW || depth + 2 >= self.chosen.len()
    }

    /// How many nodes of a search the look at the draws after a depth is worth.
    pub(super) fn work(&self, depth: usize) -> u64 {
        if self.problem.draws <= 1 || !self.looked_at(depth) { 0 } else { self.numbers() as u64 / WORK }
    }

    /// Sets the order of the elements along the path.
    pub(super) fn order(&mut self, elements: impl Iterator<Item = usize>) {
        let order: Vec<usize> = elements.collect();
        let numbers = self.numbers();
        self.chosen = vec![None; order.len()];
        if self.problem.draws <= 1 {
            return;
        }
        // Only the first must be nothing: the others are written before they are read.
        if self.before.len() != order.len() {
            let blocks = self.problem.rows() * blocks(self.problem.draws);
            let none = Before { energies: vec![0.0; numbers], of: 0, summed: vec![0; blocks] };
            self.before = vec![none; order.len()];
        }
        self.forget(0);
        self.least = vec![Vec::new(); order.len()];
        let mut least = vec![0.0; numbers];
        let mut most_allows = vec![0.0; self.problem.rows()];
        self.most_allows = vec![most_allows.clone(); order.len()];
        let each = self.kept.least(self.problem);
        for (depth, element) in order.iter().enumerate().rev() {
            let Some((energy, allows)) = each.get(*element) else { continue };
            if let Some(slot) = self.most_allows.get_mut(depth) {
                slot.clone_from(&most_allows);
            }
            add(&mut most_allows, allows);
            if self.looked_at(depth)
                && let Some(slot) = self.least.get_mut(depth)
            {
                slot.clone_from(&least);
                add(&mut least, energy);
            }
        }
    }

    /// Puts a candidate on the path; what comes after it is forgotten.
    pub(super) fn put(&mut self, depth: usize, element: usize, at: usize) {
        let candidate = self.problem.elements.get(element).and_then(|element| element.candidates.get(at));
        if let Some(slot) = self.chosen.get_mut(depth) {
            *slot = candidate;
        }
        self.forget(depth);
    }

    /// What was summed behind a depth is of another path.
    fn forget(&mut self, depth: usize) {
        self.changes += 1;
        for before in self.before.iter_mut().skip(depth + 1) {
            before.of = self.changes;
        }
    }

    /// Whether enough draws can still hold with the path as far as this depth, whatever comes after it.
    pub(super) fn path_can_hold(&mut self, depth: usize) -> bool {
        self.problem.draws <= 1 || !self.looked_at(depth) || self.draws_hold(depth)
    }

    /// Whether the full path holds in enough draws.
    pub(super) fn path_holds(&mut self) -> bool {
        self.sets += 1;
        let Some(depth) = self.chosen.len().checked_sub(1) else { return true };
        // With one draw the rows are exact and hold already.
        self.problem.draws <= 1 || self.draws_hold(depth)
    }

    fn draws_hold(&mut self, depth: usize) -> bool {
        let Self { problem, allowed, demands, chosen, before, least, most_allows, .. } = self;
        let (Some(Some(candidate)), Some(least)) = (chosen.get(depth), least.get(depth)) else {
            return true;
        };
        // Nothing comes after the last.
        let last = depth + 1 == chosen.len();
        let mut reach = vec![1.0; allowed.len()];
        for candidate in chosen.iter().take(depth + 1).flatten() {
            add(&mut reach, &candidate.allows);
        }
        if let Some(more) = most_allows.get(depth) {
            add(&mut reach, more);
        }
        for (reach, allowed) in reach.iter_mut().zip(allowed.iter()) {
            *reach = allowed * at_least(*reach);
        }
        all_hold(problem, &reach, demands, |block, span, sums| {
            sum_before(before, chosen, depth, (block, &span));
            let before = before.get(depth).map_or(&[][..], |before| before.energies.as_slice());
            add_both(sums, (before, &candidate.energy), span.clone());
            if !last {
                add(sums, least.get(span).unwrap_or(&[]));
            }
        })
    }

    /// Whether a selection keeps all demands.
    pub(super) fn holds(&mut self, selection: &[usize]) -> bool {
        self.sets += 1;
        let allowed = self.problem.allowed(selection);
        let reach: Vec<f64> =
            self.allowed.iter().zip(&allowed).map(|(reach, more)| reach * at_least(*more)).collect();
        let problem = self.problem;
        all_hold(problem, &reach, &mut self.demands, |_, span, sums| problem.add_up(selection, span, sums))
    }

    /// How far the true margin of a selection lies above that of its rows at most, dB, if that is more than `known_db`: only a demand that the
    /// rows find too loud can cut a good set off.
    pub(super) fn departure_db(&self, rows: &Rows, selection: &[usize], known_db: f64) -> f64 {
        let too_loud = rows.too_loud(selection);
        if too_loud.is_empty() {
            return known_db;
        }
        let problem = self.problem;
        let allowed = problem.allowed(selection);
        let spans: Vec<Range<usize>> = problem.rows_of_demands().collect();
        let mut most_db = known_db;
        let mut buffers = (vec![0.0; problem.draws], vec![0.0; problem.draws]);
        let mut known: Vec<Option<f64>> = vec![None; spans.len()];
        for (reached, demand) in too_loud {
            let (Some(span), Some(known)) = (spans.get(demand), known.get_mut(demand)) else { continue };
            let own = *known.get_or_insert_with(|| {
                problem.margin_db(span.clone(), &allowed, &mut buffers, &mut |places, sum: &mut [f64]| {
                    problem.add_up(selection, places, sum);
                })
            });
            most_db = most_db.max(db(reached) + own);
        }
        most_db
    }
}

/// Energies summed along a path before a depth, as far as they were asked for.
#[derive(Clone)]
struct Before {
    energies: Vec<f64>,
    /// Which path they are to be of.
    of: u64,
    /// Of which path each block is.
    summed: Vec<u64>,
}

/// How many blocks the draws of a row make.
fn blocks(draws: usize) -> usize {
    draws.div_ceil(AT_A_TIME)
}

/// Sums one block before a depth, from the last depth where it is known; nothing comes before the first.
fn sum_before(
    before: &mut [Before],
    chosen: &[Option<&Candidate>],
    depth: usize,
    (block, span): (usize, &Range<usize>),
) {
    let is_known = |before: &Before| before.summed.get(block) == Some(&before.of);
    let known = (1..=depth).rev().find(|at| before.get(*at).is_some_and(is_known)).unwrap_or(0);
    for at in known + 1..=depth {
        let Some((nearer, here)) = before.split_at_mut_checked(at) else { return };
        let (Some(nearer), Some(here)) = (nearer.last(), here.first_mut()) else { return };
        // A path is put from its beginning on: there is a candidate at every depth before this one.
        let (Some(sums), Some(Some(candidate))) = (here.energies.get_mut(span.clone()), chosen.get(at - 1))
        else {
            return;
        };
        add_both(sums, (&nearer.energies, &candidate.energy), span.clone());
        if let Some(summed) = here.summed.get_mut(block) {
            *summed = here.of;
        }
    }
}

/// Whether every demand holds in enough draws; the one that does not is put first. `sums` adds up the energies of a block at
/// its places.
fn all_hold(
    problem: &Problem,
    allowed: &[f64],
    demands: &mut [Range<usize>],
    mut sums: impl FnMut(usize, Range<usize>, &mut [f64]),
) -> bool {
    let draws = problem.draws;
    let blocks = blocks(draws);
    let (mut sum, mut fails) = ([0.0; AT_A_TIME], [false; AT_A_TIME]);
    let failing = demands.iter().position(|rows| {
        // Some draws at a time: as soon as too many fail, the rest need not be looked at.
        let mut count = 0;
        for begin in (0..draws).step_by(AT_A_TIME) {
            let end = (begin + AT_A_TIME).min(draws);
            let (Some(sum), Some(fails)) = (sum.get_mut(..end - begin), fails.get_mut(..end - begin)) else {
                continue;
            };
            fails.fill(false);
            for row in rows.clone() {
                let most = allowed.get(row).copied().unwrap_or(1.0);
                sums(row * blocks + begin / AT_A_TIME, row * draws + begin..row * draws + end, sum);
                for (fails, sum) in fails.iter_mut().zip(sum.iter()) {
                    *fails |= *sum > most;
                }
            }
            count += fails.iter().filter(|fails| **fails).count();
            if count > problem.may_fail {
                return true;
            }
        }
        false
    });
    if let Some(at) = failing {
        demands.swap(0, at);
    }
    failing.is_none()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::{Demand, Element};

    /// Numbers that look random and are always the same.
    struct Numbers(u64);

    impl Numbers {
        fn below(&mut self, most: u64) -> u64 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 33) % most
        }
    }

    /// More draws than a block holds, the last block not full; demands of one and of three rows.
    fn problem(numbers: &mut Numbers) -> Problem {
        let demands = [1, 3].map(|rows| Demand { name: "d".to_owned(), rows }).to_vec();
        let draws = 3 * AT_A_TIME + 17;
        let mut candidate = |_| {
            let loud = (2 + numbers.below(20)) as f64 / 26_000.0;
            Candidate {
                name: "c".to_owned(),
                cost: 1.0,
                steps: 1,
                uses: Vec::new(),
                energy: (0..4 * draws).map(|_| loud * numbers.below(1000) as f64).collect(),
                allows: Vec::new(),
            }
        };
        let elements = (0..4)
            .map(|_| Element {
                name: "e".to_owned(),
                candidates: (0..3).map(&mut candidate).collect(),
                today: None,
            })
            .collect();
        Problem {
            elements,
            limits: Vec::new(),
            demands,
            draws,
            may_fail: 20,
            lean_db: 1.0,
            most_nodes: 1_000_000,
        }
    }

    /// Whatever was looked at before, a path holds if its sum does, and the beginning of a path that holds can hold.
    #[test]
    fn a_path_holds_if_its_sum_does() {
        let mut numbers = Numbers(7);
        let (mut held, mut failed, mut cut) = (0, 0, 0);
        for _ in 0..12 {
            let problem = problem(&mut numbers);
            let kept = Linears::default();
            let asked = Asked { margin_db: 1.0 - numbers.below(40) as f64 / 20.0, ..Asked::default() };
            let mut draws = Held::new(&problem, &asked, &kept);
            let order = [2, 0, 3, 1];
            draws.order(order.into_iter());
            let mut path = [0; 4];
            let mut can = [true; 4];
            for round in 0..400 {
                // As a search does: what lies behind the change is put anew.
                let from = if round == 0 { 0 } else { numbers.below(4) as usize };
                for depth in from..4 {
                    path[order[depth]] = numbers.below(3) as usize;
                    draws.put(depth, order[depth], path[order[depth]]);
                    can[depth] = depth == 3 || draws.path_can_hold(depth);
                }
                let holds = problem.holds(&path, asked.margin_db);
                assert_eq!(draws.path_holds(), holds, "{path:?}");
                assert_eq!(draws.holds(&path), holds, "{path:?}");
                assert!(!holds || can.iter().all(|can| *can), "{path:?} {can:?}");
                cut += usize::from(can.contains(&false));
                if holds {
                    held += 1;
                } else {
                    failed += 1;
                }
            }
        }
        assert!(held > 200 && failed > 200 && cut > 50, "{held} {failed} {cut}");
    }
}
