//! As-built gaps: common practice, no published source.

use setout::as_built::wide_gaps;

/// Common practice: bars fixed at gaps 545, 480, 640, 510 with a limit of 600: the third is 40 over; one more bar mends
/// the ceiling.
#[test]
fn the_third_of_four_gaps_takes_one_more_bar() {
    let found = wide_gaps(&[545.0, 480.0, 640.0, 510.0], 600.0);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].gap, found[0].over_mm, found[0].bars_to_add), (2, 40.0, 1));
}
