//! Pieces: they cover the ceiling once, keep the minimum sizes, and come out of the sheets bought.

use geometry::{Polygon, difference_of, intersection_of};

use super::sizes::{size, told_apart};
use super::{Checked, GAP_LEFT, OPEN_JOINT_MM, Rule, TAPE_MM, WIDER_GAP_MM, wall_gap};
use crate::Point;
use crate::layout::{BegunSheet, EdgeMade, EdgeMeets, Layer, Piece, Sheet};

/// Shapes are compared on a grid of a thousandth of a millimetre; along a side of some metres that is a few mm².
const GRID_AREA_MM2: f64 = 20.0;
/// Areas by the corners' formula agree to this \[mm²\].
const AREA_MM2: f64 = 0.5;
const LENGTH_MM: f64 = 0.01;
/// Half the width of a bare strip is known to this \[mm\].
const WIDTH_MM: f64 = 0.1;

pub(super) fn check(checked: &mut Checked) {
    let layout = checked.layout;
    for layer in &layout.layers {
        let shapes: Vec<Option<Polygon>> =
            layer.pieces.iter().map(|p| Polygon::new(&p.outline).ok()).collect();
        cover(checked, layer, &shapes);
        for (piece, shape) in layer.pieces.iter().zip(&shapes) {
            let Some(shape) = shape else {
                let at = piece.outline.first().copied().unwrap_or_default();
                checked.breach(
                    Rule::Cover,
                    piece_name(piece),
                    at,
                    0.0,
                    format!("piece {} has no shape", piece.name),
                );
                continue;
            };
            sizes(checked, layer, piece, shape);
            cutting(checked, layer, piece, shape);
        }
        sheets(checked, layer);
    }
    if layout.layers.len() != checked.ceiling.layers.len() {
        let at = layout.frame.origin;
        checked.breach(Rule::Cover, "layers", at, 0.0, "a layer is missing from the layout".into());
    }
}

fn piece_name(piece: &Piece) -> String {
    format!("piece {}", piece.name)
}

fn cover(checked: &mut Checked, layer: &Layer, shapes: &[Option<Polygon>]) {
    let has_boards_up = checked.has_boards_up(layer);
    if has_boards_up {
        bare(checked, layer, shapes);
    } else {
        area(checked, layer, shapes);
    }
    let within = if has_boards_up { half_gaps_left(checked) } else { checked.outline.clone() };
    let extents: Vec<[f64; 4]> = layer.pieces.iter().map(|p| extent(checked, &p.outline)).collect();
    for (index, (piece, shape)) in layer.pieces.iter().zip(shapes).enumerate() {
        let Some(shape) = shape else { continue };
        let parts = shape.difference(&within);
        let outside: f64 = parts.iter().map(Polygon::area_mm2).sum();
        if outside > GRID_AREA_MM2 {
            let far_mm = parts
                .iter()
                .flat_map(Polygon::corners)
                .map(|corner| within.distance_to_boundary_mm(*corner))
                .fold(0.0, f64::max);
            let sentence = if has_boards_up {
                format!("piece {} leaves less than half of the gap at a wall", piece.name)
            } else {
                format!("piece {} reaches {} mm past the edge of the ceiling", piece.name, size(far_mm))
            };
            checked.breach(Rule::Clear, piece_name(piece), shape.centroid(), outside, sentence);
        }
        for (at, (other, other_shape)) in layer.pieces.iter().zip(shapes).enumerate().skip(index + 1) {
            let Some(other_shape) = other_shape else { continue };
            if checked.is_up(piece) && checked.is_up(other) {
                continue;
            }
            let (a, b) = (extents[index], extents[at]);
            // Boxes that only touch hold no overlap worth a look.
            if (0..2).any(|k| a[k + 2].min(b[k + 2]) - a[k].max(b[k]) < LENGTH_MM) {
                continue;
            }
            let both = shape.intersection(other_shape);
            let over: f64 = both.iter().map(Polygon::area_mm2).sum();
            // Beside one that is up: what no tape tells is pushed up.
            let pushed_up =
                has_boards_up && both.iter().all(|part| part.inset(TAPE_MM / 2.0 + WIDTH_MM).is_empty());
            if over > GRID_AREA_MM2 && !pushed_up {
                let sentence = format!("pieces {} and {} overlap by {over:.0} mm²", piece.name, other.name);
                checked.breach(Rule::Cover, piece_name(piece), shape.centroid(), over, sentence);
            }
        }
        for &p in &piece.outline {
            // Each wall keeps its own gap, as far as it runs.
            let (near, gap) = checked
                .room
                .edges()
                .filter(|side| (0.0..=side.length_mm()).contains(&side.running_mm(p)))
                .map(|side| (side.distance_mm(p), wall_gap(checked.ceiling, side)))
                .min_by(|a, b| (a.0 - a.1).total_cmp(&(b.0 - b.1)))
                .unwrap_or((0.0, 0.0));
            let left = if has_boards_up { GAP_LEFT } else { 1.0 };
            if near < gap * left - LENGTH_MM || !checked.room.contains(p) {
                let [is, asked] = told_apart(near, gap);
                let sentence = format!(
                    "piece {} comes within {is} mm of the wall, the gap there is {asked} mm",
                    piece.name
                );
                checked.breach(Rule::Clear, piece_name(piece), p, gap - near, sentence);
            }
        }
    }
}

