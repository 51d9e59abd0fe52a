//! From places to cuts: a layout taken apart by straight cuts from edge to edge, and what is left over.

use super::board::{Board, Laid, Placed, Rect};
use super::{Cut, Offcut};
use crate::hundredths::mm;

/// Cuts in order and rectangles left over.
#[derive(Default)]
pub(crate) struct Taken {
    pub(crate) cuts: Vec<Cut>,
    pub(crate) offcuts: Vec<Offcut>,
}

/// Takes a layout apart; `None` when no straight cuts do.
pub(crate) fn take_apart(laid: &Laid, board: &Board, kerf: i64) -> Option<Taken> {
    let mut taken = Taken::default();
    let mut work = vec![(board.whole(), laid.placed.clone())];
    // Depth first, the part nearer the origin first, so that the cuts come in an order a person can follow.
    while let Some((region, placed)) = work.pop() {
        let Some((low, high, cut)) = first_cut(region, &placed) else {
            match placed.as_slice() {
                [] => taken.leave(region, board, kerf),
                [one] if one.rect == region => {}
                _ => return None,
            }
            continue;
        };
        taken.cuts.push(cut_in_mm(region, cut, kerf));
        let inside = |part: Rect| -> Vec<Placed> {
            placed
                .iter()
                .filter(|p| {
                    p.rect.x >= part.x
                        && p.rect.right() <= part.right()
                        && p.rect.y >= part.y
                        && p.rect.top() <= part.top()
                })
                .copied()
                .collect()
        };
        work.push((high, inside(high)));
        work.push((low, inside(low)));
    }
    taken.offcuts.sort_by(|a, b| {
        (b.length_mm * b.width_mm)
            .total_cmp(&(a.length_mm * a.width_mm))
            .then(a.x_mm.total_cmp(&b.x_mm))
            .then(a.y_mm.total_cmp(&b.y_mm))
    });
    Some(taken)
}

impl Taken {
    fn leave(&mut self, region: Rect, board: &Board, kerf: i64) {
        let (length, width) = (region.length - kerf, region.width - kerf);
        if length > 0 && width > 0 {
            self.offcuts.push(Offcut {
                x_mm: mm(region.x),
                y_mm: mm(region.y),
                length_mm: mm(length),
                width_mm: mm(width),
                factory_edges: board.factory_edges_of(region),
            });
        }
    }
}

/// Where a region is cut: upright at x, or along at y.
#[derive(Clone, Copy)]
enum Line {
    Upright(i64),
    Along(i64),
}

/// The first cut of a region and its two parts: the largest empty strip off an edge, else between pieces.
fn first_cut(region: Rect, placed: &[Placed]) -> Option<(Rect, Rect, Line)> {
    if placed.is_empty() {
        return None;
    }
    let least_x = placed.iter().map(|p| p.rect.x).min()?;
    let most_x = placed.iter().map(|p| p.rect.right()).max()?;
    let least_y = placed.iter().map(|p| p.rect.y).min()?;
    let most_y = placed.iter().map(|p| p.rect.top()).max()?;
    let strips = [
        ((region.right() - most_x) * region.width, Line::Upright(most_x)),
        ((region.top() - most_y) * region.length, Line::Along(most_y)),
        ((least_x - region.x) * region.width, Line::Upright(least_x)),
        ((least_y - region.y) * region.length, Line::Along(least_y)),
    ];
    let mut line = None;
    let mut largest = 0;
    for (area, strip) in strips {
        if area > largest {
            largest = area;
            line = Some(strip);
        }
    }
    let line = line.or_else(|| between(placed, most_x, most_y))?;
    let (low, high) = match line {
        Line::Upright(x) => {
            (Rect { length: x - region.x, ..region }, Rect { x, length: region.right() - x, ..region })
        }
        Line::Along(y) => {
            (Rect { width: y - region.y, ..region }, Rect { y, width: region.top() - y, ..region })
        }
    };
    Some((low, high, line))
}

/// A line that no piece crosses.
fn between(placed: &[Placed], most_x: i64, most_y: i64) -> Option<Line> {
    let mut edges: Vec<i64> = placed.iter().map(|p| p.rect.right()).filter(|x| *x < most_x).collect();
    edges.sort_unstable();
    let upright = edges.into_iter().find(|x| placed.iter().all(|p| p.rect.right() <= *x || p.rect.x >= *x));
    if let Some(x) = upright {
        return Some(Line::Upright(x));
    }
    let mut edges: Vec<i64> = placed.iter().map(|p| p.rect.top()).filter(|y| *y < most_y).collect();
    edges.sort_unstable();
    edges.into_iter().find(|y| placed.iter().all(|p| p.rect.top() <= *y || p.rect.y >= *y)).map(Line::Along)
}

/// The cut as it is marked: at the edge of the part nearer the origin, the saw beyond it.
fn cut_in_mm(region: Rect, line: Line, kerf: i64) -> Cut {
    match line {
        Line::Upright(x) => Cut {
            from_x_mm: mm(x - kerf),
            from_y_mm: mm(region.y),
            to_x_mm: mm(x - kerf),
            to_y_mm: mm(region.top() - kerf),
        },
        Line::Along(y) => Cut {
            from_x_mm: mm(region.x),
            from_y_mm: mm(y - kerf),
            to_x_mm: mm(region.right() - kerf),
            to_y_mm: mm(y - kerf),
        },
    }
}
