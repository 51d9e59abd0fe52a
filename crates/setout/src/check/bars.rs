//! Bars: gaps, the walls' own bars, what they must stay clear of, laps and lengths, marks.

use geometry::{Polygon, Segment};

use super::sizes::{size, told_apart};
use super::{Checked, Rule};
use crate::Point;
use crate::layout::MarkFor;

/// Steps of the lines drawn across the room \[mm\]. A gap that opens and closes within one step is not seen.
const STEP_MM: f64 = 12.0;
const SLACK_MM: f64 = 0.6;
/// Slope to the bars from which a wall has its own bar (20° off a right angle), and its least length \[mm\].
const OWN_BAR_COS: f64 = 0.342;
const OWN_BAR_LENGTH_MM: f64 = 300.0;

pub(super) fn check(checked: &mut Checked) {
    let bars = checked.middles();
    direction(checked, &bars);
    gaps(checked, &bars);
    walls(checked, &bars);
    openings(checked, &bars);
    clear(checked, &bars);
    laps(checked, &bars);
    marks(checked, &bars);
}

fn direction(checked: &mut Checked, bars: &[Segment]) {
    let frame = &checked.layout.frame;
    let square = (frame.along.dot(frame.across)).abs() < 1e-6
        && (frame.along.length_mm() - 1.0).abs() < 1e-6
        && (frame.across.length_mm() - 1.0).abs() < 1e-6;
    let origin = frame.origin;
    if !square {
        checked.breach(Rule::Clear, "frame", origin, 0.0, "the frame of the layout is not square".into());
    }
    for (index, joist) in checked.ceiling.joists.iter().enumerate() {
        let Some(dir) = (joist.to - joist.from).unit() else { continue };
        let skew = dir.dot(checked.layout.frame.along).abs();
        if skew > 0.44 {
            let sentence = format!("the bars run nearly along joist {}", joist.name);
            checked.breach(Rule::ClipOnTimber, format!("joist {index}"), joist.from, skew, sentence);
        }
    }
    for (index, bar) in bars.iter().enumerate() {
        if bar.length_mm() < 1.0 {
            let sentence = format!("bar {} has no length", index + 1);
            checked.breach(Rule::BarGap, format!("bar {}", index + 1), bar.from, 0.0, sentence);
        }
    }
}

/// Lines across the bars, close together: no gap between the bars they cross is over the limit.
///
/// Past its end a bar still holds the board as far as the next bar or the edge of the boards, at most twice the
/// first-bar limit.
fn gaps(checked: &mut Checked, bars: &[Segment]) {
    let limit = checked.ceiling.rules.bar_gap_mm;
    let reach = 2.0 * checked.ceiling.rules.first_bar_mm;
    let held: Vec<Segment> = bars
        .iter()
        .enumerate()
        .map(|(i, bar)| Segment {
            from: drawn_on(checked, bars, i, bar.to, bar.from, reach),
            to: drawn_on(checked, bars, i, bar.from, bar.to, reach),
        })
        .collect();
    let corners = checked.outline.corners();
    let spread = |f: &dyn Fn(Point) -> f64| {
        corners.iter().map(|p| f(*p)).fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(x), h.max(x)))
    };
    let (low_u, high_u) = spread(&|p| checked.u(p));
    let (low_v, high_v) = spread(&|p| checked.v(p));
    let frame = checked.layout.frame.clone();
    let point = |u: f64, v: f64| frame.origin + frame.along * u + frame.across * v;
    let mut worst: Option<(f64, Point)> = None;
    let mut u = low_u + 1.0;
    while u < high_u {
        let (a, b) = (point(u, low_v - 10.0), point(u, high_v + 10.0));
        for (v0, v1) in boards_across(checked, a, b) {
            let mut at: Vec<f64> = held
                .iter()
                .filter_map(|bar| bar.meets(Segment { from: a, to: b }))
                .map(|p| checked.v(p))
                .filter(|v| (v0..=v1).contains(v))
                .collect();
            at.extend([v0, v1]);
            at.sort_by(f64::total_cmp);
            for pair in at.windows(2) {
                let over = pair[1] - pair[0] - limit;
                if over > SLACK_MM && worst.is_none_or(|w| over > w.0) {
                    worst = Some((over, point(u, f64::midpoint(pair[0], pair[1]))));
                }
            }
        }
        u += STEP_MM;
    }
    if let Some((over, at)) = worst {
        let [is, limit] = told_apart(limit + over, limit);
        let sentence = format!("a gap between bars is {is} mm, the limit is {limit}");
        checked.breach(Rule::BarGap, "bars", at, over, sentence);
    }
}