/// The room less as much of the gaps at its walls as must be left beside boards that are up.
fn half_gaps_left(checked: &Checked) -> Polygon {
    let gaps: Vec<f64> =
        checked.room.edges().map(|side| GAP_LEFT * wall_gap(checked.ceiling, side)).collect();
    let largest =
        checked.room.inset_each(&gaps).into_iter().max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()));
    largest.unwrap_or_else(|| checked.outline.clone())
}

/// The pieces are as large together as the ceiling.
fn area(checked: &mut Checked, layer: &Layer, shapes: &[Option<Polygon>]) {
    let total: f64 = shapes.iter().flatten().map(Polygon::area_mm2).sum();
    let whole = checked.outline.area_mm2();
    // The outline went over the grid of the inset once.
    let slack = AREA_MM2 + checked.outline.perimeter_mm() * 1e-5;
    if (total - whole).abs() > slack {
        checked.breach(
            Rule::Cover,
            format!("layer {}", layer.number),
            checked.outline.centroid(),
            (total - whole).abs(),
            format!("the pieces of layer {} cover {total:.1} mm² of {whole:.1}", layer.number),
        );
    }
}

/// Round boards that are up nothing stays bare that is wider than a joint, but along the walls.
fn bare(checked: &mut Checked, layer: &Layer, shapes: &[Option<Polygon>]) {
    let shapes: Vec<Polygon> = shapes.iter().flatten().cloned().collect();
    let bare = difference_of(std::slice::from_ref(&checked.outline), &shapes);
    let away_from_walls = checked.outline.inset(WIDER_GAP_MM + LENGTH_MM);
    let inside = intersection_of(&bare, &away_from_walls);
    for (parts, widest_mm) in [(bare, WIDER_GAP_MM), (inside, OPEN_JOINT_MM)] {
        // What is no wider has nothing left when it is drawn in by half of that from either side.
        let wider: Vec<Polygon> =
            parts.iter().flat_map(|part| part.inset(widest_mm / 2.0 + WIDTH_MM)).collect();
        let area_mm2: f64 = wider.iter().map(Polygon::area_mm2).sum();
        if area_mm2 > GRID_AREA_MM2
            && let Some(at) = wider.iter().max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()))
        {
            let sentence = format!(
                "the pieces of layer {} leave a place bare that is wider than {widest_mm:.0} mm",
                layer.number
            );
            let (what, at) = (format!("layer {}", layer.number), at.centroid());
            checked.breach(Rule::Cover, what, at, area_mm2, sentence);
            return;
        }
    }
}

