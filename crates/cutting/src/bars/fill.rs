//! The search: bars filled one after another, each with the longest piece left and a set of others that no better set makes
//! needless (bin completion; dominance of single pieces and pairs after Martello and Toth).

use std::collections::BTreeMap;

use super::dive::dive;
use super::martello_toth_1990::l2;
use crate::cover::{Holder, least_cost};

/// Bars opened in all before the search gives up: about a second.
const MOST_BARS_OPENED: usize = 150_000;
/// Bars opened in each pass that departs only a few times from the fullest filling.
const BARS_OPENED_IN_A_PASS: usize = 20_000;
/// Most departures of such a pass.
const MOST_DEPARTURES: usize = 6;
/// Ways to fill one bar looked at in one place of the search.
const MOST_FILLINGS: usize = 4_000;

/// Lengths that are equal, counted; longest first.
#[derive(Clone, Debug)]
pub(crate) struct Lengths {
    pub(crate) length: Vec<i64>,
    pub(crate) count: Vec<usize>,
}

/// A bar in the search: which stock and how many of each length.
#[derive(Clone, Debug)]
pub(crate) struct Filled {
    pub(crate) stock: usize,
    pub(crate) takes: Vec<(usize, usize)>,
}

/// Bars for few lengths cheaper than `below`, if the search comes upon them before it has opened so many.
pub(crate) fn cheaper(
    lengths: &Lengths,
    stock: &[Holder],
    below: i64,
    most_opened: usize,
) -> Option<Vec<Filled>> {
    let mut search = Search {
        lengths,
        stock,
        best: None,
        best_cost: below,
        least: bound(&expanded(lengths, &lengths.count), stock),
        opened: 0,
        most_opened,
        departures: None,
        gave_up: false,
        seen: BTreeMap::new(),
    };
    let mut available: Vec<Option<usize>> = stock.iter().map(|s| s.available).collect();
    search.open(&mut lengths.count.clone(), &mut available, &mut Vec::new(), 0);
    search.best
}

/// What the search gives: the best bars, their cost, the least cost proved.
pub(crate) struct Found {
    pub(crate) bars: Option<Vec<Filled>>,
    pub(crate) cost: i64,
    pub(crate) least_cost: i64,
}

/// The cheapest bars for the lengths. Capacities and lengths include the kerf.
pub(crate) fn cheapest(lengths: &Lengths, stock: &[Holder]) -> Found {
    let all: Vec<i64> = expanded(lengths, &lengths.count);
    let least = bound(&all, stock);
    let mut search = Search {
        lengths,
        stock,
        // Equal capacities, dearer first out: what a bar holds is cut from the cheapest that holds it.
        best: None,
        best_cost: i64::MAX,
        least,
        opened: 0,
        most_opened: MOST_BARS_OPENED,
        departures: None,
        gave_up: false,
        seen: BTreeMap::new(),
    };
    for start in starts(lengths, stock) {
        let cost = start.iter().map(|bar| stock[bar.stock].cost).sum();
        if cost < search.best_cost {
            search.best_cost = cost;
            search.best = Some(start);
        }
    }
    let mut available: Vec<Option<usize>> = stock.iter().map(|s| s.available).collect();
    // First those that depart only here and there from filling each bar as full as it goes (limited discrepancy search); what they leave
    // open the whole search settles.
    for departures in 0..=MOST_DEPARTURES {
        if search.best_cost <= search.least {
            break;
        }
        search.departures = Some(departures);
        search.most_opened = BARS_OPENED_IN_A_PASS;
        search.open(&mut lengths.count.clone(), &mut available, &mut Vec::new(), 0);
        search.start_over();
    }
    // Then a better bound by patterns, and what rounding them gives.
    if search.best_cost > search.least {
        let dived = dive(
            lengths,
            stock,
            search.best.as_deref().unwrap_or_default(),
            (search.least, search.best_cost),
        );
        search.least = search.least.max(dived.least_cost);
        if dived.bars.is_some() && dived.cost < search.best_cost {
            (search.best, search.best_cost) = (dived.bars, dived.cost);
        }
    }
    if search.best_cost > search.least {
        search.departures = None;
        search.most_opened = MOST_BARS_OPENED;
        search.open(&mut lengths.count.clone(), &mut available, &mut Vec::new(), 0);
    }
    let proved = if search.gave_up { search.least } else { search.best_cost };
    Found { cost: search.best_cost, least_cost: proved.min(search.best_cost), bars: search.best }
}

struct Search<'a> {
    lengths: &'a Lengths,
    stock: &'a [Holder],
    best: Option<Vec<Filled>>,
    best_cost: i64,
    least: i64,
    opened: usize,
    most_opened: usize,
    /// How often the search may still take another than the fullest filling; no limit for `None`.
    departures: Option<usize>,
    gave_up: bool,
    /// Cheapest cost at which the same pieces (and the same limited stock) were left before.
    seen: BTreeMap<(Vec<usize>, Vec<Option<usize>>), i64>,
}

