//! Which sheet each piece is cut from: guillotine cuts, offcuts used again, bound edges kept to the long joints.

use std::cmp::Reverse;

use cutting::bars::{BarOrder, BarPiece, BarStock, cut_bars};
use cutting::sheets::{SheetOrder, SheetPiece, SheetStock, Sides, cut_sheets};

use crate::Point;

/// What the sheet must give for one piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Need {
    pub(crate) width_mm: f64,
    pub(crate) length_mm: f64,
    /// A long side of the piece meets the next strip, so it must be a bound edge of the sheet.
    pub(crate) bound_edge: bool,
}

/// What the sheet must give for one piece, side by side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bound {
    pub(crate) width_mm: f64,
    pub(crate) length_mm: f64,
    /// The side of lesser `u` meets the strip before.
    pub(crate) low: bool,
    /// The side of greater `u` meets the next strip.
    pub(crate) high: bool,
}

/// Where a piece lies on its sheet: the corner of its box nearest the sheet's own corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Place {
    pub(crate) sheet: usize,
    pub(crate) at: Point,
}

/// The size of a sheet and what a cut takes.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(clippy::struct_field_names, reason = "the unit belongs to each name")]
pub(crate) struct SheetSize {
    pub(crate) width_mm: f64,
    pub(crate) length_mm: f64,
    pub(crate) kerf_mm: f64,
}

/// Sizes are ranked in thousandths of a millimetre, so that the last digit of a turned or mirrored room decides nothing.
fn thousandths(mm: f64) -> i64 {
    (mm * 1e3).round() as i64
}

/// What is left of a sheet in one place, by its corner nearest the sheet's own.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Offcut {
    pub(crate) sheet: usize,
    pub(crate) x_mm: f64,
    pub(crate) y_mm: f64,
    pub(crate) width: f64,
    pub(crate) length: f64,
}

/// A rectangle on a sheet: its corner nearest the sheet's own, then the one opposite.
pub(crate) type SheetBox = [f64; 4];

/// A part of a sheet and the pieces in it.
struct Region<T> {
    at: SheetBox,
    own: Vec<(T, SheetBox)>,
}

/// Room to work in: the order of the pieces, widest and longest first, and the offcuts.
#[derive(Clone, Debug, Default)]
pub(crate) struct Bench {
    order: Vec<(Reverse<(i64, i64)>, usize)>,
    offcuts: Vec<Offcut>,
}

const FIT_MM: f64 = 1e-6;
/// A piece this near the sheet's far side was laid against it \[mm\].
const FLUSH_MM: f64 = 0.03;

impl SheetSize {
    /// Places every piece, the widest and longest first, in the offcut it fits tightest; a new sheet when none fits.
    ///
    /// Gives the places in the order of the needs, and the number of sheets. Needs larger than the sheet are given a
    /// sheet each; the caller cuts none such.
    pub(crate) fn place(&self, needs: &[Need]) -> (Vec<Place>, usize) {
        let mut places = vec![Place { sheet: 0, at: Point::new(0.0, 0.0) }; needs.len()];
        let sheets = self.place_each(needs, 0, &mut Bench::default(), |index, place| places[index] = place);
        (places, sheets)
    }

    /// As [`Self::place`], with what is left of the `begun` sheets that are cut already used first; the number of sheets counts those.
    pub(crate) fn place_beside(
        &self,
        needs: &[Need],
        begun: usize,
        left: Vec<Offcut>,
    ) -> (Vec<Place>, usize) {
        let mut places = vec![Place { sheet: 0, at: Point::new(0.0, 0.0) }; needs.len()];
        let mut bench = Bench { order: Vec::new(), offcuts: left };
        let sheets = self.place_each(needs, begun, &mut bench, |index, place| places[index] = place);
        (places, sheets)
    }

    /// What is left of a sheet round the boxes of pieces that straight cuts part; nothing where none do.
    pub(crate) fn left_of(&self, sheet: usize, boxes: &[SheetBox]) -> Vec<Offcut> {
        let mut out = Vec::new();
        let mut open = vec![self.whole(boxes.iter().map(|at| ((), *at)).collect())];
        while let Some(Region { at, own }) = open.pop() {
            match own.as_slice() {
                [] => {
                    let [x_mm, y_mm, x_end, y_end] = at;
                    let (width, length) = (x_end - x_mm, y_end - y_mm);
                    if width > 1.0 && length > 1.0 {
                        out.push(Offcut { sheet, x_mm, y_mm, width, length });
                    }
                }
                [((), one)] => {
                    open.extend(self.round(at, *one).map(|at| Region { at, own: Vec::new() }));
                }
                _ => open.extend(self.parted(at, &own).into_iter().flatten()),
            }
        }
        out
    }

