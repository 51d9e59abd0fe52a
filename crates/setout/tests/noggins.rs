//! What holds the ends of noggins, and marks on joists for bars that a wall does not mark.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test stops at once")]

mod rooms;

use setout::as_built::{Readings, mend};
use setout::check::{Rule, check};
use setout::{Budget, Ceiling, Point, Support, bar_ties, noggin_holds, set_out};

/// A room 3000 wide, joists square across it; a lining takes the last 105 mm, and the last joist stands behind its face.
fn behind_a_lining(lined_mm: f64) -> Ceiling {
    let walls = [(0., 0.), (3000., 0.), (3000., 2600.), (0., 2600.)];
    let face = 3000.0 - lined_mm;
    let corners = rooms::corners(&[(0., 0.), (face, 0.), (face, 2600.), (0., 2600.)]);
    let joists = [150., 550., 950., 1350., 1750., 2150., 2560., 2931.]
        .iter()
        .enumerate()
        .map(|(i, &x)| {
            let mut joist = rooms::joist(i + 1, (x, 0.0), (x, 2600.0), [2400.0, 2400.0, 2400.0]);
            joist.width_mm = 50.0;
            joist
        })
        .collect();
    let mut ceiling = rooms::ceiling(corners, joists);
    ceiling.shell = walls.map(|(x, y)| Point::new(x, y)).to_vec();
    ceiling.layers = vec![rooms::dense_plasterboard()];
    ceiling
}

#[test]
fn a_noggin_reaches_the_joist_behind_a_lining() {
    let ceiling = behind_a_lining(105.0);
    let layout = set_out(&ceiling, &Budget::default()).unwrap();
    assert_eq!(layout.breaches, []);
    let holds = noggin_holds(&ceiling, &layout);
    assert!(!holds.is_empty() && holds.len() == layout.noggins.len());
    for (noggin, hold) in layout.noggins.iter().zip(&holds) {
        // Bars run along x, from joist J7 at 2560 to J8 at 2931, both 50 wide: 2906 - 2585 = 321.
        assert_eq!(noggin.joists, [6, 7], "{noggin:?}");
        assert!((noggin.length_mm - 321.0).abs() < 0.6, "{noggin:?}");
        let [left, right] = &hold.ends;
        assert_eq!((left.joist, right.joist), (Some(6), Some(7)));
        assert!((left.from_clip_mm + right.from_clip_mm - 321.0).abs() < 1e-6);
        for end in &hold.ends {
            assert_eq!(end.from_wall.as_deref(), Some("A-B"));
            assert!((end.along_mm.unwrap() - noggin.at.y_mm).abs() < 1e-6);
        }
    }
}

#[test]
fn a_noggin_without_a_second_joist_names_its_wall() {
    let mut ceiling = behind_a_lining(0.0);
    ceiling.joists.pop();
    ceiling.shell.clear();
    let layout = set_out(&ceiling, &Budget::default()).unwrap();
    let holds = noggin_holds(&ceiling, &layout);
    assert!(!holds.is_empty());
    for (noggin, hold) in layout.noggins.iter().zip(&holds) {
        assert!((noggin.length_mm - 415.0).abs() < 0.6);
        assert_eq!((hold.ends[1].joist, hold.ends[1].at_wall.as_deref()), (None, Some("B-C")));
        assert_eq!(hold.ends[0].at_wall, None);
    }
}

