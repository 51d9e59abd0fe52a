//! Screws along each bar: as many as the widest gap asks for, from edge distance to edge distance.

/// Screws along a stretch of bar under one board: number = ceil(span / widest gap) + 1, where the span is the stretch
/// less the edge distance at both ends.
///
/// A stretch too short for two gets one; a stretch shorter than one edge distance gets none. Spacing of NBS K10/590
/// (2014): 230 mm in the field, 150 mm at board ends and the perimeter. All lengths in mm.
pub fn screws_along(stretch_mm: f64, edge_mm: f64, widest_gap_mm: f64) -> usize {
    if !(stretch_mm.is_finite() && widest_gap_mm > 0.0) || stretch_mm <= edge_mm {
        return 0;
    }
    let span = stretch_mm - 2.0 * edge_mm;
    if span <= edge_mm {
        return 1;
    }
    (span / widest_gap_mm - 1e-9).ceil().max(1.0) as usize + 1
}
