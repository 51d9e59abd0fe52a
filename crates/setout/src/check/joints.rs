//! Joints, read off the pieces themselves: on a bar, and away from the joints beside and above.

use geometry::Segment;

use super::{Checked, Rule};
use crate::Point;
use crate::layout::Layer;

/// Steps along a joint \[mm\].
const STEP_MM: f64 = 10.0;
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
        on_bars(checked, layer.number, ends);
        rows(checked, layer.number, ends);
    }
    for (pair, layer) in found.windows(2).zip(&layout.layers) {
        let [below, above] = pair else { continue };
        layers(checked, layer.number, &below.0, &above.0, "end");
        layers(checked, layer.number, &below.1, &above.1, "long");
    }
}

/// End joints and long joints of a layer, each once.
fn meetings(checked: &Checked, layer: &Layer) -> (Vec<Meeting>, Vec<Meeting>) {
    let (mut ends, mut longs): (Vec<Meeting>, Vec<Meeting>) = (Vec::new(), Vec::new());
    for piece in &layer.pieces {
        for (a, b) in piece.outline.iter().zip(piece.outline.iter().cycle().skip(1)) {
            let middle = a.toward(*b, 0.5);
            if checked.outline.distance_to_boundary_mm(middle) < SAME_MM || a.distance_mm(*b) < SAME_MM {
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

fn on_bars(checked: &mut Checked, layer: usize, ends: &[Meeting]) {
    let bars = checked.middles();
    let half = checked.ceiling.bar.face_width_mm / 2.0;
    let (bearing, first) = (checked.ceiling.rules.edge_bearing_mm, checked.ceiling.rules.first_bar_mm);
    for end in ends {
        let steps = ((end.to - end.from) / STEP_MM).ceil().max(1.0);
        let mut worst: Option<(f64, Point)> = None;
        for k in 0..=(steps as usize) {
            let p = end.a.toward(end.b, k as f64 / steps);
            let bears = bars
                .iter()
                .map(|bar| {
                    let along = bar.running_mm(p);
                    if (-SAME_MM..=bar.length_mm() + SAME_MM).contains(&along) {
                        half - bar.left_of_mm(p).abs()
                    } else {
                        f64::NEG_INFINITY
                    }
                })
                .fold(f64::NEG_INFINITY, f64::max);
            if bears >= bearing - SAME_MM || checked.outline.distance_to_boundary_mm(p) <= first + SAME_MM {
                continue;
            }
            let short = bearing - bears;
            if worst.is_none_or(|w| short > w.0) {
                worst = Some((short, p));
            }
        }
        if let Some((short, p)) = worst {
            let sentence = if short.is_finite() && short < half + bearing {
                format!("an end joint of layer {layer} bears {short:.0} mm too little on its bar")
            } else {
                format!("an end joint of layer {layer} has no bar under it")
            };
            checked.breach(Rule::EndsOnBars, format!("layer {layer}"), p, short.min(1e4), sentence);
        }
    }
}

/// End joints of strips side by side.
fn rows(checked: &mut Checked, layer: usize, ends: &[Meeting]) {
    let least = checked.ceiling.rules.stagger_rows_mm.max(1.0);
    for (i, a) in ends.iter().enumerate() {
        for b in &ends[i + 1..] {
            let side_by_side = (a.to - b.from).abs() < 1.0 || (b.to - a.from).abs() < 1.0;
            let apart = (a.fixed - b.fixed).abs();
            if side_by_side && apart < least - SAME_MM {
                let sentence = format!(
                    "end joints of neighbouring strips of layer {layer} are {apart:.0} mm apart, the least is {least:.0}"
                );
                checked.breach(Rule::Stagger, format!("layer {layer}"), a.a, least - apart, sentence);
            }
        }
    }
}

/// Parallel joints of two layers that pass each other.
fn layers(checked: &mut Checked, layer: usize, below: &[Meeting], above: &[Meeting], kind: &str) {
    let least = checked.ceiling.rules.stagger_layers_mm.max(1.0);
    for a in below {
        for b in above {
            let overlap = a.to.min(b.to) - a.from.max(b.from);
            let apart = (a.fixed - b.fixed).abs();
            if overlap > 1.0 && apart < least - SAME_MM {
                let sentence = format!(
                    "{kind} joints of layers {layer} and {} are {apart:.0} mm apart, the least is {least:.0}",
                    layer + 1
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
