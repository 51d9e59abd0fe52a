//! Noggins: the short timbers that carry a clip where no joist is near, between joists or walls, and what holds their ends.

use serde::Serialize;

use crate::layout::Layout;
use crate::ring::{self, Axis};
use crate::room::Room;
use crate::ties::from_the_wall;
use crate::{Ceiling, Point};

/// How far behind the face of a wall a joist still counts as reached \[mm\].
const AT_THE_WALL_MM: f64 = 5.0;
/// How far it does where no other is reached: the noggin then meets it at its bearing \[mm\].
const IN_THE_WALL_MM: f64 = 200.0;

/// The longest noggin that two walls hold without a joist \[mm\]; a longer one is told as failing.
pub(crate) const BETWEEN_WALLS_MM: f64 = 1200.0;

/// What holds the two ends of a noggin: the left one first, seen along the bars.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NogginHold {
    /// Number of the noggin.
    pub number: usize,
    /// Its ends.
    pub ends: [NogginEnd; 2],
}

/// One end of a noggin.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NogginEnd {
    /// The joist (index) it is fixed to; none where it ends at a wall.
    pub joist: Option<usize>,
    /// The wall it ends at, by its corners: `A-B`; none at a joist.
    pub at_wall: Option<String>,
    /// From the middle of the clip to this end \[mm\].
    pub from_clip_mm: f64,
    /// The wall the place along the joist is measured from: `A-B`.
    pub from_wall: Option<String>,
    /// Running dimension along the joist's middle from that wall, or the lining before it, to the noggin's middle \[mm\].
    pub along_mm: Option<f64>,
}

/// What holds each noggin of a layout, in its order; empty for a ceiling that makes no sense.
pub fn noggin_holds(ceiling: &Ceiling, layout: &Layout) -> Vec<NogginHold> {
    let Ok(room) = Room::new(ceiling) else { return Vec::new() };
    let holds = layout.noggins.iter().map(|noggin| {
        let at = room.frame.frame_from_room(noggin.at);
        let ends = span(&room, ceiling, at).ends.map(|end| {
            let place = end.joist.and_then(|joist| {
                let line = room.joists.get(joist)?;
                let t = (at.y_mm - line.from.y_mm) / (line.to.y_mm - line.from.y_mm);
                let foot = Point::new(line.from.x_mm + t * (line.to.x_mm - line.from.x_mm), at.y_mm);
                from_the_wall(&room, ceiling, line, foot)
            });
            let name = |wall: usize| ceiling.wall_name(wall);
            NogginEnd {
                joist: end.joist,
                at_wall: if end.joist.is_none() { end.wall.map(name) } else { None },
                from_clip_mm: (end.at_u - at.x_mm).abs(),
                from_wall: place.map(|place| name(place.0)),
                along_mm: place.map(|place| place.1),
            }
        });
        NogginHold { number: noggin.number, ends }
    });
    holds.collect()
}

/// A noggin from end to end, along the bars.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Span {
    pub(crate) ends: [SpanEnd; 2],
}

#[derive(Clone, Copy, Debug)]
pub(crate) struct SpanEnd {
    pub(crate) at_u: f64,
    pub(crate) joist: Option<usize>,
    /// The wall by its first corner, in the ceiling's own order.
    pub(crate) wall: Option<usize>,
}

/// The timber a noggin under `at` needs: from joist to joist, or to a wall where no joist is this side of it.
pub(crate) fn span(room: &Room, ceiling: &Ceiling, at: Point) -> Span {
    let within = reached(room, ceiling, at, AT_THE_WALL_MM);
    if within.ends.iter().all(|end| end.joist.is_none()) {
        reached(room, ceiling, at, IN_THE_WALL_MM)
    } else {
        within
    }
}

fn reached(room: &Room, ceiling: &Ceiling, at: Point, slack_mm: f64) -> Span {
    let mut left: Option<(f64, usize)> = None;
    let mut right: Option<(f64, usize)> = None;
    for (index, joist) in room.joists.iter().enumerate() {
        let run = joist.to.y_mm - joist.from.y_mm;
        if run.abs() < 1.0 {
            continue;
        }
        // Past its end there is no joist to fix to, only the wall it bears on.
        let t = (at.y_mm - joist.from.y_mm) / run;
        let beyond_mm = (-t).max(t - 1.0) * run.abs();
        if beyond_mm > slack_mm {
            continue;
        }
        let gap = joist.from.x_mm + t * (joist.to.x_mm - joist.from.x_mm) - at.x_mm;
        if gap <= 0.0 && left.is_none_or(|(g, _)| gap > g) {
            left = Some((gap, index));
        }
        if gap > 0.0 && right.is_none_or(|(g, _)| gap < g) {
            right = Some((gap, index));
        }
    }
    // A lining stops below the joists: a noggin goes on over it, as far as the wall.
    let walls = ring::chords(&room.shell, Axis::V, at.y_mm);
    let chord =
        walls.iter().find(|c| c.0 <= at.x_mm && at.x_mm <= c.1).copied().unwrap_or((at.x_mm, at.x_mm));
    let half = |j: usize| ceiling.joists.get(j).map_or(0.0, |x| x.width_mm / 2.0);
    let from =
        left.filter(|(g, _)| at.x_mm + g > chord.0 - slack_mm).map(|(g, j)| (at.x_mm + g + half(j), j));
    let to = right.filter(|(g, _)| at.x_mm + g < chord.1 + slack_mm).map(|(g, j)| (at.x_mm + g - half(j), j));
    let end = |joist: Option<(f64, usize)>, wall_u: f64| SpanEnd {
        at_u: joist.map_or(wall_u, |j| j.0),
        joist: joist.map(|j| j.1),
        wall: wall_at(room, Point::new(wall_u, at.y_mm)),
    };
    Span { ends: [end(from, chord.0), end(to, chord.1)] }
}

/// The wall a point of the walls' ring lies on, by its first corner.
fn wall_at(room: &Room, p: Point) -> Option<usize> {
    let away = |(a, b): (Point, Point)| ring::distance_to_segment(p, a, b);
    let walls = ring::sides(&room.shell).map(away).enumerate();
    walls.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|wall| wall.1 < 1.0).map(|wall| wall.0)
}
