//! Spectra: levels over third-octave bands with uncertainty, measured points and a stepped criterion; and plain
//! charts of one quantity over another.

use crate::axis::{BandAxis, LinearAxis, band_words, is_octave_middle};
use crate::font::{self, Weight};
use crate::hatch::{self, Hatch};
use crate::ink::{Ink, Pen};
use crate::point::{Extent, Point};
use crate::region::Region;
use crate::scene::{Anchor, Baseline, Circle, Group, Path, Strokes, Text};
use crate::spread::{Wish, spread};

/// Size of figures and names in charts, mm.
pub(crate) const SIZE_MM: f64 = 2.5;
/// Room left of the plot for the figures of the upright axis, mm.
pub const FIGURE_ROOM_MM: f64 = 10.0;
/// Room above the plot for the words of the upright axis, mm.
pub(crate) const HEAD_ROOM_MM: f64 = 6.5;
/// Room below the plot for the figures of the level axis, mm.
pub(crate) const FOOT_ROOM_MM: f64 = 6.0;

/// A line over the bands.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct ChartLine {
    /// Its name, written at its right end.
    pub name: String,
    /// One value a band, in the unit of the axis; `None` leaves a gap.
    pub values: Vec<Option<f64>>,
    /// Its pen.
    pub pen: Pen,
}

/// A band of uncertainty, hatched.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct UncertaintyBand {
    /// Its lower edge, one value a band.
    pub low: Vec<Option<f64>>,
    /// Its upper edge, one value a band.
    pub high: Vec<Option<f64>>,
}

/// On which side of a criterion it is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Breach {
    /// A level must stay under it.
    Above,
    /// An insulation must stay over it.
    Below,
}

/// A stepped criterion.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Criterion {
    /// Its name, written at its right end.
    pub name: String,
    /// One value a band.
    pub values: Vec<Option<f64>>,
    /// The line that is held against it, one value a band; where it breaks the criterion the space between is
    /// hatched red.
    pub held_against: Vec<Option<f64>>,
    /// On which side it is broken.
    pub breach: Breach,
}

/// Measured points with bars.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct MeasuredPoints {
    /// Their name, written beside the last.
    pub name: String,
    /// One value a band.
    pub values: Vec<Option<f64>>,
    /// Half the length of the bar, one a band; empty or `None` for no bar.
    pub half_bars: Vec<Option<f64>>,
}

/// A chart over third-octave (or octave) bands.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct SpectrumChart {
    /// Whole width, mm, all words included.
    pub width_mm: f64,
    /// Whole height, mm, all words included.
    pub height_mm: f64,
    /// Room at the right for the names of the lines, mm.
    pub name_room_mm: f64,
    /// What is shown and its unit, written above the upright axis (`level at the fence, dB`).
    pub quantity: String,
    /// Nominal frequencies of the bands, Hz.
    pub bands_hz: Vec<f64>,
    /// Lowest and highest value of the axis; `None`: round figures that hold the data.
    pub range: Option<[f64; 2]>,
    /// Lines, the most important last.
    pub lines: Vec<ChartLine>,
    /// Uncertainty of the last line.
    pub uncertainty: Option<UncertaintyBand>,
    /// A criterion.
    pub criterion: Option<Criterion>,
    /// Measured points.
    pub measured: Vec<MeasuredPoints>,
}

impl SpectrumChart {
    /// The rectangle of the plot itself when the chart's top left corner lies at a point.
    pub fn plot(&self, corner: Point) -> Extent {
        Extent::new(
            corner.x + FIGURE_ROOM_MM,
            corner.y + HEAD_ROOM_MM,
            corner.x + (self.width_mm - self.name_room_mm.max(2.0)).max(FIGURE_ROOM_MM + 10.0),
            corner.y + (self.height_mm - FOOT_ROOM_MM).max(HEAD_ROOM_MM + 10.0),
        )
    }

