//! Ties with the wrong sign: a corner read on the wrong side of its line, which no room fits or only one that folds over itself.

use geometry::{Point, Polygon};
use quantities::format::with_unit;

use crate::adjust::LEAST_CHANCE;
use crate::baarda_1968::TOLD_APART;
use crate::check::{check, check_ways_round};
use crate::chi_square::chance_of_at_least;
use crate::network::{Effort, refine_with};
use crate::shape::{Chosen, choose, turn_to_sense};
use crate::sight::{Sight, What};
use crate::sights::{ring_at, taken};
use crate::start_shape::{Order, candidates, placed};
use crate::{Input, Tie, TieReading};

/// Chance of the readings' scatter below which they are taken to contradict each other past any error of reading (judgement).
const CONTRADICTS_CHANCE: f64 = 1e-6;
/// Weighted sum of squares that readings with none to spare may keep when they do not contradict each other: a fit of as many
/// readings as unknowns leaves nothing but rounding (judgement).
const NONE_TO_SPARE: f64 = 1e-3;
/// The same above which they do: a whole standard deviation of one reading (judgement).
const NONE_TO_SPARE_CONTRADICTS: f64 = 1.0;
/// A sign matters where the reading is this many times its own standard deviation (judgement).
const SIGN_MATTERS: f64 = 5.0;
/// Starting shapes tried for a sign turned, beside the shape found without: with the right sign the first does, as nothing is wrong any more
/// (judgement, held by the tests).
const STARTS: usize = 2;
/// Signs that may explain it, best first, which are looked at with every starting shape (judgement: more fit a room with next to nothing
/// to spare, and there no sign can be told from another).
const MOST_LOOKED_AT: usize = 8;
/// The sum of squares of a shape refined roughly may be this many times what readings that agree leave (judgement).
const ROUGHLY: f64 = 4.0;

/// A tie whose sign is wrong.
#[derive(Clone, Debug, PartialEq)]
pub struct WrongSign {
    /// The tie, by its place in the input; with several, the offsets of all of them are on the wrong side.
    pub ties: Vec<usize>,
    /// Which of its dimensions.
    pub reading: TieReading,
    /// What it should read \[mm\]; of the first, where there are several.
    pub would_be_mm: f64,
    /// The sentence for the person: which reading, what is wrong with it and the sign that fits.
    pub sentence: String,
}

/// The tie that turns readings which contradict each other into a sound room when its sign is turned; `None` where the readings
/// do not contradict each other, or no one sign explains it.
///
/// Every dimension of every tie is turned by itself, then all offsets together (the corners named the other way round); the
/// turned readings must pass the global test with sides that do not cross. Signs that explain it equally well are named
/// together.
pub fn wrong_sign(input: &Input) -> Option<WrongSign> {
    if input.ties.is_empty() || check(input).is_err() {
        return None;
    }
    let sights = used(input);
    check_ways_round(input, &sights).ok()?;
    find(input, choose(input.corners.len(), &sights, input.sense).as_ref(), &sights)
}

