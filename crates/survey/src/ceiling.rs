//! Joists on the plan, the heights of their undersides, the ceiling plane.

use geometry::{FittedPlane, Plane, Point, Polygon, Segment};
use quantities::format::with_unit;
use serde::Serialize;

use crate::{Input, JoistReading, OnWall, SurveyError};

/// A joist may start this far past the end of its wall, mm: it bears in the corner and the tape was held beside it.
const PAST_WALL_MM: f64 = 30.0;

/// The joists as measured and the plane they lie in.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ceiling {
    /// Joists in the order given.
    pub joists: Vec<Joist>,
    /// Plane of least squares through all undersides, heights above the floor; `None` when the readings do not
    /// fix one.
    pub plane: Option<FittedPlane>,
    /// Lowest reading; `None` when none was taken.
    pub lowest: Option<Underside>,
    /// Highest reading.
    pub highest: Option<Underside>,
    /// Highest less lowest, mm; 0 without readings.
    pub range_mm: f64,
}

/// A joist on the plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Joist {
    /// Name.
    pub name: String,
    /// Middle line, wall to wall.
    pub line: Segment,
    /// Width over all members, mm.
    pub width_mm: f64,
    /// Depth, mm.
    pub depth_mm: f64,
    /// Lengths of timber side by side.
    pub members: u32,
    /// Undersides read, from start to end: along the middle, or along the left edge seen from the start where both edges
    /// were read.
    pub undersides: Vec<Underside>,
    /// The same along the right edge; empty unless both edges were read.
    pub other_edge: Vec<Underside>,
    /// Largest dip of the underside below the straight line from end to end, mm (minus: it arches up);
    /// `None` with fewer than three readings.
    pub sag_mm: Option<f64>,
    /// Height at the end less height at the start, mm; `None` with fewer than two readings.
    pub rise_mm: Option<f64>,
    /// Cross fall of the underside at the end less that at the start, mm over the joist's width; `None` unless both
    /// edges were read.
    pub twist_mm: Option<f64>,
}

/// Height of an underside at a place.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Underside {
    /// Joist, by its place in the list.
    pub joist: usize,
    /// Place.
    pub at: Point,
    /// Height above the floor, mm.
    pub above_floor_mm: f64,
}

impl Ceiling {
    /// Height of a joist's underside above the floor at the point's foot on the joist, as [`Joist::underside_mm`];
    /// `None` without readings or for a joist that is not there.
    pub fn underside_mm(&self, joist: usize, point: Point) -> Option<f64> {
        self.joists.get(joist)?.underside_mm(point)
    }
}

impl Joist {
    /// Height of the underside above the floor at the middle of the joist, beside the point; between the readings on a
    /// straight line, past the ends as at the end; `None` without readings.
    pub fn underside_mm(&self, point: Point) -> Option<f64> {
        let [left, right] = self.edges_mm(point)?;
        Some(f64::midpoint(left, right))
    }

    /// Height of the lower edge of the underside beside the point; `None` without readings.
    pub fn lower_edge_mm(&self, point: Point) -> Option<f64> {
        let [left, right] = self.edges_mm(point)?;
        Some(left.min(right))
    }

    /// Every height read of its underside.
    pub fn readings(&self) -> impl Iterator<Item = &Underside> {
        self.undersides.iter().chain(&self.other_edge)
    }

    /// Heights of its left and right edge beside the point; the same twice where one line was read.
    fn edges_mm(&self, point: Point) -> Option<[f64; 2]> {
        let left = self.along_mm(&self.undersides, point)?;
        Some([left, self.along_mm(&self.other_edge, point).unwrap_or(left)])
    }

    fn along_mm(&self, undersides: &[Underside], point: Point) -> Option<f64> {
        let at = self.line.running_mm(point);
        let station = |underside: &Underside| self.line.running_mm(underside.at);
        let first = undersides.first()?;
        if at <= station(first) {
            return Some(first.above_floor_mm);
        }
        for pair in undersides.windows(2) {
            let [before, after] = pair else { continue };
            let (from, to) = (station(before), station(after));
            if at <= to && to > from {
                let share = (at - from) / (to - from);
                return Some(before.above_floor_mm + (after.above_floor_mm - before.above_floor_mm) * share);
            }
        }
        undersides.last().map(|last| last.above_floor_mm)
    }
}

