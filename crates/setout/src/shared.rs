//! Layers of the same board share their sheets: what one layer leaves of a sheet serves the next.

use std::collections::BTreeMap;

use crate::draft::{self, DraftLayer};
use crate::layout::JointKind;
use crate::sheets::{Bench, Bound, Need, Place, SheetSize};
use crate::strips::{self, Choice, LayerFamily, Part};
use crate::{BoardLayer, Rules};

/// Nobody lays a sheet out anew for less \[mm\].
const LESS_SAWN_MM: f64 = 0.1;

/// A sheet of a layer that another layer began: that layer's index, and the sheet's in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Begun {
    pub(crate) layer: usize,
    pub(crate) sheet: usize,
}

/// The layers by board, in order: those of one board together.
pub(crate) fn groups(boards: &[BoardLayer]) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, board) in boards.iter().enumerate() {
        let same = |group: &&mut Vec<usize>| {
            group.first().and_then(|&first| boards.get(first)).is_some_and(|first| first == board)
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(index),
            None => groups.push(vec![index]),
        }
    }
    groups
}

/// Any two layers have the same board.
pub(crate) fn any(groups: &[Vec<usize>]) -> bool {
    groups.iter().any(|group| group.len() > 1)
}

pub(crate) fn sheet_size(board: &BoardLayer, rules: &Rules) -> SheetSize {
    SheetSize { width_mm: board.width_mm, length_mm: board.length_mm, kerf_mm: rules.kerf_mm }
}

pub(crate) fn is_whole(part: &Part, board: &BoardLayer) -> bool {
    part.width_mm() > board.width_mm - 1e-6 && part.length_mm() > board.length_mm - 1e-6
}

/// The cut pieces of layers of one board, as layer and part, and how many pieces are whole sheets.
pub(crate) fn cut_pieces(
    layers: &[DraftLayer],
    members: &[usize],
    board: &BoardLayer,
) -> (Vec<(usize, usize)>, usize) {
    let (mut cut, mut whole) = (Vec::new(), 0);
    for &layer in members {
        for (index, part) in layers.get(layer).iter().flat_map(|l| &l.parts).enumerate() {
            if is_whole(part, board) {
                whole += 1;
            } else {
                cut.push((layer, index));
            }
        }
    }
    (cut, whole)
}

/// Sheets bought for layers of one board.
pub(crate) fn bought(layers: &[DraftLayer], members: &[usize]) -> usize {
    members.iter().filter_map(|&m| layers.get(m)).map(DraftLayer::bought).sum()
}

/// Cuts the pieces of all layers of one board from sheets in common, where that takes fewer.
pub(crate) fn share(layers: &mut [DraftLayer], boards: &[BoardLayer], rules: &Rules) {
    for members in groups(boards).iter().filter(|members| members.len() > 1) {
        let Some(board) = members.first().and_then(|&m| boards.get(m)) else { continue };
        let (cut, whole) = cut_pieces(layers, members, board);
        let needs: Vec<Need> =
            cut.iter().filter_map(|&(l, p)| layers.get(l)?.parts.get(p)).map(strips::need).collect();
        let (places, sheets) = sheet_size(board, rules).place(&needs);
        if whole + sheets < bought(layers, members) {
            lay(layers, members, board, &cut, &places);
        }
    }
}

/// Counts sheets; room to work in, used again and again.
#[derive(Default)]
pub(crate) struct Counter {
    needs: Vec<Need>,
    own: Vec<Need>,
    bench: Bench,
}

impl Counter {
    /// The sheets [`share`] would take for these choices of layers of one board.
    pub(crate) fn count<'a>(
        &mut self,
        board: &BoardLayer,
        rules: &Rules,
        laid: impl Iterator<Item = (&'a LayerFamily, &'a Choice)>,
    ) -> usize {
        self.needs.clear();
        let mut whole = 0;
        for (family, choice) in laid {
            if let Some(alone) = family.choice(choice.origin, &choice.phases, &mut self.own) {
                whole += alone.boards;
            }
            self.needs.append(&mut self.own);
        }
        whole + sheet_size(board, rules).count(&self.needs, &mut self.bench)
    }
}

