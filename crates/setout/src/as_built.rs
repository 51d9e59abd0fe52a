//! What was really fixed, against the rules.

use serde::Serialize;

use crate::bars::{self, FrameBar};
use crate::check::{self, Breach, Rule};
use crate::clips::{self, ClipRules, Hung};
use crate::draft::Site;
use crate::layout::{Layout, MarkFor};
use crate::room::Room;
use crate::{Ceiling, Point, carry, marks, pieces, ring};

/// A reading farther than this from its mark is taken for a slip of the pen \[mm\].
const FARTHEST_MM: f64 = 500.0;

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

/// A bar to add.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AddedBar {
    /// One end of the middle line.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// Where its clips go.
    pub clips: Vec<Point>,
    /// In words, with the running dimensions.
    pub sentence: String,
}

/// A bar to move back, because boards miss it or it touches something where it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MovedBar {
    /// Number of the bar.
    pub bar: usize,
    /// How far it stands from its marks at the worse end, across the bars \[mm\]; minus towards the frame's corner.
    pub off_mm: f64,
    /// In words.
    pub sentence: String,
}

/// The ceiling as built.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AsBuilt {
    /// The layout with its bars and clips where they really are. Marks and loads are those of the plan.
    pub layout: Layout,
    /// Rules the real bars break.
    pub breaches: Vec<Breach>,
    /// Bars to add so that no gap is over the limit.
    pub add: Vec<AddedBar>,
    /// Bars to move back.
    pub move_back: Vec<MovedBar>,
}

/// A gap between neighbouring bars that is over the limit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct WideGap {
    /// Index of the gap, from 0.
    pub gap: usize,
    /// How much it is over \[mm\].
    pub over_mm: f64,
    /// Bars to add inside it.
    pub bars_to_add: usize,
}

/// Gaps over the limit in a row of bars.
///
/// Bars fixed at gaps 545, 480, 640, 510: the third is 40 over a limit of 600; one more bar mends it (common practice).
pub fn wide_gaps(gaps_mm: &[f64], limit_mm: f64) -> Vec<WideGap> {
    let mut found = Vec::new();
    for (gap, &width) in gaps_mm.iter().enumerate() {
        if limit_mm > 0.0 && width.is_finite() && width > limit_mm {
            let bars_to_add = ((width / limit_mm).ceil() as usize).saturating_sub(1);
            found.push(WideGap { gap, over_mm: width - limit_mm, bars_to_add });
        }
    }
    found
}

/// Puts the bars where the readings found them, checks the rules again and says which bars to add or to move back.
///
/// A bar read at one end only is taken to have shifted without turning; with two readings it lies on the line through
/// both. Clips stay on their joists. A reading that names no bar or wall of the layout, or lies farther than half a metre
/// from the mark, is listed as a breach and left out.
pub fn check_as_built(ceiling: &Ceiling, layout: &Layout, readings: &[BarReading]) -> AsBuilt {
    let mut built = layout.clone();
    let mut breaches = Vec::new();
    let mut places: Vec<Vec<Point>> = vec![Vec::new(); layout.bars.len()];
    for reading in readings {
        match place(ceiling, layout, reading) {
            Ok((bar, p)) => {
                if let Some(own) = places.get_mut(bar) {
                    own.push(p);
                }
            }
            Err(sentence) => breaches.push(Breach {
                rule: Rule::Reading,
                what: format!("bar {}", reading.bar),
                at: layout.frame.origin,
                by: 0.0,
                sentence,
            }),
        }
    }
    for (index, found) in places.iter().enumerate() {
        move_bar(ceiling, &mut built, index, found);
    }
    let of_bars = [Rule::EndsOnBars, Rule::BarGap, Rule::Clear, Rule::ClipGap, Rule::ClipOnTimber];
    let real = check::check(ceiling, &built);
    breaches.extend(real.into_iter().filter(|b| of_bars.contains(&b.rule)));
    let add = added(ceiling, layout, &built).unwrap_or_default();
    let move_back = moved_back(ceiling, layout, &built);
    AsBuilt { layout: built, breaches, add, move_back }
}

