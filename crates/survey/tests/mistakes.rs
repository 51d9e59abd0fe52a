//! Readings that cannot be right, too few, or the wrong way round: each gives a sentence that says which and what to do.

#![expect(clippy::unwrap_used, reason = "the one thing tested is the error")]

mod rooms;

use proptest::prelude::*;
use rooms::{all_lines, input, tape};
use survey::{Bow, Input, JoistReading, OnWall, SurveyError, adjust};

fn rectangle() -> Input {
    let mut room = input("ABCD");
    room.tapes = vec![
        tape(0, 1, 4000.0),
        tape(1, 2, 3000.0),
        tape(2, 3, 4000.0),
        tape(3, 0, 3000.0),
        tape(0, 2, 5000.0),
        tape(1, 3, 5000.0),
    ];
    room
}

fn joist(running_mm: f64) -> JoistReading {
    JoistReading {
        name: "J1".to_owned(),
        start: OnWall { wall: 0, running_mm, from_second_corner: false },
        end: OnWall { wall: 2, running_mm, from_second_corner: true },
        width_mm: 44.0,
        depth_mm: 150.0,
        members: 1,
        up_from_laser_mm: vec![1140.0, 1135.0, 1138.0],
        other_edge_up_from_laser_mm: Vec::new(),
    }
}

#[track_caller]
fn says(room: &Input, words: &[&str]) {
    let sentence = adjust(room).unwrap_err().to_string();
    for word in words {
        assert!(sentence.contains(word), "{sentence:?} does not say {word:?}");
    }
}

#[test]
fn corners_must_be_three_to_forty_with_names_of_their_own() {
    says(&input("AB"), &["3 to 40", "2"]);
    let many: String = ('A'..).take(41).collect();
    says(&input(&many), &["3 to 40", "41"]);
    says(&input("ABCA"), &["two corners are called A"]);
    says(&input("AB C"), &["corner 3 has no name"]);
}

#[test]
fn readings_must_be_readings() {
    let with = |change: fn(&mut Input)| {
        let mut room = rectangle();
        change(&mut room);
        room
    };
    says(&with(|r| r.tapes[2].reading_mm = f64::NAN), &["tape C-D"]);
    says(&with(|r| r.tapes[2].reading_mm = -4000.0), &["tape C-D", "−4000"]);
    says(&with(|r| r.tapes[2].reading_mm = 4.0), &["tape C-D", "millimetres"]);
    says(&with(|r| r.tapes[2].to = 7), &["corner that is not in the room"]);
    says(&with(|r| r.tapes[2].to = 2), &["C-C", "one corner"]);
    says(&with(|r| r.tapes[2].sd_mm = Some(0.0)), &["C-D", "standard deviation"]);
    says(&with(|r| r.tape_sd_mm = -1.0), &["standard deviation"]);
    says(&with(|r| r.bows.push(Bow { wall: 9, gap_mm: 3.0 })), &["straightedge"]);
    says(&with(|r| r.bows.push(Bow { wall: 1, gap_mm: 3000.0 })), &["B-C", "3000"]);
}

#[test]
fn a_diagonal_longer_than_the_way_round_is_refused() {
    let mut room = rectangle();
    room.tapes[4].reading_mm = 7300.0;
    says(&room, &["tape A-C reads 7300", "A-B and B-C", "7000", "again"]);
}

#[test]
fn a_digit_dropped_is_named() {
    let mut room = rectangle();
    // Two diagonals more would be needed to locate it in a quadrilateral: a pentagon has them.
    room.corners.push("E".to_owned());
    room.tapes = all_lines(5)
        .into_iter()
        .map(|(from, to)| {
            let at = [(0.0, 0.0), (5000.0, 0.0), (5000.0, 3000.0), (2000.0, 4000.0), (0.0, 3000.0)];
            let (a, b): ((f64, f64), (f64, f64)) = (at[from], at[to]);
            tape(from, to, ((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1)).sqrt().round())
        })
        .collect();
    let wrong = room.tapes.iter().position(|t| (t.from, t.to) == (1, 3)).unwrap();
    room.tapes[wrong].reading_mm -= 100.0;
    let survey = adjust(&room).unwrap();
    let suspect = survey.suspect.unwrap();
    assert_eq!(suspect.name, "B-D");
    assert!(suspect.located);
    assert!((suspect.should_be_mm - 5000.0).abs() < 3.0, "{}", suspect.sentence);
    assert!(survey.quality.contains("B-D reads 4900"), "{}", survey.quality);
}

