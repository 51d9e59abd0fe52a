//! What can be said of the readings before any adjustment: numbers that can be readings, corners that exist,
//! lengths that can belong to one room.

use quantities::format::with_unit;

use crate::sight::{Sight, What};
use crate::{Input, SurveyError, Tie};

/// Fewest and most corners of a room.
pub const CORNERS: std::ops::RangeInclusive<usize> = 3..=40;
/// Shortest and longest tape reading taken for one, mm.
pub const TAPE_MM: std::ops::RangeInclusive<f64> = 10.0..=100_000.0;
/// A reading may be longer than the way round over other readings by this share of itself before it is refused...
const TOLERATED_EXCESS: f64 = 0.01;
/// ... and by this much at least, mm: less is left to the adjustment, which names the reading.
const LEAST_EXCESS_MM: f64 = 60.0;

/// Checks everything but the joists.
pub(crate) fn check(input: &Input) -> Result<(), SurveyError> {
    let n = input.corners.len();
    if !CORNERS.contains(&n) {
        return Err(SurveyError::Corners(format!(
            "a room has 3 to 40 corners, and this one names {n}; name every corner once, in order round the room"
        )));
    }
    for (at, name) in input.corners.iter().enumerate() {
        if name.trim().is_empty() {
            return Err(SurveyError::Corners(format!("corner {} has no name; give it a letter", at + 1)));
        }
        if input.corners.iter().take(at).any(|other| other == name) {
            return Err(SurveyError::Corners(format!(
                "two corners are called {name}; give each its own name"
            )));
        }
    }
    let positive = |value: f64| value.is_finite() && value >= 0.0;
    if !positive(input.tape_sd_mm)
        || !positive(input.tape_sd_mm_per_m)
        || input.tape_sd_mm + input.tape_sd_mm_per_m <= 0.0
    {
        return Err(SurveyError::Reading(
            "the standard deviation of a tape reading must be more than nothing; 1.5 mm plus 0.3 mm per metre is usual \
             for a steel tape"
                .to_owned(),
        ));
    }
    for tape in &input.tapes {
        let line = input.line_name(tape.from, tape.to);
        if tape.from >= n || tape.to >= n {
            return Err(SurveyError::Reading(format!(
                "tape {line} names a corner that is not in the room; check it"
            )));
        }
        if tape.from == tape.to {
            return Err(SurveyError::Reading(format!(
                "tape {line} starts and ends at one corner; name both ends"
            )));
        }
        if !TAPE_MM.contains(&tape.reading_mm) {
            return Err(SurveyError::Reading(format!(
                "tape {line} reads {}; a tape in a room reads 10 mm to 100 m, in millimetres",
                with_unit(tape.reading_mm, 0, "mm")
            )));
        }
        if tape.sd_mm.is_some_and(|sd| !(sd.is_finite() && sd > 0.0)) {
            return Err(SurveyError::Reading(format!(
                "tape {line} has a standard deviation that is not more than nothing; leave it out or correct it"
            )));
        }
    }
    for tie in &input.ties {
        check_tie(input, tie)?;
    }
    for bow in &input.bows {
        if bow.wall >= n {
            return Err(SurveyError::Reading(
                "a straightedge reading names a wall that is not in the room; check it".to_owned(),
            ));
        }
        if !bow.gap_mm.is_finite() || bow.gap_mm.abs() > 500.0 {
            return Err(SurveyError::Reading(format!(
                "the straightedge on wall {} reads {}; a gap of up to 500 mm is taken",
                input.line_name(bow.wall, (bow.wall + 1) % n),
                with_unit(bow.gap_mm, 0, "mm")
            )));
        }
    }
    Ok(())
}

fn check_tie(input: &Input, tie: &Tie) -> Result<(), SurveyError> {
    let n = input.corners.len();
    let line = input.line_name(tie.from, tie.to);
    let corner = input.corners.get(tie.corner).map_or("a corner", String::as_str);
    let refuse = |sentence: String| Err(SurveyError::Reading(sentence));
    if tie.corner >= n || tie.from >= n || tie.to >= n {
        return refuse(format!(
            "the tie of {corner} to {line} names a corner that is not in the room; check it"
        ));
    }
    if tie.from == tie.to || tie.corner == tie.from || tie.corner == tie.to {
        return refuse(format!(
            "the tie of {corner} to {line} needs three different corners: the one tied and the two ends of the line"
        ));
    }
    if tie.along_mm.is_none() && tie.offset_mm.is_none() {
        return refuse(format!(
            "the tie of {corner} to {line} has no reading; give the running dimension, the offset or both"
        ));
    }
    for value in [tie.along_mm, tie.offset_mm].into_iter().flatten() {
        if !(value.is_finite() && value.abs() <= *TAPE_MM.end()) {
            return refuse(format!(
                "the tie of {corner} to {line} reads {}; a tie in a room reads up to 100 m, in millimetres",
                with_unit(value, 0, "mm")
            ));
        }
    }
    if tie.sd_mm.is_some_and(|sd| !(sd.is_finite() && sd > 0.0)) {
        return refuse(format!(
            "the tie of {corner} to {line} has a standard deviation that is not more than nothing; leave it out or correct it"
        ));
    }
    Ok(())
}

/// Refuses a reading that is much longer than the way between the same corners over other readings: no room allows it.
pub(crate) fn check_ways_round(input: &Input, sights: &[Sight]) -> Result<(), SurveyError> {
    let n = input.corners.len();
    let tapes: Vec<&Sight> = sights.iter().filter(|sight| sight.what == What::Distance).collect();
    for (at, sight) in tapes.iter().enumerate() {
        let others: Vec<&Sight> = tapes
            .iter()
            .enumerate()
            .filter(|(other, s)| *other != at && !s.joins(sight.from, sight.to))
            .map(|(_, s)| *s)
            .collect();
        let Some((way_mm, way)) = shortest_way(n, &others, sight.from, sight.to) else { continue };
        let excess = sight.reading_mm - way_mm;
        if excess > (TOLERATED_EXCESS * sight.reading_mm).max(LEAST_EXCESS_MM) {
            let legs: Vec<String> = way.windows(2).map(|pair| input.line_name(pair[0], pair[1])).collect();
            return Err(SurveyError::Contradiction(format!(
                "tape {} reads {}, but the way over {} is only {}: a straight line cannot be longer; take {} again",
                input.line_name(sight.from, sight.to),
                with_unit(sight.reading_mm, 0, "mm"),
                legs.join(" and "),
                with_unit(way_mm, 0, "mm"),
                std::iter::once(input.line_name(sight.from, sight.to))
                    .chain(legs)
                    .collect::<Vec<_>>()
                    .join(", "),
            )));
        }
    }
    Ok(())
}

/// Shortest way from one corner to another along the sights, and its corners.
fn shortest_way(corners: usize, sights: &[&Sight], from: usize, to: usize) -> Option<(f64, Vec<usize>)> {
    let mut reach = vec![f64::INFINITY; corners];
    let mut before = vec![None; corners];
    reach[from] = 0.0;
    for _ in 0..corners {
        for sight in sights {
            for (a, b) in [(sight.from, sight.to), (sight.to, sight.from)] {
                if reach[a] + sight.reading_mm < reach[b] {
                    reach[b] = reach[a] + sight.reading_mm;
                    before[b] = Some(a);
                }
            }
        }
    }
    let mut way = vec![to];
    while let Some(previous) = way.last().and_then(|&at| before[at]) {
        way.push(previous);
        if way.len() > corners {
            return None;
        }
    }
    way.reverse();
    (reach[to].is_finite() && way.first() == Some(&from)).then(|| (reach[to], way))
}