    /// Draws the chart, its top left corner at a point.
    pub fn draw(&self, corner: Point) -> Group {
        let mut group = Group::on_layer("chart");
        let plot = self.plot(corner);
        let upright = self.upright_axis(&plot);
        let bands = BandAxis { left_mm: plot.left, right_mm: plot.right, count: self.bands_hz.len() };
        let pen = Frame { plot, upright };
        pen.draw_upright(&mut group, &self.quantity);
        draw_band_axis(&mut group, &bands, &plot, &self.bands_hz);

        let region = Region::inside(&plot.corners());
        let place = |index: usize, value: f64| Point::new(bands.middle_mm(index), upright.place_mm(value));
        if let Some(uncertainty) = &self.uncertainty {
            for ring in band_rings(uncertainty, &place) {
                let ring: Vec<Point> = ring.into_iter().map(|point| held_in(point, &plot)).collect();
                group.extend(hatch::fill(&ring, Hatch::Lines { angle_deg: 60.0, apart_mm: 0.9 }, Ink::Grey));
            }
        }
        let mut names = Vec::new();
        if let Some(criterion) = &self.criterion {
            draw_criterion(&mut group, criterion, (&bands, &upright, &plot));
            if let Some(at) = last_value(&criterion.values) {
                let edge = Point::new(bands.edge_mm(at.0 + 1), upright.place_mm(at.1));
                let sample = Sample::Line(Pen::MEDIUM.in_ink(Ink::Grey));
                names.push(Name {
                    at: edge,
                    words: &criterion.name,
                    ink: Ink::Ink,
                    weight: Weight::Regular,
                    sample,
                });
            }
        }
        for line in &self.lines {
            for run in runs(&line.values, self.bands_hz.len()) {
                let points: Vec<Point> = run.iter().map(|&(index, value)| place(index, value)).collect();
                for piece in region.cut_polyline(&points) {
                    group.add(Path::open(piece, line.pen));
                }
                if let [only] = *points {
                    group.add(Circle { centre: only, radius_mm: 0.6, pen: None, fill: Some(line.pen.ink) });
                }
            }
            if let Some((index, value)) = last_value(&line.values) {
                let weight = if line.pen.width_mm >= 0.45 { Weight::Semibold } else { Weight::Regular };
                let (at, sample) = (place(index, value), Sample::Line(line.pen));
                names.push(Name { at, words: &line.name, ink: line.pen.ink, weight, sample });
            }
        }
        for points in &self.measured {
            draw_points(&mut group, points, &place, &plot);
            if let Some((index, value)) = last_value(&points.values) {
                let at = place(index, value).moved(0.8, 0.0);
                let sample = Sample::Ring;
                names.push(Name { at, words: &points.name, ink: Ink::Ink, weight: Weight::Regular, sample });
            }
        }
        draw_names(&mut group, &names, &plot, self.name_room_mm);
        group
    }

    fn upright_axis(&self, plot: &Extent) -> LinearAxis {
        let places = (plot.bottom, plot.top);
        if let Some([low, high]) = self.range {
            let step = if high - low > 30.0 { 10.0 } else { 5.0 };
            if let Some(axis) = LinearAxis::exact(low, high, step, places) {
                return axis;
            }
        }
        let mut all: Vec<f64> = Vec::new();
        let mut take =
            |values: &[Option<f64>]| all.extend(values.iter().flatten().filter(|value| value.is_finite()));
        self.lines.iter().for_each(|line| take(&line.values));
        self.measured.iter().for_each(|points| take(&points.values));
        if let Some(band) = &self.uncertainty {
            take(&band.low);
            take(&band.high);
        }
        if let Some(criterion) = &self.criterion {
            take(&criterion.values);
        }
        let low = all.iter().copied().fold(f64::INFINITY, f64::min);
        let high = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if low > high {
            return LinearAxis::round(0.0, 50.0, 5.0, places);
        }
        let step = if high - low > 25.0 { 10.0 } else { 5.0 };
        let low_round = ((low - 0.1 * step) / step).floor() * step;
        let high_round = (((high + 0.1 * step) / step).ceil() * step).max(low_round + 2.0 * step);
        LinearAxis::exact(low_round, high_round, step, places)
            .unwrap_or_else(|| LinearAxis::round(low, high, 6.0, places))
    }
}

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
                LinearAxis::round(left, right, (plot.width() / 22.0).max(2.0), (plot.left, plot.right))
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
                    group.add(Circle { centre, radius_mm: 0.8, pen, fill: Some(Ink::Paper) });
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

/// The plot's rectangle and its upright axis.
struct Frame {
    plot: Extent,
    upright: LinearAxis,
}