    fn whole<T>(&self, own: Vec<(T, SheetBox)>) -> Region<T> {
        Region { at: [0.0, 0.0, self.width_mm, self.length_mm], own }
    }

    /// The four places left round one piece in a region, the larger ones whole.
    fn round(&self, region: SheetBox, piece: SheetBox) -> [SheetBox; 4] {
        let kerf = self.kerf_mm;
        let beside = |axis: usize| (piece[axis] - region[axis]).max(region[axis + 2] - piece[axis + 2]);
        let rip_first = beside(0) * (region[3] - region[1]) >= beside(1) * (region[2] - region[0]);
        let (first, second) = if rip_first { (0, 1) } else { (1, 0) };
        let mut rest = region;
        let mut sides = [[0.0; 4]; 4];
        for (axis, at) in [(first, 0), (second, 2)] {
            let (mut low, mut high) = (rest, rest);
            low[axis + 2] = piece[axis] - kerf;
            high[axis] = piece[axis + 2] + kerf;
            (sides[at], sides[at + 1]) = (low, high);
            (rest[axis], rest[axis + 2]) = (piece[axis], piece[axis + 2]);
        }
        sides
    }

    /// A region parted by a straight cut between its pieces; none where every cut goes through one.
    fn parted<T: Copy>(&self, region: SheetBox, own: &[(T, SheetBox)]) -> Option<[Region<T>; 2]> {
        for axis in [0, 1] {
            for cut in own.iter().map(|(_, at)| at[axis + 2]) {
                let (low, high): (Vec<_>, Vec<_>) =
                    own.iter().partition(|(_, at)| at[axis + 2] <= cut + FIT_MM);
                let next = high.iter().map(|(_, at)| at[axis]).fold(f64::INFINITY, f64::min);
                if !low.is_empty() && !high.is_empty() && next >= cut + self.kerf_mm - FLUSH_MM {
                    let (mut before, mut after) = (region, region);
                    before[axis + 2] = cut;
                    after[axis] = (cut + self.kerf_mm).min(next);
                    return Some([Region { at: before, own: low }, Region { at: after, own: high }]);
                }
            }
        }
        None
    }

    /// The sheets [`Self::place`] takes; `bench` is room to work in, used again and again.
    pub(crate) fn count(&self, needs: &[Need], bench: &mut Bench) -> usize {
        bench.offcuts.clear();
        self.place_each(needs, 0, bench, |_, _| {})
    }

    /// The sheets taken, those `begun` before included, whose offcuts lie on the bench.
    fn place_each(
        &self,
        needs: &[Need],
        begun: usize,
        bench: &mut Bench,
        mut put: impl FnMut(usize, Place),
    ) -> usize {
        let Bench { order, offcuts } = bench;
        order.clear();
        order.extend(
            needs
                .iter()
                .enumerate()
                .map(|(index, n)| (Reverse((thousandths(n.width_mm), thousandths(n.length_mm))), index)),
        );
        order.sort_unstable();
        let mut sheets = begun;
        for &(_, index) in order.iter() {
            let need = &needs[index];
            let best = (0..offcuts.len()).filter(|&i| self.fits(&offcuts[i], need)).min_by(|&a, &b| {
                let slack = |o: &Offcut| {
                    let (w, l) = (o.width - need.width_mm, o.length - need.length_mm);
                    (thousandths(w.min(l)), thousandths(w.max(l)))
                };
                slack(&offcuts[a]).cmp(&slack(&offcuts[b])).then(a.cmp(&b))
            });
            let offcut = if let Some(i) = best {
                offcuts.swap_remove(i)
            } else {
                sheets += 1;
                Offcut {
                    sheet: sheets - 1,
                    x_mm: 0.0,
                    y_mm: 0.0,
                    width: self.width_mm,
                    length: self.length_mm,
                }
            };
            let at_right = offcut.x_mm > FIT_MM && self.touches_right(&offcut);
            let x = if at_right { offcut.x_mm + offcut.width - need.width_mm } else { offcut.x_mm };
            // The last on a sheet lies against its far end: one end less to saw square.
            let at_end = offcut.y_mm > FIT_MM && offcut.y_mm + offcut.length > self.length_mm - FIT_MM;
            let y = if at_end { offcut.y_mm + offcut.length - need.length_mm } else { offcut.y_mm };
            put(index, Place { sheet: offcut.sheet, at: Point::new(x, y) });
            self.split(&offcut, need, (at_right, at_end), offcuts);
        }
        sheets
    }

