//! From patterns in parts to whole bars: the linear programme is solved, the patterns nearest to whole bars are taken, and what is left is
//! solved again (diving, with few departures from the nearest); what is left at the end is filled by the exact search.

use super::fill::{Filled, Lengths, cheaper};
use super::gilmore_gomory_1961::{Patterns, Relaxed};
use crate::cover::Holder;

/// Rounds of new patterns for the whole order.
const MOST_ROUNDS: usize = 2_000;
/// Rounds of new patterns each time bars are taken: what is left is near what the patterns were made for.
const ROUNDS_OF_THE_REST: usize = 12;
/// Times the rest is solved in all.
const MOST_SOLVED: usize = 600;
/// Most departures from the nearest pattern on the way down.
const MOST_DEPARTURES: usize = 3;
/// Pieces that the exact search takes on at the end, and bars it opens.
const FEW_PIECES: usize = 20;
const BARS_OPENED_AT_THE_END: usize = 3_000;

/// Bars found, their cost, and the least cost proved.
pub(crate) struct Dived {
    pub(crate) bars: Option<Vec<Filled>>,
    pub(crate) cost: i64,
    pub(crate) least_cost: i64,
}

/// Bars cheaper than `below`, and a bound that may be better than `least`; `known` are the bars found so far.
pub(crate) fn dive(
    lengths: &Lengths,
    stock: &[Holder],
    known: &[Filled],
    (least, below): (i64, i64),
) -> Dived {
    let mut dived = Dived { bars: None, cost: below, least_cost: least };
    let Some(mut patterns) = Patterns::new(&lengths.length, &lengths.count, stock) else { return dived };
    patterns.made.extend(known.iter().cloned().map(|mut bar| {
        bar.takes.sort_unstable();
        bar
    }));
    let available: Vec<Option<usize>> = stock.iter().map(|s| s.available).collect();
    let whole = patterns.relax(&lengths.count, &available, MOST_ROUNDS, below);
    dived.least_cost = dived.least_cost.max(whole.least_cost.min(below));
    if dived.least_cost >= below {
        return dived;
    }
    let mut diver =
        Diver { lengths, stock, patterns, least: dived.least_cost, cost: below, bars: None, solved: 0 };
    for departures in 0..=MOST_DEPARTURES {
        let rest =
            Rest { count: lengths.count.clone(), available: available.clone(), bars: Vec::new(), cost: 0 };
        diver.take(rest, Some(&whole), departures);
        if diver.done() {
            break;
        }
    }
    dived.bars = diver.bars;
    dived.cost = diver.cost;
    dived
}

struct Diver<'a> {
    lengths: &'a Lengths,
    stock: &'a [Holder],
    patterns: Patterns<'a>,
    least: i64,
    cost: i64,
    bars: Option<Vec<Filled>>,
    solved: usize,
}

/// What is still to be cut, and the bars taken so far.
#[derive(Clone)]
struct Rest {
    count: Vec<usize>,
    available: Vec<Option<usize>>,
    bars: Vec<Filled>,
    cost: i64,
}

impl Diver<'_> {
    fn done(&self) -> bool {
        self.cost <= self.least || self.solved >= MOST_SOLVED
    }

    fn take(&mut self, rest: Rest, relaxed: Option<&Relaxed>, departures: usize) {
        let pieces: usize = rest.count.iter().sum();
        if pieces <= FEW_PIECES {
            self.finish(rest);
            return;
        }
        let own;
        let relaxed = if let Some(relaxed) = relaxed {
            relaxed
        } else {
            self.solved += 1;
            own = self.patterns.relax(&rest.count, &rest.available, ROUNDS_OF_THE_REST, i64::MAX);
            &own
        };
        if rest.cost.saturating_add(self.patterns.up_to_step(relaxed.cost)) >= self.cost {
            return;
        }
        // Whole bars first, all at once.
        let mut next = rest.clone();
        for &(place, times) in &relaxed.used {
            for _ in 0..(times + 1e-6) as usize {
                next.add(&self.patterns.made[place], self.stock);
            }
        }
        if next.bars.len() > rest.bars.len() {
            self.take(next, None, departures);
            return;
        }
        let mut nearest = relaxed.used.clone();
        nearest.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        for (departs, (place, _)) in nearest.into_iter().take(departures + 1).enumerate() {
            let mut next = rest.clone();
            if next.add(&self.patterns.made[place], self.stock) {
                self.take(next, None, departures - departs);
            }
            if self.done() {
                return;
            }
        }
    }

    /// The exact search for the last pieces.
    fn finish(&mut self, mut rest: Rest) {
        let left: Vec<usize> = (0..rest.count.len()).filter(|&at| rest.count[at] > 0).collect();
        let lengths = Lengths {
            length: left.iter().map(|&at| self.lengths.length[at]).collect(),
            count: left.iter().map(|&at| rest.count[at]).collect(),
        };
        let stock: Vec<Holder> =
            self.stock.iter().zip(&rest.available).map(|(s, a)| Holder { available: *a, ..*s }).collect();
        let Some(last) = cheaper(&lengths, &stock, self.cost - rest.cost, BARS_OPENED_AT_THE_END) else {
            return;
        };
        for bar in last {
            let takes = bar.takes.iter().map(|&(at, count)| (left[at], count)).collect();
            rest.add(&Filled { stock: bar.stock, takes }, self.stock);
        }
        if rest.cost < self.cost && rest.count.iter().all(|count| *count == 0) {
            (self.cost, self.bars) = (rest.cost, Some(rest.bars));
        }
    }
}

