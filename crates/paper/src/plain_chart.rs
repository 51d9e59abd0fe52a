//! Plain charts: one quantity over another.

use crate::axis::LinearAxis;
use crate::chart_frame::{
    FIGURE_ROOM_MM, FOOT_ROOM_MM, Frame, HEAD_ROOM_MM, Name, SIZE_MM, Sample, draw_names,
};
use crate::font::Weight;
use crate::ink::{Ink, Pen};
use crate::point::{Extent, Point};
use crate::region::Region;
use crate::scene::{Anchor, Baseline, Circle, Group, Path, Text};

/// Radius of a marked point, mm.
const MARK_MM: f64 = 0.8;

/// One quantity over another, both axes linear: carbon dioxide over a session, moisture over the months, thickness
/// against insulation.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct PlainChart {
    /// Whole width, mm.
    pub width_mm: f64,
    /// Whole height, mm.
    pub height_mm: f64,
    /// Room at the right for the names of the lines, mm.
    pub name_room_mm: f64,
    /// What the upright axis shows and its unit.
    pub quantity: String,
    /// What the level axis shows and its unit.
    pub over: String,
    /// Words for whole steps of the level axis from its beginning (months); empty: figures.
    pub step_words: Vec<String>,
    /// Lines.
    pub lines: Vec<PlainLine>,
    /// Limits: a dashed level line each.
    pub limits: Vec<PlainLimit>,
    /// Single points, each with its words beside it.
    pub marks: Vec<PlainMark>,
    /// A value the upright axis must include (0 for a quantity that begins there).
    pub includes: Option<f64>,
}

/// A line of a plain chart.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PlainLine {
    /// Its name, written at its right end.
    pub name: String,
    /// Its points: level value, upright value.
    pub points: Vec<[f64; 2]>,
    /// Its pen.
    pub pen: Pen,
    /// Whether its points are marked.
    pub marked: bool,
}

/// A single point of a plain chart.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PlainMark {
    /// Level value, upright value.
    pub at: [f64; 2],
    /// Its words, written below it to the right; empty: none.
    pub words: String,
    /// Its ink.
    pub ink: Ink,
}

/// A limit of a plain chart.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct PlainLimit {
    /// Its name, written at its right end.
    pub name: String,
    /// Its value on the upright axis.
    pub value: f64,
    /// Its pen.
    pub pen: Pen,
}

impl PlainChart {
    /// Draws the chart, its top left corner at a point.
    pub fn draw(&self, corner: Point) -> Group {
        let mut group = Group::on_layer("chart");
        let foot = if self.over.is_empty() { FOOT_ROOM_MM } else { FOOT_ROOM_MM + 4.0 };
        let plot = Extent::new(
            corner.x + FIGURE_ROOM_MM + 2.0,
            corner.y + HEAD_ROOM_MM,
            corner.x + (self.width_mm - self.name_room_mm.max(4.0)).max(FIGURE_ROOM_MM + 12.0),
            corner.y + (self.height_mm - foot).max(HEAD_ROOM_MM + 10.0),
        );
        let all = || {
            self.lines
                .iter()
                .flat_map(|line| line.points.iter())
                .filter(|[x, y]| x.is_finite() && y.is_finite())
        };
        let span = |values: &mut dyn Iterator<Item = f64>| {
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| (low.min(v), high.max(v)))
        };
        let (left, right) = span(&mut all().map(|[x, _]| *x));
        let limits = self.limits.iter().map(|limit| limit.value).filter(|value| value.is_finite());
        let (low, high) = span(&mut all().map(|[_, y]| *y).chain(limits).chain(self.includes));
        let level = LinearAxis::exact(left, right, 1.0, (plot.left, plot.right))
            .filter(|_| !self.step_words.is_empty())
            .unwrap_or_else(|| {
                // Round steps, but no empty room beyond the last point.
                let places = (plot.left, plot.right);
                let round = LinearAxis::round(left, right, (plot.width() / 22.0).max(2.0), places);
                LinearAxis::exact(left, right, round.step, places).unwrap_or(round)
            });
        let upright = LinearAxis::round(low, high, (plot.height() / 11.0).max(2.0), (plot.bottom, plot.top));
        Frame { plot, upright }.draw_upright(&mut group, &self.quantity);
        self.draw_level_axis(&mut group, &level, &plot);

        let region = Region::inside(&plot.corners());
        let mut names = Vec::new();
        for limit in self.limits.iter().filter(|limit| limit.value.is_finite()) {
            let y = upright.place_mm(limit.value);
            group.add(Path::line(Point::new(plot.left, y), Point::new(plot.right, y), limit.pen));
            let at = Point::new(plot.right, y);
            let sample = Sample::Line(limit.pen);
            names.push(Name { at, words: &limit.name, ink: limit.pen.ink, weight: Weight::Regular, sample });
        }
        for line in &self.lines {
            let points: Vec<Point> = line
                .points
                .iter()
                .filter(|[x, y]| x.is_finite() && y.is_finite())
                .map(|&[x, y]| Point::new(level.place_mm(x), upright.place_mm(y)))
                .collect();
            for piece in region.cut_polyline(&points) {
                group.add(Path::open(piece, line.pen));
            }
            if line.marked {
                for &centre in &points {
                    let pen = Some(Pen::THIN.in_ink(line.pen.ink));
                    group.add(Circle { centre, radius_mm: MARK_MM, pen, fill: Some(Ink::Paper) });
                }
            }
            if let Some(&at) = points.last() {
                let sample = Sample::Line(line.pen);
                names.push(Name {
                    at,
                    words: &line.name,
                    ink: line.pen.ink,
                    weight: Weight::Regular,
                    sample,
                });
            }
        }
        for mark in self.marks.iter().filter(|mark| mark.at.iter().all(|value| value.is_finite())) {
            let centre = Point::new(level.place_mm(mark.at[0]), upright.place_mm(mark.at[1]));
            let pen = Some(Pen::THIN.in_ink(mark.ink));
            group.add(Circle { centre, radius_mm: MARK_MM, pen, fill: Some(Ink::Paper) });
            if !mark.words.is_empty() {
                let at = Point::new(centre.x + 2.0 * MARK_MM, centre.y + MARK_MM);
                let text = Text::new(at, mark.words.as_str(), SIZE_MM).on(Baseline::Top);
                group.add(text.in_ink(mark.ink));
            }
        }
        draw_names(&mut group, &names, &plot, self.name_room_mm);
        group
    }

    fn draw_level_axis(&self, group: &mut Group, level: &LinearAxis, plot: &Extent) {
        group.add(Path::line(
            Point::new(plot.left, plot.bottom),
            Point::new(plot.right, plot.bottom),
            Pen::THIN,
        ));
        for (index, value) in level.figures().into_iter().enumerate() {
            let x = level.place_mm(value);
            group.add(Path::line(Point::new(x, plot.bottom), Point::new(x, plot.bottom + 0.9), Pen::THIN));
            let words = if self.step_words.is_empty() {
                level.words(value)
            } else {
                self.step_words.get(index).cloned().unwrap_or_default()
            };
            let at = Point::new(x, plot.bottom + 1.8);
            group.add(Text::new(at, words, SIZE_MM).centred().on(Baseline::Top));
        }
        if !self.over.is_empty() {
            let at = Point::new(plot.right, plot.bottom + 1.8 + SIZE_MM * 1.45);
            let text = Text::new(at, &*self.over, SIZE_MM).anchored(Anchor::End).on(Baseline::Top);
            group.add(text.in_ink(Ink::Grey));
        }
    }
}
