//! Where the bars run: along the walls, under the joints, and between them so that no gap is over the limit.

use crate::layout::BarReason;
use crate::ring::{self, Axis};
use crate::room::Room;
use crate::{BarStock, Point, Rules};

/// More bars than any ceiling, to bound the work.
const MOST_BARS: usize = 200;
/// A stretch of bar shorter than this is left out \[mm\]; nothing could be fixed to it.
const STUB_MM: f64 = 150.0;

/// The line of a bar that passes a corner nearer than this ends there \[mm\].
const GRAZED_MM: f64 = 1.0;

/// A bar along an opening stands this far from its edge where the limits leave the choice \[mm\].
const OPENING_BAR_MM: f64 = 75.0;
/// Parts in which the side of an opening is looked at.
const OPENING_PARTS: u32 = 4;

/// Bars this near one line are in line \[mm\].
const IN_LINE_MM: f64 = 1e-3;

/// Places where the picture across the room changes, nearer to each other than this, count as one \[mm\].
const MERGED_MM: f64 = 1e-3;

/// How far inside a slice one looks so as not to stand between two such places \[mm\].
pub(crate) const INSIDE_MM: f64 = 2.0 * MERGED_MM;

/// Bars may come nearer to each other than the gap by this much \[mm\]; it is less than a pencil's line.
const CLEAR_SLACK_MM: f64 = 0.6;

/// A bar in the frame, `from` being its end with the lesser `u`.
#[derive(Clone, Debug)]
pub(crate) struct FrameBar {
    pub(crate) from: Point,
    pub(crate) to: Point,
    pub(crate) wall: Option<usize>,
    pub(crate) reason: BarReason,
}

impl FrameBar {
    fn new(a: Point, b: Point, wall: Option<usize>, reason: BarReason) -> Self {
        let (from, to) = if (a.x_mm, a.y_mm) <= (b.x_mm, b.y_mm) { (a, b) } else { (b, a) };
        Self { from, to, wall, reason }
    }

    pub(crate) fn length_mm(&self) -> f64 {
        ring::distance(self.from, self.to)
    }

    pub(crate) fn dir(&self) -> Point {
        let l = self.length_mm();
        Point::new((self.to.x_mm - self.from.x_mm) / l, (self.to.y_mm - self.from.y_mm) / l)
    }

    pub(crate) fn at(&self, along_mm: f64) -> Point {
        let d = self.dir();
        Point::new(self.from.x_mm + along_mm * d.x_mm, self.from.y_mm + along_mm * d.y_mm)
    }

    /// `v` of the bar's line at `u`.
    pub(crate) fn v_at(&self, u: f64) -> f64 {
        let run = self.to.x_mm - self.from.x_mm;
        self.from.y_mm + (u - self.from.x_mm) / run * (self.to.y_mm - self.from.y_mm)
    }
}

/// What the bars have in common.
#[derive(Clone, Copy, Debug)]
#[expect(clippy::struct_field_names, reason = "the unit belongs to each name")]
pub(crate) struct BarRules {
    pub(crate) face_mm: f64,
    pub(crate) end_gap_mm: f64,
    pub(crate) gap_limit_mm: f64,
    pub(crate) first_bar_mm: f64,
    pub(crate) bearing_mm: f64,
}

impl BarRules {
    pub(crate) fn new(bar: &BarStock, rules: &Rules) -> Self {
        Self {
            face_mm: bar.face_width_mm,
            end_gap_mm: rules.bar_end_gap_mm,
            gap_limit_mm: (rules.bar_gap_mm - rules.bar_gap_spare_mm).max(rules.bar_gap_mm / 2.0),
            first_bar_mm: rules.first_bar_mm,
            bearing_mm: rules.edge_bearing_mm,
        }
    }

    /// A board may reach this far past the end of its bar along the bar, as it may past a perimeter bar, and to the
    /// perimeter bar the end stops at.
    pub(crate) fn reach_mm(&self) -> f64 {
        2.0 * self.first_bar_mm
    }
}

