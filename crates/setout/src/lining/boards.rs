//! The boards of a lining: every origin and shift of the family tried, the best kept.

use super::{JAMB_CLEAR_MM, LEVEL_STAGGER_MM, Lining, LiningSupport, WallPiece, edges};
use crate::Point;
use crate::error::SetoutError;
use crate::sheets::{Bound, Need, Place, SheetSize};
use crate::{BoardLayer, Rules, shared};

/// Origins of the upright joints tried, as parts of a board.
const ORIGIN_STEPS: u32 = 48;
/// Heights of level joints tried, steps \[mm\].
const LEVEL_STEP_MM: f64 = 50.0;
const ON_MM: f64 = 1e-6;
/// So many pieces of several layers are cut by the cutting room's own search at most.
const MOST_CUT_DEEPER: usize = 40;
/// Heights looked at for each of three layers and more.
const WAYS_OF_MANY: usize = 12;
/// So many joints more are taken rather than one near the sill or head of an opening.
const NEAR_OPENING: f64 = 10.0;

/// One layer laid.
#[derive(Clone, Debug)]
pub(super) struct Laid {
    pub(super) pieces: Vec<WallPiece>,
    pub(super) uprights: Vec<f64>,
    pub(super) levels: [Vec<f64>; 2],
    /// Boards to buy.
    pub(super) sheets: usize,
    /// By sheet its pieces lie on, where an earlier layer began it: that layer and the sheet in it, from 0.
    pub(super) begun: Vec<Option<(usize, usize)>>,
}

/// What a layer takes at least: whole boards, and the area of what is cut \[mm²\].
#[derive(Clone, Copy, Debug)]
struct Least {
    full: usize,
    area_mm2: f64,
}

/// Layers laid one on the other, each with what it takes at least.
type Stack = (Vec<Laid>, Vec<Least>);

/// The best of the family.
#[derive(Clone, Debug)]
pub(super) struct Best {
    pub(super) layers: Vec<Laid>,
    pub(super) least: usize,
    pub(super) family: String,
    /// Where the grid of studs starts, and its step \[mm\]; none on bars.
    pub(super) grid: Option<(f64, f64)>,
}

/// Boards, pieces, decimetres round the cut ones: less is better.
type Worth = (usize, usize, u64);
/// Ways of the level joints: odd boards and even boards.
type Levels = [Vec<f64>; 2];

pub(super) fn best(lining: &Lining) -> Result<Best, SetoutError> {
    search(lining)?.ok_or_else(|| no_layout(lining))
}

