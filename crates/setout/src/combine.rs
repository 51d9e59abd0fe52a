//! One choice per layer, so that the layers' joints keep apart: the best such combinations, before bars are laid.

use std::cmp::Ordering;

use rayon::prelude::*;

use crate::draft::Site;
use crate::strips::{self, Choice, LayerFamily};
use crate::{Aim, shared};

/// Combinations kept for working out; in rooms with sharp corners most of the best have a joint no bar can hold.
pub(crate) const KEPT: usize = 1500;
/// Choices of one layer looked at, best first.
const MOST_CHOICES: usize = 6000;

/// One choice per layer, with what is known of it before bars are laid.
#[derive(Clone, Debug)]
pub(crate) struct Combination {
    pub(crate) boards: usize,
    slivers: usize,
    pieces: usize,
    bars: usize,
    /// Of its choices, summed.
    stamp: i64,
    /// By layer, an index into its family's choices.
    pub(crate) choices: Vec<usize>,
}

impl Combination {
    /// What is known before bars are laid, in the order asked for; what is not stands as 0.
    pub(crate) fn key(&self, order: [Aim; 6]) -> [usize; 6] {
        order.map(|aim| match aim {
            Aim::Boards => self.boards,
            Aim::Slivers => self.slivers,
            Aim::Pieces => self.pieces,
            Aim::Bars => self.bars,
            Aim::Cuts | Aim::Clips => 0,
        })
    }

    /// Of equal worth by the stamp first, which does not hang on the side the room is looked at from.
    fn by_worth(&self, other: &Self, aims: [Aim; 6]) -> Ordering {
        let known = |c: &Self| (c.key(aims), c.stamp);
        known(self).cmp(&known(other)).then_with(|| self.choices.cmp(&other.choices))
    }
}

/// The best combinations whose layers keep their joints apart; `spread` takes them from all over instead, for rooms
/// where the best cannot be built.
pub(crate) fn combine(
    site: &Site,
    families: &[LayerFamily],
    stagger_mm: f64,
    spread: bool,
) -> Vec<Combination> {
    let Some(first) = families.first() else { return Vec::new() };
    let order = Aim::order(&site.ceiling.rules.prefer);
    let (boards_first, plain) = (order[0] == Aim::Boards, order[..3] == Aim::ALL[..3]);
    let stride = |count: usize| if spread { (count / 150).max(1) } else { 1 };
    let mut kept: Vec<Combination> = first
        .choices
        .iter()
        .enumerate()
        .step_by(stride(first.choices.len()))
        .take(if boards_first { usize::MAX } else { MOST_CHOICES })
        .map(|(i, c)| Combination {
            boards: c.boards,
            slivers: c.slivers,
            pieces: c.pieces,
            bars: 0,
            stamp: c.stamp,
            choices: vec![i],
        })
        .collect();
    for (layer, family) in families.iter().enumerate().skip(1) {
        let Some(under) = families.get(layer - 1) else { continue };
        let ends = strips::stagger_table(&under.phase_lines, &family.phase_lines, stagger_mm);
        let longs: Vec<Vec<bool>> = (0..under.origin_count())
            .map(|a| {
                (0..family.origin_count())
                    .map(|b| strips::lines_apart(under.origin_lines(a), family.origin_lines(b), stagger_mm))
                    .collect()
            })
            .collect();
        let turns: Vec<Vec<strips::Turns>> = (0..under.origin_count())
            .map(|a| {
                (0..family.origin_count())
                    .map(|b| strips::turns_over(under.origin_lines(a), family.origin_lines(b)))
                    .collect()
            })
            .collect();
        let apart = |a: &Choice, b: &Choice| match (a.phases.as_slice(), b.phases.as_slice()) {
            // Turn and turn about: at most four pairs of phases lie over each other.
            (&[_, _], &[_, _]) => {
                turns[a.origin][b.origin].iter().all(|&(i, j, over)| !over || ends[a.phases[i]][b.phases[j]])
            }
            _ => strips::ends_apart((under.long_lines(a), a), (family.long_lines(b), b), &ends),
        };
        // By the origins of both layers, the pairs with fewest boards first.
        let last = |c: &Combination| c.choices.last().and_then(|&i| under.choices.get(i));
        let mut unders: Vec<Vec<(usize, &Choice)>> = vec![Vec::new(); under.origin_count()];
        for (k, combination) in kept.iter().enumerate() {
            if let Some(choice) = last(combination) {
                unders[choice.origin].push((k, choice));
            }
        }
        let most = if boards_first { usize::MAX } else { MOST_CHOICES };
        let mut overs: Vec<Vec<(usize, &Choice)>> = vec![Vec::new(); family.origin_count()];
        for (i, choice) in family.choices.iter().enumerate().step_by(stride(family.choices.len())).take(most)
        {
            overs[choice.origin].push((i, choice));
        }
        let mut pairs: Vec<(usize, usize, usize)> = Vec::new();
        for (a, under) in unders.iter().enumerate() {
            for (b, over) in overs.iter().enumerate().filter(|(b, _)| longs[a][*b]) {
                if let (Some((k, _)), Some((_, choice))) = (under.first(), over.first()) {
                    pairs.push((kept.get(*k).map_or(0, |c| c.boards) + choice.boards, a, b));
                }
            }
        }
        pairs.sort_unstable();
        let mut next: Vec<Combination> = Vec::new();
        let mut limit: Option<Combination> = None;
        for (fewest, a, b) in pairs {
            if boards_first && limit.as_ref().is_some_and(|l| fewest > l.boards) {
                break;
            }
            let fewest_over = overs[b].first().map_or(0, |(_, c)| c.boards);
            for &(k, a) in &unders[a] {
                let Some(combination) = kept.get(k) else { continue };
                if boards_first && limit.as_ref().is_some_and(|l| combination.boards + fewest_over > l.boards)
                {
                    break;
                }
                for &(i, b) in &overs[b] {
                    let boards = combination.boards + b.boards;
                    if boards_first && limit.as_ref().is_some_and(|l| boards > l.boards) {
                        break;
                    }
                    let (slivers, pieces) = (combination.slivers + b.slivers, combination.pieces + b.pieces);
                    let over = |l: &Combination| (boards, slivers, pieces) > (l.boards, l.slivers, l.pieces);
                    if (plain && limit.as_ref().is_some_and(over)) || !apart(a, b) {
                        continue;
                    }
                    let mut choices = combination.choices.clone();
                    choices.push(i);
                    let bars = bars_guess(site, families, &choices);
                    let stamp = combination.stamp + b.stamp;
                    let new = Combination { boards, slivers, pieces, bars, stamp, choices };
                    if limit.as_ref().is_none_or(|l| new.by_worth(l, order) == Ordering::Less) {
                        next.push(new);
                    }
                    if next.len() >= 4 * KEPT {
                        shorten(&mut next, KEPT, spread, order);
                        if !spread {
                            limit = next.last().cloned();
                        }
                    }
                }
            }
        }
        shorten(&mut next, KEPT, spread, order);
        kept = next;
    }
    if families.len() == 1 {
        for c in &mut kept {
            c.bars = bars_guess(site, families, &c.choices);
        }
        shorten(&mut kept, KEPT, spread, order);
    }
    if shared::any(&shared::groups(&site.ceiling.layers)) {
        count_shared(site, families, &mut kept);
        shorten(&mut kept, KEPT, spread, order);
    }
    kept
}