impl Frame {
    fn draw_upright(&self, group: &mut Group, quantity: &str) {
        let plot = &self.plot;
        let level = |value: f64| self.upright.place_mm(value);
        let lines = self
            .upright
            .figures()
            .into_iter()
            .map(|value| vec![Point::new(plot.left, level(value)), Point::new(plot.right, level(value))])
            .collect();
        group.add(Strokes { lines, pen: Pen::FINE.in_ink(Ink::Light) });
        let mut previous = f64::INFINITY;
        for value in self.upright.figures() {
            let at = Point::new(plot.left - 1.4, level(value));
            // Figures closer than their own height would run together.
            if (previous - at.y).abs() >= SIZE_MM * 1.1 {
                let text = Text::new(at, self.upright.words(value), SIZE_MM);
                group.add(text.anchored(Anchor::End).on(Baseline::Middle));
                previous = at.y;
            }
        }
        group.add(Path::line(Point::new(plot.left, plot.top), Point::new(plot.left, plot.bottom), Pen::THIN));
        let at = Point::new(plot.left - FIGURE_ROOM_MM + 1.0, plot.top - 3.6);
        group.add(Text::new(at, quantity, SIZE_MM).in_ink(Ink::Grey));
    }
}

/// Ticks and figures of the bands below a plot: every band where there is room, else the octaves.
pub(crate) fn draw_band_axis(group: &mut Group, bands: &BandAxis, plot: &Extent, bands_hz: &[f64]) {
    let widest = bands_hz
        .iter()
        .map(|&hz| font::width_mm(&band_words(hz), SIZE_MM, Weight::Regular))
        .fold(0.0, f64::max);
    let all_fit = bands.band_mm() >= widest + 1.0;
    group.add(Path::line(Point::new(plot.left, plot.bottom), Point::new(plot.right, plot.bottom), Pen::THIN));
    let mut ticks = Vec::new();
    let mut grid = Vec::new();
    let mut free_from = f64::NEG_INFINITY;
    for (index, &hz) in bands_hz.iter().enumerate() {
        let x = bands.middle_mm(index);
        let octave = is_octave_middle(hz);
        let length = if octave { 1.3 } else { 0.7 };
        ticks.push(vec![Point::new(x, plot.bottom), Point::new(x, plot.bottom + length)]);
        if octave {
            grid.push(vec![Point::new(x, plot.top), Point::new(x, plot.bottom)]);
        }
        let half = font::width_mm(&band_words(hz), SIZE_MM, Weight::Regular) / 2.0;
        if (all_fit || octave) && x - half >= free_from {
            let at = Point::new(x, plot.bottom + 2.0);
            group.add(Text::new(at, band_words(hz), SIZE_MM).centred().on(Baseline::Top));
            free_from = x + half + 0.8;
        }
    }
    group.add(Strokes { lines: grid, pen: Pen::FINE.in_ink(Ink::Light) });
    group.add(Strokes { lines: ticks, pen: Pen::THIN });
    let at = Point::new((plot.right + 1.0).max(free_from), plot.bottom + 2.0);
    group.add(Text::new(at, "Hz", SIZE_MM).on(Baseline::Top).in_ink(Ink::Grey));
}

fn draw_criterion(
    group: &mut Group,
    criterion: &Criterion,
    (bands, upright, plot): (&BandAxis, &LinearAxis, &Extent),
) {
    for ring in breaches(criterion, bands, upright) {
        let ring: Vec<Point> = ring.into_iter().map(|point| held_in(point, plot)).collect();
        group.add(Path::filled(ring.iter().copied(), Ink::Blush));
        group.extend(hatch::fill(&ring, Hatch::Lines { angle_deg: 45.0, apart_mm: 0.7 }, Ink::Red));
    }
    for run in runs(&criterion.values, bands.count) {
        let steps: Vec<Point> = run
            .iter()
            .flat_map(|&(index, value)| {
                let y = upright.place_mm(value).clamp(plot.top, plot.bottom);
                [Point::new(bands.edge_mm(index), y), Point::new(bands.edge_mm(index + 1), y)]
            })
            .collect();
        group.add(Path::open(steps, Pen::MEDIUM.in_ink(Ink::Grey)));
    }
}

