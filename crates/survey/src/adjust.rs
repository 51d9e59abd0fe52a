//! From readings to the room: the one way in.

use geometry::{Point, Polygon, Segment};
use quantities::format::{number, with_unit};
use quantities::math;

use crate::baarda_1968::{LEAST_REDUNDANCY, least_findable_mm, should_be_mm, snoop, standardised_residual};
use crate::ceiling::ceiling;
use crate::check::{check, check_ways_round};
use crate::chi_square::chance_of_at_least;
use crate::network::{Fixity, distance_row};
use crate::next_tape::{not_fixed, to_check, to_settle, to_tell_apart};
use crate::normal_equations::Square;
use crate::shape::{choose, inside_angles_deg};
use crate::sight::{Sight, called};
use crate::sights::{Taken, ring_at, taken};
use crate::wrong_sign;
use crate::{
    Corner, Ellipse, FloorCheck, GlobalTest, Height, Input, NextTape, OppositeWalls, OtherShape, Reading,
    Sense, Survey, SurveyError, Suspect, Wall,
};

/// Chance below which the readings are said not to agree.
pub const LEAST_CHANCE: f64 = 0.01;
/// A corner nearer than this to 90 or 270 degrees is meant to be square.
const MEANT_SQUARE_DEG: f64 = 20.0;
/// Two walls face each other when their directions differ from opposite by less than this.
const FACING_DEG: f64 = 15.0;
/// A corner less sure than this is not fixed, mm.
const NOT_FIXED_SD_MM: f64 = 300.0;
/// Readings that contradict each other until a corner is no surer than this make no room, mm.
const NO_ROOM_SD_MM: f64 = 1000.0;

/// Adjusts the readings to a room.
///
/// Weighted least squares on the corner coordinates, weights 1/σ². Ceiling readings make the ring; a floor reading
/// stands in where no ceiling reading of the line is there, its σ widened by [`PLUMB_SD_MM`](crate::PLUMB_SD_MM); without any ceiling
/// reading the ring is that of the floor. Distances cannot tell left from right: the sense in which the corners
/// are named decides. When the readings do not agree (chance below [`LEAST_CHANCE`]), all standard deviations of
/// the result are multiplied by σ₀. Errors are sentences that say which reading and what to do.
pub fn adjust(input: &Input) -> Result<Survey, SurveyError> {
    check(input)?;
    let ring_at = ring_at(input);
    let taken = taken(input, ring_at);
    let used: Vec<usize> = (0..taken.len()).filter(|&at| taken[at].used).collect();
    let sights: Vec<Sight> = used.iter().map(|&at| taken[at].sight).collect();
    check_ways_round(input, &sights)?;

    let n = input.corners.len();
    let chosen = choose(n, &sights, input.sense);
    if let Some(found) = wrong_sign::find(input, chosen.as_ref(), &sights) {
        return Err(SurveyError::Contradiction(found.sentence));
    }
    let Some(chosen) = chosen else {
        return Err(SurveyError::Contradiction(
            "no shape fits these tapes; check the largest of them against the walls".to_owned(),
        ));
    };
    let points = chosen.best.points;
    let fixity = match Fixity::of(&points, &sights) {
        Some(fixity) if sights.len() >= 2 * n - 3 => fixity,
        _ => return Err(not_fixed(input, &points, &sights)),
    };
    let whole = fixity.against_the_whole(&points);
    if (0..n).any(|at| ellipse(&whole, at, 1.0).major_mm > NOT_FIXED_SD_MM) {
        return Err(not_fixed(input, &points, &sights));
    }
    let polygon = match Polygon::new(&points) {
        Ok(polygon) if !chosen.crosses => polygon,
        _ => return Err(crossing(input, &points, &sights, &fixity)),
    };

    let test = global_test(&points, &sights, chosen.best.sum_of_squares, n);
    let scale = if test.passed { 1.0 } else { test.sigma0.max(1.0) };
    let readings = readings(&taken, &points, &used, &fixity);
    let suspect = suspect(input, &points, &sights, &used, &readings);
    if !test.passed && (0..n).any(|at| ellipse(&whole, at, scale).major_mm > NO_ROOM_SD_MM) {
        return Err(no_room(&readings, suspect.as_ref().map(|(suspect, _)| suspect)));
    }
    let other_shape = chosen.other.and_then(|other| {
        let tell_apart = to_tell_apart(input, &points, &other, &sights)?;
        Some(OtherShape { corners: other, tell_apart })
    });
    let next_tape = match (&suspect, &other_shape) {
        (Some((suspect, settle)), _) if !suspect.located => settle.clone(),
        (_, Some(other)) => Some(other.tell_apart.clone()),
        _ => to_check(input, &points, &sights),
    };
    let suspect = suspect.map(|(suspect, _)| suspect);
    let corners = corners(input, &points, &whole, scale);
    let quality = quality(&corners, &test, suspect.as_ref(), next_tape.as_ref(), &sights);
    let area_row = area_row(&points);
    let walls = walls(input, &points, &whole, scale);
    let ceiling = ceiling(input, &points, &polygon)?;
    Ok(Survey {
        opposite_walls: opposite_walls(&points, &walls, input.sense),
        corners,
        walls,
        readings,
        floor_checks: floor_checks(input),
        ring_at,
        area_mm2: polygon.area_mm2(),
        area_sd_mm2: scale * whole.between(&area_row, &area_row).max(0.0).sqrt(),
        perimeter_mm: polygon.perimeter_mm(),
        polygon,
        global_test: test,
        suspect,
        next_tape,
        other_shape,
        quality,
        ceiling,
    })
}