/// Whether two bars come nearer to each other than they may: beside a wall at a grazing angle two that follow their own lines may.
pub(crate) fn any_too_near(bars: &[FrameBar], rules: &BarRules) -> bool {
    let least = rules.end_gap_mm - CLEAR_SLACK_MM;
    let shapes: Vec<[Point; 4]> = bars
        .iter()
        .map(|bar| {
            let dir = bar.dir();
            let side = Point::new(-dir.y_mm, dir.x_mm) * (rules.face_mm / 2.0);
            [bar.from - side, bar.to - side, bar.to + side, bar.from + side]
        })
        .collect();
    let near = |a: &[Point; 4], b: &[Point; 4]| {
        let (low_a, high_a) = ring::extent(a);
        let (low_b, high_b) = ring::extent(b);
        if low_a.x_mm - high_b.x_mm > least
            || low_b.x_mm - high_a.x_mm > least
            || low_a.y_mm - high_b.y_mm > least
            || low_b.y_mm - high_a.y_mm > least
        {
            return false;
        }
        let of_one = |a: &[Point; 4], b: &[Point; 4]| {
            a.iter().any(|p| {
                ring::contains(b, *p)
                    || ring::sides(b).any(|(c, d)| ring::distance_to_segment(*p, c, d) < least)
            })
        };
        let cross = ring::sides(a).any(|(p, q)| {
            ring::sides(b).any(|(c, d)| {
                ring::crossing(p, q, c, d)
                    .is_some_and(|(t, s)| (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&s))
            })
        });
        cross || of_one(a, b) || of_one(b, a)
    };
    shapes.iter().enumerate().any(|(i, a)| shapes.iter().skip(i + 1).any(|b| near(a, b)))
}

/// The bars along the walls, the long walls first: later ones stop clear of earlier ones.
pub(crate) fn perimeter_bars(room: &Room, rules: &BarRules) -> Vec<FrameBar> {
    let mut order: Vec<usize> = (0..room.walls.len()).filter(|&i| room.walls[i].bar_mm.is_some()).collect();
    order.sort_by(|&a, &b| {
        let (p, q) = (&room.walls[a], &room.walls[b]);
        let class = |c: f64| i32::from(c < 0.94);
        class(p.along_cos).cmp(&class(q.along_cos)).then(q.length_mm.total_cmp(&p.length_mm)).then(a.cmp(&b))
    });
    let mut bars: Vec<FrameBar> = Vec::new();
    let mut placed = vec![false; room.walls.len()];
    for &i in &order {
        let wall = &room.walls[i];
        let Some(offset) = wall.bar_mm else { continue };
        let start =
            Point::new(wall.from.x_mm - offset * wall.dir.y_mm, wall.from.y_mm + offset * wall.dir.x_mm);
        let line = Line { start, dir: wall.dir };
        let mut free = line.inside(&room.ring, 0.0, wall.length_mm);
        for (j, other) in room.walls.iter().enumerate() {
            if j == i {
                continue;
            }
            let base = if placed[j] { other.bar_mm.unwrap_or(0.0) + rules.face_mm / 2.0 } else { 0.0 };
            free = line.keep_clear(&free, other, base, rules);
        }
        for obstruction in &room.obstructions {
            free = line.keep_off(&free, obstruction, rules);
        }
        let mut any = false;
        for (a, b) in free {
            if b - a >= STUB_MM {
                any = true;
                bars.push(FrameBar::new(line.at(a), line.at(b), Some(i), BarReason::Perimeter));
            }
        }
        placed[i] = any;
    }
    bars
}

struct Line {
    start: Point,
    dir: Point,
}

impl Line {
    fn at(&self, t: f64) -> Point {
        Point::new(self.start.x_mm + t * self.dir.x_mm, self.start.y_mm + t * self.dir.y_mm)
    }