/// The space between a criterion's step and the line that breaks it, one ring for each band or part of a band.
fn breaches(criterion: &Criterion, bands: &BandAxis, upright: &LinearAxis) -> Vec<Vec<Point>> {
    let value_at =
        |index: usize| criterion.held_against.get(index).copied().flatten().filter(|value| value.is_finite());
    let sign = if criterion.breach == Breach::Above { 1.0 } else { -1.0 };
    let mut rings = Vec::new();
    for (index, limit) in criterion.values.iter().enumerate().take(bands.count) {
        let (Some(limit), Some(here)) = (limit.filter(|value| value.is_finite()), value_at(index)) else {
            continue;
        };
        let before = index.checked_sub(1).and_then(value_at).map_or(here, |value| f64::midpoint(value, here));
        let after = value_at(index + 1).map_or(here, |value| f64::midpoint(value, here));
        let corners = [
            (bands.edge_mm(index), before),
            (bands.middle_mm(index), here),
            (bands.edge_mm(index + 1), after),
        ];
        // Walk along the line; where it crosses the step, begin or end a ring.
        let mut outline: Vec<(f64, f64)> = Vec::new();
        for (&(x0, v0), &(x1, v1)) in corners.iter().zip(corners.iter().skip(1)) {
            let (over0, over1) = (sign * (v0 - limit), sign * (v1 - limit));
            if over0 > 0.0 {
                outline.push((x0, v0));
            }
            if (over0 > 0.0) != (over1 > 0.0) {
                outline.push((x0 + (x1 - x0) * over0 / (over0 - over1), limit));
            }
            if over1 > 0.0 {
                outline.push((x1, v1));
            }
        }
        if let (Some(&(first, _)), Some(&(last, _))) = (outline.first(), outline.last()) {
            let mut ring: Vec<Point> =
                outline.iter().map(|&(x, value)| Point::new(x, upright.place_mm(value))).collect();
            let y = upright.place_mm(limit);
            ring.extend([Point::new(last, y), Point::new(first, y)]);
            rings.push(ring);
        }
    }
    rings
}

fn draw_points(
    group: &mut Group,
    points: &MeasuredPoints,
    place: &dyn Fn(usize, f64) -> Point,
    plot: &Extent,
) {
    for (index, value) in points.values.iter().enumerate() {
        let Some(value) = value.filter(|value| value.is_finite()) else { continue };
        let at = place(index, value);
        if let Some(half) = points.half_bars.get(index).copied().flatten().filter(|half| *half > 0.0) {
            let (low, high) =
                (held_in(place(index, value - half), plot), held_in(place(index, value + half), plot));
            group.add(Path::line(low, high, Pen::THIN));
            for end in [low, high] {
                group.add(Path::line(end.moved(-0.6, 0.0), end.moved(0.6, 0.0), Pen::THIN));
            }
        }
        if plot.holds(&Extent::new(at.x, at.y, at.x, at.y)) {
            group.add(Circle { centre: at, radius_mm: 0.75, pen: Some(Pen::THIN), fill: Some(Ink::Paper) });
        }
    }
}

struct Name<'a> {
    at: Point,
    words: &'a str,
    ink: Ink,
    weight: Weight,
    sample: Sample,
}

/// What stands before a name whose line ends too far from it to be led there.
#[derive(Clone, Copy)]
enum Sample {
    Line(Pen),
    Ring,
}

/// A line that ends nearer to the right edge than this is led to its name, mm.
const LED_MM: f64 = 12.0;

