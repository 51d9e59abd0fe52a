//! What boards that are up leave open: gaps at walls other than planned, and joints.

use serde::Serialize;

use super::hung_joints::TOLD_MM;
use super::{AsBuilt, hung_joints};
use crate::Point;
use crate::layout::{EdgeMeets, Layer, Layout, Piece};
use crate::ring;
use crate::room::Room;

/// A gap or joint that is not as planned.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ToFill {
    /// The layer of boards beside it, from 1.
    pub layer: usize,
    /// What to do there, in words without a full stop.
    pub sentence: String,
}

/// Gaps at walls that boards which are up leave wider or narrower than planned, and joints they leave open: told, and no breaches.
pub(super) fn to_fill(room: &Room, plan: &Layout, built: &AsBuilt, mended: &Layout) -> Vec<ToFill> {
    let mut out = Vec::new();
    for (layer, was) in mended.layers.iter().zip(&plan.layers) {
        if !layer.pieces.iter().any(|piece| built.boards_up.contains(&piece.name)) {
            continue;
        }
        let mut put = |sentence: String| out.push(ToFill { layer: layer.number, sentence });
        let (wider, narrower) = gaps(room, was, built, layer);
        if wider >= TOLD_MM {
            put(format!(
                "layer {}: the gap at the wall is up to {wider:.0} mm wider than planned, by where boards that are up hang: fill it with sealant",
                layer.number
            ));
        }
        if narrower >= TOLD_MM {
            put(format!(
                "layer {}: the gap at the wall is up to {narrower:.0} mm narrower than planned, by where boards that are up hang: thinner spacers \
                 there, and no board against the wall before the gap is sealed",
                layer.number
            ));
        }
        if let Some(sentence) = hung_joints::open_joints(&mended.frame, layer, &built.boards_up) {
            put(sentence);
        }
    }
    out
}

/// How much wider and how much narrower than planned the gap at a wall gets at most \[mm\].
fn gaps(room: &Room, was: &Layer, built: &AsBuilt, layer: &Layer) -> (f64, f64) {
    let spread = |of: &dyn Fn(&Point) -> f64| {
        let corners = layer.pieces.iter().flat_map(|p| &p.outline);
        corners.map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)))
    };
    let (low, high) = ring::extent(&room.outline);
    let covered = spread(&|p| room.frame.frame_from_room(*p).x_mm);
    let mut wider = (covered.0 - low.x_mm).max(high.x_mm - covered.1);
    let mut narrower = (low.x_mm - covered.0).max(covered.1 - high.x_mm);
    let up = |piece: &&Piece| built.boards_up.contains(&piece.name);
    for piece in layer.pieces.iter().filter(up) {
        let Some(planned) = was.pieces.iter().find(|p| p.name == piece.name) else { continue };
        for ((edge, (a, b)), (now, _)) in
            planned.edges.iter().zip(ring::sides(&planned.outline)).zip(ring::sides(&piece.outline))
        {
            // Outlines run anticlockwise: what is to the right of a side lies outside.
            if edge.meets == EdgeMeets::Wall
                && let Some(along) = (b - a).unit()
            {
                let out_mm = -along.cross(now - a);
                wider = wider.max(-out_mm);
                narrower = narrower.max(out_mm);
            }
        }
    }
    (wider, narrower)
}