/// Least u and v, most u and v of a ring.
fn extent(checked: &Checked, ring: &[Point]) -> [f64; 4] {
    ring.iter().fold([f64::MAX, f64::MAX, f64::MIN, f64::MIN], |e, p| {
        let (u, v) = (checked.u(*p), checked.v(*p));
        [e[0].min(u), e[1].min(v), e[2].max(u), e[3].max(v)]
    })
}

/// Least size of a piece along the frame's axes.
fn sizes(checked: &mut Checked, layer: &Layer, piece: &Piece, shape: &Polygon) {
    let Some(board) = checked.ceiling.layers.get(layer.number.wrapping_sub(1)) else { return };
    let spread = |f: &dyn Fn(Point) -> f64| {
        let values: Vec<f64> = shape.corners().iter().map(|p| f(*p)).collect();
        values.iter().copied().fold(f64::MIN, f64::max) - values.iter().copied().fold(f64::MAX, f64::min)
    };
    let (width, length) = (spread(&|p| checked.u(p)), spread(&|p| checked.v(p)));
    let rules = &checked.ceiling.rules;
    let least_strip = rules.min_strip_mm;
    for (is, least, most, of) in [
        (width, rules.min_strip_mm, board.width_mm, "wide"),
        (length, rules.min_piece_mm, board.length_mm, "long"),
    ] {
        if is < least - LENGTH_MM {
            let [words, limit] = told_apart(is, least);
            let sentence = format!("piece {} is {words} mm {of}, the least is {limit}", piece.name);
            checked.breach(Rule::CutFromSheets, piece_name(piece), shape.centroid(), least - is, sentence);
        }
        if is > most + LENGTH_MM {
            let [words, limit] = told_apart(is, most);
            let sentence = format!("piece {} is {words} mm {of}, the board {limit}", piece.name);
            checked.breach(Rule::CutFromSheets, piece_name(piece), shape.centroid(), is - most, sentence);
        }
    }
    // A board that is up keeps beside an opening what was cut.
    let to_cut = !checked.is_up(piece);
    for opening in checked.ceiling.obstructions.iter().filter(|_| to_cut) {
        let (own, hole) = (extent(checked, &piece.outline), extent(checked, opening));
        if (0..2).any(|k| own[k + 2].min(hole[k + 2]) - own[k].max(hole[k]) < LENGTH_MM) {
            continue;
        }
        let left = [hole[0] - own[0], own[2] - hole[2], hole[1] - own[1], own[3] - hole[3]];
        for is in left.into_iter().filter(|is| *is > LENGTH_MM && *is < least_strip - LENGTH_MM) {
            let [words, limit] = told_apart(is, least_strip);
            let sentence =
                format!("piece {} keeps {words} mm beside an opening, the least is {limit}", piece.name);
            checked.breach(
                Rule::CutFromSheets,
                piece_name(piece),
                shape.centroid(),
                least_strip - is,
                sentence,
            );
        }
    }
    let holes: f64 = piece.cut_outs.iter().filter_map(|c| Polygon::new(c).ok()).map(|p| p.area_mm2()).sum();
    let area = (shape.area_mm2() - holes) / 1e6;
    if (area - piece.area_m2).abs() > 1e-6 || (area * board.mass_kg_m2 - piece.mass_kg).abs() > 1e-3 {
        let sentence = format!("piece {} is {area:.4} m², listed as {:.4}", piece.name, piece.area_m2);
        checked.breach(
            Rule::TakeOff,
            piece_name(piece),
            shape.centroid(),
            (area - piece.area_m2).abs(),
            sentence,
        );
    }
}