/// The bar's index and the place on the wall a reading stands for.
fn place(ceiling: &Ceiling, layout: &Layout, reading: &BarReading) -> Result<(usize, Point), String> {
    let index = layout.bars.iter().position(|b| b.number == reading.bar).ok_or_else(|| {
        format!("there is no bar {}; the layout has bars 1 to {}", reading.bar, layout.bars.len())
    })?;
    let wall = layout.marks.iter().find(|w| w.wall == reading.wall).ok_or_else(|| {
        let known: Vec<&str> = layout.marks.iter().map(|w| w.wall.as_str()).collect();
        format!("there is no wall {}; the walls are {}", reading.wall, known.join(", "))
    })?;
    if !reading.at_mm.is_finite() {
        return Err(format!("the reading of bar {} on wall {} is no number", reading.bar, reading.wall));
    }
    let mark = wall
        .marks
        .iter()
        .find(|m| {
            m.of == MarkFor::Bar(reading.bar)
                || m.what.split(", ").any(|w| w == format!("bar {}", reading.bar))
        })
        .ok_or_else(|| {
            format!(
                "bar {} does not run up to wall {}; measure it at another wall",
                reading.bar, reading.wall
            )
        })?;
    if (mark.at_mm - reading.at_mm).abs() > FARTHEST_MM {
        return Err(format!(
            "bar {} was read at {:.0} mm on wall {}, {:.0} mm from its mark at {:.0}; measure again from corner {}",
            reading.bar,
            reading.at_mm,
            reading.wall,
            (mark.at_mm - reading.at_mm).abs(),
            mark.at_mm,
            wall.from_corner
        ));
    }
    let corner = |name: &str| ceiling.corners.iter().find(|c| c.name == name).map(|c| c.at);
    let (a, b) = wall.wall.split_once('-').unwrap_or(("", ""));
    let other = if a == wall.from_corner { b } else { a };
    let (Some(from), Some(to)) = (corner(&wall.from_corner), corner(other)) else {
        return Err(format!("wall {} has no corners in this room", reading.wall));
    };
    let length = ring::distance(from, to).max(1.0);
    let t = reading.at_mm / length;
    Ok((index, Point::new(from.x_mm + t * (to.x_mm - from.x_mm), from.y_mm + t * (to.y_mm - from.y_mm))))
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
    bar.to = frame.room_from_frame(to.x_mm, real(to.x_mm));
    let (new_from, new_to) = (bar.from, bar.to);
    for clip in layout.clips.iter_mut().filter(|c| c.bar == index) {
        let joist = match clip.on {
            crate::layout::Support::Joist(j) => ceiling.joists.get(j),
            crate::layout::Support::Noggin(_) => None,
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
        if let crate::layout::Support::Noggin(n) = clip.on
            && let Some(noggin) = layout.noggins.get_mut(n)
        {
            noggin.at = clip.at;
        }
    }
}

/// Bars to lay between the real ones so that no gap is over the limit.
fn added(ceiling: &Ceiling, plan: &Layout, built: &Layout) -> Option<Vec<AddedBar>> {
    let room = Room::new(ceiling).ok()?;
    let site = Site::new(ceiling, &room);
    let real: Vec<FrameBar> = built
        .bars
        .iter()
        .map(|b| FrameBar {
            from: plan.frame.frame_from_room(b.from),
            to: plan.frame.frame_from_room(b.to),
            wall: b.wall,
            reason: b.reason,
        })
        .collect();
    let all = bars::lay_bars(&room, &site.bar_rules, &real, &[])?;
    let shares = carry::shares(&room, &site.bar_rules, &all);
    let clip_rules = ClipRules::new(ceiling);
    let is_real = |bar: &FrameBar| real.iter().any(|r| ring::distance(r.from, bar.from) < 1e-6);
    let mut add = Vec::new();
    for (bar, share) in all.iter().zip(&shares).filter(|(b, _)| !is_real(b)) {
        let whole = vec![(0.0, bar.length_mm())];
        let hung = Hung::new(share, bar, &whole, &clip_rules);
        let chosen = clips::choose(&hung, &clips::joist_spots(&room, bar), &[], &clip_rules);
        let clips = chosen
            .map(|c| c.spots.iter().map(|s| pieces::to_room(&room, bar.at(s.along_mm))).collect())
            .unwrap_or_default();
        let at = marks::along_walls(ceiling, &room, bar.from, bar.to);
        let where_ = if at.is_empty() {
            "between its neighbours".to_owned()
        } else {
            format!("at {}", at.join(" and "))
        };
        add.push(AddedBar {
            from: pieces::to_room(&room, bar.from),
            to: pieces::to_room(&room, bar.to),
            clips,
            sentence: format!("add one bar {where_}"),
        });
    }
    Some(add)
}

/// Bars that stand where a board's end misses them, or where they touch something.
fn moved_back(ceiling: &Ceiling, plan: &Layout, built: &Layout) -> Vec<MovedBar> {
    let slack = ceiling.bar.face_width_mm / 2.0 - ceiling.rules.edge_bearing_mm;
    let mut out = Vec::new();
    for (planned, real) in plan.bars.iter().zip(&built.bars) {
        let off =
            |a: Point, b: Point| plan.frame.frame_from_room(b).y_mm - plan.frame.frame_from_room(a).y_mm;
        let (first, second) = (off(planned.from, real.from), off(planned.to, real.to));
        let off_mm = if second.abs() > first.abs() { second } else { first };
        let carries_joint = planned.reason == crate::layout::BarReason::Joint;
        if carries_joint && off_mm.abs() > slack + 1e-6 {
            out.push(MovedBar {
                bar: planned.number,
                off_mm,
                sentence: format!(
                    "bar {} carries an end joint and stands {:.0} mm off its mark; {slack:.0} mm is the most that leaves {:.0} mm of bearing, so move it back",
                    planned.number,
                    off_mm.abs(),
                    ceiling.rules.edge_bearing_mm
                ),
            });
        }
    }
    out
}
