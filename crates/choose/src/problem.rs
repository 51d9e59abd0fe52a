//! What is chosen from, and what must hold.

use std::ops::Range;

use quantities::math;
use serde::Serialize;

/// One thing an element can be built as.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// What it is called.
    pub name: String,
    /// What it costs, 0 or more, in any one unit.
    pub cost: f64,
    /// Steps of work: of equal cost the fewest are taken.
    pub steps: u32,
    /// What it takes of each limit, 0 or more, in the order of [`Problem::limits`].
    pub uses: Vec<f64>,
    /// Energy it brings, as a share of what is allowed, 0 or more: for each row of each demand all draws, one after another.
    pub energy: Vec<f64>,
    /// By how much it raises (minus: lowers) what each row may reach, as a part of what is allowed without any: what swallows sound
    /// where all of it arrives lets each bring more. Empty: it changes nothing.
    pub allows: Vec<f64>,
}

/// An element with its candidates.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// Its name.
    pub name: String,
    /// What it can be; at least one.
    pub candidates: Vec<Candidate>,
    /// The candidate that stands today.
    pub today: Option<usize>,
}

/// Something shared that may not be exceeded.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Its name.
    pub name: String,
    /// The most all elements may take together.
    pub most: f64,
    /// Whether what is taken of it is the cost: then it follows what costs are multiplied with.
    pub of_cost: bool,
}

/// A criterion at a receiver.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// Its name.
    pub name: String,
    /// How many rows of energy it has: bands or octaves that must hold each.
    pub rows: usize,
}

/// Everything handed over.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// Elements, one candidate of each is taken.
    pub elements: Vec<Element>,
    /// Shared limits.
    pub limits: Vec<Limit>,
    /// Demands of the receivers.
    pub demands: Vec<Demand>,
    /// How many draws each row has.
    pub draws: usize,
    /// How many of the draws may fail a demand.
    pub may_fail: usize,
    /// How far the linear rows of the bound are loosened, dB; not used with a single draw.
    pub lean_db: f64,
    /// After so many nodes any search gives up its proof.
    pub most_nodes: u64,
}

/// Why nothing can be chosen.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ChooseError {
    /// Nothing to choose.
    #[error("There is nothing to choose: no element was given.")]
    NoElement,
    /// An element without candidates.
    #[error("{0} has no candidate: leave it as it is, or list something it can be built as.")]
    NoCandidate(String),
    /// A number that is none, or negative.
    #[error("{element}, {candidate}: {what} must be a number of 0 or more.")]
    BadNumber {
        /// The element.
        element: String,
        /// The candidate.
        candidate: String,
        /// Which number.
        what: String,
    },
    /// Lists of different lengths.
    #[error("{element}, {candidate}: {given} numbers of {what} were given where {needed} are needed.")]
    WrongCount {
        /// The element.
        element: String,
        /// The candidate.
        candidate: String,
        /// Which numbers.
        what: &'static str,
        /// How many were given.
        given: usize,
        /// How many are needed.
        needed: usize,
    },
    /// A limit or a count of draws that makes no sense.
    #[error("{0}")]
    BadLimit(String),
}

/// What a selection comes to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sum {
    /// Cost.
    pub cost: f64,
    /// Steps.
    pub steps: u32,
    /// What is used of each limit.
    pub uses: Vec<f64>,
    /// What is to spare of each demand at the confidence asked for, dB; minus: what is missing.
    pub margins_db: Vec<f64>,
}

impl Sum {
    /// The smallest of the margins, dB; none where nothing is demanded.
    pub fn margin_db(&self) -> Option<f64> {
        self.margins_db.iter().copied().reduce(f64::min)
    }
}

/// A margin from which nothing is told apart, dB.
pub const MOST_MARGIN_DB: f64 = 200.0;

impl Problem {
    /// Rows of all demands together.
    pub fn rows(&self) -> usize {
        self.demands.iter().map(|demand| demand.rows).sum()
    }

