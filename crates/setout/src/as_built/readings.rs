//! Readings, and everything put where they found it.

use geometry::Polygon;
use serde::Serialize;

use super::{AsBuilt, added, held};
use crate::check::{Breach, Rule};
use crate::layout::{Layout, Piece, Support, WallMarks};
use crate::room::Room;
use crate::{Ceiling, Point, clips, ring};

/// A reading farther than this from its mark is taken for a slip of the pen \[mm\].
const FARTHEST_MM: f64 = 500.0;

/// A board may reach into a wall by no more: what tape and survey leave open together \[mm\] (judgement, no source).
const IN_WALL_MM: f64 = 5.0;

/// Where one bar was really found, by a running dimension along a wall.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BarReading {
    /// Number of the bar in the layout.
    pub bar: usize,
    /// The wall the running dimension was taken along: `A-B`.
    pub wall: String,
    /// Running dimension to the bar's middle, from the corner the marks of that wall start from \[mm\].
    pub at_mm: f64,
}

/// Where one clip was really screwed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ClipReading {
    /// Number of the clip in the layout.
    pub clip: usize,
    /// From the left end of its bar (the one the list of clips counts from) to the clip's middle \[mm\].
    pub along_mm: f64,
}

/// A board that is up, and how far it hangs from its place.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BoardReading {
    /// Name of the piece in the layout: `1-07`.
    pub piece: String,
    /// Off its place along the bars, plus away from the corner the layout starts from \[mm\].
    pub off_along_mm: f64,
    /// Off its place across the bars, plus away from the corner the layout starts from \[mm\].
    pub off_across_mm: f64,
}

/// A bar that was added on site, by where it meets two walls.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AddedBar {
    /// The two walls it runs up to, each with the running dimension to the bar's middle, from the corner the marks of that wall
    /// start from \[mm\].
    pub ends: [(String, f64); 2],
    /// Middles of its clips from its left end \[mm\]; empty: taken to be where the setting out would put them.
    pub clips_mm: Vec<f64>,
}

/// Everything read so far.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Readings {
    /// Bars, one or two readings each.
    pub bars: Vec<BarReading>,
    /// Clips.
    pub clips: Vec<ClipReading>,
    /// Numbers of the clips that were not fixed, since something was in the way or nothing to fix them to.
    pub skipped: Vec<usize>,
    /// Boards that are up.
    pub boards: Vec<BoardReading>,
    /// Bars that the plan does not have; they are numbered on from those of the plan, in this order.
    pub added: Vec<AddedBar>,
}