impl Search<'_> {
    fn open(
        &mut self,
        left: &mut Vec<usize>,
        available: &mut Vec<Option<usize>>,
        bars: &mut Vec<Filled>,
        cost: i64,
    ) {
        if self.best_cost <= self.least || self.gave_up {
            return;
        }
        let Some(longest) = left.iter().position(|count| *count > 0) else {
            if cost < self.best_cost {
                self.best_cost = cost;
                self.best = Some(bars.clone());
            }
            return;
        };
        let holders: Vec<Holder> =
            self.stock.iter().zip(available.iter()).map(|(s, a)| Holder { available: *a, ..*s }).collect();
        if cost.saturating_add(bound(&expanded(self.lengths, left), &holders)) >= self.best_cost {
            return;
        }
        let key = (left.clone(), available.clone());
        if self.seen.get(&key).is_some_and(|before| *before <= cost) {
            return;
        }
        self.seen.insert(key, cost);
        self.opened += 1;
        if self.opened > self.most_opened {
            self.gave_up = true;
            return;
        }
        let may_depart = self.departures;
        for (departs, filled) in self.fillings(longest, left, available).into_iter().enumerate() {
            if may_depart.is_some_and(|most| departs > most) {
                break;
            }
            self.departures = may_depart.map(|most| most - departs);
            take(left, &filled, false);
            let stock = filled.stock;
            let price = self.stock[stock].cost;
            if let Some(count) = available[stock].as_mut() {
                *count -= 1;
            }
            bars.push(filled);
            self.open(left, available, bars, cost + price);
            if let Some(count) = available[stock].as_mut() {
                *count += 1;
            }
            if let Some(filled) = bars.pop() {
                take(left, &filled, true);
            }
        }
        self.departures = may_depart;
    }

    /// Forgets what a pass found out that does not hold for the next.
    fn start_over(&mut self) {
        self.seen.clear();
        self.opened = 0;
        self.gave_up = false;
    }

    /// Ways to fill a bar with the longest piece left, least waste first.
    fn fillings(&mut self, longest: usize, left: &[usize], available: &[Option<usize>]) -> Vec<Filled> {
        let mut ways: Vec<(i64, Filled)> = Vec::new();
        for (stock, holder) in self.stock.iter().enumerate() {
            if available[stock] == Some(0) || holder.holds < self.lengths.length[longest] {
                continue;
            }
            let mut rest = left.to_vec();
            rest[longest] -= 1;
            let mut sets = Vec::new();
            let room = holder.holds - self.lengths.length[longest];
            let complete = self.sets(longest, &rest, room, &mut Vec::new(), &mut sets);
            if !complete {
                self.gave_up = true;
            }
            for takes in sets {
                let used: i64 = takes
                    .iter()
                    .map(|(at, count)| self.lengths.length[*at] * count.cast_signed() as i64)
                    .sum();
                if self.could_hold_more(&rest, &takes, room - used) {
                    continue;
                }
                let mut all = takes;
                match all.iter_mut().find(|(at, _)| *at == longest) {
                    Some((_, count)) => *count += 1,
                    None => all.insert(0, (longest, 1)),
                }
                let filled = Filled { stock, takes: all };
                // Waste in money: what the bar costs beyond its share of the best rate.
                let waste = holder.cost * 1_000 - self.worth(used + self.lengths.length[longest]);
                ways.push((waste, filled));
            }
        }
        ways.sort_by_key(|(waste, _)| *waste);
        ways.into_iter().map(|(_, filled)| filled).collect()
    }

    /// Thousandths of cost that a length is worth at the best rate of all stock.
    fn worth(&self, length: i64) -> i64 {
        self.stock
            .iter()
            .filter(|s| s.holds > 0)
            .map(|s| (i128::from(s.cost) * 1_000 * i128::from(length) / i128::from(s.holds)) as i64)
            .min()
            .unwrap_or(0)
    }

    /// All sets of the lengths from `from` on that fit; false when there were too many.
    fn sets(
        &self,
        from: usize,
        rest: &[usize],
        room: i64,
        takes: &mut Vec<(usize, usize)>,
        out: &mut Vec<Vec<(usize, usize)>>,
    ) -> bool {
        if out.len() >= MOST_FILLINGS {
            return false;
        }
        let next = (from..rest.len()).find(|&at| rest[at] > 0 && self.lengths.length[at] <= room);
        let Some(at) = next else {
            out.push(takes.clone());
            return true;
        };
        let length = self.lengths.length[at];
        let most = rest[at].min(usize::try_from(room / length).unwrap_or(0));
        for count in (0..=most).rev() {
            if count > 0 {
                takes.push((at, count));
            }
            let complete = self.sets(at + 1, rest, room - length * count.cast_signed() as i64, takes, out);
            if count > 0 {
                takes.pop();
            }
            if !complete {
                return false;
            }
        }
        true
    }

    /// Whether the set is made needless by another: a piece left over fits as well, or could take the place of a shorter
    /// one, or of two that together are no longer.
    fn could_hold_more(&self, rest: &[usize], takes: &[(usize, usize)], room: i64) -> bool {
        let taken = |at: usize| takes.iter().find(|(t, _)| *t == at).map_or(0, |(_, count)| *count);
        for (at, &count) in rest.iter().enumerate() {
            if count <= taken(at) {
                continue;
            }
            let length = self.lengths.length[at];
            if length <= room {
                return true;
            }
            for (first, &(one, one_count)) in takes.iter().enumerate() {
                let one_length = self.lengths.length[one];
                if one_length < length && length - one_length <= room {
                    return true;
                }
                if one_count > 1 && 2 * one_length <= length && length - 2 * one_length <= room {
                    return true;
                }
                for &(other, _) in takes.iter().skip(first + 1) {
                    let both = one_length + self.lengths.length[other];
                    if both <= length && length - both <= room {
                        return true;
                    }
                }
            }
        }
        false
    }
}

