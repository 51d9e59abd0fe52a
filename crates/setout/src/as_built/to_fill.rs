//! What boards that are up leave open: gaps at walls other than planned, and joints.

use serde::Serialize;

use super::AsBuilt;
use super::hung_joints::{self, up_to_mm};
use crate::layout::{EdgeMeets, Layer, Layout};
use crate::ring;
use crate::room::{Room, Wall};
use crate::{Ceiling, Point};

/// A gap off by less takes sealant as planned \[mm\] (judgement).
const GAP_TOLD_MM: f64 = 1.5;
/// An edge farther than this from where a wall's boards end is cut round something else \[mm\].
const AT_WALL_MM: f64 = 60.0;
/// An edge runs along a wall: the cosine between them, some 3°.
const ALONG_COS: f64 = 0.9986;

/// A gap or joint that is not as planned.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ToFill {
    /// The layer of boards beside it, from 1.
    pub layer: usize,
    /// What to do there, in words without a full stop.
    pub sentence: String,
}

/// Gaps at walls that boards which are up leave wider or narrower than planned, and joints they leave open: told, and no breaches.
pub(super) fn to_fill(ceiling: &Ceiling, room: &Room, built: &AsBuilt, mended: &Layout) -> Vec<ToFill> {
    let mut out = Vec::new();
    for layer in &mended.layers {
        if !layer.pieces.iter().any(|piece| built.boards_up.contains(&piece.name)) {
            continue;
        }
        let mut put = |sentence: String| out.push(ToFill { layer: layer.number, sentence });
        let gaps = gaps(room, mended, layer);
        if let Some(walls) = at_walls(&gaps, |gap| gap.wider_mm) {
            put(format!(
                "layer {}: the gap is wider than planned {walls}, by where boards that are up hang: fill it with sealant",
                layer.number
            ));
        }
        if let Some(walls) = at_walls(&gaps, |gap| gap.narrower_mm) {
            put(format!(
                "layer {}: the gap is narrower than planned {walls}, by where boards that are up hang: {}",
                layer.number,
                if gaps.iter().any(WallGap::is_too_narrow) {
                    "too narrow to seal: take down what hangs against the wall and hang it again on its marks"
                } else {
                    "thinner spacers there, and no board against the wall before the gap is sealed"
                }
            ));
        }
        if let Some(sentence) = hung_joints::open_joints(ceiling, &mended.frame, layer, &built.boards_up) {
            put(sentence);
        }
    }
    out
}

/// How far the gap at a wall is off what is planned, at most either way.
struct WallGap<'a> {
    wall: &'a str,
    planned_mm: f64,
    wider_mm: f64,
    narrower_mm: f64,
}

impl WallGap<'_> {
    /// Whether too little is left to seal: the check asks for half of it.
    fn is_too_narrow(&self) -> bool {
        self.narrower_mm > self.planned_mm / 2.0
    }
}

/// In words where it is worth telling: `at wall A-B by up to 5 mm, at wall C-D by up to 2 mm`.
fn at_walls(gaps: &[WallGap], of: impl Fn(&WallGap) -> f64) -> Option<String> {
    let told = gaps.iter().filter(|gap| of(gap) >= GAP_TOLD_MM);
    let words: Vec<String> =
        told.map(|gap| format!("at wall {} by up to {:.0} mm", gap.wall, up_to_mm(of(gap)))).collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// The gaps along every wall, as the edges of the pieces there leave them.
fn gaps<'a>(room: &Room, mended: &'a Layout, layer: &Layer) -> Vec<WallGap<'a>> {
    let walls = mended.marks.iter().zip(&room.walls);
    let mut gaps: Vec<WallGap> = walls
        .map(|(on, wall)| WallGap {
            wall: &on.wall,
            planned_mm: wall.gap_mm,
            wider_mm: 0.0,
            narrower_mm: 0.0,
        })
        .collect();
    for piece in &layer.pieces {
        for (edge, (a, b)) in piece.edges.iter().zip(ring::sides(&piece.outline)) {
            let (a, b) = (room.frame.frame_from_room(a), room.frame.frame_from_room(b));
            let Some(along) = (b - a).unit().filter(|_| edge.meets == EdgeMeets::Wall) else { continue };
            let middle = Point::new(f64::midpoint(a.x_mm, b.x_mm), f64::midpoint(a.y_mm, b.y_mm));
            // The wall beside the edge; walls run anticlockwise, the room to their left.
            let beside = room.walls.iter().enumerate().filter(|(_, wall)| {
                let (_, running_mm) = wall.inside_and_along(middle);
                along.dot(wall.dir) > ALONG_COS && (0.0..=wall.length_mm).contains(&running_mm)
            });
            let off_mm = |wall: &Wall, p: Point| wall.inside_and_along(p).0 - wall.gap_mm;
            let nearest = beside
                .map(|(at, wall)| (at, off_mm(wall, a), off_mm(wall, b)))
                .min_by(|p, q| (p.1 + p.2).abs().total_cmp(&(q.1 + q.2).abs()))
                .filter(|(_, a, b)| (a + b).abs() / 2.0 < AT_WALL_MM);
            if let Some((at, a, b)) = nearest
                && let Some(gap) = gaps.get_mut(at)
            {
                gap.wider_mm = gap.wider_mm.max(a).max(b);
                gap.narrower_mm = gap.narrower_mm.max(-a).max(-b);
            }
        }
    }
    gaps
}
