//! Where pieces have their corners on the edges of a sheet, the running dimensions to mark them by; and the corners inside it, each
//! with its places from two edges.

use std::collections::BTreeSet;

use geometry::Point as SheetPoint;
use paper::{
    Baseline, Circle, Group, Ink, Point, Text, Weight,
    dimension::{RunningDimension, RunningMark, Side, running_dimension},
    font,
    point::Direction,
};
use quantities::lengths::Lengths;
use setout::BoardLayer;

use super::{CutSheet, OnPaper, cut_outs_on_sheet};
use crate::drawings::{
    labels::{Candidate, Labels},
    room_plan::FIGURE_MM,
};

/// A corner of a piece this near to an edge of the sheet lies on it, mm of the sheet: half of what a figure tells.
const CORNER_MM: f64 = 0.5;
/// An edge of a piece nowhere farther than this from an edge of the sheet is not cut, mm: no saw takes so little off.
pub(super) const UNCUT_MM: f64 = 1.0;
/// Marks of one edge nearer than this are one mark, mm of the sheet.
const ONE_MARK_MM: f64 = 0.6;
/// From a corner inside the sheet to its figures, mm of paper; from `LED_MM` on a line leads to them.
const REACHES_MM: [f64; 10] = [1.6, 2.6, 3.8, 5.2, 7.0, 9.0, 11.0, 14.0, 17.0, 21.0];
const LED_MM: f64 = 4.5;
/// A tick nearer to the ring than this lies on it, mm of paper.
const ON_RING_MM: f64 = 2.4;
/// From the sheet to its running dimensions, mm.
const RUN_OFFSET_MM: f64 = 4.0;

/// The edges of a sheet as it lies on the drawing.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Edge {
    Top,
    Bottom,
    Left,
    Right,
}

impl Edge {
    pub(super) const ALL: [Self; 4] = [Self::Top, Self::Bottom, Self::Left, Self::Right];
}

/// Corners of a piece as they are cut: an edge all but on the sheet's own is left as it is, a corner all but on it lies on it.
pub(super) fn snapped(board: &BoardLayer, corners: &[SheetPoint]) -> Vec<SheetPoint> {
    let mut out = corners.to_vec();
    let n = out.len();
    let (wide, long) = (board.width_mm, board.length_mm);
    for at in 0..n {
        let next = (at + 1) % n;
        for edge_mm in [0.0, wide] {
            if [at, next].iter().all(|&i| corners.get(i).is_some_and(|p| (p.x_mm - edge_mm).abs() < UNCUT_MM))
            {
                for i in [at, next] {
                    if let Some(point) = out.get_mut(i) {
                        point.x_mm = edge_mm;
                    }
                }
            }
        }
        for edge_mm in [0.0, long] {
            if [at, next].iter().all(|&i| corners.get(i).is_some_and(|p| (p.y_mm - edge_mm).abs() < UNCUT_MM))
            {
                for i in [at, next] {
                    if let Some(point) = out.get_mut(i) {
                        point.y_mm = edge_mm;
                    }
                }
            }
        }
    }
    for point in &mut out {
        for edge_mm in [0.0, wide] {
            if (point.x_mm - edge_mm).abs() < CORNER_MM {
                point.x_mm = edge_mm;
            }
        }
        for edge_mm in [0.0, long] {
            if (point.y_mm - edge_mm).abs() < CORNER_MM {
                point.y_mm = edge_mm;
            }
        }
    }
    out
}

/// Every corner of the pieces of a sheet, with the piece it belongs to.
fn corners(board: &BoardLayer, cut: &CutSheet<'_>) -> Vec<(usize, SheetPoint)> {
    let mut all = Vec::new();
    for (owner, piece) in cut.pieces.iter().enumerate() {
        let cut_outs = cut_outs_on_sheet(piece);
        let own = snapped(board, &piece.on_sheet).into_iter().chain(cut_outs.into_iter().flatten());
        all.extend(own.map(|corner| (owner, corner)));
    }
    all
}

/// A dot at every corner inside the sheet.
pub(super) fn inside_dots(on: &OnPaper, board: &BoardLayer, cut: &CutSheet<'_>) -> Group {
    let mut group = Group::on_layer("dimensions");
    for corner in inside(on, board, cut) {
        group.add(dot(on.at(corner)));
    }
    group
}

