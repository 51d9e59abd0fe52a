//! Where pieces have their corners along each edge of a sheet: the running dimensions to mark them by.

use std::collections::BTreeSet;

use geometry::Point as SheetPoint;
use paper::{
    Group, Point,
    dimension::{RunningDimension, RunningMark, Side, running_dimension},
    point::Direction,
};
use quantities::lengths::Lengths;
use setout::BoardLayer;

use super::{CutSheet, OnPaper, cut_outs_on_sheet};
use crate::drawings::room_plan::FIGURE_MM;

/// A corner of a piece this near to an edge of the sheet lies on it, mm of the sheet.
const CORNER_MM: f64 = 1.5;
/// Marks of one edge nearer than this are one mark, mm of the sheet.
const ONE_MARK_MM: f64 = 0.6;
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

/// The running dimension along one edge of the sheet, from its end nearest the sheet's first corner: where pieces have corners
/// on that edge, and the corners inside the sheet it is nearest to.
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
    let seen = |corner: &SheetPoint| {
        let (x, y) = (corner.x_mm, corner.y_mm);
        match edge {
            Edge::Top => (y, x, wide),
            Edge::Bottom => (y, wide - x, wide),
            Edge::Left => (x, y, long),
            Edge::Right => (x, long - y, long),
        }
    };
    let mut marks: Vec<EdgeMark> = Vec::new();
    for (owner, piece) in cut.pieces.iter().enumerate() {
        let cut_outs = cut_outs_on_sheet(piece);
        for corner in piece.on_sheet.iter().chain(cut_outs.iter().flatten()) {
            let (at, inside, across) = seen(corner);
            let at_corner = at < CORNER_MM || at > end - CORNER_MM;
            let far = inside > across - CORNER_MM;
            // On this edge, or inside the sheet and nearer to this edge than to the one across.
            let nearer =
                inside <= across / 2.0 + if matches!(edge, Edge::Top | Edge::Left) { 1e-6 } else { -1e-6 };
            if !at_corner && !far && (inside < CORNER_MM || nearer) {
                marks.push(EdgeMark { at, inside, owner });
            }
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
                let reach = RUN_OFFSET_MM - 0.6 + on.scale.on_paper_mm(mark.inside);
                RunningMark::new(on.scale.on_paper_mm(mark.at), mark.words).reaching(reach)
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
    /// From the edge into the sheet.
    inside: f64,
    /// Whose corner it is.
    owner: usize,
}

/// Widest saw cut taken for one, mm.
const WIDEST_KERF_MM: f64 = 6.0;

struct MergedMark {
    at: f64,
    inside: f64,
    words: String,
}

/// Marks in order, each place once; the edges of two pieces a saw cut apart are one mark with both figures.
fn merged(mut marks: Vec<EdgeMark>, lengths: Lengths) -> Vec<MergedMark> {
    struct Run {
        from: f64,
        to: f64,
        inside: f64,
        owners: BTreeSet<usize>,
    }
    marks.sort_by(|a, b| a.at.total_cmp(&b.at).then(a.inside.total_cmp(&b.inside)));
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
                run.inside = run.inside.max(mark.inside);
                run.owners.insert(mark.owner);
            }
            _ => runs.push(Run {
                from: mark.at,
                to: mark.at,
                inside: mark.inside,
                owners: BTreeSet::from([mark.owner]),
            }),
        }
    }
    let figures = |run: &Run| {
        let (from, to) = (lengths.figure(run.from, 0), lengths.figure(run.to, 0));
        if from == to { from } else { format!("{from}–{to}") }
    };
    let mut out: Vec<MergedMark> = Vec::new();
    for run in &runs {
        let words = figures(run);
        match out.last_mut() {
            Some(last) if last.words == words => last.inside = last.inside.max(run.inside),
            _ => out.push(MergedMark { at: f64::midpoint(run.from, run.to), inside: run.inside, words }),
        }
    }
    out
}