/// Joists on the plan; `None` when none were given.
pub(crate) fn ceiling(
    input: &Input,
    points: &[Point],
    room: &Polygon,
) -> Result<Option<Ceiling>, SurveyError> {
    if input.joists.is_empty() {
        return Ok(None);
    }
    if !input.laser_above_floor_mm.is_finite() || !(-1000.0..=10_000.0).contains(&input.laser_above_floor_mm)
    {
        return Err(SurveyError::Joist(
            "the height of the laser line above the floor must lie between −1 m and 10 m, in millimetres"
                .to_owned(),
        ));
    }
    let joists = input
        .joists
        .iter()
        .enumerate()
        .map(|(at, reading)| joist(input, at, reading, points, room))
        .collect::<Result<Vec<_>, _>>()?;
    let all: Vec<Underside> = joists.iter().flat_map(|joist| joist.readings().copied()).collect();
    let heights: Vec<(Point, f64)> = all.iter().map(|u| (u.at, u.above_floor_mm)).collect();
    let extreme = |lower: fn(f64, f64) -> bool| {
        all.iter().copied().fold(None, |best: Option<Underside>, u| match best {
            Some(b) if !lower(u.above_floor_mm, b.above_floor_mm) => Some(b),
            _ => Some(u),
        })
    };
    let (lowest, highest) = (extreme(|a, b| a < b), extreme(|a, b| a > b));
    Ok(Some(Ceiling {
        joists,
        plane: Plane::fit(&heights).ok(),
        lowest,
        highest,
        range_mm: match (lowest, highest) {
            (Some(low), Some(high)) => high.above_floor_mm - low.above_floor_mm,
            _ => 0.0,
        },
    }))
}

fn joist(
    input: &Input,
    at: usize,
    reading: &JoistReading,
    points: &[Point],
    room: &Polygon,
) -> Result<Joist, SurveyError> {
    let name = &reading.name;
    let size = |value: f64| value.is_finite() && value > 0.0 && value <= 1000.0;
    if !size(reading.width_mm) || !size(reading.depth_mm) || reading.members == 0 {
        return Err(SurveyError::Joist(format!(
            "joist {name} needs a width and a depth of up to 1 m and at least one member; check its size"
        )));
    }
    let line = Segment {
        from: on_wall(input, name, &reading.start, points)?,
        to: on_wall(input, name, &reading.end, points)?,
    };
    if line.length_mm() < 100.0 {
        return Err(SurveyError::Joist(format!(
            "joist {name} starts and ends at about the same place; check its running dimensions"
        )));
    }
    if reading.start.wall == reading.end.wall {
        return Err(SurveyError::Joist(format!(
            "joist {name} starts and ends on one wall; name the wall at its other end"
        )));
    }
    let inside = room.clip_line(line.from, line.to);
    let inside_mm: f64 = inside.iter().map(|(from, to)| from.distance_mm(*to)).sum();
    if inside_mm < line.length_mm() - PAST_WALL_MM {
        if let Some(words) = through_a_breast(input, name, line, &inside, points) {
            return Err(SurveyError::Joist(words));
        }
        return Err(SurveyError::Joist(format!(
            "joist {name} runs outside the room; check from which corner its running dimensions were taken"
        )));
    }
    let along = heights(input, reading, &reading.up_from_laser_mm)?;
    let other = heights(input, reading, &reading.other_edge_up_from_laser_mm)?;
    // Two edges lie half the width to either side of the middle line, one line of readings on it.
    let aside = line.along().unit().map_or(Point::default(), |along| along.left() * (reading.width_mm / 2.0));
    let placed = |readings: &[(f64, f64)], aside: Point| -> Vec<Underside> {
        let place = |(share, height): &(f64, f64)| Underside {
            joist: at,
            at: line.from.toward(line.to, *share) + aside,
            above_floor_mm: *height,
        };
        readings.iter().map(place).collect()
    };
    let both = !along.is_empty() && !other.is_empty();
    let undersides = placed(&along, if both { aside } else { Point::default() });
    let other_edge = if both { placed(&other, aside * -1.0) } else { Vec::new() };
    Ok(Joist {
        name: name.clone(),
        line,
        width_mm: reading.width_mm,
        depth_mm: reading.depth_mm,
        members: reading.members,
        sag_mm: sag_mm(&along),
        rise_mm: (along.len() > 1).then(|| ends(&along).map_or(0.0, |(first, last)| last - first)),
        twist_mm: match (ends(&along), ends(&other)) {
            (Some((a_start, a_end)), Some((b_start, b_end))) if along.len() > 1 && other.len() > 1 => {
                Some((b_end - a_end) - (b_start - a_start))
            }
            _ => None,
        },
        undersides,
        other_edge,
    })
}