/// Where no joist reaches a bay between two piers, or a sharp corner, two walls near each other hold the noggin.
#[test]
fn a_noggin_where_no_joist_reaches_hangs_between_two_walls() {
    // Of two thousand invented rooms, the one whose clip in a sharp corner has no joist on either side.
    for ceiling in [rooms::forty_walls(), rooms::any_room(1970)] {
        let layout = set_out(&ceiling, &Budget { steps: 40, shifts: 0 }).unwrap();
        assert_eq!(layout.breaches, []);
        let holds = noggin_holds(&ceiling, &layout);
        let mut between_walls = 0;
        for (noggin, hold) in layout.noggins.iter().zip(&holds).filter(|(n, _)| n.joists.is_empty()) {
            between_walls += 1;
            let walls = hold.ends.each_ref().map(|end| end.at_wall.clone().expect("a wall"));
            assert_ne!(walls[0], walls[1]);
            assert!(noggin.length_mm > 50.0 && noggin.length_mm < 1200.0, "{noggin:?}");
            assert!(
                layout.notes.iter().any(|note| note.contains(&format!("N{}", noggin.number))),
                "{:?}",
                layout.notes
            );
            let clip = layout.clips.iter().find(|clip| clip.on == Support::Noggin(noggin.number - 1));
            assert!(clip.is_some_and(|clip| clip.packer_mm.is_some()), "{clip:?}");
        }
        assert!(between_walls > 0);
    }
    // In the bay the walls are a nineteenth of the room apart.
    let layout = set_out(&rooms::forty_walls(), &Budget { steps: 40, shifts: 0 }).unwrap();
    let mut in_the_bay = layout.noggins.iter().filter(|noggin| noggin.joists.is_empty());
    assert!(in_the_bay.all(|noggin| (noggin.length_mm - 9000.0 / 19.0).abs() < 1.0));
}

#[test]
fn the_check_wants_joists_for_a_noggin_too_long_to_hang_between_walls() {
    let ceiling = behind_a_lining(105.0);
    let mut layout = set_out(&ceiling, &Budget::default()).unwrap();
    layout.noggins[0].joists.clear();
    layout.noggins[0].length_mm = 3000.0;
    let found = check(&ceiling, &layout);
    assert!(
        found.iter().any(|b| b.rule == Rule::ClipOnTimber && b.sentence.contains("reaches no joist")),
        "{found:?}"
    );
}

#[test]
fn the_check_finds_a_noggin_that_stops_short() {
    let ceiling = behind_a_lining(105.0);
    let mut layout = set_out(&ceiling, &Budget::default()).unwrap();
    layout.noggins[0].length_mm = 310.0;
    let found = check(&ceiling, &layout);
    assert!(found.iter().any(|b| b.rule == Rule::ClipOnTimber && b.sentence.contains("321 mm")), "{found:?}");
}

#[test]
fn a_joist_quite_behind_a_lining_is_no_mistake() {
    // The lining's face stands at 2850: all of J8 is behind it. It carries noggins, no clip.
    let ceiling = behind_a_lining(150.0);
    let layout = set_out(&ceiling, &Budget::default()).unwrap();
    assert_eq!(layout.breaches, []);
    assert!(layout.clips.iter().all(|clip| clip.on != Support::Joist(7)));
}

#[test]
fn every_bar_has_two_marks_that_fix_it() {
    for ceiling in [rooms::percussion_room(), rooms::ell_room(), rooms::wide_gap_room()] {
        let layout = set_out(&ceiling, &Budget::default()).unwrap();
        let ties = bar_ties(&ceiling, &layout);
        for bar in &layout.bars {
            let (from, along) = (bar.from, (bar.to - bar.from).unit().unwrap());
            let mut at: Vec<f64> = Vec::new();
            for wall in &layout.marks {
                let corner = |name: &str| ceiling.corners.iter().find(|c| c.name == name).unwrap().at;
                let (a, b) = wall.wall.split_once('-').unwrap();
                let (start, end) =
                    if a == wall.from_corner { (corner(a), corner(b)) } else { (corner(b), corner(a)) };
                let direction = (end - start).unit().unwrap();
                for mark in &wall.marks {
                    if mark.what.split(", ").any(|w| w == format!("bar {}", bar.number)) {
                        let p = start + direction * mark.at_mm;
                        assert!((p - from).cross(along).abs() < 0.1, "bar {}: {wall:?}", bar.number);
                        assert!(
                            direction.cross(along).abs() > 0.19,
                            "bar {} grazes {}",
                            bar.number,
                            wall.wall
                        );
                        at.push((p - from).dot(along));
                    }
                }
            }
            for tie in ties.iter().filter(|tie| tie.bar == bar.number) {
                let joist = &ceiling.joists[tie.joist];
                // From the wall, along the joist, to the middle of the bar: worked out from the joist's ends anew.
                let line = geometry::Segment { from: joist.from, to: joist.to };
                let p =
                    geometry::intersection_of_lines(geometry::Segment { from, to: bar.to }, line).unwrap();
                let (a, b) = tie.from_wall.split_once('-').unwrap();
                let wall = |name: &str| ceiling.corners.iter().find(|c| c.name == name).unwrap().at;
                let foot =
                    geometry::intersection_of_lines(geometry::Segment { from: wall(a), to: wall(b) }, line)
                        .unwrap();
                assert!((foot.distance_mm(p) - tie.along_mm).abs() < 0.1, "{tie:?}");
                at.push((p - from).dot(along));
            }
            let (low, high) =
                at.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(*x), h.max(*x)));
            assert!(high - low >= 300.0, "bar {} has its marks at {at:?}", bar.number);
        }
    }
}

