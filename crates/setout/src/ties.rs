//! Second marks for bars that only one wall marks: running dimensions along a joist.

use serde::Serialize;

use crate::layout::Layout;
use crate::ring;
use crate::room::{FrameJoist, Room};
use crate::{Ceiling, Point};

/// Two marks of one bar are no nearer than this, or the line between them is not its direction \[mm\].
const APART_MM: f64 = 300.0;
/// A bar may be marked on a joist this far past its end \[mm\].
const PAST_AN_END_MM: f64 = 600.0;
/// A joist is measured along from a wall that stands across it: sine of 30° at least.
const ACROSS_SINE: f64 = 0.5;

/// A mark of a bar's middle on the underside of a joist.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BarTie {
    /// Number of the bar.
    pub bar: usize,
    /// The joist (index) it is marked on.
    pub joist: usize,
    /// The wall it is measured from: `A-B`.
    pub from_wall: String,
    /// Running dimension along the joist's middle from that wall, or the lining before it \[mm\].
    pub along_mm: f64,
}

/// The marks on joists that bars need because no wall marks one or both of their ends, bar by bar; empty for a ceiling that makes
/// no sense. A bar that no joist crosses far enough from its other mark gets none.
pub fn bar_ties(ceiling: &Ceiling, layout: &Layout) -> Vec<BarTie> {
    let Ok(room) = Room::new(ceiling) else { return Vec::new() };
    let mut ties = Vec::new();
    for bar in &layout.bars {
        let (from, to) = (room.frame.frame_from_room(bar.from), room.frame.frame_from_room(bar.to));
        let length = ring::distance(from, to);
        if length < 1.0 {
            continue;
        }
        let dir = (to - from) * (1.0 / length);
        let mut at_mm: Vec<f64> = marks_of(ceiling, layout, bar.number)
            .into_iter()
            .map(|p| (room.frame.frame_from_room(p) - from).dot(dir))
            .collect();
        let crossings = crossings(&room, (from, to));
        for last in [false, true] {
            let marked = |at: &f64| if last { *at > length / 2.0 } else { *at <= length / 2.0 };
            if at_mm.iter().any(marked) {
                continue;
            }
            let clear = |c: &&(f64, usize)| at_mm.iter().all(|m| (m - c.0).abs() >= APART_MM);
            let found = if last { crossings.iter().rev().find(clear) } else { crossings.iter().find(clear) };
            let Some(&(at, joist)) = found else { continue };
            let Some(line) = room.joists.get(joist) else { continue };
            let Some((wall, along_mm)) = from_the_wall(&room, ceiling, line, from + dir * at) else {
                continue;
            };
            at_mm.push(at);
            ties.push(BarTie { bar: bar.number, joist, from_wall: ceiling.wall_name(wall), along_mm });
        }
    }
    ties
}

/// Where the line of a bar crosses joists, in order along it, and which: on the bar, or a little past an end with no wall between.
fn crossings(room: &Room, (from, to): (Point, Point)) -> Vec<(f64, usize)> {
    let length = ring::distance(from, to);
    let own: &[Point] = &room.ring;
    let found = room.joists.iter().enumerate().filter_map(|(index, joist)| {
        let (t, s) = ring::crossing(from, to, joist.from, joist.to)?;
        let at = t * length;
        if !(0.0..=1.0).contains(&s) || at < -PAST_AN_END_MM || at > length + PAST_AN_END_MM {
            return None;
        }
        let place = from + (to - from) * t;
        let walls_between = ring::sides(own).any(|(a, b)| {
            ring::crossing(from + (to - from) * 0.5, place, a, b)
                .is_some_and(|(t, s)| (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&s))
        });
        (!walls_between).then_some((at, index))
    });
    let mut found: Vec<(f64, usize)> = found.collect();
    // Joists stand in the order they were entered.
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found
}

/// Where the marks of a bar are, in the room.
fn marks_of(ceiling: &Ceiling, layout: &Layout, number: usize) -> Vec<Point> {
    let corner = |name: &str| ceiling.corners.iter().find(|c| c.name == name).map(|c| c.at);
    let mut found = Vec::new();
    for wall in &layout.marks {
        let Some((a, b)) = wall.wall.split_once('-').and_then(|(a, b)| Some((corner(a)?, corner(b)?))) else {
            continue;
        };
        let from_a = wall.wall.split_once('-').is_some_and(|(a, _)| a == wall.from_corner);
        let (start, end) = if from_a { (a, b) } else { (b, a) };
        let Some(along) = (end - start).unit() else { continue };
        let marks = wall.marks.iter().filter(|m| m.is_of_bar(number));
        found.extend(marks.map(|m| start + along * m.at_mm));
    }
    found
}

/// The wall a place on a joist is measured from, by its first corner, and how far it is along the joist \[mm\]: from the end the joist is
/// surveyed from, unless that wall runs too much along it.
pub(crate) fn from_the_wall(
    room: &Room,
    ceiling: &Ceiling,
    joist: &FrameJoist,
    at: Point,
) -> Option<(usize, f64)> {
    let own: Vec<Point> = ceiling.corners.iter().map(|c| room.frame.frame_from_room(c.at)).collect();
    let ring = if ring::contains(&own, at) { &own } else { &room.shell };
    let back = (joist.from - joist.to).unit()?;
    let first_wall = |dir: Point| -> Option<(usize, f64, f64)> {
        let hits = ring::sides(ring).enumerate().filter_map(|(wall, (a, b))| {
            let (t, s) = ring::crossing(at, at + dir, a, b)?;
            let sine = dir.cross(b - a).abs() / ring::distance(a, b).max(1e-9);
            (t > 0.0 && (0.0..=1.0).contains(&s)).then_some((wall, t, sine))
        });
        hits.min_by(|a, b| a.1.total_cmp(&b.1))
    };
    let ways = [first_wall(back), first_wall(back * -1.0)];
    let across = ways.iter().flatten().find(|way| way.2 >= ACROSS_SINE);
    across.or_else(|| ways.iter().flatten().next()).map(|way| (way.0, way.1))
}
