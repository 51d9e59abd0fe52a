//! Corners that stand almost, but not quite, one behind the other: the slices between them must lose no ceiling.

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
    let joists = (0..12)
        .map(|n| {
            let x = 283.5 + 404.0 * f64::from(n);
            rooms::joist(n + 1, (x, 0.0), (x, 4000.0), [2342.0, 2335.0, 2339.0])
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