    /// Stretches of the line inside a ring, between `low` and `high` along it.
    fn inside(&self, ring: &[Point], low: f64, high: f64) -> Vec<(f64, f64)> {
        let mut at: Vec<f64> = Vec::new();
        let height = |p: Point| {
            (p.y_mm - self.start.y_mm) * self.dir.x_mm - (p.x_mm - self.start.x_mm) * self.dir.y_mm
        };
        let along = |p: Point| {
            (p.x_mm - self.start.x_mm) * self.dir.x_mm + (p.y_mm - self.start.y_mm) * self.dir.y_mm
        };
        for (a, b) in ring::sides(ring) {
            let (ha, hb) = (height(a), height(b));
            if (ha >= 0.0) != (hb >= 0.0) {
                at.push(along(a) + ha / (ha - hb) * (along(b) - along(a)));
            }
        }
        at.sort_by(f64::total_cmp);
        at.chunks(2)
            .filter_map(|pair| if let [a, b] = pair { Some((a.max(low), b.min(high))) } else { None })
            .filter(|(a, b)| b > a)
            .collect()
    }

    /// Takes away what runs too near a wall, or too near the bar that stands `base_mm` from it (to the bar's far side).
    ///
    /// The end of a bar is as wide as its face, so at a slanting wall its corner gets there first.
    fn keep_clear(
        &self,
        free: &[(f64, f64)],
        wall: &crate::room::Wall,
        base_mm: f64,
        rules: &BarRules,
    ) -> Vec<(f64, f64)> {
        let cos = (self.dir.x_mm * wall.dir.x_mm + self.dir.y_mm * wall.dir.y_mm).abs();
        let clear = base_mm + rules.end_gap_mm + rules.face_mm / 2.0 * cos;
        let beyond = rules.end_gap_mm + rules.face_mm / 2.0;
        // Band of the wall: 0 <= inside <= clear, -beyond <= along <= length + beyond; both linear in t.
        let (inside0, along0) = wall.inside_and_along(self.start);
        let slope_inside = -self.dir.x_mm * wall.dir.y_mm + self.dir.y_mm * wall.dir.x_mm;
        let slope_along = self.dir.x_mm * wall.dir.x_mm + self.dir.y_mm * wall.dir.y_mm;
        let mut taken = (f64::NEG_INFINITY, f64::INFINITY);
        for (value, slope, low, high) in
            [(inside0, slope_inside, -1.0, clear), (along0, slope_along, -beyond, wall.length_mm + beyond)]
        {
            if slope.abs() < 1e-9 {
                if value < low || value > high {
                    return free.to_vec();
                }
            } else {
                let (a, b) = ((low - value) / slope, (high - value) / slope);
                taken = (taken.0.max(a.min(b)), taken.1.min(a.max(b)));
            }
        }
        without(free, taken)
    }

    /// Takes away what runs through or too near an obstruction.
    fn keep_off(&self, free: &[(f64, f64)], ring: &[Point], rules: &BarRules) -> Vec<(f64, f64)> {
        let clear = rules.face_mm / 2.0 + rules.end_gap_mm;
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut under, mut over) = (f64::INFINITY, f64::NEG_INFINITY);
        for p in ring {
            let (dx, dy) = (p.x_mm - self.start.x_mm, p.y_mm - self.start.y_mm);
            let (t, h) = (dx * self.dir.x_mm + dy * self.dir.y_mm, dy * self.dir.x_mm - dx * self.dir.y_mm);
            low = low.min(t);
            high = high.max(t);
            under = under.min(h);
            over = over.max(h);
        }
        if under > clear || over < -clear {
            return free.to_vec();
        }
        without(free, (low - rules.end_gap_mm, high + rules.end_gap_mm))
    }
}

pub(crate) fn without(free: &[(f64, f64)], taken: (f64, f64)) -> Vec<(f64, f64)> {
    let mut out = Vec::with_capacity(free.len() + 1);
    for &(a, b) in free {
        if taken.1 <= taken.0 || taken.1 <= a || taken.0 >= b {
            out.push((a, b));
            continue;
        }
        if taken.0 > a {
            out.push((a, taken.0));
        }
        if taken.1 < b {
            out.push((taken.1, b));
        }
    }
    out
}