    /// Checks every number.
    ///
    /// # Errors
    /// A sentence for an element without candidates, lists of wrong length, and numbers that are none or negative.
    pub fn check(&self) -> Result<(), ChooseError> {
        if self.elements.is_empty() {
            return Err(ChooseError::NoElement);
        }
        if self.draws == 0 || self.may_fail >= self.draws {
            return Err(ChooseError::BadLimit(format!(
                "{} of {} draws may fail: at least one must hold.",
                self.may_fail, self.draws
            )));
        }
        for limit in &self.limits {
            if limit.most.is_nan() {
                return Err(ChooseError::BadLimit(format!("The limit `{}` is no number.", limit.name)));
            }
        }
        let numbers = self.rows() * self.draws;
        for element in &self.elements {
            if element.candidates.is_empty() {
                return Err(ChooseError::NoCandidate(element.name.clone()));
            }
            for candidate in &element.candidates {
                let wrong_count = |what, given, needed| ChooseError::WrongCount {
                    element: element.name.clone(),
                    candidate: candidate.name.clone(),
                    what,
                    given,
                    needed,
                };
                if candidate.uses.len() != self.limits.len() {
                    return Err(wrong_count("use", candidate.uses.len(), self.limits.len()));
                }
                if candidate.energy.len() != numbers {
                    return Err(wrong_count("energy", candidate.energy.len(), numbers));
                }
                if !candidate.allows.is_empty() && candidate.allows.len() != self.rows() {
                    return Err(wrong_count("what it allows", candidate.allows.len(), self.rows()));
                }
                let bad = |value: &f64| !(value.is_finite() && *value >= 0.0);
                let what = if bad(&candidate.cost) {
                    Some("the cost".to_owned())
                } else if let Some((_, limit)) =
                    candidate.uses.iter().zip(&self.limits).find(|(value, _)| bad(value))
                {
                    Some(format!("what it takes of `{}`", limit.name))
                } else if candidate.allows.iter().any(|value| !value.is_finite()) {
                    Some("what it allows".to_owned())
                } else {
                    candidate.energy.iter().any(bad).then(|| "the energy".to_owned())
                };
                if let Some(what) = what {
                    return Err(ChooseError::BadNumber {
                        element: element.name.clone(),
                        candidate: candidate.name.clone(),
                        what,
                    });
                }
            }
        }
        Ok(())
    }

    /// The candidates of a selection, one for each element; an index beyond the last means the last.
    pub fn chosen<'a>(&'a self, selection: &'a [usize]) -> impl Iterator<Item = &'a Candidate> {
        self.elements
            .iter()
            .zip(selection)
            .filter_map(|(element, at)| element.candidates.get(*at).or(element.candidates.last()))
    }

    /// What each row may reach with a selection, as a part of what it may reach without any.
    pub(crate) fn allowed(&self, selection: &[usize]) -> Vec<f64> {
        let mut allowed = vec![1.0; self.rows()];
        for candidate in self.chosen(selection) {
            add(&mut allowed, &candidate.allows);
        }
        allowed
    }

    /// What a selection comes to.
    pub fn sum(&self, selection: &[usize]) -> Sum {
        let mut uses = vec![0.0; self.limits.len()];
        let (mut cost, mut steps) = (0.0, 0_u32);
        for candidate in self.chosen(selection) {
            cost += candidate.cost;
            steps = steps.saturating_add(candidate.steps);
            add(&mut uses, &candidate.uses);
        }
        let margins_db =
            self.margins_db(&self.allowed(selection), |places, sum| self.add_up(selection, places, sum));
        Sum { cost, steps, uses, margins_db }
    }

    /// Sums the energies of a selection at some places.
    pub(crate) fn add_up(&self, selection: &[usize], places: Range<usize>, sum: &mut [f64]) {
        sum.fill(0.0);
        for candidate in self.chosen(selection) {
            add(sum, candidate.energy.get(places.clone()).unwrap_or(&[]));
        }
    }

    /// The rows of each demand.
    pub(crate) fn rows_of_demands(&self) -> impl Iterator<Item = Range<usize>> + '_ {
        self.demands.iter().scan(0, |first, demand| {
            *first += demand.rows;
            Some(*first - demand.rows..*first)
        })
    }

    /// Margins of all demands from what each row may reach and the energies in all its draws, which `sums` adds up at their places.
    pub(crate) fn margins_db(
        &self,
        allowed: &[f64],
        mut sums: impl FnMut(Range<usize>, &mut [f64]),
    ) -> Vec<f64> {
        let mut buffers = (vec![0.0; self.draws], vec![0.0; self.draws]);
        self.rows_of_demands().map(|rows| self.margin_db(rows, allowed, &mut buffers, &mut sums)).collect()
    }

    /// The margin of a demand of these rows.
    pub(crate) fn margin_db(
        &self,
        rows: Range<usize>,
        allowed: &[f64],
        (worst, sum): &mut (Vec<f64>, Vec<f64>),
        sums: &mut impl FnMut(Range<usize>, &mut [f64]),
    ) -> f64 {
        worst.fill(0.0);
        for row in rows {
            let of_reach = 1.0 / at_least(allowed.get(row).copied().unwrap_or(1.0));
            sums(row * self.draws..(row + 1) * self.draws, sum);
            for (worst, value) in worst.iter_mut().zip(sum.iter()) {
                *worst = f64::max(*worst, *value * of_reach);
            }
        }
        -db(deciding(worst, self.may_fail))
    }

    /// Whether a selection keeps every limit and every demand with `margin_db` to spare.
    pub fn holds(&self, selection: &[usize], margin_db: f64) -> bool {
        let sum = self.sum(selection);
        sum.margins_db.iter().all(|margin| *margin >= margin_db - TOLERANCE)
            && sum.uses.iter().zip(&self.limits).all(|(used, limit)| keeps(*used, limit.most))
    }

    /// The selection that stands today, if every element has one.
    pub fn today(&self) -> Option<Vec<usize>> {
        self.elements.iter().map(|element| element.today).collect()
    }
}

