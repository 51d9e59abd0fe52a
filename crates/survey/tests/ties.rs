//! Corners tied to a string line or a wall, beside tapes: what a surveyor does in an L where no diagonal can be taped.

#![expect(clippy::unwrap_used, reason = "a failed result fails the test")]

mod rooms;

use geometry::Point;
use rooms::{Numbers, measured, room, tape};
use survey::{Height, Input, Sense, SurveyError, Tie, TieReading, adjust, wrong_sign};

fn tie(corner: usize, from: usize, to: usize, along_mm: Option<f64>, offset_mm: Option<f64>) -> Tie {
    Tie { corner, from, to, along_mm, offset_mm, height: Height::Ceiling, sd_mm: None }
}

/// Running dimension and offset of a point from a line, plus on its left.
fn truth_of(points: &[Point], corner: usize, from: usize, to: usize) -> (f64, f64) {
    let u = (points[to] - points[from]).unit().unwrap();
    let tied = points[corner] - points[from];
    (tied.dot(u), tied.dot(u.left()))
}

fn ring(corners: usize) -> Vec<(usize, usize)> {
    (0..corners).map(|at| (at, (at + 1) % corners)).collect()
}

/// The walls of a room and ties of its corners to the first wall fix every room of the six kinds, no diagonal taped.
#[test]
fn walls_and_ties_alone_fix_a_room() {
    let mut numbers = Numbers(41);
    for kind in 0..60 {
        let truth = room(kind, &mut numbers);
        let mut input = measured(&truth, &ring(truth.len()), &mut numbers);
        for corner in 2..truth.len() {
            let (along, off) = truth_of(&truth, corner, 0, 1);
            input.ties.push(tie(
                corner,
                0,
                1,
                Some(along + 5.0 * numbers.normal()),
                Some(off + 1.5 * numbers.normal()),
            ));
        }
        let survey = adjust(&input).unwrap();
        assert!(survey.global_test.passed || survey.global_test.chance > 1e-6);
        assert_eq!(
            survey.global_test.redundancy,
            truth.len() + 2 * (truth.len() - 2) - (2 * truth.len() - 3)
        );
        for wall in &survey.walls {
            let length = truth[wall.from].distance_mm(truth[wall.to]);
            assert!((wall.length_mm - length).abs() < 12.0, "{} {kind}", wall.name);
        }
        let area: f64 =
            truth.iter().zip(truth.iter().cycle().skip(1)).map(|(a, b)| a.cross(*b)).sum::<f64>() / 2.0;
        assert!((survey.area_mm2 - area).abs() < 6.0 * survey.area_sd_mm2, "{kind}");
    }
}

/// Running dimensions alone, or offsets alone, do as extra readings; a wrong one is named with what it should have been.
#[test]
fn a_wrong_offset_is_named() {
    let mut numbers = Numbers(5);
    let truth = room(2, &mut numbers);
    let mut input = measured(&truth, &ring(6), &mut numbers);
    for corner in 2..6 {
        let (along, off) = truth_of(&truth, corner, 0, 1);
        input.ties.push(tie(corner, 0, 1, Some(along), None));
        input.ties.push(tie(corner, 0, 1, None, Some(off)));
    }
    let (from, to) = (0, 3);
    for corner in [1, 2, 4, 5] {
        let (_, off) = truth_of(&truth, corner, from, to);
        input.ties.push(tie(corner, from, to, None, Some(off)));
    }
    input.tapes.push(tape(0, 2, truth[0].distance_mm(truth[2])));
    assert!(adjust(&input).unwrap().suspect.is_none());
    let right = input.ties[3].offset_mm.unwrap();
    input.ties[3].offset_mm = Some(right + 100.0);
    let survey = adjust(&input).unwrap();
    let suspect = survey.suspect.unwrap();
    assert_eq!(suspect.name, "D off A-B");
    assert!(suspect.located);
    assert!((suspect.should_be_mm - right).abs() < 12.0, "{}", suspect.should_be_mm);
    assert!(suspect.sentence.contains("the other readings make it"), "{}", suspect.sentence);
    let tied = survey.readings[suspect.reading].tied.unwrap();
    assert_eq!((tied.corner, tied.reading), (3, TieReading::Offset));
}