/// That a joist leaves the room between its ends and comes back, through a chimney breast or a bay; `None` where it does not.
fn through_a_breast(
    input: &Input,
    joist: &str,
    line: Segment,
    inside: &[(Point, Point)],
    points: &[Point],
) -> Option<String> {
    let starts = inside.first()?.0.distance_mm(line.from) <= PAST_WALL_MM;
    let ends = inside.last()?.1.distance_mm(line.to) <= PAST_WALL_MM;
    let gap = inside.windows(2).find_map(|pair| {
        let [(_, out), (back, _)] = pair else { return None };
        (out.distance_mm(*back) > PAST_WALL_MM).then_some((*out, *back))
    });
    let (out, back) = gap.filter(|_| starts && ends)?;
    let n = points.len();
    let wall_at = |at: Point| {
        (0..n)
            .filter_map(|i| Some((i, Segment { from: *points.get(i)?, to: *points.get((i + 1) % n)? })))
            .min_by(|a, b| a.1.distance_mm(at).total_cmp(&b.1.distance_mm(at)))
            .map_or_else(String::new, |(i, _)| input.line_name(i, (i + 1) % n))
    };
    Some(format!(
        "joist {joist} runs through wall {} and comes back into the room at wall {}; enter it as two joists, the first ending at wall {0}, the \
         second starting at wall {1}",
        wall_at(out),
        wall_at(back)
    ))
}

fn on_wall(input: &Input, joist: &str, place: &OnWall, points: &[Point]) -> Result<Point, SurveyError> {
    let n = points.len();
    let (Some(&from), Some(&to)) = (points.get(place.wall), points.get((place.wall + 1) % n)) else {
        return Err(SurveyError::Joist(format!(
            "joist {joist} is tied to a wall that is not in the room; check it"
        )));
    };
    let wall = Segment { from, to };
    let length = wall.length_mm();
    let running = if place.from_second_corner { length - place.running_mm } else { place.running_mm };
    if !running.is_finite() || running < -PAST_WALL_MM || running > length + PAST_WALL_MM || place.wall >= n {
        return Err(SurveyError::Joist(format!(
            "joist {joist} is at {} along wall {}, which is {} long; check the wall and the corner it was taken from",
            with_unit(place.running_mm, 0, "mm"),
            input.line_name(place.wall, (place.wall + 1) % n),
            with_unit(length, 0, "mm")
        )));
    }
    Ok(wall.point_at(running.clamp(0.0, length)))
}

/// Heights above the floor at evenly spread shares of the length; one reading stands for the middle.
fn heights(input: &Input, joist: &JoistReading, up_mm: &[f64]) -> Result<Vec<(f64, f64)>, SurveyError> {
    up_mm
        .iter()
        .enumerate()
        .map(|(at, up)| {
            let height = input.laser_above_floor_mm + up;
            if !up.is_finite() || !(0.0..=20_000.0).contains(&height) {
                return Err(SurveyError::Joist(format!(
                    "level reading {} of joist {} puts its underside {} above the floor; check it",
                    at + 1,
                    joist.name,
                    with_unit(height, 0, "mm")
                )));
            }
            let share = if up_mm.len() == 1 { 0.5 } else { at as f64 / (up_mm.len() - 1) as f64 };
            Ok((share, height))
        })
        .collect()
}

fn ends(along: &[(f64, f64)]) -> Option<(f64, f64)> {
    Some((along.first()?.1, along.last()?.1))
}

/// Largest depth below the straight line from end to end; when all lies above it, the largest height, minus.
fn sag_mm(along: &[(f64, f64)]) -> Option<f64> {
    let (first, last) = ends(along)?;
    along
        .get(1..along.len().checked_sub(1)?)?
        .iter()
        .map(|(share, height)| first + (last - first) * share - height)
        .fold(None, |worst: Option<f64>, dip| match worst {
            Some(w) if w.abs() >= dip.abs() => Some(w),
            _ => Some(dip),
        })
}