/// Names at the right of a plot, led to the ends of their lines, spread where these lie close together.
fn draw_names(group: &mut Group, names: &[Name<'_>], plot: &Extent, room_mm: f64) {
    let reach = 4.0;
    let width = (room_mm - reach - 0.5).max(12.0);
    let line_height = SIZE_MM * 1.2;
    let wrapped: Vec<Vec<String>> =
        names.iter().map(|name| crate::wrap::wrap(name.words, SIZE_MM, name.weight, width)).collect();
    let wishes: Vec<Wish> = names
        .iter()
        .zip(&wrapped)
        .map(|(name, lines)| Wish {
            at: name.at.y.clamp(plot.top, plot.bottom),
            room: lines.len() as f64 * line_height + 0.9,
        })
        .collect();
    let places = spread(&wishes, plot.top - 2.0, plot.bottom + 1.0);
    for ((name, lines), place) in names.iter().zip(&wrapped).zip(places) {
        if name.words.is_empty() {
            continue;
        }
        let from = held_in(name.at, plot);
        if plot.right - from.x <= LED_MM {
            let knee = Point::new(plot.right + reach - 1.4, place);
            let end = Point::new(plot.right + reach - 0.6, place);
            group.add(Path::open([from.moved(0.9, 0.0), knee, end], Pen::FINE.in_ink(Ink::Light)));
        } else {
            draw_sample(group, name.sample, Point::new(plot.right + 0.6, place));
        }
        let first = place - (lines.len() as f64 - 1.0) * line_height / 2.0;
        for (row, words) in lines.iter().enumerate() {
            let at = Point::new(plot.right + reach, first + row as f64 * line_height);
            let text = Text::new(at, words.as_str(), SIZE_MM).on(Baseline::Middle).in_weight(name.weight);
            group.add(text.in_ink(name.ink));
        }
    }
}

fn draw_sample(group: &mut Group, sample: Sample, left: Point) {
    match sample {
        Sample::Line(pen) => group.add(Path::line(left, left.moved(2.8, 0.0), pen)),
        Sample::Ring => {
            let centre = left.moved(1.6, 0.0);
            group.add(Path::line(centre.moved(0.0, -1.3), centre.moved(0.0, 1.3), Pen::THIN));
            group.add(Circle { centre, radius_mm: 0.75, pen: Some(Pen::THIN), fill: Some(Ink::Paper) });
        }
    }
}

/// Unbroken runs of values, each with its band's index.
fn runs(values: &[Option<f64>], count: usize) -> Vec<Vec<(usize, f64)>> {
    let mut all: Vec<Vec<(usize, f64)>> = Vec::new();
    let mut open = false;
    for (index, value) in values.iter().enumerate().take(count) {
        match (value.filter(|value| value.is_finite()), all.last_mut()) {
            (Some(value), Some(run)) if open => run.push((index, value)),
            (Some(value), _) => {
                all.push(vec![(index, value)]);
                open = true;
            }
            (None, _) => open = false,
        }
    }
    all
}

fn last_value(values: &[Option<f64>]) -> Option<(usize, f64)> {
    values
        .iter()
        .enumerate()
        .rev()
        .find_map(|(index, value)| value.filter(|value| value.is_finite()).map(|value| (index, value)))
}

/// Rings of a band between its edges: along the low edge and back along the high one.
fn band_rings(band: &UncertaintyBand, place: &dyn Fn(usize, f64) -> Point) -> Vec<Vec<Point>> {
    let both: Vec<Option<f64>> = band
        .low
        .iter()
        .zip(&band.high)
        .map(|(low, high)| low.filter(|_| high.is_some_and(f64::is_finite)))
        .collect();
    runs(&both, both.len())
        .into_iter()
        .filter(|run| run.len() > 1)
        .map(|run| {
            let low = run.iter().map(|&(index, value)| place(index, value));
            let high = run.iter().rev().filter_map(|&(index, _)| {
                band.high.get(index).copied().flatten().map(|value| place(index, value))
            });
            low.chain(high).collect()
        })
        .collect()
}

fn held_in(point: Point, plot: &Extent) -> Point {
    Point::new(point.x.clamp(plot.left, plot.right), point.y.clamp(plot.top, plot.bottom))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart() -> SpectrumChart {
        let bands_hz = vec![50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0];
        let line: Vec<Option<f64>> = [40.0, 52.0, 48.0, 41.0, 38.0, 36.0, 30.0, 28.0].map(Some).to_vec();
        SpectrumChart {
            width_mm: 150.0,
            height_mm: 70.0,
            name_room_mm: 34.0,
            quantity: "level at the window, dB".to_owned(),
            bands_hz,
            range: None,
            uncertainty: Some(UncertaintyBand {
                low: line.iter().map(|v| v.map(|v| v - 4.0)).collect(),
                high: line.iter().map(|v| v.map(|v| v + 4.0)).collect(),
            }),
            criterion: Some(Criterion {
                name: "limit".to_owned(),
                values: [47.0, 45.0, 43.0, 42.0, 40.0, 38.0, 36.0, 34.0].map(Some).to_vec(),
                held_against: line.clone(),
                breach: Breach::Above,
            }),
            measured: Vec::new(),
            lines: vec![ChartLine { name: "predicted".to_owned(), values: line, pen: Pen::BOLD }],
        }
    }

    #[test]
    fn the_breach_is_where_the_line_is_over_the_step() {
        let chart = chart();
        let plot = chart.plot(Point::default());
        let bands = BandAxis { left_mm: plot.left, right_mm: plot.right, count: 8 };
        let rings = breaches(chart.criterion.as_ref().unwrap(), &bands, &chart.upright_axis(&plot));
        // 63 and 80 Hz break it; the slope towards them enters the right part of the 50 Hz and the left of the 100 Hz
        // band only where the straight line is over their steps (46 against 47; 44.5 against 42).
        assert_eq!(rings.len(), 3);
    }

    #[test]
    fn a_chart_stays_in_its_rectangle() {
        let chart = chart();
        let drawn = chart.draw(Point::new(10.0, 20.0)).drawn_extent().unwrap();
        assert!(Extent::new(10.0, 20.0, 160.0, 90.0).holds(&drawn), "{drawn:?}");
    }

    #[test]
    fn gaps_and_odd_numbers_do_no_harm() {
        let mut chart = chart();
        chart.lines[0].values = vec![None, Some(f64::NAN), Some(30.0), None];
        chart.range = Some([5.0, 5.0]);
        chart.draw(Point::default());
        SpectrumChart::default().draw(Point::default());
        PlainChart::default().draw(Point::default());
    }
}
