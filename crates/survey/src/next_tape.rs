//! The one more tape that would do the most good.

use geometry::Point;

use crate::in_sight::InSight;
use crate::network::{Fixity, distance_row};
use crate::normal_equations::Square;
use crate::sight::{Sight, What};
use crate::{Height, Input, NextTape, SurveyError, Tie, TieReading};

/// Least redundancy below which a reading is as good as unchecked and one more tape is recommended.
const HARDLY_CHECKED: f64 = 0.05;
/// Correlation of residuals above which one more tape does not tell two readings apart.
const STILL_ALIKE: f64 = 0.95;
/// A free line tells two shapes apart if it differs by this much, mm.
const TELLS_APART_MM: f64 = 50.0;
/// A direction the tapes do not fix is given this standard deviation, mm, to find the tape that fixes it.
const UNFIXED_SD_MM: f64 = 1000.0;

/// The error for a shape the readings do not fix, with the tape to take first.
pub(crate) fn not_fixed(input: &Input, points: &[Point], sights: &[Sight]) -> SurveyError {
    let n = points.len();
    let first = least_known(input, points, sights);
    let missing = missing_readings(input, points, sights);
    let free = InSight::of(points).is_free(first.0, first.1);
    let mut line = input.line_name(first.0, first.1);
    if !free {
        line.push_str(
            " (where the tape cannot run free from corner to corner, tie a corner to a line with [[survey.tie]] instead)",
        );
    }
    let needed = 2 * n - 3;
    let sentence = if missing == 1 {
        format!(
            "one tape is missing to fix the shape of the room ({needed} well-placed ones are needed for {n} corners): \
                 take {line}, and one more to check"
        )
    } else {
        format!(
            "{missing} tapes are missing to fix the shape of the room ({needed} well-placed ones are needed for {n} \
                 corners): take {line} first, then the other diagonals"
        )
    };
    SurveyError::NotFixed { sentence, tape: first, missing }
}

/// How many more tapes, each placed where it tells most, until the shape is fixed.
fn missing_readings(input: &Input, points: &[Point], sights: &[Sight]) -> usize {
    let mut taken = sights.to_vec();
    let mut missing = 0;
    while Fixity::of(points, &taken).is_none() && missing < 2 * points.len() {
        let (from, to) = least_known(input, points, &taken);
        taken.push(planned(input, points, from, to));
        missing += 1;
    }
    missing
}

/// The pair of corners whose distance is least known against what a tape would give: of those not taped that see each other, and
/// only where that leaves none of all not taped.
fn least_known(input: &Input, points: &[Point], sights: &[Sight]) -> (usize, usize) {
    let loose = loosely_fixed(points, sights);
    let in_sight = InSight::of(points);
    let best_of = |free_only: bool| {
        let mut best = None;
        let mut most = f64::NEG_INFINITY;
        for (from, to) in pairs(points.len()) {
            if sights.iter().any(|s| s.joins(from, to)) || (free_only && !in_sight.is_free(from, to)) {
                continue;
            }
            let row = distance_row(points, from, to);
            let sd = planned(input, points, from, to).sd_mm;
            let gain = loose.as_ref().map_or(0.0, |q| q.between(&row, &row)) / (sd * sd);
            if gain > most * (1.0 + 1e-9) {
                (best, most) = (Some((from, to)), gain);
            }
        }
        // A line that is known already fixes nothing more.
        best.filter(|_| most > 1.0)
    };
    best_of(true).or_else(|| best_of(false)).unwrap_or((0, 1))
}

/// Covariance with every direction held loosely, so that it exists for any net.
fn loosely_fixed(points: &[Point], sights: &[Sight]) -> Option<Square> {
    let mut normal = Square::zero(2 * points.len());
    for at in 0..normal.size() {
        normal.add(at, at, 1.0 / (UNFIXED_SD_MM * UNFIXED_SD_MM));
    }
    for sight in sights {
        let row = sight.row(points);
        let weight = 1.0 / (sight.sd_mm * sight.sd_mm);
        for (i, a) in row.iter().enumerate().filter(|(_, a)| **a != 0.0) {
            for (j, b) in row.iter().enumerate().filter(|(_, b)| **b != 0.0) {
                normal.add(i, j, weight * a * b);
            }
        }
    }
    normal.inverse()
}

/// The tape that would settle which of the suspected readings is wrong: one that makes the first of them unlike
/// all the others; else the longest of them again.
pub(crate) fn to_settle(
    input: &Input,
    points: &[Point],
    sights: &[Sight],
    suspects: &[usize],
) -> Option<NextTape> {
    let (&first, rivals) = suspects.split_first()?;
    let alike_with = |planned: Sight| {
        let mut with = sights.to_vec();
        with.push(planned);
        let fixity = Fixity::of(points, &with)?;
        Some(rivals.iter().map(|&rival| fixity.residual_correlation(first, rival).abs()).fold(0.0, f64::max))
    };
    let in_sight = InSight::of(points);
    let tapes = pairs(points.len())
        .filter(|&(from, to)| in_sight.is_free(from, to))
        .map(|(from, to)| planned(input, points, from, to));
    // A tie asks for a string and a square: only where no tape would do, for a person who has ties already. Without them a
    // suspected tape taken again is less work.
    let ties = if input.ties.is_empty() { Vec::new() } else { possible_ties(input, points) };
    for candidates in [tapes.collect::<Vec<Sight>>(), ties] {
        let mut best: Option<(Sight, f64)> = None;
        for candidate in candidates {
            if sights.iter().any(|s| s.same_as(&candidate)) {
                continue;
            }
            let Some(alike) = alike_with(candidate) else { continue };
            if best.is_none_or(|(_, least)| alike < least - 1e-9) {
                best = Some((candidate, alike));
            }
        }
        if let Some((sight, alike)) = best
            && alike < STILL_ALIKE
        {
            let name = sight.name(input);
            let sentence = format!("take {name}: with it the wrong reading can be told from the others");
            return Some(next(&sight, name, false, sentence));
        }
    }
    let longest = suspects.iter().filter_map(|&at| sights.get(at)).fold(
        None,
        |most: Option<&Sight>, s| match most {
            Some(m) if m.reading_mm.abs() >= s.reading_mm.abs() => Some(m),
            _ => Some(s),
        },
    )?;
    let name = longest.name(input);
    let sentence = format!(
        "take {name} again, the longest of them: a new reading shows whether it was the wrong one; if it stays, take the \
         next longest"
    );
    Some(next(longest, name, true, sentence))
}