/// The cut drawing shows the piece, face up, inside its sheet; edges are made as said.
fn cutting(checked: &mut Checked, layer: &Layer, piece: &Piece, shape: &Polygon) {
    let Some(board) = checked.ceiling.layers.get(layer.number.wrapping_sub(1)) else { return };
    let mut wrong: Option<String> = None;
    let n = piece.outline.len();
    if piece.on_sheet.len() != n || piece.edges.len() != n {
        wrong = Some("its drawing has other corners than its outline".into());
    } else {
        let mirrored = -turned_area(&piece.on_sheet);
        if (mirrored - shape.area_mm2()).abs() > AREA_MM2 {
            wrong = Some("its drawing is not its shape seen from the face".into());
        }
        for i in 0..n {
            for j in i + 1..n {
                let (a, b) = (
                    piece.outline[i].distance_mm(piece.outline[j]),
                    piece.on_sheet[i].distance_mm(piece.on_sheet[j]),
                );
                if (a - b).abs() > LENGTH_MM {
                    wrong = Some(format!(
                        "corners {} and {} are {a:.1} mm apart, on the sheet {b:.1}",
                        i + 1,
                        j + 1
                    ));
                }
            }
        }
        for p in &piece.on_sheet {
            let inside = p.x_mm > -LENGTH_MM
                && p.y_mm > -LENGTH_MM
                && p.x_mm < board.width_mm + LENGTH_MM
                && p.y_mm < board.length_mm + LENGTH_MM;
            if !inside {
                wrong = Some("it does not lie on its sheet".into());
            }
        }
        let mut cuts = 0.0;
        for (i, edge) in piece.edges.iter().enumerate() {
            let (a, b) = (piece.on_sheet[i], piece.on_sheet[(i + 1) % n]);
            let along = |p: f64, q: f64, at: f64| (p - at).abs() < LENGTH_MM && (q - at).abs() < LENGTH_MM;
            let factory = along(a.x_mm, b.x_mm, 0.0)
                || along(a.x_mm, b.x_mm, board.width_mm)
                || along(a.y_mm, b.y_mm, 0.0)
                || along(a.y_mm, b.y_mm, board.length_mm);
            if factory != (edge.made == EdgeMade::Factory) {
                wrong = Some(format!("edge {} is not made as listed", i + 1));
            }
            if edge.meets == EdgeMeets::LongJoint && !factory {
                wrong = Some(format!("edge {} meets the next strip with a cut edge", i + 1));
            }
            if !factory {
                cuts += a.distance_mm(b);
            }
        }
        cuts +=
            piece.cut_outs.iter().filter_map(|c| Polygon::new(c).ok()).map(|p| p.perimeter_mm()).sum::<f64>();
        let tape = if board.tape_cut_edges { cuts } else { 0.0 };
        if (cuts - piece.cut_length_mm).abs() > 0.1 || (tape - piece.tape_mm).abs() > 0.1 {
            wrong = Some(format!(
                "its cuts are {cuts:.0} mm, listed as {:.0}, taped {:.0}",
                piece.cut_length_mm, piece.tape_mm
            ));
        }
    }
    if let Some(why) = wrong {
        checked.breach(
            Rule::CutFromSheets,
            piece_name(piece),
            shape.centroid(),
            0.0,
            format!("piece {}: {why}", piece.name),
        );
    }
}

fn turned_area(ring: &[Point]) -> f64 {
    let Some(&o) = ring.first() else { return 0.0 };
    ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| (*a - o).cross(*b - o)).sum::<f64>() / 2.0
}