/// The best of the family; none where no layout of it keeps the limits.
fn search(lining: &Lining) -> Result<Option<Best>, SetoutError> {
    let [left, _, right, _] = edges(lining);
    let rules = &lining.rules;
    let levels = levels(lining)?;
    let width = lining.layers.iter().map(|l| l.width_mm).fold(f64::INFINITY, f64::min);
    let grid_step = match &lining.on {
        LiningSupport::Studs { gap_mm, .. } => {
            let step = |w: f64| w / (w / gap_mm - 1e-9).ceil();
            let step_mm = step(width);
            if lining
                .layers
                .iter()
                .any(|l| (l.width_mm / step_mm - (l.width_mm / step_mm).round()).abs() > 1e-6)
            {
                return Err(SetoutError::input(
                    format!("lining of wall {}", lining.wall),
                    "the boards of its layers have widths that fall on no common studs; take boards of one width",
                ));
            }
            Some(step_mm)
        }
        LiningSupport::Bars { .. } => None,
    };
    let groups = shared::groups(&lining.layers);
    let corners = lining.openings.iter().flat_map(|o| [o.from_mm, o.to_mm]);
    let mut origins: Vec<f64> = vec![left, right];
    origins.extend(
        (0..ORIGIN_STEPS)
            .map(|k| f64::midpoint(left, right) + width * f64::from(k) / f64::from(ORIGIN_STEPS)),
    );
    origins.extend(corners.flat_map(|x| [x - JAMB_CLEAR_MM, x + JAMB_CLEAR_MM]));
    // By layer, by origin: laid alone. Layers joined by a shift that falls on the studs, or any on bars.
    let mut found: Option<(Worth, Vec<Laid>, f64)> = None;
    let mut least = usize::MAX;
    for &origin in &origins {
        let shifts: Vec<f64> = match grid_step {
            Some(step) => (0..(width / step).round() as u32).map(|k| f64::from(k) * step).collect(),
            None => (0..24).map(|k| width * f64::from(k) / 24.0).collect(),
        };
        let mut chains: Vec<Stack> = vec![(Vec::new(), Vec::new())];
        for (index, (layer, level)) in lining.layers.iter().zip(&levels).enumerate() {
            let mut next: Vec<Stack> = Vec::new();
            let of_shift: Vec<Option<(Laid, Least)>> = shifts
                .iter()
                .filter(|s| index > 0 || **s == 0.0)
                .map(|shift| lay(lining, layer, index + 1, origin + shift, level))
                .collect();
            for (chain, bound) in &chains {
                for (laid, own) in of_shift.iter().flatten() {
                    let apart = chain.last().is_none_or(|under| {
                        under.uprights.iter().all(|a| {
                            laid.uprights
                                .iter()
                                .all(|b| (a - b).abs() >= rules.stagger_layers_mm.max(1.0) - ON_MM)
                        })
                    });
                    if apart {
                        let mut longer = chain.clone();
                        longer.push(laid.clone());
                        let bounds = bound.iter().chain([own]).copied().collect();
                        next.push((longer, bounds));
                    }
                }
            }
            next.sort_by_key(|(c, _)| worth(c));
            next.truncate(6);
            chains = next;
        }
        for (chain, bound) in chains {
            least = least.min(least_boards(&lining.layers, &groups, &bound));
            let (own, pieces, cut) = worth(&chain);
            let shared: usize = groups.iter().map(|group| bought_together(lining, &chain, group)).sum();
            let key = (own.min(shared), pieces, cut);
            if found.as_ref().is_none_or(|(k, _, _)| key < *k) {
                found = Some((key, chain, origin));
            }
        }
    }
    let Some((_, mut layers, origin)) = found else { return Ok(None) };
    for (laid, board) in layers.iter_mut().zip(&lining.layers) {
        cut_again(laid, board, rules);
    }
    for group in groups.iter().filter(|group| group.len() > 1) {
        share(&mut layers, group, lining);
    }
    let family = format!(
        "boards upright, one row of upright joints a layer from either end of the wall, its middle in {ORIGIN_STEPS} parts of a board, or {JAMB_CLEAR_MM:.0} mm beside an opening; the next layer shifted by {}; level joints at one pair of heights{}; all of them looked at",
        if grid_step.is_some() { "whole studs" } else { "24ths of a board" },
        if shared::any(&groups) { "; layers of the same board share its sheets" } else { "" }
    );
    Ok(Some(Best { layers, least, family, grid: grid_step.map(|step| (origin, step)) }))
}

fn worth(chain: &[Laid]) -> Worth {
    let cut: f64 = chain.iter().flat_map(|l| &l.pieces).filter(|p| !p.whole).map(perimeter).sum();
    (
        chain.iter().map(|l| l.sheets).sum(),
        chain.iter().map(|l| l.pieces.len()).sum(),
        (cut / 100.0).round() as u64,
    )
}

fn perimeter(piece: &WallPiece) -> f64 {
    2.0 * (piece.to_mm - piece.from_mm + piece.head_mm - piece.foot_mm)
}

/// Heights of the level joints of each layer: none where a board reaches to the top. Of the ways that keep their distances the first, layer by
/// layer, in the order of the joints they take.
fn levels(lining: &Lining) -> Result<Vec<Levels>, SetoutError> {
    let rows_mm = lining.rules.stagger_rows_mm;
    let mut ways: Vec<Vec<Vec<f64>>> = lining.layers.iter().map(|layer| level_ways(lining, layer)).collect();
    if ways.len() > 2 {
        // All pairs of several layers are too many.
        for own in &mut ways {
            own.truncate(WAYS_OF_MANY);
        }
    }
    if let Some(found) = levels_of(&ways, &[], rows_mm) {
        return Ok(found);
    }
    let [_, foot, _, head] = edges(lining);
    let (height, longest) =
        (head - foot, lining.layers.iter().map(|l| l.length_mm).fold(f64::INFINITY, f64::min));
    let relax = crate::relax::highest_that_works(0.0, rows_mm, |at| levels_of(&ways, &[], at).is_some());
    let (limit, to, way) = relax.map_or_else(
        || ("height of the boards", height.ceil(), String::new()),
        |to| {
            ("stagger_rows_mm", to, format!(", or lower rules.stagger_rows_mm from {rows_mm:.0} to {to:.0}"))
        },
    );
    Err(SetoutError::NoLayout {
        limit: limit.into(),
        relax_to_mm: Some(to),
        sentence: format!(
            "wall {} is {:.0} mm high: boards {longest:.0} mm long need level joints, and no heights were found that keep those of its layers {LEVEL_STAGGER_MM:.0} mm apart (NBS K10/612) and those of neighbouring boards {rows_mm:.0}; take boards of {:.0} mm or more{way}",
            lining.wall,
            lining.height_mm,
            height.ceil()
        ),
    })
}