/// The tape that best checks what is hardly checked; `None` when every reading is checked.
pub(crate) fn to_check(input: &Input, points: &[Point], sights: &[Sight]) -> Option<NextTape> {
    let least_checked = |fixity: &Fixity| fixity.redundancies().into_iter().fold(1.0, f64::min);
    let now = Fixity::of(points, sights)?;
    if least_checked(&now) >= HARDLY_CHECKED {
        return None;
    }
    let unchecked = |fixity: &Fixity| {
        fixity.redundancies().iter().take(sights.len()).filter(|r| **r < HARDLY_CHECKED).count()
    };
    let mut best: Option<((usize, usize), usize, f64)> = None;
    let in_sight = InSight::of(points);
    for (from, to) in pairs(points.len()) {
        let taken = sights.iter().any(|s| s.joins(from, to));
        if !taken && !in_sight.is_free(from, to) {
            continue;
        }
        let mut with = sights.to_vec();
        with.push(planned(input, points, from, to));
        let Some(fixity) = Fixity::of(points, &with) else { continue };
        // A repeated tape checks only itself: count it as worse than any new line that leaves as many unchecked.
        let (left, least) = (2 * unchecked(&fixity) + usize::from(taken), least_checked(&fixity));
        if best.is_none_or(|(_, fewest, most)| left < fewest || (left == fewest && least > most + 1e-9)) {
            best = Some(((from, to), left, least));
        }
    }
    let ((from, to), _, _) = best?;
    let again = sights.iter().any(|s| s.joins(from, to));
    let name = input.line_name(from, to);
    let sentence = if again {
        format!("take {name} once more: nothing checks it yet")
    } else {
        format!("take {name}: it checks readings that nothing checks yet")
    };
    Some(NextTape { from, to, tied: None, name, again, sentence })
}

/// The line that differs most between two shapes and was not taped.
pub(crate) fn to_tell_apart(
    input: &Input,
    points: &[Point],
    other: &[Point],
    sights: &[Sight],
) -> Option<NextTape> {
    let differ = |&(from, to): &(usize, usize)| {
        (points[from].distance_mm(points[to]) - other[from].distance_mm(other[to])).abs()
    };
    // In the room it may be either shape: a tape must run free in both.
    let (here, there) = (InSight::of(points), InSight::of(other));
    let farthest = |free_only: bool| {
        let mut best: Option<(usize, usize)> = None;
        for pair in pairs(points.len()) {
            let taken = sights.iter().any(|s| s.joins(pair.0, pair.1));
            let free = here.is_free(pair.0, pair.1) && there.is_free(pair.0, pair.1);
            if !taken && (free || !free_only) && differ(&pair) > best.map_or(0.0, |most| differ(&most) + 1e-6)
            {
                best = Some(pair);
            }
        }
        best.filter(|pair| !free_only || differ(pair) >= TELLS_APART_MM)
    };
    let (from, to) = farthest(true).or_else(|| farthest(false))?;
    let name = input.line_name(from, to);
    let sentence = format!(
        "the tapes fit two shapes; {name} tells them apart: {:.0} mm in the one drawn, {:.0} mm in the other",
        points[from].distance_mm(points[to]),
        other[from].distance_mm(other[to])
    );
    Some(NextTape { from, to, tied: None, name, again: false, sentence })
}

fn next(sight: &Sight, name: String, again: bool, sentence: String) -> NextTape {
    NextTape { from: sight.from, to: sight.to, tied: sight.what.tied(), name, again, sentence }
}

/// The offset of every corner from every line between two others, with the reading it would give.
fn possible_ties(input: &Input, points: &[Point]) -> Vec<Sight> {
    let in_sight = InSight::of(points);
    pairs(points.len())
        .flat_map(|(from, to)| (0..points.len()).map(move |corner| (corner, from, to)))
        .filter(|(corner, from, to)| corner != from && corner != to)
        .filter(|&(corner, from, to)| in_sight.is_free_tie(corner, from, to))
        .map(|(corner, from, to)| {
            let reading = TieReading::Offset;
            let what = What::Tie { corner, reading };
            let mut sight = Sight { what, ..Sight::tape(from, to, 0.0, 1.0) };
            sight.reading_mm = sight.computed_mm(points);
            let tie = Tie {
                corner,
                from,
                to,
                along_mm: None,
                offset_mm: None,
                height: Height::Ceiling,
                sd_mm: None,
            };
            sight.sd_mm = input.tie_sd_of_mm(&tie, reading, sight.reading_mm);
            sight
        })
        .collect()
}

fn pairs(corners: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..corners).flat_map(move |from| (from + 1..corners).map(move |to| (from, to)))
}

/// A tape that could be taken, with the reading it would give.
fn planned(input: &Input, points: &[Point], from: usize, to: usize) -> Sight {
    let reading_mm = points[from].distance_mm(points[to]).max(10.0);
    Sight::tape(from, to, reading_mm, input.tape_sd_mm + input.tape_sd_mm_per_m * reading_mm / 1000.0)
}