/// The layout with bars, clips and boards where the readings say; what fits nothing stands in the breaches.
pub(super) fn put(ceiling: &Ceiling, layout: &Layout, readings: &Readings) -> AsBuilt {
    let mut built = AsBuilt {
        layout: layout.clone(),
        breaches: Vec::new(),
        fixed_bars: Vec::new(),
        held_bars: Vec::new(),
        fixed_clips: Vec::new(),
        skipped_clips: Vec::new(),
        boards_up: Vec::new(),
        boards_behind: Vec::new(),
        added_bars: Vec::new(),
    };
    let added = added::put(ceiling, &mut built.layout, &readings.added);
    built.added_bars.extend(layout.bars.len() + 1..=built.layout.bars.len());
    built.fixed_bars.extend(&built.added_bars);
    let mut odd = |what: String, sentence: String| {
        built.breaches.push(Breach { rule: Rule::Reading, what, at: layout.frame.origin, by: 0.0, sentence });
    };
    for (what, sentence) in added {
        odd(what, sentence);
    }
    let mut places: Vec<Vec<Point>> = vec![Vec::new(); layout.bars.len()];
    for reading in &readings.bars {
        match place(ceiling, layout, reading) {
            Ok((bar, p)) => {
                if let Some(own) = places.get_mut(bar) {
                    own.push(p);
                }
            }
            Err(sentence) => odd(format!("bar {}", reading.bar), sentence),
        }
    }
    let mut clips: Vec<(usize, f64)> = Vec::new();
    for reading in &readings.clips {
        match clip(layout, reading) {
            Ok(index) => clips.push((index, reading.along_mm)),
            Err(sentence) => odd(format!("clip {}", reading.clip), sentence),
        }
    }
    let mut boards: Vec<(usize, usize, Point)> = Vec::new();
    for reading in &readings.boards {
        match board(ceiling, layout, reading) {
            Ok((layer, piece)) => {
                boards.push((layer, piece, Point::new(reading.off_along_mm, reading.off_across_mm)));
            }
            Err(sentence) => odd(format!("piece {}", reading.piece), sentence),
        }
    }
    for (index, found) in places.iter().enumerate() {
        if !found.is_empty() {
            built.fixed_bars.push(index + 1);
            move_bar(ceiling, &mut built.layout, index, found);
        }
    }
    for (index, along_mm) in clips {
        move_clip(&mut built.layout, index, along_mm);
        built.fixed_clips.extend(layout.clips.get(index).map(|c| c.number));
    }
    fit_noggins(ceiling, layout, &mut built.layout);
    let known = |number: &&usize| layout.clips.iter().any(|clip| clip.number == **number);
    built.skipped_clips = readings.skipped.iter().filter(known).copied().collect();
    built.layout.clips.retain(|clip| !built.skipped_clips.contains(&clip.number));
    let read: Vec<(usize, usize)> = boards.iter().map(|(layer, piece, _)| (*layer, *piece)).collect();
    let behind = held::boards_behind(layout, &read);
    let name =
        |(layer, piece): &(usize, usize)| Some(layout.layers.get(*layer)?.pieces.get(*piece)?.name.clone());
    built.boards_behind = behind.iter().filter_map(name).collect();
    boards.extend(behind.into_iter().map(|(layer, piece)| (layer, piece, Point::new(0.0, 0.0))));
    for (layer, piece, off) in boards {
        let (along, across) = (layout.frame.along, layout.frame.across);
        let by = Point::new(
            off.x_mm * along.x_mm + off.y_mm * across.x_mm,
            off.x_mm * along.y_mm + off.y_mm * across.y_mm,
        );
        if let Some(piece) = built.layout.layers.get_mut(layer).and_then(|l| l.pieces.get_mut(piece)) {
            for p in piece.outline.iter_mut().chain(piece.cut_outs.iter_mut().flatten()) {
                *p = Point::new(p.x_mm + by.x_mm, p.y_mm + by.y_mm);
            }
            built.boards_up.push(piece.name.clone());
        }
    }
    for bar in held::bars_under(&built.layout, &built.boards_up, ceiling.bar.face_width_mm) {
        if !built.fixed_bars.contains(&bar) {
            built.held_bars.push(bar);
            built.fixed_bars.push(bar);
        }
    }
    built.fixed_bars.sort_unstable();
    built
}

fn clip(layout: &Layout, reading: &ClipReading) -> Result<usize, String> {
    let index = layout.clips.iter().position(|c| c.number == reading.clip).ok_or_else(|| {
        format!("there is no clip {}; the layout has clips 1 to {}", reading.clip, layout.clips.len())
    })?;
    let (Some(clip), Some(bar)) =
        (layout.clips.get(index), layout.clips.get(index).and_then(|c| layout.bars.get(c.bar)))
    else {
        return Err(format!("clip {} hangs on no bar", reading.clip));
    };
    if !reading.along_mm.is_finite() || reading.along_mm < 0.0 || reading.along_mm > bar.length_mm {
        return Err(format!(
            "clip {} was read at {:.0} mm along bar {}, which is {:.0} mm long; measure again from its left end",
            reading.clip, reading.along_mm, bar.number, bar.length_mm
        ));
    }
    if (clip.along_mm - reading.along_mm).abs() > FARTHEST_MM {
        return Err(format!(
            "clip {} was read at {:.0} mm along bar {}, {:.0} mm from its mark at {:.0}: measure again, or see whether it is another clip",
            reading.clip,
            reading.along_mm,
            bar.number,
            (clip.along_mm - reading.along_mm).abs(),
            clip.along_mm
        ));
    }
    Ok(index)
}

fn board(ceiling: &Ceiling, layout: &Layout, reading: &BoardReading) -> Result<(usize, usize), String> {
    let found = layout
        .layers
        .iter()
        .enumerate()
        .find_map(|(l, layer)| layer.pieces.iter().position(|p| p.name == reading.piece).map(|p| (l, p)));
    let Some(found) = found else {
        let last = layout.layers.iter().filter_map(|l| l.pieces.last()).map(|p| p.name.as_str());
        return Err(format!(
            "there is no piece {}; each layer's are numbered up to {}",
            reading.piece,
            last.collect::<Vec<_>>().join(", ")
        ));
    };
    let off = reading.off_along_mm.abs().max(reading.off_across_mm.abs());
    if !off.is_finite() || off > FARTHEST_MM {
        return Err(format!(
            "piece {} cannot hang {off:.0} mm from its place; measure again from its marks",
            reading.piece
        ));
    }
    let piece = layout.layers.get(found.0).and_then(|layer| layer.pieces.get(found.1));
    if let Some((wall, by_mm)) = piece.and_then(|piece| in_a_wall(ceiling, layout, piece, reading)) {
        return Err(format!(
            "piece {}, as it was cut, cannot hang where it was read: it would reach {by_mm:.0} mm into wall {wall}; measure it again from its marks",
            reading.piece
        ));
    }
    Ok(found)
}