/// Rounding that is forgiven, dB or as a part of a limit.
pub(crate) const TOLERANCE: f64 = 1e-9;

/// Whether a limit is kept but for rounding.
pub(crate) fn keeps(used: f64, most: f64) -> bool {
    used <= most + TOLERANCE * most.abs().max(1.0)
}

/// The least that a row may reach, whatever lowers it: a part of what is allowed without.
const LEAST_ALLOWED: f64 = 1e-3;

/// What a row may reach, never nothing.
pub(crate) fn at_least(allowed: f64) -> f64 {
    allowed.max(LEAST_ALLOWED)
}

pub(crate) fn add(sum: &mut [f64], more: &[f64]) {
    for (sum, value) in sum.iter_mut().zip(more) {
        *sum += value;
    }
}

/// Sums what two bring at some places.
pub(crate) fn add_both(sum: &mut [f64], (one, other): (&[f64], &[f64]), places: Range<usize>) {
    let (one, other) = (one.get(places.clone()).unwrap_or(&[]), other.get(places).unwrap_or(&[]));
    for (sum, (one, other)) in sum.iter_mut().zip(one.iter().zip(other)) {
        *sum = one + other;
    }
}

/// The value that all but `may_fail` of the draws stay at or below.
pub(crate) fn deciding(draws: &mut [f64], may_fail: usize) -> f64 {
    let rank = draws.len().saturating_sub(1 + may_fail);
    if rank >= draws.len() {
        return 0.0;
    }
    *draws.select_nth_unstable_by(rank, f64::total_cmp).1
}

/// A ratio of energies in dB, between ± [`MOST_MARGIN_DB`].
pub(crate) fn db(ratio: f64) -> f64 {
    if ratio <= 0.0 {
        return -MOST_MARGIN_DB;
    }
    math::db_of_energy(ratio).clamp(-MOST_MARGIN_DB, MOST_MARGIN_DB)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn candidate(cost: f64, energy: &[f64]) -> Candidate {
        Candidate {
            name: "c".to_owned(),
            cost,
            steps: 1,
            uses: Vec::new(),
            energy: energy.to_vec(),
            allows: Vec::new(),
        }
    }

    fn problem(energies: &[&[f64]], draws: usize, may_fail: usize, rows: usize) -> Problem {
        let elements = energies
            .iter()
            .map(|energy| Element {
                name: "e".to_owned(),
                candidates: vec![candidate(1.0, energy)],
                today: Some(0),
            })
            .collect();
        let demands = vec![Demand { name: "d".to_owned(), rows }];
        Problem {
            elements,
            limits: Vec::new(),
            demands,
            draws,
            may_fail,
            lean_db: 1.0,
            most_nodes: 1_000_000,
        }
    }

    #[test]
    fn the_margin_is_that_of_the_draw_that_decides() {
        // Sums 0.2, 0.4, 2.0: one of three may fail, so 0.4 decides.
        let asked = problem(&[&[0.1, 0.2, 1.0], &[0.1, 0.2, 1.0]], 3, 1, 1);
        let margin = asked.sum(&[0, 0]).margins_db[0];
        assert!((margin - 3.979_400_086_720_4).abs() < 1e-9, "{margin}");
        assert!(asked.holds(&[0, 0], 3.9) && !asked.holds(&[0, 0], 4.0));
    }

    #[test]
    fn in_each_draw_the_worst_row_counts() {
        // Two rows of two draws: the worst of each draw are 0.5 and 0.8.
        let asked = problem(&[&[0.5, 0.1, 0.2, 0.8]], 2, 0, 2);
        assert!((asked.sum(&[0]).margins_db[0] - 0.969_100_130_080_6).abs() < 1e-9);
    }

    /// 0.4 parts of the 1.25 that may come where something swallows sound: 4.949 dB to spare.
    #[test]
    fn what_swallows_sound_lets_more_come() {
        let mut asked = problem(&[&[0.2], &[0.2]], 1, 0, 1);
        asked.elements[0].candidates[0].allows = vec![0.35];
        asked.elements[1].candidates[0].allows = vec![-0.10];
        let margin = asked.sum(&[0, 0]).margins_db[0];
        assert!((margin - 4.948_500_216_800_9).abs() < 1e-9, "{margin}");
        assert_eq!(asked.check(), Ok(()));
        asked.elements[0].candidates[0].allows = vec![0.1, 0.1];
        assert!(matches!(asked.check(), Err(ChooseError::WrongCount { .. })));
    }

    #[test]
    fn bad_numbers_get_a_sentence() {
        let mut asked = problem(&[&[0.1]], 1, 0, 1);
        asked.elements[0].candidates[0].cost = f64::NAN;
        assert_eq!(
            asked.check().map_err(|error| error.to_string()),
            Err("e, c: the cost must be a number of 0 or more.".to_owned())
        );
        asked.elements[0].candidates.clear();
        assert!(matches!(asked.check(), Err(ChooseError::NoCandidate(_))));
        asked.elements.clear();
        assert_eq!(asked.check(), Err(ChooseError::NoElement));
    }
}
