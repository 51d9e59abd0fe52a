//! The least cost of bars as a linear programme over patterns, which are made as they are needed: P. C. Gilmore and R. E. Gomory, *A linear
//! programming approach to the cutting-stock problem*, Operations Research 9, 1961.
//!
//! The bound is safe against rounding: the prices of the lengths are made whole numbers and lowered until no bar holds more than it
//! costs, as the exact knapsack says (A. A. Farley, *A note on bounding a class of linear programming problems*, Operations Research 38,
//! 1990). What the lengths are then worth in all, less what limited stock saves, is no more than any plan costs.

use super::fill::Filled;
use super::knapsack::{Ware, dearest};
use super::simplex::{Column, Programme};
use crate::cover::Holder;

/// Most different lengths taken on: the inverse grows with their square.
const MOST_LENGTHS: usize = 400;
/// Most pieces taken on: what they are worth together in units stays far from the largest whole number.
const MOST_PIECES: usize = 20_000;
/// No piece is taken to be worth more than so many of the dearest bars.
const MOST_WORTH: i64 = 16;
/// Whole units that the dearest bar costs, nearly: fine enough that what rounding takes off is far less than the dearest bar.
const UNITS: i64 = 1 << 40;
/// Fillings kept in all before the knapsack gives up: some seconds.
const MOST_KEPT: usize = 400_000_000;
/// Patterns made of one stock in a round, no length in two of them.
const PATTERNS_A_ROUND: usize = 3;
/// Pivots between two new patterns at most.
const MOST_PIVOTS: usize = 2_000;
/// What a length without a pattern costs, in dearest bars.
const WITHOUT_PATTERN: f64 = 10.0;

/// Patterns made so far, and what they are made for.
pub(crate) struct Patterns<'a> {
    /// Lengths, kerf included.
    length: &'a [i64],
    stock: &'a [Holder],
    pub(crate) made: Vec<Filled>,
    /// Cost of the dearest stock, and units to one of cost.
    dearest: i64,
    unit: i64,
    /// All costs are multiples of it.
    step: i64,
    /// Fillings the knapsack may still keep.
    left: usize,
}

/// What the linear programme says.
#[derive(Debug)]
pub(crate) struct Relaxed {
    /// Patterns used, by their places, and how often.
    pub(crate) used: Vec<(usize, f64)>,
    /// No plan costs less, but for rounding.
    pub(crate) cost: f64,
    /// No plan costs less, proved.
    pub(crate) least_cost: i64,
}

impl<'a> Patterns<'a> {
    /// `None` for more lengths than are taken on, and where nothing has a cost.
    pub(crate) fn new(length: &'a [i64], count: &[usize], stock: &'a [Holder]) -> Option<Self> {
        let dearest = stock.iter().map(|s| s.cost).max()?;
        let step = stock.iter().fold(0, |step, s| common(step, s.cost));
        let pieces = count.iter().fold(0_usize, |sum, count| sum.saturating_add(*count));
        let taken_on =
            length.len() <= MOST_LENGTHS && pieces <= MOST_PIECES && dearest > 0 && dearest < UNITS / 64;
        taken_on.then(|| Self {
            length,
            stock,
            made: Vec::new(),
            dearest,
            unit: UNITS / dearest,
            step,
            left: MOST_KEPT,
        })
    }

    /// A cost rounded up to one that bars can come to; what lies within rounding of one is that one.
    pub(crate) fn up_to_step(&self, cost: f64) -> i64 {
        ((cost / self.step as f64 - 1e-6).ceil() as i64).saturating_mul(self.step)
    }

    /// The least cost of `count` pieces of each length, new patterns made until none gains, at most `rounds` times, or until the bound
    /// is `enough`.
    pub(crate) fn relax(
        &mut self,
        count: &[usize],
        available: &[Option<usize>],
        rounds: usize,
        enough: i64,
    ) -> Relaxed {
        let lengths: Vec<usize> = (0..count.len()).filter(|&at| count[at] > 0).collect();
        let limited: Vec<usize> = (0..self.stock.len()).filter(|&s| available[s].is_some()).collect();
        let wanted: Vec<f64> = lengths
            .iter()
            .map(|&at| count[at] as f64)
            .chain(limited.iter().map(|&s| available[s].unwrap_or(0) as f64))
            .collect();
        let costs: Vec<f64> =
            (0..wanted.len()).map(|row| if row < lengths.len() { WITHOUT_PATTERN } else { 0.0 }).collect();
        let mut programme = Programme::new(wanted, &costs);
        // More of a length than is wanted does no harm.
        for row in 0..lengths.len() {
            programme.add(Column { cost: 0.0, entries: vec![(row, -1.0)] });
        }
        let first = costs.len() + lengths.len();
        let mut pattern_of: Vec<usize> = Vec::new();
        let mut seen = std::collections::BTreeSet::new();
        let rows = Rows { lengths: &lengths, limited: &limited };
        for at in 0..self.made.len() {
            let Some(fitted) = fitted(&self.made[at], count) else { continue };
            if available[fitted.stock] != Some(0) && seen.insert((fitted.stock, fitted.takes.clone())) {
                programme.add(self.column(&fitted, &rows));
                let place = if fitted.takes == self.made[at].takes {
                    at
                } else {
                    self.made.push(fitted);
                    self.made.len() - 1
                };
                pattern_of.push(place);
            }
        }
        let mut least_cost = 0;
        for _ in 0..rounds {
            programme.settle(MOST_PIVOTS);
            let Some((new, bound)) = self.priced(&programme.prices(), count, available, &rows) else { break };
            least_cost = least_cost.max(bound);
            if least_cost >= enough
                || new.is_empty()
                || self.up_to_step(self.cost_of(&programme)) <= least_cost
            {
                break;
            }
            for pattern in new {
                programme.add(self.column(&pattern, &rows));
                pattern_of.push(self.made.len());
                self.made.push(pattern);
            }
        }
        let used = programme
            .solution()
            .into_iter()
            .filter_map(|(column, x)| Some((*pattern_of.get(column.checked_sub(first)?)?, x)))
            .collect();
        Relaxed { used, cost: self.cost_of(&programme), least_cost }
    }