/// Which way round the corners are named changes the sign of the offsets, and nothing else.
#[test]
fn a_room_named_clockwise_is_the_same_room() {
    let mut numbers = Numbers(17);
    for kind in 0..12 {
        let truth = room(kind, &mut numbers);
        let mut input = measured(&truth, &ring(truth.len()), &mut numbers);
        for corner in 2..truth.len() {
            let (along, off) = truth_of(&truth, corner, 0, 1);
            input.ties.push(tie(corner, 0, 1, Some(along.round()), Some(off.round())));
        }
        let one = adjust(&input).unwrap();
        input.sense = Sense::Clockwise;
        for tie in &mut input.ties {
            tie.offset_mm = tie.offset_mm.map(|off| -off);
        }
        let other = adjust(&input).unwrap();
        assert!((one.area_mm2 - other.area_mm2).abs() < 1.0, "{kind}");
        for (a, b) in one.corners.iter().zip(&other.corners) {
            assert!((a.at.x_mm - b.at.x_mm).abs() < 1e-3 && (a.at.y_mm + b.at.y_mm).abs() < 1e-3, "{kind}");
        }
    }
}

/// A tie along the floor takes part with the plumb of the walls in its uncertainty, unless the same tie was read above.
#[test]
fn a_tie_at_the_floor_stands_in() {
    let mut numbers = Numbers(3);
    let truth = room(0, &mut numbers);
    let mut input = measured(&truth, &[(0, 1), (1, 2), (2, 3), (3, 0), (0, 2)], &mut numbers);
    let (along, off) = truth_of(&truth, 3, 0, 1);
    input.ties.push(Tie { height: Height::Floor, ..tie(3, 0, 1, Some(along), Some(off)) });
    let alone = adjust(&input).unwrap();
    let reading = alone.readings.iter().find(|r| r.name == "D off A-B").unwrap();
    assert!(reading.used && reading.sd_mm > 5.0);
    input.ties.push(tie(3, 0, 1, None, Some(off)));
    let both = adjust(&input).unwrap();
    let floor = both.readings.iter().find(|r| r.name == "D off A-B" && r.height == Height::Floor).unwrap();
    assert!(!floor.used);
    assert_eq!(both.global_test.redundancy, alone.global_test.redundancy);
}

/// A tie that cannot be one is refused with a sentence that names it.
#[test]
fn ties_that_cannot_be_are_refused() {
    let mut numbers = Numbers(3);
    let truth = room(0, &mut numbers);
    let whole = measured(&truth, &[(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)], &mut numbers);
    let refused = |tie: Tie| {
        let mut input = whole.clone();
        input.ties.push(tie);
        match adjust(&input) {
            Err(SurveyError::Reading(sentence)) => sentence,
            other => panic!("{other:?}"),
        }
    };
    assert!(refused(tie(2, 0, 0, Some(1.0), None)).contains("three different corners"));
    assert!(refused(tie(0, 0, 1, Some(1.0), None)).contains("three different corners"));
    assert!(refused(tie(9, 0, 1, Some(1.0), None)).contains("not in the room"));
    assert!(refused(tie(2, 0, 1, None, None)).contains("has no reading"));
    assert!(refused(tie(2, 0, 1, Some(f64::NAN), None)).contains("reads"));
    assert!(
        refused(Tie { sd_mm: Some(0.0), ..tie(2, 0, 1, Some(1.0), None) }).contains("standard deviation")
    );
}

