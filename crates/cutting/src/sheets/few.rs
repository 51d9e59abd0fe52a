//! Few pieces: every way to put them together.
//!
//! For every set of pieces the smallest blocks that hold it, built of two blocks side by side or one above the other;
//! then the cheapest way to share all pieces out among blocks that fit a sheet. Exact for straight cuts from edge to
//! edge; factory edges play no part.

use super::Turn;
use super::board::{Board, Item, Laid, Placed, Rect};

/// Most pieces for which every way is tried: 3¹¹ pairs of sets.
pub(crate) const FEW: usize = 11;

/// A block of pieces and how it is put together.
#[derive(Clone, Copy)]
struct Block {
    length: i64,
    width: i64,
    made: Made,
}

#[derive(Clone, Copy)]
enum Made {
    One { item: usize, turn: Turn },
    Beside { set: usize, left: usize, right: usize },
    Above { set: usize, low: usize, high: usize },
}

/// The cheapest sheets for few pieces, as if there were as many of each kind as wanted, and their cost; `None` when a piece fits
/// no sheet or there are too many pieces.
pub(crate) fn cheapest_of_few(items: &[Item], boards: &[Board]) -> Option<(Vec<Laid>, i64)> {
    if items.len() > FEW {
        return None;
    }
    let fronts = fronts(items, boards);
    let sets = 1_usize << items.len();
    let kind_of = |set: usize| {
        boards
            .iter()
            .enumerate()
            .filter(|(_, b)| {
                fronts[set].iter().any(|block| block.length <= b.length && block.width <= b.width)
            })
            .min_by_key(|(at, b)| (b.cost, *at))
    };
    let on_one: Vec<Option<(usize, i64)>> =
        (0..sets).map(|set| kind_of(set).map(|(kind, board)| (kind, board.cost))).collect();
    let mut best: Vec<Option<(i64, usize)>> = vec![None; sets];
    best[0] = Some((0, 0));
    for set in 1..sets {
        let lowest = set & set.wrapping_neg();
        let mut part = set;
        while part > 0 {
            if part & lowest != 0
                && let (Some((_, cost)), Some((rest, _))) = (on_one[part], best[set ^ part])
                && best[set].is_none_or(|(least, _)| cost + rest < least)
            {
                best[set] = Some((cost + rest, part));
            }
            part = (part - 1) & set;
        }
    }
    let (cost, _) = best[sets - 1]?;
    let mut sheets = Vec::new();
    let mut left = sets - 1;
    while left > 0 {
        let (_, part) = best[left]?;
        let (kind, _) = on_one[part]?;
        let board = &boards[kind];
        let block = fronts[part]
            .iter()
            .position(|block| block.length <= board.length && block.width <= board.width)?;
        let mut placed = Vec::new();
        lay(items, &fronts, part, block, (0, 0), &mut placed);
        sheets.push(Laid { stock: kind, placed });
        left ^= part;
    }
    Some((sheets, cost))
}

/// For every set, the blocks that hold it and are not larger than another both ways.
fn fronts(items: &[Item], boards: &[Board]) -> Vec<Vec<Block>> {
    let sets = 1_usize << items.len();
    let mut fronts: Vec<Vec<Block>> = vec![Vec::new(); sets];
    for set in 1..sets {
        let mut front: Vec<Block> = Vec::new();
        let mut add = |block: Block| {
            let fits = boards.iter().any(|b| block.length <= b.length && block.width <= b.width);
            let beaten = front.iter().any(|other| other.length <= block.length && other.width <= block.width);
            if fits && !beaten {
                front.retain(|other| other.length < block.length || other.width < block.width);
                front.push(block);
            }
        };
        if set.is_power_of_two() {
            let item = set.trailing_zeros() as usize;
            for &turn in items[item].turns() {
                let (length, width) = items[item].laid(turn);
                add(Block { length, width, made: Made::One { item, turn } });
            }
        } else {
            let lowest = set & set.wrapping_neg();
            let mut part = (set - 1) & set;
            while part > 0 {
                if part & lowest != 0 {
                    for (left, a) in fronts[part].iter().enumerate() {
                        for (right, b) in fronts[set ^ part].iter().enumerate() {
                            add(Block {
                                length: a.length + b.length,
                                width: a.width.max(b.width),
                                made: Made::Beside { set: part, left, right },
                            });
                            add(Block {
                                length: a.length.max(b.length),
                                width: a.width + b.width,
                                made: Made::Above { set: part, low: left, high: right },
                            });
                        }
                    }
                }
                part = (part - 1) & set;
            }
        }
        fronts[set] = front;
    }
    fronts
}

fn lay(
    items: &[Item],
    fronts: &[Vec<Block>],
    set: usize,
    block: usize,
    (x, y): (i64, i64),
    placed: &mut Vec<Placed>,
) {
    let Some(block) = fronts[set].get(block) else { return };
    match block.made {
        Made::One { item, turn } => placed.push(Placed {
            piece: items[item].piece,
            rect: Rect { x, y, length: block.length, width: block.width },
            turn,
        }),
        Made::Beside { set: part, left, right } => {
            let across = fronts[part].get(left).map_or(0, |b| b.length);
            lay(items, fronts, part, left, (x, y), placed);
            lay(items, fronts, set ^ part, right, (x + across, y), placed);
        }
        Made::Above { set: part, low, high } => {
            let up = fronts[part].get(low).map_or(0, |b| b.width);
            lay(items, fronts, part, low, (x, y), placed);
            lay(items, fronts, set ^ part, high, (x, y + up), placed);
        }
    }
}