/// The heights of level joints that one board of a layer can have, those with the fewest joints first; one without any where it reaches to the
/// top.
fn level_ways(lining: &Lining, layer: &BoardLayer) -> Vec<Vec<f64>> {
    let [_, foot, _, head] = edges(lining);
    let height = head - foot;
    if height <= layer.length_mm + ON_MM {
        return vec![Vec::new()];
    }
    let mut ways: Vec<(f64, Vec<f64>)> = Vec::new();
    let near_opening = |y: &f64| {
        let levels = lining.openings.iter().flat_map(|o| [o.sill_mm, o.head_mm]);
        levels.into_iter().any(|level| (y - level).abs() < JAMB_CLEAR_MM - ON_MM)
    };
    let mut first = layer.length_mm;
    let whole_on_top = height - (height / layer.length_mm - 1e-9).floor() * layer.length_mm;
    let mut firsts = vec![layer.length_mm, whole_on_top];
    while first > lining.rules.min_piece_mm.max(LEVEL_STEP_MM) {
        first -= LEVEL_STEP_MM;
        firsts.push(first);
    }
    for first in firsts {
        let mut joints = Vec::new();
        let mut at = foot + first;
        while at < head - ON_MM {
            joints.push(at);
            at += layer.length_mm;
        }
        let last = head - joints.last().copied().unwrap_or(foot);
        if first >= lining.rules.min_piece_mm - ON_MM && last >= lining.rules.min_piece_mm - ON_MM {
            let whole = [first, last].iter().filter(|l| (**l - layer.length_mm).abs() < ON_MM).count();
            // Away from sills and heads where there is a way: a crack would start at their corners.
            let near = joints.iter().filter(|y| near_opening(y)).count();
            ways.push((joints.len() as f64 - 0.5 * whole as f64 + NEAR_OPENING * near as f64, joints));
        }
    }
    ways.sort_by(|a, b| a.0.total_cmp(&b.0));
    ways.into_iter().map(|way| way.1).collect()
}

/// A pair of heights for each of the layers left, over what is `under` them; the first found that keeps every distance.
fn levels_of(ways: &[Vec<Vec<f64>>], under: &[Levels], rows_mm: f64) -> Option<Vec<Levels>> {
    let Some((own, left)) = ways.split_first() else { return Some(under.to_vec()) };
    let apart =
        |a: &[f64], b: &[f64], least: f64| a.iter().all(|x| b.iter().all(|y| (x - y).abs() >= least - ON_MM));
    let clear = |way: &&Vec<f64>| {
        under.last().is_none_or(|pair| pair.iter().all(|other| apart(other, way, LEVEL_STAGGER_MM)))
    };
    let usable: Vec<&Vec<f64>> = own.iter().filter(clear).collect();
    let with = |pair: Levels| {
        let longer: Vec<Levels> = under.iter().cloned().chain([pair]).collect();
        levels_of(left, &longer, rows_mm)
    };
    if let Some(whole) = usable.iter().find(|way| way.is_empty()) {
        return with([(*whole).clone(), (*whole).clone()]);
    }
    usable.iter().enumerate().find_map(|(at, one)| {
        let mut others = usable.iter().skip(at + 1).filter(|other| apart(one, other, rows_mm));
        others.find_map(|other| with([(*one).clone(), (*other).clone()]))
    })
}

/// The fewest boards layers could take, those of one board together, by whole pieces and the area of the others.
fn least_boards(boards: &[BoardLayer], groups: &[Vec<usize>], each: &[Least]) -> usize {
    let of_group = |group: &Vec<usize>| {
        let own = || group.iter().filter_map(|&layer| each.get(layer));
        let board_mm2 =
            group.first().and_then(|&first| boards.get(first)).map_or(1.0, |b| b.width_mm * b.length_mm);
        let area_mm2: f64 = own().map(|least| least.area_mm2).sum();
        own().map(|least| least.full).sum::<usize>() + (area_mm2 / board_mm2 - 1e-9).ceil() as usize
    };
    groups.iter().map(of_group).sum()
}