/// Joists are listed in the order they were entered, which may be any.
#[test]
fn marks_on_joists_do_not_hang_on_the_order_of_the_joists() {
    let mut seen = 0;
    for ceiling in [rooms::percussion_room(), rooms::ell_room(), rooms::wide_gap_room()] {
        let layout = set_out(&ceiling, &Budget::default()).unwrap();
        let wanted = bar_ties(&ceiling, &layout);
        let mut shuffled = ceiling.clone();
        let n = ceiling.joists.len();
        // Backwards, then the odd ones before the even ones.
        let orders: [Vec<usize>; 2] =
            [(0..n).rev().collect(), (0..n).filter(|i| i % 2 == 1).chain((0..n).step_by(2)).collect()];
        for order in orders {
            shuffled.joists = order.iter().map(|&i| ceiling.joists[i].clone()).collect();
            let mut found = bar_ties(&shuffled, &layout);
            for tie in &mut found {
                tie.joist = order[tie.joist];
            }
            assert_eq!(found, wanted);
            seen += wanted.len();
        }
    }
    assert!(seen > 0);
}

#[test]
fn a_bar_two_millimetres_over_the_stock_is_not_lapped() {
    // 3622 mm between the walls: 3602 with the gaps at both ends, where a stock length is 3600.
    let corners = rooms::corners(&[(0., 0.), (3622., 0.), (3622., 2600.), (0., 2600.)]);
    let joists = (0..9)
        .map(|i| {
            let x = 111.0 + 425.0 * f64::from(i);
            rooms::joist(i as usize + 1, (x, 0.0), (x, 2600.0), [2400.0, 2400.0, 2400.0])
        })
        .collect();
    let ceiling = rooms::ceiling(corners, joists);
    let layout = set_out(&ceiling, &Budget::default()).unwrap();
    assert_eq!(layout.breaches, []);
    let long: Vec<_> = layout.bars.iter().filter(|bar| bar.length_mm > 3500.0).collect();
    assert!(!long.is_empty());
    for bar in long {
        assert!(bar.laps.is_empty() && bar.length_mm <= 3600.0 + 1e-6, "{bar:?}");
    }
}

/// Noggins keep their numbers in a mend wherever they stand in its list, and so do the clips on them.
#[test]
fn a_mend_numbers_no_noggin_anew() {
    let (mut shifted, mut kept) = (0, 0);
    for ceiling in [rooms::skewed_with_hatch(), rooms::percussion_room(), behind_a_lining(105.0)] {
        let plan = set_out(&ceiling, &Budget::default()).unwrap();
        for bar in 1..=plan.bars.len() {
            for off_mm in [-14.0, 14.0, 35.0] {
                let bars = rooms::off_marks(&plan, bar, off_mm);
                let mended = mend(&ceiling, &plan, &Readings { bars, ..Readings::default() }).unwrap();
                let mut numbers: Vec<usize> = mended.layout.noggins.iter().map(|one| one.number).collect();
                for (at, now) in mended.layout.noggins.iter().enumerate() {
                    let there = |one: &&setout::Noggin| one.at.distance_mm(now.at) < 0.5;
                    let Some(was) = plan.noggins.iter().find(there) else { continue };
                    assert_eq!(now.number, was.number, "bar {bar} {off_mm} mm off");
                    kept += 1;
                    shifted += usize::from(at + 1 != was.number);
                }
                numbers.sort_unstable();
                numbers.dedup();
                assert_eq!(numbers.len(), mended.layout.noggins.len(), "each number once");
            }
        }
    }
    assert!(kept > 20 && shifted > 0, "{kept} {shifted}");
}
