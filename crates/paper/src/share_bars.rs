//! Who lets the sound through: a stacked bar a band, told apart by hatch.

use crate::axis::BandAxis;
use crate::chart_frame::{FIGURE_ROOM_MM, FOOT_ROOM_MM, HEAD_ROOM_MM, SIZE_MM, draw_band_axis};
use crate::font::{self, Weight};
use crate::hatch::{self, Hatch};
use crate::ink::{Ink, Pen};
use crate::point::{Extent, Point};
use crate::scene::{Anchor, Baseline, Circle, Group, Path, Text};
use crate::wrap::wrap;
use quantities::format;

/// One part of the bars.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Part {
    /// Its name.
    pub name: String,
    /// Its share in each band, 0 to 1.
    pub shares: Vec<f64>,
    /// Which of the hatches tells it apart, from 0: the same part has the same on every sheet. There are nine; they begin again after that.
    pub hatch: usize,
}

/// Stacked bars over the same bands as a [`SpectrumChart`](crate::chart::SpectrumChart); with the same width and
/// name room they stand exactly below its bands.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct ShareBars {
    /// Whole width, mm.
    pub width_mm: f64,
    /// Whole height, mm; more if the names need it.
    pub height_mm: f64,
    /// Room at the right for the names, mm.
    pub name_room_mm: f64,
    /// What is shown, written above the bars (`who lets it through, % of the energy`).
    pub quantity: String,
    /// Nominal frequencies of the bands, Hz.
    pub bands_hz: Vec<f64>,
    /// The parts, from the bottom of the bars upwards.
    pub parts: Vec<Part>,
    /// The band whose largest share is named above the bars, counted from 0; none: the largest of all bands.
    pub deciding: Option<usize>,
}

impl ShareBars {
    /// Draws the bars, their top left corner at a point.
    pub fn draw(&self, corner: Point) -> Group {
        let mut group = Group::on_layer("shares");
        let plot = Extent::new(
            corner.x + FIGURE_ROOM_MM,
            corner.y + HEAD_ROOM_MM + 4.0,
            corner.x + (self.width_mm - self.name_room_mm.max(2.0)).max(FIGURE_ROOM_MM + 10.0),
            corner.y + (self.height_mm - FOOT_ROOM_MM).max(HEAD_ROOM_MM + 14.0),
        );
        let bands = BandAxis { left_mm: plot.left, right_mm: plot.right, count: self.bands_hz.len() };
        let at = Point::new(corner.x + 1.0, plot.top - 4.0 - 3.6);
        group.add(Text::new(at, &*self.quantity, SIZE_MM).in_ink(Ink::Grey));
        for (value, words) in [(0.0, "0"), (0.5, "50"), (1.0, "100")] {
            let y = plot.bottom - value * plot.height();
            let text = Text::new(Point::new(plot.left - 1.4, y), words, SIZE_MM);
            group.add(text.anchored(Anchor::End).on(Baseline::Middle));
        }
        draw_band_axis(&mut group, &bands, &plot, &self.bands_hz);
        let largest = self.draw_bars(&mut group, &bands, &plot);
        self.draw_legend(&mut group, &plot);
        if let Some(largest) = largest {
            self.name_largest(&mut group, &largest, &plot);
        }
        group
    }

    fn draw_bars(&self, group: &mut Group, bands: &BandAxis, plot: &Extent) -> Option<Largest> {
        let mut largest: Option<Largest> = None;
        let gap = (bands.band_mm() * 0.12).min(0.8);
        for index in 0..bands.count {
            let shares: Vec<f64> = self
                .parts
                .iter()
                .map(|part| {
                    part.shares.get(index).copied().filter(|share| share.is_finite()).unwrap_or(0.0).max(0.0)
                })
                .collect();
            let whole: f64 = shares.iter().sum();
            if whole <= 0.0 {
                continue;
            }
            let mut below = 0.0;
            for (part, share) in shares.iter().enumerate().map(|(part, share)| (part, share / whole)) {
                let bar = Extent::new(
                    bands.edge_mm(index) + gap,
                    plot.bottom - (below + share) * plot.height(),
                    bands.edge_mm(index + 1) - gap,
                    plot.bottom - below * plot.height(),
                );
                below += share;
                if bar.height() < 0.05 {
                    continue;
                }
                group.add(Path::filled(bar.corners(), Ink::Paper));
                let of = self.parts.get(part).map_or(part, |part| part.hatch);
                group.extend(hatch::fill(&bar.corners(), Hatch::of_part(of), Ink::Ink));
                group.add(Path::rectangle(bar, Pen::FINE));
                let may_be_named = self.deciding.is_none_or(|deciding| deciding == index);
                if may_be_named && largest.as_ref().is_none_or(|so_far| share > so_far.share + 1e-9) {
                    largest = Some(Largest { part, share, at: bar.centre() });
                }
            }
        }
        largest
    }