/// The cut pieces of layers of one board, as layer and piece.
fn cut_of(layers: &[Laid], group: &[usize], board: &BoardLayer) -> Vec<(usize, usize)> {
    let own = |&layer: &usize| layers.get(layer).map(|laid| (layer, &laid.pieces));
    let all = group.iter().filter_map(own);
    all.flat_map(|(layer, pieces)| {
        pieces.iter().enumerate().filter(|(_, piece)| !is_full(piece, board)).map(move |(at, _)| (layer, at))
    })
    .collect()
}

/// Boards for the layers of a group cut together, without looking deep.
fn bought_together(lining: &Lining, layers: &[Laid], group: &[usize]) -> usize {
    let apart = group.iter().filter_map(|&layer| layers.get(layer)).map(|laid| laid.sheets).sum();
    let Some(board) = group.first().and_then(|&first| lining.layers.get(first)).filter(|_| group.len() > 1)
    else {
        return apart;
    };
    let cut = cut_of(layers, group, board);
    let pieces: usize =
        group.iter().filter_map(|&layer| layers.get(layer)).map(|laid| laid.pieces.len()).sum();
    let needs: Vec<Need> = cut.iter().filter_map(|&(l, p)| layers.get(l)?.pieces.get(p)).map(need).collect();
    let (_, count) = sheet_of(board, &lining.rules).place(&needs);
    apart.min(pieces - cut.len() + count)
}

/// Cuts the pieces of layers of one board from sheets in common, where that takes fewer; a sheet belongs to the first layer that has a piece of
/// it.
fn share(layers: &mut [Laid], group: &[usize], lining: &Lining) {
    let Some(board) = group.first().and_then(|&first| lining.layers.get(first)) else { return };
    let sheet = sheet_of(board, &lining.rules);
    let cut = cut_of(layers, group, board);
    let full = |laid: &Laid| laid.pieces.iter().filter(|piece| is_full(piece, board)).count();
    let apart: usize = group.iter().filter_map(|&l| layers.get(l)).map(|laid| laid.sheets - full(laid)).sum();
    let of = |&(l, p): &(usize, usize)| layers.get(l).and_then(|laid| Some((laid, laid.pieces.get(p)?)));
    let needs: Vec<Need> = cut.iter().filter_map(of).map(|(_, piece)| need(piece)).collect();
    let bounds: Vec<Bound> = cut.iter().filter_map(of).map(|(laid, piece)| bound(laid, piece)).collect();
    let (mut places, count) = sheet.place(&needs);
    let most = if bounds.len() <= MOST_CUT_DEEPER { apart.min(count) } else { 0 };
    let deeper = if most > 0 { sheet.place_better(&bounds, most) } else { None };
    let together = deeper.map_or(count, |(deeper, fewer)| {
        places = deeper;
        fewer
    });
    if together >= apart {
        return;
    }
    for &layer in group {
        let Some(laid) = layers.get_mut(layer) else { continue };
        let full = full(laid);
        laid.sheets = full;
        laid.begun = vec![None; full];
    }
    for number in 0..together {
        let mut first: Option<(usize, usize)> = None;
        for &layer in group {
            let here: Vec<(usize, Place)> = cut
                .iter()
                .zip(&places)
                .filter(|((own, _), place)| *own == layer && place.sheet == number)
                .map(|((_, piece), place)| (*piece, *place))
                .collect();
            let Some(laid) = layers.get_mut(layer).filter(|_| !here.is_empty()) else { continue };
            let at = laid.begun.len();
            laid.begun.push(first);
            laid.sheets += usize::from(first.is_none());
            first = first.or(Some((layer, at)));
            for (piece, place) in here {
                if let Some(piece) = laid.pieces.get_mut(piece) {
                    piece.sheet = at;
                    piece.on_sheet_mm = [place.at.x_mm, place.at.y_mm];
                }
            }
        }
    }
}

fn sheet_of(board: &BoardLayer, rules: &Rules) -> SheetSize {
    shared::sheet_size(board, rules)
}

fn is_full(piece: &WallPiece, board: &BoardLayer) -> bool {
    piece.to_mm - piece.from_mm > board.width_mm - ON_MM
        && piece.head_mm - piece.foot_mm > board.length_mm - ON_MM
}