fn global_test(points: &[Point], sights: &[Sight], sum_of_squares: f64, corners: usize) -> GlobalTest {
    let redundancy = sights.len() - (2 * corners - 3);
    let squares: f64 = sights
        .iter()
        .map(|s| {
            let v = s.computed_mm(points) - s.reading_mm;
            v * v
        })
        .sum();
    let chance = chance_of_at_least(sum_of_squares, redundancy);
    GlobalTest {
        redundancy,
        sum_of_squares,
        sigma0: if redundancy == 0 { 0.0 } else { (sum_of_squares / redundancy as f64).sqrt() },
        rms_residual_mm: (squares / sights.len() as f64).sqrt(),
        chance,
        passed: chance >= LEAST_CHANCE,
    }
}

fn readings(taken: &[Taken], points: &[Point], used: &[usize], fixity: &Fixity) -> Vec<Reading> {
    let redundancies = fixity.redundancies();
    taken
        .iter()
        .enumerate()
        .map(|(at, taken)| {
            let place = used.iter().position(|&u| u == at);
            let Sight { from, to, what, reading_mm, sd_mm } = taken.sight;
            let adjusted_mm = taken.sight.computed_mm(points);
            let redundancy = place.map_or(0.0, |p| redundancies[p]);
            let redundancy = if redundancy > LEAST_REDUNDANCY { redundancy } else { 0.0 };
            let residual_mm = adjusted_mm - reading_mm;
            Reading {
                name: taken.name.clone(),
                from,
                to,
                tied: what.tied(),
                height: taken.height,
                reading_mm,
                sd_mm,
                used: taken.used,
                adjusted_mm,
                residual_mm,
                redundancy,
                standardised_residual: standardised_residual(residual_mm, sd_mm, redundancy),
                least_findable_mm: least_findable_mm(sd_mm, redundancy),
            }
        })
        .collect()
}