/// Where a line across the bars lies over boards, by the distance across: broken off at what comes through the ceiling.
fn boards_across(checked: &Checked, a: Point, b: Point) -> Vec<(f64, f64)> {
    let across = |parts: Vec<(Point, Point)>| -> Vec<(f64, f64)> {
        parts.into_iter().map(|(p, q)| (checked.v(p), checked.v(q))).collect()
    };
    let mut boards = across(checked.outline.clip_line(a, b));
    for ring in &checked.ceiling.obstructions {
        let Ok(opening) = Polygon::new(ring) else { continue };
        for (from, to) in across(opening.clip_line(a, b)) {
            let before = boards.iter().map(|&(low, high)| (low, high.min(from)));
            let after = boards.iter().map(|&(low, high)| (low.max(to), high));
            boards = before.chain(after).filter(|(low, high)| high > low).collect();
        }
    }
    boards
}

/// The end of a bar drawn on to the next bar or the edge of the boards, `reach` at most.
fn drawn_on(checked: &Checked, bars: &[Segment], own: usize, from: Point, end: Point, reach: f64) -> Point {
    let Some(dir) = (end - from).unit() else { return end };
    let ray = Segment { from: end, to: end + dir * reach };
    let mut nearest = reach;
    for (index, other) in bars.iter().enumerate() {
        if index != own
            && let Some(p) = ray.meets(*other)
        {
            nearest = nearest.min(p.distance_mm(end));
        }
    }
    let openings: Vec<Polygon> =
        checked.ceiling.obstructions.iter().filter_map(|ring| Polygon::new(ring).ok()).collect();
    for edge in checked.room.edges().chain(openings.iter().flat_map(Polygon::edges)) {
        if let Some(p) = ray.meets(edge) {
            nearest = nearest.min(p.distance_mm(end));
        }
    }
    end + dir * nearest
}

/// Every wall along or oblique to the bars has a bar within the first-bar limit, but for its last bits at the corners.
fn walls(checked: &mut Checked, bars: &[Segment]) {
    let first = checked.ceiling.rules.first_bar_mm;
    let edges: Vec<Segment> = checked.outline.edges().collect();
    for edge in edges {
        let Some(dir) = edge.along().unit() else { continue };
        // The edge of the boards is a little shorter or longer than its wall.
        let length = edge.length_mm();
        if dir.dot(checked.layout.frame.along).abs() < OWN_BAR_COS + 0.002
            || length < OWN_BAR_LENGTH_MM + 40.0
        {
            continue;
        }
        let margin = (2.0 * first).min(length * 0.45);
        let steps = ((length - 2.0 * margin) / 50.0).ceil().max(1.0);
        let mut worst: Option<(f64, Point)> = None;
        for k in 0..=(steps as usize) {
            let p = edge.point_at(margin + (length - 2.0 * margin) * k as f64 / steps);
            let near = bars.iter().map(|b| b.distance_mm(p)).fold(f64::INFINITY, f64::min);
            if near > first + SLACK_MM && worst.is_none_or(|w| near > w.0) {
                worst = Some((near, p));
            }
        }
        if let Some((near, p)) = worst {
            let [is, limit] = told_apart(near, first);
            let sentence = format!("the first bar is {is} mm from the edge at a wall, the limit is {limit}");
            checked.breach(Rule::EndsOnBars, "perimeter bar", p, near - first, sentence);
        }
    }
}

/// Along every side of an opening that runs along the bars there is a bar within the first-bar limit, or the edge of the boards.
fn openings(checked: &mut Checked, bars: &[Segment]) {
    let first = checked.ceiling.rules.first_bar_mm;
    let rings = checked.ceiling.obstructions.clone();
    for opening in rings.iter().filter_map(|ring| Polygon::new(ring).ok()) {
        let sides: Vec<Segment> = opening.edges().collect();
        for side in sides {
            let Some(dir) = side.along().unit() else { continue };
            if dir.dot(checked.layout.frame.along).abs() < 0.9 {
                continue;
            }
            let mut worst: Option<(f64, Point)> = None;
            for k in 1..8 {
                let p = side.point_at(side.length_mm() * f64::from(k) / 8.0);
                let at_the_edge =
                    !checked.outline.contains(p) || checked.outline.distance_to_boundary_mm(p) <= first;
                let near = bars.iter().map(|bar| bar.distance_mm(p)).fold(f64::INFINITY, f64::min);
                if !at_the_edge && near > first + SLACK_MM && worst.is_none_or(|w| near > w.0) {
                    worst = Some((near, p));
                }
            }
            if let Some((near, p)) = worst {
                let [is, limit] = told_apart(near, first);
                let sentence = format!(
                    "the nearest bar is {is} mm from the side of an opening, the limit is {limit} as at a wall"
                );
                checked.breach(Rule::BarGap, "opening", p, near - first, sentence);
            }
        }
    }
}

