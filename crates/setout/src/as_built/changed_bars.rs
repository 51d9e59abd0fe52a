//! What a mend changes of the bars.

use super::AsBuilt;
use super::difference::{Change, ChangeKind, SAME_MARK_MM};
use super::mend::{MovedBar, off_marks};
use crate::layout::Layout;
use crate::ring;
use crate::room::Room;
use crate::{Ceiling, Point, marks};

/// An end this near to a line lies on it \[mm\].
const ON_LINE_MM: f64 = 0.05;

/// Bars that stay off their marks, move, are cut shorter or are added.
pub(super) fn bars(
    ceiling: &Ceiling,
    room: &Room,
    plan: &Layout,
    built: &AsBuilt,
    mended: &Layout,
    moves: &[MovedBar],
) -> Vec<Change> {
    let at_walls = |from: Point, to: Point| {
        let ends = (room.frame.frame_from_room(from), room.frame.frame_from_room(to));
        let at = marks::along_walls(ceiling, room, ends.0, ends.1);
        if at.is_empty() { "between its neighbours".to_owned() } else { format!("at {}", at.join(" and ")) }
    };
    let mut out = Vec::new();
    for (index, bar) in mended.bars.iter().enumerate() {
        let number = index + 1;
        let was = plan.bars.get(index);
        let ends = was.map(|b| [b.from, b.to]);
        let off = off_marks(plan, built, number);
        let (kind, sentence) = if let Some(moved) = moves.iter().find(|moved| moved.bar == number) {
            (ChangeKind::BarBack, moved.to_do.clone())
        } else if built.added_bars.contains(&number) {
            (ChangeKind::BarFixed, format!("bar {number}, added on site, stays where it is"))
        } else if built.fixed_bars.contains(&number) {
            if off.abs() < SAME_MARK_MM {
                continue;
            }
            (
                ChangeKind::BarFixed,
                format!("bar {number} stays where it is, {:.0} mm off its marks", off.abs()),
            )
        } else if was.is_none() {
            (ChangeKind::BarAdded, format!("add bar {number} {}", at_walls(bar.from, bar.to)))
        } else if let Some(cut) = was.and_then(|b| cut_shorter(number, (b.from, b.to), (bar.from, bar.to))) {
            (ChangeKind::BarMoved, cut)
        } else if was.is_some_and(|b| {
            ring::distance(b.from, bar.from).max(ring::distance(b.to, bar.to)) > SAME_MARK_MM
        }) {
            (ChangeKind::BarMoved, format!("fix bar {number} {} instead", at_walls(bar.from, bar.to)))
        } else {
            continue;
        };
        let was = match kind {
            ChangeKind::BarBack => built.layout.bars.get(index).map(|b| [b.from, b.to]),
            _ => ends,
        };
        out.push(Change { kind, layer: None, from: bar.from, to: bar.to, was, sentence });
    }
    out
}

/// A bar that stays on its line and only becomes shorter, in words; none where it does not.
fn cut_shorter(number: usize, was: (Point, Point), now: (Point, Point)) -> Option<String> {
    let on_line = |end: Point| ring::distance_to_segment(end, was.0, was.1) < ON_LINE_MM;
    let (left, right) = (ring::distance(was.0, now.0), ring::distance(was.1, now.1));
    if !on_line(now.0) || !on_line(now.1) || left.max(right) < SAME_MARK_MM {
        return None;
    }
    let at =
        |off: f64, end: &str| (off >= SAME_MARK_MM).then(|| format!("{off:.0} mm shorter at its {end} end"));
    let ends: Vec<String> = [at(left, "left"), at(right, "right")].into_iter().flatten().collect();
    Some(format!("cut bar {number} {}; it stays on its marks", ends.join(" and ")))
}