fn bound(laid: &Laid, piece: &WallPiece) -> Bound {
    let n = need(piece);
    let meets = |x: f64| laid.uprights.iter().any(|u| (u - x).abs() < ON_MM);
    Bound {
        width_mm: n.width_mm,
        length_mm: n.length_mm,
        low: meets(piece.from_mm),
        high: meets(piece.to_mm),
    }
}

/// One layer from one origin, with what it takes at least; none where a piece is too small or a joint too near an opening.
fn lay(
    lining: &Lining,
    board: &BoardLayer,
    number: usize,
    origin: f64,
    levels: &Levels,
) -> Option<(Laid, Least)> {
    let [left, foot, right, head] = edges(lining);
    let rules = &lining.rules;
    let mut uprights = Vec::new();
    let mut at = origin + ((left - origin) / board.width_mm).floor() * board.width_mm;
    while at < right - ON_MM {
        if at > left + ON_MM {
            uprights.push(at);
        }
        at += board.width_mm;
    }
    let near_opening = |x: f64| {
        lining.openings.iter().any(|o| {
            (x - o.from_mm).abs() < JAMB_CLEAR_MM - ON_MM || (x - o.to_mm).abs() < JAMB_CLEAR_MM - ON_MM
        })
    };
    if uprights.iter().any(|x| near_opening(*x)) {
        return None;
    }
    let mut pieces: Vec<WallPiece> = Vec::new();
    let sides: Vec<f64> = [left].into_iter().chain(uprights.iter().copied()).chain([right]).collect();
    for (column, pair) in sides.windows(2).enumerate() {
        let [from, to] = pair else { continue };
        if to - from < rules.min_strip_mm - ON_MM {
            return None;
        }
        let own = &levels[column % 2];
        let heights: Vec<f64> = [foot].into_iter().chain(own.iter().copied()).chain([head]).collect();
        for tier in heights.windows(2) {
            let [low, high] = tier else { continue };
            pieces.extend(round_openings(lining, [*from, *low, *to, *high]));
        }
    }
    for (at, piece) in pieces.iter_mut().enumerate() {
        piece.name = format!("{number}-{:02}", at + 1);
        let (w, h) = (piece.to_mm - piece.from_mm, piece.head_mm - piece.foot_mm);
        piece.whole =
            w > board.width_mm - ON_MM && h > board.length_mm - ON_MM && piece.cut_outs_mm.is_empty();
        if w < 30.0 || h < 30.0 {
            return None;
        }
    }
    let is_full = |p: &WallPiece| is_full(p, board);
    let full = pieces.iter().filter(|p| is_full(p)).count();
    let cut: Vec<usize> = (0..pieces.len()).filter(|&i| !is_full(&pieces[i])).collect();
    let needs: Vec<Need> = cut.iter().map(|&i| need(&pieces[i])).collect();
    let (places, count) = sheet_of(board, rules).place(&needs);
    put(&mut pieces, &cut, &places, full, is_full);
    let area_mm2: f64 = needs.iter().map(|n| n.width_mm * n.length_mm).sum();
    let sheets = full + count;
    let begun = vec![None; sheets];
    Some((Laid { pieces, uprights, levels: levels.clone(), sheets, begun }, Least { full, area_mm2 }))
}

fn need(piece: &WallPiece) -> Need {
    Need { width_mm: piece.to_mm - piece.from_mm, length_mm: piece.head_mm - piece.foot_mm, bound_edge: true }
}

fn put(
    pieces: &mut [WallPiece],
    cut: &[usize],
    places: &[Place],
    full: usize,
    is_full: impl Fn(&WallPiece) -> bool,
) {
    let mut next = 0;
    for piece in pieces.iter_mut() {
        if is_full(piece) {
            piece.sheet = next;
            piece.on_sheet_mm = [0.0, 0.0];
            next += 1;
        }
    }
    for (&i, place) in cut.iter().zip(places) {
        if let Some(piece) = pieces.get_mut(i) {
            piece.sheet = full + place.sheet;
            let Point { x_mm, y_mm } = place.at;
            piece.on_sheet_mm = [x_mm, y_mm];
        }
    }
}

