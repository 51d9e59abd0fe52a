//! Which sheets the boards of a mend are cut from: those that are up from the sheets they came from, the others round them, layers of the
//! same board together.

use std::collections::BTreeMap;

use super::mend::SAME_SIZE_MM;
use crate::draft::DraftLayer;
use crate::layout::{Layer, Layout, Piece};
use crate::shared::{self, Begun};
use crate::sheets::{Bound, Offcut, Place, SheetBox, SheetSize};
use crate::strips::{self, Part};
use crate::{BoardLayer, Ceiling, Point};

/// So many pieces on new boards are cut by the cutting room's own search at most: a mend tries many ways.
const MOST_CUT_DEEPER: usize = 12;

/// A sheet of the plan: the layer that buys it and its number there, both from 1.
type Bought = (usize, usize);
/// A part by its layer and its place in it.
type Of = (usize, usize);

/// Where the parts of layers of one board are cut from, sheets counted through all of them.
struct Cut {
    places: Vec<(Of, Place)>,
    /// Sheets of the plan that come first.
    kept: Vec<Bought>,
    /// All sheets, new ones with them.
    sheets: usize,
}

/// Cuts every layer: unchanged pieces from where the plan has them, the others from what those leave and from new boards; or, where that
/// takes fewer boards, all that is not up anew. `planned` is the piece of the plan that each part is.
pub(super) fn cut(
    ceiling: &Ceiling,
    plan: &Layout,
    planned: &[Vec<Option<usize>>],
    layers: &mut [DraftLayer],
) {
    for members in shared::groups(&ceiling.layers) {
        let Some(board) = members.first().and_then(|&m| ceiling.layers.get(m)) else { continue };
        let kept = keeping((ceiling, board), plan, planned, (layers, &members), &fits);
        let anew = keeping((ceiling, board), plan, planned, (layers, &members), &|_, _| false);
        let best = if anew.sheets < kept.sheets { anew } else { kept };
        lay(plan, layers, &members, &best);
    }
}

/// A part still comes out of the place of its piece on the sheet.
fn fits(piece: &Piece, part: &Part) -> bool {
    part.width_mm() < piece.width_mm + SAME_SIZE_MM / 10.0
        && part.length_mm() < piece.length_mm + SAME_SIZE_MM / 10.0
}

/// The cut that leaves boards that are up where they came from, and those of which `stays` says so.
fn keeping(
    (ceiling, board): (&Ceiling, &BoardLayer),
    plan: &Layout,
    planned: &[Vec<Option<usize>>],
    (layers, members): (&[DraftLayer], &[usize]),
    stays: &dyn Fn(&Piece, &Part) -> bool,
) -> Cut {
    let sheet = shared::sheet_size(board, &ceiling.rules);
    let mut kept: BTreeMap<Bought, Vec<(Of, SheetBox)>> = BTreeMap::new();
    let mut open: Vec<Of> = Vec::new();
    for &layer in members {
        let (Some(own), Some(was)) = (layers.get(layer), plan.layers.get(layer)) else { continue };
        let of = planned.get(layer).map_or(&[][..], Vec::as_slice);
        for (at, part) in own.parts.iter().enumerate() {
            let is_up = own.hung.get(at).is_some_and(Option::is_some);
            let piece = of.get(at).copied().flatten().and_then(|k| was.pieces.get(k));
            let stays = piece.filter(|piece| is_up || stays(piece, part));
            match stays.and_then(|piece| Some((was.sheet_of(piece)?, piece))) {
                Some((bought, piece)) => {
                    let place = within(board, box_on_sheet(board, piece), part);
                    kept.entry((bought.layer, bought.sheet)).or_default().push(((layer, at), place));
                }
                None => open.push((layer, at)),
            }
        }
    }
    let mut places: Vec<(Of, Place)> = Vec::new();
    let mut left: Vec<Offcut> = Vec::new();
    for (index, (bought, pieces)) in kept.iter().enumerate() {
        // Whatever of it is cut already: what the plan leaves over, and the places of pieces that are not wanted there any more.
        let planned = cut_from_it(board, plan, *bought);
        left.extend(sheet.left_of(index, &planned));
        let taken = |[x, y, right, far]: &SheetBox| {
            pieces.iter().any(|(_, own)| {
                own[0] < right - SAME_SIZE_MM
                    && own[2] > x + SAME_SIZE_MM
                    && own[1] < far - SAME_SIZE_MM
                    && own[3] > y + SAME_SIZE_MM
            })
        };
        left.extend(planned.iter().filter(|at| !taken(at)).map(|[x, y, right, far]| Offcut {
            sheet: index,
            x_mm: *x,
            y_mm: *y,
            width: right - x,
            length: far - y,
        }));
        places.extend(
            pieces.iter().map(|(of, [x, y, ..])| (*of, Place { sheet: index, at: Point::new(*x, *y) })),
        );
    }
    let part = |(layer, at): &Of| layers.get(*layer)?.parts.get(*at);
    let needs: Vec<_> = open.iter().filter_map(part).map(strips::need).collect();
    let (new, sheets) = sheet.place_beside(&needs, kept.len(), left);
    let mut new: Vec<(Of, Place)> = open.into_iter().zip(new).collect();
    let sheets = deeper((board, sheet), layers, &mut new, (kept.len(), sheets));
    places.extend(new);
    Cut { places, kept: kept.into_keys().collect(), sheets }
}