    fn draw_legend(&self, group: &mut Group, plot: &Extent) {
        let left = plot.right + 4.0;
        let words_left = left + 6.0;
        let width = (self.name_room_mm - 10.5).max(10.0);
        let line_height = SIZE_MM * 1.2;
        let mut top = plot.top;
        // From the top of the bars downwards, as the eye compares them.
        for part in self.parts.iter().rev() {
            let lines = wrap(&part.name, SIZE_MM, Weight::Regular, width);
            let sample = Extent::new(left, top, left + 4.6, top + 2.6);
            group.extend(hatch::fill(&sample.corners(), Hatch::of_part(part.hatch), Ink::Ink));
            group.add(Path::rectangle(sample, Pen::FINE));
            for (row, words) in lines.iter().enumerate() {
                let at = Point::new(words_left, top + 1.3 + row as f64 * line_height);
                group.add(Text::new(at, words.as_str(), SIZE_MM).on(Baseline::Middle));
            }
            top += (lines.len() as f64 * line_height).max(2.6) + 1.0;
        }
    }

    fn name_largest(&self, group: &mut Group, largest: &Largest, plot: &Extent) {
        let Some(part) = self.parts.get(largest.part) else { return };
        let words = format!("{} {}\u{A0}%", part.name, format::number(100.0 * largest.share, 0));
        let half = font::width_mm(&words, SIZE_MM, Weight::Semibold) / 2.0;
        let middle = largest.at.x.clamp(plot.left + half, (plot.right - half).max(plot.left + half));
        let foot = Point::new(middle, plot.top - 2.0);
        let pen = Pen::THIN;
        group.add(Path::line(
            Point::new(largest.at.x, plot.top - 1.2),
            largest.at,
            Pen::new(0.9).in_ink(Ink::Paper),
        ));
        group.add(Path::line(Point::new(largest.at.x, plot.top - 1.2), largest.at, pen));
        group.add(Circle {
            centre: largest.at,
            radius_mm: 0.75,
            pen: Some(Pen::new(0.3).in_ink(Ink::Paper)),
            fill: Some(Ink::Ink),
        });
        group.add(Text::new(foot, words, SIZE_MM).semibold().centred());
    }
}

struct Largest {
    part: usize,
    share: f64,
    at: Point,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Item;

    #[test]
    fn the_largest_share_is_named() {
        let mut bars = ShareBars {
            deciding: None,
            width_mm: 120.0,
            height_mm: 45.0,
            name_room_mm: 30.0,
            quantity: "share, %".to_owned(),
            bands_hz: vec![100.0, 125.0, 160.0],
            parts: vec![
                Part { name: "roof".to_owned(), shares: vec![0.6, 0.2, 0.3], hatch: 0 },
                Part { name: "door seal".to_owned(), shares: vec![0.4, 0.8, f64::NAN], hatch: 3 },
            ],
        };
        let words_of = |bars: &ShareBars| -> Vec<String> {
            let items = bars.draw(Point::default()).items;
            items
                .iter()
                .filter_map(|item| if let Item::Text(text) = item { Some(text.words.clone()) } else { None })
                .collect()
        };
        let words = words_of(&bars);
        assert!(words.contains(&"roof 100\u{A0}%".to_owned()), "{words:?}");
        bars.deciding = Some(1);
        let words = words_of(&bars);
        assert!(words.contains(&"door seal 80\u{A0}%".to_owned()), "{words:?}");
        ShareBars::default().draw(Point::default());
    }
}