/// The cut pieces of a layer by the cutting room's deeper search, where it takes fewer sheets.
fn cut_again(laid: &mut Laid, board: &BoardLayer, rules: &Rules) {
    let is_full = |p: &WallPiece| is_full(p, board);
    let cut: Vec<usize> = (0..laid.pieces.len()).filter(|&i| !is_full(&laid.pieces[i])).collect();
    let full = laid.pieces.len() - cut.len();
    let bounds: Vec<Bound> = cut.iter().map(|&i| bound(laid, &laid.pieces[i])).collect();
    if let Some((places, count)) = sheet_of(board, rules).place_better(&bounds, laid.sheets - full) {
        put(&mut laid.pieces, &cut, &places, full, is_full);
        laid.sheets = full + count;
        laid.begun = vec![None; laid.sheets];
    }
}

/// What of a rectangle stays beside the openings: whole pieces above and below where one takes its full width, cut-outs else.
fn round_openings(lining: &Lining, whole: [f64; 4]) -> Vec<WallPiece> {
    let mut open = vec![whole];
    for o in &lining.openings {
        let mut next = Vec::new();
        for r in open {
            let spans = o.from_mm <= r[0] + ON_MM && o.to_mm >= r[2] - ON_MM;
            let stands = o.sill_mm <= r[1] + ON_MM && o.head_mm >= r[3] - ON_MM;
            let meets = o.from_mm < r[2] - ON_MM
                && o.to_mm > r[0] + ON_MM
                && o.sill_mm < r[3] - ON_MM
                && o.head_mm > r[1] + ON_MM;
            if !meets || !(spans || stands) {
                next.push(r);
                continue;
            }
            if spans {
                next.push([r[0], r[1], r[2], o.sill_mm]);
                next.push([r[0], o.head_mm, r[2], r[3]]);
            } else {
                next.push([r[0], r[1], o.from_mm, r[3]]);
                next.push([o.to_mm, r[1], r[2], r[3]]);
            }
        }
        open = next.into_iter().filter(|r| r[2] - r[0] > ON_MM && r[3] - r[1] > ON_MM).collect();
    }
    open.into_iter()
        .map(|r| {
            let cut_outs_mm: Vec<[f64; 4]> = lining
                .openings
                .iter()
                .map(|o| [o.from_mm.max(r[0]), o.sill_mm.max(r[1]), o.to_mm.min(r[2]), o.head_mm.min(r[3])])
                .filter(|c| c[2] - c[0] > ON_MM && c[3] - c[1] > ON_MM)
                .collect();
            let holes: f64 = cut_outs_mm.iter().map(|c| (c[2] - c[0]) * (c[3] - c[1])).sum();
            WallPiece {
                name: String::new(),
                from_mm: r[0],
                to_mm: r[2],
                foot_mm: r[1],
                head_mm: r[3],
                cut_outs_mm,
                whole: false,
                sheet: 0,
                on_sheet_mm: [0.0, 0.0],
                area_m2: ((r[2] - r[0]) * (r[3] - r[1]) - holes) / 1e6,
            }
        })
        .collect()
}

/// Which limit stands in the way, found by easing one after the other.
fn no_layout(lining: &Lining) -> SetoutError {
    type Ease = (&'static str, fn(&Rules) -> f64, fn(&mut Rules, f64));
    let eases: [Ease; 2] = [
        ("min_strip_mm", |r| r.min_strip_mm, |r, v| r.min_strip_mm = v),
        ("stagger_layers_mm", |r| r.stagger_layers_mm, |r, v| r.stagger_layers_mm = v),
    ];
    for (limit, get, set) in eases {
        let has = get(&lining.rules);
        let try_at = |value: f64| {
            let mut eased = lining.clone();
            set(&mut eased.rules, value);
            value < has && matches!(search(&eased), Ok(Some(_)))
        };
        if let Some(to) = crate::relax::highest_that_works(0.0, has, try_at) {
            return SetoutError::NoLayout {
                limit: limit.to_owned(),
                relax_to_mm: Some(to),
                sentence: format!(
                    "wall {}: no way of laying the boards keeps rules.{limit} = {has:.0}; lower it to {to:.0}, the highest that works, or take another size of board",
                    lining.wall
                ),
            };
        }
    }
    SetoutError::NoLayout {
        limit: "openings".into(),
        relax_to_mm: None,
        sentence: format!(
            "wall {}: no way of laying the boards keeps every joint {JAMB_CLEAR_MM:.0} mm from the sides of its openings; take narrower or wider boards",
            lining.wall
        ),
    }
}