/// Every piece on one sheet, the saw's cut between them, straight cuts from edge to edge only.
fn sheets(checked: &mut Checked, layer: &Layer) {
    let at = checked.layout.frame.origin;
    let kerf = checked.ceiling.rules.kerf_mm;
    let mut seen = vec![0usize; layer.pieces.len()];
    for (index, sheet) in layer.sheets.iter().enumerate() {
        let mut boxes: Vec<[f64; 4]> = Vec::new();
        for &p in &sheet.pieces {
            let Some(piece) = layer.pieces.get(p) else {
                let sentence = format!(
                    "sheet {} of layer {} lists a piece that is not there",
                    sheet.number, layer.number
                );
                checked.breach(Rule::CutFromSheets, format!("sheet {}", sheet.number), at, 0.0, sentence);
                continue;
            };
            seen[p] += 1;
            if piece.sheet != index {
                let sentence = format!("piece {} is listed on two sheets", piece.name);
                checked.breach(Rule::CutFromSheets, piece_name(piece), at, 0.0, sentence);
            }
            boxes.push(box_on_sheet(piece));
        }
        if let Some(begun) = sheet.begun {
            begun_before(checked, layer, sheet, begun);
            continue;
        }
        let this = BegunSheet { layer: layer.number, sheet: sheet.number };
        for other in &checked.layout.layers {
            for shared in other.sheets.iter().filter(|s| s.begun == Some(this)) {
                boxes.extend(shared.pieces.iter().filter_map(|&p| other.pieces.get(p)).map(box_on_sheet));
            }
        }
        if !guillotine(&boxes, kerf) {
            let sentence = format!(
                "the pieces of sheet {} of layer {} cannot be cut out with straight cuts and a saw of {kerf:.0} mm",
                sheet.number, layer.number
            );
            checked.breach(Rule::CutFromSheets, format!("sheet {}", sheet.number), at, kerf, sentence);
        }
    }
    for (piece, count) in layer.pieces.iter().zip(&seen) {
        if *count != 1 {
            let sentence = format!("piece {} is cut {count} times", piece.name);
            checked.breach(Rule::CutFromSheets, piece_name(piece), at, 0.0, sentence);
        }
    }
}

fn box_on_sheet(piece: &Piece) -> [f64; 4] {
    let mut b = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
    for q in &piece.on_sheet {
        b = [b[0].min(q.x_mm), b[1].min(q.y_mm), b[2].max(q.x_mm), b[3].max(q.y_mm)];
    }
    b
}

/// A sheet begun in another layer is one that layer buys, goes up before, and is of the same board.
fn begun_before(checked: &mut Checked, layer: &Layer, sheet: &Sheet, begun: BegunSheet) {
    let layout = checked.layout;
    let board = |number: usize| number.checked_sub(1).and_then(|at| checked.ceiling.layers.get(at));
    let bought = layout
        .layers
        .iter()
        .find(|l| l.number == begun.layer)
        .is_some_and(|l| l.sheets.iter().any(|s| s.number == begun.sheet && s.begun.is_none()));
    let same = board(begun.layer).is_some_and(|from| {
        board(layer.number).is_some_and(|own| {
            (&from.material, from.width_mm, from.length_mm, from.thickness_mm)
                == (&own.material, own.width_mm, own.length_mm, own.thickness_mm)
        })
    });
    if !bought || !same || begun.layer >= layer.number {
        let sentence = format!(
            "sheet {} of layer {} is said to be begun in layer {}, which has no such sheet",
            sheet.number, layer.number, begun.layer
        );
        checked.breach(
            Rule::CutFromSheets,
            format!("sheet {}", sheet.number),
            layout.frame.origin,
            0.0,
            sentence,
        );
    }
}

/// Some straight cut through the whole group parts it, and so on for both halves.
fn guillotine(boxes: &[[f64; 4]], kerf: f64) -> bool {
    if boxes.len() < 2 {
        return true;
    }
    for axis in [0, 1] {
        for cut in boxes.iter().map(|b| b[axis + 2]) {
            let (low, high): (Vec<[f64; 4]>, Vec<[f64; 4]>) =
                boxes.iter().partition(|b| b[axis + 2] <= cut + LENGTH_MM);
            if !low.is_empty() && !high.is_empty() && high.iter().all(|b| b[axis] >= cut + kerf - LENGTH_MM) {
                return guillotine(&low, kerf) && guillotine(&high, kerf);
            }
        }
    }
    false
}
