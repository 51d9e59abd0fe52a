//! Hatches of the trade, as real lines and dots cut to the polygon, so that every exporter shows the same.

use crate::ink::{Ink, Pen};
use crate::point::{Direction, Extent, Point};
use crate::region::Region;
use crate::scene::{Dots, Item, Path, Strokes};
use quantities::math;

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

/// Distance below which two hatch lines run together on paper, mm.
const LEAST_APART_MM: f64 = 0.4;
/// More strokes or dots than this in one surface are not drawn: the pattern is spaced out until it has fewer.
const MOST_MARKS: f64 = 20_000.0;

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

type Lines = Vec<Vec<Point>>;

struct Surface<'a> {
    region: &'a Region,
    extent: Extent,
    rings: &'a [Vec<Point>],
    ink: Ink,
}

impl Surface<'_> {
    fn strokes(&self, lines: Lines) -> Vec<Item> {
        if lines.is_empty() {
            return Vec::new();
        }
        vec![Item::Strokes(Strokes { lines, pen: Pen::FINE.in_ink(self.ink) })]
    }

    /// Filled rings; holes cannot be left open by a filled path, so several rings get close lines instead.
    fn solid(&self, ink: Ink) -> Vec<Item> {
        if let [ring] = self.rings {
            return vec![Item::Path(Path::filled(ring.iter().copied(), ink))];
        }
        let lines = self.lines(45.0, LEAST_APART_MM);
        vec![Item::Strokes(Strokes { lines, pen: Pen::new(LEAST_APART_MM * 1.2).in_ink(ink) })]
    }

    /// A distance wide enough that the pattern has no more than [`MOST_MARKS`] lines.
    fn line_distance(&self, apart_mm: f64) -> f64 {
        let across = self.extent.width() + self.extent.height();
        let wished = if apart_mm.is_finite() { apart_mm } else { 2.0 };
        wished.max(LEAST_APART_MM).max(across / MOST_MARKS)
    }

    fn lines(&self, angle_deg: f64, apart_mm: f64) -> Lines {
        let apart = self.line_distance(apart_mm);
        let slant = Slant::new(angle_deg);
        let (low, high) = slant.range(&self.extent);
        let mut lines = Vec::new();
        let mut row = (low / apart).ceil();
        while row * apart <= high {
            lines.extend(slant.cut(self.region, &self.extent, row * apart));
            row += 1.0;
        }
        lines
    }

    fn masonry(&self) -> Lines {
        let apart = self.line_distance(3.2);
        let slant = Slant::new(45.0);
        let (low, high) = slant.range(&self.extent);
        let mut lines = Vec::new();
        let mut row = (low / apart).floor();
        while row * apart <= high {
            for offset in [0.0, 0.75] {
                lines.extend(slant.cut(self.region, &self.extent, row * apart + offset));
            }
            row += 1.0;
        }
        lines
    }

    fn courses(&self) -> Lines {
        let course = 2.4_f64.max((self.extent.height() + self.extent.width()) / 2000.0);
        let brick = course * 3.2;
        let mut lines = Vec::new();
        let mut row = (self.extent.top / course).floor();
        while row * course <= self.extent.bottom {
            let top = row * course;
            lines.extend(pieces(self.region.cut_line(
                Point::new(self.extent.left - 1.0, top),
                Point::new(self.extent.right + 1.0, top),
            )));
            let shift = if row.rem_euclid(2.0) < 0.5 { 0.0 } else { brick / 2.0 };
            let mut column = ((self.extent.left - shift) / brick).floor();
            while column * brick + shift <= self.extent.right {
                let x = column * brick + shift;
                lines.extend(pieces(self.region.cut_line(Point::new(x, top), Point::new(x, top + course))));
                column += 1.0;
            }
            row += 1.0;
        }
        lines
    }

    /// Dots on a grid, each moved about inside its cell by a number made from its place, so that neither rows nor
    /// clumps show; those nearer to an edge than their radius are left out.
    fn dots(&self, apart_mm: f64, diameter_mm: f64) -> Vec<Item> {
        let cell = apart_mm.max(self.extent.width().max(self.extent.height()) / MOST_MARKS.sqrt());
        let mut centres = Vec::new();
        self.each_cell(cell, |column, row| {
            let (across, down) = (scatter(column, row, 1), scatter(column, row, 2));
            let dot = Point::new((column + 0.12 + 0.76 * across) * cell, (row + 0.12 + 0.76 * down) * cell);
            if self.region.contains(dot) && self.region.distance_to_edge(dot) >= diameter_mm * 0.7 {
                centres.push(dot);
            }
        });
        if centres.is_empty() {
            Vec::new()
        } else {
            vec![Item::Dots(Dots { centres, diameter_mm, ink: self.ink })]
        }
    }

    fn even_dots(&self, apart_mm: f64) -> Vec<Item> {
        let wished = if apart_mm.is_finite() { apart_mm.max(0.5) } else { 1.0 };
        let cell = wished.max(self.extent.width().max(self.extent.height()) / MOST_MARKS.sqrt());
        let mut centres = Vec::new();
        self.each_cell(cell, |column, row| {
            let shift = if row.rem_euclid(2.0) < 0.5 { 0.0 } else { 0.5 };
            let dot = Point::new((column + shift) * cell, (row + 0.5) * cell);
            if self.region.contains(dot) && self.region.distance_to_edge(dot) >= 0.12 {
                centres.push(dot);
            }
        });
        let dots = Dots { centres, diameter_mm: (0.36 * cell).min(0.45), ink: self.ink };
        if dots.centres.is_empty() { Vec::new() } else { vec![Item::Dots(dots)] }
    }

    fn each_cell(&self, cell: f64, mut visit: impl FnMut(f64, f64)) {
        let mut row = (self.extent.top / cell).floor() - 1.0;
        while row * cell <= self.extent.bottom {
            let mut column = (self.extent.left / cell).floor() - 1.0;
            while column * cell <= self.extent.right {
                visit(column, row);
                column += 1.0;
            }
            row += 1.0;
        }
    }

    fn stones(&self) -> Lines {
        let cell = 4.2_f64.max(self.extent.width().max(self.extent.height()) / MOST_MARKS.sqrt());
        let mut lines = Vec::new();
        self.each_cell(cell, |column, row| {
            let centre = Point::new(
                (column + 0.25 + 0.5 * scatter(column, row, 3)) * cell,
                (row + 0.25 + 0.5 * scatter(column, row, 4)) * cell,
            );
            let size = 0.5 + 0.5 * scatter(column, row, 5);
            let turn = 120.0 * scatter(column, row, 6);
            let corners: Vec<Point> = [0.0, 120.0, 240.0, 360.0]
                .into_iter()
                .map(|angle| {
                    let (sine, cosine) = math::sin_cos((angle + turn) * math::PI / 180.0);
                    centre.moved(size * cosine, size * sine)
                })
                .collect();
            lines.extend(self.region.cut_polyline(&corners));
        });
        lines
    }

    /// Rings round a heart that lies beside the longer side, as a joist or plate is sawn beside the heart, and two
    /// cracks that run towards it.
    fn rings_of_growth(&self) -> Lines {
        const PARTS: u32 = 144;
        let (wide, high) = (self.extent.width(), self.extent.height());
        let heart = if high > 1.3 * wide {
            Point::new(self.extent.left - 0.22 * high, self.extent.top + 0.56 * high)
        } else {
            Point::new(self.extent.left + 0.3 * wide, self.extent.bottom + 0.22 * high.max(wide))
        };
        let furthest =
            self.extent.corners().into_iter().map(|corner| heart.distance_to(corner)).fold(0.0, f64::max);
        let step = (wide.min(high) / 5.0).clamp(0.75, 2.2).max(furthest / 400.0);
        let mut lines = Vec::new();
        let mut ring = 1.0;
        while ring * step < furthest {
            let radius = (ring + 0.35 * (scatter(ring, 0.0, 7) - 0.5)) * step;
            let circle: Vec<Point> = (0..=PARTS)
                .map(|part| {
                    let angle = math::TAU * f64::from(part) / f64::from(PARTS);
                    let wave = 1.0 + 0.012 * math::sin(5.0 * angle + 0.6 * ring);
                    let (sine, cosine) = math::sin_cos(angle);
                    heart.moved(radius * wave * cosine, -radius * wave * sine)
                })
                .collect();
            lines.extend(self.region.cut_polyline(&circle));
            ring += 1.0;
        }
        let towards = Direction::between(heart, self.extent.centre());
        for (turn, from, to) in [(-17.0, 0.45, 0.78), (14.0, 0.3, 0.55)] {
            let (sine, cosine) = math::sin_cos(turn * math::PI / 180.0);
            let (x, y) =
                (towards.x() * cosine - towards.y() * sine, towards.y() * cosine + towards.x() * sine);
            let at = |part: f64| heart.moved(furthest * part * x, furthest * part * y);
            lines.extend(pieces(self.region.cut_line(at(from), at(to))));
        }
        lines
    }

    fn grain(&self) -> Lines {
        let strip = Strip::of(self.rings, &self.extent);
        let rows = (strip.thickness / 0.9).clamp(2.0, 60.0).round();
        let steps = (strip.length / 1.5).clamp(8.0, 400.0).round();
        let mut lines = Vec::new();
        for row in 1..rows as u32 {
            let base = strip.thickness * f64::from(row) / rows;
            let line: Vec<Point> = (0..=steps as u32)
                .map(|step| {
                    let along = strip.length * f64::from(step) / steps;
                    let swing = 0.16 * math::sin(along * 0.35 + f64::from(row) * 1.9)
                        + 0.08 * math::sin(along * 0.9 + f64::from(row) * 0.7);
                    strip.at(along, base + swing)
                })
                .collect();
            lines.extend(self.region.cut_polyline(&line));
        }
        lines
    }

    /// The loops of a batt: half circles at both faces joined by slanting lines, one row for every 32 mm of paper.
    fn loops(&self) -> Lines {
        let strip = Strip::of(self.rings, &self.extent);
        let rows = (strip.thickness / 32.0).ceil().clamp(1.0, 12.0);
        let depth = strip.thickness / rows;
        let radius = (depth * 0.2).clamp(0.5, 2.6).min(depth / 2.0);
        let pitch = (2.0 * radius).max(strip.length / 1500.0);
        let count = (strip.length / pitch).ceil() + 1.0;
        let mut lines = Vec::new();
        for row in 0..rows as u32 {
            let (top, bottom) = (depth * f64::from(row) + radius, depth * f64::from(row + 1) - radius);
            let mut line = Vec::new();
            for turn in 0..count as u32 {
                let middle = f64::from(turn) * pitch;
                let at_bottom = turn % 2 == 1;
                let face = if at_bottom { bottom } else { top };
                // A little more than half a turn gives the loop its pinched waist.
                for part in 0..=14_u32 {
                    let angle = math::PI * (1.15 - 1.3 * f64::from(part) / 14.0);
                    let (sine, cosine) = math::sin_cos(angle);
                    let bulge = if at_bottom { radius * sine } else { -radius * sine };
                    line.push(strip.at(middle + radius * cosine, face + bulge));
                }
            }
            lines.extend(self.region.cut_polyline(&line));
        }
        lines
    }

    fn zigzag(&self) -> Lines {
        let strip = Strip::of(self.rings, &self.extent);
        let pitch = (strip.thickness * 0.55).clamp(1.2, 6.0).max(strip.length / 1500.0);
        let count = (strip.length / pitch).ceil() + 1.0;
        let line: Vec<Point> = (0..=count as u32)
            .map(|turn| strip.at(f64::from(turn) * pitch, if turn % 2 == 0 { 0.0 } else { strip.thickness }))
            .collect();
        self.region.cut_polyline(&line)
    }

    fn threes(&self) -> Lines {
        let cell = 3.6_f64.max(self.extent.width().max(self.extent.height()) / 80.0);
        let mut lines = Vec::new();
        self.each_cell(cell, |column, row| {
            let rising = (column + row).rem_euclid(2.0) < 0.5;
            for stroke in 0..3_u32 {
                let shift = f64::from(stroke) * 0.8;
                let (x, y) = (column * cell + shift, row * cell + shift);
                let (from, to) = if rising {
                    (Point::new(x, row * cell + 2.4), Point::new(x + 1.6, row * cell + 0.8))
                } else {
                    (Point::new(column * cell + 0.6, y), Point::new(column * cell + 2.2, y + 1.6))
                };
                lines.extend(pieces(self.region.cut_line(from, to)));
            }
        });
        lines
    }

    fn glints(&self) -> Lines {
        let strip = Strip::of(self.rings, &self.extent);
        let pitch = 7.0_f64.max(strip.length / 500.0);
        let reach = strip.thickness.min(4.0);
        let mut lines = Vec::new();
        let mut along = pitch / 2.0;
        while along < strip.length {
            for shift in [0.0, 0.8] {
                let middle = strip.thickness / 2.0;
                let (from, to) = (
                    strip.at(along + shift - reach / 2.0, middle - reach / 2.0),
                    strip.at(along + shift + reach / 2.0, middle + reach / 2.0),
                );
                lines.extend(pieces(self.region.cut_line(from, to)));
            }
            along += pitch;
        }
        lines
    }
}

