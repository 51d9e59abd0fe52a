//! Joints, read off the pieces themselves: on a bar, and away from the joints beside and above.

use geometry::{Polygon, Segment};

use super::sizes::{size, told_apart};
use super::{Checked, LESS_APART_MM, OPEN_JOINT_MM, Rule, WIDER_GAP_MM};
use crate::Point;
use crate::layout::{EdgeMeets, Layer, Piece};

/// Lines this near are one line \[mm\].
const SAME_MM: f64 = 0.05;

/// A side of a piece that meets another piece, in the frame: fixed coordinate, and from and to along it.
#[derive(Clone, Copy, Debug)]
struct Meeting {
    fixed: f64,
    from: f64,
    to: f64,
    a: Point,
    b: Point,
}

pub(super) fn check(checked: &mut Checked) {
    let layout = checked.layout;
    let found: Vec<(Vec<Meeting>, Vec<Meeting>)> =
        layout.layers.iter().map(|l| meetings(checked, l)).collect();
    for (layer, (ends, _)) in layout.layers.iter().zip(&found) {
        on_bars(checked, layer, ends);
        rows(checked, layer, ends);
    }
    for (pair, both) in found.windows(2).zip(layout.layers.windows(2)) {
        let ([below, above], [layer, over]) = (pair, both) else { continue };
        let up = checked.has_boards_up(layer) || checked.has_boards_up(over);
        layers(checked, (layer.number, up), &below.0, &above.0, "end");
        layers(checked, (layer.number, up), &below.1, &above.1, "long");
    }
}

/// End joints and long joints of a layer, each once.
fn meetings(checked: &Checked, layer: &Layer) -> (Vec<Meeting>, Vec<Meeting>) {
    let (mut ends, mut longs): (Vec<Meeting>, Vec<Meeting>) = (Vec::new(), Vec::new());
    let at_wall_mm = if checked.has_boards_up(layer) { WIDER_GAP_MM + SAME_MM } else { SAME_MM };
    for piece in &layer.pieces {
        let is_up = checked.is_up(piece);
        let sides = piece.outline.iter().zip(piece.outline.iter().cycle().skip(1));
        for (at, (a, b)) in sides.enumerate() {
            // A board that is up has its walls where it had them, however far off them it hangs.
            if is_up && piece.edges.get(at).is_some_and(|edge| edge.meets == EdgeMeets::Wall) {
                continue;
            }
            let middle = a.toward(*b, 0.5);
            if checked.outline.distance_to_boundary_mm(middle) < at_wall_mm || a.distance_mm(*b) < SAME_MM {
                continue;
            }
            let (ua, ub, va, vb) = (checked.u(*a), checked.u(*b), checked.v(*a), checked.v(*b));
            let (list, fixed, from, to) = if (va - vb).abs() < (ua - ub).abs() {
                (&mut ends, f64::midpoint(va, vb), ua.min(ub), ua.max(ub))
            } else {
                (&mut longs, f64::midpoint(ua, ub), va.min(vb), va.max(vb))
            };
            let same = |m: &Meeting| {
                (m.fixed - fixed).abs() < SAME_MM && m.from <= from + SAME_MM && m.to >= to - SAME_MM
            };
            if !list.iter().any(same) {
                list.push(Meeting { fixed, from, to, a: *a, b: *b });
            }
        }
    }
    (ends, longs)
}