/// The reading most likely wrong with the tape that would settle it.
fn suspect(
    input: &Input,
    points: &[Point],
    sights: &[Sight],
    used: &[usize],
    readings: &[Reading],
) -> Option<(Suspect, Option<NextTape>)> {
    let standardised: Vec<Option<f64>> = used.iter().map(|&at| readings[at].standardised_residual).collect();
    let snooped = snoop(&standardised)?;
    let reading = &readings[used[snooped.sight]];
    let should_be_mm = should_be_mm(reading.reading_mm, reading.residual_mm, reading.redundancy);
    let mut suspects = vec![snooped.sight];
    suspects.extend(&snooped.rivals);
    let settle = if snooped.rivals.is_empty() { None } else { to_settle(input, points, sights, &suspects) };
    let or_else: Vec<usize> = snooped.rivals.iter().map(|&at| used[at]).collect();
    let sentence = if snooped.rivals.is_empty() {
        format!(
            "{} reads {}, but the other {} make it {}: take it again",
            reading.name,
            with_unit(reading.reading_mm, 0, "mm"),
            called(sights),
            with_unit(should_be_mm, 0, "mm")
        )
    } else {
        let names: Vec<&str> = or_else.iter().map(|&at| readings[at].name.as_str()).collect();
        let how = settle.as_ref().map_or_else(String::new, |tape| format!("; {}", tape.sentence));
        format!(
            "one {} is wrong by about {}, but it cannot be told which: {} or {}{how}",
            called(sights).trim_end_matches('s'),
            with_unit((should_be_mm - reading.reading_mm).abs(), 0, "mm"),
            reading.name,
            names.join(", "),
        )
    };
    let suspect = Suspect {
        reading: used[snooped.sight],
        name: reading.name.clone(),
        reading_mm: reading.reading_mm,
        should_be_mm,
        standardised_residual: snooped.standardised,
        located: snooped.rivals.is_empty(),
        or_else,
        sentence,
    };
    Some((suspect, settle))
}

/// Readings so far from each other that what fits them best is no room.
fn no_room(readings: &[Reading], suspect: Option<&Suspect>) -> SurveyError {
    let worst = readings
        .iter()
        .filter(|reading| reading.used)
        .max_by(|a, b| (a.residual_mm.abs() / a.sd_mm).total_cmp(&(b.residual_mm.abs() / b.sd_mm)));
    let what = match (suspect, worst) {
        (Some(suspect), _) => format!("; {}", suspect.sentence),
        (None, Some(reading)) => format!(
            "; {} is off most: it reads {}, the others would have it {}",
            reading.name,
            with_unit(reading.reading_mm, 0, "mm"),
            with_unit(reading.adjusted_mm, 0, "mm")
        ),
        (None, None) => String::new(),
    };
    SurveyError::Contradiction(format!(
        "these readings contradict each other so far that no room fits them: corners would be known to metres only{what}"
    ))
}

fn corners(input: &Input, points: &[Point], whole: &Square, scale: f64) -> Vec<Corner> {
    let angles = inside_angles_deg(points, input.sense);
    let n = points.len();
    (0..n)
        .map(|at| {
            let ellipse = ellipse(whole, at, scale);
            let row = angle_row(points, at);
            let out_of_square_deg = [90.0, 270.0]
                .iter()
                .map(|square| angles[at] - square)
                .find(|off: &f64| off.abs() <= MEANT_SQUARE_DEG);
            Corner {
                name: input.corners[at].clone(),
                at: points[at],
                sd_mm: ellipse.major_mm,
                ellipse,
                angle_deg: angles[at],
                angle_sd_deg: scale * whole.between(&row, &row).max(0.0).sqrt() * 180.0 / math::PI,
                out_of_square_deg,
                out_of_square_mm_per_m: out_of_square_deg
                    .map(|off| 1000.0 * math::tan(off * math::PI / 180.0)),
            }
        })
        .collect()
}

