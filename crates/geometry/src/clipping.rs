//! Booleans of polygons: the one place that reaches the clipping library.
//!
//! Corners are rounded to a fixed grid, the kernel works in whole numbers, and the answer is taken back: no
//! tolerance, no dependence on the extent of the drawing. The library takes a clockwise outer ring for a hole;
//! [`Polygon`] only ever hands it counter-clockwise ones.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::Overlay;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use serde::Serialize;

use crate::{Point, Polygon};

/// Grid of the booleans, mm: finer than any saw, coarse enough that sides meant to coincide do.
pub const GRID_MM: f64 = 1e-3;

/// A polygon with holes in it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Region {
    /// The outer boundary.
    pub outer: Polygon,
    /// What is cut out of it; no hole touches the outer boundary along a side.
    pub holes: Vec<Polygon>,
}

impl Region {
    /// Area without the holes, mm².
    pub fn area_mm2(&self) -> f64 {
        self.outer.area_mm2() - self.holes.iter().map(Polygon::area_mm2).sum::<f64>()
    }

    /// The same area as polygons without holes: cut upright through the middle of each hole.
    pub fn without_holes(&self) -> Vec<Polygon> {
        let Some(hole) = self.holes.first() else { return vec![self.outer.clone()] };
        let bounds = self.outer.bounds();
        let cut_mm = hole.bounds().middle().x_mm;
        let left = Polygon::rectangle(bounds.least, Point::new(cut_mm, bounds.most.y_mm));
        let right = Polygon::rectangle(Point::new(cut_mm, bounds.least.y_mm), bounds.most);
        let subject: Vec<&[Point]> =
            std::iter::once(&self.outer).chain(&self.holes).map(Polygon::corners).collect();
        [left, right]
            .iter()
            .filter_map(|half| half.as_ref().ok())
            .flat_map(|half| overlay(&subject, &[half.corners()], Rule::INTERSECTION_OF_RINGS, GRID_MM))
            .flat_map(|part| part.without_holes())
            .collect()
    }
}

impl Polygon {
    /// What both polygons cover, in parts; empty when they only touch.
    pub fn intersection(&self, other: &Self) -> Vec<Self> {
        if !self.bounds().overlaps(other.bounds()) {
            return Vec::new();
        }
        flatten(&overlay(&[self.corners()], &[other.corners()], Rule::INTERSECTION, GRID_MM))
    }

    /// What this polygon covers and the other does not. A part with a hole comes back cut in two through the
    /// middle of the hole; see [`Polygon::difference_with_holes`].
    pub fn difference(&self, other: &Self) -> Vec<Self> {
        flatten(&overlay(&[self.corners()], &[other.corners()], Rule::DIFFERENCE, GRID_MM))
    }

    /// What this polygon covers and none of the others does, holes kept as holes.
    pub fn difference_with_holes(&self, others: &[Self]) -> Vec<Region> {
        overlay(&[self.corners()], &rings(others), Rule::DIFFERENCE, GRID_MM)
    }

    /// What either polygon covers; one part when they touch along a side, two when they are apart. A hole
    /// between them is handled as in [`Polygon::difference`].
    pub fn union(&self, other: &Self) -> Vec<Self> {
        flatten(&overlay(&[self.corners()], &[other.corners()], Rule::UNION, GRID_MM))
    }
}

/// What is covered by at least one of the polygons.
pub fn union_of(polygons: &[Polygon]) -> Vec<Polygon> {
    flatten(&overlay(&rings(polygons), &[], Rule::UNION, GRID_MM))
}

/// What is covered by at least one of `these` and by none of `less`.
pub fn difference_of(these: &[Polygon], less: &[Polygon]) -> Vec<Polygon> {
    flatten(&overlay(&rings(these), &rings(less), Rule::DIFFERENCE, GRID_MM))
}

/// What is covered by at least one of `these` and at least one of `those`.
pub fn intersection_of(these: &[Polygon], those: &[Polygon]) -> Vec<Polygon> {
    flatten(&overlay(&rings(these), &rings(those), Rule::INTERSECTION, GRID_MM))
}

/// Which boolean, and how overlapping rings of one operand count.
#[derive(Clone, Copy)]
pub(crate) struct Rule {
    overlay: OverlayRule,
    fill: FillRule,
}