/// An end joint stands on bars over its whole length, both boards with their bearing. Between one bar's end and the next bar or the
/// edge of the boards it may run bare by the first-bar limit at most, measured along the joint's line: a long joint does not end a
/// bare stretch.
fn on_bars(checked: &mut Checked, layer: &Layer, ends: &[Meeting]) {
    let bars = checked.middles();
    let half = checked.ceiling.bar.face_width_mm / 2.0;
    let (bearing, limit) = (checked.ceiling.rules.edge_bearing_mm, checked.ceiling.rules.first_bar_mm);
    // Two boards meet in one joint, though it may be met in parts.
    let mut told: Vec<String> = Vec::new();
    for end in ends {
        let mut worst: Option<(f64, Point, String)> = None;
        let bare = along_the_line(checked, end).into_iter().flat_map(|line| {
            let held = bars.iter().filter_map(|bar| bearing_stretch(*bar, line, half - bearing + SAME_MM));
            bare(held.collect(), line.length_mm()).into_iter().map(move |stretch| (line, stretch))
        });
        for (line, (start, finish)) in bare {
            let (from, to) = (line.running_mm(end.a), line.running_mm(end.b));
            let (from, to) = (from.min(to), from.max(to));
            let (start_here, finish_here) = (start.max(from), finish.min(to));
            if finish - start <= limit + SAME_MM || finish_here - start_here <= SAME_MM {
                continue;
            }
            let at = line.point_at(f64::midpoint(start_here, finish_here));
            let bears = bears_mm(&bars, half, at);
            let (by, words) = if bears > -half {
                let words = format!("bears {} mm too little on its bar", size(bearing - bears));
                (bearing - bears, words)
            } else {
                let run = finish - start;
                let [is, may] = told_apart(run, limit);
                let words = format!(
                    "has no bar under its line for {is} mm; between a bar's end and the next bar or the wall {may} mm may be bare"
                );
                (run - limit, words)
            };
            if worst.as_ref().is_none_or(|w| by > w.0) {
                worst = Some((by, at, words));
            }
        }
        if let Some((by, at, words)) = worst {
            let beside = beside(checked, layer, at);
            let joint = match beside.as_slice() {
                [] => format!("an end joint of layer {}", layer.number),
                names => format!("the end joint of {}", names.join("/")),
            };
            let sentence = format!("{joint} {words}");
            if beside.len() > 1 && told.contains(&sentence) {
                continue;
            }
            told.push(sentence.clone());
            checked.breach(Rule::EndsOnBars, format!("layer {}", layer.number), at, by, sentence);
        }
    }
}

/// Names of the pieces that meet at a point.
fn beside<'a>(checked: &Checked, layer: &'a Layer, at: Point) -> Vec<&'a str> {
    let near_mm = if checked.has_boards_up(layer) { OPEN_JOINT_MM + SAME_MM } else { SAME_MM };
    let meets = |piece: &&Piece| {
        Polygon::new(&piece.outline)
            .is_ok_and(|shape| shape.contains(at) || shape.distance_to_boundary_mm(at) <= near_mm)
    };
    layer.pieces.iter().filter(meets).map(|piece| piece.name.as_str()).collect()
}

/// The stretches of boards along a joint's line that it lies in: from edge to edge of the ceiling, and broken off at what comes through.
fn along_the_line(checked: &Checked, end: &Meeting) -> Vec<Segment> {
    let joint = Segment { from: end.a, to: end.b };
    let Some(dir) = (end.b - end.a).unit() else { return Vec::new() };
    let (middle, far) = (joint.middle(), dir * 1e5);
    let inside = checked.outline.clip_line(middle - far, middle + far);
    let Some((from, to)) =
        inside.into_iter().find(|&(from, to)| Segment { from, to }.distance_mm(middle) < SAME_MM)
    else {
        return Vec::new();
    };
    let line = Segment { from, to };
    let holes: Vec<(f64, f64)> = checked
        .ceiling
        .obstructions
        .iter()
        .filter_map(|ring| Polygon::new(ring).ok())
        .flat_map(|hole| hole.clip_line(middle - far, middle + far))
        .map(|(a, b)| (line.running_mm(a), line.running_mm(b)))
        .map(|(a, b)| (a.min(b).max(0.0), a.max(b).min(line.length_mm())))
        .filter(|(a, b)| b > a)
        .collect();
    bare(holes, line.length_mm())
        .into_iter()
        .map(|(a, b)| Segment { from: line.point_at(a), to: line.point_at(b) })
        .collect()
}

