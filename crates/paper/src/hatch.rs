//! Hatches of the trade, as real lines and dots cut to the polygon, so that every exporter shows the same.

use crate::hatch_pattern::Surface;
use crate::ink::Ink;
use crate::point::Point;
use crate::region::Region;
use crate::scene::Item;

/// What a cut surface is made of, or a plain pattern for the parts of a bar.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hatch {
    /// Cut masonry: pairs of lines at 45°.
    Masonry,
    /// Masonry seen from the front: courses and staggered joints.
    BrickCourses,
    /// Cut concrete or screed: stones and sand.
    Concrete,
    /// Timber cut across the grain: rings and a crack.
    TimberEndGrain,
    /// Timber or wood board cut along the grain.
    TimberAlongGrain,
    /// Mineral fibre: the loops of a batt.
    MineralFibre,
    /// Rigid insulation: a zigzag between the faces.
    RigidInsulation,
    /// Sand-filled board: dense dots.
    SandFilled,
    /// Plasterboard: sparse dots.
    Plasterboard,
    /// Earth: strokes in threes, turned about.
    Earth,
    /// Steel and other metal: solid.
    Steel,
    /// Glass: short slanting pairs.
    Glass,
    /// Air: nothing.
    Air,
    /// Lines at an angle (degrees, anticlockwise from the right) and a distance (mm, at least 0.4).
    Lines {
        /// Degrees anticlockwise from the right.
        angle_deg: f64,
        /// Distance between lines, mm.
        apart_mm: f64,
    },
    /// Lines at an angle and a second set across them.
    Crossed {
        /// Degrees anticlockwise from the right.
        angle_deg: f64,
        /// Distance between lines, mm.
        apart_mm: f64,
    },
    /// Dots on a staggered grid.
    Dotted {
        /// Distance between dots, mm, at least 0.5.
        apart_mm: f64,
    },
    /// A tint of the ink.
    Tint,
}

impl Hatch {
    /// Patterns that are told apart easily, in the order to give them to the parts of a bar, the most striking first.
    pub const PARTS: [Self; 9] = [
        Self::Steel,
        Self::Lines { angle_deg: 45.0, apart_mm: 0.8 },
        Self::Dotted { apart_mm: 0.9 },
        Self::Crossed { angle_deg: 45.0, apart_mm: 1.4 },
        Self::Air,
        Self::Lines { angle_deg: -45.0, apart_mm: 1.5 },
        Self::Lines { angle_deg: 0.0, apart_mm: 0.9 },
        Self::Tint,
        Self::Crossed { angle_deg: 0.0, apart_mm: 1.2 },
    ];

    /// The pattern of part `index`, beginning again after the last of [`Hatch::PARTS`].
    pub fn of_part(index: usize) -> Self {
        Self::PARTS.get(index % Self::PARTS.len()).copied().unwrap_or(Self::Air)
    }
}

/// One polygon filled with a hatch.
pub fn fill(polygon: &[Point], hatch: Hatch, ink: Ink) -> Vec<Item> {
    fill_rings(&[polygon.to_vec()], hatch, ink)
}