fn pieces(cut: Vec<[Point; 2]>) -> impl Iterator<Item = Vec<Point>> {
    cut.into_iter().map(|piece| piece.to_vec())
}

/// A number from 0 to 1 made from a cell's place by mixing bits; the same everywhere, without pattern to the eye.
fn scatter(column: f64, row: f64, salt: u32) -> f64 {
    let mut bits = (column as i32).cast_unsigned().wrapping_mul(0x9E37_79B1)
        ^ (row as i32).cast_unsigned().wrapping_mul(0x85EB_CA77)
        ^ salt.wrapping_mul(0xC2B2_AE3D);
    bits ^= bits >> 15;
    bits = bits.wrapping_mul(0x2C1B_3C6D);
    bits ^= bits >> 12;
    bits = bits.wrapping_mul(0x297A_2D39);
    bits ^= bits >> 15;
    f64::from(bits) / f64::from(u32::MAX)
}

/// A family of parallel lines: `u` along, `v` across, counted from the corner of the paper.
struct Slant {
    along: Direction,
}

impl Slant {
    fn new(angle_deg: f64) -> Self {
        let angle = if angle_deg.is_finite() { angle_deg } else { 45.0 };
        let (sine, cosine) = math::sin_cos(angle * math::PI / 180.0);
        Self { along: Direction::between(Point::default(), Point::new(cosine, -sine)) }
    }