/// Where on a line, measured from its start, a bar is near enough under it: along the bar's length, and off its middle by `off` at most.
fn bearing_stretch(bar: Segment, line: Segment, off: f64) -> Option<(f64, f64)> {
    let (dir, bar_dir) = (line.along().unit()?, bar.along().unit()?);
    let start = line.from - bar.from;
    let mut stretch = (0.0, line.length_mm());
    for (value, slope, low, high) in [
        (start.dot(bar_dir), dir.dot(bar_dir), -SAME_MM, bar.length_mm() + SAME_MM),
        (bar_dir.cross(start), bar_dir.cross(dir), -off, off),
    ] {
        if slope.abs() < 1e-9 {
            if value < low || value > high {
                return None;
            }
        } else {
            let (a, b) = ((low - value) / slope, (high - value) / slope);
            stretch = (f64::max(stretch.0, a.min(b)), f64::min(stretch.1, a.max(b)));
        }
    }
    (stretch.1 > stretch.0).then_some(stretch)
}

/// What of a length no stretch covers.
fn bare(mut held: Vec<(f64, f64)>, length: f64) -> Vec<(f64, f64)> {
    held.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out = Vec::new();
    let mut reached = 0.0;
    for (from, to) in held.into_iter().chain([(length, length)]) {
        if from > reached {
            out.push((reached, from));
        }
        reached = f64::max(reached, to);
    }
    out
}

/// What a board's end at a point bears on the bar that lies best under it; far below nothing where none does.
fn bears_mm(bars: &[Segment], half: f64, p: Point) -> f64 {
    let beside =
        bars.iter().filter(|bar| (-SAME_MM..=bar.length_mm() + SAME_MM).contains(&bar.running_mm(p)));
    beside.map(|bar| half - bar.left_of_mm(p).abs()).fold(f64::NEG_INFINITY, f64::max)
}

/// How far joints must keep apart; a little less where boards are up.
fn least_apart(asked_mm: f64, up: bool) -> f64 {
    (asked_mm - if up { LESS_APART_MM } else { 0.0 }).max(1.0)
}

/// The limit in words: `the least is 190 beside boards that are up, 200 elsewhere`.
fn least_words(asked_mm: f64, up: bool) -> String {
    let least = least_apart(asked_mm, up);
    if up && asked_mm - least > SAME_MM {
        format!("the least is {least:.0} beside boards that are up, {asked_mm:.0} elsewhere")
    } else {
        format!("the least is {least:.0}")
    }
}

/// End joints of strips side by side.
fn rows(checked: &mut Checked, layer: &Layer, ends: &[Meeting]) {
    let (layer, up) = (layer.number, checked.has_boards_up(layer));
    let least = least_apart(checked.ceiling.rules.stagger_rows_mm, up);
    // Joints beside boards that are up may stand open.
    let beside_mm = if up { 1.0 + OPEN_JOINT_MM } else { 1.0 };
    for (i, a) in ends.iter().enumerate() {
        for b in &ends[i + 1..] {
            let side_by_side = (a.to - b.from).abs() < beside_mm || (b.to - a.from).abs() < beside_mm;
            let apart = (a.fixed - b.fixed).abs();
            if side_by_side && apart < least - SAME_MM {
                let [is, _] = told_apart(apart, least);
                let sentence = format!(
                    "end joints of neighbouring strips of layer {layer} are {is} mm apart, {}",
                    least_words(checked.ceiling.rules.stagger_rows_mm, up)
                );
                checked.breach(Rule::Stagger, format!("layer {layer}"), a.a, least - apart, sentence);
            }
        }
    }
}

/// Parallel joints of two layers that pass each other.
fn layers(
    checked: &mut Checked,
    (layer, up): (usize, bool),
    below: &[Meeting],
    above: &[Meeting],
    kind: &str,
) {
    let least = least_apart(checked.ceiling.rules.stagger_layers_mm, up);
    for a in below {
        for b in above {
            let overlap = a.to.min(b.to) - a.from.max(b.from);
            let apart = (a.fixed - b.fixed).abs();
            if overlap > 1.0 && apart < least - SAME_MM {
                let [is, _] = told_apart(apart, least);
                let sentence = format!(
                    "{kind} joints of layers {layer} and {} are {is} mm apart, {}",
                    layer + 1,
                    least_words(checked.ceiling.rules.stagger_layers_mm, up)
                );
                let at = Segment { from: b.a, to: b.b }.middle();
                checked.breach(
                    Rule::Stagger,
                    format!("layers {layer} and {}", layer + 1),
                    at,
                    least - apart,
                    sentence,
                );
            }
        }
    }
}
