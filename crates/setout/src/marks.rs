//! Marks along the walls: running dimensions, each wall from one corner, never a chain.

use crate::layout::{Bar, Clip, JointKind, Layer, Mark, MarkFor, Support, WallMarks};
use crate::ring;
use crate::room::Room;
use crate::{Ceiling, Point};

/// A line that stops farther than this from a wall marks nothing there, one along a wall a little farther \[mm\].
const NEAR_MM: f64 = 400.0;
const NEAR_PERIMETER_MM: f64 = 600.0;
/// A joint this near a bar's middle is marked with it \[mm\].
const ONE_MARK_MM: f64 = 0.5;
/// A line that meets a wall at less than this angle marks nothing there: sine of 11.5°, at which a millimetre across is five
/// along the wall.
const GRAZING_SINE: f64 = 0.2;

/// The marks of every wall, in the order of the room's corners.
pub(crate) fn marks(
    ceiling: &Ceiling,
    room: &Room,
    bars: &[Bar],
    clips: &[Clip],
    layers: &[Layer],
) -> Vec<WallMarks> {
    let n = room.ring.len();
    let mut lines: Vec<(Point, Point, MarkFor, bool)> = Vec::new();
    for bar in bars {
        lines.push((bar.from, bar.to, MarkFor::Bar(bar.number), bar.wall.is_some()));
    }
    for (index, joist) in ceiling.joists.iter().enumerate() {
        if clips.iter().any(|c| c.on == Support::Joist(index)) {
            lines.push((joist.from, joist.to, MarkFor::ClipRow(index), false));
        }
    }
    for layer in layers {
        for joint in layer.joints.iter().filter(|joint| !joint.hung) {
            let of = match joint.kind {
                JointKind::Long => MarkFor::LongJoint(layer.number),
                JointKind::End => MarkFor::EndJoint(layer.number),
            };
            lines.push((joint.from, joint.to, of, false));
        }
    }
    for (index, opening) in ceiling.obstructions.iter().enumerate() {
        lines.extend(ring::sides(opening).map(|(a, b)| (a, b, MarkFor::Opening(index + 1), false)));
    }
    let name = |i: usize| {
        room.corner.get(i % n).and_then(|&c| ceiling.corners.get(c)).map_or("", |c| c.name.as_str())
    };
    (0..n)
        .map(|i| {
            let wall = &room.walls[i];
            // Each wall is measured from the end nearer the frame's corner, so that opposite walls read the same way.
            let (a, b) = (room.ring[i], room.ring[(i + 1) % n]);
            let from_start = a.x_mm + a.y_mm <= b.x_mm + b.y_mm;
            let mut marks: Vec<Mark> = Vec::new();
            for (from, to, of, perimeter) in &lines {
                let ends = (room.frame.frame_from_room(*from), room.frame.frame_from_room(*to));
                let near_mm = match of {
                    MarkFor::Opening(_) => f64::INFINITY,
                    _ if *perimeter => NEAR_PERIMETER_MM,
                    _ => NEAR_MM,
                };
                for at in meeting(room, i, ends, near_mm) {
                    let at_mm = if from_start { at } else { wall.length_mm - at };
                    marks.push(Mark { at_mm, of: of.clone(), what: in_words(ceiling, of) });
                }
            }
            // An end joint that stops far from the wall is told with the bar under it, where that runs on to the wall.
            let mut on_bars: Vec<Mark> = Vec::new();
            for (from, to, of, _) in lines.iter().filter(|(.., of, _)| matches!(of, MarkFor::EndJoint(_))) {
                let ends = (room.frame.frame_from_room(*from), room.frame.frame_from_room(*to));
                for at in meeting(room, i, ends, f64::INFINITY) {
                    let at_mm = if from_start { at } else { wall.length_mm - at };
                    let has_bar = |mark: &Mark| {
                        matches!(mark.of, MarkFor::Bar(_)) && (mark.at_mm - at_mm).abs() < ONE_MARK_MM
                    };
                    if marks.iter().any(has_bar) {
                        on_bars.push(Mark { at_mm, of: of.clone(), what: in_words(ceiling, of) });
                    }
                }
            }
            marks.extend(on_bars);
            marks.sort_by(|p, q| p.at_mm.total_cmp(&q.at_mm).then(order(&p.of).cmp(&order(&q.of))));
            WallMarks {
                wall: format!("{}-{}", name(i), name(i + 1)),
                from_corner: if from_start { name(i).to_owned() } else { name(i + 1).to_owned() },
                length_mm: wall.length_mm,
                marks: merge(marks),
            }
        })
        .collect()
}