/// Half axes are the roots of the eigenvalues of the corner's 2 × 2 covariance.
fn ellipse(whole: &Square, corner: usize, scale: f64) -> Ellipse {
    let (x, y) = (2 * corner, 2 * corner + 1);
    let (xx, xy, yy) = (whole.at(x, x), whole.at(x, y), whole.at(y, y));
    let middle = f64::midpoint(xx, yy);
    let spread = ((xx - yy) * (xx - yy) / 4.0 + xy * xy).sqrt();
    let turn = 0.5 * math::atan2(2.0 * xy, xx - yy) * 180.0 / math::PI;
    Ellipse {
        major_mm: scale * (middle + spread).max(0.0).sqrt(),
        minor_mm: scale * (middle - spread).max(0.0).sqrt(),
        direction_deg: if turn < 0.0 { turn + 180.0 } else { turn },
    }
}

fn walls(input: &Input, points: &[Point], whole: &Square, scale: f64) -> Vec<Wall> {
    let n = points.len();
    (0..n)
        .map(|from| {
            let to = (from + 1) % n;
            let along = points[to] - points[from];
            let row = distance_row(points, from, to);
            let mut offset = vec![0.0; 2 * n];
            if let Some(u) = along.unit() {
                for corner in [from, to] {
                    offset[2 * corner] = u.left().x_mm / 2.0;
                    offset[2 * corner + 1] = u.left().y_mm / 2.0;
                }
            }
            let end_offset_sd_mm = [from, to].map(|corner| {
                let mut end = vec![0.0; 2 * n];
                if let Some(u) = along.unit() {
                    end[2 * corner] = u.left().x_mm;
                    end[2 * corner + 1] = u.left().y_mm;
                }
                scale * whole.between(&end, &end).max(0.0).sqrt()
            });
            let direction = along.angle_rad() * 180.0 / math::PI;
            Wall {
                name: input.line_name(from, to),
                from,
                to,
                length_mm: along.length_mm(),
                sd_mm: scale * whole.between(&row, &row).max(0.0).sqrt(),
                offset_sd_mm: scale * whole.between(&offset, &offset).max(0.0).sqrt(),
                end_offset_sd_mm,
                direction_deg: if direction < 0.0 { direction + 360.0 } else { direction },
                bow_mm: input.bows.iter().filter(|bow| bow.wall == from).map(|bow| bow.gap_mm).fold(
                    None,
                    |worst: Option<f64>, gap| match worst {
                        Some(w) if w.abs() >= gap.abs() => Some(w),
                        _ => Some(gap),
                    },
                ),
            }
        })
        .collect()
}

/// Pairs of walls of about opposite direction that overlap when seen square to the first, the room between them.
fn opposite_walls(points: &[Point], walls: &[Wall], sense: Sense) -> Vec<OppositeWalls> {
    let line = |wall: &Wall| Segment { from: points[wall.from], to: points[wall.to] };
    let inward = |wall: &Wall, point: Point| match sense {
        Sense::Anticlockwise => line(wall).left_of_mm(point),
        Sense::Clockwise => -line(wall).left_of_mm(point),
    };
    let mut pairs = Vec::new();
    for (first, one) in walls.iter().enumerate() {
        for (second, other) in walls.iter().enumerate().skip(first + 1) {
            let turn = (other.direction_deg - one.direction_deg).abs() - 180.0;
            let (a, b) = (line(one).running_mm(points[other.from]), line(one).running_mm(points[other.to]));
            let overlap = a.max(b).min(one.length_mm) - a.min(b).max(0.0);
            let faces = turn.abs() < FACING_DEG
                && overlap > one.length_mm.min(other.length_mm) / 2.0
                && inward(one, line(other).middle()) > 0.0;
            if faces {
                pairs.push(OppositeWalls {
                    first,
                    second,
                    difference_mm: one.length_mm - other.length_mm,
                    apart_at_first_corner_mm: inward(other, points[one.from]),
                    apart_at_second_corner_mm: inward(other, points[one.to]),
                });
            }
        }
    }
    pairs
}

