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
/// no place, or as soon as it is clear that the sheets will not cost less than `below` (which is looked at for one kind of sheet only:
/// of several a cheaper one may still take what is on a sheet).
pub(crate) fn pack(
    items: &[Item],
    boards: &[Board],
    kinds: &[usize],
    rule: Rule,
    below: i64,
) -> Option<Vec<Laid>> {
    let mut spare = Spare::of(items, boards, below);
    if spare.left < 0 {
        return None;
    }
    let mut available: Vec<Option<usize>> = boards.iter().map(|board| board.available).collect();
    let mut open: Vec<Open> = Vec::with_capacity(items.len());
    for item in items {
        let mut best: Option<(Score, usize, Spot)> = None;
        for (at, sheet) in open.iter().enumerate() {
            let most = best.as_ref().map(|(score, _, _)| *score);
            if let Some((score, spot)) = sheet.best_spot(item, &boards[sheet.laid.stock], rule.fit, most) {
                best = Some((score, at, spot));
            }
        }
        let (at, spot) = if let Some((_, at, spot)) = best {
            (at, spot)
        } else {
            let (kind, sheet, spot) =
                kinds.iter().filter(|&&kind| available[kind] != Some(0)).find_map(|&kind| {
                    let sheet = Open::new(kind, &boards[kind]);
                    let (_, spot) = sheet.best_spot(item, &boards[kind], rule.fit, None)?;
                    Some((kind, sheet, spot))
                })?;
            if let Some(count) = available[kind].as_mut() {
                *count -= 1;
            }
            open.push(sheet);
            if open.len() > spare.sheets {
                return None;
            }
            (open.len() - 1, spot)
        };
        open[at].place(item, &spot, rule.split, &mut spare);
        if spare.left < 0 {
            return None;
        }
    }
    Some(open.into_iter().map(|sheet| sheet.laid).collect())
}

/// How many sheets may be opened and how much of them may come to nothing.
struct Spare {
    sheets: usize,
    left: i64,
    /// A rectangle shorter or narrower takes no piece at all.
    least: (i64, i64),
}

impl Spare {
    fn of(items: &[Item], boards: &[Board], below: i64) -> Self {
        let least = |side: &dyn Fn(&Item) -> i64| {
            items.iter().map(|i| if i.may_turn { i.length.min(i.width) } else { side(i) }).min().unwrap_or(0)
        };
        let (mut sheets, mut left) = (usize::MAX, i64::MAX);
        if let [board] = boards
            && board.cost > 0
            && below < i64::MAX
        {
            let most = (below - 1) / board.cost;
            let pieces: i64 = items.iter().map(|item| item.length * item.width).sum();
            sheets = usize::try_from(most).unwrap_or(0);
            left = most.saturating_mul(board.length * board.width).saturating_sub(pieces);
        }
        Self { sheets, left, least: (least(&|item| item.length), least(&|item| item.width)) }
    }
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

    /// The first of the best places that take the piece with the factory edges it needs and score less than `most`.
    fn best_spot(&self, item: &Item, board: &Board, fit: Fit, most: Option<Score>) -> Option<(Score, Spot)> {
        let turns = item.turns();
        let mut best = None;
        let mut least = most;
        for (at, free) in self.free.iter().enumerate() {
            if !item.fits(free.length, free.width) {
                continue;
            }
            for &turn in turns {
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
                        let spot = Spot { free: at, rect, turn };
                        let score = self.score(&spot, fit);
                        if least.is_none_or(|least| score < least) {
                            least = Some(score);
                            best = Some((score, spot));
                        }
                    }
                }
            }
        }
        best
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

    fn place(&mut self, item: &Item, spot: &Spot, split: Split, spare: &mut Spare) {
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
        for rest in [side, over] {
            if rest.length >= spare.least.0 && rest.width >= spare.least.1 {
                self.free.push(rest);
            } else {
                spare.left = spare.left.saturating_sub(rest.area());
            }
        }
    }
}