/// Running dimensions of a line of the frame on the walls it runs up to, in words: `420 mm from A on wall A-E`.
pub(crate) fn along_walls(ceiling: &Ceiling, room: &Room, from: Point, to: Point) -> Vec<String> {
    let n = room.ring.len();
    let name = |i: usize| {
        room.corner.get(i % n).and_then(|&c| ceiling.corners.get(c)).map_or("", |c| c.name.as_str())
    };
    let mut out = Vec::new();
    for (i, wall) in room.walls.iter().enumerate() {
        let (a, b) = (room.ring[i], room.ring[(i + 1) % n]);
        let from_start = a.x_mm + a.y_mm <= b.x_mm + b.y_mm;
        for at in meeting(room, i, (from, to), NEAR_MM) {
            let at_mm = if from_start { at } else { wall.length_mm - at };
            let corner = if from_start { name(i) } else { name(i + 1) };
            out.push(format!("{at_mm:.0} mm from {corner} on wall {}-{}", name(i), name(i + 1)));
        }
    }
    out
}

fn order(of: &MarkFor) -> (u8, usize) {
    match of {
        MarkFor::Bar(n) => (0, *n),
        MarkFor::EndJoint(n) => (1, *n),
        MarkFor::LongJoint(n) => (2, *n),
        MarkFor::ClipRow(n) => (3, *n),
        MarkFor::Opening(n) => (4, *n),
    }
}

fn in_words(ceiling: &Ceiling, of: &MarkFor) -> String {
    match of {
        MarkFor::Bar(n) => format!("bar {n}"),
        MarkFor::EndJoint(n) => format!("end joint of layer {n}"),
        MarkFor::LongJoint(n) => format!("long joint of layer {n}"),
        MarkFor::ClipRow(j) => {
            format!("clip row on {}", ceiling.joists.get(*j).map_or("joist", |x| x.name.as_str()))
        }
        MarkFor::Opening(n) => format!("side of opening {n}"),
    }
}

/// One mark where a joint lies on its bar; the same joint of two strips is one mark.
fn merge(marks: Vec<Mark>) -> Vec<Mark> {
    let mut out: Vec<Mark> = Vec::with_capacity(marks.len());
    for mark in marks {
        if let Some(last) = out.last_mut()
            && (mark.at_mm - last.at_mm).abs() < ONE_MARK_MM
        {
            if last.what.split(", ").any(|w| w == mark.what) {
                continue;
            }
            // The bar comes first: it is what the mark is snapped for.
            if order(&mark.of) < order(&last.of) {
                last.what = format!("{}, {}", mark.what, last.what);
                last.of = mark.of;
            } else {
                last.what = format!("{}, {}", last.what, mark.what);
            }
            continue;
        }
        out.push(mark);
    }
    out
}

/// Running dimensions where a line, drawn on from its ends to the walls, first meets wall `i`.
fn meeting(room: &Room, i: usize, (from, to): (Point, Point), near: f64) -> Vec<f64> {
    let n = room.ring.len();
    let length = ring::distance(from, to);
    if length < 1.0 {
        return Vec::new();
    }
    let hits = |a: Point, b: Point| -> Option<(f64, f64, f64)> {
        let (t, s) = ring::crossing(from, to, a, b)?;
        (-1e-6..=1.0 + 1e-6).contains(&s).then_some((t, s, ring::distance(a, b)))
    };
    let (a, b) = (room.ring[i], room.ring[(i + 1) % n]);
    if (to - from).cross(b - a).abs() < GRAZING_SINE * length * ring::distance(a, b) {
        return Vec::new();
    }
    let middle = 0.5;
    let mut first_after: Option<(f64, usize, f64)> = None;
    let mut first_before: Option<(f64, usize, f64)> = None;
    for j in 0..n {
        let (a, b) = (room.ring[j], room.ring[(j + 1) % n]);
        if let Some((t, s, l)) = hits(a, b) {
            if t > middle && first_after.is_none_or(|f| t < f.0) {
                first_after = Some((t, j, s * l));
            }
            if t <= middle && first_before.is_none_or(|f| t > f.0) {
                first_before = Some((t, j, s * l));
            }
        }
    }
    // Only the wall the line really runs up to.
    let mut out = Vec::new();
    if let Some((t, j, at)) = first_before
        && j == i
        && -t * length < near
    {
        out.push(at);
    }
    if let Some((t, j, at)) = first_after
        && j == i
        && (t - 1.0) * length < near
    {
        out.push(at);
    }
    out
}