/// As [`wrong_sign`], the shape chosen being known.
pub(crate) fn find(input: &Input, chosen: Option<&Chosen>, sights: &[Sight]) -> Option<WrongSign> {
    let ties = sights.iter().any(|sight| sight.what != What::Distance);
    if !ties || !chosen.is_none_or(|chosen| contradicts(input, chosen, sights)) {
        return None;
    }
    let order = Order::of(input.corners.len(), sights);
    let mut found: Vec<(f64, usize, TieReading)> = Vec::new();
    for (at, tie) in input.ties.iter().enumerate() {
        for reading in [TieReading::Along, TieReading::Offset] {
            if matters(input, tie, reading)
                && let Some(other) = turned(input, at, reading)
                && let Some(sum) = sum_nearby(&other, order.as_ref(), chosen)
            {
                found.push((sum, at, reading));
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found.truncate(MOST_LOOKED_AT);
    let mut found: Vec<(f64, usize, TieReading)> = found
        .into_iter()
        .filter_map(|(_, at, reading)| Some((sound_sum(&turned(input, at, reading)?)?, at, reading)))
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    if let Some(&(least, tie, reading)) = found.first() {
        let as_well = found.iter().skip(1).take_while(|(sum, _, _)| sum - least < TOLD_APART);
        let or_else: Vec<String> = as_well.map(|(_, at, reading)| name(input, *at, *reading)).collect();
        return Some(one(input, tie, reading, &or_else));
    }
    all_offsets(input)
}

fn used(input: &Input) -> Vec<Sight> {
    taken(input, ring_at(input)).iter().filter(|t| t.used).map(|t| t.sight).collect()
}

fn redundancy(input: &Input, sights: &[Sight]) -> usize {
    (sights.len() + 3).saturating_sub(2 * input.corners.len())
}

fn contradicts(input: &Input, chosen: &Chosen, sights: &[Sight]) -> bool {
    let sum = chosen.best.sum_of_squares;
    chosen.crosses
        || match redundancy(input, sights) {
            0 => sum > NONE_TO_SPARE_CONTRADICTS,
            spare => chance_of_at_least(sum, spare) < CONTRADICTS_CHANCE,
        }
}

/// Whether a weighted sum of squares is that of readings that agree.
fn agrees(sum: f64, spare: usize) -> bool {
    if spare == 0 { sum < NONE_TO_SPARE } else { chance_of_at_least(sum, spare) >= LEAST_CHANCE }
}

/// Weighted sum of squares of readings that agree on a room whose sides do not cross.
fn sound_sum(input: &Input) -> Option<f64> {
    let sights = used(input);
    let chosen = choose(input.corners.len(), &sights, input.sense)?;
    let sum = chosen.best.sum_of_squares;
    (agrees(sum, redundancy(input, &sights)) && !chosen.crosses).then_some(sum)
}

/// As [`sound_sum`], from a few starting shapes only, to see which signs may explain it: there is one search for every reading of every
/// tie, and with the sign that is right the first start leads to the room.
fn sum_nearby(input: &Input, order: Option<&Order>, chosen: Option<&Chosen>) -> Option<f64> {
    let sights = used(input);
    let spare = redundancy(input, &sights);
    let placed =
        order.map_or_else(|| candidates(input.corners.len(), &sights), |order| placed(order, &sights));
    let starts =
        chosen.map(|chosen| chosen.best.points.clone()).into_iter().chain(placed.into_iter().take(STARTS));
    let refined = |effort: Effort, start: &[Point]| {
        let mut shape = refine_with(effort, start, &sights);
        let found = shape.points.clone();
        turn_to_sense(&mut shape.points, input.sense);
        // A shape turned over fits its ties anew.
        if shape.points == found { shape } else { refine_with(effort, &shape.points, &sights) }
    };
    let sums = starts.filter_map(|start| {
        let rough = refined(Effort::ROUGH, &start);
        let near = rough.points.iter().all(|p| p.is_finite())
            && (spare == 0 || agrees(rough.sum_of_squares / ROUGHLY, spare));
        let shape = near.then(|| refined(Effort::WHOLE, &rough.points))?;
        (agrees(shape.sum_of_squares, spare) && Polygon::new(&shape.points).is_ok())
            .then_some(shape.sum_of_squares)
    });
    sums.min_by(f64::total_cmp)
}

fn value(tie: &Tie, reading: TieReading) -> Option<f64> {
    match reading {
        TieReading::Along => tie.along_mm,
        TieReading::Offset => tie.offset_mm,
    }
}

fn turn(tie: &mut Tie, reading: TieReading) -> bool {
    let value = match reading {
        TieReading::Along => &mut tie.along_mm,
        TieReading::Offset => &mut tie.offset_mm,
    };
    *value = value.map(|mm| -mm);
    value.is_some()
}

/// The input with one sign turned.
fn turned(input: &Input, at: usize, reading: TieReading) -> Option<Input> {
    let mut other = input.clone();
    turn(other.ties.get_mut(at)?, reading).then_some(other)
}

fn matters(input: &Input, tie: &Tie, reading: TieReading) -> bool {
    value(tie, reading).is_some_and(|mm| mm.abs() > SIGN_MATTERS * input.tie_sd_of_mm(tie, reading, mm))
}

fn name(input: &Input, at: usize, reading: TieReading) -> String {
    let tie = input.ties[at];
    input.tie_name(tie.corner, tie.from, tie.to, reading)
}

fn one(input: &Input, at: usize, reading: TieReading, or_else: &[String]) -> WrongSign {
    let tie = input.ties[at];
    let read_mm = value(&tie, reading).unwrap_or(0.0);
    let corner = |at: usize| input.corners.get(at).map_or("", String::as_str);
    let (start, end) = (corner(tie.from), corner(tie.to));
    let (what, rule) = match reading {
        TieReading::Along => {
            ("running dimension", format!("plus runs from {start} towards {end}, minus behind {start}"))
        }
        TieReading::Offset => (
            "offset",
            format!("plus is on the left of a person walking from {start} to {end}, minus on the right"),
        ),
    };
    let others = if or_else.is_empty() {
        String::new()
    } else {
        format!("; so would they with the sign of {} turned instead", or_else.join(" or "))
    };
    WrongSign {
        ties: vec![at],
        reading,
        would_be_mm: -read_mm,
        sentence: format!(
            "the {what} {} reads {}, and no room fits that; with {} all readings agree{others}: {rule}",
            name(input, at, reading),
            signed(read_mm),
            signed(-read_mm),
        ),
    }
}

/// The offsets of all ties turned together, where that makes a sound room.
fn all_offsets(input: &Input) -> Option<WrongSign> {
    let ties: Vec<usize> = (0..input.ties.len()).filter(|&at| input.ties[at].offset_mm.is_some()).collect();
    let mut other = input.clone();
    for tie in &mut other.ties {
        turn(tie, TieReading::Offset);
    }
    let first = *ties.first()?;
    if ties.len() < 2 {
        return None;
    }
    sound_sum(&other)?;
    Some(WrongSign {
        would_be_mm: -input.ties[first].offset_mm?,
        ties,
        reading: TieReading::Offset,
        sentence: "the offsets of all ties are on the wrong side: no room fits them, and with every sign turned all readings agree; plus is on \
                   the left of a person walking along the line, minus on the right, or the corners are named the other way round than the \
                   file says"
            .to_owned(),
    })
}

fn signed(mm: f64) -> String {
    let sign = if mm > 0.0 { "+" } else { "" };
    format!("{sign}{}", with_unit(mm, 0, "mm"))
}