/// What the sheets must give for each of the cut pieces.
pub(crate) fn bounds(layers: &[DraftLayer], cut: &[(usize, usize)]) -> Vec<Bound> {
    cut.iter()
        .filter_map(|&(l, p)| layers.get(l).and_then(|layer| Some((layer, layer.parts.get(p)?))))
        .map(|(layer, part)| bound(layer, part))
        .collect()
}

/// What the sheet must give for a part of a layer.
pub(crate) fn bound(layer: &DraftLayer, part: &Part) -> Bound {
    let meets = |u: f64| {
        layer.joints.iter().any(|j| {
            j.kind == JointKind::Long
                && (j.from.x_mm - u).abs() < 1e-6
                && j.from.y_mm.max(part.low.y_mm) < j.to.y_mm.min(part.high.y_mm) - 1e-6
        })
    };
    Bound {
        width_mm: part.width_mm(),
        length_mm: part.length_mm(),
        low: meets(part.low.x_mm),
        high: meets(part.high.x_mm),
    }
}

/// Lays the cut pieces of layers of one board where `places` says, counted through all the layers; whole pieces take a sheet each.
/// A sheet belongs to the first layer that has a piece on it.
pub(crate) fn lay(
    layers: &mut [DraftLayer],
    members: &[usize],
    board: &BoardLayer,
    cut: &[(usize, usize)],
    places: &[Place],
) {
    for &layer in members {
        let Some(own) = layers.get_mut(layer) else { continue };
        own.sheets.clear();
        for (part, place) in own.parts.iter().zip(&mut own.places) {
            if is_whole(part, board) {
                *place = Place { sheet: own.sheets.len(), at: crate::Point::new(0.0, 0.0) };
                own.sheets.push(None);
            }
        }
    }
    let count = places.iter().map(|p| p.sheet + 1).max().unwrap_or(0);
    for sheet in 0..count {
        let mut begun: Option<Begun> = None;
        for &layer in members {
            let here = cut.iter().zip(places).filter(|((l, _), p)| *l == layer && p.sheet == sheet);
            let here: Vec<(usize, Place)> = here.map(|((_, part), place)| (*part, *place)).collect();
            let Some(own) = layers.get_mut(layer).filter(|_| !here.is_empty()) else { continue };
            let number = own.sheets.len();
            own.sheets.push(begun);
            begun = begun.or(Some(Begun { layer, sheet: number }));
            for (part, place) in here {
                if let Some(to) = own.places.get_mut(part) {
                    *to = Place { sheet: number, at: place.at };
                }
            }
        }
    }
}

/// Lays sheets out the other way across their width where that leaves less to saw: which side a wall slants to then decides nothing.
pub(crate) fn spare_cuts(layers: &mut [DraftLayer], boards: &[BoardLayer]) {
    // By sheet, as the layer that buys it and its number there: what is spared as it lies, and the other way.
    let mut spared: BTreeMap<(usize, usize), [f64; 2]> = BTreeMap::new();
    let sheet_of = |index: usize, layer: &DraftLayer, place: &Place| {
        let begun = layer.sheets.get(place.sheet).copied().flatten();
        begun.map_or((index, place.sheet), |begun| (begun.layer, begun.sheet))
    };
    for (index, (layer, board)) in layers.iter().zip(boards).enumerate() {
        for (part, place) in layer.parts.iter().zip(&layer.places) {
            let own = draft::spared(part, place, board);
            let sum = spared.entry(sheet_of(index, layer, place)).or_default();
            *sum = [sum[0] + own[0], sum[1] + own[1]];
        }
    }
    for (index, (layer, board)) in layers.iter_mut().zip(boards).enumerate() {
        let sheets: Vec<(usize, usize)> =
            layer.places.iter().map(|place| sheet_of(index, layer, place)).collect();
        for ((place, part), sheet) in layer.places.iter_mut().zip(&layer.parts).zip(sheets) {
            if spared.get(&sheet).is_some_and(|[plain, other]| *other > plain + LESS_SAWN_MM) {
                place.at.x_mm = (board.width_mm - place.at.x_mm - part.width_mm()).max(0.0);
            }
        }
    }
}