/// The dot of a corner inside a sheet.
pub(super) fn dot(centre: Point) -> Circle {
    Circle { centre, radius_mm: 0.6, pen: None, fill: Some(Ink::Ink) }
}

/// Each corner inside the sheet with its places from the left and from the upper edge as drawn.
pub(super) fn inside_figures(
    on: &OnPaper,
    (board, cut): (&BoardLayer, &CutSheet<'_>),
    lengths: Lengths,
    labels: &mut Labels,
) {
    for corner in inside(on, board, cut) {
        let along = format!("→{}", lengths.figure(corner.y_mm, 0));
        let down = format!("↓{}", lengths.figure(corner.x_mm, 0));
        let at = on.at(corner);
        let one_line = around_lines(at, &[format!("{along} {down}")]);
        labels.put(one_line.into_iter().chain(around_lines(at, &[along, down])));
    }
}

/// To which side of a corner its figures may stand, right and down: beside it, over and under it, and a little aslant.
const DIRECTIONS: [(f64, f64); 16] = [
    (1.0, -1.0),
    (1.0, 1.0),
    (-1.0, -1.0),
    (-1.0, 1.0),
    (0.0, -1.0),
    (0.0, 1.0),
    (1.0, 0.0),
    (-1.0, 0.0),
    (1.0, -0.4),
    (1.0, 0.4),
    (-1.0, -0.4),
    (-1.0, 0.4),
    (0.4, -1.0),
    (0.4, 1.0),
    (-0.4, -1.0),
    (-0.4, 1.0),
];

/// Lines of words one under another round a point, farther and farther off, led to it where that is far.
fn around_lines(at: Point, lines: &[String]) -> Vec<Candidate> {
    let size = font::drawn_size_mm(FIGURE_MM);
    let half_width =
        lines.iter().map(|line| font::width_mm(line, size, Weight::Regular) / 2.0).fold(0.0, f64::max);
    let spacing = size * 1.25;
    let below = spacing * (lines.len() as f64 - 1.0) / 2.0;
    let half_height = below + size * font::CAP_HEIGHT / 2.0;
    let mut all = Vec::new();
    for reach in REACHES_MM {
        for (right, down) in DIRECTIONS {
            let away = if right.abs() > 0.5 && down.abs() > 0.5 { reach * 0.75 } else { reach };
            let middle = at.moved(right * (half_width + away), down * (half_height + away));
            let mut one = Candidate { cost: all.len() as f64 * 0.01, ..Candidate::default() };
            for (row, line) in lines.iter().enumerate() {
                let place = middle.moved(0.0, spacing * row as f64 - below);
                one.texts.push(Text::new(place, line.as_str(), size).centred().on(Baseline::Middle));
            }
            if reach >= LED_MM {
                one.cost += 0.3;
                let end = middle.moved(-right * (half_width + 0.5), -down * (half_height + 0.5));
                one.leader = Some([at.along(Direction::between(at, end), 1.0), end]);
            }
            all.push(one);
        }
    }
    all
}

/// Corners on no edge of the sheet, and those on one so near to its ring that a tick would lie on it; each place once.
fn inside(on: &OnPaper, board: &BoardLayer, cut: &CutSheet<'_>) -> Vec<SheetPoint> {
    let mut all: Vec<SheetPoint> = Vec::new();
    for (_, corner) in corners(board, cut) {
        let across = corner.x_mm.min(board.width_mm - corner.x_mm);
        let along = corner.y_mm.min(board.length_mm - corner.y_mm);
        let on_ring = (across < CORNER_MM && is_on_ring(on, corner.y_mm))
            || (along < CORNER_MM && is_on_ring(on, corner.x_mm));
        if (on_ring || across.min(along) >= CORNER_MM)
            && !all.iter().any(|known| known.distance_mm(corner) < ONE_MARK_MM)
        {
            all.push(corner);
        }
    }
    all
}

/// Whether a tick so far from the ring of an edge would lie on it.
fn is_on_ring(on: &OnPaper, at_mm: f64) -> bool {
    at_mm >= CORNER_MM && on.scale.on_paper_mm(at_mm) < ON_RING_MM
}

/// The running dimension along one edge of the sheet, from its end nearest the sheet's first corner: where pieces have corners
/// on that edge.
pub(super) fn run(
    on: &OnPaper,
    (board, cut): (&BoardLayer, &CutSheet<'_>),
    edge: Edge,
    lengths: Lengths,
) -> Option<Group> {
    let (long, wide) = (board.length_mm, board.width_mm);
    let along_top = matches!(edge, Edge::Top | Edge::Bottom);
    let end = if along_top { long } else { wide };
    // Of a corner: its place along the edge, and how far it lies inside.
    let seen = |corner: SheetPoint| {
        let (x, y) = (corner.x_mm, corner.y_mm);
        match edge {
            Edge::Top => (y, x),
            Edge::Bottom => (y, wide - x),
            Edge::Left => (x, y),
            Edge::Right => (x, long - y),
        }
    };
    let mut marks: Vec<EdgeMark> = Vec::new();
    for (owner, corner) in corners(board, cut) {
        let (at, inside) = seen(corner);
        if inside < CORNER_MM && at >= CORNER_MM && at <= end - CORNER_MM && !is_on_ring(on, at) {
            marks.push(EdgeMark { at, owner });
        }
    }
    let marks = merged(marks, lengths);
    if marks.is_empty() {
        return None;
    }
    let far = on.at(SheetPoint::new(wide, long));
    let (origin, along, labels) = match edge {
        Edge::Top => (Point::new(0.0, -RUN_OFFSET_MM), Direction::RIGHT, Side::Left),
        Edge::Bottom => (Point::new(0.0, far.y + RUN_OFFSET_MM), Direction::RIGHT, Side::Right),
        Edge::Left => (Point::new(-RUN_OFFSET_MM, 0.0), Direction::DOWN, Side::Right),
        Edge::Right => (Point::new(far.x + RUN_OFFSET_MM, 0.0), Direction::DOWN, Side::Left),
    };
    Some(running_dimension(&RunningDimension {
        origin,
        along,
        labels,
        length_mm: on.scale.on_paper_mm(end),
        marks: marks
            .into_iter()
            .map(|mark| {
                RunningMark::new(on.scale.on_paper_mm(mark.at), mark.words).reaching(RUN_OFFSET_MM - 0.6)
            })
            .collect(),
        caption: String::new(),
        size_mm: FIGURE_MM,
    }))
}

/// Where a corner of a piece is marked on an edge of the sheet, mm of the sheet.
struct EdgeMark {
    /// From the edge's first end.
    at: f64,
    /// Whose corner it is.
    owner: usize,
}

/// Widest saw cut taken for one, mm.
const WIDEST_KERF_MM: f64 = 6.0;

struct MergedMark {
    at: f64,
    words: String,
}

/// Marks in order, each place once; the edges of two pieces a saw cut apart are one mark with both figures.
fn merged(mut marks: Vec<EdgeMark>, lengths: Lengths) -> Vec<MergedMark> {
    struct Run {
        from: f64,
        to: f64,
        owners: BTreeSet<usize>,
    }
    marks.sort_by(|a, b| a.at.total_cmp(&b.at));
    let mut runs: Vec<Run> = Vec::new();
    for mark in marks {
        match runs.last_mut() {
            Some(run)
                if mark.at - run.to < ONE_MARK_MM
                    || (run.to - run.from < ONE_MARK_MM
                        && mark.at - run.from <= WIDEST_KERF_MM
                        && !run.owners.contains(&mark.owner)) =>
            {
                run.to = run.to.max(mark.at);
                run.owners.insert(mark.owner);
            }
            _ => runs.push(Run { from: mark.at, to: mark.at, owners: BTreeSet::from([mark.owner]) }),
        }
    }
    let figures = |run: &Run| {
        let (from, to) = (lengths.figure(run.from, 0), lengths.figure(run.to, 0));
        if from == to { from } else { format!("{from}–{to}") }
    };
    let mut out: Vec<MergedMark> = Vec::new();
    for run in &runs {
        let words = figures(run);
        if out.last().is_none_or(|last| last.words != words) {
            out.push(MergedMark { at: f64::midpoint(run.from, run.to), words });
        }
    }
    out
}