/// Several rings (even-odd: a ring inside another is a hole) filled with a hatch.
///
/// Line patterns lie on a grid of the whole paper, so they run on from one polygon into the next. Nothing comes
/// back for fewer than three corners.
pub fn fill_rings(rings: &[Vec<Point>], hatch: Hatch, ink: Ink) -> Vec<Item> {
    let region = Region::between(rings);
    let Some(extent) = region.extent() else { return Vec::new() };
    let surface = Surface { region: &region, extent, rings, ink };
    match hatch {
        Hatch::Masonry => surface.strokes(surface.masonry()),
        Hatch::BrickCourses => surface.strokes(surface.courses()),
        Hatch::Concrete => {
            let mut items = surface.dots(1.5, 0.18);
            items.extend(surface.strokes(surface.stones()));
            items
        }
        Hatch::TimberEndGrain => surface.strokes(surface.rings_of_growth()),
        Hatch::TimberAlongGrain => surface.strokes(surface.grain()),
        Hatch::MineralFibre => surface.strokes(surface.loops()),
        Hatch::RigidInsulation => surface.strokes(surface.zigzag()),
        Hatch::SandFilled => surface.dots(0.75, 0.26),
        Hatch::Plasterboard => surface.dots(1.9, 0.17),
        Hatch::Earth => surface.strokes(surface.threes()),
        Hatch::Steel => surface.solid(ink),
        Hatch::Glass => surface.strokes(surface.glints()),
        Hatch::Air => Vec::new(),
        Hatch::Lines { angle_deg, apart_mm } => surface.strokes(surface.lines(angle_deg, apart_mm)),
        Hatch::Crossed { angle_deg, apart_mm } => {
            let mut lines = surface.lines(angle_deg, apart_mm);
            lines.extend(surface.lines(angle_deg + 90.0, apart_mm));
            surface.strokes(lines)
        }
        Hatch::Dotted { apart_mm } => surface.even_dots(apart_mm),
        Hatch::Tint => surface.solid(if ink == Ink::Red { Ink::Blush } else { Ink::Light }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::point::Extent;

    const ALL: [Hatch; 17] = [
        Hatch::Masonry,
        Hatch::BrickCourses,
        Hatch::Concrete,
        Hatch::TimberEndGrain,
        Hatch::TimberAlongGrain,
        Hatch::MineralFibre,
        Hatch::RigidInsulation,
        Hatch::SandFilled,
        Hatch::Plasterboard,
        Hatch::Earth,
        Hatch::Steel,
        Hatch::Glass,
        Hatch::Air,
        Hatch::Lines { angle_deg: 30.0, apart_mm: 1.0 },
        Hatch::Crossed { angle_deg: 10.0, apart_mm: 1.0 },
        Hatch::Dotted { apart_mm: 1.0 },
        Hatch::Tint,
    ];

    #[test]
    fn no_hatch_leaves_its_polygon() {
        let polygon =
            [Point::new(12.0, 11.0), Point::new(60.0, 18.0), Point::new(55.0, 33.0), Point::new(9.0, 27.0)];
        let extent = Extent::round(polygon).unwrap();
        for hatch in ALL {
            for item in fill(&polygon, hatch, Ink::Ink) {
                let drawn = item.drawn_extent().unwrap();
                assert!(extent.holds(&drawn), "{hatch:?} draws {drawn:?} outside {extent:?}");
            }
        }
    }

    #[test]
    fn only_air_is_empty_and_odd_polygons_do_no_harm() {
        let square = Extent::new(0.0, 0.0, 20.0, 20.0).corners();
        for hatch in ALL {
            assert_eq!(fill(&square, hatch, Ink::Ink).is_empty(), hatch == Hatch::Air, "{hatch:?}");
            assert!(fill(&square[..2], hatch, Ink::Ink).is_empty());
            assert!(fill(&[Point::new(f64::NAN, 0.0); 4], hatch, Ink::Ink).is_empty());
            // A sliver and a field are drawn without hanging.
            fill(&Extent::new(0.0, 0.0, 300.0, 0.01).corners(), hatch, Ink::Ink);
            fill(&Extent::new(0.0, 0.0, 4000.0, 4000.0).corners(), hatch, Ink::Ink);
        }
    }

    #[test]
    fn a_hole_stays_empty() {
        let outer = Extent::new(0.0, 0.0, 20.0, 20.0).corners().to_vec();
        let hole = Extent::new(5.0, 5.0, 15.0, 15.0).corners().to_vec();
        let items = fill_rings(&[outer, hole], Hatch::SandFilled, Ink::Ink);
        let Some(Item::Dots(dots)) = items.first() else { panic!("no dots") };
        let inside = Region::inside(&Extent::new(5.0, 5.0, 15.0, 15.0).corners());
        assert!(dots.centres.iter().all(|&dot| !inside.contains(dot)));
        assert!(dots.centres.len() > 300);
    }
}
