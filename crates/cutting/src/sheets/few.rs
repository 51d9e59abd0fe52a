//! Few pieces: every way to put them together.
//!
//! For every set of pieces the smallest blocks that hold it, built of two blocks side by side or one above the other;
//! then the cheapest way to share all pieces out among blocks that fit a sheet. Exact for straight cuts from edge to
//! edge; factory edges play no part. Some more pieces can be settled where so many sheets leave little over: no block may waste more
//! than that.

use super::Turn;
use super::board::{Board, Item, Laid, Placed, Rect};

/// Most pieces for which every way is tried: 3¹¹ pairs of sets.
pub(crate) const FEW: usize = 11;

/// Most pieces for which so many sheets with little over are settled: 3¹⁷ pairs of sets, most of them passed over at once.
pub(crate) const MORE: usize = 17;
/// Blocks joined before that gives up: some tenths of a second.
const MOST_JOINED: usize = 30_000_000;

/// Whether pieces come out of so many sheets.
pub(crate) enum Within {
    /// So they do.
    Yes(Vec<Laid>),
    /// No straight cuts do.
    No,
    /// Not settled within the limit.
    Unknown,
}

/// Whether pieces come out of `count` sheets of one kind, `stock` in the order.
pub(crate) fn within(items: &[Item], stock: usize, board: &Board, count: usize) -> Within {
    let pieces: i64 = items.iter().map(|item| item.length * item.width).sum();
    let sheet = board.length * board.width;
    let spare = sheet.saturating_mul(i64::try_from(count).unwrap_or(i64::MAX)).saturating_sub(pieces);
    if spare < 0 {
        return Within::No;
    }
    let one = [Board { cost: 1, available: None, ..*board }];
    if items.len() > MORE {
        return Within::Unknown;
    }
    let Some(fronts) = fronts(items, &one, spare, MOST_JOINED) else { return Within::Unknown };
    match shared_out(items, &one, &fronts) {
        Some((mut sheets, cost)) if usize::try_from(cost).is_ok_and(|cost| cost <= count) => {
            for sheet in &mut sheets {
                sheet.stock = stock;
            }
            Within::Yes(sheets)
        }
        _ => Within::No,
    }
}

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
    shared_out(items, boards, &fronts(items, boards, i64::MAX, usize::MAX)?)
}

/// The cheapest way to share all pieces out among blocks that fit a sheet.
fn shared_out(items: &[Item], boards: &[Board], fronts: &[Vec<Block>]) -> Option<(Vec<Laid>, i64)> {
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
        lay(items, fronts, part, block, (0, 0), &mut placed);
        sheets.push(Laid { stock: kind, placed });
        left ^= part;
    }
    Some((sheets, cost))
}

/// For every set, the blocks that hold it, waste no more than `spare` and are not larger than another both ways; `None` when more than
/// `most_joined` would have to be joined.
fn fronts(items: &[Item], boards: &[Board], spare: i64, most_joined: usize) -> Option<Vec<Vec<Block>>> {
    let sets = 1_usize << items.len();
    let mut fronts: Vec<Vec<Block>> = vec![Vec::new(); sets];
    // Which sets have a block: read far more often than the blocks themselves.
    let mut has = vec![0_u64; sets.div_ceil(64)];
    let mut area = vec![0_i64; sets];
    let largest = boards.iter().map(|b| b.length * b.width).max().unwrap_or(0);
    let mut joined = 0;
    for set in 1..sets {
        let lowest_item = &items[set.trailing_zeros() as usize];
        area[set] = area[set & (set - 1)] + lowest_item.length * lowest_item.width;
        let own_area = area[set];
        if own_area > largest {
            continue;
        }
        let mut front: Vec<Block> = Vec::new();
        let mut add = |block: Block| {
            let fits = boards.iter().any(|b| block.length <= b.length && block.width <= b.width);
            let beaten = front.iter().any(|other| other.length <= block.length && other.width <= block.width);
            let wasted = block.length * block.width - own_area;
            if fits && wasted <= spare && !beaten {
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
                let other = set ^ part;
                if part & lowest != 0
                    && has[part / 64] >> (part % 64) & has[other / 64] >> (other % 64) & 1 == 1
                {
                    joined += fronts[part].len() * fronts[other].len();
                    if joined > most_joined {
                        return None;
                    }
                    for (left, a) in fronts[part].iter().enumerate() {
                        for (right, b) in fronts[other].iter().enumerate() {
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
        has[set / 64] |= u64::from(!front.is_empty()) << (set % 64);
        fronts[set] = front;
    }
    Some(fronts)
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
