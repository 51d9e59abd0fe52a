//! Corners that stand almost, but not quite, one behind the other, and joists that end just on a wall: the last digit decides nothing.

#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

#[path = "rooms/mod.rs"]
mod rooms;

use setout::{Budget, set_out};

/// A U whose three walls along the joists are out of line by micrometres to millimetres, as an adjusted survey leaves them.
fn u_room(by_mm: f64) -> setout::Ceiling {
    let ring = rooms::corners(&[
        (0.0, 0.0),
        (4994.829 - by_mm, 0.0),
        (4994.829, 4079.580),
        (3506.232, 4079.578),
        (3497.781, 1475.051),
        (2044.852, 1475.051),
        (2044.852 + by_mm, 3300.491),
        (by_mm, 4079.580),
    ]);
    let joists = (0..12_u32)
        .map(|n| {
            let x = 283.5 + 404.0 * f64::from(n);
            rooms::joist(n as usize + 1, (x, 0.0), (x, 4000.0), [2342.0, 2335.0, 2339.0])
        })
        .collect();
    rooms::ceiling(ring, joists)
}

/// All that hangs hangs on a clip: the sum of the loads is that of boards and bars, which the check works out by itself.
#[test]
fn nothing_is_lost_between_corners_that_nearly_meet() {
    for by_mm in [0.0, 1e-5, 1e-4, 3e-4, 9e-4, 1.1e-3, 2.6e-3, 1e-2, 0.3] {
        let ceiling = u_room(by_mm);
        let layout = set_out(&ceiling, &Budget::default()).unwrap();
        assert_eq!(layout.breaches, [], "{by_mm} mm out of line");
    }
}

/// Both ends of a joist are worked out on a wall, and the last digit may put them in or out of it.
#[test]
fn a_joist_from_wall_to_wall_lies_in_the_room() {
    let ring = [(0.0, 0.0), (5213.7, 0.0), (5290.3, 3911.9), (-41.3, 3803.1)];
    let on = |a: (f64, f64), b: (f64, f64), t: f64| (a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1));
    for step in 0..60 {
        let shift = f64::from(step) * 1.37e-3;
        let joists = (0..11_u32)
            .map(|n| {
                let t = 0.04 + 0.092 * f64::from(n) + shift / 4.0;
                let (from, to) = (on(ring[0], ring[1], t), on(ring[3], ring[2], t + shift / 3.0));
                rooms::joist(n as usize + 1, from, to, [2340.0; 3])
            })
            .collect();
        let ceiling = rooms::ceiling(rooms::corners(&ring), joists);
        if let Err(error) = set_out(&ceiling, &Budget { steps: 1, shifts: 0 }) {
            assert!(!error.to_string().contains("outside"), "step {step}: {error}");
        }
    }
}