    /// The same needs placed by the cutting room's own search; none when it finds no fewer sheets than `fewer_than`.
    ///
    /// Bound edges may lie at either side of a sheet, since a piece may be turned end for end.
    pub(crate) fn place_better(&self, needs: &[Bound], fewer_than: usize) -> Option<(Vec<Place>, usize)> {
        let order = SheetOrder {
            pieces: needs
                .iter()
                .map(|n| SheetPiece {
                    label: String::new(),
                    length_mm: n.length_mm - FIT_MM,
                    width_mm: n.width_mm - FIT_MM,
                    may_turn: false,
                    factory_edges: Sides { bottom: n.low, top: n.high, ..Sides::NONE },
                })
                .collect(),
            stock: vec![SheetStock {
                name: String::new(),
                length_mm: self.length_mm,
                width_mm: self.width_mm,
                available: None,
                price: None,
                factory_edges: Sides::ALL,
            }],
            kerf_mm: self.kerf_mm,
        };
        let plan = cut_sheets(&order).ok()?;
        if plan.sheets.len() >= fewer_than {
            return None;
        }
        let mut places = vec![None; needs.len()];
        for (sheet, cut) in plan.sheets.iter().enumerate() {
            for laid in &cut.placements {
                let need = needs.get(laid.piece)?;
                // Sizes are rounded to hundredths there; a piece at the far side is at the far side.
                let flush = |at: f64, laid: f64, size: f64, whole: f64| {
                    if at + laid > whole - FLUSH_MM { whole - size } else { at }
                };
                let x = flush(laid.y_mm, laid.width_mm, need.width_mm, self.width_mm);
                let y = flush(laid.x_mm, laid.length_mm, need.length_mm, self.length_mm);
                *places.get_mut(laid.piece)? = Some(Place { sheet, at: Point::new(x, y) });
            }
        }
        let mut places = places.into_iter().collect::<Option<Vec<Place>>>()?;
        for sheet in 0..plan.sheets.len() {
            self.lay_at_far_end(sheet, needs, &mut places);
        }
        Some((places, plan.sheets.len()))
    }

    /// Moves the last pieces of a sheet against its far end, as far as its cuts leave them room to: one end less to saw square.
    fn lay_at_far_end(&self, sheet: usize, needs: &[Bound], places: &mut [Place]) {
        let own: Vec<(usize, SheetBox)> = places
            .iter()
            .zip(needs)
            .enumerate()
            .filter(|(_, (place, _))| place.sheet == sheet)
            .map(|(index, (place, need))| {
                let (x, y) = (place.at.x_mm, place.at.y_mm);
                (index, [x, y, x + need.width_mm, y + need.length_mm])
            })
            .collect();
        let mut open = vec![self.whole(own)];
        while let Some(Region { at, own }) = open.pop() {
            if let [(index, [_, from, _, to])] = own.as_slice() {
                let moves = *from > FIT_MM && at[3] > self.length_mm - FIT_MM;
                if let Some(place) = places.get_mut(*index).filter(|_| moves) {
                    place.at.y_mm += at[3] - to;
                }
            } else {
                open.extend(self.parted(at, &own).into_iter().flatten());
            }
        }
    }

    fn touches_right(&self, o: &Offcut) -> bool {
        o.x_mm + o.width > self.width_mm - FIT_MM
    }

    fn fits(&self, o: &Offcut, need: &Need) -> bool {
        o.width > need.width_mm - FIT_MM
            && o.length > need.length_mm - FIT_MM
            && (!need.bound_edge || o.x_mm < FIT_MM || self.touches_right(o))
    }

    fn split(&self, o: &Offcut, need: &Need, (at_right, at_end): (bool, bool), offcuts: &mut Vec<Offcut>) {
        let beside = o.width - need.width_mm - self.kerf_mm;
        let beyond = o.length - need.length_mm - self.kerf_mm;
        let side_x = if at_right { o.x_mm } else { o.x_mm + need.width_mm + self.kerf_mm };
        let end_y = if at_end { o.y_mm } else { o.y_mm + need.length_mm + self.kerf_mm };
        let own_y = if at_end { o.y_mm + o.length - need.length_mm } else { o.y_mm };
        let own_x = if at_right { o.x_mm + o.width - need.width_mm } else { o.x_mm };
        // Rip first leaves a full-length strip beside; cross-cut first leaves a full-width end. The larger is kept whole.
        let rip_first = beside > 0.0 && beside * o.length >= o.width * beyond.max(0.0) - 1.0;
        if beside > 1.0 {
            let (y_mm, length) = if rip_first { (o.y_mm, o.length) } else { (own_y, need.length_mm) };
            offcuts.push(Offcut { sheet: o.sheet, x_mm: side_x, y_mm, width: beside, length });
        }
        if beyond > 1.0 {
            let (x, width) = if rip_first { (own_x, need.width_mm) } else { (o.x_mm, o.width) };
            offcuts.push(Offcut { sheet: o.sheet, x_mm: x, y_mm: end_y, width, length: beyond });
        }
    }
}