/// No bars for these lengths (longest first) can cost less.
fn bound(lengths: &[i64], stock: &[Holder]) -> i64 {
    let total = lengths.iter().sum();
    let by_total = least_cost(stock, total).unwrap_or(i64::MAX / 4);
    let usable = || stock.iter().filter(|s| s.available != Some(0));
    let longest = usable().map(|s| s.holds).max().unwrap_or(0);
    let cheapest = usable().map(|s| s.cost).min().unwrap_or(0);
    if lengths.first().is_some_and(|length| *length > longest) {
        return i64::MAX / 4;
    }
    by_total.max(l2(lengths, longest).saturating_mul(cheapest))
}

fn expanded(lengths: &Lengths, count: &[usize]) -> Vec<i64> {
    lengths
        .length
        .iter()
        .zip(count)
        .flat_map(|(length, count)| std::iter::repeat_n(*length, *count))
        .collect()
}

fn take(left: &mut [usize], filled: &Filled, back: bool) {
    for &(at, count) in &filled.takes {
        if back {
            left[at] += count;
        } else {
            left[at] -= count;
        }
    }
}

/// Quick answers to start from: first fit and best fit, longest first, opening one kind of stock as long as there is any, then
/// each bar cut from the cheapest stock that holds what is on it.
fn starts(lengths: &Lengths, stock: &[Holder]) -> Vec<Vec<Filled>> {
    let mut all = Vec::new();
    for first in 0..stock.len() {
        let mut order: Vec<usize> = (0..stock.len()).collect();
        order.sort_by_key(|&s| (s != first, stock[s].cost));
        for best_fit in [false, true] {
            if let Some(bars) = greedy(lengths, stock, &order, best_fit) {
                all.push(bars);
            }
        }
    }
    all
}

fn greedy(lengths: &Lengths, stock: &[Holder], order: &[usize], best_fit: bool) -> Option<Vec<Filled>> {
    let mut available: Vec<Option<usize>> = stock.iter().map(|s| s.available).collect();
    let mut bars: Vec<(Filled, i64)> = Vec::new();
    for (at, &length) in lengths.length.iter().enumerate() {
        for _ in 0..lengths.count[at] {
            let fits = bars.iter().enumerate().filter(|(_, (_, room))| *room >= length);
            let chosen = if best_fit {
                fits.min_by_key(|(_, (_, room))| *room).map(|(bar, _)| bar)
            } else {
                fits.map(|(bar, _)| bar).next()
            };
            let bar = if let Some(bar) = chosen {
                bar
            } else {
                let &kind = order.iter().find(|&&s| stock[s].holds >= length && available[s] != Some(0))?;
                if let Some(count) = available[kind].as_mut() {
                    *count -= 1;
                }
                bars.push((Filled { stock: kind, takes: Vec::new() }, stock[kind].holds));
                bars.len() - 1
            };
            let (filled, room) = &mut bars[bar];
            *room -= length;
            match filled.takes.iter_mut().find(|(t, _)| *t == at) {
                Some((_, count)) => *count += 1,
                None => filled.takes.push((at, 1)),
            }
        }
    }
    for (filled, room) in &mut bars {
        let used = stock[filled.stock].holds - *room;
        let cheaper = (0..stock.len())
            .filter(|&s| {
                stock[s].holds >= used
                    && (available[s] != Some(0))
                    && stock[s].cost < stock[filled.stock].cost
            })
            .min_by_key(|&s| stock[s].cost);
        if let Some(kind) = cheaper {
            if let Some(count) = available[filled.stock].as_mut() {
                *count += 1;
            }
            if let Some(count) = available[kind].as_mut() {
                *count -= 1;
            }
            filled.stock = kind;
        }
    }
    Some(bars.into_iter().map(|(filled, _)| filled).collect())
}