impl Rule {
    pub(crate) const INTERSECTION: Self = Self { overlay: OverlayRule::Intersect, fill: FillRule::NonZero };
    pub(crate) const DIFFERENCE: Self = Self { overlay: OverlayRule::Difference, fill: FillRule::NonZero };
    pub(crate) const UNION: Self = Self { overlay: OverlayRule::Union, fill: FillRule::NonZero };
    /// The subject is one outer ring and the rings of its holes, all counter-clockwise.
    const INTERSECTION_OF_RINGS: Self = Self { overlay: OverlayRule::Intersect, fill: FillRule::EvenOdd };
}

/// Runs one boolean of rings, all counter-clockwise, on a grid of `grid_mm`.
pub(crate) fn overlay(subject: &[&[Point]], clip: &[&[Point]], rule: Rule, grid_mm: f64) -> Vec<Region> {
    let on_grid = |rings: &[&[Point]]| -> Vec<Vec<IntPoint<i64>>> {
        rings.iter().map(|ring| ring_on_grid(ring, grid_mm)).collect()
    };
    let (subject, clip) = (on_grid(subject), on_grid(clip));
    let shapes = Overlay::<i64>::from_subj_and_clip(&subject, &clip).overlay(rule.overlay, rule.fill);
    let polygon = |ring: &Vec<IntPoint<i64>>| {
        let ring: Vec<Point> =
            ring.iter().map(|p| Point::new(p.x as f64 * grid_mm, p.y as f64 * grid_mm)).collect();
        Polygon::from_clean_ring(&ring, grid_mm)
    };
    shapes
        .iter()
        .filter_map(|shape| {
            let (outer, holes) = shape.split_first()?;
            Some(Region { outer: polygon(outer)?, holes: holes.iter().filter_map(polygon).collect() })
        })
        .collect()
}

fn ring_on_grid(ring: &[Point], grid_mm: f64) -> Vec<IntPoint<i64>> {
    ring.iter()
        .map(|p| IntPoint::new((p.x_mm / grid_mm).round() as i64, (p.y_mm / grid_mm).round() as i64))
        .collect()
}

fn rings(polygons: &[Polygon]) -> Vec<&[Point]> {
    polygons.iter().map(Polygon::corners).collect()
}

fn flatten(regions: &[Region]) -> Vec<Polygon> {
    regions.iter().flat_map(Region::without_holes).collect()
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "areas of whole millimetres come out exact")]
mod tests {
    use super::*;

    fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Polygon {
        Polygon::rectangle(Point::new(x0, y0), Point::new(x1, y1)).unwrap()
    }

    #[test]
    fn a_hatch_in_the_middle_is_a_hole_or_two_pieces() {
        let board = rectangle(0.0, 0.0, 2400.0, 1200.0);
        let hatch = rectangle(900.0, 300.0, 1500.0, 800.0);
        let regions = board.difference_with_holes(std::slice::from_ref(&hatch));
        assert_eq!(regions.len(), 1);
        assert_eq!(regions[0].holes, vec![hatch.clone()]);
        assert_eq!(regions[0].area_mm2(), 2400.0 * 1200.0 - 600.0 * 500.0);
        let pieces = board.difference(&hatch);
        assert_eq!(pieces.len(), 2);
        assert_eq!(pieces.iter().map(Polygon::area_mm2).sum::<f64>(), regions[0].area_mm2());
    }

    #[test]
    fn shapes_that_only_touch_share_nothing_and_join_into_one() {
        let (left, right) = (rectangle(0.0, 0.0, 10.0, 10.0), rectangle(10.0, 0.0, 20.0, 10.0));
        assert!(left.intersection(&right).is_empty());
        assert_eq!(left.union(&right), vec![rectangle(0.0, 0.0, 20.0, 10.0)]);
        assert_eq!(left.difference(&right), vec![left]);
    }

    #[test]
    fn lists_of_shapes() {
        let board = [rectangle(0.0, 0.0, 100.0, 50.0), rectangle(90.0, 0.0, 200.0, 50.0)];
        let cut = [rectangle(40.0, -10.0, 60.0, 60.0)];
        assert_eq!(difference_of(&board, &cut).iter().map(Polygon::area_mm2).sum::<f64>(), 9000.0);
        assert_eq!(intersection_of(&board, &cut), vec![rectangle(40.0, 0.0, 60.0, 50.0)]);
        assert_eq!(union_of(&board), vec![rectangle(0.0, 0.0, 200.0, 50.0)]);
        assert!(union_of(&[]).is_empty());
    }
}