/// The stretches of bar on the line `v`, clear of walls, of the perimeter bars and of what comes through the ceiling.
pub(crate) fn bars_on_line(room: &Room, rules: &BarRules, v: f64, reason: BarReason) -> Vec<FrameBar> {
    let line = Line { start: Point::new(0.0, v), dir: Point::new(1.0, 0.0) };
    let mut free = ring::chords(&room.ring, Axis::V, v);
    for wall in &room.walls {
        let base = wall.bar_mm.map_or(0.0, |d| d + rules.face_mm / 2.0);
        free = line.keep_clear(&free, wall, base, rules);
    }
    for obstruction in &room.obstructions {
        free = line.keep_off(&free, obstruction, rules);
    }
    free.into_iter()
        .filter(|(a, b)| b - a >= STUB_MM)
        .map(|(a, b)| FrameBar::new(Point::new(a, v), Point::new(b, v), None, reason))
        .collect()
}

/// Whether a bar on the line `v` passes beside all that comes through the ceiling.
pub(crate) fn passes_beside(room: &Room, rules: &BarRules, v: f64) -> bool {
    let clear = rules.face_mm / 2.0 + rules.end_gap_mm;
    room.obstructions.iter().all(|obstruction| {
        let (low, high) = ring::extent(obstruction);
        v < low.y_mm - clear || v > high.y_mm + clear
    })
}

/// Stretches of a line of the frame over boards: inside their edge and outside what comes through the ceiling.
pub(crate) fn chords_clear(room: &Room, axis: Axis, at: f64) -> Vec<(f64, f64)> {
    let mut chords = ring::chords(&room.outline, axis, at);
    for obstruction in &room.obstructions {
        for hole in ring::chords(obstruction, axis, at) {
            chords = without(&chords, hole);
        }
    }
    chords
}

/// A gap over the limit, with where it is.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Gap {
    pub(crate) low_v: f64,
    pub(crate) high_v: f64,
    pub(crate) over_mm: f64,
}

/// Perimeter bars, joint bars and as many between as the gap limit asks for, in order across the room.
///
/// None when an opening can have no bar beside it, or the gaps cannot be closed.
pub(crate) fn lay_bars(
    room: &Room,
    rules: &BarRules,
    perimeter: &[FrameBar],
    joint_lines: &[f64],
) -> Option<Vec<FrameBar>> {
    let mut bars = perimeter.to_vec();
    let mut lines: Vec<f64> = joint_lines.to_vec();
    for &v in joint_lines {
        bars.extend(bars_on_line(room, rules, v, BarReason::Joint));
    }
    for obstruction in &room.obstructions {
        bars_beside(room, rules, obstruction, &mut lines, &mut bars)?;
    }
    while let Some(gap) = widest_gap(room, rules, &bars) {
        if bars.len() > MOST_BARS {
            return None;
        }
        let width = gap.high_v - gap.low_v;
        let parts = (width / rules.gap_limit_mm - 1e-9).ceil().max(2.0);
        let mut added = false;
        for k in 1..(parts as u32) {
            let wanted = (gap.low_v + width * f64::from(k) / parts).round();
            if let Some((v, new)) = nearest_free_line(room, rules, &lines, wanted, &gap) {
                lines.push(v);
                added |= !new.is_empty();
                bars.extend(new);
            }
        }
        if !added {
            return None;
        }
    }
    bars.sort_by(|a, b| {
        let middle = |x: &FrameBar| f64::midpoint(x.from.y_mm, x.to.y_mm);
        middle(a).total_cmp(&middle(b)).then(a.from.x_mm.total_cmp(&b.from.x_mm))
    });
    Some(bars)
}