/// A tie on the wrong side of its line is named with the sign that fits, in every kind of room, whichever tie it is; with walls
/// and one tie a corner nothing is to spare but the ring itself.
#[test]
fn a_tie_with_the_wrong_sign_is_named() {
    let mut numbers = Numbers(23);
    let (mut turned, mut named) = (0, 0);
    for kind in 0..6 {
        let truth = room(kind, &mut numbers);
        let mut right = measured(&truth, &ring(truth.len()), &mut numbers);
        for corner in 2..truth.len() {
            let (along, off) = truth_of(&truth, corner, 0, 1);
            right.ties.push(tie(
                corner,
                0,
                1,
                Some(along + 5.0 * numbers.normal()),
                Some(off + 1.5 * numbers.normal()),
            ));
        }
        assert_eq!(wrong_sign(&right), None, "{kind}");
        for at in 0..right.ties.len() {
            for reading in [TieReading::Along, TieReading::Offset] {
                if (at + kind) % 3 == 0 {
                    continue;
                }
                let mut input = right.clone();
                let own = &mut input.ties[at];
                let value = match reading {
                    TieReading::Along => &mut own.along_mm,
                    TieReading::Offset => &mut own.offset_mm,
                };
                let read_mm = value.unwrap();
                if read_mm.abs() < 60.0 {
                    continue;
                }
                *value = Some(-read_mm);
                turned += 1;
                let Some(found) = wrong_sign(&input) else {
                    println!(
                        "{kind}: {at} {reading:?} {read_mm:.0} not told: {:?}",
                        adjust(&input).map(|s| s.quality)
                    );
                    continue;
                };
                if found.ties == [at] && found.reading == reading {
                    named += 1;
                    assert!((found.would_be_mm - read_mm).abs() < 1e-9);
                } else {
                    println!("{kind}: {at} {reading:?} {read_mm:.0}: {}", found.sentence);
                }
                if named == 1 {
                    let refused = adjust(&input);
                    assert!(matches!(refused, Err(SurveyError::Contradiction(s)) if s == found.sentence));
                }
            }
        }
    }
    println!("{named} of {turned} named");
    assert_eq!(named, turned);
}

/// Who takes plus for the right has every offset on the wrong side: told as such.
#[test]
fn offsets_all_on_the_wrong_side_are_told() {
    let mut numbers = Numbers(29);
    for kind in 0..6 {
        let truth = room(kind, &mut numbers);
        let mut input = measured(&truth, &ring(truth.len()), &mut numbers);
        for corner in 2..truth.len() {
            let (along, off) = truth_of(&truth, corner, 0, 1);
            input.ties.push(tie(corner, 0, 1, Some(along), Some(-off)));
        }
        let found =
            wrong_sign(&input).unwrap_or_else(|| panic!("{kind}: {:?}", adjust(&input).map(|s| s.quality)));
        assert!(found.ties.len() > 1 && found.reading == TieReading::Offset, "{kind}: {found:?}");
        assert!(found.sentence.contains("with every sign turned"), "{}", found.sentence);
    }
}

/// A ring of as many walls as a room may have, its corners in and out by turns, tied to one wall.
fn forty_corners(numbers: &mut Numbers) -> Input {
    let truth: Vec<Point> = (0..40)
        .map(|at| {
            let reach = if at % 2 == 0 { 1.0 } else { 0.8 };
            let (sin, cos) = quantities::math::sin_cos(std::f64::consts::TAU * f64::from(at) / 40.0);
            Point::new(6200.0 * reach * cos + 80.0 * numbers.normal(), 4800.0 * reach * sin)
        })
        .collect();
    let mut input = measured(&truth, &ring(40), numbers);
    for corner in 2..40 {
        let (along, off) = truth_of(&truth, corner, 0, 1);
        input.ties.push(tie(
            corner,
            0,
            1,
            Some(along + 3.0 * numbers.normal()),
            Some(off + 1.5 * numbers.normal()),
        ));
    }
    input
}

/// Whether a sign is wrong or a figure is, the answer for the largest room comes before one wonders whether the program hangs.
#[test]
fn the_sign_is_found_in_a_room_of_forty_corners_soon() {
    let mut numbers = Numbers(31);
    let right = forty_corners(&mut numbers);
    assert_eq!(wrong_sign(&right), None);
    for (at, turned) in [(17, true), (30, true), (17, false)] {
        let mut input = right.clone();
        let read_mm = right.ties[at].offset_mm.unwrap();
        input.ties[at].offset_mm = Some(if turned { -read_mm } else { read_mm + 1500.0 });
        let begun = std::time::Instant::now();
        let found = wrong_sign(&input);
        let took = begun.elapsed();
        println!("{at}, turned {turned}: {took:?}");
        assert_eq!(found.map(|found| found.ties), turned.then(|| vec![at]));
        // Well under a second on a desk computer; the rest is for one that does other work meanwhile.
        assert!(took.as_secs_f64() < 4.0, "{took:?}");
    }
}
