//! What boards that are up hold: the bars they are screwed to, and the boards of the layers before them.

use geometry::Polygon;

use crate::layout::{Layout, Piece};
use crate::{Point, ring};

/// Boards of two layers that overlap by less than this are not screwed through each other \[mm²\].
const LEAST_OVERLAP_MM2: f64 = 1000.0;
/// Step along a bar in search of a board over it \[mm\].
const STEP_MM: f64 = 20.0;
/// A board over less of a bar than this only touches it \[mm\].
const LEAST_OVER_MM: f64 = 60.0;

/// Pieces of earlier layers under pieces that are up, by layer and place: they must be up, too.
pub(super) fn boards_behind(layout: &Layout, up: &[(usize, usize)]) -> Vec<(usize, usize)> {
    let piece = |(layer, at): (usize, usize)| layout.layers.get(layer).and_then(|l| l.pieces.get(at));
    let mut behind = Vec::new();
    for (index, layer) in layout.layers.iter().enumerate() {
        let over: Vec<Polygon> = up
            .iter()
            .filter(|(layer, _)| *layer > index)
            .filter_map(|&own| Polygon::new(&piece(own)?.outline).ok())
            .collect();
        for (at, under) in layer.pieces.iter().enumerate() {
            if up.contains(&(index, at)) {
                continue;
            }
            let Ok(shape) = Polygon::new(&under.outline) else { continue };
            let overlaps = |other: &Polygon| {
                shape.intersection(other).iter().map(Polygon::area_mm2).sum::<f64>() > LEAST_OVERLAP_MM2
            };
            if over.iter().any(overlaps) {
                behind.push((index, at));
            }
        }
    }
    behind
}

/// Numbers of the bars that boards which are up are screwed to.
pub(super) fn bars_under(layout: &Layout, boards_up: &[String], face_width_mm: f64) -> Vec<usize> {
    let over: Vec<&Piece> = pieces(layout, boards_up);
    (1..=layout.bars.len())
        .filter(|&number| over.iter().any(|piece| lies_over(layout, piece, number, face_width_mm)))
        .collect()
}

/// Names of the boards that are up over a bar.
pub(super) fn boards_over<'a>(
    layout: &'a Layout,
    boards_up: &[String],
    bar: usize,
    face_width_mm: f64,
) -> Vec<&'a str> {
    pieces(layout, boards_up)
        .into_iter()
        .filter(|piece| lies_over(layout, piece, bar, face_width_mm))
        .map(|piece| piece.name.as_str())
        .collect()
}

fn pieces<'a>(layout: &'a Layout, names: &[String]) -> Vec<&'a Piece> {
    layout.layers.iter().flat_map(|layer| &layer.pieces).filter(|piece| names.contains(&piece.name)).collect()
}

/// Whether a piece covers a stretch of the bar's face worth a screw: half the face is enough, as at a joint.
fn lies_over(layout: &Layout, piece: &Piece, bar: usize, face_width_mm: f64) -> bool {
    let Some(bar) = layout.bars.get(bar.wrapping_sub(1)) else { return false };
    let length = ring::distance(bar.from, bar.to).max(1.0);
    let along = (bar.to - bar.from) * (1.0 / length);
    let aside = Point::new(-along.y_mm, along.x_mm) * (face_width_mm / 4.0);
    let mut over_mm = 0.0;
    let mut at = STEP_MM / 2.0;
    while at < length {
        let middle = bar.from + along * at;
        if ring::contains(&piece.outline, middle + aside) || ring::contains(&piece.outline, middle - aside) {
            over_mm += STEP_MM;
            if over_mm >= LEAST_OVER_MM {
                return true;
            }
        }
        at += STEP_MM;
    }
    false
}