impl Rest {
    /// Takes a bar off what is left; false where it no longer fits that.
    fn add(&mut self, bar: &Filled, stock: &[Holder]) -> bool {
        let fits = self.available[bar.stock] != Some(0)
            && bar.takes.iter().all(|&(at, taken)| self.count[at] >= taken);
        if fits {
            for &(at, taken) in &bar.takes {
                self.count[at] -= taken;
            }
            if let Some(available) = self.available[bar.stock].as_mut() {
                *available -= 1;
            }
            self.cost += stock[bar.stock].cost;
            self.bars.push(bar.clone());
        }
        fits
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;

    type Known = BTreeMap<(Vec<usize>, Vec<Option<usize>>), Option<i64>>;

    /// The least cost by trying every set that holds the longest piece left, on every kind of stock.
    fn least(
        lengths: &[i64],
        stock: &[Holder],
        left: &[usize],
        available: &[Option<usize>],
        known: &mut Known,
    ) -> Option<i64> {
        let Some(longest) = left.iter().position(|count| *count > 0) else { return Some(0) };
        let key = (left.to_vec(), available.to_vec());
        if let Some(cost) = known.get(&key) {
            return *cost;
        }
        let mut best: Option<i64> = None;
        for (kind, holder) in stock.iter().enumerate().filter(|(kind, _)| available[*kind] != Some(0)) {
            let mut fewer = available.to_vec();
            fewer[kind] = fewer[kind].map(|count| count - 1);
            let mut rest = left.to_vec();
            rest[longest] -= 1;
            let mut sets = vec![(rest, holder.holds - lengths[longest])];
            for at in longest..lengths.len() {
                for place in 0..sets.len() {
                    let (mut rest, mut room) = sets[place].clone();
                    while rest[at] > 0 && room >= lengths[at] {
                        rest[at] -= 1;
                        room -= lengths[at];
                        sets.push((rest.clone(), room));
                    }
                }
            }
            for (rest, _) in sets.iter().filter(|(_, room)| *room >= 0) {
                let cost = least(lengths, stock, rest, &fewer, known).map(|cost| cost + holder.cost);
                best = [best, cost].into_iter().flatten().min();
            }
        }
        known.insert(key, best);
        best
    }

    /// Small orders of one to three kinds of stock, some of them limited.
    #[test]
    fn no_bound_lies_over_and_no_bars_under_what_trying_everything_gives() {
        let mut state = 11_u64;
        let mut next = |below: i64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            1 + (state >> 33).cast_signed() % below
        };
        let (mut met, mut reached, mut orders) = (0, 0, 0);
        for _ in 0..300 {
            let mut stock: Vec<Holder> = (0..next(2))
                .map(|_| Holder { holds: 60 + next(60), cost: 20 + next(80), available: None })
                .collect();
            if next(2) == 1 {
                let available = Some(next(3) as usize);
                stock.push(Holder { holds: 40 + next(60), cost: next(40) - 1, available });
            }
            let mut length: Vec<i64> = (0..=next(4)).map(|_| 9 + next(50)).collect();
            length.sort_unstable_by(|a, b| b.cmp(a));
            length.dedup();
            let count = length.iter().map(|_| next(3) as usize).collect();
            let lengths = Lengths { length, count };
            let available: Vec<Option<usize>> = stock.iter().map(|s| s.available).collect();
            let known = &mut Known::new();
            let Some(exact) = least(&lengths.length, &stock, &lengths.count, &available, known) else {
                continue;
            };
            orders += 1;
            let dived = dive(&lengths, &stock, &[], (0, i64::MAX / 4));
            assert!(dived.least_cost <= exact, "{} over {}: {lengths:?} {stock:?}", dived.least_cost, exact);
            assert!(dived.cost >= exact, "{} under {}: {lengths:?} {stock:?}", dived.cost, exact);
            if let Some(bars) = &dived.bars {
                let mut left = lengths.count.clone();
                for bar in bars {
                    let used: i64 = bar
                        .takes
                        .iter()
                        .map(|&(at, taken)| lengths.length[at] * taken.cast_signed() as i64)
                        .sum();
                    assert!(used <= stock[bar.stock].holds, "overfull");
                    bar.takes.iter().for_each(|&(at, taken)| left[at] -= taken);
                }
                assert!(left.iter().all(|left| *left == 0), "{left:?}");
                assert_eq!(bars.iter().map(|bar| stock[bar.stock].cost).sum::<i64>(), dived.cost);
            }
            met += usize::from(dived.least_cost == exact);
            reached += usize::from(dived.cost == exact);
        }
        assert!(orders > 200, "{orders}");
        assert!(
            met * 2 > orders && reached * 10 > orders * 9,
            "{met} bounds met and {reached} reached of {orders}"
        );
    }
}