/// The pieces that came to lie on new boards, those after the `begun`, cut by the cutting room's own search where that takes fewer; the number
/// of sheets, counted through all.
fn deeper(
    (board, sheet): (&BoardLayer, SheetSize),
    layers: &[DraftLayer],
    places: &mut [(Of, Place)],
    (begun, sheets): (usize, usize),
) -> usize {
    let part = |(layer, at): Of| Some((layers.get(layer)?, layers.get(layer)?.parts.get(at)?));
    let on_new: Vec<usize> = (0..places.len()).filter(|&at| places[at].1.sheet >= begun).collect();
    let bounds: Vec<Bound> = on_new
        .iter()
        .filter_map(|&at| part(places[at].0))
        .map(|(layer, part)| shared::bound(layer, part))
        .collect();
    let area: f64 = bounds.iter().map(|b| b.width_mm * b.length_mm).sum();
    let least = (area / (board.width_mm * board.length_mm) - 1e-9).ceil() as usize;
    let now = sheets.saturating_sub(begun);
    if bounds.len() != on_new.len() || bounds.len() > MOST_CUT_DEEPER || now <= least.max(1) {
        return sheets;
    }
    let Some((better, count)) = sheet.place_better(&bounds, now) else { return sheets };
    for (&at, place) in on_new.iter().zip(better) {
        places[at].1 = Place { sheet: begun + place.sheet, at: place.at };
    }
    begun + count
}

/// The box of a piece on its sheet as places are counted: from the other side of the sheet than its drawing.
fn box_on_sheet(board: &BoardLayer, piece: &Piece) -> SheetBox {
    let low =
        piece.on_sheet.iter().fold((f64::INFINITY, f64::INFINITY), |l, p| (l.0.min(p.x_mm), l.1.min(p.y_mm)));
    let right = piece.on_sheet.iter().map(|p| p.x_mm).fold(f64::NEG_INFINITY, f64::max);
    let far = piece.on_sheet.iter().map(|p| p.y_mm).fold(f64::NEG_INFINITY, f64::max);
    let (x, y) = ((board.width_mm - right).max(0.0), low.1.max(0.0));
    [x, y, board.width_mm - low.0, far]
}

/// The boxes of all pieces the plan cuts from a sheet.
fn cut_from_it(board: &BoardLayer, plan: &Layout, (layer, sheet): Bought) -> Vec<SheetBox> {
    let buys = plan.layers.iter().find(|one| one.number == layer);
    let found = buys.and_then(|layer| Some((layer, layer.sheets.iter().find(|one| one.number == sheet)?)));
    let pieces = found.map_or_else(Vec::new, |(layer, sheet)| plan.cut_from(layer, sheet));
    pieces.into_iter().map(|piece| box_on_sheet(board, piece)).collect()
}

/// Where a part that may be a little smaller lies in the place of its piece: against the sides of the sheet that the place lies against.
fn within(board: &BoardLayer, [x, y, right, far]: SheetBox, part: &Part) -> SheetBox {
    let start = |from: f64, to: f64, size: f64, whole: f64| {
        if from > SAME_SIZE_MM && to > whole - SAME_SIZE_MM { to - size } else { from }
    };
    let x = start(x, right, part.width_mm(), board.width_mm);
    let y = start(y, far, part.length_mm(), board.length_mm);
    [x, y, x + part.width_mm(), y + part.length_mm()]
}

/// Writes a cut into the layers: sheets of the plan in its order and with their numbers, then new ones, numbered on; each belongs to the first layer that has a piece of it.
fn lay(plan: &Layout, layers: &mut [DraftLayer], members: &[usize], cut: &Cut) {
    let mut first: BTreeMap<usize, Begun> = BTreeMap::new();
    for &layer in members {
        let Some(own) = layers.get_mut(layer) else { continue };
        let here = || cut.places.iter().filter(|((of, _), _)| *of == layer);
        let order = |sheet: usize| (number_in(plan.layers.get(layer), cut.kept.get(sheet)), sheet);
        let mut sheets: Vec<usize> = here().map(|(_, place)| place.sheet).collect();
        sheets.sort_unstable_by_key(|sheet| order(*sheet));
        sheets.dedup();
        let was = plan.layers.get(layer);
        let mut next =
            was.into_iter().flat_map(|was| &was.sheets).map(|sheet| sheet.number).max().unwrap_or(0);
        let number = |sheet: &usize| {
            let planned = was?.sheets.get(number_in(was, cut.kept.get(*sheet)))?;
            Some(planned.number)
        };
        own.numbers = sheets
            .iter()
            .map(|sheet| {
                number(sheet).unwrap_or_else(|| {
                    next += 1;
                    next
                })
            })
            .collect();
        own.places = vec![Place { sheet: 0, at: Point::new(0.0, 0.0) }; own.parts.len()];
        for ((_, part), place) in here() {
            let number = sheets.iter().position(|sheet| *sheet == place.sheet);
            if let (Some(to), Some(sheet)) = (own.places.get_mut(*part), number) {
                *to = Place { sheet, at: place.at };
            }
        }
        own.sheets = sheets
            .iter()
            .enumerate()
            .map(|(number, sheet)| {
                let begun = first.get(sheet).copied();
                first.entry(*sheet).or_insert(Begun { layer, sheet: number });
                begun
            })
            .collect();
    }
}

/// The place of a sheet among those of a layer in the plan; past all of them where it has no piece of it.
fn number_in(was: Option<&Layer>, bought: Option<&Bought>) -> usize {
    let (Some(was), Some(bought)) = (was, bought) else { return usize::MAX };
    let of = |sheet: &crate::layout::Sheet| {
        sheet.begun.map_or((was.number, sheet.number), |begun| (begun.layer, begun.sheet))
    };
    was.sheets.iter().position(|sheet| of(sheet) == *bought).unwrap_or(usize::MAX)
}