    fn cost_of(&self, programme: &Programme) -> f64 {
        programme.cost() * self.dearest as f64
    }

    fn column(&self, pattern: &Filled, rows: &Rows) -> Column {
        let mut entries: Vec<(usize, f64)> = pattern
            .takes
            .iter()
            .filter_map(|&(at, taken)| Some((rows.lengths.binary_search(&at).ok()?, taken as f64)))
            .collect();
        if let Ok(row) = rows.limited.binary_search(&pattern.stock) {
            entries.push((rows.lengths.len() + row, 1.0));
        }
        Column { cost: self.stock[pattern.stock].cost as f64 / self.dearest as f64, entries }
    }

    /// Patterns worth more at these prices than they cost, and the bound the prices prove. `None` when the knapsack has kept too many fillings.
    fn priced(
        &mut self,
        prices: &[f64],
        count: &[usize],
        available: &[Option<usize>],
        rows: &Rows,
    ) -> Option<(Vec<Filled>, i64)> {
        let units = self.unit * self.dearest;
        let whole = |price: f64| (price * units as f64).clamp(0.0, (MOST_WORTH * units) as f64) as i64;
        let mut worth: Vec<i64> = prices.iter().take(rows.lengths.len()).map(|price| whole(*price)).collect();
        let wares: Vec<Ware> = rows
            .lengths
            .iter()
            .zip(&worth)
            .map(|(&at, &worth)| Ware { at, length: self.length[at], worth, most: count[at] })
            .collect();
        let mut new = Vec::new();
        let mut saved = 0_i128;
        let (mut cost, mut most) = (1_i128, 1_i128);
        let stocks = self.stock;
        for (stock, holder) in stocks.iter().enumerate() {
            if available[stock] == Some(0) {
                continue;
            }
            let own = self.unit * holder.cost;
            let row = rows.limited.binary_search(&stock).ok();
            // What one more of a limited stock would save.
            let saving = row.map_or(0, |row| whole(-prices[rows.lengths.len() + row]));
            let found = dearest(&wares, holder.holds, own + saving, &mut self.left)?;
            if !found.takes.is_empty() && found.worth - own - saving > units >> 30 {
                new.push(Filled { stock, takes: found.takes });
                self.others(&wares, holder.holds, own + saving + (units >> 30), stock, &mut new)?;
            }
            if let Some(available) = available[stock] {
                saved += i128::from((found.worth - own).max(saving)) * available as i128;
            } else if i128::from(own) * most < i128::from(found.worth) * cost {
                (cost, most) = (i128::from(own), i128::from(found.worth));
            }
        }
        for worth in &mut worth {
            *worth = (i128::from(*worth) * cost / most) as i64;
        }
        let pieces = rows.lengths.iter().map(|&at| count[at] as i128);
        let all: i128 = pieces.zip(&worth).map(|(count, worth)| count * i128::from(*worth)).sum();
        let step = i128::from(self.step) * i128::from(self.unit);
        let steps = (all - saved + step - 1).max(0) / step;
        Some((new, i64::try_from(steps).unwrap_or(i64::MAX / 4).saturating_mul(self.step)))
    }

    /// More patterns that gain, each without the lengths of those before: fewer rounds than with one a round.
    fn others(
        &mut self,
        wares: &[Ware],
        holds: i64,
        over: i64,
        stock: usize,
        new: &mut Vec<Filled>,
    ) -> Option<()> {
        let mut left = wares.to_vec();
        for _ in 1..PATTERNS_A_ROUND {
            let last = new.last()?;
            left.retain(|ware| last.takes.iter().all(|(at, _)| *at != ware.at));
            let takes = dearest(&left, holds, over, &mut self.left)?.takes;
            if takes.is_empty() {
                break;
            }
            new.push(Filled { stock, takes });
        }
        Some(())
    }
}

/// The rows of the programme: lengths, then limited stock, both by their places.
struct Rows<'a> {
    lengths: &'a [usize],
    limited: &'a [usize],
}

/// A pattern without what is no longer wanted.
fn fitted(pattern: &Filled, count: &[usize]) -> Option<Filled> {
    let takes: Vec<(usize, usize)> = pattern
        .takes
        .iter()
        .map(|&(at, taken)| (at, taken.min(count[at])))
        .filter(|(_, taken)| *taken > 0)
        .collect();
    (!takes.is_empty()).then_some(Filled { stock: pattern.stock, takes })
}

/// The greatest common divisor.
fn common(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { common(b, a % b) }
}
