//! What charts have in common: rooms, axes, and names led to the ends of lines.

use crate::axis::{BandAxis, LinearAxis, band_words, is_octave_middle};
use crate::font::{self, Weight};
use crate::ink::{Ink, Pen};
use crate::point::{Extent, Point};
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

/// The plot's rectangle and its upright axis.
pub(crate) struct Frame {
    pub(crate) plot: Extent,
    pub(crate) upright: LinearAxis,
}

impl Frame {
    pub(crate) fn draw_upright(&self, group: &mut Group, quantity: &str) {
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

pub(crate) struct Name<'a> {
    pub(crate) at: Point,
    pub(crate) words: &'a str,
    pub(crate) ink: Ink,
    pub(crate) weight: Weight,
    pub(crate) sample: Sample,
}

/// What stands before a name whose line ends too far from it to be led there.
#[derive(Clone, Copy)]
pub(crate) enum Sample {
    Line(Pen),
    Ring,
}

/// A line that ends nearer to the right edge than this is led to its name, mm.
const LED_MM: f64 = 12.0;

/// Names at the right of a plot, led to the ends of their lines, spread where these lie close together.
pub(crate) fn draw_names(group: &mut Group, names: &[Name<'_>], plot: &Extent, room_mm: f64) {
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

pub(crate) fn held_in(point: Point, plot: &Extent) -> Point {
    Point::new(point.x.clamp(plot.left, plot.right), point.y.clamp(plot.top, plot.bottom))
}