    fn across(&self, point: Point) -> f64 {
        let normal = self.along.right();
        point.x * normal.x() + point.y * normal.y()
    }

    fn range(&self, extent: &Extent) -> (f64, f64) {
        extent.corners().into_iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), corner| {
            let across = self.across(corner);
            (low.min(across), high.max(across))
        })
    }

    fn cut(&self, region: &Region, extent: &Extent, across: f64) -> Vec<Vec<Point>> {
        let centre = extent.centre();
        let reach = extent.width() + extent.height() + 1.0;
        let middle = centre.along(self.along.right(), across - self.across(centre));
        pieces(region.cut_line(middle.along(self.along.back(), reach), middle.along(self.along, reach)))
            .collect()
    }
}

/// The rectangle round a polygon laid along its longest edge: how long and how thick the layer is.
struct Strip {
    corner: Point,
    along: Direction,
    length: f64,
    thickness: f64,
}

impl Strip {
    fn of(rings: &[Vec<Point>], extent: &Extent) -> Self {
        let mut longest = 0.0;
        let mut along = Direction::RIGHT;
        for ring in rings.iter().filter(|ring| ring.len() > 2) {
            for (&from, &to) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                let length = from.distance_to(to);
                if length > longest + 1e-6 {
                    longest = length;
                    along = Direction::between(from, to);
                }
            }
        }
        // Always read to the right, or downwards: a layer looks the same whichever way its corners run.
        if along.x() < -1e-9 || (along.x().abs() <= 1e-9 && along.y() < 0.0) {
            along = along.back();
        }
        let across = along.right();
        let project = |point: Point, axis: Direction| point.x * axis.x() + point.y * axis.y();
        let (mut low_u, mut high_u, mut low_v, mut high_v) =
            (f64::INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::NEG_INFINITY);
        for &corner in rings.iter().flatten().filter(|corner| corner.is_finite()) {
            let (u, v) = (project(corner, along), project(corner, across));
            (low_u, high_u) = (low_u.min(u), high_u.max(u));
            (low_v, high_v) = (low_v.min(v), high_v.max(v));
        }
        let measured = Self {
            corner: Point::default().along(along, low_u).along(across, low_v),
            along,
            length: high_u - low_u,
            thickness: high_v - low_v,
        };
        if !(low_u.is_finite() && low_v.is_finite()) {
            return Self {
                corner: Point::new(extent.left, extent.top),
                along: Direction::RIGHT,
                length: extent.width(),
                thickness: extent.height(),
            };
        }
        // What is nearly as wide as it is high lies level, as its neighbours in the same layer do.
        if along.y().abs() > along.x().abs() && measured.length < 1.8 * measured.thickness {
            let level = if across.x() < 0.0 { across.back() } else { across };
            let down = level.right();
            let low = |axis: Direction| {
                rings.iter().flatten().map(|&corner| project(corner, axis)).fold(f64::INFINITY, f64::min)
            };
            return Self {
                corner: Point::default().along(level, low(level)).along(down, low(down)),
                along: level,
                length: measured.thickness,
                thickness: measured.length,
            };
        }
        measured
    }

    fn at(&self, along: f64, across: f64) -> Point {
        self.corner.along(self.along, along).along(self.along.right(), across)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
