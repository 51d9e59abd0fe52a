//! A workshop of five walls with a chimney breast, floor and ceiling tapes, doubled joists out of level: readings invented,
//! as a person would hand them in.

mod rooms;

use rooms::input;
use survey::{Bow, Height, Input, JoistReading, OnWall, Tape, adjust};

fn workshop() -> Input {
    let mut room = input("ABCDE");
    room.tapes = [
        (0, 1, 5233.0, Height::Floor),
        (0, 1, 5235.0, Height::Ceiling),
        (1, 2, 3866.0, Height::Floor),
        (1, 2, 3869.0, Height::Ceiling),
        (2, 3, 4232.0, Height::Ceiling),
        (3, 4, 1415.0, Height::Ceiling),
        (4, 0, 3001.0, Height::Floor),
        (4, 0, 3003.0, Height::Ceiling),
        (0, 2, 6546.0, Height::Ceiling),
        (1, 3, 5743.0, Height::Ceiling),
        (1, 4, 6060.0, Height::Ceiling),
        (0, 3, 4064.0, Height::Ceiling),
        (2, 4, 5374.0, Height::Ceiling),
    ]
    .map(|(from, to, reading_mm, height)| Tape { from, to, reading_mm, height, sd_mm: None })
    .to_vec();
    room.bows = vec![Bow { wall: 2, gap_mm: 6.0 }, Bow { wall: 1, gap_mm: -4.0 }];
    room.joists = [
        ("J1", 205.0, 3, 1114.0, [1138.0, 1133.0, 1146.0]),
        ("J2", 658.0, 3, 517.0, [1145.0, 1135.0, 1142.0]),
        ("J3", 1101.0, 2, 4175.0, [1138.0, 1143.0, 1141.0]),
        ("J4", 1563.0, 2, 3709.0, [1145.0, 1143.0, 1148.0]),
        ("J5", 2008.0, 2, 3277.0, [1144.0, 1150.0, 1156.0]),
        ("J6", 2472.0, 2, 2813.0, [1148.0, 1143.0, 1156.0]),
        ("J7", 2921.0, 2, 2346.0, [1148.0, 1145.0, 1151.0]),
        ("J8", 3379.0, 2, 1897.0, [1146.0, 1137.0, 1158.0]),
        ("J9", 3816.0, 2, 1469.0, [1153.0, 1145.0, 1156.0]),
        ("J10", 4281.0, 2, 1004.0, [1149.0, 1145.0, 1154.0]),
        ("J11", 4726.0, 2, 559.0, [1154.0, 1153.0, 1152.0]),
        ("J12", 5086.0, 2, 202.0, [1156.0, 1155.0, 1153.0]),
    ]
    .map(|(name, from_mm, to_wall, to_mm, up)| JoistReading {
        name: name.to_owned(),
        start: OnWall { wall: 0, running_mm: from_mm, from_second_corner: false },
        end: OnWall { wall: to_wall, running_mm: to_mm, from_second_corner: false },
        width_mm: 88.0,
        depth_mm: 150.0,
        members: 2,
        up_from_laser_mm: up.to_vec(),
        other_edge_up_from_laser_mm: Vec::new(),
    })
    .to_vec();
    room
}

#[test]
fn ceiling_tapes_make_the_ring_and_floor_tapes_check_the_plumb() {
    let survey = adjust(&workshop()).unwrap();
    assert_eq!(survey.ring_at, Height::Ceiling);
    assert_eq!(survey.readings.iter().filter(|reading| reading.used).count(), 10);
    assert_eq!(survey.floor_checks.len(), 3);
    assert!((survey.floor_checks[1].lean_mm - 3.0).abs() < 1e-9);
    assert_eq!(survey.global_test.redundancy, 3);
    assert!(survey.corners.iter().all(|corner| corner.sd_mm < 4.0));
    assert_eq!(survey.wall("D-C").unwrap().bow_mm, Some(6.0));
    let sum: f64 = survey.corners.iter().map(|corner| corner.angle_deg).sum();
    assert!((sum - 540.0).abs() < 1e-9);
}

