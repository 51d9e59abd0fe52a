//! From pieces to sheets: quick packings first, then every way for few pieces, then changed orders, until bound and cost meet.

use super::Sides;
use super::board::{Board, Item, Laid};
use super::bounds::{bound, cheapest_for, share};
use super::few::{FEW, MORE, Within, cheapest_of_few, within};
use super::pack::{pack, rules, sorted};

/// Changed orders tried when bound and cost do not meet: 4000 prove 33 of 40 orders such as rooms give, 400 prove 31, 40 000
/// no more than 4000.
const CHANGED_ORDERS: usize = 4_000;

/// The best sheets found, their cost, the least cost proved.
pub(crate) struct Found {
    pub(crate) sheets: Vec<Laid>,
    pub(crate) cost: i64,
    pub(crate) least_cost: i64,
}

/// The cheapest sheets for the pieces; `None` when no packing found a place for all.
pub(crate) fn cheapest(items: &[Item], boards: &[Board]) -> Option<Found> {
    let mut least = bound(items, boards);
    let mut best: Option<(i64, Vec<Laid>)> = None;
    let keep = |sheets: Vec<Laid>, best: &mut Option<(i64, Vec<Laid>)>| {
        let sheets = on_cheaper_sheets(sheets, items, boards);
        let cost = sheets.iter().map(|sheet| boards[sheet.stock].cost).sum();
        if best.as_ref().is_none_or(|(least, _)| cost < *least) {
            *best = Some((cost, sheets));
        }
    };
    for kinds in kind_orders(boards) {
        for rule in rules() {
            let below = best.as_ref().map_or(i64::MAX, |(cost, _)| *cost);
            if let Some(sheets) = pack(&sorted(items, rule.order), boards, &kinds, rule, below) {
                keep(sheets, &mut best);
            }
            if best.as_ref().is_some_and(|(cost, _)| *cost <= least) {
                return done(best, least);
            }
        }
    }
    // Pieces that can share a sheet with no other have a sheet of their own in any plan.
    let plenty = boards.iter().all(|b| b.available.is_none_or(|most| most >= items.len()));
    let (alone, rest): (Vec<Item>, Vec<Item>) = items
        .iter()
        .partition(|item| !items.iter().any(|other| other.piece != item.piece && share(item, other, boards)));
    if rest.len() <= FEW
        && let Some((mut sheets, rest_cost)) = cheapest_of_few(&rest, boards)
    {
        let alone_cost: i64 = alone.iter().filter_map(|item| cheapest_for(item, boards)).sum();
        least = least.max(rest_cost + alone_cost);
        let free = items.iter().all(|item| item.needs == Sides::NONE);
        if plenty && free {
            for item in &alone {
                sheets.extend(cheapest_of_few(&[*item], boards).map(|(own, _)| own).unwrap_or_default());
            }
            keep(sheets, &mut best);
        }
    }
    if best.as_ref().is_none_or(|(cost, _)| *cost > least) {
        let below = best.as_ref().map_or(i64::MAX, |(cost, _)| *cost);
        changed_orders(items, boards, (least, below), &mut |sheets| {
            keep(sheets, &mut best);
            best.as_ref().map_or(i64::MAX, |(cost, _)| *cost)
        });
    }
    // Where one kind of sheet is all there is, few sheets that leave little over are settled for some more pieces than that.
    if let [board] = boards
        && board.cost > 0
        && plenty
        && items.iter().all(|item| item.needs == Sides::NONE)
        && (FEW + 1..=MORE).contains(&rest.len())
    {
        let alone_cost = board.cost.saturating_mul(alone.len().cast_signed() as i64);
        while let Some((cost, _)) = &best
            && *cost > least
        {
            match within(&rest, 0, board, usize::try_from((least - alone_cost) / board.cost).unwrap_or(0)) {
                Within::Yes(mut sheets) => {
                    for item in &alone {
                        sheets.extend(
                            cheapest_of_few(&[*item], boards).map(|(own, _)| own).unwrap_or_default(),
                        );
                    }
                    keep(sheets, &mut best);
                    break;
                }
                Within::No => least += board.cost,
                Within::Unknown => break,
            }
        }
    }
    done(best, least)
}