/// Lengths cut from stock bars, the saw's cut counted: the stock bar of each length, and how many. First fit, longest first; where that
/// takes more than the lengths together need, as the cutting room's own search has it.
pub(crate) fn cut_lengths(lengths_mm: &[f64], stock_mm: f64, kerf_mm: f64) -> (Vec<usize>, usize) {
    let (stock, count) = first_fit(lengths_mm, stock_mm, kerf_mm);
    let together_mm: f64 = lengths_mm.iter().map(|length| length + kerf_mm).sum();
    let least = (together_mm / (stock_mm + kerf_mm) - 1e-9).ceil() as usize;
    if count <= least {
        return (stock, count);
    }
    let order = BarOrder {
        pieces: lengths_mm
            .iter()
            .map(|length| BarPiece { label: String::new(), length_mm: length - FIT_MM })
            .collect(),
        stock: vec![BarStock { name: String::new(), length_mm: stock_mm, available: None, price: None }],
        kerf_mm,
    };
    let Ok(plan) = cut_bars(&order) else { return (stock, count) };
    if plan.bars.len() >= count {
        return (stock, count);
    }
    let mut bar_of = vec![0; lengths_mm.len()];
    for (at, bar) in plan.bars.iter().enumerate() {
        for &piece in &bar.pieces {
            bar_of[piece] = at;
        }
    }
    (bar_of, plan.bars.len())
}

/// First fit, longest first.
fn first_fit(lengths_mm: &[f64], stock_mm: f64, kerf_mm: f64) -> (Vec<usize>, usize) {
    let mut order: Vec<usize> = (0..lengths_mm.len()).collect();
    order.sort_by(|&a, &b| lengths_mm[b].total_cmp(&lengths_mm[a]).then(a.cmp(&b)));
    let mut left: Vec<f64> = Vec::new();
    let mut stock = vec![0; lengths_mm.len()];
    for index in order {
        let length = lengths_mm[index];
        let fit = left.iter().position(|&l| l > length - FIT_MM);
        let bar = fit.unwrap_or_else(|| {
            left.push(stock_mm);
            left.len() - 1
        });
        stock[index] = bar;
        left[bar] -= length + kerf_mm;
    }
    (stock, left.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: SheetSize = SheetSize { width_mm: 1200.0, length_mm: 2400.0, kerf_mm: 3.0 };

    fn need(width_mm: f64, length_mm: f64) -> Need {
        Need { width_mm, length_mm, bound_edge: true }
    }

    #[test]
    fn two_edge_strips_share_a_sheet_and_keep_a_bound_edge_each() {
        let (places, sheets) = SHEET.place(&[need(500.0, 2400.0), need(500.0, 2400.0)]);
        assert_eq!(sheets, 1);
        assert!(places[0].at.x_mm.abs() < 1e-9);
        assert!((places[1].at.x_mm - 700.0).abs() < 1e-9);
    }

    #[test]
    fn the_saw_takes_its_share() {
        assert_eq!(SHEET.place(&[need(1200.0, 1200.0), need(1200.0, 1200.0)]).1, 2);
        assert_eq!(SHEET.place(&[need(1200.0, 1200.0), need(1200.0, 1197.0)]).1, 1);
    }

    #[test]
    fn a_third_strip_without_a_bound_edge_left_takes_a_new_sheet() {
        assert_eq!(SHEET.place(&[need(390.0, 2400.0), need(390.0, 2400.0), need(390.0, 2400.0)]).1, 2);
    }

    /// First fit, longest first, takes three bars of 10 for 6, 5, 3, 2, 2, 2; with nothing left over two do.
    #[test]
    fn bars_are_cut_from_the_fewest() {
        let lengths = [6.0, 5.0, 3.0, 2.0, 2.0, 2.0].map(|tenths| tenths * 360.0);
        assert_eq!(first_fit(&lengths, 3600.0, 0.0).1, 3);
        let (bar_of, count) = cut_lengths(&lengths, 3600.0, 0.0);
        assert_eq!(count, 2);
        for bar in 0..2 {
            let cut: f64 = lengths.iter().zip(&bar_of).filter(|(_, of)| **of == bar).map(|(l, _)| l).sum();
            assert!((cut - 3600.0).abs() < 1e-9, "{cut}");
        }
    }

    #[test]
    fn bars_share_stock() {
        let (_, count) = cut_lengths(&[3600.0, 1790.0, 3600.0, 1790.0], 3600.0, 3.0);
        assert_eq!(count, 3);
    }
}
