//! Quick packings: pieces one after another into the free rectangle they suit best, each placement followed by two cuts from
//! edge to edge. Many orders and rules are tried; all repeatable.

use super::Turn;
use super::board::{Board, Item, Laid, Placed, Rect, given, turned};

/// By what the pieces are sorted, largest first.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Order {
    Area,
    LongerSide,
    Length,
    Width,
    Perimeter,
}

/// Which free rectangle a piece suits best.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Fit {
    /// The least area left.
    Area,
    /// The least left along the tighter side.
    ShortSide,
    /// The least left along the looser side.
    LongSide,
    /// Lowest, then leftmost.
    Lowest,
}

/// In which direction the rest of a free rectangle is cut first.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Split {
    /// Along the shorter rest.
    Shorter,
    /// Along the longer rest.
    Longer,
    /// So that the largest rest is as large as can be.
    KeepLarge,
    /// Always upright, so that strips run across the sheet.
    Upright,
    /// Always along the length.
    Along,
}

/// One way of packing.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rule {
    pub(crate) order: Order,
    pub(crate) fit: Fit,
    pub(crate) split: Split,
}

/// All ways tried.
pub(crate) fn rules() -> Vec<Rule> {
    let mut rules = Vec::new();
    for order in [Order::Area, Order::LongerSide, Order::Length, Order::Width, Order::Perimeter] {
        for fit in [Fit::Area, Fit::ShortSide, Fit::LongSide, Fit::Lowest] {
            for split in [Split::KeepLarge, Split::Shorter, Split::Longer, Split::Upright, Split::Along] {
                rules.push(Rule { order, fit, split });
            }
        }
    }
    rules
}

/// Pieces in the order of a rule; those that need factory edges come first among equals of a size.
pub(crate) fn sorted(items: &[Item], order: Order) -> Vec<Item> {
    let mut sorted = items.to_vec();
    let key = |item: &Item| match order {
        Order::Area => (item.length * item.width, item.length.max(item.width)),
        Order::LongerSide => (item.length.max(item.width), item.length.min(item.width)),
        Order::Length => (item.length, item.width),
        Order::Width => (item.width, item.length),
        Order::Perimeter => (item.length + item.width, item.length.max(item.width)),
    };
    sorted.sort_by(|a, b| key(b).cmp(&key(a)).then(a.piece.cmp(&b.piece)));
    sorted
}

/// Packs pieces in the order given; a new sheet is of the first kind in `kinds` that takes the piece. `None` when a piece finds
/// no place.
pub(crate) fn pack(items: &[Item], boards: &[Board], kinds: &[usize], rule: Rule) -> Option<Vec<Laid>> {
    let mut available: Vec<Option<usize>> = boards.iter().map(|board| board.available).collect();
    let mut open: Vec<Open> = Vec::new();
    for item in items {
        let mut best: Option<(Score, usize, Spot)> = None;
        for (at, sheet) in open.iter().enumerate() {
            for spot in sheet.spots(item, &boards[sheet.laid.stock]) {
                let score = sheet.score(&spot, rule.fit);
                if best.as_ref().is_none_or(|(least, _, _)| score < *least) {
                    best = Some((score, at, spot));
                }
            }
        }
        let (at, spot) = if let Some((_, at, spot)) = best {
            (at, spot)
        } else {
            let (kind, sheet, spot) =
                kinds.iter().filter(|&&kind| available[kind] != Some(0)).find_map(|&kind| {
                    let sheet = Open::new(kind, &boards[kind]);
                    let spots = sheet.spots(item, &boards[kind]);
                    let best = spots.into_iter().min_by_key(|spot| sheet.score(spot, rule.fit))?;
                    Some((kind, sheet, best))
                })?;
            if let Some(count) = available[kind].as_mut() {
                *count -= 1;
            }
            open.push(sheet);
            (open.len() - 1, spot)
        };
        open[at].place(item, &spot, rule.split);
    }
    Some(open.into_iter().map(|sheet| sheet.laid).collect())
}

/// Cost first, then where: the order in which places are compared.
type Score = (i64, i64, i64, i64);

/// A place for a piece.
#[derive(Clone, Copy, Debug)]
struct Spot {
    free: usize,
    rect: Rect,
    turn: Turn,
}

/// A sheet being packed.
struct Open {
    laid: Laid,
    free: Vec<Rect>,
}

impl Open {
    fn new(kind: usize, board: &Board) -> Self {
        Self { laid: Laid { stock: kind, placed: Vec::new() }, free: vec![board.whole()] }
    }

    /// Places that take the piece with the factory edges it needs.
    fn spots(&self, item: &Item, board: &Board) -> Vec<Spot> {
        let mut spots = Vec::new();
        for (at, free) in self.free.iter().enumerate() {
            for &turn in item.turns() {
                let (length, width) = item.laid(turn);
                if length > free.length || width > free.width {
                    continue;
                }
                let wanted = turned(item.needs, turn);
                let corners: &[(bool, bool)] = if wanted == super::Sides::NONE {
                    &[(false, false)]
                } else {
                    &[(false, false), (true, false), (false, true), (true, true)]
                };
                for &(right, top) in corners {
                    let rect = Rect {
                        x: if right { free.right() - length } else { free.x },
                        y: if top { free.top() - width } else { free.y },
                        length,
                        width,
                    };
                    if given(wanted, board.factory_edges_of(rect)) {
                        spots.push(Spot { free: at, rect, turn });
                    }
                }
            }
        }
        spots
    }

    fn score(&self, spot: &Spot, fit: Fit) -> Score {
        let free = self.free[spot.free];
        let (beside, above) = (free.length - spot.rect.length, free.width - spot.rect.width);
        let (tight, loose) = (beside.min(above), beside.max(above));
        let area = free.area() - spot.rect.area();
        match fit {
            Fit::Area => (area, tight, spot.rect.y, spot.rect.x),
            Fit::ShortSide => (tight, loose, spot.rect.y, spot.rect.x),
            Fit::LongSide => (loose, tight, spot.rect.y, spot.rect.x),
            Fit::Lowest => (spot.rect.y, spot.rect.x, tight, area),
        }
    }

    fn place(&mut self, item: &Item, spot: &Spot, split: Split) {
        let free = self.free.swap_remove(spot.free);
        let piece = spot.rect;
        self.laid.placed.push(Placed { piece: item.piece, rect: piece, turn: spot.turn });
        let (beside, above) = (free.length - piece.length, free.width - piece.width);
        let upright_first = match split {
            Split::Shorter => beside < above,
            Split::Longer => beside >= above,
            Split::KeepLarge => beside * free.width >= above * free.length,
            Split::Upright => true,
            Split::Along => false,
        };
        let beside_x = if piece.x > free.x { free.x } else { piece.right() };
        let above_y = if piece.y > free.y { free.y } else { piece.top() };
        let (side, over) = if upright_first {
            (
                Rect { x: beside_x, y: free.y, length: beside, width: free.width },
                Rect { x: piece.x, y: above_y, length: piece.length, width: above },
            )
        } else {
            (
                Rect { x: beside_x, y: piece.y, length: beside, width: piece.width },
                Rect { x: free.x, y: above_y, length: free.length, width: above },
            )
        };
        self.free.extend([side, over].into_iter().filter(|rect| rect.length > 0 && rect.width > 0));
    }
}
