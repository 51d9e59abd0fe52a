//! How each hatch is drawn on one surface.

use crate::hatch_ground::{Slant, Strip, pieces, scatter};
use crate::ink::{Ink, Pen};
use crate::point::{Direction, Extent, Point};
use crate::region::Region;
use crate::scene::{Dots, Item, Path, Strokes};
use quantities::math;

/// Distance below which two hatch lines run together on paper, mm.
const LEAST_APART_MM: f64 = 0.4;
/// More strokes or dots than this in one surface are not drawn: the pattern is spaced out until it has fewer.
const MOST_MARKS: f64 = 20_000.0;

type Lines = Vec<Vec<Point>>;

pub(crate) struct Surface<'a> {
    pub(crate) region: &'a Region,
    pub(crate) extent: Extent,
    pub(crate) rings: &'a [Vec<Point>],
    pub(crate) ink: Ink,
}

impl Surface<'_> {
    pub(crate) fn strokes(&self, lines: Lines) -> Vec<Item> {
        if lines.is_empty() {
            return Vec::new();
        }
        vec![Item::Strokes(Strokes { lines, pen: Pen::FINE.in_ink(self.ink) })]
    }

    /// Filled rings; holes cannot be left open by a filled path, so several rings get close lines instead.
    pub(crate) fn solid(&self, ink: Ink) -> Vec<Item> {
        if let [ring] = self.rings {
            return vec![Item::Path(Path::filled(ring.iter().copied(), ink))];
        }
        let lines = self.lines(45.0, LEAST_APART_MM);
        vec![Item::Strokes(Strokes { lines, pen: Pen::new(LEAST_APART_MM * 1.2).in_ink(ink) })]
    }

    /// A distance wide enough that the pattern has no more than [`MOST_MARKS`] lines.
    pub(crate) fn line_distance(&self, apart_mm: f64) -> f64 {
        let across = self.extent.width() + self.extent.height();
        let wished = if apart_mm.is_finite() { apart_mm } else { 2.0 };
        wished.max(LEAST_APART_MM).max(across / MOST_MARKS)
    }

    pub(crate) fn lines(&self, angle_deg: f64, apart_mm: f64) -> Lines {
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

    pub(crate) fn masonry(&self) -> Lines {
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

    pub(crate) fn courses(&self) -> Lines {
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
    pub(crate) fn dots(&self, apart_mm: f64, diameter_mm: f64) -> Vec<Item> {
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

    pub(crate) fn even_dots(&self, apart_mm: f64) -> Vec<Item> {
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

    pub(crate) fn each_cell(&self, cell: f64, mut visit: impl FnMut(f64, f64)) {
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

    pub(crate) fn stones(&self) -> Lines {
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
    pub(crate) fn rings_of_growth(&self) -> Lines {
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

    pub(crate) fn grain(&self) -> Lines {
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
    pub(crate) fn loops(&self) -> Lines {
        let strip = Strip::of(self.rings, &self.extent);
        let rows = (strip.thickness / 32.0).ceil().clamp(1.0, 12.0);
        let depth = strip.thickness / rows;
        let radius = (depth * 0.18).clamp(0.5, 4.5).min(depth / 2.0);
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

    pub(crate) fn zigzag(&self) -> Lines {
        let strip = Strip::of(self.rings, &self.extent);
        let pitch = (strip.thickness * 0.55).clamp(1.2, 6.0).max(strip.length / 1500.0);
        let count = (strip.length / pitch).ceil() + 1.0;
        let line: Vec<Point> = (0..=count as u32)
            .map(|turn| strip.at(f64::from(turn) * pitch, if turn % 2 == 0 { 0.0 } else { strip.thickness }))
            .collect();
        self.region.cut_polyline(&line)
    }

    pub(crate) fn threes(&self) -> Lines {
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

    pub(crate) fn glints(&self) -> Lines {
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