/// The wall a piece would reach into by its reading, and how far \[mm\]; none where it would not, by more than tapes leave open.
fn in_a_wall(
    ceiling: &Ceiling,
    layout: &Layout,
    piece: &Piece,
    reading: &BoardReading,
) -> Option<(String, f64)> {
    let frame = &layout.frame;
    let corners: Vec<Point> = ceiling.corners.iter().map(|corner| corner.at).collect();
    let room = Polygon::new(&corners).ok()?;
    let hangs = |p: &Point| {
        let p = frame.frame_from_room(*p);
        frame.room_from_frame(p.x_mm + reading.off_along_mm, p.y_mm + reading.off_across_mm)
    };
    let outside = piece.outline.iter().map(hangs).filter(|p| !room.contains(*p));
    let far = outside.map(|p| (p, room.distance_to_boundary_mm(p)));
    let (at, by_mm) = far.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, by_mm)| *by_mm > IN_WALL_MM)?;
    let wall = ring::sides(&corners)
        .enumerate()
        .min_by(|(_, (a, b)), (_, (c, d))| {
            ring::distance_to_segment(at, *a, *b).total_cmp(&ring::distance_to_segment(at, *c, *d))
        })
        .map_or(0, |(wall, _)| wall);
    let name = |at: usize| ceiling.corners.get(at % corners.len().max(1)).map_or("", |c| c.name.as_str());
    Some((format!("{}-{}", name(wall), name(wall + 1)), by_mm))
}

fn move_clip(layout: &mut Layout, index: usize, along_mm: f64) {
    let Some(clip) = layout.clips.get_mut(index) else { return };
    let Some(bar) = layout.bars.get(clip.bar) else { return };
    let t = along_mm / ring::distance(bar.from, bar.to).max(1.0);
    clip.along_mm = along_mm;
    clip.at = Point::new(
        bar.from.x_mm + t * (bar.to.x_mm - bar.from.x_mm),
        bar.from.y_mm + t * (bar.to.y_mm - bar.from.y_mm),
    );
    if let Support::Noggin(n) = clip.on
        && let Some(noggin) = layout.noggins.get_mut(n)
    {
        noggin.at = clip.at;
    }
}

/// The marks of the wall a bar was read at, and where the bar's own mark is there.
pub(super) fn wall_mark<'a>(
    layout: &'a Layout,
    reading: &BarReading,
) -> Result<(&'a WallMarks, f64), String> {
    let wall = wall_marks(layout, &reading.wall)?;
    let mark = wall.marks.iter().find(|m| m.is_of_bar(reading.bar)).ok_or_else(|| {
        format!("bar {} does not run up to wall {}; measure it at another wall", reading.bar, reading.wall)
    })?;
    Ok((wall, mark.at_mm))
}

/// The bar's index and the place on the wall a reading stands for.
fn place(ceiling: &Ceiling, layout: &Layout, reading: &BarReading) -> Result<(usize, Point), String> {
    let index = layout.bars.iter().position(|b| b.number == reading.bar).ok_or_else(|| {
        format!(
            "there is no bar {}; the layout has bars 1 to {}; one that was added on site is entered as an added bar",
            reading.bar,
            layout.bars.len()
        )
    })?;
    if !reading.at_mm.is_finite() {
        return Err(format!("the reading of bar {} on wall {} is no number", reading.bar, reading.wall));
    }
    let (wall, mark_mm) = wall_mark(layout, reading)?;
    if (mark_mm - reading.at_mm).abs() > FARTHEST_MM {
        return Err(format!(
            "bar {} was read at {:.0} mm on wall {}, {:.0} mm from its mark at {:.0}; measure again from corner {}",
            reading.bar,
            reading.at_mm,
            reading.wall,
            (mark_mm - reading.at_mm).abs(),
            mark_mm,
            wall.from_corner
        ));
    }
    let at = point_on_wall(ceiling, layout, &reading.wall, reading.at_mm);
    Ok((index, at.map_err(|sentence| format!("bar {} {sentence}", reading.bar))?))
}

fn wall_marks<'a>(layout: &'a Layout, name: &str) -> Result<&'a WallMarks, String> {
    layout.marks.iter().find(|w| w.wall == name).ok_or_else(|| {
        let known: Vec<&str> = layout.marks.iter().map(|w| w.wall.as_str()).collect();
        format!("there is no wall {name}; the walls are {}", known.join(", "))
    })
}