/// A bar along either side of what comes through the ceiling, within the first-bar limit as along a wall; where one runs there, or the wall
/// is as near, none is added. None where there is no place for one.
fn bars_beside(
    room: &Room,
    rules: &BarRules,
    obstruction: &[Point],
    lines: &mut Vec<f64>,
    bars: &mut Vec<FrameBar>,
) -> Option<()> {
    let (low, high) = ring::extent(obstruction);
    let clear = rules.face_mm / 2.0 + rules.end_gap_mm;
    for (edge, sign) in [(low.y_mm, -1.0), (high.y_mm, 1.0)] {
        let at_wall = (0..=OPENING_PARTS).all(|k| {
            let u = low.x_mm + (high.x_mm - low.x_mm) * f64::from(k) / f64::from(OPENING_PARTS);
            let here = Point::new(u, edge);
            !ring::contains(&room.outline, here)
                || ring::sides(&room.outline)
                    .any(|(a, b)| ring::distance_to_segment(here, a, b) <= rules.first_bar_mm)
        });
        let beside = |bar: &FrameBar| {
            let off = |u: f64| (bar.v_at(u) - edge) * sign;
            let along = bar.from.x_mm <= low.x_mm + rules.first_bar_mm
                && bar.to.x_mm >= high.x_mm - rules.first_bar_mm;
            along && [low.x_mm, high.x_mm].iter().all(|u| (0.0..=rules.first_bar_mm).contains(&off(*u)))
        };
        if at_wall || bars.iter().any(beside) {
            continue;
        }
        let ends = [edge + sign * clear, edge + sign * rules.first_bar_mm];
        let gap = Gap { low_v: ends[0].min(ends[1]), high_v: ends[0].max(ends[1]), over_mm: 0.0 };
        let wanted = (edge + sign * clear.max(OPENING_BAR_MM)).round();
        let (v, new) = nearest_free_line(room, rules, lines, wanted, &gap)?;
        lines.push(v);
        bars.extend(new);
    }
    Some(())
}

pub(crate) fn nearest_free_line(
    room: &Room,
    rules: &BarRules,
    lines: &[f64],
    wanted: f64,
    gap: &Gap,
) -> Option<(f64, Vec<FrameBar>)> {
    let clear = rules.face_mm + rules.end_gap_mm;
    // Beside what comes through the ceiling, where that can be; else cut by it.
    for whole in [true, false] {
        for step in 0..200 {
            for sign in [1.0, -1.0] {
                let v = wanted + sign * f64::from(step) * 5.0;
                if v <= gap.low_v || v >= gap.high_v || lines.iter().any(|l| (l - v).abs() < clear) {
                    continue;
                }
                if whole && !passes_beside(room, rules, v) {
                    continue;
                }
                let new = bars_on_line(room, rules, v, BarReason::Field);
                if !new.is_empty() {
                    return Some((v, new));
                }
            }
        }
        if room.obstructions.is_empty() {
            break;
        }
    }
    None
}

/// The stretch of `u` in which a bar holds the boards: past its ends as far as the next bar or wall, `reach` along the
/// bar at most.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Holds {
    pub(crate) from_u: f64,
    pub(crate) to_u: f64,
}

/// Where every bar holds.
pub(crate) fn holds(room: &Room, bars: &[FrameBar], reach: f64) -> Vec<Holds> {
    bars.iter()
        .enumerate()
        .map(|(index, bar)| {
            let dir = bar.dir();
            let cast = |from: Point, sign: f64| {
                let end =
                    Point::new(from.x_mm + sign * reach * dir.x_mm, from.y_mm + sign * reach * dir.y_mm);
                // Where it leaves the boards it holds no more, though the wall is still a gap away.
                let walls = ring::sides(&room.ring)
                    .chain(ring::sides(&room.outline))
                    .chain(room.obstructions.iter().flat_map(|o| ring::sides(o)));
                let others =
                    bars.iter().enumerate().filter(|(i, _)| *i != index).map(|(_, b)| (b.from, b.to));
                let nearest = walls
                    .chain(others)
                    .filter_map(|(a, b)| ring::crossing(from, end, a, b))
                    .filter(|(t, s)| *t >= 0.0 && (0.0..=1.0).contains(s))
                    .map(|(t, _)| t)
                    .fold(1.0, f64::min);
                // A corner it only grazes stops it too: which side it passes must not hang on the last digit.
                let grazed = room
                    .ring
                    .iter()
                    .chain(&room.outline)
                    .chain(room.obstructions.iter().flatten())
                    .filter_map(|p| {
                        let (dx, dy) = (p.x_mm - from.x_mm, p.y_mm - from.y_mm);
                        let along = sign * (dx * dir.x_mm + dy * dir.y_mm);
                        let off = (dy * dir.x_mm - dx * dir.y_mm).abs();
                        (along >= 0.0 && off < GRAZED_MM).then_some(along / reach)
                    })
                    .fold(1.0, f64::min);
                let nearest = nearest.min(grazed);
                // Of a gap between two bars in line each holds half.
                let in_line = bars
                    .iter()
                    .enumerate()
                    .filter(|(i, b)| *i != index && in_line(bar, b))
                    .map(|(_, b)| if sign > 0.0 { b.from.x_mm - from.x_mm } else { from.x_mm - b.to.x_mm })
                    .filter(|gap| *gap > 0.0)
                    .map(|gap| gap / 2.0 / (reach * dir.x_mm))
                    .fold(1.0, f64::min);
                let nearest = nearest.min(in_line);
                from.x_mm + sign * nearest * reach * dir.x_mm
            };
            Holds { from_u: cast(bar.from, -1.0), to_u: cast(bar.to, 1.0) }
        })
        .collect()
}

