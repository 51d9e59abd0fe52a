//! The most value from one sheet when pieces are limited in number: K. V. Viswanathan and A. Bagchi, *Best-first search methods
//! for constrained two-dimensional cutting stock problems*, Operations Research 41, 1993.

use std::collections::{BTreeMap, BinaryHeap};

use super::board::Rect;
use super::gilmore_gomory_1966::{MostValue, Way};

/// Blocks built before the search gives up: a few seconds at most.
const MOST_BLOCKS: usize = 60_000;

/// What the search gives.
pub(crate) struct Limited {
    pub(crate) value: f64,
    pub(crate) at_most: f64,
    /// Ways and where they lie.
    pub(crate) placed: Vec<(usize, Rect)>,
}

/// A block of pieces: what it holds, what it is worth, what the whole sheet can be worth with it in its corner.
#[derive(Clone)]
struct Block {
    length: i64,
    width: i64,
    value: f64,
    counts: Vec<u16>,
    made: Made,
}

#[derive(Clone, Copy)]
enum Made {
    One(usize),
    Beside(usize, usize),
    Above(usize, usize),
}

/// Best first: the block with the highest promise is joined with all blocks taken before, side by side and one above the other,
/// until no promise beats the best block. `most[p]` is how often piece p may be cut.
pub(crate) fn most_value(length: i64, width: i64, ways: &[Way], most: &[u16]) -> Limited {
    let table = MostValue::of(length, width, ways);
    let rest = Rest::of(&table);
    let mut search = Search {
        length,
        width,
        most,
        rest: &rest,
        blocks: Vec::new(),
        open: BinaryHeap::new(),
        held: BTreeMap::new(),
        best: None,
    };
    for (at, way) in ways.iter().enumerate() {
        let mut counts = vec![0; most.len()];
        counts[way.piece] = 1;
        search.add(Block {
            length: way.length,
            width: way.width,
            value: way.value,
            counts,
            made: Made::One(at),
        });
    }
    let mut taken: Vec<usize> = Vec::new();
    let mut at_most = None;
    while let Some(Promise { promise, block }) = search.open.pop() {
        let best = search.best_value();
        if promise <= best + 1e-9 {
            break;
        }
        if search.blocks.len() > MOST_BLOCKS {
            at_most = Some(promise);
            break;
        }
        taken.push(block);
        for &other in &taken {
            search.join(block, other);
        }
    }
    let value = search.best_value();
    let mut placed = Vec::new();
    if let Some(best) = search.best {
        search.lay(best, 0, 0, ways, &mut placed);
    }
    Limited { value, at_most: at_most.unwrap_or(value), placed }
}

struct Search<'a> {
    length: i64,
    width: i64,
    most: &'a [u16],
    rest: &'a Rest,
    blocks: Vec<Block>,
    open: BinaryHeap<Promise>,
    /// Sizes of the blocks that hold the same pieces.
    held: BTreeMap<Vec<u16>, Vec<(i64, i64)>>,
    best: Option<usize>,
}

impl Search<'_> {
    fn best_value(&self) -> f64 {
        self.best.map_or(0.0, |best| self.blocks[best].value)
    }

    fn add(&mut self, block: Block) {
        if block.length > self.length
            || block.width > self.width
            || block.counts.iter().zip(self.most).any(|(count, most)| count > most)
        {
            return;
        }
        let promise = block.value + self.rest.at(block.length, block.width);
        if promise <= self.best_value() + 1e-9 && self.best.is_some() {
            return;
        }
        let sizes = self.held.entry(block.counts.clone()).or_default();
        if sizes.iter().any(|(length, width)| *length <= block.length && *width <= block.width) {
            return;
        }
        sizes.push((block.length, block.width));
        if self.best.is_none() || block.value > self.best_value() {
            self.best = Some(self.blocks.len());
        }
        self.open.push(Promise { promise, block: self.blocks.len() });
        self.blocks.push(block);
    }

    fn join(&mut self, one: usize, other: usize) {
        let (a, b) = (&self.blocks[one], &self.blocks[other]);
        let counts: Vec<u16> = a.counts.iter().zip(&b.counts).map(|(a, b)| a + b).collect();
        let value = a.value + b.value;
        let beside = Block {
            length: a.length + b.length,
            width: a.width.max(b.width),
            value,
            counts: counts.clone(),
            made: Made::Beside(one, other),
        };
        let above = Block {
            length: a.length.max(b.length),
            width: a.width + b.width,
            value,
            counts,
            made: Made::Above(one, other),
        };
        self.add(beside);
        self.add(above);
    }

    fn lay(&self, block: usize, x: i64, y: i64, ways: &[Way], placed: &mut Vec<(usize, Rect)>) {
        let block = &self.blocks[block];
        match block.made {
            Made::One(at) => {
                placed.push((at, Rect { x, y, length: ways[at].length, width: ways[at].width }));
            }
            Made::Beside(left, right) => {
                self.lay(left, x, y, ways, placed);
                self.lay(right, x + self.blocks[left].length, y, ways, placed);
            }
            Made::Above(low, high) => {
                self.lay(low, x, y, ways, placed);
                self.lay(high, x, y + self.blocks[low].width, ways, placed);
            }
        }
    }
}

/// A block waiting, by what the sheet can be worth with it.
struct Promise {
    promise: f64,
    block: usize,
}

impl PartialEq for Promise {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Promise {}

impl PartialOrd for Promise {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Promise {
    /// The higher promise first; of equal ones the block built first.
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.promise.total_cmp(&other.promise).then(other.block.cmp(&self.block))
    }
}

/// The most that the rest of the sheet round a block in its corner can be worth, pieces unlimited:
/// h(x, y) = max { F(u, y) + h(x + u, y), F(x, v) + h(x, y + v) }, h(L, W) = 0.
struct Rest {
    across: Vec<i64>,
    up: Vec<i64>,
    value: Vec<f64>,
}

impl Rest {
    fn of(table: &MostValue) -> Self {
        let (across, up) = (table.across().to_vec(), table.up().to_vec());
        let mut rest = Self { value: vec![0.0; across.len() * up.len()], across, up };
        for i in (0..rest.across.len()).rev() {
            for j in (0..rest.up.len()).rev() {
                let (x, y) = (rest.across[i], rest.up[j]);
                let mut most: f64 = 0.0;
                for k in i + 1..rest.across.len() {
                    most = most.max(table.at(rest.across[k] - x, y) + rest.value[k * rest.up.len() + j]);
                }
                for k in j + 1..rest.up.len() {
                    most = most.max(table.at(x, rest.up[k] - y) + rest.value[i * rest.up.len() + k]);
                }
                rest.value[i * rest.up.len() + j] = most;
            }
        }
        rest
    }

    /// Every block's sides are sums of pieces' sides, so they are on the grid.
    fn at(&self, length: i64, width: i64) -> f64 {
        let i = self.across.partition_point(|entry| *entry <= length).saturating_sub(1);
        let j = self.up.partition_point(|entry| *entry <= width).saturating_sub(1);
        self.value[i * self.up.len() + j]
    }
}
