//! Screw counts and fixing centres against published clauses.

use setout::{Rules, screws_along};

/// NBS K10 clause 590 (2014 project specification): screws to ceilings at 230 mm, 150 mm at board ends and perimeters,
/// 10 mm from the edge. Worked by hand: one 1200 × 2400 board on bars along its width at 400 mm, both ends included,
/// has 7 screws on each of 5 field bars and 9 on each of 2 end bars: 53.
#[test]
fn nbs_k10_590_counts_53_screws_in_a_board_on_bars_at_400() {
    let field = screws_along(1200.0, 10.0, 230.0);
    let end = screws_along(1200.0, 10.0, 150.0);
    assert_eq!((field, end), (7, 9));
    assert_eq!(5 * field + 2 * end, 53);
}

/// NBS K10 clause 590: the default centres and edge distance are the published ones.
#[test]
fn nbs_k10_590_centres_are_the_default() {
    let rules = Rules::default();
    assert!((rules.screw_gap_mm - 230.0).abs() < 1e-9);
    assert!((rules.screw_gap_edge_mm - 150.0).abs() < 1e-9);
    assert!(rules.screw_edge_mm >= 10.0);
}

/// Rule number = ceil(span / widest gap) + 1: no gap over the limit, and one screw fewer would make one.
#[test]
fn as_many_screws_as_the_gap_needs_and_no_more() {
    for stretch in (60..4000).step_by(7) {
        let stretch = f64::from(stretch);
        for gap in [150.0, 230.0] {
            let n = screws_along(stretch, 10.0, gap);
            let span = stretch - 20.0;
            assert!(span / (n - 1) as f64 <= gap + 1e-6, "{stretch} {gap} {n}");
            assert!(n == 2 || span / (n - 2) as f64 > gap - 1e-6, "{stretch} {gap} {n}");
        }
    }
}
