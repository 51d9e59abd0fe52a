//! End joints on the bars under them.

use crate::bars::{BarRules, FrameBar, chords_clear, without};
use crate::draft::FrameJoint;
use crate::ring::Axis;
use crate::room::Room;

/// What rounding leaves at the end of a stretch \[mm\].
const HAIR_MM: f64 = 1e-6;

/// A line this near to a corner grazes it \[mm\]: on which side it passes must not hang on the last digit.
const GRAZES_MM: f64 = 1e-2;

/// An end joint is held when bars lie under it with the bearing on both sides, but for bare stretches of its line, from a bar's end to the
/// next bar or to the edge of the boards, no longer than the first-bar limit. A long joint does not end such a stretch; an opening does.
pub(crate) fn joint_is_held(
    room: &Room,
    rules: &BarRules,
    bars: &[FrameBar],
    v: f64,
    from_u: f64,
    to_u: f64,
) -> bool {
    // Past a corner that the line only grazes the boards may go on: held is what is held on either side of it.
    let grazes = room.outline.iter().chain(room.obstructions.iter().flatten());
    let grazes = grazes.into_iter().any(|corner| (corner.y_mm - v).abs() < GRAZES_MM);
    let beside: &[f64] = if grazes { &[0.0, -GRAZES_MM, GRAZES_MM] } else { &[0.0] };
    beside.iter().flat_map(|off| chords_clear(room, Axis::V, v + off)).all(|(low, high)| {
        let mut bare = vec![(low, high)];
        for bar in bars {
            if let Some(under) = stretch_under(rules, bar, v) {
                bare = without(&bare, under);
            }
        }
        bare.iter()
            .all(|&(a, b)| b - a <= rules.first_bar_mm + HAIR_MM || b.min(to_u) - a.max(from_u) <= HAIR_MM)
    })
}

/// How far an end joint runs past the bars that lie along it, over others that only cross it \[mm\].
pub(crate) fn past_its_bar_mm(room: &Room, rules: &BarRules, bars: &[FrameBar], joint: &FrameJoint) -> f64 {
    let (v, from_u, to_u) = (joint.from.y_mm, joint.from.x_mm, joint.to.x_mm);
    let mut past_mm: f64 = 0.0;
    for (low, high) in chords_clear(room, Axis::V, v) {
        let mut bare = vec![(low.max(from_u), high.min(to_u))];
        for bar in bars.iter().filter(|bar| bar.wall.is_none()) {
            if let Some(under) = stretch_under(rules, bar, v) {
                bare = without(&bare, under);
            }
        }
        past_mm = bare.iter().map(|(a, b)| b - a).fold(past_mm, f64::max);
    }
    past_mm
}

/// Whether a bar lies under the line `v` somewhere, with the bearing on both sides.
pub(crate) fn lies_under(rules: &BarRules, bar: &FrameBar, v: f64) -> bool {
    stretch_under(rules, bar, v).is_some()
}

/// The stretch of `u` in which a bar lies under the line `v` with the bearing on both sides.
fn stretch_under(rules: &BarRules, bar: &FrameBar, v: f64) -> Option<(f64, f64)> {
    let slack = rules.face_mm / 2.0 - rules.bearing_mm + HAIR_MM;
    let (dir, up) = (bar.dir(), v - bar.from.y_mm);
    // Along the bar from end to end, and no farther off its middle than leaves the bearing.
    let start = bar.from.x_mm - up * dir.y_mm / dir.x_mm;
    let mut stretch = (start - HAIR_MM, start + bar.length_mm() / dir.x_mm + HAIR_MM);
    if dir.y_mm.abs() < 1e-12 {
        if up.abs() > slack {
            return None;
        }
    } else {
        let at = |off: f64| bar.from.x_mm + (dir.x_mm * up - off) / dir.y_mm;
        let (a, b) = (at(slack), at(-slack));
        stretch = (stretch.0.max(a.min(b)), stretch.1.min(a.max(b)));
    }
    (stretch.1 > stretch.0).then_some(stretch)
}