fn done(best: Option<(i64, Vec<Laid>)>, least: i64) -> Option<Found> {
    best.map(|(cost, sheets)| Found { sheets, cost, least_cost: least.min(cost) })
}

/// Orders in which kinds of sheet are opened: cheapest first, cheapest for its area, largest; each kind first in turn.
fn kind_orders(boards: &[Board]) -> Vec<Vec<usize>> {
    let all = || (0..boards.len()).collect::<Vec<usize>>();
    let area = |kind: usize| boards[kind].length * boards[kind].width;
    let mut by_cost = all();
    by_cost.sort_by_key(|&kind| boards[kind].cost);
    let mut by_rate = all();
    by_rate.sort_by(|&a, &b| {
        (i128::from(boards[a].cost) * i128::from(area(b)))
            .cmp(&(i128::from(boards[b].cost) * i128::from(area(a))))
    });
    let mut by_area = all();
    by_area.sort_by_key(|&kind| std::cmp::Reverse(area(kind)));
    let mut orders = vec![by_rate.clone(), by_cost, by_area];
    for first in 0..boards.len() {
        let mut order = by_rate.clone();
        order.sort_by_key(|&kind| kind != first);
        orders.push(order);
    }
    let mut different: Vec<Vec<usize>> = Vec::new();
    for order in orders {
        if !different.contains(&order) {
            different.push(order);
        }
    }
    different
}

/// Each sheet cut from the cheapest kind that still takes all that is on it.
fn on_cheaper_sheets(sheets: Vec<Laid>, items: &[Item], boards: &[Board]) -> Vec<Laid> {
    if boards.len() < 2 {
        return sheets;
    }
    let mut drawn = vec![0_usize; boards.len()];
    for sheet in &sheets {
        drawn[sheet.stock] += 1;
    }
    let few_rules: Vec<_> = rules().into_iter().step_by(7).collect();
    sheets
        .into_iter()
        .map(|sheet| {
            let on_it: Vec<Item> = sheet
                .placed
                .iter()
                .filter_map(|placed| items.iter().find(|item| item.piece == placed.piece).copied())
                .collect();
            let area: i64 = on_it.iter().map(|item| item.length * item.width).sum();
            let mut kinds: Vec<usize> = (0..boards.len())
                .filter(|&kind| {
                    let board = &boards[kind];
                    board.cost < boards[sheet.stock].cost
                        && board.length * board.width >= area
                        && board.available.is_none_or(|most| drawn[kind] < most)
                })
                .collect();
            kinds.sort_by_key(|&kind| boards[kind].cost);
            for kind in kinds {
                for rule in &few_rules {
                    let one = [Board { available: Some(1), ..boards[kind] }];
                    if let Some(mut packed) = pack(&sorted(&on_it, rule.order), &one, &[0], *rule, i64::MAX)
                        && let Some(mut smaller) = packed.pop()
                    {
                        drawn[sheet.stock] -= 1;
                        drawn[kind] += 1;
                        smaller.stock = kind;
                        return smaller;
                    }
                }
            }
            sheet
        })
        .collect()
}

/// Orders made from the sorted ones by a repeatable exchange of neighbours and throws to the front.
fn changed_orders(
    items: &[Item],
    boards: &[Board],
    (least, mut below): (i64, i64),
    keep: &mut dyn FnMut(Vec<Laid>) -> i64,
) {
    if items.len() < 2 {
        return;
    }
    let all_rules = rules();
    let kinds = kind_orders(boards);
    let in_order: Vec<Vec<Item>> = all_rules.iter().map(|rule| sorted(items, rule.order)).collect();
    let mut order: Vec<Item> = Vec::with_capacity(items.len());
    let mut state = 0x9E37_79B9_7F4A_7C15_u64;
    let mut next = |below: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) as usize) % below
    };
    for round in 0..CHANGED_ORDERS {
        let at = next(all_rules.len());
        let rule = all_rules[at];
        order.clone_from(&in_order[at]);
        for _ in 0..=round % 6 {
            let from = next(order.len());
            let to = next(from + 1);
            let item = order.remove(from);
            order.insert(to, item);
        }
        if let Some(sheets) = pack(&order, boards, &kinds[next(kinds.len())], rule, below) {
            below = keep(sheets);
            if below <= least {
                return;
            }
        }
    }
}