/// Both bars lie on one line.
fn in_line(a: &FrameBar, b: &FrameBar) -> bool {
    [b.from, b.to].iter().all(|p| (a.v_at(p.x_mm) - p.y_mm).abs() < IN_LINE_MM)
}

/// The `u` where the picture of bars and walls across the room changes.
pub(crate) fn slice_edges(room: &Room, bars: &[FrameBar], holds: &[Holds]) -> Vec<f64> {
    let (low, high) = ring::extent(&room.outline);
    let mut at: Vec<f64> =
        room.outline.iter().chain(room.obstructions.iter().flatten()).map(|p| p.x_mm).collect();
    for (bar, held) in bars.iter().zip(holds) {
        at.extend([bar.from.x_mm, bar.to.x_mm, held.from_u, held.to_u]);
    }
    at.retain(|u| (low.x_mm..=high.x_mm).contains(u));
    at.sort_by(f64::total_cmp);
    at.dedup_by(|a, b| (*a - *b).abs() < MERGED_MM);
    at
}

/// The bars that hold at `u` between two walls, as (index, v) in rising order.
pub(crate) fn crossings(bars: &[FrameBar], holds: &[Holds], u: f64, chord: (f64, f64)) -> Vec<(usize, f64)> {
    let mut found: Vec<(usize, f64)> = Vec::new();
    for (index, (bar, held)) in bars.iter().zip(holds).enumerate() {
        if held.from_u <= u && u <= held.to_u {
            let v = bar.v_at(u);
            if chord.0 <= v && v <= chord.1 {
                found.push((index, v));
            }
        }
    }
    found.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    found
}

/// The widest gap over the limit between bars, or between a bar and a wall.
pub(crate) fn widest_gap(room: &Room, rules: &BarRules, bars: &[FrameBar]) -> Option<Gap> {
    let holds = holds(room, bars, rules.reach_mm());
    let edges = slice_edges(room, bars, &holds);
    let mut worst: Option<Gap> = None;
    for pair in edges.windows(2) {
        let [a, b] = pair else { continue };
        if b - a < 0.5 {
            continue;
        }
        let inset = ((b - a) * 1e-3).clamp(INSIDE_MM, 0.01);
        for u in [a + inset, b - inset] {
            for chord in chords_clear(room, Axis::U, u) {
                let found = crossings(bars, &holds, u, chord);
                let mut low = chord.0;
                for high in found.iter().map(|f| f.1).chain([chord.1]) {
                    let over = high - low - rules.gap_limit_mm;
                    if over > 1e-3 && worst.is_none_or(|w| over > w.over_mm + 1e-9) {
                        worst = Some(Gap { low_v: low, high_v: high, over_mm: over });
                    }
                    low = high;
                }
            }
        }
    }
    worst
}