#[test]
fn walls_alone_do_not_fix_a_room() {
    let mut room = rectangle();
    room.tapes.truncate(4);
    match adjust(&room).unwrap_err() {
        SurveyError::NotFixed { sentence, tape, missing } => {
            assert_eq!(missing, 1);
            assert!(tape == (0, 2) || tape == (1, 3));
            assert!(sentence.contains("one tape is missing"), "{sentence}");
        }
        other => panic!("{other}"),
    }
    // As many tapes as are needed, but one taken twice.
    room.tapes.push(tape(0, 1, 4001.0));
    assert!(matches!(adjust(&room), Err(SurveyError::NotFixed { missing: 1, .. })));
    room.tapes.clear();
    assert!(matches!(adjust(&room), Err(SurveyError::NotFixed { missing: 5, .. })));
}

#[test]
fn the_tape_that_checks_most_is_asked_for() {
    let mut room = rectangle();
    room.tapes.pop();
    let survey = adjust(&room).unwrap();
    assert_eq!(survey.global_test.redundancy, 0);
    assert_eq!(survey.next_tape.unwrap().name, "B-D");
}

#[test]
fn a_joist_may_not_cross_a_chimney_breast() {
    let mut room = input("ABCDEFGH");
    let at =
        [(0, 0), (5000, 0), (5000, 4000), (3300, 4000), (3300, 3600), (1800, 3600), (1800, 4000), (0, 4000)]
            .map(|(x, y)| (f64::from(x), f64::from(y)));
    for (from, to) in all_lines(8) {
        let (dx, dy) = (at[from].0 - at[to].0, at[from].1 - at[to].1);
        room.tapes.push(tape(from, to, (dx * dx + dy * dy).sqrt()));
    }
    room.joists.push(joist(900.0));
    room.joists[0].end = OnWall { wall: 2, running_mm: 900.0, from_second_corner: false };
    assert!(adjust(&room).is_ok());
    room.joists[0].start = OnWall { wall: 1, running_mm: 3800.0, from_second_corner: false };
    room.joists[0].end = OnWall { wall: 7, running_mm: 200.0, from_second_corner: false };
    // Its dimensions are right: it ends at the breast and starts again behind it.
    says(&room, &["J1", "through wall D-E", "at wall F-G", "two joists"]);
}

#[test]
fn joists_must_lie_in_the_room() {
    let with = |change: fn(&mut JoistReading)| {
        let mut room = rectangle();
        room.joists.push(joist(600.0));
        change(&mut room.joists[0]);
        room
    };
    assert!(adjust(&with(|_| ())).is_ok());
    says(&with(|j| j.start.running_mm = 5200.0), &["J1", "5200", "A-B", "4000"]);
    says(&with(|j| j.start.running_mm = f64::NAN), &["J1", "A-B"]);
    says(&with(|j| j.start.wall = 8), &["J1", "not in the room"]);
    says(
        &with(|j| (j.end.wall, j.end.running_mm, j.end.from_second_corner) = (0, 900.0, false)),
        &["J1", "one wall"],
    );
    says(
        &with(|j| {
            (j.start.running_mm, j.end) =
                (4000.0, OnWall { wall: 1, running_mm: 0.0, from_second_corner: false });
        }),
        &["J1", "same place"],
    );
    says(&with(|j| j.width_mm = 0.0), &["J1", "width"]);
    says(&with(|j| j.up_from_laser_mm[1] = f64::INFINITY), &["J1", "level reading 2"]);
    says(&with(|j| j.up_from_laser_mm[1] = -1500.0), &["J1", "level reading 2", "−300"]);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any numbers at all: an answer or a sentence, never a panic, never a NaN.
    #[test]
    fn any_readings_give_a_room_or_a_sentence(
        corners in 3_usize..8,
        lines in prop::collection::vec((0_usize..9, 0_usize..9, prop_oneof![10.0..9000.0f64, prop::num::f64::ANY]), 0..25),
        sane in any::<bool>(),
    ) {
        let names: String = ('A'..='Z').take(corners).collect();
        let mut room = input(&names);
        for (from, to, reading) in lines {
            let (from, to) = if sane { (from % corners, to % corners) } else { (from, to) };
            if !sane || from != to {
                room.tapes.push(tape(from, to, if sane { 500.0 + reading.abs() % 6000.0 } else { reading }));
            }
        }
        if sane {
            room.tapes.retain(|tape| tape.reading_mm.is_finite());
        }
        match adjust(&room) {
            Ok(survey) => {
                prop_assert!(survey.area_mm2.is_finite() && survey.area_sd_mm2.is_finite());
                prop_assert!(survey.corners.iter().all(|c| c.at.is_finite() && c.sd_mm.is_finite()));
                prop_assert!(!survey.quality.is_empty());
            }
            Err(error) => prop_assert!(error.to_string().len() > 30),
        }
    }
}