fn floor_checks(input: &Input) -> Vec<FloorCheck> {
    let mut checks = Vec::new();
    for floor in input.tapes.iter().filter(|t| t.height == Height::Floor) {
        for ceiling in input.tapes.iter().filter(|t| t.height == Height::Ceiling) {
            let same = (floor.from == ceiling.from && floor.to == ceiling.to)
                || (floor.from == ceiling.to && floor.to == ceiling.from);
            if same {
                checks.push(FloorCheck {
                    name: input.line_name(ceiling.from, ceiling.to),
                    floor_mm: floor.reading_mm,
                    ceiling_mm: ceiling.reading_mm,
                    lean_mm: ceiling.reading_mm - floor.reading_mm,
                });
            }
        }
    }
    checks
}

/// How the area changes with all coordinates.
fn area_row(points: &[Point]) -> Vec<f64> {
    let n = points.len();
    (0..n)
        .flat_map(|at| {
            let across = (points[(at + 1) % n] - points[(at + n - 1) % n]) * 0.5;
            [across.y_mm, -across.x_mm]
        })
        .collect()
}

/// How the angle at a corner changes with all coordinates, radians per mm.
fn angle_row(points: &[Point], at: usize) -> Vec<f64> {
    let n = points.len();
    let mut row = vec![0.0; 2 * n];
    for (end, sign) in [((at + 1) % n, -1.0), ((at + n - 1) % n, 1.0)] {
        let step = points[end] - points[at];
        let squared = step.dot(step);
        if squared > 0.0 {
            let turn = step.left() * (sign / squared);
            row[2 * end] += turn.x_mm;
            row[2 * end + 1] += turn.y_mm;
            row[2 * at] -= turn.x_mm;
            row[2 * at + 1] -= turn.y_mm;
        }
    }
    row
}

fn crossing(input: &Input, points: &[Point], sights: &[Sight], fixity: &Fixity) -> SurveyError {
    let standardised: Vec<Option<f64>> = sights
        .iter()
        .zip(fixity.redundancies())
        .map(|(s, r)| standardised_residual(s.computed_mm(points) - s.reading_mm, s.sd_mm, r))
        .collect();
    let first = snoop(&standardised).map_or_else(String::new, |snooped| {
        let s = sights[snooped.sight];
        format!(", {} first", s.name(input))
    });
    SurveyError::Contradiction(format!(
        "these tapes make a room whose walls cross each other; check that the corners are named in order round the room, \
         then take the tapes again{first}"
    ))
}

fn quality(
    corners: &[Corner],
    test: &GlobalTest,
    suspect: Option<&Suspect>,
    next: Option<&NextTape>,
    sights: &[Sight],
) -> String {
    let (readings, called) = (sights.len(), called(sights));
    let least_sure = corners.iter().fold(None, |worst: Option<&Corner>, corner| match worst {
        Some(w) if w.sd_mm >= corner.sd_mm => Some(w),
        _ => Some(corner),
    });
    let sure = least_sure.map_or_else(String::new, |corner| {
        format!(
            "the least sure corner, {}, is known to ±{} (95\u{A0}%)",
            corner.name,
            with_unit(2.0 * corner.sd_mm, 1, "mm")
        )
    });
    let mut sentences = Vec::new();
    if test.redundancy == 0 {
        sentences.push(format!(
            "{readings} {called} fix the room and none is to spare: nothing would show a wrong reading. If all are right, {sure}."
        ));
    } else {
        let agree =
            if test.passed { "agree as well as tapes do" } else { "do not agree as well as tapes should" };
        sentences.push(format!(
            "{readings} {called}, {} to spare, {agree} (they scatter {} times as much as expected); {sure}.",
            test.redundancy,
            number(test.sigma0, 1)
        ));
    }
    if let Some(suspect) = suspect {
        sentences.push(sentence(&suspect.sentence));
    } else if let Some(next) = next {
        sentences.push(sentence(&next.sentence));
    }
    sentences.join(" ")
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}