/// The place a running dimension along a wall stands for.
pub(super) fn point_on_wall(
    ceiling: &Ceiling,
    layout: &Layout,
    name: &str,
    at_mm: f64,
) -> Result<Point, String> {
    let wall = wall_marks(layout, name)?;
    let corner = |name: &str| ceiling.corners.iter().find(|c| c.name == name).map(|c| c.at);
    let (a, b) = wall.wall.split_once('-').unwrap_or(("", ""));
    let other = if a == wall.from_corner { b } else { a };
    let (Some(from), Some(to)) = (corner(&wall.from_corner), corner(other)) else {
        return Err(format!("wall {name} has no corners in this room"));
    };
    let length = ring::distance(from, to).max(1.0);
    if !at_mm.is_finite() || at_mm < 0.0 || at_mm > length {
        return Err(format!(
            "was read at {at_mm:.0} mm on wall {name}, which is {length:.0} mm long; measure again from corner {}",
            wall.from_corner
        ));
    }
    let t = at_mm / length;
    Ok(Point::new(from.x_mm + t * (to.x_mm - from.x_mm), from.y_mm + t * (to.y_mm - from.y_mm)))
}

/// Moves a bar onto the places it was found at, its clips with it along their joists.
fn move_bar(ceiling: &Ceiling, layout: &mut Layout, index: usize, found: &[Point]) {
    let frame = layout.frame.clone();
    let Some(bar) = layout.bars.get_mut(index) else { return };
    let (from, to) = (frame.frame_from_room(bar.from), frame.frame_from_room(bar.to));
    let run = to.x_mm - from.x_mm;
    if run.abs() < 1.0 {
        return;
    }
    let slope = (to.y_mm - from.y_mm) / run;
    let planned = |u: f64| from.y_mm + slope * (u - from.x_mm);
    let places: Vec<Point> = found.iter().map(|p| frame.frame_from_room(*p)).collect();
    let offset: (f64, f64, f64) = match places.as_slice() {
        [] => return,
        [p] => (p.x_mm, p.y_mm - planned(p.x_mm), 0.0),
        [p, .., q] if (q.x_mm - p.x_mm).abs() > 300.0 => {
            let (a, b) = (p.y_mm - planned(p.x_mm), q.y_mm - planned(q.x_mm));
            (p.x_mm, a, (b - a) / (q.x_mm - p.x_mm))
        }
        [p, .., q] => (p.x_mm, f64::midpoint(p.y_mm - planned(p.x_mm), q.y_mm - planned(q.x_mm)), 0.0),
    };
    let real = |u: f64| planned(u) + offset.1 + offset.2 * (u - offset.0);
    bar.from = frame.room_from_frame(from.x_mm, real(from.x_mm));
    // The bar keeps its length when it turns.
    let turned = ring::distance(bar.from, frame.room_from_frame(to.x_mm, real(to.x_mm))).max(1.0);
    let end_u = from.x_mm + run * bar.length_mm / turned;
    bar.to = frame.room_from_frame(end_u, real(end_u));
    let (new_from, new_to) = (bar.from, bar.to);
    for clip in layout.clips.iter_mut().filter(|c| c.bar == index) {
        let joist = match clip.on {
            Support::Joist(j) => ceiling.joists.get(j),
            Support::Noggin(_) => None,
        };
        let along = joist
            .and_then(|j| ring::crossing(new_from, new_to, j.from, j.to))
            .map_or(clip.along_mm, |(t, _)| t * ring::distance(new_from, new_to));
        let t = along / ring::distance(new_from, new_to).max(1.0);
        clip.along_mm = along;
        clip.at = Point::new(
            new_from.x_mm + t * (new_to.x_mm - new_from.x_mm),
            new_from.y_mm + t * (new_to.y_mm - new_from.y_mm),
        );
        if let Support::Noggin(n) = clip.on
            && let Some(noggin) = layout.noggins.get_mut(n)
        {
            noggin.at = clip.at;
        }
    }
}

/// Brings the noggins that went with their clips to the joists and the length they have where they are now.
fn fit_noggins(ceiling: &Ceiling, plan: &Layout, layout: &mut Layout) {
    let Ok(room) = Room::new(ceiling) else { return };
    for (noggin, was) in layout.noggins.iter_mut().zip(&plan.noggins) {
        if noggin.at != was.at {
            let at = layout.frame.frame_from_room(noggin.at);
            (noggin.joists, noggin.length_mm) = clips::noggin_between(&room, ceiling, at);
        }
    }
}