/// Counts the boards of every combination anew, layers of the same board cut from the same sheets where that takes fewer.
fn count_shared(site: &Site, families: &[LayerFamily], combinations: &mut [Combination]) {
    let (boards, rules) = (&site.ceiling.layers, &site.ceiling.rules);
    let groups = shared::groups(boards);
    combinations.par_iter_mut().for_each_init(shared::Counter::default, |counter, combination| {
        let chosen: Vec<&Choice> =
            families.iter().zip(&combination.choices).filter_map(|(f, &c)| f.choices.get(c)).collect();
        let of_group = |members: &Vec<usize>| {
            let alone: usize = members.iter().filter_map(|&m| chosen.get(m)).map(|c| c.boards).sum();
            let Some(board) = members.first().and_then(|&m| boards.get(m)).filter(|_| members.len() > 1)
            else {
                return alone;
            };
            let laid = members.iter().filter_map(|&m| Some((families.get(m)?, *chosen.get(m)?)));
            alone.min(counter.count(board, rules, laid))
        };
        combination.boards = groups.iter().map(of_group).sum();
    });
}

fn shorten(list: &mut Vec<Combination>, to: usize, spread: bool, order: [Aim; 6]) {
    list.sort_by(|a, b| a.by_worth(b, order));
    if spread && list.len() > to {
        let stride = list.len().div_ceil(to);
        let mut index = 0;
        list.retain(|_| {
            index += 1;
            (index - 1) % stride == 0
        });
    } else {
        list.truncate(to);
    }
}

/// Bars across a plain room with these joints: enough to rank by.
fn bars_guess(site: &Site, families: &[LayerFamily], choices: &[usize]) -> usize {
    let mut lines: Vec<f64> = Vec::with_capacity(16);
    for (family, &choice) in families.iter().zip(choices) {
        let Some(choice) = family.choices.get(choice) else { continue };
        for &phase in &choice.phases {
            if let Some(l) = family.phase_lines.get(phase) {
                lines.extend_from_slice(l);
            }
        }
    }
    let (low, high) = crate::ring::extent(&site.room.outline);
    lines.extend([low.y_mm + 75.0, high.y_mm - 75.0]);
    lines.sort_by(f64::total_cmp);
    lines.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let between: f64 = lines
        .windows(2)
        .map(|w| ((w[1] - w[0]) / site.bar_rules.gap_limit_mm - 1e-9).ceil() - 1.0)
        .map(|n| n.max(0.0))
        .sum();
    lines.len() + between as usize
}