fn rectangle(bar: Segment, width: f64) -> Option<Polygon> {
    let side = bar.along().unit()?.left() * (width / 2.0);
    Polygon::new(&[bar.from - side, bar.to - side, bar.to + side, bar.from + side]).ok()
}

fn apart(a: &Polygon, b: &Polygon) -> f64 {
    let one = |a: &Polygon, b: &Polygon| {
        a.corners().iter().map(|p| b.distance_to_boundary_mm(*p)).fold(f64::INFINITY, f64::min)
    };
    let crossing = a.edges().any(|e| b.edges().any(|f| e.meets(f).is_some()));
    if crossing || a.corners().iter().any(|p| b.contains(*p)) || b.corners().iter().any(|p| a.contains(*p)) {
        return 0.0;
    }
    one(a, b).min(one(b, a))
}

/// No bar touches a wall, another bar, or what comes through the ceiling.
fn clear(checked: &mut Checked, bars: &[Segment]) {
    let gap = checked.ceiling.rules.bar_end_gap_mm;
    let width = checked.ceiling.bar.face_width_mm;
    let shapes: Vec<Option<Polygon>> = bars.iter().map(|b| rectangle(*b, width)).collect();
    for (index, shape) in shapes.iter().enumerate() {
        let Some(shape) = shape else { continue };
        let name = format!("bar {}", index + 1);
        let inside = shape.corners().iter().all(|p| checked.room.contains(*p));
        let near = if inside { apart_from_walls(shape, &checked.room) } else { 0.0 };
        if near < gap - SLACK_MM {
            let at = shape.centroid();
            let sentence = format!("{name} is {near:.1} mm from a wall, it must stay {gap:.0} clear");
            checked.breach(Rule::Clear, name.clone(), at, gap - near, sentence);
        }
        for (other, other_shape) in shapes.iter().enumerate().skip(index + 1) {
            let Some(other_shape) = other_shape else { continue };
            let near = apart(shape, other_shape);
            if near < gap - SLACK_MM {
                let sentence =
                    format!("{name} is {near:.1} mm from bar {}, they must stay {gap:.0} clear", other + 1);
                checked.breach(Rule::Clear, name.clone(), shape.centroid(), gap - near, sentence);
            }
        }
        for ring in &checked.ceiling.obstructions {
            let Ok(obstruction) = Polygon::new(ring) else { continue };
            let near = apart(shape, &obstruction);
            if near < gap - SLACK_MM {
                let sentence = format!("{name} runs into what comes through the ceiling");
                checked.breach(Rule::Clear, name.clone(), shape.centroid(), gap - near, sentence);
            }
        }
    }
}

/// Distance of a shape inside the room to its walls.
fn apart_from_walls(shape: &Polygon, room: &Polygon) -> f64 {
    let corners = shape.corners().iter().map(|p| room.distance_to_boundary_mm(*p));
    // A corner of the room that stands into it may come nearer to a side of the shape than to its corners.
    let walls = room.corners().iter().map(|p| shape.distance_to_boundary_mm(*p));
    corners.chain(walls).fold(f64::INFINITY, f64::min)
}

