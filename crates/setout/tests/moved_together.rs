//! Two fixed bars off their marks where moving either back mends nothing, and both together do.
#![allow(clippy::unwrap_used, reason = "a test stops where it fails")]

mod rooms;

use setout::as_built::{BarReading, Readings, mend};
use setout::{Budget, Layout, MarkFor, set_out};

/// Every mark of a bar, read so far off.
fn off_marks(plan: &Layout, bar: usize, off_mm: f64) -> Vec<BarReading> {
    let mut found = Vec::new();
    for wall in &plan.marks {
        for mark in wall.marks.iter().filter(|mark| mark.of == MarkFor::Bar(bar)) {
            found.push(BarReading { bar, wall: wall.wall.clone(), at_mm: mark.at_mm + off_mm });
        }
    }
    found
}

#[test]
fn bars_move_back_together_where_no_single_one_does() {
    let ceiling = rooms::skewed_with_hatch();
    let plan = set_out(&ceiling, &Budget::default()).unwrap();
    for (one, one_mm, other, other_mm) in
        [(1, 7.0, 2, -9.0), (1, 11.0, 2, -9.0), (5, 7.0, 6, -9.0), (5, 11.0, 6, -9.0)]
    {
        let mut bars = off_marks(&plan, one, one_mm);
        bars.extend(off_marks(&plan, other, other_mm));
        let readings = Readings { bars, ..Readings::default() };
        let mended = mend(&ceiling, &plan, &readings).unwrap();
        assert_eq!(mended.layout.breaches, [], "bars {one} and {other}");
        let moved: Vec<usize> = mended.move_back.iter().map(|moved| moved.bar).collect();
        assert_eq!(moved, [one, other], "{:?}", mended.move_back);
        for (left, left_mm) in [(one, one_mm), (other, other_mm)] {
            // With one of them on its marks the other alone still has to move, or need not: nothing is asked that a single one would have done.
            let alone = Readings { bars: off_marks(&plan, left, left_mm), ..Readings::default() };
            let mended = mend(&ceiling, &plan, &alone).unwrap();
            assert_eq!(mended.layout.breaches, [], "bar {left} alone");
        }
        // Moved as told they need move no more.
        let mut bars = Vec::new();
        for moved in &mended.move_back {
            match moved.sentence.split_once("move it back to ") {
                None => bars.extend(off_marks(&plan, moved.bar, 0.0)),
                Some((_, ends)) => bars.extend(ends.split(" and ").map(|end| {
                    let (at, wall) = end.split_once(" mm at wall ").unwrap();
                    BarReading { bar: moved.bar, wall: wall.to_owned(), at_mm: at.parse().unwrap() }
                })),
            }
        }
        let again = mend(&ceiling, &plan, &Readings { bars, ..Readings::default() }).unwrap();
        assert_eq!(again.layout.breaches, [], "bars {one} and {other} moved as told");
        assert!(again.move_back.is_empty(), "{:?}", again.move_back);
    }
}
