//! The boards of linings, cut: pieces upright on the wall as they lie on their sheets.

use geometry::Point as SheetPoint;
use paper::Scale;
use plan::Plan;
use setout::lining::{LiningLayout, WallLayer, WallPiece};
use setout::{BoardLayer, Edge, EdgeMade, EdgeMeets, Layer, Piece, Sheet};

use super::{Cutting, Drawing, Face, pages};
use crate::drawings::room_plan::printed;

/// Edges nearer than this to the sheet's own are that edge, mm.
const ON_MM: f64 = 0.01;

/// The pages of every layer of every lining that has sheets to cut: `cut-lining-a-b-layer-1` and so on.
pub(in crate::drawings) fn drawings(plan: &Plan) -> Vec<Drawing> {
    let mut all = Vec::new();
    for lining in &plan.linings {
        let (Some(layout), Some(given)) = (&lining.layout, &lining.given) else { continue };
        let face = Face {
            id: format!("cut-lining-{}", lining.wall.to_lowercase()),
            of: format!(" of the lining of wall {}", printed(&lining.wall)),
            seen: "Each sheet is seen on the face that will be seen from the room.".to_owned(),
            taken_off: "Gaps at floor, ceiling and corners are taken off.".to_owned(),
            across: SheetPoint::new(0.0, 1.0),
            towards: Some("this way is up".to_owned()),
        };
        let boards = layout.layers.iter().zip(&given.layers);
        let layers: Vec<Layer> =
            boards.clone().map(|(layer, board)| as_layer(layout, layer, board)).collect();
        for (layer, board) in layers.iter().zip(&given.layers) {
            all.extend(pages(Cutting {
                plan,
                face: &face,
                layers: &layers,
                layer,
                board,
                kerf_mm: given.rules.kerf_mm,
                scale: Scale::one_to(10.0),
            }));
        }
    }
    all
}

/// A layer of a wall as one of boards on their sheets.
fn as_layer(layout: &LiningLayout, layer: &WallLayer, board: &BoardLayer) -> Layer {
    let pieces: Vec<Piece> = layer.pieces.iter().map(|piece| as_piece(layout, layer, board, piece)).collect();
    let sheets = layer
        .begun
        .iter()
        .enumerate()
        .map(|(sheet, begun)| Sheet {
            number: sheet + 1,
            pieces: (0..pieces.len())
                .filter(|&at| pieces.get(at).is_some_and(|piece| piece.sheet == sheet))
                .collect(),
            begun: *begun,
            left_over_m2: 0.0,
        })
        .collect();
    Layer {
        number: layer.number,
        material: layer.material.clone(),
        cut_length_mm: pieces.iter().map(|piece| piece.cut_length_mm).sum(),
        pieces,
        joints: Vec::new(),
        sheets,
    }
}

/// A piece with its corners on the wall (along, up) and on its sheet; turned end for end where that brings its upright joint to the
/// sheet's own edge.
fn as_piece(layout: &LiningLayout, layer: &WallLayer, board: &BoardLayer, piece: &WallPiece) -> Piece {
    let (wide, high) = (piece.to_mm - piece.from_mm, piece.head_mm - piece.foot_mm);
    let [left, foot] = piece.on_sheet_mm;
    let outline = [
        (piece.from_mm, piece.foot_mm),
        (piece.to_mm, piece.foot_mm),
        (piece.to_mm, piece.head_mm),
        (piece.from_mm, piece.head_mm),
    ]
    .map(|(x, y)| SheetPoint::new(x, y));
    let joint_at = |x: f64| layer.upright_joints_mm.iter().any(|joint| (joint - x).abs() < ON_MM);
    let [_, lowest, _, highest] = layout.boards_mm;
    let meets = [
        (piece.foot_mm - lowest).abs() < ON_MM,
        !joint_at(piece.to_mm),
        (piece.head_mm - highest).abs() < ON_MM,
        !joint_at(piece.from_mm),
    ]
    .into_iter()
    .zip([EdgeMeets::EndJoint, EdgeMeets::LongJoint, EdgeMeets::EndJoint, EdgeMeets::LongJoint])
    .map(|(ends, joint)| if ends { EdgeMeets::Wall } else { joint });
    let meets: Vec<EdgeMeets> = meets.collect();
    let ways = [false, true].map(|turned| {
        let on_sheet: Vec<SheetPoint> = outline
            .iter()
            .map(|p| {
                let (x, y) = (p.x_mm - piece.from_mm, p.y_mm - piece.foot_mm);
                let (x, y) = if turned { (wide - x, high - y) } else { (x, y) };
                SheetPoint::new(left + x, foot + y)
            })
            .collect();
        let sides = on_sheet.iter().zip(on_sheet.iter().cycle().skip(1));
        let made: Vec<EdgeMade> = sides.map(|(a, b)| made(board, *a, *b)).collect();
        let kept: f64 = made
            .iter()
            .zip(&meets)
            .zip([wide, high, wide, high])
            .filter(|((made, _), _)| **made == EdgeMade::Factory)
            .map(|((_, meets), length)| {
                length
                    * match meets {
                        EdgeMeets::LongJoint => 1e3,
                        EdgeMeets::EndJoint => 10.0,
                        EdgeMeets::Wall => 1.0,
                    }
            })
            .sum();
        (kept, on_sheet, made)
    });
    let [straight, turned] = ways;
    let (_, on_sheet, made) = if turned.0 > straight.0 + ON_MM { turned } else { straight };
    let cut_outs: Vec<Vec<SheetPoint>> = piece
        .cut_outs_mm
        .iter()
        .map(|[from, foot, to, head]| {
            [(from, foot), (to, foot), (to, head), (from, head)]
                .map(|(x, y)| SheetPoint::new(*x, *y))
                .to_vec()
        })
        .collect();
    let edges: Vec<Edge> = made
        .into_iter()
        .zip(meets)
        .zip([wide, high, wide, high])
        .map(|((made, meets), length_mm)| Edge { length_mm, made, meets })
        .collect();
    let cut_length_mm = piece.cut_mm(board);
    Piece {
        name: piece.name.clone(),
        layer: layer.number,
        strip: 1,
        outline: outline.to_vec(),
        whole: piece.whole,
        too_large: false,
        edges,
        cut_outs,
        width_mm: wide,
        length_mm: high,
        sheet: piece.sheet,
        on_sheet,
        area_m2: piece.area_m2,
        mass_kg: piece.area_m2 * board.mass_kg_m2,
        cut_length_mm,
        tape_mm: if board.tape_cut_edges { cut_length_mm } else { 0.0 },
        screws: 0,
    }
}

fn made(board: &BoardLayer, a: SheetPoint, b: SheetPoint) -> EdgeMade {
    let on = |p: f64, q: f64, at: f64| (p - at).abs() < ON_MM && (q - at).abs() < ON_MM;
    let factory = on(a.x_mm, b.x_mm, 0.0)
        || on(a.x_mm, b.x_mm, board.width_mm)
        || on(a.y_mm, b.y_mm, 0.0)
        || on(a.y_mm, b.y_mm, board.length_mm);
    if factory { EdgeMade::Factory } else { EdgeMade::Cut }
}