fn laps(checked: &mut Checked, bars: &[Segment]) {
    let rules = checked.ceiling.rules.clone();
    let stock_length = checked.ceiling.bar.stock_length_mm;
    let layout = checked.layout;
    for (bar, segment) in layout.bars.iter().zip(bars) {
        let name = format!("bar {}", bar.number);
        let mut wrong: Option<(f64, String)> = None;
        let start = bar.lengths.first().map_or(f64::NAN, |l| l.from_mm);
        let end = bar.lengths.last().map_or(f64::NAN, |l| l.to_mm);
        let covers = start.abs() < 0.1 && (end - segment.length_mm()).abs() < 0.1;
        if !covers || (bar.length_mm - segment.length_mm()).abs() > 0.1 {
            wrong = Some((0.0, format!("the lengths of {name} do not make it up")));
        }
        for length in &bar.lengths {
            let over = length.to_mm - length.from_mm - stock_length;
            if over > 0.01 {
                wrong = Some((over, format!("a length of {name} is {} mm over the stock", size(over))));
            }
        }
        for pair in bar.lengths.windows(2) {
            let lap = pair[0].to_mm - pair[1].from_mm;
            if lap < rules.min_lap_mm - 0.01 {
                let short = rules.min_lap_mm - lap;
                let [is, least] = told_apart(lap, rules.min_lap_mm);
                wrong = Some((short, format!("a lap of {name} is {is} mm, the least is {least}")));
            }
        }
        if bar.laps.len() + 1 != bar.lengths.len().max(1) {
            wrong = Some((0.0, format!("the laps of {name} are not all listed")));
        }
        if let Some((by, sentence)) = wrong {
            checked.breach(Rule::Laps, name, segment.middle(), by, sentence);
        }
    }
    for (i, a) in layout.bars.iter().enumerate() {
        for b in &layout.bars[i + 1..] {
            for p in lap_middles(a) {
                for q in lap_middles(b) {
                    let across = (checked.v(p) - checked.v(q)).abs();
                    let along = (checked.u(p) - checked.u(q)).abs();
                    let others = layout.bars.iter().filter(|c| c.number != a.number && c.number != b.number);
                    let between = Segment { from: p, to: q };
                    let neighbours = across <= rules.bar_gap_mm + 1.0
                        && !others
                            .into_iter()
                            .any(|c| between.meets(Segment { from: c.from, to: c.to }).is_some());
                    if neighbours && along < rules.lap_stagger_mm - 0.1 {
                        let [is, least] = told_apart(along, rules.lap_stagger_mm);
                        let sentence = format!(
                            "bars {} and {} are neighbours and lapped within {is} mm, the least is {least}",
                            a.number, b.number
                        );
                        checked.breach(
                            Rule::Laps,
                            format!("bar {}", a.number),
                            p,
                            rules.lap_stagger_mm - along,
                            sentence,
                        );
                    }
                }
            }
        }
    }
    stock(checked);
}

fn lap_middles(bar: &crate::layout::Bar) -> Vec<Point> {
    let line = Segment { from: bar.from, to: bar.to };
    bar.lengths.windows(2).map(|p| line.point_at(f64::midpoint(p[1].from_mm, p[0].to_mm))).collect()
}

fn stock(checked: &mut Checked) {
    let layout = checked.layout;
    let at = layout.frame.origin;
    let length = checked.ceiling.bar.stock_length_mm;
    let kerf = checked.ceiling.rules.kerf_mm;
    for stock in &layout.bar_cutting {
        let cuts: f64 = stock.cuts.iter().map(|c| c.length_mm).sum();
        let saw = kerf * stock.cuts.len().saturating_sub(1) as f64;
        if cuts + saw > length + 0.01 {
            let sentence = format!("stock bar {} would have to be {:.0} mm long", stock.number, cuts + saw);
            checked.breach(
                Rule::Laps,
                format!("stock bar {}", stock.number),
                at,
                cuts + saw - length,
                sentence,
            );
        }
    }
    for (index, bar) in layout.bars.iter().enumerate() {
        for piece in &bar.lengths {
            let wanted = piece.to_mm - piece.from_mm;
            let found = layout.bar_cutting.get(piece.stock).is_some_and(|s| {
                s.cuts.iter().any(|c| c.bar == index + 1 && (c.length_mm - wanted).abs() < 0.01)
            });
            if !found {
                let sentence = format!("a length of bar {} is in no stock bar", index + 1);
                checked.breach(Rule::Laps, format!("bar {}", index + 1), bar.from, 0.0, sentence);
            }
        }
    }
}

/// A running dimension, measured out, lands on the line of its bar.
fn marks(checked: &mut Checked, bars: &[Segment]) {
    let layout = checked.layout;
    let corner = |name: &str| checked.ceiling.corners.iter().find(|c| c.name == name).map(|c| c.at);
    let mut wrong: Vec<(Point, f64, String)> = Vec::new();
    for wall in &layout.marks {
        let Some((a, b)) = wall.wall.split_once('-') else { continue };
        let (Some(a), Some(b), Some(from)) = (corner(a), corner(b), corner(&wall.from_corner)) else {
            continue;
        };
        let to = if from.distance_mm(a) < from.distance_mm(b) { b } else { a };
        let line = Segment { from, to };
        for mark in &wall.marks {
            let MarkFor::Bar(number) = mark.of else { continue };
            let p = line.point_at(mark.at_mm);
            let off = number
                .checked_sub(1)
                .and_then(|i| bars.get(i))
                .map_or(f64::INFINITY, |b| b.left_of_mm(p).abs());
            if off > 1.0 {
                wrong.push((
                    p,
                    off,
                    format!("the mark of bar {number} on wall {} is {off:.0} mm off its line", wall.wall),
                ));
            }
        }
    }
    for (p, off, sentence) in wrong {
        checked.breach(Rule::Marks, "mark", p, off.min(1e6), sentence);
    }
}