#[test]
fn a_floor_tape_stands_in_with_less_say() {
    let mut room = workshop();
    let at = room.tapes.iter().position(|t| (t.from, t.to, t.height) == (1, 2, Height::Ceiling)).unwrap();
    room.tapes.remove(at);
    let survey = adjust(&room).unwrap();
    let reading = survey.readings.iter().find(|r| (r.from, r.to) == (1, 2)).unwrap();
    assert!(reading.used && reading.height == Height::Floor);
    assert!(reading.sd_mm > 5.0);
    // Only floor tapes: the ring is the floor's, with the tape's own uncertainty.
    for tape in &mut room.tapes {
        tape.height = Height::Floor;
    }
    let survey = adjust(&room).unwrap();
    assert_eq!(survey.ring_at, Height::Floor);
    assert!(survey.readings.iter().all(|r| r.sd_mm < 4.0));
}

#[test]
fn undersides_packers_and_the_lowest_joist() {
    let survey = adjust(&workshop()).unwrap();
    let ceiling = survey.ceiling.unwrap();
    let lowest = ceiling.lowest.unwrap();
    assert_eq!(ceiling.joists[lowest.joist].name, "J1");
    assert!((lowest.above_floor_mm - 2333.0).abs() < 1e-9);
    assert!((ceiling.range_mm - 25.0).abs() < 1e-9);
    // J1 reads 1138, 1133, 1146: 9 below the line from end to end at the middle, 8 up from end to end.
    let first = &ceiling.joists[0];
    assert!((first.sag_mm.unwrap() - 9.0).abs() < 1e-9);
    assert!((first.rise_mm.unwrap() - 8.0).abs() < 1e-9);
    let quarter = first.line.from.toward(first.line.to, 0.25);
    assert!((ceiling.underside_mm(0, quarter).unwrap() - 2335.5).abs() < 1e-9);
    let beside = quarter + first.line.along().left() * 0.01;
    assert!((ceiling.underside_mm(0, beside).unwrap() - 2335.5).abs() < 1e-9);
    assert!(ceiling.underside_mm(40, quarter).is_none());
}

#[test]
fn twist_needs_both_edges() {
    let mut room = workshop();
    room.joists[3].other_edge_up_from_laser_mm = vec![1143.0, 1142.0, 1151.0];
    let ceiling = adjust(&room).unwrap().ceiling.unwrap();
    assert!((ceiling.joists[3].twist_mm.unwrap() - 5.0).abs() < 1e-9);
    assert!(ceiling.joists[2].twist_mm.is_none());
}

#[test]
fn the_lower_edge_of_a_twisted_joist_is_its_lowest_underside() {
    let mut room = workshop();
    // J1 hangs lowest of the others, 1133 above the laser line; the right edge of J4 at its middle lower still.
    room.joists[3].up_from_laser_mm = vec![1150.0, 1152.0, 1154.0];
    room.joists[3].other_edge_up_from_laser_mm = vec![1144.0, 1130.0, 1148.0];
    let laser = room.laser_above_floor_mm;
    let ceiling = adjust(&room).unwrap().ceiling.unwrap();
    let lowest = ceiling.lowest.unwrap();
    assert_eq!(lowest.joist, 3);
    assert!((lowest.above_floor_mm - (laser + 1130.0)).abs() < 1e-9);
    let joist = &ceiling.joists[3];
    // Its place: half the width, 44 mm, to the right of the middle line seen from the start.
    assert!((joist.line.left_of_mm(lowest.at) + 44.0).abs() < 1e-9);
    let quarter = joist.line.from.toward(joist.line.to, 0.25);
    // By hand: left (1150 + 1152)/2 = 1151, right (1144 + 1130)/2 = 1137, the middle 1144.
    assert!((joist.underside_mm(quarter).unwrap() - (laser + 1144.0)).abs() < 1e-9);
    assert!((joist.lower_edge_mm(quarter).unwrap() - (laser + 1137.0)).abs() < 1e-9);
}
