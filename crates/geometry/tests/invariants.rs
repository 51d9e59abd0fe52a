//! What must hold for any shape: areas add up, insets shrink, movements keep what they must.

use std::f64::consts::TAU;

use geometry::{Point, Polygon, union_of};
use proptest::prelude::*;

/// A ring round a centre at irregular radii: it never crosses itself.
fn shape() -> impl Strategy<Value = Polygon> {
    (prop::collection::vec((0.2..1.0f64, 300.0..4000.0f64), 3..14), -2000.0..2000.0f64, -2000.0..2000.0f64)
        .prop_filter_map("too flat", |(steps, x, y)| {
            let total: f64 = steps.iter().map(|(step, _)| step).sum();
            let mut angle = 0.0;
            let ring: Vec<Point> = steps
                .iter()
                .map(|(step, radius)| {
                    angle += step / total * TAU;
                    Point::new(x, y) + Point::from_angle(angle, *radius)
                })
                .collect();
            Polygon::new(&ring).ok()
        })
}

fn total_mm2(parts: &[Polygon]) -> f64 {
    parts.iter().map(Polygon::area_mm2).sum()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_shared_and_what_is_not_make_the_whole(a in shape(), b in shape()) {
        let slack = 0.0005 * (a.perimeter_mm() + b.perimeter_mm());
        let (shared, rest) = (total_mm2(&a.intersection(&b)), total_mm2(&a.difference(&b)));
        prop_assert!((a.area_mm2() - shared - rest).abs() <= slack);
        let union = total_mm2(&a.union(&b));
        prop_assert!((union - a.area_mm2() - b.area_mm2() + shared).abs() <= slack);
        let other_way = total_mm2(&b.intersection(&a));
        prop_assert!((shared - other_way).abs() <= slack);
    }

    #[test]
    fn parts_of_a_difference_do_not_overlap(a in shape(), b in shape()) {
        let parts = a.difference(&b);
        prop_assert!((total_mm2(&union_of(&parts)) - total_mm2(&parts)).abs() <= 0.001 * a.perimeter_mm());
        for part in &parts {
            prop_assert!(total_mm2(&part.intersection(&b)) <= 0.001 * (part.perimeter_mm() + b.perimeter_mm()));
        }
    }

    #[test]
    fn a_wider_gap_leaves_less_and_keeps_its_distance(a in shape(), gap in 1.0..300.0f64, more in 1.0..200.0f64) {
        let (inner, innermost) = (a.inset(gap), a.inset(gap + more));
        prop_assert!(total_mm2(&inner) < a.area_mm2());
        prop_assert!(total_mm2(&innermost) <= total_mm2(&inner));
        for part in &inner {
            for &corner in part.corners() {
                prop_assert!(a.contains(corner));
                prop_assert!(a.distance_to_boundary_mm(corner) >= gap - 1e-4);
            }
        }
    }

    #[test]
    fn the_same_gap_at_each_side_is_one_gap(a in shape(), gap in 1.0..200.0f64) {
        let each = a.inset_each(&vec![gap; a.corners().len()]);
        prop_assert_eq!(each, a.inset(gap));
    }

    #[test]
    fn each_side_keeps_its_own_gap(a in shape(), gaps in prop::collection::vec(0.0..150.0f64, 14)) {
        for part in a.inset_each(&gaps) {
            for &corner in part.corners() {
                for (side, gap) in a.edges().zip(&gaps) {
                    // Square off the side; past its ends the neighbour's gap rules.
                    let square_on = (1e-3..=side.length_mm() - 1e-3).contains(&side.running_mm(corner));
                    let left_mm = side.left_of_mm(corner);
 prop_assert!(!square_on || left_mm < 0.0 || left_mm >= gap - 1e-4);
                }
            }
        }
    }

    #[test]
    fn movements_keep_area_and_undo_each_other(a in shape(), turn in 0.0..TAU, x in -500.0..500.0f64) {
        let about = Point::new(x, 120.0);
        let moved = a.rotate(turn, about).mirror(about, Point::new(1.0, x)).translate(Point::new(x, -x));
        prop_assert!((moved.area_mm2() - a.area_mm2()).abs() < 1e-5);
        let movement = geometry::Movement::rotation(turn, about)
            .then(geometry::Movement::reflection(about, Point::new(1.0, x)))
            .then(geometry::Movement::translation(Point::new(x, -x)));
        for &corner in a.corners() {
            let back = movement.inverse().apply(movement.apply(corner));
            prop_assert!(back.distance_mm(corner) < 1e-8);
        }
    }

    #[test]
    fn a_chord_is_inside_and_outside_in_turn(a in shape(), from in -6000.0..6000.0f64, to in -6000.0..6000.0f64) {
        let (start, end) = (Point::new(from, -7000.0), Point::new(to, 7000.0));
        let chords = a.clip_line(start, end);
        for (one, other) in &chords {
            prop_assert!(a.contains(one.toward(*other, 0.5)));
        }
        for pair in chords.windows(2) {
            prop_assert!(!a.contains(pair[0].1.toward(pair[1].0, 0.5)));
        }
    }

    #[test]
    fn both_windings_give_one_polygon(a in shape()) {
        let mut ring = a.corners().to_vec();
        ring.reverse();
        ring.rotate_right(1);
        prop_assert_eq!(Polygon::new(&ring).unwrap(), a);
    }

    #[test]
    fn no_ring_makes_it_panic(ring in prop::collection::vec((-10.0..10.0f64, prop::num::f64::ANY), 0..8)) {
        let points: Vec<Point> = ring.iter().map(|(x, y)| Point::new(x.round(), *y)).collect();
        if let Ok(polygon) = Polygon::new(&points) {
            prop_assert!(polygon.area_mm2() > 0.0);
        }
        let small: Vec<Point> = ring.iter().map(|(x, _)| Point::new(x.round(), (x * 7.0).round() % 5.0)).collect();
        if let Ok(polygon) = Polygon::new(&small) {
            prop_assert!(polygon.area_mm2() > 0.0);
            let _ = polygon.inset(0.5);
        }
    }
}
