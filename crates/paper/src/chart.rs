//! Spectra: levels over third-octave bands with uncertainty, measured points and a stepped criterion.

use crate::axis::{BandAxis, LinearAxis};
use crate::chart_frame::{
    FOOT_ROOM_MM, Frame, HEAD_ROOM_MM, Name, Sample, draw_band_axis, draw_names, held_in,
};
use crate::font::Weight;
use crate::hatch::{self, Hatch};
use crate::ink::{Ink, Pen};
use crate::point::{Extent, Point};
use crate::region::Region;
use crate::scene::{Circle, Group, Path};

pub use crate::chart_frame::FIGURE_ROOM_MM;
pub use crate::plain_chart::{PlainChart, PlainLimit, PlainLine, PlainMark};

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
    /// The bands, by their place, in which the true value is the one given or more: an arrow upwards stands there in place of the upper half of
    /// the bar.
    pub at_least: Vec<usize>,
}

/// Length of the arrow at a value that is only a limit, mm.
const ARROW_MM: f64 = 5.0;
/// Half the width of its head, mm.
const ARROW_HEAD_MM: f64 = 0.9;

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
        let limit = points.at_least.contains(&index);
        if let Some(half) = points.half_bars.get(index).copied().flatten().filter(|half| *half > 0.0) {
            let (low, high) =
                (held_in(place(index, value - half), plot), held_in(place(index, value + half), plot));
            let (upper, ends) = if limit { (held_in(at, plot), vec![low]) } else { (high, vec![low, high]) };
            group.add(Path::line(low, upper, Pen::THIN));
            for end in ends {
                group.add(Path::line(end.moved(-0.6, 0.0), end.moved(0.6, 0.0), Pen::THIN));
            }
        }
        if limit {
            group.add(at_least_arrow(held_in(at, plot), plot));
        }
        if plot.holds(&Extent::new(at.x, at.y, at.x, at.y)) {
            group.add(Circle { centre: at, radius_mm: 0.75, pen: Some(Pen::THIN), fill: Some(Ink::Paper) });
        }
    }
}

/// An arrow upwards from a value that is only the least there can be; at the top of the plot it is as long as there is room.
fn at_least_arrow(from: Point, plot: &Extent) -> Group {
    let tip = held_in(from.moved(0.0, -ARROW_MM), plot);
    let head = |to_side: f64| tip.moved(to_side * ARROW_HEAD_MM, 1.4 * ARROW_HEAD_MM);
    let mut arrow = Group::default();
    arrow.add(Path::line(from, tip, Pen::MEDIUM));
    for side in [-1.0, 1.0] {
        arrow.add(Path::line(tip, head(side), Pen::MEDIUM));
    }
    arrow
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

    /// A limit has an arrow upwards that ends 5 mm over its value, and no bar above it; a plain value has a bar both ways and no arrow.
    #[test]
    fn a_limit_points_upwards() {
        let mut chart = chart();
        chart.range = Some([0.0, 100.0]);
        chart.measured = vec![MeasuredPoints {
            name: "measured".to_owned(),
            values: vec![Some(50.0), Some(50.0)],
            half_bars: vec![Some(20.0), Some(20.0)],
            at_least: vec![1],
        }];
        let plot = chart.plot(Point::default());
        let place = |index: usize, value: f64| {
            let bands = BandAxis { left_mm: plot.left, right_mm: plot.right, count: 8 };
            Point::new(bands.middle_mm(index), chart.upright_axis(&plot).place_mm(value))
        };
        let drawn = |only: usize| {
            let mut points = chart.measured[0].clone();
            points.values = (0..2).map(|index| (index == only).then_some(50.0)).collect();
            let mut group = Group::default();
            draw_points(&mut group, &points, &place, &plot);
            group.drawn_extent().unwrap()
        };
        let (plain, limit) = (drawn(0), drawn(1));
        assert!((plain.top - place(0, 70.0).y).abs() < 0.3, "{plain:?}");
        let tip = place(1, 50.0).y - ARROW_MM;
        assert!(tip > place(1, 70.0).y + 1.0 && (limit.top - tip).abs() < 0.3, "{limit:?} {tip}");
        assert!((limit.bottom - plain.bottom).abs() < 1e-9);
        // At the top of the plot nothing leaves it.
        chart.measured[0].values = vec![None, Some(99.0)];
        let whole = chart.draw(Point::default()).drawn_extent().unwrap();
        assert!(Extent::new(0.0, 0.0, 150.0, 70.0).holds(&whole), "{whole:?}");
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
